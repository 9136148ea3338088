//! Two receivers: the ratio, its stated error, the correction of an imbalance, and everything that is refused.

use core::f64::consts::TAU;

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, SoftF32};
use ohmwright::measure::detector::{
    Channel, DetectorError, Imbalance, ImbalanceEstimate, Iq, Tone, VectorAverage, VectorDetector,
    VectorReading, VectorSettings, quarter_rate,
};
use ohmwright::quantity::{Component, Decibels, Degrees, QuantityError};
use proptest::prelude::*;

use super::half_unit;
use crate::common::Random;
use crate::common::complex::{c, polar};
use crate::common::impedances::{gamma_held, word};

fn detector<A: Arithmetic>(bits: u32, noise: f64) -> VectorDetector<A> {
    let settings = VectorSettings::for_bits(bits).unwrap();
    VectorDetector::new(VectorSettings {
        noise: word(noise),
        ..settings
    })
    .unwrap()
}

fn parts<A: Arithmetic>(reading: &VectorReading<A>) -> (f64, f64) {
    let gamma = reading.reflection();
    (gamma.real().to_f64(), gamma.imaginary().to_f64())
}

/// What is documented at `VectorReading`.
fn ratio_bound<A: Arithmetic>(size: f64) -> f64 {
    let relative = match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 1.2e-8,
        Family::F64 => 1e-15,
        _ => 4e-7,
    };
    relative * size + 1.01 * half_unit::<Component<A>>()
}

/// The law: `spoil` counts added to what the oracle is told must make it fail.
fn ratios<A: Arithmetic>(bits: u32, spoil: f64) -> f64 {
    let mut random = Random::new(7);
    let detector = detector::<A>(bits, 1.0);
    let full = f64::from((1u32 << (bits - 1)) - 2);
    let mut worst = 0f64;
    for _ in 0..60_000 {
        let turned = |size: f64, turns: f64| {
            let parts = polar(size, turns * TAU);
            Iq::new(parts.re.round() as i32, parts.im.round() as i32)
        };
        let strong = random.between(0.04, 1.0) * full;
        let reference = turned(strong, random.between(0.0, 1.0));
        let size = match random.bits() % 4 {
            0 => random.decades(1e-4, 0.9).abs(),
            _ => random.between(0.0, 0.99),
        };
        let reflected = turned(size * strong, random.between(0.0, 1.0));
        let reading = detector.read_counts(reference, reflected).unwrap();
        let counts = |pair: Iq| c(f64::from(pair.i), f64::from(pair.q));
        let want = (counts(reflected) + c(spoil, 0.0)) / counts(reference);
        let off = gamma_held(reading.reflection()) - want;
        worst = worst.max(off.re.abs().max(off.im.abs()) / ratio_bound::<A>(want.size()));
    }
    worst
}

#[test]
fn the_ratio_is_right_in_every_family() {
    for bits in [12, 16, 24] {
        for (name, worst) in [
            ("f64", ratios::<f64>(bits, 0.0)),
            ("f32", ratios::<f32>(bits, 0.0)),
            ("SoftF32", ratios::<SoftF32>(bits, 0.0)),
            ("Fixed32", ratios::<Fixed32>(bits, 0.0)),
            ("Fixed16", ratios::<Fixed16>(bits, 0.0)),
        ] {
            println!("{bits} bits, {name}: {worst:.3} of the bound");
            assert!(worst <= 1.0, "{bits} bits, {name}: {worst}");
            // The law can fail: with a count more, or a part of one, where the words are fine enough to tell.
            assert!(bits == 24 || ratios::<Fixed32>(bits, 0.01) > 1.0);
        }
    }
    assert!(ratios::<f64>(24, 0.001) > 1.0 && ratios::<Fixed16>(12, 1.0) > 1.0);
}

fn refusals<A: Arithmetic>() {
    use Channel::{Reference, Reflected};
    let detector = detector::<A>(16, 1.0);
    assert_eq!(
        (detector.settings().full_scale, detector.settings().weakest),
        (32_767, 1_023)
    );
    let read = |a, b, c, d| {
        detector
            .read_counts(Iq::new(a, b), Iq::new(c, d))
            .map(|reading| parts(&reading))
    };
    for end in [32_767, -32_767, -32_768, 40_000, i32::MAX, i32::MIN] {
        assert_eq!(read(end, 0, 0, 0), Err(DetectorError::Overload(Reference)));
        assert_eq!(read(0, end, 0, 0), Err(DetectorError::Overload(Reference)));
        assert_eq!(read(10_000, 0, end, 0), Err(DetectorError::Overload(Reflected)));
        assert_eq!(read(10_000, 0, 0, end), Err(DetectorError::Overload(Reflected)));
    }
    assert!(read(32_766, -32_766, 32_766, 0).is_ok());
    // The weakest: 1,023 counts of amplitude, in any direction.
    assert_eq!(read(0, 0, 5, 5), Err(DetectorError::TooWeak(Reference)));
    assert_eq!(read(1_022, 0, 5, 5), Err(DetectorError::TooWeak(Reference)));
    assert_eq!(read(723, 723, 5, 5), Err(DetectorError::TooWeak(Reference)));
    assert!(read(1_023, 0, 5, 5).is_ok() && read(724, -724, 5, 5).is_ok());
    // |Γ| above 1 is reported as it is where the word holds it, and refused where not.
    let strong = read(10_000, 0, 0, 15_000);
    let beyond = read(2_000, 0, 30_000, 0);
    match A::FAMILY {
        Family::Fixed16 => {
            assert_eq!(strong, Ok((0.0, 1.5)));
            assert_eq!(beyond, Err(DetectorError::OutOfRange));
            assert_eq!(read(20_000, 0, 20_000, 0), Ok((1.0, 0.0)));
            assert_eq!(read(20_000, 0, -20_000, 0), Ok((-1.0, 0.0)));
            assert_eq!(read(20_000, 0, 20_001, 0), Ok((1.0 + 2f64.powi(-14), 0.0)));
        }
        Family::Fixed32 => {
            assert!((strong.unwrap().1 - 1.5).abs() < 2e-8);
            assert_eq!(beyond, Err(DetectorError::OutOfRange));
        }
        _ => {
            assert!((strong.unwrap().1 - 1.5).abs() < 1e-6);
            assert!((beyond.unwrap().0 - 15.0).abs() < 1e-5);
        }
    }
    // The settings.
    let sound = *detector.settings();
    let refused = |settings| VectorDetector::<A>::new(settings).unwrap_err();
    let setting = DetectorError::Quantity;
    for full_scale in [0, (1 << 24) + 1, u32::MAX] {
        let error = refused(VectorSettings { full_scale, ..sound });
        assert_eq!(
            error,
            setting(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "full scale",
                rule: "must be from 1 to 16777216 counts"
            }))
        );
    }
    let error = refused(VectorSettings { weakest: 0, ..sound });
    assert_eq!(error, setting(QuantityError::NotPositive("weakest reference")));
    let error = refused(VectorSettings {
        weakest: 32_768,
        ..sound
    });
    assert_eq!(
        error,
        setting(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
            parameter: "weakest reference",
            rule: "must not be above the full scale"
        }))
    );
    for bits in [0, 1, 26, u32::MAX] {
        assert!(VectorSettings::<A>::for_bits(bits).is_err());
    }
    for bits in 2..=25 {
        VectorDetector::new(VectorSettings::<A>::for_bits(bits).unwrap()).unwrap();
    }
}

#[test]
fn what_is_refused() {
    every_family!(refusals);
    for noise in [f32::NAN, f32::INFINITY, -1.0] {
        let settings = VectorSettings::<f32> {
            noise: noise.into(),
            ..VectorSettings::for_bits(12).unwrap()
        };
        assert!(VectorDetector::new(settings).is_err());
    }
    let text = DetectorError::Overload(Channel::Reference).to_string();
    assert_eq!(text, "reference channel: the converter is at its limit");
}

fn marks<A: Arithmetic>() {
    let detector = detector::<A>(16, 2.0);
    let quality = |a, c| {
        detector
            .read_counts(Iq::new(a, 0), Iq::new(0, c))
            .unwrap()
            .quality()
    };
    assert!(quality(20_000, 10_000).is_clean());
    let marked = quality(30_000, 10_000);
    assert!(marked.near_overload && !marked.weak && !marked.phase_ambiguous && !marked.is_clean());
    assert!(quality(3_000, 1_000).weak && !quality(5_000, 1_000).weak);
    // The error of each channel is 2·√2 counts together: three times of it and a little more.
    assert!(quality(20_000, 5).phase_ambiguous && quality(20_000, 0).phase_ambiguous);
    assert!(!quality(20_000, 12).phase_ambiguous);
    assert!(quality(15_000, 15_003).above_unity && !quality(15_000, 14_997).above_unity);
}

#[test]
fn the_marks_of_every_family() {
    every_family!(marks);
}

/// How often the truth lies within one and two stated errors: 63.2 % and 98.2 % for noise that is alike in all
/// directions.
fn coverage(mut reading: impl FnMut(&mut Random, (f64, f64)) -> ((f64, f64), f64)) -> [f64; 2] {
    let mut random = Random::new(95);
    let rounds = 6_000;
    let mut within = [0; 2];
    for _ in 0..rounds {
        let (size, turns) = (random.between(0.05, 0.95), random.between(0.0, TAU));
        let truth = (size * turns.cos(), size * turns.sin());
        let (got, error) = reading(&mut random, truth);
        let off = (got.0 - truth.0).hypot(got.1 - truth.1);
        within[0] += u32::from(off <= error);
        within[1] += u32::from(off <= 2.0 * error);
    }
    within.map(|count| f64::from(count) / f64::from(rounds))
}

fn as_stated(what: &str, share: [f64; 2]) {
    println!("{what}: {share:?}");
    assert!(
        (0.61..0.655).contains(&share[0]) && (0.974..0.989).contains(&share[1]),
        "{what}: {share:?}"
    );
}

fn count_coverage<A: Arithmetic>(noise: f64, stated: f64) -> [f64; 2] {
    let detector = detector::<A>(16, stated);
    coverage(|random, truth| {
        let (size, turns) = (random.between(2_000.0, 20_000.0), random.between(0.0, TAU));
        let (a, b) = (size * turns.cos(), size * turns.sin());
        let (c, d) = (a * truth.0 - b * truth.1, a * truth.1 + b * truth.0);
        let mut count = |value: f64| (value + noise * random.normal()).round() as i32;
        let (reference, reflected) = (Iq::new(count(a), count(b)), Iq::new(count(c), count(d)));
        let reading = detector.read_counts(reference, reflected).unwrap();
        (parts(&reading), reading.error().to_f64())
    })
}

fn block_coverage<A: Arithmetic>(noise: f64, quarter: bool) -> [f64; 2] {
    let tone = Tone::<48>::new(5).unwrap();
    let detector = detector::<A>(16, (noise * noise + 1.0 / 12.0f64).sqrt());
    let bin = if quarter { 12.0 } else { 5.0 };
    coverage(|random, truth| {
        let (size, start) = (random.between(2_000.0, 20_000.0), random.between(0.0, TAU));
        let offsets = [random.between(-900.0, 900.0), random.between(-900.0, 900.0)];
        let (rho, angle) = (truth.0.hypot(truth.1), truth.1.atan2(truth.0));
        let frames: Vec<[i16; 2]> = (0..48)
            .map(|n| {
                let phase = start + TAU * bin * f64::from(n) / 48.0;
                let clean = [
                    size * phase.cos() + offsets[0],
                    rho * size * (phase + angle).cos() + offsets[1],
                ];
                clean.map(|value| (value + noise * random.normal()).round() as i16)
            })
            .collect();
        let pair = if quarter {
            quarter_rate(&frames, i16::MAX)
        } else {
            tone.demodulate(&frames, i16::MAX)
        };
        let reading = detector.read(pair.unwrap()).unwrap();
        (parts(&reading), reading.error().to_f64())
    })
}

#[test]
fn the_stated_error_covers_the_truth_as_often_as_it_says() {
    // Rounding to whole counts adds its own noise.
    let noise = |sigma: f64| (sigma * sigma + 1.0 / 12.0).sqrt();
    as_stated("f64, counts", count_coverage::<f64>(3.0, noise(3.0)));
    as_stated("f32, counts", count_coverage::<f32>(3.0, noise(3.0)));
    as_stated("Fixed32, counts", count_coverage::<Fixed32>(3.0, noise(3.0)));
    // Where the word itself is the coarser one, too.
    let coarse = count_coverage::<Fixed16>(0.05, noise(0.05));
    println!("Fixed16, counts: {coarse:?}");
    assert!(coarse[0] > 0.61 && coarse[1] > 0.974, "{coarse:?}");
    // Quantisation alone is not normal: fewer near the middle, none far out.
    let alone = count_coverage::<Fixed32>(0.0, noise(0.0));
    println!("Fixed32, quantised: {alone:?}");
    assert!((0.55..0.60).contains(&alone[0]) && alone[1] > 0.995, "{alone:?}");
    as_stated("f64, blocks", block_coverage::<f64>(8.0, false));
    as_stated("Fixed32, blocks", block_coverage::<Fixed32>(8.0, false));
    as_stated("Fixed16, quarter", block_coverage::<Fixed16>(30.0, true));
    // Control: half of the noise stated covers much less.
    assert!(count_coverage::<f64>(3.0, 1.5)[0] < 0.3);
}

#[test]
fn averages_come_closer_as_they_say() {
    let detector = detector::<Fixed32>(12, 1.0);
    let share = coverage(|random, truth| {
        let mut average = VectorAverage::<Fixed32>::new();
        assert_eq!((average.reflection(), average.standard_error()), (None, None));
        for _ in 0..40 {
            // The phase of each reading starts anywhere.
            let (size, turns) = (1_500.0, random.between(0.0, TAU));
            let (a, b) = (size * turns.cos(), size * turns.sin());
            let (c, d) = (a * truth.0 - b * truth.1, a * truth.1 + b * truth.0);
            let mut count = |value: f64| (value + 4.0 * random.normal()).round() as i32;
            let (reference, reflected) = (Iq::new(count(a), count(b)), Iq::new(count(c), count(d)));
            assert!(average.push(&detector.read_counts(reference, reflected).unwrap()));
        }
        assert_eq!(average.count(), 40);
        let (mean, error) = (
            average.reflection().unwrap(),
            average.standard_error().unwrap().to_f64(),
        );
        let single = average.standard_deviation().unwrap().to_f64();
        assert!((single / error / 40f64.sqrt() - 1.0).abs() < 1e-3);
        ((mean.real().to_f64(), mean.imaginary().to_f64()), error)
    });
    println!("{share:?}");
    assert!(
        (0.60..0.655).contains(&share[0]) && (0.97..0.989).contains(&share[1]),
        "{share:?}"
    );
}

/// A quadrature receiver with its faults.
#[derive(Clone, Copy, Debug)]
struct Receiver {
    offset: (f64, f64),
    gain_db: f64,
    skew: f64,
}

impl Receiver {
    fn counts(self, size: f64, angle: f64) -> Iq {
        let gain = 10f64.powf(self.gain_db / 20.0);
        Iq::new(
            (size * angle.cos() + self.offset.0).round() as i32,
            (gain * size * (angle + self.skew.to_radians()).sin() + self.offset.1).round() as i32,
        )
    }

    fn any(random: &mut Random) -> Self {
        Self {
            offset: (random.between(-800.0, 800.0), random.between(-800.0, 800.0)),
            gain_db: random.between(-1.5, 1.5),
            skew: random.between(-12.0, 12.0),
        }
    }

    /// As a developer finds it: from readings round the circle.
    fn learn<A: Arithmetic>(self, size: f64) -> Imbalance<A> {
        let mut estimate = ImbalanceEstimate::<A>::new();
        for step in 0..64 {
            assert!(estimate.push(self.counts(size, TAU * f64::from(step) / 64.0)));
        }
        estimate.imbalance().unwrap()
    }
}

fn imbalances<A: Arithmetic>(correct: bool) -> f64 {
    let mut random = Random::new(11);
    let mut worst = 0f64;
    for _ in 0..60 {
        let receivers = [Receiver::any(&mut random), Receiver::any(&mut random)];
        let learnt = receivers.map(|receiver| receiver.learn::<A>(20_000.0));
        for (receiver, found) in receivers.iter().zip(&learnt) {
            assert!(
                (found.gain().to_f64() - receiver.gain_db).abs() < 5e-4,
                "{receiver:?} {found:?}"
            );
            assert!(
                (found.skew().to_f64() - receiver.skew).abs() < 5e-3,
                "{receiver:?} {found:?}"
            );
            assert!((f64::from(found.offset().i) / 16.0 - receiver.offset.0).abs() < 0.3);
            assert!((f64::from(found.offset().q) / 16.0 - receiver.offset.1).abs() < 0.3);
        }
        let mut detector = detector::<A>(16, 0.3);
        if correct {
            detector = detector.with_imbalance(learnt[0], learnt[1]);
        }
        for _ in 0..40 {
            let (rho, angle, start) = (
                random.between(0.0, 0.9),
                random.between(0.0, TAU),
                random.between(0.0, TAU),
            );
            let reference = receivers[0].counts(20_000.0, start);
            let reflected = receivers[1].counts(20_000.0 * rho, start + angle);
            let Ok(reading) = detector.read_counts(reference, reflected) else {
                assert!(!correct);
                continue;
            };
            let got = parts(&reading);
            worst = worst.max((got.0 - rho * angle.cos()).hypot(got.1 - rho * angle.sin()));
        }
    }
    worst
}

#[test]
fn an_imbalance_is_found_and_taken_out() {
    for (name, worst) in [
        ("f64", imbalances::<f64>(true)),
        ("f32", imbalances::<f32>(true)),
        ("Fixed32", imbalances::<Fixed32>(true)),
        ("Fixed16", imbalances::<Fixed16>(true)),
    ] {
        // A count or two of 20,000.
        println!("{name}: {worst:e}");
        assert!(worst < 1.3e-4, "{name}: {worst:e}");
    }
    // Control: as it comes it is a hundred times worse.
    assert!(imbalances::<Fixed32>(false) > 1e-1);
}

#[test]
fn imbalances_that_are_none() {
    let new = Imbalance::<f64>::new;
    let none = new(Iq::default(), 0.0, 0.0).unwrap();
    assert_eq!(none, Imbalance::NONE);
    for (gain, skew) in [
        (4.1, 0.0),
        (-4.1, 0.0),
        (0.0, 31.0),
        (0.0, -31.0),
        (f64::NAN, 0.0),
        (0.0, f64::NAN),
    ] {
        assert!(new(Iq::default(), gain, skew).is_err(), "{gain} {skew}");
    }
    assert!(new(Iq::new((1 << 28) + 1, 0), 0.0, 0.0).is_err());
    assert!(new(Iq::new(1 << 28, -(1 << 28)), 4.0, -30.0).is_ok());
    let mut estimate = ImbalanceEstimate::<Fixed32>::new();
    assert_eq!(estimate.imbalance(), Err(DetectorError::NotRound));
    // Always the same phase, or along a line.
    for k in 0..50 {
        estimate.push(Iq::new(1_000 * k, 1_000 * k + 1));
    }
    assert_eq!(estimate.imbalance(), Err(DetectorError::NotRound));
    let before = estimate;
    assert!(!estimate.push(Iq::new(i32::MIN, 0)) && estimate == before);
}

proptest! {
    /// No counts whatever give more than an error.
    #[test]
    fn any_counts(
        a in any::<i32>(), b in any::<i32>(), c in any::<i32>(), d in any::<i32>(), shift in 0u32..32,
        offset in any::<(i32, i32)>(), gain in -4.0f64..4.0, skew in -30.0f64..30.0, bits in 2u32..26,
    ) {
        let offset = Iq::new(offset.0 >> 3, offset.1 >> 3);
        let imbalance = Imbalance::<Fixed32>::new(offset, word::<Decibels<Fixed32>>(gain), word::<Degrees<Fixed32>>(skew)).unwrap();
        let detector = detector::<Fixed32>(bits, 1.0).with_imbalance(imbalance, Imbalance::NONE);
        let (reference, reflected) = (Iq::new(a >> shift, b >> shift), Iq::new(c >> shift, d >> shift));
        if let Ok(reading) = detector.read_counts(reference, reflected) {
            let _ = (reading.error(), reading.quality(), reading.pair().reference_amplitude());
        }
    }

    /// The reflection does not depend on where the block starts, how strong the signal is, or on offsets.
    #[test]
    fn any_start(
        rho in 0.0f64..0.95, angle in 0.0f64..TAU, start in 0.0f64..TAU, size in 3_000.0f64..25_000.0,
        offsets in (-3_000.0f64..3_000.0, -3_000.0f64..3_000.0), bin in 1usize..24,
    ) {
        let tone = Tone::<48>::new(bin).unwrap();
        let frames: Vec<[i16; 2]> = (0..48)
            .map(|n| {
                let phase = start + TAU * (bin * n) as f64 / 48.0;
                [size * phase.cos() + offsets.0, rho * size * (phase + angle).cos() + offsets.1]
                    .map(|value| value.round() as i16)
            })
            .collect();
        let reading = detector::<Fixed32>(16, 0.3).read(tone.demodulate(&frames, i16::MAX).unwrap()).unwrap();
        let got = parts(&reading);
        let off = (got.0 - rho * angle.cos()).hypot(got.1 - rho * angle.sin());
        // Rounding to counts is no noise here and may add up: at most half a count in each of the sums.
        prop_assert!(off * size <= 1.5, "{off} with {size} counts");
    }
}

/// A block of samples with one at the converter's end has no ratio, in either channel.
#[test]
fn a_sample_at_the_end_refuses_its_block() {
    let detector = VectorDetector::<f64>::new(VectorSettings::for_bits(16).unwrap()).unwrap();
    let block = |channel: usize, sample: i16| {
        let mut frames = [[8_000i16, 2_000], [0, 0], [-8_000, -2_000], [0, 0]];
        frames[0][channel] = sample;
        quarter_rate(&frames, 32_000).unwrap()
    };
    assert!(detector.read(block(0, 8_000)).is_ok());
    assert!(detector.read(block(0, 31_999)).is_ok());
    for (channel, name) in [(0, Channel::Reference), (1, Channel::Reflected)] {
        for sample in [32_000, 32_767, -32_001] {
            let refused = detector.read(block(channel, sample)).err();
            assert_eq!(refused, Some(DetectorError::Overload(name)), "{sample}");
        }
    }
}
