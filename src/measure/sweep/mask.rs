//! A sweep against a mask: an SWR limit for each of several intervals of frequency.

use heapless::Vec;

use super::analyser::{Order, SweepError};
use super::choice::{Curves, Store};
use super::window::{Excerpt, Point, REACH, View};
use crate::arithmetic::Arithmetic;
use crate::quantity::swr::SwrLimit;
use crate::quantity::{Hertz, QuantityError, Reflection, Swr};

/// One interval of a mask.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct MaskSegment<A: Arithmetic> {
    /// The lower end.
    pub low: Hertz,
    /// The upper end; not below `low`.
    pub high: Hertz,
    /// The highest SWR allowed there, at least 1.
    pub swr_limit: Swr<A>,
}

impl<A: Arithmetic> MaskSegment<A> {
    /// From the first frequency to the last, at most this SWR. A [`MaskCheck`] checks the values.
    pub const fn new(low: Hertz, high: Hertz, swr_limit: Swr<A>) -> Self {
        Self { low, high, swr_limit }
    }
}

/// The verdict on one interval.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[must_use = "it says whether the mask is kept"]
pub enum MaskVerdict<A: Arithmetic> {
    /// The sweep does not cover the whole interval; nothing is extrapolated.
    NotCovered,
    /// Every point and both ends are at or under the limit; this is the highest SWR.
    Pass(WorstPoint<A>),
    /// Above the limit; this is the highest SWR.
    Fail(WorstPoint<A>),
}

/// The point of an interval with the highest SWR.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct WorstPoint<A: Arithmetic> {
    /// The frequency.
    pub frequency: Hertz,
    /// Γ there.
    pub reflection: Reflection<A>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for WorstPoint<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let swr = self.reflection.swr();
        defmt::write!(f, "{}, SWR {}, {}", self.frequency, swr, self.reflection);
    }
}

/// Checks a sweep against a mask of up to `M` intervals while it is running.
///
/// It checks the measured points of each interval and Γ at its two ends, interpolated as by the
/// [`SweepAnalyser`](super::SweepAnalyser). It cannot see a rise that is wholly between two points.
///
/// ```
/// use ohmwright::measure::{MaskCheck, MaskSegment, MaskVerdict};
/// use ohmwright::quantity::{Hertz, Reflection};
///
/// let band = MaskSegment { low: Hertz::new(10), high: Hertz::new(25), swr_limit: 1.5.into() };
/// let mut check = MaskCheck::<f64, 2>::new(&[band])?;
/// for (hertz, gamma) in [(0, 0.5), (10, 0.1), (20, 0.15), (30, 0.3)] {
///     check.push(Hertz::new(hertz), Reflection::new(gamma, 0.0)?)?;
/// }
/// let [MaskVerdict::Fail(worst)] = check.report().verdicts()[..] else { panic!() };
/// assert_eq!(worst.frequency, Hertz::new(25)); // |Γ| has passed 0.2 there
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct MaskCheck<A: Arithmetic, const M: usize> {
    stretches: Vec<Stretch<A>, M>,
    window: Excerpt<A>,
    order: Order,
}

/// The result of the points so far.
#[cfg(feature = "defmt")]
impl<A: Arithmetic, const M: usize> defmt::Format for MaskCheck<A, M> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{}", self.report());
    }
}

/// The verdicts on the intervals of a mask, in the order they were given.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[must_use = "it reports what was found"]
pub struct MaskReport<A: Arithmetic, const M: usize> {
    verdicts: Vec<MaskVerdict<A>, M>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const M: usize> defmt::Format for MaskReport<A, M> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "mask {=[?]}", self.verdicts.as_slice());
    }
}

impl<A: Arithmetic, const M: usize> MaskReport<A, M> {
    /// One verdict for each interval.
    pub fn verdicts(&self) -> &[MaskVerdict<A>] {
        &self.verdicts
    }

    /// True if every interval is covered and passes; false for a mask without intervals.
    pub fn passes(&self) -> bool {
        !self.verdicts.is_empty()
            && self
                .verdicts
                .iter()
                .all(|verdict| matches!(verdict, MaskVerdict::Pass(_)))
    }
}

#[derive(Clone, Copy, Debug)]
struct Stretch<A: Arithmetic> {
    segment: MaskSegment<A>,
    limit: SwrLimit<A>,
    low_seen: bool,
    high_seen: bool,
    worst: Option<WorstPoint<A>>,
}

impl<A: Arithmetic, const M: usize> MaskCheck<A, M> {
    /// A check of these intervals, which may overlap.
    ///
    /// # Errors
    /// [`QuantityError`] for a limit below 1 or not finite, ends in the wrong order, or more than `M` intervals.
    pub fn new(segments: &[MaskSegment<A>]) -> Result<Self, QuantityError> {
        let mut stretches = Vec::new();
        for segment in segments {
            if segment.high < segment.low {
                return Err(outside!("upper end", "must not be below the lower end"));
            }
            let stretch = Stretch {
                segment: *segment,
                limit: SwrLimit::new(segment.swr_limit)?,
                low_seen: false,
                high_seen: false,
                worst: None,
            };
            if stretches.push(stretch).is_err() {
                return Err(outside!(
                    "number of intervals",
                    "must not be above the capacity of the check"
                ));
            }
        }
        Ok(Self {
            stretches,
            window: Excerpt::new(),
            order: Order::default(),
        })
    }

    /// Takes the next point of the sweep.
    ///
    /// # Errors
    /// [`SweepError`] for a frequency that repeats the last one or changes the direction; the check is then unchanged.
    pub fn push(&mut self, frequency: Hertz, reflection: Reflection<A>) -> Result<(), SweepError> {
        self.order.check(frequency)?;
        self.window.push(Point::new(frequency, reflection));
        look(self.window.view(REACH), &mut self.stretches);
        Ok(())
    }

    /// The verdict on each interval, as if the sweep had ended here.
    pub fn report(&self) -> MaskReport<A, M> {
        let mut stretches = self.stretches.clone();
        // The last points have not been in the middle of the window yet.
        for later in (0..REACH).rev() {
            look(self.window.view(later), &mut stretches);
        }
        let mut verdicts = Vec::new();
        for stretch in &stretches {
            let verdict = match stretch.worst {
                Some(worst) if stretch.low_seen && stretch.high_seen => {
                    if stretch.limit.holds(worst.reflection) {
                        MaskVerdict::Pass(worst)
                    } else {
                        MaskVerdict::Fail(worst)
                    }
                }
                _ => MaskVerdict::NotCovered,
            };
            // The capacity is the number of intervals. (`collect` would have a panic for the other case.)
            let _ = verdicts.push(verdict);
        }
        MaskReport { verdicts }
    }
}

/// Examines the centre of a view.
#[inline(never)]
fn look<A: Arithmetic>(view: View<'_, A>, stretches: &mut [Stretch<A>]) {
    let Some(centre) = view.at(0) else { return };
    let mut store = Store::NEW;
    let mut curves = Curves::new(view, &mut store);
    for stretch in stretches {
        let MaskSegment { low, high, .. } = stretch.segment;
        if (low..=high).contains(&centre.frequency) {
            stretch.note(centre.frequency, centre.reflection);
        }
        if !stretch.low_seen
            && let Some((reflection, _)) = curves.value_at(low)
        {
            stretch.low_seen = true;
            stretch.note(low, reflection);
        }
        if !stretch.high_seen
            && let Some((reflection, _)) = curves.value_at(high)
        {
            stretch.high_seen = true;
            stretch.note(high, reflection);
        }
    }
}

impl<A: Arithmetic> Stretch<A> {
    fn note(&mut self, frequency: Hertz, reflection: Reflection<A>) {
        let worse = self
            .worst
            .is_none_or(|worst| reflection.power() > worst.reflection.power());
        if worse {
            self.worst = Some(WorstPoint {
                frequency,
                reflection,
            });
        }
    }
}
