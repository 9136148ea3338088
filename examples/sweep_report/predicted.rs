//! Measured against predicted.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::measure::{Change, PredictionCheck, PredictionReport, Suspect};
use ohmwright::quantity::{Hertz, Reference, Reflection};
use serde_json::{Value, json};

use super::output::{hertz, json_number as number, visible};
use super::page::{Page, points, scaled};
use super::sweep::Sweep;

/// Measured against predicted.
pub struct PredictedFigures {
    pub file: String,
    pub points: u32,
    /// Measured points beyond the ends of the prediction, and at 0 Hz.
    pub left_out: usize,
    pub largest: f64,
    pub largest_at_hz: u64,
    pub mean: f64,
    pub root_mean_square: f64,
    /// Whether the first explains anything.
    pub explained: bool,
    /// Least residual first.
    pub explanations: Vec<ExplanationFigures>,
}

/// One parameter allowed to differ.
pub struct ExplanationFigures {
    pub suspect: Suspect,
    /// A factor, henries or metres, the latter two with a sign.
    pub change: f64,
    pub residual: f64,
    /// Of the mean |ΔΓ|².
    pub share: f64,
}

/// What was measured against what was predicted, at each frequency that both have.
pub fn compare<A: Arithmetic>(
    prediction: &Sweep,
    measured: &[(Hertz, Reflection<A>)],
    reference: Reference<A>,
    numbers: &str,
) -> Result<PredictedFigures, String> {
    let file = &prediction.name;
    let unfit = |error: &dyn std::fmt::Display| format!("{file}: {error} in {numbers}");
    let own = Reference::<A>::try_from_f64(prediction.reference_ohm)
        .map_err(|error| unfit(&format!("line {}: {error}", prediction.reference_line)))?;
    let mut pairs = Vec::new();
    // Nothing is told apart by a reading at 0 Hz, where a coil and a line are nothing.
    for (frequency, gamma) in measured.iter().filter(|(frequency, _)| frequency.get() > 0) {
        if let Some((real, imaginary)) = prediction.at(frequency.get()) {
            let predicted = Reflection::<A>::try_from_f64(real, imaginary)
                .map_err(|error| unfit(&format!("at {frequency}: {error}")))?;
            pairs.push((*frequency, *gamma, predicted.change_reference(own, reference)));
        }
    }
    let report = PredictionCheck::sweep(reference, pairs.iter().copied())
        .map_err(|error| unfit(&error))?
        .ok_or_else(|| format!("{file}: it covers none of the measured frequencies"))?;
    Ok(predicted_figures(&report, file, measured.len() - pairs.len()))
}

fn predicted_figures<A: Arithmetic>(
    report: &PredictionReport<A>,
    file: &str,
    left_out: usize,
) -> PredictedFigures {
    let henry = if matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16) {
        1e-12
    } else {
        1.0
    };
    let mut explanations: Vec<_> = report
        .explanations()
        .iter()
        .map(|explanation| ExplanationFigures {
            suspect: explanation.suspect,
            change: match explanation.change {
                Change::TimesImpedance(times) => times.to_f64(),
                Change::MoreInductance(inductance) => inductance.get().to_f64() * henry,
                Change::LessInductance(inductance) => -inductance.get().to_f64() * henry,
                Change::LongerLine(metres) => metres.to_f64(),
                Change::ShorterLine(metres) => -metres.to_f64(),
                _ => f64::NAN,
            },
            residual: explanation.residual.to_f64(),
            share: explanation.share.to_f64(),
        })
        .collect();
    // The library says which is best; the other two follow in the order of what they leave.
    let best = report.best().suspect;
    explanations.sort_by(|a, b| {
        let key = |one: &ExplanationFigures| (one.suspect != best, one.residual);
        key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal)
    });
    PredictedFigures {
        file: file.to_string(),
        points: report.points,
        left_out,
        largest: report.largest.to_f64(),
        largest_at_hz: report.largest_at.get(),
        mean: report.mean.to_f64(),
        root_mean_square: report.root_mean_square.to_f64(),
        explained: report.explained().is_some(),
        explanations,
    }
}

impl Page {
    pub fn predicted(&mut self, predicted: &PredictedFigures) {
        let left_out = match predicted.left_out {
            0 => String::new(),
            1 => " One measured point lies beyond its ends, or at 0 Hz, and is left out.".into(),
            count => format!(" {count} measured points lie beyond its ends, or at 0 Hz, and are left out."),
        };
        let meaning = self.explain(
            "difference",
            "the length of the arrow between the two reflection coefficients; 0 is the same, 2 from an open to a short",
        );
        let text = format!(
            "against {}, at {}: the difference{meaning} is {:.4} on average and {:.4} at most (at {}).{left_out}",
            visible(&predicted.file),
            points(predicted.points),
            predicted.mean,
            predicted.largest,
            hertz(predicted.largest_at_hz)
        );
        self.paragraph("Predicted", &text);
        let Some(best) = predicted.explanations.first() else {
            return;
        };
        if !predicted.explained {
            let text = if best.share > 0.0 {
                "one common frequency does not tell a wrong ratio, leakage and a wrong line length apart: what does is how \
                 the difference goes with frequency."
            } else {
                "none of ratio, leakage and line length brings the two closer together."
            };
            self.paragraph("Explanation", text);
            return;
        }
        let verdict = match best.share {
            share if share > 0.9 => "it explains nearly all",
            share if share > 0.5 => "it explains most, but not all",
            _ => "it explains less than half, so that no single one of the three is the cause",
        };
        let others: Vec<String> = predicted
            .explanations
            .iter()
            .skip(1)
            .map(|other| format!("{} {:.4} ({})", other.suspect, other.residual, change(other)))
            .collect();
        let text = format!(
            "of ratio, leakage and line length, each allowed to differ alone, {} fits best: {}. Of the root mean square \
             difference of {:.4} it leaves {:.4}; {verdict} ({:.1} % of the mean square). The others leave: {}.",
            best.suspect,
            change(best),
            predicted.root_mean_square,
            best.residual,
            100.0 * best.share,
            others.join(", ")
        );
        self.paragraph("Explanation", &text);
    }
}

/// By how much a parameter would differ from what was predicted.
fn change(explanation: &ExplanationFigures) -> String {
    let size = explanation.change.abs();
    let more = if explanation.change < 0.0 { "less" } else { "more" };
    match explanation.suspect {
        Suspect::Ratio => format!("impedances {:.3} times as large", explanation.change),
        Suspect::Leakage => format!("{} {more} in series", scaled(size, "H")),
        Suspect::LineLength => {
            let longer = if explanation.change < 0.0 {
                "shorter"
            } else {
                "longer"
            };
            format!("a line electrically {} {longer}", scaled(size, "m"))
        }
        _ => format!("{:.3}", explanation.change),
    }
}

pub fn json(predicted: &PredictedFigures) -> Value {
    let explanations: Vec<Value> = predicted
        .explanations
        .iter()
        .map(|explanation| {
            let unit = match explanation.suspect {
                Suspect::Ratio => "times_impedance",
                Suspect::Leakage => "inductance_h",
                Suspect::LineLength => "electrical_length_m",
                _ => "change",
            };
            let mut object = json!({
                "parameter": explanation.suspect.to_string(),
                "residual": number(explanation.residual),
                "share_explained": number(explanation.share),
            });
            object[unit] = number(explanation.change);
            object
        })
        .collect();
    let best = predicted.explanations.first().filter(|_| predicted.explained);
    json!({
        "file": predicted.file,
        "points": predicted.points,
        "left_out": predicted.left_out,
        "largest_difference": number(predicted.largest),
        "largest_at_hz": predicted.largest_at_hz,
        "mean_difference": number(predicted.mean),
        "root_mean_square_difference": number(predicted.root_mean_square),
        "best_explanation": best.map(|best| best.suspect.to_string()),
        "explanations": explanations,
    })
}
