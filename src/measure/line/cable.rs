//! A cable with a known kind of end: its delay, its impedance and its loss.

use super::LineError;
use super::distance::DistanceWindow;
use super::echoes::{Echoes, peak, turned};
use super::span::{Span, metres, metres_per_cell};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::measure::calibration::Delay;
use crate::quantity::{
    Complex, Component, Decibels, Hertz, Metres, Ohms, Reference, Reflection, VelocityFactor,
};

/// What is at the far end of a cable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum CableEnd {
    /// Nothing.
    Open,
    /// A short.
    Short,
    /// Some load, known to reflect: its size is not assumed, so the loss of the cable cannot be told from it.
    Load,
}

/// Which sweep, of which cable.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct CableSettings<A: Arithmetic> {
    /// The lowest frequency of the sweep.
    pub start: Hertz,
    /// The highest frequency of the sweep.
    pub stop: Hertz,
    /// The number of points, at least 16, evenly spaced.
    pub points: u32,
    /// The reference of Γ.
    pub reference: Reference<A>,
    /// What is at the far end.
    pub end: CableEnd,
}

/// Fewer points do not tell an echo from the rest.
const LEAST_POINTS: u32 = 16;
/// Stretches of the sweep, in each of which the input and the end are looked at alone.
const STRETCHES: usize = 12;
/// Distances about the end, a quarter of the resolution apart.
const ABOUT: usize = 17;
/// Distances of one pass of the search.
const SEARCHED: usize = 64;
/// No line longer than this many times the resolution is searched for.
const LONGEST: u64 = 1024;

/// The cable's end and its input, in one stretch of the sweep.
#[derive(Clone, Copy, Debug)]
struct Stretch<W> {
    weights: W,
    /// Σ w·Γ, and the same with the turning of the end's echo taken out.
    input: Complex<W>,
    end: Complex<W>,
}

/// A cable measured in one pass of a sweep, point by point, in less than a kilobyte: its length is known to two resolutions
/// v/(2·span) beforehand. [`measure`](Self::measure) finds that too, in a sweep that is in memory.
///
/// - The **delay** is that of the peak of the windowed transform (see [`line`](super)): what reflects elsewhere hardly
///   moves it, while it bends a line through the unwrapped phase. It is the delay of the wave's group over the sweep: the
///   inductance inside of the conductors adds some tenths of a percent to a lossy cable, the same for every end. A
///   reactance at the end counts as a length: on 50 Ω, 0.1 pF across 75 Ω as 2 mm, but across an open as 1 mm.
///   Shorts, opens and 75 Ω at the end of 1,500 invented cables of 1 to 9.5 m, with connectors of an SWR up to 1.2, gave
///   lengths within 0.5 % of each other for all but 12 of 1 m, and within 0.8 % for those (`tests/measure/cable.rs`).
/// - The **impedance** is that of the beginning of the cable: Γ with everything beyond averaged out, in twelve stretches
///   of the sweep, carried on to 0 Hz along the square of the frequency, where a connector is no more seen. So it does
///   not depend on the end. Within 3 Ω on those cables, mostly by the connector.
/// - The **loss**, with an open or a short at the end, is half the return loss of the end's echo, fitted by
///   a·√f + b·f (the conductors and the dielectric; D. M. Pozar, "Microwave Engineering", section 2.7, from memory). Within
///   0.2 dB on those cables.
///
/// ```
/// use ohmwright::double::{CableSettings, CableSweep, Line, Reference, Reflection};
/// use ohmwright::measure::FrequencyPlan;
/// use ohmwright::measure::line::CableEnd;
/// use ohmwright::quantity::Hertz;
///
/// // 8 m of cable with a short at its end (an invented case).
/// let (start, stop) = (Hertz::from_megahertz(50), Hertz::from_megahertz(550));
/// let cable = Line::new(75.0, 0.82, 8.0)?.with_loss(7.0, Hertz::from_megahertz(100))?;
/// let sweep = FrequencyPlan::linear(start, stop, 201)?;
/// let seen = |at| (at, cable.input_reflection(Reflection::SHORT, Reference::fifty(), at));
/// let points: Vec<_> = sweep.iter().map(seen).collect();
/// let settings = CableSettings {
///     start,
///     stop,
///     points: 201,
///     reference: Reference::fifty(),
///     end: CableEnd::Short,
/// };
/// let found = CableSweep::measure(settings, points.iter().copied())?;
/// assert!((found.length(0.82)? - 8.0).abs() < 0.04);
/// assert!((found.impedance().unwrap() - 75.0).abs() < 0.5);
/// let at = Hertz::from_megahertz(300);
/// assert!((found.loss(at).unwrap() - cable.matched_loss(at).get()).abs() < 0.02);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct CableSweep<A: Arithmetic> {
    settings: CableSettings<A>,
    span: Span<A::Working>,
    /// Where the end is expected, in cells.
    near: A::Working,
    about: Echoes<A::Working, ABOUT>,
    weights: A::Working,
    /// The width of a stretch, as a part of the sweep.
    width: A::Working,
    stretches: [Stretch<A::Working>; STRETCHES],
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for CableSweep<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "a cable, {=u32} points of the sweep so far", self.points());
    }
}

/// What was found of a cable.
#[derive(Clone, Copy, Debug, PartialEq)]
#[must_use = "it reports what was found"]
pub struct CableReport<A: Arithmetic> {
    end: CableEnd,
    delay: Delay<A>,
    end_reflection: Component<A>,
    impedance: Option<Ohms<A>>,
    loss: Option<Loss<A::Working>>,
    /// Cells from the input to the end, and hertz of the sweep.
    cells: A::Working,
    hertz: u64,
}

/// Decibels one way: of the root of the frequency and of the frequency itself, in units of the highest.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Loss<W> {
    root: W,
    linear: W,
    highest: Hertz,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for CableReport<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "cable {} long ({})", self.delay, self.end);
        if let Some(impedance) = self.impedance {
            defmt::write!(f, ", {}", impedance);
        }
        let highest = self.loss.map(|loss| loss.highest);
        if let Some((highest, loss)) = highest.and_then(|at| Some((at, self.loss(at)?))) {
            defmt::write!(f, ", loses {} at {}", loss, highest);
        }
    }
}

impl<A: Arithmetic> CableReport<A> {
    /// What was said to be at the far end.
    pub fn end(&self) -> CableEnd {
        self.end
    }

    /// The delay one way.
    pub fn delay(&self) -> Delay<A> {
        self.delay
    }

    /// The length in metres at a velocity factor; saturates.
    ///
    /// # Errors
    /// [`QuantityError`] for a velocity factor not above 0 and at most 1.
    pub fn length(&self, velocity_factor: impl Into<VelocityFactor<A>>) -> Result<Metres<A>, QuantityError> {
        let per_cell = metres_per_cell(velocity_factor.into(), self.hertz)?;
        Ok(metres::<A>(self.cells, per_cell))
    }

    /// |Γ| of the end's echo alone, as it comes back to the input, averaged over the sweep; saturates.
    pub fn end_reflection(&self) -> Component<A> {
        self.end_reflection
    }

    /// The impedance at the beginning of the cable; saturates. `None` where the sweep is too narrow to tell the input
    /// from the end (below about eight times the resolution v/(2·span)), or where Γ there is not below 1.
    pub fn impedance(&self) -> Option<Ohms<A>> {
        self.impedance
    }

    /// The loss one way at a frequency, in dB, as of a matched cable; beyond the sweep it is carried on by its law. 0
    /// where the end sends back all. `None` with a load of unknown reflection at the end, and where there is no
    /// [`impedance`](Self::impedance).
    pub fn loss(&self, frequency: Hertz) -> Option<Decibels<A>> {
        self.loss.map(|loss| {
            let rise = A::Working::from_u64(frequency.get()) / A::Working::from_u64(loss.highest.get());
            Decibels::<A>::from_working(loss.root * rise.square_root() + loss.linear * rise)
        })
    }
}

impl<A: Arithmetic> CableSweep<A> {
    /// Before the first point of a sweep of a cable whose end is expected near this delay (one way).
    ///
    /// # Errors
    /// [`LineError::Empty`], [`LineError::TooFewPoints`] for such a sweep; [`LineError::TooShort`] for a cable shorter
    /// than twice the resolution; [`LineError::TooFar`] for one beyond the unambiguous range.
    pub fn new(settings: CableSettings<A>, near: Delay<A>) -> Result<Self, LineError> {
        let span = Span::new(settings.start, settings.stop, settings.points, LEAST_POINTS)?;
        let near = near.turns(Hertz::new(span.hertz())) * A::Working::TWO;
        Self::about(settings, span, near)
    }

    fn about(
        settings: CableSettings<A>,
        span: Span<A::Working>,
        near: A::Working,
    ) -> Result<Self, LineError> {
        let two = A::Working::TWO;
        if near < two {
            return Err(LineError::TooShort);
        }
        if near + two > span.cells() {
            return Err(LineError::TooFar);
        }
        let quarter = A::Working::HALF * A::Working::HALF;
        // Wide enough to hold five turns of one end against the other, of which Hann's window lets little through.
        let turns = A::Working::from_i32(5);
        let width = (turns / near).larger(A::Working::from_i32(3) / A::Working::from_i32(20));
        let nothing = Stretch {
            weights: A::Working::ZERO,
            input: Complex::ZERO,
            end: Complex::ZERO,
        };
        Ok(Self {
            settings,
            span: span.anew(),
            near,
            about: Echoes::new(near - two, quarter),
            weights: A::Working::ZERO,
            width,
            stretches: [nothing; STRETCHES],
        })
    }

    /// Takes the next point, in rising or falling order.
    ///
    /// # Errors
    /// As [`DistanceSweep::push`](super::DistanceSweep::push).
    pub fn push(&mut self, frequency: Hertz, gamma: Reflection<A>) -> Result<(), LineError> {
        let place = self.span.take(frequency)?;
        let gamma = gamma.complex();
        let weight = DistanceWindow::Hann.weight(self.span.within(place));
        self.weights = self.weights + weight;
        self.about.push(place, gamma.scale(weight));
        if !self.has_stretches() {
            return Ok(());
        }
        let end = gamma * turned(self.near * place);
        let (width, mut low) = (self.width, A::Working::ZERO);
        let step = (A::Working::ONE - width) / A::Working::from_i32(STRETCHES as i32 - 1);
        for stretch in &mut self.stretches {
            let within = (place - low) / width;
            if within > A::Working::ZERO && within < A::Working::ONE {
                let weight = DistanceWindow::Hann.weight(within);
                stretch.weights = stretch.weights + weight;
                stretch.input.add_scaled(&gamma, weight);
                stretch.end.add_scaled(&end, weight);
            }
            low = low + step;
        }
        Ok(())
    }

    /// The number of points so far.
    pub fn points(&self) -> u32 {
        self.span.taken()
    }

    /// Stretches of more than this part of the sweep are too much alike.
    fn has_stretches(&self) -> bool {
        self.width < A::Working::from_i32(3) / A::Working::from_i32(5)
    }

    /// What was found.
    ///
    /// # Errors
    /// [`LineError::Unfinished`] before the last point; [`LineError::NoEcho`] where nothing reflects within twice the
    /// resolution of the delay expected.
    pub fn report(&self) -> Result<CableReport<A>, LineError> {
        self.span.finished()?;
        let (offset, power) = self.strongest().ok_or(LineError::NoEcho)?;
        let cells = self.about.cells(offset);
        let input = self.input();
        let loss = match self.settings.end {
            CableEnd::Load => None,
            _ => input.and_then(|input| self.loss(input)),
        };
        let reference = self.settings.reference.working();
        Ok(CableReport {
            end: self.settings.end,
            delay: Delay::of_turns(cells * A::Working::HALF, self.span.hertz()),
            end_reflection: Component::<A>::from_working(power.square_root() / self.weights),
            impedance: input.map(|gamma| {
                let above = A::Working::ONE + gamma;
                Ohms::<A>::from_working(reference * above / (A::Working::ONE - gamma))
            }),
            loss,
            cells,
            hertz: self.span.hertz(),
        })
    }

    /// The strongest peak about the end: its index, between the sums, and its power.
    fn strongest(&self) -> Option<(A::Working, A::Working)> {
        let mut found: Option<(A::Working, A::Working)> = None;
        let mut at = A::Working::ONE;
        for three in self.about.sums().windows(3) {
            if let [before, middle, after] = three
                && let Some((offset, power)) = peak(before.power(), middle.power(), after.power())
                && found.is_none_or(|(_, most)| power > most)
            {
                found = Some((at + offset, power));
            }
            at = at + A::Working::ONE;
        }
        found
    }

    /// For each stretch the frequency in units of the highest, and the means of what comes from the input and the end.
    fn means(&self) -> impl Iterator<Item = (A::Working, Complex<A::Working>, Complex<A::Working>)> + '_ {
        let hertz = A::Working::from_u64(self.span.hertz());
        let highest = A::Working::from_u64(self.settings.stop.get());
        let below = A::Working::from_u64(self.settings.start.get()) / highest;
        let step = (A::Working::ONE - self.width) / A::Working::from_i32(STRETCHES as i32 - 1);
        let mut place = self.width * A::Working::HALF;
        self.stretches.iter().filter_map(move |stretch| {
            let frequency = below + place * hertz / highest;
            place = place + step;
            let share = A::Working::ONE / stretch.weights;
            (stretch.weights > A::Working::ZERO)
                .then(|| (frequency, stretch.input.scale(share), stretch.end.scale(share)))
        })
    }

    /// Γ of the cable's impedance: the real part at the input, carried on to 0 Hz.
    fn input(&self) -> Option<A::Working> {
        if !self.has_stretches() {
            return None;
        }
        let mut fit = Fit::NEW;
        for (frequency, input, _) in self.means() {
            fit.push(A::Working::ONE, frequency.square(), input.re);
        }
        let (gamma, _) = fit.solve()?;
        (gamma.absolute() < A::Working::ONE).then_some(gamma)
    }

    /// The law of the loss, where the end sends everything back. `input` is Γ of the cable's impedance.
    fn loss(&self, input: A::Working) -> Option<Loss<A::Working>> {
        let none = A::Working::ZERO;
        let through = (A::Working::ONE - input.square()).square();
        let mut fit = Fit::NEW;
        let (mut root_alone, mut roots) = (none, none);
        for (frequency, _, end) in self.means() {
            let power = end.power();
            if power.is_zero() {
                return None;
            }
            // Half of the loss there and back.
            let decibels = (through / power).decibels() * A::Working::HALF;
            let root = frequency.square_root();
            fit.push(root, frequency, decibels);
            root_alone = root_alone + root * decibels;
            roots = roots + frequency;
        }
        let (root, linear) = match fit.solve() {
            Some((root, linear)) if root >= none && linear >= none => (root, linear),
            // Noise: the conductors alone.
            _ => ((root_alone / roots).larger(none), none),
        };
        Some(Loss {
            root,
            linear,
            highest: self.settings.stop,
        })
    }

    /// Finds the end and measures the cable, in a sweep that is in memory; the iterator is walked once for every 64
    /// resolutions v/(2·span) of the unambiguous range, and once more.
    ///
    /// The end is the last thing that reflects: the farthest echo of at least an eighth of the strongest. With a load, which
    /// may reflect less than the connector at the input, only echoes at least four resolutions away count. Echoes that went
    /// to and fro between two others are left out.
    ///
    /// # Errors
    /// As [`new`](Self::new) and [`push`](Self::push); [`LineError::NoEcho`] where no echo stands four times above the
    /// mean of all distances. Lines longer than 1,024 resolutions are not searched for.
    pub fn measure(
        settings: CableSettings<A>,
        points: impl Iterator<Item = (Hertz, Reflection<A>)> + Clone,
    ) -> Result<CableReport<A>, LineError> {
        let span = Span::new(settings.start, settings.stop, settings.points, LEAST_POINTS)?;
        let near = search::<A>(settings.end, span, points.clone())?;
        let mut sweep = Self::about(settings, span, near)?;
        for (frequency, gamma) in points {
            sweep.push(frequency, gamma)?;
        }
        sweep.report()
    }
}

/// Echoes that the search remembers.
const REMEMBERED: usize = 12;

/// The strongest echoes of a search: places in cells, and sizes.
struct Strongest<W>([(W, W); REMEMBERED]);

impl<W: Real> Strongest<W> {
    fn add(&mut self, place: W, size: W) {
        let mut weakest = None::<&mut (W, W)>;
        for echo in &mut self.0 {
            if weakest.as_ref().is_none_or(|least| echo.1 < least.1) {
                weakest = Some(echo);
            }
        }
        if let Some(weakest) = weakest.filter(|weakest| size > weakest.1) {
            *weakest = (place, size);
        }
    }

    /// The end of a cable is the last thing that reflects: the farthest echo from `nearest` on, of at least an eighth of the
    /// strongest and at least `floor`, that is no image.
    fn end(&self, floor: W, nearest: W) -> Option<W> {
        let strongest = self.0.iter().fold(W::ZERO, |most, echo| most.larger(echo.1));
        let least = floor.larger(strongest / W::from_i32(8));
        let mut end = None;
        for echo in self.0 {
            let is_farther = echo.0 >= nearest && end.is_none_or(|end| echo.0 > end);
            if echo.1 > least && is_farther && !self.is_image(echo) {
                end = Some(echo.0);
            }
        }
        end
    }

    /// What comes back from the end, is reflected by something nearer and comes back again, is as much farther than the
    /// end as that is nearer; and it is no larger than the product of the two.
    fn is_image(&self, (place, size): (W, W)) -> bool {
        let most = W::ONE + W::HALF;
        self.0.iter().any(|far| {
            far.0 < place
                && self.0.iter().any(|near| {
                    near.0 < far.0
                        && (place + near.0 - W::TWO * far.0).absolute() <= W::TWO
                        && size <= far.1 * near.1 * most
                })
        })
    }
}

/// The place of the end, in cells.
fn search<A: Arithmetic>(
    end: CableEnd,
    span: Span<A::Working>,
    points: impl Iterator<Item = (Hertz, Reflection<A>)> + Clone,
) -> Result<A::Working, LineError> {
    let (none, one) = (A::Working::ZERO, A::Working::ONE);
    // An echo beyond the last cells is one from before the input.
    let last = (span.cells() - A::Working::TWO).smaller(A::Working::from_u64(LONGEST));
    let nearest = match end {
        CableEnd::Load => A::Working::from_i32(4),
        _ => none,
    };
    let (mut sum, mut count, mut cell) = (none, none, none);
    let mut before = [none; 2];
    let mut strongest = Strongest([(none, none); REMEMBERED]);
    while cell <= last {
        let mut echoes = Echoes::<A::Working, SEARCHED>::new(cell, one);
        let (mut sweep, mut weights) = (span.anew(), none);
        for (frequency, gamma) in points.clone() {
            let place = sweep.take(frequency)?;
            let weight = DistanceWindow::Hann.weight(sweep.within(place));
            weights = weights + weight;
            echoes.push(place, gamma.complex().scale(weight));
        }
        sweep.finished()?;
        for echo in echoes.sums() {
            if cell > last {
                break;
            }
            let size = echo.magnitude() / weights;
            let [first, middle] = before;
            let place = cell - one;
            if middle > first && middle >= size {
                strongest.add(place, middle);
            }
            before = [middle, size];
            sum = sum + size;
            count = count + one;
            cell = cell + one;
        }
    }
    let floor = sum / count * A::Working::from_i32(4);
    strongest.end(floor, nearest).ok_or(LineError::NoEcho)
}

/// A least-squares fit of two coefficients.
struct Fit<W> {
    /// Σu², Σuv, Σv², Σuy, Σvy.
    sums: [W; 5],
}

impl<W: Real> Fit<W> {
    const NEW: Self = Self { sums: [W::ZERO; 5] };

    fn push(&mut self, u: W, v: W, y: W) {
        let [uu, uv, vv, uy, vy] = self.sums;
        self.sums = [uu + u * u, uv + u * v, vv + v * v, uy + u * y, vy + v * y];
    }

    fn solve(&self) -> Option<(W, W)> {
        let [uu, uv, vv, uy, vy] = self.sums;
        let below = uu * vv - uv * uv;
        if below <= uu * vv * W::EPSILON {
            return None;
        }
        Some(((uy * vv - vy * uv) / below, (vy * uu - uy * uv) / below))
    }
}
