//! Codes: the parts of a list that are in circuit, one bit for each.

/// The largest number of coils and of capacitors in a bank: the bits of a code.
pub const MOST_PARTS: usize = 16;
#[inline]
pub(super) fn is_in(code: u16, k: usize) -> bool {
    (u32::from(code) >> (k & 31)) & 1 == 1
}

/// The code with `count` parts in circuit.
#[inline]
pub(super) fn all(count: usize) -> u16 {
    ((1u32 << count.min(MOST_PARTS)) - 1) as u16
}
