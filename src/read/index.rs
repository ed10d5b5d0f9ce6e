//! Turns the names of the book into its numbers.

use super::log::Log;
use crate::book::{ConnectorId, ControlId, FaultId, HarnessId, PartId, SheetId, WireId};
use crate::finding::{About, Code, Finding};
use crate::source::{Placed, Span};
use std::collections::{BTreeMap, BTreeSet};

/// What each name stands for.
#[derive(Default)]
pub struct Index {
    pub sheets: BTreeMap<String, SheetId>,
    pub controls: BTreeMap<String, ControlId>,
    /// Option groups by id, as indices into the book's list.
    pub options: BTreeMap<String, usize>,
    pub parts: BTreeMap<String, PartId>,
    pub wires: BTreeMap<String, WireId>,
    pub connectors: BTreeMap<String, ConnectorId>,
    pub harnesses: BTreeMap<String, HarnessId>,
    pub faults: BTreeMap<String, FaultId>,
    /// Names that an author defines but that could not be read: they have their finding, and a use of them is not
    /// another problem.
    pub lost: BTreeSet<String>,
    /// Wires whose color could not be read: nothing that is said of it is wrong.
    pub uncolored: BTreeSet<WireId>,
    /// Parts that were read only in part: a contact, face or fault that they do not have may be one that was lost.
    pub doubtful: BTreeSet<PartId>,
    /// Those of them that may have lost a terminal as well.
    pub unsure_terminals: BTreeSet<PartId>,
    items: BTreeMap<String, Span>,
    settings: BTreeMap<String, Span>,
}

impl Index {
    /// Takes the id of a part, wire or connector: they share one set of names, because a statement names them alike.
    pub fn claim_item(&mut self, id: &Placed<String>, log: &Log) -> bool {
        claim(&mut self.items, &mut self.lost, id, log)
    }

    /// Takes the id of a control or an option group, which share one set of names as well.
    pub fn claim_setting(&mut self, id: &Placed<String>, log: &Log) -> bool {
        claim(&mut self.settings, &mut self.lost, id, log)
    }

    /// Whether a finding about this name has been made where it is defined.
    pub fn is_lost(&self, name: &str) -> bool {
        self.lost.contains(name)
    }
}

/// Whether a letter may stand in an id: a statement divides words at the others, or an address gives them a meaning.
fn in_id(letter: char) -> bool {
    letter.is_alphanumeric() || matches!(letter, '-' | '_' | '/' | '+' | '.' | '*')
}

/// Takes an id. One that cannot be taken is lost, so that no use of it is another problem.
fn claim(
    names: &mut BTreeMap<String, Span>,
    lost: &mut BTreeSet<String>,
    id: &Placed<String>,
    log: &Log,
) -> bool {
    let problem = if id.value.is_empty() || !id.value.chars().all(in_id) {
        Finding::new(Code::BadId, id.span, format!("`{}` cannot be an id", id.value))
            .hint("an id is made of letters, digits, `-`, `_`, `/`, `+`, `*` and `.`")
    } else if let Some(first) = names.get(&id.value) {
        Finding::new(Code::DuplicateId, id.span, format!("`{}` is defined twice", id.value))
            .label(*first, "first defined here")
            .remark(About::Why, "an id stands for one thing in the whole book, not in its sheet alone")
    } else {
        names.insert(id.value.clone(), id.span);
        return true;
    };
    log.push(problem);
    lost.insert(id.value.clone());
    false
}
