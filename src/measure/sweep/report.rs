//! The figures of a [`SweepReport`].

use heapless::{Vec, VecView};

use super::choice::Method;
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::swr::SwrLimit;
use crate::quantity::{Band, Hertz, Impedance, Ohms, QFactor, Reference, Reflection, Swr};

/// A minimum of |Γ|, where the load is nearest to the reference.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Dip<A: Arithmetic> {
    /// The frequency, to the nearest hertz; usually between the measured points.
    pub frequency: Hertz,
    /// Γ there.
    pub reflection: Reflection<A>,
    /// True if the lowest point is the first or the last of the sweep: the real minimum is outside.
    pub at_edge: bool,
    /// How the figure was found.
    pub method: Method,
    /// What the dip may be as well, if the sweep is too coarse for it.
    pub unresolved: Option<Unresolved<A>>,
}

/// A dip that is narrower than three steps of the sweep between its half-power points, or among points that no resonance
/// goes through: its depth is not known. A finer sweep near it shows it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Unresolved<A: Arithmetic> {
    /// The lowest frequency it may have: that of the point before.
    pub low: Hertz,
    /// The highest frequency it may have: that of the point after.
    pub high: Hertz,
    /// The highest SWR it may have, which is that of the lowest point; the lowest is 1.
    pub swr_at_most: Swr<A>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Dip<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let swr = self.swr();
        defmt::write!(
            f,
            "{}, SWR {}, {}, {}",
            self.frequency,
            swr,
            self.reflection,
            self.method
        );
        if self.at_edge {
            defmt::write!(f, ", at the edge");
        }
        if self.unresolved.is_some() {
            defmt::write!(f, ", unresolved");
        }
    }
}

impl<A: Arithmetic> Dip<A> {
    /// The SWR at the dip.
    pub fn swr(&self) -> Swr<A> {
        self.reflection.swr()
    }

    #[inline(never)]
    pub(crate) fn power(&self) -> A::Working {
        self.reflection.power()
    }
}

/// An interval of frequencies at or under the SWR limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct SweepBand {
    /// The lower edge.
    pub low: Hertz,
    /// The upper edge.
    pub high: Hertz,
    /// True if the sweep begins inside the band: the real edge is lower.
    pub low_open: bool,
    /// True if the sweep ends inside the band: the real edge is higher.
    pub high_open: bool,
    /// How the lower edge was found.
    pub low_method: Method,
    /// How the upper edge was found.
    pub high_method: Method,
}

impl SweepBand {
    /// The band without the methods.
    pub fn band(&self) -> Band {
        Band::new((self.low, self.low_open), (self.high, self.high_open))
    }

    /// From edge to edge, of what was swept.
    pub fn width(&self) -> Hertz {
        self.band().width()
    }
}

/// A crossing X = 0.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Resonance<A: Arithmetic> {
    /// The frequency.
    pub frequency: Hertz,
    /// The resistance there, in ohms (the family's largest value at an open).
    pub resistance: Ohms<A>,
    /// True if the reactance rises with frequency (coil and capacitor in series), false if it falls (in parallel).
    pub rising: bool,
    /// Q from the slope of the reactance, (f/2R)·|dX/df|: of the load at this port, with nothing else connected.
    pub q: QFactor<A>,
    /// How the figure was found.
    pub method: Method,
}

/// The load at the target frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct TargetReading<A: Arithmetic> {
    /// The target.
    pub frequency: Hertz,
    /// Γ there.
    pub reflection: Reflection<A>,
    /// True if the SWR is at or under the limit.
    pub pass: bool,
    /// How the figure was found.
    pub method: Method,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for TargetReading<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let swr = self.reflection.swr();
        defmt::write!(f, "{}, SWR {}, {}", self.frequency, swr, self.reflection);
        match self.pass {
            true => defmt::write!(f, ", pass, {}", self.method),
            false => defmt::write!(f, ", fail, {}", self.method),
        }
    }
}

/// The result at the target.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub enum Target<A: Arithmetic> {
    /// No target was set.
    NotAsked,
    /// The sweep does not (yet) reach the target; nothing is extrapolated.
    NotCovered(Hertz),
    /// The load there.
    Reading(TargetReading<A>),
}

/// All results of a sweep so far.
///
/// Lists are in order of rising frequency. What did not fit is counted; the deepest dips are kept.
#[derive(Clone, Debug, PartialEq)]
#[must_use = "it holds what the sweep has shown"]
pub struct SweepReport<A: Arithmetic, const N: usize> {
    pub(crate) head: Head<A>,
    pub(crate) found: Found<A, N>,
}

checked_form! {
    [A: Arithmetic, const N: usize] SweepReport<A, N>, this {
        points: u32 = this.head.points,
        start: Hertz = this.head.start,
        stop: Hertz = this.head.stop,
        reference: Reference<A> = this.head.reference,
        swr_limit: Swr<A> = this.head.limit.swr,
        best: Option<Dip<A>> = this.head.best,
        target: Target<A> = this.head.target,
        dips: Vec<Dip<A>, N> = this.found.dips.clone(),
        dips_left_out: u32 = this.found.dips_left_out,
        bands: Vec<SweepBand, N> = this.found.bands.clone(),
        bands_left_out: u32 = this.found.bands_left_out,
        resonances: Vec<Resonance<A>, N> = this.found.resonances.clone(),
        resonances_left_out: u32 = this.found.resonances_left_out,
        spoilt: Vec<Hertz, N> = this.found.spoilt.clone(),
        spoilt_left_out: u32 = this.found.spoilt_left_out,
        beyond_rim: u32 = this.found.beyond_rim,
        fast_turns: u32 = this.found.fast_turns,
        hurried: u32 = this.found.hurried,
    } => SwrLimit::new(swr_limit).map(|limit| Self {
        head: Head { points, start, stop, reference, limit, best, target },
        found: Found { dips, dips_left_out, bands, bands_left_out, resonances, resonances_left_out, spoilt, spoilt_left_out, beyond_rim, fast_turns, hurried },
    })
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const N: usize> defmt::Format for SweepReport<A, N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "{=u32} points, {} to {}, reference {}, limit SWR {}; target {}",
            self.points(),
            self.start(),
            self.stop(),
            self.reference(),
            self.swr_limit(),
            self.target(),
        );
        if let Some(best) = self.best() {
            defmt::write!(f, "; best {}", best);
        }
        for dip in self.dips() {
            defmt::write!(f, "; dip {}", dip);
        }
        for band in self.bands() {
            defmt::write!(f, "; {}", band);
        }
        for resonance in self.resonances() {
            defmt::write!(f, "; {}", resonance);
        }
        let (dips, bands) = (self.dips_left_out(), self.bands_left_out());
        let resonances = self.resonances_left_out();
        if (dips, bands, resonances) != (0, 0, 0) {
            defmt::write!(
                f,
                "; left out {=u32} dips, {=u32} bands, {=u32} resonances",
                dips,
                bands,
                resonances
            );
        }
    }
}

/// A report without its lists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Head<A: Arithmetic> {
    pub(crate) points: u32,
    /// The lowest frequency.
    pub(crate) start: Hertz,
    /// The highest frequency.
    pub(crate) stop: Hertz,
    pub(crate) reference: Reference<A>,
    pub(crate) limit: SwrLimit<A>,
    pub(crate) best: Option<Dip<A>>,
    pub(crate) target: Target<A>,
}

impl<A: Arithmetic> Head<A> {
    /// Before the first point.
    pub(crate) const fn new(limit: SwrLimit<A>, reference: Reference<A>, target: Option<Hertz>) -> Self {
        Self {
            points: 0,
            start: Hertz::new(0),
            stop: Hertz::new(0),
            reference,
            limit,
            best: None,
            target: match target {
                None => Target::NotAsked,
                Some(frequency) => Target::NotCovered(frequency),
            },
        }
    }

    /// Forgets what was found.
    pub(crate) fn clear(&mut self) {
        self.points = 0;
        self.start = Hertz::new(0);
        self.stop = Hertz::new(0);
        self.best = None;
        if let Target::Reading(reading) = self.target {
            self.target = Target::NotCovered(reading.frequency);
        }
    }

    /// The nearest swept frequency. (`clamp` would have a panic, which the optimiser cannot rule out.)
    pub(crate) fn within(&self, frequency: Hertz) -> Hertz {
        frequency.max(self.start).min(self.stop)
    }
}

/// The lists of a report, and the counts of what did not fit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Found<A: Arithmetic, const N: usize> {
    pub(crate) dips: Vec<Dip<A>, N>,
    pub(crate) dips_left_out: u32,
    pub(crate) bands: Vec<SweepBand, N>,
    pub(crate) bands_left_out: u32,
    pub(crate) resonances: Vec<Resonance<A>, N>,
    pub(crate) resonances_left_out: u32,
    /// The frequencies of samples that fit none of their neighbours.
    pub(crate) spoilt: Vec<Hertz, N>,
    pub(crate) spoilt_left_out: u32,
    pub(crate) beyond_rim: u32,
    pub(crate) fast_turns: u32,
    pub(crate) hurried: u32,
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
            spoilt: Vec::new(),
            spoilt_left_out: 0,
            beyond_rim: 0,
            fast_turns: 0,
            hurried: 0,
        }
    }

    /// Empties the lists.
    pub(crate) fn clear(&mut self) {
        self.dips.clear();
        self.bands.clear();
        self.resonances.clear();
        self.dips_left_out = 0;
        self.bands_left_out = 0;
        self.resonances_left_out = 0;
        self.spoilt.clear();
        self.spoilt_left_out = 0;
        self.hurried = 0;
    }

    /// Copies the results of another, into empty lists.
    pub(crate) fn copy_from(&mut self, other: &Self) {
        copy(&other.dips, self.dips.as_mut_view());
        copy(&other.bands, self.bands.as_mut_view());
        copy(&other.resonances, self.resonances.as_mut_view());
        self.dips_left_out = other.dips_left_out;
        self.bands_left_out = other.bands_left_out;
        self.resonances_left_out = other.resonances_left_out;
        copy(&other.spoilt, self.spoilt.as_mut_view());
        self.spoilt_left_out = other.spoilt_left_out;
        self.hurried = other.hurried;
    }

    /// Sees to it that a frequency under the limit lies in a band: one less than a `step` away grows to it; else it has a
    /// band of its own, of which nothing more is known.
    #[inline(never)]
    fn cover(&mut self, frequency: Hertz, method: Method, step: A::Working) {
        if self.bands_left_out > 0 {
            return; // perhaps in one of them
        }
        for band in &self.bands {
            if band.low <= frequency && frequency <= band.high {
                return;
            }
        }
        let mut cover = SweepBand {
            low: frequency,
            high: frequency,
            low_open: false,
            high_open: false,
            low_method: method,
            high_method: method,
        };
        for band in &self.bands {
            let is_below = frequency < band.low;
            let edge = if is_below { band.low } else { band.high };
            if A::Working::from_u64(edge.get().abs_diff(frequency.get())) < step {
                // Takes the place of the old one, and of any that it meets.
                cover = *band;
                if is_below {
                    (cover.low, cover.low_method) = (frequency, method);
                } else {
                    (cover.high, cover.high_method) = (frequency, method);
                }
                break;
            }
        }
        self.add_band(cover);
    }

    /// Sees to it that a frequency above the limit is in no band: that band ends beside it.
    #[inline(never)]
    fn leave_out(&mut self, frequency: Hertz, method: Method) {
        for band in &mut self.bands {
            if band.low <= frequency && frequency <= band.high {
                let (before, after) = (
                    frequency.get().saturating_sub(1),
                    frequency.get().saturating_add(1),
                );
                if frequency.get().abs_diff(band.low.get()) < frequency.get().abs_diff(band.high.get()) {
                    (band.low, band.low_open, band.low_method) =
                        (Hertz::new(after).min(band.high), false, method);
                } else {
                    (band.high, band.high_open, band.high_method) =
                        (Hertz::new(before).max(band.low), false, method);
                }
                return;
            }
        }
    }

    #[inline(never)]
    pub(crate) fn add_spoilt(&mut self, frequency: Hertz) {
        if self.spoilt.push(frequency).is_err() {
            self.spoilt_left_out = self.spoilt_left_out.saturating_add(1);
        }
        put_in_order(&mut self.spoilt, |frequency| *frequency);
    }

    #[inline(never)]
    pub(crate) fn add_dip(&mut self, dip: Dip<A>) {
        if let Err(dip) = self.dips.push(dip) {
            self.dips_left_out = self.dips_left_out.saturating_add(1);
            drop_shallowest(&mut self.dips, dip);
        }
        put_in_order(&mut self.dips, |dip| dip.frequency);
    }

    #[inline(never)]
    pub(crate) fn add_band(&mut self, mut band: SweepBand) {
        let apart = merge(&mut self.bands, &mut band);
        self.bands.truncate(apart);
        if self.bands.push(band).is_err() {
            self.bands_left_out = self.bands_left_out.saturating_add(1);
        }
        put_in_order(&mut self.bands, |band| band.low);
    }

    #[inline(never)]
    pub(crate) fn add_resonance(&mut self, resonance: Resonance<A>) {
        if self.resonances.push(resonance).is_err() {
            self.resonances_left_out = self.resonances_left_out.saturating_add(1);
        }
        put_in_order(&mut self.resonances, |resonance| resonance.frequency);
    }
}

// These loops are for any length and contain a call: otherwise the compiler would unroll each several times.
#[inline(never)]
fn copy<T: Copy>(from: &[T], into: &mut VecView<T>) {
    for item in from {
        push(item, into);
    }
}

#[inline(never)]
fn push<T: Copy>(item: &T, into: &mut VecView<T>) {
    // The capacity is that of the other list.
    let _ = into.push(*item);
}

/// Replaces the shallowest dip by a new one, unless that is the shallowest.
#[inline(never)]
fn drop_shallowest<A: Arithmetic>(list: &mut [Dip<A>], mut dip: Dip<A>) {
    for held in list {
        if held.power() > dip.power() {
            swap(held, &mut dip);
        }
    }
}

/// Merges the bands that overlap with a new one into it; returns the number of others, which are then in front.
///
/// If noise crosses the limit several times, the smooth curve puts all those edges in one place: one band. The stored
/// bands do not overlap, so the new one need not be compared again after it has grown.
#[inline(never)]
fn merge(list: &mut [SweepBand], band: &mut SweepBand) -> usize {
    let new = *band;
    let mut apart = 0;
    for place in 0..list.len() {
        let Some(held) = list.get(place).copied() else {
            break;
        };
        if held.high < new.low || new.high < held.low {
            if let Some(slot) = list.get_mut(apart) {
                *slot = held;
            }
            apart = apart.wrapping_add(1);
            continue;
        }
        if held.low < band.low {
            (band.low, band.low_open, band.low_method) = (held.low, held.low_open, held.low_method);
        }
        if held.high > band.high {
            (band.high, band.high_open, band.high_method) = (held.high, held.high_open, held.high_method);
        }
    }
    apart
}

/// Sorts a short list by frequency; equal ones keep their order.
#[inline(never)]
fn put_in_order<T>(list: &mut [T], key: impl Fn(&T) -> Hertz) {
    for end in 1..list.len() {
        let mut rest = list.get_mut(..=end).unwrap_or_default();
        while let Some((high, lower)) = rest.split_last_mut() {
            if let Some(low) = lower.last_mut()
                && key(low) > key(high)
            {
                swap(low, high);
            }
            rest = lower;
        }
    }
}

#[inline(never)]
fn swap<T>(one: &mut T, other: &mut T) {
    core::mem::swap(one, other);
}

impl<A: Arithmetic, const N: usize> SweepReport<A, N> {
    /// Makes the figures agree where different curves, or rounding, have put them on two sides of a limit: a dip under the
    /// limit lies in a band, the target passes just if it lies in one, and nothing is better than the best.
    #[inline(never)]
    pub(crate) fn reconcile(&mut self) {
        let head = &self.head;
        let span = A::Working::from_u64(head.stop.get().abs_diff(head.start.get()));
        let step = span / A::Working::from_u64(u64::from(head.points.saturating_sub(1).max(1)));
        if let Target::Reading(reading) = self.head.target {
            let best = self.head.best.as_ref();
            let better = best.is_none_or(|best| reading.reflection.power() < best.power());
            if better {
                self.head.best = Some(Dip {
                    frequency: reading.frequency,
                    reflection: reading.reflection,
                    at_edge: false,
                    method: reading.method,
                    unresolved: None,
                });
            }
            if reading.pass {
                self.found.cover(reading.frequency, reading.method, step);
            } else {
                self.found.leave_out(reading.frequency, reading.method);
            }
        }
        for index in 0..=self.found.dips.len() {
            let dip = self.found.dips.get(index).or(self.head.best.as_ref());
            if let Some(dip) = dip
                && self.head.limit.holds(dip.reflection)
            {
                let (frequency, method) = (dip.frequency, dip.method);
                self.found.cover(frequency, method, step);
            }
        }
    }

    /// The number of points.
    pub fn points(&self) -> u32 {
        self.head.points
    }

    /// The lowest frequency; 0 Hz before the first point.
    pub fn start(&self) -> Hertz {
        self.head.start
    }

    /// The highest frequency.
    pub fn stop(&self) -> Hertz {
        self.head.stop
    }

    /// The reference of Γ.
    pub fn reference(&self) -> Reference<A> {
        self.head.reference
    }

    /// The SWR limit of bands and verdicts.
    pub fn swr_limit(&self) -> Swr<A> {
        self.head.limit.swr
    }

    /// The lowest |Γ| of the whole sweep; `None` before the first point.
    pub fn best(&self) -> Option<Dip<A>> {
        self.head.best
    }

    /// Every dip with the required prominence.
    pub fn dips(&self) -> &[Dip<A>] {
        &self.found.dips
    }

    /// The number of dips beyond the capacity; the deepest are kept.
    pub fn dips_left_out(&self) -> u32 {
        self.found.dips_left_out
    }

    /// Every band at or under the SWR limit.
    pub fn bands(&self) -> &[SweepBand] {
        &self.found.bands
    }

    /// The number of bands beyond the capacity; the first are kept.
    pub fn bands_left_out(&self) -> u32 {
        self.found.bands_left_out
    }

    /// Every crossing X = 0.
    pub fn resonances(&self) -> &[Resonance<A>] {
        &self.found.resonances
    }

    /// The number of crossings beyond the capacity; the first are kept.
    pub fn resonances_left_out(&self) -> u32 {
        self.found.resonances_left_out
    }

    /// The frequencies of samples that fit none of their neighbours, which were left out: a spike, or a dip much narrower
    /// than a step of the sweep. One alone and two in a row are recognised; a finer sweep near them tells which it is.
    pub fn spoilt(&self) -> &[Hertz] {
        &self.found.spoilt
    }

    /// The number of such samples beyond the capacity; the first are kept.
    pub fn spoilt_left_out(&self) -> u32 {
        self.found.spoilt_left_out
    }

    /// The number of samples with |Γ| above 1 by more than twice the noise of the settings. A passive load has none: then the
    /// calibration, the reference or the wiring is wrong, or something transmits.
    pub fn beyond_rim(&self) -> u32 {
        self.found.beyond_rim
    }

    /// The number of steps over which Γ turns by more than a third of a circle while |Γ| is above 0.3. Where there are many,
    /// a long cable is swept too coarsely: between the points anything may be.
    pub fn fast_turns(&self) -> u32 {
        self.found.fast_turns
    }

    /// True where more than one step of eight is a [fast turn](Self::fast_turns): figures between the points are guesses.
    pub fn is_too_coarse(&self) -> bool {
        self.found.fast_turns > self.head.points >> 3
    }

    /// The number of points near which so much was found, one after another, that there was no time for curves: what was found
    /// there is on straight lines between the points, or is a measured point, as its [`Method`] says.
    ///
    /// It is 0 unless the samples are noise, or unless a sweep is so coarse that each step shows something: see
    /// [`SweepAnalyser::push`](super::SweepAnalyser::push).
    pub fn hurried(&self) -> u32 {
        self.found.hurried
    }

    /// The load at the target.
    pub fn target(&self) -> Target<A> {
        self.head.target
    }

    /// Z of a dip in the report's reference.
    pub fn impedance(&self, reflection: Reflection<A>) -> Impedance<A> {
        reflection.impedance(self.head.reference)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(low: (u64, bool), high: (u64, bool)) -> SweepBand {
        SweepBand {
            low: Hertz::new(low.0),
            high: Hertz::new(high.0),
            low_open: low.1,
            high_open: high.1,
            low_method: Method::Line,
            high_method: Method::Measured,
        }
    }

    /// The ends of two bands that meet are those that lie farther out, and stay open if they were.
    #[test]
    fn merged_bands_keep_their_open_ends() {
        for (first, second, both) in [
            (
                band((1, true), (5, false)),
                band((4, false), (9, true)),
                band((1, true), (9, true)),
            ),
            (
                band((4, false), (9, true)),
                band((1, true), (5, false)),
                band((1, true), (9, true)),
            ),
            (
                band((1, false), (9, false)),
                band((4, true), (5, true)),
                band((1, false), (9, false)),
            ),
            (
                band((4, true), (5, true)),
                band((1, false), (9, false)),
                band((1, false), (9, false)),
            ),
        ] {
            let mut found = Found::<f64, 4>::new();
            found.add_band(first);
            found.add_band(second);
            assert_eq!(found.bands.as_slice(), [both]);
        }
    }

    /// A frequency near a band is taken into it, one far off has a band of its own, and bands that meet are one.
    #[test]
    fn what_passes_lies_in_a_band() {
        let mut found = Found::<f64, 4>::new();
        found.add_band(band((10, false), (20, false)));
        found.add_band(band((24, false), (24, false)));
        found.cover(Hertz::new(15), Method::Parabola, 10.0);
        assert_eq!(found.bands.len(), 2);
        found.cover(Hertz::new(40), Method::Parabola, 10.0);
        assert_eq!(found.bands.len(), 3);
        found.cover(Hertz::new(26), Method::Parabola, 10.0);
        assert_eq!(found.bands.len(), 2);
        let first = found.bands.first().unwrap();
        assert_eq!(
            (first.low.get(), first.high.get(), first.high_method),
            (10, 26, Method::Parabola)
        );
        found.leave_out(Hertz::new(25), Method::Line);
        assert_eq!(found.bands.first().unwrap().high.get(), 24);
    }
}
