//! Numbers in text: checked against the grammar first, then converted without a rounding of our own.
//!
//! The grammar: an optional sign, digits with at most one dot and at least one digit, and
//! optionally `e` or `E` with an optionally signed whole number. So `1e9`, `1E+09`, `.5`, `5.`,
//! `+3` and `-0` are numbers; `nan`, `inf`, `0x10`, `1_000` and `1.0D+03` are not.

use super::error::{Excerpt, TouchstoneCause};

/// Largest exponent of ten, of either sign. Far beyond `f64`, and small enough for exact sums of exponents.
const EXPONENT_LIMIT: i32 = 9999;

/// A number that follows the grammar, still as digits.
struct Decimal<'a> {
    negative: bool,
    whole: &'a [u8],
    fraction: &'a [u8],
    exponent: i32,
}

impl<'a> Decimal<'a> {
    fn parse(token: &'a [u8]) -> Result<Self, TouchstoneCause> {
        let (negative, unsigned) = split_sign(token);
        let (whole, rest) = split_digits(unsigned);
        let (fraction, rest) = match rest.strip_prefix(b".") {
            Some(rest) => split_digits(rest),
            None => (rest.get(..0).unwrap_or_default(), rest),
        };
        if whole.is_empty() && fraction.is_empty() {
            return Err(not_a_number(token, unsigned));
        }
        let exponent = match rest {
            [] => 0,
            [letter, exponent @ ..] => {
                let (down, digits) = split_sign(exponent);
                let well_formed = !digits.is_empty() && digits.iter().all(u8::is_ascii_digit);
                match letter {
                    b'e' | b'E' if well_formed => {
                        let value = exponent_value(digits)
                            .ok_or(TouchstoneCause::ValueOutOfRange(Excerpt::new(token)))?;
                        if down { value.saturating_neg() } else { value }
                    }
                    b'd' | b'D' if well_formed => {
                        return Err(TouchstoneCause::FortranExponent(Excerpt::new(token)));
                    }
                    _ => return Err(TouchstoneCause::NotANumber(Excerpt::new(token))),
                }
            }
        };
        Ok(Self {
            negative,
            whole,
            fraction,
            exponent,
        })
    }

    fn digits(&self) -> impl Iterator<Item = u8> {
        self.whole
            .iter()
            .chain(self.fraction)
            .map(|digit| digit.wrapping_sub(b'0'))
    }

    fn is_zero(&self) -> bool {
        self.digits().all(|digit| digit == 0)
    }

    /// The magnitude times 10^`shift`, to the nearest whole number, halves away from zero. `None` beyond `u64`.
    ///
    /// Works on the decimal digits, so that 0.1 GHz is exactly 100 000 000 Hz.
    fn to_whole(&self, shift: u8) -> Option<u64> {
        if self.is_zero() {
            return Some(0);
        }
        // The number of digits before the decimal point, after the shift.
        let point = i64::try_from(self.whole.len())
            .ok()?
            .checked_add(i64::from(self.exponent))?
            .checked_add(i64::from(shift))?;
        let Ok(point) = usize::try_from(point) else {
            return Some(0); // a zero follows the point: below one tenth
        };
        let mut value = 0_u64;
        // Leading zeros have no effect. After another digit the 21st overflows, so this loop ends early in any case.
        for digit in self.digits().chain(core::iter::repeat(0)).take(point) {
            value = value.checked_mul(10)?.checked_add(u64::from(digit))?;
        }
        let round_up = self.digits().nth(point).is_some_and(|digit| digit >= 5);
        value.checked_add(u64::from(round_up))
    }
}

/// A finite number, correctly rounded. A value too small for `f64` is zero, one too large is an error.
pub(super) fn parse_real(token: &[u8]) -> Result<f64, TouchstoneCause> {
    Decimal::parse(token)?;
    let parsed = core::str::from_utf8(token)
        .ok()
        .and_then(|text| text.parse::<f64>().ok());
    match parsed {
        Some(value) if value.is_finite() => Ok(value),
        Some(_) => Err(TouchstoneCause::ValueOutOfRange(Excerpt::new(token))),
        None => Err(TouchstoneCause::NotANumber(Excerpt::new(token))),
    }
}

/// A frequency in units of ten to the power of `shift` hertz, as whole hertz.
pub(super) fn parse_frequency(token: &[u8], shift: u8) -> Result<u64, TouchstoneCause> {
    let decimal = Decimal::parse(token)?;
    if decimal.negative && !decimal.is_zero() {
        return Err(TouchstoneCause::NegativeFrequency(Excerpt::new(token)));
    }
    decimal
        .to_whole(shift)
        .ok_or(TouchstoneCause::FrequencyOutOfRange(Excerpt::new(token)))
}

/// A count: digits only. `None` for other text or if it does not fit.
pub(super) fn parse_count(token: &[u8]) -> Option<u64> {
    let (digits, rest) = split_digits(token);
    if digits.is_empty() || !rest.is_empty() {
        return None;
    }
    digits.iter().try_fold(0_u64, |count, digit| {
        count
            .checked_mul(10)?
            .checked_add(u64::from(digit.wrapping_sub(b'0')))
    })
}

/// Whether the token is minus infinity, which stands for a magnitude of zero in decibels.
pub(super) fn is_minus_infinity(token: &[u8]) -> bool {
    token.eq_ignore_ascii_case(b"-inf")
}

/// Whether there is a minus, and the text after the sign.
fn split_sign(text: &[u8]) -> (bool, &[u8]) {
    match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    }
}

/// The digits at the start, and the text after them.
fn split_digits(text: &[u8]) -> (&[u8], &[u8]) {
    let end = text
        .iter()
        .position(|byte| !byte.is_ascii_digit())
        .unwrap_or(text.len());
    text.split_at_checked(end).unwrap_or((text, &[]))
}

/// The value of an exponent's digits, `None` beyond the limit.
fn exponent_value(digits: &[u8]) -> Option<i32> {
    digits
        .iter()
        .try_fold(0_i32, |value, digit| {
            value
                .checked_mul(10)?
                .checked_add(i32::from(digit.wrapping_sub(b'0')))
        })
        .filter(|&value| value <= EXPONENT_LIMIT)
}

/// The error for a token that has no digit where a number begins.
fn not_a_number(token: &[u8], unsigned: &[u8]) -> TouchstoneCause {
    let words: [&[u8]; 3] = [b"nan", b"inf", b"infinity"];
    if words.iter().any(|word| unsigned.eq_ignore_ascii_case(word)) {
        TouchstoneCause::NotFinite(Excerpt::new(token))
    } else {
        TouchstoneCause::NotANumber(Excerpt::new(token))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frequencies_are_exact_decimals() {
        // Decimal arithmetic, checked by hand. As f64, 0.1e9 is whole by chance but 1.005 * 1e9 and 4.35 * 1e2 are not.
        assert_eq!(parse_frequency(b"0.1", 9), Ok(100_000_000));
        assert_eq!(parse_frequency(b"1.005", 9), Ok(1_005_000_000));
        assert_eq!(parse_frequency(b"1e-9", 9), Ok(1));
        assert_eq!(parse_frequency(b"4.999999999e-10", 9), Ok(0));
        assert_eq!(parse_frequency(b"5e-10", 9), Ok(1));
        assert_eq!(parse_frequency(b"5e-11", 9), Ok(0));
        assert_eq!(parse_frequency(b"0.0000000001449999e18", 0), Ok(144_999_900));
        assert_eq!(parse_frequency(b"9007199254740993", 0), Ok(9_007_199_254_740_993));
    }

    #[test]
    fn frequencies_end_at_the_top_of_u64() {
        assert_eq!(parse_frequency(b"18446744073709551615", 0), Ok(u64::MAX));
        assert_eq!(parse_frequency(b"18446744073.709551615", 9), Ok(u64::MAX));
        assert_eq!(parse_frequency(b"18446744073.7095516154", 9), Ok(u64::MAX));
        for (token, shift) in [
            ("18446744073709551616", 0),
            ("18446744073.7095516155", 9),
            ("1e9999", 9),
            ("1e20", 0),
        ] {
            assert!(
                matches!(
                    parse_frequency(token.as_bytes(), shift),
                    Err(TouchstoneCause::FrequencyOutOfRange(_))
                ),
                "{token}"
            );
        }
        assert_eq!(parse_frequency(b"0e9999", 9), Ok(0));
        assert_eq!(parse_frequency(b"-0.0e5", 9), Ok(0));
        assert_eq!(parse_frequency(b"1e-9999", 9), Ok(0));
    }

    #[test]
    fn exponents_have_a_limit_of_their_own() {
        for token in ["1e10000", "1e-10000", "0e99999999999999999999"] {
            assert!(
                matches!(
                    parse_real(token.as_bytes()),
                    Err(TouchstoneCause::ValueOutOfRange(_))
                ),
                "{token}"
            );
        }
        assert_eq!(parse_real(b"1e-9999"), Ok(0.0));
        assert!(matches!(
            parse_real(b"1e309"),
            Err(TouchstoneCause::ValueOutOfRange(_))
        ));
    }

    #[test]
    fn numbers_are_correctly_rounded() {
        // 2^53 + 1 lies half way between two neighbours and goes to the even one (IEEE 754).
        assert_eq!(parse_real(b"9007199254740993"), Ok(9_007_199_254_740_992.0));
        assert_eq!(parse_real(b"5e-324").map(f64::to_bits), Ok(1));
    }

    #[test]
    fn grammar_refuses_what_is_no_number() {
        for token in [
            "", "+", ".", "e5", "1e", "1e+", "1.2.3", "1,5", "--1", "0x10", "1_0", "1e5.0",
        ] {
            assert!(
                matches!(parse_real(token.as_bytes()), Err(TouchstoneCause::NotANumber(_))),
                "{token}"
            );
        }
        assert!(matches!(
            parse_real(b"1d3"),
            Err(TouchstoneCause::FortranExponent(_))
        ));
        assert!(matches!(parse_real(b"1dB"), Err(TouchstoneCause::NotANumber(_))));
        assert!(matches!(
            parse_real(b"-Infinity"),
            Err(TouchstoneCause::NotFinite(_))
        ));
    }

    #[test]
    fn counts_are_digits() {
        assert_eq!(parse_count(b"007"), Some(7));
        for token in ["", "+1", "1.0", "-1", "18446744073709551616"] {
            assert_eq!(parse_count(token.as_bytes()), None, "{token}");
        }
    }
}
