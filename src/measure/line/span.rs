//! The even grid of a sweep, and why a line could not be measured.

use core::fmt;

use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::quantity::{Hertz, LIGHT, Metres, VelocityFactor, positive};

/// Why a setting or a point was refused, or a line could not be measured. What refused it is unchanged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum LineError {
    /// A value was refused.
    Quantity(QuantityError),
    /// The last frequency is not above the first.
    Empty,
    /// The sweep needs at least this many points.
    TooFewPoints(u32),
    /// The distances are further apart than the sweep resolves: reflections between them would be lost.
    Sparse,
    /// The distances reach beyond the unambiguous range of the sweep, where reflections appear at a wrong place.
    TooFar,
    /// The frequency is none of the sweep's: its points must be evenly spaced from the first to the last.
    OffGrid(Hertz),
    /// The frequency is not behind the one before it, in the direction of the sweep.
    OutOfOrder(Hertz),
    /// This many points of the sweep are missing.
    Unfinished(u32),
    /// The line is shorter than the sweep resolves: a wider span is needed.
    TooShort,
    /// No echo of an end stands out: it lies too far away, is lost in the loss of the line, or matches it.
    NoEcho,
}

impl fmt::Display for LineError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Quantity(error) => error.fmt(f),
            Self::Empty => f.write_str("the last frequency of a sweep must be above the first"),
            Self::TooFewPoints(least) => write!(f, "at least {least} points are needed"),
            Self::Sparse => f.write_str("the distances are further apart than the sweep resolves"),
            Self::TooFar => f.write_str("the distances reach beyond the unambiguous range of the sweep"),
            Self::OffGrid(frequency) => write!(
                f,
                "{frequency} is no point of an evenly spaced sweep between the first and the last frequency"
            ),
            Self::OutOfOrder(frequency) => write!(f, "{frequency} is out of order"),
            Self::Unfinished(missing) => write!(f, "{missing} points of the sweep are missing"),
            Self::TooShort => {
                f.write_str("the line is shorter than the sweep resolves; a wider span is needed")
            }
            Self::NoEcho => f.write_str("no echo of an end stands out"),
        }
    }
}

impl core::error::Error for LineError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            _ => None,
        }
    }
}

impl From<QuantityError> for LineError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

/// An evenly spaced sweep, taken point by point in either direction.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span<W> {
    start: Hertz,
    /// Hertz from the first to the last frequency.
    hertz: u64,
    points: u32,
    taken: u32,
    last: Option<Hertz>,
    /// From the first frequency to the last: 1; of one step: 1/(points − 1).
    step: W,
}

impl<W: Real> Span<W> {
    /// At least `least` points.
    pub fn new(start: Hertz, stop: Hertz, points: u32, least: u32) -> Result<Self, LineError> {
        if stop <= start {
            return Err(LineError::Empty);
        }
        if points < least.max(2) {
            return Err(LineError::TooFewPoints(least.max(2)));
        }
        Ok(Self {
            start,
            hertz: stop.get().abs_diff(start.get()),
            points,
            taken: 0,
            last: None,
            step: W::ONE / W::from_u64(u64::from(points.saturating_sub(1))),
        })
    }

    /// The same sweep before its first point.
    pub fn anew(self) -> Self {
        Self {
            taken: 0,
            last: None,
            ..self
        }
    }

    /// The next point: its place, 0 at the first frequency and 1 at the last.
    pub fn take(&mut self, frequency: Hertz) -> Result<W, LineError> {
        let offset = frequency.get().wrapping_sub(self.start.get());
        if frequency < self.start || offset > self.hertz || self.taken >= self.points {
            return Err(LineError::OffGrid(frequency));
        }
        let place = W::from_u64(offset) / W::from_u64(self.hertz);
        // The first point tells the direction.
        let falling = match self.last {
            None => offset != 0,
            Some(last) => frequency < last,
        };
        let steps = W::from_u64(u64::from(self.points.saturating_sub(1)));
        let at = W::from_u64(u64::from(self.taken));
        let wanted = if falling { steps - at } else { at };
        // A frequency to the nearest hertz, or to that of a synthesiser, is as good as even.
        let quarter = W::HALF * W::HALF;
        if self.last == Some(frequency) {
            return Err(LineError::OutOfOrder(frequency));
        }
        if (place * steps - wanted).absolute() > quarter {
            return Err(LineError::OffGrid(frequency));
        }
        self.taken = self.taken.saturating_add(1);
        self.last = Some(frequency);
        Ok(place)
    }

    /// The place of a point within the window: half a step from 0 at the first frequency, so that none has no weight.
    pub fn within(&self, place: W) -> W {
        (place + self.step * W::HALF) / (W::ONE + self.step)
    }

    pub fn finished(&self) -> Result<(), LineError> {
        match self.points.saturating_sub(self.taken) {
            0 => Ok(()),
            missing => Err(LineError::Unfinished(missing)),
        }
    }

    pub fn taken(&self) -> u32 {
        self.taken
    }

    pub fn hertz(&self) -> u64 {
        self.hertz
    }

    /// Cells from 0 to where distances appear again.
    pub fn cells(&self) -> W {
        W::from_u64(u64::from(self.points.saturating_sub(1)))
    }
}

/// Metres of one cell, v/(2·span), with a checked velocity factor.
pub(super) fn metres_per_cell<A: Arithmetic>(
    velocity_factor: VelocityFactor<A>,
    hertz: u64,
) -> Result<A::Working, QuantityError> {
    let factor = positive(velocity_factor, "velocity factor")?.to_working();
    if factor > A::Working::ONE {
        return Err(outside!("velocity factor", "must be above 0 and at most 1"));
    }
    Ok(factor * A::Working::from_u64(LIGHT) / A::Working::from_u64(hertz) * A::Working::HALF)
}

/// A distance of so many cells, saturating; 0 for a negative one.
pub(super) fn metres<A: Arithmetic>(cells: A::Working, per_cell: A::Working) -> Metres<A> {
    Metres::<A>::from_working((cells * per_cell).larger(A::Working::ZERO))
}
