//! Turns and parts for the load at the target.

use super::evidence::Evidence;
use super::next_step::{AddedPart, Built, Placement};
use super::remaining::{Left, Load, nearest};
use crate::arithmetic::{Arithmetic, Real};
use crate::design::transformer::Turns;
use crate::quantity::{Hertz, Reactor};

/// What may be done, in few bytes: the values of it are worked out for the one that is chosen.
#[derive(Clone, Copy)]
pub(super) enum Choice {
    /// The dip at this frequency.
    Move(Hertz),
    Turns(Turns),
    Part(Placement),
    TurnsAndPart(Turns, Placement),
}

/// A step that may be taken.
#[derive(Clone, Copy)]
pub(super) struct Candidate {
    pub(super) choice: Choice,
    pub(super) left: Left,
}

/// The load at the target, and the winding that is there.
pub(super) struct Remedies<'a, A: Arithmetic> {
    load: Load<A::Working>,
    built: &'a Built<A>,
    own: A::Working,
}

impl<'a, A: Arithmetic> Remedies<'a, A> {
    /// `None` for a load that hardly takes power.
    #[inline(never)]
    pub(super) fn new<const N: usize>(evidence: &Evidence<'_, A, N>, built: &'a Built<A>) -> Option<Self> {
        let gamma = evidence.gamma.filter(|_| evidence.takes_power())?;
        let (re, im) = gamma.words();
        Some(Self {
            load: Load::new(gamma.complex(), A::passive(re, im), evidence.doubt)?,
            built,
            own: built
                .winding
                .map_or(A::Working::ONE, |turns| turns.ratio_squared::<A>()),
        })
    }

    /// Hands on turns and parts in the order of the work that they are: a part, but other turns of a winding that is there come
    /// before it, and a further transformer after it.
    #[inline(never)]
    pub(super) fn each(&self, take: &mut dyn FnMut(Candidate)) {
        let has_winding = self.built.winding.is_some();
        for is_first in [true, false] {
            if has_winding == is_first
                && let Some((turns, ratio)) = self.turns(self.load.wanted())
            {
                take(Candidate {
                    choice: Choice::Turns(turns),
                    left: self.load.with_turns(ratio),
                });
            }
            if is_first {
                self.better(
                    |place| {
                        Some(Candidate {
                            choice: Choice::Part(place),
                            left: self.load.with_part(A::Working::ONE, place),
                        })
                    },
                    take,
                );
            }
        }
        self.better(
            |place| {
                let (turns, ratio) = self.turns(self.load.wanted_with_part(place))?;
                Some(Candidate {
                    choice: Choice::TurnsAndPart(turns, place),
                    left: self.load.with_part(ratio, place),
                })
            },
            take,
        );
    }

    /// Of a part in series and one across the one that leaves less.
    fn better(&self, of: impl Fn(Placement) -> Option<Candidate>, take: &mut dyn FnMut(Candidate)) {
        let (series, across) = (of(Placement::Series), of(Placement::Across));
        let is_across = match (&series, &across) {
            (Some(series), Some(across)) => across.left.most() < series.left.most(),
            (series, _) => series.is_none(),
        };
        if let Some(better) = if is_across { across } else { series } {
            take(better);
        }
    }

    /// The turns nearest to an impedance ratio, and the ratio that they make of what is there.
    #[inline(never)]
    fn turns(&self, wanted: A::Working) -> Option<(Turns, A::Working)> {
        let turns = nearest(wanted * self.own, self.built.most_turns, self.built.winding)?;
        Some((turns, turns.ratio_squared::<A>() / self.own))
    }

    /// The part of a choice, on the source's side of these turns.
    #[inline(never)]
    pub(super) fn part<const N: usize>(
        &self,
        evidence: &Evidence<'_, A, N>,
        turns: Option<Turns>,
        place: Placement,
    ) -> Option<AddedPart<A>> {
        let ratio = turns.map_or(A::Working::ONE, |turns| turns.ratio_squared::<A>() / self.own);
        let reactance = self.load.part(ratio, place) * evidence.report.reference().working();
        Some(AddedPart {
            place,
            part: Reactor::with_working_reactance(reactance, evidence.target)?,
        })
    }
}
