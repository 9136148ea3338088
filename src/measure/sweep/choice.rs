//! The choice of a curve near a point, and its value there.

use super::curve::{Course, Curve};
use super::noise::{Averaged, Averaging, missed};
use super::scale::Scale;
use super::window::{Point, View};
use crate::arithmetic::accuracy::Family;
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::{Hertz, Reflection};

/// The origin of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Method {
    /// The curve through five neighbouring points, one resonance on a smooth background (at an end of the sweep through
    /// three or four): best on clean data.
    NearestPoints,
    /// A curve fitted to seven, eleven or fifteen points by least squares: chosen if noise is found.
    ManyPoints,
    /// A parabola of Γ through three points: where no resonance goes through them, and in a
    /// [`ThreePointAnalyser`](super::ThreePointAnalyser).
    Parabola,
    /// A straight line between two points, if there is nothing better.
    Line,
    /// The measured point itself.
    Measured,
    /// Several neighbouring points are exactly equal; the middle of them is used.
    Flat,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// For a position nearer to the point before the centre than to the centre.
    Before,
    /// For a position nearer to the centre.
    Centre,
    /// A parabola of Γ through three points.
    Parabola,
    /// The straight line from the point before the centre to the centre.
    Line,
}

impl Kind {
    /// For a zero between the point before the centre and the centre, with these values.
    pub(crate) fn nearer<W: Real>(before: W, centre: W) -> Self {
        if before.absolute() < centre.absolute() {
            Self::Before
        } else {
            Self::Centre
        }
    }
}

/// A curve that was made, or that there is none.
#[derive(Clone, Copy, Debug)]
struct Made<W> {
    kind: Option<Kind>,
    method: Option<Method>,
    curve: Curve<W>,
}

impl<W: Real> Made<W> {
    const NOTHING: Self = Self {
        kind: None,
        method: None,
        curve: Curve::NONE,
    };
}

/// The curves round a point, as far as they are made. They are kept, since several figures often use one, and since the
/// work of one is done in steps.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Store<A: Arithmetic> {
    /// The steps of a short word are averaged as well.
    averages_steps: bool,
    /// It was found out that there is no noise, or none that a fit averages: once for all figures near a point, so that
    /// their work is bounded.
    is_decided: bool,
    /// There is no time for more than straight lines.
    is_hurried: bool,
    /// The last one of the first two kinds, which take the most work.
    best: Made<A::Working>,
    /// What is to be done next for it.
    next: Next,
    /// The attempt at it.
    attempt: u8,
    /// The curve of the attempt misses the points beside it by so much.
    third: [Option<A::Working>; 2],
    averaging: Averaging<A::Working>,
}

/// A step of the work of a curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Next {
    /// Nothing is left.
    Nothing,
    /// A curve through the nearest points.
    Pass,
    /// It misses the points beside it, perhaps because of noise: a fit.
    Fit,
}

/// The attempts at a curve: all of five or four points, three of them, and three without a pole; each round the nearest
/// point, the one on the other side, and the next one.
const ATTEMPTS: [(usize, bool, Round); 9] = [
    (5, true, Round::Nearest),
    (5, true, Round::Other),
    (5, true, Round::After),
    (3, true, Round::Nearest),
    (3, true, Round::Other),
    (3, true, Round::After),
    (3, false, Round::Nearest),
    (3, false, Round::Other),
    (3, false, Round::After),
];

#[derive(Clone, Copy)]
enum Round {
    Nearest,
    Other,
    After,
}

impl Round {
    fn offset(self, kind: Kind) -> i32 {
        match (self, kind == Kind::Before) {
            (Self::Nearest, true) | (Self::Other, false) => -1,
            (Self::Nearest, false) | (Self::Other, true) => 0,
            (Self::After, _) => 1,
        }
    }
}

/// What the steps of the work cost at most, in thousands of instructions on a Cortex-M0.
pub(crate) mod cost {
    /// A curve through a few points, and whether it is good.
    pub(crate) const PASS: u32 = 30;
    /// Fits to so many points.
    pub(crate) const FIT: u32 = 60;
    /// A figure from a curve.
    pub(crate) const USE: u32 = 30;
}

impl<A: Arithmetic> Store<A> {
    pub(crate) const NEW: Self = Self {
        averages_steps: false,
        is_decided: false,
        is_hurried: false,
        best: Made::NOTHING,
        next: Next::Nothing,
        attempt: 0,
        third: [None; 2],
        averaging: Averaging::NONE,
    };

    /// Forgets the curves, for another point. For what is `soft`, a minimum or a slope, the steps of a short word are
    /// averaged as well.
    pub(crate) fn begin(&mut self, soft: bool) {
        self.averages_steps = soft;
        self.is_decided = false;
        self.best.kind = None;
        self.best.method = None;
        self.next = Next::Nothing;
    }

    /// Forgets the curves of the point, since other points stand round it now.
    pub(crate) fn again(&mut self) {
        self.begin(self.averages_steps);
    }

    /// Whether the work of a curve has begun and is not complete.
    #[inline(always)]
    pub(crate) fn is_making(&self) -> bool {
        self.next != Next::Nothing && !self.is_hurried
    }

    /// From here on only straight lines are made, or no more.
    pub(crate) fn hurry(&mut self, is_hurried: bool) {
        self.is_hurried = is_hurried;
    }

    /// The same curves, for what is soft from here on.
    pub(crate) fn soften(&mut self) {
        if A::FAMILY == Family::Fixed16 && !self.averages_steps {
            self.begin(true);
        }
    }
}

impl<A: Arithmetic> Store<A> {
    /// Does a step of the work of the curve that has begun; returns what it cost.
    ///
    /// A caller does this before it needs the curve, and not deeper down, to save stack.
    #[inline(never)]
    pub(crate) fn step(&mut self, view: View<'_, A>) -> u32 {
        let attempt = ATTEMPTS.get(usize::from(self.attempt));
        let (Some(kind), Some((most, pole, round))) = (self.best.kind, attempt.copied()) else {
            self.next = Next::Nothing;
            self.is_decided = true;
            return 0;
        };
        let view = view.round(round.offset(kind));
        let mut cost = cost::FIT;
        match self.next {
            Next::Nothing => return 0,
            Next::Pass => {
                cost = cost::PASS;
                if !self.best.curve.pass(view, most, pole) {
                    self.attempt = self.attempt.wrapping_add(1);
                    return cost;
                }
                self.third = missed_beside(view, &self.best.curve, 3);
                if !self.is_decided && self.averaging.begin(view, self.third, self.averages_steps) {
                    self.next = Next::Fit;
                    return cost;
                }
            }
            Next::Fit => match self.averaging.step(view, &mut self.best.curve) {
                Averaged::Fitted => {
                    self.best.method = Some(Method::ManyPoints);
                    self.next = Next::Nothing;
                    self.is_decided = true;
                    return cost;
                }
                Averaged::GoesOn => return cost,
                Averaged::No => self.is_decided = true,
            },
        }
        if is_sure(view, &self.best.curve, self.third, most) {
            self.best.method = Some(if pole {
                Method::NearestPoints
            } else {
                Method::Parabola
            });
            self.next = Next::Nothing;
            self.is_decided = true;
        } else {
            self.attempt = self.attempt.wrapping_add(1);
            self.next = Next::Pass;
        }
        cost
    }
}

/// The curves round the centre of a view.
pub(crate) struct Curves<'a, A: Arithmetic> {
    pub(crate) view: View<'a, A>,
    store: &'a mut Store<A>,
    /// The last one of the other kinds.
    plain: Made<A::Working>,
}

impl<'a, A: Arithmetic> Curves<'a, A> {
    pub(crate) fn new(view: View<'a, A>, store: &'a mut Store<A>) -> Self {
        Self {
            view,
            store,
            plain: Made::NOTHING,
        }
    }

    /// The kind of curve for a crossing between the point before the centre and the centre, as its values there say.
    pub(crate) fn kind(&self, value: impl Fn(&Point<A>) -> A::Working) -> Kind {
        match (self.view.at(-1), self.view.at(0)) {
            (Some(before), Some(centre)) => Kind::nearer(value(before), value(centre)),
            _ => Kind::Centre,
        }
    }

    /// The kind of curve for a frequency between them.
    pub(crate) fn kind_at(&self, frequency: Hertz) -> Kind {
        let distance = |point: &Point<A>| point.frequency.get().abs_diff(frequency.get());
        match (self.view.at(-1), self.view.at(0)) {
            (Some(before), Some(centre)) if distance(before) < distance(centre) => Kind::Before,
            _ => Kind::Centre,
        }
    }

    /// Whether there is work to do before the curve of one of the first two kinds is known.
    pub(crate) fn wants(&mut self, kind: Kind) -> bool {
        let store = &mut *self.store;
        // One that is fitted to many points serves on both sides of the centre.
        if !store.is_hurried && store.best.kind != Some(kind) && store.best.method != Some(Method::ManyPoints)
        {
            store.best.kind = Some(kind);
            store.best.method = None;
            store.next = Next::Pass;
            store.attempt = 0;
        }
        store.is_making()
    }

    /// The curve of a kind, if any, and its origin: through the nearest points, or fitted to many if noise is found.
    #[inline(never)]
    pub(crate) fn get(&mut self, kind: Kind) -> Option<(&Curve<A::Working>, Method)> {
        if matches!(kind, Kind::Parabola | Kind::Line) {
            if self.store.is_hurried && kind == Kind::Parabola {
                return None;
            }
            if self.plain.kind != Some(kind) {
                self.plain.kind = Some(kind);
                self.plain.method = plain(self.view, kind, &mut self.plain.curve);
            }
            return Some((&self.plain.curve, self.plain.method?));
        }
        if self.store.is_hurried {
            return None;
        }
        // Where it is not made yet; who bounds the work of a call has done these steps before.
        if self.wants(kind) {
            while self.store.is_making() {
                self.store.step(self.view);
            }
        }
        Some((&self.store.best.curve, self.store.best.method?))
    }

    /// Γ and its slope at a frequency on the curve of a kind, or else on the straight line; with the scale of t.
    #[inline(never)]
    pub(crate) fn course(
        &mut self,
        mut kind: Kind,
        frequency: Hertz,
    ) -> Option<(Course<A::Working>, Scale, Method)> {
        loop {
            if let Some((curve, method)) = self.get(kind)
                && let Some(course) = curve.course(curve.place(frequency))
                && course.gamma.is_finite()
                && course.slope.is_finite()
            {
                return Some((course, curve.scale, method));
            }
            if kind == Kind::Line {
                return None;
            }
            kind = Kind::Line;
        }
    }
}

/// The parabola or the straight line.
fn plain<A: Arithmetic>(view: View<'_, A>, kind: Kind, curve: &mut Curve<A::Working>) -> Option<Method> {
    if kind == Kind::Line {
        return curve.pass(view, 2, false).then_some(Method::Line);
    }
    let good = curve.pass(view, 3, false) && is_sure(view, curve, [None; 2], 3);
    good.then_some(Method::Parabola)
}

/// The squared distances of the points that are `offset` away on each side from a curve; `None` for one that is not there.
#[inline(never)]
fn missed_beside<A: Arithmetic>(
    view: View<'_, A>,
    curve: &Curve<A::Working>,
    offset: i32,
) -> [Option<A::Working>; 2] {
    [
        missed(view, curve, offset.wrapping_neg()),
        missed(view, curve, offset),
    ]
}

/// Whether a curve that misses the next points by so much is good between its own points.
///
/// A curve through five points at t = −2 … 2 differs from a smooth one by ω(t)/D(t) times a number that hardly changes,
/// ω(t) = t(t² − 1)(t² − 4): at most 1.42 from −1 to 1, but 120 at ±3. Through three points it is t(t² − 1): 0.38, and 6
/// at ±2. What it misses there is so much more than its error between the points, but for D.
#[inline(never)]
fn is_sure<A: Arithmetic>(
    view: View<'_, A>,
    curve: &Curve<A::Working>,
    third: [Option<A::Working>; 2],
    most: usize,
) -> bool {
    let (next, ratio, missed) = if most > 3 {
        (3, 85, third)
    } else {
        (2, 15, missed_beside(view, curve, 2))
    };
    // Far from its pole a curve that leads to the next points needs no further question.
    let [before, after] = missed;
    let sum = before.unwrap_or(A::Working::ZERO) + after.unwrap_or(A::Working::ZERO);
    if curve.c.power() * A::Working::from_i32(16) < A::Working::ONE
        && sum * A::Working::from_i32(1_000) < A::Working::ONE
    {
        return true;
    }
    let outside = A::Working::from_i32(next);
    let inside = curve.least_denominator(A::Working::ONE);
    let error = [-outside, outside]
        .into_iter()
        .zip(missed)
        .filter_map(|(t, missed)| Some(missed? * curve.denominator(t).power()))
        .fold(A::Working::ZERO, Real::larger);
    let most = A::Working::from_i32(ratio * ratio) * inside;
    // An error of 0.002 at most, or 0.02 for what is no narrow dip and no jump.
    error * A::Working::from_i32(250_000) < most
        || !curve.is_narrow() && error * A::Working::from_i32(2_500) < most && is_near_the_chords(view, curve)
}

/// Whether a curve is no farther from the straight lines between the points than twice what their bends explain.
///
/// Half-way between two points a smooth curve is an eighth of its bend, g(−1) − 2g(0) + g(1), off the line. That of a
/// resonance three steps wide is one and a half times that. A curve that bridges a jump swings out farther.
#[inline(never)]
fn is_near_the_chords<A: Arithmetic>(view: View<'_, A>, curve: &Curve<A::Working>) -> bool {
    let mut most = A::Working::ZERO;
    for offset in -1..=1 {
        most = most.larger(bend(view, offset).unwrap_or(A::Working::ZERO));
    }
    // A quarter of the bend, and 0.003 for what has no bend but noise.
    most = most + A::Working::ONE / A::Working::from_i32(7_000);
    for offset in -1..=0 {
        match off_the_chord(view, curve, offset) {
            Some(off) if off * A::Working::from_i32(16) <= most => {}
            None => {}
            Some(_) => return false,
        }
    }
    true
}

/// The square of g(−1) − 2g(0) + g(1) round a point.
#[inline(never)]
fn bend<A: Arithmetic>(view: View<'_, A>, offset: i32) -> Option<A::Working> {
    let (before, after) = (view.at(offset.wrapping_sub(1))?, view.at(offset.wrapping_add(1))?);
    let centre = view.at(offset)?.gamma();
    Some((before.gamma() + after.gamma() - centre - centre).power())
}

/// The squared distance of a curve from the straight line, half-way from a point to the next; the largest at a pole.
#[inline(never)]
fn off_the_chord<A: Arithmetic>(
    view: View<'_, A>,
    curve: &Curve<A::Working>,
    offset: i32,
) -> Option<A::Working> {
    let (one, other) = (view.at(offset)?, view.at(offset.wrapping_add(1))?);
    let half = A::Working::HALF;
    let middle = (curve.place(one.frequency) + curve.place(other.frequency)) * half;
    let Some(gamma) = curve.gamma(middle) else {
        return Some(A::Working::LARGEST);
    };
    Some((gamma - (one.gamma() + other.gamma()).scale(half)).power())
}

impl<A: Arithmetic> Curves<'_, A> {
    /// Whether a frequency is between the point before the centre and the centre.
    pub(crate) fn is_between(&self, frequency: Hertz) -> bool {
        let (Some(before), Some(centre)) = (self.view.at(-1), self.view.at(0)) else {
            return false;
        };
        let between = (before.frequency < frequency) == (frequency < centre.frequency);
        between && frequency != before.frequency && frequency != centre.frequency
    }

    /// Γ at a frequency, if that is the centre's or is between the point before and the centre.
    pub(crate) fn value_at(&mut self, frequency: Hertz) -> Option<(Reflection<A>, Method)> {
        let centre = self.view.at(0)?;
        if frequency == centre.frequency {
            return Some((centre.reflection, Method::Measured));
        }
        if !self.is_between(frequency) {
            return None;
        }
        Some(self.value_between(centre, frequency))
    }

    #[inline(never)]
    fn value_between(&mut self, centre: &Point<A>, frequency: Hertz) -> (Reflection<A>, Method) {
        let kind = self.kind_at(frequency);
        match self.course(kind, frequency) {
            Some((course, _, method)) => (Reflection::from_complex(course.gamma), method),
            // Unreachable: there is always a line.
            None => (centre.reflection, Method::Measured),
        }
    }
}
