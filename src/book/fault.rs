//! The fault catalogue: how each item of the vehicle fails, one fault at a time, and how often.

use super::{BuildId, Item, PartId, TerminalId, WireId};

/// One fault of one replaceable item.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    pub item: Item,
    pub mode: Mode,
    /// What of the item fails: `D2`, `K4 86-85`, `X12:3`.
    pub what: String,
    /// As a step line names it: `D2 shorted`, `W41 open`.
    pub name: String,
    /// Its share of the item's failures in each build, in which the shares of an item add up to 1; none where a build cannot
    /// have it, because it lacks the item or a wire where the fault is.
    pub shares: Vec<Option<f64>>,
}

/// What a fault does to the circuit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mode {
    /// An element of a part conducts no more.
    ElementOpen(usize),
    /// An element of a part is bridged.
    ElementShorted(usize),
    /// An element's resistance has grown by these ohms.
    ElementHigh(usize, f64),
    /// A contact stays made whatever its condition says.
    ContactStuck(usize),
    /// A relay state stays out whatever its coil does.
    StuckOut(usize),
    /// A relay state stays in.
    StuckIn(usize),
    /// A motor that does not turn: it draws its stall current.
    Seized(usize),
    /// A diode or LED fitted the wrong way round.
    Reversed(usize),
    /// A battery that gives this share of its voltage.
    Weak(usize, f64),
    /// A terminal of a part makes no contact.
    PinOpen(TerminalId),
    /// A ground point that has lost the body.
    GroundLost,
    WireOpen,
    WireToGround,
    WireHigh(f64),
    WireToWire(WireId),
    /// One cavity of a connector makes no contact.
    CavityOpen(u16),
    /// The connector is not mated.
    NotMated,
}

impl Fault {
    /// Whether a build can have it.
    pub fn is_in(&self, build: BuildId) -> bool {
        self.shares[build.index()].is_some()
    }

    /// The builds that can have it.
    pub fn builds(&self) -> impl Iterator<Item = BuildId> {
        let shares = self.shares.iter().zip((0..).map(BuildId));
        shares.filter(|(share, _)| share.is_some()).map(|(_, build)| build)
    }

    /// Its share of the item's failures in a build; 0 where the build cannot have it.
    pub fn share(&self, build: BuildId) -> f64 {
        self.shares[build.index()].unwrap_or_default()
    }

    /// The items that it is in: its own, and of two wires that touch each other either.
    pub fn items(&self) -> Vec<Item> {
        match self.mode {
            Mode::WireToWire(other) => vec![self.item, Item::Wire(other)],
            _ => vec![self.item],
        }
    }

    /// The part, when the item is one.
    pub fn part(&self) -> Option<PartId> {
        match self.item {
            Item::Part(part) => Some(part),
            _ => None,
        }
    }
}
