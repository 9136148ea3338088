//! Where the steps of 2⁻³⁰ do not hold Γ: next to the match, next to the open and the short, and from 2 on.
//!
//! What would lose its digits is taken in steps of its own: a small or a large Γ in steps of 2⁻³⁰ of the power of two
//! below its larger component, and next to the open or the short the distance from it in the same way. So these Γ cost
//! hardly more than any other, and no floating-point routine is called.

use super::Scale;
use super::bits::{INFINITE, SIGN, number, pack_any, pack_fraction, pack_size_any, signed};
use super::readouts::{decibels, swr_of};
use super::steps::{component, nearest, square_of};
use crate::arithmetic::kernel::multiply::square;
use crate::arithmetic::kernel::normalise::{Normal, normalise_short, normalise_square};
use crate::arithmetic::kernel::point::{ONE, Point, Size, Unit, mean};
use crate::arithmetic::kernel::root::root_and_inverse;
use crate::arithmetic::{Component, Decibels, Degrees, Ohms, QFactor, Readouts, Swr};

/// What the readouts are built from; the squares in units of 2⁻⁶⁰.
pub(super) struct Rare {
    /// Γ in steps of `2^places`, for its angle.
    turned: Point,
    places: i32,
    /// |Γ|².
    pub(super) square: Normal,
    /// |1 − |Γ|²|.
    pub(super) passive: Normal,
    pub(super) is_total: bool,
    pub(super) is_active: bool,
    /// |1 − Γ|² and |1 + Γ|².
    away: Normal,
    towards: Normal,
    up: Normal,
    below: u32,
}

/// The power of two below a component; for none, below all of them.
fn exponent(component: Normal) -> i32 {
    if component.mantissa == 0 {
        -200
    } else {
        component.exponent
    }
}

/// A component in steps of 2⁻³⁰ times `2^places`, not below its own power of two; cut off.
fn steps(component: Normal, places: i32) -> u32 {
    let down = places.wrapping_sub(component.exponent).unsigned_abs();
    component.mantissa.checked_shr(down).unwrap_or(0)
}

impl Rare {
    #[cold]
    #[inline(never)]
    pub(super) fn new(re: f32, im: f32) -> Self {
        let (a, b) = (re.to_bits(), im.to_bits());
        let (across, up) = (component(a), component(b));
        let top = exponent(across).max(exponent(up));
        // Steps of 2^places: as usual, or so that the larger component is from 1 to 2.
        let places = if (-7..=0).contains(&top) { 0 } else { top.max(-150) };
        let turned = Point::with_square(
            signed(a, steps(across, places)),
            signed(b, steps(up, places)),
            if places == 0 {
                square_of(across).wrapping_add(square_of(up))
            } else {
                square(steps(across, places)).wrapping_add(square(steps(up, places)))
            },
        );
        let both = places.wrapping_mul(2);
        let square = normalise_square(turned.square()).shifted(both);
        let mut rare = Self {
            turned,
            places,
            square,
            passive: square,
            is_total: true,
            is_active: true,
            away: square,
            towards: square,
            up,
            below: b & SIGN,
        };
        if places > 0 {
            rare.far();
        } else {
            rare.near(a, across);
        }
        rare
    }

    /// From 2 on, where 1 is a whole number of steps too: a component is at most 2²⁰.
    fn far(&mut self) {
        let (places, square) = (self.places.unsigned_abs() & 31, self.turned.square());
        let one = ONE >> (places << 1);
        let twice = (self.turned.across() as i64) << (31u32.wrapping_sub(places) & 31);
        let sum = square.wrapping_add(one);
        let of = |value: u64| normalise_square(value).shifted(places.wrapping_mul(2) as i32);
        self.passive = of(square.wrapping_sub(one));
        self.away = of(sum.wrapping_sub(twice as u64));
        self.towards = of(sum.wrapping_add(twice as u64));
    }

    /// Below 2.
    fn near(&mut self, a: u32, across: Normal) {
        let down = self.places.wrapping_mul(2).unsigned_abs();
        let point = Point::with_square(
            signed(a, nearest(across)),
            0,
            self.turned.square().checked_shr(down).unwrap_or(0),
        );
        self.passive = normalise_square(point.passive());
        (self.is_total, self.is_active) = (point.is_total(), point.is_active());
        (self.away, self.towards) = (normalise_square(point.away()), normalise_square(point.towards()));
        // Within 2⁻⁹ of an end.
        let gap = nearest(across).abs_diff(1 << 30);
        if gap < 1 << 21 && exponent(self.up) < -9 {
            let gap = normalise_short(gap);
            let top = exponent(gap).max(exponent(self.up)).max(-150);
            let sum = square(steps(gap, top)).wrapping_add(square(steps(self.up, top)));
            let end = normalise_square(sum).shifted(top.wrapping_mul(2));
            if a & SIGN == 0 {
                self.away = end;
            } else {
                self.towards = end;
            }
        }
    }

    /// |Γ|, and the mantissa of 1/|Γ|.
    fn root(&self) -> (Normal, u32) {
        root_and_inverse(normalise_square(self.turned.square()))
    }

    pub(super) fn magnitude(&self) -> f32 {
        let root = self.root().0.shifted(self.places);
        number(pack_any(root.mantissa, root.exponent.wrapping_sub(30)))
    }

    pub(super) fn power(&self) -> f32 {
        number(pack_any(
            self.square.mantissa,
            self.square.exponent.wrapping_sub(60),
        ))
    }

    pub(super) fn passive(&self) -> f32 {
        let sign = if self.is_active { SIGN } else { 0 };
        let passive = pack_any(self.passive.mantissa, self.passive.exponent.wrapping_sub(60));
        number(if passive == 0 { 0 } else { passive | sign })
    }

    pub(super) fn swr(&self) -> f32 {
        if self.is_total {
            return f32::INFINITY;
        }
        swr_of(
            self.root().0.shifted(self.places),
            self.passive,
            self.passive.inverse(),
        )
    }

    pub(super) fn return_loss(&self) -> f32 {
        if self.square.mantissa == 0 {
            f32::INFINITY
        } else {
            decibels(self.square)
        }
    }

    pub(super) fn mismatch_loss(&self) -> f32 {
        if self.is_total {
            f32::INFINITY
        } else {
            decibels(self.passive)
        }
    }

    pub(super) fn phase(&self) -> f32 {
        let (root, inverse) = self.root();
        number(pack_fraction(self.turned.degrees(root, inverse), 16))
    }

    pub(super) fn quality(&self) -> f32 {
        if self.up.mantissa == 0 {
            0.0
        } else if self.passive.mantissa == 0 {
            f32::INFINITY
        } else {
            let inverse = self.passive.inverse();
            number(pack_size_any(
                Size::quotient(self.up.shifted(31), self.passive, inverse),
                0,
            ))
        }
    }

    pub(super) fn terminate(&self, reference: Scale) -> (f32, f32) {
        const OPEN: (f32, f32) = (f32::INFINITY, 0.0);
        if self.away.mantissa == 0 {
            return OPEN;
        }
        let unit = Unit::new(reference.normal, self.away);
        let part = |of: Normal, sign: u32| {
            if of.mantissa == 0 {
                return 0.0;
            }
            number(pack_size_any(unit.times(of), reference.beyond) | sign)
        };
        let active = if self.is_active { SIGN } else { 0 };
        let (resistance, reactance) = (part(self.passive, active), part(self.up.shifted(31), self.below));
        let is_finite = |part: f32| part.to_bits() << 1 < INFINITE << 1;
        if is_finite(resistance) && is_finite(reactance) {
            (resistance, reactance)
        } else {
            OPEN
        }
    }

    pub(super) fn impedance_magnitude(&self, reference: Scale) -> f32 {
        if self.away.mantissa == 0 {
            return f32::INFINITY;
        }
        if self.towards.mantissa == 0 {
            return 0.0;
        }
        let size = Unit::new(reference.normal, self.away).times(mean(self.towards, self.away));
        number(pack_size_any(size, reference.beyond))
    }

    pub(super) fn readouts(&self, reference: Scale) -> Readouts<super::SoftF32> {
        let (resistance, reactance) = self.terminate(reference);
        Readouts {
            magnitude: Component::new(self.magnitude()),
            swr: Swr::new(self.swr()),
            return_loss: Decibels::new(self.return_loss()),
            mismatch_loss: Decibels::new(self.mismatch_loss()),
            resistance: Ohms::new(resistance),
            reactance: Ohms::new(reactance),
            impedance_magnitude: Ohms::new(self.impedance_magnitude(reference)),
            phase: Degrees::new(self.phase()),
            q: QFactor::new(self.quality()),
        }
    }
}
