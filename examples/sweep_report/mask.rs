//! Limits of SWR for stretches of frequency.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::{MaskSegment, MaskVerdict};
use ohmwright::quantity::{Hertz, Swr};
use serde_json::{Value, json};

use super::figures::{of_option, value};
use super::options::{MaskStretch, Options};
use super::output::{hertz, json_number as number, swr};
use super::page::Page;

pub struct MaskFigures {
    pub low_hz: u64,
    pub high_hz: u64,
    pub swr_limit: f64,
    pub covered: bool,
    pub pass: bool,
    pub worst: Option<(u64, f64)>,
}

pub fn segments<A: Arithmetic>(options: &Options) -> Result<Vec<MaskSegment<A>>, String> {
    let limit = |value| Swr::<A>::try_from_f64(value).map_err(|error| error.of("SWR limit"));
    let segment = |stretch: &MaskStretch| {
        Ok(MaskSegment {
            low: Hertz::new(stretch.low_hz),
            high: Hertz::new(stretch.high_hz),
            swr_limit: of_option("--mask", options, stretch.swr_limit, limit)?,
        })
    };
    options.mask.iter().map(segment).collect()
}

pub fn work_out<A: Arithmetic>(segments: &[MaskSegment<A>], verdicts: &[MaskVerdict<A>]) -> Vec<MaskFigures> {
    segments
        .iter()
        .zip(verdicts)
        .map(|(segment, verdict)| {
            let (covered, pass, worst) = match verdict {
                MaskVerdict::Pass(worst) => (true, true, Some(worst)),
                MaskVerdict::Fail(worst) => (true, false, Some(worst)),
                _ => (false, false, None),
            };
            MaskFigures {
                low_hz: segment.low.get(),
                high_hz: segment.high.get(),
                swr_limit: segment.swr_limit.to_f64(),
                covered,
                pass,
                worst: worst.map(|worst| (worst.frequency.get(), value(worst.reflection.swr()))),
            }
        })
        .collect()
}

impl Page {
    pub fn mask(&mut self, stretches: &[MaskFigures]) {
        for stretch in stretches {
            let span = format!("{} to {}", hertz(stretch.low_hz), hertz(stretch.high_hz));
            let text = match stretch.worst {
                _ if !stretch.covered => format!("{span}: the sweep does not cover it."),
                Some((at, value)) => format!(
                    "{span}, SWR {} allowed: {}, at most {} (at {}).",
                    swr(stretch.swr_limit),
                    if stretch.pass { "passes" } else { "FAILS" },
                    swr(value),
                    hertz(at)
                ),
                None => continue,
            };
            self.paragraph("Mask", &text);
        }
    }
}

pub fn json(stretches: &[MaskFigures]) -> Value {
    stretches
        .iter()
        .map(|stretch| {
            json!({
                "low_hz": stretch.low_hz,
                "high_hz": stretch.high_hz,
                "swr_limit": number(stretch.swr_limit),
                "covered": stretch.covered,
                "pass": stretch.pass,
                "worst_hz": stretch.worst.map(|(hertz, _)| hertz),
                "worst_swr": stretch.worst.map(|(_, swr)| number(swr)),
            })
        })
        .collect()
}
