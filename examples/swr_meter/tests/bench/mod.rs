//! A bench for the meter: a front end by script, a line that remembers, and a display that keeps what is sent to it.
#![allow(dead_code)] // Each test binary uses a part of it.

use std::cell::RefCell;
use std::convert::Infallible;
use std::rc::Rc;

use embedded_hal::digital::{ErrorType as LineErrorType, OutputPin};
use embedded_hal::i2c::{ErrorKind, ErrorType, I2c, NoAcknowledgeSource, Operation};
use swr_meter::{Counts, FrontEnd, LevelPoint, Levels, Meter, Panel, Polarity, Setup, demo::DEMO};

/// Gives what it is told, with a count of noise, as a converter does.
#[derive(Clone, Default)]
pub struct Front(Rc<RefCell<(Option<Counts>, bool, u16)>>);

impl Front {
    pub fn give(&self, forward: u16, reverse: u16) {
        *self.0.borrow_mut() = (Some(Counts { forward, reverse }), true, 0);
    }

    /// The same counts every time.
    pub fn stick(&self) {
        self.0.borrow_mut().1 = false;
    }

    pub fn fail(&self) {
        self.0.borrow_mut().0 = None;
    }
}

impl FrontEnd for Front {
    type Error = &'static str;

    fn read(&mut self) -> Result<Counts, &'static str> {
        let mut state = self.0.borrow_mut();
        let counts = state.0.ok_or("the converter does not answer")?;
        let is_signal = counts.forward > 0 && counts.forward < 4_000;
        state.2 = if state.1 && is_signal {
            state.2 ^ 1
        } else {
            state.2
        };
        Ok(Counts {
            forward: counts.forward + state.2,
            reverse: counts.reverse,
        })
    }
}

/// The alarm line.
#[derive(Clone, Default)]
pub struct Wire(Rc<RefCell<bool>>);

impl Wire {
    pub fn is_high(&self) -> bool {
        *self.0.borrow()
    }
}

impl LineErrorType for Wire {
    type Error = Infallible;
}

impl OutputPin for Wire {
    fn set_low(&mut self) -> Result<(), Infallible> {
        *self.0.borrow_mut() = false;
        Ok(())
    }

    fn set_high(&mut self) -> Result<(), Infallible> {
        *self.0.borrow_mut() = true;
        Ok(())
    }
}

pub struct GlassState {
    pub plugged: bool,
    /// Bytes after which the bus fails once more; `None` for never.
    pub fails_after: Option<usize>,
    is_on: bool,
    memory: [[u8; 128]; 8],
    columns: (u8, u8),
    pages: (u8, u8),
    at: (u8, u8),
    pub frames_begun: usize,
}

/// What the controller of the display does with the bytes (its data sheet's command table, from memory): page memory of
/// eight rows of 128 columns, written in the window of the last column and page commands.
#[derive(Clone)]
pub struct Glass(pub Rc<RefCell<GlassState>>);

impl Default for Glass {
    fn default() -> Self {
        Self(Rc::new(RefCell::new(GlassState {
            plugged: true,
            fails_after: None,
            is_on: false,
            // What is in it at power-on.
            memory: [[0xa5; 128]; 8],
            columns: (0, 127),
            pages: (0, 7),
            at: (0, 0),
            frames_begun: 0,
        })))
    }
}

impl Glass {
    pub fn unplug(&self) {
        let mut state = self.0.borrow_mut();
        (state.plugged, state.is_on) = (false, false);
        state.memory = [[0x5a; 128]; 8];
    }

    pub fn plug(&self) {
        self.0.borrow_mut().plugged = true;
    }

    pub fn is_on(&self) -> bool {
        self.0.borrow().is_on
    }

    pub fn pixel(&self, x: usize, y: usize) -> bool {
        self.0.borrow().memory[y / 8][x] >> (y % 8) & 1 == 1
    }

    /// 1024 bytes, a bit a pixel, row by row.
    pub fn picture(&self) -> Vec<u8> {
        let pixel = |place: usize| u8::from(self.pixel(place % 128, place / 128));
        (0..1024)
            .map(|byte| (0..8).fold(0, |bits, bit| bits << 1 | pixel(8 * byte + bit)))
            .collect()
    }
}

impl GlassState {
    fn command(&mut self, bytes: &[u8]) {
        match *bytes {
            [0x21, low, high] => (self.columns, self.at.0) = ((low, high), low),
            [0x22, low, high] => {
                (self.pages, self.at.1, self.frames_begun) = ((low, high), low, self.frames_begun + 1)
            }
            [0xaf] => self.is_on = true,
            [0xae] => self.is_on = false,
            _ => {}
        }
    }

    fn data(&mut self, byte: u8) {
        self.memory[self.at.1 as usize & 7][self.at.0 as usize & 127] = byte;
        self.at.0 += 1;
        if self.at.0 > self.columns.1 {
            self.at = (self.columns.0, self.at.1 + 1);
            if self.at.1 > self.pages.1 {
                self.at.1 = self.pages.0;
            }
        }
    }
}

impl ErrorType for Glass {
    type Error = ErrorKind;
}

impl I2c for Glass {
    fn transaction(&mut self, address: u8, operations: &mut [Operation<'_>]) -> Result<(), ErrorKind> {
        let mut state = self.0.borrow_mut();
        for operation in operations {
            if !state.plugged || address != 0x3c {
                return Err(ErrorKind::NoAcknowledge(NoAcknowledgeSource::Address));
            }
            match operation {
                Operation::Read(_) => return Err(ErrorKind::Other),
                Operation::Write([0x00, command @ ..]) => state.command(command),
                Operation::Write([0x40, data @ ..]) => {
                    for byte in data.iter() {
                        match &mut state.fails_after {
                            Some(0) => {
                                state.fails_after = None;
                                return Err(ErrorKind::NoAcknowledge(NoAcknowledgeSource::Data));
                            }
                            Some(left) => *left -= 1,
                            None => {}
                        }
                        state.data(*byte);
                    }
                }
                Operation::Write(_) => return Err(ErrorKind::Other),
            }
        }
        Ok(())
    }
}

pub struct Bench<A: swr_meter::Numbers> {
    pub front: Front,
    pub wire: Wire,
    pub glass: Glass,
    pub meter: Meter<A, Front, Wire, Glass>,
}

/// One count a millivolt, a coupler of 20 dB with a directivity of 30 dB: figures that can be worked out by hand.
pub fn straight() -> Setup {
    let levels = Levels::of([(1, 1_000), (4_000, 4_000_000)]);
    assert_eq!(
        levels.points()[1],
        LevelPoint {
            counts: 4_000,
            microvolts: 4_000_000
        }
    );
    Setup {
        coupling_hundredths: 2_000,
        directivity_hundredths: 3_000,
        forward: levels,
        reverse: levels,
        ..DEMO
    }
}

pub fn bench<A: swr_meter::Numbers>(setup: Setup) -> Bench<A> {
    let (front, wire, glass) = (Front::default(), Wire::default(), Glass::default());
    front.give(0, 0);
    let panel = Panel::new(glass.clone());
    let meter = Meter::new(setup, front.clone(), wire.clone(), Polarity::High, panel).unwrap();
    Bench {
        front,
        wire,
        glass,
        meter,
    }
}
