//! What to change, which way, and by how much.

use core::fmt;

use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Hertz, Ratio};

/// The part that can be adjusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum TuningElement {
    /// The inductance that resonates: a coil with taps or a movable core. The dip goes as 1/√L.
    Inductance,
    /// The capacitance that resonates: a trimmer. The dip goes as 1/√C.
    Capacitance,
    /// The turns of a coil of fixed length and diameter, L ∝ n². The dip goes as 1/n.
    Turns,
    /// The length of a wire antenna. The dip goes as 1/length (common practice, no source).
    Length,
}

impl fmt::Display for TuningElement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Inductance => "inductance",
            Self::Capacitance => "capacitance",
            Self::Turns => "turns",
            Self::Length => "length",
        })
    }
}

/// Which way to move the tuning element.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Direction {
    /// The dip is below the wanted frequency: less inductance, capacitance, turns or length.
    Less,
    /// The dip is at the wanted frequency.
    Keep,
    /// The dip is above the wanted frequency: more of it.
    More,
}

/// How to bring a dip to the wanted frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
#[must_use = "it says what to change"]
pub struct Retune<A: Arithmetic> {
    /// The part to adjust.
    pub element: TuningElement,
    /// Where the dip is.
    pub dip: Hertz,
    /// Where it is wanted.
    pub wanted: Hertz,
    /// The direction.
    pub direction: Direction,
    /// New value over old value: (f_dip/f_wanted)² for an inductance or a capacitance, otherwise f_dip/f_wanted.
    ///
    /// It holds for the *whole* resonating inductance, capacitance or length. A fixed part of it (strays, leads, the
    /// cable) reduces the effect: a second adjustment may be necessary.
    pub factor: Ratio<A>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Retune<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (element, direction) = (self.element, self.direction);
        defmt::write!(f, "{}: {}, to {} of what it is", element, direction, self.factor);
    }
}

impl<A: Arithmetic> Retune<A> {
    /// How to move `element` so that a dip at `dip` comes to `wanted`; `None` if either is 0 Hz.
    ///
    /// From Thomson's formula f = 1/(2π√(LC)). Error of the factor: 5e-7 relative in `f32`, 1e-15 in `f64`; in fixed
    /// point 4e-9 relative and one rounding of its word.
    ///
    /// ```
    /// use ohmwright::measure::{Direction, Retune, TuningElement};
    /// use ohmwright::quantity::Hertz;
    ///
    /// let (dip, wanted) = (Hertz::from_kilohertz(72_500), Hertz::from_megahertz(71));
    /// let trimmer = Retune::<f64>::new(TuningElement::Capacitance, dip, wanted).unwrap();
    /// assert_eq!(trimmer.direction, Direction::More);
    /// assert!((trimmer.factor - 1.043).abs() < 5e-4); // close it until C has gone up by 4.3 %
    /// ```
    pub fn new(element: TuningElement, dip: Hertz, wanted: Hertz) -> Option<Self> {
        if dip.get() == 0 || wanted.get() == 0 {
            return None;
        }
        let ratio = A::Working::from_u64(dip.get()) / A::Working::from_u64(wanted.get());
        let factor = match element {
            TuningElement::Inductance | TuningElement::Capacitance => ratio.square(),
            TuningElement::Turns | TuningElement::Length => ratio,
        };
        Some(Self {
            element,
            dip,
            wanted,
            direction: match dip.cmp(&wanted) {
                core::cmp::Ordering::Less => Direction::Less,
                core::cmp::Ordering::Equal => Direction::Keep,
                core::cmp::Ordering::Greater => Direction::More,
            },
            factor: Ratio::<A>::from_working(factor),
        })
    }
}
