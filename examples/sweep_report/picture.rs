//! The screen of an instrument of any size, drawn by the library into memory and kept as a PNG file.

use std::convert::Infallible;
use std::path::{Path, PathBuf};

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Point, Size};
use embedded_graphics::pixelcolor::{Rgb888, RgbColor};
use embedded_graphics::primitives::Rectangle;
use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::line::Fault;
use ohmwright::measure::{NextStep, SweepQuality, SweepReport};
use ohmwright::quantity::{Component, Hertz, Metres, Reflection};
use ohmwright::show::chart::{DistanceChart, Doubled, Palette, Screen};

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
    step: Option<&NextStep<A>>,
    quality: Option<&SweepQuality<A>>,
) -> Result<Vec<u8>, String> {
    let size = Size::new(wanted.size.0, wanted.size.1);
    let palette = wanted.palette();
    let doubled = size.width >= DOUBLED_FROM && size.height >= 2 * 48;
    let screen_size = if doubled { size / 2 } else { size };
    let wrong = |cause: &dyn std::fmt::Display| format!("--picture of {title}: {cause}");
    let mut screen =
        Screen::new(screen_size, palette, report.start(), report.stop()).map_err(|error| wrong(&error))?;
    let mut picture = Picture::blank(wanted, palette.paper);
    let Ok(()) = if doubled {
        show(
            &mut screen,
            &mut Doubled(&mut picture),
            title,
            points,
            report,
            step,
            quality,
        )
    } else {
        show(&mut screen, &mut picture, title, points, report, step, quality)
    };
    picture.encoded().map_err(|error| wrong(&error))
}

/// |Γ| against distance in the size wanted, as a PNG file.
pub fn draw_distances<A: Arithmetic>(
    wanted: &Wanted,
    title: &str,
    farthest: f64,
    top: f64,
    trace: &[(Metres<A>, Component<A>)],
    faults: &[Fault<A>],
) -> Result<Vec<u8>, String> {
    let wrong = |cause: &dyn std::fmt::Display| format!("--picture of {title}: {cause}");
    let palette = wanted.palette();
    let mut picture = Picture::blank(wanted, palette.paper);
    let area = Rectangle::new(Point::new(4, 4), picture.size.saturating_sub(Size::new_equal(8)));
    let mut chart = DistanceChart::new(area, Metres::<f64>::new(farthest), Component::<f64>::new(top))
        .ok_or_else(|| wrong(&"the display is too small or too large for distances"))?;
    let Ok(()) = chart.draw_axes(&mut picture, &palette);
    for (distance, reflection) in trace {
        let Ok(()) = chart.trace_to(&mut picture, &palette, *distance, *reflection);
    }
    for fault in faults {
        let Ok(()) = chart.mark(&mut picture, &palette, fault);
    }
    picture.encoded().map_err(|error| wrong(&error))
}

impl Picture {
    fn blank(wanted: &Wanted, paper: Rgb888) -> Self {
        let (width, height) = wanted.size;
        Self {
            size: Size::new(width, height),
            bytes: [paper.r(), paper.g(), paper.b()].repeat(width as usize * height as usize),
        }
    }

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
    fn palette(&self) -> Palette<Rgb888> {
        if self.two_tone {
            Palette::TWO_TONE.map(Rgb888::from)
        } else {
            Palette::daylight()
        }
    }

    /// A file of another name beside one: `name-more.png` beside `name.png`.
    pub fn beside(&self, path: &Path, more: &str) -> PathBuf {
        let mut name = path.file_stem().unwrap_or_default().to_os_string();
        name.push(more);
        if let Some(extension) = path.extension() {
            name.push(".");
            name.push(extension);
        }
        path.with_file_name(name)
    }

    /// The file of a picture: the one named, or of several `name-1.png`, `name-2.png` and so on.
    pub fn path(&self, place: usize, of: usize) -> PathBuf {
        if of == 1 {
            return self.file.clone();
        }
        self.beside(&self.file, &format!("-{}", place + 1))
    }
}

/// As an instrument does it: the frame, each point, and in the end what the sweep has shown.
fn show<D: DrawTarget<Color = Rgb888>, A: Arithmetic, const N: usize>(
    screen: &mut Screen<Rgb888>,
    display: &mut D,
    title: &str,
    points: &[(Hertz, Reflection<A>)],
    report: &SweepReport<A, N>,
    step: Option<&NextStep<A>>,
    quality: Option<&SweepQuality<A>>,
) -> Result<(), D::Error> {
    screen.draw_frame(display, title, report)?;
    for (frequency, gamma) in points {
        screen.trace_to(display, *frequency, *gamma)?;
    }
    screen.draw_report(display, report, step, quality)
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
