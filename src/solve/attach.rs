//! Turns an instrument or a short between any two nodes into a part of the solved network, and takes it off again.

use super::network::{Element, Network};
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
        for element in self.attached.iter() {
            let gone = Element::Branch {
                a: crate::solve::NodeId(0),
                b: crate::solve::NodeId(0),
                conductance: 0.0,
                emf: 0.0,
            };
            whole.add(element.unwrap_or(gone));
        }
        whole
    }
}
