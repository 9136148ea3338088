//! Bands of frequencies, and the search for their edges.

use super::Hertz;

/// The frequencies around a match at which something holds, an SWR limit as a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Band {
    /// The lowest frequency at which it holds.
    pub low: Hertz,
    /// The highest frequency at which it holds.
    pub high: Hertz,
    /// True where the search ended at `low` without an edge: the real edge lies lower, or is not known.
    pub low_open: bool,
    /// True where the search ended at `high` without an edge: the real edge lies higher, or is not known.
    pub high_open: bool,
}

impl Band {
    pub(crate) fn new((low, low_open): (Hertz, bool), (high, high_open): (Hertz, bool)) -> Self {
        Self {
            low,
            high,
            low_open,
            high_open,
        }
    }

    /// From edge to edge.
    pub fn width(self) -> Hertz {
        Hertz::new(self.high.get().saturating_sub(self.low.get()))
    }

    /// Whether a frequency lies in the band, its edges included.
    pub fn contains(self, frequency: Hertz) -> bool {
        self.low <= frequency && frequency <= self.high
    }
}

/// The last frequency towards `end` at which `holds` says yes, beginning inside, and whether the search ended there without
/// an edge: at `end`, or where nothing is known (`None`).
///
/// The search goes outwards by `step` of the frequency it has reached (at least 1 Hz), so that a gap narrower than that may
/// be stepped over; then it halves until both sides are within `resolution` of each other (at least 1 Hz).
pub(crate) fn edge<E>(
    inside: Hertz,
    end: Hertz,
    step: impl Fn(u64) -> u64,
    resolution: impl Fn(u64) -> u64,
    holds: impl Fn(Hertz) -> Result<Option<bool>, E>,
) -> Result<(Hertz, bool), E> {
    let (mut good, end) = (inside.get(), end.get());
    let (mut bad, mut open) = loop {
        if good == end {
            return Ok((Hertz::new(good), true));
        }
        let step = step(good).max(1);
        let next = if end < good {
            good.saturating_sub(step).max(end)
        } else {
            good.saturating_add(step).min(end)
        };
        match holds(Hertz::new(next))? {
            Some(true) => good = next,
            other => break (next, other.is_none()),
        }
    };
    while good.abs_diff(bad) > resolution(good).max(1) {
        let middle = good.min(bad).saturating_add(good.abs_diff(bad) >> 1);
        match holds(Hertz::new(middle))? {
            Some(true) => good = middle,
            other => (bad, open) = (middle, other.is_none()),
        }
    }
    Ok((Hertz::new(good), open))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Good up to `last`, bad or not known from there on, searched in steps of ten.
    fn found(last: u64, beyond: Option<bool>) -> (u64, bool) {
        let holds = |frequency: Hertz| {
            Ok::<_, ()>(if frequency.get() <= last {
                Some(true)
            } else {
                beyond
            })
        };
        let (edge, open) = edge(Hertz::new(100), Hertz::new(200), |_| 10, |_| 1, holds).unwrap();
        (edge.get(), open)
    }

    #[test]
    fn an_edge_is_open_only_where_nothing_is_known_beyond() {
        for last in 100..200 {
            assert_eq!(found(last, Some(false)), (last, false), "bad beyond {last}");
            assert_eq!(found(last, None), (last, true), "not known beyond {last}");
        }
        // The end of the search.
        assert_eq!(found(200, Some(false)), (200, true));
    }
}
