//! One bin of a discrete Fourier transform, in 16-bit multiplications.

use super::DetectorError;

/// The amplitude of the factors.
const ONE: i32 = i16::MAX as i32;

/// Bin `k` of a transform of `N` samples, 3 to 512: the intermediate frequency is k/N of the sample rate.
///
/// It holds cosine and sine as 16-bit numbers, 4·N bytes; a `const fn` makes it, so that it is stored in flash:
///
/// ```
/// use ohmwright::measure::detector::Tone;
///
/// /// 5 kHz at 48 000 samples a second.
/// static IF: Tone<48> = match Tone::new(5) {
///     Ok(tone) => tone,
///     Err(_) => panic!("bin 5 of 48 exists"),
/// };
/// let frames: Vec<[i16; 2]> = (0..48)
///     .map(|n| {
///         let turns = 5.0 / 48.0 * f64::from(n);
///         let wave = |amplitude: f64, turns: f64| (amplitude * (turns * core::f64::consts::TAU).cos()).round() as i16;
///         [wave(20_000.0, turns), wave(5_000.0, turns + 0.25)]
///     })
///     .collect();
/// let pair = IF.demodulate(&frames, i16::MAX)?;
/// assert_eq!((pair.reference_amplitude(), pair.reflected_amplitude()), (20_000, 5_000));
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
///
/// The sum is Σ xₙ·e^(−j2πkn/N), that of the discrete Fourier transform (A. V. Oppenheim, R. W. Schafer, "Discrete-Time
/// Signal Processing"; from memory). A constant offset has no effect: the factors sum up to exactly zero. Other whole
/// bins, and the mirror of this one, add only the rounding error of the factors: at most 5e-5 of their amplitude,
/// usually a few millionths. A frequency between two bins leaks, as in every transform without a window.
///
/// # Range
///
/// A product of a 16-bit sample and a factor is below 2³⁰ in size. It is divided by N/2 (rounded up to a power of two)
/// before it is added, so that no block overflows 32 bits; the truncated part is at most 0.002 counts of the amplitude
/// for N = 48 and 0.016 for N = 512.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tone<const N: usize> {
    /// (cos, −sin) of 2πkn/N, times [`ONE`].
    factors: [[i16; 2]; N],
    bin: usize,
}

#[cfg(feature = "defmt")]
impl<const N: usize> defmt::Format for Tone<N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "bin {=usize} of {=usize}", self.bin, N);
    }
}

impl<const N: usize> Tone<N> {
    /// The products are shifted right by this number of bits: 2^(SHIFT + 1) is N or more.
    pub(super) const SHIFT: u32 = (N as u32).next_power_of_two().trailing_zeros().saturating_sub(1);

    /// Units of a sum per count of the signal's amplitude, rounded: N/2 · ONE/2^SHIFT.
    pub(super) const UNITS_PER_COUNT: u32 = {
        let twice = N as u64 * ONE as u64;
        ((twice + (1 << Self::SHIFT)) >> (Self::SHIFT + 1)) as u32
    };

    /// Bin `bin` of `N`.
    ///
    /// # Errors
    /// [`DetectorError::TransformLength`] for N below 3 or above 512, [`DetectorError::BinOutside`] for bin 0 and from
    /// N/2 on: a single sum has no phase there.
    pub const fn new(bin: usize) -> Result<Self, DetectorError> {
        if N < 3 || N > 512 {
            return Err(DetectorError::TransformLength(N));
        }
        if bin == 0 || bin >= N.div_ceil(2) {
            return Err(DetectorError::BinOutside(bin));
        }
        let mut factors = [[0i16; 2]; N];
        let mut rest = [0i32; 2];
        let mut n = 0;
        while n < N {
            // In units of 1/4N turn; −sin a = cos(a + a quarter).
            let turns = 4 * (bin.wrapping_mul(n) % N);
            let pair = [cosine::<N>(turns), cosine::<N>(turns + N)];
            factors[n] = [pair[0] as i16, pair[1] as i16];
            rest[0] = rest[0].wrapping_add(pair[0]);
            rest[1] = rest[1].wrapping_add(pair[1]);
            n += 1;
        }
        // If the period is odd, rounding adds a few units to the sum: they are removed one at a time.
        let mut part = 0;
        while part < 2 {
            let mut n = 0;
            while n < N && rest[part] != 0 {
                let step = rest[part].signum();
                let less = (factors[n][part] as i32).wrapping_sub(step);
                if less <= ONE && less >= -ONE {
                    factors[n][part] = less as i16;
                    rest[part] = rest[part].wrapping_sub(step);
                }
                n += 1;
            }
            part += 1;
        }
        Ok(Self { factors, bin })
    }

    /// The number of the bin.
    pub const fn bin(&self) -> usize {
        self.bin
    }

    /// (cos, −sin), times 32 767.
    pub(super) fn factors(&self) -> &[[i16; 2]; N] {
        &self.factors
    }
}

/// 2π in units of 2⁻³⁰.
const TAU: u64 = 6_746_518_852;

/// cos(2π·p/4N), times [`ONE`], rounded to the nearest whole number within 0.001.
const fn cosine<const N: usize>(p: usize) -> i32 {
    let p = p % (4 * N);
    // The upper half turn mirrors the lower, the second quarter the first with its sign inverted. (Nothing wraps.)
    let p = if p > 2 * N { (4 * N).wrapping_sub(p) } else { p };
    let (p, negative) = if p > N {
        ((2 * N).wrapping_sub(p), true)
    } else {
        (p, false)
    };
    // Up to an eighth of a turn by the series of the cosine, above by that of the sine.
    let near_one = p <= N / 2;
    let rest = if near_one { p } else { N.wrapping_sub(p) };
    let x = (TAU.wrapping_mul(rest as u64) / (4 * N as u64)) as i64;
    let square = x.wrapping_mul(x) >> 30;
    let series = if near_one {
        series(
            &[296, 26_631, 1_491_308, 44_739_243, 536_870_912, 1 << 30],
            square,
        )
    } else {
        series(&[2_959, 213_044, 8_947_849, 178_956_971, 1 << 30], square).wrapping_mul(x) >> 30
    };
    let size = (series.wrapping_mul(ONE as i64).wrapping_add(1 << 29) >> 30) as i32;
    if negative { size.wrapping_neg() } else { size }
}

/// An alternating series with these coefficients, in units of 2⁻³⁰, from the highest to the constant: 1/n! each.
const fn series<const K: usize>(coefficients: &[i64; K], square: i64) -> i64 {
    let mut sum = 0i64;
    let mut k = 0;
    while k < K {
        sum = coefficients[k].wrapping_sub(sum.wrapping_mul(square) >> 30);
        k += 1;
    }
    sum
}
