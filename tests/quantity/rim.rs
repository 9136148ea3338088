//! Around the rim and beyond it: what the readouts of one Γ say of it agrees, in every family, for |Γ| from 0.9 to 4.
//!
//! The truth is computed in pairs of doubles from Γ as the family holds it. A Γ that a family cannot hold is refused by
//! name if it is given as numbers, and saturated, and told to be, if it is worked out from an impedance.

use crate::common::impedances::gamma_held;
use crate::common::law::{Law, require};
use crate::common::{Truth, is_fixed, truth, within};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::arithmetic::accuracy::{Family, Readout, bound};
use ohmwright::quantity::{Component, Decibels, Impedance, QuantityError, Reference, Reflection, Swr};

in_every_family!(the_readouts_agree, impedances_beyond_the_rim);

/// What one Γ says of itself.
#[derive(Clone, Copy, Debug)]
struct Said {
    family: Family,
    gamma: (f64, f64),
    active: bool,
    total: bool,
    saturated: bool,
    magnitude: f64,
    swr: f64,
    swr_is_largest: bool,
    return_loss: f64,
    mismatch_is_largest: bool,
    reflected: f64,
    absorbed: f64,
    resistance: f64,
    open: bool,
}

fn say<A: Arithmetic>(gamma: Reflection<A>) -> Said {
    let z = gamma.impedance(Reference::fifty());
    let held = gamma_held(gamma);
    Said {
        family: A::FAMILY,
        gamma: (held.re, held.im),
        active: gamma.is_active(),
        total: gamma.is_total(),
        saturated: gamma.is_saturated(),
        magnitude: gamma.magnitude().to_f64(),
        swr: gamma.swr().to_f64(),
        swr_is_largest: gamma.swr() == Swr::<A>::MAX,
        return_loss: gamma.return_loss().to_f64(),
        mismatch_is_largest: gamma.mismatch_loss() == Decibels::<A>::MAX,
        reflected: gamma.reflected_share().to_f64(),
        absorbed: gamma.absorbed_share().to_f64(),
        resistance: z.resistance().to_f64(),
        open: z.is_open(),
    }
}

/// The end of the family's range of a component.
fn end(family: Family) -> f64 {
    match family {
        Family::Fixed32 => 2.0 - 2f64.powi(-30),
        Family::Fixed16 => 2.0 - 2f64.powi(-14),
        _ => 1_048_576.0,
    }
}

/// What the readouts say of each other, whatever Γ is; and whether the side of the rim is the true one.
fn rim_law(said: &Said, truth: &Truth) -> Law {
    let need = |holds: bool, what: &str| require(holds, || format!("{what}: {said:?}, {truth:?}"));
    // Where floating point cannot tell the side, it must still be of one mind. What rounds to 1 may do so from either
    // side, in fixed point too.
    let rounding = |readout| bound(readout, said.family).allowance(1.0, 1.0);
    let (size, share) = (rounding(Readout::Magnitude), rounding(Readout::ReflectedShare));
    let blind = bound(Readout::Swr, said.family).rim * 2.0;
    if truth.passive == 0.0 || truth.passive.abs() > blind {
        need(said.active == (truth.passive < 0.0), "active")?;
        need(said.total == (truth.passive <= 0.0), "total")?;
    }
    need(said.total || !said.active, "active, not total")?;
    need(said.total == said.mismatch_is_largest, "total and mismatch loss")?;
    need(!said.total || said.swr_is_largest, "total with an SWR")?;
    // Fixed point ends at 65,536.
    need(
        said.total || !said.swr_is_largest || said.family.is_fixed() && truth.swr > 65_000.0,
        "an SWR that is infinite inside",
    )?;
    if said.active {
        need(said.return_loss <= 0.0, "active with a return loss")?;
        need(said.absorbed <= 0.0, "active, yet it takes power")?;
        need(said.resistance <= 0.0 || said.open, "active with a resistance")?;
        need(said.magnitude >= 1.0 - size, "active and small")?;
        need(said.reflected >= 1.0 - share, "active and reflects a part")?;
    } else {
        need(said.return_loss >= 0.0, "passive with a return gain")?;
        need(said.absorbed >= 0.0, "passive, yet it gives power")?;
        need(said.resistance >= 0.0, "passive with a negative resistance")?;
        need(said.magnitude <= 1.0 + size, "passive and large")?;
        need(said.reflected <= 1.0 + share, "passive and reflects more")?;
    }
    if said.total && !said.active {
        need(said.return_loss == 0.0, "on the rim with a loss")?;
        need(said.absorbed == 0.0, "on the rim, yet it takes power")?;
        need(
            said.open || said.resistance == 0.0,
            "on the rim with a resistance",
        )?;
    }
    let (re, im) = said.gamma;
    need(
        said.saturated == (re.abs().max(im.abs()) >= end(said.family)),
        "saturated",
    )
}

/// The values besides, to the table of bounds and within their words.
fn values_law<A: Arithmetic>(said: &Said, truth: &Truth) -> Law {
    let held = |value: f64| value.clamp(Component::<A>::MIN.to_f64(), Component::<A>::MAX.to_f64());
    for (readout, got, want) in [
        (Readout::Magnitude, said.magnitude, held(truth.magnitude)),
        (Readout::ReflectedShare, said.reflected, held(truth.share)),
        (Readout::AbsorbedShare, said.absorbed, held(truth.passive)),
        (Readout::ReturnLoss, said.return_loss, truth.return_loss),
        (Readout::Swr, said.swr, truth.swr.min(Swr::<A>::MAX.to_f64())),
    ] {
        within(readout, A::FAMILY, got, want, want.abs(), truth.passive)
            .map_err(|message| format!("{message}: {said:?}"))?;
    }
    Ok(())
}

/// Sizes from 0.9 to 4, more of them at 1, at the ends of the words and at √3, where the share absorbed ends.
fn sizes() -> Vec<f64> {
    let mut sizes: Vec<f64> = (0..=310).map(|step| 0.9 + step as f64 / 100.0).collect();
    for middle in [1.0, 2.0, 3f64.sqrt(), 8f64.sqrt()] {
        sizes.push(middle);
        for power in [4, 7, 10, 13, 14, 15, 17, 20, 23, 24, 27, 30, 40, 52] {
            sizes.push(middle + 2f64.powi(-power));
            sizes.push(middle - 2f64.powi(-power));
        }
    }
    sizes
}

/// Every whole degree, and the axes exactly.
fn directions() -> impl Iterator<Item = (f64, f64)> {
    let axes = [
        (1.0, 0.0),
        (0.0, 1.0),
        (-1.0, 0.0),
        (0.0, -1.0),
        (0.6, 0.8),
        (-0.8, 0.6),
    ];
    (0..360)
        .map(|degrees: i32| f64::from(degrees).to_radians())
        .map(|angle| (angle.cos(), angle.sin()))
        .chain(axes)
}

fn the_readouts_agree<A: Arithmetic>() {
    let (mut inside, mut beyond, mut refused) = (0u32, 0u32, 0u32);
    for size in sizes() {
        for (x, y) in directions() {
            let (re, im) = (size * x, size * y);
            // Refused where a part rounds to more than the word has, and only there.
            let gamma = match Reflection::<A>::try_from_f64(re, im) {
                Ok(gamma) => gamma,
                Err(error) => {
                    assert!(matches!(error, QuantityError::OutOfRange(_)), "{error}");
                    let largest = re.abs().max(im.abs());
                    assert!(is_fixed::<A>() && largest >= end(A::FAMILY), "{re} {im}");
                    refused += 1;
                    continue;
                }
            };
            let held = gamma_held(gamma);
            let (said, truth) = (say(gamma), truth(held.re, held.im));
            rim_law(&said, &truth)
                .and_then(|()| values_law::<A>(&said, &truth))
                .unwrap();
            if said.active {
                beyond += 1;
            } else {
                inside += 1;
            }
        }
    }
    println!(
        "{:?}: {inside} passive, {beyond} active, {refused} refused",
        A::FAMILY
    );
    assert!(inside > 9_000 && beyond > 70_000, "{inside} {beyond}");
    assert_eq!(refused > 0, is_fixed::<A>());
}

/// Loads with a negative resistance, among them −100 Ω (Γ = 3 on 50 Ω) and −50 Ω (no Γ at all): a load that gives power
/// is active in every family, and one that Γ cannot hold is told to be saturated.
fn impedances_beyond_the_rim<A: Arithmetic>() {
    let reference = Reference::<A>::fifty();
    let resistances = [
        0.5, 1.0, 5.0, 10.0, 16.0, 17.0, 20.0, 40.0, 49.0, 50.0, 51.0, 75.0, 100.0, 149.0, 151.0, 200.0, 1e3,
        1e4,
    ];
    let mut saturated = 0;
    for resistance in resistances {
        for reactance in [0.0, 0.25, -10.0, 25.0, -50.0, 75.0, -200.0, 1000.0] {
            for sign in [-1.0, 1.0] {
                let z = Impedance::<A>::try_from_f64(sign * resistance, reactance).unwrap();
                let gamma = z.reflection(reference);
                let held = gamma_held(gamma);
                let said = say(gamma);
                rim_law(&said, &truth(held.re, held.im)).unwrap();
                assert_eq!(said.active, sign < 0.0, "{z:?} gives {said:?}");
                // Γ = (Z − Z0)/(Z + Z0) by the textbook.
                let below = (sign * resistance + 50.0).powi(2) + reactance * reactance;
                let (re, im) = (
                    (resistance * resistance - 2500.0 + reactance * reactance) / below,
                    100.0 * reactance / below,
                );
                let largest = re.abs().max(im.abs());
                let step = if is_fixed::<A>() { 2f64.powi(-13) } else { 1.0 };
                if below == 0.0 || largest > end(A::FAMILY) + step {
                    assert!(said.saturated, "{z:?} gives {said:?}");
                    saturated += 1;
                } else if largest < end(A::FAMILY) - step {
                    assert!(!said.saturated, "{z:?} gives {said:?}");
                }
            }
        }
    }
    println!("{:?}: {saturated} saturated", A::FAMILY);
    // −50 Ω in every family; a good many more in fixed point.
    assert_eq!(saturated > 20, is_fixed::<A>());
    assert!(saturated >= 1);
}

/// Control: each readout that says something else than the others is noticed, on either side of the rim and on it.
#[test]
fn a_readout_that_disagrees_is_noticed() {
    fn check<A: Arithmetic>() {
        for (re, im) in [(0.75, -0.5), (0.0, 1.0), (-1.25, 0.5)] {
            let said = say(Reflection::<A>::try_from_f64(re, im).unwrap());
            let truth = truth(re, im);
            rim_law(&said, &truth).unwrap();
            values_law::<A>(&said, &truth).unwrap();
            let side = if said.active { 1.0 } else { -1.0 };
            for wrong in [
                Said {
                    active: !said.active,
                    ..said
                },
                Said {
                    total: !said.total,
                    ..said
                },
                Said {
                    saturated: !said.saturated,
                    ..said
                },
                Said {
                    swr_is_largest: !said.swr_is_largest,
                    ..said
                },
                Said {
                    mismatch_is_largest: !said.mismatch_is_largest,
                    ..said
                },
                Said {
                    return_loss: side * 0.1,
                    ..said
                },
                Said {
                    absorbed: side * 0.1,
                    ..said
                },
                Said {
                    resistance: side,
                    ..said
                },
                Said {
                    magnitude: 1.0 - side * 0.1,
                    ..said
                },
                Said {
                    reflected: 1.0 - side * 0.1,
                    ..said
                },
            ] {
                assert!(rim_law(&wrong, &truth).is_err(), "{wrong:?}");
            }
            // A load of −100 Ω as the largest component below 1, which is neither total nor active.
            let clipped = say(Reflection::<A>::try_from_f64(0.999, 0.0).unwrap());
            assert!(rim_law(&clipped, &crate::common::truth(3.0, 0.0)).is_err());
        }
    }
    every_family!(check);
}
