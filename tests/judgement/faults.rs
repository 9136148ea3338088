//! The faults: each stage as someone may find it, all invented.

use core::f64::consts::TAU;

use crate::circuits::{Adjusts, Cable, Knob, Network, Stage, c, open, short};
use crate::common::Random;

/// What there is to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Truth {
    /// The SWR at the target can be brought under the limit, and has to be.
    Mend,
    /// It is under the limit: nothing is to be changed.
    Leave,
    /// There is no circuit: no direction, no turns, no part, and no wider sweep.
    Nothing,
    /// A resistor and a coil: no direction, since nothing resonates; a part that mends it may be advised.
    NoDirection,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    Interstage,
    Tank,
    Wire,
    Pair,
    LMatch,
    Windings,
    NothingToDo,
}

/// A stage with its fault, and how it is measured first.
#[derive(Clone, Debug)]
pub struct Job {
    pub stage: Stage,
    /// The turns are told.
    pub winding_told: bool,
    pub most_turns: (u8, u8),
    pub target: u64,
    pub start: u64,
    pub stop: u64,
    pub points: usize,
    pub limit: f64,
    pub truth: Truth,
}

impl Job {
    fn new(stage: Stage, target: f64) -> Self {
        Self {
            stage,
            winding_told: false,
            most_turns: (12, 12),
            target: target.round() as u64,
            start: 0,
            stop: 0,
            points: 0,
            limit: 1.5,
            truth: Truth::Mend,
        }
    }

    /// From these shares of the target on.
    fn swept(mut self, low: f64, high: f64, points: usize) -> Self {
        self.start = (self.target as f64 * low).round() as u64;
        self.stop = (self.target as f64 * high).round() as u64;
        self.points = points;
        self
    }

    fn with(self, truth: Truth) -> Self {
        Self { truth, ..self }
    }

    fn with_winding(self) -> Self {
        Self {
            winding_told: true,
            ..self
        }
    }
}

/// A span that holds the target and a dip that is off by `ratio`, with points enough for the Q.
fn usual(job: Job, random: &mut Random, ratio: f64, q: f64) -> Job {
    let margin = random.between(1.1, 1.5);
    let low = ratio.min(1.0) / margin;
    let high = ratio.max(1.0) * margin;
    let needed = (high - low) * q * 4.0;
    let grids = [31, 101, 201, 501];
    let enough = grids.iter().position(|n| *n as f64 >= needed).unwrap_or(3);
    let place = enough + (random.bits() as usize) % (4 - enough);
    job.swept(low, high, grids[place])
}

fn pick<T: Copy>(random: &mut Random, list: &[T]) -> T {
    list[random.bits() as usize % list.len()]
}

fn target(random: &mut Random) -> f64 {
    pick(random, &[3.6e6, 7.1e6, 14.2e6, 27.5e6, 45e6, 71e6, 144e6])
}

/// Leakage and magnetising inductance, both per turn²: the leakage is some per cent.
fn core(random: &mut Random, f: f64, primary: u8) -> [f64; 2] {
    let magnetising = random.between(6.0, 15.0) * 50.0 / (TAU * f) / f64::from(primary).powi(2);
    [magnetising * random.between(0.005, 0.02), magnetising]
}

/// A device of a capacitive Q, with a coil on one side of a transformer, matched at `f` (except for `spoilt_resistance`).
fn interstage(
    random: &mut Random,
    f: f64,
    turns: (u8, u8),
    coil_at_device: bool,
    device_q: f64,
    spoilt_resistance: f64,
) -> Stage {
    let omega = TAU * f;
    let ratio = (f64::from(turns.0) / f64::from(turns.1)).powi(2);
    let mut resistance = 50.0 / ratio;
    let reactance = resistance * device_q;
    let wanted = random.between(44.0, 57.0);
    let [leakage, magnetising] = core(random, f, turns.0);
    let share = random.between(0.5, 1.0);
    let coil = reactance * if coil_at_device { 1.0 } else { ratio } / omega;
    let stage = |resistance: f64| {
        let network = Network::Interstage {
            resistance,
            capacitance: 1.0 / (omega * reactance),
            leakage,
            magnetising,
            coil: Knob::of(coil, share),
            coil_at_device,
            trimmer: Knob::NO_CAPACITOR,
        };
        Stage::new(network, Adjusts::Coil, turns).settle(f)
    };
    // The device that the magnetising inductance turns into the wanted resistance.
    for _ in 0..6 {
        resistance *= wanted / stage(resistance).impedance(f).re;
    }
    stage(resistance * spoilt_resistance)
}

/// The same with a trimmer in series, which resonates with leakage and a coil that stays.
fn interstage_with_trimmer(random: &mut Random, f: f64, turns: (u8, u8)) -> Stage {
    let omega = TAU * f;
    let [leakage, magnetising] = core(random, f, turns.0);
    let q = random.between(1.5, 5.0);
    let ratio = (f64::from(turns.0) / f64::from(turns.1)).powi(2);
    let network = Network::Interstage {
        resistance: random.between(46.0, 56.0) / ratio,
        capacitance: f64::INFINITY,
        leakage,
        magnetising,
        coil: Knob::of(50.0 * q / omega, 1.0),
        coil_at_device: false,
        trimmer: Knob::of(1.0 / (omega * 50.0 * q), random.between(0.5, 1.0)),
    };
    Stage::new(network, Adjusts::Trimmer, turns).settle(f)
}

/// A parallel resonant circuit of loaded Q `q`, matched at `f` by its link.
fn tank(random: &mut Random, f: f64, q: f64, adjusts: Adjusts, spoilt_load: f64) -> Stage {
    let omega = TAU * f;
    let turns = pick(random, &[(1, 4), (2, 9), (2, 6), (3, 11)]);
    let across = 50.0 * (f64::from(turns.1) / f64::from(turns.0)).powi(2);
    let reactance = across / (2.0 * q);
    let coil_q = q * random.between(8.0, 15.0);
    // What the coil takes and the load takes are together the wanted resistance.
    let load = 1.0 / (1.0 / across - 1.0 / (coil_q * reactance));
    let share = random.between(0.6, 1.0);
    let network = Network::Tank {
        load: load * spoilt_load,
        coil: Knob::of(reactance / omega, share),
        coil_q,
        trimmer: Knob::of(1.0 / (omega * reactance), share),
        link_leakage: random.between(0.0, 0.15) * 50.0 / omega / f64::from(turns.0).powi(2),
    };
    Stage::new(network, adjusts, turns).settle(f)
}

/// A quarter-wave wire whose end resistance is `resistance`.
fn wire(random: &mut Random, f: f64, resistance: f64) -> Stage {
    let quarter = 0.95 * 299_792_458.0 / (4.0 * f);
    let ground = random.between(0.0, 8.0);
    let network = Network::Wire {
        surge: random.between(300.0, 550.0),
        resistance: resistance - ground,
        metres: Knob::of(quarter, random.between(0.85, 1.0)),
        quarter,
        ground,
    };
    Stage::new(network, Adjusts::Wire, (1, 1)).settle(f)
}

fn cable(random: &mut Random, impedance: f64, metres: f64) -> Cable {
    Cable {
        impedance,
        metres,
        velocity: random.between(0.66, 0.85),
        decibels: metres * random.between(0.02, 0.07),
    }
}

/// Two circuits with `coupling` times the critical mutual inductance; matched in the middle where that is 1.
fn pair(random: &mut Random, f: f64, q: f64, coupling: f64, adjusts: Adjusts) -> Stage {
    let omega = TAU * f;
    let load = random.between(5.0, 40.0);
    let reactance = 50.0 * q;
    let share = random.between(0.7, 1.0);
    let network = Network::Pair {
        coil: Knob::of(reactance / omega, share),
        trimmer: Knob::of(1.0 / (omega * reactance), share),
        loss: random.between(0.2, 2.0),
        second_coil: load * q / omega,
        second_capacitor: 1.0 / (omega * load * q),
        load,
        mutual: coupling * (50.0 * load).sqrt() / omega,
    };
    Stage::new(network, adjusts, (1, 1))
}

/// A low resistance that coil and capacitor bring to 50 Ω.
fn low_l(random: &mut Random, f: f64, resistance: f64) -> Network {
    let omega = TAU * f;
    let q = (50.0 / resistance - 1.0).sqrt();
    let load_reactance = random.between(-0.5, 0.5) * resistance;
    let share = random.between(0.8, 1.0);
    Network::LowL {
        load: c(resistance, load_reactance),
        coil: Knob::of((resistance * q - load_reactance) / omega, share),
        trimmer: Knob::of(q / 50.0 / omega, share),
    }
}

fn high_l(random: &mut Random, f: f64, resistance: f64) -> Network {
    let omega = TAU * f;
    let q = (resistance / 50.0 - 1.0).sqrt();
    let share = random.between(0.8, 1.0);
    Network::HighL {
        load: c(resistance, 0.0),
        coil: Knob::of(50.0 * q / omega, share),
        trimmer: Knob::of(q / resistance / omega, share),
    }
}

/// Windings on a resistor.
fn windings(random: &mut Random, f: f64, resistance: f64, turns: (u8, u8), leakage_share: f64) -> Stage {
    let omega = TAU * f;
    let magnetising = random.between(8.0, 20.0) * 50.0 / omega / f64::from(turns.0).powi(2);
    let network = Network::Interstage {
        resistance,
        capacitance: f64::INFINITY,
        leakage: magnetising * leakage_share,
        magnetising,
        coil: Knob::of(0.01 * 50.0 / omega, 0.5),
        coil_at_device: false,
        trimmer: Knob::NO_CAPACITOR,
    };
    Stage::new(network, Adjusts::Coil, turns)
}

fn flat(resistance: f64) -> Stage {
    Stage::new(Network::Flat(c(resistance, 0.0)), Adjusts::Coil, (1, 1))
}

pub struct Fault {
    pub name: &'static str,
    pub class: Class,
    pub make: fn(&mut Random) -> Job,
}

/// The dip of a series or parallel circuit whose element is off by `factor` stands about here.
fn moved(factor: f64) -> f64 {
    1.0 / factor.sqrt()
}

fn interstage_off(random: &mut Random, factor: f64) -> Job {
    let f = target(random);
    let turns = pick(random, &[(4, 1), (3, 1), (5, 2), (2, 1)]);
    let at_device = random.bits() & 1 == 0;
    let q = random.between(2.0, 4.0);
    let stage = interstage(random, f, turns, at_device, q, 1.0).off_by(factor);
    usual(Job::new(stage, f), random, moved(factor), 4.0)
}

fn trimmer_off(random: &mut Random, factor: f64) -> Job {
    let f = target(random);
    let turns = pick(random, &[(4, 1), (3, 1), (5, 2)]);
    let stage = interstage_with_trimmer(random, f, turns).off_by(factor);
    usual(Job::new(stage, f), random, moved(factor), 4.0)
}

fn interstage_ratio(random: &mut Random, resistance: f64, factor: f64, told: bool) -> Job {
    let f = target(random);
    let turns = pick(random, &[(4, 1), (3, 1), (4, 2), (5, 2)]);
    // Other turns leave a coil beside the instrument as it is: then it must not be a large one.
    let at_device = random.bits() & 1 == 0;
    let q = if at_device {
        random.between(1.5, 4.0)
    } else {
        random.between(0.7, 1.5)
    };
    let stage = interstage(random, f, turns, at_device, q, resistance).off_by(factor);
    let job = usual(Job::new(stage, f), random, moved(factor), 5.0);
    if told { job.with_winding() } else { job }
}

fn tank_off(random: &mut Random, q: f64, adjusts: Adjusts, factor: f64, load: f64) -> Job {
    let f = target(random);
    let stage = tank(random, f, q, adjusts, load).off_by(factor);
    let ratio = if adjusts == Adjusts::CoilTurns {
        1.0 / factor
    } else {
        moved(factor)
    };
    usual(Job::new(stage, f), random, ratio, q)
}

fn wire_off(random: &mut Random, factor: f64, feeder: Option<(f64, f64)>) -> Job {
    let f = pick(random, &[7.1e6, 14.2e6, 21.2e6, 28.5e6, 50.5e6]);
    let resistance = random.between(38.0, 65.0);
    let mut stage = wire(random, f, resistance).off_by(factor);
    if let Some((impedance, metres)) = feeder {
        let metres = metres * random.between(0.7, 1.3);
        stage = stage.behind(cable(random, impedance, metres));
    }
    usual(Job::new(stage, f), random, 1.0 / factor, 8.0)
}

fn pair_off(random: &mut Random, coupling: f64, adjusts: Adjusts, factor: f64) -> Job {
    let f = target(random);
    let q = random.between(4.0, 10.0);
    let stage = pair(random, f, q, coupling, adjusts).off_by(factor);
    usual(Job::new(stage, f), random, moved(factor), 3.0 * q)
}

fn l_off(random: &mut Random, low: bool, adjusts: Adjusts, coil: f64, trimmer: f64) -> Job {
    let f = target(random);
    let resistance = if low {
        random.between(5.0, 22.0)
    } else {
        random.between(110.0, 400.0)
    };
    let network = if low {
        low_l(random, f, resistance)
    } else {
        high_l(random, f, resistance)
    };
    let stage = Stage::new(network, Adjusts::Coil, (1, 1)).off_by(coil);
    let stage = Stage::new(stage.network, Adjusts::Trimmer, (1, 1)).off_by(trimmer);
    let stage = Stage::new(stage.network, adjusts, (1, 1));
    usual(Job::new(stage, f), random, moved(coil * trimmer), 6.0)
}

fn windings_off(random: &mut Random, resistance: f64, turns: (u8, u8), leakage: f64, most: (u8, u8)) -> Job {
    let f = target(random);
    let resistance = resistance * random.between(0.9, 1.1);
    let stage = windings(random, f, resistance, turns, leakage);
    let (low, high) = pick(random, &[(0.5, 1.8), (0.8, 1.2), (0.95, 1.05)]);
    let points = pick(random, &[31, 101, 201]);
    let mut job = Job::new(stage, f).swept(low, high, points).with_winding();
    job.most_turns = most;
    job
}

fn flat_job(random: &mut Random, stage: Stage, truth: Truth) -> Job {
    let f = target(random);
    let (low, high) = pick(random, &[(0.3, 2.5), (0.7, 1.4), (0.95, 1.05)]);
    let points = pick(random, &[31, 101, 201, 501]);
    Job::new(stage, f).swept(low, high, points).with(truth)
}

/// A cable without anything at its end; it turns Γ once or several times in the sweep.
fn disconnected(random: &mut Random, impedance: f64) -> Job {
    let f = pick(random, &[7.1e6, 14.2e6, 28.5e6, 50.5e6]);
    let metres = random.between(4.0, 20.0);
    let stage = Stage::new(open(), Adjusts::Wire, (1, 1)).behind(cable(random, impedance, metres));
    let points = pick(random, &[101, 201, 501]);
    let (low, high) = pick(random, &[(0.5, 1.8), (0.8, 1.2)]);
    Job::new(stage, f).swept(low, high, points).with(Truth::Nothing)
}

macro_rules! faults {
    ($($class:ident { $($name:literal: |$random:ident| $make:expr;)* })*) => {
        pub const FAULTS: &[Fault] = &[$($(
            Fault { name: $name, class: Class::$class, make: |$random| $make },
        )*)*];
    };
}

faults! {
    Interstage {
        "coil 20 to 30 % too large": |r| { let factor = r.between(1.2, 1.3); interstage_off(r, factor) };
        "coil 15 % too large": |r| interstage_off(r, 1.15);
        "coil 60 % too large": |r| interstage_off(r, 1.6);
        "coil a third too small": |r| interstage_off(r, 0.67);
        "coil 18 % too small": |r| interstage_off(r, 0.82);
        "trimmer a third too large": |r| trimmer_off(r, 1.33);
        "trimmer a quarter too small": |r| trimmer_off(r, 0.75);
        "device of twice the resistance, turns told": |r| interstage_ratio(r, 2.2, 1.0, true);
        "device of half the resistance, turns told": |r| interstage_ratio(r, 0.45, 1.0, true);
        "device of half the resistance, turns not told": |r| interstage_ratio(r, 0.45, 1.0, false);
        "resistance and coil wrong, turns told": |r| interstage_ratio(r, 2.0, 1.3, true);
        "resistance and coil wrong, turns not told": |r| interstage_ratio(r, 0.5, 0.8, false);
        "target above the sweep": |r| { let job = interstage_off(r, 1.3); job.swept(0.6, 0.97, 101) };
        "dip above the sweep": |r| { let job = interstage_off(r, 0.6); job.swept(0.85, 1.1, 101) };
    }
    Tank {
        "trimmer 6 % too large, Q 15": |r| tank_off(r, 15.0, Adjusts::Trimmer, 1.06, 1.0);
        "trimmer a quarter too large": |r| tank_off(r, 8.0, Adjusts::Trimmer, 1.25, 1.0);
        "trimmer 40 % too small": |r| tank_off(r, 6.0, Adjusts::Trimmer, 0.6, 1.0);
        "trimmer 10 % too small, Q 25": |r| tank_off(r, 25.0, Adjusts::Trimmer, 0.9, 1.0);
        "coil 20 % too large": |r| tank_off(r, 10.0, Adjusts::Coil, 1.2, 1.0);
        "two turns of ten too few": |r| tank_off(r, 6.0, Adjusts::CoilTurns, 0.8, 1.0);
        "load half, trimmer off": |r| tank_off(r, 6.0, Adjusts::Trimmer, 1.15, 0.45);
        "load twice, link told": |r| tank_off(r, 8.0, Adjusts::Trimmer, 0.9, 2.2).with_winding();
        "dip below a narrow sweep": |r| { let job = tank_off(r, 10.0, Adjusts::Trimmer, 1.4, 1.0); job.swept(0.95, 1.06, 101) };
        "dip above the sweep": |r| { let job = tank_off(r, 8.0, Adjusts::Trimmer, 0.65, 1.0); job.swept(0.8, 1.08, 101) };
        "target below the sweep": |r| { let job = tank_off(r, 8.0, Adjusts::Coil, 0.8, 1.0); job.swept(1.03, 1.5, 101) };
        "grid of two steps per width": |r| {
            let job = tank_off(r, 12.0, Adjusts::Trimmer, 1.2, 1.0);
            job.swept(0.6, 1.4, 31)
        };
    }
    Wire {
        "5 % too long": |r| wire_off(r, 1.05, None);
        "15 % too long": |r| wire_off(r, 1.15, None);
        "8 % too short": |r| wire_off(r, 0.92, None);
        "20 % too short": |r| wire_off(r, 0.8, None);
        "5 % too long, behind 12 m of 50 Ω": |r| wire_off(r, 1.05, Some((50.0, 12.0)));
        "10 % too short, behind 20 m of 50 Ω": |r| wire_off(r, 0.9, Some((50.0, 20.0)));
        "7 % too short, behind 8 m of 75 Ω": |r| wire_off(r, 0.93, Some((75.0, 8.0)));
        "6 % too long, behind 15 m of 75 Ω": |r| wire_off(r, 1.06, Some((75.0, 15.0)));
        "dip below a narrow sweep": |r| { let job = wire_off(r, 1.12, None); job.swept(0.97, 1.03, 101) };
        "dip above a narrow sweep, 50 Ω cable": |r| { let job = wire_off(r, 0.9, Some((50.0, 10.0))); job.swept(0.97, 1.03, 101) };
        "coarse wide grid": |r| { let job = wire_off(r, 1.1, None); job.swept(0.4, 2.0, 31) };
        "two dips, the third harmonic in the sweep": |r| { let job = wire_off(r, 1.08, None); job.swept(0.6, 3.6, 501) };
    }
    Pair {
        "first trimmer 8 to 13 % too large": |r| { let factor = r.between(1.08, 1.13); pair_off(r, 1.0, Adjusts::Trimmer, factor) };
        "first trimmer 10 % too small": |r| pair_off(r, 1.0, Adjusts::Trimmer, 0.9);
        "first coil 15 % too large, coupled tightly": |r| pair_off(r, 1.15, Adjusts::Coil, 1.15);
        "first coil a fifth too small, coupled tightly": |r| pair_off(r, 1.15, Adjusts::Coil, 0.8);
        "coupled loosely, trimmer off": |r| pair_off(r, 0.8, Adjusts::Trimmer, 1.1);
    }
    LMatch {
        "coil 40 % too large": |r| l_off(r, true, Adjusts::Coil, 1.4, 1.0);
        "coil a third too small": |r| l_off(r, true, Adjusts::Coil, 0.67, 1.0);
        "coil half too large, high load": |r| l_off(r, false, Adjusts::Coil, 1.5, 1.0);
        "coil 40 % too small, high load": |r| l_off(r, false, Adjusts::Coil, 0.6, 1.0);
        "capacitor 40 % too small, it can be moved": |r| l_off(r, false, Adjusts::Trimmer, 1.0, 0.6);
        "capacitor 40 % too large, it can be moved": |r| l_off(r, false, Adjusts::Trimmer, 1.0, 1.4);
        "capacitor of half the value, only the coil moves": |r| l_off(r, true, Adjusts::Coil, 1.0, 0.5);
        "capacitor half too large, only the coil moves": |r| l_off(r, false, Adjusts::Coil, 1.0, 1.5);
    }
    Windings {
        "2 : 1 on 3 Ω": |r| windings_off(r, 3.0, (2, 1), 0.004, (12, 12));
        "5 : 1 on 6 Ω": |r| windings_off(r, 6.0, (5, 1), 0.002, (12, 1));
        "1 : 1 on 12 Ω": |r| windings_off(r, 12.5, (2, 2), 0.003, (12, 12));
        "1 : 3 on 150 Ω": |r| windings_off(r, 150.0, (3, 9), 0.001, (12, 12));
        "4 : 2 on 50 Ω": |r| windings_off(r, 50.0, (4, 2), 0.004, (12, 12));
        "3 : 1 on 2 Ω, a single turn there": |r| windings_off(r, 2.0, (3, 1), 0.004, (12, 1));
    }
    NothingToDo {
        "open": |r| flat_job(r, Stage::new(open(), Adjusts::Coil, (1, 1)), Truth::Nothing);
        "open, a wire was meant": |r| flat_job(r, Stage::new(open(), Adjusts::Wire, (1, 1)), Truth::Nothing);
        "short": |r| flat_job(r, Stage::new(short(), Adjusts::Trimmer, (1, 1)), Truth::Nothing);
        "dummy load of 50 Ω": |r| flat_job(r, flat(50.0), Truth::Nothing);
        "dummy load of 75 Ω": |r| flat_job(r, flat(75.0), Truth::Nothing);
        "dummy load of 25 Ω": |r| flat_job(r, flat(25.0), Truth::Nothing);
        "cable of 50 Ω without a load": |r| disconnected(r, 50.0);
        "cable of 75 Ω without a load": |r| disconnected(r, 75.0);
        "resistor and coil, swept wide": |r| {
            let f = target(r);
            let network = Network::ResistorAndCoil {
                resistance: r.between(25.0, 80.0),
                inductance: r.between(0.7, 3.0) * 50.0 / (TAU * f),
            };
            let points = pick(r, &[101, 201, 501]);
            Job::new(Stage::new(network, Adjusts::Coil, (1, 1)), f)
                .swept(0.1, 3.0, points)
                .with(Truth::NoDirection)
        };
        "matched interstage": |r| interstage_off(r, 1.0).with(Truth::Leave);
        "matched tank": |r| tank_off(r, 8.0, Adjusts::Trimmer, 1.0, 1.0).with(Truth::Leave);
        "matched wire": |r| wire_off(r, 1.0, None).with(Truth::Leave);
        "dip 1 kHz off": |r| {
            let job = tank_off(r, 8.0, Adjusts::Trimmer, 1.0, 1.0).with(Truth::Leave);
            Job { target: job.target + 1000, ..job }
        };
    }
}
