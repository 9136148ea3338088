//! The parts that can be made for a frequency.

use crate::arithmetic::{Floating, Quantity, Real};
use crate::design::ladder::{Element, PartKind};
use crate::quantity::{Capacitance, Hertz, Inductance, Ohms, Reactor};

/// Line impedances in a [`PartLimits`].
const LINES: usize = 6;

/// The parts that can be made and keep their value at a frequency: what [`rank`](super::rank) may offer.
///
/// A plan with a part outside them stands below every plan without one.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct PartLimits<F: Floating> {
    /// The least and the greatest inductance.
    pub inductances: (Inductance<F>, Inductance<F>),
    /// The least and the greatest capacitance.
    pub capacitances: (Capacitance<F>, Capacitance<F>),
    /// The most turns of the smaller winding of a transformer.
    pub smaller_winding: u8,
    /// The most turns of the larger one.
    pub larger_winding: u8,
    /// The impedances of line that can be bought, ohms: a line takes the nearest of them, by ratio.
    pub lines: [Ohms<F>; LINES],
}

impl<F: Floating> PartLimits<F> {
    setters! {
        with_inductances(inductances: (Inductance<F>, Inductance<F>));
        with_capacitances(capacitances: (Capacitance<F>, Capacitance<F>));
        with_smaller_winding(smaller_winding: u8);
        with_larger_winding(larger_winding: u8);
        with_lines(lines: [Ohms<F>; LINES]);
    }

    /// What is usual at a frequency; every figure is common practice, no source, and the formulas are those of a
    /// resonance of L and C.
    ///
    /// - Coil: from 3 nH, which is 5 mm of wire, to 1500 Ω, and not more than resonates with its own 0.3 pF at three
    ///   times the frequency: there the inductance seems 1/(1 − 1/9) of its value, an eighth more.
    /// - Capacitor: from 0.5 pF to 100 nF, and not more than resonates with its own 1 nH at twice the frequency.
    /// - Transformer: at most three turns on the smaller winding. On the larger one what wire a twentieth of a wave long
    ///   makes, at 20 mm a turn: from two to twelve turns.
    /// - Line: 25 Ω and 37.5 Ω (two of 50 Ω or 75 Ω side by side), 50 Ω, 75 Ω, 300 Ω, 450 Ω.
    pub fn usual(frequency: Hertz) -> Self {
        let number = F::from_f64;
        let omega = F::TAU * F::from_u64(frequency.get().max(1));
        let (three, two) = (omega * F::from_i32(3), omega + omega);
        let coil = <F as Real>::ONE / (three * three * number(0.3e-12));
        let capacitor = <F as Real>::ONE / (two * two * number(1e-9));
        let twentieth = number(299_792_458.0 / 20.0 / 0.02) / F::from_u64(frequency.get().max(1));
        Self {
            inductances: (
                Inductance::from_base(number(3e-9)),
                Inductance::from_base(Real::smaller(coil, number(1500.0) / omega)),
            ),
            capacitances: (
                Capacitance::from_base(number(0.5e-12)),
                Capacitance::from_base(Real::smaller(capacitor, number(100e-9))),
            ),
            smaller_winding: 3,
            larger_winding: u8::try_from(twentieth.to_i64().clamp(2, 12)).unwrap_or(12),
            lines: [25.0, 37.5, 50.0, 75.0, 300.0, 450.0].map(|ohms| Ohms::new(number(ohms))),
        }
    }

    /// Whether an element can be made; a line with any impedance can, since it takes one that exists.
    pub fn allows(&self, element: &Element<F>) -> bool {
        match element {
            Element::Transformer(turns) => {
                let (one, other) = (turns.primary(), turns.secondary());
                one.min(other) <= self.smaller_winding && one.max(other) <= self.larger_winding
            }
            _ => match element.part().map(|part| part.kind()) {
                Some(PartKind::Reactor(Reactor::Inductor(inductance), _)) => {
                    let (low, high) = self.inductances;
                    low <= inductance && inductance <= high
                }
                Some(PartKind::Reactor(Reactor::Capacitor(capacitance), _)) => {
                    let (low, high) = self.capacitances;
                    low <= capacitance && capacitance <= high
                }
                _ => true,
            },
        }
    }

    /// The impedance of line that is nearest by ratio.
    pub fn nearest_line(&self, wanted: Ohms<F>) -> Ohms<F> {
        let far = |ohms: Ohms<F>| {
            let ratio = ohms.get() / wanted.get();
            Real::larger(ratio, <F as Real>::ONE / ratio)
        };
        let [first, rest @ ..] = self.lines;
        rest.into_iter().fold(
            first,
            |best, other| {
                if far(other) < far(best) { other } else { best }
            },
        )
    }

    pub(super) fn is_sound(&self) -> bool {
        self.inductances.0 <= self.inductances.1
            && self.capacitances.0 <= self.capacitances.1
            && self
                .lines
                .iter()
                .all(|ohms| Quantity::is_finite(ohms.get()) && ohms.get() > <F as Real>::ZERO)
    }
}
