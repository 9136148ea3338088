//! A trace that is drawn from point to point and stores only the last one.

use embedded_graphics::Drawable;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::Point;
use embedded_graphics::primitives::{Line, Primitive, PrimitiveStyle};

/// The position of the pen, if it is down.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Trace(Option<Point>);

impl Trace {
    /// Draws on from the last point; the first point is drawn alone.
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

    /// Starts a new trace at the next point.
    pub(super) fn lift(&mut self) {
        self.0 = None;
    }
}
