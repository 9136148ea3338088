//! The figures of one sweep, computed in the family asked for and carried on in double precision for printing.

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::measure::{
    Action, Dip, Direction, MaskCheck, Method, Retune, SweepAnalyser, SweepBand, SweepReport, SweepSettings,
    SweepSurvey, Target, TuningElement, Uncertainty,
};
use ohmwright::quantity::{Component, Hertz, QuantityError, Reference, Reflection, Swr};

use super::correction::Correction;
use super::diagnosis::{self, DiagnosisFigures};
use super::learnt::{Kept, Told};
use super::line::{self, LineFigures};
use super::mask::{self, MaskFigures};
use super::next::{self, NextFigures, Treated};
use super::numbers::Numbers;
use super::options::Options;
use super::output::{plain_number, visible};
use super::picture;
use super::predicted::{self, PredictedFigures};
use super::quality::{self, Gain, Quality};
use super::sweep::Sweep;
use super::uncertain::{self, Range};
use super::{Beside, Source};

/// Room for dips, bands and crossings: a host has it.
pub const ROOM: usize = 64;
/// Room for stretches of a mask.
const STRETCHES: usize = 32;

/// Γ at one frequency, and what is read off it.
#[derive(Clone, Copy, Debug)]
pub struct Point {
    pub frequency_hz: u64,
    pub swr: f64,
    pub return_loss_db: f64,
    pub resistance_ohm: f64,
    pub reactance_ohm: f64,
    /// |Γ|².
    pub reflected_share: f64,
    pub at_edge: bool,
    pub method: Method,
    /// Between which values the SWR lies.
    pub range: Range,
    /// What a dip may be as well, if the sweep is too coarse for it.
    pub unresolved: Option<UnresolvedFigures>,
}

/// Where a dip may stand, and how high its SWR may be at most.
#[derive(Clone, Copy, Debug)]
pub struct UnresolvedFigures {
    pub low_hz: u64,
    pub high_hz: u64,
    pub swr_at_most: f64,
}

pub struct Crossing {
    pub frequency_hz: u64,
    pub resistance_ohm: f64,
    pub rising: bool,
    pub q: f64,
}

/// What was found at the target.
pub enum AtTarget {
    NotAsked,
    /// The sweep does not reach it.
    NotCovered(u64),
    Reading(Point, bool),
}

pub struct RetuneFigures {
    pub element: TuningElement,
    pub direction: Direction,
    pub factor: f64,
    pub dip: Point,
}

/// All that the report says of one sweep.
pub struct Figures {
    pub name: String,
    pub numbers: Numbers,
    pub points: u32,
    pub start_hz: u64,
    pub stop_hz: u64,
    pub reference_ohm: f64,
    pub swr_limit: f64,
    pub missing_end: bool,
    /// How the sweep was corrected, if it was.
    pub correction: Option<Correction>,
    pub best: Point,
    pub dips: Vec<Point>,
    pub bands: Vec<SweepBand>,
    pub resonances: Vec<Crossing>,
    pub left_out: u32,
    pub quality: Quality,
    /// The velocity factor of a cable, if one was given.
    pub velocity: Option<f64>,
    /// Where what is looked into, the load at the target or at the best point, has |Γ| above 1.
    pub gain: Option<Gain>,
    pub target: AtTarget,
    pub next: NextFigures,
    pub retune: Option<RetuneFigures>,
    /// `Err` where the load has no positive resistance.
    pub diagnosis: Result<DiagnosisFigures, String>,
    pub mask: Vec<MaskFigures>,
    pub predicted: Option<PredictedFigures>,
    /// Cables, and distances on them.
    pub line: LineFigures,
    /// For what the next file teaches.
    pub kept: Kept,
    /// What the move before this sweep taught, and what is to be done with the coil.
    pub told: Told,
    /// What a screen would show, as a PNG file, where it is wanted.
    pub picture: Option<Vec<u8>>,
}

impl Figures {
    /// The dips that the sweep does not resolve; the best point too, where it is none of the list.
    pub fn unresolved(&self) -> Vec<&Point> {
        let best = Some(&self.best)
            .filter(|best| !self.dips.iter().any(|dip| dip.frequency_hz == best.frequency_hz));
        let all = best.into_iter().chain(&self.dips);
        all.filter(|dip| dip.unresolved.is_some()).collect()
    }

    /// Whether there is anything in it to be measured again before it is relied on.
    pub fn is_doubtful(&self) -> bool {
        let quality = &self.quality;
        quality.spoilt() > 0
            || quality.beyond_rim > 0
            || quality.is_too_coarse
            || quality.is_uncorrected
            || !self.unresolved().is_empty()
    }

    pub fn work_out(
        sweep: &Sweep,
        beside: Beside<'_>,
        options: &Options,
        source: &Source,
    ) -> Result<Self, String> {
        match options.numbers {
            Numbers::Fixed32 => analyse::<Fixed32>(sweep, beside, options, source),
            Numbers::Fixed16 => analyse::<Fixed16>(sweep, beside, options, source),
            Numbers::F32 => analyse::<f32>(sweep, beside, options, source),
            Numbers::F64 => analyse::<f64>(sweep, beside, options, source),
        }
    }
}

fn analyse<A: Arithmetic>(
    sweep: &Sweep,
    beside: Beside<'_>,
    options: &Options,
    source: &Source,
) -> Result<Figures, String> {
    let name = &sweep.name;
    let numbers = options.numbers.name();
    let unfit = |error: &dyn std::fmt::Display| format!("{name}: {error} in {numbers}");
    let own = Reference::<A>::try_from_f64(sweep.reference_ohm)
        .map_err(|error| unfit(&format!("line {}: {error}", sweep.reference_line)))?;
    let settings = settings(options, source, own)?;
    let reference = settings.reference;
    let mut analyser = SweepAnalyser::<A, ROOM>::new(settings)
        .map_err(|error| format!("--swr-limit or --prominence: {error} in {numbers}"))?;
    let mut survey = SweepSurvey::new();
    let built = options.built.built::<A>(source.tuning, options)?;
    let segments = mask::segments(options)?;
    let mut mask = MaskCheck::<A, STRETCHES>::new(&segments)
        .map_err(|error| format!("--mask: {} stretches: {error}", segments.len()))?;
    let corrected = beside
        .standards
        .map(|standards| standards.correct::<A>(sweep, numbers))
        .transpose()?;
    let ends = sweep.points.first().zip(sweep.points.last());
    let cable = match (&options.line.taken_out, ends) {
        (Some(cable), Some(((_, first), (_, last)))) => {
            let at = line::told_at(first.frequency, last.frequency, source.target_hz);
            Some(cable.line(own, at, options.numbers)?)
        }
        _ => None,
    };
    let mut measured = Vec::new();
    for (place, (line, record)) in sweep.points.iter().enumerate() {
        let at = |error: &dyn std::fmt::Display| format!("{name}: line {line}: {error}");
        let gamma = match &corrected {
            Some((gammas, _)) => gammas[place],
            None => Reflection::<A>::try_from_f64(
                record.reflection.real().get(),
                record.reflection.imaginary().get(),
            )
            .map_err(|error| at(&format!("{error} in {numbers}")))?,
        };
        let gamma = match cable {
            Some(cable) => cable.load_reflection(gamma, own, record.frequency),
            None => gamma,
        };
        let gamma = gamma.change_reference(own, reference);
        measured.push((record.frequency, gamma));
        analyser
            .push(record.frequency, gamma)
            .map_err(|error| at(&error))?;
        // Here is time: no point is hurried.
        while analyser.settle() {}
        survey.push(record.frequency, gamma).map_err(|error| at(&error))?;
        mask.push(record.frequency, gamma).map_err(|error| at(&error))?;
    }
    let report = analyser.report();
    let best = report.best().ok_or_else(|| unfit(&"no points"))?;
    let told = uncertain::of_sweep(survey.quality(&report), options)?;
    let uncertainty = told.uncertainty();
    let point = |dip: &Dip<A>| Point {
        unresolved: dip.unresolved.map(|limits| UnresolvedFigures {
            low_hz: limits.low.get(),
            high_hz: limits.high.get(),
            swr_at_most: value(limits.swr_at_most),
        }),
        ..point(
            &report,
            &uncertainty,
            (dip.frequency, dip.reflection),
            dip.at_edge,
            dip.method,
        )
    };
    let target = match report.target() {
        Target::NotAsked => AtTarget::NotAsked,
        Target::NotCovered(frequency) => AtTarget::NotCovered(frequency.get()),
        Target::Reading(reading) => AtTarget::Reading(
            self::point(
                &report,
                &uncertainty,
                (reading.frequency, reading.reflection),
                false,
                reading.method,
            ),
            reading.pass,
        ),
    };
    // What is looked into: the load at the target, or at the best point where there is no target.
    let (at, gamma) = match report.target() {
        Target::Reading(reading) => (reading.frequency, reading.reflection),
        _ => (best.frequency, best.reflection),
    };
    let noise = settings.noise.to_f64();
    let gain = gamma.is_active().then(|| {
        let magnitude = gamma.real().to_f64().hypot(gamma.imaginary().to_f64());
        Gain {
            at_hz: at.get(),
            magnitude,
            is_noise: magnitude <= 1.0 + 2.0 * noise,
        }
    });
    let diagnosis =
        diagnosis::work_out(gamma, reference, settings.swr_limit, at, &options.built).map_err(|error| {
            match &gain {
                Some(gain) => format!("{error}; {gain}"),
                None => error.to_string(),
            }
        });
    let about = match report.target() {
        Target::NotCovered(wanted) => wanted,
        _ => at,
    };
    let treated = Treated {
        is_corrected: corrected.is_some(),
        has_cable_out: cable.is_some(),
    };
    let (next, step) = next::work_out(
        &report,
        &survey,
        &built,
        (about, source.target_hz.is_some()),
        treated,
    )?;
    let moved = match step.action {
        Action::Move(retune) => Some(retune),
        _ => None,
    };
    let retune = source.target_hz.and_then(|wanted| {
        let true_dips = || report.dips().iter().filter(|dip| !dip.at_edge);
        let toward = |dip: &Dip<A>| Retune::<A>::new(source.tuning, dip.frequency, Hertz::new(wanted));
        // The dip that the next step moves; where it moves none, the nearest that is a true minimum.
        let chosen = true_dips().find(|dip| moved.is_some() && toward(dip) == moved);
        let dip = match chosen {
            Some(dip) => dip,
            None => true_dips().min_by_key(|dip| dip.frequency.get().abs_diff(wanted))?,
        };
        Some((toward(dip)?, dip))
    });
    let title = visible(name.rsplit(['/', '\\']).next().unwrap_or(name));
    let picture = options
        .picture
        .as_ref()
        .map(|wanted| picture::draw(wanted, &title, &measured, &report, Some(&step), Some(&told)));
    let picture = picture.transpose()?;
    let retune = retune.map(|(retune, dip)| RetuneFigures {
        element: retune.element,
        direction: retune.direction,
        factor: retune.factor.to_f64(),
        dip: point(dip),
    });
    let predicted = match beside.predicted {
        Some(prediction) => Some(predicted::compare(prediction, &measured, reference, numbers)?),
        None => None,
    };
    let line = line::work_out(options, &title, cable, &measured, reference, source.target_hz)?;
    Ok(Figures {
        name: name.to_string(),
        numbers: options.numbers,
        points: report.points(),
        start_hz: report.start().get(),
        stop_hz: report.stop().get(),
        reference_ohm: reference.ohms().to_f64(),
        swr_limit: settings.swr_limit.to_f64(),
        missing_end: sweep.missing_end,
        correction: corrected.map(|(_, correction)| correction),
        best: point(&best),
        dips: report.dips().iter().map(point).collect(),
        bands: report.bands().to_vec(),
        resonances: report
            .resonances()
            .iter()
            .map(|resonance| Crossing {
                frequency_hz: resonance.frequency.get(),
                resistance_ohm: value(resonance.resistance),
                rising: resonance.rising,
                q: value(resonance.q),
            })
            .collect(),
        left_out: report.dips_left_out() + report.bands_left_out() + report.resonances_left_out(),
        quality: quality::work_out(&report, &survey, noise),
        velocity: options.line.velocity,
        gain,
        target,
        next,
        retune,
        diagnosis,
        mask: mask::work_out(&segments, mask.report().verdicts()),
        predicted,
        line,
        kept: Kept::new(&report, &measured),
        told: Told::default(),
        picture,
    })
}

/// A number of the command line in the words of the family. What is wrong with it belongs to its option, not to a file.
pub fn of_option<T>(
    option: &str,
    options: &Options,
    value: f64,
    word: impl Fn(f64) -> Result<T, QuantityError>,
) -> Result<T, String> {
    word(value).map_err(|error| {
        let (value, numbers) = (plain_number(value), options.numbers.name());
        format!("{option}: {value}: {error} in {numbers}")
    })
}

fn settings<A: Arithmetic>(
    options: &Options,
    source: &Source,
    own: Reference<A>,
) -> Result<SweepSettings<A>, String> {
    let reference = match options.reference_ohm {
        Some(ohms) => of_option("--reference", options, ohms, Reference::<A>::try_from_f64)?,
        None => own,
    };
    let limit = |value| Swr::<A>::try_from_f64(value).map_err(|error| error.of("SWR limit"));
    Ok(SweepSettings {
        reference,
        swr_limit: of_option("--swr-limit", options, options.swr_limit, limit)?,
        target: source.target_hz.map(Hertz::new),
        prominence: of_option(
            "--prominence",
            options,
            options.prominence,
            Component::<A>::try_from_f64,
        )?,
        noise: match options.noise {
            Some(noise) => of_option("--noise", options, noise, Component::<A>::try_from_f64)?,
            None => SweepSettings::<A>::default().noise,
        },
    })
}

/// Where a word stands at its end, the value is infinite or unknown.
pub fn value<Q: Quantity>(word: Q) -> f64 {
    if word == Q::MAX {
        f64::INFINITY
    } else if word == Q::MIN && Q::MIN < Q::ZERO {
        f64::NEG_INFINITY
    } else {
        word.to_f64()
    }
}

fn point<A: Arithmetic, const N: usize>(
    report: &SweepReport<A, N>,
    uncertainty: &Uncertainty<A>,
    (frequency, reflection): (Hertz, Reflection<A>),
    at_edge: bool,
    method: Method,
) -> Point {
    let impedance = report.impedance(reflection);
    Point {
        frequency_hz: frequency.get(),
        swr: value(reflection.swr()),
        return_loss_db: value(reflection.return_loss()),
        resistance_ohm: value(impedance.resistance()),
        reactance_ohm: value(impedance.reactance()),
        reflected_share: reflection.reflected_share().to_f64(),
        at_edge,
        method,
        range: Range::new(uncertainty, reflection, report.swr_limit()),
        unresolved: None,
    }
}
