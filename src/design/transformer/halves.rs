//! Half turns, where the core allows them.

use core::fmt;

use super::ideal::resistive_part;
use super::{Remedy, TransformerError, Turns, TurnsChoice, TurnsRanking};
use crate::arithmetic::Arithmetic;
use crate::quantity::{Hertz, Impedance, Reference};

/// A pair of windings counted in half turns.
///
/// On a core with two holes a wire may end on the far side: it has gone through one hole only, which is half a turn. A
/// ring has no half turns: each pass through its hole is a whole turn. With a half turn the other half of the core
/// carries less flux and leakage grows: check it by measurement (all common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HalfTurns {
    halves: Turns,
}

checked_form! {
    [] HalfTurns<>, this {
        primary_halves: u8 = this.primary_halves(),
        secondary_halves: u8 = this.secondary_halves(),
    } => Self::new(primary_halves, secondary_halves)
}

#[cfg(feature = "defmt")]
impl defmt::Format for HalfTurns {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{} half turns", self.halves);
    }
}

impl HalfTurns {
    /// From the half turns towards the source and at the load.
    ///
    /// # Errors
    /// [`TransformerError::NoTurns`] if either is 0.
    pub const fn new(primary: u8, secondary: u8) -> Result<Self, TransformerError> {
        match Turns::new(primary, secondary) {
            Ok(halves) => Ok(Self { halves }),
            Err(error) => Err(error),
        }
    }

    /// Half turns towards the source.
    pub const fn primary_halves(self) -> u8 {
        self.halves.primary()
    }

    /// Half turns at the load.
    pub const fn secondary_halves(self) -> u8 {
        self.halves.secondary()
    }

    /// A pair of whole turns with the same ratio, which may need more wire: 1.5 : 1 is 3 : 2.
    pub const fn as_ratio(self) -> Turns {
        self.halves
    }

    /// True where both are whole turns, so that any core will do.
    pub const fn are_whole(self) -> bool {
        self.halves.primary().is_multiple_of(2) && self.halves.secondary().is_multiple_of(2)
    }
}

impl fmt::Display for HalfTurns {
    /// As `1.5 : 4`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let half = |halves: u8| if halves.is_multiple_of(2) { "" } else { ".5" };
        let (p, s) = (self.primary_halves(), self.secondary_halves());
        write!(f, "{}{} : {}{}", p / 2, half(p), s / 2, half(s))
    }
}

/// The best `K` pairs of turns for a load where half turns can be wound, best first.
///
/// An extension of [`TurnsRanking`]: every ratio appears once, in the fewest half turns.
#[derive(Clone, Debug, PartialEq)]
#[must_use = "it reports what was found"]
pub struct HalfTurnsRanking<A: Arithmetic, const K: usize> {
    ranking: TurnsRanking<A, K>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const K: usize> defmt::Format for HalfTurnsRanking<A, K> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "half turns by {}", self.remedy());
        for (turns, choice) in self.iter() {
            defmt::write!(f, ", {} leaves SWR {}", turns, choice.swr(self.remedy()));
        }
    }
}

impl<A: Arithmetic, const K: usize> HalfTurnsRanking<A, K> {
    /// Tries every pair up to `most_turns` (at most 127) whole turns a winding, half turns included.
    ///
    /// ```
    /// use ohmwright::design::transformer::{HalfTurnsRanking, Remedy};
    /// use ohmwright::quantity::{Impedance, Reference};
    ///
    /// // 50 to 28 Ω with at most two turns: 2 : 1.5 comes within SWR 1.01, whole turns leave 1.79.
    /// let load = Impedance::<f64>::new(28.0, 0.0)?;
    /// let found = HalfTurnsRanking::<f64, 1>::new(load, Reference::fifty(), None, 2, Remedy::TurnsAlone)?;
    /// let (turns, choice) = found.iter().next().unwrap();
    /// assert_eq!(turns.to_string(), "2 : 1.5");
    /// assert!(choice.reflection.swr() < 1.01);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// `LoadWithoutResistance`; `NoTurns` for 0 turns; `Quantity` for more than 127.
    pub fn new(
        load: Impedance<A>,
        source: Reference<A>,
        frequency: Option<Hertz>,
        most_turns: u8,
        remedy: Remedy,
    ) -> Result<Self, TransformerError> {
        let most_halves = most_turns
            .checked_mul(2)
            .ok_or(outside!("turns", "must not be above 127"))?;
        let ranking = TurnsRanking::of(resistive_part(load)?, source, frequency, most_halves, remedy)?;
        Ok(Self { ranking })
    }

    /// The pairs, best first, each with its result. `TurnsChoice::turns` has the same ratio; wind the pair beside it.
    pub fn iter(&self) -> impl Iterator<Item = (HalfTurns, &TurnsChoice<A>)> {
        self.ranking
            .as_slice()
            .iter()
            .map(|choice| (HalfTurns { halves: choice.turns }, choice))
    }

    /// The remedy of the ranking.
    pub fn remedy(&self) -> Remedy {
        self.ranking.remedy()
    }
}
