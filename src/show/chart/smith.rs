//! The Smith chart.

use embedded_graphics::Drawable;
use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::MonoTextStyleBuilder;
use embedded_graphics::mono_font::ascii::{FONT_5X7, FONT_6X10, FONT_9X15};
use embedded_graphics::primitives::{
    Circle as Ring, Line, PointsIter, PrimitiveStyle, Rectangle, StyledDrawable,
};
use embedded_graphics::text::{Alignment, Baseline, Text, TextStyleBuilder};

use super::super::number::Writer;
use super::frame::mark_arm;
use super::raster::Circle;
use super::trace::Trace;
use super::{Mark, Palette};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Component, Reference, Reflection};

/// The circles drawn from each radius on: R/Z0 or |X|/Z0 in tenths.
const CIRCLES: [(i32, &[i32]); 4] = [
    (96, &[2, 5, 10, 20, 50]),
    (48, &[3, 10, 30]),
    (24, &[10]),
    (0, &[]),
];

/// A Smith chart in a square: Γ = 1, the open, at the right, inductive loads in the upper half.
///
/// (P. H. Smith, "Transmission Line Calculator", Electronics, January 1939: circles of constant resistance R have
/// their centre at R/(R + Z0) and the radius Z0/(R + Z0), those of constant reactance X their centre at 1 + j·Z0/X and
/// the radius Z0/|X|.)
///
/// ```
/// use embedded_graphics::geometry::{Point, Size};
/// use embedded_graphics::mock_display::MockDisplay;
/// use embedded_graphics::primitives::Rectangle;
/// use ohmwright::double::{Reference, Reflection};
/// use ohmwright::show::chart::{Mark, Palette, SmithChart};
///
/// let mut display = MockDisplay::new(); // 64 × 64
/// display.set_allow_overdraw(true);
/// let chart = SmithChart::new(Rectangle::new(Point::zero(), Size::new(63, 63))).expect("room enough");
/// chart.draw_grid(&mut display, &Palette::TWO_TONE, Reference::fifty())?;
/// let gamma = Reflection::new(0.0, 0.5)?; // inductive: straight up
/// chart.mark(&mut display, &Palette::TWO_TONE, gamma, Mark::Target)?;
/// assert_eq!(chart.place(gamma), chart.centre() - Point::new(0, 15));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct SmithChart {
    centre: Point,
    radius: i32,
    trace: Trace,
    stroke: u32,
}

impl SmithChart {
    /// The largest chart that fits in `area`, centred; `None` under 16 × 16 pixels.
    pub fn new(area: Rectangle) -> Option<Self> {
        let side = area.size.width.min(area.size.height);
        if !(16..=1 << 14).contains(&side) {
            return None;
        }
        // One pixel stays free at each side, so that the rim is complete.
        let radius = (side as i32 - 3) / 2;
        Some(Self {
            centre: area.center(),
            radius,
            trace: Trace::default(),
            stroke: match side {
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

    /// The pixel of Γ = 0.
    pub fn centre(&self) -> Point {
        self.centre
    }

    /// The radius of the rim in pixels.
    pub fn radius(&self) -> u32 {
        self.radius.unsigned_abs()
    }

    /// The pixel of a reflection; outside the rim if |Γ| > 1 (gain).
    pub fn place<A: Arithmetic>(&self, gamma: Reflection<A>) -> Point {
        let radius = A::Working::from_i32(self.radius);
        let offset = |component: Component<A>| {
            (component.to_working() * radius)
                .to_i64()
                .clamp(-(1 << 20), 1 << 20) as i32
        };
        Point::new(
            self.centre.x.saturating_add(offset(gamma.real())),
            self.centre.y.saturating_sub(offset(gamma.imaginary())),
        )
    }

    /// The values of R/Z0 and of |X|/Z0, in tenths, that have a circle at this size.
    pub fn grid(&self) -> &'static [i32] {
        CIRCLES
            .iter()
            .find(|(from, _)| self.radius >= *from)
            .map_or(&[], |(_, list)| *list)
    }

    /// Draws rim, axis and circles, as dense as the size allows; from a radius of 96 pixels on with the ohms of each.
    ///
    /// # Errors
    /// An error of the display.
    pub fn draw_grid<D: DrawTarget, A: Arithmetic>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        reference: Reference<A>,
    ) -> Result<(), D::Error> {
        let radius = Circle::fine(self.radius);
        let (x, y) = (Circle::fine(self.centre.x), Circle::fine(self.centre.y));
        let share = |above: i32, below: i32| {
            // In 64 bits: a radius of 2¹⁴ pixels times 2⁸ times 50.
            (i64::from(radius) * i64::from(above))
                .checked_div(i64::from(below))
                .unwrap_or(0) as i32
        };
        for tenths in self.grid() {
            let resistance = Circle::new(
                x.saturating_add(share(*tenths, tenths.saturating_add(10))),
                y,
                share(10, tenths.saturating_add(10)),
            );
            self.draw_circle(display, resistance, palette.grid, palette.dotted, 0)?;
            let arc = share(10, *tenths);
            for middle in [y.saturating_sub(arc), y.saturating_add(arc)] {
                let reactance = Circle::new(x.saturating_add(radius), middle, arc);
                self.draw_circle(display, reactance, palette.grid, palette.dotted, self.radius / 10)?;
            }
        }
        let axis = Line::new(
            Point::new(self.centre.x.saturating_sub(self.radius), self.centre.y),
            Point::new(self.centre.x.saturating_add(self.radius), self.centre.y),
        );
        let axis = axis.points().filter(|point| !palette.dotted || point.x & 1 == 0);
        display.draw_iter(axis.map(|point| Pixel(point, palette.grid)))?;
        self.draw_circle(display, Circle::new(x, y, radius), palette.ink, false, 0)?;
        self.draw_labels(display, palette, reference)
    }

    /// Keeps `gap` pixels round the open free, where the circles of reactance would merge.
    fn draw_circle<D: DrawTarget>(
        &self,
        display: &mut D,
        circle: Circle,
        colour: D::Color,
        dotted: bool,
        gap: i32,
    ) -> Result<(), D::Error> {
        let open = Point::new(self.centre.x.saturating_add(self.radius), self.centre.y);
        let pixels = circle
            .pixels_within(self.centre, self.radius, if dotted { 2 } else { 1 })
            .filter(|point| {
                let away = *point - open;
                away.x.saturating_abs().max(away.y.saturating_abs()) >= gap
            })
            .map(|point| Pixel(point, colour));
        display.draw_iter(pixels)
    }

    /// The ohms of each circle: of resistance under the axis, of reactance inside the rim. They are drawn once more over the
    /// marks, so that no mark covers one.
    pub(super) fn draw_labels<D: DrawTarget, A: Arithmetic>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        reference: Reference<A>,
    ) -> Result<(), D::Error> {
        if self.radius < 96 {
            return Ok(());
        }
        let font = match self.radius {
            ..180 => &FONT_5X7,
            180..300 => &FONT_6X10,
            _ => &FONT_9X15,
        };
        let style = MonoTextStyleBuilder::new()
            .font(font)
            .text_color(palette.ink)
            .background_color(palette.paper)
            .build();
        let aligned = |alignment| {
            TextStyleBuilder::new()
                .alignment(alignment)
                .baseline(Baseline::Middle)
                .build()
        };
        let (below, inside) = (aligned(Alignment::Right), aligned(Alignment::Center));
        let Size { width, height } = font.character_size;
        for tenths in self.grid() {
            let ohms = reference.working() * A::Working::from_i32(*tenths) / A::Working::from_i32(10);
            let mut digits = [0; 24];
            let mut label = Writer::new(&mut digits);
            label.number(0, ohms.to_i64(), 0);
            let text = label.text();
            let share = |above: i32, below: i32, of: i32| {
                i64::from(of)
                    .saturating_mul(i64::from(above))
                    .checked_div(i64::from(below))
                    .unwrap_or(0) as i32
            };
            let across = share(tenths.saturating_sub(10), tenths.saturating_add(10), self.radius);
            let place = Point::new(
                self.centre.x.saturating_add(across).saturating_sub(2),
                self.centre.y.saturating_add(2 + height as i32 / 2),
            );
            Text::with_text_style(text, place, style, below).draw(display)?;
            // Γ = (jx − 1)/(jx + 1) has the parts (x² − 1)/(x² + 1) and 2x/(x² + 1); a little inside of the rim.
            let square = tenths.saturating_mul(*tenths);
            let inner = self
                .radius
                .saturating_sub(width.wrapping_mul(text.len() as u32 + 2) as i32 / 2)
                .saturating_sub(4);
            let across = share(square.saturating_sub(100), square.saturating_add(100), inner);
            let up = share(tenths.saturating_mul(20), square.saturating_add(100), inner);
            // Where the arcs are close, near the open, is no room for them.
            if up < 2 * height as i32 + 4 {
                continue;
            }
            for (sign, up) in [("+j", up), ("-j", up.saturating_neg())] {
                let mut letters = [0; 24];
                let mut label = Writer::new(&mut letters);
                label.words(text);
                label.words(sign);
                let place = Point::new(
                    self.centre.x.saturating_add(across),
                    self.centre.y.saturating_sub(up),
                );
                Text::with_text_style(label.text(), place, style, inside).draw(display)?;
            }
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
        gamma: Reflection<A>,
    ) -> Result<(), D::Error> {
        let place = self.place(gamma);
        self.trace.draw_to(display, place, palette.trace, self.stroke)
    }

    /// Starts a new trace at the next point.
    pub fn lift(&mut self) {
        self.trace.lift();
    }

    /// Draws a mark at a reflection.
    ///
    /// # Errors
    /// An error of the display.
    pub fn mark<D: DrawTarget, A: Arithmetic>(
        &self,
        display: &mut D,
        palette: &Palette<D::Color>,
        gamma: Reflection<A>,
        mark: Mark,
    ) -> Result<(), D::Error> {
        draw_mark(display, palette, self.place(gamma), mark, self.radius())
    }
}

/// A ring or a cross; `room` is the size of the area that it stands on.
pub(super) fn draw_mark<D: DrawTarget>(
    display: &mut D,
    palette: &Palette<D::Color>,
    place: Point,
    mark: Mark,
    room: u32,
) -> Result<(), D::Error> {
    let arm = mark_arm(room) as i32;
    let width = match room {
        ..60 => 1,
        60..100 => 2,
        _ => 3,
    };
    let style = PrimitiveStyle::with_stroke(palette.mark, width);
    match mark {
        Mark::Dip => {
            let corner = Point::new(place.x.saturating_sub(arm), place.y.saturating_sub(arm));
            let size = Size::new_equal(arm.unsigned_abs().wrapping_mul(2).wrapping_add(1));
            Ring::new(corner, size.width).draw_styled(&style, display)
        }
        Mark::Target => {
            let arm = arm.saturating_add(1);
            for (dx, dy) in [(arm, 0), (0, arm)] {
                let from = Point::new(place.x.saturating_sub(dx), place.y.saturating_sub(dy));
                let to = Point::new(place.x.saturating_add(dx), place.y.saturating_add(dy));
                Line::new(from, to).draw_styled(&style, display)?;
            }
            Ok(())
        }
    }
}
