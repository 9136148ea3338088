//! Next to the rim, 1 − |Γ| from 1e-7 to 1e-2 in all directions: no digit of 1 − |Γ|² may be lost that single precision
//! holds in Γ. The truth is exact: the components are whole numbers of steps of 2⁻⁶⁰, their squares fit in 128 bits.

use ohmwright::arithmetic::{Arithmetic, SoftF32};
use ohmwright::quantity::{Component, Decibels, Reflection, Swr};

/// What 1 − |Γ|² decides.
#[derive(Clone, Copy, Debug)]
struct Read {
    absorbed: f64,
    swr: f64,
    q: f64,
    mismatch_loss: f64,
}

fn read<A: Arithmetic>(gamma: Reflection<A>) -> Read {
    Read {
        absorbed: gamma.absorbed_share().to_f64(),
        swr: gamma.swr().to_f64(),
        q: gamma.q().to_f64(),
        mismatch_loss: gamma.mismatch_loss().to_f64(),
    }
}

/// 1 − |Γ|² in steps of 2⁻¹²⁰, exact; `None` where a component has digits below 2⁻⁶⁰.
fn passive((re, im): (f64, f64)) -> Option<i128> {
    let steps = |part: f64| {
        let steps = part * 2f64.powi(60);
        (steps.fract() == 0.0).then_some(steps as i128)
    };
    let (re, im) = (steps(re)?, steps(im)?);
    Some((1 << 120) - re * re - im * im)
}

fn truth((re, im): (f64, f64), passive: i128) -> Read {
    let absorbed = passive as f64 * 2f64.powi(-120);
    let sum = 1.0 + re.hypot(im);
    Read {
        absorbed,
        swr: sum * sum / absorbed,
        q: 2.0 * im.abs() / absorbed,
        mismatch_loss: -10.0 * absorbed.log10(),
    }
}

/// The largest errors, relative: share absorbed, SWR, Q, mismatch loss.
fn errors(got: Read, want: Read) -> [f64; 4] {
    let off = |got: f64, want: f64| {
        if want == 0.0 {
            got.abs()
        } else {
            (got / want - 1.0).abs()
        }
    };
    [
        off(got.absorbed, want.absorbed),
        off(got.swr, want.swr),
        off(got.q, want.q),
        off(got.mismatch_loss, want.mismatch_loss),
    ]
}

/// Γ of single precision near the rim: every direction in steps of a third of a degree, directions next to the axes, and
/// twenty sizes of each decade.
fn points() -> impl Iterator<Item = (f32, f32)> {
    let turns = (0..1_080).map(|third| f64::from(third) / 1_080.0);
    let next_to_axes = (0..4).flat_map(|axis| {
        (10..=70).flat_map(move |half_octaves| {
            let aside = 2f64.powf(-f64::from(half_octaves) / 4.0);
            [aside, -aside].map(|aside| f64::from(axis) / 4.0 + aside)
        })
    });
    turns.chain(next_to_axes).flat_map(|turn| {
        (0..=100).map(move |step| {
            let size = 1.0 - 10f64.powf(-7.0 + f64::from(step) / 20.0);
            let (up, across) = (turn * core::f64::consts::TAU).sin_cos();
            ((size * across) as f32, (size * up) as f32)
        })
    })
}

/// The largest errors in each decade of 1 − |Γ|, with a way to read Γ.
fn worst_by_decade(read: impl Fn(f32, f32) -> Read) -> [[f64; 4]; 5] {
    let mut worst = [[0f64; 4]; 5];
    let mut count = 0;
    for (re, im) in points() {
        let held = (f64::from(re), f64::from(im));
        let Some(passive) = passive(held).filter(|passive| *passive > 0) else {
            continue;
        };
        let want = truth(held, passive);
        // Rounding to single precision has moved some of them nearer than 1e-7.
        let decade = (7.0 + (want.absorbed / 2.0).log10()).clamp(0.0, 4.0) as usize;
        for (worst, error) in worst[decade].iter_mut().zip(errors(read(re, im), want)) {
            *worst = worst.max(error);
        }
        count += 1;
    }
    assert!(count > 100_000, "{count}");
    worst
}

fn show(name: &str, worst: &[[f64; 4]; 5]) {
    for (decade, [absorbed, swr, q, loss]) in worst.iter().enumerate() {
        println!(
            "{name}, 1 − |Γ| from 1e-{}: 1 − |Γ|² {absorbed:.2e}, SWR {swr:.2e}, Q {q:.2e}, mismatch loss {loss:.2e}",
            7 - decade
        );
    }
}

fn right_to_the_rim<A: Arithmetic>(most: [f64; 4]) {
    let worst = worst_by_decade(|re, im| {
        let of = Reflection::<A>::try_from_f64(re.into(), im.into());
        read(of.expect("both parts are below 1"))
    });
    show(&format!("{:?} (at most {most:?})", A::FAMILY), &worst);
    for decade in worst {
        for (error, most) in decade.into_iter().zip(most) {
            assert!(error < most, "{:?}: {error:e}, not {most:e}", A::FAMILY);
        }
    }
}

#[test]
fn f32_is_right_to_the_rim() {
    right_to_the_rim::<f32>([1.2e-7, 3e-7, 2e-7, 3e-7]);
}

#[test]
fn soft_f32_is_right_to_the_rim() {
    // In decibels, the error of the table of integers.
    right_to_the_rim::<SoftF32>([1.2e-7, 2.5e-7, 1.5e-7, 2e-5]);
}

/// Which side of the rim Γ is on, between neighbours of single precision.
fn the_side<A: Arithmetic>() {
    let (mut passive_ones, mut active_ones) = (0, 0);
    for turn in 0..20_000 {
        let (up, across) = (f64::from(turn) / 20_000.0 * core::f64::consts::TAU).sin_cos();
        let (re, im) = (across as f32, up as f32);
        let held = (f64::from(re), f64::from(im));
        let Some(passive) = passive(held).filter(|passive| passive.abs() > 1 << 72) else {
            continue;
        };
        let gamma = Reflection::<A>::try_from_f64(held.0, held.1).unwrap();
        assert_eq!(gamma.is_active(), passive < 0, "{:?} {re:e} {im:e}", A::FAMILY);
        assert_eq!(gamma.swr() == Swr::<A>::MAX, passive <= 0);
        assert_eq!(gamma.mismatch_loss() == Decibels::<A>::MAX, passive <= 0);
        assert_eq!(gamma.absorbed_share() > Component::<A>::ZERO, passive > 0);
        if passive > 0 {
            passive_ones += 1;
        } else {
            active_ones += 1;
        }
    }
    assert!(
        passive_ones > 5_000 && active_ones > 5_000,
        "{passive_ones} {active_ones}"
    );
}

#[test]
fn the_side_is_right_between_neighbours() {
    the_side::<f32>();
    the_side::<f64>();
    the_side::<SoftF32>();
}

/// Control: the usual ways in single precision are seen to fail.
#[test]
fn a_lost_digit_is_noticed() {
    let plain = |factor: fn(f32, f32) -> f32| {
        worst_by_decade(move |re, im| {
            let passive = factor(re, im);
            let sum = 1.0 + re.hypot(im);
            Read {
                absorbed: passive.into(),
                swr: f64::from(sum * sum / passive),
                q: f64::from(2.0 * im.abs() / passive),
                mismatch_loss: -10.0 * f64::from(passive).log10(),
            }
        })
    };
    let squared = plain(|re, im| 1.0 - (re * re + im * im));
    let factored = plain(|re, im| {
        let (large, small) = (re.abs().max(im.abs()), re.abs().min(im.abs()));
        (1.0 - large) * (1.0 + large) - small * small
    });
    show("squared", &squared);
    show("factored", &factored);
    for lossy in [squared, factored] {
        assert!(lossy[0][1] > 0.01 && lossy[1][1] > 1e-3 && lossy[4][1] > 1e-6);
    }
}
