//! What the searches for worst cases share: exact truths of a Γ in whole steps, a tally, places to look at, threads.

use std::ops::Range;
use std::thread;

use ohmwright::arithmetic::accuracy::{Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::fixed::types::I2F14;
use ohmwright::quantity::{Reference, Reflection};

use crate::common::Random;
pub use crate::common::deep;
use crate::common::readouts::{read, readout_truth};

pub mod paths;

/// A fixed-point family, by the bits of a component of Γ.
pub trait Bits: Arithmetic {
    /// Digits after the point.
    const DIGITS: u32;
    /// The ends of the word.
    const ENDS: (i32, i32);
    fn gamma(re: i32, im: i32) -> Reflection<Self>;
}

impl Bits for Fixed32 {
    const DIGITS: u32 = 30;
    const ENDS: (i32, i32) = (i32::MIN, i32::MAX);
    fn gamma(re: i32, im: i32) -> Reflection<Self> {
        Reflection::<Fixed32>::from_bits(re, im)
    }
}

impl Bits for Fixed16 {
    const DIGITS: u32 = 14;
    const ENDS: (i32, i32) = (i16::MIN as i32, i16::MAX as i32);
    fn gamma(re: i32, im: i32) -> Reflection<Self> {
        let word = |bits: i32| I2F14::from_bits(bits as i16);
        Reflection::new(word(re), word(im)).expect("every word is a component")
    }
}

/// What cancels is formed in whole numbers, in units of the square of a step, and therefore exact. What follows in
/// doubles adds some 1e-15 of the result.
#[derive(Clone, Copy)]
pub struct Exact {
    re: f64,
    im: f64,
    unit: f64,
    pub square: u64,
    passive: i64,
    away: u64,
    towards: u64,
}

impl Exact {
    pub fn new<A: Bits>(re: i32, im: i32) -> Self {
        let one = 1u64 << (2 * A::DIGITS);
        let square = (re as i64 * re as i64) as u64 + (im as i64 * im as i64) as u64;
        let twice = (re as i64) << (A::DIGITS + 1);
        Self {
            re: re as f64,
            im: im as f64,
            unit: 0.5f64.powi(A::DIGITS as i32),
            square,
            passive: (one as i64).wrapping_sub_unsigned(square),
            away: (one + square).wrapping_sub(twice as u64),
            towards: (one + square).wrapping_add(twice as u64),
        }
    }

    /// The true value, and the scale that its bound refers to.
    pub fn value(&self, readout: Readout, reference: f64) -> (f64, f64) {
        let unit = self.unit * self.unit;
        let magnitude = (self.square as f64).sqrt() * self.unit;
        let passive = self.passive as f64 * unit;
        let decibels = |share: f64| {
            if share > 0.0 {
                -10.0 * share.log10()
            } else {
                f64::INFINITY
            }
        };
        let same = |value: f64| (value, value);
        let size = || {
            if self.away == 0 {
                f64::INFINITY
            } else {
                reference * (self.towards as f64 / self.away as f64).sqrt()
            }
        };
        match readout {
            Readout::Magnitude => same(magnitude),
            Readout::Swr if self.passive <= 0 => same(f64::INFINITY),
            Readout::Swr => same((1.0 + magnitude) * (1.0 + magnitude) / passive),
            Readout::ReturnLoss => same(decibels(self.square as f64 * unit)),
            Readout::MismatchLoss => same(decibels(passive)),
            Readout::Phase if self.square == 0 => same(0.0),
            Readout::Phase => {
                let degrees = self.im.atan2(self.re).to_degrees();
                same(if degrees <= -180.0 { 180.0 } else { degrees })
            }
            Readout::Resistance if self.away == 0 => same(f64::INFINITY),
            Readout::Resistance => (reference * (self.passive as f64 / self.away as f64), size()),
            Readout::Reactance if self.away == 0 => same(0.0),
            Readout::Reactance => {
                let above = 2.0 * self.im / self.unit;
                (reference * (above / self.away as f64), size())
            }
            Readout::ImpedanceMagnitude => same(size()),
            Readout::Q if self.im == 0.0 => same(0.0),
            Readout::Q => same(2.0 * self.im.abs() * self.unit / passive.abs()),
            Readout::ReflectedShare => same(self.square as f64 * unit),
            // What nobody has written in whole numbers: slower, and as exact.
            other => readout_truth(other, (self.re * self.unit, self.im * self.unit), reference),
        }
    }
}

/// The worst that was found of one thing.
#[derive(Clone, Debug)]
pub struct Row {
    pub name: String,
    pub seen: u64,
    /// The largest error as a part of what is allowed, what it is, and where.
    pub part: f64,
    pub error: f64,
    pub place: String,
    /// What the relative part of the bound would have to be, the absolute part being what it is, and where.
    pub relative: f64,
    pub relative_place: String,
}

impl Row {
    pub fn new(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            seen: 0,
            part: 0.0,
            error: 0.0,
            place: String::new(),
            relative: 0.0,
            relative_place: String::new(),
        }
    }

    /// Takes one error, against `absolute + relative · scale`.
    pub fn note(
        &mut self,
        error: f64,
        (absolute, relative): (f64, f64),
        scale: f64,
        place: impl Fn() -> String,
    ) {
        self.seen += 1;
        // What exceeds a word altogether has no scale.
        let scale = if scale.is_finite() { scale } else { 0.0 };
        let part = error / (absolute + relative * scale);
        if part > self.part || part.is_nan() {
            (self.part, self.error, self.place) = (part, error, place());
        }
        if relative > 0.0 && error > absolute && (error - absolute) > self.relative * scale {
            (self.relative, self.relative_place) = ((error - absolute) / scale, place());
        }
    }

    fn merge(&mut self, other: Self) {
        self.seen += other.seen;
        if other.relative > self.relative {
            (self.relative, self.relative_place) = (other.relative, other.relative_place);
        }
        if other.part > self.part || other.part.is_nan() {
            (self.part, self.error, self.place) = (other.part, other.error, other.place);
        }
    }

    pub fn holds(&self) -> bool {
        self.part <= 1.0
    }
}

/// Rows that belong together.
#[derive(Clone, Debug)]
pub struct Tally(pub Vec<Row>);

impl Tally {
    pub fn of<A: Bits>(readouts: &[Readout]) -> Self {
        Self(
            readouts
                .iter()
                .map(|readout| Row::new(format!("{:?} {readout:?}", A::FAMILY)))
                .collect(),
        )
    }

    pub fn merge(&mut self, other: Self) {
        for (row, more) in self.0.iter_mut().zip(other.0) {
            row.merge(more);
        }
    }

    /// Prints every row, and fails where one does not hold.
    #[track_caller]
    pub fn settle(self, search: &str) {
        let mut text = format!("{search}\n");
        for row in &self.0 {
            text += &format!(
                "  {}: {} looked at, worst {:.5e}, {:.4} of what is allowed; {}\n",
                row.name, row.seen, row.error, row.part, row.place
            );
            if row.relative > 0.0 {
                text += &format!("    relative part {:.3e}; {}\n", row.relative, row.relative_place);
            }
        }
        // At once, since searches run side by side.
        print!("{text}");
        let broken: Vec<&str> = self
            .0
            .iter()
            .filter(|row| !row.holds())
            .map(|row| row.name.as_str())
            .collect();
        assert!(broken.is_empty(), "{search}: beyond the table: {broken:?}");
    }
}

/// Looks at some readouts of one Γ: the error against the table, and the ends of what the value may be.
pub fn look<A: Bits>(
    tally: &mut Tally,
    readouts: &[Readout],
    (re, im): (i32, i32),
    (reference, ohms): (Reference<A>, f64),
) {
    let gamma = A::gamma(re, im);
    let exact = Exact::new::<A>(re, im);
    for (readout, row) in readouts.iter().zip(&mut tally.0) {
        let (got, low, high) = read(*readout, gamma, reference);
        let (want, scale) = exact.value(*readout, ohms);
        let bound = bound(*readout, A::FAMILY);
        let mut error = (got - want.clamp(low, high)).abs();
        if *readout == Readout::Phase {
            error = error.min(360.0 - error);
        }
        row.note(error, (bound.absolute, bound.relative), scale, || {
            format!("Γ = ({re}, {im}) on {ohms} Ω: got {got}, want {want}")
        });
        if let Err(what) = plausible(*readout, got, high, &exact) {
            panic!("{readout:?} of Γ = ({re}, {im}) is {got}: {what}");
        }
    }
}

/// What holds of a readout however it is rounded.
pub fn plausible(readout: Readout, got: f64, high: f64, exact: &Exact) -> Result<(), &'static str> {
    let (passive, total) = (exact.passive, exact.passive <= 0);
    let holds = match readout {
        Readout::Magnitude | Readout::ReflectedShare | Readout::ImpedanceMagnitude | Readout::Q => got >= 0.0,
        Readout::Swr | Readout::MismatchLoss if total => got == high,
        Readout::Swr => got >= 1.0,
        Readout::MismatchLoss => got >= 0.0,
        Readout::ReturnLoss if passive == 0 => got == 0.0,
        Readout::ReturnLoss => (got >= 0.0) == (passive > 0) || got == 0.0,
        Readout::Phase => -180.0 < got && got <= 180.0,
        Readout::Resistance if exact.away == 0 => got == high,
        Readout::Resistance => got == 0.0 || (got > 0.0) == (passive > 0),
        Readout::Reactance if exact.im == 0.0 => got == 0.0,
        Readout::Reactance => got == 0.0 || (got > 0.0) == (exact.im > 0.0),
        _ => true,
    };
    if holds { Ok(()) } else { Err("out of its range") }
}

/// Evenly over the sizes up to `digits` binary digits, with a sign.
fn step(random: &mut Random, digits: u32) -> i64 {
    let size = (random.bits() & ((1 << digits) - 1)) >> (random.bits() % digits as u64);
    let size = size as i64;
    if random.bits() & 1 == 0 { size } else { -size }
}

fn word<A: Bits>(value: i64) -> i32 {
    value.clamp(A::ENDS.0 as i64, A::ENDS.1 as i64) as i32
}

/// Γ at random, often where something can go wrong: the rim, the open, the short, nothing, the axes, the diagonals.
pub fn pick<A: Bits>(random: &mut Random) -> (i32, i32) {
    let one = 1i64 << A::DIGITS;
    let anywhere = |random: &mut Random| word::<A>(random.bits() as i64 >> (62 - A::DIGITS));
    let inside = |random: &mut Random| (random.bits() as i64) >> (63 - A::DIGITS);
    let small = |random: &mut Random| step(random, A::DIGITS);
    let (re, im) = match random.bits() % 10 {
        0 | 1 => return (anywhere(random), anywhere(random)),
        2 | 3 => (inside(random), inside(random)),
        4 | 5 => {
            let re = inside(random);
            let im = ((one * one - re * re) as u64).isqrt() as i64 + step(random, 12);
            if random.bits() & 1 == 0 {
                (re, im)
            } else {
                (im, -re)
            }
        }
        6 => (one + small(random), small(random)),
        7 => (-one + small(random), small(random)),
        8 => {
            let (a, b) = (inside(random), small(random));
            if random.bits() & 1 == 0 { (a, b) } else { (b, a) }
        }
        _ => {
            let (a, b) = (inside(random), step(random, 8));
            (a, if random.bits() & 1 == 0 { a + b } else { -a + b })
        }
    };
    (word::<A>(re), word::<A>(im))
}

/// The work on a range, on as many threads as there are cores.
pub fn shared<T: Send>(range: Range<i64>, work: impl Fn(Range<i64>) -> T + Sync, mut join: impl FnMut(T)) {
    let cores = thread::available_parallelism().map_or(1, |cores| cores.get()) as i64;
    // Small shares, so that no core waits long for another.
    let share = ((range.end - range.start) / (cores * 8)).max(1);
    let next = std::sync::atomic::AtomicI64::new(range.start);
    thread::scope(|scope| {
        let threads: Vec<_> = (0..cores)
            .map(|_| {
                scope.spawn(|| {
                    let mut done = Vec::new();
                    loop {
                        let start = next.fetch_add(share, std::sync::atomic::Ordering::Relaxed);
                        if start >= range.end {
                            return done;
                        }
                        done.push(work(start..(start + share).min(range.end)));
                    }
                })
            })
            .collect();
        for thread in threads {
            thread
                .join()
                .expect("a search failed")
                .into_iter()
                .for_each(&mut join);
        }
    });
}
