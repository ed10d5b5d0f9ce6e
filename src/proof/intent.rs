//! Obligation 3: every load against its intent, over all positions of the controls that reach it, in all builds, and whatever
//! came before.
//!
//! A vehicle remembers: a relay that holds itself, a switch with hysteresis, a clock, a fuse. Each state is judged as it comes from
//! rest, and again from each state that one control's move leads from. Where both sides of a move remember the same, the move
//! brings nothing new, since what is at rest stays at rest; so only the other moves are made. A state that a move leaves with
//! another memory than it has from rest is a state of its own, from which moves go on.

use super::corners::middle;
use super::explore::State;
use super::fleet::Fleet;
use super::plan::{Judged, Plan, Purpose};
use super::progress::Tally;
use crate::bench::{BLINK, Bench, Corner, Driver, Reading, Rig, Seen, Upset, Wishes};
use crate::book::{Act, BuildId, Case, ControlId, Look, Setting, Strength, Subject};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// What is wrong with what a load does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wrong {
    /// It works and should not.
    Works,
    /// It does not work and should.
    Dead,
    /// It works, but not as it should: weakly, steadily, the other way round.
    Otherwise,
}

/// A load that does not do what it is for.
#[derive(Debug, Clone)]
pub struct Breach {
    /// The index of the intent.
    pub intent: usize,
    /// The case that holds; none when the load should be off.
    pub case: Option<usize>,
    pub wrong: Wrong,
    pub build: BuildId,
    pub supply: f64,
    /// The controls that reach it, as set in the first state where it fails.
    pub settings: State,
    /// How the controls stood before, one move after the other, where it depends on that.
    pub before: Vec<State>,
    pub seen: Result<Reading, Upset>,
    pub why: Option<crate::bench::Why>,
    /// The relays that the reason depends on.
    pub drivers: Vec<Driver>,
    /// In how many states it fails.
    pub states: usize,
}

/// Breaches by intent and kind.
type Breaches = BTreeMap<(usize, Wrong), Breach>;

/// Judges every intent: in each build, at each end of the supply.
pub fn prove(
    fleet: &Fleet,
    plans: &[Plan],
    intents: &[Purpose],
    tally: &Tally,
) -> (Vec<Breach>, Vec<Judged>) {
    let supplies = supplies(fleet);
    let moves: Vec<Vec<Vec<usize>>> =
        fleet.par_iter().zip(plans).map(|(rig, plan)| moves(rig, plan)).collect();
    let tasks: Vec<(&Rig, &Plan, &Vec<Vec<usize>>, f64)> = fleet
        .iter()
        .zip(plans)
        .zip(&moves)
        .flat_map(|((rig, plan), moves)| supplies.iter().map(move |&supply| (rig, plan, moves, supply)))
        .collect();
    let found: Vec<Breaches> = tasks
        .par_iter()
        .map(|&(rig, plan, moves, supply)| {
            let breaches = Judge { rig, plan, moves, intents, supply, breaches: Breaches::new() }.all();
            tally.tick(1);
            breaches
        })
        .collect();
    let mut breaches = Breaches::new();
    for (at, breach) in found.into_iter().flatten() {
        let states = breach.states;
        breaches.entry(at).and_modify(|first| first.states += states).or_insert(breach);
    }
    let judged = plans.iter().flat_map(|plan| &plan.judged);
    let judged = judged.map(|judged| Judged { states: judged.states * supplies.len(), ..*judged });
    (breaches.into_values().collect(), judged.collect())
}

/// The loads that do not do what they are for after some hands on a vehicle at rest, by the number of their intent, each with whether
/// it should do anything, and with what it does. A load that the build lacks does nothing and misses nothing.
///
/// # Errors
///
/// When the vehicle does not come to rest.
pub fn missed(
    bench: Bench,
    acts: &[&Act],
    intents: &[Purpose],
) -> Result<Vec<(usize, bool, Reading)>, Upset> {
    let cases = intents.iter().map(|intent| intent.cases.iter().map(|case| &case.when).collect());
    let wishes = Wishes::of(bench.rig(), cases).rest(&bench);
    let mut here = Here { bench, wishes };
    for act in acts {
        here.bench.act(act)?;
        here.wishes.now(&here.bench);
    }
    let build = here.bench.rig().build.index();
    let fitted = |&intent: &usize| here.bench.rig().vehicle.part(intents[intent].part).fitted[build];
    let asked: Vec<usize> = (0..intents.len()).filter(fitted).collect();
    let missed = asked.iter().zip(watch(&mut here, &asked, intents)?);
    Ok(missed
        .filter_map(|(&intent, miss)| miss.map(|(case, _, reading)| (intent, case.is_some(), reading)))
        .collect())
}

/// How many steps of work that is.
pub fn work(fleet: &Fleet) -> usize {
    fleet.len() * supplies(fleet).len()
}

/// The ends of the supply, in volts.
fn supplies(fleet: &Fleet) -> Vec<f64> {
    let band = fleet.vehicle.supply;
    if band.is_point() { vec![band.low] } else { vec![band.low, band.high] }
}

/// For each state of a plan, those that differ from it in one control.
fn moves(rig: &Rig, plan: &Plan) -> Vec<Vec<usize>> {
    let mut known: BTreeMap<Vec<(ControlId, u64)>, usize> = BTreeMap::new();
    let mut settings: BTreeMap<ControlId, BTreeMap<u64, Setting>> = BTreeMap::new();
    for (number, (state, _)) in plan.states.iter().enumerate() {
        known.insert(super::explore::key(state), number);
        for &(control, to) in state {
            let [(_, bits)] = super::explore::key(&[(control, to)])[..] else { continue };
            settings.entry(control).or_default().insert(bits, to);
        }
    }
    let of = |state: &State| {
        let mut found = Vec::new();
        for (&control, tos) in &settings {
            let rest = rig.vehicle.control(control).rest();
            let now = state.iter().find(|(at, _)| *at == control).map_or(rest, |(_, to)| *to);
            for to in tos.values().copied().chain([rest]).filter(|to| *to != now) {
                let others = state.iter().copied().filter(|(at, _)| *at != control);
                let next: State = others.chain((to != rest).then_some((control, to))).collect();
                found.extend(known.get(&super::explore::key(&next)).copied());
            }
        }
        found
    };
    plan.states.par_iter().map(|(state, _)| of(state)).collect()
}

/// What a vehicle and its intents remember, by which two vehicles with the same settings are told apart.
type Past = Vec<bool>;

/// A vehicle with its wishes in a state of the plan.
#[derive(Clone)]
struct Here<'r> {
    bench: Bench<'r>,
    wishes: Wishes,
}

impl Here<'_> {
    fn past(&self) -> Past {
        self.bench.memory().chain(self.wishes.memory()).collect()
    }
}

/// So many states with a past of their own are gone on from, in a build at one supply: a vehicle has a handful of relays that
/// hold themselves, and a book that has more is judged over the first.
const PASTS: usize = 4_096;

/// So many moves may lead to a state with a past of its own.
const DEEP: usize = 6;

struct Judge<'r> {
    rig: &'r Rig,
    plan: &'r Plan,
    moves: &'r [Vec<usize>],
    intents: &'r [Purpose<'r>],
    supply: f64,
    breaches: Breaches,
}

impl<'r> Judge<'r> {
    fn all(mut self) -> Breaches {
        let cases = self.intents.iter().map(|intent| intent.cases.iter().map(|case| &case.when).collect());
        let wishes = Wishes::of(self.rig, cases);
        let rest = Bench::new(self.rig, Corner { supply: self.supply, ..middle(self.rig) });
        let rest = rest.map(|bench| Here { wishes: wishes.rest(&bench), bench });
        // The pasts of each state as it comes from rest: at once, and when all that happens by itself has happened.
        let mut pasts: Vec<Option<[Past; 2]>> = Vec::new();
        for number in 0..self.plan.states.len() {
            let (state, asked) = &self.plan.states[number];
            let mut here = rest.clone();
            if let Ok(here) = &mut here
                && let Err(upset) = here.bench.set_all(state)
            {
                self.upset(number, &[], &upset);
                pasts.push(None);
                continue;
            }
            match &mut here {
                Err(upset) => {
                    self.upset(number, &[], upset);
                    pasts.push(None);
                }
                Ok(here) => {
                    here.wishes.now(&here.bench);
                    let first = here.past();
                    let seen = self.judge(here, asked, number, &[]);
                    pasts.push(seen.then(|| [first, here.past()]));
                }
            }
        }
        if let Ok(rest) = &rest {
            self.go_on(rest, &pasts);
        }
        self.breaches
    }

    /// Makes the moves on whose two sides something else is remembered.
    fn go_on(&mut self, rest: &Here<'r>, pasts: &[Option<[Past; 2]>]) {
        let differs = |past: &Past, to: usize| {
            let known = pasts[to].as_ref();
            known.is_some_and(|known| !known.contains(past))
        };
        let mut seen: BTreeSet<(usize, Past)> = BTreeSet::new();
        for (from, known) in pasts.iter().enumerate() {
            let Some([_, past]) = known else { continue };
            let moves: Vec<usize> =
                self.moves[from].iter().copied().filter(|&to| differs(past, to)).collect();
            if moves.is_empty() {
                continue;
            }
            let mut here = rest.clone();
            if here.bench.set_all(&self.plan.states[from].0).is_err() {
                continue;
            }
            here.wishes.now(&here.bench);
            // A fuse that the vehicle itself blows is told where it does; what is dead from then on only follows.
            if watch(&mut here, &[], self.intents).is_err() || !here.bench.blown_links().is_empty() {
                continue;
            }
            let mut open: Vec<(Here, Vec<usize>, Vec<usize>)> = vec![(here, moves, vec![from])];
            while let Some((here, moves, way)) = open.pop() {
                for to in moves {
                    let mut next = here.clone();
                    let (from, to_state) = (&self.plan.states[way[way.len() - 1]].0, &self.plan.states[to].0);
                    let set = next.bench.set_all(&step(self.rig, from, to_state));
                    if let Err(upset) = set {
                        self.upset(to, &way, &upset);
                        continue;
                    }
                    next.wishes.now(&next.bench);
                    let asked = &self.plan.states[to].1;
                    if !self.judge(&mut next, asked, to, &way) {
                        continue;
                    }
                    if !next.bench.blown_links().is_empty() {
                        continue;
                    }
                    let past = next.past();
                    let new = differs(&past, to) && way.len() < DEEP && seen.len() < PASTS;
                    if new && seen.insert((to, past.clone())) {
                        let moves = self.moves[to].iter().copied().filter(|&on| differs(&past, on)).collect();
                        let way = way.iter().copied().chain([to]).collect();
                        open.push((next, moves, way));
                    }
                }
            }
        }
    }

    /// Judges what a vehicle shows; false when it does not come to rest.
    fn judge(&mut self, here: &mut Here, asked: &[usize], number: usize, way: &[usize]) -> bool {
        let found = match watch(here, asked, self.intents) {
            Ok(found) => found,
            Err(upset) => {
                self.upset(number, way, &upset);
                return false;
            }
        };
        for (&intent, found) in asked.iter().zip(found) {
            if let Some((case, wrong, reading)) = found {
                let Purpose { part, element, .. } = self.intents[intent];
                let why = || {
                    let why = super::statements::why(&here.bench, Subject::Face { part, element })?;
                    let drivers = here.bench.drivers(&why);
                    Some((why, drivers))
                };
                self.enter(number, way, (intent, case, wrong), Ok(reading), why);
            }
        }
        true
    }

    fn upset(&mut self, number: usize, way: &[usize], upset: &Upset) {
        let asked = &self.plan.states[number].1;
        for &intent in asked {
            self.enter(number, way, (intent, None, Wrong::Otherwise), Err(upset.clone()), || None);
        }
    }

    fn enter(
        &mut self,
        number: usize,
        way: &[usize],
        (intent, case, wrong): (usize, Option<usize>, Wrong),
        seen: Result<Reading, Upset>,
        why: impl FnOnce() -> Option<(crate::bench::Why, Vec<Driver>)>,
    ) {
        let breach = self.breaches.entry((intent, wrong)).or_insert_with(|| {
            let (why, drivers) = why().unzip();
            Breach {
                intent,
                case,
                wrong,
                build: self.rig.build,
                supply: self.supply,
                settings: self.plan.states[number].0.clone(),
                before: way.iter().map(|&state| self.plan.states[state].0.clone()).collect(),
                seen,
                why,
                drivers: drivers.unwrap_or_default(),
                states: 0,
            }
        });
        breach.states += 1;
    }
}

/// The settings that lead from one state to another.
fn step(rig: &Rig, from: &State, to: &State) -> State {
    let back = from.iter().filter(|(control, _)| to.iter().all(|(at, _)| at != control));
    let back = back.map(|(control, _)| (*control, rig.vehicle.control(*control).rest()));
    let new = to.iter().copied().filter(|setting| !from.contains(setting));
    back.chain(new).collect()
}

/// How many things that happen by themselves are waited for: three periods of a flasher, a fuse and a timer.
const EVENTS: usize = 8;

/// The same where a capacitor is being charged, which goes in small steps.
const SLICES: usize = 400;

/// The case that held, what is wrong, and what was seen.
type Miss = (Option<usize>, Wrong, Reading);

/// What a load did from a moment on, and the case that held.
type Moment = (f64, Option<usize>, Seen);

/// Looks at a vehicle for a while: for each load that is asked for, the case that held and what is wrong, where something is.
fn watch(here: &mut Here, asked: &[usize], intents: &[Purpose]) -> Result<Vec<Option<Miss>>, Upset> {
    let mut stories: Vec<Vec<Moment>> = vec![Vec::new(); asked.len()];
    let most = if here.bench.rig().has_stores() { SLICES } else { EVENTS };
    for event in 0.. {
        let wanted = here.wishes.now(&here.bench);
        for (story, &intent) in stories.iter_mut().zip(asked) {
            let Purpose { part, element, .. } = intents[intent];
            let seen = here.bench.see(Subject::Face { part, element });
            let moment = (here.bench.now(), wanted[intent], seen);
            if story.last().is_none_or(|last| (last.1, last.2) != (moment.1, moment.2)) {
                story.push(moment);
            }
        }
        let next =
            here.bench.next_event().into_iter().chain(here.wishes.deadline(&here.bench)).reduce(f64::min);
        let Some(next) = next.filter(|_| event < most) else { break };
        here.bench.wait(next - here.bench.now())?;
    }
    let end = here.bench.now();
    let judged = stories.iter().zip(asked).map(|(story, &intent)| verdict(story, intents[intent].cases, end));
    Ok(judged.collect())
}

/// What is wrong with a load's story, and what it showed.
fn verdict(story: &[Moment], cases: &[Case], end: f64) -> Option<Miss> {
    let lasts = |at: usize| story.get(at + 1).map_or(f64::INFINITY, |next| next.0 - story[at].0);
    let reading = told(story, end);
    for (at, &(_, case, seen)) in story.iter().enumerate() {
        if lasts(at) < BLINK {
            continue;
        }
        let on = seen.strength != Strength::Off;
        let Some(wanted) = case else {
            if on {
                return Some((case, Wrong::Works, reading));
            }
            continue;
        };
        let shows: &[Look] = match cases[wanted].shows.as_slice() {
            [] => &[Case::PLAIN],
            shows => shows,
        };
        let same: Vec<&Moment> = story.iter().filter(|moment| moment.1 == case).collect();
        let flashes = same.len() > 2 && same.iter().any(|moment| moment.2.strength == Strength::Off);
        let fits = shows.iter().any(|look| match look {
            Look::Flashing(_) => flashes && (Reading::is(&reading, look, false) || !is_told(&reading)),
            look => !(flashes && on) && Reading::Steady(seen).is(look, false),
        });
        if !fits {
            let ever = same.iter().any(|moment| moment.2.strength != Strength::Off);
            let wrong = if ever { Wrong::Otherwise } else { Wrong::Dead };
            return Some((case, wrong, reading));
        }
    }
    None
}

/// Whether a reading has a rate.
fn is_told(reading: &Reading) -> bool {
    matches!(reading, Reading::Flashing { .. })
}

/// A story as it is told.
fn told(story: &[Moment], end: f64) -> Reading {
    let rises: Vec<f64> = story
        .windows(2)
        .filter(|pair| pair[0].2.strength == Strength::Off && pair[1].2.strength != Strength::Off)
        .map(|pair| pair[1].0)
        .collect();
    match rises.as_slice() {
        [first, .., last] => {
            Reading::Flashing { per_minute: 60.0 * (rises.len() - 1) as f64 / (last - first) }
        }
        _ if story.len() == 2 && story[0].2.strength != story[1].2.strength => {
            Reading::Then { first: story[0].2, seconds: story[1].0 - story[0].0, last: story[1].2 }
        }
        _ => {
            // What lasted longest.
            let until = |at: usize| story.get(at + 1).map_or(end.max(story[at].0) + BLINK, |next| next.0);
            let longest = (0..story.len())
                .max_by(|&a, &b| (until(a) - story[a].0).total_cmp(&(until(b) - story[b].0)).then(b.cmp(&a)));
            Reading::Steady(longest.map_or(Seen::NOTHING, |at| story[at].2))
        }
    }
}
