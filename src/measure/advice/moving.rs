//! Which dip to move, and where to look for one that the sweep does not show.

use super::evidence::{Evidence, counted, part_of, rho, thousandths};
use super::next_step::Toward;
use super::remaining::Left;
use super::remedy::{Candidate, Choice};
use super::{Retune, TuningElement};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::measure::Dip;
use crate::quantity::Hertz;

/// A dip above this |Γ|, an SWR of 6, is hardly one.
const DEEPEST_TO_MOVE: i32 = thousandths(714);
/// A dip that leaves more than this above the best one is no rival of it.
const RIVAL: i32 = thousandths(150);
/// By how much the depth of a dip may change while its frequency doubles.
const CHANGE: i32 = thousandths(100);
/// |Γ|² that changes by less over the sweep shows no way.
const TREND: i32 = thousandths(20);

/// The tuning element, and what it can do to a sweep.
pub(super) struct Movable<'a, A: Arithmetic, const N: usize> {
    evidence: &'a Evidence<'a, A, N>,
    element: TuningElement,
    factors: [A::Working; 2],
}

impl<'a, A: Arithmetic, const N: usize> Movable<'a, A, N> {
    pub(super) fn new(
        evidence: &'a Evidence<'a, A, N>,
        element: TuningElement,
        factors: [A::Working; 2],
    ) -> Self {
        Self {
            evidence,
            element,
            factors,
        }
    }

    /// The dip to move: the one that leaves the least.
    #[inline(never)]
    pub(super) fn moved(&self) -> Option<Candidate> {
        let all = || self.evidence.dips().filter_map(|dip| self.moving(&dip));
        let mut best: Option<Candidate> = None;
        for step in all() {
            if best.is_none_or(|best| step.left.most() < best.left.most()) {
                best = Some(step);
            }
        }
        // Where another dip asks for the other direction and leaves hardly more, nobody knows which of them the element moves.
        best.filter(|best| !all().any(|other| self.is_against(best, &other)))
    }

    fn is_against(&self, best: &Candidate, other: &Candidate) -> bool {
        let (Choice::Move(best_dip), Choice::Move(other_dip)) = (best.choice, other.choice) else {
            return false;
        };
        let target = self.evidence.target;
        let away = |dip: Hertz| dip.get().abs_diff(target.get());
        (best_dip < target) != (other_dip < target)
            && other.left.rho < best.left.rho.saturating_add(RIVAL)
            && away(other_dip) < away(best_dip).saturating_mul(5)
    }

    /// What moving a dip that stands leaves, if it can be moved.
    #[inline(never)]
    fn moving(&self, dip: &Dip<A>) -> Option<Candidate> {
        let target = self.evidence.target;
        let rho = match dip.unresolved {
            Some(limits) if limits.low <= target && target <= limits.high => return None,
            Some(limits) => A::coarse(limits.swr_at_most.magnitude().get()),
            None => rho(dip.reflection),
        };
        if rho > DEEPEST_TO_MOVE {
            return None;
        }
        let retune = Retune::<A>::new(self.element, dip.frequency, target)?;
        let factor: A::Working = retune.factor.to_working();
        let [least, most] = self.factors;
        if factor < least || factor > most || dip.frequency == target {
            return None;
        }
        // The further it goes, the more its depth may change.
        let far = counted(factor).wrapping_sub(1 << 14).saturating_abs();
        Some(Candidate {
            choice: Choice::Move(dip.frequency),
            left: Left {
                rho,
                doubt: self.evidence.doubt.saturating_add(part_of(far, CHANGE)),
            },
        })
    }

    /// The lowest and the highest frequency that the element can bring a dip from.
    fn reach(&self) -> [Hertz; 2] {
        self.factors.map(|factor| {
            let ratio = match self.element {
                TuningElement::Inductance | TuningElement::Capacitance => factor.square_root(),
                TuningElement::Turns | TuningElement::Length => factor,
            };
            let hertz = A::Working::from_u64(self.evidence.target.get()) * ratio;
            Hertz::new(u64::try_from(hertz.to_i64()).unwrap_or(0))
        })
    }

    /// Where a dip outside of the sweep would be.
    #[inline(never)]
    pub(super) fn wider(&self) -> Option<(Toward, Hertz)> {
        let [lowest, highest] = self.reach();
        let (start, stop) = (self.evidence.report.start(), self.evidence.report.stop());
        let lower = (lowest < start).then_some((Toward::Lower, lowest));
        let higher = (highest > stop).then_some((Toward::Higher, highest));
        let both = match (lower, higher) {
            (Some((_, until)), Some(_)) => Some((Toward::Both, until)),
            (one, other) => one.or(other),
        };
        let (trend, least) = (
            self.evidence.survey.trend(),
            TREND.saturating_add(self.evidence.noise >> 1),
        );
        // Below its resonance a series circuit is capacitive.
        let height = self.evidence.gamma.map_or(0, |gamma| gamma.coarse()[1]);
        match self.evidence.doubt {
            _ if trend > least => higher,
            _ if trend < least.wrapping_neg() => lower,
            doubt if height < doubt.wrapping_neg() => higher,
            doubt if height > doubt => lower,
            _ => both,
        }
    }
}
