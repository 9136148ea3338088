//! The streaming sweep analyser: one point at a time, constant memory, a report at any moment.

use core::fmt;

use super::choice::{Curves, Kind, Method, Store, cost};
use super::find::{Edge, axis, band_within, edge, lowest, resonance};
use super::report::{Dip, Found, Head, Resonance, SweepReport, Target, TargetReading};
use super::sieve::{Sieve, spoilt};
use super::tolerance::Tolerance;
use super::window::{Excerpt, Gaps, PATIENCE, Point, REACH, View, Window};
use crate::arithmetic::{Arithmetic, Constant, Quantity, Real, Word};
use crate::quantity::swr::SwrLimit;
use crate::quantity::{Component, Hertz, QuantityError, Reference, Reflection, Swr, not_negative};

/// For the next point that waits. (A function would borrow all of the analyser.)
macro_rules! looking {
    ($analyser:expr) => {
        Looking {
            prominence: $analyser.prominence,
            falling: $analyser.order.rising == Some(false),
            window: &$analyser.window,
            gaps: Gaps::NONE,
            kept: $analyser.kept.view(usize::from($analyser.kept_later)),
            later: usize::from($analyser.waiting).wrapping_sub(1),
            ends: false,
        }
    };
}

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
/// Constant memory: it holds fifty points and the lists. A point where nothing is found takes the least time, some 600
/// instructions on a Cortex-M0. Where a dip, an edge or a crossing is found, a curve is computed, a hundred times that; with
/// noise it is fitted to up to fifteen points, twice as much again. That work is done in steps, and a [`push`](Self::push)
/// does only so many of them: the points after it wait, and later pushes catch up. So the longest push is bounded, whatever
/// the samples are. [`settle`](Self::settle) does what waits, as much at a time.
///
/// [`report`](Self::report) does all that waits, and examines the last seven points as if the sweep had ended: it is not
/// bounded like a push.
///
/// A caller with a deadline, such as an interrupt, puts its readings into a queue, and pushes them outside of it; or pushes
/// them there, if the time between two readings is longer than the longest push, and asks for the report outside. The
/// README has the figures, mean and longest.
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
    kept: Excerpt<A>,
    /// The number of points after the candidate there.
    kept_later: u8,
    sieve: Sieve,
    /// |Γ|² beyond which a sample is counted, in steps of 2⁻²⁸.
    rim: u32,
    /// The number of points that are not examined yet.
    waiting: u8,
    search: Search<A>,
    work: Work<A>,
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

/// The work at the point under examination, which may go on in the next push.
#[derive(Clone, Copy, Debug)]
struct Work<A: Arithmetic> {
    stage: Stage,
    seen: Seen,
    store: Store<A>,
    /// Where X = 0 is crossed.
    axis: (Hertz, Method),
    /// The dip that is complete belongs in the list.
    listed: bool,
    /// That dip, while its band is sought.
    dip: Option<Dip<A>>,
}

/// What is next at the point under examination.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    /// What it shows.
    Look,
    /// The edge of a band.
    Edge,
    Target,
    /// Where X = 0 is crossed.
    Axis,
    /// The resistance and Q there.
    Crossing,
    /// A dip that became complete before.
    Due,
    Dip,
    /// The band of a dip that is narrower than a step.
    Band,
    Done,
}

/// When so much is spent, in thousands of instructions on a Cortex-M0, the rest of the work is left to the next push.
const ENOUGH: u32 = 50;

impl<A: Arithmetic> Work<A> {
    const NEW: Self = Self {
        stage: Stage::Look,
        seen: Seen::NOTHING,
        store: Store::NEW,
        axis: (Hertz::new(0), Method::Measured),
        listed: false,
        dip: None,
    };

    /// Begins with what a point has shown.
    fn begin(&mut self, seen: Seen) {
        self.seen = seen;
        self.stage = seen.after(Stage::Look);
        self.store.begin(false);
    }
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
            waiting: 0,
            search: Search::NEW,
            work: Work::NEW,
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
        self.waiting = 0;
        self.search = Search::NEW;
        self.work = Work::NEW;
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
    /// It takes at most 120,000 instructions on a Cortex-M0, in every family, whatever the samples are: what is left of the
    /// work is done by the next pushes, by [`settle`](Self::settle), or by [`report`](Self::report), which says the same in the
    /// end. The work of the points may lag sixteen points behind. Where it would more, as with samples that are noise
    /// alone, the point that waits longest gets straight lines instead of curves, and is [counted](SweepReport::hurried).
    /// Who has time between two points calls `settle` there, and none is.
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
        self.waiting = self.waiting.saturating_add(1);
        let mut spent = 0;
        if self.sieve.take(&point, self.rim) {
            spent = self.examine();
        }
        if self.waiting == REACH as u8 + 1 && self.work.stage == Stage::Look && self.passes_by() {
            return Ok(());
        }
        if usize::from(self.waiting) > REACH {
            self.work_on(spent);
        }
        Ok(())
    }

    /// Whether the next point shows nothing, as most do; else its work begins. A function of its own, to save stack.
    #[inline(never)]
    fn passes_by(&mut self) -> bool {
        let seen = looking!(self).look(&mut self.search, &self.report.head);
        if seen.shows_nothing() && self.search.due.is_none() {
            self.waiting = REACH as u8;
            return true;
        }
        self.work.begin(seen);
        false
    }

    /// Does some of the work that waits, so that a push is bounded.
    #[inline(never)]
    fn work_on(&mut self, mut spent: u32) {
        // The next push would drop a point that the work needs: there is no more time for curves.
        let mut is_late = usize::from(self.waiting) > REACH + PATIENCE;
        self.work.store.hurry(is_late);
        while usize::from(self.waiting) > REACH && (is_late || spent < ENOUGH) {
            let cost = looking!(self).step(&mut self.search, &mut self.work, &mut self.report);
            spent = spent.saturating_add(cost);
            if self.work.stage != Stage::Done {
                continue;
            }
            self.work.stage = Stage::Look;
            self.waiting = self.waiting.saturating_sub(1);
            if self.work.seen.keep {
                // As it was when the point came to the middle of the window.
                let since = usize::from(self.waiting).saturating_sub(REACH);
                self.kept.take(&self.window, since);
                self.kept_later = REACH as u8;
            }
            if is_late {
                if !self.work.seen.shows_nothing() {
                    self.report.found.hurried = self.report.found.hurried.saturating_add(1);
                }
                is_late = false;
                self.work.store.hurry(false);
            }
        }
    }

    /// Does some of the work that waits, at most as much as a [`push`](Self::push) takes; true while there is more. The report
    /// is the same with it and without.
    ///
    /// A caller with a deadline takes the points in one by one, and calls this when it has nothing else to do; a report that
    /// follows has only the last seven points left.
    ///
    /// ```
    /// use ohmwright::fixed_point::{Reflection, SweepAnalyser};
    /// use ohmwright::quantity::Hertz;
    ///
    /// let mut analyser = SweepAnalyser::<4>::with_defaults();
    /// analyser.push(Hertz::from_megahertz(71), Reflection::MATCHED)?;
    /// while analyser.settle() {} // with a look at the keys in between
    /// let report = analyser.report();
    /// # assert_eq!(report.points(), 1);
    /// # Ok::<(), ohmwright::measure::SweepError>(())
    /// ```
    pub fn settle(&mut self) -> bool {
        self.work_on(0);
        usize::from(self.waiting) > REACH
    }

    /// Takes out samples that fit none of their neighbours: one that stands out, alone or with the one before it. Returns
    /// what that cost.
    #[cold]
    #[inline(never)]
    fn examine(&mut self) -> u32 {
        let mut curves = 0;
        let (at, before) = (Sieve::AGE, Sieve::AGE.wrapping_add(1));
        let is_second = self.window.view(before.wrapping_add(1)).at(0).is_none();
        if is_second && spoilt(self.window.view(before), 1, &mut curves) {
            // The second point of the sweep stands out, since the first is spoilt.
            self.take_out(before);
        } else if spoilt(self.window.view(at), 1, &mut curves) {
            self.take_out(at);
            // Now the one before may stand out, which it did not beside a worse one.
            if spoilt(self.window.view(at), 1, &mut curves) {
                self.take_out(at);
            }
        } else if spoilt(self.window.view(before), 2, &mut curves) {
            self.take_out(at);
            self.take_out(at);
        }
        curves.saturating_mul(cost::PASS)
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
            self.waiting = self.waiting.saturating_sub(1);
            self.report.found.add_spoilt(point.frequency);
            // What was made of it, or is being made.
            self.search.next_power = None;
            self.work.store.again();
        }
    }

    /// Finds those of the last points that are spoilt; returns their places in the window, and how many these are.
    #[inline(never)]
    fn leave_out_last(&self, found: &mut Found<A, N>) -> (Gaps, usize) {
        let mut gaps = Gaps::NONE;
        let mut removed = 0;
        let mut curves = 0;
        for later in [2, 1, 0] {
            // A point that is left out makes place for the one before it.
            while removed < 2
                && (later == 0 || self.sieve.suspects(later))
                && spoilt(self.window.view_without(later, gaps), 1, &mut curves)
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
    /// It does all the work that waits, that of up to sixteen points, and that of the last seven: for each where something
    /// is found, up to a few pushes. With [`settle`](Self::settle) before it, only the last seven are left. On sweeps with
    /// noise the longest was as long as four of the longest pushes; on samples that are noise alone it is longer.
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
        let mut work = self.work;
        let mut looking = looking!(self);
        let mut waiting = usize::from(self.waiting);
        // Samples taken out may have brought the point in work nearer to the end.
        while let Some(later) = waiting.checked_sub(1)
            && (later >= REACH || work.stage != Stage::Look)
        {
            waiting = later;
            looking.later = later;
            looking.examine(&mut search, &mut work, report);
        }
        let (gaps, removed) = self.leave_out_last(&mut report.found);
        looking.gaps = gaps;
        looking.ends = true;
        work.stage = Stage::Due;
        looking.finish(&mut search, &mut work, report);
        // The last points have not been in the middle of the window yet.
        waiting = waiting.saturating_sub(removed);
        while let Some(later) = waiting.checked_sub(1) {
            waiting = later;
            looking.later = later;
            looking.examine(&mut search, &mut work, report);
        }
        looking.close(&mut search, &mut work, report);
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
#[derive(Clone, Copy, Debug)]
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
    const NOTHING: Self = Self {
        edge: false,
        target: false,
        crossing: false,
        keep: false,
    };

    /// What there is to do after a stage.
    fn after(self, stage: Stage) -> Stage {
        match stage {
            Stage::Look if self.edge => Stage::Edge,
            Stage::Look | Stage::Edge if self.target => Stage::Target,
            Stage::Look | Stage::Edge | Stage::Target if self.crossing => Stage::Axis,
            _ => Stage::Due,
        }
    }

    fn shows_nothing(self) -> bool {
        !self.needs_curves() && !self.keep
    }

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
    /// The sweep has ended: the last points have fewer points after them.
    ends: bool,
}

impl<'a, A: Arithmetic> Looking<'a, A> {
    /// Examines the next point.
    #[inline(never)]
    fn look(&self, search: &mut Search<A>, head: &Head<A>) -> Seen {
        let view = self.view(self.later);
        let Some(centre) = view.at(0) else {
            return Seen::NOTHING;
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

    /// The points round one of the window. What came to its middle before the sweep ended has no gaps.
    #[inline(never)]
    fn view(&self, later: usize) -> View<'a, A> {
        let gaps = if later < REACH { self.gaps } else { Gaps::NONE };
        self.window.view_without(later, gaps)
    }

    /// The points round a candidate for a dip.
    fn view_of(&self, candidate: &Candidate<A>) -> View<'a, A> {
        match candidate.later {
            Some(later) => self.view(usize::from(later)),
            None => self.kept,
        }
    }

    /// Examines the point to the end, where the window stays as it is.
    #[inline(never)]
    fn examine<const N: usize>(
        &self,
        search: &mut Search<A>,
        work: &mut Work<A>,
        report: &mut SweepReport<A, N>,
    ) {
        self.finish(search, work, report);
        if work.seen.keep
            && let Some(candidate) = &mut search.hunt.candidate
        {
            candidate.later = Some(self.later as u8);
        }
    }

    /// Goes on to the end of the work at a point.
    #[inline(never)]
    fn finish<const N: usize>(
        &self,
        search: &mut Search<A>,
        work: &mut Work<A>,
        report: &mut SweepReport<A, N>,
    ) {
        while work.stage != Stage::Done {
            self.step(search, work, report);
        }
        work.stage = Stage::Look;
    }

    /// Does a step of the work at the point; returns what it cost. The curves near the point serve all that it shows.
    #[inline(never)]
    fn step<const N: usize>(
        &self,
        search: &mut Search<A>,
        work: &mut Work<A>,
        report: &mut SweepReport<A, N>,
    ) -> u32 {
        if work.store.is_making() {
            let view = match &search.due {
                Some(candidate) if work.stage == Stage::Dip => self.view_of(candidate),
                _ => self.view(self.later),
            };
            return work.store.step(view);
        }
        match work.stage {
            Stage::Look => {
                let seen = self.look(search, &report.head);
                work.begin(seen);
                1
            }
            Stage::Due => {
                // What takes long is not done twice at a point, but before the window of the dip is needed for the next one.
                let seen = work.seen;
                let is_due = search.due.is_some() && (self.ends || seen.keep || !seen.needs_curves());
                work.stage = if is_due { Stage::Dip } else { Stage::Done };
                work.listed = true;
                work.store.begin(true);
                0
            }
            Stage::Dip | Stage::Band => self.step_of_dip(search, work, report),
            Stage::Edge | Stage::Target | Stage::Axis | Stage::Crossing | Stage::Done => {
                let view = self.view(self.later);
                match view.at(0) {
                    Some(centre) => self.step_at(view, centre, search, work, report),
                    None => {
                        work.stage = Stage::Done; // unreachable: what shows something is there
                        0
                    }
                }
            }
        }
    }

    /// The same for what is found at the point itself.
    #[inline(never)]
    fn step_at<const N: usize>(
        &self,
        view: View<'_, A>,
        centre: &Point<A>,
        search: &mut Search<A>,
        work: &mut Work<A>,
        report: &mut SweepReport<A, N>,
    ) -> u32 {
        let seen = work.seen;
        let height = centre.reflection.imaginary();
        if work.stage == Stage::Axis && seen.crossing {
            work.store.soften();
        }
        let mut curves = Curves::new(view, &mut work.store);
        let wanted = match work.stage {
            Stage::Edge if seen.edge && view.at(-1).is_some() => {
                let level = report.head.limit.power;
                Some(curves.kind(|point| point.power() - level))
            }
            Stage::Target if seen.target => match report.head.target {
                Target::NotCovered(frequency) if curves.is_between(frequency) => {
                    Some(curves.kind_at(frequency))
                }
                _ => None,
            },
            Stage::Axis if seen.crossing && search.crossing.needs_curve(height) => {
                Some(curves.kind(|point| point.gamma().im))
            }
            Stage::Crossing => Some(curves.kind_at(work.axis.0)),
            _ => None,
        };
        if wanted.is_some_and(|kind| curves.wants(kind)) {
            return 0;
        }
        match work.stage {
            Stage::Edge => {
                if seen.edge {
                    self.pass_edge(&mut curves, centre, search, report);
                }
                work.stage = seen.after(Stage::Edge);
            }
            Stage::Target => {
                if seen.target {
                    look_for_target(&mut curves, &mut report.head);
                }
                work.stage = seen.after(Stage::Target);
            }
            Stage::Axis if wanted.is_some() => {
                work.axis = if height == Component::<A>::ZERO {
                    (centre.frequency, Method::Measured)
                } else {
                    axis(&mut curves, &report.head)
                };
                work.stage = Stage::Crossing;
            }
            Stage::Axis => {
                if seen.crossing {
                    self.look_for_crossing(centre, None, search, report);
                }
                work.stage = Stage::Due;
            }
            _ => {
                // On the axis the slope gives Q; the direction of the reactance is known at the next point.
                let on_axis = height == Component::<A>::ZERO;
                let rising = on_axis || (height > Component::<A>::ZERO) != self.falling;
                let found = resonance(&mut curves, work.axis, rising, &report.head);
                self.look_for_crossing(centre, Some(found), search, report);
                work.stage = Stage::Due;
            }
        }
        if wanted.is_some() { cost::USE } else { 0 }
    }

    /// The same for a dip that is complete.
    #[inline(never)]
    fn step_of_dip<const N: usize>(
        &self,
        search: &mut Search<A>,
        work: &mut Work<A>,
        report: &mut SweepReport<A, N>,
    ) -> u32 {
        let Some(candidate) = &search.due else {
            work.stage = Stage::Done;
            return 0;
        };
        let mut curves = Curves::new(self.view_of(candidate), &mut work.store);
        if work.stage == Stage::Dip {
            if candidate.flat_until.is_none() && curves.wants(Kind::Centre) {
                return 0;
            }
            work.dip = lowest(&mut curves, candidate.flat_until, &report.head);
            work.stage = Stage::Band;
        } else {
            if let Some(dip) = &work.dip {
                enter_dip(&mut curves, dip, work.listed, report);
            }
            search.due = None;
            work.stage = Stage::Done;
        }
        cost::USE
    }

    /// Completes open results at the end of the sweep.
    #[inline(never)]
    fn close<const N: usize>(
        &self,
        search: &mut Search<A>,
        work: &mut Work<A>,
        report: &mut SweepReport<A, N>,
    ) {
        if let Some(candidate) = search.hunt.candidate {
            let fall = candidate.ceiling.square_root() - candidate.power.square_root();
            work.listed = fall >= self.prominence;
            search.due = Some(candidate);
            work.store.begin(true);
            work.stage = Stage::Dip;
            self.finish(search, work, report);
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
        &self,
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

    /// The point crosses X = 0, with what was `found` there, or may yet.
    #[inline(never)]
    fn look_for_crossing<const N: usize>(
        &self,
        centre: &Point<A>,
        found: Option<Resonance<A>>,
        search: &mut Search<A>,
        report: &mut SweepReport<A, N>,
    ) {
        let height = centre.reflection.imaginary();
        let crossing = &mut search.crossing;
        if height == Component::<A>::ZERO {
            if crossing.on_axis.is_none() {
                crossing.on_axis = found;
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
                crossing.pending = match touched {
                    Some(touched) => Some(Resonance { rising, ..touched }),
                    None => found,
                };
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
        &self,
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
            later: None,
        });
        true
    }

    /// |Γ|² where |Γ| is greater by `more` than the root of `power`; below 0 if there is no such value.
    #[inline(never)]
    fn trip(&self, power: A::Working, more: A::Working) -> A::Working {
        if more.is_zero() {
            return power;
        }
        let magnitude = power.square_root() + more;
        magnitude * magnitude.absolute()
    }
}

/// Enters a dip near the centre in the report, and in the list if it is `listed`.
#[inline(never)]
fn enter_dip<A: Arithmetic, const N: usize>(
    curves: &mut Curves<'_, A>,
    dip: &Dip<A>,
    listed: bool,
    report: &mut SweepReport<A, N>,
) {
    let best = report.head.best;
    if best.is_none_or(|best| dip.power() < best.power()) {
        report.head.best = Some(*dip);
    }
    if listed {
        if let Some(band) = band_within(curves, dip, &report.head) {
            report.found.add_band(band);
        }
        report.found.add_dip(*dip);
    }
}
