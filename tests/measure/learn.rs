//! Learning from an adjustment: circuits whose leads, strays and fixed parts are known, moved, swept before and after.
//! All circuits are invented.

use core::f64::consts::TAU;

use crate::common::complex::{C, ONE, c};
use crate::common::{Random, deep};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::measure::{
    Adjustment, Direction, LearnError, Learnt, SweepAnalyser, SweepReport, SweepSettings, TuningElement,
};
use ohmwright::quantity::{Component, Hertz, QuantityError, Ratio, Reference, Reflection};

const TARGET: f64 = 71e6;

#[derive(Clone, Copy, Debug)]
enum Kind {
    /// R, L and C in series.
    Series,
    /// The same with a constant Q of the coil, so that R goes with L.
    SeriesOfQ,
    /// Side by side.
    Tank,
    /// A wire above ground, an open line of a quarter wave with its resistance at the foot.
    Wire,
}

/// A circuit with one thing to move; what it is, is in the element.
#[derive(Clone, Copy, Debug)]
struct Circuit {
    kind: Kind,
    element: TuningElement,
    /// Resonance as it was built.
    resonance: f64,
    q: f64,
    /// R at resonance, in ohms.
    resistance: f64,
    /// Of the whole, in what is moved.
    share: f64,
}

impl Circuit {
    /// The whole, in parts of what it was, with the part at this factor.
    fn whole(&self, part: f64) -> f64 {
        let part = if self.element == TuningElement::Turns {
            part * part
        } else {
            part
        };
        1.0 - self.share + self.share * part
    }

    fn resonance(&self, part: f64) -> f64 {
        match self.element {
            TuningElement::Length => self.resonance / self.whole(part),
            _ => self.resonance / self.whole(part).sqrt(),
        }
    }

    fn gamma(&self, part: f64, hertz: f64) -> C {
        let (f0, r) = (self.resonance(part), self.resistance);
        let whole = self.whole(part);
        // √(L/C), in parts of what it was.
        let root = match self.element {
            TuningElement::Capacitance => 1.0 / whole.sqrt(),
            TuningElement::Length => 1.0,
            _ => whole.sqrt(),
        };
        let bend = hertz / f0 - f0 / hertz;
        let z = match self.kind {
            Kind::Series => c(r, r * self.q * root * bend),
            Kind::SeriesOfQ => c(r * whole, r * self.q * root * bend),
            Kind::Tank => ONE / c(1.0 / r, self.q / (r * root) * bend),
            Kind::Wire => c(
                r,
                -r * self.q * 4.0 / core::f64::consts::PI / (TAU * hertz / f0 / 4.0).tan(),
            ),
        };
        let reference = c(50.0, 0.0);
        (z - reference) / (z + reference)
    }
}

#[derive(Clone, Copy, Debug)]
struct Grid {
    start: u64,
    stop: u64,
    points: u64,
    noise: f64,
}

const USUAL: Grid = Grid {
    start: 42_000_000,
    stop: 120_000_000,
    points: 201,
    noise: 0.0,
};

/// A sweep in the family, of what the family can hold of it.
fn sweep<A: Arithmetic>(gamma: impl Fn(f64) -> C, grid: Grid, random: &mut Random) -> SweepReport<A, 16> {
    let mut analyser = SweepAnalyser::<A, 16>::new(SweepSettings::new()).unwrap();
    for point in 0..grid.points {
        let hertz = grid.start + (grid.stop - grid.start) * point / (grid.points - 1);
        let gamma = gamma(hertz as f64);
        let [re, im] = [gamma.re, gamma.im].map(|part| part + grid.noise * random.normal());
        let gamma = Reflection::<A>::try_from_f64(re, im).unwrap();
        analyser.push(Hertz::new(hertz), gamma).unwrap();
    }
    analyser.report()
}

fn adjustment<A: Arithmetic>(element: TuningElement, moved: Option<f64>, noise: f64) -> Adjustment<A> {
    Adjustment::new(element)
        .with_moved(moved.map(|moved| Ratio::try_from_f64(moved).unwrap()))
        .with_target(Some(Hertz::new(TARGET as u64)))
        .with_noise(Component::try_from_f64(noise).unwrap())
}

fn circuit(random: &mut Random) -> (Circuit, f64) {
    let pick = |random: &mut Random, count: u64| (random.bits() % count) as usize;
    let kind = [Kind::Series, Kind::SeriesOfQ, Kind::Tank, Kind::Wire][pick(random, 4)];
    let element = match kind {
        Kind::Wire => TuningElement::Length,
        Kind::SeriesOfQ => [TuningElement::Inductance, TuningElement::Turns][pick(random, 2)],
        _ => [
            TuningElement::Inductance,
            TuningElement::Capacitance,
            TuningElement::Turns,
        ][pick(random, 3)],
    };
    let resistance = 50.0 * random.between(-1.1f64, 1.1).exp();
    let circuit = Circuit {
        kind,
        element,
        resonance: random.between(62e6, 82e6),
        q: random.between(1.5, 12.0),
        resistance,
        share: random.between(0.2, 1.0),
    };
    let size = random.between(0.05, 0.4);
    let moved = if random.bits() & 1 == 0 {
        1.0 - 0.75 * size
    } else {
        1.0 + size
    };
    (circuit, moved)
}

// ---- Shares -----------------------------------------------------------------------------------------------------

/// What became of many adjustments.
#[derive(Debug, Default)]
struct Tally {
    tried: u32,
    told: u32,
    outside: u32,
    worst: f64,
    errors: Vec<f64>,
    landings: Vec<f64>,
    refused: Vec<(Circuit, LearnError)>,
}

impl Tally {
    fn add<A: Arithmetic>(&mut self, circuit: Circuit, moved: f64, grid: Grid, random: &mut Random) {
        self.tried += 1;
        let before = sweep::<A>(|hertz| circuit.gamma(1.0, hertz), grid, random);
        let after = sweep::<A>(|hertz| circuit.gamma(moved, hertz), grid, random);
        let adjustment = adjustment::<A>(circuit.element, Some(moved), grid.noise);
        let share = match adjustment.with_target(None).learn(&before, &after) {
            Err(error) => return self.refused.push((circuit, error)),
            Ok(learnt) => learnt.share_moved.unwrap(),
        };
        self.told += 1;
        let [value, least, most] = [share.value, share.least, share.most].map(Quantity::to_f64);
        assert!(
            0.0 <= least && least <= value && value <= most && most <= 1.0,
            "{share:?}"
        );
        assert!(most - least <= 0.5001, "{share:?}");
        let error = (value - circuit.share).abs();
        self.errors.push(error);
        self.worst = self.worst.max(error);
        // A share of 1 may be told as a little less, by the step of a word.
        self.outside += u32::from(circuit.share < least - 2e-4 || most + 2e-4 < circuit.share);
        if let Ok(Learnt { next: Some(next), .. }) = adjustment.learn(&before, &after) {
            let landed = circuit.resonance(moved * next.factor.to_f64());
            self.landings.push((landed / TARGET - 1.0).abs());
        }
    }

    fn of<A: Arithmetic>(count: u32, points: u64, noise: f64) -> Self {
        let mut random = Random::new(7 + points);
        let mut tally = Self::default();
        for _ in 0..count {
            let (circuit, moved) = circuit(&mut random);
            tally.add::<A>(
                circuit,
                moved,
                Grid {
                    points,
                    noise,
                    ..USUAL
                },
                &mut random,
            );
        }
        tally.errors.sort_by(f64::total_cmp);
        tally.landings.sort_by(f64::total_cmp);
        println!(
            "{:?}, noise {noise}, {points} points: told {} of {}, outside of the range {}, error of the share: median {:.5}, 95 % \
             {:.4}, worst {:.3}; off the target: 95 % {:.4}, worst {:.4} of {}",
            A::FAMILY,
            tally.told,
            tally.tried,
            tally.outside,
            at(&tally.errors, 0.5),
            at(&tally.errors, 0.95),
            tally.worst,
            at(&tally.landings, 0.95),
            at(&tally.landings, 1.0),
            tally.landings.len()
        );
        tally
    }
}

fn at(sorted: &[f64], share: f64) -> f64 {
    sorted[((sorted.len() - 1) as f64 * share) as usize]
}

fn count() -> u32 {
    if deep() { 750 } else { 150 }
}

fn clean_sweeps_tell_the_share<A: Arithmetic>() {
    for points in [51, 101, 201, 401] {
        let tally = Tally::of::<A>(count(), points, 0.0);
        assert!(tally.told * 100 >= tally.tried * 96, "{:?}", tally.refused);
        // A coil of constant Q changes the depth of the dip with the inductance, which is all that is refused.
        for (circuit, error) in &tally.refused {
            let by_depth = *error == LearnError::TooMuchChanged && matches!(circuit.kind, Kind::SeriesOfQ);
            assert!(
                by_depth || *error == LearnError::NothingMoved,
                "{circuit:?}: {error}"
            );
        }
        let still = tally
            .refused
            .iter()
            .filter(|(_, error)| *error == LearnError::NothingMoved);
        assert!(still.count() <= 1);
        assert!(tally.outside <= 1);
        // In 16 bits the dips themselves are less exact.
        let (usual, worst) = match A::FAMILY {
            Family::Fixed16 => (2e-3, 0.03),
            _ => (1e-4, 1e-3),
        };
        assert!(at(&tally.errors, 0.95) <= usual && tally.worst <= worst);
        assert!(at(&tally.landings, 0.95) <= 1e-3 && at(&tally.landings, 1.0) <= 0.01);
    }
}

fn noise_is_in_the_range<A: Arithmetic>() {
    let (mut told, mut outside) = (0, 0);
    for (noise, least) in [(1e-3, 88), (3e-3, 70), (1e-2, 45)] {
        for points in [51, 101, 201, 401] {
            let tally = Tally::of::<A>(count(), points, noise);
            assert!(tally.told * 100 >= tally.tried * least);
            // The next move still lands: nearly always within 2 %.
            assert!(at(&tally.landings, 0.9) <= 0.02);
            let wrong = tally.refused.iter().filter(|(_, error)| {
                matches!(error, LearnError::MovedOtherWay | LearnError::MovedFurther(_))
            });
            assert!(wrong.count() * 100 <= tally.tried as usize);
            told += tally.told;
            outside += tally.outside;
        }
    }
    println!("{:?}: {outside} of {told} outside of the range told", A::FAMILY);
    assert!(outside * 50 <= told, "{outside} of {told}");
}

// ---- One law for every family -----------------------------------------------------------------------------------

/// Against the formulas in doubles, from the dips and the factor as the family holds them.
fn follows_the_formulas<A: Arithmetic>() {
    let mut random = Random::new(41);
    let (step, relative) = match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => (1.0 / 65536.0, 2e-8),
        Family::F32 | Family::SoftF32 => (0.0, 1e-6),
        _ => (0.0, 1e-14),
    };
    let mut tried = 0;
    for _ in 0..count() {
        let (circuit, moved) = circuit(&mut random);
        let before = sweep::<A>(|hertz| circuit.gamma(1.0, hertz), USUAL, &mut random);
        let after = sweep::<A>(|hertz| circuit.gamma(moved, hertz), USUAL, &mut random);
        let moved = Ratio::<A>::try_from_f64(moved).unwrap();
        let known = adjustment::<A>(circuit.element, Some(moved.to_f64()), 0.0);
        for adjustment in [known, known.with_moved(None)] {
            let Ok(learnt) = adjustment.learn(&before, &after) else {
                continue;
            };
            tried += 1;
            assert_eq!(learnt.element, circuit.element);
            let ratio = learnt.dip_before.get() as f64 / learnt.dip_after.get() as f64;
            let wanted = learnt.dip_after.get() as f64 / TARGET;
            let (whole, said, wanted, told) = match circuit.element {
                TuningElement::Length => (ratio, moved.to_f64(), wanted, ratio),
                TuningElement::Turns => (ratio * ratio, moved.to_f64().powi(2), wanted * wanted, ratio),
                _ => (ratio * ratio, moved.to_f64(), wanted * wanted, ratio * ratio),
            };
            let slack = |value: f64| step + 4.0 * relative * value;
            let near = |what: &str, got: f64, want: f64, slack: f64| {
                assert!(
                    (got - want).abs() <= slack,
                    "{:?} {what}: {got} {want}, {circuit:?}",
                    A::FAMILY
                );
            };
            near("whole", learnt.whole.to_f64(), told, slack(told));
            let mut now = 1.0;
            if let Some(share) = learnt.share_moved {
                let truth = (whole - 1.0) / (said - 1.0);
                near(
                    "share",
                    share.value.to_f64(),
                    truth.min(1.0),
                    step + 4.0 * relative / (said - 1.0).abs(),
                );
                now = (truth * said / whole).min(1.0);
            } else {
                assert!(adjustment.moved.is_none());
            }
            let next = learnt.next.unwrap();
            if next.direction == Direction::Keep {
                assert_eq!(next.factor.to_f64(), 1.0);
                continue;
            }
            let part = 1.0 + (wanted - 1.0) / now;
            let factor = if circuit.element == TuningElement::Turns {
                part.sqrt()
            } else {
                part
            };
            // What the share is off, divided by the share.
            let slack = slack(factor) + 8.0 * relative / (said - 1.0).abs() / now;
            near("factor", next.factor.to_f64(), factor, slack);
            let direction = if wanted < 1.0 {
                Direction::Less
            } else {
                Direction::More
            };
            assert_eq!(next.direction, direction);
        }
    }
    assert!(tried > count(), "{tried}");
}

in_every_family!(
    clean_sweeps_tell_the_share,
    noise_is_in_the_range,
    follows_the_formulas
);

/// A control: who takes the factor for one of the whole, as before anything was learnt, misses the target.
#[test]
fn without_the_share_the_next_move_falls_short() {
    let mut random = Random::new(3);
    let circuit = COIL;
    let learnt = learn(
        &adjustment::<f64>(TuningElement::Inductance, None, 0.0),
        circuit,
        0.8,
        &mut random,
    )
    .unwrap();
    let next = learnt.next.unwrap();
    let short = circuit.resonance(0.8 * next.factor.get());
    assert!((short / TARGET - 1.0).abs() > 0.03, "{short}");
    let known = adjustment::<f64>(TuningElement::Inductance, Some(0.8), 0.0);
    let next = learn(&known, circuit, 0.8, &mut random).unwrap().next.unwrap();
    let landed = circuit.resonance(0.8 * next.factor.get());
    assert!((landed / TARGET - 1.0).abs() < 1e-4, "{landed}");
    assert_eq!(next.direction, Direction::Less);
}

/// Worked by hand, "common practice, no source": a dip goes as 1/√L. 60 % of the inductance are in a coil that is spread
/// to 0.8: the whole is at 0.88, the dip at 60/√0.88 = 63.960 MHz. To 71 MHz the whole must come down to
/// (63.960/71)² = 0.81153 of that; 0.48/0.88 of it are in the coil now, which must come to 0.65447.
#[test]
fn worked_by_hand() {
    let mut random = Random::new(3);
    let known = adjustment::<f64>(TuningElement::Inductance, Some(0.8), 0.0);
    let learnt = learn(&known, COIL, 0.8, &mut random).unwrap();
    let close = |got: f64, want: f64, slack: f64| assert!((got - want).abs() < slack, "{got} {want}");
    close(learnt.dip_before.get() as f64, 60e6, 20.0);
    close(learnt.dip_after.get() as f64, 63.960e6, 500.0);
    close(learnt.whole.get(), 0.88, 1e-5);
    close(learnt.share_moved.unwrap().value.get(), 0.6, 1e-5);
    close(learnt.next.unwrap().factor.get(), 0.654_47, 2e-5);
}

// ---- Which dips -------------------------------------------------------------------------------------------------

const COIL: Circuit = Circuit {
    kind: Kind::Series,
    element: TuningElement::Inductance,
    resonance: 60e6,
    q: 8.0,
    resistance: 45.0,
    share: 0.6,
};

fn learn(
    adjustment: &Adjustment<f64>,
    circuit: Circuit,
    moved: f64,
    random: &mut Random,
) -> Result<Learnt<f64>, LearnError> {
    let before = sweep::<f64>(|hertz| circuit.gamma(1.0, hertz), USUAL, random);
    let after = sweep::<f64>(|hertz| circuit.gamma(moved, hertz), USUAL, random);
    adjustment.learn(&before, &after)
}

/// Two resonances side by side: each is an open where the other resonates, nearly.
fn two(circuits: [Circuit; 2], parts: [f64; 2], hertz: f64) -> C {
    let admittance = |place: usize| {
        let gamma = circuits[place].gamma(parts[place], hertz);
        (ONE - gamma) / (ONE + gamma)
    };
    let y = admittance(0) + admittance(1);
    (ONE - y) / (ONE + y)
}

#[test]
fn of_two_dips_the_one_that_moved_is_read() {
    let mut random = Random::new(5);
    let other = Circuit {
        resonance: 95e6,
        q: 20.0,
        ..COIL
    };
    let coil = Circuit { q: 20.0, ..COIL };
    for (circuits, parts) in [([coil, other], [0.85, 1.0]), ([coil, other], [1.0, 0.85])] {
        let grid = Grid { points: 401, ..USUAL };
        let before = sweep::<f64>(|hertz| two(circuits, [1.0, 1.0], hertz), grid, &mut random);
        let after = sweep::<f64>(|hertz| two(circuits, parts, hertz), grid, &mut random);
        assert_eq!(before.dips().len(), 2);
        for target in [65, 71, 80] {
            let known = adjustment::<f64>(TuningElement::Inductance, Some(0.85), 0.0)
                .with_target(Some(Hertz::from_megahertz(target)));
            let learnt = known.learn(&before, &after).unwrap();
            let which = if parts[0] < 1.0 { 60e6 } else { 95e6 };
            assert!(
                (learnt.dip_before.get() as f64 / which - 1.0).abs() < 0.02,
                "{learnt:?}"
            );
            assert!(
                (learnt.share_moved.unwrap().value.get() - 0.6).abs() < 0.1,
                "{learnt:?}"
            );
        }
    }
}

#[test]
fn of_dips_that_moved_alike_the_one_at_the_target_is_read() {
    // A wire and its third harmonic.
    let mut random = Random::new(6);
    let wire = Circuit {
        kind: Kind::Wire,
        element: TuningElement::Length,
        resonance: 24e6,
        q: 3.0,
        share: 1.0,
        ..COIL
    };
    let grid = Grid {
        start: 15_000_000,
        stop: 100_000_000,
        points: 401,
        noise: 0.0,
    };
    let before = sweep::<f64>(|hertz| wire.gamma(1.0, hertz), grid, &mut random);
    let after = sweep::<f64>(|hertz| wire.gamma(1.1, hertz), grid, &mut random);
    for (target, dip) in [(25, 24e6), (71, 72e6)] {
        let known = adjustment::<f64>(TuningElement::Length, Some(1.1), 0.0)
            .with_target(Some(Hertz::from_megahertz(target)));
        let learnt = known.learn(&before, &after).unwrap();
        assert!(
            (learnt.dip_before.get() as f64 / dip - 1.0).abs() < 0.02,
            "{learnt:?}"
        );
        assert!((learnt.share_moved.unwrap().value.get() - 1.0).abs() < 0.02);
        let landed = wire.resonance(1.1 * learnt.next.unwrap().factor.get()) * (dip / 24e6).round();
        assert!((landed / (f64::from(target) * 1e6) - 1.0).abs() < 0.01);
    }
}

// ---- Refusals ---------------------------------------------------------------------------------------------------

#[test]
fn every_refusal_is_seen() {
    let mut random = Random::new(9);
    let adjusted = |moved| adjustment::<f64>(TuningElement::Inductance, moved, 0.0);
    let mut after = |moved: f64| learn(&adjusted(Some(moved)), COIL, 0.8, &mut random);
    assert!(after(0.8).is_ok());
    assert_eq!(after(1.0), Err(LearnError::FactorOfOne));
    assert_eq!(after(1.2), Err(LearnError::MovedOtherWay));
    // The whole is at 0.88, which is 2.4 times what a coil at 0.95 would do alone.
    assert_eq!(after(0.95), Err(LearnError::MovedFurther(240)));
    for wrong in [0.05, 11.0] {
        let error = after(wrong).unwrap_err();
        assert_eq!(error.to_string(), "factor of the move must be from 0.1 to 10");
        assert!(core::error::Error::source(&error).is_some());
    }
    let zero = adjusted(None).with_moved(Some(Ratio::ZERO));
    assert_eq!(
        learn(&zero, COIL, 0.8, &mut random),
        Err(LearnError::Quantity(QuantityError::NotPositive(
            "factor of the move"
        )))
    );
    let nan = adjusted(None).with_moved(Some(Ratio::new(f64::NAN)));
    assert_eq!(
        learn(&nan, COIL, 0.8, &mut random),
        Err(LearnError::Quantity(QuantityError::NotFinite(
            "factor of the move"
        )))
    );
    let nowhere = adjusted(None).with_target(Some(Hertz::new(0)));
    assert_eq!(
        learn(&nowhere, COIL, 0.8, &mut random),
        Err(LearnError::Quantity(QuantityError::NotPositive("target")))
    );
    // The ends are taken.
    assert!(learn(&adjusted(Some(0.1)).with_target(None), COIL, 0.8, &mut random).is_ok());
    assert_eq!(
        learn(&adjusted(None), COIL, 1.0, &mut random),
        Err(LearnError::NothingMoved)
    );
    assert_eq!(
        learn(&adjusted(Some(0.8)), COIL, 1.0, &mut random),
        Err(LearnError::NothingMoved)
    );
    // A fifth is in the coil: no coil at all would bring it to 71 MHz.
    let leads = Circuit { share: 0.2, ..COIL };
    let error = learn(&adjusted(Some(0.8)), leads, 0.8, &mut random).unwrap_err();
    assert_eq!(error, LearnError::OutOfReach(17));
    assert!(
        error
            .to_string()
            .starts_with("17 % of the whole are in what was moved")
    );
    // Without a target its share is told all the same.
    assert!(learn(&adjusted(Some(0.8)).with_target(None), leads, 0.8, &mut random).is_ok());
    let shallow = Circuit { q: 3.0, ..COIL };
    let noisy = adjustment::<f64>(TuningElement::Inductance, Some(0.85), 0.015);
    let before = sweep::<f64>(
        |hertz| shallow.gamma(1.0, hertz),
        Grid { points: 101, ..USUAL },
        &mut random,
    );
    let after = sweep::<f64>(
        |hertz| shallow.gamma(0.85, hertz),
        Grid { points: 101, ..USUAL },
        &mut random,
    );
    assert_eq!(noisy.learn(&before, &after), Err(LearnError::TooUncertain));
}

#[test]
fn another_circuit_is_refused() {
    let mut random = Random::new(10);
    let known = adjustment::<f64>(TuningElement::Inductance, Some(0.8), 0.0);
    let mut of = |gamma: &dyn Fn(f64) -> C| sweep::<f64>(gamma, USUAL, &mut random);
    let before = of(&|hertz| COIL.gamma(1.0, hertz));
    let after = of(&|hertz| COIL.gamma(0.8, hertz));
    // |Γ| at the dip from 0.05 to 0.31.
    let loaded = of(&|hertz| {
        Circuit {
            resistance: 95.0,
            ..COIL
        }
        .gamma(0.8, hertz)
    });
    assert_eq!(known.learn(&before, &loaded), Err(LearnError::TooMuchChanged));
    // To 0.18: the same circuit, a little warmer.
    let warmer = of(&|hertz| {
        Circuit {
            resistance: 72.0,
            q: 5.0,
            ..COIL
        }
        .gamma(0.8, hertz)
    });
    assert!(known.learn(&before, &warmer).is_ok());
    let second = Circuit {
        resonance: 95e6,
        q: 20.0,
        ..COIL
    };
    let both = of(&|hertz| two([COIL, second], [0.8, 1.0], hertz));
    assert_eq!(known.learn(&before, &both), Err(LearnError::TooMuchChanged));
    let flat = of(&|_| c(0.3, 0.1));
    assert_eq!(known.learn(&flat, &after), Err(LearnError::NoDipBefore));
    assert_eq!(known.learn(&before, &flat), Err(LearnError::NoDipAfter));
    let settings = SweepSettings::new().with_reference(Reference::whole::<75>());
    let mut analyser = SweepAnalyser::<f64, 16>::new(settings).unwrap();
    analyser.push(Hertz::new(1), Reflection::MATCHED).unwrap();
    assert_eq!(
        known.learn(&before, &analyser.report()),
        Err(LearnError::OtherReference)
    );
}

#[test]
fn at_the_target_nothing_is_to_be_moved() {
    let mut random = Random::new(11);
    let known = adjustment::<f64>(TuningElement::Inductance, Some(0.8), 0.0);
    let at = COIL.resonance(0.8).round() as u64;
    for (off, direction) in [
        (0, Direction::Keep),
        (20_000, Direction::Keep),
        (200_000, Direction::Less),
    ] {
        let learnt = learn(
            &known.with_target(Some(Hertz::new(at + off))),
            COIL,
            0.8,
            &mut random,
        )
        .unwrap();
        let next = learnt.next.unwrap();
        assert_eq!(next.direction, direction);
        assert_eq!(next.factor == 1.0, direction == Direction::Keep);
    }
}

/// A dip narrower than the steps of the sweep may stand anywhere between its neighbours, and its depth says nothing.
#[test]
fn a_dip_that_is_not_resolved_is_uncertain() {
    let mut random = Random::new(12);
    let narrow = Circuit { q: 150.0, ..COIL };
    let known = adjustment::<f64>(TuningElement::Inductance, Some(0.8), 0.0).with_target(None);
    let grid = Grid { points: 101, ..USUAL };
    let before = sweep::<f64>(|hertz| narrow.gamma(1.0, hertz), grid, &mut random);
    let after = sweep::<f64>(|hertz| narrow.gamma(0.8, hertz), grid, &mut random);
    assert!(
        before.dips().iter().any(|dip| dip.unresolved.is_some()),
        "{:?}",
        before.dips()
    );
    match known.learn(&before, &after) {
        Ok(learnt) => {
            let share = learnt.share_moved.unwrap();
            assert!(share.most.get() - share.least.get() > 0.1, "{share:?}");
            assert!(share.least <= narrow.share && share.most >= narrow.share);
        }
        Err(error) => assert_eq!(error, LearnError::TooUncertain),
    }
}

#[test]
fn errors_are_small() {
    assert!(size_of::<LearnError>() <= 32);
}
