//! Colours.

use embedded_graphics::pixelcolor::{BinaryColor, PixelColor, Rgb888};

/// The colours of a chart, for any type of display.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette<C> {
    /// Background.
    pub paper: C,
    /// Grid lines.
    pub grid: C,
    /// Axes, frames, limits and text.
    pub ink: C,
    /// The measured trace.
    pub trace: C,
    /// Marks.
    pub mark: C,
    /// Background of the curve where the SWR is within its limit.
    pub band: C,
    /// For displays of two colours: grid lines are dotted and bands are not filled.
    pub dotted: bool,
}

impl<C> Palette<C> {
    /// The same palette in another colour type.
    ///
    /// ```
    /// use embedded_graphics::pixelcolor::{Rgb888, RgbColor};
    /// use ohmwright::show::chart::Palette;
    ///
    /// // The colours of a two-colour display, on one that has more.
    /// let palette = Palette::TWO_TONE.map(Rgb888::from);
    /// assert_eq!((palette.ink, palette.paper), (Rgb888::WHITE, Rgb888::BLACK));
    /// assert!(palette.dotted);
    /// ```
    pub fn map<D>(self, mut to: impl FnMut(C) -> D) -> Palette<D> {
        Palette {
            paper: to(self.paper),
            grid: to(self.grid),
            ink: to(self.ink),
            trace: to(self.trace),
            mark: to(self.mark),
            band: to(self.band),
            dotted: self.dotted,
        }
    }
}

impl Palette<BinaryColor> {
    /// Bright pixels on a dark background.
    pub const TWO_TONE: Self = Self {
        paper: BinaryColor::Off,
        grid: BinaryColor::On,
        ink: BinaryColor::On,
        trace: BinaryColor::On,
        mark: BinaryColor::On,
        band: BinaryColor::Off,
        dotted: true,
    };
}

impl<C: PixelColor + From<Rgb888>> Palette<C> {
    /// Dark on a light background, readable in sunlight.
    ///
    /// Trace and marks, a blue and a reddish orange, differ in lightness too and suit the usual kinds of colour
    /// blindness (after the set of M. Okabe and K. Ito, "Color Universal Design", 2008; from memory).
    pub fn daylight() -> Self {
        let colour = |red, green, blue| C::from(Rgb888::new(red, green, blue));
        Self {
            paper: colour(252, 251, 244),
            grid: colour(186, 190, 192),
            ink: colour(24, 28, 36),
            trace: colour(0, 92, 170),
            mark: colour(200, 72, 0),
            band: colour(222, 236, 226),
            dotted: false,
        }
    }
}
