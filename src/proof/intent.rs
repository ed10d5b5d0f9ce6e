//! Obligation 3: every load against its intent, over all positions of the controls that reach it, in all builds.

use super::corners::middle;
use super::explore::State;
use super::fleet::Fleet;
use super::plan::{Judged, Plan, Purpose};
use super::progress::Tally;
use crate::bench::{Bench, Corner, Driver, Rig, Seen, Upset, Why};
use crate::book::{BuildId, Strength, Subject};
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

/// Judges every intent: in each build, at each end of the supply.
pub fn prove(
    fleet: &Fleet,
    plans: &[Plan],
    intents: &[Purpose],
    tally: &Tally,
) -> (Vec<Breach>, Vec<Judged>) {
    let supplies = supplies(fleet);
    let tasks: Vec<(&Rig, &Plan, f64)> = fleet
        .iter()
        .zip(plans)
        .flat_map(|(rig, plan)| supplies.iter().map(move |&supply| (rig, plan, supply)))
        .collect();
    let found: Vec<BTreeMap<(usize, bool), Breach>> = tasks
        .par_iter()
        .map(|(rig, plan, supply)| {
            let breaches = judge(rig, plan, intents, *supply);
            tally.tick(1);
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

/// How many steps of work that is.
pub fn work(fleet: &Fleet) -> usize {
    fleet.len() * supplies(fleet).len()
}

/// The ends of the supply, in volts.
fn supplies(fleet: &Fleet) -> Vec<f64> {
    let band = fleet.vehicle.supply;
    if band.is_point() { vec![band.low] } else { vec![band.low, band.high] }
}

fn judge(rig: &Rig, plan: &Plan, intents: &[Purpose], supply: f64) -> BTreeMap<(usize, bool), Breach> {
    let rest = Bench::new(rig, Corner { supply, ..middle(rig) });
    let mut breaches: BTreeMap<(usize, bool), Breach> = BTreeMap::new();
    for (state, asked) in plan.states.iter().filter(|(_, asked)| !asked.is_empty()) {
        let subject = |intent: usize| {
            let Purpose { part, element, .. } = intents[intent];
            Subject::Face { part, element }
        };
        let subjects: Vec<Subject> = asked.iter().map(|&intent| subject(intent)).collect();
        let mut bench = rest.clone();
        let seen = match &mut bench {
            Ok(bench) => bench.set_all(state).and_then(|()| bench.glimpse(&subjects)),
            Err(upset) => Err(upset.clone()),
        };
        for (at, &intent) in asked.iter().enumerate() {
            let should = rig.holds(intents[intent].when, state);
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
