//! Error terms against frequency, and the correction of a sweep with them.

use super::{CalibrationError, CalibrationPoint, Conditions, ErrorTerms, Grid, Survey};
use crate::arithmetic::Arithmetic;
use crate::quantity::{Decibels, Hertz, Reference, Reflection};

/// A calibration over a range of frequencies, in memory of the caller's.
///
/// # Between the frequencies
/// Real and imaginary part of each term lie on a straight line from one frequency of the table to the next. A term that
/// is a single echo, exp(−jωτ), leaves that line by no more than θ²/8 of its size, θ being the angle (in radians) by which
/// it turns from one frequency to the next: 1e-3 for 5°, 4e-5 for 1°. Interpolated by magnitude and phase a single echo
/// would come out exactly; but directivity and source match are sums of several echoes, which pass near 0, where a phase
/// jumps and the interpolation fails by as much as the term; and it would cost a logarithm, an angle, a sine and a cosine
/// at each point. So: a grid on which tracking turns by less than some 5° from point to point, or the grid of the sweeps
/// themselves, where nothing is interpolated. [`Survey::unevenness`] tells how it is.
///
/// Outside of its ends nothing is extrapolated.
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
    /// Fewer than two points; frequencies that do not rise from each to the next.
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

    /// What the table shows by itself; goes through all of it.
    pub fn survey(&self) -> Survey<A> {
        Survey::of(self.points)
    }

    /// The terms at a frequency, interpolated where it lies between two of the table. Searches by halving;
    /// a [`Corrector`] is the better way through a sweep.
    ///
    /// # Errors
    /// A frequency outside of the table.
    pub fn terms_at(&self, frequency: Hertz) -> Result<ErrorTerms<A>, CalibrationError> {
        let mut corrector = self.corrector();
        corrector.seek(frequency)?;
        Ok(corrector.terms(frequency))
    }

    /// Starts to correct, at the lower end of the table.
    pub fn corrector(&self) -> Corrector<'a, A> {
        let (low, high, rest) = match self.points {
            [low, high, rest @ ..] => (Some(low), Some(high), rest),
            // Not constructible.
            _ => (None, None, self.points),
        };
        Corrector {
            points: self.points,
            rest,
            stretch: low.zip(high).map(|(low, high)| Stretch::new(low, high)),
        }
    }
}

/// Corrects readings with the terms of their frequency, and remembers where in the table it is.
///
/// # Complexity
/// Constant for a reading in the same stretch of the table as the one before, or in the next; else a search by halving.
/// Going through a sweep upwards never searches. Nothing is divided where the stretch stays the same. In fixed point the
/// interpolated terms are within 1e-9 (and 4e-9 of a step) of the straight line.
#[derive(Clone, Copy, Debug)]
pub struct Corrector<'a, A: Arithmetic> {
    points: &'a [CalibrationPoint<A>],
    /// The points above the present stretch.
    rest: &'a [CalibrationPoint<A>],
    /// `None` only for a table that could not be made.
    stretch: Option<Stretch<'a, A>>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Corrector<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "corrector of {=usize} points", self.points.len());
    }
}

/// Two neighbours of the table; at the very top twice the same.
#[derive(Clone, Copy, Debug)]
struct Stretch<'a, A: Arithmetic> {
    low: &'a CalibrationPoint<A>,
    high: &'a CalibrationPoint<A>,
    /// How many hertz from `low` belong to it.
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

    /// The distance from the lower point, if it belongs here.
    #[inline]
    fn offset(&self, frequency: Hertz) -> Option<u64> {
        let offset = frequency.get().wrapping_sub(self.low.frequency.get());
        (offset < self.width).then_some(offset)
    }
}

impl<'a, A: Arithmetic> Corrector<'a, A> {
    /// The load behind a raw reading at this frequency; see [`ErrorTerms::correct`] for error and saturation.
    ///
    /// # Errors
    /// A frequency outside of the table.
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

    /// Goes to the stretch of a frequency; stays where it is if there is none.
    #[inline(never)]
    fn seek(&mut self, frequency: Hertz) -> Result<(), CalibrationError> {
        // The next one, as a rule.
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
            // The top itself.
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
