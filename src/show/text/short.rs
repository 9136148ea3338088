//! Lines for displays of sixteen columns, such as those of two lines, and for the rooms of a small screen.
//!
//! Each line fits in sixteen columns, whatever it says, and none gives up a sign, a unit or a digit that tells something.
//! Where a label does not fit beside a long value, the value stands alone. In a wider buffer the value goes to the right
//! end, as in [`text`](super). Of the lines there, [`frequency`](super::frequency), [`swr`](super::swr),
//! [`return_loss`](super::return_loss), [`mismatch_loss`](super::mismatch_loss), [`magnitude`](super::magnitude),
//! [`phase`](super::phase) and those of parts fit as they are.
//!
//! ```
//! use ohmwright::fixed_point::Impedance;
//! use ohmwright::show::text::short;
//!
//! let mut line = [b' '; 16];
//! assert_eq!(short::impedance(&mut line, Impedance::new(50, 25)?)?, "Z 50.0+j25.0 ohm");
//! assert_eq!(short::impedance(&mut line, Impedance::new(1600, -5)?)?, "Z    1600-j5 ohm");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use super::super::number::{Significant, Writer};
use super::step::{LEAVE, TOLD, is_inductor, moved, shown_factor};
use super::{Fit, TextError, first_fit, hertz, is_saturated, word};
use crate::arithmetic::{Arithmetic, Quantity};
use crate::measure::detector::{Channel, DetectorError};
use crate::measure::{
    Action, AddedPart, NextStep, Placement, Reason, SweepQuality, SweepReport, Target, Toward,
};
use crate::quantity::{Hertz, Impedance, Reflection};

impl<'a> Writer<'a> {
    /// R and X to the same decimal, three digits of the larger one, four above 1 kΩ.
    fn short_impedance<A: Arithmetic>(&mut self, load: Impedance<A>) {
        const FITS: &[Fit] = &[
            Fit(7, 1_000),
            Fit(8, 1_000),
            Fit(9, 10_000),
            Fit(11, 1_000),
            Fit(12, 1_000),
        ];
        if load.is_open() || load.resistance().is_at_end() || load.reactance().is_at_end() {
            return self.words("open");
        }
        let (resistance, reactance) = (load.resistance().billionths(), load.reactance().billionths());
        let size = reactance.saturating_abs();
        let without = match first_fit(size.max(resistance.saturating_abs()), FITS) {
            0 => return self.words(">999 kohm"),
            without => without,
        };
        let (unit, places) = if without > 9 { (" kohm", 12u8) } else { (" ohm", 9) };
        let decimals = places.wrapping_sub(without).into();
        self.words(unit);
        self.number(decimals, size, without);
        self.words(if reactance < 0 { "-j" } else { "+j" });
        self.number(decimals, resistance, without);
    }

    /// An SWR of four to six columns; an infinite one is above all that can be shown.
    fn tight_swr<A: Arithmetic>(&mut self, gamma: Reflection<A>) {
        let swr = gamma.swr();
        if gamma.is_total() || !swr.is_finite() || is_saturated(swr) {
            self.words(">65535");
        } else {
            self.scale(swr.billionths());
        }
    }
}

/// `Z 50.0+j25.0 ohm`: three digits of the larger part, four above 1 kΩ, and the other to the same decimal.
///
/// Where the label does not fit, it is left out: `-9.99-j9.99 ohm`, `12.3-j45.6 kohm`. `open` for an open; `>999 kohm` where
/// a part is above a megohm.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn impedance<A: Arithmetic>(line: &mut [u8], load: Impedance<A>) -> Result<&str, TextError> {
    let mut text = Writer::new(line);
    text.short_impedance(load);
    if text.finish("Z").is_ok() {
        return Ok(text.text());
    }
    text.restart();
    text.short_impedance(load);
    text.label("")
}

/// `fail    SWR 2.30`: verdict and SWR at the target; without a target, or where it was not swept, the SWR of the best
/// point.
///
/// - `pass`, `fail`: at the target;
/// - `not swept`: the target lies outside, and there is no SWR to be told;
/// - `best`: no target; `best?` if the sweep does not resolve the dip; `edge` if the best point is the first or the last;
/// - `no sweep`: nothing was measured.
///
/// In less than sixteen columns the letters `SWR` may be left out: `fail 2.30`. An SWR that is infinite or beyond its word
/// is `>65535`. Eleven columns hold every line.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn verdict<'a, A: Arithmetic, const N: usize>(
    line: &'a mut [u8],
    report: &SweepReport<A, N>,
) -> Result<&'a str, TextError> {
    let (label, gamma) = match (report.target(), report.best()) {
        (_, None) => return word(line, "", "no sweep"),
        (Target::NotCovered(_), _) => return word(line, "", "not swept"),
        (Target::Reading(reading), _) => (if reading.pass { "pass" } else { "fail" }, reading.reflection),
        (Target::NotAsked, Some(dip)) => {
            let label = match dip.unresolved {
                _ if dip.at_edge => "edge",
                Some(_) => "best?",
                None => "best",
            };
            (label, dip.reflection)
        }
    };
    let mut text = Writer::new(line);
    text.tight_swr(gamma);
    text.words("SWR ");
    if text.finish(label).is_ok() {
        return Ok(text.text());
    }
    text.restart();
    text.tight_swr(gamma);
    text.label(label)
}

/// A label and a frequency with as many digits as fit, six, four or three.
fn fitted<'a>(line: &'a mut [u8], label: &str, frequency: Hertz) -> Result<&'a str, TextError> {
    let count = i64::try_from(frequency.get()).unwrap_or(i64::MAX);
    let mut text = Writer::new(line);
    for digits in [Significant::SIX, Significant::FOUR] {
        text.restart();
        text.engineering(count, 0, digits, "Hz");
        if text.finish(label).is_ok() {
            return Ok(text.text());
        }
    }
    text.restart();
    text.engineering(count, 0, Significant::THREE, "Hz");
    text.label(label)
}

/// `at   71.0000 MHz`: the frequency of the [`verdict`]: of the target, or of the best point; blank before the
/// first point. Six digits; four or three in less than fourteen columns.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn place<'a, A: Arithmetic, const N: usize>(
    line: &'a mut [u8],
    report: &SweepReport<A, N>,
) -> Result<&'a str, TextError> {
    match (report.target(), report.best()) {
        (Target::Reading(reading), _) => fitted(line, "at", reading.frequency),
        (Target::NotCovered(frequency), _) => fitted(line, "at", frequency),
        (Target::NotAsked, Some(dip)) => fitted(line, "at", dip.frequency),
        (Target::NotAsked, None) => word(line, "", ""),
    }
}

/// `dip  66.5123 MHz`: the frequency of the best dip.
///
/// `dip?` if the sweep does not resolve it; `edge` if there is none and the best point is the first or the last of the
/// sweep; `no dip` before the first point. Six digits; four or three in less than sixteen columns.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn dip<'a, A: Arithmetic, const N: usize>(
    line: &'a mut [u8],
    report: &SweepReport<A, N>,
) -> Result<&'a str, TextError> {
    match report.best() {
        None => word(line, "", "no dip"),
        Some(dip) if dip.at_edge => fitted(line, "edge", dip.frequency),
        Some(dip) if dip.unresolved.is_some() => fitted(line, "dip?", dip.frequency),
        Some(dip) => fitted(line, "dip", dip.frequency),
    }
}

/// `band    6.60 MHz`: how wide the band is in which the SWR keeps its limit; of several the one with the best dip, else
/// the first.
///
/// `>6.60 MHz` if it goes on outside of the sweep, `band        none` where no point keeps the limit. Three digits.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn band<'a, A: Arithmetic, const N: usize>(
    line: &'a mut [u8],
    report: &SweepReport<A, N>,
) -> Result<&'a str, TextError> {
    let bands = report.bands();
    let holds = |at: Hertz| bands.iter().find(|band| band.band().contains(at));
    let best = report.best().and_then(|dip| holds(dip.frequency));
    let Some(band) = best.or(bands.first()) else {
        return word(line, "band", "none");
    };
    let mut text = Writer::new(line);
    text.hertz(band.width());
    if band.low_open || band.high_open {
        text.push(b'>');
    }
    text.label("band")
}

/// `from 63.4123 MHz` and `to   70.0221 MHz`: the edges of a band, six digits.
///
/// # Errors
/// [`TextError::BufferTooShort`]; both lines are written, one that is too short is blank.
pub fn band_edges(lines: [&mut [u8]; 2], low: Hertz, high: Hertz) -> Result<(), TextError> {
    let [first, second] = lines;
    let one = hertz(first, "from", low).map(|_| ());
    let other = hertz(second, "to", high).map(|_| ());
    one.and(other)
}

/// What to do next, in sixteen columns.
///
/// | line | what |
/// | --- | --- |
/// | `less C    x0.904` | move the element: new value over old; also `turns`, `longer` and so on |
/// | `turns      7 : 2` | other turns, primary : secondary |
/// | `series C 68.0 pF` | add a part; also `across L` and so on |
/// | `7:2 across C` | turns, and a part on the source's side of them; its value stands in [`added_part`] |
/// | `start   50.2 MHz` | start the sweep there; `stop` is its other end, `wider` says both, from there on |
/// | `leave it` | within the limit; `leave it no gain` where nothing leaves distinctly less |
/// | `not connected`, `short circuit`, `only a cable`, `flat load no dip`, `lossless load` | there is no dip to move |
/// | `noisy, try again`, `measure again`, `sweep finer`, `calibrate anew`, `calibrate first`, `sweep first` | measure again, after this |
/// | `take out cable` | then ask again |
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn next_step<'a, A: Arithmetic>(line: &'a mut [u8], step: &NextStep<A>) -> Result<&'a str, TextError> {
    let words = match (step.action, step.reason) {
        (Action::Move(retune), _) => {
            let Some(label) = moved(&retune, true) else {
                return word(line, "", LEAVE);
            };
            let mut text = Writer::new(line);
            shown_factor(&mut text, retune.factor);
            text.push(b'x');
            return text.label(label);
        }
        (Action::Turns(turns), _) => {
            let mut text = Writer::new(line);
            text.turns(turns, " : ");
            return text.label("turns");
        }
        (Action::Part(added), _) => return part(line, &added),
        (Action::TurnsAndPart(turns, added), _) => {
            let mut text = Writer::new(line);
            text.words(if is_inductor(added.part) { " L" } else { " C" });
            text.words(match added.place {
                Placement::Series => " series",
                Placement::Across => " across",
            });
            text.turns(turns, ":");
            return text.label("");
        }
        (Action::SweepWider { toward, until }, _) => {
            let mut text = Writer::new(line);
            text.hertz(until);
            return text.label(match toward {
                Toward::Lower => "start",
                Toward::Higher => "stop",
                Toward::Both => "wider",
            });
        }
        (Action::Leave, Reason::NothingGains) => return word(line, LEAVE, "no gain"),
        (Action::Leave, _) => LEAVE,
        (Action::TakeOutLine, _) => "take out cable",
        (Action::NoDip, Reason::Open) => "not connected",
        (Action::NoDip, Reason::Short) => "short circuit",
        (Action::NoDip, Reason::FlatLoad) => "flat load no dip",
        (Action::NoDip, Reason::CableEnd) => "only a cable",
        (Action::NoDip, Reason::NoResistance) => "lossless load",
        (Action::NoDip, _) => "no dip",
        (Action::MeasureAgain, Reason::Noise) => "noisy, try again",
        (Action::MeasureAgain, Reason::TooCoarse) => "sweep finer",
        (Action::MeasureAgain, Reason::BeyondRim) => "calibrate anew",
        (Action::MeasureAgain, Reason::Uncorrected) => "calibrate first",
        (Action::MeasureAgain, Reason::NoSweep) => "sweep first",
        (Action::MeasureAgain, _) => "measure again",
    };
    word(line, "", words)
}

/// `series C 68.0 pF`. The blank goes where the value has a sign for "more than".
fn part<'a, A: Arithmetic>(line: &'a mut [u8], added: &AddedPart<A>) -> Result<&'a str, TextError> {
    let label = match (added.place, is_inductor(added.part)) {
        (Placement::Series, true) => "series L",
        (Placement::Series, false) => "series C",
        (Placement::Across, true) => "across L",
        (Placement::Across, false) => "across C",
    };
    let mut text = Writer::new(line);
    text.value(added.part);
    if text.finish(label).is_ok() {
        return Ok(text.text());
    }
    text.restart();
    text.value(added.part);
    text.words(label);
    text.label("")
}

/// The part of a step that adds one: `across C 68.0 pF`; blank for any other step.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn added_part<'a, A: Arithmetic>(line: &'a mut [u8], step: &NextStep<A>) -> Result<&'a str, TextError> {
    match step.action {
        Action::Part(added) | Action::TurnsAndPart(_, added) => part(line, &added),
        _ => word(line, "", ""),
    }
}

/// `SWR 1.04 to 1.13`: the SWR that the step leaves at the target, from the best to the worst that noise and ripple allow;
/// for a step that leaves all as it is, what it is now. Blank where that is not known.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn expected<'a, A: Arithmetic>(line: &'a mut [u8], step: &NextStep<A>) -> Result<&'a str, TextError> {
    let Some(expected) = step.expected else {
        return word(line, "", "");
    };
    let mut text = Writer::new(line);
    text.short_swr(expected.most);
    text.words(" to ");
    text.short_swr(expected.least);
    text.label("SWR")
}

/// What is to be said of the readings, the gravest first, as in [`text::quality`](super::quality); blank where all is well.
///
/// `not corrected?`, `|refl|>1       3` (points), `sweep too coarse`, `left out       2` (points), `noise       0.03`,
/// `dip not resolved`, `ripple      0.05`. A count above 999 is `>999`.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn quality<'a, A: Arithmetic>(
    line: &'a mut [u8],
    quality: &SweepQuality<A>,
) -> Result<&'a str, TextError> {
    let noise = quality.noise.billionths();
    let ripple = quality.ripple.map_or(0, |ripple| ripple.size.billionths());
    let (label, size) = match quality {
        _ if quality.uncorrected => return word(line, "", "not corrected?"),
        _ if quality.beyond_rim > 0 => return points(line, "|refl|>1", quality.beyond_rim),
        _ if quality.too_coarse => return word(line, "", "sweep too coarse"),
        _ if quality.spoilt > 0 => return points(line, "left out", quality.spoilt),
        _ if noise > TOLD => ("noise", noise),
        _ if quality.unresolved > 0 => return word(line, "", "dip not resolved"),
        _ if ripple > TOLD => ("ripple", ripple),
        _ => return word(line, "", ""),
    };
    let mut text = Writer::new(line);
    text.scale(size);
    text.label(label)
}

fn points<'a>(line: &'a mut [u8], label: &str, count: u32) -> Result<&'a str, TextError> {
    const MOST: u32 = 999;
    let mut text = Writer::new(line);
    text.number(0, count.min(MOST).into(), 0);
    if count > MOST {
        text.push(b'>');
    }
    text.label(label)
}

/// Why a reading was refused: `overload     fwd`, `no signal    ref`, `too low      rev` and `too high     rev` (outside of
/// the table), `no triangle`, `out of range`; `not a reading` for what no count can cause.
///
/// The channels are `ref` and `refl` (reference and reflected wave), `fwd` and `rev` (the coupler's ports), `source`, `load`
/// and `across` (the three voltages).
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn refused<'a>(line: &'a mut [u8], error: &DetectorError) -> Result<&'a str, TextError> {
    let (label, channel) = match error {
        DetectorError::Overload(channel) => ("overload", channel),
        DetectorError::TooWeak(channel) => ("no signal", channel),
        DetectorError::BelowTable(channel) => ("too low", channel),
        DetectorError::AboveTable(channel) => ("too high", channel),
        DetectorError::NoTriangle => return word(line, "", "no triangle"),
        DetectorError::OutOfRange => return word(line, "", "out of range"),
        _ => return word(line, "", "not a reading"),
    };
    let name = match channel {
        Channel::Reference => "ref",
        Channel::Reflected => "refl",
        Channel::Forward => "fwd",
        Channel::Reverse => "rev",
        Channel::Source => "source",
        Channel::Load => "load",
        Channel::Across => "across",
    };
    word(line, label, name)
}
