//! What the command line may say.

use std::ffi::OsString;
use std::path::PathBuf;

use lexopt::prelude::*;
use ohmwright::measure::{Reading, TuningElement};

use super::built;
use super::coil::Coil;
use super::input::{self, file, number, plain, positive, text};
use super::learnt;
use super::line;
use super::numbers::Numbers;
use super::picture::Wanted;
use super::readings;
use super::uncertain::Left;

pub const HELP: &str = "\
Reads measured one-port sweeps (Touchstone .s1p) and says whether each matches, what to do next and what to expect of
it; then where it matches, how well, over what band, and what else could be done. Without a file it tells the demo
scenario's story.

    sweep_report [options] [FILE.s1p ...]

Several files are compared in the order given, before and after.

  --target HERTZ      the frequency that matters; units are understood (71M, 71MHz, 5300k)
  --swr-limit S       a match is good enough at this SWR (2 unless given)
  --reference OHMS    the resistance to match; the file's own reference unless given
  --arithmetic NAME   fixed32, fixed16, f32 or f64: the numbers to compute in (fixed32 unless given)
  --open FILE         raw sweeps of the three standards, read through the same fixture as the files; given together.
  --short FILE        The files are then raw too, and corrected first. The standards are taken for ideal: reflection
  --load FILE         coefficients of 1, -1 and 0. Every frequency of the files must be one of the standards'.
  --tuning NAME       what can be moved: inductance, capacitance, turns or length (inductance unless given)
  --element LEAST,MOST
                      by what factor it can be changed (0.5,2 unless given)
  --moved FACTOR      two files, before and after what --tuning names was moved: by this factor, new value over old, 0.1
                      to 10. Tells how much of the whole was in it (leads and strays do not move) and the next factor.
                      Without it, two files and a target tell what the dips say of the whole
  --coil DIAMETER,TURNS,LENGTH,WIRE
                      the coil to be stretched or compressed, as it is at the last sweep, in millimetres: mean diameter,
                      turns, length of the winding, thickness of the wire. Its new length is told, or other turns
  --winding P:S       the transformer that the load is measured through, primary towards the instrument: advice then
                      changes its turns; without, a further transformer is meant
  --most-turns N      the largest winding to consider for a transformer, 1 to 255 (12 unless given), or P:S for each by
                      itself: a secondary of tube or braid is one turn, 12:1
  --prominence P      how far |reflection coefficient| must rise beside a dip for it to count (0.01 unless given)
  --noise N           the noise of the real or the imaginary part of the reflection coefficient, as a standard deviation
                      (0.01 unless given): what it explains is no finding; at 0 every point is taken as it stands
  --residual DB[,DB[,DB]]
                      what the calibration of the instrument left: residual directivity, source match and tracking, in
                      positive dB, as its data sheet states them. With the noise of the sweep it tells between which
                      values the SWR lies
  --mask LOW,HIGH,S   an SWR limit for a stretch of frequency; may be given several times
  --predicted FILE    a one-port sweep that was predicted: how far the measured one is from it, and whether a wrong
                      ratio, leakage inductance or line length explains that. Between its points the prediction is
                      taken in straight lines; measured points beyond its ends are left out
  --cable METRES,VELOCITY[,OHMS[,DB]]
                      takes a cable between the instrument and the load out of the readings: its length, velocity
                      factor, impedance (that of the file unless given) and loss one way, all of it, at the target (at
                      the middle of the sweep without one; DB@HERTZ for another). The loss grows with the root of the
                      frequency
  --cable-end NAME    measures the cable that the sweep shows, by what is at its far end: open, short or load
  --velocity F        its velocity factor: for its length in metres, and to search the sweep for what reflects, and how
                      far away. Take a cable off the transmitter before you measure it
  --reading NAME=VALUE  something read by eye elsewhere, to be held against the other readings; several times. Without a
                      file the readings alone are told. Names: swr, return-loss (a minus sign is left out),
                      mismatch-loss, reflected-percent, magnitude (of the reflection coefficient),
                      impedance-magnitude, series-resistance (R of R + jX), resistance (a pure one, X is 0),
                      impedance (as R,X or R+jX), powers (as FORWARD,REFLECTED)
  --picture FILE.png  what the screen of an instrument would show, as a picture; of several files one each,
                      FILE-1.png, FILE-2.png and so on
  --picture-size WxH  its pixels (320x240 unless given, 64x48 at least, 16 million at most); from 640 on each is drawn
                      as four
  --two-tone          the picture in two colours
  --explain           says what each term means where it first appears
  --json              one JSON object: frequencies in hertz, impedances in ohms, losses in positive dB, null where a
                      value is infinite or does not exist; for several files the object describes the last one,
                      and holds all of them under `sweeps`
  --help              this text

Exit status 0, or 1 with one line on standard error that names file, line and cause.
";

/// What was asked for.
pub enum Request {
    Help,
    Report(Box<Options>),
}

/// One stretch of a mask.
#[derive(Clone, Copy, Debug)]
pub struct MaskStretch {
    pub low_hz: u64,
    pub high_hz: u64,
    pub swr_limit: f64,
}

/// Everything the command line says.
pub struct Options {
    pub files: Vec<PathBuf>,
    pub json: bool,
    pub target_hz: Option<u64>,
    pub swr_limit: f64,
    pub reference_ohm: Option<f64>,
    pub numbers: Numbers,
    pub tuning: Option<TuningElement>,
    pub built: built::Asked,
    /// Terms are explained.
    pub explain: bool,
    pub prominence: f64,
    /// The library's own where none is given.
    pub noise: Option<f64>,
    /// What the calibration left.
    pub residual: Option<Left>,
    pub mask: Vec<MaskStretch>,
    /// The raw sweeps of open, short and load.
    pub standards: Option<[PathBuf; 3]>,
    pub predicted: Option<PathBuf>,
    pub picture: Option<Wanted>,
    /// Cables, and distances on them.
    pub line: line::Asked,
    /// What was moved between two sweeps, and the coil.
    pub learnt: learnt::Asked,
    pub readings: Vec<(String, Reading)>,
}

pub fn parse(arguments: impl IntoIterator<Item = OsString>) -> Result<Request, String> {
    let mut options = Options {
        files: Vec::new(),
        json: false,
        target_hz: None,
        swr_limit: 2.0,
        reference_ohm: None,
        numbers: Numbers::Fixed32,
        tuning: None,
        built: built::Asked::default(),
        explain: false,
        prominence: 0.01,
        noise: None,
        residual: None,
        mask: Vec::new(),
        standards: None,
        predicted: None,
        picture: None,
        line: line::Asked::default(),
        learnt: learnt::Asked::default(),
        readings: Vec::new(),
    };
    let mut standards = [const { None::<PathBuf> }; 3];
    let (mut picture, mut picture_size, mut two_tone) = (None::<PathBuf>, None, false);
    let mut parser = lexopt::Parser::from_iter(arguments);
    while let Some(argument) = parser.next().map_err(plain)? {
        match argument {
            Short('h') | Long("help") => return Ok(Request::Help),
            Long("json") => options.json = true,
            Long("target") => options.target_hz = Some(frequency("--target", &text(&mut parser)?)?),
            Long("swr-limit") => options.swr_limit = at_least_one("--swr-limit", &text(&mut parser)?)?,
            Long("reference") => options.reference_ohm = Some(positive("--reference", &text(&mut parser)?)?),
            Long("arithmetic") => options.numbers = Numbers::parse(&text(&mut parser)?)?,
            Long("tuning") => {
                options.tuning = Some(match text(&mut parser)?.as_str() {
                    "inductance" => TuningElement::Inductance,
                    "capacitance" => TuningElement::Capacitance,
                    "turns" => TuningElement::Turns,
                    "length" => TuningElement::Length,
                    other => {
                        return Err(format!(
                            "--tuning: {other:?} is none of inductance, capacitance, turns, length"
                        ));
                    }
                })
            }
            Long("most-turns") => options.built.most = Some(built::most_turns(&text(&mut parser)?)?),
            Long("winding") => options.built.winding = Some(built::turns("--winding", &text(&mut parser)?)?),
            Long("element") => options.built.factors = built::factors(&text(&mut parser)?)?,
            Long("explain") => options.explain = true,
            Long("prominence") => {
                let given = text(&mut parser)?;
                options.prominence = match number("--prominence", &given)? {
                    value if (0.0..1.0).contains(&value) => value,
                    _ => return Err(format!("--prominence: {given} is not between 0 and 1")),
                };
            }
            Long("noise") => {
                let given = text(&mut parser)?;
                options.noise = match number("--noise", &given)? {
                    value if value >= 0.0 => Some(value),
                    _ => return Err(format!("--noise: {given} is below 0")),
                };
            }
            Long("residual") => options.residual = Some(Left::parse(&text(&mut parser)?)?),
            Long("open") => standards[0] = Some(file(&mut parser)?),
            Long("short") => standards[1] = Some(file(&mut parser)?),
            Long("load") => standards[2] = Some(file(&mut parser)?),
            Long("mask") => options.mask.push(stretch(&text(&mut parser)?)?),
            Long("predicted") => options.predicted = Some(file(&mut parser)?),
            Long("cable") => options.line.taken_out = Some(line::TakenOut::parse(&text(&mut parser)?)?),
            Long("cable-end") => options.line.end = Some(line::end(&text(&mut parser)?)?),
            Long("velocity") => {
                options.line.velocity = Some(line::velocity("--velocity", &text(&mut parser)?)?);
            }
            Long("moved") => options.learnt.moved = Some(learnt::moved(&text(&mut parser)?)?),
            Long("coil") => options.learnt.coil = Some(Coil::parse(&text(&mut parser)?)?),
            Long("picture") => picture = Some(file(&mut parser)?),
            Long("picture-size") => picture_size = Some(pixels(&text(&mut parser)?)?),
            Long("two-tone") => two_tone = true,
            Long("reading") => {
                let given = text(&mut parser)?;
                let reading = readings::parse(&given)?;
                options.readings.push((given, reading));
            }
            Value(file) => options.files.push(file.into()),
            other => return Err(plain(other.unexpected())),
        }
    }
    options.built.check()?;
    options.standards = match standards {
        [None, None, None] => None,
        [Some(open), Some(short), Some(load)] => Some([open, short, load]),
        _ => return Err("--open, --short and --load are only good together".into()),
    };
    if options.standards.is_some() && options.files.is_empty() {
        return Err("--open, --short and --load need a raw sweep to correct: name its file".into());
    }
    if options.predicted.is_some() && options.files.is_empty() {
        return Err("--predicted needs a measured sweep to be held against: name its file".into());
    }
    options.learnt.check(options.files.len(), options.tuning)?;
    if options.only_readings() {
        for (given, option) in [
            (picture.is_some(), "--picture"),
            (!options.mask.is_empty(), "--mask"),
            (options.target_hz.is_some(), "--target"),
            (options.built.winding.is_some(), "--winding"),
            (options.line.taken_out.is_some(), "--cable"),
            (options.line.end.is_some(), "--cable-end"),
            (options.line.velocity.is_some(), "--velocity"),
        ] {
            if given {
                return Err(format!(
                    "{option} needs a sweep beside the --reading: name its file"
                ));
            }
        }
    }
    options.picture = match picture {
        Some(file) => Some(Wanted {
            file,
            size: picture_size.unwrap_or((320, 240)),
            two_tone,
        }),
        None if picture_size.is_some() || two_tone => {
            return Err("--picture-size and --two-tone need a --picture: name its file".into());
        }
        None => None,
    };
    Ok(Request::Report(Box::new(options)))
}

impl Options {
    /// Whether readings are all that is given: nothing is measured, and no demo told.
    pub fn only_readings(&self) -> bool {
        self.files.is_empty() && !self.readings.is_empty()
    }
}

fn at_least_one(name: &str, given: &str) -> Result<f64, String> {
    match number(name, given)? {
        value if value >= 1.0 => Ok(value),
        _ => Err(format!(
            "{name}: an SWR of {given} does not exist, 1 is the least"
        )),
    }
}

/// Hertz with an optional unit, to the nearest hertz.
fn frequency(name: &str, given: &str) -> Result<u64, String> {
    let hertz = input::hertz(name, given)?;
    if (0.0..1e18).contains(&hertz) {
        Ok(hertz.round() as u64)
    } else {
        Err(format!("{name}: {given} is out of range"))
    }
}

/// More would take memory without end, and show no more.
const MOST_PIXELS: u64 = 16_000_000;

/// Pixels, as WxH.
fn pixels(given: &str) -> Result<(u32, u32), String> {
    let size = given.split_once('x').and_then(|(width, height)| {
        let size: (u32, u32) = (width.parse().ok()?, height.parse().ok()?);
        Some(size)
    });
    let (width, height) =
        size.ok_or_else(|| format!("--picture-size: {given:?} is not WxH, as in 320x240"))?;
    // What the library says of a screen, before it is asked: this belongs to the option.
    if width < 48 || height < 48 {
        return Err(format!("--picture-size: {given} is smaller than 48 by 48 pixels"));
    }
    if width > 16384 || height > 16384 {
        return Err(format!("--picture-size: {given} is larger than 16384 on a side"));
    }
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(format!(
            "--picture-size: {given} is more than {} million pixels",
            MOST_PIXELS / 1_000_000
        ));
    }
    Ok((width, height))
}

fn stretch(given: &str) -> Result<MaskStretch, String> {
    let parts: Vec<&str> = given.split(',').collect();
    let [low, high, limit] = parts[..] else {
        return Err(format!("--mask: {given:?} is not LOW,HIGH,S"));
    };
    let stretch = MaskStretch {
        low_hz: frequency("--mask", low)?,
        high_hz: frequency("--mask", high)?,
        swr_limit: at_least_one("--mask", limit)?,
    };
    if stretch.low_hz > stretch.high_hz {
        return Err(format!("--mask: {given} ends below its beginning"));
    }
    Ok(stretch)
}
