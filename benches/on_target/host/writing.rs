//! What the lines of text must say. That they are right to the digit is checked in `tests/show/text.rs`.

use crate::points::{self, sweep};
use crate::table::Timed;
use crate::texts::COLUMNS;
use crate::truth::Format;

/// Whether it is looked after here.
pub fn is_of_text(kernel: Timed) -> bool {
    matches!(kernel, Timed::TextImpedance | Timed::TextSummary)
}

/// Checks the screen of the whole job: the dip of the whip, the impedance of its resistance, and the verdict.
///
/// The frequency may be off by so many MHz, and half of 0.01.
pub fn check_screen(answer: &[u32], allowed: f64) -> Result<(), String> {
    let bytes: Vec<u8> = answer.iter().flat_map(|word| word.to_le_bytes()).collect();
    let text = String::from_utf8(bytes).map_err(|error| error.to_string())?;
    let dip = sweep::frequency_of_reactance(0.0) / 1e6;
    let swr = points::Z0 / sweep::RESISTANCE;
    let due = [
        ("f ", " MHz".into()),
        ("SWR ", format!("{swr:.2}")),
        ("RL ", " dB".into()),
        ("Z ", "ohm".into()),
        ("", "".into()),
    ];
    let is_right = text.len() == due.len() * COLUMNS
        && due.iter().enumerate().all(|(place, (label, value))| {
            let line = &text[place * COLUMNS..][..COLUMNS];
            line.starts_with(label) && line.contains(value) && !line.trim().is_empty()
        });
    let frequency: Option<f64> = text.split_whitespace().nth(1).and_then(|told| told.parse().ok());
    if is_right && frequency.is_some_and(|told| (told - dip).abs() <= allowed + 0.005) {
        Ok(())
    } else {
        Err(format!("{text:?}"))
    }
}

/// Checks one answer: every line is filled and begins with its label, and its number is that of the input.
pub fn check(kernel: Timed, format: Format, input: &[u32], answer: &[u32]) -> Result<(), String> {
    let bytes: Vec<u8> = answer.iter().flat_map(|word| word.to_le_bytes()).collect();
    let text = String::from_utf8(bytes).map_err(|error| error.to_string())?;
    let lines: Vec<&str> = text
        .as_bytes()
        .chunks(COLUMNS)
        .map(|line| str::from_utf8(line).unwrap_or(""))
        .collect();
    let labels: &[&str] = if kernel == Timed::TextSummary {
        &["f ", "SWR ", "RL ", "Z "]
    } else {
        &["Z "]
    };
    // A load above 10 Mohm may need more columns than there are: its line is blank, as documented.
    let from_open = |re: f64, im: f64| (1.0 - re).hypot(im);
    let is_far = kernel == Timed::TextSummary
        && from_open(format.component_of(input[0]), format.component_of(input[1])) < 1e-5;
    let labelled = |(line, label): (&&str, &&str)| {
        line.starts_with(*label) || is_far && *label == "Z " && line.trim().is_empty()
    };
    if lines.len() != labels.len() || !lines.iter().zip(labels).all(labelled) {
        return Err(format!("{lines:?}"));
    }
    let number = |text: &str| text.trim().parse::<f64>().ok();
    let (got, want) = if kernel == Timed::TextSummary {
        let gamma = format.component_of(input[0]).hypot(format.component_of(input[1]));
        (number(&lines[1][4..]), (1.0 + gamma) / (1.0 - gamma))
    } else {
        let times = if lines[0].contains("kohm") { 1e3 } else { 1.0 };
        let resistance = lines[0][2..]
            .split_once('j')
            .map_or("", |(first, _)| &first[..first.len() - 1]);
        (
            number(resistance).map(|ohms| ohms * times),
            format.ohms_of(input[0]),
        )
    };
    // Three digits; of the larger part, where there are two.
    let allowed = if kernel == Timed::TextSummary {
        6e-3 * want.abs()
    } else {
        6e-3 * format.ohms_of(input[0]).hypot(format.ohms_of(input[1]))
    };
    match got {
        Some(got) if (got - want).abs() > allowed => Err(format!("{lines:?} instead of {want}")),
        // A word: it is for the ends.
        None if want > 0.0
            && want < 1e4
            && !lines[labels.len() - 1].contains("open")
            && kernel == Timed::TextImpedance =>
        {
            Err(format!("{lines:?} instead of {want}"))
        }
        _ => Ok(()),
    }
}
