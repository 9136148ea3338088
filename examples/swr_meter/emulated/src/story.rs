//! Counts by script through a whole instrument, and a line of text for each step of the story. Invented.

use core::cell::Cell;
use core::convert::Infallible;
use core::fmt::{self, Write};

use embedded_hal::digital::{ErrorType as LineErrorType, InputPin, OutputPin};
use embedded_hal::i2c::{ErrorKind, ErrorType, I2c, NoAcknowledgeSource, Operation};
use swr_meter::memory::{Memory, SLOT_BYTES, Slot};
use swr_meter::{Counts, FrontEnd, Instrument, Numbers, Panel, Polarity, Signal, demo};

/// What happens at a step.
struct Scene {
    words: &'static str,
    /// `None`: the converter does not answer.
    counts: Option<(u16, u16)>,
    has_display: bool,
    is_pressed: bool,
    ms: u32,
}

const fn scene(words: &'static str, forward: u16, reverse: u16, ms: u32) -> Scene {
    Scene {
        words,
        counts: Some((forward, reverse)),
        has_display: true,
        is_pressed: false,
        ms,
    }
}

const SCENES: [Scene; 12] = [
    scene("nothing sent", 0, 0, 100),
    scene("a good load", 2_000, 150, 100),
    scene("a fair load", 2_000, 450, 100),
    scene("the connector comes loose", 2_000, 1_500, 100),
    scene("tightened", 2_000, 450, 100),
    scene("the alarm's time is over", 2_000, 450, 1_000),
    Scene {
        has_display: false,
        ..scene("the display is pulled off", 2_000, 1_500, 100)
    },
    scene("it is back", 2_000, 450, 1_100),
    scene("too much power", 4_095, 900, 100),
    Scene {
        counts: None,
        ..scene("the converter fails", 0, 0, 100)
    },
    Scene {
        is_pressed: true,
        ..scene("the button: another limit", 2_000, 650, 1_000)
    },
    scene("with the new limit", 2_000, 650, 1_000),
];

/// The scene that is on, for all parts of the bench.
#[derive(Clone, Copy)]
struct On<'a>(&'a Cell<usize>);

impl On<'_> {
    fn scene(self) -> &'static Scene {
        SCENES.get(self.0.get()).unwrap_or(&SCENES[0])
    }
}

impl FrontEnd for On<'_> {
    type Error = ();

    fn read(&mut self) -> Result<Counts, ()> {
        self.scene()
            .counts
            .map(|(forward, reverse)| Counts { forward, reverse })
            .ok_or(())
    }
}

impl ErrorType for On<'_> {
    type Error = ErrorKind;
}

impl I2c for On<'_> {
    fn transaction(&mut self, _: u8, _: &mut [Operation<'_>]) -> Result<(), ErrorKind> {
        if self.scene().has_display {
            Ok(())
        } else {
            Err(ErrorKind::NoAcknowledge(NoAcknowledgeSource::Address))
        }
    }
}

impl LineErrorType for On<'_> {
    type Error = Infallible;
}

impl InputPin for On<'_> {
    fn is_high(&mut self) -> Result<bool, Infallible> {
        Ok(!self.scene().is_pressed)
    }

    fn is_low(&mut self) -> Result<bool, Infallible> {
        Ok(self.scene().is_pressed)
    }
}

struct Wire<'a>(&'a Cell<bool>);

impl LineErrorType for Wire<'_> {
    type Error = Infallible;
}

impl OutputPin for Wire<'_> {
    fn set_low(&mut self) -> Result<(), Infallible> {
        self.0.set(false);
        Ok(())
    }

    fn set_high(&mut self) -> Result<(), Infallible> {
        self.0.set(true);
        Ok(())
    }
}

struct Bytes([[u8; SLOT_BYTES]; 2]);

impl Memory for Bytes {
    type Error = Infallible;

    fn read(&mut self, slot: Slot, bytes: &mut [u8; SLOT_BYTES]) -> Result<(), Infallible> {
        *bytes = match slot {
            Slot::First => self.0[0],
            Slot::Second => self.0[1],
        };
        Ok(())
    }

    fn erase(&mut self, _: Slot) -> Result<(), Infallible> {
        Ok(())
    }

    fn write(&mut self, slot: Slot, bytes: &[u8; SLOT_BYTES]) -> Result<(), Infallible> {
        match slot {
            Slot::First => self.0[0] = *bytes,
            Slot::Second => self.0[1] = *bytes,
        }
        Ok(())
    }
}

/// Tells it, a line a scene: the SWR in tenths and the power in whole watts, which every family gives alike.
pub fn tell<A: Numbers>(to: &mut impl Write) -> fmt::Result {
    let (place, alarm) = (Cell::new(0), Cell::new(false));
    let on = On(&place);
    let built = Instrument::<A, _, _, _, _, _>::new(
        demo::DEMO,
        on,
        Wire(&alarm),
        Polarity::High,
        Panel::new(on),
        Bytes([[0xff; SLOT_BYTES]; 2]),
        on,
    );
    let Ok(mut instrument) = built else {
        return writeln!(to, "the built-in setup is refused");
    };
    for (at, scene) in SCENES.iter().enumerate() {
        place.set(at);
        let status = instrument.step(scene.ms);
        write!(to, "{}: ", scene.words)?;
        match &status.signal {
            Signal::Reading(reading) => {
                let swr = (A::hundredths(reading.swr()) + 5) / 10;
                let watts = (0..200)
                    .rev()
                    .find(|watts| reading.forward() >= A::watts(watts * 1000))
                    .unwrap_or(0);
                write!(to, "SWR {}.{}, {watts} W", swr / 10, swr % 10)?;
            }
            other => write!(to, "{}", name(other))?,
        }
        let limit = instrument.meter().setup().limit_thousandths;
        writeln!(
            to,
            ", alarm {} (above {}.{}){}",
            if alarm.get() { "ON" } else { "off" },
            limit / 1000,
            limit % 1000 / 100,
            if status.troubles.display {
                ", no display"
            } else {
                ""
            },
        )?;
    }
    Ok(())
}

fn name<A: Numbers>(signal: &Signal<A>) -> &'static str {
    match signal {
        Signal::Reading(_) => "a reading",
        Signal::NoSignal => "no signal",
        Signal::TooMuch(_) => "too much",
        Signal::ForwardLost => "no forward signal",
        Signal::ConverterFailed => "the converter failed",
        Signal::Stuck => "the converter is stuck",
    }
}
