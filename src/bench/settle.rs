//! Turns a changed vehicle into one at rest: solve, let relays, contacts and fuses follow, again until nothing changes.

use super::blow::{RESET_SECONDS, opening_time};
use super::curve::along;
use super::gate::Circumstances;
use super::reading::Seen;
use super::state::{Bench, LinkState, Upset};
use crate::book::{Effect, Item, Mode, PartId, Protection, Subject};

/// Rounds that a vehicle may take to come to rest, beside one for each relay and contact that may follow one after another. It
/// is told to chatter when it comes back to where it was; this only bounds what is not seen to repeat itself.
const ROUNDS: usize = 60;

/// Rounds before which nothing is compared: nearly every vehicle is at rest by then.
const FIRM: usize = 15;

/// How often a vehicle has to be where it was before it chatters: what is compared leaves out whether a source is on.
const TIMES: usize = 2;

/// Load current in amperes from which a flasher unit works (common practice, no source).
const FLASHER_LOAD: f64 = 0.03;

/// Capacitors are stepped in slices of this many seconds, over which their voltage is taken as steady.
const SLICE: f64 = 0.02;

/// Two moments closer than this, in seconds, are the same in a rhythm; the same number serves for shares and volts.
const TICK: f64 = 1e-6;

/// A timer that changed longer ago than this, in ticks, has nothing left to do: an hour.
const LONG_AGO: i64 = 3_600_000_000;

/// What a vehicle's future depends on, rounded so that it can be compared.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rhythm {
    made: Vec<bool>,
    states: Vec<bool>,
    clocks: Vec<(bool, i64)>,
}

/// How relays that want to move do it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pace {
    Together,
    /// One by one, the first of the rig's list before the others.
    FirstFirst,
    LastFirst,
}

/// See [`Bench::shown`].
type Shown = (Seen, i64);

impl Bench<'_> {
    /// Solves and lets everything follow that takes no time. A relay that a fault makes chatter is left at that.
    pub(super) fn settle(&mut self) -> Result<(), Upset> {
        self.shaken.clear();
        if let Some(restless) = self.come_to_rest(Pace::Together)? {
            // No two relays move in the same instant: what follows from that alone does not happen.
            let one_by_one = |pace| -> Result<Option<Self>, Upset> {
                let mut bench = self.clone();
                Ok(bench.come_to_rest(pace)?.is_none().then_some(bench))
            };
            match (one_by_one(Pace::FirstFirst)?, one_by_one(Pace::LastFirst)?) {
                (Some(first), Some(last)) if first.rests_as(&last) => *self = first,
                // A real vehicle comes to rest, one way or another.
                (Some(_), _) | (_, Some(_)) => return Err(Upset::Race(restless)),
                _ if self.planted.is_empty() => return Err(Upset::Chatter(restless)),
                _ => self.shake()?,
            }
        }
        self.note();
        if let Some(mut album) = self.album.take() {
            album.push(self.frame());
            self.album = Some(album);
        }
        Ok(())
    }

    /// Lets everything follow until nothing changes; the parts that never rest, where that does not come.
    fn come_to_rest(&mut self, pace: Pace) -> Result<Option<Vec<PartId>>, Upset> {
        let mut moved = Vec::new();
        // Where it was at some round, which is moved on at each doubling (Brent 1980): a circle of any length is found.
        let mut before = None;
        let mut times = 0;
        for round in 1..=ROUNDS + 4 * (self.rig.relays.len() + self.rig.lively.len()) {
            self.solve()?;
            if !self.follow_up(pace, &mut moved) && !self.dirty {
                return Ok(None);
            }
            if round > FIRM {
                let now = self.rhythm();
                times += usize::from(before.as_ref() == Some(&now));
                if times == TIMES {
                    break;
                }
                if round.is_power_of_two() {
                    (before, times) = (Some(now), 0);
                    moved.clear();
                }
            }
        }
        moved.sort();
        moved.dedup();
        Ok(Some(moved))
    }

    /// Solves the network if it has changed.
    fn solve(&mut self) -> Result<(), Upset> {
        if std::mem::take(&mut self.dirty) {
            self.solver.solve().map_err(Upset::Trouble)?;
        }
        Ok(())
    }

    /// Moves what the operating point moves; true when something changed.
    fn follow_up(&mut self, pace: Pace, moved: &mut Vec<PartId>) -> bool {
        let count = self.rig.relays.len();
        let mut changed = false;
        for at in 0..count {
            let relay = if pace == Pace::LastFirst { count - 1 - at } else { at };
            changed |= self.excite(relay, moved);
            if changed && pace != Pace::Together {
                return true;
            }
        }
        for at in 0..self.rig.lively.len() {
            let contact = self.rig.lively[at];
            if self.judge(contact) {
                moved.push(self.rig.contacts[contact].part);
                changed = true;
            }
        }
        for source in 0..self.rig.sources.len() {
            changed |= self.rig.sources[source].gate.is_some() && self.supply(source);
        }
        self.start_flashers();
        changed
    }

    /// Goes once more through what repeats itself and takes note of all that is not the same throughout.
    fn shake(&mut self) -> Result<(), Upset> {
        let start = self.rhythm();
        let faces =
            self.rig.sights.iter().map(|sight| Subject::Face { part: sight.part, element: sight.element });
        let relays =
            self.rig.relays.iter().map(|relay| Subject::Relay { part: relay.part, state: relay.state });
        let tools = self.tools.iter().map(|tool| Subject::Instrument(tool.instrument));
        let subjects: Vec<Subject> = faces.chain(relays).chain(tools).collect();
        self.solve()?;
        let first: Vec<Shown> = subjects.iter().map(|subject| self.shown(*subject)).collect();
        for _ in 0..ROUNDS + 4 * self.rig.relays.len() {
            self.follow_up(Pace::Together, &mut Vec::new());
            self.solve()?;
            for (subject, first) in subjects.iter().zip(&first) {
                if self.shown(*subject) != *first {
                    self.shaken.insert(*subject);
                }
            }
            if self.rhythm() == start {
                break;
            }
        }
        Ok(())
    }

    /// What a subject shows at this moment, and the millionths that a meter reads.
    fn shown(&self, subject: Subject) -> Shown {
        let meter = match subject {
            Subject::Instrument(instrument) => self.tool(instrument).map(|tool| self.tool_amps(tool)),
            _ => None,
        };
        (self.see(subject), meter.map_or(0, |amps| (amps / TICK).round() as i64))
    }

    /// Lets time pass for so many seconds. What repeats itself is computed once: when the vehicle comes back to a state with
    /// everything still to come at the same distance, the rest of the time is filled with copies of what happened in between.
    pub fn wait(&mut self, seconds: f64) -> Result<(), Upset> {
        let end = self.now + seconds;
        let mut passed: Vec<(Rhythm, f64, usize)> = Vec::new();
        while let Some(moment) = self.next_event().filter(|&moment| moment <= end) {
            self.pass(moment - self.now);
            self.happen();
            self.settle()?;
            let rhythm = self.rhythm();
            match passed.iter().find(|(before, _, _)| *before == rhythm) {
                Some(&(_, since, recorded)) => {
                    self.repeat(since, recorded, end);
                    passed.clear();
                }
                None => passed.push((rhythm, self.now, self.record.len())),
            }
        }
        self.pass(end - self.now);
        if !self.charges.is_empty() {
            self.hold_charges();
            self.settle()?;
        }
        Ok(())
    }

    /// Copies what was recorded since `since` as often as it fits before `end`, and moves the clock there.
    fn repeat(&mut self, since: f64, recorded: usize, end: f64) {
        let period = self.now - since;
        let times = ((end - self.now) / period).floor();
        if period <= 0.0 || times < 1.0 {
            return;
        }
        let cycle = self.record[recorded..].to_vec();
        for time in 1..=times as usize {
            let later =
                cycle.iter().map(|&(moment, subject, seen)| (moment + time as f64 * period, subject, seen));
            self.record.extend(later);
        }
        let skipped = times * period;
        self.now += skipped;
        for state in &mut self.flashers {
            state.until = state.until.map(|until| until + skipped);
        }
        for timer in &mut self.timers {
            timer.since += skipped;
        }
        for link in &mut self.links {
            link.since += skipped;
        }
    }

    /// Everything that decides what happens from now on.
    pub(super) fn rhythm(&self) -> Rhythm {
        let left = |moment: f64| ((moment - self.now) / TICK).round() as i64;
        let timers = self.timers.iter().map(|timer| (timer.inner, left(timer.since).max(-LONG_AGO)));
        let flashers = self.flashers.iter().map(|state| (state.made, state.until.map_or(i64::MAX, left)));
        let links = self.links.iter().map(|state| (state.open, (state.used / TICK) as i64));
        let charges = self.charges.iter().map(|volts| (false, (volts / TICK) as i64));
        Rhythm {
            made: self.made.clone(),
            states: self.states.clone(),
            clocks: timers.chain(flashers).chain(links).chain(charges).collect(),
        }
    }

    /// The moment of the next thing that happens by itself, in seconds since the vehicle was put on the bench.
    pub fn next_event(&self) -> Option<f64> {
        let timers = self.rig.lively.iter().filter_map(|&contact| {
            self.rig.contacts[contact].gate.deadline(&self.corner, &self.timers, self.now)
        });
        let flashers = self.flashers.iter().filter_map(|state| state.until);
        let links = self.links.iter().zip(&self.rig.links).filter_map(|(state, link)| {
            if state.open {
                return (link.protection == Protection::SelfResetting).then_some(state.since + RESET_SECONDS);
            }
            let time = opening_time(link.protection, state.share)?.high;
            time.is_finite().then(|| self.now + (1.0 - state.used).max(0.0) * time)
        });
        let stores = (!self.charges.is_empty() && self.charging()).then_some(self.now + SLICE);
        timers.chain(flashers).chain(links).chain(stores).reduce(f64::min)
    }

    /// Advances the clock; what heats up goes on heating.
    fn pass(&mut self, seconds: f64) {
        for (state, link) in self.links.iter_mut().zip(&self.rig.links) {
            if !state.open
                && let Some(time) = opening_time(link.protection, state.share)
            {
                state.used += seconds / time.high;
            }
        }
        for (charge, store) in self.charges.iter_mut().zip(&self.rig.stores) {
            // What is left of a charge that has nearly ended does not go on as long as one waits.
            *charge += self.solver.point().amps(store.id) * seconds.min(SLICE) / store.farads;
        }
        self.now += seconds;
    }

    /// Does what is due now.
    fn happen(&mut self) {
        /// Links within this much of their opening time have opened: rounding of a sum of slices.
        const USED_UP: f64 = 1.0 - 1e-9;
        for index in 0..self.links.len() {
            let link = self.rig.links[index];
            let state = self.links[index];
            if !state.open && state.used >= USED_UP {
                self.blows.retain(|(part, _)| *part != link.part);
                self.blows.push((link.part, self.path(link.id.0 as usize)));
                self.links[index] = LinkState { open: true, since: self.now, ..state };
                self.solver.set_conductance(link.id, 0.0);
                self.dirty = true;
            } else if state.open
                && link.protection == Protection::SelfResetting
                && self.now >= state.since + RESET_SECONDS - 1e-9
            {
                self.links[index] = LinkState::fresh(self.now);
                self.solver.set_conductance(link.id, link.conductance);
                self.dirty = true;
            }
        }
        for index in 0..self.flashers.len() {
            let unit = self.rig.flashers[index];
            let state = &mut self.flashers[index];
            if state.until.is_some_and(|until| until <= self.now + 1e-9) {
                state.made = !state.made;
                let period = 60.0 / state.per_minute;
                state.until =
                    Some(self.now + period * if state.made { unit.share } else { 1.0 - unit.share });
                let conductance = if state.made { unit.conductance } else { 0.0 };
                self.solver.set_conductance(unit.id, conductance);
                self.dirty = true;
            }
        }
        self.hold_charges();
        // Timed contacts judge the clock itself when the vehicle settles.
    }

    /// Lets each capacitor hold its voltage over a slice: a source against it, through the slice's own conductance.
    pub(super) fn hold_charges(&mut self) {
        for (store, charge) in self.rig.stores.iter().zip(&self.charges) {
            self.solver.set_conductance(store.id, store.farads / SLICE);
            self.solver.set_emf(store.id, -charge);
            self.dirty = true;
        }
    }

    /// Whether a capacitor's voltage is still on its way, beyond a hundredth of a volt.
    fn charging(&self) -> bool {
        self.rig
            .stores
            .iter()
            .any(|store| (self.solver.point().amps(store.id) * SLICE / store.farads).abs() > 1e-5)
    }

    /// Moves one relay state to where its windings put it; true when it changed.
    fn excite(&mut self, relay: usize, moved: &mut Vec<PartId>) -> bool {
        let data = &self.rig.relays[relay];
        let point = self.solver.point();
        let sum = |effect: Effect| {
            let coils = data.coils.iter().filter(|coil| coil.1 == effect);
            coils.map(|&(id, _, per_ampere)| point.amps(id) * per_ampere).sum::<f64>().abs()
        };
        let was = self.states[relay];
        let forced = self.forced_states.iter().find(|forced| forced.0 == relay).map(|forced| forced.1);
        let unplugged = self.unplugged.contains(&data.part);
        let is = match forced {
            Some(forced) => forced,
            None if data.latching => {
                if sum(Effect::Set) >= 1.0 {
                    true
                } else {
                    was && sum(Effect::Reset) < 1.0
                }
            }
            None => sum(Effect::Hold) >= if was { data.drop_out } else { 1.0 },
        };
        if is == was {
            return false;
        }
        self.states[relay] = is;
        if !unplugged && !self.clicked.contains(&relay) {
            self.clicked.push(relay);
        }
        moved.push(data.part);
        for at in 0..self.rig.by_state[relay].len() {
            self.judge(self.rig.by_state[relay][at]);
        }
        true
    }

    /// Judges one contact and makes or breaks it; true when it changed.
    pub(super) fn judge(&mut self, contact: usize) -> bool {
        let data = &self.rig.contacts[contact];
        let point = self.solver.point();
        let given = Circumstances {
            settings: &self.settings,
            corner: &self.corner,
            states: &self.states,
            point,
            now: self.now,
        };
        let judged = data.gate.judge(&given, &mut self.memories, &mut self.timers);
        let forced = self.forced_contacts.iter().find(|forced| forced.0 == contact);
        let made = forced.map_or(judged, |forced| forced.1);
        if made == self.made[contact] {
            return false;
        }
        self.made[contact] = made;
        let worn = self.contact_ohms.iter().find(|worn| worn.0 == contact);
        let closed = worn.map_or(data.closed, |worn| 1.0 / worn.1);
        self.solver.set_conductance(data.id, if made { closed } else { 0.0 });
        self.dirty = true;
        true
    }

    /// Puts a source at the corner's voltage, or on or off by its condition; true when that changed something.
    pub(super) fn supply(&mut self, index: usize) -> bool {
        let source = &self.rig.sources[index];
        let on = match &source.gate {
            None => true,
            Some(gate) => {
                let point = self.solver.point();
                let given = Circumstances {
                    settings: &self.settings,
                    corner: &self.corner,
                    states: &self.states,
                    point,
                    now: self.now,
                };
                gate.judge(&given, &mut self.memories, &mut self.timers)
                    && source.field.is_none_or(|node| point.volts(node) > FIELD_VOLTS)
            }
        };
        if on == self.giving[index] {
            return false;
        }
        self.giving[index] = on;
        let emf =
            if source.gate.is_none() { self.corner.supply * self.weak * source.emf } else { source.emf };
        self.solver.set_emf(source.id, emf);
        self.solver.set_conductance(source.id, if on { source.conductance } else { 0.0 });
        self.dirty = true;
        true
    }

    /// Sets a resistor that follows a control.
    pub(super) fn follow(&mut self, index: usize) {
        let follower = &self.rig.followers[index];
        let level = match self.settings[follower.control] {
            crate::book::Setting::Level(level) => level,
            crate::book::Setting::Position(at) => at as f64,
        };
        let (part, element) = (Item::Part(follower.part), follower.element);
        let grown = self.planted.iter().find_map(|fault| match fault.mode {
            Mode::ElementHigh(at, ohms) if fault.item == part && at == element => Some(ohms),
            _ => None,
        });
        let ohms = along(&follower.points, level) + grown.unwrap_or(0.0);
        self.solver.set_conductance(follower.id, 1.0 / ohms);
        self.dirty = true;
    }

    /// Sets a flasher going when load current begins to flow, and takes note of a lamp that is out.
    fn start_flashers(&mut self) {
        for (index, (state, unit)) in self.flashers.iter_mut().zip(&self.rig.flashers).enumerate() {
            if !state.made {
                continue;
            }
            if self.stuck_flashers.contains(&index) {
                state.until = None;
                continue;
            }
            let amps = self.solver.point().amps(unit.id).abs();
            let out = unit.bulb_out.filter(|bulb_out| amps < bulb_out.below);
            state.per_minute = out.map_or(unit.per_minute, |bulb_out| bulb_out.per_minute);
            if amps < FLASHER_LOAD {
                state.until = None;
            } else if state.until.is_none() {
                state.until = Some(self.now + 60.0 / state.per_minute * unit.share);
            }
        }
    }

    /// Takes note of what changed: the links' loads and what is watched.
    pub(super) fn note(&mut self) {
        for (state, link) in self.links.iter_mut().zip(&self.rig.links) {
            state.share = self.solver.point().amps(link.id).abs() / link.rating;
        }
        for at in 0..self.watched.len() {
            let subject = self.watched[at];
            let seen = self.see(subject);
            let last = self.record.iter().rev().find(|(_, other, _)| *other == subject);
            if last.is_none_or(|(_, _, before)| *before != seen) {
                self.record.push((self.now, subject, seen));
            }
        }
    }
}

/// An alternator's field must carry at least this voltage for it to give current (common practice, no source).
const FIELD_VOLTS: f64 = 1.0;
