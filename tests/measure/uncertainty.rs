//! A reading with what is known of its error: the truth lies within what is told, and what is told is not much wider.

use core::f64::consts::TAU;

use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::measure::calibration::Residual;
use ohmwright::measure::{Certainty, Uncertainty};
use ohmwright::quantity::{Decibels, QuantityError, Reflection};

use crate::common::complex::{C, c, polar};
use crate::common::fixture::distort;
use crate::common::impedances::{gamma_held, gamma_word, half_a_step, word};
use crate::common::{Random, deep};

fn residual<A: Arithmetic>(terms: [f64; 3]) -> Residual<A> {
    let [directivity, source, tracking] = terms.map(word::<ohmwright::quantity::Component<A>>);
    Residual::new(directivity, source, tracking).unwrap()
}

fn swr(rho: f64) -> f64 {
    if rho < 1.0 {
        (1.0 + rho) / (1.0 - rho)
    } else {
        f64::INFINITY
    }
}

/// A corrector with the residual errors at their largest, in phases by chance, is between the truth and the reading.
fn the_truth_is_within<A: Arithmetic>() {
    let mut random = Random::new(17);
    let (mut nearest, mut cases) = (0.0f64, 0);
    for _ in 0..if deep() { 200_000 } else { 4_000 } {
        let sizes = [
            random.decades(1e-3, 0.1),
            random.decades(1e-3, 0.1),
            random.decades(1e-3, 0.1),
        ]
        .map(f64::abs);
        let residual = residual::<A>(sizes);
        // The errors as the words hold them.
        let held = [residual.directivity, residual.source_match, residual.tracking].map(|term| term.to_f64());
        let phase = |random: &mut Random| random.between(0.0, TAU);
        // A third of the cases in the worst phases: all errors in line with the load.
        let (truth, terms) = if random.bits().is_multiple_of(3) {
            let truth = polar(random.between(0.0, 0.9), phase(&mut random));
            let along = if truth.size() > 0.0 {
                truth.times(1.0 / truth.size())
            } else {
                c(1.0, 0.0)
            };
            (
                truth,
                [
                    along.times(-held[0]),
                    along.conjugate().times(-held[1]),
                    c(-held[2], 0.0),
                ],
            )
        } else {
            let truth = polar(random.between(0.0, 1.0), phase(&mut random));
            (truth, held.map(|size| polar(size, phase(&mut random))))
        };
        let [leak, source, tracking] = terms;
        let reading = gamma_word::<A>(distort([leak, source, c(1.0, 0.0) + tracking], truth));
        let uncertainty = Uncertainty::new().with_residual(residual);
        let slack = 2.0 * half_a_step::<A>() + 4e-6;
        let away = (gamma_held(reading) - truth).size();
        let Some(most) = uncertainty.distance(reading) else {
            panic!("{sizes:?} {truth:?}: no bound")
        };
        assert!(
            away <= most.to_f64() + slack,
            "{sizes:?} {truth:?}: {away} {most:?}"
        );
        nearest = nearest.max(away / most.to_f64());
        cases += 1;
        // The same of SWR and return loss.
        let told = uncertainty.swr(reading);
        let (low, high) = (
            told.low.to_f64(),
            told.high.map_or(f64::INFINITY, Quantity::to_f64),
        );
        let rho = truth.size();
        assert!(low <= swr(rho + slack) + 2e-5, "{rho} {told:?}");
        assert!(
            high * (1.0 + 1e-5) + 2e-5 >= swr((rho - slack).max(0.0)),
            "{rho} {told:?}"
        );
        let (least, most) = uncertainty.return_loss(reading);
        let loss = |rho: f64| -20.0 * rho.log10();
        assert!(
            least.to_f64() <= loss(rho - slack) + 1e-3 || rho <= slack,
            "{rho} {least:?}"
        );
        assert!(most.to_f64() >= loss(rho + slack) - 1e-3, "{rho} {most:?}");
        // And of the verdict: what is certain is so.
        let limit = random.between(1.05, 4.0);
        let kept = swr(rho) <= limit;
        match uncertainty
            .judge(reading, word::<ohmwright::quantity::Swr<A>>(limit))
            .unwrap()
        {
            Certainty::Within => assert!(swr((rho - slack).max(0.0)) <= limit + 2e-5, "{rho} {limit}"),
            Certainty::Beyond => assert!(!kept || swr(rho + slack) >= limit - 2e-5, "{rho} {limit}"),
            Certainty::Undecided => assert!(
                low <= limit + 2e-5 && high >= limit - 2e-5,
                "{rho} {limit} {told:?}"
            ),
        }
    }
    println!("of the distance told, at most {nearest:.3} was reached in {cases} cases");
    // The bound is not wider than it must be.
    assert!(nearest > 0.97, "{nearest}");
}

/// Noise alone: a Gamma within three standard deviations in all but about one of a hundred readings.
fn noise_is_covered<A: Arithmetic>() {
    let mut random = Random::new(18);
    let sigma = 0.004;
    let uncertainty = Uncertainty::<A>::new()
        .with_noise(word::<ohmwright::quantity::Component<A>>(sigma))
        .unwrap();
    let (mut outside, mut beyond, cases) = (0u32, 0u32, 20_000);
    for _ in 0..cases {
        let truth = polar(random.between(0.1, 0.8), random.between(0.0, TAU));
        let reading = gamma_word::<A>(
            truth
                + C {
                    re: sigma * random.normal(),
                    im: sigma * random.normal(),
                },
        );
        let most = uncertainty.distance(reading).unwrap().to_f64();
        outside += u32::from((gamma_held(reading) - truth).size() > most);
        let told = uncertainty.swr(reading);
        let high = told.high.map_or(f64::INFINITY, Quantity::to_f64);
        beyond += u32::from(swr(truth.size()) < told.low.to_f64() || swr(truth.size()) > high);
    }
    let rate = |count: u32| f64::from(count) / f64::from(cases);
    println!("{:.4} outside, {:.4} of the SWR", rate(outside), rate(beyond));
    // 1.11 % and 0.27 % (of the normal distribution, at three sigma).
    assert!((0.008..0.014).contains(&rate(outside)), "{}", rate(outside));
    assert!((0.0014..0.0042).contains(&rate(beyond)), "{}", rate(beyond));
}

/// What a directivity makes of a return loss, against -20 lg of |Gamma| and the leak added and taken off: 40 dB and 20 dB give
/// 19.172 and 20.915 dB, 30 dB and 20 dB give 17.613 and 23.302 dB (common practice, no source).
fn directivity_alone<A: Arithmetic>() {
    for (directivity, low, high) in [
        (40.0, 19.172_146_3, 20.915_149_8),
        (30.0, 17.613_379_0, 23.301_770_8),
    ] {
        let none = word::<Decibels<A>>(200.0);
        let residual = Residual::from_decibels(word(directivity), none, none).unwrap();
        let uncertainty = Uncertainty::<A>::new().with_residual(residual);
        let told = uncertainty.return_loss(gamma_word(c(0.06, 0.08)));
        // A word of 16 bits holds 0.1 and the leak to 6e-5.
        let slack = 20.0 * (2.0 * half_a_step::<A>() / 0.06).ln_1p() / core::f64::consts::LN_10 + 3e-4;
        assert!((told.0.to_f64() - low).abs() < slack, "{told:?} {low}");
        assert!((told.1.to_f64() - high).abs() < slack, "{told:?} {high}");
    }
}

/// An exact reading stands for itself; without a bound the SWR may be anything; what is no size is refused.
fn at_the_edges<A: Arithmetic>() {
    let exact = Uncertainty::<A>::new();
    let gamma = gamma_word::<A>(c(0.3, -0.4));
    let told = exact.swr(gamma);
    assert_eq!((told.low, told.high), (gamma.swr(), Some(gamma.swr())));
    assert_eq!(
        exact.return_loss(gamma),
        (gamma.return_loss(), gamma.return_loss())
    );
    assert_eq!(exact.judge(gamma, gamma.swr()), Ok(Certainty::Within));
    assert_eq!(exact.swr(Reflection::OPEN).high, None);
    // A tracking that may be wrong by its own size.
    let wild = Uncertainty::new().with_residual(residual::<A>([0.1, 0.1, 1.0]));
    assert_eq!(wild.distance(gamma), None);
    let told = wild.swr(gamma);
    assert_eq!((told.low.to_f64(), told.high), (1.0, None));
    assert_eq!(wild.return_loss(gamma), (Decibels::MIN, Decibels::MAX));
    assert_eq!(
        wild.judge(gamma, word::<ohmwright::quantity::Swr<A>>(3.0)),
        Ok(Certainty::Undecided)
    );
    let negative = word::<ohmwright::quantity::Component<A>>(-0.1);
    assert!(matches!(
        exact.with_noise(negative),
        Err(QuantityError::Negative("noise"))
    ));
    let zero = word::<ohmwright::quantity::Component<A>>(0.0);
    assert!(Residual::new(zero, negative, zero).is_err());
    assert!(Residual::<A>::from_decibels(word(-1.0), word(1.0), word(1.0)).is_err());
    assert!(
        exact
            .judge(gamma, word::<ohmwright::quantity::Swr<A>>(0.5))
            .is_err()
    );
}

in_every_family!(
    the_truth_is_within,
    noise_is_covered,
    directivity_alone,
    at_the_edges
);
