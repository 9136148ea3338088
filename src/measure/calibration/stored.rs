//! A table as bytes, for flash.
//!
//! ```text
//! head        of every stored form (see `stored`), with the letters "ct"
//! word        power of the source, dBm
//! word        reference, ohms
//! 4 bytes     number of frequencies
//! each        distance from the frequency before, hertz: seven bits a byte, the lowest first,
//!             the top bit says that more follow
//!             directivity, source match, tracking: real and imaginary part, in the words of the family
//! checksum    of every stored form
//! ```
//!
//! A point on a grid of some ten kilohertz takes 27 bytes in a 32-bit family, 15 in a 16-bit family.

use super::{CalibrationPoint, CalibrationTable, ErrorTerms};
use crate::arithmetic::{Arithmetic, Quantity};
use crate::quantity::{Component, Decibels, Hertz, Ohms, Reference, Reflection};
use crate::stored::{FRAME, StoredError, StoredReader, StoredWriter};

const NAME: [u8; 2] = *b"ct";

impl<A: Arithmetic> CalibrationTable<'_, A> {
    /// The number of bytes that [`store`](Self::store) writes.
    pub fn stored_bytes(&self) -> usize {
        let mut before = 0;
        let mut bytes = FRAME + Decibels::<A>::STORED_BYTES + Ohms::<A>::STORED_BYTES + 4;
        for point in self.points() {
            let step = point.frequency.get().wrapping_sub(before);
            before = point.frequency.get();
            // Seven bits a byte, and a byte for 0.
            let digits = (u64::BITS - step.leading_zeros()).max(1).div_ceil(7);
            bytes = bytes.saturating_add(digits as usize + 6 * Component::<A>::STORED_BYTES);
        }
        bytes
    }

    /// Writes the table, and returns the number of bytes.
    ///
    /// # Errors
    /// [`StoredError::TooShort`] for a buffer shorter than [`stored_bytes`](Self::stored_bytes);
    /// [`StoredError::Content`] for a power that is not finite, with which no table is read back. The buffer is then
    /// unchanged: a table that was in it is still there.
    pub fn store(&self, buffer: &mut [u8]) -> Result<usize, StoredError> {
        let conditions = self.conditions();
        if !conditions.power_dbm.is_finite() {
            return Err(StoredError::Content);
        }
        let mut writer = StoredWriter::new::<A>(buffer, NAME, self.stored_bytes())?;
        writer.put_word(conditions.power_dbm)?;
        writer.put_word(conditions.reference.ohms())?;
        writer.put(&(self.points().len() as u32).to_le_bytes())?;
        let mut before = 0;
        for point in self.points() {
            let mut step = point.frequency.get().wrapping_sub(before);
            before = point.frequency.get();
            while step > 0x7f {
                writer.put(&[step as u8 | 0x80])?;
                step >>= 7;
            }
            writer.put(&[step as u8])?;
            for (re, im) in point.terms.parts() {
                writer.put_word(re)?;
                writer.put_word(im)?;
            }
        }
        writer.finish()
    }
}

impl<'a, A: Arithmetic> CalibrationTable<'a, A> {
    /// Reads a table that [`store`](Self::store) has written, into the caller's memory. Bytes after it are ignored.
    ///
    /// # Errors
    /// [`Full`](StoredError::Full) for more frequencies than the capacity; [`Content`](StoredError::Content) for a
    /// content that is no table; another [`StoredError`] for bytes that are damaged, foreign, of another family or an
    /// unknown version. The memory may then hold a part of it.
    pub fn load(bytes: &[u8], buffer: &'a mut [CalibrationPoint<A>]) -> Result<Self, StoredError> {
        let mut reader = StoredReader::new::<A>(bytes, NAME)?;
        let power_dbm: Decibels<A> = reader.take_word()?;
        let reference = Reference::new(reader.take_word::<Ohms<A>>()?).map_err(|_| StoredError::Content)?;
        let count = u32::from_le_bytes(reader.take()?) as usize;
        let (points, _) = buffer.split_at_mut_checked(count).ok_or(StoredError::Full)?;
        let mut frequency = 0u64;
        for point in points.iter_mut() {
            frequency = frequency
                .checked_add(step(&mut reader)?)
                .ok_or(StoredError::Content)?;
            *point = CalibrationPoint {
                frequency: Hertz::new(frequency),
                terms: ErrorTerms {
                    directivity: reflection(&mut reader)?,
                    source_match: reflection(&mut reader)?,
                    tracking: reflection(&mut reader)?,
                },
            };
        }
        reader.finish()?;
        Self::new(points, reference, power_dbm).map_err(|_| StoredError::Content)
    }
}

/// A number stored with seven bits per byte.
fn step(reader: &mut StoredReader<'_>) -> Result<u64, StoredError> {
    let mut step = 0u64;
    let mut place = 0u32;
    loop {
        let [byte] = reader.take()?;
        let digits = (byte & 0x7f) as u64;
        let part = digits.checked_shl(place).ok_or(StoredError::Content)?;
        if part >> place != digits {
            return Err(StoredError::Content);
        }
        step |= part;
        if byte & 0x80 == 0 {
            return Ok(step);
        }
        place = place.saturating_add(7);
    }
}

fn reflection<A: Arithmetic>(reader: &mut StoredReader<'_>) -> Result<Reflection<A>, StoredError> {
    let (re, im) = (
        reader.take_word::<Component<A>>()?,
        reader.take_word::<Component<A>>()?,
    );
    Reflection::new(re, im).map_err(|_| StoredError::Content)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The step of frequency that these bytes stand for.
    fn read(bytes: &[u8]) -> Result<u64, StoredError> {
        let mut buffer = [0; 32];
        let mut writer = StoredWriter::new::<f64>(&mut buffer, NAME, FRAME + bytes.len())?;
        writer.put(bytes)?;
        writer.finish()?;
        let mut reader = StoredReader::new::<f64>(&buffer, NAME)?;
        let step = step(&mut reader)?;
        reader.finish()?;
        Ok(step)
    }

    #[test]
    fn a_step_beyond_the_word_is_refused() {
        assert_eq!(read(&[0x00]), Ok(0));
        assert_eq!(read(&[0x7f]), Ok(127));
        assert_eq!(read(&[0x80, 0x01]), Ok(128));
        let ones = [0xff; 9];
        let with = |last: &[u8]| read(&[&ones[..], last].concat());
        assert_eq!(with(&[0x00]), Ok(u64::MAX >> 1));
        assert_eq!(with(&[0x01]), Ok(u64::MAX));
        // A 65th digit, and an eleventh byte.
        for last in [&[0x02][..], &[0x03], &[0x7f], &[0x80, 0x00], &[0x81, 0x01]] {
            assert_eq!(with(last), Err(StoredError::Content), "{last:?}");
        }
        // One that does not end.
        assert_eq!(read(&[0x80, 0x80]), Err(StoredError::Content));
    }
}
