//! The single-bin transform against numpy's FFT (`tests/data/make_detector_vectors.py`), and against its own bounds.

use core::f64::consts::TAU;

use ohmwright::measure::detector::{Demodulator, DetectorError, Pair, Tone, quarter_rate};
use proptest::prelude::*;

use crate::common::{Random, Table};

/// The other channel carries the samples backwards.
fn frames(samples: &[i16]) -> Vec<[i16; 2]> {
    samples
        .iter()
        .zip(samples.iter().rev())
        .map(|(a, b)| [*a, *b])
        .collect()
}

/// Block and stream at once, for a length that is only known when the program runs.
fn demodulate(bin: usize, frames: &[[i16; 2]]) -> Result<Pair, DetectorError> {
    fn with<const N: usize>(bin: usize, frames: &[[i16; 2]]) -> Result<Pair, DetectorError> {
        let tone = Tone::<N>::new(bin)?;
        let pair = tone.demodulate(frames, i16::MAX)?;
        let mut stream = Demodulator::new(&tone, i16::MAX);
        // What a gap has cut off is forgotten.
        assert_eq!(stream.push([1234, -567]), None);
        stream.restart();
        for round in 0..2 {
            for (place, frame) in frames.iter().enumerate() {
                assert_eq!(stream.taken(), place, "round {round}");
                let done = stream.push(*frame);
                assert_eq!(done, (place + 1 == N).then_some(pair));
            }
        }
        Ok(pair)
    }
    macro_rules! lengths {
        ($($n:literal),*) => {
            match frames.len() {
                $($n => with::<$n>(bin, frames),)*
                other => panic!("no transform of {other} here"),
            }
        };
    }
    lengths!(3, 4, 5, 8, 12, 16, 45, 48, 100, 255, 256, 509, 512)
}

/// An amplitude in counts from a sum of the usual, unscaled kind.
fn counts(sum: f64, length: usize) -> f64 {
    sum * 2.0 / length as f64
}

/// In counts, by the exact size of a unit. (That of the pair is a whole number, right to 2.1e-5.)
fn phasors(pair: &Pair) -> [(f64, f64); 2] {
    let samples = f64::from(pair.samples());
    let unit = if pair.units_per_count() * 2 == pair.samples() {
        // Without a multiplication the factors are 1.
        samples / 2.0
    } else {
        samples / 2.0 * 32_767.0 / (samples.log2().ceil() - 1.0).exp2()
    };
    assert!((unit / f64::from(pair.units_per_count()) - 1.0).abs() < 2.1e-5);
    [pair.reference(), pair.reflected()]
        .map(|phasor| (f64::from(phasor.i) / unit, f64::from(phasor.q) / unit))
}

/// What may be off, in counts of amplitude: the cutting of N products, and half a unit (a unit and a half, where the
/// factors had to be made to sum up to nothing) of every factor with the sizes of all samples.
fn bound(samples: &[i16], spread: f64) -> f64 {
    let n = samples.len() as f64;
    let shift = (samples.len() as f64).log2().ceil() - 1.0;
    let sizes: f64 = samples.iter().map(|sample| f64::from(*sample).abs()).sum();
    2f64.powf(shift - 14.0) + spread * sizes * 2.0 / n / 32_767.0
}

#[test]
fn as_numpy_has_it() {
    let table = Table::parse(include_str!("../../data/detector_transform.csv"));
    let (mut worst_tone, mut worst, mut rows) = (0f64, 0f64, 0);
    for row in table.rows() {
        let samples: Vec<i16> = row
            .text("samples")
            .split(' ')
            .map(|s| s.parse().unwrap())
            .collect();
        let (length, bin): (usize, usize) = (
            row.text("length").parse().unwrap(),
            row.text("bin").parse().unwrap(),
        );
        assert_eq!(samples.len(), length);
        let pair = demodulate(bin, &frames(&samples)).unwrap();
        let want = (counts(row.number("re"), length), counts(row.number("im"), length));
        let got = phasors(&pair)[0];
        let off = (got.0 - want.0).hypot(got.1 - want.1);
        assert!(
            off <= 1.5 * bound(&samples, 1.5),
            "{length} {bin}: {off} counts off"
        );
        match row.text("kind") {
            "random" | "mixed" => worst = worst.max(off),
            // A tone alone: what it says of itself is a hundredth of a count.
            "tone" if length >= 45 => worst_tone = worst_tone.max(off),
            "weak" => assert!(off < 0.02, "{off}"),
            // An offset of any size is no signal; a shift of every sample would show.
            "offset" => assert!(got.0.hypot(got.1) <= 2.0 * bound(&[0; 512], 0.0), "{got:?}"),
            _ => {}
        }
        assert_eq!(
            pair.is_overloaded(),
            samples.iter().any(|s| *s == i16::MIN || *s == i16::MAX)
        );
        rows += 1;
    }
    println!("random blocks {worst} counts off, tones {worst_tone}");
    assert_eq!(rows, 148);
    assert!(worst < 1.0 && worst_tone < 0.3, "{worst} {worst_tone}");
    assert!(worst > 1e-4, "the search saw no error at all");
}

#[test]
fn the_wrong_bin_and_the_wrong_way_round_do_not_pass() {
    // The control of the law above: neighbouring bin, conjugate, one sample late.
    let table = Table::parse(include_str!("../../data/detector_transform.csv"));
    for row in table
        .rows()
        .filter(|row| row.text("kind") == "tone" && row.text("length") == "48")
    {
        let samples: Vec<i16> = row
            .text("samples")
            .split(' ')
            .map(|s| s.parse().unwrap())
            .collect();
        let want = (counts(row.number("re"), 48), counts(row.number("im"), 48));
        let bin: usize = row.text("bin").parse().unwrap();
        let far = |pair: Pair, sign: f64| {
            let got = phasors(&pair)[0];
            (got.0 - want.0).hypot(sign * got.1 - want.1) > 100.0
        };
        assert!(far(demodulate(bin - 1, &frames(&samples)).unwrap(), 1.0));
        assert!(far(demodulate(bin, &frames(&samples)).unwrap(), -1.0));
        let mut late = samples.clone();
        late.rotate_right(1);
        assert!(far(demodulate(bin, &frames(&late)).unwrap(), 1.0));
    }
}

#[test]
fn a_quarter_of_the_rate_is_exact() {
    let mut random = Random::new(4);
    for length in [4usize, 8, 48, 256, 65_536] {
        let frames: Vec<[i16; 2]> = (0..length)
            .map(|_| [0; 2].map(|_| random.bits() as i16))
            .collect();
        let pair = quarter_rate(&frames, i16::MAX).unwrap();
        for (channel, phasor) in [pair.reference(), pair.reflected()].into_iter().enumerate() {
            let (mut re, mut im) = (0i64, 0i64);
            for (n, frame) in frames.iter().enumerate() {
                let sample = i64::from(frame[channel]);
                let (cosine, sine) = [(1, 0), (0, 1), (-1, 0), (0, -1)][n % 4];
                re += sample * cosine;
                im -= sample * sine;
            }
            assert_eq!((i64::from(phasor.i), i64::from(phasor.q)), (re, im));
        }
        assert_eq!(pair.units_per_count() as usize, length / 2);
        if length == 48 || length == 256 {
            // The general way at the same bin, to what its factors are worth.
            let general = demodulate(length / 4, &frames).unwrap();
            for (one, other) in phasors(&pair).into_iter().zip(phasors(&general)) {
                assert!(
                    (one.0 - other.0).hypot(one.1 - other.1) < 0.05,
                    "{one:?} {other:?}"
                );
            }
        }
    }
    // The longest block with the largest sums there are.
    let worst: Vec<[i16; 2]> = (0..65_536)
        .map(|n| {
            if n % 4 < 2 {
                [i16::MAX, i16::MIN]
            } else {
                [i16::MIN, i16::MAX]
            }
        })
        .collect();
    let pair = quarter_rate(&worst, i16::MAX).unwrap();
    assert_eq!(pair.reference().i, 16_384 * 65_535);
    assert_eq!(pair.reflected().i, -16_384 * 65_535);
    // An offset is nothing.
    let still = quarter_rate(&[[12_345, -32_768]; 16], i16::MAX).unwrap();
    assert_eq!((still.reference_amplitude(), still.reflected_amplitude()), (0, 0));
}

#[test]
fn blocks_and_bins_that_do_not_exist() {
    use DetectorError::{BinOutside, BlockLength, TransformLength};
    assert_eq!(Tone::<2>::new(1), Err(TransformLength(2)));
    assert_eq!(Tone::<0>::new(1), Err(TransformLength(0)));
    assert_eq!(Tone::<513>::new(1), Err(TransformLength(513)));
    assert_eq!(Tone::<48>::new(0), Err(BinOutside(0)));
    assert_eq!(Tone::<48>::new(24), Err(BinOutside(24)));
    assert_eq!(Tone::<5>::new(3), Err(BinOutside(3)));
    assert!(Tone::<5>::new(2).is_ok() && Tone::<48>::new(23).is_ok());
    let tone = Tone::<48>::new(5).unwrap();
    assert_eq!(tone.bin(), 5);
    for got in [0, 47, 49] {
        let frames = vec![[0; 2]; got];
        assert_eq!(
            tone.demodulate(&frames, 2047),
            Err(BlockLength { expected: 48, got })
        );
    }
    for (got, expected) in [(0, 4), (3, 4), (5, 4), (50, 48), (65_540, 65_536)] {
        let frames = vec![[0; 2]; got];
        assert_eq!(quarter_rate(&frames, 2047), Err(BlockLength { expected, got }));
    }
}

#[test]
fn every_sample_at_the_end_is_seen() {
    let tone = Tone::<48>::new(5).unwrap();
    for channel in 0..2 {
        for place in 0..48 {
            for (sample, full_scale, seen) in [
                (2047, 2047, true),
                (-2047, 2047, true),
                (-2048, 2047, true),
                (2046, 2047, false),
                (-2046, 2047, false),
                (i16::MIN, i16::MAX, true),
                (32_766, i16::MAX, false),
                (1, 0, true),
            ] {
                let mut frames = [[0i16; 2]; 48];
                frames[place][channel] = sample;
                let block = tone.demodulate(&frames, full_scale).unwrap();
                let quarter = quarter_rate(&frames, full_scale).unwrap();
                assert_eq!(block.is_overloaded(), seen, "{sample} of {full_scale}");
                assert_eq!(quarter.is_overloaded(), seen, "{sample} of {full_scale}");
            }
        }
    }
}

proptest! {
    /// Any samples at all: no sum overflows (the tests check that), and both channels are what double precision says.
    #[test]
    fn any_block(
        bin in 1usize..24,
        samples in prop::collection::vec(any::<i16>(), 48),
        turned in any::<bool>(),
    ) {
        // Each sample as it hurts most.
        let samples: Vec<i16> = if turned {
            samples.iter().enumerate().map(|(n, sample)| {
                let factor = (TAU * (bin * n % 48) as f64 / 48.0).cos();
                if factor >= 0.0 { sample.saturating_abs() } else { -sample.saturating_abs() }
            }).collect()
        } else {
            samples
        };
        let pair = demodulate(bin, &frames(&samples)).unwrap();
        let backwards: Vec<i16> = samples.iter().rev().copied().collect();
        for (got, samples) in phasors(&pair).into_iter().zip([&samples, &backwards]) {
            let (mut re, mut im) = (0.0, 0.0);
            for (n, sample) in samples.iter().enumerate() {
                let angle = TAU * (bin * n % 48) as f64 / 48.0;
                re += f64::from(*sample) * angle.cos() / 24.0;
                im -= f64::from(*sample) * angle.sin() / 24.0;
            }
            let off = (got.0 - re).abs().max((got.1 - im).abs());
            prop_assert!(off <= bound(samples, 0.5), "{off}");
        }
    }
}
