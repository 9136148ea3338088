//! The best setting for a known load, without trying all.
//!
//! Capacitors at the source end: for each code of the coils the impedance Z behind them is known, and the capacitors
//! move along the line W = 1/Z + y. Capacitors at the load end: for each of their codes the admittance is known, and
//! the coils move along W = 1/Y + z. Both are the same problem: among all subsets of the inner parts, find the point
//! W = g + j·b nearest to the match, |Γ| = |W − 1|/|W + 1|.
//!
//! A setting can beat the best one so far only inside its circle of constant SWR, with its centre at (1 + ρ²)/(1 − ρ²)
//! and the radius 2·ρ/(1 − ρ²) (R. E. Collin and other textbooks; from memory). This limits the sum of the inner parts
//! to a window, and [`SubsetSums::walk`] gives every subset in it. Most outer codes are excluded with a few
//! multiplications, since only the losses change g, and the lowest and the highest Q bound them. Nothing is guessed: a
//! setting is excluded only if the bound proves it worse, with an allowance for rounding. Hence the result is that of
//! trying all settings, losses included, for any values.

use super::arrangement::Arrangement;
use super::at::BankAt;
use super::bank::BankError;
use super::code::{all, is_in};
use super::setting::{Setting, Side};
use super::subset_sums::{SubsetSums, Window, sum, whole};
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::plane::Plane;
use crate::quantity::{Complex, Component, Reflection, Swr};

/// A setting, and its Γ at the input.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct BestSetting<A: Arithmetic> {
    /// The setting.
    pub setting: Setting,
    /// Γ at the input, calculated from the bank's values.
    pub reflection: Reflection<A>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for BestSetting<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{}, SWR {}", self.setting, self.reflection.swr());
    }
}

impl<A: Arithmetic> BestSetting<A> {
    /// A setting, and what is promised of it.
    pub const fn new(setting: Setting, reflection: Reflection<A>) -> Self {
        Self { setting, reflection }
    }
}

/// The best so far, and the circle that a better one must lie in.
#[derive(Clone, Copy, Debug)]
struct Circle<W> {
    /// |Γ|² of the best.
    power: W,
    setting: Setting,
    /// `None` (at total reflection): everything is inside.
    bound: Option<Bound<W>>,
}

#[derive(Clone, Copy, Debug)]
struct Bound<W> {
    /// 1/SWR.
    least: W,
    centre: W,
    radius: W,
}

impl<W: Real> Circle<W> {
    fn new(setting: Setting, power: W) -> Self {
        let mut circle = Self {
            power,
            setting,
            bound: None,
        };
        circle.draw();
        circle
    }

    /// Slightly wider than the best, to allow for rounding: a setting on the limit is examined.
    fn draw(&mut self) {
        let allowance = W::EPSILON * W::from_i32(1 << 11);
        let size = self.power.square_root() + allowance;
        self.bound = if size + allowance < W::ONE {
            let square = size.square();
            let rest = W::ONE / (W::ONE - square);
            Some(Bound {
                least: (W::ONE - size) / (W::ONE + size),
                centre: (W::ONE + square) * rest,
                radius: (size + size) * rest,
            })
        } else {
            None
        };
    }

    fn offer(&mut self, setting: Setting, power: W) -> bool {
        let is_better = power < self.power;
        if is_better {
            self.power = power;
            self.setting = setting;
            self.draw();
        }
        is_better
    }
}

/// How a side and a tap are examined.
#[derive(Clone, Copy, PartialEq)]
enum Pass {
    /// One setting is tried: that of the closed form without losses, rounded to the bank.
    Guess,
    All,
}

/// The parts that are chosen last, and the effect of their sum.
struct Inner<W, const N: usize> {
    sums: SubsetSums<W, N>,
    /// Their loss over their reactance: the lowest and the highest of all parts.
    loss: (W, W),
    /// The value without them.
    base: W,
}

impl<W: Real, const N: usize> Inner<W, N> {
    fn new(parts: &[Complex<W>; N], mask: u16, scale: W, base: W) -> Self {
        let mut loss: Option<(W, W)> = None;
        for k in 0..N {
            if let Some(part) = parts.get(k)
                && is_in(mask, k)
            {
                let own = part.re / part.im;
                loss = Some(loss.map_or((own, own), |(least, most)| (least.smaller(own), most.larger(own))));
            }
        }
        Self {
            sums: SubsetSums::new(|k| {
                let part = parts.get(k).filter(|_| is_in(mask, k));
                part.map(|part| part.im * scale)
            }),
            loss: loss.unwrap_or((W::ZERO, W::ZERO)),
            base,
        }
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> BankAt<A, L, C> {
    /// The setting with the lowest SWR for a load, of all settings of the bank.
    ///
    /// The SWR is the same, to the last bit, as the best of [`settings`](Self::settings); if two settings have the same
    /// SWR, the result is either. For a bank of 2 × 256 × 256 settings a Cortex-M0 needs under a million instructions
    /// in fixed point (`benches/on_target.csv`), and no memory except the stack.
    ///
    /// A bank with capacitors on both sides takes 2ⁿ times as long, n being the number of those at the load end.
    ///
    /// # Errors
    /// [`BankError::LoadWithoutResistance`] for a load with |Γ| ≥ 1: it takes no power, or gives some.
    pub fn best_setting(&self, load: Reflection<A>) -> Result<BestSetting<A>, BankError> {
        let setting = self
            .best_for(load.complex())
            .ok_or(BankError::LoadWithoutResistance)?;
        Ok(BestSetting {
            setting,
            reflection: self.reflection(setting, load)?,
        })
    }

    /// Whether some setting gives this SWR or less with a load.
    ///
    /// # Errors
    /// As [`best_setting`](Self::best_setting).
    pub fn reaches(&self, load: Reflection<A>, swr: impl Into<Swr<A>>) -> Result<bool, BankError> {
        let swr = swr.into();
        Ok(self.best_setting(load)?.reflection.swr() <= swr)
    }

    /// The part of the Smith chart that a bank matches to an SWR or less. Loads are spread evenly over the disc |Γ| ≤
    /// `largest`, on a spiral of the golden angle. For planning: each load costs a search.
    ///
    /// # Errors
    /// [`BankError::LoadWithoutResistance`] if `largest` is negative, 1 or more, or NaN.
    pub fn coverage(
        &self,
        swr: impl Into<Swr<A>>,
        largest: impl Into<Component<A>>,
        loads: u16,
    ) -> Result<Coverage, BankError> {
        let (swr, largest) = (swr.into(), largest.into());
        use crate::arithmetic::Quantity;
        let size = largest.to_working();
        if !(size.is_finite() && A::Working::ZERO <= size && size < A::Working::ONE) {
            return Err(BankError::LoadWithoutResistance);
        }
        let mut coverage = Coverage { matched: 0, loads };
        for k in 0..loads {
            let (place, count) = (i32::from(k), i32::from(loads));
            let within = (A::Working::from_i32(place) + A::Working::HALF) / A::Working::from_i32(count);
            // The golden angle is 0.381966 of a turn: 1 − 1/φ. Whole turns are removed first.
            let turn = (u32::from(k).wrapping_mul(1_640_531_527) >> 8) as i32;
            let (sine, cosine) = (A::Working::from_i32(turn) / A::Working::from_i32(1 << 24)).sine_cosine();
            let radius = size * within.square_root();
            let load = Reflection::from_complex(Complex::new(radius * cosine, radius * sine));
            if self.reaches(load, swr)? {
                coverage.matched = coverage.matched.saturating_add(1);
            }
        }
        Ok(coverage)
    }

    /// The best setting for a load in working numbers; `None` if the load is not passive.
    #[inline(never)]
    pub(super) fn best_for(&self, load: Complex<A::Working>) -> Option<Setting> {
        // NaN fails this comparison too.
        let is_passive = load.power() < A::Working::ONE;
        if !is_passive {
            return None;
        }
        let port = Plane::of(load);
        let mut circle = Circle::new(Setting::BYPASS, self.power_of(Setting::BYPASS, port));
        // First a good guess at each side and tap: it makes the circle small before the full search.
        for pass in [Pass::Guess, Pass::All] {
            // The tap of the best guess first.
            let Setting { side, tap: first, .. } = circle.setting;
            for step in 0..self.tap_count {
                let tap = first.saturating_add(step);
                let tap = if tap < self.tap_count {
                    tap
                } else {
                    tap - self.tap_count
                };
                self.go_through(pass, side, tap, port, &mut circle);
            }
        }
        Some(circle.setting)
    }

    fn go_through(
        &self,
        pass: Pass,
        first: Side,
        tap: u8,
        load: Plane<A::Working>,
        circle: &mut Circle<A::Working>,
    ) {
        match self.arrangement {
            Arrangement::SourceSide => self.at_source(pass, Side::Source, tap, 0, load, circle),
            Arrangement::LoadSide => self.at_load(pass, Side::Source, tap, load, circle),
            Arrangement::Changeover => {
                let other = match first {
                    Side::Source => Side::Load,
                    Side::Load => Side::Source,
                };
                for side in [first, other] {
                    match side {
                        Side::Source => self.at_source(pass, side, tap, 0, load, circle),
                        Side::Load => self.at_load(pass, side, tap, load, circle),
                    }
                }
            }
            Arrangement::BothSides { .. } => {
                let mask = all(C) & !self.source_mask(Side::Source);
                // Every subset of the mask, 0 last.
                let mut code = mask;
                loop {
                    self.at_source(pass, Side::Source, tap, code, load, circle);
                    if code == 0 {
                        break;
                    }
                    code = code.saturating_sub(1) & mask;
                }
            }
        }
    }

    /// Capacitors at the source end, `fixed` ones at the load end.
    #[inline(never)]
    fn at_source(
        &self,
        pass: Pass,
        side: Side,
        tap: u8,
        fixed: u16,
        load: Plane<A::Working>,
        circle: &mut Circle<A::Working>,
    ) {
        let base = self.behind_capacitors(tap, fixed, load);
        let inner = Inner::new(
            &self.capacitors,
            self.source_mask(side),
            A::Working::ONE,
            self.at_source,
        );
        let power = |coils, capacitors| {
            let setting = Setting {
                coils,
                capacitors: capacitors | fixed,
                side,
                tap,
            };
            (setting, self.power_of(setting, load))
        };
        let outer = Outer {
            base,
            parts: &self.coils,
            scale: A::Working::ONE,
        };
        search(pass, &outer, &inner, power, circle);
    }

    /// The impedance behind the coils, without any of them: capacitors at the load end, tap and load.
    #[inline(never)] // frees its stack before the search begins
    fn behind_capacitors(&self, tap: u8, fixed: u16, load: Plane<A::Working>) -> Complex<A::Working> {
        let reactive = |im| Complex::new(A::Working::ZERO, im);
        let shunt = sum(reactive(self.at_load), &self.capacitors, fixed);
        let v = load.voltage.scale(self.tap(tap));
        v / (load.current + shunt * v) + reactive(self.path)
    }

    /// The admittance at the load end, without a capacitor.
    #[inline(never)]
    fn behind_tap(&self, tap: u8, load: Plane<A::Working>) -> Complex<A::Working> {
        load.current / load.voltage.scale(self.tap(tap)) + Complex::new(A::Working::ZERO, self.at_load)
    }

    /// Capacitors at the load end.
    ///
    /// Strays at the source end count as part of the source, which is then complex, Zs = r + jx; and
    /// |Γ| = |Z − Zs*|/|Z + Zs| (Kurokawa) is the |Γ| of (Z + jx)/r.
    #[inline(never)]
    fn at_load(
        &self,
        pass: Pass,
        side: Side,
        tap: u8,
        load: Plane<A::Working>,
        circle: &mut Circle<A::Working>,
    ) {
        let one = A::Working::ONE;
        let size = one + self.at_source.square();
        let source = Complex::new(one / size, -(self.at_source / size));
        let base = self.behind_tap(tap, load).scale(source.re);
        let inner = Inner::new(&self.coils, all(L), size, (self.path + source.im) * size);
        let power = |capacitors, coils| {
            let setting = Setting {
                coils,
                capacitors,
                side,
                tap,
            };
            (setting, self.power_of(setting, load))
        };
        let outer = Outer {
            base,
            parts: &self.capacitors,
            scale: source.re,
        };
        search(pass, &outer, &inner, power, circle);
    }
}

/// The outer parts, each times `scale`, added to `base`.
struct Outer<'a, W, const N: usize> {
    base: Complex<W>,
    parts: &'a [Complex<W>; N],
    scale: W,
}

impl<W: Real, const N: usize> Outer<'_, W, N> {
    /// `sum` and part k.
    fn with(&self, sum: Complex<W>, k: usize) -> Complex<W> {
        let part = self.parts.get(k).copied().unwrap_or(Complex::ZERO);
        sum + if self.scale == W::ONE {
            part
        } else {
            part.scale(self.scale)
        }
    }
}

/// Goes through the outer codes, or tries one of them.
fn search<W: Real, const N: usize, const M: usize>(
    pass: Pass,
    outer: &Outer<'_, W, N>,
    inner: &Inner<W, M>,
    power: impl Fn(u16, u16) -> (Setting, W),
    circle: &mut Circle<W>,
) {
    match pass {
        Pass::Guess => guess(outer, inner, &power, circle),
        Pass::All => try_all(outer, inner, &power, circle),
    }
}

/// The setting of the closed form: Re 1/(g + jx) = 1 if x² = g·(1 − g), on the side from which the inner parts return.
#[inline(never)]
fn guess<W: Real, const N: usize, const M: usize>(
    outer: &Outer<'_, W, N>,
    inner: &Inner<W, M>,
    power: &impl Fn(u16, u16) -> (Setting, W),
    circle: &mut Circle<W>,
) {
    let Complex { re, im } = outer.base;
    let sums = SubsetSums::<W, N>::new(|k| outer.parts.get(k).map(|part| part.im * outer.scale));
    let code = sums.nearest((re * (W::ONE - re)).square_root() - im);
    let mut there = outer.base;
    for k in 0..N {
        if is_in(code, k) {
            there = outer.with(there, k);
        }
    }
    let size = there.power();
    if !size.is_zero() {
        let code_inside = inner.sums.nearest(there.im / size - inner.base);
        let (setting, value) = power(code, code_inside);
        circle.offer(setting, value);
    }
}

#[inline(never)]
fn try_all<W: Real, const N: usize, const M: usize>(
    outer: &Outer<'_, W, N>,
    inner: &Inner<W, M>,
    power: &impl Fn(u16, u16) -> (Setting, W),
    circle: &mut Circle<W>,
) {
    // prefix[k]: the base and all parts of the code from bit k up.
    let mut prefix = [outer.base; N];
    let last = all(N);
    let mut code = 0u16;
    loop {
        let there = prefix.first().copied().unwrap_or(outer.base);
        try_outer(there, code, inner, power, circle);
        if code == last {
            return;
        }
        code = code.saturating_add(1);
        // All bits below the lowest set bit have just become zero.
        let bit = code.trailing_zeros() as usize;
        let above = prefix.get(bit + 1).copied().unwrap_or(outer.base);
        let with = outer.with(above, bit);
        for place in prefix.iter_mut().take(bit + 1) {
            *place = with;
        }
    }
}

/// The inner codes that may beat the best so far, for a given outer code: W = 1/(R + jX) + j·base + parts.
#[inline(never)]
fn try_outer<W: Real, const M: usize>(
    there: Complex<W>,
    code: u16,
    inner: &Inner<W, M>,
    power: &impl Fn(u16, u16) -> (Setting, W),
    circle: &mut Circle<W>,
) {
    let size = there.power();
    if size.is_zero() {
        return; // a short: nothing behind it can be matched
    }
    // Everything is divided by `size`: the inner parts must add X/size − base.
    let wanted = there.im - inner.base * size;
    if let Some(bound) = &circle.bound
        && is_beyond(bound, there, size, wanted, inner)
    {
        return;
    }
    let per_size = W::ONE / size;
    let target = wanted * per_size;
    let conductance = there.re * per_size;
    let sums = &inner.sums;
    let middle = whole(target * sums.per_unit);
    let Some(mut window) = window(target, conductance, inner, circle) else {
        return;
    };
    // The nearest first: it makes the circle small.
    let Some(nearest) = sums.nearest_within(middle, window) else {
        return;
    };
    let (setting, value) = power(code, nearest);
    if circle.offer(setting, value) {
        match self::window(target, conductance, inner, circle) {
            Some(closer) => window = closer,
            None => return,
        }
    }
    sums.walk(window, |inner_code, sum, window| {
        if inner_code == nearest || !may_be_better(sum, target, conductance, inner, circle) {
            return;
        }
        let (setting, value) = power(code, inner_code);
        if circle.offer(setting, value) {
            // An empty window contains no sum.
            *window = self::window(target, conductance, inner, circle).unwrap_or((1, 0));
        }
    });
}

/// Whether no sum of the inner parts can bring the outer code into the circle. `wanted` is divided by `size`.
#[inline(always)]
fn is_beyond<W: Real, const M: usize>(
    bound: &Bound<W>,
    there: Complex<W>,
    size: W,
    wanted: W,
    inner: &Inner<W, M>,
) -> bool {
    let reach = bound.radius * size;
    if wanted + reach < W::ZERO {
        return true; // negative
    }
    let (least, most) = inner.loss;
    let high = if most.is_zero() {
        there.re
    } else {
        there.re + most * (wanted + reach)
    };
    if high < bound.least * size {
        return true;
    }
    let low = if least.is_zero() || wanted < reach {
        there.re
    } else {
        there.re + least * (wanted - reach)
    };
    bound.least * low > size
}

/// The sums of the inner parts, in units, that stay within the circle; `None` if there are none.
fn window<W: Real, const M: usize>(
    target: W,
    conductance: W,
    inner: &Inner<W, M>,
    circle: &Circle<W>,
) -> Option<Window> {
    let sums = &inner.sums;
    let total = sums.total();
    let Some(bound) = &circle.bound else {
        return Some((0, total));
    };
    let largest = sums.unit * W::from_i32(total.saturating_add(sums.slack()));
    let mut from = (target - bound.radius).larger(W::ZERO);
    let mut to = (target + bound.radius).smaller(largest);
    // The losses of the parts limit their sum, and the sum limits the losses.
    for _ in 0..4 {
        if to < from {
            return None;
        }
        let off = bound.off(conductance + inner.loss.0 * from, conductance + inner.loss.1 * to);
        if off > bound.radius {
            return None;
        }
        let half = ((bound.radius - off) * (bound.radius + off)).square_root();
        let before = to - from;
        from = from.larger(target - half);
        to = to.smaller(target + half);
        if to - from > before * W::HALF {
            break;
        }
    }
    if to < from {
        return None;
    }
    let slack = sums.slack();
    let from = whole(from * sums.per_unit).saturating_sub(slack);
    let to = whole(to * sums.per_unit).saturating_add(slack);
    Some((from, to))
}

/// Whether this sum of the inner parts, in units, may bring W into the circle.
fn may_be_better<W: Real, const M: usize>(
    sum: i32,
    target: W,
    conductance: W,
    inner: &Inner<W, M>,
    circle: &Circle<W>,
) -> bool {
    let Some(bound) = &circle.bound else {
        return true;
    };
    let sums = &inner.sums;
    let unit = sums.unit;
    let x = unit * W::from_i32(sum);
    let slack = unit * W::from_i32(sums.slack());
    let off = bound.off(
        conductance + inner.loss.0 * (x - slack),
        conductance + inner.loss.1 * (x + slack),
    );
    let beside = ((x - target).absolute() - slack).larger(W::ZERO);
    off.square() + beside.square() <= bound.radius.square()
}

impl<W: Real> Bound<W> {
    /// The least distance from the centre of a real part between these.
    fn off(&self, low: W, high: W) -> W {
        if high < self.centre {
            self.centre - high
        } else if low > self.centre {
            low - self.centre
        } else {
            W::ZERO
        }
    }
}

/// The part of a disc of loads that a bank matches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Coverage {
    /// The number of loads that some setting brings under the limit.
    pub matched: u16,
    /// The number of loads examined.
    pub loads: u16,
}
