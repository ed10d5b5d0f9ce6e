//! Turns `K4:86`, `G2`, `SP1` and `X12:3` in a wire list into what a wire ends on.

use super::index::Index;
use super::log::{Log, list, suggestion};
use super::row::WireRow;
use super::table::part_of;
use crate::book::{Book, ConnectorId, End, HarnessId, Kind, PartId, TerminalId, WireColumn};
use crate::finding::{Code, Finding};
use crate::source::{Placed, Span};

/// A wire's end before connectors have their cavities in order.
pub enum RawEnd {
    Terminal(End),
    Cavity { connector: ConnectorId, name: String, side: u8 },
}

/// The end in a column of a row, with its place. A cavity's side follows from the harness of the wire.
pub fn end(
    row: &WireRow,
    column: WireColumn,
    id: &str,
    harness: HarnessId,
    book: &Book,
    index: &Index,
    log: &Log,
) -> Option<(RawEnd, Span)> {
    let Some(text) = row.cell(column) else {
        let headline = format!("`{id}` has no end in the column `{}`", column.name());
        log.error(Code::DanglingWire, row.span, headline);
        return None;
    };
    let (name, marking) = match text.split_once(':') {
        Some((name, marking)) => (name.trim(), Some(marking.trim())),
        None => (text.trim(), None),
    };
    let name_span = part_of(text, name);
    if let Some(&part) = index.parts.get(name) {
        let terminal = terminal(text, marking, part, book, index, log)?;
        return Some((RawEnd::Terminal(End::Terminal { part, terminal }), text.span));
    }
    if let Some(&connector) = index.connectors.get(name) {
        let joined = book.connector(connector);
        let Some(marking) = marking.filter(|marking| !marking.is_empty()) else {
            let finding =
                Finding::new(Code::UnknownCavity, text.span, format!("`{name}` needs a cavity here"));
            log.push(finding.hint(format!("for example `{name}:1`")));
            return None;
        };
        let Some(side) = joined.joins.iter().position(|joined| *joined == harness) else {
            let names = joined.joins.map(|joined| book.harnesses[joined.index()].id.as_str());
            let wires = &book.harnesses[harness.index()].id;
            let headline = format!("`{name}` does not join the {wires} harness, which `{id}` belongs to");
            let finding = Finding::new(Code::UnknownHarness, name_span, headline);
            log.push(finding.label(joined.span, format!("it joins {}", list(&names))));
            return None;
        };
        let cavity = RawEnd::Cavity { connector, name: marking.to_string(), side: side as u8 };
        return Some((cavity, text.span));
    }
    if !index.is_lost(name) {
        let known = index.parts.keys().chain(index.connectors.keys()).map(String::as_str);
        log.unknown(Code::UnknownPart, name_span, "part or connector", name, known);
    }
    None
}

/// The terminal that an end names; a part of one terminal needs no marking.
pub fn terminal(
    text: &Placed<String>,
    marking: Option<&str>,
    part: PartId,
    book: &Book,
    index: &Index,
    log: &Log,
) -> Option<TerminalId> {
    let part_number = part;
    let part = book.part(part);
    if matches!(part.kind, Kind::Splice | Kind::Ground) || (marking.is_none() && part.terminals.len() == 1) {
        return Some(TerminalId(0));
    }
    let found = marking.and_then(|marking| part.terminal(marking));
    if found.is_none() && !index.unsure_terminals.contains(&part_number) {
        let names: Vec<&str> = part.terminals.iter().map(|terminal| terminal.name.as_str()).collect();
        let (span, headline) = match marking {
            Some(marking) => (
                Span {
                    start: text.span.end
                        - marking.len().min((text.span.end - text.span.start) as usize) as u32,
                    ..text.span
                },
                format!("`{}` has no terminal `{marking}`", part.id),
            ),
            None => (text.span, format!("`{}` needs a terminal here", part.id)),
        };
        let near = marking.and_then(|marking| suggestion(marking, names.iter().copied()));
        let hint = near.unwrap_or_else(|| format!("it has {}", list(&names)));
        log.push(Finding::new(Code::UnknownTerminal, span, headline).hint(hint));
    }
    found
}
