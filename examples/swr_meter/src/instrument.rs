//! The meter with its store and its button: what a board's `main` calls.

use embedded_hal::digital::{InputPin, OutputPin};
use embedded_hal::i2c::I2c;

use crate::front::FrontEnd;
use crate::memory::Memory;
use crate::meter::{Meter, Polarity, Status};
use crate::numbers::Numbers;
use crate::panel::Panel;
use crate::setup::{Setup, SetupError};
use crate::store::{self, StoreError};

/// How long the button must be down to count.
const PRESSED_MS: u32 = 40;

/// A meter, its memory, and a button that goes through the alarm's limits (pressed is low).
pub struct Instrument<A: Numbers, F, P, I, M, B> {
    meter: Meter<A, F, P, I>,
    memory: M,
    button: B,
    down_ms: u32,
}

impl<A, F, P, I, M, B> Instrument<A, F, P, I, M, B>
where
    A: Numbers,
    F: FrontEnd,
    P: OutputPin,
    I: I2c,
    M: Memory,
    B: InputPin,
{
    /// Starts with the stored setup. If none is stored, or the button is down, it is `built_in`, which is then stored. If
    /// the memory fails it is `built_in` too, and the display says that it is not kept.
    ///
    /// # Errors
    /// [`SetupError`] if `built_in` has a value out of its range: that is a mistake of the firmware.
    pub fn new(
        built_in: Setup,
        front: F,
        line: P,
        polarity: Polarity,
        panel: Panel<I>,
        mut memory: M,
        mut button: B,
    ) -> Result<Self, SetupError> {
        let is_down = button.is_low().unwrap_or(false);
        let stored = if is_down {
            Err(StoreError::Empty)
        } else {
            store::load(&mut memory)
        };
        let mut meter = Meter::new(built_in, front, line, polarity, panel)?;
        match stored {
            Ok(setup) => meter.set_up(setup)?,
            Err(StoreError::Empty) => meter.doubt_setup(store::save(&mut memory, &built_in).is_err()),
            Err(_) => meter.doubt_setup(true),
        }
        // A button that is down at the start has had its effect.
        let down_ms = if is_down { u32::MAX } else { 0 };
        Ok(Self {
            meter,
            memory,
            button,
            down_ms,
        })
    }

    /// The meter.
    pub fn meter(&self) -> &Meter<A, F, P, I> {
        &self.meter
    }

    /// One step; call it every few milliseconds with the time since the one before. A button that cannot be read counts as
    /// not pressed.
    pub fn step(&mut self, elapsed_ms: u32) -> Status<A> {
        let status = self.meter.step(elapsed_ms);
        if self.button.is_low().unwrap_or(false) {
            let before = self.down_ms;
            self.down_ms = before.saturating_add(elapsed_ms);
            if before < PRESSED_MS && self.down_ms >= PRESSED_MS {
                self.meter.next_limit();
                let kept = store::save(&mut self.memory, self.meter.setup());
                self.meter.doubt_setup(kept.is_err());
            }
        } else {
            self.down_ms = 0;
        }
        status
    }
}
