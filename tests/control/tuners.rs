//! What the tests of the tuner share: random banks and loads, and the bank worked out once more in double precision by
//! impedances in series and side by side.

use std::f64::consts::TAU;
use std::ops::{Add, Div, Mul, Sub};

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::control::{Arrangement, Bank, BankCapacitor, BankCoil, Setting, Side, Stray};
use ohmwright::design::transformer::Turns;
use ohmwright::quantity::{Capacitance, Hertz, Inductance, QFactor, Reflection};

use crate::common::Random;

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct C64 {
    pub re: f64,
    pub im: f64,
}

pub fn c(re: f64, im: f64) -> C64 {
    C64 { re, im }
}

impl C64 {
    pub fn size(self) -> f64 {
        self.re.hypot(self.im)
    }
}

impl Add for C64 {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        c(self.re + other.re, self.im + other.im)
    }
}
impl Sub for C64 {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        c(self.re - other.re, self.im - other.im)
    }
}
impl Mul for C64 {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        c(
            self.re * other.re - self.im * other.im,
            self.re * other.im + self.im * other.re,
        )
    }
}
impl Div for C64 {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let size = other.re * other.re + other.im * other.im;
        c(
            (self.re * other.re + self.im * other.im) / size,
            (self.im * other.re - self.re * other.im) / size,
        )
    }
}

/// Henries of a word of inductance, farads of a word of capacitance.
pub fn units<A: Arithmetic>() -> (f64, f64) {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => (1e-12, 1e-15),
        _ => (1.0, 1.0),
    }
}

/// The bank as it is held, in double precision.
pub struct Oracle {
    coils: Vec<(f64, f64)>,
    capacitors: Vec<(f64, f64)>,
    arrangement: Arrangement,
    stray: (f64, f64, f64),
    taps: Vec<f64>,
    omega: f64,
    reference: f64,
}

impl Oracle {
    pub fn new<A: Arithmetic, const L: usize, const C: usize>(
        bank: &Bank<A, L, C>,
        stray: Stray<A>,
        taps: &[Turns],
        frequency: Hertz,
        reference: f64,
    ) -> Self {
        let (henry, farad) = units::<A>();
        let q = |q: QFactor<A>| {
            if q == QFactor::<A>::MAX {
                f64::INFINITY
            } else {
                q.to_f64()
            }
        };
        let coil = |coil: &BankCoil<A>| (coil.inductance.get().to_f64() * henry, q(coil.q));
        let capacitor = |part: &BankCapacitor<A>| (part.capacitance.get().to_f64() * farad, q(part.q));
        let ratio = |turns: &Turns| (f64::from(turns.primary()) / f64::from(turns.secondary())).powi(2);
        Self {
            coils: bank.coils().iter().map(coil).collect(),
            capacitors: bank.capacitors().iter().map(capacitor).collect(),
            arrangement: bank.arrangement(),
            stray: (
                stray.series.get().to_f64() * henry,
                stray.at_source.get().to_f64() * farad,
                stray.at_load.get().to_f64() * farad,
            ),
            taps: if taps.is_empty() {
                vec![1.0]
            } else {
                taps.iter().map(ratio).collect()
            },
            omega: TAU * frequency.get() as f64,
            reference,
        }
    }

    /// Γ at the input: from the load's impedance, through the transformer, the capacitors, the coils, the capacitors.
    pub fn reflection(&self, setting: Setting, load: C64) -> C64 {
        let one = c(1.0, 0.0);
        let z0 = c(self.reference, 0.0);
        let mut z = (one + load) / (one - load) * z0;
        z = z * c(self.taps[usize::from(setting.tap)], 0.0);
        let at_source = |k: usize| match self.arrangement {
            Arrangement::SourceSide => true,
            Arrangement::LoadSide => false,
            Arrangement::Changeover => setting.side == Side::Source,
            Arrangement::BothSides { at_source } => k < usize::from(at_source),
            _ => panic!("an arrangement nobody knows"),
        };
        let capacitance = |source: bool| {
            let mut y = c(0.0, self.omega * if source { self.stray.1 } else { self.stray.2 });
            for (k, (farads, q)) in self.capacitors.iter().enumerate() {
                if setting.capacitors >> k & 1 == 1 && at_source(k) == source {
                    y = y + c(self.omega * farads / q, self.omega * farads);
                }
            }
            y
        };
        z = one / (one / z + capacitance(false));
        z = z + c(0.0, self.omega * self.stray.0);
        for (k, (henries, q)) in self.coils.iter().enumerate() {
            if setting.coils >> k & 1 == 1 {
                z = z + c(self.omega * henries / q, self.omega * henries);
            }
        }
        z = one / (one / z + capacitance(true));
        (z - z0) / (z + z0)
    }
}

/// A bank, its strays and its taps.
pub struct RandomBank<A: Arithmetic, const L: usize, const C: usize> {
    pub bank: Bank<A, L, C>,
    pub stray: Stray<A>,
    pub taps: Vec<Turns>,
}

/// Values in powers of two, near them or anywhere; losses the same for all, different or none; sometimes strays and taps.
pub fn random_bank<A: Arithmetic, const L: usize, const C: usize>(
    random: &mut Random,
    arrangement: Arrangement,
) -> RandomBank<A, L, C> {
    let kind = random.bits() % 3;
    let value = |random: &mut Random, smallest: f64, k: usize| match kind {
        0 => smallest * 2f64.powi(k as i32) * random.between(0.95, 1.05),
        1 => smallest * 2f64.powi(k as i32),
        _ => smallest * 2f64.powf(random.between(0.0, L.max(C) as f64)),
    };
    let losses = random.bits() % 3;
    let q = |random: &mut Random, same: f64| match losses {
        0 => QFactor::<A>::MAX,
        1 => QFactor::<A>::try_from_f64(same).unwrap(),
        _ => QFactor::<A>::try_from_f64(random.between(30.0, 600.0)).unwrap(),
    };
    let coils = core::array::from_fn(|k| BankCoil {
        inductance: Inductance::from_picohenries(value(random, 50e3, k) as u32),
        q: q(random, 150.0),
    });
    let capacitors = core::array::from_fn(|k| BankCapacitor {
        capacitance: Capacitance::from_femtofarads(value(random, 10e3, k) as u32),
        q: q(random, 1000.0),
    });
    let mut bank = Bank::new(coils, capacitors, arrangement).unwrap();
    let mut stray = Stray::default();
    if random.bits() & 1 == 0 {
        stray = Stray {
            series: Inductance::from_picohenries(random.between(0.0, 60e3) as u32),
            at_source: Capacitance::from_femtofarads(random.between(0.0, 20e3) as u32),
            at_load: Capacitance::from_femtofarads(random.between(0.0, 20e3) as u32),
        };
        bank = bank.with_stray(stray);
    }
    let mut taps = Vec::new();
    if random.bits() & 3 == 0 {
        taps = [(1, 1), (1, 2), (3, 2)]
            .map(|(p, s)| Turns::new(p, s).unwrap())
            .to_vec();
        bank = bank.with_taps(&taps).unwrap();
    }
    RandomBank { bank, stray, taps }
}

/// Evenly over the disc up to this |Γ|.
pub fn random_load<A: Arithmetic>(random: &mut Random, largest: f64) -> Reflection<A> {
    let size = random.between(0.0, largest * largest).sqrt();
    let angle = random.between(-3.2, 3.2);
    Reflection::try_from_f64(size * angle.cos(), size * angle.sin()).unwrap()
}

pub fn random_frequency(random: &mut Random) -> Hertz {
    Hertz::new(random.between(1.8e6, 30e6) as u64)
}

/// Eight coils from 50 nH and eight capacitors from 10 pF, each twice the one before, with losses, at either end.
pub fn usual_bank<A: Arithmetic>() -> Bank<A, 8, 8> {
    let ratio = |q: f64| QFactor::<A>::try_from_f64(q).unwrap();
    let coils = core::array::from_fn(|k| BankCoil {
        inductance: Inductance::from_picohenries(50_000 << k),
        q: ratio(160.0),
    });
    let capacitors = core::array::from_fn(|k| BankCapacitor {
        capacitance: Capacitance::from_femtofarads(10_000 << k),
        q: ratio(1000.0),
    });
    Bank::new(coils, capacitors, Arrangement::Changeover).unwrap()
}

pub fn word<Q: Quantity>(value: f64) -> Q {
    Q::try_from_f64(value).unwrap()
}
