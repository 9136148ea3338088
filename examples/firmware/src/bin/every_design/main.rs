//! Logs every public type of the library's `design` and `control` once or more, as `every_type` does the others.

#![no_std]
#![no_main]

#[path = "../../board.rs"]
mod board;
mod networks;
mod tuners;
#[path = "../../values.rs"]
mod values;
mod windings;

use defmt::{println, unwrap};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::design::transformer::{MagnitudeRule, Remedy, Turns, TurnsChoice, TurnsRanking};
use ohmwright::measure::Diagnosis;
use ohmwright::quantity::{Hertz, Impedance, Reference, Swr};

use values::{gamma, ohms};

#[board::entry]
fn main() -> ! {
    println!("--- {}", Fixed32);
    of_family::<Fixed32>();
    println!("--- {}", Fixed16);
    of_family::<Fixed16>();
    println!("--- f32");
    of_family::<f32>();
    println!("--- floating families alone");
    windings::windings();
    networks::ranked();
    println!("--- whatever the family");
    tuners::of_no_family();
    board::stop(true)
}

fn of_family<A: Arithmetic>() {
    transformers::<A>();
    windings::real_transformers::<A>();
    windings::loads::<A>();
    windings::prediction::<A>();
    networks::networks::<A>();
    tuners::tuners::<A>();
}

fn transformers<A: Arithmetic>() {
    let fifty = Reference::<A>::fifty();
    let frequency = Hertz::from_megahertz(71);
    let load = ohms::<A>(1.8, -2.5);
    let turns = unwrap!(Turns::new(5, 1));
    println!("turns: {}", turns);
    println!("rule: {}", unwrap!(MagnitudeRule::apply(load, fifty, 12)));
    println!(
        "choice: {}",
        unwrap!(TurnsChoice::new(turns, load, fifty, Some(frequency)))
    );
    println!(
        "choice: {}",
        unwrap!(TurnsChoice::new(turns, ohms::<A>(2.25, 0.0), fifty, None))
    );
    let ranking = TurnsRanking::<A, 3>::new(load, fifty, None, 7, Remedy::SeriesElement);
    println!("ranking: {}", unwrap!(ranking));
    println!(
        "no turns: {}",
        MagnitudeRule::apply(Impedance::<A>::SHORT, fifty, 12)
    );
    let limit = Swr::thousandths::<1_500>();
    for gamma in [gamma::<A>(0.5, 0.25), gamma(0.0, 0.01)] {
        println!(
            "diagnosis: {}",
            unwrap!(Diagnosis::new(gamma, fifty, limit, frequency, 6))
        );
    }
}
