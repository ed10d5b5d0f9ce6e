//! Turns labs into the instructor's page that judges the files which students hand in.

use super::super::Output;
use super::super::escape::script;
use super::super::kit::Kit;
use super::bench;
use super::{Head, head};
use crate::study::lab::Lab;
use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Debug, Clone, Serialize)]
struct Page {
    head: Head,
    columns: Vec<String>,
    /// JSON for the page's script.
    data: String,
}

/// What the script is given.
#[derive(Debug, Clone, Serialize)]
struct Data {
    stamp: String,
    labs: Vec<Key>,
    texts: BTreeMap<String, String>,
}

/// What is right in a lab.
#[derive(Debug, Clone, Serialize)]
struct Key {
    /// The name by which a saved file tells its lab.
    lab: String,
    title: String,
    /// Of each number, the items that a right verdict may name.
    right: Vec<Vec<String>>,
}

/// What the script says; each is `study.` and its word.
const TEXTS: &[&str] =
    &["reader-read", "reader-strange", "reader-edition", "reader-right", "reader-wrong", "reader-none"];

/// The columns of the table, in the order of a row of the script.
const COLUMNS: &[&str] = &[
    "name",
    "reader-date",
    "reader-lab",
    "reader-fault",
    "reader-verdict",
    "reader-judged",
    "reader-is",
    "reader-others",
    "reader-readings",
    "reader-hands",
    "reader-minutes",
    "reader-warnings",
    "reader-reason",
];

/// The page.
pub fn page(kit: &Kit, path: &str, labs: &[Lab]) -> Output {
    let text = |word: &&str| kit.words.text(&format!("study.{word}"));
    let key = |lab: &Lab| Key {
        lab: kit.book.page(lab.page).path.clone(),
        title: kit.book.page(lab.page).title.clone(),
        right: bench::numbered(kit, lab).into_iter().map(|planted| bench::right(kit, planted)).collect(),
    };
    let data = Data {
        stamp: kit.pack_stamp(),
        labs: labs.iter().map(key).collect(),
        texts: TEXTS.iter().map(|word| (word.to_string(), text(word))).collect(),
    };
    let title = kit.words.text("study.reader");
    let view = Page {
        head: head(kit, &title, true),
        columns: COLUMNS.iter().map(text).collect(),
        data: script(&data),
    };
    kit.templates.page("study-reader.html", path, &view)
}
