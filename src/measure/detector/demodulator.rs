//! From samples at an intermediate frequency to a pair of phasors.

use super::pair::{Iq, Pair};
use super::{Channel, DetectorError, Tone};

/// The sums of one channel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Sums {
    re: i32,
    im: i32,
    /// Negative after a sample at the converter's limit.
    room: i32,
}

impl Sums {
    #[inline(always)]
    fn add(&mut self, sample: i16, factors: [i16; 2], shift: u32, end: End) {
        let sample = sample as i32;
        self.room |= end.room(sample);
        // See `Tone` for the bound: nothing wraps.
        self.re = self
            .re
            .wrapping_add(sample.wrapping_mul(factors[0] as i32) >> (shift & 31));
        self.im = self
            .im
            .wrapping_add(sample.wrapping_mul(factors[1] as i32) >> (shift & 31));
    }

    fn phasor(&self) -> Iq {
        Iq::new(self.re, self.im)
    }
}

/// The limit of a converter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct End {
    /// The largest magnitude below the limit.
    most: i32,
}

impl End {
    #[inline(always)]
    fn new(full_scale: i16) -> Self {
        Self {
            most: (full_scale as i32).saturating_sub(1).max(0),
        }
    }

    /// Negative for a sample at the limit: the distance to one of the limits is then negative. Without a branch.
    #[inline(always)]
    fn room(self, sample: i32) -> i32 {
        sample.wrapping_add(self.most) | self.most.wrapping_sub(sample)
    }
}

fn pair(reference: Sums, reflected: Sums, units_per_count: u32, samples: u32) -> Pair {
    Pair {
        reference: reference.phasor(),
        reflected: reflected.phasor(),
        units_per_count,
        samples,
        overloaded: [reference.room < 0, reflected.room < 0],
    }
}

impl<const N: usize> Tone<N> {
    /// Demodulates a block of frames, each a sample of the reference and one of the reflected channel taken at the same
    /// time. `full_scale` is the size of a sample at the converter's limit (32 767, or 2 047 with 12 bits).
    ///
    /// An overload is marked in the pair, and a [`VectorDetector`](super::VectorDetector) refuses it.
    ///
    /// # Errors
    /// [`DetectorError::BlockLength`] if there are not N frames.
    pub fn demodulate(&self, frames: &[[i16; 2]], full_scale: i16) -> Result<Pair, DetectorError> {
        if frames.len() != N {
            return Err(DetectorError::BlockLength {
                expected: N,
                got: frames.len(),
            });
        }
        let channel = |place| sums(frames, self.factors(), place, Self::SHIFT, End::new(full_scale));
        Ok(pair(channel(0), channel(1), Self::UNITS_PER_COUNT, N as u32))
    }
}

/// One channel of a block. Called once per channel, since the sums of both do not fit in the registers of a small core.
#[inline(never)]
fn sums(frames: &[[i16; 2]], factors: &[[i16; 2]], place: usize, shift: u32, end: End) -> Sums {
    let mut sums = Sums::default();
    for (frame, factors) in frames.iter().zip(factors) {
        sums.add(frame[place & 1], *factors, shift, end);
    }
    sums
}

/// The same, one frame at a time: for converters whose interrupts do not wait for a block.
///
/// It stores the sums and an index, no samples.
///
/// ```
/// use ohmwright::measure::detector::{Demodulator, Tone};
///
/// // Bin 1 of 4: a period in four samples. The reflected channel has half the amplitude and the same phase.
/// let tone = Tone::<4>::new(1)?;
/// let mut demodulator = Demodulator::new(&tone, 32_767);
/// let frames = [[8_000, 4_000], [0, 0], [-8_000, -4_000], [0, 0]];
/// let pair = frames.into_iter().find_map(|frame| demodulator.push(frame)).expect("a whole block");
/// assert_eq!((pair.reference_amplitude(), pair.reflected_amplitude()), (8_000, 4_000));
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Demodulator<'a, const N: usize> {
    tone: &'a Tone<N>,
    end: End,
    place: usize,
    reference: Sums,
    reflected: Sums,
}

#[cfg(feature = "defmt")]
impl<const N: usize> defmt::Format for Demodulator<'_, N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "demodulator after {=usize} of {=usize} frames",
            self.taken(),
            N
        );
    }
}

impl<'a, const N: usize> Demodulator<'a, N> {
    /// A demodulator at the start of a block. `full_scale` as with [`Tone::demodulate`].
    pub fn new(tone: &'a Tone<N>, full_scale: i16) -> Self {
        Self {
            tone,
            end: End::new(full_scale),
            place: 0,
            reference: Sums::default(),
            reflected: Sums::default(),
        }
    }

    /// Takes a frame; after the last of N it returns the pair and starts again.
    pub fn push(&mut self, frame: [i16; 2]) -> Option<Pair> {
        let factors = *self.tone.factors().get(self.place)?;
        self.reference.add(frame[0], factors, Tone::<N>::SHIFT, self.end);
        self.reflected.add(frame[1], factors, Tone::<N>::SHIFT, self.end);
        self.place = self.place.wrapping_add(1);
        if self.place < N {
            return None;
        }
        let done = pair(
            self.reference,
            self.reflected,
            Tone::<N>::UNITS_PER_COUNT,
            N as u32,
        );
        self.restart();
        Some(done)
    }

    /// Drops the frames of an unfinished block: after a gap in the samples.
    pub fn restart(&mut self) {
        (self.place, self.reference, self.reflected) = (0, Sums::default(), Sums::default());
    }

    /// The number of frames in the present block.
    pub fn taken(&self) -> usize {
        self.place
    }
}

/// Demodulates at a quarter of the sample rate, bin N/4 of N, where the factors are 1, −j, −1 and j: without
/// multiplications, without a table, and exactly.
///
/// The block must hold a multiple of 4 frames, up to 65,536. An offset or half the sample rate has no effect.
///
/// ```
/// use ohmwright::fixed_point::{VectorDetector, VectorSettings};
/// use ohmwright::measure::detector::quarter_rate;
///
/// let frames = [[8_000, 0], [0, 4_000], [-8_000, 0], [0, -4_000]]; // a quarter of a period later
/// let detector = VectorDetector::new(VectorSettings::for_bits(16)?)?;
/// let gamma = detector.read(quarter_rate(&frames, 32_767)?)?.reflection();
/// assert_eq!((gamma.real().to_f64(), gamma.imaginary().to_f64()), (0.0, -0.5));
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
///
/// # Errors
/// [`DetectorError::BlockLength`] for any other length; it states the next shorter valid one, or 4.
pub fn quarter_rate(frames: &[[i16; 2]], full_scale: i16) -> Result<Pair, DetectorError> {
    const LONGEST: usize = 1 << 16;
    let count = frames.len();
    let (fours, rest) = frames.as_chunks::<4>();
    if fours.is_empty() || !rest.is_empty() || count > LONGEST {
        return Err(DetectorError::BlockLength {
            expected: (count & !3).clamp(4, LONGEST),
            got: count,
        });
    }
    let end = End::new(full_scale);
    let channel = |place: usize| {
        let mut sums = Sums::default();
        for four in fours {
            let [a, b, c, d] = four.map(|frame| frame[place & 1] as i32);
            sums.room |= end.room(a) | end.room(b) | end.room(c) | end.room(d);
            // Half of 65,536 differences, each within ±2¹⁶ for two samples: within 31 bits.
            sums.re = sums.re.wrapping_add(a.wrapping_sub(c));
            sums.im = sums.im.wrapping_add(d.wrapping_sub(b));
        }
        sums
    };
    Ok(pair(channel(0), channel(1), count as u32 / 2, count as u32))
}

/// The first channel of a pair that was overloaded.
pub(super) fn overload(pair: &Pair) -> Option<Channel> {
    match pair.overloaded {
        [true, _] => Some(Channel::Reference),
        [_, true] => Some(Channel::Reflected),
        _ => None,
    }
}
