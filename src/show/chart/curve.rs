//! SWR, return loss or |Z| against frequency.

use embedded_graphics::Drawable;
use embedded_graphics::Pixel;
use embedded_graphics::draw_target::{DrawTarget, DrawTargetExt};
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::ascii::FONT_5X7;
use embedded_graphics::mono_font::{MonoTextStyle, MonoTextStyleBuilder};
use embedded_graphics::primitives::{Line, PointsIter, Rectangle};
use embedded_graphics::text::{Baseline, Text};

use super::super::number::Writer;
use super::frame::{Frame, mark_arm};
use super::smith::draw_mark;
use super::trace::Trace;
use super::{Mark, Palette};
use crate::arithmetic::{Arithmetic, Quantity, Real, Scaled};
use crate::quantity::{Complex, Hertz, Ohms, Reference, Reflection, Swr};

/// The quantity of the vertical axis.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum CurveScale {
    /// SWR, from 1 at the bottom to this value at the top; a larger SWR is off the chart.
    Swr(u8),
    /// Return loss in dB, from 0 at the top to this value at the bottom; a larger one is off the chart.
    ReturnLoss(u8),
    /// |Z|, from 0 at the bottom to this value at the top; a larger one is off the chart. There is no line for the limit.
    Impedance {
        /// The ohms at the top.
        top: u16,
        /// The reference of the reflections, in whole ohms.
        reference: u16,
    },
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
/// // The match is at the bottom; below it is room for half a mark.
/// assert_eq!(chart.place(Hertz::from_megahertz(70), Reflection::MATCHED).y, 43);
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

/// Rows of the stroke at the edge that stands for a value beyond the scale.
const EDGE: i32 = 3;

/// Rows beyond the plot at which a value off the scale stands at most.
const FAR: i64 = 2048;

impl CurveChart {
    /// A chart that fills `area`, with axis labels if they fit.
    ///
    /// Returns `None` if `area` is smaller than 24 × 16 pixels, if `stop` is not above `start`, or if the scale has no
    /// height (an SWR of 1, a return loss of 0, 0 Ω), or for a reference of 0 Ω.
    pub fn new(area: Rectangle, start: Hertz, stop: Hertz, scale: CurveScale) -> Option<Self> {
        if stop <= start {
            return None;
        }
        match scale {
            CurveScale::Swr(0 | 1) | CurveScale::ReturnLoss(0) => return None,
            CurveScale::Impedance { top: 0, .. } | CurveScale::Impedance { reference: 0, .. } => return None,
            _ => {}
        }
        // The letters beside a level; the name of the scale has three.
        let digits = match scale {
            CurveScale::Impedance { top: 1_000.., .. } => 5,
            _ => 3,
        };
        Some(Self {
            frame: Frame::new(area, digits)?,
            start,
            stop,
            scale,
            trace: Trace::default(),
            stroke: Frame::new(area, digits)?.trace_width(),
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
            CurveScale::Impedance { top, .. } => (value / W::from_i32(top.into()), self.frame.bottom()),
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
            CurveScale::Impedance { reference, .. } => {
                let size = self.impedance::<A>(gamma, reference);
                if size.is_at_end() {
                    // An open, or as good as one.
                    self.frame.top().saturating_sub(FAR as i32)
                } else {
                    self.row(size.to_working())
                }
            }
        };
        Point::new(self.column(frequency), row)
    }

    /// |Z|; the end of its word for an open.
    fn impedance<A: Arithmetic>(&self, gamma: Reflection<A>, reference: u16) -> Ohms<A> {
        let whole = <Ohms<A> as Quantity>::from_working(A::Working::from_i32(reference.into()));
        let reference = Reference::new(whole).unwrap_or(Reference::fifty());
        gamma.impedance_magnitude(reference)
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
    /// The limit is an SWR, also on the scale of return loss; that of |Z| has no line for it.
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
        let limit = limit.filter(|_| !matches!(self.scale, CurveScale::Impedance { .. }));
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
            CurveScale::Impedance { top, .. } => (0, top.into()),
        };
        let gap = self.frame.line_height();
        let height = self.frame.plot.size.height as i32;
        // The finest step whose lines are two text lines apart.
        let step = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000]
            .into_iter()
            .find(|step| height.saturating_mul(*step) >= gap.saturating_mul(2).saturating_mul(last - first))
            .unwrap_or(10_000)
            // Both ends have a label in any case.
            .min(last.saturating_sub(first).max(1));
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

    /// The name of the quantity, between the lowest two lines, if there is a line of text between these.
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
            CurveScale::Impedance { .. } => "ohm",
        };
        let font = self.frame.font;
        if let (Some(font), true) = (font, step <= last - first) {
            let (one, other) = match self.scale {
                CurveScale::Swr(_) | CurveScale::Impedance { .. } => (first, first + step),
                CurveScale::ReturnLoss(_) => (last - last % step, last - last % step - step),
            };
            let rows = [one, other].map(|level| self.row(<Scaled as Real>::from_i32(level)));
            let is_apart = rows[0].abs_diff(rows[1]) >= 2 * self.frame.line_height() as u32;
            if !is_apart {
                return Ok(());
            }
            let place = Point::new(
                self.frame.left().saturating_sub(self.frame.gap),
                rows[0].midpoint(rows[1]),
            );
            let style = MonoTextStyle::new(font, palette.ink);
            Text::with_text_style(name, place, style, Frame::beside()).draw(display)?;
        }
        Ok(())
    }

    /// Hertz from one label to the next, and the number of decimals of the unit.
    fn frequency_step(&self, letter: u32, exponent: u8) -> (u64, u8) {
        // Up to six digits, the point, and two blanks.
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
        let (exponent, unit) = [(9u8, "GHz"), (6, "MHz"), (3, "kHz")]
            .into_iter()
            .find(|(exponent, _)| self.stop.get() >= 10u64.saturating_pow(u32::from(*exponent)))
            .unwrap_or((0, "Hz"));
        let letter = self.frame.letter_width();
        let (step, decimals) = self.frequency_step(letter, exponent);
        let mut at = self.start.get().div_ceil(step).saturating_mul(step);
        while at <= self.stop.get() {
            let column = self.column(Hertz::new(at));
            if column > self.frame.left() && column < self.frame.right() {
                self.frame.upright_line(display, palette, column)?;
            }
            let mut letters = [0; 28];
            let mut label = Writer::new(&mut letters);
            let count = i64::try_from(at).unwrap_or(i64::MAX);
            label.number(decimals.into(), count, exponent.saturating_sub(decimals));
            let text = label.text();
            if self.frame.has_room_below(text, column, unit) {
                self.frame.label_below(display, palette, text, column)?;
            }
            let next = at.saturating_add(step);
            if next == at {
                break;
            }
            at = next;
        }
        self.frame.unit_below(display, palette, unit)
    }

    /// Draws the trace on from the last point. The first, and the first after [`lift`](Self::lift), is drawn alone. A value
    /// beyond the scale leaves a short stroke at the edge, of dashes where they follow each other.
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
        self.trace.draw_to(display, place, palette.trace, self.stroke)?;
        // Off the scale: a short stroke at the edge where it goes on.
        let edge = match place.y {
            row if row < self.frame.top() => self.frame.top(),
            row if row > self.frame.bottom() => self.frame.bottom().saturating_sub(EDGE).saturating_add(1),
            _ => return Ok(()),
        };
        // Dashed, so that it is not taken for a trace that runs along the edge.
        let dash = self.stroke.wrapping_mul(2).max(1);
        if place.x.unsigned_abs().checked_div(dash).unwrap_or(0) & 1 != 0 {
            return Ok(());
        }
        let size = Size::new(self.stroke, EDGE as u32);
        display.fill_solid(&Rectangle::new(Point::new(place.x, edge), size), palette.trace)
    }

    /// Starts a new trace at the next point.
    pub fn lift(&mut self) {
        self.trace.lift();
    }

    /// Draws a mark at a reflection, complete at the edge of the plot too; none at a frequency outside of the sweep.
    ///
    /// A reflection beyond the scale has an arrow at the edge in its place, with its value beside, if there is room for letters.
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
        if place.x < self.frame.left() || place.x > self.frame.right() {
            return Ok(());
        }
        if !self.frame.plot.contains(place) {
            let is_above = place.y < self.frame.top();
            return self.draw_beyond(display, palette, place.x, is_above, gamma);
        }
        let room = self.frame.area.size.height;
        let display = &mut display.clipped(&self.frame.area);
        draw_mark(display, palette, place, mark, room)
    }

    /// An arrow at the upper or lower edge, and the value that stands beyond it.
    fn draw_beyond<D: DrawTarget, A: Arithmetic>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        column: i32,
        is_above: bool,
        gamma: Reflection<A>,
    ) -> Result<(), D::Error> {
        let display = &mut display.clipped(&self.frame.plot);
        let size = mark_arm(self.frame.area.size.height) as i32;
        for down in 0..=size {
            let row = if is_above {
                self.frame.top().saturating_add(down).saturating_add(1)
            } else {
                self.frame.bottom().saturating_sub(down).saturating_sub(1)
            };
            let corner = Point::new(column.saturating_sub(down), row);
            let line = Size::new(down.unsigned_abs().wrapping_mul(2).wrapping_add(1), 1);
            display.fill_solid(&Rectangle::new(corner, line), palette.mark)?;
        }
        let font = self.frame.font.unwrap_or(&FONT_5X7);
        let Size { width, height } = font.character_size;
        let mut letters = [0; 12];
        let mut label = Writer::new(&mut letters);
        self.write_value(&mut label, gamma);
        let text = label.text();
        let length = width.wrapping_mul(text.len() as u32);
        if self.frame.plot.size.width < length.wrapping_add(2 * size.unsigned_abs()).wrapping_add(6)
            || self.frame.plot.size.height < height.wrapping_add(4)
        {
            return Ok(());
        }
        // At the right of the arrow, or at its left near the right end.
        let beside = column.saturating_add(size).saturating_add(3);
        let left = if beside.saturating_add(length as i32) <= self.frame.right() {
            beside
        } else {
            column
                .saturating_sub(size)
                .saturating_sub(2)
                .saturating_sub(length as i32)
        };
        let row = if is_above {
            self.frame.top().saturating_add(2)
        } else {
            self.frame
                .bottom()
                .saturating_sub(height as i32)
                .saturating_sub(1)
        };
        let style = MonoTextStyleBuilder::new()
            .font(font)
            .text_color(palette.ink)
            .background_color(palette.paper)
            .build();
        Text::with_baseline(text, Point::new(left, row), style, Baseline::Top)
            .draw(display)
            .map(|_| ())
    }

    /// The value on the scale of the chart, in seven letters at most.
    fn write_value<A: Arithmetic>(&self, label: &mut Writer<'_>, gamma: Reflection<A>) {
        let (count, is_end) = match self.scale {
            CurveScale::Swr(_) => {
                let swr = gamma.swr();
                (swr.billionths(), gamma.is_total() || swr.is_at_end())
            }
            CurveScale::ReturnLoss(_) => {
                let loss = gamma.return_loss();
                (loss.billionths(), loss.is_at_end())
            }
            CurveScale::Impedance { reference, .. } => {
                let size = self.impedance::<A>(gamma, reference);
                (size.billionths(), size.is_at_end())
            }
        };
        match count {
            _ if is_end => label.words(if count < 0 { "<-9999" } else { ">9999" }),
            10_000_000_000_000.. => label.words(">9999"),
            100_000_000_000.. => label.number(0, count, 9),
            ..=-100_000_000_000 => label.words("<-99"),
            _ => label.number(1, count, 8),
        }
    }
}
