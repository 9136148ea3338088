//! What a sweep says: the figures of a [`SweepReport`].

use heapless::Vec;

use super::window::Method;
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::{Hertz, Impedance, Reference, Reflection};

/// A minimum of |Γ|: where the load comes nearest to the reference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dip<A: Arithmetic> {
    /// Where, to the nearest hertz; between the measured points as a rule.
    pub frequency: Hertz,
    /// Γ there.
    pub reflection: Reflection<A>,
    /// True where the lowest point is the first or the last of the sweep: the real minimum lies outside.
    pub at_edge: bool,
    /// How the figure was found.
    pub method: Method,
}

impl<A: Arithmetic> Dip<A> {
    /// The SWR at the dip.
    pub fn swr(&self) -> A::Ratio {
        self.reflection.swr()
    }
}

/// A stretch of frequencies at or under the SWR limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band {
    /// The lower edge.
    pub low: Hertz,
    /// The upper edge.
    pub high: Hertz,
    /// True where the sweep begins inside the band: the real edge lies lower.
    pub low_open: bool,
    /// True where the sweep ends inside the band: the real edge lies higher.
    pub high_open: bool,
    /// How the lower edge was found.
    pub low_method: Method,
    /// How the upper edge was found.
    pub high_method: Method,
}

impl Band {
    /// The width in hertz, of what was swept.
    pub fn width(&self) -> u64 {
        self.high.get().saturating_sub(self.low.get())
    }
}

/// A crossing X = 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resonance<A: Arithmetic> {
    /// Where.
    pub frequency: Hertz,
    /// What is left there: the resistance in ohms (the family's largest at an open).
    pub resistance: A::Ohms,
    /// True where the reactance rises with frequency (like a coil and a capacitor in series), false where it falls
    /// (like the two side by side).
    pub rising: bool,
    /// Q from the slope of the reactance, (f/2R)·|dX/df|: of the load as seen at this port, nothing else connected.
    pub q: A::Ratio,
    /// How the figure was found.
    pub method: Method,
}

/// The load at the target frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TargetReading<A: Arithmetic> {
    /// The target.
    pub frequency: Hertz,
    /// Γ there.
    pub reflection: Reflection<A>,
    /// True where the SWR is at or under the limit.
    pub pass: bool,
    /// How the figure was found.
    pub method: Method,
}

/// What became of the wish for a target.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target<A: Arithmetic> {
    /// No target was set.
    NotAsked,
    /// The sweep does not (yet) reach the target; nothing is extrapolated.
    NotCovered(Hertz),
    /// The load there.
    Reading(TargetReading<A>),
}

/// Everything a sweep has shown so far.
///
/// Lists stand in order of rising frequency, whichever way the sweep ran. What did not fit is counted, and the deepest
/// dips are kept.
#[derive(Clone, Debug)]
pub struct SweepReport<A: Arithmetic, const N: usize> {
    pub(crate) points: u32,
    pub(crate) start: Hertz,
    pub(crate) stop: Hertz,
    pub(crate) reference: Reference<A>,
    pub(crate) swr_limit: A::Ratio,
    pub(crate) best: Option<Dip<A>>,
    pub(crate) target: Target<A>,
    pub(crate) found: Found<A, N>,
}

/// The lists of a report, and what did not fit.
#[derive(Clone, Debug)]
pub(crate) struct Found<A: Arithmetic, const N: usize> {
    pub(crate) dips: Vec<Dip<A>, N>,
    pub(crate) dips_left_out: u32,
    pub(crate) bands: Vec<Band, N>,
    pub(crate) bands_left_out: u32,
    pub(crate) resonances: Vec<Resonance<A>, N>,
    pub(crate) resonances_left_out: u32,
}

impl<A: Arithmetic, const N: usize> Found<A, N> {
    pub(crate) const fn new() -> Self {
        Self {
            dips: Vec::new(),
            dips_left_out: 0,
            bands: Vec::new(),
            bands_left_out: 0,
            resonances: Vec::new(),
            resonances_left_out: 0,
        }
    }

    pub(crate) fn add_dip(&mut self, dip: Dip<A>) {
        if self.dips.is_full() {
            self.dips_left_out = self.dips_left_out.saturating_add(1);
            // Make room by dropping the shallowest, if that is not the new one.
            let most = self.dips.iter().fold(A::Working::ZERO, |most, held| {
                most.larger(held.reflection.power())
            });
            match self.dips.iter().position(|held| held.reflection.power() >= most) {
                // The length is asked once more so that the optimiser sees that nothing can panic.
                Some(place) if dip.reflection.power() < most && place < self.dips.len() => {
                    self.dips.remove(place);
                }
                _ => return,
            }
        }
        insert_by(&mut self.dips, dip, |dip| dip.frequency);
    }

    pub(crate) fn add_band(&mut self, mut band: Band) {
        // Where noise crosses the limit several times, the smooth curve puts all those edges in one place: one band.
        let overlaps = |held: &Band, band: &Band| held.low <= band.high && band.low <= held.high;
        while let Some(place) = self.bands.iter().position(|held| overlaps(held, &band)) {
            if place >= self.bands.len() {
                break; // never; asked so that the optimiser sees that nothing can panic
            }
            let held = self.bands.remove(place);
            if held.low < band.low {
                (band.low, band.low_open, band.low_method) = (held.low, held.low_open, held.low_method);
            }
            if held.high > band.high {
                (band.high, band.high_open, band.high_method) = (held.high, held.high_open, held.high_method);
            }
        }
        if !insert_by(&mut self.bands, band, |band| band.low) {
            self.bands_left_out = self.bands_left_out.saturating_add(1);
        }
    }

    pub(crate) fn add_resonance(&mut self, resonance: Resonance<A>) {
        if !insert_by(&mut self.resonances, resonance, |resonance| resonance.frequency) {
            self.resonances_left_out = self.resonances_left_out.saturating_add(1);
        }
    }
}

/// Inserts in order of frequency; false where there is no room.
fn insert_by<T, const N: usize>(list: &mut Vec<T, N>, item: T, key: impl Fn(&T) -> Hertz) -> bool {
    let place = list
        .iter()
        .position(|held| key(held) > key(&item))
        .unwrap_or(list.len());
    list.insert(place, item).is_ok()
}

impl<A: Arithmetic, const N: usize> SweepReport<A, N> {
    /// How many points were taken.
    pub fn points(&self) -> u32 {
        self.points
    }

    /// The lowest frequency; 0 Hz before the first point.
    pub fn start(&self) -> Hertz {
        self.start
    }

    /// The highest frequency.
    pub fn stop(&self) -> Hertz {
        self.stop
    }

    /// The reference that Γ is referred to.
    pub fn reference(&self) -> Reference<A> {
        self.reference
    }

    /// The SWR limit that bands and verdicts stand for.
    pub fn swr_limit(&self) -> A::Ratio {
        self.swr_limit
    }

    /// The lowest |Γ| of the whole sweep; `None` before the first point.
    pub fn best(&self) -> Option<Dip<A>> {
        self.best
    }

    /// Every dip with the prominence asked for.
    pub fn dips(&self) -> &[Dip<A>] {
        &self.found.dips
    }

    /// How many dips were found beyond the room for them; the deepest are kept.
    pub fn dips_left_out(&self) -> u32 {
        self.found.dips_left_out
    }

    /// Every band at or under the SWR limit.
    pub fn bands(&self) -> &[Band] {
        &self.found.bands
    }

    /// How many bands were found beyond the room for them; the first are kept.
    pub fn bands_left_out(&self) -> u32 {
        self.found.bands_left_out
    }

    /// Every crossing X = 0.
    pub fn resonances(&self) -> &[Resonance<A>] {
        &self.found.resonances
    }

    /// How many crossings were found beyond the room for them; the first are kept.
    pub fn resonances_left_out(&self) -> u32 {
        self.found.resonances_left_out
    }

    /// The load at the target.
    pub fn target(&self) -> Target<A> {
        self.target
    }

    /// Z of a dip in the report's reference.
    pub fn impedance(&self, reflection: Reflection<A>) -> Impedance<A> {
        reflection.impedance(self.reference)
    }
}
