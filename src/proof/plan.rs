//! Turns a build's loads into the states in which they are judged, each once.

use super::explore::{Explorer, State, key};
use crate::bench::Rig;
use crate::book::{BuildId, Case, Condition, ControlId, PartId};
use std::collections::BTreeMap;

/// What a load is for.
#[derive(Debug, Clone, Copy)]
pub struct Purpose<'b> {
    pub part: PartId,
    pub element: usize,
    pub cases: &'b [Case],
}

impl Purpose<'_> {
    /// When it should do anything at all.
    fn when(&self) -> Condition {
        Condition::Or(self.cases.iter().map(|case| case.when.clone()).collect())
    }
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

/// The places of a plan's states, by their keys.
type Known = BTreeMap<Vec<(ControlId, u64)>, usize>;

/// A build's states, each once, with the intents that are judged in it.
pub struct Plan {
    pub states: Vec<(State, Vec<usize>)>,
    pub judged: Vec<Judged>,
}

impl Plan {
    /// The states of all loads of a build.
    pub fn of(rig: &Rig, intents: &[Purpose]) -> Plan {
        let mut plan = Plan { states: Vec::new(), judged: Vec::new() };
        let conditions = intents.iter().flat_map(|intent| intent.cases).map(|case| &case.when);
        let mut explorer = Explorer::new(rig, conditions);
        let mut known = Known::new();
        for (index, intent) in intents.iter().enumerate() {
            let Some(states) = explorer.states(intent.part, intent.element, &intent.when()) else {
                continue;
            };
            plan.judged.push(Judged {
                intent: index,
                build: rig.build,
                states: states.list.len(),
                complete: states.complete,
            });
            plan.add(rig, &mut known, states.list, Some(index));
        }
        // Nothing says when such a load should work, as of most gauges; but other parts may be there for it.
        for sight in &rig.sights {
            let its = |intent: &Purpose| (intent.part, intent.element) == (sight.part, sight.element);
            if !intents.iter().any(its)
                && let Some(states) = explorer.states(sight.part, sight.element, &Condition::Never)
            {
                plan.add(rig, &mut known, states.list, None);
            }
        }
        plan
    }

    fn add(&mut self, rig: &Rig, known: &mut Known, states: Vec<State>, intent: Option<usize>) {
        for state in states {
            // A control at rest says nothing: states that differ in no other are one.
            let moved: State = state
                .into_iter()
                .filter(|(control, to)| rig.vehicle.control(*control).rest() != *to)
                .collect();
            let at = *known.entry(key(&moved)).or_insert(self.states.len());
            if at == self.states.len() {
                self.states.push((moved, Vec::new()));
            }
            let judged = &mut self.states[at].1;
            if judged.last().copied() != intent {
                judged.extend(intent);
            }
        }
    }
}
