//! The pages of the guide: what they quote of the measured table is what stands there.

const PAGE: &str = include_str!("../../src/guide/families.rs");
const SIZE: &str = include_str!("../../src/guide/size.rs");
const COST: &str = include_str!("../../benches/on_target.csv");

/// Mean and longest call of a kernel in instructions, flash and stack in bytes, as measured.
fn figures(core: &str, path: &str, kernel: &str) -> [u32; 4] {
    let start = format!("{core},{path},{kernel},");
    let line = COST.lines().find_map(|line| line.strip_prefix(&start));
    let mut cells = line
        .unwrap_or_else(|| panic!("{start} is not in the table"))
        .split(',');
    core::array::from_fn(|_| cells.next().unwrap().parse().unwrap())
}

/// Mean instructions of a kernel, as measured.
fn cost(core: &str, path: &str, kernel: &str) -> u32 {
    figures(core, path, kernel)[0]
}

const CORES: [(&str, &str); 4] = [
    ("m0", "Cortex-M0"),
    ("m3", "Cortex-M3"),
    ("riscv32", "RV32IMC"),
    ("m4f", "Cortex-M4F"),
];
const JOBS: [(&str, &str); 4] = [
    ("all_readouts", "nine readouts"),
    ("correction", "a correction"),
    ("sweep_push_clean", "a point of a clean sweep"),
    ("sweep_push_noisy", "the same with noise of 1e-3"),
];
const FAMILIES: [(&str, &str); 3] = [
    ("f32", "`f32`"),
    ("fixed32", "`Fixed32`"),
    ("fixed16", "`Fixed16`"),
];

fn table() -> String {
    let mut table = String::from(
        "//! | core | instructions, mean / longest call, of | tidy `f32` | `f32` | `Fixed32` | `Fixed16` | least mean of this crate's |\n\
         //! | --- | --- | --- | --- | --- | --- | --- |\n",
    );
    for (core, name) in CORES {
        for (kernel, job) in JOBS {
            let told = |path| {
                let [mean, longest, ..] = figures(core, path, kernel);
                format!("{mean} / {longest}")
            };
            let tidy = if kernel.starts_with("sweep_push") {
                String::new()
            } else {
                told("f32_baseline")
            };
            let costs = FAMILIES.map(|(path, _)| cost(core, path, kernel));
            let least = *costs.iter().min().unwrap();
            let winners: Vec<&str> = FAMILIES
                .iter()
                .zip(costs)
                .filter(|(_, cost)| *cost == least)
                .map(|((_, label), _)| *label)
                .collect();
            let [f32, fixed32, fixed16] = FAMILIES.map(|(path, _)| told(path));
            let winners = winners.join(", ");
            table.push_str(&format!(
                "//! | {name} | {job} | {tidy} | {f32} | {fixed32} | {fixed16} | {winners} |\n"
            ));
        }
    }
    table
}

/// The whole job at each level of optimisation.
fn sizes() -> String {
    let mut table = String::from(
        "//! | family | `opt-level` | instructions of a point, mean / longest | flash, bytes | stack, bytes |\n\
         //! | --- | --- | --- | --- | --- |\n",
    );
    for (path, name) in [
        ("fixed32", "`Fixed32`"),
        ("fixed16", "`Fixed16`"),
        ("f32", "`f32`"),
    ] {
        for (kernel, level) in LEVELS {
            let [mean, longest, flash, stack] = figures("m0", path, kernel);
            table.push_str(&format!(
                "//! | {name} | {level} | {mean} / {longest} | {flash} | {stack} |\n"
            ));
        }
    }
    table
}

const LEVELS: [(&str, &str); 3] = [
    ("whole_job", "3"),
    ("whole_job_s", "`\"s\"`"),
    ("whole_job_z", "`\"z\"`"),
];

/// With OHMWRIGHT_REWRITE set the table is written anew.
fn compare(file: &str, page: &str, marker: &str, table: &str) {
    let begin = format!("//! <!-- {marker}:begin -->\n//!\n");
    let end = format!("//!\n//! <!-- {marker}:end -->");
    let from = page.find(&begin).expect("the marker is there") + begin.len();
    let to = page.find(&end).expect("the marker is there");
    if std::env::var_os("OHMWRIGHT_REWRITE").is_some() {
        super::written(file, &format!("{}{table}{}", &page[..from], &page[to..]));
    } else {
        assert_eq!(
            &page[from..to],
            table,
            "OHMWRIGHT_REWRITE=1 cargo test --test house guide mends it"
        );
    }
}

#[test]
fn the_tables_are_the_measured_ones() {
    compare("src/guide/families.rs", PAGE, "cost", &table());
    compare("src/guide/size.rs", SIZE, "size", &sizes());
}

/// "z costs a sixth of the speed, in Fixed16 a third." "f32 needs more flash than fixed point".
#[test]
fn the_advice_on_levels_follows_from_the_table() {
    for (path, most) in [("fixed32", 1.2), ("fixed16", 1.35), ("f32", 1.2)] {
        let [fast, small, smallest] = LEVELS.map(|(kernel, _)| figures("m0", path, kernel));
        assert!(smallest[2] <= small[2] && small[2] < fast[2], "{path}");
        assert!(f64::from(smallest[0]) < most * f64::from(fast[0]), "{path}");
    }
    let flash = |path| figures("m0", path, "whole_job_z")[2];
    assert!(flash("fixed32") < flash("f32") && flash("fixed16") < flash("f32"));
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
        // "... its readouts cost several times less than code over floating-point routines"
        assert!(
            cost(core, "f32", "all_readouts") * 4 < cost(core, "f32_baseline", "all_readouts"),
            "{core}"
        );
    }
    // "... for every Γ in the disc."
    assert!(figures("m0", "f32", "all_readouts")[1] * 4 < cost("m0", "f32_baseline", "all_readouts"));
    // "With one, f32 wins": corrections and sweeps, by more than twice.
    for kernel in ["correction", "sweep_push_clean", "sweep_push_noisy"] {
        assert!(
            cost("m4f", "f32", kernel) * 2 < cost("m4f", "fixed32", kernel),
            "{kernel}"
        );
    }
    // "For the nine readouts it takes fewer than the tidy code, and fewer than Fixed32."
    let readouts = |path| cost("m4f", path, "all_readouts");
    assert!(readouts("f32") < readouts("f32_baseline") && readouts("f32") < readouts("fixed32"));
    // "Fixed16 takes fewer instructions for the readouts on every core."
    for (core, _) in CORES {
        assert!(cost(core, "fixed16", "all_readouts") < cost(core, "fixed32", "all_readouts"));
        // "For a correction it takes about as many, for a point of a sweep up to twice as many."
        let times = |kernel| cost(core, "fixed16", kernel) as f64 / cost(core, "fixed32", kernel) as f64;
        assert!((0.75..1.35).contains(&times("correction")), "{core}");
        assert!((1.0..2.0).contains(&times("sweep_push_clean")), "{core}");
    }
}
