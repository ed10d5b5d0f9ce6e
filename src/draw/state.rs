//! What a drawing can show of a state of its circuit. It is computed elsewhere: this only holds it and names it.

use crate::book::{Book, End, Instrument, Item, PartId, Point, Strength, TerminalId, WireId};
use std::collections::{BTreeMap, BTreeSet};

/// A state of the circuit, as far as a drawing shows one. What is not listed is drawn as at rest.
#[derive(Debug, Clone, Default)]
pub struct State {
    pub wires: BTreeMap<WireId, Flow>,
    /// Wires whose current runs from their second end to their first.
    pub reversed: BTreeSet<WireId>,
    /// What the conductors of a part's terminals carry: bars, and pins joined without a wire.
    pub terminals: BTreeMap<(PartId, TerminalId), Flow>,
    pub elements: BTreeMap<(PartId, usize), Mark>,
    pub faces: BTreeMap<(PartId, usize), Strength>,
    pub faults: Vec<Item>,
    pub probes: Vec<(Instrument, Point, Point)>,
    /// Test points with their marks, which a table beside the drawing explains.
    pub points: Vec<(String, Point)>,
}

/// What a conductor does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub enum Flow {
    /// Joined to nothing that drives or takes current.
    Dead,
    /// At supply voltage, and no current.
    LiveFeed,
    Carrying,
    /// Joined to the body, and no current.
    GroundSide,
    /// Parted from both supply and body.
    Floating,
}

/// What an element does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub enum Mark {
    /// A contact that is made, or anything else that conducts.
    Made,
    /// It stops the current.
    Open,
    /// Current flows through it.
    Carrying,
    AtFault,
}

impl State {
    /// What a conductor does at a terminal or cavity: it carries current when a wire there does, and otherwise what the
    /// terminal itself does or, where nothing is known of that, the first wire.
    pub fn at(&self, book: &Book, end: End) -> Option<Flow> {
        let wires = || {
            let here = book.wires.iter().enumerate().filter(move |(_, wire)| wire.ends.contains(&end));
            here.filter_map(|(index, _)| self.wires.get(&WireId(index as u32)).copied())
        };
        let own = match end {
            End::Terminal { part, terminal } => self.terminals.get(&(part, terminal)).copied(),
            End::Cavity { .. } => None,
        };
        let carrying = wires().find(|&flow| flow == Flow::Carrying);
        carrying.or(own).or_else(|| wires().next())
    }
}

impl Flow {
    /// Every kind, in the order of the key.
    pub const ALL: &[Flow] = &[Flow::Carrying, Flow::LiveFeed, Flow::GroundSide, Flow::Floating, Flow::Dead];

    /// The class of its lines in the SVG, and its key among the words of the section `flow`.
    pub fn class(self) -> &'static str {
        match self {
            Flow::Dead => "dead",
            Flow::LiveFeed => "live",
            Flow::Carrying => "carrying",
            Flow::GroundSide => "ground-side",
            Flow::Floating => "floating",
        }
    }
}

impl Mark {
    /// The class of its symbol in the SVG.
    pub fn class(self) -> &'static str {
        match self {
            Mark::Made => "made",
            Mark::Open => "open",
            Mark::Carrying => "made carrying",
            Mark::AtFault => "at-fault",
        }
    }
}
