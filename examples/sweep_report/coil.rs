//! The coil that is moved, in millimetres: what a factor of its inductance means for its length or its turns.

use ohmwright::design::winding::AirCoil;
use ohmwright::quantity::Inductance;
use serde_json::{Value, json};

use super::input::positive;
use super::output::trimmed;

/// A single-layer air coil, as the command line gives it: as it is now.
#[derive(Clone)]
pub struct Coil {
    coil: AirCoil<f64>,
    wire_mm: f64,
}

/// Stretched beyond this many times its length, a coil is better wound anew.
const MOST_STRETCH: f64 = 2.0;

/// More turns than this are another coil.
const MOST_MORE_TURNS: u32 = 100;

/// What to do with a coil.
#[derive(Clone, Debug, PartialEq)]
pub enum CoilChange {
    /// The length is right to a twentieth of a millimetre.
    Keep,
    /// Stretch or compress it to this length.
    Length { from_mm: f64, to_mm: f64 },
    /// Its own turns cannot do it: wind others of the same wire on the same diameter, to this length.
    Turns { from: f64, to: f64, length_mm: f64 },
    /// No coil of this wire and diameter does it, and why.
    Impossible(String),
}

impl Coil {
    /// DIAMETER,TURNS,LENGTH,WIRE, lengths in millimetres.
    pub fn parse(given: &str) -> Result<Self, String> {
        let parts: Vec<&str> = given.split(',').collect();
        let [diameter, turns, length, wire] = parts[..] else {
            return Err(format!("--coil: {given:?} is not DIAMETER,TURNS,LENGTH,WIRE"));
        };
        let of = |name: &str, text: &str, most: f64| match positive("--coil", text)? {
            value if value <= most => Ok(value),
            _ => Err(format!("--coil: a {name} of {text} is more than {most}")),
        };
        let diameter = of("diameter", diameter, 1e4)?;
        let turns = of("number of turns", turns, 1e4)?;
        let length = of("length", length, 1e5)?;
        let wire_mm = of("wire", wire, 1e3)?;
        if wire_mm >= diameter {
            return Err(format!(
                "--coil: wire of {} mm does not go round a mean diameter of {} mm",
                trimmed(wire_mm, 3),
                trimmed(diameter, 3)
            ));
        }
        // A length is read to half a millimetre or so.
        let least = turns * wire_mm;
        if length < 0.98 * least {
            return Err(format!(
                "--coil: {} turns of {} mm wire are at least {} mm long, not {}",
                trimmed(turns, 2),
                trimmed(wire_mm, 3),
                trimmed(least, 2),
                trimmed(length, 2)
            ));
        }
        let coil = AirCoil::from_millimetres(turns, diameter, length)
            .map_err(|error| format!("--coil: {given}: {error}"))?;
        Ok(Self { coil, wire_mm })
    }

    pub fn henries(&self) -> f64 {
        self.coil.inductance().to_henries()
    }

    fn length_mm(&self) -> f64 {
        self.coil.length().to_f64() * 1e3
    }

    /// The same wire and diameter with other turns, of this inductance; `None` where no length gives it.
    fn wound(&self, turns: f64, henries: f64) -> Option<f64> {
        let diameter_mm = self.coil.diameter().to_f64() * 1e3;
        let coil = AirCoil::from_millimetres(turns, diameter_mm, self.length_mm()).ok()?;
        let wanted = Inductance::<f64>::try_from_henries(henries).ok()?;
        Some(coil.with_inductance(wanted).ok()?.length().to_f64() * 1e3)
    }

    /// What brings it to `factor` times its inductance.
    pub fn change(&self, factor: f64) -> CoilChange {
        let (from_mm, turns) = (self.length_mm(), self.coil.turns());
        let wanted = factor * self.henries();
        if factor.is_nan() || factor <= 0.0 {
            return CoilChange::Impossible("it would have to have no inductance at all, or less".into());
        }
        let to_mm = self.wound(turns, wanted);
        let touching = |turns: f64| turns * self.wire_mm;
        // A given length may be a little below what the wire allows: to leave it so is allowed.
        let is_wound = |turns: f64, length: f64| length >= touching(turns).min(from_mm);
        match to_mm {
            Some(to_mm) if (to_mm - from_mm).abs() < 0.05 => return CoilChange::Keep,
            Some(to_mm) if is_wound(turns, to_mm) && to_mm <= MOST_STRETCH * from_mm => {
                return CoilChange::Length { from_mm, to_mm };
            }
            _ => {}
        }
        let others = (1..=MOST_MORE_TURNS).map(|count| {
            if factor > 1.0 {
                turns + f64::from(count)
            } else {
                turns - f64::from(count)
            }
        });
        let found = others.take_while(|turns| *turns >= 1.0).find_map(|to| {
            let length_mm = self.wound(to, wanted)?;
            let fits = length_mm >= touching(to) && length_mm <= MOST_STRETCH * from_mm.max(touching(to));
            fits.then_some(CoilChange::Turns {
                from: turns,
                to,
                length_mm,
            })
        });
        found.unwrap_or_else(|| {
            CoilChange::Impossible(format!(
                "no winding of this wire on this diameter has {} of its inductance",
                trimmed(factor, 3)
            ))
        })
    }
}

/// What to do with the coil so that its inductance becomes `factor` times what it is.
pub fn coil_change(coil: &Coil, factor: f64) -> CoilChange {
    coil.change(factor)
}

/// Tenths of a millimetre, hundredths where the change is small.
fn millimetres(from: f64, to: f64) -> (String, String) {
    let decimals = if (to - from).abs() < 0.5 { 2 } else { 1 };
    (format!("{from:.decimals$}"), format!("{to:.decimals$}"))
}

/// What to do, as a phrase.
impl std::fmt::Display for CoilChange {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Keep => f.write_str("leave its length as it is"),
            Self::Length { from_mm, to_mm } => {
                let verb = if to_mm > from_mm { "stretch" } else { "compress" };
                let (from, to) = millimetres(*from_mm, *to_mm);
                write!(f, "{verb} it from {from} to {to} mm")
            }
            Self::Turns { from, to, length_mm } => {
                let why = if to > from {
                    "its turns touch before that"
                } else {
                    "it would be stretched to more than twice its length"
                };
                write!(
                    f,
                    "{why}: wind {} turns in place of {}, {length_mm:.1} mm long",
                    trimmed(*to, 2),
                    trimmed(*from, 2)
                )
            }
            Self::Impossible(why) => write!(f, "the coil cannot do that: {why}"),
        }
    }
}

impl CoilChange {
    fn kind(&self) -> &'static str {
        match self {
            Self::Keep => "keep",
            Self::Length { from_mm, to_mm } if to_mm > from_mm => "stretch",
            Self::Length { .. } => "compress",
            Self::Turns { .. } => "turns",
            Self::Impossible(_) => "impossible",
        }
    }

    /// Its new length in metres, where it has one.
    pub fn length_m(&self) -> Option<f64> {
        match self {
            Self::Length { to_mm: length_mm, .. } | Self::Turns { length_mm, .. } => Some(length_mm / 1e3),
            _ => None,
        }
    }

    /// Its new turns, where they change.
    pub fn turns(&self) -> Option<f64> {
        match self {
            Self::Turns { to, .. } => Some(*to),
            _ => None,
        }
    }
}

/// The coil in the object of a sweep; the factor and the change where there is one to make.
pub fn json(coil: Option<&Coil>, factor: Option<f64>) -> Value {
    let Some(coil) = coil else {
        return Value::Null;
    };
    let change = factor.map(|factor| coil.change(factor));
    let change = change.as_ref();
    json!({
        "diameter_m": coil.coil.diameter().to_f64(),
        "turns": coil.coil.turns(),
        "length_m": coil.coil.length().to_f64(),
        "wire_m": coil.wire_mm / 1e3,
        "inductance_h": coil.henries(),
        "factor": factor,
        "change": change.map(CoilChange::kind),
        "new_length_m": change.and_then(CoilChange::length_m),
        "new_turns": change.and_then(CoilChange::turns),
        "reason": match change {
            Some(CoilChange::Impossible(why)) => Some(why.as_str()),
            _ => None,
        },
    })
}
