//! Turns the `[connectors]` of a sheet into connectors, and the cavities that wires reach into their lists.

use super::index::Index;
use super::key::{Key, Takes};
use super::log::Log;
use super::table::Table;
use crate::book::{Book, Connector, ConnectorId, HarnessId, SheetId};
use crate::finding::{Code, Finding};
use crate::source::{Placed, Span};

/// What a connector has.
pub const CONNECTOR: &[Key] = &[
    Key::must("joins", Takes::Texts, r#"["chassis", "lift"]"#, "The two harnesses that it joins."),
    Key::may("name", Takes::Text, "its id", r#""Lift plug""#, "What a person calls it."),
    Key::may("place", Takes::Text, "the book does not say", r#""left sill""#, "Where it is found."),
];

/// Enters the connectors of a sheet in the book.
pub fn read(sheet: SheetId, table: &Table, book: &mut Book, index: &mut Index, log: &Log) {
    let Some(connectors) = table.table("connectors", log) else {
        return;
    };
    for (id, value) in connectors.entries() {
        if !index.claim_item(&id, log) {
            continue;
        }
        let what = format!("the connector `{}`", id.value);
        let connector = connectors.inside(&value, id.span, what, log).and_then(|table| {
            let name = table.text("name", log).map(|name| name.value);
            let place = table.text("place", log).map(|place| place.value);
            let joins = joins(&table, index, log);
            table.close(log);
            Some(Connector {
                name: name.unwrap_or_else(|| id.value.clone()),
                id: id.value.clone(),
                place,
                sheet,
                joins: joins?,
                cavities: Vec::new(),
                span: id.span,
            })
        });
        match connector {
            Some(connector) => {
                index.connectors.insert(id.value, ConnectorId(book.connectors.len() as u32));
                book.connectors.push(connector);
            }
            None => {
                index.lost.insert(id.value);
            }
        }
    }
}

fn joins(table: &Table, index: &Index, log: &Log) -> Option<[HarnessId; 2]> {
    let names = table.texts("joins", log);
    let [a, b] = names.as_slice() else {
        match table.get("joins") {
            None => table.missing("joins", log),
            Some(value) => log.error(Code::WrongType, value.span, "a connector joins two harnesses"),
        }
        return None;
    };
    if a.value == b.value {
        log.error(Code::UnknownHarness, b.span, "a connector joins two different harnesses");
        return None;
    }
    let find = |name: &Placed<String>| {
        let found = index.harnesses.get(&name.value).copied();
        if found.is_none() {
            let known = index.harnesses.keys().map(String::as_str);
            log.unknown(Code::UnknownHarness, name.span, "harness", name, known);
        }
        found
    };
    let (a, b) = (find(a), find(b));
    Some([a?, b?])
}

/// A marking in the order of people: `2` before `10`, then by letters.
pub fn natural(name: &str) -> (u64, String) {
    let digits: String = name.chars().take_while(char::is_ascii_digit).collect();
    (digits.parse().unwrap_or(u64::MAX), name.to_string())
}

/// Reports each cavity that a wire reaches from one side only.
pub fn one_sided(book: &Book, connector: ConnectorId, reached: &[(String, u8, Span)], log: &Log) {
    let connector = book.connector(connector);
    for (name, side, span) in reached {
        if reached.iter().any(|(other, other_side, _)| other == name && other_side != side) {
            continue;
        }
        let harness = &book.harnesses[connector.joins[1 - *side as usize].index()];
        let headline = format!("nothing goes on from `{}:{name}`", connector.id);
        let hint = format!("no wire of the {} harness reaches this cavity", harness.id);
        log.push(Finding::new(Code::DanglingWire, *span, headline).hint(hint));
    }
}
