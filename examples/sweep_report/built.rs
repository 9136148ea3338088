//! What is built, as the command line says it: the winding that is there, and what can be done with winding and element.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::design::transformer::{TransformerError, Turns};
use ohmwright::measure::{Built, TuningElement};
use ohmwright::quantity::{QuantityError, Ratio};

use super::figures::of_option;
use super::input::positive;
use super::options::Options;

/// Turns of each winding, at most, unless the command line says otherwise.
const USUAL_MOST: u8 = 12;

/// What the command line says of it.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// The transformer that the load is measured through.
    pub winding: Option<Turns>,
    /// The most turns of each winding; [`Asked::most_turns`] where none are given.
    pub most: Option<Turns>,
    /// By what factor the element can be changed at least and at most.
    pub factors: (f64, f64),
}

impl Default for Asked {
    fn default() -> Self {
        Self {
            winding: None,
            most: None,
            factors: (0.5, 2.0),
        }
    }
}

impl Asked {
    /// The most turns of each winding: twelve unless said otherwise, and what is there has room.
    pub fn most_turns(&self) -> Result<Turns, TransformerError> {
        let there = self
            .winding
            .map_or((0, 0), |there| (there.primary(), there.secondary()));
        let unless_given = || Turns::new(there.0.max(USUAL_MOST), there.1.max(USUAL_MOST));
        match self.most {
            Some(most) => Ok(most),
            None => unless_given(),
        }
    }

    /// What the options say together.
    pub fn check(&self) -> Result<(), String> {
        match (self.winding, self.most) {
            (Some(there), Some(most))
                if there.primary() > most.primary() || there.secondary() > most.secondary() =>
            {
                Err(format!(
                    "--winding: {there} is there, with more turns than the {most} of --most-turns"
                ))
            }
            _ => Ok(()),
        }
    }

    /// In the words of the family.
    pub fn built<A: Arithmetic>(
        &self,
        element: TuningElement,
        options: &Options,
    ) -> Result<Built<A>, String> {
        let factor = |value| {
            of_option("--element", options, value, |value| {
                let word = Ratio::<A>::try_from_f64(value).map_err(|error| error.of("factor"))?;
                // A small one may round to nothing.
                (word > Ratio::ZERO)
                    .then_some(word)
                    .ok_or(QuantityError::NotPositive("factor"))
            })
        };
        let (least, most) = self.factors;
        let most_turns = self
            .most_turns()
            .map_err(|error| format!("--most-turns: {error}"))?;
        Ok(Built::new(element)
            .with_least_factor(factor(least)?)
            .with_most_factor(factor(most)?)
            .with_winding(self.winding)
            .with_most_turns(most_turns))
    }
}

/// P:S turns, each from 1 to 255.
pub fn turns(name: &str, given: &str) -> Result<Turns, String> {
    let wrong = || format!("{name}: {given:?} is not P:S, two whole numbers from 1 to 255");
    let (primary, secondary) = given.split_once(':').ok_or_else(wrong)?;
    let count = |text: &str| text.trim().parse::<u8>().map_err(|_| wrong());
    Turns::new(count(primary)?, count(secondary)?).map_err(|_| wrong())
}

/// The same, or one number for both windings.
pub fn most_turns(given: &str) -> Result<Turns, String> {
    if given.contains(':') {
        return turns("--most-turns", given);
    }
    let wrong = || format!("--most-turns: {given:?} is no whole number from 1 to 255, and not P:S");
    let count = given.trim().parse::<u8>().map_err(|_| wrong())?;
    Turns::new(count, count).map_err(|_| wrong())
}

/// LEAST,MOST: 1 lies between them.
pub fn factors(given: &str) -> Result<(f64, f64), String> {
    let (least, most) = given
        .split_once(',')
        .ok_or_else(|| format!("--element: {given:?} is not LEAST,MOST, as in 0.5,2"))?;
    let factors = (positive("--element", least)?, positive("--element", most)?);
    match factors {
        (least, _) if least > 1.0 => Err(format!("--element: the least factor, {least}, must be at most 1")),
        (_, most) if most < 1.0 => Err(format!(
            "--element: the largest factor, {most}, must be at least 1"
        )),
        _ => Ok(factors),
    }
}
