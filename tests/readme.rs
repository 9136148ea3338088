//! The tables in the README are the code's own.

use ohmwright::arithmetic::Fixed32;
use ohmwright::measure::{SweepAnalyser, SweepReport};

const README: &str = include_str!("../README.md");
const ACCURACY: &str = include_str!("../src/arithmetic/accuracy.rs");

fn between<'a>(text: &'a str, begin: &str, end: &str) -> &'a str {
    let from = text.find(begin).expect("the marker is there") + begin.len();
    let to = text[from..].find(end).expect("the marker is there") + from;
    text[from..to].trim()
}

/// The table in the documentation of `accuracy.rs`.
fn accuracy_table() -> String {
    ACCURACY
        .lines()
        .filter_map(|line| line.strip_prefix("//! "))
        .filter(|line| line.starts_with('|'))
        .collect::<Vec<_>>()
        .join("\n")
}

fn cost_table() -> String {
    let mut table = String::from("| what | bytes of memory (on a 64-bit host) |\n| --- | --- |\n");
    for (name, bytes) in [
        (
            "`SweepAnalyser<Fixed32, 4>`",
            size_of::<SweepAnalyser<Fixed32, 4>>(),
        ),
        (
            "`SweepAnalyser<Fixed32, 8>`",
            size_of::<SweepAnalyser<Fixed32, 8>>(),
        ),
        ("`SweepAnalyser<f32, 4>`", size_of::<SweepAnalyser<f32, 4>>()),
        ("`SweepAnalyser<f64, 4>`", size_of::<SweepAnalyser<f64, 4>>()),
        ("`SweepReport<Fixed32, 4>`", size_of::<SweepReport<Fixed32, 4>>()),
    ] {
        table.push_str(&format!("| {name} | {bytes} |\n"));
    }
    table.trim().to_string()
}

/// Compares what stands between two markers with what should; with OHMWRIGHT_REWRITE set, writes it there instead.
fn check(name: &str, table: &str) {
    let (begin, end) = (format!("<!-- {name}:begin -->"), format!("<!-- {name}:end -->"));
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    if std::env::var_os("OHMWRIGHT_REWRITE").is_some() {
        let text = std::fs::read_to_string(path).unwrap();
        let from = text.find(&begin).expect("the marker is there") + begin.len();
        let to = text.find(&end).expect("the marker is there");
        std::fs::write(path, format!("{}\n{table}\n{}", &text[..from], &text[to..])).unwrap();
    } else {
        assert_eq!(
            between(README, &begin, &end),
            table,
            "OHMWRIGHT_REWRITE=1 cargo test --test readme mends it"
        );
    }
}

/// One test, since both write the same file.
#[test]
fn the_tables_are_those_of_the_code() {
    check("accuracy", &accuracy_table());
    check("cost", &cost_table());
}
