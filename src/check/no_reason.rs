//! Finds a part that changes nothing when it is taken out, and nothing when it is bridged.
//!
//! Every part of a circuit has a reason that shows in some state of the controls: a function that fails without it, a
//! back-feed that it stops, a fuse that would blow. A part without one is missing a wire in the book, or its load is. A fuse,
//! link or breaker is there for a fault and not for a function, so it needs no other reason.
//!
//! Example: a diode in a branch that no control ever feeds.
//!
//! Repair: check its wires and the intent of the loads near it.

use crate::book::{Action, Book};
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;

/// Names parts that no state needs.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    let reasons = &proof.reasons;
    for (index, part) in book.parts.iter().enumerate() {
        if part.elements.iter().any(|element| matches!(element.action, Action::Link { .. })) {
            continue;
        }
        let mut own = reasons.iter().filter(|reason| reason.part.index() == index).peekable();
        if own.peek().is_some() && own.all(|reason| reason.difference.is_none()) {
            let headline = format!("`{}` changes nothing when it is taken out or bridged", part.id);
            findings.push(
                Finding::new(Code::NoReason, part.span, headline)
                    .hint("in no state of the controls that reach it does any load behave differently"),
            );
        }
    }
}
