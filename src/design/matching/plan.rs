//! A ranked network, and the list of them.

use core::cmp::Ordering;
use core::fmt;

use heapless::Vec;

use super::RankSettings;
use super::bode_fano::{least_reflection, widest_band};
use crate::arithmetic::{Floating, QuantityError, Real};
use crate::design::ladder::{Element, Ladder, PartKind};
use crate::design::line::Line;
use crate::quantity::{Band, Decibels, QFactor, Ratio, Reactor, Reflection, Swr, Volts};

/// The kind of network of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum MatchScheme {
    /// Two reactances, or one where that is enough.
    TwoElement,
    /// Three reactances: across, in series, across.
    Pi,
    /// Three reactances: in series, across, in series.
    Tee,
    /// A transformer, alone or with one part.
    Transformer,
    /// A transformer and two reactances.
    TransformerAndTwo,
    /// A quarter wave of line after a part or another piece of line.
    QuarterWave,
    /// A piece of line and a stub.
    SingleStub,
}

impl fmt::Display for MatchScheme {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::TwoElement => "two elements",
            Self::Pi => "pi",
            Self::Tee => "T",
            Self::Transformer => "transformer",
            Self::TransformerAndTwo => "transformer and two elements",
            Self::QuarterWave => "quarter wave",
            Self::SingleStub => "single stub",
        })
    }
}

/// How far a plan keeps the SWR limit of the settings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum LimitKept {
    /// All over the band, at every corner of the tolerances.
    AtEveryCorner,
    /// All over the band, with every part at its value.
    OverTheBand,
    /// At the frequency of the match only.
    AtTheFrequency,
    /// Not even there.
    Nowhere,
}

impl fmt::Display for LimitKept {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::AtEveryCorner => "at every corner",
            Self::OverTheBand => "over the band",
            Self::AtTheFrequency => "at the frequency",
            Self::Nowhere => "nowhere",
        })
    }
}

/// One network, with its parts as they are to be bought, and what it does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct MatchPlan<F: Floating> {
    /// The kind of network.
    pub scheme: MatchScheme,
    /// The elements, from the load to the source, losses included.
    pub ladder: Ladder<F, 4>,
    /// Γ at the frequency of the match, with every part at its value.
    pub reflection: Reflection<F>,
    /// The highest SWR over the band of the settings, at the worst tolerance corner.
    pub worst_swr: Swr<F>,
    /// Where the SWR stays below the limit, with every part at its value; `None` where it does not even at the frequency.
    pub band: Option<Band>,
    /// What the network loses at the frequency, dB.
    pub loss: Decibels<F>,
    /// The highest peak voltage on any element, volts.
    pub volts_peak: Volts<F>,
    /// True if a capacitor or a coil must bear more than its rating in the settings.
    pub is_overstressed: bool,
    /// False if a part lies outside the [`limits`](RankSettings::limits) of the settings.
    pub is_buildable: bool,
    /// How far it keeps the SWR limit.
    pub limit_kept: LimitKept,
    /// The sum of its drawbacks by the [`weights`](RankSettings::weights) of the settings, dB.
    pub cost: Decibels<F>,
    /// By how much less of the source's available power reaches the load at twice and three times the frequency, dB
    /// (mismatch and loss together; saturates). The load is what it is there or, where that is not known, what it is at
    /// the frequency of the match.
    pub harmonics: [Decibels<F>; 2],
    /// True if a direct voltage at the source reaches the load: nothing in series stops it, nothing across shorts it.
    pub passes_dc: bool,
    /// True if a coil, a stub or a winding connects the load to ground for direct current.
    pub grounds_load: bool,
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for MatchPlan<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "{}: SWR {}, worst SWR {}, loss {}; {}",
            self.scheme,
            self.swr(),
            self.worst_swr,
            self.loss,
            self.ladder,
        );
    }
}

impl<F: Floating> MatchPlan<F> {
    /// The SWR at the frequency of the match.
    pub fn swr(&self) -> Swr<F> {
        self.reflection.swr()
    }

    /// The same network, or one with other turns and the values for them.
    fn is_like(&self, other: &Self) -> bool {
        let turned = matches!(
            self.scheme,
            MatchScheme::Transformer | MatchScheme::TransformerAndTwo
        );
        let (own, others) = (self.ladder.elements(), other.ladder.elements());
        let alike = |(a, b): (&Element<F>, &Element<F>)| match (a, b) {
            (Element::Series(a), Element::Series(b)) | (Element::Shunt(a), Element::Shunt(b)) => {
                match (a.kind(), b.kind()) {
                    (PartKind::Reactor(a, _), PartKind::Reactor(b, _)) => {
                        matches!(a, Reactor::Inductor(_)) == matches!(b, Reactor::Inductor(_))
                    }
                    _ => false,
                }
            }
            (Element::Transformer(_), Element::Transformer(_)) => true,
            _ => false,
        };
        self.is_equal(other)
            || (turned
                && self.scheme == other.scheme
                && own.len() == others.len()
                && own.iter().zip(others).all(alike))
    }

    /// The same elements, their values within 1 %: nobody would build both.
    fn is_equal(&self, other: &Self) -> bool {
        let near = |one: F, other: F| {
            let most = Real::larger(Real::absolute(one), Real::absolute(other));
            Real::absolute(one - other) * F::from_i32(100) <= most
        };
        let line = |one: Line<F>, other: Line<F>| {
            near(one.impedance().get(), other.impedance().get())
                && near(one.length().get(), other.length().get())
        };
        let part = |one: PartKind<F>, other: PartKind<F>| match (one, other) {
            (PartKind::Reactor(Reactor::Inductor(a), _), PartKind::Reactor(Reactor::Inductor(b), _)) => {
                near(a.get(), b.get())
            }
            (PartKind::Reactor(Reactor::Capacitor(a), _), PartKind::Reactor(Reactor::Capacitor(b), _)) => {
                near(a.get(), b.get())
            }
            (PartKind::Stub(a, end), PartKind::Stub(b, other_end)) => end == other_end && line(a, b),
            _ => false,
        };
        let (own, others) = (self.ladder.elements(), other.ladder.elements());
        own.len() == others.len()
            && own.iter().zip(others).all(|pair| match pair {
                (Element::Series(a), Element::Series(b)) | (Element::Shunt(a), Element::Shunt(b)) => {
                    part(a.kind(), b.kind())
                }
                (Element::Transformer(a), Element::Transformer(b)) => a == b,
                (Element::Line(a), Element::Line(b)) => line(*a, *b),
                _ => false,
            })
    }

    /// Orders plans: those that cannot be built or overstress a part last; then by how far they keep the SWR limit; then
    /// the lower cost (by steps of 0.01 dB), the fewer elements, the lower voltage (5 %).
    pub(super) fn rank(&self) -> impl Ord + use<F> {
        let volts = self.volts_peak.get().natural_logarithm() * F::from_i32(20);
        (
            self.is_overstressed || !self.is_buildable,
            self.limit_kept,
            (self.cost.get() * F::from_i32(100)).to_i64(),
            self.ladder.elements().len(),
            volts.to_i64(),
        )
    }
}

/// The best plans for a load, best first, and the limit for every network.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[must_use = "it reports what was found"]
pub struct MatchPlans<F: Floating, const K: usize> {
    plans: Vec<MatchPlan<F>, K>,
    pub(super) looked_at: u32,
    pub(super) load_q: Option<QFactor<F>>,
    best_worst_swr: Option<Swr<F>>,
    widest_band: Option<Ratio<F>>,
}

#[cfg(feature = "defmt")]
impl<F: Floating, const K: usize> defmt::Format for MatchPlans<F, K> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=u32} networks looked at", self.looked_at);
        for plan in &self.plans {
            defmt::write!(f, ", {}", plan);
        }
    }
}

impl<F: Floating, const K: usize> MatchPlans<F, K> {
    /// No plan yet, for a load of this Q.
    pub(super) fn new(load_q: Option<QFactor<F>>) -> Self {
        Self {
            plans: Vec::new(),
            looked_at: 0,
            load_q,
            best_worst_swr: None,
            widest_band: None,
        }
    }

    /// Best first. A plan with a part that cannot be made or must bear too much stands below all others; of the rest
    /// one that misses the SWR limit never stands above one that keeps it ([`LimitKept`]). Then the lower
    /// [`cost`](MatchPlan::cost) decides, by steps of 0.01 dB, then fewer elements, then the lower peak voltage (5 %).
    pub fn as_slice(&self) -> &[MatchPlan<F>] {
        &self.plans
    }

    /// The number of networks examined.
    pub fn looked_at(&self) -> u32 {
        self.looked_at
    }

    /// The Q of the load at the geometric middle of the band ([`load_q`](super::bode_fano::load_q)), if known.
    pub fn load_q(&self) -> Option<QFactor<F>> {
        self.load_q
    }

    /// The lowest worst SWR over the band of the settings that a lossless network without tolerances can have, by
    /// [`bode_fano`](super::bode_fano); `None` without a band, or if the load's Q is not known.
    pub fn least_worst_swr(&self) -> Option<Swr<F>> {
        self.best_worst_swr
    }

    /// The widest band below the SWR limit that a lossless network can have, as a fraction of its geometric middle;
    /// infinite for a load without reactance.
    pub fn widest_band(&self) -> Option<Ratio<F>> {
        self.widest_band
    }

    pub(super) fn insert(&mut self, plan: MatchPlan<F>) {
        let rank = plan.rank();
        // The same network may be found in two ways; of networks that differ only in their turns one is enough.
        if let Some(place) = self.plans.iter().position(|held| held.is_like(&plan)) {
            let is_better = self
                .plans
                .get(place)
                .is_some_and(|held| rank.cmp(&held.rank()) == Ordering::Less);
            if !is_better {
                return;
            }
            if place < self.plans.len() {
                self.plans.remove(place);
            }
        }
        let place = self
            .plans
            .iter()
            .position(|held| rank.cmp(&held.rank()) == Ordering::Less)
            .unwrap_or(self.plans.len());
        if place < K {
            self.plans.truncate(K.saturating_sub(1));
            // There is space, and the index is within the list; the optimiser does not see the latter.
            if place <= self.plans.len() {
                let _ = self.plans.insert(place, plan);
            }
        }
    }

    pub(super) fn limits(&mut self, settings: &RankSettings<F>) -> Result<(), QuantityError> {
        let Some(q) = self.load_q else { return Ok(()) };
        self.widest_band = Some(widest_band(q, settings.swr_limit.magnitude())?);
        if settings.low < settings.high {
            let (low, high) = (F::from_u64(settings.low.get()), F::from_u64(settings.high.get()));
            let gamma = least_reflection(q, Ratio::new((high - low) / (low * high).square_root()))?;
            self.best_worst_swr = Some(Swr::from_magnitude(gamma));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::ladder::Part;
    use crate::design::transformer::Turns;
    use crate::quantity::{Capacitance, Inductance};

    /// A transformer of these turns with a coil or a capacitor across.
    fn plan(primary: u8, has_coil: bool, worst: f64) -> MatchPlan<f64> {
        let part = if has_coil {
            Part::inductor(Inductance::from_picohenries(30_000 * u32::from(primary)))
        } else {
            Part::capacitor(Capacitance::from_femtofarads(2_000 * u32::from(primary)))
        };
        let mut ladder = Ladder::new();
        ladder
            .push(Element::Transformer(Turns::new(primary, 2).unwrap()))
            .unwrap();
        ladder.push(Element::Shunt(part.unwrap())).unwrap();
        MatchPlan {
            scheme: MatchScheme::Transformer,
            ladder,
            reflection: Reflection::MATCHED,
            worst_swr: worst.into(),
            band: None,
            loss: 0.0.into(),
            volts_peak: 1.0.into(),
            is_overstressed: false,
            is_buildable: true,
            limit_kept: LimitKept::AtEveryCorner,
            cost: worst.into(),
            harmonics: [0.0.into(); 2],
            passes_dc: false,
            grounds_load: true,
        }
    }

    /// The worst SWR of each plan that is kept, best first.
    fn kept<const K: usize>(plans: &[MatchPlan<f64>]) -> std::vec::Vec<f64> {
        let mut list = MatchPlans::<f64, K>::new(None);
        for plan in plans {
            list.insert(plan.clone());
        }
        list.as_slice().iter().map(|plan| plan.worst_swr.get()).collect()
    }

    /// Of networks that differ in their turns alone the better is kept, whichever is found first.
    #[test]
    fn the_better_of_two_alike_is_kept() {
        let (good, middle, bad) = (plan(3, true, 1.2), plan(5, true, 1.5), plan(7, true, 2.5));
        let orders = [
            [&good, &middle, &bad],
            [&good, &bad, &middle],
            [&middle, &good, &bad],
            [&middle, &bad, &good],
            [&bad, &good, &middle],
            [&bad, &middle, &good],
        ];
        let other = plan(3, false, 1.8);
        for order in orders {
            let three = order.map(Clone::clone);
            assert_eq!(kept::<8>(&three), [1.2]);
            // Another one beside, at any place, and a list that has no room for both.
            for place in 0..=3 {
                let mut four = std::vec::Vec::from(three.clone());
                four.insert(place, other.clone());
                assert_eq!(kept::<8>(&four), [1.2, 1.8]);
                assert_eq!(kept::<2>(&four), [1.2, 1.8]);
                assert_eq!(kept::<1>(&four), [1.2]);
                assert_eq!(kept::<0>(&four), [0.0; 0]);
            }
        }
        // The control: with a capacitor in place of the coil it is another network.
        assert_eq!(kept::<8>(&[plan(5, false, 1.5), good]), [1.2, 1.5]);
    }

    /// The documented order, one step after the other.
    #[test]
    fn each_step_of_the_order_decides() {
        let best = plan(3, true, 1.2);
        let mut longer = plan(3, false, 1.2);
        longer
            .ladder
            .push(Element::Transformer(Turns::new(1, 1).unwrap()))
            .unwrap();
        let worse = [
            MatchPlan {
                is_overstressed: true,
                cost: 1.0.into(),
                ..plan(3, false, 1.2)
            },
            MatchPlan {
                is_buildable: false,
                cost: 1.0.into(),
                ..plan(3, false, 1.2)
            },
            MatchPlan {
                limit_kept: LimitKept::OverTheBand,
                cost: 1.0.into(),
                ..plan(3, false, 1.2)
            },
            MatchPlan {
                cost: 1.22.into(),
                volts_peak: 0.1.into(),
                ..plan(3, false, 1.2)
            },
            MatchPlan {
                volts_peak: 0.1.into(),
                ..longer
            },
            MatchPlan {
                volts_peak: 1.2.into(),
                ..plan(3, false, 1.2)
            },
        ];
        for worse in worse {
            for pair in [[&best, &worse], [&worse, &best]] {
                let mut list = MatchPlans::<f64, 4>::new(None);
                for plan in pair {
                    list.insert(plan.clone());
                }
                assert_eq!(list.as_slice(), [best.clone(), worse.clone()]);
            }
        }
    }
}
