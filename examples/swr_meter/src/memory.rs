//! Where a setup is kept: two slots that can be erased and written apart.

use embedded_hal::delay::DelayNs;
use embedded_hal::i2c::I2c;

/// The bytes of a slot.
pub const SLOT_BYTES: usize = 256;

/// One of the two places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slot {
    /// The one at the lower address.
    First,
    /// The one at the higher address.
    Second,
}

impl Slot {
    /// The other one.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::First => Self::Second,
            Self::Second => Self::First,
        }
    }
}

/// Memory with two slots. Erasing or writing one must never touch the other: in flash, they are in different sectors.
pub trait Memory {
    /// Why it failed.
    type Error;

    /// Reads a slot from its beginning.
    ///
    /// # Errors
    /// Whatever the memory tells.
    fn read(&mut self, slot: Slot, bytes: &mut [u8; SLOT_BYTES]) -> Result<(), Self::Error>;

    /// Makes a slot ready to be written. Memory that needs no erasing does nothing.
    ///
    /// # Errors
    /// Whatever the memory tells.
    fn erase(&mut self, slot: Slot) -> Result<(), Self::Error>;

    /// Writes a slot from its beginning.
    ///
    /// # Errors
    /// Whatever the memory tells. What is in the slot may then be anything.
    fn write(&mut self, slot: Slot, bytes: &[u8; SLOT_BYTES]) -> Result<(), Self::Error>;
}

/// A memory chip on the I²C bus, of the common kind: a 16-bit address first, then data; a write stays within a page and
/// takes some milliseconds, during which the chip does not answer.
///
/// The bytes from address 0 on are used, 512 of them. `PAGE` is the page of the chip: a power of two from 8 to 128.
#[derive(Debug)]
pub struct BusMemory<I, D, const PAGE: usize> {
    bus: I,
    delay: D,
    address: u8,
    write_ms: u32,
}

impl<I: I2c, D: DelayNs, const PAGE: usize> BusMemory<I, D, PAGE> {
    /// A chip at a seven-bit address, with the write time of its data sheet in milliseconds.
    pub fn new(bus: I, delay: D, address: u8, write_ms: u32) -> Self {
        const { assert!(PAGE >= 8 && PAGE <= 128 && PAGE.is_power_of_two()) };
        Self {
            bus,
            delay,
            address,
            write_ms,
        }
    }

    /// The bus and the delay, for something else.
    pub fn release(self) -> (I, D) {
        (self.bus, self.delay)
    }

    fn start(slot: Slot) -> u16 {
        match slot {
            Slot::First => 0,
            Slot::Second => SLOT_BYTES as u16,
        }
    }
}

impl<I: I2c, D: DelayNs, const PAGE: usize> Memory for BusMemory<I, D, PAGE> {
    type Error = I::Error;

    fn read(&mut self, slot: Slot, bytes: &mut [u8; SLOT_BYTES]) -> Result<(), I::Error> {
        self.bus
            .write_read(self.address, &Self::start(slot).to_be_bytes(), bytes)
    }

    fn erase(&mut self, _: Slot) -> Result<(), I::Error> {
        Ok(())
    }

    fn write(&mut self, slot: Slot, bytes: &[u8; SLOT_BYTES]) -> Result<(), I::Error> {
        let mut at = Self::start(slot);
        for page in bytes.chunks(PAGE) {
            let mut block = [0; 2 + 128];
            let [high, low, room @ ..] = &mut block;
            [*high, *low] = at.to_be_bytes();
            room.iter_mut().zip(page).for_each(|(to, from)| *to = *from);
            let filled = block.get(..2 + page.len()).unwrap_or(&block);
            self.bus.write(self.address, filled)?;
            self.delay.delay_ms(self.write_ms);
            at = at.wrapping_add(PAGE as u16);
        }
        Ok(())
    }
}
