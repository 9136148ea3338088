//! Does a calibration still hold?

use super::{CalibrationError, CalibrationTable, Conditions, Corrector, Kit, Residual, Role, solve};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Complex, Component, Decibels, Hertz, Reflection};

/// The limits within which a calibration is accepted.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct QualityLimits<A: Arithmetic> {
    /// The largest accepted distance of a corrected standard from its known Γ: 0.02 by default, a directivity of 34 dB.
    /// Choose at least ten times the noise of a component of Γ.
    pub error: Component<A>,
    /// The largest difference in dB from the power of the calibration: 1 by default.
    pub power_db: Decibels<A>,
}

impl<A: Arithmetic> QualityLimits<A> {
    setters! {
        with_error(error: Component<A>);
        with_power_db(power_db: Decibels<A>);
    }
}

impl<A: Arithmetic> QualityLimits<A> {
    /// The defaults: an error of 0.02, and 1 dB.
    pub const fn new() -> Self {
        Self {
            error: Component::thousandths::<20>(),
            power_db: Decibels::whole::<1>(),
        }
    }
}

impl<A: Arithmetic> Default for QualityLimits<A> {
    /// [`new`](Self::new).
    fn default() -> Self {
        Self::new()
    }
}

/// The verdict on a calibration. If several apply, the first in this list is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
#[must_use = "it says whether the calibration still holds"]
pub enum QualityVerdict {
    /// More than half of the readings of the first standard agree with the second: they were exchanged, then or now.
    Exchanged(Role, Role),
    /// A corrected standard is further from its Γ than the limit: the fixture has changed. Calibrate again.
    Stale,
    /// It was made at another power. Calibrate at this one, or check with the standards that the power has no effect.
    OtherPower,
    /// No standard was read again, so nothing is known.
    Unchecked,
    /// The standards read correctly, but the terms are interpolated between the frequencies of the table.
    OtherGrid,
    /// The standards read correctly, under the conditions of the calibration.
    Good,
}

/// The reading of a standard with the largest error.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct WorstReading<A: Arithmetic> {
    /// The standard.
    pub role: Role,
    /// The frequency.
    pub frequency: Hertz,
    /// |corrected Γ − known Γ|.
    pub error: Component<A>,
}

/// The result of reading standards again.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
#[must_use = "it reports what was found"]
pub struct QualityReport<A: Arithmetic> {
    /// The number of readings.
    pub readings: u32,
    /// The worst reading.
    pub worst: Option<WorstReading<A>>,
    /// The residual errors; `None` if no three standards were read at one frequency
    /// ([`push_all`](QualityCheck::push_all)).
    pub residual: Option<Residual<A>>,
    /// True if the power differs by more than the limit.
    pub other_power: bool,
    /// True if the grid is different, or unknown.
    pub other_grid: bool,
    /// The verdict.
    pub verdict: QualityVerdict,
}

/// Compares standards that are read again with their known values; constant memory, one reading at a time.
///
/// With the standards of the calibration itself it shows drift, bad connections and exchanges. It cannot show that a
/// standard differs from its data; for that, read another one.
///
/// ```
/// use ohmwright::double::{Reference, Reflection};
/// use ohmwright::measure::calibration::{
///     CalibrationPoint, CalibrationTable, ErrorTerms, Kit, QualityCheck, QualityLimits, QualityVerdict, Role,
/// };
/// use ohmwright::quantity::Hertz;
///
/// let point = |mhz| CalibrationPoint { frequency: Hertz::from_megahertz(mhz), terms: ErrorTerms::PERFECT };
/// let points = [point(60), point(80)];
/// let table = CalibrationTable::<f64>::new(&points, Reference::fifty(), -10.0)?;
///
/// let mut check = QualityCheck::new(&table, Kit::IDEAL, QualityLimits::default());
/// // A second reading of the load: its |Γ| is now 0.05.
/// check.push(Role::Load, Hertz::from_megahertz(71), Reflection::new(0.03, -0.04)?)?;
/// assert_eq!(check.report(table.conditions()).verdict, QualityVerdict::Stale);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct QualityCheck<'a, A: Arithmetic> {
    corrector: Corrector<'a, A>,
    conditions: Conditions<A>,
    kit: Kit<A>,
    limits: QualityLimits<A>,
    /// The readings of each role, and how many of them agree with each other role.
    counts: [Count; 3],
    worst: Option<(Role, Hertz, A::Working)>,
    /// The squares of directivity, source match, and tracking minus 1.
    residual: Option<[A::Working; 3]>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for QualityCheck<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "check of a calibration");
    }
}

#[derive(Clone, Copy, Debug, Default)]
struct Count {
    readings: u32,
    as_other: [u32; 3],
}

impl<'a, A: Arithmetic> QualityCheck<'a, A> {
    /// A check of this table with this kit.
    pub fn new(table: &CalibrationTable<'a, A>, kit: Kit<A>, limits: QualityLimits<A>) -> Self {
        Self {
            corrector: table.corrector(),
            conditions: *table.conditions(),
            kit,
            limits,
            counts: [Count::default(); 3],
            worst: None,
            residual: None,
        }
    }

    /// Takes the raw reading of a standard that was connected again.
    ///
    /// # Errors
    /// [`CalibrationError::Outside`] for a frequency outside the table; the check is then unchanged.
    pub fn push(&mut self, role: Role, frequency: Hertz, raw: Reflection<A>) -> Result<(), CalibrationError> {
        let corrected = self.corrector.correct(frequency, raw)?;
        self.compare(role, frequency, corrected);
        Ok(())
    }

    /// Takes the raw readings of all three at one frequency, open, short, load: they also give the residual terms.
    ///
    /// # Errors
    /// [`CalibrationError::Outside`] for a frequency outside the table; the check is then unchanged.
    pub fn push_all(&mut self, frequency: Hertz, raw: &[Reflection<A>; 3]) -> Result<(), CalibrationError> {
        let mut corrected = [Reflection::MATCHED; 3];
        for (to, raw) in corrected.iter_mut().zip(raw) {
            *to = self.corrector.correct(frequency, *raw)?;
        }
        for (role, corrected) in Role::ALL.into_iter().zip(corrected) {
            self.compare(role, frequency, corrected);
        }
        let [open, short, load] = self.kit.exact(frequency, self.conditions.reference);
        let [a, b, c] = corrected.map(Reflection::complex);
        // A set without a solution has been counted as wrong above.
        if let Ok([directivity, source_match, tracking]) = solve::terms(&[(open, a), (short, b), (load, c)]) {
            let now = [directivity, source_match, tracking - Complex::ONE].map(Complex::power);
            let largest = self.residual.get_or_insert([A::Working::ZERO; 3]);
            for (largest, now) in largest.iter_mut().zip(now) {
                *largest = largest.larger(now);
            }
        }
        Ok(())
    }

    fn compare(&mut self, role: Role, frequency: Hertz, corrected: Reflection<A>) {
        let corrected = corrected.complex();
        let knowns = self.kit.exact(frequency, self.conditions.reference);
        let errors = knowns.map(|gamma| (corrected - gamma).power());
        let mut all = Role::ALL.into_iter().zip(errors);
        let Some((_, own)) = all.find(|(other, _)| *other == role) else {
            return;
        };
        if self.worst.is_none_or(|(_, _, worst)| worst < own) {
            self.worst = Some((role, frequency, own));
        }
        let limit = self.limit();
        let mut counts = self.counts.iter_mut().zip(Role::ALL);
        let Some((count, _)) = counts.find(|(_, other)| *other == role) else {
            return;
        };
        count.readings = count.readings.saturating_add(1);
        // Beyond the limit, and more than four times as near to another.
        if own > limit {
            let sixteen = A::Working::from_i32(16);
            for (as_other, error) in count.as_other.iter_mut().zip(errors) {
                if error * sixteen < own {
                    *as_other = as_other.saturating_add(1);
                }
            }
        }
    }

    /// The square of the largest accepted error.
    fn limit(&self) -> A::Working {
        self.limits.error.to_working().square()
    }

    /// The result of the readings so far, under the conditions of the present measurement.
    pub fn report(&self, now: &Conditions<A>) -> QualityReport<A> {
        let root = |power: A::Working| Component::<A>::from_working(power.square_root());
        let difference = now.power_dbm.to_working() - self.conditions.power_dbm.to_working();
        // NaN counts as another power.
        let same_power = difference.absolute() <= self.limits.power_db.to_working();
        let other_power = !same_power;
        let other_grid = now.grid != self.conditions.grid;
        let readings = self
            .counts
            .iter()
            .fold(0u32, |sum, count| sum.saturating_add(count.readings));
        let fresh = self.worst.is_none_or(|(_, _, worst)| worst <= self.limit());
        let exchanged = self.exchanged();
        let verdict = match exchanged {
            Some((one, other)) => QualityVerdict::Exchanged(one, other),
            None if !fresh => QualityVerdict::Stale,
            None if other_power => QualityVerdict::OtherPower,
            None if readings == 0 => QualityVerdict::Unchecked,
            None if other_grid => QualityVerdict::OtherGrid,
            None => QualityVerdict::Good,
        };
        QualityReport {
            readings,
            worst: self.worst.map(|(role, frequency, power)| WorstReading {
                role,
                frequency,
                error: root(power),
            }),
            residual: self
                .residual
                .map(|[directivity, source_match, tracking]| Residual {
                    directivity: root(directivity),
                    source_match: root(source_match),
                    tracking: root(tracking),
                }),
            other_power,
            other_grid,
            verdict,
        }
    }

    fn exchanged(&self) -> Option<(Role, Role)> {
        self.counts.iter().zip(Role::ALL).find_map(|(count, role)| {
            let most = count
                .as_other
                .iter()
                .zip(Role::ALL)
                .find(|(times, _)| **times > count.readings / 2)?;
            Some((role, most.1))
        })
    }
}

/// The interval in which an instrument with this residual (effective) directivity, dB, reads a return loss, dB:
/// −20·lg(|Γ| + d) and −20·lg ||Γ| − d|, since the phase between the two is unknown (common practice).
///
/// At a directivity of 40 dB a true 20 dB is read as 19.17 to 20.92 dB; a true 40 dB as 34 dB up to no reflection at
/// all (the family's largest value). Error in fixed point: 1e-4 dB, and more near equal values.
///
/// ```
/// use ohmwright::measure::calibration::reading_range;
/// let (low, high) = reading_range::<f64>(20.0.into(), 40.0.into());
/// assert!((low - 19.172).abs() < 1e-3 && (high - 20.915).abs() < 1e-3);
/// ```
pub fn reading_range<A: Arithmetic>(
    return_loss: Decibels<A>,
    directivity: Decibels<A>,
) -> (Decibels<A>, Decibels<A>) {
    let size = |loss: Decibels<A>| (-loss.to_working()).ratio_of_decibels().square_root();
    let (gamma, leak) = (size(return_loss), size(directivity));
    let loss = |size: A::Working| Decibels::<A>::from_working(-size.square().decibels());
    let high = if return_loss == directivity {
        Decibels::<A>::MAX
    } else {
        loss(gamma - leak)
    };
    (loss(gamma + leak), high)
}
