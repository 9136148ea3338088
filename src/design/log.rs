//! The types of this folder in the log of a device: one line each, in ASCII, with units.

use defmt::{Format, Formatter, write};

use super::transformer::{CancellingPart, MagnitudeRule, Turns, TurnsChoice, TurnsRanking};
use crate::arithmetic::Arithmetic;
use crate::arithmetic::log::{InRange, Ohms, Swr};

impl Format for Turns {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{=u8} : {=u8}", self.primary(), self.secondary());
    }
}

impl<A: Arithmetic> Format for MagnitudeRule<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "|Z| {} asks for ratio {}, turns {}; promised {}, seen {}, {}",
            Ohms(self.magnitude),
            InRange(self.impedance_ratio, ""),
            self.turns,
            Swr(self.swr_promised),
            self.seen,
            Swr(self.reflection.swr()),
        );
    }
}

impl<A: Arithmetic> Format for CancellingPart<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "X {}", Ohms(self.load_side_reactance));
        if let Some(part) = self.load_side {
            write!(f, " ({})", part);
        }
        write!(f, " at the load, X {}", Ohms(self.source_side_reactance));
        if let Some(part) = self.source_side {
            write!(f, " ({})", part);
        }
        write!(f, " at the source, leaves {}", Swr(self.swr));
    }
}

impl<A: Arithmetic> Format for TurnsChoice<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "turns {}, seen {}, {}; in series {}; across {}",
            self.turns,
            self.seen,
            Swr(self.reflection.swr()),
            self.series,
            self.shunt,
        );
    }
}

impl<A: Arithmetic, const K: usize> Format for TurnsRanking<A, K> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "turns by {}", self.remedy());
        for choice in self.as_slice() {
            write!(f, ", {} leaves {}", choice.turns, Swr(choice.swr(self.remedy())));
        }
    }
}
