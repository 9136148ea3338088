//! The state machine: buttons, sweep, calibration.

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::OriginDimensions;
use embedded_graphics::pixelcolor::BinaryColor;
use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::calibration::{
    CalibrationError, CalibrationPoint, CalibrationTable, Corrector, Kit, Recording, Role,
};
use ohmwright::measure::detector::{DetectorError, VectorDetector};
use ohmwright::measure::{FrequencyPlan, PlanError, SweepAnalyser, SweepReport};
use ohmwright::quantity::{Decibels, Hertz, Reference, Reflection};

use crate::front::{Receivers, Source};
use crate::vault::{self, Vault, VaultError};
use crate::view::View;

/// What the instrument can be told to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ability {
    /// Sweep the load.
    Sweep,
    /// Calibrate with open, short and load.
    Calibrate,
}

/// The three buttons.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Button {
    /// The next choice.
    Next,
    /// Do it.
    Confirm,
    /// Leave it.
    Leave,
}

/// Why something did not come about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The source failed.
    Source,
    /// The receivers failed.
    Receivers,
    /// A standard could not be read at a frequency.
    Reading(DetectorError),
    /// The standards give no calibration: two of them were alike, say.
    Calibration(CalibrationError),
    /// The calibration works, and is not kept.
    NotKept(VaultError),
}

/// What the display shows, and the buttons act on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// One of the abilities is offered.
    Choice(Ability),
    /// A sweep of the load goes on.
    Sweeping,
    /// The sweep is over: so many points could not be measured, and were left out.
    Swept(u32),
    /// A standard is to be connected.
    Connect(Role),
    /// A standard is read.
    Reading(Role),
    /// The calibration is done.
    Calibrated,
    /// It did not come about.
    Failed(Trouble),
}

/// Band, detector and standards.
#[derive(Clone, Copy, Debug)]
pub struct Settings<A: Arithmetic> {
    /// The first frequency.
    pub start: Hertz,
    /// The last frequency.
    pub stop: Hertz,
    /// The receivers as a detector.
    pub detector: VectorDetector<A>,
    /// The standards.
    pub kit: Kit<A>,
    /// The reference.
    pub reference: Reference<A>,
    /// The power of the source.
    pub power_dbm: Decibels<A>,
}

/// The memory for the points of a calibration: free, or with readings of standards.
enum Room<'a, A: Arithmetic> {
    Free(&'a mut [CalibrationPoint<A>]),
    Recording(Recording<'a, A>),
}

/// The analyser. `N` is the number of dips that it tells apart.
pub struct Instrument<'a, A: Arithmetic, S, R, V, const N: usize> {
    settings: Settings<A>,
    plan: FrequencyPlan<'static>,
    source: S,
    receivers: R,
    vault: V,
    /// The calibration that corrects; the first `calibrated` of them.
    points: &'a mut [CalibrationPoint<A>],
    calibrated: usize,
    room: Room<'a, A>,
    buffer: &'a mut [u8],
    analyser: SweepAnalyser<A, N>,
    view: View,
    stage: Stage,
    /// The next point of the plan.
    next: u32,
    left_out: u32,
    /// The stage was entered, and is not drawn yet.
    is_new: bool,
}

impl<'a, A, S, R, V, const N: usize> Instrument<'a, A, S, R, V, N>
where
    A: Arithmetic,
    S: Source,
    R: Receivers,
    V: Vault,
{
    /// Starts with the stored calibration, if there is one.
    ///
    /// `points` and `room` each have a place for every point of a sweep, whose number they give; `buffer` holds a slot of the
    /// vault: 64 bytes, and 40 for each point in a family of 32 bits.
    ///
    /// # Errors
    /// [`PlanError`] for a band that gives no sweep.
    pub fn new(
        settings: Settings<A>,
        (source, receivers, vault): (S, R, V),
        points: &'a mut [CalibrationPoint<A>],
        room: &'a mut [CalibrationPoint<A>],
        buffer: &'a mut [u8],
    ) -> Result<Self, PlanError> {
        let count = u32::try_from(points.len().min(room.len())).unwrap_or(u32::MAX);
        let plan = FrequencyPlan::linear(settings.start, settings.stop, count)?;
        let mut instrument = Self {
            settings,
            plan,
            source,
            receivers,
            vault,
            points,
            calibrated: 0,
            room: Room::Free(room),
            buffer,
            analyser: SweepAnalyser::with_defaults(),
            view: View::new(),
            stage: Stage::Choice(Ability::Sweep),
            next: 0,
            left_out: 0,
            is_new: true,
        };
        instrument.calibrated =
            vault::load(&mut instrument.vault, instrument.buffer, instrument.points).unwrap_or(0);
        if !instrument.is_calibrated() {
            instrument.stage = Stage::Choice(Ability::Calibrate);
        }
        Ok(instrument)
    }

    /// What the display shows.
    pub fn stage(&self) -> Stage {
        self.stage
    }

    /// Whether readings are corrected.
    pub fn is_calibrated(&self) -> bool {
        self.calibrated > 1
    }

    /// The report of the sweep so far.
    pub fn report(&self) -> SweepReport<A, N> {
        self.analyser.report()
    }

    /// Gives back what the board brought.
    pub fn release(self) -> (S, R, V) {
        (self.source, self.receivers, self.vault)
    }

    /// A button was pressed.
    pub fn press(&mut self, button: Button) {
        match (self.stage, button) {
            (Stage::Choice(Ability::Sweep), Button::Next) => self.enter(Stage::Choice(Ability::Calibrate)),
            (Stage::Choice(Ability::Calibrate), Button::Next) => self.enter(Stage::Choice(Ability::Sweep)),
            (Stage::Choice(Ability::Sweep) | Stage::Swept(_), Button::Confirm) => self.enter(Stage::Sweeping),
            (Stage::Choice(Ability::Calibrate), Button::Confirm) => {
                self.room = Room::Recording(Recording::new(self.take_room()));
                self.enter(Stage::Connect(Role::Open));
            }
            (Stage::Connect(role), Button::Confirm) => self.enter(Stage::Reading(role)),
            // The one before, once more.
            (Stage::Connect(role), Button::Next) => {
                let before = match role {
                    Role::Open | Role::Short => Role::Open,
                    _ => Role::Short,
                };
                if let Room::Recording(recording) = &mut self.room {
                    recording.restart(before);
                }
                self.enter(Stage::Connect(before));
            }
            (Stage::Choice(_), Button::Leave)
            | (Stage::Sweeping | Stage::Reading(_), Button::Next | Button::Confirm) => {}
            (Stage::Calibrated | Stage::Failed(_), _)
            | (_, Button::Leave)
            | (Stage::Swept(_), Button::Next) => {
                self.room = Room::Free(self.take_room());
                self.enter(Stage::Choice(Ability::Sweep));
            }
        }
    }

    /// One step: a point of a sweep, or what is to be drawn. Call it again and again; it ends after one point.
    ///
    /// # Errors
    /// An error of the display. The sweep has gone on all the same.
    pub fn step<D>(&mut self, display: &mut D) -> Result<(), D::Error>
    where
        D: DrawTarget<Color = BinaryColor> + OriginDimensions,
    {
        let mut drawn = Ok(());
        if core::mem::take(&mut self.is_new) {
            drawn = self.draw(display);
        }
        match self.stage {
            Stage::Sweeping => match self.plan.point(self.next) {
                Some(frequency) => {
                    self.next = self.next.saturating_add(1);
                    match self.load(frequency) {
                        Err(trouble) => self.enter(Stage::Failed(trouble)),
                        Ok(None) => self.left_out = self.left_out.saturating_add(1),
                        Ok(Some(gamma)) => {
                            if self.analyser.push(frequency, gamma).is_ok() {
                                drawn = drawn.and(self.view.trace_to(display, frequency, gamma));
                            } else {
                                self.left_out = self.left_out.saturating_add(1);
                            }
                        }
                    }
                }
                None => self.enter(Stage::Swept(self.left_out)),
            },
            Stage::Reading(role) => match self.plan.point(self.next) {
                Some(frequency) => {
                    self.next = self.next.saturating_add(1);
                    if let Err(trouble) = self.record(role, frequency) {
                        self.enter(Stage::Failed(trouble));
                    }
                }
                None => match role {
                    Role::Open => self.enter(Stage::Connect(Role::Short)),
                    Role::Short => self.enter(Stage::Connect(Role::Load)),
                    _ => {
                        let stage = self.solve().map_or_else(Stage::Failed, |()| Stage::Calibrated);
                        self.enter(stage);
                    }
                },
            },
            _ => {}
        }
        drawn
    }

    fn draw<D>(&mut self, display: &mut D) -> Result<(), D::Error>
    where
        D: DrawTarget<Color = BinaryColor> + OriginDimensions,
    {
        let title = if self.is_calibrated() {
            "Calibrated"
        } else {
            "NOT CALIBRATED"
        };
        match self.stage {
            Stage::Sweeping => {
                let report = self.analyser.report();
                self.view
                    .begin(display, (self.plan.start(), self.plan.stop()), title, &report)
            }
            Stage::Swept(_) => self.view.end(display, &self.analyser.report()),
            stage => self.view.words(display, stage, title),
        }
    }

    fn enter(&mut self, stage: Stage) {
        self.stage = stage;
        self.is_new = true;
        self.next = 0;
        if stage == Stage::Sweeping {
            self.left_out = 0;
            self.analyser.restart();
        }
    }

    fn take_room(&mut self) -> &'a mut [CalibrationPoint<A>] {
        match core::mem::replace(&mut self.room, Room::Free(&mut [])) {
            Room::Free(room) => room,
            Room::Recording(recording) => recording.into_room(),
        }
    }

    /// A raw reading; the inner error is one of this reading alone.
    fn raw(&mut self, frequency: Hertz) -> Result<Result<Reflection<A>, DetectorError>, Trouble> {
        self.source.set(frequency).map_err(|_| Trouble::Source)?;
        let waves = self.receivers.read().map_err(|_| Trouble::Receivers)?;
        let reading = self
            .settings
            .detector
            .read_counts(waves.incident, waves.reflected);
        Ok(reading.map(|reading| reading.reflection()))
    }

    /// The load at a frequency; `None` where it cannot be measured.
    fn load(&mut self, frequency: Hertz) -> Result<Option<Reflection<A>>, Trouble> {
        let Ok(raw) = self.raw(frequency)? else {
            return Ok(None);
        };
        if !self.is_calibrated() {
            return Ok(Some(raw));
        }
        Ok(self
            .corrector()
            .and_then(|mut corrector| corrector.checked_correct(frequency, raw).ok()))
    }

    fn corrector(&self) -> Option<Corrector<'_, A>> {
        let points = self.points.get(..self.calibrated)?;
        let table = CalibrationTable::new(points, self.settings.reference, self.settings.power_dbm).ok()?;
        Some(table.corrector())
    }

    fn record(&mut self, role: Role, frequency: Hertz) -> Result<(), Trouble> {
        let raw = self.raw(frequency)?.map_err(Trouble::Reading)?;
        match &mut self.room {
            Room::Recording(recording) => recording.push(role, frequency, raw).map_err(Trouble::Calibration),
            Room::Free(_) => Err(Trouble::Calibration(CalibrationError::Unread(role))),
        }
    }

    /// Solves and stores. The calibration before stays if there is nothing better.
    fn solve(&mut self) -> Result<(), Trouble> {
        let settings = self.settings;
        let Room::Recording(recording) = &mut self.room else {
            return Err(Trouble::Calibration(CalibrationError::Unread(Role::Open)));
        };
        let solved = recording.solve_in_place(&settings.kit, settings.reference, settings.power_dbm);
        let count = solved
            .map_err(|failure| Trouble::Calibration(failure.cause))?
            .points()
            .len();
        // The two change places: what held the calibration before is the room of the next one.
        let fresh = self.take_room();
        let before = core::mem::replace(&mut self.points, fresh);
        self.calibrated = count;
        let points = self.points.get(..count).unwrap_or(&[]);
        let stored = CalibrationTable::new(points, settings.reference, settings.power_dbm)
            .map_err(Trouble::Calibration)
            .and_then(|table| {
                vault::save(&mut self.vault, &table, self.buffer, before).map_err(Trouble::NotKept)
            });
        self.room = Room::Free(before);
        stored
    }
}
