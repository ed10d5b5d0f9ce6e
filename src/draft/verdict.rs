//! Turns the faults that are left at the end of a procedure into a verdict: what to do in words, and whom it blames.

use crate::book::{Book, FaultId, Item, Kind};
use std::collections::BTreeMap;

/// A verdict as a link, the likeliest item first; a good end when no fault is left.
pub fn text(book: &Book, faults: impl Iterator<Item = FaultId>) -> String {
    let mut weights: BTreeMap<Item, f64> = BTreeMap::new();
    for fault in faults {
        let fault = book.fault(fault);
        *weights.entry(fault.item).or_default() += fault.share;
    }
    let mut items: Vec<(Item, f64)> = weights.into_iter().collect();
    items.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let names: Vec<&str> = items.iter().map(|&(item, _)| book.item_name(item)).collect();
    match items.as_slice() {
        [] => "[All is well now. The fault comes and goes: move the wires and connectors, and try the step again.](good:)"
            .to_string(),
        [(item, _)] => format!("[{}](blame:{})", repair(book, *item), names[0]),
        _ => {
            let list = names.join(", ");
            format!("[Check in this order, and replace or repair the bad one: {list}.](<blame:{list}>)")
        }
    }
}

/// What is done about one item.
fn repair(book: &Book, item: Item) -> String {
    match item {
        Item::Part(part) => {
            let part = book.part(part);
            match part.kind {
                Kind::Ground => format!("Clean {} to bare metal and bolt it down.", part.id),
                _ => format!("Replace the {} {}.", lower(&part.name), part.id),
            }
        }
        Item::Wire(id) => {
            let wire = book.wire(id);
            let [from, to] = wire.ends.map(|end| book.end_name(end));
            format!("Repair wire {} ({}) between {from} and {to}.", wire.id, wire.color)
        }
        Item::Connector(connector) => format!("Repair the connector {}.", book.connector(connector).id),
    }
}

/// A name inside a sentence; one that begins like an abbreviation stays as it is.
pub fn lower(name: &str) -> String {
    let mut letters = name.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => {
            first.to_lowercase().chain([second]).chain(letters).collect()
        }
        _ => name.to_string(),
    }
}
