//! The switched parts of a tuner and their values.

use core::fmt;

use super::arrangement::Arrangement;
use super::code::{MOST_PARTS, is_in};
use super::setting::{Setting, Side};
use super::subset_sums::SubsetSums;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::design::transformer::Turns;
use crate::quantity::{Capacitance, Inductance, QFactor, QuantityError};

/// The largest number of taps of the transformer.
pub const MOST_TAPS: usize = 4;

/// Why a bank is refused, or a call to it has no result.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum BankError {
    /// The bank has neither coils nor capacitors.
    Empty,
    /// More than 16 coils or capacitors, or more than four taps.
    TooMany(&'static str),
    /// A value or a Q is outside its range.
    Quantity(QuantityError),
    /// More capacitors at the source end than there are capacitors.
    Split,
    /// A list of taps without a tap.
    NoTap,
    /// The bank does not have this setting.
    NotInTheBank,
    /// The frequency is 0: a bank has no effect there.
    NoFrequency,
    /// The load takes no power (|Γ| of 1 and above): no setting matches it.
    LoadWithoutResistance,
}

impl fmt::Display for BankError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("the bank has neither coils nor capacitors"),
            Self::TooMany(what) => write!(
                f,
                "the bank has too many {what}: {MOST_PARTS} of a kind and {MOST_TAPS} taps are the most"
            ),
            Self::Quantity(error) => write!(f, "in the bank: {error}"),
            Self::Split => f.write_str("more capacitors at the source end than in the bank"),
            Self::NoTap => f.write_str("the transformer has no tap"),
            Self::NotInTheBank => f.write_str("the bank has no such setting"),
            Self::NoFrequency => f.write_str("the frequency must be above 0 Hz"),
            Self::LoadWithoutResistance => {
                f.write_str("the load has no positive resistance: no setting matches it")
            }
        }
    }
}

impl core::error::Error for BankError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            _ => None,
        }
    }
}

impl From<QuantityError> for BankError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

/// A coil with a relay across it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct BankCoil<A: Arithmetic> {
    /// Its real value, measured in the circuit if possible, not the nominal one.
    pub inductance: Inductance<A>,
    /// Its Q, assumed equal at every frequency: R = 2πfL/Q. The largest word (or infinity) is a coil without loss.
    pub q: QFactor<A>,
}

impl<A: Arithmetic> BankCoil<A> {
    /// A coil without loss.
    pub const fn lossless(inductance: Inductance<A>) -> Self {
        Self {
            inductance,
            q: QFactor::<A>::MAX,
        }
    }

    setters! {
        with_q(q: QFactor<A>);
    }
}

/// A capacitor with a relay in series with it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct BankCapacitor<A: Arithmetic> {
    /// Its real value.
    pub capacitance: Capacitance<A>,
    /// Its Q, assumed equal at every frequency: G = 2πfC/Q. The largest word (or infinity) is one without loss.
    pub q: QFactor<A>,
}

impl<A: Arithmetic> BankCapacitor<A> {
    /// A capacitor without loss.
    pub const fn lossless(capacitance: Capacitance<A>) -> Self {
        Self {
            capacitance,
            q: QFactor::<A>::MAX,
        }
    }

    setters! {
        with_q(q: QFactor<A>);
    }
}

/// Reactances that remain with every relay at rest. Lossless.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct Stray<A: Arithmetic> {
    /// In series with the coils.
    pub series: Inductance<A>,
    /// Across the line at the transmitter's end.
    pub at_source: Capacitance<A>,
    /// Across the line at the antenna's end.
    pub at_load: Capacitance<A>,
}

impl<A: Arithmetic> Stray<A> {
    setters! {
        with_series(series: Inductance<A>);
        with_at_source(at_source: Capacitance<A>);
        with_at_load(at_load: Capacitance<A>);
    }
}

impl<A: Arithmetic> Default for Stray<A> {
    /// No strays.
    fn default() -> Self {
        Self {
            series: Inductance::from_picohenries(0),
            at_source: Capacitance::from_femtofarads(0),
            at_load: Capacitance::from_femtofarads(0),
        }
    }
}

/// A bank of `L` coils in series and `C` capacitors across the line, each switched by its own relay.
///
/// The order from the transmitter: capacitors of the source side, coils, capacitors of the load side, the transformer
/// if there is one (ideal, secondary at the antenna), the antenna. The values need not be powers of two.
///
/// ```
/// use ohmwright::control::{Arrangement, Bank, BankCapacitor, BankCoil, Setting, Side};
/// use ohmwright::fixed_point::{Capacitance, Inductance};
///
/// let coils = [50_000, 100_000, 200_000].map(|picohenries| BankCoil::lossless(Inductance::from_picohenries(picohenries)));
/// let capacitors = [10_000, 20_000].map(|femtofarads| BankCapacitor::lossless(Capacitance::from_femtofarads(femtofarads)));
/// let bank = Bank::new(coils, capacitors, Arrangement::Changeover)?;
/// let setting = Setting { coils: 0b101, capacitors: 0b10, side: Side::Load, tap: 0 };
/// assert_eq!(bank.inductance(setting)?, Inductance::from_picohenries(250_000));
/// assert_eq!(bank.nearest(Inductance::from_picohenries(260_000), Capacitance::from_femtofarads(19_000), Side::Load, 0)?, setting);
/// # Ok::<(), ohmwright::control::BankError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bank<A: Arithmetic, const L: usize, const C: usize> {
    pub(super) coils: [BankCoil<A>; L],
    pub(super) capacitors: [BankCapacitor<A>; C],
    pub(super) arrangement: Arrangement,
    pub(super) stray: Stray<A>,
    pub(super) taps: [Option<Turns>; MOST_TAPS],
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const L: usize, const C: usize> defmt::Format for Bank<A, L, C> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "bank of {=usize} coils and {=usize} capacitors", L, C);
        defmt::write!(f, ", {}, {=u64} settings", self.arrangement, self.count());
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> Bank<A, L, C> {
    /// A bank without strays and without a transformer.
    ///
    /// # Errors
    /// [`Empty`](BankError::Empty) without parts, [`TooMany`](BankError::TooMany) above 16 of a kind,
    /// [`Quantity`](BankError::Quantity) for a value of 0 or a Q of 0 or NaN, [`Split`](BankError::Split) for too many
    /// at source.
    pub fn new(
        coils: [BankCoil<A>; L],
        capacitors: [BankCapacitor<A>; C],
        arrangement: Arrangement,
    ) -> Result<Self, BankError> {
        if L == 0 && C == 0 {
            return Err(BankError::Empty);
        }
        if L > MOST_PARTS {
            return Err(BankError::TooMany("coils"));
        }
        if C > MOST_PARTS {
            return Err(BankError::TooMany("capacitors"));
        }
        for coil in &coils {
            if coil.inductance.get() == A::InductanceWord::ZERO {
                return Err(QuantityError::NotPositive("inductance").into());
            }
            check_q::<A>(coil.q)?;
        }
        for capacitor in &capacitors {
            if capacitor.capacitance.get() == A::CapacitanceWord::ZERO {
                return Err(QuantityError::NotPositive("capacitance").into());
            }
            check_q::<A>(capacitor.q)?;
        }
        if let Arrangement::BothSides { at_source } = arrangement
            && usize::from(at_source) > C
        {
            return Err(BankError::Split);
        }
        Ok(Self {
            coils,
            capacitors,
            arrangement,
            stray: Stray::default(),
            taps: [None; MOST_TAPS],
        })
    }

    /// The same bank with strays.
    #[must_use]
    pub fn with_stray(mut self, stray: Stray<A>) -> Self {
        self.stray = stray;
        self
    }

    /// The same bank with a transformer at the antenna, primary towards the bank. The first tap is the rest position:
    /// make it 1:1 if there is such a tap.
    ///
    /// # Errors
    /// [`NoTap`](BankError::NoTap) for an empty list, [`TooMany`](BankError::TooMany) for more than four taps.
    pub fn with_taps(mut self, taps: &[Turns]) -> Result<Self, BankError> {
        if taps.is_empty() {
            return Err(BankError::NoTap);
        }
        if taps.len() > MOST_TAPS {
            return Err(BankError::TooMany("taps"));
        }
        self.taps = [None; MOST_TAPS];
        for (place, tap) in self.taps.iter_mut().zip(taps) {
            *place = Some(*tap);
        }
        Ok(self)
    }

    /// The position of the capacitors.
    pub fn arrangement(&self) -> Arrangement {
        self.arrangement
    }

    /// The coils, in the order of the code's bits.
    pub fn coils(&self) -> &[BankCoil<A>] {
        &self.coils
    }

    /// The capacitors, in the order of the code's bits.
    pub fn capacitors(&self) -> &[BankCapacitor<A>] {
        &self.capacitors
    }

    /// The number of taps: 1 without a transformer.
    pub fn taps(&self) -> u8 {
        let mut count = 0u8;
        for _ in self.taps.iter().flatten() {
            count = count.saturating_add(1);
        }
        count.max(1)
    }

    /// The number of settings.
    pub fn count(&self) -> u64 {
        let sides = if self.arrangement == Arrangement::Changeover {
            2
        } else {
            1
        };
        (1u64 << (L + C).min(2 * MOST_PARTS)) * sides * u64::from(self.taps())
    }

    /// The largest number of relays that move between any two settings.
    pub fn most_operations(&self) -> u16 {
        (L + C) as u16
            + u16::from(self.arrangement == Arrangement::Changeover)
            + if self.taps() > 1 { 2 } else { 0 }
    }

    /// Whether the bank has this setting. Without a changeover `side` must be [`Side::Source`].
    pub fn has(&self, setting: Setting) -> bool {
        self.arrangement.has::<L, C>(setting, self.taps())
    }

    pub(super) fn check(&self, setting: Setting) -> Result<(), BankError> {
        if self.has(setting) {
            Ok(())
        } else {
            Err(BankError::NotInTheBank)
        }
    }

    /// The inductance in circuit, without the stray one.
    ///
    /// # Errors
    /// [`BankError::NotInTheBank`] for a setting that the bank does not have.
    pub fn inductance(&self, setting: Setting) -> Result<Inductance<A>, BankError> {
        self.check(setting)?;
        let mut sum = A::Working::ZERO;
        for k in 0..L {
            if let Some(coil) = self.coils.get(k)
                && is_in(setting.coils, k)
            {
                sum = sum + coil.inductance.to_base();
            }
        }
        Ok(Inductance::from_base(sum))
    }

    /// The capacitance in circuit, without strays; with capacitors on both sides the sum of both.
    ///
    /// # Errors
    /// [`BankError::NotInTheBank`] for a setting that the bank does not have.
    pub fn capacitance(&self, setting: Setting) -> Result<Capacitance<A>, BankError> {
        self.check(setting)?;
        let mut sum = A::Working::ZERO;
        for k in 0..C {
            if let Some(capacitor) = self.capacitors.get(k)
                && is_in(setting.capacitors, k)
            {
                sum = sum + capacitor.capacitance.to_base();
            }
        }
        Ok(Capacitance::from_base(sum))
    }

    /// The setting whose inductance and capacitance are nearest to these, of all subsets of the parts; larger requests
    /// give the largest. With capacitors on both sides the sum of both is compared.
    ///
    /// # Errors
    /// [`BankError::NotInTheBank`] for a side or a tap that the bank does not have.
    pub fn nearest(
        &self,
        inductance: Inductance<A>,
        capacitance: Capacitance<A>,
        side: Side,
        tap: u8,
    ) -> Result<Setting, BankError> {
        let coils =
            SubsetSums::<A::Working, L>::new(|k| self.coils.get(k).map(|coil| coil.inductance.to_base()));
        let capacitors = SubsetSums::<A::Working, C>::new(|k| {
            self.capacitors.get(k).map(|part| part.capacitance.to_base())
        });
        let setting = Setting {
            coils: coils.nearest(inductance.to_base()),
            capacitors: capacitors.nearest(capacitance.to_base()),
            side,
            tap,
        };
        self.check(setting)?;
        Ok(setting)
    }
}

fn check_q<A: Arithmetic>(q: QFactor<A>) -> Result<(), BankError> {
    // Infinity is a part without loss; NaN is not greater than zero.
    if q > QFactor::<A>::ZERO {
        Ok(())
    } else {
        Err(QuantityError::NotPositive("Q").into())
    }
}
