//! What is designed before anything is wound, and what was predicted, in one family of numbers.

use ohmwright::arithmetic::Floating;
use ohmwright::design::load::{
    Load, LoadCircuit, LoadTable, LookingIn, OneSide, Presented, PushPull, SideToSide, StandIn,
};
use ohmwright::design::transformer::{
    FittedTransformer, HalfTurns, HalfTurnsRanking, ImpedanceSide, LineKind, LineTransformer, OpenShortTest,
    RealTransformer, Remedy, TransformerError, TransformerFit, Turns, coupling, minimum_choking_impedance,
    minimum_magnetising_inductance, mutual_inductance,
};
use ohmwright::design::winding::{
    AirCoil, CoilFormula, Conductor, FluxDensity, InductanceFactor, RingCore, RoundWire, SineVoltage,
    lundin_coefficient, nagaoka_coefficient, peak_flux_density, volts_at_flux_density,
};
use ohmwright::measure::{PredictionCheck, PredictionReport};
use ohmwright::quantity::{Component, Hertz, Metres, Ohms, Ratio, VelocityFactor, Volts, Watts};

use crate::given::{Words, capacitance, gamma, impedance, inductance, reference, take};
use crate::unknown::{Unknown, any, beginning, keep, one_of, show};

/// A result, or the text of its error.
fn told<T, E: core::fmt::Display>(result: Result<T, E>) -> Option<T> {
    match result {
        Ok(value) => Some(value),
        Err(error) => {
            show(error);
            None
        }
    }
}

/// All of it.
pub fn everything<A: Words>() {
    loads::<A>();
    real_transformers::<A>();
    line_transformers::<A>();
    recovery::<A>();
    half_turns::<A>();
    prediction::<A>();
}

fn circuit<A: Words>() -> LoadCircuit<A> {
    let (resistance, frequent) = (any(), any::<bool>());
    let circuits = [
        LoadCircuit::Series {
            resistance,
            inductance: inductance(),
            capacitance: frequent.then(capacitance),
        },
        LoadCircuit::ParallelBehindLead {
            resistance,
            capacitance: capacitance(),
            lead: inductance(),
        },
    ];
    one_of(
        circuits,
        LoadCircuit::Parallel {
            resistance,
            inductance: frequent.then(inductance),
            capacitance: capacitance(),
        },
    )
}

#[inline(never)]
fn loads<A: Words>() {
    let rows = [0; 5].map(|_| (any::<Hertz>(), impedance::<A>()));
    if let Some(table) = told(LoadTable::new(beginning(&rows))) {
        keep(told(table.at(any())));
        keep(table.rows().first().copied());
    }
    let circuit = circuit::<A>();
    keep(circuit.impedance(any()));
    keep(told(circuit.checked()));
    let side = OneSide(LookingIn::new(impedance::<A>()));
    keep(side.0.load());
    keep(side.side_to_side().0.wants().target());
    let pair = SideToSide(Presented::new(impedance::<A>()));
    keep(pair.one_side().0.stands_for());
    if let Some(stage) = told(PushPull::new(any::<Volts<A>>(), any::<Volts<A>>())) {
        keep((stage.supply(), stage.saturation()));
        keep(told(stage.side_to_side(any::<Watts<A>>())));
        keep(told(stage.one_side(any::<Watts<A>>())));
        keep(told(stage.power(pair)));
    }
    for stand_in in [
        StandIn::<A>::series(impedance(), any()),
        StandIn::parallel(impedance(), any()),
    ] {
        if let Some(stand_in) = told(stand_in) {
            keep((stand_in.parts(), stand_in.load(), stand_in.frequency()));
            keep(stand_in.impedance(any()));
            keep(stand_in.with_leads(inductance()));
        }
    }
}

#[inline(never)]
fn real_transformers<A: Words>() {
    keep(told(minimum_magnetising_inductance::<A>(any(), any(), any())));
    keep(told(coupling::<A>(inductance(), inductance(), inductance())));
    keep(told(mutual_inductance::<A>(inductance(), inductance())));
    if let Ok(turns) = Turns::new(any(), any())
        && let Some(wound) = told(RealTransformer::<A>::wound(turns, inductance(), inductance()))
    {
        real_transformer(wound);
    }
    if let Some(coupled) = told(RealTransformer::coupled(
        inductance(),
        inductance(),
        any::<Component<A>>(),
    )) {
        real_transformer(coupled);
    }
}

#[inline(never)]
fn real_transformer<A: Words>(transformer: RealTransformer<A>) {
    let mut transformer = transformer.with_capacitances(capacitance(), capacitance());
    if let Some(lossy) = told(transformer.with_resistances(any::<Ohms<A>>(), any::<Ohms<A>>())) {
        transformer = lossy;
    }
    if let Some(lossy) = told(transformer.with_core_loss(any::<Ohms<A>>())) {
        transformer = lossy;
    }
    keep((transformer.leakage(), transformer.magnetising()));
    keep((
        transformer.primary_inductance(),
        transformer.secondary_inductance(),
    ));
    keep((transformer.mutual_inductance(), transformer.coupling()));
    keep((transformer.impedance_ratio(), told(transformer.tee(any()))));
    keep(told(transformer.input_impedance(impedance(), any())));
    keep(told(transformer.reflection(impedance(), any(), reference())));
    keep(told(transformer.loss(impedance(), any())));
    keep(told(transformer.insertion_loss(impedance(), any(), reference())));
    let range = [any(), any()];
    keep(told(transformer.useful_band(
        &circuit::<A>(),
        reference(),
        any(),
        any(),
        range,
    )));
}

#[inline(never)]
fn line_transformers<A: Words>() {
    keep(minimum_choking_impedance(reference::<A>()));
    keep(told(LineTransformer::<A>::optimum_impedance(any(), any())));
    let kind = if any() {
        LineKind::Guanella(any())
    } else {
        LineKind::Ruthroff
    };
    let Some(mut lines) = told(LineTransformer::new(
        kind,
        any::<Ohms<A>>(),
        any::<Metres<A>>(),
        any::<VelocityFactor<A>>(),
    )) else {
        return;
    };
    if let Some(choked) = told(lines.with_choking(inductance())) {
        lines = choked;
    }
    let side = if any() {
        ImpedanceSide::Low
    } else {
        ImpedanceSide::High
    };
    keep((lines.kind(), lines.impedance_ratio()));
    keep(told(lines.input_impedance(impedance(), any(), side)));
    keep(told(lines.reflection(impedance(), any(), side, reference())));
    let range = [any(), any()];
    keep(told(lines.useful_band(
        &impedance::<A>(),
        side,
        reference(),
        any(),
        any(),
        range,
    )));
}

fn fitted<A: Words>(result: Result<FittedTransformer<A>, TransformerError>) -> Option<FittedTransformer<A>> {
    let fitted = told(result)?;
    keep(fitted);
    Some(fitted)
}

#[inline(never)]
fn recovery<A: Words>() {
    let test = OpenShortTest::<A> {
        primary_open: impedance(),
        primary_shorted: impedance(),
        secondary_open: impedance(),
        frequency: any(),
    };
    keep(told(test.recover()));
    keep(told(test.disagreement()));
    if let Some(mut fit) = told(TransformerFit::new(any::<Ohms<A>>(), reference())) {
        while any() {
            while any() {
                keep(told(fit.push(any(), gamma())));
            }
            keep(fit.points());
            if let Some(fitted) = fitted(fit.finish()) {
                fit = fit.again(&fitted);
            }
        }
    }
    let points = [0; 5].map(|_| (any::<Hertz>(), gamma::<A>()));
    let points = beginning(&points).iter().copied();
    fitted(TransformerFit::sweep(any::<Ohms<A>>(), reference(), points));
}

#[inline(never)]
fn half_turns<A: Words>() {
    if let Some(turns) = told(HalfTurns::new(any(), any())) {
        show(turns);
        keep((turns.primary_halves(), turns.secondary_halves()));
        keep((turns.as_ratio(), turns.are_whole()));
    }
    let remedy = one_of([Remedy::TurnsAlone, Remedy::SeriesElement], Remedy::ShuntElement);
    let ranking = HalfTurnsRanking::<A, 3>::new(impedance(), reference(), None, any(), remedy);
    if let Some(ranking) = told(ranking) {
        keep(ranking.remedy());
        for (turns, choice) in ranking.iter() {
            keep((turns, *choice));
        }
    }
}

fn report<A: Words>(report: PredictionReport<A>) {
    keep((report.points, report.largest, report.largest_at, report.mean));
    keep(report.root_mean_square);
    keep(*report.best());
    keep(*report.explanations());
    show(report.best().suspect);
}

#[inline(never)]
fn prediction<A: Words>() {
    let mut check = PredictionCheck::<A>::new(reference());
    while any() {
        while any() {
            keep(told(check.push(any(), gamma(), gamma())));
        }
        keep(check.points());
        if let Some(found) = check.report() {
            report(found);
            check = check.again(&found);
        }
    }
    let pairs = [0; 4].map(|_| (any::<Hertz>(), gamma::<A>(), gamma::<A>()));
    let pairs = beginning(&pairs).iter().copied();
    if let Some(Some(found)) = told(PredictionCheck::sweep(reference(), pairs)) {
        report(found);
    }
}

/// Coils, cores and wire: floating point alone.
#[inline(never)]
pub fn windings<F: Floating + Words + Unknown>() {
    keep(told(nagaoka_coefficient::<F>(any(), any())));
    keep(told(lundin_coefficient::<F>(any(), any())));
    let formulas = [
        CoilFormula::CurrentSheet,
        CoilFormula::Lundin,
        CoilFormula::Wheeler,
    ];
    let formula = one_of(formulas, CoilFormula::WheelerContinuous);
    for coil in [
        AirCoil::new(any(), any::<Metres<F>>(), any::<Metres<F>>()),
        AirCoil::from_millimetres(any(), any(), any()),
    ] {
        if let Some(coil) = told(coil) {
            keep((coil.turns(), coil.diameter(), coil.length()));
            keep((coil.inductance(), coil.inductance_by(formula)));
            keep(told(coil.turns_for(inductance(), formula)));
            keep(told(coil.with_inductance(inductance())));
            keep(told(coil.scaled(any::<Ratio<F>>())));
        }
    }
    for factor in [
        InductanceFactor::<F>::new(any()),
        InductanceFactor::from_nanohenries(any()),
        InductanceFactor::from_microhenries_per_hundred_turns(any()),
        InductanceFactor::from_millihenries_per_thousand_turns(any()),
    ] {
        if let Some(factor) = told(factor) {
            keep((factor.henries(), factor.nanohenries(), factor.inductance(any())));
            keep((factor.turns(inductance()), told(factor.whole_turns(inductance()))));
        }
    }
    for ring in [
        RingCore::new(any::<Metres<F>>(), any::<Metres<F>>(), any::<Metres<F>>()),
        RingCore::from_millimetres(any(), any(), any()),
    ] {
        if let Some(ring) = told(ring) {
            keep((
                ring.core_constant(),
                ring.effective_length(),
                ring.effective_area(),
            ));
            keep(told(ring.inductance_factor(any())));
        }
    }
    for volts in [
        SineVoltage::from_rms(any::<Volts<F>>()),
        SineVoltage::from_peak(any::<Volts<F>>()),
        SineVoltage::of_power(any::<Watts<F>>(), any::<Ohms<F>>()),
    ] {
        if let Some(volts) = told(volts) {
            keep((volts.rms(), volts.peak()));
            keep(told(peak_flux_density(volts, any(), any(), any())));
        }
    }
    if let Some(density) = told(FluxDensity::<F>::new(any())) {
        keep((density.tesla(), density.gauss()));
        keep(told(volts_at_flux_density(density, any(), any(), any())));
    }
    let metal = take(Conductor::<F>::new(any()), Conductor::copper());
    keep(metal.conductivity());
    keep(told(metal.skin_depth(any())));
    keep(told(metal.surface_resistance(any())));
    for wire in [
        RoundWire::new(any::<Metres<F>>()),
        RoundWire::from_millimetres(any()),
        RoundWire::of_gauge(any()),
    ] {
        if let Some(wire) = told(wire) {
            keep((wire.diameter(), wire.nearest_gauge()));
            keep(told(wire.resistance(any::<Metres<F>>(), metal, any())));
            keep(told(wire.inductance(any::<Metres<F>>())));
        }
    }
}
