//! What the command line may say.

use std::ffi::OsString;
use std::path::PathBuf;

use lexopt::prelude::*;
use ohmwright::design::preferred::{PreferredSeries, Tolerance};
use ohmwright::measure::touchstone::{REFERENCE_OHM_MAX, REFERENCE_OHM_MIN};

use super::input::{self, file, number, plain, positive, text, within};
use super::loads::NO_LOAD;

pub const HELP: &str = "\
Ways to match a load to a source: two, three and more elements, transformers of whole turns, pieces of line; with parts
as they can be had, what each must bear, and ranked by the worst SWR that the parts may bring. Without arguments it tells
the demo scenario's story.

    match_plan --load R,X --frequency HERTZ [options]

  --load R,X          the load in ohms, also as R+jX; X above zero is inductive. At other frequencies it is taken as R in
                      series with the coil or the capacitor that has this X
  --loads FILE.csv    instead of --load: a table with the header frequency_hz,resistance_ohm,reactance_ohm and rising
                      frequencies; between its rows R and X are drawn as straight lines, beyond them nothing is known
  --frequency HERTZ   where the match is made; units are understood (71M, 71MHz, 5300k)
  --from HERTZ        the lowest frequency at which the match matters; the frequency itself unless given
  --to HERTZ          the highest
  --source OHMS       the resistance to be matched (50 unless given)
  --power WATTS       what goes into the network; the parts must bear it (1 unless given)
  --swr-limit S       where a plan's bandwidth ends (2 unless given)
  --preferred SERIES  take parts from E6, E12, E24, E48, E96 or E192 (IEC 60063); any value unless given
  --wound-coils       coils of any value, wound for it, whatever the series of the capacitors
  --tolerance PERCENT of coils and capacitors; unless given what is usual for the series, and none without one
  --coil-q Q          the unloaded Q of coils, or none for coils without loss (200 unless given: common practice for air-
                      wound coils, no source)
  --capacitor-q Q     the same of capacitors (none unless given)
  --capacitor-volts V the peak voltage that the capacitors stand: a plan beyond it is flagged
  --coil-amperes A    the peak current that the coils stand
  --q Q               the Q of pi and T networks; a quarter above the least, and at least 2, unless given
  --most-turns N      the largest winding of a transformer, 0 for none (12 unless given)
  --velocity-factor F of line, for quarter waves and stubs (0.66 unless given)
  --line-ohms LOW,HIGH  the impedances that line can be had in (20,300 unless given)
  --stubs             look at stubs, too
  --any-part          parts of any value and lines of any impedance, without loss and tolerance of lines; unless given, a
                      plan with a part that is not usual at the frequency comes last, a line has an impedance that can be
                      bought, 2 % of tolerance, and 10 dB per 100 m at 100 MHz (common practice, no source)
  --plans N           how many to tell, 1 to 64 (6 unless given)
  --predict FILE.s1p  write the sweep that the best plan should show, as Touchstone, so that a measured one can be held
                      against it (sweep_report --predicted FILE.s1p measured.s1p): over the band, or 10 % to each
                      side
  --json              one JSON object: frequencies in hertz, impedances in ohms, losses in positive dB, null where a value
                      is infinite or does not exist
  --help              this text

Exit status 0, or 1 with one line on standard error that names file, line and cause.
";

/// What was asked for.
pub enum Request {
    Help,
    Demo(Options),
    Plan(Options),
}

/// Everything the command line says.
#[derive(Clone)]
pub struct Options {
    pub json: bool,
    pub load: Option<(f64, f64)>,
    pub loads: Option<PathBuf>,
    pub frequency_hz: u64,
    pub low_hz: Option<u64>,
    pub high_hz: Option<u64>,
    pub source_ohm: f64,
    pub power_w: f64,
    pub swr_limit: f64,
    pub preferred: Option<PreferredSeries>,
    pub wound_coils: bool,
    pub tolerance: Option<f64>,
    pub coil_q: Option<f64>,
    pub capacitor_q: Option<f64>,
    pub capacitor_volts: Option<f64>,
    pub coil_amperes: Option<f64>,
    pub q: Option<f64>,
    pub most_turns: u8,
    pub velocity_factor: f64,
    pub line_ohms: (f64, f64),
    pub stubs: bool,
    pub any_part: bool,
    pub plans: usize,
    pub predict: Option<PathBuf>,
}

impl Options {
    fn new() -> Self {
        Self {
            json: false,
            load: None,
            loads: None,
            frequency_hz: 0,
            low_hz: None,
            high_hz: None,
            source_ohm: 50.0,
            power_w: 1.0,
            swr_limit: 2.0,
            preferred: None,
            wound_coils: false,
            tolerance: None,
            coil_q: Some(200.0),
            capacitor_q: None,
            capacitor_volts: None,
            coil_amperes: None,
            q: None,
            most_turns: 12,
            velocity_factor: 0.66,
            line_ohms: (20.0, 300.0),
            stubs: false,
            any_part: false,
            plans: 6,
            predict: None,
        }
    }

    /// As a fraction: what was given, or what is usual for the series.
    pub fn tolerance(&self) -> f64 {
        self.tolerance.unwrap_or(match self.preferred {
            None => 0.0,
            Some(PreferredSeries::E6) => 0.2,
            Some(PreferredSeries::E12) => 0.1,
            Some(PreferredSeries::E24) => 0.05,
            Some(PreferredSeries::E48) => 0.02,
            Some(PreferredSeries::E96) => 0.01,
            Some(PreferredSeries::E192) => 0.005,
        })
    }
}

/// The chapters of the demo scenario; all of it invented.
pub fn demo(asked: &Options) -> Vec<(&'static str, Options)> {
    let relay = Options {
        json: asked.json,
        load: Some((1.8, -2.5)),
        frequency_hz: 71_000_000,
        low_hz: Some(70_900_000),
        high_hz: Some(71_100_000),
        power_w: 4.0,
        preferred: Some(PreferredSeries::E24),
        wound_coils: true,
        plans: 4,
        ..Options::new()
    };
    let whip = Options {
        load: Some((30.0, -1155.0)),
        frequency_hz: 5_300_000,
        low_hz: Some(5_295_000),
        high_hz: Some(5_305_000),
        power_w: 100.0,
        preferred: Some(PreferredSeries::E24),
        wound_coils: true,
        tolerance: Some(0.02),
        capacitor_volts: Some(500.0),
        plans: 4,
        ..Options::new()
    };
    vec![
        ("The relay station's transmit stage", relay),
        ("The crew's whip", whip),
    ]
}

pub fn parse(arguments: impl IntoIterator<Item = OsString>) -> Result<Request, String> {
    let mut options = Options::new();
    let mut parser = lexopt::Parser::from_iter(arguments);
    let mut is_demo = true;
    while let Some(argument) = parser.next().map_err(plain)? {
        is_demo &= matches!(argument, Long("json"));
        match argument {
            Short('h') | Long("help") => return Ok(Request::Help),
            Long("json") => options.json = true,
            Long("load") => options.load = Some(impedance(&text(&mut parser)?)?),
            Long("loads") => options.loads = Some(file(&mut parser)?),
            Long("frequency") => options.frequency_hz = frequency("--frequency", &text(&mut parser)?)?,
            Long("from") => options.low_hz = Some(frequency("--from", &text(&mut parser)?)?),
            Long("to") => options.high_hz = Some(frequency("--to", &text(&mut parser)?)?),
            Long("source") => options.source_ohm = source(&text(&mut parser)?)?,
            Long("power") => options.power_w = positive("--power", &text(&mut parser)?)?,
            Long("swr-limit") => options.swr_limit = above_one("--swr-limit", &text(&mut parser)?)?,
            Long("preferred") => options.preferred = Some(series(&text(&mut parser)?)?),
            Long("wound-coils") => options.wound_coils = true,
            Long("tolerance") => options.tolerance = Some(percent(&text(&mut parser)?)?),
            Long("coil-q") => options.coil_q = quality("--coil-q", &text(&mut parser)?)?,
            Long("capacitor-q") => options.capacitor_q = quality("--capacitor-q", &text(&mut parser)?)?,
            Long("capacitor-volts") => {
                options.capacitor_volts = Some(positive("--capacitor-volts", &text(&mut parser)?)?);
            }
            Long("coil-amperes") => {
                options.coil_amperes = Some(positive("--coil-amperes", &text(&mut parser)?)?);
            }
            Long("q") => options.q = Some(positive("--q", &text(&mut parser)?)?),
            Long("most-turns") => {
                let given = text(&mut parser)?;
                options.most_turns = given
                    .parse()
                    .map_err(|_| format!("--most-turns: {given:?} is no whole number from 0 to 255"))?;
            }
            Long("velocity-factor") => {
                let given = text(&mut parser)?;
                options.velocity_factor = match positive("--velocity-factor", &given)? {
                    value if value <= 1.0 => value,
                    _ => return Err(format!("--velocity-factor: {given} is above 1")),
                };
            }
            Long("line-ohms") => {
                let given = text(&mut parser)?;
                let (low, high) = given
                    .split_once(',')
                    .ok_or_else(|| format!("--line-ohms: {given:?} is not LOW,HIGH"))?;
                options.line_ohms = (positive("--line-ohms", low)?, positive("--line-ohms", high)?);
                if options.line_ohms.0 > options.line_ohms.1 {
                    return Err(format!("--line-ohms: {given} ends below its beginning"));
                }
            }
            Long("stubs") => options.stubs = true,
            Long("any-part") => options.any_part = true,
            Long("plans") => {
                let given = text(&mut parser)?;
                options.plans = match given.parse() {
                    Ok(plans @ 1..=64) => plans,
                    _ => return Err(format!("--plans: {given:?} is no whole number from 1 to 64")),
                };
            }
            Long("predict") => options.predict = Some(file(&mut parser)?),
            other => return Err(plain(other.unexpected())),
        }
    }
    if is_demo {
        return Ok(Request::Demo(options));
    }
    if options.frequency_hz == 0 {
        return Err("--frequency: give the frequency of the match, above zero".into());
    }
    match (&options.load, &options.loads) {
        (None, None) => return Err(NO_LOAD.into()),
        (Some(_), Some(_)) => return Err("--load: --loads gives the load already".into()),
        _ => {}
    }
    let f = options.frequency_hz;
    if options.low_hz.is_some_and(|low| low == 0 || low > f) {
        return Err("--from: the band must begin above zero, and not above --frequency".into());
    }
    if options.high_hz.is_some_and(|high| high < f) {
        return Err("--to: the band must not end below --frequency".into());
    }
    Ok(Request::Plan(options))
}

fn above_one(name: &str, given: &str) -> Result<f64, String> {
    match number(name, given)? {
        value if value > 1.0 && value <= 1e6 => Ok(value),
        value if value > 1e6 => Err(format!("{name}: {given} is above 1e6: no limit at all")),
        _ => Err(format!("{name}: {given} must be above 1")),
    }
}

/// No part of a load is larger, in ohms.
const MOST_OHMS: f64 = 1e9;

fn impedance(given: &str) -> Result<(f64, f64), String> {
    let (r, x) = input::impedance("--load", given)?;
    let ohms = |part: &str| within("--load", part, -MOST_OHMS, MOST_OHMS);
    Ok((ohms(&r)?, ohms(&x)?))
}

fn series(given: &str) -> Result<PreferredSeries, String> {
    PreferredSeries::ALL
        .into_iter()
        .find(|series| series.to_string() == given)
        .ok_or_else(|| format!("--preferred: {given:?} is none of E6, E12, E24, E48, E96, E192"))
}

fn percent(given: &str) -> Result<f64, String> {
    let fraction = number("--tolerance", given)? / 100.0;
    Tolerance::new(fraction)
        .map(|_| fraction)
        .map_err(|error| format!("--tolerance: {given} %: {error}"))
}

fn quality(name: &str, given: &str) -> Result<Option<f64>, String> {
    if given == "none" {
        return Ok(None);
    }
    positive(name, given).map(Some)
}

/// As far as a Touchstone file can say it, which may be asked for.
fn source(given: &str) -> Result<f64, String> {
    positive("--source", given)?;
    within("--source", given, REFERENCE_OHM_MIN, REFERENCE_OHM_MAX)
}

/// Hertz with an optional unit, to the nearest hertz.
fn frequency(name: &str, given: &str) -> Result<u64, String> {
    let hertz = input::hertz(name, given)?;
    if (0.5..1e15).contains(&hertz) {
        Ok(hertz.round() as u64)
    } else {
        Err(format!(
            "{name}: {given} must be greater than zero and below 1e15 Hz"
        ))
    }
}
