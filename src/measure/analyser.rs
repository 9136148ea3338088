//! The streaming sweep analyser: one point at a time, constant memory, a report at any moment.

use core::fmt;

use super::limit::SwrLimit;
use super::local_map::{LocalMap, WIDEST};
use super::report::{Band, Dip, Found, Resonance, SweepReport, Target, TargetReading};
use super::window::{Method, Point, Window};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Complex, Hertz, QuantityError, Reference, Reflection};

/// What to look for. All of it may be shared between sweeps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SweepSettings<A: Arithmetic> {
    /// The resistance Γ refers to; 50 Ω by default.
    pub reference: Reference<A>,
    /// A match is good enough at this SWR; at least 1, and 2 by default.
    pub swr_limit: A::Ratio,
    /// The frequency that matters, if there is one.
    pub target: Option<Hertz>,
    /// How far |Γ| must rise on both sides of a minimum for it to count as a dip; 0.01 by default, 0 for every wiggle.
    ///
    /// Choose about ten times the noise of a component of Γ. Crossings X = 0 count once Im Γ has gone half as far
    /// beyond zero. The best point of a sweep is reported however shallow it is.
    pub prominence: A::Component,
}

impl<A: Arithmetic> Default for SweepSettings<A> {
    fn default() -> Self {
        Self {
            reference: Reference::fifty(),
            swr_limit: A::Ratio::from_working(A::Working::TWO),
            target: None,
            prominence: A::Component::from_working(A::Working::ONE / A::Working::from_i32(100)),
        }
    }
}

/// Why a point was refused. The analyser is as it was before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum SweepError {
    /// The frequency of the point before came again.
    Repeated(Hertz),
    /// The sweep had been running the other way.
    OutOfOrder {
        /// The last frequency taken.
        last: Hertz,
        /// The one refused.
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

/// The last frequency of a sweep, and which way it runs.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Order {
    last: Option<Hertz>,
    rising: Option<bool>,
}

impl Order {
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
/// Points may come in rising or in falling order, on an even or an uneven grid. The figures lie between the points:
/// each is a root of a Möbius map through three neighbours, found again close by on a curve through five; where noise
/// shows, of a curve fitted to up to fifteen by least squares ([`Method`] says which). `N` is the room for dips, for bands and for crossings alike; what does not fit is counted.
///
/// What it cannot see: a dip or a rise that lies wholly between two points and bends none of them. A grid of ten
/// points to the width of a dip is plenty, three will do.
///
/// # Complexity
/// Constant time and memory a point. The maps are worked out only where something was found. It holds
/// thirty points and the lists; [`report`](Self::report) works on a copy of all that.
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
    settings: SweepSettings<A>,
    limit: SwrLimit<A>,
    window: Window<A>,
    points: u32,
    lowest: Hertz,
    highest: Hertz,
    order: Order,
    hunt: Hunt<A>,
    best: Option<Dip<A>>,
    /// Where the band was entered that is being swept.
    inside: Option<Edge>,
    crossing: Crossing<A>,
    target: Option<TargetReading<A>>,
    found: Found<A, N>,
}

/// One edge of a band.
#[derive(Clone, Copy, Debug)]
struct Edge {
    frequency: Hertz,
    open: bool,
    method: Method,
}

/// The search for dips: down until |Γ| has risen by the prominence, up until it has fallen by it.
#[derive(Clone, Copy, Debug)]
struct Hunt<A: Arithmetic> {
    /// The highest |Γ| since the last dip, while on the way up; `None` on the way down.
    peak: Option<A::Working>,
    /// The highest |Γ| since the last dip, or since the sweep began.
    ceiling: A::Working,
    candidate: Option<Candidate<A>>,
}

/// The lowest point since the last peak, with its neighbours.
#[derive(Clone, Copy, Debug)]
struct Candidate<A: Arithmetic> {
    window: Window<A>,
    power: A::Working,
    magnitude: A::Working,
    /// How far |Γ| has fallen before.
    fall: A::Working,
    /// The last of several equal points.
    flat_until: Option<Hertz>,
}

/// The search for crossings X = 0, which are those of Im Γ.
#[derive(Clone, Copy, Debug)]
struct Crossing<A: Arithmetic> {
    /// The side of the last point that was not exactly on the axis: true above.
    above: Option<bool>,
    /// The first of the points exactly on the axis, if the last ones were.
    on_axis: Option<Resonance<A>>,
    /// Crossed, but not yet far enough beyond.
    pending: Option<Resonance<A>>,
}

impl<A: Arithmetic, const N: usize> SweepAnalyser<A, N> {
    /// An analyser that has seen nothing yet.
    ///
    /// # Errors
    /// A limit below 1 or not finite; a prominence that is negative or not finite.
    pub fn new(settings: SweepSettings<A>) -> Result<Self, QuantityError> {
        let limit = SwrLimit::new(settings.swr_limit)?;
        if !settings.prominence.is_finite() {
            return Err(QuantityError::NotFinite("prominence"));
        }
        if settings.prominence < A::Component::ZERO {
            return Err(QuantityError::Negative("prominence"));
        }
        Ok(Self {
            settings,
            limit,
            window: Window::new(),
            points: 0,
            lowest: Hertz::default(),
            highest: Hertz::default(),
            order: Order::default(),
            hunt: Hunt {
                peak: None,
                ceiling: A::Working::ZERO,
                candidate: None,
            },
            best: None,
            inside: None,
            crossing: Crossing {
                above: None,
                on_axis: None,
                pending: None,
            },
            target: None,
            found: Found::new(),
        })
    }

    /// Takes the next point of the sweep.
    ///
    /// # Errors
    /// A frequency that repeats the last one or turns back; nothing changes then, and the next point may follow.
    pub fn push(&mut self, frequency: Hertz, reflection: Reflection<A>) -> Result<(), SweepError> {
        self.order.check(frequency)?;
        if self.points == 0 {
            self.lowest = frequency;
            self.highest = frequency;
        }
        self.lowest = self.lowest.min(frequency);
        self.highest = self.highest.max(frequency);
        self.points = self.points.saturating_add(1);
        self.advance(Some(Point::new(frequency, reflection)));
        Ok(())
    }

    /// What the points so far say, as if the sweep had ended here. The sweep may go on afterwards.
    pub fn report(&self) -> SweepReport<A, N> {
        let mut end = self.clone();
        end.finish();
        SweepReport {
            points: end.points,
            start: end.lowest,
            stop: end.highest,
            reference: end.settings.reference,
            swr_limit: end.settings.swr_limit,
            best: end.best,
            target: match (end.settings.target, end.target) {
                (None, _) => Target::NotAsked,
                (Some(_), Some(reading)) => Target::Reading(reading),
                (Some(frequency), None) => Target::NotCovered(frequency),
            },
            found: end.found,
        }
    }

    /// How many points were taken.
    pub fn points(&self) -> u32 {
        self.points
    }

    /// Moves the window on by one and looks at its centre.
    fn advance(&mut self, next: Option<Point<A>>) {
        self.window.shift(next);
        let window = self.window;
        let Some(centre) = window.centre() else {
            return;
        };
        self.look_for_band_edge(&window, centre);
        self.look_for_crossing(&window, centre);
        self.look_for_target(&window);
        self.look_for_dip(&window, centre);
    }

    /// Lets the last points through the window and closes what is open.
    fn finish(&mut self) {
        for _ in 0..WIDEST / 2 {
            self.advance(None);
        }
        if let Some(candidate) = self.hunt.candidate.take() {
            let dip = self.refine(&candidate);
            self.note_best(dip);
            if candidate.fall >= self.settings.prominence.to_working() {
                self.note_narrow_band(&candidate, &dip);
                self.found.add_dip(dip);
            }
        }
        if let Some(entered) = self.inside.take() {
            let last = if self.order.rising == Some(false) {
                self.lowest
            } else {
                self.highest
            };
            self.close_band(
                entered,
                Edge {
                    frequency: last,
                    open: true,
                    method: Method::Measured,
                },
            );
        }
        if let Some(resonance) = self.crossing.pending.take() {
            self.found.add_resonance(resonance);
        }
    }

    /// The nearest frequency that was swept. (`clamp` would have a panic, which the optimiser cannot rule out.)
    fn within_sweep(&self, frequency: Hertz) -> Hertz {
        frequency.max(self.lowest).min(self.highest)
    }

    // --- bands -------------------------------------------------------------------------------------------------

    fn look_for_band_edge(&mut self, window: &Window<A>, centre: &Point<A>) {
        let is_inside = centre.power() <= self.limit.power;
        match (window.before(), is_inside, self.inside) {
            (None, true, _) => {
                self.inside = Some(Edge {
                    frequency: centre.frequency,
                    open: true,
                    method: Method::Measured,
                });
            }
            (Some(before), true, None) => self.inside = Some(self.edge(window, before, centre)),
            (Some(before), false, Some(entered)) => {
                let left = self.edge(window, before, centre);
                self.inside = None;
                self.close_band(entered, left);
            }
            _ => {}
        }
    }

    fn close_band(&mut self, entered: Edge, left: Edge) {
        let (low, high) = if self.order.rising == Some(false) {
            (left, entered)
        } else {
            (entered, left)
        };
        self.found.add_band(Band {
            // With noise the smooth curve may put the edges of a sliver the other way round.
            low: low.frequency.min(high.frequency),
            high: high.frequency.max(low.frequency),
            low_open: low.open,
            high_open: high.open,
            low_method: low.method,
            high_method: high.method,
        });
    }

    /// Where |Γ|² passes the limit between two neighbouring points.
    fn edge(&self, window: &Window<A>, before: &Point<A>, centre: &Point<A>) -> Edge {
        let (from, to) = (
            before.power() - self.limit.power,
            centre.power() - self.limit.power,
        );
        let (frequency, method) = locate(window, before, centre, from, to, |map| {
            map.at_level(self.limit.power)
        });
        Edge {
            frequency: self.within_sweep(frequency),
            open: false,
            method,
        }
    }

    // --- crossings ---------------------------------------------------------------------------------------------

    fn look_for_crossing(&mut self, window: &Window<A>, centre: &Point<A>) {
        let height = centre.reflection.complex().im;
        if height.is_zero() {
            if self.crossing.on_axis.is_none() {
                // The slope tells Q; which way the reactance goes shows at the next point.
                self.crossing.on_axis =
                    Some(self.resonance(window, centre.frequency, Method::Measured, true));
            }
            return;
        }
        let above = height > A::Working::ZERO;
        let touched = self.crossing.on_axis.take();
        match self.crossing.above.replace(above) {
            Some(was_above) if was_above != above => {
                let rising = above == (self.order.rising != Some(false));
                if self.crossing.pending.take().is_none() {
                    let crossing = match (touched, window.before()) {
                        (Some(touched), _) => Resonance { rising, ..touched },
                        (None, Some(before)) => {
                            let from = before.reflection.complex().im;
                            let (frequency, method) =
                                locate(window, before, centre, from, height, LocalMap::on_axis);
                            let frequency = self.within_sweep(frequency);
                            self.resonance(window, frequency, method, rising)
                        }
                        (None, None) => return,
                    };
                    self.crossing.pending = Some(crossing);
                }
                // Otherwise it has come back before it went far enough: no crossing at all.
            }
            _ => {}
        }
        let enough = self.settings.prominence.to_working() * A::Working::HALF;
        if height.absolute() >= enough
            && let Some(crossing) = self.crossing.pending.take()
        {
            self.found.add_resonance(crossing);
        }
    }

    /// Resistance and Q at a crossing, from the map; from the two points beside it where there is none.
    fn resonance(&self, window: &Window<A>, frequency: Hertz, method: Method, rising: bool) -> Resonance<A> {
        let reference = self.settings.reference;
        let early = window.before().is_some_and(|before| {
            window.centre().is_some_and(|centre| {
                frequency.get().abs_diff(before.frequency.get())
                    < frequency.get().abs_diff(centre.frequency.get())
            })
        });
        let from_map = window.stretch_map(early).and_then(|(map, _)| {
            let map = map.close_to(frequency);
            let t = map.place(frequency);
            let gamma = map.at(t)?;
            let q = map.q(t)?;
            Some((gamma.re, q))
        });
        let (re, q) = from_map
            .or_else(|| self.slope_of_line(window, frequency))
            .unwrap_or_else(|| {
                let centre = window
                    .centre()
                    .map_or(A::Working::ZERO, |c| c.reflection.complex().re);
                (centre, A::Working::ZERO)
            });
        let gamma = Reflection::<A>::from_complex(Complex::real(re));
        Resonance {
            frequency,
            resistance: gamma.impedance(reference).resistance(),
            rising,
            q: A::Ratio::from_working(q),
            method,
        }
    }

    /// Re Γ and Q on the straight line from the point before to the centre.
    fn slope_of_line(&self, window: &Window<A>, frequency: Hertz) -> Option<(A::Working, A::Working)> {
        let (before, centre) = (window.before()?, window.centre()?);
        let span = centre.frequency.get().abs_diff(before.frequency.get());
        let share: A::Working = A::Working::from_u64(frequency.get().abs_diff(before.frequency.get()))
            / A::Working::from_u64(span);
        let (from, to) = (before.reflection.complex(), centre.reflection.complex());
        let re = from.re + (to.re - from.re) * share;
        // On the axis dX/R = 2·dIm Γ/(1 − Γ²).
        let passive = (A::Working::ONE - re) * (A::Working::ONE + re);
        if passive.is_zero() {
            return Some((re, A::Working::LARGEST));
        }
        let slope = (to.im - from.im).absolute() / A::Working::from_u64(span);
        Some((
            re,
            (slope * A::Working::from_u64(frequency.get()) / passive).absolute(),
        ))
    }

    // --- target ------------------------------------------------------------------------------------------------

    fn look_for_target(&mut self, window: &Window<A>) {
        let Some(target) = self.settings.target else {
            return;
        };
        if self.target.is_some() {
            return;
        }
        self.target = window.value_at(target).map(|(reflection, method)| TargetReading {
            frequency: target,
            reflection,
            pass: self.limit.holds(reflection),
            method,
        });
    }

    // --- dips --------------------------------------------------------------------------------------------------

    fn look_for_dip(&mut self, window: &Window<A>, centre: &Point<A>) {
        let magnitude = centre.reflection.magnitude().to_working();
        let prominence = self.settings.prominence.to_working();
        if let Some(peak) = self.hunt.peak {
            if magnitude >= peak {
                self.hunt.peak = Some(magnitude);
                return;
            }
            if peak - magnitude < prominence {
                return;
            }
            self.hunt.peak = None;
            self.hunt.ceiling = peak;
        }
        // On the way down.
        self.hunt.ceiling = self.hunt.ceiling.larger(magnitude);
        let next_is_lower = window.after().is_some_and(|after| after.power() < centre.power());
        match &mut self.hunt.candidate {
            Some(candidate) if centre.power() > candidate.power => {
                let rise = magnitude - candidate.magnitude;
                if rise >= prominence && rise > A::Working::ZERO {
                    let candidate = *candidate;
                    let dip = self.refine(&candidate);
                    self.note_best(dip);
                    self.note_narrow_band(&candidate, &dip);
                    self.found.add_dip(dip);
                    self.hunt = Hunt {
                        peak: Some(magnitude),
                        ceiling: magnitude,
                        candidate: None,
                    };
                }
                return;
            }
            Some(candidate) if centre.power() == candidate.power => {
                let goes_on = window
                    .before()
                    .is_some_and(|before| before.reflection == centre.reflection);
                if goes_on {
                    candidate.flat_until = Some(centre.frequency);
                }
                return;
            }
            _ => {}
        }
        if !next_is_lower {
            self.hunt.candidate = Some(Candidate {
                window: *window,
                power: centre.power(),
                magnitude,
                fall: self.hunt.ceiling - magnitude,
                flat_until: None,
            });
        }
    }

    fn note_best(&mut self, dip: Dip<A>) {
        let lower = self
            .best
            .is_none_or(|best| dip.reflection.power() < best.reflection.power());
        if lower {
            self.best = Some(dip);
        }
    }

    /// The minimum near a candidate, between the points.
    fn refine(&self, candidate: &Candidate<A>) -> Dip<A> {
        let window = &candidate.window;
        let Some(centre) = window.centre() else {
            // A candidate is made with a centre; this keeps the function total.
            return Dip {
                frequency: self.lowest,
                reflection: Reflection::MATCHED,
                at_edge: true,
                method: Method::Measured,
            };
        };
        if let Some(last) = candidate.flat_until {
            let (first, last) = (centre.frequency.get(), last.get());
            return Dip {
                frequency: Hertz::new(first.min(last).saturating_add(first.abs_diff(last) / 2)),
                reflection: centre.reflection,
                at_edge: false,
                method: Method::Flat,
            };
        }
        let measured = |at_edge| Dip {
            frequency: centre.frequency,
            reflection: centre.reflection,
            at_edge,
            method: Method::Measured,
        };
        let found = match (window.before(), window.after()) {
            (Some(before), Some(after)) => {
                lowest_between(window, before, after).or_else(|| parabola(before, centre, after))
            }
            // At an end: does the curve turn before the first or last point is reached?
            (Some(beside), None) | (None, Some(beside)) => lowest_between(window, beside, centre),
            (None, None) => None,
        };
        match found {
            Some((frequency, gamma, method)) if self.lowest <= frequency && frequency <= self.highest => {
                Dip {
                    frequency,
                    reflection: Reflection::from_complex(gamma),
                    at_edge: false,
                    method,
                }
            }
            _ => measured(window.before().is_none() || window.after().is_none()),
        }
    }

    /// A band so narrow that the points on both sides of its dip lie outside of it.
    fn note_narrow_band(&mut self, candidate: &Candidate<A>, dip: &Dip<A>) {
        if candidate.power <= self.limit.power || dip.reflection.power() > self.limit.power {
            return;
        }
        let window = &candidate.window;
        let (Some(before), Some(after)) = (window.before(), window.after()) else {
            return;
        };
        let Some((map, method)) = window.map() else { return };
        let edge = |upper: bool| {
            let pick = |map: &LocalMap<A::Working>| match map.at_level(self.limit.power) {
                [Some(one), Some(other)] => {
                    let (low, high) = sorted(one, other);
                    Some(if upper { high } else { low })
                }
                _ => None,
            };
            map.solve(pick).map(|(map, t)| map.frequency(t))
        };
        let (Some(one), Some(other)) = (edge(false), edge(true)) else {
            return;
        };
        let (low, high) = (one.min(other), one.max(other));
        let (from, to) = (
            before.frequency.min(after.frequency),
            before.frequency.max(after.frequency),
        );
        if from < low && high < to {
            self.found.add_band(Band {
                low,
                high,
                low_open: false,
                high_open: false,
                low_method: method,
                high_method: method,
            });
        }
    }
}

fn sorted<W: Real>(a: W, b: W) -> (W, W) {
    if b < a { (b, a) } else { (a, b) }
}

/// The minimum of |Γ| strictly between two frequencies, by the map.
fn lowest_between<A: Arithmetic>(
    window: &Window<A>,
    one: &Point<A>,
    other: &Point<A>,
) -> Option<(Hertz, Complex<A::Working>, Method)> {
    let (map, method) = window.map()?;
    let (map, t) = map.solve(LocalMap::lowest)?;
    let (mut from, mut to) = sorted(map.place(one.frequency), map.place(other.frequency));
    if method == Method::ManyPoints {
        // Noise may have put the lowest point a few steps beside the minimum.
        let slack = (to - from) * A::Working::TWO;
        (from, to) = (from - slack, to + slack);
    }
    if !(from < t && t < to) {
        return None;
    }
    let gamma = map.at(t)?;
    // Refuse a map that does not go below the points it was made from.
    let lowest_point = one.power().smaller(other.power());
    (gamma.power() <= lowest_point).then(|| (map.frequency(t), gamma, method))
}

/// The minimum of the parabola of |Γ|² through three points, and Γ there on parabolas of its parts.
fn parabola<A: Arithmetic>(
    before: &Point<A>,
    centre: &Point<A>,
    after: &Point<A>,
) -> Option<(Hertz, Complex<A::Working>, Method)> {
    let unit = after.frequency.get().abs_diff(centre.frequency.get());
    if unit == 0 {
        return None;
    }
    let t1: A::Working = before.frequency.steps_from(centre.frequency, unit);
    let t2: A::Working = after.frequency.steps_from(centre.frequency, unit);
    // Newton's divided differences: slope at the centre, and curvature.
    let bend = |y1: A::Working, y0: A::Working, y2: A::Working| {
        let (d1, d2) = ((y1 - y0) / t1, (y2 - y0) / t2);
        let curvature = (d2 - d1) / (t2 - t1);
        (d1 - curvature * t1, curvature)
    };
    let (slope, curvature) = bend(before.power(), centre.power(), after.power());
    if curvature <= A::Working::ZERO {
        return None;
    }
    let t = -(slope / (curvature * A::Working::TWO));
    let (from, to) = sorted(t1, t2);
    if !(from < t && t < to) {
        return None;
    }
    let (g1, g0, g2) = (
        before.reflection.complex(),
        centre.reflection.complex(),
        after.reflection.complex(),
    );
    let part = |y1, y0, y2| {
        let (slope, curvature) = bend(y1, y0, y2);
        y0 + t * (slope + t * curvature)
    };
    let gamma = Complex::new(part(g1.re, g0.re, g2.re), part(g1.im, g0.im, g2.im));
    Some((centre.frequency.moved(t, unit), gamma, Method::Parabola))
}

/// Where a quantity that is `from` at one point and `to`, of the other sign or zero, at the next passes zero.
///
/// The root of the map nearest to the straight line's is taken; without a root between the points, the line's own.
fn locate<A: Arithmetic>(
    window: &Window<A>,
    before: &Point<A>,
    centre: &Point<A>,
    from: A::Working,
    to: A::Working,
    roots: impl Fn(&LocalMap<A::Working>) -> [Option<A::Working>; 2],
) -> (Hertz, Method) {
    let span = centre.frequency.get().abs_diff(before.frequency.get());
    let share = from.absolute() / (from.absolute() + to.absolute());
    let share = if centre.frequency < before.frequency {
        -share
    } else {
        share
    };
    let line = before.frequency.moved(share, span);
    let early = from.absolute() < to.absolute();
    let mapped = window.stretch_map(early).and_then(|(map, method)| {
        let pick = |map: &LocalMap<A::Working>| {
            let guess = map.place(line);
            let (low, high) = sorted(map.place(before.frequency), map.place(centre.frequency));
            // With noise the smooth curve may pass a little outside of the two points.
            let slack = if method == Method::ManyPoints {
                high - low
            } else {
                (high - low) * A::Working::EPSILON
            };
            let mut nearest: Option<(A::Working, A::Working)> = None;
            for t in roots(map).into_iter().flatten() {
                let away = (t - guess).absolute();
                if low - slack <= t && t <= high + slack && nearest.is_none_or(|(_, least)| away < least) {
                    nearest = Some((t, away));
                }
            }
            nearest.map(|(t, _)| t)
        };
        let (map, t) = map.solve(pick)?;
        Some((map.frequency(t), method))
    });
    mapped.unwrap_or((line, Method::Line))
}
