//! One step: read, judge, drive the alarm line, show.

use embedded_hal::digital::{OutputPin, PinState};
use embedded_hal::i2c::I2c;
use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::detector::{
    Channel, DetectorError, LevelTable, ScalarDetector, ScalarReading, ScalarSettings,
};
use ohmwright::quantity::{Reference, Volts, Watts};

use crate::alarm::{Alarm, AlarmCause};
use crate::front::{Counts, FrontEnd};
use crate::numbers::Numbers;
use crate::panel::Panel;
use crate::peak::Peak;
use crate::setup::{Levels, MOST_POINTS, Setup, SetupError};
use crate::view;

/// The display is drawn anew at most this often: a whole frame takes some 25 ms on a bus of 400 kHz.
const DRAWN_EVERY_MS: u32 = 100;

/// Which level of the line means alarm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Polarity {
    /// High is alarm. With a pull-up resistor on the line, a processor that does not run alarms too.
    High,
    /// Low is alarm, with a pull-down resistor for the same reason.
    Low,
}

/// What the detectors say at this moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Signal<A: Arithmetic> {
    /// Power on the line, measured.
    Reading(ScalarReading<A>),
    /// No power on the line.
    NoSignal,
    /// A detector sees more than the converter or its table can tell: the error says which.
    TooMuch(DetectorError),
    /// Nothing at the forward detector, but a signal at the reverse one: a diode, a wire, or the coupler the wrong way round.
    ForwardLost,
    /// The converter failed.
    ConverterFailed,
    /// The converter gives the same counts again and again.
    Stuck,
}

/// What does not work.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Troubles {
    /// The display did not answer; it is tried again every second.
    pub display: bool,
    /// The alarm line could not be driven; it is tried again at every step.
    pub alarm_line: bool,
    /// The setup is not the stored one, or the last change was not kept.
    pub setup: bool,
}

/// What the meter knows after a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Status<A: Arithmetic> {
    /// What the detectors say.
    pub signal: Signal<A>,
    /// The highest forward power of the last moments.
    pub peak: Watts<A>,
    /// Why the alarm is on; `None` while it is off.
    pub alarm: Option<AlarmCause>,
    /// What does not work.
    pub troubles: Troubles,
}

/// The meter: a converter, an alarm line, a display on the I²C bus.
pub struct Meter<A: Arithmetic, F, P, I> {
    front: F,
    line: P,
    polarity: Polarity,
    panel: Panel<I>,
    setup: Setup,
    peak: Peak<A>,
    alarm: Alarm,
    before: Counts,
    /// Readings in a row that were the same.
    same: u16,
    since_drawn_ms: u32,
    setup_in_doubt: bool,
}

impl<A: Numbers, F: FrontEnd, P: OutputPin, I: I2c> Meter<A, F, P, I> {
    /// A meter with a setup. The line is on until the first step: nothing has been measured yet.
    ///
    /// # Errors
    /// [`SetupError`] for a setup with a value out of its range.
    pub fn new(
        setup: Setup,
        front: F,
        line: P,
        polarity: Polarity,
        panel: Panel<I>,
    ) -> Result<Self, SetupError> {
        setup.check()?;
        let mut meter = Self {
            front,
            line,
            polarity,
            panel,
            setup,
            peak: Peak::new(),
            alarm: Alarm::new(),
            before: Counts::default(),
            same: 0,
            since_drawn_ms: DRAWN_EVERY_MS,
            setup_in_doubt: false,
        };
        meter.drive(true);
        Ok(meter)
    }

    /// Marks that the setup is not the one that was stored: the display says so.
    pub fn doubt_setup(&mut self, in_doubt: bool) {
        self.setup_in_doubt = in_doubt;
    }

    /// The setup.
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// Takes another setup; an invalid one is refused, and the present one stays.
    ///
    /// # Errors
    /// [`SetupError`] for a value out of its range.
    pub fn set_up(&mut self, setup: Setup) -> Result<(), SetupError> {
        setup.check()?;
        self.setup = setup;
        Ok(())
    }

    /// The next limit of the alarm: 1.5, 2, 2.5, 3, and again from 1.5 on. For a button.
    pub fn next_limit(&mut self) {
        let limits = [1_500, 2_000, 2_500, 3_000];
        let above = limits
            .into_iter()
            .find(|limit| *limit > self.setup.limit_thousandths);
        self.setup.limit_thousandths = above.unwrap_or(1_500);
    }

    /// One step; call it every few milliseconds with the time since the one before. The alarm line is driven before the
    /// display is touched.
    pub fn step(&mut self, elapsed_ms: u32) -> Status<A> {
        let signal = self.listen();
        let power = match &signal {
            Signal::Reading(reading) => reading.forward(),
            _ => Watts::ZERO,
        };
        let peak = self.peak.take(power, elapsed_ms, self.setup.peak_hold_ms.into());
        let alarm = self
            .alarm
            .take(self.judge(&signal), elapsed_ms, self.setup.alarm_hold_ms.into());
        let driven = self.drive(alarm.is_some());
        let mut status = Status {
            signal,
            peak,
            alarm,
            troubles: Troubles {
                display: self.panel.is_absent(),
                alarm_line: !driven,
                setup: self.setup_in_doubt,
            },
        };
        self.since_drawn_ms = self.since_drawn_ms.saturating_add(elapsed_ms);
        if self.since_drawn_ms >= DRAWN_EVERY_MS {
            let setup = &self.setup;
            self.panel
                .show(self.since_drawn_ms, |display| view::draw(display, setup, &status));
            self.since_drawn_ms = 0;
            status.troubles.display = self.panel.is_absent();
        }
        status
    }

    /// Gives back what it was made of.
    pub fn release(self) -> (F, P, I) {
        (self.front, self.line, self.panel.release())
    }

    fn drive(&mut self, alarm: bool) -> bool {
        let high = alarm == (self.polarity == Polarity::High);
        self.line.set_state(PinState::from(high)).is_ok()
    }

    fn listen(&mut self) -> Signal<A> {
        let Ok(counts) = self.front.read() else {
            self.same = 0;
            return Signal::ConverterFailed;
        };
        let is_same = counts == self.before && counts != Counts::default();
        self.same = if is_same { self.same.saturating_add(1) } else { 0 };
        self.before = counts;
        let signal = measure(&self.setup, counts);
        // Silence is the same all the time; so is a count at the limit, which says more.
        let may_be_stuck = matches!(signal, Signal::Reading(_) | Signal::ForwardLost);
        if may_be_stuck && self.setup.stuck_after > 0 && self.same >= self.setup.stuck_after {
            return Signal::Stuck;
        }
        signal
    }

    fn judge(&self, signal: &Signal<A>) -> Option<AlarmCause> {
        match signal {
            Signal::Reading(reading) => {
                let is_judged = reading.forward() >= A::watts(self.setup.judged_from_milliwatts);
                let limit = A::swr(self.setup.limit_thousandths);
                (is_judged && reading.swr() > limit).then_some(AlarmCause::Swr)
            }
            Signal::NoSignal => None,
            Signal::TooMuch(_) => Some(AlarmCause::TooMuch),
            Signal::ForwardLost | Signal::ConverterFailed | Signal::Stuck => Some(AlarmCause::NotMeasured),
        }
    }
}

/// A table in the numbers of the family.
fn points<A: Numbers>(levels: &Levels) -> ([(i32, Volts<A>); MOST_POINTS], usize) {
    let mut points = [(0, Volts::ZERO); MOST_POINTS];
    for (to, from) in points.iter_mut().zip(levels.points()) {
        *to = (from.counts.into(), A::volts(from.microvolts));
    }
    (points, levels.points().len())
}

/// What counts mean. A setup whose table has two points within a step of the family's volts (a quarter of a millivolt in
/// fixed point) gives no detector, and so no measurement.
fn measure<A: Numbers>(setup: &Setup, counts: Counts) -> Signal<A> {
    let (forward, reverse) = (points::<A>(&setup.forward), points::<A>(&setup.reverse));
    let detector = || {
        let forward = LevelTable::new(forward.0.get(..forward.1).unwrap_or(&[]))?;
        let reverse = LevelTable::new(reverse.0.get(..reverse.1).unwrap_or(&[]))?;
        let settings = ScalarSettings {
            reference: Reference::new(A::ohms(setup.reference_milliohms))?,
            coupling: A::decibels(setup.coupling_hundredths),
            directivity: A::decibels(setup.directivity_hundredths),
            full_scale: setup.full_scale.into(),
            weakest: A::volts(setup.weakest_microvolts),
        };
        Ok::<_, DetectorError>((ScalarDetector::new(settings, forward, reverse)?, reverse))
    };
    let Ok((detector, table)) = detector() else {
        return Signal::ConverterFailed;
    };
    match detector.read(counts.forward.into(), counts.reverse.into()) {
        Ok(reading) => Signal::Reading(reading),
        Err(error @ (DetectorError::Overload(_) | DetectorError::AboveTable(_))) => Signal::TooMuch(error),
        Err(_) => {
            // Twice the weakest, so that noise is not taken for a signal.
            let enough = A::volts(setup.weakest_microvolts.saturating_mul(2));
            match table.level(counts.reverse.into(), Channel::Reverse) {
                Ok(level) if level >= enough => Signal::ForwardLost,
                Err(error @ DetectorError::AboveTable(_)) => Signal::TooMuch(error),
                _ => Signal::NoSignal,
            }
        }
    }
}
