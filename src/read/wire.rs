//! Turns harnesses, connectors and wire rows into wires of the book whose ends are resolved.

use super::condition::{self, Speaker};
use super::index::Index;
use super::log::{Log, list, suggestion};
use super::row::{Row, rows};
use super::table::Table;
use crate::book::{
    Book, COLORS, Color, Condition, Connector, ConnectorId, End, Harness, HarnessId, Kind, SheetId,
    TerminalId, Wire, WireId,
};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, Meter, Unit};
use crate::source::{Placed, Span};
use std::collections::BTreeMap;
use uom::si::length::meter;

/// A row with what it belongs to.
pub struct Raw {
    row: Row,
    harness: HarnessId,
    sheet: SheetId,
}

/// A wire's end before connectors have their cavities in order.
enum RawEnd {
    Terminal(End),
    Cavity {
        connector: ConnectorId,
        name: String,
        side: u8,
    },
}

/// Enters the harnesses of a sheet in the book and returns their rows. One harness may have wires on several sheets.
pub fn harnesses(sheet: SheetId, table: &Table, book: &mut Book, index: &mut Index, log: &Log) -> Vec<Raw> {
    let Some(harnesses) = table.table("harness", log) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (id, value) in harnesses.entries() {
        let what = format!("the harness `{}`", id.value);
        let Some(harness) = harnesses.inside(&value, id.span, what, log) else {
            continue;
        };
        let number = *index.harnesses.entry(id.value.clone()).or_insert_with(|| {
            book.harnesses.push(Harness {
                id: id.value.clone(),
                name: id.value.clone(),
                span: id.span,
            });
            HarnessId(book.harnesses.len() as u32 - 1)
        });
        if let Some(name) = harness.text("name", log) {
            book.harnesses[number.index()].name = name.value;
        }
        let path = &log.sources.text(book.sheets[sheet.index()].file).path;
        found.extend(rows(&harness, path, log).into_iter().map(|row| Raw {
            row,
            harness: number,
            sheet,
        }));
        harness.close(log);
    }
    found
}

/// Enters the connectors of a sheet in the book.
pub fn connectors(sheet: SheetId, table: &Table, book: &mut Book, index: &mut Index, log: &Log) {
    let Some(connectors) = table.table("connectors", log) else {
        return;
    };
    for (id, value) in connectors.entries() {
        if !index.claim_item(&id, log) {
            continue;
        }
        let what = format!("the connector `{}`", id.value);
        let connector = connectors.inside(&value, id.span, what, log).and_then(|table| {
            let name = table.text("name", log).map(|name| name.value);
            let place = table.text("place", log).map(|place| place.value);
            let joins = joins(&table, index, log);
            table.close(log);
            Some(Connector {
                name: name.unwrap_or_else(|| id.value.clone()),
                id: id.value.clone(),
                place,
                sheet,
                joins: joins?,
                cavities: Vec::new(),
                span: id.span,
            })
        });
        match connector {
            Some(connector) => {
                index
                    .connectors
                    .insert(id.value, ConnectorId(book.connectors.len() as u32));
                book.connectors.push(connector);
            }
            None => {
                index.lost.insert(id.value);
            }
        }
    }
}

fn joins(table: &Table, index: &Index, log: &Log) -> Option<[HarnessId; 2]> {
    let names = table.texts("joins", log);
    let [a, b] = names.as_slice() else {
        match table.get("joins") {
            None => table.missing("joins", "joins = [\"chassis\", \"lift\"]", log),
            Some(value) => log.error(Code::WrongType, value.span, "a connector joins two harnesses"),
        }
        return None;
    };
    if a.value == b.value {
        log.error(
            Code::UnknownHarness,
            b.span,
            "a connector joins two different harnesses",
        );
        return None;
    }
    let find = |name: &Placed<String>| {
        let found = index.harnesses.get(&name.value).copied();
        if found.is_none() {
            let known = index.harnesses.keys().map(String::as_str);
            log.unknown(Code::UnknownHarness, name.span, "harness", name, known);
        }
        found
    };
    let (a, b) = (find(a), find(b));
    Some([a?, b?])
}

/// Resolves all rows of the book into wires.
pub fn resolve(raws: Vec<Raw>, book: &mut Book, index: &mut Index, log: &Log) {
    let mut ends = Vec::new();
    // A wire that was left out has its finding; what it would have joined is not another problem.
    let mut lost = false;
    let mut cavities: BTreeMap<ConnectorId, Vec<(String, u8, Span)>> = BTreeMap::new();
    for raw in &raws {
        let Some(id) = raw.row.cell("id") else {
            log.error(Code::BadTable, raw.row.span, "this wire has no id");
            lost = true;
            continue;
        };
        if !index.claim_item(id, log) {
            lost = true;
            continue;
        }
        let Some((wire, raw_ends)) = wire(id, raw, book, index, log) else {
            index.lost.insert(id.value.clone());
            lost = true;
            continue;
        };
        for (end, span) in &raw_ends {
            if let RawEnd::Cavity {
                connector,
                name,
                side,
            } = end
            {
                cavities
                    .entry(*connector)
                    .or_default()
                    .push((name.clone(), *side, *span));
            }
        }
        index
            .wires
            .insert(id.value.clone(), WireId(book.wires.len() as u32));
        book.wires.push(wire);
        ends.push(raw_ends);
    }
    for (connector, reached) in &cavities {
        if !lost {
            one_sided(book, *connector, reached, log);
        }
        let mut names: Vec<String> = reached.iter().map(|(name, _, _)| name.clone()).collect();
        names.sort_by_key(|name| natural(name));
        names.dedup();
        book.connectors[connector.index()].cavities = names;
    }
    for (wire, raw_ends) in ends.into_iter().enumerate() {
        let spans = [raw_ends[0].1, raw_ends[1].1];
        let resolved = raw_ends.map(|(end, _)| match end {
            RawEnd::Terminal(end) => end,
            RawEnd::Cavity {
                connector,
                name,
                side,
            } => {
                let cavities = &book.connectors[connector.index()].cavities;
                let cavity = cavities.iter().position(|known| *known == name);
                End::Cavity {
                    connector,
                    cavity: cavity.expect("every cavity that a wire reaches has been entered") as u16,
                    side,
                }
            }
        });
        book.wires[wire].ends = resolved;
        fit(wire, spans, book, log);
    }
}

/// A marking in the order of people: `2` before `10`, then by letters.
fn natural(name: &str) -> (u64, String) {
    let digits: String = name.chars().take_while(char::is_ascii_digit).collect();
    (digits.parse().unwrap_or(u64::MAX), name.to_string())
}

/// Reports each cavity that a wire reaches from one side only.
fn one_sided(book: &Book, connector: ConnectorId, reached: &[(String, u8, Span)], log: &Log) {
    let connector = book.connector(connector);
    for (name, side, span) in reached {
        if reached
            .iter()
            .any(|(other, other_side, _)| other == name && other_side != side)
        {
            continue;
        }
        let harness = &book.harnesses[connector.joins[1 - *side as usize].index()];
        let headline = format!("nothing goes on from `{}:{name}`", connector.id);
        let hint = format!("no wire of the {} harness reaches this cavity", harness.id);
        log.push(Finding::new(Code::DanglingWire, *span, headline).hint(hint));
    }
}

fn wire(
    id: &Placed<String>,
    raw: &Raw,
    book: &mut Book,
    index: &Index,
    log: &Log,
) -> Option<(Wire, [(RawEnd, Span); 2])> {
    let row = &raw.row;
    let from = end(row, "from", id, raw.harness, book, index, log);
    let to = end(row, "to", id, raw.harness, book, index, log);
    let color = color(row, id, log);
    let size = measure(row, &[("mm2", "mm2"), ("AWG", "AWG")], "size", id, log);
    let length = measure(row, &[("m", "m"), ("ft", "ft")], "length", id, log);
    let only = match row.cell("only") {
        Some(text) => condition::read(text, Speaker::Fitting, book, index, log)?,
        None => Condition::Always,
    };
    let (from, to) = (from?, to?);
    if let (RawEnd::Terminal(a), RawEnd::Terminal(b)) = (&from.0, &to.0)
        && a == b
    {
        let headline = format!("`{}` begins and ends on the same terminal", id.value);
        log.error(Code::DanglingWire, to.1, headline);
        return None;
    }
    // The ends are set once all cavities are known.
    let unset = End::Terminal {
        part: crate::book::PartId(0),
        terminal: TerminalId(0),
    };
    let wire = Wire {
        id: id.value.clone(),
        ends: [unset; 2],
        color: color?,
        size: size?,
        length: Meter::new::<meter>(length?.value),
        harness: raw.harness,
        sheet: raw.sheet,
        only,
        fitted: Vec::new(),
        span: id.span,
    };
    Some((wire, [from, to]))
}

fn missing(row: &Row, column: &str, id: &str, log: &Log) {
    log.error(Code::BadTable, row.span, format!("`{id}` has no {column}"));
}

fn color(row: &Row, id: &str, log: &Log) -> Option<Color> {
    let Some(text) = row.cell("color") else {
        missing(row, "color", id, log);
        return None;
    };
    let color = Color::parse(text);
    if color.is_none() {
        let bad = text
            .split('/')
            .find(|letters| COLORS.iter().all(|color| color.letters != *letters))
            .unwrap_or(text);
        let span = super::table::part_of(text, bad);
        let finding = Finding::new(Code::BadColor, span, format!("`{bad}` is not a color"));
        let by_name = COLORS
            .iter()
            .find(|color| color.name == bad.to_lowercase() || color.letters == bad.to_uppercase());
        let hint = match by_name {
            Some(color) => format!("{} is `{}`", color.name, color.letters),
            None => {
                let letters: Vec<&str> = COLORS.iter().map(|color| color.letters).collect();
                format!(
                    "IEC 60757 letters, base first, then the stripe, such as `GN/WH`: {}",
                    letters.join(" ")
                )
            }
        };
        log.push(finding.hint(hint));
    }
    color
}

/// A number in the unit of its column.
fn measure(row: &Row, columns: &[(&str, &str)], what: &str, id: &str, log: &Log) -> Option<Amount> {
    let Some((cell, unit)) = columns
        .iter()
        .find_map(|(column, unit)| Some((row.cell(column)?, *unit)))
    else {
        missing(row, what, id, log);
        return None;
    };
    let number = match cell.split_once('/') {
        // Sizes above 1 AWG are written 1/0 to 4/0 and count down from 0.
        Some((zeros, "0")) if unit == "AWG" => zeros.parse::<f64>().ok().map(|zeros| 1.0 - zeros),
        _ => cell.parse::<f64>().ok(),
    };
    let amount = number
        .filter(|number| number.is_finite())
        .map(|number| match Unit::find(unit) {
            Some(unit) => Amount::of(number, unit),
            None => Amount::gauge(number),
        });
    match amount {
        None => {
            let finding = Finding::new(
                Code::WrongUnit,
                cell.span,
                format!("`{}` is not a number", cell.value),
            );
            log.push(finding.hint(format!(
                "the column has the unit {unit}, and its cells are numbers alone"
            )));
            None
        }
        Some(amount) if amount.value <= 0.0 => {
            log.error(
                Code::OutOfRange,
                cell.span,
                format!("a wire's {what} is above zero"),
            );
            None
        }
        Some(amount) => Some(amount),
    }
}

fn end(
    row: &Row,
    column: &str,
    id: &str,
    harness: HarnessId,
    book: &Book,
    index: &Index,
    log: &Log,
) -> Option<(RawEnd, Span)> {
    let Some(text) = row.cell(column) else {
        let headline = format!("`{id}` has no end in the column `{column}`");
        log.error(Code::DanglingWire, row.span, headline);
        return None;
    };
    let (name, marking) = match text.split_once(':') {
        Some((name, marking)) => (name.trim(), Some(marking.trim())),
        None => (text.trim(), None),
    };
    let name_span = super::table::part_of(text, name);
    if let Some(&part) = index.parts.get(name) {
        let terminal = terminal(text, marking, part, book, index, log)?;
        return Some((RawEnd::Terminal(End::Terminal { part, terminal }), text.span));
    }
    if let Some(&connector) = index.connectors.get(name) {
        let joined = book.connector(connector);
        let Some(marking) = marking.filter(|marking| !marking.is_empty()) else {
            let finding = Finding::new(
                Code::UnknownCavity,
                text.span,
                format!("`{name}` needs a cavity here"),
            );
            log.push(finding.hint(format!("for example `{name}:1`")));
            return None;
        };
        let Some(side) = joined.joins.iter().position(|joined| *joined == harness) else {
            let names = joined
                .joins
                .map(|joined| book.harnesses[joined.index()].id.as_str());
            let wires = &book.harnesses[harness.index()].id;
            let headline = format!("`{name}` does not join the {wires} harness, which `{id}` belongs to");
            let finding = Finding::new(Code::UnknownHarness, name_span, headline);
            log.push(finding.label(joined.span, format!("it joins {}", list(&names))));
            return None;
        };
        let cavity = RawEnd::Cavity {
            connector,
            name: marking.to_string(),
            side: side as u8,
        };
        return Some((cavity, text.span));
    }
    if !index.is_lost(name) {
        let known = index
            .parts
            .keys()
            .chain(index.connectors.keys())
            .map(String::as_str);
        log.unknown(Code::UnknownPart, name_span, "part or connector", name, known);
    }
    None
}

/// The terminal that an end names; a part of one terminal needs no marking.
pub fn terminal(
    text: &Placed<String>,
    marking: Option<&str>,
    part: crate::book::PartId,
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
        let names: Vec<&str> = part
            .terminals
            .iter()
            .map(|terminal| terminal.name.as_str())
            .collect();
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

/// Works out the builds that have a wire. A wire without a condition of its own is where both its ends are; one with a
/// condition must not ask for an end that the build does not have.
fn fit(wire: usize, spans: [Span; 2], book: &mut Book, log: &Log) {
    let mut fitted = Vec::new();
    let mut reported = false;
    let found = &book.wires[wire];
    let stated = found.only != Condition::Always;
    for (number, build) in book.builds.iter().enumerate() {
        let wanted = super::manual::holds(&found.only, build);
        let absent = found.ends.iter().position(|end| match end {
            End::Terminal { part, .. } => !book.part(*part).fitted[number],
            End::Cavity { .. } => false,
        });
        if let Some(at) = absent
            && wanted
            && stated
            && !reported
        {
            reported = true;
            let headline = format!(
                "`{}` ends on nothing in the build {}",
                found.id,
                name(book, number)
            );
            let finding = Finding::new(Code::NotFitted, spans[at], headline);
            log.push(finding.hint("its `only` admits a build that does not have this part"));
        }
        fitted.push(wanted && absent.is_none());
    }
    if !fitted.contains(&true) && !reported {
        let headline = format!("no build has `{}`", found.id);
        let finding = Finding::new(Code::NotFitted, found.span, headline);
        log.push(
            finding
                .hint("the parts at its two ends are never in the same vehicle, or its `only` never holds"),
        );
    }
    book.wires[wire].fitted = fitted;
}

fn name(book: &Book, build: usize) -> String {
    format!("`{}`", book.build_name(crate::book::BuildId(build as u32)))
}
