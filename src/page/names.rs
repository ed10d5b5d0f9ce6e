//! Turns a text that names parts, wires and connectors into one that links to them, and keeps every place that names each.

use super::address::{self, Root};
use super::escape::escape;
use crate::book::{self, Book, Item, PageId, Place};
use pulldown_cmark::Event;
use std::collections::BTreeMap;

/// The ids of the book, and the way to the page of what each names.
pub struct Names<'b> {
    book: &'b Book,
    index: book::Ids<'b>,
}

impl<'b> Names<'b> {
    /// The ids of all parts, wires and connectors.
    pub fn of(book: &'b Book) -> Names<'b> {
        Names { book, index: book::Ids::of(book) }
    }

    /// The thing with this id.
    pub fn find(&self, id: &str) -> Option<Item> {
        self.index.find(id)
    }

    /// A text as HTML in which every id is a link.
    pub fn link(&self, text: &str, root: Root) -> String {
        if !root.links() {
            return escape(text);
        }
        let mut html = String::new();
        for (word, thing) in self.index.split(text) {
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
        self.index.named(text)
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
            items.chain(content.role.blamed(book)).for_each(note);
        }
    }
    found
}
