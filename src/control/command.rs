//! The input and the output of the tuner's state machine.

use super::reading::SensorReading;
use super::setting::{Positions, Setting};
use crate::arithmetic::Arithmetic;
use crate::quantity::{Swr, Watts};

/// What has happened since the last step.
#[derive(Clone, Copy, Debug, PartialEq)]
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
#[non_exhaustive]
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

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
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
#[non_exhaustive]
pub struct TunerReport<A: Arithmetic> {
    /// How it ended.
    pub outcome: Outcome,
    /// The present setting; `None` if the relays may be anywhere (a fault, or too much power on the way to bypass).
    pub setting: Option<Setting>,
    /// SWR in this setting, calculated from readings and bank; `None` without a reading in this setting.
    pub swr: Option<Swr<A>>,
    /// Readings taken.
    pub readings: u8,
    /// Relay operations.
    pub operations: u16,
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
