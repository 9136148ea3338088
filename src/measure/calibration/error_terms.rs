//! Correcting a raw reflection for an imperfect fixture: the one-port error model.
//!
//! Three terms lie between the detector and the plane of the load: the leakage past the load (directivity), the
//! reflection back towards it (source match), and the transmission there and back (tracking). A load Γ reads
//! m = directivity + tracking·Γ/(1 − source match·Γ) (D. Rytting, "Network Analyzer Error Models and Calibration
//! Methods"; from memory).

use super::solve;
use super::{CalibrationError, Delay, Kit, Residual, Term};
use crate::arithmetic::accuracy::Family;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Complex, Hertz, Reference, Reflection};

/// The three error terms of a one-port at one frequency.
///
/// A perfect fixture has no directivity, no source match and a tracking of 1: [`ErrorTerms::PERFECT`].
///
/// ```
/// use ohmwright::double::{ErrorTerms, Reflection};
///
/// let fixture = ErrorTerms {
///     directivity: Reflection::new(0.05, -0.02)?,
///     source_match: Reflection::new(-0.08, 0.06)?,
///     tracking: Reflection::new(0.5, 0.3)?,
/// };
/// let load = Reflection::new(0.2, 0.0)?;
/// let raw = fixture.distort(load); // its raw reading
/// assert!((raw.real() - load.real()).abs() > 0.04);
/// assert!((fixture.correct(raw).real() - load.real()).abs() < 1e-12);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct ErrorTerms<A: Arithmetic> {
    /// The reading with no reflection from the load.
    pub directivity: Reflection<A>,
    /// The reflection of the fixture back towards the load.
    pub source_match: Reflection<A>,
    /// The product of the transmissions there and back.
    pub tracking: Reflection<A>,
}

impl<A: Arithmetic> ErrorTerms<A> {
    /// A fixture that changes nothing.
    pub const PERFECT: Self = Self {
        directivity: Reflection::MATCHED,
        source_match: Reflection::MATCHED,
        tracking: Reflection::OPEN,
    };

    /// The terms of the fixture from the readings of the three standards of a kit at one frequency, in the order of
    /// [`Role::ALL`](super::Role::ALL): open, short, load.
    /// The terms are computed in the family's working number and rounded to words at the end. If the standards are
    /// about as far apart as open, short and load, the error of each component is at most 5e-9 in `Fixed32` (one
    /// rounding, 3.1e-5, in `Fixed16`; 6e-7 in `f32`; 2e-15 in `f64`), plus the effect of rounded readings. For closer
    /// standards the errors grow as the inverse of their distance.
    ///
    /// # Errors
    /// [`EqualStandards`](CalibrationError::EqualStandards) or [`EqualReadings`](CalibrationError::EqualReadings);
    /// [`ImpossibleSourceMatch`](CalibrationError::ImpossibleSourceMatch) for 1 or more, as after an exchange of the
    /// load with another standard; [`OutOfRange`](CalibrationError::OutOfRange) for a term beyond the word. An exchange
    /// of open and short cannot be detected at one frequency: it inverts source match, tracking, and every corrected Γ
    /// ([`is_turned_from`](Self::is_turned_from)).
    ///
    /// ```
    /// use ohmwright::double::{Reference, Reflection};
    /// use ohmwright::measure::calibration::{ErrorTerms, Kit};
    /// use ohmwright::quantity::Hertz;
    ///
    /// let read = |re, im| Reflection::new(re, im);
    /// let raw = [read(0.85, 0.1)?, read(-0.75, -0.1)?, read(0.05, 0.0)?];
    /// let terms = ErrorTerms::solve(&Kit::IDEAL, Hertz::from_megahertz(71), Reference::fifty(), &raw)?;
    /// assert!((terms.directivity.real() - 0.05).abs() < 1e-12);
    /// assert!((terms.correct(raw[1]).real() + 1.0).abs() < 1e-12);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn solve(
        kit: &Kit<A>,
        frequency: Hertz,
        reference: Reference<A>,
        raw: &[Reflection<A>; 3],
    ) -> Result<Self, CalibrationError> {
        let [open, short, load] = kit.exact(frequency, reference);
        let [a, b, c] = raw.map(Reflection::complex);
        Self::from_complex(solve::terms(&[(open, a), (short, b), (load, c)])?)
    }

    /// The same from any three devices, each as (known Γ, raw reading).
    ///
    /// # Errors
    /// As [`solve`](Self::solve).
    pub fn from_known(readings: &[(Reflection<A>, Reflection<A>); 3]) -> Result<Self, CalibrationError> {
        Self::from_complex(solve::terms(
            &readings.map(|(gamma, raw)| (gamma.complex(), raw.complex())),
        )?)
    }

    /// The load that belongs to a raw reading: Γ = (m − directivity)/(tracking + source match·(m − directivity)).
    ///
    /// Error in fixed point: 2.5e-8 divided by the size of that denominator, which is near |tracking| for a passive
    /// load and a good fixture (found: 1.6e-8 in 200 000 random fixtures, `tests/measure/correction.rs`). If the
    /// denominator is 0, or the result leaves the range of the family, it saturates like
    /// [`Impedance::reflection`](crate::quantity::Impedance::reflection); see
    /// [`checked_correct`](Self::checked_correct).
    pub fn correct(&self, raw: Reflection<A>) -> Reflection<A> {
        Reflection::from_words(A::correct(raw.words(), &self.parts()))
    }

    /// As [`correct`](Self::correct), in working numbers; `None` where that is no load: without
    /// [tracking](Self::has_tracking); at the pole, where the denominator is 0 or so small that rounding may be 1 % of it
    /// (the limits of the tracking; also 3e-5 of the tracking in `f32`, and 6e-14 in `f64`); and where the result is beyond
    /// the range of the family (±2 in fixed point).
    pub fn checked_correct(&self, raw: Reflection<A>) -> Option<Reflection<A>> {
        let above = raw.complex() - self.directivity.complex();
        let tracking = self.tracking.complex();
        let below = tracking + self.source_match.complex() * above;
        // Without tracking the quotient is 1/(source match), whatever is connected.
        let rounding = larger_part(tracking) * A::Working::EPSILON * A::Working::from_i32(64);
        if !self.has_tracking() || !divides::<A>(below) || larger_part(below) <= rounding {
            return None;
        }
        let gamma = above.checked_div(below)?;
        let limit = A::REFLECTION_LIMIT.to_working();
        let holds = |part: A::Working| part.absolute() <= limit;
        (holds(gamma.re) && holds(gamma.im)).then(|| Reflection::from_complex(gamma))
    }

    /// False where the tracking is 0, or so small that its rounding to words decides the result: then nothing comes back
    /// through the fixture (an open cable, a detector that is not connected), and no load can be told. In 32-bit fixed
    /// point, and for `f32` on a core without a floating-point unit, neither part is above 4e-6 (−108 dB; an error of 1 %
    /// is possible there), in 16-bit above 5e-4 (−66 dB; 5 %); otherwise both are 0.
    pub fn has_tracking(&self) -> bool {
        divides::<A>(self.tracking.complex())
    }

    /// The raw reading of a load, by the error model forwards. Saturates at the range of the family.
    pub fn distort(&self, gamma: Reflection<A>) -> Reflection<A> {
        let gamma = gamma.complex();
        let below = Complex::ONE - self.source_match.complex() * gamma;
        let (directivity, tracking) = (self.directivity.complex(), self.tracking.complex());
        Reflection::from_quotient(directivity * below + tracking * gamma, below)
    }

    /// The terms of the fixture with the plane of the load moved towards the load, as by a cable or an adapter added
    /// after the calibration. Corrected readings then refer to the new plane, at no further cost.
    ///
    /// Source match and tracking are turned by −2ωτ; see [`Delay::nearer_the_load`] for the sign and the error.
    #[must_use]
    pub fn with_plane_moved(&self, delay: Delay<A>, frequency: Hertz) -> Self {
        let turned = |gamma| (-delay).nearer_the_load(gamma, frequency);
        Self {
            directivity: self.directivity,
            source_match: turned(self.source_match),
            tracking: turned(self.tracking),
        }
    }

    /// True if the tracking differs from `expected` (of an earlier calibration, or of the design) by more than a
    /// quarter turn: open and short were exchanged (which is half a turn), or the cables have changed.
    pub fn is_turned_from(&self, expected: Reflection<A>) -> bool {
        let (now, then) = (self.tracking.complex(), expected.complex());
        now.re * then.re + now.im * then.im < A::Working::ZERO
    }

    /// The residual errors of these terms, from the readings of three devices, each as (known Γ, raw reading).
    /// Corrected and compared with the known values, they describe a second, nearly perfect fixture.
    ///
    /// It is only as good as the known values. The standards of the calibration itself show drift and repeatability
    /// alone.
    ///
    /// # Errors
    /// As [`solve`](Self::solve).
    pub fn residual(
        &self,
        readings: &[(Reflection<A>, Reflection<A>); 3],
    ) -> Result<Residual<A>, CalibrationError> {
        let pairs = readings.map(|(gamma, raw)| (gamma.complex(), self.correct(raw).complex()));
        Ok(Residual::from_terms(solve::terms(&pairs)?))
    }

    #[inline]
    pub(super) fn parts(&self) -> [(A::ComponentWord, A::ComponentWord); 3] {
        [
            self.directivity.words(),
            self.source_match.words(),
            self.tracking.words(),
        ]
    }

    pub(super) fn from_parts(terms: [(A::ComponentWord, A::ComponentWord); 3]) -> Self {
        let [directivity, source_match, tracking] = terms.map(Reflection::from_words);
        Self {
            directivity,
            source_match,
            tracking,
        }
    }

    /// From working numbers, in the order directivity, source match, tracking.
    pub(super) fn from_complex(terms: [Complex<A::Working>; 3]) -> Result<Self, CalibrationError> {
        let limit = A::REFLECTION_LIMIT.to_working();
        let names = [Term::Directivity, Term::SourceMatch, Term::Tracking];
        for (term, name) in terms.iter().zip(names) {
            let holds = |part: A::Working| part.absolute() <= limit;
            if !(holds(term.re) && holds(term.im)) {
                return Err(CalibrationError::OutOfRange(name));
            }
        }
        let [directivity, source_match, tracking] = terms.map(Reflection::from_complex);
        Ok(Self {
            directivity,
            source_match,
            tracking,
        })
    }
}

/// The size of the larger part.
fn larger_part<W: Real>(z: Complex<W>) -> W {
    z.re.absolute().larger(z.im.absolute())
}

/// False for a divisor of which rounding may be more than 1 %: of the kernel (2.5e-8), or of a word of 16 bits (5 %); see
/// [`ErrorTerms::has_tracking`].
fn divides<A: Arithmetic>(z: Complex<A::Working>) -> bool {
    let least = match A::FAMILY {
        Family::Fixed32 | Family::SoftF32 => 1 << 18,
        Family::Fixed16 => 1 << 11,
        _ => return !z.is_zero(),
    };
    // A product with a power of two is exact.
    larger_part(z) * A::Working::from_i32(least) > A::Working::ONE
}
