//! Three reactances with a Q of your choice: pi and T.

use super::two_elements::{inverse, without_rounding};
use super::{MatchingError, load_with_resistance, push_series, push_shunt, source_with_resistance};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::design::ladder::Ladder;
use crate::quantity::{Complex, Hertz, Impedance, Ohms, QFactor, finite};

/// The two networks of three elements.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum ThreeElementShape {
    /// Across the load, in series, across the source.
    Pi,
    /// In series at the load, across, in series at the source.
    Tee,
}

/// One network of three elements.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreeElement<A: Arithmetic> {
    shape: ThreeElementShape,
    at_load: A::Working,
    middle: A::Working,
    at_source: A::Working,
    virtual_resistance: A::Working,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for ThreeElement<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let [load, middle, source] = self.reactances();
        defmt::write!(
            f,
            "{}, X {} at the load, {}, {} at the source",
            self.shape,
            load,
            middle,
            source
        );
    }
}

impl<A: Arithmetic> ThreeElement<A> {
    /// Pi or T.
    pub fn shape(&self) -> ThreeElementShape {
        self.shape
    }

    /// The reactances of the three elements, from the load to the source, ohms; positive is a coil. An absent element
    /// is 0 in series, and an open (the largest value of the word, its number type) across. Saturates.
    pub fn reactances(&self) -> [Ohms<A>; 3] {
        let across = |susceptance: A::Working| {
            Ohms::<A>::from_working(if susceptance.is_zero() {
                A::Working::LARGEST
            } else {
                -(A::Working::ONE / susceptance)
            })
        };
        let in_series = Ohms::<A>::from_working;
        match self.shape {
            ThreeElementShape::Pi => [
                across(self.at_load),
                in_series(self.middle),
                across(self.at_source),
            ],
            ThreeElementShape::Tee => [
                in_series(self.at_load),
                across(self.middle),
                in_series(self.at_source),
            ],
        }
    }

    /// The resistance in the middle, ohms, to which each half transforms its end: below both of a pi, above both of a T.
    pub fn virtual_resistance(&self) -> Ohms<A> {
        Ohms::<A>::from_working(self.virtual_resistance)
    }

    /// The network as a ladder at a frequency.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0; `PartBeyondWord` for such a part; `Ladder` if `N` is too small.
    pub fn ladder<const N: usize>(&self, frequency: Hertz) -> Result<Ladder<A, N>, MatchingError> {
        let mut ladder = Ladder::new();
        match self.shape {
            ThreeElementShape::Pi => {
                push_shunt(&mut ladder, self.at_load, frequency)?;
                push_series(&mut ladder, self.middle, frequency)?;
                push_shunt(&mut ladder, self.at_source, frequency)?;
            }
            ThreeElementShape::Tee => {
                push_series(&mut ladder, self.at_load, frequency)?;
                push_shunt(&mut ladder, self.middle, frequency)?;
                push_series(&mut ladder, self.at_source, frequency)?;
            }
        }
        Ok(ladder)
    }
}

/// Every pi or every T of a wanted Q between a load and a source: four, by the signs of the halves at load and source
/// (++, +−, −+, −−). A plus is a capacitor across or a coil in series: of a pi the first is the low-pass and the last
/// the high-pass. The reactances of load and source are absorbed by the elements at the ends.
///
/// The network is two of two elements, back to back, with a virtual resistance between them: R = Rhigh/(Q² + 1) in a pi
/// and Rlow·(Q² + 1) in a T, with Q that of the half with the larger ratio (C. Bowick, "RF Circuit Design", chapter 4).
/// In fixed point that resistance is right to 2e-8 relative and half a step of its word.
///
/// ```
/// use ohmwright::design::matching::{ThreeElementShape, three_element};
/// use ohmwright::quantity::{Impedance, QFactor};
///
/// let (load, source) = (Impedance::<f64>::new(50.0, 0.0)?, Impedance::new(10.0, 0.0)?);
/// let found = three_element(ThreeElementShape::Tee, load, source, QFactor::new(10.0))?;
/// assert!((found[0].virtual_resistance() - 1010.0).abs() < 1e-9);
/// assert!((found[0].reactances()[2] - 100.0).abs() < 1e-9); // at the source
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// `LoadWithoutResistance` or `SourceWithoutResistance`, also for an open or a short; `Quantity` for a Q that is not
/// finite; [`MatchingError::QTooLow`] for a Q below [`least_q`].
pub fn three_element<A: Arithmetic>(
    shape: ThreeElementShape,
    load: Impedance<A>,
    source: Impedance<A>,
    q: QFactor<A>,
) -> Result<[ThreeElement<A>; 4], MatchingError> {
    let q = finite(q, "Q")?.to_working();
    let one = A::Working::ONE;
    let (load, target) = (
        load_with_resistance(load)?,
        source_with_resistance(source)?.conjugate(),
    );
    // A T is a pi in its dual, where impedances are admittances.
    let (load, target) = match shape {
        ThreeElementShape::Pi => (inverse(load), inverse(target)),
        ThreeElementShape::Tee => (load, target),
    };
    // Each end G + jB becomes G ± jQG by one element; in the middle is the inverse, with real part V.
    let virtual_part = one / (load.re.smaller(target.re) * (one + q * q));
    let half = |end: A::Working| {
        // Q of the half: Q² + 1 = 1/(G·V).
        let square = one / (end * virtual_part) - one;
        if square < -(A::Working::EPSILON * A::Working::from_i32(8)) {
            None
        } else {
            Some(square.square_root() * end)
        }
    };
    let (Some(at_load), Some(at_source)) = (half(load.re), half(target.re)) else {
        // Rounded so that the least Q, as reported, is accepted.
        let thousandths = |q: A::Working, rounding: A::Working| {
            let rounded = (q * A::Working::from_i32(1000) + rounding).to_i64();
            u32::try_from(rounded.max(0)).unwrap_or(u32::MAX)
        };
        let square = load.re.larger(target.re) / load.re.smaller(target.re) - one;
        return Err(MatchingError::QTooLow {
            asked_thousandths: thousandths(q.absolute(), -A::Working::HALF),
            least_thousandths: thousandths(square.square_root(), A::Working::HALF),
        });
    };
    let build = |load_sign: A::Working, source_sign: A::Working| {
        let (b_load, b_source) = (at_load * load_sign, at_source * source_sign);
        // Im 1/(G + jb) = −b·V/G.
        let from_load = b_load * (virtual_part / load.re);
        let from_source = b_source * (virtual_part / target.re);
        ThreeElement {
            shape,
            at_load: without_rounding(b_load, load.im),
            middle: without_rounding(from_load, -from_source),
            // The same towards the source, from the other side.
            at_source: without_rounding(target.im, -b_source),
            virtual_resistance: match shape {
                ThreeElementShape::Pi => virtual_part,
                ThreeElementShape::Tee => one / virtual_part,
            },
        }
    };
    Ok([
        build(one, one),
        build(one, -one),
        build(-one, one),
        build(-one, -one),
    ])
}

/// The least Q of a pi or a T between two impedances: that of the two-element network, where one element vanishes.
///
/// # Errors
/// `LoadWithoutResistance` or `SourceWithoutResistance`, also for an open or a short.
pub fn least_q<A: Arithmetic>(
    shape: ThreeElementShape,
    load: Impedance<A>,
    source: Impedance<A>,
) -> Result<QFactor<A>, MatchingError> {
    let real = |z: Complex<A::Working>| match shape {
        ThreeElementShape::Pi => inverse(z).re,
        ThreeElementShape::Tee => z.re,
    };
    let (one, other) = (
        real(load_with_resistance(load)?),
        real(source_with_resistance(source)?),
    );
    let ratio = one.larger(other) / one.smaller(other);
    Ok(QFactor::from_working((ratio - A::Working::ONE).square_root()))
}
