//! Networks that match a load to a source, and which of them to build.
//!
//! - [`two_element`]: every network of two reactances, and why the others do not exist;
//! - [`three_element`]: pi and T of a wanted Q;
//! - [`with_transformer`]: whole turns first, and two reactances for the rest;
//! - [`quarter_wave`] and [`single_stub`]: lines instead of parts;
//! - [`bode_fano`]: the limit of every lossless network, beyond which it makes no sense to try;
//! - [`rank`]: all of them for one load, with real parts, the best first (floating families only).
//!
//! Every network is a [`Ladder`] with its elements from the load to the source. A walk through it gives the requested
//! match, except for rounding of its values to the words (number types) of the family.

use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::design::ladder::{Element, Ladder, Part};
use crate::quantity::{Complex, Hertz, Impedance, Reactor, positive_frequency};

pub mod bode_fano;
mod candidates;
mod error;
mod limits;
mod lines;
mod network;
mod parts;
mod plan;
mod ranking;
mod settings;
mod three_elements;
mod transformed;
mod two_elements;
mod weights;

pub use error::MatchingError;
pub use limits::PartLimits;
pub use lines::{
    QuarterWaveRoute, SingleStub, StubSettings, quarter_wave, quarter_wave_bandwidth, single_stub,
};
pub use plan::{LimitKept, MatchPlan, MatchPlans, MatchScheme};
pub use ranking::rank;
pub use settings::RankSettings;
pub use three_elements::{ThreeElement, ThreeElementShape, least_q, three_element};
pub use transformed::{TransformerPlace, with_transformer};
pub use two_elements::{Orientation, TwoElement, TwoElementSet, WhyNot, two_element};
pub use weights::RankWeights;

/// The load in working numbers, if a lossless network can feed power into it.
fn load_with_resistance<A: Arithmetic>(load: Impedance<A>) -> Result<Complex<A::Working>, MatchingError> {
    load.resistive().ok_or(MatchingError::LoadWithoutResistance)
}

fn source_with_resistance<A: Arithmetic>(source: Impedance<A>) -> Result<Complex<A::Working>, MatchingError> {
    load_with_resistance(source).map_err(|_| MatchingError::SourceWithoutResistance)
}

/// How a value fits the word of its family.
enum Fit {
    Nothing,
    Fits,
    TooLarge,
}

fn fit<A: Arithmetic>(reactor: Reactor<A>) -> (Fit, &'static str) {
    fn of<Q: Quantity>(word: Q) -> Fit {
        if word == Q::ZERO {
            Fit::Nothing
        } else if word == Q::MAX {
            Fit::TooLarge
        } else {
            Fit::Fits
        }
    }
    match reactor {
        Reactor::Inductor(inductance) => (of(inductance.get()), "inductance"),
        Reactor::Capacitor(capacitance) => (of(capacitance.get()), "capacitance"),
    }
}

/// Adds a reactance in series, unless it is 0 or a coil that rounds to 0.
fn push_series<A: Arithmetic, const N: usize>(
    ladder: &mut Ladder<A, N>,
    reactance: A::Working,
    frequency: Hertz,
) -> Result<(), MatchingError> {
    positive_frequency(frequency)?;
    let Some(reactor) = Reactor::with_working_reactance(reactance, frequency) else {
        return finite(reactance, "series reactance");
    };
    match (fit(reactor), reactor) {
        ((Fit::Fits, _), _) => Ok(ladder.push(Element::Series(Part::reactor(reactor)?))?),
        ((Fit::Nothing, _), Reactor::Inductor(_)) => Ok(()),
        ((_, name), _) => Err(MatchingError::PartBeyondWord(name)),
    }
}

/// Adds a susceptance across, unless it is 0 or a capacitor that rounds to 0.
fn push_shunt<A: Arithmetic, const N: usize>(
    ladder: &mut Ladder<A, N>,
    susceptance: A::Working,
    frequency: Hertz,
) -> Result<(), MatchingError> {
    positive_frequency(frequency)?;
    if susceptance.is_zero() {
        return Ok(());
    }
    let reactance = -(A::Working::ONE / susceptance);
    let Some(reactor) = Reactor::with_working_reactance(reactance, frequency) else {
        return finite(reactance, "shunt reactance");
    };
    match (fit(reactor), reactor) {
        ((Fit::Fits, _), _) => Ok(ladder.push(Element::Shunt(Part::reactor(reactor)?))?),
        ((Fit::Nothing, _), Reactor::Capacitor(_)) => Ok(()),
        ((_, name), _) => Err(MatchingError::PartBeyondWord(name)),
    }
}

fn finite<W: Real>(value: W, name: &'static str) -> Result<(), MatchingError> {
    if value.is_finite() {
        Ok(())
    } else {
        Err(MatchingError::PartBeyondWord(name))
    }
}
