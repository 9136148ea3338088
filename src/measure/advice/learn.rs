//! What one move of the tuning element teaches: how much of the whole was in what was moved, and how far to move next.

use super::learn_dips::{Pair, pair};
use super::learn_error::LearnError;
use super::{Direction, Retune, TuningElement};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::measure::SweepReport;
use crate::quantity::{Component, Hertz, Ratio, positive};

/// An adjustment that was made between two sweeps of the same circuit.
///
/// ```
/// use ohmwright::double::{Adjustment, Ratio, Reference, Reflection, SweepAnalyser, SweepReport};
/// use ohmwright::measure::TuningElement;
/// use ohmwright::quantity::{Hertz, Impedance};
///
/// // Invented: 50 Ω in series with 30 pF, a coil, and leads that nobody moves.
/// let sweep = |coil: f64, leads: f64| -> Result<SweepReport<8>, Box<dyn std::error::Error>> {
///     let mut analyser = SweepAnalyser::<8>::with_defaults();
///     for megahertz in 50..=90 {
///         let omega = core::f64::consts::TAU * 1e6 * f64::from(megahertz);
///         let reactance = omega * (coil + leads) - 1.0 / (omega * 30e-12);
///         let load = Impedance::new(50.0, reactance)?.reflection(Reference::fifty());
///         analyser.push(Hertz::from_megahertz(megahertz), load)?;
///     }
///     Ok(analyser.report())
/// };
/// // The dip was to go up to 71 MHz, and the coil was spread to 0.85 of its inductance.
/// let (before, after) = (sweep(120e-9, 80e-9)?, sweep(0.85 * 120e-9, 80e-9)?);
/// let adjustment = Adjustment::new(TuningElement::Inductance)
///     .with_moved(Some(Ratio::new(0.85)))
///     .with_target(Some(Hertz::from_megahertz(71)));
/// let learnt = adjustment.learn(&before, &after)?;
/// let share = learnt.share_moved.unwrap();
/// assert!((share.value - 0.6).abs() < 0.01); // 120 nH of 200
/// // The whole must be 167.5 nH, so the coil 87.5 nH: 0.858 of the 102 nH that it is now.
/// assert!((learnt.next.unwrap().factor - 0.858).abs() < 0.01);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct Adjustment<A: Arithmetic> {
    /// What was moved.
    pub element: TuningElement,
    /// The new value of what was moved, in parts of its old value: inductance of the coil, capacitance of the trimmer, number
    /// of turns, length of the wire; from 0.1 to 10. `None` where it is not known: then only the dips speak.
    pub moved: Option<Ratio<A>>,
    /// Where the dip is to come to; `None` where only the share is wanted.
    pub target: Option<Hertz>,
    /// The standard deviation of a component of Γ from noise, as measured; 0 by default. It makes the dips less certain.
    pub noise: Component<A>,
}

impl<A: Arithmetic> Adjustment<A> {
    setters! {
        with_moved(moved: Option<Ratio<A>>);
        with_target(target: Option<Hertz>);
        with_noise(noise: Component<A>);
    }
}

/// How much of the whole inductance (capacitance, length) was in what was moved, before it was moved.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct MovedShare<A: Arithmetic> {
    /// The most likely value, above 0 and at most 1. More than 1 does not exist: what the dips say beyond it, within
    /// their uncertainty, is told as 1.
    pub value: Ratio<A>,
    /// The least that the uncertainty of the dips allows.
    pub least: Ratio<A>,
    /// The most that it allows, at most 1.
    pub most: Ratio<A>,
}

/// What was learnt from an [`Adjustment`].
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
#[must_use = "it says how far to move next"]
pub struct Learnt<A: Arithmetic> {
    /// What was moved.
    pub element: TuningElement,
    /// The dip before.
    pub dip_before: Hertz,
    /// The dip after.
    pub dip_after: Hertz,
    /// By what factor the *whole* has changed, as the dips say: (f_before/f_after)² of an inductance or a capacitance, by
    /// Thomson's formula; f_before/f_after of turns and of a length.
    pub whole: Ratio<A>,
    /// How much of the whole was in what was moved; `None` where it is not known by how much that was. Of
    /// [`Turns`](TuningElement::Turns) it is the share of the inductance.
    pub share_moved: Option<MovedShare<A>>,
    /// How to bring the dip to the target; `None` without a target.
    ///
    /// Its factor is the new value of *what was moved*, in parts of its value *now*; where the share is not known, of the
    /// whole. Where the dip stands at the target already, as far as the sweep can tell, it is
    /// [`Keep`](Direction::Keep) and 1.
    pub next: Option<Retune<A>>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Learnt<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (before, after) = (self.dip_before, self.dip_after);
        defmt::write!(f, "dip {} to {}, whole {}", before, after, self.whole);
        if let Some(share) = self.share_moved {
            defmt::write!(
                f,
                ", {} of it moved ({} to {})",
                share.value,
                share.least,
                share.most
            );
        }
        if let Some(next) = self.next {
            defmt::write!(f, ", next {}", next);
        }
    }
}

/// A share above 1 by less than this is that of a dip which is no exact resonance.
const ABOVE_ONE: i32 = 5;

impl<A: Arithmetic> Adjustment<A> {
    /// Of this element: by how much is not known, no target, no noise.
    pub const fn new(element: TuningElement) -> Self {
        Self {
            element,
            moved: None,
            target: None,
            noise: Component::thousandths::<0>(),
        }
    }

    /// What the sweeps before and after it teach.
    ///
    /// With W = (f_before/f_after)² the whole has changed by the factor W (Thomson's formula f = 1/(2π√(LC))). If the part s of
    /// it was moved by the factor m, W = 1 − s + s·m, so s = (W − 1)/(m − 1). Now s·m/W of the whole is in what was moved, and
    /// to bring the whole to F times its value now, with F = (f_after/f_target)², that part must go to 1 + (F − 1)·W/(s·m).
    /// Of a length W and F are the roots of these. Turns n on a fixed length and diameter have L ∝ n²: m² stands for m, and
    /// the root of the result is the factor of the turns.
    ///
    /// *Which dips.* Of each sweep those count that are no ends of it, with a |Γ| of at most 0.15 above that of the deepest
    /// (at most 0.3 where only that makes the numbers of dips equal). They are paired in order of their frequency: one
    /// element moves all resonances the same way, and none past another (Foster's theorem for lossless circuits, from
    /// memory). Of the pairs the one counts that has moved furthest, and among those that have moved at least half as far the
    /// one that is nearest to the target.
    ///
    /// *Uncertainty.* A dip is known to a tenth of a step of the sweep where the analyser's curve goes through the nearest
    /// points (also where it is fitted to many and the noise is told), to half a step where it is fitted, a parabola or a
    /// line, to one or two steps where it is a measured point or flat, and to the limits of an unresolved dip. Noise σ adds
    /// σ/|dΓ/df|, and where the dip is shallow or the points are close 0.4·|Γ|/(step·|dΓ/df|) times that; the slope is that
    /// of the band round the dip, or of the resonance near it by its Q. Of 9,000 invented pairs of sweeps with noise from 0.001
    /// to 0.01 a share was told for 7,313; in 58 of these truth lay outside of its range (`tests/measure/learn.rs`). Ripple
    /// of a cable moves dips as well: where it is found, add its size to the noise.
    ///
    /// The error of `whole` and of the factor from rounding is 1e-6 relative in `f32`, 1e-14 in `f64`, and in fixed point 1e-8
    /// and one rounding of the word.
    ///
    /// # Errors
    /// [`LearnError`], which says what is in the way: each variant says when.
    pub fn learn<const N: usize>(
        &self,
        before: &SweepReport<A, N>,
        after: &SweepReport<A, N>,
    ) -> Result<Learnt<A>, LearnError> {
        let moved = self.moved_factor()?;
        if self.target.is_some_and(|target| target.get() == 0) {
            return Err(QuantityError::NotPositive("target").into());
        }
        let pair = pair(before, after, self.target, self.noise)?;
        let working = A::Working::from_u64;
        let ratio = working(pair.before.get()) / working(pair.after.get());
        let whole = self.scaled(ratio);
        let share: Option<Measured<A>> = match moved {
            None => None,
            Some(moved) => Some(share(moved, whole, self.doubt(whole, &pair))?),
        };
        if pair.is_still() {
            return Err(LearnError::NothingMoved);
        }
        // Of the whole, what is now in what was moved.
        let now = match (moved, share) {
            (Some(moved), Some(share)) => (share.measured * moved / whole).smaller(A::Working::ONE),
            _ => A::Working::ONE,
        };
        let next = match self.target {
            None => None,
            Some(target) => Some(self.next(&pair, target, now)?),
        };
        Ok(Learnt {
            element: self.element,
            dip_before: pair.before,
            dip_after: pair.after,
            whole: Ratio::<A>::from_working(match self.element {
                TuningElement::Turns => ratio,
                _ => whole,
            }),
            share_moved: share.map(|share| share.told()),
            next,
        })
    }

    /// The factor of the part, of its inductance where turns were moved.
    fn moved_factor(&self) -> Result<Option<A::Working>, QuantityError> {
        let Some(moved) = self.moved else {
            return Ok(None);
        };
        let moved = positive(moved, "factor of the move")?.to_working();
        let thousandths = |count| A::Working::from_i32(count) / A::Working::from_i32(1000);
        // A tenth in the words of fixed point may lie a step below it.
        if moved > thousandths(10_000) || moved < thousandths(100) - thousandths(1) / A::Working::from_i32(50)
        {
            return Err(outside!("factor of the move", "must be from 0.1 to 10"));
        }
        Ok(Some(match self.element {
            TuningElement::Turns => moved.square(),
            _ => moved,
        }))
    }

    /// What a ratio of frequencies makes of the whole inductance, capacitance or length.
    fn scaled(&self, ratio: A::Working) -> A::Working {
        match self.element {
            TuningElement::Length => ratio,
            _ => ratio.square(),
        }
    }

    /// How far off `whole` may be.
    fn doubt(&self, whole: A::Working, pair: &Pair<A>) -> A::Working {
        let doubt = whole * pair.doubt();
        match self.element {
            TuningElement::Length => doubt,
            _ => doubt * A::Working::TWO,
        }
    }

    /// The next move of the part that is `now` of the whole.
    fn next(&self, pair: &Pair<A>, target: Hertz, now: A::Working) -> Result<Retune<A>, LearnError> {
        let retune = |direction, factor| Retune {
            element: self.element,
            dip: pair.after,
            wanted: target,
            direction,
            factor: Ratio::<A>::from_working(factor),
        };
        let one = A::Working::ONE;
        let missing = A::Working::from_u64(pair.after.get().abs_diff(target.get()));
        if missing <= pair.doubt_after {
            return Ok(retune(Direction::Keep, one));
        }
        let wanted = self.scaled(A::Working::from_u64(pair.after.get()) / A::Working::from_u64(target.get()));
        let part = one + (wanted - one) / now;
        let out_of_reach = || {
            let percent = (now * A::Working::from_i32(100)).to_i64();
            LearnError::OutOfReach(u8::try_from(percent).unwrap_or(100))
        };
        if part <= A::Working::ZERO {
            return Err(out_of_reach());
        }
        let factor = match self.element {
            TuningElement::Turns => part.square_root(),
            _ => part,
        };
        let eight = A::Working::from_i32(8);
        if factor > eight || factor * eight < one {
            return Err(out_of_reach());
        }
        let direction = if pair.after < target {
            Direction::Less
        } else {
            Direction::More
        };
        Ok(retune(direction, factor))
    }
}

/// The share as the dips say it, which may be a little above 1, and how far off it may be.
#[derive(Clone, Copy)]
struct Measured<A: Arithmetic> {
    measured: A::Working,
    half: A::Working,
}

fn share<A: Arithmetic>(
    moved: A::Working,
    whole: A::Working,
    doubt: A::Working,
) -> Result<Measured<A>, LearnError> {
    let one = A::Working::ONE;
    let (said, seen) = (moved - one, whole - one);
    if said.is_zero() {
        return Err(LearnError::FactorOfOne);
    }
    if seen.absolute() <= doubt {
        return Err(LearnError::NothingMoved);
    }
    let (measured, half) = (seen / said, doubt / said.absolute());
    if measured < A::Working::ZERO {
        return Err(LearnError::MovedOtherWay);
    }
    let hundred = A::Working::from_i32(100);
    if (measured - half - one) * hundred > A::Working::from_i32(ABOVE_ONE) {
        let percent = (measured * hundred).to_i64();
        return Err(LearnError::MovedFurther(
            u16::try_from(percent).unwrap_or(u16::MAX),
        ));
    }
    if half + half > A::Working::HALF {
        return Err(LearnError::TooUncertain);
    }
    Ok(Measured { measured, half })
}

impl<A: Arithmetic> Measured<A> {
    fn told(self) -> MovedShare<A> {
        let ratio = |value: A::Working| Ratio::<A>::from_working(value.smaller(A::Working::ONE));
        MovedShare {
            value: ratio(self.measured),
            // What is within its doubt of 0 was refused.
            least: ratio(self.measured - self.half),
            most: ratio(self.measured + self.half),
        }
    }
}
