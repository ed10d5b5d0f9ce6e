//! Turns the whole book's lists, and each sheet's steps table and fault map, into pages of tables.

use super::Output;
use super::address;
use super::kit::{Chrome, Kit};
use super::table::{self, Table};
use crate::book::{List, SheetId};
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
pub fn list(kit: &Kit, list: List) -> Output {
    let name = list.word();
    let path = address::list(list);
    let title = kit.list_title(list);
    let chrome = kit.chrome(&path, &title, None);
    let view = Tables {
        lead: kit.words.text(&format!("lead.{name}")),
        charts: match list {
            List::Grounds => vec![draw::ground_chart(kit.say()), draw::splice_chart(kit.say())],
            List::Connectors => vec![draw::harness_overview(kit.say())],
            _ => Vec::new(),
        },
        tables: vec![table::of(kit, list, None, chrome.root)],
        chrome,
    };
    kit.templates.page("tables.html", &path, &view)
}

/// All lists of the book.
pub fn all(kit: &Kit) -> Vec<Output> {
    List::OF_BOOK.par_iter().map(|&list| self::list(kit, list)).collect()
}

/// A sheet's steps table and fault map.
pub fn map(kit: &Kit, sheet: SheetId) -> Output {
    let path = address::map(kit.book, sheet);
    let title = kit.words.fill("map.title", &[("sheet", &kit.book.sheets[sheet.index()].title)]);
    let chrome = kit.chrome(&path, &title, Some(sheet));
    let tables = [List::Steps, List::Faults].map(|list| table::of(kit, list, Some(sheet), chrome.root));
    let view = Tables {
        lead: kit.words.text("lead.map"),
        charts: Vec::new(),
        tables: tables.into_iter().filter(|table| !table.rows.is_empty()).collect(),
        chrome,
    };
    kit.templates.page("tables.html", &path, &view)
}
