//! Do readings from several scales belong to one load?
//!
//! A printed value stands for everything that rounds to it: half a unit of its last digit to both sides. Each reading
//! gives the interval of SWR that it allows; two intervals without a common value contradict each other.

use core::fmt;

use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::swr::standing_wave;
use crate::quantity::{Reference, Swr};

/// A number as it was printed or read: whole `digits`, the last `decimals` of them after the point.
///
/// `1.50` differs from `1.5`: it states a ten times smaller interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Printed {
    digits: i32,
    decimals: u8,
}

/// Why a reading is impossible.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum ReadingError {
    /// Not a decimal number of at most nine digits, such as `-12.50`.
    NotANumber,
    /// An SWR below 1.
    SwrBelowOne,
    /// A loss, reflected power, magnitude or power below zero, or more reflected than forward power: not passive.
    NotPassive,
    /// A forward power of zero.
    NoForwardPower,
    /// A resistance or |Z| that is not greater than zero.
    NoResistance,
}

impl fmt::Display for ReadingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotANumber => "not a decimal number of at most nine digits",
            Self::SwrBelowOne => "an SWR below 1 does not exist",
            Self::NotPassive => "no passive load gives this reading",
            Self::NoForwardPower => "the forward power must be greater than zero",
            Self::NoResistance => "a resistance or |Z| must be greater than zero",
        })
    }
}

impl core::error::Error for ReadingError {}

impl Printed {
    /// `digits · 10^−decimals`, at most nine decimals.
    ///
    /// # Errors
    /// [`ReadingError::NotANumber`] for more than nine decimals.
    pub const fn new(digits: i32, decimals: u8) -> Result<Self, ReadingError> {
        if decimals > 9 {
            Err(ReadingError::NotANumber)
        } else {
            Ok(Self { digits, decimals })
        }
    }

    /// From text such as `34`, `1.50` or `-3.2`; trailing zeros count as digits.
    ///
    /// # Errors
    /// [`ReadingError::NotANumber`] for any other text, exponents included, or more than nine digits.
    pub fn parse(text: &str) -> Result<Self, ReadingError> {
        let (negative, body) = match text.as_bytes() {
            [b'-', body @ ..] => (true, body),
            [b'+', body @ ..] => (false, body),
            body => (false, body),
        };
        let (mut digits, mut count, mut decimals) = (0i32, 0u8, 0u8);
        let (mut after_point, mut any) = (false, false);
        for byte in body {
            match byte {
                b'.' if !after_point => after_point = true,
                b'0'..=b'9' if count < 9 => {
                    digits = digits.wrapping_mul(10).wrapping_add((byte - b'0') as i32);
                    any = true;
                    // Leading zeros, as in 0.123456789 and 007, do not count as digits.
                    count = count.wrapping_add((after_point || digits != 0) as u8);
                    decimals = decimals.wrapping_add(after_point as u8);
                }
                _ => return Err(ReadingError::NotANumber),
            }
        }
        if !any {
            return Err(ReadingError::NotANumber);
        }
        // Nine digits are far from the limits of the word: nothing wraps, here or above.
        Self::new(if negative { digits.wrapping_neg() } else { digits }, decimals)
    }

    /// The lowest and the highest value that round to this number.
    fn interval<W: Real>(self) -> (W, W) {
        let mut unit = W::ONE;
        for _ in 0..self.decimals {
            unit = unit / W::from_i32(10);
        }
        // In halves of the last digit, which are whole numbers.
        let half = unit * W::HALF;
        let twice = (self.digits as i64).saturating_mul(2);
        let at = |halves: i64| {
            let size = W::from_u64(halves.unsigned_abs()) * half;
            if halves < 0 { -size } else { size }
        };
        (at(twice.saturating_sub(1)), at(twice.saturating_add(1)))
    }
}

impl fmt::Display for Printed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut scale = 1u32;
        for _ in 0..self.decimals {
            scale = scale.saturating_mul(10);
        }
        let size = self.digits.unsigned_abs();
        let sign = if self.digits < 0 { "-" } else { "" };
        let whole = size.checked_div(scale).unwrap_or(0);
        let rest = size.checked_rem(scale).unwrap_or(0);
        if self.decimals == 0 {
            write!(f, "{sign}{whole}")
        } else {
            write!(f, "{sign}{whole}.{rest:0width$}", width = self.decimals as usize)
        }
    }
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Reading {
    /// The standing wave ratio.
    Swr(Printed),
    /// Return loss in dB, positive.
    ReturnLoss(Printed),
    /// Mismatch loss in dB.
    MismatchLoss(Printed),
    /// Reflected power in per cent of the forward power.
    ReflectedPercent(Printed),
    /// |Γ|.
    Magnitude(Printed),
    /// |Z| in ohms. It does not show a match alone, and only excludes loads.
    ImpedanceMagnitude(Printed),
    /// R and X in ohms.
    Impedance {
        /// The resistance.
        resistance: Printed,
        /// The reactance; its sign does not matter here.
        reactance: Printed,
    },
    /// A pure resistance in ohms.
    Resistive(Printed),
    /// Forward and reflected power, in the same unit.
    Powers {
        /// The forward power.
        forward: Printed,
        /// The reflected power.
        reflected: Printed,
    },
}

/// The result of a comparison of readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[must_use = "it says whether the readings agree"]
pub enum Agreement {
    /// All may belong to one load.
    Consistent,
    /// Two of them, by their index in the list, cannot both be right.
    Contradictory {
        /// The index of the first.
        first: usize,
        /// The index of the second.
        second: usize,
    },
    /// No contradiction, but nothing was compared: fewer than two readings, or |Z| against the others.
    Undecided,
}

/// What one reading allows: an interval of SWR, an interval of |Z| if the reading limits it, and whether it decides.
#[derive(Clone, Copy)]
struct Allowed<W> {
    swr: (W, W),
    magnitude: Option<(W, W)>,
    decides: bool,
}

/// Compares readings of one load at one frequency, on the reference of the SWR.
///
/// ```
/// use ohmwright::measure::{Agreement, Printed, Reading, compare_readings};
/// use ohmwright::double::Reference;
///
/// let readings = [
///     Reading::Swr(Printed::parse("1.2")?),
///     Reading::ReturnLoss(Printed::parse("16")?), // this is SWR 1.38
///     Reading::Resistive(Printed::parse("52")?),  // this is 34 dB
/// ];
/// let verdict = compare_readings(&readings, Reference::fifty())?;
/// assert_eq!(verdict, Agreement::Contradictory { first: 0, second: 1 });
/// # Ok::<(), ohmwright::measure::ReadingError>(())
/// ```
///
/// # Errors
/// [`ReadingError`] for a reading that is impossible by itself.
pub fn compare_readings<A: Arithmetic>(
    readings: &[Reading],
    reference: Reference<A>,
) -> Result<Agreement, ReadingError> {
    let mut deciding = 0u32;
    let mut contradiction = None;
    for (second, reading) in readings.iter().enumerate() {
        let this = allowed(reading, reference)?;
        deciding = deciding.saturating_add(this.decides as u32);
        for (first, other) in readings.iter().take(second).enumerate() {
            let other = allowed(other, reference)?;
            let magnitudes_apart = match (this.magnitude, other.magnitude) {
                (Some(one), Some(other)) => apart(one, other, |size| size),
                _ => false,
            };
            // dSWR/d|Γ| = (SWR + 1)²/2 converts a rounding error of |Γ| to SWR.
            if apart(this.swr, other.swr, |swr| (swr + A::Working::ONE).square()) || magnitudes_apart {
                // Not returned yet: a later reading may be impossible.
                contradiction = contradiction.or(Some(Agreement::Contradictory { first, second }));
            }
        }
    }
    Ok(contradiction.unwrap_or(if deciding >= 2 {
        Agreement::Consistent
    } else {
        Agreement::Undecided
    }))
}

/// True if the intervals are apart by more than the rounding of the family: intervals that touch have a common value.
fn apart<W: Real>((low, high): (W, W), (from, to): (W, W), steepness: impl Fn(W) -> W) -> bool {
    let before = |end: W, start: W| end < start && start - end > W::EPSILON * steepness(end);
    before(high, from) || before(to, low)
}

/// The SWRs that a reading allows, lowest and highest (the family's largest value without an upper limit).
///
/// # Errors
/// [`ReadingError`] for a reading that is impossible by itself.
pub fn swr_interval<A: Arithmetic>(
    reading: &Reading,
    reference: Reference<A>,
) -> Result<(Swr<A>, Swr<A>), ReadingError> {
    let (low, high) = allowed(reading, reference)?.swr;
    Ok((Swr::from_working(low), Swr::from_working(high)))
}

fn allowed<A: Arithmetic>(
    reading: &Reading,
    reference: Reference<A>,
) -> Result<Allowed<A::Working>, ReadingError> {
    let (zero, one) = (A::Working::ZERO, A::Working::ONE);
    let scalar = |swr| {
        Ok(Allowed {
            swr,
            magnitude: None,
            decides: true,
        })
    };
    let of_powers = |low: A::Working, high: A::Working| (swr_of_power(low), swr_of_power(high));
    match *reading {
        Reading::Swr(printed) => {
            let (low, high): (A::Working, A::Working) = printed.interval();
            if high < one {
                return Err(ReadingError::SwrBelowOne);
            }
            scalar((low.larger(one), high))
        }
        Reading::ReturnLoss(printed) => {
            let (low, high) = passive::<A::Working>(printed.interval())?;
            scalar(of_powers((-high).ratio_of_decibels(), (-low).ratio_of_decibels()))
        }
        Reading::MismatchLoss(printed) => {
            let (low, high) = passive::<A::Working>(printed.interval())?;
            let power = |loss: A::Working| one - (-loss).ratio_of_decibels();
            scalar(of_powers(power(low), power(high)))
        }
        Reading::ReflectedPercent(printed) => {
            let (low, high) = passive::<A::Working>(printed.interval())?;
            let hundred = A::Working::from_i32(100);
            if low > hundred {
                return Err(ReadingError::NotPassive);
            }
            scalar(of_powers(low / hundred, high / hundred))
        }
        Reading::Magnitude(printed) => {
            let (low, high) = passive::<A::Working>(printed.interval())?;
            if low > one {
                return Err(ReadingError::NotPassive);
            }
            scalar(of_powers(low.square(), high.square()))
        }
        Reading::Powers { forward, reflected } => {
            let (low, high) = power_ratio(forward, reflected)?;
            scalar(of_powers(low, high))
        }
        Reading::ImpedanceMagnitude(printed) => Ok(of_impedance_magnitude(positive(printed)?, reference)),
        Reading::Impedance {
            resistance,
            reactance,
        } => {
            let (from, to) = reactance.interval();
            Ok(box_of::<A>(positive(resistance)?, (from, to), reference))
        }
        Reading::Resistive(printed) => Ok(box_of::<A>(positive(printed)?, (zero, zero), reference)),
    }
}

/// The interval of reflected over forward power; up to 1 if the forward power may be 0.
fn power_ratio<W: Real>(forward: Printed, reflected: Printed) -> Result<(W, W), ReadingError> {
    let (sent_low, sent_high): (W, W) = forward.interval();
    let (back_low, back_high) = passive::<W>(reflected.interval())?;
    if sent_high <= W::ZERO || forward.digits <= 0 {
        return Err(ReadingError::NoForwardPower);
    }
    if back_low > sent_high {
        return Err(ReadingError::NotPassive);
    }
    let highest = if sent_low > W::ZERO {
        back_high / sent_low
    } else {
        W::ONE
    };
    Ok((back_low / sent_high, highest))
}

/// What |Z| alone allows: the lowest SWR is that of a pure resistance of this size, and there is no highest.
fn of_impedance_magnitude<A: Arithmetic>(
    (low, high): (A::Working, A::Working),
    reference: Reference<A>,
) -> Allowed<A::Working> {
    let z0 = reference.working();
    let least = if low > z0 {
        low / z0
    } else if high < z0 {
        z0 / high
    } else {
        A::Working::ONE
    };
    Allowed {
        swr: (least, A::Working::LARGEST),
        magnitude: Some((low, high)),
        decides: false,
    }
}

/// What a rectangle of R and X allows.
fn box_of<A: Arithmetic>(
    (r_low, r_high): (A::Working, A::Working),
    (x_from, x_to): (A::Working, A::Working),
    reference: Reference<A>,
) -> Allowed<A::Working> {
    let one = A::Working::ONE;
    let z0 = reference.working();
    let nearest_x = if x_from > A::Working::ZERO {
        x_from
    } else if x_to < A::Working::ZERO {
        -x_to
    } else {
        A::Working::ZERO
    };
    let farthest_x = x_from.absolute().larger(x_to.absolute());
    let power = |r: A::Working, x: A::Working| {
        let (r, square) = (r / z0, (x / z0).square());
        ((r - one).square() + square) / ((r + one).square() + square)
    };
    // Circles of equal |Γ| are convex: the farthest point is a corner. The nearest has the least |X|, and on that line
    // the R nearest to √(Z0² + X²) in the rectangle.
    let nearest_r = (z0.square() + nearest_x.square())
        .square_root()
        .larger(r_low)
        .smaller(r_high);
    let size = |r: A::Working, x: A::Working| (r.square() + x.square()).square_root();
    // Far from the match both limits round to nearly the same: the upper one must not be below the lower.
    let (least, most) = (
        swr_of_power(power(nearest_r, nearest_x)),
        swr_of_power(power(r_low, farthest_x).larger(power(r_high, farthest_x))),
    );
    let (near, far) = (size(r_low, nearest_x), size(r_high, farthest_x));
    Allowed {
        swr: (least, most.larger(least)),
        magnitude: Some((near, far.larger(near))),
        decides: true,
    }
}

/// The SWR at |Γ|² = power; the largest value for power ≥ 1.
fn swr_of_power<W: Real>(power: W) -> W {
    standing_wave(power.square_root())
}

/// The part of an interval from zero up; an error if there is none.
fn passive<W: Real>((low, high): (W, W)) -> Result<(W, W), ReadingError> {
    if high < W::ZERO {
        Err(ReadingError::NotPassive)
    } else {
        Ok((low.larger(W::ZERO), high))
    }
}

fn positive<W: Real>(printed: Printed) -> Result<(W, W), ReadingError> {
    if printed.digits <= 0 {
        return Err(ReadingError::NoResistance);
    }
    let (low, high): (W, W) = printed.interval();
    Ok((low.larger(W::ZERO), high))
}
