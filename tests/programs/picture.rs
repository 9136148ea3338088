//! `sweep_report --picture`: the file holds, pixel for pixel, what the library draws on a screen of that size; and the
//! pictures in `demo-data/pictures`, which the READMEs show, are those that the program writes today
//! (`OHMWRIGHT_REWRITE=1 cargo test --test programs picture` writes them anew; look at each).

use std::convert::Infallible;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Size};
use embedded_graphics::pixelcolor::{Rgb888, RgbColor};
use ohmwright::fixed_point::{Built, NextStep, Reflection, SweepAnalyser, SweepSettings, SweepSurvey};
use ohmwright::measure::TuningElement;
use ohmwright::measure::touchstone::{Reader, lines};
use ohmwright::quantity::Hertz;
use ohmwright::show::chart::{Doubled, Palette, Screen};

/// Name of the sweep, size, whether in two colours.
type Wanted = (&'static str, (u32, u32), bool);

/// What the READMEs show, all of it with the target at 71 MHz and the trimmer as what can be moved.
const SHOWN: [Wanted; 4] = [
    ("relay_input_before", (960, 720), false),
    ("relay_input_after", (960, 720), false),
    ("relay_input_before", (320, 240), false),
    ("relay_input_before", (128, 64), true),
];

struct Canvas {
    size: Size,
    pixels: Vec<Rgb888>,
}

impl OriginDimensions for Canvas {
    fn size(&self) -> Size {
        self.size
    }
}

impl DrawTarget for Canvas {
    type Color = Rgb888;
    type Error = Infallible;

    fn draw_iter<I: IntoIterator<Item = Pixel<Rgb888>>>(&mut self, pixels: I) -> Result<(), Infallible> {
        for Pixel(point, colour) in pixels {
            // What lies outside is a fault of the layout, and stops here.
            assert!(point.x >= 0 && point.y >= 0, "{point:?}");
            assert!(
                (point.x as u32) < self.size.width && (point.y as u32) < self.size.height,
                "{point:?}"
            );
            self.pixels[point.y as usize * self.size.width as usize + point.x as usize] = colour;
        }
        Ok(())
    }
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sweep_report() -> Command {
    // target/<profile>/deps/this_test → target/<profile>/examples/sweep_report
    let test = std::env::current_exe().unwrap();
    let path = test.parent().unwrap().parent().unwrap();
    let path = path.join("examples/sweep_report");
    assert!(path.exists(), "build it with `cargo build --examples`");
    let mut command = Command::new(path);
    command.current_dir(root());
    command
}

/// A file of this test's own.
fn scratch(name: &str) -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(name)
}

fn write_picture(path: &Path, (name, (width, height), two_tone): Wanted) -> Output {
    let mut command = sweep_report();
    command
        .args(["--target", "71M", "--tuning", "capacitance", "--picture"])
        .arg(path)
        .args(["--picture-size", &format!("{width}x{height}")])
        .args(two_tone.then_some("--two-tone"))
        .arg(format!("demo-data/{name}.s1p"));
    command.output().unwrap()
}

/// The picture by the library alone.
fn drawn((name, (width, height), two_tone): Wanted) -> Vec<u8> {
    let file = format!("{name}.s1p");
    let bytes = std::fs::read(root().join("demo-data").join(&file)).unwrap();
    let mut reader = Reader::new();
    let target = Hertz::from_megahertz(71);
    let mut analyser = SweepAnalyser::<64>::new(SweepSettings {
        target: Some(target),
        ..Default::default()
    })
    .unwrap();
    let mut survey = SweepSurvey::new();
    let mut points = Vec::new();
    for line in lines(&bytes) {
        if let Some(record) = reader.line(line).unwrap() {
            let gamma = record.reflection;
            let gamma = Reflection::try_from_f64(gamma.real().get(), gamma.imaginary().get()).unwrap();
            analyser.push(record.frequency, gamma).unwrap();
            survey.push(record.frequency, gamma).unwrap();
            points.push((record.frequency, gamma));
        }
    }
    let report = analyser.report();
    let step = NextStep::new(&report, &survey, &Built::new(TuningElement::Capacitance)).unwrap();
    let quality = survey.quality(&report);
    let palette = if two_tone {
        Palette::TWO_TONE.map(Rgb888::from)
    } else {
        Palette::daylight()
    };
    let mut canvas = Canvas {
        size: Size::new(width, height),
        pixels: vec![palette.paper; (width * height) as usize],
    };
    let doubled = width >= 640;
    let size = if doubled { canvas.size / 2 } else { canvas.size };
    let mut screen = Screen::new(size, palette, report.start(), report.stop()).unwrap();
    macro_rules! show_on {
        ($display:expr) => {{
            screen.draw_frame($display, &file, &report).unwrap();
            for (frequency, gamma) in &points {
                screen.trace_to($display, *frequency, *gamma).unwrap();
            }
            screen
                .draw_report($display, &report, Some(&step), Some(&quality))
                .unwrap();
        }};
    }
    if doubled {
        show_on!(&mut Doubled(&mut canvas));
    } else {
        show_on!(&mut canvas);
    }
    let parts = canvas
        .pixels
        .iter()
        .flat_map(|pixel| [pixel.r(), pixel.g(), pixel.b()]);
    parts.collect()
}

/// Size and pixels of a file.
fn read(path: &Path) -> ((u32, u32), Vec<u8>) {
    let file = std::fs::File::open(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut reader = png::Decoder::new(std::io::BufReader::new(file))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    ((info.width, info.height), pixels)
}

#[test]
fn the_pictures_shown_are_what_the_program_writes_and_the_library_draws() {
    for wanted in SHOWN {
        let (name, (width, height), _) = wanted;
        let file = format!("{name}_{width}x{height}.png");
        let kept = root().join("demo-data/pictures").join(&file);
        let path = if std::env::var_os("OHMWRIGHT_REWRITE").is_some() {
            kept.clone()
        } else {
            scratch(&file)
        };
        let output = write_picture(&path, wanted);
        assert!(output.status.success(), "{output:?}");
        let said = String::from_utf8(output.stdout).unwrap();
        let last = said.lines().last().unwrap();
        assert!(
            last.starts_with("Picture") && last.contains(path.to_str().unwrap()),
            "{last}"
        );
        let (size, pixels) = read(&path);
        assert_eq!(size, (width, height));
        assert!(pixels == drawn(wanted), "{file} is not what the library draws");
        assert!(
            read(&kept) == (size, pixels),
            "{file} is out of date: look at the new one, then keep it"
        );
        let shows = |readme: &str, link: String| {
            let text = std::fs::read_to_string(root().join(readme)).unwrap();
            text.contains(&format!("]({link})"))
        };
        assert!(
            shows("README.md", format!("demo-data/pictures/{file}"))
                || shows("demo-data/README.md", format!("pictures/{file}")),
            "no README shows {file}"
        );
    }
}

/// A control: another sweep, another size or other colours make another picture.
#[test]
fn pictures_differ() {
    let same = drawn(SHOWN[2]);
    assert!(same != drawn(("relay_input_after", (320, 240), false)));
    assert!(same != drawn(("relay_input_before", (320, 240), true)));
    assert_ne!(same.len(), drawn(SHOWN[3]).len());
}

/// Of several sweeps one picture each, and the size that is taken where none is given.
#[test]
fn the_demo_makes_a_picture_of_each_sweep() {
    let output = sweep_report()
        .args(["--json", "--picture"])
        .arg(scratch("demo.png"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    // With --json there is one object and nothing else.
    serde_json::from_slice::<serde_json::Value>(&output.stdout).unwrap();
    for place in 1..=4 {
        let (size, _) = read(&scratch(&format!("demo-{place}.png")));
        assert_eq!(size, (320, 240));
    }
    let (_, first) = read(&scratch("demo-1.png"));
    assert!(first == drawn(SHOWN[2]));
}

#[test]
fn what_cannot_be_drawn_or_written_is_refused_in_one_line() {
    let sweep = "demo-data/relay_input_before.s1p";
    let nowhere = scratch("no/such/folder/picture.png");
    let nowhere = nowhere.to_str().unwrap();
    let unwritten = scratch("unwritten.png");
    let file = unwritten.to_str().unwrap();
    let one_point = scratch("one_point.s1p");
    std::fs::write(&one_point, "# MHz S RI R 50\n71 0.1 0.2\n").unwrap();
    let cases: [(&[&str], &str); 8] = [
        (&["--picture", nowhere, sweep], nowhere),
        (&["--picture", file, "--picture-size", "47x48", sweep], "48 by 48"),
        (&["--picture", file, "--picture-size", "48x47", sweep], "48 by 48"),
        (&["--picture", file, "--picture-size", "20000x48", sweep], "16384"),
        (&["--picture", file, "--picture-size", "320", sweep], "WxH"),
        (&["--picture", file, "--picture-size", "320x-240", sweep], "WxH"),
        (&["--picture-size", "320x240", sweep], "need a --picture"),
        (&["--picture", file, one_point.to_str().unwrap()], "one_point.s1p"),
    ];
    for (arguments, cause) in cases {
        let output = sweep_report().args(arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(1), "{arguments:?}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(said.trim_end().lines().count(), 1, "{said}");
        assert!(said.contains(cause), "{said}");
    }
    assert!(!unwritten.exists());
    // The smallest screen there is.
    let output = sweep_report()
        .args(["--picture", scratch("small.png").to_str().unwrap()])
        .args(["--picture-size", "48x48", sweep])
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    assert_eq!(read(&scratch("small.png")).0, (48, 48));
}
