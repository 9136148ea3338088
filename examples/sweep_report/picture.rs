//! The screen of an instrument of any size, drawn by the library into memory and kept as a PNG file.

use std::convert::Infallible;
use std::path::PathBuf;

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Size};
use embedded_graphics::pixelcolor::{Rgb888, RgbColor};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::{Retune, SweepReport};
use ohmwright::quantity::{Hertz, Reflection};
use ohmwright::show::chart::{Doubled, Palette, Screen};

/// From this width on each pixel of the screen is four of the picture, so that the letters can be read.
const DOUBLED_FROM: u32 = 640;

/// What the command line says of pictures.
pub struct Wanted {
    pub file: PathBuf,
    pub size: (u32, u32),
    pub two_tone: bool,
}

/// A picture in memory.
struct Picture {
    size: Size,
    /// Red, green and blue of each pixel.
    bytes: Vec<u8>,
}

/// What a screen of the size wanted shows after the sweep, as a PNG file.
pub fn draw<A: Arithmetic, const N: usize>(
    wanted: &Wanted,
    title: &str,
    points: &[(Hertz, Reflection<A>)],
    report: &SweepReport<A, N>,
    advice: Option<&Retune<A>>,
) -> Result<Vec<u8>, String> {
    let size = Size::new(wanted.size.0, wanted.size.1);
    let palette = if wanted.two_tone {
        Palette::TWO_TONE.map(Rgb888::from)
    } else {
        Palette::daylight()
    };
    let doubled = size.width >= DOUBLED_FROM && size.height >= 2 * 48;
    let screen_size = if doubled { size / 2 } else { size };
    let wrong = |cause: &dyn std::fmt::Display| format!("--picture of {title}: {cause}");
    let mut screen =
        Screen::new(screen_size, palette, report.start(), report.stop()).map_err(|error| wrong(&error))?;
    let paper = [palette.paper.r(), palette.paper.g(), palette.paper.b()];
    let mut picture = Picture {
        size,
        bytes: paper.repeat(size.width as usize * size.height as usize),
    };
    let Ok(()) = if doubled {
        show(
            &mut screen,
            &mut Doubled(&mut picture),
            title,
            points,
            report,
            advice,
        )
    } else {
        show(&mut screen, &mut picture, title, points, report, advice)
    };
    picture.encoded().map_err(|error| wrong(&error))
}

impl Picture {
    /// As a PNG file.
    fn encoded(&self) -> Result<Vec<u8>, png::EncodingError> {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, self.size.width, self.size.height);
        encoder.set_color(png::ColorType::Rgb);
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&self.bytes)?;
        writer.finish()?;
        Ok(file)
    }
}

impl Wanted {
    /// The file of a picture: the one named, or of several `name-1.png`, `name-2.png` and so on.
    pub fn path(&self, place: usize, of: usize) -> PathBuf {
        if of == 1 {
            return self.file.clone();
        }
        let mut name = self.file.file_stem().unwrap_or_default().to_os_string();
        name.push(format!("-{}", place + 1));
        if let Some(extension) = self.file.extension() {
            name.push(".");
            name.push(extension);
        }
        self.file.with_file_name(name)
    }
}

/// As an instrument does it: the frame, each point, and in the end what the sweep has shown.
fn show<D: DrawTarget<Color = Rgb888>, A: Arithmetic, const N: usize>(
    screen: &mut Screen<Rgb888>,
    display: &mut D,
    title: &str,
    points: &[(Hertz, Reflection<A>)],
    report: &SweepReport<A, N>,
    advice: Option<&Retune<A>>,
) -> Result<(), D::Error> {
    screen.draw_frame(display, title, report)?;
    for (frequency, gamma) in points {
        screen.trace_to(display, *frequency, *gamma)?;
    }
    screen.draw_report(display, report, advice)
}

impl OriginDimensions for Picture {
    fn size(&self) -> Size {
        self.size
    }
}

impl DrawTarget for Picture {
    type Color = Rgb888;
    type Error = Infallible;

    fn draw_iter<I: IntoIterator<Item = Pixel<Rgb888>>>(&mut self, pixels: I) -> Result<(), Infallible> {
        for Pixel(point, colour) in pixels {
            let (Ok(x), Ok(y)) = (u32::try_from(point.x), u32::try_from(point.y)) else {
                continue;
            };
            if x < self.size.width && y < self.size.height {
                let at = 3 * (y as usize * self.size.width as usize + x as usize);
                self.bytes[at..at + 3].copy_from_slice(&[colour.r(), colour.g(), colour.b()]);
            }
        }
        Ok(())
    }
}
