//! A setup in two slots: the newer is read, the older is written over.
//!
//! ```text
//! 2 bytes   the letters "sm"
//! 4 bytes   number of the record, one more with each store
//! content   the setup
//! 4 bytes   CRC-32 of IEEE 802.3 over all before it
//! ```
//!
//! A record whose checksum fits was written to its end. A store writes into the slot that is *not* the newest whole one, so
//! a supply that fails at any byte leaves that one as it was: what is read next is the old setup or the new one.

use core::fmt;

use crate::memory::{Memory, SLOT_BYTES, Slot};
use crate::setup::{SETUP_BYTES, Setup, SetupError};

const NAME: [u8; 2] = *b"sm";
const HEAD: usize = 6;
const TAIL: usize = 4;
const RECORD: usize = HEAD + SETUP_BYTES + TAIL;
const _: () = assert!(RECORD <= SLOT_BYTES);

/// Why nothing was loaded or stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StoreError<E> {
    /// The memory failed.
    Memory(E),
    /// No slot holds a whole record.
    Empty,
    /// The setup is not to be stored, or the stored one not to be used.
    Setup(SetupError),
    /// What was read back is not what was written: the slot is worn out, or protected.
    NotKept,
}

impl<E: fmt::Debug> fmt::Display for StoreError<E> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Memory(error) => write!(f, "the memory failed: {error:?}"),
            Self::Empty => f.write_str("no setup is stored"),
            Self::Setup(error) => error.fmt(f),
            Self::NotKept => f.write_str("the memory does not keep what is written"),
        }
    }
}

impl<E: fmt::Debug> core::error::Error for StoreError<E> {}

/// CRC-32 of IEEE 802.3.
pub fn checksum(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = (sum >> 1) ^ (0xedb8_8320 & (sum & 1).wrapping_neg());
        }
    }
    !sum
}

/// A whole record: its number, and its content.
fn whole(slot: &[u8; SLOT_BYTES]) -> Option<(u32, &[u8; SETUP_BYTES])> {
    let (covered, rest) = slot.split_first_chunk::<{ RECORD - TAIL }>()?;
    let sum = rest.first_chunk::<TAIL>()?;
    if checksum(covered) != u32::from_le_bytes(*sum) {
        return None;
    }
    let (name, rest) = covered.split_first_chunk::<2>()?;
    let (number, rest) = rest.split_first_chunk::<4>()?;
    (*name == NAME).then_some((u32::from_le_bytes(*number), rest.first_chunk()?))
}

/// The newest whole record: its slot, number and setup.
type Newest = Option<(Slot, u32, Result<Setup, SetupError>)>;

/// A slot that cannot be read counts as empty if the other one can be: what it holds is no longer of use.
fn newest<M: Memory>(memory: &mut M) -> Result<Newest, M::Error> {
    let mut found: Newest = None;
    let mut failed = None;
    let mut answered = false;
    for slot in [Slot::First, Slot::Second] {
        let mut bytes = [0; SLOT_BYTES];
        if let Err(error) = memory.read(slot, &mut bytes) {
            failed = Some(error);
            continue;
        }
        answered = true;
        if let Some((number, content)) = whole(&bytes) {
            // The numbers come round after 2³² stores; the newer is ahead by less than half of that.
            let is_newer = found
                .as_ref()
                .is_none_or(|(_, before, _)| number.wrapping_sub(*before) < 1 << 31);
            if is_newer {
                found = Some((slot, number, Setup::from_bytes(content)));
            }
        }
    }
    match failed {
        Some(error) if !answered => Err(error),
        _ => Ok(found),
    }
}

/// The setup that was stored last.
///
/// # Errors
/// [`StoreError::Empty`] if nothing whole is there, [`StoreError::Memory`] if no slot can be read,
/// [`StoreError::Setup`] for a whole record of another form.
pub fn load<M: Memory>(memory: &mut M) -> Result<Setup, StoreError<M::Error>> {
    match newest(memory).map_err(StoreError::Memory)? {
        Some((_, _, setup)) => setup.map_err(StoreError::Setup),
        None => Err(StoreError::Empty),
    }
}

/// Stores a setup, and reads it back.
///
/// # Errors
/// [`StoreError::Setup`] for a setup out of range, before anything is touched; [`StoreError::Memory`] and
/// [`StoreError::NotKept`] otherwise: the setup before this one is then still there.
pub fn save<M: Memory>(memory: &mut M, setup: &Setup) -> Result<(), StoreError<M::Error>> {
    setup.check().map_err(StoreError::Setup)?;
    let (slot, number) = match newest(memory).map_err(StoreError::Memory)? {
        Some((slot, number, _)) => (slot.other(), number.wrapping_add(1)),
        None => (Slot::First, 0),
    };
    let mut bytes = [0; SLOT_BYTES];
    let content = setup.to_bytes();
    let head = NAME.into_iter().chain(number.to_le_bytes());
    for (to, from) in bytes.iter_mut().zip(head.chain(content)) {
        *to = from;
    }
    let sum = checksum(bytes.get(..RECORD - TAIL).unwrap_or(&[])).to_le_bytes();
    for (to, from) in bytes.iter_mut().skip(RECORD - TAIL).zip(sum) {
        *to = from;
    }
    memory.erase(slot).map_err(StoreError::Memory)?;
    memory.write(slot, &bytes).map_err(StoreError::Memory)?;
    let mut back = [0; SLOT_BYTES];
    memory.read(slot, &mut back).map_err(StoreError::Memory)?;
    if back == bytes {
        Ok(())
    } else {
        Err(StoreError::NotKept)
    }
}
