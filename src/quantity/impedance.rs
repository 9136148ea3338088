//! Impedance, admittance and the reference they are compared with.

use super::{Complex, Component, Ohms, QFactor, QuantityError, Reflection, Siemens, finite, positive};
use crate::arithmetic::kernel::normalise::normalise_short;
use crate::arithmetic::kernel::short::ShortReference;
use crate::arithmetic::{Arithmetic, Constant, Fixed16, Fixed32, Quantity, Real};
use fixed::types::I20F12;

/// The real, positive resistance Z0 to which a reflection coefficient refers: 50 Ω unless said otherwise.
///
/// ```
/// use ohmwright::fixed::types::I20F12;
/// use ohmwright::fixed_point::{Impedance, Reference};
///
/// // A constant: in a `let` the text may be read when the program runs, and links a parser that can panic.
/// const HIGH: I20F12 = I20F12::lit("75");
/// let cable = Reference::new(HIGH)?;
/// let load = Impedance::new(HIGH, I20F12::ZERO)?;
/// assert_eq!(load.reflection(cable).swr(), 1);
/// assert_eq!(load.reflection(Reference::fifty()).swr().to_string(), "1.5");
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reference<A: Arithmetic> {
    ohms: Ohms<A>,
    scale: A::Scale,
}

checked_form! {
    [A: Arithmetic] Reference<A>, this: Ohms<A> = this.ohms, ohms => Self::new(ohms)
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Reference<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{}", self.ohms);
    }
}

impl<A: Arithmetic> Reference<A> {
    /// From a resistance in ohms.
    ///
    /// # Errors
    /// `NotFinite` for NaN and infinity, `NotPositive` for zero and below.
    pub fn new(resistance: impl Into<Ohms<A>>) -> Result<Self, QuantityError> {
        positive(resistance.into(), "reference").map(Self::of)
    }

    /// From ohms as a double, for programs on a PC.
    ///
    /// # Errors
    /// As [`new`](Self::new); `OutOfRange` beyond the range of the word (the family's number type).
    pub fn try_from_f64(ohms: f64) -> Result<Self, QuantityError> {
        Self::new(Ohms::try_from_f64(ohms).map_err(|error| error.of("reference"))?)
    }

    /// 50 Ω, as a compile-time constant.
    pub const fn fifty() -> Self {
        Self::prepared(A::FIFTY)
    }

    /// A whole number of ohms above 0, known when the code is compiled, in every family and at no cost when the program
    /// runs. What is not above 0, or beyond the word, does not compile.
    ///
    /// ```
    /// use ohmwright::{fixed_point, floating};
    ///
    /// static CABLE: fixed_point::Reference = fixed_point::Reference::whole::<75>();
    /// static LADDER_LINE: floating::Reference = floating::Reference::whole::<450>();
    /// assert_eq!(CABLE, fixed_point::Reference::new(75)?);
    /// assert_eq!(LADDER_LINE.ohms(), 450.0);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// ```compile_fail
    /// let nothing = ohmwright::fixed_point::Reference::whole::<0>();
    /// ```
    pub const fn whole<const OHMS: i32>() -> Self {
        Self::prepared(<A::Prepared<OHMS, 1> as Constant<(A::OhmsWord, A::Scale)>>::VALUE)
    }

    /// The same of thousandths of an ohm: `thousandths::<37_500>()` is 37.5 Ω, to the nearest word.
    pub const fn thousandths<const N: i32>() -> Self {
        Self::prepared(<A::Prepared<N, 1_000> as Constant<(A::OhmsWord, A::Scale)>>::VALUE)
    }

    const fn prepared((ohms, scale): (A::OhmsWord, A::Scale)) -> Self {
        Self {
            ohms: Ohms::new(ohms),
            scale,
        }
    }

    /// The resistance in ohms.
    pub const fn ohms(self) -> Ohms<A> {
        self.ohms
    }

    fn of(ohms: Ohms<A>) -> Self {
        Self {
            ohms,
            scale: A::prepare(ohms.get()),
        }
    }

    pub(crate) fn scale(self) -> A::Scale {
        self.scale
    }

    pub(crate) fn working(self) -> A::Working {
        self.ohms.to_working()
    }
}

impl<A: Arithmetic> Default for Reference<A> {
    /// [`fifty`](Self::fifty).
    fn default() -> Self {
        Self::fifty()
    }
}

/// An impedance Z = R + jX in ohms, as two elements in series.
///
/// R may be negative (an active device). Where R or X is at an end of its word (the family's number type), the
/// impedance counts as an [open](Self::is_open): it is "at least this much", and the readouts treat it as infinite.
///
/// ```
/// use ohmwright::quantity::{Impedance, Reference};
///
/// let antenna = Impedance::<f64>::new(36.0, 21.0)?;
/// assert!((antenna.reflection(Reference::fifty()).swr() - 1.798).abs() < 5e-4);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Impedance<A: Arithmetic> {
    resistance: Ohms<A>,
    reactance: Ohms<A>,
}

checked_form! {
    [A: Arithmetic] Impedance<A>, this {
        resistance: Ohms<A> = this.resistance,
        reactance: Ohms<A> = this.reactance,
    } => if Self::from_words(resistance, reactance) == Self::OPEN {
        Ok(Self::OPEN)
    } else {
        Self::new(resistance, reactance)
    }
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Impedance<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        if self.is_open() {
            defmt::write!(f, "open");
        } else {
            defmt::write!(f, "R {}, X {}", self.resistance, self.reactance);
        }
    }
}

impl<A: Arithmetic> Impedance<A> {
    /// Zero impedance.
    pub const SHORT: Self = Self {
        resistance: Ohms::ZERO,
        reactance: Ohms::ZERO,
    };
    /// Infinite impedance: the largest resistance of the word (floating: infinity), no reactance.
    pub const OPEN: Self = Self {
        resistance: Ohms::MAX,
        reactance: Ohms::ZERO,
    };

    /// R + jX in whole ohms, known when the code is compiled, in every family. What the word cannot hold does not compile.
    ///
    /// ```
    /// use ohmwright::{fixed_point, floating};
    ///
    /// static DUMMY: fixed_point::Impedance = fixed_point::Impedance::whole::<75, -25>();
    /// static ANTENNA: floating::Impedance = floating::Impedance::thousandths::<36_500, 21_250>();
    /// assert_eq!(DUMMY, fixed_point::Impedance::new(75, -25)?);
    /// assert_eq!((ANTENNA.resistance().get(), ANTENNA.reactance().get()), (36.5, 21.25));
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    pub const fn whole<const R: i32, const X: i32>() -> Self {
        Self {
            resistance: Ohms::whole::<R>(),
            reactance: Ohms::whole::<X>(),
        }
    }

    /// R + jX in thousandths of an ohm, to the nearest word, known when the code is compiled.
    pub const fn thousandths<const R: i32, const X: i32>() -> Self {
        Self {
            resistance: Ohms::thousandths::<R>(),
            reactance: Ohms::thousandths::<X>(),
        }
    }

    /// R + jX, both in ohms.
    ///
    /// # Errors
    /// `NotFinite`, with the name of the part, for NaN and infinity. (In fixed point it cannot fail.)
    pub fn new(resistance: impl Into<Ohms<A>>, reactance: impl Into<Ohms<A>>) -> Result<Self, QuantityError> {
        Ok(Self {
            resistance: finite(resistance.into(), "resistance")?,
            reactance: finite(reactance.into(), "reactance")?,
        })
    }

    /// From ohms as doubles, for programs on a PC.
    ///
    /// # Errors
    /// `NotFinite` for NaN and infinity, `OutOfRange` beyond the word.
    pub fn try_from_f64(resistance: f64, reactance: f64) -> Result<Self, QuantityError> {
        Self::new(
            Ohms::try_from_f64(resistance).map_err(|error| error.of("resistance"))?,
            Ohms::try_from_f64(reactance).map_err(|error| error.of("reactance"))?,
        )
    }

    /// R, ohms.
    pub fn resistance(self) -> Ohms<A> {
        self.resistance
    }

    /// X, ohms; positive is inductive.
    pub fn reactance(self) -> Ohms<A> {
        self.reactance
    }

    /// True for an open, and where R or X is at an end of its word.
    pub fn is_open(self) -> bool {
        self.resistance.is_at_end() || self.reactance.is_at_end()
    }

    /// |Z| = √(R² + X²), ohms. Saturates at the largest word, which also stands for an open.
    pub fn magnitude(self) -> Ohms<A> {
        if self.is_open() {
            return Ohms::MAX;
        }
        Ohms::from_working(self.complex().magnitude())
    }

    /// Q = |X|/|R|, never negative: 0 without reactance (short, open), the family's largest value without resistance.
    pub fn q(self) -> QFactor<A> {
        if self.is_open() || self.reactance == Ohms::ZERO {
            return QFactor::ZERO;
        }
        if self.resistance == Ohms::ZERO {
            return QFactor::MAX;
        }
        QFactor::from_working(
            self.reactance.to_working().absolute() / self.resistance.to_working().absolute(),
        )
    }

    /// Γ = (Z − Z0)/(Z + Z0).
    ///
    /// An open gives exactly 1, a short exactly −1. Near −Z0 components saturate, each by itself: at ±2²⁰ in the floating
    /// families, in fixed point at the ends of the word (just below 2). [`Reflection::is_saturated`] tells; such a Γ is
    /// active like its load. On 50 Ω that is so in fixed point from −16.7 to −150 Ω.
    pub fn reflection(self, reference: Reference<A>) -> Reflection<A> {
        Reflection::from_words(A::reflect(
            self.resistance.get(),
            self.reactance.get(),
            reference.ohms.get(),
        ))
    }

    /// Y = 1/Z. A short gives the largest conductance of the word, an open gives 0.
    pub fn admittance(self) -> Admittance<A> {
        if self.is_open() {
            return Admittance::OPEN;
        }
        match Complex::ONE.checked_div(self.complex()) {
            None => Admittance::SHORT,
            Some(y) => Admittance::from_complex(y),
        }
    }

    /// The same impedance as a resistance and a reactance in parallel: Rp = |Z|²/R, Xp = |Z|²/X.
    pub fn parallel_form(self) -> ParallelForm<A> {
        if self.is_open() {
            return ParallelForm {
                resistance: Ohms::MAX,
                reactance: Ohms::MAX,
            };
        }
        let z = self.complex();
        if z.is_zero() {
            return ParallelForm {
                resistance: Ohms::ZERO,
                reactance: Ohms::ZERO,
            };
        }
        // |Z|²/R = R + X·(X/R), so that no square leaves the range.
        let branch = |along: A::Working, across: A::Working| {
            if along.is_zero() {
                Ohms::MAX
            } else {
                Ohms::from_working(along + across * (across / along))
            }
        };
        ParallelForm {
            resistance: branch(z.re, z.im),
            reactance: branch(z.im, z.re),
        }
    }

    /// Z*: the load that takes most power from a source of this impedance, and the other way round.
    #[must_use]
    pub fn conjugate(self) -> Self {
        if self.is_open() {
            return self;
        }
        Self {
            resistance: self.resistance,
            reactance: Ohms::from_working(-self.reactance.to_working()),
        }
    }

    /// Both in series: the sum; an open if either is one.
    #[must_use]
    pub fn in_series(self, other: Self) -> Self {
        if self.is_open() || other.is_open() {
            return Self::OPEN;
        }
        Self::from_complex(self.complex() + other.complex())
    }

    /// Both in parallel: Z1·Z2/(Z1 + Z2). An open changes nothing; two that cancel each other give an open.
    #[must_use]
    pub fn in_parallel(self, other: Self) -> Self {
        if self.is_open() {
            return other;
        }
        if other.is_open() {
            return self;
        }
        let (a, b) = (self.complex(), other.complex());
        if a.is_zero() || b.is_zero() {
            return Self::SHORT;
        }
        match a.checked_div(a + b) {
            None => Self::OPEN,
            Some(share) => Self::from_complex(share * b),
        }
    }

    /// The power-wave reflection coefficient (Z − Zs*)/(Z + Zs) of this load on a *complex* source Zs. |·|² is the
    /// power not taken, as a fraction of the source's available power (K. Kurokawa, "Power Waves and the Scattering
    /// Matrix", IEEE Transactions on Microwave Theory and Techniques 13(2), 1965).
    ///
    /// For a real source it equals [`reflection`](Self::reflection). It saturates in the same way.
    ///
    /// # Errors
    /// `OutsideLimits` for a source that is open, `NotPositive` for one without positive resistance.
    pub fn power_wave_reflection(self, source: Self) -> Result<Reflection<A>, QuantityError> {
        let source = source.with_resistance()?;
        if self.is_open() {
            return Ok(Reflection::OPEN);
        }
        let load = self.complex();
        Ok(Reflection::from_quotient(
            load - source.conjugate(),
            load + source,
        ))
    }

    /// The power that this load takes, as a fraction of the source's available power: 4·Rs·R/|Zs + Z|². 1 at the
    /// conjugate match; 0 for a short, an open or any lossless load; negative for a load that sends power back.
    ///
    /// The maximum power theorem in its circuit form. Error if passive: 5e-9 (fixed point), 6e-7 (`f32`), 1.2e-15 (`f64`).
    ///
    /// # Errors
    /// As [`power_wave_reflection`](Self::power_wave_reflection).
    pub fn share_taken_from(self, source: Self) -> Result<Component<A>, QuantityError> {
        let source = source.with_resistance()?;
        if self.is_open() {
            return Ok(Component::ZERO);
        }
        let load = self.complex();
        let sum = source + load;
        // (2·Rs/|sum|)·(2·R/|sum|): the two factors stay within range.
        let size = sum.magnitude();
        if size.is_zero() {
            return Ok(Component::MIN);
        }
        let product = (A::Working::TWO * (source.re / size)) * (A::Working::TWO * (load.re / size));
        Ok(Component::from_working(product))
    }

    fn with_resistance(self) -> Result<Complex<A::Working>, QuantityError> {
        if self.is_open() {
            return Err(outside!("source", "must not be an open"));
        }
        self.resistive()
            .ok_or(QuantityError::NotPositive("source resistance"))
    }

    /// In working numbers, where power can be brought into it: not open, with a positive resistance.
    pub(crate) fn resistive(self) -> Option<Complex<A::Working>> {
        (!self.is_open() && self.resistance > Ohms::ZERO).then(|| self.complex())
    }

    pub(crate) fn complex(self) -> Complex<A::Working> {
        Complex::new(self.resistance.to_working(), self.reactance.to_working())
    }

    /// Saturating; an impedance beyond the word is an open.
    pub(crate) fn from_complex(z: Complex<A::Working>) -> Self {
        let (resistance, reactance) = (Ohms::from_working(z.re), Ohms::from_working(z.im));
        if resistance.is_finite() && reactance.is_finite() {
            Self {
                resistance,
                reactance,
            }
        } else {
            Self::OPEN
        }
    }

    pub(crate) fn from_words(resistance: Ohms<A>, reactance: Ohms<A>) -> Self {
        Self {
            resistance,
            reactance,
        }
    }
}

/// Checked in a constant, where a trait cannot be asked: `$scale` is the prepared form of a word, or `None`.
macro_rules! checked {
    ($family:ty, $resistance:ident => $scale:expr, $part:ident => $finite:expr) => {
        impl Reference<$family> {
            /// From ohms of any size, in a constant as well; `None` for what is not above 0 or not finite. (`f32` on
            /// a core without a floating-point unit: also beyond 1e-18 to 1e18 Ω.)
            ///
            /// ```
            /// use ohmwright::fixed::types::I20F12;
            /// use ohmwright::fixed_point::{Ohms, Reference};
            ///
            /// const OHMS: I20F12 = I20F12::lit("93.75");
            /// static FEEDER: Reference = Reference::checked(Ohms::new(OHMS)).unwrap();
            /// assert_eq!(FEEDER, Reference::new(OHMS)?);
            /// # Ok::<(), ohmwright::quantity::QuantityError>(())
            /// ```
            pub const fn checked(ohms: Ohms<$family>) -> Option<Self> {
                let $resistance = ohms.get();
                match $scale {
                    Some(scale) => Some(Self { ohms, scale }),
                    None => None,
                }
            }
        }

        impl Impedance<$family> {
            /// R + jX of any size, in a constant as well; `None` for NaN and infinity.
            ///
            /// ```
            /// use ohmwright::floating::{Impedance, Ohms};
            ///
            /// static ANTENNA: Impedance = Impedance::checked(Ohms::new(36.4), Ohms::new(-0.25)).unwrap();
            /// assert_eq!(ANTENNA, Impedance::new(36.4, -0.25)?);
            /// # Ok::<(), ohmwright::quantity::QuantityError>(())
            /// ```
            pub const fn checked(resistance: Ohms<$family>, reactance: Ohms<$family>) -> Option<Self> {
                const fn is_finite(part: Ohms<$family>) -> bool {
                    let $part = part.get();
                    $finite
                }
                if is_finite(resistance) && is_finite(reactance) {
                    Some(Self {
                        resistance,
                        reactance,
                    })
                } else {
                    None
                }
            }
        }
    };
}

/// The bits of a word above 0.
const fn above_zero(word: I20F12) -> Option<u32> {
    let bits = word.to_bits();
    if bits > 0 { Some(bits as u32) } else { None }
}

checked!(
    Fixed32,
    word => match above_zero(word) {
        Some(bits) => Some(normalise_short(bits)),
        None => None,
    },
    _part => true
);
checked!(
    Fixed16,
    word => match above_zero(word) {
        Some(bits) => Some(ShortReference::new(bits)),
        None => None,
    },
    _part => true
);
checked!(
    f64,
    word => if word > 0.0 && word.is_finite() { Some(word) } else { None },
    part => part.is_finite()
);
#[cfg(not(ohmwright_soft_float))]
checked!(
    f32,
    word => if word > 0.0 && word.is_finite() { Some(word) } else { None },
    part => part.is_finite()
);
#[cfg(ohmwright_soft_float)]
checked!(
    f32,
    word => if word > 0.0 && word.is_finite() { crate::arithmetic::SoftScale::usual(word) } else { None },
    part => part.is_finite()
);

/// An impedance as a resistance and a reactance in parallel, both in ohms.
///
/// An absent branch is an open: the largest value of the word (the family's number type).
///
/// ```
/// use ohmwright::double::Impedance;
///
/// // 10 + j20 Ω in series is 50 Ω with 25 Ω of a coil across it.
/// let parallel = Impedance::new(10.0, 20.0)?.parallel_form();
/// assert!((parallel.resistance - 50.0).abs() < 1e-12 && (parallel.reactance - 25.0).abs() < 1e-12);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct ParallelForm<A: Arithmetic> {
    /// The parallel resistance Rp.
    pub resistance: Ohms<A>,
    /// The parallel reactance Xp; positive is inductive.
    pub reactance: Ohms<A>,
}

impl<A: Arithmetic> ParallelForm<A> {
    /// The series form of the same impedance.
    pub fn series_form(self) -> Impedance<A> {
        let resistance = Impedance::from_words(self.resistance, Ohms::ZERO);
        let reactance = Impedance::from_words(Ohms::ZERO, self.reactance);
        resistance.in_parallel(reactance)
    }
}

/// An admittance Y = G + jB in siemens.
///
/// Where a component is at an end of its word (the family's number type), it counts as a [short](Self::is_short).
///
/// ```
/// use ohmwright::double::Impedance;
///
/// let admittance = Impedance::new(10.0, 20.0)?.admittance();
/// assert!((admittance.conductance() - 0.02).abs() < 1e-15);
/// assert!((admittance.susceptance() + 0.04).abs() < 1e-15); // a coil's is negative
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Admittance<A: Arithmetic> {
    conductance: Siemens<A>,
    susceptance: Siemens<A>,
}

checked_form! {
    [A: Arithmetic] Admittance<A>, this {
        conductance: Siemens<A> = this.conductance,
        susceptance: Siemens<A> = this.susceptance,
    } => if (Self { conductance, susceptance }) == Self::SHORT {
        Ok(Self::SHORT)
    } else {
        Self::new(conductance, susceptance)
    }
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Admittance<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        if self.is_short() {
            defmt::write!(f, "short");
        } else {
            defmt::write!(f, "G {}, B {}", self.conductance, self.susceptance);
        }
    }
}

impl<A: Arithmetic> Admittance<A> {
    /// Zero admittance.
    pub const OPEN: Self = Self {
        conductance: Siemens::ZERO,
        susceptance: Siemens::ZERO,
    };
    /// Infinite admittance: the largest conductance of the word (floating: infinity).
    pub const SHORT: Self = Self {
        conductance: Siemens::MAX,
        susceptance: Siemens::ZERO,
    };

    /// G + jB, both in siemens.
    ///
    /// # Errors
    /// `NotFinite`, with the name of the part, for NaN and infinity. (In fixed point it cannot fail.)
    pub fn new(
        conductance: impl Into<Siemens<A>>,
        susceptance: impl Into<Siemens<A>>,
    ) -> Result<Self, QuantityError> {
        Ok(Self {
            conductance: finite(conductance.into(), "conductance")?,
            susceptance: finite(susceptance.into(), "susceptance")?,
        })
    }

    /// G, siemens.
    pub fn conductance(self) -> Siemens<A> {
        self.conductance
    }

    /// B, siemens; positive is capacitive.
    pub fn susceptance(self) -> Siemens<A> {
        self.susceptance
    }

    /// True for a short, and where G or B is at an end of its word.
    pub fn is_short(self) -> bool {
        self.conductance.is_at_end() || self.susceptance.is_at_end()
    }

    /// Z = 1/Y.
    pub fn impedance(self) -> Impedance<A> {
        if self.is_short() {
            return Impedance::SHORT;
        }
        match Complex::ONE.checked_div(self.complex()) {
            None => Impedance::OPEN,
            Some(z) => Impedance::from_complex(z),
        }
    }

    fn complex(self) -> Complex<A::Working> {
        Complex::new(self.conductance.to_working(), self.susceptance.to_working())
    }

    fn from_complex(y: Complex<A::Working>) -> Self {
        let (conductance, susceptance) = (Siemens::from_working(y.re), Siemens::from_working(y.im));
        if conductance.is_finite() && susceptance.is_finite() {
            Self {
                conductance,
                susceptance,
            }
        } else {
            Self::SHORT
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arithmetic::{Fixed16, Fixed32, SoftF32};

    fn constant_law<A: Arithmetic>(constant: Reference<A>, ohms: f64) -> bool {
        Reference::try_from_f64(ohms).is_ok_and(|prepared| prepared == constant)
    }

    fn whole_numbers<A: Arithmetic>() {
        assert!(constant_law(Reference::<A>::whole::<1>(), 1.0));
        assert!(constant_law(Reference::<A>::whole::<50>(), 50.0));
        assert!(constant_law(Reference::<A>::whole::<75>(), 75.0));
        assert!(constant_law(Reference::<A>::whole::<524_287>(), 524_287.0));
        assert!(constant_law(Reference::<A>::thousandths::<1>(), 0.001));
        assert!(constant_law(Reference::<A>::thousandths::<37_531>(), 37.531));
        assert!(!constant_law(Reference::<A>::whole::<75>(), 76.0));
    }

    #[test]
    fn checked_is_what_new_gives() {
        for bits in [1, 4_095, 50 << 12, 0x1234_5678, i32::MAX] {
            let word = I20F12::from_bits(bits);
            assert_eq!(
                Reference::<Fixed32>::checked(Ohms::new(word)),
                Reference::new(word).ok()
            );
            assert_eq!(
                Reference::<Fixed16>::checked(Ohms::new(word)),
                Reference::new(word).ok()
            );
            let (f32, f64) = (bits as f32 * 0.1, bits as f64 * 0.1);
            assert_eq!(
                Reference::<f32>::checked(Ohms::new(f32)),
                Reference::new(f32).ok()
            );
            assert_eq!(
                Reference::<f64>::checked(Ohms::new(f64)),
                Reference::new(f64).ok()
            );
            assert_eq!(
                Impedance::<f32>::checked(Ohms::new(f32), Ohms::new(-f32)),
                Impedance::new(f32, -f32).ok()
            );
        }
        let below = I20F12::from_bits(-1);
        assert_eq!(Reference::<Fixed32>::checked(Ohms::new(below)), None);
        assert_eq!(Reference::<Fixed16>::checked(Ohms::ZERO), None);
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(Reference::<f64>::checked(Ohms::new(bad)), None);
            assert_eq!(
                Impedance::<f64>::checked(Ohms::new(bad), Ohms::new(1.0)).is_some(),
                bad.is_finite()
            );
        }
    }

    #[test]
    fn the_constant_is_what_preparing_gives() {
        assert!(constant_law(Reference::<f32>::fifty(), 50.0));
        assert!(constant_law(Reference::<f64>::fifty(), 50.0));
        assert!(constant_law(Reference::<SoftF32>::fifty(), 50.0));
        assert!(constant_law(Reference::<Fixed32>::fifty(), 50.0));
        assert!(constant_law(Reference::<Fixed16>::fifty(), 50.0));
        whole_numbers::<f32>();
        whole_numbers::<f64>();
        whole_numbers::<SoftF32>();
        whole_numbers::<Fixed32>();
        whole_numbers::<Fixed16>();
        // Control: a prepared form of another resistance is seen.
        let mut other = Reference::<Fixed32>::fifty();
        other.scale = Fixed32::prepare(Fixed32::FIFTY.0 + Fixed32::FIFTY.0);
        assert!(!constant_law(other, 50.0) && !constant_law(Reference::<f32>::fifty(), 75.0));
    }
}
