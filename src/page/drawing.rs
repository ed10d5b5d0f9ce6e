//! Turns the proof's states into what the drawing room draws, and sheets into SVG.

use crate::book::{Book, End, Item, Say, SheetId, Strength};
use crate::draw::{self, Along, Current, Flow, Mark, Scene, State, Strip, Use, View};
use crate::proof::evidence::{self, Evidence};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Volts against the body from which a conductor without current is called live.
const LIVE: f64 = 1.0;

/// Every sheet drawn once, with option marks for what not every build has.
pub struct Drawings {
    scenes: Vec<Vec<Scene>>,
    shown: Vec<BTreeSet<Item>>,
}

impl Drawings {
    /// Lays out every sheet.
    pub fn of(say: Say) -> Drawings {
        let scenes = (0..say.book.sheets.len() as u32).into_par_iter().map(|sheet| {
            let view = View { sheet: SheetId(sheet), build: None };
            draw::scenes(say, view)
        });
        let scenes: Vec<Vec<Scene>> = scenes.collect();
        Drawings { shown: scenes.iter().map(|scenes| things(scenes)).collect(), scenes }
    }

    /// A sheet as SVG fragments, one below the other, in a state if there is one.
    pub fn svg(&self, say: Say, sheet: SheetId, state: Option<&State>, shall: Use) -> String {
        let scenes = self.scenes[sheet.index()].iter();
        scenes.map(|scene| draw::svg(say, scene, state, shall)).collect()
    }

    /// The parts, connectors and wires that a sheet's drawing shows anything of.
    pub fn shown(&self, sheet: SheetId) -> &BTreeSet<Item> {
        &self.shown[sheet.index()]
    }

    /// The sheet whose drawing shows a thing: its own before any other.
    pub fn showing(&self, book: &Book, thing: Item) -> Option<SheetId> {
        let sheets = (0..self.shown.len() as u32).map(SheetId);
        std::iter::once(book.item_sheet(thing))
            .chain(sheets)
            .find(|&sheet| self.shown(sheet).contains(&thing))
    }

    /// The lines of a sheet's drawing that are neither wire nor element.
    pub fn strips(&self, book: &Book, sheet: SheetId) -> Vec<Strip> {
        self.scenes[sheet.index()].iter().flat_map(|scene| scene.strips(book)).collect()
    }
}

/// What some scenes show anything of.
fn things(scenes: &[Scene]) -> BTreeSet<Item> {
    let mut shown = BTreeSet::new();
    let part = |end| match end {
        End::Terminal { part, .. } => Some(Item::Part(part)),
        End::Cavity { .. } => None,
    };
    for scene in scenes {
        shown.extend(scene.wires.iter().map(|run| Item::Wire(run.wire)));
        shown.extend(scene.bars.iter().filter_map(|bar| part(bar.end)));
        shown.extend(scene.symbols.iter().filter_map(|placed| match placed.shows {
            draw::Shown::Element { part, .. }
            | draw::Shown::Ground(part)
            | draw::Shown::Blind { part, .. } => Some(Item::Part(part)),
            draw::Shown::Cavity { connector, .. } => Some(Item::Connector(connector)),
            draw::Shown::Joint(end) | draw::Shown::OpenEnd(end) | draw::Shown::Flag { end, .. } => part(end),
        }));
    }
    shown
}

/// A state of the vehicle as a drawing shows it.
pub fn state(evidence: &Evidence) -> State {
    let at_fault = |part| evidence.faults.contains(&Item::Part(part));
    let mut state =
        State { faults: evidence.faults.clone(), probes: evidence.probes.clone(), ..State::default() };
    let wires = evidence.wires.iter().map(|(&wire, flow)| (Along::Wire(wire), flow));
    let terminals =
        evidence.terminals.iter().map(|(&(part, terminal), flow)| (Along::Terminal(part, terminal), flow));
    let cavities =
        evidence.cavities.iter().map(|(&(connector, cavity), flow)| (Along::Cavity(connector, cavity), flow));
    let elements =
        evidence.elements.iter().map(|(&(part, element), flow)| (Along::Element(part, element), flow));
    let all = wires.chain(terminals).chain(cavities).chain(elements);
    state.currents = all.map(|(along, flow)| (along, current(flow))).collect();
    for (&(part, element), flow) in &evidence.elements {
        let mark = match evidence.made.get(&(part, element)) {
            _ if at_fault(part) => Some(Mark::AtFault),
            Some(false) => Some(Mark::Open),
            _ if flow.carries => Some(Mark::Carrying),
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
pub fn current(flow: &evidence::Flow) -> Current {
    let rest = match flow.volts {
        None => Flow::Floating,
        Some(_) if flow.grounded => Flow::GroundSide,
        Some(volts) if volts.abs() >= LIVE => Flow::LiveFeed,
        Some(_) => Flow::Dead,
    };
    Current { amps: flow.amps, carries: flow.carries, rest }
}
