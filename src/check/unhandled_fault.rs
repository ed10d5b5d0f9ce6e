//! Finds a failed step that leads to no procedure.

use super::describe;
use crate::book::{Book, Place};
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;
use std::collections::BTreeMap;

/// One finding for each step that leaves faults unhandled.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    let mut by_step: BTreeMap<Place, Vec<String>> = BTreeMap::new();
    for showing in &proof.faults {
        let Some(shown) = &showing.shown else { continue };
        if shown.procedure.is_none() {
            let names = by_step.entry(shown.step).or_default();
            let name = &book.fault(showing.fault).name;
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
    }
    for (place, names) in by_step {
        let headline =
            format!("this step leads to no procedure when it fails with {}", describe::some(&names));
        findings.push(
            Finding::new(Code::UnhandledFault, book.section(place).span, headline)
                .hint("give the step an `If not:` line that links to a procedure"),
        );
    }
}
