//! Turns the solver's numbers into answers about one operating point: volts, amps, islands, residual.

use super::island::{FLOATING_BELOW, islands};
use super::network::{Attachment, ElementId, NodeId};
use super::order::Order;
use std::sync::{Arc, OnceLock};

/// An operating point. A clone is a snapshot: a few flat copies, and none allocates if it replaces another of the same network.
///
/// A node's voltage is kept as the sum of two numbers, so that the small drop along a stout wire is known to full
/// precision and not only to that of the voltages at its ends; currents and residual would otherwise drown in rounding
/// wherever a vehicle at rest draws microamperes through milliohms.
#[derive(Debug)]
pub struct Point {
    pub(super) order: Arc<Order>,
    /// Voltage by position, in volts, and what rounding took from it; the reference, last, is at 0.
    pub(super) volts: Vec<(f64, f64)>,
    /// Current by slot from the near node to the far, in amperes.
    pub(super) amps: Vec<f64>,
    /// Conductance, or slope of the tangent, by slot, in siemens.
    pub(super) siemens: Vec<f64>,
    /// Conductance and electromotive force of each element that is a branch.
    pub(super) branches: Vec<(f64, f64)>,
    /// Elements that are taken out.
    pub(super) open: Vec<bool>,
    pub(super) residual: f64,
    pub(super) iterations: u32,
    /// How many elements are the network's own; those after are attachments.
    pub(super) own: u32,
    /// Filled when first asked for.
    pub(super) islands: OnceLock<Vec<u32>>,
}

/// A voltage: that of a position, or 0 without one, and what is to be added.
#[derive(Clone, Copy)]
struct Level {
    position: Option<usize>,
    above: f64,
}

impl Point {
    /// Voltage of a node against the reference, in volts.
    ///
    /// In an island that nothing joins to the reference, it is against a node of that island's own, which the solver
    /// chose: ask [`Point::floating`], and compare only voltages of one island.
    pub fn volts(&self, node: NodeId) -> f64 {
        let Level { position, above } = self.level(node);
        position.map_or(above, |at| self.volts[at].0 + (self.volts[at].1 + above))
    }

    /// Voltage of `a` against `b`, in volts, exact even where both are nearly the same.
    /// It means nothing where `a` and `b` are in different islands.
    pub fn volts_between(&self, a: NodeId, b: NodeId) -> f64 {
        let (a, b) = (self.level(a), self.level(b));
        let reference = self.order.size();
        across(
            &self.volts,
            a.position.unwrap_or(reference),
            b.position.unwrap_or(reference),
            a.above - b.above,
        )
    }

    /// Current through an element, in amperes, positive from its first node to its second.
    pub fn amps(&self, element: ElementId) -> f64 {
        let (slot, sign) = self.order.slot_of(element.0 as usize).expect("the element exists");
        sign * self.amps[slot]
    }

    /// The ends of every element, the network's own and then what is attached.
    pub fn ends(&self) -> &[(NodeId, NodeId)] {
        self.order.chains.ends()
    }

    /// The current through each of them, in amperes; 0 through what isn't attached any more.
    pub fn flows(&self) -> Vec<f64> {
        let here = |element: usize| self.order.slot_of(element).is_some();
        let flow = |element| if here(element) { self.amps(ElementId(element as u32)) } else { 0.0 };
        (0..self.ends().len()).map(flow).collect()
    }

    /// The number that an attachment has among them.
    pub fn number(&self, attachment: Attachment) -> ElementId {
        ElementId(self.own + attachment.0)
    }

    /// Current through an attachment, in amperes, positive from its first node to its second.
    ///
    /// # Panics
    /// If it wasn't attached when this point was solved.
    pub fn amps_of(&self, attachment: Attachment) -> f64 {
        self.amps(self.number(attachment))
    }

    /// The least node of this node's island: of all nodes that conduct to it by elements of [`FLOATING_BELOW`] or more.
    pub fn island(&self, node: NodeId) -> NodeId {
        let labels = self.islands.get_or_init(|| self.joined_by(FLOATING_BELOW));
        NodeId(labels[node.0 as usize])
    }

    /// For each node the least node that elements of this conductance or more join it to, in siemens.
    pub fn joined_by(&self, siemens: f64) -> Vec<u32> {
        let ends = self.order.chains.ends();
        let joined = (0..ends.len())
            .filter(|&element| self.conductance(element) >= siemens)
            .map(|element| (ends[element].0.0, ends[element].1.0));
        islands(self.order.place.len(), joined)
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

    /// Conductance of a branch, slope of a device's tangent, in siemens; 0 for what is taken out.
    fn conductance(&self, element: usize) -> f64 {
        match self.order.slot_of(element) {
            _ if self.open[element] => 0.0,
            None => 0.0,
            Some((slot, _)) if self.branches[element].0.is_nan() => self.siemens[slot],
            Some(_) => self.branches[element].0,
        }
    }

    /// A node's voltage. For a node inside a chain it follows from the end that differs less, so that drops along the wires of a
    /// chain are exact on both sides of its load; beyond an open contact only one end is there to follow, between two none.
    fn level(&self, node: NodeId) -> Level {
        let order = &self.order;
        let Some((index, before)) = order.chains.inside(node) else {
            return Level { position: Some(order.place[node.0 as usize] as usize), above: 0.0 };
        };
        let link = &order.chains.links[index];
        let slot = order.slot[index] as usize;
        let amps = order.sign[slot] * self.amps[slot];
        let rise = |element: usize, forward: f64| {
            let conductance = self.conductance(element);
            let emf = forward * self.branches[element].1;
            (conductance > 0.0).then(|| if amps == 0.0 { emf } else { emf - amps / conductance })
        };
        let (mut from, mut to) = (Some(0.0), Some(0.0));
        let mut own = 0.0;
        for (at, (element, forward)) in order.chains.elements(link).enumerate() {
            let rise = rise(element, forward);
            if at < before {
                from = from.zip(rise).map(|(sum, rise)| sum + rise);
                own = rise.map_or(0.0, |rise| own + rise);
            } else {
                to = to.zip(rise).map(|(sum, rise)| sum - rise);
            }
        }
        let place = |node: NodeId| Some(order.place[node.0 as usize] as usize);
        match (from, to) {
            (Some(from), Some(to)) if to.abs() < from.abs() => Level { position: place(link.to), above: to },
            (Some(from), _) => Level { position: place(link.from), above: from },
            (None, Some(to)) => Level { position: place(link.to), above: to },
            (None, None) => Level { position: None, above: own },
        }
    }

    /// Voltage and what rounding took from it, for a node that may stand elsewhere in another order.
    pub(super) fn parts(&self, node: NodeId) -> (f64, f64) {
        let Level { position, above } = self.level(node);
        position.map_or((above, 0.0), |at| sum(self.volts[at].0, self.volts[at].1 + above))
    }
}

/// Voltage from position `a` to `b` plus `emf`, with the rounding error of the difference put back.
#[inline]
pub(super) fn across(volts: &[(f64, f64)], a: usize, b: usize, emf: f64) -> f64 {
    let ((a, rest), (b, other_rest)) = (volts[a], volts[b]);
    let (difference, lost) = sum(a, -b);
    (difference + emf) + (lost + (rest - other_rest))
}

/// The rounded sum and what rounding took from it (Knuth, "The Art of Computer Programming" volume 2, section 4.2.2, theorem B).
#[inline]
pub(super) fn sum(x: f64, y: f64) -> (f64, f64) {
    let total = x + y;
    let shadow = total - x;
    (total, (x - (total - shadow)) + (y - shadow))
}
