//! Every network that [`rank`](super::rank) looks at, with ideal parts.

use super::network::Network;
use super::{
    MatchScheme, MatchingError, QuarterWaveRoute, RankSettings, StubSettings, ThreeElementShape,
    TransformerPlace, least_q, push_series, push_shunt, quarter_wave, single_stub, three_element,
    two_element, with_transformer,
};
use crate::arithmetic::{Floating, Real};
use crate::design::ladder::{Element, Part, PartKind, StubEnd};
use crate::design::transformer::{Remedy, Turns, TurnsRanking};
use crate::quantity::{Complex, Impedance, Ohms, QFactor, VelocityFactor};

/// Pairs of turns that are tried for each remedy.
const TURNS_TRIED: usize = 3;

/// Passes every candidate to `take`. A network that does not exist, or with a part beyond its word, is left out.
pub(super) fn each<F: Floating>(
    settings: &RankSettings<F>,
    load: Impedance<F>,
    mut take: impl FnMut(MatchScheme, Network<F>),
) -> Result<(), MatchingError> {
    let f = settings.frequency;
    let source = Impedance::new(settings.source.ohms(), Ohms::ZERO)?;
    for found in two_element(load, source)?.networks() {
        if let Ok(ladder) = found.ladder(f) {
            take(MatchScheme::TwoElement, ladder);
        }
    }
    pi_and_tee(settings, load, source, &mut take)?;
    if settings.most_turns > 0 {
        transformers(settings, load, source, &mut take)?;
    }
    if let Some(velocity_factor) = settings.line_velocity_factor {
        quarter_waves(settings, load, velocity_factor, &mut take);
        if settings.stubs {
            stubs(settings, load, velocity_factor, &mut take)?;
        }
    }
    Ok(())
}

/// Pi and T, of the requested Q or of a usual one.
fn pi_and_tee<F: Floating>(
    settings: &RankSettings<F>,
    load: Impedance<F>,
    source: Impedance<F>,
    take: &mut impl FnMut(MatchScheme, Network<F>),
) -> Result<(), MatchingError> {
    for (shape, scheme) in [
        (ThreeElementShape::Pi, MatchScheme::Pi),
        (ThreeElementShape::Tee, MatchScheme::Tee),
    ] {
        let least = least_q(shape, load, source)?;
        let q = match settings.three_element_q {
            Some(q) if q < least => continue, // the least Q is higher
            Some(q) => q,
            None => QFactor::new(Real::larger(least.get() * F::from_f64(1.25), F::from_i32(2))),
        };
        for found in three_element(shape, load, source, q)? {
            if let Ok(ladder) = found.ladder(settings.frequency) {
                take(scheme, ladder);
            }
        }
    }
    Ok(())
}

/// A quarter wave of line, after a part that makes the load real or after more line.
fn quarter_waves<F: Floating>(
    settings: &RankSettings<F>,
    load: Impedance<F>,
    velocity_factor: VelocityFactor<F>,
    take: &mut impl FnMut(MatchScheme, Network<F>),
) {
    let z0 = settings.source.ohms();
    for route in [
        QuarterWaveRoute::SeriesPart,
        QuarterWaveRoute::ShuntPart,
        QuarterWaveRoute::LineToHighest(z0),
        QuarterWaveRoute::LineToLowest(z0),
    ] {
        match quarter_wave(load, settings.source, route, velocity_factor, settings.frequency) {
            Ok(ladder) if can_be_had(settings, &ladder) => take(MatchScheme::QuarterWave, ladder),
            _ => {}
        }
    }
}

/// A line and one stub, open or shorted.
fn stubs<F: Floating>(
    settings: &RankSettings<F>,
    load: Impedance<F>,
    velocity_factor: VelocityFactor<F>,
    take: &mut impl FnMut(MatchScheme, Network<F>),
) -> Result<(), MatchingError> {
    let z0 = settings.source.ohms();
    for end in [StubEnd::Open, StubEnd::Shorted] {
        let stub = StubSettings {
            line_impedance: z0,
            stub_impedance: z0,
            velocity_factor,
            end,
        };
        for found in single_stub(load, settings.source, stub)?.into_iter().flatten() {
            match found.ladder(settings.frequency) {
                Ok(ladder) if can_be_had(settings, &ladder) => take(MatchScheme::SingleStub, ladder),
                _ => {}
            }
        }
    }
    Ok(())
}

/// Whether all lines and stubs have an impedance that is available.
fn can_be_had<F: Floating>(settings: &RankSettings<F>, ladder: &Network<F>) -> bool {
    let (low, high) = settings.line_impedances;
    ladder.elements().iter().all(|element| {
        let line = match (element, element.part().map(Part::kind)) {
            (Element::Line(line), _) => *line,
            (_, Some(PartKind::Stub(line, _))) => line,
            _ => return true,
        };
        low <= line.impedance() && line.impedance() <= high
    })
}

/// The best pairs of turns for each remedy: alone, with one part, and with two.
fn transformers<F: Floating>(
    settings: &RankSettings<F>,
    load: Impedance<F>,
    source: Impedance<F>,
    take: &mut impl FnMut(MatchScheme, Network<F>),
) -> Result<(), MatchingError> {
    let f = settings.frequency;
    for remedy in [Remedy::TurnsAlone, Remedy::SeriesElement, Remedy::ShuntElement] {
        let ranking =
            TurnsRanking::<F, TURNS_TRIED>::new(load, settings.source, None, settings.most_turns, remedy)
                .map_err(|_| MatchingError::LoadWithoutResistance)?;
        for (rank, choice) in ranking.as_slice().iter().enumerate() {
            let turns = choice.turns;
            if rank == 0 {
                for place in [TransformerPlace::AtLoad, TransformerPlace::AtSource] {
                    if let Some(ladder) = with_one_part(settings, load, turns, remedy, place) {
                        take(MatchScheme::Transformer, ladder);
                    }
                }
            }
            if turns.primary() == turns.secondary() {
                continue;
            }
            for place in [TransformerPlace::AtLoad, TransformerPlace::AtSource] {
                for ladder in with_transformer(load, source, turns, place, f)?
                    .into_iter()
                    .flatten()
                {
                    take(MatchScheme::TransformerAndTwo, ladder);
                }
            }
        }
    }
    Ok(())
}

/// A transformer, and the part that cancels the reactance on its load side or source side.
fn with_one_part<F: Floating>(
    settings: &RankSettings<F>,
    load: Impedance<F>,
    turns: Turns,
    remedy: Remedy,
    place: TransformerPlace,
) -> Option<Network<F>> {
    let z = match place {
        TransformerPlace::AtLoad => load.complex().scale(turns.ratio_squared::<F>()),
        TransformerPlace::AtSource => load.complex(),
    };
    let mut ladder = Network::new();
    let part = |ladder: &mut Network<F>| match remedy {
        Remedy::TurnsAlone => Ok(()),
        Remedy::SeriesElement => push_series(ladder, -z.im, settings.frequency),
        Remedy::ShuntElement => push_shunt(ladder, -(Complex::ONE / z).im, settings.frequency),
    };
    let transformer = Element::Transformer(turns);
    match place {
        TransformerPlace::AtLoad => {
            ladder.push(transformer).ok()?;
            part(&mut ladder).ok()?;
        }
        TransformerPlace::AtSource => {
            part(&mut ladder).ok()?;
            ladder.push(transformer).ok()?;
        }
    }
    Some(ladder)
}
