//! What the display shows. The only file that knows the screen of the library.

use embedded_graphics::Drawable;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Point};
use embedded_graphics::mono_font::ascii::{FONT_6X10, FONT_10X20};
use embedded_graphics::mono_font::{MonoFont, MonoTextStyle};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::text::{Baseline, Text};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::SweepReport;
use ohmwright::measure::calibration::Role;
use ohmwright::quantity::{Hertz, Reflection};
use ohmwright::show::chart::{Palette, Screen};

use crate::instrument::{Ability, Stage, Trouble};

pub(crate) struct View {
    /// `None` before the first sweep, and on a display that is too small for a chart.
    screen: Option<Screen<BinaryColor>>,
}

impl View {
    pub(crate) fn new() -> Self {
        Self { screen: None }
    }

    /// The frame of a sweep.
    pub(crate) fn begin<D, A: Arithmetic, const N: usize>(
        &mut self,
        display: &mut D,
        (start, stop): (Hertz, Hertz),
        title: &str,
        report: &SweepReport<A, N>,
    ) -> Result<(), D::Error>
    where
        D: DrawTarget<Color = BinaryColor> + OriginDimensions,
    {
        self.screen = Screen::new(display.size(), Palette::TWO_TONE, start, stop).ok();
        match &mut self.screen {
            Some(screen) => screen.draw_frame(display, title, report),
            None => lines(display, ["Sweeping", title, "", ""]),
        }
    }

    pub(crate) fn trace_to<D: DrawTarget<Color = BinaryColor>, A: Arithmetic>(
        &mut self,
        display: &mut D,
        frequency: Hertz,
        gamma: Reflection<A>,
    ) -> Result<(), D::Error> {
        match &mut self.screen {
            Some(screen) => screen.trace_to(display, frequency, gamma),
            None => Ok(()),
        }
    }

    pub(crate) fn end<D: DrawTarget<Color = BinaryColor>, A: Arithmetic, const N: usize>(
        &mut self,
        display: &mut D,
        report: &SweepReport<A, N>,
    ) -> Result<(), D::Error> {
        match &mut self.screen {
            Some(screen) => screen.draw_report(display, report, None, None),
            None => Ok(()),
        }
    }

    /// Everything but a sweep.
    pub(crate) fn words<D>(&mut self, display: &mut D, stage: Stage, title: &str) -> Result<(), D::Error>
    where
        D: DrawTarget<Color = BinaryColor> + OriginDimensions,
    {
        lines(display, said(stage, title))
    }
}

fn name(role: Role) -> &'static str {
    match role {
        Role::Open => "the OPEN",
        Role::Short => "the SHORT",
        _ => "the LOAD",
    }
}

/// A heading and three lines of 21 columns.
fn said(stage: Stage, title: &str) -> [&str; 4] {
    match stage {
        Stage::Choice(Ability::Sweep) => ["Sweep", title, "Confirm: begin", "Next: calibrate"],
        Stage::Choice(Ability::Calibrate) => ["Calibrate", title, "Confirm: begin", "Next: sweep"],
        Stage::Connect(role) => ["Connect", name(role), "Confirm: read it", "Leave: keep the old"],
        Stage::Reading(role) => ["Reading", name(role), "Do not touch it", "Leave: keep the old"],
        Stage::Calibrated => ["Done", "Calibration stored", "Any button: go on", ""],
        // A sweep has its chart.
        Stage::Sweeping | Stage::Swept(_) => ["Sweep", title, "", ""],
        Stage::Failed(Trouble::NotKept(_)) => [
            "Not stored",
            "Calibrated till off",
            "Memory failed",
            "Any button: go on",
        ],
        Stage::Failed(trouble) => {
            let cause = match trouble {
                Trouble::Source => "The source failed",
                Trouble::Receivers => "The receivers failed",
                Trouble::Reading(_) => "Standard not read",
                Trouble::Calibration(_) | Trouble::NotKept(_) => "Are standards alike?",
            };
            ["Failed", cause, title, "Any button: go on"]
        }
    }
}

fn lines<D>(display: &mut D, [heading, rest @ ..]: [&str; 4]) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor> + OriginDimensions,
{
    display.clear(BinaryColor::Off)?;
    let mut put = |words: &str, font: &MonoFont<'_>, top: i32| {
        let style = MonoTextStyle::new(font, BinaryColor::On);
        Text::with_baseline(words, Point::new(2, top), style, Baseline::Top)
            .draw(display)
            .map(|_| ())
    };
    put(heading, &FONT_10X20, 2)?;
    for (words, top) in rest.into_iter().zip([26, 39, 52]) {
        put(words, &FONT_6X10, top)?;
    }
    Ok(())
}
