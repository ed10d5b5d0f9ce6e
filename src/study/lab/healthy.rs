//! Turns a checkout into the healthy vehicle's states: those along it, and one control beside each.

use super::graph::{Edge, sets};
use super::plan::{Plan, of_one_control};
use super::stand::{Key, Stand};
use super::table::{View, lights, volts};
use crate::bench::{Bench, Frame};
use crate::book::Fault;
use crate::proof::corners::middle;
use indexmap::IndexSet;

/// The healthy vehicle's states; the first is at rest.
pub struct Healthy<'r> {
    pub stands: Vec<Stand<'r>>,
    pub edges: Vec<Vec<Edge>>,
    /// Each state with what is still to come by itself.
    pub phases: Vec<Vec<Bench<'r>>>,
    resting: Vec<Vec<Frame>>,
    /// The states that the vehicle passes through along each edge, by node and edge.
    pub frames: Vec<Vec<Vec<Frame>>>,
    keys: IndexSet<Key>,
}

impl<'r> Healthy<'r> {
    /// Walks the checkout; none when the vehicle does not come to rest on the way.
    pub fn walk(plan: &Plan<'r>) -> Option<Healthy<'r>> {
        let mut healthy = Healthy {
            stands: Vec::new(),
            edges: Vec::new(),
            phases: Vec::new(),
            resting: Vec::new(),
            frames: Vec::new(),
            keys: IndexSet::new(),
        };
        let rest = Stand::new(Bench::new(plan.rig, middle(plan.rig)).ok()?, plan)?;
        let mut at = healthy.add(rest)?;
        for act in plan.work.acts.iter().flatten() {
            if let Some(by) = plan.moves.iter().position(|other| other == act) {
                at = healthy.follow(plan, at, by)?;
            }
        }
        let sets = sets(&plan.moves);
        for node in 0..healthy.stands.len() {
            for by in 0..sets {
                let beside = healthy.follow(plan, node, by);
                for back in 0..sets {
                    if let Some(beside) = beside
                        && of_one_control(&plan.moves[by], &plan.moves[back])
                    {
                        healthy.follow(plan, beside, back);
                    }
                }
            }
        }
        Some(healthy)
    }

    /// The node of a vehicle with a fault that makes no difference in the state that it stands in.
    pub fn same(&self, stand: &Stand, fault: &Fault) -> Option<usize> {
        let node = self.keys.get_index_of(&stand.key())?;
        (!self.touches(node, fault)).then_some(node)
    }

    /// Whether a fault makes a difference in a state.
    fn touches(&self, node: usize, fault: &Fault) -> bool {
        self.resting[node].iter().any(|frame| frame.is_touched_by(self.stands[node].bench.rig(), fault))
    }

    /// What is seen and read in a state.
    pub fn view(&self, plan: &Plan, node: usize) -> View {
        View {
            faces: self.stands[node].faces.clone(),
            volts: volts(&self.phases[node], &plan.points),
            lights: lights(&self.phases[node], &plan.points, &plan.joints, None),
        }
    }

    fn add(&mut self, stand: Stand<'r>) -> Option<usize> {
        let key = stand.key();
        if let Some(known) = self.keys.get_index_of(&key) {
            return Some(known);
        }
        let phases = stand.bench.phases().ok()?;
        self.resting.push(phases.iter().map(Bench::frame).collect());
        self.phases.push(phases);
        self.stands.push(stand);
        self.edges.push(Vec::new());
        self.frames.push(Vec::new());
        Some(self.keys.insert_full(key).0)
    }

    fn follow(&mut self, plan: &Plan<'r>, from: usize, by: usize) -> Option<usize> {
        if let Some(edge) = self.edges[from].iter().find(|edge| edge.by == by) {
            return edge.to;
        }
        let mut watched = self.stands[from].bench.clone();
        watched.open_album();
        let before = self.stands[from].with(watched);
        let mut after = before.after(plan, &plan.moves[by])?;
        let frames = after.bench.close_album();
        let edge = before.edge(plan, by, &after, 0);
        let to = self.add(after)?;
        self.edges[from].push(Edge { to: Some(to), ..edge });
        self.frames[from].push(frames);
        Some(to)
    }

    /// The edges of a node on whose way a fault makes a difference.
    pub fn changed(&self, node: usize, rig: &crate::bench::Rig, fault: &Fault) -> Vec<&Edge> {
        let both = self.edges[node].iter().zip(&self.frames[node]);
        let touched = both.filter(|(_, frames)| frames.iter().any(|frame| frame.is_touched_by(rig, fault)));
        touched.map(|(edge, _)| edge).collect()
    }

    /// The state with a fault in it that makes no difference there.
    pub fn with(&self, node: usize, fault: &Fault) -> Option<Stand<'r>> {
        let mut bench = self.stands[node].bench.clone();
        bench.plant(fault).ok()?;
        Some(self.stands[node].with(bench))
    }
}
