//! A display of 128 × 64 pixels on the I²C bus, which may be absent, and may come back.

use embedded_hal::i2c::I2c;
use ssd1306::mode::{BufferedGraphicsMode, DisplayConfig};
use ssd1306::prelude::{DisplayRotation, I2CInterface};
use ssd1306::size::DisplaySize128x64;
use ssd1306::{I2CDisplayInterface, Ssd1306};

/// How long an absent display is left alone.
const TRIED_EVERY_MS: u32 = 1_000;

type Driver<I> = Ssd1306<I2CInterface<I>, DisplaySize128x64, BufferedGraphicsMode<DisplaySize128x64>>;

enum State {
    /// Initialised, and it has answered since.
    Shown,
    /// Not initialised, or it did not answer; milliseconds until it is tried again.
    Absent(u32),
}

/// The display and its driver, with the frame buffer of 1024 bytes.
pub struct Panel<I> {
    driver: Driver<I>,
    state: State,
}

impl<I: I2c> Panel<I> {
    /// A display at the usual address (common practice: 0x3C). Nothing is sent yet.
    pub fn new(bus: I) -> Self {
        let interface = I2CDisplayInterface::new(bus);
        let driver = Ssd1306::new(interface, DisplaySize128x64, DisplayRotation::Rotate0)
            .into_buffered_graphics_mode();
        Self {
            driver,
            state: State::Absent(0),
        }
    }

    /// True from the first failure on, until the display shows something again. True before the first frame, too.
    pub fn is_absent(&self) -> bool {
        matches!(self.state, State::Absent(_))
    }

    /// Draws a frame and sends what changed. A display that did not answer is initialised again, once a second, and then
    /// gets the whole frame: it may have lost its supply.
    pub(crate) fn show(&mut self, elapsed_ms: u32, draw: impl FnOnce(&mut Driver<I>)) {
        if let State::Absent(left) = &mut self.state {
            *left = left.saturating_sub(elapsed_ms);
            if *left > 0 {
                return;
            }
            if self.driver.init().is_err() {
                self.state = State::Absent(TRIED_EVERY_MS);
                return;
            }
        }
        draw(&mut self.driver);
        self.state = match self.driver.flush() {
            Ok(()) => State::Shown,
            Err(_) => State::Absent(TRIED_EVERY_MS),
        };
    }

    pub(crate) fn release(self) -> I {
        self.driver.release().release()
    }
}
