//! Turns a state of the vehicle into the groups of points that are one conductor to a technician's instruments.

use super::rig::{Carrier, Rig};
use super::state::Bench;
use crate::book::Action;
use crate::solve::{Element, ElementId, NodeId, islands};

/// Points joined through no more than these ohms, and no further apart than these volts, light a test light alike.
const JOINED_OHMS: f64 = 0.5;
const JOINED_VOLTS: f64 = 0.02;

impl Rig {
    /// The carriers of some parts, wires and connectors that can join two points to one conductor. The body is no point of
    /// its own: what is grounded still has a voltage of its own above it.
    pub fn joints(&self, of: impl Fn(Carrier) -> bool) -> Vec<usize> {
        let joins = |index: usize| {
            let carrier = self.carriers[index];
            let (a, b) = self.ends[index];
            let body = a == NodeId::REFERENCE || b == NodeId::REFERENCE;
            let closes = match carrier {
                Carrier::Element { part, element } => matches!(
                    self.vehicle.part(part).elements[element].action,
                    Action::Contact { .. } | Action::Link { .. }
                ),
                Carrier::ShortToGround(_) => false,
                _ => true,
            };
            closes && !body && of(carrier)
        };
        (0..self.carriers.len()).filter(|&index| joins(index)).collect()
    }
}

impl Bench<'_> {
    /// For each node of the network the least node that it is joined to by some of the rig's wires, pins, contacts and fuses:
    /// indices from [`Rig::joints`].
    pub fn joined(&self, joints: &[usize]) -> Vec<u32> {
        let rig = self.rig;
        let ends = joints.iter().map(|&index| (index, rig.ends[index]));
        let near = ends.filter(|&(index, (a, b))| self.is_near(index, a, b));
        islands(rig.around.len(), near.map(|(_, (a, b))| (a.0, b.0)))
    }

    fn is_near(&self, element: usize, a: NodeId, b: NodeId) -> bool {
        let id = ElementId(element as u32);
        let near = matches!(
            self.solver.element(id),
            Element::Branch { conductance, .. } if conductance > 1.0 / JOINED_OHMS
        );
        near && !self.solver.is_open(id)
            && (self.point().volts(a) - self.point().volts(b)).abs() < JOINED_VOLTS
    }
}
