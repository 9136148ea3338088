//! Circles as pixels, to half a pixel, in integer arithmetic.

use embedded_graphics::geometry::Point;

/// Units of this file per pixel.
const FINE: i32 = 256;

/// A circle whose centre and radius are known to 1/256 of a pixel.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circle {
    x: i32,
    y: i32,
    radius: i32,
}

impl Circle {
    /// Arguments in 1/256 of a pixel.
    pub(super) const fn new(x: i32, y: i32, radius: i32) -> Self {
        Self { x, y, radius }
    }

    /// Whole pixels in the unit of this file.
    pub(super) const fn fine(pixels: i32) -> i32 {
        pixels.saturating_mul(FINE)
    }

    /// The pixels of the circle inside a disc round `centre`: two per column where it is flat, two per row where it is
    /// steep; only of every such column and row, so that a dotted circle is evenly dotted on its whole way.
    pub(super) fn pixels_within(
        self,
        centre: Point,
        radius: i32,
        every: usize,
    ) -> impl Iterator<Item = Point> {
        let reach = radius.saturating_add(1);
        let columns = centre.x.saturating_sub(reach)..=centre.x.saturating_add(reach);
        let rows = centre.y.saturating_sub(reach)..=centre.y.saturating_add(reach);
        let flat = columns.step_by(every).flat_map(move |x| {
            self.pair(Self::fine(x).saturating_sub(self.x), self.y)
                .map(|pair| pair.map(|y| Point::new(x, y)))
                .into_iter()
                .flatten()
        });
        let steep = rows.step_by(every).flat_map(move |y| {
            self.pair(Self::fine(y).saturating_sub(self.y), self.x)
                .map(|pair| pair.map(|x| Point::new(x, y)))
                .into_iter()
                .flatten()
        });
        flat.chain(steep).filter(move |point| {
            let (x, y) = (
                i64::from(point.x.saturating_sub(centre.x)),
                i64::from(point.y.saturating_sub(centre.y)),
            );
            // Half a pixel more, so that the circle at the edge of the disc is complete: (r + ½)² without the quarter.
            let limit = i64::from(radius) * i64::from(radius) + i64::from(radius);
            x * x + y * y <= limit
        })
    }

    /// The two pixels at a distance along one axis, if the circle runs along that axis there.
    fn pair(self, along: i32, middle: i32) -> Option<[i32; 2]> {
        let square = |value: i32| i64::from(value) * i64::from(value);
        let rest = square(self.radius) - square(along);
        let across = u64::try_from(rest).ok()?.isqrt() as i32;
        if along.saturating_abs() > across {
            return None;
        }
        // To the nearest pixel, whatever the sign.
        let pixel = |place: i32| place.saturating_add(FINE / 2).div_euclid(FINE);
        Some([
            pixel(middle.saturating_sub(across)),
            pixel(middle.saturating_add(across)),
        ])
    }
}
