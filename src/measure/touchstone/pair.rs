//! From the two numbers of a data line to a reflection coefficient.

use super::error::{Excerpt, TouchstoneCause};
use super::number::{is_minus_infinity, parse_real};
use super::options::{Format, Parameter};
use crate::quantity::Reflection;

#[derive(Clone, Copy)]
pub(super) struct Meaning {
    pub(super) parameter: Parameter,
    pub(super) format: Format,
    /// The impedance of a value of 1, ohms: the reference in version 1 (`Z`, `Y` normalised), 1 in version 2.
    pub(super) unit_ohm: f64,
    pub(super) reference_ohm: f64,
}

impl Meaning {
    /// The reflection coefficient of the pair.
    pub(super) fn reflection(self, first: &[u8], second: &[u8]) -> Result<Reflection<f64>, TouchstoneCause> {
        let (real, imaginary) = self.cartesian(first, second)?;
        // Everything is compared with the value of a match.
        let match_ohm = self.reference_ohm / self.unit_ohm;
        let (real, imaginary) = match self.parameter {
            Parameter::Scattering => (real, imaginary),
            Parameter::Impedance => {
                bilinear(real, imaginary, match_ohm).ok_or(TouchstoneCause::InfiniteReflection)?
            }
            // (1 - y) / (1 + y), the negative of the same map.
            Parameter::Admittance => {
                let (real, imaginary) =
                    bilinear(real, imaginary, 1.0 / match_ohm).ok_or(TouchstoneCause::InfiniteReflection)?;
                (0.0 - real, 0.0 - imaginary)
            }
        };
        Reflection::<f64>::new(real, imaginary).map_err(|_| TouchstoneCause::ReflectionOutOfRange)
    }

    fn cartesian(self, first: &[u8], second: &[u8]) -> Result<(f64, f64), TouchstoneCause> {
        if self.format == Format::RealImaginary {
            return Ok((parse_real(first)?, parse_real(second)?));
        }
        let magnitude = match self.format {
            Format::DecibelAngle if is_minus_infinity(first) => 0.0,
            Format::DecibelAngle => libm::exp10(parse_real(first)? / 20.0),
            _ => parse_real(first)?,
        };
        if magnitude < 0.0 {
            return Err(TouchstoneCause::NegativeMagnitude(Excerpt::new(first)));
        }
        if !magnitude.is_finite() {
            return Err(TouchstoneCause::ValueOutOfRange(Excerpt::new(first)));
        }
        let (sine, cosine) = sine_cosine(parse_real(second)?);
        // Adding zero turns a negative zero into a positive one.
        Ok((magnitude * cosine + 0.0, magnitude * sine + 0.0))
    }
}

/// Sine and cosine of an angle in degrees. Multiples of 90 degrees give exact zeros and ones.
fn sine_cosine(degrees: f64) -> (f64, f64) {
    // Both steps are exact: the remainder by definition, the difference because its two terms are
    // within a factor of two of each other, or the second one is zero.
    let turn = libm::fmod(degrees, 360.0);
    let quarters = libm::round(turn / 90.0);
    let radians = (turn - 90.0 * quarters) * (core::f64::consts::PI / 180.0);
    let (sine, cosine) = (libm::sin(radians), libm::cos(radians));
    match quarters {
        -4.0 | 0.0 | 4.0 => (sine, cosine),
        -3.0 | 1.0 => (cosine, -sine),
        -2.0 | 2.0 => (-sine, -cosine),
        _ => (-cosine, sine),
    }
}

/// `(x - m) / (x + m)` for a complex `x` and a positive `m`, all finite. `None` for `x = -m`.
///
/// Works on scaled numbers, so that a huge or a tiny operand causes no error: the quotient may overflow, which the
/// caller refuses, but it is never a NaN.
fn bilinear(real: f64, imaginary: f64, matched: f64) -> Option<(f64, f64)> {
    let largest = real.abs().max(imaginary.abs()).max(matched);
    let down = libm::ilogb(largest).saturating_neg();
    let (real, imaginary) = (libm::scalbn(real, down), libm::scalbn(imaginary, down));
    let matched = libm::scalbn(matched, down);

    let (sum, difference) = (real + matched, real - matched);
    let largest = sum.abs().max(imaginary.abs());
    if largest == 0.0 {
        return None;
    }
    let down = libm::ilogb(largest).saturating_neg();
    let (c, d) = (libm::scalbn(sum, down), libm::scalbn(imaginary, down));
    let square = c * c + d * d; // between 1 and 8
    let over = |numerator: f64| libm::scalbn(numerator / square, down) + 0.0;
    Some((over(difference * c + imaginary * d), over(2.0 * matched * d)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quarter_turns_are_exact() {
        // sin and cos of the quarter turns, any handbook.
        let exact = [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)];
        for (quarter, expected) in (-12_i32..=12).zip(exact.into_iter().cycle()) {
            assert_eq!(sine_cosine(f64::from(quarter) * 90.0), expected, "{quarter}");
        }
        assert_eq!(sine_cosine(360.0e12), (0.0, 1.0));
    }

    #[test]
    fn bilinear_survives_the_extremes() {
        let huge = f64::MAX;
        let tiny = f64::from_bits(1);
        for m in [1e-6, 1.0, 1e12] {
            assert_eq!(bilinear(huge, 0.0, m), Some((1.0, 0.0)));
            assert_eq!(bilinear(-huge, 0.0, m), Some((1.0, 0.0)));
            assert_eq!(bilinear(0.0, huge, m).map(|(real, _)| real), Some(1.0));
            assert_eq!(bilinear(0.0, 0.0, m), Some((-1.0, 0.0)));
            assert_eq!(bilinear(tiny, tiny, m).map(|(real, _)| real), Some(-1.0));
            assert_eq!(bilinear(m, 0.0, m), Some((0.0, 0.0)));
            assert_eq!(bilinear(-m, 0.0, m), None);
            for real in [huge, -huge, tiny, 0.0, -m] {
                for imaginary in [huge, -huge, tiny, -tiny, 1e-300, 1.0] {
                    let (a, b) = bilinear(real, imaginary, m).unwrap_or_default();
                    assert!(!a.is_nan() && !b.is_nan(), "{real} {imaginary} {m}");
                }
            }
        }
    }

    #[test]
    fn bilinear_agrees_with_the_plain_quotient() {
        // A pure reactance of the size of the reference is a quarter turn on the unit circle.
        assert_eq!(bilinear(0.0, 50.0, 50.0), Some((0.0, 1.0)));
        assert_eq!(bilinear(100.0, 0.0, 50.0), Some((1.0 / 3.0, 0.0)));
    }
}
