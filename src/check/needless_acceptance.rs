//! Finds an accepted fault that a checkout step shows after all.

use super::doubtful::failed;
use crate::book::Book;
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;
use crate::proof::coverage::unshown;
use std::collections::BTreeSet;

/// Names acceptances that are not needed.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    if proof.walks == 0 {
        return;
    }
    let unshown = unshown(book, &proof.faults);
    let failed = failed(proof);
    let shown =
        proof.faults.iter().filter_map(|showing| Some((showing.fault, showing.shown.as_ref()?.step.page)));
    let by_failed: BTreeSet<_> =
        shown.filter(|(_, page)| failed.contains(page)).map(|(fault, _)| fault).collect();
    for accepted in &book.accepted {
        if by_failed.contains(&accepted.fault) {
            // A result that no vehicle gives is "shown" by every fault.
            findings.hold_back();
        } else if !unshown.contains_key(&accepted.fault) {
            let headline = format!("`{}` is accepted, but a step shows it", book.fault(accepted.fault).name);
            findings.push(Finding::new(Code::NeedlessAcceptance, accepted.span, headline));
        }
    }
}
