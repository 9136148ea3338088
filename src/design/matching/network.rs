//! The networks that are compared: ladders of a few elements.

use crate::design::ladder::Ladder;

/// Elements of the largest network looked at.
pub(super) const MOST_ELEMENTS: usize = 4;
pub(super) type Network<F> = Ladder<F, MOST_ELEMENTS>;
