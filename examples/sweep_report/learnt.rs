//! What a move between two sweeps teaches, and what is to be done with what was moved: in millimetres where the coil is
//! known.

use std::any::Any;

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::measure::{
    Adjustment, Direction, LearnError, Learnt, SweepReport, SweepSurvey, TuningElement,
};
use ohmwright::quantity::{Component, Hertz, Ratio, Reflection};
use serde_json::{Value, json};

use super::coil::{self, Coil, CoilChange};
use super::figures::{AtTarget, Figures, ROOM, of_option};
use super::input::number;
use super::next::Doing;
use super::numbers::Numbers;
use super::options::Options;
use super::output::{hertz, trimmed};

/// What the command line says of the move, and of the coil.
#[derive(Default)]
pub struct Asked {
    pub moved: Option<f64>,
    pub coil: Option<Coil>,
}

/// The factor of a move.
pub fn moved(given: &str) -> Result<f64, String> {
    match number("--moved", given)? {
        value if (0.1..=10.0).contains(&value) => Ok(value),
        _ => Err(format!(
            "--moved: {given} is not from 0.1 to 10, the new value over the old one"
        )),
    }
}

impl Asked {
    /// Whether the options go together with the rest.
    pub fn check(&self, files: usize, tuning: Option<TuningElement>) -> Result<(), String> {
        if self.moved.is_some() && files != 2 {
            return Err(format!(
                "--moved needs two sweeps, before and after the move: {} given",
                match files {
                    0 => "none is".into(),
                    1 => "one is".into(),
                    count => format!("{count} are"),
                }
            ));
        }
        if self.coil.is_some() {
            if files == 0 {
                return Err("--coil needs a sweep of what it is in: name its file".into());
            }
            if let Some(element) = tuning.filter(|element| *element != TuningElement::Inductance) {
                return Err(format!(
                    "--coil is a coil to stretch or compress, and goes with --tuning inductance, not with {element}"
                ));
            }
        }
        Ok(())
    }
}

/// A report kept for the next file, in its family of numbers, and its noise.
pub struct Kept {
    report: Box<dyn Any>,
    /// Ripple counts as noise here: it moves a dip as well.
    noise: f64,
}

impl Kept {
    pub fn new<A: Arithmetic>(report: &SweepReport<A, ROOM>, points: &[(Hertz, Reflection<A>)]) -> Self {
        let mut survey = SweepSurvey::new();
        for (frequency, gamma) in points {
            // The analyser has taken the same points.
            let _ = survey.push(*frequency, *gamma);
        }
        let quality = survey.quality(report);
        Self {
            report: Box::new(report.clone()),
            noise: quality.noise.to_f64() + quality.ripple.map_or(0.0, |ripple| ripple.size.to_f64()),
        }
    }
}

/// What was learnt, in doubles.
pub struct Found {
    dip_before_hz: u64,
    dip_after_hz: u64,
    whole: f64,
    /// Value, least and most.
    share: Option<[f64; 3]>,
    /// The next move, where there is a target; or why there is none.
    next: Option<Result<(Direction, f64), String>>,
}

pub struct LearntFigures {
    element: TuningElement,
    moved: Option<f64>,
    target_hz: Option<u64>,
    /// The target is matched as it is.
    passes: bool,
    found: Result<Found, String>,
    coil: Option<CoilChange>,
}

/// What is said of the move and of the coil, in the last report.
#[derive(Default)]
pub struct Told {
    learnt: Option<LearntFigures>,
    coil: Option<Coil>,
    /// What the coil's inductance is to become, in parts of what it is, where that is known.
    coil_factor: Option<f64>,
}

/// Works out what the last report is to say: of two sweeps what the move between them teaches, and what is to be done with
/// the coil.
pub fn work_out(reports: &mut [Figures], options: &Options) -> Result<(), String> {
    let asked = &options.learnt;
    let learnt = match reports {
        [before, after] if options.files.len() == 2 => {
            let wanted = asked.moved.is_some() || options.target_hz.is_some();
            wanted.then(|| of_two(before, after, options)).transpose()?
        }
        _ => None,
    };
    if let Some(last) = reports.last_mut() {
        let by_dip = match last.next.doing {
            Doing::Move { factor, .. } => Some(factor),
            _ => None,
        };
        let factor = match &learnt {
            Some(learnt) if learnt.moved.is_some() && learnt.found.is_ok() => learnt.factor(),
            _ => by_dip,
        };
        last.told = Told {
            learnt,
            coil: asked.coil.clone(),
            coil_factor: factor,
        };
    }
    Ok(())
}

fn of_two(before: &Figures, after: &Figures, options: &Options) -> Result<LearntFigures, String> {
    match options.numbers {
        Numbers::Fixed32 => of_family::<Fixed32>(before, after, options),
        Numbers::Fixed16 => of_family::<Fixed16>(before, after, options),
        Numbers::F32 => of_family::<f32>(before, after, options),
        Numbers::F64 => of_family::<f64>(before, after, options),
    }
}

fn of_family<A: Arithmetic>(
    before: &Figures,
    after: &Figures,
    options: &Options,
) -> Result<LearntFigures, String> {
    let asked = &options.learnt;
    let element = options.tuning.unwrap_or(TuningElement::Inductance);
    let moved = asked
        .moved
        .map(|factor| of_option("--moved", options, factor, Ratio::<A>::try_from_f64))
        .transpose()?;
    let noise = before.kept.noise.max(after.kept.noise);
    let adjustment = Adjustment::<A>::new(element)
        .with_moved(moved)
        .with_noise(Component::try_from_f64(noise).map_err(|error| format!("{}: {error}", after.name))?);
    let reports = [before, after].map(|figures| figures.kept.report.downcast_ref::<SweepReport<A, ROOM>>());
    let [Some(first), Some(second)] = reports else {
        return Err(format!("{}: not in the numbers of {}", after.name, before.name));
    };
    let with_target = adjustment.with_target(options.target_hz.map(Hertz::new));
    let found = match (with_target.learn(first, second), adjustment.learn(first, second)) {
        (Ok(learnt), _) => Ok(found(&learnt, None)),
        // What was moved is known all the same.
        (Err(error), Ok(learnt)) => Ok(found(&learnt, Some(reason(error)))),
        (Err(_), Err(error)) => Err(reason(error)),
    };
    let mut figures = LearntFigures {
        element,
        moved: asked.moved,
        target_hz: options.target_hz,
        passes: matches!(after.target, AtTarget::Reading(_, true)),
        found,
        coil: None,
    };
    figures.coil = asked
        .coil
        .as_ref()
        .zip(figures.factor().filter(|_| asked.moved.is_some()))
        .map(|(coil, factor)| coil::coil_change(coil, factor));
    Ok(figures)
}

fn found<A: Arithmetic>(learnt: &Learnt<A>, no_next: Option<String>) -> Found {
    let next = learnt.next.map(|next| Ok((next.direction, next.factor.to_f64())));
    Found {
        dip_before_hz: learnt.dip_before.get(),
        dip_after_hz: learnt.dip_after.get(),
        whole: learnt.whole.to_f64(),
        share: learnt
            .share_moved
            .map(|share| [share.value, share.least, share.most].map(Quantity::to_f64)),
        next: no_next.map(Err).or(next),
    }
}

/// Why nothing was learnt, and what to look at.
fn reason(error: LearnError) -> String {
    let hint = match error {
        LearnError::NothingMoved => "move further, or sweep finer around the dip",
        LearnError::MovedOtherWay => {
            "check the factor (new over old), the order of the files, and what --tuning says was moved"
        }
        LearnError::MovedFurther(_) => {
            "check the factor (new over old), and whether something else was moved too"
        }
        LearnError::TooMuchChanged => "change one thing at a time",
        LearnError::NoDipBefore | LearnError::NoDipAfter => "sweep wider",
        LearnError::OutOfReach(_) => "change another part of the circuit too",
        _ => return error.to_string(),
    };
    format!("{error}; {hint}")
}

fn direction(element: TuningElement, direction: Direction) -> &'static str {
    match (element, direction) {
        (_, Direction::Keep) => "keep",
        (TuningElement::Length, Direction::Less) => "shorter",
        (TuningElement::Length, Direction::More) => "longer",
        (_, Direction::Less) => "less",
        (_, Direction::More) => "more",
    }
}

/// What was moved as a subject, where its share is, and of what.
fn names(element: TuningElement) -> [&'static str; 3] {
    match element {
        TuningElement::Capacitance => ["the trimmer", "it", "capacitance"],
        TuningElement::Length => ["the wire that was moved", "it", "length"],
        TuningElement::Turns => ["the number of turns", "the coil", "inductance"],
        _ => ["the coil itself", "it", "inductance"],
    }
}

impl LearntFigures {
    /// The next factor of what was moved.
    fn factor(&self) -> Option<f64> {
        let found = self.found.as_ref().ok()?;
        let (_, factor) = found.next.as_ref()?.as_ref().ok()?;
        Some(*factor)
    }

    fn json(&self) -> Value {
        let found = self.found.as_ref().ok();
        let next = found.and_then(|found| found.next.as_ref());
        let share = |place: usize| found.and_then(|found| found.share).map(|share| share[place]);
        let direction = match next {
            Some(Ok((way, _))) => Some(direction(self.element, *way)),
            _ => None,
        };
        let why = match (&self.found, next, &self.coil) {
            (Err(cause), ..) | (_, Some(Err(cause)), _) => Some(cause.clone()),
            (_, _, Some(CoilChange::Impossible(why))) => Some(format!("the coil cannot do that: {why}")),
            _ => None,
        };
        json!({
            "element": self.element.to_string(),
            "moved": self.moved,
            "dip_before_hz": found.map(|found| found.dip_before_hz),
            "dip_after_hz": found.map(|found| found.dip_after_hz),
            "whole_factor": found.map(|found| found.whole),
            "share_moved": share(0),
            "share_least": share(1),
            "share_most": share(2),
            "direction": direction,
            "factor": self.factor(),
            "coil_length_m": self.coil.as_ref().and_then(CoilChange::length_m),
            "coil_turns": self.coil.as_ref().and_then(CoilChange::turns),
            "reason": why,
        })
    }

    /// What was learnt, and what is next.
    fn paragraphs(&self) -> Vec<(&'static str, String)> {
        let found = match &self.found {
            Ok(found) => found,
            // Two files may be compared for another reason.
            Err(_) if self.moved.is_none() => return Vec::new(),
            Err(cause) => return vec![("Learnt", format!("nothing: {cause}."))],
        };
        let [what, within, whole] = names(self.element);
        let mut text = format!(
            "the dip went from {} to {}: the whole {} is {:.3} of what it was.",
            hertz(found.dip_before_hz),
            hertz(found.dip_after_hz),
            self.element,
            found.whole
        );
        match (found.share, self.moved) {
            (Some([share, least, most]), Some(moved)) => {
                let rest = if share < 0.95 {
                    " The rest does not move."
                } else {
                    ""
                };
                text += &format!(
                    " What was moved went to {} of its value, so {within} held {:.0} % of the {whole} ({:.0} to {:.0} %).{rest}",
                    trimmed(moved, 4),
                    100.0 * share,
                    100.0 * least,
                    100.0 * most
                );
            }
            _ => text += " Give --moved to learn how much of it is in what you move.",
        }
        let mut told = vec![("Learnt", text)];
        let Some(next) = &found.next else {
            return told;
        };
        let target = self.target_hz.map_or(String::new(), hertz);
        told.push((
            "Move next",
            match next {
                Err(cause) => format!("{cause}."),
                Ok((Direction::Keep, _)) => format!("nothing: the dip stands at {target}."),
                Ok((way, factor)) => {
                    let part = match self.moved {
                        None => format!("the whole {}", self.element),
                        Some(_) => what.to_string(),
                    };
                    let coil = match &self.coil {
                        Some(change) => format!(". That is: {change}"),
                        None => String::new(),
                    };
                    let no_need = if self.passes {
                        "nothing need be moved. To centre the dip: "
                    } else {
                        ""
                    };
                    format!(
                        "{no_need}{part} to {factor:.3} of what it is now ({}), for the dip to come to {target}{coil}.",
                        direction(self.element, *way)
                    )
                }
            },
        ));
        told
    }
}

impl Told {
    /// What goes into the object of a sweep.
    pub fn json(&self, object: &mut Value) {
        object["learnt"] = self.learnt.as_ref().map_or(Value::Null, LearntFigures::json);
        object["coil"] = coil::json(self.coil.as_ref(), self.coil_factor);
    }

    /// Labels and sentences.
    pub fn paragraphs(&self) -> Vec<(&'static str, String)> {
        let mut told = self.learnt.as_ref().map_or(Vec::new(), LearntFigures::paragraphs);
        let by_share = self.learnt.as_ref().is_some_and(|learnt| learnt.coil.is_some());
        if let (Some(coil), false) = (&self.coil, by_share) {
            let change = self.coil_factor.map_or(String::new(), |factor| {
                format!(
                    " For {:.3} of that, {}: if it is all the inductance there is.",
                    factor,
                    coil::coil_change(coil, factor)
                )
            });
            told.push((
                "Coil",
                format!("{:.1} nH by itself.{change}", coil.henries() * 1e9),
            ));
        }
        told
    }
}
