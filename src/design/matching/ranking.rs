//! All networks for one load, with real parts, the best first. For the floating families only: for programs on a PC.

use core::convert::Infallible;

use heapless::Vec;

use super::bode_fano::load_q;
use super::candidates;
use super::network::Network;
use super::parts::{Bench, lines_off, off_by, reactive_places, tolerances, with_real_lines};
use super::{
    LimitKept, MatchPlan, MatchPlans, MatchScheme, MatchingError, RankSettings, load_with_resistance,
};
use crate::arithmetic::{Floating, Quantity, Real};
use crate::design::ladder::{Element, PartKind, StubEnd};
use crate::design::preferred::worst_corner;
use crate::quantity::band::edge;
use crate::quantity::{Band, Decibels, Hertz, Impedance, QFactor, Reactor, Reflection, Swr, Volts};

/// The number of frequencies for the worst SWR over the band, with the edges and the frequency of the match.
const BAND_POINTS: u64 = 9;
/// The search for the edges of a band ends at a quarter of the frequency of the match and at four times.
const WIDEST: u64 = 4;

/// Designs every network for a load and keeps the best `K`; of those that differ only in turns, the best one.
///
/// `load` returns the load's impedance at a frequency, or `None` where it is not known; for a
/// [`LoadTable`](crate::design::load::LoadTable) it is `|f| table.at(f).ok()`. Each network first has its ideal values
/// at the frequency of the match. With losses, two of its parts are then changed so that it matches again. With a
/// preferred series, each part then takes one of its two nearest values, so that the network reflects least.
///
/// The worst SWR is the highest over 9 frequencies of the band and all corners of the tolerances
/// ([`worst_corner`](crate::design::preferred::worst_corner)). Impedance and length of lines have the
/// tolerance of the settings, together; transformers have none, and no loss. Lines take the nearest impedance that the
/// limits allow. Edges of a band are searched from the match in steps of 1 %, then by bisection to 1 Hz.
///
/// ```
/// use ohmwright::design::matching::{RankSettings, rank};
/// use ohmwright::design::preferred::{PreferredSeries, Tolerance};
/// use ohmwright::quantity::{Hertz, Impedance, Reference};
///
/// let mut settings = RankSettings::<f64>::new(Reference::fifty(), Hertz::from_megahertz(71));
/// settings.preferred = Some(PreferredSeries::E24);
/// settings.coil_tolerance = Tolerance::new(0.05)?;
/// settings.capacitor_tolerance = Tolerance::new(0.05)?;
/// let plans = rank::<f64, 4>(&settings, |_| Impedance::new(10.0, 0.0).ok())?;
/// let best = &plans.as_slice()[0];
/// assert!(best.swr() < 1.1 && best.worst_swr < 1.4);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// `LoadWithoutResistance` for such a load at the frequency of the match; `NotCovered` for a load that is not known
/// there or in the band; `Quantity` for a setting outside its range; `NoNetwork` where no network could be built.
pub fn rank<F: Floating, const K: usize>(
    settings: &RankSettings<F>,
    load: impl Fn(Hertz) -> Option<Impedance<F>>,
) -> Result<MatchPlans<F, K>, MatchingError> {
    settings.check()?;
    let at = load(settings.frequency).ok_or(MatchingError::NotCovered)?;
    load_with_resistance(at)?;
    let band = places(settings, &load)?;
    let bench = Bench { settings, load: at };
    let mut plans = MatchPlans::new(q_of(settings, &load));
    plans.limits(settings)?;
    candidates::each(settings, at, |scheme, ideal| {
        let parts = reactive_places(&ideal);
        let mut network = bench.with_losses(&ideal, &parts);
        if let Some(series) = settings.preferred {
            network = bench.with_preferred(&network, &parts, series);
        }
        network = with_real_lines(settings, network);
        plans.looked_at = plans.looked_at.saturating_add(1);
        if let Some(plan) = evaluate(settings, scheme, network, at, &band, &load) {
            plans.insert(plan);
        }
    })?;
    if plans.as_slice().is_empty() && K > 0 {
        return Err(MatchingError::NoNetwork);
    }
    Ok(plans)
}

type Places<F> = Vec<(Hertz, Impedance<F>), { BAND_POINTS as usize + 1 }>;

/// The frequencies of the band, and the load there.
fn places<F: Floating>(
    settings: &RankSettings<F>,
    load: &impl Fn(Hertz) -> Option<Impedance<F>>,
) -> Result<Places<F>, MatchingError> {
    let mut places = Places::new();
    let mut add = |frequency: Hertz| {
        let z = load(frequency).ok_or(MatchingError::NotCovered)?;
        let _ = places.push((frequency, z));
        Ok::<(), MatchingError>(())
    };
    add(settings.frequency)?;
    let span = settings.high.get().saturating_sub(settings.low.get());
    if span > 0 {
        for step in 0..BAND_POINTS {
            let part = (u128::from(span) * u128::from(step) / u128::from(BAND_POINTS - 1)) as u64;
            add(Hertz::new(settings.low.get().saturating_add(part)))?;
        }
    }
    Ok(places)
}

/// The load's Q at the geometric middle of the band, from points a thousandth below and above.
fn q_of<F: Floating>(
    settings: &RankSettings<F>,
    load: &impl Fn(Hertz) -> Option<Impedance<F>>,
) -> Option<QFactor<F>> {
    let (low, high) = (F::from_u64(settings.low.get()), F::from_u64(settings.high.get()));
    let middle = (low.square_root() * high.square_root()).to_i64().unsigned_abs();
    let step = (middle / 1000).max(1);
    let at = |hertz: u64| {
        let hertz = Hertz::new(hertz);
        load(hertz).map(|z| (hertz, z))
    };
    let (below, above) = (at(middle.saturating_sub(step)), at(middle.saturating_add(step)));
    load_q(below?, at(middle)?, above?).ok()
}

fn evaluate<F: Floating>(
    settings: &RankSettings<F>,
    scheme: MatchScheme,
    ladder: Network<F>,
    at: Impedance<F>,
    band: &Places<F>,
    load: &impl Fn(Hertz) -> Option<Impedance<F>>,
) -> Option<MatchPlan<F>> {
    let swr_at = |ladder: &Network<F>, frequency: Hertz, z: Impedance<F>| {
        ladder
            .reflection(z, frequency, settings.source)
            .map_or(Swr::MAX, Reflection::swr)
    };
    let walk = ladder.walk(at, settings.frequency).ok()?;
    let parts = reactive_places(&ladder);
    let over_band = |ladder: &Network<F>| {
        band.iter()
            .map(|(frequency, z)| swr_at(ladder, *frequency, *z))
            .fold(<F as Real>::ONE, |worst, swr| Real::larger(worst, swr.get()))
    };
    let corner = worst_corner(&tolerances(settings, &ladder, &parts), |factors| {
        let (of_parts, of_lines) = factors.split_at_checked(parts.len()).unwrap_or((factors, &[]));
        over_band(&lines_off(settings, off_by(&ladder, &parts, of_parts), of_lines))
    })
    .ok()?;
    let mut volts = <F as Real>::ZERO;
    let mut is_overstressed = false;
    let mut is_buildable = true;
    for (place, element) in ladder.elements().iter().enumerate() {
        let stress = walk.stress(place, settings.power).ok()??;
        volts = Real::larger(volts, stress.volts_peak.get());
        is_overstressed |= settings.is_beyond_rating(element, &stress);
        is_buildable &= settings.limits.is_none_or(|limits| limits.allows(element));
    }
    let follow = |up: bool| edge_on_one_side(settings, up, |f| load(f).map(|z| swr_at(&ladder, f, z)));
    let reflection = walk.reflection(settings.source);
    let limit = settings.swr_limit.get();
    let limit_kept = if corner.worst <= limit {
        LimitKept::AtEveryCorner
    } else if over_band(&ladder) <= limit {
        LimitKept::OverTheBand
    } else if reflection.swr().get() <= limit {
        LimitKept::AtTheFrequency
    } else {
        LimitKept::Nowhere
    };
    let loss = walk.loss().ok()?;
    let harmonics = [2, 3].map(|times: u64| {
        let frequency = Hertz::new(settings.frequency.get().saturating_mul(times));
        attenuation(settings, &ladder, load(frequency).unwrap_or(at), frequency)
    });
    let (passes_dc, grounds_load) = direct_current(&ladder);
    let band = (reflection.swr() <= settings.swr_limit).then(|| Band::new(follow(false), follow(true)));
    let width = band.map_or(Hertz::new(0), |band| band.width());
    let cost = settings.weights.cost(
        ladder.elements(),
        corner.worst,
        loss.get(),
        (width, settings.frequency),
        volts,
    );
    Some(MatchPlan {
        scheme,
        reflection,
        worst_swr: Swr::new(corner.worst),
        band,
        loss,
        volts_peak: Volts::new(volts),
        is_overstressed,
        is_buildable,
        limit_kept,
        cost,
        harmonics,
        passes_dc,
        grounds_load,
        ladder,
    })
}

/// What of the source's available power does not reach the load at a frequency, dB: 1/(1 − |Γ|²) of it enters, and the
/// loss of the walk stays on the way.
fn attenuation<F: Floating>(
    settings: &RankSettings<F>,
    ladder: &Network<F>,
    load: Impedance<F>,
    frequency: Hertz,
) -> Decibels<F> {
    let Ok(walk) = ladder.walk(load, frequency) else {
        return Decibels::MAX;
    };
    let reflected = walk.reflection(settings.source).mismatch_loss().get();
    Decibels::new(walk.loss().map_or(<F as Quantity>::MAX, |loss| loss.get()) + reflected)
}

/// Whether direct current passes from the source to the load, and whether the load is grounded for it.
fn direct_current<F: Floating>(ladder: &Network<F>) -> (bool, bool) {
    let (mut passes, mut is_grounded, mut is_cut) = (true, false, false);
    for element in ladder.elements() {
        let kind = element.part().map(|part| part.kind());
        let is_open = matches!(
            kind,
            Some(PartKind::Reactor(Reactor::Capacitor(_), _) | PartKind::Stub(_, StubEnd::Open))
        );
        let is_wire = matches!(
            kind,
            Some(PartKind::Reactor(Reactor::Inductor(_), _) | PartKind::Stub(_, StubEnd::Shorted))
        );
        match element {
            Element::Line(_) => {}
            Element::Series(_) => {
                passes &= !is_open;
                is_cut |= is_open;
            }
            Element::Shunt(_) => {
                passes &= !is_wire;
                is_grounded |= is_wire && !is_cut;
            }
            Element::Transformer(_) => {
                passes = false;
                is_grounded |= !is_cut;
                is_cut = true;
            }
        }
    }
    (passes, is_grounded)
}

/// The last frequency on one side that is still good enough, to 1 Hz, and whether the search ended there without an edge.
fn edge_on_one_side<F: Floating>(
    settings: &RankSettings<F>,
    up: bool,
    swr: impl Fn(Hertz) -> Option<Swr<F>>,
) -> (Hertz, bool) {
    let start = settings.frequency.get();
    let end = if up {
        start.saturating_mul(WIDEST)
    } else {
        (start / WIDEST).max(1)
    };
    let holds = |frequency| Ok::<_, Infallible>(swr(frequency).map(|swr| swr <= settings.swr_limit));
    let Ok(found) = edge(
        settings.frequency,
        Hertz::new(end),
        |reached| reached / 100,
        |_| 1,
        holds,
    );
    found
}
