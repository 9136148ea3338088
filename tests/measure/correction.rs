//! The correction of raw readings for an imperfect fixture: forward by the error model in f64, back by each family.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::quantity::Reflection;

use crate::common::Random;
use crate::common::complex::{c, polar};
use crate::common::fixture::distort;
use crate::common::impedances::{gamma_held, gamma_word};

/// The largest error of a corrected reading times |tracking|, the truth being worked out from what the words hold; in 16
/// bits what is left of it beyond the rounding of the result.
fn worst<A: Arithmetic>(spoil: f64) -> f64 {
    let short = A::FAMILY == Family::Fixed16;
    let mut random = Random::new(41);
    let mut worst = 0f64;
    for _ in 0..200_000 {
        let any =
            |random: &mut Random, size: f64| polar(random.between(0.0, size), random.between(-3.2, 3.2));
        let load = any(&mut random, 1.0);
        let (directivity, source_match) = (any(&mut random, 0.2), any(&mut random, 0.5));
        // What the words hold.
        let furthest = 1.9;
        let tracking = polar(random.between(0.2, 1.1), random.between(-3.2, 3.2));
        let raw = distort([directivity, source_match, tracking], load);
        if raw.re.abs() > furthest || raw.im.abs() > furthest {
            continue;
        }
        let words = [directivity, source_match, tracking, raw].map(gamma_word::<A>);
        let [directivity, source_match, tracking, raw] = words;
        let terms = ErrorTerms {
            directivity,
            source_match,
            tracking,
        };
        let [e0, e1, t, m] = words.map(gamma_held);
        let below = t + e1 * (m - e0);
        let want = (m - e0) / below;
        let error = |got: Reflection<A>| {
            let got = gamma_held(got) + c(spoil, 0.0);
            if !short {
                return (got - want).size();
            }
            // The kernel is that of the 32-bit words; its result is then rounded once, to half a step of a part, and held
            // at the ends of the word.
            let part = |got: f64, want: f64| {
                let want = want.clamp(-2.0, 2.0 - 2f64.powi(-14));
                (got - want).abs() - 2f64.powi(-15)
            };
            part(got.re, want.re).max(part(got.im, want.im))
        };
        worst = worst.max(error(terms.correct(raw)) * below.size());
        // The same in working numbers; a load beyond the rim may have no word.
        match terms.checked_correct(raw) {
            Some(checked) => worst = worst.max(error(checked) * below.size()),
            None => assert!(want.re.abs().max(want.im.abs()) > 1.9999, "{want:?}"),
        }
    }
    worst
}

#[test]
fn a_corrected_reading_is_right() {
    for (name, worst, bound) in [
        ("f64", worst::<f64>(0.0), 2e-15),
        ("f32", worst::<f32>(0.0), 1.5e-6),
        ("Fixed32", worst::<Fixed32>(0.0), 2.5e-8),
        ("Fixed16", worst::<Fixed16>(0.0), 2.5e-8),
    ] {
        println!("{name}: {worst:e}");
        assert!(worst < bound, "{name}: {worst:e}");
    }
    // The law can fail.
    assert!(worst::<Fixed32>(1e-7) > 2.5e-8);
    assert!(worst::<Fixed16>(1e-7) > 2.5e-8);
}

#[test]
fn a_perfect_fixture_changes_nothing_and_a_blind_one_saturates() {
    let gamma = Reflection::<Fixed32>::from_bits(123_456_789, -987_654_321);
    let same = ErrorTerms::<Fixed32>::PERFECT.correct(gamma);
    assert!((same.real().get().to_bits() - gamma.real().get().to_bits()).abs() <= 8);
    assert!((same.imaginary().get().to_bits() - gamma.imaginary().get().to_bits()).abs() <= 8);
    // Nothing comes through: the load cannot be told.
    let blind = ErrorTerms::<f64> {
        tracking: Reflection::MATCHED,
        ..ErrorTerms::PERFECT
    };
    let told = blind.correct(Reflection::new(0.5, 0.0).unwrap());
    assert!(told.real().abs() >= 1e6, "{told:?}");
    let blind = ErrorTerms::<Fixed32> {
        tracking: Reflection::MATCHED,
        ..ErrorTerms::PERFECT
    };
    assert_eq!(blind.correct(gamma).real().get().to_bits(), i32::MIN);
    let gamma = Reflection::<Fixed16>::from_bits(3_768, -30_121);
    let blind = ErrorTerms::<Fixed16> {
        tracking: Reflection::MATCHED,
        ..ErrorTerms::PERFECT
    };
    assert_eq!(blind.correct(gamma).real().get().to_bits(), i16::MIN);
}

/// In 16 bits a perfect fixture changes no bit, beyond the rim either.
#[test]
fn a_perfect_fixture_in_16_bits_changes_nothing() {
    for bits in i16::MIN..=i16::MAX {
        let gamma = Reflection::<Fixed16>::from_bits(bits, 1);
        assert_eq!(ErrorTerms::<Fixed16>::PERFECT.correct(gamma), gamma);
    }
}

/// Every pattern of bits gives an answer: no panic with overflow checks on.
#[test]
fn any_words_at_all() {
    let mut random = Random::new(42);
    let mut word = || Reflection::<Fixed32>::from_bits(random.bits() as i32, random.bits() as i32);
    for _ in 0..300_000 {
        let terms = ErrorTerms::<Fixed32> {
            directivity: word(),
            source_match: word(),
            tracking: word(),
        };
        let _ = terms.correct(word());
    }
    for ends in 0..256u32 {
        let end = |bit: u32| if ends >> bit & 1 == 0 { i32::MIN } else { i32::MAX };
        let gamma = |bit| Reflection::<Fixed32>::from_bits(end(bit), end(bit + 1));
        let terms = ErrorTerms::<Fixed32> {
            directivity: gamma(0),
            source_match: gamma(2),
            tracking: gamma(4),
        };
        let _ = terms.correct(gamma(6));
    }
    let mut word = || Reflection::<Fixed16>::from_bits(random.bits() as i16, random.bits() as i16);
    for _ in 0..300_000 {
        let terms = ErrorTerms::<Fixed16> {
            directivity: word(),
            source_match: word(),
            tracking: word(),
        };
        let _ = terms.correct(word());
    }
    for ends in 0..256u32 {
        let end = |bit: u32| if ends >> bit & 1 == 0 { i16::MIN } else { i16::MAX };
        let gamma = |bit| Reflection::<Fixed16>::from_bits(end(bit), end(bit + 1));
        let terms = ErrorTerms::<Fixed16> {
            directivity: gamma(0),
            source_match: gamma(2),
            tracking: gamma(4),
        };
        let _ = terms.correct(gamma(6));
    }
}

/// Terms and readings anywhere in the word, such as no bridge has: the kernel takes another way for them.
fn worst_of_large_parts(spoil: f64) -> (f64, u32) {
    let mut random = Random::new(42);
    let (mut worst, mut count) = (0f64, 0);
    for _ in 0..200_000 {
        let mut any = || gamma_word::<Fixed32>(c(random.between(-1.99, 1.99), random.between(-1.99, 1.99)));
        let words = [any(), any(), any(), any()];
        let [directivity, source_match, tracking, raw] = words;
        let terms = ErrorTerms {
            directivity,
            source_match,
            tracking,
        };
        let [e0, e1, t, m] = words.map(gamma_held);
        let below = t + e1 * (m - e0);
        let want = (m - e0) / below;
        if want.re.abs().max(want.im.abs()) > 1.99 {
            continue; // it has no word
        }
        count += 1;
        let got = gamma_held(terms.correct(raw)) + c(spoil, 0.0);
        worst = worst.max((got - want).size() * below.size() / (1.0 + want.size()));
    }
    (worst, count)
}

#[test]
fn a_correction_of_large_parts_is_right() {
    let (worst, count) = worst_of_large_parts(0.0);
    println!("{worst:e} of {count}");
    assert!(worst < 2.5e-8 && count > 50_000, "{worst:e} of {count}");
    // The law can fail.
    assert!(worst_of_large_parts(1e-7).0 > 2.5e-8);
}
