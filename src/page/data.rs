//! Turns a sheet's parts, connectors and wires into a page of cards and a list.

use super::Output;
use super::address::{self, Root};
use super::card::{self, ConnectorCard, PartCard};
use super::kit::{Chrome, Kit, Link};
use super::table::{self, Row, natural};
use crate::book::{ConnectorId, Item, PartId, SheetId, WireColumn, WireId};
use serde::Serialize;

/// The view of `data.html`.
#[derive(Debug, Clone, Serialize)]
pub struct Data {
    pub chrome: Chrome,
    pub parts: Vec<PartCard>,
    pub connectors: Vec<ConnectorCard>,
    pub wires: Vec<WireRow>,
    /// The titles of the wire list's columns.
    pub columns: Vec<String>,
}

/// A row of the wire list, with the sections that name the wire.
#[derive(Debug, Clone, Serialize)]
pub struct WireRow {
    #[serde(flatten)]
    pub row: Row,
    pub named: Vec<Link>,
    /// The way to it in the live drawing.
    pub drawing: Option<String>,
}

/// A sheet's page of cards.
pub fn page(kit: &Kit, sheet: SheetId) -> Output {
    let path = address::data(kit.book, sheet);
    let title = kit.words.fill("data.title", &[("sheet", &kit.book.sheets[sheet.index()].title)]);
    let chrome = kit.chrome(&path, &title, Some(sheet));
    let root = chrome.root;
    let mut parts: Vec<PartId> = (0..kit.book.parts.len() as u32)
        .map(PartId)
        .filter(|&part| kit.book.part(part).sheet == sheet)
        .collect();
    parts.sort_by_key(|part| natural(&kit.book.part(*part).id));
    let mut connectors: Vec<ConnectorId> = (0..kit.book.connectors.len() as u32)
        .map(ConnectorId)
        .filter(|&connector| kit.book.connector(connector).sheet == sheet)
        .collect();
    connectors.sort_by_key(|connector| natural(&kit.book.connector(*connector).id));
    let mut wires = table::wires_of(kit, Some(sheet));
    wires.sort_by_key(|wire| natural(&kit.book.wire(*wire).id));
    let columns = table::wire_columns(kit, &wires);
    let view = Data {
        parts: parts.into_iter().map(|part| card::part(kit, part, root)).collect(),
        connectors: connectors.into_iter().map(|connector| card::connector(kit, connector, root)).collect(),
        wires: wires.into_iter().map(|wire| wire_row(kit, wire, &columns, root)).collect(),
        columns: columns
            .iter()
            .map(|column| column.name())
            .chain(["named", "drawing"])
            .map(|key| kit.words.text(&format!("column.{key}")))
            .collect(),
        chrome,
    };
    kit.templates.page("data.html", &path, &view)
}

fn wire_row(kit: &Kit, wire: WireId, columns: &[WireColumn], root: Root) -> WireRow {
    let row = Row {
        anchor: Some(address::wire_anchor(kit.book, wire)),
        ..table::wire_row(kit, wire, columns, root)
    };
    WireRow {
        row,
        named: card::named(kit, Item::Wire(wire), root),
        drawing: kit.in_drawing(Item::Wire(wire), root),
    }
}
