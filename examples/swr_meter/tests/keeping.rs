//! The store: whatever happens in the middle of it, a setup is left.

mod bench;

use bench::straight;
use embedded_hal::i2c::{ErrorKind, NoAcknowledgeSource};
use embedded_hal_mock::eh1::delay::NoopDelay;
use embedded_hal_mock::eh1::i2c::{Mock as Bus, Transaction as OnBus};
use swr_meter::demo::DEMO;
use swr_meter::memory::{BusMemory, Memory, SLOT_BYTES, Slot};
use swr_meter::store::{StoreError, checksum, load, save};
use swr_meter::{SETUP_BYTES, Setup, SetupError};

/// Two slots whose supply fails after so many bytes were erased or written.
#[derive(Clone)]
struct Failing {
    slots: [[u8; SLOT_BYTES]; 2],
    left: usize,
    /// What a byte becomes that is hit in the middle.
    torn: u8,
}

#[derive(Debug, PartialEq)]
struct Brownout;

impl Failing {
    fn new() -> Self {
        Self {
            slots: [[0xff; SLOT_BYTES]; 2],
            left: usize::MAX,
            torn: 0,
        }
    }

    fn each(&mut self, slot: Slot, to: impl Fn(usize) -> u8) -> Result<(), Brownout> {
        for place in 0..SLOT_BYTES {
            let byte = &mut self.slots[slot as usize][place];
            if self.left == 0 {
                *byte = self.torn;
                return Err(Brownout);
            }
            self.left -= 1;
            *byte = to(place);
        }
        Ok(())
    }
}

impl Memory for Failing {
    type Error = Brownout;

    fn read(&mut self, slot: Slot, bytes: &mut [u8; SLOT_BYTES]) -> Result<(), Brownout> {
        if self.left == 0 {
            return Err(Brownout);
        }
        *bytes = self.slots[slot as usize];
        Ok(())
    }

    fn erase(&mut self, slot: Slot) -> Result<(), Brownout> {
        self.each(slot, |_| 0xff)
    }

    fn write(&mut self, slot: Slot, bytes: &[u8; SLOT_BYTES]) -> Result<(), Brownout> {
        self.each(slot, |place| bytes[place])
    }
}

fn with_limit(limit_thousandths: u32) -> Setup {
    Setup {
        limit_thousandths,
        ..straight()
    }
}

#[test]
fn a_setup_comes_back() {
    let mut memory = Failing::new();
    assert_eq!(load(&mut memory), Err(StoreError::Empty));
    for setup in [straight(), DEMO, with_limit(3_000), with_limit(1_500), DEMO] {
        save(&mut memory, &setup).unwrap();
        assert_eq!(load(&mut memory), Ok(setup));
    }
}

#[test]
fn a_supply_that_fails_at_any_byte_leaves_the_old_setup_or_the_new_one() {
    let [old, new, later] = [1_500, 2_500, 3_000].map(with_limit);
    // From either slot, and from a memory with one setup or two.
    for stores in 1..4 {
        let mut before = Failing::new();
        for limit in 0..stores {
            save(&mut before, &with_limit(5_000 + limit)).unwrap();
        }
        save(&mut before, &old).unwrap();
        let (mut olds, mut news) = (0, 0);
        for bytes in 0..=2 * SLOT_BYTES + 1 {
            for torn in [0x00, 0xff, 0x5a] {
                let mut memory = Failing {
                    left: bytes,
                    torn,
                    ..before.clone()
                };
                let stored = save(&mut memory, &new);
                memory.left = usize::MAX;
                let found = load(&mut memory);
                assert!(found == Ok(old) || found == Ok(new), "{bytes} bytes: {found:?}");
                if stored.is_ok() {
                    assert_eq!(found, Ok(new), "{bytes} bytes");
                }
                if found == Ok(old) {
                    olds += 1
                } else {
                    news += 1
                }
                // And the next store is as good as any.
                save(&mut memory, &later).unwrap();
                assert_eq!(load(&mut memory), Ok(later));
            }
        }
        assert!(olds > 1_000 && news > 3, "{olds} {news}");
    }
}

/// Two failures in a row: the second store was cut as well.
#[test]
fn two_brown_outs_in_a_row_lose_nothing_either() {
    let [old, new, later] = [1_500, 2_500, 3_000].map(with_limit);
    let mut before = Failing::new();
    save(&mut before, &old).unwrap();
    for first in (0..2 * SLOT_BYTES).step_by(7) {
        for second in (0..2 * SLOT_BYTES).step_by(11) {
            let mut memory = Failing {
                left: first,
                torn: 0x5a,
                ..before.clone()
            };
            assert!(save(&mut memory, &new).is_err());
            memory.left = second;
            assert!(save(&mut memory, &later).is_err());
            memory.left = usize::MAX;
            assert!(
                [old, new, later].contains(&load(&mut memory).unwrap()),
                "{first} {second}"
            );
        }
    }
}

#[test]
fn every_damaged_bit_is_noticed() {
    let mut whole = Failing::new();
    save(&mut whole, &straight()).unwrap();
    let used = 6 + SETUP_BYTES + 4;
    for bit in 0..8 * SLOT_BYTES {
        let mut memory = whole.clone();
        memory.slots[0][bit / 8] ^= 1 << (bit % 8);
        let wanted = if bit / 8 < used {
            Err(StoreError::Empty)
        } else {
            Ok(straight())
        };
        assert_eq!(load(&mut memory), wanted, "bit {bit}");
    }
    // With an older one beside it, that one is read.
    save(&mut whole, &DEMO).unwrap();
    whole.slots[1][77] ^= 4;
    assert_eq!(load(&mut whole), Ok(straight()));
}

#[test]
fn the_numbers_come_round() {
    let mut memory = Failing::new();
    save(&mut memory, &straight()).unwrap();
    // The record before the number comes round.
    let slot = &mut memory.slots[0];
    slot[2..6].copy_from_slice(&u32::MAX.to_le_bytes());
    let end = 6 + SETUP_BYTES;
    let sum = checksum(&slot[..end]);
    slot[end..end + 4].copy_from_slice(&sum.to_le_bytes());
    for limit in [1_500, 2_500, 3_000, 2_000] {
        save(&mut memory, &with_limit(limit)).unwrap();
        assert_eq!(load(&mut memory), Ok(with_limit(limit)));
    }
}

/// The check value that catalogues of CRCs print for "123456789" (from memory).
#[test]
fn the_checksum_is_that_of_ethernet() {
    assert_eq!(checksum(b"123456789"), 0xcbf4_3926);
}

#[test]
fn a_memory_that_does_not_keep_is_noticed_and_a_bad_setup_touches_nothing() {
    struct Protected(Failing);
    impl Memory for Protected {
        type Error = Brownout;
        fn read(&mut self, slot: Slot, bytes: &mut [u8; SLOT_BYTES]) -> Result<(), Brownout> {
            self.0.read(slot, bytes)
        }
        fn erase(&mut self, _: Slot) -> Result<(), Brownout> {
            Ok(())
        }
        fn write(&mut self, _: Slot, _: &[u8; SLOT_BYTES]) -> Result<(), Brownout> {
            Ok(())
        }
    }
    let mut memory = Protected(Failing::new());
    save(&mut memory.0, &straight()).unwrap();
    assert_eq!(save(&mut memory, &DEMO), Err(StoreError::NotKept));
    assert_eq!(load(&mut memory), Ok(straight()));
    let before = memory.0.slots;
    let error = Err(StoreError::Setup(SetupError::Limit));
    assert_eq!(save(&mut memory.0, &with_limit(1_000)), error);
    assert_eq!(memory.0.slots, before);
}

#[test]
fn a_setup_of_another_form_is_refused() {
    let bytes = DEMO.to_bytes();
    assert_eq!(Setup::from_bytes(&bytes), Ok(DEMO));
    let with = |place: usize, byte: u8| {
        let mut spoilt = bytes;
        spoilt[place] = byte;
        Setup::from_bytes(&spoilt)
    };
    assert_eq!(with(0, 2), Err(SetupError::Form));
    assert_eq!(with(30, 17), Err(SetupError::Levels));
    assert_eq!(with(30, 1), Err(SetupError::Levels));
}

/// The chip on the bus, byte by byte: the address, then a page at a time.
#[test]
fn the_chip_on_the_bus_is_written_page_by_page() {
    let mut bytes = [0; SLOT_BYTES];
    for (place, byte) in bytes.iter_mut().enumerate() {
        *byte = place as u8;
    }
    let mut expected: Vec<_> = (0..8u16)
        .map(|page| {
            let start = 256 + 32 * page;
            let data = bytes[32 * page as usize..][..32].iter().copied();
            OnBus::write(0x50, start.to_be_bytes().into_iter().chain(data).collect())
        })
        .collect();
    expected.push(OnBus::write_read(0x50, vec![1, 0], bytes.to_vec()));
    let mut bus = Bus::new(&expected);
    let mut memory = BusMemory::<_, _, 32>::new(bus.clone(), NoopDelay::new(), 0x50, 5);
    memory.erase(Slot::Second).unwrap();
    memory.write(Slot::Second, &bytes).unwrap();
    let mut back = [0; SLOT_BYTES];
    memory.read(Slot::Second, &mut back).unwrap();
    assert_eq!(back, bytes);
    bus.done();
}

#[test]
fn an_absent_chip_is_an_error_with_its_cause() {
    let none = ErrorKind::NoAcknowledge(NoAcknowledgeSource::Address);
    let refused = |at: u8| OnBus::write_read(0x50, vec![at, 0], vec![0; SLOT_BYTES]).with_error(none);
    let mut bus = Bus::new(&[refused(0), refused(1), refused(0), refused(1)]);
    let mut memory = BusMemory::<_, _, 32>::new(bus.clone(), NoopDelay::new(), 0x50, 5);
    assert_eq!(load(&mut memory), Err(StoreError::Memory(none)));
    assert_eq!(save(&mut memory, &DEMO), Err(StoreError::Memory(none)));
    bus.done();
}
