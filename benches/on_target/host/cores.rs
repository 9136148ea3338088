//! The cores, and how each is emulated and counts.

/// A core under emulation.
pub struct Core {
    pub name: &'static str,
    /// The compiler's name of the target.
    pub target: &'static str,
    pub emulator: &'static str,
    /// The package that brings the emulator, by its name on Debian.
    pub package: &'static str,
    pub machine: &'static [&'static str],
    pub has_float_unit: bool,
    /// One instruction takes 2^shift ns of the emulator's time.
    pub shift: u32,
    /// Where the firmware looks for its inputs.
    pub inputs_at: u32,
    /// Instructions = (ticks · multiplier + half) >> places.
    pub multiplier: u64,
    pub places: u32,
    /// Whether 10 million instructions are beyond the counter.
    pub is_short: bool,
}

impl Core {
    /// `None` where the counter did not reach so far.
    pub fn instructions(&self, ticks: u32) -> Option<u64> {
        if ticks == u32::MAX {
            return None;
        }
        let half = if self.places == 0 {
            0
        } else {
            1 << (self.places - 1)
        };
        Some((u64::from(ticks) * self.multiplier + half) >> self.places)
    }
}

/// On the Cortex-M machines an instruction takes 128 ns, which is 2.048 ticks at 16 MHz and 3.2 at 25 MHz: just enough
/// for the rounding to find the whole number, since two looks at the counter are less than a tick off. Its 24 bits reach to
/// 8.1 and 5.2 million instructions. The RISC-V counter counts instructions itself.
pub const CORES: [Core; 4] = [
    Core {
        name: "m0",
        target: "thumbv6m-none-eabi",
        emulator: "qemu-system-arm",
        package: "qemu-system-arm",
        machine: &["-M", "microbit"],
        has_float_unit: false,
        shift: 7,
        inputs_at: 0x0003_0000,
        multiplier: 125,
        places: 8,
        is_short: true,
    },
    Core {
        name: "m3",
        target: "thumbv7m-none-eabi",
        emulator: "qemu-system-arm",
        package: "qemu-system-arm",
        machine: &["-M", "mps2-an385"],
        has_float_unit: false,
        shift: 7,
        inputs_at: 0x0003_0000,
        multiplier: 5,
        places: 4,
        is_short: true,
    },
    Core {
        name: "m4f",
        target: "thumbv7em-none-eabihf",
        emulator: "qemu-system-arm",
        package: "qemu-system-arm",
        machine: &["-M", "mps2-an386"],
        has_float_unit: true,
        shift: 7,
        inputs_at: 0x0003_0000,
        multiplier: 5,
        places: 4,
        is_short: true,
    },
    Core {
        name: "riscv32",
        target: "riscv32imc-unknown-none-elf",
        emulator: "qemu-system-riscv32",
        package: "qemu-system-misc",
        machine: &["-M", "virt", "-bios", "none"],
        has_float_unit: false,
        shift: 0,
        inputs_at: 0x8008_0000,
        multiplier: 1,
        places: 0,
        is_short: false,
    },
];
