//! The analyser and the mask: any sequence of frequencies and Γ, in each family.

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::{
    MaskCheck, MaskSegment, MaskVerdict, SweepAnalyser, SweepReport, SweepSettings, Target,
};
use ohmwright::quantity::{Hertz, Reference, Reflection, Swr};

use super::{Bytes, Family, check_reflection, number};

/// So many points of an input are looked at: more than twice the widest window of the analyser, and more dips and
/// bands than it has places for. Beyond, an input costs time and reaches no line that a shorter one does not.
const POINTS: usize = 32;

/// So many reports are asked for on the way; each costs more than the points before it.
const REPORTS: usize = 2;

pub fn run(data: &[u8]) {
    sweep::<f64, 3>(data);
    sweep::<f32, 1>(data);
    sweep::<Fixed32, 3>(data);
    sweep::<Fixed16, 3>(data);
}

fn settings<A: Family>(bytes: &mut Bytes<'_>) -> SweepSettings<A> {
    let flags = bytes.byte();
    SweepSettings {
        reference: Reference::try_from_f64(if flags & 1 == 0 { 50.0 } else { 75.0 }).unwrap(),
        swr_limit: Swr::try_from_f64(1.0 + bytes.short() as f64 / 4096.0).unwrap(),
        target: (flags & 2 != 0).then(|| Hertz::new(bytes.word() as u64)),
        prominence: A::in_steps((bytes.short() >> 3) as i16),
        noise: A::in_steps(i16::from(flags >> 2) << 5),
    }
}

fn sweep<A: Family, const N: usize>(data: &[u8]) {
    let mut bytes = Bytes::new(data);
    let settings = settings::<A>(&mut bytes);
    let mut analyser = SweepAnalyser::<A, N>::new(settings).expect("settings in range");
    let low = bytes.word() as u64;
    let segments = [low, low / 2].map(|low| MaskSegment {
        low: Hertz::new(low),
        high: Hertz::new(low + bytes.word() as u64),
        swr_limit: settings.swr_limit,
    });
    let mut mask = MaskCheck::<A, 2>::new(&segments).expect("stretches in order");

    let falling = bytes.byte() & 1 == 1;
    let mut frequency = if falling { u64::MAX / 2 } else { 0 };
    let mut gamma = Reflection::<A>::MATCHED;
    let (mut taken, mut lowest, mut highest) = (0, u64::MAX, 0);
    let (mut points, mut reports) = (0, 0);
    while !bytes.is_empty() && points < POINTS {
        points += 1;
        let how = bytes.byte();
        let step = match how & 3 {
            0 => 1_000,
            1 => bytes.short() as u64,
            2 => bytes.word() as u64,
            _ => {
                frequency = bytes.long();
                0
            }
        };
        frequency = if falling {
            frequency.wrapping_sub(step)
        } else {
            frequency.wrapping_add(step)
        };
        if how & 4 == 0 {
            let parts = if how & 8 == 0 {
                [bytes.short(), bytes.short()].map(|bits| A::in_steps(bits as i16))
            } else {
                [bytes.long(), bytes.long()].map(A::component)
            };
            match Reflection::new(parts[0], parts[1]) {
                Ok(made) => gamma = made,
                Err(_) => continue,
            }
        }
        let place = Hertz::new(frequency);
        let pushed = analyser.push(place, gamma);
        assert_eq!(pushed, mask.push(place, gamma));
        if pushed.is_ok() {
            taken += 1;
            (lowest, highest) = (lowest.min(frequency), highest.max(frequency));
        }
        if how & 16 != 0 && reports < REPORTS {
            reports += 1;
            check(&analyser.report(), taken, lowest, highest);
        }
    }
    let report = analyser.report();
    check(&report, taken, lowest, highest);
    // Asking changes nothing.
    assert_eq!(format!("{report:?}"), format!("{:?}", analyser.report()));
    for (verdict, segment) in mask.report().verdicts().iter().zip(&segments) {
        match verdict {
            MaskVerdict::NotCovered => {}
            MaskVerdict::Pass(worst) | MaskVerdict::Fail(worst) => {
                assert!((segment.low..=segment.high).contains(&worst.frequency));
                check_reflection(worst.reflection);
            }
        }
    }
}

fn check<A: Arithmetic, const N: usize>(report: &SweepReport<A, N>, taken: u32, lowest: u64, highest: u64) {
    assert_eq!(report.points(), taken);
    assert_eq!(
        report.best().is_some(),
        taken > 0,
        "{taken} {lowest} {highest} {report:?}"
    );
    if taken == 0 {
        assert!(report.dips().is_empty() && report.bands().is_empty() && report.resonances().is_empty());
        return;
    }
    let (start, stop) = (Hertz::new(lowest), Hertz::new(highest));
    assert_eq!((report.start(), report.stop()), (start, stop));
    let inside = |frequency: Hertz| {
        assert!(
            start <= frequency && frequency <= stop,
            "{frequency} in {report:?}"
        )
    };

    if let Some(best) = report.best() {
        inside(best.frequency);
        check_reflection(best.reflection);
        assert!(number(best.swr()) >= 1.0);
    }
    for dip in report.dips() {
        inside(dip.frequency);
        check_reflection(dip.reflection);
    }
    assert!(
        report
            .dips()
            .windows(2)
            .all(|pair| pair[0].frequency <= pair[1].frequency)
    );
    assert!(report.dips_left_out() == 0 || report.dips().len() == N);

    for band in report.bands() {
        inside(band.low);
        inside(band.high);
        assert!(band.low <= band.high);
    }
    assert!(
        report.bands().windows(2).all(|pair| pair[0].high < pair[1].low),
        "{report:?}"
    );

    for resonance in report.resonances() {
        inside(resonance.frequency);
        number(resonance.resistance);
        assert!(number(resonance.q) >= 0.0);
    }
    assert!(
        report
            .resonances()
            .windows(2)
            .all(|pair| pair[0].frequency <= pair[1].frequency)
    );
    if let Target::Reading(reading) = report.target() {
        inside(reading.frequency);
        check_reflection(reading.reflection);
    }
}
