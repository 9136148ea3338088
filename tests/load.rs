//! Loads: tables, equivalent circuits, conventions, the load line (every row of `data/load_published.csv`) and
//! stand-ins. All devices are invented.

mod common;

use common::{Random, Row, Table};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::design::load::{
    Load, LoadCircuit, LoadError, LoadTable, LookingIn, OneSide, Presented, PushPull, SideToSide, StandIn,
    StandInParts,
};
use ohmwright::design::winding::RoundWire;
use ohmwright::quantity::{Capacitance, Hertz, Impedance, Inductance, QuantityError};

fn is_fixed<A: Arithmetic>() -> bool {
    matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16)
}

/// Half a step of a word of ohms, watts or volts.
fn half_a_step<A: Arithmetic>() -> f64 {
    if is_fixed::<A>() { 0.5 / 4096.0 } else { 0.0 }
}

fn roundings<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 2e-8,
        Family::F32 | Family::SoftF32 => 1e-6,
        _ => 2e-15,
    }
}

fn ohms<A: Arithmetic>(resistance: f64, reactance: f64) -> Impedance<A> {
    Impedance::try_from_f64(resistance, reactance).unwrap()
}

fn word<Q: Quantity>(value: f64) -> Q {
    Q::try_from_f64(value).unwrap()
}

fn held<A: Arithmetic>(z: Impedance<A>) -> (f64, f64) {
    (z.resistance().to_f64(), z.reactance().to_f64())
}

/// From henries and farads.
fn coil<A: Arithmetic>(henries: f64) -> Inductance<A> {
    let unit = if is_fixed::<A>() { 1e12 } else { 1.0 };
    Inductance::new(word(henries * unit)).unwrap()
}

fn capacitor<A: Arithmetic>(farads: f64) -> Capacitance<A> {
    let unit = if is_fixed::<A>() { 1e15 } else { 1.0 };
    Capacitance::new(word(farads * unit)).unwrap()
}

/// Back to henries and farads.
fn henries<A: Arithmetic>(part: Inductance<A>) -> f64 {
    part.get().to_f64() * if is_fixed::<A>() { 1e-12 } else { 1.0 }
}

fn farads<A: Arithmetic>(part: Capacitance<A>) -> f64 {
    part.get().to_f64() * if is_fixed::<A>() { 1e-15 } else { 1.0 }
}

fn near(what: &str, got: f64, want: f64, slack: f64) -> Result<(), String> {
    if got == want || (got - want).abs() <= slack {
        Ok(())
    } else {
        Err(format!("{what}: got {got:e}, want {want:e}, allowed {slack:e}"))
    }
}

fn omega(frequency: Hertz) -> f64 {
    core::f64::consts::TAU * frequency.get() as f64
}

/// Runs a check of one type parameter in every family.
macro_rules! every_family {
    ($check:ident) => {{
        $check::<f64>();
        $check::<f32>();
        $check::<Fixed32>();
        $check::<Fixed16>();
    }};
}

// ---- Published values -------------------------------------------------------------------------------------------

fn value(text: &str, key: &str) -> f64 {
    let start = text.find(key).unwrap_or_else(|| panic!("{key} in {text}")) + key.len();
    let rest = &text[start..];
    let end = rest
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .unwrap_or(rest.len());
    rest[..end].parse().unwrap()
}

fn published_row<A: Arithmetic>(row: Row<'_>) -> Result<(), String> {
    let (id, inputs, want) = (row.text("id"), row.text("inputs"), row.number("expected"));
    // The fixed words hold 13.8 V to half a step, and the square of it doubles that.
    let lost = |volts: f64| 4.0 * half_a_step::<A>() / volts + roundings::<A>();
    let own = |slack: f64| row.number("tolerance") + if A::FAMILY == Family::F64 { 0.0 } else { slack };
    let stage = |supply: f64, saturation: f64| PushPull::<A>::new(word(supply), word(saturation)).unwrap();
    match id {
        "T3-120" | "T3-122" | "T3-123" | "T3-125" => {
            let (supply, saturation) = (value(inputs, "Vdd="), value(inputs, "Vsat="));
            let load = stage(supply, saturation)
                .side_to_side(word(value(inputs, " P=")))
                .unwrap();
            let slack = half_a_step::<A>() + want * lost(supply - saturation);
            near(id, load.0.target().resistance().to_f64(), want, own(slack))?;
            near(id, load.0.target().reactance().to_f64(), 0.0, 0.0)?;
            let half = load.one_side().0.target().resistance().to_f64();
            near(id, half, want / 2.0, own(slack))
        }
        "T3-129" => {
            let load = SideToSide(Presented::new(ohms::<A>(12.5, 0.0)));
            let (supply, saturation) = (value(inputs, "Vdd="), value(inputs, "Vsat="));
            let watts = stage(supply, saturation).power(load).unwrap().to_f64();
            near(
                id,
                watts,
                want,
                own(half_a_step::<A>() + want * lost(supply - saturation)),
            )
        }
        _ => Err(format!("nobody checks row {id}")),
    }
}

#[test]
fn published_values() {
    fn check<A: Arithmetic>() {
        let table = Table::parse(include_str!("data/load_published.csv"));
        for row in table.rows() {
            published_row::<A>(row).unwrap();
        }
        assert_eq!(table.rows().count(), 5);
    }
    every_family!(check);
}

#[test]
fn a_wrong_or_unknown_row_is_noticed() {
    fn check<A: Arithmetic>() {
        for row in [
            "T3-120,\"Vdd=13.8 V, Vsat=1 V, P=100 W\",3.278,1e-9",
            "T3-129,\"Vdd=13.8, Vsat=1\",26.22,1e-9",
            "T3-998,\"Vdd=13.8, Vsat=1\",26.22,1e-9",
        ] {
            let table = Table::parse(&format!("id,inputs,expected,tolerance\n{row}\n"));
            published_row::<A>(table.rows().next().unwrap()).unwrap_err();
        }
    }
    every_family!(check);
}

// ---- Tables -----------------------------------------------------------------------------------------------------

/// The straight line between two rows, in doubles.
fn is_between<A: Arithmetic>(
    low: (Hertz, Impedance<A>),
    high: (Hertz, Impedance<A>),
    at: Hertz,
    got: Impedance<A>,
) -> Result<(), String> {
    let share = (at.get() - low.0.get()) as f64 / (high.0.get() - low.0.get()) as f64;
    let ((r1, x1), (r2, x2)) = (held(low.1), held(high.1));
    let slack = half_a_step::<A>() + roundings::<A>() * (r1.abs() + r2.abs() + x1.abs() + x2.abs());
    near("R", held(got).0, r1 + share * (r2 - r1), slack)?;
    near("X", held(got).1, x1 + share * (x2 - x1), slack)
}

#[test]
fn a_table_is_a_chain_of_straight_lines() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(12);
        for count in 1..20 {
            let mut rows = Vec::new();
            let mut frequency = 0u64;
            for _ in 0..count {
                frequency += 1 + random.bits() % 50_000_000;
                let z = ohms::<A>(random.decades(0.05, 3000.0).abs(), random.decades(0.05, 3000.0));
                rows.push((Hertz::new(frequency), z));
            }
            let table = LoadTable::new(&rows).unwrap();
            for row in table.rows() {
                assert_eq!(table.at(row.0), Ok(row.1));
            }
            for pair in rows.windows(2) {
                let [low, high] = *pair else { unreachable!() };
                for _ in 0..5 {
                    let at = low.0.get() + random.bits() % (high.0.get() - low.0.get());
                    let at = Hertz::new(at);
                    is_between(low, high, at, table.at(at).unwrap()).unwrap();
                }
            }
            // Nothing is guessed beyond either end.
            for outside in [rows[0].0.get() - 1, frequency + 1, 0, u64::MAX] {
                assert_eq!(table.at(Hertz::new(outside)), Err(LoadError::BeyondTable));
            }
        }
        // A control: the row above in place of the line.
        let rows = [
            (Hertz::new(100), ohms::<A>(10.0, 0.0)),
            (Hertz::new(200), ohms(20.0, 5.0)),
        ];
        is_between(rows[0], rows[1], Hertz::new(150), rows[1].1).unwrap_err();
        is_between(rows[0], rows[1], Hertz::new(150), ohms(15.0, 2.51)).unwrap_err();
        is_between(rows[0], rows[1], Hertz::new(150), ohms(15.0, 2.5)).unwrap();
    }
    every_family!(check);
}

#[test]
fn tables_out_of_order_are_refused() {
    fn check<A: Arithmetic>() {
        let row = |f: u64| (Hertz::new(f), ohms::<A>(10.0, 1.0));
        assert_eq!(LoadTable::<A>::new(&[]), Err(LoadError::NoRows));
        assert_eq!(LoadTable::new(&[row(5), row(5)]), Err(LoadError::OutOfOrder(1)));
        assert_eq!(
            LoadTable::new(&[row(1), row(5), row(4), row(3)]),
            Err(LoadError::OutOfOrder(2))
        );
        let open = (Hertz::new(7), Impedance::<A>::OPEN);
        assert_eq!(LoadTable::new(&[row(5), open]), Err(LoadError::OpenRow(1)));
        assert_eq!(LoadTable::new(&[row(5)]).unwrap().at(Hertz::new(5)), Ok(row(5).1));
    }
    every_family!(check);
    for (error, says) in [
        (LoadError::NoRows, "rows"),
        (LoadError::OutOfOrder(2), "row 2"),
        (LoadError::OpenRow(3), "row 3"),
        (LoadError::BeyondTable, "outside"),
        (
            LoadError::Quantity(QuantityError::NotPositive("frequency")),
            "frequency",
        ),
    ] {
        assert!(error.to_string().contains(says), "{error}");
    }
}

// ---- Circuits ---------------------------------------------------------------------------------------------------

/// (a + jb)/(c + jd).
fn quotient((a, b): (f64, f64), (c, d): (f64, f64)) -> (f64, f64) {
    let square = c * c + d * d;
    ((a * c + b * d) / square, (b * c - a * d) / square)
}

fn side_by_side(one: (f64, f64), other: (f64, f64)) -> (f64, f64) {
    let product = (
        one.0 * other.0 - one.1 * other.1,
        one.0 * other.1 + one.1 * other.0,
    );
    quotient(product, (one.0 + other.0, one.1 + other.1))
}

fn is_impedance<A: Arithmetic>(got: Impedance<A>, want: (f64, f64), scale: f64) -> Result<(), String> {
    let slack = half_a_step::<A>() + scale * roundings::<A>();
    near("R", held(got).0, want.0, slack)?;
    near("X", held(got).1, want.1, slack)
}

#[test]
fn circuits_are_what_they_say() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(17);
        for _ in 0..500 {
            let frequency = Hertz::new(random.decades(1e6, 3e8).abs() as u64);
            let w = omega(frequency);
            let resistance = word::<A::Ohms>(random.decades(0.5, 2000.0).abs());
            let l = coil::<A>(random.decades(1e-9, 1e-5).abs());
            let c = capacitor::<A>(random.decades(1e-12, 1e-9).abs());
            let (r, xl, xc) = (resistance.to_f64(), w * henries(l), -1.0 / (w * farads(c)));
            let series = LoadCircuit::Series {
                resistance,
                inductance: l,
                capacitance: Some(c),
            };
            let scale = r + xl + xc.abs();
            is_impedance(series.at(frequency).unwrap(), (r, xl + xc), scale).unwrap();
            let behind = LoadCircuit::ParallelBehindLead {
                resistance,
                capacitance: c,
                lead: l,
            };
            let inner = side_by_side((r, 0.0), (0.0, xc));
            is_impedance(behind.impedance(frequency), (inner.0, inner.1 + xl), scale).unwrap();
            let parallel = LoadCircuit::Parallel {
                resistance,
                inductance: Some(l),
                capacitance: c,
            };
            let x = xl * xc / (xl + xc);
            let want = side_by_side((r, 0.0), (0.0, x));
            // Near the resonance the difference of the two is a small one.
            let scale = r * (1.0 + r / xl + r / xc.abs());
            is_impedance(parallel.impedance(frequency), want, scale).unwrap();
            // A control: a tenth of a per cent of the capacitance.
            if (xc / scale).abs() > 0.01 {
                let other = capacitor::<A>(farads(c) * 1.01);
                let wrong = LoadCircuit::Series {
                    resistance,
                    inductance: l,
                    capacitance: Some(other),
                };
                is_impedance(
                    wrong.impedance(frequency),
                    (r, xl + xc),
                    0.1 * (r + xl + xc.abs()),
                )
                .unwrap_err();
            }
        }
    }
    every_family!(check);
}

#[test]
fn circuits_at_their_ends() {
    fn check<A: Arithmetic>() {
        let resistance = word::<A::Ohms>(50.0);
        let (l, c) = (coil::<A>(1e-6), capacitor::<A>(1e-10));
        let (no_coil, no_capacitor) = (coil::<A>(0.0), capacitor::<A>(0.0));
        let direct = Hertz::new(0);
        let series = |inductance, capacitance| LoadCircuit::Series {
            resistance,
            inductance,
            capacitance,
        };
        assert_eq!(series(l, Some(c)).impedance(direct), Impedance::OPEN);
        assert_eq!(
            series(l, Some(no_capacitor)).impedance(Hertz::new(5)),
            Impedance::OPEN
        );
        assert_eq!(series(l, None).impedance(direct), ohms(50.0, 0.0));
        let parallel = |inductance| LoadCircuit::Parallel {
            resistance,
            inductance,
            capacitance: no_capacitor,
        };
        assert_eq!(parallel(Some(l)).impedance(direct), Impedance::SHORT);
        assert_eq!(parallel(Some(no_coil)).impedance(Hertz::new(5)), Impedance::SHORT);
        assert_eq!(parallel(None).impedance(Hertz::new(5)), ohms(50.0, 0.0));
        for bad in [0.0, -5.0] {
            let refused = LoadCircuit::<A>::Series {
                resistance: word(bad),
                inductance: l,
                capacitance: None,
            };
            assert_eq!(
                refused.checked(),
                Err(LoadError::Quantity(QuantityError::NotPositive("resistance")))
            );
        }
        assert_eq!(series(l, None).checked(), Ok(series(l, None)));
    }
    every_family!(check);
}

// ---- Conventions ------------------------------------------------------------------------------------------------

#[test]
fn conventions() {
    fn check<A: Arithmetic>() {
        let z = ohms::<A>(1.5, -5.25);
        let seen = LookingIn::new(z);
        assert_eq!(seen.wants().target(), ohms(1.5, 5.25));
        assert_eq!(seen.wants().stands_for(), seen);
        // What it wants is what gets all of its power.
        let share = seen.load().share_taken_from(seen.wants().target()).unwrap();
        near("share", share.to_f64(), 1.0, 4e-5).unwrap();
        let unlike = seen.load().share_taken_from(seen.load()).unwrap();
        assert!(unlike.to_f64() < 0.1, "looking in taken for presented");
        assert_eq!(OneSide(seen).side_to_side().0.load(), ohms(3.0, -10.5));
        assert_eq!(SideToSide(seen).one_side().0.load(), ohms(0.75, -2.625));
        assert_eq!(
            OneSide(seen.wants()).side_to_side().one_side(),
            OneSide(seen.wants())
        );
        let open = LookingIn::new(Impedance::<A>::OPEN);
        assert!(open.wants().target().is_open() && OneSide(open).side_to_side().0.load().is_open());
        assert!(SideToSide(open).one_side().0.load().is_open());
    }
    every_family!(check);
}

#[test]
fn load_lines_are_refused_or_turn_back() {
    fn check<A: Arithmetic>() {
        let volts = word::<A::Volts>;
        let new = |supply, saturation| PushPull::<A>::new(volts(supply), volts(saturation));
        assert_eq!(new(0.0, 0.0), Err(QuantityError::NotPositive("supply voltage")));
        assert_eq!(new(-5.0, 0.0), Err(QuantityError::NotPositive("supply voltage")));
        assert_eq!(new(5.0, -1.0), Err(QuantityError::Negative("saturation voltage")));
        assert_eq!(
            new(5.0, 5.0),
            Err(QuantityError::OutOfRange("saturation voltage"))
        );
        let stage = new(28.0, 2.0).unwrap();
        assert_eq!(
            (stage.supply().to_f64(), stage.saturation().to_f64()),
            (28.0, 2.0)
        );
        for bad in [0.0, -3.0] {
            assert_eq!(
                stage.side_to_side(word(bad)),
                Err(QuantityError::NotPositive("power"))
            );
        }
        let load = |r, x| SideToSide(Presented::new(ohms::<A>(r, x)));
        assert_eq!(
            stage.power(load(0.0, 1.0)),
            Err(QuantityError::NotPositive("load resistance"))
        );
        let open = SideToSide(Presented::new(Impedance::OPEN));
        assert_eq!(stage.power(open), Err(QuantityError::OutOfRange("load")));
        for power in [1.0, 17.0, 100.0, 1000.0] {
            let asked = stage.side_to_side(word(power)).unwrap();
            let r = asked.0.target().resistance().to_f64();
            let back = stage.power(asked).unwrap().to_f64();
            let slack = half_a_step::<A>() * (1.0 + power / r) + power * roundings::<A>();
            near("power", back, power, slack).unwrap();
            let single = stage.one_side(word(power)).unwrap();
            assert_eq!(single, asked.one_side());
        }
        // V²·R/|Z|²: with as much reactance as resistance, half of the power.
        let half = stage.power(load(10.0, 10.0)).unwrap().to_f64();
        near("half", half, 26.0 * 26.0 / 10.0, 1e-3).unwrap();
    }
    every_family!(check);
    // What no word holds is refused: 1000 V into a hundredth of a watt.
    let stage = PushPull::<Fixed32>::new(word(1000.0), word(0.0)).unwrap();
    assert_eq!(
        stage.side_to_side(word(0.01)),
        Err(QuantityError::OutOfRange("resistance of the load line"))
    );
    let infinite = PushPull::<f64>::new(f64::INFINITY, 0.0);
    assert_eq!(infinite, Err(QuantityError::NotFinite("supply voltage")));
    assert_eq!(
        PushPull::<f64>::new(5.0, f64::NAN),
        Err(QuantityError::NotFinite("saturation voltage"))
    );
}

// ---- Stand-ins --------------------------------------------------------------------------------------------------

/// The stand-in looks like the load at its frequency, up to what the steps of its parts' words hide.
fn imitates<A: Arithmetic>(stand_in: StandIn<A>, load: Impedance<A>) -> Result<(), String> {
    let w = omega(stand_in.frequency());
    let (r, x) = held(load);
    let size = r.hypot(x);
    let got = stand_in.impedance(stand_in.frequency());
    // Half a step of the part, carried to |Z|.
    let hidden = match stand_in.parts() {
        _ if !is_fixed::<A>() => 0.0,
        StandInParts::ResistorAndCoil(..) => w * 0.5e-12,
        StandInParts::ResistorAndCapacitor(..) => x * x * w * 0.5e-15,
        // dZ = Z²·dY; the parts' own words of ohms are rounded as well.
        StandInParts::ResistorBesideCapacitor(rp, _) => {
            size * size
                * (w * 0.5e-15 + half_a_step::<A>() * (1.0 / rp.to_f64().powi(2) + (x / size / size).powi(2)))
        }
        StandInParts::ResistorBesideCoil(rp, l) => {
            let rounding = half_a_step::<A>() * (1.0 / rp.to_f64().powi(2) + (x / size / size).powi(2));
            size * size * (0.5e-12 / (w * henries(l).powi(2)) + rounding)
        }
        _ => 0.0,
    };
    let slack = 1.1 * hidden + half_a_step::<A>() + 4.0 * size * (1.0 + size / r) * roundings::<A>();
    near("R", held(got).0, r, slack)?;
    near("X", held(got).1, x, slack)
}

#[test]
fn stand_ins() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(23);
        for _ in 0..800 {
            let load = ohms::<A>(random.decades(0.5, 500.0).abs(), random.decades(0.5, 500.0));
            let frequency = Hertz::new(random.decades(1e6, 2e8).abs() as u64);
            for stand_in in [
                StandIn::series(load, frequency),
                StandIn::parallel(load, frequency),
            ] {
                // A part too large or too small for its word is refused, and nothing else.
                match stand_in {
                    Ok(stand_in) => {
                        imitates(stand_in, load).unwrap();
                        assert_eq!(stand_in.load(), load);
                        assert_eq!(stand_in.at(frequency).unwrap(), stand_in.impedance(frequency));
                    }
                    Err(LoadError::Quantity(QuantityError::OutOfRange(_))) if is_fixed::<A>() => {}
                    Err(error) => panic!("{load:?} at {frequency}: {error}"),
                }
            }
        }
        let frequency = Hertz::from_megahertz(71);
        // Controls: another load, and the series parts in place of those side by side.
        let load = ohms::<A>(20.0, -35.0);
        for stand_in in [
            StandIn::series(load, frequency),
            StandIn::parallel(load, frequency),
        ] {
            imitates(stand_in.unwrap(), load).unwrap();
            imitates(stand_in.unwrap(), ohms(20.1, -35.0)).unwrap_err();
            imitates(stand_in.unwrap(), ohms(20.0, 35.0)).unwrap_err();
        }
        let plain = StandIn::series(ohms::<A>(50.0, 0.0), frequency).unwrap();
        assert_eq!(plain.parts(), StandInParts::Resistor(word(50.0)));
        assert_eq!(StandIn::parallel(ohms::<A>(50.0, 0.0), frequency).unwrap(), plain);
        for (load, error) in [
            (Impedance::OPEN, QuantityError::OutOfRange("load")),
            (Impedance::SHORT, QuantityError::NotPositive("load resistance")),
            (ohms(-1.0, 3.0), QuantityError::NotPositive("load resistance")),
        ] {
            assert_eq!(StandIn::<A>::series(load, frequency), Err(error.into()));
            assert_eq!(StandIn::<A>::parallel(load, frequency), Err(error.into()));
        }
        assert_eq!(
            StandIn::series(ohms::<A>(5.0, 3.0), Hertz::new(0)),
            Err(QuantityError::NotPositive("frequency").into())
        );
    }
    every_family!(check);
}

#[test]
fn leads() {
    fn check<A: Arithmetic>() {
        let frequency = Hertz::from_megahertz(71);
        let stand_in = StandIn::series(ohms::<A>(1.6, 5.0), frequency).unwrap();
        let none = stand_in.with_leads(coil(0.0));
        assert!(!none.swamped && none.swr.to_f64() < 1.0001);
        // 10 mm of 0.5 mm wire, by the formula.
        let wire = RoundWire::<f64>::from_millimetres(0.5).unwrap();
        let lead = wire.inductance(10e-3).unwrap().get();
        let effect = stand_in.with_leads(coil(lead));
        assert!(effect.swamped);
        let added = omega(frequency) * henries(coil::<A>(lead));
        near("lead", effect.lead_reactance.to_f64(), added, 2e-4 + 1e-5).unwrap();
        near("seen", held(effect.seen).1, 5.0 + added, 5e-4).unwrap();
        // Γ of jX on a matched source: jX/(2R + jX).
        let gamma = added / (2.0 * 1.6f64).hypot(added);
        let swr = (1.0 + gamma) / (1.0 - gamma);
        near("swr", effect.swr.to_f64(), swr, 1e-3 * swr).unwrap();
        // A tenth of |Z| = 5.25 Ω is 0.525 Ω, which is 1.177 nH here.
        assert!(!stand_in.with_leads(coil(1.17e-9)).swamped);
        assert!(stand_in.with_leads(coil(1.19e-9)).swamped);
    }
    every_family!(check);
}
