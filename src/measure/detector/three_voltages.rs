//! A known resistor in series with the load, and three voltmeters without phase.

use super::level::LevelTable;
use super::sign::Sign;
use super::{Channel, DetectorError, Quality};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Impedance, Ohms, QuantityError, Ratio, Reference, Swr, Volts, positive};

/// The data of the resistor and the converters.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct ThreeVoltageSettings<A: Arithmetic> {
    /// The resistor between source and load, ohms, above 0. Its relative error is that of R and X.
    pub resistor: Ohms<A>,
    /// The largest relative error of a voltage, above 0 and at most 1/4: 0.01 is 1 %.
    pub tolerance: Ratio<A>,
    /// The count at the converters' limit.
    pub full_scale: i32,
    /// The least voltage across the resistor accepted as divisor; above 0.
    pub weakest: Volts<A>,
}

impl<A: Arithmetic> ThreeVoltageSettings<A> {
    setters! {
        with_resistor(resistor: Ohms<A>);
        with_tolerance(tolerance: Ratio<A>);
        with_full_scale(full_scale: i32);
        with_weakest(weakest: Volts<A>);
    }
}

/// R and |X| of a load from the voltages at both ends of a resistor and across it.
///
/// With the voltages Vs at the source's end, Vl at the load's end and Vr across the resistor R₀ the current is Vr/R₀,
/// and the three form a triangle: R = R₀·(Vs² − Vl² − Vr²)/(2·Vr²), and |X| is R₀/Vr² times twice the triangle's area
/// (the three-voltmeter method of the textbooks of electrical measurement; from memory). The area is by W. Kahan,
/// "Miscalculating Area and Angles of a Needle-like Triangle" (from memory), accurate for flat triangles too.
///
/// The voltages are magnitudes, so the sign of X is unknown: a [second reading](ThreeVoltageReading::sign_with_series)
/// with a known change decides it. SWR needs no sign.
///
/// ```
/// use ohmwright::double::{LevelTable, Reference, ThreeVoltageDetector, ThreeVoltageSettings};
/// use ohmwright::measure::detector::Sign;
///
/// let points = [(0, 0.0.into()), (10_000, 10.0.into())];
/// let table = LevelTable::new(&points)?;
/// let detector = ThreeVoltageDetector::new(
///     ThreeVoltageSettings {
///         resistor: 50.0.into(),
///         tolerance: 0.005.into(),
///         full_scale: 10_000,
///         weakest: 0.1.into(),
///     },
///     [table; 3],
/// )?;
/// // 0.04 A through 25 ± j50 ohms.
/// let first = detector.read(3_606, 2_236, 2_000)?;
/// assert!((first.resistance() - 25.0).abs() < 0.1 && (first.reactance_size() - 50.0).abs() < 0.1);
/// // With 20 ohms of coil in series |X| grows: X is inductive.
/// let second = detector.read(4_104, 2_973, 2_000)?;
/// assert_eq!(first.sign_with_series(&second, 20.0)?, Sign::Inductive);
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreeVoltageDetector<'a, A: Arithmetic> {
    settings: ThreeVoltageSettings<A>,
    tables: [LevelTable<'a, A>; 3],
    /// ((1 + tolerance)/(1 − tolerance))²: the largest error of the squared ratio of two voltages.
    square: A::Working,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for ThreeVoltageDetector<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "three-voltage detector: {}", self.settings);
    }
}

impl<'a, A: Arithmetic> ThreeVoltageDetector<'a, A> {
    /// A detector with the tables of the voltages at the source, at the load and across the resistor, all in one unit
    /// (volts, or anything in proportion to them).
    ///
    /// # Errors
    /// [`DetectorError::Quantity`] for a resistor, a tolerance, a full scale or a weakest voltage not above 0, a
    /// tolerance above 1/4, or a value that is not finite.
    pub fn new(
        settings: ThreeVoltageSettings<A>,
        tables: [LevelTable<'a, A>; 3],
    ) -> Result<Self, DetectorError> {
        positive(settings.tolerance, "tolerance")?;
        let tolerance = settings.tolerance.to_working();
        if tolerance * A::Working::from_i32(4) > A::Working::ONE {
            return Err(outside!("tolerance", "must be above 0 and at most 0.25").into());
        }
        if !settings.resistor.is_finite() || settings.resistor.is_at_end() {
            return Err(QuantityError::NotFinite("resistor").into());
        }
        if settings.resistor <= Ohms::<A>::ZERO {
            return Err(QuantityError::NotPositive("resistor").into());
        }
        if settings.full_scale <= 0 {
            return Err(QuantityError::NotPositive("full scale").into());
        }
        positive(settings.weakest, "weakest voltage")?;
        // Plus rounding, so that a flat triangle is accepted with the smallest tolerance too.
        let tolerance = tolerance + A::Working::EPSILON;
        Ok(Self {
            settings,
            tables,
            square: ((A::Working::ONE + tolerance) / (A::Working::ONE - tolerance)).square(),
        })
    }

    /// The settings.
    pub fn settings(&self) -> &ThreeVoltageSettings<A> {
        &self.settings
    }

    /// A reading from the counts at the source, at the load and across the resistor.
    ///
    /// # Errors
    /// [`DetectorError::Overload`], [`DetectorError::BelowTable`], [`DetectorError::AboveTable`], with the channel;
    /// [`DetectorError::TooWeak`] across the resistor (an open load draws no current); [`DetectorError::NoTriangle`] if
    /// the largest voltage is above the sum of the others by more than the tolerance of all three.
    pub fn read(&self, source: i32, load: i32, across: i32) -> Result<ThreeVoltageReading<A>, DetectorError> {
        let full_scale = self.settings.full_scale;
        let counts = [
            (source, Channel::Source),
            (load, Channel::Load),
            (across, Channel::Across),
        ];
        for (counts, channel) in counts {
            if counts >= full_scale {
                return Err(DetectorError::Overload(channel));
            }
        }
        let [source_table, load_table, across_table] = &self.tables;
        let vs = source_table.inside(source, Channel::Source)?;
        let vl = load_table.inside(load, Channel::Load)?;
        let vr = across_table.inside(across, Channel::Across)?;
        let weakest = self.settings.weakest.to_working();
        if vr < weakest {
            return Err(DetectorError::TooWeak(Channel::Across));
        }
        let (one, half) = (A::Working::ONE, A::Working::HALF);
        let resistor = self.settings.resistor.to_working();
        // In units of the voltage across the resistor and of the resistor.
        let (u, v) = (vs / vr, vl / vr);
        let resistance = half * ((vs - vl) / vr * (u + v) - one);
        let size = v.square();
        let excess = self.square - one;
        let resistance_error = half * (u.square() + size) * excess;
        // The squares of |X|: the reading, the lowest and the highest possible.
        let near = (resistance.absolute() - resistance_error).larger(A::Working::ZERO);
        let far = resistance.absolute() + resistance_error;
        let least = size / self.square - far.square();
        let most = size * self.square - near.square();
        if most < A::Working::ZERO {
            return Err(DetectorError::NoTriangle);
        }
        let reactance = twice_the_area(vs, vl, vr) / vr / vr;
        let high = full_scale.saturating_sub(full_scale >> 3);
        Ok(ThreeVoltageReading {
            resistance: resistor * resistance,
            reactance: resistor * reactance,
            resistance_error: resistor * resistance_error,
            reactance_ends: (
                resistor * least.square_root().smaller(reactance),
                resistor * most.square_root().larger(reactance),
            ),
            quality: Quality {
                near_overload: counts.iter().any(|(counts, _)| *counts >= high),
                weak: vr < A::Working::from_i32(4) * weakest,
                phase_ambiguous: true,
                above_unity: Ohms::<A>::from_working(resistor * resistance) < Ohms::<A>::ZERO,
                upper_limit: false,
            },
        })
    }
}

/// Twice the area of a triangle from its sides; 0 for a flat or an impossible one.
fn twice_the_area<W: Real>(a: W, b: W, c: W) -> W {
    // From the largest to the smallest.
    let (a, b) = (a.larger(b), a.smaller(b));
    let (a, c) = (a.larger(c), a.smaller(c));
    let (b, c) = (b.larger(c), b.smaller(c));
    // Two roots, so that no product of four leaves the range.
    let outer = (a + (b + c)) * (a + (b - c));
    let inner = (c - (a - b)) * (c + (a - b));
    W::HALF * outer.square_root() * inner.square_root()
}

/// R and |X|, and bounds for both.
///
/// The bounds hold if no voltage is wrong by more than the tolerance and the resistor is exact; they include rounding.
/// Rounding alone costs, with the unit u = R₀ + (|Z|² + |Z + R₀|²)/R₀: in R, 2e-8·u in fixed point and 6e-7·u in `f32`;
/// in X², the same times u, so that a flat triangle may show 1.5e-4·u of reactance in fixed point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreeVoltageReading<A: Arithmetic> {
    pub(super) resistance: A::Working,
    /// |X|.
    pub(super) reactance: A::Working,
    pub(super) resistance_error: A::Working,
    pub(super) reactance_ends: (A::Working, A::Working),
    quality: Quality,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for ThreeVoltageReading<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (low, high) = self.reactance_interval();
        defmt::write!(
            f,
            "R {} off by at most {}, |X| {} from {} to {}, {}",
            self.resistance(),
            self.resistance_error(),
            self.reactance_size(),
            low,
            high,
            self.quality,
        );
    }
}

impl<A: Arithmetic> ThreeVoltageReading<A> {
    /// R, ohms; negative if the load gives power, or if it is nearly lossless and the voltages have small errors.
    pub fn resistance(&self) -> Ohms<A> {
        Ohms::<A>::from_working(self.resistance)
    }

    /// |X|, ohms; 0 if the triangle is flat, or impossible within the tolerance.
    pub fn reactance_size(&self) -> Ohms<A> {
        Ohms::<A>::from_working(self.reactance)
    }

    /// The largest error of R, ohms.
    pub fn resistance_error(&self) -> Ohms<A> {
        Ohms::<A>::from_working(self.resistance_error)
    }

    /// The lowest and the highest |X| that the tolerance allows, ohms.
    pub fn reactance_interval(&self) -> (Ohms<A>, Ohms<A>) {
        let (low, high) = self.reactance_ends;
        (Ohms::<A>::from_working(low), Ohms::<A>::from_working(high))
    }

    /// R + jX with the sign from a second reading; `None` for an undecided sign, unless X is 0.
    pub fn impedance(&self, sign: Sign) -> Option<Impedance<A>> {
        let reactance = match sign {
            Sign::Inductive => self.reactance,
            Sign::Capacitive => -self.reactance,
            Sign::Undecided if self.reactance_size() == Ohms::<A>::ZERO => A::Working::ZERO,
            Sign::Undecided => return None,
        };
        Some(Impedance::from_words(
            self.resistance(),
            Ohms::<A>::from_working(reactance),
        ))
    }

    /// The SWR on a reference, which does not depend on the sign of X; the family's largest value for R ≤ 0.
    pub fn swr(&self, reference: Reference<A>) -> Swr<A> {
        Impedance::<A>::from_words(self.resistance(), self.reactance_size())
            .reflection(reference)
            .swr()
    }

    /// The marks of the reading; the phase of a single one is always ambiguous.
    pub fn quality(&self) -> Quality {
        self.quality
    }
}
