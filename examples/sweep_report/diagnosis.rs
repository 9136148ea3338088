//! What is wrong with the load at one frequency, and what each remedy leaves.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::design::transformer::{CancellingPart, Remedy, TransformerError, Turns, TurnsChoice};
use ohmwright::measure::{Cause, Diagnosis, Placement};
use ohmwright::quantity::{Hertz, Impedance, Reactor, Reference, Reflection, Swr};
use serde_json::{Value, json};

use super::built;
use super::figures::value;
use super::next::NextFigures;
use super::output::{hertz, json_number as number, swr};
use super::page::{Page, ohm, scaled};

/// A part, or its absence.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    pub reactance_ohm: f64,
    /// Henries.
    pub inductance_h: Option<f64>,
    /// Farads.
    pub capacitance_f: Option<f64>,
    pub swr: f64,
}

/// A transformer, and the parts that go with it, on the source's side.
#[derive(Clone, Copy, Debug)]
pub struct Choice {
    pub primary: u8,
    pub secondary: u8,
    pub swr: f64,
    pub series: Part,
    pub shunt: Part,
}

pub struct DiagnosisFigures {
    pub at_hz: u64,
    pub cause: Cause,
    pub share_now: f64,
    pub reflected_power_without_reactance: f64,
    pub reflected_power_with_ratio: f64,
    pub as_it_is: Choice,
    pub turns_alone: Choice,
    pub turns_and_series: Choice,
    pub turns_and_shunt: Choice,
    /// The winding that is there, and what may take its place: as the three choices above.
    pub rewound: Option<(Turns, [Choice; 3])>,
    pub rule: RuleFigures,
}

pub struct RuleFigures {
    pub magnitude_ohm: f64,
    pub ratio: f64,
    pub primary: u8,
    pub secondary: u8,
    pub swr_promised: f64,
    pub swr_true: f64,
}

fn part<A: Arithmetic>(part: &CancellingPart<A>) -> Part {
    // Fixed point counts picohenries and femtofarads; the floating families hold henries and farads.
    let is_fixed = matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16);
    let (henry, farad) = if is_fixed { (1e-12, 1e-15) } else { (1.0, 1.0) };
    let (inductance_h, capacitance_f) = match part.source_side {
        Some(Reactor::Inductor(inductance)) => (Some(inductance.get().to_f64() * henry), None),
        Some(Reactor::Capacitor(capacitance)) => (None, Some(capacitance.get().to_f64() * farad)),
        None => (None, None),
    };
    Part {
        reactance_ohm: value(part.source_side_reactance),
        inductance_h,
        capacitance_f,
        swr: value(part.swr),
    }
}

fn choice<A: Arithmetic>(choice: &TurnsChoice<A>) -> Choice {
    Choice {
        primary: choice.turns.primary(),
        secondary: choice.turns.secondary(),
        swr: value(choice.reflection.swr()),
        series: part(&choice.series),
        shunt: part(&choice.shunt),
    }
}

fn diagnosis_figures<A: Arithmetic>(diagnosis: &Diagnosis<A>, at: Hertz) -> DiagnosisFigures {
    let rule = &diagnosis.magnitude_rule;
    DiagnosisFigures {
        at_hz: at.get(),
        cause: diagnosis.cause,
        share_now: diagnosis.reflection.reflected_share().to_f64(),
        reflected_power_without_reactance: diagnosis.reflected_power_without_reactance.to_f64(),
        reflected_power_with_ratio: diagnosis.reflected_power_with_ratio.to_f64(),
        as_it_is: choice(&diagnosis.as_it_is),
        turns_alone: choice(&diagnosis.turns_alone),
        turns_and_series: choice(&diagnosis.turns_and_series),
        turns_and_shunt: choice(&diagnosis.turns_and_shunt),
        rewound: None,
        rule: RuleFigures {
            magnitude_ohm: value(rule.magnitude),
            ratio: value(rule.impedance_ratio),
            primary: rule.turns.primary(),
            secondary: rule.turns.secondary(),
            swr_promised: value(rule.swr_promised),
            swr_true: value(rule.reflection.swr()),
        },
    }
}

/// What is wrong at one frequency, and what the remedies leave; windings as far as they can be wound.
pub fn work_out<A: Arithmetic>(
    gamma: Reflection<A>,
    reference: Reference<A>,
    limit: Swr<A>,
    at: Hertz,
    built: &built::Asked,
) -> Result<DiagnosisFigures, TransformerError> {
    let most = built.most_turns()?;
    let larger = most.primary().max(most.secondary());
    let diagnosis = Diagnosis::new(gamma, reference, limit, at, larger)?;
    let mut figures = diagnosis_figures(&diagnosis, at);
    let load = gamma.impedance(reference);
    if most.primary() != most.secondary() {
        [
            figures.turns_alone,
            figures.turns_and_series,
            figures.turns_and_shunt,
        ] = best_turns(load, reference, at, most)?;
    }
    if let Some(there) = built.winding {
        let behind = there.seen_from_secondary(load);
        figures.rewound = Some((there, best_turns(behind, reference, at, most)?));
    }
    Ok(figures)
}

/// The best turns by themselves, with a part in series, and with one across: each winding within its own limit.
fn best_turns<A: Arithmetic>(
    load: Impedance<A>,
    reference: Reference<A>,
    at: Hertz,
    most: Turns,
) -> Result<[Choice; 3], TransformerError> {
    let mut best: [Option<TurnsChoice<A>>; 3] = [None; 3];
    // From few turns to many, so that among equals the fewest stay.
    for secondary in 1..=most.secondary() {
        for primary in 1..=most.primary() {
            let made = TurnsChoice::new(Turns::new(primary, secondary)?, load, reference, Some(at))?;
            let remedies = [Remedy::TurnsAlone, Remedy::SeriesElement, Remedy::ShuntElement];
            for (held, remedy) in best.iter_mut().zip(remedies) {
                if held
                    .as_ref()
                    .is_none_or(|held| made.swr(remedy) < held.swr(remedy))
                {
                    *held = Some(made);
                }
            }
        }
    }
    match best {
        [Some(alone), Some(series), Some(shunt)] => Ok([choice(&alone), choice(&series), choice(&shunt)]),
        _ => Err(TransformerError::NoTurns),
    }
}

impl Page {
    /// What could be done instead of the next step, with these words before it.
    pub fn diagnosis(&mut self, diagnosis: &DiagnosisFigures, next: &NextFigures, lead: &str) {
        if diagnosis.cause == Cause::Matched {
            return;
        }
        let share = |value: f64| format!("{:.1} %", 100.0 * value);
        let text = format!(
            "{lead}Of the power {} comes back at {}: {} with the reactance cancelled, {} with the best ratio alone.",
            share(diagnosis.share_now),
            hertz(diagnosis.at_hz),
            share(diagnosis.reflected_power_without_reactance),
            share(diagnosis.reflected_power_with_ratio)
        );
        self.paragraph("Other ways", &text);
        let same = &diagnosis.as_it_is;
        let parts: Vec<String> = [
            (&same.series, Placement::Series, "in series"),
            (&same.shunt, Placement::Across, "across"),
        ]
        .into_iter()
        .filter(|(part, place, _)| gains(part.swr, same.swr) && !next.is(None, Some(*place)))
        .map(|(part, _, place)| format!("{} {place}, SWR {}", part_text(part), swr(part.swr)))
        .collect();
        if !parts.is_empty() {
            self.paragraph("  Parts", &format!("{}.", parts.join("; ")));
        }
        self.turns(diagnosis, next);
        // The rule is of a further transformer.
        if diagnosis.rewound.is_some() {
            return;
        }
        let rule = &diagnosis.rule;
        let (promised, left) = (swr(rule.swr_promised), swr(rule.swr_true));
        let text = format!(
            "|Z| = {} taken for a resistance asks for {} : {} turns and promises SWR {promised}{}.",
            ohm(rule.magnitude_ohm),
            rule.primary,
            rule.secondary,
            if promised == left {
                "; here that is right".into()
            } else {
                format!("; the reactance goes through them too, so it is SWR {left}")
            }
        );
        self.paragraph("  By |Z| alone", &text);
    }

    /// Other turns, by themselves and with a part, as far as they gain something.
    fn turns(&mut self, diagnosis: &DiagnosisFigures, next: &NextFigures) {
        let [alone, series, shunt] = match diagnosis.rewound {
            Some((_, choices)) => choices,
            None => [
                diagnosis.turns_alone,
                diagnosis.turns_and_series,
                diagnosis.turns_and_shunt,
            ],
        };
        let now = diagnosis.as_it_is;
        let mut told = Vec::new();
        if gains(alone.swr, now.swr) && !next.is(Some(alone.pair()), None) {
            told.push(format!("{}, SWR {}", turns(&alone), swr(alone.swr)));
        }
        // With a part, where neither the turns nor the part alone do as well.
        for (choice, part, part_alone, place) in [
            (series, series.series, now.series, Placement::Series),
            (shunt, shunt.shunt, now.shunt, Placement::Across),
        ] {
            if gains(part.swr, alone.swr.min(part_alone.swr)) && !next.is(Some(choice.pair()), Some(place)) {
                let place = match place {
                    Placement::Series => "in series",
                    Placement::Across => "across",
                };
                told.push(format!(
                    "{} with {} {place}, SWR {}",
                    turns(&choice),
                    part_text(&part),
                    swr(part.swr)
                ));
            }
        }
        if told.is_empty() {
            return;
        }
        let what = match diagnosis.rewound {
            Some((there, _)) => format!("{there} becomes"),
            None => "a further transformer of".into(),
        };
        let meaning = self.explain(
            "turns",
            "turns towards the instrument : towards the load; parts on the instrument's side",
        );
        self.paragraph("  Turns", &format!("{what} {}{meaning}.", told.join("; ")));
    }
}

impl Choice {
    fn pair(&self) -> (u8, u8) {
        (self.primary, self.secondary)
    }
}

/// Whether an SWR is lower than another by more than is lost in the doubt about a reading: 0.03 of |Γ|.
fn gains(left: f64, now: f64) -> bool {
    let magnitude = |swr: f64| {
        if swr.is_finite() {
            (swr - 1.0) / (swr + 1.0)
        } else {
            1.0
        }
    };
    magnitude(left) + 0.03 < magnitude(now)
}

fn turns(choice: &Choice) -> String {
    format!("{} : {}", choice.primary, choice.secondary)
}

fn part_text(part: &Part) -> String {
    match (part.inductance_h, part.capacitance_f) {
        (Some(henries), _) => scaled(henries, "H"),
        (_, Some(farads)) => scaled(farads, "F"),
        _ => "nothing".into(),
    }
}

pub fn json(diagnosis: &DiagnosisFigures) -> Value {
    json!({
        "frequency_hz": diagnosis.at_hz,
        "cause": match diagnosis.cause {
            Cause::Matched => "matched",
            Cause::Ratio => "ratio",
            Cause::Reactance => "reactance",
            Cause::RatioAndReactance => "ratio and reactance",
            _ => "other",
        },
        "reflected_share": number(diagnosis.share_now),
        "reflected_share_without_reactance": number(diagnosis.reflected_power_without_reactance),
        "reflected_share_with_ratio": number(diagnosis.reflected_power_with_ratio),
        "series_part": part_json(&diagnosis.as_it_is.series),
        "shunt_part": part_json(&diagnosis.as_it_is.shunt),
        "turns": choice_json(&diagnosis.turns_alone, None),
        "turns_and_series_part": choice_json(&diagnosis.turns_and_series, Some(&diagnosis.turns_and_series.series)),
        "turns_and_shunt_part": choice_json(&diagnosis.turns_and_shunt, Some(&diagnosis.turns_and_shunt.shunt)),
    })
}

fn part_json(part: &Part) -> Value {
    json!({
        "kind": if part.inductance_h.is_some() { "inductor" } else if part.capacitance_f.is_some() { "capacitor" } else { "none" },
        "value": part.inductance_h.or(part.capacitance_f),
        "reactance_ohm": number(part.reactance_ohm),
        "swr": number(part.swr),
    })
}

fn choice_json(choice: &Choice, with: Option<&Part>) -> Value {
    let mut object = json!({
        "primary_turns": choice.primary,
        "secondary_turns": choice.secondary,
        "swr": number(with.map_or(choice.swr, |part| part.swr)),
    });
    if let Some(with) = with {
        object["part"] = part_json(with);
    }
    object
}

pub fn rule_json(diagnosis: &DiagnosisFigures) -> Value {
    let rule = &diagnosis.rule;
    json!({
        "magnitude_ohm": number(rule.magnitude_ohm),
        "ratio": number(rule.ratio),
        "primary_turns": rule.primary,
        "secondary_turns": rule.secondary,
        "swr_promised": number(rule.swr_promised),
        "swr_true": number(rule.swr_true),
    })
}
