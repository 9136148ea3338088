//! A transformer of whole turns, and two reactances for the remaining mismatch.

use super::two_elements::between;
use super::{MatchingError, load_with_resistance, source_with_resistance};
use crate::arithmetic::Arithmetic;
use crate::design::ladder::{Element, Ladder};
use crate::design::transformer::Turns;
use crate::quantity::{Complex, Hertz, Impedance, positive_frequency};

/// The position of the transformer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum TransformerPlace {
    /// At the load; the two reactances at the source.
    AtLoad,
    /// At the source; the two reactances at the load.
    AtSource,
}

/// Every network of an ideal transformer and two reactances between a load and a source: those of
/// [`two_element`](super::two_element()), in the same order, for the load (or the source) seen through the turns.
///
/// ```
/// use ohmwright::design::matching::{TransformerPlace, with_transformer};
/// use ohmwright::design::transformer::Turns;
/// use ohmwright::quantity::{Hertz, Impedance, Reference};
///
/// let (load, relay) = (Impedance::<f64>::new(1.8, -2.5)?, Hertz::from_megahertz(71));
/// let source = Impedance::new(50.0, 0.0)?;
/// let all = with_transformer::<f64, 3>(load, source, Turns::new(5, 1)?, TransformerPlace::AtLoad, relay)?;
/// let first = all.iter().flatten().next().expect("a network");
/// assert!(first.reflection(load, relay, Reference::fifty())?.swr() < 1.0 + 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// `LoadWithoutResistance` or `SourceWithoutResistance`, also for an open or a short; `Quantity` for a frequency of 0.
/// Each network by itself: `DoesNotExist`, `PartBeyondWord`, or `Ladder` if `N` is too small.
pub fn with_transformer<A: Arithmetic, const N: usize>(
    load: Impedance<A>,
    source: Impedance<A>,
    turns: Turns,
    place: TransformerPlace,
    frequency: Hertz,
) -> Result<[Result<Ladder<A, N>, MatchingError>; 4], MatchingError> {
    positive_frequency(frequency)?;
    let load = load_with_resistance(load)?;
    let target = source_with_resistance(source)?.conjugate();
    let ratio = turns.ratio_squared::<A>();
    let found = match place {
        TransformerPlace::AtLoad => between(load.scale(ratio), target),
        // By division, so that the ratio is rounded once.
        TransformerPlace::AtSource => between::<A>(load, Complex::new(target.re / ratio, target.im / ratio)),
    };
    Ok(found.all().map(|network| {
        let network = network.map_err(MatchingError::DoesNotExist)?;
        let mut ladder = Ladder::new();
        if place == TransformerPlace::AtLoad {
            ladder.push(Element::Transformer(turns))?;
        }
        network.push_onto(&mut ladder, frequency)?;
        if place == TransformerPlace::AtSource {
            ladder.push(Element::Transformer(turns))?;
        }
        Ok(ladder)
    }))
}
