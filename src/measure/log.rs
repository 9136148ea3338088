//! The types of this folder in the log of a device: one line each, in ASCII, with units.

use defmt::{Format, Formatter, write};

use super::balance::{Balance, BalanceLimits, Phasor};
use super::plan::{FrequencyPlan, Refinement};

use super::calibration::ErrorTerms;
use super::touchstone::{LineBuffer, Lines, Reader, Writer};
use super::{
    Change, Diagnosis, Dip, Explanation, MaskCheck, MaskReport, MaskSegment, MaskVerdict, PredictionCheck,
    PredictionReport, Resonance, Retune, Statistics, SweepAnalyser, SweepBand, SweepReport, SweepSettings,
    Target, TargetReading, WorstPoint,
};
use crate::arithmetic::log::{InRange, NamedSwr, Number, OpenOr};
use crate::arithmetic::{Arithmetic, Quantity};
use crate::design::transformer::Remedy;

impl<A: Arithmetic> Format for ErrorTerms<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "directivity {}, source match {}, tracking {}",
            self.directivity, self.source_match, self.tracking,
        );
    }
}

// --- the analyser and its report ---------------------------------------------------------------------------------

impl<A: Arithmetic> Format for SweepSettings<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "reference {}, limit {}, ",
            self.reference,
            NamedSwr(self.swr_limit)
        );
        match self.target {
            Some(target) => write!(f, "target {}", target),
            None => write!(f, "no target"),
        }
        write!(f, ", prominence {}", Number(self.prominence));
    }
}

impl<A: Arithmetic, const N: usize> Format for SweepAnalyser<A, N> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "sweep analyser after {=u32} points", self.points());
    }
}

impl<A: Arithmetic> Format for Dip<A> {
    fn format(&self, f: Formatter<'_>) {
        let edge = if self.at_edge { ", at the edge" } else { "" };
        write!(
            f,
            "{}, {}, {}, {}{=str}",
            self.frequency,
            NamedSwr(self.swr()),
            self.reflection,
            self.method,
            edge,
        );
    }
}

impl Format for SweepBand {
    fn format(&self, f: Formatter<'_>) {
        let end = |open| if open { " (open)" } else { "" };
        write!(
            f,
            "{}{=str} to {}{=str}, {} and {}",
            self.low,
            end(self.low_open),
            self.high,
            end(self.high_open),
            self.low_method,
            self.high_method,
        );
    }
}

impl<A: Arithmetic> Format for Resonance<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{}, R {}, X {=str}, Q {}, {}",
            self.frequency,
            OpenOr(self.resistance),
            if self.rising { "rising" } else { "falling" },
            InRange(self.q, ""),
            self.method,
        );
    }
}

impl<A: Arithmetic> Format for TargetReading<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{}, {}, {}, {=str}, {}",
            self.frequency,
            NamedSwr(self.reflection.swr()),
            self.reflection,
            if self.pass { "pass" } else { "fail" },
            self.method,
        );
    }
}

impl<A: Arithmetic> Format for Target<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::NotAsked => write!(f, "not asked for"),
            Self::NotCovered(frequency) => write!(f, "{}, not covered", frequency),
            Self::Reading(reading) => reading.format(f),
        }
    }
}

impl<A: Arithmetic, const N: usize> Format for SweepReport<A, N> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{=u32} points, {} to {}, reference {}, limit {}",
            self.points(),
            self.start(),
            self.stop(),
            self.reference(),
            NamedSwr(self.swr_limit()),
        );
        if let Some(best) = self.best() {
            write!(f, "; best {}", best);
        }
        write!(f, "; target {}", self.target());
        for dip in self.dips() {
            write!(f, "; dip {}", dip);
        }
        for band in self.bands() {
            write!(f, "; band {}", band);
        }
        for resonance in self.resonances() {
            write!(f, "; X = 0 at {}", resonance);
        }
        let left_out = (
            self.dips_left_out(),
            self.bands_left_out(),
            self.resonances_left_out(),
        );
        if left_out != (0, 0, 0) {
            let (dips, bands, resonances) = left_out;
            write!(
                f,
                "; left out {=u32} dips, {=u32} bands, {=u32} X = 0",
                dips, bands, resonances
            );
        }
    }
}

// --- masks ---------------------------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for MaskSegment<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{} to {}, limit {}",
            self.low,
            self.high,
            NamedSwr(self.swr_limit)
        );
    }
}

impl<A: Arithmetic> Format for WorstPoint<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{}, {}, {}",
            self.frequency,
            NamedSwr(self.reflection.swr()),
            self.reflection
        );
    }
}

impl<A: Arithmetic> Format for MaskVerdict<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::NotCovered => write!(f, "not covered"),
            Self::Pass(worst) => write!(f, "pass, worst at {}", worst),
            Self::Fail(worst) => write!(f, "fail, worst at {}", worst),
        }
    }
}

impl<A: Arithmetic, const M: usize> Format for MaskReport<A, M> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "mask");
        for verdict in self.verdicts() {
            write!(f, "; {}", verdict);
        }
    }
}

impl<A: Arithmetic, const M: usize> Format for MaskCheck<A, M> {
    /// The result of the points so far.
    fn format(&self, f: Formatter<'_>) {
        self.report().format(f);
    }
}

// --- advice --------------------------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for Retune<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{}: {}, to {} of what it is",
            self.element,
            self.direction,
            InRange(self.factor, "")
        );
    }
}

impl<A: Arithmetic> Format for Diagnosis<A> {
    /// The choices by their turns and SWR only; each can be logged by itself.
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "cause {}, load {}, {}; comes back without reactance {}, with the right ratio {}",
            self.cause,
            self.load,
            NamedSwr(self.reflection.swr()),
            Number(self.reflected_power_without_reactance),
            Number(self.reflected_power_with_ratio),
        );
        write!(
            f,
            "; turns {} alone {}, {} and a series part {}, {} and a part across {}",
            self.turns_alone.turns,
            NamedSwr(self.turns_alone.swr(Remedy::TurnsAlone)),
            self.turns_and_series.turns,
            NamedSwr(self.turns_and_series.swr(Remedy::SeriesElement)),
            self.turns_and_shunt.turns,
            NamedSwr(self.turns_and_shunt.swr(Remedy::ShuntElement)),
        );
    }
}

// --- Touchstone ------------------------------------------------------------------------------------------------------

impl Format for Reader {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "Touchstone reader after {=u32} lines, {=u64} records",
            self.lines(),
            self.records()
        );
    }
}

impl<W> Format for Writer<W> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "Touchstone writer");
    }
}

impl Format for Lines<'_> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "lines of a slice");
    }
}

impl<const N: usize> Format for LineBuffer<N> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "line of at most {=usize} bytes", N);
    }
}

// --- statistics ------------------------------------------------------------------------------------------------------

impl<Q: Quantity> Format for Statistics<Q> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{=u32} readings", self.count());
        if let Some(mean) = self.mean() {
            write!(f, ", mean {}", Number(mean));
        }
        if let Some(deviation) = self.standard_deviation() {
            write!(f, ", standard deviation {}", Number(deviation));
        }
    }
}
// --- measured against predicted ---------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for Change<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::TimesImpedance(times) => write!(f, "{} times the impedance", InRange(*times, "")),
            Self::MoreInductance(inductance) => write!(f, "{} more", inductance),
            Self::LessInductance(inductance) => write!(f, "{} less", inductance),
            Self::LongerLine(metres) => write!(f, "{} longer", InRange(*metres, " m")),
            Self::ShorterLine(metres) => write!(f, "{} shorter", InRange(*metres, " m")),
        }
    }
}

impl<A: Arithmetic> Format for Explanation<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{}: {}, leaves {}",
            self.suspect,
            self.change,
            Number(self.residual)
        );
    }
}

impl<A: Arithmetic> Format for PredictionCheck<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "comparison of {=u32} pairs so far", self.points());
    }
}

impl<A: Arithmetic> Format for PredictionReport<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{=u32} pairs, difference {} at most (at {}), {} on average; best {}",
            self.points,
            Number(self.largest),
            self.largest_at,
            Number(self.mean),
            *self.best()
        );
    }
}

// --- balance and plans -------------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for Phasor<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "re {} im {}", Number(self.real()), Number(self.imaginary()));
    }
}

impl<A: Arithmetic> Format for Balance<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{} and {} off, differential {}, common {}, rejection {}",
            InRange(self.amplitude_imbalance, " dB"),
            InRange(self.phase_imbalance, " deg"),
            self.differential,
            self.common,
            InRange(self.common_mode_rejection, " dB"),
        );
    }
}

impl<A: Arithmetic> Format for BalanceLimits<A> {
    fn format(&self, f: Formatter<'_>) {
        let (amplitude, phase, rejection) = self.parts();
        write!(
            f,
            "within {} dB and {} deg, rejection from {} dB",
            Number(amplitude),
            Number(phase),
            Number(rejection),
        );
    }
}

impl Format for FrequencyPlan<'_> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{=u32} points from {} to {}",
            self.points(),
            self.start(),
            self.stop()
        );
    }
}

impl<A: Arithmetic, const POINTS: usize, const N: usize> Format for Refinement<A, POINTS, N> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{=usize} readings of {=usize}", self.readings(), POINTS);
    }
}
