//! Finds a failed step that leads to no procedure.

use super::describe;
use crate::book::{Book, Place, Role};
use crate::finding::{About, Code, Finding, Findings};
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
        let finding = Finding::new(Code::UnhandledFault, book.section(place).span, headline).naming(&names);
        let Role::Step(step) = &book.section(place).role else { unreachable!("only steps show faults") };
        let finding = match step.branches.iter().any(|branch| branch.when.is_none()) {
            true => finding.remark(
                About::Why,
                "with it the vehicle does not come to rest at this step, so that nothing can be read",
            ),
            false => finding.hint("give the step an `If not:` line that links to a procedure"),
        };
        findings.push(finding);
    }
}
