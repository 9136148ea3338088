//! Where one more or one less decides: samples exactly on a limit, rises of just the prominence, equal samples, and the
//! ends of words and buffers. Each line here stands for a change of the code that no other test had noticed.

use crate::circuits::{C, Circuit, Points, Told, ToldTarget, analyse, c, even, points, reversed, told};
use crate::common::{Random, truth};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, SoftF32};
use ohmwright::design::transformer::MagnitudeRule;
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::measure::touchstone::{LineBuffer, Reader};
use ohmwright::measure::{MaskCheck, MaskSegment, MaskVerdict, Method, SweepAnalyser, SweepSettings};
use ohmwright::quantity::{Component, Hertz, Impedance, Reference, Reflection, Swr};

fn settings<A: Arithmetic>(limit: f64, prominence: f64) -> SweepSettings<A> {
    SweepSettings {
        swr_limit: Swr::<A>::try_from_f64(limit).unwrap(),
        prominence: Component::<A>::try_from_f64(prominence).unwrap(),
        ..Default::default()
    }
}

/// A sweep of these Γ, 1 MHz apart from 10 MHz on; all of them are exact in every family.
fn sweep<A: Arithmetic>(gammas: &[C]) -> Points<A> {
    let grid: Vec<u64> = (0..gammas.len() as u64).map(|i| (10 + i) * 1_000_000).collect();
    points(&grid, |hertz| gammas[(hertz / 1e6).round() as usize - 10])
}

fn real<A: Arithmetic>(parts: &[f64]) -> Points<A> {
    sweep(&parts.iter().map(|re| c(*re, 0.0)).collect::<Vec<_>>())
}

// --- the analyser ------------------------------------------------------------------------------------------------

/// |Γ| = 1/2 is SWR 3 itself (the definition): at a limit of 3 the sample is inside.
#[test]
fn a_sample_on_the_limit_is_inside() {
    fn check<A: Arithmetic>() {
        for gammas in [[0.5, 0.25, 0.125, 0.75], [0.75, 0.125, 0.25, 0.5]] {
            let first_is_on = gammas[0] == 0.5;
            let told = told::<A>(settings(3.0, 0.01), &real(&gammas));
            let [band] = told.bands[..] else {
                panic!("{:?}: {told:?}", A::FAMILY)
            };
            assert_eq!((band.low_open, band.high_open), (first_is_on, !first_is_on));
        }
        // The only sample there is.
        let told = told::<A>(settings(3.0, 0.01), &real(&[0.5]));
        assert_eq!(told.bands.len(), 1);
    }
    // In fixed point (S − 1)/(S + 1) is a digit short of 1/2.
    check::<f64>();
    check::<f32>();
}

/// Crossings count once Im Γ has gone half the prominence beyond zero: 0.0625 of 0.125 does, 0.03125 does not.
#[test]
fn a_crossing_counts_at_half_the_prominence() {
    fn check<A: Arithmetic>() {
        for (beyond, crossings) in [(0.0625, 2), (0.09375, 2), (0.03125, 0)] {
            let gammas = [-0.25, -0.125, beyond, -0.125, -0.25].map(|im| c(0.25, im));
            for points in [sweep::<A>(&gammas), reversed(&sweep::<A>(&gammas))] {
                let told = told(settings(2.0, 0.125), &points);
                assert_eq!(told.crossings.len(), crossings, "{beyond} {:?}", A::FAMILY);
            }
        }
    }
    every_family!(check);
}

/// A fall and a rise of just the prominence count: at the end of a sweep, in the middle, and after a dip.
#[test]
fn just_the_prominence_is_enough() {
    fn check<A: Arithmetic>() {
        for (gammas, prominence, dips) in [
            (&[0.75, 0.625, 0.5][..], 0.25, 1),
            (&[0.75, 0.625, 0.5], 0.25 + 0.0625, 0),
            (&[0.75, 0.5, 0.75], 0.25, 1),
            (&[0.75, 0.5, 0.75, 0.5, 0.75], 0.25, 2),
            (&[0.75, 0.5, 0.75, 0.5, 0.75], 0.25 + 0.0625, 0),
        ] {
            let told = told::<A>(settings(2.0, prominence), &real(gammas));
            assert_eq!(told.dips.len(), dips, "{gammas:?} {prominence} {:?}", A::FAMILY);
        }
    }
    every_family!(check);
}

/// With a prominence of 0 every wiggle counts, also one by a step of Γ; equal points are none.
#[test]
fn no_rise_is_no_wiggle() {
    let dips = |third: C| {
        let gammas = [
            c(0.75, 0.0),
            c(0.5, 0.0),
            third,
            c(0.5, 0.0),
            c(0.25, 0.0),
            c(0.75, 0.0),
        ];
        told::<Fixed16>(settings(2.0, 0.0), &sweep(&gammas)).dips.len()
    };
    assert_eq!(dips(c(0.5, 0.0)), 1);
    assert_eq!(dips(c(0.5, 2f64.powi(-14))), 2);
}

/// Q keeps its digits at a high resistance, where Γ is next to 1 and dX/df is lost: 9 kΩ, R/(ω0·L) = 40 (definition).
#[test]
fn the_q_of_a_high_resistance() {
    fn check<A: Arithmetic>(relative: f64) {
        for place in [130.2e6, 151.3e6, 170.9e6] {
            let circuit = Circuit::parallel(9000.0, 40.0, place);
            let told = told::<A>(
                settings(2.0, 0.01),
                &circuit.points(&even(100_000_000, 200_000_000, 201)),
            );
            let [crossing] = told.crossings[..] else {
                panic!("{told:?}")
            };
            assert!((crossing.q / 40.0 - 1.0).abs() < relative, "{crossing:?}");
        }
    }
    check::<f64>(1e-6);
    check::<f32>(1e-4);
    check::<Fixed32>(1e-6);
}

/// Where Γ between two points is beyond the squares of a float, Q is the largest number and never NaN. (Found by chance.)
#[test]
fn the_q_of_a_curve_out_of_range() {
    let points: Points<f32> = [
        (5_588_235_647_814_991_164, (0.0, 0.0)),
        (7_254_903_067_146_976_572, (0.0, 1.0)),
        (16_509_166_364_220_456_252, (0.0, -1_048_576.0)),
        (17_477_940_596_255_489_341, (2.104_231_3e-13, 0.0)),
        (u64::MAX, (5.060_329e-36, 15.895_713)),
    ]
    .map(|(hertz, (re, im))| (Hertz::new(hertz), Reflection::new(re, im).unwrap()))
    .to_vec();
    let told = told::<f32>(settings(1.0, 0.0), &points);
    assert!(!told.crossings.is_empty());
    assert!(told.crossings.iter().all(|one| !one.q.is_nan()), "{told:?}");
}

/// The middle of equal points is no edge, also where the whole sweep is flat.
#[test]
fn a_flat_sweep_has_no_edge() {
    fn check<A: Arithmetic>() {
        let best = told::<A>(settings(2.0, 0.01), &real(&[0.25; 5])).best.unwrap();
        assert_eq!((best.method, best.at_edge), (Method::Flat, false));
    }
    every_family!(check);
}

/// Of two points only a line is known. From −0.125 to 0.125 about (0.5, 0): R = 150 Ω, and Q = f/(2R)·dX/df with
/// dX = Z0·2·dIm Γ/(1 − Γ)² gives 10.5·0.25/(1 − 0.25).
#[test]
fn the_q_of_a_line() {
    fn check<A: Arithmetic>() {
        let told = told::<A>(settings(2.0, 0.01), &sweep(&[c(0.5, -0.125), c(0.5, 0.125)]));
        let [crossing] = told.crossings[..] else {
            panic!("{told:?}")
        };
        assert_eq!((crossing.hertz, crossing.method), (10_500_000, Method::Line));
        assert!((crossing.resistance - 150.0).abs() < 150.0 * 1e-4, "{crossing:?}");
        assert!((crossing.q - 3.5).abs() < 1e-4, "{crossing:?}");
    }
    every_family!(check);
}

/// Three points of which two are equal lie on no map with a pole: the parabola tells. Of 1/2, 1/4 and 1/4 it has, half a
/// step after the first, (3·1/2 + 6·1/4 − 1/4)/8 (Lagrange's formula).
#[test]
fn equal_points_have_no_map() {
    fn check<A: Arithmetic>() {
        for points in [
            real::<A>(&[0.5, 0.25, 0.25]),
            reversed(&real::<A>(&[0.25, 0.25, 0.5])),
        ] {
            let middle = (points[0].0.get() + points[1].0.get()) / 2;
            let settings = SweepSettings {
                target: Some(Hertz::new(middle)),
                ..settings(2.0, 0.01)
            };
            let ToldTarget::Reading { gamma, method, .. } = told(settings, &points).target else {
                panic!("no reading")
            };
            assert_eq!(method, Method::Parabola);
            // To a step of the shortest words.
            assert!((gamma - c(0.34375, 0.0)).size() < 2e-5, "{gamma:?}");
        }
    }
    every_family!(check);
}

/// In the midst of a noisy sweep an edge or a crossing is where the smooth curve has it, also a little outside of the two
/// points between which the samples change sides.
#[test]
fn noise_does_not_fall_back_to_lines() {
    let mut lines = 0;
    for seed in 0..200 {
        let circuit = Circuit::series(40.0, 3.0, 150e6);
        let points = points::<f64>(&even(100_000_000, 200_000_000, 801), |hertz| {
            let mut random = Random::new(hertz.to_bits() ^ seed);
            circuit.gamma(hertz) + c(random.between(-3e-3, 3e-3), random.between(-3e-3, 3e-3))
        });
        let told = told(settings(2.0, 0.05), &points);
        let report = analyse::<f64, 8>(settings(2.0, 0.05), &points);
        lines += told
            .crossings
            .iter()
            .filter(|one| one.method == Method::Line)
            .count();
        lines += report
            .bands()
            .iter()
            .flat_map(|band| [band.low_method, band.high_method])
            .filter(|method| *method == Method::Line)
            .count();
    }
    assert!(lines <= LINES, "{lines}");
}

/// Of 600 edges and crossings: 48 found, and 411 where the curve is held to the two points.
const LINES: usize = 100;

// --- limits and masks --------------------------------------------------------------------------------------------

/// The points inside of a stretch are judged, not its ends alone.
#[test]
fn a_hump_between_the_ends_of_a_stretch() {
    fn check<A: Arithmetic>() {
        let stretch = |limit| MaskSegment {
            low: Hertz::from_megahertz(11),
            high: Hertz::from_megahertz(15),
            swr_limit: Swr::<A>::try_from_f64(limit).unwrap(),
        };
        let mut check = MaskCheck::<A, 2>::new(&[stretch(2.0), stretch(3.5)]).unwrap();
        let points = real::<A>(&[0.125, 0.125, 0.25, 0.5, 0.25, 0.125, 0.125]);
        for (hertz, gamma) in &points {
            check.push(*hertz, *gamma).unwrap();
        }
        let report = check.report();
        let [MaskVerdict::Fail(one), MaskVerdict::Pass(other)] = report.verdicts() else {
            panic!("{:?}", report.verdicts())
        };
        assert_eq!((one.frequency, one.reflection), points[3]);
        assert_eq!((other.frequency, other.reflection), points[3]);
    }
    every_family!(check);
}

/// A Γ at or under the limit passes, also where the readout of its SWR is off to the other side.
#[test]
fn a_reading_that_is_off_fails_nothing() {
    let mut off = 0;
    for bits in 1..15_000i16 {
        let gamma = Reflection::<Fixed16>::from_bits(bits, 0);
        let exact = truth(gamma.real().to_f64(), 0.0).swr;
        let limit = Swr::<Fixed16>::try_from_f64((exact * 65_536.0).ceil() / 65_536.0).unwrap();
        let stretch = MaskSegment {
            low: Hertz::new(5),
            high: Hertz::new(5),
            swr_limit: limit,
        };
        let mut check = MaskCheck::<Fixed16, 1>::new(&[stretch]).unwrap();
        check.push(Hertz::new(5), gamma).unwrap();
        off += i32::from(gamma.swr() > limit);
        // Exactly at the limit the last digit of the working number decides.
        let at = (exact * 65_536.0).fract() == 0.0;
        assert!(at || check.report().passes(), "{gamma:?}: {exact}, limit {limit}");
    }
    assert!(off > 1000, "{off}: the readout was never off to the other side");
}

// --- transformers ------------------------------------------------------------------------------------------------

/// 25 Ω on 50 Ω: 1 : 1 leaves SWR 2 and so does 2 : 1 with its 100 Ω. The one with fewer turns is taken.
#[test]
fn of_equal_pairs_the_fewer_turns() {
    fn check<A: Arithmetic>() {
        let load = Impedance::<A>::try_from_f64(25.0, 0.0).unwrap();
        let rule = MagnitudeRule::apply(load, Reference::fifty(), 2).unwrap();
        assert_eq!((rule.turns.primary(), rule.turns.secondary()), (1, 1));
    }
    // Where both round to the same |Γ|.
    check::<f64>();
    check::<Fixed16>();
}

// --- files -------------------------------------------------------------------------------------------------------

/// The record beyond the number that was announced is refused where it stands, not at the end of the file.
#[test]
fn a_record_too_many_is_refused_on_its_line() {
    let mut reader = Reader::new();
    let text = "[Version] 2.0\n# MHz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n[Network Data]\n1 0 0";
    for line in text.lines() {
        reader.line(line.as_bytes()).unwrap();
    }
    let error = reader.line(b"2 0 0").unwrap_err();
    assert_eq!(
        error.to_string(),
        "line 7: [Number of Frequencies] is 1, but the file has 2"
    );
    // It was not taken.
    assert_eq!(reader.records(), 1);
    reader.line(b"[End]").unwrap();
    assert_eq!(reader.finish().unwrap().records, 1);
}

/// A buffer that is used again does not take the first line end of a file for the second half of the last one's.
#[test]
fn a_buffer_forgets_the_last_file() {
    let mut buffer = LineBuffer::<8>::new();
    assert_eq!(buffer.push(b'x'), Ok(None));
    assert_eq!(buffer.push(b'\r'), Ok(Some(&b"x"[..])));
    assert_eq!(buffer.end(), None);
    assert_eq!(buffer.push(b'\n'), Ok(Some(&b""[..])));
}

// --- kernels -----------------------------------------------------------------------------------------------------

/// Terms of any size that the words hold, where no product fits in a word any more.
#[test]
fn a_correction_with_large_terms() {
    let mut random = Random::new(7);
    let mut compared = 0;
    for _ in 0..100_000 {
        let mut word = || {
            let (re, im) = (random.between(-2.0, 1.99), random.between(-2.0, 1.99));
            let gamma = Reflection::<Fixed32>::try_from_f64(re, im).unwrap();
            (gamma, c(gamma.real().to_f64(), gamma.imaginary().to_f64()))
        };
        let ((raw, m), (directivity, e0), (source_match, e1), (tracking, t)) =
            (word(), word(), word(), word());
        let above = m - e0;
        let below = t + e1 * above;
        let want = above / below;
        if want.re.abs().max(want.im.abs()) > 1.99 || below.size() < 0.1 {
            continue;
        }
        compared += 1;
        let got = ErrorTerms {
            directivity,
            source_match,
            tracking,
        }
        .correct(raw);
        let off = (c(got.real().to_f64(), got.imaginary().to_f64()) - want).size();
        // Some roundings of 2⁻³⁰ in sums of up to 2·2·4·√2 + 2·√2, over the denominator.
        let allowed = 4.0 * 26.0 * 2f64.powi(-30) / below.size() * (1.0 + want.size());
        assert!(
            off < allowed,
            "{got:?}, want {want:?}, off {off:e}, allowed {allowed:e}"
        );
    }
    assert!(compared > 30_000, "{compared}");
}

/// No SWR below 1, however small Γ is: whole steps, which go through the integers.
#[test]
fn no_swr_below_one() {
    for bits in 1..200_000u32 {
        let small = bits as f64 * 2f64.powi(-30);
        for (re, im) in [(small, 0.0), (0.0, -small), (-small, small)] {
            let gamma = Reflection::<SoftF32>::try_from_f64(re, im).unwrap();
            assert!(gamma.swr() >= 1.0, "{gamma:?}");
        }
    }
}

/// An impedance beyond the range is an open: no infinite reactance beside it.
#[test]
fn an_impedance_beyond_single_precision_is_an_open() {
    let reference = Reference::<SoftF32>::new(3e38).unwrap();
    let gamma = Reflection::<SoftF32>::new(0.875, 0.0625).unwrap();
    let z = gamma.impedance(reference);
    assert!(z.is_open());
    assert_eq!((z.resistance().get(), z.reactance().get()), (f32::INFINITY, 0.0));
    assert_eq!(gamma.readouts(reference).reactance, 0.0);
}

/// Control: these checks see what they are about.
#[test]
fn the_sweeps_are_what_they_say() {
    let points = real::<f64>(&[0.5, 0.25]);
    assert_eq!(points[0].1.swr(), 3.0);
    let mut analyser = SweepAnalyser::<f64, 4>::new(settings(3.0, 0.01)).unwrap();
    analyser.push(points[0].0, points[0].1).unwrap();
    assert_eq!(Told::of(&analyser.report()).bands.len(), 1);
    assert!(told::<f64>(settings(2.9, 0.01), &real(&[0.5])).bands.is_empty());
}
