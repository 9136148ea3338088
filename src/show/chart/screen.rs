//! Chart, curve and readouts on one screen, laid out for its size.

use core::fmt;

use embedded_graphics::Drawable;
use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Point, Size};
use embedded_graphics::mono_font::ascii::{FONT_4X6, FONT_5X8, FONT_6X10, FONT_9X15, FONT_9X15_BOLD};
use embedded_graphics::mono_font::{MonoFont, MonoTextStyle, MonoTextStyleBuilder};
use embedded_graphics::primitives::Rectangle;
use embedded_graphics::text::{Baseline, Text};

use super::super::text;
use super::smith::draw_mark;
use super::{CurveChart, CurveScale, Mark, Palette, SmithChart};
use crate::arithmetic::Arithmetic;
use crate::measure::{NextStep, SweepQuality, SweepReport, Target};
use crate::quantity::{Hertz, Reference, Reflection};

/// Why a screen was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum ScreenError {
    /// Smaller than 64 × 48 pixels, or a side longer than 16 384 pixels.
    Size,
    /// The last frequency is not above the first.
    EmptySweep,
}

impl fmt::Display for ScreenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Size => "the display is smaller than 64 by 48 pixels, or larger than 16384 on a side",
            Self::EmptySweep => "the last frequency of a sweep must be above the first",
        })
    }
}

impl core::error::Error for ScreenError {}

/// The columns of a line of text.
const COLUMNS: usize = 20;
const BLANK: &str = "                    ";
/// The lines of text.
const LINES: u32 = 6;
/// The least height of a curve, in pixels.
const LEAST_CURVE: u32 = 36;

/// A whole screen: the Smith chart, the SWR curve if the height allows it, and the readouts if the width allows them.
///
/// Draw the frame, pass each point as it is measured, and at the end the report:
///
/// ```
/// use embedded_graphics::geometry::Size;
/// use embedded_graphics::mock_display::MockDisplay;
/// use embedded_graphics::pixelcolor::BinaryColor;
/// use ohmwright::fixed_point::{Impedance, Reference, SweepAnalyser, SweepSettings};
/// use ohmwright::quantity::Hertz;
/// use ohmwright::show::chart::{Palette, Screen};
///
/// let mut display = MockDisplay::<BinaryColor>::new(); // 64 × 64
/// display.set_allow_overdraw(true);
/// let (start, stop) = (Hertz::from_megahertz(68), Hertz::from_megahertz(74));
/// let mut screen = Screen::new(Size::new(64, 64), Palette::TWO_TONE, start, stop)?;
/// let mut analyser = SweepAnalyser::<4>::new(SweepSettings::default())?;
/// screen.draw_frame(&mut display, "", &analyser.report())?;
/// for step in 0..=12 {
///     let frequency = Hertz::from_kilohertz(68_000 + 500 * step);
///     let gamma = Impedance::try_from_f64(40.0, 9.0 * step as f64 - 50.0)?.reflection(Reference::fifty());
///     analyser.push(frequency, gamma)?;
///     screen.trace_to(&mut display, frequency, gamma)?;
/// }
/// screen.draw_report(&mut display, &analyser.report(), None, None)?;
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Screen<C> {
    size: Size,
    palette: Palette<C>,
    smith: SmithChart,
    curve: Option<CurveChart>,
    /// Position of the first line of text, and its font.
    text: Option<(Point, &'static MonoFont<'static>)>,
    /// How many more lines, at most two, there is room for below these.
    lines_below: u32,
    title: Option<&'static MonoFont<'static>>,
}

impl<C: embedded_graphics::pixelcolor::PixelColor> Screen<C> {
    /// Lays out a screen of this size for a sweep from `start` to `stop`.
    ///
    /// # Errors
    /// [`ScreenError::Size`] outside 64 × 48 to 16 384 pixels; [`ScreenError::EmptySweep`] if `stop` is not above
    /// `start`.
    pub fn new(size: Size, palette: Palette<C>, start: Hertz, stop: Hertz) -> Result<Self, ScreenError> {
        if size.width < 64 || size.height < 48 || size.width > 1 << 14 || size.height > 1 << 14 {
            return Err(ScreenError::Size);
        }
        if stop <= start {
            return Err(ScreenError::EmptySweep);
        }
        let (width, height) = (size.width, size.height);
        let (title, head) = title_of(size);
        // A margin from a height of 120 pixels on.
        let margin = if height < 120 { 0 } else { (width / 80).max(2) };
        let room = height.saturating_sub(head);
        let inner = width.saturating_sub(2 * margin);
        // If the height allows a curve, it gets at least two fifths.
        let most = if room < 160 { room } else { room * 3 / 5 }.saturating_sub(2 * margin);
        let has_curve = |side: u32| room.saturating_sub(side + 3 * margin) >= LEAST_CURVE;
        let found = chart_and_letters(most, inner, has_curve);
        let side = found.map_or(inner.min(most), |(side, _)| side);
        let rest = room.saturating_sub(side + 3 * margin);
        let curve = CurveChart::new(
            Rectangle::new(
                Point::new(margin as i32, (head + side + 2 * margin) as i32),
                Size::new(inner, if rest < LEAST_CURVE { 0 } else { rest }),
            ),
            start,
            stop,
            CurveScale::Swr(5),
        );
        // Without a curve the chart is centred vertically; without text it is centred horizontally.
        let down = if curve.is_some() {
            margin
        } else {
            room.saturating_sub(side) / 2
        };
        let top = (head + down) as i32;
        let left = if found.is_some() {
            margin
        } else {
            width.saturating_sub(side) / 2
        } as i32;
        let square = Rectangle::new(Point::new(left, top), Size::new_equal(side));
        let smith = SmithChart::new(square).ok_or(ScreenError::Size)?;
        let end = if curve.is_some() {
            head + side + 2 * margin
        } else {
            height
        };
        let text = found.map(|(side, font)| {
            let block = LINES * font.character_size.height;
            let free = width.saturating_sub(margin + side + font.character_size.width * COLUMNS as u32);
            let x = margin + side + (free / 2).min(side / 4);
            // In the middle of the chart; a block that is higher than the chart begins above it.
            let y = (top + (side as i32 - block as i32) / 2).max(head as i32);
            (Point::new(x as i32, y), font)
        });
        Ok(Self {
            size,
            palette,
            smith,
            curve,
            text,
            lines_below: text.map_or(0, |(place, font)| {
                let height = font.character_size.height;
                let used = place.y as u32 + LINES * height;
                (1..=2).rfind(|more| used + more * height <= end).unwrap_or(0)
            }),
            title,
        })
    }

    /// The Smith chart of the screen.
    pub fn smith(&self) -> &SmithChart {
        &self.smith
    }

    /// The SWR curve of the screen, if it fits.
    pub fn curve(&self) -> Option<&CurveChart> {
        self.curve.as_ref()
    }

    /// Clears the display and draws what does not change: title and key to the marks if they fit, grids and axes.
    ///
    /// The report gives reference and SWR limit, and the bands of an earlier sweep. A title that is too long is cut.
    ///
    /// # Errors
    /// An error of the display.
    pub fn draw_frame<D: DrawTarget<Color = C>, A: Arithmetic, const N: usize>(
        &mut self,
        display: &mut D,
        title: &str,
        report: &SweepReport<A, N>,
    ) -> Result<(), D::Error> {
        self.smith.lift();
        display.fill_solid(&Rectangle::new(Point::zero(), self.size), self.palette.paper)?;
        if let Some(font) = self.title {
            let style = MonoTextStyle::new(font, self.palette.ink);
            let letter = font.character_size.width;
            let columns = self.size.width.saturating_sub(8) / letter;
            let end = title
                .char_indices()
                .nth(columns as usize)
                .map_or(title.len(), |(end, _)| end);
            let title = title.get(..end).unwrap_or("");
            Text::with_baseline(title, Point::new(4, 3), style, Baseline::Top).draw(display)?;
            let has_target = !matches!(report.target(), Target::NotAsked);
            self.draw_key(display, font, title.chars().count() as u32, has_target)?;
        }
        self.smith.draw_grid(display, &self.palette, report.reference())?;
        if let Some(curve) = &mut self.curve {
            curve.lift();
            for band in report.bands() {
                curve.draw_band(display, &self.palette, band.low, band.high)?;
            }
            curve.draw_axes::<D, A>(display, &self.palette, Some(report.swr_limit()))?;
        }
        Ok(())
    }

    /// Draws the trace on to a point, in both charts.
    ///
    /// # Errors
    /// An error of the display.
    pub fn trace_to<D: DrawTarget<Color = C>, A: Arithmetic>(
        &mut self,
        display: &mut D,
        frequency: Hertz,
        gamma: Reflection<A>,
    ) -> Result<(), D::Error> {
        self.smith.trace_to(display, &self.palette, gamma)?;
        match &mut self.curve {
            Some(curve) => curve.trace_to(display, &self.palette, frequency, gamma),
            None => Ok(()),
        }
    }

    /// Draws the results of the sweep: marks at dips and target, and the [readouts](Self::draw_readouts).
    ///
    /// The marks stay until the next frame: draw them when the sweep is over.
    ///
    /// # Errors
    /// An error of the display.
    pub fn draw_report<D: DrawTarget<Color = C>, A: Arithmetic, const N: usize>(
        &self,
        display: &mut D,
        report: &SweepReport<A, N>,
        step: Option<&NextStep<A>>,
        quality: Option<&SweepQuality<A>>,
    ) -> Result<(), D::Error> {
        for dip in report.dips() {
            self.mark(display, dip.frequency, dip.reflection, Mark::Dip)?;
        }
        if let Target::Reading(reading) = report.target() {
            self.mark(display, reading.frequency, reading.reflection, Mark::Target)?;
        }
        self.draw_readouts(display, report, step, quality)
    }

    /// Draws six lines if they fit: frequency, SWR, return loss and impedance at the target (without a target, at the
    /// best point), the verdict, and [what to do next](text::next_step).
    ///
    /// Below them, with room for it, stands [what that leaves](text::expected). Where something is to be said of the
    /// [readings](text::quality), it has the last line; without room for one more line it takes that of the return loss,
    /// which says no more than the SWR. What is `None` has no line: during a sweep, say, nothing is known yet.
    ///
    /// Each line covers its older text, so the readouts may be drawn again during the sweep.
    ///
    /// # Errors
    /// An error of the display.
    pub fn draw_readouts<D: DrawTarget<Color = C>, A: Arithmetic, const N: usize>(
        &self,
        display: &mut D,
        report: &SweepReport<A, N>,
        step: Option<&NextStep<A>>,
        quality: Option<&SweepQuality<A>>,
    ) -> Result<(), D::Error> {
        let Some((place, font)) = self.text else {
            return Ok(());
        };
        let at = match report.target() {
            Target::Reading(reading) => Some((reading.frequency, reading.reflection)),
            _ => report.best().map(|dip| (dip.frequency, dip.reflection)),
        };
        let style = MonoTextStyleBuilder::new()
            .font(font)
            .text_color(self.palette.ink)
            .background_color(self.palette.paper)
            .build();
        let mut line = [b' '; COLUMNS];
        let mut said = [b' '; COLUMNS];
        let said = quality.map_or(BLANK, |quality| {
            text::quality(&mut said, quality).unwrap_or(BLANK)
        });
        let last = LINES + self.lines_below;
        // The return loss.
        let quality_row = if self.lines_below > 0 { last - 1 } else { 2 };
        for row in 0..last {
            let reference: Reference<A> = report.reference();
            let written = match (row, at, step) {
                _ if row == quality_row && said != BLANK => Ok(said),
                (0, Some((frequency, _)), _) => text::frequency(&mut line, frequency),
                (1, Some((_, gamma)), _) => text::swr(&mut line, gamma),
                (2, Some((_, gamma)), _) => text::return_loss(&mut line, gamma),
                (3, Some((_, gamma)), _) => text::impedance(&mut line, gamma.impedance(reference)),
                (4, ..) => text::verdict(&mut line, report),
                (5, _, Some(step)) => text::next_step(&mut line, step),
                (LINES, _, Some(step)) => text::expected(&mut line, step),
                _ => Ok(BLANK),
            };
            // Twenty columns hold every line except an impedance of absurd size.
            let words = written.unwrap_or(BLANK);
            let down = (font.character_size.height * row) as i32;
            Text::with_baseline(words, Point::new(place.x, place.y + down), style, Baseline::Top)
                .draw(display)?;
        }
        Ok(())
    }

    /// The key to the marks, at the right of the title's line, if it does not touch the title.
    fn draw_key<D: DrawTarget<Color = C>>(
        &self,
        display: &mut D,
        font: &'static MonoFont<'static>,
        title: u32,
        has_target: bool,
    ) -> Result<(), D::Error> {
        let letter = font.character_size.width;
        let key: &[(Mark, &str)] = if has_target {
            &[(Mark::Dip, "dip"), (Mark::Target, "target")]
        } else {
            &[(Mark::Dip, "dip")]
        };
        // A mark takes two letters, with one blank before and one after.
        let columns: u32 = key.iter().map(|(_, name)| name.len() as u32 + 4).sum();
        let (taken, wanted) = ((title + 1) * letter, columns * letter);
        if taken + wanted + 8 > self.size.width {
            return Ok(());
        }
        let style = MonoTextStyle::new(font, self.palette.ink);
        let mut left = (self.size.width - 4 - wanted) as i32;
        let letter = letter as i32;
        let middle = 3 + font.character_size.height as i32 / 2;
        for (mark, name) in key {
            let room = font.character_size.height * 4;
            draw_mark(
                display,
                &self.palette,
                Point::new(left + 2 * letter, middle),
                *mark,
                room,
            )?;
            let at = Point::new(left + 4 * letter, 3);
            Text::with_baseline(name, at, style, Baseline::Top).draw(display)?;
            left += (4 + name.len() as i32) * letter;
        }
        Ok(())
    }

    fn mark<D: DrawTarget<Color = C>, A: Arithmetic>(
        &self,
        display: &mut D,
        frequency: Hertz,
        gamma: Reflection<A>,
        mark: Mark,
    ) -> Result<(), D::Error> {
        self.smith.mark(display, &self.palette, gamma, mark)?;
        match &self.curve {
            Some(curve) => curve.mark(display, &self.palette, frequency, gamma, mark),
            None => Ok(()),
        }
    }
}

/// A display of half the size in each direction. Each of its pixels is four on the real one: for large screens, whose
/// letters would be too small to read.
#[derive(Debug)]
pub struct Doubled<'a, D>(pub &'a mut D);

impl<D: DrawTarget + OriginDimensions> OriginDimensions for Doubled<'_, D> {
    fn size(&self) -> Size {
        self.0.size() / 2
    }
}

impl<D: DrawTarget + OriginDimensions> DrawTarget for Doubled<'_, D> {
    type Color = D::Color;
    type Error = D::Error;

    fn draw_iter<I: IntoIterator<Item = Pixel<Self::Color>>>(&mut self, pixels: I) -> Result<(), D::Error> {
        for Pixel(point, colour) in pixels {
            let corner = Point::new(point.x.saturating_mul(2), point.y.saturating_mul(2));
            self.0
                .fill_solid(&Rectangle::new(corner, Size::new_equal(2)), colour)?;
        }
        Ok(())
    }

    fn fill_solid(&mut self, area: &Rectangle, colour: Self::Color) -> Result<(), D::Error> {
        let corner = Point::new(
            area.top_left.x.saturating_mul(2),
            area.top_left.y.saturating_mul(2),
        );
        self.0.fill_solid(
            &Rectangle::new(corner, area.size.saturating_add(area.size)),
            colour,
        )
    }
}

/// The font of the title, from a height of 200 pixels on, and the height of its line.
fn title_of(size: Size) -> (Option<&'static MonoFont<'static>>, u32) {
    match (size.width, size.height) {
        (600.., 400..) => (Some(&FONT_9X15_BOLD), 26),
        (200.., 200..) => (Some(&FONT_6X10), 13),
        _ => (None, 0),
    }
}

/// The side of the chart, and the largest font beside it that keeps the chart at half its possible size or more, and the
/// lines above the curve, if there is one.
fn chart_and_letters(
    most: u32,
    inner: u32,
    has_curve: impl Fn(u32) -> bool,
) -> Option<(u32, &'static MonoFont<'static>)> {
    let letters: [&'static MonoFont<'static>; 4] = [&FONT_9X15, &FONT_6X10, &FONT_5X8, &FONT_4X6];
    letters.into_iter().find_map(|font| {
        let columns = font.character_size.width * COLUMNS as u32 + 2;
        let side = most.min(inner.saturating_sub(columns));
        let lines = LINES * font.character_size.height;
        let highest = if has_curve(side) { side } else { most };
        (side * 2 >= most && lines <= highest).then_some((side, font))
    })
}
