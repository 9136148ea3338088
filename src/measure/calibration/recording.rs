//! The sweeps of the three standards, recorded one after the other in the memory that then holds the table.

use super::{
    CalibrationError, CalibrationFailure, CalibrationPoint, CalibrationTable, ErrorTerms, Kit, Role,
};
use crate::arithmetic::Arithmetic;
use crate::quantity::{Decibels, Hertz, Reference, Reflection};

/// Takes the raw sweeps of open, short and load, in any order, into the caller's memory; no other memory grows.
///
/// Until it is [solved](Self::solve), the three terms of each point hold the three readings. The first standard that is
/// read fixes the grid; the others must follow it, frequency by frequency. They may do so sweep by sweep, or, if a
/// switch connects them, all three at each frequency. See the [example](super#) of the module.
#[derive(Debug)]
pub struct Recording<'a, A: Arithmetic> {
    buffer: &'a mut [CalibrationPoint<A>],
    /// The number of readings of each role.
    taken: [usize; 3],
    /// The standard read first.
    leader: Option<Role>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Recording<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let [open, short, load] = Role::ALL.map(|role| self.taken(role));
        defmt::write!(
            f,
            "{=usize} readings of the open, {=usize} of the short, {=usize} of the load",
            open,
            short,
            load
        );
    }
}

fn index(role: Role) -> usize {
    match role {
        Role::Open => 0,
        Role::Short => 1,
        Role::Load => 2,
    }
}

impl<'a, A: Arithmetic> Recording<'a, A> {
    /// The capacity in frequencies is the length of `buffer`.
    pub fn new(buffer: &'a mut [CalibrationPoint<A>]) -> Self {
        Self {
            buffer,
            taken: [0; 3],
            leader: None,
        }
    }

    /// Takes the next reading of a standard.
    ///
    /// # Errors
    /// [`NotRising`](CalibrationError::NotRising) for a frequency of the first standard that does not rise;
    /// [`GridDiffers`](CalibrationError::GridDiffers) for one that is not the next of the grid (other standards);
    /// [`Full`](CalibrationError::Full) beyond the capacity. Nothing is then changed.
    pub fn push(&mut self, role: Role, frequency: Hertz, raw: Reflection<A>) -> Result<(), CalibrationError> {
        let leader = self.leader.unwrap_or(role);
        let place = self.taken(role);
        if role == leader {
            let before = place.checked_sub(1).and_then(|place| self.buffer.get(place));
            if before.is_some_and(|before| before.frequency >= frequency) {
                return Err(CalibrationError::NotRising(place as u32));
            }
            let capacity = self.buffer.len() as u32;
            let point = self
                .buffer
                .get_mut(place)
                .ok_or(CalibrationError::Full(capacity))?;
            point.frequency = frequency;
        } else {
            let end = self.taken(leader);
            let expected = self
                .buffer
                .get(place)
                .filter(|_| place < end)
                .map(|point| point.frequency);
            if expected != Some(frequency) {
                return Err(CalibrationError::GridDiffers {
                    index: place as u32,
                    expected,
                    found: frequency,
                });
            }
        }
        if let Some(point) = self.buffer.get_mut(place) {
            match role {
                Role::Open => point.terms.directivity = raw,
                Role::Short => point.terms.source_match = raw,
                Role::Load => point.terms.tracking = raw,
            }
        }
        self.leader = Some(leader);
        if let Some(taken) = self.taken.get_mut(index(role)) {
            *taken = place.saturating_add(1);
        }
        Ok(())
    }

    /// The number of readings of a standard.
    pub fn taken(&self, role: Role) -> usize {
        self.taken.get(index(role)).copied().unwrap_or(0)
    }

    /// Deletes the readings of one standard, so that it can be read again; the grid remains if another standard has it.
    pub fn restart(&mut self, role: Role) {
        let whole = self.leader.map_or(0, |leader| self.taken(leader));
        if let Some(taken) = self.taken.get_mut(index(role)) {
            *taken = 0;
        }
        if self.leader == Some(role) {
            // Another standard that was read to the end has the grid as well; without one the next standard fixes it.
            self.leader = Role::ALL
                .into_iter()
                .find(|other| whole > 0 && self.taken(*other) == whole);
            if self.leader.is_none() {
                self.taken = [0; 3];
            }
        }
    }

    /// The readings at an index of the grid, if all three are there: open, short, load.
    pub fn readings(&self, index: usize) -> Option<(Hertz, [Reflection<A>; 3])> {
        if self.taken.iter().any(|taken| *taken <= index) {
            return None;
        }
        let point = self.buffer.get(index)?;
        let terms = point.terms;
        Some((
            point.frequency,
            [terms.directivity, terms.source_match, terms.tracking],
        ))
    }

    /// Solves for the error terms at every frequency, in the same memory.
    ///
    /// `power_dbm` is the power of the source as the caller states it; it is stored with the table. Γ of the kit, and
    /// so of corrected readings, refers to `reference`.
    ///
    /// # Errors
    /// [`Unread`](CalibrationError::Unread) for a standard not read to the end;
    /// [`TooShort`](CalibrationError::TooShort) below two frequencies; the errors of [`ErrorTerms::solve`], with the
    /// frequency. In the last case the readings are lost.
    pub fn solve(
        self,
        kit: &Kit<A>,
        reference: Reference<A>,
        power_dbm: impl Into<Decibels<A>>,
    ) -> Result<CalibrationTable<'a, A>, CalibrationFailure> {
        let mut recording = self;
        let whole = recording.solve_all(kit, reference)?;
        let (points, _) = recording.buffer.split_at_checked(whole).unwrap_or_default();
        Ok(CalibrationTable::new(points, reference, power_dbm)?)
    }

    /// The same without giving up `self`, and with it the memory: once the table is done with (or there is none, since a
    /// standard was read wrongly), the next calibration is recorded in the same place.
    ///
    /// The readings are spent, so `self` is as new; [`into_room`](Self::into_room) gives the memory back, with
    /// the terms of as many points as the table had.
    ///
    /// ```
    /// use ohmwright::fixed_point::{CalibrationPoint, Decibels, Kit, Reference, Reflection};
    /// use ohmwright::measure::calibration::{Recording, Role};
    /// use ohmwright::quantity::Hertz;
    ///
    /// let mut room = [CalibrationPoint::EMPTY; 2];
    /// let mut recording = Recording::new(&mut room);
    /// // The second standard is an open once more: no calibration comes of it, but nothing is lost.
    /// for (short, is_good) in [(Reflection::OPEN, false), (Reflection::SHORT, true)] {
    ///     for (role, raw) in [(Role::Open, Reflection::OPEN), (Role::Short, short), (Role::Load, Reflection::MATCHED)] {
    ///         recording.push(role, Hertz::from_megahertz(60), raw)?;
    ///         recording.push(role, Hertz::from_megahertz(80), raw)?;
    ///     }
    ///     let table = recording.solve_in_place(&Kit::IDEAL, Reference::fifty(), Decibels::whole::<-10>());
    ///     assert_eq!(table.is_ok(), is_good);
    /// }
    /// assert_eq!(recording.into_room()[1].frequency, Hertz::from_megahertz(80));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// As [`solve`](Self::solve). What was not read to the end keeps its readings.
    pub fn solve_in_place(
        &mut self,
        kit: &Kit<A>,
        reference: Reference<A>,
        power_dbm: impl Into<Decibels<A>>,
    ) -> Result<CalibrationTable<'_, A>, CalibrationFailure> {
        let whole = self.solve_all(kit, reference)?;
        let (points, _) = self.buffer.split_at_checked(whole).unwrap_or_default();
        Ok(CalibrationTable::new(points, reference, power_dbm)?)
    }

    /// The memory, for something else. Its points hold readings of standards where nothing was solved.
    pub fn into_room(self) -> &'a mut [CalibrationPoint<A>] {
        self.buffer
    }

    /// Puts the terms in the place of the readings; how many points there are.
    fn solve_all(&mut self, kit: &Kit<A>, reference: Reference<A>) -> Result<usize, CalibrationFailure> {
        let whole = self.leader.map_or(0, |leader| self.taken(leader));
        let unread = Role::ALL
            .into_iter()
            .find(|role| self.taken(*role) < whole.max(1));
        if let Some(role) = unread {
            return Err(CalibrationFailure {
                frequency: self
                    .buffer
                    .get(self.taken(role))
                    .filter(|_| whole > 0)
                    .map(|point| point.frequency),
                cause: CalibrationError::Unread(role),
            });
        }
        (self.taken, self.leader) = ([0; 3], None);
        let (points, _) = self.buffer.split_at_mut_checked(whole).unwrap_or_default();
        for point in points.iter_mut() {
            let raw = [
                point.terms.directivity,
                point.terms.source_match,
                point.terms.tracking,
            ];
            point.terms = ErrorTerms::solve(kit, point.frequency, reference, &raw).map_err(|cause| {
                CalibrationFailure {
                    frequency: Some(point.frequency),
                    cause,
                }
            })?;
        }
        Ok(whole)
    }
}
