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
        let style = PrimitiveStyle::with_stroke(colour, width);
        let from = self.0.unwrap_or(place);
        let pieces = Pieces::new(from, place, width);
        let mut start = from;
        for piece in 1..=pieces.count() {
            let end = pieces.end(piece);
            Line::new(start, end).into_styled(style).draw(display)?;
            start = end;
        }
        self.0 = Some(place);
        Ok(())
    }

    /// Starts a new trace at the next point.
    pub(super) fn lift(&mut self) {
        self.0 = None;
    }
}

/// A line in as many equal pieces as the display's library needs: it takes the square of twice the width, and a little more,
/// times the length in 32 bits. Nearly always that is one.
#[derive(Clone, Copy, Debug)]
struct Pieces {
    from: Point,
    across: i64,
    down: i64,
    /// The number of pieces is 2 to this.
    halvings: u32,
}

impl Pieces {
    // Places are within ±2²¹, and a line is at most 2⁸ wide: no product here reaches 2⁶³.
    fn new(from: Point, to: Point, width: u32) -> Self {
        let across = i64::from(to.x).wrapping_sub(from.x.into());
        let down = i64::from(to.y).wrapping_sub(from.y.into());
        let wide = i64::from(width).wrapping_add(2).wrapping_mul(2);
        let square = across.wrapping_mul(across).wrapping_add(down.wrapping_mul(down));
        let size = wide.wrapping_mul(wide).wrapping_mul(square);
        let mut halvings = 0u32;
        if size > i64::from(i32::MAX) {
            // The ends of pieces are rounded, so these are kept shorter.
            while size >> halvings.wrapping_mul(2) > 1 << 30 && halvings < 16 {
                halvings = halvings.wrapping_add(1);
            }
        }
        Self {
            from,
            across,
            down,
            halvings,
        }
    }

    fn count(&self) -> i64 {
        1 << self.halvings
    }

    /// The end of a piece, counted from 1.
    fn end(&self, piece: i64) -> Point {
        let part = |whole: i64| (whole.wrapping_mul(piece) >> self.halvings) as i32;
        Point::new(
            self.from.x.wrapping_add(part(self.across)),
            self.from.y.wrapping_add(part(self.down)),
        )
    }
}
