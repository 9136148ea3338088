//! The choice of a curve near a point, and its value there.

use super::curve::{Course, Curve};
use super::noise::noisy;
use super::scale::Scale;
use super::window::{Point, View};
use crate::arithmetic::Arithmetic;
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
    /// A parabola of Γ through three points, if no resonance goes through them.
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

/// The curves round the centre of a view. The last one is stored, since several figures often use it.
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

    /// The curve of a kind, if any, and its origin: through the nearest points, or fitted to many if noise is found.
    #[inline(never)]
    pub(crate) fn get(&mut self, kind: Kind) -> Option<(&Curve<A::Working>, Method)> {
        if self.kind != Some(kind) {
            self.kind = Some(kind);
            self.method = self.make(kind);
        }
        Some((&self.curve, self.method?))
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

impl<A: Arithmetic> View<'_, A> {
    /// Γ at a frequency, if that is the centre's or is between the point before and the centre.
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
            // Unreachable: there is always a line.
            None => (centre.reflection, Method::Measured),
        }
    }
}
