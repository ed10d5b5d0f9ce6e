//! Turns the things of a book into the addresses of their pages: paths from the book's root, always with `/`.

use super::escape::slug;
use crate::book::{Book, ClaimId, ConnectorId, Item, PageId, PartId, Place, SheetId, WireId};

/// What leads from a page back to the book's root: `../` once for each folder.
pub fn root(path: &str) -> String {
    "../".repeat(path.matches('/').count())
}

/// An author's page.
pub fn page(book: &Book, page: PageId) -> String {
    format!("pages/{}.html", stem(&book.page(page).path))
}

/// A section of an author's page; the text before the first heading is the page itself.
pub fn place(book: &Book, place: Place) -> String {
    let section = book.section(place);
    let page = page(book, place.page);
    if section.level == 0 { page } else { format!("{page}#{}", section.anchor) }
}

/// The page of a sheet's live drawing and its evidence.
pub fn circuit(book: &Book, sheet: SheetId) -> String {
    format!("circuits/{}.html", slug(&book.sheets[sheet.index()].id))
}

/// The page of a sheet's parts, connectors and wires, each with all that is known of it.
pub fn data(book: &Book, sheet: SheetId) -> String {
    format!("data/{}.html", slug(&book.sheets[sheet.index()].id))
}

/// The page of a sheet's steps table and fault map.
pub fn map(book: &Book, sheet: SheetId) -> String {
    format!("map/{}.html", slug(&book.sheets[sheet.index()].id))
}

/// Where a part, wire or connector is described.
pub fn thing(book: &Book, thing: Item) -> String {
    let (sheet, anchor) = match thing {
        Item::Part(part) => (book.part(part).sheet, part_anchor(book, part)),
        Item::Wire(wire) => (book.wire(wire).sheet, wire_anchor(book, wire)),
        Item::Connector(connector) => (book.connector(connector).sheet, connector_anchor(book, connector)),
    };
    format!("{}#{anchor}", data(book, sheet))
}

/// The anchor of a part on its sheet's page.
pub fn part_anchor(book: &Book, part: PartId) -> String {
    format!("p-{}", slug(&book.part(part).id))
}

/// The anchor of a wire on its sheet's page.
pub fn wire_anchor(book: &Book, wire: WireId) -> String {
    format!("w-{}", slug(&book.wire(wire).id))
}

/// The anchor of a connector on its sheet's page.
pub fn connector_anchor(book: &Book, connector: ConnectorId) -> String {
    format!("c-{}", slug(&book.connector(connector).id))
}

/// The anchor of a claim's evidence on its circuit's page.
pub fn claim_anchor(claim: ClaimId) -> String {
    format!("claim-{}", claim.index() + 1)
}

/// The anchor of a step's evidence on its circuit's page.
pub fn step_anchor(book: &Book, place: Place) -> String {
    let page = book.page(place.page);
    format!("step-{}-{}", flat(&page.path), slug(&book.section(place).anchor))
}

/// The printed sheet of a checkout or service page, or of one procedure.
pub fn sheet(book: &Book, page: PageId, procedure: Option<u32>) -> String {
    let stem = flat(&book.page(page).path);
    match procedure {
        None => format!("sheets/{stem}.html"),
        Some(section) => {
            let anchor = &book.page(page).sections[section as usize].anchor;
            format!("sheets/{stem}-{}.html", slug(anchor))
        }
    }
}

fn stem(path: &str) -> &str {
    path.strip_suffix(".md").unwrap_or(path)
}

/// A page's path as one name, without folders.
fn flat(path: &str) -> String {
    slug(stem(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_back_has_one_step_for_each_folder() {
        assert_eq!(root("index.html"), "");
        assert_eq!(root("pages/lift.html"), "../");
        assert_eq!(root("pages/a/b.html"), "../../");
    }
}
