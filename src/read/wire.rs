//! Turns harnesses, connectors and wire rows into wires of the book whose ends are resolved.

use super::condition::{self, Speaker};
use super::end::{RawEnd, end};
use super::index::Index;
use super::key::{Key, Takes};
use super::log::Log;
use super::row::{WireRow, rows};
use super::table::Table;
use super::{connector, fitted};
use crate::book::{
    Book, COLORS, Color, ColorName, Condition, ConnectorId, End, Harness, HarnessId, SheetId, TerminalId,
    Wire, WireColumn, WireId,
};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, Meter, Unit};
use crate::source::{Placed, Span};
use std::collections::BTreeMap;

/// A row with what it belongs to.
pub struct Raw {
    row: WireRow,
    harness: HarnessId,
    sheet: SheetId,
}

/// What a harness has.
pub const HARNESS: &[Key] = &[
    Key::must(
        "wires",
        Takes::Any(&[Takes::Groups, Takes::Text]),
        r#"[["W31", "F1:2", "S1:1", "RD", 1.5, 0.8], ["W32", "S1:2", "H1:1", "GN/WH", 1.5, 2]]"#,
        "One row a wire, or the name of a CSV file beside the sheet whose first row names the columns.",
    ),
    Key::may(
        "columns",
        Takes::Any(&[Takes::Texts, Takes::Each("a column", "id", &Takes::Text)]),
        "the usual ones, in their order",
        r#"["id", "from", "to", "color", "mm2", "m"]"#,
        "What stands in each place of a row (`about wires`), or what a CSV file calls its columns: `{ id = \"Wire\", from = \"From pin\" }`.",
    ),
    Key::may(
        "skip",
        Takes::Texts,
        "none: a column that is not known is an error",
        r#"["Remark", "Revision"]"#,
        "Columns of a CSV file that say nothing to the book.",
    ),
    Key::may(
        "colors",
        Takes::Each("a color word of the list", "dark green", &Takes::Text),
        "none",
        r#"{ "dark green" = "GN", "brn" = "BN" }"#,
        "The list's own color words, with the letters that the book has for them.",
    ),
    Key::may("name", Takes::Text, "its id", r#""Chassis harness""#, "What a person calls it."),
];

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
            book.harnesses.push(Harness { id: id.value.clone(), name: id.value.clone(), span: id.span });
            HarnessId(book.harnesses.len() as u32 - 1)
        });
        if let Some(name) = harness.text("name", log) {
            book.harnesses[number.index()].name = name.value;
        }
        let path = &log.sources.text(book.sheets[sheet.index()].file).path;
        found.extend(rows(&harness, path, log).into_iter().map(|row| Raw { row, harness: number, sheet }));
        harness.close(log);
    }
    found
}

/// Resolves all rows of the book into wires.
pub fn resolve(raws: Vec<Raw>, book: &mut Book, index: &mut Index, log: &Log) {
    let mut ends = Vec::new();
    // A wire that was left out has its finding; what it would have joined is not another problem.
    let mut lost = false;
    let mut cavities: BTreeMap<ConnectorId, Vec<(String, u8, Span)>> = BTreeMap::new();
    for raw in &raws {
        let Some(id) = raw.row.cell(WireColumn::Id) else {
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
            if let RawEnd::Cavity { connector, name, side } = end {
                cavities.entry(*connector).or_default().push((name.clone(), *side, *span));
            }
        }
        let number = WireId(book.wires.len() as u32);
        index.wires.insert(id.value.clone(), number);
        if raw.row.cell(WireColumn::Color).is_some_and(|text| Color::parse(text).is_none()) {
            index.uncolored.insert(number);
        }
        book.wires.push(wire);
        ends.push(raw_ends);
    }
    for (connector, reached) in &cavities {
        if !lost {
            connector::one_sided(book, *connector, reached, log);
        }
        let mut names: Vec<String> = reached.iter().map(|(name, _, _)| name.clone()).collect();
        names.sort_by_key(|name| connector::natural(name));
        names.dedup();
        book.connectors[connector.index()].cavities = names;
    }
    for (wire, raw_ends) in ends.into_iter().enumerate() {
        let spans = [raw_ends[0].1, raw_ends[1].1];
        let resolved = raw_ends.map(|(end, _)| match end {
            RawEnd::Terminal(end) => end,
            RawEnd::Cavity { connector, name, side } => {
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
        fitted::fit(wire, spans, book, log);
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
    let from = end(row, WireColumn::From, id, raw.harness, book, index, log);
    let to = end(row, WireColumn::To, id, raw.harness, book, index, log);
    let color = color(row, id, log);
    let size = measure(row, WireColumn::Size, id, log);
    let length = measure(row, WireColumn::Length, id, log);
    let only = match row.cell(WireColumn::Only) {
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
    let unset = End::Terminal { part: crate::book::PartId(0), terminal: TerminalId(0) };
    let wire = Wire {
        id: id.value.clone(),
        ends: [unset; 2],
        color: color?,
        size: size?,
        length: Meter(length?.value),
        harness: raw.harness,
        sheet: raw.sheet,
        only,
        fitted: Vec::new(),
        span: id.span,
    };
    Some((wire, [from, to]))
}

fn missing(row: &WireRow, column: WireColumn, id: &str, log: &Log) {
    log.error(Code::BadTable, row.span, format!("`{id}` has no {}", column.name()));
}

fn color(row: &WireRow, id: &str, log: &Log) -> Option<Color> {
    let Some(text) = row.cell(WireColumn::Color) else {
        missing(row, WireColumn::Color, id, log);
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
        let hint = match by_letters(bad) {
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
    // What the wire joins does not hang on its color: it stays in the circuit.
    color.or(Some(Color { base: by_letters(text).unwrap_or(&COLORS[0]), stripe: None }))
}

/// The color that a word begins with, by its letters or its name.
fn by_letters(text: &str) -> Option<&'static ColorName> {
    let base = text.split('/').next().unwrap_or(text);
    COLORS.iter().find(|color| color.name == base.to_lowercase() || color.letters == base.to_uppercase())
}

/// A number in the unit of its column.
fn measure(row: &WireRow, column: WireColumn, id: &str, log: &Log) -> Option<Amount> {
    let Some((header, cell)) = row.headed(column) else {
        missing(row, column, id, log);
        return None;
    };
    let unit = header.unit.expect("a column that is measured has the unit of its cells");
    let number = match unit {
        "AWG" => Amount::gauge_number(cell),
        _ => cell.parse::<f64>().ok(),
    };
    let amount = number.filter(|number| number.is_finite()).map(|number| match Unit::find(unit) {
        Some(unit) => Amount::of(number, unit),
        None => Amount::gauge(number),
    });
    match amount {
        None => {
            let finding =
                Finding::new(Code::WrongUnit, cell.span, format!("`{}` is not a number", cell.value));
            log.push(
                finding.hint(format!("the column has the unit {unit}, and its cells are numbers alone")),
            );
            None
        }
        Some(amount) if amount.value <= 0.0 => {
            log.error(Code::OutOfRange, cell.span, format!("a wire's {} is above zero", column.name()));
            None
        }
        Some(amount) => Some(amount),
    }
}
