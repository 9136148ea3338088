//! Numbers in the log of a device (feature `defmt`): with their unit, and with integers only in the fixed families.

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

/// A number and its unit (with the space before it).
pub(crate) fn with_unit<Q: Quantity>(word: Q, unit: &'static str, f: Formatter<'_>) {
    write!(f, "{}{=str}", Number(word), unit);
}

/// The same where the largest value stands for anything greater.
pub(crate) fn in_range<Q: Quantity>(word: Q, unit: &'static str, f: Formatter<'_>) {
    if word == Q::MAX {
        write!(f, "beyond range");
    } else {
        with_unit(word, unit, f);
    }
}

/// The same where an end of the word is an open.
pub(crate) fn open_or<Q: Quantity>(word: Q, unit: &'static str, f: Formatter<'_>) {
    if word.is_at_end() {
        write!(f, "open");
    } else {
        with_unit(word, unit, f);
    }
}

/// [`open_or`] in ohms.
pub(crate) struct OpenOr<Q>(pub Q);

impl<Q: Quantity> Format for OpenOr<Q> {
    fn format(&self, f: Formatter<'_>) {
        open_or(self.0, " ohm", f);
    }
}

/// A standing wave ratio with its name.
pub(crate) struct NamedSwr<Q>(pub Q);

impl<Q: Quantity> Format for NamedSwr<Q> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "SWR {}", InRange(self.0, ""));
    }
}

/// [`in_range`].
pub(crate) struct InRange<Q>(pub Q, pub &'static str);

impl<Q: Quantity> Format for InRange<Q> {
    fn format(&self, f: Formatter<'_>) {
        in_range(self.0, self.1, f);
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
            "|Gamma| {}, SWR {}, return loss {}, mismatch loss {}, {}, |Z| {}, phase {}, Q {}",
            self.magnitude,
            self.swr,
            self.return_loss,
            self.mismatch_loss,
            z,
            self.impedance_magnitude,
            self.phase,
            self.q,
        );
    }
}
