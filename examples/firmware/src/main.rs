//! A firmware to start from: counts in, the next step out, one point at a time.
//!
//! The data are invented (`counts.rs`); your converter's interrupt or DMA takes their place. This firmware only
//! measures. Whoever transmits to measure needs a licence for it; RF burns, and a mismatched network carries high
//! voltage: local rules and licensed practice come first.

#![no_std]
#![no_main]

mod board;
mod counts;

// The family of numbers for the whole firmware. `floating` is the better choice on a core with a floating-point unit.
#[cfg(not(feature = "float"))]
use ohmwright::fixed_point as family;
#[cfg(feature = "float")]
use ohmwright::floating as family;

use defmt::{error, info, warn};

use board::entry;
use family::{
    Built, DetectorError, Diagnosis, ErrorTerms, Hertz, NextStep, QuantityError, Ratio, Reference,
    Reflection, SweepAnalyser, SweepReport, SweepSettings, SweepSurvey, Target, TuningElement,
    VectorDetector, VectorSettings,
};

/// Where the relay station works.
const TARGET: Hertz = Hertz::from_megahertz(71);
/// Room for dips, for bands and for crossings X = 0.
const ROOM: usize = 4;
/// The longest winding that fits on the core.
const MOST_TURNS: u8 = 6;

#[entry]
fn main() -> ! {
    info!("relay input before tuning, 71 MHz; INVENTED DATA");
    match sweep() {
        Ok((report, survey)) => {
            tell(&report);
            advise(&report, &survey);
            board::stop(true)
        }
        Err(error) => {
            error!("{}", error);
            board::stop(false)
        }
    }
}

/// The sweep: each point is made of counts, corrected and handed on, and then forgotten.
fn sweep() -> Result<(SweepReport<ROOM>, SweepSurvey), DetectorError> {
    let detector = VectorDetector::new(VectorSettings::for_bits(16)?)?;
    let mut analyser = SweepAnalyser::<ROOM>::new(SweepSettings {
        target: Some(TARGET),
        ..Default::default()
    })?;
    let mut survey = SweepSurvey::new();
    let fixture = fixture()?;
    info!("fixture: {}", fixture);
    for (step, &[reference, reflected]) in (0u32..).zip(&counts::SWEEP) {
        let frequency = Hertz::from_kilohertz(counts::START_KHZ + step * counts::STEP_KHZ);
        // A bad reading is left out; the analyser takes an uneven grid.
        let reading = match detector.read_counts(reference, reflected) {
            Ok(reading) => reading,
            Err(error) => {
                warn!("{}: {}", frequency, error);
                continue;
            }
        };
        if !reading.quality().is_clean() {
            warn!("{}: {}", frequency, reading);
        }
        let gamma = fixture.correct(reading.reflection());
        let taken = analyser.push(frequency, gamma);
        if let Err(error) = taken.and(survey.push(frequency, gamma)) {
            warn!("{}", error);
        }
        survey.mark(reading.quality());
        // While the source goes to its next frequency there is time: no point is hurried.
        while analyser.settle() {}
        // A display would show this of every point.
        if step % 50 == 0 {
            info!("{}: {}", frequency, gamma.readouts(Reference::fifty()));
        }
    }
    Ok((analyser.report(), survey))
}

/// The error terms. A real fixture has other ones at each frequency, from a calibration.
fn fixture() -> Result<ErrorTerms, QuantityError> {
    Ok(ErrorTerms {
        directivity: term(counts::DIRECTIVITY)?,
        source_match: term(counts::SOURCE_MATCH)?,
        tracking: term(counts::TRACKING)?,
    })
}

/// An error term, kept in units of 2⁻³⁰.
#[cfg(not(feature = "float"))]
fn term((re, im): (i32, i32)) -> Result<Reflection, QuantityError> {
    Ok(Reflection::from_bits(re, im))
}

#[cfg(feature = "float")]
fn term((re, im): (i32, i32)) -> Result<Reflection, QuantityError> {
    let unit = 1.0 / (1u32 << 30) as f32;
    Reflection::new(re as f32 * unit, im as f32 * unit)
}

/// What the sweep has shown.
fn tell(report: &SweepReport<ROOM>) {
    info!(
        "{} points, {} to {}",
        report.points(),
        report.start(),
        report.stop()
    );
    for dip in report.dips() {
        info!("dip: {}; {}", dip, report.impedance(dip.reflection));
    }
    for band in report.bands() {
        info!("SWR 2 or better: {}, {} wide", band, band.width());
    }
    for resonance in report.resonances() {
        info!("X = 0: {}", resonance);
    }
    info!("target: {}", report.target());
}

/// What to do, and how far the readings can be trusted.
fn advise(report: &SweepReport<ROOM>, survey: &SweepSurvey) {
    info!("readings: {}", survey.quality(report));
    // The trimmer is what can be moved, to between a third of what it is and three times that.
    let built = Built::new(TuningElement::Capacitance)
        .with_least_factor(Ratio::thousandths::<333>())
        .with_most_factor(Ratio::whole::<3>());
    match NextStep::new(report, survey, &built) {
        Ok(next) => info!("next step: {}", next),
        Err(error) => error!("{}", error),
    }
    // Is it the ratio or the reactance that keeps the load from matching at the target?
    let Target::Reading(reading) = report.target() else {
        return warn!("the sweep does not reach the target");
    };
    let uncertainty = survey.quality(report).uncertainty();
    info!("with its noise: {}", uncertainty.swr(reading.reflection));
    match Diagnosis::new(
        reading.reflection,
        report.reference(),
        report.swr_limit(),
        TARGET,
        MOST_TURNS,
    ) {
        Ok(diagnosis) => {
            info!("diagnosis: {}", diagnosis);
            info!("as it is: {}", diagnosis.as_it_is);
            info!("rule of the magnitude: {}", diagnosis.magnitude_rule);
        }
        Err(error) => warn!("no transformer helps: {}", error),
    }
}
