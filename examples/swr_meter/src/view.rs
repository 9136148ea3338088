//! What the display shows.

use core::fmt;

use embedded_graphics::Drawable;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::MonoTextStyle;
use embedded_graphics::mono_font::ascii::{FONT_6X9, FONT_10X20};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::{PrimitiveStyle, Rectangle, StyledDrawable};
use embedded_graphics::text::{Baseline, Text};
use ohmwright::measure::detector::{Channel, DetectorError};
use ohmwright::quantity::Watts;
use ohmwright::show::text;

use crate::alarm::AlarmCause;
use crate::demo::DEMO;
use crate::line::{COLUMNS, Line};
use crate::meter::{Signal, Status};
use crate::numbers::Numbers;
use crate::setup::Setup;

const WIDTH: u32 = 128;
/// The upper edges of the four lines below the bar.
const ROWS: [i32; 4] = [28, 37, 46, 55];

/// Draws a frame of 128 × 64 pixels:
///
/// - the SWR, and the range in which it lies for the directivity of the coupler;
/// - a bar as long as |Γ|, full at total reflection, with a mark where the alarm's limit is;
/// - forward power, its peak, and the reflected power or what does not work;
/// - the alarm, dark on bright while it is on.
///
/// A display that fails in the middle is no matter of the drawing: the frame is drawn in memory.
pub fn draw<D: DrawTarget<Color = BinaryColor>, A: Numbers>(
    display: &mut D,
    setup: &Setup,
    status: &Status<A>,
) {
    // The frame buffer takes every pixel; on another target what fails is the target's matter.
    let _ = try_draw(display, setup, status);
}

fn try_draw<D: DrawTarget<Color = BinaryColor>, A: Numbers>(
    display: &mut D,
    setup: &Setup,
    status: &Status<A>,
) -> Result<(), D::Error> {
    display.clear(BinaryColor::Off)?;
    let big = MonoTextStyle::new(&FONT_10X20, BinaryColor::On);
    let (value, range) = standing_wave(status);
    put(display, "SWR", 0, ROWS[0] - 19, BinaryColor::On)?;
    Text::with_baseline(value.text(), Point::new(24, 0), big, Baseline::Top).draw(display)?;
    put(display, range.text(), 74, ROWS[0] - 19, BinaryColor::On)?;
    bar(display, setup, status)?;

    let mut line = [b' '; COLUMNS];
    let present = match &status.signal {
        Signal::Reading(reading) => text::power(&mut line, "Forward", reading.forward()),
        _ => Ok("Forward            --"),
    };
    put(
        display,
        present.unwrap_or("Forward             ?"),
        0,
        ROWS[0],
        BinaryColor::On,
    )?;
    let mut line = [b' '; COLUMNS];
    let peak = if status.peak == Watts::ZERO {
        Ok("Peak               --")
    } else {
        text::power(&mut line, "Peak", status.peak)
    };
    put(
        display,
        peak.unwrap_or("Peak                ?"),
        0,
        ROWS[1],
        BinaryColor::On,
    )?;
    let mut line = [b' '; COLUMNS];
    let third = match (trouble(setup, status), &status.signal) {
        (Some(words), _) => words,
        (None, Signal::Reading(reading)) => {
            text::power(&mut line, "Reflected", reading.reflected()).unwrap_or("?")
        }
        (None, _) => "Reflected          --",
    };
    put(display, third, 0, ROWS[2], BinaryColor::On)?;

    let limit = setup.limit_thousandths / 10;
    let limit = Line::of(format_args!("{}.{:02}", limit / 100, limit % 100));
    let words = match status.alarm {
        None => Line::of(format_args!("Alarm above {}", limit.text())),
        Some(AlarmCause::Swr) => Line::of(format_args!("ALARM SWR above {}", limit.text())),
        Some(AlarmCause::TooMuch) => Line::of(format_args!("ALARM too much power")),
        Some(AlarmCause::NotMeasured) => Line::of(format_args!("ALARM not measured")),
    };
    if status.alarm.is_some() {
        let room = Rectangle::new(Point::new(0, ROWS[3]), Size::new(WIDTH, 9));
        display.fill_solid(&room, BinaryColor::On)?;
        return put(display, words.text(), 1, ROWS[3], BinaryColor::Off);
    }
    put(display, words.text(), 0, ROWS[3], BinaryColor::On)
}

fn put<D: DrawTarget<Color = BinaryColor>>(
    display: &mut D,
    words: &str,
    left: i32,
    top: i32,
    ink: BinaryColor,
) -> Result<(), D::Error> {
    let style = MonoTextStyle::new(&FONT_6X9, ink);
    Text::with_baseline(words, Point::new(left, top), style, Baseline::Top).draw(display)?;
    Ok(())
}

/// An SWR with three digits.
struct Hundredths(u32);

impl fmt::Display for Hundredths {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            value @ ..1_000 => write!(f, "{}.{:02}", value / 100, value % 100),
            value @ 1_000..10_000 => write!(f, "{}.{}", value / 100, value % 100 / 10),
            _ => f.write_str(">99"),
        }
    }
}

/// The SWR, and the range in which it lies.
fn standing_wave<A: Numbers>(status: &Status<A>) -> (Line, Line) {
    let Signal::Reading(reading) = &status.signal else {
        return (Line::of(format_args!("--")), Line::of(format_args!("")));
    };
    let quality = reading.quality();
    let interval = reading.swr_interval();
    let value = Hundredths(A::hundredths(reading.swr()));
    let low = Hundredths(A::hundredths(interval.low));
    // Nine columns are left beside the large figures.
    let range = match interval.high {
        _ if quality.above_unity => Line::of(format_args!("refl>fwd")),
        _ if quality.upper_limit => Line::of(format_args!("at most")),
        Some(high) => Line::of(format_args!("{low}-{}", Hundredths(A::hundredths(high)))),
        None => Line::of(format_args!("{low} up")),
    };
    (Line::of(format_args!("{value}")), range)
}

fn bar<D: DrawTarget<Color = BinaryColor>, A: Numbers>(
    display: &mut D,
    setup: &Setup,
    status: &Status<A>,
) -> Result<(), D::Error> {
    let column = |thousandths: u32| thousandths.min(1000) * (WIDTH - 1) / 1000;
    if let Signal::Reading(reading) = &status.signal {
        let length = column(A::thousandths(reading.magnitude()));
        let filled = Rectangle::new(Point::new(0, 21), Size::new(length, 4));
        filled.draw_styled(&PrimitiveStyle::with_fill(BinaryColor::On), display)?;
    }
    let base = Rectangle::new(Point::new(0, 25), Size::new(WIDTH, 1));
    display.fill_solid(&base, BinaryColor::On)?;
    // |Γ| = (S − 1)/(S + 1)
    let limit = setup.limit_thousandths;
    let mark = column(1000 * limit.saturating_sub(1000) / limit.saturating_add(1000));
    let mark = Rectangle::new(Point::new(mark as i32, 20), Size::new(1, 7));
    display.fill_solid(&mark, BinaryColor::On)
}

/// What does not work, the gravest first.
fn trouble<A: Numbers>(setup: &Setup, status: &Status<A>) -> Option<&'static str> {
    let signal = match status.signal {
        Signal::ConverterFailed => Some("Converter failed"),
        Signal::Stuck => Some("Converter stuck"),
        Signal::ForwardLost => Some("No forward signal"),
        Signal::TooMuch(DetectorError::Overload(Channel::Forward)) => Some("Forward overload"),
        Signal::TooMuch(DetectorError::Overload(_)) => Some("Reverse overload"),
        Signal::TooMuch(DetectorError::AboveTable(Channel::Forward)) => Some("Forward above table"),
        Signal::TooMuch(_) => Some("Reverse above table"),
        Signal::Reading(_) | Signal::NoSignal => None,
    };
    let troubles = status.troubles;
    let line = troubles.alarm_line.then_some("Alarm line failed");
    let kept = troubles.setup.then_some("Setup not kept");
    let is_invented = setup.forward == DEMO.forward || setup.reverse == DEMO.reverse;
    line.or(signal)
        .or(kept)
        .or(is_invented.then_some("Invented demo table"))
}
