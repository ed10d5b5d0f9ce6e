//! Turns a book, what was proved of it and its drawings into HTML: pages to read, sheets to print; escaping happens here only.
//!
//! ```text
//!  Book, Proof, Illustrations ─> Kit ─┬─> chapter  an author's page, with steps, tests and figures in it
//!                                     ├─> circuit  a sheet's live drawing (packed) and the evidence of its statements
//!                                     ├─> data, lists, contents, glossary, proved, search
//!                                     ├─> sheet    one procedure for paper, with its wiring excerpt
//!  Questions ──────────────────────────> study    worksheets, tests and keys
//! ```
//!
//! Every address is relative, so that a book opens from any folder. The same input gives the same bytes.

mod address;
mod card;
mod caution;
mod chapter;
mod circuit;
mod contents;
mod data;
mod drawing;
mod escape;
mod excerpt;
mod figure;
mod glossary;
mod kit;
mod lists;
mod names;
mod operation;
mod packed;
mod prose;
mod proved;
mod reference;
mod say;
mod search;
mod sheet;
mod steps;
mod study;
mod table;
mod templates;
mod words;

use crate::book::{Book, Say, SheetId};
use crate::finding::{Finding, Findings};
use crate::proof::{Illustrations, Proof, tables};
use crate::source::Sources;
use crate::study::lab::Lab;
use crate::study::quiz::Question;
use kit::Kit;
use rayon::prelude::*;
pub use reference::reference;
use std::sync::Arc;
use templates::Templates;
pub use words::Words;

/// A file of the book: its path from the book's root, with `/`, and what it holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Output {
    pub path: String,
    pub bytes: Vec<u8>,
}

/// What the pages are made from.
pub struct Request<'a> {
    pub book: &'a Book,
    /// Every source file; `templates/NAME` replaces the built-in template or style of that name, and
    /// `templates/strings/LANGUAGE.toml` adds to the texts of a language.
    pub sources: &'a Sources,
    pub proof: &'a Proof,
    pub illustrations: &'a Illustrations,
    /// What the study pack asks; see [`crate::study::quiz::EACH`].
    pub questions: &'a [Question],
    /// The vehicles that students find faults in.
    pub labs: &'a [Lab],
    /// The short hash of the sources and the proof.
    pub stamp: &'a str,
    pub findings: &'a [Finding],
    /// The book is written although it is not proved: every page says so.
    pub draft: bool,
    /// The draft is written again at every change: an open page follows.
    pub watched: bool,
}

/// All pages of a book in the order of their paths, and what is wrong with its templates and texts. The author's images
/// are no pages: whoever writes these puts them at the book's root under their own paths.
pub fn pages(request: &Request) -> (Vec<Output>, Findings) {
    let mut findings = Findings::default();
    let words = Arc::new(Words::of(request.book, request.sources, &mut findings));
    let templates = Templates::of(&words, request.sources, &mut findings);
    let book = request.book;
    let names = names::Names::of(book);
    let (tables, drawings) = rayon::join(
        || tables::tables(book, request.proof),
        || drawing::Drawings::of(Say { book, words: &*words }),
    );
    let kit = Kit {
        book,
        proof: request.proof,
        fault_rows: kit::rows_by_sheet(book, &tables),
        faults: kit::faults_by_name(book),
        tables,
        faults_of: kit::faults_by_item(book),
        shown_at_home: kit::shown_at_home(book, request.proof),
        illustrations: request.illustrations,
        words: &words,
        templates: &templates,
        mentions: names::mentions(book, &names),
        names,
        drawings,
        leads: steps::leads(book),
        stamp: request.stamp,
        draft: request.draft.then_some(request.findings.len()),
        watched: request.watched,
    };
    let own: Vec<_> = kit.book_pages().collect();
    let sheets: Vec<SheetId> = (0..book.sheets.len() as u32).map(SheetId).collect();
    let mut outputs = templates.statics();
    outputs.extend(own.par_iter().map(|&page| chapter::page(&kit, page)).collect::<Vec<_>>());
    let of_sheets = sheets.par_iter().flat_map_iter(|&sheet| {
        [circuit::page(&kit, sheet), data::page(&kit, sheet), lists::map(&kit, sheet)]
    });
    outputs.extend(of_sheets.collect::<Vec<_>>());
    outputs.extend(sheet::all(&kit));
    outputs.extend(lists::all(&kit));
    outputs.extend(study::all(&kit, request.questions, request.labs));
    outputs.push(contents::page(&kit));
    outputs.push(glossary::page(&kit));
    outputs.push(proved::page(&kit, request.sources, request.findings));
    outputs.push(search::index(&kit));
    outputs.sort_by(|a, b| a.path.cmp(&b.path));
    findings.extend(words.missing());
    findings.extend(templates.failed());
    (outputs, findings)
}
