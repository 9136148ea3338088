//! The last few points of a sweep.

use super::scale::Scale;
use super::tolerance::Tolerance;
use crate::arithmetic::Arithmetic;
use crate::quantity::{Complex, Hertz, Reflection};

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

/// The largest number of points of a fit.
pub(crate) const WIDEST: usize = 15;

/// The number of points on each side of the examined one.
pub(crate) const REACH: usize = WIDEST / 2;

/// The number of points that may wait to be examined, while the work of an earlier one goes on.
pub(crate) const PATIENCE: usize = 16;

/// The number of points round one of them: the widest fit may also be round the point before the examined one.
const AROUND: usize = WIDEST + 1;

/// The number of points stored.
const HELD: usize = AROUND + PATIENCE;

/// The last points, in a ring.
#[derive(Debug)]
pub(crate) struct Window<A: Arithmetic, P: ?Sized = [Point<A>; HELD]> {
    /// The index of the newest.
    newest: u8,
    held: u8,
    /// A curve is fitted to many points if it misses them by no more than this, as a mean square: noise may.
    pub(crate) noise: A::Working,
    points: P,
}

/// The points round one of them, of which none waits.
pub(crate) type Excerpt<A> = Window<A, [Point<A>; AROUND]>;

impl<A: Arithmetic, const H: usize> Copy for Window<A, [Point<A>; H]> {}

impl<A: Arithmetic, const H: usize> Clone for Window<A, [Point<A>; H]> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<A: Arithmetic> Excerpt<A> {
    /// Takes the points of a window, but for the newest ones.
    #[inline(never)]
    pub(crate) fn take(&mut self, window: &Window<A>, newest: usize) {
        let view = window.view_from(newest);
        self.newest = AROUND as u8 - 1;
        self.held = window.held.saturating_sub(newest as u8).min(AROUND as u8);
        for (age, slot) in (0..self.held as i32).zip(self.points.iter_mut().rev()) {
            if let Some(point) = view.at(age.wrapping_neg()) {
                *slot = *point;
            }
        }
    }
}

impl<A: Arithmetic, const H: usize> Window<A, [Point<A>; H]> {
    pub(crate) const fn new() -> Self {
        Self {
            points: [Point {
                frequency: Hertz::new(0),
                reflection: Reflection::MATCHED,
            }; H],
            newest: 0,
            held: 0,
            noise: Tolerance::<A>::USUAL.noise,
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

    /// Takes the next point; drops the oldest.
    pub(crate) fn push(&mut self, next: Point<A>) {
        self.newest = place(i32::from(self.newest).wrapping_add(1), H) as u8;
        if let Some(slot) = self.points.get_mut(self.newest as usize) {
            *slot = next;
        }
        if (self.held as usize) < H {
            self.held += 1;
        }
    }

    /// Takes a point out again: the one after which `later` more came.
    #[inline(never)]
    pub(crate) fn remove(&mut self, later: usize) {
        if later >= self.held as usize {
            return;
        }
        // The newer ones move up.
        for age in (0..later).rev() {
            self.move_up(age);
        }
        self.newest = place(i32::from(self.newest).wrapping_sub(1), H) as u8;
        self.held = self.held.saturating_sub(1);
    }

    /// Writes the point of an age over the one before it. A function, so that the loop round it is not unrolled.
    #[inline(never)]
    fn move_up(&mut self, age: usize) {
        let index = i32::from(self.newest).wrapping_sub(age as i32);
        if let Some(moved) = self.points.get(place(index, H)).copied()
            && let Some(slot) = self.points.get_mut(place(index.wrapping_sub(1), H))
        {
            *slot = moved;
        }
    }

    /// The same of the point with this frequency; true if it was held.
    #[inline(never)]
    pub(crate) fn remove_frequency(&mut self, frequency: Hertz) -> bool {
        for later in 0..self.held as usize {
            if self
                .view(later)
                .at(0)
                .is_some_and(|point| point.frequency == frequency)
            {
                self.remove(later);
                return true;
            }
        }
        false
    }

    /// The points round the one after which `later` more came.
    pub(crate) fn view(&self, later: usize) -> View<'_, A> {
        self.view_without(later, Gaps::NONE)
    }

    /// The points up to the one after which `later` more came, seen round it.
    fn view_from(&self, later: usize) -> View<'_, A> {
        View {
            newest: later as u8,
            ..self.view(later)
        }
    }

    /// The points round the one after which `later` more came, with some left out.
    pub(crate) fn view_without(&self, later: usize, gaps: Gaps) -> View<'_, A> {
        View {
            window: self,
            later: later as i32,
            newest: later.saturating_sub(REACH) as u8,
            gaps,
        }
    }
}

/// The place in the ring of an index less than once round away. (A remainder would be a call on the smallest core.)
#[inline(always)]
fn place(index: i32, held: usize) -> usize {
    let held = held as i32;
    let index = if index < 0 {
        index.wrapping_add(held)
    } else {
        index
    };
    let index = if index >= held {
        index.wrapping_sub(held)
    } else {
        index
    };
    index as usize
}

/// Up to two points that are left out of a window, as if they had been taken out.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gaps {
    /// The number of points after the newer one, and after the older one without the newer.
    newer: u8,
    older: u8,
}

impl Gaps {
    pub(crate) const NONE: Self = Self {
        newer: u8::MAX,
        older: u8::MAX,
    };

    /// Leaves out one more: the one after which `later` more came, of those that are left.
    pub(crate) fn and(self, later: usize) -> Self {
        let later = later as u8;
        if later >= self.newer {
            Self { older: later, ..self }
        } else {
            // The one that was the newer has one point less after it.
            Self {
                newer: later,
                older: self.newer.saturating_sub(1),
            }
        }
    }

    /// The number of points after one, with those that are left out.
    #[inline(always)]
    fn age(self, mut age: i32) -> i32 {
        if age >= i32::from(self.older) {
            age = age.wrapping_add(1);
        }
        if age >= i32::from(self.newer) {
            age = age.wrapping_add(1);
        }
        age
    }
}

/// The points round one of them, the centre.
#[derive(Clone, Copy, Debug)]
pub(crate) struct View<'a, A: Arithmetic> {
    window: &'a Window<A, [Point<A>]>,
    /// The number of points after the centre.
    later: i32,
    /// The number of points after the newest that is seen: a view shows the same, whether its work waited or not.
    newest: u8,
    gaps: Gaps,
}

impl<'a, A: Arithmetic> View<'a, A> {
    /// The point `offset` after the centre (before it, if negative), if it is held.
    #[inline(never)]
    pub(crate) fn at(self, offset: i32) -> Option<&'a Point<A>> {
        let age = self.later.wrapping_sub(offset);
        if age < i32::from(self.newest) {
            return None;
        }
        let age = self.gaps.age(age);
        if age >= i32::from(self.window.held) {
            return None;
        }
        self.window.points.get(place(
            i32::from(self.window.newest).wrapping_sub(age),
            self.window.points.len(),
        ))
    }

    /// What noise may explain.
    pub(super) fn noise(self) -> A::Working {
        self.window.noise
    }

    /// The same points, seen round the one `offset` further on.
    pub(super) fn round(self, offset: i32) -> Self {
        Self {
            later: self.later.wrapping_sub(offset),
            ..self
        }
    }

    /// Frequencies from the centre in steps to the point after or before it, whichever is farther away: a figure beside
    /// the centre is then at most one step away, on an uneven grid too.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arithmetic::Fixed32;

    fn window() -> Window<Fixed32> {
        let mut window = Window::new();
        for hertz in 1..=40 {
            window.push(Point::new(Hertz::new(hertz), Reflection::MATCHED));
        }
        window
    }

    #[test]
    fn what_is_left_out_is_as_if_taken_out() {
        for one in 0..6 {
            for other in 0..6 {
                let (whole, mut shorter) = (window(), window());
                shorter.remove(one);
                shorter.remove(other);
                let gaps = Gaps::NONE.and(one).and(other);
                for later in 0..14 {
                    let frequency = |view: View<'_, Fixed32>| view.at(0).map(|point| point.frequency);
                    assert_eq!(
                        frequency(whole.view_without(later, gaps)),
                        frequency(shorter.view(later)),
                        "{one} {other} {later}"
                    );
                }
            }
        }
    }
}
