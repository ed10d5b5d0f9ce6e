//! Turns a cell of a table, an id or words, into HTML.

use crate::book::{Item, WireId};
use crate::page::address::Root;
use crate::page::escape::escape;
use crate::page::kit::Kit;

/// What a cell shows.
#[derive(PartialEq)]
pub enum Cell {
    /// Things by their ids as links, each marked with the builds that have it.
    Things(Vec<Item>),
    /// A thing in its own row, where links to it lead: no link.
    Own(Item),
    /// Wires by their ids as links, with their colors.
    Wires(Vec<WireId>),
    /// A wire's color.
    Color(WireId),
    /// Words as they are.
    Text(String),
    /// Words in which every id is a link.
    Naming(String),
    /// Words that lead to an address, which is told from the book's root.
    Link { to: String, words: String },
    /// A cell marked with the builds that have what it shows.
    Marked(Box<Cell>, Option<String>),
    /// Verdicts, each with a remark beside it.
    Remarked(Vec<(String, String)>),
    /// Cells under each other.
    Stacked(Vec<Cell>),
}

impl Cell {
    /// A thing by its id.
    pub fn thing(thing: impl Into<Item>) -> Cell {
        Cell::Things(vec![thing.into()])
    }

    /// A text, empty when there is none.
    pub fn text_of(text: Option<&String>) -> Cell {
        Cell::Text(text.cloned().unwrap_or_default())
    }

    /// The cell as HTML.
    pub fn html(&self, kit: &Kit, root: Root) -> String {
        let marked = |html: String, item: Item| match only(kit, item) {
            Some(only) => html + &mark(kit, &only),
            None => html,
        };
        match self {
            Cell::Things(things) => {
                let link =
                    |&thing: &Item| marked(kit.names.anchor(thing, kit.book.item_name(thing), root), thing);
                things.iter().map(link).collect::<Vec<_>>().join(", ")
            }
            Cell::Own(thing) => marked(escape(kit.book.item_name(*thing)), *thing),
            Cell::Wires(wires) => wire_links(kit, wires, root),
            Cell::Color(wire) => kit.color(*wire),
            Cell::Text(text) => escape(text),
            Cell::Naming(text) => kit.linked(text, root),
            Cell::Link { to, words } => root.anchor(to, words),
            Cell::Marked(cell, only) => {
                let mark = only.as_ref().map(|only| mark(kit, only));
                cell.html(kit, root) + &mark.unwrap_or_default()
            }
            Cell::Remarked(lines) if lines.is_empty() => String::new(),
            Cell::Remarked(lines) => {
                let line = |(words, remark): &(String, String)| {
                    format!("<li>{} <small>{}</small></li>", kit.linked(words, root), escape(remark))
                };
                format!("<ul>{}</ul>", lines.iter().map(line).collect::<String>())
            }
            Cell::Stacked(cells) => {
                cells.iter().map(|cell| cell.html(kit, root)).collect::<Vec<_>>().join("<br>")
            }
        }
    }
}

fn only(kit: &Kit, item: Item) -> Option<String> {
    kit.book.item_fitted(item).and_then(|fitted| kit.say().only(fitted))
}

/// The mark of something that not every build has.
pub fn mark(kit: &Kit, only: &str) -> String {
    format!(r#" <span class="only">{}</span>"#, escape(&kit.words.fill("build.only", &[("builds", only)])))
}

/// Wires as links with their colors.
pub fn wire_links(kit: &Kit, wires: &[WireId], root: Root) -> String {
    let link = |wire: &WireId| {
        let id = kit.names.anchor(Item::Wire(*wire), &kit.book.wire(*wire).id, root);
        format!("{id} {}", kit.color(*wire))
    };
    wires.iter().map(link).collect::<Vec<_>>().join(", ")
}
