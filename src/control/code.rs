//! Codes: which parts of a list are in circuit, a bit for each.

/// Most coils and most capacitors of a bank: what a code has bits for.
pub const MOST_PARTS: usize = 16;
/// Bit k of a code.
#[inline]
pub(super) fn is_in(code: u16, k: usize) -> bool {
    (u32::from(code) >> (k & 31)) & 1 == 1
}

/// The code with all of so many parts in.
#[inline]
pub(super) fn all(count: usize) -> u16 {
    ((1u32 << count.min(MOST_PARTS)) - 1) as u16
}
