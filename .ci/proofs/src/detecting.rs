//! Detectors, from counts to a raw reflection.

use ohmwright::measure::Statistics;
use ohmwright::measure::detector::{
    Channel, Demodulator, Imbalance, ImbalanceEstimate, Iq, LevelTable, ScalarDetector, ScalarSettings, Sign,
    ThreeVoltageDetector, ThreeVoltageReading, ThreeVoltageSettings, Tone, VectorAverage, VectorDetector,
    VectorSettings, quarter_rate,
};
use ohmwright::quantity::{Decibels, Degrees, Ohms, Volts};

use crate::given::{Words, reference, take};
use crate::unknown::{any, beginning, keep, show};

static TONE: Tone<48> = match Tone::new(5) {
    Ok(tone) => tone,
    Err(_) => panic!("bin 5 of 48 exists"),
};

fn frames() -> [[i16; 2]; 52] {
    [0; 52].map(|_| [any(), any()])
}

fn counts() -> Iq {
    Iq::new(any(), any())
}

fn vector_settings<A: Words>() -> VectorSettings<A> {
    VectorSettings {
        full_scale: any(),
        weakest: any(),
        noise: any(),
    }
}

/// From samples to a raw reflection, as it is done for every point.
#[inline(never)]
pub fn vector_readings<A: Words>() {
    if let Ok(detector) = VectorDetector::<A>::new(vector_settings()) {
        let frames = frames();
        for pair in [
            TONE.demodulate(beginning(&frames), any()),
            quarter_rate(beginning(&frames), any()),
        ] {
            keep(
                pair.and_then(|pair| detector.read(pair))
                    .map(|reading| reading.reflection()),
            );
        }
        let reading = detector.read_counts(counts(), counts());
        keep(reading.map(|reading| reading.reflection()));
    }
}

/// The rest of a vector detector.
#[inline(never)]
pub fn vector_detector<A: Words>() {
    keep(Tone::<45>::new(any()).ok());
    let settings = VectorSettings::for_bits(any()).unwrap_or_else(|_| vector_settings::<A>());
    let Ok(detector) = VectorDetector::new(settings) else {
        return;
    };
    let mut estimate = ImbalanceEstimate::<A>::new();
    while any() {
        keep(estimate.push(counts()));
    }
    let found = take(estimate.imbalance(), Imbalance::NONE);
    let given = take(
        Imbalance::new(counts(), any::<Decibels<A>>(), any::<Degrees<A>>()),
        found,
    );
    keep((given.offset(), given.gain(), given.skew()));
    let detector = detector.with_imbalance(found, given);
    let mut stream = Demodulator::new(&TONE, any());
    let mut average = VectorAverage::<A>::new();
    while any() {
        let reading = match stream.push([any(), any()]) {
            Some(pair) => {
                keep((
                    pair.reference_amplitude(),
                    pair.reflected_amplitude(),
                    pair.is_overloaded(),
                ));
                detector.read(pair)
            }
            None => detector.read_counts(counts(), counts()),
        };
        match reading {
            Ok(reading) => {
                keep((reading.error(), reading.quality().is_clean()));
                keep(average.push(&reading));
            }
            Err(error) => show(error),
        }
        if any() {
            stream.restart();
        }
        keep((stream.taken(), average.count(), average.reflection()));
        keep((average.standard_deviation(), average.standard_error()));
    }
}

/// Diodes and voltmeters.
#[inline(never)]
pub fn level_detectors<A: Words>() {
    let points: [(i32, Volts<A>); 5] = [0; 5].map(|_| (any(), any()));
    let table = match LevelTable::<A>::new(beginning(&points)) {
        Ok(table) => table,
        Err(error) => return show(error),
    };
    keep(table.level(any(), Channel::Forward).ok());
    let settings = ScalarSettings {
        reference: reference(),
        coupling: any(),
        directivity: any(),
        full_scale: any(),
        weakest: any(),
    };
    match ScalarDetector::new(settings, table, table) {
        Err(error) => show(error),
        Ok(detector) => match detector.read(any(), any()) {
            Err(error) => show(error),
            Ok(reading) => {
                keep((reading.forward(), reading.reflected(), reading.delivered()));
                keep((reading.magnitude(), reading.swr(), reading.magnitude_interval()));
                keep((reading.swr_interval(), reading.quality()));
            }
        },
    }
    let settings = ThreeVoltageSettings {
        resistor: any(),
        tolerance: any(),
        full_scale: any(),
        weakest: any(),
    };
    match ThreeVoltageDetector::new(settings, [table; 3]) {
        Err(error) => show(error),
        Ok(detector) => {
            if let (Ok(first), Ok(second)) = (
                detector.read(any(), any(), any()),
                detector.read(any(), any(), any()),
            ) {
                three_voltages(&first, &second);
            }
        }
    }
}

fn three_voltages<A: Words>(first: &ThreeVoltageReading<A>, second: &ThreeVoltageReading<A>) {
    keep((
        first.resistance(),
        first.reactance_size(),
        first.resistance_error(),
    ));
    keep((
        first.reactance_interval(),
        first.swr(reference()),
        first.quality(),
    ));
    let series = take(first.sign_with_series(second, any::<Ohms<A>>()), Sign::Undecided);
    let across = take(first.sign_with_shunt(second, any::<Ohms<A>>()), series);
    keep(first.signs_by_step(any(), second, any()));
    keep(first.impedance(across));
}

/// Mean and spread.
#[inline(never)]
pub fn statistics<A: Words>() {
    let mut ohms = Statistics::<Ohms<A>>::new();
    while any() {
        keep(ohms.push(any()));
        keep((
            ohms.count(),
            ohms.mean(),
            ohms.standard_deviation(),
            ohms.standard_error(),
        ));
    }
}
