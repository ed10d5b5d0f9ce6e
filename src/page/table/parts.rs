//! Turns parts into rows of the parts list.

use super::{Cell, Filled};
use crate::book::{PartId, SheetId};
use crate::page::kit::Kit;

pub fn fill(kit: &Kit, sheet: Option<SheetId>) -> Filled {
    Filled::with(
        kit,
        parts_of(kit, sheet),
        &[
            ("part", |_, part| Cell::thing(part)),
            ("name", name),
            ("kind", |kit, part| {
                Cell::Text(kit.words.text(&format!("kind.{}", kit.book.part(part).kind.word())))
            }),
            ("place", place),
            ("data", |kit, part| Cell::Text(facts(kit, part))),
        ],
    )
}

/// The parts of a sheet, or of the book.
pub fn parts_of(kit: &Kit, sheet: Option<SheetId>) -> Vec<PartId> {
    let parts = (0..kit.book.parts.len() as u32).map(PartId);
    parts.filter(|&part| sheet.is_none_or(|sheet| kit.book.part(part).sheet == sheet)).collect()
}

pub fn name(kit: &Kit, part: PartId) -> Cell {
    Cell::Text(kit.book.part(part).name.clone())
}

pub fn place(kit: &Kit, part: PartId) -> Cell {
    Cell::text_of(kit.book.part(part).place.as_ref())
}

/// What the author gave of a part, as one line.
pub fn facts(kit: &Kit, part: PartId) -> String {
    let facts = kit.book.part(part).facts.iter();
    let words = facts.map(|(label, text)| format!("{} {text}", kit.say().fact(label)));
    words.collect::<Vec<_>>().join(", ")
}
