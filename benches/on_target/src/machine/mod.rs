//! What differs between the cores, and the line to the host.

#[cfg(target_arch = "arm")]
mod arm;
#[cfg(target_arch = "riscv32")]
mod riscv;

#[cfg(target_arch = "arm")]
use arm::host_call;
#[cfg(target_arch = "riscv32")]
use riscv::host_call;

/// A kernel as it is called: output, input, context.
pub type Call = unsafe extern "C" fn(*mut u8, *const u8, *mut u8);

unsafe extern "C" {
    /// Counts one call, from a look at the counter to the next; all ones where the counter does not reach so far.
    pub fn ticks(kernel: Call, output: *mut u8, input: *const u8, context: *mut u8) -> u32;
    /// The bytes of stack that one call overwrites.
    pub fn stack(kernel: Call, output: *mut u8, input: *const u8, context: *mut u8) -> u32;
    /// Returns at once.
    pub fn empty(output: *mut u8, input: *const u8, context: *mut u8);
    /// Where the host has put the inputs.
    static INPUTS: [u32; 4];
}

#[cfg(feature = "calibration")]
unsafe extern "C" {
    pub fn sled_0(output: *mut u8, input: *const u8, context: *mut u8);
    pub fn sled_1(output: *mut u8, input: *const u8, context: *mut u8);
    pub fn sled_10(output: *mut u8, input: *const u8, context: *mut u8);
    pub fn sled_100(output: *mut u8, input: *const u8, context: *mut u8);
    pub fn sled_1000(output: *mut u8, input: *const u8, context: *mut u8);
    pub fn turns_5000(output: *mut u8, input: *const u8, context: *mut u8);
    pub fn turns_5000000(output: *mut u8, input: *const u8, context: *mut u8);
}

/// What the host has put at the place agreed on.
pub struct Inputs {
    pub count: usize,
    pub stride: usize,
    /// The word of the reference.
    pub reference: *const u8,
    pub first: *const u8,
}

pub fn inputs() -> Inputs {
    let header = &raw const INPUTS;
    // SAFETY: the host has loaded a header of four words there. Volatile, since the image itself knows nothing of it.
    unsafe {
        let words = header.read_volatile();
        Inputs {
            count: words[0] as usize,
            stride: words[1] as usize,
            reference: header.cast::<u8>().add(8),
            first: header.cast::<u8>().add(16),
        }
    }
}

const LONGEST: usize = 320;
static mut TEXT: [u8; LONGEST] = [0; LONGEST];

/// A line of text to the host. There is one at a time.
///
/// Written so that it brings neither a panic nor a routine for blocks of memory into the image: the empty image would
/// then hide that a kernel needs them.
pub struct Line {
    length: usize,
}

impl Line {
    pub fn new(kind: u8) -> Self {
        let mut line = Self { length: 0 };
        line.put(kind);
        line
    }

    fn put(&mut self, byte: u8) {
        // Room is left for the zero at the end.
        if self.length + 1 < LONGEST {
            // SAFETY: within the text, and nothing else uses it while there is a line.
            unsafe { (&raw mut TEXT).cast::<u8>().add(self.length).write_volatile(byte) };
            self.length += 1;
        }
    }

    /// A blank and the word in hexadecimal.
    #[inline(never)]
    pub fn word(&mut self, word: u32) {
        self.put(b' ');
        for place in (0..8).rev() {
            let digit = (word >> (4 * place)) as u8 & 15;
            self.put(if digit < 10 {
                b'0' + digit
            } else {
                b'a' - 10 + digit
            });
        }
    }

    pub fn send(mut self) {
        self.put(b'\n');
        // SAFETY: as above; the text is ended with a zero.
        unsafe {
            let text = (&raw mut TEXT).cast::<u8>();
            text.add(self.length).write_volatile(0);
            host_call(WRITE_TEXT, text as usize);
        }
    }
}

const WRITE_TEXT: u32 = 4;

/// The text must end with a zero.
pub fn say(text: &[u8]) {
    // SAFETY: the text ends with a zero.
    unsafe { host_call(WRITE_TEXT, text.as_ptr() as usize) };
}

pub fn exit(good: bool) -> ! {
    const EXIT: u32 = 0x18;
    const APPLICATION_EXIT: usize = 0x2_0026;
    const RUN_TIME_ERROR: usize = 0x2_0023;
    // SAFETY: the reason is the argument.
    unsafe { host_call(EXIT, if good { APPLICATION_EXIT } else { RUN_TIME_ERROR }) };
    loop {
        core::hint::spin_loop();
    }
}

#[unsafe(no_mangle)]
extern "C" fn faulted() -> ! {
    say(b"the core took a fault\n\0");
    exit(false)
}

#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    say(b"panic\n\0");
    exit(false)
}
