//! One run of the tuner: its readings, its budget, and what to do next.

use super::arrangement::Arrangement;
use super::at::{BankAt, Learned};
use super::bank::Bank;
use super::command::Outcome;
use super::explain::{Explanation, Prior, explain, rim};
use super::multistate::FEWEST;
use super::reading::{Observation, Seen, swr_of};
use super::sensor::Accuracy;
use super::setting::{Setting, Side};
use super::settings::TunerSettings;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::plane::Plane;
use crate::quantity::swr::standing_wave;
use crate::quantity::{Capacitance, Complex, Hertz, Inductance, Swr};

/// The number of stored readings; if there are more, those nearest to a match and the latest are kept.
const MEMORY: usize = 12;

/// The number of readings beside the best setting that a sensor of |Γ| takes.
const MOST_LOOKS: u8 = 2;
/// The number of readings that are enough to decide.
const ENOUGH: usize = 6;

/// The number of readings of |Γ| after which a poor end is believed, and what is poor.
const MOST_PROBES: usize = 10;
const POOR: i32 = 3;

/// How the next setting is found.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Phase<W> {
    /// From the load that the readings determine.
    Explain,
    /// Readings and bank disagree. Is the load still the one that was read before, in this setting?
    Check(Seen<W>),
    /// By trying, from the best setting so far.
    Blind(Blind<W>),
}

/// A search by readings alone: steps in inductance, capacitance, side and tap; half as large when none of them helps.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Blind<W> {
    base: Setting,
    /// |Γ|² of the best setting.
    power: W,
    /// Steps are 2^−`fineness` of the total.
    fineness: u8,
    direction: u8,
}

impl<W: Real> Blind<W> {
    /// One step up or down from a value, as a part of the total.
    fn stepped(&self, now: W, all: W, is_up: bool) -> W {
        let part = W::ONE / W::from_i32(1 << self.fineness.min(15));
        let step = all * part;
        if is_up {
            now + step
        } else {
            (now - step).larger(W::ZERO)
        }
    }
}

const DIRECTIONS: u8 = 6;
/// A step of 1/512 of the total.
const FINEST: u8 = 9;

/// What to do after a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Next {
    /// Take a reading in this setting.
    Visit(Setting),
    /// The run ends in this setting.
    Keep(Setting, Outcome),
    /// The run ends in bypass.
    Leave(Outcome),
    /// The load has moved: once more, with this reading as the first. Never leaves [`Run::take`].
    Restart,
}

/// A run that only awaits the reading of the setting that it ends in.
#[derive(Clone, Copy, Debug)]
struct Closing<W> {
    kept: Setting,
    /// What was read there before.
    before: Seen<W>,
    outcome: Outcome,
    /// |Γ|² as calculated.
    power: Option<W>,
}

#[derive(Clone, Debug)]
pub(super) struct Run<A: Arithmetic, const L: usize, const C: usize> {
    pub(super) started: u32,
    pub(super) readings: u8,
    pub(super) operations: u16,
    /// Consecutive failures of the sensor.
    pub(super) failures: u8,
    /// On the way to the safe state, which nothing interrupts.
    pub(super) is_leaving: bool,
    /// A stored setting was suggested.
    pub(super) is_suggested: bool,
    seen: [Option<Observation<A::Working>>; MEMORY],
    phase: Phase<A::Working>,
    has_restarted: bool,
    /// The reading that is awaited is the last, in the setting that the run ends in.
    closing: Option<Closing<A::Working>>,
    /// What was read in bypass, the net under each run: it is not dropped from a full memory.
    bypass: Option<Seen<A::Working>>,
    /// The reading that is awaited is that of bypass.
    awaits_bypass: bool,
    /// The run has begun again from bypass; this was the best reading before.
    net: Option<Observation<A::Working>>,
    has_begun_again: bool,
    /// Readings taken beside the best setting.
    looks: u8,
    load: Option<Complex<A::Working>>,
    /// The errors of the bank known before, and those from these readings.
    before: Learned<A::Working, L, C>,
    found: Option<Learned<A::Working, L, C>>,
    /// |Γ|² in the setting that is kept.
    pub(super) power: Option<A::Working>,
}

impl<A: Arithmetic, const L: usize, const C: usize> Run<A, L, C> {
    pub(super) fn new(now: u32, is_suggested: bool, before: Learned<A::Working, L, C>) -> Self {
        Self {
            started: now,
            readings: 0,
            operations: 0,
            failures: 0,
            is_leaving: false,
            is_suggested,
            seen: [None; MEMORY],
            phase: Phase::Explain,
            has_restarted: false,
            closing: None,
            bypass: None,
            awaits_bypass: false,
            net: None,
            has_begun_again: false,
            looks: 0,
            load: None,
            before,
            found: None,
            power: None,
        }
    }

    /// From now on the run only goes to the safe state: its readings no longer count.
    pub(super) fn give_up(&mut self) {
        self.is_leaving = true;
        self.failures = 0;
        self.seen = [None; MEMORY];
        self.phase = Phase::Explain;
        self.closing = None;
        self.net = None;
        self.bypass = None;
        self.load = None;
        self.found = None;
        self.power = None;
    }

    /// The outcome of the end that only one more reading is awaited for.
    pub(super) fn closing(&self) -> Option<Outcome> {
        self.closing.map(|closing| closing.outcome)
    }

    /// The next reading is the last, in this setting.
    pub(super) fn close(&mut self, kept: Setting, outcome: Outcome) {
        self.closing = self.reading_of(kept).map(|before| Closing {
            kept,
            before,
            outcome,
            power: self.power,
        });
    }

    /// The outcome where the budget is spent: what reflects everything cannot be used.
    pub(super) fn spent(&self, settings: &TunerSettings<A>) -> Outcome {
        match self.best_seen() {
            Some((_, seen)) if seen.power() < A::Working::ONE && !self.is_without_resistance(settings) => {
                Outcome::BudgetSpent
            }
            Some(_) => Outcome::LoadWithoutResistance,
            None => Outcome::SensorFault,
        }
    }

    /// The latest reading in a setting, those before the run began again included.
    fn reading_of(&self, setting: Setting) -> Option<Seen<A::Working>> {
        let before = self.net.filter(|net| net.setting == setting);
        let bypass = self.bypass.filter(|_| setting == Setting::BYPASS);
        self.seen_behind(setting)
            .or(before.map(|net| net.seen))
            .or(bypass)
    }

    /// The learned errors of the bank, if bank and readings agree.
    pub(super) fn lesson(&self) -> Option<&Learned<A::Working, L, C>> {
        if self.phase == Phase::Explain {
            self.found.as_ref()
        } else {
            None
        }
    }

    /// A full memory drops the reading furthest from a match: it has the least information.
    fn remember(&mut self, observation: Observation<A::Working>) {
        if self.seen.iter().all(Option::is_some) {
            let mut worst: Option<(usize, A::Working)> = None;
            for k in 0..MEMORY {
                if let Some(Some(held)) = self.seen.get(k)
                    && worst.is_none_or(|(_, most)| held.seen.power() > most)
                {
                    worst = Some((k, held.seen.power()));
                }
            }
            if let Some(tail) = worst.and_then(|(k, _)| self.seen.get_mut(k..)) {
                // Keeps the order: the latest is last.
                for k in 0..tail.len() {
                    let next = tail.get(k.saturating_add(1)).copied().flatten();
                    if let Some(place) = tail.get_mut(k) {
                        *place = next;
                    }
                }
            }
        }
        if let Some(place) = self.seen.iter_mut().find(|place| place.is_none()) {
            *place = Some(observation);
        }
    }

    fn seen_behind(&self, setting: Setting) -> Option<Seen<A::Working>> {
        let mut found = None;
        for observation in self.seen.iter().flatten() {
            if observation.setting == setting {
                found = Some(observation.seen);
            }
        }
        found
    }

    /// The setting with the lowest reading.
    fn best_seen(&self) -> Option<(Setting, Seen<A::Working>)> {
        let mut best: Option<(Setting, Seen<A::Working>)> = None;
        for observation in self.seen.iter().flatten().chain(&self.net) {
            if best.is_none_or(|(_, seen)| observation.seen.power() < seen.power()) {
                best = Some((observation.setting, observation.seen));
            }
        }
        best
    }

    /// Takes a reading and returns what to do next.
    pub(super) fn take(
        &mut self,
        setting: Setting,
        seen: Seen<A::Working>,
        bank: &Bank<A, L, C>,
        frequency: Hertz,
        settings: &TunerSettings<A>,
    ) -> Next {
        let noise = settings.sensor_noise.to_working();
        let mut next = None;
        if let Some(closing) = self.closing.take() {
            if !is_other(closing.before, seen, noise) {
                self.power = closing.power;
                return Next::Keep(closing.kept, closing.outcome);
            }
            // The load has moved, or a relay has not.
            next = Some(Next::Restart);
        }
        if self.awaits_bypass {
            // In bypass a reading is the load itself: what was believed before is forgotten, but for the best reading.
            self.awaits_bypass = false;
            self.net = self
                .best_seen()
                .map(|(setting, seen)| Observation { setting, seen });
            self.forget();
        }
        let mut next = match next {
            Some(next) => next,
            None => self.think(setting, seen, bank, frequency, settings),
        };
        if next == Next::Restart {
            // Once may be chance, twice is a load that does not rest.
            if self.has_restarted {
                return Next::Leave(Outcome::Drifting);
            }
            self.has_restarted = true;
            self.net = None;
            self.bypass = None;
            self.forget();
            next = self.think(setting, seen, bank, frequency, settings);
        }
        self.above_the_net(next, setting, settings)
    }

    fn forget(&mut self) {
        self.seen = [None; MEMORY];
        self.load = None;
        self.found = None;
        self.looks = 0;
        self.phase = Phase::Explain;
    }

    /// Holds an end against the readings: never worse than the best of them, bypass included, and read last.
    fn above_the_net(&mut self, next: Next, here: Setting, settings: &TunerSettings<A>) -> Next {
        let Next::Keep(mut kept, mut outcome) = next else {
            return next;
        };
        let (Some(mut own), Some((best, least))) = (self.reading_of(kept), self.best_seen()) else {
            return Next::Visit(kept);
        };
        let sensor = settings.accuracy();
        let calculated = self.power.unwrap_or(own.power());
        if is_clearly_larger(own.power(), least.power(), sensor) {
            (kept, own) = (best, least);
            self.power = Some(own.power());
        } else if is_clearly_larger(own.power(), calculated, sensor) {
            // What was calculated is not what is there.
            self.power = Some(own.power());
        }
        let swr = swr_of::<A>(self.power.unwrap_or(own.power()));
        if swr > settings.good_swr
            && let Some(next) = self.begin_again_in_bypass()
        {
            return next;
        }
        if let (Seen::Size(_), Phase::Explain) = (own, self.phase)
            && swr > Swr::whole::<POOR>()
        {
            // Circles that meet near the rim can all be wrong: what the bank promises is tried before it is believed.
            self.net = Some(Observation {
                setting: best,
                seen: least,
            });
            self.phase = Phase::Check(least);
            return Next::Visit(best);
        }
        if own.power() >= A::Working::ONE || self.is_without_resistance(settings) {
            return Next::Leave(Outcome::LoadWithoutResistance);
        }
        if swr > settings.good_swr {
            outcome = Outcome::BestAvailable;
        }
        if kept != here {
            self.close(kept, outcome);
            return Next::Visit(kept);
        }
        Next::Keep(kept, outcome)
    }

    /// To bypass, to begin again there; `None` if it has been read.
    fn begin_again_in_bypass(&mut self) -> Option<Next> {
        if self.has_begun_again || self.reading_of(Setting::BYPASS).is_some() {
            return None;
        }
        self.has_begun_again = true;
        self.awaits_bypass = true;
        Some(Next::Visit(Setting::BYPASS))
    }

    /// Whether no reading says that the load takes power: in bypass all of it returns, and the best of the bank is a poor
    /// match, or a match of the bank's own losses, which are above those of a load with |Γ| = 0.99.
    fn is_without_resistance(&self, settings: &TunerSettings<A>) -> bool {
        let returns = self.reading_of(Setting::BYPASS).zip(self.best_seen());
        returns.is_some_and(|(bypass, (_, best))| {
            let size = bypass.power().square_root();
            let one = A::Working::ONE;
            let all = one - one / A::Working::from_i32(100) + settings.accuracy().most(one);
            size >= nothing_taken(settings)
                && (size >= all || swr_of::<A>(best.power()) > Swr::whole::<POOR>())
        })
    }

    fn think(
        &mut self,
        setting: Setting,
        seen: Seen<A::Working>,
        bank: &Bank<A, L, C>,
        frequency: Hertz,
        settings: &TunerSettings<A>,
    ) -> Next {
        self.power = Some(seen.power());
        let observation = Observation { setting, seen };
        if setting == Setting::BYPASS {
            self.bypass = Some(seen);
        }
        match self.phase {
            Phase::Explain => {
                self.remember(observation);
                self.explain(setting, seen, bank, frequency, settings)
            }
            Phase::Check(before) => {
                if is_other(before, seen, settings.sensor_noise.to_working()) {
                    return Next::Restart;
                }
                self.blindly(
                    Blind {
                        base: setting,
                        power: seen.power(),
                        fineness: 2,
                        direction: 0,
                    },
                    bank,
                    settings,
                )
            }
            Phase::Blind(mut blind) => {
                self.remember(observation);
                // Better by more than the noise: two per cent of |Γ|².
                let enough = blind.power - blind.power / A::Working::from_i32(50);
                if seen.power() < enough {
                    blind.base = setting;
                    blind.power = seen.power();
                } else {
                    blind.direction = blind.direction.saturating_add(1);
                }
                self.blindly(blind, bank, settings)
            }
        }
    }

    fn explain(
        &mut self,
        setting: Setting,
        seen: Seen<A::Working>,
        bank: &Bank<A, L, C>,
        frequency: Hertz,
        settings: &TunerSettings<A>,
    ) -> Next {
        if let Some(next) = self.at_once(setting, seen, settings) {
            return next;
        }
        let known = self.found.as_ref().unwrap_or(&self.before);
        let Ok(at) = BankAt::new(bank, Some(known), frequency, settings.reference) else {
            return Next::Leave(Outcome::BankFault); // unreachable: the frequency was checked
        };
        let last = Observation { setting, seen };
        let (list, count) = self.remembered(last);
        let list = list.get(..count).unwrap_or(&[]);
        let at_reference = (frequency, settings.reference);
        let prior = Prior {
            tolerance: settings.tolerance(),
            sensor: settings.accuracy(),
        };
        let from = |start| explain(bank, at_reference, &self.before, list, start, prior);
        let explained = match seen {
            Seen::Vector(gamma) => from(at.load_of(setting, gamma)),
            Seen::Size(size) => {
                if count < FEWEST {
                    // The first reading gives the best estimate of the load's |Γ|.
                    let size = list
                        .first()
                        .map_or(size, |first| first.seen.power().square_root());
                    return match at.next_probe(list, size) {
                        Some(probe) => Next::Visit(probe),
                        None => self.doubt(),
                    };
                }
                best_explanation(&at, list, self.load, from)
            }
        };
        let Some(explained) = explained else {
            return self.doubt();
        };
        if !explained.is_believable() {
            return self.doubt();
        }
        self.load = Some(explained.load);
        self.found = Some(explained.learned);
        if explained.load.magnitude() >= rim::<A::Working>()
            && let (Seen::Size(_), true, Some(probe)) =
                (seen, count < ENOUGH, at.next_probe(list, A::Working::ONE))
        {
            // Wrong explanations end here: one more reading of another kind.
            return Next::Visit(probe);
        }
        let Ok(at) = BankAt::new(bank, Some(&explained.learned), frequency, settings.reference) else {
            return Next::Leave(Outcome::BankFault);
        };
        self.decide(explained.load, list, last, &at, bank, settings)
    }

    /// Cases that need no explanation: nothing much better, no power taken, or a good suggested setting.
    fn at_once(
        &mut self,
        setting: Setting,
        seen: Seen<A::Working>,
        settings: &TunerSettings<A>,
    ) -> Option<Next> {
        if !is_worth_it::<A>(seen.power(), A::Working::ZERO) {
            return Some(Next::Keep(setting, Outcome::Matched));
        }
        if let Some(next) = self.without_power(seen, settings) {
            return Some(next);
        }
        let mut readings = self.seen.iter().flatten();
        let is_first = readings.next().is_some() && readings.next().is_none();
        if is_first && self.is_suggested && swr_of::<A>(seen.power()) <= settings.good_swr {
            return Some(Next::Keep(setting, Outcome::Matched));
        }
        // Far from a match a reading says little about the load behind the bank: 0.9 squared.
        let is_far = seen.power() > A::Working::from_i32(81) / A::Working::from_i32(100);
        if is_first && is_far {
            self.begin_again_in_bypass()
        } else {
            None
        }
    }

    /// The stored readings in one array, and their number; `fill` fills the unused entries.
    fn remembered(&self, fill: Observation<A::Working>) -> ([Observation<A::Working>; MEMORY], usize) {
        let mut list = [fill; MEMORY];
        let mut count = 0usize;
        for (place, observation) in list.iter_mut().zip(self.seen.iter().flatten()) {
            *place = *observation;
            count = count.saturating_add(1);
        }
        (list, count)
    }

    /// The best setting for a known load: to be visited, or kept if it has been read already or gains too little.
    fn decide(
        &mut self,
        load: Complex<A::Working>,
        list: &[Observation<A::Working>],
        last: Observation<A::Working>,
        at: &BankAt<A, L, C>,
        bank: &Bank<A, L, C>,
        settings: &TunerSettings<A>,
    ) -> Next {
        let port = Plane::of(load);
        let Some(best) = at.best_for(load) else {
            return self.doubt();
        };
        let promised = at.power_of(best, port);
        // The best that has been read, as calculated from readings and bank.
        let (mut kept, mut power) = (last.setting, at.power_of(last.setting, port));
        for observation in list {
            let own = at.power_of(observation.setting, port);
            if own < power {
                kept = observation.setting;
                power = own;
            }
        }
        if best != kept && is_worth_it::<A>(power, promised) {
            return Next::Visit(best);
        }
        // A magnitude does not give the direction of the match: read beside it, as long as that may be useful.
        if let Seen::Size(_) = last.seen
            && self.looks < MOST_LOOKS
            && power > A::Working::ONE / A::Working::from_i32(500)
            && let Some(beside) = self.beside(kept, port, at, bank)
        {
            self.looks = self.looks.saturating_add(1);
            return Next::Visit(beside);
        }
        if let Seen::Size(_) = last.seen
            && swr_of::<A>(power) > Swr::whole::<POOR>()
            && list.len() < MOST_PROBES
            && let Some(probe) = at.next_probe(list, load.magnitude())
        {
            // Circles meet at more than one point, and near the rim all of them may be wrong: once more, from the start.
            self.load = None;
            return Next::Visit(probe);
        }
        self.power = Some(power);
        let outcome = if swr_of::<A>(power) <= settings.good_swr {
            Outcome::Matched
        } else {
            Outcome::BestAvailable
        };
        Next::Keep(kept, outcome)
    }

    /// Whether the load takes no measurable power; it is refused only after it has been tried.
    fn without_power(&self, seen: Seen<A::Working>, settings: &TunerSettings<A>) -> Option<Next> {
        let enough = match seen {
            Seen::Vector(_) => ENOUGH,
            Seen::Size(_) => MOST_PROBES,
        };
        let tried = self
            .seen
            .iter()
            .flatten()
            .fold(0usize, |count, _| count.wrapping_add(1));
        let has_tried = tried >= enough;
        let bypass = self.reading_of(Setting::BYPASS)?.power().square_root();
        let is_sure = bypass >= A::Working::ONE - settings.accuracy().noise * A::Working::from_i32(3);
        (has_tried && is_sure && self.is_without_resistance(settings))
            .then_some(Next::Leave(Outcome::LoadWithoutResistance))
    }

    /// Of the unread settings one step away, the one with the lowest calculated SWR.
    fn beside(
        &self,
        kept: Setting,
        load: Plane<A::Working>,
        at: &BankAt<A, L, C>,
        bank: &Bank<A, L, C>,
    ) -> Option<Setting> {
        let mut best: Option<(A::Working, Setting)> = None;
        for fineness in [FINEST - 1, FINEST - 2] {
            for direction in 0..DIRECTIONS {
                let blind = Blind {
                    base: kept,
                    power: A::Working::ZERO,
                    fineness,
                    direction,
                };
                if let Some(setting) = step_from(&blind, bank)
                    && self.seen_behind(setting).is_none()
                {
                    let power = at.power_of(setting, load);
                    if best.is_none_or(|(least, _)| power < least) {
                        best = Some((power, setting));
                    }
                }
            }
        }
        best.map(|(_, setting)| setting)
    }

    /// Readings and bank disagree: back to the best so far, to check whether the load has moved.
    fn doubt(&mut self) -> Next {
        if let Some(next) = self.begin_again_in_bypass() {
            return next;
        }
        match self.best_seen() {
            Some((setting, seen)) => {
                self.phase = Phase::Check(seen);
                Next::Visit(setting)
            }
            None => Next::Leave(Outcome::SensorFault), // unreachable: a reading has just come
        }
    }

    /// The next setting to try.
    fn blindly(
        &mut self,
        mut blind: Blind<A::Working>,
        bank: &Bank<A, L, C>,
        settings: &TunerSettings<A>,
    ) -> Next {
        loop {
            if blind.direction >= DIRECTIONS {
                blind.direction = 0;
                blind.fineness = blind.fineness.saturating_add(1);
            }
            if blind.fineness > FINEST {
                break;
            }
            if let Some(setting) = step_from(&blind, bank)
                && self.seen_behind(setting).is_none()
            {
                self.phase = Phase::Blind(blind);
                return Next::Visit(setting);
            }
            blind.direction = blind.direction.saturating_add(1);
        }
        self.phase = Phase::Blind(blind);
        self.power = Some(blind.power);
        let outcome = if swr_of::<A>(blind.power) <= settings.good_swr {
            Outcome::Matched
        } else {
            Outcome::BestAvailable
        };
        Next::Keep(blind.base, outcome)
    }

    /// The best setting so far, when the budget is spent.
    pub(super) fn best_so_far(&mut self) -> Setting {
        if let Phase::Blind(blind) = self.phase {
            // Its reading may already have been dropped.
            self.power = Some(blind.power);
            return blind.base;
        }
        match self.best_seen() {
            Some((setting, seen)) => {
                self.power = Some(seen.power());
                setting
            }
            None => Setting::BYPASS,
        }
    }
}

/// The explanation of magnitudes with the least residual, from the known load or from where the circles meet.
fn best_explanation<A: Arithmetic, const L: usize, const C: usize>(
    at: &BankAt<A, L, C>,
    list: &[Observation<A::Working>],
    known: Option<Complex<A::Working>>,
    from: impl Fn(Complex<A::Working>) -> Option<Explanation<A::Working, L, C>>,
) -> Option<Explanation<A::Working, L, C>> {
    let start = known.or_else(|| at.load_from_sizes(list));
    let mut best = start.and_then(&from);
    // Circles meet at more than one point: if this one does not explain the readings well, try the others.
    if best.as_ref().is_none_or(|best| !best.is_close()) {
        for start in at.starts(list).into_iter().flatten() {
            if let Some(other) = from(start)
                && best.as_ref().is_none_or(|best| other.badness() < best.badness())
            {
                best = Some(other);
            }
        }
    }
    best
}

/// The |Γ| from which a load may take no power at all, as far as the sensor can tell.
fn nothing_taken<A: Arithmetic>(settings: &TunerSettings<A>) -> A::Working {
    let sensor = settings.accuracy();
    let one = A::Working::ONE;
    one - sensor.noise * A::Working::from_i32(3) - sensor.most(one)
}

/// Whether a reading is larger than another by more than the errors of both allow.
fn is_clearly_larger<W: Real>(power: W, other: W, sensor: Accuracy<W>) -> bool {
    let (size, other) = (power.square_root(), other.square_root());
    size > other + (sensor.spread(size) + sensor.spread(other)) * W::TWO
}

/// Whether two readings in one setting are of two different loads: further apart than seven times the noise of both.
fn is_other<W: Real>(before: Seen<W>, now: Seen<W>, noise: W) -> bool {
    let (size, distance) = match (before, now) {
        (Seen::Vector(a), Seen::Vector(b)) => (a.magnitude(), (a - b).magnitude()),
        _ => {
            let (a, b) = (before.power().square_root(), now.power().square_root());
            (a, (a - b).absolute())
        }
    };
    let spread = noise * (size + W::ONE / W::from_i32(10));
    distance > spread * W::from_i32(10)
}

/// Whether the SWR falls by more than two per cent.
fn is_worth_it<A: Arithmetic>(now: A::Working, promised: A::Working) -> bool {
    let swr = |power: A::Working| standing_wave(power.square_root().smaller(rim()));
    swr(now) * A::Working::from_i32(50) > swr(promised) * A::Working::from_i32(51)
}

/// The setting one step away; `None` if there is none in this direction.
fn step_from<A: Arithmetic, const L: usize, const C: usize>(
    blind: &Blind<A::Working>,
    bank: &Bank<A, L, C>,
) -> Option<Setting> {
    let base = blind.base;
    let setting = match blind.direction {
        direction @ 0..=1 => Setting {
            coils: coils_stepped(blind, bank, direction == 0)?,
            ..base
        },
        direction @ 2..=3 => {
            if let Arrangement::BothSides { .. } = bank.arrangement() {
                // The end of a capacitor matters, so each is switched separately.
                let place = usize::from(blind.fineness) * 2 + usize::from(direction);
                let flip = 1u16 << (place.checked_rem(C)? & 15);
                return Some(Setting {
                    capacitors: base.capacitors ^ flip,
                    ..base
                });
            }
            Setting {
                capacitors: capacitors_stepped(blind, bank, direction == 2)?,
                ..base
            }
        }
        4 => Setting {
            side: match base.side {
                Side::Source => Side::Load,
                Side::Load => Side::Source,
            },
            ..base
        },
        _ => Setting {
            tap: base.tap.saturating_add(1).checked_rem(bank.taps())?,
            ..base
        },
    };
    (setting != base && bank.has(setting)).then_some(setting)
}

/// The coils whose sum is nearest to one step up or down.
fn coils_stepped<A: Arithmetic, const L: usize, const C: usize>(
    blind: &Blind<A::Working>,
    bank: &Bank<A, L, C>,
    is_up: bool,
) -> Option<u16> {
    let base = blind.base;
    let now = bank.inductance(base).ok()?.to_base();
    let all = bank.inductance(everything::<L, C>(base)).ok()?.to_base();
    let wanted = Inductance::from_base(blind.stepped(now, all, is_up));
    let nearest = bank
        .nearest(wanted, Capacitance::from_femtofarads(0), base.side, base.tap)
        .ok()?;
    Some(nearest.coils)
}

/// The capacitors whose sum is nearest to one step up or down.
fn capacitors_stepped<A: Arithmetic, const L: usize, const C: usize>(
    blind: &Blind<A::Working>,
    bank: &Bank<A, L, C>,
    is_up: bool,
) -> Option<u16> {
    let base = blind.base;
    let now = bank.capacitance(base).ok()?.to_base();
    let all = bank.capacitance(everything::<L, C>(base)).ok()?.to_base();
    let wanted = Capacitance::from_base(blind.stepped(now, all, is_up));
    let nearest = bank
        .nearest(Inductance::from_picohenries(0), wanted, base.side, base.tap)
        .ok()?;
    Some(nearest.capacitors)
}

fn everything<const L: usize, const C: usize>(base: Setting) -> Setting {
    Setting {
        coils: super::code::all(L),
        capacitors: super::code::all(C),
        ..base
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A full memory drops the reading furthest from a match, and keeps the others in their order.
    #[test]
    fn a_full_memory_drops_what_says_least() {
        let reading = |k: u16, size: f64| Observation {
            setting: Setting {
                coils: k,
                ..Setting::BYPASS
            },
            seen: Seen::Size(size),
        };
        for worst in 0..MEMORY as u16 {
            let mut run = Run::<f64, 8, 8>::new(0, false, Learned::NOTHING);
            for k in 0..MEMORY as u16 {
                let size = if k == worst {
                    0.9
                } else {
                    0.1 + 0.05 * f64::from(k)
                };
                run.remember(reading(k, size));
            }
            run.remember(reading(100, 0.5));
            let held: std::vec::Vec<u16> = run.seen.iter().flatten().map(|one| one.setting.coils).collect();
            let mut wanted: std::vec::Vec<u16> = (0..MEMORY as u16).filter(|k| *k != worst).collect();
            wanted.push(100);
            assert_eq!(held, wanted);
        }
    }
}
