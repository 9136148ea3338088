//! Logs every public type of the library once or more, but those of a sweep (`every_sweep`), of `design` and of `control`
//! (`every_design`): its ordinary value, and what it shows at the ends of its range.

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
use ohmwright::measure::touchstone::{
    FrequencyUnit, Keyword, Layout, LineBuffer, Reader, WriteError, Writer, lines, read,
};
use ohmwright::measure::{Printed, Reading, compare_readings};
use ohmwright::quantity::{
    Admittance, Capacitance, Hertz, Impedance, Inductance, Ohms, ParallelForm, QuantityError, Reactor,
    Reference, Reflection,
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
