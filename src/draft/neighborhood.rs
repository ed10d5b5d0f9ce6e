//! Turns faults into what lies around them: their items, every wire on these, and what else those are on.

use crate::book::{Book, ConnectorId, End, FaultId, Item, PartId, TerminalId, WireId};
use std::collections::BTreeSet;

/// The items of some faults, with every wire on them and what else that is on.
pub struct Neighborhood {
    pub parts: BTreeSet<PartId>,
    pub connectors: BTreeSet<ConnectorId>,
    pub wires: BTreeSet<WireId>,
    pub ends: BTreeSet<End>,
}

impl Neighborhood {
    /// What lies around these faults.
    pub fn of(book: &Book, faults: impl Iterator<Item = FaultId>) -> Neighborhood {
        let items: BTreeSet<Item> = faults.map(|fault| book.fault(fault).item).collect();
        let mut near = Neighborhood {
            parts: BTreeSet::new(),
            connectors: BTreeSet::new(),
            wires: BTreeSet::new(),
            ends: BTreeSet::new(),
        };
        for (index, wire) in book.wires.iter().enumerate() {
            let id = WireId(index as u32);
            let on = |end: End| match end {
                End::Terminal { part, .. } => items.contains(&Item::Part(part)),
                End::Cavity { connector, .. } => items.contains(&Item::Connector(connector)),
            };
            let own = items.contains(&Item::Wire(id));
            for end in wire.ends.into_iter().filter(|&end| own || on(end)) {
                near.wires.insert(id);
                near.ends.insert(end);
                match end {
                    End::Terminal { part, .. } => near.parts.insert(part),
                    End::Cavity { connector, .. } => near.connectors.insert(connector),
                };
            }
        }
        near
    }

    /// A terminal, when it is among the ends.
    pub fn terminal(&self, part: PartId, terminal: TerminalId) -> Option<&End> {
        self.ends.get(&End::Terminal { part, terminal })
    }
}
