//! A chain of elements between a source and a load: its input impedance, and the stress of each element.
//!
//! Elements are numbered from the load to the source. The chain is walked as a pair of voltage and current from the
//! load towards the source: a series element adds to the voltage, a shunt element to the current, a transformer scales
//! both, a line does both. The walk needs no division. Opens, shorts and resonances are therefore ordinary numbers, and
//! the fixed-point families, whose working number has an exponent, cannot leave their range.

use heapless::Vec;

use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::design::line::Line;
use crate::design::transformer::Turns;
use crate::quantity::{Complex, Hertz, Impedance, Reference, Reflection, positive_frequency};

mod error;
mod node;
mod part;
mod stress;
mod stub_end;

pub use error::LadderError;
pub use part::{Part, PartKind, PartLoss};
pub use stress::{Stress, Walk};
pub use stub_end::StubEnd;

use crate::quantity::plane::Plane;
use part::At;

/// One element of a ladder.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub enum Element<A: Arithmetic> {
    /// In series between the source and the load.
    Series(Part<A>),
    /// Across it.
    Shunt(Part<A>),
    /// An ideal transformer, the primary towards the source.
    Transformer(Turns),
    /// A piece of line.
    Line(Line<A>),
}

/// What an element makes of the node behind it.
enum Passed<W> {
    Through(Plane<W>),
    /// An open in the way, or a short across it: nothing reaches what lies behind.
    Cut(Plane<W>),
}

impl<A: Arithmetic> Element<A> {
    /// The part, where it is one in series or across.
    pub fn part(&self) -> Option<Part<A>> {
        match self {
            Self::Series(part) | Self::Shunt(part) => Some(*part),
            _ => None,
        }
    }

    /// Another part at the same index; a transformer and a line do not change.
    #[must_use]
    pub fn with_part(self, part: Part<A>) -> Self {
        match self {
            Self::Series(_) => Self::Series(part),
            Self::Shunt(_) => Self::Shunt(part),
            other => other,
        }
    }

    fn pass(&self, at: &At<A::Working>, before: Plane<A::Working>) -> Passed<A::Working> {
        match self {
            Self::Series(part) => match part.as_impedance(at) {
                Some(z) => Passed::Through(Plane::new(
                    before.voltage + times(z, before.current),
                    before.current,
                )),
                // Only the ratio counts, and what is open stays open.
                None => Passed::Cut(Plane::new(Complex::ONE, Complex::ZERO)),
            },
            Self::Shunt(part) => match part.as_admittance(at) {
                Some(y) => Passed::Through(Plane::new(
                    before.voltage,
                    before.current + times(y, before.voltage),
                )),
                None => Passed::Cut(Plane::new(Complex::ZERO, Complex::ONE)),
            },
            Self::Transformer(turns) => {
                let primary = A::Working::from_i32(turns.primary().into());
                let secondary = A::Working::from_i32(turns.secondary().into());
                Passed::Through(Plane::new(
                    before.voltage.scale(primary / secondary),
                    before.current.scale(secondary / primary),
                ))
            }
            Self::Line(line) => Passed::Through(
                before.through(line.impedance().to_working(), &line.propagation(at.frequency)),
            ),
        }
    }

    /// The same element met from its other end.
    fn turned(self) -> Self {
        match self {
            Self::Transformer(turns) => {
                Self::Transformer(Turns::new(turns.secondary(), turns.primary()).unwrap_or(turns))
            }
            other => other,
        }
    }
}

/// The product, for less where a part has no loss.
fn times<W: Real>(part: Complex<W>, node: Complex<W>) -> Complex<W> {
    if part.re.is_zero() {
        Complex::new(-(part.im * node.im), part.im * node.re)
    } else {
        part * node
    }
}

/// A chain of at most `N` elements, from the load to the source.
///
/// ```
/// use ohmwright::design::ladder::{Element, Ladder, Part};
/// use ohmwright::quantity::{Capacitance, Hertz, Impedance, Inductance, Reference};
///
/// // 10 + j10 ohms at 500 MHz: 3.18 nH in series, then 12.73 pF across, make 50 ohms.
/// let mut ladder = Ladder::<f64, 2>::new();
/// ladder.push(Element::Series(Part::inductor(Inductance::new(3.183e-9)?)?))?;
/// ladder.push(Element::Shunt(Part::capacitor(Capacitance::new(12.73e-12)?)?))?;
/// let load = Impedance::new(10.0, 10.0)?;
/// let gamma = ladder.reflection(load, Hertz::from_megahertz(500), Reference::fifty())?;
/// assert!(gamma.swr() < 1.001);
/// // At 100 W: 4.5 A peak through the coil.
/// let walk = ladder.walk(load, Hertz::from_megahertz(500))?;
/// let coil = walk.stress(0, 100.0)?.expect("the first element");
/// assert!((coil.amperes_peak - 4.47).abs() < 0.01);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "", transparent)
)]
pub struct Ladder<A: Arithmetic, const N: usize> {
    elements: Vec<Element<A>, N>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const N: usize> defmt::Format for Ladder<A, N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "ladder of {=usize}", self.elements.len());
        for element in &self.elements {
            defmt::write!(f, "; {}", element);
        }
    }
}

impl<A: Arithmetic, const N: usize> Ladder<A, N> {
    /// No elements: the source sees the load.
    pub const fn new() -> Self {
        Self { elements: Vec::new() }
    }

    /// Adds an element at the source's end.
    ///
    /// # Errors
    /// [`LadderError::Full`]; the ladder is then as before.
    pub fn push(&mut self, element: Element<A>) -> Result<(), LadderError> {
        self.elements.push(element).map_err(|_| LadderError::Full(N))
    }

    /// The elements, from the load to the source.
    pub fn elements(&self) -> &[Element<A>] {
        &self.elements
    }

    /// The elements, to be changed individually.
    pub fn elements_mut(&mut self) -> &mut [Element<A>] {
        &mut self.elements
    }

    /// The same network with source and load changed round.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let mut other = Self::new();
        for element in self.elements.iter().rev() {
            // The capacity is the same.
            let _ = other.elements.push(element.turned());
        }
        other
    }

    /// The impedance that the source sees. Saturates as [`Impedance`] does.
    ///
    /// Error in fixed point: that of the word, and 2e-8 of the largest impedance on the way times its cancellation.
    ///
    /// # Errors
    /// `Quantity`: `NotPositive` for a frequency of 0; `OutOfRange` beyond the range of a floating family on the way.
    pub fn input_impedance(&self, load: Impedance<A>, frequency: Hertz) -> Result<Impedance<A>, LadderError> {
        let node = self.node(load, frequency)?;
        Ok(match node.voltage.checked_div(node.current) {
            None => Impedance::OPEN,
            Some(z) => Impedance::from_complex(z),
        })
    }

    /// Γ that the source sees, (V − Z0·I)/(V + Z0·I), without rounding the impedance to words.
    ///
    /// # Errors
    /// As [`input_impedance`](Self::input_impedance).
    pub fn reflection(
        &self,
        load: Impedance<A>,
        frequency: Hertz,
        source: Reference<A>,
    ) -> Result<Reflection<A>, LadderError> {
        Ok(reflection_of(self.node(load, frequency)?, source))
    }

    /// Walks the chain and keeps what each element takes and bears; see [`Walk`].
    ///
    /// # Errors
    /// As [`input_impedance`](Self::input_impedance).
    pub fn walk(&self, load: Impedance<A>, frequency: Hertz) -> Result<Walk<A, N>, LadderError> {
        let mut walk = Walk::start(load, start(load, frequency)?);
        let at = At::new(frequency);
        for element in &self.elements {
            walk.take(element, &at);
        }
        walk.finish()
    }

    fn node(&self, load: Impedance<A>, frequency: Hertz) -> Result<Plane<A::Working>, LadderError> {
        let mut node = start(load, frequency)?;
        let at = At::new(frequency);
        for element in &self.elements {
            let (Passed::Through(next) | Passed::Cut(next)) = element.pass(&at, node);
            node = next;
        }
        finite(node)
    }
}

impl<A: Arithmetic, const N: usize> Default for Ladder<A, N> {
    /// [`new`](Self::new).
    fn default() -> Self {
        Self::new()
    }
}

fn start<A: Arithmetic>(load: Impedance<A>, frequency: Hertz) -> Result<Plane<A::Working>, LadderError> {
    positive_frequency(frequency)?;
    Ok(if load.is_open() {
        Plane::new(Complex::ONE, Complex::ZERO)
    } else {
        Plane::new(load.complex(), Complex::ONE)
    })
}

fn finite<W: Real>(node: Plane<W>) -> Result<Plane<W>, LadderError> {
    if node.is_finite() {
        Ok(node)
    } else {
        Err(QuantityError::OutOfRange("impedance on the way").into())
    }
}

fn reflection_of<A: Arithmetic>(node: Plane<A::Working>, source: Reference<A>) -> Reflection<A> {
    if node.current.is_zero() {
        return Reflection::OPEN;
    }
    let drop = node.current.scale(source.working());
    Reflection::from_quotient(node.voltage - drop, node.voltage + drop)
}
