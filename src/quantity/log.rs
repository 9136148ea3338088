//! The types of this folder in the log of a device: one line each, in ASCII, with units.

use defmt::{Format, Formatter, write};

use super::{
    Admittance, Capacitance, Hertz, Impedance, Inductance, ParallelForm, Reactor, Reference, Reflection,
};
use crate::arithmetic::Arithmetic;
use crate::arithmetic::log::{InRange, Number, OpenOr, Series, unit};

impl Format for Hertz {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{=u64} Hz", self.get());
    }
}

impl<A: Arithmetic> Format for Reflection<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "re {} im {}", Number(self.real()), Number(self.imaginary()));
    }
}

impl<A: Arithmetic> Format for Reference<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{} ohm", Number(self.ohms()));
    }
}

impl<A: Arithmetic> Format for Impedance<A> {
    fn format(&self, f: Formatter<'_>) {
        let z = Series {
            resistance: self.resistance(),
            reactance: self.reactance(),
        };
        z.format(f);
    }
}

impl<A: Arithmetic> Format for ParallelForm<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "Rp {}, Xp {}", OpenOr(self.resistance), OpenOr(self.reactance));
    }
}

impl<A: Arithmetic> Format for Admittance<A> {
    fn format(&self, f: Formatter<'_>) {
        if self.is_short() {
            write!(f, "short");
        } else {
            let (g, b) = (Number(self.conductance()), Number(self.susceptance()));
            write!(f, "G {} S, B {} S", g, b);
        }
    }
}

impl<A: Arithmetic> Format for Inductance<A> {
    fn format(&self, f: Formatter<'_>) {
        InRange(self.get(), unit::<A>(" H", " pH")).format(f);
    }
}

impl<A: Arithmetic> Format for Capacitance<A> {
    fn format(&self, f: Formatter<'_>) {
        InRange(self.get(), unit::<A>(" F", " fF")).format(f);
    }
}

impl<A: Arithmetic> Format for Reactor<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::Inductor(inductance) => write!(f, "coil {}", inductance),
            Self::Capacitor(capacitance) => write!(f, "capacitor {}", capacitance),
        }
    }
}
