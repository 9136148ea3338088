//! The module of a family holds every public type of the library, so that one import is enough for a firmware.

use std::fs;
use std::path::{Path, PathBuf};

/// What is not in it, and why. A folder, a file, or a name in a file.
const EXCEPTIONS: [(&str, &str); 14] = [
    // Plumbing, hidden from users.
    ("src/arithmetic/kernel", ""),
    ("src/arithmetic/soft32", ""),
    ("src/quantity/complex.rs", ""),
    ("src/arithmetic/mod.rs", "Constant"),
    ("src/arithmetic/mod.rs", "Fraction"),
    ("src/arithmetic/mod.rs", "WorkingFraction"),
    ("src/arithmetic/mod.rs", "Product"),
    ("src/arithmetic/mod.rs", "Limit"),
    // For code over any family, and the families themselves: `ohmwright::arithmetic`.
    ("src/arithmetic", "OF THE FAMILIES"),
    // For files, and for displays: modules of their own.
    ("src/measure/touchstone", ""),
    ("src/show/chart", ""),
    // Names that stand for the more usual one.
    ("src/design/matching/two_element.rs", "Arrangement"),
    ("src/design/transformer/line.rs", "Side"),
    // The module itself.
    ("src/families.rs", ""),
];

const OF_THE_FAMILIES: [&str; 11] = [
    "Arithmetic",
    "Quantity",
    "Word",
    "Real",
    "Floating",
    "Sealed",
    "Fixed32",
    "Fixed16",
    "Family",
    "Readout",
    "Bound",
];

fn is_excepted(file: &str, name: &str) -> bool {
    EXCEPTIONS.iter().any(|(place, which)| {
        file.starts_with(place)
            && (which.is_empty()
                || *which == name
                || *which == "OF THE FAMILIES" && OF_THE_FAMILIES.contains(&name))
    })
}

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|kind| kind == "rs") {
            into.push(path);
        }
    }
}

/// The public types and traits of a file, those made by the macros of the quantities too.
fn declared(text: &str) -> Vec<String> {
    let name = |rest: &str| {
        rest.chars()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect::<String>()
    };
    let mut names = Vec::new();
    let mut is_macro = false;
    for line in text.lines() {
        for kind in ["pub struct ", "pub enum ", "pub trait "] {
            names.extend(line.strip_prefix(kind).map(name));
        }
        // `quantity! { … Name, NameWord, …` and `part!( Name, …`: the first line inside that is no comment.
        if line == "quantity! {" || line == "part!(" {
            is_macro = true;
        } else if is_macro && !line.trim_start().starts_with("//") {
            names.push(name(line.trim_start()));
            is_macro = false;
        }
    }
    names
}

/// The types of the library that a list of names does not hold.
fn missing(list: &str) -> Vec<String> {
    let listed: Vec<&str> = list.split(|c: char| !c.is_alphanumeric() && c != '_').collect();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    sources(&root.join("src"), &mut files);
    let mut missing = Vec::new();
    let mut count = 0;
    for path in files {
        let file = path
            .strip_prefix(root)
            .unwrap()
            .to_string_lossy()
            .replace('\\', "/");
        for name in declared(&fs::read_to_string(&path).unwrap()) {
            count += 1;
            if !is_excepted(&file, &name) && !listed.contains(&name.as_str()) {
                missing.push(format!("{file}: {name}"));
            }
        }
    }
    assert!(count > 200, "{count} types were found");
    missing
}

/// The code of the module alone: a name in a comment is not in it.
fn module() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/families.rs");
    let text = fs::read_to_string(path).unwrap();
    text.lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect::<Vec<_>>()
        .join("\n")
}

#[test]
fn every_public_type_is_in_the_module_of_a_family() {
    let missing = missing(&module());
    assert!(missing.is_empty(), "not in src/families.rs: {missing:#?}");
}

#[test]
fn a_name_left_out_is_seen() {
    let module = module();
    for name in [
        "Readouts",
        "Ohms",
        "Inductance",
        "SweepAnalyser",
        "Hertz",
        "RingCore",
        "Setting",
    ] {
        let without: String = module
            .lines()
            .map(|line| {
                line.replace(&format!(" {name}"), " Nothing")
                    .replace(&format!("::{name}"), "::Nothing")
            })
            .collect::<Vec<_>>()
            .join("\n")
            .replace(&format!("{{{name}"), "{Nothing");
        let missing = missing(&without);
        assert!(
            missing.iter().any(|found| found.ends_with(&format!(" {name}"))),
            "{name}: {missing:?}"
        );
    }
}

/// What a firmware writes: every kind of name from one import, in each family.
macro_rules! one_import {
    ($test:ident, $family:ident) => {
        #[test]
        fn $test() {
            use ohmwright::$family::{
                Direction, Hertz, QuantityError, Reference, Reflection, Retune, Setting, SweepAnalyser,
                SweepError, Target, TuningElement,
            };
            fn job() -> Result<Reference, QuantityError> {
                Reference::try_from_f64(75.0)
            }
            let mut analyser = SweepAnalyser::<2>::constant::<2_000, 10>(job().unwrap(), None);
            let at = Hertz::from_megahertz(60);
            analyser.push(at, Reflection::MATCHED).unwrap();
            assert_eq!(
                analyser.push(at, Reflection::MATCHED),
                Err(SweepError::Repeated(at))
            );
            assert!(matches!(analyser.report().target(), Target::NotAsked));
            let advice = Retune::new(TuningElement::Length, at, Hertz::from_megahertz(71)).unwrap();
            assert_eq!(advice.direction, Direction::Less);
            assert_eq!(Setting::BYPASS.coils, 0);
        }
    };
}
one_import!(one_import_in_fixed_point, fixed_point);
one_import!(one_import_in_small_fixed_point, small_fixed_point);
one_import!(one_import_in_f32, floating);
one_import!(one_import_in_f64, double);
