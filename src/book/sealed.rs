//! Turns splices that no technician opens into what is replaced as one: the splice and the wires crimped into it.

use super::{Book, End, Item, PartId, Suspect};

impl Book {
    /// What an item is replaced with: of a wire in a sealed splice, the splice; of several sealed splices in a row, the first.
    pub fn replaced_as(&self, item: Item) -> Item {
        let mut seen = vec![item];
        let mut at = 0;
        while let Some(&item) = seen.get(at) {
            at += 1;
            for next in self.crimped_to(item) {
                if !seen.contains(&next) {
                    seen.push(next);
                }
            }
        }
        // A part stands before a wire: the section goes by its splice.
        seen.into_iter().min().expect("it holds the item itself")
    }

    /// Whether a suspect is a sealed splice that holds the item.
    pub fn seals(&self, suspect: &Suspect, item: Item) -> bool {
        match (suspect, item) {
            (Suspect::Item(Item::Part(part)), Item::Wire(_)) => {
                self.crimped_to(item).contains(&Item::Part(*part))
            }
            _ => false,
        }
    }

    /// The sealed splices of a wire, and the wires of a sealed splice.
    fn crimped_to(&self, item: Item) -> Vec<Item> {
        let sealed = |part: PartId| self.part(part).sealed;
        match item {
            Item::Wire(wire) => {
                let ends = self.wire(wire).ends.into_iter().filter_map(part_of);
                ends.filter(|part| sealed(*part)).map(Item::Part).collect()
            }
            Item::Part(part) if sealed(part) => {
                let wires = self.wires.iter().zip((0..).map(super::WireId));
                let here =
                    wires.filter(|(wire, _)| wire.ends.into_iter().filter_map(part_of).any(|at| at == part));
                here.map(|(_, wire)| Item::Wire(wire)).collect()
            }
            Item::Part(_) | Item::Connector(_) => Vec::new(),
        }
    }
}

fn part_of(end: End) -> Option<PartId> {
    match end {
        End::Terminal { part, .. } => Some(part),
        End::Cavity { .. } => None,
    }
}
