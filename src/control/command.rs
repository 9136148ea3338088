//! What goes into the tuner's state machine, and what comes out.

use super::reading::SensorReading;
use super::setting::{Positions, Setting};
use crate::arithmetic::Arithmetic;
use crate::quantity::{Swr, Watts};

/// What has happened since the last step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub enum Event<A: Arithmetic> {
    /// Time has passed, nothing else.
    Tick,
    /// The relays have been set as [`Command::Switch`] said.
    Switched,
    /// The relays could not be set.
    SwitchFailed,
    /// The reading that [`Command::Measure`] asked for; between runs: a reading to watch the match by.
    Reading(SensorReading<A>),
    /// The sensor could not read.
    SensorFailed,
}

/// What the tuner wants to be done.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
#[must_use = "nothing moves unless it is carried out"]
pub enum Command<A: Arithmetic> {
    /// Nothing: no run is under way.
    Idle,
    /// Call again at this time, or later.
    WaitUntil(u32),
    /// Bring the forward power to this or under it, watts; relays are to move. Call again soon.
    ReducePower(Watts<A>),
    /// Bring the forward power to this or above it, watts; a reading is to be taken. Call again soon.
    RaisePower(Watts<A>),
    /// Set the relays so, at once, and answer [`Event::Switched`] or [`Event::SwitchFailed`].
    ///
    /// The power that was told with the step that gives this command was at or under the limit.
    Switch(Positions),
    /// Take a reading, and answer [`Event::Reading`] or [`Event::SensorFailed`].
    Measure,
    /// The run is over.
    Done(TunerReport<A>),
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Command<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        match self {
            Self::Idle => defmt::write!(f, "idle"),
            Self::WaitUntil(time) => defmt::write!(f, "wait until {=u32} ms", *time),
            Self::ReducePower(watts) => defmt::write!(f, "reduce power to {}", watts),
            Self::RaisePower(watts) => defmt::write!(f, "raise power to {}", watts),
            Self::Switch(positions) => defmt::write!(f, "switch to {}", positions),
            Self::Measure => defmt::write!(f, "measure"),
            Self::Done(report) => defmt::write!(f, "done: {}", report),
        }
    }
}

/// How a run has ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Outcome {
    /// The best setting that the bank has is set, and its SWR is a good one.
    Matched,
    /// The best setting that the bank has is set, but the load lies outside of what the bank can match well.
    BestAvailable,
    /// Readings or relay operations are used up; the best setting found is set.
    BudgetSpent,
    /// There was not enough power to read by.
    TooLittlePower,
    /// The power stayed above what relays may be switched at.
    TooMuchPower,
    /// The sensor failed, or gave what cannot be.
    SensorFault,
    /// The relays failed, or did not answer.
    BankFault,
    /// The load changes while it is being measured.
    Drifting,
    /// The load takes no power: open, short, or a cable to nowhere.
    LoadWithoutResistance,
    /// The run has taken too long.
    TimedOut,
    /// Stopped by [`Tuner::cancel`](super::Tuner::cancel).
    Cancelled,
    /// Bypass was asked for, and is set.
    Bypassed,
}

impl Outcome {
    /// Whether the setting is meant to be worked with. All other outcomes end in bypass, if the power lets them.
    pub fn is_usable(self) -> bool {
        matches!(
            self,
            Self::Matched | Self::BestAvailable | Self::BudgetSpent | Self::Bypassed
        )
    }
}

/// The end of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
#[must_use = "it tells what was found"]
pub struct TunerReport<A: Arithmetic> {
    /// How it has ended.
    pub outcome: Outcome,
    /// The setting that is set; `None` where the relays may stand anywhere (a fault, or power that could not be reduced on
    /// the way to bypass).
    pub setting: Option<Setting>,
    /// SWR with it, as the readings and the bank together say; `None` where none was taken with this setting.
    pub swr: Option<Swr<A>>,
    /// Readings taken.
    pub readings: u8,
    /// Relay operations.
    pub operations: u16,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for TunerReport<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{}, ", self.outcome);
        match self.setting {
            Some(setting) => defmt::write!(f, "{}", setting),
            None => defmt::write!(f, "relays anywhere"),
        }
        match self.swr {
            Some(swr) => defmt::write!(f, ", SWR {}", swr),
            None => defmt::write!(f, ", SWR not known"),
        }
        let (readings, operations) = (self.readings, self.operations);
        defmt::write!(
            f,
            ", {=u8} readings, {=u16} relay operations",
            readings,
            operations
        );
    }
}

impl<A: Arithmetic> TunerReport<A> {
    /// Of a run that has done nothing yet: for tests of what shows a report.
    pub const fn new(outcome: Outcome) -> Self {
        Self {
            outcome,
            setting: None,
            swr: None,
            readings: 0,
            operations: 0,
        }
    }
}
