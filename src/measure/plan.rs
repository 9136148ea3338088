//! Where to measure: plans of frequencies, and readings placed where they tell most.

use core::fmt;

use heapless::Vec;

use super::sweep::{SweepAnalyser, SweepReport, SweepSettings};
use crate::arithmetic::{Arithmetic, QuantityError, Real, Scaled};
use crate::quantity::{Hertz, Reflection};

/// Why a plan was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum PlanError {
    /// A sweep has at least two points.
    TooFewPoints,
    /// The last frequency is not above the first.
    Empty,
    /// Two points would fall on the same whole hertz.
    TooManyPoints,
    /// A logarithmic sweep cannot begin at 0 Hz.
    FromZero,
    /// The list does not rise: the frequency that is not above the one before.
    NotRising(Hertz),
}

impl fmt::Display for PlanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewPoints => f.write_str("a sweep has at least two points"),
            Self::Empty => f.write_str("the last frequency of a sweep must be above the first"),
            Self::TooManyPoints => f.write_str("the points of the sweep stand closer than a hertz"),
            Self::FromZero => f.write_str("a logarithmic sweep cannot begin at 0 Hz"),
            Self::NotRising(frequency) => write!(f, "{frequency} is not above the frequency before it"),
        }
    }
}

impl core::error::Error for PlanError {}

/// How the points of a plan are spread.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Spread<'a> {
    Linear,
    /// The ratio of the last frequency to the first in dB: a plan is the same in every family, so it is worked out in
    /// integers.
    Logarithmic(Scaled),
    List(&'a [Hertz]),
}

/// The frequencies of a sweep, rising; each is worked out when it is asked for.
///
/// The same whole hertz in every family and on every core: integers inside.
///
/// ```
/// use ohmwright::measure::FrequencyPlan;
/// use ohmwright::quantity::Hertz;
///
/// let plan = FrequencyPlan::linear(Hertz::from_megahertz(68), Hertz::from_megahertz(74), 4)?;
/// let megahertz: Vec<u64> = plan.iter().map(|frequency| frequency.get() / 1_000_000).collect();
/// assert_eq!(megahertz, [68, 70, 72, 74]);
/// # Ok::<(), ohmwright::measure::PlanError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrequencyPlan<'a> {
    start: Hertz,
    stop: Hertz,
    points: u32,
    spread: Spread<'a>,
}

#[cfg(feature = "defmt")]
impl defmt::Format for FrequencyPlan<'_> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "{=u32} points from {} to {}",
            self.points,
            self.start,
            self.stop
        );
    }
}

impl<'a> FrequencyPlan<'a> {
    /// Evenly spaced from `start` to `stop`, both included; each point to the nearest hertz.
    ///
    /// # Errors
    /// Fewer than two points; `stop` not above `start`; more points than there are whole hertz.
    pub fn linear(start: Hertz, stop: Hertz, points: u32) -> Result<Self, PlanError> {
        let steps = Self::checked(start, stop, points)?;
        if stop.get().abs_diff(start.get()) < steps {
            return Err(PlanError::TooManyPoints);
        }
        Ok(Self {
            start,
            stop,
            points,
            spread: Spread::Linear,
        })
    }

    /// With the same ratio from each point to the next, from `start` to `stop`, both included.
    ///
    /// Each point lies within 3e-8 of its place, or half a hertz.
    ///
    /// # Errors
    /// As [`linear`](Self::linear), and a start at 0 Hz.
    pub fn logarithmic(start: Hertz, stop: Hertz, points: u32) -> Result<Self, PlanError> {
        let steps = Self::checked(start, stop, points)?;
        if start.get() == 0 {
            return Err(PlanError::FromZero);
        }
        let ratio = Scaled::from_u64(stop.get()) / Scaled::from_u64(start.get());
        // The logarithm is a short one: one step of Newton's method on its inverse brings the digits that it lacks.
        let rough = ratio.decibels();
        let missing = (ratio / rough.ratio_of_decibels() - <Scaled as Real>::ONE) * NEPER_POWER;
        let plan = Self {
            start,
            stop,
            points,
            spread: Spread::Logarithmic(rough + missing),
        };
        // The first step is the smallest: 1 % of slack keeps all the others apart, roundings included.
        let first = Scaled::from_u64(start.get()) * (rough / Scaled::from_u64(steps)).ratio_of_decibels();
        if first < Scaled::from_u64(start.get()) + Scaled::from_parts(1035, -10) {
            return Err(PlanError::TooManyPoints);
        }
        Ok(plan)
    }

    /// The frequencies of a list that rises.
    ///
    /// # Errors
    /// Fewer than two, or a frequency that is not above the one before.
    pub fn list(frequencies: &'a [Hertz]) -> Result<Self, PlanError> {
        let (Some(start), Some(stop)) = (frequencies.first(), frequencies.last()) else {
            return Err(PlanError::TooFewPoints);
        };
        let points = u32::try_from(frequencies.len()).map_err(|_| PlanError::TooManyPoints)?;
        if points < 2 {
            return Err(PlanError::TooFewPoints);
        }
        for pair in frequencies.windows(2) {
            if let [before, after] = pair
                && after <= before
            {
                return Err(PlanError::NotRising(*after));
            }
        }
        Ok(Self {
            start: *start,
            stop: *stop,
            points,
            spread: Spread::List(frequencies),
        })
    }

    /// The number of steps.
    fn checked(start: Hertz, stop: Hertz, points: u32) -> Result<u64, PlanError> {
        if points < 2 {
            return Err(PlanError::TooFewPoints);
        }
        if stop <= start {
            return Err(PlanError::Empty);
        }
        Ok(points.saturating_sub(1) as u64)
    }

    /// The lowest frequency.
    pub fn start(&self) -> Hertz {
        self.start
    }

    /// The highest frequency.
    pub fn stop(&self) -> Hertz {
        self.stop
    }

    /// How many points it has.
    pub fn points(&self) -> u32 {
        self.points
    }

    /// The frequency of a point, counted from 0; `None` past the last.
    pub fn point(&self, index: u32) -> Option<Hertz> {
        let last = self.points.saturating_sub(1);
        if index >= self.points {
            return None;
        }
        if index == 0 {
            return Some(self.start);
        }
        if index == last {
            return Some(self.stop);
        }
        match self.spread {
            Spread::Linear => {
                let width = self.stop.get().saturating_sub(self.start.get());
                let offset = part_of(width, index, last);
                Some(Hertz::new(self.start.get().saturating_add(offset)))
            }
            Spread::Logarithmic(decibels) => {
                let share = Scaled::from_u64(index as u64) / Scaled::from_u64(last as u64);
                let place = Scaled::from_u64(self.start.get()) * (decibels * share).ratio_of_decibels();
                Some(Hertz::new(place.to_i64().unsigned_abs()))
            }
            Spread::List(frequencies) => frequencies.get(index as usize).copied(),
        }
    }

    /// The frequencies one after the other.
    pub fn iter(&self) -> impl Iterator<Item = Hertz> + '_ {
        (0..self.points).filter_map(|index| self.point(index))
    }
}

/// 10/ln 10, dB in a neper of power: `round(2²⁸ · 4.342 944 819 032 5…)`.
const NEPER_POWER: Scaled = Scaled::constant(1_165_800_764, -28);

/// `width · index / last` to the nearest, halves upwards, for `index` up to `last`: no 128-bit product.
fn part_of(width: u64, index: u32, last: u32) -> u64 {
    let (index, last) = (index as u64, (last as u64).max(1));
    let (whole, rest) = (width / last, width % last);
    // The rest is below 2³², so its product with the index is below 2⁶⁴; the half is added without a carry out.
    let product = rest * index;
    let more = (product / last).wrapping_add(u64::from(product % last >= last.div_ceil(2)));
    whole.saturating_mul(index).saturating_add(more)
}

/// A reading this many times the wanted error from an estimate settles it: each step of the estimate is much smaller than
/// the one before (the largest error found among 2000 invented loads is in `tests/analyser/refinement.rs`), and readings that
/// stand closer than they need be multiply their rounding.
const SLACK: u64 = 4;

/// What a [`Refinement`] asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
#[must_use = "it says where to read next"]
pub enum NextReading {
    /// Measure here, and hand the reading to [`add`](Refinement::add).
    At(Hertz),
    /// Every dip and every band edge is known to the wanted error.
    Settled,
    /// There is no room for another reading, and something is not known well enough yet.
    Full,
}

/// Why a reading was refused. Nothing has changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum RefinementError {
    /// There is a reading at this frequency.
    Repeated(Hertz),
    /// There is no room for another reading.
    Full,
}

impl fmt::Display for RefinementError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Repeated(frequency) => write!(f, "there is a reading at {frequency} already"),
            Self::Full => f.write_str("there is no room for another reading"),
        }
    }
}

impl core::error::Error for RefinementError {}

/// After a coarse sweep: where to measure next, so that each dip and each band edge is known with the fewest readings.
///
/// It holds up to `POINTS` readings, and looks at them with a [`SweepAnalyser`] that has room for `N` dips and bands.
/// Each dip and edge the analyser finds between the points is measured there; that reading moves the estimate. When
/// the estimate stays within the wanted error of a reading, the figure is settled: the step from one estimate to the
/// next is then smaller than the error, and the step after that much smaller again.
///
/// What the coarse sweep does not show at all is not looked for: three points to the width of a dip will do. At the
/// edges of the sweep nothing is refined, since what lies outside is not known.
///
/// When it pays: to be sure of every figure to a stated error, since each is confirmed by a reading beside it. Where the
/// readings are clean and the load is one resonance, an even grid of as many points tells as much through the analyser's
/// curves (`tests/analyser/refinement.rs` measures it); by its lowest sample one of a hundred times as many does not.
///
/// Readings are taken as they are: a curve goes through the nearest ones. Where they are noisy, [`averaging`] fits curves
/// to many; then no figure is known better than the noise allows, however close the readings stand. It still ends, since
/// the estimates then stay put or the room is used up.
///
/// [`averaging`]: Self::averaging
///
/// # Complexity
/// `next` runs the analyser over all readings: `POINTS` times its cost of a point.
///
/// ```
/// use ohmwright::double::{Impedance, Reference};
/// use ohmwright::measure::{FrequencyPlan, NextReading, Refinement, SweepSettings};
/// use ohmwright::quantity::Hertz;
///
/// // A load of 40 Ω and 100 nH that resonates at 70.2 MHz.
/// let measure = |frequency: Hertz| {
///     let ratio = frequency.get() as f64 / 70.2e6;
///     let reactance = 44.1 * (ratio - 1.0 / ratio);
///     Impedance::new(40.0, reactance).unwrap().reflection(Reference::fifty())
/// };
/// let mut sweep = Refinement::<f64, 40, 4>::new(SweepSettings::default(), Hertz::new(1_000))?;
/// let coarse = FrequencyPlan::linear(Hertz::from_megahertz(50), Hertz::from_megahertz(90), 9).unwrap();
/// for frequency in coarse.iter() {
///     sweep.add(frequency, measure(frequency)).unwrap();
/// }
/// while let NextReading::At(frequency) = sweep.next() {
///     sweep.add(frequency, measure(frequency)).unwrap();
/// }
/// let dip = sweep.report().best().unwrap();
/// assert!(dip.frequency.get().abs_diff(70_200_000) < 1_000);
/// assert!(sweep.readings() < 20);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Refinement<A: Arithmetic, const POINTS: usize, const N: usize> {
    /// Without points: each report begins with a copy of it.
    analyser: SweepAnalyser<A, N>,
    wanted: Hertz,
    /// In order of frequency.
    readings: Vec<(Hertz, Reflection<A>), POINTS>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const POINTS: usize, const N: usize> defmt::Format for Refinement<A, POINTS, N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=usize} readings of {=usize}", self.readings(), POINTS);
    }
}

impl<A: Arithmetic, const POINTS: usize, const N: usize> Refinement<A, POINTS, N> {
    /// Begins without readings. `wanted` is the error to which each dip and each edge shall be known.
    ///
    /// # Errors
    /// What [`SweepAnalyser::new`] refuses of the settings; a wanted error of 0 Hz.
    pub fn new(settings: SweepSettings<A>, wanted: Hertz) -> Result<Self, QuantityError> {
        Self::with(SweepAnalyser::new(settings)?.without_averaging(), wanted)
    }

    /// The same for readings with noise: where it shows, curves are fitted to many readings instead of the nearest.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn averaging(settings: SweepSettings<A>, wanted: Hertz) -> Result<Self, QuantityError> {
        Self::with(SweepAnalyser::new(settings)?, wanted)
    }

    fn with(analyser: SweepAnalyser<A, N>, wanted: Hertz) -> Result<Self, QuantityError> {
        if wanted.get() == 0 {
            return Err(QuantityError::NotPositive("wanted error"));
        }
        Ok(Self {
            analyser,
            wanted,
            readings: Vec::new(),
        })
    }

    /// Takes a reading, in any order of frequencies.
    ///
    /// # Errors
    /// A frequency that was measured before; no room.
    pub fn add(&mut self, frequency: Hertz, reflection: Reflection<A>) -> Result<(), RefinementError> {
        let place = self.readings.partition_point(|(held, _)| *held < frequency);
        if self
            .readings
            .get(place)
            .is_some_and(|(held, _)| *held == frequency)
        {
            return Err(RefinementError::Repeated(frequency));
        }
        // The place is within what is held; the optimiser does not see it by itself.
        let place = place.min(self.readings.len());
        self.readings
            .insert(place, (frequency, reflection))
            .map_err(|_| RefinementError::Full)
    }

    /// How many readings there are.
    pub fn readings(&self) -> usize {
        self.readings.len()
    }

    /// Where to measure next.
    ///
    /// Dips come before edges, and the deepest dip first.
    pub fn next(&self) -> NextReading {
        let report = self.report();
        let best = report.best().filter(|dip| !dip.at_edge).map(|dip| dip.frequency);
        let dips = report
            .dips()
            .iter()
            .filter(|dip| !dip.at_edge)
            .map(|dip| dip.frequency);
        let edges = report.bands().iter().flat_map(|band| {
            let low = (!band.low_open).then_some(band.low);
            let high = (!band.high_open).then_some(band.high);
            low.into_iter().chain(high)
        });
        let unsettled = best
            .into_iter()
            .chain(dips)
            .chain(edges)
            .find(|frequency| !self.is_settled(*frequency));
        match unsettled {
            None => NextReading::Settled,
            Some(_) if self.readings.is_full() => NextReading::Full,
            Some(frequency) => NextReading::At(frequency),
        }
    }

    /// Whether a reading lies within the wanted error.
    fn is_settled(&self, frequency: Hertz) -> bool {
        let place = self.readings.partition_point(|(held, _)| *held < frequency);
        let near = |index: Option<usize>| {
            index
                .and_then(|index| self.readings.get(index))
                .is_some_and(|(held, _)| {
                    held.get().abs_diff(frequency.get()) <= self.wanted.get().saturating_mul(SLACK)
                })
        };
        near(Some(place)) || near(place.checked_sub(1))
    }

    /// What the readings so far say.
    pub fn report(&self) -> SweepReport<A, N> {
        let mut analyser = self.analyser.clone();
        for (frequency, reflection) in &self.readings {
            // In order and never twice: not refused.
            let _ = analyser.push(*frequency, *reflection);
        }
        analyser.report()
    }
}
