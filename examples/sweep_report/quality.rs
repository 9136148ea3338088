//! How far the samples of a sweep can be trusted.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::{SweepReport, SweepSurvey};
use serde_json::{Value, json};

use super::figures::Figures;
use super::output::{hertz, json_number as number, plain_number, swr, trimmed};
use super::page::{Page, SHOWN};

/// Metres a second, in vacuum.
const LIGHT: f64 = 299_792_458.0;

/// How far the samples can be trusted.
pub struct Quality {
    /// The frequencies of samples that fit none of their neighbours.
    pub spoilt_hz: Vec<u64>,
    pub spoilt_left_out: u32,
    /// The number of samples with |Γ| above 1 by more than twice the noise that was reckoned with.
    pub beyond_rim: u32,
    pub fast_turns: u32,
    pub is_too_coarse: bool,
    pub is_uncorrected: bool,
    /// The noise that was reckoned with: the standard deviation of a component of Γ.
    pub noise_allowed: f64,
    /// The noise that was found.
    noise: f64,
    ripple: Option<RippleFigures>,
}

struct RippleFigures {
    period_hz: u64,
    size: f64,
}

/// A load that sends back more than it was sent, where one is read.
#[derive(Clone, Copy, Debug)]
pub struct Gain {
    pub at_hz: u64,
    /// |Γ|.
    pub magnitude: f64,
    /// Whether the noise is enough to explain it.
    pub is_noise: bool,
}

/// What report and survey say of a sweep.
pub fn work_out<A: Arithmetic, const N: usize>(
    report: &SweepReport<A, N>,
    survey: &SweepSurvey,
    noise_allowed: f64,
) -> Quality {
    let found = survey.quality(report);
    Quality {
        spoilt_hz: report.spoilt().iter().map(|frequency| frequency.get()).collect(),
        spoilt_left_out: report.spoilt_left_out(),
        beyond_rim: found.beyond_rim,
        fast_turns: report.fast_turns(),
        is_too_coarse: found.too_coarse,
        is_uncorrected: found.uncorrected,
        noise_allowed,
        noise: found.noise.to_f64(),
        ripple: found.ripple.map(|ripple| RippleFigures {
            period_hz: ripple.period.get(),
            size: ripple.size.to_f64(),
        }),
    }
}

impl std::fmt::Display for Gain {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (size, at) = (self.magnitude, hertz(self.at_hz));
        write!(
            f,
            "the reflection coefficient at {at} is {size:.3} in size, above 1 "
        )?;
        f.write_str(if self.is_noise {
            "by no more than noise explains: the load is near an open, a short or a pure reactance"
        } else {
            "by more than noise explains, which no passive load has"
        })
    }
}

impl Quality {
    pub fn spoilt(&self) -> usize {
        self.spoilt_hz.len() + self.spoilt_left_out as usize
    }

    fn bad_samples(&self) -> Option<String> {
        let mut at: Vec<String> = self.spoilt_hz.iter().take(SHOWN).map(|one| hertz(*one)).collect();
        let more = self.spoilt() - at.len();
        if more > 0 {
            at.push(format!("and {more} more"));
        }
        let what = match self.spoilt() {
            0 => return None,
            1 => "1 sample fits none of its neighbours and was".into(),
            count => format!("{count} samples fit none of their neighbours and were"),
        };
        Some(format!(
            "{what} left out ({}): measure again there",
            at.join(", ")
        ))
    }

    fn beyond_one(&self) -> Option<String> {
        let above = plain_number((2.0 * self.noise_allowed * 1e6).round() / 1e6);
        let which = match self.beyond_rim {
            0 => return None,
            1 => "1 sample has a reflection".into(),
            count => format!("{count} samples have reflections"),
        };
        Some(format!(
            "{which} more than {above} above 1: check calibration and reference"
        ))
    }

    /// A period in frequency is a way there and back.
    fn ripple(&self, velocity: Option<f64>) -> Option<String> {
        let ripple = self.ripple.as_ref()?;
        let metres = LIGHT * velocity.unwrap_or(1.0) / (2.0 * ripple.period_hz as f64);
        let size = if metres < 9.95 { 2 } else { 1 };
        let long = match velocity {
            Some(factor) => format!(
                "{} m of cable at a velocity factor of {}",
                trimmed(metres, size),
                trimmed(factor, 3)
            ),
            None => format!("a cable electrically {} m long", trimmed(metres, size)),
        };
        Some(format!(
            "A ripple of {:.3} every {}, as from {long} that does not match",
            ripple.size,
            hertz(ripple.period_hz)
        ))
    }
}

/// What dips are too narrow for the steps; the deepest with its limits.
fn not_resolved(figures: &Figures) -> Option<String> {
    let all = figures.unresolved();
    let deepest = all.iter().min_by(|one, other| one.swr.total_cmp(&other.swr))?;
    let limits = deepest.unresolved?;
    let depth = if limits.swr_at_most.is_infinite() {
        "of an SWR that is not known".into()
    } else {
        format!("SWR at most {}, perhaps much less", swr(limits.swr_at_most))
    };
    let which = match all.len() {
        1 => format!("The dip near {} is", hertz(deepest.frequency_hz)),
        count => format!("{count} dips are"),
    };
    let of = match all.len() {
        1 => "it stands",
        _ => "the deepest stands",
    };
    Some(format!(
        "{which} too narrow for these steps: {of} between {} and {}, {depth}; sweep finer there",
        hertz(limits.low_hz),
        hertz(limits.high_hz)
    ))
}

impl Page {
    /// What is wrong with the samples; nothing where all is well.
    pub fn quality(&mut self, figures: &Figures) {
        let quality = &figures.quality;
        let coarse = quality.is_too_coarse.then(|| {
            format!(
                "Too coarse: the reflection turns by more than a third of a circle from point to point, {} times of {}; \
                 sweep finer",
                quality.fast_turns,
                figures.points.saturating_sub(1)
            )
        });
        // So many samples beyond 1 say it already.
        let uncorrected = (quality.is_uncorrected && quality.beyond_rim == 0)
            .then(|| "The reflection turns the wrong way round: the readings look uncorrected".into());
        let all = [
            quality.beyond_one(),
            uncorrected,
            coarse,
            quality.bad_samples(),
            not_resolved(figures),
            quality.ripple(figures.velocity),
        ];
        let told: Vec<String> = all.into_iter().flatten().collect();
        if !told.is_empty() {
            self.paragraph("Quality", &format!("{}.", told.join(". ")));
        }
    }
}

pub fn json(figures: &Figures) -> Value {
    let quality = &figures.quality;
    json!({
        "noise": number(quality.noise),
        "spoilt": quality.spoilt_hz.iter().map(|hertz| json!({ "frequency_hz": hertz })).collect::<Vec<_>>(),
        "spoilt_left_out": quality.spoilt_left_out,
        "beyond_rim": quality.beyond_rim,
        "ripple": quality.ripple.as_ref().map(|ripple| json!({
            "period_hz": ripple.period_hz,
            "size": number(ripple.size),
        })),
        "unresolved": figures.unresolved().len(),
        "uncorrected": quality.is_uncorrected,
        "too_coarse": quality.is_too_coarse,
    })
}
