//! Turns a build, with some controls held fast, into which other controls can still reach a load: through conductors, contacts
//! and coils, but not through what is tied to the supply or the body as the fixed controls stand.

use super::gate::Gate;
use super::rig::{Carrier, Rig};
use crate::book::{Action, ControlId, PartId, Setting};
use crate::solve::NodeId;
use std::collections::BTreeSet;

/// Controls that stand fast; the others may stand anywhere.
pub type Fixed = [Option<Setting>];

/// What bears on a load.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reach {
    /// The controls that can still change something.
    pub controls: BTreeSet<ControlId>,
    /// The parts on the way.
    pub parts: BTreeSet<PartId>,
}

/// How the network stands as far as some fixed controls decide it.
#[derive(Debug, Clone)]
pub struct Stand {
    /// By contact of the rig: made, open, or not decided.
    decided: Vec<Option<bool>>,
    /// By node: tied to the supply or the body by wires, fuses, joints and contacts that are surely made, so that no other
    /// control moves its voltage.
    tied: Vec<bool>,
    /// By node: whether the supply can get there at all, by any position of the other controls.
    feedable: Vec<bool>,
}

impl Rig {
    /// How the network stands with these controls fixed. A relay whose windings cannot be fed is surely out, which opens its
    /// contacts, which may leave further relays without feed: repeated until nothing more is decided.
    pub fn stand(&self, fixed: &Fixed) -> Stand {
        let mut out = vec![false; self.relays.len()];
        loop {
            let decided: Vec<Option<bool>> =
                self.contacts.iter().map(|contact| decide(&contact.gate, fixed, &out)).collect();
            let tied = self.flood([NodeId::REFERENCE].into_iter().chain(self.posts()), |element, _| {
                self.is_passive(element, &decided)
            });
            let live = self.posts().take(1).chain(self.sources.iter().flat_map(|source| {
                let (a, b) = self.ends[source.id.0 as usize];
                [a, b]
            }));
            let feedable = self.flood(live, |element, from| self.lets_through(element, from, &decided));
            let fed = |&(coil, _, _): &(crate::solve::ElementId, crate::book::Effect, f64)| {
                let (a, b) = self.ends[coil.0 as usize];
                feedable[a.0 as usize] || feedable[b.0 as usize]
            };
            let still: Vec<bool> =
                self.relays.iter().map(|relay| !relay.latching && !relay.coils.iter().any(fed)).collect();
            if still == out {
                return Stand { decided, tied, feedable };
            }
            out = still;
        }
    }

    fn posts(&self) -> impl Iterator<Item = NodeId> + use<> {
        self.battery.into_iter().flat_map(|(plus, minus)| [plus, minus])
    }

    /// All nodes that can be got to from some. A node of the body is a place to arrive at and not a way.
    fn flood(&self, from: impl Iterator<Item = NodeId>, passes: impl Fn(usize, NodeId) -> bool) -> Vec<bool> {
        let mut reached = vec![false; self.around.len()];
        let mut queue: Vec<NodeId> = from.collect();
        while let Some(node) = queue.pop() {
            if std::mem::replace(&mut reached[node.0 as usize], true) {
                continue;
            }
            for &element in &self.around[node.0 as usize] {
                let next = self.other_end(element, node);
                if !reached[next.0 as usize] && passes(element, node) {
                    queue.push(next);
                }
            }
        }
        reached
    }

    /// Whether an element ties its ends together whatever the other controls do.
    fn is_passive(&self, element: usize, decided: &[Option<bool>]) -> bool {
        match self.carriers[element] {
            Carrier::Element { part, element: own } => match self.vehicle.part(part).elements[own].action {
                Action::Link { .. } => true,
                Action::Contact { .. } => {
                    self.contact_of[element].is_some_and(|at| decided[at] == Some(true))
                }
                _ => false,
            },
            Carrier::ShortToGround(_) => false,
            _ => true,
        }
    }

    /// Whether current could come through an element from this end of it. The body takes what comes and feeds nothing.
    fn lets_through(&self, element: usize, from: NodeId, decided: &[Option<bool>]) -> bool {
        if from == NodeId::REFERENCE {
            return false;
        }
        match self.carriers[element] {
            Carrier::ShortToGround(_) => false,
            Carrier::Element { part, element: own } => match self.vehicle.part(part).elements[own].action {
                Action::Contact { .. } => {
                    self.contact_of[element].is_none_or(|at| decided[at] != Some(false))
                }
                Action::Diode { breakdown: None } | Action::Led { .. } => self.ends[element].0 == from,
                _ => true,
            },
            _ => true,
        }
    }

    /// All that can still bear on a part's element, as the network stands with the same fixed controls. A load that the supply
    /// cannot get to is reached by nothing.
    pub fn reach(&self, stand: &Stand, fixed: &Fixed, part: PartId, element: usize) -> Option<Reach> {
        let (a, b) = self.ends[self.element(part, element)?.0 as usize];
        let mut reach = Reach { controls: BTreeSet::new(), parts: BTreeSet::from([part]) };
        if !stand.feedable[a.0 as usize] && !stand.feedable[b.0 as usize] {
            return Some(reach);
        }
        let mut seen = vec![false; self.around.len()];
        let mut queue = vec![a, b];
        while let Some(node) = queue.pop() {
            if std::mem::replace(&mut seen[node.0 as usize], true) || stand.tied[node.0 as usize] {
                continue;
            }
            for &element in &self.around[node.0 as usize] {
                if matches!(self.carriers[element], Carrier::ShortToGround(_)) {
                    continue;
                }
                if let Carrier::Element { part, element } = self.carriers[element] {
                    reach.parts.insert(part);
                    self.follow_others(part, element, fixed, &mut reach.controls, &mut queue);
                }
                match self.contact_of[element].map(|contact| (contact, stand.decided[contact])) {
                    // What is surely open is no way.
                    Some((_, Some(false))) => continue,
                    Some((contact, None)) => {
                        self.follow_gate(
                            &self.contacts[contact].gate,
                            fixed,
                            &mut reach.controls,
                            &mut queue,
                        );
                    }
                    _ => {}
                }
                queue.push(self.other_end(element, node));
            }
        }
        Some(reach)
    }

    /// The controls on the ways by which the supply, or the body, can come to a part's element without going through another
    /// load first: its own feed and ground side, with those of the coils that move their contacts.
    pub fn own_controls(
        &self,
        stand: &Stand,
        fixed: &Fixed,
        part: PartId,
        element: usize,
    ) -> BTreeSet<ControlId> {
        let mut controls = BTreeSet::new();
        let Some(id) = self.element(part, element) else {
            return controls;
        };
        let mut loads = vec![self.ends[id.0 as usize]];
        let mut done = 0;
        while done < loads.len() {
            let (a, b) = loads[done];
            done += 1;
            if !stand.feedable[a.0 as usize] && !stand.feedable[b.0 as usize] {
                continue;
            }
            let mut nodes = Vec::new();
            for element in self.ways_to(stand, [a, b]) {
                let Some(contact) = self.contact_of[element] else {
                    continue;
                };
                if stand.decided[contact].is_none() {
                    self.follow_gate(&self.contacts[contact].gate, fixed, &mut controls, &mut nodes);
                }
            }
            for pair in nodes.chunks_exact(2) {
                let pair = (pair[0], pair[1]);
                if !loads.contains(&pair) {
                    loads.push(pair);
                }
            }
        }
        controls
    }

    /// The elements on ways without a load from what is tied to some nodes: dead ends are cut off until none is left.
    fn ways_to(&self, stand: &Stand, to: [NodeId; 2]) -> Vec<usize> {
        let mut there = vec![false; self.ends.len()];
        let mut found: Vec<usize> = Vec::new();
        let mut degree = vec![0u32; self.around.len()];
        let mut seen = vec![false; self.around.len()];
        let mut queue = to.to_vec();
        while let Some(node) = queue.pop() {
            if std::mem::replace(&mut seen[node.0 as usize], true) || stand.tied[node.0 as usize] {
                continue;
            }
            for &element in &self.around[node.0 as usize] {
                if self.is_no_load(element, stand) && !std::mem::replace(&mut there[element], true) {
                    found.push(element);
                    let (a, b) = self.ends[element];
                    degree[a.0 as usize] += 1;
                    degree[b.0 as usize] += 1;
                    queue.push(self.other_end(element, node));
                }
            }
        }
        let is_end = |node: NodeId| to.contains(&node) || stand.tied[node.0 as usize];
        let nodes = (0..degree.len() as u32).map(NodeId);
        let mut dead: Vec<NodeId> =
            nodes.filter(|&node| degree[node.0 as usize] == 1 && !is_end(node)).collect();
        while let Some(node) = dead.pop() {
            for &element in &self.around[node.0 as usize] {
                if !std::mem::replace(&mut there[element], false) {
                    continue;
                }
                let next = self.other_end(element, node);
                degree[next.0 as usize] -= 1;
                if degree[next.0 as usize] == 1 && !is_end(next) {
                    dead.push(next);
                }
            }
        }
        found.retain(|&element| there[element]);
        found.sort_unstable();
        found
    }

    /// Whether an element is a way for current and no load of its own.
    fn is_no_load(&self, element: usize, stand: &Stand) -> bool {
        match self.carriers[element] {
            Carrier::ShortToGround(_) => false,
            Carrier::Element { part, element: own } => match self.vehicle.part(part).elements[own].action {
                Action::Contact { .. } => {
                    self.contact_of[element].is_none_or(|at| stand.decided[at] != Some(false))
                }
                Action::Coil { .. } | Action::Filament { .. } | Action::Led { .. } | Action::Load { .. } => {
                    false
                }
                _ => true,
            },
            _ => true,
        }
    }

    fn other_end(&self, element: usize, node: NodeId) -> NodeId {
        let (a, b) = self.ends[element];
        if a == node { b } else { a }
    }

    /// Takes in what can move a gate: the controls it reads, and the nodes of the coils and thresholds in it.
    fn follow_gate(
        &self,
        gate: &Gate,
        fixed: &Fixed,
        controls: &mut BTreeSet<ControlId>,
        queue: &mut Vec<NodeId>,
    ) {
        gate.walk(&mut |gate| match gate {
            Gate::Position { control, .. } | Gate::Level { control, .. }
                if fixed[control.index()].is_none() =>
            {
                controls.insert(*control);
            }
            Gate::State(state) => {
                for &(coil, _, _) in &self.relays[*state].coils {
                    let (a, b) = self.ends[coil.0 as usize];
                    queue.extend([a, b]);
                }
            }
            Gate::Volts { plus, minus, .. } => queue.extend([*plus, *minus]),
            _ => {}
        });
    }

    /// The same for sources that follow a condition and resistors that follow a control.
    fn follow_others(
        &self,
        part: PartId,
        element: usize,
        fixed: &Fixed,
        controls: &mut BTreeSet<ControlId>,
        queue: &mut Vec<NodeId>,
    ) {
        let source = self.sources.iter().find(|source| source.part == part && source.element == element);
        if let Some(gate) = source.and_then(|source| source.gate.as_ref()) {
            self.follow_gate(gate, fixed, controls, queue);
        }
        let follower =
            self.followers.iter().find(|follower| follower.part == part && follower.element == element);
        if let Some(follower) = follower
            && fixed[follower.control].is_none()
        {
            controls.insert(ControlId(follower.control as u32));
        }
    }
}

/// What a gate is as far as the fixed controls, and relays that are surely out, decide it. Level switches that remember, other
/// relays, voltages and time leave it undecided.
pub(super) fn decide(gate: &Gate, fixed: &Fixed, out: &[bool]) -> Option<bool> {
    match gate {
        Gate::Fixed(value) => Some(*value),
        Gate::Position { control, any } => match fixed[control.index()]? {
            Setting::Position(at) => Some(any >> at & 1 == 1),
            Setting::Level(_) => Some(false),
        },
        Gate::Level { control, above, threshold, until: None, .. } => match fixed[control.index()]? {
            Setting::Level(value) if value > threshold.high => Some(*above),
            Setting::Level(value) if value < threshold.low => Some(!*above),
            _ => None,
        },
        Gate::All(list) => {
            let parts: Vec<Option<bool>> = list.iter().map(|gate| decide(gate, fixed, out)).collect();
            if parts.contains(&Some(false)) {
                Some(false)
            } else {
                parts.into_iter().collect::<Option<Vec<_>>>().map(|_| true)
            }
        }
        Gate::Any(list) => {
            let parts: Vec<Option<bool>> = list.iter().map(|gate| decide(gate, fixed, out)).collect();
            if parts.contains(&Some(true)) {
                Some(true)
            } else {
                parts.into_iter().collect::<Option<Vec<_>>>().map(|_| false)
            }
        }
        Gate::Not(inner) => decide(inner, fixed, out).map(|value| !value),
        Gate::State(state) => out[*state].then_some(false),
        Gate::Level { .. } | Gate::Volts { .. } | Gate::Timed { .. } => None,
    }
}
