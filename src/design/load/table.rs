//! A load as rows of a data sheet.

use super::{Load, LoadError};
use crate::arithmetic::{Arithmetic, Quantity};
use crate::quantity::{Complex, Hertz, Impedance, Ohms};

/// An impedance against frequency, in rows that the caller owns.
///
/// Between two rows, resistance and reactance are interpolated linearly; at a row the value is that of the row. The
/// table is not extrapolated. Error: that of the interpolation, which depends on the distance of the rows, plus a
/// rounding of the word (the family's number type), plus 1e-8 of the larger row in fixed point.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LoadTable<'a, A: Arithmetic> {
    rows: &'a [(Hertz, Impedance<A>)],
}

impl<'a, A: Arithmetic> LoadTable<'a, A> {
    /// From rows in rising order of frequency.
    ///
    /// ```
    /// use ohmwright::design::load::{Load, LoadError, LoadTable};
    /// use ohmwright::quantity::{Hertz, Impedance};
    ///
    /// let rows = [
    ///     (Hertz::from_megahertz(66), Impedance::<f64>::new(2.0, -3.0)?),
    ///     (Hertz::from_megahertz(74), Impedance::new(1.6, -1.0)?),
    /// ];
    /// let input = LoadTable::new(&rows)?;
    /// let at_70 = input.at(Hertz::from_megahertz(70))?;
    /// assert!((at_70.resistance() - 1.8).abs() < 1e-12 && (at_70.reactance() + 2.0).abs() < 1e-12);
    /// assert_eq!(input.at(Hertz::from_megahertz(75)), Err(LoadError::BeyondTable(Hertz::from_megahertz(75))));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// `NoRows`; `OutOfOrder` for a row that is not above the one before it in frequency; `OpenRow` for an open.
    pub fn new(rows: &'a [(Hertz, Impedance<A>)]) -> Result<Self, LoadError> {
        let mut last = None;
        for (place, (frequency, impedance)) in rows.iter().enumerate() {
            if last.is_some_and(|last| *frequency <= last) {
                return Err(LoadError::OutOfOrder(place));
            }
            if impedance.is_open() {
                return Err(LoadError::OpenRow(place));
            }
            last = Some(*frequency);
        }
        if last.is_none() {
            return Err(LoadError::NoRows);
        }
        Ok(Self { rows })
    }

    /// The rows.
    pub fn rows(&self) -> &'a [(Hertz, Impedance<A>)] {
        self.rows
    }
}

impl<A: Arithmetic> Load<A> for LoadTable<'_, A> {
    fn at(&self, frequency: Hertz) -> Result<Impedance<A>, LoadError> {
        let above = self.rows.partition_point(|row| row.0 < frequency);
        let (upper, high) = self.rows.get(above).ok_or(LoadError::BeyondTable(frequency))?;
        if *upper == frequency {
            return Ok(*high);
        }
        // The first row has none before it.
        let before = above.checked_sub(1).and_then(|place| self.rows.get(place));
        let (lower, low) = before.ok_or(LoadError::BeyondTable(frequency))?;
        let step = upper.get().abs_diff(lower.get());
        let share: A::Working = frequency.steps_from(*lower, step);
        let between = |low: Ohms<A>, high: Ohms<A>| {
            let (low, high) = (low.to_working(), high.to_working());
            low + share * (high - low)
        };
        Ok(Impedance::from_complex(Complex::new(
            between(low.resistance(), high.resistance()),
            between(low.reactance(), high.reactance()),
        )))
    }
}
