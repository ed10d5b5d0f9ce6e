//! Turns connectors into rows of the connector list.

use super::{Cell, Filled};
use crate::book::{ConnectorId, End, SheetId};
use crate::page::kit::Kit;

pub fn fill(kit: &Kit, sheet: Option<SheetId>) -> Filled {
    Filled::with(
        kit,
        connectors_of(kit, sheet),
        &[
            ("connector", |_, connector| Cell::thing(connector)),
            ("name", |kit, connector| Cell::Text(kit.book.connector(connector).name.clone())),
            ("place", |kit, connector| Cell::text_of(kit.book.connector(connector).place.as_ref())),
            ("joins", |kit, connector| {
                let joins = kit.book.connector(connector).joins;
                let names = joins.map(|harness| kit.book.harnesses[harness.index()].name.as_str());
                Cell::Text(names.join(" – "))
            }),
            ("cavities", |kit, connector| {
                Cell::Text(kit.book.connector(connector).cavities.len().to_string())
            }),
        ],
    )
}

/// The connectors of a sheet: its own and those that its wires go through.
fn connectors_of(kit: &Kit, sheet: Option<SheetId>) -> Vec<ConnectorId> {
    let ends_in = |end: &End, connector| matches!(end, End::Cavity { connector: of, .. } if *of == connector);
    let reached = |connector: ConnectorId, sheet: SheetId| {
        let mut wires = kit.book.wires.iter().filter(|wire| wire.sheet == sheet);
        kit.book.connector(connector).sheet == sheet
            || wires.any(|wire| wire.ends.iter().any(|end| ends_in(end, connector)))
    };
    let connectors = (0..kit.book.connectors.len() as u32).map(ConnectorId);
    connectors.filter(|&connector| sheet.is_none_or(|sheet| reached(connector, sheet))).collect()
}
