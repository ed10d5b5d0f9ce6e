//! Turns what can only be judged when everything is read into findings: fault names, and things that nothing uses.

use super::circuit::Pending;
use super::index::Index;
use super::log::{Log, suggestion};
use super::statement::Reader;
use crate::book::{
    Accepted, Action, Book, Condition, ConnectorId, ControlId, End, Fault, FaultId, Item, PartId, Resistance,
    Supply, catalogue, mode_word,
};
use crate::finding::{Code, Finding};
use std::collections::BTreeSet;

/// Draws up the fault catalogue, and resolves the names in `fails` and `[accepted]` against it.
pub fn faults(pending: Pending, book: &mut Book, index: &mut Index, log: &Log) {
    book.faults = catalogue(book);
    for (number, fault) in book.faults.iter().enumerate() {
        index.faults.insert(fault.name.clone(), FaultId(number as u32));
    }
    for (number, fault) in book.faults.iter().enumerate() {
        if let Some(short) = short_name(book, fault) {
            index.faults.entry(short).or_insert(FaultId(number as u32));
        }
    }
    for (part, mode) in &pending.shares {
        let own = book.faults.iter().filter(|fault| fault.item == Item::Part(*part));
        let words: Vec<&str> = own.map(|fault| mode_word(book, fault.item, &fault.name)).collect();
        if !words.contains(&mode.as_str()) && !index.doubtful.contains(part) {
            let headline = format!("`{}` does not fail by `{}`", book.part(*part).id, mode.value);
            let finding = Finding::new(Code::UnknownFault, mode.span, headline);
            log.push(finding.hint_if(suggestion(mode, words.iter().copied())));
        }
    }
    let mut accepted: Vec<Accepted> = Vec::new();
    for (name, reason) in pending.accepted {
        let Some(fault) = (Reader { book, index, log }).fault(&name) else {
            continue;
        };
        if let Some(first) = accepted.iter().find(|other| other.fault == fault) {
            let headline = format!("`{}` is accepted twice", name.value);
            log.push(
                Finding::new(Code::DuplicateId, name.span, headline).label(first.span, "first accepted here"),
            );
            continue;
        }
        accepted.push(Accepted { fault, reason, span: name.span });
    }
    book.accepted = accepted;
}

/// A fault's name without its contact, `S17 open` for `S17 1-2 open`, where the part has no other contact.
fn short_name(book: &Book, fault: &Fault) -> Option<String> {
    let part = book.part(fault.part()?);
    let mut contacts =
        part.elements.iter().filter(|element| matches!(element.action, Action::Contact { .. }));
    let (Some(contact), None) = (contacts.next(), contacts.next()) else {
        return None;
    };
    let word = mode_word(book, fault.item, &fault.name).strip_prefix(&contact.name)?;
    Some(format!("{}{word}", part.id))
}

/// Reports controls that change nothing, connectors and parts that no wire reaches, and options that tell nothing apart.
/// To be called where the circuits have no other finding: a thing that could not be read may be what uses the rest.
pub fn unused(book: &Book, log: &Log) {
    let warn =
        |span, headline: String, hint: &str| log.push(Finding::new(Code::Unused, span, headline).hint(hint));
    let (controls, groups) = read_by_conditions(book);
    for (number, control) in book.controls.iter().enumerate() {
        if !controls.contains(&ControlId(number as u32)) {
            warn(
                control.span,
                format!("nothing depends on the control `{}`", control.id),
                "no contact, sender or module names it",
            );
        }
    }
    for (number, group) in book.options.iter().enumerate() {
        if !groups.contains(&number) {
            warn(
                group.span,
                format!("nothing depends on the option `{}`", group.id),
                "no `only` or other condition names it",
            );
        }
    }
    let mut parts: BTreeSet<PartId> = BTreeSet::new();
    let mut connectors: BTreeSet<ConnectorId> = BTreeSet::new();
    for end in book.wires.iter().flat_map(|wire| wire.ends) {
        match end {
            End::Terminal { part, .. } => drop(parts.insert(part)),
            End::Cavity { connector, .. } => drop(connectors.insert(connector)),
        }
    }
    for (number, part) in book.parts.iter().enumerate() {
        if !parts.contains(&PartId(number as u32)) {
            warn(part.span, format!("no wire reaches `{}`", part.id), "a part without wires does nothing");
        }
    }
    for (number, harness) in book.harnesses.iter().enumerate() {
        if book.wires.iter().all(|wire| wire.harness.index() != number) {
            warn(
                harness.span,
                format!("the harness `{}` has no wires", harness.id),
                "wires stand under `wires` of their harness",
            );
        }
    }
    for (number, connector) in book.connectors.iter().enumerate() {
        if !connectors.contains(&ConnectorId(number as u32)) {
            warn(
                connector.span,
                format!("no wire reaches `{}`", connector.id),
                "a connector without wires joins nothing",
            );
        }
    }
}

/// The controls and option groups that some condition or sender reads.
fn read_by_conditions(book: &Book) -> (BTreeSet<ControlId>, BTreeSet<usize>) {
    let mut controls = BTreeSet::new();
    let mut groups = BTreeSet::new();
    let mut visit = |condition: &Condition| {
        condition.walk(&mut |inner| match inner {
            Condition::Position { control, .. } => drop(controls.insert(*control)),
            Condition::Level(level) => drop(controls.insert(level.control)),
            Condition::Option { group, .. } => drop(groups.insert(*group)),
            _ => {}
        });
    };
    for part in &book.parts {
        visit(&part.only);
        for element in &part.elements {
            match &element.action {
                Action::Contact { when, .. } => visit(when),
                Action::Source { emf: Supply::Regulated { when, .. }, .. } => visit(when),
                _ => {}
            }
        }
    }
    book.wires.iter().for_each(|wire| visit(&wire.only));
    for element in book.parts.iter().flat_map(|part| &part.elements) {
        if let Action::Resistor { ohms: Resistance::Follows { control, .. } } = &element.action {
            controls.insert(*control);
        }
    }
    (controls, groups)
}
