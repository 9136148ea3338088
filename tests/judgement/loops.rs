//! The loop: measure, ask, obey, measure again; and what came of it.

use std::collections::BTreeMap;
use std::fmt::Write;

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::design::transformer::Turns;
use ohmwright::measure::{
    Action, AddedPart, Built, NextStep, Placement, Reason, SweepAnalyser, SweepReport, SweepSettings,
    SweepSurvey, ThreePointAnalyser, Toward, TuningElement,
};
use ohmwright::quantity::{Hertz, Ratio, Reactor, Swr};

use crate::bench::{DISTURBANCES, Disturbance, Points, grid, measure, with_plane};
use crate::circuits::{Adjusts, Extra, Link, Stage};
use crate::common::{Random, deep};
use crate::faults::{Class, FAULTS, Fault, Job, Truth};

/// What was said, in doubles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Deed {
    Leave,
    Move(f64),
    Turns(u8, u8),
    Part(Placement, Extra),
    TurnsAndPart(u8, u8, Placement, Extra),
    SweepWider(Toward, u64),
    NoDip,
    MeasureAgain(Reason),
    TakeOutLine,
}

#[derive(Clone, Debug)]
pub struct Said {
    deed: Deed,
    reason: String,
    /// Least, likely, most.
    expected: Option<[f64; 3]>,
}

/// What can be asked about: the stage itself is for an adviser that knows the truth.
struct Question<'a, A: Arithmetic> {
    stage: &'a Stage,
    points: &'a Points<A>,
    job: &'a Job,
    /// How far the element can still be moved.
    range: (f64, f64),
}

type Adviser<A> = fn(&Question<A>) -> Said;

fn element(adjusts: Adjusts) -> TuningElement {
    match adjusts {
        Adjusts::Coil => TuningElement::Inductance,
        Adjusts::CoilTurns => TuningElement::Turns,
        Adjusts::Trimmer => TuningElement::Capacitance,
        Adjusts::Wire => TuningElement::Length,
    }
}

fn extra<A: Arithmetic>(part: AddedPart<A>) -> (Placement, Extra) {
    let value = match part.part {
        Reactor::Inductor(coil) => Extra::Coil(coil.to_henries()),
        Reactor::Capacitor(capacitor) => Extra::Capacitor(capacitor.to_farads()),
    };
    (part.place, value)
}

/// What an analyser makes of a sweep.
type Analysis<A> = fn(SweepSettings<A>, &Points<A>) -> SweepReport<A, 8>;

macro_rules! analysis {
    ($name:ident: $analyser:ident) => {
        fn $name<A: Arithmetic>(settings: SweepSettings<A>, points: &Points<A>) -> SweepReport<A, 8> {
            let mut analyser = $analyser::<A, 8>::new(settings).unwrap();
            for (frequency, reflection) in points {
                analyser.push(*frequency, *reflection).unwrap();
            }
            analyser.report()
        }
    };
}
analysis!(by_curves: SweepAnalyser);
analysis!(by_three_points: ThreePointAnalyser);

/// What the library says.
fn library<A: Arithmetic>(question: &Question<A>) -> Said {
    said(by_curves, question)
}

/// What it says where the analyser for small parts has taken the sweep.
fn light<A: Arithmetic>(question: &Question<A>) -> Said {
    said(by_three_points, question)
}

fn said<A: Arithmetic>(analysis: Analysis<A>, question: &Question<A>) -> Said {
    let job = question.job;
    let settings = SweepSettings::<A>::new()
        .with_swr_limit(Swr::<A>::try_from_f64(job.limit).unwrap())
        .with_target(Some(Hertz::new(job.target)));
    let mut survey = SweepSurvey::new();
    for (frequency, reflection) in question.points {
        survey.push(*frequency, *reflection).unwrap();
    }
    let report = analysis(settings, question.points);
    let turns = |(primary, secondary): (u8, u8)| Turns::new(primary, secondary).unwrap();
    let mut built = Built::<A>::new(element(question.stage.adjusts));
    built.least_factor = Ratio::<A>::try_from_f64(question.range.0).unwrap();
    built.most_factor = Ratio::<A>::try_from_f64(question.range.1).unwrap();
    built.winding = job.winding_told.then(|| turns(question.stage.turns));
    built.most_turns = turns(job.most_turns);
    let step = NextStep::new(&report, &survey, &built).unwrap();
    let deed = match step.action {
        Action::Leave => Deed::Leave,
        Action::Move(retune) => Deed::Move(retune.factor.to_f64()),
        Action::Turns(turns) => Deed::Turns(turns.primary(), turns.secondary()),
        Action::Part(part) => {
            let (place, value) = extra(part);
            Deed::Part(place, value)
        }
        Action::TurnsAndPart(turns, part) => {
            let (place, value) = extra(part);
            Deed::TurnsAndPart(turns.primary(), turns.secondary(), place, value)
        }
        Action::SweepWider { toward, until } => Deed::SweepWider(toward, until.get()),
        Action::NoDip => Deed::NoDip,
        Action::MeasureAgain => Deed::MeasureAgain(step.reason),
        Action::TakeOutLine => Deed::TakeOutLine,
        other => panic!("{other:?} is new"),
    };
    Said {
        deed,
        reason: format!("{:?}", step.reason),
        expected: (step.expected).map(|e| [e.least.to_f64(), e.swr.to_f64(), e.most.to_f64()]),
    }
}

/// The opposite of what the library says.
fn turned_round<A: Arithmetic>(question: &Question<A>) -> Said {
    let said = library(question);
    let other = |place, part| {
        let place = match place {
            Placement::Series => Placement::Across,
            Placement::Across => Placement::Series,
        };
        // A coil for a capacitor of the same reactance, and the other way round.
        let square = (core::f64::consts::TAU * question.job.target as f64).powi(2);
        let part = match part {
            Extra::Coil(henries) => Extra::Capacitor(1.0 / (square * henries)),
            Extra::Capacitor(farads) => Extra::Coil(1.0 / (square * farads)),
        };
        (place, part)
    };
    let deed = match said.deed {
        Deed::Move(factor) => Deed::Move(1.0 / factor),
        Deed::Turns(primary, secondary) => Deed::Turns(secondary, primary),
        Deed::Part(place, part) => {
            let (place, part) = other(place, part);
            Deed::Part(place, part)
        }
        Deed::TurnsAndPart(primary, secondary, place, part) => {
            let (place, part) = other(place, part);
            Deed::TurnsAndPart(secondary, primary, place, part)
        }
        other => other,
    };
    Said { deed, ..said }
}

/// One that knows the stage: what it cannot mend, no one can.
fn all_knowing<A: Arithmetic>(question: &Question<A>) -> Said {
    let (stage, target) = (question.stage, question.job.target as f64);
    let mut best = (stage.swr(target), Deed::Leave);
    if question.job.truth == Truth::Mend && best.0 > question.job.limit {
        let mut consider = |deed: Deed| {
            let mut after = stage.clone();
            obey(&mut after, deed, question.job.winding_told);
            let swr = after.swr(target);
            if swr < best.0 {
                best = (swr, deed);
            }
        };
        consider(Deed::Move(
            stage
                .best_value(
                    target,
                    question.range.0 * stage.value,
                    question.range.1 * stage.value,
                )
                .0
                / stage.value,
        ));
        for primary in 1..=question.job.most_turns.0 {
            for secondary in 1..=question.job.most_turns.1 {
                consider(Deed::Turns(primary, secondary));
            }
        }
        // A part for what is left, exactly where no winding is told.
        for primary in 1..=question.job.most_turns.0 {
            for secondary in 1..=question.job.most_turns.1 {
                let mut after = stage.clone();
                obey(
                    &mut after,
                    Deed::Turns(primary, secondary),
                    question.job.winding_told,
                );
                let z = after.impedance(target);
                let omega = core::f64::consts::TAU * target;
                let part = |x: f64| {
                    if x > 0.0 {
                        Extra::Coil(x / omega)
                    } else {
                        Extra::Capacitor(-1.0 / (omega * x))
                    }
                };
                let across = z.size() * z.size() / -z.im;
                for (place, x) in [(Placement::Series, -z.im), (Placement::Across, across)] {
                    if x.is_finite() && x != 0.0 {
                        consider(Deed::TurnsAndPart(primary, secondary, place, part(x)));
                    }
                }
            }
        }
    }
    Said {
        deed: best.1,
        reason: "known".into(),
        expected: None,
    }
}

/// Does to the stage what was said, if it is something that is done to a stage.
fn obey(stage: &mut Stage, deed: Deed, winding_told: bool) {
    let wind = |stage: &mut Stage, primary: u8, secondary: u8| {
        if winding_told {
            stage.turns = (primary, secondary);
        } else {
            stage
                .links
                .push(Link::Ratio(f64::from(primary) / f64::from(secondary)));
        }
    };
    let add = |stage: &mut Stage, place: Placement, part: Extra| {
        stage.links.push(match place {
            Placement::Series => Link::Series(part),
            Placement::Across => Link::Across(part),
        });
    };
    match deed {
        Deed::Move(factor) => stage.value *= factor,
        Deed::Turns(primary, secondary) => wind(stage, primary, secondary),
        Deed::Part(place, part) => add(stage, place, part),
        Deed::TurnsAndPart(primary, secondary, place, part) => {
            wind(stage, primary, secondary);
            add(stage, place, part);
        }
        Deed::TakeOutLine => stage.without_cable(),
        Deed::Leave | Deed::NoDip | Deed::SweepWider(..) | Deed::MeasureAgain(_) => {}
    }
}

impl Deed {
    fn kind(self) -> &'static str {
        match self {
            Self::Leave => "leave",
            Self::Move(_) => "move",
            Self::Turns(..) => "turns",
            Self::Part(..) => "part",
            Self::TurnsAndPart(..) => "turns and part",
            Self::SweepWider(..) => "sweep wider",
            Self::NoDip => "no dip",
            Self::MeasureAgain(_) => "measure again",
            Self::TakeOutLine => "take out line",
        }
    }
}

/// Of steps with an expected SWR: those where the truth was in its range, and all.
type CameTrue = BTreeMap<&'static str, [usize; 2]>;

/// What one loop came to.
#[derive(Clone, Debug, Default)]
struct Outcome {
    /// What was right to do has been done, and nothing else.
    good: bool,
    steps: usize,
    wrong_ways: usize,
    /// A factor beyond what the element can do, or turns beyond what fits.
    beyond: usize,
    came_true: CameTrue,
    story: String,
}

const STEPS: usize = 4;

fn run<A: Arithmetic>(job: &Job, disturbance: Disturbance, seed: u64, adviser: Adviser<A>) -> Outcome {
    let mut random = Random::new(seed);
    let mut disturbance = disturbance;
    let mut stage = job.stage.clone();
    with_plane(&mut stage, disturbance);
    let target = job.target as f64;
    let (mut start, mut stop, mut points) = (job.start, job.stop, job.points);
    let mut outcome = Outcome::default();
    let mut changed = vec![];
    let (mut least, mut most) = (0.5, 2.0);
    let mut story = format!(
        "target {target:.4e}, swept {start:.4e} to {stop:.4e} in {points}, SWR {:.2} under {}",
        stage.swr(target),
        job.limit
    );
    while outcome.steps < STEPS {
        let readings = measure::<A>(&stage, &grid(start, stop, points), disturbance, &mut random);
        let range = (least, most);
        let said = adviser(&Question {
            stage: &stage,
            points: &readings,
            job,
            range,
        });
        let before = stage.swr(target);
        let was = stage.clone();
        obey(&mut stage, said.deed, job.winding_told);
        let after = stage.swr(target);
        let _ = write!(
            story,
            "; {:?} ({}): {before:.2} → {after:.2}",
            said.deed, said.reason
        );
        if let Some([low, likely, high]) = said.expected {
            let _ = write!(story, ", expected {low:.2} {likely:.2} {high:.2}");
            let came_true = outcome.came_true.entry(said.deed.kind()).or_default();
            came_true[1] += 1;
            came_true[0] += usize::from(low / 1.05 <= after && after <= high * 1.05);
        }
        match said.deed {
            Deed::Leave | Deed::NoDip => break,
            Deed::Move(factor) => {
                if !(least * 0.999..=most * 1.001).contains(&factor) {
                    outcome.beyond += 1;
                    let _ = write!(story, ", beyond {least:.3} to {most:.3}");
                }
                let (right, _) = was.best_value(target, was.value * least, was.value * most);
                let against = (factor - 1.0) * (right / was.value - 1.0) <= 0.0;
                if against && after > 1.05 * before {
                    outcome.wrong_ways += 1;
                    let _ = write!(story, ", WRONG WAY: {:.3} would be right", right / was.value);
                }
                // The words of the family round what is left of the range.
                least = (least / factor).clamp(0.01, 1.0);
                most = (most / factor).clamp(1.0, 100.0);
                changed.push(said.deed);
            }
            Deed::Turns(primary, secondary) | Deed::TurnsAndPart(primary, secondary, ..) => {
                if primary > job.most_turns.0 || secondary > job.most_turns.1 {
                    outcome.beyond += 1;
                    let _ = write!(story, ", beyond {:?}", job.most_turns);
                }
                changed.push(said.deed);
            }
            Deed::Part(..) => changed.push(said.deed),
            Deed::SweepWider(toward, until) => {
                let span = stop - start;
                match toward {
                    Toward::Lower => start = start.min(until),
                    Toward::Higher => stop = stop.max(until),
                    Toward::Both => {
                        start = start.min(until);
                        stop = stop.max((target * target / until.max(1) as f64).min(1e10) as u64);
                    }
                }
                start = start.max(100_000);
                // As fine as before, if that is not too slow.
                let wider = (points as u64 - 1) * (stop - start) / span + 1;
                points = (wider as usize).clamp(points, 401.max(points));
            }
            Deed::MeasureAgain(reason) => match reason {
                Reason::TooCoarse => points = (2 * points - 1).min(1001),
                // Of ten sweeps the mean.
                Reason::Noise => disturbance.noise *= 0.32,
                // The instrument is calibrated anew: a third of the echo is left.
                Reason::BeyondRim => {
                    disturbance.echo = disturbance.echo.map(|(size, delay)| (size / 3.0, delay))
                }
                // The channels are put right.
                Reason::Uncorrected => disturbance.turned = false,
                _ => {}
            },
            Deed::TakeOutLine => {}
        }
        outcome.steps += 1;
    }
    let swr = stage.swr(target);
    outcome.good = match job.truth {
        Truth::Mend => swr <= 1.05 * job.limit,
        Truth::Leave => changed.is_empty(),
        // Behind a cable that nobody named, an open may be any reactance: to ask for a wider sweep changes nothing.
        Truth::Nothing => {
            let is_hidden = !job.stage.links.is_empty() || disturbance.plane > 0.0;
            changed.is_empty() && (is_hidden || !story.contains("SweepWider"))
        }
        Truth::NoDirection => {
            let moved = changed.iter().any(|deed| matches!(deed, Deed::Move(_)));
            !moved && (changed.is_empty() || swr <= 1.05 * job.limit)
        }
    };
    let _ = write!(story, "; end: SWR {swr:.2}");
    outcome.story = story;
    outcome
}

/// A stage with its fault that is what its name says: it needs mending, or does not.
fn job(fault: &Fault, seed: u64) -> Job {
    let mut random = Random::new(seed);
    for _ in 0..200 {
        let mut job = (fault.make)(&mut random);
        let swr = job.stage.swr(job.target as f64);
        job.limit = if random.bits() & 1 == 0 { 2.0 } else { 1.5 };
        match job.truth {
            Truth::Mend if swr > 1.15 * job.limit => return job,
            Truth::Leave if swr < 1.3 => return job,
            Truth::Nothing | Truth::NoDirection => return job,
            _ => {}
        }
    }
    panic!("{}: never what it is called", fault.name)
}

/// The sum of many outcomes.
#[derive(Clone, Debug, Default)]
struct Count {
    loops: usize,
    good: usize,
    steps: usize,
    wrong_ways: usize,
    beyond: usize,
    came_true: CameTrue,
    worst: String,
}

impl Count {
    fn add(&mut self, name: &str, outcome: &Outcome) {
        self.loops += 1;
        self.good += usize::from(outcome.good);
        self.steps += outcome.steps;
        self.wrong_ways += outcome.wrong_ways;
        self.beyond += outcome.beyond;
        for (kind, [true_ones, all]) in &outcome.came_true {
            let sum = self.came_true.entry(kind).or_default();
            sum[0] += true_ones;
            sum[1] += all;
        }
        let bad = !outcome.good && self.worst.is_empty() || outcome.wrong_ways > 0;
        if bad {
            self.worst = name.into();
        }
    }

    fn share(&self) -> f64 {
        self.good as f64 / self.loops as f64
    }

    fn line(&self, name: &str) -> String {
        format!(
            "{name:46} {:5} loops, {:5.1} % as it should be, {:4.2} steps, {} wrong way, {} beyond, expected {} of {}  {}",
            self.loops,
            100.0 * self.share(),
            self.steps as f64 / self.loops as f64,
            self.wrong_ways,
            self.beyond,
            self.came_true
                .values()
                .map(|[came_true, _]| came_true)
                .sum::<usize>(),
            self.came_true.values().map(|[_, all]| all).sum::<usize>(),
            self.worst
        )
    }
}

#[derive(Default)]
struct Table {
    all: Count,
    /// Those that have to be mended.
    mend: Count,
    /// Those without any circuit.
    nothing: Count,
    cells: BTreeMap<(Class, usize), Count>,
    classes: BTreeMap<Class, Count>,
    disturbances: BTreeMap<usize, Count>,
    faults: BTreeMap<(Class, &'static str), Count>,
}

/// Every `every`th of the loops over all faults, disturbances and seeds.
fn table<A: Arithmetic>(adviser: Adviser<A>, seeds: u64, every: usize) -> Table {
    let mut table = Table::default();
    let stories = std::env::var_os("OHMWRIGHT_STORIES").is_some();
    let mut number = 0;
    for (row, fault) in FAULTS.iter().enumerate() {
        for (column, disturbance) in DISTURBANCES.iter().enumerate() {
            for seed in 0..seeds {
                number += 1;
                if number % every != 0 {
                    continue;
                }
                let seed = (row as u64) << 32 | (column as u64) << 16 | seed;
                let job = job(fault, seed);
                let outcome = run(&job, *disturbance, seed ^ 0x1_0000_0000_0000, adviser);
                let name = format!("{}, {}, seed {seed:#x}", fault.name, disturbance.name);
                if stories && (!outcome.good || outcome.wrong_ways > 0 || outcome.beyond > 0) {
                    println!("{:?} {:?}: {name}: {}", A::FAMILY, fault.class, outcome.story);
                }
                table.all.add(&name, &outcome);
                match job.truth {
                    Truth::Mend => table.mend.add(&name, &outcome),
                    Truth::Nothing => table.nothing.add(&name, &outcome),
                    _ => {}
                }
                table
                    .cells
                    .entry((fault.class, column))
                    .or_default()
                    .add(&name, &outcome);
                table.classes.entry(fault.class).or_default().add(&name, &outcome);
                table.disturbances.entry(column).or_default().add(&name, &outcome);
                table
                    .faults
                    .entry((fault.class, fault.name))
                    .or_default()
                    .add(&name, &outcome);
            }
        }
    }
    table
}

impl Table {
    fn print(&self, title: &str) {
        println!("\n{title}");
        for ((class, column), count) in &self.cells {
            println!(
                "{}",
                count.line(&format!("{class:?}, {}", DISTURBANCES[*column].name))
            );
        }
        for ((class, name), count) in &self.faults {
            println!("{}", count.line(&format!("{class:?}: {name}")));
        }
        for (class, count) in &self.classes {
            println!("{}", count.line(&format!("{class:?}")));
        }
        for (column, count) in &self.disturbances {
            println!("{}", count.line(DISTURBANCES[*column].name));
        }
        println!("{}", self.mend.line("to be mended"));
        println!("{}", self.nothing.line("nothing there"));
        println!("{}", self.all.line("all"));
        for (kind, [came_true, all]) in &self.all.came_true {
            println!("{kind}: the SWR was in the expected range in {came_true} of {all}");
        }
    }

    fn check(&self) {
        assert!(
            self.all.share() >= 0.97 && self.mend.share() >= 0.97,
            "{:?} {:?}",
            self.all,
            self.mend
        );
        // Three samples that are anything can still look like a dip, and so can a cable of 75 Ω with an antenna behind it: one
        // move of 1,500 was seen to go the wrong way over 23,800 loops.
        let moves = self.all.came_true.get("move").map_or(0, |[_, all]| *all);
        assert!(self.all.wrong_ways <= 1 + moves / 1000, "{}", self.all.worst);
        assert_eq!(self.all.beyond, 0);
        assert!(self.nothing.share() >= 0.98, "{}", self.nothing.worst);
    }
}

fn closed<A: Arithmetic>(every: usize) {
    let table = table::<A>(library, if deep() { 20 } else { 1 }, every);
    table.print(&format!("{:?}", A::FAMILY));
    table.check();
}

#[test]
fn in_fixed_point() {
    closed::<Fixed32>(1);
}
#[test]
fn in_double() {
    closed::<f64>(5);
}
#[test]
fn in_single() {
    closed::<f32>(7);
}
#[test]
fn in_small_fixed_point() {
    closed::<Fixed16>(3);
}

/// The same loops with the analyser for small parts. It averages nothing and knows a wrong sample only alone; the survey beside
/// it sees the rest. Reached: 98.9 % of 1190 loops in `Fixed32`, 98.7 % in `Fixed16`, 98.2 % in `f32`, none the wrong way.
fn closed_by_three_points<A: Arithmetic>(every: usize) {
    let table = table::<A>(light, if deep() { 20 } else { 1 }, every);
    table.print(&format!("{:?}, three points", A::FAMILY));
    table.check();
}

#[test]
fn three_points_in_fixed_point() {
    closed_by_three_points::<Fixed32>(1);
}
#[test]
fn three_points_in_small_fixed_point() {
    closed_by_three_points::<Fixed16>(3);
}
#[test]
fn three_points_in_single() {
    closed_by_three_points::<f32>(7);
}

/// A control: the advice turned round mends nearly nothing.
#[test]
fn advice_turned_round_mends_nothing() {
    let table = table::<Fixed32>(turned_round, 1, 4);
    println!("{}", table.mend.line("turned round"));
    assert!(table.mend.share() < 0.2, "{}", table.mend.line("turned round"));
    // The counts of what must not be see it.
    assert!(table.all.wrong_ways > 100 && table.all.beyond > 10);
}

/// The faults are fair: one who knows the stage mends every one of them.
#[test]
fn who_knows_the_stage_mends_it() {
    let table = table::<f64>(all_knowing, 1, 1);
    println!("{}", table.mend.line("known"));
    assert_eq!(table.mend.good, table.mend.loops, "{}", table.mend.worst);
    assert_eq!(table.all.wrong_ways, 0, "{}", table.all.worst);
}
