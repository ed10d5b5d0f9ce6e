//! Turns a vehicle with whatever is done to it into its next state, and says what the hand harmed on the way.

use super::graph::Edge;
use super::plan::{Plan, undone};
use super::table::{look, reading_bits};
use crate::bench::{Bench, HarmKind, Reading};
use crate::book::{Act, Setting, Subject};

/// Where everything stands, what is still to come and what is seen, as numbers; and the hands in place.
pub type Key = (Vec<u64>, Vec<String>);

/// A vehicle with all that a lab's tables are made of.
pub struct Stand<'r> {
    pub bench: Bench<'r>,
    pub faces: Vec<Reading>,
    /// Hands other than controls that are still in place.
    hands: Vec<Act>,
}

impl<'r> Stand<'r> {
    /// A vehicle that a person comes to and looks at. None when it does not come to rest.
    pub fn new(mut bench: Bench<'r>, plan: &Plan) -> Option<Stand<'r>> {
        let faces = look(&mut bench, &plan.faces).ok()?;
        Some(Stand { bench, faces, hands: Vec::new() })
    }

    /// The same vehicle, with a change that nobody sees.
    pub fn with(&self, bench: Bench<'r>) -> Stand<'r> {
        Stand { bench, faces: self.faces.clone(), hands: self.hands.clone() }
    }

    /// Does one thing and looks. None when the vehicle does not come to rest.
    pub fn after(&self, plan: &Plan, act: &Act) -> Option<Stand<'r>> {
        let mut bench = self.bench.clone();
        bench.listen();
        bench.act(act).ok()?;
        let faces = look(&mut bench, &plan.faces).ok()?;
        let mut hands = self.hands.clone();
        match act {
            Act::Set { .. } | Act::Wait(_) => {}
            other => match hands.iter().position(|hand| undone(hand).as_ref() == Some(other)) {
                Some(at) => {
                    hands.remove(at);
                }
                None => {
                    hands.push(other.clone());
                    hands.sort_by_key(|hand| format!("{hand:?}"));
                }
            },
        }
        Some(Stand { bench, faces, hands })
    }

    /// Equal for vehicles that look the same now and behave the same from here on.
    pub fn key(&self) -> Key {
        let (bench, rig) = (&self.bench, self.bench.rig());
        let settings = bench.settings().iter().map(|setting| match *setting {
            Setting::Position(at) => u64::from(at),
            Setting::Level(level) => level.to_bits(),
        });
        let relays = (0..rig.relays.len()).map(|at| bench.energized(at));
        let contacts = (0..rig.contacts.len()).map(|at| bench.made(at));
        let links = (0..rig.links.len()).map(|at| bench.blown(at));
        let stands = relays.chain(contacts).chain(links).map(u64::from);
        let pending = bench.pending().into_iter().map(|left| left as u64);
        let faces = self.faces.iter().flat_map(reading_bits);
        let hands = self.hands.iter().map(|hand| format!("{hand:?}")).collect();
        (settings.chain(stands).chain(pending).chain(faces).collect(), hands)
    }

    /// What some of the plan's probes read.
    pub fn probes(&self, plan: &Plan, asked: &[usize]) -> Vec<(usize, Reading)> {
        let read = |act: &Act| {
            let (Act::Connect { instrument, .. } | Act::Measure { instrument, .. }) = *act else {
                return None;
            };
            let mut bench = self.bench.clone();
            bench.act(act).ok()?;
            let reading = bench.observe(&[Subject::Instrument(instrument)], 0.0).ok()?[0];
            (reading != Reading::Nothing).then_some(reading.rounded())
        };
        let all = asked.iter();
        all.filter_map(|&index| Some((index, read(&plan.probes[index])?))).collect()
    }

    /// What a hand harmed or moved on the way to another stand.
    pub fn edge(&self, plan: &Plan, by: usize, after: &Stand, to: usize) -> Edge {
        let is_hand = Bench::is_hand(&plan.moves[by]);
        let mut edge = Edge { by, to: Some(to), harms: Vec::new(), moves: false };
        if is_hand {
            let known: Vec<HarmKind> = self.bench.examine().iter().map(|harm| harm.kind).collect();
            let harms = after.bench.examine().into_iter().map(|harm| harm.kind);
            edge.harms = harms.filter(|harm| !known.contains(harm)).collect();
            let moving = self.bench.moving();
            let moves = after.bench.moving();
            edge.moves = moves.iter().any(|machine| !moving.contains(machine));
        }
        edge
    }
}
