//! Turns and parts for the load at the target.

use super::evidence::Evidence;
use super::next_step::{Action, AddedPart, Built, Placement, Reason};
use super::remaining::{Left, Load, nearest};
use crate::arithmetic::{Arithmetic, Real};
use crate::design::transformer::Turns;
use crate::quantity::Reactor;

/// A step that may be taken.
#[derive(Clone, Copy)]
pub(super) struct Candidate<A: Arithmetic> {
    pub(super) action: Action<A>,
    pub(super) reason: Reason,
    pub(super) left: Left,
}

/// Hands on turns and parts at the target, in the order of the work that they are: a part, but other turns of a winding that is
/// there come before it, and a further transformer after it. One at a time, so that no list of them takes stack.
#[inline(never)]
pub(super) fn each_remedy<A: Arithmetic, const N: usize>(
    evidence: &Evidence<'_, A, N>,
    built: &Built<A>,
    take: &mut dyn FnMut(Candidate<A>),
) {
    let Some(gamma) = evidence.gamma.filter(|_| evidence.takes_power()) else {
        return;
    };
    let (re, im) = gamma.words();
    let Some(load) = Load::new(gamma.complex(), A::passive(re, im), evidence.doubt) else {
        return;
    };
    let has_winding = built.winding.is_some();
    if has_winding && let Some(turns) = turns_alone(load, built) {
        take(turns);
    }
    let part = |across| part_alone(evidence, load, across);
    let [first, second] = smaller_first(part(false), part(true));
    for part in [first, second].into_iter().flatten() {
        take(part);
    }
    if !has_winding && let Some(turns) = turns_alone(load, built) {
        take(turns);
    }
    let both = |across| turns_and_part(evidence, load, built, across);
    if let [Some(both), _] = smaller_first(both(false), both(true)) {
        take(both);
    }
}

/// The turns nearest to an impedance ratio, and the ratio that they make of what is there.
#[inline(never)]
fn ratio<A: Arithmetic>(wanted: A::Working, built: &Built<A>) -> Option<(Turns, A::Working)> {
    // Of the winding that is there.
    let own = built
        .winding
        .map_or(A::Working::ONE, |turns| turns.ratio_squared::<A>());
    let turns = nearest(wanted * own, built.most_turns, built.winding)?;
    Some((turns, turns.ratio_squared::<A>() / own))
}

#[inline(never)]
fn turns_alone<A: Arithmetic>(load: Load<A::Working>, built: &Built<A>) -> Option<Candidate<A>> {
    let (turns, ratio) = ratio(load.wanted(), built)?;
    Some(Candidate {
        action: Action::Turns(turns),
        reason: Reason::Ratio,
        left: load.with_turns(ratio),
    })
}

#[inline(never)]
fn part_alone<A: Arithmetic, const N: usize>(
    evidence: &Evidence<'_, A, N>,
    load: Load<A::Working>,
    across: bool,
) -> Option<Candidate<A>> {
    let one = A::Working::ONE;
    Some(Candidate {
        action: Action::Part(added(evidence, load, one, across)?),
        reason: Reason::Reactance,
        left: load.with_part(one, across),
    })
}

#[inline(never)]
fn turns_and_part<A: Arithmetic, const N: usize>(
    evidence: &Evidence<'_, A, N>,
    load: Load<A::Working>,
    built: &Built<A>,
    across: bool,
) -> Option<Candidate<A>> {
    let (turns, ratio) = ratio(load.wanted_with_part(across), built)?;
    Some(Candidate {
        action: Action::TurnsAndPart(turns, added(evidence, load, ratio, across)?),
        reason: Reason::RatioAndReactance,
        left: load.with_part(ratio, across),
    })
}

#[inline(never)]
fn added<A: Arithmetic, const N: usize>(
    evidence: &Evidence<'_, A, N>,
    load: Load<A::Working>,
    ratio: A::Working,
    across: bool,
) -> Option<AddedPart<A>> {
    let reactance = load.part(ratio, across) * evidence.report.reference().working();
    Some(AddedPart {
        place: if across {
            Placement::Across
        } else {
            Placement::Series
        },
        part: Reactor::with_working_reactance(reactance, evidence.target)?,
    })
}

/// The one that leaves less comes first.
fn smaller_first<A: Arithmetic>(
    one: Option<Candidate<A>>,
    other: Option<Candidate<A>>,
) -> [Option<Candidate<A>>; 2] {
    match (&one, &other) {
        (Some(first), Some(second)) if second.left.most() < first.left.most() => [other, one],
        _ => [one, other],
    }
}
