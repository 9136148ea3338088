//! The marks of a doubtful reading.

/// Marks of a reading that is right within its stated error, but should be checked. A wrong reading is a
/// [`DetectorError`](super::DetectorError) instead.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Quality {
    /// A channel is above seven eighths of the converter's range: the next reading may be overloaded.
    pub near_overload: bool,
    /// The divisor is below four times its accepted minimum.
    pub weak: bool,
    /// The phase, or the sign of the reactance, is not known: always with a scalar detector, and with three voltages
    /// without a second reading; with a vector detector if the error is large enough to include Γ = 0.
    pub phase_ambiguous: bool,
    /// |Γ| is above 1: the reflected wave appears larger than the incident one. That is possible in a raw reading; for
    /// a passive load after correction it is not.
    pub above_unity: bool,
    /// The reverse detector is below its table: |Γ|, reflected power and SWR are upper limits.
    pub upper_limit: bool,
}

/// The marks that are set, or that there are none.
#[cfg(feature = "defmt")]
impl defmt::Format for Quality {
    fn format(&self, f: defmt::Formatter<'_>) {
        if self.is_clean() {
            return defmt::write!(f, "no marks");
        }
        defmt::write!(f, "marks");
        if self.near_overload {
            defmt::write!(f, " (near overload)");
        }
        if self.weak {
            defmt::write!(f, " (weak)");
        }
        if self.phase_ambiguous {
            defmt::write!(f, " (phase ambiguous)");
        }
        if self.above_unity {
            defmt::write!(f, " (above unity)");
        }
        if self.upper_limit {
            defmt::write!(f, " (upper limit)");
        }
    }
}

impl Quality {
    /// True without any mark.
    pub fn is_clean(self) -> bool {
        self == Self::default()
    }
}
