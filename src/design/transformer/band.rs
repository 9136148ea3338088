//! From where to where a match holds.

use super::TransformerError;
use super::port::{Port, reflected_power};
use crate::arithmetic::{Arithmetic, Real};
use crate::design::load::LoadError;
use crate::quantity::swr::{limit, magnitude};
use crate::quantity::{Hertz, Reference, Swr, positive_frequency};

/// The frequencies between which the SWR stays at or below a limit.
///
/// Each edge is the last frequency inside of the limit, to 1 Hz or one part in a million, whichever is more. The search
/// goes outwards in steps of a thirty-second of the frequency: a place above the limit that is narrower than that may be
/// stepped over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
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
    /// From a place inside outwards, as far as `lowest` and `highest`; `seen` is what the source sees.
    pub(super) fn search<A: Arithmetic>(
        source: Reference<A>,
        swr_limit: Swr<A>,
        inside: Hertz,
        [lowest, highest]: [Hertz; 2],
        seen: impl Fn(Hertz) -> Result<Port<A::Working>, LoadError>,
    ) -> Result<Self, TransformerError> {
        let limit = magnitude(limit(swr_limit, "SWR limit")?).square();
        positive_frequency(lowest)?;
        if !(lowest <= inside && inside <= highest) {
            return Err(outside!(
                "frequency",
                "must lie between the lowest and the highest of the search"
            )
            .into());
        }
        let holds = |frequency| Ok::<bool, LoadError>(reflected_power(seen(frequency)?, source) <= limit);
        if !holds(inside)? {
            return Err(TransformerError::AboveLimit);
        }
        let (low, low_open) = edge(inside, lowest, holds)?;
        let (high, high_open) = edge(inside, highest, holds)?;
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
    holds: impl Fn(Hertz) -> Result<bool, LoadError>,
) -> Result<(Hertz, bool), LoadError> {
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
