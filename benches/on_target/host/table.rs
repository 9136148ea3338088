//! The table of figures: what is timed, how it is written, and how two tables are compared.

use std::fmt::{self, Display};

macro_rules! timed {
    ($($name:ident = $text:literal $(in $image:literal)? $(at $level:literal)?,)*) => {
        /// What is timed: an image, and what it is fed with.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Timed {
            $($name,)*
        }

        /// Every kernel, in the order of the table.
        pub const KERNELS: &[Timed] = &[$(Timed::$name,)*];

        impl Timed {
            /// The name in the table.
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$name => $text,)*
                }
            }

            /// The firmware's feature: the name, if no other is given.
            pub fn image(self) -> &'static str {
                match self {
                    $(Self::$name => [$text, $($image)?][[$text, $($image)?].len() - 1],)*
                }
            }

            /// The level of optimisation of a row that is there to show what it is worth; the others have that of the run.
            pub fn level(self) -> Option<&'static str> {
                match self {
                    $(Self::$name => [None, $(Some($level))?][[None::<&str>, $(Some($level))?].len() - 1],)*
                }
            }
        }
    };
}

timed! {
    Magnitude = "magnitude",
    Swr = "swr",
    ReturnLoss = "return_loss",
    MismatchLoss = "mismatch_loss",
    Impedance = "impedance",
    ImpedanceMagnitude = "impedance_magnitude",
    Phase = "phase",
    Q = "q",
    AllReadouts = "all_readouts",
    AllReadoutsFifty = "all_readouts_fifty",
    ReadoutsAndSwr = "readouts_and_swr",
    Reflection = "reflection",
    Correction = "correction",
    TableCorrection = "table_correction",
    CalibrationSolve = "calibration_solve",
    LadderStep = "ladder_step",
    TwoElement = "two_element",
    SweepPushClean = "sweep_push_clean" in "sweep_push",
    SweepPushNoisy = "sweep_push_noisy" in "sweep_push",
    SweepPushCoarse = "sweep_push_coarse" in "sweep_push",
    SweepJob = "sweep_job",
    SweepReport = "sweep_report",
    SweepReportNoisy = "sweep_report_noisy" in "sweep_report",
    WholeJob = "whole_job",
    WholeJobS = "whole_job_s" in "whole_job" at "s",
    WholeJobZ = "whole_job_z" in "whole_job" at "z",
    LightPush = "light_push",
    LightPushNoisy = "light_push_noisy" in "light_push",
    LightReport = "light_report",
    LightJob = "light_job",
    LightJobZ = "light_job_z" in "light_job" at "z",
    SweepSurvey = "sweep_survey",
    NextStep = "next_step",
    Demodulate = "demodulate",
    DemodulateQuarter = "demodulate_quarter",
    VectorReflection = "vector_reflection",
    ScalarReflection = "scalar_reflection",
    TextImpedance = "text_impedance",
    TextSummary = "text_summary",
    SummaryReadouts = "summary_readouts",
    TunerDecision = "tuner_decision",
}

pub const HEADER: &str = "core,path,kernel,instructions,worst,flash_bytes,stack_bytes,ratio_to_f32";

/// One line of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    pub core: String,
    pub path: String,
    pub kernel: String,
    /// The mean of all points, to the nearest whole one.
    pub instructions: u64,
    /// The longest single call.
    pub worst: u64,
    pub flash: u64,
    pub stack: u64,
    /// The instructions of the baseline, if it has this kernel.
    pub baseline: Option<u64>,
}

impl Display for Row {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{},{},{},{},{},{},{},",
            self.core, self.path, self.kernel, self.instructions, self.worst, self.flash, self.stack
        )?;
        match self.baseline {
            Some(baseline) => write!(f, "{:.2}", baseline as f64 / self.instructions as f64),
            None => Ok(()),
        }
    }
}

pub fn write(rows: &[Row]) -> String {
    let mut text = format!("{HEADER}\n");
    for row in rows {
        text += &format!("{row}\n");
    }
    text
}

/// The ratio is not read: it follows from the rest.
pub fn read(text: &str) -> Result<Vec<Row>, String> {
    let mut lines = text.lines();
    if lines.next() != Some(HEADER) {
        return Err("the first line is not the header".into());
    }
    let mut rows = Vec::new();
    for line in lines {
        let row = || -> Option<Row> {
            let mut fields = line.split(',');
            let mut text = || fields.next().map(str::to_owned);
            Some(Row {
                core: text()?,
                path: text()?,
                kernel: text()?,
                instructions: text()?.parse().ok()?,
                worst: text()?.parse().ok()?,
                flash: text()?.parse().ok()?,
                stack: text()?.parse().ok()?,
                baseline: None,
            })
        };
        rows.push(row().ok_or_else(|| format!("not a row: {line}"))?);
    }
    let mut with = rows.clone();
    for row in &mut with {
        row.baseline = baseline_of(&rows, &row.core, &row.kernel);
    }
    Ok(with)
}

pub fn find<'a>(rows: &'a [Row], core: &str, path: &str, kernel: &str) -> Option<&'a Row> {
    rows.iter()
        .find(|row| row.core == core && row.path == path && row.kernel == kernel)
}

pub fn baseline_of(rows: &[Row], core: &str, kernel: &str) -> Option<u64> {
    find(rows, core, "f32_baseline", kernel).map(|row| row.instructions)
}

/// What has become worse than the accepted table allows: by more than 3 % and by more than two units.
pub fn worse(accepted: &[Row], now: &[Row]) -> Vec<String> {
    let mut found = Vec::new();
    for row in now {
        let place = format!("{} {} {}", row.core, row.path, row.kernel);
        let Some(old) = find(accepted, &row.core, &row.path, &row.kernel) else {
            found.push(format!("{place}: not in the accepted table"));
            continue;
        };
        let figures = [
            ("instructions", old.instructions, row.instructions),
            ("instructions at worst", old.worst, row.worst),
            ("flash bytes", old.flash, row.flash),
            ("stack bytes", old.stack, row.stack),
        ];
        for (name, before, after) in figures {
            let more = after.saturating_sub(before);
            if more > 2 && more * 100 > before * 3 {
                found.push(format!("{place}: {after} {name} instead of {before}"));
            }
        }
    }
    found
}

/// A figure to be reached.
struct Goal {
    core: &'static str,
    path: &'static str,
    kernel: &'static str,
    wish: Wish,
}

enum Wish {
    /// The baseline must need so many times as many instructions.
    Times {
        must: f64,
        stretch: f64,
    },
    /// The baseline's mean must be so many times the longest call.
    TimesAtWorst {
        must: f64,
        stretch: f64,
    },
    Instructions(u64),
    /// Of the longest call.
    Worst(u64),
    Flash(u64),
    /// More than another kernel has.
    FlashBeyond(&'static str, u64),
    Stack(u64),
}

const fn times(
    path: &'static str,
    kernel: &'static str,
    core: &'static str,
    must: f64,
    stretch: f64,
) -> Goal {
    Goal {
        core,
        path,
        kernel,
        wish: Wish::Times { must, stretch },
    }
}

const fn at_most(kernel: &'static str, wish: Wish) -> Goal {
    on_m0("fixed32", kernel, wish)
}

const fn on_m0(path: &'static str, kernel: &'static str, wish: Wish) -> Goal {
    Goal {
        core: "m0",
        path,
        kernel,
        wish,
    }
}

const LONGEST_PUSH: Wish = Wish::Worst(120_000);
const SWEEP_STACK: Wish = Wish::Stack(1500);

const GOALS: &[Goal] = &[
    times("fixed32", "all_readouts", "m0", 13.0, 15.0),
    times("fixed32", "all_readouts", "m3", 15.0, 18.0),
    times("fixed16", "all_readouts", "m0", 20.0, 24.0),
    times("fixed16", "all_readouts", "m3", 18.0, 22.0),
    times("fixed32", "correction", "m0", 5.0, 6.0),
    times("fixed32", "correction", "m3", 9.0, 10.0),
    times("f32", "all_readouts", "m0", 9.0, 11.0),
    times("f32", "all_readouts", "m3", 10.0, 12.0),
    times("f32", "all_readouts", "m4f", 1.0 / 0.9, 1.0 / 0.74),
    times("f32", "correction", "m4f", 1.0 / 1.35, 1.0 / 1.1),
    on_m0(
        "f32",
        "all_readouts",
        Wish::TimesAtWorst {
            must: 5.0,
            stretch: 8.0,
        },
    ),
    at_most("sweep_push_noisy", Wish::Instructions(3500)),
    on_m0("fixed16", "sweep_push_clean", Wish::Instructions(2600)),
    at_most("sweep_push_clean", LONGEST_PUSH),
    at_most("sweep_push_noisy", LONGEST_PUSH),
    at_most("sweep_push_coarse", LONGEST_PUSH),
    on_m0("fixed16", "sweep_push_clean", LONGEST_PUSH),
    on_m0("fixed16", "sweep_push_noisy", LONGEST_PUSH),
    on_m0("fixed16", "sweep_push_coarse", LONGEST_PUSH),
    on_m0("f32", "sweep_push_clean", LONGEST_PUSH),
    on_m0("f32", "sweep_push_noisy", LONGEST_PUSH),
    on_m0("f32", "sweep_push_coarse", LONGEST_PUSH),
    at_most("sweep_push_noisy", SWEEP_STACK),
    at_most("sweep_push_coarse", SWEEP_STACK),
    at_most("sweep_report_noisy", SWEEP_STACK),
    at_most("whole_job_z", Wish::Flash(24 * 1024)),
    at_most("light_push", Wish::Worst(6000)),
    at_most("light_job_z", Wish::Flash(17 * 1024)),
    at_most("light_job_z", Wish::Stack(700)),
    at_most("all_readouts", Wish::Flash(4608)),
    at_most("all_readouts", Wish::Stack(128)),
    at_most("sweep_job", Wish::Instructions(2500)),
    at_most("sweep_job", Wish::Flash(16 * 1024)),
    at_most("next_step", Wish::Worst(60_000)),
    at_most("next_step", Wish::FlashBeyond("sweep_report", 6 * 1024)),
    at_most("next_step", Wish::Stack(700)),
    at_most("tuner_decision", Wish::Worst(2_000_000)),
    at_most("tuner_decision", Wish::Stack(2048)),
    at_most("text_impedance", Wish::Flash(2048)),
    at_most("text_summary", Wish::FlashBeyond("summary_readouts", 2048)),
];

/// One line for each goal whose row was measured or, of a core that was, is missing.
pub fn goals(rows: &[Row]) -> Vec<String> {
    let mut lines = Vec::new();
    for goal in GOALS {
        if !rows.iter().any(|row| row.core == goal.core) {
            continue;
        }
        let place = format!("{} {} {}", goal.core, goal.path, goal.kernel);
        let Some(row) = find(rows, goal.core, goal.path, goal.kernel) else {
            lines.push(format!("{place}: not measured"));
            continue;
        };
        let verdict = |met: bool| if met { "met" } else { "missed" };
        let at_most = |got: u64, most: u64, unit: &str| {
            format!("{place}: {got} {unit}, at most {most}: {}", verdict(got <= most))
        };
        lines.push(match goal.wish {
            Wish::Times { must, stretch } => {
                let ratio = row.baseline.unwrap_or(0) as f64 / row.instructions as f64;
                format!(
                    "{place}: 1/{ratio:.2} of the baseline; must 1/{must:.3}: {}; stretch 1/{stretch:.3}: {}",
                    verdict(ratio >= must),
                    verdict(ratio >= stretch)
                )
            }
            Wish::TimesAtWorst { must, stretch } => {
                let ratio = row.baseline.unwrap_or(0) as f64 / row.worst as f64;
                format!(
                    "{place}: at worst 1/{ratio:.2} of the baseline's mean; must 1/{must}: {}; stretch 1/{stretch}: {}",
                    verdict(ratio >= must),
                    verdict(ratio >= stretch)
                )
            }
            Wish::Worst(most) => at_most(row.worst, most, "instructions at worst"),
            Wish::Instructions(most) => at_most(row.instructions, most, "instructions"),
            Wish::Flash(most) => at_most(row.flash, most, "bytes of flash"),
            Wish::FlashBeyond(kernel, most) => match find(rows, goal.core, goal.path, kernel) {
                Some(less) => {
                    let unit = format!("bytes of flash beyond {kernel}");
                    at_most(row.flash.saturating_sub(less.flash), most, &unit)
                }
                None => format!("{place}: {kernel} not measured"),
            },
            Wish::Stack(most) => at_most(row.stack, most, "bytes of stack"),
        });
    }
    lines
}
