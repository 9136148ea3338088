//! The types of this folder in the log of a device: one line each, in ASCII, with units.

use defmt::{Format, Formatter, write};

use super::{
    CalibrationPoint, CalibrationTable, Conditions, Corrector, Delay, Fit, Kit, LeastSquares, Offset,
    QualityCheck, QualityLimits, QualityReport, Recording, Residual, Role, Standard, Survey, WorstReading,
};
use crate::arithmetic::Arithmetic;
use crate::arithmetic::log::{InRange, Number};
use crate::quantity::{Hertz, Reference};

impl<A: Arithmetic> Format for Delay<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{=i64} fs", self.femtoseconds());
    }
}

impl<A: Arithmetic> Format for Offset<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}, loss {=u32} Mohm/s", self.delay, self.loss);
    }
}

impl<A: Arithmetic> Format for Standard<A> {
    /// At 0 Hz, which shows the kind, and at 1 GHz against 50 ohms, which shows the other values.
    fn format(&self, f: Formatter<'_>) {
        let fifty = Reference::fifty();
        write!(
            f,
            "standard with {} at 0 Hz, {} at 1 GHz",
            self.reflection(Hertz::new(0), fifty),
            self.reflection(Hertz::from_megahertz(1000), fifty),
        );
    }
}

impl<A: Arithmetic> Format for Kit<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "open: {}; short: {}; load: {}",
            self.open, self.short, self.load
        );
    }
}

impl<A: Arithmetic> Format for LeastSquares<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "fit of {=u32} standards", self.count());
    }
}

impl<A: Arithmetic> Format for Fit<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}; {=u32} standards", self.terms, self.standards);
        if let Some(residual) = self.residual {
            write!(f, ", residual {}", Number(residual));
        }
    }
}

impl<A: Arithmetic> Format for Conditions<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{} dBm, reference {}, {}",
            Number(self.power_dbm),
            self.reference,
            self.grid
        );
    }
}

impl<A: Arithmetic> Format for CalibrationPoint<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}: {}", self.frequency, self.terms);
    }
}

impl<A: Arithmetic> Format for CalibrationTable<'_, A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "calibration at {}", self.conditions());
    }
}

impl<A: Arithmetic> Format for Corrector<'_, A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "corrector");
    }
}

impl<A: Arithmetic> Format for Recording<'_, A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{=usize} readings of the open, {=usize} of the short, {=usize} of the load",
            self.taken(Role::Open),
            self.taken(Role::Short),
            self.taken(Role::Load),
        );
    }
}

impl<A: Arithmetic> Format for Survey<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{=u32} points, directivity {}, source match {}, loss {} to {}, unevenness {}, ",
            self.points,
            InRange(self.directivity, " dB"),
            InRange(self.source_match, " dB"),
            InRange(self.least_loss, " dB"),
            InRange(self.most_loss, " dB"),
            Number(self.unevenness),
        );
        match self.tracking_at_zero {
            Some(degrees) => write!(f, "phase {} deg at 0 Hz", Number(degrees)),
            None => write!(f, "phase at 0 Hz unknown"),
        }
    }
}

impl<A: Arithmetic> Format for QualityLimits<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "error {}, power {} dB",
            Number(self.error),
            Number(self.power_db)
        );
    }
}

impl<A: Arithmetic> Format for WorstReading<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{} at {} off by {}",
            self.role,
            self.frequency,
            Number(self.error)
        );
    }
}

impl<A: Arithmetic> Format for Residual<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "directivity {}, source match {}, tracking {}",
            Number(self.directivity),
            Number(self.source_match),
            Number(self.tracking),
        );
    }
}

impl<A: Arithmetic> Format for QualityReport<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}, {=u32} readings", self.verdict, self.readings);
        if let Some(worst) = self.worst {
            write!(f, "; worst {}", worst);
        }
        if let Some(residual) = self.residual {
            write!(f, "; residual {}", residual);
        }
        if self.other_power {
            write!(f, "; other power");
        }
        if self.other_grid {
            write!(f, "; other grid");
        }
    }
}

impl<A: Arithmetic> Format for QualityCheck<'_, A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "check of a calibration");
    }
}
