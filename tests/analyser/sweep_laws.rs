//! Laws that the sweep analyser obeys in every family, whatever the sweep.
//!
//! Each law is a function that returns `Err` where it does not hold, and each has a control that makes it fail. The
//! circuits are invented; their truth is their own algebra.

use crate::circuits::{
    BETWEEN_STEPS, C, Circuit, Points, ROOM, Told, ToldDip, ToldTarget, analyse, c, even, feed, geometric,
    plain, points, quantile, reversed, thinned, told,
};
use crate::common::law::{Law, require};
use crate::common::{Random, allowance, deep};
use ohmwright::arithmetic::accuracy::{Family, Readout};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::{Method, SweepAnalyser, SweepError, SweepSettings};
use ohmwright::quantity::{Component, Hertz, QuantityError, Reflection, Swr};
use proptest::prelude::*;

/// The same test in every family.
macro_rules! in_every_family {
    ($($name:ident),+ $(,)?) => {$(
        mod $name {
            #[test]
            fn double() {
                super::laws::$name::<f64>().unwrap();
            }
            #[test]
            fn single() {
                super::laws::$name::<f32>().unwrap();
            }
            #[test]
            fn fixed_point() {
                super::laws::$name::<ohmwright::arithmetic::Fixed32>().unwrap();
            }
            #[test]
            fn small_fixed_point() {
                super::laws::$name::<ohmwright::arithmetic::Fixed16>().unwrap();
            }
        }
    )+};
}

fn settings<A: Arithmetic>(limit: f64, prominence: f64, target: Option<u64>) -> SweepSettings<A> {
    SweepSettings {
        swr_limit: Swr::<A>::try_from_f64(limit).expect("a limit the word holds"),
        prominence: Component::<A>::try_from_f64(prominence.min(Component::<A>::MAX.to_f64()))
            .expect("a prominence the word holds"),
        target: target.map(Hertz::new),
        ..Default::default()
    }
}

/// Any resonator between 100 and 200 MHz, sometimes with a line behind it.
fn invented(random: &mut Random) -> Circuit {
    let resistance = random.decades(15.0, 170.0).abs();
    let q = random.decades(3.0, 40.0).abs();
    let resonance = random.between(110e6, 190e6);
    let circuit = if random.bits() & 1 == 0 {
        Circuit::series(resistance, q, resonance)
    } else {
        Circuit::parallel(resistance, q, resonance)
    };
    if random.bits() & 1 == 0 {
        circuit.behind(random.between(35.0, 90.0), random.between(1e-9, 15e-9))
    } else {
        circuit
    }
}

const START: u64 = 100_000_000;
const STOP: u64 = 200_000_000;
const STEP: u64 = 500_000;

fn grids() -> [Vec<u64>; 3] {
    let grid = even(START, STOP, 201);
    [grid.clone(), thinned(&grid), geometric(&grid)]
}

// --- comparing reports -------------------------------------------------------------------------------------------

/// The same to the last bit.
fn same(one: &Told, other: &Told) -> Law {
    require(one == other, || format!("{one:?}\nis not\n{other:?}"))
}

/// How far two reports of the same load may differ.
#[derive(Clone, Copy, Debug)]
struct Closeness {
    /// Frequencies of dips, in hertz: |Γ| is flat there, so they are the softest.
    dip: f64,
    /// Band edges, in hertz.
    edge: f64,
    /// Crossings, in hertz.
    crossing: f64,
    /// |Γ| of a dip.
    depth: f64,
    /// Γ at a crossing. Near an open the resistance itself has no digits left.
    axis: f64,
    /// Γ at the target.
    target: f64,
}

fn within(what: &str, one: f64, other: f64, allowed: f64) -> Law {
    let gap = (one - other).abs();
    require(gap <= allowed, || {
        format!("{what}: {one:e} and {other:e}, {gap:e} apart")
    })
}

fn axis(resistance: f64) -> f64 {
    if resistance.is_finite() {
        (resistance - 50.0) / (resistance + 50.0)
    } else {
        1.0
    }
}

fn close(one: &Told, other: &Told, allowed: &Closeness) -> Law {
    let shape = |told: &Told| {
        let counts = [told.dips.len(), told.bands.len(), told.crossings.len()];
        let edges: Vec<_> = told.dips.iter().chain(&told.best).map(|d| d.at_edge).collect();
        let open: Vec<_> = told.bands.iter().map(|b| (b.low_open, b.high_open)).collect();
        let rising: Vec<_> = told.crossings.iter().map(|c| c.rising).collect();
        let whole = (told.points, told.start, told.stop, told.left_out);
        (whole, counts, edges, open, rising)
    };
    require(shape(one) == shape(other), || {
        format!("{one:?}\nis not shaped like\n{other:?}")
    })?;
    let hertz = |what, a: u64, b: u64, allowed| within(what, a as f64, b as f64, allowed);
    let pairs = one
        .dips
        .iter()
        .chain(&one.best)
        .zip(other.dips.iter().chain(&other.best));
    for (a, b) in pairs {
        hertz("dip", a.hertz, b.hertz, allowed.dip)?;
        within("depth", a.gamma.size(), b.gamma.size(), allowed.depth)?;
    }
    for (a, b) in one.bands.iter().zip(&other.bands) {
        hertz("low edge", a.low.get(), b.low.get(), allowed.edge)?;
        hertz("high edge", a.high.get(), b.high.get(), allowed.edge)?;
    }
    for (a, b) in one.crossings.iter().zip(&other.crossings) {
        hertz("crossing", a.hertz, b.hertz, allowed.crossing)?;
        within("axis", axis(a.resistance), axis(b.resistance), allowed.axis)?;
    }
    match (one.target, other.target) {
        (ToldTarget::Reading { gamma: a, .. }, ToldTarget::Reading { gamma: b, .. }) => {
            within("target", (a - b).size(), 0.0, allowed.target)
        }
        (a, b) => require(a == b, || format!("{a:?} {b:?}")),
    }
}

// --- what every report obeys -------------------------------------------------------------------------------------

/// No NaN, nothing outside of the sweep, lists in order.
fn sane<A: Arithmetic>(told: &Told, points: &Points<A>) -> Law {
    let hertz: Vec<u64> = points.iter().map(|(hertz, _)| hertz.get()).collect();
    let (low, high) = (
        hertz.iter().min().copied().unwrap_or(0),
        hertz.iter().max().copied().unwrap_or(0),
    );
    let complain = |what: &str| Err(format!("{what}: {told:?}"));
    let inside = |hertz: u64| low <= hertz && hertz <= high;
    if told.points as usize != points.len() || (told.start, told.stop) != (low, high) {
        return complain("the sweep itself");
    }
    if told.best.is_some() == points.is_empty() {
        return complain("best");
    }
    for dip in told.dips.iter().chain(&told.best) {
        let numbers = dip.gamma.re.is_finite() && dip.gamma.im.is_finite() && dip.swr >= 1.0;
        if !(numbers && inside(dip.hertz)) {
            return complain("a dip");
        }
    }
    if let Some(best) = told.best
        && told
            .dips
            .iter()
            .any(|dip| dip.gamma.size() < best.gamma.size() * (1.0 - 1e-6) - 1e-9)
    {
        return complain("a dip below the best");
    }
    if !told.dips.is_sorted_by(|one, other| one.hertz <= other.hertz) {
        return complain("the order of the dips");
    }
    for band in &told.bands {
        if !(inside(band.low.get()) && inside(band.high.get()) && band.low <= band.high) {
            return complain("a band");
        }
    }
    if !told.bands.is_sorted_by(|one, other| one.high <= other.low) {
        return complain("bands that are not disjoint and in order");
    }
    for crossing in &told.crossings {
        if crossing.resistance.is_nan() || crossing.q.is_nan() || crossing.q < 0.0 || !inside(crossing.hertz)
        {
            return complain("a crossing");
        }
    }
    if !told.crossings.is_sorted_by(|one, other| one.hertz <= other.hertz) {
        return complain("the order of the crossings");
    }
    if let ToldTarget::Reading { hertz, gamma, .. } = told.target
        && !(gamma.re.is_finite() && gamma.im.is_finite() && inside(hertz))
    {
        return complain("the target");
    }
    Ok(())
}

/// On clean data no sample lies below the best.
fn best_is_lowest<A: Arithmetic>(told: &Told, points: &Points<A>, rounding: f64) -> Law {
    let best = told.best.ok_or("no best")?.gamma.size();
    for (hertz, gamma) in points {
        let size = plain(*gamma).size();
        require(best <= size + rounding, || {
            format!("{best} at best, {size} at {hertz}")
        })?;
    }
    Ok(())
}

/// A sweep that begins or ends under the limit has a band that is open there; no other edge is.
fn ends_are_open<A: Arithmetic>(told: &Told, points: &Points<A>, limit: f64) -> Law {
    let under = |hertz: u64| {
        points
            .iter()
            .any(|(f, gamma)| f.get() == hertz && gamma.swr().to_f64() <= limit)
    };
    let low_open = told.bands.iter().any(|b| b.low_open && b.low.get() == told.start);
    let high_open = told
        .bands
        .iter()
        .any(|b| b.high_open && b.high.get() == told.stop);
    let strays = told
        .bands
        .iter()
        .filter(|b| b.low_open && b.low.get() != told.start || b.high_open && b.high.get() != told.stop)
        .count();
    require(
        (low_open, high_open, strays) == (under(told.start), under(told.stop), 0),
        || format!("open ends: {:?}", told.bands),
    )
}

/// Every closed edge lies where the true SWR is the limit, and the true SWR inside of each band is below.
fn edges_on_limit(told: &Told, circuit: &Circuit, limit: f64, tolerance: f64) -> Law {
    for band in &told.bands {
        for (edge, open) in [(band.low, band.low_open), (band.high, band.high_open)] {
            let swr = circuit.swr(edge.get() as f64);
            require(open || (swr - limit).abs() <= tolerance, || {
                format!("SWR {swr} at {edge}, where the band ends at {limit}")
            })?;
        }
        let middle = circuit.swr(0.5 * (band.low.get() + band.high.get()) as f64);
        require(middle <= limit + tolerance, || {
            format!("SWR {middle} in {band:?}")
        })?;
    }
    Ok(())
}

/// X cannot rise through zero twice without having fallen through it (at a pole it jumps, but Im Γ does not).
fn slopes_alternate(told: &Told) -> Law {
    require(
        told.crossings
            .is_sorted_by(|one, other| one.rising != other.rising),
        || format!("{:?}", told.crossings),
    )
}

/// Exactly these crossings: frequency and resistance to the given allowances (hertz, and relative).
fn crossings_are(told: &Told, want: &[(f64, f64)], hertz: f64, relative: f64) -> Law {
    require(told.crossings.len() == want.len(), || {
        format!("{} wanted: {:?}", want.len(), told.crossings)
    })?;
    for (crossing, (place, resistance)) in told.crossings.iter().zip(want) {
        within("crossing", crossing.hertz as f64, *place, hertz)?;
        within(
            "resistance",
            crossing.resistance,
            *resistance,
            relative * resistance,
        )?;
    }
    Ok(())
}

/// The target reads `truth`, and passes exactly where its SWR is within the limit.
/// `readout` is what the SWR of a family may be off, relative.
fn target_reads(told: &Told, truth: C, allowed: f64, limit: f64, readout: f64) -> Law {
    let ToldTarget::Reading { gamma, pass, .. } = told.target else {
        return Err(format!("no reading: {:?}", told.target));
    };
    within("target", (gamma - truth).size(), 0.0, allowed)?;
    let swr = crate::circuits::swr(gamma.size());
    // Right at the limit the words of a family decide.
    let near = (swr - limit).abs() <= (1e-6 + readout) * limit;
    require(near || pass == (swr <= limit), || {
        format!("SWR {swr}, limit {limit}, pass {pass}")
    })
}

/// Where only `room` fit, they are the deepest of all, and the others are counted.
fn deepest_kept(all: &Told, few: &Told, room: usize) -> Law {
    let mut depths: Vec<f64> = all.dips.iter().map(|dip| dip.gamma.size()).collect();
    depths.sort_by(f64::total_cmp);
    depths.truncate(room);
    let mut kept: Vec<f64> = few.dips.iter().map(|dip| dip.gamma.size()).collect();
    kept.sort_by(f64::total_cmp);
    let left_out = all.dips.len().saturating_sub(room) as u32;
    require(
        depths == kept && few.left_out[0] == left_out && few.best == all.best,
        || {
            format!(
                "of {:?}\nthere are left {:?}, {}",
                all.dips, few.dips, few.left_out[0]
            )
        },
    )?;
    for (whole, part, counted) in [
        (all.bands.len(), few.bands.len(), few.left_out[1]),
        (all.crossings.len(), few.crossings.len(), few.left_out[2]),
    ] {
        require(
            part == whole.min(room) && counted as usize == whole - part,
            || format!("{whole} found, {part} kept, {counted} counted"),
        )?;
    }
    Ok(())
}

/// Asking on the way changes nothing, and each answer is that of a fresh analyser with the same points.
fn asking_changes_nothing<A: Arithmetic>(
    settings: SweepSettings<A>,
    asked: &Points<A>,
    fresh: &Points<A>,
) -> Law {
    let mut analyser = feed::<A, ROOM>(settings, &[]);
    for (i, (frequency, gamma)) in asked.iter().enumerate() {
        analyser
            .push(*frequency, *gamma)
            .map_err(|error| error.to_string())?;
        let before = format!("{analyser:?}");
        let report = Told::of(&analyser.report());
        require(before == format!("{analyser:?}"), || {
            format!("{before}\nis now\n{analyser:?}")
        })?;
        same(&report, &told(settings, &fresh[..=i]))?;
    }
    Ok(())
}

/// The point is refused with this error, and everything goes on as if it had not come.
fn refused<A: Arithmetic>(points: &Points<A>, at: usize, frequency: Hertz, error: SweepError) -> Law {
    let settings = settings::<A>(2.0, 0.01, Some(START + 7 * STEP / 2));
    let mut analyser = feed::<A, ROOM>(settings, &points[..at]);
    let answer = analyser.push(frequency, Reflection::SHORT);
    require(answer == Err(error), || format!("{answer:?}"))?;
    same(&Told::of(&analyser.report()), &told(settings, &points[..at]))?;
    for (frequency, gamma) in &points[at..] {
        analyser
            .push(*frequency, *gamma)
            .map_err(|error| error.to_string())?;
    }
    same(&Told::of(&analyser.report()), &told(settings, points))
}

/// What is best and what is found in a sweep of equal points.
fn is_flat(told: &Told, middle: u64) -> Law {
    let best = told.best.ok_or("no best")?;
    require(
        best.method == Method::Flat
            && best.hertz == middle
            && told.dips.is_empty()
            && told.crossings.is_empty(),
        || format!("{told:?}"),
    )
}

// --- the laws ----------------------------------------------------------------------------------------------------

const CIRCUITS: usize = 200;

/// Rounding of Γ in a family, about.
fn grain<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::F64 => 1e-15,
        Family::F32 | Family::SoftF32 => 3e-7,
        // Half a step of both parts.
        Family::Fixed16 => 4.4e-5,
        _ => 3e-9,
    }
}

/// True for the family whose own steps are what limits a report.
fn is_short<A: Arithmetic>() -> bool {
    A::FAMILY == Family::Fixed16
}

/// Where the steps look like noise, a curve through many points may be taken that leaves of Γ what fifty times the squares
/// of two foretold points come to (`noise.rs`). A foretold point is off by some sixteen times half a step of both parts:
/// √50·√2·16·4.4e-5 is 7e-3.
const STIFF: f64 = 7e-3;

/// What the SWR of a family may be off, relative.
fn swr_readout<A: Arithmetic>() -> f64 {
    if is_short::<A>() {
        allowance::<A>(Readout::Swr, 1.0)
    } else {
        0.0
    }
}

/// All but one in twenty are within `usual`; the worst is another law's business.
fn mostly(what: &str, gaps: &[f64], usual: f64) -> Law {
    require(!gaps.is_empty(), || format!("{what}: nothing was compared"))?;
    let most = quantile(gaps, 0.95);
    println!("{what}: 95 % {most:e} of {usual:e}");
    require(most <= usual, || {
        format!("{what}: 95 % within {most:e}, wanted {usual:e}")
    })
}

mod laws {
    use super::*;

    pub fn reversal<A: Arithmetic>() -> Law {
        let mut random = Random::new(1);
        // On an even grid both directions work with the same points. Without every third point they come to differing
        // maps, and what is left is the error of either.
        let step = STEP as f64;
        let softest = if matches!(A::FAMILY, Family::F32 | Family::SoftF32) {
            1e-2
        } else {
            1e-3
        };
        let even = Closeness {
            dip: softest * step,
            edge: 1e-3 * step,
            crossing: 1e-3 * step,
            depth: 1e-8 + grain::<A>(),
            axis: 1e-3,
            target: 1e-7 + 4.0 * grain::<A>(),
        };
        // Found: 28 kHz, 2.7 kHz, 10.6 kHz, 2.9e-5, 4.6e-4, 1.75e-3; the frequencies with a factor of three. Half a step
        // of both parts over the least slope of Γ here (1.6e-9 a hertz, Q = 3 behind a line) would be 14 kHz.
        let short = Closeness {
            dip: 7e-2 * step,
            edge: 1.6e-2 * step,
            crossing: 6e-2 * step,
            depth: 2.0 * grain::<A>(),
            axis: STIFF,
            target: STIFF,
        };
        let uneven = Closeness {
            dip: 2e-2 * step,
            edge: 5e-3 * step,
            crossing: 2e-2 * step,
            depth: 3e-5,
            axis: 5e-3,
            target: 3e-5,
        };
        for _ in 0..CIRCUITS {
            let circuit = invented(&mut random);
            let settings = settings::<A>(2.0, 0.01, Some(START + random.bits() % (STOP - START)));
            let bounds = if is_short::<A>() {
                [short; 3]
            } else {
                [even, uneven, even]
            };
            for (grid, allowed) in grids().iter().zip(bounds) {
                let points = circuit.points(grid);
                let (rising, falling) = (told(settings, &points), told(settings, &reversed(&points)));
                close(&rising, &falling, &allowed).map_err(|error| format!("{circuit:?}\n{error}"))?;
            }
        }
        Ok(())
    }

    pub fn asking<A: Arithmetic>() -> Law {
        let mut random = Random::new(2);
        for _ in 0..10 {
            let circuit = invented(&mut random);
            let settings = settings::<A>(2.0, 0.01, Some(START + random.bits() % (STOP - START)));
            let points = circuit.points(&even(START, STOP, 101));
            asking_changes_nothing(settings, &points, &points)?;
            let points = reversed(&points);
            asking_changes_nothing(settings, &points, &points)?;
        }
        Ok(())
    }

    pub fn refusal<A: Arithmetic>() -> Law {
        let rising = Circuit::series(40.0, 10.0, 104e6).points::<A>(&even(START, START + 40 * STEP, 41));
        for points in [rising.clone(), reversed(&rising)] {
            for at in 1..points.len() {
                let last = points[at - 1].0;
                refused(&points, at, last, SweepError::Repeated(last))?;
            }
            for at in 2..points.len() {
                let last = points[at - 1].0;
                for back in [points[at - 2].0, points[0].0] {
                    refused(&points, at, back, SweepError::OutOfOrder { last, refused: back })?;
                }
            }
        }
        Ok(())
    }

    pub fn settings_are_checked<A: Arithmetic>() -> Law {
        let new = |limit: Swr<A>, prominence: Component<A>| {
            SweepAnalyser::<A, 4>::new(SweepSettings {
                swr_limit: limit,
                prominence,
                ..Default::default()
            })
            .err()
        };
        let limit = |value| Swr::<A>::try_from_f64(value).unwrap();
        let prominence = |value| Component::<A>::try_from_f64(value).unwrap();
        let below = Some(QuantityError::BelowOne("SWR limit"));
        let negative = Some(QuantityError::Negative("prominence"));
        for (got, want) in [
            (new(limit(1.0), prominence(0.0)), None),
            (new(limit(60_000.0), prominence(0.99)), None),
            (new(limit(0.999), prominence(0.01)), below),
            (new(limit(0.0), prominence(0.01)), below),
            (new(limit(2.0), prominence(-1e-4)), negative),
            (new(limit(2.0), prominence(-1.0)), negative),
        ] {
            require(got == want, || format!("{got:?}, want {want:?}"))?;
        }
        Ok(())
    }

    pub fn target<A: Arithmetic>() -> Law {
        let mut random = Random::new(3);
        let allowed = if is_short::<A>() {
            STIFF
        } else {
            3e-5 + grain::<A>()
        };
        let readout = swr_readout::<A>();
        let mut gaps = Vec::new();
        for round in 0..CIRCUITS {
            let circuit = invented(&mut random);
            let limit = 1.0 + random.between(0.0, 4.0);
            let grids = grids();
            let grid = &grids[round % 3];
            let mut points = circuit.points::<A>(grid);
            if random.bits() & 1 == 0 {
                points = reversed(&points);
            }
            // Between the points.
            let place = START + random.bits() % (STOP - START);
            let answer = told(settings(limit, 0.01, Some(place)), &points);
            let truth = circuit.gamma(place as f64);
            if let ToldTarget::Reading { gamma, .. } = answer.target {
                gaps.push((gamma - truth).size());
            }
            target_reads(&answer, truth, allowed, limit, readout)
                .map_err(|error| format!("{circuit:?} at {place}: {error}"))?;
            // On a point, the first and the last among them.
            for i in [0, points.len() - 1, random.bits() as usize % points.len()] {
                let (place, gamma) = (points[i].0.get(), points[i].1);
                let answer = told(settings(limit, 0.01, Some(place)), &points);
                target_reads(&answer, plain(gamma), 0.0, limit, readout)?;
                let reading = ToldTarget::Reading {
                    hertz: place,
                    gamma: plain(gamma),
                    pass: gamma.swr().to_f64() <= limit,
                    method: Method::Measured,
                };
                require(answer.target == reading, || format!("{:?}", answer.target))?;
            }
            // Outside; and not yet.
            for place in [0, START - 1, STOP + 1, u64::MAX] {
                let answer = told(settings(limit, 0.01, Some(place)), &points);
                require(answer.target == ToldTarget::NotCovered(place), || {
                    format!("{:?}", answer.target)
                })?;
            }
            let ahead = points[50].0.get();
            let answer = told(settings(limit, 0.01, Some(ahead)), &points[..50]);
            require(answer.target == ToldTarget::NotCovered(ahead), || {
                format!("{:?}", answer.target)
            })?;
            let answer = told(settings(limit, 0.01, None), &points);
            require(answer.target == ToldTarget::NotAsked, || {
                format!("{:?}", answer.target)
            })?;
        }
        let usual = if is_short::<A>() {
            BETWEEN_STEPS
        } else {
            1e-7 + 4.0 * grain::<A>()
        };
        mostly("target", &gaps, usual)
    }

    pub fn bands<A: Arithmetic>() -> Law {
        let mut random = Random::new(4);
        let mut gaps = Vec::new();
        for _ in 0..CIRCUITS {
            let circuit = invented(&mut random);
            let limit = 1.2 + random.between(0.0, 4.0);
            for grid in grids() {
                let points = circuit.points::<A>(&grid);
                for points in [points.clone(), reversed(&points)] {
                    let answer = told(settings(limit, 0.01, None), &points);
                    sane(&answer, &points)?;
                    ends_are_open(&answer, &points, limit)?;
                    // What the maps leave, told in SWR. (In 16 bits 2.9e-3 of it was found.)
                    let left = if is_short::<A>() { 9e-3 } else { 2e-3 };
                    edges_on_limit(&answer, &circuit, limit, left * limit)
                        .map_err(|error| format!("{circuit:?}\n{error}"))?;
                    let closed = answer
                        .bands
                        .iter()
                        .flat_map(|band| [(band.low, band.low_open), (band.high, band.high_open)]);
                    for (edge, _) in closed.filter(|(_, open)| !open) {
                        gaps.push((circuit.swr(edge.get() as f64) / limit - 1.0).abs());
                    }
                }
            }
        }
        // dSWR/SWR = (SWR + 1)²/(2·SWR)·d|Γ|, at most 3.7 times up to the highest limit here.
        let usual = if is_short::<A>() {
            3.7 * BETWEEN_STEPS
        } else {
            1e-5 + 8.0 * grain::<A>()
        };
        mostly("edges", &gaps, usual)
    }

    pub fn whole_sweep_under_or_over<A: Arithmetic>() -> Law {
        let grid = even(START, STOP, 101);
        let broad = Circuit::series(50.0, 0.5, 140e6).points::<A>(&grid);
        let poor = Circuit::series(20.0, 5.0, 140e6).points::<A>(&grid);
        for (points, limit, whole) in [(broad, 3.0, true), (poor, 2.0, false)] {
            for points in [points.clone(), reversed(&points)] {
                let answer = told(settings(limit, 0.01, None), &points);
                let bands: Vec<_> = answer
                    .bands
                    .iter()
                    .map(|b| (b.low.get(), b.high.get(), b.low_open, b.high_open))
                    .collect();
                let want = if whole {
                    vec![(START, STOP, true, true)]
                } else {
                    vec![]
                };
                require(bands == want, || format!("{bands:?}"))?;
            }
        }
        Ok(())
    }

    pub fn narrow_band<A: Arithmetic>() -> Law {
        // R = Z0, so that the band is f0·(S − 1)/(Q·√S) wide: half a step down to a fifth.
        let resonance = 150e6;
        for share in [0.5, 0.35, 0.2] {
            let q = resonance * 0.5f64.sqrt() / (share * STEP as f64);
            for tenth in 0..10 {
                let circuit = Circuit::series(50.0, q, resonance + tenth as f64 * 0.1 * STEP as f64);
                let points = circuit.points::<A>(&even(START, STOP, 201));
                for points in [points.clone(), reversed(&points)] {
                    let answer = told(settings(2.0, 0.01, None), &points);
                    let what = |error| format!("{share} {tenth}: {error}\n{answer:?}");
                    require(answer.bands.len() == 1, || what("one band wanted".into()))?;
                    // SWR changes by some ten in a step here.
                    edges_on_limit(&answer, &circuit, 2.0, 0.02).map_err(what)?;
                }
            }
        }
        Ok(())
    }

    pub fn room_for_dips<A: Arithmetic>() -> Law {
        // A long line of another impedance: a dip every few megahertz, none as deep as the next.
        for (line, delay) in [(75.0, 40e-9), (90.0, 35e-9), (30.0, 45e-9)] {
            let circuit = Circuit::series(40.0, 0.7, 150e6).behind(line, delay);
            let points = circuit.points::<A>(&even(START, STOP, 401));
            for points in [points.clone(), reversed(&points)] {
                let settings = settings::<A>(1.5, 0.01, None);
                let all = told(settings, &points);
                require(all.dips.len() > 4 && all.left_out == [0; 3], || {
                    format!("{all:?}")
                })?;
                deepest_kept(&all, &Told::of(&analyse::<A, 1>(settings, &points)), 1)?;
                deepest_kept(&all, &Told::of(&analyse::<A, 2>(settings, &points)), 2)?;
                deepest_kept(&all, &Told::of(&analyse::<A, 4>(settings, &points)), 4)?;
            }
        }
        Ok(())
    }

    pub fn prominence<A: Arithmetic>() -> Law {
        let mut random = Random::new(5);
        for _ in 0..50 {
            let circuit = Circuit::series(random.between(30.0, 80.0), random.between(2.0, 5.0), 150e6);
            let points = points::<A>(&even(START, STOP, 401), |hertz| {
                let noise = 3e-3;
                let clean = circuit.gamma(hertz);
                // The same noise at the same frequency, whoever asks.
                let mut random = Random::new(hertz.to_bits());
                clean + c(random.between(-noise, noise), random.between(-noise, noise))
            });
            let dips = |prominence| told(settings(2.0, prominence, None), &points).dips.len();
            require(dips(0.02) == 1, || format!("{} dips with 0.02", dips(0.02)))?;
            require(dips(0.0) > 1, || format!("{} dips with 0", dips(0.0)))?;
            let order = [0.0, 1e-3, 5e-3, 0.02, 0.2].map(dips);
            require(order.is_sorted_by(|few, more| few >= more), || {
                format!("{order:?}")
            })?;
        }
        Ok(())
    }

    pub fn best<A: Arithmetic>() -> Law {
        let mut random = Random::new(6);
        for _ in 0..CIRCUITS {
            let circuit = invented(&mut random);
            for grid in grids() {
                let points = circuit.points::<A>(&grid);
                for points in [points.clone(), reversed(&points)] {
                    let answer = told(settings(2.0, 0.01, None), &points);
                    // The maps are not quite the curve; one through many points less so.
                    let map = match answer.best.map(|best| best.method) {
                        Some(Method::NearestPoints) => 1e-7,
                        Some(Method::ManyPoints) => 1e-3,
                        _ => 0.0,
                    };
                    best_is_lowest(&answer, &points, map + 2.0 * grain::<A>())
                        .map_err(|error| format!("{circuit:?} {error}"))?;
                }
            }
        }
        Ok(())
    }

    pub fn few_points<A: Arithmetic>() -> Law {
        let settings = settings::<A>(2.0, 0.01, Some(START));
        let nothing = told(settings, &[]);
        require(
            nothing.best.is_none() && nothing.points == 0 && nothing.target == ToldTarget::NotCovered(START),
            || format!("{nothing:?}"),
        )?;
        sane::<A>(&nothing, &Vec::new())?;
        let gamma = |re| Reflection::<A>::try_from_f64(re, 0.125).unwrap();
        let (one, other) = ((Hertz::new(START), gamma(0.25)), (Hertz::new(STOP), gamma(0.5)));
        let single = vec![one];
        let answer = told(settings, &single);
        sane(&answer, &single)?;
        target_reads(&answer, c(0.25, 0.125), 0.0, 2.0, 0.0)?;
        let best = answer.best.ok_or("no best")?;
        require(
            best.at_edge && best.hertz == START && answer.bands.len() == 1,
            || format!("{answer:?}"),
        )?;
        require(answer.bands[0].low_open && answer.bands[0].high_open, || {
            format!("{answer:?}")
        })?;
        for pair in [vec![one, other], vec![other, one]] {
            let answer = told(settings, &pair);
            sane(&answer, &pair)?;
            ends_are_open(&answer, &pair, 2.0)?;
            let best = answer.best.ok_or("no best")?;
            require(
                best.at_edge && best.hertz == START && best.gamma == c(0.25, 0.125),
                || format!("{answer:?}"),
            )?;
        }
        Ok(())
    }

    pub fn flat<A: Arithmetic>() -> Law {
        for (re, im) in [
            (0.25, 0.125),
            (0.0, 0.0),
            (-1.0, 0.0),
            (1.0, 0.0),
            (0.0, 1.0),
            (0.6, -0.8),
            (1.5, 0.25),
        ] {
            for grid in [
                vec![START, START + 2],
                even(START, STOP, 3),
                even(START, STOP, 101),
            ] {
                let points = points::<A>(&grid, |_| c(re, im));
                for points in [points.clone(), reversed(&points)] {
                    let answer = told(settings(2.0, 0.01, None), &points);
                    sane(&answer, &points)?;
                    let (start, stop) = (grid[0], grid[grid.len() - 1]);
                    is_flat(&answer, start + (stop - start) / 2)?;
                    best_is_lowest(&answer, &points, 0.0)?;
                    ends_are_open(&answer, &points, 2.0)?;
                    let inside = re.hypot(im) < 1.0 / 3.0;
                    require(answer.bands.len() == usize::from(inside), || {
                        format!("{answer:?}")
                    })?;
                }
            }
        }
        Ok(())
    }

    pub fn dip_between_equal_points<A: Arithmetic>() -> Law {
        // Γ = 0.25 + jt/8 on half steps: the two lowest points are equally far from the match, but not equal.
        let points = points::<A>(&even(START, STOP, 21), |hertz| {
            let t = (hertz - START as f64) / 5e6 - 9.5;
            c(0.25, t / 8.0)
        });
        for points in [points.clone(), reversed(&points)] {
            let answer = told(settings(2.0, 0.01, None), &points);
            let best = answer.best.ok_or("no best")?;
            within("dip", best.hertz as f64, START as f64 + 9.5 * 5e6, 1.0)?;
            within("depth", best.gamma.size(), 0.25, 2.0 * grain::<A>())?;
            require(answer.dips.len() == 1 && best.method != Method::Flat, || {
                format!("{answer:?}")
            })?;
        }
        Ok(())
    }

    pub fn noise<A: Arithmetic>() -> Law {
        // Noise that crosses the limit, the axis and the bottom of the dip again and again.
        for seed in 0..100 {
            let circuit = Circuit::series(40.0, 3.0, 150e6);
            let points = points::<A>(&even(START, STOP, 801), |hertz| {
                let mut random = Random::new(hertz.to_bits() ^ seed);
                circuit.gamma(hertz) + c(random.between(-3e-3, 3e-3), random.between(-3e-3, 3e-3))
            });
            for points in [points.clone(), reversed(&points)] {
                let answer = told(settings(2.0, 0.05, Some(START + STEP / 3)), &points);
                sane(&answer, &points)?;
                ends_are_open(&answer, &points, 2.0)?;
                let shape = (answer.dips.len(), answer.crossings.len());
                require(shape == (1, 1), || format!("{seed}: {answer:?}"))?;
            }
        }
        Ok(())
    }

    pub fn crossing_on_a_point<A: Arithmetic>() -> Law {
        // One, two or three points exactly on the axis, between one side and the other.
        for width in 1..=3usize {
            for (re, falls) in [(0.25, false), (0.25, true), (-0.5, false), (-0.5, true)] {
                let grid = even(START, STOP, 21);
                let points = points::<A>(&grid, |hertz| {
                    let place = ((hertz - START as f64) / (5.0 * STEP as f64 * 2.0)).round() as usize * 2;
                    let beyond = |i: usize| i as f64 * 0.0625;
                    let im = if place < 10 {
                        -beyond(10 - place)
                    } else if place < 10 + 2 * width {
                        0.0
                    } else {
                        beyond(place + 2 - 10 - 2 * width)
                    };
                    c(re, if falls { -im } else { im })
                });
                for points in [points.clone(), reversed(&points)] {
                    let answer = told(settings(2.0, 0.01, None), &points);
                    let on_axis: Vec<f64> = points
                        .iter()
                        .filter(|(_, gamma)| gamma.imaginary() == Component::<A>::ZERO)
                        .map(|(hertz, _)| hertz.get() as f64)
                        .collect();
                    let ohms = 50.0 * (1.0 + re) / (1.0 - re);
                    let span = on_axis
                        .iter()
                        .fold(0.0, |s: f64, f| s.max((f - on_axis[0]).abs()));
                    let readout = if is_short::<A>() {
                        allowance::<A>(Readout::Resistance, 1.0)
                    } else {
                        1e-5
                    };
                    crossings_are(&answer, &[(on_axis[0], ohms)], span, readout)
                        .map_err(|error| format!("{width} {re} {falls}: {error}\n{on_axis:?}"))?;
                    require(answer.crossings[0].rising != falls, || format!("{answer:?}"))?;
                }
            }
        }
        Ok(())
    }

    pub fn no_crossing<A: Arithmetic>() -> Law {
        let grid = even(START, STOP, 41);
        let slope = |hertz: f64| (hertz - 1.5e8) / 1e8;
        // Purely resistive; touching the axis without passing it; ending on it.
        let resistive = points::<A>(&grid, |hertz| c(slope(hertz), 0.0));
        let touching = points::<A>(&grid, |hertz| c(0.25, slope(hertz).abs()));
        let ending = points::<A>(&grid[..21], |hertz| c(0.25, slope(hertz)));
        for points in [resistive, touching, ending] {
            for points in [points.clone(), reversed(&points)] {
                crossings_are(&told(settings(2.0, 0.01, None), &points), &[], 0.0, 0.0)?;
            }
        }
        Ok(())
    }

    pub fn lossless_line<A: Arithmetic>() -> Law {
        for ohms in [10.0, 35.0, 80.0, 300.0] {
            for delay in [3e-9, 11e-9, 27e-9] {
                // A resistor behind a line of 50 Ω: Γ turns round at one magnitude.
                let magnitude = (ohms - 50.0) / (ohms + 50.0);
                let gamma =
                    |hertz: f64| c(magnitude, 0.0) * C::turn(-2.0 * core::f64::consts::TAU * hertz * delay);
                let points = points::<A>(&even(START, STOP, 401), gamma);
                // On the axis after every quarter wave: f = k/(4·delay).
                let (first, last) = (4.0 * delay * START as f64, 4.0 * delay * STOP as f64);
                let want: Vec<_> = (first.ceil() as u32..=last.floor() as u32)
                    .map(|k| {
                        let here = if k % 2 == 0 { ohms } else { 2500.0 / ohms };
                        (k as f64 / (4.0 * delay), here)
                    })
                    .collect();
                // In 16 bits: Im Γ = |Γ|·4π·delay·f near the axis, and R goes by 2/(1 − Γ²).
                let (hertz, relative) = if is_short::<A>() {
                    let slope = magnitude.abs() * 2.0 * core::f64::consts::TAU * delay;
                    (
                        BETWEEN_STEPS / slope,
                        2.0 * BETWEEN_STEPS / (1.0 - magnitude * magnitude)
                            + allowance::<A>(Readout::Resistance, 1.0),
                    )
                } else {
                    (0.0, 0.0)
                };
                for points in [points.clone(), reversed(&points)] {
                    let answer = told(settings(2.0, 0.01, None), &points);
                    sane(&answer, &points)?;
                    slopes_alternate(&answer)?;
                    crossings_are(&answer, &want, 1e-3 * STEP as f64 + hertz, 1e-4 + relative)
                        .map_err(|error| format!("{ohms} {delay}: {error}"))?;
                    // From a high resistance X falls, from a low one it rises.
                    for (crossing, (_, here)) in answer.crossings.iter().zip(&want) {
                        require(crossing.rising == (*here < 50.0), || format!("{crossing:?}"))?;
                    }
                }
            }
        }
        Ok(())
    }

    pub fn anti_resonance<A: Arithmetic>() -> Law {
        let mut random = Random::new(7);
        for ohms in [2000.0, 5000.0, 9000.0] {
            for q in [15.0, 40.0, 120.0] {
                let place = random.between(120e6, 180e6);
                let circuit = Circuit::parallel(ohms, q, place);
                for grid in grids() {
                    let points = circuit.points::<A>(&grid);
                    for points in [points.clone(), reversed(&points)] {
                        let answer = told(settings(2.0, 0.01, None), &points);
                        // In 16 bits: near the axis B goes by 2·Q/(R·f0), and Im Γ by 2·Z0 of it.
                        let slope = 200.0 * q / (ohms * place);
                        let hertz = if is_short::<A>() {
                            BETWEEN_STEPS / slope
                        } else {
                            0.0
                        };
                        crossings_are(&answer, &[(place, ohms)], 0.01 * STEP as f64 + hertz, 0.01)
                            .map_err(|error| format!("{ohms} {q} {place}: {error}"))?;
                        require(!answer.crossings[0].rising, || format!("{answer:?}"))?;
                    }
                }
            }
        }
        Ok(())
    }
}

in_every_family!(
    reversal,
    asking,
    refusal,
    settings_are_checked,
    target,
    bands,
    whole_sweep_under_or_over,
    narrow_band,
    room_for_dips,
    prominence,
    best,
    few_points,
    flat,
    dip_between_equal_points,
    noise,
    crossing_on_a_point,
    no_crossing,
    lossless_line,
    anti_resonance,
);

/// Only a floating word can hold these.
#[test]
fn settings_that_are_no_numbers() {
    fn refuses<A: Arithmetic>(numbers: [(Swr<A>, Component<A>); 5]) {
        let limit = QuantityError::NotFinite("SWR limit");
        let prominence = QuantityError::NotFinite("prominence");
        for ((swr_limit, held), want) in numbers
            .into_iter()
            .zip([limit, limit, limit, prominence, prominence])
        {
            let settings = SweepSettings::<A> {
                swr_limit,
                prominence: held,
                ..Default::default()
            };
            assert_eq!(SweepAnalyser::<A, 4>::new(settings).err(), Some(want));
        }
    }
    const NO: f64 = f64::NAN;
    const FAR: f64 = f64::INFINITY;
    refuses::<f64>([
        (NO.into(), 0.01.into()),
        (FAR.into(), 0.01.into()),
        ((-FAR).into(), 0.01.into()),
        (2.0.into(), NO.into()),
        (2.0.into(), FAR.into()),
    ]);
    const NO32: f32 = f32::NAN;
    const FAR32: f32 = f32::INFINITY;
    refuses::<f32>([
        (NO32.into(), 0.01.into()),
        (FAR32.into(), 0.01.into()),
        ((-FAR32).into(), 0.01.into()),
        (2.0.into(), NO32.into()),
        (2.0.into(), FAR32.into()),
    ]);
}

/// In fixed point and in doubles the same points say the same.
fn families_agree<A: Arithmetic>(fixed: &Points<A>, double: &Points<f64>, target: u64) -> Law {
    // The words of Γ and the 32 bits of the working number, through the worst fit: measured 32 Hz for a dip, 1 Hz for
    // the rest. Of two fits that are equally good each family may take its own: 2e-7 of |Γ|.
    let allowed = Closeness {
        dip: 1e-4 * STEP as f64,
        edge: 2.0,
        crossing: 2.0,
        depth: 1e-6,
        // Half of the last place of a word of ohms.
        axis: 5e-6,
        target: 6e-9,
    };
    // The working number is that of 32 bits, so what is added is the rounding of the words of Γ and of R; and a family that
    // knows of its steps may judge them otherwise than `f64`, which takes them for noise, and choose another curve. So
    // much is `reversal`'s too.
    let allowed = if is_short::<A>() {
        Closeness {
            dip: 0.12 * STEP as f64,
            edge: 3.2e-2 * STEP as f64,
            crossing: 0.12 * STEP as f64,
            depth: 2.0 * grain::<A>(),
            axis: STIFF,
            target: STIFF,
        }
    } else {
        allowed
    };
    close(
        &told(settings(2.0, 0.01, Some(target)), fixed),
        &told(settings(2.0, 0.01, Some(target)), double),
        &allowed,
    )
}

fn doubled<A: Arithmetic>(points: &Points<A>) -> Points<f64> {
    points
        .iter()
        .map(|(hertz, gamma)| (*hertz, gamma.convert()))
        .collect()
}

#[test]
fn fixed_point_agrees_with_double() {
    let mut random = Random::new(8);
    for _ in 0..CIRCUITS {
        let circuit = invented(&mut random);
        let target = START + random.bits() % (STOP - START);
        for grid in grids() {
            let points = circuit.points::<Fixed32>(&grid);
            for points in [points.clone(), reversed(&points)] {
                families_agree(&points, &doubled(&points), target)
                    .unwrap_or_else(|error| panic!("{circuit:?}\n{error}"));
            }
            let points = circuit.points::<Fixed16>(&grid);
            for points in [points.clone(), reversed(&points)] {
                families_agree(&points, &doubled(&points), target)
                    .unwrap_or_else(|error| panic!("{circuit:?}\n{error}"));
            }
        }
    }
}

// --- controls: each law can fail ---------------------------------------------------------------------------------

mod controls {
    use super::*;

    fn circuit() -> Circuit {
        Circuit::series(40.0, 10.0, 151.3e6)
    }

    fn sweep() -> Points<f64> {
        circuit().points(&even(START, STOP, 201))
    }

    fn report() -> Told {
        told(settings(2.0, 0.01, Some(150_100_000)), &sweep())
    }

    /// Passes as it is, and not after `spoil`.
    fn notices(law: impl Fn(&Told) -> Law, spoil: impl Fn(&mut Told)) {
        let mut told = report();
        law(&told).unwrap();
        spoil(&mut told);
        assert!(law(&told).is_err(), "{told:?}");
    }

    #[test]
    fn of_sameness() {
        let law = |told: &Told| same(told, &report());
        notices(law, |told| told.points += 1);
        notices(law, |told| told.crossings[0].q = f64::NAN);
        notices(law, |told| told.target = ToldTarget::NotAsked);
    }

    #[test]
    fn of_closeness() {
        let allowed = Closeness {
            dip: 1.0,
            edge: 1.0,
            crossing: 1.0,
            depth: 1e-9,
            axis: 1e-9,
            target: 1e-9,
        };
        let law = |told: &Told| close(told, &report(), &allowed);
        notices(law, |told| told.dips[0].hertz += 2);
        notices(law, |told| told.dips[0].gamma.re = f64::NAN);
        notices(law, |told| told.best.as_mut().unwrap().at_edge = true);
        notices(law, |told| {
            told.bands[0].low = Hertz::new(told.bands[0].low.get() - 2)
        });
        notices(law, |told| told.bands.clear());
        notices(law, |told| told.crossings[0].hertz += 2);
        notices(law, |told| told.crossings[0].resistance += 0.1);
        notices(law, |told| told.crossings[0].rising ^= true);
        notices(law, |told| told.target = ToldTarget::NotCovered(150_100_000));
        let other = told(settings(2.0, 0.01, Some(150_200_000)), &sweep());
        notices(law, |told| told.target = other.target);
    }

    #[test]
    fn of_sanity() {
        let law = |told: &Told| sane(told, &sweep());
        notices(law, |told| told.stop += 1);
        notices(law, |told| told.best = None);
        notices(law, |told| told.dips[0].gamma.im = f64::NAN);
        notices(law, |told| told.dips[0].swr = f64::NAN);
        notices(law, |told| told.dips[0].hertz = START - 1);
        notices(law, |told| told.dips[0].gamma = c(0.0, 0.0));
        let higher = |dip: ToldDip| ToldDip {
            hertz: dip.hertz + 1,
            ..dip
        };
        notices(law, |told| told.dips.insert(0, higher(told.dips[0])));
        notices(law, |told| told.bands.push(told.bands[0]));
        notices(law, |told| told.bands[0].high = Hertz::new(START));
        notices(law, |told| told.bands[0].high = Hertz::new(STOP + 1));
        notices(law, |told| told.crossings[0].q = f64::NAN);
        notices(law, |told| told.crossings[0].resistance = f64::NAN);
        notices(law, |told| told.crossings[0].hertz = STOP + 1);
        let outside = ToldTarget::Reading {
            hertz: STOP + 1,
            gamma: c(0.0, 0.0),
            pass: true,
            method: Method::Line,
        };
        notices(law, |told| told.target = outside);
    }

    #[test]
    fn of_the_best() {
        let law = |told: &Told| best_is_lowest(told, &sweep(), 1e-9);
        notices(law, |told| told.best.as_mut().unwrap().gamma.im += 0.1);
    }

    #[test]
    fn of_open_ends() {
        let law = |told: &Told| ends_are_open(told, &sweep(), 2.0);
        notices(law, |told| told.bands[0].low_open = true);
        notices(law, |told| {
            (told.bands[0].low, told.bands[0].low_open) = (Hertz::new(START), true)
        });
        // A sweep that begins inside.
        let grid = even(150_000_000, STOP, 101);
        let points = circuit().points::<f64>(&grid);
        let mut answer = told(settings(2.0, 0.01, None), &points);
        ends_are_open(&answer, &points, 2.0).unwrap();
        answer.bands[0].low_open = false;
        assert!(ends_are_open(&answer, &points, 2.0).is_err());
    }

    #[test]
    fn of_band_edges() {
        let law = |told: &Told| edges_on_limit(told, &circuit(), 2.0, 1e-3);
        notices(law, |told| {
            told.bands[0].high = Hertz::new(told.bands[0].high.get() + STEP / 10)
        });
        notices(law, |told| {
            told.bands[0].low = Hertz::new(told.bands[0].low.get() + STEP / 10)
        });
        // Two true edges with the wrong side between them.
        assert!(edges_on_limit(&report(), &Circuit::series(10.0, 10.0, 151.3e6), 2.0, 1e-3).is_err());
    }

    #[test]
    fn of_crossings() {
        let want = [(151.3e6, 40.0)];
        let law = |told: &Told| crossings_are(told, &want, 10.0, 1e-6);
        notices(law, |told| told.crossings.clear());
        notices(law, |told| told.crossings[0].hertz += 20);
        notices(law, |told| told.crossings[0].resistance += 0.1);
        notices(slopes_alternate, |told| told.crossings.push(told.crossings[0]));
    }

    #[test]
    fn of_the_target() {
        let truth = circuit().gamma(150.1e6);
        notices(
            |told| target_reads(told, truth, 1e-6, 2.0, 0.0),
            |told| told.target = ToldTarget::NotAsked,
        );
        assert!(target_reads(&report(), truth + c(1e-5, 0.0), 1e-6, 2.0, 0.0).is_err());
        // It was judged by SWR 2.
        assert!(target_reads(&report(), truth, 1e-6, 1.1, 1e-4).is_err());
    }

    #[test]
    fn of_room() {
        let circuit = Circuit::series(40.0, 0.7, 150e6).behind(90.0, 35e-9);
        let points = circuit.points::<f64>(&even(START, STOP, 401));
        let settings = settings(1.5, 0.01, None);
        let all = told(settings, &points);
        let few = Told::of(&analyse::<f64, 2>(settings, &points));
        deepest_kept(&all, &few, 2).unwrap();
        let mut wrong = few.clone();
        wrong.left_out[0] += 1;
        assert!(deepest_kept(&all, &wrong, 2).is_err());
        let mut wrong = few.clone();
        wrong.left_out[2] = 0;
        assert!(deepest_kept(&all, &wrong, 2).is_err());
        let mut wrong = few;
        wrong.dips[0] = all.dips[0];
        assert!(deepest_kept(&all, &wrong, 2).is_err());
    }

    #[test]
    fn of_asking() {
        let mut other = sweep();
        other[100].1 = Reflection::MATCHED;
        let settings = settings(2.0, 0.01, None);
        assert!(asking_changes_nothing(settings, &sweep(), &other).is_err());
    }

    #[test]
    fn of_refusal() {
        // A point that may follow, and the wrong error.
        let points = sweep();
        let (last, next) = (points[4].0, points[5].0);
        assert!(refused(&points, 5, next, SweepError::Repeated(next)).is_err());
        let wrong = SweepError::OutOfOrder { last, refused: last };
        assert!(refused(&points, 5, last, wrong).is_err());
    }

    #[test]
    fn of_flatness() {
        assert!(is_flat(&report(), (START + STOP) / 2).is_err());
    }

    #[test]
    fn of_families() {
        let fixed = circuit().points::<Fixed32>(&even(START, STOP, 201));
        families_agree(&fixed, &doubled(&fixed), 150_100_000).unwrap();
        let other = Circuit::series(40.0, 10.0, 151.31e6).points(&even(START, STOP, 201));
        assert!(families_agree(&fixed, &other, 150_100_000).is_err());
        let short = circuit().points::<Fixed16>(&even(START, STOP, 201));
        families_agree(&short, &doubled(&short), 150_100_000).unwrap();
        let other = Circuit::series(40.0, 10.0, 151.33e6).points(&even(START, STOP, 201));
        assert!(families_agree(&short, &other, 150_100_000).is_err());
    }

    #[test]
    fn of_most() {
        let mut gaps = vec![1.0; 20];
        mostly("ones", &gaps, 1.0).unwrap();
        gaps.extend([1.1, 1.1]);
        assert!(mostly("too many", &gaps, 1.0).is_err());
        assert!(mostly("none", &[], 1.0).is_err());
        assert!(mostly("no numbers", &[f64::NAN], 1.0).is_err());
    }
}

// --- extremes ----------------------------------------------------------------------------------------------------

/// Frequencies in one order: single hertz from 0, up to the last one, all over the range, or as an ordinary sweep.
fn frequencies() -> impl Strategy<Value = Vec<u64>> {
    let anywhere = prop_oneof![
        any::<u64>(),
        (any::<u64>(), 0u32..64).prop_map(|(bits, down)| bits >> down),
        (any::<u64>(), 0u32..64).prop_map(|(bits, down)| u64::MAX - (bits >> down)),
        0u64..20,
        Just(u64::MAX),
    ];
    let scattered = prop::collection::vec(anywhere, 0..40).prop_map(|mut list| {
        list.sort_unstable();
        list.dedup();
        list
    });
    let near_zero = (0u64..40).prop_map(|count| (0..count).collect::<Vec<_>>());
    let near_the_end = (0u64..40).prop_map(|count| (0..count).map(|i| u64::MAX - (count - 1 - i)).collect());
    let ordinary = (0u64..40).prop_map(|count| (0..count).map(|i| START + i * STEP).collect());
    let rising = prop_oneof![scattered, near_zero, near_the_end, ordinary];
    (rising, any::<bool>()).prop_map(|(list, falling)| if falling { reversed(&list) } else { list })
}

/// Bits of one component: anything, the ends of the word, the rim and its neighbours, next to nothing.
fn bits() -> impl Strategy<Value = i32> {
    const RIM: i32 = 1 << 30;
    prop_oneof![
        any::<i32>(),
        (any::<i32>(), 0u32..31).prop_map(|(bits, down)| bits >> down),
        prop::sample::select(vec![
            i32::MIN,
            i32::MIN + 1,
            i32::MAX,
            RIM,
            RIM + 1,
            RIM - 1,
            -RIM,
            -RIM - 1,
            1 - RIM,
            0,
            1,
            -1,
        ]),
        // The same number again and again.
        Just(RIM / 3),
    ]
}

/// What only a floating component can be.
fn wide() -> impl Strategy<Value = f64> {
    prop_oneof![
        bits().prop_map(|bits| bits as f64 / (1 << 30) as f64),
        any::<u64>().prop_map(|bits| {
            let value = f64::from_bits(bits);
            if value.abs() <= 1_048_576.0 { value } else { 0.5 }
        }),
        (-40.0..6.0f64, any::<bool>()).prop_map(|(lg, minus)| {
            let size = 10f64.powf(lg);
            if minus { -size } else { size }
        }),
        prop::sample::select(vec![
            1_048_576.0,
            -1_048_576.0,
            0.0,
            -0.0,
            1.0 + f64::EPSILON,
            1.0 - f64::EPSILON,
            f64::MIN_POSITIVE,
            f32::MIN_POSITIVE as f64,
            1e-320,
            1e-42,
        ]),
    ]
}

fn extreme_settings() -> impl Strategy<Value = (f64, f64, Option<u64>)> {
    (
        prop::sample::select(vec![1.0, 1.0 + 1.0 / 65536.0, 1.5, 2.0, 60_000.0]),
        prop::sample::select(vec![0.0, 1e-9, 0.01, 1.0, 1.999]),
        prop::option::of(prop_oneof![
            any::<u64>(),
            0u64..40,
            START..STOP,
            Just(u64::MAX),
            Just(u64::MAX - 1)
        ]),
    )
}

fn survives<A: Arithmetic>(
    grid: &[u64],
    gammas: &[(f64, f64)],
    (limit, prominence, target): (f64, f64, Option<u64>),
    reference: f64,
) -> Law {
    let points: Points<A> = grid
        .iter()
        .zip(gammas)
        .filter_map(|(hertz, (re, im))| Some((Hertz::new(*hertz), Reflection::try_from_f64(*re, *im).ok()?)))
        .collect();
    let settings = SweepSettings {
        reference: ohmwright::quantity::Reference::try_from_f64(reference).unwrap(),
        ..settings::<A>(limit, prominence, target)
    };
    let answer = told(settings, &points);
    sane(&answer, &points)?;
    // With hardly any room too.
    Told::of(&analyse::<A, 1>(settings, &points));
    Told::of(&analyse::<A, 0>(settings, &points));
    Ok(())
}

fn references() -> impl Strategy<Value = f64> {
    prop::sample::select(vec![50.0, 1.0 / 4096.0, 500_000.0])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: if deep() { 1000 } else { 250 }, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bits_in_small_fixed_point(
        grid in frequencies(),
        bits in prop::collection::vec((bits(), bits()), 40),
        settings in extreme_settings(),
        reference in references(),
    ) {
        // The upper half of the bits: all of the word, its ends, and next to nothing.
        let short = |bits: i32| (bits >> 16) as f64 / 16_384.0;
        let gammas: Vec<_> = bits.iter().map(|(re, im)| (short(*re), short(*im))).collect();
        survives::<Fixed16>(&grid, &gammas, settings, reference).map_err(TestCaseError::fail)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: if deep() { 3000 } else { 500 }, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bits_in_fixed_point(
        grid in frequencies(),
        bits in prop::collection::vec((bits(), bits()), 40),
        settings in extreme_settings(),
        reference in references(),
    ) {
        let unit = (1 << 30) as f64;
        let gammas: Vec<_> = bits.iter().map(|(re, im)| (*re as f64 / unit, *im as f64 / unit)).collect();
        survives::<Fixed32>(&grid, &gammas, settings, reference).map_err(TestCaseError::fail)?;
    }

    #[test]
    fn any_number_in_single_precision(
        grid in frequencies(),
        gammas in prop::collection::vec((wide(), wide()), 40),
        settings in extreme_settings(),
        reference in references(),
    ) {
        survives::<f32>(&grid, &gammas, settings, reference).map_err(TestCaseError::fail)?;
    }

    #[test]
    fn any_number_in_double_precision(
        grid in frequencies(),
        gammas in prop::collection::vec((wide(), wide()), 40),
        settings in extreme_settings(),
        reference in references(),
    ) {
        survives::<f64>(&grid, &gammas, settings, reference).map_err(TestCaseError::fail)?;
    }
}
