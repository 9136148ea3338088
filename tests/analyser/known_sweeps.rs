//! Sweeps whose answers are known from elsewhere: every circuit of `data/circuits.csv`, worked out with mpmath at
//! fifty digits, and every row of `data/sweep_published.csv`, which names its source.
//!
//! The circuits are invented.

use crate::circuits::{
    Analysis, BETWEEN_STEPS, Circuit, Told, ToldTarget, analyse, even, geometric, quantile, reversed, swr,
    thinned, told,
};
use crate::common::published::number_behind;
use crate::common::{Row, Table, allowance};
use ohmwright::arithmetic::accuracy::{Family, Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::measure::{Method, SweepSettings};
use ohmwright::quantity::{
    Capacitance, Hertz, Impedance, Inductance, Ohms, QuantityError, Reference, Reflection, Swr,
};

// --- the circuits ------------------------------------------------------------------------------------------------

/// One row of the table.
struct Known {
    name: String,
    circuit: Circuit,
    grid: Vec<u64>,
    step: f64,
    /// `None` where the lowest |Γ| is at the first or the last sample.
    lowest_hz: Option<f64>,
    lowest_swr: f64,
    /// Edges, `None` for one that the sweep does not reach.
    band: Option<[Option<f64>; 2]>,
    /// Frequency and |Γ|.
    minima: Vec<(f64, f64)>,
    /// Frequency, resistance, and whether the reactance rises.
    crossings: Vec<(f64, f64, bool)>,
    target: (u64, crate::circuits::C),
}

fn list<T>(row: Row, column: &str, parse: impl Fn(&str) -> T) -> Vec<T> {
    match row.text(column) {
        "none" => Vec::new(),
        text => text.split(';').map(parse).collect(),
    }
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("{text}"))
}

impl Known {
    fn read(row: Row) -> Self {
        let is = |column| row.number(column);
        let (start, stop, points) = (is("start_hz"), is("stop_hz"), is("points"));
        let edge = |column| (row.text(column) != "open").then(|| is(column));
        let resistances = list(row, "crossing_resistance_ohm", number);
        let rising = list(row, "crossing_slope", |sign| sign == "+");
        let crossings = list(row, "crossing_hz", number);
        Self {
            name: row.text("name").to_string(),
            circuit: Circuit {
                series: row.text("resonator") == "series",
                resistance: is("resistance_ohm"),
                inductance: is("inductance_h"),
                capacitance: is("capacitance_f"),
                stray: is("stray_f"),
                line: is("line_ohm"),
                delay: is("line_delay_s"),
                reference: is("reference_ohm"),
            },
            grid: even(start as u64, stop as u64, points as usize),
            step: (stop - start) / (points - 1.0),
            lowest_hz: (row.text("lowest_place") == "interior").then(|| is("lowest_hz")),
            lowest_swr: is("lowest_swr"),
            band: (row.text("band_low_hz") != "none").then(|| [edge("band_low_hz"), edge("band_high_hz")]),
            minima: list(row, "minima_hz", number)
                .into_iter()
                .zip(list(row, "minima_magnitude", number))
                .collect(),
            crossings: (crossings.into_iter().zip(resistances).zip(rising))
                .map(|((hertz, ohms), rising)| (hertz, ohms, rising))
                .collect(),
            target: (
                is("target_hz") as u64,
                crate::circuits::c(is("target_re"), is("target_im")),
            ),
        }
    }

    fn settings<A: Arithmetic>(&self) -> SweepSettings<A> {
        SweepSettings {
            reference: Reference::try_from_f64(self.circuit.reference).expect("a reference"),
            target: Some(Hertz::new(self.target.0)),
            ..Default::default()
        }
    }
}

fn known() -> Vec<Known> {
    let table = Table::parse(include_str!("../data/circuits.csv"));
    table.rows().map(Known::read).collect()
}

/// How far the figures of a set of sweeps are from the truth: in hertz, in steps of the even grid, in SWR, relative.
#[derive(Default)]
struct Errors {
    dip_hz: Vec<f64>,
    dip: Vec<f64>,
    /// |Γ| of the circuit at the place that is told, above its lowest there.
    excess: Vec<f64>,
    swr: Vec<f64>,
    edge_hz: Vec<f64>,
    edge: Vec<f64>,
    crossing_hz: Vec<f64>,
    crossing: Vec<f64>,
    resistance: Vec<f64>,
    target: Vec<f64>,
}

impl Errors {
    /// Adds what a report says of a circuit. What cannot be measured (a dip too many, the wrong end of a sweep) is an
    /// error at once.
    fn add<A: Arithmetic>(&mut self, known: &Known, told: &Told, soft: f64) -> Result<(), String> {
        let short = A::FAMILY == Family::Fixed16;
        let complain = |what: &str| Err(format!("{}: {what}: {told:?}", known.name));
        let (start, stop) = (known.grid[0], known.grid[known.grid.len() - 1]);
        if (told.start, told.stop, told.left_out) != (start, stop, [0; 3]) {
            return complain("the sweep");
        }

        // In 16 bits three points at an end of a sweep hardly tell on which side of it the minimum lies.
        let near_end = |hertz: u64| {
            let away = |place: f64| (hertz as f64 - place).abs();
            away(start as f64).min(away(stop as f64)) < known.step
                && known.minima.iter().all(|(place, _)| away(*place) > known.step)
        };
        let inner: Vec<_> = told
            .dips
            .iter()
            .filter(|dip| !(dip.at_edge || short && near_end(dip.hertz)))
            .collect();
        if inner.len() != known.minima.len() {
            return complain("the number of dips");
        }
        for (dip, (hertz, magnitude)) in inner.iter().zip(&known.minima) {
            let off = (dip.hertz as f64 - hertz).abs();
            self.dip_hz.push(off);
            self.dip.push(off / known.step);
            self.swr.push(swr_error::<A>(dip.swr, swr(*magnitude)));
            let there = known.circuit.gamma(dip.hertz as f64).size();
            self.excess.push(there - magnitude);
        }
        // Nothing is extrapolated at an edge: it is a sample, and says so.
        let edges = told.dips.iter().filter(|dip| dip.at_edge);
        for dip in edges.clone() {
            if dip.method != Method::Measured || ![start, stop].contains(&dip.hertz) {
                return complain("a dip at an edge");
            }
        }
        let best = told.best.ok_or("no best")?;
        if best.at_edge != known.lowest_hz.is_none() || best.at_edge && edges.count() == 0 {
            return complain("the place of the best");
        }
        self.swr.push(swr_error::<A>(best.swr, known.lowest_swr));
        if let Some(hertz) = known.lowest_hz
            && (best.hertz as f64 - hertz).abs()
                > if A::FAMILY == Family::Fixed16 {
                    // Two readings of a soft dip may be off by as much as they differ.
                    soft * known.step
                } else {
                    0.5 * known.step
                }
        {
            return complain("another dip is best");
        }

        let holds_best = told
            .bands
            .iter()
            .find(|band| band.low.get() <= best.hertz && best.hertz <= band.high.get());
        match (known.band, holds_best) {
            (None, None) => {}
            (Some([low, high]), Some(band)) => {
                for (want, got, open, end) in [
                    (low, band.low, band.low_open, start),
                    (high, band.high, band.high_open, stop),
                ] {
                    if open != want.is_none() || open && got.get() != end {
                        return complain("an open end");
                    }
                    if let Some(hertz) = want {
                        let off = (got.get() as f64 - hertz).abs();
                        self.edge_hz.push(off);
                        self.edge.push(off / known.step);
                    }
                }
            }
            _ => return complain("the band"),
        }

        if told.crossings.len() != known.crossings.len() {
            return complain("the number of crossings");
        }
        for (crossing, (hertz, ohms, rising)) in told.crossings.iter().zip(&known.crossings) {
            if crossing.rising != *rising {
                return complain("a slope");
            }
            let off = (crossing.hertz as f64 - hertz).abs();
            self.crossing_hz.push(off);
            self.crossing.push(off / known.step);
            self.resistance.push((crossing.resistance / ohms - 1.0).abs());
        }

        let ToldTarget::Reading {
            hertz, gamma, pass, ..
        } = told.target
        else {
            return complain("no target");
        };
        // No target of the table is so near to SWR 2 that the last digits decide.
        if hertz != known.target.0 || pass != (swr(known.target.1.size()) <= 2.0) {
            return complain("the target");
        }
        self.target.push((gamma - known.target.1).size());
        Ok(())
    }
}

/// How far an SWR is off; in 16 bits as a part of what it may be, since half a step of |Γ| is little at the match and
/// much at the rim: d SWR = (SWR + 1)²/2·d|Γ|, and the error of the readout itself.
fn swr_error<A: Arithmetic>(got: f64, want: f64) -> f64 {
    let unit = if A::FAMILY == Family::Fixed16 {
        BETWEEN_STEPS * (want + 1.0).powi(2) / 2.0 + allowance::<A>(Readout::Swr, want)
    } else {
        1.0
    };
    (got - want).abs() / unit
}

/// How far they may be.
#[derive(Clone, Copy)]
pub struct Bounds {
    /// Median, 95 %, worst.
    pub dip: [f64; 3],
    pub dip_hz: [f64; 3],
    /// Worst.
    pub excess: f64,
    /// Worst.
    pub swr: f64,
    /// Median, worst.
    pub edge: [f64; 2],
    pub edge_hz: [f64; 2],
    pub crossing: [f64; 2],
    pub crossing_hz: [f64; 2],
    pub resistance: [f64; 2],
    /// Worst.
    pub target: f64,
    /// How many steps the best of a sweep in 16 bits may be beside the deepest dip.
    pub soft: f64,
}

/// About one and a half times what is reached. Frequencies are told in whole hertz: half a hertz is 1e-4 of the
/// smallest step.
fn bounds(family: Family, grid: Grid) -> Bounds {
    let double = Bounds {
        dip: [8e-6, 8e-5, 4e-4],
        dip_hz: [1.0, 20.0, 45.0],
        // Half a hertz at the steepest dip.
        excess: 4e-8,
        swr: 8e-8,
        edge: [2e-6, 2e-4],
        edge_hz: [0.5, 0.8],
        crossing: [1.5e-6, 4e-4],
        crossing_hz: [0.5, 200.0],
        // The worst is a crossing at 1.9 kΩ with a Q of 124, where Γ hardly tells one ohm from the next.
        resistance: [1e-8, 5e-3],
        target: match grid {
            Grid::Even => 8e-15,
            _ => 1.6e-7,
        },
        soft: 1.0,
    };
    let double = match grid {
        Grid::Thinned => Bounds {
            dip: [1.3e-5, 3e-4, 1.5e-3],
            dip_hz: [1.2, 70.0, 150.0],
            swr: 6e-7,
            edge_hz: [0.5, 1.2],
            crossing: [1.5e-6, 1.1e-3],
            crossing_hz: [0.5, 550.0],
            resistance: [1.2e-8, 1e-2],
            ..double
        },
        _ => double,
    };
    match family {
        // Half of the last place of an SWR, and of a word of ohms.
        Family::Fixed32 => Bounds {
            dip: [2e-5, 3e-4, 1.5e-3],
            dip_hz: [3.0, 120.0, 250.0],
            swr: 9e-6,
            resistance: [7e-7, double.resistance[1]],
            target: double.target.max(1e-9),
            ..double
        },
        // Steps of 6e-5 in Γ: three times what is reached, but for what follows from the step itself. |Γ| at the place
        // that is told is above its lowest by no more than what two readings between the points are off; the softer the
        // dip, the farther that reaches in hertz (0.42 of a step in invented-10).
        Family::Fixed16 => Bounds {
            dip: [2e-3, 0.1, 1.3],
            dip_hz: [620.0, 1.6e4, 6.5e5],
            excess: 2.0 * BETWEEN_STEPS,
            swr: 1.0,
            edge: [1.2e-3, 0.6],
            edge_hz: [320.0, 1.5e4],
            crossing: [1e-3, 3e-2],
            crossing_hz: [120.0, 3800.0],
            resistance: [2e-4, 2e-2],
            target: 2.0 * BETWEEN_STEPS,
            soft: 1.0,
        },
        // |Γ| is flat round a dip: with 24 bits its place is soft.
        Family::F32 | Family::SoftF32 => Bounds {
            dip: [5e-5, 3e-3, 6e-3],
            dip_hz: [9.0, 500.0, 3000.0],
            swr: 2e-5,
            edge: [4e-6, 2e-4],
            edge_hz: [0.7, 12.0],
            resistance: [1.5e-7, double.resistance[1]],
            target: double.target.max(1e-7),
            ..double
        },
        _ => double,
    }
}

fn within(errors: &Errors, bounds: &Bounds) -> Result<(), String> {
    let Errors {
        dip_hz,
        dip,
        excess,
        swr,
        edge_hz,
        edge,
        crossing_hz,
        crossing,
        resistance,
        target,
    } = errors;
    let halves = |[median, worst]: [f64; 2]| [(0.5, median), (1.0, worst)];
    let thirds = |[median, most, worst]: [f64; 3]| [(0.5, median), (0.95, most), (1.0, worst)];
    type Figure<'a> = (&'a str, &'a [f64], &'a [(f64, f64)]);
    let figures: [Figure; 10] = [
        ("dip, Hz", dip_hz, &thirds(bounds.dip_hz)),
        ("dip, steps", dip, &thirds(bounds.dip)),
        ("|Γ| above its lowest", excess, &[(1.0, bounds.excess)]),
        ("SWR", swr, &[(1.0, bounds.swr)]),
        ("edge, Hz", edge_hz, &halves(bounds.edge_hz)),
        ("edge, steps", edge, &halves(bounds.edge)),
        ("crossing, Hz", crossing_hz, &halves(bounds.crossing_hz)),
        ("crossing, steps", crossing, &halves(bounds.crossing)),
        ("resistance", resistance, &halves(bounds.resistance)),
        ("target", target, &[(1.0, bounds.target)]),
    ];
    let mut complaints = String::new();
    for (name, values, limits) in figures {
        for (share, limit) in limits {
            let reached = quantile(values, *share);
            println!("{name} {share}: {reached:.2e} of {limit:.2e}");
            if reached.is_nan() || reached > *limit {
                complaints += &format!("{name}, share {share}: {reached:e}, allowed {limit:e}\n");
            }
        }
    }
    if complaints.is_empty() {
        Ok(())
    } else {
        Err(complaints)
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Grid {
    Even,
    /// Without every third point.
    Thinned,
    /// Steps that grow with the frequency.
    Geometric,
}

/// Sweeps every circuit, `detuned` by a share of its inductance.
fn sweep_all<A: Arithmetic>(grid: Grid, falling: bool, detuned: f64) -> Result<(), String> {
    sweep_by::<A>(analyse, grid, falling, detuned, &bounds(A::FAMILY, grid))
}

/// The same with either analyser.
pub fn sweep_by<A: Arithmetic>(
    analysis: Analysis<A>,
    grid: Grid,
    falling: bool,
    detuned: f64,
    bounds: &Bounds,
) -> Result<(), String> {
    let mut errors = Errors::default();
    let known = known();
    assert_eq!(known.len(), 42);
    for known in known {
        let hertz = match grid {
            Grid::Even => known.grid.clone(),
            Grid::Thinned => thinned(&known.grid),
            Grid::Geometric => geometric(&known.grid),
        };
        let hertz = if falling { reversed(&hertz) } else { hertz };
        let mut circuit = known.circuit;
        circuit.inductance *= 1.0 + detuned;
        let report = analysis(known.settings(), &circuit.points(&hertz));
        errors.add::<A>(&known, &Told::of(&report), bounds.soft)?;
    }
    println!("{:?} {grid:?} falling: {falling}", A::FAMILY);
    within(&errors, bounds)
}

fn sweep_both_ways<A: Arithmetic>(grid: Grid) {
    for falling in [false, true] {
        sweep_all::<A>(grid, falling, 0.0)
            .unwrap_or_else(|error| panic!("{:?} {grid:?} falling: {falling}\n{error}", A::FAMILY));
    }
}

#[test]
fn every_circuit_on_an_even_grid() {
    every_family!(sweep_both_ways(Grid::Even));
}

#[test]
fn every_circuit_without_every_third_point() {
    every_family!(sweep_both_ways(Grid::Thinned));
}

#[test]
fn every_circuit_on_a_geometric_grid() {
    every_family!(sweep_both_ways(Grid::Geometric));
}

/// The bounds as they stand in the promise, whatever is reached: these may only become tighter.
#[test]
fn bounds_keep_the_promise() {
    for grid in [Grid::Even, Grid::Thinned, Grid::Geometric] {
        for (family, times) in [(Family::F64, 1.0), (Family::Fixed32, 2.0)] {
            let bounds = bounds(family, grid);
            assert!(bounds.dip[0] <= times / 1000.0 && bounds.dip[1] <= times / 200.0);
            assert!(bounds.swr <= times * 1e-4);
            for [median, worst] in [bounds.edge, bounds.crossing] {
                assert!(median <= times * 1e-3 && worst <= times / 100.0);
            }
            assert!(bounds.resistance[0] <= times * 1e-3);
        }
    }
}

/// Control: a millionth more inductance moves every resonance by half a millionth, 70 Hz at 140 MHz.
#[test]
fn a_detuned_circuit_is_noticed() {
    sweep_all::<f64>(Grid::Even, false, 1e-6).unwrap_err();
    sweep_all::<f32>(Grid::Even, false, 1e-4).unwrap_err();
    sweep_all::<Fixed32>(Grid::Even, false, 1e-6).unwrap_err();
    sweep_all::<Fixed16>(Grid::Even, false, 1e-4).unwrap_err();
}

/// Q from the slope: ω0·L/R in series, R/(ω0·L) side by side. (Definition; textbook, from memory.)
fn q_of_plain_circuits<A: Arithmetic>(resistance: f64) -> Result<(), String> {
    let mut seen = 0;
    for known in known().iter().filter(|known| known.circuit.is_plain()) {
        let told = told::<A>(known.settings(), &known.circuit.points(&known.grid));
        for (crossing, (hertz, ..)) in told.crossings.iter().zip(&known.crossings) {
            let reactance = core::f64::consts::TAU * hertz * known.circuit.inductance;
            let q = reactance / (resistance * known.circuit.resistance);
            let want = if known.circuit.series { q } else { 1.0 / q };
            if (crossing.q / want - 1.0).abs() > 1e-3 {
                return Err(format!("{}: {}, want {want}", known.name, crossing.q));
            }
            seen += 1;
        }
    }
    // Series and parallel ones.
    assert!(seen >= 14, "{seen}");
    Ok(())
}

#[test]
fn q_is_that_of_the_parts() {
    every_family!(q_of_plain_circuits(1.0).unwrap());
}

/// Control.
#[test]
fn the_q_of_another_resistance_is_noticed() {
    q_of_plain_circuits::<f64>(1.002).unwrap_err();
    q_of_plain_circuits::<f32>(0.998).unwrap_err();
    q_of_plain_circuits::<Fixed32>(1.002).unwrap_err();
    q_of_plain_circuits::<Fixed16>(1.002).unwrap_err();
}

// --- the published rows ------------------------------------------------------------------------------------------

/// What a family makes of a row.
enum Answer {
    /// The figures, and how far they may be off beyond the row's own tolerance: the rounding of the family's words,
    /// and of frequencies to whole hertz.
    Figures(Vec<f64>, f64),
    /// The row is the error of a simpler method on the same samples: this one's must be smaller, but for what the steps
    /// of 16 bits do to three samples.
    Better(f64, f64),
}

fn by_family<A: Arithmetic>(double: f64, single: f64, fixed: f64) -> f64 {
    match A::FAMILY {
        Family::F64 => double,
        Family::F32 | Family::SoftF32 => single,
        _ => fixed,
    }
}

/// How far in hertz a figure of Γ reaches its value beside the true place, because a family of 16 bits is off by
/// [`BETWEEN_STEPS`] there; 0 for the others.
fn hertz_of_steps<A: Arithmetic>(
    circuit: &Circuit,
    place: f64,
    figure: impl Fn(crate::circuits::C) -> f64,
) -> f64 {
    if A::FAMILY != Family::Fixed16 {
        return 0.0;
    }
    let aside = place * 1e-5;
    let [low, high] = [place - aside, place + aside].map(|hertz| figure(circuit.gamma(hertz)));
    BETWEEN_STEPS * 2.0 * aside / (high - low).abs()
}

/// How far a dip near the match, where |Γ| runs down and up again as Γ passes by.
fn dip_of_steps<A: Arithmetic>(circuit: &Circuit, place: f64) -> f64 {
    hertz_of_steps::<A>(circuit, place, |gamma| {
        (gamma - circuit.gamma(place * 0.99)).size()
    })
}

/// A report of the sweep of a circuit, to an SWR limit; and the limit as the family holds it.
fn swept<A: Arithmetic>(circuit: &Circuit, grid: &[u64], limit: f64) -> (Told, f64) {
    let swr_limit = Swr::<A>::try_from_f64(limit).expect("a limit");
    let settings = SweepSettings {
        swr_limit,
        ..Default::default()
    };
    (told::<A>(settings, &circuit.points(grid)), swr_limit.to_f64())
}

/// The width and the edges of the band round the resonance of a series circuit, found on some 200 points.
fn band<A: Arithmetic>(circuit: &Circuit, resonance: f64, width: f64, limit: f64) -> ([f64; 2], f64) {
    let step = (width / 60.0).round();
    let start = (resonance - 100.3 * step).round() as u64;
    let (told, held) = swept::<A>(circuit, &even(start, start + 200 * step as u64, 201), limit);
    let [band] = told.bands.as_slice() else {
        panic!("one band wanted: {told:?}");
    };
    let edges = [band.low.get() as f64, band.high.get() as f64];
    // What the rounded limit moves: the band grows with (S − 1)/√S.
    let grows = |s: f64| (s - 1.0) / s.sqrt();
    let steps = edges.map(|edge| hertz_of_steps::<A>(circuit, edge, crate::circuits::C::size));
    (
        edges,
        width * (grows(held) / grows(limit) - 1.0).abs() + steps[0] + steps[1],
    )
}

/// The circuit of T6-033 and the rows that build on it.
fn rlc() -> Circuit {
    Circuit::series(47.0, 12.0, 14.15e6)
}

const RESONANCE: f64 = 14.15e6;

fn megahertz(numbers: &[f64]) -> Vec<u64> {
    numbers.iter().map(|mhz| (mhz * 1e6).round() as u64).collect()
}

/// The vertex of the parabola through three values at these frequencies.
fn vertex(hertz: &[u64], value: impl Fn(f64) -> f64) -> f64 {
    let [x0, x1, x2] = [0, 1, 2].map(|i| hertz[i] as f64 - hertz[1] as f64);
    let [y0, y1, y2] = [0, 1, 2].map(|i| value(hertz[i] as f64));
    let (d1, d2) = ((y0 - y1) / (x0 - x1), (y2 - y1) / (x2 - x1));
    let curvature = (d2 - d1) / (x2 - x0);
    hertz[1] as f64 - (d1 - curvature * x0) / (2.0 * curvature)
}

/// The analyser's dip on three samples, against a parabola through a function of |Γ| whose error the row tells.
fn better_than_parabola<A: Arithmetic>(row: Row, mhz: &[f64], readout: impl Fn(f64) -> f64) -> Answer {
    let grid = megahertz(mhz);
    let simple = vertex(&grid, |hertz| readout(rlc().gamma(hertz).size())) - RESONANCE;
    assert!(
        (simple - row.number("expected")).abs() < row.number("tolerance"),
        "{} is about another method: {simple}",
        row.text("id")
    );
    let (told, _) = swept::<A>(&rlc(), &grid, 2.0);
    Answer::Better(
        told.best.expect("a best").hertz as f64 - RESONANCE,
        dip_of_steps::<A>(&rlc(), RESONANCE),
    )
}

/// What a family answers to a row with figures. A row nobody handles fails.
fn answer<A: Arithmetic>(row: Row) -> Answer {
    use Answer::{Better, Figures};
    let inputs = row.text("inputs");
    let fine = [14.12, 14.17, 14.22];
    let coarse = [14.0, 14.25, 14.5];
    // An SWR of the row, 5.8284 being short for 3 + 2√2.
    let limit = |text: f64| if text == 5.8284 { 3.0 + 8f64.sqrt() } else { text };
    match row.text("id") {
        // The place where both reactances are equal: as a crossing, and by Thomson's formula backwards.
        "T6-011" | "T6-013" => {
            let (henries, farads) = (number_behind(inputs, "L="), number_behind(inputs, "C="));
            let want = row.number("expected") * 1e6;
            let coil = Inductance::<A>::from_picohenries((henries * 1e12).round() as u32);
            let capacitor = Capacitance::<A>::from_femtofarads((farads * 1e15).round() as u32);
            let place = Hertz::new(want.round() as u64);
            let needed = Inductance::resonant_with(capacitor, place)
                .unwrap()
                .get()
                .to_f64();
            let slack = 1.0 / want + by_family::<A>(1e-15, 4e-7, 5e-7);
            assert!((needed / coil.get().to_f64() - 1.0).abs() < slack, "{needed}");
            let circuit = Circuit {
                resistance: 50.0,
                inductance: henries,
                capacitance: farads,
                ..rlc()
            };
            let start = (want * 0.98).round() as u64;
            let (told, _) = swept::<A>(&circuit, &even(start, start + 400_000, 41), 2.0);
            let steps = hertz_of_steps::<A>(&circuit, want, |gamma| gamma.im);
            Figures(vec![told.crossings[0].hertz as f64 / 1e6], 0.6e-6 + 1e-6 * steps)
        }
        "T6-014" => {
            let capacitor =
                Capacitance::<A>::from_femtofarads((number_behind(inputs, "C=") * 1e3).round() as u32);
            let coil = Inductance::resonant_with(capacitor, Hertz::from_megahertz(144)).unwrap();
            let nanohenries = coil.get().to_f64() * by_family::<A>(1e9, 1e9, 1e-3);
            Figures(
                vec![nanohenries],
                by_family::<A>(0.0, 122.2 * 4e-7, 0.5e-3 + 1e-6),
            )
        }
        "T6-015" | "T6-017" | "T6-018" | "T6-020" => {
            // High enough that a hertz is little.
            let (q, limit) = (
                number_behind(inputs, "Q="),
                limit(number_behind(inputs, "SWR limit ")),
            );
            let resonance = 10e9;
            let width = row.number("expected") * resonance;
            let circuit = Circuit::series(50.0, q, resonance);
            let ([low, high], slack) = band::<A>(&circuit, resonance, width, limit);
            let slack = slack + by_family::<A>(1.0, 220.0, 2.0);
            Figures(vec![(high - low) / resonance], slack / resonance)
        }
        // Edges or width of a band of a series circuit at or near the reference.
        "T6-021" | "T6-022" | "T6-025" | "T6-026" | "T6-027" | "T6-029" => {
            let (resonance, q, limit) = match row.text("id") {
                "T6-027" | "T6-029" => (10e6, number_behind(inputs, "Q="), number_behind(inputs, "SWR=")),
                _ => (
                    number_behind(inputs, "f0="),
                    number_behind(inputs, "Q="),
                    number_behind(inputs, "SWR="),
                ),
            };
            let share = if inputs.contains("R=0.") {
                number_behind(inputs, "R=")
            } else {
                1.0
            };
            let want = list(row, "expected", number);
            let width = if let [low, high] = want[..] {
                high - low
            } else {
                want[0]
            };
            let circuit = Circuit::series(50.0 * share, q, resonance);
            let ([low, high], slack) = band::<A>(&circuit, resonance, width, limit);
            let slack = slack + by_family::<A>(0.5, 0.6, 0.5);
            match want.len() {
                2 => Figures(vec![low, high], slack),
                _ => Figures(vec![high - low], 2.0 * slack),
            }
        }
        // At half power, with the source's resistance as much again, the matched resonator shows half its Q.
        "T6-031" => {
            let (unloaded, resonance) = (number_behind(inputs, "unloaded Q="), 10e6);
            let circuit = Circuit::series(50.0, unloaded, resonance);
            let width = resonance / row.number("expected");
            let ([low, high], slack) = band::<A>(&circuit, resonance, width, 3.0 + 8f64.sqrt());
            let loaded = resonance / (high - low);
            Figures(vec![loaded], loaded * (slack + 1.2) / width)
        }
        "T6-032" => {
            let gamma = Impedance::<A>::try_from_f64(50.0, 100.0)
                .unwrap()
                .reflection(Reference::fifty());
            let slack = bound(Readout::Swr, A::FAMILY).allowance(5.83, 0.5);
            // dSWR = 2·d|Γ|/(1 − |Γ|)².
            let gamma_slack = 25.0 * bound(Readout::Reflection, A::FAMILY).allowance(0.71, 1.0);
            Figures(vec![gamma.swr().to_f64()], slack + gamma_slack)
        }
        "T6-033" => {
            let reactance =
                Ohms::<A>::try_from_f64(number_behind(inputs, "R=") * number_behind(inputs, "Q=")).unwrap();
            let coil = Inductance::<A>::with_reactance(reactance, Hertz::new(RESONANCE as u64)).unwrap();
            let microhenries = coil.get().to_f64() * by_family::<A>(1e6, 1e6, 1e-6);
            Figures(vec![microhenries], by_family::<A>(0.0, 6.4 * 3e-7, 0.6e-6))
        }
        "T6-034" => {
            let reactance =
                Ohms::<A>::try_from_f64(number_behind(inputs, "R=") * number_behind(inputs, "Q=")).unwrap();
            let capacitor =
                Capacitance::<A>::with_reactance(reactance, Hertz::new(RESONANCE as u64)).unwrap();
            let picofarads = capacitor.get().to_f64() * by_family::<A>(1e12, 1e12, 1e-3);
            Figures(vec![picofarads], by_family::<A>(0.0, 20.0 * 4e-7, 0.6e-3))
        }
        // The row's own bias of a wide difference, from the family's reactances; and the analyser, which has none.
        "T6-035" => {
            let grid = megahertz(&[14.1, 14.15, 14.2]);
            let points = rlc().points::<A>(&grid);
            let x = |i: usize| {
                let (_, gamma) = points[i];
                gamma.impedance(Reference::fifty()).reactance().to_f64()
            };
            let estimate = RESONANCE / (2.0 * 47.0) * (x(2) - x(0)) / 100e3;
            let (told, _) = swept::<A>(&rlc(), &grid, 2.0);
            let bias = row.number("expected") - 12.0;
            // In 16 bits: each X is off by dX = 2·Z0·dΓ/|1 − Γ|² and by its own bound.
            let steps = if A::FAMILY == Family::Fixed16 {
                let ohms = 100.0 * 2.2e-5 / 1.03f64.powi(2) + allowance::<A>(Readout::Reactance, 47.4);
                12.0 * 2.0 * ohms / (x(2) - x(0))
            } else {
                0.0
            };
            assert!(
                (told.crossings[0].q - 12.0).abs() < bias + steps,
                "{:?}",
                told.crossings
            );
            Figures(
                vec![estimate],
                by_family::<A>(0.0, 12.0 * 4e-6, 12.0 * 4e-5) + steps,
            )
        }
        "T6-036" | "T6-037" | "T6-040" | "T6-041" => {
            let hertz = (number_behind(inputs, "sampled at ") * 1e6).round() as u64;
            let z = rlc().impedance(hertz as f64);
            let z = Impedance::<A>::try_from_f64(z.re, z.im).unwrap();
            let gamma = z.reflection(Reference::fifty());
            let settings = SweepSettings::<A> {
                target: Some(Hertz::new(hertz)),
                ..Default::default()
            };
            let ToldTarget::Reading {
                gamma: read, method, ..
            } = told(settings, &[(Hertz::new(hertz), gamma)]).target
            else {
                panic!("no reading");
            };
            assert_eq!((read, method), (crate::circuits::plain(gamma), Method::Measured));
            // Ohms were rounded to their word; dΓ = 2·Z0·dZ/|Z + Z0|².
            let slack = bound(Readout::Reflection, A::FAMILY).allowance(0.07, 1.0)
                + by_family::<A>(0.0, 5e-8, 0.0107 * 1.8e-4);
            match row.text("kind") {
                "complex" => Figures(vec![read.re, read.im], slack),
                _ => {
                    // The word of the share in 16 bits is a coarse one.
                    let word = if A::FAMILY == Family::Fixed16 {
                        allowance::<A>(Readout::ReflectedShare, 1.0)
                    } else {
                        0.0
                    };
                    Figures(vec![gamma.reflected_share().to_f64()], 0.14 * slack + word)
                }
            }
        }
        "T6-042" => better_than_parabola::<A>(row, &fine, |m| m * m),
        "T6-044" => better_than_parabola::<A>(row, &fine, swr),
        "T6-045" => better_than_parabola::<A>(row, &fine, |m| 20.0 * m.log10()),
        "T6-051" => better_than_parabola::<A>(row, &coarse, |m| m),
        "T6-052" => better_than_parabola::<A>(row, &coarse, swr),
        "T6-054" => better_than_parabola::<A>(row, &coarse, |m| 1.0 / (1.0 - m * m)),
        "T6-047" => {
            let grid = megahertz(&fine);
            let [low, high] = [grid[0] as f64, grid[1] as f64];
            let [from, to] = [low, high].map(|hertz| rlc().impedance(hertz).im);
            let line = low - from * (high - low) / (to - from) - RESONANCE;
            assert!(
                (line - row.number("expected")).abs() < row.number("tolerance"),
                "{line}"
            );
            let (told, _) = swept::<A>(&rlc(), &grid, 2.0);
            let steps = hertz_of_steps::<A>(&rlc(), RESONANCE, |gamma| gamma.im);
            Better(told.crossings[0].hertz as f64 - RESONANCE, steps)
        }
        "T6-048" => {
            let (told, _) = swept::<A>(&rlc(), &even(13_900_000, 14_400_000, 101), 2.0);
            let best = told.best.expect("a best");
            // Place and depth have one tolerance in the table; the depth is held to its own here.
            let depth = list(row, "expected", number)[1];
            let slack = if A::FAMILY == Family::Fixed16 {
                BETWEEN_STEPS
            } else {
                allowance::<A>(Readout::Magnitude, 1.0) + 1e-9
            };
            assert!((best.gamma.size() - depth).abs() < slack, "{best:?}");
            Figures(
                vec![best.hertz as f64, best.gamma.size()],
                by_family::<A>(0.5, 60.0, 2.0) + dip_of_steps::<A>(&rlc(), RESONANCE),
            )
        }
        "T6-049" => {
            let settings = SweepSettings::<A>::default();
            let points = rlc().points(&even(13_900_000, 14_400_000, 101));
            let report = crate::circuits::analyse::<A, 4>(settings, &points);
            let loss = report.best().expect("a best").reflection.return_loss().to_f64();
            let steps = if A::FAMILY == Family::Fixed16 {
                BETWEEN_STEPS
            } else {
                2e-9
            };
            // d(dB) = 8.7·d|Γ|/|Γ|.
            let depth = 8.7 / 0.0309 * by_family::<A>(1e-11, 1e-7, steps);
            Figures(
                vec![loss],
                depth + bound(Readout::ReturnLoss, A::FAMILY).allowance(30.2, 1.0),
            )
        }
        "T6-055" => {
            let want = list(row, "expected", number);
            let ([low, high], slack) = band::<A>(&rlc(), RESONANCE, want[1] - want[0], 2.0);
            Figures(vec![low, high], slack + by_family::<A>(0.5, 0.6, 0.5))
        }
        "T6-056" => {
            let grid = even(13_500_000, 14_800_000, 27);
            let upper = 14_584_829.848_432_7; // T6-055
            let [low, high] = [14.55e6, 14.6e6];
            let [from, to] = [low, high].map(|hertz| rlc().swr(hertz));
            let line = low + (2.0 - from) * (high - low) / (to - from) - upper;
            assert!(
                (line - row.number("expected")).abs() < row.number("tolerance"),
                "{line}"
            );
            let (told, _) = swept::<A>(&rlc(), &grid, 2.0);
            let steps = hertz_of_steps::<A>(&rlc(), upper, crate::circuits::C::size);
            Better(told.bands[0].high.get() as f64 - upper, steps)
        }
        other => panic!("nobody handles row {other}"),
    }
}

/// What a family answers to a row in words. A row nobody handles fails.
fn words<A: Arithmetic>(row: Row) {
    match row.text("id") {
        // Lowest SWR 2.5: no band, and no NaN for its width.
        "T6-030" => {
            let circuit = Circuit::series(0.4 * 50.0, 10.0, 10e6);
            let (told, _) = swept::<A>(&circuit, &even(8_000_000, 12_000_000, 81), 2.0);
            assert!(told.bands.is_empty());
            let off = swr_error::<A>(told.best.expect("a best").swr, 2.5);
            assert!(off < if A::FAMILY == Family::Fixed16 { 1.0 } else { 1e-5 });
        }
        "T6-057" => {
            for grid in [even(14_300_000, 14_800_000, 11), even(13_500_000, 14_000_000, 11)] {
                for grid in [grid.clone(), reversed(&grid)] {
                    let (told, _) = swept::<A>(&rlc(), &grid, 2.0);
                    let best = told.best.expect("a best");
                    let end = if grid.contains(&14_300_000) {
                        14_300_000
                    } else {
                        14_000_000
                    };
                    assert_eq!(
                        (best.hertz, best.at_edge, best.method),
                        (end, true, Method::Measured)
                    );
                }
            }
        }
        "T6-059" => {
            let grid = megahertz(&[14.1, 14.15, 14.2]);
            let points = crate::circuits::points::<A>(&grid, |_| crate::circuits::c(0.25, -0.5));
            let best = told(SweepSettings::default(), &points).best.expect("a best");
            assert_eq!((best.hertz, best.method), (14_150_000, Method::Flat));
        }
        // It cannot even be made: the sweep goes on without the point.
        "T6-060" => {
            for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                let real = Reflection::<A>::try_from_f64(bad, 0.0).unwrap_err();
                let imaginary = Reflection::<A>::try_from_f64(0.0, bad).unwrap_err();
                assert_eq!(real, QuantityError::NotFinite("real part of Γ"));
                assert_eq!(imaginary, QuantityError::NotFinite("imaginary part of Γ"));
            }
            assert!(Reflection::<f64>::new(f64::NAN, 0.0).is_err());
            assert!(Reflection::<f32>::new(0.0, f32::NAN).is_err());
        }
        other => panic!("nobody handles row {other}"),
    }
}

/// One row in one family; `spoil` stands for a wrong answer in the control test.
fn check<A: Arithmetic>(row: Row, spoil: f64) -> Result<(), String> {
    let id = row.text("id");
    let wants = list(row, "expected", number);
    match answer::<A>(row) {
        Answer::Figures(values, slack) => {
            assert_eq!(values.len(), wants.len(), "{id}");
            let allowed = row.number("tolerance") + slack;
            for (got, want) in values.iter().zip(wants) {
                let got = got + spoil * allowed;
                if got.is_nan() || (got - want).abs() > allowed {
                    return Err(format!(
                        "{id} {:?}: {got}, want {want}, allowed {allowed:e}",
                        A::FAMILY
                    ));
                }
            }
        }
        Answer::Better(error, slack) => {
            let allowed = wants[0].abs() + slack;
            let error = error.abs() + spoil * allowed;
            println!(
                "{id} {:?}: {error:.1} Hz, {:.1} Hz published",
                A::FAMILY,
                wants[0]
            );
            if error.is_nan() || error >= allowed {
                return Err(format!(
                    "{id} {:?}: {error}, the other way {}",
                    A::FAMILY,
                    wants[0]
                ));
            }
        }
    }
    Ok(())
}

fn published() -> Table {
    Table::parse(include_str!("../data/sweep_published.csv"))
}

#[test]
fn every_published_row() {
    let table = published();
    let mut rows = 0;
    let mut complaints = Vec::new();
    for row in table.rows() {
        rows += 1;
        if row.text("kind") == "text" {
            every_family!(words(row));
        } else {
            complaints.extend([
                check::<f64>(row, 0.0),
                check::<f32>(row, 0.0),
                check::<Fixed32>(row, 0.0),
                check::<Fixed16>(row, 0.0),
            ]);
        }
    }
    let complaints: Vec<_> = complaints.into_iter().filter_map(Result::err).collect();
    assert!(complaints.is_empty(), "{complaints:#?}");
    assert_eq!(rows, 37);
}

/// Control: an answer that is off by three times what is allowed is noticed in every row.
#[test]
fn a_wrong_answer_is_noticed() {
    for row in published().rows().filter(|row| row.text("kind") != "text") {
        every_family!(check(row, 3.0).unwrap_err());
    }
}

/// Control: a row that no branch knows is an error.
#[test]
#[should_panic(expected = "nobody handles row T6-999")]
fn an_unknown_row_is_noticed() {
    let table = Table::parse("id,inputs,expected,tolerance,kind\nT6-999,x,1,1,real\n");
    let _ = check::<f64>(table.rows().next().expect("a row"), 0.0);
}
