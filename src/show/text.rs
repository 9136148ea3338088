//! One quantity, one line: a label at the left, the value with its unit at the right, blanks between.
//!
//! Each function fills a caller's buffer to its last byte with ASCII, so that a line written over an older one leaves
//! nothing of it, and gives it back as text. The buffer's length is the width of the screen; 20 columns are enough for
//! every line here but the impedance of a load far from 50 Ω. What does not fit is an error and no half of a number.
//!
//! Numbers are rounded first, halves away from zero, and the prefix is chosen by what comes of it; number and unit
//! stand apart, prefix and unit do not (NIST Special Publication 811, 2008, chapters 6 and 7). Nothing of `core::fmt`
//! is linked, and no division.
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
//! // Four columns cannot hold it: an error that says what can, and no half of a number.
//! let error = text::swr(&mut line[..4], gamma);
//! assert_eq!(error, Err(text::TextError::NoRoom(8)));
//! # Ok::<(), text::TextError>(())
//! ```
//!
//! The ends are honest: an open is `open`, total reflection has the SWR `infinite`, a word at its end says `>`, and
//! what nobody can know (the phase of nothing) is `unknown`.

use core::fmt;

use super::number::{Number, Piece};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::measure::{Direction, Retune, SweepReport, Target, TuningElement};
use crate::quantity::{Capacitance, Hertz, Impedance, Inductance, Reactor, Reference, Reflection};

/// Why a line was not written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum TextError {
    /// The buffer is too short; this many bytes would do.
    NoRoom(usize),
}

impl fmt::Display for TextError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoRoom(bytes) => write!(f, "the buffer is too short: the line needs {bytes} bytes"),
        }
    }
}

impl core::error::Error for TextError {}

/// Label to the left, value to the right.
#[inline(never)]
fn fill<'a>(line: &'a mut [u8], label: &str, value: &Piece) -> Result<&'a str, TextError> {
    let value = value.as_bytes();
    // A blank between, if there is a label.
    let needed = label.len() + value.len() + usize::from(!label.is_empty());
    if line.len() < needed {
        return Err(TextError::NoRoom(needed));
    }
    let gap = line.len().saturating_sub(label.len() + value.len());
    let blanks = core::iter::repeat_n(b' ', gap);
    let text = label.bytes().chain(blanks).chain(value.iter().copied());
    for (place, byte) in line.iter_mut().zip(text) {
        *place = byte;
    }
    // ASCII throughout: never the empty one.
    Ok(core::str::from_utf8(line).unwrap_or(""))
}

#[inline(never)]
fn words(text: &str) -> Piece {
    let mut piece = Piece::new();
    piece.words(text);
    piece
}

/// A value with decimals: so many below 10, one less below 1000, and none above. Five digits at most.
#[inline(never)]
fn scale<W: Real>(value: W, decimals: u8) -> Piece {
    let number = Number::new(value, -9);
    let mut piece = Piece::new();
    if number.count >= 99_999_500_000_000 {
        piece.words(if number.negative { "<-99999" } else { ">99999" });
        return piece;
    }
    // Where rounding makes it 10, or 1000, it has the digits of what it became.
    let reaches = |limit: u64, decimals: u8| {
        let half = (0..9 - decimals).fold(5u64, |half, _| half * 10) / 10;
        number.count.saturating_add(half) >= limit * 1_000_000_000
    };
    let decimals = if !reaches(10, decimals) {
        decimals
    } else if !reaches(1000, decimals - 1) {
        decimals - 1
    } else {
        0
    };
    piece.decimals(number, decimals);
    piece
}

/// A ratio that is never negative; where its word is at the end, what is behind that.
#[inline(never)]
fn ratio<Q: Quantity>(value: Q, infinite: bool) -> Piece {
    if infinite || !value.is_finite() {
        return words("infinite");
    }
    let mut piece = Piece::new();
    if value.is_at_end() {
        piece.push(b'>');
        piece.decimals(Number::new(value.to_working(), 0), 0);
        return piece;
    }
    scale(value.to_working(), 2)
}

/// Decibels, with their unit.
#[inline(never)]
fn decibels<Q: Quantity>(value: Q) -> Piece {
    let mut piece = if value == Q::MAX {
        words("infinite")
    } else if value == Q::MIN {
        words("-infinite")
    } else {
        scale(value.to_working(), 2)
    };
    piece.words(" dB");
    piece
}

/// A value with a prefix before its unit; `exponent` says in which power of ten it is counted.
#[inline(never)]
fn engineering<W: Real>(value: W, exponent: i8, digits: u8, unit: &str) -> Piece {
    let mut piece = Piece::new();
    piece.engineering(Number::new(value, exponent), digits, unit);
    piece
}

/// Ohms, three digits; the end of the word is an open.
fn ohms<Q: Quantity>(value: Q) -> Piece {
    if value.is_at_end() {
        words("open")
    } else {
        engineering(value.to_working(), -9, 3, "ohm")
    }
}

/// `f        71.0000 MHz`: six digits.
pub fn frequency(line: &mut [u8], frequency: Hertz) -> Result<&str, TextError> {
    fill(line, "f", &hertz(frequency))
}

#[inline(never)]
fn hertz(frequency: Hertz) -> Piece {
    let mut piece = Piece::new();
    let number = Number {
        negative: false,
        count: frequency.get(),
        exponent: 0,
        beyond: false,
    };
    piece.engineering(number, 6, "Hz");
    piece
}

/// `SWR             1.64`: two decimals below 10, one below 1000, none above; `infinite` at total reflection.
///
/// Past five digits it is `>99999`, and `>65536` where the word ends.
pub fn swr<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    fill(line, "SWR", &ratio(gamma.swr(), gamma.is_total()))
}

/// `RL          12.30 dB`: return loss, negative with gain, `infinite` at the match.
pub fn return_loss<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    fill(line, "RL", &decibels(gamma.return_loss()))
}

/// `ML           0.26 dB`: mismatch loss, `infinite` at total reflection.
pub fn mismatch_loss<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    fill(line, "ML", &decibels(gamma.mismatch_loss()))
}

/// `|refl|         0.243`: the magnitude of Γ, three decimals.
pub fn magnitude<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    let size = gamma.magnitude();
    let mut piece = Piece::new();
    // The end of a 16-bit word is its open; that of the others lies beyond.
    if size.is_at_end() && size.to_working() > A::Working::ONE {
        piece.push(b'>');
    }
    piece.decimals(Number::new(size.to_working(), -9), 3);
    fill(line, "|refl|", &piece)
}

/// `phase      -14.0 deg`: the angle of Γ, one decimal; `unknown` at the match, where there is none.
pub fn phase<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    let nothing = gamma.real() == A::Component::ZERO && gamma.imaginary() == A::Component::ZERO;
    let piece = if nothing {
        words("unknown")
    } else {
        let mut piece = Piece::new();
        piece.decimals(Number::new(gamma.phase().to_working(), -9), 1);
        piece.words(" deg");
        piece
    };
    fill(line, "phase", &piece)
}

/// `Q               1.25`: |X|/|R|; `infinite` without resistance.
pub fn q<A: Arithmetic>(line: &mut [u8], gamma: Reflection<A>) -> Result<&str, TextError> {
    let lossless = gamma.is_total() && !gamma.is_active() && gamma.imaginary() != A::Component::ZERO;
    fill(line, "Q", &ratio(gamma.q(), lossless))
}

/// `R           50.0 ohm`: three digits with a prefix; `open` where there is none.
pub fn resistance<A: Arithmetic>(line: &mut [u8], load: Impedance<A>) -> Result<&str, TextError> {
    fill(line, "R", &ohms(load.resistance()))
}

/// `X          -25.0 ohm`: three digits with a prefix; `open` where there is none.
pub fn reactance<A: Arithmetic>(line: &mut [u8], load: Impedance<A>) -> Result<&str, TextError> {
    let piece = if load.is_open() {
        words("open")
    } else {
        ohms(load.reactance())
    };
    fill(line, "X", &piece)
}

/// `|Z|         55.9 ohm`: three digits with a prefix; `open` where there is none.
pub fn impedance_magnitude<A: Arithmetic>(
    line: &mut [u8],
    gamma: Reflection<A>,
    reference: Reference<A>,
) -> Result<&str, TextError> {
    fill(line, "|Z|", &ohms(gamma.impedance_magnitude(reference)))
}

/// `Z    50.0 +j25.0 ohm`: both parts to the same place, which leaves three digits of the larger one, four above 1 kΩ.
#[inline(never)]
pub fn impedance<A: Arithmetic>(line: &mut [u8], load: Impedance<A>) -> Result<&str, TextError> {
    if load.is_open() || load.resistance().is_at_end() || load.reactance().is_at_end() {
        return fill(line, "Z", &words("open"));
    }
    let (r, x) = (load.resistance().to_working(), load.reactance().to_working());
    let larger = r.absolute().larger(x.absolute());
    // By what the larger part is once it is rounded.
    let reaches = |hundredths: i32| larger * A::Working::from_i32(200) >= A::Working::from_i32(hundredths);
    let (unit, exponent, decimals) = if !reaches(1_999) {
        (" ohm", 0, 2)
    } else if !reaches(19_990) {
        (" ohm", 0, 1)
    } else if !reaches(1_999_900) {
        (" ohm", 0, 0)
    } else if !reaches(19_990_000) {
        (" kohm", 3, 1)
    } else {
        (" kohm", 3, 0)
    };
    // Counted in billionths of the unit that is shown.
    let number = |value: A::Working| Number {
        exponent: -6,
        ..Number::new(value, exponent - 6)
    };
    let (resistance, reactance) = (number(r), number(x));
    let mut piece = Piece::new();
    piece.decimals(resistance, decimals);
    piece.words(if reactance.negative { " -j" } else { " +j" });
    piece.decimals(
        Number {
            negative: false,
            ..reactance
        },
        decimals,
    );
    piece.words(unit);
    fill(line, "Z", &piece)
}

/// `L           38.98 nH`: four digits.
pub fn inductance<A: Arithmetic>(line: &mut [u8], coil: Inductance<A>) -> Result<&str, TextError> {
    fill(line, "L", &henries(coil))
}

fn henries<A: Arithmetic>(coil: Inductance<A>) -> Piece {
    engineering(coil.to_base(), -15, 4, "H")
}

/// `C           22.28 pF`: four digits.
pub fn capacitance<A: Arithmetic>(line: &mut [u8], capacitor: Capacitance<A>) -> Result<&str, TextError> {
    fill(line, "C", &farads(capacitor))
}

fn farads<A: Arithmetic>(capacitor: Capacitance<A>) -> Piece {
    engineering(capacitor.to_base(), -18, 4, "F")
}

/// A coil or a capacitor, with the label of what it is.
pub fn part<A: Arithmetic>(line: &mut [u8], part: Reactor<A>) -> Result<&str, TextError> {
    match part {
        Reactor::Inductor(coil) => inductance(line, coil),
        Reactor::Capacitor(capacitor) => capacitance(line, capacitor),
    }
}

/// A voltage under a label of the caller's, three digits.
pub fn voltage<'a, A: Arithmetic>(
    line: &'a mut [u8],
    label: &str,
    volts: A::Volts,
) -> Result<&'a str, TextError> {
    fill(line, label, &engineering(volts.to_working(), -9, 3, "V"))
}

/// A current under a label of the caller's, three digits.
pub fn current<'a, A: Arithmetic>(
    line: &'a mut [u8],
    label: &str,
    amperes: A::Amperes,
) -> Result<&'a str, TextError> {
    fill(line, label, &engineering(amperes.to_working(), -9, 3, "A"))
}

/// A power under a label of the caller's, three digits.
pub fn power<'a, A: Arithmetic>(
    line: &'a mut [u8],
    label: &str,
    watts: A::Watts,
) -> Result<&'a str, TextError> {
    fill(line, label, &engineering(watts.to_working(), -9, 3, "W"))
}

/// A length under a label of the caller's, three digits.
pub fn length<'a, A: Arithmetic>(
    line: &'a mut [u8],
    label: &str,
    metres: A::Metres,
) -> Result<&'a str, TextError> {
    fill(line, label, &engineering(metres.to_working(), -9, 3, "m"))
}

/// Four lines: frequency, SWR, return loss and impedance.
///
/// # Errors
/// A buffer that is too short; those before it are written then.
pub fn summary<A: Arithmetic>(
    lines: [&mut [u8]; 4],
    at: Hertz,
    gamma: Reflection<A>,
    reference: Reference<A>,
) -> Result<(), TextError> {
    let [first, second, third, fourth] = lines;
    frequency(first, at)?;
    swr(second, gamma)?;
    return_loss(third, gamma)?;
    impedance(fourth, gamma.impedance(reference))?;
    Ok(())
}

/// What a sweep says of the target, or without one of the best point.
///
/// `pass        SWR 1.12`, `fail        SWR 3.73`, `target not swept`, `best     67.1000 MHz`; `best at the edge` where
/// the best point is the first or the last of the sweep, and `no sweep` before the first point.
pub fn verdict<'a, A: Arithmetic, const N: usize>(
    line: &'a mut [u8],
    report: &SweepReport<A, N>,
) -> Result<&'a str, TextError> {
    match (report.target(), report.best()) {
        (_, None) => fill(line, "", &words("no sweep")),
        (Target::NotCovered(_), _) => fill(line, "", &words("target not swept")),
        (Target::Reading(reading), _) => {
            let mut piece = words("SWR ");
            let gamma = reading.reflection;
            let value = ratio(gamma.swr(), gamma.is_total());
            for byte in value.as_bytes() {
                piece.push(*byte);
            }
            fill(line, if reading.pass { "pass" } else { "fail" }, &piece)
        }
        (Target::NotAsked, Some(dip)) if dip.at_edge => fill(line, "", &words("best at the edge")),
        (Target::NotAsked, Some(dip)) => fill(line, "best", &hertz(dip.frequency)),
    }
}

/// What to change: `less L       x 0.894`, `more turns   x 1.052`, `keep L`.
///
/// The factor is new value over old, three decimals.
pub fn advice<'a, A: Arithmetic>(line: &'a mut [u8], advice: &Retune<A>) -> Result<&'a str, TextError> {
    let label = match (advice.direction, advice.element) {
        (Direction::Keep, _) => return fill(line, "", &words("keep")),
        (Direction::Less, TuningElement::Inductance) => "less L",
        (Direction::More, TuningElement::Inductance) => "more L",
        (Direction::Less, TuningElement::Capacitance) => "less C",
        (Direction::More, TuningElement::Capacitance) => "more C",
        (Direction::Less, TuningElement::Turns) => "fewer turns",
        (Direction::More, TuningElement::Turns) => "more turns",
        (Direction::Less, TuningElement::Length) => "shorter",
        (Direction::More, TuningElement::Length) => "longer",
    };
    let mut piece = words("x ");
    if advice.factor.is_at_end() {
        piece.push(b'>');
    }
    piece.decimals(Number::new(advice.factor.to_working(), -6), 3);
    fill(line, label, &piece)
}
