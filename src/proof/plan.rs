//! Turns a build's loads into the states in which they are judged, each once.

use super::explore::{Explorer, State, key};
use crate::bench::Rig;
use crate::book::{BuildId, Condition, PartId};
use std::collections::BTreeMap;

/// What a load is for.
#[derive(Debug, Clone, Copy)]
pub struct Purpose<'b> {
    pub part: PartId,
    pub element: usize,
    pub when: &'b Condition,
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

impl Plan {
    /// The states of all intents of a build.
    pub fn of(rig: &Rig, intents: &[Purpose]) -> Plan {
        let mut plan = Plan { states: Vec::new(), judged: Vec::new() };
        let mut explorer = Explorer::new(rig);
        let mut known = BTreeMap::new();
        for (index, intent) in intents.iter().enumerate() {
            let Some(states) = explorer.states(intent.part, intent.element, intent.when) else {
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
                let moved: State = state
                    .into_iter()
                    .filter(|(control, to)| rig.vehicle.control(*control).rest() != *to)
                    .collect();
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
}
