//! The plans for the bench, in plain sentences.

use ohmwright::design::ladder::{Element, PartKind, StubEnd};
use ohmwright::design::matching::MatchPlan;
use ohmwright::quantity::Reactor;

use super::loads::Load;
use super::options::Options;
use super::output::{self, hertz, swr, trimmed};
use super::work::Design;

/// Where the sentences begin, behind the label.
const INDENT: usize = 12;

const DEMO_OPENING: &str = "\
The demo scenario: a river-gauge telemetry network, its 71 MHz relay station, and the crew's short-wave whip. All of it \
is invented; see demo-data/README.md. Give your own load with --load R,X --frequency HERTZ; --help tells how.";

/// How the demo scenario begins.
pub fn opening() -> String {
    let mut text = String::new();
    output::paragraph(&mut text, 0, "", DEMO_OPENING);
    text.push('\n');
    text
}

pub fn report(options: &Options, load: &Load, design: &Design) -> String {
    let title = format!("{} at {}", impedance(design), hertz(options.frequency_hz));
    chapter(&title, options, load, design) + &caution()
}

pub fn caution() -> String {
    let mut text = String::new();
    paragraph(
        &mut text,
        "Caution",
        "the voltages above are peak values at the power given, with a steady carrier and every part at its value; a network \
         off its match, or a load that is cut off, sees more. High voltage and RF burn, deeper than it looks; a core that \
         saturates or heats cracks, and its windings short; some power devices and insulators contain toxic ceramics \
         (beryllium oxide): never break, file or heat them open. Capacitors keep their charge: discharge them. Switch off \
         before you touch or change anything, begin at low power into a load, and transmit only where you are licensed to. \
         Local rules and licensed practice come first.",
    );
    text
}

pub fn chapter(title: &str, options: &Options, load: &Load, design: &Design) -> String {
    let mut text = format!("{title}\n");
    let to = &mut text;
    paragraph(
        to,
        "Load",
        &format!(
            "{} at {}, to be matched to {}, with {} going in. What it is away from there: {}.",
            impedance(design),
            hertz(options.frequency_hz),
            ohms(options.source_ohm),
            watts(options.power_w),
            load.model(),
        ),
    );
    let rule = &design.rule;
    paragraph(
        to,
        "Rule",
        &format!(
            "the magnitude rule of the trade takes |Z| = {} for a resistance, asks for turns {}:{} (primary:secondary, the \
             primary towards the source) and promises SWR {}. The reactance goes through the transformer all the same: the \
             SWR is truly {}.",
            ohms(rule.magnitude.get()),
            rule.turns.primary(),
            rule.turns.secondary(),
            swr(rule.swr_promised.get()),
            swr(rule.reflection.swr().get()),
        ),
    );
    paragraph(to, "Parts", &parts(options));
    if let Some(limit) = limit(options, design) {
        paragraph(to, "Limit", &limit);
    }
    let shown = design.shown(options);
    let over = design
        .plans
        .as_slice()
        .iter()
        .filter(|plan| plan.is_overstressed)
        .count();
    let over = match over {
        0 => String::new(),
        1 => " One that puts a part beyond its rating comes last.".into(),
        over => format!(" {over} that put a part beyond its rating come last."),
    };
    paragraph(
        to,
        "Plans",
        &format!(
            "{} networks looked at, the best {} told; elements from the load to the source.{over}",
            design.plans.looked_at(),
            shown.len()
        ),
    );
    for (place, plan) in shown.iter().enumerate() {
        to.push('\n');
        self::plan(to, place + 1, options, design, plan);
    }
    to.push('\n');
    text
}

fn parts(options: &Options) -> String {
    let values = match options.preferred {
        None => "of any value".to_string(),
        Some(series) if options.wound_coils => format!("capacitors from {series}, coils wound to any value"),
        Some(series) => format!("from {series}"),
    };
    let tolerance = match options.tolerance() {
        0.0 => "exact".to_string(),
        tolerance => format!("each within {} %", trimmed(tolerance * 100.0, 3)),
    };
    let lines = if options.any_part {
        "lines ideal, of any impedance"
    } else {
        "lines as they can be bought, within 2 %"
    };
    let losses = |what: &str, q: Option<f64>| match q {
        None => format!("{what} without loss"),
        Some(q) => format!("{what} of an unloaded Q of {}", trimmed(q, 1)),
    };
    format!(
        "{values}; {tolerance}; {}; {}; transformers ideal; {lines}.",
        losses("coils", options.coil_q),
        losses("capacitors", options.capacitor_q)
    )
}

fn limit(options: &Options, design: &Design) -> Option<String> {
    let q = design.plans.load_q()?;
    let width = design.plans.widest_band()?;
    let (q, most) = (trimmed(q.get(), 2), trimmed(options.swr_limit, 2));
    if width.get().is_infinite() {
        return Some(format!(
            "the load's Q is {q}: nothing but its parts limits the band of a network."
        ));
    }
    let mut text = format!("the load's Q is {q}. By Bode and Fano ");
    text += &if width > 2.0 {
        format!("the band below SWR {most} may reach more than an octave to each side")
    } else {
        format!(
            "no lossless network, however many its parts, keeps it below SWR {most} over more than {}",
            hertz((width * design.middle_hz()) as u64)
        )
    };
    match design.plans.least_worst_swr() {
        None => text.push('.'),
        Some(least) => {
            text += &format!(
                "; over {} to {} no lossless network does better than SWR {} throughout. The nearer a plan is to that, the \
                 less is left to gain.",
                hertz(design.low_hz()),
                hertz(design.high_hz()),
                swr(least.get())
            );
        }
    }
    Some(text)
}

fn plan(to: &mut String, place: usize, options: &Options, design: &Design, plan: &MatchPlan<f64>) {
    let band = match plan.band {
        None => format!(
            "above SWR {} at the frequency itself",
            trimmed(options.swr_limit, 2)
        ),
        Some(band) => {
            let edge = |hertz_at: u64, open: bool| {
                let mut text = hertz(hertz_at);
                if open {
                    text += " and beyond";
                }
                text
            };
            format!(
                "below SWR {} from {} to {}",
                trimmed(options.swr_limit, 2),
                edge(band.low.get(), band.low_open),
                edge(band.high.get(), band.high_open)
            )
        }
    };
    let worst = if design.low_hz() < design.high_hz() || options.tolerance() > 0.0 {
        let over = if design.low_hz() < design.high_hz() {
            "over the band"
        } else {
            "by the tolerances"
        };
        format!(", at worst {} {over}", swr(plan.worst_swr.get()))
    } else {
        String::new()
    };
    let loss = if plan.loss < 0.005 {
        "no loss to speak of".to_string()
    } else {
        format!("loss {:.2} dB", plan.loss)
    };
    let direct = match (plan.passes_dc, plan.grounds_load) {
        (true, _) => "passes DC",
        (false, true) => "grounds the load for DC",
        (false, false) => "blocks DC",
    };
    let unusual = if plan.is_buildable {
        ""
    } else {
        " A PART IS NOT USUAL AT THIS FREQUENCY."
    };
    paragraph(
        to,
        &format!("{place}."),
        &format!(
            "{}: SWR {}{worst}; {band}; {loss}; {} dB less at twice the frequency, {} dB at three times; {direct}.{unusual}",
            name(plan),
            swr(plan.swr().get()),
            trimmed(plan.harmonics[0].get().min(999.0), 1),
            trimmed(plan.harmonics[1].get().min(999.0), 1),
        ),
    );
    for (element, stress) in plan.ladder.elements().iter().zip(design.stresses(options, plan)) {
        let heat = if stress.watts < 5e-4 * options.power_w {
            String::new()
        } else {
            format!(", {} of heat", watts(stress.watts.get()))
        };
        let flag = if design.settings.is_beyond_rating(element, &stress) {
            " - BEYOND ITS RATING"
        } else {
            ""
        };
        paragraph(
            to,
            "",
            &format!(
                "- {}: {} and {} peak{heat}{flag}",
                described(element),
                unit(stress.volts_peak.get(), "V"),
                unit(stress.amperes_peak.get(), "A"),
            ),
        );
    }
}

/// What the parts of a plan are, in a line.
pub fn name(plan: &MatchPlan<f64>) -> String {
    let parts: Vec<String> = plan.ladder.elements().iter().map(kind).collect();
    if parts.is_empty() {
        return "nothing: the load matches".into();
    }
    format!("{} ({})", plan.scheme, parts.join(", "))
}

fn kind(element: &Element<f64>) -> String {
    let part = |place: &str, kind: PartKind<f64>| {
        let what = match kind {
            PartKind::Resistor(_) => "resistor",
            PartKind::Reactor(Reactor::Inductor(_), _) => "coil",
            PartKind::Reactor(Reactor::Capacitor(_), _) => "capacitor",
            PartKind::Stub(_, StubEnd::Open) => "open stub",
            PartKind::Stub(_, StubEnd::Shorted) => "shorted stub",
        };
        format!("{place} {what}")
    };
    match element {
        Element::Series(one) => part("series", one.kind()),
        Element::Shunt(one) => part("shunt", one.kind()),
        Element::Transformer(turns) => format!("transformer {}:{}", turns.primary(), turns.secondary()),
        Element::Line(_) => "line".into(),
    }
}

fn described(element: &Element<f64>) -> String {
    let line = |line: ohmwright::design::line::Line<f64>| {
        format!(
            "{} of {}, velocity factor {}",
            unit(line.length().get(), "m"),
            ohms(line.impedance().get()),
            trimmed(line.velocity_factor().get(), 3)
        )
    };
    match element {
        Element::Series(part) | Element::Shunt(part) => {
            let value = match part.kind() {
                PartKind::Resistor(resistance) => ohms(resistance.get()),
                PartKind::Reactor(Reactor::Inductor(inductance), _) => unit(inductance.get(), "H"),
                PartKind::Reactor(Reactor::Capacitor(capacitance), _) => unit(capacitance.get(), "F"),
                PartKind::Stub(stub, _) => line(stub),
            };
            format!("{}, {value}", kind(element))
        }
        Element::Transformer(_) => kind(element),
        Element::Line(one) => format!("line, {}", line(*one)),
    }
}

/// A labelled paragraph, or without a label one that goes on behind the same column.
fn paragraph(to: &mut String, label: &str, text: &str) {
    output::paragraph(to, INDENT, label, text);
}

fn impedance(design: &Design) -> String {
    let (r, x) = (design.load.resistance(), design.load.reactance());
    let sign = if x < 0.0 { '-' } else { '+' };
    format!("{} {sign} j{} Ω", trimmed(r.get(), 3), trimmed(x.abs().get(), 3))
}

/// With a prefix, to four figures.
fn unit(value: f64, unit: &str) -> String {
    if value == 0.0 {
        return format!("0 {unit}");
    }
    let prefixes = ["f", "p", "n", "µ", "m", "", "k", "M", "G"];
    let third = (value.abs().log10() / 3.0 + 1e-12).floor().clamp(-5.0, 3.0) as i32;
    let scaled = value / 1000f64.powi(third);
    let decimals = match scaled.abs() {
        size if size < 10.0 => 3,
        size if size < 100.0 => 2,
        size if size < 1000.0 => 1,
        _ => 0,
    };
    format!(
        "{} {}{unit}",
        trimmed(scaled, decimals),
        prefixes[(third + 5) as usize]
    )
}

fn ohms(value: f64) -> String {
    unit(value, "Ω")
}

fn watts(value: f64) -> String {
    unit(value, "W")
}
