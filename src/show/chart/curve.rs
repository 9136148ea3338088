//! SWR or return loss against frequency.

use embedded_graphics::Drawable;
use embedded_graphics::Pixel;
use embedded_graphics::draw_target::{DrawTarget, DrawTargetExt};
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::ascii::{FONT_4X6, FONT_6X10};
use embedded_graphics::mono_font::{MonoFont, MonoTextStyle};
use embedded_graphics::primitives::{Line, PointsIter, Rectangle};
use embedded_graphics::text::Text;

use super::super::number::Writer;
use super::frame::Frame;
use super::smith::draw_mark;
use super::trace::Trace;
use super::{Mark, Palette};
use crate::arithmetic::{Arithmetic, Quantity, Real, Scaled};
use crate::quantity::{Complex, Hertz, Reflection, Swr};

/// The quantity of the vertical axis.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum CurveScale {
    /// SWR, from 1 at the bottom to this value at the top; a larger SWR is off the chart.
    Swr(u8),
    /// Return loss in dB, from 0 at the top to this value at the bottom; a larger one is off the chart.
    ReturnLoss(u8),
}

/// A curve over the frequency of a sweep.
///
/// ```
/// use embedded_graphics::geometry::{Point, Size};
/// use embedded_graphics::mock_display::MockDisplay;
/// use embedded_graphics::primitives::Rectangle;
/// use ohmwright::double::Reflection;
/// use ohmwright::quantity::Hertz;
/// use ohmwright::show::chart::{CurveChart, CurveScale, Palette};
///
/// let mut display = MockDisplay::new(); // 64 × 64
/// display.set_allow_overdraw(true);
/// let (start, stop) = (Hertz::from_megahertz(60), Hertz::from_megahertz(80));
/// let area = Rectangle::new(Point::zero(), Size::new(64, 48));
/// let mut chart = CurveChart::new(area, start, stop, CurveScale::Swr(5)).expect("room enough");
/// chart.draw_axes::<_, f64>(&mut display, &Palette::TWO_TONE, Some(2.0.into()))?;
/// for megahertz in 60..=80 {
///     let gamma = Reflection::new(0.05 * (megahertz as f64 - 70.0), 0.0)?;
///     chart.trace_to(&mut display, &Palette::TWO_TONE, Hertz::from_megahertz(megahertz), gamma)?;
/// }
/// // The match is at the bottom, in the middle.
/// assert_eq!(chart.place(Hertz::from_megahertz(70), Reflection::MATCHED).y, 47);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct CurveChart {
    frame: Frame,
    start: Hertz,
    stop: Hertz,
    scale: CurveScale,
    trace: Trace,
    stroke: u32,
}

/// 1, 2 and 5 of each power of ten.
const STEPS: [u64; 3] = [1, 2, 5];

/// Rows beyond the plot at which a value off the scale stands at most.
const FAR: i64 = 2048;

impl CurveChart {
    /// A chart that fills `area`, with axis labels if they fit.
    ///
    /// Returns `None` if `area` is smaller than 24 × 16 pixels, if `stop` is not above `start`, or if the scale has no
    /// height (an SWR of 1, a return loss of 0).
    pub fn new(area: Rectangle, start: Hertz, stop: Hertz, scale: CurveScale) -> Option<Self> {
        if stop <= start {
            return None;
        }
        if matches!(scale, CurveScale::Swr(0 | 1) | CurveScale::ReturnLoss(0)) {
            return None;
        }
        Some(Self {
            // Up to two letters beside a level.
            frame: Frame::new(area, 2)?,
            start,
            stop,
            scale,
            trace: Trace::default(),
            stroke: match area.size.width.max(area.size.height) {
                ..240 => 1,
                240..800 => 2,
                _ => 3,
            },
        })
    }

    /// Another width of the trace, in pixels. From the start it is 1, 2 from a side of 240 on and 3 from 800 on.
    pub fn with_trace_width(mut self, pixels: u32) -> Self {
        self.stroke = pixels;
        self
    }

    /// Whether a reflection stands within the scale.
    pub fn is_on_scale<A: Arithmetic>(&self, gamma: Reflection<A>) -> bool {
        let row = self.place(self.start, gamma).y;
        (self.frame.top()..=self.frame.bottom()).contains(&row)
    }

    /// The rectangle of the curve itself.
    pub fn plot(&self) -> Rectangle {
        self.frame.plot
    }

    /// The column of a frequency; outside the plot for a frequency outside the sweep.
    pub fn column(&self, frequency: Hertz) -> i32 {
        let width = self.frame.plot.size.width.saturating_sub(1) as u64;
        let span = self.stop.get().abs_diff(self.start.get());
        let offset = frequency.get().abs_diff(self.start.get());
        // In 2⁻¹⁶ of the span, so that the product fits.
        let unit = (span >> 32).saturating_add(1);
        let share = (offset / unit)
            .saturating_mul(width)
            .saturating_add(span / unit / 2)
            .checked_div(span / unit)
            .unwrap_or(0);
        let share = share.min(1 << 20) as i32;
        if frequency < self.start {
            self.frame.left().saturating_sub(share)
        } else {
            self.frame.left().saturating_add(share)
        }
    }

    /// The row of a value of the scale; outside the plot for a value beyond the scale.
    fn row<W: Real>(&self, value: W) -> i32 {
        let height = W::from_i32(self.frame.plot.size.height.saturating_sub(1) as i32);
        let (share, from) = match self.scale {
            CurveScale::Swr(top) => (
                (value - W::ONE) / W::from_i32(top as i32 - 1),
                self.frame.bottom(),
            ),
            CurveScale::ReturnLoss(bottom) => (-(value / W::from_i32(bottom as i32)), self.frame.top()),
        };
        // Far beyond the plot is far enough: a line takes time there, too.
        let most = i64::from(self.frame.plot.size.height).saturating_add(FAR);
        let rows = (share * height).to_i64().clamp(-most, most) as i32;
        from.saturating_sub(rows)
    }

    /// The pixel of a reflection at a frequency.
    ///
    /// A value beyond the scale gives a pixel outside the plot, on the correct side.
    pub fn place<A: Arithmetic>(&self, frequency: Hertz, gamma: Reflection<A>) -> Point {
        let row = match self.scale {
            CurveScale::Swr(_) => self.row(gamma.swr().to_working()),
            CurveScale::ReturnLoss(_) => self.row(gamma.return_loss().to_working()),
        };
        Point::new(self.column(frequency), row)
    }

    /// Fills a band of frequencies, or marks its edges on two-colour displays. Call it before the axes and the curve.
    ///
    /// # Errors
    /// An error of the display.
    pub fn draw_band<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        low: Hertz,
        high: Hertz,
    ) -> Result<(), D::Error> {
        let left = self.column(low).max(self.frame.left());
        let right = self.column(high).min(self.frame.right());
        if right < left {
            return Ok(());
        }
        let top = self.frame.top();
        if palette.dotted {
            for column in [left, right] {
                let edge = Line::new(Point::new(column, top), Point::new(column, self.frame.bottom()));
                let dots = edge.points().filter(|point| point.y % 4 == 0);
                display.draw_iter(dots.map(|point| Pixel(point, palette.ink)))?;
            }
            return Ok(());
        }
        let width = right.saturating_sub(left).unsigned_abs().saturating_add(1);
        let area = Rectangle::new(
            Point::new(left, top),
            Size::new(width, self.frame.plot.size.height),
        );
        display.fill_solid(&area, palette.band)
    }

    /// Draws the frame, grid lines with labels, the name of the scale, and the limit as a dashed line.
    ///
    /// The limit is an SWR on either scale.
    ///
    /// # Errors
    /// An error of the display.
    pub fn draw_axes<D: DrawTarget, A: Arithmetic>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        limit: Option<Swr<A>>,
    ) -> Result<(), D::Error> {
        self.draw_levels(display, palette)?;
        self.draw_frequencies(display, palette)?;
        if let Some(limit) = limit {
            let swr = limit.to_working();
            let size = (swr - A::Working::ONE) / (swr + A::Working::ONE);
            let row = self
                .place(self.start, Reflection::<A>::from_complex(Complex::real(size)))
                .y;
            if row > self.frame.top() && row < self.frame.bottom() {
                let dashes = Line::new(
                    Point::new(self.frame.left(), row),
                    Point::new(self.frame.right(), row),
                )
                .points()
                .filter(|point| point.x % 8 < 5);
                display.draw_iter(dashes.map(|point| Pixel(point, palette.ink)))?;
            }
        }
        self.frame.outline(display, palette)
    }

    /// The grid lines of the levels: whole steps of SWR or of dB, as many as fit.
    fn draw_levels<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
    ) -> Result<(), D::Error> {
        let (first, last) = match self.scale {
            CurveScale::Swr(top) => (1, top as i32),
            CurveScale::ReturnLoss(bottom) => (0, bottom as i32),
        };
        let gap = self.frame.line_height();
        let height = self.frame.plot.size.height as i32;
        // The finest step whose lines are two text lines apart.
        let step = [1, 2, 5, 10, 20, 50]
            .into_iter()
            .find(|step| height.saturating_mul(*step) >= gap.saturating_mul(2).saturating_mul(last - first))
            .unwrap_or(100);
        for level in (first..=last).step_by(step as usize) {
            let row = self.row(<Scaled as Real>::from_i32(level));
            if level != first && level != last {
                self.frame.level_line(display, palette, row)?;
            }
            let mut digits = [0; 12];
            let mut label = Writer::new(&mut digits);
            label.number(0, level.into(), 0);
            self.frame.level_label(display, palette, label.text(), row)?;
        }
        self.draw_scale_name(display, palette, (first, last), step)
    }

    /// The name of the quantity, between the lowest two lines, in letters that fit the column of labels.
    fn draw_scale_name<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        (first, last): (i32, i32),
        step: i32,
    ) -> Result<(), D::Error> {
        let name = match self.scale {
            CurveScale::Swr(_) => "SWR",
            CurveScale::ReturnLoss(_) => "dB",
        };
        let room = self
            .frame
            .left()
            .abs_diff(self.frame.area.top_left.x)
            .saturating_sub(3);
        let fits = |font: &&MonoFont| font.character_size.width.wrapping_mul(name.len() as u32) <= room;
        let font = [&FONT_6X10, &FONT_4X6].into_iter().find(fits);
        if let (Some(font), true) = (font, step <= last - first) {
            let (one, other) = match self.scale {
                CurveScale::Swr(_) => (first, first + step),
                CurveScale::ReturnLoss(_) => (last - last % step, last - last % step - step),
            };
            let rows = [one, other].map(|level| self.row(<Scaled as Real>::from_i32(level)));
            let place = Point::new(self.frame.left().saturating_sub(3), rows[0].midpoint(rows[1]));
            let style = MonoTextStyle::new(font, palette.ink);
            Text::with_text_style(name, place, style, Frame::beside()).draw(display)?;
        }
        Ok(())
    }

    /// Hertz from one label to the next, and the number of decimals of the unit.
    fn frequency_step(&self, letter: u32, exponent: u8) -> (u64, u8) {
        // Up to six digits, the point and the unit, and two blanks.
        let most = (self.frame.plot.size.width as u64)
            .checked_div(u64::from(letter).saturating_mul(9))
            .unwrap_or(1)
            .max(1);
        let span = self.stop.get().abs_diff(self.start.get());
        let step = (0..20)
            .flat_map(|exponent| STEPS.map(|step| 10u64.saturating_pow(exponent).saturating_mul(step)))
            .find(|step| span.checked_div(*step).is_some_and(|count| count <= most))
            .unwrap_or(u64::MAX);
        // As many decimals as distinguish one step from the next.
        let decimals = (0..exponent)
            .find(|decimals| {
                let last = 10u64.saturating_pow(exponent.saturating_sub(*decimals).into());
                step.checked_rem(last) == Some(0)
            })
            .unwrap_or(exponent);
        (step, decimals)
    }

    /// The frequency labels: 1, 2 or 5 times a power of ten, as many as fit, with the unit at the last.
    fn draw_frequencies<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
    ) -> Result<(), D::Error> {
        let (exponent, name) = [(9u8, " GHz"), (6, " MHz"), (3, " kHz")]
            .into_iter()
            .find(|(exponent, _)| self.stop.get() >= 10u64.saturating_pow(u32::from(*exponent)))
            .unwrap_or((0, " Hz"));
        let letter = self.frame.letter_width();
        let (step, decimals) = self.frequency_step(letter, exponent);
        let mut at = self.start.get().div_ceil(step).saturating_mul(step);
        while at <= self.stop.get() {
            let column = self.column(Hertz::new(at));
            if column > self.frame.left() && column < self.frame.right() {
                self.frame.upright_line(display, palette, column)?;
            }
            let next = at.saturating_add(step);
            let mut letters = [0; 28];
            let mut label = Writer::new(&mut letters);
            if next > self.stop.get() {
                label.words(name);
            }
            let count = i64::try_from(at).unwrap_or(i64::MAX);
            label.number(decimals.into(), count, exponent.saturating_sub(decimals));
            let text = label.text();
            let half = self.frame.half_width(text);
            // Within the chart, also at its ends.
            let first = self
                .frame
                .left()
                .saturating_sub(letter as i32 * 2)
                .saturating_add(half);
            let column = column.min(self.frame.right().saturating_sub(half)).max(first);
            self.frame.label_below(display, palette, text, column)?;
            if next == at {
                break;
            }
            at = next;
        }
        Ok(())
    }

    /// Draws the trace on from the last point. The first, and the first after [`lift`](Self::lift), is drawn alone.
    ///
    /// # Errors
    /// An error of the display.
    pub fn trace_to<D: DrawTarget, A: Arithmetic>(
        &mut self,
        display: &mut D,
        palette: &Palette<D::Color>,
        frequency: Hertz,
        gamma: Reflection<A>,
    ) -> Result<(), D::Error> {
        let place = self.place(frequency, gamma);
        let display = &mut display.clipped(&self.frame.plot);
        self.trace.draw_to(display, place, palette.trace, self.stroke)
    }

    /// Starts a new trace at the next point.
    pub fn lift(&mut self) {
        self.trace.lift();
    }

    /// Draws a mark at a reflection, complete at the edge of the plot too; none for a reflection off the scale.
    ///
    /// # Errors
    /// An error of the display.
    pub fn mark<D: DrawTarget, A: Arithmetic>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        frequency: Hertz,
        gamma: Reflection<A>,
        mark: Mark,
    ) -> Result<(), D::Error> {
        let place = self.place(frequency, gamma);
        if !self.frame.plot.contains(place) {
            return Ok(());
        }
        draw_mark(
            &mut display.clipped(&self.frame.area),
            palette,
            place,
            mark,
            self.frame.plot.size.height,
        )
    }
}
