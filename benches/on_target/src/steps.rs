//! The survey of a sweep, and the next step after it.

use core::marker::PhantomData;

use ohmwright::design::transformer::Turns;
use ohmwright::measure::{self, Action, AddedPart, Built, SweepReport, TuningElement};
use ohmwright::quantity::{Hertz, Ohms, Reactor, Reference, Reflection};

use crate::kernels::{Analyser, Answer, Family, Kernel, Library, Path, Report, Words, analyser};

/// What a call of [`NextStep`] is to do.
pub mod task {
    /// Take a point.
    pub const PUSH: u32 = 0;
    /// Begin a sweep with it.
    pub const BEGIN: u32 = 1;
    /// Keep the report of the sweep; the point is none.
    pub const KEEP: u32 = 2;
    /// Decide from the report that was kept, with the trimmer as what can be moved. This is what is measured.
    pub const DECIDE: u32 = 3;
    /// The same, behind a winding of 5 : 1.
    pub const DECIDE_WITH_WINDING: u32 = 4;
}

/// A point of a sweep, or what to do with those before it.
#[repr(C)]
pub struct StepInput<A: Family> {
    pub frequency: Hertz,
    pub task: u32,
    pub gamma: Reflection<A>,
}

/// One point pushed to the survey.
pub struct SweepSurvey<P>(PhantomData<P>);

impl<A: Family> Kernel for SweepSurvey<Library<A>> {
    type Ohms = Ohms<A>;
    type Input = StepInput<A>;
    type Context = measure::SweepSurvey;
    type Output = Told<A>;
    type Last = ();
    fn context(_: Ohms<A>) -> measure::SweepSurvey {
        measure::SweepSurvey::new()
    }
    #[inline(always)]
    fn run(input: &StepInput<A>, survey: &mut measure::SweepSurvey) -> Told<A> {
        Told::Taken(survey.push(input.frequency, input.gamma).is_ok())
    }
    fn end(_: &mut measure::SweepSurvey) {}
}

/// A sweep under way, and the report of it.
pub struct Deciding<A: Family> {
    analyser: Analyser<A>,
    survey: measure::SweepSurvey,
    kept: Option<SweepReport<A, 4>>,
}

/// The next step after a sweep.
pub struct NextStep<P>(PhantomData<P>);

impl<A: Family> Kernel for NextStep<Library<A>> {
    type Ohms = Ohms<A>;
    type Input = StepInput<A>;
    type Context = Deciding<A>;
    type Output = Told<A>;
    /// The report stands in the image of `sweep_report` as well, and is told there: what this one has more is the step.
    type Last = Report<A>;
    const ENDS: bool = true;
    fn context(ohms: Ohms<A>) -> Deciding<A> {
        let reference: Reference<A> = Library::<A>::reference(ohms);
        Deciding {
            analyser: analyser(reference),
            survey: measure::SweepSurvey::new(),
            kept: None,
        }
    }
    #[inline(always)]
    fn run(input: &StepInput<A>, sweep: &mut Deciding<A>) -> Told<A> {
        let winding = match input.task {
            task::KEEP => {
                sweep.kept = Some(sweep.analyser.report());
                return Told::Taken(true);
            }
            task::DECIDE => None,
            task::DECIDE_WITH_WINDING => Turns::new(5, 1).ok(),
            task => {
                if task == task::BEGIN {
                    sweep.analyser.restart();
                    sweep.survey.restart();
                }
                let taken = sweep.analyser.push(input.frequency, input.gamma).is_ok();
                return Told::Taken(taken & sweep.survey.push(input.frequency, input.gamma).is_ok());
            }
        };
        let built = Built::new(TuningElement::Capacitance).with_winding(winding);
        match &sweep.kept {
            Some(report) => match measure::NextStep::new(report, &sweep.survey, &built) {
                Ok(step) => Told::Step(step),
                Err(_) => Told::Taken(false),
            },
            None => Told::Taken(false),
        }
    }
    #[inline(always)]
    fn end(sweep: &mut Deciding<A>) -> Report<A> {
        Report(Some(sweep.analyser.report()))
    }
    fn is_measured(input: &StepInput<A>) -> bool {
        input.task >= task::DECIDE
    }
}

/// Whether a point was taken, or a step.
pub enum Told<A: Family> {
    Taken(bool),
    Step(measure::NextStep<A>),
}

impl<A: Family> Answer for Told<A> {
    fn words(&self, out: &mut Words<'_>) {
        let step = match self {
            Self::Taken(taken) => return out(u32::from(*taken)),
            Self::Step(step) => step,
        };
        out(step.reason as u32);
        match step.action {
            Action::Leave => out(0),
            Action::Move(retune) => {
                out(1);
                out(retune.direction as u32);
                retune.factor.words(out);
            }
            Action::Turns(turns) => turned(2, turns, out),
            Action::Part(part) => {
                out(3);
                added(&part, out);
            }
            Action::TurnsAndPart(turns, part) => {
                turned(4, turns, out);
                added(&part, out);
            }
            Action::SweepWider { toward, until } => {
                out(5);
                out(toward as u32);
                out(until.get() as u32);
            }
            Action::NoDip => out(6),
            Action::MeasureAgain => out(7),
            Action::TakeOutLine => out(8),
            _ => out(9),
        }
        if let Some(expected) = step.expected {
            for swr in [expected.swr, expected.least, expected.most] {
                swr.words(out);
            }
        }
    }
}

fn turned(kind: u32, turns: Turns, out: &mut Words<'_>) {
    out(kind);
    out(u32::from(turns.primary()));
    out(u32::from(turns.secondary()));
}

fn added<A: Family>(added: &AddedPart<A>, out: &mut Words<'_>) {
    out(added.place as u32);
    match added.part {
        Reactor::Inductor(coil) => coil.words(out),
        Reactor::Capacitor(capacitor) => capacitor.words(out),
    }
}
