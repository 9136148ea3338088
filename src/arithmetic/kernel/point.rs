//! One Γ in units of 2⁻³⁰: the exact squares it starts from, and its readouts before they are rounded to words.

use super::angle;
use super::multiply::{product, signed_product, square};
use super::normalise::{Normal, normalise_short, normalise_square, rounded};
use super::root::coarse_root;
use super::scaled::Scaled;

/// 1 in the unit of a square, 2⁻⁶⁰.
pub(crate) const ONE: u64 = 1 << 60;

/// Γ = (re + j·im)·2⁻³⁰ and |Γ|², which is exact: at most 2⁶³ in units of 2⁻⁶⁰.
pub(crate) struct Point {
    re: i32,
    im: i32,
    square: u64,
}

impl Point {
    #[inline(always)]
    pub(crate) fn new(re: i32, im: i32) -> Self {
        Self {
            re,
            im,
            square: square(re.unsigned_abs()).wrapping_add(square(im.unsigned_abs())),
        }
    }

    /// With |Γ|² from elsewhere, where the components do not hold all of the digits.
    #[inline(always)]
    pub(crate) fn with_square(re: i32, im: i32, square: u64) -> Self {
        Self { re, im, square }
    }

    /// Re Γ.
    #[inline(always)]
    pub(crate) fn across(&self) -> i32 {
        self.re
    }

    /// |Γ|².
    #[inline(always)]
    pub(crate) fn square(&self) -> u64 {
        self.square
    }

    /// |Γ| ≥ 1.
    #[inline(always)]
    pub(crate) fn is_total(&self) -> bool {
        (self.square >> 32) as u32 >= (ONE >> 32) as u32
    }

    /// |Γ| > 1.
    #[inline(always)]
    pub(crate) fn is_active(&self) -> bool {
        (ONE.wrapping_sub(self.square) as i64) < 0
    }

    /// Γ = 1.
    #[inline(always)]
    pub(crate) fn is_open(&self) -> bool {
        self.re == 1 << 30 && self.im == 0
    }

    /// Im Γ < 0.
    #[inline(always)]
    pub(crate) fn is_below(&self) -> bool {
        self.im < 0
    }

    /// |1 − |Γ|²|, exact.
    #[inline(always)]
    pub(crate) fn passive(&self) -> u64 {
        let passive = ONE.wrapping_sub(self.square);
        if (passive as i64) < 0 {
            passive.wrapping_neg()
        } else {
            passive
        }
    }

    /// |1 − Γ|², exact: below 2⁶⁴.
    #[inline(always)]
    pub(crate) fn away(&self) -> u64 {
        ONE.wrapping_add(self.square)
            .wrapping_sub(((self.re as i64) << 31) as u64)
    }

    /// |1 + Γ|², exact: below 2⁶⁴.
    #[inline(always)]
    pub(crate) fn towards(&self) -> u64 {
        ONE.wrapping_add(self.square)
            .wrapping_add(((self.re as i64) << 31) as u64)
    }

    /// |Im Γ|.
    #[inline(always)]
    pub(crate) fn up(&self) -> u32 {
        self.im.unsigned_abs()
    }

    /// |Γ| in units of 2⁻³⁰, from its root.
    #[inline(always)]
    pub(crate) fn magnitude(root: Normal) -> u32 {
        rounded(root.mantissa, root.exponent)
    }

    /// (1 + |Γ|)²/(1 − |Γ|²), for |Γ| below 1; the denominator by its exponent and the mantissa of its inverse.
    #[inline(always)]
    pub(crate) fn standing_wave(rho: u32, passive_exponent: i32, inverse: u32) -> Size {
        // 1 + |Γ| is a mantissa of 31 digits; rounding may have brought it to 32.
        let sum = rho.wrapping_sub(rho >> 30).wrapping_add(1 << 30);
        Size {
            // (sum²/2³¹)·(2⁶¹/mantissa)/2³⁰
            value: product(product(sum, sum) >> 1, inverse),
            exponent: passive_exponent.wrapping_neg(),
        }
    }

    /// The angle, [`angle::FRACTION`] digits after the point, from |Γ| and the mantissa of 1/|Γ|.
    #[inline(always)]
    pub(crate) fn degrees(&self, root: Normal, inverse: u32) -> i32 {
        angle::degrees(self.re, self.im, root, inverse)
    }
}

/// `value · 2^exponent`, with 30 to 32 digits, or 0: a readout before it is rounded to a word.
#[derive(Clone, Copy)]
pub(crate) struct Size {
    value: u32,
    exponent: i32,
}

impl Size {
    /// above/below, with the mantissa of 1/below.
    #[inline(always)]
    pub(crate) fn quotient(above: Normal, below: Normal, inverse: u32) -> Self {
        let (value, exponent) = above.over(inverse, below);
        Self { value, exponent }
    }

    #[inline(always)]
    fn shifted(self, places: i32) -> Self {
        Self {
            value: self.value,
            exponent: self.exponent.wrapping_add(places),
        }
    }

    /// As a signed integer, rounded and saturating.
    #[cfg_attr(not(ohmwright_smallest), inline(always))]
    pub(crate) fn to_signed(self, negative: bool) -> i32 {
        let down = !self.exponent as u32;
        if down.wrapping_sub(1) < 31 {
            // Below 2³⁰: it cannot saturate.
            let twice = self.value.wrapping_shr(down);
            let size = (twice >> 1).wrapping_add(twice & 1) as i32;
            if negative { size.wrapping_neg() } else { size }
        } else {
            signed(negative, rounded(self.value, self.exponent))
        }
    }

    /// Value and exponent.
    #[inline(always)]
    pub(crate) fn parts(self) -> (u32, i32) {
        (self.value, self.exponent)
    }

    /// In units of 2^−fraction, rounded and saturating.
    #[inline(always)]
    pub(crate) fn to_bits(self, fraction: i32) -> u32 {
        rounded(self.value, self.exponent.wrapping_add(fraction))
    }
}

/// Z0/|1 − Γ|², the common factor of R, X and |Z|.
#[derive(Clone, Copy)]
pub(crate) struct Unit(Normal);

impl Unit {
    /// From the reference and |1 − Γ|², which is not zero.
    #[inline(always)]
    pub(crate) fn new(reference: Normal, away: Normal) -> Self {
        // Adding 2 centres the error, since the steps before and after cut digits off. It cannot overflow.
        let value = product(reference.mantissa, away.inverse()).wrapping_add(2);
        let over = value >> 31;
        Self(Normal {
            mantissa: value.wrapping_add(over) >> over,
            exponent: reference
                .exponent
                .wrapping_sub(away.exponent)
                .wrapping_sub(31)
                .wrapping_add(over as i32),
        })
    }

    /// Times a number: R from 1 − |Γ|², X from 2·Im Γ, |Z| from the [`mean`].
    #[inline(always)]
    pub(crate) fn times(self, other: Normal) -> Size {
        Size {
            value: product(self.0.mantissa, other.mantissa),
            exponent: self.0.exponent.wrapping_add(other.exponent).wrapping_add(30),
        }
    }
}

/// √(|1 + Γ|²·|1 − Γ|²), of which |Z| is a multiple.
#[inline(always)]
pub(crate) fn mean(towards: Normal, away: Normal) -> Normal {
    let value = product(towards.mantissa, away.mantissa);
    let over = value >> 31;
    coarse_root(Normal {
        mantissa: value >> over,
        exponent: towards
            .exponent
            .wrapping_add(away.exponent)
            .wrapping_add(30 + over as i32),
    })
}

#[cold]
#[inline(never)]
fn signed(negative: bool, size: u32) -> i32 {
    if negative {
        // Where the positive number saturates, the negative one does too.
        if size >= i32::MAX as u32 {
            i32::MIN
        } else {
            -(size as i32)
        }
    } else {
        size.min(i32::MAX as u32) as i32
    }
}

/// (Z − Z0)/(Z + Z0), all in one unit; the most negative word if the denominator is 0.
pub(crate) fn reflect(resistance: i32, reactance: i32, reference: i32) -> (i32, i32) {
    let (mut r, mut x, mut z) = (resistance, reactance, reference);
    // Above a quarter of a megohm the last digit is dropped, so that the squares fit.
    if (r.unsigned_abs() | x.unsigned_abs() | z.unsigned_abs()) >> 30 != 0 {
        (r, x, z) = ((r >> 1) + (r & 1), (x >> 1) + (x & 1), (z >> 1) + (z & 1));
    }
    let (x_square, sum) = (square(x.unsigned_abs()), r.wrapping_add(z));
    let below = normalise_square(square(sum.unsigned_abs()).wrapping_add(x_square));
    if below.mantissa == 0 {
        return (i32::MIN, 0);
    }
    let inverse = below.inverse();
    // (R − Z0)(R + Z0) + X²
    let above = square(r.unsigned_abs())
        .wrapping_add(x_square)
        .wrapping_sub(square(z.unsigned_abs())) as i64;
    let real = Size::quotient(normalise_square(above.unsigned_abs()), below, inverse);
    // 2·X·Z0
    let (x_normal, z_normal) = (normalise_short(x.unsigned_abs()), normalise_short(z as u32));
    let imaginary = Unit::new(z_normal, below).times(x_normal.shifted(1));
    (
        real.shifted(30).to_signed(above < 0),
        imaginary.shifted(30).to_signed(x < 0),
    )
}

/// (m − directivity)/(tracking + source match·(m − directivity)); the most negative word if the denominator is 0.
#[inline(always)]
pub(crate) fn correct(raw: (i32, i32), terms: [(i32, i32); 3]) -> (i32, i32) {
    match correct_above(i32::MIN, raw, terms) {
        Some(gamma) => gamma,
        None => correct_widely(raw, terms),
    }
}

/// The same for the usual parts, from −1 to 1, and a denominator of at least 2^((least − 28)/2); otherwise `None`.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn correct_above(least: i32, raw: (i32, i32), terms: [(i32, i32); 3]) -> Option<(i32, i32)> {
    let [directivity, (e, f), tracking] = terms;
    // m − directivity in units of 2⁻²⁹, so that it fits.
    let (a, b) = (
        (raw.0 >> 1) - (directivity.0 >> 1),
        (raw.1 >> 1) - (directivity.1 >> 1),
    );
    // tracking + source match·(m − directivity) in the same unit.
    let c = (tracking.0 >> 1)
        .wrapping_add(signed_product(e, a))
        .wrapping_sub(signed_product(f, b));
    let d = (tracking.1 >> 1)
        .wrapping_add(signed_product(e, b))
        .wrapping_add(signed_product(f, a));
    // The usual parts, from −2³⁰ to 2³⁰, become non-negative when 2³⁰ is added.
    let all = [a, b, c, d, e, f]
        .iter()
        .fold(0, |all, part| all | part.wrapping_add(1 << 30));
    if all < 0 {
        return None;
    }
    let below = normalise_square(square(c.unsigned_abs()).wrapping_add(square(d.unsigned_abs())));
    if below.exponent < least {
        return None;
    }
    if below.mantissa == 0 {
        return Some((i32::MIN, 0));
    }
    let inverse = below.inverse();
    // A small denominator is shifted up, so that the products below keep its digits: its size is below
    // 2^((exponent + 31)/2) and may reach 2³⁰.
    let up = (28i32.wrapping_sub(below.exponent).max(0) >> 1) & 31;
    let (c, d) = (c << up, d << up);
    // (above·2³⁰)·2³⁰/below: usually a small shift to the left.
    let places = 29i32.wrapping_sub(up).wrapping_sub(below.exponent);
    let part = |one: i32, other: i32| {
        let above = one.wrapping_add(other);
        let size = above.unsigned_abs();
        // At most 2³¹.
        let value = product(size - (size >> 31), inverse);
        let shift = places as u32;
        if shift < 8 && value >> (31 - shift) == 0 {
            let size = (value << shift) as i32;
            if above < 0 { size.wrapping_neg() } else { size }
        } else {
            signed(above < 0, rounded(value, places))
        }
    };
    Some((
        part(signed_product(a, c), signed_product(b, d)),
        part(signed_product(b, c), signed_product(a, d).wrapping_neg()),
    ))
}

/// The same in working numbers, where the parts do not fit.
#[cold]
#[inline(never)]
fn correct_widely(raw: (i32, i32), terms: [(i32, i32); 3]) -> (i32, i32) {
    let [directivity, source_match, tracking] = terms;
    let number = |bits: i32| Scaled::from_parts(bits as i64, -30);
    let difference = |m: i32, d: i32| Scaled::from_parts(m as i64 - d as i64, -30);
    let (a, b) = (difference(raw.0, directivity.0), difference(raw.1, directivity.1));
    let (e, f) = (number(source_match.0), number(source_match.1));
    let c = plus_products(number(tracking.0), [e, a], [-f, b]);
    let d = plus_products(number(tracking.1), [e, b], [f, a]);
    let below = plus_products(Scaled::ZERO, [c, c], [d, d]);
    if below.is_zero() {
        return (i32::MIN, 0);
    }
    let part = |one, other| {
        (plus_products(Scaled::ZERO, one, other) / below)
            .to_bits(30)
            .clamp(i32::MIN as i64, i32::MAX as i64) as i32
    };
    (part([a, c], [b, d]), part([b, c], [-a, d]))
}

/// `number + one·one + other·other`, in this order.
#[inline(never)]
fn plus_products(number: Scaled, one: [Scaled; 2], other: [Scaled; 2]) -> Scaled {
    let product = |[a, b]: [Scaled; 2]| a * b;
    number + product(one) + product(other)
}
