//! Turns and parts for the load at the target.

use super::evidence::Evidence;
use super::next_step::{Action, AddedPart, Built, Placement, Reason};
use super::remaining::{Left, Load, nearest};
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::Reactor;

/// A step that may be taken.
#[derive(Clone, Copy)]
pub(super) struct Candidate<A: Arithmetic> {
    pub(super) action: Action<A>,
    pub(super) reason: Reason,
    pub(super) left: Left<A::Working>,
}

/// Turns and parts at the target, in the order of the work that they are: a part, but other turns of a winding that is there come
/// before it, and a further transformer after it.
#[inline(never)]
pub(super) fn remedies<A: Arithmetic, const N: usize>(
    evidence: &Evidence<'_, A, N>,
    built: &Built<A>,
) -> [Option<Candidate<A>>; 4] {
    let Some(gamma) = evidence.gamma.filter(|gamma| evidence.takes_power(*gamma)) else {
        return [None; 4];
    };
    let (re, im) = gamma.words();
    let Some(load) = Load::new(gamma.complex(), A::passive(re, im), evidence.doubt) else {
        return [None; 4];
    };
    let one = A::Working::ONE;
    // Of the winding that is there.
    let own = built.winding.map_or(one, |turns| turns.ratio_squared::<A>());
    let most = built.most_turns;
    let ratio = |wanted: A::Working| {
        let turns = nearest(wanted * own, most, built.winding)?;
        Some((turns, turns.ratio_squared::<A>() / own))
    };
    let alone = ratio(load.wanted()).map(|(turns, ratio)| Candidate {
        action: Action::Turns(turns),
        reason: Reason::Ratio,
        left: load.with_turns(ratio),
    });
    let part = |across: bool| {
        Some(Candidate {
            action: Action::Part(added(evidence, load, one, across)?),
            reason: Reason::Reactance,
            left: load.with_part(one, across),
        })
    };
    let both = |across: bool| {
        let (turns, ratio) = ratio(load.wanted_with_part(across))?;
        Some(Candidate {
            action: Action::TurnsAndPart(turns, added(evidence, load, ratio, across)?),
            reason: Reason::RatioAndReactance,
            left: load.with_part(ratio, across),
        })
    };
    let parts = [part(false), part(true)];
    let parts = smaller_first(parts);
    let boths = smaller_first([both(false), both(true)]);
    let [part, other] = parts;
    let [both, _] = boths;
    if built.winding.is_some() {
        [alone, part, other, both]
    } else {
        [part, other, alone, both]
    }
}

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
fn smaller_first<A: Arithmetic>(both: [Option<Candidate<A>>; 2]) -> [Option<Candidate<A>>; 2] {
    let [one, other] = both;
    match (one, other) {
        (Some(first), Some(second)) if second.left.most() < first.left.most() => [other, one],
        _ => both,
    }
}
