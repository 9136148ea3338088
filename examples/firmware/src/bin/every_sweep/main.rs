//! Logs every public type of a sweep, of its report and of what to do next once or more, as `every_type` does the others.

#![no_std]
#![no_main]

#[path = "../../board.rs"]
mod board;

use defmt::{println, unwrap};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::design::transformer::Turns;
use ohmwright::measure::calibration::{ErrorTerms, Residual};
use ohmwright::measure::{
    Action, AddedPart, Built, MaskCheck, MaskSegment, NextStep, Placement, Reason, Retune, SweepAnalyser,
    SweepSettings, SweepSurvey, Toward, TuningElement,
};
use ohmwright::quantity::{Capacitance, Decibels, Hertz, Impedance, Reactor, Reference, Reflection, Swr};

#[board::entry]
fn main() -> ! {
    println!("--- {}", Fixed32);
    of_family::<Fixed32>();
    println!("--- {}", Fixed16);
    of_family::<Fixed16>();
    println!("--- f32");
    of_family::<f32>();
    println!("--- whatever the family");
    println!("reason: {}", Reason::CableEnd);
    board::stop(true)
}

fn of_family<A: Arithmetic>() {
    sweeps::<A>();
    steps::<A>();
}

fn sweeps<A: Arithmetic>() {
    let settings = SweepSettings::<A> {
        target: Some(Hertz::from_kilohertz(71_000)),
        ..Default::default()
    };
    println!("settings: {}", settings);
    println!("settings: {}", SweepSettings::<A>::default());
    let mut analyser = unwrap!(SweepAnalyser::<A, 2>::new(settings));
    println!("report: {}", analyser.report());
    let stretch = |low, high| MaskSegment {
        low: Hertz::from_megahertz(low),
        high: Hertz::from_megahertz(high),
        swr_limit: Swr::whole::<2>(),
    };
    let mask = [stretch(69, 71), stretch(71, 74), stretch(74, 90)];
    println!("stretch: {}", mask[0]);
    let mut survey = SweepSurvey::new();
    let mut check = unwrap!(MaskCheck::<A, 3>::new(&mask));
    for step in 0..=24u32 {
        let frequency = Hertz::from_kilohertz(64_000 + 500 * step);
        let z = unwrap!(Impedance::<A>::try_from_f64(36.0, f64::from(step) * 12.5 - 148.0));
        let gamma = z.reflection(Reference::fifty());
        unwrap!(analyser.push(frequency, gamma));
        unwrap!(survey.push(frequency, gamma));
        unwrap!(check.push(frequency, gamma));
    }
    println!(
        "refused: {}",
        analyser.push(Hertz::from_megahertz(76), Reflection::OPEN)
    );
    println!(
        "refused: {}",
        analyser.push(Hertz::from_megahertz(60), Reflection::OPEN)
    );
    println!("analyser: {}", analyser);
    let report = analyser.report();
    println!("report: {}", report);
    println!("best: {}", report.best());
    for (dip, resonance) in report.dips().iter().zip(report.resonances()) {
        println!("dip: {}; resonance: {}", dip, resonance);
    }
    println!("target: {}", report.target());
    println!("survey: {}; {}", survey, survey.quality(&report));
    let left = unwrap!(Residual::from_decibels(
        Decibels::whole::<40>(),
        Decibels::whole::<30>(),
        Decibels::whole::<50>()
    ));
    let uncertainty = survey.quality(&report).with_residual(Some(left)).uncertainty();
    println!("uncertainty: {}", uncertainty);
    if let Some(best) = report.best() {
        println!("best: {}", uncertainty.swr(best.reflection));
        println!(
            "within: {}",
            uncertainty
                .judge(best.reflection, Swr::<A>::thousandths::<1_300>())
                .ok()
        );
    }
    let built = Built::new(TuningElement::Capacitance);
    println!("built: {}", built);
    println!("next step: {}", unwrap!(NextStep::new(&report, &survey, &built)));
    println!("mask: {}", check);
    let mask = check.report();
    println!("verdict: {}", mask.verdicts()[0]);
    println!("terms: {}", ErrorTerms::<A>::PERFECT);
    let wanted = Hertz::from_megahertz(71);
    for element in [TuningElement::Capacitance, TuningElement::Length] {
        println!(
            "retune: {}",
            Retune::<A>::new(element, Hertz::from_megahertz(72), wanted)
        );
    }
    println!(
        "retune: {}",
        Retune::<A>::new(TuningElement::Turns, wanted, wanted)
    );
    println!(
        "retune: {}",
        Retune::<A>::new(TuningElement::Turns, Hertz::new(u64::MAX), Hertz::new(1))
    );
}

/// The steps that the sweep does not ask for.
fn steps<A: Arithmetic>() {
    let turns = unwrap!(Turns::new(7, 2));
    let part = AddedPart {
        place: Placement::Across,
        part: Reactor::Capacitor(Capacitance::<A>::from_femtofarads(22_000)),
    };
    let wider = Action::SweepWider {
        toward: Toward::Both,
        until: Hertz::from_megahertz(50),
    };
    for action in [Action::TurnsAndPart(turns, part), wider, Action::MeasureAgain] {
        println!("action: {}", action);
    }
}
