//! Settings, reports and quantities through JSON (`serde`): what is written is read back to the bit in each family, and
//! nothing is read that could not be built.

use ohmwright::arithmetic::{Arithmetic, Floating};
use ohmwright::control::{
    BankCapacitor, Command, Outcome, Positions, SensorReading, Setting, Side, TunerReport, TunerSettings,
};
use ohmwright::design::ladder::{Element, Ladder, Part, StubEnd};
use ohmwright::design::line::Line;
use ohmwright::design::load::PushPull;
use ohmwright::design::matching::{MatchPlans, RankSettings, rank};
use ohmwright::design::preferred::Tolerance;
use ohmwright::design::transformer::{HalfTurns, Turns, TurnsChoice};
use ohmwright::measure::calibration::{ErrorTerms, QualityLimits};
use ohmwright::measure::{MaskCheck, MaskReport, MaskSegment, SweepAnalyser, SweepReport, SweepSettings};
use ohmwright::quantity::{
    Admittance, Capacitance, Decibels, Hertz, Impedance, Inductance, Ohms, QFactor, Reactor, Reference,
    Reflection, Swr, VelocityFactor, Watts,
};
use serde::de::DeserializeOwned;
use serde::de::value::{Error, F64Deserializer};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

/// Written, read and compared; the text as a value.
#[track_caller]
fn through_json<T: Serialize + DeserializeOwned + PartialEq + core::fmt::Debug>(value: T) -> Value {
    let text = serde_json::to_string(&value).unwrap();
    assert_eq!(serde_json::from_str::<T>(&text).unwrap(), value, "{text}");
    serde_json::from_str(&text).unwrap()
}

fn read<T: DeserializeOwned>(value: Value) -> Result<T, String> {
    serde_json::from_value(value).map_err(|error| error.to_string())
}

fn ohms<A: Arithmetic>(resistance: f64, reactance: f64) -> Impedance<A> {
    Impedance::try_from_f64(resistance, reactance).unwrap()
}

fn sweep<A: Arithmetic>() -> (SweepReport<A, 2>, MaskReport<A, 2>) {
    let settings = SweepSettings {
        target: Some(Hertz::from_megahertz(71)),
        ..Default::default()
    };
    let mask = [(69, 71), (71, 74)].map(|(low, high)| MaskSegment {
        low: Hertz::from_megahertz(low),
        high: Hertz::from_megahertz(high),
        swr_limit: Swr::whole::<2>(),
    });
    let mut analyser = SweepAnalyser::<A, 2>::new(settings).unwrap();
    let mut check = MaskCheck::<A, 2>::new(&mask).unwrap();
    for step in 0..=24u32 {
        let frequency = Hertz::from_kilohertz(64_000 + 500 * step);
        let gamma = ohms::<A>(36.0, f64::from(step) * 12.5 - 148.0).reflection(Reference::fifty());
        analyser.push(frequency, gamma).unwrap();
        check.push(frequency, gamma).unwrap();
    }
    (analyser.report(), check.report())
}

fn settings_and_reports<A: Arithmetic>() {
    through_json(SweepSettings::<A>::default());
    through_json(TunerSettings::<A>::default());
    through_json(QualityLimits::<A>::default());
    let (report, mask) = sweep::<A>();
    let written = through_json(report);
    assert_eq!(written["points"], 25);
    assert_eq!(written["dips"].as_array().unwrap().len(), 1);
    assert_eq!(written["reference"], 50.0);
    through_json(mask);
    // Before the first point: nothing is covered.
    through_json(
        SweepAnalyser::<A, 1>::new(SweepSettings::default())
            .unwrap()
            .report(),
    );
    let mut report = TunerReport::<A>::new(Outcome::Matched);
    report.setting = Some(Setting {
        side: Side::Load,
        ..Setting::BYPASS
    });
    report.swr = Some(Swr::MAX);
    through_json(Command::Done(report));
    through_json(Command::<A>::Switch(Positions::default()));
    through_json(SensorReading::Vector(Reflection::<A>::SHORT));
    through_json(BankCapacitor::<A>::lossless(Capacitance::from_femtofarads(
        150_000,
    )));
}

fn quantities<A: Arithmetic>() {
    assert_eq!(through_json(Hertz::from_megahertz(71)), 71_000_000);
    assert_eq!(through_json(Reference::<A>::fifty()), 50.0);
    // In henries and farads, whatever the family's word.
    for (count, henries) in [(0, 0.0), (120_000, 120e-9), (u32::MAX - 1, 4.294_967_294e-3)] {
        let written = through_json(Inductance::<A>::from_picohenries(count))
            .as_f64()
            .unwrap();
        assert!((written - henries).abs() <= 1e-7 * henries, "{written}");
        let written = through_json(Capacitance::<A>::from_femtofarads(count))
            .as_f64()
            .unwrap();
        assert!((written - henries / 1e3).abs() <= 1e-7 * henries, "{written}");
    }
    for z in [
        ohms::<A>(36.0, -21.5),
        ohms(-0.25, 0.0),
        Impedance::OPEN,
        Impedance::SHORT,
    ] {
        through_json(z);
        through_json::<Admittance<A>>(z.admittance());
        through_json(z.parallel_form());
        through_json(z.reflection(Reference::fifty()).readouts(Reference::fifty()));
    }
    through_json(ErrorTerms::<A>::PERFECT);
    through_json(Turns::new(3, 1).unwrap());
    through_json(HalfTurns::new(3, 8).unwrap());
    let choice = TurnsChoice::new(
        Turns::new(3, 1).unwrap(),
        ohms::<A>(1.6, 5.0),
        Reference::fifty(),
        None,
    );
    through_json(choice.unwrap());
    let line = Line::<A>::new(
        Ohms::whole::<75>(),
        VelocityFactor::thousandths::<750>(),
        ohmwright::quantity::Metres::whole::<12>(),
    );
    let line = line.unwrap();
    through_json(line);
    let lossy = line
        .with_loss(Decibels::thousandths::<6_500>(), Hertz::from_megahertz(100))
        .unwrap();
    through_json(lossy);
    let coil = Part::<A>::reactor(Reactor::Inductor(Inductance::from_picohenries(500))).unwrap();
    let mut ladder = Ladder::<A, 3>::new();
    ladder
        .push(Element::Series(coil.with_q(QFactor::whole::<100>()).unwrap()))
        .unwrap();
    ladder
        .push(Element::Shunt(Part::stub(lossy, StubEnd::Open).unwrap()))
        .unwrap();
    ladder
        .push(Element::Transformer(Turns::new(2, 1).unwrap()))
        .unwrap();
    through_json(ladder);
}

/// What a constructor refuses is refused here; beside it what it takes.
fn refused<A: Arithmetic>() {
    let z = |resistance: Value| read::<Impedance<A>>(json!({ "resistance": resistance, "reactance": 0.0 }));
    assert_eq!(z(json!(36)).unwrap(), ohms(36.0, 0.0));
    assert_eq!(z(json!("inf")).unwrap(), Impedance::OPEN);
    for wrong in [json!(null), json!("-inf"), json!("50"), json!(1e300)] {
        // A float may hold 1e300; where it may, Γ is what refuses it.
        let gamma = read::<Reflection<A>>(json!({ "real": wrong, "imaginary": 0.0 }));
        assert!(gamma.is_err(), "{wrong}");
    }
    assert!(z(json!(null)).is_err() && z(json!("50")).is_err());

    assert!(read::<Reference<A>>(json!(75.0)).is_ok());
    for wrong in [0.0, -50.0] {
        let error = read::<Reference<A>>(json!(wrong)).unwrap_err();
        assert_eq!(error, "reference must be greater than zero");
    }
    assert!(read::<Inductance<A>>(json!(1e-7)).is_ok() && read::<Capacitance<A>>(json!(1e-12)).is_ok());
    assert!(read::<Inductance<A>>(json!(-1e-7)).is_err() && read::<Capacitance<A>>(json!(-1e-12)).is_err());
    assert!(read::<Turns>(json!({ "primary": 3, "secondary": 1 })).is_ok());
    assert!(read::<Turns>(json!({ "primary": 3, "secondary": 0 })).is_err());
    let stage =
        |supply, saturation| read::<PushPull<A>>(json!({ "supply": supply, "saturation": saturation }));
    assert!(stage(13.5, 1.0).is_ok() && stage(1.0, 13.5).is_err());
    let line = |velocity: f64| {
        read::<Line<A>>(json!({
            "impedance": 50.0, "velocity_factor": velocity, "length": 12.0,
            "loss_per_hundred_metres": 0.0, "loss_at": 0,
        }))
    };
    assert!(line(0.75).is_ok() && line(1.5).is_err());
    let coil = |loss: f64| read::<Part<A>>(json!({ "Reactor": [{ "Inductor": 1e-7 }, { "Q": loss }] }));
    assert!(coil(100.0).is_ok() && coil(-1.0).is_err());

    // A report says under which limit it was made, and that is checked.
    let (report, _) = sweep::<A>();
    let mut written = serde_json::to_value(&report).unwrap();
    written["swr_limit"] = json!(0.5);
    assert!(read::<SweepReport<A, 2>>(written).is_err());
    // More than there is room for.
    let written = serde_json::to_value(&report).unwrap();
    assert!(read::<SweepReport<A, 0>>(written).is_err());

    // JSON has no NaN: here it comes from another format.
    let number = |value: f64| Ohms::<A>::deserialize(F64Deserializer::<Error>::new(value));
    assert!(number(50.0).is_ok() && number(f64::NAN).is_err());
    assert_eq!(number(f64::INFINITY).unwrap(), Ohms::MAX);
}

fn ranked<F: Floating>() {
    let mut settings = RankSettings::<F>::new(Reference::fifty(), Hertz::from_megahertz(71));
    settings.coil_tolerance = Tolerance::new(F::try_from_f64(0.05).unwrap()).unwrap();
    through_json(settings);
    let plans: MatchPlans<F, 2> = rank(&settings, |_| Some(ohms(10.0, 10.0))).unwrap();
    through_json(plans);
    assert!(read::<Tolerance<F>>(json!(1.5)).is_err() && read::<Tolerance<F>>(json!(-0.1)).is_err());
    assert!(read::<Tolerance<F>>(json!(0.1)).is_ok());
}

#[test]
fn settings_and_reports_come_back() {
    every_family!(settings_and_reports);
}

#[test]
fn quantities_come_back() {
    every_family!(quantities);
}

#[test]
fn what_no_constructor_takes_is_refused() {
    every_family!(refused);
}

#[test]
fn plans_come_back() {
    ranked::<f32>();
    ranked::<f64>();
}

/// What one family wrote another reads, to the nearest word.
#[test]
fn families_read_each_other() {
    let written = serde_json::to_value(TunerSettings::<f64>::default()).unwrap();
    let fixed: TunerSettings<ohmwright::arithmetic::Fixed32> = read(written).unwrap();
    assert!(
        (fixed.switching_limit.to_f64() - TunerSettings::<f64>::default().switching_limit.get()).abs() < 1e-3
    );
    assert_eq!(
        read::<Watts<ohmwright::arithmetic::Fixed32>>(json!("inf")).unwrap(),
        Watts::MAX
    );
}
