//! A sweep seen as a whole: its noise, its ripple, how high |Γ| stands beside a dip, which way Γ turns.
//!
//! The analyser looks at a few neighbours and forgets them. What is asked here needs the whole sweep, but not each point
//! of it: at most 64 samples are kept, evenly over all that came. All in whole numbers, the same for each family.

use heapless::Vec;

use super::analyser::{Order, SweepError};
use super::cell::{CELLS, Cell, quotient};
use super::echo::{self, Echo};
use super::quality::{Ripple, SweepQuality};
use super::report::SweepReport;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::measure::detector::Quality;
use crate::quantity::{Component, Hertz, Reflection};

/// What is gathered of the present cell.
#[derive(Clone, Copy, Debug)]
struct Gathering {
    frequency: Hertz,
    re: i16,
    im: i16,
    power: u64,
    rough: u64,
    points: u32,
}

/// A place of Γ, or a difference, in steps of 2⁻¹⁴.
#[derive(Clone, Copy, Debug)]
struct Difference {
    re: i32,
    im: i32,
}

impl Difference {
    const ZERO: Self = Self { re: 0, im: 0 };

    // A component of Γ is within ±2¹⁵, and a third difference within eight times that.
    fn minus(self, other: Self) -> Self {
        Self {
            re: self.re.wrapping_sub(other.re),
            im: self.im.wrapping_sub(other.im),
        }
    }
}

/// Looks at a sweep as a whole, for [`NextStep`](crate::measure::NextStep) and for the [quality](Self::quality) of the
/// readings: push each point beside the analyser.
///
/// It holds at most 64 samples of the sweep, evenly over it, in 1.1 KB. A sweep has at least 33 of them from 33 points on.
/// What it tells of ripple needs an even grid, and a delay of less than half the number of samples over the span.
///
/// # Complexity
/// Constant memory, and some 200 instructions a point on a Cortex-M0; 1,600 where two cells become one.
///
/// ```
/// use ohmwright::fixed_point::{Built, Hertz, Impedance, NextStep, Reference, SweepAnalyser, SweepSettings, SweepSurvey, Swr, TuningElement};
/// use ohmwright::measure::{Action, Direction};
///
/// let target = Hertz::from_megahertz(71);
/// let settings = SweepSettings::new().with_target(Some(target)).with_swr_limit(Swr::thousandths::<1_500>());
/// let mut analyser = SweepAnalyser::<4>::new(settings)?;
/// let mut survey = SweepSurvey::new();
/// for step in 0..=100 {
///     // An invented stage: 40 Ω, 600 nH and 9.25 pF in series.
///     let frequency = Hertz::from_kilohertz(60_000 + 200 * step);
///     let omega = core::f64::consts::TAU * frequency.get() as f64;
///     let gamma = Impedance::try_from_f64(40.0, omega * 600e-9 - 1.0 / (omega * 9.25e-12))?.reflection(Reference::fifty());
///     analyser.push(frequency, gamma)?;
///     survey.push(frequency, gamma)?;
/// }
/// let next = NextStep::new(&analyser.report(), &survey, &Built::new(TuningElement::Capacitance))?;
/// let Action::Move(trimmer) = next.action else { panic!("{next:?}") };
/// assert_eq!(trimmer.direction, Direction::Less); // the dip is at 67.6 MHz
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct SweepSurvey {
    order: Order,
    cells: Vec<Cell, CELLS>,
    /// The points of a full cell.
    per_cell: u32,
    gathering: Option<Gathering>,
    last: Difference,
    step: Difference,
    bend: Difference,
    /// How many of these three are known.
    known: u8,
    /// The samples marked so.
    level_high: u32,
    level_low: u32,
}

#[cfg(feature = "defmt")]
impl defmt::Format for SweepSurvey {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "survey of a sweep, {=usize} samples", self.cells.len());
    }
}

impl Default for SweepSurvey {
    /// [`new`](Self::new).
    fn default() -> Self {
        Self::new()
    }
}

impl SweepSurvey {
    /// Before the first point.
    pub const fn new() -> Self {
        Self {
            order: Order::NEW,
            cells: Vec::new(),
            per_cell: 1,
            gathering: None,
            last: Difference::ZERO,
            step: Difference::ZERO,
            bend: Difference::ZERO,
            known: 0,
            level_high: 0,
            level_low: 0,
        }
    }

    /// Begins a new sweep.
    pub fn restart(&mut self) {
        *self = Self::new();
    }

    /// Takes the next point of the sweep.
    ///
    /// # Errors
    /// As [`SweepAnalyser::push`](crate::measure::SweepAnalyser::push); the survey is then unchanged.
    pub fn push<A: Arithmetic>(
        &mut self,
        frequency: Hertz,
        reflection: Reflection<A>,
    ) -> Result<(), SweepError> {
        self.take(frequency, reflection.coarse())
    }

    /// Notes what the detector marked of the sample that was pushed last, so that
    /// [`quality`](Self::quality) tells it: a channel near its limit, too little signal.
    pub fn mark(&mut self, quality: Quality) {
        self.level_high = self.level_high.saturating_add(quality.near_overload.into());
        self.level_low = self.level_low.saturating_add(quality.weak.into());
    }

    #[inline(never)]
    fn take(&mut self, frequency: Hertz, [re, im]: [i32; 2]) -> Result<(), SweepError> {
        self.order.check(frequency)?;
        let place = Difference { re, im };
        let step = place.minus(self.last);
        let bend = step.minus(self.step);
        let third = bend.minus(self.bend);
        (self.last, self.step, self.bend) = (place, step, bend);
        let rough = if self.known < 3 {
            self.known = self.known.wrapping_add(1);
            0
        } else {
            third.re.unsigned_abs().wrapping_add(third.im.unsigned_abs())
        };
        let square = |part: i32| part.unsigned_abs().wrapping_mul(part.unsigned_abs());
        let power = square(re).wrapping_add(square(im)) >> 14;
        let gathering = self.gathering.get_or_insert(Gathering {
            frequency,
            re: short(re),
            im: short(im),
            power: 0,
            rough: 0,
            points: 0,
        });
        gathering.power = gathering.power.wrapping_add(u64::from(power));
        gathering.rough = gathering.rough.wrapping_add(u64::from(rough));
        gathering.points = gathering.points.wrapping_add(1);
        if gathering.points >= self.per_cell {
            self.end_cell();
        }
        Ok(())
    }

    /// The present cell is full.
    #[inline(never)]
    fn end_cell(&mut self) {
        let Some(full) = self.gathering.take() else {
            return;
        };
        if self.cells.is_full() {
            self.halve();
        }
        // The number of points in a cell is a power of two.
        let shift = full.points.trailing_zeros();
        let mean = |sum: u64| u16::try_from(sum >> shift).unwrap_or(u16::MAX);
        let _ = self.cells.push(Cell {
            frequency: full.frequency,
            re: full.re,
            im: full.im,
            power: mean(full.power),
            rough: mean(full.rough),
        });
        if self.cells.is_full() {
            self.halve();
        }
    }

    /// Makes one cell of each two.
    fn halve(&mut self) {
        let mut half: usize = 0;
        for place in (0..self.cells.len()).step_by(2) {
            if let (Some(one), Some(other)) = (
                self.cells.get(place).copied(),
                self.cells.get(place.wrapping_add(1)).copied(),
            ) && let Some(slot) = self.cells.get_mut(half)
            {
                *slot = Cell {
                    power: middle(one.power, other.power),
                    rough: middle(one.rough, other.rough),
                    ..one
                };
                half = half.wrapping_add(1);
            }
        }
        self.cells.truncate(half);
        self.per_cell = self.per_cell.saturating_mul(2);
    }

    fn falls(&self) -> bool {
        self.order.is_falling()
    }

    /// The standard deviation of a component of Γ from noise, in steps of 2⁻¹⁴.
    ///
    /// From third differences, in which a smooth curve vanishes: those of white noise have 20 times its variance, so that
    /// the sizes of both components together are 7.14 σ on average. Of the cells the lowest third is taken, where the
    /// curve is smoothest; there it is 5.3 σ.
    #[inline(never)]
    pub(crate) fn noise(&self) -> i32 {
        // The first three points have no third difference.
        let is_known = |cell: &&Cell| cell.rough > 0 || self.per_cell > 1;
        let rank = self.cells.len() / 3;
        // The largest value that no more than `rank` cells stay below; 2 in Γ is far more than any noise makes.
        let (mut found, mut bit) = (0u16, 1u16 << 14);
        while bit > 0 {
            let next = found | bit;
            let cells = unknown_length(&self.cells).iter().filter(is_known);
            if cells.filter(|cell| cell.rough < next).count() <= rank {
                found = next;
            }
            bit >>= 1;
        }
        if found == u16::MAX >> 1 {
            return 0; // no cell stays below it
        }
        i32::from(found).wrapping_mul(3) >> 4
    }

    /// The second of two echoes in the sweep, and how often Γ turns because of the first.
    pub(crate) fn echo(&self, noise: i32) -> Echo {
        if !self.is_even() {
            return Echo::NONE;
        }
        echo::find(&self.cells, self.falls(), noise)
    }

    /// Whether the steps are alike within an eighth.
    fn is_even(&self) -> bool {
        let (Some(first), Some(last)) = (self.cells.first(), self.cells.last()) else {
            return false;
        };
        let steps = self.cells.len().saturating_sub(1) as u32;
        if steps == 0 {
            return false;
        }
        let usual = quotient(first.frequency.get().abs_diff(last.frequency.get()), steps);
        self.cells.windows(2).all(|pair| {
            let [one, other] = pair else { return true };
            let step = one.frequency.get().abs_diff(other.frequency.get());
            step.abs_diff(usual) <= usual >> 3
        })
    }

    /// From a cell to the next, hertz.
    fn spacing(&self) -> u64 {
        let (Some(first), Some(last)) = (self.cells.first(), self.cells.last()) else {
            return 0;
        };
        let steps = self.cells.len().saturating_sub(1) as u32;
        quotient(first.frequency.get().abs_diff(last.frequency.get()), steps)
    }

    /// Nearly the lowest and nearly the highest mean |Γ|² of a cell, in steps of 2⁻¹⁴: of many cells three more may be lower,
    /// and three higher, since these may be spoilt.
    pub(crate) fn extremes(&self) -> [u16; 2] {
        self.ends(Ranked::Power)
    }

    #[inline(never)]
    fn ends(&self, of: Ranked) -> [u16; 2] {
        if self.cells.is_empty() {
            return [0, u16::MAX];
        }
        // Shifted so that none is negative.
        let shifted = |part: i16| (part as u16).wrapping_add(1 << 15);
        let (mut lowest, mut highest) = ([u16::MAX; SPARED + 1], [u16::MAX; SPARED + 1]);
        for cell in unknown_length(&self.cells) {
            let value = match of {
                Ranked::Power => cell.power,
                Ranked::Re => shifted(cell.re),
                Ranked::Im => shifted(cell.im),
            };
            keep_least(&mut lowest, value);
            keep_least(&mut highest, !value);
        }
        match (lowest, highest) {
            ([low, ..], [high, ..]) if self.cells.len() < 24 => [low, !high],
            ([.., low], [.., high]) => [low, !high],
        }
    }

    /// How far Re Γ and Im Γ go, the larger of both, in steps of 2⁻¹⁴; spared are the same as in
    /// [`extremes`](Self::extremes).
    pub(crate) fn spread(&self) -> u16 {
        let width = |[low, high]: [u16; 2]| high.saturating_sub(low);
        width(self.ends(Ranked::Re)).max(width(self.ends(Ranked::Im)))
    }

    /// The mean |Γ|² of the cell that a frequency lies in, in steps of 2⁻¹⁴; of the last one beyond the sweep.
    pub(crate) fn power_at(&self, frequency: Hertz) -> u16 {
        let away = |cell: &&Cell| cell.frequency.get().abs_diff(frequency.get());
        self.cells.iter().min_by_key(away).map_or(0, |cell| cell.power)
    }

    /// Whether |Γ| stands higher on both sides of a frequency than `rho` there by more than `fall`, and is low over more than one
    /// point; in steps of 2⁻¹⁴.
    ///
    /// On each side the second highest cell counts: one may be spoilt. A dip of one point makes its cell lower by its depth over
    /// the number of points in it, a wider one it and the cells beside it by more.
    #[inline(never)]
    pub(crate) fn shows_dip(&self, frequency: Hertz, rho: i32, fall: i32) -> bool {
        let half = self.spacing() >> 1;
        let (mut below, mut above) = ([0u16; 2], [0u16; 2]);
        let (mut least, mut place) = (u64::MAX, 0usize);
        for (index, cell) in unknown_length(&self.cells).iter().enumerate() {
            let away = cell.frequency.get().abs_diff(frequency.get());
            if away < least {
                (least, place) = (away, index);
            }
            if away < half {
                continue; // the cell it lies in
            }
            let side = match cell.frequency <= frequency {
                true => &mut below,
                false => &mut above,
            };
            let [first, second] = *side;
            *side = if cell.power > first {
                [cell.power, first]
            } else {
                [first, second.max(cell.power)]
            };
        }
        let shoulder = below[1].min(above[1]);
        let power = |rho: i32| u32::try_from(rho.wrapping_mul(rho) >> 14).unwrap_or(0);
        let needed = rho.saturating_add(fall);
        if u32::from(shoulder) <= power(needed) {
            return false;
        }
        let mut drop = 0u32;
        for index in [place.wrapping_sub(1), place, place.wrapping_add(1)] {
            if let Some(cell) = self.cells.get(index) {
                drop = drop.wrapping_add(u32::from(shoulder.saturating_sub(cell.power)));
            }
        }
        // 1.4 of the depth is more than one point.
        let depth = u32::from(shoulder).saturating_sub(power(rho));
        drop.saturating_mul(self.per_cell).saturating_mul(5) > depth.saturating_mul(7)
    }

    /// The mean |Γ|² of the lowest quarter of the sweep less that of the highest, in steps of 2⁻¹⁴.
    pub(crate) fn trend(&self) -> i32 {
        let quarter = self.cells.len() / 4;
        let mean = |cells: &mut dyn Iterator<Item = &Cell>| {
            let sum: u32 = cells.take(quarter).map(|cell| u32::from(cell.power)).sum();
            sum.checked_div(quarter as u32).unwrap_or(0) as i32
        };
        let (first, last) = (mean(&mut self.cells.iter()), mean(&mut self.cells.iter().rev()));
        if self.falls() {
            last.wrapping_sub(first)
        } else {
            first.wrapping_sub(last)
        }
    }

    /// The sum of all samples, in steps of 2⁻¹⁴.
    pub(crate) fn sum(&self) -> [i32; 2] {
        self.cells.iter().fold([0, 0], |[re, im], cell| {
            [
                re.wrapping_add(i32::from(cell.re)),
                im.wrapping_add(i32::from(cell.im)),
            ]
        })
    }

    /// Whether the path of Γ bends the wrong way round: with rising frequency, that of every passive load goes clockwise.
    ///
    /// Chords of the path are compared, each with the next, where they are longer than noise makes them: over one cell
    /// behind a long line, else over four.
    pub(crate) fn turns_back(&self, noise: i32) -> bool {
        let chord = |one: &Cell, other: &Cell| {
            let part = |a: i16, b: i16| i32::from(b).wrapping_sub(i32::from(a)) >> 1;
            (part(one.re, other.re), part(one.im, other.im))
        };
        let size = |(re, im): (i32, i32)| re.unsigned_abs().wrapping_add(im.unsigned_abs());
        let steps = self.cells.iter().zip(self.cells.iter().skip(1));
        let way: u32 = steps.map(|(one, other)| size(chord(one, other))).sum();
        // 0.3 a cell, of which the half.
        let is_long = way > (self.cells.len() as u32).wrapping_mul(2458);
        let stride: usize = if is_long || self.cells.len() < 24 { 1 } else { 4 };
        let least = (noise as u32).wrapping_mul(4).max(100);
        let (mut right, mut wrong) = (0u32, 0u32);
        let mut last = None;
        let mut place = 0usize;
        while let (Some(one), Some(other)) =
            (self.cells.get(place), self.cells.get(place.wrapping_add(stride)))
        {
            place = place.wrapping_add(stride);
            let next = chord(one, other);
            let before = last.replace(next);
            let Some(before) = before.filter(|before| size(*before).min(size(next)) > least) else {
                continue;
            };
            // The chords are below 2¹⁷, and half of them below 2¹⁶: an eighth more, so that the products fit.
            let [a, b, c, d] = [before.0, before.1, next.0, next.1].map(|part| part >> 2);
            let across = a.wrapping_mul(d).wrapping_sub(b.wrapping_mul(c)) >> 8;
            if (across > 0) != self.falls() {
                wrong = wrong.saturating_add(across.unsigned_abs());
            } else {
                right = right.saturating_add(across.unsigned_abs());
            }
        }
        wrong > 40 && wrong > right.saturating_mul(3)
    }

    /// How far the readings can be trusted.
    #[inline(never)]
    pub fn quality<A: Arithmetic, const N: usize>(&self, report: &SweepReport<A, N>) -> SweepQuality<A> {
        let noise = self.noise();
        let echo = self.echo(noise);
        let part =
            |steps: i32| Component::from_working(A::Working::from_i32(steps) / A::Working::from_i32(1 << 14));
        let ripple = (echo.size > 0).then(|| Ripple {
            period: Hertz::new(echo.period(self.spacing())),
            size: part(echo.size),
        });
        let spoilt = (report.spoilt().len() as u32).saturating_add(report.spoilt_left_out());
        let mut unresolved = 0u32;
        for dip in report.dips() {
            unresolved = unresolved.wrapping_add(u32::from(dip.unresolved.is_some()));
        }
        if let Some(best) = report.best()
            && best.unresolved.is_some()
            && !report.dips().iter().any(|dip| dip.frequency == best.frequency)
        {
            unresolved = unresolved.wrapping_add(1);
        }
        SweepQuality {
            noise: part(noise),
            ripple,
            spoilt,
            beyond_rim: report.beyond_rim(),
            unresolved,
            too_coarse: report.is_too_coarse(),
            uncorrected: self.turns_back(noise) || report.beyond_rim() > report.points() >> 3,
            level_high: self.level_high,
            level_low: self.level_low,
            residual: None,
        }
    }
}

/// A component of Γ in 16 bits; it is within ±2 in steps of 2⁻¹⁴.
fn short(part: i32) -> i16 {
    i16::try_from(part).unwrap_or(if part < 0 { i16::MIN } else { i16::MAX })
}

/// The cells that may be lower than nearly the lowest, and as many for the highest.
const SPARED: usize = 3;

/// What of a cell is ranked.
#[derive(Clone, Copy)]
enum Ranked {
    Power,
    Re,
    Im,
}

/// Puts a value in its place among the least, in rising order.
#[inline(never)]
fn keep_least(least: &mut [u16; SPARED + 1], mut value: u16) {
    for place in least {
        if value < *place {
            core::mem::swap(&mut value, place);
        }
    }
}

/// The same cells. It hides their number from the compiler, which would otherwise unroll each loop to several times its size.
#[inline(always)]
fn unknown_length(cells: &[Cell]) -> &[Cell] {
    core::hint::black_box(cells)
}

fn middle(one: u16, other: u16) -> u16 {
    (u32::from(one).wrapping_add(u32::from(other)) >> 1) as u16
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arithmetic::Fixed32;

    /// |Γ| of one half, and less over some points in the middle.
    fn swept(points: u64, low: core::ops::Range<u64>) -> SweepSurvey {
        let mut survey = SweepSurvey::new();
        for index in 0..points {
            let size = if low.contains(&index) { 0.1 } else { 0.5 };
            let gamma = Reflection::<Fixed32>::try_from_f64(size, 0.0).unwrap();
            survey
                .push(Hertz::from_kilohertz(1000 + index as u32), gamma)
                .unwrap();
        }
        survey
    }

    /// One point is no dip, wherever it stands in its cell; several are.
    #[test]
    fn one_point_is_no_dip() {
        for (points, low) in [(60, 30), (120, 60), (120, 61), (240, 122)] {
            let at = Hertz::from_kilohertz(1000 + low as u32);
            let (rho, fall) = (1638, 400);
            assert!(!swept(points, low..low + 1).shows_dip(at, rho, fall), "{points}");
            assert!(swept(points, low..low + 2).shows_dip(at, rho, fall), "{points}");
            assert!(!swept(points, low..low + 2).shows_dip(at, rho, 7000), "{points}");
        }
        // At the end it has no shoulder.
        let at = Hertz::from_kilohertz(1059);
        assert!(!swept(60, 57..60).shows_dip(at, 1638, 400));
    }
}
