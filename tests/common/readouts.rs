//! What the list of readouts says, as functions.

use ohmwright::arithmetic::accuracy::Readout;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::quantity::{Reference, Reflection};

use super::{Truth, impedance_truth, truth};

macro_rules! functions {
    ($(
        $readout:ident: $kind:ident $method:ident [|$truth:pat_param, $impedance:pat_param| $true:expr]
            [$column:literal $none:expr] $row:tt;
    )*) => {
        pub const READOUTS: [Readout; [$($column),*].len()] = [$(Readout::$readout),*];

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
                $(Readout::$readout => word(read_off!($kind $method, gamma, reference)),)*
                other => panic!("{other:?} is not read off a reflection"),
            }
        }

        fn true_value(readout: Readout, of: &Truth, z: (f64, f64, f64)) -> f64 {
            match readout {
                $(Readout::$readout => {
                    let ($truth, $impedance) = (of, z);
                    $true
                })*
                other => panic!("{other:?} is not read off a reflection"),
            }
        }

        /// Its column in `data/reflection_vectors.csv`, and what the method gives where `none` stands there.
        pub fn column(readout: Readout) -> (&'static str, f64) {
            match readout {
                $(Readout::$readout => ($column, $none),)*
                other => panic!("{other:?} is not read off a reflection"),
            }
        }
    };
}

every_readout!(functions);

/// What the bound of a readout refers to, by its true value and |Z|.
pub fn scale(readout: Readout, value: f64, size: f64) -> f64 {
    match readout {
        Readout::Resistance | Readout::Reactance => size,
        Readout::Phase => 1.0,
        _ => value.abs(),
    }
}

/// The true value for a Γ that is taken as exact, and the scale that its bound refers to.
pub fn readout_truth(readout: Readout, (re, im): (f64, f64), reference: f64) -> (f64, f64) {
    let z = impedance_truth(re, im, reference);
    let value = true_value(readout, &truth(re, im), z);
    (value, scale(readout, value, z.2))
}
