//! Turns the solver's numbers into answers about one operating point: volts, amps, islands, residual.

use super::attach::Attachment;
use super::island::{FLOATING_BELOW, islands};
use super::network::{ElementId, NodeId};
use super::order::Order;
use std::sync::{Arc, OnceLock};

/// An operating point. A clone is a snapshot: a few flat copies.
///
/// A node's voltage is kept as the sum of two numbers, so that the small drop along a stout wire is known to full
/// precision and not only to that of the voltages at its ends; currents and residual would otherwise drown in rounding
/// wherever a vehicle at rest draws microamperes through milliohms.
#[derive(Clone, Debug)]
pub struct Point {
    pub(super) order: Arc<Order>,
    /// Voltage by position, in volts; the reference, last, is 0.
    pub(super) volts: Vec<f64>,
    /// What rounding took from it.
    pub(super) rest: Vec<f64>,
    /// Current by slot from the near node to the far, in amperes.
    pub(super) amps: Vec<f64>,
    /// Conductance, or slope of the tangent, by slot, in siemens.
    pub(super) siemens: Vec<f64>,
    pub(super) residual: f64,
    pub(super) iterations: u32,
    /// How many elements are the network's own; those after are attachments.
    pub(super) own: u32,
    /// Filled when first asked for.
    pub(super) islands: OnceLock<Vec<u32>>,
}

impl Point {
    /// Voltage of a node against the reference, in volts.
    ///
    /// In an island that nothing joins to the reference, it is against a node of that island's own, which the solver
    /// chose: ask [`Point::floating`], and compare only voltages of one island.
    pub fn volts(&self, node: NodeId) -> f64 {
        self.volts[self.order.place[node.0 as usize] as usize]
    }

    /// Voltage of `a` against `b`, in volts, exact even where both are nearly the same.
    /// It means nothing where `a` and `b` are in different islands.
    pub fn volts_between(&self, a: NodeId, b: NodeId) -> f64 {
        let (a, b) = (
            self.order.place[a.0 as usize] as usize,
            self.order.place[b.0 as usize] as usize,
        );
        self.drop(a, b, 0.0)
    }

    /// Current through an element, in amperes, positive from its first node to its second.
    pub fn amps(&self, element: ElementId) -> f64 {
        let slot = self.order.slot[element.0 as usize] as usize;
        self.order.sign[slot] * self.amps[slot]
    }

    /// Current through an attachment, in amperes, positive from its first node to its second.
    pub fn amps_of(&self, attachment: Attachment) -> f64 {
        self.amps(ElementId(self.own + attachment.0))
    }

    /// The least node of this node's island: of all nodes that conduct to it by elements of [`FLOATING_BELOW`] or more.
    pub fn island(&self, node: NodeId) -> NodeId {
        let order = &self.order;
        let labels = self.islands.get_or_init(|| {
            let joined = (0..=order.size()).flat_map(|k| {
                order
                    .slots(k)
                    .filter(|&slot| self.siemens[slot] >= FLOATING_BELOW)
                    .map(move |slot| {
                        let far = order.far[slot] as usize;
                        (order.node[k].0, order.node[far].0)
                    })
            });
            islands(order.node.len(), joined)
        });
        NodeId(labels[node.0 as usize])
    }

    /// Whether no path of elements of [`FLOATING_BELOW`] or more joins this node to the reference.
    pub fn floating(&self, node: NodeId) -> bool {
        self.island(node) != NodeId::REFERENCE
    }

    /// The worst sum of currents out of any node, as a part of the largest current in any element. 0 if nothing flows.
    pub fn residual(&self) -> f64 {
        self.residual
    }

    /// How many linear systems were solved to get here.
    pub fn iterations(&self) -> u32 {
        self.iterations
    }

    /// Voltage from position `a` to `b` plus `emf`, with the rounding errors of both sums put back
    /// (Knuth, "The Art of Computer Programming" volume 2, section 4.2.2, theorem B).
    pub(super) fn drop(&self, a: usize, b: usize, emf: f64) -> f64 {
        let (x, y) = (self.volts[a], -self.volts[b]);
        let difference = x + y;
        let shadow = difference - x;
        let lost = (x - (difference - shadow)) + (y - shadow);
        (difference + emf) + (lost + (self.rest[a] - self.rest[b]))
    }
}
