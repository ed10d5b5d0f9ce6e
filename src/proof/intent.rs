//! Obligation 3: every load against its intent, over all positions of the controls that reach it, in all builds.

use super::Progress;
use super::corners::middle;
use super::states::States;
use crate::bench::{Bench, Corner, Rig, Seen, Upset, Why};
use crate::book::{Book, BuildId, ControlId, PartId, Setting, Strength, Subject};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use uom::si::electric_potential::volt;

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
    pub settings: Vec<(ControlId, Setting)>,
    pub seen: Result<Seen, Upset>,
    pub why: Option<Why>,
    /// In how many states it fails.
    pub states: usize,
}

/// How thoroughly an intent was judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Judged {
    pub intent: usize,
    pub build: BuildId,
    pub states: usize,
    /// Whether those are all states of the controls that reach the load.
    pub complete: bool,
}

/// A set of loads that the same controls reach.
pub struct Group {
    pub controls: BTreeSet<ControlId>,
    pub parts: BTreeSet<PartId>,
    pub intents: Vec<usize>,
}

/// Judges every intent.
pub fn prove(book: &Book, rigs: &[Rig], progress: &dyn Progress) -> (Vec<Breach>, Vec<Judged>) {
    let tasks: Vec<(&Rig, Group)> = rigs
        .iter()
        .flat_map(|rig| groups(book, rig).into_iter().map(move |group| (rig, group)))
        .collect();
    let total = tasks.len();
    let done = std::sync::atomic::AtomicUsize::new(0);
    let parts: Vec<(Vec<Breach>, Vec<Judged>)> = tasks
        .par_iter()
        .map(|(rig, group)| {
            let found = judge(book, rig, group);
            progress.at(
                "intent",
                1 + done.fetch_add(1, std::sync::atomic::Ordering::Relaxed),
                total,
            );
            found
        })
        .collect();
    let (mut breaches, mut judged) = (Vec::new(), Vec::new());
    for (found, how) in parts {
        breaches.extend(found);
        judged.extend(how);
    }
    (breaches, judged)
}

/// The intended loads of a build, put together where the same controls reach them.
pub fn groups(book: &Book, rig: &Rig) -> Vec<Group> {
    let tied = rig.tied();
    let mut groups: BTreeMap<BTreeSet<ControlId>, Group> = BTreeMap::new();
    for (index, intent) in book.intents.iter().enumerate() {
        let Some(reach) = rig.reach(&tied, intent.part, intent.element) else {
            continue;
        };
        let mut controls = reach.controls;
        controls.extend(intent.when.controls());
        let group = groups.entry(controls.clone()).or_insert_with(|| Group {
            controls,
            parts: BTreeSet::new(),
            intents: Vec::new(),
        });
        group.parts.extend(reach.parts);
        group.intents.push(index);
    }
    groups.into_values().collect()
}

fn judge(book: &Book, rig: &Rig, group: &Group) -> (Vec<Breach>, Vec<Judged>) {
    let states = States::of(rig, group.controls.iter().copied().collect());
    let band = book.manual.supply.map(|supply| supply.get::<volt>());
    let supplies = if band.is_point() {
        vec![band.low]
    } else {
        vec![band.low, band.high]
    };
    let mut breaches: BTreeMap<(usize, bool), Breach> = BTreeMap::new();
    let subjects: Vec<Subject> = group
        .intents
        .iter()
        .map(|&intent| {
            let intent = &book.intents[intent];
            Subject::Face {
                part: intent.part,
                element: intent.element,
            }
        })
        .collect();
    for &supply in &supplies {
        let corner = Corner {
            supply,
            ..middle(book)
        };
        let rest = Bench::new(rig, corner);
        for state in 0..states.list.len() {
            let settings = states.settings(state);
            let mut bench = rest.clone();
            let seen = match &mut bench {
                Ok(bench) => bench.set_all(&settings).and_then(|()| bench.glimpse(&subjects)),
                Err(upset) => Err(upset.clone()),
            };
            for (at, &intent) in group.intents.iter().enumerate() {
                let when = &book.intents[intent].when;
                let should = rig.holds(when, &settings);
                let seen = seen.as_ref().map(|seen| seen[at]).map_err(Upset::clone);
                let on = seen.as_ref().map(|seen| seen.strength != Strength::Off);
                if on == Ok(should) {
                    continue;
                }
                let breach = breaches.entry((intent, should)).or_insert_with(|| Breach {
                    intent,
                    should,
                    build: rig.build,
                    supply,
                    settings: settings.clone(),
                    seen: seen.clone(),
                    why: bench
                        .as_ref()
                        .ok()
                        .and_then(|bench| super::statements::why(bench, subjects[at])),
                    states: 0,
                });
                breach.states += 1;
            }
        }
    }
    let judged = group.intents.iter().map(|&intent| Judged {
        intent,
        build: rig.build,
        states: states.list.len() * supplies.len(),
        complete: states.complete,
    });
    (breaches.into_values().collect(), judged.collect())
}
