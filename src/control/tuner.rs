//! The tuner: a state machine with events as input and commands as output.

use core::fmt;

use super::at::Learned;
use super::bank::Bank;
use super::command::{Command, Event, Outcome, TunerReport};
use super::reading::{SensorReading, swr_of};
use super::run::{Next, Run};
use super::setting::{Positions, Setting};
use super::settings::{TunerError, TunerSettings};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Component, Hertz, Swr, Watts};

/// What follows when the relays have arrived.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Then {
    Measure,
    End(Outcome),
}

/// The state of a run. `since` is when the waiting began.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// No run.
    Rest,
    /// Relays are to move; the power must be low for that.
    Move { goal: Setting, then: Then, since: u32 },
    /// Relays have been commanded to move.
    Switching {
        step: Positions,
        goal: Setting,
        then: Then,
        since: u32,
    },
    /// Relays come to rest.
    Settling { goal: Setting, then: Then, since: u32 },
    /// A reading is to be taken; there must be power for that.
    Ready { since: u32 },
    /// A reading has been asked for.
    Measuring { since: u32 },
    /// Relays that cannot be commanded any more come to rest; then it is over.
    Resting { outcome: Outcome, since: u32 },
    /// Over.
    End(Outcome),
}

/// The number of consecutive sensor failures that ends a run.
const MOST_FAILURES: u8 = 3;

/// The controller of an automatic tuner.
///
/// A pure state machine: [`step`](Self::step) takes the time, the forward power and the latest event, and returns the
/// one thing to do next. It does no input or output and holds no reference to hardware, so it can be tested without
/// any, on the bench in [`mock`](super::mock). [`TunerDriver`](super::TunerDriver) joins it to a board.
///
/// It guarantees:
///
/// - Relays move only in a step with a known forward power at or under the limit, and one step moves them once. If the
///   power is higher or unknown, the tuner asks for less and waits; after a time it gives up.
/// - A relay moves only if it must, break before make, and settles before anything else is done.
/// - Every run ends, with an [`Outcome`], within the budget of readings, relay operations and time. After a fault it
///   ends in bypass, if the power allows the relays to move.
/// - With a vector sensor a run takes a reading, computes the best setting, sets it and reads again; if the values of
///   the parts are wrong, it learns them from the readings and computes again. With |Γ| alone it takes three readings
///   in well-spread settings. If bank and readings disagree, it checks whether the load has moved, then searches by
///   trying.
/// - Bypass is the net: a poor end is not believed before bypass has been read, and the run has begun again from there if
///   necessary. No usable end is clearly worse than the best of its readings, and the last move is read, unless the
///   budget is spent.
/// - It stops at the best setting of the bank; only a suggested setting is kept at
///   [`good_swr`](TunerSettings::good_swr).
///
/// # Care
///
/// In a tuner the voltage is high even at low power, and higher still at the antenna's end. Never touch it, or switch
/// it, under power. Transmit only where you are licensed to; listen first, tune at low power, and keep it short. This
/// controller does not protect the transmitter ([`Protection`](super::Protection) is one part of that) and is no safety
/// device: local rules and licensed practice come first.
#[derive(Clone)]
pub struct Tuner<A: Arithmetic, const L: usize, const C: usize> {
    bank: Bank<A, L, C>,
    settings: TunerSettings<A>,
    learned: Learned<A::Working, L, C>,
    /// `None`: the positions are unknown.
    positions: Option<Positions>,
    frequency: Hertz,
    state: State,
    run: Run<A, L, C>,
    /// The match that has held since the last usable run: its setting, and |Γ|² there.
    held: Option<(Setting, A::Working)>,
    /// The number of the last order.
    order: u16,
    lost_since: Option<u32>,
    ended: Option<u32>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const L: usize, const C: usize> defmt::Format for Tuner<A, L, C> {
    fn format(&self, f: defmt::Formatter<'_>) {
        match self.is_running() {
            true => defmt::write!(f, "tuner running, "),
            false => defmt::write!(f, "tuner at rest, "),
        }
        match self.setting() {
            Some(setting) => defmt::write!(f, "{}", setting),
            None => defmt::write!(f, "relays anywhere"),
        }
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> Tuner<A, L, C> {
    /// A tuner for a bank. It does not know the positions of the relays: its first run sets bypass first.
    ///
    /// # Errors
    /// [`Quantity`](TunerError::Quantity) for a setting outside its range, [`Contradiction`](TunerError::Contradiction)
    /// for settings that contradict each other.
    pub fn new(bank: Bank<A, L, C>, settings: TunerSettings<A>) -> Result<Self, TunerError> {
        settings.check(bank.most_operations())?;
        Ok(Self {
            bank,
            settings,
            learned: Learned::NOTHING,
            positions: None,
            frequency: Hertz::new(0),
            state: State::Rest,
            run: Run::new(0, false, Learned::NOTHING),
            held: None,
            order: 0,
            lost_since: None,
            ended: None,
        })
    }

    /// The bank as given.
    pub fn bank(&self) -> &Bank<A, L, C> {
        &self.bank
    }

    /// The settings.
    pub fn settings(&self) -> &TunerSettings<A> {
        &self.settings
    }

    /// The present setting; `None` while relays move, or if their positions are unknown.
    pub fn setting(&self) -> Option<Setting> {
        let Positions {
            coils,
            capacitors,
            side,
            tap: Some(tap),
        } = self.positions?
        else {
            return None;
        };
        let is_still = !matches!(
            self.state,
            State::Switching { .. } | State::Settling { .. } | State::Resting { .. }
        );
        is_still.then_some(Setting {
            coils,
            capacitors,
            side,
            tap,
        })
    }

    /// Whether a run is under way.
    pub fn is_running(&self) -> bool {
        self.state != State::Rest
    }

    /// The learned relative error of each coil and of each capacitor. Kept from run to run; zero at first.
    pub fn learned_errors(&self) -> ([Component<A>; L], [Component<A>; C]) {
        let words = |errors: &[A::Working], k: usize| {
            let error = errors.get(k).copied().unwrap_or(A::Working::ZERO);
            Component::<A>::from_working(error)
        };
        (
            core::array::from_fn(|k| words(&self.learned.coils, k)),
            core::array::from_fn(|k| words(&self.learned.capacitors, k)),
        )
    }

    /// Forgets the learned errors: after a repair.
    pub fn forget(&mut self) {
        self.learned = Learned::NOTHING;
    }

    /// Starts a run at this frequency. A setting that worked there before ([`TunerMemory`](super::TunerMemory)) is
    /// tried first; without one the first reading is taken in the present setting.
    ///
    /// # Errors
    /// [`Busy`](TunerError::Busy) during a run, [`Bank`](TunerError::Bank) for 0 Hz or a suggestion not in the bank.
    pub fn start(
        &mut self,
        now_ms: u32,
        frequency: Hertz,
        suggestion: Option<Setting>,
    ) -> Result<(), TunerError> {
        if self.is_running() {
            return Err(TunerError::Busy);
        }
        if frequency.get() == 0 {
            return Err(super::bank::BankError::NoFrequency.into());
        }
        if let Some(setting) = suggestion {
            self.bank.check(setting)?;
        }
        self.frequency = frequency;
        self.begin(now_ms, suggestion);
        Ok(())
    }

    fn begin(&mut self, now: u32, suggestion: Option<Setting>) {
        let goal = suggestion.or(self.setting()).unwrap_or(Setting::BYPASS);
        self.run = Run::new(now, suggestion.is_some(), self.learned);
        self.lost_since = None;
        self.go(goal, Then::Measure, now);
    }

    /// Starts a run that only sets bypass: the safe state to start with.
    ///
    /// # Errors
    /// [`Busy`](TunerError::Busy) during a run.
    pub fn bypass(&mut self, now_ms: u32) -> Result<(), TunerError> {
        if self.is_running() {
            return Err(TunerError::Busy);
        }
        self.run = Run::new(now_ms, false, self.learned);
        self.held = None;
        self.lost_since = None;
        self.go(Setting::BYPASS, Then::End(Outcome::Bypassed), now_ms);
        Ok(())
    }

    /// Ends the present run, if any: it goes to bypass and ends as [`Outcome::Cancelled`].
    pub fn cancel(&mut self, now_ms: u32) {
        if self.is_running() && !self.run.is_leaving {
            self.leave(Outcome::Cancelled, now_ms);
        }
    }

    fn go(&mut self, goal: Setting, then: Then, now: u32) {
        self.state = State::Move {
            goal,
            then,
            since: now,
        };
    }

    /// To the safe state; relays that are on their way come to rest first.
    fn leave(&mut self, outcome: Outcome, now: u32) {
        let moved = match self.state {
            State::Switching { .. } => {
                self.positions = None; // the answer is not awaited
                Some(now)
            }
            State::Settling { since, .. } => Some(since),
            _ => None,
        };
        self.run.give_up();
        let (goal, then) = (Setting::BYPASS, Then::End(outcome));
        match moved {
            Some(since) => self.state = State::Settling { goal, then, since },
            None => self.go(goal, then, now),
        }
    }

    /// The next step: takes the latest event and returns what to do.
    ///
    /// `now_ms` is a clock in milliseconds that may wrap; call this at least once in ten days. `forward_power` is the
    /// transmitter's power **now**, read immediately before this call: relays may move because of it. `None`, NaN and
    /// negative power mean unknown.
    ///
    /// [`Command::Switch`] and [`Command::Measure`] come only as the answer to [`Event::Tick`]. An event that does not
    /// belong to the last command is ignored.
    ///
    /// A step that takes a reading makes the decision: up to five rounds of an estimate from at most twelve readings,
    /// and one search ([`BankAt::best_setting`](super::BankAt::best_setting)).
    pub fn step(&mut self, now_ms: u32, forward_power: Option<Watts<A>>, event: Event<A>) -> Command<A> {
        let power = self.pass(now_ms, forward_power);
        let is_tick = match event {
            Event::Tick => true,
            Event::Reading(reading) => {
                self.take(reading, power, now_ms);
                false
            }
            Event::SensorFailed => {
                if let State::Measuring { .. } = self.state {
                    self.sensor_failed(now_ms);
                }
                false
            }
            Event::Switched | Event::SwitchFailed => {
                self.switched(event == Event::Switched, now_ms);
                false
            }
        };
        self.proceed(now_ms, power, is_tick)
    }

    /// What the time alone does. Returns the power, if it is one.
    fn pass(&mut self, now_ms: u32, forward_power: Option<Watts<A>>) -> Option<Watts<A>> {
        let power = forward_power.filter(|power| power.is_finite() && Watts::<A>::ZERO <= *power);
        self.let_time_pass(now_ms);
        if self.is_running()
            && !self.run.is_leaving
            && !matches!(self.state, State::End(_))
            && elapsed(now_ms, self.run.started) > self.settings.working_ms()
        {
            self.leave(Outcome::TimedOut, now_ms);
        }
        power
    }

    /// The number of the last [`Command::Switch`] or [`Command::Measure`]; it wraps. Take it with the command, and give it
    /// back with the answer to [`answer`](Self::answer).
    pub fn order(&self) -> u16 {
        self.order
    }

    /// As [`step`](Self::step), with the answer to the order of this number: an answer to an earlier order comes too late
    /// and is ignored. For sensors and relays that answer later than in the same step.
    ///
    /// ```
    /// # use ohmwright::control::{Arrangement, Bank, BankCapacitor, BankCoil, Command, Event, Setting, Tuner, TunerSettings};
    /// # use ohmwright::floating::{Capacitance, Family, Inductance, Watts};
    /// # use ohmwright::quantity::Hertz;
    /// # let coils = [BankCoil::lossless(Inductance::from_picohenries(50_000))];
    /// # let capacitors = [BankCapacitor::lossless(Capacitance::from_femtofarads(10_000))];
    /// # let bank = Bank::<Family, 1, 1>::new(coils, capacitors, Arrangement::Changeover)?;
    /// let mut tuner = Tuner::new(bank, TunerSettings::default())?;
    /// tuner.start(0, Hertz::from_megahertz(7), None)?;
    /// let power = Some(Watts::new(0.5));
    /// assert!(matches!(tuner.step(0, power, Event::Tick), Command::Switch(_)));
    /// let order = tuner.order();
    /// // Later, from an interrupt: the relays have been set.
    /// assert_eq!(tuner.answer(3, power, order, Event::Switched), Command::WaitUntil(18));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn answer(
        &mut self,
        now_ms: u32,
        forward_power: Option<Watts<A>>,
        order: u16,
        event: Event<A>,
    ) -> Command<A> {
        let is_of_the_last = order == self.order
            && match event {
                Event::Switched | Event::SwitchFailed => matches!(self.state, State::Switching { .. }),
                Event::Reading(_) | Event::SensorFailed => matches!(self.state, State::Measuring { .. }),
                Event::Tick => true,
            };
        if is_of_the_last {
            return self.step(now_ms, forward_power, event);
        }
        let power = self.pass(now_ms, forward_power);
        self.proceed(now_ms, power, false)
    }

    /// Between runs: what is over stays over, even when half of the clock's span has passed since.
    fn let_time_pass(&mut self, now: u32) {
        if self.is_running() {
            return;
        }
        let is_over = |since: u32, wait: u32| elapsed(now, since) >= wait;
        self.ended = self.ended.filter(|ended| !is_over(*ended, self.settings.rest_ms));
        if let (Some(since), Some(wait)) = (self.lost_since, self.settings.retune_after_ms)
            && is_over(since, wait)
        {
            self.lost_since = Some(now.wrapping_sub(wait));
        }
    }

    fn switched(&mut self, is_done: bool, now: u32) {
        let State::Switching { step, goal, then, .. } = self.state else {
            return;
        };
        if is_done {
            self.positions = Some(step);
            self.state = State::Settling {
                goal,
                then,
                since: now,
            };
        } else {
            self.bank_failed(now);
        }
    }

    fn bank_failed(&mut self, now: u32) {
        self.positions = None;
        if self.run.is_leaving {
            // Bypass fails too. The first cause is reported.
            let outcome = match self.state {
                State::Switching {
                    then: Then::End(outcome),
                    ..
                } => outcome,
                _ => Outcome::BankFault,
            };
            self.state = State::Resting { outcome, since: now };
        } else {
            self.leave(Outcome::BankFault, now);
        }
    }

    fn sensor_failed(&mut self, now: u32) {
        self.run.failures = self.run.failures.saturating_add(1);
        if self.run.failures >= MOST_FAILURES {
            self.leave(Outcome::SensorFault, now);
        } else {
            self.state = State::Ready { since: now };
        }
    }

    fn take(&mut self, reading: SensorReading<A>, power: Option<Watts<A>>, now: u32) {
        match self.state {
            State::Rest => self.watch(reading, power, now),
            State::Measuring { .. } => {
                let Some(reflected) = reading.power() else {
                    return self.sensor_failed(now);
                };
                // No more power can return than was sent; four standard deviations and the sensor's own errors are allowed.
                let sensor = self.settings.accuracy();
                let one = A::Working::ONE;
                let over = one + sensor.noise * A::Working::from_i32(4) + sensor.most(one);
                if reflected > over.square() {
                    return self.sensor_failed(now);
                }
                if !self.is_enough(power) {
                    // The power has gone during the reading.
                    self.state = State::Ready { since: now };
                    return;
                }
                self.run.failures = 0;
                self.decide(reading, now);
            }
            _ => {}
        }
    }

    fn is_enough(&self, power: Option<Watts<A>>) -> bool {
        power.is_some_and(|power| power >= self.settings.measuring_minimum)
    }

    fn decide(&mut self, reading: SensorReading<A>, now: u32) {
        let Some(setting) = self.setting() else {
            return self.leave(Outcome::BankFault, now); // unreachable: a reading is taken in a setting
        };
        let next = self.run.take(
            setting,
            reading.seen(),
            &self.bank,
            self.frequency,
            &self.settings,
        );
        match next {
            Next::Visit(goal) => self.visit(setting, goal, now),
            Next::Keep(setting, outcome) => {
                if let Some(lesson) = self.run.lesson() {
                    // Over many runs the error of a part is limited to four times its tolerance.
                    let most = self.settings.value_error.to_working() * A::Working::from_i32(4);
                    self.learned = lesson.limited(most);
                }
                self.go(setting, Then::End(outcome), now);
            }
            Next::Leave(outcome) => self.leave(outcome, now),
            Next::Restart => self.leave(Outcome::Drifting, now), // unreachable: the run has begun again itself
        }
    }

    /// To a reading elsewhere, if the budget allows. The last reading is kept for the setting that the run ends in.
    fn visit(&mut self, setting: Setting, goal: Setting, now: u32) {
        // To the goal, to the best so far, and then to bypass if necessary.
        let reserve = self.bank.most_operations().saturating_mul(2);
        let spent = self.run.operations.saturating_add(reserve);
        let is_affordable =
            |goal| spent.saturating_add(setting.operations_to(goal)) <= self.settings.most_operations;
        let left = self.settings.most_readings.saturating_sub(self.run.readings);
        if let Some(outcome) = self.run.closing() {
            if left == 0 || !is_affordable(goal) {
                return self.go(goal, Then::End(outcome), now);
            }
        } else if left <= 1 || !is_affordable(goal) {
            let best = self.run.best_so_far();
            let outcome = self.run.spent(&self.settings);
            if best == setting || left == 0 || !is_affordable(best) || !outcome.is_usable() {
                return match outcome.is_usable() {
                    true => self.go(best, Then::End(outcome), now),
                    false => self.leave(outcome, now),
                };
            }
            self.run.close(best, outcome);
            return self.go(best, Then::Measure, now);
        }
        self.go(goal, Then::Measure, now);
    }

    /// Between runs: does the match still hold?
    fn watch(&mut self, reading: SensorReading<A>, power: Option<Watts<A>>, now: u32) {
        let (Some(wait), Some((_, held))) = (self.settings.retune_after_ms, self.held) else {
            return;
        };
        let Some(reflected) = reading.power().filter(|_| self.is_enough(power)) else {
            return; // without power, or without a reading, nothing is known
        };
        let swr = swr_of::<A>(reflected);
        // A load that never matched well must not be tuned repeatedly: it must have become worse by a quarter.
        let held = swr_of::<A>(held).to_working();
        let quarter = Swr::from_working(held + held * A::Working::HALF * A::Working::HALF);
        let limit = if quarter > self.settings.retune_swr {
            quarter
        } else {
            self.settings.retune_swr
        };
        // A tenth lower counts as recovered.
        let found = limit.to_working() * (A::Working::from_i32(9) / A::Working::from_i32(10));
        if swr > limit {
            let since = *self.lost_since.get_or_insert(now);
            let has_rested = self
                .ended
                .is_none_or(|ended| elapsed(now, ended) >= self.settings.rest_ms);
            if elapsed(now, since) >= wait && has_rested {
                self.begin(now, None);
            }
        } else if swr.to_working() < found {
            self.lost_since = None;
        }
    }

    /// What the state asks for.
    fn proceed(&mut self, now: u32, power: Option<Watts<A>>, is_tick: bool) -> Command<A> {
        let reply_timeout = self.settings.reply_timeout_ms;
        // Each pass of the loop leaves a state for a later one.
        for _ in 0..8 {
            match self.state {
                State::Rest => return Command::Idle,
                State::Move { goal, then, since } => {
                    if let Some(command) = self.proceed_moving((goal, then, since), now, power, is_tick) {
                        return command;
                    }
                }
                State::Switching { since, .. } => {
                    if elapsed(now, since) < reply_timeout {
                        return Command::WaitUntil(since.wrapping_add(reply_timeout));
                    }
                    self.bank_failed(now);
                }
                State::Settling { goal, then, since } => {
                    let settle = u32::from(self.settings.settle_ms);
                    if elapsed(now, since) < settle {
                        return Command::WaitUntil(since.wrapping_add(settle));
                    }
                    self.go(goal, then, now);
                }
                State::Resting { outcome, since } => {
                    let settle = u32::from(self.settings.settle_ms);
                    if elapsed(now, since) < settle {
                        return Command::WaitUntil(since.wrapping_add(settle));
                    }
                    self.state = State::End(outcome);
                }
                State::Ready { since } => {
                    if let Some(command) = self.proceed_ready(since, now, power, is_tick) {
                        return command;
                    }
                }
                State::Measuring { since } => {
                    if elapsed(now, since) < reply_timeout {
                        return Command::WaitUntil(since.wrapping_add(reply_timeout));
                    }
                    self.sensor_failed(now);
                }
                State::End(outcome) => return Command::Done(self.end(outcome, now)),
            }
        }
        Command::WaitUntil(now)
    }

    /// The next step of the relays; `None` if the state has changed.
    fn proceed_moving(
        &mut self,
        (goal, then, since): (Setting, Then, u32),
        now: u32,
        power: Option<Watts<A>>,
        is_tick: bool,
    ) -> Option<Command<A>> {
        let power_timeout = self.settings.power_timeout_ms;
        let next = match self.positions {
            Some(now) => goal.next_from(now),
            None => Some(Setting::BYPASS.positions()),
        };
        let Some(step) = next else {
            self.state = match then {
                Then::Measure => State::Ready { since: now },
                Then::End(outcome) => State::End(outcome),
            };
            return None;
        };
        let is_low = power.is_some_and(|power| power <= self.settings.switching_limit);
        let has_time = elapsed(now, self.run.started) < self.settings.moving_ms();
        if is_low && is_tick {
            let operations = match self.positions {
                Some(now) => now.operations_to(step),
                None => self.bank.most_operations(),
            };
            self.run.operations = self.run.operations.saturating_add(operations);
            self.order = self.order.wrapping_add(1);
            self.state = State::Switching {
                step,
                goal,
                then,
                since: now,
            };
            return Some(Command::Switch(step));
        }
        // Handling an event may have taken time: at the next tick the power is read again.
        if is_low && elapsed(now, since) / 2 < power_timeout {
            return Some(Command::WaitUntil(now));
        }
        if has_time && elapsed(now, since) < power_timeout {
            return Some(Command::ReducePower(self.settings.switching_limit));
        }
        // The relays stay as they are: nothing else is safe, or there is no time left.
        let outcome = match then {
            Then::End(outcome) if self.run.is_leaving => outcome,
            _ if is_low => Outcome::TimedOut,
            _ if power.is_none() => Outcome::SensorFault,
            _ => Outcome::TooMuchPower,
        };
        self.run.power = None;
        self.state = State::End(outcome);
        None
    }

    /// The reading that is due; `None` if the state has changed.
    fn proceed_ready(
        &mut self,
        since: u32,
        now: u32,
        power: Option<Watts<A>>,
        is_tick: bool,
    ) -> Option<Command<A>> {
        let power_timeout = self.settings.power_timeout_ms;
        let is_enough = self.is_enough(power);
        if is_enough && is_tick {
            if self.run.readings >= self.settings.most_readings {
                // Those that failed were readings too.
                match self
                    .run
                    .closing()
                    .unwrap_or_else(|| self.run.spent(&self.settings))
                {
                    outcome if outcome.is_usable() => {
                        let best = self.run.best_so_far();
                        self.go(best, Then::End(outcome), now);
                    }
                    outcome => self.leave(outcome, now),
                }
                return None;
            }
            self.run.readings = self.run.readings.saturating_add(1);
            self.order = self.order.wrapping_add(1);
            self.state = State::Measuring { since: now };
            return Some(Command::Measure);
        }
        if is_enough && elapsed(now, since) / 2 < power_timeout {
            return Some(Command::WaitUntil(now));
        }
        if elapsed(now, since) < power_timeout {
            return Some(Command::RaisePower(self.settings.measuring_minimum));
        }
        let outcome = if is_enough {
            Outcome::TimedOut
        } else if power.is_none() {
            Outcome::SensorFault
        } else {
            Outcome::TooLittlePower
        };
        self.leave(outcome, now);
        None
    }

    fn end(&mut self, outcome: Outcome, now: u32) -> TunerReport<A> {
        self.state = State::Rest;
        self.ended = Some(now);
        let is_held = outcome.is_usable() && outcome != Outcome::Bypassed;
        let power = self.run.power.filter(|_| is_held);
        if is_held {
            self.held = self.setting().zip(power);
        } else if self.held.map(|(setting, _)| setting) != self.setting() {
            self.held = None; // otherwise nothing has moved, and the match from before is still the one to be watched
        }
        let swr = power.map(swr_of::<A>);
        TunerReport {
            outcome,
            setting: self.setting(),
            swr,
            readings: self.run.readings,
            operations: self.run.operations,
        }
    }
}

/// The changing state only, without bank and settings.
impl<A: Arithmetic, const L: usize, const C: usize> fmt::Debug for Tuner<A, L, C> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Tuner")
            .field("state", &self.state)
            .field("positions", &self.positions)
            .field("run", &self.run)
            .field("learned", &self.learned)
            .field("frequency", &self.frequency)
            .field("held", &self.held)
            .field("order", &self.order)
            .field("lost_since", &self.lost_since)
            .field("ended", &self.ended)
            .finish_non_exhaustive()
    }
}

/// Milliseconds from `since` to `now`, on a clock that wraps; 0 if it seems to have gone back.
fn elapsed(now: u32, since: u32) -> u32 {
    let time = now.wrapping_sub(since);
    if time > u32::MAX / 2 { 0 } else { time }
}
