//! A trace that is drawn from point to point, with no memory but of the last place.

use embedded_graphics::Drawable;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::Point;
use embedded_graphics::primitives::{Line, Primitive, PrimitiveStyle};

/// Where the pen stands, if it is down.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Trace(Option<Point>);

impl Trace {
    /// Draws on from the last place; the first one stands alone.
    pub(super) fn draw_to<D: DrawTarget>(
        &mut self,
        display: &mut D,
        place: Point,
        colour: D::Color,
        width: u32,
    ) -> Result<(), D::Error> {
        Line::new(self.0.unwrap_or(place), place)
            .into_styled(PrimitiveStyle::with_stroke(colour, width))
            .draw(display)?;
        self.0 = Some(place);
        Ok(())
    }

    /// The next place begins a new trace.
    pub(super) fn lift(&mut self) {
        self.0 = None;
    }
}
