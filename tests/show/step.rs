//! The lines of the next step, of what it leaves, and of the readings: each as documented, each within twenty columns
//! whatever the values are. All loads are invented.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::design::transformer::Turns;
use ohmwright::measure::{
    Action, AddedPart, Built, Direction, NextStep, Placement, Reason, Retune, SweepAnalyser, SweepQuality,
    SweepReport, SweepSettings, SweepSurvey, Toward, TuningElement,
};
use ohmwright::quantity::{Capacitance, Component, Hertz, Inductance, Reactor, Reference, Reflection, Swr};
use ohmwright::show::text::{self, TextError};

use crate::text::{gamma, load, shown};

const BLANK: &str = "                    ";
const TARGET: Hertz = Hertz::from_megahertz(71);

/// A sweep of a series circuit of 40 Ω that resonates at 71.2 MHz, 60 to 80 MHz in steps of 500 kHz; `change` may spoil a
/// sample.
fn swept<A: Arithmetic>(
    slope: f64,
    change: impl Fn(usize, Reflection<A>) -> Reflection<A>,
) -> (SweepReport<A, 4>, SweepSurvey) {
    let mut analyser = SweepAnalyser::<A, 4>::new(SweepSettings::default()).unwrap();
    let mut survey = SweepSurvey::new();
    for step in 0..=40 {
        let hertz = Hertz::new(60_000_000 + 500_000 * step as u64);
        let ratio = hertz.get() as f64 / 71.2e6;
        let gamma = load::<A>(40.0, slope * (ratio - 1.0 / ratio)).reflection(Reference::fifty());
        let gamma = change(step, gamma);
        analyser.push(hertz, gamma).unwrap();
        survey.push(hertz, gamma).unwrap();
    }
    (analyser.report(), survey)
}

/// A step of this kind: a real one, changed.
fn step<A: Arithmetic>(action: Action<A>, reason: Reason) -> NextStep<A> {
    let (report, survey) = swept::<A>(100.0, |_, gamma| gamma);
    let mut step = NextStep::new(&report, &survey, &Built::new(TuningElement::Length)).unwrap();
    assert!(step.expected.is_some());
    step.action = action;
    step.reason = reason;
    step
}

fn said<A: Arithmetic>(action: Action<A>, reason: Reason) -> String {
    shown(|line| text::next_step(line, &step(action, reason)))
}

fn turns(primary: u8, secondary: u8) -> Turns {
    Turns::new(primary, secondary).unwrap()
}

fn coil<A: Arithmetic>() -> Reactor<A> {
    Reactor::Inductor(Inductance::from_picohenries(89_660))
}

fn capacitor<A: Arithmetic>() -> Reactor<A> {
    Reactor::Capacitor(Capacitance::from_femtofarads(68_000))
}

fn every_kind<A: Arithmetic>() {
    let moved = |element, dip| {
        let retune = Retune::new(element, Hertz::from_kilohertz(dip), TARGET).unwrap();
        said::<A>(Action::Move(retune), Reason::DipBelow)
    };
    use TuningElement as Element;
    assert_eq!(moved(Element::Inductance, 67_100), "less L       x 0.893");
    assert_eq!(moved(Element::Inductance, 75_000), "more L       x 1.116");
    assert_eq!(moved(Element::Capacitance, 67_500), "less C       x 0.904");
    assert_eq!(moved(Element::Capacitance, 75_000), "more C       x 1.116");
    assert_eq!(moved(Element::Turns, 67_100), "fewer turns  x 0.945");
    assert_eq!(moved(Element::Turns, 75_000), "more turns   x 1.056");
    assert_eq!(moved(Element::Length, 67_100), "shorter      x 0.945");
    assert_eq!(moved(Element::Length, 75_000), "longer       x 1.056");
    assert_eq!(moved(Element::Length, 71_000), "            leave it");

    use Placement::{Across, Series};
    let part = |place, part| said::<A>(Action::Part(AddedPart { place, part }), Reason::Reactance);
    assert_eq!(part(Series, capacitor()), "series C     68.0 pF");
    assert_eq!(part(Across, capacitor()), "across C     68.0 pF");
    assert_eq!(part(Series, coil()), "series L     89.7 nH");
    assert_eq!(part(Across, coil()), "across L     89.7 nH");
    let alone = |turns| said::<A>(Action::Turns(turns), Reason::Ratio);
    assert_eq!(alone(turns(7, 2)), "turns          7 : 2");
    assert_eq!(alone(turns(255, 254)), "turns      255 : 254");
    let both = |turns, place, part| {
        let action = Action::TurnsAndPart(turns, AddedPart { place, part });
        said::<A>(action, Reason::RatioAndReactance)
    };
    assert_eq!(both(turns(7, 2), Across, capacitor()), "7:2 across   68.0 pF");
    assert_eq!(both(turns(12, 11), Series, coil()), "12:11 series 89.7 nH");
    // Without room for the value.
    assert_eq!(both(turns(112, 11), Series, coil()), "112:11 series      L");
    assert_eq!(both(turns(255, 254), Across, capacitor()), "255:254 across     C");

    let wider = |toward, megahertz| {
        let until = Hertz::from_megahertz(megahertz);
        said::<A>(Action::SweepWider { toward, until }, Reason::DipOutside)
    };
    assert_eq!(wider(Toward::Lower, 50), "sweep from  50.0 MHz");
    assert_eq!(wider(Toward::Higher, 142), "sweep to     142 MHz");
    assert_eq!(wider(Toward::Both, 50), "wider from  50.0 MHz");

    for (action, reason, words) in [
        (Action::Leave, Reason::Matched, "            leave it"),
        (Action::Leave, Reason::NothingGains, "leave it     no gain"),
        (Action::NoDip, Reason::Open, "   nothing connected"),
        (Action::NoDip, Reason::Short, "       short circuit"),
        (Action::NoDip, Reason::FlatLoad, "   flat load: no dip"),
        (Action::NoDip, Reason::CableEnd, " open or short cable"),
        (Action::NoDip, Reason::NoResistance, "       no resistance"),
        (Action::MeasureAgain, Reason::Noise, "measure again  noise"),
        (Action::MeasureAgain, Reason::Spoilt, "measure again spoilt"),
        (Action::MeasureAgain, Reason::TooCoarse, "sweep in finer steps"),
        (Action::MeasureAgain, Reason::BeyondRim, "   check calibration"),
        (Action::MeasureAgain, Reason::Uncorrected, "     calibrate first"),
        (Action::MeasureAgain, Reason::NoSweep, "         sweep first"),
        (Action::TakeOutLine, Reason::Line, "  take out the cable"),
    ] {
        assert_eq!(said::<A>(action, reason), words);
    }
}

#[test]
fn every_kind_of_step_has_its_line() {
    every_family!(every_kind);
}

/// A sweep whose dip is low says less, one whose dip is high says more; the words are those of the decision.
fn decided<A: Arithmetic>() {
    for (dip, line, direction) in [
        (68.0e6, "less C       x 0.917", Direction::Less),
        (74.0e6, "more C       x 1.086", Direction::More),
    ] {
        let settings = SweepSettings::new().with_target(Some(TARGET));
        let mut analyser = SweepAnalyser::<A, 4>::new(settings).unwrap();
        let mut survey = SweepSurvey::new();
        for place in 0..=100 {
            let hertz = Hertz::from_kilohertz(60_000 + 200 * place);
            let ratio = hertz.get() as f64 / dip;
            let gamma = load::<A>(40.0, 600.0 * (ratio - 1.0 / ratio)).reflection(Reference::fifty());
            analyser.push(hertz, gamma).unwrap();
            survey.push(hertz, gamma).unwrap();
        }
        let report = analyser.report();
        let next = NextStep::new(&report, &survey, &Built::new(TuningElement::Capacitance)).unwrap();
        let Action::Move(retune) = next.action else {
            panic!("{next:?}")
        };
        assert_eq!(retune.direction, direction);
        assert_eq!(shown(|l| text::next_step(l, &next)), line);
        // 50/40 is in the range that is told.
        let told = shown(|l| text::expected(l, &next));
        let ends: Vec<f64> = told
            .strip_prefix("for SWR ")
            .unwrap()
            .split(" to ")
            .map(|end| end.parse().unwrap())
            .collect();
        assert!(ends[0] <= 1.25 && 1.25 <= ends[1] && ends[1] < 2.0, "{told}");
        let quality = survey.quality(&report);
        assert_eq!(shown(|l| text::quality(l, &quality)), BLANK, "{quality:?}");
    }
}

#[test]
fn the_line_says_what_was_decided() {
    every_family!(decided);
}

fn expectations<A: Arithmetic>() {
    let swr = |value: f64| Swr::<A>::try_from_f64(value).unwrap();
    let told = |action, least, most| {
        let mut step = step::<A>(action, Reason::Reactance);
        let mut expected = step.expected.unwrap();
        (expected.least, expected.most) = (least, most);
        step.expected = Some(expected);
        shown(|line| text::expected(line, &step))
    };
    let after = |least, most| told(Action::Turns(turns(7, 2)), swr(least), swr(most));
    assert_eq!(after(1.04, 1.13), "for SWR 1.04 to 1.13");
    assert_eq!(after(9.994, 9.996), "for SWR 9.99 to 10.0");
    assert_eq!(after(99.94, 99.96), "for SWR  99.9 to 100");
    assert_eq!(after(999.4, 999.6), "for SWR  999 to >999");
    assert_eq!(told(Action::Leave, swr(1.1), swr(1.3)), "SWR     1.10 to 1.30");
    assert_eq!(told(Action::Leave, Swr::MAX, Swr::MAX), "SWR     >999 to >999");
    let mut unknown = step::<A>(Action::MeasureAgain, Reason::Noise);
    unknown.expected = None;
    assert_eq!(shown(|line| text::expected(line, &unknown)), BLANK);
}

#[test]
fn what_a_step_leaves_has_a_line() {
    every_family!(expectations);
}

/// What is to be said of the readings, from whole sweeps: a sweep in which all is well has a blank line.
fn qualities<A: Arithmetic>() {
    let told = |quality: &SweepQuality<A>| shown(|line| text::quality(line, quality));
    let of = |(report, survey): &(SweepReport<A, 4>, SweepSurvey)| told(&survey.quality(report));
    let same = |_, gamma| gamma;
    let clean = swept::<A>(100.0, same);
    assert_eq!(of(&clean), BLANK);
    let spoilt = |from: usize, count: usize| {
        swept::<A>(100.0, move |step, old| {
            if (from..from + count).contains(&step) {
                gamma(-0.9, 0.3)
            } else {
                old
            }
        })
    };
    assert_eq!(of(&spoilt(12, 1)), "left out     1 point");
    assert_eq!(of(&spoilt(12, 2)), "left out    2 points");
    let active = swept::<A>(100.0, |step, old| if step < 3 { gamma(1.2, 0.1) } else { old });
    assert_eq!(of(&active), "|refl|>1    3 points");
    // The reflection turned the wrong way round, and so large that turning tells.
    let turned_round = swept::<A>(900.0, |_, old| {
        Reflection::try_from_f64(old.real().to_f64(), -old.imaginary().to_f64()).unwrap()
    });
    assert_eq!(of(&turned_round), "   looks uncorrected");
    // A Q of 700 in steps of a hundred and fortieth of the frequency.
    let narrow = swept::<A>(14_000.0, same);
    assert!(narrow.0.best().unwrap().unresolved.is_some());
    let verdict = shown(|line| text::verdict(line, &narrow.0));
    assert!(verdict.starts_with("best ?   7"), "{verdict}");
    let verdict = shown(|line| text::verdict(line, &clean.0));
    assert!(verdict.starts_with("best     71."), "{verdict}");
    // What the report knows by itself, without a survey.
    let alone = |report: &SweepReport<A, 4>| told(&SweepSurvey::new().quality(report));
    assert_eq!(alone(&narrow.0), "    dip not resolved");
    assert_eq!(alone(&active.0), "|refl|>1    3 points");
    assert_eq!(alone(&clean.0), BLANK);
}

#[test]
fn what_is_to_be_said_of_the_readings_has_a_line() {
    every_family!(qualities);
}

/// Ripple and noise, from sweeps long enough to show them: an echo of 0.08 over a cable of 14.99 m of air has a crest each
/// 10 MHz (c/2l).
fn regular<A: Arithmetic>() {
    let sweep = |echo: f64, noise: f64| {
        let mut analyser = SweepAnalyser::<A, 4>::new(SweepSettings::default()).unwrap();
        let mut survey = SweepSurvey::new();
        let mut random = crate::common::Random::new(5);
        for place in 0..=200 {
            let hertz = Hertz::from_kilohertz(40_000 + 300 * place);
            let angle = -std::f64::consts::TAU * hertz.get() as f64 / 10e6;
            let mut off = || random.between(-1.0, 1.0) * noise * 3f64.sqrt();
            let gamma = gamma::<A>(0.4 + echo * angle.cos() + off(), 0.1 + echo * angle.sin() + off());
            analyser.push(hertz, gamma).unwrap();
            survey.push(hertz, gamma).unwrap();
        }
        let quality = survey.quality(&analyser.report());
        shown(|line| text::quality(line, &quality))
    };
    let words: Vec<String> = sweep(0.08, 0.0).split_whitespace().map(String::from).collect();
    assert_eq!((words[0].as_str(), words[1].as_str()), ("ripple", "0.08"));
    let period: f64 = words[2].parse().unwrap();
    assert!(
        (period / 10.0 - 1.0).abs() < 0.1 && words[3] == "MHz",
        "{words:?}"
    );
    // The control: neither where there is neither.
    assert_eq!(sweep(0.0, 0.0), BLANK);
    assert_eq!(sweep(0.0, 0.005), BLANK);
    let noise = sweep(0.0, 0.04);
    let size = noise.strip_prefix("noise").unwrap_or_else(|| panic!("{noise}"));
    let size: f64 = size.trim().parse().unwrap();
    assert!((0.03..=0.05).contains(&size), "{noise}");
}

#[test]
fn ripple_and_noise_are_told() {
    every_family!(regular);
}

/// The gravest first; counts and sizes of any value.
fn gravest_first<A: Arithmetic>() {
    let (report, survey) = swept::<A>(100.0, |_, gamma| gamma);
    let mut quality = survey.quality(&report);
    let size = |value: f64| Component::<A>::try_from_f64(value).unwrap();
    let told = |quality: &SweepQuality<A>| shown(|line| text::quality(line, quality));
    let mut ripple = {
        let (report, survey) = swept::<A>(100.0, |step, old| {
            let angle = 1.3 * step as f64;
            let parts = [old.real().to_f64(), old.imaginary().to_f64()];
            gamma(parts[0] + 0.08 * angle.cos(), parts[1] - 0.08 * angle.sin())
        });
        survey.quality(&report).ripple.unwrap()
    };
    quality.noise = size(0.02);
    let held = told(&quality);
    assert!(held == BLANK || held == "noise           0.02", "{held}"); // the nearest word may be above
    quality.noise = size(0.034);
    assert_eq!(told(&quality), "noise           0.03");
    quality.noise = size(0.0);
    (ripple.size, ripple.period) = (size(0.0199), Hertz::from_kilohertz(7_140));
    quality.ripple = Some(ripple);
    assert_eq!(told(&quality), BLANK);
    ripple.size = size(0.052);
    quality.ripple = Some(ripple);
    assert_eq!(told(&quality), "ripple 0.05 7.14 MHz");
    ripple.period = Hertz::new(0);
    quality.ripple = Some(ripple);
    assert_eq!(told(&quality), "ripple          0.05");
    quality.unresolved = 1;
    assert_eq!(told(&quality), "    dip not resolved");
    quality.noise = size(0.034);
    assert_eq!(told(&quality), "noise           0.03");
    for (count, line) in [
        (1, "left out     1 point"),
        (999, "left out  999 points"),
        (1000, "left out >999 points"),
        (u32::MAX, "left out >999 points"),
    ] {
        quality.spoilt = count;
        assert_eq!(told(&quality), line);
    }
    quality.too_coarse = true;
    assert_eq!(told(&quality), "    sweep too coarse");
    quality.beyond_rim = u32::MAX;
    assert_eq!(told(&quality), "|refl|>1 >999 points");
    quality.uncorrected = true;
    assert_eq!(told(&quality), "   looks uncorrected");
}

#[test]
fn the_gravest_is_told() {
    every_family!(gravest_first);
}

/// Every word that a quantity can be given, sound or not.
fn any_word<Q: Quantity>() -> Vec<Q> {
    let mut words = vec![Q::ZERO, Q::MAX, Q::MIN];
    for exponent in -24..=24 {
        for digits in [1.0, 1.2345, 9.9994, 9.9996, 99.95, 999.5] {
            for sign in [1.0, -1.0] {
                words.extend(Q::try_from_f64(sign * digits * 10f64.powi(exponent)));
            }
        }
    }
    // Bits of a NaN and of the smallest and largest finite numbers; in fixed point just words.
    let all = if Q::STORED_BYTES == 8 {
        [0x7ff8 << 48, 1, 0x7fef_ffff_ffff_ffff]
    } else {
        [0x7fc0_0000, 1, 0x7f7f_ffff]
    };
    words.extend(all.map(Q::from_stored));
    words
}

/// Twenty columns hold every line, whatever the fields are given, and an older line is covered by it.
fn twenty_columns<A: Arithmetic>() {
    let mut lines = 0;
    let mut check = |write: &dyn Fn(&mut [u8]) -> Result<(), TextError>| {
        let mut line = [b'#'; 20];
        write(&mut line).unwrap();
        assert!(
            line.iter()
                .all(|byte| matches!(byte, b' '..=b'~') && *byte != b'#'),
            "{line:?}"
        );
        lines += 1;
    };
    let mut tell = |action: Action<A>, reason: Reason| {
        let step = step(action, reason);
        check(&|line| text::next_step(line, &step).map(drop));
    };
    use TuningElement::{Capacitance as C, Inductance as L, Length, Turns as Wound};
    for element in [L, C, Wound, Length] {
        for dip in [TARGET.get() - 1, TARGET.get(), TARGET.get() + 1] {
            let mut retune = Retune::<A>::new(element, Hertz::new(dip), TARGET).unwrap();
            for factor in any_word() {
                retune.factor = factor;
                tell(Action::Move(retune), Reason::DipAbove);
            }
        }
    }
    let mut reactors = vec![coil::<A>(), capacitor()];
    reactors.extend(
        any_word()
            .into_iter()
            .filter_map(|word| Some(Reactor::Inductor(Inductance::new(word).ok()?))),
    );
    reactors.extend(
        any_word()
            .into_iter()
            .filter_map(|word| Some(Reactor::Capacitor(Capacitance::new(word).ok()?))),
    );
    for part in reactors {
        for place in [Placement::Series, Placement::Across] {
            let part = AddedPart { place, part };
            tell(Action::Part(part), Reason::Reactance);
            for turns in [turns(1, 1), turns(9, 12), turns(12, 12), turns(255, 255)] {
                tell(Action::TurnsAndPart(turns, part), Reason::RatioAndReactance);
            }
        }
    }
    for toward in [Toward::Lower, Toward::Higher, Toward::Both] {
        for until in any_hertz() {
            tell(Action::SweepWider { toward, until }, Reason::TargetNotSwept);
        }
    }
    for reason in REASONS {
        for action in [
            Action::Leave,
            Action::NoDip,
            Action::MeasureAgain,
            Action::TakeOutLine,
        ] {
            tell(action, reason);
        }
    }
    for action in [Action::<A>::Leave, Action::NoDip] {
        let mut step = step(action, Reason::Matched);
        let mut expected = step.expected.unwrap();
        for least in any_word() {
            for most in any_word() {
                (expected.least, expected.most) = (least, most);
                step.expected = Some(expected);
                check(&|line| text::expected(line, &step).map(drop));
            }
        }
    }
    let (report, survey) = swept::<A>(100.0, |step, old| {
        let angle = 1.3 * step as f64;
        let parts = [old.real().to_f64(), old.imaginary().to_f64()];
        gamma(parts[0] + 0.08 * angle.cos(), parts[1] - 0.08 * angle.sin())
    });
    let mut quality = survey.quality(&report);
    let mut ripple = quality.ripple.unwrap();
    for size in any_word() {
        for period in any_hertz() {
            (ripple.size, ripple.period) = (size, period);
            quality.ripple = Some(ripple);
            check(&|line| text::quality(line, &quality).map(drop));
        }
        quality.ripple = None;
        quality.noise = size;
        check(&|line| text::quality(line, &quality).map(drop));
    }
    println!("{lines} lines");
}

fn any_hertz() -> Vec<Hertz> {
    let mut all = vec![Hertz::new(0), Hertz::new(u64::MAX), Hertz::new(i64::MAX as u64)];
    for power in 0..20 {
        for digits in [1u64, 9, 12, 999, 9_994, 9_996, 123_456] {
            all.push(Hertz::new(10u64.pow(power).saturating_mul(digits)));
        }
    }
    all
}

const REASONS: [Reason; 21] = [
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

#[test]
fn twenty_columns_hold_every_line() {
    every_family!(twenty_columns);
}

/// A negative factor, a NaN and what is beyond the digits are told as such, not as a number.
#[test]
fn what_is_no_size_is_no_number() {
    let moved = |factor: f32| {
        let mut retune = Retune::<f32>::new(TuningElement::Turns, Hertz::from_megahertz(70), TARGET).unwrap();
        retune.factor = factor.into();
        said(Action::Move(retune), Reason::DipBelow)
    };
    assert_eq!(moved(-0.5), "fewer turns      x ?");
    assert_eq!(moved(f32::NAN), "fewer turns      x ?");
    assert_eq!(moved(f32::INFINITY), "fewer turns x >65535");
    assert_eq!(moved(1e9), "fewer turns x >99999");
    assert_eq!(moved(99.9994), "fewer turns x 99.999");
    assert_eq!(moved(99.9996), "fewer turns  x 100.0");
    // The largest factor of fixed point is cut off.
    use ohmwright::arithmetic::Fixed32;
    let mut retune =
        Retune::<Fixed32>::new(TuningElement::Length, Hertz::new(u64::MAX), Hertz::new(1)).unwrap();
    assert!(retune.factor.is_at_end());
    assert_eq!(
        said(Action::Move(retune), Reason::DipAbove),
        "longer      x >65535"
    );
    retune.factor = Quantity::ZERO;
    assert_eq!(
        said(Action::Move(retune), Reason::DipAbove),
        "longer       x 0.000"
    );
    assert_eq!(Fixed32::FAMILY, Family::Fixed32);
}
