//! Turns a sheet into the parts and wires that its drawing shows, so that evidence holds no more than a reader can see.

use super::evidence::Evidence;
use crate::book::{Book, ConnectorId, End, PartId, SheetId, WireId};
use std::collections::BTreeSet;

/// The parts, wires and connectors of one sheet: its own, those its author includes with the wires between them, and what
/// these wires reach.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scope {
    pub parts: BTreeSet<PartId>,
    pub wires: BTreeSet<WireId>,
    pub connectors: BTreeSet<ConnectorId>,
}

impl Scope {
    /// What a sheet shows.
    pub fn of(book: &Book, sheet: SheetId) -> Scope {
        let included = &book.sheets[sheet.index()].hints.include;
        let mut parts: BTreeSet<PartId> = included.iter().copied().collect();
        parts.extend((0..book.parts.len() as u32).map(PartId).filter(|&part| book.part(part).sheet == sheet));
        let own = parts.clone();
        let reaches = |end: End| matches!(end, End::Terminal { part, .. } if own.contains(&part));
        let (mut wires, mut connectors) = (BTreeSet::new(), BTreeSet::new());
        for index in 0..book.wires.len() as u32 {
            let wire = book.wire(WireId(index));
            if wire.sheet != sheet && !wire.ends.into_iter().all(reaches) {
                continue;
            }
            wires.insert(WireId(index));
            for end in wire.ends {
                match end {
                    End::Terminal { part, .. } => parts.insert(part),
                    End::Cavity { connector, .. } => connectors.insert(connector),
                };
            }
        }
        Scope { parts, wires, connectors }
    }

    /// The part of a vehicle's state that the sheet shows.
    pub fn cut(&self, mut evidence: Evidence) -> Evidence {
        evidence.wires.retain(|wire, _| self.wires.contains(wire));
        evidence.cavities.retain(|(connector, _), _| self.connectors.contains(connector));
        evidence.elements.retain(|(part, _), _| self.parts.contains(part));
        evidence.terminals.retain(|(part, _), _| self.parts.contains(part));
        evidence.made.retain(|(part, _), _| self.parts.contains(part));
        evidence.seen.retain(|(part, _), _| self.parts.contains(part));
        evidence.energized.retain(|(part, _), _| self.parts.contains(part));
        evidence
    }
}
