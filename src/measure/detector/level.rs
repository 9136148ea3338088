//! From the counts of a diode detector, with a square law at low levels and a linear one at high levels, to volts.

use super::{Channel, DetectorError};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::Volts;

/// A correction table: the level of each count, linearly interpolated. The caller owns the points.
///
/// Any unit of level proportional to the voltage may be used; power readings need volts (root mean square at the
/// detector's input). A linear detector needs two points. Between two points of a curve the straight line is wrong by
/// at most h²/8 of the largest curvature, h being their distance in counts: a square-law region needs close points,
/// each at no more than twice the level of the one before.
///
/// ```
/// use ohmwright::measure::detector::LevelTable;
///
/// // A diode that gives nothing below 20 counts; invented.
/// let points = [(20, 0.0), (24, 0.1), (40, 0.22), (300, 1.0), (3_000, 8.2)].map(|(count, volts)| (count, volts.into()));
/// let table = LevelTable::<f64>::new(&points)?;
/// assert_eq!(table.points().len(), 5);
/// // Each point must be above the one before.
/// assert!(LevelTable::<f64>::new(&[(20, 0.0.into()), (20, 0.1.into())]).is_err());
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelTable<'a, A: Arithmetic> {
    points: &'a [(i32, Volts<A>)],
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for LevelTable<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "table of {=usize} points", self.points.len());
        if let [(low, least), .., (high, most)] = self.points {
            defmt::write!(
                f,
                ", {=i32} counts for {} to {=i32} for {}",
                low,
                least,
                high,
                most
            );
        }
    }
}

/// The result of a table for a count.
pub(super) enum Level<W> {
    /// Below the first point, which has this level.
    Below(W),
    Inside(W),
    Above,
}

impl<'a, A: Arithmetic> LevelTable<'a, A> {
    /// A table of counts and volts, both growing from point to point.
    ///
    /// # Errors
    /// [`DetectorError::TableTooShort`] below two points; [`DetectorError::TableNotMonotone`] with the index of the
    /// point after which the table does not grow, or whose volts are negative or not finite.
    pub fn new(points: &'a [(i32, Volts<A>)]) -> Result<Self, DetectorError> {
        if points.len() < 2 {
            return Err(DetectorError::TableTooShort);
        }
        let sound = |volts: Volts<A>| volts.is_finite() && volts >= Volts::<A>::ZERO;
        let mut before: Option<(i32, Volts<A>)> = None;
        let mut place = 0usize;
        for &(counts, volts) in points {
            if !sound(volts) {
                return Err(DetectorError::TableNotMonotone(place));
            }
            if before.is_some_and(|(lower, less)| counts <= lower || volts <= less) {
                return Err(DetectorError::TableNotMonotone(place.wrapping_sub(1)));
            }
            before = Some((counts, volts));
            place = place.wrapping_add(1);
        }
        Ok(Self { points })
    }

    /// The points.
    pub fn points(&self) -> &'a [(i32, Volts<A>)] {
        self.points
    }

    /// The level of a count, in the unit of the table.
    ///
    /// # Errors
    /// [`DetectorError::BelowTable`] and [`DetectorError::AboveTable`], with `channel`.
    pub fn level(&self, counts: i32, channel: Channel) -> Result<Volts<A>, DetectorError> {
        self.inside(counts, channel).map(Volts::<A>::from_working)
    }

    pub(super) fn inside(&self, counts: i32, channel: Channel) -> Result<A::Working, DetectorError> {
        match self.look_up(counts) {
            Level::Inside(level) => Ok(level),
            Level::Below(_) => Err(DetectorError::BelowTable(channel)),
            Level::Above => Err(DetectorError::AboveTable(channel)),
        }
    }

    /// A binary search: about ten steps for a thousand points.
    pub(super) fn look_up(&self, counts: i32) -> Level<A::Working> {
        let above = self.points.partition_point(|(point, _)| *point <= counts);
        let at = |place: usize| self.points.get(place).copied();
        let (below, above) = match (above.checked_sub(1).and_then(at), at(above)) {
            (Some(below), Some(above)) => (below, above),
            // At the last point, or beyond.
            (Some((last, volts)), None) if counts == last => return Level::Inside(volts.to_working()),
            (Some(_), None) => return Level::Above,
            (None, first) => {
                return Level::Below(first.map_or(A::Working::ZERO, |(_, volts)| volts.to_working()));
            }
        };
        let distance = |from: i32, to: i32| A::Working::from_u64(to.abs_diff(from) as u64);
        let (low, high) = (below.1.to_working(), above.1.to_working());
        let share = distance(below.0, counts) / distance(below.0, above.0);
        Level::Inside(low + (high - low) * share)
    }
}
