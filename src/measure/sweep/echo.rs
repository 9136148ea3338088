//! Two echoes in a sweep: the load's own, and a smaller one at another delay, which makes the ripple.
//!
//! A reflection behind a delay τ turns Γ by −2πτ with each hertz, so a Fourier transform over the sweep shows it at its
//! delay (common practice, no source). A second peak there may also be a side lobe of the first, or come from a sharp
//! resonance in the middle; ripple is told only where each third of the sweep shows it by itself.

use super::cell::{CELLS, Cell, quotient};

/// What two echoes look like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Echo {
    /// The turns of Γ over the sweep that the delay of the stronger one makes, in sixteenths; negative the wrong way round.
    pub(crate) turns: i32,
    /// Whether Γ turns like that at both ends of the sweep: then it is a line; a resonance turns it in the middle.
    pub(crate) is_steady: bool,
    /// The size of the stronger one at that delay, in steps of 2⁻¹⁴.
    pub(crate) strength: i32,
    /// The size of the weaker one, in steps of 2⁻¹⁴; 0 where there is none.
    pub(crate) size: i32,
    /// How far it is from the stronger one, in sixteenths of a turn over 64 cells.
    distance: i32,
    /// Whether there are fewer than six periods of it in the sweep.
    pub(crate) is_near: bool,
}

impl Echo {
    pub(crate) const NONE: Self = Self {
        turns: 0,
        is_steady: false,
        strength: 0,
        size: 0,
        distance: 0,
        is_near: false,
    };

    /// The frequency from crest to crest, for cells this far apart.
    pub(super) fn period(self, spacing: u64) -> u64 {
        let sixteenths = self.distance.unsigned_abs();
        let all = spacing.saturating_mul(16 * CELLS as u64);
        quotient(all.saturating_add(u64::from(sixteenths >> 1)), sixteenths)
    }
}

/// sin 2πk/64 for a circle and a quarter more, in steps of 2⁻¹⁴; the rest of the circle by its symmetry.
const SINES: [i16; CELLS + CELLS / 4] = {
    const QUARTER: [i16; 17] = [
        0, 1606, 3196, 4756, 6270, 7723, 9102, 10394, 11585, 12665, 13623, 14449, 15137, 15679, 16069, 16305,
        16384,
    ];
    let mut all = [0; CELLS + CELLS / 4];
    let mut steps = 0;
    while steps < all.len() {
        let within = steps % 32;
        let size = QUARTER[if within > 16 { 32 - within } else { within }];
        all[steps] = if steps % 64 < 32 { size } else { -size };
        steps += 1;
    }
    all
};

#[derive(Clone, Copy, Debug, Default)]
struct Phasor {
    re: i32,
    im: i32,
}

impl Phasor {
    /// e^(j2πk/64), in steps of 2⁻¹⁴.
    #[inline(never)]
    fn unit(steps: usize) -> Self {
        let steps = steps & (CELLS - 1);
        let sine = |steps: usize| i32::from(SINES.get(steps).copied().unwrap_or(0));
        Self {
            re: sine(steps.wrapping_add(CELLS / 4)),
            im: sine(steps),
        }
    }

    fn of(cell: &Cell, falls: bool) -> Self {
        let im = i32::from(cell.im);
        Self {
            re: i32::from(cell.re),
            im: if falls { im.wrapping_neg() } else { im },
        }
    }

    /// Times a number of which 2¹⁴ is one.
    #[inline(never)]
    fn times(self, other: Self) -> Self {
        Self {
            re: self
                .re
                .wrapping_mul(other.re)
                .wrapping_sub(self.im.wrapping_mul(other.im))
                >> 14,
            im: self
                .re
                .wrapping_mul(other.im)
                .wrapping_add(self.im.wrapping_mul(other.re))
                >> 14,
        }
    }

    fn plus(self, other: Self) -> Self {
        Self {
            re: self.re.wrapping_add(other.re),
            im: self.im.wrapping_add(other.im),
        }
    }

    fn minus(self, other: Self) -> Self {
        Self {
            re: self.re.wrapping_sub(other.re),
            im: self.im.wrapping_sub(other.im),
        }
    }

    fn halved(self) -> Self {
        Self {
            re: self.re >> 1,
            im: self.im >> 1,
        }
    }

    /// Divided by a number.
    #[inline(never)]
    fn shared(self, by: usize) -> Self {
        let part = |part: i32| part.checked_div(by as i32).unwrap_or(0);
        Self {
            re: part(self.re),
            im: part(self.im),
        }
    }

    fn power(self) -> u32 {
        let square = |part: i32| part.unsigned_abs().saturating_mul(part.unsigned_abs());
        square(self.re).saturating_add(square(self.im))
    }

    #[inline(never)]
    fn magnitude(self) -> i32 {
        self.power().isqrt() as i32
    }
}

/// A phasor in half the memory.
#[derive(Clone, Copy, Debug, Default)]
struct Short {
    re: i16,
    im: i16,
}

impl Short {
    fn wide(self) -> Phasor {
        Phasor {
            re: i32::from(self.re),
            im: i32::from(self.im),
        }
    }

    /// Half of it, which fits: no component of a sum of two is above 2¹⁶.
    fn half(phasor: Phasor) -> Self {
        Self {
            re: (phasor.re >> 1) as i16,
            im: (phasor.im >> 1) as i16,
        }
    }
}

/// Fewer points do not show two echoes.
const LEAST: usize = 16;
/// Beyond this place a delay is read as negative.
const LONGEST: usize = 52;

/// Six periods over the sweep, in sixteenths.
const NEAR: i32 = 6 * 16;
/// The largest that a resonance or two were seen to leave there, over thousands of circuits: 0.065; in steps of 2⁻¹⁴.
const AS_RESONANCE: i32 = 1200;

/// Finds both.
#[inline(never)]
pub(super) fn find(cells: &[Cell], falls: bool, noise: i32) -> Echo {
    if cells.len() < LEAST {
        return Echo::NONE;
    }
    let mut spectrum = [Short::default(); CELLS];
    let gain = transformed(cells, falls, &mut spectrum);
    let power = |place: usize| {
        spectrum
            .get(place & (CELLS - 1))
            .map_or(0, |part| part.wide().power())
    };
    let (mut main, mut highest) = (0, 0);
    for place in 0..CELLS {
        let here = power(place);
        if here > highest {
            (main, highest) = (place, here);
        }
    }
    let size_at = |place: usize| power(place).isqrt() as i32;
    // The mean of the window in 64 cells is `gain` / 2¹⁴.
    let size = |place: usize| size_at(place).wrapping_shl(14).checked_div(gain).unwrap_or(0);
    let fine = |place: usize| {
        let at = |offset: usize| size_at(place.wrapping_add(offset));
        let (before, here, after) = (at(CELLS - 1), at(0), at(1));
        let bend = before.wrapping_add(after).wrapping_sub(here.wrapping_mul(2));
        let lean = before
            .wrapping_sub(after)
            .wrapping_mul(8)
            .checked_div(bend)
            .unwrap_or(0);
        let place = if place >= LONGEST {
            place as i32 - CELLS as i32
        } else {
            place as i32
        };
        place.wrapping_mul(16).wrapping_add(lean.clamp(-8, 8))
    };
    let strength = size(main);
    // A load without a line has its peak at 0 or beside it.
    let main_at = match fine(main) {
        beside if beside.abs() < 24 => 0,
        away => away,
    };
    let mut found = Echo {
        turns: main_at.wrapping_mul(cells.len() as i32) >> 6,
        is_steady: is_steady(cells, falls, main_at),
        strength,
        size: 0,
        distance: 0,
        is_near: false,
    };
    // Ripple below this is not told: half a per cent, or what noise makes of itself.
    let least = (noise.wrapping_mul(3) >> 1).max(80);
    // The window's own peak is so wide.
    let guard = 2usize.wrapping_add((128usize).checked_div(cells.len()).unwrap_or(0));
    let mut tried = u32::MAX;
    for _ in 0..4 {
        // The highest of the rest that is a peak.
        let (mut best, mut best_power) = (None, 0);
        let (mut before, mut here) = (power(CELLS - 1), power(0));
        for place in 0..LONGEST {
            let after = power(place.wrapping_add(1));
            let apart = place.abs_diff(main);
            let is_peak = here >= after && here > before && here > best_power && here < tried;
            if is_peak && apart >= guard && CELLS - apart >= guard {
                (best, best_power) = (Some(place), here);
            }
            (before, here) = (here, after);
        }
        let Some(place) = best else { break };
        tried = best_power;
        if size(place) < least >> 1 {
            break;
        }
        let distance = fine(place).wrapping_sub(main_at);
        let even = in_each_third(cells, falls, main, place);
        // Near the stronger one, what a resonance leaves there looks like an echo as well.
        let is_near = distance.abs().wrapping_mul(cells.len() as i32) >> 6 < NEAR;
        if even >= if is_near { least.max(AS_RESONANCE) } else { least } {
            found.size = even;
            found.distance = distance;
            found.is_near = is_near;
            break;
        }
    }
    found
}

/// Whether Γ turns in the first and in the last third by at least half of what this delay makes, in sixteenths of a place.
#[inline(never)]
fn is_steady(cells: &[Cell], falls: bool, at: i32) -> bool {
    let Ok(half) = usize::try_from(at >> 5) else {
        return false;
    };
    let turns = |part: &[Cell]| {
        let mut sum = Phasor::default();
        for pair in part.windows(2) {
            if let [one, other] = pair {
                let back = Phasor::of(one, !falls);
                sum = sum.plus(Phasor::of(other, falls).times(back));
            }
        }
        // Turned back by the half, it still points clockwise.
        sum.shared(part.len()).times(Phasor::unit(half)).im < 0
    };
    let third = cells.len() / 3;
    cells
        .chunks_exact(third.max(1))
        .take(3)
        .enumerate()
        .all(|(number, part)| number == 1 || turns(part))
}

/// The size of an echo, as the middle one of what each third of the sweep shows; 0 if one of them hardly shows it.
///
/// The stronger echo is turned to rest and goes out by differences; what is left of its slope is taken out as their mean.
#[inline(never)]
fn in_each_third(cells: &[Cell], falls: bool, main: usize, place: usize) -> i32 {
    let third = cells.len() / 3;
    let turn = place.wrapping_add(CELLS).wrapping_sub(main) & (CELLS - 1);
    // |e^(jx) − 1|.
    let gain = Phasor::unit(turn)
        .minus(Phasor { re: 1 << 14, im: 0 })
        .magnitude();
    let mut sizes = [0i32; 3];
    for (number, (part, size)) in cells.chunks_exact(third.max(1)).zip(&mut sizes).enumerate() {
        let first = number.wrapping_mul(third);
        let resting = |index: usize, cell: &Cell| {
            let steps = first.wrapping_add(index).wrapping_mul(main);
            Phasor::of(cell, falls).times(Phasor::unit(steps))
        };
        let steps = part.len().saturating_sub(1);
        let (Some(start), Some(end)) = (part.first(), part.last()) else {
            return 0;
        };
        let start = resting(0, start);
        // The sum of the differences is that of the ends.
        let mean = resting(steps, end).minus(start).shared(steps);
        let (mut along, mut last) = (Phasor::default(), start);
        for (index, cell) in part.iter().enumerate().skip(1) {
            let here = resting(index, cell);
            let rest = here.minus(last).minus(mean);
            let back = Phasor::unit(first.wrapping_add(index).wrapping_sub(1).wrapping_mul(turn));
            along = along.plus(rest.halved().times(back));
            last = here;
        }
        // Twice, for the half.
        *size = along
            .shared(steps)
            .magnitude()
            .wrapping_shl(14)
            .checked_div(gain >> 1)
            .unwrap_or(0);
    }
    let [one, other, third] = sizes;
    let least = one.min(other).min(third);
    let middle = one.max(other).min(one.min(other).max(third));
    if least.wrapping_mul(5) < middle.wrapping_mul(2) {
        return 0;
    }
    middle
}

/// Where a transform leaves what belongs to a place.
fn reversed(place: usize) -> usize {
    usize::from(((place & (CELLS - 1)) as u8).reverse_bits() >> 2)
}

/// Makes the Fourier transform over the sweep, a 64th of it; returns the sum of the window, a 64th of it, in steps of 2⁻¹⁴.
#[inline(never)]
fn transformed(cells: &[Cell], falls: bool, values: &mut [Short; CELLS]) -> i32 {
    let count = cells.len() as i32;
    // 2²⁰ over the half of their number.
    let step = (1i32 << 20).checked_div(count).unwrap_or(0);
    let mut gain = 0i32;
    for (index, (value, cell)) in values.iter_mut().zip(cells).enumerate() {
        // (1 − u²)², u from −1 to 1 over the sweep: side lobes of 1/24 (−28 dB) that fall fast.
        let from_middle = (index as i32).wrapping_mul(2).wrapping_add(1).wrapping_sub(count);
        let u = from_middle.wrapping_mul(step) >> 6;
        let open = (1i32 << 14).wrapping_sub(u.wrapping_mul(u) >> 14);
        let weight = open.wrapping_mul(open) >> 14;
        gain = gain.wrapping_add(weight);
        let weighted = Phasor::of(cell, falls).times(Phasor { re: weight, im: 0 });
        *value = Short {
            re: weighted.re as i16,
            im: weighted.im as i16,
        };
    }
    transform(values);
    for place in 0..CELLS {
        let other = reversed(place);
        if place < other {
            values.swap(place, other);
        }
    }
    gain / CELLS as i32
}

/// The transform in its place, halved at each of six stages; the places are in reversed order then.
#[inline(never)]
fn transform(values: &mut [Short; CELLS]) {
    let mut half = CELLS / 2;
    while half > 0 {
        let spread = CELLS.wrapping_shr(half.trailing_zeros()) / 2;
        for both in values.chunks_exact_mut(half.wrapping_mul(2)) {
            let Some((first, second)) = both.split_at_mut_checked(half) else {
                continue;
            };
            for (index, (one, other)) in first.iter_mut().zip(second).enumerate() {
                let (a, b) = (one.wide(), other.wide());
                *one = Short::half(a.plus(b));
                *other = Short::half(a.minus(b).times(Phasor::unit(index.wrapping_mul(spread))));
            }
        }
        half /= 2;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the sine of `std`.
    #[test]
    fn the_circle() {
        for steps in 0..200 {
            let angle = core::f64::consts::TAU * steps as f64 / 64.0;
            let Phasor { re, im } = Phasor::unit(steps);
            assert!((re as f64 - 16384.0 * angle.cos()).abs() <= 0.5, "{steps}");
            assert!((im as f64 - 16384.0 * angle.sin()).abs() <= 0.5, "{steps}");
        }
    }
}
