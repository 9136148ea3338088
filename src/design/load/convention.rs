//! Which impedance a data sheet states, and of how much of the device.

use crate::arithmetic::{Arithmetic, Real, Sealed};
use crate::quantity::Impedance;

/// An impedance whose convention is known: [`LookingIn`] or [`Presented`].
pub trait Convention: Sealed + Copy {
    /// Twice the impedance, or half of it.
    #[doc(hidden)]
    #[must_use]
    fn scaled(self, twice: bool) -> Self;
}

/// The impedance seen when looking into the device. A network that ends in its conjugate matches it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct LookingIn<A: Arithmetic>(Impedance<A>);

/// The impedance to be presented to the device. For a conjugate match it is the conjugate of the device's own
/// impedance. For the output of a power device it is the value found to give the most power or the least distortion,
/// which is not a property of the device alone.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct Presented<A: Arithmetic>(Impedance<A>);

impl<A: Arithmetic> LookingIn<A> {
    /// From the data sheet.
    pub fn new(impedance: Impedance<A>) -> Self {
        Self(impedance)
    }

    /// The load that the network must match: this impedance.
    pub fn load(self) -> Impedance<A> {
        self.0
    }

    /// The impedance to present to the device for a conjugate match.
    pub fn wants(self) -> Presented<A> {
        Presented(self.0.conjugate())
    }
}

impl<A: Arithmetic> Presented<A> {
    /// From the data sheet.
    pub fn new(impedance: Impedance<A>) -> Self {
        Self(impedance)
    }

    /// The impedance that the network must show at its end.
    pub fn target(self) -> Impedance<A> {
        self.0
    }

    /// The load that stands for the device when a network is designed from its side: the conjugate of this impedance.
    ///
    /// ```
    /// use ohmwright::design::load::Presented;
    /// use ohmwright::quantity::Impedance;
    ///
    /// let printed = Presented::new(Impedance::<f64>::new(1.8, 2.5)?);
    /// assert_eq!(printed.stands_for().load(), Impedance::new(1.8, -2.5)?);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn stands_for(self) -> LookingIn<A> {
        LookingIn(self.0.conjugate())
    }
}

fn scaled<A: Arithmetic>(impedance: Impedance<A>, twice: bool) -> Impedance<A> {
    if impedance.is_open() {
        return impedance;
    }
    let factor = if twice { A::Working::TWO } else { A::Working::HALF };
    Impedance::from_complex(impedance.complex().scale(factor))
}

impl<A: Arithmetic> Sealed for LookingIn<A> {}
impl<A: Arithmetic> Sealed for Presented<A> {}

impl<A: Arithmetic> Convention for LookingIn<A> {
    fn scaled(self, twice: bool) -> Self {
        Self(scaled(self.0, twice))
    }
}

impl<A: Arithmetic> Convention for Presented<A> {
    fn scaled(self, twice: bool) -> Self {
        Self(scaled(self.0, twice))
    }
}

/// An impedance of one side of a balanced device against the common point, or of a single-ended one.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct OneSide<Z: Convention>(pub Z);

/// An impedance of a balanced device from side to side.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct SideToSide<Z: Convention>(pub Z);

impl<Z: Convention> OneSide<Z> {
    /// Both sides in series: twice one side. An open stays open; a fixed-point result saturates.
    ///
    /// ```
    /// use ohmwright::design::load::{LookingIn, OneSide};
    /// use ohmwright::quantity::Impedance;
    ///
    /// let gate = OneSide(LookingIn::new(Impedance::<f64>::new(0.9, -1.25)?));
    /// assert_eq!(gate.side_to_side().0.load(), Impedance::new(1.8, -2.5)?);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn side_to_side(self) -> SideToSide<Z> {
        SideToSide(self.0.scaled(true))
    }
}

impl<Z: Convention> SideToSide<Z> {
    /// Half of it.
    pub fn one_side(self) -> OneSide<Z> {
        OneSide(self.0.scaled(false))
    }
}
