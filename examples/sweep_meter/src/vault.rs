//! Two slots for a calibration.
//!
//! ```text
//! 4 bytes   number of the record, one more with each store
//! 4 bytes   the same with each bit turned, so that a half-written number is noticed
//! content   the table in the library's form, which has a checksum
//! ```
//!
//! A store goes into the slot that does not hold the newest whole record: a supply that fails at any byte leaves that one.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::calibration::{CalibrationPoint, CalibrationTable};
use ohmwright::stored::StoredError;

const HEAD: usize = 8;

/// One of the two places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slot {
    /// The one at the lower address.
    First,
    /// The one at the higher address.
    Second,
}

/// Memory with two slots. Writing one must never touch the other: in flash, they are in different sectors.
pub trait Vault {
    /// Why it failed.
    type Error;

    /// Reads a slot from its beginning.
    ///
    /// # Errors
    /// Whatever the memory tells.
    fn read(&mut self, slot: Slot, bytes: &mut [u8]) -> Result<(), Self::Error>;

    /// Erases a slot where that is needed, and writes it from its beginning.
    ///
    /// # Errors
    /// Whatever the memory tells.
    fn write(&mut self, slot: Slot, bytes: &[u8]) -> Result<(), Self::Error>;
}

/// Why no calibration was stored or loaded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VaultError {
    /// The memory failed.
    Memory,
    /// Nothing whole is stored.
    Empty,
    /// The table does not fit the buffer, or its content is refused.
    Stored(StoredError),
    /// What was read back is not what was written.
    NotKept,
}

/// The number of a slot's record, if the table behind it is whole.
fn number<A: Arithmetic>(bytes: &[u8], points: &mut [CalibrationPoint<A>]) -> Option<u32> {
    let (number, rest) = bytes.split_first_chunk::<4>()?;
    let (turned, table) = rest.split_first_chunk::<4>()?;
    let number = u32::from_le_bytes(*number);
    let is_whole = u32::from_le_bytes(*turned) == !number && CalibrationTable::load(table, points).is_ok();
    is_whole.then_some(number)
}

/// The slot of the newest whole record, and its number. `buffer` and `points` are spoilt.
fn newest<A: Arithmetic, V: Vault>(
    vault: &mut V,
    buffer: &mut [u8],
    points: &mut [CalibrationPoint<A>],
) -> Result<Option<(Slot, u32)>, VaultError> {
    let mut found: Option<(Slot, u32)> = None;
    let mut answered = false;
    for slot in [Slot::First, Slot::Second] {
        if vault.read(slot, buffer).is_err() {
            continue;
        }
        answered = true;
        if let Some(number) = number(buffer, points) {
            let is_newer = found.is_none_or(|(_, before)| number.wrapping_sub(before) < 1 << 31);
            if is_newer {
                found = Some((slot, number));
            }
        }
    }
    if answered {
        Ok(found)
    } else {
        Err(VaultError::Memory)
    }
}

/// Loads the newest calibration into `points`; returns how many there are, and the table's reference and power stay in its
/// bytes. `buffer` holds a slot.
pub(crate) fn load<A: Arithmetic, V: Vault>(
    vault: &mut V,
    buffer: &mut [u8],
    points: &mut [CalibrationPoint<A>],
) -> Result<usize, VaultError> {
    let (slot, _) = newest(vault, buffer, points)?.ok_or(VaultError::Empty)?;
    vault.read(slot, buffer).map_err(|_| VaultError::Memory)?;
    let table = buffer.get(HEAD..).unwrap_or(&[]);
    CalibrationTable::load(table, points)
        .map(|table| table.points().len())
        .map_err(VaultError::Stored)
}

/// Stores a table. `buffer` holds a slot, `back` another, to read back; `scratch` is room for as many points.
pub(crate) fn save<A: Arithmetic, V: Vault>(
    vault: &mut V,
    table: &CalibrationTable<'_, A>,
    buffer: &mut [u8],
    scratch: &mut [CalibrationPoint<A>],
) -> Result<(), VaultError> {
    let (slot, record) = match newest(vault, buffer, scratch)? {
        Some((Slot::First, number)) => (Slot::Second, number.wrapping_add(1)),
        Some((Slot::Second, number)) => (Slot::First, number.wrapping_add(1)),
        None => (Slot::First, 0),
    };
    let (head, room) = buffer
        .split_at_mut_checked(HEAD)
        .ok_or(VaultError::Stored(StoredError::TooShort))?;
    let numbers = record.to_le_bytes().into_iter().chain((!record).to_le_bytes());
    head.iter_mut().zip(numbers).for_each(|(to, from)| *to = from);
    let used = table.store(room).map_err(VaultError::Stored)?;
    let whole = buffer.get(..HEAD + used).unwrap_or(&[]);
    vault.write(slot, whole).map_err(|_| VaultError::Memory)?;
    vault.read(slot, buffer).map_err(|_| VaultError::Memory)?;
    if number(buffer, scratch) == Some(record) {
        Ok(())
    } else {
        Err(VaultError::NotKept)
    }
}
