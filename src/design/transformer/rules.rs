//! Usual rules for windings, and coupled coils.

use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::quantity::positive_part;
use crate::quantity::{Component, Hertz, Inductance, Ohms, Ratio, positive, positive_omega};

/// The usual least reactance of a winding at the lowest frequency, as a multiple of the winding's impedance: 4,
/// sometimes 5 (common practice, no source). At 4 the SWR of a matched load is 1.28, and |Z| within 3 % of the load.
pub const USUAL_MAGNETISING_MULTIPLE: u8 = 4;

/// The least magnetising inductance by the usual rule: L = times·R/(2πf), with R the impedance at the winding and f the
/// lowest frequency. Saturates. Common practice, no source, with [`USUAL_MAGNETISING_MULTIPLE`].
///
/// ```
/// use ohmwright::design::transformer::minimum_magnetising_inductance;
/// use ohmwright::quantity::{Hertz, Ohms, Ratio};
///
/// let (load, lowest) = (Ohms::new(50.0), Hertz::from_kilohertz(1_800));
/// let least = minimum_magnetising_inductance::<f64>(load, lowest, Ratio::new(4.0))?;
/// assert!((least.get() - 17.68e-6).abs() < 0.005e-6);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
///
/// # Errors
/// `NotFinite` or `NotPositive` for a resistance or a multiple; `NotPositive` for a frequency of 0.
pub fn minimum_magnetising_inductance<A: Arithmetic>(
    resistance: Ohms<A>,
    lowest: Hertz,
    times: Ratio<A>,
) -> Result<Inductance<A>, QuantityError> {
    let omega = positive_omega::<A>(lowest)?;
    let resistance = positive(resistance, "resistance")?.to_working();
    let times = positive(times, "multiple")?.to_working();
    Ok(Inductance::from_base(resistance * times / omega))
}

/// The coupling k = M/√(L1·L2) of two coils.
///
/// # Errors
/// `NotPositive` for a primary or secondary inductance of 0; `OutsideLimits` for a result of 1 or more.
pub fn coupling<A: Arithmetic>(
    primary: Inductance<A>,
    secondary: Inductance<A>,
    mutual: Inductance<A>,
) -> Result<Component<A>, QuantityError> {
    let first = positive_part(primary.to_base(), "primary inductance")?;
    let second = positive_part(secondary.to_base(), "secondary inductance")?;
    let m = mutual.to_base();
    let k = (m / first).square_root() * (m / second).square_root();
    if k < A::Working::ONE {
        Ok(Component::<A>::from_working(k))
    } else {
        Err(outside!("coupling", "must be below 1"))
    }
}

/// The mutual inductance of two coils from their inductance in series, aiding and opposing: (La − Lo)/4.
///
/// # Errors
/// `Negative` for an aiding inductance below the opposing one: exchange the ends of one coil.
pub fn mutual_inductance<A: Arithmetic>(
    aiding: Inductance<A>,
    opposing: Inductance<A>,
) -> Result<Inductance<A>, QuantityError> {
    let difference = aiding.to_base() - opposing.to_base();
    if difference < A::Working::ZERO {
        return Err(QuantityError::Negative("mutual inductance"));
    }
    Ok(Inductance::from_base(difference / A::Working::from_i32(4)))
}
