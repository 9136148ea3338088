//! What charts over two axes have in common: the plot, its labels' place, and the grid.

use embedded_graphics::Drawable;
use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::ascii::{FONT_5X7, FONT_6X10, FONT_9X15};
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
    /// Between the plot and its labels.
    pub(super) gap: i32,
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
            (90.., 40..) => Some(&FONT_5X7),
            _ => None,
        };
        // A mark at the edge of the plot is whole and does not reach a label.
        let arm = mark_arm(height).saturating_add(2).min(height / 6);
        let (left, below, above) = match font {
            // The digits, one line, half a line for the label of the highest level.
            Some(font) => (
                font.character_size.width.wrapping_mul(digits).wrapping_add(arm),
                font.character_size.height.wrapping_add(arm),
                font.character_size.height / 2,
            ),
            None => (0, mark_arm(height).min(height / 8), 0),
        };
        let plot = Rectangle::new(
            Point::new(
                area.top_left.x.saturating_add(left as i32),
                area.top_left.y.saturating_add(above as i32),
            ),
            Size::new(
                // A letter at the right, for half of a label.
                width
                    .saturating_sub(left)
                    .saturating_sub(font.map_or(0, |font| font.character_size.width)),
                height.saturating_sub(below).saturating_sub(above),
            ),
        );
        Some(Self {
            area,
            plot,
            font,
            gap: arm as i32,
        })
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

    /// The width of a trace in pixels: 2 from an area of 240 on, 3 from 800 on.
    pub(super) fn trace_width(&self) -> u32 {
        match self.area.size.width.max(self.area.size.height) {
            ..240 => 1,
            240..800 => 2,
            _ => 3,
        }
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

    /// The label of a level, at its row; nothing where there is no room for labels.
    pub(super) fn level_label<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        text: &str,
        row: i32,
    ) -> Result<(), D::Error> {
        let Some(font) = self.font else { return Ok(()) };
        let place = Point::new(self.left().saturating_sub(self.gap), row);
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
        let place = Point::new(column, self.bottom().saturating_add(self.gap).saturating_add(1));
        let letters = MonoTextStyle::new(font, palette.ink);
        Text::with_text_style(text, place, letters, style)
            .draw(display)
            .map(|_| ())
    }

    /// The unit of the labels below the plot, at the right end of the area.
    pub(super) fn unit_below<D: DrawTarget>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        unit: &str,
    ) -> Result<(), D::Error> {
        let Some(font) = self.font else { return Ok(()) };
        let style = TextStyleBuilder::new()
            .alignment(Alignment::Right)
            .baseline(Baseline::Top)
            .build();
        let row = self.bottom().saturating_add(self.gap).saturating_add(1);
        let place = Point::new(self.end(), row);
        let letters = MonoTextStyle::new(font, palette.ink);
        Text::with_text_style(unit, place, letters, style)
            .draw(display)
            .map(|_| ())
    }

    /// The last column of the area.
    pub(super) fn end(&self) -> i32 {
        let width = self.area.size.width.saturating_sub(1) as i32;
        self.area.top_left.x.saturating_add(width)
    }

    /// Whether a label below the plot, centred at a column, stays within the area and before the unit.
    pub(super) fn has_room_below(&self, text: &str, column: i32, unit: &str) -> bool {
        let half = self.half_width(text);
        let letter = self.letter_width() as i32;
        let taken = (unit.len() as i32).saturating_add(1).saturating_mul(letter);
        column.saturating_sub(half) >= self.area.top_left.x
            && column.saturating_add(half).saturating_add(1) <= self.end().saturating_sub(taken)
    }
}

/// From the middle of a mark to its end, on an area of this height.
pub(super) const fn mark_arm(room: u32) -> u32 {
    let arm = room / 24;
    match room {
        ..14 => 1,
        14..168 => arm.wrapping_add(2),
        _ => 9,
    }
}
