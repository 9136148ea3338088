//! Error terms against frequency, and the correction of a sweep with them.

use super::{CalibrationError, CalibrationPoint, Conditions, ErrorTerms, Grid, Survey};
use crate::arithmetic::Arithmetic;
use crate::quantity::{Decibels, Hertz, Reference, Reflection};

/// A calibration over a range of frequencies, in the caller's memory.
///
/// # Between the frequencies
/// Real and imaginary part of each term are interpolated linearly between the frequencies of the table. A single echo,
/// exp(−jωτ), differs from that line by at most θ²/8 of its size, where θ is its angle (in radians) from one frequency
/// to the next: 1e-3 for 5°, 4e-5 for 1°. Interpolation of magnitude and phase would be exact for a single echo; but
/// directivity and source match are sums of several echoes, which pass near 0, where the phase jumps and such an
/// interpolation fails by as much as the term. It would also cost a logarithm, an angle, a sine and a cosine per point.
/// So use a grid on which tracking turns by less than about 5° from point to point, or the grid of the sweeps
/// themselves, without interpolation. [`Survey::unevenness`] shows the quality.
///
/// Outside the table nothing is extrapolated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CalibrationTable<'a, A: Arithmetic> {
    points: &'a [CalibrationPoint<A>],
    conditions: Conditions<A>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for CalibrationTable<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "calibration at {}", self.conditions);
    }
}

impl<'a, A: Arithmetic> CalibrationTable<'a, A> {
    /// A table of these points, made at this power and against this reference.
    ///
    /// # Errors
    /// [`TooShort`](CalibrationError::TooShort) below two points; [`NotRising`](CalibrationError::NotRising) for a
    /// frequency not above the one before.
    pub fn new(
        points: &'a [CalibrationPoint<A>],
        reference: Reference<A>,
        power_dbm: impl Into<Decibels<A>>,
    ) -> Result<Self, CalibrationError> {
        let power_dbm = power_dbm.into();
        if points.len() < 2 {
            return Err(CalibrationError::TooShort(points.len() as u32));
        }
        let mut before = None;
        let mut place = 0u32;
        for point in points {
            if before.is_some_and(|before| before >= point.frequency) {
                return Err(CalibrationError::NotRising(place));
            }
            before = Some(point.frequency);
            place = place.saturating_add(1);
        }
        Ok(Self {
            points,
            conditions: Conditions {
                power_dbm,
                grid: Grid::of(points.iter().map(|point| point.frequency)),
                reference,
            },
        })
    }

    /// The points, in rising order, at least two.
    pub fn points(&self) -> &'a [CalibrationPoint<A>] {
        self.points
    }

    /// The head of the table: power, grid and reference.
    pub fn conditions(&self) -> &Conditions<A> {
        &self.conditions
    }

    /// Evaluates the whole table; see [`Survey`].
    pub fn survey(&self) -> Survey<A> {
        Survey::of(self.points)
    }

    /// The terms at a frequency, interpolated, by a binary search; for a sweep a [`Corrector`] is faster.
    ///
    /// # Errors
    /// [`CalibrationError::Outside`] for a frequency outside the table.
    pub fn terms_at(&self, frequency: Hertz) -> Result<ErrorTerms<A>, CalibrationError> {
        let mut corrector = self.corrector();
        corrector.seek(frequency)?;
        Ok(corrector.terms(frequency))
    }

    /// A corrector that starts at the lower end of the table.
    pub fn corrector(&self) -> Corrector<'a, A> {
        let (low, high, rest) = match self.points {
            [low, high, rest @ ..] => (Some(low), Some(high), rest),
            // Cannot occur: a table has at least two points.
            _ => (None, None, self.points),
        };
        Corrector {
            points: self.points,
            rest,
            stretch: low.zip(high).map(|(low, high)| Stretch::new(low, high)),
        }
    }
}

/// Corrects readings with the terms of their frequency, and stores its position in the table.
///
/// # Complexity
/// Constant for a reading in the same interval of the table as the one before, or in the next; otherwise a binary
/// search. An upward sweep never searches. Within one interval there is no division. In fixed point the interpolated
/// terms are within 1e-9 (and 4e-9 of a step) of the straight line.
#[derive(Clone, Copy, Debug)]
pub struct Corrector<'a, A: Arithmetic> {
    points: &'a [CalibrationPoint<A>],
    /// The points above the present interval.
    rest: &'a [CalibrationPoint<A>],
    /// `None` only for a table that cannot exist.
    stretch: Option<Stretch<'a, A>>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Corrector<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "corrector of {=usize} points", self.points.len());
    }
}

/// Two neighbours of the table; at the upper end twice the same point.
#[derive(Clone, Copy, Debug)]
struct Stretch<'a, A: Arithmetic> {
    low: &'a CalibrationPoint<A>,
    high: &'a CalibrationPoint<A>,
    /// The width of the interval from `low`, in hertz.
    width: u64,
    span: A::Span,
}

impl<'a, A: Arithmetic> Stretch<'a, A> {
    fn new(low: &'a CalibrationPoint<A>, high: &'a CalibrationPoint<A>) -> Self {
        let width = high.frequency.get().wrapping_sub(low.frequency.get()).max(1);
        Self {
            low,
            high,
            width,
            span: A::span(width),
        }
    }

    /// The distance from the lower point, if the frequency is in this interval.
    #[inline]
    fn offset(&self, frequency: Hertz) -> Option<u64> {
        let offset = frequency.get().wrapping_sub(self.low.frequency.get());
        (offset < self.width).then_some(offset)
    }
}

impl<'a, A: Arithmetic> Corrector<'a, A> {
    /// The load that belongs to a raw reading at this frequency; see [`ErrorTerms::correct`] for error and saturation.
    ///
    /// At the pole of the correction, and where the fixture lets nothing through, it gives a number all the same: where
    /// such a reading can occur (a broken cable, a table from elsewhere) use [`checked_correct`](Self::checked_correct).
    ///
    /// # Errors
    /// [`CalibrationError::Outside`] for a frequency outside the table.
    #[inline]
    pub fn correct(
        &mut self,
        frequency: Hertz,
        raw: Reflection<A>,
    ) -> Result<Reflection<A>, CalibrationError> {
        if let Some(stretch) = &self.stretch
            && let Some(offset) = stretch.offset(frequency)
        {
            return Ok(corrected(stretch, offset, raw));
        }
        self.seek(frequency)?;
        match &self.stretch {
            Some(stretch) => Ok(corrected(stretch, stretch.offset(frequency).unwrap_or(0), raw)),
            None => Err(CalibrationError::Outside(frequency)),
        }
    }

    /// What [`correct`](Self::correct) gives, to the bit, where that is a load; otherwise an error. It costs a second
    /// correction and a division.
    ///
    /// # Errors
    /// [`Outside`](CalibrationError::Outside) for a frequency outside the table;
    /// [`NoTracking`](CalibrationError::NoTracking) if there is [no tracking](ErrorTerms::has_tracking);
    /// [`AtPole`](CalibrationError::AtPole) if the denominator is 0 or next to it, or the result beyond the range of the
    /// family (fixed point: a part of Γ beyond ±2, in 16 bits beyond ±1; floating: beyond ±2²⁰).
    ///
    /// ```
    /// use ohmwright::double::{CalibrationPoint, CalibrationTable, ErrorTerms, Reference, Reflection};
    /// use ohmwright::measure::calibration::CalibrationError;
    /// use ohmwright::quantity::Hertz;
    ///
    /// let terms = ErrorTerms {
    ///     source_match: Reflection::new(0.5, 0.0)?,
    ///     ..ErrorTerms::PERFECT
    /// };
    /// let points = [60, 80].map(|mhz| CalibrationPoint { frequency: Hertz::from_megahertz(mhz), terms });
    /// let table = CalibrationTable::new(&points, Reference::fifty(), -10.0)?;
    /// let mut corrector = table.corrector();
    /// let at = Hertz::from_megahertz(71);
    /// assert!(corrector.checked_correct(at, Reflection::new(0.3, 0.1)?).is_ok());
    /// // 1 + 0.5·(−2) = 0: no load reads −2.
    /// let pole = corrector.checked_correct(at, Reflection::new(-2.0, 0.0)?);
    /// assert_eq!(pole, Err(CalibrationError::AtPole(at)));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn checked_correct(
        &mut self,
        frequency: Hertz,
        raw: Reflection<A>,
    ) -> Result<Reflection<A>, CalibrationError> {
        let corrected = self.correct(frequency, raw)?;
        let terms = self.terms(frequency);
        if !terms.has_tracking() {
            return Err(CalibrationError::NoTracking(frequency));
        }
        match terms.checked_correct(raw) {
            Some(_) => Ok(corrected),
            None => Err(CalibrationError::AtPole(frequency)),
        }
    }

    fn terms(&self, frequency: Hertz) -> ErrorTerms<A> {
        match &self.stretch {
            None => ErrorTerms::PERFECT,
            Some(stretch) => match stretch.offset(frequency) {
                None | Some(0) => stretch.low.terms,
                Some(offset) => {
                    let (low, high) = (stretch.low.terms.parts(), stretch.high.terms.parts());
                    ErrorTerms::from_parts(A::between(&low, &high, offset, stretch.span))
                }
            },
        }
    }

    /// Goes to the interval of a frequency; stays at the present one if there is none.
    #[inline(never)]
    fn seek(&mut self, frequency: Hertz) -> Result<(), CalibrationError> {
        // Usually the next one.
        if let (Some(stretch), [next, rest @ ..]) = (&self.stretch, self.rest) {
            let candidate = Stretch::new(stretch.high, next);
            if candidate.offset(frequency).is_some() {
                self.stretch = Some(candidate);
                self.rest = rest;
                return Ok(());
            }
        }
        let above = self.points.partition_point(|point| point.frequency <= frequency);
        let (below, rest) = self.points.split_at_checked(above).unwrap_or((self.points, &[]));
        let stretch = match (below.last(), rest) {
            (Some(low), [high, ..]) => Stretch::new(low, high),
            // The upper end itself.
            (Some(low), []) if low.frequency == frequency => Stretch::new(low, low),
            _ => return Err(CalibrationError::Outside(frequency)),
        };
        self.stretch = Some(stretch);
        self.rest = rest.get(1..).unwrap_or(&[]);
        Ok(())
    }
}

#[inline]
fn corrected<A: Arithmetic>(stretch: &Stretch<'_, A>, offset: u64, raw: Reflection<A>) -> Reflection<A> {
    let (raw, low) = (raw.words(), stretch.low.terms.parts());
    let words = if offset == 0 {
        A::correct(raw, &low)
    } else {
        A::correct_between(raw, &low, &stretch.high.terms.parts(), offset, stretch.span)
    };
    Reflection::from_words(words)
}
