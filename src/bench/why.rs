//! Turns an operating point into reasons: the path that carries a current, or the open places that stop it.

use super::gate::Gate;
use super::rig::Carrier;
use super::state::Bench;
use crate::book::PartId;
use crate::solve::NodeId;
use std::collections::VecDeque;

/// One conductor on a path, from the feed towards the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hop {
    pub carrier: Carrier,
    /// Amperes through it.
    pub amps: f64,
    /// Volts against the body where the path leaves it.
    pub volts: f64,
}

/// Why an element does what it does.
#[derive(Debug, Clone, PartialEq)]
pub enum Why {
    /// Current flows: the path with the most current, from the supply through the element to the return.
    Path(Vec<Hop>),
    /// No current flows: the open places on the way with the fewest of them, feed side and ground side.
    Gap { feed: Vec<Carrier>, ground: Vec<Carrier> },
}

/// A relay whose contact stands on the way: whether it is in, and why its winding carries current or doesn't.
#[derive(Debug, Clone, PartialEq)]
pub struct Driver {
    pub part: PartId,
    pub energized: bool,
    pub why: Why,
}

/// Below this current an element is said to carry none, in amperes.
const CARRIES: f64 = 1e-3;

impl Bench<'_> {
    /// Why a part's element carries current or doesn't. None when the build lacks it.
    pub fn why(&self, part: PartId, element: usize) -> Option<Why> {
        let id = self.rig.element(part, element)?;
        let amps = self.point().amps(id);
        let (a, b) = self.rig.ends[id.0 as usize];
        if amps.abs() < CARRIES {
            let (plus, minus) = self.rig.battery?;
            return Some(Why::Gap { feed: self.gap(plus, a, id.0), ground: self.gap(b, minus, id.0) });
        }
        let (enter, leave) = if amps > 0.0 { (a, b) } else { (b, a) };
        let mut hops: Vec<Hop> = self.trace(enter, true);
        hops.reverse();
        hops.push(self.hop(id.0 as usize, leave));
        hops.extend(self.trace(leave, false));
        Some(Why::Path(hops))
    }

    /// The relays whose contacts make or break the way of a reason, and those that theirs depend on in turn: each once. A
    /// latched one that needs no current to stay in says nothing of how it came to be so, and is left out.
    pub fn drivers(&self, why: &Why) -> Vec<Driver> {
        let mut drivers: Vec<Driver> = Vec::new();
        let mut reasons = VecDeque::from([why.clone()]);
        while let Some(reason) = reasons.pop_front() {
            for relay in self.relays_on(&reason) {
                let part = self.rig.relays[relay].part;
                if drivers.iter().any(|driver| driver.part == part) {
                    continue;
                }
                let Some(why) = self.winding(relay) else { continue };
                let energized = self.states[relay];
                if energized && matches!(why, Why::Gap { .. }) {
                    continue;
                }
                reasons.push_back(why.clone());
                drivers.push(Driver { part, energized, why });
            }
        }
        drivers
    }

    fn relays_on(&self, why: &Why) -> Vec<usize> {
        let carriers: Vec<Carrier> = match why {
            Why::Path(hops) => hops.iter().map(|hop| hop.carrier).collect(),
            Why::Gap { feed, ground } => feed.iter().chain(ground).copied().collect(),
        };
        let mut relays = Vec::new();
        for carrier in carriers {
            let Carrier::Element { part, element } = carrier else {
                continue;
            };
            let id = self.rig.elements[part.index()][element];
            if let Some(contact) = self.rig.contact_of[id.0 as usize] {
                self.rig.contacts[contact].gate.walk(&mut |gate| {
                    if let Gate::State(state) = gate {
                        relays.push(*state);
                    }
                });
            }
        }
        relays
    }

    /// Why the winding of a relay that carries most carries it; of a relay without current, its first.
    fn winding(&self, relay: usize) -> Option<Why> {
        let coils = self.rig.relays[relay].coils.iter();
        let amps = |id: crate::solve::ElementId| self.point().amps(id).abs();
        let (coil, ..) = coils.rev().max_by(|a, b| amps(a.0).total_cmp(&amps(b.0)))?;
        match self.rig.carriers[coil.0 as usize] {
            Carrier::Element { part, element } => self.why(part, element),
            _ => None,
        }
    }

    /// Follows the greatest current from a node, upstream or downstream, until a source, or the body, or a loop ends it.
    fn trace(&self, from: NodeId, upstream: bool) -> Vec<Hop> {
        let around = &self.rig.around;
        let mut hops = Vec::new();
        let mut seen = vec![from];
        let mut node = from;
        while node != NodeId::REFERENCE {
            let best = around[node.0 as usize]
                .iter()
                .map(|&element| {
                    let (a, b) = self.rig.ends[element];
                    let amps = self.point().amps(crate::solve::ElementId(element as u32));
                    let out = if a == node { amps } else { -amps };
                    (if upstream { -out } else { out }, element, if a == node { b } else { a })
                })
                .filter(|(amps, _, next)| *amps > CARRIES / 10.0 && !seen.contains(next))
                .max_by(|x, y| x.0.total_cmp(&y.0).then(y.1.cmp(&x.1)));
            let Some((_, element, next)) = best else { break };
            hops.push(self.hop(element, if upstream { node } else { next }));
            if self.rig.sources.iter().any(|source| source.id.0 as usize == element) {
                break;
            }
            seen.push(next);
            node = next;
        }
        hops
    }

    fn hop(&self, element: usize, leave: NodeId) -> Hop {
        let amps = self.point().amps(crate::solve::ElementId(element as u32)).abs();
        Hop { carrier: self.rig.carriers[element], amps, volts: self.point().volts(leave) }
    }

    /// The open places between two nodes on the way that has the fewest: a breadth-first search in which a conductor
    /// costs nothing and an open place costs one. Loads are no way to feed another load, so they do not count as conductors.
    fn gap(&self, from: NodeId, to: NodeId, without: u32) -> Vec<Carrier> {
        let around = &self.rig.around;
        let count = around.len();
        let mut cost = vec![u32::MAX; count];
        let mut came: Vec<Option<(usize, NodeId)>> = vec![None; count];
        let mut queue = VecDeque::from([from]);
        cost[from.0 as usize] = 0;
        while let Some(node) = queue.pop_front() {
            let here = cost[node.0 as usize];
            for &element in &around[node.0 as usize] {
                if element as u32 == without || !self.is_way(element) {
                    continue;
                }
                let (a, b) = self.rig.ends[element];
                let next = if a == node { b } else { a };
                // The search runs the way the current would, which no diode lets through backwards.
                if node == b && self.is_diode(element) {
                    continue;
                }
                let step = u32::from(!self.conducts(element));
                if here + step < cost[next.0 as usize] {
                    cost[next.0 as usize] = here + step;
                    came[next.0 as usize] = Some((element, node));
                    if step == 0 { queue.push_front(next) } else { queue.push_back(next) }
                }
            }
        }
        let mut gaps = Vec::new();
        let mut node = to;
        while let Some((element, before)) = came[node.0 as usize] {
            if !self.conducts(element) {
                gaps.push(self.rig.carriers[element]);
            }
            node = before;
        }
        gaps.reverse();
        gaps
    }

    /// Whether an element is a way for current rather than a load or a fault's place.
    fn is_way(&self, element: usize) -> bool {
        match self.rig.carriers[element] {
            Carrier::ShortToGround(_) => false,
            Carrier::Element { part, element } => {
                use crate::book::Action;
                !matches!(
                    self.rig.vehicle.part(part).elements[element].action,
                    Action::Coil { .. }
                        | Action::Filament { .. }
                        | Action::Led { .. }
                        | Action::Load { .. }
                        | Action::Source { .. }
                        | Action::Capacitor { .. }
                )
            }
            _ => true,
        }
    }

    fn is_diode(&self, element: usize) -> bool {
        let elements = self.solver.network().elements();
        matches!(elements[element], crate::solve::Element::Diode { breakdown: None, .. })
    }

    /// For each node whether it is joined to the body or the battery's minus by what conducts and is no load.
    pub fn grounded(&self) -> Vec<bool> {
        let mut found = vec![false; self.rig.around.len()];
        let mut queue = vec![NodeId::REFERENCE];
        queue.extend(self.rig.battery.map(|(_, minus)| minus));
        while let Some(node) = queue.pop() {
            if std::mem::replace(&mut found[node.0 as usize], true) {
                continue;
            }
            for &element in &self.rig.around[node.0 as usize] {
                if self.is_way(element) && !self.resists(element) && self.conducts(element) {
                    let (a, b) = self.rig.ends[element];
                    queue.push(if a == node { b } else { a });
                }
            }
        }
        found
    }

    /// Whether an element is a way for current that drops volts by its nature.
    fn resists(&self, element: usize) -> bool {
        use crate::book::Action;
        let Carrier::Element { part, element } = self.rig.carriers[element] else {
            return false;
        };
        matches!(
            self.rig.vehicle.part(part).elements[element].action,
            Action::Resistor { .. } | Action::Diode { .. }
        )
    }

    /// Whether an element lets current through as it stands.
    pub(super) fn conducts(&self, element: usize) -> bool {
        use crate::solve::{Element, ElementId};
        let id = ElementId(element as u32);
        !self.solver.is_open(id)
            && match self.solver.element(id) {
                Element::Branch { conductance, .. } => conductance > 0.0,
                _ => true,
            }
    }
}
