//! Obligation 3: every load against its intent, over all positions of the controls that reach it, in all builds.

use super::Progress;
use super::corners::middle;
use super::explore::{Explorer, State, key};
use crate::bench::{Bench, Corner, Driver, Rig, Seen, Upset, Why};
use crate::book::{Book, BuildId, Strength, Subject};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A load that does not do what it is for.
#[derive(Debug, Clone)]
pub struct Breach {
    /// The index of the intent.
    pub intent: usize,
    /// What it should do; it does the opposite.
    pub should: bool,
    pub build: BuildId,
    pub supply: f64,
    /// The controls that reach it, as set in the first state where it fails.
    pub settings: State,
    pub seen: Result<Seen, Upset>,
    pub why: Option<Why>,
    /// The relays that the reason depends on.
    pub drivers: Vec<Driver>,
    /// In how many states it fails.
    pub states: usize,
}

/// How thoroughly an intent was judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Judged {
    pub intent: usize,
    pub build: BuildId,
    pub states: usize,
    /// Whether those stand for all positions of the controls that reach the load.
    pub complete: bool,
}

/// A build's states, each once, with the intents that are judged in it.
pub struct Plan {
    pub states: Vec<(State, Vec<usize>)>,
    pub judged: Vec<Judged>,
}

/// Judges every intent.
pub fn prove(
    book: &Book,
    rigs: &[Rig],
    plans: &[Plan],
    progress: &dyn Progress,
) -> (Vec<Breach>, Vec<Judged>) {
    let band = book.manual.supply.map(|supply| supply.0);
    let supplies = if band.is_point() { vec![band.low] } else { vec![band.low, band.high] };
    let tasks: Vec<(&Rig, &Plan, f64)> = rigs
        .iter()
        .zip(plans)
        .flat_map(|(rig, plan)| supplies.iter().map(move |&supply| (rig, plan, supply)))
        .collect();
    let total = tasks.len();
    let done = std::sync::atomic::AtomicUsize::new(0);
    let found: Vec<BTreeMap<(usize, bool), Breach>> = tasks
        .par_iter()
        .map(|(rig, plan, supply)| {
            let breaches = judge(book, rig, plan, *supply);
            progress.at("intent", 1 + done.fetch_add(1, std::sync::atomic::Ordering::Relaxed), total);
            breaches
        })
        .collect();
    let mut breaches: BTreeMap<(usize, bool), Breach> = BTreeMap::new();
    for (at, breach) in found.into_iter().flatten() {
        let states = breach.states;
        breaches.entry(at).and_modify(|first| first.states += states).or_insert(breach);
    }
    let judged = plans.iter().flat_map(|plan| &plan.judged);
    let judged = judged.map(|judged| Judged { states: judged.states * supplies.len(), ..*judged });
    (breaches.into_values().collect(), judged.collect())
}

/// The states of all intents of a build.
pub fn plan(book: &Book, rig: &Rig) -> Plan {
    let mut plan = Plan { states: Vec::new(), judged: Vec::new() };
    let mut explorer = Explorer::new(rig);
    let mut known = BTreeMap::new();
    for (index, intent) in book.intents.iter().enumerate() {
        let Some(states) = explorer.states(intent.part, intent.element, &intent.when) else {
            continue;
        };
        let count = states.list.len();
        plan.judged.push(Judged {
            intent: index,
            build: rig.build,
            states: count,
            complete: states.complete,
        });
        for state in states.list {
            // A control at rest says nothing: states that differ in no other are one.
            let moved: State =
                state.into_iter().filter(|(control, to)| book.control(*control).rest() != *to).collect();
            let at = *known.entry(key(&moved)).or_insert(plan.states.len());
            if at == plan.states.len() {
                plan.states.push((moved, Vec::new()));
            }
            if plan.states[at].1.last() != Some(&index) {
                plan.states[at].1.push(index);
            }
        }
    }
    plan
}

fn judge(book: &Book, rig: &Rig, plan: &Plan, supply: f64) -> BTreeMap<(usize, bool), Breach> {
    let rest = Bench::new(rig, Corner { supply, ..middle(book) });
    let mut breaches: BTreeMap<(usize, bool), Breach> = BTreeMap::new();
    for (state, intents) in &plan.states {
        let subject = |intent: usize| {
            let intent = &book.intents[intent];
            Subject::Face { part: intent.part, element: intent.element }
        };
        let subjects: Vec<Subject> = intents.iter().map(|&intent| subject(intent)).collect();
        let mut bench = rest.clone();
        let seen = match &mut bench {
            Ok(bench) => bench.set_all(state).and_then(|()| bench.glimpse(&subjects)),
            Err(upset) => Err(upset.clone()),
        };
        for (at, &intent) in intents.iter().enumerate() {
            let should = rig.holds(&book.intents[intent].when, state);
            let seen = seen.as_ref().map(|seen| seen[at]).map_err(Upset::clone);
            let on = seen.as_ref().map(|seen| seen.strength != Strength::Off);
            if on == Ok(should) {
                continue;
            }
            let reason = || {
                let bench = bench.as_ref().ok()?;
                let why = super::statements::why(bench, subjects[at])?;
                let drivers = bench.drivers(&why);
                Some((why, drivers))
            };
            let breach = breaches.entry((intent, should)).or_insert_with(|| {
                let (why, drivers) = reason().unzip();
                Breach {
                    intent,
                    should,
                    build: rig.build,
                    supply,
                    settings: state.clone(),
                    seen: seen.clone(),
                    why,
                    drivers: drivers.unwrap_or_default(),
                    states: 0,
                }
            });
            breach.states += 1;
        }
    }
    breaches
}
