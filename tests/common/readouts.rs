//! Everything that is read off a reflection.

use ohmwright::arithmetic::accuracy::Readout;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::quantity::{Reference, Reflection};

pub const READOUTS: [Readout; 10] = [
    Readout::Magnitude,
    Readout::Swr,
    Readout::ReturnLoss,
    Readout::MismatchLoss,
    Readout::Phase,
    Readout::Resistance,
    Readout::Reactance,
    Readout::ImpedanceMagnitude,
    Readout::Q,
    Readout::ReflectedShare,
];

/// A readout, and the ends of its word.
pub fn read<A: Arithmetic>(
    readout: Readout,
    gamma: Reflection<A>,
    reference: Reference<A>,
) -> (f64, f64, f64) {
    fn word<Q: Quantity>(value: Q) -> (f64, f64, f64) {
        (value.to_f64(), Q::MIN.to_f64(), Q::MAX.to_f64())
    }
    match readout {
        Readout::Magnitude => word(gamma.magnitude()),
        Readout::Swr => word(gamma.swr()),
        Readout::ReturnLoss => word(gamma.return_loss()),
        Readout::MismatchLoss => word(gamma.mismatch_loss()),
        Readout::Phase => word(gamma.phase()),
        Readout::Resistance => word(gamma.impedance(reference).resistance()),
        Readout::Reactance => word(gamma.impedance(reference).reactance()),
        Readout::ImpedanceMagnitude => word(gamma.impedance_magnitude(reference)),
        Readout::Q => word(gamma.q()),
        Readout::ReflectedShare => word(gamma.reflected_share()),
        other => panic!("{other:?} is not read off a reflection"),
    }
}
