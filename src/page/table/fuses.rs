//! Turns fuses, fusible links and breakers into rows of the fuse list.

use super::parts::{name, parts_of, place};
use super::{Cell, Filled, wires_at};
use crate::book::{Action, PartId, Protection, SheetId, TerminalId};
use crate::page::kit::Kit;
use crate::quantity::{Dimension, Unit, print};

pub fn fill(kit: &Kit, sheet: Option<SheetId>) -> Filled {
    let mut parts = parts_of(kit, sheet);
    parts.retain(|&part| rating(kit, part).is_some());
    Filled::with(
        kit,
        parts,
        &[
            ("fuse", |_, part| Cell::thing(part)),
            ("name", name),
            ("rating", |kit, part| Cell::Text(rating(kit, part).unwrap_or_default())),
            ("place", place),
            ("feeds", |kit, part| {
                let terminals = (0..kit.book.part(part).terminals.len() as u16).map(TerminalId);
                Cell::Wires(terminals.flat_map(|terminal| wires_at(kit, part, terminal)).collect())
            }),
        ],
    )
}

/// What a part carries before it opens, and what it is when it is no fuse; nothing when it protects nothing.
fn rating(kit: &Kit, part: PartId) -> Option<String> {
    kit.book.part(part).elements.iter().find_map(|element| {
        let Action::Link { rating, protection, .. } = &element.action else {
            return None;
        };
        let rating = print(rating.0, Unit::base(Dimension::Current));
        Some(match protection {
            Protection::Fuse => rating,
            Protection::FusibleLink => format!("{rating}, {}", kit.words.text("kind.fusible-link")),
            _ => format!("{rating}, {}", kit.words.text("kind.breaker")),
        })
    })
}
