//! Readouts as text: the rows of `data/units_published.csv` that speak of numbers and units, the standard library's
//! rounding as the oracle, and the ends. All loads are invented.

use std::ops::Range;

use crate::common::{Random, Table, is_fixed};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed32, Quantity};
use ohmwright::measure::{SweepAnalyser, SweepSettings};
use ohmwright::quantity::{
    Amperes, Capacitance, Component, Hertz, Impedance, Inductance, Metres, Reactor, Reference, Reflection,
    Volts, Watts,
};
use ohmwright::show::text::{self, TextError};

pub fn gamma<A: Arithmetic>(re: f64, im: f64) -> Reflection<A> {
    Reflection::try_from_f64(re, im).unwrap()
}

pub fn load<A: Arithmetic>(resistance: f64, reactance: f64) -> Impedance<A> {
    Impedance::try_from_f64(resistance, reactance).unwrap()
}

/// What stands at the right of a line, without the label.
fn value(line: &str, label: &str) -> String {
    let rest = line
        .strip_prefix(label)
        .unwrap_or_else(|| panic!("{line:?}: no {label}"));
    assert!(label.is_empty() || rest.starts_with(' '), "{line:?}");
    rest.trim_start().to_string()
}

/// The text of a quantity in the family, from a value in base units.
fn henries<A: Arithmetic>(value: f64) -> String {
    let word = match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => Inductance::<A>::from_picohenries((value * 1e12).round() as u32),
        _ => Inductance::new(A::InductanceWord::try_from_f64(value).unwrap()).unwrap(),
    };
    self::value(text::inductance(&mut [0; 24], word).unwrap(), "L")
}

fn farads<A: Arithmetic>(value: f64) -> String {
    let word = match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => {
            Capacitance::<A>::from_femtofarads((value * 1e15).round() as u32)
        }
        _ => Capacitance::new(A::CapacitanceWord::try_from_f64(value).unwrap()).unwrap(),
    };
    self::value(text::capacitance(&mut [0; 24], word).unwrap(), "C")
}

fn ohms<A: Arithmetic>(value: f64) -> String {
    self::value(
        text::resistance(&mut [0; 24], load::<A>(value, 0.0)).unwrap(),
        "R",
    )
}

fn hertz(value: u64) -> String {
    self::value(text::frequency(&mut [0; 24], Hertz::new(value)).unwrap(), "f")
}

fn published<A: Arithmetic>() {
    let table = Table::parse(include_str!("../data/units_published.csv"));
    for row in table.rows() {
        let id = row.text("id");
        let got = match id {
            "T9-018" => farads::<A>(22.28e-12),
            // The word of the fixed families, 38 985 pH, is half way.
            "T9-020" if matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16) => {
                assert_eq!(henries::<A>(3.898484e-8), "38.99 nH");
                assert_eq!(henries::<A>(3.8984e-8), "38.98 nH");
                continue;
            }
            "T9-020" => henries::<A>(3.898484e-8),
            "T9-021" => hertz(144_000_000),
            "T9-024" => hertz(0),
            "T9-026" => ohms::<A>(50.0),
            // In steps of 1/4096 ohm this is 0.0498, to three digits.
            "T9-027" if matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16) => {
                assert_eq!(ohms::<A>(0.0499), "49.8 mohm");
                continue;
            }
            "T9-027" => ohms::<A>(0.0499),
            // Beyond the word of the fixed families, which is an error of the constructor.
            "T9-029" if matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16) => {
                assert!(Impedance::<A>::try_from_f64(1_234_567.0, 0.0).is_err());
                continue;
            }
            "T9-029" => ohms::<A>(1_234_567.0),
            "T9-030" => henries::<A>(9.9996e-7),
            // The rules: what they ask is seen in the lines below, one by one.
            "T9-001" | "T9-002" => {
                let lines = [hertz(144_000_000), ohms::<A>(50.0), henries::<A>(39e-9)];
                assert_eq!(lines, ["144.000 MHz", "50.0 ohm", "39.00 nH"]);
                for line in lines {
                    assert_eq!(line.matches(' ').count(), 1, "{line}");
                }
                continue;
            }
            "T9-003" => {
                assert_eq!(farads::<A>(1.5e-12), "1.500 pF");
                continue;
            }
            "T9-004" | "T9-005" | "T9-006" | "T9-007" => {
                // Never a prefix alone, no plural, no full stop; capitals for persons only.
                for (line, unit) in [
                    (hertz(7_000), "kHz"),
                    (ohms::<A>(12_000.0), "kohm"),
                    (henries::<A>(39e-9), "nH"),
                    (farads::<A>(39e-12), "pF"),
                    (
                        text::return_loss(&mut [0; 20], gamma::<A>(0.5, 0.0))
                            .unwrap()
                            .into(),
                        "dB",
                    ),
                ] {
                    assert_eq!(line.rsplit(' ').next(), Some(unit), "{line}");
                }
                continue;
            }
            "T9-023" | "T9-031" => {
                // Frequencies have six digits here: the same boundary stands a hundred times further in.
                let boundary = if id == "T9-023" {
                    hertz(999_999)
                } else {
                    hertz(999_999_500)
                };
                let want = if id == "T9-023" {
                    "999.999 kHz"
                } else {
                    "1.00000 GHz"
                };
                assert_eq!(boundary, want);
                continue;
            }
            "T9-032" => {
                let line = text::reactance(&mut [0; 20], load::<A>(50.0, -0.0))
                    .unwrap()
                    .to_string();
                assert_eq!(value(&line, "X"), "0 ohm");
                continue;
            }
            "T9-033" => {
                let at = |gamma| value(text::swr(&mut [0; 20], gamma).unwrap(), "SWR");
                assert_eq!(at(gamma::<A>(-1.0, 0.0)), "infinite");
                let line = text::return_loss(&mut [0; 20], Reflection::<A>::MATCHED)
                    .unwrap()
                    .to_string();
                assert_eq!(value(&line, "RL"), "infinite dB");
                continue;
            }
            "T9-034" => {
                let at = |re| value(text::swr(&mut [0; 20], gamma::<A>(re, 0.0)).unwrap(), "SWR");
                assert_eq!(at(0.2), "1.50");
                assert_eq!(at(0.875), "15.0");
                continue;
            }
            // The factors of the prefixes, each seen in a line.
            "T9-008" => {
                assert_eq!(hertz(1_000_000_000_000), "1.00000 THz");
                continue;
            }
            "T9-010" => {
                assert_eq!(hertz(1_000_000), "1.00000 MHz");
                continue;
            }
            "T9-011" => {
                assert_eq!(hertz(1_000), "1.00000 kHz");
                continue;
            }
            "T9-013" => {
                assert_eq!(henries::<A>(1e-6), "1.000 uH");
                continue;
            }
            "T9-014" => {
                assert_eq!(henries::<A>(1e-9), "1.000 nH");
                continue;
            }
            "T9-016" => {
                assert_eq!(farads::<A>(1e-15), "1.000 fF");
                continue;
            }
            "T9-017" => {
                if !matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16) {
                    assert_eq!(farads::<A>(1e-18), "1.000 aF");
                }
                continue;
            }
            // Exposure, voltages on a line and cautions: no text of this module.
            "T9-036" | "T9-037" | "T9-040" | "T9-041" | "T9-042" | "T9-044" | "T9-045" | "T9-046"
            | "T9-047" | "T9-050" | "T9-052" | "T9-053" | "T9-055" | "T9-056" | "T9-057" | "T9-058"
            | "T9-061" | "T9-062" | "T9-064" | "T9-065" => continue,
            unknown => panic!("a row that no test knows: {unknown}"),
        };
        assert_eq!(got, row.text("expected"), "{id}");
    }
}

#[test]
fn published_rows() {
    every_family!(published);
}

/// A size as its decimal digits, exact, without leading zeros: 0.d₁d₂d₃… times ten to a power.
struct Exact {
    digits: Vec<u8>,
    power: i32,
}

impl Exact {
    /// The standard library writes out every digit; a double above 1e-24 has at most 132 after the point.
    fn of(value: f64) -> Self {
        let text = format!("{:.140}", value.abs());
        let (whole, rest) = text.split_once('.').unwrap();
        Self::from_digits(&format!("{whole}{rest}"), whole.len() as i32)
    }

    fn from_digits(digits: &str, power: i32) -> Self {
        let zeros = digits.bytes().take_while(|digit| *digit == b'0').count();
        let digits = digits
            .bytes()
            .skip(zeros)
            .map(|digit| digit - b'0')
            .collect::<Vec<_>>();
        let power = if digits.is_empty() {
            0
        } else {
            power - zeros as i32
        };
        Self { digits, power }
    }

    /// The size in whole units of 10^−`places`, rounded, halves upwards.
    fn count(&self, places: i32) -> u128 {
        let kept = self.power + places;
        let digit = |place: i32| match usize::try_from(place) {
            Ok(place) => self.digits.get(place).copied().unwrap_or(0),
            Err(_) => 0,
        };
        assert!(kept < 38);
        let whole = (0..kept).fold(0, |count, place| 10 * count + u128::from(digit(place)));
        whole + u128::from(digit(kept) >= 5)
    }

    /// The size with this number of decimals.
    fn decimals(&self, places: usize) -> String {
        let count = self.count(places as i32).to_string();
        let count = format!("{count:0>width$}", width = places + 1);
        let (whole, rest) = count.split_at(count.len() - places);
        if places == 0 {
            whole.into()
        } else {
            format!("{whole}.{rest}")
        }
    }

    /// The size with so many significant digits and a prefix, as the module's documentation has it.
    fn engineering(&self, negative: bool, significant: i32, unit: &str) -> String {
        const PREFIXES: [&str; 13] = ["a", "f", "p", "n", "u", "m", "", "k", "M", "G", "T", "P", "E"];
        let minus = if negative { "-" } else { "" };
        if self.digits.is_empty() {
            return format!("0 {unit}");
        }
        // Rounding may carry to the next power.
        let carries = self.count(significant - self.power) == 10u128.pow(significant as u32);
        let power = self.power + i32::from(carries);
        if power > 21 {
            let beyond = if negative { "<-" } else { ">" };
            return format!("{beyond}999{} E{unit}", if significant == 3 { "" } else { ".9" });
        }
        if power <= -18 {
            let places = significant as usize;
            let size = self.shifted(18).decimals(places);
            if size.bytes().all(|byte| matches!(byte, b'0' | b'.')) {
                let least = format!("0.{:0>places$}", 1);
                return format!("{}{least} a{unit}", if negative { ">-" } else { "<" });
            }
            return format!("{minus}{size} a{unit}");
        }
        let thousands = (power - 1).div_euclid(3);
        let places = significant - (power - 3 * thousands);
        let size = self.shifted(-3 * thousands).decimals(places as usize);
        format!("{minus}{size} {}{unit}", PREFIXES[(thousands + 6) as usize])
    }

    /// Times ten to a power.
    fn shifted(&self, power: i32) -> Self {
        Self {
            digits: self.digits.clone(),
            power: self.power + power,
        }
    }
}

/// Every digit true: rounded of all the digits that the value has, halves away from zero, no sign before a zero.
fn rounded(value: f64, decimals: usize) -> String {
    let size = Exact::of(value).decimals(decimals);
    let is_zero = size.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    format!("{}{size}", if value < 0.0 && !is_zero { "-" } else { "" })
}

/// Two decimals below 10, one below 1000, none above.
fn scaled(value: f64) -> String {
    for (limit, decimals) in [(10.0, 2), (1000.0, 1), (100_000.0, 0)] {
        let text = rounded(value, decimals);
        if text.parse::<f64>().unwrap().abs() < limit {
            return text;
        }
    }
    ">99999".into()
}

fn readouts<A: Arithmetic>() {
    let mut random = Random::new(21);
    for _ in 0..20_000 {
        let (re, im) = random.gamma();
        let Ok(gamma) = Reflection::<A>::try_from_f64(re, im) else {
            continue;
        };
        let mut line = [0; 20];
        let check = |got: &str, label: &str, want: &str, unit: &str| {
            assert_eq!(got.len(), 20);
            let got = value(got, label);
            let bare = got
                .strip_suffix(unit)
                .unwrap_or_else(|| panic!("{got}: no {unit}"));
            assert_eq!(bare, want, "{label} of {re} {im}");
        };
        if !gamma.is_total() && !gamma.swr().is_at_end() {
            check(
                text::swr(&mut line, gamma).unwrap(),
                "SWR",
                &scaled(gamma.swr().to_f64()),
                "",
            );
            let want = scaled(gamma.mismatch_loss().to_f64());
            check(text::mismatch_loss(&mut line, gamma).unwrap(), "ML", &want, " dB");
            if !gamma.q().is_at_end() {
                check(
                    text::q(&mut line, gamma).unwrap(),
                    "Q",
                    &scaled(gamma.q().to_f64()),
                    "",
                );
            }
        }
        if !gamma.return_loss().is_at_end() {
            let want = scaled(gamma.return_loss().to_f64());
            check(text::return_loss(&mut line, gamma).unwrap(), "RL", &want, " dB");
        }
        let want = rounded(gamma.phase().to_f64(), 1);
        if gamma.magnitude() > Component::<A>::ZERO {
            check(text::phase(&mut line, gamma).unwrap(), "phase", &want, " deg");
        }
        if !gamma.magnitude().is_at_end() {
            let want = rounded(gamma.magnitude().to_f64(), 3);
            check(text::magnitude(&mut line, gamma).unwrap(), "|refl|", &want, "");
        }
    }
}

#[test]
fn readouts_are_rounded_as_the_standard_library_does() {
    every_family!(readouts);
}

/// Three significant digits with a prefix.
fn three_digits(value: f64, unit: &str) -> String {
    Exact::of(value).engineering(value < 0.0, 3, unit)
}

fn impedances<A: Arithmetic>() {
    let mut random = Random::new(22);
    for _ in 0..20_000 {
        let (r, x) = (random.decades(1e-3, 5e5), random.decades(1e-3, 5e5));
        let load = load::<A>(r, x);
        let mut line = [0; 20];
        let got = value(text::resistance(&mut line, load).unwrap(), "R");
        assert_eq!(got, three_digits(load.resistance().to_f64(), "ohm"), "{r}");
        let got = value(text::reactance(&mut line, load).unwrap(), "X");
        assert_eq!(got, three_digits(load.reactance().to_f64(), "ohm"), "{x}");
        // Both parts in one line: each is within half of the last place shown, and of the unit shown.
        let got = value(text::impedance(&mut line, load).unwrap(), "Z");
        let (parts, unit) = got.rsplit_once(' ').unwrap();
        let (resistance, reactance) = parts.split_once(' ').unwrap();
        let (sign, size) = reactance.split_once('j').unwrap();
        let factor = if unit == "kohm" { 1e3 } else { 1.0 };
        let decimals = size.split_once('.').map_or(0, |(_, after)| after.len());
        let half = 0.5000001 * factor / 10f64.powi(decimals as i32);
        let told = |text: &str| text.parse::<f64>().unwrap() * factor;
        assert!(
            (told(resistance) - load.resistance().to_f64()).abs() <= half,
            "{got}"
        );
        let reactance = told(size) * if sign == "-" { -1.0 } else { 1.0 };
        assert!((reactance - load.reactance().to_f64()).abs() <= half, "{got}");
        // Three digits of the larger part at least, and never more than four before the point.
        let larger = told(resistance).abs().max(reactance.abs());
        assert!(larger < 10.0 || half * 199.0 <= larger * factor.max(1.0), "{got}");
    }
}

#[test]
fn impedances_are_rounded_as_the_standard_library_does() {
    every_family!(impedances);
}

/// A value near which rounding decides: `digits` significant ones and a half, times ten to a power.
fn half_way(random: &mut Random, digits: u32, powers: Range<i32>) -> f64 {
    let power = powers.start + (random.bits() % powers.len() as u64) as i32;
    let least = 10u64.pow(digits - 1);
    let count = least + random.bits() % (9 * least);
    format!("{count}5e{}", power - digits as i32).parse().unwrap()
}

/// The words of a family that are hard to show: of every size from 10⁻²⁴ to 10²³, half of them next to where rounding
/// decides, with either sign where the word has one; and the smallest steps of a word in fixed point.
fn hard<A: Arithmetic, W: Quantity>(random: &mut Random, digits: u32) -> Option<W> {
    let value = match random.bits() % 4 {
        0 | 1 => half_way(random, digits, -24..23),
        2 => half_way(random, digits, -5..5),
        _ => random.decades(1e-24, 1e23),
    };
    let step = (random.bits() % 5) as i64 - 2;
    let is_fixed = is_fixed::<A>();
    let word = if is_fixed && random.bits().is_multiple_of(2) {
        W::from_stored(random.bits() >> (random.bits() % 64))
    } else {
        // A few steps of the word beside.
        let bits = W::try_from_f64(value).ok()?.to_stored();
        W::from_stored(bits.saturating_add_signed(step))
    };
    let word = if random.bits().is_multiple_of(2) {
        W::ZERO.minus(word)
    } else {
        word
    };
    // What is at its end is looked at by itself.
    (!word.is_at_end() || word == W::ZERO).then_some(word)
}

fn every_digit<A: Arithmetic>() {
    const CASES: u32 = 20_000;
    let mut random = Random::new(23);
    let mut line = [0; 40];
    // Texts shown, texts with a digit that is not true, and the worst of them.
    let mut seen = [0u32; 6];
    let mut wrong: Vec<(String, String)> = Vec::new();
    let mut compare = |which: usize, got: &str, want: String| {
        let got = got
            .trim_start_matches(['P', 'U', 'I', 'l', 'L', 'C'])
            .trim_start();
        seen[which] += 1;
        if got != want {
            wrong.push((got.into(), want));
        }
    };
    for _ in 0..CASES {
        let three = |value: f64, unit: &str| three_digits(value, unit);
        if let Some(word) = hard::<A, Watts<A>>(&mut random, 3) {
            let got = text::power::<A>(&mut line, "P", word).unwrap();
            compare(0, got, three(word.to_f64(), "W"));
        }
        if let Some(word) = hard::<A, Volts<A>>(&mut random, 3) {
            let got = text::voltage::<A>(&mut line, "U", word).unwrap();
            compare(1, got, three(word.to_f64(), "V"));
        }
        if let Some(word) = hard::<A, Amperes<A>>(&mut random, 3) {
            let got = text::current::<A>(&mut line, "I", word).unwrap();
            compare(2, got, three(word.to_f64(), "A"));
        }
        if let Some(word) = hard::<A, Metres<A>>(&mut random, 3) {
            let got = text::length::<A>(&mut line, "l", word).unwrap();
            compare(3, got, three(word.to_f64(), "m"));
        }
        // In fixed point the words are whole picohenries and femtofarads.
        let part =
            |word: f64, places: i32, unit: &str| Exact::of(word).shifted(-places).engineering(false, 4, unit);
        let is_fixed = matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16);
        let word = hard::<A, A::InductanceWord>(&mut random, 4);
        if let Some(coil) = word.and_then(|word| Inductance::<A>::new(word).ok()) {
            let want = part(coil.get().to_f64(), if is_fixed { 12 } else { 0 }, "H");
            compare(4, text::inductance(&mut line, coil).unwrap(), want);
        }
        let word = hard::<A, A::CapacitanceWord>(&mut random, 4);
        if let Some(capacitor) = word.and_then(|word| Capacitance::<A>::new(word).ok()) {
            let want = part(capacitor.get().to_f64(), if is_fixed { 15 } else { 0 }, "F");
            compare(5, text::capacitance(&mut line, capacitor).unwrap(), want);
        }
    }
    let shown: u32 = seen.iter().sum();
    let few = CASES
        / if matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16) {
            5
        } else {
            3
        };
    assert!(seen.iter().all(|count| *count > few), "{seen:?}");
    println!(
        "{:?}: {} of {shown} texts have a digit that is not true",
        A::FAMILY,
        wrong.len()
    );
    let worst = wrong.iter().max_by_key(|(got, want)| {
        got.bytes()
            .zip(want.bytes())
            .take_while(|(a, b)| a == b)
            .count()
            .wrapping_neg()
    });
    assert!(worst.is_none(), "{} of {shown}, such as {worst:?}", wrong.len());
}

/// Power, voltage, current, length, inductance, capacitance: every digit is what rounding the exact value gives.
#[test]
fn every_digit_shown_is_true() {
    every_family!(every_digit);
    // The oracle, against examples worked out by hand.
    let told = |value: f64, digits| Exact::of(value).engineering(value < 0.0, digits, "W");
    assert_eq!(told(1.234e-8, 3), "12.3 nW");
    assert_eq!(told(5.011_872_336e-10, 3), "501 pW"); // -63 dBm
    assert_eq!(told(-0.125, 3), "-125 mW");
    assert_eq!(told(9.9951, 3), "10.0 W");
    assert_eq!(told(0.062_5, 3), "62.5 mW");
    assert_eq!(told(1.062_5, 4), "1.063 W");
    assert_eq!(told(9.9996e20, 3), ">999 EW");
    assert_eq!(told(2e-22, 3), "<0.001 aW");
    assert_eq!(rounded(-0.125, 2), "-0.13");
    assert_eq!(rounded(-0.004, 2), "0.00");
}

pub fn shown(write: impl Fn(&mut [u8]) -> Result<&str, TextError>) -> String {
    let mut line = [b'#'; 20];
    let text = write(&mut line).unwrap().to_string();
    assert_eq!(line, text.as_bytes(), "the whole buffer is the line");
    text
}

/// The lines as they are documented, column by column.
fn golden<A: Arithmetic>() {
    let g = gamma::<A>(0.0588, 0.2353);
    let z50 = Reference::<A>::fifty();
    assert_eq!(
        shown(|l| text::frequency(l, Hertz::from_megahertz(71))),
        "f        71.0000 MHz"
    );
    assert_eq!(shown(|l| text::swr(l, g)), "SWR             1.64");
    assert_eq!(shown(|l| text::return_loss(l, g)), "RL           12.3 dB");
    assert_eq!(shown(|l| text::mismatch_loss(l, g)), "ML           0.26 dB");
    // Not so close to a half of the last digit as to be on its other side in 16 bits.
    let clear = gamma::<A>(0.059, 0.2353);
    assert_eq!(shown(|l| text::magnitude(l, clear)), "|refl|         0.243");
    assert_eq!(shown(|l| text::phase(l, g)), "phase       76.0 deg");
    assert_eq!(shown(|l| text::q(l, g)), "Q               0.50");
    assert_eq!(
        shown(|l| text::impedance_magnitude(l, g, z50)),
        "|Z|         55.9 ohm"
    );
    assert_eq!(
        shown(|l| text::impedance(l, load::<A>(50.0, 25.0))),
        "Z    50.0 +j25.0 ohm"
    );
    assert_eq!(
        shown(|l| text::impedance(l, load::<A>(1.6, -5.0))),
        "Z    1.60 -j5.00 ohm"
    );
    assert_eq!(
        shown(|l| text::impedance(l, load::<A>(1.6, 9.996))),
        "Z     1.6 +j10.0 ohm"
    );
    assert_eq!(
        shown(|l| text::impedance(l, load::<A>(12_345.0, -1.0))),
        "Z    12.3 -j0.0 kohm"
    );
    assert_eq!(
        shown(|l| text::reactance(l, load::<A>(50.0, -25.0))),
        "X          -25.0 ohm"
    );
    let coil = Reactor::<A>::Inductor(Inductance::from_picohenries(38_984));
    assert_eq!(shown(|l| text::part(l, coil)), "L           38.98 nH");
    let capacitor = Reactor::<A>::Capacitor(Capacitance::from_femtofarads(22_280));
    assert_eq!(shown(|l| text::part(l, capacitor)), "C           22.28 pF");
    let volts = Volts::<A>::try_from_f64(70.75).unwrap();
    assert_eq!(
        shown(|l| text::voltage::<A>(l, "V peak", volts)),
        "V peak        70.8 V"
    );
    let amperes = Amperes::<A>::try_from_f64(0.25).unwrap();
    assert_eq!(
        shown(|l| text::current::<A>(l, "I", amperes)),
        "I             250 mA"
    );
    let watts = Watts::<A>::try_from_f64(1500.0).unwrap();
    assert_eq!(shown(|l| text::power::<A>(l, "P", watts)), "P            1.50 kW");
    let metres = Metres::<A>::try_from_f64(12.0).unwrap();
    assert_eq!(
        shown(|l| text::length::<A>(l, "cable", metres)),
        "cable         12.0 m"
    );
}

#[test]
fn lines_as_documented() {
    every_family!(golden);
}

/// What has no number says so, in every family.
fn ends<A: Arithmetic>() {
    let z50 = Reference::<A>::fifty();
    let short = Reflection::<A>::SHORT;
    assert_eq!(shown(|l| text::swr(l, short)), "SWR         infinite");
    assert_eq!(shown(|l| text::mismatch_loss(l, short)), "ML       infinite dB");
    assert_eq!(shown(|l| text::return_loss(l, short)), "RL           0.00 dB");
    assert_eq!(
        shown(|l| text::phase(l, Reflection::<A>::MATCHED)),
        "phase        unknown"
    );
    assert_eq!(shown(|l| text::phase(l, short)), "phase      180.0 deg");
    assert_eq!(
        shown(|l| text::resistance(l, Impedance::<A>::OPEN)),
        "R               open"
    );
    assert_eq!(
        shown(|l| text::reactance(l, Impedance::<A>::OPEN)),
        "X               open"
    );
    assert_eq!(
        shown(|l| text::impedance(l, Impedance::<A>::OPEN)),
        "Z               open"
    );
    assert_eq!(
        shown(|l| text::impedance_magnitude(l, Reflection::<A>::OPEN, z50)),
        "|Z|             open"
    );
    assert_eq!(
        shown(|l| text::resistance(l, short.impedance(z50))),
        "R              0 ohm"
    );
    assert_eq!(
        shown(|l| text::q(l, gamma::<A>(0.5, 0.0))),
        "Q               0.00"
    );
    // What lies at the end of its word is beyond what it says; infinity is beyond what can be shown.
    let is_fixed = matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16);
    let at_ends = [
        (
            shown(|l| text::power::<A>(l, "P", Watts::MAX)),
            ">524 kW",
            ">999 EW",
        ),
        (
            shown(|l| text::power::<A>(l, "P", Watts::MIN)),
            "<-524 kW",
            "<-999 EW",
        ),
        (
            shown(|l| text::voltage::<A>(l, "U", Volts::MAX)),
            ">524 kV",
            ">999 EV",
        ),
        (
            shown(|l| text::current::<A>(l, "I", Amperes::MAX)),
            ">32.7 kA",
            ">999 EA",
        ),
        (
            shown(|l| text::length::<A>(l, "l", Metres::MAX)),
            ">65.5 km",
            ">999 Em",
        ),
    ];
    for (line, fixed, float) in at_ends {
        assert_eq!(value(&line, &line[..1]), if is_fixed { fixed } else { float });
    }
    assert_eq!(
        shown(|l| text::length::<A>(l, "l", Metres::ZERO)),
        "l                0 m"
    );
    if is_fixed {
        let most = Reactor::<A>::Inductor(Inductance::from_picohenries(u32::MAX));
        assert_eq!(shown(|l| text::part(l, most)), "L          >4.294 mH");
    } else {
        let nan = if A::WattsWord::STORED_BYTES == 4 {
            0x7fc0_0000
        } else {
            0x7ff8 << 48
        };
        let nan = Watts::<A>::new(A::WattsWord::from_stored(nan));
        assert_eq!(shown(|l| text::power::<A>(l, "P", nan)), "P            unknown");
    }
    // Gain has a negative return loss, and its SWR is past all.
    let gain = gamma::<A>(1.25, 0.0);
    assert_eq!(shown(|l| text::return_loss(l, gain)), "RL          -1.94 dB");
    assert_eq!(shown(|l| text::swr(l, gain)), "SWR         infinite");
    let lossless = gamma::<A>(0.0, 1.0);
    assert_eq!(shown(|l| text::q(l, lossless)), "Q           infinite");
    if A::FAMILY == Family::Fixed32 {
        let rim = Reflection::<A>::try_from_f64(1.0 - 2f64.powi(-20), 0.0).unwrap();
        assert_eq!(shown(|l| text::swr(l, rim)), "SWR           >65536");
    }
    if is_fixed {
        let far = Reflection::<A>::try_from_f64(-2.0, 0.0).unwrap();
        assert_eq!(shown(|l| text::magnitude(l, far)), "|refl|        >2.000");
    }
}

#[test]
fn the_ends_are_honest() {
    every_family!(ends);
    // Beyond what can be counted.
    let huge = load::<f64>(1e22, 0.0);
    assert_eq!(shown(|l| text::resistance(l, huge)), "R          >999 Eohm");
}

#[test]
fn a_short_buffer_is_an_error_and_says_how_long_it_must_be() {
    let g = gamma::<Fixed32>(0.0588, 0.2353);
    for length in 0..30 {
        let mut line = vec![b'#'; length];
        match text::swr(&mut line, g) {
            Ok(text) => {
                assert!(length >= 8);
                assert_eq!(text.len(), length);
                assert!(text.starts_with("SWR ") && text.ends_with(" 1.64"));
            }
            Err(error) => {
                assert!(length < 8);
                assert_eq!(error, TextError::BufferTooShort(8));
                assert!(
                    line.iter().all(|byte| *byte == b' '),
                    "nothing old, nothing halved"
                );
            }
        }
    }
}

#[test]
fn four_lines_and_the_verdict() {
    let target = Hertz::from_megahertz(71);
    let point = |dip: f64, hertz: f64| {
        let ratio = hertz / dip;
        load::<Fixed32>(40.0, 44.1 * (ratio - 1.0 / ratio)).reflection(Reference::fifty())
    };
    let sweep = |dip: f64, target: Option<Hertz>, stop: u64| {
        let mut analyser = SweepAnalyser::<Fixed32, 4>::new(SweepSettings {
            target,
            ..Default::default()
        })
        .unwrap();
        for hertz in (60_000_000..=stop).step_by(500_000) {
            analyser
                .push(Hertz::new(hertz), point(dip, hertz as f64))
                .unwrap();
        }
        analyser.report()
    };
    let verdict = |report| shown(|line| text::verdict(line, &report));
    assert_eq!(
        verdict(sweep(70.9e6, Some(target), 80_000_000)),
        "pass        SWR 1.25"
    );
    assert_eq!(
        verdict(sweep(48.0e6, Some(target), 80_000_000)),
        "fail        SWR 2.23"
    );
    assert_eq!(
        verdict(sweep(62.0e6, Some(target), 70_000_000)),
        "    target not swept"
    );
    assert_eq!(verdict(sweep(62.0e6, None, 70_000_000)), "best     62.0004 MHz");
    assert_eq!(verdict(sweep(90.0e6, None, 70_000_000)), "    best at the edge");
    assert_eq!(verdict(sweep(90.0e6, None, 50_000_000)), "            no sweep");

    let (mut a, mut b, mut c, mut d) = ([0; 20], [0; 20], [0; 20], [0; 20]);
    let g = gamma::<Fixed32>(0.0588, 0.2353);
    text::summary([&mut a, &mut b, &mut c, &mut d], target, g, Reference::fifty()).unwrap();
    let lines = [a, b, c, d].map(|line| String::from_utf8(line.to_vec()).unwrap());
    assert_eq!(
        lines,
        [
            "f        71.0000 MHz",
            "SWR             1.64",
            "RL           12.3 dB",
            "Z    50.0 +j25.0 ohm",
        ]
    );

    // One that is too short is blank, and the others are written nevertheless.
    let (mut a, mut b, mut c, mut d) = ([b'#'; 20], [b'#'; 7], [b'#'; 20], [b'#'; 3]);
    let error = text::summary([&mut a, &mut b, &mut c, &mut d], target, g, Reference::fifty());
    assert_eq!(error, Err(TextError::BufferTooShort(8)));
    assert_eq!((&a, &b), (b"f        71.0000 MHz", b"       "));
    assert_eq!((&c, &d), (b"RL           12.3 dB", b"   "));
}
