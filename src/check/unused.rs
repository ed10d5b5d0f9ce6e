//! Finds what is defined and never used: a control that no switch reads, an image that no page shows.

use crate::book::{Action, Book, Supply};
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;
use std::collections::BTreeSet;

/// Names controls that no part reads.
pub fn check(book: &Book, _: &Proof, findings: &mut Findings) {
    let mut read = BTreeSet::new();
    for element in book.parts.iter().flat_map(|part| &part.elements) {
        match &element.action {
            Action::Contact { when, .. } | Action::Source { emf: Supply::Regulated { when, .. }, .. } => {
                read.extend(when.controls())
            }
            Action::Resistor { ohms: crate::book::Resistance::Follows { control, .. } } => {
                read.insert(*control);
            }
            _ => {}
        }
    }
    for (index, control) in book.controls.iter().enumerate() {
        if !read.contains(&crate::book::ControlId(index as u32)) {
            let headline = format!("no part reads the control `{}`", control.id);
            findings.push(Finding::new(Code::Unused, control.span, headline));
        }
    }
}
