//! One build of the vehicle as a network, and which conductor of the vehicle each element of it is.

use super::gate::{Gate, Numbering};
use super::gear::{Contact, Flasher, Follower, ProtectiveLink, Relay, Sight, Source, Store};
use crate::book::{BuildId, ConnectorId, PartId, TerminalId, Timing, Vehicle, WireId};
use crate::solve::{ElementId, Network, NodeId, Solver};
use std::sync::Arc;

/// What an element of the network is in the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Carrier {
    Element {
        part: PartId,
        element: usize,
    },
    Pin {
        part: PartId,
        terminal: TerminalId,
    },
    /// Half of a wire, from an end to its middle.
    Wire {
        wire: WireId,
        end: u8,
    },
    Cavity {
        connector: ConnectorId,
        cavity: u16,
    },
    /// A ground point's joint with the body.
    Bond(PartId),
    /// Held open in a healthy vehicle; a fault closes it.
    ShortToGround(WireId),
}

/// The two sides of a part's terminal: what stays with the harness when the part is unplugged, and the part itself.
#[derive(Debug, Clone, Copy)]
pub struct Pin {
    pub harness: NodeId,
    pub part: NodeId,
    pub joint: ElementId,
}

/// A wire as two halves, so that a short lies on the wire and not on a terminal.
#[derive(Debug, Clone, Copy)]
pub struct Run {
    pub middle: NodeId,
    pub halves: [ElementId; 2],
    pub short: ElementId,
    /// Ohms of the whole wire.
    pub ohms: f64,
    /// Amperes that it bears for minutes.
    pub bears: f64,
}

/// A connector cavity that at least one wire of the build reaches.
#[derive(Debug, Clone, Copy)]
pub struct Mate {
    pub sides: [NodeId; 2],
    pub joint: ElementId,
}

/// One build of the vehicle, wired up. It is made once; benches are cloned from it.
#[derive(Debug, Clone)]
pub struct Rig {
    /// What it is wired up from.
    pub vehicle: Arc<Vehicle>,
    pub build: BuildId,
    pub solver: Solver,
    /// By element of the network.
    pub carriers: Vec<Carrier>,
    pub ends: Vec<(NodeId, NodeId)>,
    /// The elements at each node.
    pub around: Vec<Vec<usize>>,
    /// By part and terminal; empty for a part that the build lacks.
    pub pins: Vec<Vec<Pin>>,
    /// By part and element: the network's element that carries its current.
    pub elements: Vec<Vec<ElementId>>,
    pub bonds: Vec<Option<ElementId>>,
    pub runs: Vec<Option<Run>>,
    pub mates: Vec<Vec<Option<Mate>>>,
    pub contacts: Vec<Contact>,
    /// By element of the network: the contact that it is.
    pub contact_of: Vec<Option<usize>>,
    pub relays: Vec<Relay>,
    pub links: Vec<ProtectiveLink>,
    pub flashers: Vec<Flasher>,
    pub sources: Vec<Source>,
    pub followers: Vec<Follower>,
    pub stores: Vec<Store>,
    pub sights: Vec<Sight>,
    pub numbering: Numbering,
    /// The contacts whose gates read a control, by control, and those that read a relay state, by state.
    pub by_control: Vec<Vec<usize>>,
    pub by_state: Vec<Vec<usize>>,
    /// Contacts that read voltages or time: judged at every settling.
    pub lively: Vec<usize>,
    /// The vehicle's supply.
    pub battery: Option<(NodeId, NodeId)>,
}

impl Rig {
    /// Before anything is wired up.
    pub(super) fn empty(vehicle: &Arc<Vehicle>, build: BuildId) -> Rig {
        Rig {
            vehicle: vehicle.clone(),
            build,
            solver: Solver::new(Network::new(1)),
            carriers: Vec::new(),
            ends: Vec::new(),
            around: Vec::new(),
            pins: Vec::new(),
            elements: Vec::new(),
            bonds: Vec::new(),
            runs: Vec::new(),
            mates: vehicle.connectors.iter().map(|connector| vec![None; connector.cavities]).collect(),
            contacts: Vec::new(),
            contact_of: Vec::new(),
            relays: Vec::new(),
            links: Vec::new(),
            flashers: Vec::new(),
            sources: Vec::new(),
            followers: Vec::new(),
            stores: Vec::new(),
            sights: Vec::new(),
            numbering: Numbering::default(),
            by_control: vec![Vec::new(); vehicle.controls.len()],
            by_state: Vec::new(),
            lively: Vec::new(),
            battery: None,
        }
    }

    /// Whether the build has a capacitor.
    pub fn has_stores(&self) -> bool {
        !self.stores.is_empty()
    }

    /// Whether a timer of the build has a band of times.
    pub fn has_time_bands(&self) -> bool {
        let mut found = false;
        for contact in &self.contacts {
            contact.gate.walk(&mut |gate| {
                if let Gate::Timed {
                    timing: Timing::For(band) | Timing::Lasting(band) | Timing::AtMost(band),
                    ..
                } = gate
                {
                    found |= !band.is_point();
                }
            });
        }
        found
    }

    /// The bands at which the build's switches operate and return on a control, in its base unit.
    pub fn thresholds(&self, control: usize) -> Vec<(f64, f64)> {
        let mut found = Vec::new();
        for contact in &self.contacts {
            contact.gate.walk(&mut |gate| {
                if let Gate::Level { control: of, threshold, until, .. } = gate
                    && of.index() == control
                {
                    found.extend(
                        [Some(*threshold), *until].into_iter().flatten().map(|band| (band.low, band.high)),
                    );
                }
            });
        }
        found
    }

    /// The network's element of a part's element, when the build has the part.
    pub fn element(&self, part: PartId, element: usize) -> Option<ElementId> {
        self.elements[part.index()].get(element).copied()
    }

    /// The sight of a part's element.
    pub fn sight(&self, part: PartId, element: usize) -> Option<usize> {
        self.sights.iter().position(|sight| sight.part == part && sight.element == element)
    }

    /// The rig's number of a part's relay state.
    pub fn relay(&self, part: PartId, state: usize) -> Option<usize> {
        self.relays.iter().position(|relay| relay.part == part && relay.state == state)
    }

    /// Sorts the contacts by what moves them.
    pub(super) fn index_contacts(&mut self) {
        self.by_state = vec![Vec::new(); self.relays.len()];
        self.contact_of = vec![None; self.ends.len()];
        for (index, contact) in self.contacts.iter().enumerate() {
            self.contact_of[contact.id.0 as usize] = Some(index);
        }
        for (index, contact) in self.contacts.iter().enumerate() {
            let mut lively = false;
            contact.gate.walk(&mut |gate| match gate {
                Gate::Position { control, .. } | Gate::Level { control, .. } => {
                    self.by_control[control.index()].push(index)
                }
                Gate::State(state) => self.by_state[*state].push(index),
                Gate::Volts { .. } | Gate::Timed { .. } => lively = true,
                _ => {}
            });
            if lively {
                self.lively.push(index);
            }
        }
        for list in self.by_control.iter_mut().chain(&mut self.by_state) {
            list.dedup();
        }
    }
}
