//! Whose impedance a data sheet prints, and of how much of the device.

use crate::arithmetic::{Arithmetic, Real, Sealed};
use crate::quantity::Impedance;

/// An impedance whose convention is known: [`LookingIn`] or [`Presented`].
pub trait Convention: Sealed + Copy {
    /// Half of it, or twice.
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

/// The impedance to be presented to the device: what it wants to look into. The conjugate of what it shows itself,
/// where its maker speaks of a conjugate match; for the output of a power device it is what was found to give the most
/// power or the least distortion, and no property of the device alone.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct Presented<A: Arithmetic>(Impedance<A>);

impl<A: Arithmetic> LookingIn<A> {
    /// As printed.
    pub fn new(impedance: Impedance<A>) -> Self {
        Self(impedance)
    }

    /// The impedance that a network must be made to load with: this one.
    pub fn load(self) -> Impedance<A> {
        self.0
    }

    /// What is to be presented to the device for a conjugate match.
    pub fn wants(self) -> Presented<A> {
        Presented(self.0.conjugate())
    }
}

impl<A: Arithmetic> Presented<A> {
    /// As printed.
    pub fn new(impedance: Impedance<A>) -> Self {
        Self(impedance)
    }

    /// What the network's end is to look like.
    pub fn target(self) -> Impedance<A> {
        self.0
    }

    /// The load that stands for the device when a network is designed from its side: the conjugate of what it wants.
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

/// Of one side of a balanced device against the common point, or of a single-ended one.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct OneSide<Z: Convention>(pub Z);

/// Of a balanced device, side to side.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct SideToSide<Z: Convention>(pub Z);

impl<Z: Convention> OneSide<Z> {
    /// Both sides in series: twice one side. An open stays one; a fixed-point result saturates.
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
