//! Loads: tables, equivalent circuits, conventions, the load line (every row of `data/load_published.csv`) and
//! stand-ins. All devices are invented.

use crate::common::complex::{C, c};
use crate::common::impedances::{
    capacitor, coil, farads, half_a_femtofarad, half_a_picohenry, half_a_step, held, henries, ohms, omega,
    word,
};
use crate::common::law::{Law, near};
use crate::common::published::{all_refused, number_behind};
use crate::common::{Random, Row, Table, is_fixed};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::design::load::{
    Load, LoadCircuit, LoadError, LoadTable, LookingIn, OneSide, Presented, PushPull, SideToSide, StandIn,
    StandInParts,
};
use ohmwright::design::winding::RoundWire;
use ohmwright::quantity::{Hertz, Impedance, Ohms, QuantityError, Volts, Watts};

fn roundings<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 2e-8,
        Family::F32 | Family::SoftF32 => 1e-6,
        _ => 2e-15,
    }
}

// ---- Published values -------------------------------------------------------------------------------------------

fn published_row<A: Arithmetic>(row: Row<'_>) -> Law {
    let (id, inputs, want) = (row.text("id"), row.text("inputs"), row.number("expected"));
    // The fixed words hold 13.8 V to half a step, and the square of it doubles that.
    let lost = |volts: f64| 4.0 * half_a_step::<A>() / volts + roundings::<A>();
    let own = |slack: f64| row.number("tolerance") + if A::FAMILY == Family::F64 { 0.0 } else { slack };
    let stage = |supply: f64, saturation: f64| {
        PushPull::<A>::new(word::<Volts<A>>(supply), word::<Volts<A>>(saturation)).unwrap()
    };
    match id {
        "T3-120" | "T3-122" | "T3-123" | "T3-125" => {
            let (supply, saturation) = (number_behind(inputs, "Vdd="), number_behind(inputs, "Vsat="));
            let load = stage(supply, saturation)
                .side_to_side(word::<Watts<A>>(number_behind(inputs, " P=")))
                .unwrap();
            let slack = half_a_step::<A>() + want * lost(supply - saturation);
            near(id, load.0.target().resistance().to_f64(), want, own(slack))?;
            near(id, load.0.target().reactance().to_f64(), 0.0, 0.0)?;
            let half = load.one_side().0.target().resistance().to_f64();
            near(id, half, want / 2.0, own(slack))
        }
        "T3-129" => {
            let load = SideToSide(Presented::new(ohms::<A>(12.5, 0.0)));
            let (supply, saturation) = (number_behind(inputs, "Vdd="), number_behind(inputs, "Vsat="));
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
        let table = Table::parse(include_str!("../data/load_published.csv"));
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
        let rows = [
            "T3-120,\"Vdd=13.8 V, Vsat=1 V, P=100 W\",3.278,1e-9",
            "T3-129,\"Vdd=13.8, Vsat=1\",26.22,1e-9",
            "T3-998,\"Vdd=13.8, Vsat=1\",26.22,1e-9",
        ];
        all_refused("id,inputs,expected,tolerance", &rows, published_row::<A>);
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
) -> Law {
    let share = (at.get() - low.0.get()) as f64 / (high.0.get() - low.0.get()) as f64;
    let (one, other) = (held(low.1), held(high.1));
    let slack = half_a_step::<A>()
        + roundings::<A>() * (one.re.abs() + other.re.abs() + one.im.abs() + other.im.abs());
    let want = one + (other - one).times(share);
    near("R", held(got).re, want.re, slack)?;
    near("X", held(got).im, want.im, slack)
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
                assert_eq!(
                    table.at(Hertz::new(outside)),
                    Err(LoadError::BeyondTable(Hertz::new(outside)))
                );
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
        (LoadError::BeyondTable(Hertz::new(5)), "5 Hz lies outside"),
        (
            LoadError::Quantity(QuantityError::NotPositive("frequency")),
            "frequency",
        ),
    ] {
        assert!(error.to_string().contains(says), "{error}");
    }
}

// ---- Circuits ---------------------------------------------------------------------------------------------------

fn side_by_side(one: C, other: C) -> C {
    one * other / (one + other)
}

fn is_impedance<A: Arithmetic>(got: Impedance<A>, want: C, scale: f64) -> Law {
    let slack = half_a_step::<A>() + scale * roundings::<A>();
    near("R", held(got).re, want.re, slack)?;
    near("X", held(got).im, want.im, slack)
}

#[test]
fn circuits_are_what_they_say() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(17);
        for _ in 0..500 {
            let frequency = Hertz::new(random.decades(1e6, 3e8).abs() as u64);
            let w = omega(frequency);
            let resistance = word::<Ohms<A>>(random.decades(0.5, 2000.0).abs());
            let l = coil::<A>(random.decades(1e-9, 1e-5).abs());
            let part = capacitor::<A>(random.decades(1e-12, 1e-9).abs());
            let (r, xl, xc) = (resistance.to_f64(), w * henries(l), -1.0 / (w * farads(part)));
            let series = LoadCircuit::Series {
                resistance,
                inductance: l,
                capacitance: Some(part),
            };
            let scale = r + xl + xc.abs();
            is_impedance(series.at(frequency).unwrap(), c(r, xl + xc), scale).unwrap();
            let behind = LoadCircuit::ParallelBehindLead {
                resistance,
                capacitance: part,
                lead: l,
            };
            let inner = side_by_side(c(r, 0.0), c(0.0, xc));
            is_impedance(behind.impedance(frequency), inner + c(0.0, xl), scale).unwrap();
            let parallel = LoadCircuit::Parallel {
                resistance,
                inductance: Some(l),
                capacitance: part,
            };
            let x = xl * xc / (xl + xc);
            let want = side_by_side(c(r, 0.0), c(0.0, x));
            // Near the resonance the difference of the two is a small one.
            let scale = r * (1.0 + r / xl + r / xc.abs());
            is_impedance(parallel.impedance(frequency), want, scale).unwrap();
            // A control: a tenth of a per cent of the capacitance.
            if (xc / scale).abs() > 0.01 {
                let other = capacitor::<A>(farads(part) * 1.01);
                let wrong = LoadCircuit::Series {
                    resistance,
                    inductance: l,
                    capacitance: Some(other),
                };
                is_impedance(
                    wrong.impedance(frequency),
                    c(r, xl + xc),
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
        let resistance = word::<Ohms<A>>(50.0);
        let (l, part) = (coil::<A>(1e-6), capacitor::<A>(1e-10));
        let (no_coil, no_capacitor) = (coil::<A>(0.0), capacitor::<A>(0.0));
        let direct = Hertz::new(0);
        let series = |inductance, capacitance| LoadCircuit::Series {
            resistance,
            inductance,
            capacitance,
        };
        assert_eq!(series(l, Some(part)).impedance(direct), Impedance::OPEN);
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
        let volts = word::<Volts<A>>;
        let new = |supply, saturation| PushPull::<A>::new(volts(supply), volts(saturation));
        assert_eq!(new(0.0, 0.0), Err(QuantityError::NotPositive("supply voltage")));
        assert_eq!(new(-5.0, 0.0), Err(QuantityError::NotPositive("supply voltage")));
        assert_eq!(new(5.0, -1.0), Err(QuantityError::Negative("saturation voltage")));
        assert_eq!(
            new(5.0, 5.0),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "saturation voltage",
                rule: "must be below the supply voltage"
            }))
        );
        let stage = new(28.0, 2.0).unwrap();
        assert_eq!(
            (stage.supply().to_f64(), stage.saturation().to_f64()),
            (28.0, 2.0)
        );
        for bad in [0.0, -3.0] {
            assert_eq!(
                stage.side_to_side(word::<Watts<A>>(bad)),
                Err(QuantityError::NotPositive("power"))
            );
        }
        let load = |r, x| SideToSide(Presented::new(ohms::<A>(r, x)));
        assert_eq!(
            stage.power(load(0.0, 1.0)),
            Err(QuantityError::NotPositive("load resistance"))
        );
        let open = SideToSide(Presented::new(Impedance::OPEN));
        assert_eq!(
            stage.power(open),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "load",
                rule: "must not be an open"
            }))
        );
        for power in [1.0, 17.0, 100.0, 1000.0] {
            let asked = stage.side_to_side(word::<Watts<A>>(power)).unwrap();
            let r = asked.0.target().resistance().to_f64();
            let back = stage.power(asked).unwrap().to_f64();
            let slack = half_a_step::<A>() * (1.0 + power / r) + power * roundings::<A>();
            near("power", back, power, slack).unwrap();
            let single = stage.one_side(word::<Watts<A>>(power)).unwrap();
            assert_eq!(single, asked.one_side());
        }
        // V²·R/|Z|²: with as much reactance as resistance, half of the power.
        let half = stage.power(load(10.0, 10.0)).unwrap().to_f64();
        near("half", half, 26.0 * 26.0 / 10.0, 1e-3).unwrap();
    }
    every_family!(check);
    // What no word holds is refused: 1000 V into a hundredth of a watt.
    let stage = PushPull::<Fixed32>::new(1000, 0).unwrap();
    assert_eq!(
        stage.side_to_side(word::<Watts<Fixed32>>(0.01)),
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
fn imitates<A: Arithmetic>(stand_in: StandIn<A>, load: Impedance<A>) -> Law {
    let w = omega(stand_in.frequency());
    let (r, x) = (held(load).re, held(load).im);
    let size = held(load).size();
    let got = stand_in.impedance(stand_in.frequency());
    // Half a step of the part, carried to |Z|.
    let hidden = match stand_in.parts() {
        StandInParts::ResistorAndCoil(..) => w * half_a_picohenry::<A>(),
        StandInParts::ResistorAndCapacitor(..) => x * x * w * half_a_femtofarad::<A>(),
        // dZ = Z²·dY; the parts' own words of ohms are rounded as well.
        StandInParts::ResistorBesideCapacitor(rp, _) => {
            size * size
                * (w * half_a_femtofarad::<A>()
                    + half_a_step::<A>() * (1.0 / rp.to_f64().powi(2) + (x / size / size).powi(2)))
        }
        StandInParts::ResistorBesideCoil(rp, l) => {
            let rounding = half_a_step::<A>() * (1.0 / rp.to_f64().powi(2) + (x / size / size).powi(2));
            size * size * (half_a_picohenry::<A>() / (w * henries(l).powi(2)) + rounding)
        }
        _ => 0.0,
    };
    let slack = 1.1 * hidden + half_a_step::<A>() + 4.0 * size * (1.0 + size / r) * roundings::<A>();
    near("R", held(got).re, r, slack)?;
    near("X", held(got).im, x, slack)
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
            (
                Impedance::OPEN,
                QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                    parameter: "load",
                    rule: "must not be an open",
                }),
            ),
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
        // A low load, common practice, no source.
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
        near("seen", held(effect.seen).im, 5.0 + added, 5e-4).unwrap();
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
