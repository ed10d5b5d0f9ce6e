//! Turns a fault into its vehicle's own states: through the proven procedure, and as far beside it as there is room for.

use super::graph::{Edge, sets};
use super::healthy::Healthy;
use super::plan::{Plan, is_move};
use super::stand::{Key, Stand};
use super::table::{View, lights, volts};
use crate::bench::{Bench, Reading};
use crate::book::{Act, Book, Fault, Instrument, Place, Role, Subject};
use crate::proof::corners::middle;
use indexmap::IndexSet;
use std::collections::{BTreeMap, BTreeSet};

/// How many states of its own a vehicle has beside those of its procedure: a page holds a hundred vehicles and more.
const ROOM: usize = 3;

/// A broken vehicle's states: shared ones, then its own.
pub struct Broken<'r, 'h> {
    healthy: &'h Healthy<'r>,
    pub fault: Fault,
    pub start: usize,
    /// Edges of shared nodes that the fault changes or adds.
    pub changed: Vec<(usize, Edge)>,
    stands: Vec<Stand<'r>>,
    pub edges: Vec<Vec<Edge>>,
    keys: IndexSet<Key>,
    /// The placements of instruments that the procedure reads, by node.
    pub tested: BTreeMap<usize, Vec<usize>>,
    /// Nodes that hands can bring the vehicle to.
    pub reached: BTreeSet<usize>,
}

impl<'r, 'h> Broken<'r, 'h> {
    /// Walks the checkout as far as the step that shows the fault, then the tests of its proven way. None when the vehicle
    /// does not come to rest on the way.
    pub fn walk(
        book: &Book,
        plan: &Plan<'r>,
        healthy: &'h Healthy<'r>,
        fault: &Fault,
        step: Place,
        route: &[Place],
    ) -> Option<Broken<'r, 'h>> {
        let mut vehicle = Broken {
            healthy,
            fault: fault.clone(),
            start: 0,
            changed: Vec::new(),
            stands: Vec::new(),
            edges: Vec::new(),
            keys: IndexSet::new(),
            tested: BTreeMap::new(),
            reached: BTreeSet::new(),
        };
        // Where the fault makes no difference on the way, the healthy vehicle's states are its own.
        for node in 0..healthy.stands.len() {
            let changed = healthy.changed(node, plan.rig, fault);
            vehicle.changed.extend(changed.into_iter().map(|edge| (node, Edge { to: None, ..edge.clone() })));
        }
        let mut bench = Bench::new(plan.rig, middle(plan.rig)).ok()?;
        bench.plant(fault).ok()?;
        vehicle.start = vehicle.add(Stand::new(bench, plan)?);
        let mut at = vehicle.start;
        let mut leads = BTreeMap::new();
        for (place, acts) in plan.work.places.iter().zip(&plan.work.acts) {
            at = vehicle.obey(plan, at, acts, &mut leads)?;
            if *place == step {
                break;
            }
        }
        for place in route {
            let Role::Test(test) = &book.section(*place).role else {
                continue;
            };
            at = vehicle.obey(plan, at, &test.acts, &mut leads)?;
            if let Some(Subject::Instrument(instrument)) = test.reads
                && let Some(probe) = leads.get(&instrument)
            {
                vehicle.tested.entry(at).or_default().push(*probe);
            }
        }
        vehicle.wander(plan);
        Some(vehicle)
    }

    /// Does what lines say, with the instruments in place; none when the vehicle does not come to rest.
    fn obey(
        &mut self,
        plan: &Plan<'r>,
        mut at: usize,
        acts: &[Act],
        leads: &mut BTreeMap<Instrument, usize>,
    ) -> Option<usize> {
        for act in acts {
            match *act {
                _ if is_move(act) => at = self.follow(plan, at, act)?,
                Act::Connect { instrument, .. } | Act::Measure { instrument, .. } => {
                    leads.insert(instrument, plan.probes.iter().position(|probe| probe == act)?);
                }
                Act::Remove(instrument) => {
                    leads.remove(&instrument);
                }
                _ => {}
            }
        }
        Some(at)
    }

    /// Works every control in every state that hands can bring the vehicle to, nearest first, while there is room.
    fn wander(&mut self, plan: &Plan<'r>) {
        let room = self.stands.len() + ROOM;
        let mut next = vec![self.start];
        self.reached.insert(self.start);
        let mut at = 0;
        while at < next.len() {
            let node = next[at];
            at += 1;
            for act in &plan.moves[..sets(&plan.moves)] {
                if self.stands.len() < room {
                    self.follow(plan, node, act);
                }
            }
            for to in self.onward(node) {
                if self.reached.insert(to) {
                    next.push(to);
                }
            }
        }
    }

    /// The nodes that a node's edges lead to.
    fn onward(&self, node: usize) -> Vec<usize> {
        let Some(own) = node.checked_sub(self.shared()) else {
            let changed: Vec<&Edge> =
                self.changed.iter().filter(|(from, _)| *from == node).map(|(_, edge)| edge).collect();
            let kept = self.healthy.edges[node].iter();
            let kept = kept.filter(|edge| changed.iter().all(|other| other.by != edge.by));
            return kept.chain(changed.iter().copied()).filter_map(|edge| edge.to).collect();
        };
        self.edges[own].iter().filter_map(|edge| edge.to).collect()
    }

    fn shared(&self) -> usize {
        self.healthy.stands.len()
    }

    /// The node of a stand: a shared one where the fault makes no difference.
    fn add(&mut self, stand: Stand<'r>) -> usize {
        if let Some(node) = self.healthy.same(&stand, &self.fault) {
            return node;
        }
        let (own, new) = self.keys.insert_full(stand.key());
        if new {
            self.stands.push(stand);
            self.edges.push(Vec::new());
        }
        self.shared() + own
    }

    /// Follows a hand from a state, the vehicle's own or a shared one.
    fn follow(&mut self, plan: &Plan<'r>, from: usize, act: &Act) -> Option<usize> {
        let by = plan.moves.iter().position(|other| other == act)?;
        let Some(own) = from.checked_sub(self.shared()) else {
            return self.leave(plan, from, by);
        };
        if let Some(edge) = self.edges[own].iter().find(|edge| edge.by == by) {
            return edge.to;
        }
        let after = self.stands[own].after(plan, act)?;
        let edge = self.stands[own].edge(plan, by, &after, 0);
        let to = Some(self.add(after));
        self.edges[own].push(Edge { to, ..edge });
        to
    }

    /// Follows a hand from a shared state.
    fn leave(&mut self, plan: &Plan<'r>, from: usize, by: usize) -> Option<usize> {
        let is = |(node, edge): &(usize, Edge)| (*node, edge.by) == (from, by);
        let at = self.changed.iter().position(is);
        if let Some(edge) = at.map(|at| &self.changed[at].1)
            && edge.to.is_some()
        {
            return edge.to;
        }
        if at.is_none()
            && let Some(edge) = self.healthy.edges[from].iter().find(|edge| edge.by == by)
        {
            return edge.to;
        }
        let before = self.healthy.with(from, &self.fault)?;
        let after = before.after(plan, &plan.moves[by])?;
        let edge = before.edge(plan, by, &after, 0);
        let to = Some(self.add(after));
        let edge = Edge { to, ..edge };
        match at {
            Some(at) => self.changed[at].1 = edge,
            None => self.changed.push((from, edge)),
        }
        to
    }

    /// What is seen and read in one of its own states.
    pub fn view(&self, plan: &Plan, own: usize) -> View {
        let stand = &self.stands[own];
        // What does not come to rest later on is read as it stands now.
        let phases = stand.bench.phases().unwrap_or_else(|_| vec![stand.bench.clone()]);
        View {
            faces: stand.faces.clone(),
            volts: volts(&phases, &plan.points),
            lights: lights(&phases, &plan.points, &plan.joints, None),
        }
    }

    /// What the procedure's instruments read in a state, where it puts any there.
    pub fn probes(&self, plan: &Plan, node: usize) -> Vec<(usize, Reading)> {
        let Some(asked) = self.tested.get(&node) else {
            return Vec::new();
        };
        match node.checked_sub(self.shared()) {
            Some(own) => self.stands[own].probes(plan, asked),
            None => {
                self.healthy.with(node, &self.fault).map_or_else(Vec::new, |stand| stand.probes(plan, asked))
            }
        }
    }
}
