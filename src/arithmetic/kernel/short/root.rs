//! A root to 16 digits, by linear interpolation in a table.

/// `⌈√x⌉` for x in units of 2²⁴: rounded up, since linear interpolation is too low and is also cut off.
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

/// √x for x from 2²⁹, or 0. Largest relative error found: 6.4e-5, a unit of the last digit.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(super) fn coarse_root(x: u32) -> u32 {
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
