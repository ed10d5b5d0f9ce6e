//! Turns a text that names parts, wires and connectors into one that links to them, and keeps every place that names each.

use super::address::{self, Root};
use super::escape::escape;
use crate::book::{Book, ConnectorId, Item, PageId, PartId, Place, WireId};
use pulldown_cmark::Event;
use std::collections::BTreeMap;

/// Every id of the book that a text may name.
pub struct Names<'b> {
    book: &'b Book,
    things: BTreeMap<&'b str, Item>,
}

impl<'b> Names<'b> {
    /// The ids of all parts, wires and connectors.
    pub fn of(book: &'b Book) -> Names<'b> {
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
        Names { book, things: all.collect() }
    }

    /// The thing with this id.
    pub fn find(&self, id: &str) -> Option<Item> {
        self.things.get(id).copied()
    }

    /// A text as HTML in which every id is a link.
    pub fn link(&self, text: &str, root: Root) -> String {
        if !root.links() {
            return escape(text);
        }
        let mut html = String::new();
        for (word, thing) in self.split(text) {
            match thing {
                Some(thing) => html.push_str(&self.anchor(thing, word, root)),
                None => html.push_str(&escape(word)),
            }
        }
        html
    }

    /// A link to a thing in these words.
    pub fn anchor(&self, thing: Item, words: &str, root: Root) -> String {
        root.anchor(&address::thing(self.book, thing), words)
    }

    /// The things that a text names, in order.
    pub fn named(&self, text: &str) -> Vec<Item> {
        self.split(text).into_iter().filter_map(|(_, thing)| thing).collect()
    }

    /// The text in pieces: ids with what they name, and what stands between them.
    fn split<'t>(&self, text: &'t str) -> Vec<(&'t str, Option<Item>)> {
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

/// For each thing the sections that name it, in reading order, each once.
pub fn mentions(book: &Book, names: &Names) -> BTreeMap<Item, Vec<Place>> {
    let mut found: BTreeMap<Item, Vec<Place>> = BTreeMap::new();
    for (index, page) in book.pages.iter().enumerate() {
        for (section, content) in page.sections.iter().enumerate() {
            let place = Place { page: PageId(index as u32), section: section as u32 };
            let mut note = |thing: Item| {
                let places = found.entry(thing).or_default();
                if places.last() != Some(&place) {
                    places.push(place);
                }
            };
            names.named(&content.title).into_iter().for_each(&mut note);
            for event in content.prose.iter().chain(&content.after) {
                if let Event::Text(text) | Event::Code(text) = event {
                    names.named(text).into_iter().for_each(&mut note);
                }
            }
            let items = content.role.items().into_iter();
            items.chain(content.role.blamed()).for_each(note);
        }
    }
    found
}
