//! Turns a text into the parts, wires and connectors that it names by their ids.

use super::{Book, ConnectorId, Item, PartId, WireId};
use std::collections::BTreeMap;

/// Every id of the book that a text may name.
pub struct Ids<'b> {
    things: BTreeMap<&'b str, Item>,
}

impl<'b> Ids<'b> {
    /// The ids of all parts, wires and connectors.
    pub fn of(book: &'b Book) -> Ids<'b> {
        let parts = book.parts.iter().enumerate();
        let wires = book.wires.iter().enumerate();
        let connectors = book.connectors.iter().enumerate();
        let all = parts
            .map(|(at, part)| (part.id.as_str(), Item::Part(PartId(at as u32))))
            .chain(wires.map(|(at, wire)| (wire.id.as_str(), Item::Wire(WireId(at as u32)))))
            .chain(
                connectors
                    .map(|(at, connector)| (connector.id.as_str(), Item::Connector(ConnectorId(at as u32)))),
            );
        Ids { things: all.collect() }
    }

    /// The thing with this id.
    pub fn find(&self, id: &str) -> Option<Item> {
        self.things.get(id).copied()
    }

    /// Every id, in alphabetical order.
    pub fn ids(&self) -> impl Iterator<Item = &'b str> + '_ {
        self.things.keys().copied()
    }

    /// The things that a text names, in order.
    pub fn named(&self, text: &str) -> Vec<Item> {
        self.split(text).into_iter().filter_map(|(_, thing)| thing).collect()
    }

    /// The text in pieces: ids with what they name, and what stands between them.
    pub fn split<'t>(&self, text: &'t str) -> Vec<(&'t str, Option<Item>)> {
        let mut pieces = Vec::new();
        let (mut from, mut at) = (0, 0);
        while at < text.len() {
            let rest = &text[at..];
            let in_word = |c: char| c.is_alphanumeric() || c == '_';
            let length = rest.find(|c| !in_word(c)).unwrap_or(rest.len());
            if length == 0 {
                at += rest.chars().next().map_or(1, char::len_utf8);
                continue;
            }
            // An id may hold points and hyphens: the longest run that is one wins.
            let joined = rest.find(|c| !(in_word(c) || matches!(c, '-' | '.'))).unwrap_or(rest.len());
            let found = [joined, length]
                .into_iter()
                // One letter alone is no name in running text.
                .filter(|&end| end > 1)
                .find_map(|end| Some((end, *self.things.get(&rest[..end])?)));
            if let Some((end, thing)) = found {
                if from < at {
                    pieces.push((&text[from..at], None));
                }
                pieces.push((&rest[..end], Some(thing)));
                at += end;
                from = at;
            } else {
                at += length;
            }
        }
        if from < text.len() {
            pieces.push((&text[from..], None));
        }
        pieces
    }
}
