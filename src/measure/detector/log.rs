//! The types of this folder in the log of a device: one line each, in ASCII, with units.

use defmt::{Format, Formatter, write};

use super::*;
use crate::arithmetic::Arithmetic;
use crate::arithmetic::log::{InRange, NamedSwr, Number, OpenOr};

impl<const N: usize> Format for Tone<N> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "bin {=usize} of {=usize}", self.bin(), N);
    }
}

impl<const N: usize> Format for Demodulator<'_, N> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "demodulator after {=usize} of {=usize} frames",
            self.taken(),
            N
        );
    }
}

impl Format for Quality {
    /// The marks that are set, or that there are none.
    fn format(&self, f: Formatter<'_>) {
        let marks = [
            (self.near_overload, "near overload"),
            (self.weak, "weak"),
            (self.phase_ambiguous, "phase ambiguous"),
            (self.above_unity, "above unity"),
            (self.upper_limit, "upper limit"),
        ];
        if self.is_clean() {
            write!(f, "no marks");
        }
        let mut between = "";
        for (_, name) in marks.iter().filter(|(set, _)| *set) {
            write!(f, "{=str}{=str}", between, name);
            between = ", ";
        }
    }
}

impl<A: Arithmetic> Format for Imbalance<A> {
    fn format(&self, f: Formatter<'_>) {
        let offset = self.offset();
        write!(
            f,
            "offset {=i32}/16 and {=i32}/16 counts, gain of Q {} dB, angle of Q {} deg",
            offset.i,
            offset.q,
            Number(self.gain()),
            Number(self.skew()),
        );
    }
}

impl<A: Arithmetic> Format for ImbalanceEstimate<A> {
    fn format(&self, f: Formatter<'_>) {
        match self.imbalance() {
            Ok(imbalance) => write!(f, "{}", imbalance),
            Err(error) => write!(f, "{}", error),
        }
    }
}

// --- vector ----------------------------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for VectorSettings<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "full scale {=u32}, weakest reference {=u32}, noise {} counts",
            self.full_scale,
            self.weakest,
            Number(self.noise),
        );
    }
}

impl<A: Arithmetic> Format for VectorDetector<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "vector detector: {}", self.settings());
    }
}

impl<A: Arithmetic> Format for VectorReading<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{}, standard error {}, {}",
            self.reflection(),
            Number(self.error()),
            self.quality(),
        );
    }
}

impl<A: Arithmetic> Format for VectorAverage<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{=u32} readings", self.count());
        if let Some(reflection) = self.reflection() {
            write!(f, ", {}", reflection);
        }
        if let Some(error) = self.standard_error() {
            write!(f, ", standard error {}", Number(error));
        }
    }
}

// --- scalar ----------------------------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for LevelTable<'_, A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "table of {=usize} points", self.points().len());
        if let [(low, least), .., (high, most)] = self.points() {
            write!(
                f,
                ", {=i32} counts for {} V to {=i32} counts for {} V",
                low,
                Number(*least),
                high,
                Number(*most)
            );
        }
    }
}

impl<A: Arithmetic> Format for ScalarSettings<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "reference {}, coupling {} dB, directivity {} dB, full scale {=i32} counts, weakest {} V",
            self.reference,
            Number(self.coupling),
            Number(self.directivity),
            self.full_scale,
            Number(self.weakest),
        );
    }
}

impl<A: Arithmetic> Format for ScalarDetector<'_, A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "scalar detector: {}", self.settings());
    }
}

impl<A: Arithmetic> Format for SwrInterval<A> {
    fn format(&self, f: Formatter<'_>) {
        match self.high {
            Some(high) => write!(f, "{} to {}", NamedSwr(self.low), Number(high)),
            None => write!(f, "{} or more", NamedSwr(self.low)),
        }
    }
}

impl<A: Arithmetic> Format for ScalarReading<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "forward {}, reflected {}, delivered {}, |Gamma| {}, {} ({}), {}",
            InRange(self.forward(), " W"),
            InRange(self.reflected(), " W"),
            InRange(self.delivered(), " W"),
            Number(self.magnitude()),
            NamedSwr(self.swr()),
            self.swr_interval(),
            self.quality(),
        );
    }
}

// --- three voltages --------------------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for ThreeVoltageSettings<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "resistor {}, tolerance {}, full scale {=i32} counts, weakest {} V",
            OpenOr(self.resistor),
            Number(self.tolerance),
            self.full_scale,
            Number(self.weakest),
        );
    }
}

impl<A: Arithmetic> Format for ThreeVoltageDetector<'_, A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "three-voltage detector: {}", self.settings());
    }
}

impl<A: Arithmetic> Format for ThreeVoltageReading<A> {
    fn format(&self, f: Formatter<'_>) {
        let (low, high) = self.reactance_interval();
        write!(
            f,
            "R {} off by at most {}, |X| {} from {} to {}, {}",
            OpenOr(self.resistance()),
            OpenOr(self.resistance_error()),
            OpenOr(self.reactance_size()),
            OpenOr(low),
            OpenOr(high),
            self.quality(),
        );
    }
}
