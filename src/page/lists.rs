//! Turns the whole book's lists, and each sheet's steps table and fault map, into pages of tables.

use super::Output;
use super::address;
use super::kit::{Chrome, Kit, LISTS};
use super::table::{self, Table};
use crate::book::{SheetId, Table as Sort};
use crate::draw;
use rayon::prelude::*;
use serde::Serialize;

/// The view of `tables.html`.
#[derive(Debug, Clone, Serialize)]
pub struct Tables {
    pub chrome: Chrome,
    /// What the tables are for.
    pub lead: String,
    /// SVG: charts of the whole vehicle.
    pub charts: Vec<String>,
    pub tables: Vec<Table>,
}

/// A list of the whole book.
pub fn list(kit: &Kit, name: &str) -> Output {
    let path = format!("lists/{name}.html");
    let title = kit.words.text(&format!("list.{name}"));
    let chrome = kit.chrome(&path, &title, None);
    let view = Tables {
        lead: kit.words.text(&format!("lead.{name}")),
        charts: match name {
            "grounds" => vec![draw::ground_chart(kit.book), draw::splice_chart(kit.book)],
            "connectors" => vec![draw::harness_overview(kit.book)],
            _ => Vec::new(),
        },
        tables: vec![table::list(kit, name, chrome.root)],
        chrome,
    };
    kit.templates.page("tables.html", &path, &view)
}

/// All lists of the book.
pub fn all(kit: &Kit) -> Vec<Output> {
    LISTS.par_iter().map(|name| list(kit, name)).collect()
}

/// A sheet's steps table and fault map.
pub fn map(kit: &Kit, sheet: SheetId) -> Output {
    let path = address::map(kit.book, sheet);
    let title = kit.words.fill("map.title", &[("sheet", &kit.book.sheets[sheet.index()].title)]);
    let chrome = kit.chrome(&path, &title, Some(sheet));
    let tables = [Sort::Steps, Sort::Faults].map(|sort| table::of(kit, sort, sheet, chrome.root));
    let view = Tables {
        lead: kit.words.text("lead.map"),
        charts: Vec::new(),
        tables: tables.into_iter().filter(|table| !table.rows.is_empty()).collect(),
        chrome,
    };
    kit.templates.page("tables.html", &path, &view)
}
