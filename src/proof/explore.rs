//! Turns a load into the states that its proof goes through.
//!
//! Where the controls that reach the load have few positions between them, all are gone through. Elsewhere two sets are joined:
//! every way in which the controls of its own feed and ground side can stand, the others at rest; and every pair of positions of
//! all controls that reach it, by whatever way, with a fixed draw of further states.
//!
//! A set is a tree's leaves and not a product: a control is fixed at each of its positions in turn, and what can still reach the
//! load is found again. With the key off, a lamp behind it is reached by fewer controls than with the key on. What is tied to the
//! supply or the body through wires, fuses and made contacts ends the search, since no other control moves its voltage beyond the
//! drop along the feed.

use super::corners::divided;
use crate::bench::{Rig, Stand};
use crate::book::{Condition, ControlId, PartId, Setting};
use std::collections::{BTreeMap, BTreeSet};

/// Settings of some controls; the others are at rest.
pub type State = Vec<(ControlId, Setting)>;

/// The states of a load.
#[derive(Debug, Clone)]
pub struct States {
    pub list: Vec<State>,
    /// Whether they stand for all positions of the controls that reach the load.
    pub complete: bool,
}

/// Up to so many positions of the controls that reach a load, all are gone through. The number keeps the proof of a whole
/// vehicle, whose loads all hang on one ignition feed, within a second.
pub const ALL: usize = 2_048;

/// So many ways in which the controls of a load's own feed and ground side can stand are gone through, where it cannot be gone
/// through whole: a row of switches with many positions each has more than any machine can hold.
const LEAVES: usize = 8_192;

/// How many states are drawn beside all pairs when a load cannot be gone through whole.
const SAMPLE: usize = 128;

/// Finds the states of a build's loads; what the loads have in common is found once.
pub struct Explorer<'a> {
    rig: &'a Rig,
    choices: Vec<Vec<Setting>>,
    stands: BTreeMap<Vec<(ControlId, u64)>, Stand>,
}

impl<'a> Explorer<'a> {
    /// An explorer of one build, for loads that are for something under these conditions.
    pub fn new<'c>(rig: &'a Rig, conditions: impl Iterator<Item = &'c Condition>) -> Explorer<'a> {
        let mut beside: Vec<Vec<(f64, f64)>> = vec![Vec::new(); rig.vehicle.controls.len()];
        for condition in conditions {
            condition.walk(&mut |inner| {
                if let Condition::Level(level) = inner {
                    let bands = [Some(level.threshold), level.until].into_iter().flatten();
                    beside[level.control.index()].extend(bands.map(|band| (band.low, band.high)));
                }
            });
        }
        let divide = |(control, beside): (usize, &Vec<(f64, f64)>)| divided(rig, control, beside);
        let choices = beside.iter().enumerate().map(divide).collect();
        Explorer { rig, choices, stands: BTreeMap::new() }
    }

    /// The states of a part's element, each with the controls of `when` set too. None when the build lacks the part.
    pub fn states(&mut self, part: PartId, element: usize, when: &Condition) -> Option<States> {
        self.rig.element(part, element)?;
        let mut fixed = vec![None; self.choices.len()];
        let reached: Vec<ControlId> = self.reached(&fixed, part, element, false).into_iter().collect();
        let mut count = 1usize;
        for control in &reached {
            count = count.saturating_mul(self.choices[control.index()].len());
        }
        let complete = count <= ALL;
        let mut leaves = Vec::new();
        self.grow(&mut fixed, part, element, !complete, &mut leaves);
        if !complete {
            leaves.extend(self.sample(&reached));
        }
        let beside: usize = when
            .controls()
            .iter()
            .filter(|control| !reached.contains(control))
            .fold(1, |count, control| count.saturating_mul(self.choices[control.index()].len()));
        // Controls that an intent names and that do not reach the load stay at rest where they would be too many.
        let fits = leaves.len().saturating_mul(beside) <= 8 * LEAVES;
        let list = match fits {
            true => leaves.into_iter().flat_map(|leaf| self.with_controls(leaf, when)).collect(),
            false => leaves,
        };
        Some(States { list, complete: complete && fits })
    }

    fn grow(
        &mut self,
        fixed: &mut Vec<Option<Setting>>,
        part: PartId,
        element: usize,
        own: bool,
        leaves: &mut Vec<State>,
    ) {
        let reached = self.reached(fixed, part, element, own);
        // The control with the most contacts goes first: it decides most, so the tree stays small.
        let weight = |control: &ControlId| self.rig.by_control[control.index()].len();
        let busiest =
            reached.into_iter().max_by_key(|control| (weight(control), std::cmp::Reverse(*control)));
        let Some(control) = busiest else {
            leaves.push(state_of(fixed));
            return;
        };
        if own && leaves.len() >= LEAVES {
            return;
        }
        for to in self.choices[control.index()].clone() {
            fixed[control.index()] = Some(to);
            self.grow(fixed, part, element, own, leaves);
        }
        fixed[control.index()] = None;
    }

    /// The controls that can still reach a load, by any way or by its own only.
    fn reached(
        &mut self,
        fixed: &[Option<Setting>],
        part: PartId,
        element: usize,
        own: bool,
    ) -> BTreeSet<ControlId> {
        let rig = self.rig;
        let stand = self.stands.entry(key(&state_of(fixed))).or_insert_with(|| rig.stand(fixed));
        match own {
            true => rig.own_controls(stand, fixed, part, element),
            false => rig.reach(stand, fixed, part, element).map_or(BTreeSet::new(), |reach| reach.controls),
        }
    }

    /// A state once for each way in which the condition's other controls can stand.
    fn with_controls(&self, leaf: State, when: &Condition) -> Vec<State> {
        let mut states = vec![leaf];
        for control in when.controls() {
            if states[0].iter().any(|(set, _)| *set == control) {
                continue;
            }
            let settings = &self.choices[control.index()];
            states = states
                .into_iter()
                .flat_map(|state| {
                    settings
                        .iter()
                        .map(move |&to| state.iter().copied().chain([(control, to)]).collect::<State>())
                })
                .collect();
        }
        states
    }

    /// Every pair of settings of every two controls with the others at rest, and a fixed pseudo-random draw (the multiplier is
    /// that of Knuth's MMIX; the draw only has to be the same every time).
    fn sample(&self, controls: &[ControlId]) -> Vec<State> {
        let choices: Vec<&Vec<Setting>> =
            controls.iter().map(|control| &self.choices[control.index()]).collect();
        let state = |pick: &[usize]| -> State {
            pick.iter().enumerate().map(|(at, &choice)| (controls[at], choices[at][choice])).collect()
        };
        let mut states = Vec::new();
        let mut pick = vec![0; controls.len()];
        for a in 0..controls.len() {
            for b in a + 1..controls.len() {
                for x in 0..choices[a].len() {
                    for y in 0..choices[b].len() {
                        (pick[a], pick[b]) = (x, y);
                        states.push(state(&pick));
                    }
                }
                (pick[a], pick[b]) = (0, 0);
            }
        }
        let mut random = 1u64;
        for _ in 0..SAMPLE {
            for (at, list) in choices.iter().enumerate() {
                random =
                    random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                pick[at] = (random >> 33) as usize % list.len();
            }
            states.push(state(&pick));
        }
        states
    }
}

fn state_of(fixed: &[Option<Setting>]) -> State {
    let settings = fixed.iter().enumerate();
    settings.filter_map(|(index, to)| Some((ControlId(index as u32), (*to)?))).collect()
}

/// A state as a key: equal settings give equal keys.
pub fn key(state: &[(ControlId, Setting)]) -> Vec<(ControlId, u64)> {
    let bits = |to: Setting| match to {
        Setting::Position(at) => at as u64,
        Setting::Level(level) => level.to_bits(),
    };
    let mut key: Vec<(ControlId, u64)> = state.iter().map(|&(control, to)| (control, bits(to))).collect();
    key.sort_unstable();
    key
}
