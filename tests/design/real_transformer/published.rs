//! Every row of `data/real_transformer_published.csv`.

use core::f64::consts::TAU;

use ohmwright::arithmetic::Arithmetic;
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::design::transformer::{
    ImpedanceSide, LineKind, LineTransformer, RealTransformer, Turns, USUAL_MAGNETISING_MULTIPLE, coupling,
    minimum_choking_impedance, minimum_magnetising_inductance, mutual_inductance,
};
use ohmwright::quantity::{Component, Hertz, Reference, Reflection};

use super::{LINE_AT, decibel_slack, entry, hertz, line, reflection_slack, roundings};
use crate::common::impedances::{coil, half_a_ratio, half_a_step, held, henries, ohms, word};
use crate::common::law::near;
use crate::common::published::{all_refused, number_behind};
use crate::common::{Row, Table, is_fixed};

/// A transformer 1 : 1 with these reactances at 1 MHz, in ohms; `None` for as large as the words allow.
fn simple<A: Arithmetic>(leakage: f64, magnetising: Option<f64>) -> RealTransformer<A> {
    let w = TAU * 1e6;
    let open = magnetising.map_or(endless::<A>(), |x| x / w) + leakage / w;
    RealTransformer::wound(Turns::new(1, 1).unwrap(), coil(open), coil(leakage / w)).unwrap()
}

/// As large as a word of inductance allows, or as large as does not matter.
fn endless<A: Arithmetic>() -> f64 {
    if is_fixed::<A>() { 4.2e-3 } else { 1e3 }
}

fn published_row<A: Arithmetic>(row: Row<'_>) -> Result<(), String> {
    let (id, inputs, quantity) = (row.text("id"), row.text("inputs"), row.text("quantity"));
    let own = |slack: f64| -> f64 {
        let row_says = row.text("tolerance").parse().unwrap_or(1e-12);
        row_says + if A::FAMILY == Family::F64 { 0.0 } else { slack }
    };
    let want = || row.number("expected");
    let mhz = Hertz::from_megahertz(1);
    let fifty = Reference::<A>::fifty();
    let matched = ohms::<A>(50.0, 0.0);
    // |Γ| to SWR: (S + 1)²/2 of the slack of Γ.
    let swr_slack = |swr: f64| {
        half_a_ratio::<A>() + (2.0 * reflection_slack::<A>() + roundings::<A>()) * (swr + 1.0).powi(2)
    };
    let place: u32 = id[3..].parse().map_err(|_| format!("nobody checks row {id}"))?;
    let swr = |gamma: Reflection<A>| near(id, gamma.swr().to_f64(), want(), own(swr_slack(want())));
    match place {
        26 | 30 | 32 | 36 => {
            let shunt = simple::<A>(0.0, Some(50.0 * number_behind(inputs, "XL =")));
            swr(shunt.reflection(matched, mhz, fifty).unwrap())
        }
        27 | 31 | 33 | 37 => {
            let shunt = simple::<A>(0.0, Some(50.0 * number_behind(inputs, "XL =")));
            let loss = shunt.insertion_loss(matched, mhz, fifty).unwrap().to_f64();
            near(id, loss, want(), own(decibel_slack::<A>()))?;
            near(
                id,
                shunt.loss(matched, mhz).unwrap().to_f64(),
                0.0,
                decibel_slack::<A>(),
            )
        }
        38 => {
            let seen = simple::<A>(0.0, Some(200.0))
                .input_impedance(matched, mhz)
                .unwrap();
            let got = seen.magnitude().to_f64() / 50.0;
            near(id, got, want(), own(half_a_step::<A>() / 25.0 + roundings::<A>()))?;
            near(id, got, row.number("printed"), row.number("printed_tol"))
        }
        39 | 41 | 42 | 44 => {
            let (f, r, times) = (
                number_behind(inputs, "f="),
                number_behind(inputs, "R="),
                number_behind(inputs, "XL="),
            );
            let least = minimum_magnetising_inductance::<A>(word(r), hertz(f), word(times)).unwrap();
            let slack = want() * (roundings::<A>() + entry::<A>(want() * 1e-6));
            near(id, henries(least) * 1e6, want(), own(slack))?;
            assert_eq!(f64::from(USUAL_MAGNETISING_MULTIPLE), 4.0);
            Ok(())
        }
        82 => {
            let k = coupling::<A>(coil(10e-6), coil(40e-6), coil(19e-6)).unwrap();
            near(
                id,
                k.to_f64(),
                want(),
                own(reflection_slack::<A>() + roundings::<A>()),
            )
        }
        83..=86 if place != 85 => {
            let coils =
                RealTransformer::<A>::coupled(coil(10e-6), coil(40e-6), word::<Component<A>>(0.95)).unwrap();
            // What the word of k hides: 2·k·dk.
            let lost = 4.0 * reflection_slack::<A>() + roundings::<A>();
            match place {
                83 => near(id, henries(coils.leakage()) * 1e6, want(), own(10.0 * lost)),
                84 => {
                    let tee = coils.tee(mhz).unwrap();
                    let w = TAU;
                    for (got, text) in [tee.primary, tee.secondary, tee.common]
                        .into_iter()
                        .zip(row.text("expected").split(';'))
                    {
                        let want: f64 = text.parse().unwrap();
                        near(
                            id,
                            got.to_f64() / w,
                            want,
                            1e-12 + half_a_step::<A>() + 40.0 * lost,
                        )?;
                    }
                    Ok(())
                }
                _ => {
                    let parts = [
                        henries(coils.leakage()) * 1e6,
                        henries(coils.magnetising()) * 1e6,
                        // The row has N2:N1; ours is primary over secondary, squared.
                        1.0 / coils.impedance_ratio().to_f64().sqrt(),
                    ];
                    let slacks = [10.0 * lost, 10.0 * lost, 8.0 * (lost + half_a_ratio::<A>())];
                    for ((got, slack), text) in
                        parts.into_iter().zip(slacks).zip(row.text("expected").split(';'))
                    {
                        near(id, got, text.parse().unwrap(), 1e-12 + slack)?;
                    }
                    near(id, henries(coils.primary_inductance()) * 1e6, 10.0, 1e-5)?;
                    near(
                        id,
                        henries(coils.secondary_inductance()) * 1e6,
                        40.0,
                        40.0 * lost + 1e-5,
                    )?;
                    near(
                        id,
                        henries(coils.mutual_inductance()) * 1e6,
                        19.0,
                        40.0 * lost + 1e-5,
                    )?;
                    near(id, coils.coupling().to_f64(), 0.95, lost + 1e-7)
                }
            }
        }
        85 => {
            let mutual = mutual_inductance::<A>(coil(88e-6), coil(12e-6)).unwrap();
            near(id, henries(mutual) * 1e6, want(), own(88.0 * roundings::<A>()))
        }
        87 | 88 | 91 | 92 => {
            let k = number_behind(inputs, "k=");
            let coils =
                RealTransformer::<A>::coupled(coil(10e-6), coil(40e-6), word::<Component<A>>(k)).unwrap();
            let (load, f) = (ohms::<A>(200.0, 0.0), hertz(3.5e6));
            // The word of k moves L1·(1 − k²), 220 Ω of it.
            let moved = 2.0 * 220.0 * reflection_slack::<A>();
            if place == 87 || place == 91 {
                let seen = held(coils.input_impedance(load, f).unwrap());
                let (r, x) = row.text("expected").split_once(';').unwrap();
                let slack = own(half_a_step::<A>() + 880.0 * roundings::<A>() + moved);
                near(id, seen.re, r.parse().unwrap(), slack)?;
                near(id, seen.im, x.parse().unwrap(), slack)
            } else {
                let gamma = coils.reflection(load, f, fifty).unwrap();
                let slack = own(swr_slack(want()) + moved / 10.0 + 40.0 * roundings::<A>());
                near(id, gamma.swr().to_f64(), want(), slack)
            }
        }
        93 | 95 | 96 => {
            let series = simple::<A>(50.0 * number_behind(inputs, "X="), None);
            let gamma = series.reflection(matched, mhz, fifty).unwrap();
            // 4.2 mH at 1 MHz is 26 kΩ across 50 Ω.
            let across = if is_fixed::<A>() {
                6e-3 * want()
            } else {
                1e-7 * want()
            };
            near(id, gamma.swr().to_f64(), want(), across + own(swr_slack(want())))?;
            // In fixed point far better with the formula's own circuit: the load behind a coil.
            let behind = ohms::<A>(50.0, 50.0 * number_behind(inputs, "X=")).reflection(fifty);
            swr(behind)
        }
        97 => {
            let transformer = RealTransformer::<A>::wound(
                Turns::new(1, 1).unwrap(),
                coil(endless::<A>()),
                coil(number_behind(inputs, "leakage ") * 1e-6),
            )
            .unwrap();
            let band = transformer
                .useful_band(&matched, fifty, word(1.5), hertz(5e6), [hertz(1e6), hertz(100e6)])
                .unwrap();
            // Exact to one part in a million, as documented; 4.2 mH across is 50 Ω against 570 kΩ.
            let across = if is_fixed::<A>() { 3e-4 } else { 0.0 };
            near(
                id,
                band.high.get() as f64 / 1e6,
                want(),
                want() * (across + 1.2e-6 + roundings::<A>()),
            )?;
            assert!(band.low_open && !band.high_open);
            Ok(())
        }
        98 | 100 | 101 => {
            let (low, high) = match place {
                98 => (50.0, 200.0),
                100 => (50.0, 50.0),
                _ => (12.5, 50.0),
            };
            let best = LineTransformer::<A>::optimum_impedance(word(low), word(high)).unwrap();
            near(
                id,
                best.to_f64(),
                want(),
                own(half_a_step::<A>() + want() * roundings::<A>()),
            )
        }
        102..=116 => {
            let eighths = match place {
                102 | 103 => 0.0,
                106 | 107 | 116 => 1.0,
                108 | 109 => 1.5,
                112 | 113 => 3.0,
                114 => 4.0,
                _ => return Err(format!("nobody checks row {id}")),
            };
            let z0 = if place == 116 { 75.0 } else { 100.0 };
            let load = ohms::<A>(200.0, 0.0);
            let at = if eighths == 0.0 {
                Hertz::new(1)
            } else {
                hertz(LINE_AT)
            };
            let kind = line::<A>(
                LineKind::Ruthroff,
                z0,
                if eighths == 0.0 { 1e-3 } else { eighths },
            );
            // The word of metres: 7.6 µm of 30 m, and as an angle 1.6e-6 of 2π at most; Zin turns with it.
            let angle = if is_fixed::<A>() { 3e-6 } else { 1e-6 };
            let lost = |scale: f64| {
                scale * (roundings::<A>() * 10.0 + if A::FAMILY == Family::F64 { 1e-14 } else { angle })
            };
            let seen = kind.input_impedance(load, at, ImpedanceSide::Low).unwrap();
            let gamma = kind.reflection(load, at, ImpedanceSide::Low, fifty).unwrap();
            match quantity {
                _ if place == 114 => {
                    // Everything comes back.
                    near(
                        id,
                        gamma.magnitude().to_f64(),
                        1.0,
                        1e-5 + 2.0 * reflection_slack::<A>(),
                    )
                }
                _ if quantity.starts_with("power loss") => {
                    let loss = gamma.mismatch_loss().to_f64();
                    let steep = 10f64.powf(want() / 10.0) * 10.0;
                    let slack = decibel_slack::<A>() + steep * (reflection_slack::<A>() + lost(1.0));
                    near(id, loss, want(), own(slack))
                }
                _ => {
                    let (r, x) = row.text("expected").split_once(';').unwrap();
                    let slack = own(half_a_step::<A>() + lost(400.0));
                    near(id, held(seen).re, r.parse().unwrap(), slack)?;
                    near(id, held(seen).im, x.parse().unwrap(), slack)
                }
            }
        }
        118 => {
            for eighths in [0.1, 1.0, 2.0, 3.7] {
                let guanella = line::<A>(LineKind::Guanella(2), 100.0, eighths);
                for f in [1e6, 10e6, 33e6] {
                    let gamma = guanella
                        .reflection(ohms(200.0, 0.0), hertz(f), ImpedanceSide::Low, fifty)
                        .unwrap();
                    swr(gamma)?;
                }
            }
            Ok(())
        }
        119 => {
            assert!(
                row.text("expected")
                    .contains("10 x Z0 (500 ohm in 50 ohm systems)")
            );
            near(id, minimum_choking_impedance(fifty).to_f64(), 500.0, 1e-9)
        }
        // Balance is measured: `tests/measure/balance.rs` has its rows.
        _ => Err(format!("nobody checks row {id}")),
    }
}

#[test]
fn published_values() {
    fn check<A: Arithmetic>() {
        let table = Table::parse(include_str!("../../data/real_transformer_published.csv"));
        for row in table.rows() {
            published_row::<A>(row).unwrap_or_else(|error| panic!("{:?}: {error}", A::FAMILY));
        }
        assert_eq!(table.rows().count(), 41);
    }
    every_family!(check);
}

#[test]
fn a_wrong_or_unknown_row_is_noticed() {
    fn check<A: Arithmetic>() {
        let rows = [
            "T3-026,shunt XL = 1 R across,SWR,2.62,1e-9",
            "T3-027,shunt XL = 1 R between,loss,0.97,1e-10",
            "T3-039,\"lowest f=1.8e6 Hz, R=50 ohm, XL=4 R\",L,17.69,1e-8",
            "T3-083,k=0.95,L,0.98,1e-9",
            "T3-084,k=0.95,L,9;21;19,0",
            "T3-087,\"k=0.999\",Z,47.5;11.23,1e-8",
            "T3-107,x,input,42.6776695296637;3.05,1e-9",
            "T3-108,x,power loss,0.213,1e-9",
            "T3-105,x,power loss,0.213,1e-9",
            "T3-999,x,y,1,1",
        ];
        all_refused("id,inputs,quantity,expected,tolerance", &rows, published_row::<A>);
    }
    every_family!(check);
}
