//! How far the samples of a sweep can be trusted.

use serde_json::{Value, json};

use super::figures::Figures;
use super::output::{hertz, plain_number, swr};
use super::page::{Page, SHOWN, foremost, points};

/// How far the samples can be trusted.
pub struct Quality {
    /// The frequencies of samples that fit none of their neighbours.
    pub spoilt_hz: Vec<u64>,
    pub spoilt_left_out: u32,
    /// The number of samples with |Γ| above 1 by more than twice the noise.
    pub beyond_rim: u32,
    pub fast_turns: u32,
    pub is_too_coarse: bool,
    /// The standard deviation of a component of Γ that was reckoned with.
    pub noise: f64,
}

impl Quality {
    pub fn spoilt(&self) -> usize {
        self.spoilt_hz.len() + self.spoilt_left_out as usize
    }
}

impl Page {
    /// What is wrong with the samples; nothing where all is well.
    pub fn quality(&mut self, figures: &Figures) {
        let quality = &figures.quality;
        match quality.beyond_rim {
            0 => {}
            count => {
                let text = format!(
                    "{} above 1 in size by more than {}, twice the noise: more comes back than was sent. A passive load \
                     does not do that. Check the calibration and the reference, and whether something else transmits.",
                    if count == 1 {
                        "1 sample has a reflection coefficient".into()
                    } else {
                        format!("{count} samples have a reflection coefficient")
                    },
                    plain_number((2.0 * quality.noise * 1e6).round() / 1e6)
                );
                self.paragraph("Beyond 1", &text);
            }
        }
        if quality.is_too_coarse {
            let text = format!(
                "from one point to the next the reflection coefficient turns by more than a third of a circle, {} times in \
                 {}. What stands below about frequencies between the points is a guess: sweep finer.",
                quality.fast_turns,
                points(figures.points)
            );
            self.paragraph("Too coarse", &text);
        }
        let spoilt = quality.spoilt();
        if spoilt > 0 {
            let mut at: Vec<String> = quality
                .spoilt_hz
                .iter()
                .take(SHOWN)
                .map(|one| hertz(*one))
                .collect();
            if spoilt > at.len() {
                at.push(format!(
                    "and {} more, of which --json lists the first",
                    spoilt - at.len()
                ));
            }
            let (what, near) = if spoilt == 1 {
                (
                    "1 sample fits none of its neighbours and was left out".into(),
                    "it",
                )
            } else {
                (
                    format!("{spoilt} samples fit none of their neighbours and were left out"),
                    "them",
                )
            };
            let text = format!("{what}: {}. Measure again, or finer near {near}.", at.join(", "));
            self.paragraph("Bad samples", &text);
        }
        let (kept, more) = foremost(&figures.unresolved(), |one, other| one.swr.total_cmp(&other.swr));
        for dip in kept {
            let Some(limits) = dip.unresolved else {
                continue;
            };
            let depth = if limits.swr_at_most.is_infinite() {
                "of an SWR that is not known".into()
            } else {
                format!("SWR at most {}, perhaps much less", swr(limits.swr_at_most))
            };
            let text = format!(
                "the dip near {} is too narrow for the steps of this sweep. It stands between {} and {}, {depth}: sweep \
                 finer there.",
                hertz(dip.frequency_hz),
                hertz(limits.low_hz),
                hertz(limits.high_hz)
            );
            self.paragraph("Not resolved", &text);
        }
        if more > 0 {
            let text = format!("and {more} more dips that are no better; --json lists all.");
            self.paragraph("Not resolved", &text);
        }
    }
}

/// How far the samples can be trusted.
pub fn json(figures: &Figures) -> Value {
    let quality = &figures.quality;
    json!({
        "spoilt": quality.spoilt_hz.iter().map(|hertz| json!({ "frequency_hz": hertz })).collect::<Vec<_>>(),
        "spoilt_left_out": quality.spoilt_left_out,
        "beyond_rim": quality.beyond_rim,
        "unresolved": figures.unresolved().len(),
        "too_coarse": quality.is_too_coarse,
    })
}
