//! What the calls of both families have in common. The header's maker reads no macros, so what C sees stands in `fixed.rs`
//! and `float.rs`; what they do stands here, once.

use ohmwright::design::transformer::Turns;
use ohmwright::measure::TuningElement;
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

/// The element of this number.
pub(crate) fn element(element: u32) -> Result<TuningElement, Status> {
    match element {
        0 => Ok(TuningElement::Inductance),
        1 => Ok(TuningElement::Capacitance),
        2 => Ok(TuningElement::Turns),
        3 => Ok(TuningElement::Length),
        _ => Err(Status::BadNumber),
    }
}

/// A pair of turns; none of either for no winding.
pub(crate) fn turns(primary: u8, secondary: u8) -> Result<Option<Turns>, Status> {
    if primary == 0 && secondary == 0 {
        return Ok(None);
    }
    Turns::new(primary, secondary)
        .map(Some)
        .map_err(|_| Status::BadNumber)
}

/// The calls of a family over its structures. `$read` makes the number that C has of a word.
macro_rules! calls {
    (
        $family:ty, $read:expr, $swr:expr,
        $reflection:ident, $readouts:ident, $terms:ident, $settings:ident, $dip:ident, $band:ident, $report:ident,
        $built:ident, $step:ident, $quality:ident
    ) => {
        use ohmwright::design::transformer::Turns;
        use ohmwright::measure::calibration::ErrorTerms;
        use ohmwright::measure::{Action, AddedPart, Built, Dip, NextStep, SweepReport, SweepSettings};
        use ohmwright::quantity::{Component, Hertz, Reactor, Reference, Reflection};

        use crate::analyser::Sweep;
        use crate::calls::{Plain, element, turns};
        use crate::instrument::Number;
        use crate::{Element, PartKind, ROOM, Status, StepKind, Target};

        // What the header checks with the compiler of the firmware.
        const _: () = {
            assert!(size_of::<$readouts>() == crate::READOUTS_BYTES);
            assert!(size_of::<$terms>() == crate::ERROR_TERMS_BYTES);
            assert!(size_of::<$settings>() == crate::SETTINGS_BYTES);
            assert!(size_of::<$dip>() == crate::DIP_BYTES);
            assert!(size_of::<$band>() == crate::BAND_BYTES);
            assert!(size_of::<$report>() == crate::REPORT_BYTES);
            assert!(size_of::<$built>() == crate::BUILT_BYTES);
            assert!(size_of::<$step>() == crate::NEXT_STEP_BYTES);
            assert!(size_of::<$quality>() == crate::QUALITY_BYTES);
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

        fn wanted(settings: $settings) -> Result<SweepSettings<$family>, Status> {
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
            for (place, plain, none) in [
                (
                    &mut wanted.prominence,
                    settings.prominence,
                    unset.prominence,
                ),
                (&mut wanted.noise, settings.noise, unset.noise),
            ] {
                if plain < none {
                    *place = Component::ZERO;
                } else if plain != none {
                    *place = Component::new(Number::of(plain));
                }
            }
            Ok(wanted)
        }

        fn pushed(sweep: &mut Sweep<$family>, frequency_hz: u64, gamma: $reflection) -> Result<(), Status> {
            let (frequency, gamma) = (Hertz::new(frequency_hz), gamma.take()?);
            // Both refuse the same frequencies, and are then unchanged.
            let pushed = sweep.analyser.push(frequency, gamma);
            pushed
                .and_then(|()| sweep.survey.push(frequency, gamma))
                .map_err(|_| Status::OutOfOrder)
        }

        fn decided(sweep: &Sweep<$family>, built: $built) -> Result<NextStep<$family>, Status> {
            let mut wanted = Built::<$family>::new(element(built.element)?);
            let unset = <$built>::default();
            if built.least_factor != unset.least_factor {
                wanted.least_factor = ratio(built.least_factor);
            }
            if built.most_factor != unset.most_factor {
                wanted.most_factor = ratio(built.most_factor);
            }
            wanted.winding = turns(built.winding_primary, built.winding_secondary)?;
            if let Some(most) = turns(built.most_primary, built.most_secondary)? {
                wanted.most_turns = most;
            }
            wanted.is_at_load = built.is_at_load != 0;
            let report = sweep.analyser.report();
            NextStep::new(&report, &sweep.survey, &wanted).map_err(|_| Status::BadNumber)
        }

        fn stepped(sweep: &Sweep<$family>, built: $built) -> Result<$step, Status> {
            let decided = decided(sweep, built)?;
            let mut step = $step {
                reason: decided.reason.into(),
                element: match built.element {
                    1 => Element::Capacitance,
                    2 => Element::Turns,
                    3 => Element::Length,
                    _ => Element::Inductance,
                },
                ..Default::default()
            };
            let turned = |step: &mut $step, turns: Turns| {
                step.primary_turns = turns.primary();
                step.secondary_turns = turns.secondary();
            };
            let added = |step: &mut $step, added: AddedPart<$family>| {
                step.part_place = added.place.into();
                (step.part_kind, step.part_value) = match added.part {
                    Reactor::Inductor(coil) => (PartKind::Inductor, coil.get()),
                    Reactor::Capacitor(capacitor) => (PartKind::Capacitor, capacitor.get()),
                };
            };
            step.kind = match decided.action {
                Action::Leave => StepKind::Leave,
                Action::Move(retune) => {
                    step.direction = retune.direction.into();
                    step.factor = $swr(retune.factor.get());
                    StepKind::Move
                }
                Action::Turns(turns) => {
                    turned(&mut step, turns);
                    StepKind::Turns
                }
                Action::Part(part) => {
                    added(&mut step, part);
                    StepKind::Part
                }
                Action::TurnsAndPart(turns, part) => {
                    turned(&mut step, turns);
                    added(&mut step, part);
                    StepKind::TurnsAndPart
                }
                Action::SweepWider { toward, until } => {
                    step.toward = toward.into();
                    step.until_hz = until.get();
                    StepKind::SweepWider
                }
                Action::NoDip => StepKind::NoDip,
                Action::MeasureAgain => StepKind::MeasureAgain,
                Action::TakeOutLine => StepKind::TakeOutLine,
                _ => StepKind::Other,
            };
            if let Some(expected) = decided.expected {
                step.swr_expected = $swr(expected.swr.get());
                step.swr_least = $swr(expected.least.get());
                step.swr_most = $swr(expected.most.get());
            }
            Ok(step)
        }

        fn judged(sweep: &Sweep<$family>) -> $quality {
            let quality = sweep.survey.quality(&sweep.analyser.report());
            let mut all = $quality {
                noise: $read(quality.noise.get()),
                spoilt: quality.spoilt,
                beyond_rim: quality.beyond_rim,
                unresolved: quality.unresolved,
                too_coarse: quality.too_coarse.into(),
                uncorrected: quality.uncorrected.into(),
                ..Default::default()
            };
            if let Some(ripple) = quality.ripple {
                all.ripple_period_hz = ripple.period.get();
                all.ripple_size = $read(ripple.size.get());
            }
            all
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
