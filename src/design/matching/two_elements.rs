//! Two reactances, one in series and one across: every such network for a pair of impedances.

use super::{MatchingError, load_with_resistance, push_series, push_shunt, source_with_resistance};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::design::ladder::Ladder;
use crate::quantity::{Complex, Hertz, Impedance, Ohms, QFactor, Reactor, Siemens};

/// Which of the two elements lies at the load.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Orientation {
    /// The shunt element across the load, the series element at the source.
    ShuntAtLoad,
    /// The series element at the load, the shunt element across the source.
    SeriesAtLoad,
}

/// Why a network does not exist.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum WhyNot {
    /// A shunt element at the load can only lower the resistance seen in series, and |Z|²/R of the load is already
    /// below the source's resistance.
    ShuntResistanceTooLow,
    /// A series element at the load can only lower the conductance seen across, and the load's resistance is already
    /// above |Z|²/R of the source.
    SeriesResistanceTooHigh,
    /// Both roots are equal: the network is the other one of this orientation.
    SameAsOther,
    /// At no point does the line turn the load to the conductance of the source.
    LineNeverMeetsSource,
    /// The load reflects nothing on the line, so all points of the line are alike.
    LoadMatchesLine,
}

impl core::fmt::Display for WhyNot {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(match self {
            Self::ShuntResistanceTooLow => {
                "|Z|^2/R of the load is below the source's resistance: no shunt element raises it"
            }
            Self::SeriesResistanceTooHigh => {
                "the load's resistance is above |Z|^2/R of the source: no series element lowers it"
            }
            Self::SameAsOther => "both solutions are one",
            Self::LineNeverMeetsSource => "the line nowhere turns the load to the conductance of the source",
            Self::LoadMatchesLine => "the load matches the line: no place on it differs from another",
        })
    }
}

/// One network of two elements.
///
/// An element of zero (no reactance in series, no susceptance across) is absent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoElement<A: Arithmetic> {
    orientation: Orientation,
    series: A::Working,
    shunt: A::Working,
    /// Reactance and resistance (or susceptance and conductance) between the elements.
    between: A::Working,
    real: A::Working,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for TwoElement<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "{}, X {} in series, B {} across, Q {}",
            self.orientation,
            self.series_reactance(),
            self.shunt_susceptance(),
            self.q(),
        );
    }
}

impl<A: Arithmetic> TwoElement<A> {
    /// Which element lies at the load.
    pub fn orientation(&self) -> Orientation {
        self.orientation
    }

    /// The reactance in series, ohms; positive is a coil. Saturates.
    pub fn series_reactance(&self) -> Ohms<A> {
        Ohms::<A>::from_working(self.series)
    }

    /// The susceptance across, siemens; positive is a capacitor. Saturates.
    pub fn shunt_susceptance(&self) -> Siemens<A> {
        Siemens::<A>::from_working(self.shunt)
    }

    /// The series part at a frequency: a coil or a capacitor, `None` where no part is needed or at 0 Hz.
    ///
    /// ```
    /// use ohmwright::design::matching::two_element;
    /// use ohmwright::double::{Impedance, Reactor};
    /// use ohmwright::quantity::Hertz;
    ///
    /// let found = two_element(Impedance::new(10.0, 0.0)?, Impedance::new(50.0, 0.0)?)?;
    /// let network = found.networks().next().expect("two");
    /// let at = Hertz::from_megahertz(71);
    /// // 20 Ω in series, 25 Ω across.
    /// assert!(matches!(network.series_part(at), Some(Reactor::Inductor(coil)) if (coil.get() - 44.83e-9).abs() < 1e-11));
    /// assert!(matches!(network.shunt_part(at), Some(Reactor::Capacitor(c)) if (c.get() - 89.67e-12).abs() < 1e-14));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn series_part(&self, frequency: Hertz) -> Option<Reactor<A>> {
        Reactor::with_working_reactance(self.series, frequency)
    }

    /// The shunt part at a frequency; `None` where no part is needed or at 0 Hz.
    pub fn shunt_part(&self, frequency: Hertz) -> Option<Reactor<A>> {
        if self.shunt.is_zero() {
            return None;
        }
        Reactor::with_working_reactance(-(A::Working::ONE / self.shunt), frequency)
    }

    /// The Q of the transformation: reactance over resistance of the node between the elements, √(Rhigh/Rlow − 1) for
    /// two resistances. A larger Q means a narrower band and more loss in the parts. Saturates.
    pub fn q(&self) -> QFactor<A> {
        QFactor::from_working(self.between.absolute() / self.real)
    }

    /// The network as a ladder at a frequency. In fixed point the parts are whole picohenries and femtofarads.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0; `PartBeyondWord` for a part beyond its word; `Ladder` if `N` is too small.
    pub fn ladder<const N: usize>(&self, frequency: Hertz) -> Result<Ladder<A, N>, MatchingError> {
        let mut ladder = Ladder::new();
        self.push_onto(&mut ladder, frequency)?;
        Ok(ladder)
    }

    pub(super) fn push_onto<const N: usize>(
        &self,
        ladder: &mut Ladder<A, N>,
        frequency: Hertz,
    ) -> Result<(), MatchingError> {
        match self.orientation {
            Orientation::ShuntAtLoad => {
                push_shunt(ladder, self.shunt, frequency)?;
                push_series(ladder, self.series, frequency)
            }
            Orientation::SeriesAtLoad => {
                push_series(ladder, self.series, frequency)?;
                push_shunt(ladder, self.shunt, frequency)
            }
        }
    }
}

/// Every network of two reactances between a load and a source that shows the source the conjugate of its own impedance
/// (for a real source: its own resistance).
///
/// Up to four, in this order: shunt element at the load, root + and −; series element at the load, root + and −; for
/// the others the reason. A network in which an element vanishes may appear in both orientations.
///
/// With Y = G + jB of the load and Zt = Rt + jXt, the conjugate of the source: a shunt element brings B to ±√(G/Rt −
/// G²), which makes the resistance Rt, and the series element cancels the remaining reactance. The other orientation is
/// the dual (D. M. Pozar, "Microwave Engineering", section 5.1). In fixed point reactance and susceptance are right to
/// 5e-8 of the largest reactance (susceptance) in their sum, the load's included.
///
/// ```
/// use ohmwright::design::matching::two_element;
/// use ohmwright::quantity::{Hertz, Impedance};
///
/// let source = Impedance::<f64>::new(50.0, 0.0)?;
/// let found = two_element(Impedance::new(40.0, 100.0)?, source)?;
/// assert_eq!(found.networks().count(), 4);
/// let found = two_element(Impedance::new(10.0, 10.0)?, source)?;
/// let first = found.networks().next().expect("two");
/// assert!((first.series_reactance() - 10.0).abs() < 1e-12 && (first.shunt_susceptance() - 0.04).abs() < 1e-15);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// `LoadWithoutResistance` or `SourceWithoutResistance`, also for an open or a short.
pub fn two_element<A: Arithmetic>(
    load: Impedance<A>,
    source: Impedance<A>,
) -> Result<TwoElementSet<A>, MatchingError> {
    Ok(between(
        load_with_resistance(load)?,
        source_with_resistance(source)?.conjugate(),
    ))
}

/// From a load to the impedance that the source must see, both with positive resistance.
pub(super) fn between<A: Arithmetic>(
    load: Complex<A::Working>,
    target: Complex<A::Working>,
) -> TwoElementSet<A> {
    let [first, second] = solve(Orientation::ShuntAtLoad, inverse(load), target);
    let [third, fourth] = solve(Orientation::SeriesAtLoad, load, inverse(target));
    TwoElementSet([first, second, third, fourth])
}

/// 1/z of a number with a positive real part.
pub(super) fn inverse<W: Real>(z: Complex<W>) -> Complex<W> {
    Complex::ONE / z
}

/// Adds the first element to `load` (an admittance for a shunt element, an impedance for a series one) and the second
/// to the inverse, so that `target` results.
fn solve<A: Arithmetic>(
    orientation: Orientation,
    load: Complex<A::Working>,
    target: Complex<A::Working>,
) -> [Result<TwoElement<A>, WhyNot>; 2] {
    let zero = A::Working::ZERO;
    // Re 1/(G + jb) = Rt: b² = G·(1/Rt − G), without a difference of squares.
    let above = A::Working::ONE / target.re - load.re;
    let rounding = A::Working::EPSILON * load.re;
    if above < -rounding {
        let why = match orientation {
            Orientation::ShuntAtLoad => WhyNot::ShuntResistanceTooLow,
            Orientation::SeriesAtLoad => WhyNot::SeriesResistanceTooHigh,
        };
        return [Err(why); 2];
    }
    let single = above <= rounding;
    let size = if single {
        zero
    } else {
        (load.re * above).square_root()
    };
    let across = if size.is_zero() {
        zero
    } else {
        size * (target.re / load.re)
    };
    // 1/(G + jb) has the imaginary part −b·Rt/G.
    let network = |between: A::Working, across: A::Working| {
        let first = without_rounding(between, load.im);
        let second = without_rounding(target.im, -across);
        let (series, shunt) = match orientation {
            Orientation::ShuntAtLoad => (second, first),
            Orientation::SeriesAtLoad => (first, second),
        };
        TwoElement {
            orientation,
            series,
            shunt,
            between,
            real: load.re,
        }
    };
    [
        Ok(network(size, across)),
        if single {
            Err(WhyNot::SameAsOther)
        } else {
            Ok(network(-size, -across))
        },
    ]
}

/// `one − other`; zero where the two are so nearly equal that the difference is only rounding.
pub(super) fn without_rounding<W: Real>(one: W, other: W) -> W {
    let difference = one - other;
    // Where they are nearly equal, either stands for both.
    if one.is_zero()
        || other.is_zero()
        || difference.absolute() > one.absolute() * W::EPSILON * W::from_i32(8)
    {
        difference
    } else {
        W::ZERO
    }
}

/// The networks of two elements for a load and a source, and why others do not exist.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct TwoElementSet<A: Arithmetic>([Result<TwoElement<A>, WhyNot>; 4]);

impl<A: Arithmetic> TwoElementSet<A> {
    /// Shunt element at the load, root + and −; then series element at the load, root + and −.
    pub fn all(&self) -> &[Result<TwoElement<A>, WhyNot>; 4] {
        &self.0
    }

    /// The networks that exist.
    pub fn networks(&self) -> impl Iterator<Item = TwoElement<A>> {
        self.0.iter().filter_map(|found| (*found).ok())
    }
}
