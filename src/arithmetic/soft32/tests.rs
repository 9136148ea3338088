//! The integers against double precision and against the floating way.

use std::vec::Vec;

use super::super::accuracy::{Readout, bound};
use super::*;

const REFERENCE: f32 = 50.0;

/// Γ: evenly in the circle, close to the rim, next to the axes, small, beyond the rim, and any bits.
fn points(count: u32) -> Vec<(f32, f32)> {
    let mut state = 0x1234_5678_9abc_def1u64;
    let mut next = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    let mut list = Vec::new();
    for turn in 0..count {
        let decade = 10f64.powf(-9.0 * next());
        let size = match turn % 5 {
            0 => next().sqrt(),
            1 => 1.0 - decade,
            2 => decade,
            3 => 1.0 + 0.8 * decade,
            _ => next(),
        };
        let angle = match turn % 7 {
            0 => (turn % 4) as f64 * core::f64::consts::FRAC_PI_2 + decade * (next() - 0.5),
            _ => next() * core::f64::consts::TAU,
        };
        list.push(((size * angle.cos()) as f32, (size * angle.sin()) as f32));
    }
    let mut edges = Vec::from([0.0, 0.6, 0.8, 1.0, f32::MIN_POSITIVE, 1e-40, 3.0, 1_048_576.0]);
    for k in 0..=45 {
        let step = 2f32.powi(-k);
        edges.extend([step, 1.999_999_9 * step, 1.5 * step, 1.0 - step, 1.0 + step]);
    }
    for a in &edges {
        for b in &edges {
            list.extend([(*a, *b), (-a, *b), (*a, -b)]);
        }
    }
    list
}

/// The readouts in the order of [`READOUTS`].
fn nine<
    A: Arithmetic<ComponentWord = f32, OhmsWord = f32, RatioWord = f32, DecibelsWord = f32, DegreesWord = f32>,
>(
    all: Readouts<A>,
) -> [f32; 9] {
    [
        all.magnitude.get(),
        all.swr.get(),
        all.return_loss.get(),
        all.mismatch_loss.get(),
        all.resistance.get(),
        all.reactance.get(),
        all.impedance_magnitude.get(),
        all.phase.get(),
        all.q.get(),
    ]
}

const READOUTS: [Readout; 9] = [
    Readout::Magnitude,
    Readout::Swr,
    Readout::ReturnLoss,
    Readout::MismatchLoss,
    Readout::Resistance,
    Readout::Reactance,
    Readout::ImpedanceMagnitude,
    Readout::Phase,
    Readout::Q,
];

fn soft(re: f32, im: f32) -> [f32; 9] {
    nine(SoftF32::readouts(re, im, SoftF32::prepare(REFERENCE)))
}

/// 1 − |Γ|² to the digits of a double.
fn passive(re: f32, im: f32) -> f64 {
    let (a, b) = ((re as f64).abs(), (im as f64).abs());
    (1.0 - a.max(b)) * (1.0 + a.max(b)) - a.min(b) * a.min(b)
}

/// The nine in double precision; the last of them is the scale of each.
fn truth(re: f32, im: f32) -> ([f64; 9], [f64; 9]) {
    let passive = passive(re, im);
    let (a, b) = (re as f64, im as f64);
    let (size, away) = (a.hypot(b), (1.0 - a).hypot(b));
    let z = REFERENCE as f64 * (1.0 + a).hypot(b) / away;
    let lg = 10.0 / core::f64::consts::LN_10;
    let near = (0.7..1.4).contains(&size);
    let swr = (1.0 + size).powi(2) / passive;
    let want = [
        size,
        if passive > 0.0 { swr } else { f64::INFINITY },
        if near {
            -lg * (-passive).ln_1p()
        } else {
            -20.0 * size.log10()
        },
        match passive {
            0.5.. => -lg * (-size * size).ln_1p(),
            p if p > 0.0 => -10.0 * p.log10(),
            _ => f64::INFINITY,
        },
        REFERENCE as f64 * passive / away / away,
        REFERENCE as f64 * 2.0 * b / away / away,
        z,
        b.atan2(a).to_degrees(),
        2.0 * b.abs() / passive.abs(),
    ];
    let mut scale = want.map(f64::abs);
    (scale[4], scale[5], scale[7]) = (z, z, 1.0);
    (want, scale)
}

fn gap(readout: Readout, one: f64, other: f64) -> f64 {
    let gap = (one - other).abs();
    if readout == Readout::Phase {
        gap.min(360.0 - gap)
    } else {
        gap
    }
}

#[test]
fn errors_within_the_documented_figures() {
    let mut worst = [0f64; 9];
    let mut count = 0;
    for (re, im) in points(3_000_000) {
        if re == 0.0 && im == 0.0 {
            continue;
        }
        count += 1;
        let (got, (want, scale)) = (soft(re, im), truth(re, im));
        // So close to the rim that the digits of a double decide, and so small that those of a float do.
        let blind = passive(re, im).abs() < 1e-7 || scale.iter().any(|scale| (1e-60..1e-30).contains(scale));
        for (i, readout) in READOUTS.into_iter().enumerate() {
            if !want[i].is_finite() || got[i] as f64 == want[i] || blind {
                continue;
            }
            let gap = gap(readout, got[i] as f64, want[i]);
            let error = match readout {
                // The rounding of the result, and the effect of a lost digit in dB.
                Readout::ReturnLoss => gap - 6e-8 * scale[i],
                Readout::MismatchLoss => gap - 6e-8 * scale[i],
                Readout::Phase => gap,
                _ => gap / scale[i],
            };
            if error > worst[i] {
                worst[i] = error;
            }
        }
    }
    // In the order of the readouts; |Γ|, SWR, R, X, |Z| and Q relative.
    let most = [6.1e-8, 6.3e-8, 4e-5, 4e-5, 6.2e-8, 6.2e-8, 7e-8, 2.5e-4, 6.3e-8];
    let least = most.map(|error| error / 4.0);
    std::println!("largest errors: {worst:?}");
    assert!(count > 2_000_000);
    for (i, readout) in READOUTS.into_iter().enumerate() {
        assert!(worst[i] < most[i], "{readout:?}: {:e}", worst[i]);
        assert!(
            worst[i] > least[i],
            "{readout:?}: the search saw too little: {:e}",
            worst[i]
        );
    }
}

/// The two ways agree within the sum of their bounds.
fn agreement(re: f32, im: f32, soft: [f32; 9], float: [f32; 9]) -> Result<(), Readout> {
    let passive = passive(re, im);
    let (_, scale) = truth(re, im);
    for (i, readout) in READOUTS.into_iter().enumerate() {
        let (a, b) = (bound(readout, Family::SoftF32), bound(readout, Family::F32));
        let allowed = a.allowance(scale[i], passive) + b.allowance(scale[i], passive);
        let blind = passive.abs() <= b.rim;
        let same = soft[i] == float[i] || gap(readout, soft[i] as f64, float[i] as f64) <= allowed;
        if !same && (!blind || soft[i].is_nan()) {
            return Err(readout);
        }
    }
    Ok(())
}

#[test]
fn both_ways_agree() {
    for (re, im) in points(300_000) {
        let scale = <Floating32 as Arithmetic>::prepare(REFERENCE);
        let float = nine(Floating32::readouts(re, im, scale));
        let soft = soft(re, im);
        agreement(re, im, soft, float)
            .unwrap_or_else(|readout| panic!("{readout:?} of {re:e} {im:+e}j: {soft:?} {float:?}"));
    }
    // Control: off by one part in 2¹⁰, each is refused.
    let (re, im) = (0.3, -0.4);
    for i in 0..9 {
        let (right, mut wrong) = (soft(re, im), soft(re, im));
        wrong[i] *= 1.001;
        assert_eq!(agreement(re, im, right, right), Ok(()));
        assert_eq!(agreement(re, im, wrong, right), Err(READOUTS[i]));
    }
}

#[test]
fn one_by_one_gives_the_same_bits() {
    for reference in [REFERENCE, 1e-30, 3e37, 1e-42, 0.25] {
        let scale = SoftF32::prepare(reference);
        for (re, im) in points(20_000) {
            let together = nine(SoftF32::readouts(re, im, scale));
            let (resistance, reactance) = SoftF32::terminate(re, im, scale);
            let single = [
                SoftF32::magnitude(re, im),
                SoftF32::standing_wave(re, im),
                SoftF32::return_loss(re, im),
                SoftF32::mismatch_loss(re, im),
                resistance,
                reactance,
                SoftF32::impedance_magnitude(re, im, scale),
                SoftF32::phase(re, im),
                SoftF32::quality(re, im),
            ];
            assert_eq!(
                together.map(f32::to_bits),
                single.map(f32::to_bits),
                "{re:e} {im:+e}j"
            );
        }
    }
}

/// Numbers in [0, 1).
fn numbers() -> impl FnMut() -> f64 {
    let mut state = 0x2545_f491_4f6c_dd1du64;
    move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1u64 << 53) as f64
    }
}

type Pair = (f64, f64);

fn times(a: Pair, b: Pair) -> Pair {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

fn over(a: Pair, b: Pair) -> Pair {
    let square = b.0 * b.0 + b.1 * b.1;
    let above = times(a, (b.0, -b.1));
    (above.0 / square, above.1 / square)
}

fn apart(a: (f32, f32), b: Pair) -> f64 {
    (a.0 as f64 - b.0).hypot(a.1 as f64 - b.1)
}

/// The error of a reflected impedance, as a fraction of the bound in the table.
fn reflected_law(r: f32, x: f32, z: f32, got: (f32, f32)) -> f64 {
    let (wide_r, wide_x, wide_z) = (r as f64, x as f64, z as f64);
    let want = over((wide_r - wide_z, wide_x), (wide_r + wide_z, wide_x));
    apart(got, want) / bound(Readout::Reflection, Family::SoftF32).allowance(want.0.hypot(want.1), 1.0)
}

#[test]
fn an_impedance_reflects_as_it_should() {
    let mut next = numbers();
    let (mut worst, mut whole, count) = (0f64, 0, 1_000_000);
    for turn in 0..count {
        // The three within some decades of one another, and all of them anywhere in the range.
        let middle = if turn % 3 == 0 {
            10f64.powf(60.0 * next() - 30.0)
        } else {
            50.0
        };
        let mut ohms = |decades: f64| (middle * 10f64.powf(decades * (next() - 0.5))) as f32;
        let (mut r, mut x, z) = (ohms(8.0), ohms(8.0), ohms(3.0));
        match turn % 11 {
            0 => r = 0.0,
            1 => x = 0.0,
            2 => x = -x,
            3 => (r, x) = (z + x / 1024.0, x / 1024.0),
            // (Of numbers beyond 10⁻⁹ to 10¹⁵ the floating way takes ratios first, which R + Z0 near 0 shows.)
            4 if turn % 3 != 0 => r = -r,
            _ => {}
        }
        whole += reflected(r, x, z).is_some() as u32;
        worst = worst.max(reflected_law(r, x, z, SoftF32::reflect(r, x, z)));
    }
    assert!(worst < 1.0, "{worst}");
    assert!(whole > count * 7 / 10, "{whole}");
    // Control: what is off by a little more is seen.
    let (re, im) = SoftF32::reflect(75.0, 20.0, 50.0);
    assert!(reflected_law(75.0, 20.0, 50.0, (re, im + 1e-6)) > 1.0);
}

#[test]
fn where_an_impedance_goes_the_floating_way() {
    assert!(reflected(75.0, -20.0, 50.0).is_some() && reflected(0.0, 1e12, 50.0).is_some());
    for (r, x, z) in [
        (50.0, 0.0, 50.0),
        (50.1, 0.1, 50.0),
        (-75.0, 20.0, 50.0),
        (f32::INFINITY, 0.0, 50.0),
        (0.0, f32::NEG_INFINITY, 50.0),
        (1e-42, 0.0, 2e-42),
    ] {
        assert!(reflected(r, x, z).is_none(), "{r} {x} {z}");
        assert_eq!(SoftF32::reflect(r, x, z), Floating32::reflect(r, x, z));
    }
    assert_eq!(SoftF32::reflect(50.0, 0.0, 50.0), (0.0, 0.0));
    assert_eq!(SoftF32::reflect(f32::INFINITY, 0.0, 50.0), (1.0, 0.0));
}

/// The largest error of corrected readings times |tracking + source match·(m − directivity)|, and how many of them
/// went through the integers.
fn worst_correction(count: u32, spoil: f32) -> (f64, u32) {
    let mut next = numbers();
    let (mut worst, mut whole) = (0f64, 0);
    for _ in 0..count {
        let mut polar = |least: f64, most: f64| {
            let (size, turn) = (least + (most - least) * next(), core::f64::consts::TAU * next());
            ((size * turn.cos()) as f32, (size * turn.sin()) as f32)
        };
        let wide = |(re, im): (f32, f32)| (re as f64, im as f64);
        let (raw, directivity, source_match) = (polar(0.0, 1.2), polar(0.0, 0.2), polar(0.0, 0.5));
        let tracking = polar(0.1, 1.2);
        let terms = [directivity, source_match, tracking];
        whole += corrected(raw, &terms).is_some() as u32;
        let (re, im) = SoftF32::correct(raw, &terms);
        let (m, d) = (wide(raw), wide(directivity));
        let above = (m.0 - d.0, m.1 - d.1);
        let bent = times(wide(source_match), above);
        let below = (bent.0 + tracking.0 as f64, bent.1 + tracking.1 as f64);
        let want = over(above, below);
        // Beyond 2 there is more to lose in all ways.
        if want.0.hypot(want.1) < 2.0 {
            worst = worst.max(apart((re + spoil, im), want) * below.0.hypot(below.1));
        }
    }
    (worst, whole)
}

#[test]
fn a_reading_is_corrected_as_it_should() {
    let (worst, whole) = worst_correction(1_000_000, 0.0);
    assert!(worst < 5e-7, "{worst:e}");
    assert!(whole > 700_000, "{whole}");
    // Control.
    assert!(worst_correction(10_000, 1e-6).0 > 5e-7);
}

#[test]
fn where_a_reading_goes_the_floating_way() {
    let none = (0.0, 0.0);
    let perfect = [none, none, (1.0, 0.0)];
    assert!(corrected((0.5, -0.25), &perfect).is_some());
    for (raw, terms) in [
        ((1e-3, 1e-3), perfect),
        ((2.5, 0.0), perfect),
        ((f32::NAN, 0.0), perfect),
        ((0.5, 0.0), [none, none, (0.01, 0.0)]),
        ((0.5, 0.0), [none, none, none]),
        ((1.9, 0.0), [(-1.9, 0.0), none, (1.0, 0.0)]),
    ] {
        assert!(corrected(raw, &terms).is_none(), "{raw:?} {terms:?}");
        let (got, want) = (SoftF32::correct(raw, &terms), Floating32::correct(raw, &terms));
        assert_eq!(
            (got.0.to_bits(), got.1.to_bits()),
            (want.0.to_bits(), want.1.to_bits())
        );
    }
}

#[test]
fn where_other_steps_serve() {
    let whole = |re, im| Steps::new(re, im).is_some();
    let step = 2f32.powi(-30);
    assert!(whole(0.5, -0.25) && whole(1.999_999_9, 2f32.powi(-7)));
    assert!(whole(-1.0, 0.0) && whole(0.0, 1.0) && whole(step, 0.0) && whole(step, -step));
    // Digits below the steps.
    assert!(whole(0.5, 1e-3) && whole(1.1e-3, -0.7) && whole(0.9, 1e-15));
    assert!(whole(0.01, 1e-3) && !whole(0.006, 1e-3) && !whole(1e-3, 0.006));
    assert!(whole(1.0, 0.003) && !whole(1.0, 0.001) && !whole(-0.9999, 0.001) && whole(1.0, 1024.0 * step));
    assert!(whole(1e-4, 1.0) && !whole(0.5, 1e-20));
    for (re, im) in [
        (0.0, 0.0),
        (1.0, 0.0),
        (2.0, 0.0),
        (0.0, -2.0),
        (1e6, 1.0),
        (1e-40, 0.5),
    ] {
        assert!(!whole(re, im), "{re} {im}");
    }
    assert_eq!(soft(1.0, 0.0)[4..8], [f32::INFINITY, 0.0, f32::INFINITY, 0.0]);
    assert_eq!(
        soft(0.0, 0.0),
        [0.0, 1.0, f32::INFINITY, 0.0, 50.0, 0.0, 50.0, 0.0, 0.0]
    );
}
