//! Readings placed where they tell most, against a dense sweep and against even grids. All circuits are invented.

use crate::circuits::{Circuit, analyse, even, quantile};
use crate::common::Random;
use ohmwright::arithmetic::Arithmetic;
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::measure::{FrequencyPlan, NextReading, Refinement, RefinementError, SweepSettings};
use ohmwright::quantity::{Hertz, QuantityError, Reflection};

const START: u64 = 100_000_000;
const STOP: u64 = 200_000_000;
const WANTED: u64 = 1_000;
/// Eleven points: one every 10 MHz.
const COARSE: u32 = 11;

type Sweep<A> = Refinement<A, 64, 4>;

/// Γ of the circuit at a frequency, in the family's words.
fn reading<A: Arithmetic>(
    circuit: &Circuit,
    frequency: Hertz,
    noise: &mut dyn FnMut() -> f64,
) -> Reflection<A> {
    let gamma = circuit.gamma(frequency.get() as f64);
    Reflection::try_from_f64(gamma.re + noise(), gamma.im + noise()).unwrap()
}

fn refined<A: Arithmetic>(circuit: &Circuit, noise: &mut dyn FnMut() -> f64) -> (Sweep<A>, NextReading) {
    let mut sweep = Sweep::<A>::new(SweepSettings::default(), Hertz::new(WANTED)).unwrap();
    let plan = FrequencyPlan::linear(Hertz::new(START), Hertz::new(STOP), COARSE).unwrap();
    for frequency in plan.iter() {
        sweep.add(frequency, reading(circuit, frequency, noise)).unwrap();
    }
    loop {
        match sweep.next() {
            NextReading::At(frequency) => sweep.add(frequency, reading(circuit, frequency, noise)).unwrap(),
            end => return (sweep, end),
        }
    }
}

fn silent() -> f64 {
    0.0
}

/// Invented loads whose dip the coarse sweep can show: Q from 3 to 12 near the middle, a match from fair to good, and
/// up to 0.4 m of cable.
fn loads() -> Vec<Circuit> {
    let mut random = Random::new(77);
    (0..120)
        .map(|turn| {
            let resonance = random.between(1.2e8, 1.8e8);
            let q = random.between(3.0, 12.0);
            let circuit = if turn % 2 == 0 {
                Circuit::series(random.between(30.0, 80.0), q, resonance)
            } else {
                Circuit::parallel(random.between(30.0, 80.0), q, resonance)
            };
            circuit.behind(50.0, random.between(0.0, 2e-9))
        })
        .collect()
}

/// The dip and the edges at SWR 2 on a dense sweep of doubles.
fn truth(circuit: &Circuit) -> (u64, Vec<u64>) {
    let grid = even(START, STOP, 20_001);
    let report = analyse::<f64, 4>(SweepSettings::default(), &circuit.points(&grid));
    let edges = report
        .bands()
        .iter()
        .flat_map(|band| [(band.low, band.low_open), (band.high, band.high_open)])
        .filter(|(_, open)| !open)
        .map(|(edge, _)| edge.get())
        .collect();
    (report.best().unwrap().frequency.get(), edges)
}

/// How far from the truth the worst figure of a sweep is, in hertz.
fn worst<A: Arithmetic>(sweep: &Sweep<A>, truth: &(u64, Vec<u64>)) -> u64 {
    let report = sweep.report();
    let mut worst = report.best().unwrap().frequency.get().abs_diff(truth.0);
    for edge in &truth.1 {
        let nearest = report
            .bands()
            .iter()
            .flat_map(|band| [band.low.get(), band.high.get()])
            .map(|found| found.abs_diff(*edge))
            .min();
        worst = worst.max(nearest.unwrap_or(u64::MAX));
    }
    worst
}

fn law<A: Arithmetic>() {
    let mut readings = Vec::new();
    let mut errors = Vec::new();
    for circuit in loads() {
        let (sweep, end) = refined::<A>(&circuit, &mut silent);
        assert_eq!(end, NextReading::Settled, "{circuit:?}");
        errors.push(worst(&sweep, &truth(&circuit)) as f64);
        readings.push(sweep.readings() as f64);
    }
    let (most, median) = (quantile(&readings, 1.0), quantile(&readings, 0.5));
    let error = quantile(&errors, 1.0);
    println!(
        "{:?}: {median} readings in the median, {most} at most; worst {error} Hz",
        A::FAMILY
    );
    let wanted = WANTED as f64;
    // One step of 2⁻¹⁵ in Γ moves a flat dip by more than a kilohertz: there the bound is what a step moves it.
    assert!(
        error
            <= if A::FAMILY == Family::Fixed16 {
                120.0 * wanted
            } else {
                wanted
            }
    );
    assert!(median <= 20.0 && most <= 34.0);
}

#[test]
fn every_dip_and_edge_is_known_to_the_wanted_error() {
    every_family!(law);
}

/// A control: the coarse sweep by itself does not know them so well.
#[test]
fn the_coarse_sweep_alone_is_worse() {
    let mut worse = 0;
    for circuit in loads() {
        let mut sweep = Sweep::<f64>::new(SweepSettings::default(), Hertz::new(WANTED)).unwrap();
        for frequency in even(START, STOP, COARSE as usize).into_iter().map(Hertz::new) {
            sweep
                .add(frequency, reading(&circuit, frequency, &mut silent))
                .unwrap();
        }
        worse += u32::from(worst(&sweep, &truth(&circuit)) > 2 * WANTED);
    }
    assert!(worse > 40, "only {worse} of 120");
}

/// Against even grids. By its lowest sample one of a hundred times as many points does not know the dip so well. Read by the
/// analyser's curves, one of as many points does, where the readings are clean and the load is one resonance.
#[test]
fn what_an_even_grid_knows() {
    let mut by_curves = Vec::new();
    for circuit in loads() {
        let (dip, _) = truth(&circuit);
        let (sweep, _) = refined::<f64>(&circuit, &mut silent);
        assert!(sweep.report().best().unwrap().frequency.get().abs_diff(dip) <= WANTED);
        let grid = even(START, STOP, 100 * sweep.readings());
        let step = grid[1] - grid[0];
        assert!(step > 2 * WANTED, "the nearest sample is up to half a step off");
        let report = analyse::<f64, 4>(
            SweepSettings::default(),
            &circuit.points(&even(START, STOP, sweep.readings())),
        );
        by_curves.push(report.best().unwrap().frequency.get().abs_diff(dip) as f64);
    }
    let median = quantile(&by_curves, 0.5);
    println!(
        "an even grid by curves: {median} Hz in the median, {} at most",
        quantile(&by_curves, 1.0)
    );
    assert!(median <= WANTED as f64);
}

/// It ends with noise too, and knows the dip as well as the noise lets it.
#[test]
fn with_noise_it_ends() {
    let mut random = Random::new(15);
    let mut noise = move || {
        // Nearly normal: twelve even numbers.
        (0..12).map(|_| random.between(-0.5, 0.5)).sum::<f64>() * 1e-3
    };
    let mut errors = Vec::new();
    for circuit in loads().into_iter().take(40) {
        let (sweep, _) = refined::<f64>(&circuit, &mut noise);
        let found = sweep.report().best().unwrap().frequency.get();
        errors.push(found.abs_diff(truth(&circuit).0) as f64);
    }
    let median = quantile(&errors, 0.5);
    println!("with noise of 1e-3: {median} Hz in the median");
    assert!(median < 500_000.0);
}

#[test]
fn bad_readings_change_nothing() {
    let mut sweep = Refinement::<f64, 2, 2>::new(SweepSettings::default(), Hertz::new(1)).unwrap();
    let gamma = Reflection::new(0.5, 0.0).unwrap();
    assert_eq!(sweep.next(), NextReading::Settled);
    sweep.add(Hertz::new(5), gamma).unwrap();
    assert_eq!(
        sweep.add(Hertz::new(5), Reflection::MATCHED),
        Err(RefinementError::Repeated(Hertz::new(5)))
    );
    sweep.add(Hertz::new(3), gamma).unwrap();
    assert_eq!(sweep.add(Hertz::new(9), gamma), Err(RefinementError::Full));
    assert_eq!(sweep.readings(), 2);
    assert_eq!(
        Refinement::<f64, 2, 2>::new(SweepSettings::default(), Hertz::new(0)).map(|_| ()),
        Err(QuantityError::NotPositive("wanted error"))
    );
}

/// Without room it says so, instead of settling.
#[test]
fn without_room_it_says_so() {
    let circuit = Circuit::series(50.0, 8.0, 1.437e8);
    let mut sweep = Refinement::<f64, 11, 4>::new(SweepSettings::default(), Hertz::new(WANTED)).unwrap();
    for frequency in even(START, STOP, 11).into_iter().map(Hertz::new) {
        sweep
            .add(frequency, reading(&circuit, frequency, &mut silent))
            .unwrap();
    }
    assert_eq!(sweep.next(), NextReading::Full);
}
