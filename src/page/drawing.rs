//! Turns the proof's states into what the drawing room draws, and sheets into SVG.

use crate::book::{Item, Say, SheetId, Strength};
use crate::draw::{self, Flow, Mark, Scene, State, Use, View};
use crate::proof::evidence::{self, Evidence};
use rayon::prelude::*;

/// Below this current a drawing shows none, in amperes: less than the least lamp, more than any voltmeter takes.
const CARRIES: f64 = 5e-4;

/// Volts against the body from which a conductor without current is called live.
const LIVE: f64 = 1.0;

/// Every sheet drawn once, with option marks for what not every build has.
pub struct Drawings {
    scenes: Vec<Vec<Scene>>,
}

impl Drawings {
    /// Lays out every sheet.
    pub fn of(say: Say) -> Drawings {
        let scenes = (0..say.book.sheets.len() as u32).into_par_iter().map(|sheet| {
            let view = View { sheet: SheetId(sheet), build: None };
            draw::scenes(say, view)
        });
        Drawings { scenes: scenes.collect() }
    }

    /// A sheet as SVG fragments, one below the other, in a state if there is one.
    pub fn svg(&self, say: Say, sheet: SheetId, state: Option<&State>, shall: Use) -> String {
        let scenes = self.scenes[sheet.index()].iter();
        scenes.map(|scene| draw::svg(say, scene, state, shall)).collect()
    }
}

/// Whether a drawing shows the current from a wire's second end to its first: rounding has no direction.
pub fn is_reversed(flow: &evidence::Flow) -> bool {
    flow.amps <= -CARRIES
}

/// A state of the vehicle as a drawing shows it.
pub fn state(evidence: &Evidence) -> State {
    let at_fault = |part| evidence.faults.contains(&Item::Part(part));
    let mut state =
        State { faults: evidence.faults.clone(), probes: evidence.probes.clone(), ..State::default() };
    for (&wire, flow) in &evidence.wires {
        state.wires.insert(wire, kind(flow));
        if is_reversed(flow) {
            state.reversed.insert(wire);
        }
    }
    for (&terminal, flow) in &evidence.terminals {
        state.terminals.insert(terminal, kind(flow));
    }
    for (&(part, element), flow) in &evidence.elements {
        let carries = flow.amps.abs() >= CARRIES;
        let mark = match evidence.made.get(&(part, element)) {
            _ if at_fault(part) => Some(Mark::AtFault),
            Some(false) => Some(Mark::Open),
            _ if carries => Some(Mark::Carrying),
            Some(true) => Some(Mark::Made),
            None => None,
        };
        if let Some(mark) = mark {
            state.elements.insert((part, element), mark);
        }
    }
    for (&face, seen) in &evidence.seen {
        if seen.strength != Strength::Off {
            state.faces.insert(face, seen.strength);
        }
    }
    state
}

/// What a conductor does, for the eye.
pub fn kind(flow: &evidence::Flow) -> Flow {
    match flow.volts {
        _ if flow.amps.abs() >= CARRIES => Flow::Carrying,
        None => Flow::Floating,
        Some(_) if flow.grounded => Flow::GroundSide,
        Some(volts) if volts.abs() >= LIVE => Flow::LiveFeed,
        Some(_) => Flow::Dead,
    }
}
