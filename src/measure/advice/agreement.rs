//! Do readings from several scales belong to one load?
//!
//! A printed value stands for everything that rounds to it: half a unit of its last digit to both sides. Each reading
//! gives the interval of SWR that it allows, and, where it limits them, intervals of |Z|, R and |X|. Readings for which
//! no load R + jX exists contradict each other.

use core::fmt;

use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::swr::standing_wave;
use crate::quantity::{Ohms, Reference, Swr};

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
    /// A pure resistance or |Z| that is not greater than zero, or an R below zero.
    NoResistance,
}

impl fmt::Display for ReadingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotANumber => "not a decimal number of at most nine digits",
            Self::SwrBelowOne => "an SWR below 1 does not exist",
            Self::NotPassive => "no passive load gives this reading",
            Self::NoForwardPower => "the forward power must be greater than zero",
            Self::NoResistance => "a pure resistance or |Z| must be greater than zero, an R not below it",
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

    /// The same without a minus sign.
    const fn without_sign(self) -> Self {
        Self {
            digits: self.digits.saturating_abs(),
            decimals: self.decimals,
        }
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
    /// Return loss in dB: positive. One with a minus sign is taken without it: many people and instruments print the
    /// reflection in dB, −16 dB, and call that the return loss.
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
        /// The resistance; 0 stands for what rounds to it.
        resistance: Printed,
        /// The reactance; its sign does not matter here.
        reactance: Printed,
    },
    /// A pure resistance in ohms: there is no reactance.
    Resistive(Printed),
    /// The resistance R of a load R + jX in ohms, whatever its X; 0 stands for what rounds to it. As |Z| it does not show a
    /// match alone, and only excludes loads.
    SeriesResistance(Printed),
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
    /// Each two of them may belong to one load, but no load gives all of them.
    ContradictoryTogether,
    /// No contradiction, but nothing was compared: fewer than two readings, or |Z| or R against the others.
    Undecided,
}

/// What readings allow: intervals of SWR, |Z|, R and |X|, the impedances in units of the reference.
#[derive(Clone, Copy)]
struct Allowed<W> {
    swr: (W, W),
    magnitude: (W, W),
    resistance: (W, W),
    reactance: (W, W),
}

impl<W: Real> Allowed<W> {
    /// Every load without gain.
    const EVERYTHING: Self = Self {
        swr: (W::ONE, W::LARGEST),
        magnitude: (W::ZERO, W::LARGEST),
        resistance: (W::ZERO, W::LARGEST),
        reactance: (W::ZERO, W::LARGEST),
    };

    /// What both allow. An interval that is left empty has its ends exchanged.
    fn and(self, other: Self) -> Self {
        let both = |(low, high): (W, W), (from, to): (W, W)| (low.larger(from), high.smaller(to));
        Self {
            swr: both(self.swr, other.swr),
            magnitude: both(self.magnitude, other.magnitude),
            resistance: both(self.resistance, other.resistance),
            reactance: both(self.reactance, other.reactance),
        }
    }

    /// Whether a load R + jX exists in all four intervals. In doubt, by some roundings, it does.
    ///
    /// With r = R/Z0 and q = |Z/Z0|² an SWR of s is the straight line q = (s + 1/s)·r − 1 (the circle of equal SWR has
    /// its centre at (s + 1/s)/2 and the radius (s − 1/s)/2), |Z| is a line q = m², and X a parabola q = r² + x². So
    /// each limit from below and each from above leave one stretch of r, or two, and a load exists where all stretches
    /// have a common r.
    fn has_a_load(self) -> bool {
        let wide = self.widened();
        let (steep, flat) = (Circle::new(wide.swr.1), Circle::new(wide.swr.0));
        let ((m_low, m_high), (x_low, x_high)) = (wide.magnitude, wide.reactance);
        let crossed = |(low, high): (W, W)| low > high;
        if [wide.swr, wide.magnitude, wide.reactance]
            .into_iter()
            .any(crossed)
            || m_high < x_low
        {
            return false;
        }
        let (mut low, mut high) = wide.resistance;
        // |Z| against X.
        low = low.larger(root_of_difference(m_low, x_high));
        high = high.smaller(root_of_difference(m_high, x_low));
        // |Z| against the SWR: (s + 1/s)·r − 1 = m².
        low = low.larger(steep.resistance_at(m_low));
        high = high.smaller(flat.resistance_at(m_high));
        // X against the highest SWR: inside its circle.
        let Some((from, to)) = steep.stretch(x_low) else {
            return false;
        };
        (low, high) = (low.larger(from), high.smaller(to));
        // X against the lowest SWR: outside its circle, to the left of it or to the right.
        let common = |low: W, high: W| low <= high + high * Self::slack();
        match flat.stretch(x_high) {
            None => common(low, high),
            Some((from, to)) => common(low, high.smaller(from)) || common(low.larger(to), high),
        }
    }

    /// A few roundings.
    fn slack() -> W {
        W::EPSILON * W::from_i32(32)
    }

    /// Every interval longer by some roundings on both sides.
    fn widened(self) -> Self {
        let slack = Self::slack();
        let wide = |(low, high): (W, W)| (low - low * slack, high + high * slack);
        // dSWR/d|Γ| = (SWR + 1)²/2. Far from the match an SWR is as good as none.
        let far = W::ONE / slack;
        let step = |swr: W| (swr + W::ONE).square() * slack;
        let (low, high) = self.swr;
        Self {
            swr: (
                if low < far {
                    (low - step(low)).larger(W::ONE)
                } else {
                    far
                },
                if high < far { high + step(high) } else { W::LARGEST },
            ),
            magnitude: wide(self.magnitude),
            resistance: wide(self.resistance),
            reactance: wide(self.reactance),
        }
    }
}

/// The circle of the loads of one SWR, in units of the reference.
#[derive(Clone, Copy)]
struct Circle<W> {
    /// (s + 1/s)/2, and (s − 1/s)/2.
    centre: W,
    radius: W,
}

impl<W: Real> Circle<W> {
    fn new(swr: W) -> Self {
        let below = W::ONE / swr;
        Self {
            centre: (swr + below) * W::HALF,
            radius: (swr - W::ONE) * (W::ONE + below) * W::HALF,
        }
    }

    /// R of the load of this |Z|.
    fn resistance_at(self, magnitude: W) -> W {
        (magnitude.square() + W::ONE) / (W::TWO * self.centre)
    }

    /// R of its two loads with this |X|; `None` if there are none.
    fn stretch(self, reactance: W) -> Option<(W, W)> {
        if reactance > self.radius {
            return None;
        }
        let half = root_of_difference(self.radius, reactance);
        // centre² − radius² = 1: so the lower one has no difference of nearly equal numbers.
        Some((
            (W::ONE + reactance.square()) / (self.centre + half),
            self.centre + half,
        ))
    }
}

/// √(a² − b²); 0 if that is negative.
fn root_of_difference<W: Real>(a: W, b: W) -> W {
    if a > b {
        (a - b).square_root() * (a + b).square_root()
    } else {
        W::ZERO
    }
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
    let (mut deciding, mut contradiction) = (0u32, None);
    // |Z| and R each leave the SWR open; together they do not.
    let (mut magnitude, mut resistance) = (false, false);
    let mut together = Allowed::EVERYTHING;
    for (second, reading) in readings.iter().enumerate() {
        let this = allowed(reading, reference)?;
        match reading {
            Reading::ImpedanceMagnitude(_) => magnitude = true,
            Reading::SeriesResistance(_) => resistance = true,
            _ => deciding = deciding.saturating_add(1),
        }
        together = together.and(this);
        for (first, other) in readings.iter().take(second).enumerate() {
            let other = allowed(other, reference)?;
            // dSWR/d|Γ| = (SWR + 1)²/2 converts a rounding error of |Γ| to SWR.
            if apart(this.swr, other.swr, |swr| (swr + A::Working::ONE).square())
                || apart(this.magnitude, other.magnitude, |size| size)
                || !this.and(other).has_a_load()
            {
                // Not returned yet: a later reading may be impossible.
                contradiction = contradiction.or(Some(Agreement::Contradictory { first, second }));
            }
        }
    }
    let deciding = deciding.saturating_add(u32::from(magnitude && resistance));
    Ok(match contradiction {
        Some(contradiction) => contradiction,
        None if !together.has_a_load() => Agreement::ContradictoryTogether,
        None if deciding >= 2 => Agreement::Consistent,
        None => Agreement::Undecided,
    })
}

/// True if the intervals are apart by more than the rounding of the family: intervals that touch have a common value.
fn apart<W: Real>((low, high): (W, W), (from, to): (W, W), steepness: impl Fn(W) -> W) -> bool {
    let before = |end: W, start: W| end < start && start - end > W::EPSILON * steepness(end);
    before(high, from) || before(to, low)
}

/// |X| of the loads R + jX with this SWR and this R, in ohms: an SWR of 4.5 on 50 Ω with 15 Ω of series resistance is
/// 15 ± j28.6 Ω. `None` if there is none: the SWR of R alone, the lowest, is above the one given; and for an SWR or an R
/// without limit. Both numbers are taken as they are, not as intervals.
///
/// X = Z0·√((s − r)·(r − 1/s)) with r = R/Z0: the circle of equal SWR, solved for X.
///
/// ```
/// use ohmwright::double::Reference;
/// use ohmwright::measure::reactance_beside;
///
/// let x = reactance_beside(4.5, 15.0, Reference::fifty()).unwrap();
/// assert!((x.get() - 28.58).abs() < 0.005);
/// assert_eq!(reactance_beside(1.5, 15.0, Reference::fifty()), None); // 15 Ω alone is SWR 3.33
/// ```
pub fn reactance_beside<A: Arithmetic>(
    swr: impl Into<Swr<A>>,
    resistance: impl Into<Ohms<A>>,
    reference: Reference<A>,
) -> Option<Ohms<A>> {
    let (s, z0) = (swr.into().to_working(), reference.working());
    let r = resistance.into().to_working() / z0;
    let (above, below) = (s - r, r - A::Working::ONE / s);
    if above < A::Working::ZERO || below < A::Working::ZERO || !(above * below).is_finite() {
        return None;
    }
    Some(Ohms::from_working(z0 * above.square_root() * below.square_root()))
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
            ..Allowed::EVERYTHING
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
            let (low, high) = passive::<A::Working>(printed.without_sign().interval())?;
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
        Reading::ImpedanceMagnitude(printed) => {
            let magnitude = in_references(positive(printed)?, reference);
            Ok(Allowed {
                swr: (least_swr(magnitude), A::Working::LARGEST),
                magnitude,
                ..Allowed::EVERYTHING
            })
        }
        Reading::SeriesResistance(printed) => {
            let resistance = in_references(not_negative(printed)?, reference);
            Ok(Allowed {
                swr: (least_swr(resistance), A::Working::LARGEST),
                resistance,
                ..Allowed::EVERYTHING
            })
        }
        Reading::Impedance {
            resistance,
            reactance,
        } => Ok(box_of(
            in_references(not_negative(resistance)?, reference),
            in_references(reactance.interval(), reference),
        )),
        Reading::Resistive(printed) => Ok(box_of(in_references(positive(printed)?, reference), (zero, zero))),
    }
}

/// An interval of ohms in units of the reference.
fn in_references<A: Arithmetic>(
    (low, high): (A::Working, A::Working),
    reference: Reference<A>,
) -> (A::Working, A::Working) {
    let z0 = reference.working();
    (low / z0, high / z0)
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

/// The lowest SWR of a load whose |Z|, or whose R, lies in the interval: that of a pure resistance.
fn least_swr<W: Real>((low, high): (W, W)) -> W {
    if low > W::ONE {
        low
    } else if high < W::ONE {
        W::ONE / high
    } else {
        W::ONE
    }
}

/// What a rectangle of R and X allows, all in units of the reference.
fn box_of<W: Real>((r_low, r_high): (W, W), (x_from, x_to): (W, W)) -> Allowed<W> {
    let one = W::ONE;
    let nearest_x = if x_from > W::ZERO {
        x_from
    } else if x_to < W::ZERO {
        -x_to
    } else {
        W::ZERO
    };
    let farthest_x = x_from.absolute().larger(x_to.absolute());
    let power = |r: W, x: W| {
        let square = x.square();
        ((r - one).square() + square) / ((r + one).square() + square)
    };
    // Circles of equal |Γ| are convex: the farthest point is a corner. The nearest has the least |X|, and on that line
    // the R nearest to √(1 + X²) in the rectangle.
    let nearest_r = (one + nearest_x.square())
        .square_root()
        .larger(r_low)
        .smaller(r_high);
    let size = |r: W, x: W| (r.square() + x.square()).square_root();
    // Far from the match both limits round to nearly the same: the upper one must not be below the lower.
    let (least, most) = (
        swr_of_power(power(nearest_r, nearest_x)),
        swr_of_power(power(r_low, farthest_x).larger(power(r_high, farthest_x))),
    );
    let (near, far) = (size(r_low, nearest_x), size(r_high, farthest_x));
    Allowed {
        swr: (least, most.larger(least)),
        magnitude: (near, far.larger(near)),
        resistance: (r_low, r_high),
        reactance: (nearest_x, farthest_x),
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

fn not_negative<W: Real>(printed: Printed) -> Result<(W, W), ReadingError> {
    if printed.digits < 0 {
        return Err(ReadingError::NoResistance);
    }
    let (low, high): (W, W) = printed.interval();
    Ok((low.larger(W::ZERO), high))
}

fn positive<W: Real>(printed: Printed) -> Result<(W, W), ReadingError> {
    if printed.digits <= 0 {
        return Err(ReadingError::NoResistance);
    }
    let (low, high): (W, W) = printed.interval();
    Ok((low.larger(W::ZERO), high))
}
