//! The last few points of a sweep.

use super::local_map::{LocalMap, WIDEST};
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::{Hertz, Reflection};

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

    pub(crate) fn power(&self) -> A::Working {
        self.reflection.power()
    }
}

/// How many points a figure came from, and how.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Method {
    /// The Möbius map through three neighbouring points, and the curve through the next two as well: best on clean data.
    NearestPoints,
    /// A curve fitted to seven, eleven or fifteen points by least squares: chosen where noise shows.
    ManyPoints,
    /// A parabola of |Γ|² through three points, where no map exists.
    Parabola,
    /// A straight line between two points, where nothing better exists.
    Line,
    /// The measured point itself.
    Measured,
    /// Several neighbouring points are exactly equal; the middle of them stands for all.
    Flat,
}

/// The last fifteen points in the order they came; the one in the middle is being looked at.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Window<A: Arithmetic> {
    points: [Point<A>; WIDEST],
    /// How many places at the end are empty, because the sweep has ended.
    ended: usize,
    /// How many points are held before those.
    held: usize,
}

/// The place that is looked at.
const CENTRE: usize = WIDEST / 2;

impl<A: Arithmetic> Window<A> {
    pub(crate) fn new() -> Self {
        Self {
            points: [Point {
                frequency: Hertz::new(0),
                reflection: Reflection::MATCHED,
            }; WIDEST],
            ended: 0,
            held: 0,
        }
    }

    /// Moves on by one; `None` when the sweep has ended.
    pub(crate) fn shift(&mut self, next: Option<Point<A>>) {
        let [_, b, c, d, e, f, g, h, i, j, k, l, m, n, o] = self.points;
        self.points = [b, c, d, e, f, g, h, i, j, k, l, m, n, o, next.unwrap_or(o)];
        match next {
            // Neither count passes the width, which the optimiser does not see.
            Some(_) => self.held = self.held.saturating_add(1).min(WIDEST),
            None => {
                self.ended = self.ended.saturating_add(1);
                self.held = self.held.min(WIDEST.saturating_sub(self.ended));
            }
        }
    }

    /// The point at a place, if there is one.
    fn at(&self, place: usize) -> Option<&Point<A>> {
        let end = WIDEST.checked_sub(self.ended)?;
        let start = end.checked_sub(self.held)?;
        if (start..end).contains(&place) {
            self.points.get(place)
        } else {
            None
        }
    }

    pub(crate) fn before(&self) -> Option<&Point<A>> {
        self.at(CENTRE - 1)
    }

    pub(crate) fn centre(&self) -> Option<&Point<A>> {
        self.at(CENTRE)
    }

    pub(crate) fn after(&self) -> Option<&Point<A>> {
        self.at(CENTRE + 1)
    }

    /// Γ at a frequency, if that is the centre's or lies between the point before and the centre.
    pub(crate) fn value_at(&self, frequency: Hertz) -> Option<(Reflection<A>, Method)> {
        let centre = self.centre()?;
        if frequency == centre.frequency {
            return Some((centre.reflection, Method::Measured));
        }
        let before = self.before()?;
        let between = (before.frequency < frequency) == (frequency < centre.frequency);
        if !between || frequency == before.frequency {
            return None;
        }
        let distance = |point: &Point<A>| point.frequency.get().abs_diff(frequency.get());
        let mapped = self
            .stretch_map(distance(before) < distance(centre))
            .and_then(|(map, method)| Some((map.value(map.place(frequency))?, method)));
        let (gamma, method) = mapped.unwrap_or_else(|| {
            let span = centre.frequency.get().abs_diff(before.frequency.get());
            let share = A::Working::from_u64(distance(before)) / A::Working::from_u64(span);
            let from = before.reflection.complex();
            (
                from + (centre.reflection.complex() - from).scale(share),
                Method::Line,
            )
        });
        Some((Reflection::from_complex(gamma), method))
    }

    /// `count` points round the centre, if they are all there.
    fn round_centre(&self, count: usize) -> Option<&[Point<A>]> {
        let first = CENTRE - count / 2;
        let last = CENTRE + count / 2;
        self.at(first)?;
        self.at(last)?;
        self.points.get(first..=last)
    }

    /// The map round the centre: through the nearest points, or fitted to many where noise shows.
    ///
    /// At an end of the sweep the nearest three points serve.
    pub(crate) fn map(&self) -> Option<(LocalMap<A::Working>, Method)> {
        self.stretch_map(false)
    }

    /// The map for the stretch from the point before the centre to the centre; `early` where the former is nearer to
    /// what is sought.
    pub(crate) fn stretch_map(&self, early: bool) -> Option<(LocalMap<A::Working>, Method)> {
        if let Some(fitted) = self.noisy_map() {
            return Some(fitted);
        }
        self.three_point_map(early)
            .map(|map| (map, Method::NearestPoints))
    }

    fn three_point_map(&self, early: bool) -> Option<LocalMap<A::Working>> {
        let round = |place: usize| {
            LocalMap::through(
                [self.at(place - 1)?, self.at(place)?, self.at(place + 1)?],
                [self.at(place - 2), self.at(place + 2)],
            )
        };
        let nearest = if early { round(CENTRE - 1) } else { None };
        nearest
            .or_else(|| round(CENTRE))
            .or_else(|| round(CENTRE - 1))
            .or_else(|| round(CENTRE + 1))
    }

    /// The map fitted to as many points as agree with it, where noise is what keeps the nearest points from telling.
    ///
    /// The curve through the nearest five points says what the next one on each side should be. On clean data it comes
    /// close, and closer than the stiff map fitted to all seven. Noise it multiplies, some sixteen times, while the
    /// fit averages it.
    fn noisy_map(&self) -> Option<(LocalMap<A::Working>, Method)> {
        let centre = self.centre()?;
        let fit = |count| LocalMap::fitted(self.round_centre(count)?, centre);
        self.round_centre(7)?;
        let nearest = self.three_point_map(false)?;
        let missed = |place: usize| {
            let point = self.at(place)?;
            let told = nearest.value(nearest.place(point.frequency))?;
            Some((told - point.reflection.complex()).power())
        };
        let sum = missed(CENTRE - 3)? + missed(CENTRE + 3)?;
        // What is foretold to 3e-5 of Γ needs no averaging, and the costly fit can be left out; except where the family
        // itself is the noise.
        let exact = A::Working::EPSILON * A::Working::from_i32(10_000_000) < A::Working::ONE;
        if exact && sum * A::Working::from_i32(1_000_000_000) < A::Working::ONE {
            return None;
        }
        // Over thousands of invented sweeps the sum of both squares was below 0.002 times what the fit leaves on clean
        // data, and above 0.05 times with noise of 1e-3; seldom otherwise.
        let [(stiff, left), ..] = fit(7)?;
        if sum * A::Working::from_i32(50) < left {
            return None;
        }
        // The most averaging first; taken if it leaves little more than the most pliant curve does.
        let chosen = match (fit(11), fit(15)) {
            (Some([b1, b2, _]), Some([c1, c2, c3])) => choose([c1, b1, c2, b2, c3]),
            (Some([b1, b2, b3]), None) => choose([b1, b2, b3]),
            _ => None,
        };
        Some((chosen.unwrap_or(stiff), Method::ManyPoints))
    }
}

/// The first of the fits that leaves less than half as much again as the last does.
fn choose<W: Real, const M: usize>(fits: [(LocalMap<W>, W); M]) -> Option<LocalMap<W>> {
    let (_, least) = fits.last()?;
    let enough = *least * W::from_i32(3) * W::HALF;
    fits.iter().find(|(_, left)| *left <= enough).map(|(map, _)| *map)
}
