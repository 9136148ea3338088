//! The ladder: rows of `data/ladder_published.csv` as three elements in series, and its laws in every family. All networks
//! are invented.

use crate::common::complex::{C, c};
use crate::common::impedances::{
    capacitor, coil, gamma_held, gamma_of, half_a_step, held, ohms, source, swr_of, word,
};
use crate::common::law::{Law, near, require};
use crate::common::networks::{blocks, roundings, stresses, walk};
use crate::common::published::{all_refused, number_behind};
use crate::common::{Random, Row, Table, is_fixed};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::design::ladder::{Element, Ladder, LadderError, Part, PartKind, StubEnd};
use ohmwright::design::line::Line;
use ohmwright::design::transformer::Turns;
use ohmwright::quantity::{Decibels, Hertz, Impedance, Ohms, QFactor, QuantityError, Reference, Watts};

const LOSS_AT: u64 = 100_000_000;
const ROOM: usize = 6;

type Chain<A> = Ladder<A, ROOM>;

/// A chain of one to six elements around 50 ohms at a frequency, with losses; and what its lines were made with.
fn chain<A: Arithmetic>(random: &mut Random, lossless: bool) -> (Chain<A>, Hertz, (f64, f64)) {
    let f = Hertz::new(random.between(1e6, 1e8) as u64);
    let omega = crate::common::impedances::omega(f);
    let loss = if lossless {
        0.0
    } else {
        word::<Decibels<A>>(random.between(0.5, 8.0)).to_f64()
    };
    let line = |random: &mut Random| {
        let wavelengths = random.between(0.02, 1.4);
        let factor = random.between(0.5, 0.95);
        let metres = wavelengths * factor * 299_792_458.0 / f.get() as f64;
        let line = Line::<A>::try_from_f64(random.between(25.0, 200.0), factor, metres).unwrap();
        if lossless {
            line
        } else {
            line.with_loss(word::<Decibels<A>>(loss), Hertz::new(LOSS_AT))
                .unwrap()
        }
    };
    let part = |random: &mut Random| {
        let x = 10f64.powf(random.between(0.5, 3.0));
        let part = match random.bits() % 8 {
            0..=2 => Part::inductor(coil(x / omega)).unwrap(),
            3..=5 => Part::capacitor(capacitor(1.0 / (x * omega))).unwrap(),
            6 => {
                let end = if random.bits() & 1 == 0 {
                    StubEnd::Open
                } else {
                    StubEnd::Shorted
                };
                return Part::stub(line(random), end).unwrap();
            }
            _ if lossless => Part::inductor(coil(x / omega)).unwrap(),
            _ => return Part::resistor(word::<Ohms<A>>(x)).unwrap(),
        };
        if lossless {
            return part;
        }
        match random.bits() % 3 {
            0 => part,
            1 => part
                .with_q(word::<QFactor<A>>(random.between(20.0, 500.0)))
                .unwrap(),
            _ => part
                .with_series_resistance(word::<Ohms<A>>(random.between(0.0, 5.0)))
                .unwrap(),
        }
    };
    let mut ladder = Chain::new();
    for _ in 0..=random.bits() % ROOM as u64 {
        let element = match random.bits() % 6 {
            0 | 1 => Element::Series(part(random)),
            2 | 3 => Element::Shunt(part(random)),
            4 => {
                let turns = |random: &mut Random| (1 + random.bits() % 5) as u8;
                Element::Transformer(Turns::new(turns(random), turns(random)).unwrap())
            }
            _ => Element::Line(line(random)),
        };
        ladder.push(element).unwrap();
    }
    (ladder, f, (loss, LOSS_AT as f64))
}

fn load<A: Arithmetic>(random: &mut Random) -> Impedance<A> {
    ohms(
        10f64.powf(random.between(0.0, 3.0)),
        random.between(-500.0, 500.0),
    )
}

in_every_family!(
    input_is_that_of_the_textbook_walk,
    every_element_bears_what_the_way_back_says,
    power_is_balanced,
    both_ways_alike,
    opens_shorts_and_resonances,
);

fn is_stub<A: Arithmetic>(part: Part<A>) -> bool {
    matches!(part.kind(), PartKind::Stub(..))
}

fn impedance_law<A: Arithmetic>(got: Impedance<A>, want: C, growth: f64) -> Law {
    if want.size() > 4e5 {
        return Ok(()); // beyond the word
    }
    let slack = roundings::<A>() * want.size() * growth + half_a_step::<A>() * 1.5;
    near("input impedance", (held(got) - want).size(), 0.0, slack)
}

fn input_is_that_of_the_textbook_walk<A: Arithmetic>() {
    let mut random = Random::new(5);
    let mut told_apart = 0;
    for _ in 0..6000 {
        let (ladder, f, loss) = chain::<A>(&mut random, false);
        let load = load::<A>(&mut random);
        let (want, growth) = walk(&blocks(ladder.elements(), loss, f), held(load));
        let got = ladder.input_impedance(load, f).unwrap();
        impedance_law(got, want, growth).unwrap_or_else(|error| panic!("{error}: {ladder:?} {load:?}"));
        // Γ from the same walk.
        let gamma = ladder.reflection(load, f, Reference::fifty()).unwrap();
        let truth = gamma_of(want, 50.0);
        let step = if A::FAMILY == Family::Fixed16 {
            6.4e-5
        } else {
            2e-9
        };
        let slack = step + 4.0 * roundings::<A>() * growth;
        near("Γ", (gamma_held(gamma) - truth).size(), 0.0, slack).unwrap();
        // The walk that keeps everything sees the same.
        let kept = ladder.walk(load, f).unwrap();
        assert_eq!(
            (kept.input_impedance(), kept.reflection(Reference::fifty())),
            (got, gamma)
        );
        // The control: the chain the other way round.
        let (turned, _) = walk(&blocks(ladder.reversed().elements(), loss, f), held(load));
        let differs = (gamma_of(turned, 50.0) - truth).size() > 0.01 && growth < 1000.0;
        if differs && impedance_law(got, turned, growth).is_err() {
            told_apart += 1;
        }
    }
    assert!(told_apart > 3000, "the control told only {told_apart}");
}

fn every_element_bears_what_the_way_back_says<A: Arithmetic>() {
    let mut random = Random::new(6);
    let mut compared = 0;
    for _ in 0..700 {
        let (ladder, f, loss) = chain::<A>(&mut random, false);
        let load = load::<A>(&mut random);
        let parts = blocks(ladder.elements(), loss, f);
        let (seen, growth) = walk(&parts, held(load));
        if growth > 1e4 || seen.re < 1e-3 {
            continue; // the oracle itself has lost its digits on the way back
        }
        let power = 100.0;
        let (want, in_load) = stresses(&parts, held(load), power);
        let kept = ladder.walk(load, f).unwrap();
        let slack = (1e-9 + roundings::<A>() * 20.0) * growth * growth;
        for (place, (volts, amperes, watts)) in want.iter().enumerate() {
            let stress = kept.stress(place, word::<Watts<A>>(power)).unwrap().unwrap();
            let stub = ladder.elements()[place].part().is_some_and(is_stub);
            let line = matches!(ladder.elements()[place], Element::Line(_));
            // On a line the oracle looks at 4001 places, and the crest is taken where the waves agree.
            let crest = if line { 2e-3 } else { 0.0 };
            let steps = if is_fixed::<A>() { 1.3e-4 } else { 0.0 };
            let about = |name, got: f64, want: f64| {
                near(name, got, want, want * (slack + crest) + steps).unwrap_or_else(|error| {
                    panic!(
                        "{error}: {:?} in {ladder:?} on {load:?}",
                        ladder.elements()[place]
                    )
                });
            };
            if stub {
                // Along a stub it is at least what it is at its input.
                assert!(stress.volts_peak.to_f64() >= volts * (1.0 - slack) - steps);
                assert!(stress.amperes_peak.to_f64() >= amperes * (1.0 - slack) - steps);
            } else {
                about("volts", stress.volts_peak.to_f64(), *volts);
                about("amperes", stress.amperes_peak.to_f64(), *amperes);
            }
            near("watts", stress.watts.to_f64(), *watts, power * slack + steps).unwrap();
            if *watts > 1.0 {
                near(
                    "control",
                    stress.watts.to_f64(),
                    watts * 1.3,
                    power * 1e-3 + steps,
                )
                .unwrap_err();
                compared += 1;
            }
        }
        let stress = kept.load_stress(word::<Watts<A>>(power)).unwrap();
        near("load", stress.watts.to_f64(), in_load, power * slack + 1.3e-4).unwrap();
    }
    assert!(compared > 150, "only {compared} compared");
}

fn power_is_balanced<A: Arithmetic>() {
    let mut random = Random::new(7);
    let mut compared = 0;
    for _ in 0..4000 {
        let (ladder, f, loss) = chain::<A>(&mut random, false);
        let load = load::<A>(&mut random);
        let kept = ladder.walk(load, f).unwrap();
        let power = word::<Watts<A>>(1000.0);
        let mut sum = kept.load_stress(power).unwrap().watts.to_f64();
        let arrived = sum;
        let mut losses = 0.0;
        for place in 0..ladder.elements().len() {
            let watts = kept.stress(place, power).unwrap().unwrap().watts.to_f64();
            assert!(watts >= 0.0);
            sum += watts;
            losses += kept.element_loss(place).unwrap().unwrap().to_f64();
        }
        let steps = if is_fixed::<A>() { 7.0 * 1.3e-4 } else { 0.0 };
        near("balance", sum, 1000.0, steps + 1000.0 * roundings::<A>()).unwrap();
        let total = kept.loss().unwrap().to_f64();
        if arrived > 10.0 {
            let step = if A::FAMILY == Family::F64 { 1e-10 } else { 8e-4 };
            near("loss", total, -10.0 * (arrived / 1000.0).log10(), step).unwrap();
            near("loss by element", losses, total, step).unwrap();
            near("control", losses * 1.01 + 0.01, total, step).unwrap_err();
        }
        // Against ½·Re(V·I*) at the input, where no sum goes in: an element in series there has the input's current, one
        // across it the input's voltage.
        let z = held(kept.input_impedance());
        let (_, growth) = walk(&blocks(ladder.elements(), loss, f), held(load));
        let last = ladder.elements().len() - 1;
        let stress = kept.stress(last, power).unwrap().unwrap();
        let (volts, amperes) = (stress.volts_peak.to_f64(), stress.amperes_peak.to_f64());
        let (input, word) = match ladder.elements()[last] {
            Element::Series(part) if !is_stub(part) => (0.5 * amperes.powi(2) * z.re, 1e-5 / amperes),
            Element::Shunt(part) if !is_stub(part) => {
                (0.5 * volts.powi(2) * (c(1.0, 0.0) / z).re, 2e-4 / volts)
            }
            _ => continue,
        };
        let of_z = (roundings::<A>() * growth * z.size() + 1.5 * half_a_step::<A>()) / z.re;
        let slack = 2.0 * word + 3.0 * of_z;
        if slack < 0.01 {
            near("input", input, 1000.0, 1000.0 * slack).unwrap();
            near("control", input * 1.03, 1000.0, 1000.0 * slack).unwrap_err();
            compared += 1;
        }
    }
    assert!(compared > 1000, "only {compared} compared");
}

/// What a matched pair of resistances exchanges does not depend on which of them sends.
fn both_ways_alike<A: Arithmetic>() {
    let mut random = Random::new(8);
    let mut told_apart = 0;
    for _ in 0..4000 {
        let (ladder, f, loss) = chain::<A>(&mut random, false);
        let (one, other) = (random.between(10.0, 300.0), random.between(10.0, 300.0));
        let share = |ladder: &Chain<A>, from: f64, to: f64| {
            let (_, growth) = walk(&blocks(ladder.elements(), loss, f), c(to, 0.0));
            let kept = ladder.walk(ohms(to, 0.0), f).unwrap();
            let taken = kept.load_stress(word::<Watts<A>>(1000.0)).unwrap().watts.to_f64() / 1000.0;
            let gamma = gamma_held(kept.reflection(source(from))).size();
            (taken * (1.0 - gamma * gamma), growth)
        };
        let (there, growth) = share(&ladder, one, other);
        let (back, growth_back) = share(&ladder.reversed(), other, one);
        let step = match A::FAMILY {
            Family::Fixed16 => 1.5e-4,
            Family::Fixed32 => 3e-7,
            _ => 1e-12,
        };
        let entry = if is_fixed::<A>() {
            1e-4 / one.min(other)
        } else {
            0.0
        };
        let slack = step + entry + 10.0 * roundings::<A>() * growth.max(growth_back);
        near("reciprocity", there, back, slack).unwrap();
        // The control: the elements left in their order.
        let (wrong, _) = share(&ladder, other, one);
        if near("control", there, wrong, slack).is_err() {
            told_apart += 1;
        }
    }
    assert!(told_apart > 1500, "the control told only {told_apart}");
}

fn opens_shorts_and_resonances<A: Arithmetic>() {
    let f = Hertz::new(149_896_229);
    let metres = 0.5; // a quarter wave in air
    let quarter = Line::<A>::try_from_f64(50.0, 1.0, metres).unwrap();
    let stub = |end| Part::stub(quarter, end).unwrap();
    let mut ladder = Ladder::<A, 3>::new();
    ladder
        .push(Element::Series(Part::resistor(word::<Ohms<A>>(10.0)).unwrap()))
        .unwrap();
    assert_eq!(ladder.input_impedance(Impedance::OPEN, f), Ok(Impedance::OPEN));
    assert_eq!(
        ladder.input_impedance(Impedance::SHORT, f).map(held),
        Ok(c(10.0, 0.0))
    );
    // An open quarter wave across it is a short: what lies behind takes nothing.
    ladder.push(Element::Shunt(stub(StubEnd::Open))).unwrap();
    let kept = ladder.walk(ohms(40.0, 0.0), f).unwrap();
    assert!(held(kept.input_impedance()).size() < 1e-3);
    let gamma = gamma_held(kept.reflection(Reference::fifty()));
    near("short", (gamma - c(-1.0, 0.0)).size(), 0.0, 1e-5).unwrap();
    // 20 ohms before it take all.
    ladder
        .push(Element::Series(Part::resistor(word::<Ohms<A>>(20.0)).unwrap()))
        .unwrap();
    let kept = ladder.walk(ohms(40.0, 0.0), f).unwrap();
    near("20 ohms", held(kept.input_impedance()).re, 20.0, 1e-3).unwrap();
    let watts = |place| {
        kept.stress(place, word::<Watts<A>>(100.0))
            .unwrap()
            .unwrap()
            .watts
            .to_f64()
    };
    near("all", watts(2), 100.0, 1e-3).unwrap();
    near("nothing", watts(0), 0.0, 1e-3).unwrap();
    // The short carries the current that 100 W drive through 20 ohms.
    let through = kept.stress(1, word::<Watts<A>>(100.0)).unwrap().unwrap();
    near(
        "current of the short",
        through.amperes_peak.to_f64(),
        10f64.sqrt(),
        1e-3,
    )
    .unwrap();
    // And a shorted one in series is an open.
    let mut ladder = Ladder::<A, 3>::new();
    ladder.push(Element::Series(stub(StubEnd::Shorted))).unwrap();
    let seen = held(ladder.input_impedance(ohms(40.0, 0.0), f).unwrap()).size();
    assert!(seen > 1e5, "{seen}");
    // A trap, a coil and a capacitor across at their resonance, changes little.
    let omega = crate::common::impedances::omega(f);
    let mut ladder = Ladder::<A, 3>::new();
    ladder
        .push(Element::Shunt(Part::inductor(coil(100.0 / omega)).unwrap()))
        .unwrap();
    ladder
        .push(Element::Shunt(
            Part::capacitor(capacitor(1.0 / (100.0 * omega))).unwrap(),
        ))
        .unwrap();
    let seen = held(ladder.input_impedance(ohms(40.0, 0.0), f).unwrap());
    assert!((seen - c(40.0, 0.0)).size() < 0.1, "{seen:?}");
    // Nothing takes power.
    let kept = ladder.walk(Impedance::OPEN, f).unwrap();
    assert_eq!(
        kept.stress(0, word::<Watts<A>>(1.0)).err(),
        Some(LadderError::NothingTakesPower)
    );
    let kept = ladder.walk(ohms(-5.0, 0.0), f).unwrap();
    assert_eq!(kept.loss().err(), Some(LadderError::GivesPower));
}

#[test]
fn refusals_name_the_parameter() {
    let f = Hertz::from_megahertz(71);
    let mut ladder = Ladder::<f64, 1>::new();
    let part = Part::resistor(5.0).unwrap();
    ladder.push(Element::Series(part)).unwrap();
    assert_eq!(ladder.push(Element::Series(part)), Err(LadderError::Full(1)));
    assert_eq!(ladder.elements().len(), 1);
    assert_eq!(
        LadderError::Full(1).to_string(),
        "the ladder cannot hold more than 1 elements"
    );
    let zero = LadderError::Quantity(QuantityError::NotPositive("frequency"));
    assert_eq!(ladder.input_impedance(Impedance::SHORT, Hertz::new(0)), Err(zero));
    assert_eq!(zero.to_string(), "frequency must be greater than zero");
    let refused = [
        (
            Part::<f64>::resistor(0.0),
            QuantityError::NotPositive("resistance of a part"),
        ),
        (
            Part::resistor(-1.0),
            QuantityError::NotPositive("resistance of a part"),
        ),
        (
            Part::resistor(f64::NAN),
            QuantityError::NotFinite("resistance of a part"),
        ),
        (
            Part::inductor(coil(0.0)),
            QuantityError::NotPositive("inductance"),
        ),
        (
            Part::capacitor(capacitor(0.0)),
            QuantityError::NotPositive("capacitance"),
        ),
        (
            part.with_q(50.0),
            QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "Q of a part",
                rule: "is for coils and capacitors alone",
            }),
        ),
        (
            Part::inductor(coil(1e-6)).unwrap().with_q(0.0),
            QuantityError::NotPositive("Q of a part"),
        ),
        (
            part.with_series_resistance(-1.0),
            QuantityError::Negative("series resistance"),
        ),
        (
            part.with_series_resistance(f64::NAN),
            QuantityError::NotFinite("series resistance"),
        ),
        (
            Part::stub(Line::new(50.0, 1.0, 0.0).unwrap(), StubEnd::Open),
            QuantityError::NotPositive("line length"),
        ),
    ];
    for (got, want) in refused {
        assert_eq!(got, Err(want));
    }
    let walk = ladder.walk(ohms(50.0, 0.0), f).unwrap();
    assert_eq!(walk.stress(1, 1.0), Ok(None));
    assert_eq!(
        walk.stress(0, -1.0),
        Err(LadderError::Quantity(QuantityError::Negative("power")))
    );
    // In single precision a walk may leave the range; it says so.
    let mut long = Ladder::<f32, 8>::new();
    let henry = Part::inductor(coil(1.0)).unwrap();
    let farad = Part::capacitor(capacitor(1.0)).unwrap();
    for _ in 0..4 {
        long.push(Element::Series(henry)).unwrap();
        long.push(Element::Shunt(farad)).unwrap();
    }
    assert_eq!(
        long.input_impedance(ohms(50.0, 0.0), Hertz::new(1_000_000_000_000))
            .err(),
        Some(LadderError::Quantity(QuantityError::OutOfRange(
            "impedance on the way"
        )))
    );
}

// ---- Published values -------------------------------------------------------------------------------------------

fn pair(text: &str) -> (f64, f64) {
    let (one, other) = text.split_once(';').unwrap();
    (one.parse().unwrap(), other.parse().unwrap())
}

/// R, L and C in series, from R, Q and the resonance, ending in a short.
struct Resonator {
    ladder: Ladder<f64, 3>,
    f0: f64,
}

impl Resonator {
    fn new(r: f64, q: f64, f0: f64) -> Self {
        let x = q * r;
        let omega = core::f64::consts::TAU * f0;
        let mut ladder = Ladder::new();
        ladder.push(Element::Series(Part::resistor(r).unwrap())).unwrap();
        ladder
            .push(Element::Series(Part::inductor(coil(x / omega)).unwrap()))
            .unwrap();
        ladder
            .push(Element::Series(
                Part::capacitor(capacitor(1.0 / (x * omega))).unwrap(),
            ))
            .unwrap();
        Self { ladder, f0 }
    }

    /// Whole hertz are what the crate takes: with a resonance in the gigahertz a hertz is little.
    fn gamma(&self, f: f64) -> C {
        let gamma = self
            .ladder
            .reflection(Impedance::SHORT, Hertz::new(f as u64), Reference::fifty());
        gamma_held(gamma.unwrap())
    }

    fn swr(&self, f: f64) -> f64 {
        swr_of(self.gamma(f))
    }

    /// The edges of the band with at most this SWR, to a hertz; `None` where it is reached nowhere.
    fn edges(&self, limit: f64) -> Option<(f64, f64)> {
        if self.swr(self.f0) > limit {
            return None;
        }
        let search = |mut outside: f64| {
            let mut inside = self.f0;
            while (outside - inside).abs() > 0.5 {
                let middle = 0.5 * (inside + outside);
                if self.swr(middle) <= limit {
                    inside = middle;
                } else {
                    outside = middle;
                }
            }
            inside
        };
        Some((search(self.f0 * 0.3), search(self.f0 * 3.0)))
    }
}

fn published_row(row: Row<'_>) -> Law {
    let (id, inputs) = (row.text("id"), row.text("inputs"));
    let want = || row.number("expected");
    let tolerance = || row.number("tolerance");
    let the_relay = || Resonator::new(47.0, 12.0, 14.15e6);
    match id {
        // Where reactances cancel: Γ of a lossless series pair in front of a short turns from below to above.
        "T6-011" | "T6-013" | "T6-014" => {
            let (l, c) = match id {
                "T6-011" => (1e-6, 100e-12),
                "T6-013" => (10e-6, 50e-12),
                _ => (want() * 1e-9, 10e-12),
            };
            let f = if id == "T6-014" { 144.0 } else { want() };
            let mut ladder = Ladder::<f64, 2>::new();
            ladder
                .push(Element::Series(Part::inductor(coil(l)).unwrap()))
                .unwrap();
            ladder
                .push(Element::Series(Part::capacitor(capacitor(c)).unwrap()))
                .unwrap();
            let x = |f: f64| {
                held(
                    ladder
                        .input_impedance(Impedance::SHORT, Hertz::new(f as u64))
                        .unwrap(),
                )
                .im
            };
            let hertz = f * 1e6;
            require(x(hertz - 2.0) < 0.0 && x(hertz + 2.0) > 0.0, || {
                format!("{id}: {}", x(hertz))
            })
        }
        "T6-015" | "T6-017" | "T6-018" | "T6-020" => {
            let (q, limit) = (number_behind(inputs, "Q="), number_behind(inputs, "limit"));
            // Printed short; the row is of the half-power points.
            let limit = if limit == 5.8284 { 3.0 + 8f64.sqrt() } else { limit };
            let (low, high) = Resonator::new(50.0, q, 1e9).edges(limit).unwrap();
            near(id, (high - low) / 1e9, want(), 3e-9)
        }
        "T6-021" | "T6-025" => {
            let (f0, q, limit) = (
                number_behind(inputs, "f0="),
                number_behind(inputs, "Q="),
                number_behind(inputs, "SWR="),
            );
            let (low, high) = Resonator::new(50.0, q, f0).edges(limit).unwrap();
            let (want_low, want_high) = pair(row.text("expected"));
            near(id, low, want_low, 1.6)?;
            near(id, high, want_high, 1.6)
        }
        "T6-022" | "T6-026" => {
            let (f0, q, limit) = (
                number_behind(inputs, "f0="),
                number_behind(inputs, "Q="),
                number_behind(inputs, "SWR="),
            );
            let (low, high) = Resonator::new(50.0, q, f0).edges(limit).unwrap();
            near(id, high - low, want(), 2.2)
        }
        "T6-027" | "T6-029" => {
            let (r, q, limit) = (
                number_behind(inputs, "R="),
                number_behind(inputs, "Q="),
                number_behind(inputs, "SWR="),
            );
            let (low, high) = Resonator::new(r * 50.0, q, 10e6).edges(limit).unwrap();
            near(id, high - low, want(), 2.2)
        }
        "T6-030" => require(Resonator::new(20.0, 10.0, 10e6).edges(2.0).is_none(), || {
            id.into()
        }),
        "T6-031" | "T6-032" => {
            // Half of the power comes back at the edges of the band of the loaded circuit.
            let resonator = Resonator::new(50.0, 20.0, 1e9);
            let (low, high) = resonator.edges(3.0 + 8f64.sqrt()).unwrap();
            if id == "T6-031" {
                near(id, 1e9 / (high - low), want(), 1e-6)
            } else {
                near(id, resonator.swr(high), want(), 1e-6)
            }
        }
        "T6-033" | "T6-034" => {
            let x = 12.0 * 47.0;
            let omega = core::f64::consts::TAU * 14.15e6;
            let got = if id == "T6-033" {
                x / omega * 1e6
            } else {
                1e12 / (x * omega)
            };
            near(id, got, want(), tolerance())
        }
        "T6-035" => {
            let relay = the_relay();
            let x = |f: u64| {
                held(
                    relay
                        .ladder
                        .input_impedance(Impedance::SHORT, Hertz::new(f))
                        .unwrap(),
                )
                .im
            };
            let slope = (x(14_200_000) - x(14_100_000)) / 1e5;
            near(id, 14.15e6 / (2.0 * 47.0) * slope, want(), 1e-8)
        }
        "T6-036" | "T6-040" => {
            let gamma = the_relay().gamma(number_behind(inputs, "at ") * 1e6);
            near(id, gamma.size().powi(2), want(), tolerance())
        }
        "T6-037" | "T6-041" => {
            let gamma = the_relay().gamma(number_behind(inputs, "at ") * 1e6);
            let (re, im) = pair(row.text("expected"));
            near(id, (gamma - c(re, im)).size(), 0.0, tolerance())
        }
        "T6-048" => {
            let (f, size) = pair(row.text("expected"));
            let relay = the_relay();
            near(id, relay.gamma(f).size(), size, 1e-12)?;
            require(
                relay.gamma(f - 20.0).size() > size && relay.gamma(f + 20.0).size() > size,
                || id.into(),
            )
        }
        "T6-049" => near(
            id,
            -20.0 * the_relay().gamma(14.15e6).size().log10(),
            want(),
            tolerance(),
        ),
        "T6-055" => {
            let (low, high) = the_relay().edges(2.0).unwrap();
            let (want_low, want_high) = pair(row.text("expected"));
            near(id, low, want_low, 1.6)?;
            near(id, high, want_high, 1.6)
        }
        other => Err(format!("nobody checks row {other}")),
    }
}

#[test]
fn published_values() {
    let table = Table::parse(include_str!("../data/ladder_published.csv"));
    for row in table.rows() {
        published_row(row).unwrap();
    }
    assert_eq!(table.rows().count(), 26);
}

#[test]
fn a_wrong_or_unknown_row_is_noticed() {
    let header = "id,inputs,quantity,unit,expected,tolerance";
    let rows = [
        "T6-015,\"series RLC, R=Z0, Q=10, SWR limit 1.5\",,1,0.041,1e-9",
        "T6-036,\"RLC sampled at 14.12 MHz\",,1,0.00157,1e-12",
        "T6-999,,,1,2,0",
    ];
    all_refused(header, &rows, published_row);
}

/// In fixed point the walk has room where the words have none: megohms on the way come back to 50 ohms.
#[test]
fn fixed_point_keeps_its_range_on_the_way() {
    let f = Hertz::from_megahertz(10);
    let turns = Turns::new(255, 1).unwrap();
    let mut ladder = Ladder::<Fixed32, 2>::new();
    ladder.push(Element::Transformer(turns)).unwrap();
    ladder
        .push(Element::Transformer(Turns::new(1, 255).unwrap()))
        .unwrap();
    // 50 ohms become 3.25 megohms and 50 again.
    let seen = ladder.input_impedance(ohms(50.0, -20.0), f).unwrap();
    near("there and back", (held(seen) - c(50.0, -20.0)).size(), 0.0, 3e-4).unwrap();
}
