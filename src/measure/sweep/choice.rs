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
    next: Next<A::Working>,
    /// The last one of the others.
    plain: Made<A::Working>,
}

/// A step of the work of a curve.
#[derive(Clone, Copy, Debug)]
enum Next<W> {
    /// Nothing is left.
    Nothing,
    /// The curve of an attempt through the nearest points.
    Pass(u8),
    /// The curve of this attempt misses the points beside it by so much, perhaps because of noise: a fit.
    Fit(u8, [Option<W>; 2], Averaging<W>),
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
        plain: Made::NOTHING,
    };

    /// Forgets the curves, for another point. For what is `soft`, a minimum or a slope, the steps of a short word are
    /// averaged as well.
    pub(crate) fn begin(&mut self, soft: bool) {
        self.averages_steps = soft;
        self.is_decided = false;
        self.best.kind = None;
        self.best.method = None;
        self.next = Next::Nothing;
        self.plain.kind = None;
    }

    /// From here on only straight lines are made, or no more.
    pub(crate) fn hurry(&mut self, is_hurried: bool) {
        self.is_hurried = is_hurried;
    }

    /// The same curves, for what is soft from here on.
    pub(crate) fn soften(&mut self) {
        if A::FAMILY == Family::Fixed16 && !self.averages_steps {
            let plain = self.plain.kind;
            self.begin(true);
            self.plain.kind = plain;
        }
    }
}

/// The curves round the centre of a view.
pub(crate) struct Curves<'a, A: Arithmetic> {
    pub(crate) view: View<'a, A>,
    store: &'a mut Store<A>,
}

impl<'a, A: Arithmetic> Curves<'a, A> {
    pub(crate) fn new(view: View<'a, A>, store: &'a mut Store<A>) -> Self {
        Self { view, store }
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

    /// Does a step of the work of the curve of one of the first two kinds; returns what it cost, or `None` where nothing is
    /// left to do.
    #[inline(never)]
    pub(crate) fn step(&mut self, kind: Kind) -> Option<u32> {
        let store = &mut *self.store;
        if store.is_hurried {
            return None;
        }
        // One that is fitted to many points serves on both sides of the centre.
        if store.best.kind != Some(kind) && store.best.method != Some(Method::ManyPoints) {
            store.best.kind = Some(kind);
            store.best.method = None;
            store.next = Next::Pass(0);
        }
        match store.next {
            Next::Nothing => None,
            Next::Pass(attempt) => {
                self.pass(kind, attempt);
                Some(cost::PASS)
            }
            Next::Fit(attempt, third, averaging) => {
                self.fit(kind, attempt, third, averaging);
                Some(cost::FIT)
            }
        }
    }

    /// A curve through the nearest points.
    fn pass(&mut self, kind: Kind, attempt: u8) {
        let store = &mut *self.store;
        let Some((most, pole, round)) = ATTEMPTS.get(usize::from(attempt)).copied() else {
            store.next = Next::Nothing;
            store.is_decided = true;
            return;
        };
        let view = self.view.round(round.offset(kind));
        if !store.best.curve.pass(view, most, pole) {
            store.next = Next::Pass(attempt.wrapping_add(1));
            return;
        }
        let third = missed_beside(view, &store.best.curve, 3);
        if !store.is_decided
            && let Some(averaging) = Averaging::new(view, third, store.averages_steps)
        {
            store.next = Next::Fit(attempt, third, averaging);
            return;
        }
        self.judge(kind, attempt, third);
    }

    /// A curve fitted to many points.
    fn fit(
        &mut self,
        kind: Kind,
        attempt: u8,
        third: [Option<A::Working>; 2],
        mut averaging: Averaging<A::Working>,
    ) {
        let store = &mut *self.store;
        let round = ATTEMPTS
            .get(usize::from(attempt))
            .map_or(0, |(_, _, round)| round.offset(kind));
        match averaging.step(self.view.round(round), &mut store.best.curve) {
            Averaged::Fitted => {
                store.best.method = Some(Method::ManyPoints);
                store.next = Next::Nothing;
                store.is_decided = true;
            }
            Averaged::GoesOn => store.next = Next::Fit(attempt, third, averaging),
            Averaged::No => {
                store.is_decided = true;
                self.judge(kind, attempt, third);
            }
        }
    }

    /// Whether the curve of an attempt is good; else the next one.
    #[inline(never)]
    fn judge(&mut self, kind: Kind, attempt: u8, third: [Option<A::Working>; 2]) {
        let store = &mut *self.store;
        let Some((most, pole, round)) = ATTEMPTS.get(usize::from(attempt)).copied() else {
            return; // unreachable: the attempt was made
        };
        let view = self.view.round(round.offset(kind));
        if is_sure(view, &store.best.curve, third, most) {
            store.best.method = Some(if pole {
                Method::NearestPoints
            } else {
                Method::Parabola
            });
            store.next = Next::Nothing;
            store.is_decided = true;
        } else {
            store.next = Next::Pass(attempt.wrapping_add(1));
        }
    }

    /// The curve of a kind, if any, and its origin: through the nearest points, or fitted to many if noise is found.
    #[inline(never)]
    pub(crate) fn get(&mut self, kind: Kind) -> Option<(&Curve<A::Working>, Method)> {
        if matches!(kind, Kind::Parabola | Kind::Line) {
            let store = &mut *self.store;
            if store.is_hurried && kind == Kind::Parabola {
                return None;
            }
            if store.plain.kind != Some(kind) {
                store.plain.kind = Some(kind);
                store.plain.method = plain(self.view, kind, &mut store.plain.curve);
            }
            return Some((&store.plain.curve, store.plain.method?));
        }
        if self.store.is_hurried {
            return None;
        }
        // Where it is not made yet; who bounds the work of a call has done these steps before.
        while self.step(kind).is_some() {}
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
