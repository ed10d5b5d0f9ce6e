//! Turns a build of a vehicle into the nodes and elements of a network: pins, wires, mated cavities, and what is inside the parts.

use super::conductor::{ampacity, wire_ohms};
use super::element::{Seat, electrical};
use super::gear::Relay;
use super::rig::{Carrier, Mate, Pin, Rig, Run};
use crate::book::{BuildId, ConnectorId, End, Kind, PartId, TerminalId, Vehicle, WireId};
use crate::solve::{Element, ElementId, Network, NodeId, Solver};
use std::sync::Arc;

/// Resistance in ohms of a terminal in its plug, and of a pair of mated cavities: new contacts measure a few milliohms
/// (common practice, no source).
pub const PIN_OHMS: f64 = 0.002;

/// Resistance in ohms of a ground point's joint with the body (common practice, no source).
pub const BOND_OHMS: f64 = 0.0005;

/// What of a build is wired up: parts and wires, by their numbers.
#[derive(Debug, Clone)]
pub(super) struct Kept {
    pub parts: Vec<bool>,
    pub wires: Vec<bool>,
}

/// The rig while its network grows.
struct Wiring<'v> {
    vehicle: &'v Vehicle,
    rig: Rig,
    network: Network,
    kept: Kept,
}

impl Rig {
    /// Wires up a build.
    pub fn new(vehicle: &Arc<Vehicle>, build: BuildId) -> Rig {
        let kept = Kept {
            parts: vehicle.parts.iter().map(|part| part.fitted[build.index()]).collect(),
            wires: vehicle.wires.iter().map(|wire| wire.fitted[build.index()]).collect(),
        };
        Rig::of(vehicle, build, kept)
    }

    /// Wires up what is kept of a build.
    pub(super) fn of(vehicle: &Arc<Vehicle>, build: BuildId, kept: Kept) -> Rig {
        let mut wiring = Wiring { vehicle, rig: Rig::empty(vehicle, build), network: Network::new(1), kept };
        let parts = || (0..vehicle.parts.len() as u32).map(PartId);
        parts().for_each(|part| wiring.pins(part));
        (0..vehicle.wires.len() as u32).for_each(|wire| wiring.wire(WireId(wire)));
        parts().for_each(|part| wiring.elements(part));
        let Wiring { mut rig, network, .. } = wiring;
        rig.around = vec![Vec::new(); network.nodes()];
        for (element, &(a, b)) in rig.ends.iter().enumerate() {
            rig.around[a.0 as usize].push(element);
            rig.around[b.0 as usize].push(element);
        }
        rig.solver = Solver::new(network);
        rig.index_contacts();
        rig
    }
}

impl Wiring<'_> {
    fn add(&mut self, carrier: Carrier, element: Element) -> ElementId {
        self.rig.carriers.push(carrier);
        self.rig.ends.push(element.ends());
        self.network.add(element)
    }

    fn branch(&mut self, carrier: Carrier, a: NodeId, b: NodeId, conductance: f64) -> ElementId {
        self.add(carrier, Element::Branch { a, b, conductance, emf: 0.0 })
    }

    fn pins(&mut self, id: PartId) {
        let part = self.vehicle.part(id);
        let mut pins = Vec::new();
        let mut bond = None;
        if self.kept.parts[id.index()] {
            for terminal in (0..part.terminals as u16).map(TerminalId) {
                let harness = self.network.add_node();
                // A splice is crimped, not plugged: it has one node.
                let body = if part.kind == Kind::Splice { harness } else { self.network.add_node() };
                let conductance = if body == harness { 0.0 } else { 1.0 / PIN_OHMS };
                let joint = self.branch(Carrier::Pin { part: id, terminal }, harness, body, conductance);
                pins.push(Pin { harness, part: body, joint });
            }
            if part.kind == Kind::Ground {
                let conductance = 1.0 / BOND_OHMS;
                bond = Some(self.branch(Carrier::Bond(id), pins[0].part, NodeId::REFERENCE, conductance));
            }
        }
        self.rig.pins.push(pins);
        self.rig.bonds.push(bond);
    }

    fn wire(&mut self, id: WireId) {
        let vehicle = self.vehicle;
        let wire = vehicle.wire(id);
        let run = self.kept.wires[id.index()].then(|| {
            let ends = wire.ends.map(|end| match end {
                End::Terminal { part, terminal } => self.rig.pins[part.index()][terminal.index()].harness,
                End::Cavity { connector, cavity, side } => self.mate(connector, cavity).sides[side as usize],
            });
            let middle = self.network.add_node();
            let ohms = wire_ohms(&wire.size, wire.length, vehicle.temperature);
            let halves = [(0, ends[0], middle), (1, middle, ends[1])]
                .map(|(end, a, b)| self.branch(Carrier::Wire { wire: id, end }, a, b, 2.0 / ohms));
            let short = self.branch(Carrier::ShortToGround(id), middle, NodeId::REFERENCE, 0.0);
            Run { middle, halves, short, ohms, bears: ampacity(wire.size.value) }
        });
        self.rig.runs.push(run);
    }

    fn mate(&mut self, connector: ConnectorId, cavity: u16) -> Mate {
        if let Some(mate) = self.rig.mates[connector.index()][cavity as usize] {
            return mate;
        }
        let sides = [self.network.add_node(), self.network.add_node()];
        let joint = self.branch(Carrier::Cavity { connector, cavity }, sides[0], sides[1], 1.0 / PIN_OHMS);
        *self.rig.mates[connector.index()][cavity as usize].insert(Mate { sides, joint })
    }

    fn elements(&mut self, id: PartId) {
        self.rig.elements.push(Vec::new());
        if !self.kept.parts[id.index()] {
            return;
        }
        let part = self.vehicle.part(id);
        let pins = self.rig.pins[id.index()].iter().map(|pin| pin.part).collect();
        let seat = Seat { part: id, pins, first_state: self.rig.relays.len() };
        self.rig.relays.extend(part.states.iter().enumerate().map(|(state, relay)| Relay {
            part: id,
            state,
            latching: relay.latching,
            drop_out: relay.drop_out,
            coils: Vec::new(),
        }));
        for (element, data) in part.elements.iter().enumerate() {
            let [a, b] = [data.a, data.b].map(|terminal| seat.pins[terminal.index()]);
            let network = self.add(Carrier::Element { part: id, element }, electrical(&data.action, a, b));
            self.rig.elements[id.index()].push(network);
            self.rig.keep(&seat, element, network);
        }
    }
}
