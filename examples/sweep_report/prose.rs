//! The report for the bench, in plain sentences. Each term is explained where it first appears.

use std::collections::BTreeSet;
use std::fmt::Write;

use ohmwright::measure::{Agreement, Cause, Direction, Method, Suspect, SweepBand, TuningElement};

use super::correction::Correction;
use super::figures::{
    AtTarget, Choice, DiagnosisFigures, ExplanationFigures, Figures, Part, Point, PredictedFigures,
    RetuneFigures,
};
use super::options::Readings;
use super::output::{self, hertz, plain_number, swr, visible};

/// Where the sentences begin, behind the label.
const INDENT: usize = 16;

/// Of dips, bands and crossings; more would hide the rest.
const SHOWN: usize = 6;

/// The page so far, and the terms that were explained on it.
struct Page {
    text: String,
    explained: BTreeSet<&'static str>,
}

pub fn report(reports: &[Figures], readings: Option<Readings>, is_demo: bool) -> String {
    let mut page = Page {
        text: String::new(),
        explained: BTreeSet::new(),
    };
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
    /// A labelled paragraph, broken at the width.
    fn paragraph(&mut self, label: &str, text: &str) {
        let indent = if label.is_empty() { 0 } else { INDENT };
        output::paragraph(&mut self.text, indent, label, text);
    }

    /// The explanation of a term the first time, nothing afterwards.
    fn explain(&mut self, term: &'static str, meaning: &str) -> String {
        if self.explained.insert(term) {
            format!(" ({meaning})")
        } else {
            String::new()
        }
    }

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
        for (label, text) in figures.told.paragraphs() {
            self.paragraph(label, &text);
        }
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

    fn correction(&mut self, correction: &Correction) {
        let meaning = self.explain(
            "correction",
            "what the fixture leaks past the load, reflects back and loses on the way is found from the three, and taken \
             out of every reading",
        );
        let [open, short, load] = correction.files.each_ref().map(|file| short(file));
        let text = format!(
            "raw readings, corrected by {open}, {short} and {load}, taken for an ideal open, short and load{meaning}. \
             Before that the fixture had a directivity of {}, a source match of {} and a loss of {} to {}; its terms are \
             smooth to {:.1e} of a full reflection.",
            decibels(correction.directivity_db),
            decibels(correction.source_match_db),
            decibels(correction.least_loss_db),
            decibels(correction.most_loss_db),
            correction.unevenness,
        );
        self.paragraph("Corrected", &text);
        let doubt = if correction.suspects_exchange {
            "OPEN AND SHORT MAY BE EXCHANGED: carried on to 0 Hz, the wave comes back upside down. If the fixture does not \
             invert, every reflection has the wrong sign here."
        } else if correction.directivity_db < 10.0 {
            "the fixture leaks a third of what a full reflection is or more: small errors of the standards are large ones \
             of the load. Look for a loose connector."
        } else {
            return;
        };
        self.paragraph("Doubtful", doubt);
    }

    fn predicted(&mut self, predicted: &PredictedFigures) {
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

    /// What is wrong with the samples; nothing where all is well.
    fn quality(&mut self, figures: &Figures) {
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

    fn diagnosis(&mut self, diagnosis: &DiagnosisFigures, figures: &Figures) {
        let at = hertz(diagnosis.at_hz);
        let share = |value: f64| format!("{:.1} %", 100.0 * value);
        let what = match diagnosis.cause {
            Cause::Matched => {
                if figures.retune.is_none() && matches!(figures.target, AtTarget::Reading(..)) {
                    self.paragraph("To do", &format!("nothing need be done at {at}."));
                }
                return;
            }
            Cause::Ratio => "the ratio is wrong",
            Cause::Reactance => "reactance is left",
            Cause::RatioAndReactance => {
                "the ratio is wrong and reactance is left; neither remedy is enough alone"
            }
            _ => "the match is wrong",
        };
        // Where a good dip stands elsewhere, moving it is the way; the rest is for those who cannot.
        let moving_helps = figures.retune.as_ref().is_some_and(|retune| {
            retune.dip.swr <= figures.swr_limit && retune.dip.frequency_hz != diagnosis.at_hz
        });
        let unless = if moving_helps {
            "if the dip is to stay where it is: "
        } else {
            ""
        };
        let text = format!(
            "{unless}at {at} {what}. Of the power {} comes back; {} would with the reactance cancelled, {} with the best ratio \
             but the reactance left.",
            share(diagnosis.share_now),
            share(diagnosis.reflected_power_without_reactance),
            share(diagnosis.reflected_power_with_ratio)
        );
        self.paragraph("What is wrong", &text);
        let same = &diagnosis.as_it_is;
        let text = format!(
            "{} in series leaves SWR {}; {} across leaves SWR {}.",
            part(&same.series),
            swr(same.series.swr),
            part(&same.shunt),
            swr(same.shunt.swr)
        );
        self.paragraph("Parts alone", &text);
        let alone = &diagnosis.turns_alone;
        let text = format!(
            "a further transformer of {} turns by itself leaves SWR {}; {} with {} in series, SWR {}; {} with {} across, \
             SWR {}. (Turns towards the source : towards the load; parts on the source's side.)",
            turns(alone),
            swr(alone.swr),
            turns(&diagnosis.turns_and_series),
            part(&diagnosis.turns_and_series.series),
            swr(diagnosis.turns_and_series.series.swr),
            turns(&diagnosis.turns_and_shunt),
            part(&diagnosis.turns_and_shunt.shunt),
            swr(diagnosis.turns_and_shunt.shunt.swr)
        );
        self.paragraph("With turns", &text);
        let rule = &diagnosis.rule;
        let text = format!(
            "taken as a resistance, |Z| = {} asks for an impedance ratio of {:.2}, {} : {} turns, and promises SWR {}. \
             The reactance goes through the transformer too: it would be SWR {}.",
            ohm(rule.magnitude_ohm),
            rule.ratio,
            rule.primary,
            rule.secondary,
            swr(rule.swr_promised),
            swr(rule.swr_true)
        );
        self.paragraph("Magnitude rule", &text);
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

    fn readings(&mut self, readings: &Readings) {
        let name = |place: usize| readings.list.get(place).map_or("", |reading| reading.name.trim());
        let text = match readings.agreement {
            Agreement::Consistent => "they may all belong to one load.".to_string(),
            Agreement::Undecided if readings.list.len() == 1 => {
                "one alone, with nothing to hold it against.".to_string()
            }
            Agreement::Undecided => {
                "nothing speaks against them, but nothing confirms them either; neither |Z| nor R tells an SWR alone."
                    .to_string()
            }
            Agreement::Contradictory { first, second } => format!(
                "THEY DISAGREE: {} and {} cannot both be right, however they were rounded.",
                visible(name(first)),
                visible(name(second))
            ),
            Agreement::ContradictoryTogether => {
                "THEY DISAGREE: each two may be right, but no load gives all of them, however they were rounded."
                    .to_string()
            }
        };
        self.paragraph("Readings", &text);
        for reading in &readings.list {
            let (low, high) = reading.swr;
            let allowed = if high.is_infinite() {
                format!("SWR {low:.2} or more")
            } else {
                format!("SWR {low:.2} to {high:.2}")
            };
            let sign = if reading.sign_left_out {
                "; its minus sign is left out: a return loss is positive, the reflection in dB is not"
            } else {
                ""
            };
            self.paragraph(
                " ",
                &format!("{} stands for {allowed}{sign}.", visible(reading.name.trim())),
            );
        }
        if let Some(reactance) = readings.reactance_ohm {
            let text = format!(
                "This SWR with this series resistance means a reactance of ±{}.",
                ohm(reactance)
            );
            self.paragraph(" ", &text);
        }
        self.text.push('\n');
    }
}

/// The first few by this order, still as they stood, and how many more there are.
fn foremost<'a, T>(all: &[&'a T], order: impl Fn(&T, &T) -> std::cmp::Ordering) -> (Vec<&'a T>, usize) {
    let mut ranked: Vec<(usize, &T)> = all.iter().copied().enumerate().collect();
    ranked.sort_by(|one, other| order(one.1, other.1));
    ranked.truncate(SHOWN);
    ranked.sort_by_key(|(place, _)| *place);
    let kept: Vec<&T> = ranked.into_iter().map(|(_, one)| one).collect();
    let more = all.len() - kept.len();
    (kept, more)
}

fn points(count: u32) -> String {
    if count == 1 {
        "1 point".into()
    } else {
        format!("{count} points")
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

/// The file's name without its folder.
fn short(path: &str) -> String {
    visible(path.rsplit(['/', '\\']).next().unwrap_or(path))
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

fn decibels(value: f64) -> String {
    if value == f64::INFINITY {
        "without limit".into()
    } else if value < 0.0 {
        format!("{value:.1} dB, which is gain: more comes back than was sent")
    } else {
        format!("{value:.1} dB")
    }
}

fn ohm(value: f64) -> String {
    if value.is_infinite() {
        "an open".into()
    } else if value.abs() < 9.995 {
        format!("{value:.2} Ω")
    } else if value.abs() < 9999.5 {
        format!("{value:.1} Ω")
    } else {
        format!("{:.1} kΩ", value / 1e3)
    }
}

fn impedance(point: &Point) -> String {
    let (r, x) = (point.resistance_ohm, point.reactance_ohm);
    if r.is_infinite() || x.is_infinite() {
        return "an open".into();
    }
    let decimals = if r.abs().max(x.abs()) < 9.995 { 2 } else { 1 };
    let sign = if x < 0.0 { '−' } else { '+' };
    format!("{r:.decimals$} {sign} j{:.decimals$} Ω", x.abs())
}

fn turns(choice: &Choice) -> String {
    format!("{} : {}", choice.primary, choice.secondary)
}

fn part(part: &Part) -> String {
    match (part.inductance_h, part.capacitance_f) {
        (Some(henries), _) => scaled(henries, "H"),
        (_, Some(farads)) => scaled(farads, "F"),
        _ => "nothing".into(),
    }
}

/// Three digits and a prefix.
fn scaled(value: f64, unit: &str) -> String {
    let prefixes = [
        (1e-15, "f"),
        (1e-12, "p"),
        (1e-9, "n"),
        (1e-6, "µ"),
        (1e-3, "m"),
        (1.0, ""),
    ];
    let (scale, prefix) = prefixes
        .into_iter()
        .rev()
        .find(|(scale, _)| value >= 0.9995 * scale)
        .unwrap_or((1e-15, "f"));
    let number = value / scale;
    let decimals = match number {
        n if n < 9.995 => 2,
        n if n < 99.95 => 1,
        _ => 0,
    };
    format!("{number:.decimals$} {prefix}{unit}")
}
