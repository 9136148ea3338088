//! |Γ| and its angle, from one table of inverse roots.

use super::super::angle;
use super::point::ShortPoint;
use super::raised::Raised;

/// `2³⁵/√i` by digits.
const fn inverse_root_of_node(i: u64) -> u64 {
    ((1u128 << 70) / i as u128).isqrt() as u64
}

/// `2³¹/√x` for x in units of 2²⁴, from 64 of them; lowered by half of the error of linear interpolation.
static INVERSE_ROOT: [u16; 257] = {
    let mut table = [0u16; 257];
    let mut i = 64;
    while i < 257 {
        // Linear interpolation is too high by up to f″/8 = 3/32·x^(−5/2): relative to f, 3/(32·x²).
        let node = inverse_root_of_node(i as u64);
        table[i] = ((node - node * 3 / (64 * (i * i) as u64)) >> 16) as u16;
        i += 1;
    }
    table
};

/// |Γ| before it is rounded, and the values that the angle needs.
#[derive(Clone, Copy)]
pub(crate) struct Length {
    /// x in `[2³⁰, 2³²)`, with |Γ|² = x·2^(−2·half) in its unit; or 0.
    pub(super) x: u32,
    half: u32,
    /// 2³¹/√x, with a relative error of at most 3.1e-5.
    pub(super) inverse: u32,
}

impl Length {
    #[cfg_attr(not(ohmwright_smallest), inline(always))]
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

    /// |Γ| in units of 2⁻¹⁴, at most 2¹⁵ − 1.
    #[inline(always)]
    pub(crate) fn magnitude(self) -> u32 {
        (self
            .root()
            .wrapping_shr(self.half.wrapping_add(2))
            .wrapping_add(1)
            >> 1)
            .min(i16::MAX as u32)
    }

    /// A |Γ| below 1 in units of 2⁻¹⁵, a digit more than the word has, so that SWR loses nothing; below 1 here too.
    #[inline(always)]
    pub(crate) fn magnitude_inside(self) -> u32 {
        (self
            .root()
            .wrapping_shr(self.half.wrapping_add(1))
            .wrapping_add(1)
            >> 1)
            .min(i16::MAX as u32)
    }

    /// √x in units of 2⁻³.
    #[cfg_attr(not(ohmwright_smallest), inline(always))]
    fn root(self) -> u32 {
        let root = (self.x >> 16).wrapping_mul(self.inverse) >> 15;
        // The residual of its square, over twice the root: three digits after the point.
        let missing = self.x.wrapping_sub(root.wrapping_mul(root)) as i32;
        let more = (missing >> 4).wrapping_mul(self.inverse as i32) >> 25;
        (root << 3).wrapping_add_signed(more)
    }

    /// The angle of Γ in degrees, 16 binary digits after the point, in (−180°, 180°]; 0 for the zero vector.
    ///
    /// The shorter component over the length is the sine of an angle up to 45°.
    #[cfg_attr(not(ohmwright_smallest), inline(always))]
    pub(crate) fn degrees(self, point: ShortPoint) -> i32 {
        let (across, up) = (point.re.unsigned_abs(), point.im.unsigned_abs());
        let steep = up > across;
        let shorter = if steep { across } else { up };
        // At most 2¹⁶/√2 times 2¹⁶: 31 digits after the point.
        let sine = shorter.wrapping_shl(self.half).wrapping_mul(self.inverse);
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

/// `2¹⁶ · asin(i/128)` in degrees, lowered by half of the error of linear interpolation. Not used beyond 45°.
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
