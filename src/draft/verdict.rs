//! Turns the faults that are left at the end of a procedure into a verdict that blames them; its sentence is made by the book.

use crate::book::{Book, FaultId, Item};
use std::collections::BTreeMap;

/// A verdict as a link, the likeliest item first; a good end when no fault is left.
pub fn text(book: &Book, faults: impl Iterator<Item = FaultId>) -> String {
    let mut weights: BTreeMap<Item, f64> = BTreeMap::new();
    for fault in faults {
        let fault = book.fault(fault);
        *weights.entry(fault.item).or_default() +=
            fault.builds().map(|build| fault.share(build)).sum::<f64>();
    }
    let mut items: Vec<(Item, f64)> = weights.into_iter().collect();
    items.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let names: Vec<&str> = items.iter().map(|&(item, _)| book.item_name(item)).collect();
    match names.as_slice() {
        [] => "[All is well now. The fault comes and goes: move the wires and connectors, and try the step again.](good:)"
            .to_string(),
        [only] => format!("[](blame:{only})"),
        several => format!("[](<blame:{}>)", several.join(", ")),
    }
}
