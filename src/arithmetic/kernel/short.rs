//! The 16-bit back end: one Γ in units of 2⁻¹⁵, its exact squares in 32 bits, and readouts from 16-bit mantissas.
//!
//! No product is wider than 32 bits, so a core without a long multiply takes each in one instruction. Reciprocal and
//! roots come from small tables and one step; that is enough for 16 digits.

use super::angle;
use super::logarithm;
use super::reciprocal;

/// 1 in the unit of a square, 2⁻³⁰.
const ONE: u32 = 1 << 30;

/// Γ = (re + j·im)·2⁻¹⁵ and |Γ|², which is exact: at most 2³¹ in units of 2⁻³⁰.
#[derive(Clone, Copy)]
pub(crate) struct ShortPoint {
    re: i32,
    im: i32,
    square: u32,
}

impl ShortPoint {
    #[inline(always)]
    pub(crate) fn new(re: i16, im: i16) -> Self {
        let (re, im) = (re as i32, im as i32);
        Self {
            re,
            im,
            // Each at most 2³⁰.
            square: (re.wrapping_mul(re) as u32).wrapping_add(im.wrapping_mul(im) as u32),
        }
    }

    /// |Γ|².
    #[inline(always)]
    pub(crate) fn square(self) -> u32 {
        self.square
    }

    /// |Γ| ≥ 1.
    #[inline(always)]
    pub(crate) fn is_total(self) -> bool {
        self.square >= ONE
    }

    /// |Γ| > 1.
    #[inline(always)]
    pub(crate) fn is_active(self) -> bool {
        self.square > ONE
    }

    /// Im Γ < 0.
    #[inline(always)]
    pub(crate) fn is_below(self) -> bool {
        self.im < 0
    }

    /// |Im Γ|.
    #[inline(always)]
    pub(crate) fn up(self) -> u32 {
        self.im.unsigned_abs()
    }

    /// |1 − |Γ|²|, exact.
    #[inline(always)]
    pub(crate) fn passive(self) -> u32 {
        (ONE as i32).wrapping_sub(self.square as i32).unsigned_abs()
    }

    /// |1 − Γ|² and |1 + Γ|², exact before they are raised. The first is never 0, since Γ = 1 is beyond the word.
    #[inline(always)]
    pub(crate) fn away_and_towards(self) -> (Raised, Raised) {
        let sum = ONE.wrapping_add(self.square);
        if self.is_total() {
            // Beyond the rim they may reach 5·2³⁰.
            let (middle, difference) = (sum as i64, (self.re as i64) << 16);
            (raise_long(middle - difference), raise_long(middle + difference))
        } else {
            // Inside, both are below 2³².
            let difference = (self.re << 16) as u32;
            (
                raise(sum.wrapping_sub(difference)),
                raise(sum.wrapping_add(difference)),
            )
        }
    }
}

/// `mantissa · 2^−lead`, with the top bit of the mantissa set; zero is a mantissa of 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Raised {
    pub(crate) mantissa: u32,
    pub(crate) lead: i32,
}

impl Raised {
    /// The upper 16 digits of the mantissa.
    #[inline(always)]
    fn short(self) -> u32 {
        self.mantissa >> 16
    }
}

/// Brings the highest bit to the top.
#[inline(always)]
pub(crate) const fn raise(value: u32) -> Raised {
    if cfg!(ohmwright_no_long_multiply) {
        raise_by_table(value)
    } else {
        // For nothing, any lead does.
        let lead = (value | 1).leading_zeros();
        Raised {
            mantissa: value << lead,
            lead: lead as i32,
        }
    }
}

#[inline(always)]
const fn raise_by_table(mut value: u32) -> Raised {
    let mut lead = 0;
    if value >> 24 == 0 {
        if value >> 16 == 0 {
            value <<= 16;
            lead = 16;
        }
        if value >> 24 == 0 {
            value <<= 8;
            lead += 8;
        }
    }
    let more = ZEROS[(value >> 24) as usize] as u32 & 31;
    Raised {
        mantissa: value << more,
        lead: lead + more as i32,
    }
}

/// The leading zeros of each byte; as [`raise`] has it for 0.
static ZEROS: [u8; 256] = {
    let mut table = [7u8; 256];
    let mut i = 1;
    while i < 256 {
        table[i] = (i as u8).leading_zeros() as u8;
        i += 1;
    }
    table
};

/// The same for a value up to 2³³, whose last digit falls off beyond 2³².
#[cold]
#[inline(never)]
fn raise_long(value: i64) -> Raised {
    if value >> 32 == 0 {
        raise(value as u32)
    } else {
        Raised {
            mantissa: (value >> 1) as u32,
            lead: -1,
        }
    }
}

/// `2⁴⁷/mantissa`, at most 2¹⁶, and that exactly for a power of two. Not for 0.
///
/// A table and one Newton step. Largest relative error found: −3.0e-5 to +3.7e-5.
#[inline(always)]
pub(crate) fn inverse(of: Raised) -> u32 {
    let step = ((of.mantissa << 1) >> 25) as usize;
    let seed = reciprocal::SEED.get(step).copied().unwrap_or(0) as u32;
    // x at 16 digits after the point times y at 15: 2 − x·y at 31 digits is what a word lacks.
    let correction = (of.mantissa >> 15).wrapping_mul(seed).wrapping_neg() >> 15;
    // One more for what was cut off: it centres the error, and makes 1 exact.
    (seed.wrapping_mul(correction) >> 15) + 1
}

/// `2³⁵/√i` by digits.
const fn inverse_root_of_node(i: u64) -> u64 {
    ((1u128 << 70) / i as u128).isqrt() as u64
}

/// `2³¹/√x` for x in units of 2²⁴, from 64 of them; lowered by half of what a straight line lies too high.
static INVERSE_ROOT: [u16; 257] = {
    let mut table = [0u16; 257];
    let mut i = 64;
    while i < 257 {
        // The line is too high by up to f″/8 = 3/32·x^(−5/2): relative to f, 3/(32·x²).
        let node = inverse_root_of_node(i as u64);
        table[i] = ((node - node * 3 / (64 * (i * i) as u64)) >> 16) as u16;
        i += 1;
    }
    table
};

/// `⌈√x⌉` for x in units of 2²⁴: upwards, since a straight line lies too low and is cut off besides.
static ROOT: [u16; 257] = {
    let mut table = [0u16; 257];
    let mut i = 0;
    while i < 257 {
        let square = (i as u64) << 24;
        let floor = square.isqrt();
        let root = floor + (floor * floor < square) as u64;
        table[i] = if root > 65_535 { 65_535 } else { root as u16 };
        i += 1;
    }
    table
};

/// √x for x from 2²⁹, or 0: a straight line in the table. Largest relative error found: 6.4e-5, a unit of the last place.
#[inline(always)]
fn coarse_root(x: u32) -> u32 {
    let step = (x >> 24) as usize;
    let rest = (x << 8) >> 16;
    match (ROOT.get(step), ROOT.get(step + 1)) {
        (Some(a), Some(b)) => {
            let (a, b) = (*a as u32, *b as u32);
            a + (b.wrapping_sub(a).wrapping_mul(rest) >> 16)
        }
        _ => 0,
    }
}

/// |Γ| before it is rounded, and what the angle needs.
#[derive(Clone, Copy)]
pub(crate) struct Length {
    /// x in `[2³⁰, 2³²)`, with |Γ|² = x·2^(−2·half); or 0.
    x: u32,
    half: u32,
    /// 2³¹/√x, with a relative error of at most 3.1e-5.
    inverse: u32,
}

impl Length {
    #[inline(always)]
    pub(crate) fn new(square: Raised) -> Self {
        let lead = square.lead as u32;
        let x = square.mantissa >> (lead & 1);
        let step = (x >> 24) as usize;
        let rest = (x << 8) >> 16;
        let inverse = match (INVERSE_ROOT.get(step), INVERSE_ROOT.get(step + 1)) {
            (Some(a), Some(b)) => {
                let (a, b) = (*a as u32, *b as u32);
                a.wrapping_sub(a.wrapping_sub(b).wrapping_mul(rest) >> 16)
            }
            _ => 0,
        };
        Self {
            x,
            half: (lead >> 1) & 15,
            inverse,
        }
    }

    /// |Γ| in units of 2⁻¹⁵, at most 2¹⁵ − 1.
    #[inline(always)]
    pub(crate) fn magnitude(self) -> u32 {
        let root = (self.x >> 16).wrapping_mul(self.inverse) >> 15;
        // What its square lacks, over twice the root: three digits after the point.
        let missing = self.x.wrapping_sub(root.wrapping_mul(root)) as i32;
        let more = (missing >> 4).wrapping_mul(self.inverse as i32) >> 25;
        let root = (root << 3).wrapping_add_signed(more);
        let rounded = ((root >> (self.half + 2)) + 1) >> 1;
        rounded.min(i16::MAX as u32)
    }

    /// The angle of Γ in degrees, 16 binary digits after the point, in (−180°, 180°]; 0 for the zero vector.
    ///
    /// The shorter component over the length is the sine of an angle up to 45°.
    #[inline(always)]
    pub(crate) fn degrees(self, point: ShortPoint) -> i32 {
        let (across, up) = (point.re.unsigned_abs(), point.im.unsigned_abs());
        let steep = up > across;
        let shorter = if steep { across } else { up };
        // At most 2¹⁶/√2 times 2¹⁶: 31 digits after the point.
        let sine = (shorter << self.half).wrapping_mul(self.inverse);
        let step = ((sine << 1) >> 25) as usize;
        let rest = (sine << 8) >> 16;
        let octant = match (ARC.get(step), ARC.get(step + 1)) {
            (Some(a), Some(b)) => a.wrapping_add(b.wrapping_sub(*a).wrapping_mul(rest) >> 16),
            _ => 0,
        } as i32;
        let quadrant = if steep {
            (90i32 << 16).wrapping_sub(octant)
        } else {
            octant
        };
        let upper = if point.re < 0 {
            (180i32 << 16).wrapping_sub(quadrant)
        } else {
            quadrant
        };
        // Just below the negative axis an angle may round to the half turn, which is counted as positive.
        if point.im < 0 && upper != 180 << 16 {
            upper.wrapping_neg()
        } else {
            upper
        }
    }
}

/// `2¹⁶ · asin(i/128)` in degrees, lowered by half of what a straight line lies too high. Beyond 45° nobody looks.
static ARC: [u32; 129] = {
    let mut table = [0u32; 129];
    let mut i = 1;
    while i < 94 {
        let node = angle::degrees_of_node(2 * i as i128);
        let bend =
            angle::degrees_of_node(2 * i as i128 - 1) + angle::degrees_of_node(2 * i as i128 + 1) - 2 * node;
        // In units of 2⁻¹⁸; the second difference of half steps is a quarter of f″.
        table[i] = (4 * node - bend + 8) >> 4;
        i += 1;
    }
    table
};

/// `round(2¹⁶ · 10 · log10 2)`: what one step of the exponent is worth.
const OCTAVE: i32 = 197_283;

/// `−2¹⁶ · 10 · log10(2 + i/64)`; the first and the last are multiples of [`OCTAVE`], so that octaves meet.
static LOSS: [i32; 129] = {
    let mut table = [0i32; 129];
    let mut i = 0;
    while i < 128 {
        table[i] = -OCTAVE - ((logarithm::decibels_of_node(i as u64) + 8) >> 4);
        i += 1;
    }
    table[128] = -2 * OCTAVE;
    table
};

/// `−10 · log10` of a square in decibels, 16 binary digits after the point. Not for 0.
///
/// Straight lines between nodes; 1 gives exactly 0. Largest error found: 5.1e-5 dB within an octave.
#[inline(always)]
pub(crate) fn loss(square: Raised) -> i32 {
    let step = ((square.mantissa << 1) >> 25) as usize;
    let rest = (square.mantissa << 8) >> 16;
    let (a, b) = match (LOSS.get(step), LOSS.get(step + 1)) {
        (Some(a), Some(b)) => (*a, *b),
        _ => (0, 0),
    };
    let more = a.wrapping_sub(b).wrapping_mul(rest as i32) >> 16;
    square
        .lead
        .wrapping_mul(OCTAVE)
        .wrapping_add(a)
        .wrapping_sub(more)
}

/// `value · 2^−down` to the nearest integer, saturating. The value is a product of 16-bit numbers.
#[inline(always)]
fn rounded(value: u32, down: i32) -> u32 {
    let before = down.wrapping_sub(1) as u32;
    if before < 32 {
        // The last digit of these is the half; there is room for it.
        (value >> before).wrapping_add(1) >> 1
    } else {
        rounded_at_the_ends(value, down, u32::MAX)
    }
}

/// The same with a sign.
#[inline(always)]
fn rounded_with_sign(negative: bool, value: u32, down: i32) -> i32 {
    let before = down.wrapping_sub(1) as u32;
    if before < 32 {
        // Below 2³¹.
        let size = ((value >> before).wrapping_add(1) >> 1) as i32;
        if negative { -size } else { size }
    } else {
        signed_at_the_ends(negative, value, down)
    }
}

/// Where nothing is cut off, or everything.
#[cold]
#[inline(never)]
fn rounded_at_the_ends(value: u32, down: i32, most: u32) -> u32 {
    let up = down.wrapping_neg();
    if up < 0 || value == 0 {
        0
    } else if up < 32 && value <= most >> up {
        value << up
    } else {
        most
    }
}

#[cold]
#[inline(never)]
fn signed_at_the_ends(negative: bool, value: u32, down: i32) -> i32 {
    if negative {
        rounded_at_the_ends(value, down, 1 << 31).wrapping_neg() as i32
    } else {
        rounded_at_the_ends(value, down, i32::MAX as u32) as i32
    }
}

/// (1 + |Γ|)²/(1 − |Γ|²) in units of 2⁻¹⁶, for |Γ| below 1.
#[inline(always)]
pub(crate) fn standing_wave(magnitude: u32, passive: Raised, inverse: u32) -> u32 {
    let sum = (1 << 15) + magnitude;
    let value = (sum.wrapping_mul(sum) >> 16).wrapping_mul(inverse);
    rounded(value, 15 - passive.lead).max(1 << 16)
}

/// 2·|Im Γ|/|1 − |Γ|²| in units of 2⁻¹⁶.
#[inline(always)]
pub(crate) fn quality(point: ShortPoint, passive: Raised, inverse: u32) -> u32 {
    if passive.mantissa != 0 {
        rounded(point.up().wrapping_mul(inverse), 15 - passive.lead)
    } else if point.im == 0 {
        0
    } else {
        u32::MAX
    }
}

/// A reference, prepared: `mantissa · 2^(15 − places)` units of its word, with 16 digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShortReference {
    mantissa: u32,
    places: i32,
}

impl ShortReference {
    /// 50 Ω in units of 2⁻¹² Ω.
    pub(crate) const FIFTY: Self = Self {
        mantissa: 50 << 10,
        places: 15 - (12 - 10),
    };

    pub(crate) const fn new(bits: u32) -> Self {
        let raised = raise(bits);
        // To the nearest; a carry brings one digit more.
        let mantissa = (raised.mantissa >> 16) + ((raised.mantissa >> 15) & 1);
        let over = mantissa >> 16;
        Self {
            mantissa: mantissa >> over,
            places: raised.lead - 1 - over as i32,
        }
    }
}

/// Z0/|1 − Γ|², which R, X and |Z| have in common.
#[derive(Clone, Copy)]
pub(crate) struct ShortUnit {
    mantissa: u32,
    places: i32,
}

impl ShortUnit {
    #[inline(always)]
    pub(crate) fn new(reference: ShortReference, away: Raised) -> Self {
        Self {
            mantissa: reference.mantissa.wrapping_mul(inverse(away)) >> 16,
            places: reference.places.wrapping_sub(away.lead),
        }
    }

    #[inline(always)]
    fn ohms(self, negative: bool, factor: u32, lead: i32) -> i32 {
        let value = self.mantissa.wrapping_mul(factor);
        rounded_with_sign(negative, value, self.places.wrapping_add(lead))
    }

    #[inline(always)]
    pub(crate) fn resistance(self, point: ShortPoint, passive: Raised) -> i32 {
        self.ohms(point.is_active(), passive.short(), passive.lead)
    }

    #[inline(always)]
    pub(crate) fn reactance(self, point: ShortPoint) -> i32 {
        self.ohms(point.is_below(), point.up(), 0)
    }

    /// |Z| from the root of |1 + Γ|²·|1 − Γ|².
    #[inline(always)]
    pub(crate) fn magnitude(self, away: Raised, towards: Raised) -> i32 {
        let lead = away.lead.wrapping_add(towards.lead);
        let root = coarse_root(away.short().wrapping_mul(towards.short()) >> (lead & 1));
        self.ohms(false, root, lead >> 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mantissas() -> impl Iterator<Item = Raised> {
        (1u32 << 20..1 << 21).map(|upper| Raised {
            mantissa: upper << 11 | (upper.wrapping_mul(0x9e37_79b9) >> 21),
            lead: 1,
        })
    }

    #[test]
    fn raising_by_the_table_is_raising() {
        for bit in 0..32 {
            for value in [1u32 << bit, (1u32 << bit) | 1, u32::MAX >> (31 - bit)] {
                let raised = raise_by_table(value);
                assert_eq!(raised.lead as u32, value.leading_zeros());
                assert_eq!(raised.mantissa >> raised.lead, value);
                assert_eq!(raise(value), raised);
            }
        }
        assert_eq!(
            raise_by_table(0),
            Raised {
                mantissa: 0,
                lead: 31
            }
        );
        assert_eq!(raise(0), raise_by_table(0));
    }

    #[test]
    fn errors_within_the_documented_figures() {
        let (mut low, mut high) = (0f64, 0f64);
        let (mut turned, mut loud, mut rough) = (0f64, 0f64, 0f64);
        for of in mantissas() {
            let value = of.mantissa as f64;
            let got = inverse(of);
            assert!(got <= 1 << 16);
            let error = got as f64 * value / 2f64.powi(47) - 1.0;
            (low, high) = (low.min(error), high.max(error));
            for lead in [0, 1] {
                let length = Length::new(Raised {
                    mantissa: of.mantissa,
                    lead,
                });
                let error = length.inverse as f64 * (length.x as f64).sqrt() / 2f64.powi(31) - 1.0;
                turned = turned.max(error.abs());
            }
            let want = -10.0 * (value / 2f64.powi(31)).log10();
            loud = loud.max((loss(of) as f64 / 65_536.0 - want).abs());
            for x in [of.mantissa, of.mantissa >> 1, of.mantissa >> 2] {
                rough = rough.max((coarse_root(x) as f64 / (x as f64).sqrt() - 1.0).abs());
            }
        }
        assert!(low > -3e-5 && high < 3.7e-5, "{low:e} {high:e}");
        assert!(turned < 3.1e-5, "{turned:e}");
        assert!(loud < 5.1e-5, "{loud:e}");
        assert!(rough < 6.4e-5, "{rough:e}");
        assert!(
            low < -1e-5 && turned > 1e-5 && loud > 1e-5 && rough > 1e-5,
            "the search saw too little"
        );
    }

    #[test]
    fn one_and_nothing() {
        assert_eq!(loss(raise(ONE)), 0);
        assert_eq!(inverse(raise(ONE)), 1 << 16);
        assert_eq!(coarse_root(0), 0);
        let length = Length::new(raise(0));
        assert_eq!(length.magnitude(), 0);
        assert_eq!(length.degrees(ShortPoint::new(0, 0)), 0);
    }

    #[test]
    fn rounding_to_a_word() {
        let product = 65_535u32 * 65_535;
        assert_eq!(rounded(product, 1), product.div_ceil(2));
        assert_eq!(rounded(product, 0), product);
        assert_eq!(rounded(product, -1), u32::MAX);
        assert_eq!(rounded(1, -40), u32::MAX);
        assert_eq!(rounded(0, -40), 0);
        assert_eq!(rounded(product, 32), 1);
        assert_eq!(rounded(product, 33), 0);
        assert_eq!(rounded(product, 60), 0);
        assert_eq!(rounded_with_sign(true, 5, 1), -3);
        assert_eq!(rounded_with_sign(true, 0, 1), 0);
        for (negative, end) in [(false, i32::MAX), (true, i32::MIN)] {
            assert_eq!(rounded_with_sign(negative, product, 0), end);
            assert_eq!(rounded_with_sign(negative, 3, -30), end);
            assert_eq!(rounded_with_sign(negative, 1, -99), end);
            assert_eq!(rounded_with_sign(negative, 0, -99), 0);
            assert_eq!(rounded_with_sign(negative, product, 40), 0);
        }
        assert_eq!(rounded_with_sign(false, 3, -29), 3 << 29);
        assert_eq!(rounded_with_sign(true, 3, -29), -(3 << 29));
        assert_eq!(rounded_with_sign(true, 1, -31), i32::MIN);
    }

    #[test]
    fn the_corners_do_not_wrap() {
        let corner = ShortPoint::new(i16::MIN, i16::MIN);
        assert_eq!(corner.square(), 1 << 31);
        assert_eq!(corner.passive(), ONE);
        let (away, towards) = corner.away_and_towards();
        assert_eq!(away.mantissa as f64 * 2f64.powi(-away.lead), 5.0 * 2f64.powi(30));
        assert_eq!(towards, raise(ONE));
        let (away, towards) = ShortPoint::new(i16::MIN, 0).away_and_towards();
        assert_eq!(
            away,
            Raised {
                mantissa: 1 << 31,
                lead: -1
            }
        );
        assert_eq!(towards.mantissa, 0);
        assert_eq!(ShortPoint::new(i16::MAX, 0).away_and_towards().0, raise(1));
    }
}
