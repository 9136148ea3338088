//! Loads, real transformers, coils, and what was predicted.

use defmt::{println, unwrap};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::design::load::{LoadCircuit, LoadTable, LookingIn, OneSide, PushPull, StandIn};
use ohmwright::design::transformer::{
    HalfTurns, HalfTurnsRanking, ImpedanceSide, LineKind, LineTransformer, OpenShortTest, RealTransformer,
    Remedy, TransformerFit, Turns,
};
use ohmwright::design::winding::{
    AirCoil, CoilFormula, Conductor, InductanceFactor, RingCore, RoundWire, SineVoltage, peak_flux_density,
};
use ohmwright::measure::PredictionCheck;
use ohmwright::quantity::{
    Capacitance, Hertz, Inductance, Metres, Ohms, Reference, Swr, VelocityFactor, Volts,
};

use crate::values::ohms;

pub fn real_transformers<A: Arithmetic>() {
    let fifty = Reference::<A>::fifty();
    let (mhz, load) = (Hertz::from_megahertz(1), ohms::<A>(2.25, 0.0));
    let turns = unwrap!(Turns::new(5, 1));
    let coil = Inductance::<A>::from_picohenries;
    let wound = unwrap!(RealTransformer::<A>::wound(
        turns,
        coil(20_000_000),
        coil(100_000)
    ));
    println!("real: {}", wound);
    println!(
        "refused: {}",
        RealTransformer::<A>::wound(turns, coil(5), coil(6))
    );
    println!("tee: {}", unwrap!(wound.tee(mhz)));
    let range = [Hertz::from_kilohertz(10), Hertz::from_megahertz(500)];
    let band = wound.useful_band(
        &load,
        fifty,
        Swr::thousandths::<1_500>(),
        Hertz::from_megahertz(5),
        range,
    );
    println!("band: {}", unwrap!(band));
    let lines = LineTransformer::<A>::new(
        LineKind::Guanella(2),
        Ohms::whole::<100>(),
        Metres::thousandths::<500>(),
        VelocityFactor::thousandths::<750>(),
    );
    println!(
        "lines: {}; {}; {}",
        unwrap!(lines),
        LineKind::Ruthroff,
        ImpedanceSide::High
    );
    let test = OpenShortTest::<A> {
        primary_open: ohms(0.5, 62.75),
        primary_shorted: ohms(1.0, 6.25),
        secondary_open: ohms(2.0, 251.25),
        frequency: mhz,
    };
    println!("test: {}; recovered: {}", test, test.recover());
    let resistor = Ohms::thousandths::<2_250>();
    let mut fit = unwrap!(TransformerFit::<A>::new(resistor, fifty));
    for mhz in 1..=30 {
        let frequency = Hertz::from_megahertz(mhz);
        let gamma = unwrap!(wound.reflection(load, frequency, fifty));
        unwrap!(fit.push(frequency, gamma));
    }
    println!("fit: {}", fit);
    println!("fitted: {}", fit.finish());
    println!(
        "refused: {}",
        unwrap!(TransformerFit::<A>::new(resistor, fifty)).finish()
    );
    println!("halves: {}", unwrap!(HalfTurns::new(3, 8)));
    let ranking = HalfTurnsRanking::<A, 2>::new(ohms(28.0, 0.0), fifty, None, 2, Remedy::TurnsAlone);
    println!("ranking: {}", unwrap!(ranking));
}

pub fn loads<A: Arithmetic>() {
    let (coil, trimmer) = (
        Inductance::<A>::from_picohenries(11_000),
        Capacitance::<A>::from_femtofarads(150_000),
    );
    let rows = [
        (Hertz::from_megahertz(66), ohms::<A>(2.0, -3.0)),
        (Hertz::from_megahertz(74), ohms(1.5, -1.0)),
    ];
    println!("table: {}", unwrap!(LoadTable::new(&rows)));
    println!("refused: {}", LoadTable::new(&[rows[1], rows[0]]));
    let resistance = Ohms::whole::<8>();
    println!(
        "circuits: {}; {}; {}",
        LoadCircuit::Series {
            resistance,
            inductance: coil,
            capacitance: Some(trimmer)
        },
        LoadCircuit::ParallelBehindLead {
            resistance,
            capacitance: trimmer,
            lead: coil
        },
        LoadCircuit::Parallel {
            resistance,
            inductance: Some(coil),
            capacitance: trimmer
        }
    );
    let side = OneSide(LookingIn::new(ohms::<A>(0.875, -1.25)));
    println!(
        "conventions: {}; {}; {}",
        side,
        side.side_to_side(),
        side.0.wants()
    );
    println!(
        "stage: {}",
        unwrap!(PushPull::<A>::new(
            Volts::thousandths::<13_750>(),
            Volts::whole::<1>()
        ))
    );
    let frequency = Hertz::from_megahertz(71);
    for load in [ohms::<A>(1.75, -2.5), ohms(20.0, 35.0), ohms(50.0, 0.0)] {
        let stand_in = unwrap!(StandIn::series(load, frequency));
        println!("stand-in: {}; {}", stand_in, stand_in.with_leads(coil));
        println!("parts: {}", unwrap!(StandIn::parallel(load, frequency)).parts());
    }
}

pub fn prediction<A: Arithmetic>() {
    let mut check = PredictionCheck::<A>::new(Reference::fifty());
    println!("check: {}", check);
    for step in 0..=20u32 {
        let frequency = Hertz::from_kilohertz(60_000 + 1_000 * step);
        let z = |times: f64| ohms::<A>(40.0 * times, times * (f64::from(step) * 4.0 - 40.0));
        let gamma = |times| z(times).reflection(Reference::fifty());
        unwrap!(check.push(frequency, gamma(1.25), gamma(1.0)));
    }
    let report = unwrap!(check.report());
    println!("report: {}", report);
    for explanation in report.explanations() {
        println!("explanation: {}", *explanation);
    }
}

pub fn windings() {
    let coil = unwrap!(AirCoil::<f32>::from_millimetres(5.0, 8.0, 9.0));
    println!("coil: {}; by {}", coil, CoilFormula::Lundin);
    println!("refused: {}", AirCoil::<f32>::new(0.0, 1.0, 1.0));
    let factor = unwrap!(InductanceFactor::<f32>::from_nanohenries(420.0));
    println!("factor: {}", factor);
    println!("ring: {}", RingCore::<f32>::from_millimetres(36.0, 23.0, 15.0));
    println!("refused: {}", RingCore::<f32>::new(1.0, 2.0, 1.0));
    let drive = unwrap!(SineVoltage::<f32>::from_peak(64.0));
    println!("drive: {}", drive);
    println!(
        "flux: {}",
        peak_flux_density(drive, Hertz::from_megahertz(7), 3, 2e-5)
    );
    println!("metal: {}", Conductor::<f32>::copper());
    println!("wire: {}", unwrap!(RoundWire::<f32>::of_gauge(20)));
}
