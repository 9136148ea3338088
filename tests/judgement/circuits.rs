//! Stages with something to adjust, by their own algebra in doubles.

use core::f64::consts::TAU;

pub use crate::common::complex::{C, ONE, c};

const LIGHT: f64 = 299_792_458.0;

/// As good as open, ohms.
const OPEN: f64 = 1e9;

/// A value of which only a part moves: leads, strays and leakage stay.
#[derive(Clone, Copy, Debug)]
pub struct Knob {
    pub fixed: f64,
    pub moved: f64,
}

impl Knob {
    /// A capacitor in series that is not there.
    pub const NO_CAPACITOR: Self = Self {
        fixed: f64::INFINITY,
        moved: 0.0,
    };

    /// Of a whole value, with the share that moves.
    pub fn of(whole: f64, share: f64) -> Self {
        Self {
            fixed: whole * (1.0 - share),
            moved: whole * share,
        }
    }

    fn at(self, factor: f64) -> f64 {
        self.fixed + self.moved * factor
    }
}

/// What the person can adjust in a stage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Adjusts {
    Coil,
    /// A coil by its turns, L ∝ n².
    CoilTurns,
    Trimmer,
    Wire,
}

/// What a device, a transformer or a wire is made of.
#[derive(Clone, Copy, Debug)]
pub enum Network {
    /// A device (R, perhaps with C in series) behind a transformer, with leakage on both windings and a magnetising
    /// inductance, each per turn²; a coil beside the device or beside the instrument, and there a trimmer, in series.
    Interstage {
        resistance: f64,
        /// Farads; infinite for none.
        capacitance: f64,
        leakage: f64,
        magnetising: f64,
        coil: Knob,
        coil_at_device: bool,
        /// Farads; infinite for none.
        trimmer: Knob,
    },
    /// A parallel resonant circuit with a load across it, fed by a link (the primary).
    Tank {
        load: f64,
        coil: Knob,
        coil_q: f64,
        trimmer: Knob,
        link_leakage: f64,
    },
    /// A wire over ground: an open line with loss, which stands for its radiation.
    Wire {
        surge: f64,
        resistance: f64,
        metres: Knob,
        quarter: f64,
        ground: f64,
    },
    /// Two series circuits with a mutual inductance; the second has the load in it.
    Pair {
        coil: Knob,
        trimmer: Knob,
        loss: f64,
        second_coil: f64,
        second_capacitor: f64,
        load: f64,
        mutual: f64,
    },
    /// A low resistance with the coil in series, and the capacitor across both.
    LowL { load: C, coil: Knob, trimmer: Knob },
    /// A high resistance with the capacitor across it, and the coil in series with both.
    HighL { load: C, coil: Knob, trimmer: Knob },
    /// The same at all frequencies.
    Flat(C),
    /// A resistor and a coil.
    ResistorAndCoil { resistance: f64, inductance: f64 },
}

/// A line between instrument and load.
#[derive(Clone, Copy, Debug)]
pub struct Cable {
    pub impedance: f64,
    pub metres: f64,
    pub velocity: f64,
    /// Of the whole length, one way, at 30 MHz; it goes as √f.
    pub decibels: f64,
}

impl Cable {
    fn there_and_back(self, hertz: f64) -> C {
        let radians = TAU * hertz * self.metres / (self.velocity * LIGHT);
        let nepers = self.decibels * (hertz / 30e6).sqrt() / (20.0 / core::f64::consts::LN_10);
        c(-2.0 * nepers, -2.0 * radians).exponential()
    }

    fn seen(self, z: C, hertz: f64) -> C {
        let line = c(self.impedance, 0.0);
        let g = (z - line) / (z + line) * self.there_and_back(hertz);
        line * (ONE + g) / (ONE - g)
    }
}

/// A coil (henries) or a capacitor (farads) that was added.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Extra {
    Coil(f64),
    Capacitor(f64),
}

impl Extra {
    fn impedance(self, hertz: f64) -> C {
        match self {
            Self::Coil(henries) => coil(henries, 200.0, hertz),
            Self::Capacitor(farads) => c(0.0, -1.0 / (TAU * hertz * farads)),
        }
    }
}

/// What stands between the instrument and the network, from the network on.
#[derive(Clone, Copy, Debug)]
pub enum Link {
    Series(Extra),
    Across(Extra),
    /// An ideal transformer, primary towards the instrument.
    Ratio(f64),
    Cable(Cable),
}

fn coil(henries: f64, q: f64, hertz: f64) -> C {
    let reactance = TAU * hertz * henries;
    c(reactance / q, reactance)
}

fn capacitor(farads: f64, hertz: f64) -> C {
    if farads.is_finite() {
        c(0.0, -1.0 / (TAU * hertz * farads))
    } else {
        c(0.0, 0.0)
    }
}

fn beside(a: C, b: C) -> C {
    ONE / (ONE / a + ONE / b)
}

/// A stage as it is built now.
#[derive(Clone, Debug)]
pub struct Stage {
    pub network: Network,
    pub adjusts: Adjusts,
    /// The element's value, 1 as it was found.
    pub value: f64,
    /// Primary and secondary turns.
    pub turns: (u8, u8),
    pub links: Vec<Link>,
}

impl Stage {
    pub fn new(network: Network, adjusts: Adjusts, turns: (u8, u8)) -> Self {
        Self {
            network,
            adjusts,
            value: 1.0,
            turns,
            links: vec![],
        }
    }

    pub fn behind(mut self, cable: Cable) -> Self {
        self.links.push(Link::Cable(cable));
        self
    }

    fn network_impedance(&self, hertz: f64) -> C {
        let omega = TAU * hertz;
        let coil_factor = match self.adjusts {
            Adjusts::Coil => self.value,
            Adjusts::CoilTurns => self.value * self.value,
            _ => 1.0,
        };
        let trimmer_factor = if self.adjusts == Adjusts::Trimmer {
            self.value
        } else {
            1.0
        };
        let (primary, secondary) = (f64::from(self.turns.0), f64::from(self.turns.1));
        match self.network {
            Network::Interstage {
                resistance,
                capacitance,
                leakage,
                magnetising,
                coil: knob,
                coil_at_device,
                trimmer,
            } => {
                let knob = coil(knob.at(coil_factor), 150.0, hertz);
                let [near, far] = if coil_at_device {
                    [c(0.0, 0.0), knob]
                } else {
                    [knob, c(0.0, 0.0)]
                };
                let device = c(resistance, omega * leakage * secondary * secondary)
                    + capacitor(capacitance, hertz)
                    + far;
                let turned = device.times((primary / secondary).powi(2));
                let wound = beside(turned, c(0.0, omega * magnetising * primary * primary))
                    + c(0.0, omega * leakage * primary * primary);
                wound + near + capacitor(trimmer.at(trimmer_factor), hertz)
            }
            Network::Tank {
                load,
                coil: knob,
                coil_q,
                trimmer,
                link_leakage,
            } => {
                let tank = beside(
                    beside(c(load, 0.0), coil(knob.at(coil_factor), coil_q, hertz)),
                    capacitor(trimmer.at(trimmer_factor), hertz),
                );
                tank.times((primary / secondary).powi(2)) + c(0.0, omega * link_leakage * primary * primary)
            }
            Network::Wire {
                surge,
                resistance,
                metres,
                quarter,
                ground,
            } => {
                let factor = if self.adjusts == Adjusts::Wire {
                    self.value
                } else {
                    1.0
                };
                let length = metres.at(factor);
                let nepers = (resistance / surge).atanh() / quarter * length;
                let radians = omega * length / (0.95 * LIGHT);
                c(surge, 0.0) / c(nepers, radians).tanh() + c(ground, 0.0)
            }
            Network::Pair {
                coil: knob,
                trimmer,
                loss,
                second_coil,
                second_capacitor,
                load,
                mutual,
            } => {
                let second = c(load, omega * second_coil) + capacitor(second_capacitor, hertz);
                let first =
                    c(loss, omega * knob.at(coil_factor)) + capacitor(trimmer.at(trimmer_factor), hertz);
                first + c((omega * mutual).powi(2), 0.0) / second
            }
            Network::LowL {
                load,
                coil: knob,
                trimmer,
            } => beside(
                load + coil(knob.at(coil_factor), 150.0, hertz),
                capacitor(trimmer.at(trimmer_factor), hertz),
            ),
            Network::HighL {
                load,
                coil: knob,
                trimmer,
            } => {
                beside(load, capacitor(trimmer.at(trimmer_factor), hertz))
                    + coil(knob.at(coil_factor), 150.0, hertz)
            }
            Network::Flat(z) => z,
            Network::ResistorAndCoil {
                resistance,
                inductance,
            } => c(resistance, omega * inductance),
        }
    }

    /// What the instrument sees.
    pub fn impedance(&self, hertz: f64) -> C {
        let mut z = self.network_impedance(hertz);
        for link in &self.links {
            z = match *link {
                Link::Series(extra) => z + extra.impedance(hertz),
                Link::Across(extra) => beside(z, extra.impedance(hertz)),
                Link::Ratio(ratio) => z.times(ratio * ratio),
                Link::Cable(cable) => cable.seen(z, hertz),
            };
        }
        z
    }

    pub fn gamma(&self, hertz: f64) -> C {
        let z = self.impedance(hertz);
        (z - c(50.0, 0.0)) / (z + c(50.0, 0.0))
    }

    pub fn swr(&self, hertz: f64) -> f64 {
        let size = self.gamma(hertz).size();
        if size < 1.0 - 1e-9 {
            (1.0 + size) / (1.0 - size)
        } else {
            1e9
        }
    }

    /// The cable is taken out of the reading, and with it what stands on its other side.
    pub fn without_cable(&mut self) {
        if let Some(place) = self.links.iter().position(|link| matches!(link, Link::Cable(_))) {
            self.links.truncate(place);
        }
    }

    pub fn with_value(&self, value: f64) -> Self {
        Self {
            value,
            ..self.clone()
        }
    }

    /// The value in `low..=high` that leaves least SWR at a frequency, and that SWR.
    pub fn best_value(&self, hertz: f64, low: f64, high: f64) -> (f64, f64) {
        let at = |value: f64| self.with_value(value).swr(hertz);
        let count = 600;
        let value = |i: f64| low * (high / low).powf(i / f64::from(count));
        let best = (0..=count)
            .map(|i| (i, at(value(f64::from(i)))))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap();
        let (mut from, mut to) = (
            value(f64::from(best.0 - 1).max(0.0)),
            value(f64::from(best.0 + 1).min(f64::from(count))),
        );
        for _ in 0..50 {
            let (a, b) = (from + (to - from) / 3.0, to - (to - from) / 3.0);
            if at(a) < at(b) {
                to = b;
            } else {
                from = a;
            }
        }
        let middle = 0.5 * (from + to);
        (middle, at(middle))
    }

    /// The element is made such that the SWR at `hertz` is least: from here on its value 1 is the right one.
    pub fn settle(mut self, hertz: f64) -> Self {
        self.value = self.best_value(hertz, 0.1, 10.0).0;
        self.keep_value();
        self
    }

    /// What the element is now, is called 1.
    pub fn keep_value(&mut self) {
        let factor = if self.adjusts == Adjusts::CoilTurns {
            self.value * self.value
        } else {
            self.value
        };
        let knob = match (&mut self.network, self.adjusts) {
            (
                Network::Interstage { coil, .. }
                | Network::Tank { coil, .. }
                | Network::Pair { coil, .. }
                | Network::LowL { coil, .. }
                | Network::HighL { coil, .. },
                Adjusts::Coil | Adjusts::CoilTurns,
            ) => coil,
            (
                Network::Interstage { trimmer, .. }
                | Network::Tank { trimmer, .. }
                | Network::Pair { trimmer, .. }
                | Network::LowL { trimmer, .. }
                | Network::HighL { trimmer, .. },
                Adjusts::Trimmer,
            ) => trimmer,
            (Network::Wire { metres, .. }, Adjusts::Wire) => metres,
            (network, adjusts) => panic!("{adjusts:?} in {network:?}"),
        };
        knob.moved *= factor;
        self.value = 1.0;
    }

    /// The element is off by a factor, and that is called 1.
    pub fn off_by(mut self, factor: f64) -> Self {
        self.value = factor;
        self.keep_value();
        self
    }
}

/// An end without anything.
pub const fn open() -> Network {
    Network::Flat(c(OPEN, 0.0))
}

pub const fn short() -> Network {
    Network::Flat(c(1e-6, 0.0))
}

/// The stages against formulas of textbooks: Thomson's resonance, the quarter-wave line that inverts, the ratio of turns.
#[test]
fn stages_keep_to_textbook_formulas() {
    let near = |got: C, want: C, slack: f64| {
        assert!((got - want).size() < slack * want.size(), "{got:?} {want:?}");
    };
    let f = 10e6;
    // A quarter wave of 75 Ω makes 75²/50 Ω of 50 Ω.
    let quarter = Cable {
        impedance: 75.0,
        metres: 0.66 * LIGHT / (4.0 * f),
        velocity: 0.66,
        decibels: 0.0,
    };
    let load = Stage::new(Network::Flat(c(50.0, 0.0)), Adjusts::Coil, (1, 1));
    near(load.behind(quarter).impedance(f), c(112.5, 0.0), 1e-9);
    // 3 dB of loss before an open end: 6 dB of return loss, SWR 3.01.
    let cable = Cable {
        impedance: 50.0,
        metres: 7.0,
        velocity: 0.8,
        decibels: 3.0,
    };
    let swr = Stage::new(open(), Adjusts::Coil, (1, 1)).behind(cable).swr(30e6);
    assert!((swr - 3.0095).abs() < 1e-3, "{swr}");
    // 1 µH and 253.303 pF resonate at 10 MHz; there the tank is its resistance, by (2/8)².
    let coil = Knob::of(1e-6, 0.7);
    let trimmer = Knob::of(253.303e-12, 0.7);
    let tank = Network::Tank {
        load: 800.0,
        coil,
        coil_q: 1e12,
        trimmer,
        link_leakage: 0.0,
    };
    near(
        Stage::new(tank, Adjusts::Trimmer, (2, 8)).impedance(f),
        c(50.0, 0.0),
        1e-4,
    );
    // Twice the moved share of the trimmer: f/√1.7.
    let tank = Stage::new(tank, Adjusts::Trimmer, (2, 8)).off_by(2.0);
    near(tank.impedance(f / 1.7f64.sqrt()), c(50.0, 0.0), 1e-4);
    assert!((tank.best_value(f, 0.1, 2.0).0 - 0.5).abs() < 1e-4);
    // Critically coupled: matched in the middle.
    let pair = Network::Pair {
        coil,
        trimmer,
        loss: 0.0,
        second_coil: 1e-6,
        second_capacitor: 253.303e-12,
        load: 8.0,
        mutual: 20.0 / (TAU * f),
    };
    near(
        Stage::new(pair, Adjusts::Coil, (1, 1)).impedance(f),
        c(50.0, 0.0),
        1e-4,
    );
    // A wire of a quarter wave is its resistance; a longer one is inductive.
    let wire = Network::Wire {
        surge: 400.0,
        resistance: 30.0,
        metres: Knob::of(0.95 * LIGHT / (4.0 * f), 1.0),
        quarter: 0.95 * LIGHT / (4.0 * f),
        ground: 6.0,
    };
    let wire = Stage::new(wire, Adjusts::Wire, (1, 1));
    near(wire.impedance(f), c(36.0, 0.0), 1e-9);
    assert!(wire.with_value(1.05).impedance(f).im > 10.0);
}
