//! Turns the book into the index that its search reads: a script file, since a page opened from a folder may load no other.

use super::Output;
use super::address;
use super::escape;
use super::kit::Kit;
use crate::book::{ConnectorId, Item, List, PageId, PartId, Place, Role, SheetId, WireId};
use serde::Serialize;

/// One thing to find: its title, what it is, where it is, and further words that lead to it.
#[derive(Debug, Clone, Serialize)]
struct Hit(String, String, String, String);

/// The index of everything that has an address.
pub fn index(kit: &Kit) -> Output {
    let hits: Vec<Hit> = kit
        .book_pages()
        .flat_map(|page| pages(kit, page))
        .chain(things(kit))
        .chain(sheets(kit))
        .chain(lists(kit))
        .collect();
    let script = format!("window.bookIndex({});\n", escape::script(&hits));
    Output { path: "search.js".to_string(), bytes: script.into_bytes() }
}

/// An author's page and its sections, a step by its symptoms as well.
fn pages(kit: &Kit, page: PageId) -> Vec<Hit> {
    let (book, say) = (kit.book, kit.say());
    let held = book.page(page);
    let kind = kit.words.text(&format!("search.{}", kind(held.kind)));
    let mut hits = vec![Hit(held.title.clone(), kind, address::page(book, page), String::new())];
    for (number, section) in held.sections.iter().enumerate().filter(|(_, section)| section.level > 0) {
        let symptoms = match &section.role {
            Role::Step(step) => say.expects(&step.expects).join(" "),
            _ => String::new(),
        };
        let at = address::place(book, Place { page, section: number as u32 });
        hits.push(Hit(section.title.clone(), held.title.clone(), at, symptoms));
    }
    hits
}

/// Parts, connectors and wires.
fn things(kit: &Kit) -> Vec<Hit> {
    let (book, say) = (kit.book, kit.say());
    let hit = |thing: Item, what: String, more: String| {
        Hit(say.item(thing), what, address::thing(book, thing), more)
    };
    let parts = book.parts.iter().enumerate().map(|(at, part)| {
        let kind = kit.words.text(&format!("kind.{}", part.kind.word()));
        hit(Item::Part(PartId(at as u32)), kind, part.place.clone().unwrap_or_default())
    });
    let connectors = book.connectors.iter().enumerate().map(|(at, connector)| {
        let what = kit.words.text("search.connector");
        hit(Item::Connector(ConnectorId(at as u32)), what, connector.place.clone().unwrap_or_default())
    });
    let wires = book.wires.iter().enumerate().map(|(at, wire)| {
        let ends = wire.ends.map(|end| book.end_name(end)).join(" – ");
        hit(Item::Wire(WireId(at as u32)), ends, kit.say().color(&wire.color))
    });
    parts.chain(connectors).chain(wires).collect()
}

/// What is made of each circuit.
fn sheets(kit: &Kit) -> Vec<Hit> {
    let made = |sheet: SheetId| {
        let pages = [
            ("circuit", address::circuit(kit.book, sheet)),
            ("map", address::map(kit.book, sheet)),
            ("data", address::data(kit.book, sheet)),
        ];
        let title = &kit.book.sheets[sheet.index()].title;
        pages
            .map(|(key, path)| Hit(title.clone(), kit.words.text(&format!("tab.{key}")), path, String::new()))
    };
    (0..kit.book.sheets.len() as u32).map(SheetId).flat_map(made).collect()
}

/// The lists of the whole book.
fn lists(kit: &Kit) -> Vec<Hit> {
    let what = kit.words.text("search.list");
    let lists = List::OF_BOOK.iter();
    lists.map(|&list| Hit(kit.list_title(list), what.clone(), address::list(list), String::new())).collect()
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
