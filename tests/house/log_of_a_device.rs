//! Every public type can be written to the log of a device: each derives `defmt::Format` or says it in words.

use std::path::Path;
use std::{env, fs};

/// The public types of a source that neither derive `Format` nor implement it there.
fn without_format(source: &str) -> Vec<String> {
    let mut attributes = String::new();
    let mut names = Vec::new();
    for line in source.lines().map(str::trim_start) {
        let declared = line
            .strip_prefix("pub struct ")
            .or(line.strip_prefix("pub enum "));
        if let Some(name) = declared.and_then(|rest| rest.split(['<', '(', ';', ' ']).next()) {
            let by_hand = ["<", " "].map(|after| format!("defmt::Format for {name}{after}"));
            if !attributes.contains("derive(defmt::Format)")
                && !attributes.contains("#[doc(hidden)]")
                && !by_hand.iter().any(|text| source.contains(text))
            {
                names.push(name.to_string());
            }
        }
        // An attribute may take several lines; a blank one or a closing brace ends an item.
        if line.is_empty() || line.starts_with('}') || declared.is_some() {
            attributes.clear();
        } else {
            attributes.push_str(line);
        }
    }
    names
}

fn search(folder: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if !path.is_dir() {
            found.extend(without_format(&fs::read_to_string(&path).unwrap()));
        } else if !path.ends_with("kernel") && !path.ends_with("chart") {
            // The kernels are hidden from users, and a log takes neither pixels nor colours.
            search(&path, found);
        }
    }
}

#[test]
fn no_public_type_is_forgotten() {
    let mut found = Vec::new();
    search(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut found);
    found.sort();
    // Hidden from users.
    assert_eq!(found, ["Complex", "Scale", "SoftF32"]);
}

/// Control: a type that loses what it has is seen.
#[test]
fn a_forgotten_type_is_seen() {
    let derived = "#[derive(Clone)]\n#[cfg_attr(feature = \"defmt\", derive(defmt::Format))]\npub struct Load<A> {\n}\n";
    let in_words = "pub enum Load {\n}\nimpl defmt::Format for Load {\n}\n";
    for whole in [derived, in_words] {
        assert!(without_format(whole).is_empty());
        let lost = whole.replace("defmt::Format", "Debug");
        assert_eq!(without_format(&lost), ["Load"]);
    }
}
