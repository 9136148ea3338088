//! The report for the bench, in plain sentences. Each term is explained where it first appears.

use std::fmt::Write;

use ohmwright::measure::{Direction, Method, SweepBand, TuningElement};

use super::figures::{AtTarget, Figures, Point, RetuneFigures};
use super::output::{hertz, swr, visible};
use super::page::{Page, SHOWN, decibels, foremost, impedance, ohm, short};
use super::readings::Readings;

pub fn report(reports: &[Figures], readings: Option<Readings>, is_demo: bool) -> String {
    let mut page = Page::new();
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
        self.paragraph(
            "Measured",
            &format!(
                "{} points from {} to {}, against {}; computed in {}.{}",
                figures.points,
                hertz(figures.start_hz),
                hertz(figures.stop_hz),
                ohm(figures.reference_ohm),
                figures.numbers.name(),
                if figures.missing_end {
                    " The file lacks its [End]: it may have been cut off."
                } else {
                    ""
                }
            ),
        );
        if let Some(correction) = &figures.correction {
            self.correction(correction);
        }
        for (label, text) in figures.line.paragraphs() {
            self.paragraph(label, &text);
        }
        self.verdict(figures);
        self.quality(figures);
        self.best(figures);
        self.bands(figures);
        self.crossings(figures);
        for stretch in &figures.mask {
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
        if figures.left_out > 0 {
            let text = format!("{} more findings had no room in the lists.", figures.left_out);
            self.paragraph("Left out", &text);
        }
        self.advice(figures);
        if let Some(predicted) = &figures.predicted {
            self.predicted(predicted);
        }
        self.text.push('\n');
    }

    fn verdict(&mut self, figures: &Figures) {
        let limit = swr(figures.swr_limit);
        let meaning = self.explain(
            "SWR",
            "SWR, the standing wave ratio, says how far the load is from the reference: 1 is a perfect match, 2 sends a \
             ninth of the power back",
        );
        let text = match &figures.target {
            AtTarget::Reading(point, pass) => format!(
                "{} at {}: SWR {}, the limit is {limit}{meaning}.",
                if *pass { "MATCHED" } else { "NOT MATCHED" },
                hertz(point.frequency_hz),
                swr(point.swr)
            ),
            AtTarget::NotCovered(frequency) => format!(
                "UNKNOWN at {}: the sweep does not reach it, and nothing is guessed beyond its ends.",
                hertz(*frequency)
            ),
            AtTarget::NotAsked if figures.bands.is_empty() => {
                format!("NOT MATCHED anywhere in the sweep: the SWR never comes down to {limit}{meaning}.")
            }
            AtTarget::NotAsked => format!(
                "MATCHED in part of the sweep, at SWR {limit} or less{meaning}. Give --target for a verdict at one \
                 frequency."
            ),
        };
        self.paragraph("Verdict", &text);
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
            text.push_str(" This is the end of the sweep: the real minimum lies outside. Sweep further.");
        } else if best.method == Method::Flat {
            text.push_str(" Several points are exactly alike; their middle is given.");
        }
        if best.unresolved.is_some() {
            text.push_str(" The sweep does not resolve this dip: see above what it may be.");
        }
        self.paragraph("Best match", &text);
        let others: Vec<&Point> = figures
            .dips
            .iter()
            .filter(|dip| dip.frequency_hz != best.frequency_hz)
            .collect();
        let (kept, more) = foremost(&others, |one, other| one.swr.total_cmp(&other.swr));
        let mut told: Vec<String> = kept
            .iter()
            .map(|dip| {
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
            })
            .collect();
        if more > 0 {
            told.push(format!("and {more} more that are no better; --json lists all"));
        }
        if !told.is_empty() {
            self.paragraph("Other dips", &format!("{}.", told.join(", ")));
        }
    }

    fn bands(&mut self, figures: &Figures) {
        let limit = swr(figures.swr_limit);
        if figures.bands.is_empty() {
            self.paragraph("Band", &format!("nowhere at SWR {limit} or less."));
        }
        let bands: Vec<&SweepBand> = figures.bands.iter().collect();
        let (kept, more) = foremost(&bands, |one, other| other.width().cmp(&one.width()));
        for band in kept {
            let text = format!("SWR {limit} or less {}.", stretch(band));
            self.paragraph("Band", &text);
        }
        if more > 0 {
            let text = format!("and {more} more that are no wider; --json lists all.");
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

    fn advice(&mut self, figures: &Figures) {
        let gain = figures.gain.filter(|gain| !gain.is_noise);
        if let (Some(gain), AtTarget::Reading(..)) = (gain, &figures.target) {
            let text = format!(
                "check the calibration and the reference, then measure again: {gain}. Advice from such a reading would be \
                 worth nothing, so none is given."
            );
            self.paragraph("To do", &text);
            return;
        }
        if let Some(retune) = &figures.retune {
            self.retune(retune, figures);
        } else if figures.best.unresolved.is_some()
            && !matches!(figures.target, AtTarget::NotAsked | AtTarget::Reading(_, true))
        {
            let text = format!(
                "sweep finer near {}: what dip there is to move, this sweep does not show.",
                hertz(figures.best.frequency_hz)
            );
            self.paragraph("To do", &text);
        } else if !matches!(figures.target, AtTarget::NotAsked | AtTarget::Reading(_, true)) {
            self.paragraph(
                "To do",
                "there is no dip inside the sweep to move: sweep wider to find it.",
            );
        }
        match &figures.diagnosis {
            Ok(diagnosis) => self.diagnosis(diagnosis, figures),
            Err(cause) => self.paragraph("Remedy", &format!("{cause}.")),
        }
    }

    fn retune(&mut self, retune: &RetuneFigures, figures: &Figures) {
        let wanted = match &figures.target {
            AtTarget::Reading(point, _) => point.frequency_hz,
            AtTarget::NotCovered(frequency) => *frequency,
            AtTarget::NotAsked => return,
        };
        let change = 100.0 * (retune.factor - 1.0);
        let how = match (retune.element, retune.direction) {
            (_, Direction::Keep) => {
                self.paragraph(
                    "To do",
                    "the dip stands where it should: leave the tuning element alone.",
                );
                return;
            }
            (TuningElement::Inductance, Direction::Less) => {
                "Less inductance: take turns off the coil, or stretch it"
            }
            (TuningElement::Inductance, Direction::More) => {
                "More inductance: put turns on the coil, or compress it"
            }
            (TuningElement::Capacitance, Direction::Less) => "Less capacitance: open the trimmer",
            (TuningElement::Capacitance, Direction::More) => "More capacitance: close the trimmer",
            (TuningElement::Turns, Direction::Less) => "Fewer turns on the coil",
            (TuningElement::Turns, Direction::More) => "More turns on the coil",
            (TuningElement::Length, Direction::Less) => "Resonance is low: shorten the wire",
            (TuningElement::Length, Direction::More) => "Resonance is high: lengthen the wire",
            _ => "Change the tuning element",
        };
        let passes = matches!(figures.target, AtTarget::Reading(_, true));
        let mut text = format!(
            "{}bring the dip from {} to {}. {how}, until the whole {} is {:.3} of what it is ({change:+.1} %).",
            if passes {
                "nothing need be done. To centre it, "
            } else {
                ""
            },
            hertz(retune.dip.frequency_hz),
            hertz(wanted),
            retune.element,
            retune.factor
        );
        if retune.dip.unresolved.is_some() {
            text.push_str(" The sweep does not resolve the dip, so sweep finer, before and after.");
        } else {
            let _ = write!(
                text,
                " If the dip keeps its depth, SWR {} is left there; what is fixed takes its share, so sweep again.",
                swr(retune.dip.swr)
            );
        }
        self.paragraph("To do", &text);
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
