//! Coils, ring cores, flux and wire: every row of `data/winding_published.csv`, mpmath vectors, and the laws of
//! spreading a coil. All coils are invented.
//!
//! Rows of the same source about transmission lines (T4-078, T4-079, T4-086 to T4-137) and preferred numbers (T4-171 to
//! T4-189) belong to the tests of those.

use crate::common::law::{Law, near};
use crate::common::published::{all_refused, number_behind};
use crate::common::{Random, Row, Table};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Floating, Quantity};
use ohmwright::design::winding::{
    AirCoil, CoilFormula, Conductor, FluxDensity, InductanceFactor, RingCore, RoundWire, SineVoltage,
    lundin_coefficient, nagaoka_coefficient, peak_flux_density, volts_at_flux_density,
};
use ohmwright::quantity::{Hertz, Inductance, Metres, Ohms, QuantityError, Ratio, Volts, Watts};

/// The number in the family.
fn n<Q: Quantity>(value: f64) -> Q {
    Q::try_from_f64(value).unwrap()
}

fn metres<F: Floating>(value: f64) -> Metres<F> {
    n(value)
}

fn volts<F: Floating>(value: f64) -> Volts<F> {
    n(value)
}

fn back<Q: Quantity>(value: Q) -> f64 {
    value.to_f64()
}

fn henries<F: Floating>(value: f64) -> Inductance<F> {
    Inductance::new(n(value)).unwrap()
}

fn is_double<F: Floating>() -> bool {
    F::FAMILY == Family::F64
}

/// What a handful of roundings may cost, relative.
fn roundings<F: Floating>() -> f64 {
    if is_double::<F>() { 1e-14 } else { 3e-6 }
}

fn hertz(value: f64) -> Hertz {
    Hertz::new(value.round() as u64)
}

const INCH: f64 = 0.0254;

/// A coil in inches, by its radius.
fn coil_in_inches<F: Floating>(turns: f64, radius: f64, length: f64) -> AirCoil<F> {
    AirCoil::new(n(turns), metres(2.0 * radius * INCH), metres(length * INCH)).unwrap()
}

/// The largest |formula/exact − 1| over the shapes 0.01 to 100.
fn largest_error<F: Floating>(formula: CoilFormula) -> f64 {
    (0..=4000)
        .map(|step| {
            let shape = 10f64.powf(-2.0 + f64::from(step) / 1000.0);
            let coil = AirCoil::<F>::new(n(10.0), metres(0.01), metres(0.01 * shape)).unwrap();
            (back(coil.inductance_by(formula).get()) / back(coil.inductance().get()) - 1.0).abs()
        })
        .fold(0.0, f64::max)
}

fn published_row<F: Floating>(row: Row<'_>) -> Law {
    let (id, inputs, quantity) = (row.text("id"), row.text("inputs"), row.text("quantity"));
    // Both what was worked out and, where the source prints a number, what it prints.
    let check = |got: f64| -> Law {
        let want = row.number("expected");
        let own = if is_double::<F>() {
            0.0
        } else {
            want.abs() * roundings::<F>()
        };
        near(id, got, want, row.number("tolerance") + own)?;
        if row.text("printed").is_empty() {
            return Ok(());
        }
        near(id, got, row.number("printed"), row.number("printed_tol") + own)
    };
    let place: u32 = id[3..].parse().unwrap();
    match (&id[..2], place) {
        ("T3", 45) => {
            let factor =
                InductanceFactor::<F>::from_millihenries_per_thousand_turns(n(number_behind(inputs, "A_L=")))
                    .unwrap();
            check(back(factor.inductance(number_behind(inputs, "N=") as u16).get()) * 1e3)
        }
        ("T3", 46) => {
            let factor = InductanceFactor::<F>::from_nanohenries(n(number_behind(inputs, "A_L="))).unwrap();
            let wanted = henries(number_behind(inputs, " L=") * 1e-9);
            near(
                id,
                f64::from(factor.whole_turns(wanted).unwrap()),
                row.number("expected"),
                0.0,
            )?;
            check(back(factor.turns(wanted)))
        }
        ("T3", 47) => {
            let factor =
                InductanceFactor::<F>::from_microhenries_per_hundred_turns(n(number_behind(inputs, "A_L=")))
                    .unwrap();
            check(back(factor.turns(henries(number_behind(inputs, " L=") * 1e-6))))
        }
        ("T3", 48) => {
            let factor =
                InductanceFactor::<F>::from_microhenries_per_hundred_turns(n(number_behind(inputs, "A_L=")))
                    .unwrap();
            check(back(factor.nanohenries()))
        }
        ("T3", 49) => {
            let factor =
                InductanceFactor::<F>::from_millihenries_per_thousand_turns(n(number_behind(inputs, "A_L=")))
                    .unwrap();
            check(back(factor.nanohenries()))
        }
        ("T3", 50 | 52 | 53) => {
            let factor = InductanceFactor::<F>::from_nanohenries(n(number_behind(inputs, "A_L="))).unwrap();
            check(back(factor.inductance(number_behind(inputs, "N=") as u16).get()) * 1e6)
        }
        ("T3", 54 | 56) => {
            let factor = InductanceFactor::<F>::from_nanohenries(n(number_behind(inputs, "A_L="))).unwrap();
            let turns = factor.whole_turns(henries(number_behind(inputs, " L="))).unwrap();
            near(id, f64::from(turns), row.number("expected"), 0.0)?;
            // One fewer is too few.
            assert!(back(factor.inductance(turns - 1).get()) < number_behind(inputs, " L="));
            Ok(())
        }
        ("T3", 57..=60 | 65..=72) => {
            let core = RingCore::<F>::from_millimetres(
                n(number_behind(inputs, "OD=")),
                n(number_behind(inputs, "ID=")),
                n(number_behind(inputs, "h=")),
            )
            .unwrap();
            match quantity.split(' ').next().unwrap() {
                "core" => check(back(core.core_constant()) / 1e3),
                "effective" if quantity.contains("length") => check(back(core.effective_length()) * 1e3),
                "effective" => check(back(core.effective_area()) * 1e6),
                _ => check(back(
                    core.inductance_factor(n(number_behind(inputs, "mu_r=")))
                        .unwrap()
                        .nanohenries(),
                )),
            }
        }
        ("T3", 73) => {
            // One volt on one turn around one square metre at one hertz.
            let density = peak_flux_density(
                SineVoltage::<F>::from_rms(volts(1.0)).unwrap(),
                Hertz::new(1),
                1,
                n(1.0),
            )
            .unwrap();
            check(1.0 / back(density.tesla()))
        }
        ("T3", 74 | 76 | 77) => {
            let drive = SineVoltage::<F>::from_rms(volts(number_behind(inputs, "Vrms="))).unwrap();
            let (f, turns) = (
                hertz(number_behind(inputs, "f=")),
                number_behind(inputs, "N=") as u16,
            );
            let density = peak_flux_density(drive, f, turns, n(number_behind(inputs, "Ae="))).unwrap();
            check(back(density.tesla()) * 1e3)
        }
        ("T3", 79) => {
            let drive = SineVoltage::<F>::from_rms(volts(number_behind(inputs, "Vrms="))).unwrap();
            let f = hertz(number_behind(inputs, "f=") * 1e6);
            let density = peak_flux_density(drive, f, 7, n(number_behind(inputs, "Ae=") * 1e-4)).unwrap();
            // The handbook's factor is rounded to 4.44; ours is not.
            let rounding = core::f64::consts::TAU / 2f64.sqrt() / 4.44;
            check(back(density.gauss()) * rounding)
        }
        ("T3", 80) => {
            let drive = SineVoltage::<F>::of_power(n::<Watts<F>>(100.0), n::<Ohms<F>>(50.0)).unwrap();
            let (rms, peak) = row.text("expected").split_once(';').unwrap();
            let slack = row.number("tolerance") + if is_double::<F>() { 0.0 } else { 1e-4 };
            near(id, back(drive.rms()), rms.parse().unwrap(), slack)?;
            near(id, back(drive.peak()), peak.parse().unwrap(), slack)
        }
        ("T3", 81) => check(back(FluxDensity::<F>::new(n(1.0)).unwrap().gauss())),
        ("T4", 1..=18) => check(back(
            nagaoka_coefficient::<F>(n(number_behind(inputs, "diameter=")), n(1.0)).unwrap(),
        )),
        ("T4", 19..=31) => check(back(
            nagaoka_coefficient::<F>(n(1.0), n(number_behind(inputs, "length="))).unwrap(),
        )),
        ("T4", 33..=36) => {
            let coil = AirCoil::<F>::new(
                n(number_behind(inputs, "n=")),
                metres(number_behind(inputs, "D=")),
                metres(number_behind(inputs, "l=")),
            )
            .unwrap();
            check(back(coil.inductance().get()) * 1e6)
        }
        ("T4", 38) => {
            // One turn of 1 m radius, endless: the constant is what is left of L without K.
            let coil = AirCoil::<F>::new(n(1.0), metres(2.0), metres(1.0)).unwrap();
            let k = back(nagaoka_coefficient::<F>(n(1.0), n(2.0)).unwrap());
            // In centimetres a hundredth of it.
            check(back(coil.inductance().get()) / k * 1e6 / 100.0)
        }
        ("T4", 40 | 42 | 46 | 48) => {
            let coil = coil_in_inches::<F>(
                number_behind(inputs, "n="),
                number_behind(inputs, "a="),
                number_behind(inputs, "b="),
            );
            check(back(coil.inductance_by(CoilFormula::Wheeler).get()) * 1e6)
        }
        ("T4", 43 | 45 | 49) => {
            let coil = coil_in_inches::<F>(30.0, number_behind(inputs, "a="), number_behind(inputs, "b="));
            let wheeler = back(coil.inductance_by(CoilFormula::Wheeler).get());
            let error = (wheeler / back(coil.inductance().get()) - 1.0) * 100.0;
            near(
                id,
                error,
                row.number("expected"),
                row.number("tolerance") + 100.0 * roundings::<F>(),
            )
        }
        ("T4", 50) => {
            let coil = coil_in_inches::<F>(
                48.0,
                number_behind(inputs, "d=") / 2.0,
                number_behind(inputs, "b="),
            );
            check(back(coil.inductance_by(CoilFormula::Wheeler).get()) * 1e6)
        }
        ("T4", 51) => {
            let coil = coil_in_inches::<F>(10.0, 0.5, 1.25);
            check(back(
                coil.turns_for(henries(10e-6), CoilFormula::Wheeler).unwrap(),
            ))
        }
        ("T4", 53) => {
            let got = largest_error::<F>(CoilFormula::Lundin) * 1e6;
            let slack = row.number("tolerance") + 1e6 * roundings::<F>();
            near(id, got, row.number("expected"), slack)
        }
        ("T4", 55..=59) => check(back(
            lundin_coefficient::<F>(n(1.0), n(number_behind(inputs, "length="))).unwrap(),
        )),
        ("T4", 60) => {
            let got = largest_error::<F>(CoilFormula::WheelerContinuous) * 100.0;
            near(
                id,
                got,
                row.number("expected"),
                row.number("tolerance") + 100.0 * roundings::<F>(),
            )
        }
        ("T4", 70..=77 | 83 | 85) => {
            let sigma = if inputs.contains("sigma=") {
                number_behind(inputs, "sigma=")
            } else if inputs.contains("5.8e7") {
                5.8e7
            } else {
                // The coax of the book's example is of its usual copper.
                5.813e7
            };
            let unit = [(" GHz", 1e9), (" Hz", 1.0)]
                .into_iter()
                .find(|(unit, _)| inputs.contains(unit))
                .unwrap();
            let f = hertz(number_behind(inputs, "f=") * unit.1);
            let metal = Conductor::<F>::new(n(sigma)).unwrap();
            if row.text("unit") == "ohm" {
                check(back(metal.surface_resistance(f).unwrap()))
            } else {
                let scale = if row.text("unit") == "um" { 1e6 } else { 1.0 };
                check(back(metal.skin_depth(f).unwrap()) * scale)
            }
        }
        ("T4", 140..=168) => {
            let gauge = match inputs.strip_prefix("AWG ").unwrap() {
                text if text.ends_with("/0") => 1 - text[..1].parse::<i8>().unwrap(),
                text => text.parse().unwrap(),
            };
            let wire = RoundWire::<F>::of_gauge(gauge).unwrap();
            near(id, f64::from(wire.nearest_gauge()), f64::from(gauge), 0.0)?;
            let unit = if row.text("unit") == "in" { INCH } else { 1e-3 };
            check(back(wire.diameter()) / unit)
        }
        ("T4", 170) => {
            let of = |gauge| back(RoundWire::<F>::of_gauge(gauge).unwrap().diameter());
            check(of(20) / of(21))
        }
        _ => Err(format!("nobody checks row {id}")),
    }
}

#[test]
fn published_values() {
    let table = Table::parse(include_str!("../data/winding_published.csv"));
    for row in table.rows() {
        published_row::<f64>(row).unwrap();
        published_row::<f32>(row).unwrap();
    }
    assert_eq!(table.rows().count(), 99);
}

#[test]
fn a_wrong_or_unknown_row_is_noticed() {
    let header = "id,inputs,quantity,unit,expected,tolerance,printed,printed_tol,kind";
    let rows = [
        "T3-046,\"A_L=4 nH/turn^2, L=400 nH\",turns,1,11,1e-8,,,real",
        "T3-057,ring OD=36 ID=23 h=15 mm,core constant,1/mm,0.936,1e-9,,,real",
        "T3-058,ring OD=36 ID=23 h=15 mm,effective length le,mm,89.6476349605791,9e-8,89.7,0.005,real",
        "T4-018,solenoid length/diameter=1.0,K,1,0.6885,1e-9,,,real",
        "T4-083,\"copper 5.8e7, f=1.8e6 Hz\",skin depth,um,49.3,4e-8,,,real",
        "T4-140,AWG 4/0,diameter,in,0.461,4e-10,,,real",
        "T4-999,AWG 4,diameter,in,0.46,1,,,real",
    ];
    all_refused(header, &rows, published_row::<f64>);
    all_refused(header, &rows, published_row::<f32>);
}

// ---- mpmath -----------------------------------------------------------------------------------------------------

fn vectors<F: Floating>() -> Result<(f64, f64), String> {
    let table = Table::parse(include_str!("../data/winding_vectors.csv"));
    let metal = Conductor::<F>::copper();
    let mhz = Hertz::from_megahertz(1);
    let depth = back(metal.skin_depth(mhz).unwrap());
    let (mut worst_k, mut worst_wire) = (0f64, 0f64);
    for row in table.rows() {
        let (a, want) = (row.number("a"), row.number("expected"));
        match row.text("kind") {
            "nagaoka" => {
                // The slope of K costs what rounding the length does: K ~ l at most.
                let got = back(nagaoka_coefficient::<F>(n(a), n(1.0)).unwrap());
                worst_k = worst_k.max((got / want - 1.0).abs());
                let slack = if is_double::<F>() { 5e-15 } else { 2e-6 };
                near(&format!("K of {a}"), got, want, want * slack)?;
                let lundin = back(lundin_coefficient::<F>(n(a), n(1.0)).unwrap());
                near(
                    &format!("Lundin of {a}"),
                    lundin,
                    want,
                    want * (2.6e-6 + roundings::<F>()),
                )?;
            }
            "wire" => {
                let wire = RoundWire::<F>::new(metres(2.0 * a * depth)).unwrap();
                let at = |f| back(wire.resistance(metres(1.0), metal, f).unwrap());
                let got = at(mhz) / at(Hertz::new(0));
                let off = (got / want - 1.0).abs();
                worst_wire = worst_wire.max(off);
                near(
                    &format!("wire of {a} depths"),
                    off,
                    0.0,
                    if is_double::<F>() { 1e-10 } else { 2e-6 },
                )?;
            }
            "straight" => {
                let wire = RoundWire::<F>::new(metres(0.002)).unwrap();
                let got = back(wire.inductance(metres(0.002 * a)).unwrap().get()) / (2e-7 * 1e-3);
                // A wire shorter than thick loses digits in the formula's difference.
                let slack = roundings::<F>() * (1.0 + 1.0 / a);
                near(&format!("straight {a}"), got, want, want * slack)?;
            }
            other => return Err(format!("nobody checks a {other}")),
        }
    }
    Ok((worst_k, worst_wire))
}

#[test]
fn mpmath_vectors() {
    let double = vectors::<f64>().unwrap();
    let single = vectors::<f32>().unwrap();
    println!(
        "K: {:e} in f64, {:e} in f32; wire: {:e}, {:e}",
        double.0, single.0, double.1, single.1
    );
    // The comparison is not idle: single precision shows.
    assert!(single.0 > 1e-8 && single.1 > 1e-8);
}

// ---- Laws -------------------------------------------------------------------------------------------------------

fn random_coil<F: Floating>(random: &mut Random) -> AirCoil<F> {
    let diameter = random.decades(1e-3, 0.3).abs();
    AirCoil::new(
        n(random.between(0.5, 60.0)),
        metres(diameter),
        metres(diameter * random.decades(0.02, 50.0).abs()),
    )
    .unwrap()
}

/// `coil` has the inductance `wanted`, to what finding its length may cost.
fn has_inductance<F: Floating>(coil: AirCoil<F>, wanted: f64) -> Law {
    let slack = if is_double::<F>() { 1e-14 } else { 5e-6 };
    near(
        "inductance",
        back(coil.inductance().get()),
        wanted,
        wanted * slack,
    )
}

fn spreading<F: Floating>() -> Law {
    let mut random = Random::new(41);
    for _ in 0..2000 {
        let coil = random_coil::<F>(&mut random);
        let now = back(coil.inductance().get());
        let factor = random.decades(0.5, 2.0).abs().clamp(0.5, 2.0);
        let moved = coil
            .scaled(n::<Ratio<F>>(factor))
            .map_err(|error| format!("{coil:?}: {error}"))?;
        has_inductance(moved, now * factor)?;
        if (moved.turns(), moved.diameter()) != (coil.turns(), coil.diameter()) {
            return Err(format!("{moved:?} is another coil"));
        }
        // Longer for less.
        if factor < 0.999 && moved.length() <= coil.length()
            || factor > 1.001 && moved.length() >= coil.length()
        {
            return Err(format!("{coil:?} times {factor} became {moved:?}"));
        }
        // And back to the length it had: dlnL/dlnl is between −1 and −0.1 here.
        let again = moved.with_inductance(coil.inductance()).unwrap();
        let slack = if is_double::<F>() { 1e-13 } else { 6e-5 };
        near("length", back(again.length()) / back(coil.length()), 1.0, slack)?;
        // L goes by the square of the turns.
        for formula in [
            CoilFormula::CurrentSheet,
            CoilFormula::Lundin,
            CoilFormula::Wheeler,
            CoilFormula::WheelerContinuous,
        ] {
            let four = Inductance::new(n(4.0 * back(coil.inductance_by(formula).get()))).unwrap();
            let turns = back(coil.turns_for(four, formula).unwrap());
            near("turns", turns, 2.0 * back(coil.turns()), turns * roundings::<F>())?;
        }
    }
    Ok(())
}

#[test]
fn spread_and_squeezed() {
    spreading::<f64>().unwrap();
    spreading::<f32>().unwrap();
}

#[test]
fn the_checker_of_spreading_can_fail() {
    fn check<F: Floating>() {
        let coil = AirCoil::<F>::from_millimetres(n(5.0), n(8.0), n(9.0)).unwrap();
        let now = back(coil.inductance().get());
        has_inductance(coil.scaled(n::<Ratio<F>>(0.9)).unwrap(), 0.9 * now).unwrap();
        has_inductance(coil.scaled(n::<Ratio<F>>(0.9)).unwrap(), 0.9001 * now).unwrap_err();
        // A length scaled as if L went by 1/l.
        let naive = AirCoil::<F>::from_millimetres(n(5.0), n(8.0), n(10.0)).unwrap();
        has_inductance(naive, 0.9 * now).unwrap_err();
    }
    check::<f64>();
    check::<f32>();
}

/// Volts make flux and flux makes volts; effective and peak values are √2 apart.
#[test]
fn flux_and_back() {
    fn check<F: Floating>() {
        let mut random = Random::new(9);
        for _ in 0..500 {
            let drive = SineVoltage::<F>::from_rms(volts(random.decades(0.1, 1000.0).abs())).unwrap();
            let f = hertz(random.decades(1e5, 1e9).abs());
            let turns = random.bits() as u16 % 40 + 1;
            let area = n(random.decades(1e-6, 1e-3).abs());
            let density = peak_flux_density(drive, f, turns, area).unwrap();
            let again = volts_at_flux_density(density, f, turns, area).unwrap();
            near(
                "volts",
                back(again.rms()) / back(drive.rms()),
                1.0,
                roundings::<F>(),
            )
            .unwrap();
            near(
                "peak",
                back(drive.peak()) / back(drive.rms()),
                2f64.sqrt(),
                roundings::<F>(),
            )
            .unwrap();
            let same = SineVoltage::<F>::from_peak(drive.peak()).unwrap();
            near("rms", back(same.rms()) / back(drive.rms()), 1.0, roundings::<F>()).unwrap();
        }
    }
    check::<f64>();
    check::<f32>();
}

/// About 0.6 to 1 nH a millimetre for leads a millimetre thick (common practice, no source).
#[test]
fn the_rule_of_the_trade_for_leads() {
    let wire = RoundWire::<f64>::from_millimetres(1.0).unwrap();
    for (length, low, high) in [(10.0, 0.5, 0.6), (30.0, 0.7, 0.8), (100.0, 0.95, 1.05)] {
        let per_millimetre = wire.inductance(length * 1e-3).unwrap().get() * 1e9 / length;
        assert!(
            (low..high).contains(&per_millimetre),
            "{length} mm: {per_millimetre}"
        );
    }
}

// ---- Refusals ---------------------------------------------------------------------------------------------------

#[test]
fn what_cannot_be_wound_is_refused() {
    fn check<F: Floating>() {
        let good = AirCoil::<F>::from_millimetres(n(5.0), n(8.0), n(9.0)).unwrap();
        let infinite = F::MAX;
        for (bad, refusal) in [
            (
                n(0.0),
                QuantityError::NotPositive as fn(&'static str) -> QuantityError,
            ),
            (n(-1.0), QuantityError::NotPositive),
            (infinite, QuantityError::NotFinite),
        ] {
            let (metre, mm, wrong) = (metres::<F>(1.0), metres::<F>(1e-3), Metres::<F>::new(bad));
            let (one, watt, ohm) = (n::<F>(1.0), n::<Watts<F>>(1.0), n::<Ohms<F>>(1.0));
            assert_eq!(AirCoil::new(bad, mm, mm), Err(refusal("turns")));
            assert_eq!(AirCoil::new(one, wrong, mm), Err(refusal("diameter")));
            assert_eq!(AirCoil::new(one, mm, wrong), Err(refusal("length")));
            assert_eq!(good.scaled(Ratio::<F>::new(bad)), Err(refusal("factor")));
            assert_eq!(RingCore::new(wrong, mm, mm), Err(refusal("outer diameter")));
            assert_eq!(RingCore::new(mm, wrong, mm), Err(refusal("inner diameter")));
            assert_eq!(RingCore::new(metre, mm, wrong), Err(refusal("height")));
            assert_eq!(InductanceFactor::new(bad), Err(refusal("inductance factor")));
            assert_eq!(Conductor::new(bad), Err(refusal("conductivity")));
            assert_eq!(RoundWire::new(wrong), Err(refusal("diameter of the wire")));
            assert_eq!(
                RoundWire::new(metre).unwrap().inductance(wrong),
                Err(refusal("length"))
            );
            assert_eq!(
                SineVoltage::from_rms(Volts::<F>::new(bad)),
                Err(refusal("voltage"))
            );
            assert_eq!(
                SineVoltage::of_power(Watts::<F>::new(bad), ohm),
                Err(refusal("power"))
            );
            assert_eq!(
                SineVoltage::of_power(watt, Ohms::<F>::new(bad)),
                Err(refusal("resistance"))
            );
            assert_eq!(FluxDensity::new(bad), Err(refusal("flux density")));
            let ring = RingCore::from_millimetres(n::<F>(36.0), n(23.0), n(15.0)).unwrap();
            assert_eq!(ring.inductance_factor(bad), Err(refusal("permeability")));
            let drive = SineVoltage::from_rms(volts::<F>(1.0)).unwrap();
            assert_eq!(
                peak_flux_density(drive, Hertz::new(5), 1, bad),
                Err(refusal("area"))
            );
        }
        let drive = SineVoltage::from_rms(volts::<F>(1.0)).unwrap();
        let none = QuantityError::NotPositive;
        assert_eq!(
            peak_flux_density(drive, Hertz::new(0), 1, n(1.0)),
            Err(none("frequency"))
        );
        assert_eq!(
            peak_flux_density(drive, Hertz::new(1), 0, n(1.0)),
            Err(none("turns"))
        );
        assert_eq!(
            Conductor::<F>::copper().skin_depth(Hertz::new(0)),
            Err(none("frequency"))
        );
        assert_eq!(good.with_inductance(henries(0.0)), Err(none("inductance")));
        assert_eq!(
            RingCore::<F>::new(metres(1.0), metres(1.0), metres(1.0)),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "inner diameter",
                rule: "must be below the outer diameter"
            }))
        );
        assert_eq!(
            good.with_inductance(henries(1.0)),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "inductance",
                rule: "must be one that a length from 1e-6 to 1e6 of the diameter gives"
            }))
        );
        assert_eq!(
            good.scaled(n::<Ratio<F>>(1e-9)),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "inductance",
                rule: "must be one that a length from 1e-6 to 1e6 of the diameter gives"
            }))
        );
        let many = InductanceFactor::<F>::from_nanohenries(n(1.0)).unwrap();
        assert_eq!(
            many.whole_turns(henries(10.0)),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "turns",
                rule: "must not be above 65535"
            }))
        );
        assert_eq!(many.whole_turns(henries(0.0)), Ok(0));
        for gauge in [i8::MIN, -4, 61, i8::MAX] {
            assert_eq!(
                RoundWire::<F>::of_gauge(gauge),
                Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                    parameter: "gauge",
                    rule: "must be from -3 to 60"
                }))
            );
        }
        for (diameter, gauge) in [(1e-9, 60), (1.0, -3)] {
            assert_eq!(
                RoundWire::<F>::new(metres(diameter)).unwrap().nearest_gauge(),
                gauge
            );
        }
        let beyond = QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
            parameter: "length of the coil over its diameter",
            rule: "must be from 1e-6 to 1e6",
        });
        assert_eq!(nagaoka_coefficient::<F>(n(1.0), n(2e6)), Err(beyond));
        assert_eq!(nagaoka_coefficient::<F>(n(2e6), n(1.0)), Err(beyond));
        assert_eq!(AirCoil::<F>::new(n(1.0), metres(1.0), metres(2e6)), Err(beyond));
    }
    check::<f64>();
    check::<f32>();
}
