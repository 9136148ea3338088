//! One law per public method of the quantities, the same for every family of numbers.
//!
//! A law takes what went in and what came out and says `Err` where they do not fit. So each has a control: a wrong
//! result, which it must refuse. What a result is compared with is computed from the *rounded* input.

use crate::common::law::{Law, require, runner};
use crate::common::readouts::{READOUTS, read, readout_truth as true_readout};
use crate::common::{
    Long, Random, allowance, is_fixed, length, moved_within, quotient, reflections, share_allowance, truth,
    wave_truth, within, word_within,
};
use ohmwright::arithmetic::accuracy::{Family, Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::fixed::types::{I2F30, I8F24, I20F12};
use ohmwright::quantity::{
    Admittance, Capacitance, Component, Decibels, Degrees, Hertz, Impedance, Inductance, Ohms, ParallelForm,
    QFactor, QuantityError, Reactor, Reference, Reflection, Siemens, Swr,
};
use proptest::test_runner::TestCaseError;

in_every_family!(
    readouts,
    readouts_of_any,
    conjugates,
    gamma_to_impedance_and_back,
    impedance_readouts,
    impedances_of_any,
    admittance_and_back,
    parallel_and_back,
    another_reference_and_back,
    combinations,
    sources,
    power_balance,
    parts,
    reactors,
    conversions,
    landmarks,
    refusals_of_doubles,
    every_value_is_plausible,
);

/// How far a component of Γ reaches.
fn reach<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 2.0,
        _ => 1_048_576.0,
    }
}

fn ohms<A: Arithmetic>(value: f64) -> Reference<A> {
    Reference::try_from_f64(value).unwrap()
}

const REFERENCES: [f64; 6] = [50.0, 75.0, 1.0, 600.0, 0.25, 5000.0];

fn gamma_of<A: Arithmetic>(gamma: Reflection<A>) -> (f64, f64) {
    (gamma.real().to_f64(), gamma.imaginary().to_f64())
}

fn z_of<A: Arithmetic>(z: Impedance<A>) -> (f64, f64) {
    (z.resistance().to_f64(), z.reactance().to_f64())
}

fn size(z: (f64, f64)) -> f64 {
    z.0.hypot(z.1)
}

/// Impedances of a family: nothing, the ends, decades, negative resistances. None of them open.
fn impedances<A: Arithmetic>(seed: u64, random: usize) -> Vec<Impedance<A>> {
    let mut source = Random::new(seed);
    let mut list = vec![
        (0.0, 0.0),
        (50.0, 0.0),
        (-50.0, 0.0),
        (0.0, 50.0),
        (0.0, -1e-3),
        (36.0, 21.0),
    ];
    let step = 2f64.powi(-12);
    let end = 524_288.0 - 2.0 * step;
    for a in [end, -end, step, -step, 262_144.0, 131_072.0] {
        list.extend([(a, 0.0), (0.0, a), (a, a), (a, -step), (step, a), (50.0, a)]);
    }
    for turn in 0..random {
        list.push(match turn % 4 {
            0 => (source.between(0.0, 500.0), source.between(-500.0, 500.0)),
            1 => (source.decades(1e-3, 5e5).abs(), source.decades(1e-3, 5e5)),
            2 => (source.decades(0.1, 5e3), source.decades(1e-3, 1e3)),
            _ if is_fixed::<A>() => (source.decades(1.0, 1e3).abs(), source.decades(1.0, 1e3)),
            _ => (source.decades(1e-12, 1e12).abs(), source.decades(1e-12, 1e12)),
        });
    }
    list.into_iter()
        .map(|(r, x)| Impedance::try_from_f64(r, x).unwrap())
        .filter(|z| !z.is_open())
        .collect()
}

// ------------------------------------------------------------------------------------------------------------------
// Readouts of a reflection

/// The true value, and the scale its bound refers to.
fn readout_truth<A: Arithmetic>(readout: Readout, gamma: Reflection<A>, z0: Reference<A>) -> (f64, f64) {
    true_readout(readout, gamma_of(gamma), z0.ohms().to_f64())
}

/// A readout lies within the table of bounds.
fn readout_law<A: Arithmetic>(readout: Readout, gamma: Reflection<A>, z0: Reference<A>, got: f64) -> Law {
    let (_, low, high) = read(readout, gamma, z0);
    let (want, scale) = readout_truth(readout, gamma, z0);
    let (re, im) = gamma_of(gamma);
    let passive = truth(re, im).passive;
    within(readout, A::FAMILY, got, want.clamp(low, high), scale, passive)
        .map_err(|message| format!("Γ = {re:e} {im:+e}j against {:?}: {message}", z0.ohms()))
}

/// Everything inside, at and beyond the rim: the sides agree with the exact 1 − |Γ|².
fn side_law<A: Arithmetic>(gamma: Reflection<A>, total: bool, active: bool) -> Law {
    let (re, im) = gamma_of(gamma);
    let passive = truth(re, im).passive;
    let blind = bound(Readout::Swr, A::FAMILY).rim;
    require(
        passive != 0.0 && passive.abs() <= blind || total == (passive <= 0.0),
        || format!("{gamma:?}: total {total}, 1 − |Γ|² = {passive:e}"),
    )?;
    require(
        passive != 0.0 && passive.abs() <= blind || active == (passive < 0.0),
        || format!("{gamma:?}: active {active}, 1 − |Γ|² = {passive:e}"),
    )?;
    require(total || !active, || format!("{gamma:?}: active but not total"))
}

fn readouts<A: Arithmetic>() {
    for (turn, gamma) in reflections::<A>(1, 30_000).into_iter().enumerate() {
        let z0 = ohms(REFERENCES[turn % REFERENCES.len()]);
        for readout in READOUTS {
            readout_law(readout, gamma, z0, read(readout, gamma, z0).0).unwrap();
        }
        side_law(gamma, gamma.is_total(), gamma.is_active()).unwrap();
    }
}

fn readouts_of_any<A: Arithmetic>() {
    let far = if is_fixed::<A>() {
        0.9995 * reach::<A>()
    } else {
        1.999
    };
    let parts = (-far..far, -far..far, 0.001f64..100_000.0);
    runner(4000)
        .run(&parts, |(re, im, reference)| {
            let gamma = Reflection::<A>::try_from_f64(re, im).unwrap();
            let z0 = ohms(reference);
            for readout in READOUTS {
                readout_law(readout, gamma, z0, read(readout, gamma, z0).0).map_err(TestCaseError::fail)?;
            }
            side_law(gamma, gamma.is_total(), gamma.is_active()).map_err(TestCaseError::fail)
        })
        .unwrap();
}

/// The oracle near the rim against whole numbers.
#[test]
fn the_oracle_equals_exact_integers() {
    let mut source = Random::new(2);
    for turn in 0..200_000 {
        let (re, im) = if turn % 2 == 0 {
            (source.bits() as i32, source.bits() as i32)
        } else {
            // As near to the rim as whole steps go.
            let angle = source.between(0.0, 6.3);
            let re = (angle.cos() * (1u64 << 30) as f64) as i64;
            let im =
                (1u64 << 60).wrapping_sub((re * re) as u64).isqrt() as i64 + (source.bits() % 5) as i64 - 2;
            (re as i32, im as i32)
        };
        let exact = crate::common::passive_bits(re, im);
        let step = 2f64.powi(-30);
        let got = truth(re as f64 * step, im as f64 * step).passive * 2f64.powi(60);
        assert_eq!(got, exact as f64, "{re} {im}");
        let gamma = Reflection::<Fixed32>::from_bits(re, im);
        assert_eq!(gamma.is_total(), exact <= 0);
        assert_eq!(gamma.is_active(), exact < 0);
    }
}

// ------------------------------------------------------------------------------------------------------------------
// SWR grows with |Γ|

/// A larger |Γ| never has a smaller SWR, but for what the family rounds.
fn grows_law(before: f64, after: f64, slack: f64) -> Law {
    require(after >= before * (1.0 - slack), || {
        format!("SWR falls from {before:e} to {after:e}")
    })
}

#[test]
fn swr_grows_bit_by_bit_in_fixed_point() {
    let reflection = Reflection::<Fixed32>::from_bits;
    let rim = 1i32 << 30;
    let mut source = Random::new(3);
    let mut starts = vec![0, rim - 20_000, rim / 2, rim / 3];
    starts.extend((0..200).map(|_| (source.bits() >> 34) as i32 % (rim - 2000)));
    for start in starts {
        let steps = if start == 0 || start == rim - 20_000 {
            20_000
        } else {
            1000
        };
        let mut last = (0.0, 0.0);
        for bits in start..=start + steps {
            for gamma in [reflection(bits, 0), reflection(0, -bits)] {
                let swr = gamma.swr().to_f64();
                grows_law(last.0, swr, 0.0).unwrap();
                grows_law(last.1, gamma.magnitude().to_f64(), 0.0).unwrap();
                last = (swr, gamma.magnitude().to_f64());
            }
        }
    }
    // The whole way, and off the axes: |Γ|² from the bits decides which is larger.
    let mut ladder: Vec<(u64, f64)> = (0..100_000)
        .map(|_| {
            let angle = source.between(-3.2, 3.2);
            let size = source.between(0.0, 1.0).sqrt() * rim as f64;
            let (re, im) = ((size * angle.cos()) as i32, (size * angle.sin()) as i32);
            let square = (re as i64 * re as i64 + im as i64 * im as i64) as u64;
            (square, reflection(re, im).swr().to_f64())
        })
        .collect();
    ladder.sort_by_key(|step| step.0);
    for pair in ladder.windows(2) {
        grows_law(pair[0].1, pair[1].1, 0.0).unwrap();
    }
}

macro_rules! swr_grows {
    ($name:ident, $f:ident) => {
        #[test]
        fn $name() {
            let read = |magnitude: $f| {
                Reflection::<$f>::new(magnitude, 0.0)
                    .unwrap()
                    .swr()
                    .to_f64()
            };
            let unit = $f::EPSILON as f64;
            // Neighbouring numbers: as good as the roundings of the formula.
            let mut source = Random::new(4);
            for _ in 0..300 {
                let mut magnitude = source.between(0.0, 1.0) as $f;
                for _ in 0..100 {
                    let next = magnitude.next_up();
                    if next < 1.0 {
                        grows_law(read(magnitude), read(next), 4.0 * unit).unwrap();
                    }
                    magnitude = next;
                }
            }
            // Steps that are larger than a rounding: strictly, up to the rim and onto it.
            let mut last = 1.0;
            for step in 1..=100_000 {
                let swr = read((step as f64 / 100_000.0) as $f);
                assert!(swr > last, "{step}: {swr} {last}");
                last = swr;
            }
            let mut gap = 0.5;
            while gap > unit / 2.0 {
                let swr = read((1.0 - gap) as $f);
                assert!(swr < read((1.0 - gap / 2.0) as $f));
                assert!(swr.is_finite());
                gap /= 2.0;
            }
            assert_eq!(read(1.0), f64::INFINITY);
        }
    };
}

swr_grows!(swr_grows_in_f32, f32);
swr_grows!(swr_grows_in_f64, f64);

// ------------------------------------------------------------------------------------------------------------------
// Γ*

/// Γ* has the same readouts, and the opposite angle and reactance, bit for bit.
fn conjugate_law<A: Arithmetic>(gamma: Reflection<A>, turned: Reflection<A>, z0: Reference<A>) -> Law {
    let (re, im) = gamma_of(gamma);
    let fail = |what: &str| format!("{what} of {gamma:?} and {turned:?}");
    require(gamma_of(turned) == (re, -im), || fail("Γ"))?;
    for readout in READOUTS {
        let (one, other) = (read(readout, gamma, z0), read(readout, turned, z0));
        let same = match readout {
            // The half turn is positive on both sides; an end of the word is not symmetrical.
            Readout::Phase if one.0 == 180.0 => other.0 == 180.0,
            Readout::Phase => other.0 == -one.0,
            Readout::Reactance => other.0 == -one.0 || one.0 == one.1 || one.0 == one.2,
            _ => other.0 == one.0,
        };
        require(same, || fail(&format!("{readout:?}")))?;
    }
    require(gamma.is_total() == turned.is_total(), || fail("total"))
}

fn conjugates<A: Arithmetic>() {
    for gamma in reflections::<A>(5, 20_000) {
        if gamma.imaginary() == Component::<A>::MIN {
            continue; // −2 has no counterpart in the word
        }
        conjugate_law(gamma, gamma.conjugate(), ohms(75.0)).unwrap();
        assert_eq!(gamma.conjugate().conjugate(), gamma);
    }
    for z in impedances::<A>(6, 2000) {
        let (r, x) = z_of(z);
        assert_eq!(z_of(z.conjugate()), (r, -x));
    }
    assert!(Impedance::<A>::OPEN.conjugate().is_open());
}

// ------------------------------------------------------------------------------------------------------------------
// Γ → Z → Γ

/// Back from an impedance, Γ is what it was, but for what the words of ohms lost.
fn there_and_back_law<A: Arithmetic>(gamma: Reflection<A>, z0: Reference<A>, back: Reflection<A>) -> Law {
    let (re, im) = gamma_of(gamma);
    let away = (1.0 - re).hypot(im);
    let reference = z0.ohms().to_f64();
    let z = gamma.impedance(z0);
    let slack = if z.is_open() {
        // At least half a megohm in fixed point, nothing less than infinity in floating point.
        let least = if is_fixed::<A>() {
            524_287.0
        } else {
            f32::MAX as f64
        };
        require(back == Reflection::OPEN, || {
            format!("{gamma:?}: open but {back:?}")
        })?;
        2.0 * reference / (least - reference) + 1e-8
    } else {
        let lost = 1.5 * allowance::<A>(Readout::Resistance, size(z_of(z)));
        let slack =
            away * away / (2.0 * reference) * lost + allowance::<A>(Readout::Reflection, size((re, im)));
        1.05 * slack
    };
    let (a, b) = gamma_of(back);
    require((a - re).abs() <= slack && (b - im).abs() <= slack, || {
        format!("{gamma:?} against {reference} came back as {back:?}, allowed {slack:e}")
    })
}

fn gamma_to_impedance_and_back<A: Arithmetic>() {
    for (turn, gamma) in reflections::<A>(7, 30_000).into_iter().enumerate() {
        let z0 = ohms(REFERENCES[turn % REFERENCES.len()]);
        if size(gamma_of(gamma)) < 4.0 {
            there_and_back_law(gamma, z0, gamma.impedance(z0).reflection(z0)).unwrap();
        }
    }
}

// ------------------------------------------------------------------------------------------------------------------
// Readouts of an impedance

/// Γ, |Z|, Q, the parallel form and the admittance of an impedance, together.
#[derive(Clone, Copy, Debug)]
struct Described<A: Arithmetic> {
    gamma: Reflection<A>,
    magnitude: Ohms<A>,
    q: QFactor<A>,
    parallel: ParallelForm<A>,
    admittance: Admittance<A>,
}

fn describe<A: Arithmetic>(z: Impedance<A>, z0: Reference<A>) -> Described<A> {
    Described {
        gamma: z.reflection(z0),
        magnitude: z.magnitude(),
        q: z.q(),
        parallel: z.parallel_form(),
        admittance: z.admittance(),
    }
}

fn parallel_truth(z: (f64, f64)) -> (f64, f64) {
    let (r, x) = (Long::from(z.0), Long::from(z.1));
    let square = r * r + x * x;
    let over = |part: Long| {
        if part.value() == 0.0 {
            f64::INFINITY
        } else {
            (square / part).value()
        }
    };
    if z == (0.0, 0.0) {
        (0.0, 0.0)
    } else {
        (over(r), over(x))
    }
}

fn described_law<A: Arithmetic>(z: Impedance<A>, z0: Reference<A>, got: Described<A>) -> Law {
    let (family, exact, reference) = (A::FAMILY, z_of(z), z0.ohms().to_f64());
    let named = |message: String| format!("{z:?} against {reference}: {message}");
    if exact != (-reference, 0.0) {
        let (re, im) = wave_truth(exact, (reference, 0.0));
        let limit = reach::<A>();
        let scale = re.hypot(im);
        for (part, want) in [(got.gamma.real(), re), (got.gamma.imaginary(), im)] {
            word_within(
                Readout::Reflection,
                family,
                part,
                want.clamp(-limit, limit),
                scale,
                1.0,
            )
            .map_err(named)?;
        }
    } else {
        require(got.gamma.real().to_f64() <= -reach::<A>().min(2.0), || {
            named(format!("{:?}", got.gamma))
        })?;
    }
    let magnitude = length(exact.0.into(), exact.1.into()).value();
    let magnitude = if magnitude.is_nan() { 0.0 } else { magnitude };
    word_within(
        Readout::ImpedanceMagnitude,
        family,
        got.magnitude,
        magnitude,
        magnitude,
        1.0,
    )
    .map_err(named)?;
    let q = if exact.1 == 0.0 {
        0.0
    } else {
        (exact.1 / exact.0).abs()
    };
    word_within(Readout::Q, family, got.q, q, q, 1.0).map_err(named)?;
    let (rp, xp) = parallel_truth(exact);
    word_within(
        Readout::Resistance,
        family,
        got.parallel.resistance,
        rp,
        rp.abs(),
        1.0,
    )
    .map_err(named)?;
    word_within(
        Readout::Reactance,
        family,
        got.parallel.reactance,
        xp,
        xp.abs(),
        1.0,
    )
    .map_err(named)?;
    let y = got.admittance;
    if exact == (0.0, 0.0) {
        return require(y == Admittance::SHORT, || named(format!("{y:?}")));
    }
    let (g, b) = crate::common::inverse(exact.0, exact.1);
    word_within(Readout::Conductance, family, y.conductance(), g, g.hypot(b), 1.0).map_err(named)?;
    word_within(Readout::Susceptance, family, y.susceptance(), b, g.hypot(b), 1.0).map_err(named)
}

fn impedance_readouts<A: Arithmetic>() {
    for (turn, z) in impedances::<A>(8, 30_000).into_iter().enumerate() {
        let z0 = ohms(REFERENCES[turn % REFERENCES.len()]);
        described_law(z, z0, describe(z, z0)).unwrap();
    }
}

fn impedances_of_any<A: Arithmetic>() {
    let parts = (
        -500_000f64..500_000.0,
        -500_000f64..500_000.0,
        0.001f64..100_000.0,
    );
    runner(4000)
        .run(&parts, |(r, x, reference)| {
            let z = Impedance::<A>::try_from_f64(r, x).unwrap();
            let z0 = ohms(reference);
            described_law(z, z0, describe(z, z0)).map_err(TestCaseError::fail)
        })
        .unwrap();
}

/// Within `slack` of a true value, in each part.
fn near_law<A: Arithmetic>(got: Impedance<A>, want: (f64, f64), slack: f64) -> Law {
    let (r, x) = z_of(got);
    require((r - want.0).abs() <= slack && (x - want.1).abs() <= slack, || {
        format!("{got:?}, want {want:?} within {slack:e}")
    })
}

/// 1/Y of an admittance, from its own words.
fn inverse_law<A: Arithmetic>(y: Admittance<A>, z: Impedance<A>) -> Law {
    let (g, b) = (y.conductance().to_f64(), y.susceptance().to_f64());
    if y.is_short() {
        return require(z == Impedance::SHORT, || format!("{y:?}: {z:?}"));
    }
    if (g, b) == (0.0, 0.0) {
        return require(z.is_open(), || format!("{y:?}: {z:?}"));
    }
    let (r, x) = crate::common::inverse(g, b);
    let scale = r.hypot(x);
    word_within(Readout::Resistance, A::FAMILY, z.resistance(), r, scale, 1.0)?;
    word_within(Readout::Reactance, A::FAMILY, z.reactance(), x, scale, 1.0)
}

/// What a slip of `lost` in an admittance makes of an impedance; infinite where it may be anything.
fn turned_over(z: f64, lost: f64) -> f64 {
    let part = z * lost;
    if part < 0.5 {
        z * part / (1.0 - part)
    } else {
        f64::INFINITY
    }
}

fn admittance_and_back<A: Arithmetic>() {
    let mut checked = 0;
    for z in impedances::<A>(9, 30_000) {
        let (y, exact) = (z.admittance(), z_of(z));
        inverse_law(y, y.impedance()).unwrap();
        if y.is_short() {
            assert!(size(exact) < 0.0111, "{z:?}"); // 128 S and more
            continue;
        }
        let lost = 1.5 * allowance::<A>(Readout::Conductance, 1.0 / size(exact));
        let slack = turned_over(size(exact), lost) + 1.5 * allowance::<A>(Readout::Resistance, size(exact));
        near_law(y.impedance(), exact, slack).unwrap();
        checked += 1;
    }
    assert!(checked > 20_000);
    assert_eq!(Impedance::<A>::SHORT.admittance(), Admittance::SHORT);
    assert_eq!(Impedance::<A>::OPEN.admittance(), Admittance::OPEN);
    assert_eq!(Admittance::<A>::SHORT.impedance(), Impedance::SHORT);
    assert!(Admittance::<A>::OPEN.impedance().is_open());
    assert!(Admittance::<A>::SHORT.is_short() && !Admittance::<A>::OPEN.is_short());
    let mut source = Random::new(10);
    for _ in 0..20_000 {
        let word = |value: f64| Siemens::<A>::try_from_f64(value).unwrap();
        let y = Admittance::<A>::new(
            word(source.decades(1e-6, 100.0)),
            word(source.decades(1e-6, 100.0)),
        )
        .unwrap();
        inverse_law(y, y.impedance()).unwrap();
    }
}

fn parallel_and_back<A: Arithmetic>() {
    let mut checked = 0;
    for z in impedances::<A>(11, 30_000) {
        let (exact, parallel) = (z_of(z), z.parallel_form());
        let scale = size(exact);
        // A branch at the end of its word is left out: what it would have carried is lost.
        let lost = |word: Ohms<A>| {
            let value = word.to_f64().abs();
            if word.is_at_end() {
                if is_fixed::<A>() { 1.0 / 524_287.0 } else { 0.0 }
            } else {
                let slip = allowance::<A>(Readout::Resistance, value);
                if slip < 0.5 * value {
                    slip / (value * (value - slip))
                } else {
                    f64::INFINITY
                }
            }
        };
        let lost = if scale == 0.0 {
            0.0
        } else {
            lost(parallel.resistance) + lost(parallel.reactance)
        };
        let slack = turned_over(scale, lost) + 2.0 * allowance::<A>(Readout::Resistance, scale);
        if slack.is_finite() {
            near_law(parallel.series_form(), exact, slack).unwrap();
            checked += 1;
        }
    }
    assert!(checked > 20_000, "{checked}");
    let open = Impedance::<A>::OPEN.parallel_form();
    assert!(open.resistance == Ohms::<A>::MAX && open.reactance == Ohms::<A>::MAX);
    assert!(open.series_form().is_open());
}

// ------------------------------------------------------------------------------------------------------------------
// Another reference

fn another_reference_and_back<A: Arithmetic>() {
    let mut checked = 0;
    for (turn, gamma) in reflections::<A>(12, 30_000).into_iter().enumerate() {
        let (first, second) = (REFERENCES[turn % 6], REFERENCES[turn / 6 % 6]);
        let (from, to) = (ohms(first), ohms(second));
        assert_eq!(gamma.change_reference(from, from), gamma);
        let (re, im) = gamma_of(gamma);
        if truth(re, im).passive < 0.0 {
            continue;
        }
        let moved = gamma.change_reference(from, to);
        if gamma == Reflection::OPEN {
            assert_eq!(moved, gamma);
            continue;
        }
        moved_within(moved, crate::common::moved_truth((re, im), first, second)).unwrap();
        // A slip of Γ' is as much larger or smaller in Γ as the map stretches there.
        let (a, b) = gamma_of(moved);
        let step = allowance::<A>(Readout::Reflection, 1.0);
        // To the first order of the slip. The short word ends before the open, and a few steps from it the order no
        // longer says anything.
        let last = moved.real() == Component::<A>::MAX || (1.0 - a).hypot(b) < 100.0 * step;
        if A::FAMILY == Family::Fixed16 && last {
            continue;
        }
        let stretch = ((1.0 - re).powi(2) + im * im) / ((1.0 - a).powi(2) + b * b).max(f64::MIN_POSITIVE)
            * second
            / first;
        let slack = 1.5 * step * stretch + step;
        // The slip is larger in the short word.
        if slack < if A::FAMILY == Family::Fixed16 { 0.02 } else { 0.1 } {
            let (c, d) = gamma_of(moved.change_reference(to, from));
            assert!(
                (c - re).abs() <= slack && (d - im).abs() <= slack,
                "{gamma:?} {first} {second}: {c} {d}, allowed {slack:e}"
            );
            checked += 1;
        }
    }
    assert!(checked > 10_000, "{checked}");
    // An open and a short look the same from everywhere, also where the references are far apart.
    let mut source = Random::new(13);
    for _ in 0..20_000 {
        let (from, to) = (
            ohms::<A>(source.decades(1e-3, 5e5).abs()),
            ohms(source.decades(1e-3, 5e5).abs()),
        );
        assert_eq!(Reflection::<A>::OPEN.change_reference(from, to), Reflection::OPEN);
        assert_eq!(
            Reflection::<A>::SHORT.change_reference(from, to),
            Reflection::SHORT
        );
    }
}

#[test]
fn references_at_the_ends_of_the_range() {
    let gamma = Reflection::<f64>::new(0.5, 0.25).unwrap();
    let (small, large) = (Reference::new(1e-300).unwrap(), Reference::new(1e300).unwrap());
    assert_eq!(gamma.change_reference(large, small), Reflection::OPEN);
    assert_eq!(gamma.change_reference(small, large), Reflection::SHORT);
    let gamma = Reflection::<f32>::new(0.5, 0.25).unwrap();
    let (small, large) = (Reference::new(1e-38).unwrap(), Reference::new(3e38).unwrap());
    assert_eq!(gamma.change_reference(large, small), Reflection::OPEN);
    assert_eq!(gamma.change_reference(small, large), Reflection::SHORT);
}

// ------------------------------------------------------------------------------------------------------------------
// Two impedances

/// In series and side by side.
fn combined_law<A: Arithmetic>(
    a: Impedance<A>,
    b: Impedance<A>,
    series: Impedance<A>,
    parallel: Impedance<A>,
) -> Law {
    let (p, q) = (z_of(a), z_of(b));
    let named = |message: String| format!("{a:?} and {b:?}: {message}");
    let (r, x) = (p.0 + q.0, p.1 + q.1);
    let scale = size(p).max(size(q));
    word_within(Readout::Resistance, A::FAMILY, series.resistance(), r, scale, 1.0).map_err(named)?;
    word_within(Readout::Reactance, A::FAMILY, series.reactance(), x, scale, 1.0).map_err(named)?;
    if (r, x) == (0.0, 0.0) {
        return Ok(());
    }
    let long = |z: (f64, f64)| (Long::from(z.0), Long::from(z.1));
    let ((c, d), (e, f)) = (long(p), long(q));
    let (re, im) = quotient((c * e - d * f, c * f + d * e), (c + e, d + f));
    // A sum that nearly cancels loses as many digits as it cancels.
    let stretch = 1.0 + (size(p) + size(q)) / size((r, x));
    let scale = size((re, im)) * stretch;
    if stretch > 1e5 {
        return Ok(());
    }
    word_within(
        Readout::Resistance,
        A::FAMILY,
        parallel.resistance(),
        re,
        scale,
        1.0,
    )
    .map_err(named)?;
    word_within(
        Readout::Reactance,
        A::FAMILY,
        parallel.reactance(),
        im,
        scale,
        1.0,
    )
    .map_err(named)
}

fn combinations<A: Arithmetic>() {
    let mut list = impedances::<A>(14, 20_000);
    list.retain(|z| size(z_of(*z)) > 0.0);
    for pair in list.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        combined_law(a, b, a.in_series(b), a.in_parallel(b)).unwrap();
    }
    for z in list.into_iter().step_by(100) {
        assert_eq!(z.in_parallel(Impedance::OPEN), z);
        assert_eq!(Impedance::OPEN.in_parallel(z), z);
        assert_eq!(z.in_parallel(Impedance::SHORT), Impedance::SHORT);
        assert_eq!(Impedance::SHORT.in_parallel(z), Impedance::SHORT);
        assert_eq!(z.in_series(Impedance::SHORT), z);
        assert!(z.in_series(Impedance::OPEN).is_open() && Impedance::OPEN.in_series(z).is_open());
        let (r, x) = z_of(z);
        let minus = Impedance::try_from_f64(-r, -x).unwrap();
        assert!(z.in_parallel(minus).is_open());
    }
}

// ------------------------------------------------------------------------------------------------------------------
// Sources

fn wave_law<A: Arithmetic>(load: Impedance<A>, source: Impedance<A>, wave: Reflection<A>) -> Law {
    let (re, im) = wave_truth(z_of(load), z_of(source));
    let limit = reach::<A>().min(Component::<A>::MAX.to_f64());
    let scale = re.hypot(im);
    let scale = scale * scale.max(1.0);
    for (part, want) in [(wave.real(), re), (wave.imaginary(), im)] {
        word_within(
            Readout::Reflection,
            A::FAMILY,
            part,
            want.clamp(-limit, limit),
            scale,
            1.0,
        )
        .map_err(|message| format!("{load:?} on {source:?}: {message}"))?;
    }
    Ok(())
}

fn share_law<A: Arithmetic>(load: Impedance<A>, source: Impedance<A>, share: Component<A>) -> Law {
    let want = crate::common::share_truth(z_of(load), z_of(source));
    let slack = share_allowance::<A>() * want.abs().max(1.0);
    let end = if is_fixed::<A>() {
        reach::<A>()
    } else {
        f64::INFINITY
    };
    require((share.to_f64() - want.clamp(-end, end)).abs() <= slack, || {
        format!("{load:?} takes {share:?} from {source:?}, want {want}")
    })
}

/// What is not reflected is taken.
fn balance_law(wave: (f64, f64), share: f64, slack: f64) -> Law {
    let (re, im) = wave;
    require((1.0 - (re * re + im * im) - share).abs() <= slack, || {
        format!("|wave|² = {}, taken {share}", re * re + im * im)
    })
}

fn sources<A: Arithmetic>() {
    let loads = impedances::<A>(15, 20_000);
    let sources: Vec<_> = impedances::<A>(16, 4000)
        .into_iter()
        .filter(|z| z.resistance() > Ohms::<A>::ZERO)
        .collect();
    for (turn, load) in loads.into_iter().enumerate() {
        let source = sources[turn % sources.len()];
        let (sum_r, sum_x) = (z_of(load).0 + z_of(source).0, z_of(load).1 + z_of(source).1);
        if (sum_r, sum_x) == (0.0, 0.0) {
            continue;
        }
        let wave = load.power_wave_reflection(source).unwrap();
        let share = load.share_taken_from(source).unwrap();
        wave_law(load, source, wave).unwrap();
        share_law(load, source, share).unwrap();
        let slip = allowance::<A>(Readout::Reflection, 1.0);
        if load.resistance() >= Ohms::<A>::ZERO {
            balance_law(
                gamma_of(wave),
                share.to_f64(),
                3.0 * slip + share_allowance::<A>(),
            )
            .unwrap();
        }
        // A real source is a reference.
        let z0 = Reference::new(source.resistance()).unwrap();
        let real = Impedance::new(source.resistance(), Ohms::<A>::ZERO).unwrap();
        let (plain, wave) = (load.reflection(z0), load.power_wave_reflection(real).unwrap());
        if size(gamma_of(plain)) < 1.5 {
            let ((a, b), (c, d)) = (gamma_of(plain), gamma_of(wave));
            assert!(
                (a - c).abs() <= 2.0 * slip && (b - d).abs() <= 2.0 * slip,
                "{plain:?} {wave:?}"
            );
        }
        // The conjugate match takes all there is.
        let share = source.conjugate().share_taken_from(source).unwrap().to_f64();
        assert!((share - 1.0).abs() <= share_allowance::<A>());
    }
    let fifty = Impedance::<A>::try_from_f64(50.0, 0.0).unwrap();
    assert_eq!(Impedance::OPEN.power_wave_reflection(fifty), Ok(Reflection::OPEN));
    assert_eq!(Impedance::OPEN.share_taken_from(fifty), Ok(Component::<A>::ZERO));
    assert_eq!(Impedance::SHORT.share_taken_from(fifty), Ok(Component::<A>::ZERO));
    for bad in [Impedance::SHORT, Impedance::try_from_f64(-1.0, 3.0).unwrap()] {
        let refused = QuantityError::NotPositive("source resistance");
        refused_law(fifty.power_wave_reflection(bad), refused).unwrap();
        refused_law(fifty.share_taken_from(bad), refused).unwrap();
    }
    let refused = QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
        parameter: "source",
        rule: "must not be an open",
    });
    refused_law(fifty.power_wave_reflection(Impedance::OPEN), refused).unwrap();
    refused_law(fifty.share_taken_from(Impedance::OPEN), refused).unwrap();
}

/// What is absorbed and what is reflected make up what came; less than nothing is absorbed beyond the rim, and only there.
fn shares_law<A: Arithmetic>(gamma: Reflection<A>, absorbed: f64) -> Law {
    let (re, im) = gamma_of(gamma);
    let truth = truth(re, im);
    let slack = bound(Readout::AbsorbedShare, A::FAMILY).allowance(truth.passive.abs(), 1.0);
    let told = is_fixed::<A>() || truth.passive.abs() > slack;
    require(
        absorbed == 0.0 || !told || (absorbed < 0.0) == (truth.passive < 0.0),
        || format!("{gamma:?} absorbs {absorbed:e}, 1 − |Γ|² = {:e}", truth.passive),
    )?;
    let (low, high) = (Component::<A>::MIN.to_f64(), Component::<A>::MAX.to_f64());
    if truth.share > high || !(low..=high).contains(&truth.passive) {
        return Ok(());
    }
    let reflected = gamma.reflected_share().to_f64();
    let slack = slack + allowance::<A>(Readout::ReflectedShare, truth.share);
    require((absorbed + reflected - 1.0).abs() <= slack, || {
        format!("{gamma:?} absorbs {absorbed:e}, reflects {reflected:e}")
    })
}

/// The readouts of one Γ among themselves: both shares, both losses, and the share a load takes.
fn power_balance<A: Arithmetic>() {
    for gamma in reflections::<A>(17, 20_000) {
        shares_law(gamma, gamma.absorbed_share().to_f64()).unwrap();
        let (re, im) = gamma_of(gamma);
        let truth = truth(re, im);
        if truth.passive < 1e-6 || truth.magnitude < 1e-4 {
            continue;
        }
        let share = gamma.reflected_share().to_f64();
        // A share may lie beyond the 16-bit word, by up to one step.
        let beyond = truth.share - Component::<A>::MAX.to_f64();
        let slip = allowance::<A>(Readout::ReflectedShare, 1.0).max(beyond);
        balance_law((re, im), 1.0 - share, slip + 1e-15).unwrap();
        let taken = 10f64.powf(-gamma.mismatch_loss().to_f64() / 10.0);
        let loss = bound(Readout::MismatchLoss, A::FAMILY).allowance(truth.mismatch_loss, truth.passive);
        balance_law((re, im), taken, truth.passive * 0.24 * loss + 1e-15).unwrap();
        let back = 10f64.powf(-gamma.return_loss().to_f64() / 10.0);
        let loss = allowance::<A>(Readout::ReturnLoss, truth.return_loss);
        balance_law(
            (re, im),
            1.0 - back,
            truth.share * 0.24 * loss + 1e-14 * truth.share + 1e-15,
        )
        .unwrap();
    }
    for z in impedances::<A>(18, 10_000) {
        if z.resistance() < Ohms::<A>::ZERO {
            continue;
        }
        let fifty = Impedance::try_from_f64(50.0, 0.0).unwrap();
        let gamma = gamma_of(z.reflection(Reference::fifty()));
        let share = z.share_taken_from(fifty).unwrap().to_f64();
        let slip = 3.0 * allowance::<A>(Readout::Reflection, 1.0) + share_allowance::<A>();
        balance_law(gamma, share, slip).unwrap();
    }
}

// ------------------------------------------------------------------------------------------------------------------
// Parts

/// 2πf.
fn omega(frequency: Hertz) -> Long {
    let tau = Long::from(core::f64::consts::TAU) + Long::from(2.449_293_598_294_706_4e-16);
    tau * Long::from(frequency.get() as f64)
}

/// Henries or farads in one unit of the word.
fn units<A: Arithmetic>() -> (f64, f64) {
    if is_fixed::<A>() {
        (1e-12, 1e-15)
    } else {
        (1.0, 1.0)
    }
}

/// A value against the truth: half a unit of its word, and a few roundings.
fn part_law<A: Arithmetic>(got: f64, want: f64, half: f64) -> Law {
    let (half, relative) = match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => (half, 5e-9),
        Family::F32 | Family::SoftF32 => (f32::MIN_POSITIVE as f64, 6e-7),
        _ => (f64::MIN_POSITIVE, 1.2e-15),
    };
    require((got - want).abs() <= half + relative * want.abs(), || {
        format!("{got:e}, want {want:e}")
    })
}

/// A reactance, whose bound is documented: a rounding of the word plus 3e-9.
fn reactance_law<A: Arithmetic>(got: Ohms<A>, want: f64) -> Law {
    let slack = match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 0.5 / 4096.0 + 3e-9 * want.abs(),
        Family::F32 | Family::SoftF32 => 4e-7 * want.abs(),
        _ => 8e-16 * want.abs(),
    };
    let want = want.clamp(Ohms::<A>::MIN.to_f64(), Ohms::<A>::MAX.to_f64());
    require((got.to_f64() - want).abs() <= slack, || {
        format!("{got:?}, want {want}")
    })
}

fn parts<A: Arithmetic>() {
    let mut source = Random::new(19);
    let (henries, farads) = units::<A>();
    for _ in 0..20_000 {
        let frequency = Hertz::new(source.decades(1e3, 1e10).abs() as u64);
        let omega = omega(frequency);
        let count = |source: &mut Random| source.decades(1.0, 4e9).abs() as u32;
        let coil = Inductance::<A>::from_picohenries(count(&mut source));
        let capacitor = Capacitance::<A>::from_femtofarads(count(&mut source));
        let (l, c) = (coil.get().to_f64() * henries, capacitor.get().to_f64() * farads);
        let (xl, xc) = (
            (omega * l.into()).value(),
            (Long::from(-1.0) / (omega * c.into())).value(),
        );
        reactance_law::<A>(coil.reactance(frequency), xl).unwrap();
        reactance_law::<A>(capacitor.reactance(frequency), xc).unwrap();
        assert_eq!(Inductance::<A>::new(coil.get()), Ok(coil));
        assert_eq!(Capacitance::<A>::new(capacitor.get()), Ok(capacitor));

        // Thomson: ω²LC = 1. Saturated parts say only that they are large.
        let tuned = Inductance::resonant_with(capacitor, frequency).unwrap();
        let want = (Long::from(1.0) / omega / omega / Long::from(c)).value() / henries;
        let held = want.min(A::InductanceWord::MAX.to_f64());
        part_law::<A>(tuned.get().to_f64(), held, 0.5).unwrap();
        let tuned = Capacitance::resonant_with(coil, frequency).unwrap();
        let want = (Long::from(1.0) / omega / omega / Long::from(l)).value() / farads;
        let held = want.min(A::CapacitanceWord::MAX.to_f64());
        part_law::<A>(tuned.get().to_f64(), held, 0.5).unwrap();

        // From a reactance to the part, and back.
        let word = Ohms::<A>::try_from_f64(source.decades(0.01, 1e5).abs()).unwrap();
        let x = word.to_f64();
        let made = Inductance::<A>::with_reactance(word, frequency).unwrap();
        let want = (Long::from(x) / omega).value() / henries;
        part_law::<A>(
            made.get().to_f64(),
            want.min(A::InductanceWord::MAX.to_f64()),
            0.5,
        )
        .unwrap();
        let slip = if is_fixed::<A>() {
            0.5 * henries * omega.value()
        } else {
            0.0
        };
        if want < 4e9 {
            let back = made.reactance(frequency).to_f64();
            let slack =
                slip + 1.3 / 8192.0 * f64::from(is_fixed::<A>()) + 8e-9 * x * f64::from(is_fixed::<A>());
            let slack = slack + share_allowance::<A>() * x;
            assert!((back - x).abs() <= slack, "{back} {x}");
        }
        let made = Capacitance::<A>::with_reactance(word, frequency).unwrap();
        let want = (Long::from(1.0) / (omega * x.into())).value() / farads;
        part_law::<A>(
            made.get().to_f64(),
            want.min(A::CapacitanceWord::MAX.to_f64()),
            0.5,
        )
        .unwrap();
        if want < 4e9 && (want > 100.0 || !is_fixed::<A>()) {
            let back = -made.reactance(frequency).to_f64();
            let fixed = f64::from(is_fixed::<A>());
            let slack = fixed * (0.51 / want * x + 1.3 / 8192.0 + 8e-9 * x) + share_allowance::<A>() * x;
            assert!((back - x).abs() <= slack, "{back} {x}");
        }
    }
    let (still, moving) = (Hertz::new(0), Hertz::from_megahertz(7));
    let fifty = Ohms::<A>::try_from_f64(50.0).unwrap();
    let (coil, capacitor) = (
        Inductance::<A>::from_picohenries(5),
        Capacitance::<A>::from_femtofarads(5),
    );
    let frequency = QuantityError::NotPositive("frequency");
    refused_law(Inductance::<A>::with_reactance(fifty, still), frequency).unwrap();
    refused_law(Capacitance::<A>::with_reactance(fifty, still), frequency).unwrap();
    refused_law(Inductance::resonant_with(capacitor, still), frequency).unwrap();
    refused_law(Capacitance::resonant_with(coil, still), frequency).unwrap();
    let minus = Ohms::<A>::try_from_f64(-50.0).unwrap();
    let negative = QuantityError::Negative("reactance");
    refused_law(Inductance::<A>::with_reactance(minus, moving), negative).unwrap();
    refused_law(Capacitance::<A>::with_reactance(minus, moving), negative).unwrap();
    let nothing = Inductance::<A>::with_reactance(Ohms::<A>::ZERO, moving).unwrap();
    assert_eq!(nothing, Inductance::default());
    let zero = QuantityError::NotPositive("reactance");
    refused_law(Capacitance::<A>::with_reactance(Ohms::<A>::ZERO, moving), zero).unwrap();
    let zero = QuantityError::NotPositive("inductance");
    refused_law(Capacitance::resonant_with(nothing, moving), zero).unwrap();
    let zero = QuantityError::NotPositive("capacitance");
    refused_law(
        Inductance::resonant_with(Capacitance::<A>::default(), moving),
        zero,
    )
    .unwrap();
    assert_eq!(coil.reactance(still), Ohms::<A>::ZERO);
    assert_eq!(capacitor.reactance(still), Ohms::<A>::MIN);
    assert_eq!(Capacitance::<A>::default().reactance(moving), Ohms::<A>::MIN);
    assert_eq!(Inductance::<A>::default().reactance(moving), Ohms::<A>::ZERO);
    assert!(Inductance::<A>::from_picohenries(u32::MAX).reactance(Hertz::new(u64::MAX)) > fifty);
}

/// The sign of a reactance says which part it takes; its own reactance is the one asked for.
fn reactor_law<A: Arithmetic>(x: Ohms<A>, frequency: Hertz, part: Option<Reactor<A>>) -> Law {
    let want = x.to_f64();
    match part {
        Some(Reactor::Inductor(coil)) => {
            require(want > 0.0, || format!("a coil for {want}"))?;
            require(Ok(coil) == Inductance::with_reactance(x, frequency), || {
                format!("{coil:?} for {want}")
            })?;
            require(
                coil.reactance(frequency) == Reactor::Inductor(coil).reactance(frequency),
                || format!("{coil:?}"),
            )
        }
        Some(Reactor::Capacitor(capacitor)) => {
            require(want < 0.0, || format!("a capacitor for {want}"))?;
            let size = Ohms::<A>::try_from_f64(-want).unwrap();
            let same = Capacitance::with_reactance(size, frequency);
            require(Ok(capacitor) == same, || format!("{capacitor:?} for {want}"))?;
            let part = Reactor::Capacitor(capacitor);
            require(
                capacitor.reactance(frequency) == part.reactance(frequency),
                || format!("{part:?}"),
            )
        }
        None => require(want == 0.0 || x.is_at_end() || frequency.get() == 0, || {
            format!("no part for {want}")
        }),
    }
}

fn reactors<A: Arithmetic>() {
    let mut source = Random::new(20);
    for _ in 0..20_000 {
        let frequency = Hertz::new(source.decades(1e3, 1e10).abs() as u64);
        let x = Ohms::<A>::try_from_f64(source.decades(1e-3, 5e5)).unwrap();
        reactor_law(x, frequency, Reactor::<A>::with_reactance(x, frequency)).unwrap();
    }
    let moving = Hertz::from_megahertz(7);
    for x in [Ohms::<A>::ZERO, Ohms::<A>::MAX, Ohms::<A>::MIN] {
        assert_eq!(Reactor::<A>::with_reactance(x, moving), None);
    }
    let fifty = Ohms::<A>::try_from_f64(50.0).unwrap();
    assert_eq!(Reactor::<A>::with_reactance(fifty, Hertz::new(0)), None);
}

/// A part that has saturated has no NaN in it, not even at 0 Hz.
#[test]
fn saturated_parts() {
    let still = Hertz::new(0);
    let capacitor = Capacitance::<f32>::with_reactance(1e-42, Hertz::new(1)).unwrap();
    assert_eq!(capacitor.get(), f32::INFINITY);
    assert_eq!(capacitor.reactance(still), f32::NEG_INFINITY);
    assert_eq!(capacitor.reactance(Hertz::new(1)), 0.0);
    let coil = Inductance::<f64>::resonant_with(Capacitance::new(5e-324).unwrap(), Hertz::new(1)).unwrap();
    assert_eq!(coil.get(), f64::INFINITY);
    assert_eq!(coil.reactance(still), 0.0);
    assert_eq!(coil.reactance(Hertz::new(1)), f64::INFINITY);
    let coil = Inductance::<Fixed32>::resonant_with(Capacitance::new(1).unwrap(), Hertz::new(1)).unwrap();
    assert_eq!(coil.get(), u32::MAX);
}

#[test]
fn frequencies() {
    assert_eq!(Hertz::new(7).get(), 7);
    assert_eq!(Hertz::from_kilohertz(u32::MAX).get(), u32::MAX as u64 * 1_000);
    assert_eq!(Hertz::from_megahertz(u32::MAX).get(), u32::MAX as u64 * 1_000_000);
    assert_eq!(Hertz::from_megahertz(3), Hertz::from_kilohertz(3000));
    assert!(Hertz::new(1) < Hertz::from_kilohertz(1));
    assert_eq!(Hertz::default(), Hertz::new(0));
    assert_eq!(Hertz::new(71_000_000).to_string(), "71000000 Hz");
}

// ------------------------------------------------------------------------------------------------------------------
// From family to family

/// The nearest value of the other family, saturating.
fn conversion_law(from: f64, to: f64, family: Family) -> Law {
    let (limit, slack) = match family {
        Family::Fixed16 => (2.0 - 2f64.powi(-14), 2f64.powi(-15)),
        Family::Fixed32 => (2.0 - 2f64.powi(-30), 2f64.powi(-31)),
        Family::F32 | Family::SoftF32 => (
            1_048_576.0,
            2f64.powi(-24) * from.abs() + f32::MIN_POSITIVE as f64,
        ),
        _ => (1_048_576.0, 0.0),
    };
    require((to - from.clamp(-limit, limit)).abs() <= slack, || {
        format!("{from:e} became {to:e}")
    })
}

fn conversions<A: Arithmetic>() {
    for gamma in reflections::<A>(21, 5000) {
        fn check<A: Arithmetic, B: Arithmetic>(gamma: Reflection<A>) {
            let converted = gamma.convert::<B>();
            let ((a, b), (c, d)) = (gamma_of(gamma), gamma_of(converted));
            conversion_law(a, c, B::FAMILY).unwrap();
            conversion_law(b, d, B::FAMILY).unwrap();
        }
        check::<A, f64>(gamma);
        check::<A, f32>(gamma);
        check::<A, Fixed32>(gamma);
        check::<A, Fixed16>(gamma);
        if gamma.real() != Component::<A>::MIN && gamma.imaginary() != Component::<A>::MIN {
            assert_eq!(gamma.convert::<f64>().convert::<A>(), gamma);
        }
    }
}

// ------------------------------------------------------------------------------------------------------------------
// Landmarks and refusals

fn landmarks<A: Arithmetic>() {
    let z0 = Reference::<A>::fifty();
    assert_eq!(z0, Reference::default());
    assert_eq!(z0.ohms().to_f64(), 50.0);
    assert_eq!(Reference::new(z0.ohms()), Ok(z0));
    let (matched, open, short) = (
        Reflection::<A>::MATCHED,
        Reflection::<A>::OPEN,
        Reflection::<A>::SHORT,
    );
    assert_eq!(gamma_of(matched), (0.0, 0.0));
    assert_eq!(gamma_of(open), (1.0, 0.0));
    assert_eq!(gamma_of(short), (-1.0, 0.0));
    assert_eq!(Reflection::new(open.real(), open.imaginary()), Ok(open));

    assert_eq!(matched.swr().to_f64(), 1.0);
    assert_eq!(matched.return_loss(), Decibels::<A>::MAX);
    assert_eq!(matched.mismatch_loss(), Decibels::<A>::ZERO);
    assert_eq!(matched.phase(), Degrees::<A>::ZERO);
    assert_eq!(matched.absorbed_share().to_f64(), 1.0);
    assert_eq!(matched.q(), QFactor::<A>::ZERO);
    assert_eq!(z_of(matched.impedance(z0)), (50.0, 0.0));
    assert!(!matched.is_total() && !matched.is_active());
    for gamma in [open, short] {
        assert_eq!(gamma.magnitude().to_f64(), 1.0);
        assert_eq!(gamma.swr(), Swr::<A>::MAX);
        assert_eq!(gamma.return_loss(), Decibels::<A>::ZERO);
        assert_eq!(gamma.mismatch_loss(), Decibels::<A>::MAX);
        assert_eq!(gamma.absorbed_share(), Component::<A>::ZERO);
        assert_eq!(gamma.q(), QFactor::<A>::ZERO);
        assert!(gamma.is_total() && !gamma.is_active());
    }
    assert_eq!(open.phase(), Degrees::<A>::ZERO);
    assert_eq!(short.phase().to_f64(), 180.0);
    assert_eq!(open.impedance(z0), Impedance::OPEN);
    assert_eq!(short.impedance(z0), Impedance::SHORT);
    assert_eq!(open.impedance_magnitude(z0), Ohms::<A>::MAX);
    assert_eq!(short.impedance_magnitude(z0), Ohms::<A>::ZERO);

    // −j, which every word holds.
    let capacitor = Reflection::<A>::try_from_f64(0.0, -1.0).unwrap();
    assert_eq!(capacitor.phase().to_f64(), -90.0);
    assert_eq!(capacitor.q(), QFactor::<A>::MAX);
    assert_eq!(z_of(capacitor.impedance(z0)), (0.0, -50.0));
    assert_eq!(capacitor.return_loss(), Decibels::<A>::ZERO);

    assert!(Impedance::<A>::OPEN.is_open() && !Impedance::<A>::SHORT.is_open());
    assert_eq!(Impedance::<A>::OPEN.magnitude(), Ohms::<A>::MAX);
    assert_eq!(Impedance::<A>::OPEN.q(), QFactor::<A>::ZERO);
    assert_eq!(Impedance::<A>::SHORT.q(), QFactor::<A>::ZERO);
    assert_eq!(Impedance::<A>::SHORT.magnitude(), Ohms::<A>::ZERO);
    assert_eq!(Impedance::<A>::OPEN.reflection(z0), open);
    assert_eq!(Impedance::<A>::SHORT.reflection(z0), short);
    let pure = Impedance::<A>::try_from_f64(0.0, -7.0).unwrap();
    assert_eq!(pure.q(), QFactor::<A>::MAX);
}

/// Refused, for this reason and under this name.
fn refused_law<T>(got: Result<T, QuantityError>, want: QuantityError) -> Law {
    match got {
        Ok(_) => Err(format!("accepted, want: {want}")),
        Err(error) if error == want && error.to_string().starts_with(want.parameter()) => Ok(()),
        Err(error) => Err(format!("refused with: {error}, want: {want}")),
    }
}

const BAD: [f64; 3] = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY];

fn refusals_of_doubles<A: Arithmetic>() {
    use QuantityError::{NotFinite, NotPositive, OutOfRange};
    let far = if is_fixed::<A>() {
        reach::<A>()
    } else {
        1_048_577.0
    };
    let wide = if A::FAMILY == Family::F64 {
        f64::INFINITY
    } else {
        1e39
    };
    let too_much = |name| {
        if wide.is_finite() {
            OutOfRange(name)
        } else {
            NotFinite(name)
        }
    };
    for bad in BAD {
        refused_law(
            Reflection::<A>::try_from_f64(bad, 0.0),
            NotFinite("real part of Γ"),
        )
        .unwrap();
        refused_law(
            Reflection::<A>::try_from_f64(0.0, bad),
            NotFinite("imaginary part of Γ"),
        )
        .unwrap();
        refused_law(Impedance::<A>::try_from_f64(bad, 0.0), NotFinite("resistance")).unwrap();
        refused_law(Impedance::<A>::try_from_f64(0.0, bad), NotFinite("reactance")).unwrap();
        refused_law(Reference::<A>::try_from_f64(bad), NotFinite("reference")).unwrap();
    }
    refused_law(
        Reflection::<A>::try_from_f64(far, 0.0),
        OutOfRange("real part of Γ"),
    )
    .unwrap();
    refused_law(
        Reflection::<A>::try_from_f64(0.0, -far - 1.0),
        OutOfRange("imaginary part of Γ"),
    )
    .unwrap();
    refused_law(Impedance::<A>::try_from_f64(wide, 0.0), too_much("resistance")).unwrap();
    refused_law(Impedance::<A>::try_from_f64(0.0, -wide), too_much("reactance")).unwrap();
    refused_law(Reference::<A>::try_from_f64(wide), too_much("reference")).unwrap();
    refused_law(Reference::<A>::try_from_f64(0.0), NotPositive("reference")).unwrap();
    refused_law(Reference::<A>::try_from_f64(-50.0), NotPositive("reference")).unwrap();
    if is_fixed::<A>() {
        refused_law(Reference::<A>::try_from_f64(1e-9), NotPositive("reference")).unwrap();
        refused_law(
            Impedance::<A>::try_from_f64(524_288.0, 0.0),
            OutOfRange("resistance"),
        )
        .unwrap();
    }
}

macro_rules! refusals_of_words {
    ($name:ident, $f:ident) => {
        #[test]
        fn $name() {
            use QuantityError::{Negative, NotFinite, NotPositive, OutOfRange};
            for bad in [$f::NAN, -$f::NAN, $f::INFINITY, $f::NEG_INFINITY] {
                refused_law(Reflection::<$f>::new(bad, 0.0), NotFinite("real part of Γ")).unwrap();
                refused_law(
                    Reflection::<$f>::new(0.0, bad),
                    NotFinite("imaginary part of Γ"),
                )
                .unwrap();
                refused_law(Impedance::<$f>::new(bad, 0.0), NotFinite("resistance")).unwrap();
                refused_law(Impedance::<$f>::new(0.0, bad), NotFinite("reactance")).unwrap();
                refused_law(Admittance::<$f>::new(bad, 0.0), NotFinite("conductance")).unwrap();
                refused_law(Admittance::<$f>::new(0.0, bad), NotFinite("susceptance")).unwrap();
                refused_law(Reference::<$f>::new(bad), NotFinite("reference")).unwrap();
                refused_law(Inductance::<$f>::new(bad), NotFinite("inductance")).unwrap();
                refused_law(Capacitance::<$f>::new(bad), NotFinite("capacitance")).unwrap();
                let frequency = Hertz::from_megahertz(7);
                refused_law(
                    Inductance::<$f>::with_reactance(bad, frequency),
                    NotFinite("reactance"),
                )
                .unwrap();
                refused_law(
                    Capacitance::<$f>::with_reactance(bad, frequency),
                    NotFinite("reactance"),
                )
                .unwrap();
                assert_eq!(Reactor::<$f>::with_reactance(bad, frequency), None);
            }
            let limit: $f = 1_048_576.0;
            assert!(Reflection::<$f>::new(limit, -limit).is_ok());
            refused_law(
                Reflection::<$f>::new(limit.next_up(), 0.0),
                OutOfRange("real part of Γ"),
            )
            .unwrap();
            refused_law(
                Reflection::<$f>::new(-limit.next_up(), 0.0),
                OutOfRange("real part of Γ"),
            )
            .unwrap();
            refused_law(
                Reflection::<$f>::new(0.0, limit.next_up()),
                OutOfRange("imaginary part of Γ"),
            )
            .unwrap();
            refused_law(
                Reflection::<$f>::new(0.0, -limit.next_up()),
                OutOfRange("imaginary part of Γ"),
            )
            .unwrap();
            refused_law(Reference::<$f>::new(0.0), NotPositive("reference")).unwrap();
            refused_law(Reference::<$f>::new(-1.0), NotPositive("reference")).unwrap();
            refused_law(Inductance::<$f>::new(-1e-9), Negative("inductance")).unwrap();
            refused_law(Capacitance::<$f>::new(-1e-9), Negative("capacitance")).unwrap();
        }
    };
}

refusals_of_words!(refusals_of_words_in_f32, f32);
refusals_of_words!(refusals_of_words_in_f64, f64);

#[test]
fn fixed_point_refuses_only_a_reference() {
    for bits in [0, -1, i32::MIN] {
        let word = I20F12::from_bits(bits);
        refused_law(
            Reference::<Fixed32>::new(word),
            QuantityError::NotPositive("reference"),
        )
        .unwrap();
    }
    assert!(Reflection::<Fixed32>::new(I2F30::MIN, I2F30::MAX).is_ok());
    assert!(Impedance::<Fixed32>::new(I20F12::MIN, I20F12::MAX).is_ok());
    assert!(Admittance::<Fixed32>::new(I8F24::MIN, I8F24::MAX).is_ok());
    assert!(Inductance::<Fixed32>::new(u32::MAX).is_ok());
    let gamma = Reflection::<Fixed32>::from_bits(-5, 7);
    assert_eq!(gamma.real().get().to_bits(), -5);
    assert_eq!(gamma.imaginary().get().to_bits(), 7);
}

// ------------------------------------------------------------------------------------------------------------------
// Every value there is

/// Everything a reflection and its impedance say, without regard to what went in.
#[derive(Clone, Copy, Debug)]
struct Said {
    magnitude: f64,
    swr: f64,
    swr_is_largest: bool,
    return_loss: f64,
    mismatch_loss: f64,
    mismatch_is_largest: bool,
    phase: f64,
    resistance: f64,
    reactance: f64,
    open: bool,
    open_readouts: bool,
    impedance_magnitude: f64,
    q: f64,
    share: f64,
    total: bool,
    active: bool,
    /// Whatever else can be computed: only NaN is wrong here.
    rest: [f64; 24],
}

fn say<A: Arithmetic>(gamma: Reflection<A>, z: Impedance<A>, z0: Reference<A>) -> Said {
    let seen = gamma.impedance(z0);
    let moved = gamma.change_reference(z0, Reference::fifty());
    let back = z.reflection(z0);
    let parallel = z.parallel_form();
    let admittance = z.admittance();
    let again = parallel.series_form();
    let (series, beside) = (z.in_series(seen), z.in_parallel(seen));
    let wave = z.power_wave_reflection(seen).unwrap_or(Reflection::MATCHED);
    let share = z.share_taken_from(seen).unwrap_or_default();
    let inverse = admittance.impedance();
    Said {
        magnitude: gamma.magnitude().to_f64(),
        swr: gamma.swr().to_f64(),
        swr_is_largest: gamma.swr() == Swr::<A>::MAX,
        return_loss: gamma.return_loss().to_f64(),
        mismatch_loss: gamma.mismatch_loss().to_f64(),
        mismatch_is_largest: gamma.mismatch_loss() == Decibels::<A>::MAX,
        phase: gamma.phase().to_f64(),
        resistance: seen.resistance().to_f64(),
        reactance: seen.reactance().to_f64(),
        open: seen.is_open(),
        open_readouts: seen.magnitude() == Ohms::<A>::MAX && seen.reflection(z0) == Reflection::OPEN,
        impedance_magnitude: gamma.impedance_magnitude(z0).to_f64(),
        q: gamma.q().to_f64(),
        share: gamma.reflected_share().to_f64(),
        total: gamma.is_total(),
        active: gamma.is_active(),
        rest: [
            moved.real().to_f64(),
            moved.imaginary().to_f64(),
            back.real().to_f64(),
            back.imaginary().to_f64(),
            z.magnitude().to_f64(),
            z.q().to_f64(),
            z.conjugate().reactance().to_f64(),
            parallel.resistance.to_f64(),
            parallel.reactance.to_f64(),
            again.resistance().to_f64(),
            again.reactance().to_f64(),
            admittance.conductance().to_f64(),
            admittance.susceptance().to_f64(),
            series.resistance().to_f64(),
            series.reactance().to_f64(),
            beside.resistance().to_f64(),
            beside.reactance().to_f64(),
            wave.real().to_f64(),
            wave.imaginary().to_f64(),
            share.to_f64(),
            inverse.resistance().to_f64(),
            inverse.reactance().to_f64(),
            back.swr().to_f64(),
            moved.return_loss().to_f64(),
        ],
    }
}

fn plausible_law(said: &Said) -> Law {
    let need = |holds: bool, what: &str| require(holds, || format!("{what}: {said:?}"));
    let all = [
        said.magnitude,
        said.swr,
        said.return_loss,
        said.mismatch_loss,
        said.phase,
        said.resistance,
        said.reactance,
        said.impedance_magnitude,
        said.q,
        said.share,
    ];
    need(all.iter().chain(&said.rest).all(|value| !value.is_nan()), "a NaN")?;
    need(said.magnitude >= 0.0 && said.share >= 0.0, "a negative size")?;
    need(said.swr >= 1.0, "SWR below 1")?;
    need(said.mismatch_loss >= 0.0, "a negative mismatch loss")?;
    need(said.phase > -180.0 && said.phase <= 180.0, "the angle")?;
    need(said.q >= 0.0, "a negative Q")?;
    need(said.impedance_magnitude >= 0.0, "a negative |Z|")?;
    need(said.total || !said.active, "active but not total")?;
    need(!said.total || said.swr_is_largest, "total, but an SWR")?;
    need(
        said.total == said.mismatch_is_largest,
        "total is no mismatch loss",
    )?;
    need(
        !said.active || said.resistance <= 0.0 || said.open,
        "active with a resistance",
    )?;
    need(
        said.active || said.resistance >= 0.0,
        "passive with a negative resistance",
    )?;
    need(
        !said.active || said.return_loss <= 0.0,
        "active with a return loss",
    )?;
    need(
        said.total || said.return_loss >= 0.0,
        "passive with a return gain",
    )?;
    need(!said.open || said.open_readouts, "an open that is none")
}

/// Random patterns of bits as a component, an impedance and a reference.
fn every_value_is_plausible<A: Arithmetic>() {
    let mut source = Random::new(22);
    let mut accepted = 0;
    let rounds = 200_000;
    for turn in 0..rounds {
        // One in two has its sizes where the interesting things are, else any pattern.
        let gamma = match A::FAMILY {
            _ if turn % 2 == 0 => {
                let (re, im) = source.gamma();
                Reflection::<A>::try_from_f64(re, im)
            }
            Family::Fixed16 => {
                let step = 2f64.powi(-14);
                Reflection::try_from_f64(
                    source.bits() as i16 as f64 * step,
                    source.bits() as i16 as f64 * step,
                )
            }
            Family::Fixed32 => {
                let step = 2f64.powi(-30);
                Reflection::try_from_f64(
                    source.bits() as i32 as f64 * step,
                    source.bits() as i32 as f64 * step,
                )
            }
            Family::F32 | Family::SoftF32 => Reflection::try_from_f64(
                f32::from_bits(source.bits() as u32) as f64,
                f32::from_bits(source.bits() as u32) as f64,
            ),
            _ => Reflection::try_from_f64(f64::from_bits(source.bits()), f64::from_bits(source.bits())),
        };
        let word = |source: &mut Random| match A::FAMILY {
            Family::Fixed32 | Family::Fixed16 if source.bits() & 1 == 0 => {
                source.bits() as i32 as f64 / 4096.0
            }
            Family::F32 | Family::SoftF32 if source.bits() & 1 == 0 => {
                f32::from_bits(source.bits() as u32) as f64
            }
            Family::F64 if source.bits() & 1 == 0 => f64::from_bits(source.bits()),
            _ => source.decades(1e-3, 5e5),
        };
        let (r, x, z0) = (word(&mut source), word(&mut source), word(&mut source).abs());
        let (Ok(gamma), Ok(z), Ok(z0)) = (gamma, Impedance::try_from_f64(r, x), Reference::try_from_f64(z0))
        else {
            continue;
        };
        accepted += 1;
        plausible_law(&say(gamma, z, z0))
            .unwrap_or_else(|message| panic!("{gamma:?} {z:?} {z0:?}: {message}"));
        for readout in READOUTS {
            let (value, ..) = read(readout, gamma, z0);
            assert!(!value.is_nan(), "{readout:?} of {gamma:?} against {z0:?}");
        }
    }
    assert!(accepted > rounds / 3, "{accepted}");
}

// ------------------------------------------------------------------------------------------------------------------
// Controls: a law that cannot fail says nothing

fn double(re: f64, im: f64) -> Reflection<f64> {
    Reflection::new(re, im).unwrap()
}

/// A readout that is off by three times its bound is refused, in every family and at every ordinary Γ.
#[test]
fn control_of_the_readouts() {
    fn check<A: Arithmetic>() {
        let z0 = ohms::<A>(50.0);
        for gamma in reflections::<A>(23, 200) {
            let (re, im) = gamma_of(gamma);
            let passive = truth(re, im).passive;
            if passive.abs() < 1e-4 || size((re, im)) > 1.4 || size((re, im)) < 1e-6 {
                continue;
            }
            for readout in READOUTS {
                let (want, scale) = readout_truth(readout, gamma, z0);
                if !want.is_finite() {
                    continue;
                }
                let off = 3.0 * bound(readout, A::FAMILY).allowance(scale, passive);
                let got = read(readout, gamma, z0).0;
                readout_law(readout, gamma, z0, got).unwrap();
                for wrong in [got + off, got - off, f64::NAN, f64::INFINITY] {
                    assert!(
                        readout_law(readout, gamma, z0, wrong).is_err(),
                        "{readout:?} {gamma:?}"
                    );
                }
            }
            side_law(gamma, passive < 0.0, passive < 0.0).unwrap();
            assert!(side_law(gamma, passive > 0.0, passive < 0.0).is_err());
            assert!(side_law(gamma, passive < 0.0, passive > 0.0).is_err());
        }
    }
    every_family!(check);
    let control_of_the_shares = |gamma: Reflection<f64>| {
        let right = gamma.absorbed_share().to_f64();
        shares_law(gamma, right).unwrap();
        for wrong in [-right, right + 1e-14, right - 1e-14, f64::NAN] {
            assert!(shares_law(gamma, wrong).is_err(), "{gamma:?}: {wrong}");
        }
    };
    for (re, im) in [(0.3, -0.4), (0.6, 0.79), (-1.1, 0.2)] {
        control_of_the_shares(double(re, im));
    }
    assert!(grows_law(1.5, 1.499, 1e-9).is_err());
    assert!(side_law(double(1.0, 0.0), true, true).is_err());
}

#[test]
fn control_of_the_maps() {
    let z0 = ohms::<f64>(50.0);
    let (gamma, other) = (double(0.25, 0.5), double(0.25, 0.500_000_000_001));
    assert!(conjugate_law(gamma, gamma, z0).is_err());
    assert!(conjugate_law(gamma, other.conjugate(), z0).is_err());
    assert!(conjugate_law(gamma, gamma.conjugate(), z0).is_ok());
    assert!(there_and_back_law(gamma, z0, other).is_err());
    assert!(there_and_back_law(gamma, z0, gamma).is_ok());
    assert!(there_and_back_law(Reflection::OPEN, z0, gamma).is_err());
    assert!(moved_within(gamma, (0.25, 0.500_000_000_001)).is_err());
    assert!(conversion_law(0.3, 0.3 + 1e-9, Family::Fixed32).is_err());
    assert!(conversion_law(3.0, 3.0, Family::Fixed32).is_err());
    assert!(conversion_law(0.3, 0.300_000_1, Family::F32).is_err());
    assert!(conversion_law(0.3, 0.300_000_1, Family::F64).is_err());
}

#[test]
fn control_of_the_impedances() {
    let z0 = ohms::<f64>(50.0);
    let z = Impedance::<f64>::new(36.0, 21.0).unwrap();
    let other = Impedance::<f64>::new(36.0, 21.000_000_001).unwrap();
    let (right, wrong) = (describe(z, z0), describe(other, z0));
    described_law(z, z0, right).unwrap();
    for got in [
        Described {
            gamma: wrong.gamma,
            ..right
        },
        Described {
            magnitude: wrong.magnitude,
            ..right
        },
        Described { q: wrong.q, ..right },
        Described {
            parallel: wrong.parallel,
            ..right
        },
        Described {
            admittance: wrong.admittance,
            ..right
        },
    ] {
        assert!(described_law(z, z0, got).is_err(), "{got:?}");
    }
    assert!(described_law(Impedance::SHORT, z0, describe(z, z0)).is_err());
    assert!(inverse_law(right.admittance, other).is_err());
    assert!(inverse_law(Admittance::SHORT, z).is_err());
    assert!(inverse_law(Admittance::OPEN, z).is_err());
    assert!(near_law(other, (36.0, 21.0), 1e-10).is_err());
    assert_eq!(turned_over(1.0, 0.6), f64::INFINITY);
    let (series, parallel) = (z.in_series(z), z.in_parallel(z));
    combined_law(z, z, series, parallel).unwrap();
    assert!(combined_law(z, z, z.in_series(other), parallel).is_err());
    assert!(combined_law(z, z, series, z.in_parallel(other)).is_err());
}

#[test]
fn control_of_the_sources() {
    let load = Impedance::<f64>::new(36.0, 21.0).unwrap();
    let other = Impedance::<f64>::new(36.0, 21.000_000_001).unwrap();
    let source = Impedance::<f64>::new(50.0, -5.0).unwrap();
    let wave = load.power_wave_reflection(source).unwrap();
    let share = load.share_taken_from(source).unwrap();
    wave_law(load, source, wave).unwrap();
    share_law(load, source, share).unwrap();
    assert!(wave_law(other, source, wave).is_err());
    assert!(share_law(load, source, (share + 1e-14).into()).is_err());
    // The plain coefficient is another thing than the power wave.
    assert!(wave_law(load, source, load.reflection(ohms(50.0))).is_err());
    assert!(balance_law(gamma_of(wave), share.get(), 1e-14).is_ok());
    assert!(balance_law(gamma_of(wave), share + 1e-12, 1e-14).is_err());
}

#[test]
fn control_of_the_parts() {
    assert!(part_law::<f64>(1.0 + 1e-14, 1.0, 0.5).is_err());
    assert!(part_law::<f32>(1.0 + 1e-6, 1.0, 0.5).is_err());
    assert!(part_law::<Fixed32>(1001.0, 1000.0, 0.5).is_err());
    assert!(reactance_law::<f64>((50.0 + 1e-12).into(), 50.0).is_err());
    assert!(reactance_law::<f32>(50.0001.into(), 50.0).is_err());
    assert!(reactance_law::<Fixed32>(I20F12::from_bits(204_801).into(), 50.0).is_err());
    let frequency = Hertz::from_megahertz(7);
    let part = Reactor::<f64>::with_reactance(50.0, frequency);
    reactor_law(50.0.into(), frequency, part).unwrap();
    assert!(reactor_law((-50.0).into(), frequency, part).is_err());
    assert!(reactor_law(51.0.into(), frequency, part).is_err());
    assert!(reactor_law(50.0.into(), frequency, None::<Reactor<f64>>).is_err());
    let part = Reactor::<f64>::with_reactance(-50.0, frequency);
    reactor_law((-50.0).into(), frequency, part).unwrap();
    assert!(reactor_law(50.0.into(), frequency, part).is_err());
    assert!(reactor_law((-51.0).into(), frequency, part).is_err());
}

#[test]
fn control_of_the_refusals() {
    let want = QuantityError::NotFinite("resistance");
    assert!(refused_law(Ok(()), want).is_err());
    assert!(refused_law(Err::<(), _>(QuantityError::NotFinite("reactance")), want).is_err());
    assert!(refused_law(Err::<(), _>(QuantityError::OutOfRange("resistance")), want).is_err());
    refused_law(Err::<(), _>(want), want).unwrap();
}

#[test]
fn control_of_the_plausible() {
    let z = Impedance::<f64>::new(36.0, 21.0).unwrap();
    let right = say(double(0.25, 0.5), z, ohms(50.0));
    plausible_law(&right).unwrap();
    let mut nan = right;
    nan.rest[17] = f64::NAN;
    let wrong = [
        nan,
        Said { swr: 0.999, ..right },
        Said {
            swr: f64::NAN,
            ..right
        },
        Said {
            phase: -180.0,
            ..right
        },
        Said {
            phase: 180.1,
            ..right
        },
        Said { q: -1e-9, ..right },
        Said {
            magnitude: -1e-9,
            ..right
        },
        Said {
            mismatch_loss: -1e-9,
            ..right
        },
        Said {
            impedance_magnitude: -1e-9,
            ..right
        },
        Said { total: true, ..right },
        Said {
            active: true,
            ..right
        },
        Said {
            mismatch_is_largest: true,
            ..right
        },
        Said {
            resistance: -1e-9,
            ..right
        },
        Said {
            return_loss: -1e-9,
            ..right
        },
        Said {
            open: true,
            open_readouts: false,
            ..right
        },
    ];
    for said in wrong {
        assert!(plausible_law(&said).is_err(), "{said:?}");
    }
    let active = say(double(1.25, 0.5), z, ohms(50.0));
    plausible_law(&active).unwrap();
    assert!(
        plausible_law(&Said {
            resistance: 1.0,
            ..active
        })
        .is_err()
    );
    assert!(
        plausible_law(&Said {
            return_loss: 1.0,
            ..active
        })
        .is_err()
    );
    assert!(
        plausible_law(&Said {
            swr_is_largest: false,
            ..active
        })
        .is_err()
    );
}
