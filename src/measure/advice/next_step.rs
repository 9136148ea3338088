//! The one next step: what to do now, chosen by what it leaves at the target and by how sure that is.

use super::{Retune, TuningElement};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::design::transformer::Turns;
use crate::quantity::{Hertz, Ratio, Reactor, Swr, positive};

/// What is built: what can be moved, how far, and which winding is there.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct Built<A: Arithmetic> {
    /// The part that can be adjusted.
    pub element: TuningElement,
    /// The smallest factor that the element can be changed by; above 0 and at most 1. One half by default.
    pub least_factor: Ratio<A>,
    /// The largest factor; at least 1. Two by default.
    pub most_factor: Ratio<A>,
    /// The transformer that the load is measured through, if there is one: its turns can be changed.
    pub winding: Option<Turns>,
    /// True where the readings are those of the load itself: there is no line, or it was taken out. Then
    /// [`TakeOutLine`](Action::TakeOutLine) is never said. False by default.
    pub is_at_load: bool,
    /// The most turns that each winding can have; 12 : 12 by default. A secondary of tube or braid is one turn.
    pub most_turns: Turns,
}

impl<A: Arithmetic> Built<A> {
    /// This element, to be changed by a factor from one half to two; no winding.
    pub fn new(element: TuningElement) -> Self {
        let part = |share: A::Working| Ratio::<A>::from_working(share);
        Self {
            element,
            least_factor: part(A::Working::HALF),
            most_factor: part(A::Working::TWO),
            winding: None,
            is_at_load: false,
            most_turns: Turns::TWELVE,
        }
    }

    setters! {
        with_least_factor(least_factor: Ratio<A>);
        with_most_factor(most_factor: Ratio<A>);
        with_winding(winding: Option<Turns>);
        with_is_at_load(is_at_load: bool);
        with_most_turns(most_turns: Turns);
    }

    /// Both factors, if they keep the rules.
    pub(super) fn factors(&self) -> Result<[A::Working; 2], QuantityError> {
        let least = positive(self.least_factor, "least factor")?.to_working();
        let most = positive(self.most_factor, "most factor")?.to_working();
        if least > A::Working::ONE {
            return Err(outside!("least factor", "must be at most 1"));
        }
        if most < A::Working::ONE {
            return Err(outside!("most factor", "must be at least 1"));
        }
        Ok([least, most])
    }
}

/// Where a part is added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Placement {
    /// In series.
    Series,
    /// Across.
    Across,
}

/// A part to be added at the plane of the measurement, on the source's side of everything that is there.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct AddedPart<A: Arithmetic> {
    /// In series or across.
    pub place: Placement,
    /// The coil or capacitor.
    pub part: Reactor<A>,
}

/// Where to look for a dip that the sweep does not show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Toward {
    /// Below the sweep.
    Lower,
    /// Above the sweep.
    Higher,
    /// On both sides: the sweep does not tell.
    Both,
}

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub enum Action<A: Arithmetic> {
    /// Leave it as it is.
    Leave,
    /// Move the tuning element.
    Move(Retune<A>),
    /// Wind other turns: with a [`winding`](Built::winding), these in its place; without, a further transformer of these
    /// turns, primary towards the source.
    Turns(Turns),
    /// Add a part.
    Part(AddedPart<A>),
    /// Wind other turns and add a part on the source's side of them.
    TurnsAndPart(Turns, AddedPart<A>),
    /// Sweep wider.
    SweepWider {
        /// Where to.
        toward: Toward,
        /// As far as the element could move a dip from; the lower end where both sides are meant.
        until: Hertz,
    },
    /// Nothing: there is no dip to move.
    NoDip,
    /// Measure again, after what the reason says.
    MeasureAgain,
    /// Take the cable between instrument and load out of the reading, then ask again.
    TakeOutLine,
}

/// Why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Reason {
    /// The SWR at the target is within the limit.
    Matched,
    /// Nothing that can be changed leaves distinctly less.
    NothingGains,
    /// The dip stands below the target.
    DipBelow,
    /// The dip stands above the target.
    DipAbove,
    /// The ratio is wrong.
    Ratio,
    /// Reactance is left.
    Reactance,
    /// Both are wrong.
    RatioAndReactance,
    /// The sweep does not reach the target, and has no dip to move.
    TargetNotSwept,
    /// The sweep has no dip inside that could be moved to the target.
    DipOutside,
    /// Nothing is connected: an open at all frequencies.
    Open,
    /// A short at all frequencies.
    Short,
    /// The load is the same at all frequencies.
    FlatLoad,
    /// Γ turns evenly and comes back almost whole: a cable with an open or short end.
    CableEnd,
    /// Samples at what matters fit none of their neighbours.
    Spoilt,
    /// |Γ| is above 1 by more than the noise.
    BeyondRim,
    /// The noise is too large for an answer.
    Noise,
    /// The steps of the sweep are too coarse for an answer: sweep finer.
    TooCoarse,
    /// Γ looks as if it had not been corrected: it turns the wrong way round.
    Uncorrected,
    /// A line is between the instrument and the load, and the answer needs the load itself.
    Line,
    /// The load has no resistance that power could go into.
    NoResistance,
    /// No point has been measured yet.
    NoSweep,
}

/// The SWR expected at the target after the step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Expected<A: Arithmetic> {
    /// The most likely value.
    pub swr: Swr<A>,
    /// The best that noise and ripple allow.
    pub least: Swr<A>,
    /// The worst that noise and ripple allow.
    pub most: Swr<A>,
}

/// One next step that a person can trust.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
#[must_use = "it says what to do"]
pub struct NextStep<A: Arithmetic> {
    /// What to do.
    pub action: Action<A>,
    /// Why.
    pub reason: Reason,
    /// What it leaves; `None` where that is not known before the next sweep.
    pub expected: Option<Expected<A>>,
}
