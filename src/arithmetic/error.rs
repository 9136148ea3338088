//! Why a number was refused.

use core::fmt;

/// What a parameter must be.
///
/// Stored as a constant of the program, so that an error that refers to it stays small.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Limits {
    /// The parameter, for example `velocity factor`.
    pub parameter: &'static str,
    /// The condition, read after the name: `must be above 0 and at most 1`.
    pub rule: &'static str,
}

/// Why a value was refused. The text names the parameter and the condition.
///
/// ```
/// use ohmwright::double::Line;
/// use ohmwright::quantity::QuantityError;
///
/// let error = Line::new(50.0, 1.2, 3.0).unwrap_err();
/// assert_eq!(error.to_string(), "velocity factor must be above 0 and at most 1");
/// assert_eq!(error.parameter(), "velocity factor");
/// assert!(matches!(error, QuantityError::OutsideLimits(limits) if limits.rule.contains("at most 1")));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum QuantityError {
    /// The value is NaN or infinite.
    NotFinite(&'static str),
    /// The value is outside the range of the family's number type.
    OutOfRange(&'static str),
    /// The value breaks the rule for this parameter; the error carries the rule.
    OutsideLimits(&'static Limits),
    /// The value must be greater than zero.
    NotPositive(&'static str),
    /// The value must not be negative.
    Negative(&'static str),
    /// An SWR must be at least 1.
    BelowOne(&'static str),
}

/// [`QuantityError::OutsideLimits`] for a parameter and its rule.
macro_rules! outside {
    ($parameter:expr, $rule:expr) => {
        $crate::arithmetic::QuantityError::OutsideLimits(
            const {
                &$crate::arithmetic::Limits {
                    parameter: $parameter,
                    rule: $rule,
                }
            },
        )
    };
}

impl QuantityError {
    /// The parameter that was refused.
    pub const fn parameter(&self) -> &'static str {
        match self {
            Self::NotFinite(parameter)
            | Self::OutOfRange(parameter)
            | Self::NotPositive(parameter)
            | Self::Negative(parameter)
            | Self::BelowOne(parameter) => parameter,
            Self::OutsideLimits(limits) => limits.parameter,
        }
    }

    /// The same reason for another parameter. A rule holds for its own parameter only, so
    /// [`OutsideLimits`](Self::OutsideLimits) becomes [`OutOfRange`](Self::OutOfRange).
    #[must_use]
    pub const fn of(self, parameter: &'static str) -> Self {
        match self {
            Self::NotFinite(_) => Self::NotFinite(parameter),
            Self::OutOfRange(_) | Self::OutsideLimits(_) => Self::OutOfRange(parameter),
            Self::NotPositive(_) => Self::NotPositive(parameter),
            Self::Negative(_) => Self::Negative(parameter),
            Self::BelowOne(_) => Self::BelowOne(parameter),
        }
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let reason = match self {
            Self::NotFinite(_) => "is not a finite number",
            Self::OutOfRange(_) => "is outside the range of its number type",
            Self::OutsideLimits(limits) => limits.rule,
            Self::NotPositive(_) => "must be greater than zero",
            Self::Negative(_) => "must not be negative",
            Self::BelowOne(_) => "must be at least 1",
        };
        write!(f, "{} {reason}", self.parameter())
    }
}

impl core::error::Error for QuantityError {}
