//! What is wrong with the load at one frequency, and what each remedy leaves.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::design::transformer::{CancellingPart, TurnsChoice};
use ohmwright::measure::{Cause, Diagnosis};
use ohmwright::quantity::{Hertz, Reactor};
use serde_json::{Value, json};

use super::figures::{AtTarget, Figures, value};
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

pub fn diagnosis_figures<A: Arithmetic>(diagnosis: &Diagnosis<A>, at: Hertz) -> DiagnosisFigures {
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

impl Page {
    pub fn diagnosis(&mut self, diagnosis: &DiagnosisFigures, figures: &Figures) {
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
            part_text(&same.series),
            swr(same.series.swr),
            part_text(&same.shunt),
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
            part_text(&diagnosis.turns_and_series.series),
            swr(diagnosis.turns_and_series.series.swr),
            turns(&diagnosis.turns_and_shunt),
            part_text(&diagnosis.turns_and_shunt.shunt),
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
