//! What a drawing can show of a state of its circuit. It is computed elsewhere: this only holds it and names it.

use crate::book::{ConnectorId, Instrument, Item, PartId, Point, Strength, TerminalId, WireId};
use std::collections::BTreeMap;

/// A state of the circuit, as far as a drawing shows one. What is not listed is drawn as at rest.
#[derive(Debug, Clone, Default)]
pub struct State {
    pub currents: BTreeMap<Along, Current>,
    pub elements: BTreeMap<(PartId, usize), Mark>,
    pub faces: BTreeMap<(PartId, usize), Strength>,
    pub faults: Vec<Item>,
    pub probes: Vec<(Instrument, Point, Point)>,
    /// Test points with their marks, which a table beside the drawing explains.
    pub points: Vec<(String, Point)>,
}

/// What a current flows along, and the way in which it is counted as positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Along {
    /// From its first end to its second.
    Wire(WireId),
    /// From its first terminal to its second.
    Element(PartId, usize),
    /// From the harness into the part.
    Terminal(PartId, TerminalId),
    /// From side 0 to side 1.
    Cavity(ConnectorId, u16),
}

/// The current along something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Current {
    pub amps: f64,
    /// Whether that is more than a trickle: only then it is shown as a current.
    pub carries: bool,
    /// What the conductor does where no current is shown.
    pub rest: Flow,
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
    /// What a wire does; none where the build lacks it.
    pub fn wire(&self, wire: WireId) -> Option<Flow> {
        self.currents.get(&Along::Wire(wire)).map(Current::flow)
    }

    /// Whether a wire is shown with its current running from its second end to its first.
    pub fn is_reversed(&self, wire: WireId) -> bool {
        self.currents.get(&Along::Wire(wire)).is_some_and(Current::is_reversed)
    }
}

impl Current {
    pub fn flow(&self) -> Flow {
        if self.carries { Flow::Carrying } else { self.rest }
    }

    /// Whether it is shown against the way in which it is counted.
    pub fn is_reversed(&self) -> bool {
        self.carries && self.amps < 0.0
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
