//! The report for the bench, in plain sentences: the verdict, what to do and what to expect; then figures; then what else
//! could be done.

use std::fmt::Write;

use ohmwright::measure::{Method, SweepBand};

use super::figures::{AtTarget, Figures, Point};
use super::next::Otherwise;
use super::options::Options;
use super::output::{hertz, swr, visible};
use super::page::{Page, SHOWN, decibels, impedance, ohm, short};
use super::readings::Readings;

pub fn report(reports: &[Figures], readings: Option<Readings>, options: &Options, is_demo: bool) -> String {
    let mut page = Page::new(is_demo || options.explain);
    if is_demo {
        page.paragraph(
            "",
            "The demo scenario: a river-gauge telemetry network and its 71 MHz relay station, with the crew's short-wave \
             whip. All data are invented; see demo-data/README.md. Give your own .s1p files to have them read; --help \
             tells how.",
        );
        page.text.push('\n');
    }
    for figures in reports {
        page.sweep(figures);
    }
    if reports.len() > 1 {
        page.comparison(reports);
    }
    if let Some(readings) = readings {
        page.readings(&readings);
    }
    page.paragraph(
        "Caution",
        "transmit only where you are licensed to, into a load, at low power first. RF burns, and a mismatched network \
         carries high voltage: switch off before you touch or change anything, and discharge the supply. Some RF power \
         devices contain toxic ceramics. Local rules and licensed practice come first.",
    );
    page.text
}

impl Page {
    fn sweep(&mut self, figures: &Figures) {
        self.text.push_str(&visible(&figures.name));
        self.text.push('\n');
        self.verdict(figures);
        self.next_step(&figures.next);
        for (label, text) in figures.told.paragraphs() {
            self.paragraph(label, &text);
        }
        self.measured(figures);
        self.quality(figures);
        self.at_target(figures);
        self.best(figures);
        self.dips(figures);
        self.bands(figures);
        self.crossings(figures);
        self.mask(&figures.mask);
        if figures.left_out > 0 {
            let text = format!("{} more findings had no room in the lists.", figures.left_out);
            self.paragraph("Left out", &text);
        }
        self.otherwise(figures);
        if let Some(predicted) = &figures.predicted {
            self.predicted(predicted);
        }
        self.text.push('\n');
    }

    fn measured(&mut self, figures: &Figures) {
        let cut_off = if figures.missing_end {
            " The file lacks its [End]: it may have been cut off."
        } else {
            ""
        };
        let text = format!(
            "{} points from {} to {}, against {}; computed in {}.{cut_off}",
            figures.points,
            hertz(figures.start_hz),
            hertz(figures.stop_hz),
            ohm(figures.reference_ohm),
            figures.numbers.name(),
        );
        self.paragraph("Measured", &text);
        if let Some(correction) = &figures.correction {
            self.correction(correction);
        }
        for (label, text) in figures.line.paragraphs() {
            self.paragraph(label, &text);
        }
    }

    fn verdict(&mut self, figures: &Figures) {
        let limit = swr(figures.swr_limit);
        let meaning = self.explain("SWR", "1 is a perfect match, 2 sends a ninth of the power back");
        let text = match &figures.target {
            AtTarget::Reading(point, pass) => format!(
                "{} at {}: SWR {}{}, the limit is {limit}{meaning}.",
                if *pass { "MATCHED" } else { "NOT MATCHED" },
                hertz(point.frequency_hz),
                swr(point.swr),
                point.range.words()
            ),
            AtTarget::NotCovered(frequency) => format!(
                "UNKNOWN at {}: the sweep does not reach it, and nothing is guessed beyond its ends.",
                hertz(*frequency)
            ),
            AtTarget::NotAsked if figures.bands.is_empty() => {
                format!("NOT MATCHED anywhere in the sweep: the SWR never comes down to {limit}{meaning}.")
            }
            AtTarget::NotAsked => format!(
                "MATCHED in part of the sweep: SWR {limit} or less{meaning}. --target asks about one frequency."
            ),
        };
        self.paragraph("Verdict", &text);
    }

    fn at_target(&mut self, figures: &Figures) {
        if let AtTarget::Reading(point, _) = &figures.target {
            let share = 100.0 * point.reflected_share;
            let text = format!(
                "{}, return loss {}{}; {share:.1} % of the power comes back.",
                impedance(point),
                decibels(point.return_loss_db),
                self.return_loss_meaning()
            );
            self.paragraph("At the target", &text);
        }
    }

    fn return_loss_meaning(&mut self) -> String {
        self.explain(
            "return loss",
            "how far the reflected wave lies below the one sent; more is better",
        )
    }

    fn best(&mut self, figures: &Figures) {
        let best = &figures.best;
        let mut text = format!(
            "{}: SWR {}, return loss {}{}, {}",
            hertz(best.frequency_hz),
            swr(best.swr),
            decibels(best.return_loss_db),
            self.return_loss_meaning(),
            impedance(best)
        );
        text.push_str(&match best.method {
            Method::NearestPoints => self.explain(
                "between",
                "found between the measured points, from the nearest of them",
            ),
            Method::ManyPoints => self.explain("fitted", "fitted to many points, since noise shows"),
            _ => String::new(),
        });
        text.push('.');
        if best.at_edge {
            text.push_str(" This is the end of the sweep: the real minimum lies outside.");
        } else if best.method == Method::Flat {
            text.push_str(" Several points are exactly alike; their middle is given.");
        }
        if best.unresolved.is_some() {
            text.push_str(" The sweep does not resolve this dip: see above what it may be.");
        }
        self.paragraph("Best match", &text);
    }

    /// The others; many are shallow ones, of a ripple, and told by their number.
    fn dips(&mut self, figures: &Figures) {
        let others: Vec<&Point> = figures
            .dips
            .iter()
            .filter(|dip| dip.frequency_hz != figures.best.frequency_hz)
            .collect();
        if others.len() > SHOWN {
            let (mut low, mut high) = (f64::INFINITY, 1.0_f64);
            for dip in &others {
                (low, high) = (low.min(dip.swr), high.max(dip.swr));
            }
            let text = format!(
                "{} more, of SWR {} to {}; --json lists them.",
                others.len(),
                swr(low),
                swr(high)
            );
            self.paragraph("Other dips", &text);
            return;
        }
        let tell = |dip: &&Point| {
            let edge = if dip.at_edge {
                ", at the end of the sweep"
            } else {
                ""
            };
            let unresolved = if dip.unresolved.is_some() {
                ", not resolved"
            } else {
                ""
            };
            format!(
                "{} (SWR {}{edge}{unresolved})",
                hertz(dip.frequency_hz),
                swr(dip.swr)
            )
        };
        let told: Vec<String> = others.iter().map(tell).collect();
        if !told.is_empty() {
            self.paragraph("Other dips", &format!("{}.", told.join(", ")));
        }
    }

    fn bands(&mut self, figures: &Figures) {
        let limit = swr(figures.swr_limit);
        let widest = figures.bands.iter().max_by_key(|band| band.width());
        let Some(widest) = widest else {
            self.paragraph("Band", &format!("nowhere at SWR {limit} or less."));
            return;
        };
        if figures.bands.len() > SHOWN {
            let text = format!(
                "SWR {limit} or less in {} bands, the widest {}; --json lists them.",
                figures.bands.len(),
                stretch(widest)
            );
            self.paragraph("Band", &text);
            return;
        }
        for band in &figures.bands {
            let text = format!("SWR {limit} or less {}.", stretch(band));
            self.paragraph("Band", &text);
        }
    }

    fn crossings(&mut self, figures: &Figures) {
        for crossing in figures.resonances.iter().take(SHOWN) {
            if crossing.resistance_ohm < 0.0 {
                let text = format!(
                    "{}: the resistance is {}, below 0, since the reflection coefficient is above 1 in size here. No \
                     passive load has that.",
                    hertz(crossing.frequency_hz),
                    ohm(crossing.resistance_ohm)
                );
                self.paragraph("X = 0", &text);
                continue;
            }
            let meaning = self.explain(
                "X = 0",
                "the reactance vanishes: a resonance. Rising means that X grows with frequency, as of a coil and a \
                 capacitor in series; falling, as of the two side by side. Q is the sharpness of the load by itself",
            );
            let text = format!(
                "{}: {} left, X {}, Q {:.1}{meaning}.",
                hertz(crossing.frequency_hz),
                ohm(crossing.resistance_ohm),
                if crossing.rising { "rising" } else { "falling" },
                crossing.q
            );
            self.paragraph("X = 0", &text);
        }
        if figures.resonances.len() > SHOWN {
            let text = format!("and {} more; --json lists all.", figures.resonances.len() - SHOWN);
            self.paragraph("X = 0", &text);
        }
    }

    /// What else could be done.
    fn otherwise(&mut self, figures: &Figures) {
        let Otherwise::Told(lead) = figures.next.otherwise() else {
            // It says more than the next step did.
            if let Some(gain) = figures.gain {
                self.paragraph("Above 1", &format!("{gain}."));
            }
            return;
        };
        match &figures.diagnosis {
            Ok(_) if matches!(figures.target, AtTarget::NotCovered(_)) => {}
            Ok(diagnosis) => self.diagnosis(diagnosis, &figures.next, lead),
            Err(cause) => self.paragraph("Other ways", &format!("none: {cause}.")),
        }
    }

    fn comparison(&mut self, reports: &[Figures]) {
        self.text.push_str("Side by side\n");
        let widest = reports
            .iter()
            .map(|figures| short(&figures.name).chars().count())
            .max();
        let widest = widest.unwrap_or(0).max(4);
        let _ = writeln!(
            self.text,
            "  {:<widest$}  {:>14}  {:>9}  {:>14}  {:>9}",
            "file", "best at", "SWR", "target", "SWR"
        );
        for figures in reports {
            let (target, at_target) = match &figures.target {
                AtTarget::Reading(point, _) => (hertz(point.frequency_hz), swr(point.swr)),
                AtTarget::NotCovered(frequency) => (hertz(*frequency), "unknown".into()),
                AtTarget::NotAsked => ("-".into(), "-".into()),
            };
            let _ = writeln!(
                self.text,
                "  {:<widest$}  {:>14}  {:>9}  {:>14}  {:>9}{}",
                short(&figures.name),
                hertz(figures.best.frequency_hz),
                swr(figures.best.swr),
                target,
                at_target,
                if figures.is_doubtful() {
                    "  doubtful: see above"
                } else {
                    ""
                }
            );
        }
        self.text.push('\n');
    }
}

fn stretch(band: &SweepBand) -> String {
    let from = if band.low_open {
        format!("already at the start, {}", hertz(band.low.get()))
    } else {
        format!("from {}", hertz(band.low.get()))
    };
    let to = if band.high_open {
        format!("still at the end, {}", hertz(band.high.get()))
    } else {
        format!("to {}", hertz(band.high.get()))
    };
    let joint = if band.high_open { ", and " } else { " " };
    format!("{from}{joint}{to} ({} wide)", hertz(band.width().get()))
}
