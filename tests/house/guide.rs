//! The pages of the guide: what they quote of the measured table is what stands there.

const PAGE: &str = include_str!("../../src/guide/families.rs");
const COST: &str = include_str!("../../benches/on_target.csv");

/// Instructions of a kernel, as measured.
fn cost(core: &str, path: &str, kernel: &str) -> u32 {
    let start = format!("{core},{path},{kernel},");
    let line = COST.lines().find_map(|line| line.strip_prefix(&start));
    let cells = line.unwrap_or_else(|| panic!("{start} is not in the table"));
    cells.split(',').next().unwrap().parse().unwrap()
}

const CORES: [(&str, &str); 4] = [
    ("m0", "Cortex-M0"),
    ("m3", "Cortex-M3"),
    ("riscv32", "RV32IMC"),
    ("m4f", "Cortex-M4F"),
];
const JOBS: [(&str, &str); 3] = [
    ("all_readouts", "nine readouts"),
    ("correction", "a correction"),
    ("sweep_point", "a point of a sweep"),
];
const FAMILIES: [(&str, &str); 3] = [
    ("f32", "`f32`"),
    ("fixed32", "`Fixed32`"),
    ("fixed16", "`Fixed16`"),
];

fn table() -> String {
    let mut table = String::from(
        "//! | core | instructions of | tidy `f32` | `f32` | `Fixed32` | `Fixed16` | least of this crate's |\n\
         //! | --- | --- | --- | --- | --- | --- | --- |\n",
    );
    for (core, name) in CORES {
        for (kernel, job) in JOBS {
            let tidy = if kernel == "sweep_point" {
                String::new()
            } else {
                cost(core, "f32_baseline", kernel).to_string()
            };
            let costs = FAMILIES.map(|(path, _)| cost(core, path, kernel));
            let least = *costs.iter().min().unwrap();
            let winners: Vec<&str> = FAMILIES
                .iter()
                .zip(costs)
                .filter(|(_, cost)| *cost == least)
                .map(|((_, label), _)| *label)
                .collect();
            let [f32, fixed32, fixed16] = costs;
            let winners = winners.join(", ");
            table.push_str(&format!(
                "//! | {name} | {job} | {tidy} | {f32} | {fixed32} | {fixed16} | {winners} |\n"
            ));
        }
    }
    table
}

/// With OHMWRIGHT_REWRITE set the table is written anew.
#[test]
fn the_table_is_the_measured_one() {
    let begin = "//! <!-- cost:begin -->\n//!\n";
    let end = "//!\n//! <!-- cost:end -->";
    let from = PAGE.find(begin).expect("the marker is there") + begin.len();
    let to = PAGE.find(end).expect("the marker is there");
    let table = table();
    if std::env::var_os("OHMWRIGHT_REWRITE").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/guide/families.rs");
        std::fs::write(path, format!("{}{table}{}", &PAGE[..from], &PAGE[to..])).unwrap();
    } else {
        assert_eq!(
            &PAGE[from..to],
            table,
            "OHMWRIGHT_REWRITE=1 cargo test --test house guide mends it"
        );
    }
}

/// What the page says in words. Where one of these fails, the page is to be written anew, and not the test.
#[test]
fn the_advice_follows_from_the_table() {
    for core in ["m0", "m3", "riscv32"] {
        // "Without a floating-point unit take Fixed32": less than f32 in all that runs with every point.
        for (kernel, _) in JOBS {
            assert!(
                cost(core, "fixed32", kernel) < cost(core, "f32", kernel),
                "{core} {kernel}"
            );
        }
        // "... f32 of this crate is several times cheaper there than tidy code"
        assert!(
            cost(core, "f32", "all_readouts") * 4 < cost(core, "f32_baseline", "all_readouts"),
            "{core}"
        );
    }
    // "With one, f32 wins": corrections and sweeps, by more than twice.
    for kernel in ["correction", "sweep_point"] {
        assert!(
            cost("m4f", "f32", kernel) * 2 < cost("m4f", "fixed32", kernel),
            "{kernel}"
        );
    }
    // "For the nine readouts alone the tidy code beats Fixed32, and Fixed32 this crate's f32."
    let readouts = |path| cost("m4f", path, "all_readouts");
    assert!(readouts("f32_baseline") < readouts("fixed32") && readouts("fixed32") < readouts("f32"));
    // "Fixed16 takes fewer instructions for the readouts on every core."
    for (core, _) in CORES {
        assert!(cost(core, "fixed16", "all_readouts") < cost(core, "fixed32", "all_readouts"));
        // "For a correction it takes about as many, for a point of a sweep several times more."
        let times = |kernel| cost(core, "fixed16", kernel) as f64 / cost(core, "fixed32", kernel) as f64;
        assert!((0.75..1.35).contains(&times("correction")), "{core}");
        assert!(times("sweep_point") > 3.0, "{core}");
    }
}
