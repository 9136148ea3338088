//! The one next step: its figures, and its place in the JSON. Its sentences stand in `next_words.rs`.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::design::transformer::Turns;
use ohmwright::measure::{
    Action, AddedPart, Built, Direction, Expected, NextStep, Placement, Reason, SweepReport, SweepSurvey,
    Toward, TuningElement,
};
use ohmwright::quantity::{Hertz, Reactor};
use serde_json::{Value, json};

use super::figures::value;
use super::output::json_number as number;

/// What to do, and what it leaves.
pub struct NextFigures {
    pub doing: Doing,
    pub reason: Reason,
    pub expected: Option<ExpectedFigures>,
    /// What it is about: the target, or the best point where there is none.
    pub at_hz: u64,
    pub is_target: bool,
    /// The transformer that is there.
    pub winding: Option<Turns>,
    /// Whether the readings were corrected here, and a cable taken out of them.
    pub is_corrected: bool,
    pub has_cable_out: bool,
}

pub enum Doing {
    Leave,
    Move {
        element: TuningElement,
        direction: Direction,
        factor: f64,
        dip_hz: u64,
        is_resolved: bool,
        /// Whether the sweep has others.
        is_only: bool,
    },
    Turns(Turns),
    Part(PartFigures),
    TurnsAndPart(Turns, PartFigures),
    SweepWider {
        toward: Toward,
        until_hz: u64,
    },
    NoDip,
    MeasureAgain,
    TakeOutLine,
}

pub struct PartFigures {
    pub place: Placement,
    pub is_coil: bool,
    /// Henries or farads.
    pub value: f64,
}

pub struct ExpectedFigures {
    pub swr: f64,
    pub least: f64,
    pub most: f64,
}

/// What was done to the readings before they came here.
#[derive(Clone, Copy)]
pub struct Treated {
    pub is_corrected: bool,
    pub has_cable_out: bool,
}

/// The next step: as figures, and as the library gives it.
pub fn work_out<A: Arithmetic, const N: usize>(
    report: &SweepReport<A, N>,
    survey: &SweepSurvey,
    built: &Built<A>,
    (at, is_target): (Hertz, bool),
    treated: Treated,
) -> Result<(NextFigures, NextStep<A>), String> {
    let step = NextStep::new(report, survey, built).map_err(|error| format!("--element: {error}"))?;
    let doing = match step.action {
        Action::Leave => Doing::Leave,
        Action::Move(retune) => {
            let best = report.best();
            let mut all = report.dips().iter().chain(&best);
            let dip = all.find(|dip| dip.frequency == retune.dip);
            Doing::Move {
                element: retune.element,
                direction: retune.direction,
                factor: retune.factor.to_f64(),
                dip_hz: retune.dip.get(),
                is_resolved: dip.is_none_or(|dip| dip.unresolved.is_none()),
                is_only: report.dips().len() < 2,
            }
        }
        Action::Turns(turns) => Doing::Turns(turns),
        Action::Part(part) => Doing::Part(added(&part)),
        Action::TurnsAndPart(turns, part) => Doing::TurnsAndPart(turns, added(&part)),
        Action::SweepWider { toward, until } => Doing::SweepWider {
            toward,
            until_hz: until.get(),
        },
        Action::NoDip => Doing::NoDip,
        Action::TakeOutLine => Doing::TakeOutLine,
        _ => Doing::MeasureAgain,
    };
    let expected = |expected: Expected<A>| ExpectedFigures {
        swr: value(expected.swr),
        least: value(expected.least),
        most: value(expected.most),
    };
    let figures = NextFigures {
        doing,
        reason: step.reason,
        expected: step.expected.map(expected),
        at_hz: at.get(),
        is_target,
        winding: built.winding,
        is_corrected: treated.is_corrected,
        has_cable_out: treated.has_cable_out,
    };
    Ok((figures, step))
}

fn added<A: Arithmetic>(added: &AddedPart<A>) -> PartFigures {
    let (is_coil, value) = match added.part {
        Reactor::Inductor(inductance) => (true, inductance.to_henries()),
        Reactor::Capacitor(capacitance) => (false, capacitance.to_farads()),
    };
    PartFigures {
        place: added.place,
        is_coil,
        value,
    }
}

/// What the rest of the page may say beside the step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Otherwise {
    /// What else could be done, with these words before it.
    Told(&'static str),
    /// Nothing: all is well, or nothing that could be said would hold.
    Nothing,
}

impl NextFigures {
    pub fn otherwise(&self) -> Otherwise {
        match (&self.doing, self.reason) {
            (Doing::Leave, Reason::Matched) | (Doing::NoDip | Doing::MeasureAgain, _) => Otherwise::Nothing,
            (Doing::Move { .. }, _) => Otherwise::Told("if the dip is to stay where it is. "),
            (Doing::SweepWider { .. }, _) => Otherwise::Told("if nothing is to be moved. "),
            (Doing::TakeOutLine, _) => Otherwise::Told("to match at this end of the cable. "),
            _ => Otherwise::Told(""),
        }
    }

    /// Whether turns of this ratio and a part in this place are what the step is.
    pub fn is(&self, turns: Option<(u8, u8)>, place: Option<Placement>) -> bool {
        let (own, part) = match &self.doing {
            Doing::Turns(turns) => (Some(turns), None),
            Doing::Part(part) => (None, Some(part)),
            Doing::TurnsAndPart(turns, part) => (Some(turns), Some(part)),
            _ => return false,
        };
        let is_ratio = match (own, turns) {
            (Some(own), Some((primary, secondary))) => {
                u16::from(own.primary()) * u16::from(secondary)
                    == u16::from(own.secondary()) * u16::from(primary)
            }
            (own, turns) => own.is_none() && turns.is_none(),
        };
        is_ratio && part.map(|part| part.place) == place
    }

    pub fn json(&self) -> Value {
        let mut object = json!({
            "kind": self.kind(),
            "element": null,
            "direction": null,
            "factor": null,
            "primary_turns": null,
            "secondary_turns": null,
            "part": null,
            "toward": null,
            "until_hz": null,
            "swr_expected": null,
            "swr_least": null,
            "swr_most": null,
            "reason": self.why(),
        });
        match &self.doing {
            Doing::Move {
                element,
                direction,
                factor,
                ..
            } => {
                object["element"] = json!(element.to_string());
                object["direction"] = json!(match (element, direction) {
                    (TuningElement::Length, Direction::Less) => "shorter",
                    (TuningElement::Length, _) => "longer",
                    (_, Direction::Less) => "less",
                    _ => "more",
                });
                object["factor"] = number(*factor);
            }
            Doing::SweepWider { toward, until_hz } => {
                object["toward"] = json!(match toward {
                    Toward::Lower => "lower",
                    Toward::Higher => "higher",
                    Toward::Both => "both",
                });
                object["until_hz"] = json!(until_hz);
            }
            _ => {}
        }
        if let Doing::Turns(turns) | Doing::TurnsAndPart(turns, _) = &self.doing {
            object["primary_turns"] = json!(turns.primary());
            object["secondary_turns"] = json!(turns.secondary());
        }
        if let Doing::Part(part) | Doing::TurnsAndPart(_, part) = &self.doing {
            object["part"] = json!({
                "place": match part.place {
                    Placement::Series => "series",
                    Placement::Across => "across",
                },
                "kind": if part.is_coil { "inductor" } else { "capacitor" },
                "value": number(part.value),
            });
        }
        if let Some(expected) = &self.expected {
            object["swr_expected"] = number(expected.swr);
            object["swr_least"] = number(expected.least);
            object["swr_most"] = number(expected.most);
        }
        object
    }

    fn kind(&self) -> &'static str {
        match self.doing {
            Doing::Leave => "leave",
            Doing::Move { .. } => "move",
            Doing::Turns(_) => "turns",
            Doing::Part(_) => "part",
            Doing::TurnsAndPart(..) => "turns_and_part",
            Doing::SweepWider { .. } => "sweep_wider",
            Doing::NoDip => "no_dip",
            Doing::MeasureAgain => "measure_again",
            Doing::TakeOutLine => "take_out_line",
        }
    }

    /// Why, in a sentence without figures.
    pub fn why(&self) -> &'static str {
        match self.reason {
            Reason::Matched => "The SWR is within the limit.",
            Reason::NothingGains => "Nothing that can be changed here leaves distinctly less.",
            Reason::DipBelow => "The dip stands below the frequency wanted.",
            Reason::DipAbove => "The dip stands above the frequency wanted.",
            Reason::Ratio => "The ratio is wrong.",
            Reason::Reactance => "Reactance is left.",
            Reason::RatioAndReactance => "The ratio is wrong and reactance is left.",
            Reason::TargetNotSwept => {
                "The sweep does not reach the target, and has no dip that could be moved there."
            }
            Reason::DipOutside => "No dip inside the sweep can be moved to where it is wanted.",
            Reason::Open => "Nothing is connected: an open at all frequencies.",
            Reason::Short => "A short at all frequencies.",
            Reason::FlatLoad => "The load is the same at all frequencies, as a dummy load is.",
            Reason::CableEnd => {
                "The reflection turns evenly, as that of a cable with an open or a short at its end."
            }
            Reason::Spoilt => "Samples where it matters fit none of their neighbours.",
            Reason::BeyondRim => "More comes back than was sent: no passive load does that.",
            Reason::Noise => "The noise is too large for an answer.",
            Reason::TooCoarse => "The steps of the sweep are too coarse for an answer.",
            Reason::Uncorrected => "The reflection turns the wrong way round: the readings look uncorrected.",
            Reason::Line => "A cable stands between the instrument and the load.",
            Reason::NoResistance => "The load is nearly a pure reactance: hardly any power goes into it.",
            _ => "There is nothing to go by.",
        }
    }
}
