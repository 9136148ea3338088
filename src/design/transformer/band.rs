//! The band of a match.

use super::TransformerError;
use crate::arithmetic::{Arithmetic, Real};
use crate::design::load::LoadError;
use crate::quantity::band::edge;
use crate::quantity::plane::{Port, reflected_power};
use crate::quantity::swr::{limit, magnitude};
use crate::quantity::{Band, Hertz, Reference, Swr, positive_frequency};

/// The band in which the SWR stays at or below a limit.
///
/// Each edge is the last frequency inside the limit, to 1 Hz or one part in a million, whichever is more. The search goes
/// outwards in steps of a thirty-second of the frequency: a gap narrower than that may be stepped over.
///
/// From a place inside outwards, as far as `lowest` and `highest`; `seen` is what the source sees.
pub(super) fn useful_band<A: Arithmetic>(
    source: Reference<A>,
    swr_limit: Swr<A>,
    inside: Hertz,
    [lowest, highest]: [Hertz; 2],
    seen: impl Fn(Hertz) -> Result<Port<A::Working>, LoadError>,
) -> Result<Band, TransformerError> {
    let limit = magnitude(limit(swr_limit, "SWR limit")?).square();
    positive_frequency(lowest)?;
    if !(lowest <= inside && inside <= highest) {
        return Err(outside!(
            "frequency",
            "must lie between the lowest and the highest of the search"
        )
        .into());
    }
    let holds = |frequency| Ok::<_, LoadError>(Some(reflected_power(seen(frequency)?, source) <= limit));
    if holds(inside)? == Some(false) {
        return Err(TransformerError::AboveLimit);
    }
    let edge_towards = |end| {
        edge(
            inside,
            end,
            |reached| reached >> 5,
            |reached| reached >> 20,
            holds,
        )
    };
    Ok(Band::new(edge_towards(lowest)?, edge_towards(highest)?))
}
