//! Preferred values of parts, and the effect of their tolerances on a circuit.
//!
//! The series are those of IEC 60063. E48, E96 and E192 are 10^(i/n) rounded to three digits, with one exception: E192
//! has 9.20 where the formula gives 9.19. E6, E12 and E24 are older; eight of their values differ from it (2.7 3.0 3.3
//! 3.6 3.9 4.3 4.7 8.2).
//!
//! For the floating families `f32` and `f64` only ([`Floating`]): parts are chosen long before a device runs.

use core::fmt;

use heapless::Vec;

#[cfg(feature = "defmt")]
use crate::arithmetic::Number;
#[cfg(feature = "serde")]
use crate::arithmetic::Quantity;
use crate::arithmetic::{Floating, QuantityError, Real};
use crate::quantity::{not_negative, positive};

/// A series of preferred values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum PreferredSeries {
    /// 6 values a decade, usual for 20 %.
    E6,
    /// 12 values, usual for 10 %.
    E12,
    /// 24 values, usual for 5 %.
    E24,
    /// 48 values, usual for 2 %.
    E48,
    /// 96 values, usual for 1 %.
    E96,
    /// 192 values, usual for 0.5 % and less.
    E192,
}

/// E24 in hundredths; E12 is every second of it, E6 every fourth.
#[rustfmt::skip]
const E24: [u16; 24] = [
    100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300,
    330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820, 910,
];

/// E192 in hundredths: round(100 · 10^(i/192)) with the exception; E96 is every second of it, E48 every fourth.
#[rustfmt::skip]
const E192: [u16; 192] = [
    100, 101, 102, 104, 105, 106, 107, 109, 110, 111, 113, 114, 115, 117, 118, 120,
    121, 123, 124, 126, 127, 129, 130, 132, 133, 135, 137, 138, 140, 142, 143, 145,
    147, 149, 150, 152, 154, 156, 158, 160, 162, 164, 165, 167, 169, 172, 174, 176,
    178, 180, 182, 184, 187, 189, 191, 193, 196, 198, 200, 203, 205, 208, 210, 213,
    215, 218, 221, 223, 226, 229, 232, 234, 237, 240, 243, 246, 249, 252, 255, 258,
    261, 264, 267, 271, 274, 277, 280, 284, 287, 291, 294, 298, 301, 305, 309, 312,
    316, 320, 324, 328, 332, 336, 340, 344, 348, 352, 357, 361, 365, 370, 374, 379,
    383, 388, 392, 397, 402, 407, 412, 417, 422, 427, 432, 437, 442, 448, 453, 459,
    464, 470, 475, 481, 487, 493, 499, 505, 511, 517, 523, 530, 536, 542, 549, 556,
    562, 569, 576, 583, 590, 597, 604, 612, 619, 626, 634, 642, 649, 657, 665, 673,
    681, 690, 698, 706, 715, 723, 732, 741, 750, 759, 768, 777, 787, 796, 806, 816,
    825, 835, 845, 856, 866, 876, 887, 898, 909, 920, 931, 942, 953, 965, 976, 988,
];

impl PreferredSeries {
    /// All series, from the coarsest to the finest.
    pub const ALL: [Self; 6] = [Self::E6, Self::E12, Self::E24, Self::E48, Self::E96, Self::E192];

    /// The number of values in a decade.
    pub const fn per_decade(self) -> u8 {
        match self {
            Self::E6 => 6,
            Self::E12 => 12,
            Self::E24 => 24,
            Self::E48 => 48,
            Self::E96 => 96,
            Self::E192 => 192,
        }
    }

    /// The values of one decade in hundredths, from 100 to 999, in rising order.
    pub fn hundredths(self) -> impl Iterator<Item = u16> {
        let (table, step): (&'static [u16], usize) = match self {
            Self::E6 => (&E24, 4),
            Self::E12 => (&E24, 2),
            Self::E24 => (&E24, 1),
            Self::E48 => (&E192, 4),
            Self::E96 => (&E192, 2),
            Self::E192 => (&E192, 1),
        };
        table.iter().step_by(step).copied()
    }

    /// The nearest preferred values of `value`: the one at or below it, and the one at or above it. Both are the same
    /// where it is a preferred value itself, within a few roundings of the family.
    ///
    /// In any unit. The results are the numbers of the family nearest to the decimal values.
    ///
    /// ```
    /// use ohmwright::design::preferred::PreferredSeries;
    ///
    /// assert_eq!(PreferredSeries::E12.neighbours(477e-12)?, (470e-12, 560e-12));
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a value; `OutsideLimits` outside of 10⁻¹⁸ to 10¹⁸.
    pub fn neighbours<F: Floating>(self, value: F) -> Result<(F, F), QuantityError> {
        const NAME: &str = "value of a part";
        let exact = Real::to_f64(positive(value, NAME)?);
        let slack = Real::to_f64(<F as Real>::EPSILON);
        if exact < 1e-18 * (1.0 - slack) || exact > 1e18 * (1.0 + slack) {
            return Err(outside!(NAME, "must be from 1e-18 to 1e18"));
        }
        // The logarithm may be wrong by one decade, so the search begins one early and ends one late.
        let decade = libm::floor(libm::log10(exact)) as i32;
        let mut below = 0.0;
        for decade in decade.saturating_sub(1)..=decade.saturating_add(1) {
            for hundredths in self.hundredths() {
                let here = times_power_of_ten(hundredths, decade);
                if libm::fabs(here - exact) <= slack * exact {
                    let here = <F as Real>::from_f64(here);
                    return Ok((here, here));
                }
                if here > exact {
                    return Ok((<F as Real>::from_f64(below), <F as Real>::from_f64(here)));
                }
                below = here;
            }
        }
        // Never reached: the last decade begins above the value.
        Err(outside!(NAME, "must be from 1e-18 to 1e18"))
    }

    /// The preferred value nearest to `value` by ratio; the lower one if two are equally near.
    ///
    /// ```
    /// use ohmwright::design::preferred::PreferredSeries;
    ///
    /// assert_eq!(PreferredSeries::E24.nearest(9.55f64)?, 10.0);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// As [`neighbours`](Self::neighbours).
    pub fn nearest<F: Floating>(self, value: F) -> Result<F, QuantityError> {
        let (below, above) = self.neighbours(value)?;
        Ok(if above / value < value / below {
            above
        } else {
            below
        })
    }
}

impl fmt::Display for PreferredSeries {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "E{}", self.per_decade())
    }
}

/// `hundredths · 10^(decade − 2)` with one rounding: powers of ten up to 10²² are exact.
fn times_power_of_ten(hundredths: u16, decade: i32) -> f64 {
    let power = |n: i32| (0..n).fold(1.0, |product, _| product * 10.0);
    let exponent = decade.saturating_sub(2);
    if exponent < 0 {
        f64::from(hundredths) / power(exponent.saturating_neg())
    } else {
        f64::from(hundredths) * power(exponent)
    }
}

/// The tolerance of a part as a fraction: 0.05 is ±5 %.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Tolerance<F: Floating>(F);

checked_form! {
    [F: Floating] Tolerance<F>, this: f64 = Quantity::to_f64(this.0), value => F::try_from_f64(value).and_then(Self::new)
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for Tolerance<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "within {}", Number(self.0));
    }
}

impl<F: Floating> Tolerance<F> {
    /// An exact part.
    pub const NONE: Self = Self(<F as Real>::ZERO);

    /// From a fraction.
    ///
    /// # Errors
    /// `NotFinite` or `Negative` for such a fraction; `OutsideLimits` from 1 (100 %) on, where a part could be absent.
    pub fn new(fraction: F) -> Result<Self, QuantityError> {
        const NAME: &str = "tolerance";
        if not_negative(fraction, NAME)? < <F as Real>::ONE {
            Ok(Self(fraction))
        } else {
            Err(outside!(NAME, "must be below 1, which is 100 %"))
        }
    }

    /// The fraction.
    pub fn fraction(self) -> F {
        self.0
    }
}

/// The most parts for a search of all corners: 2⁸ corners.
pub const MOST_CORNER_PARTS: usize = 8;

/// The worst corner of the tolerances.
#[derive(Clone, Debug, PartialEq)]
pub struct WorstCorner<F: Floating> {
    /// The largest value of the measure.
    pub worst: F,
    factors: Vec<F, MOST_CORNER_PARTS>,
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for WorstCorner<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "worst corner {}", Number(self.worst));
    }
}

impl<F: Floating> WorstCorner<F> {
    /// The factors of the parts at this corner: 1 minus or plus the tolerance.
    pub fn factors(&self) -> &[F] {
        &self.factors
    }
}

/// The largest value that `measure` takes when every part is at one end of its tolerance or the other.
///
/// `measure` gets one factor for each part, 1 minus or plus its tolerance. It is called 2ⁿ times for n parts with a
/// tolerance above 0 (once for n = 0). NaN counts as the worst value.
///
/// Values *between* the corners are not tried. For the SWR that is enough if the tolerances are small: along the value
/// of one part Γ moves on a circle, where |Γ| has one least and one greatest value. The corners are the worst case
/// unless that greatest value, the worst match this part can cause, lies within the tolerance.
///
/// ```
/// use ohmwright::design::preferred::{Tolerance, worst_corner};
///
/// let five = Tolerance::new(0.05f64)?;
/// // L·C of a resonance: the frequency is at most 1/0.95 off.
/// let corner = worst_corner(&[five, five], |f| 1.0 / (f[0] * f[1]).sqrt())?;
/// assert!((corner.worst - 1.0 / 0.95).abs() < 1e-12);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
///
/// # Errors
/// `OutsideLimits` for more than [`MOST_CORNER_PARTS`] parts.
pub fn worst_corner<F: Floating>(
    tolerances: &[Tolerance<F>],
    mut measure: impl FnMut(&[F]) -> F,
) -> Result<WorstCorner<F>, QuantityError> {
    const NAME: &str = "number of parts";
    let one = <F as Real>::ONE;
    let mut nominal: Vec<F, MOST_CORNER_PARTS> = Vec::new();
    for _ in tolerances {
        nominal
            .push(one)
            .map_err(|_| outside!(NAME, "must be at most 8"))?;
    }
    let mut found: Option<WorstCorner<F>> = None;
    for corner in 0..1u32 << (nominal.len() & 31) {
        let mut factors = nominal.clone();
        let mut again = false;
        for (place, (factor, tolerance)) in factors.iter_mut().zip(tolerances).enumerate() {
            let up = (corner >> (place & 31)) & 1 == 1;
            let off = tolerance.fraction();
            // A part without tolerance has one end only.
            again |= up && off == <F as Real>::ZERO;
            *factor = if up { one + off } else { one - off };
        }
        if again {
            continue;
        }
        let value = measure(&factors);
        let worse = match &found {
            None => true,
            // A NaN remains the worst.
            Some(held) => value > held.worst || value.partial_cmp(&value).is_none(),
        };
        if worse {
            found = Some(WorstCorner {
                worst: value,
                factors,
            });
        }
    }
    found.ok_or(outside!(NAME, "must be at most 8"))
}
