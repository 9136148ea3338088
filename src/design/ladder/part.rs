//! One-ports of a ladder: resistors, coils and capacitors with their loss, and stubs.

use super::stub_end::StubEnd;
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::design::line::Line;
use crate::quantity::plane::Plane;
use crate::quantity::{
    Capacitance, Complex, Hertz, Impedance, Inductance, Metres, Ohms, QFactor, Reactor, not_negative,
    positive,
};

/// The loss of a coil or a capacitor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub enum PartLoss<A: Arithmetic> {
    /// No loss.
    None,
    /// A series resistance, ohms, the same at every frequency.
    SeriesResistance(Ohms<A>),
    /// The unloaded Q, the same at every frequency: a series resistance of |X|/Q.
    Q(QFactor<A>),
}

/// The kind of a part.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub enum PartKind<A: Arithmetic> {
    /// A resistance, ohms.
    Resistor(Ohms<A>),
    /// A coil or a capacitor.
    Reactor(Reactor<A>, PartLoss<A>),
    /// A piece of line, open or shorted at its far end.
    Stub(Line<A>, StubEnd),
}

/// A one-port that can be put in series or across: a resistor, a coil, a capacitor or a stub.
///
/// Its value is greater than zero; the constructors check it.
///
/// ```
/// use ohmwright::design::ladder::Part;
/// use ohmwright::quantity::{Hertz, Inductance};
///
/// let coil = Part::inductor(Inductance::<f64>::from_picohenries(330_000))?.with_q(150.0)?;
/// let z = coil.impedance(Hertz::from_megahertz(71));
/// assert!((z.reactance() - 147.2).abs() < 0.05 && (z.resistance() - 0.981).abs() < 0.001);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part<A: Arithmetic>(PartKind<A>);

checked_form! {
    [A: Arithmetic] Part<A>, this: PartKind<A> = this.0, kind => match kind {
        PartKind::Resistor(resistance) => Self::resistor(resistance),
        PartKind::Reactor(reactor, PartLoss::None) => Self::reactor(reactor),
        PartKind::Reactor(reactor, PartLoss::SeriesResistance(resistance)) => {
            Self::reactor(reactor).and_then(|part| part.with_series_resistance(resistance))
        }
        PartKind::Reactor(reactor, PartLoss::Q(q)) => Self::reactor(reactor).and_then(|part| part.with_q(q)),
        PartKind::Stub(line, end) => Self::stub(line, end),
    }
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Part<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{}", self.0);
    }
}

impl<A: Arithmetic> Part<A> {
    /// A resistor.
    ///
    /// # Errors
    /// `NotFinite` for NaN and infinity, `NotPositive` for zero and below.
    pub fn resistor(resistance: impl Into<Ohms<A>>) -> Result<Self, QuantityError> {
        let resistance = resistance.into();
        positive(resistance, "resistance of a part").map(|resistance| Self(PartKind::Resistor(resistance)))
    }

    /// A coil without loss.
    ///
    /// # Errors
    /// `NotPositive` for an inductance of zero.
    pub fn inductor(inductance: Inductance<A>) -> Result<Self, QuantityError> {
        if inductance.get() > A::InductanceWord::ZERO {
            Ok(Self(PartKind::Reactor(
                Reactor::Inductor(inductance),
                PartLoss::None,
            )))
        } else {
            Err(QuantityError::NotPositive("inductance"))
        }
    }

    /// A capacitor without loss.
    ///
    /// # Errors
    /// `NotPositive` for a capacitance of zero.
    pub fn capacitor(capacitance: Capacitance<A>) -> Result<Self, QuantityError> {
        if capacitance.get() > A::CapacitanceWord::ZERO {
            Ok(Self(PartKind::Reactor(
                Reactor::Capacitor(capacitance),
                PartLoss::None,
            )))
        } else {
            Err(QuantityError::NotPositive("capacitance"))
        }
    }

    /// A coil or a capacitor without loss.
    ///
    /// # Errors
    /// `NotPositive` for a value of zero.
    pub fn reactor(reactor: Reactor<A>) -> Result<Self, QuantityError> {
        match reactor {
            Reactor::Inductor(inductance) => Self::inductor(inductance),
            Reactor::Capacitor(capacitance) => Self::capacitor(capacitance),
        }
    }

    /// A stub.
    ///
    /// # Errors
    /// `NotPositive` for a line without length.
    pub fn stub(line: Line<A>, end: StubEnd) -> Result<Self, QuantityError> {
        if line.length() > Metres::<A>::ZERO {
            Ok(Self(PartKind::Stub(line, end)))
        } else {
            Err(QuantityError::NotPositive("line length"))
        }
    }

    /// The same coil or capacitor with this series resistance instead of an earlier loss. A resistor increases by it.
    ///
    /// # Errors
    /// `NotFinite` or `Negative` for such a resistance, `OutsideLimits` for a stub.
    pub fn with_series_resistance(self, resistance: impl Into<Ohms<A>>) -> Result<Self, QuantityError> {
        let resistance = resistance.into();
        const NAME: &str = "series resistance";
        not_negative(resistance, NAME)?;
        match self.0 {
            PartKind::Reactor(reactor, _) => Ok(Self(PartKind::Reactor(
                reactor,
                PartLoss::SeriesResistance(resistance),
            ))),
            PartKind::Resistor(own) => Self::resistor(Ohms::<A>::from_working(
                own.to_working() + resistance.to_working(),
            )),
            PartKind::Stub(..) => Err(outside!(
                NAME,
                "is for coils, capacitors and resistors, not for a stub"
            )),
        }
    }

    /// The same coil or capacitor with this unloaded Q; replaces an earlier loss.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a Q, `OutsideLimits` for a part that is no coil and no capacitor.
    pub fn with_q(self, q: impl Into<QFactor<A>>) -> Result<Self, QuantityError> {
        let q = q.into();
        const NAME: &str = "Q of a part";
        positive(q, NAME)?;
        match self.0 {
            PartKind::Reactor(reactor, _) => Ok(Self(PartKind::Reactor(reactor, PartLoss::Q(q)))),
            _ => Err(outside!(NAME, "is for coils and capacitors alone")),
        }
    }

    /// The same part with its inductance or capacitance times a factor above 0; a resistor and a stub do not change.
    pub(crate) fn scaled(self, factor: A::Working) -> Self {
        match self.0 {
            PartKind::Reactor(Reactor::Inductor(inductance), loss) => Self(PartKind::Reactor(
                Reactor::Inductor(Inductance::from_base(inductance.to_base() * factor)),
                loss,
            )),
            PartKind::Reactor(Reactor::Capacitor(capacitance), loss) => Self(PartKind::Reactor(
                Reactor::Capacitor(Capacitance::from_base(capacitance.to_base() * factor)),
                loss,
            )),
            _ => self,
        }
    }

    /// The kind of the part.
    pub fn kind(self) -> PartKind<A> {
        self.0
    }

    /// The impedance at a frequency. At 0 Hz a coil is its series resistance, a capacitor an open. Saturates.
    pub fn impedance(self, frequency: Hertz) -> Impedance<A> {
        match self.as_impedance(&At::new(frequency)) {
            None => Impedance::OPEN,
            Some(z) => Impedance::from_complex(z),
        }
    }

    /// The reactance (0 for a resistor) and the resistance of a part that is no stub; `None` for an open.
    fn series_form(self, omega: A::Working) -> Option<Complex<A::Working>> {
        match self.0 {
            PartKind::Resistor(resistance) => Some(Complex::real(resistance.to_working())),
            PartKind::Reactor(reactor, loss) => {
                let x = match reactor {
                    Reactor::Inductor(inductance) => omega * inductance.to_base(),
                    Reactor::Capacitor(capacitance) => {
                        let susceptance = omega * capacitance.to_base();
                        if susceptance.is_zero() {
                            return None;
                        }
                        -(A::Working::ONE / susceptance)
                    }
                };
                let r = match loss {
                    PartLoss::None => A::Working::ZERO,
                    PartLoss::SeriesResistance(resistance) => resistance.to_working(),
                    PartLoss::Q(q) => x.absolute() / q.to_working(),
                };
                Some(Complex::new(r, x))
            }
            PartKind::Stub(..) => None,
        }
    }

    /// A voltage across the part and the current through it.
    pub(super) fn pair(self, at: &At<A::Working>) -> (Complex<A::Working>, Complex<A::Working>) {
        if let PartKind::Stub(line, end) = self.0 {
            let way = line.propagation(at.frequency);
            let node = Plane::end_of(end).through(line.impedance().to_working(), &way);
            return (node.voltage, node.current);
        }
        match self.series_form(at.omega) {
            Some(z) => (z, Complex::ONE),
            None => (Complex::ONE, Complex::ZERO),
        }
    }

    /// The impedance; `None` for an open.
    pub(super) fn as_impedance(self, at: &At<A::Working>) -> Option<Complex<A::Working>> {
        match self.0 {
            PartKind::Stub(..) => {
                let (voltage, current) = self.pair(at);
                voltage.checked_div(current)
            }
            _ => self.series_form(at.omega),
        }
    }

    /// The admittance; `None` for a short. A part without loss needs one division at most.
    pub(super) fn as_admittance(self, at: &At<A::Working>) -> Option<Complex<A::Working>> {
        match self.0 {
            PartKind::Reactor(Reactor::Capacitor(capacitance), PartLoss::None) => {
                Some(Complex::new(A::Working::ZERO, at.omega * capacitance.to_base()))
            }
            PartKind::Reactor(Reactor::Inductor(inductance), PartLoss::None) => {
                let x = at.omega * inductance.to_base();
                let b = -(A::Working::ONE / x);
                // A coil whose reactance underflows is a short.
                (!x.is_zero() && b.is_finite()).then(|| Complex::new(A::Working::ZERO, b))
            }
            _ => {
                let (voltage, current) = self.pair(at);
                current.checked_div(voltage)
            }
        }
    }
}

/// The frequency at which a ladder is walked.
#[derive(Clone, Copy, Debug)]
pub(super) struct At<W> {
    pub frequency: Hertz,
    /// 2πf.
    pub omega: W,
}

impl<W: Real> At<W> {
    pub fn new(frequency: Hertz) -> Self {
        Self {
            frequency,
            omega: frequency.angular(),
        }
    }
}
