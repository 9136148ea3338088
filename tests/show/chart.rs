//! Drawings: the grid against the equations of the Smith chart to half a pixel, and whole screens against pictures that
//! were looked at (`data/pictures`; `OHMWRIGHT_REWRITE=1 cargo test --test show chart` writes them anew). The loads are
//! invented.

use std::convert::Infallible;
use std::path::PathBuf;

use crate::common::Random;
use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Point, Size};
use embedded_graphics::pixelcolor::{BinaryColor, PixelColor, Rgb565, Rgb888, RgbColor};
use embedded_graphics::primitives::Rectangle;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::design::line::Line;
use ohmwright::measure::line::{DistanceSettings, DistanceSweep, DistanceWindow};
use ohmwright::measure::{
    Built, FrequencyPlan, NextStep, SweepAnalyser, SweepQuality, SweepReport, SweepSettings, SweepSurvey,
    TuningElement,
};
use ohmwright::quantity::{
    Component, Decibels, Hertz, Impedance, Metres, Reference, Reflection, Swr, VelocityFactor,
};
use ohmwright::show::chart::{
    CurveChart, CurveScale, DistanceChart, Doubled, Mark, Palette, Screen, ScreenError, SmithChart,
};

/// A display in memory; what is drawn beyond its edges is counted.
pub struct Canvas<C> {
    pub size: Size,
    pub pixels: Vec<C>,
    pub outside: usize,
}

impl<C: PixelColor> Canvas<C> {
    pub fn new(width: u32, height: u32, paper: C) -> Self {
        Self {
            size: Size::new(width, height),
            pixels: vec![paper; (width * height) as usize],
            outside: 0,
        }
    }

    pub fn at(&self, point: Point) -> Option<C> {
        let inside = point.x >= 0
            && point.y >= 0
            && point.x < self.size.width as i32
            && point.y < self.size.height as i32;
        inside.then(|| self.pixels[point.y as usize * self.size.width as usize + point.x as usize])
    }

    /// The places of a colour.
    pub fn places(&self, colour: C) -> Vec<Point> {
        let width = self.size.width as usize;
        (0..self.pixels.len())
            .filter(|place| self.pixels[*place] == colour)
            .map(|place| Point::new((place % width) as i32, (place / width) as i32))
            .collect()
    }
}

impl<C> OriginDimensions for Canvas<C> {
    fn size(&self) -> Size {
        self.size
    }
}

impl<C: PixelColor> DrawTarget for Canvas<C> {
    type Color = C;
    type Error = Infallible;

    fn draw_iter<I: IntoIterator<Item = Pixel<C>>>(&mut self, pixels: I) -> Result<(), Infallible> {
        for Pixel(point, colour) in pixels {
            if self.at(point).is_some() {
                self.pixels[point.y as usize * self.size.width as usize + point.x as usize] = colour;
            } else {
                self.outside += 1;
            }
        }
        Ok(())
    }
}

// --- geometry ----------------------------------------------------------------------------------------------------

/// A palette in which every kind of line has its own colour.
pub fn distinct() -> Palette<Rgb888> {
    Palette {
        paper: Rgb888::BLACK,
        grid: Rgb888::GREEN,
        ink: Rgb888::WHITE,
        trace: Rgb888::BLUE,
        mark: Rgb888::RED,
        band: Rgb888::YELLOW,
        dotted: false,
    }
}

/// How far a pixel is from the nearest line of the grid, by the equations of the chart.
///
/// P. H. Smith, "Transmission Line Calculator", Electronics, January 1939; the centres and radii stand in any textbook
/// (D. M. Pozar, Microwave Engineering, 2.4; from memory).
fn distance_from_grid(chart: &SmithChart, point: Point) -> f64 {
    let radius = f64::from(chart.radius());
    let u = f64::from(point.x - chart.centre().x);
    let v = f64::from(chart.centre().y - point.y);
    let circle = |u0: f64, v0: f64, r: f64| ((u - u0 * radius).hypot(v - v0 * radius) - r * radius).abs();
    let mut least = v.abs();
    for tenths in chart.grid() {
        let value = f64::from(*tenths) / 10.0;
        least = least
            .min(circle(value / (value + 1.0), 0.0, 1.0 / (value + 1.0)))
            .min(circle(1.0, 1.0 / value, 1.0 / value))
            .min(circle(1.0, -1.0 / value, 1.0 / value));
    }
    least
}

const SIDES: [u32; 7] = [16, 48, 63, 64, 120, 240, 701];

fn grid(side: u32) -> (SmithChart, Canvas<Rgb888>) {
    let mut canvas = Canvas::new(side + 10, side + 10, Rgb888::BLACK);
    let area = Rectangle::new(Point::new(5, 5), Size::new_equal(side));
    let chart = SmithChart::new(area).unwrap();
    chart
        .draw_grid(&mut canvas, &distinct(), Reference::<f64>::fifty())
        .unwrap();
    (chart, canvas)
}

#[test]
fn every_pixel_of_the_grid_is_within_half_a_pixel_of_its_curve() {
    for side in SIDES {
        let (chart, canvas) = grid(side);
        assert_eq!(canvas.outside, 0);
        let pixels = canvas.places(Rgb888::GREEN);
        assert!(pixels.len() as u32 > side / 2, "{side}");
        for point in pixels {
            let distance = distance_from_grid(&chart, point);
            // 1/256 of a pixel is what circles are known to.
            assert!(
                distance <= 0.5 + 2.0 / 256.0,
                "{side}: {point:?} is {distance} off"
            );
        }
        // The rim, where no text covers it.
        let rim = (0..360).filter(|degrees| {
            let (sine, cosine) = f64::from(*degrees).to_radians().sin_cos();
            let radius = f64::from(chart.radius());
            let point = chart.centre()
                + Point::new((radius * cosine).round() as i32, -(radius * sine).round() as i32);
            canvas.at(point) == Some(Rgb888::WHITE)
        });
        assert!(rim.count() > 300, "{side}");
    }
}

/// A control: a grid that is half a pixel off is noticed.
#[test]
fn the_check_of_the_grid_can_fail() {
    let (chart, canvas) = grid(240);
    let worst = canvas
        .places(Rgb888::GREEN)
        .into_iter()
        .map(|point| distance_from_grid(&chart, point + Point::new(1, 1)))
        .fold(0.0, f64::max);
    assert!(worst > 0.8, "{worst}");
}

/// Every curve is there: at each step of its length a pixel of the grid is near.
#[test]
fn every_curve_is_whole() {
    for side in SIDES {
        let (chart, canvas) = grid(side);
        let radius = f64::from(chart.radius());
        for tenths in chart.grid() {
            let value = f64::from(*tenths) / 10.0;
            let mut seen = 0;
            let mut wanted = 0;
            // Along the circle of resistance by its reactance, and the other way round.
            for step in -400..=400i32 {
                let other = (f64::from(step) / 400.0 * 1.5).tan();
                for (r, x) in [(value, other), (other.abs(), value), (other.abs(), -value)] {
                    let below = (r + 1.0) * (r + 1.0) + x * x;
                    let (re, im) = ((r * r + x * x - 1.0) / below, 2.0 * x / below);
                    let place = chart.centre()
                        + Point::new((re * radius).round() as i32, -(im * radius).round() as i32);
                    // Near the open lines are left out, at the axis stand labels, and the rim covers ends.
                    let near_open = (1.0 - re).hypot(im) < 0.18;
                    // A label inside of the rim covers what is under it.
                    let is_label = (-7..=7).any(|dy| {
                        (-14..=14).any(|dx| {
                            let point = place + Point::new(dx, dy);
                            let away = point - chart.centre();
                            let from_centre = f64::from(away.x).hypot(f64::from(away.y));
                            from_centre < radius - 1.5 && canvas.at(point) == Some(Rgb888::WHITE)
                        })
                    });
                    if is_label {
                        continue;
                    }
                    if near_open || im.abs() * radius < 18.0 || re.hypot(im) > 1.0 - 2.0 / radius {
                        continue;
                    }
                    wanted += 1;
                    let near = (-1..=1).any(|dx| {
                        (-1..=1).any(|dy| canvas.at(place + Point::new(dx, dy)) == Some(Rgb888::GREEN))
                    });
                    seen += i32::from(near);
                }
            }
            assert_eq!(seen, wanted, "{side}: {tenths} tenths");
            assert!(wanted > 200, "{side}: {tenths} tenths, only {wanted} places");
        }
    }
}

/// Γ stands where it belongs, in every family.
#[test]
fn reflections_stand_where_they_belong() {
    fn one<A: Arithmetic>() {
        let chart = SmithChart::new(Rectangle::new(Point::zero(), Size::new_equal(203))).unwrap();
        let centre = chart.centre();
        assert_eq!(chart.radius(), 100);
        let at = |re, im| chart.place(Reflection::<A>::try_from_f64(re, im).unwrap()) - centre;
        assert_eq!(at(0.0, 0.0), Point::zero());
        assert_eq!(chart.place(Reflection::<A>::OPEN) - centre, Point::new(100, 0));
        assert_eq!(chart.place(Reflection::<A>::SHORT) - centre, Point::new(-100, 0));
        assert_eq!(at(0.5, 0.25), Point::new(50, -25)); // inductive: upwards
        assert_eq!(at(-0.304, -0.896), Point::new(-30, 90));
    }
    one::<f64>();
    one::<f32>();
    one::<Fixed32>();
    one::<Fixed16>();
    let chart = SmithChart::new(Rectangle::new(Point::zero(), Size::new_equal(203))).unwrap();
    let far = Reflection::<f64>::new(1e6, 0.0).unwrap();
    assert!(
        chart.place(far).x >= 1 << 20,
        "gain is outside of the rim, however much"
    );
    assert!(SmithChart::new(Rectangle::new(Point::zero(), Size::new(15, 100))).is_none());
}

#[test]
fn the_curve_stands_where_it_belongs() {
    let area = Rectangle::new(Point::new(0, 0), Size::new(101, 81));
    let (start, stop) = (Hertz::from_megahertz(60), Hertz::from_megahertz(80));
    let swr = |scale| CurveChart::new(area, start, stop, scale).unwrap();
    // Room for the small letters, and for half a mark between these and the plot.
    let chart = swr(CurveScale::Swr(5));
    assert_eq!(chart.plot(), Rectangle::new(Point::new(22, 3), Size::new(74, 64)));
    let at = |chart: &CurveChart, megahertz, re| {
        chart.place(
            Hertz::from_megahertz(megahertz),
            Reflection::<Fixed32>::try_from_f64(re, 0.0).unwrap(),
        )
    };
    assert_eq!(at(&chart, 60, 0.0), Point::new(22, 66));
    assert_eq!(at(&chart, 80, 0.5), Point::new(95, 66 - 31)); // 31.5 rows above: SWR 3 of 1 to 5
    assert!(at(&chart, 70, 0.9).y < 0, "off the scale is off the plot");
    assert_eq!(chart.column(Hertz::from_megahertz(70)), 22 + 37);
    assert!(chart.column(Hertz::from_megahertz(90)) > 100);
    assert!(chart.column(Hertz::from_megahertz(50)) < 22);
    let chart = swr(CurveScale::ReturnLoss(40));
    assert_eq!(at(&chart, 60, 1.0).y, 3);
    assert_eq!(at(&chart, 60, 0.1).y, 3 + 32); // 20 dB of 40, 31.5 rows
    assert!(at(&chart, 60, 0.0).y > 66);
    for (start, stop, scale) in [
        (stop, start, CurveScale::Swr(5)),
        (start, start, CurveScale::Swr(5)),
        (start, stop, CurveScale::Swr(1)),
        (start, stop, CurveScale::ReturnLoss(0)),
    ] {
        assert!(CurveChart::new(area, start, stop, scale).is_none());
    }
    // The widest sweep there is.
    let widest = CurveChart::new(area, Hertz::new(0), Hertz::new(u64::MAX), CurveScale::Swr(2)).unwrap();
    assert_eq!(widest.column(Hertz::new(u64::MAX)), 95);
    assert_eq!(widest.column(Hertz::new(u64::MAX / 2)), 22 + 36);
}

// --- whole screens -----------------------------------------------------------------------------------------------

pub struct Sweep<A: Arithmetic> {
    pub points: Vec<(Hertz, Reflection<A>)>,
    pub report: SweepReport<A, 4>,
    pub step: NextStep<A>,
    pub quality: SweepQuality<A>,
}

/// Two resonances a little apart, the target on the slope of one.
pub fn sweep<A: Arithmetic>() -> Sweep<A> {
    let target = Some(Hertz::from_kilohertz(71_000));
    let mut analyser = SweepAnalyser::<A, 4>::new(SweepSettings {
        target,
        ..Default::default()
    })
    .unwrap();
    let mut survey = SweepSurvey::new();
    let mut points = Vec::new();
    for step in 0..=120u32 {
        let frequency = Hertz::from_kilohertz(60_000 + 167 * step);
        let at = frequency.get() as f64 / 1e6;
        let x = 260.0 * (at / 66.5 - 66.5 / at);
        let load = Impedance::<A>::try_from_f64(34.0 + 0.02 * (at - 60.0) * (at - 60.0), x).unwrap();
        let gamma = load.reflection(Reference::fifty());
        analyser.push(frequency, gamma).unwrap();
        survey.push(frequency, gamma).unwrap();
        points.push((frequency, gamma));
    }
    let report = analyser.report();
    let built = Built::new(TuningElement::Inductance);
    Sweep {
        points,
        step: NextStep::new(&report, &survey, &built).unwrap(),
        quality: survey.quality(&report),
        report,
    }
}

fn draw<A: Arithmetic, D: DrawTarget<Error = Infallible>>(
    display: &mut D,
    size: Size,
    palette: Palette<D::Color>,
    sweep: &Sweep<A>,
) {
    let Sweep {
        points,
        report,
        step,
        quality,
    } = sweep;
    let (start, stop) = (report.start(), report.stop());
    let mut screen = Screen::new(size, palette, start, stop).unwrap();
    screen.draw_frame(display, "A load (invented)", report).unwrap();
    for (frequency, gamma) in points {
        screen.trace_to(display, *frequency, *gamma).unwrap();
    }
    screen
        .draw_report(display, report, Some(step), Some(quality))
        .unwrap();
}

const SIZES: [(u32, u32); 5] = [(64, 48), (128, 64), (160, 128), (320, 240), (960, 720)];

/// Whether the screen is drawn on a display of half the size, doubled.
fn is_doubled(width: u32) -> bool {
    width >= 640
}

fn picture<C: PixelColor, A: Arithmetic>(
    (width, height): (u32, u32),
    palette: Palette<C>,
    sweep: &Sweep<A>,
) -> Canvas<C> {
    let mut canvas = Canvas::new(width, height, palette.paper);
    if is_doubled(width) {
        let mut doubled = Doubled(&mut canvas);
        let size = doubled.size();
        draw(&mut doubled, size, palette, sweep);
    } else {
        draw(&mut canvas, Size::new(width, height), palette, sweep);
    }
    assert_eq!(
        canvas.outside, 0,
        "something is drawn beyond the edge of {width} by {height}"
    );
    canvas
}

fn bytes<C: PixelColor + Into<Rgb888>>(canvas: &Canvas<C>) -> Vec<u8> {
    canvas
        .pixels
        .iter()
        .flat_map(|pixel| {
            let pixel: Rgb888 = (*pixel).into();
            [pixel.r(), pixel.g(), pixel.b()]
        })
        .collect()
}

fn compare<C: PixelColor + Into<Rgb888>>(canvas: &Canvas<C>, name: &str) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/pictures")
        .join(format!("{name}_{}x{}.png", canvas.size.width, canvas.size.height));
    let drawn = bytes(canvas);
    if std::env::var_os("OHMWRIGHT_REWRITE").is_some() {
        let file = std::fs::File::create(&path).unwrap();
        let mut encoder = png::Encoder::new(file, canvas.size.width, canvas.size.height);
        encoder.set_color(png::ColorType::Rgb);
        let mut writer = encoder.write_header().unwrap();
        writer.write_image_data(&drawn).unwrap();
        return;
    }
    let file = std::io::BufReader::new(std::fs::File::open(&path).unwrap());
    let mut reader = png::Decoder::new(file).read_info().unwrap();
    let mut expected = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut expected).unwrap();
    assert_eq!((info.width, info.height), (canvas.size.width, canvas.size.height));
    let differing = drawn
        .chunks(3)
        .zip(expected.chunks(3))
        .filter(|(a, b)| a != b)
        .count();
    assert!(
        drawn.len() == expected.len() && differing == 0,
        "{}: {differing} pixels differ; look at it before you write it anew",
        path.display()
    );
}

/// One colour of two, as a picture.
#[derive(Clone, Copy, PartialEq)]
struct Bit(BinaryColor);

impl PixelColor for Bit {
    type Raw = <BinaryColor as PixelColor>::Raw;
}

impl From<Bit> for Rgb888 {
    fn from(bit: Bit) -> Self {
        if bit.0.is_on() {
            Rgb888::WHITE
        } else {
            Rgb888::BLACK
        }
    }
}

fn in_bits(palette: Palette<BinaryColor>) -> Palette<Bit> {
    palette.map(Bit)
}

#[test]
fn screens_are_as_they_were_looked_at() {
    let sweep = sweep::<Fixed32>();
    for size in SIZES {
        compare(&picture(size, Palette::<Rgb565>::daylight(), &sweep), "colour");
        compare(&picture(size, in_bits(Palette::TWO_TONE), &sweep), "two_tone");
    }
}

/// Every family draws the same picture, but for single pixels where a rounding falls the other way.
#[test]
fn every_family_draws_the_same() {
    // Not one where the line of the limit falls on a half of a row.
    let size = (320, 235);
    let want = picture(size, Palette::<Rgb565>::daylight(), &sweep::<f64>());
    let differs = |canvas: &Canvas<Rgb565>| {
        let pairs = canvas.pixels.iter().zip(&want.pixels);
        pairs.filter(|(a, b)| a != b).count()
    };
    let palette = Palette::<Rgb565>::daylight();
    // A line of two pixels to an end that is one pixel off has most of its pixels elsewhere.
    let count = [
        differs(&picture(size, palette, &sweep::<f32>())),
        differs(&picture(size, palette, &sweep::<Fixed32>())),
        differs(&picture(size, palette, &sweep::<Fixed16>())),
    ];
    println!("{count:?} pixels differ");
    assert!(count[0] < 20 && count[1] < 20 && count[2] < 300, "{count:?}");
}

/// Readouts drawn over older ones leave nothing of them: neither of a longer line, nor of a step that is no more.
#[test]
fn readouts_may_be_drawn_again() {
    let size = Size::new(320, 240);
    let palette = Palette::<Rgb888>::daylight();
    let sweep = sweep::<Fixed32>();
    let last = &sweep.report;
    let screen = Screen::new(size, palette, last.start(), last.stop()).unwrap();
    let step = Some(&sweep.step);
    let mut ill = sweep.quality;
    ill.spoilt = 2;
    let once = {
        let mut canvas = Canvas::new(320, 240, palette.paper);
        screen.draw_readouts(&mut canvas, last, None, None).unwrap();
        canvas
    };
    assert!(once.pixels.contains(&palette.ink));
    let mut canvas = Canvas::new(320, 240, palette.paper);
    let mut analyser = SweepAnalyser::<Fixed32, 4>::new(SweepSettings::default()).unwrap();
    screen
        .draw_readouts(&mut canvas, &analyser.report(), step, Some(&ill))
        .unwrap();
    for (frequency, gamma) in &sweep.points {
        analyser.push(*frequency, *gamma).unwrap();
        screen
            .draw_readouts(&mut canvas, &analyser.report(), step, Some(&ill))
            .unwrap();
    }
    assert!(canvas.pixels != once.pixels);
    screen.draw_readouts(&mut canvas, last, None, None).unwrap();
    assert!(canvas.pixels == once.pixels);
}

/// What cannot be on the scale is drawn off it, and no line is too long for the arithmetic of the display: a match, opens,
/// gain, and loads of every SWR, one after the other.
#[test]
fn readings_far_off_the_scale_are_drawn() {
    let mut random = Random::new(3);
    let (start, stop) = (Hertz::from_megahertz(60), Hertz::from_megahertz(80));
    for size in SIZES.into_iter().chain([(480, 320), (1000, 800)]) {
        for width in [1, 2] {
            let mut canvas = Canvas::new(width * size.0, width * size.1, Rgb888::WHITE);
            let area = Rectangle::new(Point::zero(), Size::new(width * size.0, width * size.1));
            for scale in [CurveScale::Swr(2), CurveScale::Swr(5), CurveScale::ReturnLoss(2)] {
                let Some(mut chart) = CurveChart::new(area, start, stop, scale) else {
                    continue;
                };
                for step in 0..200u64 {
                    let size = match step % 5 {
                        0 => 0.0,
                        1 => 1.0,
                        2 => random.between(1.0, 1.9),
                        3 => 1.0 - random.decades(1e-9, 0.5).abs(),
                        _ => random.between(0.0, 1.0),
                    };
                    let gamma = Reflection::<Fixed32>::try_from_f64(size, 0.0).unwrap();
                    let frequency = Hertz::new(60_000_000 + 100_000 * (step * 37 % 200));
                    let place = chart.place(frequency, gamma);
                    if size >= 1.0 {
                        assert!(
                            place.y < chart.plot().top_left.y
                                || scale == CurveScale::ReturnLoss(2) && (size - 1.0) < 1e-9,
                            "{size}: {place:?}"
                        );
                    }
                    chart
                        .trace_to(&mut canvas, &Palette::<Rgb888>::daylight(), frequency, gamma)
                        .unwrap();
                }
            }
        }
    }
}

/// What is no screen is refused.
#[test]
fn screens_of_no_size_and_of_no_sweep() {
    let (start, stop) = (Hertz::from_megahertz(60), Hertz::from_megahertz(80));
    for (width, height) in [(47, 48), (48, 47), (20_000, 100)] {
        let screen = Screen::new(Size::new(width, height), Palette::TWO_TONE, start, stop);
        assert_eq!(screen.err(), Some(ScreenError::Size));
    }
    let screen = Screen::new(Size::new(64, 64), Palette::TWO_TONE, stop, stop);
    assert_eq!(screen.err(), Some(ScreenError::EmptySweep));
}

/// The colours of daylight differ in lightness, so that they are told apart without any colour: relative luminance
/// after IEC 61966-2-1 and the contrast ratio of WCAG 2.1 (both from memory).
#[test]
fn colours_differ_in_lightness() {
    let palette = Palette::<Rgb888>::daylight();
    let luminance = |colour: Rgb888| {
        let linear = |part: u8| {
            let value = f64::from(part) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * linear(colour.r()) + 0.7152 * linear(colour.g()) + 0.0722 * linear(colour.b())
    };
    let contrast = |a, b| {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    };
    assert!(contrast(palette.ink, palette.paper) > 12.0);
    assert!(contrast(palette.trace, palette.paper) > 4.5);
    assert!(contrast(palette.mark, palette.paper) > 4.5);
    assert!(contrast(palette.trace, palette.grid) > 3.0);
    assert!(contrast(palette.trace, palette.mark) > 1.3);
    assert!(contrast(palette.grid, palette.paper) < 2.2);
}

/// Marks are told apart by their shape.
#[test]
fn marks_have_different_shapes() {
    let mut shapes = Vec::new();
    for mark in [Mark::Dip, Mark::Target] {
        let mut canvas = Canvas::new(64, 64, Rgb888::BLACK);
        let chart = SmithChart::new(Rectangle::new(Point::zero(), Size::new_equal(64))).unwrap();
        chart
            .mark(&mut canvas, &distinct(), Reflection::<f64>::MATCHED, mark)
            .unwrap();
        shapes.push(canvas.places(Rgb888::RED));
        let centre = canvas.at(chart.centre()) == Some(Rgb888::RED);
        assert_eq!(centre, mark == Mark::Target);
    }
    assert!(shapes[0].len() >= 8 && shapes[1].len() >= 8);
    assert_ne!(shapes[0], shapes[1]);
}

/// The SWR limit, an end of the word, does not bring the axes down.
#[test]
fn odd_limits_are_drawn() {
    let area = Rectangle::new(Point::zero(), Size::new(100, 60));
    let chart = CurveChart::new(area, Hertz::new(1), Hertz::new(2), CurveScale::Swr(5)).unwrap();
    let mut canvas = Canvas::new(100, 60, Rgb888::BLACK);
    for limit in [1.0, 65_535.0] {
        let limit = Swr::<Fixed32>::try_from_f64(limit).unwrap();
        chart
            .draw_axes::<_, Fixed32>(&mut canvas, &distinct(), Some(limit))
            .unwrap();
    }
    assert_eq!(canvas.outside, 0);
}

/// What lies outside of the plot has no mark, not even the half of one.
#[test]
fn no_mark_stands_outside_of_the_plot() {
    let area = Rectangle::new(Point::new(0, 0), Size::new(101, 81));
    let (start, stop) = (Hertz::from_megahertz(60), Hertz::from_megahertz(80));
    let chart = CurveChart::new(area, start, stop, CurveScale::Swr(5)).unwrap();
    let drawn = |kilohertz: u32, re: f64, mark: Mark| {
        let mut canvas = Canvas::new(101, 81, Rgb888::BLACK);
        let gamma = Reflection::<Fixed32>::try_from_f64(re, 0.0).unwrap();
        chart
            .mark(
                &mut canvas,
                &distinct(),
                Hertz::from_kilohertz(kilohertz),
                gamma,
                mark,
            )
            .unwrap();
        assert_eq!(canvas.outside, 0);
        canvas
            .pixels
            .iter()
            .filter(|pixel| **pixel != Rgb888::BLACK)
            .count()
    };
    for mark in [Mark::Dip, Mark::Target] {
        // A little before and behind, and far before and behind.
        for (kilohertz, re) in [
            (59_700, 0.3),
            (80_300, 0.3),
            (50_000, 0.3),
            (90_000, 0.3),
            (90_000, 0.99),
        ] {
            assert_eq!(drawn(kilohertz, re, mark), 0, "{kilohertz} kHz, {re}");
        }
        // Above the scale stands an arrow, and its value.
        assert!(drawn(70_000, 0.675, mark) > 30);
        // The control: inside, and at its edges.
        for (kilohertz, re) in [(60_000, 0.3), (70_000, 0.3), (80_000, 0.3), (70_000, 0.0)] {
            assert!(drawn(kilohertz, re, mark) > 4, "{kilohertz} kHz, {re}");
        }
    }
}

// --- distance ----------------------------------------------------------------------------------------------------

#[test]
fn reflections_stand_at_their_distance() {
    let area = Rectangle::new(Point::new(0, 0), Size::new(101, 81));
    let chart = DistanceChart::new(area, Metres::<f64>::new(20.0), Component::new(0.5)).unwrap();
    // Room for the small letters, and for half a mark between these and the plot.
    assert_eq!(chart.plot(), Rectangle::new(Point::new(27, 3), Size::new(69, 64)));
    let at = |metres: f64, size: f64| chart.place(Metres::<f64>::new(metres), Component::new(size));
    assert_eq!(at(0.0, 0.0), Point::new(27, 66));
    assert_eq!(at(20.0, 0.5), Point::new(95, 3));
    assert_eq!(at(10.0, 0.25), Point::new(27 + 34, 66 - 32)); // 34 columns, 31.5 rows
    assert!(at(30.0, 0.1).x > 95 && at(3.0, 0.7).y < 0);
    // Other families, and the longest line there is.
    let metres = Metres::<Fixed32>::try_from_f64(20.0).unwrap();
    let half = Component::<Fixed32>::thousandths::<500>();
    assert_eq!(
        DistanceChart::new(area, metres, half)
            .unwrap()
            .place(metres, half),
        Point::new(95, 3)
    );
    let widest = DistanceChart::new(area, Metres::<f64>::new(1e9), Component::new(1.0)).unwrap();
    assert_eq!(
        widest.place(Metres::<f64>::new(1e9), Component::new(1.0)),
        Point::new(95, 3)
    );
    let new =
        |metres: f64, top: f64| DistanceChart::new(area, Metres::<f64>::new(metres), Component::new(top));
    assert!(new(0.0, 1.0).is_none() && new(1.0, 0.0).is_none() && new(f64::INFINITY, 1.0).is_none());
    let narrow = Rectangle::new(Point::new(0, 0), Size::new(23, 81));
    assert!(DistanceChart::new(narrow, metres, half).is_none());
}

/// A cable with a plug that is bad and an open end, of an invented case.
fn distance_picture<C: PixelColor>((width, height): (u32, u32), palette: Palette<C>) -> Canvas<C> {
    let (start, stop) = (Hertz::from_megahertz(40), Hertz::from_megahertz(440));
    let factor = VelocityFactor::<Fixed32>::thousandths::<820>();
    let settings = DistanceSettings::<Fixed32>::new(start, stop, 101, factor)
        .unwrap()
        .with_window(DistanceWindow::Blackman);
    let mut sweep = DistanceSweep::<Fixed32, 128>::new(settings).unwrap();
    let near = Line::<f64>::new(50.0, 0.82, 7.3).unwrap();
    let plug = Line::<f64>::new(82.0, 0.82, 0.06).unwrap();
    let far = Line::<f64>::new(50.0, 0.82, 6.1)
        .unwrap()
        .with_loss(9.0, Hertz::from_megahertz(100))
        .unwrap();
    for frequency in FrequencyPlan::linear(start, stop, 101).unwrap().iter() {
        let reference = Reference::fifty();
        let gamma = far.input_reflection(Reflection::OPEN, reference, frequency);
        let gamma = plug.input_reflection(gamma, reference, frequency);
        let gamma = near.input_reflection(gamma, reference, frequency);
        sweep.push(frequency, gamma.convert()).unwrap();
    }
    let mut canvas = Canvas::new(width, height, palette.paper);
    let area = Rectangle::new(Point::new(2, 2), Size::new(width - 4, height - 4));
    let last = sweep.distance(127).unwrap();
    let mut chart = DistanceChart::new(area, last, Component::<Fixed32>::whole::<1>()).unwrap();
    chart.draw_axes(&mut canvas, &palette).unwrap();
    for index in 0..128 {
        let (distance, size) = (sweep.distance(index).unwrap(), sweep.magnitude(index).unwrap());
        chart.trace_to(&mut canvas, &palette, distance, size).unwrap();
    }
    // Not the echo that went to and fro once more, at the end of the picture.
    let faults = sweep.faults(Component::thousandths::<20>()).unwrap();
    let faults: Vec<_> = faults.filter(|fault| !fault.at_edge).collect();
    assert_eq!(faults.len(), 2, "{faults:?}");
    for fault in &faults {
        chart.mark(&mut canvas, &palette, fault).unwrap();
    }
    assert_eq!(canvas.outside, 0);
    canvas
}

#[test]
fn distances_are_as_they_were_looked_at() {
    for size in [(64, 48), (128, 64), (320, 240), (960, 720)] {
        compare(
            &distance_picture(size, Palette::<Rgb565>::daylight()),
            "distance_colour",
        );
        compare(
            &distance_picture(size, in_bits(Palette::TWO_TONE)),
            "distance_two_tone",
        );
    }
}

#[test]
fn distances_of_every_size_stay_within_the_display() {
    for width in [28, 60, 97, 225, 701] {
        for height in [20, 41, 77, 203] {
            distance_picture((width, height), Palette::<Rgb565>::daylight());
        }
    }
}

/// A verdict that the error of the readings reaches over has a question mark, at every size; one that it does not has none.
/// SWR 2.30 against a limit of 2: |Γ| = 0.394, with 20 dB from 0.294 (SWR 1.83), with 40 dB from 0.384 (2.25).
#[test]
fn a_verdict_that_cannot_be_given_is_marked() {
    use ohmwright::measure::calibration::Residual;
    let sweep = sweep::<Fixed32>();
    let palette = Palette::<Rgb888>::daylight();
    for (width, height) in SIZES {
        let screen = Screen::new(
            Size::new(width, height),
            palette,
            sweep.report.start(),
            sweep.report.stop(),
        )
        .unwrap();
        let verdict = |directivity: Option<f64>| {
            let residual = directivity.map(|decibels| {
                let word = |value| Decibels::<Fixed32>::try_from_f64(value).unwrap();
                Residual::from_decibels(word(decibels), word(200.0), word(200.0)).unwrap()
            });
            let quality = sweep.quality.with_residual(residual);
            let mut canvas = Canvas::new(width, height, palette.paper);
            screen
                .draw_readouts(&mut canvas, &sweep.report, Some(&sweep.step), Some(&quality))
                .unwrap();
            let room = screen.rooms().verdict;
            let inks = canvas.places(palette.ink);
            (inks.into_iter().filter(|ink| room.contains(*ink)).count(), canvas)
        };
        let (plain, certain, doubtful) = (verdict(None), verdict(Some(40.0)), verdict(Some(20.0)));
        assert!(plain.1.pixels == certain.1.pixels, "{width} x {height}");
        assert!(plain.0 != doubtful.0, "{width} x {height}");
    }
}
