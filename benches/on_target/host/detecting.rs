//! What the kernels of the detectors are fed with, all of it invented, and what must come out, in double precision.

use std::f64::consts::TAU;

use ohmwright::arithmetic::Fixed32;

use crate::detectors::{BIN, BLOCK, Diode};
use crate::points::Complex;
use crate::table::Timed;
use crate::truth::Format;

/// A hundred blocks: a strong reference and what comes back of it, at the bin of the kernel and at a quarter of the rate,
/// with an offset and a little noise.
pub fn blocks() -> Vec<[[i16; 2]; BLOCK]> {
    let mut state = 12_345u32;
    let mut noise = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(state >> 8) / f64::from(1u32 << 24) * 8.0 - 4.0
    };
    (0..100)
        .map(|k| {
            let gamma = Complex::polar(f64::from(k) / 100.0, f64::from(k) * 0.7);
            let start = f64::from(k) * 0.31;
            let bins = [BIN as f64, BLOCK as f64 / 4.0];
            let mut n = 0.0;
            [(); BLOCK].map(|()| {
                let wave = |size: f64, turn: f64| {
                    bins.iter()
                        .map(|bin| 12_000.0 * size * (TAU * bin * n / BLOCK as f64 + start + turn).cos())
                        .sum::<f64>()
                };
                let frame = [
                    wave(1.0, 0.0) + 150.0 + noise(),
                    wave(gamma.size(), gamma.im.atan2(gamma.re)) - 90.0 + noise(),
                ];
                n += 1.0;
                frame.map(|value| value.round() as i16)
            })
        })
        .collect()
}

/// A thousand readings of two channels: |Γ| up to 0.97, the reference between a tenth and nine tenths of the range.
pub fn phasors() -> Vec<[i32; 4]> {
    (0..1000)
        .map(|k| {
            let k = f64::from(k);
            let reference = Complex::polar(3_500.0 + 26.0 * k, 1.1 * k);
            let reflected = reference * Complex::polar((0.00097 * k).min(0.97), 2.3 * k);
            [reference.re, reference.im, reflected.re, reflected.im].map(|part| part.round() as i32)
        })
        .collect()
}

/// A thousand readings of two diodes.
pub fn levels() -> Vec<[i32; 2]> {
    (0..1000)
        .map(|k| [800 + 30 * k, 11 + 26 * (k * 377 % 1000)])
        .collect()
}

/// Whether it is looked after here.
pub fn is_of_a_detector(kernel: Timed) -> bool {
    matches!(
        kernel,
        Timed::Demodulate | Timed::DemodulateQuarter | Timed::VectorReflection | Timed::ScalarReflection
    )
}

/// Checks one answer against the textbook's formula.
pub fn check(kernel: Timed, format: Format, input: &[u32], answer: &[u32]) -> Result<(), String> {
    let close = |got: f64, want: f64, allowed: f64| {
        if (got - want).abs() <= allowed || got == want {
            Ok(())
        } else {
            Err(format!("{got} instead of {want}, where {allowed:e} is allowed"))
        }
    };
    let length = |wanted: usize| {
        if answer.len() == wanted {
            Ok(())
        } else {
            Err(format!("{} words instead of {wanted}", answer.len()))
        }
    };
    match kernel {
        Timed::Demodulate | Timed::DemodulateQuarter => {
            length(4)?;
            let quarter = kernel == Timed::DemodulateQuarter;
            let bin = if quarter { BLOCK / 4 } else { BIN };
            // 48 products of up to 2³⁰ are cut by five places.
            let scale = if quarter { 1.0 } else { 32_767.0 / 32.0 };
            for channel in 0..2 {
                let mut sum = Complex::new(0.0, 0.0);
                for (n, sample) in input[channel..].iter().step_by(2).enumerate() {
                    let angle = -TAU * (bin * n % BLOCK) as f64 / BLOCK as f64;
                    sum = sum + Complex::polar(f64::from(*sample as i32) * scale, angle);
                }
                // A twentieth of a count of amplitude, 24 of which make the sum.
                let allowed = if quarter { 1e-6 } else { 0.05 * 24.0 * scale };
                close(f64::from(answer[2 * channel] as i32), sum.re, allowed)?;
                close(f64::from(answer[2 * channel + 1] as i32), sum.im, allowed)?;
            }
        }
        Timed::VectorReflection => {
            length(2)?;
            let at = |place: usize| {
                Complex::new(f64::from(input[place] as i32), f64::from(input[place + 1] as i32))
            };
            let gamma = at(2) / at(0);
            let allowed = match format.component {
                Some(14) => 3.1e-5,
                Some(_) => 1.3e-8,
                None => 2e-7,
            };
            close(format.component_of(answer[0]), gamma.re, allowed)?;
            close(format.component_of(answer[1]), gamma.im, allowed)?;
        }
        _ => {
            length(4)?;
            let volts = |counts: u32| {
                let counts = counts as i32;
                let table = <Fixed32 as Diode>::TABLE;
                let place = table
                    .iter()
                    .filter(|point| point.0 <= counts)
                    .count()
                    .min(table.len() - 1);
                let (low, high) = (table[place - 1], table[place]);
                let (least, most) = (low.1.to_f64(), high.1.to_f64());
                least + (most - least) * f64::from(counts - low.0) / f64::from(high.0 - low.0)
            };
            let rho = volts(input[1]) / volts(input[0]);
            let leak = 10f64.powf(-28.0 / 20.0);
            let most = if format.component.is_some() {
                65_536.0
            } else {
                f64::INFINITY
            };
            let end = match format.component {
                Some(14) => 2.0 - 2f64.powi(-14),
                Some(_) => 2.0 - 2f64.powi(-30),
                None => f64::INFINITY,
            };
            let allowed = match format.component {
                Some(14) => 3.1e-5,
                Some(_) => 2e-8 * (1.0 + rho),
                None => 5e-7 * rho,
            };
            close(format.component_of(answer[0]), rho.min(end), allowed)?;
            for (word, rho) in answer[1..].iter().zip([rho, (rho - leak).max(0.0), rho + leak]) {
                let swr = (1.0 + rho) / (1.0 - rho);
                let want = if rho < 1.0 { swr.min(most) } else { most };
                // The quotient loses what 1 − ρ cancels.
                let allowed = if want.is_finite() {
                    1e-5 + want * want * 1e-6
                } else {
                    0.0
                };
                close(format.ratio_of(*word), want, allowed)?;
            }
        }
    }
    Ok(())
}
