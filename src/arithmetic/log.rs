//! How words are written to the log of a device (feature `defmt`): with the unit of their place, and by integers alone
//! in the fixed families.

use defmt::{Format, Formatter, write};

use super::accuracy::Family;
use super::{Arithmetic, Quantity, Readouts};

/// A bare number.
pub(crate) struct Number<Q>(pub Q);

impl<Q: Quantity> Format for Number<Q> {
    fn format(&self, f: Formatter<'_>) {
        self.0.log(f);
    }
}

/// Resistance, reactance or the size of an impedance; an end of the word is an open.
pub(crate) struct Ohms<Q>(pub Q);

impl<Q: Quantity> Format for Ohms<Q> {
    fn format(&self, f: Formatter<'_>) {
        if self.0.is_at_end() {
            write!(f, "open");
        } else {
            write!(f, "{} ohm", Number(self.0));
        }
    }
}

/// Resistance and reactance of one impedance.
pub(crate) struct Series<Q> {
    pub resistance: Q,
    pub reactance: Q,
}

impl<Q: Quantity> Format for Series<Q> {
    fn format(&self, f: Formatter<'_>) {
        if self.resistance.is_at_end() || self.reactance.is_at_end() {
            write!(f, "open");
        } else {
            let (r, x) = (Number(self.resistance), Number(self.reactance));
            write!(f, "R {} ohm, X {} ohm", r, x);
        }
    }
}

/// A standing wave ratio with its name.
pub(crate) struct Swr<Q>(pub Q);

impl<Q: Quantity> Format for Swr<Q> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "SWR {}", InRange(self.0, ""));
    }
}

/// A number whose largest value stands for anything greater, with its unit (and the space before it).
pub(crate) struct InRange<Q>(pub Q, pub &'static str);

impl<Q: Quantity> Format for InRange<Q> {
    fn format(&self, f: Formatter<'_>) {
        if self.0 == Q::MAX {
            write!(f, "beyond range");
        } else {
            write!(f, "{}{=str}", Number(self.0), self.1);
        }
    }
}

/// The unit of a family's word of inductance or capacitance.
pub(crate) fn unit<A: Arithmetic>(floating: &'static str, fixed: &'static str) -> &'static str {
    match A::FAMILY {
        Family::F32 | Family::SoftF32 | Family::F64 => floating,
        _ => fixed,
    }
}

impl<A: Arithmetic> Format for Readouts<A> {
    fn format(&self, f: Formatter<'_>) {
        let z = Series {
            resistance: self.resistance,
            reactance: self.reactance,
        };
        write!(
            f,
            "|Gamma| {}, {}, return loss {}, mismatch loss {}, {}, |Z| {}, phase {} deg, Q {}",
            Number(self.magnitude),
            Swr(self.swr),
            InRange(self.return_loss, " dB"),
            InRange(self.mismatch_loss, " dB"),
            z,
            Ohms(self.impedance_magnitude),
            Number(self.phase),
            InRange(self.q, ""),
        );
    }
}
