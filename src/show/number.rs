//! Numbers to decimal digits by shifts and additions: no division, and nothing of `core::fmt`.
//!
//! A line is written from right to left, in the order in which the digits are found, so nothing is measured or copied.
//! Loops call functions that are not inlined: the compiler would unroll a loop without calls to several times its size.

/// The same list. It hides the length from the compiler, which would otherwise unroll short loops completely.
#[inline(always)]
pub(super) fn unknown_length<T>(list: &[T]) -> &[T] {
    core::hint::black_box(list)
}

/// The count without its last digits, rounded to nearest, halves upwards.
#[inline(never)]
pub(super) fn rounded(mut count: u64, without: u8) -> u64 {
    let mut last = 0;
    for _ in 0..without {
        last = take_digit(&mut count);
    }
    // Digits below the last one taken do not affect the rounding.
    count.wrapping_add(u64::from(last >= 5))
}

/// Takes the last digit off a count.
#[inline(never)]
fn take_digit(count: &mut u64) -> u8 {
    // 1/10 = 0.8/8, and 0.8 = 0.1100 1100 1100 ... in binary; the result is too small by at most one.
    let half = *count >> 1;
    let mut tenth = half.wrapping_add(half >> 1);
    // Written out: in a loop the shift would be by a variable, for which small cores call a routine.
    tenth = tenth.wrapping_add(tenth >> 4);
    tenth = tenth.wrapping_add(tenth >> 8);
    tenth = tenth.wrapping_add(tenth >> 16);
    tenth = tenth.wrapping_add(tenth >> 32);
    tenth >>= 3;
    let rest = (*count as u32).wrapping_sub((tenth as u32).wrapping_mul(10));
    let (digit, more) = if rest < 10 {
        (rest, 0)
    } else {
        (rest.wrapping_sub(10), 1)
    };
    *count = tenth.wrapping_add(more);
    digit as u8
}

/// The number of significant digits, and the smallest count that has them.
#[derive(Clone, Copy)]
pub(super) struct Significant {
    digits: i32,
    least: u32,
}

impl Significant {
    pub(super) const THREE: Self = Self::new(3);
    pub(super) const FOUR: Self = Self::new(4);
    pub(super) const SIX: Self = Self::new(6);

    const fn new(digits: u32) -> Self {
        Self {
            digits: digits as i32,
            least: 10u32.pow(digits - 1),
        }
    }
}

/// A line that is written from right to left.
pub(super) struct Writer<'a> {
    line: &'a mut [u8],
    /// The number of bytes at the right end; it goes on counting when the buffer is full.
    written: usize,
}

impl<'a> Writer<'a> {
    pub(super) fn new(line: &'a mut [u8]) -> Self {
        Self { line, written: 0 }
    }

    #[inline(never)]
    pub(super) fn push(&mut self, byte: u8) {
        self.written = self.written.wrapping_add(1);
        let place = self.line.len().wrapping_sub(self.written);
        if let Some(place) = self.line.get_mut(place) {
            *place = byte;
        }
    }

    #[inline(never)]
    pub(super) fn words(&mut self, text: &str) {
        for byte in unknown_length(text.as_bytes()).iter().rev() {
            self.push(*byte);
        }
    }

    /// A count `without` its last digits, rounded, halves away from zero, with its sign and `decimals` decimals; a
    /// count at an end of its type gets `>` or `<` in front.
    #[inline(never)]
    pub(super) fn number(&mut self, mut decimals: i32, count: i64, without: u8) {
        let size = rounded(count.unsigned_abs(), without);
        let mut rest = size;
        loop {
            let digit = take_digit(&mut rest);
            self.push(b'0'.wrapping_add(digit));
            if decimals <= 0 {
                if rest == 0 {
                    break;
                }
            } else {
                decimals = decimals.wrapping_sub(1);
                if decimals == 0 {
                    self.push(b'.');
                }
            }
        }
        // No sign before a zero.
        if count < 0 && size != 0 {
            self.push(b'-');
        }
        if count.unsigned_abs() >= i64::MAX as u64 {
            self.push(if count < 0 { b'<' } else { b'>' });
        }
    }

    /// `count/10^places` with its significant digits, the unit, and the prefix for one to three digits before the
    /// point.
    ///
    /// The number is rounded first; the prefix is chosen for the rounded number.
    #[inline(never)]
    pub(super) fn engineering(
        &mut self,
        mut count: i64,
        mut places: i32,
        significant: Significant,
        unit: &str,
    ) {
        self.words(unit);
        let mut without = 0;
        let mut prefix = Prefix::LEAST;
        if count == 0 {
            places = 0;
            prefix.name = NO_PREFIX;
        } else {
            // At least the wanted digits; `places` is negative for a large number.
            while count.unsigned_abs() < u64::from(significant.least) {
                append_zero(&mut count);
                places = places.wrapping_add(1);
            }
            while rounded(count.unsigned_abs(), without) >= u64::from(significant.least.wrapping_mul(10)) {
                without = without.wrapping_add(1);
            }
            places = places.wrapping_sub(i32::from(without));
            while significant
                .digits
                .wrapping_sub(places)
                .wrapping_sub(prefix.exponent)
                > 3
            {
                prefix.step();
            }
            places = places.wrapping_add(prefix.exponent);
        }
        let Some(letter) = PREFIXES.get(prefix.name).copied() else {
            // Beyond the last prefix: the largest number that can be shown, and that it is more than this.
            self.push(b'E');
            self.push(b' ');
            let largest = i64::from(significant.least.wrapping_mul(10).wrapping_sub(1));
            let largest = if count < 0 {
                largest.wrapping_neg()
            } else {
                largest
            };
            self.number(significant.digits.wrapping_sub(3), largest, 0);
            self.push(if count < 0 { b'<' } else { b'>' });
            return;
        };
        if letter != b' ' {
            self.push(letter);
        }
        self.push(b' ');
        // Below the smallest prefix there are fewer digits, and at last none: then it says less than the last place.
        let spare = places.wrapping_sub(significant.digits);
        if spare > 0 {
            places = significant.digits;
            without = without.saturating_add(spare.min(u8::MAX.into()) as u8);
            if rounded(count.unsigned_abs(), without) == 0 {
                self.number(places, if count < 0 { -1 } else { 1 }, 0);
                self.push(if count < 0 { b'>' } else { b'<' });
                return;
            }
        }
        self.number(places, count, without);
    }

    /// A count at the end of its word, as [`engineering`](Self::engineering) but cut off, with `>` or `<` in front: what
    /// was to be counted is beyond.
    #[inline(never)]
    pub(super) fn saturated(&mut self, count: i64, mut places: i32, significant: Significant, unit: &str) {
        let mut size = count.unsigned_abs();
        while size >= u64::from(significant.least.wrapping_mul(10)) {
            take_digit(&mut size);
            places = places.wrapping_sub(1);
        }
        let size = size as i64;
        let cut = if count < 0 { size.wrapping_neg() } else { size };
        self.engineering(cut, places, significant, unit);
        self.push(if count < 0 { b'<' } else { b'>' });
    }

    /// The text written so far; empty if the buffer was too short.
    #[inline(never)]
    pub(super) fn text(self) -> &'a str {
        let start = self.line.len().wrapping_sub(self.written);
        let written = self.line.get(start..).unwrap_or(&[]);
        // All bytes are ASCII, so there is one chunk. This is the smallest check in the library.
        match written.utf8_chunks().next() {
            Some(chunk) => chunk.valid(),
            None => "",
        }
    }

    /// Writes the label at the left end and blanks between, which completes the line.
    ///
    /// # Errors
    /// The number of bytes needed, if the buffer is shorter; the line is then blank.
    #[inline(never)]
    pub(super) fn finish(&mut self, label: &str) -> Result<(), usize> {
        // A blank between, if there is a label.
        let needed = self
            .written
            .wrapping_add(label.len())
            .wrapping_add(usize::from(!label.is_empty()));
        let room = self.line.len();
        if needed > room {
            // Neither part of a number nor an older line may remain.
            self.written = 0;
            self.blank(room);
            return Err(needed);
        }
        self.blank(room.wrapping_sub(label.len()));
        self.words(label);
        Ok(())
    }

    /// Back at the right end of the line: what was written is written over.
    pub(super) fn restart(&mut self) {
        self.written = 0;
    }

    /// Writes blanks until `end` bytes are written.
    #[inline(never)]
    fn blank(&mut self, end: usize) {
        while self.written < end {
            self.push(b' ');
        }
    }
}

#[inline(never)]
fn append_zero(count: &mut i64) {
    *count = count.wrapping_mul(10);
}

/// From 10⁻¹⁸ to 10¹⁸.
const PREFIXES: &[u8; 13] = b"afpnum kMGTPE";
const NO_PREFIX: usize = 6;

struct Prefix {
    name: usize,
    exponent: i32,
}

impl Prefix {
    const LEAST: Self = Self {
        name: 0,
        exponent: -18,
    };

    #[inline(never)]
    fn step(&mut self) {
        self.name = self.name.wrapping_add(1);
        self.exponent = self.exponent.wrapping_add(3);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::string::String;

    fn text(write: impl Fn(&mut Writer<'_>)) -> String {
        let mut line = [b'#'; 32];
        let mut writer = Writer::new(&mut line);
        write(&mut writer);
        writer.text().into()
    }

    #[test]
    fn digits_against_the_division_of_the_standard_library() {
        let mut count = 1u64;
        let mut check = |whole: u64| {
            let mut rest = whole;
            let digit = take_digit(&mut rest);
            assert_eq!((rest, u64::from(digit)), (whole / 10, whole % 10), "{whole}");
        };
        (0..100_000).for_each(&mut check);
        (0..64).for_each(|place| (0..20).for_each(|less| check((u64::MAX >> place).saturating_sub(less))));
        (0..20).for_each(|place| (0..20).for_each(|less| check(10u64.pow(place).wrapping_sub(less))));
        for _ in 0..300_000 {
            count = count.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            check(count);
            check(count >> (count % 64));
        }
    }

    #[test]
    fn decimals_against_the_standard_library() {
        for value in -30_000..30_000i64 {
            for decimals in 0..3u8 {
                // In exact units of 10⁻⁹; halves are rounded away from zero, and no value is a half in binary by
                // accident.
                let got = text(|line| line.number(decimals.into(), value * 1_000_001, 9 - decimals));
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
        let told = |count, places, digits, unit| text(|line| line.engineering(count, places, digits, unit));
        let three = Significant::THREE;
        assert_eq!(told(i64::MAX - 1, 0, Significant::FOUR, "Hz"), "9.223 EHz");
        assert_eq!(told(i64::MAX, 0, Significant::SIX, "Hz"), ">9.22337 EHz");
        assert_eq!(told(1, 18, three, "F"), "1.00 aF");
        assert_eq!(told(12, 19, three, "F"), "1.20 aF");
        assert_eq!(told(1, 19, three, "F"), "0.100 aF");
        assert_eq!(told(1234, 23, three, "W"), "0.012 aW");
        assert_eq!(told(-1234, 23, Significant::FOUR, "H"), "-0.0123 aH");
        assert_eq!(told(9996, 22, three, "W"), "1.00 aW");
        assert_eq!(told(5, 22, three, "W"), "0.001 aW");
        assert_eq!(told(4, 22, three, "W"), "<0.001 aW");
        assert_eq!(told(-4, 22, three, "W"), ">-0.001 aW");
        assert_eq!(told(1, 60, Significant::FOUR, "F"), "<0.0001 aF");
        assert_eq!(told(999_499, -15, three, "W"), "999 EW");
        assert_eq!(told(999_500, -15, three, "W"), ">999 EW");
        assert_eq!(told(-1, -22, three, "W"), "<-999 EW");
        assert_eq!(told(i64::MAX, -4, Significant::FOUR, "H"), ">999.9 EH");
        let end = |count, places, digits| text(|line| line.saturated(count, places, digits, "A"));
        assert_eq!(end(32_767_999_984_741, 9, three), ">32.7 kA");
        assert_eq!(end(-32_768_000_000_000, 9, three), "<-32.7 kA");
        assert_eq!(end(4_294_967_295, 12, Significant::FOUR), ">4.294 mA");
        assert_eq!(told(999_999, 6, three, "V"), "1.00 V");
        assert_eq!(told(-999_499, 3, three, "ohm"), "-999 ohm");
        assert_eq!(told(-999_500, 3, three, "ohm"), "-1.00 kohm");
        assert_eq!(told(7, 0, three, "Hz"), "7.00 Hz");
        assert_eq!(told(777, 0, three, "Hz"), "777 Hz");
        assert_eq!(told(-7, 0, Significant::SIX, "V"), "-7.00000 V");
        assert_eq!(told(0, 9, three, "V"), "0 V");
        assert_eq!(told(i64::MAX, 6, three, "ohm"), ">9.22 Tohm");
        assert_eq!(told(-i64::MAX, 6, three, "ohm"), "<-9.22 Tohm");
        assert_eq!(told(i64::MIN, 6, three, "ohm"), "<-9.22 Tohm");
    }
}
