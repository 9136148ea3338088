//! A transmission line with loss: the input impedance of a load behind it, and its loss.
//!
//! The line has a real characteristic impedance Z0, a velocity factor, a length, and a matched loss that grows with the
//! root of the frequency (skin effect). With γ = α + jβ (D. M. Pozar, "Microwave Engineering", sections 2.1, 2.7):
//!
//! ```text
//! V(input) = V·cosh γl + Z0·I·sinh γl        I(input) = I·cosh γl + (V/Z0)·sinh γl
//! ```
//!
//! Angles are in turns; whole turns are removed without rounding: a line of half a wavelength and no loss changes
//! nothing, and neither does a line of no length. The phase of a long line is good to a few parts in 10⁹ of its turns
//! in fixed point, 10⁷ in `f32` and 10¹⁶ in `f64`.
//!
//! Errors in fixed point, as tested: of Γ 2e-8 per radian of the line, plus two radians (in 16 bits plus half a step of
//! each component); of losses 1e-4 dB; of impedances as in a [`Ladder`](super::ladder::Ladder); of lengths half a step.

use super::winding::Conductor;
use crate::arithmetic::{Arithmetic, Floating, Quantity, QuantityError, Real};
use crate::quantity::{
    Complex, Decibels, Hertz, Impedance, LIGHT, Metres, Ohms, Ratio, Reference, Reflection, VelocityFactor,
    not_negative, positive, positive_frequency,
};

/// Behind this loss the far end of a line adds less than 10⁻²⁰ to the result, and is ignored.
const MOST_DECIBELS: i32 = 200;

/// A piece of line.
///
/// ```
/// use ohmwright::design::line::Line;
/// use ohmwright::quantity::{Hertz, Impedance};
///
/// // 12 m of 75 ohm cable, velocity factor 0.82, 6.5 dB in 100 m at 100 MHz.
/// let cable = Line::<f64>::new(75.0, 0.82, 12.0)?.with_loss(6.5, Hertz::from_megahertz(100))?;
/// let relay = Hertz::from_megahertz(71);
/// assert!((cable.matched_loss(relay) - 0.657).abs() < 5e-4);
/// let seen = cable.input_impedance(Impedance::new(75.0, 0.0)?, relay);
/// assert!((seen.resistance() - 75.0).abs() < 1e-9);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line<A: Arithmetic> {
    impedance: Ohms<A>,
    velocity_factor: VelocityFactor<A>,
    length: Metres<A>,
    loss: Decibels<A>,
    loss_at: Hertz,
}

checked_form! {
    [A: Arithmetic] Line<A>, this {
        impedance: Ohms<A> = this.impedance,
        velocity_factor: VelocityFactor<A> = this.velocity_factor,
        length: Metres<A> = this.length,
        loss_per_hundred_metres: Decibels<A> = this.loss,
        loss_at: Hertz = this.loss_at,
    } => Self::new(impedance, velocity_factor, length).and_then(|line| {
        if loss_per_hundred_metres == Decibels::ZERO {
            Ok(Self { loss_at, ..line })
        } else {
            line.with_loss(loss_per_hundred_metres, loss_at)
        }
    })
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Line<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (impedance, velocity, length) = (self.impedance, self.velocity_factor, self.length);
        defmt::write!(f, "line {}, velocity factor {}, {}", impedance, velocity, length);
    }
}

/// What a line does at one frequency: cosh γl and sinh γl, and the same of αl alone.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Propagation<W> {
    pub cosh: Complex<W>,
    pub sinh: Complex<W>,
    /// sinh αl.
    pub decay: W,
    /// cosh αl.
    pub spread: W,
    /// αl.
    pub nepers: W,
    /// l in wavelengths.
    pub turns: W,
}

impl<F: Floating> Line<F> {
    /// A coaxial line without loss (`f32` and `f64` only), from the inner diameter of the shield and the diameter of
    /// the inner conductor in one unit, the relative permittivity of the dielectric (1: air), and the length in metres.
    ///
    /// Z0 = (µ0·c/2π)·ln(D/d)/√εr, where µ0·c/2π is 59.958 Ω; the velocity factor is 1/√εr (D. M. Pozar, "Microwave
    /// Engineering", table 2.1). Within 1e-15 relative in `f64`, 4e-7 in `f32`; divided by ln(D/d) where both diameters
    /// are nearly equal. A braided shield, which is not smooth, has a slightly higher Z0.
    ///
    /// ```
    /// use ohmwright::design::line::Line;
    ///
    /// // A piece of copper tube, 10 mm inside, over a rod of 4.3 mm.
    /// let line = Line::<f64>::coaxial(10.0, 4.3, 1.0, 0.5)?;
    /// assert!((line.impedance() - 50.6).abs() < 0.05);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for a dimension or permittivity; `OutsideLimits` for a conductor that does not fit
    /// into the shield; `BelowOne` for a permittivity below 1; and the errors of [`new`](Self::new).
    pub fn coaxial(
        shield: F,
        conductor: F,
        permittivity: F,
        length: impl Into<Metres<F>>,
    ) -> Result<Self, QuantityError> {
        let length = length.into();
        positive(shield, "shield diameter")?;
        positive(conductor, "conductor diameter")?;
        positive(permittivity, "permittivity")?;
        if conductor >= shield {
            return Err(outside!(
                "conductor diameter",
                "must be below the shield diameter"
            ));
        }
        if permittivity < F::ONE {
            return Err(QuantityError::BelowOne("permittivity"));
        }
        let slowing = permittivity.square_root();
        // 2e-7·c, since µ0 is 4π·10⁻⁷ H/m to ten digits.
        let constant = F::from_u64(2 * LIGHT) / F::from_i32(10_000_000);
        let impedance = constant * (shield / conductor).natural_logarithm() / slowing;
        Self::new(
            Ohms::new(impedance),
            VelocityFactor::new(F::ONE / slowing),
            length,
        )
    }
}

/// The matched loss of a coaxial line, by its causes, in dB in 100 m: what [`Line::with_loss`] takes.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct CoaxialLoss<F: Floating> {
    /// In the skin of both conductors; it grows with the root of the frequency.
    pub metal: Decibels<F>,
    /// In the filling; it grows with the frequency.
    pub dielectric: Decibels<F>,
}

impl<F: Floating> CoaxialLoss<F> {
    /// From the inner diameter of the shield and the diameter of the inner conductor, the relative permittivity and the
    /// loss tangent of the filling (0: none), the metal of both, and the frequency. Saturates.
    ///
    /// Metal: Rs/(2π·Z0)·(1/d + 1/D) nepers a metre, with Rs the surface resistance; filling: π·f·√εr·tan δ/c (D. M. Pozar,
    /// "Microwave Engineering", section 2.7, from memory). For conductors that are smooth and much thicker than the skin
    /// depth; braid and strands lose more. Within 1e-14 relative in `f64`, 2e-6 in `f32`.
    ///
    /// # Errors
    /// As [`Line::coaxial`]; `Negative` or `NotFinite` for the loss tangent; `NotPositive` for a frequency of 0.
    pub fn new(
        shield: impl Into<Metres<F>>,
        conductor: impl Into<Metres<F>>,
        permittivity: F,
        loss_tangent: F,
        metal: Conductor<F>,
        frequency: Hertz,
    ) -> Result<Self, QuantityError> {
        let (shield, conductor) = (shield.into().get(), conductor.into().get());
        let line = Line::<F>::coaxial(shield, conductor, permittivity, Metres::new(F::ONE))?;
        not_negative(loss_tangent, "loss tangent")?;
        let skin = metal.surface_resistance(frequency)?.get();
        let around = F::ONE / shield + F::ONE / conductor;
        let metal = skin * around / F::TAU / line.impedance.get();
        let slowing = permittivity.square_root();
        let per_metre = F::from_u64(frequency.get()) * slowing / F::from_u64(LIGHT);
        let dielectric = F::TAU * F::HALF * per_metre * loss_tangent;
        // A neper is 20·lg e decibels, and there are 100 m.
        let decibels =
            |nepers: F| Decibels::new(nepers * <F as Real>::from_f64(2000.0 * core::f64::consts::LOG10_E));
        Ok(Self {
            metal: decibels(metal),
            dielectric: decibels(dielectric),
        })
    }

    /// Both together.
    pub fn total(self) -> Decibels<F> {
        self.metal + self.dielectric
    }
}

impl<A: Arithmetic> Line<A> {
    /// A line without loss: characteristic impedance in ohms, velocity factor (above 0, at most 1), length in metres.
    ///
    /// # Errors
    /// `NotFinite`; `NotPositive` for impedance or factor; `Negative` for length; `OutsideLimits` for a factor above 1.
    pub fn new(
        impedance: impl Into<Ohms<A>>,
        velocity_factor: impl Into<VelocityFactor<A>>,
        length: impl Into<Metres<A>>,
    ) -> Result<Self, QuantityError> {
        let (impedance, velocity_factor, length) = (impedance.into(), velocity_factor.into(), length.into());
        positive(impedance, "line impedance")?;
        positive(velocity_factor, "velocity factor")?;
        not_negative(length, "line length")?;
        if velocity_factor.to_working() > A::Working::ONE {
            return Err(outside!("velocity factor", "must be above 0 and at most 1"));
        }
        Ok(Self {
            impedance,
            velocity_factor,
            length,
            loss: Decibels::<A>::ZERO,
            loss_at: Hertz::new(0),
        })
    }

    /// From doubles, rounded to the family; for programs on a PC.
    ///
    /// # Errors
    /// As [`new`](Self::new); `OutOfRange` beyond the family's word (number type).
    pub fn try_from_f64(impedance: f64, velocity_factor: f64, length: f64) -> Result<Self, QuantityError> {
        Self::new(
            Ohms::<A>::try_from_f64(impedance).map_err(|error| error.of("line impedance"))?,
            VelocityFactor::<A>::try_from_f64(velocity_factor)
                .map_err(|error| error.of("velocity factor"))?,
            Metres::<A>::try_from_f64(length).map_err(|error| error.of("line length"))?,
        )
    }

    /// A line of this number of wavelengths (on the line itself) at a frequency. The length is rounded to the family's
    /// word: 15 µm in fixed point.
    ///
    /// # Errors
    /// As [`new`](Self::new); `NotPositive` for a frequency of 0; `OutOfRange` for a length beyond the word.
    pub fn of_wavelengths(
        impedance: impl Into<Ohms<A>>,
        velocity_factor: impl Into<VelocityFactor<A>>,
        wavelengths: impl Into<Ratio<A>>,
        frequency: Hertz,
    ) -> Result<Self, QuantityError> {
        let (impedance, velocity_factor, wavelengths) =
            (impedance.into(), velocity_factor.into(), wavelengths.into());
        not_negative(wavelengths, "wavelengths")?;
        Self::of_turns(impedance, velocity_factor, wavelengths.to_working(), frequency)
    }

    pub(crate) fn of_turns(
        impedance: Ohms<A>,
        velocity_factor: VelocityFactor<A>,
        turns: A::Working,
        frequency: Hertz,
    ) -> Result<Self, QuantityError> {
        positive_frequency(frequency)?;
        let line = Self::new(impedance, velocity_factor, Metres::<A>::ZERO)?;
        let length = Metres::<A>::from_working(turns * line.wavelength(frequency));
        if length == Metres::<A>::MAX {
            return Err(QuantityError::OutOfRange("line length"));
        }
        Ok(Self { length, ..line })
    }

    /// The same line with loss: decibels per 100 m, matched, at this frequency; it grows with the root of it.
    ///
    /// # Errors
    /// `NotFinite` or `Negative` for such a loss, `NotPositive` for a frequency of 0.
    pub fn with_loss(
        self,
        per_hundred_metres: impl Into<Decibels<A>>,
        at: Hertz,
    ) -> Result<Self, QuantityError> {
        let per_hundred_metres = per_hundred_metres.into();
        not_negative(per_hundred_metres, "matched loss")?;
        if at.get() == 0 {
            return Err(QuantityError::NotPositive("frequency of the matched loss"));
        }
        Ok(Self {
            loss: per_hundred_metres,
            loss_at: at,
            ..self
        })
    }

    /// Z0, ohms.
    pub fn impedance(self) -> Ohms<A> {
        self.impedance
    }

    /// The wave velocity on the line over that of light.
    pub fn velocity_factor(self) -> VelocityFactor<A> {
        self.velocity_factor
    }

    /// The length in metres.
    pub fn length(self) -> Metres<A> {
        self.length
    }

    /// The length in wavelengths on the line; 0 at 0 Hz. Saturates.
    pub fn wavelengths(self, frequency: Hertz) -> Ratio<A> {
        Ratio::<A>::from_working(self.turns(frequency))
    }

    /// The loss of the line when it is matched, dB; saturates.
    pub fn matched_loss(self, frequency: Hertz) -> Decibels<A> {
        Decibels::<A>::from_working(self.decibels(frequency))
    }

    /// The input impedance with a load at the far end: Z0·(Z + Z0·tanh γl)/(Z0 + Z·tanh γl).
    ///
    /// A line without length gives the load itself.
    pub fn input_impedance(self, load: Impedance<A>, frequency: Hertz) -> Impedance<A> {
        self.seen(load, self.propagation(frequency))
    }

    /// The load at the far end, from the impedance at the input.
    ///
    /// The loss of the line is removed. Where more power comes back at the input than any passive load could return
    /// through the line, the result has a negative resistance.
    pub fn load_impedance(self, input: Impedance<A>, frequency: Hertz) -> Impedance<A> {
        // The way back is a line of negative length.
        let there = self.propagation(frequency);
        let back = Propagation {
            sinh: -there.sinh,
            ..there
        };
        self.seen(input, back)
    }

    fn seen(self, end: Impedance<A>, way: Propagation<A::Working>) -> Impedance<A> {
        if way.sinh.is_zero() {
            return end; // without a rounding
        }
        let z0 = self.impedance.to_working();
        // In units of Z0.
        let (voltage, current) = if end.is_open() {
            (Complex::ONE, Complex::ZERO)
        } else {
            let z = end.complex();
            (Complex::new(z.re / z0, z.im / z0), Complex::ONE)
        };
        let input = voltage * way.cosh + current * way.sinh;
        match input.checked_div(current * way.cosh + voltage * way.sinh) {
            None => Impedance::OPEN,
            Some(ratio) => Impedance::from_complex(ratio.scale(z0)),
        }
    }

    /// Γ at the input, from the load's Γ, both against the line's own Z0: turned clockwise by two turns a wavelength,
    /// and reduced by twice the matched loss. This moves the reference plane from the load to the input.
    pub fn reflection_at_input(self, at_load: Reflection<A>, frequency: Hertz) -> Reflection<A> {
        self.moved(at_load, frequency, self.length.to_working(), true)
    }

    /// Γ of the load, from Γ at the input, both against the line's own Z0: this moves the reference plane to the load.
    ///
    /// Removing the loss may give |Γ| above 1: then the line or its loss is not as stated. Saturates there.
    pub fn reflection_at_load(self, at_input: Reflection<A>, frequency: Hertz) -> Reflection<A> {
        self.moved(at_input, frequency, self.length.to_working(), false)
    }

    /// Γ seen through the line against any reference, from the load's Γ against the same. Z0 of the line may be another.
    ///
    /// It is [`reflection_at_input`](Self::reflection_at_input) between two changes of the reference, rounded once at the
    /// end. Errors in fixed point, as tested: those of the module. Saturates.
    pub fn input_reflection(
        self,
        at_load: Reflection<A>,
        reference: Reference<A>,
        frequency: Hertz,
    ) -> Reflection<A> {
        self.moved_between(at_load, reference, frequency, true)
    }

    /// Γ of what is behind the line, from Γ seen through it, both against any reference: the line is taken out, as if it
    /// were measured at its far end ("de-embedding"). Z0 of the line may be another than the reference.
    ///
    /// It is [`reflection_at_load`](Self::reflection_at_load) between two changes of the reference, rounded once at the
    /// end. What was wrong with Γ grows by twice the matched loss; so do the errors of the module in fixed point, as
    /// tested. |Γ| above 1 means that the line or its loss is not as stated. Saturates there.
    ///
    /// ```
    /// use ohmwright::double::{Impedance, Line, Reference};
    /// use ohmwright::quantity::Hertz;
    ///
    /// // 12 m of 75 ohm cable before a load of 30 + j20 ohm, seen by an instrument of 50 ohm (an invented case).
    /// let cable = Line::new(75.0, 0.82, 12.0)?.with_loss(6.5, Hertz::from_megahertz(100))?;
    /// let (at, reference) = (Hertz::from_megahertz(71), Reference::fifty());
    /// let load = Impedance::new(30.0, 20.0)?;
    /// let seen = cable.input_impedance(load, at).reflection(reference);
    /// let found = cable.load_reflection(seen, reference, at).impedance(reference);
    /// assert!((found.resistance() - 30.0).abs() < 1e-9 && (found.reactance() - 20.0).abs() < 1e-9);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    pub fn load_reflection(
        self,
        at_input: Reflection<A>,
        reference: Reference<A>,
        frequency: Hertz,
    ) -> Reflection<A> {
        self.moved_between(at_input, reference, frequency, false)
    }

    fn moved_between(
        self,
        gamma: Reflection<A>,
        reference: Reference<A>,
        frequency: Hertz,
        to_source: bool,
    ) -> Reflection<A> {
        let metres = self.length.to_working();
        let (own, other) = (self.impedance.to_working(), reference.working());
        if self.impedance == reference.ohms() || metres.is_zero() {
            return self.moved(gamma, frequency, metres, to_source);
        }
        let way = self.way(frequency, metres, to_source);
        // Γ of Z0 against the reference. Γ' = (Γ − ρ)/(1 − ρΓ) is Γ against Z0, and the same with −ρ leads back.
        let between = Complex::real((own - other) / (own + other));
        let gamma = gamma.complex();
        let (wave, back) = (gamma - between, Complex::ONE - between * gamma);
        let wave = wave * way;
        Reflection::from_quotient(wave + between * back, back + between * wave)
    }

    /// Γ on the line at this distance in metres from the load, from the load's Γ; both against the line's own Z0.
    ///
    /// # Errors
    /// `NotFinite` or `Negative` for such a distance, `OutsideLimits` beyond the end of the line.
    pub fn reflection_along(
        self,
        at_load: Reflection<A>,
        from_load: impl Into<Metres<A>>,
        frequency: Hertz,
    ) -> Result<Reflection<A>, QuantityError> {
        let from_load = from_load.into();
        not_negative(from_load, "distance from the load")?;
        if from_load > self.length {
            return Err(outside!(
                "distance from the load",
                "must not be above the length of the line"
            ));
        }
        Ok(self.moved(at_load, frequency, from_load.to_working(), true))
    }

    fn moved(
        self,
        gamma: Reflection<A>,
        frequency: Hertz,
        metres: A::Working,
        to_source: bool,
    ) -> Reflection<A> {
        let angle = A::Working::TWO * self.turns_of(metres, frequency);
        let loss = A::Working::TWO * self.decibels_of(metres, frequency);
        if angle.is_zero() && loss.is_zero() {
            return gamma;
        }
        let (turn, size) = Self::way_of(angle, loss, to_source);
        Reflection::from_complex((gamma.complex() * turn).scale(size))
    }

    /// Γ on the one side of the line over Γ on the other.
    fn way(self, frequency: Hertz, metres: A::Working, to_source: bool) -> Complex<A::Working> {
        let angle = A::Working::TWO * self.turns_of(metres, frequency);
        let loss = A::Working::TWO * self.decibels_of(metres, frequency);
        let (turn, size) = Self::way_of(angle, loss, to_source);
        turn.scale(size)
    }

    /// The same of turns and decibels there and back: a direction, and a size.
    fn way_of(angle: A::Working, loss: A::Working, to_source: bool) -> (Complex<A::Working>, A::Working) {
        let (sine, cosine) = angle.sine_cosine();
        let (turn, loss) = if to_source {
            (Complex::new(cosine, -sine), -loss)
        } else {
            (Complex::new(cosine, sine), loss)
        };
        // |Γ| goes with the root of the ratio of powers.
        let size = if loss.is_zero() {
            A::Working::ONE
        } else {
            (loss * A::Working::HALF).ratio_of_decibels()
        };
        (turn, size)
    }

    /// The loss of the line with this load at its end, dB: matched loss plus that of the standing wave. Γ is against Z0.
    ///
    /// 10·lg((a² − |Γ|²)/(a·(1 − |Γ|²))) with a the matched loss as a ratio of powers (The ARRL Antenna Book, 1994,
    /// p. 24-9). At |Γ| ≥ 1 no power arrives: the family's largest value; 0 on a line without loss.
    pub fn loss(self, at_load: Reflection<A>, frequency: Hertz) -> Decibels<A> {
        Decibels::<A>::from_working(self.decibels(frequency) + self.added(at_load, frequency))
    }

    /// The part of [`loss`](Self::loss) that the standing wave adds, dB.
    pub fn added_loss(self, at_load: Reflection<A>, frequency: Hertz) -> Decibels<A> {
        Decibels::<A>::from_working(self.added(at_load, frequency))
    }

    fn added(self, at_load: Reflection<A>, frequency: Hertz) -> A::Working {
        let matched = self.decibels(frequency);
        if matched.is_zero() {
            return A::Working::ZERO;
        }
        let power = at_load.power();
        let taken = A::Working::ONE - power;
        if at_load.is_total() || taken <= A::Working::ZERO {
            return A::Working::LARGEST;
        }
        let returned = power * (-(matched + matched)).ratio_of_decibels();
        ((A::Working::ONE - returned) / taken)
            .decibels()
            .larger(A::Working::ZERO)
    }

    fn wavelength(self, frequency: Hertz) -> A::Working {
        A::Working::from_u64(LIGHT) * self.velocity_factor.to_working()
            / A::Working::from_u64(frequency.get())
    }

    fn turns(self, frequency: Hertz) -> A::Working {
        self.turns_of(self.length.to_working(), frequency)
    }

    fn turns_of(self, metres: A::Working, frequency: Hertz) -> A::Working {
        metres * A::Working::from_u64(frequency.get())
            / (A::Working::from_u64(LIGHT) * self.velocity_factor.to_working())
    }

    fn decibels(self, frequency: Hertz) -> A::Working {
        self.decibels_of(self.length.to_working(), frequency)
    }

    fn decibels_of(self, metres: A::Working, frequency: Hertz) -> A::Working {
        if self.loss == Decibels::<A>::ZERO {
            return A::Working::ZERO;
        }
        let rise = A::Working::from_u64(frequency.get()) / A::Working::from_u64(self.loss_at.get());
        self.loss.to_working() * metres * rise.square_root() / A::Working::from_i32(100)
    }

    pub(crate) fn propagation(self, frequency: Hertz) -> Propagation<A::Working> {
        let turns = self.turns(frequency);
        let (sine, cosine) = turns.sine_cosine();
        // Behind this loss the far end cannot be seen any more; every family's range reaches further.
        let decibels = self
            .decibels(frequency)
            .smaller(A::Working::from_i32(MOST_DECIBELS));
        let nepers = decibels * nepers_per_decibel();
        let (decay, spread) = hyperbolic(nepers);
        Propagation {
            cosh: Complex::new(spread * cosine, decay * sine),
            sinh: Complex::new(decay * cosine, spread * sine),
            decay,
            spread,
            nepers,
            turns,
        }
    }
}

/// ln 10/20 = 0.115 129 254 649 702 284…: nepers in a decibel, composed so that every family can hold it.
fn nepers_per_decibel<W: Real>() -> W {
    let billion = W::from_i32(1_000_000_000);
    (W::from_i32(115_129_254) + W::from_i32(649_702_284) / billion) / billion
}

/// (sinh, cosh) of an attenuation in nepers, not negative.
pub(crate) fn hyperbolic<W: Real>(nepers: W) -> (W, W) {
    if nepers.is_zero() {
        return (W::ZERO, W::ONE);
    }
    if nepers < W::HALF * W::HALF {
        // A series, since a difference of two powers would lose the digits of a small loss.
        let square = nepers * nepers;
        let mut sum = W::ONE;
        for below in [110, 72, 42, 20, 6] {
            sum = W::ONE + square / W::from_i32(below) * sum;
        }
        let sine = nepers * sum;
        return (sine, (W::ONE + sine * sine).square_root());
    }
    let power = (nepers / nepers_per_decibel() * W::HALF).ratio_of_decibels();
    let inverse = W::ONE / power;
    ((power - inverse) * W::HALF, (power + inverse) * W::HALF)
}

/// The length in metres of a line, from Γ at its input at two frequencies: Γ turns clockwise with the frequency, one
/// turn for every half wavelength of additional length.
///
/// The far end must reflect about the same at both (open or shorted ends do). Choose frequencies so close that Γ turns
/// by less than half a turn between them (a quarter wave): l < velocity factor · c/(4·Δf). A longer line reads shorter.
///
/// # Errors
/// `OutsideLimits` for a second frequency not above the first; `NotPositive` for a |Γ| of 0, which has no phase;
/// `Negative` where Γ turns the wrong way (the line is too long, or there is none); and as [`Line::new`].
///
/// ```
/// use ohmwright::design::line::{Line, length_from_phase};
/// use ohmwright::quantity::{Hertz, Reflection, VelocityFactor};
///
/// let line = Line::<f64>::new(50.0, 0.66, 8.0)?;
/// let at = |megahertz| {
///     let frequency = Hertz::from_megahertz(megahertz);
///     (frequency, line.reflection_at_input(Reflection::SHORT, frequency))
/// };
/// let length = length_from_phase(at(5), at(7), VelocityFactor::new(0.66))?;
/// assert!((length - 8.0).abs() < 1e-9);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
pub fn length_from_phase<A: Arithmetic>(
    first: (Hertz, Reflection<A>),
    second: (Hertz, Reflection<A>),
    velocity_factor: VelocityFactor<A>,
) -> Result<Metres<A>, QuantityError> {
    // Checks the velocity factor.
    let line = Line::<A>::new(
        Ohms::<A>::from_working(A::Working::ONE),
        velocity_factor,
        Metres::<A>::ZERO,
    )?;
    if second.0 <= first.0 {
        return Err(outside!("second frequency", "must be above the first"));
    }
    let step = Hertz::new(second.0.get().saturating_sub(first.0.get()));
    let (before, after) = (first.1.complex(), second.1.complex());
    if before.is_zero() || after.is_zero() {
        return Err(QuantityError::NotPositive("|Γ|"));
    }
    let turned = before * after.conjugate();
    let turns = A::Working::turns(turned.im, turned.re);
    if turns < A::Working::ZERO {
        return Err(QuantityError::Negative("line length"));
    }
    Ok(Metres::<A>::from_working(
        turns * A::Working::HALF * line.wavelength(step),
    ))
}
