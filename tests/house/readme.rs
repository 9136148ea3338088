//! The tables in the README are the code's own.

const README: &str = include_str!("../../README.md");
const COST: &str = include_str!("../../benches/on_target.csv");

fn between<'a>(text: &'a str, begin: &str, end: &str) -> &'a str {
    let from = text.find(begin).expect("the marker is there") + begin.len();
    let to = text[from..].find(end).expect("the marker is there") + from;
    text[from..to].trim()
}

/// Mean and longest call, flash, stack and ratio of a kernel.
fn cell(core: &str, path: &str, kernel: &str) -> [String; 5] {
    let start = format!("{core},{path},{kernel},");
    let line = COST
        .lines()
        .find_map(|line| line.strip_prefix(&start))
        .expect(&start);
    let mut cells = line.split(',').map(str::to_string);
    core::array::from_fn(|_| cells.next().unwrap())
}

/// The larger jobs, in the family that one would take on the core.
fn job_table() -> String {
    let cores = [
        ("m0", "fixed32"),
        ("m3", "fixed32"),
        ("riscv32", "fixed32"),
        ("m4f", "f32"),
    ];
    let mut table = String::from(
        "| instructions, mean and longest call / flash / stack of | M0, `Fixed32` | M3, `Fixed32` | RV32IMC, `Fixed32` | M4F, `f32` |\n\
         | --- | --- | --- | --- | --- |\n",
    );
    for (kernel, name) in [
        (
            "sweep_job",
            "a point of a whole sweep: corrected, read out, analysed, with its share of the report",
        ),
        (
            "sweep_report",
            "a report, after each point of a clean sweep: the longest with a dip still open",
        ),
        ("sweep_report_noisy", "the same with noise of 1e-3"),
        (
            "whole_job",
            "the job of the first row with five lines of text at its end",
        ),
        ("demodulate", "a block of 48 samples of two channels, demodulated"),
        ("vector_reflection", "a raw Γ from the counts of two receivers"),
        (
            "scalar_reflection",
            "\\|Γ\\| and SWR with its interval from two diodes",
        ),
        (
            "table_correction",
            "a correction by a table of error terms, between its frequencies",
        ),
        ("calibration_solve", "the error terms from three standards"),
        ("ladder_step", "one step of a ladder"),
        ("two_element", "all networks of two elements for a load"),
        ("tuner_decision", "the best of 2 × 256 × 256 settings of a tuner"),
        ("text_impedance", "an impedance as a line of text"),
        (
            "text_summary",
            "frequency, SWR, return loss and impedance of a Γ as four lines",
        ),
    ] {
        table.push_str(&format!("| {name} |"));
        for (core, path) in cores {
            let [mean, longest, flash, stack, _] = cell(core, path, kernel);
            table.push_str(&format!(" {mean}, {longest} / {flash} / {stack} |"));
        }
        table.push('\n');
    }
    table.trim().to_string()
}

/// What `cargo bench --bench on_target` measured, for those who choose a family.
fn cost_table() -> String {
    let mut table = String::from(
        "| core | path | nine readouts of a point, mean / longest | times fewer than tidy `f32` | flash | stack | correction of a point | push of a clean point | with noise of 1e-3 | on coarse grids |\n\
         | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n",
    );
    let cores = [
        ("m0", "Cortex-M0"),
        ("m3", "Cortex-M3"),
        ("m4f", "Cortex-M4F"),
        ("riscv32", "RV32IMC"),
    ];
    let paths = [
        ("f32_baseline", "tidy `f32` with `libm`"),
        ("f32", "`f32`"),
        ("fixed32", "`Fixed32`"),
        ("fixed16", "`Fixed16`"),
    ];
    for (core, name) in cores {
        for (path, label) in paths {
            let [mean, longest, flash, stack, ratio] = cell(core, path, "all_readouts");
            table.push_str(&format!(
                "| {name} | {label} | {mean} / {longest} | {ratio} | {flash} | {stack} |"
            ));
            for kernel in [
                "correction",
                "sweep_push_clean",
                "sweep_push_noisy",
                "sweep_push_coarse",
            ] {
                if path == "f32_baseline" && kernel != "correction" {
                    table.push_str("  |");
                    continue;
                }
                let [mean, longest, ..] = cell(core, path, kernel);
                table.push_str(&format!(" {mean} / {longest} |"));
            }
            table.push('\n');
        }
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
            "OHMWRIGHT_REWRITE=1 cargo test --test house readme mends it"
        );
    }
}

/// One test, since both write the same file.
#[test]
fn the_tables_are_those_of_the_code() {
    check("accuracy", super::tables::accuracy().trim());
    check("cost", &cost_table());
    check("jobs", &job_table());
}
