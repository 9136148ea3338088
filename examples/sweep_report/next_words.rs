//! The next step in words, for the bench.

use ohmwright::design::transformer::Turns;
use ohmwright::measure::{Direction, Placement, Reason, Toward, TuningElement};

use super::next::{Doing, NextFigures, PartFigures};
use super::output::{hertz, swr, trimmed};
use super::page::{Page, scaled};

impl NextFigures {
    fn at(&self) -> String {
        hertz(self.at_hz)
    }

    /// What to do, in few words.
    fn sentence(&self) -> String {
        match &self.doing {
            Doing::Leave if self.is_target && self.reason == Reason::Matched => "Leave it as it is.".into(),
            Doing::Leave if self.reason == Reason::Matched => format!(
                "Leave it, if the best point, {}, is where you need it.",
                self.at()
            ),
            Doing::Leave => format!("Leave it. {}", self.why()),
            Doing::Move {
                element,
                direction,
                factor,
                dip_hz,
                is_resolved,
                is_only,
            } => {
                let which = if *is_only {
                    "Dip".into()
                } else {
                    format!("The dip at {} is", hertz(*dip_hz))
                };
                let mut text = format!(
                    "{which} {} {}. {}",
                    hertz(rounded(dip_hz.abs_diff(self.at_hz))),
                    if *direction == Direction::Less { "low" } else { "high" },
                    change(*element, *direction, *factor)
                );
                if !is_resolved {
                    text += " The steps are too coarse for this dip: sweep finer, before and after.";
                }
                text
            }
            Doing::Turns(turns) => format!("{} {}", self.why(), self.rewound(*turns)),
            Doing::Part(part) => format!("{} Put {} {}.", self.why(), part.text(), part.where_to()),
            Doing::TurnsAndPart(turns, part) => format!(
                "{} {} Then put {} {}, on the instrument's side of it.",
                self.why(),
                self.rewound(*turns),
                part.text(),
                match part.place {
                    Placement::Series => "in series",
                    Placement::Across => "across",
                }
            ),
            Doing::SweepWider { toward, until_hz } => {
                let why = match self.reason {
                    Reason::TargetNotSwept => {
                        format!("{} is not swept, and no dip here can be moved there.", self.at())
                    }
                    _ => format!("No dip here can be moved to {}.", self.at()),
                };
                match toward {
                    Toward::Lower => format!("{why} Sweep down to {}.", hertz(outward(*until_hz, false))),
                    Toward::Higher => format!("{why} Sweep up to {}.", hertz(outward(*until_hz, true))),
                    Toward::Both => format!(
                        "{why} Sweep wider on both sides, from {}.",
                        hertz(outward(*until_hz, false))
                    ),
                }
            }
            Doing::NoDip => format!("No dip to move: {}", self.without_dip()),
            Doing::MeasureAgain => {
                let how = match self.reason {
                    Reason::Spoilt => "Look for a loose connection or another transmitter, sweep again.",
                    Reason::BeyondRim => "Check the calibration and the reference, sweep again.",
                    Reason::Noise => "Average more readings for each point, sweep again.",
                    Reason::TooCoarse => "Sweep with smaller steps.",
                    Reason::Uncorrected if self.is_corrected => {
                        "Check that open and short are not exchanged, sweep again."
                    }
                    Reason::Uncorrected => "Calibrate and sweep again, or give --open, --short and --load.",
                    _ => "Sweep again.",
                };
                format!("{} {how}", self.why())
            }
            Doing::TakeOutLine if self.has_cable_out => {
                "A cable is still between the instrument and the load. Check the length given to --cable, or measure at \
                 the load."
                    .into()
            }
            Doing::TakeOutLine => format!(
                "{} Take it out, --cable METRES,VELOCITY, or measure at the load; then ask again.",
                self.why()
            ),
        }
    }

    /// What shows no dip, and what to do about it.
    fn without_dip(&self) -> &'static str {
        match self.reason {
            Reason::Open => "nothing is connected, or the connection is open. Connect the load, sweep again.",
            Reason::Short => "a short at all frequencies. Find it in plug, cable or wiring, sweep again.",
            Reason::FlatLoad if self.winding.is_none() => {
                "the load is the same at all frequencies, as a dummy load is. If it has a transformer, say so: --winding \
                 P:S."
            }
            Reason::FlatLoad => "the load is the same at all frequencies, as a dummy load is.",
            Reason::CableEnd => {
                "the reflection turns evenly, as that of a cable with an open or a short at its end. Connect the load, \
                 sweep again."
            }
            _ => "the load is nearly a pure reactance, and hardly any power goes into it.",
        }
    }

    fn rewound(&self, turns: Turns) -> String {
        match self.winding {
            Some(there) => format!("Rewind the transformer: {there} becomes {turns}."),
            None => format!(
                "Put a transformer of {turns} turns before it ({} on the instrument's side).",
                turns.primary()
            ),
        }
    }

    fn expectation(&self) -> Option<String> {
        let expected = self.expected.as_ref()?;
        let [middle, least, most] = [expected.swr, expected.least, expected.most].map(swr);
        let range = if least == most {
            String::new()
        } else {
            format!(" ({least} to {most})")
        };
        let still = if matches!(self.doing, Doing::Leave) {
            "still "
        } else {
            ""
        };
        Some(format!("{still}SWR {middle}{range} at {}", self.at()))
    }
}

impl PartFigures {
    fn text(&self) -> String {
        scaled(self.value, if self.is_coil { "H" } else { "F" })
    }

    fn where_to(&self) -> &'static str {
        match self.place {
            Placement::Series => "in series, where you measured",
            Placement::Across => "across, where you measured",
        }
    }
}

/// How to change the element, and what of it does not move with it.
fn change(element: TuningElement, direction: Direction, factor: f64) -> String {
    let share = format!("{} % (× {factor:.3})", digits(100.0 * (factor - 1.0).abs()));
    let less = direction == Direction::Less;
    let how = match element {
        TuningElement::Inductance if less => format!("Spread the coil, or take turns off: L down {share}."),
        TuningElement::Inductance => format!("Squeeze the coil, or put turns on: L up {share}."),
        TuningElement::Capacitance if less => format!("Open the trimmer: C down {share}."),
        TuningElement::Capacitance => format!("Close the trimmer: C up {share}."),
        TuningElement::Turns if less => format!("Take turns off the coil: {share} fewer."),
        TuningElement::Turns => format!("Put turns on the coil: {share} more."),
        TuningElement::Length if less => format!("Shorten the wire by {share}."),
        TuningElement::Length => format!("Lengthen the wire by {share}."),
        _ if less => format!("Less of the {element}: {share}."),
        _ => format!("More of the {element}: {share}."),
    };
    // A small change lands near enough.
    let next = match element {
        _ if (factor - 1.0).abs() < 0.01 => "",
        TuningElement::Capacitance => " Strays don't move, so expect a second pass.",
        TuningElement::Length if less => " Cut a little less at first, and sweep again.",
        TuningElement::Length => " What stands near it takes its share, so expect a second pass.",
        _ => " Leads and leakage don't move, so expect a second pass.",
    };
    how + next
}

/// A number to two digits.
fn digits(value: f64) -> String {
    let decimals = match value {
        value if value >= 9.95 => 0,
        value if value >= 0.995 => 1,
        value if value >= 0.0995 => 2,
        _ => 3,
    };
    trimmed(value, decimals)
}

/// Hertz to two digits.
fn rounded(hertz: u64) -> u64 {
    let unit = unit(hertz, 100);
    (hertz + unit / 2) / unit * unit
}

/// Hertz to three digits, not nearer than they are.
fn outward(hertz: u64, is_up: bool) -> u64 {
    let unit = unit(hertz, 1000);
    if is_up { hertz.div_ceil(unit) } else { hertz / unit }.saturating_mul(unit)
}

/// The power of ten of which `hertz` has fewer than so many.
fn unit(hertz: u64, below: u64) -> u64 {
    let mut unit = 1u64;
    while hertz / unit >= below {
        unit *= 10;
    }
    unit
}

impl Page {
    /// What to do and what to expect: the lines behind the verdict.
    pub fn next_step(&mut self, next: &NextFigures) {
        self.paragraph("Next step", &next.sentence());
        if let Some(text) = next.expectation() {
            let meaning = self.explain(
                "expected",
                "in brackets: as far as noise, ripple and the size of the step leave it open",
            );
            self.paragraph("Expect", &format!("{text}{meaning}."));
        }
    }
}
