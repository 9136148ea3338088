//! Finds samples that fit none of their neighbours: a spike of the instrument, a bit lost on a bus, a relay that bounced.
//!
//! One wrong sample makes a match that is not there, or hides one that is. A sample is taken for spoilt if it stands out
//! of its neighbours, and a resonance through these neighbours does not explain it. A narrow dip does not look like that:
//! at one width from its middle it has half of its depth, at three widths a third still, and a curve through its flanks
//! leads into it. What is narrower than a third of a step cannot be told from a spike, and is told as one.

use super::curve::Curve;
use super::noise::missed;
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

    /// In steps of 2⁻¹¹.
    fn eighth(self) -> Self {
        Self {
            re: self.re >> 3,
            im: self.im >> 3,
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
    /// How far points are usually from the middle of their neighbours, twice, in sixteenths: the noise, or how fast the curve
    /// turns.
    usual: i32,
    /// The newest points that stand out, a bit each, the newest lowest.
    suspects: u32,
    /// The number of samples beyond the rim.
    pub(super) beyond_rim: u32,
    /// The number of steps over which Γ turns by more than a third of a circle.
    pub(super) fast_turns: u32,
}

impl Sieve {
    pub(super) const NEW: Self = Self {
        last: Place::ZERO,
        step: Place::ZERO,
        usual: 0,
        suspects: 0,
        beyond_rim: 0,
        fast_turns: 0,
    };

    /// A point is examined when so many came after it.
    pub(super) const AGE: usize = 3;

    /// Takes the next point of the sweep; true if the one of [`AGE`](Self::AGE) has to be examined. The first two seem to
    /// stand out, since nothing came before; who examines them finds that.
    #[inline(always)]
    pub(super) fn take<A: Arithmetic>(&mut self, next: &Point<A>, rim: u32) -> bool {
        let place = Place::of(next);
        if place.square() > rim {
            self.beyond_rim = self.beyond_rim.saturating_add(1);
        }
        let step = place.minus(self.last);
        let bend = step.minus(self.step).size();
        self.step = step;
        self.suspects = self.suspects.wrapping_shl(1);
        let usual = self.usual >> 4;
        if bend > LEAST {
            self.turn(place);
            if bend >> 2 > usual {
                self.suspects |= 1;
            }
        }
        self.last = place;
        // A spike counts no more than what is usual twice, so that it does not hide the next one.
        let most = usual.wrapping_add(usual).wrapping_add(LEAST >> 5);
        let counted = if bend < most { bend } else { most };
        self.usual = self.usual.wrapping_add(counted.wrapping_sub(usual));
        self.suspects & 4 != 0
    }

    /// Counts a step of more than a third of a circle, where Γ is not near 0: there a dip turns as fast.
    #[cold]
    #[inline(never)]
    fn turn(&mut self, place: Place) {
        if place.along(self.last) >= 0 {
            return;
        }
        let least = (1 << 24) + (1 << 23); // |Γ| of 0.3
        let (one, other) = (place.square(), self.last.square());
        // The cosine is below −½: four times its square is above 1. Of the product a quarter is known.
        let along = u64::from(place.along(self.last).unsigned_abs());
        if one > least && other > least && along * along > (u64::from(one) * u64::from(other)) >> 6 {
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
/// Adds to `curves` if that took a curve.
#[inline(never)]
pub(super) fn spoilt<A: Arithmetic>(view: View<'_, A>, run: i32, curves: &mut u32) -> bool {
    let row = Row::new(view);
    let stands_out = match (row.holds(-1), row.holds(run)) {
        (true, true) => row.stands_out(run),
        (false, true) if run == 1 => row.ends_apart(1),
        (true, false) if run == 1 => row.ends_apart(-1),
        _ => false,
    };
    if stands_out {
        *curves = curves.wrapping_add(1);
    }
    stands_out && !explained(view, run)
}

/// Whether the middle one of five neighbouring points is spoilt, by them alone, on a grid that is even beside it.
///
/// Its neighbours are then farther from it than from the way between the outer points, where a curve without it goes: four
/// times. For a resonance of a width of a third of a step right at the middle that is 3.7, for one as wide as a step 1.1.
#[cold]
#[inline(never)]
pub(super) fn is_alone<A: Arithmetic>(points: [&Point<A>; 5]) -> bool {
    let [first, second, middle, fourth, fifth] = points.map(Place::of);
    let [_, before, centre, after, _] = points.map(|point| point.frequency.get());
    let (one, other) = (before.abs_diff(centre), centre.abs_diff(after));
    let off = middle.times(2).minus(second).minus(fourth).size();
    let (to, across, from) = (second.minus(first), fourth.minus(second), fifth.minus(fourth));
    let rest = across
        .minus(to.plus(from))
        .size()
        .wrapping_add(from.minus(to).size());
    one.abs_diff(other) <= one >> 3 && off > LEAST && off > rest.wrapping_mul(4)
}

/// Whether a resonance through three neighbouring points is narrower than three steps between its half-power points: the
/// pole of the one map (a + b·t)/(1 + c·t) through them, at t = −1/c, is less than one and a half steps off the axis. On an
/// uneven grid a step is then something between the two.
///
/// Points within 0.05 of each other have no room for a deep dip between them.
#[inline(never)]
pub(super) fn is_narrow<A: Arithmetic>(points: [&Point<A>; 3]) -> bool {
    // c = d/s. An eighth of each, so that three squares fit.
    let [before, centre, after] = points.map(|point| Place::of(point).eighth());
    let (back, ahead) = (before.minus(centre), after.minus(centre));
    let (d, s) = (back.plus(ahead), ahead.minus(back));
    let size = d.square().wrapping_mul(3);
    let apart = |one: i32, other: i32| one.wrapping_mul(other);
    let off = apart(d.im, s.re).wrapping_sub(apart(d.re, s.im)).unsigned_abs();
    let beside = apart(d.re, s.re).wrapping_add(apart(d.im, s.im)).unsigned_abs();
    let least = 102 * 102; // 0.05
    (back.square() > least || ahead.square() > least) && off.wrapping_mul(2) < size && beside < size
}

/// The coarse places round the centre of a view.
struct Row {
    places: [Place; Row::WIDTH],
    /// The offsets of the first and the last that is there.
    first: i32,
    last: i32,
}

impl Row {
    const REACH: i32 = 4;
    const WIDTH: usize = 9;

    #[inline(never)]
    fn new<A: Arithmetic>(view: View<'_, A>) -> Self {
        let mut row = Self {
            places: [Place::ZERO; Self::WIDTH],
            first: 0,
            last: 0,
        };
        for (slot, offset) in row.places.iter_mut().zip(-Self::REACH..) {
            if let Some(point) = view.at(offset) {
                *slot = Place::of(point);
                row.first = row.first.min(offset);
                row.last = row.last.max(offset);
            }
        }
        row
    }

    fn holds(&self, offset: i32) -> bool {
        (self.first..=self.last).contains(&offset)
    }

    /// 0 for one that is not there.
    fn at(&self, offset: i32) -> Place {
        let index = offset.wrapping_add(Self::REACH) as usize;
        self.places.get(index).copied().unwrap_or_default()
    }

    /// How far a point is from the middle of its neighbours, twice; 0 at an end of the sweep.
    #[inline(never)]
    fn bend(&self, offset: i32) -> i32 {
        let (before, after) = (offset.wrapping_sub(1), offset.wrapping_add(1));
        if !self.holds(before) || !self.holds(after) {
            return 0;
        }
        self.at(before)
            .plus(self.at(after))
            .minus(self.at(offset).times(2))
            .size()
    }

    /// Whether `run` samples from the centre on are far from the line between their neighbours, which are on a smooth curve.
    fn stands_out(&self, run: i32) -> bool {
        let (before, after) = (self.at(-1), self.at(run));
        let mut off = i32::MAX;
        for at in 0..run {
            // In (run + 1)ths of the distance from the line.
            let rest = run.wrapping_sub(at);
            let line = before.times(rest).plus(after.times(at.wrapping_add(1)));
            let from_line = self.at(at).times(run.wrapping_add(1)).minus(line);
            off = off.min(from_line.size());
        }
        // The neighbours' own neighbours say how much the curve bends by itself.
        let smooth = self.bend(-2).max(self.bend(run.wrapping_add(1)));
        let smooth = smooth.wrapping_mul(if run > 1 { 12 } else { 4 });
        // A spike bends the curve at its neighbours half as much as at itself.
        let beside = self.bend(-1).max(self.bend(run)).wrapping_mul(3);
        let sharp = run > 1 || beside < off.wrapping_mul(2);
        off > LEAST && sharp && off > smooth && !self.jumps(run, off)
    }

    /// Whether the curve does not go on behind the samples where it came from: a jump, at which no sample is wrong.
    fn jumps(&self, run: i32, off: i32) -> bool {
        let across = self.at(run).minus(self.at(-1));
        let turns = |from: i32| {
            let to = from.wrapping_add(1);
            let step = self.at(to).minus(self.at(from));
            let turn = across.minus(step.times(run.wrapping_add(1)));
            self.holds(from) && self.holds(to) && turn.size() > off >> 1
        };
        turns(-2) || turns(run)
    }

    /// Whether the first or last sample is far from where the others lead, which are on a smooth curve to that `side`.
    fn ends_apart(&self, side: i32) -> bool {
        let (near, far) = (self.at(side), self.at(side.wrapping_mul(2)));
        let off = self.at(0).plus(far).minus(near.times(2)).size();
        let smooth = self
            .bend(side.wrapping_mul(2))
            .max(self.bend(side.wrapping_mul(3)));
        off > LEAST && off > smooth.wrapping_mul(6)
    }
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
    for offset in 0..run {
        let Some(point) = view.at(offset) else { continue };
        let Some(missed) = missed(view, &curve, offset) else {
            return false;
        };
        let mut nearest = A::Working::LARGEST;
        for other in beside.iter().take(2) {
            if let Some(other) = view.at(*other) {
                nearest = nearest.smaller((other.gamma() - point.gamma()).power());
            }
        }
        if missed * A::Working::from_i32(4) >= nearest {
            return false;
        }
    }
    true
}
