//! Numbers to decimal digits by additions and subtractions: no division, and nothing of `core::fmt`.

use crate::arithmetic::Real;

/// Every power of ten that a `u64` holds.
pub(super) const POWERS: [u64; 20] = {
    let mut powers = [1; 20];
    let mut i = 1;
    while i < 20 {
        powers[i] = powers[i - 1] * 10;
        i += 1;
    }
    powers
};

/// `count · 10^exponent`, with a sign.
#[derive(Clone, Copy)]
pub(super) struct Number {
    pub(super) negative: bool,
    pub(super) count: u64,
    /// A multiple of three.
    pub(super) exponent: i8,
    /// There is more than could be counted.
    pub(super) beyond: bool,
}

impl Number {
    /// A working number, counted in units of 10^`exponent` (not above 0); up to 9.2e18 of them, where it stays.
    #[inline(never)]
    pub(super) fn new<W: Real>(value: W, exponent: i8) -> Self {
        let power = POWERS.get(exponent.unsigned_abs() as usize).copied().unwrap_or(1);
        let scaled = if exponent < 0 {
            value * W::from_u64(power)
        } else {
            value
        };
        let count = scaled.to_i64();
        Self {
            negative: count < 0,
            count: count.unsigned_abs(),
            exponent: exponent.min(0),
            beyond: count == i64::MAX || count <= -i64::MAX,
        }
    }
}

/// A short text, put together from left to right.
#[derive(Clone, Copy)]
pub(super) struct Piece {
    bytes: [u8; 32],
    length: usize,
}

impl Piece {
    pub(super) const fn new() -> Self {
        Self {
            bytes: [b' '; 32],
            length: 0,
        }
    }

    pub(super) fn as_bytes(&self) -> &[u8] {
        self.bytes.get(..self.length).unwrap_or(&[])
    }

    #[inline(never)]
    pub(super) fn push(&mut self, byte: u8) {
        // 32 bytes are more than any piece needs.
        if let Some(place) = self.bytes.get_mut(self.length) {
            *place = byte;
            self.length = self.length.wrapping_add(1);
        }
    }

    #[inline(never)]
    pub(super) fn words(&mut self, text: &str) {
        for byte in text.bytes() {
            self.push(byte);
        }
    }

    /// With so many digits after the point.
    #[inline(never)]
    pub(super) fn decimals(&mut self, number: Number, decimals: u8) {
        let drop = (-number.exponent).saturating_sub(decimals as i8);
        let digits = Digits::new(number.count, drop.unsigned_abs() as usize);
        self.sign(number, &digits);
        self.digits(&digits, digits.length as i8 - decimals as i8, decimals as i8);
    }

    /// With so many significant digits, and the unit with the prefix that leaves one to three of them before the point.
    ///
    /// Rounded first; the prefix is chosen by what comes of it.
    #[inline(never)]
    pub(super) fn engineering(&mut self, number: Number, significant: u8, unit: &str) {
        let (digits, lead) = leading(number, significant);
        self.sign(number, &digits);
        if digits.length == 0 {
            self.words("0 ");
            return self.words(unit);
        }
        // The leading digit stands for 10^lead; the prefix for the power of 1000 at or below it.
        let (mut prefix, mut thousands) = (NO_PREFIX, 0i8);
        while lead < thousands && prefix > 0 {
            (prefix, thousands) = (prefix.wrapping_sub(1), thousands.wrapping_sub(3));
        }
        while lead >= thousands.wrapping_add(3) && prefix < PREFIXES.len() {
            (prefix, thousands) = (prefix.wrapping_add(1), thousands.wrapping_add(3));
        }
        let before = lead.wrapping_sub(thousands).wrapping_add(1);
        self.digits(&digits, before, (significant as i8).saturating_sub(before).max(0));
        self.push(b' ');
        if prefix != NO_PREFIX
            && let Some(letter) = PREFIXES.get(prefix)
        {
            self.push(*letter);
        }
        self.words(unit);
    }

    /// A minus, but none before a zero; and what says that there is more than is shown.
    #[inline(never)]
    fn sign(&mut self, number: Number, digits: &Digits) {
        if number.beyond {
            self.push(if number.negative { b'<' } else { b'>' });
        }
        if number.negative && digits.length != 0 {
            self.push(b'-');
        }
    }

    /// The digits with the point after the first `before` of them (0 and below: zeros go before), and so many decimals.
    #[inline(never)]
    fn digits(&mut self, digits: &Digits, before: i8, decimals: i8) {
        let digit = |place: i8| match usize::try_from(place) {
            Ok(place) if place < digits.length => digits.list.get(place).copied().unwrap_or(b'0'),
            _ => b'0',
        };
        if before <= 0 {
            self.push(b'0');
        }
        for place in 0..before {
            self.push(digit(place));
        }
        if decimals > 0 {
            self.push(b'.');
        }
        for place in 0..decimals {
            self.push(digit(before.wrapping_add(place)));
        }
    }
}

/// From 10⁻¹⁸ to 10¹⁸.
const PREFIXES: &[u8; 13] = b"afpnum-kMGTPE";
const NO_PREFIX: usize = 6;

/// The decimal digits of a count, without zeros before; none for nothing.
struct Digits {
    list: [u8; 20],
    length: usize,
}

impl Digits {
    /// Of `count/10^drop`, rounded to the nearest, halves upwards.
    #[inline(never)]
    fn new(count: u64, drop: usize) -> Self {
        let power = |place: usize| POWERS.get(place).copied().unwrap_or(u64::MAX);
        // Half of 10^drop is five times the power below it.
        let half = match drop.checked_sub(1) {
            Some(below) => power(below).saturating_mul(5),
            None => 0,
        };
        let mut rest = count.saturating_add(half);
        let mut digits = Self {
            list: [b'0'; 20],
            length: 0,
        };
        for place in (drop..POWERS.len()).rev() {
            let mut digit = b'0';
            while rest >= power(place) {
                rest = rest.wrapping_sub(power(place));
                digit = digit.wrapping_add(1);
            }
            if (digit != b'0' || digits.length != 0)
                && let Some(slot) = digits.list.get_mut(digits.length)
            {
                *slot = digit;
                digits.length = digits.length.wrapping_add(1);
            }
        }
        digits
    }
}

/// The first digits of a number, rounded, and the power of ten that the first of them stands for.
fn leading(number: Number, significant: u8) -> (Digits, i8) {
    let wanted = significant as usize;
    let length = POWERS.iter().take_while(|power| **power <= number.count).count();
    let drop = length.saturating_sub(wanted);
    let digits = Digits::new(number.count, drop);
    // Rounding may have made one digit more of it, which is a zero then and is not shown. Without digits to drop there
    // is no rounding.
    let length = if drop > 0 {
        digits.length.saturating_add(drop)
    } else {
        length
    };
    (
        digits,
        (length as i8).wrapping_sub(1).wrapping_add(number.exponent),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::string::String;

    fn text(write: impl Fn(&mut Piece)) -> String {
        let mut piece = Piece::new();
        write(&mut piece);
        String::from_utf8(piece.as_bytes().to_vec()).unwrap()
    }

    fn count(count: i64, exponent: i8) -> Number {
        Number {
            negative: count < 0,
            count: count.unsigned_abs(),
            exponent,
            beyond: false,
        }
    }

    #[test]
    fn decimals_against_the_standard_library() {
        for value in -30_000..30_000i64 {
            for decimals in 0..3u8 {
                // In exact units of 10⁻⁹; ties go away from zero here, and none is a tie in binary by accident.
                let got = text(|piece| piece.decimals(count(value * 1_000_001, -9), decimals));
                let exact = value as f64 * 1.000001e-3;
                let want = std::format!("{exact:.*}", decimals as usize);
                let want = match want.strip_prefix('-') {
                    Some(size) if size.bytes().all(|byte| matches!(byte, b'0' | b'.')) => size.into(),
                    _ => want,
                };
                assert_eq!(got, want, "{value}");
            }
        }
    }

    #[test]
    fn the_ends_of_a_count() {
        assert_eq!(
            text(|piece| piece.engineering(count(i64::MAX, 0), 4, "Hz")),
            "9.223 EHz"
        );
        let most = Number {
            negative: false,
            count: u64::MAX,
            exponent: 0,
            beyond: false,
        };
        assert_eq!(text(|piece| piece.engineering(most, 6, "Hz")), "18.4467 EHz");
        assert_eq!(text(|piece| piece.engineering(count(1, -18), 3, "F")), "1.00 aF");
        assert_eq!(
            text(|piece| piece.engineering(count(999_999, -6), 3, "V")),
            "1.00 V"
        );
        assert_eq!(
            text(|piece| piece.engineering(count(-999_499, -3), 3, "ohm")),
            "-999 ohm"
        );
        assert_eq!(
            text(|piece| piece.engineering(count(-999_500, -3), 3, "ohm")),
            "-1.00 kohm"
        );
        assert_eq!(text(|piece| piece.engineering(count(7, 0), 1, "Hz")), "7 Hz");
        assert_eq!(text(|piece| piece.engineering(count(777, 0), 1, "Hz")), "800 Hz");
        assert_eq!(
            text(|piece| piece.engineering(Number::new(1e30, -6), 3, "ohm")),
            ">9.22 Tohm"
        );
        assert_eq!(
            text(|piece| piece.engineering(Number::new(-1e30, -6), 3, "ohm")),
            "<-9.22 Tohm"
        );
    }
}
