//! The goals of the tuner, over many random loads in every family.
//!
//! ```text
//! cargo bench --bench tuner                   # ten thousand loads a goal, some minutes
//! cargo bench --bench tuner -- --loads 500    # fewer
//! cargo bench --bench tuner -- --service      # only the goals of the tuner in service
//! ```
//!
//! Prints one line a goal to standard output and exits 1 when one is missed. Banks, loads and faults are random and
//! invented, from fixed seeds: the table is the same each time.
//!
//! The bank has eight coils from 50 nH and eight capacitors from 10 pF, each twice the one before, Q 160 and 1,000, at either
//! end: 131,072 settings. Loads lie evenly over the disc |Γ| ≤ 0.95, frequencies evenly from 1.8 to 30 MHz: about one load in
//! forty is outside of what the bank can bring to SWR 1.5. Values are off by up to ± 5 %, evenly; the sensor's standard
//! deviation is 1 % of the reading and 0.1 % of full scale, in each component of Γ or in |Γ|. Held against each end is what the
//! *true* bank could do at best.

use std::process::ExitCode;

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::control::mock::{AntennaModel, BenchSensor, SimulatedBench};
use ohmwright::control::{
    Arrangement, Bank, BankCapacitor, BankCoil, Command, Event, Outcome, SensorErrors, SensorReading,
    Setting, Side, Tuner, TunerSettings,
};
use ohmwright::quantity::{
    Capacitance, Component, Hertz, Impedance, Inductance, QFactor, Reference, Reflection, Watts,
};

/// The usual 64-bit mixing of a counter.
struct Random(u64);

impl Random {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    fn frequency(&mut self) -> Hertz {
        Hertz::new(self.between(1.8e6, 30e6) as u64)
    }

    fn load<A: Arithmetic>(&mut self, largest: f64) -> Reflection<A> {
        let size = self.between(0.0, largest * largest).sqrt();
        let angle = self.between(-std::f64::consts::PI, std::f64::consts::PI);
        Reflection::try_from_f64(size * angle.cos(), size * angle.sin()).unwrap()
    }
}

fn word<Q: Quantity>(value: f64) -> Q {
    Q::try_from_f64(value).unwrap()
}

/// A bank in powers of two; each value may be off, each Q may be its own.
fn bank<A: Arithmetic, const N: usize>(error: f64, mixed: bool, random: &mut Random) -> Bank<A, N, N> {
    let mut q = |same: f64| {
        if mixed && random.bits() & 1 == 1 {
            word(random.between(40.0, 400.0))
        } else {
            word(same)
        }
    };
    let qs: [(QFactor<A>, QFactor<A>); N] = core::array::from_fn(|_| (q(160.0), q(1000.0)));
    let mut off = |value: f64| (value * (1.0 + error * random.between(-1.0, 1.0))) as u32;
    let coils = core::array::from_fn(|k| BankCoil {
        inductance: Inductance::from_picohenries(off(f64::from(50_000 << k))),
        q: qs[k].0,
    });
    let capacitors = core::array::from_fn(|k| BankCapacitor {
        capacitance: Capacitance::from_femtofarads(off(f64::from(10_000 << k))),
        q: qs[k].1,
    });
    Bank::new(coils, capacitors, Arrangement::Changeover).unwrap()
}

/// One line of the table.
struct Line {
    goal: String,
    got: String,
    is_met: bool,
}

fn line(goal: &str, got: String, is_met: bool) -> Line {
    Line {
        goal: goal.into(),
        got,
        is_met,
    }
}

/// Every setting tried, and the search: the same |Γ|², to the last bit.
fn search<A: Arithmetic, const N: usize>(loads: u32) -> Line {
    let mut random = Random(41);
    let mut equal = 0;
    for _ in 0..loads {
        let bank = bank::<A, N>(0.05, true, &mut random);
        let at = bank.at(random.frequency(), Reference::fifty()).unwrap();
        let load = random.load(0.98);
        let mut best = at.power(Setting::BYPASS, load);
        for setting in at.settings() {
            let power = at.power(setting, load);
            if power < best {
                best = power;
            }
        }
        let found = at.best_setting(load).unwrap();
        equal += u32::from(at.power(found.setting, load) == best);
    }
    let goal = format!(
        "search of {} settings is that of trying all, in all cases",
        2u64 << (2 * N)
    );
    line(&goal, format!("{equal} of {loads}"), equal == loads)
}

struct Ends {
    ratios: Vec<f64>,
    readings: Vec<u8>,
    most_operations: u16,
    /// Runs that ended in another outcome than a usable one.
    failures: u32,
    hot: u32,
}

fn runs<A: Arithmetic>(sensor: BenchSensor, loads: u32) -> Ends {
    let mut random = Random(7);
    let usual = bank::<A, 8>(0.0, false, &mut random);
    let mut ends = Ends {
        ratios: Vec::new(),
        readings: Vec::new(),
        most_operations: 0,
        failures: 0,
        hot: 0,
    };
    for seed in 0..loads {
        let z = random.load::<f64>(0.95).impedance(Reference::fifty());
        let z = Impedance::<A>::try_from_f64(z.resistance().get(), z.reactance().get()).unwrap();
        let bench = SimulatedBench::new(usual, AntennaModel::Fixed(z), random.frequency(), seed)
            .with_tolerance(word::<Component<A>>(0.05))
            .with_sensor(sensor, word::<Component<A>>(0.01));
        let mut tuner = Tuner::new(usual, TunerSettings::default()).unwrap();
        let report = bench.tune(&mut tuner, 0, None).unwrap();
        let best = bench.true_bank_at().unwrap().best_setting(bench.load()).unwrap();
        let swr = bench.reflection().swr().to_f64();
        ends.ratios.push(swr / best.reflection.swr().to_f64());
        ends.readings.push(report.readings);
        ends.most_operations = ends.most_operations.max(report.operations);
        ends.failures += u32::from(!report.outcome.is_usable());
        ends.hot += bench.switched_hot();
    }
    ends.ratios.sort_by(f64::total_cmp);
    ends.readings.sort();
    ends
}

fn ends<A: Arithmetic>(sensor: BenchSensor, loads: u32) -> Vec<Line> {
    let (name, limit, median, most) = match sensor {
        BenchSensor::Vector => ("vector", 1.1, 4, 24),
        BenchSensor::Scalar => ("scalar", 1.15, 6, 12),
    };
    let ends = runs::<A>(sensor, loads);
    let within = ends.ratios.iter().filter(|ratio| **ratio <= limit).count() as f64 / f64::from(loads);
    let at = |part: f64| ((f64::from(loads) * part) as usize).min(loads as usize - 1);
    let readings = (
        ends.readings[at(0.5)],
        ends.readings[at(0.95)],
        ends.readings[at(1.0)],
    );
    vec![
        line(
            &format!("{name}: SWR within {limit} of the optimum in 99 %"),
            format!(
                "{:.2} %; median {:.3}, 99 % {:.3}, worst {:.2}",
                100.0 * within,
                ends.ratios[at(0.5)],
                ends.ratios[at(0.99)],
                ends.ratios[at(1.0)]
            ),
            within >= 0.99,
        ),
        line(
            &format!("{name}: at most {median} readings in the median, {most} in 95 %"),
            format!("{}, {}, most {}", readings.0, readings.1, readings.2),
            readings.0 <= median && readings.1 <= most,
        ),
        line(
            &format!("{name}: within 24 readings and 300 relay operations, none of them hot"),
            format!(
                "{} operations; {} unusable ends",
                ends.most_operations, ends.failures
            ),
            readings.2 <= 24 && ends.most_operations <= 300 && ends.hot == 0,
        ),
    ]
}

/// In service: band after band from the setting before, after a restart, or with any suggestion at all.
struct Service {
    runs: u32,
    /// SWR above 2 and above twice the optimum, whatever was said of it.
    bad: u32,
    /// Of these, said to be usable, and said to be matched.
    usable: u32,
    good: u32,
    /// Usable and worse than bypass by more than a tenth.
    worse: u32,
    refused: u32,
    worst: f64,
    ratios: Vec<f64>,
    readings: Vec<u8>,
    operations: Vec<u16>,
}

fn in_service<A: Arithmetic>(sensor: BenchSensor, loads: u32, coupler: bool) -> Service {
    let mut random = Random(if coupler { 23 } else { 22 });
    let usual = bank::<A, 8>(0.0, false, &mut random);
    let mut service = Service {
        runs: loads,
        bad: 0,
        usable: 0,
        good: 0,
        worse: 0,
        refused: 0,
        worst: 0.0,
        ratios: Vec::new(),
        readings: Vec::new(),
        operations: Vec::new(),
    };
    let mut kept: Option<(SimulatedBench<A, 8, 8>, Tuner<A, 8, 8>)> = None;
    for seed in 0..loads {
        let z = random.load::<f64>(0.9).impedance(Reference::fifty());
        let z = Impedance::<A>::try_from_f64(z.resistance().get(), z.reactance().get()).unwrap();
        let (antenna, frequency) = (AntennaModel::Fixed(z), random.frequency());
        // A new tuner every 20 runs: its first run begins in bypass.
        let (bench, tuner) = match &mut kept {
            Some(pair) if !seed.is_multiple_of(20) => {
                pair.0.connect(antenna, frequency);
                (&mut pair.0, &mut pair.1)
            }
            kept => {
                let mut errors = SensorErrors::none();
                if coupler {
                    let decibels = random.between(25.0, 35.0);
                    errors = errors.with_directivity(word(10f64.powf(-decibels / 20.0)));
                }
                let bench = SimulatedBench::new(usual, antenna, frequency, seed)
                    .with_tolerance(word::<Component<A>>(0.05))
                    .with_sensor(sensor, word::<Component<A>>(0.01))
                    .with_sensor_errors(errors);
                let settings = TunerSettings::default().with_sensor_errors(errors);
                let pair = kept.insert((bench, Tuner::new(usual, settings).unwrap()));
                (&mut pair.0, &mut pair.1)
            }
        };
        let suggestion = random.bits().is_multiple_of(3).then(|| Setting {
            coils: random.bits() as u16 & 255,
            capacitors: random.bits() as u16 & 255,
            side: if random.bits() & 1 == 1 {
                Side::Load
            } else {
                Side::Source
            },
            tap: 0,
        });
        let report = bench.tune(tuner, seed << 17, suggestion).unwrap();
        let at = bench.true_bank_at().unwrap();
        let best = at.best_setting(bench.load()).unwrap().reflection.swr().to_f64();
        let bypass = at
            .reflection(Setting::BYPASS, bench.load())
            .unwrap()
            .swr()
            .to_f64();
        let swr = bench.reflection().swr().to_f64();
        let is_bad = swr > 2.0 && swr > 2.0 * best;
        if is_bad && std::env::var_os("OHMWRIGHT_STORIES").is_some() {
            println!(
                "{seed} {:?} at {frequency:?} from {suggestion:?}: {report:?}; is {swr:.1}, best {best:.2}, bypass {bypass:.1}",
                bench.load()
            );
        }
        service.bad += u32::from(is_bad);
        service.usable += u32::from(is_bad && report.outcome.is_usable());
        service.good += u32::from(is_bad && report.outcome == Outcome::Matched);
        service.worse += u32::from(report.outcome.is_usable() && swr > 1.1 * bypass && swr > 1.3);
        service.refused += u32::from(!report.outcome.is_usable());
        service.worst = service.worst.max(swr / best);
        service.ratios.push(swr / best);
        service.readings.push(report.readings);
        service.operations.push(report.operations);
    }
    service.ratios.sort_by(f64::total_cmp);
    service.readings.sort();
    service.operations.sort();
    service
}

fn service<A: Arithmetic>(sensor: BenchSensor, loads: u32, coupler: bool) -> Line {
    let found = in_service::<A>(sensor, loads, coupler);
    let name = match sensor {
        BenchSensor::Vector => "vector",
        BenchSensor::Scalar => "scalar",
    };
    let (coupler, most) = if coupler {
        (", directivity 25 to 35 dB", 10)
    } else {
        ("", 1)
    };
    let most = (most * loads).div_ceil(10_000);
    let at = |part: f64| ((f64::from(loads) * part) as usize).min(loads as usize - 1);
    line(
        &format!("{name} in service{coupler}: at most {most} bad ends, none said to be good"),
        format!(
            "{} bad ends of {}, {} of them usable, {} good; {} worse than bypass, {} refused; over the optimum 99 % {:.3}, \
             worst {:.0}; readings {}, {}, {}; operations {}, {}, {}",
            found.bad,
            found.runs,
            found.usable,
            found.good,
            found.worse,
            found.refused,
            found.ratios[at(0.99)],
            found.worst,
            found.readings[at(0.5)],
            found.readings[at(0.95)],
            found.readings[at(1.0)],
            found.operations[at(0.5)],
            found.operations[at(0.95)],
            found.operations[at(1.0)],
        ),
        found.bad <= most && found.good == 0,
    )
}

/// A world that does what it likes, step by step: no relay moves under power, every run ends in a named outcome.
fn faults<A: Arithmetic>(steps: u32) -> Line {
    let mut random = Random(99);
    let usual = bank::<A, 8>(0.0, false, &mut random);
    let settings = TunerSettings::<A>::default();
    let (mut done, mut runs, mut hot, mut over, mut switches) = (0, 0u32, 0u32, 0u32, 0u32);
    let mut outcomes = Vec::new();
    while done < steps {
        let frequency = random.frequency();
        let load: Reflection<A> = random.load(0.99);
        let is_vector = random.bits() & 1 == 1;
        let trouble = random.bits() % 12;
        let at = usual.at(frequency, Reference::fifty()).unwrap();
        let (mut now, mut command) = (u32::MAX - 20_000, Command::Idle);
        // The clock wraps in the middle of some runs.
        let mut tuner = Tuner::new(usual, settings).unwrap();
        tuner.start(now, frequency, None).unwrap();
        while tuner.is_running() {
            let is_bad = random.bits() % 40 < trouble;
            let power: Option<Watts<A>> = match (is_bad, random.bits() % 4) {
                (true, 0) => None,
                (true, 1) => Some(word(random.between(1.01, 1000.0))),
                (true, 2) => Some(word(0.0)),
                _ => Some(word(random.between(0.1, 1.0))),
            };
            let reading = || -> SensorReading<A> {
                let setting = tuner.setting().unwrap_or(Setting::BYPASS);
                let gamma = at.reflection(setting, load).unwrap();
                if is_vector {
                    SensorReading::Vector(gamma)
                } else {
                    SensorReading::Magnitude(gamma.magnitude())
                }
            };
            let event = match (is_bad, random.bits() % 4, command) {
                (true, 0, _) => Event::SensorFailed,
                (true, 1, _) => Event::SwitchFailed,
                (true, 2, _) => Event::Reading(SensorReading::Magnitude(word(random.between(0.0, 0.99)))),
                (true, _, _) => Event::Switched,
                (false, _, Command::Measure) => Event::Reading(reading()),
                (false, _, Command::Switch(_)) => Event::Switched,
                _ => Event::Tick,
            };
            now = now.wrapping_add((random.bits() % if is_bad { 400 } else { 12 }) as u32);
            command = tuner.step(now, power, event);
            done += 1;
            match command {
                Command::Switch(_) => {
                    switches += 1;
                    hot += u32::from(!power.is_some_and(|power| power <= settings.switching_limit));
                }
                Command::Done(report) => {
                    runs += 1;
                    let within = report.readings <= settings.most_readings
                        && report.operations <= settings.most_operations;
                    over += u32::from(!within);
                    if !outcomes.contains(&report.outcome) {
                        outcomes.push(report.outcome);
                    }
                }
                _ => {}
            }
        }
    }
    line(
        "no relay moves above the power limit, every run ends in its budget, with faults injected",
        format!(
            "{hot} hot of {switches} switchings, {over} over budget of {runs} runs, {} outcomes, {done} steps",
            outcomes.len()
        ),
        hot == 0 && over == 0 && switches > 0,
    )
}

fn services<A: Arithmetic>(loads: u32) -> Vec<Line> {
    let mut lines = Vec::new();
    for coupler in [false, true] {
        for sensor in [BenchSensor::Vector, BenchSensor::Scalar] {
            lines.push(service::<A>(sensor, loads, coupler));
        }
    }
    lines
}

fn family<A: Arithmetic>(loads: u32) -> Vec<Line> {
    let mut lines = vec![search::<A, 6>(loads), search::<A, 8>((loads / 500).max(2))];
    lines.extend(ends::<A>(BenchSensor::Vector, loads));
    lines.extend(ends::<A>(BenchSensor::Scalar, loads));
    lines.extend(services::<A>(loads));
    lines.push(faults::<A>(loads.saturating_mul(100)));
    lines
}

fn main() -> ExitCode {
    let mut loads = 10_000;
    let mut is_service = false;
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--bench" => {} // what cargo adds
            "--service" => is_service = true,
            "--loads" => match arguments.next().and_then(|count| count.parse().ok()) {
                Some(count) if count >= 100 => loads = count,
                _ => {
                    eprintln!("tuner: --loads wants a number of at least 100");
                    return ExitCode::FAILURE;
                }
            },
            _ => {
                println!("usage: cargo bench --bench tuner [-- --loads N --service]");
                return if argument == "--help" {
                    ExitCode::SUCCESS
                } else {
                    ExitCode::FAILURE
                };
            }
        }
    }
    type Job = (&'static str, fn(u32) -> Vec<Line>);
    let families: [Job; 4] = [
        ("f64", family::<f64>),
        ("f32", family::<f32>),
        ("fixed32", family::<Fixed32>),
        ("fixed16", family::<Fixed16>),
    ];
    let services: [Job; 4] = [
        ("f64", services::<f64>),
        ("f32", services::<f32>),
        ("fixed32", services::<Fixed32>),
        ("fixed16", services::<Fixed16>),
    ];
    let families = if is_service { services } else { families };
    let results: Vec<_> = std::thread::scope(|scope| {
        let jobs = families.map(|(name, job)| (name, scope.spawn(move || job(loads))));
        jobs.map(|(name, job)| (name, job.join().unwrap()))
            .into_iter()
            .collect()
    });
    let mut missed = 0;
    for (name, lines) in results {
        for line in lines {
            let verdict = if line.is_met { "met" } else { "MISSED" };
            missed += u32::from(!line.is_met);
            println!("{name:8} {verdict:6} {}: {}", line.goal, line.got);
        }
    }
    if missed == 0 {
        ExitCode::SUCCESS
    } else {
        eprintln!("{missed} goals missed");
        ExitCode::FAILURE
    }
}
