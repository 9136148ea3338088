//! The figures of one sweep, computed in the family asked for and carried on in double precision for printing.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::design::transformer::{CancellingPart, TurnsChoice};
use ohmwright::measure::{
    Built, Cause, Change, Diagnosis, Dip, Direction, MaskCheck, MaskSegment, MaskVerdict, Method, NextStep,
    PredictionCheck, PredictionReport, Retune, Suspect, SweepAnalyser, SweepBand, SweepReport, SweepSettings,
    SweepSurvey, Target, TuningElement,
};
use ohmwright::quantity::{Component, Hertz, QuantityError, Reactor, Reference, Reflection, Swr};

use super::correction::Correction;
use super::line::{self, LineFigures};
use super::numbers::Numbers;
use super::options::{MaskStretch, Options};
use super::output::{hertz, plain_number, visible};
use super::picture;
use super::sweep::Sweep;
use super::{Beside, Source};

/// Room for dips, bands and crossings: a host has it.
const ROOM: usize = 64;
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

/// A load that sends back more than it was sent, where one is read.
#[derive(Clone, Copy, Debug)]
pub struct Gain {
    pub at_hz: u64,
    /// |Γ|.
    pub magnitude: f64,
    /// Whether the noise is enough to explain it.
    pub is_noise: bool,
}

/// How far the samples can be trusted.
pub struct Quality {
    /// The frequencies of samples that fit none of their neighbours.
    pub spoilt_hz: Vec<u64>,
    pub spoilt_left_out: u32,
    /// The number of samples with |Γ| above 1 by more than twice the noise.
    pub beyond_rim: u32,
    pub fast_turns: u32,
    pub is_too_coarse: bool,
    /// The standard deviation of a component of Γ that was reckoned with.
    pub noise: f64,
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

pub struct MaskFigures {
    pub low_hz: u64,
    pub high_hz: u64,
    pub swr_limit: f64,
    pub covered: bool,
    pub pass: bool,
    pub worst: Option<(u64, f64)>,
}

/// Measured against predicted.
pub struct PredictedFigures {
    pub file: String,
    pub points: u32,
    /// Measured points beyond the ends of the prediction, and at 0 Hz.
    pub left_out: usize,
    pub largest: f64,
    pub largest_at_hz: u64,
    pub mean: f64,
    pub root_mean_square: f64,
    /// Whether the first explains anything.
    pub explained: bool,
    /// Least residual first.
    pub explanations: Vec<ExplanationFigures>,
}

/// One parameter allowed to differ.
pub struct ExplanationFigures {
    pub suspect: Suspect,
    /// A factor, henries or metres, the latter two with a sign.
    pub change: f64,
    pub residual: f64,
    /// Of the mean |ΔΓ|².
    pub share: f64,
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
    /// Where what is looked into, the load at the target or at the best point, has |Γ| above 1.
    pub gain: Option<Gain>,
    pub target: AtTarget,
    pub retune: Option<RetuneFigures>,
    /// `Err` where the load has no positive resistance.
    pub diagnosis: Result<DiagnosisFigures, String>,
    pub mask: Vec<MaskFigures>,
    pub predicted: Option<PredictedFigures>,
    /// Cables, and distances on them.
    pub line: LineFigures,
    /// What a screen would show, as a PNG file, where it is wanted.
    pub picture: Option<Vec<u8>>,
}

impl std::fmt::Display for Gain {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (size, at) = (self.magnitude, hertz(self.at_hz));
        write!(
            f,
            "the reflection coefficient at {at} is {size:.3} in size, above 1 "
        )?;
        f.write_str(if self.is_noise {
            "by no more than noise explains: the load is near an open, a short or a pure reactance"
        } else {
            "by more than noise explains, which no passive load has"
        })
    }
}

impl Quality {
    pub fn spoilt(&self) -> usize {
        self.spoilt_hz.len() + self.spoilt_left_out as usize
    }
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
    let segments = segments(options)?;
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
        mask.push(record.frequency, gamma).map_err(|error| at(&error))?;
    }
    let report = analyser.report();
    let best = report.best().ok_or_else(|| unfit(&"no points"))?;
    let point = |dip: &Dip<A>| Point {
        unresolved: dip.unresolved.map(|limits| UnresolvedFigures {
            low_hz: limits.low.get(),
            high_hz: limits.high.get(),
            swr_at_most: value(limits.swr_at_most),
        }),
        ..point(&report, dip.frequency, dip.reflection, dip.at_edge, dip.method)
    };
    let target = match report.target() {
        Target::NotAsked => AtTarget::NotAsked,
        Target::NotCovered(frequency) => AtTarget::NotCovered(frequency.get()),
        Target::Reading(reading) => AtTarget::Reading(
            self::point(
                &report,
                reading.frequency,
                reading.reflection,
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
    let diagnosis = Diagnosis::new(gamma, reference, settings.swr_limit, at, options.most_turns)
        .map(|diagnosis| diagnosis_figures(&diagnosis, at))
        .map_err(|error| match &gain {
            Some(gain) => format!("{error}; {gain}"),
            None => error.to_string(),
        });
    let retune = source.target_hz.and_then(|wanted| {
        // The dip to move is the nearest that is a true minimum.
        let dip = report
            .dips()
            .iter()
            .filter(|dip| !dip.at_edge)
            .min_by_key(|dip| dip.frequency.get().abs_diff(wanted))?;
        Some((
            Retune::<A>::new(source.tuning, dip.frequency, Hertz::new(wanted))?,
            dip,
        ))
    });
    let title = visible(name.rsplit(['/', '\\']).next().unwrap_or(name));
    let picture = options.picture.as_ref().map(|wanted| {
        // As an instrument decides it, from the same points.
        let mut survey = SweepSurvey::new();
        for (frequency, gamma) in &measured {
            // The analyser has taken them all.
            let _ = survey.push(*frequency, *gamma);
        }
        let step = NextStep::new(&report, &survey, &Built::new(source.tuning));
        let quality = survey.quality(&report);
        picture::draw(
            wanted,
            &title,
            &measured,
            &report,
            step.ok().as_ref(),
            Some(&quality),
        )
    });
    let picture = picture.transpose()?;
    let retune = retune.map(|(retune, dip)| RetuneFigures {
        element: retune.element,
        direction: retune.direction,
        factor: retune.factor.to_f64(),
        dip: point(dip),
    });
    let predicted = match beside.predicted {
        Some(prediction) => Some(compare(prediction, &measured, reference, numbers)?),
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
        quality: Quality {
            spoilt_hz: report.spoilt().iter().map(|frequency| frequency.get()).collect(),
            spoilt_left_out: report.spoilt_left_out(),
            beyond_rim: report.beyond_rim(),
            fast_turns: report.fast_turns(),
            is_too_coarse: report.is_too_coarse(),
            noise,
        },
        gain,
        target,
        retune,
        diagnosis,
        mask: mask_figures(&segments, mask.report().verdicts()),
        predicted,
        line,
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

fn segments<A: Arithmetic>(options: &Options) -> Result<Vec<MaskSegment<A>>, String> {
    let limit = |value| Swr::<A>::try_from_f64(value).map_err(|error| error.of("SWR limit"));
    let segment = |stretch: &MaskStretch| {
        Ok(MaskSegment {
            low: Hertz::new(stretch.low_hz),
            high: Hertz::new(stretch.high_hz),
            swr_limit: of_option("--mask", options, stretch.swr_limit, limit)?,
        })
    };
    options.mask.iter().map(segment).collect()
}

/// What was measured against what was predicted, at each frequency that both have.
fn compare<A: Arithmetic>(
    prediction: &Sweep,
    measured: &[(Hertz, Reflection<A>)],
    reference: Reference<A>,
    numbers: &str,
) -> Result<PredictedFigures, String> {
    let file = &prediction.name;
    let unfit = |error: &dyn std::fmt::Display| format!("{file}: {error} in {numbers}");
    let own = Reference::<A>::try_from_f64(prediction.reference_ohm)
        .map_err(|error| unfit(&format!("line {}: {error}", prediction.reference_line)))?;
    let mut pairs = Vec::new();
    // Nothing is told apart by a reading at 0 Hz, where a coil and a line are nothing.
    for (frequency, gamma) in measured.iter().filter(|(frequency, _)| frequency.get() > 0) {
        if let Some((real, imaginary)) = prediction.at(frequency.get()) {
            let predicted = Reflection::<A>::try_from_f64(real, imaginary)
                .map_err(|error| unfit(&format!("at {frequency}: {error}")))?;
            pairs.push((*frequency, *gamma, predicted.change_reference(own, reference)));
        }
    }
    let report = PredictionCheck::sweep(reference, pairs.iter().copied())
        .map_err(|error| unfit(&error))?
        .ok_or_else(|| format!("{file}: it covers none of the measured frequencies"))?;
    Ok(predicted_figures(&report, file, measured.len() - pairs.len()))
}

fn predicted_figures<A: Arithmetic>(
    report: &PredictionReport<A>,
    file: &str,
    left_out: usize,
) -> PredictedFigures {
    let henry = if matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16) {
        1e-12
    } else {
        1.0
    };
    let mut explanations: Vec<_> = report
        .explanations()
        .iter()
        .map(|explanation| ExplanationFigures {
            suspect: explanation.suspect,
            change: match explanation.change {
                Change::TimesImpedance(times) => times.to_f64(),
                Change::MoreInductance(inductance) => inductance.get().to_f64() * henry,
                Change::LessInductance(inductance) => -inductance.get().to_f64() * henry,
                Change::LongerLine(metres) => metres.to_f64(),
                Change::ShorterLine(metres) => -metres.to_f64(),
                _ => f64::NAN,
            },
            residual: explanation.residual.to_f64(),
            share: explanation.share.to_f64(),
        })
        .collect();
    // The library says which is best; the other two follow in the order of what they leave.
    let best = report.best().suspect;
    explanations.sort_by(|a, b| {
        let key = |one: &ExplanationFigures| (one.suspect != best, one.residual);
        key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal)
    });
    PredictedFigures {
        file: file.to_string(),
        points: report.points,
        left_out,
        largest: report.largest.to_f64(),
        largest_at_hz: report.largest_at.get(),
        mean: report.mean.to_f64(),
        root_mean_square: report.root_mean_square.to_f64(),
        explained: report.explained().is_some(),
        explanations,
    }
}

/// Where a word stands at its end, the value is infinite or unknown.
fn value<Q: Quantity>(word: Q) -> f64 {
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
    frequency: Hertz,
    reflection: Reflection<A>,
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
        unresolved: None,
    }
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

fn mask_figures<A: Arithmetic>(segments: &[MaskSegment<A>], verdicts: &[MaskVerdict<A>]) -> Vec<MaskFigures> {
    segments
        .iter()
        .zip(verdicts)
        .map(|(segment, verdict)| {
            let (covered, pass, worst) = match verdict {
                MaskVerdict::Pass(worst) => (true, true, Some(worst)),
                MaskVerdict::Fail(worst) => (true, false, Some(worst)),
                _ => (false, false, None),
            };
            MaskFigures {
                low_hz: segment.low.get(),
                high_hz: segment.high.get(),
                swr_limit: segment.swr_limit.to_f64(),
                covered,
                pass,
                worst: worst.map(|worst| (worst.frequency.get(), value(worst.reflection.swr()))),
            }
        })
        .collect()
}
