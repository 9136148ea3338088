//! Parameters fitted to a sweep, with noise and without.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::design::load::{Load, LoadCircuit};
use ohmwright::design::transformer::{TransformerError, TransformerFit};
use ohmwright::quantity::{Hertz, Ohms, QuantityError, Reference, Reflection};

use super::{hertz, roundings};
use crate::common::Random;
use crate::common::complex::{C, c};
use crate::common::impedances::{capacitor, gamma_of, half_a_ratio, henries, ohms, word};
use crate::common::law::near;

struct Bench {
    ratio: f64,
    leakage: f64,
    magnetising: f64,
}

impl Bench {
    /// Γ with this resistor on the secondary.
    fn gamma(&self, resistor: f64, f: f64) -> C {
        let w = core::f64::consts::TAU * f;
        let r = self.ratio * resistor;
        let across = c(0.0, w * self.magnetising);
        gamma_of(
            across * c(r, 0.0) / (across + c(r, 0.0)) + c(0.0, w * self.leakage),
            50.0,
        )
    }

    /// The standard deviations of ratio, leakage and magnetising inductance, relative, for noise of 1 on each component
    /// of Γ: the inverse of the information matrix (Cramér and Rao), with derivatives by differences.
    fn deviations(&self, resistor: f64) -> [f64; 3] {
        let moved = |share: [f64; 3]| Bench {
            ratio: self.ratio * (1.0 + share[0]),
            leakage: self.leakage * (1.0 + share[1]),
            magnetising: self.magnetising * (1.0 + share[2]),
        };
        let h = 1e-4;
        let mut n = [[0.0; 3]; 3];
        for f in frequencies() {
            let slope = [[h, 0.0, 0.0], [0.0, h, 0.0], [0.0, 0.0, h]].map(|share| {
                let minus = share.map(|s| -s);
                let (a, b) = (moved(share).gamma(resistor, f), moved(minus).gamma(resistor, f));
                (a - b).times(0.5 / h)
            });
            for i in 0..3 {
                for j in 0..3 {
                    n[i][j] += slope[i].re * slope[j].re + slope[i].im * slope[j].im;
                }
            }
        }
        let minor = |i: usize, j: usize| {
            let (a, b, c, d) = ((i + 1) % 3, (i + 2) % 3, (j + 1) % 3, (j + 2) % 3);
            n[a][c] * n[b][d] - n[a][d] * n[b][c]
        };
        let determinant: f64 = (0..3).map(|j| n[0][j] * minor(0, j)).sum();
        [0, 1, 2].map(|i| (minor(i, i) / determinant).sqrt())
    }
}

fn frequencies() -> impl Iterator<Item = f64> {
    (0..117).map(|step| 1e6 + 0.25e6 * f64::from(step))
}

/// A sweep of 1 to 30 MHz with a resistor on the secondary, and noise.
fn sweep<A: Arithmetic>(
    bench: &Bench,
    resistor: f64,
    sigma: f64,
    random: &mut Random,
) -> Vec<(Hertz, Reflection<A>)> {
    frequencies()
        .map(|f| {
            let gamma = bench.gamma(resistor, f) + c(random.normal(), random.normal()).times(sigma);
            (hertz(f), Reflection::try_from_f64(gamma.re, gamma.im).unwrap())
        })
        .collect()
}

/// The parameters are recovered to 4.5 standard deviations of what noise of this size on each component of Γ leaves.
fn is_recovered<A: Arithmetic>(
    bench: &Bench,
    resistor: f64,
    points: &[(Hertz, Reflection<A>)],
    sigma: f64,
) -> Result<f64, String> {
    let [ratio, leakage, magnetising] = bench.deviations(resistor).map(|one| 4.5 * one * sigma);
    let fitted = TransformerFit::<A>::sweep(
        word::<Ohms<A>>(resistor),
        Reference::fifty(),
        points.iter().copied(),
    )
    .map_err(|error| error.to_string())?;
    let found = fitted.transformer;
    near(
        "ratio",
        found.impedance_ratio().to_f64() / bench.ratio,
        1.0,
        ratio + half_a_ratio::<A>() + roundings::<A>(),
    )?;
    near(
        "leakage",
        henries(found.leakage()) / bench.leakage,
        1.0,
        leakage + 1e-5,
    )?;
    near(
        "magnetising",
        henries(found.magnetising()) / bench.magnetising,
        1.0,
        magnetising + 1e-7,
    )?;
    if fitted.points != points.len() as u32 {
        return Err(format!("{} points", fitted.points));
    }
    fitted.residual.map(Quantity::to_f64).ok_or("no residual".into())
}

#[test]
fn a_fit_recovers_the_transformer() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(15);
        let quantised = match A::FAMILY {
            Family::Fixed16 => 3e-5,
            Family::Fixed32 => 1e-9,
            Family::F32 | Family::SoftF32 => 1e-7,
            _ => 1e-15,
        };
        for round in 0..40 {
            let resistor = word::<Ohms<A>>(random.between(4.0, 8.0)).to_f64();
            let bench = Bench {
                ratio: random.between(6.0, 10.0),
                leakage: random.between(0.05e-6, 0.3e-6),
                magnetising: random.between(10e-6, 60e-6),
            };
            for sigma in [0.0, 2e-4, 2e-3] {
                let points = sweep::<A>(&bench, resistor, sigma, &mut random);
                let residual = is_recovered(&bench, resistor, &points, sigma.hypot(quantised))
                    .unwrap_or_else(|error| panic!("{:?}, {round}, {sigma}: {error}", A::FAMILY));
                // The residual is the noise put in: |ΔΓ| has two components.
                let floor = 3.0 * quantised;
                let want = sigma * 2f64.sqrt();
                near("residual", residual, want, 0.15 * want + floor).unwrap();
            }
        }
    }
    every_family!(check);
}

#[test]
fn the_fit_checker_can_fail_and_the_residual_tells() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(16);
        let bench = Bench {
            ratio: 9.0,
            leakage: 0.1e-6,
            magnetising: 20e-6,
        };
        let points = sweep::<A>(&bench, 5.5, 0.0, &mut random);
        is_recovered(&bench, 5.5, &points, 2e-5).unwrap();
        let other = Bench {
            ratio: 9.1,
            leakage: 0.1e-6,
            magnetising: 20e-6,
        };
        is_recovered(&other, 5.5, &points, 2e-5).unwrap_err();
        // The wrong resistor gives the wrong ratio.
        is_recovered(&bench, 5.6, &points, 2e-5).unwrap_err();
        // A capacitance that the model does not have shows in the residual.
        let capacitive: Vec<_> = points
            .iter()
            .map(|(f, gamma)| {
                let z = gamma.impedance(Reference::fifty());
                let c = LoadCircuit::<A>::Parallel {
                    resistance: word(5e4),
                    inductance: None,
                    capacitance: capacitor(60e-12),
                };
                (
                    *f,
                    z.in_parallel(c.at(*f).unwrap()).reflection(Reference::fifty()),
                )
            })
            .collect();
        let fitted = TransformerFit::<A>::sweep(
            word::<Ohms<A>>(5.5),
            Reference::fifty(),
            capacitive.iter().copied(),
        );
        // It may even look like a negative leakage.
        if let Ok(fitted) = fitted {
            assert!(fitted.residual.unwrap().to_f64() > 5e-3);
        }
    }
    every_family!(check);
}

#[test]
fn fits_that_cannot_be_made() {
    fn check<A: Arithmetic>() {
        let mut fit = TransformerFit::<A>::new(word::<Ohms<A>>(5.0), Reference::fifty()).unwrap();
        assert_eq!(fit.finish().map(|_| ()), Err(TransformerError::TooFewPoints));
        let gamma = Reflection::<A>::try_from_f64(0.1, 0.2).unwrap();
        assert_eq!(
            fit.push(Hertz::new(0), gamma),
            Err(QuantityError::NotPositive("frequency").into())
        );
        for _ in 0..5 {
            fit.push(hertz(5e6), gamma).unwrap();
        }
        assert_eq!(fit.finish().map(|_| ()), Err(TransformerError::TooFewPoints));
        assert_eq!(
            TransformerFit::<A>::new(word::<Ohms<A>>(0.0), Reference::fifty()).map(|_| ()),
            Err(QuantityError::NotPositive("resistor").into())
        );
        // A capacitor in front in place of a leakage.
        let negative: Vec<_> = (1..40)
            .map(|mhz| {
                let f = Hertz::from_megahertz(mhz);
                let z = ohms::<A>(40.0, -0.4 * f64::from(mhz));
                (f, z.reflection(Reference::fifty()))
            })
            .collect();
        let fitted =
            TransformerFit::<A>::sweep(word::<Ohms<A>>(5.0), Reference::fifty(), negative.iter().copied());
        assert!(
            matches!(
                fitted,
                Err(TransformerError::Unphysical(_) | TransformerError::Undetermined)
            ),
            "{fitted:?}"
        );
    }
    every_family!(check);
}
