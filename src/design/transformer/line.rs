//! Transformers made of transmission lines.

use super::TransformerError;
use super::band::useful_band;
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::design::load::Load;
use crate::quantity::plane::{Port, across, port, reflected, shown};
use crate::quantity::positive_part;
use crate::quantity::{
    Band, Complex, Hertz, Impedance, ImpedanceRatio, Inductance, LIGHT, Metres, Ohms, Reference, Reflection,
    Swr, VelocityFactor, positive, positive_frequency,
};

/// The usual least choking impedance against currents on the outside, as a multiple of the system's impedance: 10; more
/// is better (common practice, no source; a rule, not a limit).
pub const USUAL_CHOKING_MULTIPLE: u8 = 10;

/// The least impedance in ohms for the outside of a choke: [`USUAL_CHOKING_MULTIPLE`] times the reference. Saturates.
pub fn minimum_choking_impedance<A: Arithmetic>(reference: Reference<A>) -> Ohms<A> {
    Ohms::<A>::from_working(reference.working() * A::Working::from_i32(i32::from(USUAL_CHOKING_MULTIPLE)))
}

/// How the lines are connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum LineKind {
    /// This number of equal lines, in parallel at the low end and in series at the high end: 1 : 1 with one line, 1 : 4
    /// with two, 1 : 9 with three (G. Guanella, "New Method of Impedance Matching in Radio-Frequency Circuits", Brown
    /// Boveri Review, September 1944; from memory).
    Guanella(u8),
    /// One line whose far end is stacked on its near end: 1 : 4 (C. L. Ruthroff, "Some Broad-Band Transformers",
    /// Proceedings of the IRE 47(8), 1959; from memory). It adds a direct and a delayed voltage and fails at half a wave.
    Ruthroff,
}

/// The side from which a line transformer is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum ImpedanceSide {
    /// The source is at the low impedance, the load at the high one.
    Low,
    /// The source is at the high impedance, the load at the low one.
    High,
}

/// A line transformer: its connection, and the impedance, length and velocity factor of each line.
///
/// The lines are modelled without loss and, except for [`with_choking`](Self::with_choking), with perfect choking: no
/// current flows on their outside. Error: a few roundings of the working number (2e-8 of |Z| in fixed point), one of
/// the result, and the rounding of length and velocity factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineTransformer<A: Arithmetic> {
    kind: LineKind,
    impedance: A::Working,
    /// The time a wave takes through a line, seconds.
    delay: A::Working,
    /// Henries across the low side; `None` for perfect choking.
    choking: Option<A::Working>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for LineTransformer<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{}, 1 to {}", self.kind, self.impedance_ratio());
    }
}

impl<A: Arithmetic> LineTransformer<A> {
    /// From the lines' impedance in ohms, their length in metres, and their velocity factor in (0, 1].
    ///
    /// ```
    /// use ohmwright::design::transformer::{ImpedanceSide, LineKind, LineTransformer};
    /// use ohmwright::quantity::{Hertz, Impedance, Reference};
    ///
    /// let balun = LineTransformer::<f64>::new(LineKind::Ruthroff, 100.0, 0.5, 0.7)?;
    /// let load = Impedance::new(200.0, 0.0)?;
    /// let at = |mhz| balun.reflection(load, Hertz::from_megahertz(mhz), ImpedanceSide::Low, Reference::fifty());
    /// assert!(at(10)?.swr() < 1.01); // a fortieth of a wave
    /// assert!(at(100)?.swr() > 1.8); // nearly a quarter of a wave
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// `Quantity`: `NotPositive` for no lines; `NotFinite` or `NotPositive` for an impedance, a length or a velocity
    /// factor; `OutsideLimits` for a velocity factor above 1 or a length above 10⁹ m.
    pub fn new(
        kind: LineKind,
        impedance: impl Into<Ohms<A>>,
        length: impl Into<Metres<A>>,
        velocity_factor: impl Into<VelocityFactor<A>>,
    ) -> Result<Self, TransformerError> {
        let (impedance, length, velocity_factor) = (impedance.into(), length.into(), velocity_factor.into());
        if kind == LineKind::Guanella(0) {
            return Err(QuantityError::NotPositive("number of lines").into());
        }
        let impedance = positive(impedance, "line impedance")?.to_working();
        let length = positive(length, "line length")?.to_working();
        let factor = positive(velocity_factor, "velocity factor")?.to_working();
        if factor > A::Working::ONE {
            return Err(outside!("velocity factor", "must be above 0 and at most 1").into());
        }
        if length > A::Working::from_i32(1_000_000_000) {
            return Err(outside!("line length", "must be at most 1e9 m").into());
        }
        Ok(Self {
            kind,
            impedance,
            delay: length / (factor * A::Working::from_u64(LIGHT)),
            choking: None,
        })
    }

    /// Adds the inductance that the choked lines have across the low side. It sets the lower end of the band, as the
    /// magnetising inductance of an ordinary transformer does.
    ///
    /// # Errors
    /// `Quantity` with `NotPositive` for an inductance of 0.
    pub fn with_choking(self, inductance: Inductance<A>) -> Result<Self, TransformerError> {
        Ok(Self {
            choking: Some(positive_part(inductance.to_base(), "choking inductance")?),
            ..self
        })
    }

    /// How the lines are connected.
    pub fn kind(self) -> LineKind {
        self.kind
    }

    /// High over low impedance for short lines: the square of the number of lines, or 4.
    pub fn impedance_ratio(self) -> ImpedanceRatio<A> {
        ImpedanceRatio::from_working(A::Working::from_i32(match self.kind {
            LineKind::Guanella(lines) => i32::from(lines) * i32::from(lines),
            LineKind::Ruthroff => 4,
        }))
    }

    /// The line impedance for the flattest response between a low and a high resistance, in ohms: √(low·high). A
    /// Guanella transformer is then matched at every frequency.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a resistance.
    pub fn optimum_impedance(low: Ohms<A>, high: Ohms<A>) -> Result<Ohms<A>, QuantityError> {
        let low = positive(low, "low resistance")?.to_working();
        let high = positive(high, "high resistance")?.to_working();
        Ok(Ohms::<A>::from_working(low.square_root() * high.square_root()))
    }

    fn walk(self, load: Port<A::Working>, frequency: Hertz, side: ImpedanceSide) -> Port<A::Working> {
        let omega = frequency.angular::<A::Working>();
        let turns = A::Working::from_u64(frequency.get()) * self.delay;
        let (sine, cosine) = turns.sine_cosine();
        let choked = |z: Port<A::Working>| match self.choking {
            None => z,
            Some(henries) => across(
                z,
                Complex::new(A::Working::ZERO, -(A::Working::ONE / (omega * henries))),
            ),
        };
        match side {
            ImpedanceSide::Low => choked(self.through(load, sine, cosine, ImpedanceSide::Low)),
            ImpedanceSide::High => self.through(choked(load), sine, cosine, ImpedanceSide::High),
        }
    }

    /// The chain matrix from the low to the high side, without the choking: V1 = A·V2 + B·I2, I1 = C·V2 + D·I2, with A
    /// and D real, B and C imaginary. (For a Ruthroff transformer each times 1 + cos, which may be 0.)
    fn through(
        self,
        load: Port<A::Working>,
        sine: A::Working,
        cosine: A::Working,
        side: ImpedanceSide,
    ) -> Port<A::Working> {
        let (z0, one) = (self.impedance, A::Working::ONE);
        let (a, b, c, d) = match self.kind {
            // Each of n lines has 1/n of the voltage at the high end and 1/n of the current at the low end.
            LineKind::Guanella(lines) => {
                let lines = A::Working::from_i32(i32::from(lines));
                (cosine / lines, z0 * sine, sine / z0, cosine * lines)
            }
            // Sevick, "Transmission Line Transformers" (from memory): Z = Z0·(ZL·cos + j·Z0·sin)/(2·Z0·(1 + cos) +
            // j·ZL·sin) from the low side; the other two follow from a determinant of 1.
            LineKind::Ruthroff => (cosine, z0 * sine, sine / z0, A::Working::TWO * (one + cosine)),
        };
        let (b, c) = (
            Complex::new(A::Working::ZERO, b),
            Complex::new(A::Working::ZERO, c),
        );
        let (a, d) = match side {
            ImpedanceSide::Low => (Complex::real(a), Complex::real(d)),
            ImpedanceSide::High => (Complex::real(d), Complex::real(a)),
        };
        match load {
            None => a.checked_div(c),
            Some(z) => (a * z + b).checked_div(c * z + d),
        }
    }

    /// The impedance of a load on the other side, seen from `side`. Any load is allowed, also an open or a short.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0.
    pub fn input_impedance(
        self,
        load: Impedance<A>,
        frequency: Hertz,
        side: ImpedanceSide,
    ) -> Result<Impedance<A>, TransformerError> {
        positive_frequency(frequency)?;
        Ok(shown(self.walk(port(load), frequency, side)))
    }

    /// Γ of that on a source. The lines have no loss: the mismatch loss is the whole loss.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0.
    pub fn reflection(
        self,
        load: Impedance<A>,
        frequency: Hertz,
        side: ImpedanceSide,
        source: Reference<A>,
    ) -> Result<Reflection<A>, TransformerError> {
        positive_frequency(frequency)?;
        Ok(reflected(self.walk(port(load), frequency, side), source))
    }

    /// The band around `inside`, within `range`, where the SWR of a load stays at or below a limit; see [`Band`](crate::quantity::Band).
    ///
    /// # Errors
    /// As [`RealTransformer::useful_band`](super::RealTransformer::useful_band).
    pub fn useful_band(
        self,
        load: &impl Load<A>,
        side: ImpedanceSide,
        source: Reference<A>,
        swr_limit: Swr<A>,
        inside: Hertz,
        range: [Hertz; 2],
    ) -> Result<Band, TransformerError> {
        useful_band(source, swr_limit, inside, range, |frequency| {
            Ok(self.walk(port(load.at(frequency)?), frequency, side))
        })
    }
}
