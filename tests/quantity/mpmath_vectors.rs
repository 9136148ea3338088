//! The reference tables of `data/`, computed with 50 digits by mpmath, a general-purpose library: every row, in every
//! family, to the table of bounds.

use crate::common::readouts::{READOUTS, column, read, readout_truth, scale};
use crate::common::{Row, Table, truth, within, word_within};
use ohmwright::arithmetic::accuracy::Readout;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::quantity::{Component, Impedance, Ratio, Reference, Reflection};

type Check = Result<(), String>;

const GAMMA: f64 = 1.0 / (1u64 << 30) as f64;
const OHM: f64 = 1.0 / 4096.0;

/// These families hold whole steps exactly, the others only their own rounding of them.
fn is_exact<A: Arithmetic>() -> bool {
    A::FAMILY == f64::FAMILY || A::FAMILY == Fixed32::FAMILY
}

fn gamma<A: Arithmetic>(row: Row) -> Reflection<A> {
    let (re, im) = (row.bits("re_bits"), row.bits("im_bits"));
    // Held at the ends of a shorter word.
    Reflection::<f64>::try_from_f64(re as f64 * GAMMA, im as f64 * GAMMA)
        .unwrap()
        .convert()
}

fn reference<A: Arithmetic>(row: Row, column: &str) -> Reference<A> {
    Reference::try_from_f64(row.bits(column) as f64 * OHM).unwrap()
}

fn impedance<A: Arithmetic>(row: Row) -> Impedance<A> {
    let (r, x) = (row.bits("resistance_bits"), row.bits("reactance_bits"));
    Impedance::try_from_f64(r as f64 * OHM, x as f64 * OHM).unwrap()
}

fn named(row: usize, result: Check) {
    if let Err(message) = result {
        panic!("data row {row}: {message}");
    }
}

/// The answers of the file; for `none` what the documentation of the readout says.
fn from_file(row: Row) -> impl Fn(Readout) -> (f64, f64) {
    move |readout| {
        let (name, none) = column(readout);
        let value = row.answer(name).unwrap_or(none);
        let size = row.number("impedance_magnitude_ohm");
        (value, scale(readout, value, size))
    }
}

/// 1 − |Γ|², from the bits.
fn passive_of(row: Row) -> f64 {
    crate::common::passive_bits(row.bits("re_bits"), row.bits("im_bits")) as f64 * 2f64.powi(-60)
}

/// The answers of the oracle, for a Γ the family has rounded.
fn from_oracle<A: Arithmetic>(gamma: Reflection<A>, z0: Reference<A>) -> impl Fn(Readout) -> (f64, f64) {
    let place = (gamma.real().to_f64(), gamma.imaginary().to_f64());
    move |readout| readout_truth(readout, place, z0.ohms().to_f64())
}

/// `wanted` gives the true value of a readout, and the scale that its bound refers to.
fn check_reflection<A: Arithmetic>(
    gamma: Reflection<A>,
    z0: Reference<A>,
    passive: f64,
    wanted: impl Fn(Readout) -> (f64, f64),
) -> Check {
    let family = A::FAMILY;
    for readout in READOUTS {
        let (got, low, high) = read(readout, gamma, z0);
        let (want, scale) = wanted(readout);
        within(readout, family, got, want.clamp(low, high), scale, passive)?;
    }
    // The side of the rim: fixed point knows it from the bits, floating point a few roundings away from it.
    let exact = family == Fixed32::FAMILY || family == Fixed16::FAMILY;
    if exact || passive == 0.0 || passive.abs() > 2e-7 {
        if gamma.is_total() != (passive <= 0.0) {
            return Err(format!("{gamma:?}: is_total is {}", gamma.is_total()));
        }
        if gamma.is_active() != (passive < 0.0) {
            return Err(format!("{gamma:?}: is_active is {}", gamma.is_active()));
        }
    }
    Ok(())
}

fn reflection_rows<A: Arithmetic>() {
    let table = Table::parse(include_str!("../data/reflection_vectors.csv"));
    let mut count = 0;
    for (number, row) in table.rows().enumerate() {
        count += 1;
        let (gamma, z0) = (gamma::<A>(row), reference::<A>(row, "reference_bits"));
        let result = if is_exact::<A>() {
            check_reflection(gamma, z0, passive_of(row), from_file(row))
        } else {
            let passive = truth(gamma.real().to_f64(), gamma.imaginary().to_f64()).passive;
            check_reflection(gamma, z0, passive, from_oracle(gamma, z0))
        };
        named(number + 2, result);
    }
    assert_eq!(count, 390);
}

#[test]
fn reflection_vectors() {
    every_family!(reflection_rows);
}

/// The oracle the other tests use gives what the file says, near the rim too.
#[test]
fn the_oracle_agrees_with_the_file() {
    let close = |got: f64, want: f64, what: &str| {
        let right = got == want || (got - want).abs() <= 1e-15 * want.abs().max(1e-300);
        assert!(right, "{what}: {got:e} {want:e}");
    };
    let table = Table::parse(include_str!("../data/reflection_vectors.csv"));
    for row in table.rows() {
        let gamma = gamma::<f64>(row);
        let (file, own) = (
            from_file(row),
            from_oracle(gamma, reference(row, "reference_bits")),
        );
        for readout in READOUTS {
            close(own(readout).0, file(readout).0, &format!("{readout:?}"));
        }
        let passive = truth(gamma.real().to_f64(), gamma.imaginary().to_f64()).passive;
        close(passive, passive_of(row), "1 − |Γ|²");
    }
}

/// The answers for an impedance.
struct Loaded {
    /// `None` at Z = −Z0.
    gamma: Option<(f64, f64)>,
    /// `None` for nothing at all.
    parallel: Option<(f64, f64)>,
    admittance: Option<(f64, f64)>,
    q: f64,
    size: f64,
}

fn loaded_from_file(row: Row) -> Loaded {
    let pair = |a: &str, b: &str| row.answer(a).zip(row.answer(b));
    Loaded {
        gamma: pair("gamma_re", "gamma_im"),
        parallel: pair("parallel_resistance_ohm", "parallel_reactance_ohm"),
        admittance: pair("conductance_s", "susceptance_s"),
        q: row.answer("q").unwrap_or(0.0),
        size: row.number("impedance_magnitude_ohm"),
    }
}

fn loaded_from_oracle<A: Arithmetic>(z: Impedance<A>, z0: Reference<A>) -> Loaded {
    let (r, x, z0) = (
        z.resistance().to_f64(),
        z.reactance().to_f64(),
        z0.ohms().to_f64(),
    );
    let nothing = r == 0.0 && x == 0.0;
    let square = r * r + x * x;
    let over = |part: f64| if part == 0.0 { f64::INFINITY } else { square / part };
    Loaded {
        gamma: (r != -z0 || x != 0.0).then(|| crate::common::wave_truth((r, x), (z0, 0.0))),
        parallel: (!nothing).then(|| (over(r), over(x))),
        admittance: (!nothing).then(|| crate::common::inverse(r, x)),
        q: if x == 0.0 { 0.0 } else { (x / r).abs() },
        size: r.hypot(x),
    }
}

fn check_impedance<A: Arithmetic>(z: Impedance<A>, z0: Reference<A>, want: &Loaded) -> Check {
    let family = A::FAMILY;
    let gamma = z.reflection(z0);
    match want.gamma {
        Some((re, im)) => {
            let size = re.hypot(im);
            word_within(Readout::Reflection, family, gamma.real(), re, size, 1.0)?;
            word_within(Readout::Reflection, family, gamma.imaginary(), im, size, 1.0)?;
        }
        // Z = −Z0 reflects without limit: the negative end of the range.
        None => {
            let end = if family.is_fixed() { -2.0 } else { -1_048_576.0 };
            within(Readout::Reflection, family, gamma.real().to_f64(), end, 0.0, 1.0)?;
            within(
                Readout::Reflection,
                family,
                gamma.imaginary().to_f64(),
                0.0,
                0.0,
                1.0,
            )?;
        }
    }
    let (rp, xp) = want.parallel.unwrap_or((0.0, 0.0));
    let parallel = z.parallel_form();
    word_within(
        Readout::Resistance,
        family,
        parallel.resistance,
        rp,
        rp.abs(),
        1.0,
    )?;
    word_within(Readout::Reactance, family, parallel.reactance, xp, xp.abs(), 1.0)?;
    let y = z.admittance();
    match want.admittance {
        Some((g, b)) => {
            let size = g.hypot(b);
            word_within(Readout::Conductance, family, y.conductance(), g, size, 1.0)?;
            word_within(Readout::Susceptance, family, y.susceptance(), b, size, 1.0)?;
        }
        None if y.is_short() => {}
        None => return Err(format!("a short has the admittance {y:?}")),
    }
    word_within(Readout::Q, family, z.q(), want.q, want.q, 1.0)?;
    word_within(
        Readout::ImpedanceMagnitude,
        family,
        z.magnitude(),
        want.size,
        want.size,
        1.0,
    )
}

fn impedance_rows<A: Arithmetic>() {
    let table = Table::parse(include_str!("../data/impedance_vectors.csv"));
    let mut count = 0;
    for (number, row) in table.rows().enumerate() {
        count += 1;
        let (z, z0) = (impedance::<A>(row), reference::<A>(row, "reference_bits"));
        let want = if is_exact::<A>() {
            loaded_from_file(row)
        } else {
            loaded_from_oracle(z, z0)
        };
        named(number + 2, check_impedance(z, z0, &want));
        if is_exact::<A>() {
            named(number + 2, check_reflected_impedance(row, z, z0));
        }
    }
    assert_eq!(count, 255);
}

/// |Γ| and SWR of the row, through the reflection of the impedance: what Γ lost is allowed for.
fn check_reflected_impedance<A: Arithmetic>(row: Row, z: Impedance<A>, z0: Reference<A>) -> Check {
    let gamma = z.reflection(z0);
    let held = truth(gamma.real().to_f64(), gamma.imaginary().to_f64());
    word_within(
        Readout::Swr,
        A::FAMILY,
        gamma.swr(),
        held.swr,
        held.swr,
        held.passive,
    )?;
    let size = row.number("magnitude");
    if size < 1.4 {
        let slack = 1.5 * crate::common::allowance::<A>(Readout::Reflection, size)
            + crate::common::allowance::<A>(Readout::Magnitude, size);
        let got = gamma.magnitude().to_f64();
        if (got - size).abs() > slack {
            return Err(format!("|Γ| of Z: {got} {size}"));
        }
        // dSWR = 2·d|Γ|/(1 − |Γ|)², written for a step that may reach the rim.
        if let Some(swr) = row.answer("swr").filter(|swr| swr.is_finite()) {
            let (near, far) = ((size - slack).max(0.0), size + slack);
            let low = (1.0 + near) / (1.0 - near) - crate::common::allowance::<A>(Readout::Swr, swr);
            let high = if far < 1.0 {
                (1.0 + far) / (1.0 - far) * 1.000_001
            } else {
                f64::INFINITY
            };
            let got = gamma.swr().to_f64();
            let saturated = got == Ratio::<A>::MAX.to_f64() && high > got;
            if !(saturated || (low..=high + 1e-5).contains(&got)) {
                return Err(format!("SWR of Z: {got} not in {low}..{high}"));
            }
        }
    }
    Ok(())
}

#[test]
fn impedance_vectors() {
    every_family!(impedance_rows);
}

/// Power waves on a complex source, and the share that is taken.
fn check_source<A: Arithmetic>(
    load: Impedance<A>,
    source: Impedance<A>,
    want: Option<((f64, f64), f64)>,
) -> Check {
    let wave = load
        .power_wave_reflection(source)
        .map_err(|error| error.to_string())?;
    let share = load.share_taken_from(source).map_err(|error| error.to_string())?;
    let Some(((re, im), fraction)) = want else {
        // Zl = −Zs: without limit, the negative ends.
        let limit = if A::FAMILY == Fixed32::FAMILY {
            -2.0
        } else if A::FAMILY == Fixed16::FAMILY {
            // The limit of both signs is the largest component, one step short of the word's negative end.
            2f64.powi(-14) - 2.0
        } else {
            -1_048_576.0
        };
        within(
            Readout::Reflection,
            A::FAMILY,
            wave.real().to_f64(),
            limit,
            0.0,
            1.0,
        )?;
        return if share == Component::<A>::MIN {
            Ok(())
        } else {
            Err(format!("share {share:?} at the pole"))
        };
    };
    let size = re.hypot(im);
    word_within(Readout::Reflection, A::FAMILY, wave.real(), re, size, 1.0)?;
    word_within(Readout::Reflection, A::FAMILY, wave.imaginary(), im, size, 1.0)?;
    let want = fraction.clamp(Component::<A>::MIN.to_f64(), Component::<A>::MAX.to_f64());
    // The ends of the 16-bit word are in `want` already: what is left is one rounding.
    let slack = if A::FAMILY == Fixed16::FAMILY {
        crate::common::allowance::<A>(Readout::Reflection, 1.0)
    } else {
        crate::common::share_allowance::<A>() * fraction.abs().max(1.0)
    };
    if (share.to_f64() - want).abs() <= slack {
        Ok(())
    } else {
        Err(format!("share {share:?}, want {want}"))
    }
}

fn source_rows<A: Arithmetic>() {
    let table = Table::parse(include_str!("../data/complex_source_vectors.csv"));
    let mut count = 0;
    for (number, row) in table.rows().enumerate() {
        count += 1;
        let column = |name: &str| row.number(name);
        let source =
            Impedance::<A>::try_from_f64(column("source_resistance_ohm"), column("source_reactance_ohm"));
        let load = Impedance::<A>::try_from_f64(column("load_resistance_ohm"), column("load_reactance_ohm"));
        let (source, load) = (source.unwrap(), load.unwrap());
        let pair = |z: Impedance<A>| (z.resistance().to_f64(), z.reactance().to_f64());
        let (s, l) = (pair(source), pair(load));
        let exact = s == (column("source_resistance_ohm"), column("source_reactance_ohm"))
            && l == (column("load_resistance_ohm"), column("load_reactance_ohm"));
        let want = match row.answer("wave_re").zip(row.answer("wave_im")) {
            None => None,
            Some(wave) if exact => Some((wave, column("transducer_fraction"))),
            Some(_) => Some((crate::common::wave_truth(l, s), crate::common::share_truth(l, s))),
        };
        named(number + 2, check_source(load, source, want));

        let gamma = gamma::<A>(row);
        let (from, to) = (
            reference::<A>(row, "reference1_bits"),
            reference(row, "reference2_bits"),
        );
        let moved = gamma.change_reference(from, to);
        if gamma == Reflection::OPEN {
            // Also where +1 is beyond the word: its largest component is the open, against any reference.
            assert_eq!(moved, gamma, "data row {}", number + 2);
            continue;
        }
        let want = match row.answer("moved_re").zip(row.answer("moved_im")) {
            None => None,
            Some(moved) if is_exact::<A>() => Some(moved),
            Some(_) => Some(crate::common::moved_truth(
                (gamma.real().to_f64(), gamma.imaginary().to_f64()),
                from.ohms().to_f64(),
                to.ohms().to_f64(),
            )),
        };
        named(number + 2, check_moved(moved, want));
    }
    assert_eq!(count, 80);
}

fn check_moved<A: Arithmetic>(moved: Reflection<A>, want: Option<(f64, f64)>) -> Check {
    let Some((re, im)) = want else {
        // Minus the new reference: far out, past what the family can say exactly.
        let far = if A::FAMILY.is_fixed() { 1.99 } else { 1000.0 };
        let size = moved.real().to_f64().hypot(moved.imaginary().to_f64());
        return if size > far {
            Ok(())
        } else {
            Err(format!("{moved:?} at the pole"))
        };
    };
    crate::common::moved_within(moved, (re, im))
}

#[test]
fn complex_source_vectors() {
    every_family!(source_rows);
}

/// Control: each checker refuses an answer that belongs to another row.
#[test]
fn a_wrong_answer_is_noticed() {
    let table = Table::parse(include_str!("../data/reflection_vectors.csv"));
    let rows: Vec<_> = table
        .rows()
        .filter(|row| row.text("kind") == "disc")
        .take(20)
        .collect();
    for pair in rows.windows(2) {
        let gamma = gamma::<Fixed32>(pair[0]);
        let z0 = reference(pair[0], "reference_bits");
        let passive = passive_of(pair[0]);
        assert!(check_reflection(gamma, z0, passive, from_file(pair[0])).is_ok());
        assert!(check_reflection(gamma, z0, passive, from_file(pair[1])).is_err());
        assert!(check_reflection(gamma, z0, -passive, from_file(pair[0])).is_err());
        // Each readout by itself.
        let (right, other) = (from_file(pair[0]), from_file(pair[1]));
        for spoilt in READOUTS {
            let wanted = |readout| {
                if readout == spoilt {
                    other(readout)
                } else {
                    right(readout)
                }
            };
            let refused = check_reflection(gamma, z0, passive, wanted).is_err();
            assert!(refused || other(spoilt).0 == right(spoilt).0, "{spoilt:?}");
        }
    }
    let table = Table::parse(include_str!("../data/impedance_vectors.csv"));
    let rows: Vec<_> = table
        .rows()
        .filter(|row| row.text("kind") == "usual")
        .take(20)
        .collect();
    for pair in rows.windows(2) {
        let z = impedance::<f64>(pair[0]);
        let z0 = reference(pair[0], "reference_bits");
        assert!(check_impedance(z, z0, &loaded_from_file(pair[0])).is_ok());
        assert!(check_impedance(z, z0, &loaded_from_file(pair[1])).is_err());
    }
    let source = Impedance::<f64>::new(20.0, 35.0).unwrap();
    let load = Impedance::<f64>::new(20.0, -35.0).unwrap();
    assert!(check_source(load, source, Some(((0.0, 0.0), 1.0))).is_ok());
    assert!(check_source(load, source, Some(((1e-14, 0.0), 1.0))).is_err());
    assert!(check_source(load, source, Some(((0.0, 0.0), 0.999))).is_err());
    assert!(check_source(load, source, None).is_err());
    let source = Impedance::<Fixed16>::try_from_f64(20.0, 35.0).unwrap();
    let load = Impedance::<Fixed16>::try_from_f64(20.0, -35.0).unwrap();
    assert!(check_source(load, source, Some(((0.0, 0.0), 1.0))).is_ok());
    assert!(check_source(load, source, Some(((3.3e-5, 0.0), 1.0))).is_err());
    assert!(check_source(load, source, Some(((0.0, 0.0), 0.9999))).is_err());
    assert!(check_source(load, source, None).is_err());
    assert!(check_moved(Reflection::<Fixed16>::MATCHED, Some((3.3e-5, 0.0))).is_err());
    assert!(check_moved(Reflection::<Fixed16>::MATCHED, None).is_err());
    assert!(check_moved(Reflection::<f64>::MATCHED, Some((1e-14, 0.0))).is_err());
    assert!(check_moved(Reflection::<f64>::MATCHED, None).is_err());
}
