//! What a transformer is, by three sweeps or by one with a known resistor.

use std::path::Path;

use ohmwright::design::transformer::{OpenShortTest, RealTransformer, TransformerFit};
use ohmwright::measure::touchstone::{Record, read};
use ohmwright::quantity::{Impedance, Inductance, Reference};
use serde_json::json;

use super::answer::Answer;
use super::input;
use super::options::Given;
use super::output::{json_number, trimmed};
use super::units;

struct Sweep {
    name: String,
    reference: Reference<f64>,
    points: Vec<Record>,
}

impl Sweep {
    fn read(path: &Path) -> Result<Self, String> {
        let name = input::name(path);
        let bytes = input::read(path)?;
        let mut points = Vec::new();
        let summary = read(&bytes, |point| points.push(point)).map_err(|error| format!("{name}: {error}"))?;
        let reference = Reference::new(summary.reference_ohm).map_err(|error| format!("{name}: {error}"))?;
        Ok(Self {
            name,
            reference,
            points,
        })
    }

    fn impedance(&self, place: usize) -> Impedance<f64> {
        self.points[place].reflection.impedance(self.reference)
    }
}

pub fn transformer(given: &Given) -> Result<Answer, String> {
    if given.has("--loaded") {
        loaded(given)
    } else {
        open_short(given)
    }
}

fn tell(answer: &mut Answer, found: RealTransformer<f64>) {
    let ratio = found.impedance_ratio();
    answer.figure(
        "impedance ratio",
        format!(
            "{}, {} in turns",
            trimmed(ratio.get(), 3),
            trimmed(ratio.turns_ratio().get(), 3)
        ),
        "impedance_ratio",
        ratio.get(),
    );
    answer.figure(
        "leakage",
        format!("{}, at the primary", units::henries(found.leakage())),
        "leakage_h",
        found.leakage().get(),
    );
    answer.figure(
        "primary inductance",
        units::henries(found.primary_inductance()),
        "primary_inductance_h",
        found.primary_inductance().get(),
    );
    answer.figure(
        "secondary inductance",
        units::henries(found.secondary_inductance()),
        "secondary_inductance_h",
        found.secondary_inductance().get(),
    );
    answer.figure(
        "coupling",
        trimmed(found.coupling().get(), 4),
        "coupling",
        found.coupling().get(),
    );
}

fn loaded(given: &Given) -> Result<Answer, String> {
    let sweep = Sweep::read(&given.path("--loaded")?)?;
    let resistor = given.required("--resistor", input::positive)?;
    let leads = given.optional("--leads", units::inductance)?;
    let points = sweep
        .points
        .iter()
        .map(|point| (point.frequency, point.reflection));
    let wrong = |error: &dyn std::fmt::Display| format!("{}: {error}", sweep.name);
    let fitted = TransformerFit::sweep(resistor, sweep.reference, points).map_err(|error| wrong(&error))?;
    let seen = fitted.transformer;
    let most = seen.most_secondary_leads();
    let mut answer = Answer::default();
    let without = |leads: Inductance<f64>| {
        seen.without_secondary_leads(leads).map_err(|_| {
            format!(
                "--leads: {} is more than the sweep allows: with {} there is no leakage left",
                units::henries(leads),
                units::henries(most)
            )
        })
    };
    tell(&mut answer, without(leads.unwrap_or_default())?);
    let residual = fitted.residual.map_or(f64::NAN, |residual| residual.get());
    answer.figure(
        "residual",
        format!("{residual:.2e} of Γ, from {} points", fitted.points),
        "residual",
        residual,
    );
    answer.number("points", f64::from(fitted.points));
    answer.number("leads_h", leads.map_or(f64::NAN, |leads| leads.get()));
    answer.number("most_leads_h", most.get());
    if residual > 0.02 {
        answer.note("The fit is poor: winding capacitance, a lossy core, or another resistor than said. Take a narrower sweep.");
    }
    if leads.is_none() {
        // Nearly all of it: with all, the coupling is 1.
        let end = without(most).unwrap_or(seen).impedance_ratio().get();
        answer.value(
            "impedance_ratio_range",
            json!([json_number(seen.impedance_ratio().get()), json_number(end)]),
        );
        let one = seen
            .without_secondary_leads(Inductance::from_picohenries(1_000))
            .ok();
        let mut text = format!(
            "The leads of the resistor are taken for a part of the transformer, and no residual shows it: one sweep cannot tell them from leakage. The ratio may be anything from {} (no leads) to {} (leads of {}, and no leakage).",
            trimmed(seen.impedance_ratio().get(), 3),
            trimmed(end, 3),
            units::henries(most)
        );
        if let Some(one) = one {
            text += &format!(
                " With leads of 1 nH it is {}, and the leakage {}.",
                trimmed(one.impedance_ratio().get(), 3),
                units::henries(one.leakage())
            );
        }
        answer.note(text + " Say what they are with --leads; bench_sums wire computes them.");
    }
    Ok(answer)
}

fn open_short(given: &Given) -> Result<Answer, String> {
    if !given.has("--open") && !given.has("--shorted") {
        return Err("--open: is missing: three sweeps, or one with a known resistor by --loaded".into());
    }
    let open = Sweep::read(&given.path("--open")?)?;
    let shorted = Sweep::read(&given.path("--shorted")?)?;
    let secondary = Sweep::read(&given.path("--secondary")?)?;
    let wanted = given.frequency()?;
    let mut found = Vec::new();
    let mut refused = None;
    for (place, point) in open.points.iter().enumerate() {
        let frequency = point.frequency;
        if wanted.is_some_and(|wanted| wanted != frequency) {
            continue;
        }
        let same = |sweep: &Sweep| sweep.points.iter().position(|other| other.frequency == frequency);
        let (Some(second), Some(third)) = (same(&shorted), same(&secondary)) else {
            continue;
        };
        let test = OpenShortTest::<f64> {
            primary_open: open.impedance(place),
            primary_shorted: shorted.impedance(second),
            secondary_open: secondary.impedance(third),
            frequency,
        };
        match (test.recover(), test.disagreement()) {
            (Ok(transformer), Ok(disagreement)) => found.push((transformer, disagreement.get(), frequency)),
            (Err(error), _) | (_, Err(error)) => refused = Some((frequency, error)),
        }
    }
    let last = found.len().saturating_sub(1);
    if found.is_empty() {
        return Err(match (refused, wanted) {
            (Some((frequency, error)), _) => format!("{}: at {frequency}: {error}", open.name),
            (None, Some(wanted)) => {
                format!("--frequency: the three sweeps have no point at {wanted} in common")
            }
            (None, None) => format!(
                "{}: has no frequency in common with {} and {}",
                open.name, shorted.name, secondary.name
            ),
        });
    }
    let points = found.len();
    // Of many frequencies, the one whose ratio is in the middle: a resonance at one end of the sweep moves it little.
    found.sort_by(|one, other| {
        one.0
            .impedance_ratio()
            .get()
            .total_cmp(&other.0.impedance_ratio().get())
    });
    let ends = [
        found[0].0.impedance_ratio().get(),
        found[last].0.impedance_ratio().get(),
    ];
    let (transformer, disagreement, frequency) = found.swap_remove(points / 2);
    let mut answer = Answer::default();
    tell(&mut answer, transformer);
    answer.figure(
        "at",
        units::engineering(frequency.get() as f64, "Hz"),
        "frequency_hz",
        frequency.get() as f64,
    );
    answer.figure(
        "disagreement",
        format!("{} %", trimmed(disagreement * 100.0, 2)),
        "disagreement",
        disagreement,
    );
    answer.number("points", points as f64);
    answer.value(
        "impedance_ratio_range",
        json!([json_number(ends[0]), json_number(ends[1])]),
    );
    if points > 1 {
        answer.line(
            "over the sweep",
            format!(
                "ratio {} to {} at {points} frequencies; told is the one in the middle",
                trimmed(ends[0], 3),
                trimmed(ends[1], 3)
            ),
        );
    }
    if disagreement > 0.01 {
        answer.note(
            "The three sweeps disagree by more than 1 %: winding capacitance, or leads in one of them.",
        );
    }
    answer.note("The leakage is the difference of two readings; the short itself has leads, which count as leakage of the secondary.");
    Ok(answer)
}
