//! One-port Touchstone files against the specification, row by row, and laws over random input.
//!
//! The rows have stable names (`T7-001` and so on) and stand here with their source. Numbers were
//! computed outside the crate at 40 digits from the data in the row. Data not taken from the
//! specification are invented.

use std::collections::BTreeSet;

use ohmwright::measure::touchstone::*;
use ohmwright::quantity::{Hertz, Reflection};
use proptest::prelude::*;

/// Touchstone File Format Specification Rev 1.1 (EIA/IBIS Open Forum, 2002/2003).
const REV_1_1: &str = "Touchstone Rev 1.1";
/// Touchstone File Format Specification Version 2.0 (IBIS Open Forum, 24 Apr 2009).
const V2_0: &str = "Touchstone Version 2.0";
/// Touchstone File Format Specification Version 2.1 (IBIS Open Forum, Jan 2024), with TSIRD 4.1, 5.1.
const V2_1: &str = "Touchstone Version 2.1";
/// Common practice, no source; follows from the rules of Rev 1.1 and Version 2.0.
const PRACTICE: &str = "common practice";
/// From memory, not read again.
const MEMORY: &str = "from memory";

/// Head of a version 2 file that announces one record.
const HEAD: &str = "[Version] 2.0\n# MHz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n";

fn records(file: &str) -> Result<(Vec<Record>, Summary), TouchstoneError> {
    let mut records = Vec::new();
    let summary = read(file.as_bytes(), |record| records.push(record))?;
    Ok((records, summary))
}

fn reflection(real: f64, imaginary: f64) -> Reflection<f64> {
    Reflection::<f64>::new(real, imaginary).unwrap()
}

// ---------------------------------------------------------------------------------------------
// Rows with a number
// ---------------------------------------------------------------------------------------------

#[derive(Clone, Copy, Debug)]
enum Quantity {
    Hertz,
    Reflection,
    /// In ohms, from the reflection coefficient and the reference.
    Impedance,
    /// Its magnitude.
    ImpedanceMagnitude,
}
use Quantity::{Hertz as F, Impedance as Z, ImpedanceMagnitude as AbsZ, Reflection as G};

const OPEN_EXAMPLE: &str = "# MHz S MA R 50\n2.000 0.894 -12.136";
const Y_FILE: &str = "# GHz Y RI R 50\n1 1.0 0.5";
const Z_FILE: &str = "# MHz Z RI R 50\n100 1.0 0.5";
const ANY_ORDER: &str = "# R 50 RI S KHZ\n7100 +1.5E-1 -2.5e-1";
const DECIBELS: &str = "# MHz S DB R 50\n144.0 -16.0 45";
const DEFAULTS: &str = "#\n0.5 0.3 180";
const FULL_TURN: &str = "# MHz S MA R 50\n10 1 360";
const V2_Z: &str = "[Version] 2.0\n# MHz Z MA\n[Number of Ports] 1\n[Number of Frequencies] 1\n\
    [Reference] 20.0\n[Network Data]\n200 60 -22\n[End]";

/// Name, file of one record, quantity, expected value, absolute tolerance, source of the case.
type Value = (
    &'static str,
    &'static str,
    Quantity,
    (f64, f64),
    f64,
    &'static str,
);

#[rustfmt::skip]
const VALUES: &[Value] = &[
    ("T7-030", OPEN_EXAMPLE, F, (2_000_000.0, 0.0), 0.002, REV_1_1),
    ("T7-031", OPEN_EXAMPLE, G, (0.874020294860635, -0.187948195446853), 8.9e-10, REV_1_1),
    ("T7-032", OPEN_EXAMPLE, Z, (196.076170604898, -367.119228898806), 4.2e-7, REV_1_1),
    ("T7-036", "# MHz Z MA R 75\n100 0.99 -4", AbsZ, (74.25, 0.0), 7.4e-8, V2_0),
    ("T7-037", "# MHz Z MA R 75\n100 0.99 -4", G, (-0.00503125341362148, -0.0349198866010909), 3.5e-11, REV_1_1),
    ("T7-038", "# MHz Z MA R 75\n200 0.80 -22", Z, (55.6310312740072, -22.4763956049547), 6.0e-8, REV_1_1),
    ("T7-041", "# MHz Z MA R 75\n300 0.707 -45", Z, (37.4943370724167, -37.4943370724167), 5.3e-8, REV_1_1),
    ("T7-042", "# MHz Z MA R 75\n300 0.707 -45", AbsZ, (53.025, 0.0), 5.3e-8, V2_0),
    ("T7-043", "# MHz Z MA R 75\n300 0.707 -45", G, (-0.200084571128756, -0.399987915803641), 4.5e-10, REV_1_1),
    ("T7-045", "# MHz Z MA R 75\n400 0.40 -62", AbsZ, (30.0, 0.0), 3.0e-8, V2_0),
    ("T7-046", "# MHz Z MA R 75\n400 0.40 -62", G, (-0.547025556594361, -0.459995141359339), 7.1e-10, REV_1_1),
    ("T7-047", "# MHz Z MA R 75\n500 0.01 -89", Z, (0.0130893048279626, -0.749885771367293), 7.5e-10, REV_1_1),
    ("T7-050", V2_Z, G, (0.514036303333044, -0.144421041362775), 5.3e-10, V2_0),
    ("T7-051", DECIBELS, F, (144_000_000.0, 0.0), 0.14, REV_1_1),
    ("T7-052", DECIBELS, G, (0.112068872384565, 0.112068872384565), 1.6e-10, REV_1_1),
    ("T7-055", ANY_ORDER, F, (7_100_000.0, 0.0), 0.0071, REV_1_1),
    ("T7-056", ANY_ORDER, G, (0.15, -0.25), 2.9e-10, REV_1_1),
    ("T7-057", DEFAULTS, F, (500_000_000.0, 0.0), 0.5, REV_1_1),
    ("T7-058", DEFAULTS, G, (-0.3, 0.0), 3.0e-10, REV_1_1),
    ("T7-060", Y_FILE, Z, (40.0, -20.0), 4.5e-8, REV_1_1),
    ("T7-062", Z_FILE, F, (100_000_000.0, 0.0), 0.1, REV_1_1),
    ("T7-064", Z_FILE, G, (0.0588235294117647, 0.235294117647059), 2.4e-10, REV_1_1),
    ("T7-065", FULL_TURN, F, (10_000_000.0, 0.0), 0.01, REV_1_1),
    ("T7-066", FULL_TURN, G, (1.0, 0.0), 1.0e-9, REV_1_1),
];

/// `R (1 + g) / (1 - g)`, written out here so that the check does not lean on the crate.
fn impedance_ohm(gamma: Reflection<f64>, reference_ohm: f64) -> (f64, f64) {
    let (a, b) = (gamma.real(), gamma.imaginary());
    let square = (1.0 - a) * (1.0 - a) + b * b;
    (
        reference_ohm * (1.0 - a * a - b * b) / square,
        reference_ohm * 2.0 * b / square,
    )
}

fn quantity(file: &str, quantity: Quantity) -> (f64, f64) {
    let (found, summary) = records(file).unwrap();
    assert_eq!(found.len(), 1);
    let gamma = found[0].reflection;
    let z = impedance_ohm(gamma, summary.reference_ohm);
    match quantity {
        Quantity::Hertz => (found[0].frequency.get() as f64, 0.0),
        Quantity::Reflection => (gamma.real().get(), gamma.imaginary().get()),
        Quantity::Impedance => z,
        Quantity::ImpedanceMagnitude => (z.0.hypot(z.1), 0.0),
    }
}

fn agrees(value: &Value, file: &str) -> bool {
    let found = quantity(file, value.2);
    (found.0 - value.3.0).abs() <= value.4 && (found.1 - value.3.1).abs() <= value.4
}

#[test]
fn rows_with_a_number() {
    for value in VALUES {
        assert!(
            agrees(value, value.1),
            "{} ({}): {:?}",
            value.0,
            value.5,
            quantity(value.1, value.2)
        );
    }
}

/// Control: the check above sees a wrong digit in the last data line of every row.
#[test]
fn a_wrong_digit_breaks_every_row_with_a_number() {
    for value in VALUES {
        let start = value.1.rfind("[Network Data]\n").map_or_else(
            || value.1.find('\n').unwrap() + 1,
            |at| at + "[Network Data]\n".len(),
        );
        let mut seen = false;
        for at in start..value.1.len() {
            let digit = value.1.as_bytes()[at];
            if !digit.is_ascii_digit() || value.1[start..at].contains('\n') {
                continue;
            }
            let mut wrong = value.1.as_bytes().to_vec();
            wrong[at] = if digit == b'9' { b'8' } else { digit + 1 };
            seen |= !agrees(value, std::str::from_utf8(&wrong).unwrap());
        }
        assert!(seen, "{}", value.0);
    }
}

/// The un-normalised twin files of Version 2.0 hold the same impedances as the normalised ones.
#[test]
fn version_1_times_r_is_version_2() {
    let twins = [
        ("100 0.99 -4", "100 74.25 -4"),
        ("300 0.707 -45", "300 53.025 -45"),
        ("400 0.40 -62", "400 30 -62"),
    ];
    for (one, two) in twins {
        let head = HEAD.replace("S RI R 50", "Z MA R 75");
        let (one, _) = records(&format!("# MHz Z MA R 75\n{one}")).unwrap();
        let (two, _) = records(&format!("{head}[Network Data]\n{two}\n[End]")).unwrap();
        assert!((one[0].reflection.real() - two[0].reflection.real()).abs() < 1e-15);
        assert!((one[0].reflection.imaginary() - two[0].reflection.imaginary()).abs() < 1e-15);
    }
}

// ---------------------------------------------------------------------------------------------
// Rows that say what is accepted
// ---------------------------------------------------------------------------------------------

/// Names, source, file, and its records as hertz, real and imaginary part, exactly.
type Taken = (
    &'static [&'static str],
    &'static str,
    &'static str,
    &'static [(u64, f64, f64)],
);

#[rustfmt::skip]
const TAKEN: &[Taken] = &[
    (&["T7-001"], REV_1_1, "# RI R 75 kHz S\n1 0.5 0.25", &[(1_000, 0.5, 0.25)]),
    (&["T7-001"], REV_1_1, "#\tS\tkHz\tR\t75\tRI\n1 0.5 0.25", &[(1_000, 0.5, 0.25)]),
    (&["T7-002"], REV_1_1, "# MHz\n1 0.5 90", &[(1_000_000, 0.0, 0.5)]),
    (&["T7-002"], REV_1_1, "# RI\n1 0.5 90", &[(1_000_000_000, 0.5, 90.0)]),
    (&["T7-002"], REV_1_1, "# Z\n1 1 0", &[(1_000_000_000, 0.0, 0.0)]),
    (&["T7-002", "T7-003"], REV_1_1, "#\n1 0.5 90", &[(1_000_000_000, 0.0, 0.5)]),
    (&["T7-004"], REV_1_1, "# hz RI\n1 0 0", &[(1, 0.0, 0.0)]),
    (&["T7-004"], REV_1_1, "# KHZ RI\n1 0 0", &[(1_000, 0.0, 0.0)]),
    (&["T7-004"], REV_1_1, "# mHz RI\n1 0 0", &[(1_000_000, 0.0, 0.0)]),
    (&["T7-004"], REV_1_1, "# gHz RI\n1 0 0", &[(1_000_000_000, 0.0, 0.0)]),
    (&["T7-005"], REV_1_1, "# S RI\n1 1 0", &[(1_000_000_000, 1.0, 0.0)]),
    (&["T7-005"], REV_1_1, "# Z RI\n1 1 0", &[(1_000_000_000, 0.0, 0.0)]),
    (&["T7-005"], REV_1_1, "# Y RI\n1 0 0", &[(1_000_000_000, 1.0, 0.0)]),
    (&["T7-006"], REV_1_1, "# Hz DB\n1 -20 0", &[(1, 0.1, 0.0)]),
    (&["T7-006", "T7-012"], REV_1_1, "# Hz MA\n1 0.5 -90", &[(1, 0.0, -0.5)]),
    (&["T7-006"], REV_1_1, "# Hz RI\n1 0.5 -90", &[(1, 0.5, -90.0)]),
    (&["T7-012"], REV_1_1, "# Hz MA\n1 1 0\n2 1 90\n3 1 180\n4 1 270\n5 1 -450\n6 1 3600",
        &[(1, 1.0, 0.0), (2, 0.0, 1.0), (3, -1.0, 0.0), (4, 0.0, -1.0), (5, 0.0, -1.0), (6, 1.0, 0.0)]),
    (&["T7-008"], REV_1_1, "! first\n\n! second\n# Hz RI\n# GHz MA\n1 0.5 0.25", &[(1, 0.5, 0.25)]),
    (&["T7-009"], V2_0, "# mhz s ri r 50\n1 5E-1 2.5e-1", &[(1_000_000, 0.5, 0.25)]),
    (&["T7-010", "T7-071"], V2_0, "#\tHz \t RI\n \t1\t\t0.5  0.25 \t", &[(1, 0.5, 0.25)]),
    (&["T7-011", "T7-074"], V2_0, "! [Version] # 1 2 3\n# Hz RI ! S MA\n1 0.5 0.25! 9 ! 9", &[(1, 0.5, 0.25)]),
    (&["T7-013"], REV_1_1, "# Hz RI\n1 0.5 0.25\n2 0.5 0.5", &[(1, 0.5, 0.25), (2, 0.5, 0.5)]),
    (&["T7-014"], REV_1_1, "# Hz RI\r1 0.5 0.25\r2 0 0\r", &[(1, 0.5, 0.25), (2, 0.0, 0.0)]),
    (&["T7-014"], REV_1_1, "# Hz RI\r\n1 0.5 0.25\r\n2 0 0\r\n", &[(1, 0.5, 0.25), (2, 0.0, 0.0)]),
    (&["T7-014"], PRACTICE, "# Hz RI\n1 0.5 0.25\n2 0 0", &[(1, 0.5, 0.25), (2, 0.0, 0.0)]),
    (&["T7-018"], REV_1_1, "# Hz Z RI R 75\n1 1 0", &[(1, 0.0, 0.0)]),
    (&["T7-018"], REV_1_1, "# Hz Y RI R 75\n1 1 0", &[(1, 0.0, 0.0)]),
    (&["T7-019"], V2_0, "[Version] 2.0\n# Hz Z RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n\
        [Network Data]\n1 50 0\n[End]", &[(1, 0.0, 0.0)]),
    (&["T7-019"], V2_0, "[Version] 2.0\n# Hz Y RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n\
        [Network Data]\n1 0.02 0\n[End]", &[(1, 0.0, 0.0)]),
    (&["T7-020", "T7-104"], V2_1, "! comment\n[VERSION] 2.1\n# Hz RI\n[number of ports] 1\n\
        [NUMBER of frequencies]\t1\n[network data]\n1 0.5 0.25\n[end]", &[(1, 0.5, 0.25)]),
    (&["T7-021", "T7-022", "T7-023", "T7-105"], V2_0, "[Version] 2.0\n# Hz RI R 50\n[Number of Ports] 1\n\
        [Number of Frequencies] 2\n[Reference] 75\n[Matrix Format] Lower\n[Begin Information]\n\
        [Anything] it says\n1 2 3 4\n# GHz\n[Network Data]\n[End Information]\n[Network Data]\n\
        1 0.5 0.25\n2 0 0\n[End]", &[(1, 0.5, 0.25), (2, 0.0, 0.0)]),
    (&["T7-105"], PRACTICE, "[Version] 2.0\n# Hz RI\n[Number of Ports] 1\n[Number of Frequencies] 1\n\
        [Matrix Format] FULL\n[Network Data]\n1 0.5 0.25\n[End]", &[(1, 0.5, 0.25)]),
    (&["T7-069"], PRACTICE, "\u{feff}# Hz RI\n1 0.5 0.25", &[(1, 0.5, 0.25)]),
    (&["T7-072"], PRACTICE, "\n\n# Hz RI\n \t \n1 0.5 0.25\n\r\n\n2 0 0\n\n", &[(1, 0.5, 0.25), (2, 0.0, 0.0)]),
    (&["T7-075"], PRACTICE, "#MHz S RI R 50\n1 0.5 0.25", &[(1_000_000, 0.5, 0.25)]),
    (&["T7-083"], PRACTICE, "# Hz RI\n1 0.5 0.25\n# kHz MA FOO\n2 0.5 0.5", &[(1, 0.5, 0.25), (2, 0.5, 0.5)]),
    (&["T7-086"], PRACTICE, "# Hz RI\n-0 -0 .5\n5. +3 1.e-1\n1e9 5. +.5E+0\n1E+10 -0 0",
        &[(0, 0.0, 0.5), (5, 3.0, 0.1), (1_000_000_000, 5.0, 0.5), (10_000_000_000, 0.0, 0.0)]),
    (&["T7-089", "T7-090"], PRACTICE, "# Hz DB\n1 -inf 0\n2 -INF 77\n3 -9000 77", &[(1, 0.0, 0.0), (2, 0.0, 0.0), (3, 0.0, 0.0)]),
    (&["T7-090"], PRACTICE, "# Hz MA\n1 0 180\n2 -0.0 270", &[(1, 0.0, 0.0), (2, 0.0, 0.0)]),
    (&["T7-090"], PRACTICE, "# Hz Z DB\n1 -inf 0", &[(1, -1.0, 0.0)]),
    (&["T7-095"], PRACTICE, "# MHz RI\n0 0.5 0.25\n1 0 0", &[(0, 0.5, 0.25), (1_000_000, 0.0, 0.0)]),
    (&["T7-110"], PRACTICE, "# Hz RI\n1 0.5 0.25", &[(1, 0.5, 0.25)]),
    (&["T7-101"], PRACTICE, "[Version] 2.0\n# Hz RI\n[Number of Ports] 1\n[Number of Frequencies] 1\n\
        [Network Data]\n1 0.5 0.25\n[End]\nwhatever\n2 0 0\n\u{1a}", &[(1, 0.5, 0.25)]),
    (&["T7-025", "T7-102"], V2_1, "[Version] 2.0\n# Hz RI\n[Number of Ports] 1\n[Number of Frequencies] 1\n\
        [Network Data]\n1 0.5 0.25\n", &[(1, 0.5, 0.25)]),
    (&["T7-026"], V2_0, "[Version] 2.0\n# Hz Z RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n\
        [Reference] ! next line\n\n! here\n 75.0\n[Network Data]\n1 75 0\n[End]", &[(1, 0.0, 0.0)]),
];

#[test]
fn rows_that_are_accepted() {
    for (names, source, file, expected) in TAKEN {
        let (found, summary) = records(file).unwrap_or_else(|error| panic!("{names:?} ({source}): {error}"));
        let found: Vec<_> = found
            .iter()
            .map(|record| {
                (
                    record.frequency.get(),
                    record.reflection.real().get(),
                    record.reflection.imaginary().get(),
                )
            })
            .collect();
        assert_eq!(&found, expected, "{names:?} ({source})");
        assert_eq!(summary.records, expected.len() as u64, "{names:?}");
    }
}

/// Angles that are multiples of 90 degrees give positive zeros only.
#[test]
fn exact_angles_have_no_negative_zero() {
    for angle in ["0", "-0", "90", "180", "-180", "270", "-90", "360", "-360", "720"] {
        let (found, _) = records(&format!("# MA\n1 0.3 {angle}")).unwrap();
        for part in [found[0].reflection.real(), found[0].reflection.imaginary()] {
            assert!(
                part.abs() == 0.3 || part.get().to_bits() == 0,
                "{angle}: {part:?}"
            );
        }
    }
}

// ---------------------------------------------------------------------------------------------
// Rows that say what is refused
// ---------------------------------------------------------------------------------------------

/// Names, source, file, and what the error says.
type Refused = (&'static [&'static str], &'static str, &'static str, &'static str);

#[rustfmt::skip]
const REFUSED: &[Refused] = &[
    (&["T7-001"], REV_1_1, "# MHz S RI 50 R\n1 0 0", "line 1: unknown option `50`"),
    (&["T7-001"], REV_1_1, "# MHz S RI R", "line 1: R needs a resistance after it"),
    (&["T7-001"], REV_1_1, "# MHz kHz", "line 1: option `kHz` repeats or contradicts an earlier one"),
    (&["T7-004"], REV_1_1, "# THz S RI R 50", "line 1: unknown option `THz`"),
    (&["T7-005", "T7-080"], REV_1_1, "# MHz H RI R 50", "line 1: `H` is a two-port parameter"),
    (&["T7-005", "T7-080"], REV_1_1, "\n# g", "line 2: `g` is a two-port parameter"),
    (&["T7-007", "T7-077"], REV_1_1, "# R 0", "line 1: reference resistance `0` is not positive"),
    (&["T7-007", "T7-077"], REV_1_1, "# R -50", "line 1: reference resistance `-50` is not positive"),
    (&["T7-007", "T7-077"], REV_1_1, "# R abc", "line 1: `abc` is not a number"),
    (&["T7-007"], REV_1_1, "# R 50+j5", "line 1: `50+j5` is not a number"),
    (&["T7-007"], PRACTICE, "# R 1e13", "line 1: reference resistance `1e13` is out of range"),
    (&["T7-008", "T7-081"], REV_1_1, "! hello\n1 0 0\n# Hz RI", "line 2: expected the option line (#) first"),
    (&["T7-010"], V2_0, "# Hz RI\n1 0 0 ! 5 \u{b5}s", "line 2: byte 0xC2 is not ASCII"),
    (&["T7-010"], V2_0, "# Hz RI\n1 0 0\u{1b}", "line 2: control character 0x1B"),
    (&["T7-010"], V2_0, "# Hz RI\n1 0 0\u{7f}", "line 2: control character 0x7F"),
    (&["T7-010"], V2_0, "# Hz RI\n1 0 0\u{0}", "line 2: control character 0x00"),
    (&["T7-069"], PRACTICE, "\n\u{feff}# Hz RI\n1 0 0", "line 2: byte 0xEF is not ASCII"),
    (&["T7-013"], REV_1_1, "# Hz RI\n1 0 0 0", "line 2: expected 3 numbers, found 4"),
    (&["T7-016"], REV_1_1, "# Hz RI\n1 0 0 0 0 0 0 0 0", "line 2: expected 3 numbers, found 9: looks like two-port data"),
    (&["T7-016"], REV_1_1, "# Hz RI\n1 0 0 0 0 0 0 0 0 0 0", "line 2: expected 3 numbers, found 11"),
    (&["T7-015", "T7-093"], REV_1_1, "# Hz RI\n5 0 0\n5 0 0", "line 3: frequency is not increasing, 5 Hz after 5 Hz"),
    (&["T7-015", "T7-029"], MEMORY, "# Hz RI\n5 0 0\n4 0 0", "line 3: frequency is not increasing, 4 Hz after 5 Hz"),
    (&["T7-093"], PRACTICE, "# Hz RI\n5 0 0\n5.4 0 0", "line 3: frequency is not increasing, 5 Hz after 5 Hz"),
    (&["T7-020"], V2_0, "# Hz RI\n[Version] 2.0", "line 2: [Version] comes too late"),
    (&["T7-020"], V2_0, "[Number of Ports] 1", "line 1: [Number of Ports] needs [Version] before it"),
    (&["T7-020"], V2_0, "[Version] 3.0", "line 1: version `3.0` is not supported, only 2.0 and 2.1"),
    (&["T7-020"], V2_0, "[Version] 2.0 yes", "line 1: unexpected `yes` on the line of [Version]"),
    (&["T7-020"], V2_0, "[Version]", "line 1: [Version] needs a value"),
    (&["T7-020"], V2_0, "[Version] 2.0\n[Version] 2.0", "line 2: [Version] comes twice"),
    (&["T7-021", "T7-028"], V2_0, "[Version] 2.0\n[Number of Ports] 1", "line 2: expected the option line (#) first"),
    (&["T7-028"], V2_1, "[Version] 2.0\n1 0 0", "line 2: expected the option line (#) first"),
    (&["T7-028"], V2_1, "[Version] 2.0\n", "line 1: expected the option line (#) first"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Frequencies] 1", "line 3: [Number of Frequencies] needs [Number of Ports] before it"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Network Data]", "line 4: [Network Data] needs [Number of Frequencies] before it"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Number of Frequencies] 1\n[End]", "line 5: [End] needs [Network Data] before it"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Number of Frequencies] 1\n1 0 0", "line 5: data before [Network Data]"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Number of Frequencies] 1\n[Network Data]\n[Reference] 50", "line 6: [Reference] comes too late"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[End Information]", "line 4: [End Information] needs [Begin Information] before it"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Begin Information]\n[Network Data]", "line 5: the file ends without [End Information]"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n", "line 2: the file ends without [Number of Ports]"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Number of Frequencies] 1\n", "line 4: the file ends without [Network Data]"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Poles] 1", "line 3: unknown keyword `[Number of Poles]`"),
    (&["T7-021"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Mixed-Mode Order] D1", "line 4: [Mixed-Mode Order] is not permitted for a one-port"),
    (&["T7-022"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Number of Ports] 1", "line 4: [Number of Ports] comes twice"),
    (&["T7-022"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 0", "line 3: [Number of Ports] cannot have the value `0`"),
    (&["T7-022"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1.0", "line 3: [Number of Ports] cannot have the value `1.0`"),
    (&["T7-022", "T7-104"], V2_0, "[Version] 2.0\n#\n[number of ports]1", "line 3: [Number of Ports] needs a space after it"),
    (&["T7-104"], PRACTICE, "[Version] 2.0\n#\n[Number of\nPorts] 1", "line 3: keyword `[Number of` has no closing bracket"),
    (&["T7-023"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Number of Frequencies] 0", "line 4: [Number of Frequencies] cannot have the value `0`"),
    (&["T7-098"], PRACTICE, "[Version] 2.0\n# RI\n[Number of Ports] 1\n[Number of Frequencies] 5\n[Network Data]\n1 0 0\n2 0 0\n3 0 0\n4 0 0\n[End]",
        "line 10: [Number of Frequencies] is 5, but the file has 4"),
    (&["T7-098"], PRACTICE, "[Version] 2.0\n# RI\n[Number of Ports] 1\n[Number of Frequencies] 5\n[Network Data]\n1 0 0\n2 0 0\n3 0 0\n4 0 0",
        "line 9: [Number of Frequencies] is 5, but the file has 4"),
    (&["T7-098"], PRACTICE, "[Version] 2.0\n# RI\n[Number of Ports] 1\n[Number of Frequencies] 5\n[Network Data]\n1 0 0\n2 0 0\n3 0 0\n4 0 0\n5 0 0\n6 0 0",
        "line 11: [Number of Frequencies] is 5, but the file has 6"),
    (&["T7-024"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Two-Port Data Order] 12_21", "line 4: [Two-Port Data Order] is not permitted for a one-port"),
    (&["T7-026"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Reference] 50 75", "line 4: a one-port has one reference resistance"),
    (&["T7-026"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Reference] -50", "line 4: reference resistance `-50` is not positive"),
    (&["T7-026"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Reference]\n[Number of Frequencies] 1", "line 5: [Reference] needs a value"),
    (&["T7-026"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Reference]\n# R 50", "line 5: [Reference] needs a value"),
    (&["T7-026"], V2_0, "[Version] 2.0\n#\n[Number of Ports] 1\n[Reference]\n", "line 4: [Reference] needs a value"),
    (&["T7-027"], V2_1, "# MHz S RI R 50 75\n1 0 0", "line 1: a one-port has one reference resistance"),
    (&["T7-029"], MEMORY, "[Version] 2.0\n#\n[Number of Ports] 1\n[Noise Data]", "line 4: [Noise Data] is not permitted for a one-port"),
    (&["T7-029"], MEMORY, "[Version] 2.0\n#\n[Number of Ports] 1\n[Number of Noise Frequencies] 1", "line 4: [Number of Noise Frequencies] is not permitted for a one-port"),
    (&["T7-078"], PRACTICE, "! x\n# MHz S RI R 50 FOO", "line 2: unknown option `FOO`"),
    (&["T7-078"], PRACTICE, "# MHz abcdefghijklmnopqrstuvwxyz", "line 1: unknown option `abcdefghijklmnopqrstuvwx...`"),
    (&["T7-084"], PRACTICE, "# Hz RI\n1 0", "line 2: expected 3 numbers, found 2"),
    (&["T7-087"], PRACTICE, "# Hz RI\n1.0D+03 0 0", "line 2: `1.0D+03` has a Fortran exponent (D), expected E"),
    (&["T7-087"], PRACTICE, "# Hz RI\n1 0 1d0", "line 2: `1d0` has a Fortran exponent (D), expected E"),
    (&["T7-089"], PRACTICE, "# Hz RI\n1 nan 0", "line 2: `nan` is not a finite number"),
    (&["T7-089"], PRACTICE, "# Hz RI\n1 0 -inf", "line 2: `-inf` is not a finite number"),
    (&["T7-089"], PRACTICE, "# Hz DB\n1 inf 0", "line 2: `inf` is not a finite number"),
    (&["T7-089"], PRACTICE, "# Hz DB\n1 0 -inf", "line 2: `-inf` is not a finite number"),
    (&["T7-089"], PRACTICE, "# Hz MA\n1 -inf 0", "line 2: `-inf` is not a finite number"),
    (&["T7-089"], PRACTICE, "# Hz RI\nNaN 0 0", "line 2: `NaN` is not a finite number"),
    (&["T7-092"], PRACTICE, "# Hz MA\n1 -0.5 0", "line 2: magnitude `-0.5` is negative"),
    (&["T7-096"], PRACTICE, "# Hz RI\n-0.1 0 0", "line 2: frequency `-0.1` is negative"),
    (&["T7-099"], PRACTICE, "[Version] 2.0\n#\n[Number of Ports] 2", "line 3: [Number of Ports] is 2, this reader takes one port"),
    (&["T7-105"], PRACTICE, "[Version] 2.0\n#\n[Number of Ports] 1\n[Matrix Format] Round", "line 4: [Matrix Format] cannot have the value `Round`"),
    (&["T7-108"], PRACTICE, "", "no data"),
    (&["T7-108"], PRACTICE, "! one\n! two\n\n", "line 3: no data"),
    (&["T7-108"], PRACTICE, "# MHz S RI R 50\n", "line 1: no data"),
    (&["T7-111"], PRACTICE, "# Hz RI\n1 0\n0", "line 2: expected 3 numbers, found 2"),
    (&["T7-111"], PRACTICE, "# Hz RI\n1\n0 0", "line 2: expected 3 numbers, found 1"),
    // Limits of this crate rather than of the format.
    (&[], PRACTICE, "# GHz RI\n18446744073.8 0 0", "line 2: frequency `18446744073.8` is out of range"),
    (&[], PRACTICE, "# RI\n1 1e400 0", "line 2: `1e400` is out of range"),
    (&[], PRACTICE, "# RI\n1 1e9 0", "line 2: the reflection coefficient is out of range"),
    (&[], PRACTICE, "# DB\n1 1e4 0", "line 2: `1e4` is out of range"),
    (&[], PRACTICE, "# Z RI\n1 -1 0", "line 2: the reflection coefficient is infinite"),
    (&[], PRACTICE, "# Y MA\n1 1 180", "line 2: the reflection coefficient is infinite"),
];

#[test]
fn rows_that_are_refused() {
    for (names, source, file, expected) in REFUSED {
        match records(file) {
            Ok(_) => panic!("{names:?} ({source}): accepted {file:?}"),
            Err(error) => assert_eq!(&error.to_string(), expected, "{names:?} ({source})"),
        }
    }
}

// ---------------------------------------------------------------------------------------------
// Rows that need a check of their own
// ---------------------------------------------------------------------------------------------

const SEPARATE: &[(&str, fn())] = &[
    ("T7-003", defaults_are_known),
    ("T7-017", file_extensions),
    ("T7-025", a_missing_end_is_a_warning),
    ("T7-026", reference_goes_before_r),
    ("T7-034", decibels_of_a_magnitude),
    ("T7-101", text_after_the_end_is_a_warning),
    ("T7-107", a_long_line_is_an_error),
];

#[test]
fn rows_with_a_check_of_their_own() {
    for (name, check) in SEPARATE {
        println!("{name}");
        check();
    }
}

/// Rev 1.1: `#` alone means GHz, S, MA, R 50.
fn defaults_are_known() {
    let mut reader = Reader::new();
    assert_eq!((reader.version(), reader.reference_ohm()), (None, None));
    reader.line(b"#").unwrap();
    assert_eq!(reader.version(), Some(Version::One));
    assert_eq!(reader.unit(), Some(FrequencyUnit::Gigahertz));
    assert_eq!(reader.parameter(), Some(Parameter::Scattering));
    assert_eq!(reader.format(), Some(Format::MagnitudeAngle));
    assert_eq!(reader.reference_ohm(), Some(50.0));
    assert_eq!(reader.announced_records(), None);
}

/// Rev 1.1 and Version 2.0: names of files.
fn file_extensions() {
    assert_eq!(Version::One.file_extension(), "s1p");
    assert_eq!(Version::TwoPointZero.file_extension(), "ts");
    assert_eq!(Version::TwoPointOne.file_extension(), "ts");
}

/// Version 2.1 (TSIRD 4.1): required, but older files lack it.
fn a_missing_end_is_a_warning() {
    let body = format!("{HEAD}[Network Data]\n1 0 0\n");
    assert!(records(&body).unwrap().1.warnings.missing_end);
    assert!(
        !records(&format!("{body}[End]\n! bye\n\n"))
            .unwrap()
            .1
            .warnings
            .any()
    );
    assert!(!records("# RI\n1 0 0").unwrap().1.warnings.any());
}

/// Version 2.0: `[Reference]` overrides `R` of the option line.
fn reference_goes_before_r() {
    let mut reader = Reader::new();
    for line in HEAD.lines().chain(["[Reference] 20.0"]) {
        reader.line(line.as_bytes()).unwrap();
        assert_eq!(reader.reference_ohm(), None);
    }
    assert_eq!(reader.announced_records(), Some(1));
    reader.line(b"[Network Data]").unwrap();
    assert_eq!(reader.reference_ohm(), Some(20.0));
    reader.line(b"1 0 0").unwrap();
    reader.line(b"[End]").unwrap();
    assert_eq!(reader.finish().unwrap().reference_ohm, 20.0);
}

/// 20 lg 0.894 = -0.973249624081647 dB, tolerance 9.7e-10; the specification prints -0.97.
fn decibels_of_a_magnitude() {
    let layout = Layout {
        format: Format::DecibelAngle,
        ..Layout::default()
    };
    let mut writer = Writer::new(String::new(), layout).unwrap();
    writer.record(Hertz::new(1), reflection(0.894, 0.0)).unwrap();
    let text = writer.finish().unwrap();
    let decibels: f64 = text
        .lines()
        .nth(1)
        .unwrap()
        .split(' ')
        .nth(1)
        .unwrap()
        .parse()
        .unwrap();
    assert!((decibels + 0.973249624081647).abs() <= 9.7e-10);
    let (found, _) = records("# DB\n1 -0.973249624081647 0").unwrap();
    assert!((found[0].reflection.real() - 0.894).abs() < 1e-14);
}

/// Our choice: ignored, with a warning; comments give none.
fn text_after_the_end_is_a_warning() {
    let file = format!("{HEAD}[Network Data]\n1 0 0\n[End]\n");
    assert!(!records(&format!("{file}! x")).unwrap().1.warnings.text_after_end);
    assert!(
        records(&format!("{file}2 0 0"))
            .unwrap()
            .1
            .warnings
            .text_after_end
    );
}

/// Common practice: bounded memory, an error, no panic.
fn a_long_line_is_an_error() {
    let mut reader = Reader::new();
    let mut buffer = LineBuffer::<16>::new();
    let mut found = Vec::new();
    let mut chunk: &[u8] = b"# Hz RI\r\n1 0 0 ! this is a long comment\r\n2 0 0\n3 0 0 0";
    loop {
        match buffer.feed(&mut chunk) {
            Ok(Some(line)) => found.extend(reader.line(line).unwrap()),
            Ok(None) => break,
            Err(error) => {
                assert_eq!(error.cause, TouchstoneCause::LineTooLong { limit: 16 });
                assert_eq!(error.to_string(), "line 2: longer than 16 bytes");
                reader.skip_line();
            }
        }
    }
    assert_eq!(found.len(), 1);
    let error = reader.line(buffer.end().unwrap()).unwrap_err();
    assert_eq!(error.to_string(), "line 4: expected 3 numbers, found 4");

    let mut nothing = LineBuffer::<0>::new();
    assert_eq!(nothing.push(b'\n'), Ok(Some(&b""[..])));
    assert!(nothing.push(b'x').is_err());
    assert_eq!(nothing.push(b'y'), Ok(None));
    assert_eq!(nothing.end(), None);
    let mut full = LineBuffer::<3>::new();
    let mut exact: &[u8] = b"abc\n";
    assert_eq!(full.feed(&mut exact), Ok(Some(&b"abc"[..])));
}

/// Every row of the list, by number.
const ROWS: [u32; 83] = [
    1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28,
    29, 30, 31, 32, 34, 36, 37, 38, 41, 42, 43, 45, 46, 47, 50, 51, 52, 55, 56, 57, 58, 60, 62, 64, 65, 66,
    69, 71, 72, 74, 75, 77, 78, 80, 81, 83, 84, 86, 87, 89, 90, 92, 93, 95, 96, 98, 99, 101, 102, 104, 105,
    107, 108, 110, 111,
];

#[test]
fn every_row_is_exercised() {
    let expected: BTreeSet<String> = ROWS.iter().map(|row| format!("T7-{row:03}")).collect();
    let exercised: BTreeSet<String> = VALUES
        .iter()
        .map(|value| value.0)
        .chain(TAKEN.iter().flat_map(|taken| taken.0.iter().copied()))
        .chain(REFUSED.iter().flat_map(|refused| refused.0.iter().copied()))
        .chain(SEPARATE.iter().map(|separate| separate.0))
        .map(str::to_owned)
        .collect();
    assert_eq!(exercised, expected);
}

// ---------------------------------------------------------------------------------------------
// Further checks of the reader
// ---------------------------------------------------------------------------------------------

#[test]
fn warnings_name_what_is_not_quite_right() {
    let (_, summary) = records("\u{feff}# RI\n# MA\n1 0 0").unwrap();
    assert!(summary.warnings.byte_order_mark && summary.warnings.further_option_line);
    assert!(!summary.warnings.keyword_order);

    let out_of_order = "[Version] 2.0\n#\n[Number of Ports] 1\n[Reference] 50\n\
        [Number of Frequencies] 1\n[Network Data]\n1 0 0\n[End]";
    let (_, summary) = records(out_of_order).unwrap();
    assert!(summary.warnings.keyword_order && summary.warnings.any());
    assert_eq!(summary.version, Version::TwoPointZero);
}

#[test]
fn keywords_print_as_the_specification_writes_them() {
    for keyword in Keyword::ALL {
        assert_eq!(keyword.to_string(), format!("[{}]", keyword.words()));
    }
    assert_eq!(Keyword::ALL[1].to_string(), "[Number of Ports]");
}

/// Open and short as impedances and admittances, and values far beyond: no NaN, no overflow.
#[test]
fn extreme_impedances_become_open_and_short() {
    let head = |parameter| HEAD.replace("S RI", parameter);
    for (parameter, value, expected) in [
        ("Z RI", "1e308 0", Reflection::<f64>::OPEN),
        ("Z RI", "-1e308 0", Reflection::<f64>::OPEN),
        ("Z RI", "1e308 -1e308", Reflection::<f64>::OPEN),
        ("Z RI", "0 0", Reflection::<f64>::SHORT),
        ("Z RI", "50 0", Reflection::<f64>::MATCHED),
        ("Y RI", "1e308 0", Reflection::<f64>::SHORT),
        ("Y RI", "0 1e308", Reflection::<f64>::SHORT),
        ("Y RI", "0 0", Reflection::<f64>::OPEN),
        ("Y RI", "0.02 0", Reflection::<f64>::MATCHED),
        ("Z DB", "6000 0", Reflection::<f64>::OPEN),
        ("Z DB", "-inf 0", Reflection::<f64>::SHORT),
    ] {
        let file = format!("{}[Network Data]\n1 {value}\n[End]", head(parameter));
        let found = records(&file).unwrap().0[0].reflection;
        // A huge reactance leaves an imaginary part far below the last bit of 1.
        assert_eq!(found.real(), expected.real(), "{parameter} {value}");
        assert!(found.imaginary().abs() < 1e-300, "{parameter} {value}");
    }
}

// ---------------------------------------------------------------------------------------------
// The writer
// ---------------------------------------------------------------------------------------------

#[test]
fn version_2_has_its_keywords() {
    let layout = Layout {
        unit: FrequencyUnit::Gigahertz,
        format: Format::MagnitudeAngle,
        reference_ohm: 75.0,
        announced_records: Some(2),
    };
    let mut writer = Writer::new(String::new(), layout).unwrap();
    writer.comment("invented: patch on a window").unwrap();
    writer.comment("").unwrap();
    writer.record(Hertz::new(0), reflection(-0.5, 0.0)).unwrap();
    writer
        .record(Hertz::new(2_400_000_001), reflection(0.0, 1e-7))
        .unwrap();
    let text = writer.finish().unwrap();
    assert_eq!(
        text,
        "! invented: patch on a window\n!\n[Version] 2.0\n# GHz S MA R 75\n[Number of Ports] 1\n\
         [Number of Frequencies] 2\n[Network Data]\n0 0.5 180\n2.400000001 1e-7 90\n[End]\n"
    );
    assert!(!records(&text).unwrap().1.warnings.any());
}

#[test]
fn the_writer_refuses_what_cannot_be_read_back() {
    let new = |layout| Writer::new(String::new(), layout);
    for reference_ohm in [0.0, -50.0, f64::NAN, f64::INFINITY, 1e13] {
        let error = new(Layout {
            reference_ohm,
            ..Layout::default()
        })
        .unwrap_err();
        assert!(matches!(error, WriteError::ReferenceOutOfRange(_)), "{error}");
    }
    let none = new(Layout {
        announced_records: Some(0),
        ..Layout::default()
    });
    assert_eq!(none.unwrap_err(), WriteError::NoData);
    assert_eq!(new(Layout::default()).unwrap().finish(), Err(WriteError::NoData));

    let mut writer = new(Layout {
        announced_records: Some(2),
        ..Layout::default()
    })
    .unwrap();
    for (text, character) in [
        ("a\nb", '\n'),
        ("a\rb", '\r'),
        ("5 \u{b5}s", '\u{b5}'),
        ("\u{7f}", '\u{7f}'),
    ] {
        assert_eq!(writer.comment(text), Err(WriteError::CommentCharacter(character)));
    }
    let five = Hertz::new(5);
    writer.record(five, Reflection::<f64>::OPEN).unwrap();
    assert_eq!(
        writer.record(five, Reflection::<f64>::OPEN),
        Err(WriteError::NotIncreasing {
            previous: five,
            found: five
        })
    );
    assert_eq!(
        writer.clone().finish(),
        Err(WriteError::RecordCount {
            announced: 2,
            found: 1
        })
    );
    writer.record(Hertz::new(6), Reflection::<f64>::OPEN).unwrap();
    assert_eq!(
        writer.record(Hertz::new(7), Reflection::<f64>::OPEN),
        Err(WriteError::RecordCount {
            announced: 2,
            found: 3
        })
    );
    // None of the refusals left a trace.
    assert_eq!(
        writer.finish().unwrap(),
        "[Version] 2.0\n# Hz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 2\n\
         [Network Data]\n5 1 0\n6 1 0\n[End]\n"
    );

    let mut decibels = new(Layout {
        format: Format::DecibelAngle,
        ..Layout::default()
    })
    .unwrap();
    let error = decibels.record(five, Reflection::<f64>::MATCHED).unwrap_err();
    assert_eq!(error.to_string(), "zero reflection at 5 Hz has no decibel value");
}

/// A sink with room for so many bytes.
struct Narrow(usize);

impl std::fmt::Write for Narrow {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.0 = self.0.checked_sub(text.len()).ok_or(std::fmt::Error)?;
        Ok(())
    }
}

#[test]
fn a_full_sink_is_an_error() {
    let write = |room| {
        let mut writer = Writer::new(Narrow(room), Layout::default())?;
        writer.record(Hertz::new(1), Reflection::<f64>::SHORT)?;
        writer.finish().map(drop)
    };
    let needed = "# Hz S RI R 50\n1 -1 0\n".len();
    for room in 0..needed {
        assert_eq!(write(room), Err(WriteError::Sink));
    }
    assert_eq!(write(needed), Ok(()));
}

// ---------------------------------------------------------------------------------------------
// Laws over random input
// ---------------------------------------------------------------------------------------------

fn units() -> impl Strategy<Value = FrequencyUnit> {
    prop_oneof![
        Just(FrequencyUnit::Hertz),
        Just(FrequencyUnit::Kilohertz),
        Just(FrequencyUnit::Megahertz),
        Just(FrequencyUnit::Gigahertz),
    ]
}

fn formats() -> impl Strategy<Value = Format> {
    prop_oneof![
        Just(Format::RealImaginary),
        Just(Format::MagnitudeAngle),
        Just(Format::DecibelAngle),
    ]
}

/// Ordinary values, values of any size, and the special ones.
fn components() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -1.5_f64..1.5,
        2 => (-1.0_f64..1.0, -30_i32..6).prop_map(|(value, power)| value * 10_f64.powi(power)),
        1 => prop_oneof![Just(0.0), Just(-0.0), Just(1.0), Just(-1.0), Just(f64::from_bits(1))],
    ]
}

fn sweeps() -> impl Strategy<Value = Vec<(u64, f64, f64)>> {
    let frequencies = prop_oneof![0_u64..20, 0_u64..10_000_000_000, any::<u64>()];
    prop::collection::vec((frequencies, components(), components()), 1..12).prop_map(|mut sweep| {
        sweep.sort_by_key(|point| point.0);
        sweep.dedup_by_key(|point| point.0);
        sweep
    })
}

fn write(sweep: &[(u64, f64, f64)], layout: Layout) -> Result<String, WriteError> {
    let mut writer = Writer::new(String::new(), layout)?;
    for &(frequency, real, imaginary) in sweep {
        writer.record(Hertz::new(frequency), reflection(real, imaginary))?;
    }
    writer.finish()
}

/// Whether the file gives the sweep back: every bit, or within what the polar forms allow.
///
/// Decibels are rounded relative to themselves, so their error grows with their size: three
/// roundings of |dB| / 20 times ln 10, about 4e-17 |dB|.
fn returns(text: &str, sweep: &[(u64, f64, f64)], format: Format) -> bool {
    let Ok((found, summary)) = records(text) else {
        return false;
    };
    !summary.warnings.any()
        && found.len() == sweep.len()
        && found
            .iter()
            .zip(sweep)
            .all(|(record, &(frequency, real, imaginary))| {
                let (a, b) = (record.reflection.real(), record.reflection.imaginary());
                let size = real.hypot(imaginary);
                let value = match format {
                    Format::RealImaginary => {
                        a.get().to_bits() == real.to_bits() && b.get().to_bits() == imaginary.to_bits()
                    }
                    Format::MagnitudeAngle => (a - real).hypot(b - imaginary) <= 3e-15 * size,
                    _ => {
                        let decibels = 20.0 * size.log10().abs();
                        (a - real).hypot(b - imaginary) <= (3e-15 + 4e-17 * decibels) * size
                    }
                };
                record.frequency.get() == frequency && value
            })
}

/// In polar form zero has no sign and the tiniest numbers have no digits to spare.
fn polar(mut sweep: Vec<(u64, f64, f64)>) -> Vec<(u64, f64, f64)> {
    for point in &mut sweep {
        if point.1.hypot(point.2) < 1e-30 {
            (point.1, point.2) = (1.0, 0.0);
        }
    }
    sweep
}

/// Replaces one digit of the data lines, the `pick`-th of those among the first 15 of their number.
/// Digits further behind may be too small to tell one `f64` from the next.
fn spoil(text: &str, pick: usize) -> String {
    let start = text.find('\n').map_or(0, |at| at + 1);
    let mut before = 0;
    let mut digits = Vec::new();
    for (at, character) in text.char_indices().skip_while(|&(at, _)| at < start) {
        if character.is_ascii_digit() {
            before += 1;
            if before <= 15 {
                digits.push(at);
            }
        } else if character.is_ascii_whitespace() {
            before = 0;
        }
    }
    let at = digits[pick % digits.len()];
    let mut bytes = text.as_bytes().to_vec();
    bytes[at] = if bytes[at] == b'9' { b'0' } else { bytes[at] + 1 };
    String::from_utf8(bytes).unwrap()
}

/// Bytes that look enough like a file to reach deep into the reader.
fn crumbs() -> impl Strategy<Value = Vec<u8>> {
    let crumb = prop_oneof![
        6 => prop::sample::select(vec![
            "# MHz S RI R 50", "#", "# Z MA", "# Y DB R 75", "[Version] 2.0", "[Number of Ports] 1",
            "[Number of Frequencies] 2", "[Reference]", "[Reference] 20", "[Network Data]", "[End]",
            "[Begin Information]", "[End Information]", "[Matrix Format] Full", "[Odd]", "[", "]",
            "1 0 0", "2 0.5 -90", "3e0 -1 0", "4 1e308 1e308", "5 -inf 0", "1 2 3 4", "75", "-1", "1e999",
            "nan", "R", "!", "! text",
        ]).prop_map(|text| text.as_bytes().to_vec()),
        6 => prop::sample::select(vec!["\n", "\r\n", "\r", " ", "\t", "\n\n"])
            .prop_map(|text| text.as_bytes().to_vec()),
        1 => prop::collection::vec(any::<u8>(), 0..6),
    ];
    prop::collection::vec(crumb, 0..60).prop_map(|crumbs| crumbs.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn real_and_imaginary_return_every_bit(sweep in sweeps(), unit in units(), two in any::<bool>()) {
        let announced_records = two.then_some(sweep.len() as u64);
        let layout = Layout { unit, announced_records, ..Layout::default() };
        prop_assert!(returns(&write(&sweep, layout).unwrap(), &sweep, layout.format));
    }

    #[test]
    fn every_format_returns_the_value(sweep in sweeps(), unit in units(), format in formats()) {
        let sweep = polar(sweep);
        let text = write(&sweep, Layout { unit, format, ..Layout::default() }).unwrap();
        prop_assert!(returns(&text, &sweep, format), "{}", text);
        prop_assert!(text.lines().all(|line| line.len() < 100));
    }

    /// Control: the laws above notice one wrong digit anywhere in the data.
    #[test]
    fn a_wrong_digit_does_not_return(sweep in sweeps(), unit in units(), pick in any::<usize>()) {
        // The smallest number of all has no digit that is sure to matter.
        let keep = |part: f64| if part.abs() < 1e-300 { 0.0 } else { part };
        let sweep: Vec<_> = sweep.iter().map(|&(f, a, b)| (f, keep(a), keep(b))).collect();
        let layout = Layout { unit, ..Layout::default() };
        let text = write(&sweep, layout).unwrap();
        prop_assert!(!returns(&spoil(&text, pick), &sweep, layout.format));
    }

    #[test]
    fn the_reference_returns(reference_ohm in 1e-6_f64..1e6) {
        let text = write(&[(1, 0.5, 0.5)], Layout { reference_ohm, ..Layout::default() }).unwrap();
        prop_assert_eq!(records(&text).unwrap().1.reference_ohm, reference_ohm);
    }

    /// Decimal arithmetic in `u128`, apart from the crate's.
    #[test]
    fn frequencies_round_in_decimal(whole in 0_u64..1_000_000, part in 0_u64..1_000_000_000_000) {
        let text = format!("# GHz RI\n{whole}.{part:012} 0 0");
        let thousandths = u128::from(whole) * 1_000_000_000_000 + u128::from(part);
        let expected = (thousandths + 500) / 1_000;
        let found = records(&text).unwrap().0[0].frequency.get();
        prop_assert_eq!(u128::from(found), expected);
        // Control: rounding down would be noticed whenever there is something to round.
        prop_assert_eq!(u128::from(found) == thousandths / 1_000, thousandths % 1_000 < 500);
    }

    #[test]
    fn any_bytes_are_harmless(bytes in prop_oneof![prop::collection::vec(any::<u8>(), 0..400), crumbs()]) {
        let mut reader = Reader::new();
        let _ = reader.line(&bytes);
        let _ = reader.finish();
        let mut reader = Reader::new();
        let mut count = 0;
        for line in lines(&bytes) {
            count += u64::from(matches!(reader.line(line), Ok(Some(_))));
        }
        prop_assert_eq!(reader.records(), count);
        prop_assert_eq!(reader.lines() as usize, lines(&bytes).count());
        let _ = reader.finish();
    }

    /// However the stream is cut, the buffer gives the lines that the slice has.
    #[test]
    fn chunks_make_the_same_lines(bytes in crumbs(), cuts in prop::collection::vec(1_usize..9, 1..20)) {
        let mut buffer = LineBuffer::<24>::new();
        let mut found: Vec<Option<Vec<u8>>> = Vec::new();
        let (mut rest, mut cuts) = (&bytes[..], cuts.into_iter().cycle());
        while !rest.is_empty() {
            let (mut chunk, tail) = rest.split_at(cuts.next().unwrap().min(rest.len()));
            rest = tail;
            loop {
                match buffer.feed(&mut chunk) {
                    Ok(Some(line)) => found.push(Some(line.to_vec())),
                    Ok(None) => break,
                    Err(error) => {
                        found.push(None);
                        prop_assert_eq!(error.line as usize, found.len());
                    }
                }
            }
        }
        found.extend(buffer.end().map(|line| Some(line.to_vec())));
        let expected: Vec<_> =
            lines(&bytes).map(|line| (line.len() <= 24).then(|| line.to_vec())).collect();
        prop_assert_eq!(found, expected);
    }

    /// A refused line acts as a comment does: nothing but the line count changes.
    #[test]
    fn an_error_changes_nothing_but_the_count(bytes in crumbs()) {
        let mut reader = Reader::new();
        for line in lines(&bytes) {
            let mut other = reader.clone();
            if reader.line(line).is_err() {
                other.line(b"! nothing").unwrap();
                prop_assert_eq!(&reader, &other);
            }
        }
    }
}

/// Control for the law above: a line that is taken does change the reader.
#[test]
fn a_record_changes_the_reader() {
    let mut reader = Reader::new();
    reader.line(b"# RI").unwrap();
    let mut other = reader.clone();
    reader.line(b"1 0 0").unwrap();
    other.line(b"! nothing").unwrap();
    assert_ne!(reader, other);
}

/// Control for the law on chunks: without memory across chunks, CR LF would make two lines.
#[test]
fn a_buffer_without_memory_would_see_two_lines() {
    let mut buffer = LineBuffer::<8>::new();
    assert!(buffer.push(b'\r').unwrap().is_some());
    assert!(buffer.push(b'\n').unwrap().is_none());
    let mut fresh = LineBuffer::<8>::new();
    assert!(fresh.push(b'\n').unwrap().is_some());
}
