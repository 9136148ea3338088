//! The ideal transformer: every row of `data/transformer_published.csv`, the laws of turns and ratios, and the ranking
//! against a search over all pairs. All loads are invented.

use crate::common::complex::{C, c};
use crate::common::impedances::{
    farads, half_a_femtofarad, half_a_picohenry, half_a_ratio, half_a_step, held, henries, ohms, omega,
    source, swr_by_distance,
};
use crate::common::law::{Law, near};
use crate::common::published::{all_refused, number_behind};
use crate::common::{Random, Row, Table, is_fixed};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::design::transformer::{
    CancellingPart, MagnitudeRule, Remedy, TransformerError, Turns, TurnsChoice, TurnsRanking,
    wanted_impedance_ratio,
};
use ohmwright::quantity::{Degrees, Hertz, Impedance, Ohms, Ratio, Reactor, Reference, Swr};

const REMEDIES: [Remedy; 3] = [Remedy::TurnsAlone, Remedy::SeriesElement, Remedy::ShuntElement];

fn turns(primary: u8, secondary: u8) -> Turns {
    Turns::new(primary, secondary).unwrap()
}

/// A handful of roundings of the working number, relative.
fn roundings<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 1e-8,
        Family::F32 | Family::SoftF32 => 8e-7,
        _ => 2e-15,
    }
}

/// What rounding a resistance to the family costs, relative.
fn entry<A: Arithmetic>(resistance: f64) -> f64 {
    half_a_step::<A>() / resistance + roundings::<A>()
}

fn swr_slack<A: Arithmetic>(swr: f64) -> f64 {
    crate::common::swr_slack::<A>(swr, roundings::<A>())
}

// ---- Published values -------------------------------------------------------------------------------------------

/// `a:b` behind `key`.
fn pair(text: &str, key: &str) -> (u8, u8) {
    let first = number_behind(text, key);
    let start = text.find(key).unwrap() + key.len();
    let second = number_behind(&text[start..], ":");
    (first as u8, second as u8)
}

fn published_row<A: Arithmetic>(row: Row<'_>) -> Law {
    let (id, inputs) = (row.text("id"), row.text("inputs"));
    // f64 must meet the row; the others also lose what rounding the inputs costs.
    let own = |slack: f64| {
        let row_says = row.number("tolerance");
        if A::FAMILY == Family::F64 {
            row_says
        } else {
            row_says + slack
        }
    };
    match id {
        "T3-001" | "T3-003" | "T3-004" | "T3-006" | "T3-007" | "T3-009" | "T3-010" => {
            let (z1, z2, want) = (
                number_behind(inputs, "Z1="),
                number_behind(inputs, "Z2="),
                row.number("expected"),
            );
            let ratio = wanted_impedance_ratio::<A>(ohms(z1, 0.0), source(z2))
                .unwrap()
                .to_f64();
            let lost = half_a_ratio::<A>() / ratio + entry::<A>(z1);
            near(id, ratio.sqrt(), want, own(want * lost))?;
            // The rule of the trade is right about resistances.
            let rule = MagnitudeRule::<A>::apply(ohms(z1, 0.0), source(z2), 20).unwrap();
            let wound = f64::from(rule.turns.primary()) / f64::from(rule.turns.secondary());
            let left = (want / wound).powi(2).max((wound / want).powi(2));
            let slack = left * entry::<A>(z1) + swr_slack::<A>(left);
            near(id, rule.swr_promised.to_f64(), left, slack)?;
            // Whole turns give it exactly where a pair of at most 20 exists.
            let exact = (1..=20).any(|n| (want * f64::from(n)).fract() < 1e-4 && want * f64::from(n) < 20.5);
            if exact {
                near(id, wound, want, 1e-4)
            } else {
                Ok(())
            }
        }
        "T3-011" | "T3-013" | "T3-014" | "T3-016" | "T3-017" => {
            let (n2, n1) = pair(inputs, "N2:N1=");
            let (z1, want) = (number_behind(inputs, "Z1="), row.number("expected"));
            let seen = turns(n1, n2).seen_from_secondary(ohms::<A>(z1, 0.0));
            let slack = own(half_a_step::<A>() + want * roundings::<A>());
            near(id, seen.resistance().to_f64(), want, slack)?;
            near(id, seen.reactance().to_f64(), 0.0, 0.0)?;
            // And the source is matched by it.
            let choice = TurnsChoice::new(turns(n1, n2), ohms::<A>(want, 0.0), source(z1), None).unwrap();
            near(
                id,
                choice.reflection.swr().to_f64(),
                1.0,
                entry::<A>(want) + swr_slack::<A>(1.0),
            )
        }
        "T3-019" | "T3-021" | "T3-022" | "T3-024" | "T3-025" => {
            let (wanted, want) = (number_behind(inputs, "ratio "), row.number("expected"));
            let (n1, n2) = pair(inputs, "turns ");
            let resistance = 50.0 / wanted;
            let (load, z0) = (ohms::<A>(resistance, 0.0), Reference::<A>::fifty());
            let asked = wanted_impedance_ratio(load, z0).unwrap().to_f64();
            let entry = entry::<A>(resistance);
            near(id, asked, wanted, half_a_ratio::<A>() + wanted * entry)?;
            let slack = own(want * entry + swr_slack::<A>(want));
            let choice = TurnsChoice::new(turns(n1, n2), load, z0, None).unwrap();
            for remedy in REMEDIES {
                near(id, choice.swr(remedy).to_f64(), want, slack)?;
            }
            let seen = turns(n1, n2).seen_from_primary(load).reflection(z0);
            near(id, seen.swr().to_f64(), want, slack + half_a_step::<A>() / 50.0)?;
            // No pair of at most nine turns leaves more than this one under the rule.
            let rule = MagnitudeRule::apply(load, z0, 9).unwrap();
            near(id, rule.swr_promised.to_f64().max(want), want, slack)
        }
        // Perfect balance: the halves of a centre-tapped winding are equal and 180° apart, so that their sum vanishes.
        "T3-142" => {
            let [(one, at), (other, opposite)] = turns(1, 1).balanced_halves::<A>();
            let part =
                |share: Ratio<A>, degrees: Degrees<A>| share.to_f64() * degrees.to_f64().to_radians().cos();
            let (s21, s31) = (part(one, at), part(other, opposite));
            let rejection = 20.0 * ((s21 - s31) / (s21 + s31)).abs().log10();
            assert_eq!(row.text("expected"), "+infinity");
            near(id, rejection, f64::INFINITY, 0.0)
        }
        other => Err(format!("nobody checks row {other}")),
    }
}

#[test]
fn published_values() {
    let table = Table::parse(include_str!("../data/transformer_published.csv"));
    for row in table.rows() {
        every_family!(published_row(row).unwrap());
    }
    assert_eq!(table.rows().count(), 18);
}

#[test]
fn a_wrong_or_unknown_row_is_noticed() {
    fn check<A: Arithmetic>() {
        let rows = [
            "T3-001,\"Z1=50, Z2=200\",,1,2.1,2e-9",
            "T3-011,\"N2:N1=3:1, Z1=50\",,ohm,451,1e-7",
            "T3-019,\"wanted impedance ratio 9.5238, turns 3:1\",,1,1.07,1e-9",
            "T3-999,,,1,2,0",
        ];
        all_refused(
            "id,inputs,quantity,unit,expected,tolerance",
            &rows,
            published_row::<A>,
        );
    }
    every_family!(check);
}

/// An ideal balanced winding: half of the secondary's voltage at each end, 180° apart (common practice, no source).
#[test]
fn balanced_halves() {
    fn check<A: Arithmetic>() {
        for (primary, secondary) in [(1, 1), (1, 2), (2, 3), (255, 1), (1, 255), (255, 255)] {
            let [(one, at), (other, opposite)] = turns(primary, secondary).balanced_halves::<A>();
            assert_eq!(one, other);
            assert_eq!((at.to_f64(), opposite.to_f64()), (0.0, 180.0));
            let want = f64::from(secondary) / (2.0 * f64::from(primary));
            near(
                "half",
                one.to_f64(),
                want,
                half_a_ratio::<A>() + want * roundings::<A>(),
            )
            .unwrap();
        }
    }
    every_family!(check);
}

// ---- Laws of the ratio ------------------------------------------------------------------------------------------

/// `back` is `z` again, although between the two the family held an impedance of `ratio` times its size.
fn is_back<A: Arithmetic>(z: Impedance<A>, back: Impedance<A>, ratio: f64) -> Law {
    let (z, back) = (held(z), held(back));
    let slack = half_a_step::<A>() * (1.0 + 1.0 / ratio) + z.size() * roundings::<A>();
    near("resistance", back.re, z.re, slack)?;
    near("reactance", back.im, z.im, slack)
}

/// `seen` is `z` through a ratio; what the family cannot hold is an open.
fn is_scaled<A: Arithmetic>(z: Impedance<A>, seen: Impedance<A>, ratio: f64, roundings_before: f64) -> Law {
    let want = held(z).times(ratio);
    if want.re.abs().max(want.im.abs()) > 524_000.0 && is_fixed::<A>() {
        return if seen.is_open() {
            Ok(())
        } else {
            Err(format!("{seen:?} is no open"))
        };
    }
    let slack = half_a_step::<A>() * (1.0 + roundings_before) + want.size() * roundings::<A>();
    near("resistance", held(seen).re, want.re, slack)?;
    near("reactance", held(seen).im, want.im, slack)
}

fn random_load<A: Arithmetic>(random: &mut Random) -> Impedance<A> {
    ohms(random.decades(0.05, 4000.0).abs(), random.decades(0.05, 4000.0))
}

fn ratio_laws<A: Arithmetic>() -> Law {
    let mut random = Random::new(31);
    for _ in 0..4000 {
        let z = random_load::<A>(&mut random);
        let mut count = |most: u64| (random.bits() % most) as u8 + 1;
        let (p, s, q, t) = (count(12), count(12), count(12), count(12));
        let (one, two) = (turns(p, s), turns(q, t));
        let ratio = |p: u8, s: u8| (f64::from(p) / f64::from(s)).powi(2);
        let seen = one.seen_from_primary(z);
        is_scaled(z, seen, ratio(p, s), 0.0)?;
        if !seen.is_open() {
            is_back(z, one.seen_from_secondary(seen), ratio(p, s))?;
        }
        // Two in a row are one with the product of the turns.
        let product = turns(p * q, s * t);
        if !seen.is_open() {
            is_scaled(z, two.seen_from_primary(seen), ratio(p * q, s * t), ratio(q, t))?;
        }
        is_scaled(z, product.seen_from_primary(z), ratio(p * q, s * t), 0.0)?;
        let by_words = one.impedance_ratio::<A>().to_f64() * two.impedance_ratio::<A>().to_f64();
        let slack = half_a_ratio::<A>() * (1.0 + ratio(p, s) + ratio(q, t)) + by_words * roundings::<A>();
        near("ratio", product.impedance_ratio::<A>().to_f64(), by_words, slack)?;
    }
    for open_or_short in [Impedance::<A>::OPEN, Impedance::SHORT] {
        let through = turns(3, 2).seen_from_primary(open_or_short);
        if through != open_or_short || turns(3, 2).seen_from_secondary(through) != open_or_short {
            return Err(format!("{open_or_short:?} becomes {through:?}"));
        }
    }
    Ok(())
}

#[test]
fn ratios_multiply_and_turn_back() {
    every_family!(ratio_laws().unwrap());
}

#[test]
fn the_ratio_checkers_can_fail() {
    fn check<A: Arithmetic>() {
        let z = ohms::<A>(30.0, -40.0);
        is_back(z, ohms(30.0, -39.99), 4.0).unwrap_err();
        is_back(z, ohms(30.01, -40.0), 4.0).unwrap_err();
        is_scaled(z, turns(3, 1).seen_from_primary(z), 4.0, 0.0).unwrap_err();
        // The turns ratio itself in place of its square.
        is_scaled(z, turns(2, 1).seen_from_primary(z), 2.0, 0.0).unwrap_err();
    }
    every_family!(check);
    is_scaled(ohms::<Fixed32>(5e5, 0.0), ohms(5e5, 0.0), 4.0, 0.0).unwrap_err();
}

// ---- The ranking against all pairs ------------------------------------------------------------------------------

fn common_divisor(a: u8, b: u8) -> u8 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}

/// Every pair in lowest terms, best first: by SWR, then by turns.
fn all_pairs<A: Arithmetic>(
    load: Impedance<A>,
    z0: Reference<A>,
    most: u8,
    remedy: Remedy,
) -> Vec<(f64, u16)> {
    let mut list = Vec::new();
    for primary in 1..=most {
        for secondary in 1..=most {
            if common_divisor(primary, secondary) == 1 {
                let choice = TurnsChoice::new(turns(primary, secondary), load, z0, None).unwrap();
                list.push((
                    choice.swr(remedy).to_f64(),
                    u16::from(primary) + u16::from(secondary),
                ));
            }
        }
    }
    list.sort_by(|a, b| a.partial_cmp(b).unwrap());
    list
}

/// Pairs of one SWR and as many turns may stand either way round.
fn is_ranking<A: Arithmetic>(
    choices: &[TurnsChoice<A>],
    best: &[(f64, u16)],
    room: usize,
    load: Impedance<A>,
    z0: Reference<A>,
    remedy: Remedy,
) -> Law {
    let keys: Vec<_> = choices
        .iter()
        .map(|choice| {
            let (p, s) = (choice.turns.primary(), choice.turns.secondary());
            (choice.swr(remedy).to_f64(), u16::from(p) + u16::from(s))
        })
        .collect();
    let want = &best[..best.len().min(room)];
    if keys != want {
        return Err(format!("{remedy:?}: {keys:?}, want {want:?}"));
    }
    for (place, choice) in choices.iter().enumerate() {
        let (p, s) = (choice.turns.primary(), choice.turns.secondary());
        if common_divisor(p, s) != 1 {
            return Err(format!("{} is a multiple", choice.turns));
        }
        if choices[..place].iter().any(|other| other.turns == choice.turns) {
            return Err(format!("{} stands twice", choice.turns));
        }
        // The SWR again, from the circuit.
        let (z, n) = (held(load), (f64::from(p) / f64::from(s)).powi(2));
        let left = match remedy {
            Remedy::TurnsAlone => z,
            Remedy::SeriesElement => c(z.re, 0.0),
            Remedy::ShuntElement => c((z.re * z.re + z.im * z.im) / z.re, 0.0),
        };
        let swr = swr_by_distance(left.times(n), z0.ohms().to_f64());
        if swr < 65_000.0 {
            near(
                "swr",
                choice.swr(remedy).to_f64(),
                swr,
                swr_slack::<A>(swr) + swr * 1e-7,
            )?;
        }
    }
    Ok(())
}

fn rankings<A: Arithmetic>() -> Law {
    let mut random = Random::new(5);
    let mut loads: Vec<Impedance<A>> = (0..6).map(|_| random_load(&mut random)).collect();
    // Ties: a match turns 1 : 2 and 2 : 1 into the same SWR; and SWRs beyond the word are all one. 1.6 + j5 Ω: common
    // practice, no source.
    loads.extend([ohms(50.0, 0.0), ohms(25.0, 0.0), ohms(1.6, 5.0), ohms(0.01, 4e4)]);
    for load in loads {
        for (most, z0) in (1..=20).flat_map(|most| [(most, Reference::fifty()), (most, source(75.0))]) {
            for remedy in REMEDIES {
                let best = all_pairs(load, z0, most, remedy);
                let one = TurnsRanking::<A, 1>::new(load, z0, None, most, remedy).unwrap();
                let three = TurnsRanking::<A, 3>::new(load, z0, None, most, remedy).unwrap();
                let eight = TurnsRanking::<A, 8>::new(load, z0, None, most, remedy).unwrap();
                is_ranking(one.as_slice(), &best, 1, load, z0, remedy)?;
                is_ranking(three.as_slice(), &best, 3, load, z0, remedy)?;
                is_ranking(eight.as_slice(), &best, 8, load, z0, remedy)?;
                if (one.remedy(), three.remedy(), eight.remedy()) != (remedy, remedy, remedy) {
                    return Err(format!("{remedy:?} is not told"));
                }
            }
        }
    }
    Ok(())
}

#[test]
fn the_ranking_is_the_search_over_all_pairs() {
    every_family!(rankings().unwrap());
    // No room, no choices.
    let none = TurnsRanking::<f64, 0>::new(ohms(10.0, 3.0), Reference::fifty(), None, 5, Remedy::TurnsAlone);
    assert!(none.unwrap().as_slice().is_empty());
}

#[test]
fn the_ranking_checker_can_fail() {
    fn check<A: Arithmetic>() {
        let (load, z0, remedy) = (ohms::<A>(12.0, 7.0), Reference::fifty(), Remedy::TurnsAlone);
        let best = all_pairs(load, z0, 9, remedy);
        let ranking = TurnsRanking::<A, 3>::new(load, z0, None, 9, remedy).unwrap();
        let [a, b, c] = *ranking.as_slice() else {
            panic!("three")
        };
        let verdict =
            |choices: &[TurnsChoice<A>], best: &[(f64, u16)]| is_ranking(choices, best, 3, load, z0, remedy);
        verdict(&[a, b, c], &best).unwrap();
        verdict(&[b, a, c], &best).unwrap_err();
        verdict(&[a, b], &best).unwrap_err();
        verdict(&[a, a, c], &best).unwrap_err();
        // A multiple, also where the list asks for it.
        let double = TurnsChoice::new(turns(4, 2), load, z0, None).unwrap();
        verdict(&[double], &[(double.swr(remedy).to_f64(), 6)]).unwrap_err();
        // Told of another load.
        let other = ohms::<A>(12.0, 8.0);
        is_ranking(&[a, b, c], &best, 3, other, z0, remedy).unwrap_err();
    }
    every_family!(check);
}

/// The magnitude rule's pair is the nearest of all by the SWR it promises.
#[test]
fn the_magnitude_rule_takes_the_nearest_pair() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(77);
        for _ in 0..60 {
            let load = random_load::<A>(&mut random);
            let z = held(load);
            for most in [1, 2, 5, 12, 20] {
                let rule = MagnitudeRule::apply(load, Reference::fifty(), most).unwrap();
                let size = z.size();
                let slack = half_a_step::<A>() + size * roundings::<A>();
                near("magnitude", rule.magnitude.to_f64(), size, slack).unwrap();
                let asked = half_a_ratio::<A>() + 50.0 / size * roundings::<A>();
                near("ratio", rule.impedance_ratio.to_f64(), 50.0 / size, asked).unwrap();
                let promised = |p: u8, s: u8| {
                    swr_by_distance(c(size * (f64::from(p) / f64::from(s)).powi(2), 0.0), 50.0)
                };
                let best = (1..=most)
                    .flat_map(|p| (1..=most).map(move |s| promised(p, s)))
                    .fold(f64::INFINITY, f64::min);
                // Two pairs may be alike to a rounding, so the SWR is compared, not the turns.
                near("promised", rule.swr_promised.to_f64(), best, swr_slack::<A>(best)).unwrap();
                let (p, s) = (rule.turns.primary(), rule.turns.secondary());
                // In 16 bits each of the two Γ may have been rounded towards the other.
                let rounded = if A::FAMILY == Family::Fixed16 { 2.0 } else { 1.0 };
                near("wound", promised(p, s), best, rounded * swr_slack::<A>(best)).unwrap();
                let n = (f64::from(p) / f64::from(s)).powi(2);
                let truth = swr_by_distance(z.times(n), 50.0).min(Swr::<A>::MAX.to_f64());
                near(
                    "true",
                    rule.reflection.swr().to_f64(),
                    truth,
                    swr_slack::<A>(truth),
                )
                .unwrap();
                is_scaled(load, rule.seen, n, 0.0).unwrap();
            }
        }
    }
    every_family!(check);
}

// ---- Cancelling parts -------------------------------------------------------------------------------------------

/// The reactance of a part from its henries or farads, and how much of it the word's step hides.
fn reactance_of<A: Arithmetic>(part: Reactor<A>, omega: f64) -> (f64, f64) {
    match part {
        Reactor::Inductor(coil) => {
            // A coil at the end of the word stands for any larger one.
            let step = if is_fixed::<A>() && coil.get().is_at_end() {
                f64::INFINITY
            } else {
                half_a_picohenry::<A>()
            };
            (omega * henries(coil), omega * step)
        }
        Reactor::Capacitor(capacitor) => {
            let reactance = -1.0 / (omega * farads(capacitor));
            let hidden = reactance * reactance * omega * half_a_femtofarad::<A>() * 1.01;
            (reactance, hidden)
        }
    }
}

/// What a cancelling part promises for `z` on one side of the transformer, where the load is `z`·`scale`.
fn cancels<A: Arithmetic>(
    z: C,
    part: Option<Reactor<A>>,
    word: Ohms<A>,
    swr: f64,
    z0: f64,
    across: bool,
    omega: f64,
) -> Law {
    let C { re: r, im: x } = z;
    let square = r * r + x * x;
    let (asked, left) = if across {
        (-square / x, square / r)
    } else {
        (-x, r)
    };
    if !word.is_at_end() {
        near(
            "reactance",
            word.to_f64(),
            asked,
            half_a_step::<A>() + asked.abs() * roundings::<A>(),
        )?;
    }
    let (reactance, hidden) = reactance_of(part.ok_or("no part")?, omega);
    let slack = hidden + reactance.abs() * roundings::<A>();
    if across {
        // B of the load and of the part, in units of the part's own, which the step of the word moves.
        let susceptance = -x / square - 1.0 / reactance;
        near(
            "susceptance",
            susceptance,
            0.0,
            slack / (reactance * reactance) + roundings::<A>() / square.sqrt(),
        )?;
    } else {
        near("sum", x + reactance, 0.0, slack + x.abs() * roundings::<A>())?;
    }
    let want = swr_by_distance(c(left, 0.0), z0);
    near("swr", swr, want, swr_slack::<A>(want) + want * 1e-12)
}

fn both_sides<A: Arithmetic>(
    load: Impedance<A>,
    pair: Turns,
    part: &CancellingPart<A>,
    z0: Reference<A>,
    across: bool,
    omega: f64,
) -> Law {
    let n = (f64::from(pair.primary()) / f64::from(pair.secondary())).powi(2);
    let z = held(load);
    let (swr, z0) = (part.swr.to_f64(), z0.ohms().to_f64());
    // On the load's side the source looks like Z0/n.
    cancels(
        z,
        part.load_side,
        part.load_side_reactance,
        swr,
        z0 / n,
        across,
        omega,
    )?;
    cancels(
        z.times(n),
        part.source_side,
        part.source_side_reactance,
        swr,
        z0,
        across,
        omega,
    )
}

fn parts_cancel<A: Arithmetic>() -> Law {
    let mut random = Random::new(8);
    let frequency = Hertz::from_megahertz(14);
    let omega = omega(frequency);
    for _ in 0..3000 {
        // Within what whole picohenries and femtofarads reach on both sides.
        let load = ohms::<A>(random.decades(1.0, 500.0).abs(), random.decades(1.0, 500.0));
        let pair = turns((random.bits() % 5) as u8 + 1, (random.bits() % 5) as u8 + 1);
        let z0 = Reference::fifty();
        let choice = TurnsChoice::new(pair, load, z0, Some(frequency)).unwrap();
        both_sides(load, pair, &choice.series, z0, false, omega)?;
        both_sides(load, pair, &choice.shunt, z0, true, omega)?;
        // The crate's own circuit says so too.
        let added = ohms::<A>(0.0, choice.series.load_side_reactance.to_f64());
        let real = load.in_series(added);
        near(
            "series circuit",
            real.reactance().to_f64(),
            0.0,
            half_a_step::<A>(),
        )?;
        near(
            "series circuit",
            real.resistance().to_f64(),
            held(load).re,
            half_a_step::<A>(),
        )?;
        if let Ok(added) = Impedance::<A>::try_from_f64(0.0, choice.shunt.load_side_reactance.to_f64()) {
            let C { re: r, im: x } = held(load);
            let real = load.in_parallel(added);
            let left = (r * r + x * x) / r;
            // The step of the added word moves B, and what is left turns by as much.
            let moved = half_a_step::<A>() * 3.0 * (1.0 + (left / held(added).im).powi(2))
                + 4.0 * left * roundings::<A>();
            near("shunt circuit", real.resistance().to_f64(), left, moved)?;
            near(
                "shunt circuit",
                real.reactance().to_f64(),
                0.0,
                moved + left * left / held(added).im.abs() * roundings::<A>(),
            )?;
        }
    }
    Ok(())
}

#[test]
fn a_cancelling_part_leaves_a_resistance() {
    every_family!(parts_cancel().unwrap());
}

#[test]
fn the_part_checker_can_fail() {
    fn check<A: Arithmetic>() {
        let (load, pair, z0) = (ohms::<A>(20.0, 30.0), turns(3, 2), Reference::fifty());
        let omega = omega(Hertz::from_megahertz(14));
        let choice = TurnsChoice::new(pair, load, z0, Some(Hertz::from_megahertz(14))).unwrap();
        both_sides(load, pair, &choice.series, z0, false, omega).unwrap();
        let swapped = CancellingPart {
            load_side: choice.series.source_side,
            ..choice.series
        };
        both_sides(load, pair, &swapped, z0, false, omega).unwrap_err();
        let missing = CancellingPart {
            source_side: None,
            ..choice.shunt
        };
        both_sides(load, pair, &missing, z0, true, omega).unwrap_err();
        let promising = CancellingPart {
            swr: Swr::<A>::try_from_f64(1.0).unwrap(),
            ..choice.shunt
        };
        both_sides(load, pair, &promising, z0, true, omega).unwrap_err();
        both_sides(load, pair, &choice.series, z0, true, omega).unwrap_err();
        both_sides(load, pair, &choice.series, z0, false, omega * 1.01).unwrap_err();
    }
    every_family!(check);
}

/// Without reactance, and without a frequency, there is no part; what is needed then is nothing in series and an open
/// across, and neither changes the circuit.
#[test]
fn nothing_to_cancel() {
    fn check<A: Arithmetic>() {
        let load = ohms::<A>(60.0, 0.0);
        for frequency in [None, Some(Hertz::new(0)), Some(Hertz::from_megahertz(7))] {
            let choice = TurnsChoice::new(turns(1, 2), load, Reference::fifty(), frequency).unwrap();
            for part in [choice.series, choice.shunt] {
                assert_eq!((part.load_side, part.source_side), (None, None));
                near("swr", part.swr.to_f64(), 50.0 / 15.0, swr_slack::<A>(50.0 / 15.0)).unwrap();
            }
            assert_eq!(choice.series.load_side_reactance, Ohms::<A>::ZERO);
            assert_eq!(choice.series.source_side_reactance, Ohms::<A>::ZERO);
            assert_eq!(choice.shunt.load_side_reactance, Ohms::<A>::MAX);
            assert_eq!(choice.shunt.source_side_reactance, Ohms::<A>::MAX);
        }
        let with_reactance =
            TurnsChoice::new(turns(1, 2), ohms::<A>(60.0, 5.0), Reference::fifty(), None).unwrap();
        assert_eq!(with_reactance.series.load_side, None);
        assert_eq!(with_reactance.shunt.source_side, None);
        assert_ne!(with_reactance.series.load_side_reactance, Ohms::<A>::ZERO);
    }
    every_family!(check);
}

// ---- Refusals and extremes --------------------------------------------------------------------------------------

#[test]
fn what_cannot_be_wound_is_refused() {
    for (primary, secondary) in [(0, 1), (1, 0), (0, 0), (0, 255)] {
        assert_eq!(Turns::new(primary, secondary), Err(TransformerError::NoTurns));
    }
    assert_eq!(turns(3, 1).to_string(), "3 : 1");
    fn check<A: Arithmetic>() {
        let z0 = Reference::<A>::fifty();
        let good = ohms::<A>(10.0, 3.0);
        assert_eq!(MagnitudeRule::apply(good, z0, 0), Err(TransformerError::NoTurns));
        let without = Err(TransformerError::LoadWithoutResistance);
        for remedy in REMEDIES {
            let rank = |load, most| TurnsRanking::<A, 2>::new(load, z0, None, most, remedy).map(|_| ());
            assert_eq!(rank(good, 0), Err(TransformerError::NoTurns));
            for load in [
                Impedance::OPEN,
                Impedance::SHORT,
                ohms(0.0, 20.0),
                ohms(-5.0, 20.0),
            ] {
                assert_eq!(rank(load, 5), without);
                assert_eq!(MagnitudeRule::apply(load, z0, 5).map(|_| ()), without);
                assert_eq!(wanted_impedance_ratio(load, z0).map(|_| ()), without);
                assert_eq!(TurnsChoice::new(turns(1, 1), load, z0, None).map(|_| ()), without);
            }
        }
    }
    every_family!(check);
    let texts =
        [TransformerError::NoTurns, TransformerError::LoadWithoutResistance].map(|error| error.to_string());
    assert!(texts[0].contains("turn") && texts[1].contains("resistance"));
}

/// No field of a choice is NaN, and no SWR below 1.
fn is_sound<A: Arithmetic>(choice: &TurnsChoice<A>) -> Law {
    let (series, shunt) = (&choice.series, &choice.shunt);
    let mut numbers = vec![
        choice.reflection.real().to_f64(),
        choice.reflection.imaginary().to_f64(),
    ];
    numbers.extend([choice.seen.resistance(), choice.seen.reactance()].map(|word| word.to_f64()));
    for part in [series, shunt] {
        numbers.extend([part.load_side_reactance, part.source_side_reactance].map(|word| word.to_f64()));
        for reactor in [part.load_side, part.source_side].into_iter().flatten() {
            numbers.push(match reactor {
                Reactor::Inductor(coil) => coil.get().to_f64(),
                Reactor::Capacitor(capacitor) => capacitor.get().to_f64(),
            });
        }
    }
    let ratios = REMEDIES.map(|remedy| choice.swr(remedy).to_f64());
    // `!(x >= 1)` rather than `x < 1`: NaN must not slip through.
    if numbers.iter().any(|number| number.is_nan()) || ratios.iter().any(|swr| swr.is_nan() || *swr < 1.0) {
        return Err(format!("{choice:?}"));
    }
    // A passive load stays passive through a transformer, up to what the last subnormals lose.
    if choice.reflection.magnitude().to_f64() > 1.01 {
        return Err(format!("active: {choice:?}"));
    }
    Ok(())
}

fn extremes<A: Arithmetic>(sizes: &[f64]) -> Law {
    let loads: Vec<Impedance<A>> = sizes
        .iter()
        .flat_map(|r| sizes.iter().flat_map(move |x| [(*r, *x), (*r, -*x)]))
        .chain(sizes.iter().map(|r| (*r, 0.0)))
        .map(|(r, x)| ohms(r, x))
        .collect();
    let frequencies = [None, Some(0), Some(1), Some(145_000_000), Some(u64::MAX)].map(|f| f.map(Hertz::new));
    for load in &loads {
        for z0 in sizes.iter().map(|size| source::<A>(*size)) {
            for (p, s) in [(1, 1), (255, 1), (1, 255), (255, 254)] {
                for frequency in frequencies {
                    match TurnsChoice::new(turns(p, s), *load, z0, frequency) {
                        Ok(choice) => is_sound(&choice)?,
                        // The end of a fixed word is an open.
                        Err(TransformerError::LoadWithoutResistance) if load.is_open() => {}
                        Err(error) => return Err(format!("{load:?}: {error}")),
                    }
                }
                let seen = turns(p, s).seen_from_primary(*load);
                if seen.resistance().to_f64().is_nan() || seen.reactance().to_f64().is_nan() {
                    return Err(format!("{load:?} becomes {seen:?}"));
                }
            }
            if let Ok(rule) = MagnitudeRule::apply(*load, z0, 3) {
                let numbers = [
                    rule.magnitude.to_f64(),
                    rule.impedance_ratio.to_f64(),
                    rule.swr_promised.to_f64(),
                    rule.reflection.magnitude().to_f64(),
                ];
                if numbers.iter().any(|number| number.is_nan()) {
                    return Err(format!("{rule:?}"));
                }
            }
            if wanted_impedance_ratio(*load, z0).is_ok_and(|ratio| ratio.to_f64().is_nan()) {
                return Err(format!("{load:?} wants NaN"));
            }
        }
    }
    // All the turns there are.
    for remedy in REMEDIES {
        let load = ohms::<A>(sizes[0], -sizes[sizes.len() - 1] / 3.0);
        let ranking = TurnsRanking::<A, 4>::new(load, Reference::fifty(), None, u8::MAX, remedy).unwrap();
        for choice in ranking.as_slice() {
            is_sound(choice)?;
        }
    }
    Ok(())
}

#[test]
fn the_ends_of_the_words() {
    extremes::<f64>(&[5e-324, f64::MIN_POSITIVE, 1e-160, 1e-9, 50.0, 1e160, f64::MAX]).unwrap();
    let single = [
        f32::from_bits(1),
        f32::MIN_POSITIVE,
        1e-20,
        1e-9,
        50.0,
        1e20,
        f32::MAX,
    ]
    .map(f64::from);
    extremes::<f32>(&single).unwrap();
    let last = f64::from(i32::MAX) / 4096.0;
    extremes::<Fixed32>(&[1.0 / 4096.0, 1.0, 50.0, 5e4, last - 1.0 / 4096.0, last]).unwrap();
    extremes::<Fixed16>(&[1.0 / 4096.0, 1.0, 50.0, 5e4, last - 1.0 / 4096.0, last]).unwrap();
}

#[test]
fn the_soundness_checker_can_fail() {
    let good = TurnsChoice::<f64>::new(turns(1, 1), ohms(10.0, 3.0), Reference::fifty(), None).unwrap();
    is_sound(&good).unwrap();
    let mut bad = good;
    bad.shunt.load_side_reactance = f64::NAN.into();
    is_sound(&bad).unwrap_err();
    bad = good;
    bad.series.swr = f64::NAN.into();
    is_sound(&bad).unwrap_err();
    bad = good;
    bad.reflection = ohms::<f64>(-10.0, 3.0).reflection(Reference::fifty());
    is_sound(&bad).unwrap_err();
}

/// Seen through enough turns, a large load is an open, not an active one.
#[test]
fn a_load_beyond_the_word_is_an_open() {
    let huge = ohms::<f32>(1e36, 0.0);
    let choice = TurnsChoice::new(turns(255, 1), huge, Reference::fifty(), None).unwrap();
    assert!(choice.seen.is_open());
    assert_eq!(choice.reflection, ohmwright::floating::Reflection::OPEN);
    let large = ohms::<Fixed32>(5e5, 0.0);
    let choice = TurnsChoice::new(turns(255, 1), large, Reference::fifty(), None).unwrap();
    assert!(choice.seen.is_open());
    near("Γ", choice.reflection.magnitude().to_f64(), 1.0, 1e-8).unwrap();
    let large = ohms::<Fixed16>(5e5, 0.0);
    let choice = TurnsChoice::new(turns(255, 1), large, Reference::fifty(), None).unwrap();
    assert!(choice.seen.is_open());
    assert_eq!(choice.reflection, ohmwright::small_fixed_point::Reflection::OPEN);
}
