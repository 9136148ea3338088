//! Everything a device would call, in one family of numbers.
//!
//! Not called: the Touchstone text layer, which reads decimal numbers by way of `core`, where panics can be reached;
//! and `Debug`, which is for hosts.

use ohmwright::arithmetic::{Fixed16, Fixed32, Quantity, Real};
use ohmwright::control::mock::{AntennaModel, BenchFaults, BenchSensor, SimulatedBench};
use ohmwright::control::{
    Arrangement, Bank, BankCapacitor, BankCoil, Event, Protection, SensorErrors, SensorReading, Setting,
    Side, Stray, Tuner, TunerDriver, TunerMemory, TunerSettings,
};
use ohmwright::design::transformer::{
    MagnitudeRule, Remedy, Turns, TurnsChoice, TurnsRanking, wanted_impedance_ratio,
};
use ohmwright::measure::balance::{Balance, BalanceLimits, Phasor};
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::measure::{
    Diagnosis, FrequencyPlan, MaskCheck, MaskSegment, Printed, Reading, Refinement, Retune, SweepAnalyser,
    SweepReport, SweepSettings, Target, TuningElement, compare_readings, swr_interval,
};
use ohmwright::quantity::{
    Admittance, Amperes, Capacitance, Component, Decibels, Degrees, Hertz, Impedance, Inductance, Metres,
    Ohms, ParallelForm, Ratio, Reactor, Reference, Reflection, Siemens, Swr, Volts, Watts,
};
use ohmwright::show::text as lines;

use crate::given::{Words, capacitance, gamma, impedance, inductance, never, reference, take};
use crate::unknown::{any, beginning, keep, one_of, show, text};
use crate::{calibrating, detecting, networks, plans, sounding};

include!("../../../tests/common/every_readout.rs");

/// The readouts of Γ, one by one and together.
#[inline(never)]
pub fn readouts<A: Words>() {
    let (gamma, z0) = (gamma::<A>(), reference::<A>());
    macro_rules! kept {
        ($($readout:ident: $kind:ident $method:ident $true:tt $column:tt $row:tt;)*) => {
            $(keep(read_off!($kind $method, gamma, z0));)*
        };
    }
    every_readout!(kept);
    keep(gamma.impedance(z0));
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

/// Decibels to a ratio, as detectors and lines ask it.
#[inline(never)]
pub fn decibels<A: Words>() {
    keep(any::<Decibels<A>>().to_working().ratio_of_decibels());
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
    keep(take(z.share_taken_from(impedance()), Component::<A>::ZERO));
    let form = ParallelForm::<A> {
        resistance: any(),
        reactance: any(),
    };
    keep(form.series_form());
    let y = take(
        Admittance::new(any::<Siemens<A>>(), any::<Siemens<A>>()),
        Admittance::OPEN,
    );
    keep((y.is_short(), y.impedance()));

    let frequency: Hertz = any();
    show(frequency);
    keep(Hertz::from_kilohertz(any()).max(Hertz::from_megahertz(any())));
    let (coil, capacitor) = (inductance::<A>(), capacitance::<A>());
    keep((coil.get(), capacitor.get()));
    keep((coil.reactance(frequency), capacitor.reactance(frequency)));
    keep(take(
        Inductance::with_reactance(any::<Ohms<A>>(), frequency),
        coil,
    ));
    keep(take(Inductance::resonant_with(capacitor, frequency), coil));
    keep(take(
        Capacitance::with_reactance(any::<Ohms<A>>(), frequency),
        capacitor,
    ));
    keep(take(Capacitance::resonant_with(coil, frequency), capacitor));
    if let Some(part) = Reactor::with_reactance(any::<Ohms<A>>(), frequency) {
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
    keep(take(Ratio::<A>::try_from_f64(any()), Ratio::<A>::ZERO));
    keep(take(Siemens::<A>::try_from_f64(any()), Siemens::<A>::ZERO));
    keep(take(Decibels::<A>::try_from_f64(any()), Decibels::<A>::ZERO));
    keep(any::<Ratio<A>>().to_f64());
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
    keep(take(wanted_impedance_ratio(load, source), Quantity::ZERO));
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

fn settings<A: Words>() -> SweepSettings<A> {
    let mut settings = SweepSettings {
        reference: reference(),
        swr_limit: any(),
        target: any::<bool>().then(any),
        prominence: any(),
        noise: any(),
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
                keep((analyser.points(), analyser.settle()));
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
    keep(report.hurried());
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
    match Diagnosis::<A>::new(gamma(), reference(), any::<Swr<A>>(), any(), any()) {
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
    match compare_readings(beginning(&readings), reference::<A>()) {
        Ok(verdict) => keep(verdict),
        Err(error) => show(error),
    }
    match swr_interval(&reading(), reference::<A>()) {
        Ok(interval) => keep(interval),
        Err(error) => show(error),
    }
}

fn setting() -> Setting {
    Setting {
        coils: any::<u16>(),
        capacitors: any::<u16>(),
        side: one_of([Side::Load], Side::Source),
        tap: any(),
    }
}

fn sensor_reading<A: Words>() -> SensorReading<A> {
    match any::<u8>() {
        0 => SensorReading::Vector(gamma()),
        1 => take(
            SensorReading::from_swr(any::<Swr<A>>()),
            SensorReading::Magnitude(any()),
        ),
        2 => take(
            SensorReading::from_powers(any::<Watts<A>>(), any::<Watts<A>>()),
            SensorReading::Magnitude(any()),
        ),
        _ => SensorReading::Magnitude(any()),
    }
}

fn bank<A: Words, const L: usize, const C: usize>() -> Option<Bank<A, L, C>> {
    let coils = [0; L].map(|_| BankCoil {
        inductance: inductance(),
        q: any(),
    });
    let capacitors = [0; C].map(|_| BankCapacitor {
        capacitance: capacitance(),
        q: any(),
    });
    let arrangement = match any::<u8>() {
        0 => Arrangement::SourceSide,
        1 => Arrangement::LoadSide,
        2 => Arrangement::Changeover,
        _ => Arrangement::BothSides { at_source: any() },
    };
    match Bank::new(coils, capacitors, arrangement) {
        Ok(bank) => {
            let bank = bank.with_stray(Stray {
                series: inductance(),
                at_source: capacitance(),
                at_load: capacitance(),
            });
            let taps = [0; 5].map(|_| Turns::new(any(), any()).unwrap_or_else(|_| never()));
            Some(bank.with_taps(beginning(&taps)).unwrap_or(bank))
        }
        Err(error) => {
            show(error);
            None
        }
    }
}

/// The bank at a frequency, and the search.
#[inline(never)]
pub fn banks<A: Words, const L: usize, const C: usize>() {
    let Some(bank) = bank::<A, L, C>() else { return };
    keep((
        bank.arrangement(),
        bank.count(),
        bank.most_operations(),
        bank.taps(),
    ));
    keep((bank.inductance(setting()).ok(), bank.capacitance(setting()).ok()));
    keep(
        bank.nearest(inductance(), capacitance(), setting().side, any())
            .ok(),
    );
    keep(setting().next_from(setting().positions()));
    keep(setting().operations_to(setting()));
    match bank.at(any(), reference()) {
        Err(error) => show(error),
        Ok(at) => {
            keep(at.reflection(setting(), gamma()).ok());
            keep(at.load_behind(setting(), gamma()).ok());
            keep(at.matched_load(setting()).ok());
            keep(at.best_setting(gamma()).ok());
            keep(at.reaches(gamma(), any::<Swr<A>>()).ok());
            keep(at.coverage(any::<Swr<A>>(), any::<Component<A>>(), any()).ok());
            for setting in at.settings() {
                keep(setting);
            }
        }
    }
}

fn tuner_settings<A: Words>() -> TunerSettings<A> {
    if any() {
        return TunerSettings::default();
    }
    TunerSettings {
        reference: reference(),
        switching_limit: any(),
        measuring_minimum: any(),
        settle_ms: any(),
        power_timeout_ms: any(),
        reply_timeout_ms: any(),
        run_timeout_ms: any(),
        most_readings: any(),
        most_operations: any(),
        sensor_noise: any(),
        sensor_errors: SensorErrors {
            directivity: any(),
            source_match: any(),
            compression: any(),
            step: any(),
        },
        value_error: any(),
        good_swr: any(),
        retune_swr: any(),
        retune_after_ms: any::<bool>().then(any),
        rest_ms: any(),
    }
}

/// The tuner, step by step.
#[inline(never)]
pub fn tuner<A: Words, const L: usize, const C: usize>() {
    let Some(bank) = bank::<A, L, C>() else { return };
    let mut tuner = match Tuner::new(bank, tuner_settings()) {
        Ok(tuner) => tuner,
        Err(error) => return show(error),
    };
    while any() {
        match any::<u8>() {
            0 => keep(tuner.start(any(), any(), any::<bool>().then(setting)).is_ok()),
            1 => keep(tuner.bypass(any()).is_ok()),
            2 => tuner.cancel(any()),
            3 => keep(tuner.learned_errors()),
            4 => tuner.forget(),
            _ => {
                let event = match any::<u8>() {
                    0 => Event::Tick,
                    1 => Event::Switched,
                    2 => Event::SwitchFailed,
                    3 => Event::SensorFailed,
                    _ => Event::Reading(sensor_reading()),
                };
                keep(tuner.step(any(), any::<bool>().then(any), event));
            }
        }
        keep((tuner.setting(), tuner.is_running()));
    }
}

/// The simulated bench with its driver; protection and memory.
#[inline(never)]
pub fn bench<A: Words>() {
    let Some(bank) = bank::<A, 4, 3>() else { return };
    let antenna = || match any::<u8>() {
        0 => AntennaModel::Fixed(impedance::<A>()),
        1 => AntennaModel::Series {
            resistance: any(),
            inductance: inductance(),
            capacitance: capacitance(),
        },
        _ => AntennaModel::Parallel {
            resistance: any(),
            inductance: inductance(),
            capacitance: capacitance(),
        },
    };
    let range = || any::<bool>().then(|| (any(), any()));
    let faults = BenchFaults {
        coils_stuck_in: any::<u16>(),
        coils_stuck_out: any::<u16>(),
        capacitors_stuck_in: any::<u16>(),
        capacitors_stuck_out: any::<u16>(),
        relay_ms: any(),
        relays_fail_from: any::<bool>().then(any),
        sensor_fails: range(),
        sensor_lies: range(),
        antenna_from: any::<bool>().then(|| (any(), antenna())),
        antenna_swings_to: any::<bool>().then(antenna),
        power_gone: range(),
        power_stuck: any::<bool>().then(|| (any(), any())),
    };
    let mut bench = SimulatedBench::new(bank, antenna(), any(), any())
        .with_tolerance(any::<Component<A>>())
        .with_sensor(
            one_of([BenchSensor::Scalar], BenchSensor::Vector),
            any::<Component<A>>(),
        )
        .with_reference(reference())
        .with_limit(any::<Watts<A>>())
        .with_faults(faults);
    bench.connect(antenna(), any());
    bench.transmit(any::<Watts<A>>());
    let Ok(mut tuner) = Tuner::new(bank, tuner_settings()) else {
        return;
    };
    keep(bench.tune(&mut tuner, any(), any::<bool>().then(setting)).ok());
    let mut driver = TunerDriver::new(&mut tuner, &bench, &bench);
    while any() {
        bench.advance(any());
        keep(driver.step(any()));
        driver.tuner().cancel(any());
    }
    keep((
        bench.readings(),
        bench.operations(),
        bench.switched_hot(),
        bench.reflection(),
    ));

    match Protection::new(any::<Swr<A>>(), any::<Swr<A>>(), any::<Watts<A>>(), any()) {
        Err(error) => show(error),
        Ok(mut protection) => {
            while any() {
                keep(protection.check(any::<Watts<A>>(), sensor_reading()));
            }
            protection.reset();
        }
    }
    let mut storage = [None; 3];
    let mut memory = TunerMemory::<A>::new(&mut storage);
    if let Err(error) = memory.learn(any(), setting(), any::<Swr<A>>()) {
        show(error);
    }
    keep(memory.nearest(any(), any()));
    keep(memory.suggest(any(), any(), &bank));
    keep(memory.forget(any()));
    memory.forget_older_than(any());
    let mut buffer = [0u8; 96];
    match memory.store(buffer.get_mut(..any::<usize>()).unwrap_or_default()) {
        Ok(length) => keep(length),
        Err(error) => show(error),
    }
    let bytes = [0; 96].map(|_: u8| any::<u8>());
    match memory.load(beginning(&bytes), &bank) {
        Ok(count) => keep(count),
        Err(error) => show(error),
    }
}

/// The controller of a tuner.
pub fn control<A: Words>() {
    banks::<A, 0, 2>();
    banks::<A, 3, 0>();
    banks::<A, 8, 8>();
    tuner::<A, 8, 8>();
    bench::<A>();
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
    sounding::everything::<A>();
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
    control::<A>();
    texts::<A>();
}

/// Lines of text of any length.
#[inline(never)]
pub fn texts<A: Words>() {
    let mut line = [0u8; 40];
    let line = line.get_mut(..any::<usize>()).unwrap_or_default();
    let (gamma, z0) = (gamma::<A>(), reference::<A>());
    keep(lines::power(line, text(), any::<Watts<A>>()).is_ok());
    keep(lines::voltage(line, text(), any::<Volts<A>>()).is_ok());
    keep(lines::current(line, text(), any::<Amperes<A>>()).is_ok());
    keep(lines::length(line, text(), any::<Metres<A>>()).is_ok());
    keep(lines::inductance(line, inductance::<A>()).is_ok());
    keep(lines::capacitance(line, capacitance::<A>()).is_ok());
    keep(lines::impedance(line, gamma.impedance(z0)).is_ok());
    keep(lines::short::impedance(line, gamma.impedance(z0)).is_ok());
    keep(lines::impedance_magnitude(line, gamma, z0).is_ok());
    keep(lines::resistance(line, gamma.impedance(z0)).is_ok());
    keep(lines::frequency(line, any()).is_ok());
    keep(lines::swr(line, gamma).is_ok());
    keep(lines::q(line, gamma).is_ok());
    keep(lines::return_loss(line, gamma).is_ok());
    keep(lines::magnitude(line, gamma).is_ok());
    keep(lines::phase(line, gamma).is_ok());
}

/// Two outputs of a balanced port; plans of frequencies, and readings placed by what they tell.
#[inline(never)]
pub fn balance_and_plans<A: Words>() {
    let phasor = || {
        let plain = take(
            Phasor::new(any::<Component<A>>(), any::<Component<A>>()),
            Phasor::polar(Component::<A>::ZERO, Degrees::<A>::ZERO).unwrap_or_else(|_| never()),
        );
        take(Phasor::polar(any::<Component<A>>(), any::<Degrees<A>>()), plain)
    };
    match Balance::new(phasor(), phasor()) {
        Ok(balance) => {
            keep(balance);
            match BalanceLimits::new(any::<Decibels<A>>(), any::<Degrees<A>>(), any::<Decibels<A>>()) {
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
