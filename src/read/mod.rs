//! Turns TOML, CSV and Markdown in memory into a resolved book, with a finding for everything that does not fit.
//!
//! Each stage reads one sort of thing from all files, and a later stage refers to what the earlier ones entered in the
//! book. What is wrong is left out of the book and has its finding, so that one run shows all problems.

mod circuit;
mod condition;
mod control;
mod index;
mod kind;
mod log;
mod manual;
mod near;
mod page;
mod part;
mod phrase;
mod row;
mod settle;
mod statement;
mod table;
mod wire;

use crate::book::Book;
use crate::finding::Findings;
use crate::source::Sources;
use index::Index;
use log::Log;

/// Reads a book: `sources` holds every text file under its path in the book's folder (`circuits/*.toml`,
/// `circuits/*.csv`, `content/manual.toml`, `content/**/*.md`), `images` the paths of the author's images relative to
/// `content/`. The book is complete as far as the files are right.
pub fn read(sources: &Sources, images: &[String]) -> (Book, Findings) {
    let log = Log::new(sources);
    let mut index = Index::default();
    let mut book = empty(images);
    let pages = manual::read(&mut book, &mut index, &log);
    let documents = circuit::parse_all(&log);
    let pending = circuit::read(&documents, &mut book, &mut index, &log);
    settle::faults(pending, &mut book, &mut index, &log);
    page::read(&pages, &mut book, &index, &log);
    settle::unused(&book, &index, &log);
    (book, log.into_findings())
}

fn empty(images: &[String]) -> Book {
    Book {
        manual: manual::unnamed(),
        options: Vec::new(),
        builds: Vec::new(),
        sheets: Vec::new(),
        controls: Vec::new(),
        bands: Vec::new(),
        memories: 0,
        parts: Vec::new(),
        wires: Vec::new(),
        neighbors: Vec::new(),
        connectors: Vec::new(),
        harnesses: Vec::new(),
        intents: Vec::new(),
        faults: Vec::new(),
        accepted: Vec::new(),
        pages: Vec::new(),
        claims: Vec::new(),
        figures: Vec::new(),
        images: images.to_vec(),
    }
}
