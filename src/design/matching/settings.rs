//! The purpose of the networks, and the parts they may have.

use super::{MatchingError, PartLimits, RankWeights};
use crate::arithmetic::Floating;
use crate::design::ladder::{Element, PartKind, Stress};
use crate::design::line::Line;
use crate::design::preferred::{PreferredSeries, Tolerance};
use crate::quantity::swr::limit;
use crate::quantity::{
    Amperes, Decibels, Hertz, Metres, Ohms, QFactor, Reactor, Reference, Swr, VelocityFactor, Volts, Watts,
    not_negative, positive, positive_frequency,
};

/// The purpose of the networks, and the parts they may have.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct RankSettings<F: Floating> {
    /// The resistance of the source.
    pub source: Reference<F>,
    /// The frequency of the match.
    pub frequency: Hertz,
    /// The lowest frequency of the band; at most [`frequency`](Self::frequency).
    pub low: Hertz,
    /// The highest frequency of the band; at least [`frequency`](Self::frequency).
    pub high: Hertz,
    /// The SWR that is good enough: it sets the edges of a plan's band.
    pub swr_limit: Swr<F>,
    /// The power into the network, watts, for the stress of the parts.
    pub power: Watts<F>,
    /// The preferred series of the parts; `None` for parts of any value.
    pub preferred: Option<PreferredSeries>,
    /// True if coils come from the series too; false if they are wound to any value.
    pub preferred_coils: bool,
    /// The tolerance of inductances.
    pub coil_tolerance: Tolerance<F>,
    /// The tolerance of capacitances.
    pub capacitor_tolerance: Tolerance<F>,
    /// The unloaded Q of coils at the frequency; `None` for coils without loss.
    pub coil_q: Option<QFactor<F>>,
    /// The unloaded Q of capacitors; `None` for capacitors without loss.
    pub capacitor_q: Option<QFactor<F>>,
    /// The Q of pi and T; `None` for 1.25 times the least Q, but not below 2.
    pub three_element_q: Option<QFactor<F>>,
    /// The most turns of a transformer's winding; 0 for no transformers.
    pub most_turns: u8,
    /// The velocity factor of line; `None` for no lines.
    pub line_velocity_factor: Option<VelocityFactor<F>>,
    /// The available line impedances, ohms, lowest and highest.
    pub line_impedances: (Ohms<F>, Ohms<F>),
    /// True to try stubs as well, if there are lines.
    pub stubs: bool,
    /// The tolerance of the impedance and of the length of lines and stubs.
    pub line_tolerance: Tolerance<F>,
    /// The matched loss of lines and stubs at the frequency, dB per 100 m; it grows with the root of the frequency.
    pub line_loss: Decibels<F>,
    /// The parts that can be made; `None` for parts of any value, and lines of any impedance.
    pub limits: Option<PartLimits<F>>,
    /// How much each drawback counts.
    pub weights: RankWeights<F>,
    /// The peak voltage rating of the capacitors, volts; `None` if unknown.
    pub capacitor_volts: Option<Volts<F>>,
    /// The peak current rating of the coils, amperes; `None` if unknown.
    pub coil_amperes: Option<Amperes<F>>,
}

impl<F: Floating> RankSettings<F> {
    setters! {
        with_source(source: Reference<F>);
        with_frequency(frequency: Hertz);
        with_low(low: Hertz);
        with_high(high: Hertz);
        with_swr_limit(swr_limit: Swr<F>);
        with_power(power: Watts<F>);
        with_preferred(preferred: Option<PreferredSeries>);
        with_preferred_coils(preferred_coils: bool);
        with_coil_tolerance(coil_tolerance: Tolerance<F>);
        with_capacitor_tolerance(capacitor_tolerance: Tolerance<F>);
        with_coil_q(coil_q: Option<QFactor<F>>);
        with_capacitor_q(capacitor_q: Option<QFactor<F>>);
        with_three_element_q(three_element_q: Option<QFactor<F>>);
        with_most_turns(most_turns: u8);
        with_line_velocity_factor(line_velocity_factor: Option<VelocityFactor<F>>);
        with_line_impedances(line_impedances: (Ohms<F>, Ohms<F>));
        with_stubs(stubs: bool);
        with_line_tolerance(line_tolerance: Tolerance<F>);
        with_line_loss(line_loss: Decibels<F>);
        with_limits(limits: Option<PartLimits<F>>);
        with_weights(weights: RankWeights<F>);
        with_capacitor_volts(capacitor_volts: Option<Volts<F>>);
        with_coil_amperes(coil_amperes: Option<Amperes<F>>);
    }
}

impl<F: Floating> RankSettings<F> {
    /// For one frequency, ideal parts of any value, [usual](RankWeights::usual) weights, no transformers or lines (if added: 20 to 300 Ω), SWR limit 2, 1 W.
    pub fn new(source: Reference<F>, frequency: Hertz) -> Self {
        Self {
            source,
            frequency,
            low: frequency,
            high: frequency,
            swr_limit: Swr::whole::<2>(),
            power: Watts::whole::<1>(),
            preferred: None,
            preferred_coils: true,
            coil_tolerance: Tolerance::NONE,
            capacitor_tolerance: Tolerance::NONE,
            coil_q: None,
            capacitor_q: None,
            three_element_q: None,
            most_turns: 0,
            line_velocity_factor: None,
            line_impedances: (Ohms::whole::<20>(), Ohms::whole::<300>()),
            stubs: false,
            line_tolerance: Tolerance::NONE,
            line_loss: Decibels::ZERO,
            limits: None,
            weights: RankWeights::usual(),
            capacitor_volts: None,
            coil_amperes: None,
        }
    }

    /// True for a coil or a capacitor with more stress than its rating here.
    pub fn is_beyond_rating(&self, element: &Element<F>, stress: &Stress<F>) -> bool {
        match element.part().map(|part| part.kind()) {
            Some(PartKind::Reactor(Reactor::Capacitor(_), _)) => {
                self.capacitor_volts.is_some_and(|most| stress.volts_peak > most)
            }
            Some(PartKind::Reactor(Reactor::Inductor(_), _)) => {
                self.coil_amperes.is_some_and(|most| stress.amperes_peak > most)
            }
            _ => false,
        }
    }

    pub(super) fn check(&self) -> Result<(), MatchingError> {
        positive_frequency(self.frequency)?;
        if self.low.get() == 0 || self.low > self.frequency || self.high < self.frequency {
            return Err(outside!(
                "band",
                "must begin above 0 Hz and hold the frequency of the match"
            )
            .into());
        }
        limit(self.swr_limit, "SWR limit")?;
        for (value, name) in [
            (Some(self.power.get()), "power"),
            (self.coil_q.map(QFactor::get), "Q of the coils"),
            (self.capacitor_q.map(QFactor::get), "Q of the capacitors"),
            (self.three_element_q.map(QFactor::get), "Q of pi and T"),
            (self.capacitor_volts.map(Volts::get), "voltage of the capacitors"),
            (self.coil_amperes.map(Amperes::get), "current of the coils"),
        ] {
            if let Some(value) = value {
                positive(value, name)?;
            }
        }
        not_negative(self.line_loss, "matched loss")?;
        if !self.limits.is_none_or(|limits| limits.is_sound()) {
            return Err(outside!("limits of the parts", "must be finite, the lower one first").into());
        }
        if !self.weights.is_sound() {
            return Err(outside!("weights", "must be from 0 to below a million").into());
        }
        let (low, high) = self.line_impedances;
        if !low.is_finite() || !high.is_finite() || low <= Ohms::ZERO || high < low {
            return Err(outside!(
                "line impedances",
                "must be finite and above 0, the lower one first"
            )
            .into());
        }
        if let Some(factor) = self.line_velocity_factor {
            Line::<F>::new(self.source.ohms(), factor, Metres::ZERO)?;
        }
        Ok(())
    }
}
