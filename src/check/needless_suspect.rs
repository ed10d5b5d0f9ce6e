//! Finds a suspect in a verdict that no fault ever puts there.

use super::describe;
use crate::book::{Book, Item, Role, Suspect, Target};
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;
use crate::proof::trouble::suspect_names;

/// Names suspects that are never guilty where they are blamed.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    for traffic in &proof.traffic {
        let Role::Test(test) = &book.section(traffic.place).role else {
            continue;
        };
        let outcome = &test.outcomes[traffic.outcome];
        let Target::Verdict { blames, .. } = &outcome.to else {
            continue;
        };
        if traffic.passing.faults.is_empty() {
            continue;
        }
        for suspect in blames {
            let guilty =
                traffic.passing.faults.iter().any(|fault| suspect_names(book, suspect, book.fault(*fault)));
            if guilty {
                continue;
            }
            let name = match suspect {
                Suspect::Item(item) => describe::item(book, *item),
                Suspect::Fault(fault) => format!("`{}`", book.fault(*fault).name),
                Suspect::Harness { harness, .. } => format!("harness {}", book.harnesses[harness.index()].id),
            };
            let items: Vec<Item> =
                traffic.passing.faults.iter().map(|fault| book.fault(*fault).item).collect();
            let mut names: Vec<String> = items.iter().map(|item| book.item_name(*item).to_string()).collect();
            names.dedup();
            findings.push(
                Finding::new(
                    Code::NeedlessSuspect,
                    outcome.span,
                    match suspect {
                        Suspect::Fault(_) => format!("{name} never leads here"),
                        _ => format!("no fault of {name} ever leads here"),
                    },
                )
                .hint(format!("what leads here: {}", describe::some(&names))),
            );
        }
    }
}
