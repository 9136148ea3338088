//! Cables measured by their far end: invented ones with skin effect and its internal inductance, uneven impedance,
//! connectors at both ends and noise; the same length whichever the end is, as a rate with its worst case.

use std::f64::consts::TAU;

use crate::common::complex::{C, ONE, ZERO, c};
use crate::common::impedances::{gamma_of, gamma_word, half_a_step, word};
use crate::common::{Random, deep};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::double::Line;
use ohmwright::measure::FrequencyPlan;
use ohmwright::measure::calibration::Delay;
use ohmwright::measure::line::{CableEnd, CableReport, CableSettings, CableSweep, LineError};
use ohmwright::quantity::{Hertz, Impedance, Reference, Reflection, VelocityFactor};

const LIGHT: f64 = 299_792_458.0;
const ENDS: [CableEnd; 3] = [CableEnd::Open, CableEnd::Short, CableEnd::Load];
const GRID: (u64, u64, u32) = (100_000_000, 1_500_000_000, 1_001);
const FACTOR: f64 = 0.66;

/// A two-port as A, B, C, D.
type Port = [C; 4];

fn behind(a: Port, b: Port) -> Port {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
    ]
}

fn line(z: C, gamma: C) -> Port {
    let (up, down) = (gamma.exponential(), (-gamma).exponential());
    let (cosh, sinh) = ((up + down).times(0.5), (up - down).times(0.5));
    [cosh, z * sinh, sinh / z, cosh]
}

fn series(z: C) -> Port {
    [ONE, z, ZERO, ONE]
}

fn shunt(y: C) -> Port {
    [ONE, ZERO, y, ONE]
}

fn root(z: C) -> C {
    // Re z ≥ 0 of the two.
    let size = z.size();
    let re = ((size + z.re) / 2.0).max(0.0).sqrt();
    let im = ((size - z.re) / 2.0).max(0.0).sqrt();
    c(re, if z.im < 0.0 { -im } else { im })
}

/// A plug and socket: a short piece of another impedance, with a little inductance and capacitance.
#[derive(Clone, Copy)]
struct Connector {
    metres: f64,
    ohms: f64,
    henries: f64,
    farads: f64,
}

impl Connector {
    /// Of an SWR up to 1.2 at 1.5 GHz; a bad one up to 1.9.
    fn any(bad: bool, random: &mut Random) -> Self {
        let (low, high, longest) = if bad {
            (38.0, 65.0, 25e-3)
        } else {
            (45.0, 56.0, 20e-3)
        };
        let stray = if bad { 2.5 } else { 1.0 };
        Self {
            metres: random.between(5e-3, longest),
            ohms: random.between(low, high),
            henries: stray * random.between(0.0, 0.3e-9),
            farads: stray * random.between(0.0, 0.1e-12),
        }
    }

    fn port(self, w: f64) -> Port {
        let piece = line(c(self.ohms, 0.0), c(0.0, w * self.metres / (0.75 * LIGHT)));
        let coil = series(c(0.0, w * self.henries));
        behind(behind(piece, coil), shunt(c(0.0, w * self.farads)))
    }
}

struct Cable {
    metres: f64,
    ohms: f64,
    /// One way, at the highest frequency: of the conductors and of the dielectric.
    conductor_db: f64,
    dielectric_db: f64,
    /// Of each piece, in ohms.
    uneven: Vec<f64>,
    connectors: [Connector; 2],
}

impl Cable {
    fn any(metres: f64, there_and_back_db: f64, bad: bool, random: &mut Random) -> Self {
        let metres = metres * random.between(0.97, 1.03);
        let pieces = (metres / 0.15) as usize;
        let roughness = random.between(0.0, 0.7);
        Self {
            metres,
            ohms: random.between(47.5, 53.0),
            conductor_db: 0.85 * there_and_back_db / 2.0,
            dielectric_db: 0.15 * there_and_back_db / 2.0,
            uneven: (0..pieces.max(1)).map(|_| roughness * random.normal()).collect(),
            connectors: [Connector::any(bad, random), Connector::any(bad, random)],
        }
    }

    fn loss(&self, hertz: f64) -> f64 {
        let rise = hertz / GRID.1 as f64;
        self.conductor_db * rise.sqrt() + self.dielectric_db * rise
    }

    /// All of it, at ω.
    fn port(&self, w: f64) -> Port {
        let v = FACTOR * LIGHT;
        let highest = TAU * GRID.1 as f64;
        let nepers = 10f64.ln() / 20.0 / self.metres;
        // R = 2·Z0·α of the conductors, and as much reactance; G = ωC·tan δ = 2·α/Z0 of the dielectric.
        let r = 2.0 * self.ohms * nepers * self.conductor_db * (w / highest).sqrt();
        let tangent = 2.0 * nepers * self.dielectric_db * v / highest;
        let length = self.metres / self.uneven.len() as f64;
        let mut port = self.connectors[0].port(w);
        for by in &self.uneven {
            let factor = 1.0 + by / self.ohms;
            let z = c(r, r + w * self.ohms / v * factor);
            let y = c(
                w / (self.ohms * v) / factor * tangent,
                w / (self.ohms * v) / factor,
            );
            port = behind(port, line(root(z / y), root(z * y).times(length)));
        }
        behind(port, self.connectors[1].port(w))
    }
}

/// What is at the end, with what little it has besides.
#[derive(Clone, Copy)]
struct Ends {
    open_farads: f64,
    short_henries: f64,
    load_ohms: f64,
    load_henries: f64,
    load_farads: f64,
}

impl Ends {
    fn any(random: &mut Random) -> Self {
        Self {
            open_farads: random.between(0.0, 0.1e-12),
            short_henries: random.between(0.0, 0.2e-9),
            load_ohms: 75.0 * random.between(0.98, 1.02),
            load_henries: random.between(0.0, 0.2e-9),
            load_farads: random.between(0.0, 0.1e-12),
        }
    }

    fn admittance(&self, end: CableEnd, w: f64) -> C {
        match end {
            CableEnd::Open => c(1e-7, w * self.open_farads),
            CableEnd::Short => ONE / c(0.02, w * self.short_henries),
            _ => ONE / c(self.load_ohms, w * self.load_henries) + c(0.0, w * self.load_farads),
        }
    }
}

/// Γ of the cable with each of the three ends, with noise.
fn sweeps(cable: &Cable, ends: &Ends, sigma: f64, random: &mut Random) -> [Vec<(u64, C)>; 3] {
    let mut found = [const { Vec::new() }; 3];
    for step in 0..GRID.2 {
        let hertz = GRID.0 + (GRID.1 - GRID.0) / u64::from(GRID.2 - 1) * u64::from(step);
        let w = TAU * hertz as f64;
        let [a, b, cc, d] = cable.port(w);
        for (end, found) in ENDS.iter().zip(&mut found) {
            let y = ends.admittance(*end, w);
            let z = (a + b * y) / (cc + d * y);
            let noise = c(random.normal(), random.normal()).times(sigma);
            found.push((hertz, gamma_of(z, 50.0) + noise));
        }
    }
    found
}

fn settings<A: Arithmetic>(end: CableEnd) -> CableSettings<A> {
    CableSettings {
        start: Hertz::new(GRID.0),
        stop: Hertz::new(GRID.1),
        points: GRID.2,
        reference: Reference::fifty(),
        end,
    }
}

fn measured<A: Arithmetic>(sweep: &[(u64, C)], end: CableEnd) -> Result<CableReport<A>, LineError> {
    let points: Vec<_> = sweep
        .iter()
        .map(|(hertz, gamma)| (Hertz::new(*hertz), gamma_word::<A>(*gamma)))
        .collect();
    CableSweep::measure(settings(end), points.iter().copied())
}

/// What a straight line through the unwrapped phase says, in metres.
fn by_phase(sweep: &[(u64, C)]) -> f64 {
    let (mut turns, mut sums) = (0.0, [0.0; 4]);
    let mut last = sweep[0].1;
    for (hertz, gamma) in sweep {
        let step = *gamma * last.conjugate();
        turns += step.im.atan2(step.re) / TAU;
        last = *gamma;
        let f = *hertz as f64 / 1e9 - 0.8;
        sums = [sums[0] + f, sums[1] + turns, sums[2] + f * f, sums[3] + f * turns];
    }
    let n = sweep.len() as f64;
    let slope = (sums[3] - sums[0] * sums[1] / n) / (sums[2] - sums[0] * sums[0] / n);
    -slope * 1e-9 * FACTOR * LIGHT / 2.0
}

/// The widest of three lengths over the narrowest, in percent.
fn spread(lengths: [f64; 3]) -> f64 {
    let (low, high) = lengths
        .iter()
        .fold((f64::MAX, f64::MIN), |(low, high), x| (low.min(*x), high.max(*x)));
    100.0 * (high - low) / low
}

/// Lengths and losses as of cables that are in use: 1, 3.6 and 9.5 m, 5 to 20 dB there and back at 1.5 GHz.
fn kind(round: usize) -> (f64, f64, f64) {
    [(1.0, 3.0, 6.0), (3.6, 5.0, 12.0), (9.5, 10.0, 20.0)][round % 3]
}

/// How many of so many cables have lengths within 0.5 % of each other, and the widest spread in percent.
struct Rate {
    within: usize,
    worst: f64,
}

impl Rate {
    fn count(&mut self, apart: f64) {
        self.worst = self.worst.max(apart);
        self.within += usize::from(apart <= 0.5);
    }
}

/// By the transform and by the unwrapped phase; the widest spread of impedances, and the largest errors of impedance, loss
/// and length.
fn rates(cases: usize, bad: bool, seed: u64) -> ([Rate; 2], [f64; 4]) {
    let mut random = Random::new(seed);
    let mut rates = [const {
        Rate {
            within: 0,
            worst: 0.0,
        }
    }; 2];
    let (mut long, mut ohm_spread, mut ohm_error, mut loss_error) = (0f64, 0f64, 0f64, 0f64);
    for round in 0..cases {
        let (metres, least, most) = kind(round);
        let cable = Cable::any(metres, random.between(least, most), bad, &mut random);
        let ends = Ends::any(&mut random);
        let sweeps = sweeps(&cable, &ends, 1e-3, &mut random);
        let reports = [0, 1, 2].map(|end| {
            measured::<f64>(&sweeps[end], ENDS[end]).unwrap_or_else(|error| panic!("{round}: {error}"))
        });
        let lengths = reports.map(|report| report.length(FACTOR).unwrap().get());
        rates[0].count(spread(lengths));
        rates[1].count(spread([0, 1, 2].map(|end| by_phase(&sweeps[end]))));
        // The two connectors belong to the cable.
        let plugs: f64 = cable
            .connectors
            .iter()
            .map(|plug| plug.metres * FACTOR / 0.75)
            .sum();
        long = long.max((lengths[0] / (cable.metres + plugs) - 1.0).abs());
        let ohms = reports.map(|report| report.impedance().unwrap().get());
        ohm_spread = ohm_spread.max(spread(ohms) / 100.0 * cable.ohms);
        ohm_error = ohm_error.max((ohms[0] - cable.ohms).abs());
        for report in &reports[..2] {
            for hertz in [100_000_000, 800_000_000, 1_500_000_000] {
                let loss = report.loss(Hertz::new(hertz)).unwrap().get();
                loss_error = loss_error.max((loss - cable.loss(hertz as f64)).abs());
            }
        }
        assert_eq!(reports[2].loss(Hertz::new(GRID.1)), None);
    }
    println!(
        "{} of {cases} cables have lengths within 0.5 % of each other, worst {:.3} %; by the unwrapped phase {}, worst \
         {:.1} %\nlength within {:.2} % of what was made; impedance within {ohm_spread:.2} ohm of each other and \
         {ohm_error:.2} of what was made; loss within {loss_error:.3} dB",
        rates[0].within,
        rates[0].worst,
        rates[1].within,
        rates[1].worst,
        100.0 * long
    );
    (rates, [long, ohm_spread, ohm_error, loss_error])
}

/// All cables with connectors as they should be; and the control, by the unwrapped phase, fails.
#[test]
fn the_same_length_whichever_the_end_is() {
    let cases = if deep() { 1_500 } else { 120 };
    let ([by_echo, by_phase], [long, ohm_spread, ohm_error, loss_error]) = rates(cases, false, 411);
    // A plug beside an end of 75 Ω moves the end of the shortest by millimetres.
    assert!(by_echo.within * 100 >= cases * 99 && by_echo.worst < 0.8);
    assert!(deep() || by_echo.within == cases);
    assert!(by_phase.worst > 10.0 && by_phase.within < cases * 4 / 5);
    assert!(long < 0.015 && ohm_spread < 0.3 && ohm_error < 3.0 && loss_error < 0.3);
}

/// Connectors of an SWR up to 1.9 at 1.5 GHz: beside an end that reflects a fifth they are seen as a part of it, and
/// move it by millimetres.
#[test]
fn bad_connectors_are_a_part_of_a_short_cable() {
    let cases = if deep() { 1_500 } else { 60 };
    let ([by_echo, _], _) = rates(cases, true, 414);
    assert!(by_echo.within * 10 >= cases * 8 && by_echo.worst < 2.5);
}

/// The other families find what doubles find.
#[test]
fn every_family_measures_the_same() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(412);
        for round in 0..3 {
            let (metres, least, most) = kind(round);
            let cable = Cable::any(metres, random.between(least, most), false, &mut random);
            let sweeps = sweeps(&cable, &Ends::any(&mut random), 1e-3, &mut random);
            let end = round % 3;
            let truth = measured::<f64>(&sweeps[end], ENDS[end]).unwrap();
            let report = measured::<A>(&sweeps[end], ENDS[end]).unwrap();
            assert_eq!(report.end(), ENDS[end]);
            let factor = word::<VelocityFactor<A>>(FACTOR);
            let (got, want) = (
                report.length(factor).unwrap(),
                truth.length(factor.to_f64()).unwrap(),
            );
            assert!((got.to_f64() / want.get() - 1.0).abs() < 2e-5, "{got} {want}");
            let delay = report.delay().to_f64() / truth.delay().to_f64() - 1.0;
            assert!(delay.abs() < 2e-5, "{delay}");
            let (got, want) = (
                report.impedance().unwrap().to_f64(),
                truth.impedance().unwrap().get(),
            );
            assert!((got - want).abs() < 0.01, "{got} {want}");
            let (got, want) = (report.end_reflection().to_f64(), truth.end_reflection().get());
            assert!((got - want).abs() < 2e-4, "{got} {want}");
            let at = Hertz::from_megahertz(700);
            match (report.loss(at), truth.loss(at)) {
                (Some(got), Some(want)) => assert!((got.to_f64() - want.get()).abs() < 0.01, "{got} {want}"),
                (got, want) => assert!(got.is_none() && want.is_none()),
            }
            // Point by point, when the length is known roughly: the same.
            let near = Delay::from_picoseconds((truth.delay().to_f64() * 1e12) as i32 + 200);
            let mut sweep = CableSweep::<A>::new(settings(ENDS[end]), near).unwrap();
            for (hertz, gamma) in sweeps[end].iter().rev() {
                sweep.push(Hertz::new(*hertz), gamma_word(*gamma)).unwrap();
            }
            let again = sweep.report().unwrap();
            let apart = again.delay().to_f64() / report.delay().to_f64() - 1.0;
            assert!(apart.abs() < 1e-3, "{apart}");
        }
    }
    every_family!(check);
}

/// Lines of known length, impedance and loss, as `data/line_published.csv` has them with their sources: 150 feet that lose
/// 0.795 dB in 100 feet at 14.2 MHz (T4-111: The ARRL Antenna Book, worked example, from memory); a quarter of a wave at
/// 7.1 MHz at a velocity factor of 0.82 (T4-106: l = c·VF/4f); and others, of usual factors (T4-096: solid polyethylene).
#[test]
fn lines_of_known_length_loss_and_impedance() {
    // (ohms, velocity factor, metres, dB in 100 m at 14.2 MHz)
    for (ohms, factor, metres, loss) in [
        (50.0, 0.66, 45.72, 0.795 / 0.3048),
        (75.0, 0.66, 8.0, 2.0),
        (75.0, 0.82, 30.0, 1.3),
        (75.0, 0.82, 8.655_979_421, 2.0),
        (93.0, 0.84, 6.0, 2.0),
        (50.0, 1.0, 5.0, 0.0),
    ] {
        let line = Line::new(ohms, factor, metres)
            .unwrap()
            .with_loss(loss, Hertz::from_kilohertz(14_200))
            .unwrap();
        for (end, load) in [
            (CableEnd::Open, Reflection::OPEN),
            (CableEnd::Short, Reflection::SHORT),
            (
                CableEnd::Load,
                Impedance::new(150.0, 0.0).unwrap().reflection(Reference::fifty()),
            ),
        ] {
            let (start, stop, points) = (Hertz::from_megahertz(2), Hertz::from_megahertz(302), 401);
            let sweep = FrequencyPlan::linear(start, stop, points).unwrap();
            let points_of: Vec<_> = sweep
                .iter()
                .map(|frequency| {
                    (
                        frequency,
                        line.input_reflection(load, Reference::fifty(), frequency),
                    )
                })
                .collect();
            let settings = CableSettings {
                start,
                stop,
                points,
                reference: Reference::fifty(),
                end,
            };
            let report = CableSweep::measure(settings, points_of.iter().copied()).unwrap();
            let length = report.length(factor).unwrap().get();
            assert!((length / metres - 1.0).abs() < 0.002, "{metres}: {length}");
            let found = report.impedance().unwrap().get();
            assert!((found - ohms).abs() < 0.3, "{ohms}: {found}");
            if metres == 8.655_979_421 {
                // A quarter of the period.
                let quarter = report.delay().to_f64() * 7.1e6;
                assert!((quarter / 0.25 - 1.0).abs() < 0.002, "{quarter}");
            }
            for megahertz in [30, 150, 302] {
                let at = Hertz::from_megahertz(megahertz);
                let want = line.matched_loss(at).get();
                match report.loss(at) {
                    Some(got) => assert!((got.get() - want).abs() < 0.06 + 0.005 * want, "{got} {want}"),
                    None => assert_eq!(end, CableEnd::Load),
                }
            }
        }
    }
}

/// The end is found behind a bad adapter at the beginning, and before its own images: as a rate.
#[test]
fn the_end_is_not_taken_for_something_else() {
    let mut random = Random::new(415);
    let cases = if deep() { 1_000 } else { 150 };
    let (mut found, mut worst) = (0, 0f64);
    for round in 0..cases {
        let end = ENDS[round % 3];
        let metres = random.between(1.5, 12.0);
        // The cable's own impedance makes the images, and an adapter before it an echo of its own.
        let ohms = if random.bits() & 1 == 0 {
            random.between(48.0, 53.0)
        } else {
            random.between(70.0, 120.0)
        };
        let line = Line::new(ohms, FACTOR, metres)
            .unwrap()
            .with_loss(random.between(5.0, 40.0), Hertz::from_megahertz(500))
            .unwrap();
        let before = Line::new(50.0, FACTOR, random.between(0.05, 0.6)).unwrap();
        let adapter = Line::new(random.between(35.0, 70.0), FACTOR, random.between(0.005, 0.02)).unwrap();
        let load = match end {
            CableEnd::Open => Reflection::OPEN,
            CableEnd::Short => Reflection::SHORT,
            _ => Impedance::new(ohms * 1.5, 0.0)
                .unwrap()
                .reflection(Reference::fifty()),
        };
        let sweep: Vec<_> = (0..GRID.2)
            .map(|step| {
                let hertz = GRID.0 + 1_400_000 * u64::from(step);
                let mut gamma = load;
                for line in [line, adapter, before] {
                    gamma = line.input_reflection(gamma, Reference::fifty(), Hertz::new(hertz));
                }
                let noise = c(random.normal(), random.normal()).times(1e-3);
                (hertz, c(gamma.real().get(), gamma.imaginary().get()) + noise)
            })
            .collect();
        let whole = metres + adapter.length().get() + before.length().get();
        let error = match measured::<f64>(&sweep, end) {
            Ok(report) => (report.length(FACTOR).unwrap().get() / whole - 1.0).abs(),
            Err(_) => 1.0,
        };
        if error < 0.01 {
            found += 1;
            worst = worst.max(error);
        } else {
            println!("{end:?} {metres:.2} m of {ohms:.0} ohm: off by {error:.2}");
        }
    }
    println!("{found} of {cases} ends are found, within {:.2} %", 100.0 * worst);
    assert!(found * 100 >= cases * 99);
}

/// An open or shorted end sends back twice the matched loss: of 3 dB, a return loss of 6 dB (T4-124: the standard way to
/// measure the loss of a line).
#[test]
fn half_of_the_return_loss_is_the_loss() {
    // 3 dB at 400 MHz.
    let at = Hertz::from_megahertz(400);
    let line = Line::new(50.0, FACTOR, 20.0)
        .unwrap()
        .with_loss(15.0, at)
        .unwrap();
    let (start, stop, points) = (Hertz::from_megahertz(100), Hertz::from_megahertz(700), 401);
    let plan = FrequencyPlan::linear(start, stop, points).unwrap();
    for (end, load) in [
        (CableEnd::Open, Reflection::OPEN),
        (CableEnd::Short, Reflection::SHORT),
    ] {
        let seen: Vec<_> = plan
            .iter()
            .map(|at| (at, line.reflection_at_input(load, at)))
            .collect();
        assert!((line.reflection_at_input(load, at).return_loss() - 6.0).abs() < 1e-9);
        let settings = CableSettings {
            start,
            stop,
            points,
            reference: Reference::fifty(),
            end,
        };
        let report = CableSweep::measure(settings, seen.iter().copied()).unwrap();
        let loss = report.loss(at).unwrap().get();
        assert!((loss - 3.0).abs() < 0.01, "{loss}");
    }
}

#[test]
fn what_cannot_be_measured() {
    fn check<A: Arithmetic>() {
        let noise = |random: &mut Random| -> Vec<(u64, C)> {
            (0..GRID.2)
                .map(|step| {
                    let hertz = GRID.0 + 1_400_000 * u64::from(step);
                    (hertz, c(random.normal(), random.normal()).times(1e-3))
                })
                .collect()
        };
        let mut random = Random::new(413);
        for end in ENDS {
            // A matched cable, and noise.
            assert_eq!(
                measured::<A>(&noise(&mut random), end).unwrap_err(),
                LineError::NoEcho
            );
        }
        // An open at the instrument itself.
        let open: Vec<_> = noise(&mut random)
            .iter()
            .map(|(hertz, gamma)| (*hertz, *gamma + c(0.9, 0.0)))
            .collect();
        assert_eq!(
            measured::<A>(&open, CableEnd::Open).unwrap_err(),
            LineError::TooShort
        );
        assert_eq!(
            measured::<A>(&open, CableEnd::Load).unwrap_err(),
            LineError::NoEcho
        );
        // A sweep that is not whole, and one that is too small.
        let few = &open[..500];
        assert_eq!(
            measured::<A>(few, CableEnd::Open).unwrap_err(),
            LineError::Unfinished(501)
        );
        let small = CableSettings::<A> {
            points: 15,
            ..settings(CableEnd::Open)
        };
        let nothing = core::iter::empty;
        assert_eq!(
            CableSweep::measure(small, nothing()).unwrap_err(),
            LineError::TooFewPoints(16)
        );
        let empty = CableSettings::<A> {
            stop: Hertz::new(GRID.0),
            ..small
        };
        assert_eq!(
            CableSweep::measure(empty, nothing()).unwrap_err(),
            LineError::Empty
        );
        let far = Delay::from_picoseconds(400_000);
        assert_eq!(
            CableSweep::<A>::new(settings(CableEnd::Open), far).unwrap_err(),
            LineError::TooFar
        );
        assert_eq!(
            CableSweep::<A>::new(settings(CableEnd::Open), Delay::NONE).unwrap_err(),
            LineError::TooShort
        );
        // Between twice and eight times the resolution there is a length, and nothing else.
        let line = Line::new(50.0, FACTOR, 0.2).unwrap();
        let short: Vec<_> = noise(&mut random)
            .iter()
            .map(|(hertz, noise)| {
                let seen = line.reflection_at_input(Reflection::SHORT, Hertz::new(*hertz));
                let size = if A::FAMILY == Family::Fixed16 { 0.9 } else { 1.0 };
                (
                    *hertz,
                    c(seen.real().get(), seen.imaginary().get()).times(size) + *noise,
                )
            })
            .collect();
        let report = measured::<A>(&short, CableEnd::Short).unwrap();
        assert_eq!(
            (report.impedance(), report.loss(Hertz::new(GRID.1))),
            (None, None)
        );
        let length = report.length(word::<VelocityFactor<A>>(FACTOR)).unwrap().to_f64();
        assert!((length - 0.2).abs() < 0.002 + half_a_step::<A>(), "{length}");
        assert!(report.length(VelocityFactor::ZERO).is_err());
    }
    every_family!(check);
}
