//! Finds a part that changes nothing when it is taken out, and nothing when it is bridged.

use crate::book::{Action, Book};
use crate::finding::{About, Code, Finding, Findings};
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
            findings.push(Finding::new(Code::NoReason, part.span, headline).remark(
                About::Why,
                "in no state of the controls that reach it does any load behave differently",
            ));
        }
    }
}
