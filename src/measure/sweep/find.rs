//! Results from the curves: edges of bands, crossings X = 0, dips.

use super::choice::{Curves, Kind, Method};
use super::curve::{Curve, Sought};
use super::report::{Dip, Head, Resonance, SweepBand, Unresolved};
use super::window::{Point, View};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Hertz, Ohms, QFactor, Reflection};

#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    pub(crate) frequency: Hertz,
    pub(crate) open: bool,
    pub(crate) method: Method,
}

impl Edge {
    /// The band from this edge to another, in the order they were swept.
    pub(crate) fn to(self, left: Self, falling: bool) -> SweepBand {
        let (low, high) = if falling { (left, self) } else { (self, left) };
        SweepBand {
            // With noise the smooth curve may put the edges of a sliver the other way round.
            low: low.frequency.min(high.frequency),
            high: high.frequency.max(low.frequency),
            low_open: low.open,
            high_open: high.open,
            low_method: low.method,
            high_method: high.method,
        }
    }
}

/// The position where |Γ|² crosses the limit before the centre; at the first point the band is open.
#[inline(never)]
pub(crate) fn edge<A: Arithmetic>(curves: &mut Curves<'_, A>, centre: &Point<A>, head: &Head<A>) -> Edge {
    let Some(before) = curves.view.at(-1) else {
        return Edge {
            frequency: centre.frequency,
            open: true,
            method: Method::Measured,
        };
    };
    let level = head.limit.power;
    let (frequency, method) = between(
        curves,
        [before, centre],
        Sought::Level(level),
        [before.power() - level, centre.power() - level],
    );
    Edge {
        frequency: head.within(frequency),
        open: false,
        method,
    }
}

/// Where X = 0 is crossed between the point before the centre and the centre.
#[inline(never)]
pub(crate) fn axis<A: Arithmetic>(curves: &mut Curves<'_, A>, head: &Head<A>) -> (Hertz, Method) {
    let view = curves.view;
    let (Some(before), Some(centre)) = (view.at(-1), view.at(0)) else {
        return (Hertz::new(0), Method::Measured); // unreachable: an earlier point was on the other side
    };
    let ends = [before.gamma().im, centre.gamma().im];
    let (frequency, method) = between(curves, [before, centre], Sought::Axis, ends);
    (head.within(frequency), method)
}

/// The crossing X = 0 at a frequency near the centre.
///
/// Im Γ = 0 there, so that R = Z0·(1 + Γ)/(1 − Γ), and Q = (f/2R)·|dX/df| = f·|d Im Γ/df|/|1 − Γ²|. (A. D. Yaghjian,
/// S. R. Best, "Impedance, Bandwidth, and Q of Antennas", IEEE Transactions on Antennas and Propagation 53(4), 2005.)
#[inline(never)]
pub(crate) fn resonance<A: Arithmetic>(
    curves: &mut Curves<'_, A>,
    (frequency, method): (Hertz, Method),
    rising: bool,
    head: &Head<A>,
) -> Resonance<A> {
    let (mut re, mut turn) = (A::Working::ONE, A::Working::ZERO);
    let kind = curves.kind_at(frequency);
    if let Some((course, scale, _)) = curves.course(kind, frequency) {
        re = course.gamma.re;
        let periods = A::Working::from_u64(frequency.get()) / A::Working::from_u64(scale.unit);
        turn = (course.slope.im * periods).absolute();
    } else if let Some(centre) = curves.view.at(0) {
        // A single point has no slope.
        re = centre.gamma().re;
    }
    crossing(frequency, re, turn, rising, method, head)
}

/// The crossing with Re Γ and |f·d Im Γ/df| at its place.
#[inline(never)]
pub(crate) fn crossing<A: Arithmetic>(
    frequency: Hertz,
    re: A::Working,
    turn: A::Working,
    rising: bool,
    method: Method,
    head: &Head<A>,
) -> Resonance<A> {
    let one = A::Working::ONE;
    let passive = ((one - re) * (one + re)).absolute();
    let q = if turn.is_zero() {
        A::Working::ZERO
    } else if passive.is_zero() {
        A::Working::LARGEST
    } else {
        // Beyond the range of a float both may be infinite.
        let q = turn / passive;
        if q.is_finite() { q } else { A::Working::LARGEST }
    };
    Resonance {
        frequency,
        resistance: Ohms::<A>::from_working(head.reference.working() * ((one + re) / (one - re))),
        rising,
        q: QFactor::<A>::from_working(q),
        method,
    }
}

/// The minimum of |Γ| near the centre, between the points.
#[inline(never)]
pub(crate) fn lowest<A: Arithmetic>(
    curves: &mut Curves<'_, A>,
    flat_until: Option<Hertz>,
    head: &Head<A>,
) -> Option<Dip<A>> {
    let view = curves.view;
    let centre = view.at(0)?;
    let (before, after) = (view.at(-1), view.at(1));
    let measured = Dip {
        frequency: centre.frequency,
        reflection: centre.reflection,
        at_edge: before.is_none() || after.is_none(),
        method: Method::Measured,
        unresolved: None,
    };
    if let Some(last) = flat_until {
        let (first, last) = (centre.frequency.get(), last.get());
        return Some(Dip {
            frequency: Hertz::new(first.min(last).saturating_add(first.abs_diff(last) / 2)),
            at_edge: false,
            method: Method::Flat,
            ..measured
        });
    }
    // At an end: does the curve turn before the first or last point?
    let ends = [before.unwrap_or(centre), after.unwrap_or(centre)];
    let floor = floor(view, centre);
    // At its minimum a curve through the points is not above them, except for rounding.
    let power = centre.power();
    let highest = power + power * A::Working::EPSILON * A::Working::from_i32(1 << 10);
    // Points that are close together have no room for a deep dip between them.
    let apart = |point: &Point<A>| (point.gamma() - centre.gamma()).power();
    let [one, other] = ends;
    let unresolved = Unresolved {
        low: one.frequency.min(other.frequency),
        high: one.frequency.max(other.frequency),
        swr_at_most: centre.reflection.swr(),
    };
    let is_wide = apart(one).larger(apart(other)) * A::Working::from_i32(400) > A::Working::ONE;
    // If the curve has no minimum there, a parabola may have one.
    let mut is_known = false;
    for kind in [Kind::Centre, Kind::Parabola] {
        let Some((curve, method)) = curves.get(kind) else {
            continue;
        };
        is_known = true;
        let is_narrow = is_wide && kind == Kind::Centre && curve.is_narrow();
        if let Some(dip) = minimum(curve, method, ends, head)
            && floor.is_none_or(|floor| dip.reflection.power() >= floor)
            && (dip.reflection.power() <= highest || is_within_noise(&dip, power, curve.spread))
        {
            let unresolved = is_narrow.then_some(unresolved);
            return Some(Dip { unresolved, ..dip });
        }
    }
    let unresolved = (!is_known && is_wide && !measured.at_edge).then_some(unresolved);
    Some(Dip {
        unresolved,
        ..measured
    })
}

/// Whether a fitted minimum is above the lowest point by no more than noise explains: about twice what one component is off.
fn is_within_noise<A: Arithmetic>(dip: &Dip<A>, lowest: A::Working, spread: A::Working) -> bool {
    let above = dip.power().square_root() - lowest.square_root();
    above.square() <= spread + spread
}

/// At an end of the sweep: the lowest possible |Γ|² beyond the last point.
///
/// Only one side is known. Near a minimum |Γ|² is a parabola; one whose minimum is less than a step before the end
/// falls by at most an eighth of its rise over two steps. Twice that is allowed: more is amplified noise.
fn floor<A: Arithmetic>(view: View<'_, A>, centre: &Point<A>) -> Option<A::Working> {
    let second = match (view.at(-1), view.at(1)) {
        (None, Some(_)) => view.at(2)?,
        (Some(_), None) => view.at(-2)?,
        _ => return None,
    };
    let power = centre.power();
    Some(power - (second.power() - power) * A::Working::HALF * A::Working::HALF)
}

/// The minimum of |Γ| strictly between two points, on a curve.
#[inline(never)]
fn minimum<A: Arithmetic>(
    curve: &Curve<A::Working>,
    method: Method,
    ends: [&Point<A>; 2],
    head: &Head<A>,
) -> Option<Dip<A>> {
    let [_, rising] = curve.guesses(Sought::Least);
    let t = curve.refined(Sought::Least, rising?)?;
    let [one, other] = ends;
    let (mut from, mut to) = sorted(curve.place(one.frequency), curve.place(other.frequency));
    if method == Method::ManyPoints {
        // Noise may have put the lowest point a few steps beside the minimum.
        let slack = (to - from) * A::Working::TWO;
        (from, to) = (from - slack, to + slack);
    }
    let frequency = curve.frequency(t);
    if !(from < t && t < to && frequency == head.within(frequency)) {
        return None;
    }
    let gamma = curve.gamma(t)?;
    // Refuses a curve that does not go below its points.
    let power = gamma.power();
    (power <= one.power() && power <= other.power()).then(|| Dip {
        frequency,
        reflection: Reflection::from_complex(gamma),
        at_edge: false,
        method,
        unresolved: None,
    })
}

/// A band so narrow that the points on both sides of its dip are outside it.
#[inline(never)]
pub(crate) fn band_within<A: Arithmetic>(
    curves: &mut Curves<'_, A>,
    dip: &Dip<A>,
    head: &Head<A>,
) -> Option<SweepBand> {
    let level = head.limit.power;
    let view = curves.view;
    if view.at(0)?.power() <= level || dip.reflection.power() > level {
        return None;
    }
    let (before, after) = (view.at(-1)?.frequency, view.at(1)?.frequency);
    let (curve, method) = curves.get(Kind::Centre)?;
    let sought = Sought::Level(level);
    let [one, other] = curve.guesses(sought);
    let one = curve.frequency(curve.refined(sought, one?)?);
    let other = curve.frequency(curve.refined(sought, other?)?);
    let (low, high) = (one.min(other), one.max(other));
    (before.min(after) < low && high < before.max(after)).then_some(SweepBand {
        low,
        high,
        low_open: false,
        high_open: false,
        low_method: method,
        high_method: method,
    })
}

/// The zero of the sought number between two neighbouring points, where it has opposite signs, or is zero at one. If
/// the curve has no root between the points, that of the straight line is taken.
#[inline(never)]
fn between<A: Arithmetic>(
    curves: &mut Curves<'_, A>,
    [before, centre]: [&Point<A>; 2],
    sought: Sought<A::Working>,
    [from, to]: [A::Working; 2],
) -> (Hertz, Method) {
    let mut kind = Kind::nearer(from, to);
    let nearer = if kind == Kind::Before { before } else { centre };
    loop {
        if let Some((curve, method)) = curves.get(kind)
            && let Some(t) = root_between(curve, method, [before, centre], sought, from < to)
        {
            return (curve.frequency(t), method);
        }
        if kind == Kind::Line {
            // Rounding has put a root of the line beyond it.
            return (nearer.frequency, Method::Line);
        }
        kind = Kind::Line;
    }
}

/// The root of a curve between two points, where the sought number `rises` from one to the other.
#[inline(never)]
fn root_between<A: Arithmetic>(
    curve: &Curve<A::Working>,
    method: Method,
    [before, centre]: [&Point<A>; 2],
    sought: Sought<A::Working>,
    rises: bool,
) -> Option<A::Working> {
    let (start, end) = (curve.place(before.frequency), curve.place(centre.frequency));
    let (low, high) = sorted(start, end);
    // With noise the smooth curve may cross slightly outside the two points.
    let mut slack = high - low;
    if method != Method::ManyPoints {
        slack = slack * A::Working::EPSILON;
    }
    // The change of sign in the correct direction; with noise perhaps in the other.
    let mut guesses = curve.guesses(sought);
    if rises == (start < end) {
        guesses.reverse();
    }
    guesses.into_iter().flatten().find_map(|guess| {
        let t = curve.refined(sought, guess)?;
        (low - slack <= t && t <= high + slack).then_some(t)
    })
}

fn sorted<W: Real>(a: W, b: W) -> (W, W) {
    if b < a { (b, a) } else { (a, b) }
}
