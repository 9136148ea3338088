//! The limit of all matching: the best match that any lossless network can make over a band.
//!
//! A load that stores energy cannot be matched over an arbitrary band. Whatever the network and its number of parts,
//! |Γ| over a band of relative width w cannot be below e^(−π/(Q·w)) everywhere, with Q that of the load at the
//! geometric middle of the band (R. M. Fano, "Theoretical Limitations on the Broadband Matching of Arbitrary
//! Impedances", Journal of the Franklin Institute, 1950; D. M. Pozar, "Microwave Engineering", section 5.9, whose four
//! cases of one reactance and one resistance are all of this form). Near the limit, more parts do not help.
//!
//! For the floating families only. Losses in a network let it look better than this limit.

use crate::arithmetic::{Floating, QuantityError, Real};
use crate::quantity::{Component, Hertz, Impedance, QFactor, Ratio, not_negative, positive};

/// The least |Γ| that a lossless network can keep over a band of this width (as a fraction of its geometric middle) in
/// front of a load of this Q: e^(−π/(Q·w)). 0 for a load without reactance.
///
/// ```
/// use ohmwright::design::matching::bode_fano::least_reflection;
/// use ohmwright::quantity::{QFactor, Ratio};
///
/// let least = least_reflection::<f64>(QFactor::new(10.0), Ratio::new(0.1))?;
/// assert!((least - 0.0432).abs() < 1e-4);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
/// # Errors
/// `NotFinite` or `Negative` for such a Q, `NotFinite` or `NotPositive` for such a width.
/// A Q that is negative or not finite; a width that is not above 0.
pub fn least_reflection<F: Floating>(
    q: QFactor<F>,
    fractional_bandwidth: Ratio<F>,
) -> Result<Component<F>, QuantityError> {
    let q = not_negative(q, "Q")?.get();
    let width = positive(fractional_bandwidth, "bandwidth")?.get();
    if q == <F as Real>::ZERO {
        return Ok(Component::new(q));
    }
    Ok(Component::new((-(F::TAU * F::HALF / (q * width))).exponential()))
}

/// The widest band (as a fraction of its geometric middle) over which a lossless network can keep |Γ| below this value
/// in front of a load of this Q: π/(Q·ln(1/|Γ|)). Infinite for a load without reactance.
///
/// # Errors
/// `NotFinite` or `Negative` for such a Q or |Γ|, `OutsideLimits` for |Γ| from 1 on.
pub fn widest_band<F: Floating>(q: QFactor<F>, reflection: Component<F>) -> Result<Ratio<F>, QuantityError> {
    let q = not_negative(q, "Q")?.get();
    let reflection = not_negative(reflection, "reflection")?.get();
    if reflection >= <F as Real>::ONE {
        return Err(outside!("reflection", "must be below 1"));
    }
    let nepers = -reflection.natural_logarithm();
    if q == <F as Real>::ZERO {
        return Ok(Ratio::MAX);
    }
    Ok(Ratio::new(F::TAU * F::HALF / (q * nepers)))
}

/// The Q of a load at a frequency, from its impedance just below and just above: the Q after one part in series has
/// cancelled its reactance, ω/(2R)·√(R'² + (X' + |X|/ω)²).
///
/// A. D. Yaghjian and S. R. Best, "Impedance, Bandwidth, and Q of Antennas", IEEE Transactions on Antennas and Propagation
/// 53(4), 2005, equation 96. For a resistance in series with one coil or capacitor it is |X|/R. Near an anti-resonance, and
/// where several resonances lie close together, it is an estimate.
///
/// # Errors
/// `OutsideLimits` for frequencies that do not rise, `NotPositive` for a middle load without positive resistance.
pub fn load_q<F: Floating>(
    below: (Hertz, Impedance<F>),
    at: (Hertz, Impedance<F>),
    above: (Hertz, Impedance<F>),
) -> Result<QFactor<F>, QuantityError> {
    if below.0 >= at.0 || at.0 >= above.0 {
        return Err(outside!("frequency", "must rise from each load to the next"));
    }
    let (r, x) = (at.1.resistance().get(), at.1.reactance().get());
    if at.1.is_open() || r <= <F as Real>::ZERO {
        return Err(QuantityError::NotPositive("load resistance"));
    }
    let step = F::from_u64(above.0.get().saturating_sub(below.0.get())) / F::from_u64(at.0.get());
    // The changes over an octave of ω at this slope: ω·R' and ω·X'.
    let dr = (above.1.resistance() - below.1.resistance()).get() / step;
    let dx = (above.1.reactance() - below.1.reactance()).get() / step;
    let sum = dx + Real::absolute(x);
    Ok(QFactor::new((dr * dr + sum * sum).square_root() * F::HALF / r))
}
