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
/// Constant memory: seven points and the lists. The longest push makes an edge, a crossing, a target and a dip, each once;
/// there is no loop but those over the lists. Measured on a Cortex-M0 (`cargo bench --bench on_target -- --core m0 --kernel
/// light_push`), over clean sweeps of 401 points: the longest push takes 6 216 instructions in `Fixed32`, 6 198 in
/// `Fixed16`, 7 971 in `f32`, the mean 741, 720 and 852. Where several figures fall on one point, it may take twice that.
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
            report: SweepReport {
                head,
                found: Found::new(),
            },
        }
    }

    /// Forgets the points and begins a new sweep with the same settings.
    pub fn restart(&mut self) {
        self.order = Order::NEW;
        self.sieve = Sieve::NEW;
        self.recent = Recent::NEW;
        self.search = Search::new(self.search.prominence);
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

    /// Takes the next point of the sweep.
    ///
    /// # Errors
    /// [`SweepError`] for a frequency that repeats the last one or changes the direction. The analyser is then
    /// unchanged, and the next point may follow.
    #[inline(never)]
    pub fn push(&mut self, frequency: Hertz, reflection: Reflection<A>) -> Result<(), SweepError> {
        self.order.check(frequency)?;
        let head = &mut self.report.head;
        if head.points == 0 || frequency < head.start {
            head.start = frequency;
        }
        head.stop = head.stop.max(frequency);
        head.points = head.points.saturating_add(1);
        let point = Point::new(frequency, reflection);
        self.sieve.take(&point, self.rim);
        if self.recent.is_full() && self.sieve.suspects(2) && self.recent.is_spoilt(&point) {
            self.report.found.add_spoilt(self.recent.leave_out(point));
        } else {
            let [before, last, older, _] = self.recent.views();
            if let Some(next) = older {
                self.search
                    .take([before, last], next, self.order.is_falling(), &mut self.report);
            }
            self.recent.push(point);
        }
        Ok(())
    }

    /// The result of the points so far, as if the sweep had ended here. The sweep may go on.
    pub fn report(&self) -> SweepReport<A, N> {
        let mut report = SweepReport {
            head: self.report.head,
            found: Found::new(),
        };
        self.complete(&mut report);
        report
    }

    /// Fills the lists. A function of its own, so that the report is made where the caller wants it.
    #[inline(never)]
    fn complete(&self, report: &mut SweepReport<A, N>) {
        report.found.copy_from(&self.report.found);
        let mut search = self.search;
        let falling = self.order.is_falling();
        let [before, last, older, newer] = self.recent.views();
        let mut previous = [before, last];
        for next in [older, newer].into_iter().flatten() {
            search.take(previous, next, falling, report);
            let [_, last] = previous;
            previous = [last, Some(next)];
        }
        search.close(falling, report);
        report.reconcile();
        report.found.beyond_rim = self.sieve.beyond_rim;
        report.found.fast_turns = self.sieve.fast_turns;
    }

    /// The number of points.
    pub fn points(&self) -> u32 {
        self.report.head.points
    }
}

/// The newest points, the oldest first. The first two have been examined; a point is when two more have come, which tell
/// whether it is spoilt.
#[derive(Clone, Copy, Debug)]
struct Recent<A: Arithmetic> {
    points: [Point<A>; 4],
    /// So many of them, the last ones, are there.
    held: u8,
}

impl<A: Arithmetic> Recent<A> {
    const NEW: Self = Self {
        points: [Point {
            frequency: Hertz::new(0),
            reflection: Reflection::MATCHED,
        }; 4],
        held: 0,
    };

    fn is_full(&self) -> bool {
        self.held == 4
    }

    fn views(&self) -> [Option<&Point<A>>; 4] {
        let [first, second, third, fourth] = &self.points;
        let view = |point, least| (self.held >= least).then_some(point);
        [view(first, 4), view(second, 3), view(third, 2), view(fourth, 1)]
    }

    /// Whether the point that is to be examined, with one more after it and `next`, is spoilt.
    fn is_spoilt(&self, next: &Point<A>) -> bool {
        let [first, second, third, fourth] = &self.points;
        is_alone([first, second, third, fourth, next])
    }

    fn push(&mut self, point: Point<A>) {
        let [_, second, third, fourth] = self.points;
        self.points = [second, third, fourth, point];
        if !self.is_full() {
            self.held += 1;
        }
    }

    /// Takes a point in place of the one that was to be examined, whose frequency it tells.
    fn leave_out(&mut self, point: Point<A>) -> Hertz {
        let [first, second, spoilt, fourth] = self.points;
        self.points = [first, second, fourth, point];
        spoilt.frequency
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
    /// The lowest point on the way down, a candidate for a dip; `None` on the way up.
    lowest: Option<Candidate<A>>,
    /// |Γ|² of the lowest point on the way down, of the highest on the way up.
    extreme: A::Working,
    /// The |Γ|² at which the direction changes, computed at the first step back.
    trip: Option<A::Working>,
    /// The highest |Γ|² since the last dip, or since the sweep began.
    ceiling: A::Working,
}

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

impl<A: Arithmetic> Search<A> {
    /// Nothing seen yet.
    const fn new(prominence: A::Working) -> Self {
        Self {
            prominence,
            inside: None,
            above: None,
            pending: None,
            hunt: Hunt {
                lowest: None,
                extreme: <A::Working as Real>::LARGEST,
                trip: None,
                ceiling: <A::Working as Real>::ZERO,
            },
        }
    }

    /// Examines the step from the last point to the next one.
    #[inline(never)]
    fn take<const N: usize>(
        &mut self,
        [before, last]: [Option<&Point<A>>; 2],
        next: &Point<A>,
        falling: bool,
        report: &mut SweepReport<A, N>,
    ) {
        let power = next.power();
        let enters = power <= report.head.limit.inside;
        let leaves_axis = self.meets_axis(next);
        let target = reaches(last, next, falling, &report.head);
        let passes_edge = enters != self.inside.is_some();
        if passes_edge || leaves_axis || target.is_some() {
            let place = last.map(|last| Place::between(before, last, next));
            if passes_edge {
                self.pass_edge(place.as_ref(), next, falling, report);
            }
            if leaves_axis {
                self.look_for_crossing(place.as_ref(), next, falling, report);
            }
            if let Some(frequency) = target {
                read_target(place.as_ref(), next, frequency, &mut report.head);
            }
        }
        self.look_for_dip(last, next, power, report);
    }

    /// Whether Im Γ does anything but stay on its side.
    fn meets_axis(&self, next: &Point<A>) -> bool {
        let height = next.reflection.imaginary();
        let zero = Component::<A>::ZERO;
        height == zero || self.above != Some(height > zero) || self.pending.is_some()
    }

    /// The sweep has entered a band, or left it.
    #[inline(never)]
    fn pass_edge<const N: usize>(
        &mut self,
        place: Option<&Place<'_, A>>,
        next: &Point<A>,
        falling: bool,
        report: &mut SweepReport<A, N>,
    ) {
        let mut edge = Edge {
            frequency: next.frequency,
            open: true,
            method: Method::Measured,
        };
        if let Some(place) = place {
            let level = report.head.limit.power;
            let excess = place.curve(|point| point.power() - level);
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
                report.found.add_band(entered.to(edge, falling));
                None
            }
        };
    }

    #[inline(never)]
    fn look_for_crossing<const N: usize>(
        &mut self,
        place: Option<&Place<'_, A>>,
        next: &Point<A>,
        falling: bool,
        report: &mut SweepReport<A, N>,
    ) {
        let height = next.height();
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
            self.pending = match (self.pending, place) {
                (None, Some(place)) => Some(resonance(place, above != falling, &report.head)),
                _ => None,
            };
        }
        if height.absolute() >= self.prominence * A::Working::HALF
            && let Some(pending) = self.pending.take()
        {
            report.found.add_resonance(pending);
        }
    }

    #[inline(never)]
    fn look_for_dip<const N: usize>(
        &mut self,
        last: Option<&Point<A>>,
        next: &Point<A>,
        power: A::Working,
        report: &mut SweepReport<A, N>,
    ) {
        let hunt = &mut self.hunt;
        let mut is_lowest = false;
        if let Some(candidate) = &mut hunt.lowest {
            if candidate.after.is_none() {
                candidate.after = Some(*next);
            }
            if power < hunt.extreme {
                is_lowest = true;
            } else if power == hunt.extreme {
                if last.is_some_and(|last| last.reflection == next.reflection) {
                    candidate.flat_until = Some(next.frequency);
                }
            } else if power >= trip(&mut hunt.trip, hunt.extreme, self.prominence) {
                take_dip(candidate, true, report);
                *hunt = Hunt {
                    lowest: None,
                    extreme: power,
                    trip: None,
                    ceiling: power,
                };
            }
        } else if last.is_none() {
            // The first point is the lowest so far.
            is_lowest = true;
        } else if power >= hunt.extreme {
            (hunt.extreme, hunt.trip, hunt.ceiling) = (power, None, power);
        } else {
            is_lowest = power <= trip(&mut hunt.trip, hunt.extreme, -self.prominence);
        }
        if hunt.ceiling < power {
            hunt.ceiling = power;
        }
        if is_lowest {
            hunt.lowest = Some(Candidate {
                before: last.copied(),
                centre: *next,
                after: None,
                flat_until: None,
                ceiling: hunt.ceiling,
            });
            (hunt.extreme, hunt.trip) = (power, None);
        }
    }

    /// Completes open results at the end of the sweep.
    fn close<const N: usize>(&self, falling: bool, report: &mut SweepReport<A, N>) {
        if let Some(candidate) = &self.hunt.lowest {
            let fall = candidate.ceiling.square_root() - self.hunt.extreme.square_root();
            take_dip(candidate, fall >= self.prominence, report);
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
        if let Some(resonance) = self.pending {
            report.found.add_resonance(resonance);
        }
    }
}

/// The target, where the step to the next point leads to it or over it.
fn reaches<A: Arithmetic>(
    last: Option<&Point<A>>,
    next: &Point<A>,
    falling: bool,
    head: &Head<A>,
) -> Option<Hertz> {
    let Target::NotCovered(frequency) = head.target else {
        return None;
    };
    let between =
        last.is_some_and(|last| (last.frequency < frequency) != falling && last.frequency != frequency);
    let reached = (next.frequency > frequency) != falling;
    (next.frequency == frequency || between && reached).then_some(frequency)
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
fn read_target<A: Arithmetic>(
    place: Option<&Place<'_, A>>,
    next: &Point<A>,
    frequency: Hertz,
    head: &mut Head<A>,
) {
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
#[inline(never)]
fn resonance<A: Arithmetic>(place: &Place<'_, A>, rising: bool, head: &Head<A>) -> Resonance<A> {
    let height = place.curve(Point::height);
    let (t, method) = height.zero(place.method());
    let frequency = head.within(place.frequency(t));
    let periods = A::Working::from_u64(frequency.get()) / A::Working::from_u64(place.unit);
    let turn = (height.slope(t) * periods).absolute();
    let re = place.curve(Point::real).value(t);
    crossing(frequency, re, turn, rising, method, head)
}

/// Enters the dip of a candidate in the report, and in the list if it is `listed`.
#[inline(never)]
fn take_dip<A: Arithmetic, const N: usize>(
    candidate: &Candidate<A>,
    listed: bool,
    report: &mut SweepReport<A, N>,
) {
    let dip = candidate.dip(&report.head);
    if report.head.best.is_none_or(|best| dip.power() < best.power()) {
        report.head.best = Some(dip);
    }
    if listed {
        report.found.add_dip(dip);
    }
}

impl<A: Arithmetic> Candidate<A> {
    /// The minimum of |Γ| near the lowest point, between its neighbours.
    #[inline(never)]
    fn dip(&self, head: &Head<A>) -> Dip<A> {
        let centre = &self.centre;
        let mut dip = Dip {
            frequency: centre.frequency,
            reflection: centre.reflection,
            at_edge: false,
            method: Method::Measured,
            unresolved: None,
        };
        if let Some(last) = self.flat_until {
            let (first, last) = (centre.frequency.get(), last.get());
            dip.frequency = Hertz::new(first.min(last).saturating_add(first.abs_diff(last) / 2));
            dip.method = Method::Flat;
            return dip;
        }
        let (Some(before), Some(after)) = (&self.before, &self.after) else {
            dip.at_edge = true;
            return dip;
        };
        if is_narrow([before, centre, after]) {
            dip.unresolved = Some(Unresolved {
                low: before.frequency.min(after.frequency),
                high: before.frequency.max(after.frequency),
                swr_at_most: centre.reflection.swr(),
            });
        }
        let place = Place::between(Some(before), centre, after);
        let t = place.curve(Point::power).lowest();
        let (frequency, reflection) = (place.frequency(t), place.gamma(t));
        if (frequency < before.frequency) != (frequency < after.frequency)
            && frequency == head.within(frequency)
            && reflection.power() <= centre.power()
        {
            (dip.frequency, dip.reflection) = (frequency, reflection);
            dip.method = Method::Parabola;
        }
        dip
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
    /// That step as a share of the one before, and of both.
    per_step: A::Working,
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
            per_step: A::Working::ONE,
            per_span: A::Working::HALF,
        };
        let step = before.map_or(unit, |before| {
            centre.frequency.get().abs_diff(before.frequency.get())
        });
        if step != unit {
            let per = |hertz| A::Working::from_u64(unit) / A::Working::from_u64(hertz);
            (place.per_step, place.per_span) = (per(step), per(step.saturating_add(unit)));
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

    /// The parabola of a figure of the points: divided differences, in Newton's form through 0, 1 and the point before.
    #[inline(always)]
    fn curve(&self, figure: impl Fn(&Point<A>) -> A::Working) -> Parabola<A::Working> {
        let before = match self.before {
            Some(before) => figure(before),
            None => A::Working::ZERO,
        };
        self.through(before, figure(self.centre), figure(self.next))
    }

    #[inline(never)]
    fn through(&self, before: A::Working, middle: A::Working, next: A::Working) -> Parabola<A::Working> {
        let ahead = next - middle;
        let mut bend = A::Working::ZERO;
        if self.before.is_some() {
            bend = (ahead - (middle - before) * self.per_step) * self.per_span;
        }
        Parabola {
            middle,
            chord: ahead,
            bend,
        }
    }

    /// Γ on the parabolas of both components.
    #[inline(never)]
    fn gamma(&self, t: A::Working) -> Reflection<A> {
        let re = self.curve(Point::real).value(t);
        let im = self.curve(Point::height).value(t);
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
