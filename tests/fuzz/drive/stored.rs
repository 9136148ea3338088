//! Stored forms: what is taken is written again as it was, and what is damaged is refused.

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::control::{Arrangement, Bank, BankCapacitor, BankCoil, TunerMemory};
use ohmwright::measure::calibration::{CalibrationPoint, CalibrationTable};
use ohmwright::quantity::{Capacitance, Hertz, Inductance};
use ohmwright::stored::StoredError;

use super::Bytes;

/// Bytes before the content: name, version, family, length.
const HEAD: usize = 8;

pub fn run(data: &[u8]) {
    is_taken(data);
}

/// The first byte says which form, and how much of a frame is put round the rest.
pub fn is_taken(data: &[u8]) -> bool {
    let mut bytes = Bytes::new(data);
    let how = bytes.byte();
    let rest = &data[data.len().min(1)..];
    let name = if how & 1 == 0 { *b"ct" } else { *b"tm" };
    // The numbers that a form has for the four families.
    let family = [1, 5, 3, 4][(how >> 1) as usize % 4];
    let framed = match how >> 6 {
        // As it comes.
        0 => rest.to_vec(),
        // With a sound frame, so that the content is looked at.
        _ => frame(name, family, rest),
    };
    match (name == *b"ct", family) {
        (true, 1) => table::<Fixed32>(&framed),
        (true, 5) => table::<Fixed16>(&framed),
        (true, 3) => table::<f32>(&framed),
        (true, _) => table::<f64>(&framed),
        (false, 1) => memory::<Fixed32>(&framed),
        (false, 5) => memory::<Fixed16>(&framed),
        (false, 3) => memory::<f32>(&framed),
        (false, _) => memory::<f64>(&framed),
    }
}

fn frame(name: [u8; 2], family: u8, content: &[u8]) -> Vec<u8> {
    let mut framed = vec![name[0], name[1], 1, family];
    framed.extend((content.len() as u32).to_le_bytes());
    framed.extend(content);
    framed.extend(checksum(&framed).to_le_bytes());
    framed
}

/// CRC-32 of IEEE 802.3 (clause 3.2.9), by its definition as a division of polynomials, most significant bit first; the
/// library does it the other way round.
pub fn checksum(bytes: &[u8]) -> u32 {
    let mut rest = u32::MAX;
    for byte in bytes {
        rest ^= u32::from(byte.reverse_bits()) << 24;
        for _ in 0..8 {
            let carry = rest >> 31;
            rest <<= 1;
            if carry == 1 {
                rest ^= 0x04c1_1db7;
            }
        }
    }
    !rest.reverse_bits()
}

/// The bytes that a form states for itself.
fn stated(bytes: &[u8]) -> usize {
    let length: [u8; 4] = bytes[HEAD - 4..HEAD].try_into().unwrap();
    HEAD + u32::from_le_bytes(length) as usize + 4
}

/// One bit is turned in every byte, one after the other: none of these is taken.
fn damaged(bytes: &[u8], mut load: impl FnMut(&[u8]) -> Result<(), StoredError>) {
    let mut spoilt = bytes.to_vec();
    for place in 0..spoilt.len() {
        let bit = 1 << (place % 8);
        spoilt[place] ^= bit;
        assert!(load(&spoilt).is_err(), "taken with byte {place} damaged");
        spoilt[place] ^= bit;
    }
    // Nor one with a byte too many inside of a sound frame.
    let content = [&bytes[HEAD..bytes.len() - 4], &[0]].concat();
    let longer = frame([bytes[0], bytes[1]], bytes[3], &content);
    assert_eq!(load(&longer), Err(StoredError::Content));
}

fn table<A: Arithmetic>(bytes: &[u8]) -> bool {
    let mut buffer = [CalibrationPoint::<A>::EMPTY; 8];
    let table = match CalibrationTable::load(bytes, &mut buffer) {
        Ok(table) => table,
        Err(error) => {
            assert!(!error.to_string().is_empty());
            return false;
        }
    };
    let mut again = vec![0; table.stored_bytes()];
    let length = table.store(&mut again).unwrap();
    assert_eq!(length, again.len());
    // A frequency may have been written in more bytes than it needs: then the second form is the shorter one.
    assert!(length <= stated(bytes));
    if length == stated(bytes) {
        assert_eq!(&again[..], &bytes[..length]);
    }
    let mut buffer = [CalibrationPoint::<A>::EMPTY; 8];
    assert!(CalibrationTable::load(&again, &mut buffer).is_ok());
    damaged(&again, |spoilt| {
        CalibrationTable::load(spoilt, &mut buffer).map(|_| ())
    });
    true
}

fn memory<A: Arithmetic>(bytes: &[u8]) -> bool {
    let coil = BankCoil::<A>::lossless(Inductance::from_picohenries(100_000));
    let capacitor = BankCapacitor::<A>::lossless(Capacitance::from_femtofarads(10_000));
    let bank = Bank::new([coil; 5], [capacitor; 6], Arrangement::Changeover).unwrap();
    let mut buffer = [None; 6];
    let mut memory = TunerMemory::<A>::new(&mut buffer);
    let count = match memory.load(bytes, &bank) {
        Ok(count) => count,
        Err(error) => {
            assert!(!error.to_string().is_empty());
            // Nothing was taken.
            assert_eq!(memory.entries().count(), 0);
            return false;
        }
    };
    assert_eq!(memory.entries().count(), count);
    let found = memory.entries().all(|entry| {
        entry.frequency > Hertz::new(0)
            && bank.has(entry.setting)
            && memory.nearest(entry.frequency, Hertz::new(0)).is_some()
    });
    assert!(found);
    let mut again = vec![0; TunerMemory::<A>::stored_bytes(count)];
    assert_eq!(memory.store(&mut again), Ok(again.len()));
    assert_eq!(&again[..], &bytes[..stated(bytes)]);
    let mut buffer = [None; 6];
    let mut memory = TunerMemory::<A>::new(&mut buffer);
    damaged(&again, |spoilt| memory.load(spoilt, &bank).map(|_| ()));
    true
}
