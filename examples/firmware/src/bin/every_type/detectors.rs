//! Detectors and what stands between them and a raw reflection.

use defmt::{println, unwrap};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::Statistics;
use ohmwright::measure::detector::{
    Channel, Demodulator, DetectorError, Imbalance, ImbalanceEstimate, Iq, LevelTable, ScalarDetector,
    ScalarSettings, Sign, ThreeVoltageDetector, ThreeVoltageSettings, Tone, VectorAverage, VectorDetector,
    VectorSettings,
};
use ohmwright::quantity::{Decibels, Hertz, Ohms, Ratio, Reference, Volts};

pub fn detectors<A: Arithmetic>() {
    let detector = unwrap!(VectorDetector::<A>::new(unwrap!(VectorSettings::for_bits(12))));
    println!("detector: {}", detector);
    println!("settings: {}", detector.settings());
    let mut average = VectorAverage::<A>::new();
    println!("average: {}", average);
    for reflected in [Iq::new(-500, 250), Iq::new(-498, 251), Iq::new(0, 1)] {
        let reading = unwrap!(detector.read_counts(Iq::new(1900, 10), reflected));
        println!("reading: {}", reading);
        average.push(&reading);
    }
    println!("average: {}", average);
    let end = detector.read_counts(Iq::new(1900, 10), Iq::new(-2048, 0));
    println!("refused: {}", unwrap!(end.err()));
    println!("imbalance: {}", Imbalance::<A>::NONE);
    let mut estimate = ImbalanceEstimate::<A>::new();
    println!("estimate: {}", estimate);
    for (i, q) in [(1010, 5), (10, 1105), (-990, 5), (10, -1095)] {
        estimate.push(Iq::new(i, q));
    }
    println!("estimate: {}", estimate);

    let volts = |volts: f64| unwrap!(Volts::<A>::try_from_f64(volts));
    let decibels = |decibels: f64| unwrap!(Decibels::<A>::try_from_f64(decibels));
    let points = [(20, volts(0.125)), (40, volts(0.25)), (4000, volts(8.0))];
    let table = unwrap!(LevelTable::<A>::new(&points));
    println!("table: {}", table);
    let settings = ScalarSettings {
        reference: Reference::fifty(),
        coupling: decibels(30.0),
        directivity: decibels(25.0),
        full_scale: 4095,
        weakest: volts(0.25),
    };
    println!("settings: {}", settings);
    let scalar = unwrap!(ScalarDetector::new(settings, table, table));
    println!("detector: {}", scalar);
    for reverse in [1000, 3900, 5] {
        println!("reading: {}", unwrap!(scalar.read(3000, reverse)));
    }
    println!("refused: {}", unwrap!(scalar.read(4001, 20).err()));
    let settings = ThreeVoltageSettings {
        resistor: Ohms::whole::<50>(),
        tolerance: unwrap!(Ratio::try_from_f64(0.0078125)),
        full_scale: 4095,
        weakest: volts(0.25),
    };
    println!("settings: {}", settings);
    let three = unwrap!(ThreeVoltageDetector::new(settings, [table; 3]));
    println!("detector: {}", three);
    let reading = unwrap!(three.read(2500, 2000, 1500));
    println!("reading: {}", reading);
    let signs = reading.signs_by_step(
        Hertz::new(2),
        &unwrap!(three.read(2200, 1600, 1500)),
        Hertz::new(1),
    );
    println!("signs: {}; {}", signs, Sign::Capacitive);
    let mut ohms = Statistics::<Ohms<A>>::new();
    println!("statistics: {}", ohms);
    for value in [49.5, 50.0, 50.5] {
        ohms.push(unwrap!(Ohms::<A>::try_from_f64(value)));
    }
    println!("statistics: {}", ohms);
}

pub fn of_no_family() {
    let tone = unwrap!(Tone::<4>::new(1));
    let mut stream = Demodulator::new(&tone, 2047);
    for frame in [[1000, 0], [0, 500], [-1000, 0]] {
        stream.push(frame);
    }
    println!("tone: {}; {}", tone, stream);
    println!("pair: {}", unwrap!(stream.push([0, -500])));
    println!(
        "refused: {}",
        DetectorError::BlockLength {
            expected: 48,
            got: 47
        }
    );
    println!("channel: {}", Channel::Across);
}
