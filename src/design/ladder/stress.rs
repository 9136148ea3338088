//! The power that each element of a ladder takes, and the voltage and current it must bear.

use heapless::Vec;

use super::part::{At, Part, PartKind};
use super::{Element, LadderError, Passed, finite, reflection_of};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::design::line::{Line, hyperbolic};
use crate::quantity::plane::Plane;
use crate::quantity::{
    Amperes, Complex, Decibels, Hertz, Impedance, Reference, Reflection, Volts, Watts, not_negative,
};

/// What an element must bear at a given input power.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Stress<A: Arithmetic> {
    /// The peak voltage, volts: across a part, the higher of a transformer's windings, the highest on a line or stub.
    pub volts_peak: Volts<A>,
    /// The peak current, amperes: in a part, the higher of a transformer's windings, the highest on a line or stub.
    pub amperes_peak: Amperes<A>,
    /// The power that it turns into heat, watts.
    pub watts: Watts<A>,
}

impl<A: Arithmetic> Stress<A> {
    /// No stress.
    pub const NONE: Self = Self {
        volts_peak: Volts::ZERO,
        amperes_peak: Amperes::ZERO,
        watts: Watts::ZERO,
    };
}

/// The same in the scale of the walk: volts, amperes, and twice the power.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Relative<W> {
    volts: W,
    amperes: W,
    power: W,
}

/// A ladder walked from the load to the source at one frequency.
///
/// Power is counted where it is taken, element by element, and the input takes the sum: for every result the balance
/// holds to a rounding, and no two nearly equal powers are subtracted. Error in fixed point: half a step of each word,
/// and 4e-7 of the value, times the square of the cancellation on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Walk<A: Arithmetic, const N: usize> {
    steps: Vec<Relative<A::Working>, N>,
    load: Relative<A::Working>,
    voltage: Complex<A::Working>,
    current: Complex<A::Working>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const N: usize> defmt::Format for Walk<A, N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "ladder walked, seen {}", self.input_impedance());
    }
}

impl<A: Arithmetic, const N: usize> Walk<A, N> {
    pub(super) fn start(load: Impedance<A>, node: Plane<A::Working>) -> Self {
        let resistance = if load.is_open() {
            A::Working::ZERO
        } else {
            load.resistance().to_working()
        };
        Self {
            steps: Vec::new(),
            load: Relative {
                volts: node.voltage.magnitude(),
                amperes: node.current.magnitude(),
                power: resistance,
            },
            voltage: node.voltage,
            current: node.current,
        }
    }

    fn node(&self) -> Plane<A::Working> {
        Plane::new(self.voltage, self.current)
    }

    pub(super) fn take(&mut self, element: &Element<A>, at: &At<A::Working>) {
        let before = self.node();
        let after = match element.pass(at, before) {
            Passed::Through(after) => after,
            Passed::Cut(after) => {
                // No power reaches the elements behind.
                let nothing = Relative {
                    volts: A::Working::ZERO,
                    amperes: A::Working::ZERO,
                    power: A::Working::ZERO,
                };
                self.load = nothing;
                for step in &mut self.steps {
                    *step = nothing;
                }
                after
            }
        };
        let step = match element {
            // After a cut the current is zero and the whole voltage is across the element.
            Element::Series(part) => in_part(*part, at, after.voltage, after.current, false),
            Element::Shunt(part) => in_part(*part, at, after.voltage, after.current, true),
            Element::Transformer(_) => Relative {
                volts: before.voltage.magnitude().larger(after.voltage.magnitude()),
                amperes: before.current.magnitude().larger(after.current.magnitude()),
                power: A::Working::ZERO,
            },
            Element::Line(line) => on_line(*line, at.frequency, before, after),
        };
        // This holds as many elements as the ladder.
        let _ = self.steps.push(step);
        (self.voltage, self.current) = (after.voltage, after.current);
    }

    pub(super) fn finish(self) -> Result<Self, LadderError> {
        finite(self.node())?;
        if self.total().is_finite() {
            Ok(self)
        } else {
            Err(QuantityError::OutOfRange("power on the way").into())
        }
    }

    /// What the source sees.
    pub fn input_impedance(&self) -> Impedance<A> {
        match self.voltage.checked_div(self.current) {
            None => Impedance::OPEN,
            Some(z) => Impedance::from_complex(z),
        }
    }

    /// Γ that the source sees.
    pub fn reflection(&self, source: Reference<A>) -> Reflection<A> {
        reflection_of(self.node(), source)
    }

    /// Twice the input power in the scale of the walk: the sum of what elements and load take.
    fn total(&self) -> A::Working {
        self.steps
            .iter()
            .fold(self.load.power, |sum, step| sum + step.power)
    }

    /// The input power in the scale of the walk.
    fn input(&self) -> Result<A::Working, LadderError> {
        let total = self.total();
        if total > A::Working::ZERO {
            Ok(total)
        } else if total.is_zero() {
            Err(LadderError::NothingTakesPower)
        } else {
            Err(LadderError::GivesPower)
        }
    }

    /// The stress of an element, counted from 0 at the load, when this power enters the ladder; `None` behind the last.
    ///
    /// The *input* power is what the source delivers into the ladder, not what it could deliver into a match. On a line
    /// the maxima are taken at its ends and where forward and reflected wave add up; with loss this is right to second
    /// order in the loss of a quarter wave.
    ///
    /// # Errors
    /// `Quantity` for a power that is negative or not finite; else as [`loss`](Self::loss).
    pub fn stress(
        &self,
        element: usize,
        input: impl Into<Watts<A>>,
    ) -> Result<Option<Stress<A>>, LadderError> {
        let input = input.into();
        let Some(step) = self.steps.get(element) else {
            return Ok(None);
        };
        self.scaled(step, input).map(Some)
    }

    /// The same for the load: its watts are the power it takes.
    ///
    /// # Errors
    /// As [`stress`](Self::stress).
    pub fn load_stress(&self, input: impl Into<Watts<A>>) -> Result<Stress<A>, LadderError> {
        let input = input.into();
        self.scaled(&self.load, input)
    }

    fn scaled(&self, step: &Relative<A::Working>, input: Watts<A>) -> Result<Stress<A>, LadderError> {
        let watts = not_negative(input, "power")?.to_working();
        let total = self.input()?;
        // P = ½·Re(V·I*) with peak values.
        let scale = ((watts + watts) / total).square_root();
        Ok(Stress {
            volts_peak: Volts::<A>::from_working(step.volts * scale),
            amperes_peak: Amperes::<A>::from_working(step.amperes * scale),
            watts: Watts::<A>::from_working(step.power / total * watts),
        })
    }

    /// The loss in an element, dB of the power that enters it (the largest value if none passes); `None` after the last.
    ///
    /// # Errors
    /// As [`loss`](Self::loss).
    pub fn element_loss(&self, element: usize) -> Result<Option<Decibels<A>>, LadderError> {
        self.input()?;
        let Some(step) = self.steps.get(element) else {
            return Ok(None);
        };
        let behind = self
            .steps
            .iter()
            .take(element)
            .fold(self.load.power, |sum, step| sum + step.power);
        Ok(Some(Decibels::<A>::from_working(loss(behind, step.power))))
    }

    /// The loss of the whole ladder, dB of the power that enters it; the largest value where no power reaches the load.
    ///
    /// # Errors
    /// `NothingTakesPower` or `GivesPower` where ladder and load take no power.
    pub fn loss(&self) -> Result<Decibels<A>, LadderError> {
        self.input()?;
        let taken = self
            .steps
            .iter()
            .fold(A::Working::ZERO, |sum, step| sum + step.power);
        Ok(Decibels::<A>::from_working(loss(self.load.power, taken)))
    }
}

/// 10·lg((passed + taken)/passed).
fn loss<W: Real>(passed: W, taken: W) -> W {
    if taken <= W::ZERO {
        W::ZERO
    } else if passed <= W::ZERO {
        W::LARGEST
    } else {
        ((passed + taken) / passed).decibels()
    }
}

fn in_part<A: Arithmetic>(
    part: Part<A>,
    at: &At<A::Working>,
    node_voltage: Complex<A::Working>,
    node_current: Complex<A::Working>,
    across: bool,
) -> Relative<A::Working> {
    let (voltage, current) = part.pair(at);
    // In series the current is given, across the voltage; a cut has only the other one.
    let factor = if across {
        match node_voltage.checked_div(voltage) {
            Some(factor) => factor,
            None => node_current / current,
        }
    } else {
        match node_current.checked_div(current) {
            Some(factor) => factor,
            None => node_voltage / voltage,
        }
    };
    let size = factor.magnitude();
    match part.kind() {
        PartKind::Stub(line, end) => {
            let far = Plane::end_of(end).scale(size);
            let near = far.through(line.impedance().to_working(), &line.propagation(at.frequency));
            on_line(line, at.frequency, far, near)
        }
        _ => Relative {
            volts: voltage.magnitude() * size,
            amperes: current.magnitude() * size,
            // The current is 1 or 0 here.
            power: current.re * voltage.re * size.square(),
        },
    }
}

/// The stress between the load's end of a line and the source's.
fn on_line<A: Arithmetic>(
    line: Line<A>,
    frequency: Hertz,
    end: Plane<A::Working>,
    input: Plane<A::Working>,
) -> Relative<A::Working> {
    let z0 = line.impedance().to_working();
    let way = line.propagation(frequency);
    let (forward, back) = end.waves(z0);
    // Both waves lose power: the input less the output, without a difference of the two.
    let grown = A::Working::TWO * way.decay * (way.spread + way.decay);
    let shrunk = A::Working::TWO * way.decay * (way.spread - way.decay);
    let power = (forward.power() * grown + back.power() * shrunk) / z0;
    let mut volts = end.voltage.magnitude().larger(input.voltage.magnitude());
    let mut amperes = end.current.magnitude().larger(input.current.magnitude());
    if !back.is_zero() && !forward.is_zero() {
        // Γ turns by two turns a wavelength. In phase the voltages add up, in antiphase the currents.
        let gamma = back * forward.conjugate();
        let angle = A::Working::turns(gamma.im, gamma.re);
        let turned = way.turns + way.turns;
        for (target, quantity) in [(A::Working::ZERO, &mut volts), (A::Working::HALF, &mut amperes)] {
            // The first point in [0, 1) turns from the end, and the last of those on the line.
            let mut first = angle - target;
            if first < A::Working::ZERO {
                first = first + A::Working::ONE;
            }
            if first > turned {
                continue;
            }
            let whole = whole_below(turned - first);
            let share = (first + whole) / turned;
            let (decay, spread) = hyperbolic(way.nepers * share);
            let sum = forward.magnitude() * (spread + decay) + back.magnitude() * (spread - decay);
            let there = if target.is_zero() { sum } else { sum / z0 };
            *quantity = quantity.larger(there);
        }
    }
    Relative {
        volts,
        amperes,
        power,
    }
}

/// The largest whole number that is not above the value.
fn whole_below<W: Real>(value: W) -> W {
    let nearest = value.to_i64();
    let whole = W::from_u64(nearest.unsigned_abs());
    if whole > value { whole - W::ONE } else { whole }
}
