//! What counts, and how much, where plans are compared.

use crate::arithmetic::{Floating, Real};
use crate::design::ladder::{Element, PartKind};
use crate::quantity::{Decibels, Hertz, Ratio};

/// How much each drawback of a plan counts: the cost of a plan is their sum, in decibels.
///
/// What is lost counts as it is: power that the worst corner reflects, and power that becomes heat. The others are
/// judgements, in decibels of lost power that one would give to be without them (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct RankWeights<F: Floating> {
    /// Times the mismatch loss at the worst SWR.
    pub mismatch: Ratio<F>,
    /// Times the loss of the network.
    pub loss: Ratio<F>,
    /// For each coil and each capacitor.
    pub part: Decibels<F>,
    /// For each transformer: its usual loss and its making.
    pub transformer: Decibels<F>,
    /// For each piece of line and each stub.
    pub line: Decibels<F>,
    /// For each metre of line.
    pub metre: Decibels<F>,
    /// For each halving of the band below an octave (a width equal to the frequency).
    pub halved_band: Decibels<F>,
    /// For each doubling of the highest peak voltage.
    pub doubled_voltage: Decibels<F>,
}

impl<F: Floating> RankWeights<F> {
    setters! {
        with_mismatch(mismatch: Ratio<F>);
        with_loss(loss: Ratio<F>);
        with_part(part: Decibels<F>);
        with_transformer(transformer: Decibels<F>);
        with_line(line: Decibels<F>);
        with_metre(metre: Decibels<F>);
        with_halved_band(halved_band: Decibels<F>);
        with_doubled_voltage(doubled_voltage: Decibels<F>);
    }

    /// 1 for mismatch and loss; 0.05 dB for a part, 0.3 dB for a transformer, 0.15 dB for a piece of line and 0.1 dB for
    /// a metre of it, 0.1 dB for a halved band, 0.02 dB for a doubled voltage.
    pub fn usual() -> Self {
        let decibels = |value: f64| Decibels::new(F::from_f64(value));
        Self {
            mismatch: Ratio::new(<F as Real>::ONE),
            loss: Ratio::new(<F as Real>::ONE),
            part: decibels(0.05),
            transformer: decibels(0.3),
            line: decibels(0.15),
            metre: decibels(0.1),
            halved_band: decibels(0.1),
            doubled_voltage: decibels(0.02),
        }
    }

    pub(super) fn is_sound(&self) -> bool {
        [
            self.mismatch.get(),
            self.loss.get(),
            self.part.get(),
            self.transformer.get(),
            self.line.get(),
            self.metre.get(),
            self.halved_band.get(),
            self.doubled_voltage.get(),
        ]
        .into_iter()
        .all(|weight| weight >= <F as Real>::ZERO && weight < F::from_i32(1_000_000))
    }

    /// The cost of what an element is.
    fn element(&self, element: &Element<F>) -> F {
        let line = |metres: F| self.line.get() + self.metre.get() * metres;
        match element {
            Element::Transformer(_) => self.transformer.get(),
            Element::Line(piece) => line(piece.length().get()),
            Element::Series(part) | Element::Shunt(part) => match part.kind() {
                PartKind::Stub(piece, _) => line(piece.length().get()),
                _ => self.part.get(),
            },
        }
    }

    /// The cost of a plan: `worst_swr` and `loss` as they are, `width` of its band, the highest peak voltage.
    pub(super) fn cost(
        &self,
        elements: &[Element<F>],
        worst_swr: F,
        loss: F,
        (width, at): (Hertz, Hertz),
        volts: F,
    ) -> Decibels<F> {
        let (one, zero) = (<F as Real>::ONE, <F as Real>::ZERO);
        let doublings = |value: F| value.natural_logarithm() / <F as Real>::TWO.natural_logarithm();
        // (S + 1)²/(4·S): 10·lg of it is the mismatch loss.
        let sum = worst_swr + one;
        let reflected = (sum * (sum / (F::from_i32(4) * worst_swr))).decibels();
        let narrow = F::from_u64(at.get()) / F::from_u64(width.get().max(1));
        let halvings = Real::larger(doublings(narrow), zero);
        let parts = elements
            .iter()
            .fold(zero, |sum, element| sum + self.element(element));
        let volts = if volts > zero { doublings(volts) } else { zero };
        Decibels::new(
            self.mismatch.get() * reflected
                + self.loss.get() * loss
                + parts
                + self.halved_band.get() * halvings
                + self.doubled_voltage.get() * volts,
        )
    }
}
