//! |Γ| against distance, from a sweep of frequencies.

use super::LineError;
use super::echoes::{Echoes, peak};
use super::span::{Span, metres, metres_per_cell};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Component, Hertz, Metres, Reflection, VelocityFactor, not_negative, positive};

/// How the points of a sweep are weighted (F. J. Harris, "On the use of windows for harmonic analysis with the discrete
/// Fourier transform", Proceedings of the IEEE 66(1), 1978; coefficients and figures from memory).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum DistanceWindow {
    /// All alike: the finest separation, for reflections of about the same size. A reflection leaves side lobes of a
    /// fifth of its size (−13 dB) beside it.
    Uniform,
    /// ½ − ½·cos 2πx: side lobes of 1/37 (−31 dB), which fall fast.
    #[default]
    Hann,
    /// 0.42 − 0.5·cos 2πx + 0.08·cos 4πx: side lobes of 1/800 (−58 dB), for a weak fault beside an open end.
    Blackman,
}

impl DistanceWindow {
    /// The weight at a place from 0 to 1 within the sweep.
    pub(super) fn weight<W: Real>(self, place: W) -> W {
        let hundredth = |count: i32| W::from_i32(count) / W::from_i32(100);
        match self {
            Self::Uniform => W::ONE,
            Self::Hann => (W::ONE - place.sine_cosine().1) * W::HALF,
            Self::Blackman => {
                let cosine = place.sine_cosine().1;
                // cos 4πx = 2·cos² 2πx − 1.
                (hundredth(34) - cosine * W::HALF + hundredth(16) * cosine.square()).larger(W::ZERO)
            }
        }
    }

    /// The distance of two equal reflections that are just told apart, in units of v/(2·span): the width of the main
    /// lobe 6 dB down (Harris, table I, from memory).
    fn separable<W: Real>(self) -> W {
        let hundredths = match self {
            Self::Uniform => 121,
            Self::Hann => 200,
            Self::Blackman => 235,
        };
        W::from_i32(hundredths) / W::from_i32(100)
    }
}

/// Which sweep, and which distances.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct DistanceSettings<A: Arithmetic> {
    /// The lowest frequency of the sweep.
    pub start: Hertz,
    /// The highest frequency of the sweep.
    pub stop: Hertz,
    /// The number of points, at least 4, evenly spaced.
    pub points: u32,
    /// The velocity factor of the line, above 0 and at most 1. 1 gives electrical lengths.
    pub velocity_factor: VelocityFactor<A>,
    /// How the points are weighted.
    pub window: DistanceWindow,
    /// The first distance.
    pub nearest: Metres<A>,
    /// From one distance to the next: above 0, and at most the resolution v/(2·span). Half of that gives the best
    /// figures between the distances; the uniform window needs it.
    pub spacing: Metres<A>,
}

impl<A: Arithmetic> DistanceSettings<A> {
    /// Distances from 0 on, half the resolution apart, with the window of Hann.
    ///
    /// # Errors
    /// [`LineError::Empty`], [`LineError::TooFewPoints`] for such a sweep; [`LineError::Quantity`] for such a velocity
    /// factor, or a resolution finer than the word of a distance (15 µm in fixed point).
    pub fn new(
        start: Hertz,
        stop: Hertz,
        points: u32,
        velocity_factor: impl Into<VelocityFactor<A>>,
    ) -> Result<Self, LineError> {
        let velocity_factor = velocity_factor.into();
        let span = Span::<A::Working>::new(start, stop, points, LEAST_POINTS)?;
        let cell = metres_per_cell(velocity_factor, span.hertz())?;
        let spacing = metres::<A>(A::Working::HALF, cell);
        positive(spacing, "distance from one to the next")?;
        Ok(Self {
            start,
            stop,
            points,
            velocity_factor,
            window: DistanceWindow::Hann,
            nearest: Metres::<A>::ZERO,
            spacing,
        })
    }

    setters! {
        with_window(window: DistanceWindow);
        with_nearest(nearest: Metres<A>);
        with_spacing(spacing: Metres<A>);
    }
}

/// Fewer points do not make a peak.
const LEAST_POINTS: u32 = 4;

/// Something that reflects, at a distance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Fault<A: Arithmetic> {
    /// The distance from the reference plane, on the line of the velocity factor given.
    pub distance: Metres<A>,
    /// |Γ| of this reflection alone, as it is seen at the reference plane, averaged over the sweep. The loss of the line
    /// there and back is not taken out of it.
    pub reflection: Component<A>,
    /// True at the first or last distance: the peak may lie outside. At a distance of 0 it is the connector.
    pub at_edge: bool,
}

/// |Γ| against distance at N distances, from a sweep that is taken point by point. It holds N sums of two working
/// numbers: half a kilobyte for 32 distances in fixed point.
///
/// A point costs two sines and cosines, and one complex product for each distance. No error is carried from point to
/// point.
///
/// Errors, as tested against the sums of the definition in doubles: of a magnitude 1e-7 in fixed point and 1e-5 in
/// `f32` with up to 64 distances (in 16 bits also half a step of its word). A single reflection between the distances, if
/// they are half of the resolution apart: its place within 0.2 % of the resolution and its size within 0.2 % (uniform: 2 %
/// and 4 %); if they are all of it apart, 2 % and 4 % (uniform: not made for that).
///
/// ```
/// use ohmwright::fixed_point::{Component, DistanceSettings, DistanceSweep, Hertz, Line, Reflection, VelocityFactor};
/// use ohmwright::measure::FrequencyPlan;
///
/// // An open cable of 11 m, swept from 20 to 220 MHz (an invented case).
/// let (start, stop) = (Hertz::from_megahertz(20), Hertz::from_megahertz(220));
/// let velocity = VelocityFactor::thousandths::<800>();
/// let cable = Line::try_from_f64(50.0, 0.8, 11.0)?;
/// let mut sweep = DistanceSweep::<40>::new(DistanceSettings::new(start, stop, 101, velocity)?)?;
/// for frequency in FrequencyPlan::linear(start, stop, 101)?.iter() {
///     sweep.push(frequency, cable.reflection_at_input(Reflection::OPEN, frequency))?;
/// }
/// let end = sweep.faults(Component::thousandths::<100>())?.next().expect("one end");
/// assert!((end.distance.to_f64() - 11.0).abs() < 0.01);
/// assert!((end.reflection.to_f64() - 1.0).abs() < 0.01);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct DistanceSweep<A: Arithmetic, const N: usize> {
    span: Span<A::Working>,
    window: DistanceWindow,
    metres_per_cell: A::Working,
    echoes: Echoes<A::Working, N>,
    /// The sum of the weights.
    weights: A::Working,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const N: usize> defmt::Format for DistanceSweep<A, N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (points, distances) = (self.points(), N as u32);
        defmt::write!(
            f,
            "{=u32} distances, {=u32} points of the sweep so far",
            distances,
            points
        );
    }
}

impl<A: Arithmetic, const N: usize> DistanceSweep<A, N> {
    /// Before the first point of a sweep.
    ///
    /// # Errors
    /// [`LineError::Empty`], [`LineError::TooFewPoints`], [`LineError::Quantity`] for such a sweep or velocity factor;
    /// [`LineError::Sparse`] for distances further apart than the resolution; [`LineError::TooFar`] for a last distance
    /// beyond the unambiguous range.
    pub fn new(settings: DistanceSettings<A>) -> Result<Self, LineError> {
        let span = Span::new(settings.start, settings.stop, settings.points, LEAST_POINTS)?;
        let per_cell = metres_per_cell(settings.velocity_factor, span.hertz())?;
        let first = not_negative(settings.nearest, "first distance")?.to_working() / per_cell;
        let spacing = positive(settings.spacing, "distance from one to the next")?.to_working() / per_cell;
        // Half a step of the word of a distance more, since one cell may have been rounded to it.
        if spacing > A::Working::ONE + A::Working::ONE / A::Working::from_i32(1000) {
            return Err(LineError::Sparse);
        }
        let echoes = Echoes::new(first, spacing);
        let last = u64::try_from(N).unwrap_or(u64::MAX).saturating_sub(1);
        if echoes.cells(A::Working::from_u64(last)) > span.cells() {
            return Err(LineError::TooFar);
        }
        Ok(Self {
            span,
            window: settings.window,
            metres_per_cell: per_cell,
            echoes,
            weights: A::Working::ZERO,
        })
    }

    /// Takes the next point, in rising or falling order.
    ///
    /// # Errors
    /// [`LineError::OffGrid`] for a frequency that is a quarter of a step or more from the next of the grid, and for a
    /// point too many; [`LineError::OutOfOrder`] for one that is repeated. The sums are then unchanged.
    pub fn push(&mut self, frequency: Hertz, gamma: Reflection<A>) -> Result<(), LineError> {
        let place = self.span.take(frequency)?;
        let weight = self.window.weight(self.span.within(place));
        self.weights = self.weights + weight;
        self.echoes.push(place, gamma.complex().scale(weight));
        Ok(())
    }

    /// The number of points so far.
    pub fn points(&self) -> u32 {
        self.span.taken()
    }

    /// The resolution v/(2·span) in metres: where the transform of a single reflection is zero without a window.
    /// Saturates.
    pub fn resolution(&self) -> Metres<A> {
        metres::<A>(A::Working::ONE, self.metres_per_cell)
    }

    /// How far apart two equal reflections must be to be told apart: the resolution, times what the window costs (1.21
    /// uniform, 2 Hann, 2.35 Blackman). Saturates.
    pub fn separable(&self) -> Metres<A> {
        metres::<A>(self.window.separable(), self.metres_per_cell)
    }

    /// The unambiguous range v/(2·step) in metres: a reflection beyond it appears nearer by a multiple of it. Saturates.
    pub fn unambiguous_range(&self) -> Metres<A> {
        metres::<A>(self.span.cells(), self.metres_per_cell)
    }

    /// The distance of an index, in metres; `None` from N on. Saturates.
    pub fn distance(&self, index: usize) -> Option<Metres<A>> {
        let place = u64::try_from(index).ok().filter(|_| index < N)?;
        let cells = self.echoes.cells(A::Working::from_u64(place));
        Some(metres::<A>(cells, self.metres_per_cell))
    }

    /// |Γ| at the distance of an index, averaged over the sweep: a full reflection on a line without loss is 1. `None`
    /// from N on, and before the first point. It means something after the last point. Saturates.
    pub fn magnitude(&self, index: usize) -> Option<Component<A>> {
        // A first point of very many has no weight yet.
        let sum = self
            .echoes
            .sum(index)
            .filter(|_| self.weights > A::Working::ZERO)?;
        Some(Component::<A>::from_working(sum.magnitude() / self.weights))
    }

    /// The mean of |Γ| over the N distances: what stands far above it is a reflection, and what does not is noise or the
    /// side lobes of others.
    ///
    /// # Errors
    /// [`LineError::Unfinished`] before the last point.
    pub fn mean(&self) -> Result<Component<A>, LineError> {
        self.span.finished()?;
        let sums = self.echoes.sums();
        let all = sums
            .iter()
            .fold(A::Working::ZERO, |all, sum| all + sum.magnitude());
        let count = A::Working::from_u64(u64::try_from(N).unwrap_or(u64::MAX).max(1));
        Ok(Component::<A>::from_working(all / self.weights / count))
    }

    /// What reflects, in the order of distance: every peak of at least this |Γ|, placed between the distances.
    ///
    /// Reflections nearer to each other than [`separable`](Self::separable) come out as one. A strong one also has side
    /// lobes (see [`DistanceWindow`]) and, where it reflects back and forth to the input, weaker images at twice the
    /// distance and so on; choose `least` above them.
    ///
    /// # Errors
    /// [`LineError::Unfinished`] before the last point; [`LineError::Quantity`] for a least |Γ| that is negative or not
    /// finite.
    pub fn faults(
        &self,
        least: impl Into<Component<A>>,
    ) -> Result<impl Iterator<Item = Fault<A>> + '_, LineError> {
        self.span.finished()?;
        let least = not_negative(least.into(), "least reflection")?.to_working();
        let floor = (least * self.weights).square();
        Ok((0..N).filter_map(move |index| self.fault(index, floor)))
    }

    fn fault(&self, index: usize, floor: A::Working) -> Option<Fault<A>> {
        let power = |index: usize| self.echoes.sum(index).map(|sum| sum.power());
        let middle = power(index)?;
        let neighbours = (
            index.checked_sub(1).and_then(power),
            index.checked_add(1).and_then(power),
        );
        let (offset, power) = match neighbours {
            (Some(before), Some(after)) => peak(before, middle, after)?,
            (None, Some(after)) if after > middle => return None,
            (Some(before), None) if before >= middle => return None,
            _ => (A::Working::ZERO, middle),
        };
        if power < floor || power.is_zero() {
            return None;
        }
        let place = A::Working::from_u64(u64::try_from(index).ok()?) + offset;
        Some(Fault {
            distance: metres::<A>(self.echoes.cells(place), self.metres_per_cell),
            reflection: Component::<A>::from_working(power.square_root() / self.weights),
            at_edge: neighbours.0.is_none() || neighbours.1.is_none(),
        })
    }
}
