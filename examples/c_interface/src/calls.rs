//! What the calls of both families have in common. The header's maker reads no macros, so what C sees stands in `fixed.rs`
//! and `float.rs`; what they do stands here, once.

use ohmwright::quantity::Reflection;

use crate::Status;
use crate::analyser::Family;

/// A reflection coefficient as C has it.
pub(crate) trait Plain<A: Family>: Copy {
    fn take(self) -> Result<Reflection<A>, Status>;
    fn of(gamma: Reflection<A>) -> Self;
}

/// A pointer that may be followed: not null, and aligned. (A reference would have to be both before anyone could ask.)
pub(crate) fn usable<T>(place: *const T) -> Result<(), Status> {
    if place.is_null() {
        Err(Status::NullPointer)
    } else if !place.is_aligned() {
        Err(Status::Misaligned)
    } else {
        Ok(())
    }
}

/// Puts the value in its place, or says why not.
///
/// # Safety
/// `place` is null, misaligned, or points to one that the caller may write.
pub(crate) unsafe fn done<T>(place: *mut T, value: Result<T, Status>) -> Status {
    match usable(place).and(value) {
        Err(status) => status,
        Ok(value) => {
            // SAFETY: the caller's promise, and what was checked.
            unsafe { place.write(value) };
            Status::Done
        }
    }
}

/// The calls of a family over its structures. `$read` makes the number that C has of a word.
macro_rules! calls {
    (
        $family:ty, $read:expr, $swr:expr,
        $reflection:ident, $readouts:ident, $terms:ident, $settings:ident, $dip:ident, $band:ident, $report:ident
    ) => {
        use ohmwright::measure::calibration::ErrorTerms;
        use ohmwright::measure::{Dip, SweepAnalyser, SweepReport, SweepSettings};
        use ohmwright::quantity::{Hertz, Reference, Reflection};

        use crate::calls::Plain;
        use crate::{ROOM, Status, Target};

        // What the header checks with the compiler of the firmware.
        const _: () = {
            assert!(size_of::<$readouts>() == crate::READOUTS_BYTES);
            assert!(size_of::<$terms>() == crate::ERROR_TERMS_BYTES);
            assert!(size_of::<$settings>() == crate::SETTINGS_BYTES);
            assert!(size_of::<$dip>() == crate::DIP_BYTES);
            assert!(size_of::<$band>() == crate::BAND_BYTES);
            assert!(size_of::<$report>() == crate::REPORT_BYTES);
            assert!(core::mem::offset_of!($report, target) == crate::REPORT_TARGET_AT);
        };

        fn readouts(gamma: $reflection, reference: Reference<$family>) -> Result<$readouts, Status> {
            let all = gamma.take()?.readouts(reference);
            Ok($readouts {
                magnitude: $read(all.magnitude.get()),
                swr: $swr(all.swr.get()),
                return_loss: $read(all.return_loss.get()),
                mismatch_loss: $read(all.mismatch_loss.get()),
                resistance: $read(all.resistance.get()),
                reactance: $read(all.reactance.get()),
                impedance_magnitude: $read(all.impedance_magnitude.get()),
                phase: $read(all.phase.get()),
                q: $swr(all.q.get()),
            })
        }

        fn corrected(raw: $reflection, terms: $terms) -> Result<$reflection, Status> {
            let terms = ErrorTerms {
                directivity: terms.directivity.take()?,
                source_match: terms.source_match.take()?,
                tracking: terms.tracking.take()?,
            };
            let raw = raw.take()?;
            if !terms.has_tracking() {
                return Err(Status::NoTracking);
            }
            if terms.checked_correct(raw).is_none() {
                return Err(Status::AtPole);
            }
            Ok(Plain::of(terms.correct(raw)))
        }

        fn begun(settings: $settings) -> Result<SweepAnalyser<$family, ROOM>, Status> {
            let mut wanted = SweepSettings::<$family>::default();
            let unset = <$settings>::default();
            if settings.reference != unset.reference {
                wanted.reference = ohms(settings.reference)?;
            }
            if settings.swr_limit != unset.swr_limit {
                wanted.swr_limit = swr(settings.swr_limit);
            }
            if settings.target_hz != 0 {
                wanted.target = Some(Hertz::new(settings.target_hz));
            }
            SweepAnalyser::new(wanted).map_err(|_| Status::BadNumber)
        }

        fn pushed(
            analyser: &mut SweepAnalyser<$family, ROOM>,
            frequency_hz: u64,
            gamma: $reflection,
        ) -> Result<(), Status> {
            analyser
                .push(Hertz::new(frequency_hz), gamma.take()?)
                .map_err(|_| Status::OutOfOrder)
        }

        fn told(report: &SweepReport<$family, ROOM>) -> $report {
            use ohmwright::measure::Target as Found;
            let plain = |gamma: Reflection<$family>| Plain::of(gamma);
            let dip = |dip: &Dip<$family>| $dip {
                frequency_hz: dip.frequency.get(),
                reflection: plain(dip.reflection),
                at_edge: dip.at_edge.into(),
                unresolved: dip.unresolved.is_some().into(),
            };
            let mut all = $report {
                points: report.points(),
                dips_left_out: report.dips_left_out(),
                bands_left_out: report.bands_left_out(),
                spoilt: (report.spoilt().len() as u32).saturating_add(report.spoilt_left_out()),
                beyond_rim: report.beyond_rim(),
                fast_turns: report.fast_turns(),
                ..Default::default()
            };
            if let Some(best) = report.best() {
                all.best = dip(&best);
            }
            for (place, found) in all.dips.iter_mut().zip(report.dips()) {
                *place = dip(found);
                all.dip_count += 1;
            }
            for (place, found) in all.bands.iter_mut().zip(report.bands()) {
                *place = $band {
                    low_hz: found.low.get(),
                    high_hz: found.high.get(),
                    low_open: found.low_open.into(),
                    high_open: found.high_open.into(),
                };
                all.band_count += 1;
            }
            all.target = match report.target() {
                Found::NotAsked => Target::NotAsked,
                Found::NotCovered(_) => Target::NotCovered,
                Found::Reading(reading) => {
                    all.target_reflection = plain(reading.reflection);
                    if reading.pass {
                        Target::Pass
                    } else {
                        Target::Fail
                    }
                }
            };
            all
        }
    };
}
pub(crate) use calls;
