//! The figures of a design.

use std::path::Path;

use ohmwright::design::ladder::Stress;
use ohmwright::design::matching::{MatchPlan, MatchPlans, PartLimits, RankSettings, rank};
use ohmwright::design::preferred::Tolerance;
use ohmwright::design::transformer::MagnitudeRule;
use ohmwright::measure::touchstone::{Layout, Writer};
use ohmwright::quantity::{Hertz, Impedance, Reference};

use super::input;
use super::loads::Load;
use super::options::Options;
use super::output;

/// Points of a predicted sweep.
const PREDICTED_POINTS: u64 = 201;

/// Everything that is told of a load.
pub struct Design {
    pub load: Impedance<f64>,
    pub rule: MagnitudeRule<f64>,
    pub plans: MatchPlans<f64, 64>,
    pub settings: RankSettings<f64>,
}

impl Design {
    pub fn work_out(options: &Options, load: &Load) -> Result<Self, String> {
        // What is wrong belongs to the option that gave it.
        let of_load = |cause: &dyn std::fmt::Display| match load {
            Load::Series { .. } => format!("--load: {cause}"),
            Load::Table { name, .. } => format!("{name}: {cause}"),
        };
        let frequency = Hertz::new(options.frequency_hz);
        let at = load
            .at(frequency)
            .ok_or_else(|| of_load(&format!("the table does not reach {frequency}")))?;
        let source = Reference::new(options.source_ohm)
            .map_err(|error| format!("--source: {}: {error}", output::plain_number(options.source_ohm)))?;
        // The rule needs windings, also where no plan may have any.
        let turns = if options.most_turns == 0 {
            12
        } else {
            options.most_turns
        };
        let rule = MagnitudeRule::apply(at, source, turns).map_err(|error| of_load(&error))?;
        let settings = settings(options, source)?;
        let plans = rank(&settings, |frequency| load.at(frequency)).map_err(|error| of_load(&error))?;
        Ok(Self {
            load: at,
            rule,
            plans,
            settings,
        })
    }

    /// The lower edge of the band in which the match matters.
    pub fn low_hz(&self) -> u64 {
        self.settings.low.get()
    }

    /// The upper.
    pub fn high_hz(&self) -> u64 {
        self.settings.high.get()
    }

    /// Its geometric middle.
    pub fn middle_hz(&self) -> f64 {
        (self.low_hz() as f64 * self.high_hz() as f64).sqrt()
    }

    /// Those that are told.
    pub fn shown(&self, options: &Options) -> &[MatchPlan<f64>] {
        let all = self.plans.as_slice();
        &all[..options.plans.min(all.len())]
    }

    /// What each element of a plan must bear, from the load to the source.
    pub fn stresses(&self, options: &Options, plan: &MatchPlan<f64>) -> Vec<Stress<f64>> {
        let walk = plan.ladder.walk(self.load, Hertz::new(options.frequency_hz));
        (0..plan.ladder.elements().len())
            .map(|place| {
                // A plan has been walked once to be ranked.
                let stress = walk
                    .as_ref()
                    .ok()
                    .and_then(|walk| walk.stress(place, options.power_w).ok()?);
                stress.unwrap_or(Stress::NONE)
            })
            .collect()
    }
}

fn settings(options: &Options, source: Reference<f64>) -> Result<RankSettings<f64>, String> {
    let tolerance = Tolerance::new(options.tolerance()).map_err(|error| format!("--tolerance: {error}"))?;
    let frequency = Hertz::new(options.frequency_hz);
    // Common practice, no source: cable as thick as a pencil, cut and made with care.
    let (line_tolerance, line_loss) = if options.any_part {
        (Ok(Tolerance::NONE), 0.0)
    } else {
        (
            Tolerance::new(0.02),
            10.0 * (options.frequency_hz as f64 / 1e8).sqrt(),
        )
    };
    Ok(RankSettings {
        low: options.low_hz.map_or(frequency, Hertz::new),
        high: options.high_hz.map_or(frequency, Hertz::new),
        swr_limit: options.swr_limit.into(),
        power: options.power_w.into(),
        preferred: options.preferred,
        preferred_coils: !options.wound_coils,
        coil_tolerance: tolerance,
        capacitor_tolerance: tolerance,
        coil_q: options.coil_q.map(Into::into),
        capacitor_q: options.capacitor_q.map(Into::into),
        three_element_q: options.q.map(Into::into),
        most_turns: options.most_turns,
        line_velocity_factor: Some(options.velocity_factor.into()),
        line_impedances: (options.line_ohms.0.into(), options.line_ohms.1.into()),
        stubs: options.stubs,
        limits: (!options.any_part).then(|| PartLimits::usual(frequency)),
        line_tolerance: line_tolerance.map_err(|error| format!("--any-part: {error}"))?,
        line_loss: line_loss.into(),
        capacitor_volts: options.capacitor_volts.map(Into::into),
        coil_amperes: options.coil_amperes.map(Into::into),
        ..RankSettings::new(source, frequency)
    })
}

/// Writes the sweep that the best plan should show.
pub fn predict(path: &Path, options: &Options, load: &Load, design: &Design) -> Result<(), String> {
    let wrong = |cause: &dyn std::fmt::Display| format!("{}: {cause}", input::name(path));
    let Some(best) = design.plans.as_slice().first() else {
        return Err(wrong(&"there is no plan to predict"));
    };
    let (mut low, mut high) = if design.low_hz() < design.high_hz() {
        (design.low_hz(), design.high_hz())
    } else {
        let f = options.frequency_hz;
        (f - f / 10, f + f / 10)
    };
    if let Some((first, last)) = load.reach() {
        (low, high) = (low.max(first), high.min(last));
    }
    let source = Reference::new(options.source_ohm).map_err(|error| wrong(&error))?;
    let layout = Layout {
        reference_ohm: options.source_ohm,
        ..Layout::default()
    };
    let mut writer = Writer::new(String::new(), layout).map_err(|error| wrong(&error))?;
    let about = format!(
        "PREDICTED, not measured: {}, at {} Hz",
        best.scheme, options.frequency_hz
    );
    writer.comment(&about).map_err(|error| wrong(&error))?;
    let mut last = 0;
    for step in 0..PREDICTED_POINTS {
        let hertz = low + (high - low) * step / (PREDICTED_POINTS - 1);
        if hertz <= last {
            continue; // a band of fewer hertz than points
        }
        last = hertz;
        let frequency = Hertz::new(hertz);
        let Some(z) = load.at(frequency) else { continue };
        let gamma = best
            .ladder
            .reflection(z, frequency, source)
            .map_err(|error| wrong(&error))?;
        writer.record(frequency, gamma).map_err(|error| wrong(&error))?;
    }
    let text = writer.finish().map_err(|error| wrong(&error))?;
    output::save(path, text.as_bytes())
}
