//! Finds a fault that no checkout step shows and that nobody accepted.
//!
//! Every fault of every part and wire is planted, one at a time, in every build that can have it, and each checkout is run.
//! A fault that passes every step leaves the shop with the vehicle.
//!
//! Example: a steering diode that has shorted, where no step works the lamp test with the door open.
//!
//! Repair: add a step that shows it, or name it under `[accepted]` with the reason why that is right.

use super::describe;
use crate::book::{Book, FaultId, Item};
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;
use std::collections::{BTreeMap, BTreeSet};

/// One finding for each item with faults that no step shows.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    if proof.faults.is_empty() {
        return;
    }
    let mut by_item: BTreeMap<Item, Vec<String>> = BTreeMap::new();
    for (fault, builds) in unshown(proof) {
        if book.accepted.iter().any(|accepted| accepted.fault == fault) {
            continue;
        }
        let data = book.fault(fault);
        let everywhere = builds.len()
            == (0..book.builds.len())
                .filter(|&build| data.fits(book, build))
                .count();
        let name = if everywhere {
            data.name.clone()
        } else {
            let builds: Vec<String> = builds
                .iter()
                .map(|&build| book.build_name(crate::book::BuildId(build)))
                .collect();
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
                .hint("add a step that shows it, or accept it with its reason under [accepted]"),
        );
    }
}

/// The faults that at least one build has and no checkout shows there, with those builds.
pub fn unshown(proof: &Proof) -> BTreeMap<FaultId, BTreeSet<u32>> {
    let mut shown: BTreeSet<(FaultId, u32)> = BTreeSet::new();
    for showing in &proof.faults {
        if showing.shown.is_some() {
            shown.insert((showing.fault, showing.build.0));
        }
    }
    let mut unshown: BTreeMap<FaultId, BTreeSet<u32>> = BTreeMap::new();
    for showing in &proof.faults {
        if !shown.contains(&(showing.fault, showing.build.0)) {
            unshown.entry(showing.fault).or_default().insert(showing.build.0);
        }
    }
    unshown
}
