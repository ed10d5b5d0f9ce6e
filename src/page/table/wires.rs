//! Turns wires into rows of the wire list and of the color key.

use super::{Cell, Filled, Line, Row, natural};
use crate::book::{COLORS, End, Item, PartId, Presence, SheetId, TerminalId, WireColumn, WireId};
use crate::page::address::Root;
use crate::page::kit::Kit;

pub fn fill(kit: &Kit, sheet: Option<SheetId>) -> Filled {
    let mut wires = wires_of(kit, sheet);
    wires.sort_by_cached_key(|wire| natural(&kit.book.wire(*wire).id));
    let columns = wire_columns(kit, &wires);
    Filled {
        columns: columns.iter().map(|column| column.name()).collect(),
        rows: wires.into_iter().map(|wire| line(kit, wire, &columns)).collect(),
    }
}

/// The columns that a list of wires prints: one that not every list has, only where some wire says something in it.
pub fn wire_columns(kit: &Kit, wires: &[WireId]) -> Vec<WireColumn> {
    let empty = Cell::Text(String::new());
    let told = |column| wires.iter().any(|&wire| cell(kit, wire, column) != empty);
    WireColumn::printed().filter(|&column| column.presence() != Presence::Named || told(column)).collect()
}

/// A wire as a row of the list on the page that describes it: its own id is no link.
pub fn wire_row(kit: &Kit, wire: WireId, columns: &[WireColumn], root: Root) -> Row {
    let mut line = line(kit, wire, columns);
    line.cells[0] = Cell::Own(Item::Wire(wire));
    line.spell(kit, root)
}

fn line(kit: &Kit, wire: WireId, columns: &[WireColumn]) -> Line {
    Line {
        builds: kit.build_list(&kit.book.wire(wire).fitted),
        cells: columns.iter().map(|&column| cell(kit, wire, column)).collect(),
    }
}

fn cell(kit: &Kit, wire: WireId, column: WireColumn) -> Cell {
    let held = kit.book.wire(wire);
    match column {
        WireColumn::Id => Cell::thing(wire),
        WireColumn::From => Cell::Naming(kit.book.end_name(held.ends[0])),
        WireColumn::To => Cell::Naming(kit.book.end_name(held.ends[1])),
        WireColumn::Color => Cell::Color(wire),
        WireColumn::Size => Cell::Text(held.size.to_string()),
        WireColumn::Length => Cell::Text(held.length_text()),
        WireColumn::Harness => Cell::Text(kit.book.harnesses[held.harness.index()].name.clone()),
        WireColumn::Only => Cell::Text(kit.say().only(&held.fitted).unwrap_or_default()),
    }
}

/// The colors that wires have, with the wires of each.
pub fn fill_colors(kit: &Kit, sheet: Option<SheetId>) -> Filled {
    let mut wires = wires_of(kit, sheet);
    wires.sort_by_cached_key(|wire| {
        let color = &kit.book.wire(*wire).color;
        let rank = |letters: &str| COLORS.iter().position(|color| color.letters == letters);
        let stripe = color.stripe.and_then(|stripe| rank(stripe.letters));
        (rank(color.base.letters), stripe, natural(&kit.book.wire(*wire).id))
    });
    let row = |group: &[WireId]| Line {
        builds: None,
        cells: vec![
            Cell::Color(group[0]),
            Cell::Text(kit.say().color(&kit.book.wire(group[0]).color)),
            Cell::Things(group.iter().map(|&wire| Item::Wire(wire)).collect()),
        ],
    };
    let groups = wires.chunk_by(|a, b| kit.book.wire(*a).color == kit.book.wire(*b).color);
    Filled { columns: vec!["color", "name", "wires"], rows: groups.map(row).collect() }
}

/// The wires of a sheet, or of the book.
pub fn wires_of(kit: &Kit, sheet: Option<SheetId>) -> Vec<WireId> {
    let wires = (0..kit.book.wires.len() as u32).map(WireId);
    wires.filter(|&wire| sheet.is_none_or(|sheet| kit.book.wire(wire).sheet == sheet)).collect()
}

/// The wires at a terminal.
pub fn wires_at(kit: &Kit, part: PartId, terminal: TerminalId) -> Vec<WireId> {
    let end = End::Terminal { part, terminal };
    wires_of(kit, None).into_iter().filter(|wire| kit.book.wire(*wire).ends.contains(&end)).collect()
}
