//! What `program/main.c` must say, said by the library itself on the host: `expected [float]`.

use ohmwright::arithmetic::Fixed32;
use ohmwright::design::transformer::Turns;
use ohmwright::fixed::types::U16F16;
use ohmwright::fixed_point::{
    Built, NextStep, Reference, Reflection, SweepAnalyser, SweepQuality, SweepReport, SweepSettings,
    SweepSurvey,
};
use ohmwright::floating;
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::measure::{Action, Reason, Target, Toward, TuningElement};
use ohmwright::quantity::{Hertz, Reactor, Swr};
use ohmwright::show::text;

struct Any(u32);

impl Any {
    fn any(&mut self) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        self.0
    }

    fn component(&mut self) -> i32 {
        self.any() as i32 >> 1
    }
}

fn say(name: &str, words: &[u32]) {
    let words: String = words.iter().map(|word| format!(" {word:08x}")).collect();
    println!("{name}{words}");
}

fn main() {
    let mut any = Any(0x2545_f491);
    for _ in 0..200 {
        let gamma = Reflection::from_bits(any.component(), any.component());
        let all = gamma.readouts(Reference::fifty());
        say(
            "fixed",
            &[
                all.magnitude.get().to_bits() as u32,
                all.swr.get().to_bits(),
                all.return_loss.get().to_bits() as u32,
                all.mismatch_loss.get().to_bits() as u32,
                all.resistance.get().to_bits() as u32,
                all.reactance.get().to_bits() as u32,
                all.impedance_magnitude.get().to_bits() as u32,
                all.phase.get().to_bits() as u32,
                all.q.get().to_bits(),
            ],
        );
    }
    sweep();
    next_steps();
    left_out();
    doubtful();
    if std::env::args().nth(1).as_deref() == Some("float") {
        float_readouts(&mut any);
    }
}

fn sweep() {
    let fixture = ErrorTerms {
        directivity: Reflection::from_bits(10 << 20, -20 << 20),
        source_match: Reflection::from_bits(30 << 20, 5 << 20),
        tracking: Reflection::from_bits(900 << 20, 100 << 20),
    };
    let mut analyser = SweepAnalyser::<4>::new(SweepSettings {
        target: Some(Hertz::new(70_200_000)),
        ..Default::default()
    })
    .unwrap();
    let mut survey = SweepSurvey::new();
    let mut line = [0; 20];
    for step in 0..=100 {
        let raw = Reflection::from_bits((step - 60) * 8_000_000, 70_000_000 - step * 900_000);
        let gamma = fixture.correct(raw);
        let hertz = Hertz::new(66_000_000 + step as u64 * 80_000);
        analyser.push(hertz, gamma).unwrap();
        survey.push(hertz, gamma).unwrap();
        if step == 50 {
            println!("{:?}", text::swr(&mut line, gamma).unwrap());
            println!("{:?}", text::return_loss(&mut line, gamma).unwrap());
            let load = gamma.impedance(Reference::fifty());
            println!("{:?}", text::impedance(&mut line, load).unwrap());
        }
    }
    let report = analyser.report();
    let best = report.best().unwrap();
    let band = report.bands()[0];
    let Target::Reading(target) = report.target() else {
        panic!("the target was reached");
    };
    say(
        "sweep",
        &[
            report.points(),
            best.frequency.get() as u32,
            best.reflection.real().get().to_bits() as u32,
            best.reflection.imaginary().get().to_bits() as u32,
            report.dips().len() as u32,
            report.bands().len() as u32,
            band.low.get() as u32,
            band.high.get() as u32,
            if target.pass { 2 } else { 3 },
            target.reflection.real().get().to_bits() as u32,
            target.reflection.imaginary().get().to_bits() as u32,
        ],
    );
    println!("{:?}", text::verdict(&mut line, &report).unwrap());
    say_quality(&survey.quality(&report));
}

fn say_quality(quality: &SweepQuality) {
    let ripple = quality.ripple;
    say(
        "quality",
        &[
            ripple.map_or(0, |ripple| ripple.period.get() as u32),
            quality.noise.get().to_bits() as u32,
            ripple.map_or(0, |ripple| ripple.size.get().to_bits() as u32),
            quality.spoilt,
            quality.beyond_rim,
            quality.unresolved,
            quality.too_coarse.into(),
            quality.uncorrected.into(),
        ],
    );
    println!("{:?}", text::quality(&mut [0; 20], quality).unwrap());
}

/// Sweeps that ask for one step each: a dip that is high, resistances that are too small and too large, nothing connected,
/// and a dip that the sweep does not reach.
fn next_steps() {
    let winding = |turns: Option<Turns>| Built::new(TuningElement::Capacitance).with_winding(turns);
    for case in 0..5 {
        let settings = SweepSettings {
            target: Some(Hertz::new(70_200_000)),
            swr_limit: Swr::<Fixed32>::new(U16F16::from_bits(78_643)),
            ..Default::default()
        };
        let mut analyser = SweepAnalyser::<4>::new(settings).unwrap();
        let mut survey = SweepSurvey::new();
        for step in 0..=100i32 {
            let gamma = match case {
                0 => Reflection::from_bits(60_000_000, (step - 75) * 12_000_000),
                1 => Reflection::from_bits(-650_000_000, 40_000_000 + step * 1_000_000),
                2 => Reflection::from_bits(650_000_000, -(40_000_000 + step * 3_000_000)),
                3 => Reflection::from_bits((1 << 30) - 1_000 * step, -(20_000_000 + step * 100_000)),
                _ => Reflection::from_bits(200_000_000 - step * 1_500_000, -900_000_000 + step * 5_000_000),
            };
            let hertz = Hertz::new(66_000_000 + step as u64 * 80_000);
            analyser.push(hertz, gamma).unwrap();
            survey.push(hertz, gamma).unwrap();
        }
        let report = analyser.report();
        for turns in [None, Some(Turns::new(4, 1).unwrap())] {
            let built = winding(turns).with_most_turns(Turns::new(16, 2).unwrap());
            say_step(&report, &survey, &built);
        }
    }
}

fn say_step(report: &SweepReport<4>, survey: &SweepSurvey, built: &Built) {
    let step = NextStep::new(report, survey, built).unwrap();
    let (mut turns, mut part, mut wider, mut moved) = ([0; 2], [0; 3], [0; 2], [0; 2]);
    let mut wind = |pair: Turns| turns = [pair.primary(), pair.secondary()].map(u32::from);
    let mut add = |added: ohmwright::fixed_point::AddedPart| {
        let place = added.place as u32 + 1;
        part = match added.part {
            Reactor::Inductor(coil) => [place, 1, coil.get()],
            Reactor::Capacitor(capacitor) => [place, 2, capacitor.get()],
        };
    };
    let kind = match step.action {
        Action::Leave => 0,
        Action::Move(retune) => {
            use ohmwright::measure::Direction;
            moved[0] = match retune.direction {
                Direction::Keep => 0,
                Direction::Less => 1,
                Direction::More => 2,
            };
            moved[1] = retune.factor.get().to_bits();
            1
        }
        Action::Turns(pair) => {
            wind(pair);
            2
        }
        Action::Part(added) => {
            add(added);
            3
        }
        Action::TurnsAndPart(pair, added) => {
            wind(pair);
            add(added);
            4
        }
        Action::SweepWider { toward, until } => {
            wider = match toward {
                Toward::Lower => [1, until.get() as u32],
                Toward::Higher => [2, until.get() as u32],
                Toward::Both => [3, until.get() as u32],
            };
            5
        }
        Action::NoDip => 6,
        Action::MeasureAgain => 7,
        Action::TakeOutLine => 8,
        _ => panic!("{step:?}"),
    };
    let reasons = [
        Reason::Matched,
        Reason::NothingGains,
        Reason::DipBelow,
        Reason::DipAbove,
        Reason::Ratio,
        Reason::Reactance,
        Reason::RatioAndReactance,
        Reason::TargetNotSwept,
        Reason::DipOutside,
        Reason::Open,
        Reason::Short,
        Reason::FlatLoad,
        Reason::CableEnd,
        Reason::Spoilt,
        Reason::BeyondRim,
        Reason::Noise,
        Reason::TooCoarse,
        Reason::Uncorrected,
        Reason::Line,
        Reason::NoResistance,
        Reason::NoSweep,
    ];
    let reason = reasons.iter().position(|reason| *reason == step.reason).unwrap();
    let swr = step.expected.map_or([0; 3], |expected| {
        [expected.swr, expected.least, expected.most].map(|swr| swr.get().to_bits())
    });
    // 1: the capacitance can be moved.
    let mut words = vec![kind, reason as u32, 1];
    words.extend(moved);
    words.extend(turns);
    words.extend(part);
    words.extend(wider);
    words.extend(swr);
    say("step", &words);
    println!("{:?}", text::next_step(&mut [0; 20], &step).unwrap());
    println!("{:?}", text::expected(&mut [0; 20], &step).unwrap());
}

fn left_out() {
    let mut analyser = SweepAnalyser::<4>::new(SweepSettings::default()).unwrap();
    for step in 0..40u64 {
        let gamma = Reflection::from_bits(if step % 3 == 1 { 0 } else { -1 << 30 }, 0);
        analyser
            .push(Hertz::new(1_000_000 + step * 1_000), gamma)
            .unwrap();
    }
    let report = analyser.report();
    say(
        "left out",
        &[
            report.dips().len() as u32,
            report.dips_left_out(),
            report.bands().len() as u32,
            report.bands_left_out(),
        ],
    );
}

fn doubtful() {
    let mut analyser = SweepAnalyser::<4>::new(SweepSettings::default()).unwrap();
    let mut survey = SweepSurvey::new();
    for step in 0..60 {
        let re = if step == 20 || step == 21 {
            -900 << 20
        } else {
            (step - 30) * 30_000_000
        };
        let im = if step == 59 { 1200 << 20 } else { 500 << 20 };
        let (hertz, gamma) = (
            Hertz::new(1_000_000 + step as u64 * 1_000),
            Reflection::from_bits(re, im),
        );
        analyser.push(hertz, gamma).unwrap();
        survey.push(hertz, gamma).unwrap();
        if step == 40 {
            say_quality(&survey.quality(&analyser.report()));
        }
    }
    let report = analyser.report();
    let unresolved = report
        .dips()
        .iter()
        .filter(|dip| dip.unresolved.is_some())
        .count();
    say(
        "doubtful",
        &[
            report.spoilt().len() as u32 + report.spoilt_left_out(),
            report.beyond_rim(),
            report.fast_turns(),
            report.best().unwrap().unresolved.is_some().into(),
            unresolved as u32,
        ],
    );
    say_quality(&survey.quality(&report));
    narrow();
}

fn narrow() {
    let mut analyser = SweepAnalyser::<4>::new(SweepSettings::default()).unwrap();
    for step in 0..40 {
        let off = 4 * (step - 20) + 1;
        let part = 1_500_000_000 / (1 + off * off);
        let gamma = Reflection::from_bits((1 << 30) - part, part * off);
        analyser
            .push(Hertz::new(1_000_000 + step as u64 * 1_000), gamma)
            .unwrap();
    }
    let best = analyser.report().best().unwrap();
    say(
        "narrow",
        &[best.frequency.get() as u32, best.unresolved.is_some().into()],
    );
}

fn float_readouts(any: &mut Any) {
    for _ in 0..200 {
        let gamma = floating::Reflection::new(
            any.component() as f32 / 1_073_741_824.0,
            any.component() as f32 / 1_073_741_824.0,
        )
        .unwrap();
        let all = gamma.readouts(floating::Reference::fifty());
        let words = [
            all.magnitude.get(),
            all.swr.get(),
            all.return_loss.get(),
            all.mismatch_loss.get(),
            all.resistance.get(),
            all.reactance.get(),
            all.impedance_magnitude.get(),
            all.phase.get(),
            all.q.get(),
        ];
        say("float", &words.map(f32::to_bits));
    }
}
