//! What the command line may say.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::path::PathBuf;

use lexopt::prelude::*;
use ohmwright::quantity::{Hertz, Impedance, Reference};

use super::input;
use super::units;

pub const HELP: &str = "\
The sums of the bench, one at a time.

    bench_sums SUM [options]

stand-in: parts that look like a load at one frequency, and what their leads do; or resistances for an SWR
  --load R,X          the load, ohms; also written R+jX
  --frequency F       hertz, or with k, M or G: 71M
  --swr S             instead of a load: the resistances that show this SWR
  --potentiometer R   with --swr: where to set a potentiometer of this value, wired as a variable resistor
  --leads L           inductance of the leads: 3n, 3nH
  --source R          the resistance all is matched to, ohms (50 unless given)

turns: what the rule of magnitudes promises for a load, what is so, the best turns, half turns too
  with --load, --source and --frequency as above
  --most-turns N      of a winding, 1 to 60 (12 unless given)

coil: the inductance of a single layer in air, or its turns for an inductance
  --diameter D        mean diameter of the winding, with its unit: 8mm
  --length L          of the winding, with its unit: 9mm
  --turns N           turns; a part of a turn is allowed
  --inductance L      instead of turns: 120n, 120nH
  with --frequency also the reactance

core: turns and inductance on a core, and the flux in it
  --outer D           a ring: outer diameter, with its unit
  --inner D           inner diameter
  --height H          height
  --permeability U    relative permeability
  --al L              instead of a ring: the inductance factor, for each turn squared: 420n
  --area A            with --al: the effective area in square millimetres, for the flux
  --power P           watts in --source; with --frequency: the peak flux density
  with --turns or --inductance as above

wire: skin depth, resistance and inductance of a straight copper wire
  --gauge N           American wire gauge, instead of --diameter
  with --diameter, --length and --frequency as above

line: length, wavelengths, loss and what it shows of a load
  --impedance R       characteristic impedance, ohms
  --velocity V        velocity factor, above 0 to 1
  --permittivity E    instead of it: relative permittivity of the filling
  --wavelengths W     instead of --length: so many wavelengths at --frequency
  --loss D            matched loss in dB in 100 m, at --loss-at
  --loss-at F         the frequency of the loss (--frequency unless given)
  with --length, --frequency and --load as above

balance: two outputs that should be opposite
  --first A,P         size and phase in degrees of the first
  --second A,P        of the second

transformer: from sweeps in Touchstone files, at its primary
  --open FILE         the secondary open
  --shorted FILE      the secondary shorted
  --secondary FILE    at the secondary, with the primary open
  --loaded FILE       instead of these three: one sweep with a known resistor on the secondary
  --resistor R        that resistor, ohms; with --leads of it as above

  --json              one JSON object: hertz, ohms, henries, farads, metres, positive dB; null where infinite
  --help              this text

Frequencies, inductances and lengths take their unit and its prefix behind the number: 7.1MHz, 3.3uH, 9mm.

Never touch a coil, a core or a line under power: RF burns. A core that is driven too hard gets hot enough to burn you.
Transmit only where you are licensed to. Local rules and licensed practice come first.

Exit status 0, or 1 with one line on standard error that names option or file, line and cause.
";

/// What was asked for.
pub enum Request {
    Help,
    Sum(String, Given),
}

/// The options given, each as it was written, and which of them a sum has asked for.
#[derive(Default)]
pub struct Given {
    values: BTreeMap<&'static str, OsString>,
    used: RefCell<BTreeSet<&'static str>>,
    json: bool,
}

pub fn parse(arguments: impl IntoIterator<Item = OsString>) -> Result<Request, String> {
    let mut given = Given::default();
    let mut sum = None;
    let mut parser = lexopt::Parser::from_iter(arguments);
    while let Some(argument) = parser.next().map_err(input::plain)? {
        let name = match argument {
            Short('h') | Long("help") => return Ok(Request::Help),
            Long("json") => {
                given.json = true;
                continue;
            }
            Value(value) if sum.is_none() => {
                sum = Some(value.to_string_lossy().into_owned());
                continue;
            }
            Long("load") => "--load",
            Long("frequency") => "--frequency",
            Long("swr") => "--swr",
            Long("potentiometer") => "--potentiometer",
            Long("leads") => "--leads",
            Long("source") => "--source",
            Long("most-turns") => "--most-turns",
            Long("diameter") => "--diameter",
            Long("length") => "--length",
            Long("turns") => "--turns",
            Long("inductance") => "--inductance",
            Long("outer") => "--outer",
            Long("inner") => "--inner",
            Long("height") => "--height",
            Long("permeability") => "--permeability",
            Long("al") => "--al",
            Long("area") => "--area",
            Long("power") => "--power",
            Long("gauge") => "--gauge",
            Long("impedance") => "--impedance",
            Long("velocity") => "--velocity",
            Long("permittivity") => "--permittivity",
            Long("wavelengths") => "--wavelengths",
            Long("loss") => "--loss",
            Long("loss-at") => "--loss-at",
            Long("first") => "--first",
            Long("second") => "--second",
            Long("open") => "--open",
            Long("shorted") => "--shorted",
            Long("secondary") => "--secondary",
            Long("loaded") => "--loaded",
            Long("resistor") => "--resistor",
            other => return Err(input::plain(other.unexpected())),
        };
        let value = parser.value().map_err(input::plain)?;
        if given.values.insert(name, value).is_some() {
            return Err(format!("{name}: given twice"));
        }
    }
    let sum = sum.ok_or(
        "which sum? stand-in, turns, coil, core, wire, line, balance or transformer; --help tells more",
    )?;
    Ok(Request::Sum(sum, given))
}

impl Given {
    pub fn json(&self) -> bool {
        self.json
    }

    /// Whether it was given; it then counts as used.
    pub fn has(&self, name: &'static str) -> bool {
        self.values.contains_key(name)
    }

    fn text(&self, name: &'static str) -> Result<Option<&str>, String> {
        self.used.borrow_mut().insert(name);
        match self.values.get(name) {
            None => Ok(None),
            Some(value) => match value.to_str() {
                Some(text) => Ok(Some(text)),
                None => Err(format!("{name}: {value:?} is not plain text")),
            },
        }
    }

    /// What reads its text, where it was given.
    pub fn optional<T>(
        &self,
        name: &'static str,
        read: impl Fn(&str, &str) -> Result<T, String>,
    ) -> Result<Option<T>, String> {
        self.text(name)?.map(|text| read(name, text)).transpose()
    }

    /// The same, which must be given.
    pub fn required<T>(
        &self,
        name: &'static str,
        read: impl Fn(&str, &str) -> Result<T, String>,
    ) -> Result<T, String> {
        self.optional(name, read)?
            .ok_or_else(|| format!("{name}: is missing for this sum"))
    }

    pub fn path(&self, name: &'static str) -> Result<PathBuf, String> {
        self.used.borrow_mut().insert(name);
        let value = self.values.get(name);
        value
            .map(PathBuf::from)
            .ok_or_else(|| format!("{name}: is missing for this sum"))
    }

    pub fn frequency(&self) -> Result<Option<Hertz>, String> {
        self.optional("--frequency", units::frequency)
    }

    pub fn source(&self) -> Result<(f64, Reference<f64>), String> {
        let ohm = self.optional("--source", input::positive)?.unwrap_or(50.0);
        Ok((
            ohm,
            Reference::new(ohm).map_err(|error| format!("--source: {error}"))?,
        ))
    }

    pub fn load(&self) -> Result<Option<Impedance<f64>>, String> {
        self.optional("--load", |name, text| {
            let (r, x) = input::impedance(name, text)?;
            let (r, x) = (input::number(name, &r)?, input::number(name, &x)?);
            Impedance::new(r, x).map_err(|error| format!("{name}: {error}"))
        })
    }

    /// An option that the sum does not know would be left out silently.
    pub fn all_used(&self, sum: &str) -> Result<(), String> {
        let used = self.used.borrow();
        match self.values.keys().find(|name| !used.contains(*name)) {
            Some(name) => Err(format!(
                "{name}: has nothing to do with {sum}, as it is asked here"
            )),
            None => Ok(()),
        }
    }
}
