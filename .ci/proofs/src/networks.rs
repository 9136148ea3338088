//! Lines, chains of elements, and the networks that match.

use ohmwright::arithmetic::Floating;
use ohmwright::design::ladder::{Element, Ladder, Part, StubEnd};
use ohmwright::design::line::{Line, length_from_phase};
use ohmwright::design::matching::bode_fano::{least_reflection, load_q, widest_band};
use ohmwright::design::matching::{
    QuarterWaveRoute, RankSettings, StubSettings, ThreeElementShape, TransformerPlace, least_q, quarter_wave,
    quarter_wave_bandwidth, rank, single_stub, three_element, two_element, with_transformer,
};
use ohmwright::design::preferred::{PreferredSeries, Tolerance, worst_corner};
use ohmwright::design::transformer::Turns;
use ohmwright::quantity::{Decibels, Hertz, Metres, Ohms, QFactor, Ratio, Reflection, VelocityFactor, Watts};

use crate::given::{Words, capacitance, gamma, impedance, inductance, never, reference, take};
use crate::unknown::{Unknown, any, beginning, keep, one_of, show};

fn line<A: Words>() -> Line<A> {
    let line = Line::new(any::<Ohms<A>>(), any::<VelocityFactor<A>>(), any::<Metres<A>>())
        .unwrap_or_else(|_| never());
    take(line.with_loss(any::<Decibels<A>>(), any()), line)
}

/// Lines.
#[inline(never)]
pub fn lines<A: Words>() {
    let (line, frequency) = (line::<A>(), any::<Hertz>());
    keep((line.impedance(), line.velocity_factor(), line.length()));
    keep((line.wavelengths(frequency), line.matched_loss(frequency)));
    keep(line.input_impedance(impedance(), frequency));
    keep(line.load_impedance(impedance(), frequency));
    keep(line.reflection_at_input(gamma(), frequency));
    keep(line.reflection_at_load(gamma(), frequency));
    keep(line.input_reflection(gamma(), reference(), frequency));
    keep(line.load_reflection(gamma(), reference(), frequency));
    keep(take(
        line.reflection_along(gamma(), any::<Metres<A>>(), frequency),
        Reflection::OPEN,
    ));
    keep((line.loss(gamma(), frequency), line.added_loss(gamma(), frequency)));
    keep(take(
        Line::of_wavelengths(
            any::<Ohms<A>>(),
            any::<VelocityFactor<A>>(),
            any::<Ratio<A>>(),
            frequency,
        ),
        line,
    ));
    keep(take(
        length_from_phase::<A>((any(), gamma()), (any(), gamma()), any()),
        Metres::<A>::ZERO,
    ));
}

fn part<A: Words>() -> Part<A> {
    let part = match any::<u8>() {
        0 => Part::resistor(any::<Ohms<A>>()),
        1 => Part::inductor(inductance()),
        2 => Part::capacitor(capacitance()),
        _ => Part::stub(line(), one_of([StubEnd::Open], StubEnd::Shorted)),
    };
    let part = part.unwrap_or_else(|_| never());
    if any() {
        take(part.with_q(any::<QFactor<A>>()), part)
    } else {
        take(part.with_series_resistance(any::<Ohms<A>>()), part)
    }
}

/// Ladders, with room for three elements.
#[inline(never)]
pub fn ladders<A: Words>() {
    let mut ladder = Ladder::<A, 3>::new();
    while any() {
        let element = match any::<u8>() {
            0 => Element::Series(part()),
            1 => Element::Shunt(part()),
            2 => Element::Transformer(take(
                Turns::new(any(), any()),
                Turns::new(1, 1).unwrap_or_else(|_| never()),
            )),
            _ => Element::Line(line()),
        };
        if let Err(error) = ladder.push(element) {
            show(error);
        }
    }
    walks(&ladder);
    keep(ladder.reversed());
    keep(part::<A>().impedance(any()));
}

fn walks<A: Words, const N: usize>(ladder: &Ladder<A, N>) {
    let (load, frequency) = (impedance::<A>(), any::<Hertz>());
    keep(ladder.input_impedance(load, frequency).ok());
    keep(ladder.reflection(load, frequency, reference()).ok());
    match ladder.walk(load, frequency) {
        Err(error) => show(error),
        Ok(walk) => {
            keep((walk.input_impedance(), walk.reflection(reference())));
            keep(walk.stress(any(), any::<Watts<A>>()).ok());
            keep(walk.load_stress(any::<Watts<A>>()).ok());
            keep((walk.element_loss(any()).ok(), walk.loss().ok()));
        }
    }
}

/// Networks for a load.
#[inline(never)]
pub fn matching<A: Words>() {
    let (load, source, frequency) = (impedance::<A>(), impedance::<A>(), any::<Hertz>());
    match two_element(load, source) {
        Err(error) => show(error),
        Ok(found) => {
            for network in found.networks() {
                keep((
                    network.series_reactance(),
                    network.shunt_susceptance(),
                    network.q(),
                    network.series_part(frequency),
                    network.shunt_part(frequency),
                ));
                keep(network.ladder::<2>(frequency).ok());
            }
        }
    }
    let shape = one_of([ThreeElementShape::Pi], ThreeElementShape::Tee);
    keep(least_q(shape, load, source).ok());
    if let Ok(found) = three_element(shape, load, source, any()) {
        for network in found {
            keep((network.reactances(), network.virtual_resistance()));
            keep(network.ladder::<3>(frequency).ok());
        }
    }
    let turns = take(
        Turns::new(any(), any()),
        Turns::new(1, 1).unwrap_or_else(|_| never()),
    );
    let place = one_of([TransformerPlace::AtLoad], TransformerPlace::AtSource);
    keep(with_transformer::<A, 3>(load, source, turns, place, frequency).ok());
    let route = match any::<u8>() {
        0 => QuarterWaveRoute::SeriesPart,
        1 => QuarterWaveRoute::ShuntPart,
        2 => QuarterWaveRoute::LineToHighest(any()),
        _ => QuarterWaveRoute::LineToLowest(any()),
    };
    keep(quarter_wave::<A, 2>(load, reference(), route, any(), frequency).ok());
    keep(quarter_wave_bandwidth::<A>(load, reference(), any()).ok());
    let settings = StubSettings::<A> {
        line_impedance: any(),
        stub_impedance: any(),
        velocity_factor: any(),
        end: one_of([StubEnd::Open], StubEnd::Shorted),
    };
    if let Ok(found) = single_stub(load, reference(), settings) {
        for stub in found.into_iter().flatten() {
            keep((
                stub.line_wavelengths(),
                stub.stub_wavelengths(),
                stub.susceptance(),
            ));
            keep(stub.ladder::<2>(frequency).ok());
        }
    }
}

fn one_tolerance<F: Floating + Unknown>() -> Tolerance<F> {
    take(Tolerance::new(any()), Tolerance::NONE)
}

/// What is for floating families alone: preferred values, corners, the limit, and the ranking.
#[inline(never)]
pub fn ranked<F: Floating + Unknown + Words>() {
    keep(Line::<F>::coaxial(any(), any(), any(), any::<Metres<F>>()).ok());
    let series = one_of([PreferredSeries::E6, PreferredSeries::E24], PreferredSeries::E192);
    show(series);
    keep(series.neighbours::<F>(any()).ok());
    keep(series.nearest::<F>(any()).ok());
    let tolerances = [0; 9].map(|_| one_tolerance::<F>());
    if let Ok(corner) = worst_corner(beginning(&tolerances), |factors| {
        keep(factors.first().copied());
        any()
    }) {
        keep((corner.worst, corner.factors().first().copied()));
    }
    keep(least_reflection::<F>(any(), any()).ok());
    keep(widest_band::<F>(any(), any()).ok());
    keep(load_q::<F>((any(), impedance()), (any(), impedance()), (any(), impedance())).ok());
    let mut settings = RankSettings::<F>::new(reference(), any());
    settings.low = any();
    settings.high = any();
    settings.swr_limit = any();
    settings.power = any();
    settings.preferred = any::<bool>().then_some(series);
    settings.preferred_coils = any();
    settings.coil_tolerance = one_tolerance();
    settings.capacitor_tolerance = one_tolerance();
    settings.coil_q = any::<bool>().then(any);
    settings.capacitor_q = any::<bool>().then(any);
    settings.three_element_q = any::<bool>().then(any);
    settings.most_turns = any();
    settings.line_velocity_factor = any::<bool>().then(any);
    settings.line_impedances = (any(), any());
    settings.stubs = any();
    settings.capacitor_volts = any::<bool>().then(any);
    settings.coil_amperes = any::<bool>().then(any);
    match rank::<F, 3>(&settings, |_| any::<bool>().then(impedance)) {
        Err(error) => show(error),
        Ok(plans) => {
            keep((
                plans.looked_at(),
                plans.load_q(),
                plans.least_worst_swr(),
                plans.widest_band(),
            ));
            for plan in plans.as_slice() {
                keep((plan.swr(), plan.band.map(|band| band.width())));
                show(plan.scheme);
                walks(&plan.ladder);
            }
        }
    }
}
