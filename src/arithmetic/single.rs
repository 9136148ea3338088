//! The root, the logarithm and the angle of the readouts in `f32`, for cores with a floating-point unit.
//!
//! Written in products, sums and few divisions: such a core does each in one instruction, while the routines of a
//! mathematics library take a root bit by bit and guard cases that a Γ cannot be. The bits are the same on every core
//! and on a PC, since nothing here is contracted or rounded elsewhere.
//!
//! The coefficients are minimax polynomials of our own (exchange of the largest errors, relative, by mpmath), rounded
//! to `f32`.

/// What the kernels here take for granted: far from where a square, or a product of two, leaves the normal numbers.
#[inline(always)]
pub(super) fn is_usual(square: f32) -> bool {
    const LEAST: u32 = (127 - 80) << 23;
    const SPAN: u32 = 170 << 23;
    square.to_bits().wrapping_sub(LEAST) < SPAN
}

/// √x of a usual x: within 1.3e-7, relative, and exact where the root has twelve digits.
#[inline(always)]
pub(super) fn root(x: f32) -> f32 {
    // Half of the logarithm, negative: a first guess of 1/√x, within 3.5 %.
    let guess = f32::from_bits(0x5f37_6000_u32.wrapping_sub(x.to_bits() >> 1));
    let half = 0.5 * x;
    let better = guess * (1.5 - half * guess * guess);
    let inverse = better * (1.5 - half * better * better);
    let root = x * inverse;
    // The rest of the square makes good what the roundings cost.
    root + (x - root * root) * (0.5 * inverse)
}

/// −10·lg x of a positive, normal x, given 1 − x: next to 1 the digits of that count, and not those of x.
///
/// Out of line, since it serves twice.
#[inline(never)]
pub(super) fn loss(x: f32, complement: f32) -> f32 {
    /// √½, where one octave ends and the next begins.
    const LEAST: u32 = 0x3f35_04f3;
    /// −10·lg 2.
    const OCTAVE: f32 = -10.0 * core::f32::consts::LOG10_2;
    let bits = x.to_bits();
    let octave = (bits.wrapping_sub(LEAST) as i32) >> 23;
    let more = if octave == 0 {
        -complement
    } else {
        f32::from_bits(bits.wrapping_sub((octave as u32) << 23)) - 1.0
    };
    // ln(1 + m) = 2·artanh(m/(2 + m)).
    let part = more / (2.0 + more);
    let square = part * part;
    let slope = -8.685_889 + square * (-2.895_303 + square * (-1.736_081 + square * -1.299_715_4));
    part * slope + octave as f32 * OCTAVE
}

/// The angle of (`re`, `im`) in degrees, in (−180°, 180°], given its components by size, the larger not 0.
#[inline(always)]
pub(super) fn degrees(re: f32, im: f32, large: f32, small: f32) -> f32 {
    // By the bits, which need no comparison of floating-point numbers.
    let steep = (im.to_bits() << 1) > (re.to_bits() << 1);
    let ratio = small / large;
    let square = ratio * ratio;
    let octant = ratio
        * (57.295_773
            + square
                * (-19.097_824
                    + square
                        * (11.441_809
                            + square
                                * (-8.032_571
                                    + square
                                        * (5.680_471
                                            + square
                                                * (-3.408_319
                                                    + square * (1.389_560_1 + square * -0.268_904_86)))))));
    let quadrant = if steep { 90.0 - octant } else { octant };
    let upper = if re < 0.0 { 180.0 - quadrant } else { quadrant };
    // The half turn is counted as positive, also when it comes from −0 or from rounding.
    if im < 0.0 && upper < 180.0 { -upper } else { upper }
}

/// |Γ| and return loss of so small a Γ that its square may leave the normal numbers.
#[cold]
#[inline(never)]
pub(super) fn tiny(large: f32, small: f32) -> (f32, f32) {
    /// 2¹⁰⁰, and what it is worth in decibels.
    const UP: f32 = f32::from_bits((127 + 100) << 23);
    const LOSS: f32 = 2000.0 * core::f32::consts::LOG10_2;
    if large == 0.0 {
        return (0.0, f32::INFINITY);
    }
    let (large, small) = (large * UP, small * UP);
    let square = large * large + small * small;
    (root(square) / UP, loss(square, 1.0 - square) + LOSS)
}
