//! The last few points of a sweep.

use super::curve::{Course, Curve, Scale};
use super::fit::{WIDEST, fitted};
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::{Complex, Hertz, Reflection};

/// One point of a sweep.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Point<A: Arithmetic> {
    pub(crate) frequency: Hertz,
    pub(crate) reflection: Reflection<A>,
}

impl<A: Arithmetic> Point<A> {
    pub(crate) fn new(frequency: Hertz, reflection: Reflection<A>) -> Self {
        Self {
            frequency,
            reflection,
        }
    }

    #[inline(never)]
    pub(crate) fn power(&self) -> A::Working {
        self.reflection.power()
    }

    #[inline(never)]
    pub(crate) fn gamma(&self) -> Complex<A::Working> {
        self.reflection.complex()
    }
}

/// How many points a figure came from, and how.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Method {
    /// The curve through five neighbouring points, one resonance on a smooth background (at an end of the sweep through
    /// three or four): best on clean data.
    NearestPoints,
    /// A curve fitted to seven, eleven or fifteen points by least squares: chosen where noise shows.
    ManyPoints,
    /// A parabola of Γ through three points, where no resonance goes through them.
    Parabola,
    /// A straight line between two points, where nothing better exists.
    Line,
    /// The measured point itself.
    Measured,
    /// Several neighbouring points are exactly equal; the middle of them stands for all.
    Flat,
}

/// How many points there are on each side of the one that is looked at.
pub(crate) const REACH: usize = WIDEST / 2;

/// So many are held: the widest fit may also stand round the point before the one that is looked at.
const HELD: usize = WIDEST + 1;

/// The last sixteen points, in a ring.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Window<A: Arithmetic> {
    points: [Point<A>; HELD],
    /// The place of the newest.
    newest: u8,
    /// How many are held.
    held: u8,
    /// Curves are fitted to many points where noise shows.
    pub(crate) averages: bool,
}

impl<A: Arithmetic> Window<A> {
    pub(crate) const fn new() -> Self {
        Self {
            points: [Point {
                frequency: Hertz::new(0),
                reflection: Reflection::MATCHED,
            }; HELD],
            newest: 0,
            held: 0,
            averages: true,
        }
    }

    /// Forgets the points.
    pub(crate) fn clear(&mut self) {
        for point in &mut self.points {
            *point = Point {
                frequency: Hertz::new(0),
                reflection: Reflection::MATCHED,
            };
        }
        self.newest = 0;
        self.held = 0;
    }

    /// Takes the next point; the oldest one falls out.
    pub(crate) fn push(&mut self, next: Point<A>) {
        self.newest = self.newest.wrapping_add(1) % HELD as u8;
        if let Some(slot) = self.points.get_mut(self.newest as usize) {
            *slot = next;
        }
        if (self.held as usize) < HELD {
            self.held += 1;
        }
    }

    /// The points as they stand round the one after which `later` more came.
    pub(crate) fn view(&self, later: usize) -> View<'_, A> {
        View {
            window: self,
            later: later as i32,
        }
    }
}

/// The points round one of them, the centre.
#[derive(Clone, Copy, Debug)]
pub(crate) struct View<'a, A: Arithmetic> {
    window: &'a Window<A>,
    /// How many points came after the centre.
    later: i32,
}

impl<'a, A: Arithmetic> View<'a, A> {
    /// The point so many places after the centre (before it, if negative), if it is held.
    #[inline(never)]
    pub(crate) fn at(self, offset: i32) -> Option<&'a Point<A>> {
        let age = self.later.wrapping_sub(offset);
        if age < 0 || age >= i32::from(self.window.held) {
            return None;
        }
        // The number of places is a power of two.
        let place = i32::from(self.window.newest).wrapping_sub(age) as usize % HELD;
        self.window.points.get(place)
    }

    /// The same points as they stand round the one so many places further on.
    fn round(self, offset: i32) -> Self {
        Self {
            later: self.later.wrapping_sub(offset),
            ..self
        }
    }

    /// Γ at a frequency, if that is the centre's or lies between the point before and the centre.
    pub(crate) fn value_at(self, frequency: Hertz) -> Option<(Reflection<A>, Method)> {
        let centre = self.at(0)?;
        if frequency == centre.frequency {
            return Some((centre.reflection, Method::Measured));
        }
        let before = self.at(-1)?;
        let between = (before.frequency < frequency) == (frequency < centre.frequency);
        if !between || frequency == before.frequency {
            return None;
        }
        Some(self.value_between(before, centre, frequency))
    }

    #[inline(never)]
    fn value_between(
        self,
        before: &Point<A>,
        centre: &Point<A>,
        frequency: Hertz,
    ) -> (Reflection<A>, Method) {
        let distance = |point: &Point<A>| point.frequency.get().abs_diff(frequency.get());
        let kind = if distance(before) < distance(centre) {
            Kind::Before
        } else {
            Kind::Centre
        };
        match Curves::new(self).course(kind, frequency) {
            Some((course, _, method)) => (Reflection::from_complex(course.gamma), method),
            // Never: there is a line from one to the other.
            None => (centre.reflection, Method::Measured),
        }
    }

    /// Frequencies from the centre in steps to the point after or before it, whichever is farther away: what is sought
    /// beside the centre is then a step away at most, on an uneven grid too.
    #[inline(never)]
    pub(crate) fn scale(self) -> Option<Scale> {
        let centre = self.at(0)?.frequency;
        let step = |offset| {
            self.at(offset)
                .map_or(0, |beside| beside.frequency.get().abs_diff(centre.get()))
        };
        let unit = step(1).max(step(-1));
        (unit > 0).then_some(Scale { centre, unit })
    }
}

/// Which curve is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// That for something nearer to the point before the centre than to the centre.
    Before,
    /// That for something nearer to the centre.
    Centre,
    /// A parabola of Γ through three points.
    Parabola,
    /// The straight line from the point before the centre to the centre.
    Line,
}

/// The curves round the centre of a view. The last one is kept, since several figures are often read off it.
pub(crate) struct Curves<'a, A: Arithmetic> {
    pub(crate) view: View<'a, A>,
    kind: Option<Kind>,
    method: Option<Method>,
    curve: Curve<A::Working>,
}

impl<'a, A: Arithmetic> Curves<'a, A> {
    pub(crate) fn new(view: View<'a, A>) -> Self {
        Self {
            view,
            kind: None,
            method: None,
            curve: Curve::NONE,
        }
    }

    /// The curve of a kind, if there is one, and where it comes from.
    ///
    /// What is sought near a point is read off a curve through the nearest points, or one fitted to many where noise
    /// shows.
    #[inline(never)]
    pub(crate) fn get(&mut self, kind: Kind) -> Option<(&Curve<A::Working>, Method)> {
        if self.kind != Some(kind) {
            self.kind = Some(kind);
            self.method = self.make(kind);
        }
        Some((&self.curve, self.method?))
    }

    /// Γ and its slope at a frequency on the curve of a kind, else on the straight line; with how t is counted there.
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

    fn make(&mut self, kind: Kind) -> Option<Method> {
        let (view, curve) = (self.view, &mut self.curve);
        match kind {
            Kind::Line => return curve.pass(view, 2, false).then_some(Method::Line),
            Kind::Parabola => return curve.pass(view, 3, false).then_some(Method::Parabola),
            _ => {}
        }
        let nearer = if kind == Kind::Before { -1 } else { 0 };
        // All of five or four points, three of them, and three without a pole.
        for (most, pole) in [(5, true), (3, true), (3, false)] {
            for offset in [nearer, -1 - nearer, 1] {
                let view = view.round(offset);
                if curve.pass(view, most, pole) {
                    return Some(if noisy(view, curve).is_some() {
                        Method::ManyPoints
                    } else if pole {
                        Method::NearestPoints
                    } else {
                        Method::Parabola
                    });
                }
            }
        }
        None
    }
}

/// Makes the curve that through the nearest points into one fitted to as many as agree with it, where noise is what
/// keeps the nearest points from telling; else leaves it as it is.
///
/// The curve through the nearest five points says what the next one on each side should be. On clean data it comes
/// close, and closer than the stiff curve fitted to all seven. Noise it multiplies, some sixteen times, while the
/// fit averages it.
#[inline(never)]
fn noisy<A: Arithmetic>(view: View<'_, A>, curve: &mut Curve<A::Working>) -> Option<()> {
    if !view.window.averages {
        return None;
    }
    let sum = missed(view, curve, -3)? + missed(view, curve, 3)?;
    // What is foretold to 3e-5 of Γ needs no averaging.
    if sum * A::Working::from_i32(1_000_000_000) < A::Working::ONE {
        return None;
    }
    // Over thousands of invented sweeps the sum of both squares was below 0.002 times what the fit leaves on clean
    // data, and above 0.05 times with noise of 1e-3; seldom otherwise.
    let [left, ..] = fitted(view, 7, 0, 1, curve)?;
    if sum * A::Working::from_i32(50) < left {
        return None;
    }
    // The first of the fits that leaves less than half as much again as the most pliant one does. The first one tells
    // what that leaves; near an end of the sweep it is one to fewer points.
    let mut least = None;
    for (count, degree) in FITS {
        let last = if least.is_none() { 3 } else { degree };
        let Some(left) = fitted(view, count, degree, last, curve) else {
            continue;
        };
        let [.., pliant] = left;
        let enough = *least.get_or_insert(pliant * A::Working::from_i32(3) * A::Working::HALF);
        if degree
            .checked_sub(1)
            .and_then(|place| left.get(place))
            .is_some_and(|left| *left <= enough)
        {
            return Some(());
        }
    }
    fitted(view, 7, 1, 1, curve).map(|_| ())
}

/// The square of how far a point is from a curve.
#[inline(never)]
fn missed<A: Arithmetic>(view: View<'_, A>, curve: &Curve<A::Working>, offset: i32) -> Option<A::Working> {
    let point = view.at(offset)?;
    let told = curve.course(curve.place(point.frequency))?;
    Some((told.gamma - point.gamma()).power())
}

/// The numbers of points and the degrees of the fits, the most averaging first.
const FITS: [(usize, usize); 6] = [(15, 1), (11, 1), (15, 2), (11, 2), (15, 3), (11, 3)];
