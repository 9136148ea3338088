//! The analyser for small parts: each figure comes from the two or three points nearest to it.

use super::analyser::{Order, SweepError, SweepSettings, checked};
use super::choice::Method;
use super::find::{Edge, crossing};
#[cfg(doc)]
use super::report::Unresolved as UnresolvedDip;
use super::report::{Dip, Found, Head, Resonance, SweepReport, Target, TargetReading, Unresolved};
use super::sieve::{Sieve, is_alone, is_narrow};
use super::tolerance::Tolerance;
use super::window::Point;
use crate::arithmetic::{Arithmetic, Constant, Quantity, Real, Word};
use crate::quantity::swr::SwrLimit;
use crate::quantity::{Complex, Component, Hertz, QuantityError, Reference, Reflection};

/// Finds dips, bands, crossings X = 0 and the load at a target in a fraction of the flash, the stack and the time that
/// [`SweepAnalyser`](super::SweepAnalyser) takes: for parts with 32 KB of flash, and for a push with a deadline.
///
/// Settings, errors and report are those of `SweepAnalyser`, and what takes a report takes this one. Points may come in
/// rising or falling order, on an even or uneven grid; `N` is the capacity of each list, and what does not fit is counted.
///
/// # What the figures are
/// A figure comes from parabolas through three neighbouring points: the place of a dip or of an edge from that of |Γ|², of a
/// crossing from that of Im Γ, and Γ there from those of its components. Where an edge or a crossing has no place between its
/// two points, and between the first two points of a sweep, the straight line stands. [`Method`] says which it was:
/// `Parabola`, `Line`, `Measured` or `Flat`, never another.
///
/// On a clean sweep with ten points per width of a dip this is nearly as good as the curves of `SweepAnalyser`. With fewer
/// points, or with noise, it is not: **nothing is averaged**, so a figure is as noisy as its points. The README has the
/// errors of both, and [the guide](crate::guide::families#which-analyser) says when to take which.
///
/// # What it cannot know, and says
/// - A dip narrower than three steps between its half-power points, by the resonance through the three points, is
///   [unresolved](UnresolvedDip).
/// - One sample alone that fits none of its four neighbours, on an even grid, is left out and
///   [told](SweepReport::spoilt). Two bad samples in a row, one among the first two or the last two, and one that is off by
///   less than 0.03 or by less than four times what the neighbours scatter are **not** recognised.
/// - Samples [beyond the rim](SweepReport::beyond_rim) and [fast turns](SweepReport::fast_turns) are counted, and used.
///
/// What it cannot know and does not say: a minimum between the first two points whose lower one is the first (and likewise
/// at the last) is told as [`at_edge`](Dip::at_edge), though it lies inside. A band that lies wholly between two points is
/// told with both edges at its dip. Two dips within three points are one.
///
/// # Complexity
/// Constant memory: eight points and the lists. The longest push makes an edge, a crossing, a target and a dip, each once;
/// there is no loop but those over the lists. Measured on a Cortex-M0 (`cargo bench --bench on_target -- --core m0 --kernel
/// light_push`), over clean sweeps of 401 points: the longest push takes 5 964 instructions in `Fixed32`, 5 979 in
/// `Fixed16`, 8 020 in `f32`, the mean 728, 719 and 856. Where several figures fall on one point, it may take twice that.
///
/// ```
/// use ohmwright::fixed_point::{Reflection, SweepSettings, ThreePointAnalyser};
/// use ohmwright::quantity::Hertz;
///
/// let mut analyser = ThreePointAnalyser::<4>::new(SweepSettings::new())?;
/// for step in 0..=20_u32 {
///     // An invented load: Γ moves along a straight line past 0.1, nearest to the match between two points.
///     let imaginary = (20.0 * f64::from(step) - 205.0) / 400.0;
///     let frequency = Hertz::from_megahertz(60 + step);
///     analyser.push(frequency, Reflection::try_from_f64(0.1, imaginary)?)?;
/// }
/// let report = analyser.report();
/// let best = report.best().unwrap();
/// assert_eq!(best.frequency.get() / 1_000, 70_250); // though the points are 1 MHz apart
/// assert!((best.swr().to_f64() - 1.1 / 0.9).abs() < 1e-4);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct ThreePointAnalyser<A: Arithmetic, const N: usize> {
    order: Order,
    sieve: Sieve,
    /// |Γ|² beyond which a sample is counted, in steps of 2⁻²⁸.
    rim: u32,
    recent: Recent<A>,
    search: Search<A>,
    /// The report is complete, and the next point begins another sweep.
    finished: bool,
    report: SweepReport<A, N>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const N: usize> defmt::Format for ThreePointAnalyser<A, N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "three-point analyser after {=u32} points", self.points());
    }
}

impl<A: Arithmetic, const N: usize> ThreePointAnalyser<A, N> {
    /// An analyser without points.
    ///
    /// # Errors
    /// [`QuantityError`] for a limit below 1 or not finite, or a prominence or noise that is negative or not finite.
    pub fn new(settings: SweepSettings<A>) -> Result<Self, QuantityError> {
        let limit = checked(&settings)?;
        let mut analyser = Self::begin(
            settings.prominence.to_working(),
            Head::new(limit, settings.reference, settings.target),
        );
        analyser.rim = Tolerance::new(settings.noise).rim;
        Ok(analyser)
    }

    /// An analyser with the defaults of [`SweepSettings::new`], known when the code is compiled: for a `static`.
    pub const fn with_defaults() -> Self {
        Self::constant::<2_000, 10>(Reference::fifty(), None)
    }

    /// An analyser with these settings, known when the code is compiled; to the bit what [`new`](Self::new) gives.
    ///
    /// `SWR_LIMIT` and `PROMINENCE` are thousandths: 1 500 for an SWR limit of 1.5, 10 for a prominence of 0.01. A limit
    /// below 1, a negative prominence, and what the words cannot hold do not compile.
    pub const fn constant<const SWR_LIMIT: i32, const PROMINENCE: i32>(
        reference: Reference<A>,
        target: Option<Hertz>,
    ) -> Self {
        const { assert!(PROMINENCE >= 0, "a prominence is not negative") };
        Self::begin(
            <<A::ComponentWord as Word>::WorkingFraction<PROMINENCE, 1_000> as Constant<A::Working>>::VALUE,
            Head::new(SwrLimit::thousandths::<SWR_LIMIT>(), reference, target),
        )
    }

    const fn begin(prominence: A::Working, head: Head<A>) -> Self {
        Self {
            order: Order::NEW,
            sieve: Sieve::NEW,
            rim: Tolerance::<A>::USUAL.rim,
            recent: Recent::NEW,
            search: Search::new(prominence),
            finished: false,
            report: SweepReport {
                head,
                found: Found::new(),
            },
        }
    }

    /// Forgets the points and begins a new sweep with the same settings.
    #[inline(never)]
    pub fn restart(&mut self) {
        self.finished = false;
        self.order = Order::NEW;
        self.sieve = Sieve::NEW;
        self.recent.missing = HELD as u8;
        self.search.clear();
        self.report.head.clear();
        self.report.found.clear();
    }

    /// Begins a new sweep with other settings.
    ///
    /// # Errors
    /// As [`new`](Self::new); nothing changes then.
    pub fn restart_with(&mut self, settings: SweepSettings<A>) -> Result<(), QuantityError> {
        let limit = checked(&settings)?;
        self.search.prominence = settings.prominence.to_working();
        self.restart();
        self.report.head = Head::new(limit, settings.reference, settings.target);
        self.rim = Tolerance::new(settings.noise).rim;
        Ok(())
    }

    /// Takes the next point of the sweep; after [`finish`](Self::finish), the first one of the next sweep.
    ///
    /// # Errors
    /// [`SweepError`] for a frequency that repeats the last one or changes the direction. The analyser is then
    /// unchanged, and the next point may follow.
    #[inline(never)]
    pub fn push(&mut self, frequency: Hertz, reflection: Reflection<A>) -> Result<(), SweepError> {
        if self.finished {
            self.restart();
        }
        self.order.check(frequency)?;
        let falling = self.order.is_falling();
        if self.keep(frequency, reflection, falling) {
            self.search.take(&self.recent, 2, falling, &mut self.report);
        }
        Ok(())
    }

    /// Keeps a point; true if another one is to be examined now. A function of its own, so that its frame is not under
    /// that of the search.
    #[inline(never)]
    fn keep(&mut self, frequency: Hertz, reflection: Reflection<A>, falling: bool) -> bool {
        let head = &mut self.report.head;
        if head.points == 0 || falling {
            head.start = frequency;
        }
        if !falling {
            head.stop = frequency;
        }
        head.points = head.points.saturating_add(1);
        let point = Point::new(frequency, reflection);
        self.sieve.take(&point, self.rim);
        self.recent.push(point);
        if self.sieve.suspects(2)
            && let Some(spoilt) = self.recent.leave_out()
        {
            self.report.found.add_spoilt(spoilt);
            return false;
        }
        true
    }

    /// Ends the sweep. The report is completed where it is, so that there is no second one in memory; the next push
    /// begins a new sweep with the same settings.
    ///
    /// It is what [`report`](Self::report) gives, with less flash and stack; further calls give the same again.
    ///
    /// ```
    /// use ohmwright::fixed_point::{Reflection, ThreePointAnalyser};
    /// use ohmwright::quantity::Hertz;
    ///
    /// let mut analyser = ThreePointAnalyser::<4>::with_defaults();
    /// for megahertz in 60..80 {
    ///     analyser.push(Hertz::from_megahertz(megahertz), Reflection::MATCHED)?;
    /// }
    /// let report = analyser.report(); // a copy: the sweep could go on
    /// assert_eq!(*analyser.finish(), report);
    /// analyser.push(Hertz::from_megahertz(60), Reflection::MATCHED)?;
    /// assert_eq!(analyser.points(), 1);
    /// # Ok::<(), ohmwright::measure::SweepError>(())
    /// ```
    pub fn finish(&mut self) -> &SweepReport<A, N> {
        if !self.finished {
            self.finished = true;
            let falling = self.order.is_falling();
            self.search.complete(&self.recent, falling, &mut self.report);
            self.report.found.beyond_rim = self.sieve.beyond_rim;
            self.report.found.fast_turns = self.sieve.fast_turns;
        }
        &self.report
    }

    /// The result of the points so far, as if the sweep had ended here. The sweep may go on.
    ///
    /// It takes the memory of a report on the stack; [`report_into`](Self::report_into) does not.
    pub fn report(&self) -> SweepReport<A, N> {
        let mut report = SweepReport {
            head: self.report.head,
            found: Found::new(),
        };
        self.fill(&mut report);
        report
    }

    /// The same as [`report`](Self::report), in place of another report: of an analyser that takes turns with this one, or
    /// of the last sweep.
    pub fn report_into(&self, report: &mut SweepReport<A, N>) {
        report.head = self.report.head;
        report.found.clear();
        self.fill(report);
    }

    /// Fills the empty lists. A function of its own, so that the report is made where the caller wants it.
    #[inline(never)]
    fn fill(&self, report: &mut SweepReport<A, N>) {
        report.found.copy_from(&self.report.found);
        if !self.finished {
            let mut search = self.search;
            search.complete(&self.recent, self.order.is_falling(), report);
        }
        report.found.beyond_rim = self.sieve.beyond_rim;
        report.found.fast_turns = self.sieve.fast_turns;
    }

    /// The number of points.
    pub fn points(&self) -> u32 {
        self.report.head.points
    }
}

/// The point that is examined, two before it and two after, which tell whether it is spoilt.
const HELD: usize = 5;

/// The newest points, in a ring. The third is examined.
#[derive(Clone, Copy, Debug)]
struct Recent<A: Arithmetic> {
    points: [Point<A>; HELD],
    /// The index of the oldest, which is overwritten next.
    oldest: u8,
    /// So many of the oldest are not there.
    missing: u8,
}

impl<A: Arithmetic> Recent<A> {
    const NEW: Self = Self {
        points: [Point {
            frequency: Hertz::new(0),
            reflection: Reflection::MATCHED,
        }; HELD],
        oldest: 0,
        missing: HELD as u8,
    };

    /// The index of a place, the oldest being at 0.
    fn index(&self, place: usize) -> usize {
        let index = place.wrapping_add(usize::from(self.oldest));
        if index >= HELD {
            index.wrapping_sub(HELD)
        } else {
            index
        }
    }

    /// The point at a place, if it is there.
    fn at(&self, place: usize) -> Option<&Point<A>> {
        if place < usize::from(self.missing) {
            return None;
        }
        self.points.get(self.index(place))
    }

    fn put(&mut self, place: usize, point: Point<A>) {
        let index = self.index(place);
        if let Some(slot) = self.points.get_mut(index) {
            *slot = point;
        }
    }

    fn push(&mut self, point: Point<A>) {
        self.put(0, point);
        self.oldest = self.index(1) as u8;
        self.missing = self.missing.saturating_sub(1);
    }

    /// Leaves out the point that is to be examined if it is spoilt, and tells its frequency.
    #[cold]
    #[inline(never)]
    fn leave_out(&mut self) -> Option<Hertz> {
        let [any, ..] = &self.points;
        let mut row = [any; HELD];
        for (place, slot) in row.iter_mut().enumerate() {
            *slot = self.at(place)?;
        }
        if !is_alone(row) {
            return None;
        }
        let [first, second, spoilt, ..] = row;
        // Made anew: a copy within the array would bring a routine of its own for places that overlap.
        let [first, second] = [first, second].map(|point| Point::new(point.frequency, point.reflection));
        let spoilt = spoilt.frequency;
        self.put(1, first);
        self.put(2, second);
        self.missing = 1;
        Some(spoilt)
    }
}

/// The state of the search, without its results.
#[derive(Clone, Copy, Debug)]
struct Search<A: Arithmetic> {
    prominence: A::Working,
    /// The edge at which the present band was entered.
    inside: Option<Edge>,
    /// The side of the last point that was not exactly on the axis: true above it.
    above: Option<bool>,
    /// A crossing, but not yet far enough beyond.
    pending: Option<Resonance<A>>,
    hunt: Hunt<A>,
}

/// The search for dips: down until |Γ| has risen by the prominence, up until it has fallen by it. All in |Γ|², so that
/// a square root is needed only at a change of direction.
#[derive(Clone, Copy, Debug)]
struct Hunt<A: Arithmetic> {
    /// The lowest point on the way down; on the way up, that of the last dip.
    lowest: Candidate<A>,
    /// On the way down.
    down: bool,
    /// |Γ|² of the lowest point on the way down, of the highest on the way up.
    extreme: A::Working,
    /// The |Γ|² at which the direction changes, computed at the first step back.
    trip: Option<A::Working>,
    /// The highest |Γ|² since the last dip, or since the sweep began.
    ceiling: A::Working,
}

/// A candidate for a dip.
#[derive(Clone, Copy, Debug)]
struct Candidate<A: Arithmetic> {
    before: Option<Point<A>>,
    centre: Point<A>,
    after: Option<Point<A>>,
    /// The last of several equal points.
    flat_until: Option<Hertz>,
    /// The highest |Γ|² before.
    ceiling: A::Working,
}

/// What a step has shown of itself.
#[derive(Clone, Copy)]
struct Seen {
    /// The sweep enters a band, or leaves it.
    edge: bool,
    /// Im Γ does not just stay on its side.
    axis: bool,
    /// It leads to the target or over it.
    target: bool,
}

/// The step from the last point to the next one.
struct Step<'a, A: Arithmetic> {
    before: Option<&'a Point<A>>,
    last: Option<&'a Point<A>>,
    next: &'a Point<A>,
    falling: bool,
}

impl<A: Arithmetic> Search<A> {
    /// Nothing seen yet.
    const fn new(prominence: A::Working) -> Self {
        let nothing = <A::Working as Real>::ZERO;
        Self {
            prominence,
            inside: None,
            above: None,
            pending: None,
            hunt: Hunt {
                lowest: Candidate {
                    before: None,
                    centre: Point {
                        frequency: Hertz::new(0),
                        reflection: Reflection::MATCHED,
                    },
                    after: None,
                    flat_until: None,
                    ceiling: nothing,
                },
                down: false,
                extreme: <A::Working as Real>::LARGEST,
                trip: None,
                ceiling: nothing,
            },
        }
    }

    /// The same again. The first point begins the hunt anew.
    fn clear(&mut self) {
        self.inside = None;
        self.above = None;
        self.pending = None;
        self.hunt.down = false;
    }

    /// Examines the step to a point, if it is there.
    #[inline(never)]
    fn take<const N: usize>(
        &mut self,
        recent: &Recent<A>,
        place: usize,
        falling: bool,
        report: &mut SweepReport<A, N>,
    ) {
        let Some(next) = recent.at(place) else { return };
        let step = Step {
            before: recent.at(place.wrapping_sub(2)),
            last: recent.at(place.wrapping_sub(1)),
            next,
            falling,
        };
        let power = next.power();
        let seen = self.see(&step, power, &report.head);
        if seen.edge || seen.axis || seen.target {
            self.look_between(&step, seen, report);
        }
        if self.hunt.take(&step, power, self.prominence) {
            take_dip(&self.hunt.lowest, true, report);
        }
    }

    #[cfg_attr(ohmwright_smallest, inline(never))]
    fn see(&self, step: &Step<'_, A>, power: A::Working, head: &Head<A>) -> Seen {
        Seen {
            edge: (power <= head.limit.inside) != self.inside.is_some(),
            axis: self.meets_axis(step.next),
            target: step.reaches(head),
        }
    }

    /// Whether Im Γ does anything but stay on its side.
    fn meets_axis(&self, next: &Point<A>) -> bool {
        let height = next.reflection.imaginary();
        let zero = Component::<A>::ZERO;
        height == zero || self.above != Some(height > zero) || self.pending.is_some()
    }

    /// What happens in the course of a step, or may.
    #[inline(never)]
    fn look_between<const N: usize>(
        &mut self,
        step: &Step<'_, A>,
        seen: Seen,
        report: &mut SweepReport<A, N>,
    ) {
        let place = step.last.map(|last| Place::between(step.before, last, step.next));
        let place = place.as_ref();
        if seen.edge {
            self.pass_edge(place, step, report);
        }
        if seen.axis {
            self.look_for_crossing(place, step, report);
        }
        if seen.target {
            read_target(place, step.next, &mut report.head);
        }
    }

    /// The sweep has entered a band, or left it.
    #[inline(never)]
    fn pass_edge<const N: usize>(
        &mut self,
        place: Option<&Place<'_, A>>,
        step: &Step<'_, A>,
        report: &mut SweepReport<A, N>,
    ) {
        let mut edge = Edge {
            frequency: step.next.frequency,
            open: true,
            method: Method::Measured,
        };
        if let Some(place) = place {
            let excess = place.curve(Point::power, Some(&report.head.limit.power));
            let (t, method) = excess.zero(place.method());
            edge = Edge {
                frequency: report.head.within(place.frequency(t)),
                open: false,
                method,
            };
        }
        self.inside = match self.inside {
            None => Some(edge),
            Some(entered) => {
                report.found.add_band(entered.to(edge, step.falling));
                None
            }
        };
    }

    #[inline(never)]
    fn look_for_crossing<const N: usize>(
        &mut self,
        place: Option<&Place<'_, A>>,
        step: &Step<'_, A>,
        report: &mut SweepReport<A, N>,
    ) {
        let height = step.next.height();
        if height.is_zero() {
            return; // on which side it goes on, the next point tells
        }
        let above = height > A::Working::ZERO;
        if self
            .above
            .replace(above)
            .is_some_and(|was_above| was_above != above)
        {
            // If it returns before it went far enough, it is not a crossing.
            let returns = self.pending.is_some();
            self.pending = None;
            if let Some(place) = place
                && !returns
            {
                self.cross(place, above != step.falling, &report.head);
            }
        }
        if height.absolute() >= self.prominence * A::Working::HALF {
            self.confirm(report);
        }
    }

    #[inline(never)]
    fn cross(&mut self, place: &Place<'_, A>, rising: bool, head: &Head<A>) {
        self.pending = Some(resonance(place, rising, head));
    }

    /// A crossing that is pending is one.
    #[inline(never)]
    fn confirm<const N: usize>(&mut self, report: &mut SweepReport<A, N>) {
        if let Some(pending) = self.pending.take() {
            report.found.add_resonance(pending);
        }
    }

    /// Completes the report at the end of the sweep: with the last two points, and with what is open then.
    #[inline(never)]
    fn complete<const N: usize>(
        &mut self,
        recent: &Recent<A>,
        falling: bool,
        report: &mut SweepReport<A, N>,
    ) {
        for place in 3..HELD {
            self.take(recent, place, falling, report);
        }
        self.close(falling, report);
        report.reconcile();
    }

    #[inline(never)]
    fn close<const N: usize>(&mut self, falling: bool, report: &mut SweepReport<A, N>) {
        if self.hunt.down {
            let lowest = &self.hunt.lowest;
            let fall = lowest.ceiling.square_root() - self.hunt.extreme.square_root();
            take_dip(lowest, fall >= self.prominence, report);
        }
        if let Some(entered) = self.inside {
            let head = &report.head;
            let last = Edge {
                frequency: if falling { head.start } else { head.stop },
                open: true,
                method: Method::Measured,
            };
            report.found.add_band(entered.to(last, falling));
        }
        self.confirm(report);
    }
}

impl<A: Arithmetic> Hunt<A> {
    /// Takes the next point; true if it makes the lowest one before it a dip.
    #[inline(never)]
    fn take(&mut self, step: &Step<'_, A>, power: A::Working, prominence: A::Working) -> bool {
        let Step { last, next, .. } = *step;
        if !self.down {
            if last.is_none() {
                // The first point is the lowest so far.
                self.ceiling = power;
            } else if power >= self.extreme {
                (self.extreme, self.trip, self.ceiling) = (power, None, power);
                return false;
            } else if power > trip(&mut self.trip, self.extreme, -prominence) {
                return false;
            }
        } else {
            let lowest = &mut self.lowest;
            if lowest.after.is_none() {
                lowest.after = Some(*next);
            }
            if power >= self.extreme {
                if power == self.extreme {
                    if last.is_some_and(|last| last.reflection == next.reflection) {
                        lowest.flat_until = Some(next.frequency);
                    }
                } else if power >= trip(&mut self.trip, self.extreme, prominence) {
                    (self.down, self.extreme, self.trip, self.ceiling) = (false, power, None, power);
                    return true;
                }
                if self.ceiling < power {
                    self.ceiling = power;
                }
                return false;
            }
        }
        self.lowest = Candidate {
            before: last.copied(),
            centre: *next,
            after: None,
            flat_until: None,
            ceiling: self.ceiling,
        };
        (self.down, self.extreme, self.trip) = (true, power, None);
        false
    }
}

impl<A: Arithmetic> Step<'_, A> {
    /// Whether the step leads to the target or over it.
    fn reaches(&self, head: &Head<A>) -> bool {
        let Target::NotCovered(frequency) = head.target else {
            return false;
        };
        let next = self.next.frequency;
        let between = self
            .last
            .is_some_and(|last| (last.frequency < frequency) != self.falling && last.frequency != frequency);
        let reached = (next > frequency) != self.falling;
        next == frequency || between && reached
    }
}

/// |Γ|² where |Γ| is greater by `more` than at the extreme; below 0 if there is no such value. Computed once.
#[inline(never)]
fn trip<W: Real>(known: &mut Option<W>, extreme: W, more: W) -> W {
    if let Some(trip) = *known {
        return trip;
    }
    let magnitude = extreme.square_root() + more;
    let trip = if more.is_zero() {
        extreme
    } else {
        magnitude * magnitude.absolute()
    };
    *known = Some(trip);
    trip
}

/// The load at the target, which is the next point or before it.
#[inline(never)]
fn read_target<A: Arithmetic>(place: Option<&Place<'_, A>>, next: &Point<A>, head: &mut Head<A>) {
    let Target::NotCovered(frequency) = head.target else {
        return;
    };
    let (mut reflection, mut method) = (next.reflection, Method::Measured);
    if let Some(place) = place
        && frequency != next.frequency
    {
        reflection = place.gamma(place.of(frequency));
        method = place.method();
    }
    head.target = Target::Reading(TargetReading {
        frequency,
        reflection,
        pass: head.limit.holds(reflection),
        method,
    });
}

/// The crossing X = 0 before the next point.
fn resonance<A: Arithmetic>(place: &Place<'_, A>, rising: bool, head: &Head<A>) -> Resonance<A> {
    let height = place.curve(Point::height, None);
    let (t, method) = height.zero(place.method());
    let frequency = head.within(place.frequency(t));
    let periods = A::Working::from_u64(frequency.get()) / A::Working::from_u64(place.unit);
    let turn = (height.slope(t) * periods).absolute();
    let re = place.value(Point::real, t);
    crossing(frequency, re, turn, rising, method, head)
}

/// Enters the dip of a candidate in the report, and in the list if it is `listed`.
#[inline(never)]
fn take_dip<A: Arithmetic, const N: usize>(
    candidate: &Candidate<A>,
    listed: bool,
    report: &mut SweepReport<A, N>,
) {
    let mut dip = Dip {
        frequency: candidate.centre.frequency,
        reflection: candidate.centre.reflection,
        at_edge: false,
        method: Method::Measured,
        unresolved: None,
    };
    let power = candidate.find(&mut dip);
    let best = report.head.best.as_ref();
    if best.is_none_or(|best| power < best.power()) {
        report.head.best = Some(dip);
    }
    if listed {
        report.found.add_dip(dip);
    }
}

impl<A: Arithmetic> Candidate<A> {
    /// The minimum of |Γ| near the lowest point, between its neighbours; and |Γ|² there.
    #[inline(never)]
    fn find(&self, dip: &mut Dip<A>) -> A::Working {
        let centre = &self.centre;
        let power = centre.power();
        if let Some(last) = self.flat_until {
            let (first, last) = (centre.frequency.get(), last.get());
            dip.frequency = Hertz::new(first.min(last).saturating_add(first.abs_diff(last) / 2));
            dip.method = Method::Flat;
            return power;
        }
        let (Some(before), Some(after)) = (&self.before, &self.after) else {
            dip.at_edge = true;
            return power;
        };
        let (low, high) = if after.frequency < before.frequency {
            (after.frequency, before.frequency)
        } else {
            (before.frequency, after.frequency)
        };
        if is_narrow([before, centre, after]) {
            dip.unresolved = Some(Unresolved {
                low,
                high,
                swr_at_most: centre.reflection.swr(),
            });
        }
        let place = Place::between(Some(before), centre, after);
        let t = place.curve(Point::power, None).lowest();
        let (frequency, reflection) = (place.frequency(t), place.gamma(t));
        let refined = reflection.power();
        if low <= frequency && frequency < high && refined <= power {
            (dip.frequency, dip.reflection) = (frequency, reflection);
            dip.method = Method::Parabola;
            return refined;
        }
        power
    }
}

impl<A: Arithmetic> Point<A> {
    fn real(&self) -> A::Working {
        self.reflection.real().to_working()
    }

    fn height(&self) -> A::Working {
        self.reflection.imaginary().to_working()
    }
}

/// Two or three neighbouring points, t = 0 at the middle one and 1 at the next.
struct Place<'a, A: Arithmetic> {
    before: Option<&'a Point<A>>,
    centre: &'a Point<A>,
    next: &'a Point<A>,
    /// The step to the next point, in hertz.
    unit: u64,
    /// That step as a share of the one before, if it is another, and of both.
    per_step: Option<A::Working>,
    per_span: A::Working,
}

impl<'a, A: Arithmetic> Place<'a, A> {
    #[inline(never)]
    fn between(before: Option<&'a Point<A>>, centre: &'a Point<A>, next: &'a Point<A>) -> Self {
        // Neighbours differ in frequency.
        let unit = next.frequency.get().abs_diff(centre.frequency.get());
        let mut place = Self {
            before,
            centre,
            next,
            unit,
            per_step: None,
            per_span: A::Working::HALF,
        };
        let step = before.map_or(unit, |before| {
            centre.frequency.get().abs_diff(before.frequency.get())
        });
        if step != unit {
            let per = |hertz| A::Working::from_u64(unit) / A::Working::from_u64(hertz);
            (place.per_step, place.per_span) = (Some(per(step)), per(step.saturating_add(unit)));
        }
        place
    }

    fn method(&self) -> Method {
        if self.before.is_some() {
            Method::Parabola
        } else {
            Method::Line
        }
    }

    fn falls(&self) -> bool {
        self.next.frequency < self.centre.frequency
    }

    /// t of a frequency.
    fn of(&self, frequency: Hertz) -> A::Working {
        let t = frequency.steps_from::<A::Working>(self.centre.frequency, self.unit);
        if self.falls() { -t } else { t }
    }

    /// The frequency of t, to the nearest hertz.
    #[inline(never)]
    fn frequency(&self, t: A::Working) -> Hertz {
        let t = if self.falls() { -t } else { t };
        self.centre.frequency.moved(t, self.unit)
    }

    /// The parabola of a figure of the points, or of how far it is above a level: divided differences, in Newton's form
    /// through 0, 1 and the point before.
    #[inline(never)]
    fn curve(&self, figure: fn(&Point<A>) -> A::Working, level: Option<&A::Working>) -> Parabola<A::Working> {
        let of = |point| match level {
            None => figure(point),
            Some(level) => figure(point) - *level,
        };
        let middle = of(self.centre);
        let chord = of(self.next) - middle;
        let mut bend = A::Working::ZERO;
        if let Some(before) = self.before {
            let mut back = middle - of(before);
            if let Some(per_step) = self.per_step {
                back = back * per_step;
            }
            bend = (chord - back) * self.per_span;
        }
        Parabola { middle, chord, bend }
    }

    /// A figure on its parabola.
    #[inline(never)]
    fn value(&self, figure: fn(&Point<A>) -> A::Working, t: A::Working) -> A::Working {
        self.curve(figure, None).value(t)
    }

    /// Γ on the parabolas of both components.
    #[inline(never)]
    fn gamma(&self, t: A::Working) -> Reflection<A> {
        let (re, im) = (self.value(Point::real, t), self.value(Point::height, t));
        Reflection::from_complex(Complex::new(re, im))
    }
}

/// v(t) = v₀ + t·(c − (1 − t)·b), with c = v(1) − v₀ the chord to the next point.
struct Parabola<W> {
    middle: W,
    chord: W,
    bend: W,
}

impl<W: Real> Parabola<W> {
    #[inline(never)]
    fn value(&self, t: W) -> W {
        self.middle + t * (self.chord - (W::ONE - t) * self.bend)
    }

    fn slope(&self, t: W) -> W {
        self.chord + (t + t - W::ONE) * self.bend
    }

    /// t where the value is 0, which has opposite signs at 0 and 1, or is 0 at one; and how it was found.
    ///
    /// v = 0 where t = t₀ + k·t·(1 − t), with t₀ the zero of the chord and k = b/c: two steps from t₀ on.
    #[inline(never)]
    fn zero(&self, method: Method) -> (W, Method) {
        if self.chord.is_zero() {
            return (W::ZERO, Method::Line);
        }
        let per_chord = W::ONE / self.chord;
        let (line, bend) = (-(self.middle * per_chord), self.bend * per_chord);
        let mut t = line;
        for _ in 0..2 {
            t = line + bend * t * (W::ONE - t);
        }
        // Not a number is not between.
        if t >= W::ZERO && t <= W::ONE {
            (t, method)
        } else {
            (line, Method::Line)
        }
    }

    /// t where the slope is 0; anything where there is no such place.
    fn lowest(&self) -> W {
        (self.bend - self.chord) * W::HALF / self.bend
    }
}
