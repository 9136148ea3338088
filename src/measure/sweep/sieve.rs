//! Finds samples that fit none of their neighbours: a spike of the instrument, a bit lost on a bus, a relay that bounced.
//!
//! One wrong sample makes a match that is not there, or hides one that is. A sample is taken for spoilt if it stands out
//! of its neighbours, and a resonance through these neighbours does not explain it. A narrow dip does not look like that:
//! at one width from its middle it has half of its depth, at three widths a third still, and a curve through its flanks
//! leads into it. What is narrower than a third of a step cannot be told from a spike, and is told as one.

use super::curve::Curve;
use super::window::{Point, View};
use crate::arithmetic::{Arithmetic, Real};

/// A place of the coarse Γ, in steps of 2⁻¹⁴.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Place {
    re: i32,
    im: i32,
}

impl Place {
    const ZERO: Self = Self { re: 0, im: 0 };

    fn of<A: Arithmetic>(point: &Point<A>) -> Self {
        let [re, im] = point.reflection.coarse();
        Self { re, im }
    }

    // Components are within ±2¹⁵, and so few are added that no sum wraps.
    fn minus(self, other: Self) -> Self {
        Self {
            re: self.re.wrapping_sub(other.re),
            im: self.im.wrapping_sub(other.im),
        }
    }

    fn plus(self, other: Self) -> Self {
        Self {
            re: self.re.wrapping_add(other.re),
            im: self.im.wrapping_add(other.im),
        }
    }

    fn times(self, factor: i32) -> Self {
        Self {
            re: self.re.wrapping_mul(factor),
            im: self.im.wrapping_mul(factor),
        }
    }

    /// |Γ|² in steps of 2⁻²⁸.
    fn square(self) -> u32 {
        let square = |part: i32| part.unsigned_abs().wrapping_mul(part.unsigned_abs());
        square(self.re).wrapping_add(square(self.im))
    }

    /// The scalar product, a quarter of it so that it fits.
    fn along(self, other: Self) -> i32 {
        let part = |one: i32, other: i32| (one >> 1).wrapping_mul(other >> 1);
        part(self.re, other.re).wrapping_add(part(self.im, other.im))
    }

    /// Whether the angle between both is more than a quarter of a circle.
    fn turns_back(self, other: Self) -> bool {
        self.along(other) < 0
    }

    /// |re| + |im|.
    fn size(self) -> i32 {
        self.re.unsigned_abs().wrapping_add(self.im.unsigned_abs()) as i32
    }
}

/// A bend below this is never suspected: a sample that is off by less than 0.03 makes no gross fault.
const LEAST: i32 = (0.06 * 16_384.0) as i32;

/// What is remembered of the newest points, to ask about the few that stand out.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sieve {
    last: Place,
    /// From the point before to the last one.
    step: Place,
    /// How far the last but one was from the middle of its neighbours, twice.
    bend: i32,
    /// How much bends differ from one point to the next, usually, in sixteenths: the noise, or how fast the curve turns.
    usual: i32,
    /// The newest points that stand out, a bit each, the newest lowest.
    suspects: u8,
    /// The number of samples beyond the rim.
    pub(super) beyond_rim: u32,
    /// The number of steps over which Γ turns by more than a third of a circle.
    pub(super) fast_turns: u32,
}

impl Sieve {
    pub(super) const NEW: Self = Self {
        last: Place::ZERO,
        step: Place::ZERO,
        bend: 0,
        usual: 0,
        suspects: 0,
        beyond_rim: 0,
        fast_turns: 0,
    };

    /// A point is examined when so many came after it.
    pub(super) const AGE: usize = 3;

    /// Takes the next point of the sweep, the `number`th; true if the one of [`AGE`](Self::AGE) has to be examined.
    #[inline(always)]
    pub(super) fn take<A: Arithmetic>(&mut self, next: &Point<A>, number: u32, rim: u32) -> bool {
        let place = Place::of(next);
        if place.size() > 1 << 14 && place.square() > rim {
            self.beyond_rim = self.beyond_rim.saturating_add(1);
        }
        if place.turns_back(self.last) && number > 1 {
            self.turn(place);
        }
        let step = place.minus(self.last);
        self.last = place;
        let bend = step.minus(self.step).size();
        self.step = step;
        let change = bend.wrapping_sub(self.bend).unsigned_abs() as i32;
        self.bend = bend;
        self.suspects = self.suspects.wrapping_shl(1);
        if number < 3 {
            // The first step leads from nowhere.
            self.bend = 0;
            return false;
        }
        if bend > LEAST && bend > (self.usual >> 4).wrapping_mul(5) {
            self.suspects |= 1;
        }
        // A spike counts no more than what is usual four times, so that it does not hide the next one.
        let most = (self.usual >> 2).wrapping_add(LEAST >> 3);
        let change = if change < most { change } else { most };
        self.usual = self.usual.wrapping_add(change.wrapping_sub(self.usual >> 4));
        self.suspects & 4 != 0
    }

    /// Counts a step of more than a third of a circle, where Γ is not near 0: there a dip turns as fast.
    #[cold]
    #[inline(never)]
    fn turn(&mut self, place: Place) {
        let least = (1 << 24) + (1 << 23); // |Γ| of 0.3
        let (one, other) = (place.square(), self.last.square());
        // The cosine is below −½: four times its square is above 1.
        let along = u64::from(place.along(self.last).unsigned_abs()) << 2;
        if one > least && other > least && along * along > (u64::from(one) * u64::from(other)) << 2 {
            self.fast_turns = self.fast_turns.saturating_add(1);
        }
    }

    /// Whether the point after which `later` more came stands out, for 1 and 2.
    pub(super) fn suspects(&self, later: usize) -> bool {
        match later {
            1 => self.suspects & 1 != 0,
            2 => self.suspects & 2 != 0,
            _ => false,
        }
    }
}

/// Whether the `run` samples from the centre of a view on are spoilt. At an end of the sweep a sample is judged by one side.
#[inline(never)]
pub(super) fn spoilt<A: Arithmetic>(view: View<'_, A>, run: i32) -> bool {
    let after = run;
    match (view.at(-1), view.at(after)) {
        (Some(_), Some(_)) => stands_out(view, run) && !explained(view, run),
        (None, Some(_)) if run == 1 => ends_apart(view, 1) && !explained(view, 1),
        (Some(_), None) if run == 1 => ends_apart(view, -1) && !explained(view, 1),
        _ => false,
    }
}

fn place<A: Arithmetic>(view: View<'_, A>, offset: i32) -> Option<Place> {
    view.at(offset).map(Place::of)
}

/// How far a point is from the middle of its neighbours, twice; 0 at an end of the sweep.
fn bend<A: Arithmetic>(view: View<'_, A>, offset: i32) -> i32 {
    let bend = || {
        let before = place(view, offset.wrapping_sub(1))?;
        let after = place(view, offset.wrapping_add(1))?;
        Some(before.plus(after).minus(place(view, offset)?.times(2)).size())
    };
    bend().unwrap_or(0)
}

/// Whether `run` samples from the centre on are far from the line between their neighbours, which are on a smooth curve.
fn stands_out<A: Arithmetic>(view: View<'_, A>, run: i32) -> bool {
    let off = |at: i32| {
        let (before, after) = (place(view, -1)?, place(view, run)?);
        let here = place(view, at)?;
        // In (run + 1)ths of the distance from the line.
        let rest = run.wrapping_sub(at);
        let line = before.times(rest).plus(after.times(at.wrapping_add(1)));
        Some(here.times(run.wrapping_add(1)).minus(line).size())
    };
    let (Some(first), Some(last)) = (off(0), off(run.wrapping_sub(1))) else {
        return false;
    };
    let off = first.min(last);
    // The neighbours' own neighbours say how much the curve bends by itself.
    let smooth = bend(view, -2).max(bend(view, run.wrapping_add(1)));
    // A spike bends the curve at its neighbours half as much as at itself.
    let beside = bend(view, -1).max(bend(view, run)).wrapping_mul(3);
    let sharp = run > 1 || beside < off.wrapping_mul(2);
    let smooth = smooth.wrapping_mul(if run > 1 { 12 } else { 4 });
    off > LEAST && sharp && off > smooth && !jumps(view, run, off)
}

/// Whether the curve does not go on behind the samples where it came from: a jump, at which no sample is wrong.
fn jumps<A: Arithmetic>(view: View<'_, A>, run: i32, off: i32) -> bool {
    let (Some(before), Some(after)) = (place(view, -1), place(view, run)) else {
        return true;
    };
    let across = after.minus(before);
    let turns = |step: Place| across.minus(step.times(run.wrapping_add(1))).size() > off >> 1;
    let earlier = place(view, -2).map(|farther| before.minus(farther));
    let later = place(view, run.wrapping_add(1)).map(|farther| farther.minus(after));
    earlier.is_some_and(turns) || later.is_some_and(turns)
}

/// Whether the first or last sample is far from where the others lead, which are on a smooth curve to that `side`.
fn ends_apart<A: Arithmetic>(view: View<'_, A>, side: i32) -> bool {
    let off = || {
        let (near, far) = (place(view, side)?, place(view, side.wrapping_mul(2))?);
        Some(place(view, 0)?.plus(far).minus(near.times(2)).size())
    };
    let smooth = bend(view, side.wrapping_mul(2)).max(bend(view, side.wrapping_mul(3)));
    off().is_some_and(|off| off > LEAST && off > smooth.wrapping_mul(6))
}

/// Whether a resonance through the neighbours leads to `run` samples from the centre on.
#[inline(never)]
fn explained<A: Arithmetic>(view: View<'_, A>, run: i32) -> bool {
    let after = |count: i32| run.wrapping_sub(1).wrapping_add(count);
    let wanted = [
        -1,
        after(1),
        -2,
        after(2),
        -3,
        after(3),
        -4,
        after(4),
        -5,
        after(5),
    ];
    let (mut beside, mut count) = ([0; 5], 0);
    for offset in wanted {
        if view.at(offset).is_some()
            && let Some(slot) = beside.get_mut(count)
        {
            *slot = offset;
            count += 1;
        }
    }
    if count < 4 {
        return true; // too few to accuse one
    }
    let beside = beside.get(..count).unwrap_or_default();
    let mut curve = Curve::NONE;
    if !curve.through(view, beside, true) {
        return false;
    }
    let nearest = |point: &Point<A>| {
        let mut least = A::Working::LARGEST;
        for offset in beside.iter().take(2) {
            if let Some(other) = view.at(*offset) {
                least = least.smaller((other.gamma() - point.gamma()).power());
            }
        }
        least
    };
    (0..run).all(|offset| {
        let Some(point) = view.at(offset) else { return true };
        let Some(course) = curve.course(curve.place(point.frequency)) else {
            return false;
        };
        let missed = (course.gamma - point.gamma()).power();
        missed * A::Working::from_i32(4) < nearest(point)
    })
}
