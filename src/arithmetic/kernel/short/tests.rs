//! Errors of the kernels, over mantissas of every size.

use super::point::ONE;
use super::root::coarse_root;
use super::*;

fn mantissas() -> impl Iterator<Item = Raised> {
    (1u32 << 20..1 << 21).map(|upper| Raised {
        mantissa: upper << 11 | (upper.wrapping_mul(0x9e37_79b9) >> 21),
        lead: 1,
    })
}

#[test]
fn errors_within_the_documented_figures() {
    let (mut low, mut high) = (0f64, 0f64);
    let (mut turned, mut loud, mut rough) = (0f64, 0f64, 0f64);
    for of in mantissas() {
        let value = of.mantissa as f64;
        let got = inverse(of);
        assert!(got <= 1 << 16);
        let error = got as f64 * value / 2f64.powi(47) - 1.0;
        (low, high) = (low.min(error), high.max(error));
        for lead in [0, 1] {
            let length = Length::new(Raised {
                mantissa: of.mantissa,
                lead,
            });
            let error = length.inverse as f64 * (length.x as f64).sqrt() / 2f64.powi(31) - 1.0;
            turned = turned.max(error.abs());
        }
        // One digit below the top, in steps of 2⁻²⁸.
        let want = -10.0 * (value / 2f64.powi(29)).log10();
        loud = loud.max((loss(of) as f64 / 65_536.0 - want).abs());
        for x in [of.mantissa, of.mantissa >> 1, of.mantissa >> 2] {
            rough = rough.max((coarse_root(x) as f64 / (x as f64).sqrt() - 1.0).abs());
        }
    }
    assert!(low > -3e-5 && high < 3.7e-5, "{low:e} {high:e}");
    assert!(turned < 3.1e-5, "{turned:e}");
    assert!(loud < 5.2e-5, "{loud:e}");
    assert!(rough < 6.4e-5, "{rough:e}");
    assert!(
        low < -1e-5 && turned > 1e-5 && loud > 1e-5 && rough > 1e-5,
        "the search saw too little"
    );
}

#[test]
fn one_and_nothing() {
    assert_eq!(loss(raise(ONE)), 0);
    assert_eq!(inverse(raise(ONE)), 1 << 16);
    assert_eq!(coarse_root(0), 0);
    let length = Length::new(raise(0));
    assert_eq!(length.magnitude(), 0);
    assert_eq!(length.degrees(ShortPoint::new(0, 0)), 0);
}
