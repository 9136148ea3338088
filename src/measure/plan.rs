//! Plans of frequencies, and the placing of further readings.

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
    /// The list does not rise; this frequency is not above the one before.
    NotRising(Hertz),
}

impl fmt::Display for PlanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewPoints => f.write_str("a sweep has at least two points"),
            Self::Empty => f.write_str("the last frequency of a sweep must be above the first"),
            Self::TooManyPoints => f.write_str("the points of the sweep are closer than a hertz"),
            Self::FromZero => f.write_str("a logarithmic sweep cannot begin at 0 Hz"),
            Self::NotRising(frequency) => write!(f, "{frequency} is not above the frequency before it"),
        }
    }
}

impl core::error::Error for PlanError {}

/// The spacing of the points.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Spread<'a> {
    Linear,
    /// The ratio of the last frequency to the first in dB, computed in integers: a plan is the same in every family.
    Logarithmic(Scaled),
    List(&'a [Hertz]),
}

/// The frequencies of a sweep, rising, computed on request in integers: the same in every family and on every core.
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
    /// [`TooFewPoints`](PlanError::TooFewPoints) below two; [`Empty`](PlanError::Empty) if `stop` is not above `start`;
    /// [`TooManyPoints`](PlanError::TooManyPoints) for points closer than a hertz.
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

    /// The same ratio from point to point, both ends included. Error of each point: 3e-8 relative, or half a hertz.
    ///
    /// # Errors
    /// As [`linear`](Self::linear); [`FromZero`](PlanError::FromZero) for a start at 0 Hz.
    pub fn logarithmic(start: Hertz, stop: Hertz, points: u32) -> Result<Self, PlanError> {
        let steps = Self::checked(start, stop, points)?;
        if start.get() == 0 {
            return Err(PlanError::FromZero);
        }
        let ratio = Scaled::from_u64(stop.get()) / Scaled::from_u64(start.get());
        // This logarithm has few digits: one step of Newton's method on its inverse gives the others.
        let rough = ratio.decibels();
        let missing = (ratio / rough.ratio_of_decibels() - <Scaled as Real>::ONE) * NEPER_POWER;
        let plan = Self {
            start,
            stop,
            points,
            spread: Spread::Logarithmic(rough + missing),
        };
        // The first step is the smallest: with a margin of 1 % all others stay apart, roundings included.
        let first = Scaled::from_u64(start.get()) * (rough / Scaled::from_u64(steps)).ratio_of_decibels();
        if first < Scaled::from_u64(start.get()) + Scaled::from_parts(1035, -10) {
            return Err(PlanError::TooManyPoints);
        }
        Ok(plan)
    }

    /// The frequencies of a rising list.
    ///
    /// # Errors
    /// [`TooFewPoints`](PlanError::TooFewPoints) below two; [`NotRising`](PlanError::NotRising) if one does not rise.
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

    /// The number of points.
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

/// 10/ln 10, dB per neper of power: `round(2²⁸ · 4.342 944 819 032 5…)`.
const NEPER_POWER: Scaled = Scaled::constant(1_165_800_764, -28);

/// `width · index / last` to the nearest, halves upwards, for `index` up to `last`: no 128-bit product.
fn part_of(width: u64, index: u32, last: u32) -> u64 {
    let (index, last) = (index as u64, (last as u64).max(1));
    let (whole, rest) = (width / last, width % last);
    // The remainder is below 2³², so its product with the index is below 2⁶⁴; the half is added without a carry out.
    let product = rest * index;
    let more = (product / last).wrapping_add(u64::from(product % last >= last.div_ceil(2)));
    whole.saturating_mul(index).saturating_add(more)
}

/// A reading this many times the wanted error from an estimate settles it: each step of the estimate is much smaller
/// than the one before (for the largest error among 2000 invented loads see `tests/analyser/refinement.rs`), and
/// readings that are too close multiply their rounding.
const SLACK: u64 = 4;

/// The next reading for a [`Refinement`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
#[must_use = "it says where to read next"]
pub enum NextReading {
    /// Measure at this frequency, and pass the reading to [`add`](Refinement::add).
    At(Hertz),
    /// Every dip and every band edge is known to the wanted error.
    Settled,
    /// The capacity is used up, but some figure is not yet known to the wanted error.
    Full,
}

/// Why a reading was refused. The refinement is unchanged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum RefinementError {
    /// There already is a reading at this frequency.
    Repeated(Hertz),
    /// The capacity is used up.
    Full,
}

impl fmt::Display for RefinementError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Repeated(frequency) => write!(f, "there is a reading at {frequency} already"),
            Self::Full => f.write_str("the capacity for readings is used up"),
        }
    }
}

impl core::error::Error for RefinementError {}

/// After a coarse sweep: where to measure next, so that few readings find each dip and each band edge.
///
/// It holds up to `POINTS` readings, and evaluates them with a [`SweepAnalyser`] of capacity `N`. It asks for a reading
/// at each dip and edge that the analyser finds between the points; that reading moves the estimate. A figure is
/// settled when its estimate stays within the wanted error of a reading: the step from one estimate to the next is then
/// smaller than that error, and the following step much smaller again.
///
/// It does not search for what the coarse sweep does not show: use at least three points per width of a dip. Nothing is
/// refined at the edges of the sweep, since the load outside is unknown.
///
/// Use it to know every figure to a stated error, since each is confirmed by a reading beside it. For clean readings of
/// a single resonance, an even grid with as many points gives the same accuracy by the analyser's curves (measured in
/// `tests/analyser/refinement.rs`); the lowest sample of a hundred times as many points does not.
///
/// A curve goes through the nearest readings. For noisy readings [`averaging`] fits curves to many; then no figure is
/// better than the noise allows. It always ends, since the estimates settle or the capacity is used up.
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
    /// Without points: each report starts from a copy of it.
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
    /// A refinement without readings. `wanted` is the required error of each dip and each edge.
    ///
    /// # Errors
    /// The errors of [`SweepAnalyser::new`]; [`QuantityError::NotPositive`] for a wanted error of 0 Hz.
    pub fn new(settings: SweepSettings<A>, wanted: Hertz) -> Result<Self, QuantityError> {
        Self::with(SweepAnalyser::new(settings)?.without_averaging(), wanted)
    }

    /// The same for noisy readings: where noise is found, curves are fitted to many readings instead of the nearest.
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
    /// [`Repeated`](RefinementError::Repeated) for a known frequency; [`Full`](RefinementError::Full) beyond capacity.
    pub fn add(&mut self, frequency: Hertz, reflection: Reflection<A>) -> Result<(), RefinementError> {
        let place = self.readings.partition_point(|(held, _)| *held < frequency);
        if self
            .readings
            .get(place)
            .is_some_and(|(held, _)| *held == frequency)
        {
            return Err(RefinementError::Repeated(frequency));
        }
        // The index is within the list; the optimiser cannot prove it.
        let place = place.min(self.readings.len());
        self.readings
            .insert(place, (frequency, reflection))
            .map_err(|_| RefinementError::Full)
    }

    /// The number of readings.
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

    /// The result of the readings so far.
    pub fn report(&self) -> SweepReport<A, N> {
        let mut analyser = self.analyser.clone();
        for (frequency, reflection) in &self.readings {
            // In order and never repeated: not refused.
            let _ = analyser.push(*frequency, *reflection);
        }
        analyser.report()
    }
}
