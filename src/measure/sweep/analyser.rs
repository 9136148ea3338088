//! The streaming sweep analyser: one point at a time, constant memory, a report at any moment.

use core::fmt;

use super::choice::{Curves, Kind, Method};
use super::find::{Edge, band_within, edge, lowest, resonance};
#[cfg(doc)]
use super::report::Dip;
use super::report::{Found, Head, Resonance, SweepReport, Target, TargetReading};
use super::sieve::{Sieve, spoilt};
use super::tolerance::Tolerance;
use super::window::{Gaps, Point, REACH, View, Window};
use crate::arithmetic::{Arithmetic, Constant, Quantity, Real, Word};
use crate::quantity::swr::SwrLimit;
use crate::quantity::{Component, Hertz, QuantityError, Reference, Reflection, Swr, not_negative};

/// What to search for. Several sweeps may use the same settings.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct SweepSettings<A: Arithmetic> {
    /// The reference resistance of Γ; 50 Ω by default.
    pub reference: Reference<A>,
    /// A match is good enough at this SWR; at least 1, and 2 by default.
    pub swr_limit: Swr<A>,
    /// The frequency of interest, if there is one.
    pub target: Option<Hertz>,
    /// The rise of |Γ| on both sides of a minimum that makes it a dip; 0.01 by default, 0 for every minimum.
    ///
    /// Choose about ten times the noise of a component of Γ. A crossing X = 0 counts after Im Γ has gone half as far
    /// beyond zero. The best point of a sweep is always reported.
    pub prominence: Component<A>,
    /// The standard deviation of a component of Γ from noise and the steps of a converter; 0.01 by default.
    ///
    /// Where the points scatter by no more than about twice this, a figure may come from a curve fitted to many of them; at
    /// 0 it never does. A sample with |Γ| above 1 by more than twice this is counted as beyond the rim. A converter of *n*
    /// bits for −1 to 1 has steps of 2 / 2ⁿ, and a noise of about a third of that.
    pub noise: Component<A>,
}

impl<A: Arithmetic> SweepSettings<A> {
    setters! {
        with_reference(reference: Reference<A>);
        with_swr_limit(swr_limit: Swr<A>);
        with_target(target: Option<Hertz>);
        with_prominence(prominence: Component<A>);
        with_noise(noise: Component<A>);
    }
}

impl<A: Arithmetic> SweepSettings<A> {
    /// The defaults: 50 Ω, an SWR limit of 2, no target, a prominence and a noise of 0.01.
    ///
    /// ```
    /// use ohmwright::fixed_point::{Reference, SweepSettings, Swr};
    ///
    /// const SETTINGS: SweepSettings = SweepSettings::new()
    ///     .with_reference(Reference::whole::<75>())
    ///     .with_swr_limit(Swr::thousandths::<1_500>());
    /// assert_eq!(SETTINGS.prominence, SweepSettings::default().prominence);
    /// ```
    pub const fn new() -> Self {
        Self {
            reference: Reference::fifty(),
            swr_limit: Swr::whole::<2>(),
            target: None,
            prominence: Component::thousandths::<10>(),
            noise: Component::thousandths::<10>(),
        }
    }
}

impl<A: Arithmetic> Default for SweepSettings<A> {
    /// [`new`](Self::new).
    fn default() -> Self {
        Self::new()
    }
}

/// Why a point was refused. The analyser is unchanged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum SweepError {
    /// The frequency is the same as the one before.
    Repeated(Hertz),
    /// The sweep has changed its direction.
    OutOfOrder {
        /// The last frequency taken.
        last: Hertz,
        /// The frequency refused.
        refused: Hertz,
    },
}

impl fmt::Display for SweepError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Repeated(frequency) => write!(f, "the frequency {frequency} is repeated"),
            Self::OutOfOrder { last, refused } => {
                write!(f, "{refused} after {last}: the sweep changes its direction")
            }
        }
    }
}

impl core::error::Error for SweepError {}

/// The last frequency of a sweep, and its direction.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Order {
    last: Option<Hertz>,
    rising: Option<bool>,
}

impl Order {
    /// Before the first point.
    pub(crate) const NEW: Self = Self {
        last: None,
        rising: None,
    };

    /// Whether the sweep runs downwards.
    pub(crate) fn is_falling(&self) -> bool {
        self.rising == Some(false)
    }

    /// Takes the next frequency, or refuses it and changes nothing.
    pub(crate) fn check(&mut self, frequency: Hertz) -> Result<(), SweepError> {
        if let Some(last) = self.last {
            if frequency == last {
                return Err(SweepError::Repeated(frequency));
            }
            let rising = frequency > last;
            if *self.rising.get_or_insert(rising) != rising {
                return Err(SweepError::OutOfOrder {
                    last,
                    refused: frequency,
                });
            }
        }
        self.last = Some(frequency);
        Ok(())
    }
}

/// Finds dips, bands, crossings X = 0 and the load at a target while a sweep is running.
///
/// Points may come in rising or falling order, on an even or uneven grid. The figures are interpolated: each comes from
/// a curve through five neighbours, one resonance on a smooth background; with noise, from one fitted to up to fifteen
/// points by least squares (see [`Method`]). `N` is the capacity of each list; what does not fit is counted.
///
/// It cannot see a dip or a rise that is wholly between two points and changes none of them. Ten points per width of a
/// dip are plenty, three are enough; a narrower dip is marked as [unresolved](Dip::unresolved).
///
/// # Bad samples
/// One sample, or two in a row, that fit none of their neighbours are left out and [told](SweepReport::spoilt), as if they
/// had not been measured: a spike, or a dip much narrower than a step. Samples [beyond the rim](SweepReport::beyond_rim) and
/// steps that turn Γ [too far](SweepReport::fast_turns) are counted, and used. A figure comes from a curve only where the
/// curve leads to the next points as well; else from the points themselves, or a straight line, as [`Method`] says. The
/// figures of one report agree: a dip under the SWR limit lies in a band, the target passes just if it lies in one.
///
/// # Complexity
/// Constant memory: it holds thirty points and the lists. A point where nothing is found takes the least time, some 600
/// instructions on a Cortex-M0. Where a dip, an edge or a crossing is found, a curve is computed, a hundred times that; with
/// noise it is fitted to up to fifteen points, twice as much again. This is done once for all that is found at a point, and a
/// complete dip waits for a push that finds nothing else. Samples that are noise alone, with no curve through them, take
/// the most.
///
/// [`report`](Self::report) copies the lists, and examines the last seven points as if the sweep had ended: where a dip is
/// still open, or something is found among these, as long as several such pushes.
///
/// A caller with a deadline, such as an interrupt, puts its readings into a queue, and pushes them outside of it. The README has
/// the figures, mean and longest.
///
/// ```
/// use ohmwright::double::{Impedance, Reference};
/// use ohmwright::measure::{SweepAnalyser, SweepSettings, Target};
/// use ohmwright::quantity::Hertz;
///
/// let settings = SweepSettings { target: Some(Hertz::from_megahertz(71)), ..Default::default() };
/// let mut analyser = SweepAnalyser::<f64, 4>::new(settings)?;
/// for mhz in 60..=80 {
///     // An invented whip: 36 Ω, 200 nH and 26 pF in series.
///     let omega = core::f64::consts::TAU * mhz as f64 * 1e6;
///     let z = Impedance::new(36.0, omega * 200e-9 - 1.0 / (omega * 26e-12))?;
///     analyser.push(Hertz::from_megahertz(mhz), z.reflection(Reference::fifty()))?;
/// }
/// let report = analyser.report();
/// let best = report.best().unwrap();
/// assert_eq!(best.frequency.get() / 100_000, 697); // 69.79 MHz, though the points are 1 MHz apart
/// assert!((best.swr() - 50.0 / 36.0).abs() < 1e-3);
/// assert!(matches!(report.target(), Target::Reading(target) if target.pass));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct SweepAnalyser<A: Arithmetic, const N: usize> {
    prominence: A::Working,
    order: Order,
    window: Window<A>,
    /// The window at the time when the candidate for a dip was in its middle.
    kept: Window<A>,
    /// The number of points after the candidate there.
    kept_later: u8,
    sieve: Sieve,
    /// |Γ|² beyond which a sample is counted, in steps of 2⁻²⁸.
    rim: u32,
    /// So many points were taken out: the next ones have no new point in the middle of the window.
    behind: u8,
    search: Search<A>,
    report: SweepReport<A, N>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const N: usize> defmt::Format for SweepAnalyser<A, N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "sweep analyser after {=u32} points", self.points());
    }
}

/// The state of the search, without its results.
#[derive(Clone, Copy, Debug)]
struct Search<A: Arithmetic> {
    /// |Γ|² of the next point, if it is already known.
    next_power: Option<A::Working>,
    hunt: Hunt<A>,
    /// The edge at which the present band was entered.
    inside: Option<Edge>,
    crossing: Crossing<A>,
    /// A dip that is complete, but not yet in the report: a push that finds something else leaves it to a later one.
    due: Option<Candidate<A>>,
}

/// The search for dips: down until |Γ| has risen by the prominence, up until it has fallen by it. All in |Γ|², so that
/// a square root is needed only at a change of direction.
#[derive(Clone, Copy, Debug)]
struct Hunt<A: Arithmetic> {
    /// The highest point since the last dip, while on the way up; `None` on the way down.
    peak: Option<Peak<A>>,
    /// The highest |Γ|² since the last dip, or since the sweep began.
    ceiling: A::Working,
    candidate: Option<Candidate<A>>,
}

#[derive(Clone, Copy, Debug)]
struct Peak<A: Arithmetic> {
    power: A::Working,
    /// The |Γ|² below which |Γ| has fallen far enough for the next dip; computed at the first fall.
    trip: Option<A::Working>,
}

/// The lowest point since the last peak.
#[derive(Clone, Copy, Debug)]
struct Candidate<A: Arithmetic> {
    power: A::Working,
    /// The |Γ|² above which |Γ| has risen far enough to make the candidate a dip.
    trip: A::Working,
    /// The highest |Γ|² before.
    ceiling: A::Working,
    /// The last of several equal points.
    flat_until: Option<Hertz>,
    /// The number of points after it, while its window is the present one; `None` after that was stored.
    later: Option<u8>,
}

/// The search for crossings X = 0, which are those of Im Γ.
#[derive(Clone, Copy, Debug)]
struct Crossing<A: Arithmetic> {
    /// The side of the last point that was not exactly on the axis: true above it.
    above: Option<bool>,
    /// The first of the points exactly on the axis, if the last ones were on it.
    on_axis: Option<Resonance<A>>,
    /// A crossing, but not yet far enough beyond.
    pending: Option<Resonance<A>>,
}

impl<A: Arithmetic> Crossing<A> {
    /// Whether the next point, so high, shows a crossing between the points or on one.
    fn needs_curve(&self, height: Component<A>) -> bool {
        if height == Component::<A>::ZERO {
            return self.on_axis.is_none();
        }
        let is_other = self
            .above
            .is_some_and(|above| above != (height > Component::<A>::ZERO));
        is_other && self.pending.is_none() && self.on_axis.is_none()
    }
}

impl<A: Arithmetic> Search<A> {
    /// Nothing seen yet.
    const NEW: Self = Self {
        next_power: None,
        hunt: Hunt {
            peak: None,
            ceiling: <A::Working as Real>::ZERO,
            candidate: None,
        },
        inside: None,
        crossing: Crossing {
            above: None,
            on_axis: None,
            pending: None,
        },
        due: None,
    };
}

/// The limit of settings that keep the rules.
pub(super) fn checked<A: Arithmetic>(settings: &SweepSettings<A>) -> Result<SwrLimit<A>, QuantityError> {
    let limit = SwrLimit::new(settings.swr_limit)?;
    not_negative(settings.prominence, "prominence")?;
    not_negative(settings.noise, "noise")?;
    Ok(limit)
}

impl<A: Arithmetic, const N: usize> SweepAnalyser<A, N> {
    /// An analyser without points.
    ///
    /// # Errors
    /// [`QuantityError`] for a limit below 1 or not finite, or a prominence or noise that is negative or not finite.
    pub fn new(settings: SweepSettings<A>) -> Result<Self, QuantityError> {
        let limit = checked(&settings)?;
        let mut analyser = Self::begin(
            settings.prominence.to_working(),
            limit,
            settings.reference,
            settings.target,
        );
        analyser.tolerate(settings.noise);
        Ok(analyser)
    }

    /// An analyser with the defaults of [`SweepSettings::new`], known when the code is compiled: for a `static`.
    ///
    /// ```
    /// use std::cell::RefCell;
    /// use std::sync::Mutex; // a firmware takes one that masks interrupts
    ///
    /// use ohmwright::fixed_point::{SweepAnalyser, SweepSettings, Swr};
    /// use ohmwright::floating;
    ///
    /// static ANALYSER: Mutex<RefCell<SweepAnalyser<8>>> = Mutex::new(RefCell::new(SweepAnalyser::with_defaults()));
    /// static OTHER: Mutex<floating::SweepAnalyser<4>> = Mutex::new(floating::SweepAnalyser::with_defaults());
    ///
    /// // What the user chooses when the program runs:
    /// let analyser = ANALYSER.lock().unwrap();
    /// analyser.borrow_mut().restart_with(SweepSettings::new().with_swr_limit(Swr::thousandths::<1_500>()))?;
    /// assert_eq!(analyser.borrow().report().swr_limit(), 1.5);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    pub const fn with_defaults() -> Self {
        Self::constant::<2_000, 10>(Reference::fifty(), None)
    }

    /// An analyser with these settings, known when the code is compiled; to the bit what [`new`](Self::new) gives.
    ///
    /// `SWR_LIMIT` and `PROMINENCE` are thousandths: 1 500 for an SWR limit of 1.5, 10 for a prominence of 0.01. A limit
    /// below 1, a negative prominence, and what the words cannot hold do not compile.
    ///
    /// ```
    /// use ohmwright::fixed_point::{Reference, SweepAnalyser};
    /// use ohmwright::quantity::Hertz;
    ///
    /// const ANALYSER: SweepAnalyser<4> =
    ///     SweepAnalyser::constant::<1_500, 10>(Reference::whole::<75>(), Some(Hertz::from_megahertz(71)));
    /// assert_eq!(ANALYSER.report().swr_limit(), 1.5);
    /// ```
    ///
    /// ```compile_fail
    /// use ohmwright::fixed_point::{Reference, SweepAnalyser};
    ///
    /// let none = SweepAnalyser::<4>::constant::<900, 10>(Reference::fifty(), None);
    /// ```
    pub const fn constant<const SWR_LIMIT: i32, const PROMINENCE: i32>(
        reference: Reference<A>,
        target: Option<Hertz>,
    ) -> Self {
        const { assert!(PROMINENCE >= 0, "a prominence is not negative") };
        Self::begin(
            <<A::ComponentWord as Word>::WorkingFraction<PROMINENCE, 1_000> as Constant<A::Working>>::VALUE,
            SwrLimit::thousandths::<SWR_LIMIT>(),
            reference,
            target,
        )
    }

    const fn begin(
        prominence: A::Working,
        limit: SwrLimit<A>,
        reference: Reference<A>,
        target: Option<Hertz>,
    ) -> Self {
        Self {
            prominence,
            order: Order::NEW,
            window: Window::new(),
            kept: Window::new(),
            kept_later: 0,
            sieve: Sieve::NEW,
            rim: Tolerance::<A>::USUAL.rim,
            behind: 0,
            search: Search::NEW,
            report: SweepReport {
                head: Head::new(limit, reference, target),
                found: Found::new(),
            },
        }
    }

    /// Begins a new sweep with the same settings: what was seen is forgotten, and the analyser is as a new one, to the
    /// bit. It takes neither stack nor the time to check settings again.
    ///
    /// ```
    /// use ohmwright::fixed_point::{Reflection, SweepAnalyser};
    /// use ohmwright::quantity::Hertz;
    ///
    /// let mut analyser = SweepAnalyser::<4>::with_defaults();
    /// analyser.push(Hertz::from_megahertz(71), Reflection::MATCHED)?;
    /// analyser.restart();
    /// assert_eq!(analyser.points(), 0);
    /// analyser.push(Hertz::from_megahertz(60), Reflection::MATCHED)?; // from the start again
    /// # Ok::<(), ohmwright::measure::SweepError>(())
    /// ```
    pub fn restart(&mut self) {
        self.order = Order::NEW;
        self.window.clear();
        self.kept.clear();
        self.kept_later = 0;
        self.sieve = Sieve::NEW;
        self.behind = 0;
        self.search = Search::NEW;
        self.report.head.clear();
        self.report.found.clear();
    }

    /// Begins a new sweep with other settings.
    ///
    /// # Errors
    /// As [`new`](Self::new); nothing changes then.
    pub fn restart_with(&mut self, settings: SweepSettings<A>) -> Result<(), QuantityError> {
        let limit = checked(&settings)?;
        self.restart();
        self.prominence = settings.prominence.to_working();
        self.tolerate(settings.noise);
        self.report.head = Head::new(limit, settings.reference, settings.target);
        Ok(())
    }

    /// Takes the next point of the sweep.
    ///
    /// # Errors
    /// [`SweepError`] for a frequency that repeats the last one or changes the direction. The analyser is then
    /// unchanged, and the next point may follow.
    pub fn push(&mut self, frequency: Hertz, reflection: Reflection<A>) -> Result<(), SweepError> {
        self.order.check(frequency)?;
        let head = &mut self.report.head;
        if self.order.rising != Some(true) {
            head.start = frequency;
        }
        if self.order.rising != Some(false) {
            head.stop = frequency;
        }
        head.points = head.points.saturating_add(1);
        let point = Point::new(frequency, reflection);
        self.window.push(point);
        if self.sieve.take(&point, self.rim) {
            self.examine();
        }
        if let Some(behind) = self.behind.checked_sub(1) {
            self.behind = behind;
            return Ok(());
        }
        let looking = Looking {
            prominence: self.prominence,
            falling: self.order.rising == Some(false),
            window: &self.window,
            gaps: Gaps::NONE,
            kept: self.kept.view(self.kept_later as usize),
            later: REACH,
        };
        let seen = looking.look(&mut self.search, &self.report.head);
        if seen.needs_curves() {
            looking.look_closer(seen, &mut self.search, &mut self.report);
        }
        // What takes long is not done twice in a push, but before the window of the dip is needed for the next one.
        if self.search.due.is_some() && (seen.keep || !seen.needs_curves()) {
            looking.take_due(&mut self.search, &mut self.report);
        }
        if seen.keep {
            self.kept = self.window;
            self.kept_later = REACH as u8;
        }
        Ok(())
    }

    /// Takes out samples that fit none of their neighbours: one that stands out, alone or with the one before it.
    #[cold]
    #[inline(never)]
    fn examine(&mut self) {
        let (at, before) = (Sieve::AGE, Sieve::AGE.wrapping_add(1));
        let is_second = self.window.view(before.wrapping_add(1)).at(0).is_none();
        if is_second && spoilt(self.window.view(before), 1) {
            // The second point of the sweep stands out, since the first is spoilt.
            self.take_out(before);
        } else if spoilt(self.window.view(at), 1) {
            self.take_out(at);
            // Now the one before may stand out, which it did not beside a worse one.
            if spoilt(self.window.view(at), 1) {
                self.take_out(at);
            }
        } else if spoilt(self.window.view(before), 2) {
            self.take_out(at);
            self.take_out(at);
        }
    }

    /// Takes out the sample after which `later` more came.
    #[inline(never)]
    fn take_out(&mut self, later: usize) {
        if let Some(point) = self.window.view(later).at(0).copied() {
            self.window.remove(later);
            if self.kept.remove_frequency(point.frequency) {
                // It came after the candidate.
                self.kept_later = self.kept_later.saturating_sub(1);
            }
            self.behind = self.behind.saturating_add(1);
            self.report.found.add_spoilt(point.frequency);
        }
    }

    /// Finds those of the last points that are spoilt; returns their places in the window, and how many these are.
    #[inline(never)]
    fn leave_out_last(&self, found: &mut Found<A, N>) -> (Gaps, usize) {
        let mut gaps = Gaps::NONE;
        let mut removed = 0;
        for later in [2, 1, 0] {
            // A point that is left out makes place for the one before it.
            while removed < 2
                && (later == 0 || self.sieve.suspects(later))
                && spoilt(self.window.view_without(later, gaps), 1)
            {
                if let Some(point) = self.window.view_without(later, gaps).at(0) {
                    found.add_spoilt(point.frequency);
                }
                gaps = gaps.and(later);
                removed += 1;
            }
        }
        (gaps, removed)
    }

    /// The result of the points so far, as if the sweep had ended here. The sweep may go on.
    ///
    /// It takes the memory of a report on the stack; [`report_into`](Self::report_into) does not.
    pub fn report(&self) -> SweepReport<A, N> {
        let mut report = SweepReport {
            head: self.report.head,
            found: Found::new(),
        };
        self.report_into(&mut report);
        report
    }

    /// The same as [`report`](Self::report), in place of another report: of an analyser that takes turns with this one, or
    /// of the last sweep.
    ///
    /// ```
    /// use ohmwright::fixed_point::{Reflection, SweepAnalyser};
    /// use ohmwright::quantity::Hertz;
    ///
    /// let mut analyser = SweepAnalyser::<4>::with_defaults();
    /// let mut report = analyser.report(); // kept, in a `static` for example
    /// analyser.push(Hertz::from_megahertz(71), Reflection::MATCHED)?;
    /// analyser.report_into(&mut report);
    /// assert_eq!(report, analyser.report());
    /// # Ok::<(), ohmwright::measure::SweepError>(())
    /// ```
    #[inline(never)]
    pub fn report_into(&self, report: &mut SweepReport<A, N>) {
        report.head = self.report.head;
        report.found.clear();
        report.found.copy_from(&self.report.found);
        let mut search = self.search;
        let (gaps, removed) = self.leave_out_last(&mut report.found);
        let mut looking = Looking {
            prominence: self.prominence,
            falling: self.order.rising == Some(false),
            window: &self.window,
            gaps,
            kept: self.kept.view(self.kept_later as usize),
            later: REACH.saturating_sub(removed.saturating_add(self.behind as usize)),
        };
        looking.take_due(&mut search, report);
        // The last points have not been in the middle of the window yet.
        while let Some(later) = looking.later.checked_sub(1) {
            looking.later = later;
            let seen = looking.look(&mut search, &report.head);
            if seen.needs_curves() {
                looking.look_closer(seen, &mut search, report);
            }
            looking.take_due(&mut search, report);
        }
        looking.close(&mut search, report);
        report.reconcile();
        report.found.beyond_rim = self.sieve.beyond_rim;
        report.found.fast_turns = self.sieve.fast_turns;
    }

    /// Curves always go through the nearest points, also with noise.
    pub(in crate::measure) fn without_averaging(mut self) -> Self {
        self.window.noise = A::Working::ZERO;
        self.kept.noise = A::Working::ZERO;
        self
    }

    /// What noise may explain.
    fn tolerate(&mut self, noise: Component<A>) {
        let tolerance = Tolerance::new(noise);
        self.rim = tolerance.rim;
        self.window.noise = tolerance.noise;
        self.kept.noise = tolerance.noise;
    }

    /// The number of points.
    pub fn points(&self) -> u32 {
        self.report.head.points
    }
}

/// What a point has shown.
#[derive(Clone, Copy)]
struct Seen {
    /// The sweep enters a band, or leaves it.
    edge: bool,
    /// It has reached the target, or begins beyond it.
    target: bool,
    /// It crosses X = 0, or may.
    crossing: bool,
    /// It has become the candidate for a dip.
    keep: bool,
}

impl Seen {
    fn needs_curves(self) -> bool {
        self.edge || self.target || self.crossing
    }
}

/// The sweep has reached the target, or begins beyond it.
#[inline(never)]
fn look_for_target<A: Arithmetic>(curves: &mut Curves<'_, A>, head: &mut Head<A>) {
    if let Target::NotCovered(frequency) = head.target
        && let Some((reflection, method)) = curves.value_at(frequency)
    {
        head.target = Target::Reading(TargetReading {
            frequency,
            reflection,
            pass: head.limit.holds(reflection),
            method,
        });
    }
}

/// The point under examination.
#[derive(Clone, Copy)]
struct Looking<'a, A: Arithmetic> {
    prominence: A::Working,
    /// True if the sweep runs downwards.
    falling: bool,
    window: &'a Window<A>,
    /// The points of the window that are left out.
    gaps: Gaps,
    /// Round the candidate for a dip.
    kept: View<'a, A>,
    /// The number of points after this one.
    later: usize,
}

impl<A: Arithmetic> Looking<'_, A> {
    /// Examines the next point.
    #[inline(never)]
    fn look(self, search: &mut Search<A>, head: &Head<A>) -> Seen {
        let view = self.window.view_without(self.later, self.gaps);
        let Some(centre) = view.at(0) else {
            return Seen {
                edge: false,
                target: false,
                crossing: false,
                keep: false,
            };
        };
        let power = match search.next_power.take() {
            Some(power) => power,
            None => centre.power(),
        };
        let height = centre.reflection.imaginary();
        let crossing = &search.crossing;
        let goes_on = crossing.above == Some(height > Component::<A>::ZERO) && height != Component::<A>::ZERO;
        Seen {
            edge: (power <= head.limit.inside) != search.inside.is_some(),
            target: match head.target {
                Target::NotCovered(frequency) => {
                    (centre.frequency <= frequency) == self.falling || centre.frequency == frequency
                }
                _ => false,
            },
            crossing: !goes_on || crossing.on_axis.is_some() || crossing.pending.is_some(),
            keep: self.look_for_dip(view, centre, power, search),
        }
    }

    /// Examines a point that shows something; the curves near it serve all of that.
    #[inline(never)]
    fn look_closer<const N: usize>(self, seen: Seen, search: &mut Search<A>, report: &mut SweepReport<A, N>) {
        let view = self.window.view_without(self.later, self.gaps);
        let Some(centre) = view.at(0) else { return };
        let mut curves = Curves::new(view);
        if seen.edge {
            // The work of a curve is done from here, and not deeper down, to save stack.
            let level = report.head.limit.power;
            curves.prepare(|point| point.power() - level);
            self.pass_edge(&mut curves, centre, search, report);
        }
        if seen.target {
            look_for_target(&mut curves, &mut report.head);
        }
        if seen.crossing {
            curves.soften();
            if search.crossing.needs_curve(centre.reflection.imaginary()) {
                curves.prepare(|point| point.gamma().im);
            }
            self.look_for_crossing(&mut curves, centre, search, report);
        }
    }

    /// Enters a complete dip in the report, if there is one.
    #[inline(never)]
    fn take_due<const N: usize>(self, search: &mut Search<A>, report: &mut SweepReport<A, N>) {
        if let Some(candidate) = search.due.take() {
            self.take_dip(&candidate, true, report);
        }
    }

    /// Completes open results at the end of the sweep.
    #[inline(never)]
    fn close<const N: usize>(self, search: &mut Search<A>, report: &mut SweepReport<A, N>) {
        if let Some(candidate) = search.hunt.candidate {
            let fall = candidate.ceiling.square_root() - candidate.power.square_root();
            self.take_dip(&candidate, fall >= self.prominence, report);
        }
        if let Some(entered) = search.inside {
            let head = &report.head;
            let last = Edge {
                frequency: if self.falling { head.start } else { head.stop },
                open: true,
                method: Method::Measured,
            };
            report.found.add_band(entered.to(last, self.falling));
        }
        if let Some(resonance) = search.crossing.pending {
            report.found.add_resonance(resonance);
        }
    }

    /// The sweep has entered a band, or left it.
    #[inline(never)]
    fn pass_edge<const N: usize>(
        self,
        curves: &mut Curves<'_, A>,
        centre: &Point<A>,
        search: &mut Search<A>,
        report: &mut SweepReport<A, N>,
    ) {
        let edge = edge(curves, centre, &report.head);
        search.inside = match search.inside {
            None => Some(edge),
            Some(entered) => {
                report.found.add_band(entered.to(edge, self.falling));
                None
            }
        };
    }

    #[inline(never)]
    fn look_for_crossing<const N: usize>(
        self,
        curves: &mut Curves<'_, A>,
        centre: &Point<A>,
        search: &mut Search<A>,
        report: &mut SweepReport<A, N>,
    ) {
        let height = centre.reflection.imaginary();
        let crossing = &mut search.crossing;
        if height == Component::<A>::ZERO {
            if crossing.on_axis.is_none() {
                // The slope gives Q; the direction of the reactance is known at the next point.
                crossing.on_axis = Some(resonance(curves, Some(centre.frequency), true, &report.head));
            }
            return;
        }
        let above = height > Component::<A>::ZERO;
        let touched = crossing.on_axis.take();
        if crossing
            .above
            .replace(above)
            .is_some_and(|was_above| was_above != above)
        {
            let rising = above != self.falling;
            // If it returns before it went far enough, it is not a crossing.
            if crossing.pending.take().is_none() {
                crossing.pending = Some(match touched {
                    Some(touched) => Resonance { rising, ..touched },
                    None => resonance(curves, None, rising, &report.head),
                });
            }
        }
        if let Some(pending) = crossing.pending
            && height.to_working().absolute() >= self.prominence * A::Working::HALF
        {
            crossing.pending = None;
            report.found.add_resonance(pending);
        }
    }

    fn look_for_dip(
        self,
        view: View<'_, A>,
        centre: &Point<A>,
        power: A::Working,
        search: &mut Search<A>,
    ) -> bool {
        let hunt = &mut search.hunt;
        if let Some(peak) = &mut hunt.peak {
            if power >= peak.power {
                *peak = Peak { power, trip: None };
                return false;
            }
            let trip = match peak.trip {
                Some(trip) => trip,
                None => self.trip(peak.power, -self.prominence),
            };
            peak.trip = Some(trip);
            if power > trip {
                return false;
            }
            hunt.ceiling = peak.power;
            hunt.peak = None;
        }
        // On the way down.
        if hunt.ceiling < power {
            hunt.ceiling = power;
        }
        if let Some(candidate) = &mut hunt.candidate {
            if power > candidate.power {
                if power >= candidate.trip {
                    search.due = Some(*candidate);
                    *hunt = Hunt {
                        peak: Some(Peak { power, trip: None }),
                        ceiling: power,
                        candidate: None,
                    };
                }
                return false;
            }
            if power == candidate.power {
                let goes_on = view
                    .at(-1)
                    .is_some_and(|before| before.reflection == centre.reflection);
                if goes_on {
                    candidate.flat_until = Some(centre.frequency);
                }
                return false;
            }
        }
        if let Some(after) = view.at(1) {
            let next_power = after.power();
            search.next_power = Some(next_power);
            if next_power < power {
                return false;
            }
        }
        hunt.candidate = Some(Candidate {
            power,
            trip: self.trip(power, self.prominence),
            ceiling: hunt.ceiling,
            flat_until: None,
            later: (self.later < REACH).then_some(self.later as u8),
        });
        true
    }

    /// |Γ|² where |Γ| is greater by `more` than the root of `power`; below 0 if there is no such value.
    #[inline(never)]
    fn trip(self, power: A::Working, more: A::Working) -> A::Working {
        if more.is_zero() {
            return power;
        }
        let magnitude = power.square_root() + more;
        magnitude * magnitude.absolute()
    }

    /// Enters the dip of a candidate in the report, and in the list if it is `listed`.
    #[inline(never)]
    fn take_dip<const N: usize>(
        self,
        candidate: &Candidate<A>,
        listed: bool,
        report: &mut SweepReport<A, N>,
    ) {
        let mut curves = Curves::for_soft(match candidate.later {
            Some(later) => self.window.view_without(later as usize, self.gaps),
            None => self.kept,
        });
        if candidate.flat_until.is_none() {
            // Here, and not deeper down, to save stack.
            let _ = curves.get(Kind::Centre);
        }
        enter_dip(&mut curves, candidate.flat_until, listed, report);
    }
}

/// Enters the dip near the centre in the report, and in the list if it is `listed`.
#[inline(never)]
fn enter_dip<A: Arithmetic, const N: usize>(
    curves: &mut Curves<'_, A>,
    flat_until: Option<Hertz>,
    listed: bool,
    report: &mut SweepReport<A, N>,
) {
    let Some(dip) = lowest(curves, flat_until, &report.head) else {
        return; // unreachable: a candidate has a centre
    };
    let best = report.head.best;
    if best.is_none_or(|best| dip.power() < best.power()) {
        report.head.best = Some(dip);
    }
    if listed {
        if let Some(band) = band_within(curves, &dip, &report.head) {
            report.found.add_band(band);
        }
        report.found.add_dip(dip);
    }
}
