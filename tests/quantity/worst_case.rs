//! Where the fixed-point families are worst: searches against exact truths, held against the table of bounds.
//!
//! | search | command |
//! | --- | --- |
//! | some seconds | `cargo test --test quantity worst_case -- --nocapture` prints what was found |
//! | a quarter of an hour for each family: 10⁸ random Γ, whole axes and rings bit by bit, every pair of short words | `OHMWRIGHT_SEARCH=deep cargo test --release --test quantity worst_case -- --nocapture` |
//!
//! One search by itself: add its name, `the_real_axis::fixed32`.
//!
//! A place is given by the bits of Γ.

use crate::common::readouts::{READOUTS, read, readout_truth};
use crate::common::{Random, edges};
use crate::search::{Bits, Exact, Row, Tally, deep, look, paths, pick, plausible, shared};
use ohmwright::arithmetic::accuracy::{Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::quantity::{Ohms, Reference};

/// What depends on |Γ| alone.
const OF_MAGNITUDE: [Readout; 4] = [
    Readout::Magnitude,
    Readout::Swr,
    Readout::ReturnLoss,
    Readout::MismatchLoss,
];

/// What else there is to read on the real axis, where there is neither angle nor reactance.
const ON_AXIS: [Readout; 2] = [Readout::Resistance, Readout::ImpedanceMagnitude];

/// What changes along a ring of equal |Γ|, and along the imaginary axis.
const ON_RING: [Readout; 4] = [
    Readout::Phase,
    Readout::Reactance,
    Readout::ImpedanceMagnitude,
    Readout::Q,
];

/// Each search in each fixed-point family.
macro_rules! in_every_fixed_family {
    ($($search:ident),* $(,)?) => {
        $(
            mod $search {
                #[test]
                fn fixed32() {
                    super::$search::<super::Fixed32>();
                }
                #[test]
                fn fixed16() {
                    super::$search::<super::Fixed16>();
                }
            }
        )*
    };
}

in_every_fixed_family!(
    random_places,
    references,
    grids_and_edges,
    the_real_axis,
    every_magnitude,
    rings,
    larger_reflections_read_larger,
    all_at_once_is_one_by_one,
    what_is_computed,
    controls,
);

fn fifty<A: Arithmetic>() -> (Reference<A>, f64) {
    (Reference::fifty(), 50.0)
}

fn size(quick: i64, thorough: i64) -> i64 {
    if deep() { thorough } else { quick }
}

/// The nearest the word can hold.
fn within<A: Bits>(bits: i64) -> i32 {
    bits.clamp(A::ENDS.0 as i64, A::ENDS.1 as i64) as i32
}

/// All readouts of what `place` gives for each number of a range.
fn sweep<A: Bits>(
    name: &str,
    readouts: &[Readout],
    range: core::ops::Range<i64>,
    place: impl Fn(i64) -> (i32, i32) + Sync,
) {
    let mut tally = Tally::of::<A>(readouts);
    shared(
        range,
        |share| {
            let mut tally = Tally::of::<A>(readouts);
            for number in share {
                look(&mut tally, readouts, place(number), fifty::<A>());
            }
            tally
        },
        |part| tally.merge(part),
    );
    tally.settle(name);
}

fn random_places<A: Bits>() {
    let mut tally = Tally::of::<A>(&READOUTS);
    shared(
        0..size(1_000_000, 120_000_000),
        |share| {
            let mut tally = Tally::of::<A>(&READOUTS);
            let mut random = Random::new(share.start as u64);
            for _ in share {
                look(&mut tally, &READOUTS, pick::<A>(&mut random), fifty::<A>());
            }
            tally
        },
        |part| tally.merge(part),
    );
    tally.settle("random Γ on 50 Ω");
}

/// Every pair of 16-bit components with `deep`, every so many otherwise.
#[test]
fn every_pair_of_short_words() {
    let (low, high) = (i16::MIN as i64, i16::MAX as i64);
    let width = high - low + 1;
    // Coprime to the width, so that no column is left out.
    let stride = size(3_989, 1);
    sweep::<Fixed16>(
        "every pair of 16-bit words",
        &READOUTS,
        0..width * width / stride,
        |number| {
            let pair = number * stride;
            ((low + pair % width) as i32, (low + pair / width) as i32)
        },
    );
}

/// The worst places of earlier searches.
#[test]
fn places_found_before() {
    let mut tally = Tally::of::<Fixed32>(&READOUTS);
    for (re, im, ohms) in [
        (1_073_419_095, 0, 50.0),                             // R
        (1_073_705_005, 1_787, 6.422_851_562_5),              // R
        (31_762, 64_620_482, 141_669.580_566_406_25),         // R
        (555_888_398, 918_645_520, 138_722.513_916_015_63),   // X
        (1_057_331_671, 187_005_908, 32_261.492_431_640_625), // X
        (965_444_572, -1_014_470_405, 126_466.671_875),       // |Z|
        (1_518_456_401, 116_980_300, 50.0),                   // |Γ|
        (123_458_144, 0, 50.0),                               // SWR
        (1_811_478_508, -1_161_357_968, 50.0),                // return loss
        (-463_565_204, -599_451_782, 50.0),                   // mismatch loss
        (1_073_741_824, 1_067_664_950, 50.0),                 // phase
        (1_073_092_543, -37_363_767, 50.0),                   // Q
        (1_018_314_752, 0, 50.0),                             // share
        (1 << 30, -3, 524_287.999_755_859_4),                 // R at the end of its word
    ] {
        let reference = Reference::<Fixed32>::try_from_f64(ohms).unwrap();
        look(
            &mut tally,
            &READOUTS,
            (re, im),
            (reference, reference.ohms().to_f64()),
        );
    }
    tally.settle("places found before");
    // R of a short word.
    let reference = Reference::<Fixed16>::try_from_f64(523.472_167_968_75).unwrap();
    let mut tally = Tally::of::<Fixed16>(&READOUTS);
    look(
        &mut tally,
        &READOUTS,
        (14_955, 3),
        (reference, reference.ohms().to_f64()),
    );
    tally.settle("a place of short words found before");
}

/// R, X and |Z| on references chosen at run time.
fn references<A: Bits>() {
    const OHMIC: [Readout; 3] = [
        Readout::Resistance,
        Readout::Reactance,
        Readout::ImpedanceMagnitude,
    ];
    let mut tally = Tally::of::<A>(&OHMIC);
    shared(
        0..size(300_000, 30_000_000),
        |share| {
            let mut tally = Tally::of::<A>(&OHMIC);
            let mut random = Random::new(share.start as u64 ^ 0x5a5a);
            for _ in share {
                let ohms = random.decades(0.1, Ohms::<A>::MAX.to_f64() * 0.99).abs();
                let reference = Reference::<A>::try_from_f64(ohms).unwrap();
                let exactly = reference.ohms().to_f64();
                look(&mut tally, &OHMIC, pick::<A>(&mut random), (reference, exactly));
            }
            tally
        },
        |part| tally.merge(part),
    );
    tally.settle("random Γ on random references");
}

fn grids_and_edges<A: Bits>() {
    let (low, high) = (A::ENDS.0 as i64, A::ENDS.1 as i64);
    let one = 1i64 << A::DIGITS;
    // An even grid over the square of the word. It includes 0, and 1 where the steps fall so.
    let steps = size(900, 9_000);
    let at = move |i: i64| (low + (high - low) * i / (steps - 1)) as i32;
    sweep::<A>("an even grid", &READOUTS, 0..steps * steps, |number| {
        (at(number % steps), at(number / steps))
    });
    // Every pair of bits round the places where something cancels or ends.
    let corners: Vec<(i64, i64)> = [0, one, -one, low, high]
        .iter()
        .flat_map(|a| [0, one, -one, low, high].map(|b| (*a, b)))
        .chain([
            (one * 3 / 5, one * 4 / 5),
            (one / 2, one / 2),
            (-one / 3, one / 7),
        ])
        .collect();
    let wide = size(80, 1_200);
    let area = wide * wide;
    sweep::<A>(
        "every Γ near the corners",
        &READOUTS,
        0..area * corners.len() as i64,
        |number| {
            let (a, b) = corners[(number / area) as usize];
            (
                within::<A>(a + number % wide - wide / 2),
                within::<A>(b + number % area / wide - wide / 2),
            )
        },
    );
}

/// So many bits further at a time, and how many steps it takes from a first to the last.
fn steps<A: Bits>(from: i64) -> (i64, i64) {
    let (low, high) = (A::ENDS.0 as i64, A::ENDS.1 as i64);
    let stride = if deep() { 1 } else { ((high - low) >> 19).max(1) };
    (stride, (high - from) / stride + 1)
}

/// Γ without imaginary part: with `deep`, every one there is.
fn the_real_axis<A: Bits>() {
    let low = A::ENDS.0 as i64;
    let (stride, count) = steps::<A>(low);
    sweep::<A>("the real axis", &ON_AXIS, 0..count, |number| {
        ((low + number * stride) as i32, 0)
    });
}

/// With `deep`, every |Γ| that a component can be.
fn every_magnitude<A: Bits>() {
    let (stride, count) = steps::<A>(0);
    sweep::<A>("every |Γ|", &OF_MAGNITUDE, 0..count, |number| {
        ((number * stride) as i32, 0)
    });
}

/// Along rings of equal |Γ| (as equal as whole steps go), and along the upper imaginary axis.
fn rings<A: Bits>() {
    let one = 1i64 << A::DIGITS;
    let count = size(20_000, 30_000_000).min(4 * one);
    for (part, of) in [
        (1, 1),
        (one - 1, one),
        (9, 10),
        (1, 2),
        (1, 100),
        (1, 10_000),
        (3, 2),
    ] {
        let radius = one as f64 * part as f64 / of as f64;
        sweep::<A>(
            &format!("the ring |Γ| = {}", radius / one as f64),
            &ON_RING,
            0..count,
            |number| {
                let angle = core::f64::consts::TAU * (number as f64 + 0.5) / count as f64;
                (
                    within::<A>((radius * angle.cos()) as i64),
                    within::<A>((radius * angle.sin()) as i64),
                )
            },
        );
    }
    let stride = if deep() { 1 } else { (one >> 18).max(1) };
    let one = one.min(A::ENDS.1 as i64);
    sweep::<A>(
        "the upper imaginary axis",
        &ON_RING,
        0..one / stride + 1,
        |number| (0, (number * stride) as i32),
    );
    // The angle depends on a ratio alone: with the larger part held, every ratio the word can hold.
    sweep::<A>("an octant", &[Readout::Phase], 0..one / stride + 1, |number| {
        (one as i32, (number * stride) as i32)
    });
}

/// In steps of the word: how far a readout falls though |Γ| grows (the return loss: rises).
fn step_back(readout: Readout, before: f64, after: f64) -> f64 {
    match readout {
        Readout::ReturnLoss => after - before,
        _ => before - after,
    }
}

/// |Γ|, SWR and both losses follow |Γ|, which the exact square decides.
fn larger_reflections_read_larger<A: Bits>() {
    const RISING: [(Readout, f64); 4] = [
        (Readout::Magnitude, 0.0),
        (Readout::Swr, 0.0),
        (Readout::ReturnLoss, 0.0),
        (Readout::MismatchLoss, 0.0),
    ];
    let one = 1i64 << A::DIGITS;
    let rows = || {
        Tally(
            RISING
                .map(|(readout, _)| Row::new(format!("{:?} {readout:?}", A::FAMILY)))
                .to_vec(),
        )
    };
    let compare = |tally: &mut Tally, before: (i32, i32), after: (i32, i32)| {
        let (one, other) = (A::gamma(before.0, before.1), A::gamma(after.0, after.1));
        for ((readout, allowed), row) in RISING.iter().zip(&mut tally.0) {
            let (a, ..) = read(*readout, one, Reference::fifty());
            let (b, ..) = read(*readout, other, Reference::fifty());
            let back = step_back(*readout, a, b).max(0.0);
            // Where nothing is allowed, the least step is too much.
            row.note(back, (allowed.max(1e-12), 0.0), 0.0, || {
                format!("from {before:?} ({a}) to {after:?} ({b})")
            });
        }
    };
    let mut tally = rows();
    shared(
        0..size(64, 4_000),
        |share| {
            let mut tally = rows();
            for number in share {
                let mut random = Random::new(number as u64);
                // Scattered ones, sorted by their exact square.
                let mut ladder: Vec<_> = (0..2_000).map(|_| pick::<A>(&mut random)).collect();
                ladder.sort_by_key(|(re, im)| Exact::new::<A>(*re, *im).square);
                for pair in ladder.windows(2) {
                    compare(&mut tally, pair[0], pair[1]);
                }
                // Neighbours: along the axes and off them, a bit at a time.
                let (re, im) = pick::<A>(&mut random);
                let (re, im) = (re.unsigned_abs() as i64, im.unsigned_abs() as i64);
                for (re, im) in [(re, 0), (0, re), (re, im), (one - 1_000, 0), (im, one >> 10)] {
                    let at = |i: i64| (within::<A>(re + i), within::<A>(im));
                    for i in 0..2_000 {
                        compare(&mut tally, at(i), at(i + 1));
                    }
                }
            }
            tally
        },
        |part| tally.merge(part),
    );
    tally.settle("steps back while |Γ| grows");
}

/// The nine readouts together are each to the bit what it is alone.
fn all_at_once_is_one_by_one<A: Bits>() {
    shared(
        0..size(200_000, 20_000_000),
        |share| {
            let mut random = Random::new(share.start as u64 ^ 0x1234);
            for _ in share {
                let (re, im) = pick::<A>(&mut random);
                let gamma = A::gamma(re, im);
                let z0 = match random.bits() % 4 {
                    0 => Reference::try_from_f64(random.decades(1.0, 1e5).abs()).unwrap(),
                    1 => Reference::new(Ohms::<A>::MAX).unwrap(),
                    _ => Reference::fifty(),
                };
                let all = gamma.readouts(z0);
                let z = gamma.impedance(z0);
                assert!(
                    all.magnitude == gamma.magnitude()
                        && all.swr == gamma.swr()
                        && all.return_loss == gamma.return_loss()
                        && all.mismatch_loss == gamma.mismatch_loss()
                        && all.resistance == z.resistance()
                        && all.reactance == z.reactance()
                        && all.impedance_magnitude == gamma.impedance_magnitude(z0)
                        && all.phase == gamma.phase()
                        && all.q == gamma.q(),
                    "Γ = ({re}, {im}) on {z0:?}: {all:?} {z:?}"
                );
            }
        },
        |()| (),
    );
}

/// What is no readout: corrections, Γ of an impedance, admittances, parts, and the working numbers under them.
fn what_is_computed<A: Bits>() {
    let mut tally = paths::tally();
    shared(
        0..size(60_000, 8_000_000),
        |share| {
            let mut tally = paths::tally();
            let mut random = Random::new(share.start as u64 ^ 0x7777);
            for _ in share {
                paths::look::<A>(&mut tally, &mut random);
            }
            tally
        },
        |part| tally.merge(part),
    );
    tally.settle("what is computed");
}

/// A search that could not fail would prove nothing.
fn controls<A: Bits>() {
    // The truths agree with those in doubled doubles.
    let unit = 0.5f64.powi(A::DIGITS as i32);
    let mut random = Random::new(7);
    let mut places: Vec<(i32, i32)> = (0..20_000).map(|_| pick::<A>(&mut random)).collect();
    let word = |x: f64| (x / unit).round().clamp(A::ENDS.0 as f64, A::ENDS.1 as f64) as i32;
    places.extend(edges().into_iter().map(|(re, im)| (word(re), word(im))));
    for (re, im) in places {
        let exact = Exact::new::<A>(re, im);
        let (x, y) = (re as f64 * unit, im as f64 * unit);
        for readout in READOUTS {
            let (want, scale) = readout_truth(readout, (x, y), 50.0);
            let scale = match readout {
                Readout::Magnitude | Readout::ReturnLoss | Readout::MismatchLoss => 1.0,
                Readout::Phase => 100.0,
                _ => scale,
            };
            let (got, _) = exact.value(readout, 50.0);
            assert!(
                got == want || (got - want).abs() <= 4e-15 * scale.max(want.abs()),
                "{readout:?} of ({re}, {im}): {got} {want}"
            );
        }
    }
    // What is off by a little more than the table allows is seen, and so is what leaves its range.
    let mut row = Row::new("control");
    let allowed = bound(Readout::Swr, A::FAMILY);
    row.note(
        1.01 * allowed.allowance(3.0, 1.0),
        (allowed.absolute, allowed.relative),
        3.0,
        String::new,
    );
    assert!(!row.holds() && row.relative > allowed.relative);
    let mut row = Row::new("control");
    row.note(f64::NAN, (1.0, 0.0), 1.0, String::new);
    assert!(!row.holds());
    let inside = Exact::new::<A>(1 << (A::DIGITS - 1), 1);
    assert!(plausible(Readout::Swr, 0.999, 65_535.0, &inside).is_err());
    assert!(plausible(Readout::ReturnLoss, -0.01, 1e4, &inside).is_err());
    assert!(plausible(Readout::Phase, -180.0, 1e4, &inside).is_err());
    assert!(plausible(Readout::Reactance, -1.0, 1e4, &inside).is_err());
    assert!(step_back(Readout::ReturnLoss, 1.0, 2.0) > 0.0 && step_back(Readout::Swr, 2.0, 1.0) > 0.0);
    let caught = std::panic::catch_unwind(|| Tally(vec![row]).settle("control"));
    assert!(caught.is_err());
}
