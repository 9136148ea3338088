//! So near to an open that the impedance leaves the range of a float: an open then, and nothing that is half of one.

use ohmwright::arithmetic::{Arithmetic, SoftF32};
use ohmwright::quantity::{Impedance, Reference, Reflection};

/// Γ = 1 ± j·2^−k, of which X = ±2·Z0/2^−k.
fn leaves_in_one_step<A: Arithmetic>(smallest: i32) {
    let (mut opens, mut numbers) = (0, 0);
    for k in 60..=smallest {
        for sign in [1.0, -1.0] {
            let height = sign * 2f64.powi(-k);
            let gamma = Reflection::<A>::try_from_f64(1.0, height).unwrap();
            for ohms in [0.5, 50.0, 600.0] {
                let z = gamma.impedance(Reference::try_from_f64(ohms).unwrap());
                if z.is_open() {
                    assert_eq!(z, Impedance::OPEN, "{:?}: 1 and j{height:e}", A::FAMILY);
                    opens += 1;
                } else {
                    let want = 2.0 * ohms / height;
                    let off = z.reactance().to_f64() / want - 1.0;
                    assert!(off.abs() < 1e-6, "{:?}: 1 and j{height:e}: {off:e}", A::FAMILY);
                    numbers += 1;
                }
            }
        }
    }
    // The control: both were seen.
    assert!(opens > 10 && numbers > 100, "{opens} {numbers}");
}

#[test]
fn an_impedance_beyond_the_float_is_an_open() {
    leaves_in_one_step::<f64>(1_070);
    leaves_in_one_step::<f32>(140);
    leaves_in_one_step::<SoftF32>(125);
}
