//! Finds an accepted fault that a checkout step shows after all.
//!
//! `[accepted]` is a list of what the book knowingly leaves out. An entry that no longer holds hides the day when it does.
//!
//! Example: `"D2 shorted"` accepted, while step 2 fails with D2 shorted in every build.
//!
//! Repair: take the entry out.

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
