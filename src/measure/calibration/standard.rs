//! The devices used for a calibration, and their known values.

use core::fmt;

use super::Delay;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{
    Capacitance, Complex, Hertz, Inductance, Ohms, QuantityError, Reference, Reflection, finite, not_negative,
};

/// One of the usual three standards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Role {
    /// The open.
    Open,
    /// The short.
    Short,
    /// The matched load.
    Load,
}

impl Role {
    /// All three, in the order in which a kit is numbered.
    pub const ALL: [Self; 3] = [Self::Open, Self::Short, Self::Load];
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Open => "open",
            Self::Short => "short",
            Self::Load => "load",
        })
    }
}

/// A capacitance or an inductance against frequency: a polynomial of third degree, in the usual units of standards.
///
/// | coefficient | of an open | of a short |
/// | --- | --- | --- |
/// | first | C0, 1e-15 F | L0, 1e-12 H |
/// | second | C1, 1e-27 F/Hz | L1, 1e-24 H/Hz |
/// | third | C2, 1e-36 F/Hz² | L2, 1e-33 H/Hz² |
/// | fourth | C3, 1e-45 F/Hz³ | L3, 1e-42 H/Hz³ |
///
/// It is stored in thousandths of these, the same in every family.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Polynomial([i32; 4]);

impl Polynomial {
    /// Zero at every frequency.
    pub const NONE: Self = Self([0; 4]);

    /// From whole thousandths of the units above: 49.43 fF is 49 430.
    pub const fn from_thousandths(coefficients: [i32; 4]) -> Self {
        Self(coefficients)
    }

    /// From numbers in the units above, rounded to thousandths of them: for programs on a PC.
    ///
    /// # Errors
    /// [`QuantityError`] for a number that is not finite, or beyond ±2 147 483.
    pub fn try_from_f64(coefficients: [f64; 4]) -> Result<Self, QuantityError> {
        let mut thousandths = [0; 4];
        for (to, from) in thousandths.iter_mut().zip(coefficients) {
            finite(from, "coefficient")?;
            let whole = libm::round(from * 1000.0);
            if !(i32::MIN as f64..=i32::MAX as f64).contains(&whole) {
                return Err(outside!("coefficient", "must be within 2147483 of 0"));
            }
            *to = whole as i32;
        }
        Ok(Self(thousandths))
    }

    /// The coefficients in thousandths.
    pub const fn thousandths(self) -> [i32; 4] {
        self.0
    }

    /// The capacitance of an open at this frequency: C0 + C1·f + C2·f² + C3·f³; 0 where that is negative.
    pub fn capacitance<A: Arithmetic>(self, frequency: Hertz) -> Capacitance<A> {
        let billion = giga::<A::Working>();
        // Attofarads to farads.
        Capacitance::from_base(self.at(gigahertz::<A::Working>(frequency)) / billion / billion)
    }

    /// The inductance of a short at this frequency: L0 + L1·f + L2·f² + L3·f³; 0 where that is negative.
    pub fn inductance<A: Arithmetic>(self, frequency: Hertz) -> Inductance<A> {
        let million = A::Working::from_i32(1_000_000);
        // Femtohenries to henries.
        Inductance::from_base(self.at(gigahertz::<A::Working>(frequency)) / giga() / million)
    }

    /// In thousandths of the unit of the first coefficient. The second unit is 10⁻¹² of the first and the others 10⁻⁹
    /// of the one before: with f in gigahertz, 10⁻³, 1 and 1.
    fn at<W: Real>(self, gigahertz: W) -> W {
        let [a, b, c, d] = self.0.map(W::from_i32);
        a + ((d * gigahertz + c) * gigahertz + b) * gigahertz / W::from_i32(1000)
    }

    fn is_none(self) -> bool {
        self == Self::NONE
    }
}

fn giga<W: Real>() -> W {
    W::from_i32(1_000_000_000)
}

fn gigahertz<W: Real>(frequency: Hertz) -> W {
    W::from_u64(frequency.get()) / giga()
}

/// The piece of line between the plane of a standard and the standard itself.
///
/// Its characteristic resistance is that of the system. The loss is that of the skin effect, in the usual unit: ohms
/// per second at 1 GHz, growing with √f. With loss L, delay τ and g = f/1 GHz, the line has α·l = L·τ·√g/(2·Z0),
/// β·l = ωτ + α·l, and the impedance Z0 + (1 − j)·L·√g/(2ω).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Offset<A: Arithmetic> {
    /// The delay, one way.
    pub delay: Delay<A>,
    /// Megohms per second at 1 GHz: 2 360 for 2.36 GΩ/s.
    pub loss: u32,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Offset<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{}, loss {=u32} Mohm/s", self.delay, self.loss);
    }
}

impl<A: Arithmetic> Offset<A> {
    /// No line.
    pub const NONE: Self = Self {
        delay: Delay::NONE,
        loss: 0,
    };

    /// A line without loss.
    pub fn lossless(delay: Delay<A>) -> Self {
        Self { delay, loss: 0 }
    }

    /// Γ in front of the line, from Γ behind it.
    fn before(
        self,
        gamma: Complex<A::Working>,
        frequency: Hertz,
        reference: A::Working,
    ) -> Complex<A::Working> {
        // At 0 Hz a line has no effect, and the loss model is undefined.
        if self.delay.is_none() || frequency.get() == 0 {
            return gamma;
        }
        let way = self.delay.turns(frequency);
        let (lost_nepers, mismatch) = if self.loss == 0 {
            (A::Working::ZERO, Complex::ZERO)
        } else {
            let ghz = gigahertz::<A::Working>(frequency);
            let loss = A::Working::from_u64(self.loss as u64);
            let root = ghz.square_root();
            let nepers = loss * self.delay.working() / giga() * root / (A::Working::TWO * reference);
            // L·√g/(2ω), in ohms.
            let excess = loss * root / (A::Working::TWO * A::Working::TAU * ghz * A::Working::from_i32(1000));
            let excess = Complex::new(excess, -excess);
            let sum = excess + Complex::real(A::Working::TWO * reference);
            (nepers, excess / sum)
        };
        let turns = -(A::Working::TWO * (way + lost_nepers / A::Working::TAU));
        let (sine, cosine) = turns.sine_cosine();
        let turn = Complex::new(cosine, sine);
        if self.loss == 0 {
            return gamma * turn;
        }
        // 20/ln 10.
        let decibels_per_neper =
            A::Working::from_u64(8_685_889_638_065_036) / A::Working::from_u64(1_000_000_000_000_000);
        let weaker = (-(lost_nepers * decibels_per_neper)).ratio_of_decibels();
        // Into the impedance of the line and back.
        let inside = (gamma - mismatch) / (Complex::ONE - mismatch * gamma);
        let outside = inside * turn.scale(weaker);
        (outside + mismatch) / (Complex::ONE + mismatch * outside)
    }
}

/// The device behind the offset.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Termination<A: Arithmetic> {
    Open(Polynomial),
    Short(Polynomial),
    Load {
        resistance: Ohms<A>,
        inductance: Inductance<A>,
    },
    Known(Reflection<A>),
}

/// A device whose Γ is known at every frequency.
///
/// ```
/// use ohmwright::double::Reference;
/// use ohmwright::measure::calibration::{Delay, Offset, Polynomial, Standard};
/// use ohmwright::quantity::Hertz;
///
/// // An invented open: 50 fF and a little less with frequency, 29.243 ps behind its plane.
/// let open = Standard::<f64>::open(Polynomial::from_thousandths([50_000, -300_000, 20_000, -120]))
///     .behind(Offset::lossless(Delay::from_femtoseconds(29_243)));
/// let gamma = open.reflection(Hertz::from_megahertz(1000), Reference::fifty());
/// assert!((gamma.phase() + 22.844).abs() < 1e-3);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standard<A: Arithmetic> {
    termination: Termination<A>,
    offset: Offset<A>,
}

/// At 0 Hz, which shows the kind, and at 1 GHz against 50 ohms, which shows the other values.
#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Standard<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let at = |megahertz| self.reflection(Hertz::from_megahertz(megahertz), Reference::fifty());
        defmt::write!(f, "standard with {} at 0 Hz, {} at 1 GHz", at(0), at(1000));
    }
}

impl<A: Arithmetic> Standard<A> {
    /// Γ = 1 at every frequency, in every family.
    pub const OPEN: Self = Self::open(Polynomial::NONE);
    /// Γ = −1 at every frequency.
    pub const SHORT: Self = Self::short(Polynomial::NONE);
    /// Γ = 0 at every frequency, whatever the reference.
    pub const LOAD: Self = Self::known(Reflection::MATCHED);

    /// An open with this fringing capacitance.
    pub const fn open(capacitance: Polynomial) -> Self {
        Self::plain(Termination::Open(capacitance))
    }

    /// A short with this inductance.
    pub const fn short(inductance: Polynomial) -> Self {
        Self::plain(Termination::Short(inductance))
    }

    /// A resistance with an inductance in series.
    ///
    /// # Errors
    /// [`QuantityError`] for a resistance that is not finite, negative, or the largest word.
    pub fn load(resistance: impl Into<Ohms<A>>, inductance: Inductance<A>) -> Result<Self, QuantityError> {
        let resistance = resistance.into();
        not_negative(resistance, "resistance of the load")?;
        if resistance.is_at_end() && resistance != Ohms::<A>::ZERO {
            return Err(outside!(
                "resistance of the load",
                "must be below the end of its word: an open has its own standard"
            ));
        }
        Ok(Self::plain(Termination::Load {
            resistance,
            inductance,
        }))
    }

    /// A device with this Γ at every frequency, against the reference of the calibration. For a measured device, whose Γ
    /// varies, make a new standard for each frequency.
    pub const fn known(reflection: Reflection<A>) -> Self {
        Self::plain(Termination::Known(reflection))
    }

    /// The same device behind a piece of line.
    #[must_use]
    pub const fn behind(self, offset: Offset<A>) -> Self {
        Self {
            termination: self.termination,
            offset,
        }
    }

    const fn plain(termination: Termination<A>) -> Self {
        Self {
            termination,
            offset: Offset::NONE,
        }
    }

    /// Γ of the standard. Error in fixed point: 1e-8 (behind a line with loss 6e-8 from 1 kHz on, 4e-7 below) and the
    /// rounding of a component; in `f32` 1e-6 (3e-6).
    ///
    /// An open with the capacitance C has Γ = (1 − jωCZ0)/(1 + jωCZ0), a short with the inductance L
    /// −(1 − jωL/Z0)/(1 + jωL/Z0); the line in front turns both by −2ωτ.
    pub fn reflection(&self, frequency: Hertz, reference: Reference<A>) -> Reflection<A> {
        Reflection::from_complex(self.exact(frequency, reference))
    }

    /// The same without rounding to a word.
    pub(super) fn exact(&self, frequency: Hertz, reference: Reference<A>) -> Complex<A::Working> {
        let z0 = reference.working();
        let gamma = match self.termination {
            Termination::Known(gamma) => gamma.complex(),
            Termination::Open(polynomial) if polynomial.is_none() => Complex::ONE,
            Termination::Short(polynomial) if polynomial.is_none() => -Complex::<A::Working>::ONE,
            Termination::Open(polynomial) => {
                // ω·C·Z0, with C in attofarads and ω in radians per nanosecond.
                let ghz = gigahertz::<A::Working>(frequency);
                turned_back(A::Working::TAU * ghz * polynomial.at(ghz) * z0 / giga())
            }
            Termination::Short(polynomial) => {
                // ω·L/Z0, with L in femtohenries.
                let ghz = gigahertz::<A::Working>(frequency);
                let million = A::Working::from_i32(1_000_000);
                -turned_back(A::Working::TAU * ghz * polynomial.at(ghz) / million / z0)
            }
            Termination::Load {
                resistance,
                inductance,
            } => {
                let reactance = frequency.angular::<A::Working>() * inductance.to_base();
                let z = Complex::new(resistance.to_working(), reactance);
                let z0 = Complex::real(z0);
                (z - z0) / (z + z0)
            }
        };
        self.offset.before(gamma, frequency, z0)
    }
}

/// (1 − jb)/(1 + jb).
fn turned_back<W: Real>(b: W) -> Complex<W> {
    Complex::new(W::ONE, -b) / Complex::new(W::ONE, b)
}

/// The usual three standards.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Kit<A: Arithmetic> {
    /// The open.
    pub open: Standard<A>,
    /// The short.
    pub short: Standard<A>,
    /// The matched load.
    pub load: Standard<A>,
}

impl<A: Arithmetic> Kit<A> {
    /// Γ = 1, −1 and 0: good enough up to a few tens of megahertz. The capacitance of a bare connector turns an open by
    /// a degree (50 fF do so at 550 MHz, 1 pF at 28 MHz).
    pub const IDEAL: Self = Self {
        open: Standard::OPEN,
        short: Standard::SHORT,
        load: Standard::LOAD,
    };

    /// The standard of a role.
    pub fn standard(&self, role: Role) -> &Standard<A> {
        match role {
            Role::Open => &self.open,
            Role::Short => &self.short,
            Role::Load => &self.load,
        }
    }

    pub(super) fn exact(&self, frequency: Hertz, reference: Reference<A>) -> [Complex<A::Working>; 3] {
        Role::ALL.map(|role| self.standard(role).exact(frequency, reference))
    }
}
