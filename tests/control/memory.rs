//! What the tuner remembers: nearest and between, ageing, and a stored form that notices every damaged bit.

use crate::tuners::*;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::control::{Arrangement, Bank, MemoryEntry, Setting, Side, TunerMemory};
use ohmwright::design::transformer::Turns;
use ohmwright::quantity::{Hertz, QuantityError, Swr};
use ohmwright::stored::StoredError;

fn khz(kilohertz: u32) -> Hertz {
    Hertz::from_kilohertz(kilohertz)
}

fn setting(coils: u16, capacitors: u16) -> Setting {
    Setting {
        coils,
        capacitors,
        side: Side::Load,
        tap: 0,
    }
}

#[test]
fn the_nearest_is_found_and_nothing_beyond_reach() {
    fn of<A: Arithmetic>() {
        let mut storage = [None; 4];
        let mut memory = TunerMemory::<A>::new(&mut storage);
        assert_eq!(memory.nearest(khz(5_300), khz(1_000_000)), None);
        for (k, frequency) in [5_000u16, 5_200, 5_400].into_iter().enumerate() {
            memory
                .learn(khz(frequency.into()), setting(k as u16, 1), word::<Swr<A>>(1.25))
                .unwrap();
        }
        let near = |frequency, within| {
            memory
                .nearest(khz(frequency), khz(within))
                .map(|entry| entry.setting.coils)
        };
        assert_eq!(near(5_090, 200), Some(0));
        assert_eq!(near(5_110, 200), Some(1));
        assert_eq!(near(9_000, 200), None);
        assert_eq!(near(5_600, 200), Some(2));
        assert_eq!(near(5_601, 200), None);
        assert_eq!(near(5_200, 0), Some(1));
        // In the middle the newer one.
        assert_eq!(near(5_100, 200), Some(1));
        assert!(memory.forget(khz(5_200)));
        assert!(!memory.forget(khz(5_200)));
        assert_eq!(memory.entries().count(), 2);
        memory.clear();
        assert_eq!(memory.entries().count(), 0);
    }
    of::<f64>();
    of::<f32>();
    of::<Fixed32>();
    of::<Fixed16>();
}

#[test]
fn the_oldest_makes_way_and_the_same_frequency_is_replaced() {
    let mut storage = [None; 3];
    let mut memory = TunerMemory::<f64>::new(&mut storage);
    for frequency in [1_000, 2_000, 3_000] {
        memory.learn(khz(frequency), setting(1, 1), 1.5).unwrap();
    }
    memory.learn(khz(1_000), setting(2, 2), 1.4).unwrap(); // the first is now the newest
    memory.learn(khz(4_000), setting(3, 3), 1.3).unwrap();
    let mut held: Vec<_> = memory
        .entries()
        .map(|entry| (entry.frequency, entry.age))
        .collect();
    held.sort();
    assert_eq!(held, [(khz(1_000), 1), (khz(3_000), 2), (khz(4_000), 0)]);
    memory.forget_older_than(1);
    assert_eq!(memory.entries().count(), 2);
    // Without storage nothing is remembered, and nothing breaks.
    let mut none = TunerMemory::<f64>::new(&mut []);
    none.learn(khz(1), setting(0, 0), 1.0).unwrap();
    assert_eq!(none.nearest(khz(1), khz(1)), None);
}

#[test]
fn what_cannot_be_is_not_learned() {
    let mut storage = [None; 3];
    let mut memory = TunerMemory::<f64>::new(&mut storage);
    let learn =
        |memory: &mut TunerMemory<f64>, frequency, swr| memory.learn(khz(frequency), setting(0, 0), swr);
    let refused = [
        (0, 1.5, QuantityError::NotPositive("frequency")),
        (1, f64::NAN, QuantityError::NotFinite("SWR")),
        (1, f64::INFINITY, QuantityError::NotFinite("SWR")),
        (1, 0.9, QuantityError::BelowOne("SWR")),
    ];
    for (frequency, swr, error) in refused {
        assert_eq!(learn(&mut memory, frequency, swr), Err(error));
    }
    assert_eq!(memory.entries().count(), 0);
}

#[test]
fn between_two_neighbours_their_values_are_mixed() {
    let bank = usual_bank::<f64>();
    let mut storage = [None; 4];
    let mut memory = TunerMemory::<f64>::new(&mut storage);
    memory.learn(khz(5_000), setting(80, 40), 1.1).unwrap();
    memory.learn(khz(6_000), setting(40, 20), 1.1).unwrap();
    let suggest =
        |memory: &TunerMemory<f64>, frequency, within| memory.suggest(khz(frequency), khz(within), &bank);
    assert_eq!(suggest(&memory, 5_500, 2_000), Some(setting(60, 30)));
    assert_eq!(suggest(&memory, 5_250, 2_000), Some(setting(70, 35)));
    assert_eq!(suggest(&memory, 5_750, 2_000), Some(setting(50, 25)));
    // At one of them, beyond both, or with only one in reach: the nearest.
    assert_eq!(suggest(&memory, 5_000, 2_000), Some(setting(80, 40)));
    assert_eq!(suggest(&memory, 6_100, 2_000), Some(setting(40, 20)));
    assert_eq!(suggest(&memory, 5_400, 500), Some(setting(80, 40)));
    assert_eq!(suggest(&memory, 5_500, 100), None);
    // Of another side nothing is mixed.
    let other = Setting {
        side: Side::Source,
        ..setting(10, 10)
    };
    memory.learn(khz(6_000), other, 1.1).unwrap();
    assert_eq!(suggest(&memory, 5_400, 2_000), Some(setting(80, 40)));
    // A setting that another bank had is not suggested.
    let small = Bank::<f64, 1, 1>::new(
        core::array::from_fn(|k| bank.coils()[k]),
        core::array::from_fn(|k| bank.capacitors()[k]),
        Arrangement::Changeover,
    )
    .unwrap();
    assert_eq!(memory.suggest(khz(5_000), khz(1), &small), None);
}

/// Neighbours of different taps have nothing to be mixed; of the same tap they keep it.
#[test]
fn between_two_taps_nothing_is_mixed() {
    let turns = |p, s| Turns::new(p, s).unwrap();
    let bank = usual_bank::<f64>()
        .with_taps(&[turns(1, 1), turns(1, 2)])
        .unwrap();
    for (taps, wanted) in [
        ([0, 0], setting(60, 30)),
        (
            [1, 1],
            Setting {
                tap: 1,
                ..setting(60, 30)
            },
        ),
        ([0, 1], setting(80, 40)),
        (
            [1, 0],
            Setting {
                tap: 1,
                ..setting(80, 40)
            },
        ),
    ] {
        let mut storage = [None; 2];
        let mut memory = TunerMemory::<f64>::new(&mut storage);
        for (frequency, tap, own) in [
            (6_000, taps[1], setting(40, 20)),
            (5_000, taps[0], setting(80, 40)),
        ] {
            memory.learn(khz(frequency), Setting { tap, ..own }, 1.1).unwrap();
        }
        assert_eq!(
            memory.suggest(khz(5_500), khz(2_000), &bank),
            Some(wanted),
            "{taps:?}"
        );
    }
}

/// The age stops at its largest value: one that began anew would make the oldest entry the newest.
#[test]
fn the_oldest_stays_the_oldest() {
    let mut storage = [None; 2];
    let mut memory = TunerMemory::<f64>::new(&mut storage);
    memory.learn(khz(1_000), setting(1, 1), 1.5).unwrap();
    for _ in 0..65_600u32 {
        memory.learn(khz(2_000), setting(2, 2), 1.5).unwrap();
    }
    let mut ages: Vec<u16> = memory.entries().map(|entry| entry.age).collect();
    ages.sort();
    assert_eq!(ages, [0, u16::MAX]);
    memory.learn(khz(3_000), setting(3, 3), 1.5).unwrap();
    let mut held: Vec<_> = memory.entries().map(|entry| entry.frequency).collect();
    held.sort();
    assert_eq!(held, [khz(2_000), khz(3_000)]);
}

/// What is read takes the place of everything that was there, also where it is less.
fn replaces<A: Arithmetic>() {
    let bank = usual_bank::<A>();
    for count in 0..=5 {
        let mut storage = [None; 8];
        let mut memory = TunerMemory::<A>::new(&mut storage);
        for k in 0..count {
            memory
                .learn(khz(2_000 + k), setting(k as u16, 9), word::<Swr<A>>(1.25))
                .unwrap();
        }
        let mut buffer = [0; 256];
        let length = memory.store(&mut buffer).unwrap();
        let mut other = [None; 8];
        let mut read = filled::<A>(&mut other);
        assert_eq!(read.load(&buffer[..length], &bank), Ok(count as usize));
        assert!(read.entries().eq(memory.entries()), "{count} entries");
    }
}

#[test]
fn what_is_read_replaces_what_was_there() {
    every_family!(replaces);
}

fn filled<A: Arithmetic>(storage: &mut [Option<MemoryEntry<A>>]) -> TunerMemory<'_, A> {
    let mut memory = TunerMemory::new(storage);
    for k in 0..5u16 {
        memory
            .learn(
                khz(1_000 + 100 * u32::from(k)),
                setting(k, 255 - k),
                word::<Swr<A>>(1.0 + f64::from(k) / 16.0),
            )
            .unwrap();
    }
    memory
}

#[test]
fn what_is_stored_comes_back_and_every_damaged_bit_is_noticed() {
    fn of<A: Arithmetic>() {
        let bank = usual_bank::<A>();
        let mut storage = [None; 8];
        let memory = filled::<A>(&mut storage);
        let mut buffer = [0; 256];
        let length = memory.store(&mut buffer).unwrap();
        assert_eq!(length, TunerMemory::<A>::stored_bytes(5));
        let mut other = [None; 5];
        let mut read = TunerMemory::<A>::new(&mut other);
        assert_eq!(read.load(&buffer, &bank), Ok(5));
        assert!(read.entries().eq(memory.entries()));

        let held: Vec<_> = read.entries().copied().collect();
        for bit in 0..8 * length {
            let mut damaged = buffer;
            damaged[bit / 8] ^= 1 << (bit % 8);
            assert!(read.load(&damaged, &bank).is_err(), "bit {bit}");
        }
        for short in 0..length {
            assert!(read.load(&buffer[..short], &bank).is_err());
            // What is there stays there, to the bit.
            let mut held = buffer;
            assert_eq!(memory.store(&mut held[..short]), Err(StoredError::TooShort));
            assert!(held == buffer, "{short} bytes");
        }
        if !Swr::<A>::MAX.is_finite() {
            let entry = MemoryEntry::<A>::new(khz(1), setting(1, 1), Swr::MAX);
            let (mut storage, mut held) = ([Some(entry)], buffer);
            let stored = TunerMemory::new(&mut storage).store(&mut held);
            assert_eq!(stored, Err(StoredError::Content));
            assert!(held == buffer);
        }
        // An error changes nothing.
        assert!(read.entries().eq(held.iter()));
        let mut few = [None; 4];
        assert_eq!(
            TunerMemory::<A>::new(&mut few).load(&buffer, &bank),
            Err(StoredError::Full)
        );
    }
    of::<f64>();
    of::<f32>();
    of::<Fixed32>();
    of::<Fixed16>();
}

#[test]
fn a_sound_checksum_over_nonsense_is_nonsense() {
    let bank = usual_bank::<Fixed32>();
    let refused = |entries: &[(u32, Setting, f64)]| {
        let mut storage = vec![None; entries.len()];
        for (place, (frequency, setting, swr)) in storage.iter_mut().zip(entries) {
            *place = Some(MemoryEntry::<Fixed32>::new(khz(*frequency), *setting, word(*swr)));
        }
        let mut buffer = [0; 256];
        let length = TunerMemory::new(&mut storage).store(&mut buffer).unwrap();
        let mut storage = [None; 8];
        TunerMemory::<Fixed32>::new(&mut storage).load(&buffer[..length], &bank)
    };
    let fine = setting(1, 1);
    assert_eq!(refused(&[(1, fine, 1.5), (2, fine, 1.0)]), Ok(2));
    assert_eq!(refused(&[]), Ok(0));
    for entries in [
        [(0, fine, 1.5), (2, fine, 1.5)],
        [(1, fine, 0.5), (2, fine, 1.5)],
        [(1, setting(256, 0), 1.5), (2, fine, 1.5)],
        [(1, Setting { tap: 3, ..fine }, 1.5), (2, fine, 1.5)],
        [(1, fine, 1.5), (1, fine, 1.5)],
    ] {
        assert_eq!(refused(&entries), Err(StoredError::Content), "{entries:?}");
    }
    // Of another family.
    let mut storage = [None; 8];
    let mut buffer = [0; 256];
    filled::<f32>(&mut storage).store(&mut buffer).unwrap();
    let mut storage = [None; 8];
    let loaded = TunerMemory::<Fixed32>::new(&mut storage).load(&buffer, &bank);
    assert_eq!(loaded, Err(StoredError::OtherFamily));
}
