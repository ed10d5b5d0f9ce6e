//! Turns ground points into rows of the ground list, each with the parts whose way to the body ends there.

use super::parts::{name, parts_of, place};
use super::{Cell, Filled, natural, wires_at};
use crate::book::{ConnectorId, End, Kind, PartId, SheetId, TerminalId};
use crate::page::kit::Kit;

pub fn fill(kit: &Kit, sheet: Option<SheetId>) -> Filled {
    let mut parts = parts_of(kit, sheet);
    parts.retain(|&part| kit.book.part(part).kind == Kind::Ground);
    Filled::with(
        kit,
        parts,
        &[
            ("ground", |_, part| Cell::thing(part)),
            ("name", name),
            ("place", place),
            ("wires", |kit, part| Cell::Wires(wires_at(kit, part, TerminalId(0)))),
            ("serves", |kit, part| Cell::Naming(served(kit, part).join(", "))),
        ],
    )
}

/// The parts whose way to the body ends at a ground point: over wires, cavities and splices, up to other parts.
fn served(kit: &Kit, ground: PartId) -> Vec<String> {
    let (mut seen, mut queue, mut found) = (vec![ground], vec![ground], Vec::new());
    let mut cavities: Vec<(ConnectorId, u16)> = Vec::new();
    let mut next: Vec<End> = Vec::new();
    while let Some(part) = queue.pop() {
        next.push(End::Terminal { part, terminal: TerminalId(0) });
        while let Some(end) = next.pop() {
            for wire in kit.book.wires.iter().filter(|wire| touches(&wire.ends, end)) {
                for &other in &wire.ends {
                    match other {
                        End::Terminal { part, .. } if !seen.contains(&part) => {
                            seen.push(part);
                            match kit.book.part(part).kind {
                                Kind::Splice => queue.push(part),
                                _ => found.push(kit.book.part(part).id.clone()),
                            }
                        }
                        End::Cavity { connector, cavity, .. } if !cavities.contains(&(connector, cavity)) => {
                            cavities.push((connector, cavity));
                            next.push(other);
                        }
                        _ => {}
                    }
                }
            }
        }
    }
    found.sort_by_key(|id| natural(id));
    found
}

/// Whether a wire ends at an end; both sides of a cavity count as one.
fn touches(ends: &[End; 2], at: End) -> bool {
    ends.iter().any(|&end| match (end, at) {
        (End::Cavity { connector, cavity, .. }, End::Cavity { connector: of, cavity: number, .. }) => {
            (connector, cavity) == (of, number)
        }
        _ => end == at,
    })
}
