//! Matching by pieces of line: the quarter wave, and one stub.

use super::two_elements::inverse;
use super::{MatchingError, WhyNot, load_with_resistance, push_series, push_shunt};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::design::ladder::{Element, Ladder, Part, StubEnd};
use crate::design::line::Line;
use crate::quantity::swr::limit;
use crate::quantity::{
    Complex, Hertz, Impedance, Metres, Ohms, Ratio, Reference, Siemens, Swr, VelocityFactor,
    positive_frequency,
};

/// How the load becomes a resistance at the quarter wave.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub enum QuarterWaveRoute<A: Arithmetic> {
    /// A reactance in series that cancels the load's.
    SeriesPart,
    /// A susceptance across that cancels the load's.
    ShuntPart,
    /// A piece of line of this impedance in ohms, to the point of highest voltage: a high resistance.
    LineToHighest(Ohms<A>),
    /// A piece of line of this impedance in ohms, to the point of lowest voltage: a low resistance.
    LineToLowest(Ohms<A>),
}

/// A quarter wave of line between a load and a source, of the impedance √(R·Z0); R is the load after the route.
///
/// D. M. Pozar, "Microwave Engineering", sections 2.5 and 5.4. The lines have no loss; in fixed point their lengths are
/// whole steps of 15 µm and their impedances of 0.24 mΩ. A load that is a resistance needs no part and no line first.
///
/// ```
/// use ohmwright::design::matching::{QuarterWaveRoute, quarter_wave};
/// use ohmwright::quantity::{Hertz, Impedance, Reference, VelocityFactor};
///
/// let load = Impedance::<f64>::new(112.0, 0.0)?;
/// let relay = Hertz::from_megahertz(71);
/// let (fifty, coax) = (Reference::fifty(), VelocityFactor::new(0.66));
/// let ladder = quarter_wave::<f64, 2>(load, fifty, QuarterWaveRoute::SeriesPart, coax, relay)?;
/// assert!(ladder.reflection(load, relay, fifty)?.swr() < 1.0 + 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// `LoadWithoutResistance` for such a load; `PartBeyondWord` for a part beyond its word (number type); `Quantity` for a
/// frequency of 0, a length beyond its word, or as [`Line::new`]; `Ladder` if `N` is too small.
pub fn quarter_wave<A: Arithmetic, const N: usize>(
    load: Impedance<A>,
    source: Reference<A>,
    route: QuarterWaveRoute<A>,
    velocity_factor: VelocityFactor<A>,
    frequency: Hertz,
) -> Result<Ladder<A, N>, MatchingError> {
    positive_frequency(frequency)?;
    let z = load_with_resistance(load)?;
    let mut ladder = Ladder::new();
    let resistance = match route {
        QuarterWaveRoute::SeriesPart => {
            push_series(&mut ladder, -z.im, frequency)?;
            z.re
        }
        QuarterWaveRoute::ShuntPart => {
            let y = inverse(z);
            push_shunt(&mut ladder, -y.im, frequency)?;
            A::Working::ONE / y.re
        }
        QuarterWaveRoute::LineToHighest(impedance) | QuarterWaveRoute::LineToLowest(impedance) => {
            // Checks the values.
            Line::<A>::new(impedance, velocity_factor, Metres::<A>::ZERO)?;
            let on_line = OnLine::<A>::new(z, impedance.to_working());
            // (1 + ρ)/(1 − ρ), without the difference that cancels.
            let swr = (A::Working::ONE + on_line.size).square() / on_line.passive;
            let z0 = impedance.to_working();
            let (turns, resistance) = if matches!(route, QuarterWaveRoute::LineToHighest(_)) {
                (on_line.angle, z0 * swr)
            } else {
                (on_line.angle + A::Working::HALF, z0 / swr)
            };
            let turns = if on_line.size.is_zero() {
                A::Working::ZERO
            } else {
                half_turns(turns)
            };
            push_line(&mut ladder, impedance, velocity_factor, turns, frequency)?;
            resistance
        }
    };
    let impedance = Ohms::<A>::from_working((resistance * source.working()).square_root());
    let quarter = A::Working::HALF * A::Working::HALF;
    push_line(&mut ladder, impedance, velocity_factor, quarter, frequency)?;
    Ok(ladder)
}

/// The bandwidth in which a quarter wave between a resistive load and a source stays below an SWR, as a fraction of its
/// frequency; `None` where the load alone does, so that it holds at every frequency.
///
/// 2 − (4/π)·acos(((S − 1)/(2√S))·2√(R·Z0)/|R − Z0|) (D. M. Pozar, "Microwave Engineering", equation 5.33).
///
/// # Errors
/// `LoadWithoutResistance` for such a load (its reactance is ignored); `Quantity` for an SWR below 1.
pub fn quarter_wave_bandwidth<A: Arithmetic>(
    load: Impedance<A>,
    source: Reference<A>,
    swr_limit: Swr<A>,
) -> Result<Option<Ratio<A>>, MatchingError> {
    let r = load_with_resistance(load)?.re;
    let (z0, one) = (source.working(), A::Working::ONE);
    let s = limit(swr_limit, "SWR limit")?;
    let far = (r - z0).absolute();
    let near = (s - one) / s.square_root() * (r * z0).square_root();
    if near >= far {
        return Ok(None);
    }
    let cosine = near / far;
    let turns = A::Working::turns((one - cosine * cosine).square_root(), cosine);
    Ok(Some(Ratio::<A>::from_working(
        A::Working::TWO - A::Working::from_i32(8) * turns,
    )))
}

/// The lines of a single stub.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct StubSettings<A: Arithmetic> {
    /// The impedance of the line from the load to the stub, ohms.
    pub line_impedance: Ohms<A>,
    /// The impedance of the stub, ohms.
    pub stub_impedance: Ohms<A>,
    /// The velocity factor of both.
    pub velocity_factor: VelocityFactor<A>,
    /// The stub's far end.
    pub end: StubEnd,
}

impl<A: Arithmetic> StubSettings<A> {
    setters! {
        with_line_impedance(line_impedance: Ohms<A>);
        with_stub_impedance(stub_impedance: Ohms<A>);
        with_velocity_factor(velocity_factor: VelocityFactor<A>);
        with_end(end: StubEnd);
    }
}

/// A piece of line, and a stub across its input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SingleStub<A: Arithmetic> {
    settings: StubSettings<A>,
    line: A::Working,
    stub: A::Working,
    susceptance: A::Working,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for SingleStub<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (line, stub) = (self.line_wavelengths(), self.stub_wavelengths());
        defmt::write!(f, "line of {} wavelengths, stub of {}", line, stub);
    }
}

impl<A: Arithmetic> SingleStub<A> {
    /// The line from the load to the stub, in wavelengths on it: 0 to ½.
    pub fn line_wavelengths(&self) -> Ratio<A> {
        Ratio::<A>::from_working(self.line)
    }

    /// The stub, in wavelengths on it: 0 to ½; 0 where no stub is needed.
    pub fn stub_wavelengths(&self) -> Ratio<A> {
        Ratio::<A>::from_working(self.stub)
    }

    /// The susceptance at the stub's position without the stub, siemens: the stub has the opposite one.
    pub fn susceptance(&self) -> Siemens<A> {
        Siemens::<A>::from_working(self.susceptance)
    }

    /// The network as a ladder at a frequency.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0 or a length beyond its word; `Ladder` if `N` is too small.
    pub fn ladder<const N: usize>(&self, frequency: Hertz) -> Result<Ladder<A, N>, MatchingError> {
        let StubSettings {
            line_impedance,
            stub_impedance,
            velocity_factor,
            end,
        } = self.settings;
        let mut ladder = Ladder::new();
        push_line(&mut ladder, line_impedance, velocity_factor, self.line, frequency)?;
        let stub = Line::of_turns(stub_impedance, velocity_factor, self.stub, frequency)?;
        if stub.length() > Metres::<A>::ZERO {
            ladder.push(Element::Shunt(Part::stub(stub, end)?))?;
        }
        Ok(ladder)
    }
}

/// The two ways to match a load to a source with a piece of line and one stub: positive and negative susceptance at it.
///
/// The line turns the load to where its conductance is the source's; the stub cancels the susceptance (D. M. Pozar,
/// "Microwave Engineering", section 5.2). With a line of the source's own impedance both ways exist. In fixed point
/// lengths are right to half a step of their word, 8e-6 of a wavelength.
///
/// ```
/// use ohmwright::design::ladder::StubEnd;
/// use ohmwright::design::matching::{StubSettings, single_stub};
/// use ohmwright::quantity::{Impedance, Ohms, Reference, VelocityFactor};
///
/// let settings = StubSettings::<f64> {
///     line_impedance: Ohms::new(50.0),
///     stub_impedance: Ohms::new(50.0),
///     velocity_factor: VelocityFactor::new(0.66),
///     end: StubEnd::Shorted,
/// };
/// let [first, _] = single_stub(Impedance::new(60.0, -80.0)?, Reference::fifty(), settings)?;
/// let first = first.expect("always, on a line of 50 ohms");
/// assert!((first.line_wavelengths() - 0.1104).abs() < 5e-5);
/// assert!((first.stub_wavelengths() - 0.0950).abs() < 5e-5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// `LoadWithoutResistance` for such a load; `Quantity` for a line that [`Line::new`] refuses.
pub fn single_stub<A: Arithmetic>(
    load: Impedance<A>,
    source: Reference<A>,
    settings: StubSettings<A>,
) -> Result<[Result<SingleStub<A>, WhyNot>; 2], MatchingError> {
    let z = load_with_resistance(load)?;
    Line::<A>::new(
        settings.line_impedance,
        settings.velocity_factor,
        Metres::<A>::ZERO,
    )?;
    Line::<A>::new(
        settings.stub_impedance,
        settings.velocity_factor,
        Metres::<A>::ZERO,
    )
    .map_err(|error| match error.parameter() {
        "line impedance" => error.of("stub impedance"),
        _ => error,
    })?;
    let (one, two, zero) = (A::Working::ONE, A::Working::TWO, A::Working::ZERO);
    let z0 = settings.line_impedance.to_working();
    let on_line = OnLine::<A>::new(z, z0);
    if on_line.size.is_zero() {
        return Ok([Err(WhyNot::LoadMatchesLine); 2]);
    }
    // With y = (1 − Γ)/(1 + Γ) and g = Z0/Rs: |1 + Γ|² = (1 − ρ²)/g gives the angle of Γ.
    let from_short = on_line.passive * source.working() / z0;
    let square = on_line.size.square();
    let cosine = (from_short - one - square) / (two * on_line.size);
    let beyond = cosine.absolute() - one;
    if beyond > A::Working::EPSILON * A::Working::from_i32(4) {
        return Ok([Err(WhyNot::LineNeverMeetsSource); 2]);
    }
    let sine = if beyond > zero {
        zero
    } else {
        ((one - cosine) * (one + cosine)).square_root()
    };
    let build = |sine: A::Working| {
        // Γ in the lower half plane is capacitive.
        let susceptance = -(two * on_line.size * sine / from_short / z0);
        SingleStub {
            settings,
            line: half_turns(on_line.angle - A::Working::turns(sine, cosine)),
            stub: stub_turns(settings, susceptance),
            susceptance,
        }
    };
    Ok([
        Ok(build(-sine)),
        if sine.is_zero() {
            Err(WhyNot::SameAsOther)
        } else {
            Ok(build(sine))
        },
    ])
}

/// The length of a stub that has this susceptance, in turns of the wave.
fn stub_turns<A: Arithmetic>(settings: StubSettings<A>, susceptance: A::Working) -> A::Working {
    let (one, zero) = (A::Working::ONE, A::Working::ZERO);
    let relative = -(susceptance * settings.stub_impedance.to_working());
    if relative.is_zero() {
        return zero;
    }
    match settings.end {
        StubEnd::Open => {
            let turns = A::Working::turns(relative, one);
            if turns < zero {
                turns + A::Working::HALF
            } else {
                turns
            }
        }
        StubEnd::Shorted => A::Working::turns(one, -relative),
    }
}

/// A load on a line: |Γ|, 1 − |Γ|², and the angle of Γ in turns.
struct OnLine<A: Arithmetic> {
    size: A::Working,
    passive: A::Working,
    angle: A::Working,
}

impl<A: Arithmetic> OnLine<A> {
    fn new(z: Complex<A::Working>, z0: A::Working) -> Self {
        let (above, below) = (z - Complex::real(z0), z + Complex::real(z0));
        let away = below.magnitude();
        let gamma = above * below.conjugate();
        Self {
            size: above.magnitude() / away,
            passive: A::Working::from_i32(4) * (z.re / away) * (z0 / away),
            angle: A::Working::turns(gamma.im, gamma.re),
        }
    }
}

/// Half of an angle in (−1½, 1½) turns, brought to [0, ½): the distance on a line.
fn half_turns<W: Real>(angle: W) -> W {
    let mut way = angle;
    // Two steps each way cover the whole range.
    for _ in 0..2 {
        if way < W::ZERO {
            way = way + W::ONE;
        }
        if way >= W::ONE {
            way = way - W::ONE;
        }
    }
    way * W::HALF
}

/// Adds a piece of line, unless its length is 0.
fn push_line<A: Arithmetic, const N: usize>(
    ladder: &mut Ladder<A, N>,
    impedance: Ohms<A>,
    velocity_factor: VelocityFactor<A>,
    turns: A::Working,
    frequency: Hertz,
) -> Result<(), MatchingError> {
    let line = Line::of_turns(impedance, velocity_factor, turns, frequency)?;
    if line.length() > Metres::<A>::ZERO {
        ladder.push(Element::Line(line))?;
    }
    Ok(())
}
