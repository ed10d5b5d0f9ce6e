//! Turns the things of a book into the addresses of their pages: paths from the book's root, always with `/`.

use super::escape::{escape, slug};
use crate::book::{Book, ClaimId, ConnectorId, Item, List, PageId, PartId, Place, SheetId, WireId};

/// How a text leads to the pages of the book: from so many folders below its root, on a screen or on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Root {
    depth: usize,
    medium: Medium,
}

/// What a text is read on: on paper nothing is linked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Medium {
    Screen,
    Paper,
}

impl Root {
    /// From the page at a path.
    pub fn of(path: &str) -> Root {
        Root { depth: path.matches('/').count(), medium: Medium::Screen }
    }

    /// From the same page, for what is printed of it.
    pub fn on_paper(self) -> Root {
        Root { medium: Medium::Paper, ..self }
    }

    /// Whether links are of use.
    pub fn links(self) -> bool {
        self.medium == Medium::Screen
    }

    /// The address of what stands at `path` from the book's root.
    pub fn to(self, path: &str) -> String {
        format!("{self}{path}")
    }

    /// A link in these words, or the words alone where nothing is linked.
    pub fn anchor(self, path: &str, words: &str) -> String {
        match self.medium {
            Medium::Screen => format!(r#"<a href="{}">{}</a>"#, escape(&self.to(path)), escape(words)),
            Medium::Paper => escape(words),
        }
    }
}

/// What leads back to the book's root: `../` once for each folder.
impl std::fmt::Display for Root {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        f.write_str(&"../".repeat(self.depth))
    }
}

impl serde::Serialize for Root {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
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

/// A sheet's live drawing with a thing chosen in it.
pub fn shown(book: &Book, sheet: SheetId, thing: Item) -> String {
    format!("{}#{}", circuit(book, sheet), shown_anchor(book, thing))
}

/// What a thing of a live drawing is chosen by.
pub fn shown_anchor(book: &Book, thing: Item) -> String {
    let kind = match thing {
        Item::Part(_) => "part",
        Item::Wire(_) => "wire",
        Item::Connector(_) => "connector",
    };
    format!("{kind}={}", slug(book.item_name(thing)))
}

/// The page of a sheet's parts, connectors and wires, each with all that is known of it.
pub fn data(book: &Book, sheet: SheetId) -> String {
    format!("data/{}.html", slug(&book.sheets[sheet.index()].id))
}

/// The page of a sheet's steps table and fault map.
pub fn map(book: &Book, sheet: SheetId) -> String {
    format!("map/{}.html", slug(&book.sheets[sheet.index()].id))
}

/// A list of the whole book.
pub fn list(list: List) -> String {
    format!("lists/{}.html", list.word())
}

/// Where a part, wire or connector is described.
pub fn thing(book: &Book, thing: Item) -> String {
    let anchor = match thing {
        Item::Part(part) => part_anchor(book, part),
        Item::Wire(wire) => wire_anchor(book, wire),
        Item::Connector(connector) => connector_anchor(book, connector),
    };
    format!("{}#{anchor}", data(book, book.item_sheet(thing)))
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
pub fn flat(path: &str) -> String {
    slug(&stem(path).replace('/', "-"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_back_has_one_step_for_each_folder() {
        assert_eq!(Root::of("index.html").to("a.html"), "a.html");
        assert_eq!(Root::of("pages/lift.html").to("a.html"), "../a.html");
        assert_eq!(Root::of("pages/a/b.html").to("a.html"), "../../a.html");
    }

    #[test]
    fn on_paper_nothing_is_linked_and_images_are_found() {
        let paper = Root::of("sheets/lift.html").on_paper();
        assert_eq!(paper.anchor("data/lift.html#p-k4", "K4"), "K4");
        assert_eq!(paper.to("images/k4.png"), "../images/k4.png");
    }
}
