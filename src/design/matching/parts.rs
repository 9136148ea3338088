//! From ideal parts to real parts: losses, values that allow for them, preferred values, tolerances.

use heapless::Vec;

use super::RankSettings;
use super::network::{MOST_ELEMENTS, Network};
use crate::arithmetic::{Floating, Quantity, Real};
use crate::design::ladder::{Element, Part, PartKind};
use crate::design::line::Line;
use crate::design::preferred::{MOST_CORNER_PARTS, PreferredSeries, Tolerance};
use crate::quantity::{Impedance, Metres, Ohms, Reactor};

/// The most rounds of Newton's method; it converges in two or three.
const MOST_ROUNDS: usize = 6;

/// The indices of the coils and capacitors in a network.
pub(super) type Places = Vec<usize, MOST_ELEMENTS>;

pub(super) fn reactive_places<F: Floating>(network: &Network<F>) -> Places {
    network
        .elements()
        .iter()
        .enumerate()
        .filter(|(_, element)| matches!(element.part().map(Part::kind), Some(PartKind::Reactor(..))))
        .map(|(place, _)| place)
        .take(MOST_ELEMENTS)
        .collect()
}

fn reactor<F: Floating>(part: Part<F>) -> Option<Reactor<F>> {
    match part.kind() {
        PartKind::Reactor(reactor, _) => Some(reactor),
        _ => None,
    }
}

/// The same network with each coil and capacitor times a factor, then passed to `after`.
fn changed<F: Floating>(
    network: &Network<F>,
    places: &[usize],
    factors: &[F],
    after: impl Fn(Part<F>) -> Part<F>,
) -> Network<F> {
    let mut changed = network.clone();
    for (place, factor) in places.iter().zip(factors) {
        if let Some(element) = changed.elements_mut().get_mut(*place)
            && let Some(part) = element.part()
        {
            *element = element.with_part(after(part.scaled(*factor)));
        }
    }
    changed
}

/// The same network with each coil and capacitor times a factor; its losses do not change.
pub(super) fn off_by<F: Floating>(network: &Network<F>, places: &[usize], factors: &[F]) -> Network<F> {
    changed(network, places, factors, |part| part)
}

pub(super) fn tolerances<F: Floating>(
    settings: &RankSettings<F>,
    network: &Network<F>,
    places: &[usize],
) -> Vec<Tolerance<F>, MOST_CORNER_PARTS> {
    let reactors = places
        .iter()
        .filter_map(|place| reactor(network.elements().get(*place)?.part()?))
        .map(|reactor| match reactor {
            Reactor::Inductor(_) => settings.coil_tolerance,
            Reactor::Capacitor(_) => settings.capacitor_tolerance,
        });
    let lines = network
        .elements()
        .iter()
        .filter(|element| line_of(element).is_some())
        .flat_map(|_| [settings.line_tolerance; 2]);
    let mut list = Vec::new();
    for tolerance in reactors.chain(lines) {
        // More corners than these are not tried.
        let _ = list.push(tolerance);
    }
    list
}

/// The line of an element: a piece of it, or a stub.
fn line_of<F: Floating>(element: &Element<F>) -> Option<Line<F>> {
    match (element, element.part().map(Part::kind)) {
        (Element::Line(line), _) => Some(*line),
        (_, Some(PartKind::Stub(line, _))) => Some(line),
        _ => None,
    }
}

/// The same network with other lines; one that cannot be made stays as it is.
fn with_lines<F: Floating>(
    mut network: Network<F>,
    mut change: impl FnMut(Line<F>) -> Option<Line<F>>,
) -> Network<F> {
    for element in network.elements_mut() {
        let Some(line) = line_of(element).and_then(&mut change) else {
            continue;
        };
        *element = match element.part().map(Part::kind) {
            Some(PartKind::Stub(_, end)) => match Part::stub(line, end) {
                Ok(stub) => element.with_part(stub),
                Err(_) => continue,
            },
            _ => Element::Line(line),
        };
    }
    network
}

/// Lines of an impedance that exists, with their loss.
pub(super) fn with_real_lines<F: Floating>(settings: &RankSettings<F>, network: Network<F>) -> Network<F> {
    with_lines(network, |line| {
        let impedance = settings
            .limits
            .map_or(line.impedance(), |limits| limits.nearest_line(line.impedance()));
        Line::new(impedance, line.velocity_factor(), line.length())
            .and_then(|line| line.with_loss(settings.line_loss, settings.frequency))
            .ok()
    })
}

/// The same network with the impedance and the length of each line times a factor, in this order.
pub(super) fn lines_off<F: Floating>(
    settings: &RankSettings<F>,
    network: Network<F>,
    factors: &[F],
) -> Network<F> {
    let mut pairs = factors.chunks_exact(2);
    with_lines(network, |line| {
        let &[impedance, length] = pairs.next()? else {
            return None;
        };
        Line::new(
            Ohms::new(line.impedance().get() * impedance),
            line.velocity_factor(),
            Metres::new(line.length().get() * length),
        )
        .and_then(|line| line.with_loss(settings.line_loss, settings.frequency))
        .ok()
    })
}

/// The calculations for a network at the frequency of the match.
pub(super) struct Bench<'a, F: Floating> {
    pub settings: &'a RankSettings<F>,
    pub load: Impedance<F>,
}

impl<F: Floating> Bench<'_, F> {
    /// The losses from the settings for a part of this value, as a series resistance.
    fn dressed(&self, part: Part<F>) -> Part<F> {
        let q = match reactor(part) {
            Some(Reactor::Inductor(_)) => self.settings.coil_q,
            Some(Reactor::Capacitor(_)) => self.settings.capacitor_q,
            None => None,
        };
        let (Some(q), Some(reactor)) = (q, reactor(part)) else {
            return part;
        };
        let resistance = Real::absolute(reactor.reactance(self.settings.frequency).get()) / q.get();
        part.with_series_resistance(Ohms::new(resistance)).unwrap_or(part)
    }

    fn changed(&self, network: &Network<F>, places: &[usize], factors: &[F]) -> Network<F> {
        changed(network, places, factors, |part| self.dressed(part))
    }

    /// Γ, whose real and imaginary part are to become 0; `None` where the walk fails.
    fn gamma(&self, network: &Network<F>) -> Option<(F, F)> {
        let gamma = network
            .reflection(self.load, self.settings.frequency, self.settings.source)
            .ok()?;
        Some(gamma.words())
    }

    fn power(&self, network: &Network<F>) -> F {
        self.gamma(network)
            .map_or(<F as Quantity>::MAX, |(re, im)| re * re + im * im)
    }

    /// The network with losses, and two of its parts changed by Newton's method so that it matches again if it can.
    pub fn with_losses(&self, ideal: &Network<F>, places: &[usize]) -> Network<F> {
        let one = <F as Real>::ONE;
        let mut best = self.changed(ideal, places, &[one; MOST_ELEMENTS]);
        let [first, second, ..] = *places else {
            return best;
        };
        let pair = [first, second];
        let step = <F as Real>::EPSILON.square_root();
        let mut power = self.power(&best);
        for _ in 0..MOST_ROUNDS {
            let along = |factors: [F; 2]| self.gamma(&self.changed(&best, &pair, &factors));
            let (Some((u, v)), Some((u1, v1)), Some((u2, v2))) = (
                along([one, one]),
                along([one + step, one]),
                along([one, one + step]),
            ) else {
                return best;
            };
            let (a, b, c, d) = ((u1 - u) / step, (u2 - u) / step, (v1 - v) / step, (v2 - v) / step);
            let determinant = a * d - b * c;
            let moved = [
                one + (b * v - d * u) / determinant,
                one + (c * u - a * v) / determinant,
            ];
            // A part must not change beyond recognition, nor vanish.
            let sound = |factor: F| factor > <F as Real>::HALF && factor < <F as Real>::TWO;
            if !moved.into_iter().all(sound) {
                return best;
            }
            let next = self.changed(&best, &pair, &moved);
            let left = self.power(&next);
            if left >= power {
                return best;
            }
            (best, power) = (next, left);
        }
        best
    }

    /// Each part at one of the two nearest preferred values, so that the network reflects least.
    pub fn with_preferred(
        &self,
        network: &Network<F>,
        places: &[usize],
        series: PreferredSeries,
    ) -> Network<F> {
        let one = <F as Real>::ONE;
        let mut sides: Vec<(F, F), MOST_ELEMENTS> = Vec::new();
        for place in places {
            let reactor = network
                .elements()
                .get(*place)
                .and_then(|element| element.part())
                .and_then(reactor);
            let value = match reactor {
                Some(Reactor::Inductor(inductance)) if self.settings.preferred_coils => inductance.get(),
                Some(Reactor::Capacitor(capacitance)) => capacitance.get(),
                _ => <F as Real>::ZERO,
            };
            // A value that no series reaches does not change.
            let factors = match series.neighbours(value) {
                Ok((below, above)) => (below / value, above / value),
                Err(_) => (one, one),
            };
            let _ = sides.push(factors);
        }
        let mut best: Option<(Network<F>, F)> = None;
        for choice in 0..1u32 << (sides.len() & 31) {
            let mut factors = [one; MOST_ELEMENTS];
            for (place, (factor, (below, above))) in factors.iter_mut().zip(&sides).enumerate() {
                *factor = if (choice >> (place & 31)) & 1 == 1 {
                    *above
                } else {
                    *below
                };
            }
            let candidate = self.changed(network, places, &factors);
            let power = self.power(&candidate);
            if best.as_ref().is_none_or(|(_, least)| power < *least) {
                best = Some((candidate, power));
            }
        }
        best.map_or_else(|| network.clone(), |(network, _)| network)
    }
}
