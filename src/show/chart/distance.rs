//! |Γ| against distance.

use embedded_graphics::draw_target::{DrawTarget, DrawTargetExt};
use embedded_graphics::geometry::Point;
use embedded_graphics::primitives::Rectangle;

use super::super::number::Writer;
use super::frame::Frame;
use super::smith::draw_mark;
use super::trace::Trace;
use super::{Mark, Palette};
use crate::arithmetic::{Arithmetic, Quantity};
use crate::measure::line::Fault;
use crate::quantity::{Component, Metres};

/// 1, 2 and 5 of each power of ten, in billionths: from 1e-9 to 5e9.
fn steps() -> impl Iterator<Item = (i64, u8)> {
    (0..19u8).flat_map(|exponent| {
        [1, 2, 5].map(|step| {
            (
                10i64.saturating_pow(exponent.into()).saturating_mul(step),
                exponent,
            )
        })
    })
}

/// The size of what reflects, over the distance on a line.
///
/// Draw the axes, pass each distance with its |Γ| in rising order, and mark the faults. The distances of a
/// [`DistanceSweep`](crate::measure::line::DistanceSweep) fit as they are.
///
/// ```
/// use embedded_graphics::geometry::{Point, Size};
/// use embedded_graphics::mock_display::MockDisplay;
/// use embedded_graphics::primitives::Rectangle;
/// use ohmwright::double::{Component, Metres};
/// use ohmwright::show::chart::{DistanceChart, Palette};
///
/// let mut display = MockDisplay::new(); // 64 × 64
/// display.set_allow_overdraw(true);
/// let area = Rectangle::new(Point::zero(), Size::new(64, 48));
/// let mut chart = DistanceChart::new(area, Metres::new(20.0), Component::new(1.0)).expect("room enough");
/// chart.draw_axes(&mut display, &Palette::TWO_TONE)?;
/// for (metres, reflection) in [(0.0, 0.1), (5.0, 0.0), (10.0, 0.8), (15.0, 0.0), (20.0, 0.0)] {
///     chart.trace_to(&mut display, &Palette::TWO_TONE, Metres::new(metres), Component::new(reflection))?;
/// }
/// assert_eq!(chart.place(Metres::new(20.0), Component::new(0.0)), Point::new(63, 43));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct DistanceChart {
    frame: Frame,
    /// At the right end, in billionths of a metre.
    farthest: i64,
    /// At the top, in billionths.
    top: i64,
    trace: Trace,
}

impl DistanceChart {
    /// A chart that fills `area`, with axis labels if they fit: from 0 to `farthest` metres, and from 0 to a |Γ| of `top`.
    ///
    /// Returns `None` if `area` is smaller than 24 × 16 pixels or a side longer than 16 384, or if one of the two is not
    /// above 0 or not finite.
    pub fn new<A: Arithmetic>(area: Rectangle, farthest: Metres<A>, top: Component<A>) -> Option<Self> {
        if !farthest.is_finite() || !top.is_finite() {
            return None;
        }
        let (farthest, top) = (farthest.billionths(), top.billionths());
        if farthest <= 0 || top <= 0 {
            return None;
        }
        Some(Self {
            // Up to four letters beside a level.
            frame: Frame::new(area, 4)?,
            farthest,
            top,
            trace: Trace::default(),
        })
    }

    /// The rectangle of the curve itself.
    pub fn plot(&self) -> Rectangle {
        self.frame.plot
    }

    /// Pixels of `value` where `whole` has this many, to the nearest.
    fn pixels(value: i64, whole: i64, pixels: u32) -> i32 {
        let pixels = i64::from(pixels.saturating_sub(1));
        // The product fits: pixels are below 2¹⁴.
        let unit = (whole >> 44).saturating_add(1);
        let in_units = |count: i64| count.checked_div(unit).unwrap_or(0);
        let (value, whole) = (in_units(value), in_units(whole).max(1));
        let most = whole.saturating_mul(4);
        let share = value
            .max(-most)
            .min(most)
            .saturating_mul(pixels)
            .saturating_add(whole / 2);
        share.checked_div(whole).unwrap_or(0) as i32
    }

    fn column(&self, billionths: i64) -> i32 {
        let columns = Self::pixels(billionths, self.farthest, self.frame.plot.size.width);
        self.frame.left().saturating_add(columns)
    }

    fn row(&self, billionths: i64) -> i32 {
        let rows = Self::pixels(billionths, self.top, self.frame.plot.size.height);
        self.frame.bottom().saturating_sub(rows)
    }

    /// The pixel of a |Γ| at a distance; outside the plot, on the correct side, for what is beyond the scales.
    pub fn place<A: Arithmetic>(&self, distance: Metres<A>, reflection: Component<A>) -> Point {
        Point::new(
            self.column(distance.billionths()),
            self.row(reflection.billionths()),
        )
    }

    /// Draws the frame, grid lines with labels, and the units: metres, and |Γ| without one.
    ///
    /// # Errors
    /// An error of the display.
    pub fn draw_axes<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
    ) -> Result<(), D::Error> {
        self.draw_levels(display, palette)?;
        self.draw_distances(display, palette)?;
        self.frame.outline(display, palette)
    }

    /// A count of billionths with the decimals that its step needs.
    fn label(label: &mut Writer<'_>, billionths: i64, exponent: u8) {
        let decimals = 9u8.saturating_sub(exponent);
        label.number(decimals.into(), billionths, exponent.min(9));
    }

    fn draw_levels<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
    ) -> Result<(), D::Error> {
        let gap = self.frame.line_height();
        // The finest step whose lines are two text lines apart.
        let Some((step, exponent)) = steps().find(|(step, _)| {
            Self::pixels(*step, self.top, self.frame.plot.size.height) >= gap.saturating_mul(2)
        }) else {
            return Ok(());
        };
        let mut level = 0i64;
        while level <= self.top {
            let row = self.row(level);
            if level > 0 && level < self.top {
                self.frame.level_line(display, palette, row)?;
            }
            let mut letters = [0; 28];
            let mut label = Writer::new(&mut letters);
            Self::label(&mut label, level, exponent);
            self.frame.level_label(display, palette, label.text(), row)?;
            level = level.saturating_add(step);
        }
        Ok(())
    }

    fn draw_distances<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
    ) -> Result<(), D::Error> {
        let letter = self.frame.letter_width() as i32;
        // Up to five digits, the unit, and two blanks.
        let Some((step, exponent)) = steps().find(|(step, _)| {
            Self::pixels(*step, self.farthest, self.frame.plot.size.width) >= letter.saturating_mul(9)
        }) else {
            return Ok(());
        };
        let mut at = 0i64;
        while at <= self.farthest {
            let column = self.column(at);
            if at > 0 && column < self.frame.right() {
                self.frame.upright_line(display, palette, column)?;
            }
            let mut letters = [0; 28];
            let mut label = Writer::new(&mut letters);
            Self::label(&mut label, at, exponent);
            let text = label.text();
            if self.frame.has_room_below(text, column, "m") {
                self.frame.label_below(display, palette, text, column)?;
            }
            let next = at.saturating_add(step);
            if next == at {
                break;
            }
            at = next;
        }
        self.frame.unit_below(display, palette, "m")
    }

    /// Draws the trace on to a distance. The first, and the first after [`lift`](Self::lift), is drawn alone.
    ///
    /// # Errors
    /// An error of the display.
    pub fn trace_to<D: DrawTarget, A: Arithmetic>(
        &mut self,
        display: &mut D,
        palette: &Palette<D::Color>,
        distance: Metres<A>,
        reflection: Component<A>,
    ) -> Result<(), D::Error> {
        let place = self.place(distance, reflection);
        let width = self.frame.trace_width();
        let display = &mut display.clipped(&self.frame.plot);
        self.trace.draw_to(display, place, palette.trace, width)
    }

    /// Starts a new trace at the next distance.
    pub fn lift(&mut self) {
        self.trace.lift();
    }

    /// Draws a ring at a fault, complete at the edge of the plot too; none for one beyond the scales.
    ///
    /// # Errors
    /// An error of the display.
    pub fn mark<D: DrawTarget, A: Arithmetic>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        fault: &Fault<A>,
    ) -> Result<(), D::Error> {
        let place = self.place(fault.distance, fault.reflection);
        if !self.frame.plot.contains(place) {
            return Ok(());
        }
        let display = &mut display.clipped(&self.frame.area);
        draw_mark(display, palette, place, Mark::Dip, self.frame.area.size.height)
    }
}
