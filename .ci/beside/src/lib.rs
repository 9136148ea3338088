//! A firmware in small beside the newest `embedded-graphics`: it compiles only where one set of versions serves both.

#![no_std]

use ohmwright::fixed_point::{Reference, Reflection};

/// Whether a load is matched.
pub fn is_matched(gamma: Reflection) -> bool {
    gamma.swr() < 2
}

/// The resistance of the load, by the reference of a cable.
pub fn ohms(gamma: Reflection) -> i32 {
    static CABLE: Reference = Reference::whole::<75>();
    gamma.impedance(CABLE).resistance().get().to_num()
}

/// A chart on a display that knows nothing but the newest core.
///
/// # Errors
/// What the display says.
#[cfg(feature = "charts")]
pub fn draw<D>(display: &mut D, gamma: Reflection) -> Result<(), D::Error>
where
    D: embedded_graphics_core::draw_target::DrawTarget<Color = embedded_graphics::pixelcolor::BinaryColor>,
{
    use ohmwright::show::chart::{Mark, Palette, SmithChart};

    if let Some(chart) = SmithChart::new(display.bounding_box()) {
        chart.draw_grid(display, &Palette::TWO_TONE, Reference::fifty())?;
        chart.mark(display, &Palette::TWO_TONE, gamma, Mark::Target)?;
    }
    Ok(())
}
