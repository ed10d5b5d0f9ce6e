//! Turns a state of the vehicle into the groups of points that are one conductor to a technician's instruments.

use super::rig::{Carrier, Rig};
use super::state::Bench;
use crate::book::Action;
use crate::solve::{Element, ElementId, NodeId};

/// Points joined through no more than these ohms, and no further apart than these volts, light a test light alike.
const JOINED_OHMS: f64 = 0.5;
const JOINED_VOLTS: f64 = 0.02;

impl Rig<'_> {
    /// The carriers of some parts, wires and connectors that can join two points to one conductor. The body is no point of
    /// its own: what is grounded still has a voltage of its own above it.
    pub fn joints(&self, of: impl Fn(Carrier) -> bool) -> Vec<usize> {
        let joins = |index: usize| {
            let carrier = self.carriers[index];
            let (a, b) = self.ends[index];
            let body = a == NodeId::REFERENCE || b == NodeId::REFERENCE;
            let closes = match carrier {
                Carrier::Element { part, element } => matches!(
                    self.book.part(part).elements[element].action,
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
        let mut group: Vec<u32> = (0..rig.around.len() as u32).collect();
        for &index in joints {
            let (a, b) = rig.ends[index];
            if self.is_near(index, a, b) {
                let (a, b) = (root(&mut group, a.0), root(&mut group, b.0));
                group[a.max(b) as usize] = a.min(b);
            }
        }
        (0..group.len() as u32).map(|at| root(&mut group, at)).collect()
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

fn root(group: &mut [u32], mut at: u32) -> u32 {
    while group[at as usize] != at {
        group[at as usize] = group[group[at as usize] as usize];
        at = group[at as usize];
    }
    at
}
