//! Prints the checksums of `../vectors.rs`, on the device and on the host.
//!
//! An argument changes what it does: the name of a group prints the group's words as well, `all` those of every group;
//! `spoilt` turns one bit, and `panic` and `fault` end as their names say. The last three show that the checks can fail.

#![cfg_attr(target_os = "none", no_std, no_main)]

#[cfg(target_os = "none")]
#[path = "../board.rs"]
mod board;
#[path = "../vectors.rs"]
mod vectors;

#[cfg(target_os = "none")]
use defmt::println;

/// The argument says what is printed, and whether something is spoilt.
struct Printer<'a>(&'a str);

impl vectors::Output for Printer<'_> {
    fn word(&mut self, family: &str, group: &str, case: u32, place: u32, word: u32) -> u32 {
        let word = word ^ u32::from(self.0 == "spoilt" && group == "swr" && case == 1000);
        if self.0 == "all" || self.0 == group {
            println!("{} {} {}.{} {:08x}", family, group, case, place, word);
        }
        word
    }

    fn total(&mut self, family: &str, group: &str, cases: u32, checksum: u64) {
        println!(
            "{} {}: {} cases, checksum {:016x}",
            family, group, cases, checksum
        );
    }
}

/// True where nothing contradicts itself.
fn run(argument: &str) -> bool {
    let contradictions = vectors::run(&mut Printer(argument));
    println!("{} contradictions", contradictions);
    contradictions == 0
}

#[cfg(not(target_os = "none"))]
fn main() -> std::process::ExitCode {
    let argument = std::env::args().nth(1).unwrap_or_default();
    if run(&argument) {
        std::process::ExitCode::SUCCESS
    } else {
        std::process::ExitCode::FAILURE
    }
}

#[cfg(target_os = "none")]
mod device {
    use core::mem::MaybeUninit;

    use super::board;

    #[board::entry]
    fn main() -> ! {
        let mut buffer = [MaybeUninit::uninit(); 32];
        match argument(&mut buffer) {
            "panic" => panic!(),
            "fault" => fault(),
            argument => board::stop(super::run(argument)),
        }
    }

    /// What stands behind the program's name in the command line that QEMU passes on.
    fn argument(buffer: &mut [MaybeUninit<u8>]) -> &str {
        match semihosting::sys::arm_compat::sys_get_cmdline_uninit(buffer) {
            Ok(line) => core::str::from_utf8(line)
                .unwrap_or_default()
                .split(' ')
                .nth(1)
                .unwrap_or_default(),
            Err(_) => "",
        }
    }

    #[cfg(target_arch = "arm")]
    fn fault() -> ! {
        cortex_m::asm::udf()
    }

    #[cfg(target_arch = "riscv32")]
    fn fault() -> ! {
        // SAFETY: an instruction that is defined to raise an exception, and does nothing else.
        unsafe { core::arch::asm!("unimp", options(noreturn)) }
    }
}
