//! Finds a fault that no checkout step shows and that nobody accepted.

use super::describe;
use crate::book::{Book, Item};
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;
use crate::proof::coverage::unshown;
use std::collections::BTreeMap;

/// One finding for each item with faults that no step shows.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    if proof.walks == 0 {
        return;
    }
    let mut by_item: BTreeMap<Item, Vec<String>> = BTreeMap::new();
    for (fault, builds) in unshown(book, &proof.faults) {
        if book.accepted.iter().any(|accepted| accepted.fault == fault) {
            continue;
        }
        let data = book.fault(fault);
        let everywhere = builds.len() == data.builds().count();
        let name = if everywhere {
            data.name.clone()
        } else {
            let builds: Vec<String> = builds.iter().map(|&build| book.build_name(build)).collect();
            format!("{} (with {})", data.name, builds.join("; "))
        };
        by_item.entry(data.item).or_default().push(name);
    }
    for (item, names) in by_item {
        let span = match item {
            Item::Part(part) => book.part(part).span,
            Item::Wire(wire) => book.wire(wire).span,
            Item::Connector(connector) => book.connector(connector).span,
        };
        let headline = format!("no checkout step shows {}", describe::some(&names));
        findings.push(
            Finding::new(Code::UnshownFault, span, headline)
                .naming(&names)
                .hint("add a step that shows it, or accept it with its reason under [accepted]"),
        );
    }
}
