//! The lines of a reading whose error is known, column by column and for any size.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::calibration::Residual;
use ohmwright::measure::{SweepAnalyser, SweepSettings, SweepSurvey, Uncertainty};
use ohmwright::quantity::{Component, Decibels, Hertz, Reference, Reflection, Swr};
use ohmwright::show::text::{self, TextError};

use crate::text::{gamma, load, shown};

fn of_directivity<A: Arithmetic>(decibels: f64) -> Uncertainty<A> {
    let word = |value| Decibels::<A>::try_from_f64(value).unwrap();
    let residual = Residual::from_decibels(word(decibels), word(200.0), word(200.0)).unwrap();
    Uncertainty::new().with_residual(residual)
}

fn intervals<A: Arithmetic>() {
    let line = |uncertainty: Uncertainty<A>, gamma: Reflection<A>| {
        shown(|line| text::swr_interval(line, &uncertainty.swr(gamma)))
    };
    // |Γ| = 0.25 ± 0.0316: (1 + 0.2184)/(1 − 0.2184) and (1 + 0.2816)/(1 − 0.2816).
    assert_eq!(
        line(of_directivity(30.0), gamma(0.15, -0.2)),
        "SWR     1.56 to 1.78"
    );
    // 0.85 ± 0.0316: 9.99 or so and 15.9.
    assert_eq!(
        line(of_directivity(30.0), gamma(0.85, 0.0)),
        "SWR     10.0 to 15.9"
    );
    // 0.98 and more than 1.
    assert_eq!(
        line(of_directivity(30.0), gamma(0.98, 0.0)),
        "SWR     37.7 or more"
    );
    assert_eq!(
        line(of_directivity(80.0), gamma(0.15, -0.2)),
        "SWR             1.67"
    );
    assert_eq!(line(Uncertainty::new(), Reflection::OPEN), "SWR     >999 or more");
    assert_eq!(
        line(of_directivity(20.0), gamma(0.01, 0.0)),
        "SWR     1.00 to 1.25"
    );
    // Too short: blank, and what is needed.
    let mut short = [b'#'; 12];
    let told = of_directivity::<A>(30.0).swr(gamma(0.15, -0.2));
    assert_eq!(
        text::swr_interval(&mut short, &told),
        Err(TextError::BufferTooShort(16))
    );
    assert_eq!(&short, b"            ");
}

/// Whatever the reading and its error: within twenty columns.
fn any_size<A: Arithmetic>() {
    for rho in (0..=1000).map(|step| f64::from(step) / 1000.0) {
        for decibels in [0.0, 3.0, 10.0, 20.0, 40.0, 80.0] {
            let told = of_directivity::<A>(decibels).swr(gamma(rho, 0.0));
            let line = shown(|line| text::swr_interval(line, &told));
            assert!(line.starts_with("SWR ") && !line.contains('?'), "{line}");
            assert!(told.high.is_some() != line.ends_with("or more"), "{line}");
        }
    }
}

/// 40 Ω in resonance at the target: SWR 1.25.
fn verdicts<A: Arithmetic>() {
    let target = Hertz::from_megahertz(71);
    for (limit, decibels, line) in [
        (1.2, 60.0, "fail        SWR 1.25"),
        (1.2, 30.0, "fail ?      SWR 1.25"),
        (1.3, 30.0, "pass ?      SWR 1.25"),
        (1.5, 30.0, "pass        SWR 1.25"),
    ] {
        let limit = Swr::<A>::try_from_f64(limit).unwrap();
        let settings = SweepSettings::<A>::new()
            .with_swr_limit(limit)
            .with_target(Some(target));
        let mut analyser = SweepAnalyser::<A, 4>::new(settings).unwrap();
        for step in 0..=40 {
            let hertz = Hertz::new(61_000_000 + 500_000 * step as u64);
            let ratio = hertz.get() as f64 / 71e6;
            let gamma = load::<A>(40.0, 100.0 * (ratio - 1.0 / ratio)).reflection(Reference::fifty());
            analyser.push(hertz, gamma).unwrap();
        }
        let report = analyser.report();
        let uncertainty = of_directivity(decibels);
        assert_eq!(shown(|l| text::verdict_within(l, &report, &uncertainty)), line);
    }
    // Before the first point it is the verdict as ever.
    let report = SweepAnalyser::<A, 4>::new(SweepSettings::new()).unwrap().report();
    assert_eq!(
        shown(|l| text::verdict_within(l, &report, &of_directivity(30.0))).trim(),
        "no sweep"
    );
}

/// What the detector marked reaches the quality of the sweep and its line.
fn marks<A: Arithmetic>() {
    use ohmwright::measure::detector::{Iq, VectorDetector, VectorSettings};
    let detector = VectorDetector::<A>::new(VectorSettings::for_bits(12).unwrap()).unwrap();
    let quality = |counts: i32, times: usize| {
        let mut analyser = SweepAnalyser::<A, 4>::new(SweepSettings::new()).unwrap();
        let mut survey = SweepSurvey::new();
        for step in 0..12 {
            let level = if step < times { counts } else { 1_000 };
            let iq = |real: i32| Iq { i: real, q: 0 };
            let reading = detector.read_counts(iq(level), iq(level / 4)).unwrap();
            let hertz = Hertz::from_kilohertz(1_000 + step as u32);
            analyser.push(hertz, reading.reflection()).unwrap();
            survey.push(hertz, reading.reflection()).unwrap();
            survey.mark(reading.quality());
        }
        survey.quality(&analyser.report())
    };
    let (loud, faint, well) = (quality(2_000, 3), quality(200, 1), quality(1_000, 12));
    assert_eq!((loud.level_high, loud.level_low), (3, 0));
    assert_eq!((faint.level_high, faint.level_low), (0, 1));
    assert!(
        !loud.is_clean() && !faint.is_clean() && well.is_clean(),
        "{well:?}"
    );
    assert_eq!(shown(|l| text::quality(l, &loud)), "level high  3 points");
    assert_eq!(shown(|l| text::quality(l, &faint)), "level low    1 point");
    // The noise of the sweep is that of its uncertainty.
    let uncertainty = loud.uncertainty();
    assert_eq!(uncertainty.noise(), loud.noise);
    assert!(uncertainty.noise() < Component::thousandths::<50>());
}

in_every_family!(intervals, any_size, verdicts, marks);
