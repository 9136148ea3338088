//! The reflection coefficient and its readouts.

use fixed::types::{I2F14, I2F30};

use super::{
    Complex, Component, Decibels, Degrees, Impedance, Ohms, QFactor, QuantityError, Readouts, Reference, Swr,
    finite,
};
use crate::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity, Real};

/// The voltage reflection coefficient Γ of a one-port.
///
/// Every readout has a documented value for every Γ that can be constructed, also at the rim (|Γ| = 1) and beyond, and
/// is never NaN. Error bounds: [`arithmetic::accuracy`](crate::arithmetic::accuracy).
///
/// ```
/// use ohmwright::quantity::{Reference, Reflection};
///
/// let gamma = Reflection::<f64>::new(0.2, 0.0)?;
/// assert!((gamma.swr() - 1.5).abs() < 1e-12);
/// assert!((gamma.return_loss() - 13.979).abs() < 1e-3);
/// assert!((gamma.impedance(Reference::fifty()).resistance() - 75.0).abs() < 1e-9);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
///
/// The same in fixed point, without a single floating-point instruction:
///
/// ```
/// use ohmwright::fixed_point::Reflection;
///
/// let gamma = Reflection::from_bits(214_748_365, 0); // 0.2 · 2³⁰, as a converter or a filter delivers it
/// assert_eq!(gamma.swr(), 1.5);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reflection<A: Arithmetic> {
    re: A::ComponentWord,
    im: A::ComponentWord,
}

checked_form! {
    [A: Arithmetic] Reflection<A>, this {
        real: Component<A> = this.real(),
        imaginary: Component<A> = this.imaginary(),
    } => Self::new(real, imaginary)
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Reflection<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "re {} im {}", self.real(), self.imaginary());
    }
}

impl<A: Arithmetic> Reflection<A> {
    /// Γ = 0: the load equals the reference.
    pub const MATCHED: Self = Self {
        re: <A::ComponentWord as Quantity>::ZERO,
        im: <A::ComponentWord as Quantity>::ZERO,
    };
    /// Γ = 1: nothing connected.
    pub const OPEN: Self = Self {
        re: A::UNIT,
        im: <A::ComponentWord as Quantity>::ZERO,
    };
    /// Γ = −1.
    pub const SHORT: Self = Self {
        re: A::MINUS_UNIT,
        im: <A::ComponentWord as Quantity>::ZERO,
    };

    /// From real and imaginary part.
    ///
    /// # Errors
    /// `NotFinite` for NaN and infinity. `OutOfRange` beyond ±2²⁰ (floating only): no readout can then overflow.
    pub fn new(
        real: impl Into<Component<A>>,
        imaginary: impl Into<Component<A>>,
    ) -> Result<Self, QuantityError> {
        let (re, im) = (real.into().get(), imaginary.into().get());
        if A::holds(re) && A::holds(im) {
            Ok(Self { re, im })
        } else {
            Err(Self::refusal(re, im))
        }
    }

    /// From real and imaginary part as doubles, rounded to the family; for programs on a PC.
    ///
    /// # Errors
    /// As [`new`](Self::new); `OutOfRange` beyond the family's word (±2 in fixed point).
    pub fn try_from_f64(real: f64, imaginary: f64) -> Result<Self, QuantityError> {
        Self::new(
            Component::<A>::try_from_f64(real).map_err(|error| error.of("real part of Γ"))?,
            Component::<A>::try_from_f64(imaginary).map_err(|error| error.of("imaginary part of Γ"))?,
        )
    }

    /// What is wrong with the first part that the family does not hold.
    #[cold]
    #[inline(never)]
    fn refusal(re: A::ComponentWord, im: A::ComponentWord) -> QuantityError {
        let (part, name) = if A::holds(re) {
            (im, "imaginary part of Γ")
        } else {
            (re, "real part of Γ")
        };
        match finite(part, name) {
            Ok(_) => QuantityError::OutOfRange(name),
            Err(error) => error,
        }
    }

    /// Re Γ.
    pub fn real(self) -> Component<A> {
        Component::new(self.re)
    }

    /// Im Γ.
    pub fn imaginary(self) -> Component<A> {
        Component::new(self.im)
    }

    /// |Γ|: 0 at the match, 1 at total reflection, above 1 with gain. Fixed point saturates just below 2.
    pub fn magnitude(self) -> Component<A> {
        Component::new(A::magnitude(self.re, self.im))
    }

    /// The standing wave ratio (1 + |Γ|)/(1 − |Γ|), at least 1.
    ///
    /// At |Γ| ≥ 1, and in fixed point from 65 536 on, the family's largest value (floating: infinity); see
    /// [`is_total`](Self::is_total).
    pub fn swr(self) -> Swr<A> {
        Swr::new(A::standing_wave(self.re, self.im))
    }

    /// Return loss −20·lg |Γ| in dB, positive for a passive load (IEC 60050-702-07-25; T. S. Bird, "Definition and
    /// Misuse of Return Loss", IEEE Antennas and Propagation Magazine 51(2), 2009).
    ///
    /// Γ = 0 gives the largest value (floating: infinity). It is negative where more comes back than was sent.
    pub fn return_loss(self) -> Decibels<A> {
        Decibels::new(A::return_loss(self.re, self.im))
    }

    /// Mismatch loss −10·lg(1 − |Γ|²) in dB: how much more power a matched load would take.
    ///
    /// At |Γ| ≥ 1 the load takes no power: the result is the family's largest value (floating: infinity).
    pub fn mismatch_loss(self) -> Decibels<A> {
        Decibels::new(A::mismatch_loss(self.re, self.im))
    }

    /// The reflected power |Γ|², as a fraction of the incident power. Fixed point saturates just below 2.
    pub fn reflected_share(self) -> Component<A> {
        Component::<A>::from_working(A::power(self.re, self.im))
    }

    /// The share of the incident power that the load takes, 1 − |Γ|²: what a display shows as power into the load.
    ///
    /// A number without unit: 1 at the match, 0 at total reflection, negative for an active load, which gives more back
    /// than it gets. [`mismatch_loss`](Self::mismatch_loss) says the same in dB, for more work. Near the rim this keeps the
    /// digits that 1 − [`reflected_share`](Self::reflected_share) would lose. In fixed point its sign is right unless it
    /// is rounded to 0; in floating point, where it is further from 0 than its error bound.
    ///
    /// Fixed point saturates at −2, which is reached at |Γ| = √3.
    ///
    /// Source: power into the load of a lossless line, D. M. Pozar, "Microwave Engineering", section 2.3 (from memory).
    ///
    /// ```
    /// use ohmwright::double::Reflection;
    ///
    /// let gamma = Reflection::new(0.0, 0.5)?;
    /// let watts_sent = 10.0;
    /// assert_eq!(watts_sent * gamma.absorbed_share().get(), 7.5);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    pub fn absorbed_share(self) -> Component<A> {
        Component::<A>::from_working(A::passive(self.re, self.im))
    }

    /// The angle of Γ in degrees, in (−180°, 180°]; 0 for Γ = 0.
    pub fn phase(self) -> Degrees<A> {
        Degrees::new(A::phase(self.re, self.im))
    }

    /// The impedance with this reflection coefficient: Z = Z0·(1 + Γ)/(1 − Γ).
    ///
    /// Γ = 1 gives [`Impedance::OPEN`]. In fixed point a component beyond ±524 kΩ saturates and counts as an open.
    pub fn impedance(self, reference: Reference<A>) -> Impedance<A> {
        let (resistance, reactance) = A::terminate(self.re, self.im, reference.scale());
        Impedance::from_words(Ohms::new(resistance), Ohms::new(reactance))
    }

    /// |Z| in ohms, computed without R and X; the largest value at Γ = 1.
    ///
    /// |Z| alone does not show a match: 30 + j40 Ω is 50 Ω too, at SWR 3.
    pub fn impedance_magnitude(self, reference: Reference<A>) -> Ohms<A> {
        Ohms::new(A::impedance_magnitude(self.re, self.im, reference.scale()))
    }

    /// Q = |X|/|R| = 2·|Im Γ|/|1 − |Γ|²|, never negative.
    ///
    /// 0 without reactance (open, short and match included); the family's largest value for a pure reactance.
    pub fn q(self) -> QFactor<A> {
        QFactor::new(A::quality(self.re, self.im))
    }

    /// All nine readouts at once, as a display shows them for one point. In fixed point, and in `f32` without a
    /// floating-point unit, the readouts share work, and all nine take much less than nine calls.
    pub fn readouts(self, reference: Reference<A>) -> Readouts<A> {
        A::readouts(self.re, self.im, reference.scale())
    }

    /// True at |Γ| ≥ 1: all power comes back, or more. SWR and mismatch loss are then at their largest value.
    pub fn is_total(self) -> bool {
        A::is_total(self.re, self.im)
    }

    /// True at |Γ| > 1: more comes back than was sent; the resistance is negative.
    ///
    /// In every family, and for every Γ: return loss and [`absorbed_share`](Self::absorbed_share) of an active Γ are
    /// negative (0 where they round to it), R is negative, and it [is total](Self::is_total). Of a passive one none of
    /// them is negative.
    pub fn is_active(self) -> bool {
        A::is_active(self.re, self.im)
    }

    /// True where a part of Γ stands at the end of the family's range, just below ±2 in fixed point and at ±2²⁰ in the
    /// floating families: Γ was probably larger, and what is read from it is only its direction.
    ///
    /// A load of −100 Ω on 50 Ω has Γ = 3. In fixed point its reflection is saturated at 2: it is
    /// [active](Self::is_active), as it should be, but |Γ|, return loss, R and X are not those of the load.
    ///
    /// ```
    /// use ohmwright::small_fixed_point::{Impedance, Reference};
    ///
    /// let gamma = Impedance::new(-100, 0)?.reflection(Reference::fifty());
    /// assert!(gamma.is_active() && gamma.is_saturated());
    /// let gamma = Impedance::new(-10, 0)?.reflection(Reference::fifty());
    /// assert!(gamma.is_active() && !gamma.is_saturated()); // Γ = −1.5
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    pub fn is_saturated(self) -> bool {
        let limit = A::REFLECTION_LIMIT.to_working();
        let at_end = |part: A::ComponentWord| part.to_working().absolute() >= limit;
        at_end(self.re) || at_end(self.im)
    }

    /// Γ*.
    #[must_use]
    pub fn conjugate(self) -> Self {
        Self {
            re: self.re,
            im: A::ComponentWord::from_working(-self.im.to_working()),
        }
    }

    /// The same load against another reference: ((1 + Γ)·Z1 − (1 − Γ)·Z2)/((1 + Γ)·Z1 + (1 − Γ)·Z2).
    ///
    /// Equal references give exactly Γ; an open stays an open and a short a short. Error in fixed point: 4e-9 times
    /// |Γ'| (or 1, where that is larger). Saturates like [`Impedance::reflection`].
    #[must_use]
    pub fn change_reference(self, from: Reference<A>, to: Reference<A>) -> Self {
        if from == to {
            return self;
        }
        let gamma = self.complex();
        let mut voltage = Complex::ONE + gamma;
        let mut current = Complex::ONE - gamma;
        if voltage.is_zero() || current.is_zero() {
            return self;
        }
        // A factor below 1, so that the ratio of the references cannot overflow.
        if from.ohms() < to.ohms() {
            voltage = voltage.scale(from.working() / to.working());
        } else {
            current = current.scale(to.working() / from.working());
        }
        Self::from_quotient(voltage - current, voltage + current)
    }

    /// The nearest reflection in another family, saturating. Computed in double precision: for programs on a PC.
    pub fn convert<B: Arithmetic>(self) -> Reflection<B> {
        let component = |value: A::ComponentWord| {
            let value = value.to_f64();
            let limit = B::REFLECTION_LIMIT.to_f64();
            // Not through the working number, which would round twice. Within the limit it cannot fail. (`clamp` could
            // panic, and the optimiser cannot rule that out.)
            let value = value.max(-limit).min(limit);
            B::ComponentWord::try_from_f64(value).unwrap_or(<B::ComponentWord as Quantity>::ZERO)
        };
        Reflection {
            re: component(self.re),
            im: component(self.im),
        }
    }

    /// Re Γ and Im Γ as the family's words.
    pub(crate) fn words(self) -> (A::ComponentWord, A::ComponentWord) {
        (self.re, self.im)
    }

    /// Both components in steps of 2⁻¹⁴, for comparisons that need no more.
    #[inline(always)]
    pub(crate) fn coarse(self) -> [i32; 2] {
        [A::coarse(self.re), A::coarse(self.im)]
    }

    /// Both components in steps of 2⁻²⁷, within ±2²⁸.
    #[inline(always)]
    pub(crate) fn fine(self) -> [i32; 2] {
        [A::fine(self.re), A::fine(self.im)]
    }

    pub(crate) fn power(self) -> A::Working {
        A::power(self.re, self.im)
    }

    pub(crate) fn complex(self) -> Complex<A::Working> {
        Complex::new(self.re.to_working(), self.im.to_working())
    }

    /// Saturating at the family's limit.
    pub(crate) fn from_complex(gamma: Complex<A::Working>) -> Self {
        let limit = A::REFLECTION_LIMIT.to_working();
        let component =
            |value: A::Working| A::ComponentWord::from_working(value.smaller(limit).larger(-limit));
        Self {
            re: component(gamma.re),
            im: component(gamma.im),
        }
    }

    /// above/below; the negative end of the family's range where `below` is zero.
    pub(crate) fn from_quotient(above: Complex<A::Working>, below: Complex<A::Working>) -> Self {
        match above.checked_div(below) {
            Some(gamma) => Self::from_complex(gamma),
            None => Self::from_complex(Complex::real(-A::REFLECTION_LIMIT.to_working())),
        }
    }

    pub(crate) fn from_words((re, im): (A::ComponentWord, A::ComponentWord)) -> Self {
        Self { re, im }
    }
}

impl Reflection<Fixed32> {
    /// From raw bits, in units of 2⁻³⁰, as an integer signal chain delivers them. Every pair of bits is a reflection.
    pub const fn from_bits(real: i32, imaginary: i32) -> Self {
        Self {
            re: I2F30::from_bits(real),
            im: I2F30::from_bits(imaginary),
        }
    }
}

impl Reflection<Fixed16> {
    /// From raw bits, in units of 2⁻¹⁴; every pair is valid. A filter that delivers units of 2⁻¹⁵ has them halved:
    /// `real.div_euclid(2)`, or a shift to the right by one bit.
    pub const fn from_bits(real: i16, imaginary: i16) -> Self {
        Self {
            re: I2F14::from_bits(real),
            im: I2F14::from_bits(imaginary),
        }
    }
}
