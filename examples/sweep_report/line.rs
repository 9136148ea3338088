//! The line between the instrument and what is measured: taken out of the readings, measured itself, or searched for
//! what reflects on it.

use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::design::line::Line;
use ohmwright::measure::line::{
    CableEnd, CableReport, CableSettings, CableSweep, DistanceSettings, DistanceSweep, DistanceWindow, Fault,
    LineError,
};
use ohmwright::quantity::{
    Component, Decibels, Hertz, Metres, QuantityError, Reference, Reflection, VelocityFactor,
};
use serde_json::{Value, json};

use super::figures::of_option;
use super::input::{hertz, number, positive};
use super::numbers::Numbers;
use super::options::Options;
use super::output;
use super::picture::{self, Wanted};

/// What the command line says of lines.
#[derive(Default)]
pub struct Asked {
    pub taken_out: Option<TakenOut>,
    pub end: Option<CableEnd>,
    pub velocity: Option<f64>,
}

/// A cable to take out of the readings.
pub struct TakenOut {
    /// As written.
    given: String,
    metres: f64,
    velocity: f64,
    ohms: Option<f64>,
    /// One way, of all of it, and where it was said to be so.
    loss_db: f64,
    loss_at_hz: Option<u64>,
}

pub fn velocity(name: &str, given: &str) -> Result<f64, String> {
    match positive(name, given)? {
        factor if factor <= 1.0 => Ok(factor),
        _ => Err(format!(
            "{name}: a velocity factor of {given} does not exist, 1 is the most"
        )),
    }
}

pub fn end(given: &str) -> Result<CableEnd, String> {
    match given {
        "open" => Ok(CableEnd::Open),
        "short" => Ok(CableEnd::Short),
        "load" => Ok(CableEnd::Load),
        other => Err(format!("--cable-end: {other:?} is none of open, short, load")),
    }
}

impl TakenOut {
    /// METRES,VELOCITY[,OHMS[,DB]], the last also as DB@HERTZ.
    pub fn parse(given: &str) -> Result<Self, String> {
        let parts: Vec<&str> = given.split(',').collect();
        if !(2..=4).contains(&parts.len()) {
            return Err(format!("--cable: {given:?} is not METRES,VELOCITY[,OHMS[,DB]]"));
        }
        let not_below_zero = |text: &str| match number("--cable", text)? {
            value if value >= 0.0 => Ok(value),
            _ => Err(format!("--cable: {text} must not be negative")),
        };
        let loss = parts.get(3).map(|loss| match loss.split_once('@') {
            Some((loss, at)) => (loss, Some(at)),
            None => (*loss, None),
        });
        let (loss_db, loss_at_hz) = match loss {
            None => (0.0, None),
            Some((loss, None)) => (not_below_zero(loss)?, None),
            Some((loss, Some(at))) => match hertz("--cable", at)? {
                at_hz if (1.0..1e18).contains(&at_hz) => (not_below_zero(loss)?, Some(at_hz.round() as u64)),
                _ => return Err(format!("--cable: {at} is out of range")),
            },
        };
        Ok(Self {
            given: given.into(),
            metres: not_below_zero(parts[0])?,
            velocity: velocity("--cable", parts[1])?,
            ohms: parts.get(2).map(|ohms| positive("--cable", ohms)).transpose()?,
            loss_db,
            loss_at_hz,
        })
    }

    /// As a line in the family of numbers; `own` is the reference of the file, `at` where the loss is meant.
    pub fn line<A: Arithmetic>(
        &self,
        own: Reference<A>,
        at: Hertz,
        numbers: Numbers,
    ) -> Result<Line<A>, String> {
        let ohms = self.ohms.unwrap_or(own.ohms().to_f64());
        let refused =
            |error: &dyn std::fmt::Display| format!("--cable: {}: {error} in {}", self.given, numbers.name());
        let line = Line::try_from_f64(ohms, self.velocity, self.metres).map_err(|error| refused(&error))?;
        if self.loss_db == 0.0 || self.metres == 0.0 {
            return Ok(line);
        }
        let in_hundred = Decibels::<A>::try_from_f64(self.loss_db / self.metres * 100.0)
            .map_err(|error| refused(&error.of("loss of 100 m")))?;
        line.with_loss(in_hundred, self.loss_at_hz.map_or(at, Hertz::new))
            .map_err(|error| refused(&error))
    }
}

/// The frequency at which a loss is meant or told: the target if the sweep holds it, the middle of the sweep otherwise.
pub fn told_at(first: Hertz, last: Hertz, target_hz: Option<u64>) -> Hertz {
    let (low, high) = (first.get().min(last.get()), first.get().max(last.get()));
    Hertz::new(
        target_hz
            .filter(|at| (low..=high).contains(at))
            .unwrap_or(low.midpoint(high)),
    )
}

pub struct TakenOutFigures {
    metres: f64,
    velocity: f64,
    ohms: f64,
    loss_db: f64,
    at_hz: u64,
}

pub struct CableFigures {
    end: CableEnd,
    delay_s: f64,
    length_m: Option<f64>,
    impedance_ohm: Option<f64>,
    loss_db: Option<f64>,
    at_hz: u64,
    losses: Vec<(u64, f64)>,
    end_reflection: f64,
}

pub struct FaultFigures {
    metres: f64,
    reflection: f64,
}

pub struct Distances {
    faults: Vec<FaultFigures>,
    left_out: usize,
    resolution_m: f64,
    separable_m: f64,
    reach_m: f64,
}

/// What was found of lines; nothing where nothing was asked.
pub struct LineFigures {
    velocity: Option<f64>,
    taken_out: Option<TakenOutFigures>,
    cable: Option<Result<CableFigures, String>>,
    /// Points that the grid lacked.
    filled: usize,
    distances: Option<Result<Distances, String>>,
    /// |Γ| against distance, as a PNG file, where it is wanted.
    pub picture: Option<Vec<u8>>,
}

/// The points, with what an even grid lacks filled in by straight lines, and how many those are: nothing where the grid is
/// even as it is, where more than one in twenty is missing, or where two neighbours are.
fn evened<A: Arithmetic>(points: Points<'_, A>) -> (Vec<(Hertz, Reflection<A>)>, usize) {
    let as_it_is = || (points.to_vec(), 0);
    let apart = |two: &[(Hertz, Reflection<A>)]| two[0].0.get().abs_diff(two[1].0.get());
    let mut steps: Vec<u64> = points.windows(2).map(apart).collect();
    steps.sort_unstable();
    let Some(step) = steps.get(steps.len() / 2).filter(|step| **step > 0) else {
        return as_it_is();
    };
    let mut filled = Vec::with_capacity(points.len());
    for two in points.windows(2) {
        filled.push(two[0]);
        // One is missing where a step is twice the usual one.
        if (apart(two) as f64 / *step as f64 - 2.0).abs() < 0.25 {
            let middle = |one: Component<A>, other: Component<A>| 0.5 * (one.to_f64() + other.to_f64());
            let (one, other) = (two[0].1, two[1].1);
            let (re, im) = (
                middle(one.real(), other.real()),
                middle(one.imaginary(), other.imaginary()),
            );
            let Ok(between) = Reflection::try_from_f64(re, im) else {
                return as_it_is();
            };
            filled.push((Hertz::new(two[0].0.get().midpoint(two[1].0.get())), between));
        }
    }
    filled.extend(points.last());
    let count = filled.len() - points.len();
    if count * 20 > points.len() {
        return as_it_is();
    }
    (filled, count)
}

type Points<'a, A> = &'a [(Hertz, Reflection<A>)];

/// What was asked of lines, from the points of a sweep of this title.
pub fn work_out<A: Arithmetic>(
    options: &Options,
    title: &str,
    line: Option<Line<A>>,
    points: Points<'_, A>,
    reference: Reference<A>,
    target_hz: Option<u64>,
) -> Result<LineFigures, String> {
    let asked = &options.line;
    let (points, filled) = evened(points);
    let points = points.as_slice();
    let (Some((first, _)), Some((last, _))) = (points.first(), points.last()) else {
        return Err(format!("{title}: no points"));
    };
    let at = told_at(*first, *last, target_hz);
    let (start, stop) = (*first.min(last), *first.max(last));
    let factor = asked
        .velocity
        .map(|factor| {
            of_option("--velocity", options, factor, |value| {
                // A small one may round to nothing.
                let wrong = QuantityError::NotPositive("velocity factor");
                let word = VelocityFactor::<A>::try_from_f64(value)?;
                (word > VelocityFactor::ZERO).then_some(word).ok_or(wrong)
            })
        })
        .transpose()?;
    let count = u32::try_from(points.len()).unwrap_or(u32::MAX);
    let cable = asked.end.map(|end| {
        let settings = CableSettings {
            start,
            stop,
            points: count,
            reference,
            end,
        };
        CableSweep::measure(settings, points.iter().copied())
            .map_err(LineError::into_text)
            .and_then(|report| cable_figures(&report, factor, (start, stop), at))
    });
    let mut picture = None;
    let distances = match factor {
        None => None,
        Some(factor) => Some(match search(points, start, stop, factor) {
            Err(error) => Err(error.into_text()),
            Ok(found) => {
                let wanted = options.picture.as_ref();
                picture = wanted.map(|wanted| found.draw(wanted, title)).transpose()?;
                Ok(found.figures())
            }
        }),
    };
    Ok(LineFigures {
        velocity: asked.velocity,
        taken_out: line.map(|line| TakenOutFigures {
            metres: line.length().to_f64(),
            velocity: line.velocity_factor().to_f64(),
            ohms: line.impedance().to_f64(),
            loss_db: line.matched_loss(at).to_f64(),
            at_hz: at.get(),
        }),
        cable,
        filled,
        distances,
        picture,
    })
}

/// Why, and what to do about it.
trait IntoText {
    fn into_text(self) -> String;
}

impl IntoText for LineError {
    fn into_text(self) -> String {
        match self {
            Self::NoEcho => format!(
                "{self}: the end is matched, lies beyond the unambiguous range, or its echo is lost in the loss of the cable"
            ),
            other => other.to_string(),
        }
    }
}

fn cable_figures<A: Arithmetic>(
    report: &CableReport<A>,
    factor: Option<VelocityFactor<A>>,
    (start, stop): (Hertz, Hertz),
    at: Hertz,
) -> Result<CableFigures, String> {
    let length = factor
        .map(|factor| report.length(factor).map_err(|error| error.to_string()))
        .transpose()?;
    let quarter = (stop.get() - start.get()) / 4;
    let losses = (0..=4).map(|count| {
        Hertz::new(if count == 4 {
            stop.get()
        } else {
            start.get() + count * quarter
        })
    });
    Ok(CableFigures {
        end: report.end(),
        delay_s: report.delay().to_f64(),
        length_m: length.map(Quantity::to_f64),
        impedance_ohm: report.impedance().map(Quantity::to_f64),
        loss_db: report.loss(at).map(Quantity::to_f64),
        at_hz: at.get(),
        losses: losses
            .filter_map(|at| Some((at.get(), report.loss(at)?.to_f64())))
            .collect(),
        end_reflection: report.end_reflection().to_f64(),
    })
}

/// Distances of one pass over the points.
const AT_ONCE: usize = 256;
/// No further than this many times the resolution.
const MOST_CELLS: u32 = 1024;
/// What reflects less is left alone: ordinary plugs do.
const LEAST: f64 = 0.01;
/// Faults told, the strongest.
const MOST_FAULTS: usize = 16;

/// |Γ| against distance, and what stands out.
struct Found<A: Arithmetic> {
    trace: Vec<(Metres<A>, Component<A>)>,
    faults: Vec<Fault<A>>,
    left_out: usize,
    resolution: f64,
    separable: f64,
}

fn search<A: Arithmetic>(
    points: Points<'_, A>,
    start: Hertz,
    stop: Hertz,
    factor: VelocityFactor<A>,
) -> Result<Found<A>, LineError> {
    let count = u32::try_from(points.len()).unwrap_or(u32::MAX);
    let settings =
        DistanceSettings::<A>::new(start, stop, count, factor)?.with_window(DistanceWindow::Blackman);
    let cells = (count - 1).min(MOST_CELLS);
    // Each pass has its first two distances in common with the last two of the one before, so that every other one of a
    // pass has its neighbours, and they are half a resolution apart at most.
    let step = AT_ONCE as u32 - 2;
    let passes = (2 * cells).div_ceil(step);
    let spacing = settings.spacing.to_f64() * 2.0 * (f64::from(cells) - 0.5) / f64::from(passes * step + 1);
    let word = |metres: f64| Ok::<_, LineError>(Metres::<A>::try_from_f64(metres)?);
    let spacing = word(spacing)?;
    let mut found = Found {
        trace: Vec::new(),
        faults: Vec::new(),
        left_out: 0,
        resolution: settings.spacing.to_f64() * 2.0,
        separable: 0.0,
    };
    let mut mean = 0.0;
    for pass in 0..passes {
        let nearest = word(spacing.to_f64() * f64::from(pass * step))?;
        let mut sweep =
            DistanceSweep::<A, AT_ONCE>::new(settings.with_spacing(spacing).with_nearest(nearest))?;
        for (frequency, gamma) in points {
            sweep.push(*frequency, *gamma)?;
        }
        mean += sweep.mean()?.to_f64() / f64::from(passes);
        let seen = if pass == 0 { 0 } else { 2 };
        found.trace.extend(
            (seen..AT_ONCE).filter_map(|index| Some((sweep.distance(index)?, sweep.magnitude(index)?))),
        );
        // At the very beginning stands the connector; at the other edges a pass hands over to the next.
        let all = sweep.faults(Component::<A>::ZERO)?;
        found
            .faults
            .extend(all.filter(|fault| !fault.at_edge || fault.distance == Metres::<A>::ZERO));
        found.separable = sweep.separable().to_f64();
    }
    let size = |fault: &Fault<A>| fault.reflection.to_f64();
    let largest = found.faults.iter().map(size).fold(0.0, f64::max);
    // Above the side lobes, and what is everywhere.
    let least = LEAST.max(largest / 50.0).max(4.0 * mean);
    found.faults.retain(|fault| size(fault) >= least);
    found
        .faults
        .sort_by(|one, other| size(other).total_cmp(&size(one)));
    found.left_out = found.faults.len().saturating_sub(MOST_FAULTS);
    found.faults.truncate(MOST_FAULTS);
    let metres = |fault: &Fault<A>| fault.distance.to_f64();
    found
        .faults
        .sort_by(|one, other| metres(one).total_cmp(&metres(other)));
    Ok(found)
}

impl<A: Arithmetic> Found<A> {
    fn draw(&self, wanted: &Wanted, title: &str) -> Result<Vec<u8>, String> {
        let largest = self
            .trace
            .iter()
            .map(|(_, size)| size.to_f64())
            .fold(0.0, f64::max);
        // A round figure above the largest.
        let top = [0.05, 0.1, 0.2, 0.5, 1.0]
            .into_iter()
            .find(|top| *top >= largest)
            .unwrap_or(2.0);
        // To a little beyond the last fault, so that it is seen what lies there.
        let last = self
            .faults
            .last()
            .map_or(f64::INFINITY, |fault| 1.5 * fault.distance.to_f64());
        let reach = self.trace.last().map_or(0.0, |(metres, _)| metres.to_f64());
        let farthest = last.max(20.0 * self.resolution).min(reach);
        picture::draw_distances(wanted, title, farthest, top, &self.trace, &self.faults)
    }

    fn figures(&self) -> Distances {
        Distances {
            faults: self
                .faults
                .iter()
                .map(|fault| FaultFigures {
                    metres: fault.distance.to_f64(),
                    reflection: fault.reflection.to_f64(),
                })
                .collect(),
            left_out: self.left_out,
            resolution_m: self.resolution,
            separable_m: self.separable,
            reach_m: self.trace.last().map_or(0.0, |(metres, _)| metres.to_f64()),
        }
    }
}

fn end_name(end: CableEnd) -> &'static str {
    match end {
        CableEnd::Open => "open",
        CableEnd::Short => "short",
        _ => "load",
    }
}

impl LineFigures {
    /// What goes into the object of a sweep.
    pub fn json(&self, object: &mut Value) {
        object["cable_taken_out"] = self.taken_out.as_ref().map_or(Value::Null, |line| {
            json!({
                "length_m": line.metres,
                "velocity_factor": line.velocity,
                "impedance_ohm": line.ohms,
                "loss_db": line.loss_db,
                "at_hz": line.at_hz,
            })
        });
        object["cable"] = match &self.cable {
            Some(Ok(cable)) => json!({
                "end": end_name(cable.end),
                "delay_s": cable.delay_s,
                "length_m": cable.length_m,
                "velocity_factor": self.velocity,
                "impedance_ohm": cable.impedance_ohm,
                "loss_db": cable.loss_db,
                "at_hz": cable.at_hz,
                "end_reflection": cable.end_reflection,
                "loss_against_frequency": cable.losses.iter().map(|(hertz, loss)| json!({
                    "frequency_hz": hertz,
                    "loss_db": loss,
                })).collect::<Vec<_>>(),
            }),
            _ => Value::Null,
        };
        if let Some(Err(cause)) = &self.cable {
            object["no_cable"] = json!(cause);
        }
        if self.is_asked() {
            object["points_filled_in"] = json!(self.filled);
        }
        object["faults"] = match &self.distances {
            Some(Ok(distances)) => distances
                .faults
                .iter()
                .map(|fault| json!({ "metres": fault.metres, "reflection": fault.reflection }))
                .collect(),
            _ => Value::Null,
        };
        match &self.distances {
            Some(Ok(distances)) => {
                object["distance"] = json!({
                    "resolution_m": distances.resolution_m,
                    "separable_m": distances.separable_m,
                    "searched_m": distances.reach_m,
                    "faults_left_out": distances.left_out,
                });
            }
            Some(Err(cause)) => object["no_faults"] = json!(cause),
            None => {}
        }
    }

    fn is_asked(&self) -> bool {
        self.cable.is_some() || self.distances.is_some()
    }

    /// Labels and sentences.
    pub fn paragraphs(&self) -> Vec<(&'static str, String)> {
        let mut told = Vec::new();
        if let Some(line) = &self.taken_out {
            let loss = if line.loss_db > 0.0 {
                format!("{:.2} dB at {}", line.loss_db, output::hertz(line.at_hz))
            } else {
                "no loss".into()
            };
            told.push((
                "Taken out",
                format!(
                    "{} m of cable of {} Ω, velocity factor {}, {loss} one way: all that follows is at its far end.",
                    output::trimmed(line.metres, 3),
                    output::trimmed(line.ohms, 2),
                    output::trimmed(line.velocity, 3)
                ),
            ));
        }
        match &self.cable {
            None => {}
            Some(Err(cause)) => told.push(("Cable", format!("not measured: {cause}."))),
            Some(Ok(cable)) => told.push(("Cable", sentence(cable, self.velocity))),
        }
        match &self.distances {
            None => {}
            Some(Err(cause)) => told.push(("Reflections", format!("not searched for: {cause}."))),
            Some(Ok(distances)) => told.push(("Reflections", distances.sentence())),
        }
        if self.is_asked() && self.filled > 0 {
            let text = format!(
                "{} points that the even grid lacks, by straight lines between their neighbours.",
                self.filled
            );
            told.push(("Filled in", text));
        }
        if self.is_asked() {
            told.push((
                "Caution",
                "take a cable off the transmitter before you measure it, and everything else that may send power into \
                 it; a long cable or an antenna may hold a static charge: discharge it first."
                    .into(),
            ));
        }
        told
    }
}

fn sentence(cable: &CableFigures, velocity: Option<f64>) -> String {
    let length = match (cable.length_m, velocity) {
        (Some(metres), Some(factor)) => format!(
            "{metres:.3} m long at a velocity factor of {}, {:.3} ns one way",
            output::trimmed(factor, 3),
            1e9 * cable.delay_s
        ),
        _ => format!(
            "{:.3} ns long, one way (give --velocity for metres)",
            1e9 * cable.delay_s
        ),
    };
    let impedance = match cable.impedance_ohm {
        Some(ohms) => format!("{ohms:.1} Ω where it begins"),
        None => "too short for this span to tell its impedance".into(),
    };
    let loss = match (cable.loss_db, cable.losses.first(), cable.losses.last()) {
        (Some(loss), Some(first), Some(last)) => format!(
            "it loses {loss:.2} dB one way at {} ({:.2} dB at {}, {:.2} dB at {})",
            output::hertz(cable.at_hz),
            first.1,
            output::hertz(first.0),
            last.1,
            output::hertz(last.0)
        ),
        _ if cable.end == CableEnd::Load => {
            "its loss shows with an open or a short at the end, not with a load".into()
        }
        _ => "its loss does not show".into(),
    };
    format!(
        "by the echo of the {} at its end, which comes back with |reflection coefficient| {:.3}: {length}; {impedance}; \
         {loss}.",
        end_name(cable.end),
        cable.end_reflection
    )
}

impl Distances {
    fn sentence(&self) -> String {
        let list: Vec<String> = self
            .faults
            .iter()
            .map(|fault| format!("{:.2} m ({:.3})", fault.metres, fault.reflection))
            .collect();
        let found = if list.is_empty() {
            "nothing stands out".into()
        } else {
            format!(
                "at {}: the distance, and |reflection coefficient| as it is seen from here, loss included",
                list.join(", ")
            )
        };
        let more = match self.left_out {
            0 => String::new(),
            count => format!("; {count} weaker ones are left out"),
        };
        format!(
            "{found}{more}. The span tells two apart from {:.2} m on; searched to {:.1} m. Beyond a strong one weaker \
             images of it may follow, at twice its distance and so on.",
            self.separable_m, self.reach_m
        )
    }
}
