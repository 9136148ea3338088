//! The highest power of the last moments.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::quantity::Watts;

/// Holds the highest power for a time; then it shows the present one.
#[derive(Clone, Copy, Debug)]
pub struct Peak<A: Arithmetic> {
    highest: Watts<A>,
    left_ms: u32,
}

impl<A: Arithmetic> Peak<A> {
    /// Nothing yet.
    pub const fn new() -> Self {
        Self {
            highest: Watts::ZERO,
            left_ms: 0,
        }
    }

    /// Takes the present power; returns the highest.
    pub fn take(&mut self, present: Watts<A>, elapsed_ms: u32, hold_ms: u32) -> Watts<A> {
        self.left_ms = self.left_ms.saturating_sub(elapsed_ms);
        if present >= self.highest || self.left_ms == 0 {
            self.highest = present;
            self.left_ms = hold_ms;
        }
        self.highest
    }
}

impl<A: Arithmetic> Default for Peak<A> {
    fn default() -> Self {
        Self::new()
    }
}
