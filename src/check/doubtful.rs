//! Turns what could not be read, and checkouts that the healthy vehicle does not pass, into what is not worth judging yet.
//!
//! A switch whose line has a slip takes everything behind it along; a result that the healthy vehicle does not give is
//! "shown" by every fault. To tell an author all that follows would bury the one line that is to be mended.

use crate::book::{Book, PageId, PageKind, SheetId};
use crate::proof::Proof;
use crate::proof::script::Script;
use crate::proof::statements::Source;
use crate::proof::steps::checkouts;
use crate::source::FileId;
use std::collections::BTreeSet;

/// What is in doubt.
pub struct Doubtful {
    /// Not all of the vehicle could be read: nothing about it is known.
    pub vehicle: bool,
    /// The files of which it is not known what their steps, tests and items show.
    pub files: BTreeSet<FileId>,
}

/// The checkouts that the healthy vehicle does not pass.
pub fn failed(proof: &Proof) -> BTreeSet<PageId> {
    let failed = proof.statements.iter().filter_map(|fact| match fact.source {
        Source::Step { place, .. } if !fact.holds() => Some(place.page),
        _ => None,
    });
    failed.collect()
}

/// Finds it.
pub fn doubtful(book: &Book, proof: &Proof) -> Doubtful {
    let page_of = |file: &FileId| book.pages.iter().position(|page| page.file == *file);
    let vehicle = book.unread.iter().any(|file| page_of(file).is_none());
    let unread = |page: &PageId| book.unread.contains(&book.page(*page).file);
    let failed = failed(proof);
    let mut files = book.unread.clone();
    let mut checkouts = checkouts(book);
    // One of which no step could be read is a checkout all the same.
    let pages = (0..book.pages.len() as u32).map(PageId);
    checkouts.extend(pages.filter(|page| unread(page) && book.page(*page).kind == PageKind::Checkout));
    for page in checkouts {
        let ways: Vec<PageId> = Script::whole(book, page).pages().collect();
        if failed.contains(&page) || unread(&page) || ways.iter().any(unread) {
            files.extend(ways.iter().map(|page| book.page(*page).file));
            // A checkout about no sheet shows the faults of all of them.
            let about = |sheet: SheetId| book.page(page).sheet.is_none_or(|about| about == sheet);
            let wires = book.wires.iter().filter(|wire| about(wire.sheet));
            files.extend(wires.map(|wire| wire.span.file));
            let sheets = (0..book.sheets.len() as u32).map(SheetId).filter(|sheet| about(*sheet));
            files.extend(sheets.map(|sheet| book.sheets[sheet.index()].file));
        }
    }
    Doubtful { vehicle, files }
}
