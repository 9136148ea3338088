//! The types of this folder in the log of a device: one line each, in ASCII, with units.

use defmt::{Format, Formatter, write};

use super::at::BankAt;
use super::bank::{Bank, BankCapacitor, BankCoil, Stray};
use super::command::{Command, Event, TunerReport};
use super::hardware::{Progress, TunerDriver};
use super::memory::{MemoryEntry, TunerMemory};
use super::mock::{AntennaModel, BenchFaults, SimulatedBench};
use super::protection::Protection;
use super::reading::SensorReading;
use super::search::BestSetting;
use super::setting::{Positions, Setting, Side};
use super::settings::TunerSettings;
use super::tuner::Tuner;
use crate::arithmetic::Arithmetic;
use crate::arithmetic::log::{InRange, NamedSwr, Number, OpenOr};

// --- the bank ----------------------------------------------------------------------------------------------------

fn side(side: Side) -> &'static str {
    match side {
        Side::Source => "source",
        Side::Load => "load",
    }
}

impl Format for Setting {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "coils {=u16}, capacitors {=u16} at the {=str}, tap {=u8}",
            self.coils,
            self.capacitors,
            side(self.side),
            self.tap,
        );
    }
}

impl Format for Positions {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "coils {=u16}, capacitors {=u16} at the {=str}, ",
            self.coils,
            self.capacitors,
            side(self.side),
        );
        match self.tap {
            Some(tap) => write!(f, "tap {=u8}", tap),
            None => write!(f, "between taps"),
        }
    }
}

impl<A: Arithmetic> Format for BankCoil<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}, Q {}", self.inductance, InRange(self.q, ""));
    }
}

impl<A: Arithmetic> Format for BankCapacitor<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}, Q {}", self.capacitance, InRange(self.q, ""));
    }
}

impl<A: Arithmetic> Format for Stray<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{} in series, {} at the source, {} at the load",
            self.series, self.at_source, self.at_load,
        );
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> Format for Bank<A, L, C> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "bank of {=usize} coils and {=usize} capacitors, {}, {=u64} settings",
            L,
            C,
            self.arrangement(),
            self.count(),
        );
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> Format for BankAt<A, L, C> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "bank of {=usize} coils and {=usize} capacitors at a frequency",
            L, C
        );
    }
}

impl<A: Arithmetic> Format for BestSetting<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}, {}", self.setting, NamedSwr(self.reflection.swr()));
    }
}

// --- the tuner ---------------------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for SensorReading<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::Vector(gamma) => write!(f, "{}", gamma),
            Self::Magnitude(size) => write!(f, "|Gamma| {}", Number(*size)),
        }
    }
}

impl<A: Arithmetic> Format for Event<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::Tick => write!(f, "tick"),
            Self::Switched => write!(f, "switched"),
            Self::SwitchFailed => write!(f, "switching failed"),
            Self::Reading(reading) => write!(f, "reading {}", reading),
            Self::SensorFailed => write!(f, "sensor failed"),
        }
    }
}

impl<A: Arithmetic> Format for Command<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::Idle => write!(f, "idle"),
            Self::WaitUntil(time) => write!(f, "wait until {=u32} ms", *time),
            Self::ReducePower(watts) => write!(f, "reduce power to {} W", Number(*watts)),
            Self::RaisePower(watts) => write!(f, "raise power to {} W", Number(*watts)),
            Self::Switch(positions) => write!(f, "switch to {}", positions),
            Self::Measure => write!(f, "measure"),
            Self::Done(report) => write!(f, "done: {}", report),
        }
    }
}

impl<A: Arithmetic> Format for Progress<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::Idle => write!(f, "idle"),
            Self::SleepUntil(time) => write!(f, "sleep until {=u32} ms", *time),
            Self::ReducePower(watts) => write!(f, "reduce power to {} W", Number(*watts)),
            Self::RaisePower(watts) => write!(f, "raise power to {} W", Number(*watts)),
            Self::Busy => write!(f, "busy"),
            Self::Done(report) => write!(f, "done: {}", report),
        }
    }
}

impl<A: Arithmetic> Format for TunerReport<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}, ", self.outcome);
        match self.setting {
            Some(setting) => write!(f, "{}", setting),
            None => write!(f, "relays anywhere"),
        }
        match self.swr {
            Some(swr) => write!(f, ", {}", NamedSwr(swr)),
            None => write!(f, ", SWR not known"),
        }
        write!(
            f,
            ", {=u8} readings, {=u16} relay operations",
            self.readings, self.operations,
        );
    }
}

impl<A: Arithmetic> Format for TunerSettings<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "reference {}, switching up to {} W, measuring from {} W, {=u8} readings, {=u16} operations, good {}",
            self.reference,
            Number(self.switching_limit),
            Number(self.measuring_minimum),
            self.most_readings,
            self.most_operations,
            NamedSwr(self.good_swr),
        );
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> Format for Tuner<A, L, C> {
    fn format(&self, f: Formatter<'_>) {
        let state = if self.is_running() { "running" } else { "at rest" };
        write!(f, "tuner {=str}, ", state);
        match self.setting() {
            Some(setting) => write!(f, "{}", setting),
            None => write!(f, "relays anywhere"),
        }
    }
}

impl<A: Arithmetic, S, B, const L: usize, const C: usize> Format for TunerDriver<'_, A, S, B, L, C> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "driver of {}", self.driven());
    }
}

impl<A: Arithmetic> Format for Protection<A> {
    fn format(&self, f: Formatter<'_>) {
        let state = if self.has_tripped() { "tripped" } else { "armed" };
        write!(f, "protection {=str}", state);
    }
}

impl<A: Arithmetic> Format for MemoryEntry<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{}: {}, {}, age {=u16}",
            self.frequency,
            self.setting,
            NamedSwr(self.swr),
            self.age,
        );
    }
}

impl<A: Arithmetic> Format for TunerMemory<'_, A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "memory of {=usize} settings", self.entries().count());
    }
}

// --- the simulated bench -----------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for AntennaModel<A> {
    fn format(&self, f: Formatter<'_>) {
        let (resistance, inductance, capacitance, how) = match self {
            Self::Fixed(impedance) => return write!(f, "{} at every frequency", impedance),
            Self::Series {
                resistance,
                inductance,
                capacitance,
            } => (resistance, inductance, capacitance, "series"),
            Self::Parallel {
                resistance,
                inductance,
                capacitance,
            } => (resistance, inductance, capacitance, "parallel"),
        };
        write!(
            f,
            "{}, {} and {} in {=str}",
            OpenOr(*resistance),
            inductance,
            capacitance,
            how,
        );
    }
}

impl<A: Arithmetic> Format for BenchFaults<A> {
    fn format(&self, f: Formatter<'_>) {
        let state = if *self == Self::default() {
            "no faults"
        } else {
            "with faults"
        };
        write!(f, "simulated bench {=str}", state);
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> Format for SimulatedBench<A, L, C> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "simulated bench after {=u32} readings, {=u32} relay operations",
            self.readings(),
            self.operations(),
        );
    }
}
