//! One run of the tuner: its readings, its budget, and what to do next.

use super::arrangement::Arrangement;
use super::at::{BankAt, Learned};
use super::bank::Bank;
use super::command::Outcome;
use super::explain::{Explanation, Prior, explain, rim};
use super::multistate::FEWEST;
use super::reading::{Observation, Seen, swr_of};
use super::setting::{Setting, Side};
use super::settings::TunerSettings;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::swr::standing_wave;
use crate::quantity::{Capacitance, Complex, Hertz, Inductance};

/// Readings that are remembered; of more of them those nearest to a match, and the latest.
const MEMORY: usize = 12;

/// Looks beside the best that a sensor of |Γ| takes.
const MOST_LOOKS: u8 = 2;
/// Readings that settle a doubt.
const ENOUGH: usize = 6;

/// How the next setting is found.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Phase<W> {
    /// From what the readings say of the load.
    Explain,
    /// Readings and bank do not agree. Is the load still the one that was read before, behind this setting?
    Check(Seen<W>),
    /// By trying, from the best setting so far.
    Blind(Blind<W>),
}

/// A search that knows nothing but what it reads: steps in inductance, in capacitance, to the other side, to another tap;
/// half as large when none of them helps.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Blind<W> {
    base: Setting,
    /// |Γ|² with it.
    power: W,
    /// Steps are 2⁻ᵗʰⁱˢ of all there is.
    fineness: u8,
    /// Which direction is tried.
    direction: u8,
}

impl<W: Real> Blind<W> {
    /// One step up or down from a value, as a part of all there is.
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
/// A step of 1/512 of all there is.
const FINEST: u8 = 9;

/// What to do after a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Next {
    /// Read behind this setting.
    Visit(Setting),
    /// The run is over, with this setting.
    Keep(Setting, Outcome),
    /// The run is over, in bypass.
    Leave(Outcome),
}

#[derive(Clone, Debug)]
pub(super) struct Run<A: Arithmetic, const L: usize, const C: usize> {
    pub(super) started: u32,
    pub(super) readings: u8,
    pub(super) operations: u16,
    /// Failures of the sensor in a row.
    pub(super) failures: u8,
    /// On the way to the safe state: nothing interrupts that.
    pub(super) is_leaving: bool,
    /// A remembered setting was suggested.
    pub(super) is_suggested: bool,
    seen: [Option<Observation<A::Working>>; MEMORY],
    phase: Phase<A::Working>,
    has_restarted: bool,
    /// Looks taken beside the best.
    looks: u8,
    load: Option<Complex<A::Working>>,
    /// What was known of the bank before, and what these readings say.
    before: Learned<A::Working, L, C>,
    found: Option<Learned<A::Working, L, C>>,
    /// |Γ|² with the setting that is kept.
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
            looks: 0,
            load: None,
            before,
            found: None,
            power: None,
        }
    }

    /// From now on it only goes to the safe state: what was read counts no more.
    pub(super) fn give_up(&mut self) {
        self.is_leaving = true;
        self.failures = 0;
        self.seen = [None; MEMORY];
        self.phase = Phase::Explain;
        self.load = None;
        self.found = None;
        self.power = None;
    }

    /// What has been learned of the bank, where bank and readings agree.
    pub(super) fn lesson(&self) -> Option<&Learned<A::Working, L, C>> {
        if self.phase == Phase::Explain {
            self.found.as_ref()
        } else {
            None
        }
    }

    /// Where there is no room, the reading furthest from a match makes way: it says least.
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
                // The order stays: the latest stands last.
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

    /// The latest reading behind a setting.
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
        for observation in self.seen.iter().flatten() {
            if best.is_none_or(|(_, seen)| observation.seen.power() < seen.power()) {
                best = Some((observation.setting, observation.seen));
            }
        }
        best
    }

    /// Takes a reading and says what to do next.
    pub(super) fn take(
        &mut self,
        setting: Setting,
        seen: Seen<A::Working>,
        bank: &Bank<A, L, C>,
        frequency: Hertz,
        settings: &TunerSettings<A>,
    ) -> Next {
        self.readings = self.readings.saturating_add(1);
        self.power = Some(seen.power());
        let observation = Observation { setting, seen };
        match self.phase {
            Phase::Explain => {
                self.remember(observation);
                self.explain(setting, seen, bank, frequency, settings)
            }
            Phase::Check(before) => {
                if is_other(before, seen, settings.sensor_noise.to_working()) {
                    // The load has moved. Once it may have been bad luck.
                    if self.has_restarted {
                        return Next::Leave(Outcome::Drifting);
                    }
                    self.has_restarted = true;
                    self.seen = [None; MEMORY];
                    self.load = None;
                    self.found = None;
                    self.phase = Phase::Explain;
                    self.remember(observation);
                    return self.explain(setting, seen, bank, frequency, settings);
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
            return Next::Leave(Outcome::BankFault); // cannot be: the frequency was looked at
        };
        let last = Observation { setting, seen };
        let (list, count) = self.remembered(last);
        let list = list.get(..count).unwrap_or(&[]);
        let at_reference = (frequency, settings.reference);
        let prior = Prior {
            tolerance: settings.tolerance(),
            noise: settings.sensor_noise.to_working(),
        };
        let from = |start| explain(bank, at_reference, &self.before, list, start, prior);
        let explained = match seen {
            Seen::Vector(gamma) => from(at.load_of(setting, gamma)),
            Seen::Size(size) => {
                if count < FEWEST {
                    // How far out the load is, the first reading tells best.
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
            // Where a wrong explanation ends up: one more reading of another kind.
            return Next::Visit(probe);
        }
        let Ok(at) = BankAt::new(bank, Some(&explained.learned), frequency, settings.reference) else {
            return Next::Leave(Outcome::BankFault);
        };
        self.decide(explained.load, list, last, &at, bank, settings)
    }

    /// What is clear without an explanation: that nothing could be much better, that no power is taken, or that the
    /// setting that was suggested is good.
    fn at_once(&self, setting: Setting, seen: Seen<A::Working>, settings: &TunerSettings<A>) -> Option<Next> {
        if !is_worth_it::<A>(seen.power(), A::Working::ZERO) {
            return Some(Next::Keep(setting, Outcome::Matched));
        }
        if let Some(next) = self.without_power(seen, settings) {
            return Some(next);
        }
        let is_first = self.seen.iter().flatten().count() == 1;
        match seen {
            Seen::Size(size)
                if is_first && self.is_suggested && swr_of::<A>(size.square()) <= settings.good_swr =>
            {
                Some(Next::Keep(setting, Outcome::Matched))
            }
            _ => None,
        }
    }

    /// The readings that are remembered, in one row, and how many they are; `fill` stands in the places behind them.
    fn remembered(&self, fill: Observation<A::Working>) -> ([Observation<A::Working>; MEMORY], usize) {
        let mut list = [fill; MEMORY];
        let mut count = 0usize;
        for (place, observation) in list.iter_mut().zip(self.seen.iter().flatten()) {
            *place = *observation;
            count = count.saturating_add(1);
        }
        (list, count)
    }

    /// The best setting for a load that is known: to be visited, or kept where it has been read or gains too little.
    fn decide(
        &mut self,
        load: Complex<A::Working>,
        list: &[Observation<A::Working>],
        last: Observation<A::Working>,
        at: &BankAt<A, L, C>,
        bank: &Bank<A, L, C>,
        settings: &TunerSettings<A>,
    ) -> Next {
        let port = super::at::Port::of(load);
        let Some(best) = at.best_for(load) else {
            return self.doubt();
        };
        let promised = at.power_of(best, port);
        // The best that has been read, as readings and bank together see it.
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
        // A size alone leaves open in which direction the match lies: a look beside it, as long as it may be worth it.
        if let Seen::Size(_) = last.seen
            && self.looks < MOST_LOOKS
            && power > A::Working::ONE / A::Working::from_i32(500)
            && let Some(beside) = self.beside(kept, port, at, bank)
        {
            self.looks = self.looks.saturating_add(1);
            return Next::Visit(beside);
        }
        self.power = Some(power);
        let outcome = if swr_of::<A>(power) <= settings.good_swr {
            Outcome::Matched
        } else {
            Outcome::BestAvailable
        };
        Next::Keep(kept, outcome)
    }

    /// Does the load take no power that the sensor could tell? Looked at in bypass and behind single capacitors, which take
    /// next to nothing themselves.
    fn without_power(&self, seen: Seen<A::Working>, settings: &TunerSettings<A>) -> Option<Next> {
        let noise = settings.sensor_noise.to_working();
        let most = A::Working::ONE - noise * A::Working::from_i32(3);
        if seen.power().square_root() < most {
            return None;
        }
        let mut count = 0i32;
        let mut sum = A::Working::ZERO;
        for observation in self.seen.iter().flatten() {
            let size = observation.seen.power().square_root();
            if observation.setting.coils != 0 || size < most {
                return None;
            }
            sum = sum + size;
            count = count.saturating_add(1);
        }
        if count > 2 {
            // All of it comes back, as far as the mean of three readings tells.
            let all = (A::Working::ONE - noise) * A::Working::from_i32(count);
            return (sum >= all).then_some(Next::Leave(Outcome::LoadWithoutResistance));
        }
        let place = C.checked_sub(1)?.saturating_mul(count as usize) / 2;
        let probe = Setting {
            capacitors: 1 << (place & 15),
            ..Setting::BYPASS
        };
        self.seen_behind(probe).is_none().then_some(Next::Visit(probe))
    }

    /// Of the settings one step away that have not been read yet, the one that promises most.
    fn beside(
        &self,
        kept: Setting,
        load: super::at::Port<A::Working>,
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

    /// Readings and bank do not agree: back to the best so far, to see whether the load has moved.
    fn doubt(&mut self) -> Next {
        match self.best_seen() {
            Some((setting, seen)) => {
                self.phase = Phase::Check(seen);
                Next::Visit(setting)
            }
            None => Next::Leave(Outcome::SensorFault), // cannot be: a reading has just come
        }
    }

    /// The next setting that is worth a try.
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

    /// The best setting so far, where the budget is used up.
    pub(super) fn best_so_far(&mut self) -> Setting {
        if let Phase::Blind(blind) = self.phase {
            // Its reading may have been forgotten over the tries.
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

/// The explanation of sizes alone that leaves least, from the load known so far or from where the circles meet.
fn best_explanation<A: Arithmetic, const L: usize, const C: usize>(
    at: &BankAt<A, L, C>,
    list: &[Observation<A::Working>],
    known: Option<Complex<A::Working>>,
    from: impl Fn(Complex<A::Working>) -> Option<Explanation<A::Working, L, C>>,
) -> Option<Explanation<A::Working, L, C>> {
    let start = known.or_else(|| at.load_from_sizes(list));
    let mut best = start.and_then(&from);
    // Circles meet in more than one place: where this one does not explain the readings well, look elsewhere.
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

/// Whether two readings behind one setting are of two different loads: further apart than seven times the noise of both.
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

/// The setting one step away; `None` where there is none in this direction.
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
                // Which end a capacitor stands at matters: one after the other in or out.
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

/// The setting with every part in circuit.
fn everything<const L: usize, const C: usize>(base: Setting) -> Setting {
    Setting {
        coils: super::code::all(L),
        capacitors: super::code::all(C),
        ..base
    }
}
