//! The decision: which step, from a report, the sweep as a whole, and what is built.

use super::evidence::{Evidence, HARDLY_ANY, counted, part_of, root_of, steps, thousandths};
use super::moving::Movable;
use super::next_step::{Action, Built, Expected, NextStep, Reason, Toward};
use super::remaining::Left;
use super::remedy::{Candidate, Choice, Remedies};
use super::{Direction, Retune};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError};
use crate::measure::{SweepReport, SweepSurvey};
use crate::quantity::swr::magnitude;
use crate::quantity::{Hertz, Swr};

/// A step must leave |Γ| smaller by this share of it, and by more than the doubt.
const LEAST_GAIN: i32 = thousandths(50);
/// |Γ| that changes by less over the sweep is flat.
const FLAT: i32 = thousandths(50);
/// |Γ| of an open or a short: an SWR of 90.
const WHOLE: i32 = thousandths(977);

impl<A: Arithmetic> NextStep<A> {
    /// Decides on the next step, after a sweep that was pushed to the analyser of the report and to the survey.
    ///
    /// Without a target it is about the best point of the sweep. What is asked, in this order:
    ///
    /// 1. Can the readings be trusted? Else [`MeasureAgain`](Action::MeasureAgain).
    /// 2. Is the SWR at the target within the limit? Then [`Leave`](Action::Leave).
    /// 3. Does a dip stand out of noise and ripple, on more than one point, in reach of the element, and would it match at the
    ///    target? Then [`Move`](Action::Move): of several the one that leaves the least; none where two ask for opposite
    ///    directions and leave about the same, or where a cable shows that does not match.
    /// 4. Is the load an open, a short, a cable without a load, or the same at all frequencies? Then
    ///    [`NoDip`](Action::NoDip); other turns, where a winding is there.
    /// 5. Is there no dip at all, and can the element bring one from outside of the sweep? Then
    ///    [`SweepWider`](Action::SweepWider): where |Γ| falls, or as the sign of X says.
    /// 6. Else by merit: of the move, a part, other turns, turns and a part, the first that stays within the limit with its
    ///    doubt; else the first that is likely to; else the one that leaves the least. Turns and parts only where the
    ///    readings are those of the load itself; else [`TakeOutLine`](Action::TakeOutLine).
    ///
    /// A step is told only where it leaves |Γ| distinctly smaller. Measured over 23,800 closed loops with noise, ripple, spoilt
    /// samples and forgotten cables (`tests/judgement`): 98 % of the faults are mended within four steps.
    ///
    /// # Complexity
    /// One transform over 64 places, and some sixty divisions.
    ///
    /// # Errors
    /// [`QuantityError`] for a least factor that is not above 0 and at most 1, or a most factor below 1.
    #[inline(never)]
    pub fn new<const N: usize>(
        report: &SweepReport<A, N>,
        survey: &SweepSurvey,
        built: &Built<A>,
    ) -> Result<Self, QuantityError> {
        let factors = built.factors()?;
        let Some(evidence) = Evidence::new(report, survey, built.is_at_load) else {
            return Ok(Self::without(Action::MeasureAgain, Reason::NoSweep));
        };
        let judge = Judge {
            evidence: &evidence,
            movable: Movable::new(&evidence, built.element, factors),
            built,
            limit: counted(magnitude(report.swr_limit().to_working())),
        };
        Ok(judge.decide())
    }

    fn without(action: Action<A>, reason: Reason) -> Self {
        Self {
            action,
            reason,
            expected: None,
        }
    }

    /// With what it leaves, of which the SWR is `exact` where that is known better.
    #[inline(never)]
    fn expecting(action: Action<A>, reason: Reason, left: Left, exact: Option<Swr<A>>) -> Self {
        Self {
            action,
            reason,
            expected: Some(Expected {
                swr: exact.unwrap_or_else(|| swr(left.rho)),
                least: swr(left.rho.saturating_sub(left.doubt).max(0)),
                most: swr(left.most()),
            }),
        }
    }
}

/// The SWR of a |Γ| in steps of 2⁻¹⁴.
#[inline(never)]
fn swr<A: Arithmetic>(rho: i32) -> Swr<A> {
    Swr::of(steps(rho))
}

/// What the decision rests on.
struct Judge<'a, A: Arithmetic, const N: usize> {
    evidence: &'a Evidence<'a, A, N>,
    movable: Movable<'a, A, N>,
    built: &'a Built<A>,
    /// |Γ| of the SWR limit, in steps of 2⁻¹⁴.
    limit: i32,
}

impl<A: Arithmetic, const N: usize> Judge<'_, A, N> {
    #[inline(never)]
    fn decide(&self) -> NextStep<A> {
        let evidence = self.evidence;
        if let Some(reason) = evidence.is_untrusted() {
            return NextStep::without(Action::MeasureAgain, reason);
        }
        if let Some(gamma) = evidence.gamma
            && gamma.swr() <= evidence.report.swr_limit()
        {
            return self.leave(Reason::Matched);
        }
        let moved = self.movable.moved().filter(|step| self.gains(step));
        if let Some(step) = moved {
            // Behind a cable that does not match, a dip is not the load's own.
            if evidence.has_mismatched_cable() {
                return NextStep::without(Action::TakeOutLine, Reason::Line);
            }
            if step.left.most() <= self.limit {
                return self.tell(step);
            }
        }
        if evidence.is_too_noisy() {
            return NextStep::without(Action::MeasureAgain, Reason::Noise);
        }
        if let Some(reason) = self.nothing_to_move() {
            let mut found = None;
            if self.built.winding.is_some()
                && let Some(remedies) = Remedies::new(evidence, self.built)
            {
                remedies.each(&mut |step| {
                    if found.is_none() && self.gains(&step) {
                        found = Some(step);
                    }
                });
            }
            return match found {
                Some(step) => self.tell(step),
                None => NextStep::without(Action::NoDip, reason),
            };
        }
        if !evidence.has_dip()
            && let Some(wider) = self.wider()
        {
            return wider;
        }
        let Some(step) = self.best_of(moved) else {
            return self.nothing_gains();
        };
        if !matches!(step.choice, Choice::Move(_)) {
            if evidence.has_line() || evidence.has_mismatched_cable() {
                return NextStep::without(Action::TakeOutLine, Reason::Line);
            }
            if evidence.is_spoilt_here() {
                return NextStep::without(Action::MeasureAgain, Reason::Spoilt);
            }
            if evidence.is_too_coarse() {
                return NextStep::without(Action::MeasureAgain, Reason::TooCoarse);
            }
        }
        self.tell(step)
    }

    /// Whether a step leaves distinctly less.
    #[inline(never)]
    fn gains(&self, step: &Candidate) -> bool {
        let now = self.evidence.rho;
        let least = self.evidence.doubt.max(part_of(now, LEAST_GAIN));
        self.evidence.gamma.is_none() || step.left.rho.saturating_add(least) < now
    }

    fn leave(&self, reason: Reason) -> NextStep<A> {
        let now = Left {
            rho: self.evidence.rho,
            doubt: self.evidence.doubt,
        };
        let exact = self.evidence.gamma.map(|gamma| gamma.swr());
        NextStep::expecting(Action::Leave, reason, now, exact)
    }

    /// Of the move and what can be done at the target, in the order of the work that they are: the first that is sure to match,
    /// else the first that is likely to, else the one that leaves the least.
    #[inline(never)]
    fn best_of(&self, moved: Option<Candidate>) -> Option<Candidate> {
        let mut best: Option<(u8, Candidate)> = None;
        let mut take = |step: Candidate| {
            if !self.gains(&step) {
                return;
            }
            let rank = match step.left {
                left if left.most() <= self.limit => 0,
                left if left.rho <= self.limit => 1,
                _ => 2,
            };
            let is_better = best.as_ref().is_none_or(|(held, other)| match rank {
                2 => *held == 2 && step.left.most() < other.left.most(),
                rank => rank < *held,
            });
            if is_better {
                best = Some((rank, step));
            }
        };
        if let Some(step) = moved {
            take(step);
        }
        if let Some(remedies) = Remedies::new(self.evidence, self.built) {
            remedies.each(&mut take);
        }
        best.map(|(_, step)| step)
    }

    /// The step that was chosen. Of an element half may not move, as leads, leakage and strays don't: then the dip comes half the
    /// way only, and what is half the way now will be at the target.
    #[inline(never)]
    fn tell(&self, step: Candidate) -> NextStep<A> {
        let (evidence, left) = (self.evidence, step.left);
        let dip = match step.choice {
            Choice::Move(dip) => dip,
            choice => {
                return match self.remedy(choice) {
                    Some((action, reason)) => NextStep::expecting(action, reason, left, None),
                    None => self.leave(Reason::NothingGains),
                };
            }
        };
        let Some(retune) = Retune::new(self.built.element, dip, evidence.target) else {
            return self.leave(Reason::NothingGains);
        };
        let reason = match retune.direction {
            Direction::More => Reason::DipAbove,
            _ => Reason::DipBelow,
        };
        let exact = evidence
            .dips()
            .find(|found| found.frequency == dip && found.unresolved.is_none());
        let exact = exact.map(|dip| dip.swr());
        let mut next = NextStep::expecting(Action::Move(retune), reason, left, exact);
        if let Some(expected) = &mut next.expected {
            let half = (dip.get() >> 1).saturating_add(evidence.target.get() >> 1);
            let there = root_of(evidence.survey.power_at(Hertz::new(half)));
            expected.most = swr(there.max(left.most()));
        }
        next
    }

    /// `None` where the part does not exist.
    fn remedy(&self, choice: Choice) -> Option<(Action<A>, Reason)> {
        let remedies = Remedies::new(self.evidence, self.built)?;
        let part = |turns, place| remedies.part(self.evidence, turns, place);
        Some(match choice {
            Choice::Move(_) => return None,
            Choice::Turns(turns) => (Action::Turns(turns), Reason::Ratio),
            Choice::Part(place) => (Action::Part(part(None, place)?), Reason::Reactance),
            Choice::TurnsAndPart(turns, place) => (
                Action::TurnsAndPart(turns, part(Some(turns), place)?),
                Reason::RatioAndReactance,
            ),
        })
    }

    fn wider(&self) -> Option<NextStep<A>> {
        let (toward, until) = self.movable.wider()?;
        let reason = match self.evidence.gamma {
            None => Reason::TargetNotSwept,
            Some(_) => Reason::DipOutside,
        };
        Some(NextStep::without(Action::SweepWider { toward, until }, reason))
    }

    /// No step gains.
    #[inline(never)]
    fn nothing_gains(&self) -> NextStep<A> {
        let evidence = self.evidence;
        if evidence.gamma.is_none() {
            let toward = match evidence.target < evidence.report.start() {
                true => Toward::Lower,
                false => Toward::Higher,
            };
            let until = evidence.target;
            return NextStep::without(Action::SweepWider { toward, until }, Reason::TargetNotSwept);
        }
        if evidence.is_too_coarse() {
            NextStep::without(Action::MeasureAgain, Reason::TooCoarse)
        } else if evidence.takes_power() {
            self.leave(Reason::NothingGains)
        } else {
            let none = NextStep::without(Action::NoDip, Reason::NoResistance);
            self.wider().unwrap_or(none)
        }
    }

    /// Why there is no dip to move at all.
    #[inline(never)]
    fn nothing_to_move(&self) -> Option<Reason> {
        let evidence = self.evidence;
        if evidence.is_line_alone() {
            return Some(Reason::CableEnd);
        }
        let is_constant = evidence.is_constant();
        if evidence.has_dip() && !is_constant {
            return None;
        }
        let survey = evidence.survey;
        let [low, high] = survey.extremes().map(root_of);
        let flat = FLAT.max(evidence.noise.saturating_mul(3));
        if !is_constant && high.saturating_sub(low) >= flat {
            return None;
        }
        let [re, im] = survey.sum();
        let (is_line, may_be_wider) = (evidence.has_turns(), self.movable.wider().is_some());
        if low > HARDLY_ANY {
            // An open and a short are whole, and within 4° of their point. Another reactance, or one with loss, may be that of a
            // resonance which this sweep does not reach.
            let is_whole = low.saturating_add(evidence.doubt) > WHOLE;
            let at_point = im.saturating_abs() < re.saturating_abs() >> 4;
            return match (is_line, is_whole, at_point) {
                (true, ..) => Some(Reason::CableEnd),
                (_, false, _) | (.., false) if may_be_wider => None,
                (.., true) if re > 0 => Some(Reason::Open),
                (.., true) => Some(Reason::Short),
                _ => Some(Reason::NoResistance),
            };
        }
        let is_reactive = im.saturating_abs() > re.saturating_abs() >> 1 && !is_line;
        (!(is_reactive && may_be_wider)).then_some(Reason::FlatLoad)
    }
}
