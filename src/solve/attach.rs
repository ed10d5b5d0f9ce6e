//! Turns an instrument or a short between any two nodes into a part of the solved network, and takes it off again.

use super::network::{Attachment, Element, ElementId};
use super::solver::{Change, Solver};

impl Solver {
    /// Attaches an element between any two nodes, joined before or not, inside a chain or not.
    ///
    /// The next solution finds the pattern again, with the order of elimination kept, and computes the whole factor again:
    /// that is as exact as if the element had been there from the start, and takes some microseconds in a vehicle.
    ///
    /// # Panics
    /// As [`Network::add`](super::Network::add) does.
    pub fn attach(&mut self, element: Element) -> Attachment {
        self.network().require(&element);
        self.drop_lifted();
        let free = self.attached.iter().position(Option::is_none).unwrap_or(self.attached.len());
        if free == self.attached.len() {
            self.attached.push(None);
        }
        self.put(free, Some(element));
        Attachment(free as u32)
    }

    /// Takes an attached element off. It stays in the pattern as an open contact does until something else is attached.
    ///
    /// # Panics
    /// If it isn't attached.
    pub fn detach(&mut self, attachment: Attachment) {
        let index = attachment.0 as usize;
        assert!(
            self.attached[index].is_some() && !self.lifted.contains(&attachment.0),
            "{attachment:?} is not attached"
        );
        if self.laid {
            self.lifted.push(attachment.0);
            self.pending.push((ElementId(self.point.own + attachment.0), Change::Open(true)));
        } else {
            self.put(index, None);
        }
    }

    /// Frees the places of what was taken off.
    fn drop_lifted(&mut self) {
        for index in std::mem::take(&mut self.lifted) {
            self.put(index as usize, None);
        }
        self.pending.retain(|(id, _)| id.0 < self.point.own);
    }
}
