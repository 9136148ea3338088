//! What a sweep shows for certain: whether it can be trusted, whether a line is there, whether a dip is one.

use super::Reason;
use crate::arithmetic::{Arithmetic, Real};
use crate::measure::sweep::{Echo, quotient};
use crate::measure::{Dip, SweepReport, SweepSurvey, Target};
use crate::quantity::{Hertz, Reflection};

/// So many thousandths, in steps of 2⁻¹⁴.
pub(super) const fn thousandths(count: i32) -> i32 {
    (count << 14) / 1000
}

/// The least doubt about a |Γ|: of a calibration.
const LEAST_DOUBT: i32 = thousandths(3);
/// The least fall of |Γ| beside a dip.
const LEAST_FALL: i32 = thousandths(25);
/// Noise that a |Γ| may have above 1, without anything being wrong.
const BEYOND: i32 = thousandths(20);
/// A Γ that stays within this may be one load with ripple.
const CONSTANT: u16 = thousandths(122) as u16;
/// An echo of this size is of a cable that does not match: 75 Ω on 50 Ω have 0.2.
const MISMATCH: i32 = thousandths(79);
/// With a greater noise there is no answer.
const TOO_NOISY: i32 = thousandths(73);
/// The share of |Γ| that turns evenly, where nothing but a line is.
const OF_THE_LINE: i32 = thousandths(610);
/// Beyond this |Γ|, an SWR of 12, the resistance of a load is not known well, and what it takes is lost in the parts.
pub(super) const HARDLY_ANY: i32 = thousandths(854);

/// A number of steps of 2⁻¹⁴.
#[inline(never)]
pub(super) fn steps<W: Real>(count: i32) -> W {
    W::from_i32(count) / W::from_i32(1 << 14)
}

/// A number in steps of 2⁻¹⁴, held within ±2¹⁷.
#[inline(never)]
pub(super) fn counted<W: Real>(value: W) -> i32 {
    let count = (value * W::from_i32(1 << 14)).to_i64();
    count.clamp(-1 << 31, 1 << 30) as i32
}

/// |Γ| in steps of 2⁻¹⁴.
#[inline(never)]
pub(super) fn rho<A: Arithmetic>(gamma: Reflection<A>) -> i32 {
    let [re, im] = gamma.coarse();
    let square = |part: i32| part.unsigned_abs().wrapping_mul(part.unsigned_abs());
    square(re).wrapping_add(square(im)).isqrt() as i32
}

/// |Γ| of a |Γ|² in such steps.
#[inline(never)]
pub(super) fn root_of(power: u16) -> i32 {
    (u32::from(power) << 14).isqrt() as i32
}

/// This part of a number, in steps of 2⁻¹⁴.
pub(super) fn part_of(number: i32, part: i32) -> i32 {
    ((i64::from(number) * i64::from(part)) >> 14) as i32
}

/// A sweep, and what is asked of it. Sizes of Γ are in steps of 2⁻¹⁴: noise decides here, not the last digits.
pub(super) struct Evidence<'a, A: Arithmetic, const N: usize> {
    pub(super) report: &'a SweepReport<A, N>,
    pub(super) survey: &'a SweepSurvey,
    pub(super) target: Hertz,
    /// Γ at the target, if the sweep reaches it.
    pub(super) gamma: Option<Reflection<A>>,
    /// Its size.
    pub(super) rho: i32,
    /// How far a |Γ| may be off, from noise and ripple.
    pub(super) doubt: i32,
    pub(super) echo: Echo,
    pub(super) noise: i32,
    /// Which dips of the report stand, a bit each; and the best point.
    standing: u64,
    best_stands: bool,
    /// No line is between the instrument and the load.
    is_at_load: bool,
}

impl<'a, A: Arithmetic, const N: usize> Evidence<'a, A, N> {
    /// `None` before the first point. Without a target it is about the best point.
    #[inline(never)]
    pub(super) fn new(
        report: &'a SweepReport<A, N>,
        survey: &'a SweepSurvey,
        is_at_load: bool,
    ) -> Option<Self> {
        let best = report.best()?;
        let (target, gamma) = match report.target() {
            Target::Reading(reading) => (reading.frequency, Some(reading.reflection)),
            Target::NotCovered(target) => (target, None),
            Target::NotAsked => (best.frequency, Some(best.reflection)),
        };
        let noise = survey.noise();
        let echo = survey.echo(noise);
        let fall = LEAST_FALL
            .max(noise.saturating_mul(6))
            .max(echo.size.saturating_mul(3));
        let stands =
            |dip: &Dip<A>| !dip.at_edge && survey.shows_dip(dip.frequency, rho(dip.reflection), fall);
        let mut standing = 0u64;
        for dip in report.dips().iter().rev() {
            standing = standing << 1 | u64::from(stands(dip));
        }
        // Where it is one of the list, that is said there.
        let is_listed = report.dips().iter().any(|dip| dip.frequency == best.frequency);
        Some(Self {
            report,
            survey,
            target,
            gamma,
            rho: gamma.map_or(1 << 14, rho),
            doubt: noise.saturating_add(echo.size).saturating_add(LEAST_DOUBT),
            echo,
            noise,
            standing,
            best_stands: !is_listed && stands(&best),
            is_at_load,
        })
    }

    /// Why no reading can be trusted.
    pub(super) fn is_untrusted(&self) -> Option<Reason> {
        let report = self.report;
        let spoilt = (report.spoilt().len() as u32).saturating_add(report.spoilt_left_out());
        let is_beyond = self.rho > (1i32 << 14).saturating_add(self.doubt.max(BEYOND));
        if self.survey.turns_back(self.noise) {
            Some(Reason::Uncorrected)
        } else if report.beyond_rim() > report.points() >> 3 || is_beyond {
            Some(Reason::BeyondRim)
        } else if spoilt > report.points() >> 3 {
            Some(Reason::Spoilt)
        } else {
            None
        }
    }

    /// The steps hide what is between them, at the target.
    pub(super) fn is_too_coarse(&self) -> bool {
        let hides = |dip: &Dip<A>| {
            dip.unresolved
                .is_some_and(|limits| limits.low <= self.target && self.target <= limits.high)
        };
        self.report.is_too_coarse() || self.report.dips().iter().any(hides)
    }

    /// The samples scatter so much that no shape can be told.
    pub(super) fn is_too_noisy(&self) -> bool {
        self.noise > TOO_NOISY
    }

    /// A sample beside the target was left out.
    pub(super) fn is_spoilt_here(&self) -> bool {
        let step = self.step();
        self.report
            .spoilt()
            .iter()
            .any(|spoilt| spoilt.get().abs_diff(self.target.get()) <= step.saturating_mul(2))
    }

    /// From a point to the next, about.
    pub(super) fn step(&self) -> u64 {
        let span = self.report.stop().get().abs_diff(self.report.start().get());
        quotient(span, self.report.points().saturating_sub(1))
    }

    /// Γ turns as a line makes it.
    pub(super) fn has_line(&self) -> bool {
        !self.is_at_load && self.echo.turns >= 40 && self.echo.is_steady
    }

    /// Two reflections of about the same size, far apart: a cable that does not match, so that no dip is the load's own.
    pub(super) fn has_mismatched_cable(&self) -> bool {
        let echo = self.echo;
        !self.is_at_load && echo.size > MISMATCH && !echo.is_near
    }

    /// Γ turns by nearly a whole turn or more over the sweep, evenly.
    pub(super) fn has_turns(&self) -> bool {
        self.echo.turns >= 14 && self.echo.is_steady
    }

    /// Γ turns evenly and hardly anything stays: a cable with an open or short end. What one would take for its dips are
    /// where its own reflection and that of its end are opposite.
    pub(super) fn is_line_alone(&self) -> bool {
        if !self.has_turns() {
            return false;
        }
        let [lowest, highest] = self.survey.extremes();
        lowest > thousandths(400) as u16 && self.echo.strength > part_of(root_of(highest), OF_THE_LINE)
    }

    /// Γ hardly moves, and what it moves may be ripple.
    pub(super) fn is_constant(&self) -> bool {
        self.survey.spread() < CONSTANT
    }

    /// Whether there is a dip inside of the sweep.
    pub(super) fn has_dip(&self) -> bool {
        self.standing != 0 || self.best_stands
    }

    /// The dips that are more than noise and ripple, and more than one point. Of a report with more than 64 the first ones.
    pub(super) fn dips(&self) -> impl Iterator<Item = Dip<A>> {
        let listed = (0u32..64).zip(self.report.dips());
        let standing = listed
            .filter(|(index, _)| self.standing >> index & 1 != 0)
            .map(|(_, dip)| *dip);
        let best = self
            .report
            .best()
            .filter(|best| self.best_stands && best.unresolved.is_none());
        standing.chain(best)
    }

    /// Whether enough stays in the load for its resistance to be known, and to be worth matching: an SWR below 12.
    pub(super) fn takes_power(&self) -> bool {
        self.gamma.is_some() && self.rho.saturating_add(self.doubt.saturating_mul(2)) < HARDLY_ANY
    }
}
