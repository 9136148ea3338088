//! From counts to reflections: the demodulator against numpy, each front end against mpmath, simulated hardware with its
//! faults, and published values.

mod demodulation;
mod published;
mod scalar;
mod three_voltages;
mod vector;

use ohmwright::arithmetic::Quantity;

/// Whether `got` is within `allowed` of `want`; what lies beyond the word is expected at its end.
#[track_caller]
fn close<Q: Quantity>(what: &str, got: Q, want: f64, allowed: f64) {
    let want = want.clamp(Q::MIN.to_f64(), Q::MAX.to_f64());
    let got = got.to_f64();
    assert!(
        got == want || (got - want).abs() <= allowed,
        "{what}: {got} instead of {want}, where {allowed:e} is allowed"
    );
}

/// Half a unit of the last place of a word, 0 for floats.
fn half_unit<Q: Quantity>() -> f64 {
    // The word above zero, if there is one.
    (1..=40)
        .map(|digits| 2f64.powi(-digits))
        .take_while(|unit| Q::try_from_f64(*unit).is_ok_and(|word| word.to_f64() == *unit))
        .last()
        .filter(|unit| *unit > 1e-11)
        .map_or(0.0, |unit| unit / 2.0)
}
