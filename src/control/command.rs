//! The input and the output of the tuner's state machine.

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
    /// The relays have been set as [`Command::Switch`] required.
    Switched,
    /// The relays could not be set.
    SwitchFailed,
    /// The reading that [`Command::Measure`] asked for; between runs, a reading that monitors the match.
    Reading(SensorReading<A>),
    /// The sensor could not read.
    SensorFailed,
}

/// What the tuner asks for.
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
    /// Reduce the forward power to this value or less, watts: relays are to move. Call again soon.
    ReducePower(Watts<A>),
    /// Raise the forward power to this value or more, watts: a reading is to be taken. Call again soon.
    RaisePower(Watts<A>),
    /// Set the relays to these positions at once, and answer [`Event::Switched`] or [`Event::SwitchFailed`].
    ///
    /// The power passed with the step that gave this command was at or under the limit.
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

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Outcome {
    /// The best setting of the bank is set, and its SWR is good.
    Matched,
    /// The best setting of the bank is set, but the bank cannot match this load well.
    BestAvailable,
    /// The budget of readings or relay operations is spent; the best setting found is set.
    BudgetSpent,
    /// There was not enough power for a reading.
    TooLittlePower,
    /// The power stayed above the switching limit of the relays.
    TooMuchPower,
    /// The sensor failed, or gave impossible readings.
    SensorFault,
    /// The relays failed, or did not answer.
    BankFault,
    /// The load changed during the run.
    Drifting,
    /// The load takes no power: an open, a short, or an unconnected cable.
    LoadWithoutResistance,
    /// The run took too long.
    TimedOut,
    /// Stopped by [`Tuner::cancel`](super::Tuner::cancel).
    Cancelled,
    /// Bypass was requested, and is set.
    Bypassed,
}

impl Outcome {
    /// Whether the setting can be used. Other outcomes end in bypass, if the power allows the relays to move.
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
#[must_use = "it reports what was found"]
pub struct TunerReport<A: Arithmetic> {
    /// How it ended.
    pub outcome: Outcome,
    /// The present setting; `None` if the relays may be anywhere (a fault, or too much power on the way to bypass).
    pub setting: Option<Setting>,
    /// SWR in this setting, calculated from readings and bank; `None` without a reading in this setting.
    pub swr: Option<Swr<A>>,
    /// Readings asked for, with those that failed.
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
