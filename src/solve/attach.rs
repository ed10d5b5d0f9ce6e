//! Turns an instrument or a short between any two nodes into a part of the solved network, and takes it off again.

use super::network::{Element, ElementId, Network, NodeId};
use super::newton::Solver;

/// Something attached for a while; only the solver that gave it, and its clones, know it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Attachment(pub(super) u32);

impl Solver {
    /// Attaches an element between any two nodes, joined before or not.
    ///
    /// # Panics
    /// As [`Network::add`] does.
    pub fn attach(&mut self, element: Element) -> Attachment {
        self.network.require(&element);
        let free = self.attached.iter().position(Option::is_none).unwrap_or_else(|| {
            self.attached.push(None);
            self.attached.len() - 1
        });
        self.attached[free] = Some(element);
        self.rebuild();
        Attachment(free as u32)
    }

    /// Takes an attached element off.
    ///
    /// # Panics
    /// If it isn't attached.
    pub fn detach(&mut self, attachment: Attachment) {
        let element = self.attached[attachment.0 as usize].take();
        assert!(element.is_some(), "{attachment:?} is not attached");
        self.rebuild();
    }

    /// The network with what is attached.
    pub(super) fn whole(&self) -> Network {
        let mut whole = self.network.clone();
        for id in 0..self.attached.len() {
            whole.add(self.element(ElementId((self.network.elements().len() + id) as u32)));
        }
        whole
    }

    /// An element of the whole network; an attachment that was taken off conducts nothing.
    pub(super) fn element(&self, id: ElementId) -> Element {
        const GONE: Element = Element::Branch {
            a: NodeId::REFERENCE,
            b: NodeId::REFERENCE,
            conductance: 0.0,
            emf: 0.0,
        };
        let own = self.network.elements();
        match own.get(id.0 as usize) {
            Some(element) => *element,
            None => self.attached[id.0 as usize - own.len()].unwrap_or(GONE),
        }
    }
}
