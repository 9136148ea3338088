//! The lines of what to do next, of what that leaves, and of what is to be said of the readings.

use core::cmp::Ordering;

use super::super::number::{Significant, Writer};
use super::{TextError, word};
use crate::arithmetic::{Arithmetic, Quantity};
use crate::design::transformer::Turns;
use crate::measure::{
    Action, AddedPart, Direction, NextStep, Placement, Reason, Retune, SweepQuality, Toward, TuningElement,
};
use crate::quantity::{Hertz, Reactor, Swr};

/// What to do next.
///
/// | line | what |
/// | --- | --- |
/// | `less C       x 0.904` | move the element: new value over old, three decimals below 100, else fewer; also `more turns`, `longer` and so on |
/// | `turns          7 : 2` | other turns, primary : secondary; as the step says it, of the winding that is there or of a further transformer |
/// | `series C     68.0 pF` | add a part; three digits; also `across L` and so on |
/// | `7:2 across   68.0 pF` | turns, and a part on the source's side of them; without room for its value `7:2 across C` |
/// | `sweep from  50.2 MHz` | sweep lower, from there on; `sweep to` is higher, `wider from` on both sides |
/// | `leave it` | within the limit; `leave it     no gain` where nothing leaves distinctly less |
/// | `nothing connected`, `short circuit`, `open or short cable`, `flat load: no dip`, `no resistance` | there is no dip to move |
/// | `measure again  noise`, `measure again spoilt`, `sweep in finer steps`, `check calibration`, `calibrate first`, `sweep first` | measure again, after this |
/// | `take out the cable` | then ask again |
///
/// Twenty columns hold every line. A value beyond what can be shown has `>` in front.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn next_step<'a, A: Arithmetic>(line: &'a mut [u8], step: &NextStep<A>) -> Result<&'a str, TextError> {
    let words = match (step.action, step.reason) {
        (Action::Move(retune), _) => return moving(line, &retune),
        (Action::Turns(turns), _) => {
            let mut text = Writer::new(line);
            text.turns(turns, " : ");
            return text.label("turns");
        }
        (Action::Part(added), _) => return added_part(line, &added),
        (Action::TurnsAndPart(turns, added), _) => return turns_and_part(line, turns, &added),
        (Action::SweepWider { toward, until }, _) => return wider(line, toward, until),
        (Action::Leave, Reason::NothingGains) => return word(line, "leave it", "no gain"),
        (Action::Leave, _) => LEAVE,
        (Action::TakeOutLine, _) => "take out the cable",
        (Action::NoDip, Reason::Open) => "nothing connected",
        (Action::NoDip, Reason::Short) => "short circuit",
        (Action::NoDip, Reason::FlatLoad) => "flat load: no dip",
        (Action::NoDip, Reason::CableEnd) => "open or short cable",
        (Action::NoDip, Reason::NoResistance) => "no resistance",
        (Action::NoDip, _) => "no dip",
        (Action::MeasureAgain, Reason::Noise) => return word(line, AGAIN, "noise"),
        (Action::MeasureAgain, Reason::Spoilt) => return word(line, AGAIN, "spoilt"),
        (Action::MeasureAgain, Reason::TooCoarse) => "sweep in finer steps",
        (Action::MeasureAgain, Reason::BeyondRim) => "check calibration",
        (Action::MeasureAgain, Reason::Uncorrected) => "calibrate first",
        (Action::MeasureAgain, Reason::NoSweep) => "sweep first",
        (Action::MeasureAgain, _) => AGAIN,
    };
    word(line, "", words)
}

pub(super) const LEAVE: &str = "leave it";
const AGAIN: &str = "measure again";

/// `for SWR 1.04 to 1.13`: the SWR that the step leaves at the target, from the best to the worst that noise and ripple
/// allow; blank where that is not known before the next sweep.
///
/// For a step that leaves all as it is, `SWR     1.04 to 1.13`: what it is now. Two decimals below 10, one below 100,
/// none below 1000, `>999` above. Twenty columns hold every line.
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
    text.label(match step.action {
        Action::Leave => "SWR",
        _ => "for SWR",
    })
}

/// What is to be said of the readings, the gravest first; blank where all is well.
///
/// - `looks uncorrected`: [Γ turns the wrong way round](SweepQuality::uncorrected), or too much is beyond the rim;
/// - `|refl|>1    3 points`: samples [beyond the rim](SweepQuality::beyond_rim): check the calibration and the reference;
/// - `sweep too coarse`: [Γ turns too fast](SweepQuality::too_coarse) between the points;
/// - `left out    2 points`: samples that [fit none of their neighbours](SweepQuality::spoilt): measure again;
/// - `level high   3 points`: the receivers were [close to their limit](SweepQuality::level_high);
/// - `noise           0.03`: the [noise](SweepQuality::noise) as |Γ|, above 0.02;
/// - `level low    3 points`: the receivers had [little signal](SweepQuality::level_low);
/// - `dip not resolved`: the best point or a dip is [too narrow](SweepQuality::unresolved) for the steps: sweep finer
///   there;
/// - `ripple 0.05 7.14 MHz`: the [ripple](SweepQuality::ripple) as |Γ|, above 0.02, and the frequency from crest to
///   crest; without room for that `ripple          0.05`.
///
/// A count above 999 is `>999`. Twenty columns hold every line.
///
/// Without a survey of the sweep, that of an empty one says what the report knows:
/// `SweepSurvey::new().quality(&report)`.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn quality<'a, A: Arithmetic>(
    line: &'a mut [u8],
    quality: &SweepQuality<A>,
) -> Result<&'a str, TextError> {
    let noise = quality.noise.billionths();
    let ripple = quality
        .ripple
        .map(|ripple| (ripple.size.billionths(), ripple.period));
    match ripple {
        _ if quality.uncorrected => word(line, "", "looks uncorrected"),
        _ if quality.beyond_rim > 0 => points(line, "|refl|>1", quality.beyond_rim),
        _ if quality.too_coarse => word(line, "", "sweep too coarse"),
        _ if quality.spoilt > 0 => points(line, "left out", quality.spoilt),
        _ if quality.level_high > 0 => points(line, "level high", quality.level_high),
        _ if noise > TOLD => {
            let mut text = Writer::new(line);
            text.scale(noise);
            text.label("noise")
        }
        _ if quality.level_low > 0 => points(line, "level low", quality.level_low),
        _ if quality.unresolved > 0 => word(line, "", "dip not resolved"),
        Some((size, period)) if size > TOLD => self::ripple(line, size, period),
        _ => word(line, "", ""),
    }
}

/// Noise and ripple up to this, in billionths, are left unsaid: they move an SWR of 1 to 1.04. It is twice the noise that
/// the analyser expects of an instrument unless it is told otherwise.
pub(super) const TOLD: i64 = 20_000_000;

impl Writer<'_> {
    pub(super) fn turns(&mut self, turns: Turns, between: &str) {
        self.number(0, turns.secondary().into(), 0);
        self.words(between);
        self.number(0, turns.primary().into(), 0);
    }

    /// Four columns at most.
    #[inline(never)]
    pub(super) fn short_swr<A: Arithmetic>(&mut self, swr: Swr<A>) {
        const NO_DECIMALS: i64 = 99_950_000_000;
        const TOO_MUCH: i64 = 999_500_000_000;
        match swr.billionths() {
            _ if is_no_size(swr) => self.words("?"),
            _ if swr.is_at_end() => self.words(">999"),
            TOO_MUCH.. => self.words(">999"),
            count @ NO_DECIMALS.. => self.number(0, count, 9),
            // Below 10 two decimals, else one.
            count => self.scale(count),
        }
    }

    /// The value of a part, three digits.
    #[inline(never)]
    pub(super) fn value<A: Arithmetic>(&mut self, part: Reactor<A>) {
        let less = |places: i32| if A::FAMILY.is_fixed() { places } else { 0 };
        match part {
            Reactor::Inductor(coil) => self.word(coil.get(), less(12), Significant::THREE, "H"),
            Reactor::Capacitor(capacitor) => self.word(capacitor.get(), less(15), Significant::THREE, "F"),
        }
    }

    pub(super) fn hertz(&mut self, frequency: Hertz) {
        let count = i64::try_from(frequency.get()).unwrap_or(i64::MAX);
        self.engineering(count, 0, Significant::THREE, "Hz");
    }
}

/// Negative or a NaN: no step has it, but a field can be given it.
fn is_no_size<Q: Quantity>(value: Q) -> bool {
    !matches!(
        value.partial_cmp(&Q::ZERO),
        Some(Ordering::Greater | Ordering::Equal)
    )
}

/// What is moved, and which way; `short` leaves the way of turns to the factor. `None` for a step that keeps it.
pub(super) fn moved<A: Arithmetic>(retune: &Retune<A>, short: bool) -> Option<&'static str> {
    Some(match (retune.direction, retune.element) {
        (Direction::Keep, _) => return None,
        (Direction::Less, TuningElement::Inductance) => "less L",
        (Direction::More, TuningElement::Inductance) => "more L",
        (Direction::Less, TuningElement::Capacitance) => "less C",
        (Direction::More, TuningElement::Capacitance) => "more C",
        (_, TuningElement::Turns) if short => "turns",
        (Direction::Less, TuningElement::Turns) => "fewer turns",
        (Direction::More, TuningElement::Turns) => "more turns",
        (Direction::Less, TuningElement::Length) => "shorter",
        (Direction::More, TuningElement::Length) => "longer",
    })
}

/// The factor of a move, in six columns at most.
pub(super) fn shown_factor<Q: Quantity>(text: &mut Writer<'_>, factor: Q) {
    const FEWER_DECIMALS: i64 = 99_999_500_000;
    match factor.billionths() {
        _ if is_no_size(factor) => text.words("?"),
        // The largest factor in fixed point.
        FEWER_DECIMALS.. if factor.is_at_end() => text.words(">65535"),
        count @ FEWER_DECIMALS.. => text.scale(count),
        count => text.number(3, count, 6),
    }
}

/// `less C       x 0.904`.
fn moving<'a, A: Arithmetic>(line: &'a mut [u8], retune: &Retune<A>) -> Result<&'a str, TextError> {
    let Some(label) = moved(retune, false) else {
        return word(line, "", LEAVE);
    };
    let mut text = Writer::new(line);
    shown_factor(&mut text, retune.factor);
    text.words("x ");
    text.label(label)
}

pub(super) fn is_inductor<A: Arithmetic>(part: Reactor<A>) -> bool {
    matches!(part, Reactor::Inductor(_))
}

/// `series C     68.0 pF`.
fn added_part<'a, A: Arithmetic>(line: &'a mut [u8], added: &AddedPart<A>) -> Result<&'a str, TextError> {
    let mut text = Writer::new(line);
    text.value(added.part);
    text.label(match (added.place, is_inductor(added.part)) {
        (Placement::Series, true) => "series L",
        (Placement::Series, false) => "series C",
        (Placement::Across, true) => "across L",
        (Placement::Across, false) => "across C",
    })
}

/// `7:2 across   68.0 pF`.
fn turns_and_part<'a, A: Arithmetic>(
    line: &'a mut [u8],
    turns: Turns,
    added: &AddedPart<A>,
) -> Result<&'a str, TextError> {
    // The longest is `255:255 across`.
    let mut room = [b' '; 14];
    let mut label = Writer::new(&mut room);
    label.words(match added.place {
        Placement::Series => " series",
        Placement::Across => " across",
    });
    label.turns(turns, ":");
    let label = label.text();
    let mut text = Writer::new(line);
    text.value(added.part);
    if text.finish(label).is_err() {
        text.restart();
        text.words(if is_inductor(added.part) { "L" } else { "C" });
        return text.label(label);
    }
    Ok(text.text())
}

/// `sweep from  50.2 MHz`.
fn wider(line: &mut [u8], toward: Toward, until: Hertz) -> Result<&str, TextError> {
    let mut text = Writer::new(line);
    text.hertz(until);
    text.label(match toward {
        Toward::Lower => "sweep from",
        Toward::Higher => "sweep to",
        Toward::Both => "wider from",
    })
}

/// `ripple 0.05 7.14 MHz`.
fn ripple(line: &mut [u8], size: i64, period: Hertz) -> Result<&str, TextError> {
    let mut text = Writer::new(line);
    text.hertz(period);
    text.words(" ");
    text.scale(size);
    if period == Hertz::new(0) || text.finish(RIPPLE).is_err() {
        text.restart();
        text.scale(size);
        return text.label(RIPPLE);
    }
    Ok(text.text())
}

const RIPPLE: &str = "ripple";

/// How many points, at least one.
#[inline(never)]
fn points<'a>(line: &'a mut [u8], label: &str, count: u32) -> Result<&'a str, TextError> {
    const MOST: u32 = 999;
    let mut text = Writer::new(line);
    text.words(if count == 1 { " point" } else { " points" });
    text.number(0, count.min(MOST).into(), 0);
    if count > MOST {
        text.push(b'>');
    }
    text.label(label)
}
