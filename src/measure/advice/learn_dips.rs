//! The dip before a move and the dip after it, and how well each is known.

use super::learn_error::LearnError;
use crate::arithmetic::accuracy::Family;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::measure::{Dip, Method, SweepReport};
use crate::quantity::{Component, Hertz};

/// Two dips that are one before and after.
#[derive(Clone, Copy)]
pub(super) struct Pair<A: Arithmetic> {
    pub(super) before: Hertz,
    pub(super) after: Hertz,
    /// In hertz.
    doubt_before: A::Working,
    pub(super) doubt_after: A::Working,
}

impl<A: Arithmetic> Pair<A> {
    /// By how much f_before/f_after may be off, relative.
    pub(super) fn doubt(&self) -> A::Working {
        let of = |doubt: A::Working, at: Hertz| doubt / A::Working::from_u64(at.get());
        of(self.doubt_before, self.before) + of(self.doubt_after, self.after)
    }

    /// Whether nothing has moved that the sweeps can tell.
    pub(super) fn is_still(&self) -> bool {
        A::Working::from_u64(self.before.get().abs_diff(self.after.get()))
            <= self.doubt_before + self.doubt_after
    }

    /// How far it has moved, relative.
    fn travel(&self) -> A::Working {
        let moved = A::Working::from_u64(self.before.get().abs_diff(self.after.get()));
        moved / A::Working::from_u64(self.before.get())
    }
}

/// By how much |Γ| of two dips may differ, in hundredths.
const DEPTH: i32 = 15;

/// A curve through few points of an arc knows its slope badly, and with it where a shallow dip is lowest: in hundredths,
/// chosen by the study in `tests/measure/learn.rs`.
const STIFFNESS: i32 = 40;

/// By how many times the noise a dip must be lower than the flank of a deeper one.
const FLANK: i32 = 8;

fn hundredths<W: Real>(count: i32) -> W {
    W::from_i32(count) / W::from_i32(100)
}

/// The pair that has moved furthest; see [`Adjustment::learn`](super::Adjustment::learn).
pub(super) fn pair<A: Arithmetic, const N: usize>(
    before: &SweepReport<A, N>,
    after: &SweepReport<A, N>,
    target: Option<Hertz>,
    noise: Component<A>,
) -> Result<Pair<A>, LearnError> {
    if before.reference() != after.reference() {
        return Err(LearnError::OtherReference);
    }
    let deepest = |report| deep(report, A::Working::ZERO, noise).next();
    deepest(before).ok_or(LearnError::NoDipBefore)?;
    deepest(after).ok_or(LearnError::NoDipAfter)?;
    // The usual limit, and a wider one for a dip that stands next to it.
    let limits = [DEPTH, 2 * DEPTH].map(hundredths::<A::Working>);
    let count = |report, limit| deep(report, limit, noise).count();
    let limit = limits
        .into_iter()
        .find(|limit| count(before, *limit) == count(after, *limit))
        .ok_or(LearnError::TooMuchChanged)?;
    let pairs = || deep(before, limit, noise).zip(deep(after, limit, noise));
    let paired = |(one, other): (&Dip<A>, &Dip<A>)| Pair::<A> {
        before: one.frequency,
        after: other.frequency,
        doubt_before: doubt(before, one, noise),
        doubt_after: doubt(after, other, noise),
    };
    let furthest = pairs()
        .map(paired)
        .fold(A::Working::ZERO, |most, pair| most.larger(pair.travel()));
    let far = |pair: &Pair<A>| pair.travel() + pair.travel() >= furthest;
    let distance = |pair: &Pair<A>| match target {
        Some(target) => pair.after.get().abs_diff(target.get()),
        // The one that has moved furthest.
        None if pair.travel() >= furthest => 0,
        None => u64::MAX,
    };
    let chosen = pairs()
        .filter(|dips| far(&paired(*dips)))
        .min_by_key(|dips| distance(&paired(*dips)))
        .ok_or(LearnError::NoDipAfter)?;
    if has_another_depth(chosen.0, chosen.1) {
        return Err(LearnError::TooMuchChanged);
    }
    Ok(paired(chosen))
}

/// The dips inside a sweep whose |Γ| is at most this much above that of the deepest of them, without those that noise makes
/// on the flank of a deeper one.
fn deep<A: Arithmetic, const N: usize>(
    report: &SweepReport<A, N>,
    above: A::Working,
    noise: Component<A>,
) -> impl Iterator<Item = &Dip<A>> {
    let inside = report.dips().iter().filter(|dip| !dip.at_edge);
    let least = inside
        .clone()
        .map(size)
        .reduce(A::Working::smaller)
        .unwrap_or(A::Working::ZERO);
    inside
        .clone()
        .filter(move |dip| size(dip) - least <= above)
        .filter(move |dip| !inside.clone().any(|other| is_on_flank(report, dip, other, noise)))
}

/// Whether a dip is no lower than the flank of a deeper one is there, but for noise.
fn is_on_flank<A: Arithmetic, const N: usize>(
    report: &SweepReport<A, N>,
    dip: &Dip<A>,
    deeper: &Dip<A>,
    noise: Component<A>,
) -> bool {
    let order = |dip: &Dip<A>| (size(dip), dip.frequency);
    if noise == Component::<A>::ZERO || order(deeper) >= order(dip) {
        return false;
    }
    let Some(slope) = slope(report, deeper) else {
        return false;
    };
    // Of a series or a parallel resonance of about Z0, |Γ|² is x²/(1 + x²).
    let apart = A::Working::from_u64(dip.frequency.get().abs_diff(deeper.frequency.get()));
    let rise = (slope * apart).square();
    let flank = size(deeper).square() + rise / (A::Working::ONE + rise);
    let lowest = size(dip) + noise.to_working() * A::Working::from_i32(FLANK);
    lowest.square() >= flank
}

fn size<A: Arithmetic>(dip: &Dip<A>) -> A::Working {
    dip.reflection.magnitude().to_working()
}

/// The depth of a dip that is not resolved is not known.
fn has_another_depth<A: Arithmetic>(one: &Dip<A>, other: &Dip<A>) -> bool {
    let is_known = one.unresolved.is_none() && other.unresolved.is_none();
    is_known && (size(one) - size(other)).absolute() > hundredths(DEPTH)
}

/// How far off the frequency of a dip may be, in hertz.
fn doubt<A: Arithmetic, const N: usize>(
    report: &SweepReport<A, N>,
    dip: &Dip<A>,
    noise: Component<A>,
) -> A::Working {
    let between = |one: Hertz, other: Hertz| A::Working::from_u64(one.get().abs_diff(other.get()));
    if let Some(limits) = dip.unresolved {
        return between(limits.low, dip.frequency).larger(between(limits.high, dip.frequency));
    }
    let steps = report.points().saturating_sub(1).max(1);
    let step = between(report.start(), report.stop()) / A::Working::from_u64(u64::from(steps));
    // In 16 bits the steps of the word are noise too.
    let noise = match A::FAMILY {
        Family::Fixed16 => noise.to_working() + hundredths::<A::Working>(1) / A::Working::from_i32(333),
        _ => noise.to_working(),
    };
    let share = hundredths::<A::Working>(match dip.method {
        Method::NearestPoints => 10,
        // Noise that is told is reckoned with below.
        Method::ManyPoints if !noise.is_zero() => 10,
        Method::ManyPoints | Method::Parabola | Method::Line => 50,
        Method::Measured => 100,
        Method::Flat => 200,
    });
    let by_noise = match slope(report, dip) {
        Some(slope) => {
            let shift = noise / slope;
            shift + shift * hundredths(STIFFNESS) * size(dip) / (slope * step)
        }
        None if noise.is_zero() => A::Working::ZERO,
        None => step,
    };
    step * share + by_noise
}

/// |dΓ/df| at a dip: by the edge of its band that is farther away, or by the Q of a resonance near it.
fn slope<A: Arithmetic, const N: usize>(report: &SweepReport<A, N>, dip: &Dip<A>) -> Option<A::Working> {
    let working = A::Working::from_u64;
    let band = report
        .bands()
        .iter()
        .find(|band| band.low <= dip.frequency && dip.frequency <= band.high);
    if let Some(band) = band {
        let below = dip.frequency.get().abs_diff(band.low.get());
        let above = band.high.get().abs_diff(dip.frequency.get());
        let far = match (band.low_open, band.high_open) {
            (true, false) => above,
            (false, true) => below,
            _ => above.max(below),
        };
        // |Γ| at the limit.
        let swr = report.swr_limit().to_working();
        let edge = (swr - A::Working::ONE) / (swr + A::Working::ONE);
        let rise = edge.square() - size(dip).square();
        if far > 0 && rise > A::Working::ZERO {
            return Some(rise.square_root() / working(far));
        }
    }
    // dΓ/dX is 2·Z0/(R + Z0)², and dX/df is 2·R·Q/f.
    let nearest = report
        .resonances()
        .iter()
        .min_by_key(|crossing| crossing.frequency.get().abs_diff(dip.frequency.get()))?;
    let (reference, resistance) = (
        report.reference().ohms().to_working(),
        nearest.resistance.to_working(),
    );
    let sum = reference + resistance;
    let four = A::Working::from_i32(4);
    let slope = four * (reference / sum) * (resistance / sum) * nearest.q.to_working()
        / working(nearest.frequency.get().max(1));
    (slope > A::Working::ZERO).then_some(slope)
}
