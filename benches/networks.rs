//! How fast networks are walked and plans ranked on this machine: `cargo bench --bench networks`.
//!
//! Plain wall-clock time of the standard library, the best of several rounds; figures of one machine, not of a core. The
//! answers are looked at before the clock. It exits 1 where ranking one load with 5 % corners takes 50 ms or more.

use std::hint::black_box;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::design::ladder::{Element, Ladder, Part};
use ohmwright::design::matching::{MatchPlans, RankSettings, rank, two_element};
use ohmwright::design::preferred::{PreferredSeries, Tolerance};
use ohmwright::quantity::{Capacitance, Hertz, Impedance, Inductance, Reference};

/// What ranking one load may take.
const MOST_TIME: Duration = Duration::from_millis(50);
const ROUNDS: usize = 7;

/// The best time of a round, each of which does it `count` times.
fn best(count: u32, mut once: impl FnMut(u32)) -> Duration {
    let round = || {
        let start = Instant::now();
        for turn in 0..count {
            once(turn);
        }
        start.elapsed() / count
    };
    std::iter::repeat_with(round)
        .take(ROUNDS)
        .min()
        .unwrap_or(Duration::MAX)
}

fn per_second(time: Duration) -> f64 {
    1.0 / time.as_secs_f64()
}

/// Invented: a coil, a capacitor and a coil between a low resistance and 50 ohms.
fn ladder<A: Arithmetic>() -> Ladder<A, 3> {
    let coil = |picohenries| Part::inductor(Inductance::from_picohenries(picohenries)).expect("a coil");
    let capacitor = Part::capacitor(Capacitance::from_femtofarads(82_000)).expect("a capacitor");
    let mut ladder = Ladder::new();
    for element in [
        Element::Series(coil(47_000)),
        Element::Shunt(capacitor),
        Element::Series(coil(68_000)),
    ] {
        ladder.push(element).expect("room for three");
    }
    ladder
}

fn walks<A: Arithmetic>(name: &str) {
    let ladder = ladder::<A>();
    let load = |turn: u32| {
        Impedance::<A>::try_from_f64(8.0 + f64::from(turn % 64), 5.0).expect("a load within the word")
    };
    let loads: Vec<_> = (0..64).map(load).collect();
    let relay = Hertz::from_megahertz(71);
    let fifty = Reference::fifty();
    let at = |turn: u32| loads[turn as usize % 64];
    let gamma = ladder.reflection(at(0), relay, fifty).expect("a walk");
    assert!(!gamma.is_total());
    let plain = best(20_000, |turn| {
        black_box(ladder.reflection(black_box(at(turn)), relay, fifty).ok());
    });
    let kept = best(20_000, |turn| {
        black_box(ladder.walk(black_box(at(turn)), relay).ok());
    });
    let source = Impedance::try_from_f64(50.0, 0.0).expect("a source within the word");
    let solved = best(20_000, |turn| {
        black_box(two_element(black_box(at(turn)), source).ok());
    });
    println!(
        "{name}: {:.2} M networks of three elements walked a second, {:.2} M with the stress of each element, {:.2} M sets \
         of two-element networks",
        per_second(plain) / 1e6,
        per_second(kept) / 1e6,
        per_second(solved) / 1e6,
    );
}

fn main() -> ExitCode {
    walks::<f64>("f64");
    walks::<f32>("f32");
    walks::<Fixed32>("fixed32");

    let mut settings = RankSettings::<f64>::new(Reference::fifty(), Hertz::from_megahertz(71));
    let five = Tolerance::new(0.05).expect("five per cent");
    settings.low = Hertz::from_kilohertz(70_000);
    settings.high = Hertz::from_kilohertz(72_000);
    settings.preferred = Some(PreferredSeries::E24);
    (settings.coil_tolerance, settings.capacitor_tolerance) = (five, five);
    settings.coil_q = Some(200.0.into());
    settings.most_turns = 12;
    settings.line_velocity_factor = Some(0.66.into());
    settings.stubs = true;
    let load = |f: Hertz| Impedance::new(1.8, -2.5 * 71e6 / f.get() as f64).ok();
    let plans: MatchPlans<f64, 64> = rank(&settings, load).expect("plans");
    assert!(plans.as_slice().len() > 20 && plans.as_slice()[0].worst_swr < 2.0);
    let time = best(10, |_| {
        black_box(rank::<f64, 64>(black_box(&settings), load).ok());
    });
    println!(
        "one load with 5 % corners: {} plans in {:.2} ms, {:.0} plans ranked a second",
        plans.looked_at(),
        time.as_secs_f64() * 1e3,
        f64::from(plans.looked_at()) * per_second(time),
    );
    if time < MOST_TIME {
        ExitCode::SUCCESS
    } else {
        eprintln!("networks: ranking one load took {time:?}, {MOST_TIME:?} is the most it may");
        ExitCode::FAILURE
    }
}
