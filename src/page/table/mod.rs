//! Turns the book's lists into tables: rows of ids and words, spelled as HTML where they leave, laid out by one template.

mod cell;
mod connectors;
mod faults;
mod fuses;
mod grounds;
mod parts;
mod reasons;
mod steps;
mod wires;

use super::address::Root;
use super::kit::Kit;
use crate::book::{Item, List, SheetId};
pub use cell::{Cell, mark, wire_links};
pub use parts::facts;
pub use reasons::part_reasons;
use serde::Serialize;
pub use wires::{wire_columns, wire_row, wires_at, wires_of};

/// A table: its name for the style sheet, its columns' titles, its rows.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Table {
    pub name: String,
    pub caption: String,
    pub columns: Vec<String>,
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Row {
    /// Where links to the row's thing lead; only on the page that describes it.
    pub anchor: Option<String>,
    /// The numbers of the builds it belongs to; nothing when it belongs to all.
    pub builds: Option<String>,
    /// HTML; the first cell is the row's head.
    pub cells: Vec<String>,
}

/// What a table is filled with: the keys of its columns, and rows that nobody has spelled yet.
pub struct Filled {
    pub columns: Vec<&'static str>,
    pub rows: Vec<Line>,
}

/// A row before it is spelled, with the builds that it belongs to.
#[derive(PartialEq)]
pub struct Line {
    pub builds: Option<String>,
    pub cells: Vec<Cell>,
}

/// A column of a list of things: the key of its title, and what it shows of each.
type Column<I> = (&'static str, fn(&Kit, I) -> Cell);

impl Filled {
    /// A list of things in the order of their ids, one a row.
    fn with<I: Copy + Into<Item>>(kit: &Kit, mut ids: Vec<I>, columns: &[Column<I>]) -> Filled {
        ids.sort_by_cached_key(|&id| natural(kit.book.item_name(id.into())));
        let row = |id: I| Line {
            builds: kit.book.item_fitted(id.into()).and_then(|fitted| kit.build_list(fitted)),
            cells: columns.iter().map(|(_, cell)| cell(kit, id)).collect(),
        };
        Filled {
            columns: columns.iter().map(|(key, _)| *key).collect(),
            rows: ids.into_iter().map(row).collect(),
        }
    }

    /// The table under this name and caption, spelled for where it stands.
    pub fn spell(self, kit: &Kit, name: &str, caption: String, root: Root) -> Table {
        Table {
            name: name.to_string(),
            caption,
            columns: self.columns.iter().map(|key| kit.words.text(&format!("column.{key}"))).collect(),
            rows: self.rows.into_iter().map(|line| line.spell(kit, root)).collect(),
        }
    }
}

impl Line {
    fn spell(self, kit: &Kit, root: Root) -> Row {
        Row {
            anchor: None,
            builds: self.builds,
            cells: self.cells.iter().map(|cell| cell.html(kit, root)).collect(),
        }
    }
}

impl Table {
    /// The table as HTML.
    pub fn html(&self, kit: &Kit) -> String {
        kit.templates.render("table.html", &serde_json::json!({ "table": self }))
    }
}

/// A list of one sheet, or of the book.
pub fn of(kit: &Kit, list: List, sheet: Option<SheetId>, root: Root) -> Table {
    let filled = match list {
        List::Steps => steps::fill(kit, sheet),
        List::Faults => faults::fill(kit, sheet),
        List::Wires => wires::fill(kit, sheet),
        List::Parts => parts::fill(kit, sheet),
        List::Connectors => connectors::fill(kit, sheet),
        List::Grounds => grounds::fill(kit, sheet),
        List::Fuses => fuses::fill(kit, sheet),
        List::Reasons => reasons::fill(kit, sheet),
        List::Colors => wires::fill_colors(kit, sheet),
    };
    let words = kit.list_title(list);
    let caption = match sheet {
        Some(sheet) => format!("{words}: {}", kit.book.sheets[sheet.index()].title),
        None => words,
    };
    filled.spell(kit, list.word(), caption, root)
}

/// A key that puts `K4` before `K12`: letters first, then numbers by their value.
pub fn natural(id: &str) -> (String, u64, String) {
    let digits = id.find(|c: char| c.is_ascii_digit()).unwrap_or(id.len());
    let rest = &id[digits..];
    let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let number = rest[..end].parse().unwrap_or(0);
    (id[..digits].to_string(), number, rest[end..].to_string())
}
