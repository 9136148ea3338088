//! Logs every public type of the library once or more, but those of `design` and `control`: its ordinary value, and what
//! it shows at the ends of its range.

#![no_std]
#![no_main]

#[path = "../../board.rs"]
mod board;
mod calibrations;
mod detectors;
#[path = "../../values.rs"]
mod values;

use defmt::{println, unwrap};
use ohmwright::arithmetic::accuracy::{Family, Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::measure::touchstone::{
    FrequencyUnit, Keyword, Layout, LineBuffer, Reader, WriteError, Writer, lines, read,
};
use ohmwright::measure::{
    MaskCheck, MaskSegment, Printed, Reading, Retune, SweepAnalyser, SweepSettings, TuningElement,
    compare_readings,
};
use ohmwright::quantity::{
    Admittance, Capacitance, Hertz, Impedance, Inductance, Ohms, ParallelForm, QuantityError, Reactor,
    Reference, Reflection, Swr,
};

use values::{gamma, ohms};

#[board::entry]
fn main() -> ! {
    println!("--- {}", Fixed32);
    of_family::<Fixed32>();
    println!("--- {}", Fixed16);
    of_family::<Fixed16>();
    println!("--- f32");
    of_family::<f32>();
    println!("--- whatever the family");
    of_no_family();
    board::stop(true)
}

fn of_family<A: Arithmetic>() {
    quantities::<A>();
    sweeps::<A>();
    detectors::detectors::<A>();
    calibrations::calibrations::<A>();
    calibrations::balances::<A>();
}

fn quantities<A: Arithmetic>() {
    let fifty = Reference::<A>::fifty();
    println!("reference: {}", fifty);
    for gamma in [
        gamma::<A>(0.2, -0.375),
        Reflection::MATCHED,
        Reflection::OPEN,
        Reflection::SHORT,
    ] {
        println!("reflection: {}", gamma);
        println!("readouts: {}", gamma.readouts(fifty));
    }
    for z in [
        ohms::<A>(36.0, -21.5),
        ohms(-0.25, 0.0),
        Impedance::OPEN,
        Impedance::SHORT,
    ] {
        println!("impedance: {}", z);
        let y: Admittance<A> = z.admittance();
        println!("admittance: {}", y);
        let side_by_side: ParallelForm<A> = z.parallel_form();
        println!("parallel: {}", side_by_side);
    }
    let (coil, trimmer) = (
        Inductance::<A>::from_picohenries(120_000),
        Capacitance::<A>::from_femtofarads(22_000),
    );
    println!("inductance: {}; capacitance: {}", coil, trimmer);
    println!(
        "reactors: {}; {}",
        Reactor::Inductor(coil),
        Reactor::Capacitor(trimmer)
    );
    let direct = Hertz::new(1);
    println!(
        "too large: {}",
        unwrap!(Inductance::<A>::with_reactance(Ohms::whole::<400_000>(), direct))
    );
}

fn sweeps<A: Arithmetic>() {
    let settings = SweepSettings::<A> {
        target: Some(Hertz::from_kilohertz(71_000)),
        ..Default::default()
    };
    println!("settings: {}", settings);
    println!("settings: {}", SweepSettings::<A>::default());
    let mut analyser = unwrap!(SweepAnalyser::<A, 2>::new(settings));
    println!("report: {}", analyser.report());
    let stretch = |low, high| MaskSegment {
        low: Hertz::from_megahertz(low),
        high: Hertz::from_megahertz(high),
        swr_limit: Swr::whole::<2>(),
    };
    let mask = [stretch(69, 71), stretch(71, 74), stretch(74, 90)];
    println!("stretch: {}", mask[0]);
    let mut check = unwrap!(MaskCheck::<A, 3>::new(&mask));
    for step in 0..=24u32 {
        let frequency = Hertz::from_kilohertz(64_000 + 500 * step);
        let z = ohms::<A>(36.0, f64::from(step) * 12.5 - 148.0);
        let gamma = z.reflection(Reference::fifty());
        unwrap!(analyser.push(frequency, gamma));
        unwrap!(check.push(frequency, gamma));
    }
    println!(
        "refused: {}",
        analyser.push(Hertz::from_megahertz(76), Reflection::OPEN)
    );
    println!(
        "refused: {}",
        analyser.push(Hertz::from_megahertz(60), Reflection::OPEN)
    );
    println!("analyser: {}", analyser);
    let report = analyser.report();
    println!("report: {}", report);
    println!("best: {}", report.best());
    for (dip, resonance) in report.dips().iter().zip(report.resonances()) {
        println!("dip: {}; resonance: {}", dip, resonance);
    }
    println!("target: {}", report.target());
    println!("mask: {}", check);
    let mask = check.report();
    println!("verdict: {}", mask.verdicts()[0]);
    println!("terms: {}", ErrorTerms::<A>::PERFECT);
    let wanted = Hertz::from_megahertz(71);
    for element in [TuningElement::Capacitance, TuningElement::Length] {
        println!(
            "retune: {}",
            Retune::<A>::new(element, Hertz::from_megahertz(72), wanted)
        );
    }
    println!(
        "retune: {}",
        Retune::<A>::new(TuningElement::Turns, wanted, wanted)
    );
    println!(
        "retune: {}",
        Retune::<A>::new(TuningElement::Turns, Hertz::new(u64::MAX), Hertz::new(1))
    );
}

fn of_no_family() {
    detectors::of_no_family();
    calibrations::of_no_family();
    println!("frequency: {}", Hertz::new(18_446_744_073_709_551_615));
    println!("refused: {}", QuantityError::NotPositive("reference"));
    println!("bound: {}", bound(Readout::Swr, Family::F32));
    println!("readout: {}, family: {}", Readout::Swr, Family::F32);
    let readings = [
        Reading::Swr(unwrap!(Printed::new(12, 1))),
        Reading::ReturnLoss(unwrap!(Printed::new(16, 0))),
    ];
    println!("readings: {=[?]}", readings[..]);
    println!(
        "agreement: {}",
        unwrap!(compare_readings(&readings, Reference::<Fixed32>::fifty()))
    );
    println!("refused: {}", Printed::parse("1.2.3"));

    let file = b"! invented\n# MHz S RI R 50\n71 0.25 -0.5\n72 0 0\n# GHz\n";
    let summary = read(file, |record| println!("record: {}", record));
    println!("summary: {}", unwrap!(summary));
    println!("refused: {}", read(b"# MHz S RI\n71 0.25 gamma\n", |_| ()));
    println!(
        "reader: {}; {}; {}",
        Reader::new(),
        lines(file),
        LineBuffer::<80>::new()
    );
    let layout = Layout {
        unit: FrequencyUnit::Megahertz,
        ..Default::default()
    };
    println!("layout: {}", layout);
    println!("keyword: {}", Keyword::NumberOfPorts);
    println!("refused: {}", WriteError::NoData);
    println!("writer: {}", unwrap!(Writer::new(Sink, layout)));
}

/// Where nothing is written to.
struct Sink;

impl core::fmt::Write for Sink {
    fn write_str(&mut self, _text: &str) -> core::fmt::Result {
        Ok(())
    }
}
