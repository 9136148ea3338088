//! The evaluation of a table without new readings.

use super::CalibrationPoint;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Complex, Component, Decibels, Degrees, Hertz};

/// The evaluation of a calibration without new readings: the quality of the fixture itself, the smoothness of the
/// table, and whether open and short may have been exchanged.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
#[must_use = "it tells what was found"]
pub struct Survey<A: Arithmetic> {
    /// The number of frequencies.
    pub points: u32,
    /// The raw directivity, −20·lg(|directivity|/|tracking|), dB, at its worst. After correction the standards set the
    /// accuracy, but this is what drifts: the higher it is, the smaller the effect of drift.
    pub directivity: Decibels<A>,
    /// The raw source match, −20·lg |source match|, dB, at its worst.
    pub source_match: Decibels<A>,
    /// The smallest loss there and back, −20·lg |tracking|, dB (negative with gain).
    pub least_loss: Decibels<A>,
    /// The largest loss. A weak signal is a noisy one.
    pub most_loss: Decibels<A>,
    /// The distance of the terms from the straight line between their neighbours, as a root mean square, for the worst
    /// term; weighted so that it is σ if the terms have the noise σ (of both components together). It contains noise
    /// and curvature; of the curvature, interpolation on the same grid leaves a third. 0 for two points.
    pub unevenness: Component<A>,
    /// The phase of the tracking, extrapolated in a straight line to 0 Hz, degrees; `None` if that is not known to
    /// within about 20°: too far, a tracking with uneven phase, or fewer than three points.
    ///
    /// Lines and bridges transmit a wave unchanged at 0 Hz: near 0° the calibration is good, near 180° open and short
    /// were exchanged, or the fixture inverts.
    pub tracking_at_zero: Option<Degrees<A>>,
}

impl<A: Arithmetic> Survey<A> {
    /// True if the phase at 0 Hz is beyond ±90°: open and short may be exchanged (if the fixture inverts, the
    /// opposite).
    pub fn suspects_exchange(&self) -> bool {
        let quarter = A::Working::from_i32(90);
        self.tracking_at_zero
            .is_some_and(|degrees| degrees.to_working().absolute() > quarter)
    }

    pub(super) fn of(points: &[CalibrationPoint<A>]) -> Self {
        let (mut directivity, mut source_match) = (A::Working::ZERO, A::Working::ZERO);
        let mut losses = None;
        for point in points {
            let [leak, back, way] = complex(point);
            let power = way.power();
            directivity = directivity.larger(leak.power() / power);
            source_match = source_match.larger(back.power());
            losses = Some(match losses {
                None => (power, power),
                Some((least, most)) => (power.larger(least), power.smaller(most)),
            });
        }
        let (least, most) = losses.unwrap_or((A::Working::ONE, A::Working::ONE));
        let loss = |power: A::Working| Decibels::<A>::from_working(-power.decibels());
        Self {
            points: points.len() as u32,
            directivity: loss(directivity),
            source_match: loss(source_match),
            least_loss: loss(least),
            most_loss: loss(most),
            unevenness: unevenness(points),
            tracking_at_zero: phase_at_zero(points),
        }
    }
}

fn complex<A: Arithmetic>(point: &CalibrationPoint<A>) -> [Complex<A::Working>; 3] {
    let terms = &point.terms;
    [terms.directivity, terms.source_match, terms.tracking].map(|term| term.complex())
}

fn hertz<W: Real>(from: Hertz, to: Hertz) -> W {
    W::from_u64(to.get().abs_diff(from.get()))
}

fn unevenness<A: Arithmetic>(points: &[CalibrationPoint<A>]) -> Component<A> {
    let mut sums = [A::Working::ZERO; 3];
    let mut count = 0u32;
    for three in points.windows(3) {
        let [low, middle, high] = three else { continue };
        let way = hertz::<A::Working>(low.frequency, middle.frequency) / hertz(low.frequency, high.frequency);
        let rest = A::Working::ONE - way;
        let weight = A::Working::ONE + way.square() + rest.square();
        let all = complex(low).into_iter().zip(complex(middle)).zip(complex(high));
        for (sum, ((low, middle), high)) in sums.iter_mut().zip(all) {
            let gap = middle - (low.scale(rest) + high.scale(way));
            *sum = *sum + gap.power() / weight;
        }
        count = count.saturating_add(1);
    }
    if count == 0 {
        return Component::<A>::ZERO;
    }
    let [a, b, c] = sums;
    let mean = a.larger(b).larger(c) / A::Working::from_u64(count as u64);
    Component::<A>::from_working(mean.square_root())
}

/// A straight line through the unwrapped phase, at 0 Hz.
fn phase_at_zero<A: Arithmetic>(points: &[CalibrationPoint<A>]) -> Option<Degrees<A>> {
    let (first, last) = (points.first()?, points.last()?);
    if points.len() < 3 {
        return None;
    }
    let one = A::Working::ONE;
    let whole = hertz::<A::Working>(first.frequency, last.frequency);
    let start = first.terms.tracking.complex();
    let start = A::Working::turns(start.im, start.re);
    let (mut before, mut turned) = (first.terms.tracking.complex(), A::Working::ZERO);
    // From the first point on: the position x from 0 to 1, the turns y since then.
    let mut sums = [A::Working::ZERO; 5];
    for point in points {
        let now = point.terms.tracking.complex();
        let step = now * before.conjugate();
        turned = turned + A::Working::turns(step.im, step.re);
        before = now;
        let x = hertz::<A::Working>(first.frequency, point.frequency) / whole;
        let of_point = [x, x * x, turned, x * turned, turned * turned];
        for (sum, value) in sums.iter_mut().zip(of_point) {
            *sum = *sum + value;
        }
    }
    let count = A::Working::from_u64(points.len() as u64);
    let [x, xx, y, xy, yy] = sums.map(|sum| sum / count);
    let spread = xx - x * x;
    let slope = (xy - x * y) / spread;
    let left = (yy - y * y - slope * slope * spread)
        .larger(A::Working::ZERO)
        .square_root();
    // The distance of 0 Hz below the middle of the sweep, in widths of the sweep.
    let far = hertz::<A::Working>(Hertz::new(0), first.frequency) / whole + x;
    // Curvature of the phase may continue outside the sweep like a parabola with the value `left` at the ends.
    let doubt = left * (one + (far * A::Working::TWO).square());
    // A twentieth of a turn. NaN fails this comparison.
    let known = doubt < one / A::Working::from_i32(20);
    if !known {
        return None;
    }
    let at_zero = start + y - slope * far;
    // Minus the nearest whole turns.
    let whole_turns = at_zero.to_i64();
    let turns = A::Working::from_u64(whole_turns.unsigned_abs());
    let rest = at_zero - if whole_turns < 0 { -turns } else { turns };
    Some(Degrees::<A>::from_working(rest * A::Working::from_i32(360)))
}
