//! The tables of the documentation that say what the code says: how exact each readout is, and in which word each family
//! holds each quantity. Both are written by this test (`OHMWRIGHT_REWRITE=1`), and compared without it.

use ohmwright::arithmetic::accuracy::{Bound, Family, Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::quantity::{
    Amperes, Component, Decibels, Degrees, Metres, Ohms, Ratio, Siemens, Volts, Watts,
};

use super::written;

const SOURCE: &str = include_str!("../../src/arithmetic/accuracy.rs");

/// As the table calls them.
const FAMILIES: [(Family, &str); 5] = [
    (Family::Fixed32, "`Fixed32`"),
    (Family::Fixed16, "`Fixed16`"),
    (Family::F32, "`f32`"),
    (Family::SoftF32, "`f32` without an FPU"),
    (Family::F64, "`f64`"),
];

/// A row: its name, the readouts that share it, their unit, and what the bound grows with.
type Row = (&'static str, Vec<Readout>, &'static str, &'static str);

include!("../common/every_readout.rs");

macro_rules! entries {
    ($(
        $readout:ident: $kind:ident $method:ident $true:tt $column:tt [$row:literal $unit:literal $scale:literal];
    )*) => {
        const READ_OFF: [(Readout, &str, &str, &str); [$($row),*].len()] =
            [$((Readout::$readout, $row, $unit, $scale)),*];
        /// The methods of Γ itself.
        const METHODS: [(&str, &str); [$($row),*].len()] = [$((stringify!($kind), stringify!($method))),*];
    };
}

every_readout!(entries);

/// What is read off no reflection.
const OTHERS: [(Readout, &str, &str, &str); 3] = [
    (Readout::Reflection, "Γ from Z", "", "·\\|Γ\\|"),
    (Readout::Conductance, "G, B", " S", "·\\|Y\\|"),
    (Readout::Susceptance, "G, B", " S", "·\\|Y\\|"),
];

fn rows() -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for (readout, name, unit, scale) in READ_OFF.into_iter().chain(OTHERS) {
        match rows.last_mut() {
            Some(row) if row.0 == name => {
                assert_eq!((row.2, row.3), (unit, scale), "{name}");
                row.1.push(readout);
            }
            _ => rows.push((name, vec![readout], unit, scale)),
        }
    }
    rows
}

/// Three digits, without zeros at the end.
fn figure(value: f64) -> String {
    let text = format!("{value:.2e}");
    let (digits, power) = text.split_once('e').unwrap();
    format!("{}e{power}", digits.trim_end_matches('0').trim_end_matches('.'))
}

/// Two digits, rounded up: what is promised is never less than what holds.
fn no_less(value: f64) -> String {
    let size = 10f64.powi(value.log10().floor() as i32 - 1);
    figure((value / size).ceil() * size)
}

/// Half of the last place of a word, where that is what the bound begins with.
fn half_a_place(value: f64) -> bool {
    (4..32).any(|digits| value == 0.5 / f64::from(1u32 << digits))
}

/// Underflow is told below the table, not in it.
fn absolute(of: Bound) -> Option<f64> {
    (of.absolute > 2.0 * f64::from(f32::MIN_POSITIVE)).then_some(of.absolute)
}

fn in_words(of: Bound, readout: Readout, unit: &str, scale: &str) -> String {
    let mut parts = Vec::new();
    if let Some(value) = absolute(of) {
        parts.push(if half_a_place(value) {
            format!("½ ulp ({}{unit})", no_less(value))
        } else {
            format!("{}{unit}", figure(value))
        });
    }
    if of.rim > 0.0 {
        // Q has its pole at the rim from both sides.
        let distance = match readout {
            Readout::Q => "\\|1 − \\|Γ\\|²\\|",
            _ => "(1 − \\|Γ\\|²)",
        };
        let (relative, rim) = (figure(of.relative), figure(of.rim));
        parts.push(format!("({relative} + {rim}/{distance}){scale}"));
    } else if of.relative > 0.0 {
        parts.push(format!("{}{scale}", figure(of.relative)));
    }
    let mut text = parts.join(" + ");
    if readout == Readout::Swr && of.rim == 0.0 {
        text.push_str(", to the rim");
    }
    text
}

fn heading<'a>(first: &str, columns: impl Iterator<Item = &'a str> + Clone) -> String {
    let names: String = columns.clone().map(|name| format!(" {name} |")).collect();
    let rule: String = columns.map(|_| " --- |").collect();
    format!("| {first} |{names}\n| --- |{rule}\n")
}

pub fn accuracy() -> String {
    let mut table = heading("readout", FAMILIES.iter().map(|(_, name)| *name));
    for (name, readouts, unit, scale) in rows() {
        table.push_str(&format!("| {name} |"));
        for (family, _) in FAMILIES {
            let [of, others @ ..] = readouts.as_slice() else {
                unreachable!("a row has a readout")
            };
            let cell = in_words(bound(*of, family), *of, unit, scale);
            for other in others {
                assert_eq!(bound(*other, family), bound(*of, family), "{other:?} {family:?}");
            }
            table.push_str(&format!(" {cell} |"));
        }
        table.push('\n');
    }
    table
}

/// The last place of a word; `None` for floats.
fn step<Q: Quantity>() -> Option<i32> {
    Q::MAX.is_finite().then(|| {
        let held = |digits: &i32| {
            let step = 2f64.powi(-digits);
            Q::try_from_f64(step).is_ok_and(|word| word.to_f64() == step)
        };
        // A word of a component may end below 1.
        (0..=40).rfind(held).expect("a word holds a power of two")
    })
}

/// As `524,288`.
fn grouped(value: f64) -> String {
    let digits = format!("{value:.0}");
    let mut text = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place) % 3 == 0 {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// As `2⁻¹²`.
fn power_of_half(digits: i32) -> String {
    let raised = digits
        .to_string()
        .chars()
        .map(|digit| {
            let place = digit.to_digit(10).unwrap() as usize;
            ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'][place]
        })
        .collect::<String>();
    format!("2⁻{raised}")
}

/// The word, its step, and how far it reaches: the upper end is a step short of what is said.
fn word<Q: Quantity>(unit: &str) -> String {
    let Some(digits) = step::<Q>() else {
        // Of `Ohms<f32>`, the word.
        let name = core::any::type_name::<Q>();
        let word = name.rsplit('<').next().unwrap().trim_end_matches('>');
        return format!("`{word}`{unit}");
    };
    let end = Q::MAX.to_f64() + 2f64.powi(-digits);
    let whole = end.log2();
    assert_eq!(whole.fract(), 0.0, "a word ends at a power of two");
    let (letter, sign) = if Q::MIN.to_f64() < 0.0 { ("I", 1) } else { ("U", 0) };
    assert_eq!(Q::MIN.to_f64(), if sign == 1 { -end } else { 0.0 });
    let before = whole as i32 + sign;
    let name = match digits {
        0 => format!("{}{before}", letter.to_lowercase()),
        _ => format!("{letter}{before}F{digits}"),
    };
    let high = grouped(end);
    let low = if sign == 1 {
        format!("−{high}")
    } else {
        "0".to_string()
    };
    match digits {
        0 => format!("`{name}`, 1{unit}, {low} to {high}"),
        _ => format!(
            "`{name}`, {} ({}){unit}, {low} to {high}",
            power_of_half(digits),
            figure(2f64.powi(-digits))
        ),
    }
}

/// A column: what each quantity is held in.
fn words<A: Arithmetic>(whole_units: bool) -> [String; 12] {
    let small = |fixed, float| if whole_units { fixed } else { float };
    [
        word::<Component<A>>(""),
        word::<Ohms<A>>(" Ω"),
        word::<Siemens<A>>(" S"),
        word::<Ratio<A>>(""),
        word::<Decibels<A>>(" dB"),
        word::<Degrees<A>>("°"),
        word::<A::InductanceWord>(small(" pH", " H")),
        word::<A::CapacitanceWord>(small(" fF", " F")),
        word::<Volts<A>>(" V"),
        word::<Amperes<A>>(" A"),
        word::<Watts<A>>(" W"),
        word::<Metres<A>>(" m"),
    ]
}

const QUANTITIES: [&str; 12] = [
    "a component of Γ, \\|Γ\\|",
    "resistance, reactance, \\|Z\\|",
    "conductance, susceptance",
    "SWR, Q, ratios",
    "losses",
    "phase",
    "inductance",
    "capacitance",
    "voltage",
    "current",
    "power",
    "length",
];

fn held() -> String {
    let mut table = heading(
        "quantity",
        ["`Fixed32`: word, step, range", "`Fixed16`", "`f32`", "`f64`"].into_iter(),
    );
    let columns = [
        words::<Fixed32>(true),
        words::<Fixed16>(true),
        words::<f32>(false),
        words::<f64>(false),
    ];
    for (row, name) in QUANTITIES.iter().enumerate() {
        let cells: String = columns
            .iter()
            .map(|column| format!(" {} |", column[row]))
            .collect();
        table.push_str(&format!("| {name} |{cells}\n"));
    }
    table.push_str("\nThe upper end of a range is one step short of what is said.\n");
    table
}

#[test]
fn the_documentation_says_what_the_code_says() {
    written("src/arithmetic/accuracy.md", &accuracy());
    written("src/arithmetic/words.md", &held());
}

/// The variants of an enumeration, by the text that declares it.
fn variants(name: &str) -> Vec<&'static str> {
    let begin = format!("pub enum {name} {{\n");
    let body = &SOURCE[SOURCE.find(&begin).expect("it is declared") + begin.len()..];
    body[..body.find("\n}").unwrap()]
        .lines()
        .filter_map(|line| line.trim().strip_suffix(','))
        .filter(|line| !line.starts_with("//"))
        .collect()
}

#[test]
fn no_readout_and_no_family_is_left_out() {
    let mut rows: Vec<_> = rows()
        .iter()
        .flat_map(|row| &row.1)
        .map(|readout| format!("{readout:?}"))
        .collect();
    let mut declared = variants("Readout");
    assert!(declared.len() > 10);
    rows.sort();
    declared.sort_unstable();
    assert_eq!(rows, declared);

    let mut columns = FAMILIES.map(|(family, _)| format!("{family:?}"));
    let mut declared = variants("Family");
    columns.sort();
    declared.sort_unstable();
    assert_eq!(columns.as_slice(), declared);
}

/// The firmware that compares bits between cores, with a group for each readout of Γ alone.
fn with_groups(vectors: &str) -> String {
    let (before, rest) = vectors.split_once("    groups! { ").expect("the line is there");
    let (_, after) = rest.split_once(" }\n").expect("it ends");
    let alone = METHODS.iter().filter(|(kind, _)| *kind == "of_gamma");
    let names: Vec<&str> = alone.map(|(_, method)| *method).collect();
    format!("{before}    groups! {{ {} }}\n{after}", names.join(" "))
}

#[test]
fn the_firmware_compares_every_readout() {
    let file = "examples/firmware/src/vectors.rs";
    let vectors = super::text(file);
    written(file, &with_groups(&vectors));
    // What takes a reference has groups of its own: R and X together, named for the impedance.
    for (kind, method) in METHODS.iter().filter(|(kind, _)| *kind != "of_gamma") {
        let name = if *kind == "of_impedance" {
            "impedance"
        } else {
            method
        };
        let group = format!("group::<A, _>(out, \"{name}\",");
        assert!(vectors.contains(&group), "{file} lacks {group}");
    }
    let spoilt = vectors.replace(" absorbed_share }", " }");
    assert_ne!(with_groups(&spoilt), spoilt);
}

/// What is written can be wrong, and is seen.
#[test]
fn controls() {
    let told = |absolute, relative, rim| {
        let mut of = bound(Readout::Resistance, Family::F64);
        (of.absolute, of.relative, of.rim) = (absolute, relative, rim);
        in_words(of, Readout::Resistance, " Ω", "·\\|Z\\|")
    };
    assert_eq!(
        told(0.5 / 4096.0, 2.4e-9, 0.0),
        "½ ulp (1.3e-4 Ω) + 2.4e-9·\\|Z\\|"
    );
    assert_ne!(told(0.5 / 4096.0, 2.5e-9, 0.0), told(0.5 / 4096.0, 2.4e-9, 0.0));
    assert_ne!(told(1e-4, 0.0, 0.0), told(1.01e-4, 0.0, 0.0));
    assert_eq!(no_less(7.63e-6), "7.7e-6");
    let wrong = std::panic::catch_unwind(|| super::compared("README.md", "not what stands there"));
    assert!(wrong.is_err());
}
