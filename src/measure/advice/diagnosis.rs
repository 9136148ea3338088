//! Ratio or reactance: why a load does not match, and the result of each remedy.

use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::design::transformer::{MagnitudeRule, Remedy, TransformerError, Turns, TurnsChoice, TurnsRanking};
use crate::quantity::swr::limit;
use crate::quantity::{Complex, Component, Hertz, Impedance, Reference, Reflection, Swr};

/// Why a load does not match.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Cause {
    /// It does match: the SWR is at or under the limit.
    Matched,
    /// The turns ratio: a change of turns alone brings the SWR under the limit.
    Ratio,
    /// The reactance: cancelling it alone brings the SWR under the limit.
    Reactance,
    /// Both: neither remedy alone is enough.
    RatioAndReactance,
}

/// Ratio or reactance? The result of each remedy at one frequency, with the turns and parts for it.
///
/// ```
/// use ohmwright::double::{Diagnosis, Reference, Reflection};
/// use ohmwright::measure::Cause;
/// use ohmwright::quantity::Hertz;
///
/// // 30 + j40 Ω: |Z| is right, but the SWR is 3.
/// let gamma = Reflection::new(0.0, 0.5)?;
/// let found = Diagnosis::new(gamma, Reference::fifty(), 2.0, Hertz::from_megahertz(71), 12)?;
/// assert_eq!(found.cause, Cause::Reactance);
/// assert!((found.as_it_is.series.swr - 50.0 / 30.0).abs() < 1e-9); // with a capacitor of 56 pF in series
/// assert_eq!(found.turns_alone.turns.to_string(), "1 : 1"); // no transformer is better
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
#[must_use = "it says what is wrong"]
pub struct Diagnosis<A: Arithmetic> {
    /// The load as it is.
    pub load: Impedance<A>,
    /// Γ as it is.
    pub reflection: Reflection<A>,
    /// Why it does not match.
    pub cause: Cause,
    /// As it is, with the parts that would cancel its reactance in series or across, and the SWR with each.
    pub as_it_is: TurnsChoice<A>,
    /// The remaining |Γ|² if only the reactance is cancelled, by the better of the two parts.
    pub reflected_power_without_reactance: Component<A>,
    /// The remaining |Γ|² if only the ratio is corrected, with any turns ratio.
    pub reflected_power_with_ratio: Component<A>,
    /// The further transformer that is best alone.
    pub turns_alone: TurnsChoice<A>,
    /// The further transformer that is best together with its part in series.
    pub turns_and_series: TurnsChoice<A>,
    /// The further transformer that is best together with its part across.
    pub turns_and_shunt: TurnsChoice<A>,
    /// The magnitude rule of the trade for this load, with the true result.
    pub magnitude_rule: MagnitudeRule<A>,
}

/// The choices by their turns and SWR only; each can be logged by itself.
#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Diagnosis<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "cause {}, load {}, SWR {}; comes back without reactance {}, with the right ratio {}",
            self.cause,
            self.load,
            self.reflection.swr(),
            self.reflected_power_without_reactance,
            self.reflected_power_with_ratio,
        );
        defmt::write!(
            f,
            "; turns {} alone SWR {}, {} and a series part SWR {}, {} and a part across SWR {}",
            self.turns_alone.turns,
            self.turns_alone.swr(Remedy::TurnsAlone),
            self.turns_and_series.turns,
            self.turns_and_series.swr(Remedy::SeriesElement),
            self.turns_and_shunt.turns,
            self.turns_and_shunt.swr(Remedy::ShuntElement),
        );
    }
}

impl<A: Arithmetic> Diagnosis<A> {
    /// Diagnoses a load at one frequency, with windings of at most `most_turns` turns.
    ///
    /// The transformers are between this port (primary) and the measured load (secondary): a stage that already has one
    /// needs the product of the two ratios.
    ///
    /// # Errors
    /// [`Quantity`](TransformerError::Quantity) for an SWR limit that is not finite or below 1;
    /// [`LoadWithoutResistance`](TransformerError::LoadWithoutResistance) for a load without positive resistance, which
    /// no transformer or part can match; [`NoTurns`](TransformerError::NoTurns) if `most_turns` is 0.
    pub fn new(
        reflection: Reflection<A>,
        reference: Reference<A>,
        swr_limit: impl Into<Swr<A>>,
        frequency: Hertz,
        most_turns: u8,
    ) -> Result<Self, TransformerError> {
        let swr_limit = swr_limit.into();
        // No comparison with a NaN holds, so it would be read as "neither remedy is enough".
        limit(swr_limit, "SWR limit")?;
        let load = reflection.impedance(reference);
        let frequency = Some(frequency);
        // Z in working numbers: a part across the load may need digits that rounding to ohms would drop.
        let gamma = reflection.complex();
        if load.resistive().is_none() {
            return Err(TransformerError::LoadWithoutResistance);
        }
        let z = ((Complex::ONE + gamma) / (Complex::ONE - gamma)).scale(reference.working());
        let as_it_is = TurnsChoice::of(Turns::new(1, 1)?, z, reference, frequency);
        let best = |remedy| -> Result<TurnsChoice<A>, TransformerError> {
            let ranking = TurnsRanking::<A, 1>::of(z, reference, frequency, most_turns, remedy)?;
            ranking
                .as_slice()
                .first()
                .copied()
                .ok_or(TransformerError::NoTurns)
        };
        let turns_alone = best(Remedy::TurnsAlone)?;
        // |Γ|² after |Z| is made equal to the reference: with z on the unit circle, ((1 − r)² + x²)/((1 + r)² + x²).
        let unit = z.scale(A::Working::ONE / z.magnitude());
        let ratio_mended = Reflection::<A>::from_quotient(unit - Complex::ONE, unit + Complex::ONE);
        let left_by = |swr: Swr<A>| {
            let swr = swr.to_working();
            if !swr.is_finite() {
                return A::Working::ONE;
            }
            ((swr - A::Working::ONE) / (swr + A::Working::ONE)).square()
        };
        let cancelled = smaller(as_it_is.series.swr, as_it_is.shunt.swr);
        let swr = reflection.swr();
        let cause = if swr <= swr_limit {
            Cause::Matched
        } else {
            match (cancelled <= swr_limit, ratio_mended.swr() <= swr_limit) {
                (true, true) if ratio_mended.swr() < cancelled => Cause::Ratio,
                (true, _) => Cause::Reactance,
                (false, true) => Cause::Ratio,
                (false, false) => Cause::RatioAndReactance,
            }
        };
        Ok(Self {
            load,
            reflection,
            cause,
            reflected_power_without_reactance: Component::<A>::from_working(left_by(cancelled)),
            reflected_power_with_ratio: ratio_mended.reflected_share(),
            as_it_is,
            turns_alone,
            turns_and_series: best(Remedy::SeriesElement)?,
            turns_and_shunt: best(Remedy::ShuntElement)?,
            magnitude_rule: MagnitudeRule::of(z, reference, most_turns)?,
        })
    }
}

fn smaller<T: PartialOrd>(a: T, b: T) -> T {
    if b < a { b } else { a }
}
