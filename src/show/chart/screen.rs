//! Chart, curve and readouts on one screen, laid out for its size.

use core::fmt;

use embedded_graphics::Drawable;
use embedded_graphics::Pixel;
use embedded_graphics::draw_target::{DrawTarget, DrawTargetExt};
use embedded_graphics::geometry::{OriginDimensions, Point, Size};
use embedded_graphics::mono_font::{MonoTextStyle, MonoTextStyleBuilder};
use embedded_graphics::primitives::Rectangle;
use embedded_graphics::text::{Baseline, Text};

use super::super::text::{self, short};
use super::layout::{COLUMNS, GAP, Layout, Letters, Rooms};
use super::smith::draw_mark;
use super::wrap::{Wrapped, close_up};
use super::{CurveChart, CurveScale, Mark, Palette, SmithChart};
use crate::arithmetic::Arithmetic;
use crate::measure::{Certainty, NextStep, SweepQuality, SweepReport, Target};
use crate::quantity::{Hertz, Reflection};

/// Why a screen was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum ScreenError {
    /// Smaller than 48 × 48 pixels, or a side longer than 16 384 pixels.
    Size,
    /// The last frequency is not above the first.
    EmptySweep,
}

impl fmt::Display for ScreenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Size => "the display is smaller than 48 by 48 pixels, or larger than 16384 on a side",
            Self::EmptySweep => "the last frequency of a sweep must be above the first",
        })
    }
}

impl core::error::Error for ScreenError {}

/// Columns of the long lines of text.
const LONG: usize = 20;
/// Columns of the short ones.
const SHORT: usize = COLUMNS as usize;
const BLANK: &str = "";

/// A whole screen: the verdict with the SWR, what to do next, the frequency of the dip; then, as space allows, the Smith
/// chart, the curve, and more readouts. [`Rooms`] tells what stands where.
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
    layout: Layout,
    start: Hertz,
    stop: Hertz,
    smith: Option<SmithChart>,
    curve: Option<CurveChart>,
}

impl<C: embedded_graphics::pixelcolor::PixelColor> Screen<C> {
    /// Lays out a screen of this size for a sweep from `start` to `stop`, with a curve of SWR from 1 to 5.
    ///
    /// # Errors
    /// [`ScreenError::Size`] outside 48 × 48 to 16 384 pixels; [`ScreenError::EmptySweep`] if `stop` is not above
    /// `start`.
    pub fn new(size: Size, palette: Palette<C>, start: Hertz, stop: Hertz) -> Result<Self, ScreenError> {
        if size.width < 48 || size.height < 48 || size.width > 1 << 14 || size.height > 1 << 14 {
            return Err(ScreenError::Size);
        }
        if stop <= start {
            return Err(ScreenError::EmptySweep);
        }
        let layout = Layout::new(size);
        let smith = SmithChart::new(layout.rooms.chart);
        let screen = Self {
            size,
            palette,
            layout,
            start,
            stop,
            smith: smith.map(|chart| chart.with_trace_width(layout.stroke)),
            curve: None,
        };
        Ok(screen.with_scale(CurveScale::Swr(5)))
    }

    /// Another quantity or range for the curve. A scale without height is not taken.
    pub fn with_scale(mut self, scale: CurveScale) -> Self {
        let curve = CurveChart::new(self.layout.rooms.curve, self.start, self.stop, scale);
        if let Some(curve) = curve {
            self.curve = Some(curve.with_trace_width(self.layout.stroke));
        }
        self
    }

    /// Where everything stands.
    pub fn rooms(&self) -> Rooms {
        self.layout.rooms
    }

    /// The Smith chart of the screen, if it fits.
    pub fn smith(&self) -> Option<&SmithChart> {
        self.smith.as_ref()
    }

    /// The curve of the screen, if it fits.
    pub fn curve(&self) -> Option<&CurveChart> {
        self.curve.as_ref()
    }

    /// Starts a new trace at the next point: call it where a point is refused, so that no line bridges the gap.
    pub fn lift(&mut self) {
        if let Some(smith) = &mut self.smith {
            smith.lift();
        }
        if let Some(curve) = &mut self.curve {
            curve.lift();
        }
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
        self.lift();
        display.fill_solid(&Rectangle::new(Point::zero(), self.size), self.palette.paper)?;
        let room = self.layout.rooms.title;
        if room.size.height > 0 {
            let letters = self.layout.title;
            let display = &mut display.clipped(&room);
            let columns = letters.columns(room);
            let end = title
                .char_indices()
                .nth(columns as usize)
                .map_or(title.len(), |(end, _)| end);
            let title = title.get(..end).unwrap_or("");
            let style = MonoTextStyle::new(letters.font, self.palette.ink);
            Text::with_baseline(title, room.top_left, style, Baseline::Top).draw(display)?;
            let has_target = !matches!(report.target(), Target::NotAsked);
            self.draw_key(display, title.chars().count() as u32, has_target)?;
        }
        if let Some(smith) = &self.smith {
            let display = &mut display.clipped(&self.layout.rooms.chart);
            smith.draw_grid(display, &self.palette, report.reference())?;
        }
        if let Some(curve) = &self.curve {
            let display = &mut display.clipped(&self.layout.rooms.curve);
            for band in report.bands() {
                curve.draw_band(display, &self.palette, band.low, band.high)?;
            }
            curve.draw_axes::<_, A>(display, &self.palette, Some(report.swr_limit()))?;
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
        if let Some(smith) = &mut self.smith {
            let display = &mut display.clipped(&self.layout.rooms.chart);
            smith.trace_to(display, &self.palette, gamma)?;
        }
        if let Some(curve) = &mut self.curve {
            let display = &mut display.clipped(&self.layout.rooms.curve);
            curve.trace_to(display, &self.palette, frequency, gamma)?;
        }
        Ok(())
    }

    /// Draws the results of the sweep: marks at dips and target, and the [readouts](Self::draw_readouts).
    ///
    /// Where the whole curve is off its scale, as of an open, an arrow at the edge has the value of the target, or without one
    /// that of the best point. The marks stay until the next frame: draw them when the sweep is over.
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
        let has_none = report.dips().is_empty() && !matches!(report.target(), Target::Reading(_));
        if let (Some(best), true, Some(curve)) = (report.best(), has_none, &self.curve)
            && !curve.is_on_scale(best.reflection)
        {
            let display = &mut display.clipped(&self.layout.rooms.curve);
            let at = best.frequency;
            curve.mark(display, &self.palette, at, best.reflection, Mark::Dip)?;
        }
        if let Target::Reading(reading) = report.target() {
            self.mark(display, reading.frequency, reading.reflection, Mark::Target)?;
        }
        if let Some(smith) = &self.smith {
            let display = &mut display.clipped(&self.layout.rooms.chart);
            smith.draw_labels(display, &self.palette, report.reference())?;
        }
        self.draw_readouts(display, report, step, quality)
    }

    /// Draws the lines of text: the [verdict](short::verdict) with the SWR and [its frequency](short::place), [what to do
    /// next](text::next_step), the [dip](short::dip), and with room for them the [bandwidth](short::band), the impedance and
    /// the return loss, at the target or, without one, at the best point.
    ///
    /// Below the next step, with room for it, stands what is to be said of the [readings](text::quality), or else [what the
    /// step leaves](text::expected). Without room for it there, what is to be said of the readings takes the last line of the
    /// readouts, but not that of the dip; where there is no other line, the verdict has a question mark: `fail? SWR 2.30`. It has
    /// one too where the [error of the readings](SweepQuality::uncertainty) reaches over the limit. What is `None` has no line: during a sweep, say, nothing is known yet.
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
        let mut said = [b' '; SHORT];
        let said = quality.map_or(BLANK, |quality| {
            short::quality(&mut said, quality)
                .unwrap_or(BLANK)
                .trim_ascii_end()
        });
        let is_told = self.draw_advice(display, step, quality, said)?;
        let last = if is_told { BLANK } else { said };
        let is_told = self.draw_lines(display, report, last)? || is_told;
        let is_undecided = quality.is_some_and(|quality| {
            matches!(report.target(), Target::Reading(reading)
                if quality.uncertainty().judge(reading.reflection, report.swr_limit()) == Ok(Certainty::Undecided))
        });
        self.draw_verdict(display, report, is_undecided || !is_told && !said.is_empty())
    }

    /// The verdict, with a question mark if it is in doubt.
    fn draw_verdict<D: DrawTarget<Color = C>, A: Arithmetic, const N: usize>(
        &self,
        display: &mut D,
        report: &SweepReport<A, N>,
        in_doubt: bool,
    ) -> Result<(), D::Error> {
        let letters = self.layout.verdict;
        let room = self.layout.rooms.verdict;
        let columns = letters.columns(room) as usize;
        let mut words = [b' '; SHORT];
        let words = words.get_mut(..columns.min(SHORT)).unwrap_or_default();
        let verdict = short::verdict(words, report).unwrap_or(BLANK);
        let mut line = [b' '; 2 * SHORT + 2];
        let mut end = close_up(&mut line, 0, verdict);
        if in_doubt {
            // After the first word.
            let blank = line.iter().position(|byte| *byte == b' ').unwrap_or(end);
            if end < columns && blank < end {
                line.copy_within(blank..end, blank + 1);
                end += 1;
            }
            if let Some(place) = line.get_mut(blank) {
                *place = b'?';
            }
        }
        // Where it is, with at least three digits.
        let beside = columns.saturating_sub(end + 1).min(SHORT);
        if beside >= 11 && !matches!(report.target(), Target::NotAsked) {
            let mut place = [b' '; SHORT];
            let place = place.get_mut(..beside).unwrap_or_default();
            close_up(&mut line, end + 1, short::place(place, report).unwrap_or(BLANK));
        }
        let words = core::str::from_utf8(&line).unwrap_or(BLANK);
        self.write(display, room, letters, 0, words)
    }

    /// Draws the readouts; `last` takes the last line. Returns whether it did.
    fn draw_lines<D: DrawTarget<Color = C>, A: Arithmetic, const N: usize>(
        &self,
        display: &mut D,
        report: &SweepReport<A, N>,
        last: &str,
    ) -> Result<bool, D::Error> {
        let letters = self.layout.text;
        let mut room = self.layout.rooms.readouts;
        let columns = letters.columns(room) as usize;
        if columns > SHORT {
            // Not directly beside the chart.
            room.top_left.x += GAP as i32;
            room.size.width = room.size.width.saturating_sub(2 * GAP);
        }
        let at = match report.target() {
            Target::Reading(reading) => Some(reading.reflection),
            _ => report.best().map(|dip| dip.reflection),
        };
        let lines = letters.lines(room);
        let mut line = [b' '; LONG];
        let line = line.get_mut(..columns.min(SHORT)).unwrap_or_default();
        // A label and its frequency, one below the other where they do not fit in one line.
        let first = match short::dip(line, report) {
            Ok(words) => {
                self.write(display, room, letters, 0, words)?;
                1
            }
            Err(_) => {
                let mut whole = [b' '; SHORT];
                let mut words = Wrapped::new(short_dip(&mut whole, report), columns);
                for row in 0..2 {
                    self.write(display, room, letters, row, words.next().unwrap_or(BLANK))?;
                }
                2
            }
        };
        let kept = if last.is_empty() || columns < SHORT || lines <= first {
            lines
        } else {
            lines.min(first + 3) - 1
        };
        for row in first..lines {
            let mut line = [b' '; SHORT];
            let words = match (row - first, at) {
                _ if row == kept => last,
                (0, _) => short::band(&mut line, report).unwrap_or(BLANK),
                (1, Some(gamma)) => {
                    short::impedance(&mut line, gamma.impedance(report.reference())).unwrap_or(BLANK)
                }
                (2, Some(gamma)) => text::return_loss(&mut line, gamma).unwrap_or(BLANK),
                _ => BLANK,
            };
            let words = if words.len() > columns { BLANK } else { words };
            self.write(display, room, letters, row, words)?;
        }
        Ok(kept < lines)
    }

    /// Draws what to do next, and what is to be said of the readings, if that fits; returns whether it did.
    fn draw_advice<D: DrawTarget<Color = C>, A: Arithmetic>(
        &self,
        display: &mut D,
        step: Option<&NextStep<A>>,
        quality: Option<&SweepQuality<A>>,
        said: &str,
    ) -> Result<bool, D::Error> {
        let letters = self.layout.text;
        let room = self.layout.rooms.advice;
        let columns = letters.columns(room) as usize;
        let lines = letters.lines(room);
        let (mut one, mut two) = ([b' '; LONG], [b' '; LONG]);
        let (one, two) = if columns < LONG {
            (&mut one[..SHORT], &mut two[..SHORT])
        } else {
            (&mut one[..], &mut two[..])
        };
        let is_long = one.len() == LONG;
        let first = match step {
            Some(step) if is_long => text::next_step(one, step).unwrap_or(BLANK),
            Some(step) => short::next_step(one, step).unwrap_or(BLANK),
            None => BLANK,
        };
        let second = match (step, quality) {
            (_, Some(quality)) if !said.is_empty() => {
                if is_long {
                    text::quality(two, quality).unwrap_or(said)
                } else {
                    said
                }
            }
            (Some(step), _) if is_long => text::expected(two, step).unwrap_or(BLANK),
            (Some(step), _) if matches!(step.action, crate::measure::Action::TurnsAndPart(..)) => {
                short::added_part(two, step).unwrap_or(BLANK)
            }
            (Some(step), _) => short::expected(two, step).unwrap_or(BLANK),
            _ => BLANK,
        };
        if lines == 1 && columns > 2 * LONG {
            // Side by side.
            let mut both = [b' '; 2 * LONG + 2];
            let end = close_up(&mut both, 0, first);
            close_up(&mut both, if end == 0 { 0 } else { end + 2 }, second);
            let words = core::str::from_utf8(&both).unwrap_or(BLANK);
            self.write(display, room, letters, 0, words)?;
            return Ok(!said.is_empty());
        }
        let mut row = 0;
        for words in Wrapped::new(first, columns) {
            self.write(display, room, letters, row, words)?;
            row += 1;
        }
        let needed = Wrapped::new(second, columns).count() as u32;
        let fits = row + needed <= lines;
        if fits {
            // One below the other, also where there is no step yet.
            for words in Wrapped::new(second, columns) {
                self.write(display, room, letters, row.max(u32::from(lines > needed)), words)?;
                row = row.max(u32::from(lines > needed)) + 1;
            }
        }
        for row in row..lines {
            self.write(display, room, letters, row, BLANK)?;
        }
        Ok(fits && !said.is_empty())
    }

    /// Writes a line of a room, and blanks over the rest of it.
    fn write<D: DrawTarget<Color = C>>(
        &self,
        display: &mut D,
        room: Rectangle,
        letters: Letters,
        line: u32,
        words: &str,
    ) -> Result<(), D::Error> {
        let words = words.trim_ascii_end();
        let display = &mut display.clipped(&room);
        let style = MonoTextStyleBuilder::new()
            .font(letters.font)
            .text_color(self.palette.ink)
            .background_color(self.palette.paper)
            .build();
        let down = (letters.pitch * line) as i32;
        let place = Point::new(room.top_left.x, room.top_left.y.saturating_add(down));
        let end = Text::with_baseline(words, place, style, Baseline::Top).draw(display)?;
        let used = end.x.saturating_sub(room.top_left.x).max(0) as u32;
        let blank = Rectangle::new(
            Point::new(end.x, place.y),
            Size::new(
                room.size.width.saturating_sub(used),
                letters.font.character_size.height,
            ),
        );
        display.fill_solid(&blank, self.palette.paper)
    }

    /// The key to the marks, at the right of the title's line, if it does not touch the title.
    fn draw_key<D: DrawTarget<Color = C>>(
        &self,
        display: &mut D,
        title: u32,
        has_target: bool,
    ) -> Result<(), D::Error> {
        let (room, letters) = (self.layout.rooms.title, self.layout.title);
        let letter = letters.width();
        let key: &[(Mark, &str)] = if has_target {
            &[(Mark::Dip, "dip"), (Mark::Target, "target")]
        } else {
            &[(Mark::Dip, "dip")]
        };
        // A mark takes two letters, with one blank before and one after.
        let columns: u32 = key.iter().map(|(_, name)| name.len() as u32 + 4).sum();
        let wanted = columns * letter;
        if (title + 1) * letter + wanted > room.size.width {
            return Ok(());
        }
        let style = MonoTextStyle::new(letters.font, self.palette.ink);
        let height = letters.font.character_size.height;
        let mut left = room.top_left.x + (room.size.width - wanted) as i32;
        let letter = letter as i32;
        let middle = room.top_left.y + height as i32 / 2;
        for (mark, name) in key {
            // As large as the line allows.
            let place = Point::new(left + 2 * letter, middle);
            draw_mark(display, &self.palette, place, *mark, (height / 2 - 3) * 24)?;
            let at = Point::new(left + 4 * letter, room.top_left.y);
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
        if let Some(smith) = &self.smith {
            let display = &mut display.clipped(&self.layout.rooms.chart);
            smith.mark(display, &self.palette, gamma, mark)?;
        }
        if let Some(curve) = &self.curve {
            let display = &mut display.clipped(&self.layout.rooms.curve);
            curve.mark(display, &self.palette, frequency, gamma, mark)?;
        }
        Ok(())
    }
}

/// The line of the dip with as few digits as there are.
fn short_dip<'a, A: Arithmetic, const N: usize>(line: &'a mut [u8], report: &SweepReport<A, N>) -> &'a str {
    let least = line.get_mut(..13).unwrap_or_default();
    short::dip(least, report).unwrap_or(BLANK)
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
