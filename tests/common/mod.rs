//! What the integration tests share: a random source, edge cases, an oracle, a CSV reader and the table of bounds.

#![allow(dead_code, unused_macros)] // Each test binary uses its own part.

pub mod complex;
#[macro_use]
pub mod every_readout;
pub mod fixture;
pub mod impedances;
#[macro_use]
pub mod law;
pub mod networks;
pub mod published;
pub mod readouts;

use core::ops::{Add, Div, Mul, Neg, Sub};

use ohmwright::arithmetic::accuracy::{Family, Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::quantity::{Component, Reflection};

/// True with `OHMWRIGHT_SEARCH=deep`: many cases, for minutes and more.
pub fn deep() -> bool {
    std::env::var_os("OHMWRIGHT_SEARCH").is_some_and(|value| value == "deep")
}

/// A deterministic random source (the usual 64-bit mixing of a counter).
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly in `[low, high)`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly over the decades, with a random sign.
    pub fn decades(&mut self, low: f64, high: f64) -> f64 {
        let size = 10f64.powf(self.between(low.log10(), high.log10()));
        if self.bits() & 1 == 0 { size } else { -size }
    }

    /// A number of standard deviation 1, nearly normal.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.between(0.0, 1.0)).sum::<f64>() - 6.0
    }

    /// A Γ: usually inside of the circle, often close to the rim, sometimes beyond.
    pub fn gamma(&mut self) -> (f64, f64) {
        let magnitude = match self.bits() % 4 {
            0 => self.between(0.0, 1.0),
            1 => 1.0 + self.decades(1e-9, 0.5),
            2 => self.decades(1e-9, 1.0).abs(),
            _ => self.between(0.9, 1.1),
        };
        let angle = self.between(-core::f64::consts::PI, core::f64::consts::PI);
        (magnitude * angle.cos(), magnitude * angle.sin())
    }
}

/// Γ where something can go wrong: the axes, the rim from both sides, next to nothing, far out, the ends of `I2F30`.
pub fn edges() -> Vec<(f64, f64)> {
    let mut list = vec![
        (0.0, 0.0),
        (1.0, 0.0),
        (-1.0, 0.0),
        (0.0, 1.0),
        (0.0, -1.0),
        (0.6, 0.8),
        (-0.8, 0.6),
        (1.2, 0.0),
        (-1.2, 0.3),
        (0.0, 1.5),
        (1.5, -1.5),
        (1.0, 1.0),
        (1.0, -1e-9),
        (-1.0, 1e-9),
    ];
    let step = 2f64.powi(-30);
    let word_ends = [-2.0, -2.0 + step, 2.0 - step];
    for a in word_ends {
        list.extend([(a, 0.0), (0.0, a), (a, step), (1.0, a), (a, 1.0)]);
        list.extend(word_ends.map(|b| (a, b)));
    }
    for k in 1..=30 {
        let gap = 2f64.powi(-k);
        for magnitude in [1.0 - gap, 1.0 + gap, gap] {
            for (x, y) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
                list.push((magnitude * x, magnitude * y));
            }
            for degrees in [1f64, 30.0, 45.0, 89.0, 135.0, 179.0, -17.0, -120.0] {
                let angle = degrees.to_radians();
                list.push((magnitude * angle.cos(), magnitude * angle.sin()));
            }
        }
        // Right beside the open and the short.
        list.extend([
            (1.0, gap),
            (1.0 - gap, gap),
            (-1.0, -gap),
            (gap - 1.0, gap),
            (1.0, -gap),
        ]);
    }
    list
}

/// Γ only a floating family can hold.
pub fn floating_edges() -> Vec<(f64, f64)> {
    let far = 1_048_576.0;
    vec![
        (far, far),
        (-far, 0.0),
        (0.0, -far),
        (1000.0, -3.0),
        (1e-20, -1e-20),
        (1e-36, 0.0),
        (1.0, 1e-20),
        (1.0, -1e-22),
        (1.0, 1e-17),
        (1.0, 1e-24),
        (1.0, -1e-170),
        (-1.0, 1e-30),
        (0.5, 1e-30),
        (1.0 - 2f64.powi(-24), 1e-12),
        (1.0 + 2f64.powi(-23), 1e-12),
    ]
}

/// An even grid over the square of side 4 that `I2F30` covers.
pub fn grid(steps: i32) -> impl Iterator<Item = (f64, f64)> {
    let place = move |i: i32| 1.999 * i as f64 / steps as f64;
    (-steps..=steps).flat_map(move |i| (-steps..=steps).map(move |j| (place(i), place(j))))
}

/// Reflections of a family: edges, grid and random ones, each rounded to the family.
pub fn reflections<A: Arithmetic>(seed: u64, random: usize) -> Vec<Reflection<A>> {
    let mut source = Random::new(seed);
    let mut list = edges();
    list.extend(floating_edges());
    list.extend(grid(40));
    list.extend(core::iter::repeat_with(|| source.gamma()).take(random));
    // Fixed point refuses what it cannot hold.
    list.into_iter()
        .filter_map(|(re, im)| Reflection::try_from_f64(re, im).ok())
        .collect()
}

/// A number as the unevaluated sum of two doubles, some 32 decimal digits: what the oracle computes in.
///
/// T. J. Dekker, "A floating-point technique for extending the available precision", Numerische Mathematik 18, 1971.
#[derive(Clone, Copy, Debug)]
pub struct Long {
    high: f64,
    low: f64,
}

fn two_sum(a: f64, b: f64) -> (f64, f64) {
    let sum = a + b;
    let part = sum - a;
    (sum, (a - (sum - part)) + (b - part))
}

impl Long {
    fn normal(high: f64, low: f64) -> Self {
        let sum = high + low;
        if !sum.is_finite() {
            return Self { high: sum, low: 0.0 };
        }
        Self {
            high: sum,
            low: low - (sum - high),
        }
    }

    pub fn root(self) -> Self {
        if self.high <= 0.0 {
            return Self::from(0.0);
        }
        let guess = Self::from(self.high.sqrt());
        guess + Self::from((self - guess * guess).high / (2.0 * guess.high))
    }

    pub fn value(self) -> f64 {
        self.high + self.low
    }
}

impl From<f64> for Long {
    fn from(value: f64) -> Self {
        Self {
            high: value,
            low: 0.0,
        }
    }
}

impl Neg for Long {
    type Output = Self;
    fn neg(self) -> Self {
        Self {
            high: -self.high,
            low: -self.low,
        }
    }
}

impl Add for Long {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let (sum, rest) = two_sum(self.high, other.high);
        let (low, lowest) = two_sum(self.low, other.low);
        let first = Self::normal(sum, rest + low);
        Self::normal(first.high, first.low + lowest)
    }
}

impl Sub for Long {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Mul for Long {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let product = self.high * other.high;
        let rest = self.high.mul_add(other.high, -product);
        Self::normal(product, rest + (self.high * other.low + self.low * other.high))
    }
}

impl Div for Long {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let first = self.high / other.high;
        if !first.is_finite() {
            return Self::from(first);
        }
        let rest = self - other * Self::from(first);
        let second = rest.high / other.high;
        let rest = rest - other * Self::from(second);
        Self::normal(first, second) + Self::from(rest.high / other.high)
    }
}

/// The power of two that brings the larger of both to about 1.
fn unit(a: f64, b: f64) -> f64 {
    let size = a.abs().max(b.abs());
    2f64.powi(size.log2().floor().clamp(-1000.0, 1000.0) as i32)
}

/// √(a² + b²).
pub fn length(a: Long, b: Long) -> Long {
    let unit = unit(a.high, b.high);
    let (a, b) = (a / unit.into(), b / unit.into());
    (a * a + b * b).root() * unit.into()
}

/// 10·lg of a number near 1 or not.
const TEN_LG: f64 = 10.0 / core::f64::consts::LN_10;

/// Everything that is read off one Γ, which is taken as exact.
#[derive(Clone, Copy, Debug)]
pub struct Truth {
    pub magnitude: f64,
    /// 1 − |Γ|².
    pub passive: f64,
    /// Infinite at the rim and beyond.
    pub swr: f64,
    pub return_loss: f64,
    /// Infinite at the rim and beyond.
    pub mismatch_loss: f64,
    pub phase: f64,
    pub share: f64,
    pub q: f64,
}

pub fn truth(re: f64, im: f64) -> Truth {
    let (a, b) = (Long::from(re), Long::from(im));
    let one = Long::from(1.0);
    let magnitude = length(a, b);
    let passive = (one - a * a) - b * b;
    let total = passive.value() <= 0.0;
    let share = a * a + b * b;
    let return_loss = if magnitude.value() == 0.0 {
        f64::INFINITY
    } else if share.value() > 0.5 && share.value() < 2.0 {
        -TEN_LG * (-passive.value()).ln_1p()
    } else {
        -20.0 * magnitude.value().log10()
    };
    let sum = one + magnitude;
    Truth {
        magnitude: magnitude.value(),
        passive: passive.value(),
        swr: if total {
            f64::INFINITY
        } else {
            (sum * sum / passive).value()
        },
        return_loss,
        mismatch_loss: if total {
            f64::INFINITY
        } else if share.value() < 0.5 {
            -TEN_LG * (-share.value()).ln_1p()
        } else {
            -10.0 * passive.value().log10()
        },
        phase: degrees(re, im),
        share: share.value(),
        q: if im == 0.0 {
            0.0
        } else {
            (Long::from(2.0 * im) / passive).value().abs()
        },
    }
}

/// The angle in (−180°, 180°], 0 for nothing.
pub fn degrees(re: f64, im: f64) -> f64 {
    if re == 0.0 && im == 0.0 {
        return 0.0;
    }
    // 180/π as a sum of two doubles.
    let scale = Long {
        high: 57.295_779_513_082_32,
        low: -1.987_849_567_057_628_3e-15,
    };
    let angle = (Long::from(im.atan2(re)) * scale).value();
    if angle <= -180.0 { 180.0 } else { angle }
}

/// 1 − |Γ|² of a Γ in steps of 2⁻³⁰, in steps of 2⁻⁶⁰ and exact.
pub fn passive_bits(re: i32, im: i32) -> i128 {
    (1i128 << 60) - (re as i128 * re as i128 + im as i128 * im as i128)
}

/// R, X and |Z| of a Γ; infinity, 0, infinity for Γ = 1.
pub fn impedance_truth(re: f64, im: f64, reference: f64) -> (f64, f64, f64) {
    let one = Long::from(1.0);
    let (a, b) = (Long::from(re), Long::from(im));
    let away = one - a;
    if away.value() == 0.0 && im == 0.0 {
        return (f64::INFINITY, 0.0, f64::INFINITY);
    }
    // In units of the distance from the open, so that no square underflows.
    let unit = Long::from(unit(away.value(), im));
    let (dx, dy) = (away / unit, b / unit);
    let square = dx * dx + dy * dy;
    let passive = (one - a * a) - b * b;
    let scale = Long::from(reference) / square / unit;
    (
        (scale * (passive / unit)).value(),
        (scale * (Long::from(2.0) * dy)).value(),
        (Long::from(reference) * (length(one + a, b) / length(away, b))).value(),
    )
}

/// (a + jb)/(c + jd).
pub fn quotient(above: (Long, Long), below: (Long, Long)) -> (f64, f64) {
    let unit: Long = unit(below.0.high, below.1.high).into();
    let (c, d) = (below.0 / unit, below.1 / unit);
    let square = c * c + d * d;
    let (a, b) = above;
    (
        ((a * c + b * d) / square / unit).value(),
        ((b * c - a * d) / square / unit).value(),
    )
}

/// (Z − Zs*)/(Z + Zs); with a real Zs the plain Γ.
pub fn wave_truth(load: (f64, f64), source: (f64, f64)) -> (f64, f64) {
    let (r, x, rs, xs) = (
        Long::from(load.0),
        Long::from(load.1),
        Long::from(source.0),
        Long::from(source.1),
    );
    quotient((r - rs, x + xs), (r + rs, x + xs))
}

/// 1/(a + jb).
pub fn inverse(a: f64, b: f64) -> (f64, f64) {
    quotient((1.0.into(), 0.0.into()), (a.into(), b.into()))
}

/// Compares with the table of bounds; `Err` says by how much it misses.
///
/// `want` beyond the word is the word's end. At and beyond the rim the floating families lose the side: where the
/// table allows as much as the value itself, any number will do.
pub fn within(
    readout: Readout,
    family: Family,
    got: f64,
    want: f64,
    scale: f64,
    passive: f64,
) -> Result<(), String> {
    if got.is_nan() {
        return Err(format!("{readout:?} in {family:?} is NaN, want {want:e}"));
    }
    let bound = bound(readout, family);
    let allowance = bound.allowance(scale, passive);
    // Exactly on the rim the side is known.
    let blind = passive != 0.0 && passive.abs() <= bound.rim;
    let overflows = matches!(family, Family::F32 | Family::SoftF32)
        && want.abs() > f32::MAX as f64
        && got == f64::INFINITY.copysign(want);
    if got == want || blind || overflows {
        return Ok(());
    }
    let mut gap = (got - want).abs();
    if readout == Readout::Phase {
        gap = gap.min(360.0 - gap);
    }
    if got.is_finite() && want.is_finite() && gap <= allowance {
        Ok(())
    } else {
        Err(format!(
            "{readout:?} in {family:?}: got {got:e}, want {want:e}, off by {:e}, allowed {allowance:e}",
            got - want
        ))
    }
}

/// [`within`] for a word: what lies beyond its ends is expected there.
pub fn word_within<Q: Quantity>(
    readout: Readout,
    family: Family,
    got: Q,
    want: f64,
    scale: f64,
    passive: f64,
) -> Result<(), String> {
    let want = want.clamp(Q::MIN.to_f64(), Q::MAX.to_f64());
    within(readout, family, got.to_f64(), want, scale, passive)
}

/// [`word_within`], as an assertion.
#[track_caller]
pub fn assert_within<Q: Quantity>(
    readout: Readout,
    family: Family,
    got: Q,
    want: f64,
    scale: f64,
    passive: f64,
) {
    if let Err(message) = word_within(readout, family, got, want, scale, passive) {
        panic!("{message}");
    }
}

/// A table with one header line; fields may stand in double quotes.
pub struct Table {
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// One line of a [`Table`].
#[derive(Clone, Copy)]
pub struct Row<'a> {
    header: &'a [String],
    fields: &'a [String],
}

impl Table {
    pub fn parse(text: &str) -> Self {
        let mut lines = text.lines().filter(|line| !line.is_empty()).map(fields);
        let header = lines.next().expect("a header line");
        let rows: Vec<_> = lines.collect();
        for row in &rows {
            assert_eq!(row.len(), header.len(), "{row:?}");
        }
        Self { header, rows }
    }

    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|fields| Row {
            header: &self.header,
            fields,
        })
    }
}

impl<'a> Row<'a> {
    pub fn text(&self, column: &str) -> &'a str {
        let place = self.header.iter().position(|name| name == column);
        &self.fields[place.unwrap_or_else(|| panic!("no column {column}"))]
    }

    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column}: {text}"))
    }

    /// `None` for the word `none`.
    pub fn answer(&self, column: &str) -> Option<f64> {
        (self.text(column) != "none").then(|| self.number(column))
    }

    pub fn bits(&self, column: &str) -> i32 {
        self.text(column).parse().expect("an i32")
    }
}

fn fields(line: &str) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut quoted = false;
    for character in line.chars() {
        match character {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            other => fields.last_mut().expect("never empty").push(other),
        }
    }
    fields
}

/// What the table allows of a readout that the rim does not touch.
pub fn allowance<A: Arithmetic>(readout: Readout, scale: f64) -> f64 {
    bound(readout, A::FAMILY).allowance(scale, 1.0)
}

/// True for the families whose readings and results are words of a fixed number of digits after the point.
pub fn is_fixed<A: Arithmetic>() -> bool {
    matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16)
}

/// How far an SWR may be off that was read from a Γ worked out by the family, where Γ should have been that of `swr`; with
/// some relative roundings of the working number on the way: d SWR/d|Γ| = (SWR + 1)²/2.
pub fn swr_slack<A: Arithmetic>(swr: f64, roundings: f64) -> f64 {
    if A::FAMILY == Family::Fixed16 {
        return short_swr_slack::<A>(swr);
    }
    let steepness = (swr + 1.0).powi(2) / 2.0;
    allowance::<A>(Readout::Swr, swr) + (allowance::<A>(Readout::Reflection, 1.0) + roundings) * steepness
}

/// In 16 bits Γ is the larger loss by far: half a step of each component, so √2 of what the table allows of one, moves
/// |Γ|; through (1 + |Γ|)/(1 − |Γ|) itself, since near the rim no derivative holds over half a step. The readout's own
/// bound comes on top.
fn short_swr_slack<A: Arithmetic>(swr: f64) -> f64 {
    let size = (swr - 1.0) / (swr + 1.0) + 2f64.sqrt() * allowance::<A>(Readout::Reflection, 1.0);
    if size < 1.0 {
        let high = (1.0 + size) / (1.0 - size);
        high - swr + allowance::<A>(Readout::Swr, high)
    } else {
        f64::INFINITY
    }
}

/// What `share_taken_from` documents for a passive load.
pub fn share_allowance<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 => 5e-9,
        Family::Fixed16 => 3.1e-5,
        Family::F32 | Family::SoftF32 => 6e-7,
        _ => 1.2e-15,
    }
}

/// 4·Rs·R/|Zs + Z|².
pub fn share_truth(load: (f64, f64), source: (f64, f64)) -> f64 {
    let (r, x) = (Long::from(load.0), Long::from(load.1));
    let (rs, xs) = (Long::from(source.0), Long::from(source.1));
    let size = length(r + rs, x + xs);
    let two = Long::from(2.0);
    ((two * rs / size) * (two * r / size)).value()
}

/// The Γ of the same load against another reference.
pub fn moved_truth(gamma: (f64, f64), from: f64, to: f64) -> (f64, f64) {
    let one = Long::from(1.0);
    let (a, b) = (Long::from(gamma.0), Long::from(gamma.1));
    let (from, to) = (Long::from(from), Long::from(to));
    let voltage = ((one + a) * from, b * from);
    let current = ((one - a) * to, -(b * to));
    quotient(
        (voltage.0 - current.0, voltage.1 - current.1),
        (voltage.0 + current.0, voltage.1 + current.1),
    )
}

/// A changed reference: as Γ from Z; far out, the cancellation in the denominator costs another factor |Γ|.
pub fn moved_within<A: Arithmetic>(moved: Reflection<A>, want: (f64, f64)) -> Result<(), String> {
    let size = want.0.hypot(want.1);
    let slack = allowance::<A>(Readout::Reflection, 1.0) * (size * size).max(1.0);
    let limit = Component::<A>::MAX.to_f64().min(1_048_576.0);
    for (got, want) in [(moved.real(), want.0), (moved.imaginary(), want.1)] {
        // −1 is within the 16-bit word.
        let (got, want) = (got.to_f64(), want.clamp((-limit).min(-1.0), limit));
        if got.is_nan() || (got - want).abs() > slack {
            return Err(format!("{moved:?}: {got:e}, want {want:e}, allowed {slack:e}"));
        }
    }
    Ok(())
}
