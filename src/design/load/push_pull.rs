//! A push-pull stage, from its load line.

use super::{OneSide, Presented, SideToSide};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::quantity::{Impedance, Ohms, Volts, Watts, not_negative, positive};

/// A push-pull stage in class B, from its supply voltage Vs and the saturation voltage Vsat of its devices.
///
/// The textbook load line: each side swings by Vs − Vsat around the supply, in opposite directions. The peak from side
/// to side is 2·(Vs − Vsat), and P = (2·(Vs − Vsat))²/(2·R). Therefore, from side to side,
///
/// R = 2·(Vs − Vsat)²/P
///
/// and for one side against the common point half of that, (Vs − Vsat)²/P. (While the other device is cut off, a device
/// on a centre-tapped winding works into a quarter of R; that is the same winding, not a third formula.) Tune out the
/// reactances of the devices first. The formula does not cover efficiency or distortion.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct PushPull<A: Arithmetic> {
    supply: Volts<A>,
    saturation: Volts<A>,
}

checked_form! {
    [A: Arithmetic] PushPull<A>, this {
        supply: Volts<A> = this.supply,
        saturation: Volts<A> = this.saturation,
    } => Self::new(supply, saturation)
}

impl<A: Arithmetic> PushPull<A> {
    /// From the supply and the saturation voltage, volts.
    ///
    /// ```
    /// use ohmwright::design::load::PushPull;
    ///
    /// let stage = PushPull::<f64>::new(13.8, 1.0)?;
    /// let load = stage.side_to_side(100.0)?;
    /// assert!((load.0.target().resistance() - 3.2768).abs() < 1e-12);
    /// assert!((load.one_side().0.target().resistance() - 1.6384).abs() < 1e-12);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a supply; for a saturation voltage `NotFinite`, `Negative`, or
    /// `OutsideLimits` where it is not below the supply.
    pub fn new(supply: impl Into<Volts<A>>, saturation: impl Into<Volts<A>>) -> Result<Self, QuantityError> {
        let (supply, saturation) = (supply.into(), saturation.into());
        positive(supply, "supply voltage")?;
        if not_negative(saturation, "saturation voltage")? >= supply {
            return Err(outside!("saturation voltage", "must be below the supply voltage"));
        }
        Ok(Self { supply, saturation })
    }

    /// The supply, volts.
    pub fn supply(self) -> Volts<A> {
        self.supply
    }

    /// The saturation voltage, volts.
    pub fn saturation(self) -> Volts<A> {
        self.saturation
    }

    /// 2·(Vs − Vsat)².
    fn volts_squared(self) -> A::Working {
        A::Working::TWO * (self.supply.to_working() - self.saturation.to_working()).square()
    }

    /// The resistance to present from side to side for this power in watts. Error: a rounding (fixed point: plus 1e-8).
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a power; `OutOfRange` for a result beyond the family's number type.
    pub fn side_to_side(self, power: impl Into<Watts<A>>) -> Result<SideToSide<Presented<A>>, QuantityError> {
        let power = power.into();
        let power = positive(power, "power")?.to_working();
        let resistance = Ohms::<A>::from_working(self.volts_squared() / power);
        if resistance <= Ohms::<A>::ZERO || resistance.is_at_end() {
            return Err(QuantityError::OutOfRange("resistance of the load line"));
        }
        Ok(SideToSide(Presented::new(Impedance::from_words(
            resistance,
            Ohms::<A>::ZERO,
        ))))
    }

    /// The same for one side against the common point.
    ///
    /// # Errors
    /// As [`side_to_side`](Self::side_to_side).
    pub fn one_side(self, power: impl Into<Watts<A>>) -> Result<OneSide<Presented<A>>, QuantityError> {
        let power = power.into();
        Ok(self.side_to_side(power)?.one_side())
    }

    /// The power in watts into this resistance from side to side at full swing: 2·(Vs − Vsat)²/R. Saturates.
    ///
    /// # Errors
    /// `OutsideLimits` for a load that is an open, `NotPositive` for one without positive resistance.
    pub fn power(self, load: SideToSide<Presented<A>>) -> Result<Watts<A>, QuantityError> {
        let load = load.0.target();
        if load.is_open() {
            return Err(outside!("load", "must not be an open"));
        }
        if load.resistance() <= Ohms::<A>::ZERO {
            return Err(QuantityError::NotPositive("load resistance"));
        }
        // The power into R from a voltage across R + jX: V²·R/|Z|².
        let z = load.complex();
        let steep = z.im / z.re;
        Ok(Watts::<A>::from_working(
            self.volts_squared() / (z.re + z.im * steep),
        ))
    }
}
