//! What charts over two axes have in common: the plot, its labels' place, and the grid.

use embedded_graphics::Drawable;
use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::ascii::{FONT_4X6, FONT_6X10, FONT_9X15};
use embedded_graphics::mono_font::{MonoFont, MonoTextStyle};
use embedded_graphics::primitives::{Line, PointsIter, PrimitiveStyle, Rectangle, StyledDrawable};
use embedded_graphics::text::{Alignment, Baseline, Text, TextStyle, TextStyleBuilder};

use super::Palette;

/// The plot within its area, and the letters of its labels if there is room for any.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// Labels included.
    pub(super) area: Rectangle,
    /// The curve itself.
    pub(super) plot: Rectangle,
    pub(super) font: Option<&'static MonoFont<'static>>,
}

impl Frame {
    /// Levels stand to the left of the plot, up to `digits` letters wide, and a line of labels below it.
    ///
    /// `None` if `area` is smaller than 24 × 16 pixels or a side longer than 16 384.
    pub(super) fn new(area: Rectangle, digits: u32) -> Option<Self> {
        let (width, height) = (area.size.width, area.size.height);
        if !(24..=1 << 14).contains(&width) || !(16..=1 << 14).contains(&height) {
            return None;
        }
        let font: Option<&'static MonoFont<'static>> = match (width, height) {
            (640.., 200..) => Some(&FONT_9X15),
            (220.., 70..) => Some(&FONT_6X10),
            (90.., 36..) => Some(&FONT_4X6),
            _ => None,
        };
        let (left, below) = match font {
            // The digits and a gap; one line and a gap.
            Some(font) => (
                font.character_size.width.wrapping_mul(digits).wrapping_add(3),
                font.character_size.height.wrapping_add(3),
            ),
            None => (0, 0),
        };
        let plot = Rectangle::new(
            Point::new(area.top_left.x.saturating_add(left as i32), area.top_left.y),
            Size::new(width.saturating_sub(left), height.saturating_sub(below)),
        );
        Some(Self { area, plot, font })
    }

    pub(super) fn left(&self) -> i32 {
        self.plot.top_left.x
    }

    pub(super) fn top(&self) -> i32 {
        self.plot.top_left.y
    }

    pub(super) fn right(&self) -> i32 {
        let width = self.plot.size.width.saturating_sub(1) as i32;
        self.left().saturating_add(width)
    }

    pub(super) fn bottom(&self) -> i32 {
        let height = self.plot.size.height.saturating_sub(1) as i32;
        self.top().saturating_add(height)
    }

    /// The height of a line of labels in pixels, as if there were one.
    pub(super) fn line_height(&self) -> i32 {
        self.font.map_or(12, |font| font.character_size.height) as i32
    }

    /// The width of a letter of the labels in pixels, as if there were one.
    pub(super) fn letter_width(&self) -> u32 {
        self.font.map_or(4, |font| font.character_size.width)
    }

    /// The width of a trace in pixels.
    pub(super) fn trace_width(&self) -> u32 {
        (self.plot.size.height / 130).saturating_add(1)
    }

    pub(super) fn outline<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
    ) -> Result<(), D::Error> {
        self.plot
            .draw_styled(&PrimitiveStyle::with_stroke(palette.ink, 1), display)
    }

    /// A grid line over the whole width.
    pub(super) fn level_line<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        row: i32,
    ) -> Result<(), D::Error> {
        let (from, to) = (Point::new(self.left(), row), Point::new(self.right(), row));
        Self::grid_line(display, palette, from, to)
    }

    /// A grid line over the whole height.
    pub(super) fn upright_line<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        column: i32,
    ) -> Result<(), D::Error> {
        let (from, to) = (Point::new(column, self.top()), Point::new(column, self.bottom()));
        Self::grid_line(display, palette, from, to)
    }

    fn grid_line<D: DrawTarget>(
        display: &mut D,
        palette: &Palette<D::Color>,
        from: Point,
        to: Point,
    ) -> Result<(), D::Error> {
        let dots = Line::new(from, to)
            .points()
            .filter(|point| !palette.dotted || point.x.wrapping_add(point.y) % 4 == 0);
        display.draw_iter(dots.map(|point| Pixel(point, palette.grid)))
    }

    /// Labels to the left of the plot end here.
    pub(super) fn beside() -> TextStyle {
        TextStyleBuilder::new()
            .alignment(Alignment::Right)
            .baseline(Baseline::Middle)
            .build()
    }

    /// The label of a level, within the height of the plot also at its ends; nothing where there is no room for labels.
    pub(super) fn level_label<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        text: &str,
        row: i32,
    ) -> Result<(), D::Error> {
        let Some(font) = self.font else { return Ok(()) };
        let half = (font.character_size.height / 2) as i32;
        let row = row
            .max(self.top().saturating_add(half))
            .min(self.bottom().saturating_sub(half).saturating_add(1));
        let place = Point::new(self.left().saturating_sub(3), row);
        let letters = MonoTextStyle::new(font, palette.ink);
        Text::with_text_style(text, place, letters, Self::beside())
            .draw(display)
            .map(|_| ())
    }

    /// Half of the width of a text in pixels; 0 where there is no room for labels.
    pub(super) fn half_width(&self, text: &str) -> i32 {
        let letter = self.font.map_or(0, |font| font.character_size.width);
        (text.len() as u32).wrapping_mul(letter) as i32 / 2
    }

    /// A label below the plot, centred at a column; nothing where there is no room for labels.
    pub(super) fn label_below<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        text: &str,
        column: i32,
    ) -> Result<(), D::Error> {
        let Some(font) = self.font else { return Ok(()) };
        let style = TextStyleBuilder::new()
            .alignment(Alignment::Center)
            .baseline(Baseline::Top)
            .build();
        let place = Point::new(column, self.bottom().saturating_add(3));
        let letters = MonoTextStyle::new(font, palette.ink);
        Text::with_text_style(text, place, letters, style)
            .draw(display)
            .map(|_| ())
    }
}
