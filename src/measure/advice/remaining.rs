//! What each remedy leaves of a load's |Γ|, and how far that may be off.

use super::evidence::{counted, steps};
use super::next_step::Placement;
use crate::arithmetic::Real;
use crate::design::transformer::Turns;
use crate::quantity::Complex;

/// |Γ| after a step, in steps of 2⁻¹⁴.
#[derive(Clone, Copy, Debug)]
pub(super) struct Left {
    pub(super) rho: i32,
    /// How far it may be off, from a doubt about Γ before the step: to first order.
    pub(super) doubt: i32,
}

impl Left {
    fn of<W: Real>(rho: W, doubt: W) -> Self {
        Self {
            rho: counted(rho),
            doubt: counted(doubt),
        }
    }

    pub(super) fn most(self) -> i32 {
        self.rho.saturating_add(self.doubt)
    }
}

/// A load by its Γ: z = (1 + Γ)/(1 − Γ), with r = p/|1 − Γ|², x = 2·Im Γ/|1 − Γ|², g = p/|1 + Γ|², b = −2·Im Γ/|1 + Γ|² where
/// p = 1 − |Γ|².
#[derive(Clone, Copy, Debug)]
pub(super) struct Load<W> {
    passive: W,
    /// |1 − Γ|².
    down: W,
    /// |1 + Γ|².
    up: W,
    twice_im: W,
    /// In Γ.
    four_doubts: W,
}

impl<W: Real> Load<W> {
    /// `None` for a load without resistance, an open and a short.
    pub(super) fn new(gamma: Complex<W>, passive: W, doubt: i32) -> Option<Self> {
        let (down, up) = ((Complex::ONE - gamma).power(), (Complex::ONE + gamma).power());
        let stands = passive > W::ZERO && !down.is_zero() && !up.is_zero();
        stands.then_some(Self {
            passive,
            down,
            up,
            twice_im: gamma.im * W::TWO,
            four_doubts: steps::<W>(doubt.saturating_mul(4)),
        })
    }

    /// The same load seen from the other side of z ↔ y.
    fn inverted(self) -> Self {
        Self {
            down: self.up,
            up: self.down,
            twice_im: -self.twice_im,
            ..self
        }
    }

    /// The form in which a part cancels what is to be cancelled: the load for one in series, its inverse for one across.
    fn of(self, place: Placement) -> Self {
        match place {
            Placement::Series => self,
            Placement::Across => self.inverted(),
        }
    }

    /// The impedance ratio (with a part across: the inverse of it) that makes what is left 1 after cancelling: 1/r.
    pub(super) fn wanted_with_part(self, place: Placement) -> W {
        let this = self.of(place);
        let ratio = this.down / this.passive;
        if place == Placement::Across {
            W::ONE / ratio
        } else {
            ratio
        }
    }

    /// The impedance ratio that leaves the least by turns alone: 1/|z|.
    pub(super) fn wanted(self) -> W {
        (self.down / self.up).square_root()
    }

    /// What is left with this impedance ratio and a part that cancels the rest. With R = k·r: |R − 1|/(R + 1), and a doubt u of Γ
    /// is one of 2u/|1 − Γ|² in z, and of 2/(R + 1)² of that in the new Γ.
    pub(super) fn with_part(self, ratio: W, place: Placement) -> Left {
        let this = self.of(place);
        let k = if place == Placement::Across {
            W::ONE / ratio
        } else {
            ratio
        };
        let resistance = k * this.passive / this.down;
        let sum = resistance + W::ONE;
        Left::of(
            (resistance - W::ONE).absolute() / sum,
            this.four_doubts * k / (this.down * sum.square()),
        )
    }

    /// What is left with this impedance ratio alone: (|kz|² + 1 − 2kr)/(|kz|² + 1 + 2kr).
    pub(super) fn with_turns(self, ratio: W) -> Left {
        let square = ratio.square() * self.up / self.down + W::ONE;
        let twice_real = W::TWO * ratio * self.passive / self.down;
        let sum = square + twice_real;
        Left::of(
            ((square - twice_real) / sum).square_root(),
            self.four_doubts * ratio / (self.down * sum),
        )
    }

    /// The reactance of the part in units of the reference, on the source's side of this impedance ratio: −k·x in series,
    /// k/b across.
    pub(super) fn part(self, ratio: W, place: Placement) -> W {
        let this = self.of(place);
        let x = this.twice_im / this.down;
        if place == Placement::Across {
            ratio / x
        } else {
            -(ratio * x)
        }
    }
}

/// A pair of turns within these limits, near to the impedance ratio `wanted`, with few turns to be changed.
///
/// What leaks goes with the square of the turns, so that few changes keep it as it is: three per cent of turns ratio are
/// given for each turn that need not be wound, one per cent where no winding is there.
#[inline(never)]
pub(super) fn nearest<W: Real>(wanted: W, most: Turns, own: Option<Turns>) -> Option<Turns> {
    // The turns ratio in steps of 2⁻¹², from 1/255 to 255.
    let root = (wanted.square_root() * W::from_i32(1 << 12)).to_i64();
    let root = root.clamp(16, 255 << 12) as u32;
    let mut best: Option<(u32, Turns)> = None;
    for secondary in 1..=most.secondary() {
        let aim = root.wrapping_mul(u32::from(secondary));
        let near = (aim >> 12).min(u32::from(most.primary())).max(1);
        for primary in [near, near.wrapping_add(1).min(u32::from(most.primary()))] {
            let here = primary << 12;
            let primary = primary as u8;
            let (changed, weight) = match own {
                Some(own) => (
                    u32::from(primary.abs_diff(own.primary()))
                        .wrapping_add(secondary.abs_diff(own.secondary()).into()),
                    123,
                ),
                None => (u32::from(primary).wrapping_add(secondary.into()), 41),
            };
            let work = changed.wrapping_mul(weight);
            // |ln q| is about |a − b|/min(a, b); in steps of 2⁻¹², both within 28 bits and the part within 20.
            let of = here.min(aim);
            let part = here.abs_diff(aim).min(of.wrapping_mul(15));
            let shift = 20u32.saturating_sub(part.leading_zeros());
            let miss = ((part >> shift) << 12)
                .checked_div(of >> shift)
                .unwrap_or(u32::MAX >> 1);
            let cost = miss.wrapping_add(work);
            if best.is_none_or(|(least, _)| cost < least)
                && let Ok(turns) = Turns::new(primary, secondary)
            {
                best = Some((cost, turns));
            }
        }
    }
    best.map(|(_, turns)| turns)
}
