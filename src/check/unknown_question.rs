//! Finds pinned and dropped questions that are not drawn: an id that no question of the book has.
//!
//! A question's id comes from what it asks. When the circuit changes, so does the question, and a pin on the old one keeps
//! nothing any more: the pack would silently lose what the instructor relies on.
//!
//! Example: `pin = ["Q-3fa2c1"]` after the wire that it asked for was renamed.
//!
//! Repair: take the id from the instructor's key of a newly published pack, or take it out.

use crate::book::Book;
use crate::finding::{Code, Finding, Findings};
use crate::proof::{Proof, illustrate};
use crate::read::suggestion;
use crate::study::quiz;

/// Compares what study pages pin and drop with what is drawn; without any, nothing is drawn.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    let wished = || book.pages.iter().flat_map(|page| page.pin.iter().chain(&page.drop));
    if wished().next().is_none() {
        return;
    }
    let live = illustrate(book).live;
    let drawn = quiz::ask(book, proof, &live, quiz::SEED, quiz::EACH);
    let known = || drawn.iter().map(|question| question.id.as_str());
    for (id, span) in wished() {
        if known().all(|other| other != id) {
            let headline = format!("no question of this book is `{id}`");
            let finding = Finding::new(Code::UnknownQuestion, *span, headline);
            findings.push(finding.hint_if(suggestion(id, known())));
        }
    }
}
