//! The lines of sixteen columns: none is longer, and none loses a sign, a unit or a digit that tells something. The oracle
//! is the standard library's rounding. All loads are invented.

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::design::transformer::Turns;
use ohmwright::measure::detector::{Channel, DetectorError};
use ohmwright::measure::{
    Action, AddedPart, Built, NextStep, Placement, Reason, Retune, SweepAnalyser, SweepReport, SweepSettings,
    SweepSurvey, Toward, TuningElement,
};
use ohmwright::quantity::{Capacitance, Hertz, Inductance, Reactor, Reference};
use ohmwright::show::text::{self, TextError, short};

use crate::text::{gamma, load};

/// The steps that are words alone, each with words of its own.
pub fn worded<A: Arithmetic>() -> [(Action<A>, Reason); 14] {
    [
        (Action::Leave, Reason::Matched),
        (Action::Leave, Reason::NothingGains),
        (Action::TakeOutLine, Reason::CableEnd),
        (Action::NoDip, Reason::Open),
        (Action::NoDip, Reason::Short),
        (Action::NoDip, Reason::FlatLoad),
        (Action::NoDip, Reason::CableEnd),
        (Action::NoDip, Reason::NoResistance),
        (Action::MeasureAgain, Reason::Noise),
        (Action::MeasureAgain, Reason::Spoilt),
        (Action::MeasureAgain, Reason::TooCoarse),
        (Action::MeasureAgain, Reason::BeyondRim),
        (Action::MeasureAgain, Reason::Uncorrected),
        (Action::MeasureAgain, Reason::NoSweep),
    ]
}

/// The line, blanks between label and value as they are.
fn shown(write: impl FnOnce(&mut [u8]) -> Result<&str, TextError>) -> String {
    let mut line = [b'#'; 16];
    let line = write(&mut line).unwrap().to_string();
    assert_eq!(line.len(), 16, "{line:?}");
    line
}

#[test]
fn impedances_keep_sign_unit_and_three_digits() {
    let said = |r: f64, x: f64| shown(|line| short::impedance(line, load::<f64>(r, x)));
    assert_eq!(said(50.0, 25.0), "Z 50.0+j25.0 ohm");
    assert_eq!(said(-50.0, -25.0), " -50.0-j25.0 ohm");
    assert_eq!(said(1.6, -5.0), "Z 1.60-j5.00 ohm");
    assert_eq!(said(-9.99, 9.99), " -9.99+j9.99 ohm");
    assert_eq!(said(1234.0, -4567.0), "Z 1234-j4567 ohm");
    assert_eq!(said(524_288.0, -524_288.0), "Z  524-j524 kohm");
    assert_eq!(said(-12_300.0, 45_600.0), "-12.3+j45.6 kohm");
    assert_eq!(said(2e6, 1.0), "Z      >999 kohm");
    assert_eq!(
        shown(|line| short::impedance(line, ohmwright::double::Impedance::OPEN)),
        "Z           open"
    );
}

fn every_impedance<A: Arithmetic>() {
    let sizes = [
        0.0, 0.004, 0.126, 1.0, 9.994, 9.996, 43.2, 99.94, 99.96, 512.0, 999.4, 1234.0, 9_999.4, 47_110.0,
        99_960.0, 524_000.0,
    ];
    for r in sizes {
        for x in sizes {
            for (r, x) in [(r, x), (r, -x), (-r, x), (-r, -x)] {
                let load = load::<A>(r, x);
                let line = shown(|line| short::impedance(line, load));
                let value = line.trim_start_matches('Z').trim_start();
                let (number, unit) = value.split_once(' ').unwrap();
                let scale = match unit {
                    "ohm" => 1.0,
                    "kohm" => 1e3,
                    _ => panic!("{line}"),
                };
                let split = number.find('j').unwrap();
                let sign = if number.as_bytes()[split - 1] == b'-' {
                    -1.0
                } else {
                    1.0
                };
                let real: f64 = number[..split - 1].parse().unwrap();
                let imaginary: f64 = sign * number[split + 1..].parse::<f64>().unwrap();
                // Three digits of the larger part: half a unit in the third, and the word of the family.
                let size = r.abs().max(x.abs());
                let bound = (size * 0.5e-2).max(0.005) + 2.5e-4;
                for (shown, meant) in [(real, r), (imaginary, x)] {
                    assert!((shown * scale - meant).abs() <= bound, "{r} {x}: {line}");
                    assert!(
                        meant == 0.0 || shown == 0.0 || shown.signum() == meant.signum(),
                        "{r} {x}: {line}"
                    );
                }
            }
        }
    }
}

#[test]
fn impedances_from_milliohms_to_half_a_megohm() {
    every_impedance::<f64>();
    every_impedance::<f32>();
    every_impedance::<Fixed32>();
    every_impedance::<Fixed16>();
}

/// Of a series circuit of this resistance, round its resonance.
pub fn report<A: Arithmetic>(target: Option<Hertz>, r: f64, centre: f64) -> (SweepReport<A, 4>, SweepSurvey) {
    let mut analyser = SweepAnalyser::<A, 4>::new(SweepSettings {
        target,
        ..Default::default()
    })
    .unwrap();
    let mut survey = SweepSurvey::new();
    for step in 0..=40u64 {
        let at = Hertz::new((centre * (0.9 + 0.005 * step as f64)) as u64);
        let ratio = at.get() as f64 / centre;
        let g = load::<A>(r, 200.0 * (ratio - 1.0 / ratio)).reflection(Reference::fifty());
        analyser.push(at, g).unwrap();
        survey.push(at, g).unwrap();
    }
    (analyser.report(), survey)
}

/// From 9 kHz to 30 GHz, and SWR from 1 to infinity.
#[test]
fn reports_of_every_frequency_and_swr() {
    for (centre, unit) in [
        (10e3, "kHz"),
        (455e3, "kHz"),
        (71e6, "MHz"),
        (888.8e6, "MHz"),
        (29e9, "GHz"),
    ] {
        for (r, pass) in [(50.0, true), (40.0, true), (3.0, false), (0.0, false)] {
            let (with, _) = report::<Fixed32>(Some(Hertz::new(centre as u64)), r, centre);
            let (without, _) = report::<Fixed32>(None, r, centre);
            let line = shown(|line| short::verdict(line, &with));
            let words: Vec<&str> = line.split_whitespace().collect();
            assert_eq!(words[..2], [if pass { "pass" } else { "fail" }, "SWR"], "{line}");
            let swr = if r == 0.0 { 65_535.0 } else { 50.0 / r };
            let got: f64 = words[2].trim_start_matches('>').parse().unwrap();
            assert!((got - swr).abs() <= 0.051, "{line}: {swr}");
            assert_eq!(words[2].starts_with('>'), r == 0.0, "{line}");
            for line in [
                shown(|line| short::place(line, &with)),
                shown(|line| short::dip(line, &without)),
                shown(|line| text::frequency(line, Hertz::new(centre as u64))),
            ] {
                // Without resistance there is no best point.
                if r == 0.0 {
                    continue;
                }
                assert!(line.ends_with(unit), "{line}");
                let digits = line.bytes().filter(u8::is_ascii_digit).count();
                assert_eq!(digits, 6, "{line}");
            }
            let band = shown(|line| short::band(line, &without));
            assert_eq!(band.ends_with("none"), !pass, "{band}");
            // The narrow lines of a small screen.
            for columns in 11..=16 {
                let mut line = [b'#'; 16];
                let verdict = short::verdict(&mut line[..columns], &with).unwrap().to_string();
                assert!(verdict.ends_with(words[2]), "{verdict}");
            }
            for line in [
                shown(|line| text::swr(line, gamma::<Fixed32>(-1.0 + 1e-9, 0.0))),
                shown(|line| text::return_loss(line, gamma::<Fixed32>(0.0, 0.0))),
            ] {
                assert!(
                    line.ends_with("infinite") || line.ends_with("infinite dB") || line.contains('>'),
                    "{line}"
                );
            }
        }
    }
    let empty = SweepAnalyser::<Fixed32, 4>::new(SweepSettings::default())
        .unwrap()
        .report();
    assert_eq!(shown(|line| short::verdict(line, &empty)).trim(), "no sweep");
    assert_eq!(shown(|line| short::dip(line, &empty)).trim(), "no dip");
    let (outside, _) = report::<Fixed32>(Some(Hertz::from_megahertz(144)), 40.0, 71e6);
    assert_eq!(shown(|line| short::verdict(line, &outside)).trim(), "not swept");
    let mut lines = [[b'#'; 16]; 2];
    let [one, two] = &mut lines;
    short::band_edges([one, two], Hertz::new(63_412_300), Hertz::new(145_022_100)).unwrap();
    assert_eq!([&lines[0], &lines[1]], [b"from 63.4123 MHz", b"to   145.022 MHz"]);
}

#[test]
fn every_step_has_a_line() {
    let (report, survey) = report::<Fixed32>(Some(Hertz::from_megahertz(73)), 40.0, 71e6);
    let step = NextStep::new(&report, &survey, &Built::new(TuningElement::Length)).unwrap();
    let said = |action, reason| {
        let mut step = step;
        (step.action, step.reason) = (action, reason);
        shown(|line| short::next_step(line, &step))
    };
    let moved = |element, kilohertz| {
        let retune = Retune::new(
            element,
            Hertz::from_kilohertz(kilohertz),
            Hertz::from_megahertz(71),
        )
        .unwrap();
        said(Action::Move(retune), Reason::DipBelow)
    };
    assert_eq!(moved(TuningElement::Capacitance, 67_500), "less C    x0.904");
    assert_eq!(moved(TuningElement::Turns, 67_100), "turns     x0.945");
    assert_eq!(moved(TuningElement::Length, 67_100), "shorter   x0.945");
    assert_eq!(moved(TuningElement::Length, 75_000), "longer    x1.056");
    assert_eq!(moved(TuningElement::Inductance, 75_000), "more L    x1.116");
    let coil = Reactor::Inductor(Inductance::<Fixed32>::from_picohenries(89_660));
    let capacitor = Reactor::Capacitor(Capacitance::<Fixed32>::from_femtofarads(68_000));
    let largest = Reactor::Inductor(Inductance::<Fixed32>::from_picohenries(u32::MAX));
    let part = |place, part| said(Action::Part(AddedPart { place, part }), Reason::Reactance);
    assert_eq!(part(Placement::Series, capacitor), "series C 68.0 pF");
    assert_eq!(part(Placement::Across, coil), "across L 89.7 nH");
    assert_eq!(part(Placement::Across, largest), "across L>4.29 mH");
    let turns = |primary, secondary| Turns::new(primary, secondary).unwrap();
    assert_eq!(
        said(Action::Turns(turns(255, 254)), Reason::Ratio),
        "turns  255 : 254"
    );
    let both = |place, part| Action::TurnsAndPart(turns(255, 254), AddedPart { place, part });
    assert_eq!(
        said(both(Placement::Across, coil), Reason::Ratio),
        "255:254 across L"
    );
    let mut with_part = step;
    with_part.action = both(Placement::Series, capacitor);
    assert_eq!(
        shown(|line| short::added_part(line, &with_part)),
        "series C 68.0 pF"
    );
    for (toward, label) in [
        (Toward::Lower, "start"),
        (Toward::Higher, "stop"),
        (Toward::Both, "wider"),
    ] {
        for (until, value) in [
            (9_000, "9.00 kHz"),
            (30_000_000_000, "30.0 GHz"),
            (50_200_000, "50.2 MHz"),
        ] {
            let line = said(
                Action::SweepWider {
                    toward,
                    until: Hertz::new(until),
                },
                Reason::DipBelow,
            );
            assert!(line.starts_with(label) && line.ends_with(value), "{line}");
        }
    }
    // Each reason has words of its own.
    let mut lines = Vec::new();
    for (action, reason) in worded() {
        lines.push(said(action, reason));
    }
    lines.sort();
    lines.dedup();
    assert_eq!(lines.len(), 14, "{lines:?}");
    let expected = shown(|line| short::expected(line, &step));
    assert!(
        expected.starts_with("SWR ") && expected.contains(" to "),
        "{expected}"
    );
}

#[test]
fn doubts_and_refusals_have_lines() {
    let (report, survey) = report::<Fixed32>(None, 40.0, 71e6);
    let clean = survey.quality(&report);
    let said = |quality| shown(|line| short::quality(line, &quality));
    assert_eq!(said(clean), "                ");
    let mut ill = clean;
    ill.spoilt = 2;
    assert_eq!(said(ill), "left out       2");
    ill.too_coarse = true;
    assert_eq!(said(ill).trim(), "sweep too coarse");
    ill.beyond_rim = u32::MAX;
    assert_eq!(said(ill), "|refl|>1    >999");
    ill.uncorrected = true;
    assert_eq!(said(ill).trim(), "not corrected?");
    let mut unresolved = clean;
    unresolved.unresolved = 1;
    assert_eq!(said(unresolved).trim(), "dip not resolved");
    let refused = |error| shown(|line| short::refused(line, &error));
    assert_eq!(
        refused(DetectorError::Overload(Channel::Forward)),
        "overload     fwd"
    );
    assert_eq!(
        refused(DetectorError::Overload(Channel::Across)),
        "overload  across"
    );
    assert_eq!(
        refused(DetectorError::TooWeak(Channel::Across)),
        "no signal across"
    );
    assert_eq!(
        refused(DetectorError::TooWeak(Channel::Reference)),
        "no signal    ref"
    );
    assert_eq!(
        refused(DetectorError::BelowTable(Channel::Reverse)),
        "too low      rev"
    );
    assert_eq!(
        refused(DetectorError::AboveTable(Channel::Reverse)),
        "too high     rev"
    );
    assert_eq!(refused(DetectorError::NoTriangle).trim(), "no triangle");
    assert_eq!(refused(DetectorError::OutOfRange).trim(), "out of range");
    assert_eq!(refused(DetectorError::TableTooShort).trim(), "not a reading");
    // A line that is too short is blank, and says how long it must be.
    let mut line = [b'#'; 8];
    let error = short::refused(&mut line, &DetectorError::OutOfRange);
    assert_eq!(error, Err(TextError::BufferTooShort(12)));
    assert_eq!(line, [b' '; 8]);
}
