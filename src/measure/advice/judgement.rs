//! The decision: which step, from a report, the sweep as a whole, and what is built.

use super::next_step::{Action, AddedPart, Built, Expected, NextStep, Placement, Reason, Toward};
use super::remedy::{Left, Load, nearest};
use super::{Direction, Retune, TuningElement};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::measure::sweep::Echo;
use crate::measure::{Dip, SweepReport, SweepSurvey, Target};
use crate::quantity::swr::magnitude;
use crate::quantity::{Hertz, Reactor, Reflection, Swr};

/// A step that may be taken.
#[derive(Clone, Copy)]
struct Candidate<A: Arithmetic> {
    action: Action<A>,
    reason: Reason,
    left: Left<A::Working>,
}

/// What the decision rests on.
struct Judge<'a, A: Arithmetic, const N: usize> {
    report: &'a SweepReport<A, N>,
    survey: &'a SweepSurvey,
    built: &'a Built<A>,
    factors: [A::Working; 2],
    target: Hertz,
    /// Γ at the target, if the sweep reaches it.
    gamma: Option<Reflection<A>>,
    /// How far a |Γ| may be off, from noise and ripple.
    doubt: A::Working,
    /// By how much |Γ| must fall beside a dip, for it to be more than noise and ripple.
    fall: A::Working,
    echo: Echo,
}

impl<A: Arithmetic> NextStep<A> {
    /// Decides on the next step, after a sweep that was pushed to the analyser of the report and to the survey.
    ///
    /// Without a target, it is asked about the best point of the sweep.
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
        let Some(best) = report.best() else {
            return Ok(Self::without(Action::MeasureAgain, Reason::NoSweep));
        };
        let (target, gamma) = match report.target() {
            Target::Reading(reading) => (reading.frequency, Some(reading.reflection)),
            Target::NotCovered(target) => (target, None),
            Target::NotAsked => (best.frequency, Some(best.reflection)),
        };
        let echo = survey.echo();
        let (noise, ripple) = (
            steps::<A::Working>(survey.noise()),
            steps::<A::Working>(echo.size),
        );
        let judge = Judge {
            report,
            survey,
            built,
            factors,
            target,
            gamma,
            doubt: noise + ripple + steps(50),
            fall: steps::<A::Working>(500)
                .larger(noise * A::Working::from_i32(4))
                .larger(ripple * A::Working::from_i32(3)),
            echo,
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
}

/// A number of steps of 2⁻¹⁴.
fn steps<W: Real>(count: i32) -> W {
    W::from_i32(count) / W::from_i32(1 << 14)
}

fn part_of<W: Real>(power: u16) -> W {
    steps::<W>(i32::from(power)).square_root()
}

impl<A: Arithmetic, const N: usize> Judge<'_, A, N> {
    fn decide(&self) -> NextStep<A> {
        let limit = magnitude(self.report.swr_limit().to_working());
        let now = self.gamma.map(|gamma| Left {
            rho: gamma.power().square_root(),
            doubt: self.doubt,
        });
        if let Some(reason) = self.is_untrusted() {
            return NextStep::without(Action::MeasureAgain, reason);
        }
        if let (Some(now), Some(gamma)) = (now, self.gamma)
            && self.report.swr_limit() >= gamma.swr()
        {
            return expect(Action::Leave, Reason::Matched, now);
        }
        let moved = self.moved();
        let gain = |candidate: &Candidate<A>| match now {
            Some(now) => candidate.left.rho + self.doubt.larger(now.rho * steps(820)) < now.rho,
            None => true,
        };
        let moved = moved.filter(gain);
        // Behind a line that does not match, a dip is not the load's own.
        if moved.is_some() && self.has_other_line() {
            return NextStep::without(Action::TakeOutLine, Reason::Line);
        }
        if let Some(step) = moved
            && step.left.most() <= limit
        {
            return self.tell(step);
        }
        if !self.has_dip() {
            if let Some(reason) = self.has_no_dip() {
                if self.built.winding.is_some()
                    && let Some(step) = self.remedies(true).into_iter().flatten().filter(gain).next()
                {
                    return self.tell(step);
                }
                return NextStep::without(Action::NoDip, reason);
            }
        }
        if !self.has_dip()
            && let Some((toward, until)) = self.wider()
        {
            let reason = if self.gamma.is_none() {
                Reason::TargetNotSwept
            } else {
                Reason::DipOutside
            };
            return NextStep::without(Action::SweepWider { toward, until }, reason);
        }
        // In the order of the work that they are.
        let mut best: Option<(u8, Candidate<A>)> = None;
        let all = [moved]
            .into_iter()
            .chain(self.remedies(self.built.winding.is_some()));
        for candidate in all.flatten().filter(gain) {
            let left = candidate.left;
            let class = match () {
                () if left.most() <= limit => 0,
                () if left.rho <= limit => 1,
                () => 2,
            };
            let is_better = match best {
                None => true,
                Some((held, _)) if class < 2 => class < held,
                Some((held, other)) => held == 2 && left.most() < other.left.most(),
            };
            if is_better {
                best = Some((class, candidate));
            }
        }
        let Some((_, step)) = best else {
            return self.nothing(now);
        };
        if !matches!(step.action, Action::Move(_)) {
            if self.has_line() || self.has_other_line() {
                return NextStep::without(Action::TakeOutLine, Reason::Line);
            }
            if self.is_spoilt_here() {
                return NextStep::without(Action::MeasureAgain, Reason::Spoilt);
            }
        }
        self.tell(step)
    }

    /// The step that was chosen. Of an element half may not move: leads, leakage, strays. So a dip may come half the way only.
    fn tell(&self, step: Candidate<A>) -> NextStep<A> {
        let mut next = expect(step.action, step.reason, step.left);
        if let (Action::Move(retune), Some(expected)) = (step.action, &mut next.expected) {
            let half = (retune.dip.get() >> 1).saturating_add(self.target.get() >> 1);
            let there = part_of::<A::Working>(self.survey.power_at(Hertz::new(half)));
            expected.most = Swr::of(there.larger(step.left.most()));
        }
        next
    }

    /// Nothing gains.
    fn nothing(&self, now: Option<Left<A::Working>>) -> NextStep<A> {
        match now {
            None => NextStep::without(
                Action::SweepWider {
                    toward: if self.target < self.report.start() {
                        Toward::Lower
                    } else {
                        Toward::Higher
                    },
                    until: self.target,
                },
                Reason::TargetNotSwept,
            ),
            Some(_) if self.report.is_too_coarse() => {
                NextStep::without(Action::MeasureAgain, Reason::TooCoarse)
            }
            Some(_) if self.doubt > steps(1638) => NextStep::without(Action::MeasureAgain, Reason::Noise),
            Some(now) => match self.gamma {
                Some(gamma) if gamma.is_total() => NextStep::without(Action::NoDip, Reason::NoResistance),
                _ => expect(Action::Leave, Reason::NothingGains, now),
            },
        }
    }

    /// Why no reading can be trusted.
    fn is_untrusted(&self) -> Option<Reason> {
        let report = self.report;
        let spoilt = (report.spoilt().len() as u32).saturating_add(report.spoilt_left_out());
        if self.survey.turns_back() {
            Some(Reason::Uncorrected)
        } else if report.beyond_rim() > report.points() >> 3 {
            Some(Reason::BeyondRim)
        } else if spoilt > report.points() >> 3 {
            Some(Reason::Spoilt)
        } else {
            None
        }
    }

    /// A sample beside the target was left out.
    fn is_spoilt_here(&self) -> bool {
        let step = self.step();
        self.report
            .spoilt()
            .iter()
            .any(|spoilt| spoilt.get().abs_diff(self.target.get()) <= step.saturating_mul(2))
    }

    /// From a point to the next, about.
    fn step(&self) -> u64 {
        let span = self.report.stop().get().abs_diff(self.report.start().get());
        span.checked_div(u64::from(self.report.points().saturating_sub(1)))
            .unwrap_or(0)
    }

    /// Γ turns as a line makes it.
    fn has_line(&self) -> bool {
        !self.built.is_at_load && self.echo.turns >= 40 && self.echo.is_steady
    }

    /// Two reflections of about the same size, far apart: a cable that does not match, so that no dip is the load's own.
    fn has_other_line(&self) -> bool {
        !self.built.is_at_load && self.echo.size > 1300
    }

    /// The dip to move: the one that leaves the least.
    fn moved(&self) -> Option<Candidate<A>> {
        let mut best: Option<Candidate<A>> = None;
        let found = self.report.best().filter(|best| best.unresolved.is_none());
        for dip in self.report.dips().iter().chain(&found) {
            if let Some(step) = self.moving(dip)
                && best.is_none_or(|best| step.left.most() < best.left.most())
            {
                best = Some(step);
            }
        }
        best
    }

    /// Whether there is a dip inside of the sweep.
    fn has_dip(&self) -> bool {
        let found = self.report.best();
        self.report
            .dips()
            .iter()
            .chain(&found)
            .any(|dip| self.stands(dip))
    }

    /// Whether a dip is more than noise and ripple, and more than one point.
    fn stands(&self, dip: &Dip<A>) -> bool {
        let [below, above] = self.survey.shoulders(dip.frequency);
        let shoulder = below.min(above);
        let power = dip.reflection.power();
        // One point alone drops by its depth; 1.4 of it is more than one.
        let depth = steps::<A::Working>(i32::from(shoulder)) - power;
        let drop = self.survey.drop_below(shoulder, dip.frequency);
        !dip.at_edge
            && part_of::<A::Working>(shoulder) > power.square_root() + self.fall
            && A::Working::from_u64(u64::from(drop)) > depth * A::Working::from_i32(22_938)
    }

    /// What moving this dip leaves, if it can be moved.
    fn moving(&self, dip: &Dip<A>) -> Option<Candidate<A>> {
        if !self.stands(dip) {
            return None;
        }
        let magnitude = dip.reflection.power().square_root();
        let rho = match dip.unresolved {
            Some(limits) if limits.low <= self.target && self.target <= limits.high => return None,
            Some(limits) => limits.swr_at_most.magnitude().to_working(),
            None => magnitude,
        };
        let retune = Retune::new(self.built.element, dip.frequency, self.target)?;
        let factor: A::Working = retune.factor.to_working();
        let [least, most] = self.factors;
        if factor < least || factor > most {
            return None;
        }
        let reason = match retune.direction {
            Direction::Less => Reason::DipBelow,
            Direction::Keep => return None,
            Direction::More => Reason::DipAbove,
        };
        // The further it goes, the more its depth may change.
        let far = Real::absolute(factor - A::Working::ONE);
        Some(Candidate {
            action: Action::Move(retune),
            reason,
            left: Left {
                rho,
                doubt: self.doubt + far * steps(1638),
            },
        })
    }

    /// The lowest and the highest frequency that the element can bring a dip from.
    fn reach(&self) -> [Hertz; 2] {
        self.factors.map(|factor| {
            let ratio = match self.built.element {
                TuningElement::Inductance | TuningElement::Capacitance => factor.square_root(),
                TuningElement::Turns | TuningElement::Length => factor,
            };
            let hertz = A::Working::from_u64(self.target.get()) * ratio;
            Hertz::new(u64::try_from(hertz.to_i64()).unwrap_or(0))
        })
    }

    /// Where a dip outside of the sweep would be.
    fn wider(&self) -> Option<(Toward, Hertz)> {
        let [lowest, highest] = self.reach();
        let (start, stop) = (self.report.start(), self.report.stop());
        let lower = (lowest < start).then_some((Toward::Lower, lowest));
        let higher = (highest > stop).then_some((Toward::Higher, highest));
        let both = match (lower, higher) {
            (Some((_, until)), Some(_)) => Some((Toward::Both, until)),
            (one, other) => one.or(other),
        };
        let (trend, gamma) = (self.survey.trend(), self.gamma);
        let least = 330 + (self.survey.noise() >> 1);
        match gamma {
            _ if trend > least => higher,
            _ if trend < -least => lower,
            None => both,
            // Below its resonance a series circuit is capacitive.
            Some(gamma) if gamma.imaginary().to_working() < -self.doubt => higher,
            Some(gamma) if gamma.imaginary().to_working() > self.doubt => lower,
            Some(_) => both,
        }
    }

    /// Why there is no dip to move at all.
    fn has_no_dip(&self) -> Option<Reason> {
        let [lowest, highest] = self.survey.extremes();
        let [low, high] = [lowest, highest].map(part_of::<A::Working>);
        let noise = steps::<A::Working>(self.survey.noise() * 3);
        let is_flat = high - low < steps::<A::Working>(820).larger(noise);
        let is_line = self.echo.turns >= 16 && self.echo.is_steady;
        // What comes back turns evenly.
        let evenly = steps::<A::Working>(self.echo.strength) > high * steps(11_500);
        let [re, im] = self.survey.sum();
        if low > steps(14_000) && is_flat {
            return match () {
                () if is_line => Some(Reason::CableEnd),
                // Within 11° of the point.
                () if im.abs() < re / 5 => Some(Reason::Open),
                () if im.abs() < -re / 5 => Some(Reason::Short),
                // A reactance: perhaps of a resonance that this sweep does not reach.
                () if self.wider().is_some() => None,
                () => Some(Reason::NoResistance),
            };
        }
        if is_line && evenly && low > steps(5_000) {
            return Some(Reason::CableEnd);
        }
        let is_reactive = im.abs() > re.abs() >> 1 && !is_line;
        (is_flat && !(is_reactive && self.wider().is_some())).then_some(Reason::FlatLoad)
    }

    /// Turns and parts at the target.
    fn remedies(&self, has_winding: bool) -> [Option<Candidate<A>>; 5] {
        let Some(gamma) = self.gamma else {
            return [None; 5];
        };
        let (re, im) = gamma.words();
        let Some(load) = Load::new(gamma.complex(), A::passive(re, im), self.doubt) else {
            return [None; 5];
        };
        let one = A::Working::ONE;
        // Of the winding that is there.
        let own = self.built.winding.map_or(one, |turns| turns.ratio_squared::<A>());
        let most = self.built.most_turns;
        let ratio = |wanted: A::Working| {
            let turns = nearest(wanted * own, most, self.built.winding)?;
            Some((turns, turns.ratio_squared::<A>() / own))
        };
        let alone = ratio(load.wanted()).map(|(turns, ratio)| Candidate {
            action: Action::Turns(turns),
            reason: Reason::Ratio,
            left: load.with_turns(ratio),
        });
        let part = |across: bool| {
            Some(Candidate {
                action: Action::Part(self.added(load, one, across)?),
                reason: Reason::Reactance,
                left: load.with_part(one, across),
            })
        };
        let both = |across: bool| {
            let (turns, ratio) = ratio(load.wanted_with_part(across))?;
            Some(Candidate {
                action: Action::TurnsAndPart(turns, self.added(load, ratio, across)?),
                reason: Reason::RatioAndReactance,
                left: load.with_part(ratio, across),
            })
        };
        let parts = [part(false), part(true)];
        let parts = smaller_first(parts);
        let boths = smaller_first([both(false), both(true)]);
        let [part, other] = parts;
        let [both, _] = boths;
        if has_winding {
            [alone, part, other, both, None]
        } else {
            [part, other, alone, both, None]
        }
    }

    fn added(&self, load: Load<A::Working>, ratio: A::Working, across: bool) -> Option<AddedPart<A>> {
        let reactance = load.part(ratio, across) * self.report.reference().working();
        Some(AddedPart {
            place: if across {
                Placement::Across
            } else {
                Placement::Series
            },
            part: Reactor::with_working_reactance(reactance, self.target)?,
        })
    }
}

/// The one that leaves less comes first.
fn smaller_first<A: Arithmetic>(both: [Option<Candidate<A>>; 2]) -> [Option<Candidate<A>>; 2] {
    let [one, other] = both;
    match (one, other) {
        (Some(first), Some(second)) if second.left.most() < first.left.most() => [other, one],
        _ => both,
    }
}

/// The step, and what it leaves.
fn expect<A: Arithmetic>(action: Action<A>, reason: Reason, left: Left<A::Working>) -> NextStep<A> {
    let none = A::Working::ZERO;
    NextStep {
        action,
        reason,
        expected: Some(Expected {
            swr: Swr::of(left.rho),
            least: Swr::of((left.rho - left.doubt).larger(none)),
            most: Swr::of(left.most()),
        }),
    }
}
