//! What is stored in flash: the frame that all stored forms share.
//!
//! ```text
//! byte 0-1   what it is, two letters
//! byte 2     version of the form, 1
//! byte 3     number family, 1 Fixed32, 3 f32, 4 f64, 5 Fixed16 (2 was Fixed16 with another word for Γ)
//! byte 4-7   length of what follows up to the checksum, in bytes
//! ...
//! last four  CRC-32 of all bytes before
//! ```
//!
//! All numbers are little-endian. The checksum is that of Ethernet (IEEE 802.3: polynomial 0x04C11DB7, reflected, start
//! and final complement all ones), computed bit by bit without a table: it runs rarely, and flash is scarce.

use core::fmt;

use crate::arithmetic::accuracy::Family;
use crate::arithmetic::{Arithmetic, Quantity};

/// Why data was not stored or not read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum StoredError {
    /// The buffer is too short for writing, or ends before the length that it states.
    TooShort,
    /// It holds nothing, or data of another kind.
    Foreign,
    /// It was written in a version of the form that this crate version does not know.
    Version(u8),
    /// Written in another family of numbers.
    OtherFamily,
    /// The checksum does not fit the bytes.
    Damaged,
    /// The checksum is correct, but the content breaks a rule of its type.
    Content,
    /// It has more entries than the capacity.
    Full,
}

impl fmt::Display for StoredError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Version(version) => {
                return write!(
                    f,
                    "stored in version {version} of the form, which is not known here"
                );
            }
            Self::TooShort => "the buffer is too short",
            Self::Foreign => "something else is stored there",
            Self::OtherFamily => "stored in another family of numbers",
            Self::Damaged => "the checksum does not fit: the stored bytes are damaged",
            Self::Content => "the stored content contradicts itself",
            Self::Full => "more entries are stored than the capacity",
        })
    }
}

impl core::error::Error for StoredError {}

/// Bytes before the content.
const HEAD: usize = 8;
/// Bytes of the checksum.
const TAIL: usize = 4;
const VERSION: u8 = 1;

/// Bytes of a stored form beyond its content.
pub(crate) const FRAME: usize = HEAD + TAIL;

fn code<A: Arithmetic>() -> u8 {
    match A::FAMILY {
        Family::Fixed32 => 1,
        Family::Fixed16 => 5,
        Family::F32 | Family::SoftF32 => 3,
        Family::F64 => 4,
    }
}

/// CRC-32 of IEEE 802.3.
pub(crate) fn checksum(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= *byte as u32;
        for _ in 0..8 {
            sum = (sum >> 1) ^ (0xedb8_8320 & (sum & 1).wrapping_neg());
        }
    }
    !sum
}

/// Writes a stored form from front to back.
#[derive(Debug)]
pub(crate) struct StoredWriter<'a> {
    buffer: &'a mut [u8],
    length: usize,
}

impl<'a> StoredWriter<'a> {
    /// For `bytes` bytes in all. They are there before the first is written: what is in the buffer may be the only copy.
    pub(crate) fn new<A: Arithmetic>(
        buffer: &'a mut [u8],
        name: [u8; 2],
        bytes: usize,
    ) -> Result<Self, StoredError> {
        if buffer.len() < bytes {
            return Err(StoredError::TooShort);
        }
        let mut writer = Self { buffer, length: 0 };
        writer.put(&name)?;
        writer.put(&[VERSION, code::<A>()])?;
        writer.put(&[0; 4])?;
        Ok(writer)
    }

    pub(crate) fn put(&mut self, bytes: &[u8]) -> Result<(), StoredError> {
        let end = self.length.saturating_add(bytes.len());
        let place = self
            .buffer
            .get_mut(self.length..end)
            .ok_or(StoredError::TooShort)?;
        for (to, from) in place.iter_mut().zip(bytes) {
            *to = *from;
        }
        self.length = end;
        Ok(())
    }

    /// A word, in as many bytes as it has.
    pub(crate) fn put_word<Q: Quantity>(&mut self, word: Q) -> Result<(), StoredError> {
        let bytes = word.to_stored().to_le_bytes();
        self.put(bytes.get(..Q::STORED_BYTES).unwrap_or(&bytes))
    }

    /// Writes length and checksum; returns the number of bytes written.
    pub(crate) fn finish(mut self) -> Result<usize, StoredError> {
        let content = (self.length.saturating_sub(HEAD) as u32).to_le_bytes();
        let place = self.buffer.get_mut(4..HEAD).ok_or(StoredError::TooShort)?;
        for (to, from) in place.iter_mut().zip(content) {
            *to = from;
        }
        let sum = checksum(self.buffer.get(..self.length).ok_or(StoredError::TooShort)?);
        self.put(&sum.to_le_bytes())?;
        Ok(self.length)
    }
}

/// Reads a stored form from front to back. It returns data only after the checksum is verified.
#[derive(Clone, Copy, Debug)]
pub(crate) struct StoredReader<'a> {
    rest: &'a [u8],
}

impl<'a> StoredReader<'a> {
    pub(crate) fn new<A: Arithmetic>(bytes: &'a [u8], name: [u8; 2]) -> Result<Self, StoredError> {
        let (head, rest) = bytes.split_at_checked(HEAD).ok_or(StoredError::TooShort)?;
        let &[a, b, version, family, l0, l1, l2, l3] = head else {
            return Err(StoredError::TooShort);
        };
        if [a, b] != name {
            return Err(StoredError::Foreign);
        }
        let length = u32::from_le_bytes([l0, l1, l2, l3]) as usize;
        let (content, tail) = rest.split_at_checked(length).ok_or(StoredError::TooShort)?;
        let sum = tail.first_chunk::<TAIL>().ok_or(StoredError::TooShort)?;
        let before = bytes
            .get(..HEAD.saturating_add(length))
            .ok_or(StoredError::TooShort)?;
        if checksum(before) != u32::from_le_bytes(*sum) {
            return Err(StoredError::Damaged);
        }
        // Checked after the checksum: a damaged byte must not be reported as another version or family.
        if version != VERSION {
            return Err(StoredError::Version(version));
        }
        if family != code::<A>() {
            return Err(StoredError::OtherFamily);
        }
        Ok(Self { rest: content })
    }

    /// The next `N` bytes.
    pub(crate) fn take<const N: usize>(&mut self) -> Result<[u8; N], StoredError> {
        let (bytes, rest) = self.rest.split_first_chunk::<N>().ok_or(StoredError::Content)?;
        self.rest = rest;
        Ok(*bytes)
    }

    /// The next word, which must be finite.
    pub(crate) fn take_word<Q: Quantity>(&mut self) -> Result<Q, StoredError> {
        let (bytes, rest) = self
            .rest
            .split_at_checked(Q::STORED_BYTES)
            .ok_or(StoredError::Content)?;
        self.rest = rest;
        let bits = bytes
            .iter()
            .rev()
            .fold(0, |bits, byte| (bits << 8) | *byte as u64);
        let word = Q::from_stored(bits);
        if word.is_finite() {
            Ok(word)
        } else {
            Err(StoredError::Content)
        }
    }

    /// Checks that no bytes remain.
    pub(crate) fn finish(self) -> Result<(), StoredError> {
        if self.rest.is_empty() {
            Ok(())
        } else {
            Err(StoredError::Content)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arithmetic::{Fixed16, Fixed32};

    /// The check value that catalogues of CRCs print for "123456789" (from memory).
    #[test]
    fn the_checksum_is_that_of_ethernet() {
        assert_eq!(checksum(b"123456789"), 0xcbf4_3926);
        assert_eq!(checksum(b""), 0);
    }

    #[test]
    fn words_of_every_family_come_back() {
        fn there_and_back<A: Arithmetic, Q: Quantity>(word: Q, bytes: usize) {
            let mut buffer = [0; 32];
            let mut writer = StoredWriter::new::<A>(&mut buffer, *b"tt", FRAME + bytes).unwrap();
            writer.put_word(word).unwrap();
            assert_eq!(writer.finish(), Ok(FRAME + bytes));
            let mut reader = StoredReader::new::<A>(&buffer, *b"tt").unwrap();
            assert_eq!(reader.take_word(), Ok(word));
            assert_eq!(reader.finish(), Ok(()));
        }
        there_and_back::<Fixed32, _>(fixed::types::I2F30::from_bits(-123_456_789), 4);
        there_and_back::<Fixed16, _>(fixed::types::I2F14::from_bits(-12_345), 2);
        there_and_back::<Fixed32, _>(u32::MAX, 4);
        there_and_back::<f32, _>(-1.5f32, 4);
        there_and_back::<f64, _>(-1e-300f64, 8);
    }

    #[test]
    fn a_stored_nan_is_no_word() {
        let mut buffer = [0; 32];
        let mut writer = StoredWriter::new::<f32>(&mut buffer, *b"tt", FRAME + 4).unwrap();
        writer.put_word(f32::NAN).unwrap();
        writer.finish().unwrap();
        let mut reader = StoredReader::new::<f32>(&buffer, *b"tt").unwrap();
        assert_eq!(reader.take_word::<f32>(), Err(StoredError::Content));
    }

    #[test]
    fn what_is_written_is_read_and_every_damaged_bit_is_noticed() {
        let mut buffer = [0; 32];
        let mut writer = StoredWriter::new::<Fixed32>(&mut buffer, *b"tt", FRAME + 7).unwrap();
        writer.put(&7u32.to_le_bytes()).unwrap();
        writer.put(&[1, 2, 3]).unwrap();
        let length = writer.finish().unwrap();
        assert_eq!(length, FRAME + 7);
        let read = |bytes: &[u8]| -> Result<u32, StoredError> {
            let mut reader = StoredReader::new::<Fixed32>(bytes, *b"tt")?;
            let number = u32::from_le_bytes(reader.take()?);
            assert_eq!(reader.take()?, [1, 2, 3]);
            reader.finish()?;
            Ok(number)
        };
        assert_eq!(read(&buffer[..length]), Ok(7));
        // Bytes after the stored form do not matter.
        assert_eq!(read(&buffer), Ok(7));
        for bit in 0..8 * length {
            let mut damaged = buffer;
            damaged[bit / 8] ^= 1 << (bit % 8);
            assert!(read(&damaged).is_err(), "bit {bit}");
        }
        for short in 0..length {
            assert!(read(&buffer[..short]).is_err(), "{short} bytes");
        }
        let other = StoredReader::new::<Fixed16>(&buffer, *b"tt");
        assert!(matches!(other, Err(StoredError::OtherFamily)));
        let other = StoredReader::new::<Fixed32>(&buffer, *b"uu");
        assert!(matches!(other, Err(StoredError::Foreign)));
        let mut short = [0; 10];
        // Said to need less than it does.
        let writer = StoredWriter::new::<Fixed32>(&mut short, *b"tt", 0).unwrap();
        assert_eq!(writer.finish(), Err(StoredError::TooShort));
    }

    #[test]
    fn content_that_is_left_over_is_noticed() {
        let mut buffer = [0; 32];
        let mut writer = StoredWriter::new::<Fixed32>(&mut buffer, *b"tt", FRAME + 3).unwrap();
        writer.put(&[1, 2, 3]).unwrap();
        writer.finish().unwrap();
        for taken in 0..4 {
            let mut reader = StoredReader::new::<Fixed32>(&buffer, *b"tt").unwrap();
            for byte in 1..=taken {
                assert_eq!(reader.take(), Ok([byte]));
            }
            let wanted = if taken == 3 {
                Ok(())
            } else {
                Err(StoredError::Content)
            };
            assert_eq!(reader.finish(), wanted, "{taken} bytes taken");
        }
    }
}
