//! Finds pinned and dropped questions that are not drawn: an id that no question of the book has.

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
    let drawn = quiz::ask(book, proof, &live, quiz::seed(book), quiz::EACH);
    let known = || drawn.iter().map(|question| question.id.as_str());
    for (id, span) in wished() {
        if known().all(|other| other != id) {
            let headline = format!("no question of this book is `{id}`");
            let finding = Finding::new(Code::UnknownQuestion, *span, headline);
            findings.push(finding.hint_if(suggestion(id, known())));
        }
    }
}
