//! A sweep against a mask, judged by the true circuit: a resistance, a coil and a capacitor in series.
//!
//! The circuits are invented. Z = R + j(ωL − 1/(ωC)) is textbook circuit theory.

use crate::common::{Random, allowance};
use ohmwright::arithmetic::accuracy::{Family, Readout};
use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::measure::{MaskCheck, MaskSegment, MaskVerdict, SweepError, WorstPoint};
use ohmwright::quantity::{Hertz, QuantityError, Reflection, Swr};

/// A series circuit by its resistance, resonance and Q, on 50 Ω.
#[derive(Clone, Copy, Debug)]
struct Circuit {
    resistance: f64,
    resonance: f64,
    q: f64,
}

impl Circuit {
    fn gamma(&self, hertz: u64) -> (f64, f64) {
        let f = hertz as f64;
        // ωL = R·Q·f/f0 and 1/(ωC) = R·Q·f0/f
        let x = self.resistance * self.q * (f / self.resonance - self.resonance / f);
        let (r, z0) = (self.resistance, 50.0);
        let below = (r + z0).powi(2) + x * x;
        (((r - z0) * (r + z0) + x * x) / below, 2.0 * x * z0 / below)
    }

    fn reflection<A: Arithmetic>(&self, hertz: u64) -> Reflection<A> {
        let (re, im) = self.gamma(hertz);
        Reflection::try_from_f64(re, im).unwrap()
    }

    fn swr(&self, hertz: u64) -> f64 {
        let (re, im) = self.gamma(hertz);
        let size = re.hypot(im);
        (1.0 + size) / (1.0 - size)
    }
}

/// SWR 1.25 at 14 MHz; SWR 2 about 270 kHz away.
const PLAIN: Circuit = Circuit {
    resistance: 40.0,
    resonance: 14e6,
    q: 20.0,
};

/// 13 to 15 MHz in steps of 50 kHz.
fn plain_grid() -> Vec<u64> {
    (0..=40).map(|k| 13_000_000 + k * 50_000).collect()
}

/// Between the points the answer comes from a curve through five of them; this is what it may be off, relative.
const BETWEEN: f64 = 5e-4;

fn segment<A: Arithmetic>(low: u64, high: u64, swr_limit: f64) -> MaskSegment<A> {
    MaskSegment {
        low: Hertz::new(low),
        high: Hertz::new(high),
        swr_limit: Swr::<A>::try_from_f64(swr_limit).unwrap(),
    }
}

fn verdicts<A: Arithmetic>(circuit: Circuit, grid: &[u64], mask: &[MaskSegment<A>]) -> Vec<MaskVerdict<A>> {
    let mut check = MaskCheck::<A, 8>::new(mask).unwrap();
    for hertz in grid {
        check
            .push(Hertz::new(*hertz), circuit.reflection(*hertz))
            .unwrap();
    }
    let report = check.report();
    let passes = report
        .verdicts()
        .iter()
        .all(|verdict| matches!(verdict, MaskVerdict::Pass(_)));
    assert_eq!(report.passes(), passes && !mask.is_empty());
    report.verdicts().to_vec()
}

/// The verdict that the circuit itself gives: over the points within the stretch and its two ends.
fn is_true<A: Arithmetic>(
    circuit: Circuit,
    grid: &[u64],
    stretch: &MaskSegment<A>,
    verdict: &MaskVerdict<A>,
) -> Result<(), String> {
    let (low, high, limit) = (stretch.low.get(), stretch.high.get(), stretch.swr_limit.to_f64());
    let (first, last) = (*grid.iter().min().unwrap(), *grid.iter().max().unwrap());
    let complain = |why: &str| Err(format!("{why}: {circuit:?} {stretch:?} {verdict:?}"));
    if low < first || high > last {
        return match verdict {
            MaskVerdict::NotCovered => Ok(()),
            _ => complain("not covered"),
        };
    }
    let inside = grid.iter().copied().filter(|f| (low..=high).contains(f));
    let worst = inside
        .chain([low, high])
        .map(|f| circuit.swr(f))
        .fold(1.0, f64::max);
    let point: &WorstPoint<A> = match verdict {
        MaskVerdict::NotCovered => return complain("is covered"),
        MaskVerdict::Pass(point) | MaskVerdict::Fail(point) => point,
    };
    let close = |got: f64, want: f64| (got - want).abs() <= BETWEEN * want * want;
    if !close(point.reflection.swr().to_f64(), worst) {
        return complain(&format!("worst is {worst}"));
    }
    // It is told where that SWR is.
    if !(low..=high).contains(&point.frequency.get()) || !close(circuit.swr(point.frequency.get()), worst) {
        return complain("the place");
    }
    let passes = matches!(verdict, MaskVerdict::Pass(_));
    if !close(worst, limit) && passes != (worst <= limit) {
        return complain(&format!("{worst} against the limit"));
    }
    Ok(())
}

fn random_circuits<A: Arithmetic>() -> Result<(), String> {
    let mut random = Random::new(2026);
    for _ in 0..1500 {
        let circuit = Circuit {
            resistance: random.between(15.0, 150.0),
            resonance: random.between(13.6e6, 14.4e6),
            q: random.between(5.0, 25.0),
        };
        // Uneven steps of 20 to 60 kHz.
        let mut grid = vec![13_000_000];
        while grid[grid.len() - 1] < 15_000_000 {
            grid.push(grid[grid.len() - 1] + random.between(2e4, 6e4) as u64);
        }
        if random.bits().is_multiple_of(2) {
            grid.reverse();
        }
        let mask: Vec<MaskSegment<A>> = (0..8)
            .map(|_| {
                let low = random.between(12.95e6, 15.05e6) as u64;
                let high = low + random.between(0.0, 4e5) as u64;
                segment(low, high, random.between(1.0, 5.0))
            })
            .collect();
        for (stretch, verdict) in mask.iter().zip(&verdicts(circuit, &grid, &mask)) {
            is_true(circuit, &grid, stretch, verdict)?;
        }
    }
    Ok(())
}

#[test]
fn random_masks_over_random_circuits() {
    every_family!(random_circuits().unwrap());
}

#[test]
fn the_checker_can_fail() {
    fn check<A: Arithmetic>() {
        let grid = plain_grid();
        let stretch = segment::<A>(13_930_000, 14_080_000, 1.5);
        let [verdict] = verdicts(PLAIN, &grid, &[stretch])[..] else {
            panic!("one")
        };
        let MaskVerdict::Pass(point) = verdict else {
            panic!("{verdict:?}")
        };
        is_true(PLAIN, &grid, &stretch, &verdict).unwrap();
        is_true(PLAIN, &grid, &stretch, &MaskVerdict::Fail(point)).unwrap_err();
        is_true(PLAIN, &grid, &stretch, &MaskVerdict::NotCovered).unwrap_err();
        // Another circuit, another limit, less of a sweep.
        let other = Circuit { q: 22.0, ..PLAIN };
        is_true(other, &grid, &stretch, &verdict).unwrap_err();
        is_true(PLAIN, &grid, &segment(13_930_000, 14_080_000, 1.2), &verdict).unwrap_err();
        is_true(PLAIN, &grid[20..], &stretch, &verdict).unwrap_err();
        // The right SWR at the wrong place, and the other way round.
        let mut place = point;
        place.frequency = Hertz::new(14_000_000);
        is_true(PLAIN, &grid, &stretch, &MaskVerdict::Pass(place)).unwrap_err();
        let mut figure = point;
        figure.reflection = PLAIN.reflection(14_000_000);
        is_true(PLAIN, &grid, &stretch, &MaskVerdict::Pass(figure)).unwrap_err();
    }
    every_family!(check);
}

/// All points of the stretch are within the limit, and only its end, between two points, is over it.
#[test]
fn an_end_between_two_points_decides() {
    fn check<A: Arithmetic>() {
        let grid = plain_grid();
        let (inside, end) = (14_250_000, 14_290_000);
        let limit = (PLAIN.swr(inside) + PLAIN.swr(end)) / 2.0;
        for (low, high) in [(13_990_000, end), (28_000_000 - end, 14_010_000)] {
            let stretch = segment::<A>(low, high, limit);
            for grid in [grid.clone(), grid.iter().rev().copied().collect()] {
                let found = verdicts(
                    PLAIN,
                    &grid,
                    &[stretch, segment(low, high, PLAIN.swr(end) * 1.05)],
                );
                is_true(PLAIN, &grid, &stretch, &found[0]).unwrap();
                let MaskVerdict::Fail(worst) = found[0] else {
                    panic!("{found:?}")
                };
                assert_eq!(worst.frequency.get(), if high == end { high } else { low });
                assert!(matches!(found[1], MaskVerdict::Pass(_)));
            }
            // Without the end, the points alone would pass.
            let points = segment::<A>(low.max(13_750_000), high.min(inside), limit);
            let [found] = verdicts(PLAIN, &grid, &[points])[..] else {
                panic!("one")
            };
            assert!(matches!(found, MaskVerdict::Pass(_)), "{found:?}");
        }
    }
    every_family!(check);
}

#[test]
fn nothing_is_extrapolated() {
    fn check<A: Arithmetic>() {
        let mask = [
            segment::<A>(12_999_999, 14_000_000, 50.0),
            segment(14_000_000, 15_000_001, 50.0),
            segment(12_000_000, 16_000_000, 50.0),
            segment(1_000_000, 2_000_000, 50.0),
            segment(20_000_000, 20_000_000, 50.0),
            // To the ends themselves.
            segment(13_000_000, 15_000_000, 50.0),
        ];
        let mut grid = plain_grid();
        for _ in 0..2 {
            let found = verdicts(PLAIN, &grid, &mask);
            assert!(
                found[..5]
                    .iter()
                    .all(|verdict| *verdict == MaskVerdict::NotCovered),
                "{found:?}"
            );
            assert!(matches!(found[5], MaskVerdict::Pass(_)), "{found:?}");
            grid.reverse();
        }
        // No sweep at all, and a sweep of one point.
        let all = [
            mask[5],
            segment(14_000_000, 14_000_000, 1.5),
            segment(14_000_000, 14_000_001, 1.5),
        ];
        assert_eq!(verdicts(PLAIN, &[], &all), [MaskVerdict::NotCovered; 3]);
        let found = verdicts(PLAIN, &[14_000_000], &all);
        assert_eq!(
            (found[0], found[2]),
            (MaskVerdict::NotCovered, MaskVerdict::NotCovered)
        );
        assert!(matches!(found[1], MaskVerdict::Pass(_)));
        // A mask without stretches passes nothing.
        assert!(verdicts::<A>(PLAIN, &grid, &[]).is_empty());
    }
    every_family!(check);
}

#[test]
fn a_stretch_of_one_frequency() {
    fn check<A: Arithmetic>() {
        let mut grid = plain_grid();
        for _ in 0..2 {
            // On a point and between two, under and over the limit; the first and the last point.
            for hertz in [
                13_000_000, 13_800_000, 13_812_345, 14_000_000, 14_000_001, 14_999_999, 15_000_000,
            ] {
                let swr = PLAIN.swr(hertz);
                let mask = [
                    segment::<A>(hertz, hertz, swr * 1.05),
                    segment(hertz, hertz, swr / 1.05),
                ];
                let found = verdicts(PLAIN, &grid, &mask);
                let [MaskVerdict::Pass(one), MaskVerdict::Fail(other)] = found[..] else {
                    panic!("{found:?}")
                };
                assert_eq!(one, other);
                assert_eq!(one.frequency.get(), hertz);
                if grid.contains(&hertz) {
                    assert_eq!(one.reflection, PLAIN.reflection(hertz));
                }
            }
            grid.reverse();
        }
    }
    every_family!(check);
}

/// Each stretch is judged as if it stood alone, and falling sweeps as rising ones.
#[test]
fn overlapping_stretches_and_falling_sweeps() {
    fn check<A: Arithmetic>() {
        let mask = [
            segment::<A>(13_760_000, 14_240_000, 2.0),
            segment(13_900_000, 14_300_000, 1.8),
            segment(13_900_000, 14_300_000, 2.5),
            segment(14_000_000, 14_000_000, 1.3),
            segment(13_990_000, 14_010_000, 1.2),
            segment(14_900_000, 15_100_000, 9.0),
        ];
        let rising = plain_grid();
        let falling: Vec<u64> = rising.iter().rev().copied().collect();
        let (up, down) = (verdicts(PLAIN, &rising, &mask), verdicts(PLAIN, &falling, &mask));
        for (place, stretch) in mask.iter().enumerate() {
            is_true(PLAIN, &rising, stretch, &up[place]).unwrap();
            is_true(PLAIN, &falling, stretch, &down[place]).unwrap();
            assert_eq!(
                core::mem::discriminant(&up[place]),
                core::mem::discriminant(&down[place])
            );
            assert_eq!(verdicts(PLAIN, &rising, &[*stretch]), [up[place]]);
        }
        let kinds: String = up
            .iter()
            .map(|verdict| match verdict {
                MaskVerdict::Pass(_) => 'p',
                MaskVerdict::Fail(_) => 'f',
                MaskVerdict::NotCovered => 'n',
            })
            .collect();
        assert_eq!(kinds, "pfppfn");
    }
    every_family!(check);
}

/// What an SWR must be above a limit for a family to tell, where a thousandth is too little: in 16 bits half a step of |Γ|
/// is lost when Γ is made (d SWR/d|Γ| = (SWR + 1)²/2), and the readout has its own error.
fn beyond<A: Arithmetic>(swr: f64) -> f64 {
    if A::FAMILY == Family::Fixed16 {
        allowance::<A>(Readout::Reflection, 1.0) * (swr + 1.01).powi(2) / 2.0
            + allowance::<A>(Readout::Swr, swr)
    } else {
        0.0
    }
}

/// Whoever reads an SWR of 1.5 under a limit of 1.5 sees it pass; total reflection passes no limit.
#[test]
fn at_the_limit_itself() {
    fn check<A: Arithmetic>() {
        let judge = |gamma: Reflection<A>, swr_limit: Swr<A>| {
            let stretch = MaskSegment {
                low: Hertz::new(5),
                high: Hertz::new(5),
                swr_limit,
            };
            let mut check = MaskCheck::<A, 1>::new(&[stretch]).unwrap();
            check.push(Hertz::new(5), gamma).unwrap();
            check.report().passes()
        };
        let mut at_limit = 0;
        for hundredths in 100..=1000 {
            let swr = f64::from(hundredths) / 100.0;
            let limit = Swr::<A>::try_from_f64(swr).unwrap();
            let gamma = Reflection::try_from_f64((swr - 1.0) / (swr + 1.0), 0.0).unwrap();
            // Rounding Γ to the family may have taken it over the limit, and its SWR says so then.
            if gamma.swr() <= limit {
                assert!(judge(gamma, limit), "{swr} in {:?}", A::FAMILY);
                at_limit += 1;
            }
            assert!(judge(gamma, gamma.swr()), "{swr} in {:?}", A::FAMILY);
            let over = swr + 0.001 + beyond::<A>(swr);
            let above = Reflection::try_from_f64(0.0, (over - 1.0) / (over + 1.0)).unwrap();
            assert!(!judge(above, limit), "{swr} in {:?}", A::FAMILY);
        }
        assert!(at_limit > 400, "{at_limit}");
        let highest = Swr::<A>::try_from_f64(65_535.0).unwrap();
        // In 16 bits an open is the largest component, with an SWR near the end of its word.
        for total in [
            Reflection::OPEN,
            Reflection::SHORT,
            Reflection::try_from_f64(-0.9, 0.5).unwrap(),
        ] {
            assert!(!judge(total, highest), "{total:?}");
        }
    }
    every_family!(check);
    // The end of the fixed word is both the SWR of an open and the highest limit.
    let end = segment::<Fixed32>(5, 5, 65_536.0 - 1.0 / 65_536.0);
    let mut check = MaskCheck::<Fixed32, 1>::new(&[end]).unwrap();
    check.push(Hertz::new(5), Reflection::OPEN).unwrap();
    assert!(matches!(check.report().verdicts(), [MaskVerdict::Fail(_)]));
}

#[test]
fn masks_that_are_refused() {
    fn check<A: Arithmetic>() {
        let refused = |mask: &[MaskSegment<A>]| MaskCheck::<A, 2>::new(mask).map(|_| ()).unwrap_err();
        let good = segment::<A>(5, 6, 1.0);
        assert!(MaskCheck::<A, 2>::new(&[good, good]).is_ok());
        assert!(MaskCheck::<A, 0>::new(&[]).is_ok());
        assert_eq!(
            refused(&[good, good, good]),
            QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "number of intervals",
                rule: "must not be above the capacity of the check"
            })
        );
        assert_eq!(
            refused(&[good, segment(6, 5, 2.0)]),
            QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "upper end",
                rule: "must not be below the lower end"
            })
        );
        for low in [0.999, 0.5, 0.0] {
            assert_eq!(
                refused(&[segment(5, 6, low)]),
                QuantityError::BelowOne("SWR limit")
            );
        }
    }
    every_family!(check);
    for swr_limit in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let stretch = MaskSegment {
            swr_limit: swr_limit.into(),
            ..segment::<f64>(5, 6, 2.0)
        };
        let refused = MaskCheck::<f64, 2>::new(&[stretch]).map(|_| ()).unwrap_err();
        assert_eq!(refused, QuantityError::NotFinite("SWR limit"));
    }
}

/// A refused point leaves everything as it was, and the sweep can go on.
#[test]
fn points_that_are_refused() {
    fn check<A: Arithmetic>() {
        let mask = [
            segment::<A>(13_800_000, 14_210_000, 2.0),
            segment(13_990_000, 14_010_000, 1.3),
        ];
        for rising in [true, false] {
            let mut grid = plain_grid();
            if !rising {
                grid.reverse();
            }
            let mut check = MaskCheck::<A, 2>::new(&mask).unwrap();
            for (place, hertz) in grid.iter().enumerate() {
                check.push(Hertz::new(*hertz), PLAIN.reflection(*hertz)).unwrap();
                let before = format!("{check:?}");
                let last = Hertz::new(*hertz);
                assert_eq!(
                    check.push(last, Reflection::OPEN),
                    Err(SweepError::Repeated(last))
                );
                if place > 0 {
                    let refused = Hertz::new(if rising { hertz - 1 } else { hertz + 1 });
                    let error = Err(SweepError::OutOfOrder { last, refused });
                    assert_eq!(check.push(refused, Reflection::OPEN), error);
                }
                assert_eq!(format!("{check:?}"), before);
                // A report in between changes nothing either.
                let _ = check.report();
                assert_eq!(format!("{check:?}"), before);
            }
            assert_eq!(check.report().verdicts(), verdicts(PLAIN, &grid, &mask));
        }
    }
    every_family!(check);
}
