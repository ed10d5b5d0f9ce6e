//! Turns the book into the index that its search reads: a script file, since a page opened from a folder may load no other.

use super::Output;
use super::address;
use super::escape;
use super::kit::Kit;
use crate::book::{ConnectorId, Item, List, PartId, Role, SheetId, WireId};
use serde::Serialize;

/// One thing to find: its title, what it is, where it is, and further words that lead to it.
#[derive(Debug, Clone, Serialize)]
struct Entry(String, String, String, String);

/// The index of everything that has an address.
pub fn index(kit: &Kit) -> Output {
    let entries = entries(kit);
    let script = format!("window.bookIndex({});\n", escape::script(&entries));
    Output { path: "search.js".to_string(), bytes: script.into_bytes() }
}

fn entries(kit: &Kit) -> Vec<Entry> {
    let book = kit.book;
    let mut entries = Vec::new();
    for page in kit.book_pages() {
        let held = book.page(page);
        let kind = kit.words.text(&format!("search.{}", kind(held.kind)));
        entries.push(Entry(held.title.clone(), kind, address::page(book, page), String::new()));
        for (number, section) in held.sections.iter().enumerate().filter(|(_, section)| section.level > 0) {
            let place = crate::book::Place { page, section: number as u32 };
            let symptoms = match &section.role {
                Role::Step(step) => {
                    let expects =
                        step.expects.iter().map(|expect| kit.say().expect(expect.subject, &expect.look));
                    expects.collect::<Vec<_>>().join(" ")
                }
                _ => String::new(),
            };
            entries.push(Entry(
                section.title.clone(),
                held.title.clone(),
                address::place(book, place),
                symptoms,
            ));
        }
    }
    for (index, part) in book.parts.iter().enumerate() {
        let kind = kit.words.text(&format!("kind.{}", part.kind.word()));
        entries.push(Entry(
            kit.say().part(PartId(index as u32)),
            kind,
            address::thing(book, Item::Part(PartId(index as u32))),
            part.place.clone().unwrap_or_default(),
        ));
    }
    for (index, connector) in book.connectors.iter().enumerate() {
        entries.push(Entry(
            format!("{} {}", connector.id, connector.name),
            kit.words.text("search.connector"),
            address::thing(book, Item::Connector(ConnectorId(index as u32))),
            connector.place.clone().unwrap_or_default(),
        ));
    }
    for (index, wire) in book.wires.iter().enumerate() {
        let ends = wire.ends.map(|end| book.end_name(end));
        entries.push(Entry(
            format!("{} {}", wire.id, wire.color),
            format!("{} – {}", ends[0], ends[1]),
            address::thing(book, Item::Wire(WireId(index as u32))),
            kit.color_name(&wire.color),
        ));
    }
    for sheet in (0..book.sheets.len() as u32).map(SheetId) {
        let title = book.sheets[sheet.index()].title.clone();
        for (key, path) in [
            ("circuit", address::circuit(book, sheet)),
            ("map", address::map(book, sheet)),
            ("data", address::data(book, sheet)),
        ] {
            entries.push(Entry(title.clone(), kit.words.text(&format!("tab.{key}")), path, String::new()));
        }
    }
    for &list in List::OF_BOOK {
        let title = kit.list_title(list);
        entries.push(Entry(title, kit.words.text("search.list"), address::list(list), String::new()));
    }
    entries
}

fn kind(kind: crate::book::PageKind) -> &'static str {
    use crate::book::PageKind;
    match kind {
        PageKind::Theory => "theory",
        PageKind::Checkout => "checkout",
        PageKind::Troubleshooting => "troubleshooting",
        PageKind::Service | PageKind::Study => "service",
    }
}
