//! Finds an accepted fault that a checkout step shows after all.

use crate::book::Book;
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;
use crate::proof::coverage::unshown;

/// Names acceptances that are not needed.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    if proof.walks == 0 {
        return;
    }
    let unshown = unshown(book, &proof.faults);
    for accepted in &book.accepted {
        if !unshown.contains_key(&accepted.fault) {
            let headline = format!("`{}` is accepted, but a step shows it", book.fault(accepted.fault).name);
            findings.push(Finding::new(Code::NeedlessAcceptance, accepted.span, headline));
        }
    }
}
