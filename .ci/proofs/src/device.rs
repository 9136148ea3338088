//! Everything a device would call, in one family of numbers.
//!
//! Not called: the Touchstone text layer, which reads decimal numbers by way of `core`, where panics can be reached;
//! and `Debug`, which is for hosts.

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::design::transformer::{
    MagnitudeRule, Remedy, Turns, TurnsChoice, TurnsRanking, wanted_impedance_ratio,
};
use ohmwright::measure::balance::{Balance, BalanceLimits, Phasor};
use ohmwright::measure::{
    Diagnosis, ErrorTerms, FrequencyPlan, MaskCheck, MaskSegment, Printed, Reading, Refinement, Retune,
    SweepAnalyser, SweepReport, SweepSettings, Target, TuningElement, agreement, swr_interval,
};
use ohmwright::quantity::{
    Admittance, Capacitance, Hertz, Impedance, Inductance, ParallelForm, Reactor, Reference, Reflection,
};

use crate::unknown::{Unknown, any, beginning, keep, one_of, show, text};
use crate::{calibrating, detecting, networks, plans};

/// A family whose words may come from outside.
pub trait Words:
    Arithmetic<
        Component: Unknown,
        Ohms: Unknown,
        Siemens: Unknown,
        Ratio: Unknown,
        Decibels: Unknown,
        Degrees: Unknown,
        InductanceWord: Unknown,
        CapacitanceWord: Unknown,
        Volts: Unknown,
        Amperes: Unknown,
        Watts: Unknown,
        Metres: Unknown,
    >
{
}

impl<A> Words for A where
    A: Arithmetic<
            Component: Unknown,
            Ohms: Unknown,
            Siemens: Unknown,
            Ratio: Unknown,
            Decibels: Unknown,
            Degrees: Unknown,
            InductanceWord: Unknown,
            CapacitanceWord: Unknown,
            Volts: Unknown,
            Amperes: Unknown,
            Watts: Unknown,
            Metres: Unknown,
        >
{
}

/// A result of a constructor; the error is shown, as a device would.
pub(crate) fn take<T, E: core::fmt::Display>(result: Result<T, E>, otherwise: T) -> T {
    result.unwrap_or_else(|error| {
        show(error);
        otherwise
    })
}

pub(crate) fn gamma<A: Words>() -> Reflection<A> {
    take(Reflection::new(any(), any()), Reflection::MATCHED)
}

pub(crate) fn reference<A: Words>() -> Reference<A> {
    take(Reference::new(any()), Reference::fifty())
}

pub(crate) fn impedance<A: Words>() -> Impedance<A> {
    take(Impedance::new(any(), any()), Impedance::OPEN)
}

pub(crate) fn inductance<A: Words>() -> Inductance<A> {
    take(Inductance::new(any()), Inductance::from_picohenries(any()))
}

pub(crate) fn capacitance<A: Words>() -> Capacitance<A> {
    take(Capacitance::new(any()), Capacitance::from_femtofarads(any()))
}

/// The readouts of Γ, one by one and together.
#[inline(never)]
pub fn readouts<A: Words>() {
    let (gamma, z0) = (gamma::<A>(), reference::<A>());
    keep(gamma.magnitude());
    keep(gamma.swr());
    keep(gamma.return_loss());
    keep(gamma.mismatch_loss());
    keep(gamma.impedance(z0));
    keep(gamma.impedance_magnitude(z0));
    keep(gamma.phase());
    keep(gamma.q());
    keep(gamma.reflected_share());
    keep((gamma.is_total(), gamma.is_active()));
    keep(gamma.readouts(z0));
}

/// A raw reading corrected for its fixture.
#[inline(never)]
pub fn correction<A: Words>() {
    let terms = ErrorTerms::<A> {
        directivity: gamma(),
        source_match: gamma(),
        tracking: gamma(),
    };
    keep(terms.correct(gamma()));
    keep(ErrorTerms::PERFECT.correct(gamma::<A>()));
}

/// Γ of an impedance.
#[inline(never)]
pub fn reflection_of_impedance<A: Words>() {
    keep(impedance::<A>().reflection(reference()));
}

/// Reflections, impedances, admittances and parts.
#[inline(never)]
pub fn quantities<A: Words>() {
    let (gamma, z0) = (gamma::<A>(), reference::<A>());
    keep(gamma.conjugate());
    keep(gamma.change_reference(z0, reference()));
    keep(gamma == Reflection::SHORT || gamma == Reflection::OPEN);

    let z = impedance::<A>();
    keep((z.is_open(), z.magnitude(), z.q(), z.conjugate()));
    keep(z.admittance());
    keep(z.parallel_form());
    keep(z.in_series(impedance()));
    keep(z.in_parallel(impedance()));
    keep(take(z.power_wave_reflection(impedance()), Reflection::MATCHED));
    keep(take(z.share_taken_from(impedance()), A::Component::ZERO));
    let form = ParallelForm::<A> {
        resistance: any(),
        reactance: any(),
    };
    keep(form.series_form());
    let y = take(Admittance::<A>::new(any(), any()), Admittance::OPEN);
    keep((y.is_short(), y.impedance()));

    let frequency: Hertz = any();
    show(frequency);
    keep(Hertz::from_kilohertz(any()).max(Hertz::from_megahertz(any())));
    let (coil, capacitor) = (inductance::<A>(), capacitance::<A>());
    keep((coil.get(), capacitor.get()));
    keep((coil.reactance(frequency), capacitor.reactance(frequency)));
    keep(take(Inductance::<A>::with_reactance(any(), frequency), coil));
    keep(take(Inductance::resonant_with(capacitor, frequency), coil));
    keep(take(
        Capacitance::<A>::with_reactance(any(), frequency),
        capacitor,
    ));
    keep(take(Capacitance::resonant_with(coil, frequency), capacitor));
    if let Some(part) = Reactor::<A>::with_reactance(any(), frequency) {
        keep(part.reactance(any()));
    }
}

/// The calls that are meant for hosts, since they take or give doubles.
#[inline(never)]
pub fn doubles<A: Words>() {
    keep(take(
        Reflection::<A>::try_from_f64(any(), any()),
        Reflection::MATCHED,
    ));
    keep(take(Impedance::<A>::try_from_f64(any(), any()), Impedance::OPEN));
    keep(take(Reference::<A>::try_from_f64(any()), Reference::fifty()));
    keep(take(A::Ratio::try_from_f64(any()), A::Ratio::ZERO));
    keep(take(A::Siemens::try_from_f64(any()), A::Siemens::ZERO));
    keep(take(A::Decibels::try_from_f64(any()), A::Decibels::ZERO));
    keep(any::<A::Ratio>().to_f64());
    let gamma = gamma::<A>();
    keep(gamma.convert::<f32>());
    keep(gamma.convert::<f64>());
    keep(gamma.convert::<Fixed32>());
    keep(gamma.convert::<Fixed16>());
}

/// Transformers.
#[inline(never)]
pub fn design<A: Words>() {
    let turns = take(
        Turns::new(any(), any()),
        Turns::new(1, 1).unwrap_or_else(|_| never()),
    );
    show(turns);
    keep((turns.primary(), turns.secondary()));
    keep(turns.impedance_ratio::<A>());
    keep(turns.seen_from_primary(impedance::<A>()));
    keep(turns.seen_from_secondary(impedance::<A>()));
    keep(turns.balanced_halves::<A>());
    let (load, source) = (impedance::<A>(), reference::<A>());
    keep(take(wanted_impedance_ratio(load, source), A::Ratio::ZERO));
    keep(MagnitudeRule::apply(load, source, any()).ok());
    let frequency = any::<bool>().then(any::<Hertz>);
    let remedy = one_of([Remedy::TurnsAlone, Remedy::SeriesElement], Remedy::ShuntElement);
    if let Ok(choice) = TurnsChoice::new(turns, load, source, frequency) {
        keep(choice.swr(remedy));
        keep(choice);
    }
    ranking::<A, 1>(load, source, frequency, remedy);
    ranking::<A, 3>(load, source, frequency, remedy);
}

fn ranking<A: Words, const K: usize>(
    load: Impedance<A>,
    source: Reference<A>,
    frequency: Option<Hertz>,
    remedy: Remedy,
) {
    match TurnsRanking::<A, K>::new(load, source, frequency, any(), remedy) {
        Ok(ranking) => {
            keep(ranking.remedy());
            keep(ranking.as_slice().first().copied());
        }
        Err(error) => show(error),
    }
}

/// A stand-in for a value of a constructor that cannot fail, without a panic.
pub(crate) fn never<T>() -> T {
    loop {
        keep(());
    }
}

fn settings<A: Words>() -> SweepSettings<A> {
    let mut settings = SweepSettings {
        reference: reference(),
        swr_limit: any(),
        target: any::<bool>().then(any),
        prominence: any(),
    };
    if any() {
        settings = SweepSettings::default();
    }
    settings
}

/// A sweep that is only taken in, with room for four findings of a kind.
#[inline(never)]
pub fn analyser_push<A: Words>() {
    if let Ok(mut analyser) = SweepAnalyser::<A, 4>::new(settings()) {
        while any() {
            if let Err(error) = analyser.push(any(), gamma()) {
                keep(error);
            }
        }
        keep(analyser.points());
        keep(analyser);
    }
}

/// The analyser with this room, push and report.
#[inline(never)]
pub fn analyser<A: Words, const N: usize>() {
    match SweepAnalyser::<A, N>::new(settings()) {
        Err(error) => show(error),
        Ok(mut analyser) => {
            while any() {
                if let Err(error) = analyser.push(any(), gamma()) {
                    show(error);
                }
                keep(analyser.points());
                report(&analyser.report());
            }
        }
    }
}

fn report<A: Words, const N: usize>(report: &SweepReport<A, N>) {
    keep((report.points(), report.start(), report.stop(), report.swr_limit()));
    keep(report.reference());
    if let Some(best) = report.best() {
        keep(best.swr());
        keep(report.impedance(best.reflection));
    }
    for dip in report.dips() {
        keep(*dip);
    }
    for band in report.bands() {
        keep((*band, band.width()));
    }
    for resonance in report.resonances() {
        keep(*resonance);
    }
    keep((
        report.dips_left_out(),
        report.bands_left_out(),
        report.resonances_left_out(),
    ));
    match report.target() {
        Target::Reading(reading) => keep(reading),
        Target::NotCovered(frequency) => keep(frequency),
        Target::NotAsked => keep(()),
    }
}

/// A sweep against a mask.
#[inline(never)]
pub fn mask<A: Words>() {
    let segment = |_| MaskSegment::<A> {
        low: any(),
        high: any(),
        swr_limit: any(),
    };
    // One more than there is room for.
    let segments = [0; 4].map(segment);
    match MaskCheck::<A, 3>::new(beginning(&segments)) {
        Err(error) => show(error),
        Ok(mut check) => {
            while any() {
                if let Err(error) = check.push(any(), gamma()) {
                    show(error);
                }
                let report = check.report();
                keep(report.passes());
                for verdict in report.verdicts() {
                    keep(*verdict);
                }
            }
        }
    }
}

/// What to change.
#[inline(never)]
pub fn advice<A: Words>() {
    let element = one_of(
        [
            TuningElement::Inductance,
            TuningElement::Capacitance,
            TuningElement::Turns,
        ],
        TuningElement::Length,
    );
    show(element);
    keep(Retune::<A>::new(element, any(), any()));
    match Diagnosis::<A>::new(gamma(), reference(), any(), any(), any()) {
        Ok(diagnosis) => keep(diagnosis),
        Err(error) => show(error),
    }
}

fn printed() -> Printed {
    let nothing = Printed::new(0, 0).unwrap_or_else(|_| never());
    let printed = if any() {
        take(Printed::parse(text()), nothing)
    } else {
        take(Printed::new(any(), any()), nothing)
    };
    show(printed);
    printed
}

fn reading() -> Reading {
    match any::<u8>() {
        0 => Reading::Swr(printed()),
        1 => Reading::ReturnLoss(printed()),
        2 => Reading::MismatchLoss(printed()),
        3 => Reading::ReflectedPercent(printed()),
        4 => Reading::Magnitude(printed()),
        5 => Reading::ImpedanceMagnitude(printed()),
        6 => Reading::Impedance {
            resistance: printed(),
            reactance: printed(),
        },
        7 => Reading::Resistive(printed()),
        _ => Reading::Powers {
            forward: printed(),
            reflected: printed(),
        },
    }
}

/// Do readings agree?
#[inline(never)]
pub fn agreements<A: Words>() {
    let readings = [0; 4].map(|_| reading());
    match agreement(beginning(&readings), reference::<A>()) {
        Ok(verdict) => keep(verdict),
        Err(error) => show(error),
    }
    match swr_interval(&reading(), reference::<A>()) {
        Ok(interval) => keep(interval),
        Err(error) => show(error),
    }
}

/// What needs no list: quantities and all that is read off them.
pub fn without_lists<A: Words>() {
    readouts::<A>();
    correction::<A>();
    reflection_of_impedance::<A>();
    quantities::<A>();
    doubles::<A>();
}

/// All of it.
pub fn everything<A: Words>() {
    without_lists::<A>();
    design::<A>();
    plans::everything::<A>();
    detecting::vector_readings::<A>();
    detecting::vector_detector::<A>();
    detecting::level_detectors::<A>();
    detecting::statistics::<A>();
    calibrating::table_correction::<A>();
    calibrating::calibration::<A>();
    networks::lines::<A>();
    networks::ladders::<A>();
    networks::matching::<A>();
    balance_and_plans::<A>();
    analyser::<A, 0>();
    analyser::<A, 1>();
    analyser::<A, 4>();
    mask::<A>();
    advice::<A>();
    agreements::<A>();
}

/// Two outputs of a balanced port; plans of frequencies, and readings placed by what they tell.
#[inline(never)]
pub fn balance_and_plans<A: Words>() {
    let phasor = || {
        let plain = take(
            Phasor::<A>::new(any(), any()),
            Phasor::polar(A::Component::ZERO, A::Degrees::ZERO).unwrap_or_else(|_| never()),
        );
        take(Phasor::polar(any(), any()), plain)
    };
    match Balance::new(phasor(), phasor()) {
        Ok(balance) => {
            keep(balance);
            match BalanceLimits::new(any(), any(), any()) {
                Ok(limits) => keep(balance.verdict(&limits).pass()),
                Err(error) => show(error),
            }
        }
        Err(error) => show(error),
    }
    let list: [Hertz; 3] = [any(), any(), any()];
    for plan in [
        FrequencyPlan::linear(any(), any(), any()),
        FrequencyPlan::logarithmic(any(), any(), any()),
        FrequencyPlan::list(beginning(&list)),
    ] {
        match plan {
            Ok(plan) => {
                keep((plan.start(), plan.stop(), plan.points(), plan.point(any())));
                for frequency in plan.iter() {
                    keep(frequency);
                }
            }
            Err(error) => show(error),
        }
    }
    match Refinement::<A, 20, 4>::new(SweepSettings::default(), any()) {
        Ok(mut sweep) => {
            while any() {
                if let Err(error) = sweep.add(any(), gamma()) {
                    show(error);
                }
            }
            keep((sweep.next(), sweep.readings()));
            keep(sweep.report().points());
        }
        Err(error) => show(error),
    }
}
