//! From where to where a match holds.

use super::TransformerError;
use crate::quantity::Hertz;

/// The frequencies between which the SWR stays at or below a limit.
///
/// Each edge is the last frequency inside of the limit, to 1 Hz or one part in a million, whichever is more. The search
/// goes outwards in steps of a thirty-second of the frequency: a place above the limit that is narrower than that may be
/// stepped over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UsefulBand {
    /// The lower edge, or the end of what was searched.
    pub low: Hertz,
    /// The upper edge, or the end of what was searched.
    pub high: Hertz,
    /// True where the limit still holds at the lower end of what was searched.
    pub low_open: bool,
    /// The same at the upper end.
    pub high_open: bool,
}

impl UsefulBand {
    /// From a place inside outwards, as far as `lowest` and `highest`.
    pub(super) fn search(
        inside: Hertz,
        [lowest, highest]: [Hertz; 2],
        mut holds: impl FnMut(Hertz) -> Result<bool, TransformerError>,
    ) -> Result<Self, TransformerError> {
        if !(lowest <= inside && inside <= highest) {
            return Err(crate::arithmetic::QuantityError::OutOfRange("frequency").into());
        }
        if !holds(inside)? {
            return Err(TransformerError::AboveLimit);
        }
        let (low, low_open) = edge(inside, lowest, &mut holds)?;
        let (high, high_open) = edge(inside, highest, &mut holds)?;
        Ok(Self {
            low,
            high,
            low_open,
            high_open,
        })
    }
}

/// The last place towards `end` where the limit holds, and whether that is the end itself.
fn edge(
    inside: Hertz,
    end: Hertz,
    holds: &mut impl FnMut(Hertz) -> Result<bool, TransformerError>,
) -> Result<(Hertz, bool), TransformerError> {
    let (mut good, end) = (inside.get(), end.get());
    loop {
        if good == end {
            return Ok((Hertz::new(good), true));
        }
        let step = (good >> 5).max(1);
        let next = if end < good {
            good.saturating_sub(step).max(end)
        } else {
            good.saturating_add(step).min(end)
        };
        if holds(Hertz::new(next))? {
            good = next;
            continue;
        }
        // Halved until the two are as close as is promised.
        let mut bad = next;
        while good.abs_diff(bad) > (good >> 20).max(1) {
            let middle = good.min(bad).saturating_add(good.abs_diff(bad) >> 1);
            if holds(Hertz::new(middle))? {
                good = middle;
            } else {
                bad = middle;
            }
        }
        return Ok((Hertz::new(good), false));
    }
}
