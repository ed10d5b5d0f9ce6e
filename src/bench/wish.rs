//! Turns what loads are for into what each should do at a moment, with a memory and clocks of its own beside the vehicle's.

use super::Rig;
use super::gate::{Circumstances, Gate, Numbering, Timer};
use super::state::Bench;
use crate::book::Condition;
use crate::solve::NodeId;

/// The conditions of some loads, compiled for a build.
#[derive(Debug, Clone)]
pub struct Wishes {
    /// Of each load, the conditions of its cases.
    gates: Vec<Vec<Gate>>,
    memories: Vec<bool>,
    timers: Vec<Timer>,
}

impl Wishes {
    /// Compiles them: of each load the conditions on controls and options under which it should do something.
    pub fn of<'c>(rig: &Rig, loads: impl Iterator<Item = Vec<&'c Condition>>) -> Wishes {
        let mut numbering = Numbering::default();
        let choices = &rig.vehicle.builds[rig.build.index()].choices;
        let mut compile = |condition| {
            Gate::compile(choices, condition, &mut numbering, &|state| state, &|_| NodeId::REFERENCE)
        };
        let gates = loads.map(|cases| cases.into_iter().map(&mut compile).collect()).collect();
        Wishes {
            gates,
            memories: vec![false; numbering.memories],
            timers: vec![Timer::REST; numbering.timers],
        }
    }

    /// Takes a vehicle at rest as having stood like that for ever.
    pub fn rest(mut self, bench: &Bench) -> Wishes {
        self.now(bench);
        self.gates.iter().flatten().for_each(|gate| gate.rest(&mut self.timers));
        self
    }

    /// Which case of each load holds now: the first that does; none when the load should be off.
    pub fn now(&mut self, bench: &Bench) -> Vec<Option<usize>> {
        let given = Circumstances {
            settings: &bench.settings,
            corner: &bench.corner,
            states: &[],
            point: bench.solver.point(),
            now: bench.now,
        };
        let (memories, timers) = (&mut self.memories, &mut self.timers);
        let mut first = |cases: &Vec<Gate>| {
            let holds: Vec<bool> = cases.iter().map(|gate| gate.judge(&given, memories, timers)).collect();
            holds.iter().position(|holds| *holds)
        };
        self.gates.iter().map(&mut first).collect()
    }

    /// The moment of the next change by itself.
    pub fn deadline(&self, bench: &Bench) -> Option<f64> {
        let gates = self.gates.iter().flatten();
        gates.filter_map(|gate| gate.deadline(&bench.corner, &self.timers, bench.now)).reduce(f64::min)
    }

    /// Everything that is remembered of what came before.
    pub fn memory(&self) -> impl Iterator<Item = bool> {
        self.memories.iter().copied().chain(self.timers.iter().map(|timer| timer.inner))
    }
}
