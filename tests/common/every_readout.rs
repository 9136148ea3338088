// Everything that is read off one Γ, listed once. The laws, the vectors, the searches for worst cases, the tables of the
// documentation, the fuzzer and the proofs go through this list, and the firmware that compares bits between cores is
// written from it. They include this file, since they are several crates.
//
// A row says, in this order:
// - the variant of `Readout`;
// - how it is read: `of_gamma` by a method of Γ, `on_reference` by one that takes the reference, `of_impedance` by one of
//   the impedance against it;
// - the truth, from the oracle: `t` is `common::Truth`, `z` is (R, X, |Z|);
// - the column of `tests/data/reflection_vectors.csv`, and what the method gives where `none` stands there (NaN: it never
//   does);
// - the row in the table of bounds, the unit there, and what the relative part of the bound goes with. Readouts that have
//   a row in common stand together.

/// Hands the whole list to the macro `$take`.
macro_rules! every_readout {
    ($take:ident) => {
        $take! {
            Magnitude: of_gamma magnitude [|t, _z| t.magnitude] ["magnitude" f64::NAN] ["\\|Γ\\|" "" " relative"];
            Swr: of_gamma swr [|t, _z| t.swr] ["swr" f64::INFINITY] ["SWR" "" " relative"];
            ReturnLoss: of_gamma return_loss [|t, _z| t.return_loss] ["return_loss_db" f64::NAN]
                ["return loss" " dB" " relative"];
            MismatchLoss: of_gamma mismatch_loss [|t, _z| t.mismatch_loss] ["mismatch_loss_db" f64::INFINITY]
                ["mismatch loss" " dB" " relative"];
            Phase: of_gamma phase [|t, _z| t.phase] ["phase_deg" 0.0] ["phase" "°" " relative"];
            Resistance: of_impedance resistance [|_t, z| z.0] ["resistance_ohm" f64::INFINITY]
                ["R, X" " Ω" "·\\|Z\\|"];
            Reactance: of_impedance reactance [|_t, z| z.1] ["reactance_ohm" 0.0] ["R, X" " Ω" "·\\|Z\\|"];
            ImpedanceMagnitude: on_reference impedance_magnitude [|_t, z| z.2] ["impedance_magnitude_ohm" f64::NAN]
                ["\\|Z\\|" " Ω" "·\\|Z\\|"];
            Q: of_gamma q [|t, _z| t.q] ["q" 0.0] ["Q" "" " relative"];
            ReflectedShare: of_gamma reflected_share [|t, _z| t.share] ["reflected_share" f64::NAN]
                ["share of power" "" " relative"];
            AbsorbedShare: of_gamma absorbed_share [|t, _z| t.passive] ["absorbed_share" f64::NAN]
                ["share absorbed" "" " relative"];
        }
    };
}

/// The value of a row.
#[allow(unused_macros)] // Not all need it.
macro_rules! read_off {
    (of_gamma $method:ident, $gamma:expr, $reference:expr) => {
        $gamma.$method()
    };
    (on_reference $method:ident, $gamma:expr, $reference:expr) => {
        $gamma.$method($reference)
    };
    (of_impedance $method:ident, $gamma:expr, $reference:expr) => {
        $gamma.impedance($reference).$method()
    };
}
