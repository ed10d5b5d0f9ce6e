//! Turns a build into what of it can carry current while only some controls are worked: all else sleeps, and needs no solving.
//!
//! A conductor carries current only on a way round. What is joined to the rest at one place, as a circuit is whose switch
//! stands open, has no way round and, without a source of its own, carries none; so its relays stay out, so their contacts
//! stay open, so more has no way round. What hands touch counts as joined, for a jumper or a fault may join it.

use super::gate::Gate;
use super::gear::Source;
use super::rig::{Carrier, Rig};
use super::wiring::Kept;
use crate::book::{Conductor, ControlId, End, Item, PartId, WireId};
use crate::solve::{ElementId, NodeId};
use petgraph::algo::bridges::bridges;
use petgraph::graph::UnGraph;
use petgraph::unionfind::UnionFind;
use petgraph::visit::EdgeRef;
use std::collections::BTreeSet;

impl Rig {
    /// The same build without what sleeps from rest on, as long as nobody works another control than these, nothing is planted
    /// in other items than those that are touched, and no lead is put on any other but the battery's posts and the body. What is
    /// left is seen and measured as in the whole build; what is not there must not be asked for.
    pub fn awake(&self, worked: &BTreeSet<ControlId>, touched: &BTreeSet<Item>) -> Rig {
        let carries = self.carrying(worked, touched);
        let alive = |id: ElementId| carries[id.0 as usize];
        let is_touched = |item: Item| touched.contains(&item);
        let ends_in_touched = |wire: &Conductor| {
            wire.ends.iter().any(|end| match *end {
                End::Cavity { connector, .. } => is_touched(Item::Connector(connector)),
                End::Terminal { .. } => false,
            })
        };
        let wires: Vec<bool> = (0..self.vehicle.wires.len())
            .map(|index| {
                let wire = WireId(index as u32);
                let touched = is_touched(Item::Wire(wire)) || ends_in_touched(self.vehicle.wire(wire));
                self.runs[index].is_some_and(|run| touched || run.halves.into_iter().any(alive))
            })
            .collect();
        let mut parts: Vec<bool> = (0..self.vehicle.parts.len())
            .map(|index| {
                let pins = self.pins[index].iter().map(|pin| pin.joint);
                let all = pins.chain(self.elements[index].iter().copied()).chain(self.bonds[index]);
                let there = !self.pins[index].is_empty() || !self.elements[index].is_empty();
                let touched = is_touched(Item::Part(PartId(index as u32)));
                let mut sources = self.sources.iter();
                there
                    && (touched
                        || all.into_iter().any(alive)
                        || sources.any(|source| source.part.index() == index))
            })
            .collect();
        // A wire that is there ends on something.
        for (wire, _) in self.vehicle.wires.iter().zip(&wires).filter(|(_, kept)| **kept) {
            for end in wire.ends {
                if let End::Terminal { part, .. } = end {
                    parts[part.index()] = true;
                }
            }
        }
        Rig::of(&self.vehicle, self.build, Kept { parts, wires })
    }

    /// For each element of the network whether it can ever carry current.
    fn carrying(&self, worked: &BTreeSet<ControlId>, touched: &BTreeSet<Item>) -> Vec<bool> {
        let fixed: Vec<_> = (0..self.vehicle.controls.len() as u32)
            .map(ControlId)
            .map(|control| (!worked.contains(&control)).then(|| self.vehicle.control(control).rest()))
            .collect();
        let is_touched = |item: Item| touched.contains(&item);
        let hub = self.hub(touched);
        let mut out = vec![false; self.relays.len()];
        loop {
            let decided: Vec<Option<bool>> = self
                .contacts
                .iter()
                .map(|contact| super::reach::decide(&contact.gate, &fixed, &out))
                .collect();
            let may_conduct = |element: usize| match self.carriers[element] {
                Carrier::ShortToGround(wire) => is_touched(Item::Wire(wire)),
                Carrier::Element { part, .. } => {
                    let open = self.contact_of[element].is_some_and(|at| decided[at] == Some(false));
                    !open || is_touched(Item::Part(part))
                }
                _ => true,
            };
            let carries = self.on_a_way_round(&hub, may_conduct);
            let still: Vec<bool> = self
                .relays
                .iter()
                .map(|relay| {
                    let fed = relay.coils.iter().any(|(coil, ..)| carries[coil.0 as usize]);
                    !fed && !is_touched(Item::Part(relay.part))
                })
                .collect();
            if still == out {
                return carries;
            }
            out = still;
        }
    }

    /// The nodes where something may be joined to anything else: the body and the supply's posts, what is touched, what
    /// a voltage threshold or an alternator's field looks at. A part with a timer is among these, since its moments are told.
    fn hub(&self, touched: &BTreeSet<Item>) -> Vec<bool> {
        let mut nodes = vec![NodeId::REFERENCE];
        nodes.extend(self.battery.into_iter().flat_map(|(plus, minus)| [plus, minus]));
        nodes.extend(self.sources.iter().filter_map(|source| source.field));
        let lively = self.lively.iter().map(|&at| self.contacts[at].part);
        let gated =
            |source: &&Source| source.gate.as_ref().is_some_and(|gate| !matches!(gate, Gate::Fixed(_)));
        let watchful = self.sources.iter().filter(gated).map(|source| source.part).chain(lively);
        for item in touched.iter().copied().chain(watchful.map(Item::Part)) {
            match item {
                Item::Part(part) => {
                    let pins = self.pins[part.index()].iter();
                    nodes.extend(pins.flat_map(|pin| [pin.harness, pin.part]));
                }
                Item::Wire(wire) => {
                    let halves = self.runs[wire.index()].into_iter().flat_map(|run| run.halves);
                    let ends = halves.map(|half| self.ends[half.0 as usize]);
                    nodes.extend(ends.flat_map(|(a, b)| [a, b]));
                }
                Item::Connector(connector) => {
                    let mates = self.mates[connector.index()].iter().flatten();
                    nodes.extend(mates.flat_map(|mate| mate.sides));
                }
            }
        }
        let mut hub = vec![false; self.around.len()];
        nodes.into_iter().for_each(|node| hub[node.0 as usize] = true);
        hub
    }

    /// The elements on a way round, of those that may conduct, that has a source on it or goes through the hub; all of the hub's
    /// nodes are one. What is left when the bridges are taken out of a graph falls into its two-edge-connected components (Tarjan,
    /// "A note on finding the bridges of a graph", Information Processing Letters 2, 1974): a way round stays in one of these.
    fn on_a_way_round(&self, hub: &[bool], may_conduct: impl Fn(usize) -> bool) -> Vec<bool> {
        let site = |node: NodeId| if hub[node.0 as usize] { 0 } else { node.0 };
        let ways: Vec<(usize, u32, u32)> = (self.ends.iter().enumerate())
            .filter(|&(element, _)| may_conduct(element))
            .map(|(element, &(a, b))| (element, site(a), site(b)))
            .collect();
        // Each element is a point of its own, since bridges are found in a graph without parallel edges.
        let halves = ways.iter().zip(hub.len() as u32..).filter(|((_, a, b), _)| a != b);
        let graph = UnGraph::<(), ()>::from_edges(halves.flat_map(|(&(_, a, b), at)| [(a, at), (b, at)]));
        let mut round = vec![true; ways.len()];
        for bridge in bridges(&graph) {
            round[bridge.target().index() - hub.len()] = false;
        }
        let mut component = UnionFind::<u32>::new(hub.len());
        for (&(_, a, b), _) in ways.iter().zip(&round).filter(|(_, round)| **round) {
            component.union(a, b);
        }
        let mut live = vec![false; hub.len()];
        live[component.find(0) as usize] = true;
        for source in &self.sources {
            let (a, b) = self.ends[source.id.0 as usize];
            let (a, b) = (component.find(site(a)), component.find(site(b)));
            live[a as usize] |= a == b;
        }
        let mut carries = vec![false; self.ends.len()];
        for ((element, a, _), round) in ways.into_iter().zip(round) {
            carries[element] = round && live[component.find(a) as usize];
        }
        carries
    }
}
