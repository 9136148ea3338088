//! Makes the measurements in `demo-data/`. All of them are invented: no station, no river and no instrument behind
//! them exists.
//!
//! The scenario is a river-gauge telemetry network. The transmit stage of its 71 MHz relay station is one field-effect
//! transistor; a transformer, a fixed coil and a trimmer capacitor bring its gate to 50 ohms. The antenna of the
//! station has two pairs of rods. The field crew speaks over a base-loaded whip near 5.3 MHz.
//!
//! Every run writes the same bytes: the noise has a fixed seed, the elementary functions come from `libm` and not from
//! the platform, and the figures are rounded far above the last bit.

// The other programs need more of these two.
#[allow(dead_code)]
#[path = "shared/input.rs"]
mod input;
#[allow(dead_code)]
#[path = "shared/output.rs"]
mod output;

use std::error::Error;
use std::f64::consts::TAU;
use std::ops::{Add, Div, Mul, Sub};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::{env, fs};

use ohmwright::measure::touchstone::{Format, FrequencyUnit, Layout, Reader, Writer, lines};
use ohmwright::quantity::{Hertz, Reflection};

const HELP: &str = "\
Makes the invented demo measurements, one-port Touchstone files.

Usage: make_demo_data [--check] [DIRECTORY]

  DIRECTORY   where the files go; demo-data beside Cargo.toml if left out
  --check     write nothing; compare the files there with what would be written,
              byte for byte, and name the first that differs
  --help      this text

Exit status: 0 done, or all files the same; 1 a file differs or cannot be read
or written; 2 the arguments make no sense.
";

fn main() -> ExitCode {
    let mut check = false;
    let mut directory = None;
    for argument in env::args_os().skip(1) {
        match argument.to_str() {
            Some("--help") => return output::finish(Ok(HELP.to_string())),
            Some("--check") => check = true,
            Some(text) if text.starts_with('-') => return misused(&format!("unknown option {text}")),
            _ if directory.is_some() => return misused("more than one directory"),
            _ => directory = Some(PathBuf::from(argument)),
        }
    }
    let directory = directory.unwrap_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data"));
    let outcome = files().map_err(|error| error.to_string()).and_then(|files| {
        if check {
            compare(&directory, &files)
        } else {
            write(&directory, &files)
        }
    });
    output::finish(outcome.map_err(|error| format!("make_demo_data: {error}")))
}

fn misused(why: &str) -> ExitCode {
    output::complain(&format!("make_demo_data: {why}; --help tells the usage"));
    ExitCode::from(2)
}

fn write(directory: &Path, files: &[DemoFile]) -> Result<String, String> {
    fs::create_dir_all(directory).map_err(|error| format!("{}: {error}", input::name(directory)))?;
    let mut said = String::new();
    for file in files {
        let path = directory.join(file.name);
        output::save(&path, file.text.as_bytes())?;
        said += &format!("wrote {}\n", output::visible(&input::name(&path)));
    }
    Ok(said)
}

fn compare(directory: &Path, files: &[DemoFile]) -> Result<String, String> {
    for file in files {
        let path = directory.join(file.name);
        if input::read(&path)? != file.text.as_bytes() {
            return Err(format!(
                "{} differs from what would be written",
                input::name(&path)
            ));
        }
    }
    Ok(format!(
        "all {} files are as they would be written\n",
        files.len()
    ))
}

// ---------------------------------------------------------------------------------------------------------------------
// The files
// ---------------------------------------------------------------------------------------------------------------------

struct DemoFile {
    name: &'static str,
    text: String,
}

/// A measurement that never took place.
struct Sweep<'a> {
    name: &'static str,
    about: &'a [&'a str],
    layout: Layout,
    frequencies: Vec<Hertz>,
    /// Γ against the frequency in hertz.
    load: &'a dyn Fn(f64) -> Complex,
    /// Standard deviation of the noise on either component of Γ.
    noise: f64,
    seed: u64,
}

fn files() -> Result<Vec<DemoFile>, Box<dyn Error>> {
    let relay_layout = Layout {
        unit: FrequencyUnit::Megahertz,
        ..Layout::default()
    };
    let relay_grid = || even_grid(60_000_000, 100_000, 201);
    let sweeps = [
        Sweep {
            name: "relay_input_before.s1p",
            about: &[
                "River-gauge relay station, 71 MHz: input of the transmit stage.",
                "Before tuning, with the trimmer too far open.",
            ],
            layout: relay_layout,
            frequencies: relay_grid(),
            load: &|hertz| relay_input(hertz, 4.6e-12),
            noise: 2e-4,
            seed: 7101,
        },
        Sweep {
            name: "relay_input_after.s1p",
            about: &[
                "River-gauge relay station, 71 MHz: input of the transmit stage.",
                "After tuning, with the trimmer further closed.",
            ],
            layout: relay_layout,
            frequencies: relay_grid(),
            load: &|hertz| relay_input(hertz, 5.5e-12),
            noise: 2e-4,
            seed: 7102,
        },
        Sweep {
            name: "field_whip.s1p",
            about: &[
                "River-gauge field crew: base-loaded whip for 5.3 MHz,",
                "measured through its 8 m of coaxial cable.",
            ],
            layout: Layout {
                unit: FrequencyUnit::Kilohertz,
                format: Format::MagnitudeAngle,
                ..Layout::default()
            },
            frequencies: even_grid(4_500_000, 5_000, 401),
            load: &field_whip,
            noise: 3e-4,
            seed: 5301,
        },
        Sweep {
            name: "relay_antenna_75.s1p",
            about: &[
                "River-gauge relay station: antenna with two pairs of rods,",
                "measured through its 12 m of 75 ohm cable, on an uneven grid.",
            ],
            layout: Layout {
                unit: FrequencyUnit::Gigahertz,
                format: Format::DecibelAngle,
                reference_ohm: 75.0,
                ..Layout::default()
            },
            frequencies: ANTENNA_GRID_KHZ
                .iter()
                .map(|khz| Hertz::new(khz * 1000))
                .collect(),
            load: &relay_antenna,
            noise: 2e-4,
            seed: 7501,
        },
    ];
    let mut files = sweeps.iter().map(Sweep::file).collect::<Result<Vec<_>, _>>()?;
    let tuned = reflections(&files[1].text)?;
    files.extend(raw_files(&tuned)?);
    Ok(files)
}

/// The tuned stage once more, as a bridge of the crew's shows it before any correction, and the three standards through
/// the same bridge: nothing connected, a short, and a resistor of 50 ohms, all taken for ideal.
///
/// The stage is that of the file of it, with its noise, and the bridge has none: so the corrected sweep must agree with
/// that file to the last digit.
fn raw_files(tuned: &[(Hertz, Complex)]) -> Result<[DemoFile; 4], Box<dyn Error>> {
    let constant = |re: f64| -> Vec<(Hertz, Complex)> {
        tuned
            .iter()
            .map(|(frequency, _)| (*frequency, ohms(re)))
            .collect()
    };
    Ok([
        raw_file(
            "relay_raw_open.s1p",
            "with nothing connected (the open).",
            &constant(1.0),
        )?,
        raw_file("relay_raw_short.s1p", "with a short connected.", &constant(-1.0))?,
        raw_file(
            "relay_raw_load.s1p",
            "with a matched load connected.",
            &constant(0.0),
        )?,
        raw_file("relay_raw_input.s1p", "with the tuned input connected.", tuned)?,
    ])
}

fn raw_file(
    name: &'static str,
    connected: &str,
    loads: &[(Hertz, Complex)],
) -> Result<DemoFile, Box<dyn Error>> {
    let layout = Layout {
        unit: FrequencyUnit::Megahertz,
        ..Layout::default()
    };
    let mut writer = Writer::new(String::new(), layout)?;
    writer.comment("INVENTED DATA. Nothing in this file was measured.")?;
    writer.comment("River-gauge relay station, 71 MHz: RAW readings of the crew's bridge,")?;
    writer.comment(connected)?;
    writer.comment("Made by the example make_demo_data. No noise of its own.")?;
    for (frequency, load) in loads {
        let raw = bridge(frequency.get() as f64, *load);
        writer.record(*frequency, Reflection::<f64>::new(raw.re, raw.im)?)?;
    }
    Ok(DemoFile {
        name,
        // As a detector of thirty bits would give it.
        text: cut_to(&writer.finish()?, 9, 9),
    })
}

/// What a file says, read back.
fn reflections(text: &str) -> Result<Vec<(Hertz, Complex)>, Box<dyn Error>> {
    let mut reader = Reader::new();
    let mut points = Vec::new();
    for line in lines(text.as_bytes()) {
        if let Some(record) = reader.line(line)? {
            let (re, im) = (
                record.reflection.real().get(),
                record.reflection.imaginary().get(),
            );
            points.push((record.frequency, Complex { re, im }));
        }
    }
    Ok(points)
}

/// Coarse where nothing happens, fine about the two dips.
const ANTENNA_GRID_KHZ: [u64; 58] = [
    60_000, 60_500, 61_000, 61_500, 62_000, 62_400, 62_800, 63_100, 63_400, 63_600, 63_800, 64_000, 64_150,
    64_300, 64_450, 64_600, 64_750, 64_900, 65_100, 65_300, 65_600, 65_900, 66_200, 66_600, 67_000, 67_500,
    68_000, 68_400, 68_800, 69_200, 69_500, 69_800, 70_000, 70_200, 70_400, 70_600, 70_800, 70_900, 71_000,
    71_100, 71_200, 71_400, 71_600, 71_800, 72_000, 72_300, 72_600, 73_000, 73_400, 73_900, 74_500, 75_200,
    76_000, 76_800, 77_600, 78_400, 79_200, 80_000,
];

fn even_grid(start_hz: u64, step_hz: u64, points: u64) -> Vec<Hertz> {
    (0..points)
        .map(|point| Hertz::new(start_hz + point * step_hz))
        .collect()
}

impl Sweep<'_> {
    fn file(&self) -> Result<DemoFile, Box<dyn Error>> {
        let mut noise = Noise(self.seed);
        let mut writer = Writer::new(String::new(), self.layout)?;
        writer.comment("INVENTED DATA. Nothing in this file was measured.")?;
        for line in self.about {
            writer.comment(line)?;
        }
        writer.comment(&format!(
            "Made by the example make_demo_data. Noise of a component of Gamma: {}",
            self.noise
        ))?;
        for &frequency in &self.frequencies {
            let gamma = (self.load)(frequency.get() as f64);
            let real = gamma.re + self.noise * noise.next();
            let imaginary = gamma.im + self.noise * noise.next();
            writer.record(frequency, Reflection::<f64>::new(real, imaginary)?)?;
        }
        Ok(DemoFile {
            name: self.name,
            text: rounded(&writer.finish()?, self.layout.format),
        })
    }
}

/// The text with the two figures of every data line cut to the decimals that such a measurement would deserve.
///
/// The writer keeps every bit it can, and a polar pair rounded beforehand would not survive the way through the two
/// components of Γ. So its text is rounded.
fn rounded(text: &str, format: Format) -> String {
    let (first, second) = match format {
        Format::DecibelAngle => (4, 4),
        Format::MagnitudeAngle => (6, 4),
        _ => (6, 6),
    };
    cut_to(text, first, second)
}

fn cut_to(text: &str, first: usize, second: usize) -> String {
    let mut result = String::new();
    for line in text.lines() {
        let tokens: Vec<&str> = line.split(' ').collect();
        match tokens[..] {
            [frequency, a, b] if !line.starts_with(['!', '#']) => {
                result += &format!("{frequency} {} {}", cut(a, first), cut(b, second));
            }
            _ => result += line,
        }
        result.push('\n');
    }
    result
}

/// A number with so many decimals, and no minus before a zero.
fn cut(number: &str, decimals: usize) -> String {
    let value: f64 = number.parse().expect("the writer writes numbers");
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(zero) if zero.bytes().all(|byte| matches!(byte, b'0' | b'.')) => zero.into(),
        _ => text,
    }
}

// ---------------------------------------------------------------------------------------------------------------------
// The circuits: every value is invented
// ---------------------------------------------------------------------------------------------------------------------

/// Γ in 50 ohms of the relay's transmit stage at its input, with so many farads in the trimmer.
///
/// From the input connector: what the connector and the board have across them, the trimmer and the coil in series, the
/// transformer of 5 : 1 turns, and the gate.
fn relay_input(hertz: f64, trimmer: f64) -> Complex {
    // Resistance, lead and capacitance in series: 1.8 - j2.5 ohm at 71 MHz.
    let gate = ohms(1.8) + inductor(1.1e-9, f64::INFINITY, hertz) + capacitor(750e-12, hertz);

    // The transformer by its mutual inductance: five turns over one, so twenty-five times the inductance; what the
    // coupling lacks to 1 is the leakage.
    let (primary, secondary, coupling, transformer_q) = (2e-6, 0.08e-6, 0.94, 250.0);
    let mutual = TAU * hertz * coupling * f64::sqrt(primary * secondary);
    let seen = ohms(mutual * mutual) / (inductor(secondary, transformer_q, hertz) + gate);
    let transformer = inductor(primary, transformer_q, hertz) + seen;

    // A moulded coil as it can be had; the trimmer takes up what coil, transformer and gate are off.
    let branch = capacitor(trimmer, hertz) + inductor(820e-9, 200.0, hertz) + transformer;
    reflection(parallel(branch, capacitor(2e-12, hertz)), 50.0)
}

/// Γ in 50 ohms of the whip at the radio's end of its cable.
fn field_whip(hertz: f64) -> Complex {
    // A rod much shorter than a quarter wave: a capacitance, little radiation, and much loss in the wet meadow that
    // serves as its ground.
    let radiation = ohms(1.1 * (hertz / 5.3e6) * (hertz / 5.3e6));
    let ground = ohms(29.0);
    let rod = capacitor(26e-12, hertz);
    let loading = inductor(35.82e-6, 190.0, hertz);
    let whip = loading + ground + radiation + rod;
    Cable {
        metres: 8.0,
        velocity: 0.66,
        decibels_per_metre: 0.04,
        at_hertz: 5.3e6,
    }
    .before(reflection(whip, 50.0), hertz)
}

/// Γ in 75 ohms of the relay's antenna at the station's end of its cable.
fn relay_antenna(hertz: f64) -> Complex {
    // Two pairs of rods on one feed, each a series circuit near its resonance: one for the gauges, one for a standby
    // channel below.
    let standby = resonator(64.1e6, 60.0, 23.0, hertz);
    let gauges = resonator(71.4e6, 64.0, 24.0, hertz);
    Cable {
        metres: 12.0,
        velocity: 0.82,
        decibels_per_metre: 0.05,
        at_hertz: 71e6,
    }
    .before(reflection(parallel(standby, gauges), 75.0), hertz)
}

/// What the bridge reads of a load: its own leak, what it reflects back, and the way there and back, each an echo or two.
fn bridge(hertz: f64, load: Complex) -> Complex {
    let echo = |size: f64, degrees: f64, nanoseconds: f64| {
        let angle = degrees.to_radians() - TAU * hertz * nanoseconds * 1e-9;
        Complex {
            re: size * libm::cos(angle),
            im: size * libm::sin(angle),
        }
    };
    let directivity = echo(0.14, 30.0, 0.3) + echo(0.04, 60.0, 1.9);
    let source_match = echo(0.09, 120.0, 0.5) + echo(0.03, 10.0, 2.2);
    let tracking = echo(0.64, 0.0, 0.9);
    directivity + tracking * load / (ohms(1.0) - source_match * load)
}

/// A cable whose characteristic resistance is the reference: it turns Γ and weakens it.
struct Cable {
    metres: f64,
    /// As a part of the speed of light.
    velocity: f64,
    /// One way, at the frequency below; it grows with the root of the frequency (skin effect).
    decibels_per_metre: f64,
    at_hertz: f64,
}

impl Cable {
    fn before(&self, gamma: Complex, hertz: f64) -> Complex {
        const LIGHT: f64 = 299_792_458.0; // metres in a second, exact (SI)
        let angle = -2.0 * TAU * hertz * self.metres / (self.velocity * LIGHT);
        let decibels = 2.0 * self.decibels_per_metre * self.metres * (hertz / self.at_hertz).sqrt();
        let size = libm::exp10(-decibels / 20.0);
        gamma
            * Complex {
                re: size * libm::cos(angle),
                im: size * libm::sin(angle),
            }
    }
}

fn ohms(re: f64) -> Complex {
    Complex { re, im: 0.0 }
}

fn inductor(henries: f64, q: f64, hertz: f64) -> Complex {
    let im = TAU * hertz * henries;
    Complex { re: im / q, im }
}

fn capacitor(farads: f64, hertz: f64) -> Complex {
    Complex {
        re: 0.0,
        im: -1.0 / (TAU * hertz * farads),
    }
}

/// A series circuit of this resonance, resistance and Q.
fn resonator(resonance: f64, resistance: f64, q: f64, hertz: f64) -> Complex {
    Complex {
        re: resistance,
        im: resistance * q * (hertz / resonance - resonance / hertz),
    }
}

fn parallel(a: Complex, b: Complex) -> Complex {
    a * b / (a + b)
}

fn reflection(impedance: Complex, reference: f64) -> Complex {
    (impedance - ohms(reference)) / (impedance + ohms(reference))
}

#[derive(Clone, Copy)]
struct Complex {
    re: f64,
    im: f64,
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            re: self.re + other.re,
            im: self.im + other.im,
        }
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            re: self.re - other.re,
            im: self.im - other.im,
        }
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self {
            re: self.re * other.re - self.im * other.im,
            im: self.re * other.im + self.im * other.re,
        }
    }
}

impl Div for Complex {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let power = other.re * other.re + other.im * other.im;
        Self {
            re: (self.re * other.re + self.im * other.im) / power,
            im: (self.im * other.re - self.re * other.im) / power,
        }
    }
}

// ---------------------------------------------------------------------------------------------------------------------
// The noise
// ---------------------------------------------------------------------------------------------------------------------

/// Noise of mean 0 and standard deviation 1, the same on every machine.
struct Noise(u64);

impl Noise {
    /// Nearly normal: twelve uniform numbers, each of variance 1/12, added up (Irwin-Hall). No function that could
    /// round differently elsewhere is involved.
    fn next(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }

    /// Between 0 and 1. The generator is SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number
    /// generators", OOPSLA 2014), constants from memory; any other would do.
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        bits ^= bits >> 31;
        (bits >> 11) as f64 / (1_u64 << 53) as f64
    }
}
