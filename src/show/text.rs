//! One quantity, one line: a label at the left, the value with its unit at the right, blanks between.
//!
//! Each function fills the caller's buffer completely with ASCII, so that a new line covers an older one, and returns
//! it as text. The buffer's length is the width of the screen; 20 columns are enough for every line except the
//! impedance of a load far from 50 Ω. If a line does not fit, the result is an error and a blank line, so that neither
//! a part of a number nor an older one can be taken for a reading.
//!
//! Numbers are rounded first, halves away from zero, and the prefix is chosen for the rounded number. There is a space
//! between number and unit, none between prefix and unit (NIST Special Publication 811, 2008, chapters 6 and 7).
//! Nothing of `core::fmt` is linked, and no division.
//!
//! ```
//! use ohmwright::fixed_point::{Inductance, Reference, Reflection};
//! use ohmwright::quantity::Hertz;
//! use ohmwright::show::text;
//!
//! let gamma = Reflection::from_bits(0, 1 << 29); // j0.5
//! let mut line = [b' '; 20];
//! assert_eq!(text::frequency(&mut line, Hertz::from_megahertz(71))?, "f        71.0000 MHz");
//! assert_eq!(text::swr(&mut line, gamma)?, "SWR             3.00");
//! assert_eq!(text::return_loss(&mut line, gamma)?, "RL           6.02 dB");
//! assert_eq!(text::impedance(&mut line, gamma.impedance(Reference::fifty()))?, "Z    30.0 +j40.0 ohm");
//! assert_eq!(text::inductance(&mut line, Inductance::from_picohenries(89_660))?, "L           89.66 nH");
//!
//! // Four columns are too few: the error states the number needed, and the line is blank.
//! let error = text::swr(&mut line[..4], gamma);
//! assert_eq!(error, Err(text::TextError::BufferTooShort(8)));
//! # Ok::<(), text::TextError>(())
//! ```
//!
//! The limits are shown: an open is `open`, total reflection has the SWR `infinite`, a saturated word shows `>`, and an
//! undefined value (the phase at Γ = 0) is `unknown`.

mod interval;
pub mod short;
mod step;

use core::fmt;

use super::number::{Significant, Writer, rounded, unknown_length};
use crate::arithmetic::{Arithmetic, Quantity};
use crate::measure::{SweepReport, Target};
use crate::quantity::{
    Amperes, Capacitance, Component, Hertz, Impedance, Inductance, Metres, Reactor, Reference, Reflection,
    Volts, Watts,
};

pub use interval::{swr_interval, verdict_within};
pub use step::{expected, next_step, quality};

/// Why a line was not written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum TextError {
    /// The buffer is too short, and blank now; this is the number of bytes needed.
    BufferTooShort(usize),
}

impl fmt::Display for TextError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BufferTooShort(bytes) => write!(f, "the buffer is too short: the line needs {bytes} bytes"),
        }
    }
}

impl core::error::Error for TextError {}

/// A line with a text at its right end.
#[inline(never)]
fn word<'a>(line: &'a mut [u8], label: &str, word: &str) -> Result<&'a str, TextError> {
    let mut text = Writer::new(line);
    text.words(word);
    text.label(label)
}

/// The number of digits dropped, and the limit that the rounded rest must stay below.
struct Fit(u8, u32);

/// The digits to drop by the first entry that holds the count; 0 if none does.
#[inline(never)]
fn first_fit(count: i64, fits: &[Fit]) -> u8 {
    unknown_length(fits)
        .iter()
        .find(|Fit(without, limit)| rounded(count.unsigned_abs(), *without) < u64::from(*limit))
        .map_or(0, |Fit(without, _)| *without)
}

/// True for a word at its end that can be shown: not for the zero at which an unsigned one begins, nor for infinity.
fn is_saturated<Q: Quantity>(value: Q) -> bool {
    value.is_finite() && value.is_at_end() && value != Q::ZERO
}

impl<'a> Writer<'a> {
    /// The whole line, with its label.
    fn label(mut self, label: &str) -> Result<&'a str, TextError> {
        self.finish(label).map_err(TextError::BufferTooShort)?;
        Ok(self.text())
    }

    /// Two decimals below 10, one below 1000, none above. Five digits at most.
    #[inline(never)]
    fn scale(&mut self, billionths: i64) {
        const FITS: &[Fit] = &[Fit(7, 1_000), Fit(8, 10_000), Fit(9, 100_000)];
        match first_fit(billionths, FITS) {
            0 => self.words(if billionths < 0 { "<-99999" } else { ">99999" }),
            without => self.number(9u8.wrapping_sub(without).into(), billionths, without),
        }
    }

    /// A ratio that is never negative; if its word is saturated, the text for that.
    #[inline(never)]
    fn ratio<Q: Quantity>(&mut self, value: Q, infinite: bool) {
        if infinite || !value.is_finite() {
            self.words("infinite");
        } else if is_saturated(value) {
            self.decimals(value, 0);
            self.push(b'>');
        } else {
            self.scale(value.billionths());
        }
    }

    /// Decibels, with their unit.
    #[inline(never)]
    fn decibels<Q: Quantity>(&mut self, value: Q) {
        self.words(" dB");
        if !value.is_at_end() {
            return self.scale(value.billionths());
        }
        self.words("infinite");
        if value == Q::MIN {
            self.push(b'-');
        }
    }

    fn decimals<Q: Quantity>(&mut self, value: Q, decimals: u8) {
        self.number(decimals.into(), value.billionths(), 9u8.wrapping_sub(decimals));
    }

    /// A word with its unit; one of it is 10^−`less` of the unit.
    #[inline(never)]
    fn word<Q: Quantity>(&mut self, value: Q, less: i32, significant: Significant, unit: &str) {
        let (count, places) = value.decimal();
        let places = places.wrapping_add(less);
        if value.partial_cmp(&value).is_none() {
            // A NaN.
            self.words("unknown");
        } else if is_saturated(value) {
            self.saturated(count, places, significant, unit);
        } else {
            self.engineering(count, places, significant, unit);
        }
    }

    fn frequency(&mut self, frequency: Hertz) {
        let count = i64::try_from(frequency.get()).unwrap_or(i64::MAX);
        self.engineering(count, 0, Significant::SIX, "Hz");
    }

    fn swr<A: Arithmetic>(&mut self, gamma: Reflection<A>) {
        self.ratio(gamma.swr(), gamma.is_total());
    }

    /// Both parts to the same decimal.
    #[inline(never)]
    fn impedance<A: Arithmetic>(&mut self, load: Impedance<A>) {
        // In ohms, and in kilohms.
        const FITS: &[Fit] = &[
            Fit(7, 1_000),
            Fit(8, 1_000),
            Fit(9, 10_000),
            Fit(11, 1_000),
            Fit(12, u32::MAX),
        ];
        if load.is_open() || load.resistance().is_at_end() || load.reactance().is_at_end() {
            return self.words("open");
        }
        let (resistance, reactance) = (load.resistance().billionths(), load.reactance().billionths());
        let size = reactance.saturating_abs();
        let without = first_fit(size.max(resistance.saturating_abs()), FITS);
        let (unit, places) = if without > 9 { (" kohm", 12u8) } else { (" ohm", 9) };
        let decimals = places.wrapping_sub(without).into();
        self.words(unit);
        self.number(decimals, size, without);
        self.words(if reactance < 0 { " -j" } else { " +j" });
        self.number(decimals, resistance, without);
    }
}

/// The word of a quantity, three digits.
#[inline(never)]
fn quantity<'a, Q: Quantity>(
    line: &'a mut [u8],
    label: &str,
    value: Q,
    unit: &str,
) -> Result<&'a str, TextError> {
    let mut text = Writer::new(line);
    text.word(value, 0, Significant::THREE, unit);
    text.label(label)
}

/// Ohms, three digits; a saturated word is an open.
fn ohms<'a, Q: Quantity>(line: &'a mut [u8], label: &str, value: Q) -> Result<&'a str, TextError> {
    if value.is_at_end() {
        return word(line, label, "open");
    }
    quantity(line, label, value, "ohm")
}

/// `f        71.0000 MHz`: six digits.
pub fn frequency(line: &mut [u8], frequency: Hertz) -> Result<&str, TextError> {
    hertz(line, "f", frequency)
}

fn hertz<'a>(line: &'a mut [u8], label: &str, frequency: Hertz) -> Result<&'a str, TextError> {
    let mut text = Writer::new(line);
    text.frequency(frequency);
    text.label(label)
}

/// `SWR             1.64`: two decimals below 10, one below 1000, none above; `infinite` at total reflection.
///
/// Above five digits it is `>99999`; a saturated word is `>65536`.
pub fn swr<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    let mut text = Writer::new(line);
    text.swr(gamma);
    text.label("SWR")
}

/// `RL           12.3 dB`: return loss, negative with gain, `infinite` at the match.
pub fn return_loss<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    let mut text = Writer::new(line);
    text.decibels(gamma.return_loss());
    text.label("RL")
}

/// `ML           0.26 dB`: mismatch loss, `infinite` at total reflection.
pub fn mismatch_loss<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    let mut text = Writer::new(line);
    text.decibels(gamma.mismatch_loss());
    text.label("ML")
}

/// `|refl|         0.243`: the magnitude of Γ, three decimals.
pub fn magnitude<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    let size = gamma.magnitude();
    let mut text = Writer::new(line);
    text.decimals(size, 3);
    if size.is_at_end() {
        text.push(b'>');
    }
    text.label("|refl|")
}

/// `phase      -14.0 deg`: the angle of Γ, one decimal; `unknown` at the match, where there is none.
pub fn phase<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    let nothing = gamma.real() == Component::<A>::ZERO && gamma.imaginary() == Component::<A>::ZERO;
    if nothing {
        return word(line, "phase", "unknown");
    }
    let mut text = Writer::new(line);
    text.words(" deg");
    text.decimals(gamma.phase(), 1);
    text.label("phase")
}

/// `Q               1.25`: |X|/|R|; `infinite` without resistance.
pub fn q<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    let lossless = gamma.is_total() && !gamma.is_active() && gamma.imaginary() != Component::<A>::ZERO;
    let mut text = Writer::new(line);
    text.ratio(gamma.q(), lossless);
    text.label("Q")
}

/// `R           50.0 ohm`: three digits with a prefix; `open` for an open.
pub fn resistance<A: Arithmetic>(line: &mut [u8], load: Impedance<A>) -> Result<&str, TextError> {
    ohms(line, "R", load.resistance())
}

/// `X          -25.0 ohm`: three digits with a prefix; `open` for an open.
pub fn reactance<A: Arithmetic>(line: &mut [u8], load: Impedance<A>) -> Result<&str, TextError> {
    if load.is_open() {
        return word(line, "X", "open");
    }
    ohms(line, "X", load.reactance())
}

/// `|Z|         55.9 ohm`: three digits with a prefix; `open` for an open.
pub fn impedance_magnitude<A: Arithmetic>(
    line: &mut [u8],
    gamma: Reflection<A>,
    reference: Reference<A>,
) -> Result<&str, TextError> {
    ohms(line, "|Z|", gamma.impedance_magnitude(reference))
}

/// `Z    50.0 +j25.0 ohm`: both parts to the same decimal: three digits of the larger one, four above 1 kΩ.
pub fn impedance<A: Arithmetic>(line: &mut [u8], load: Impedance<A>) -> Result<&str, TextError> {
    let mut text = Writer::new(line);
    text.impedance(load);
    text.label("Z")
}

/// `L           38.98 nH`: four digits.
pub fn inductance<A: Arithmetic>(line: &mut [u8], coil: Inductance<A>) -> Result<&str, TextError> {
    let mut text = Writer::new(line);
    let less = if A::FAMILY.is_fixed() { 12 } else { 0 };
    text.word(coil.get(), less, Significant::FOUR, "H");
    text.label("L")
}

/// `C           22.28 pF`: four digits.
pub fn capacitance<A: Arithmetic>(line: &mut [u8], capacitor: Capacitance<A>) -> Result<&str, TextError> {
    let mut text = Writer::new(line);
    let less = if A::FAMILY.is_fixed() { 15 } else { 0 };
    text.word(capacitor.get(), less, Significant::FOUR, "F");
    text.label("C")
}

/// A coil or a capacitor, with the label `L` or `C`.
pub fn part<A: Arithmetic>(line: &mut [u8], part: Reactor<A>) -> Result<&str, TextError> {
    match part {
        Reactor::Inductor(coil) => inductance(line, coil),
        Reactor::Capacitor(capacitor) => capacitance(line, capacitor),
    }
}

/// A voltage with the caller's label, three digits.
pub fn voltage<'a, A: Arithmetic>(
    line: &'a mut [u8],
    label: &str,
    volts: Volts<A>,
) -> Result<&'a str, TextError> {
    quantity(line, label, volts, "V")
}

/// A current with the caller's label, three digits.
pub fn current<'a, A: Arithmetic>(
    line: &'a mut [u8],
    label: &str,
    amperes: Amperes<A>,
) -> Result<&'a str, TextError> {
    quantity(line, label, amperes, "A")
}

/// A power with the caller's label, three digits.
pub fn power<'a, A: Arithmetic>(
    line: &'a mut [u8],
    label: &str,
    watts: Watts<A>,
) -> Result<&'a str, TextError> {
    quantity(line, label, watts, "W")
}

/// A length with the caller's label, three digits.
pub fn length<'a, A: Arithmetic>(
    line: &'a mut [u8],
    label: &str,
    metres: Metres<A>,
) -> Result<&'a str, TextError> {
    quantity(line, label, metres, "m")
}

/// Four lines: frequency, SWR, return loss and impedance.
///
/// # Errors
/// The first buffer that is too short for its line, which is then blank; the others are written.
pub fn summary<A: Arithmetic>(
    lines: [&mut [u8]; 4],
    at: Hertz,
    gamma: Reflection<A>,
    reference: Reference<A>,
) -> Result<(), TextError> {
    // Nobody needs these as a `str`, so no check of UTF-8 is linked for them.
    let mut lines = lines.map(Writer::new);
    let [first, second, third, fourth] = &mut lines;
    first.frequency(at);
    second.swr(gamma);
    third.decibels(gamma.return_loss());
    fourth.impedance(gamma.impedance(reference));
    // All of them, also after one that is too short: no older line may remain.
    let ends = [
        first.finish("f"),
        second.finish("SWR"),
        third.finish("RL"),
        fourth.finish("Z"),
    ];
    ends.into_iter()
        .find(Result::is_err)
        .unwrap_or(Ok(()))
        .map_err(TextError::BufferTooShort)
}

/// The verdict at the target; without a target, the best point.
///
/// `pass        SWR 1.12`, `fail        SWR 3.88`, `target not swept`, `best     76.4000 MHz`; `best at the edge` if
/// the best point is the first or the last of the sweep, and `no sweep` before the first point. The best point is
/// `best ?   76.4000 MHz` if it is a dip that the sweep does not resolve: it may stand beside that frequency, and deeper.
/// What else is to be said of the readings, [`quality`] says; what to do, [`next_step`].
pub fn verdict<'a, A: Arithmetic, const N: usize>(
    line: &'a mut [u8],
    report: &SweepReport<A, N>,
) -> Result<&'a str, TextError> {
    match (report.target(), report.best()) {
        (_, None) => word(line, "", "no sweep"),
        (Target::NotCovered(_), _) => word(line, "", "target not swept"),
        (Target::Reading(reading), _) => {
            let mut text = Writer::new(line);
            let gamma = reading.reflection;
            text.swr(gamma);
            text.words("SWR ");
            text.label(if reading.pass { "pass" } else { "fail" })
        }
        (Target::NotAsked, Some(dip)) if dip.at_edge => word(line, "", "best at the edge"),
        (Target::NotAsked, Some(dip)) if dip.unresolved.is_some() => hertz(line, "best ?", dip.frequency),
        (Target::NotAsked, Some(dip)) => hertz(line, "best", dip.frequency),
    }
}
