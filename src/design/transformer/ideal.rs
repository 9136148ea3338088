//! The ideal transformer: the turns to wind, and the impedance that the source then sees.

use core::fmt;

use heapless::Vec;

use super::TransformerError;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::plane::reflected;
use crate::quantity::{
    Complex, Degrees, Hertz, Impedance, ImpedanceRatio, Ohms, Ratio, Reactor, Reference, Reflection, Swr,
};

/// A pair of windings, primary : secondary, in whole turns from 1 to 255.
///
/// Each pass of the wire through the core's hole is one turn (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Turns {
    primary: u8,
    secondary: u8,
}

checked_form! {
    [] Turns<>, this { primary: u8 = this.primary, secondary: u8 = this.secondary } => Self::new(primary, secondary)
}

#[cfg(feature = "defmt")]
impl defmt::Format for Turns {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=u8} : {=u8}", self.primary, self.secondary);
    }
}

impl Turns {
    /// Twelve and twelve.
    pub(crate) const TWELVE: Self = Self {
        primary: 12,
        secondary: 12,
    };

    /// From the turns towards the source and at the load.
    ///
    /// # Errors
    /// [`TransformerError::NoTurns`] if either is 0.
    pub const fn new(primary: u8, secondary: u8) -> Result<Self, TransformerError> {
        if primary == 0 || secondary == 0 {
            Err(TransformerError::NoTurns)
        } else {
            Ok(Self { primary, secondary })
        }
    }

    /// Turns towards the source.
    pub const fn primary(self) -> u8 {
        self.primary
    }

    /// Turns at the load.
    pub const fn secondary(self) -> u8 {
        self.secondary
    }

    /// The impedance ratio (primary/secondary)².
    pub fn impedance_ratio<A: Arithmetic>(self) -> ImpedanceRatio<A> {
        ImpedanceRatio::from_working(self.ratio_squared::<A>())
    }

    pub(crate) fn ratio_squared<A: Arithmetic>(self) -> A::Working {
        (A::Working::from_i32(self.primary as i32) / A::Working::from_i32(self.secondary as i32)).square()
    }

    /// An impedance on the secondary as seen from the primary: Z·(primary/secondary)².
    ///
    /// ```
    /// use ohmwright::design::transformer::Turns;
    /// use ohmwright::quantity::Impedance;
    ///
    /// let seen = Turns::new(5, 1)?.seen_from_primary(Impedance::<f64>::new(1.8, -2.5)?);
    /// assert!((seen.resistance() - 45.0).abs() < 1e-12 && (seen.reactance() + 62.5).abs() < 1e-12);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn seen_from_primary<A: Arithmetic>(self, impedance: Impedance<A>) -> Impedance<A> {
        if impedance.is_open() {
            return Impedance::OPEN;
        }
        Impedance::from_complex(impedance.complex().scale(self.ratio_squared::<A>()))
    }

    /// An impedance on the primary as seen from the secondary: Z·(secondary/primary)².
    pub fn seen_from_secondary<A: Arithmetic>(self, impedance: Impedance<A>) -> Impedance<A> {
        Self {
            primary: self.secondary,
            secondary: self.primary,
        }
        .seen_from_primary(impedance)
    }

    /// The two ends of a centre-tapped secondary against its tap: voltage as a fraction of the primary's, and phase. An
    /// ideal balanced winding gives half of the secondary's voltage each, 180° apart (common practice, no source).
    pub fn balanced_halves<A: Arithmetic>(self) -> [(Ratio<A>, Degrees<A>); 2] {
        let half =
            A::Working::from_i32(self.secondary as i32) / A::Working::from_i32(2 * self.primary as i32);
        let share = Ratio::<A>::from_working(half);
        let opposite = Degrees::<A>::from_working(A::Working::from_i32(180));
        [(share, Degrees::<A>::ZERO), (share, opposite)]
    }
}

impl fmt::Display for Turns {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} : {}", self.primary, self.secondary)
    }
}

/// The impedance ratio that transforms the *magnitude* of the load to the source: Z0/|Z|.
///
/// For a resistance this gives a perfect match. For a complex load it gives the lowest SWR of a transformer alone,
/// which may still be high: |Γ| is least where the transformed |Z| equals Z0.
///
/// # Errors
/// `LoadWithoutResistance`, also for an open or a short.
pub fn wanted_impedance_ratio<A: Arithmetic>(
    load: Impedance<A>,
    source: Reference<A>,
) -> Result<ImpedanceRatio<A>, TransformerError> {
    let z = resistive_part(load)?;
    Ok(ImpedanceRatio::from_working(source.working() / z.magnitude()))
}

/// The load in working numbers, if a transformer can match it at all.
pub(super) fn resistive_part<A: Arithmetic>(
    load: Impedance<A>,
) -> Result<Complex<A::Working>, TransformerError> {
    load.resistive().ok_or(TransformerError::LoadWithoutResistance)
}

/// The usual magnitude rule, and its true result.
///
/// The rule takes √(R² + X²) as if it were a resistance, asks for the ratio Z0/|Z| and predicts the SWR of such a
/// resistance. The load's reactance goes through the transformer as well; the true SWR is given too.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct MagnitudeRule<A: Arithmetic> {
    /// |Z| of the load, ohms.
    pub magnitude: Ohms<A>,
    /// The impedance ratio that the rule asks for.
    pub impedance_ratio: ImpedanceRatio<A>,
    /// The nearest pair of turns.
    pub turns: Turns,
    /// The predicted SWR, as if the load were a resistance of that magnitude.
    pub swr_promised: Swr<A>,
    /// The impedance that the load really shows through those turns.
    pub seen: Impedance<A>,
    /// Γ of that.
    pub reflection: Reflection<A>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for MagnitudeRule<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "|Z| {} asks for ratio {}, turns {}; promised SWR {}, seen {}, SWR {}",
            self.magnitude,
            self.impedance_ratio,
            self.turns,
            self.swr_promised,
            self.seen,
            self.reflection.swr(),
        );
    }
}

impl<A: Arithmetic> MagnitudeRule<A> {
    /// Applies the rule with windings of at most `most_turns` turns each.
    ///
    /// ```
    /// use ohmwright::design::transformer::MagnitudeRule;
    /// use ohmwright::quantity::{Impedance, Reference};
    ///
    /// let rule = MagnitudeRule::<f64>::apply(Impedance::new(1.8, -2.5)?, Reference::fifty(), 12)?;
    /// assert_eq!((rule.turns.primary(), rule.turns.secondary()), (4, 1));
    /// assert!((rule.swr_promised - 1.01).abs() < 0.005); // what the rule says
    /// assert!((rule.reflection.swr() - 3.1).abs() < 0.05); // what is so
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// `LoadWithoutResistance`; `NoTurns` for 0 turns.
    pub fn apply(load: Impedance<A>, source: Reference<A>, most_turns: u8) -> Result<Self, TransformerError> {
        Self::of(resistive_part(load)?, source, most_turns)
    }

    pub(crate) fn of(
        z: Complex<A::Working>,
        source: Reference<A>,
        most_turns: u8,
    ) -> Result<Self, TransformerError> {
        let magnitude = z.magnitude();
        let mut best: Option<(Turns, Reflection<A>, A::Working)> = None;
        for turns in pairs(most_turns) {
            let through = Complex::real(magnitude * turns.ratio_squared::<A>());
            let taken = reflected(Some(through), source);
            let power = taken.power();
            if best.is_none_or(|(_, _, least)| power < least) {
                best = Some((turns, taken, power));
            }
        }
        let (turns, promised, _) = best.ok_or(TransformerError::NoTurns)?;
        let seen = z.scale(turns.ratio_squared::<A>());
        Ok(Self {
            magnitude: Ohms::<A>::from_working(magnitude),
            impedance_ratio: ImpedanceRatio::<A>::from_working(source.working() / magnitude),
            turns,
            swr_promised: promised.swr(),
            seen: Impedance::from_complex(seen),
            reflection: reflected(Some(seen), source),
        })
    }
}

/// Every pair of turns up to `most` in lowest terms: 2 : 6 is omitted, since 1 : 3 has the same ratio.
fn pairs(most: u8) -> impl Iterator<Item = Turns> {
    (1..=most).flat_map(move |secondary| {
        (1..=most)
            .filter(move |primary| coprime(*primary, secondary))
            .map(move |primary| Turns { primary, secondary })
    })
}

/// By repeated subtraction, without a division.
fn coprime(mut a: u8, mut b: u8) -> bool {
    while a != b {
        if a > b {
            a = a.wrapping_sub(b);
        } else {
            b = b.wrapping_sub(a);
        }
    }
    a == 1
}

/// What is added to the transformer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Remedy {
    /// The turns alone.
    TurnsAlone,
    /// One element in series that cancels the load's reactance; R remains.
    SeriesElement,
    /// One element across the load that cancels its susceptance; (R² + X²)/R remains.
    ShuntElement,
}

/// The element that cancels a load's reactance, on either side of the transformer; both do the same.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct CancellingPart<A: Arithmetic> {
    /// Its reactance on the load's side, ohms. For a load without reactance 0 in series, and an open (the largest value
    /// of the word, the family's number type) across.
    pub load_side_reactance: Ohms<A>,
    /// The part with this reactance; `None` where the load has no reactance, or no frequency was given.
    pub load_side: Option<Reactor<A>>,
    /// Its reactance on the source's side, ohms.
    pub source_side_reactance: Ohms<A>,
    /// The part with this reactance.
    pub source_side: Option<Reactor<A>>,
    /// The remaining SWR, from the turns ratio alone.
    pub swr: Swr<A>,
}

/// A pair of turns, the impedance that the load shows through it, and the parts that cancel its reactance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct TurnsChoice<A: Arithmetic> {
    /// The windings. Multiples of both have the same ratio: choose the one with enough magnetising inductance.
    pub turns: Turns,
    /// The load seen from the primary.
    pub seen: Impedance<A>,
    /// Γ of that on the source.
    pub reflection: Reflection<A>,
    /// With the reactance cancelled by an element in series.
    pub series: CancellingPart<A>,
    /// With the susceptance cancelled by an element across.
    pub shunt: CancellingPart<A>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for TurnsChoice<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "turns {}, seen {}, SWR {}; in series {}; across {}",
            self.turns,
            self.seen,
            self.reflection.swr(),
            self.series,
            self.shunt,
        );
    }
}

impl<A: Arithmetic> TurnsChoice<A> {
    /// The result of one pair of turns for a load on a source; with a frequency, the parts as well.
    ///
    /// # Errors
    /// `LoadWithoutResistance` for a load without positive resistance.
    pub fn new(
        turns: Turns,
        load: Impedance<A>,
        source: Reference<A>,
        frequency: Option<Hertz>,
    ) -> Result<Self, TransformerError> {
        Ok(Self::of(turns, resistive_part(load)?, source, frequency))
    }

    pub(crate) fn of(
        turns: Turns,
        z: Complex<A::Working>,
        source: Reference<A>,
        frequency: Option<Hertz>,
    ) -> Self {
        let ratio = turns.ratio_squared::<A>();
        let seen = z.scale(ratio);
        // The parallel form: Rp = R·(1 + (X/R)²), and Xp = X·(1 + (R/X)²).
        let steep = z.im / z.re;
        let shunt_resistance = z.re + z.im * steep;
        let shunt_part = if z.im.is_zero() {
            A::Working::LARGEST
        } else {
            -(z.im + z.re * (z.re / z.im))
        };
        let needed = frequency.filter(|_| !z.im.is_zero());
        let part = |reactance: A::Working, resistance: A::Working| {
            let moved = reactance * ratio;
            let reactor = |x| needed.and_then(|f| Reactor::with_working_reactance(x, f));
            CancellingPart {
                load_side_reactance: Ohms::<A>::from_working(reactance),
                load_side: reactor(reactance),
                source_side_reactance: Ohms::<A>::from_working(moved),
                source_side: reactor(moved),
                swr: reflected(Some(Complex::real(resistance * ratio)), source).swr(),
            }
        };
        Self {
            turns,
            seen: Impedance::from_complex(seen),
            reflection: reflected(Some(seen), source),
            series: part(-z.im, z.re),
            shunt: part(shunt_part, shunt_resistance),
        }
    }

    /// The SWR with this remedy.
    pub fn swr(&self, remedy: Remedy) -> Swr<A> {
        match remedy {
            Remedy::TurnsAlone => self.reflection.swr(),
            Remedy::SeriesElement => self.series.swr,
            Remedy::ShuntElement => self.shunt.swr,
        }
    }
}

/// The best `K` pairs of turns for a load, best first.
///
/// ```
/// use ohmwright::design::transformer::{Remedy, TurnsRanking};
/// use ohmwright::double::{Impedance, Reference};
/// use ohmwright::quantity::Hertz;
///
/// // 1.8 − j2.5 Ω, its reactance to be cancelled by a part in series: which turns, up to twelve?
/// let (load, at) = (Impedance::new(1.8, -2.5)?, Some(Hertz::from_megahertz(71)));
/// let ranking = TurnsRanking::<f64, 3>::new(load, Reference::fifty(), at, 12, Remedy::SeriesElement)?;
/// let best = ranking.as_slice()[0];
/// assert_eq!(best.turns.to_string(), "11 : 2");
/// assert!(best.series.swr < 1.1 && best.reflection.swr() > 3.0); // with the part, and without
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
#[must_use = "it reports what was found"]
pub struct TurnsRanking<A: Arithmetic, const K: usize> {
    choices: Vec<TurnsChoice<A>, K>,
    remedy: Remedy,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const K: usize> defmt::Format for TurnsRanking<A, K> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "turns by {}", self.remedy);
        for choice in &self.choices {
            defmt::write!(f, ", {} leaves SWR {}", choice.turns, choice.swr(self.remedy));
        }
    }
}

impl<A: Arithmetic, const K: usize> TurnsRanking<A, K> {
    /// Tries every pair up to `most_turns` turns a winding and keeps the `K` with the lowest SWR under `remedy`; among
    /// equals, the one with fewer turns. Computes about 0.6·`most_turns`² reflections.
    ///
    /// # Errors
    /// `LoadWithoutResistance`; `NoTurns` for 0 turns.
    pub fn new(
        load: Impedance<A>,
        source: Reference<A>,
        frequency: Option<Hertz>,
        most_turns: u8,
        remedy: Remedy,
    ) -> Result<Self, TransformerError> {
        Self::of(resistive_part(load)?, source, frequency, most_turns, remedy)
    }

    pub(crate) fn of(
        z: Complex<A::Working>,
        source: Reference<A>,
        frequency: Option<Hertz>,
        most_turns: u8,
        remedy: Remedy,
    ) -> Result<Self, TransformerError> {
        if most_turns == 0 {
            return Err(TransformerError::NoTurns);
        }
        let mut choices: Vec<TurnsChoice<A>, K> = Vec::new();
        for turns in pairs(most_turns) {
            let choice = TurnsChoice::of(turns, z, source, frequency);
            let swr = choice.swr(remedy);
            let size = |turns: Turns| turns.primary as u16 + turns.secondary as u16;
            let place = choices
                .iter()
                .position(|held| {
                    let other = held.swr(remedy);
                    swr < other || (swr == other && size(turns) < size(held.turns))
                })
                .unwrap_or(choices.len());
            if place < K {
                choices.truncate(K.saturating_sub(1));
                // There is space, and the index is within the list; the optimiser does not see the latter.
                if place <= choices.len() {
                    let _ = choices.insert(place, choice);
                }
            }
        }
        Ok(Self { choices, remedy })
    }

    /// The choices, best first.
    pub fn as_slice(&self) -> &[TurnsChoice<A>] {
        &self.choices
    }

    /// The remedy of the ranking.
    pub fn remedy(&self) -> Remedy {
        self.remedy
    }
}
