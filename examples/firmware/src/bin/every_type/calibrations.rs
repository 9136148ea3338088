//! Calibration, and the balance of two outputs.

use defmt::{println, unwrap};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::SweepSettings;
use ohmwright::measure::balance::{Balance, BalanceError, BalanceLimits, Output, Phasor};
use ohmwright::measure::calibration::{
    CalibrationError, CalibrationFailure, CalibrationPoint, CalibrationTable, Delay, Kit, LeastSquares,
    Offset, Polynomial, QualityCheck, QualityLimits, QualityVerdict, Recording, Role, Standard, Term,
};
use ohmwright::measure::{FrequencyPlan, PlanError, Refinement, RefinementError};
use ohmwright::quantity::{Component, Decibels, Degrees, Hertz, Reference, Reflection};
use ohmwright::show::text::TextError;
use ohmwright::stored::StoredError;

use crate::values::gamma;

pub fn calibrations<A: Arithmetic>() {
    let fifty = Reference::<A>::fifty();
    let power = Decibels::<A>::whole::<-10>();
    let offset = Offset {
        delay: Delay::from_femtoseconds(29_243),
        loss: 2_200,
    };
    println!("offset: {}; way back: {}", offset, -offset.delay);
    let fringe = Polynomial::from_thousandths([50_000, -300_000, 20_000, -120]);
    println!("polynomial: {}", fringe);
    println!("standard: {}", Standard::<A>::open(fringe).behind(offset));
    println!("kit: {}", Kit::<A>::IDEAL);
    let raw = [
        gamma::<A>(0.75, 0.125),
        gamma(-0.6875, -0.0625),
        gamma(0.0625, -0.03125),
    ];
    let mut buffer = [CalibrationPoint::<A>::EMPTY; 3];
    let mut recording = Recording::new(&mut buffer);
    for megahertz in [60, 70, 80] {
        for (role, raw) in Role::ALL.into_iter().zip(raw) {
            unwrap!(recording.push(role, Hertz::from_megahertz(megahertz), raw));
        }
    }
    println!("recording: {}", recording);
    let table = unwrap!(recording.solve(&Kit::IDEAL, fifty, power));
    println!("table: {}; point: {}", table, table.points()[0]);
    println!("survey: {}", table.survey());
    println!("corrector: {}", table.corrector());
    let mut bytes = [0; 192];
    let length = unwrap!(table.store(&mut bytes));
    let mut again = [CalibrationPoint::<A>::EMPTY; 3];
    println!(
        "stored: {}",
        unwrap!(CalibrationTable::load(&bytes[..length], &mut again)) == table
    );
    bytes[40] ^= 1;
    println!(
        "damaged: {}",
        CalibrationTable::<A>::load(&bytes, &mut again).err()
    );
    println!("limits: {}", QualityLimits::<A>::default());
    let mut check = QualityCheck::new(&table, Kit::IDEAL, QualityLimits::default());
    unwrap!(check.push_all(Hertz::from_megahertz(70), &raw));
    println!("{}: {}", check, check.report(table.conditions()));
    println!("refused: {}", check.push(Role::Load, Hertz::new(1), raw[2]));
    let mut fit = LeastSquares::<A>::new();
    for (known, raw) in [Reflection::OPEN, Reflection::SHORT, Reflection::MATCHED]
        .into_iter()
        .zip(raw)
    {
        fit.push(known, raw);
    }
    println!("{}: {}", fit, unwrap!(fit.solve()));
    fit.push(Reflection::MATCHED, gamma(0.0625, -0.0625));
    println!("{}: {}", fit, unwrap!(fit.solve()));
}

pub fn of_no_family() {
    println!("refused: {}", CalibrationError::OutOfRange(Term::Tracking));
    println!(
        "failure: {}",
        CalibrationFailure::at(Hertz::from_megahertz(60), CalibrationError::ImpossibleSourceMatch)
    );
    println!("verdict: {}", QualityVerdict::Exchanged(Role::Open, Role::Short));
    println!("refused: {}", BalanceError::Silent(Output::Second));
    println!("refused: {}", PlanError::TooManyPoints);
    println!("refused: {}", RefinementError::Full);
    println!("refused: {}", StoredError::Damaged);
    println!("refused: {}", TextError::BufferTooShort(20));
    let plan = FrequencyPlan::linear(Hertz::from_megahertz(68), Hertz::from_megahertz(74), 4);
    println!("plan: {}", unwrap!(plan));
}

pub fn balances<A: Arithmetic>() {
    let part = |value| unwrap!(Component::<A>::try_from_f64(value));
    let phasor = |re, im| unwrap!(Phasor::<A>::new(part(re), part(im)));
    println!("phasor: {}", phasor(0.5, 0.25));
    let balance = unwrap!(Balance::new(phasor(0.5, 0.0), phasor(-0.4375, 0.0625)));
    println!("balance: {}", balance);
    let limits = unwrap!(BalanceLimits::<A>::new(
        Decibels::whole::<1>(),
        Degrees::whole::<5>(),
        Decibels::whole::<25>(),
    ));
    println!("limits: {}; verdict: {}", limits, balance.verdict(&limits));
    let mut sweep = unwrap!(Refinement::<A, 4, 2>::new(
        SweepSettings::default(),
        Hertz::from_kilohertz(1)
    ));
    unwrap!(sweep.add(Hertz::from_megahertz(70), Reflection::MATCHED));
    println!("refinement: {}; next: {}", sweep, sweep.next());
}
