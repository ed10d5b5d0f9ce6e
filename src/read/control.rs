//! Turns the `[controls]` of a sheet into controls of the book.

use super::index::Index;
use super::key::{Key, Takes};
use super::log::Log;
use super::manual::distinct;
use super::table::{Table, Value, bad_quantity, text_of};
use crate::book::{Book, Control, ControlId, ControlRange, SheetId};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, BadQuantity, Dimension};
use crate::source::Placed;
use toml::de::DeValue;

/// Words that the condition language and the step lines need for themselves.
const RESERVED: &[&str] = &[
    "and",
    "or",
    "not",
    "above",
    "below",
    "until",
    "for",
    "lasting",
    "at",
    "blinking",
    "energized",
    "released",
    "set",
    "reset",
    "with",
    "without",
    "bridged",
    "unplug",
    "plug",
    "open",
    "close",
    "pull",
    "fit",
    "jumper",
    "remove",
    "substitute",
    "wait",
    "disconnect",
    "reconnect",
];

/// What a control has that is written as a table.
pub const CONTROL: &[Key] = &[
    Key::may("name", Takes::Text, "its id", r#""Lift button""#, "What a person calls it."),
    Key::must(
        "positions",
        Takes::Texts,
        r#"["off", "on"]"#,
        "Its positions, one word each; the first is where it rests.",
    ),
    Key::instead(
        "range",
        "positions",
        Takes::Text,
        r#""0..60 deg""#,
        "The two ends of what is moved or warmed steplessly; the low end is at rest.",
    ),
];

/// Reads all controls of a sheet.
pub fn read(sheet: SheetId, table: &Table, book: &mut Book, index: &mut Index, log: &Log) {
    let Some(controls) = table.table("controls", log) else {
        return;
    };
    for (id, value) in controls.entries() {
        if RESERVED.contains(&id.as_str()) || id.contains(char::is_whitespace) {
            let headline = format!("`{}` cannot name a control: the condition language uses it", id.value);
            log.error(Code::BadId, id.span, headline);
            index.lost.insert(id.value);
            continue;
        }
        if !index.claim_setting(&id, log) {
            continue;
        }
        match control(&controls, &id, &value, log) {
            Some((range, name)) => {
                index.controls.insert(id.value.clone(), ControlId(book.controls.len() as u32));
                book.controls.push(Control {
                    name: name.unwrap_or_else(|| id.value.clone()),
                    id: id.value,
                    sheet,
                    range,
                    span: id.span,
                });
            }
            None => {
                index.lost.insert(id.value);
            }
        }
    }
}

fn control(
    controls: &Table,
    id: &Placed<String>,
    value: &Value,
    log: &Log,
) -> Option<(ControlRange, Option<String>)> {
    if value.is_array() || value.is_str() {
        return Some((range(controls, value, id, log)?, None));
    }
    let table = controls.inside(value, id.span, format!("the control `{}`", id.value), log)?;
    let name = table.text("name", log).map(|name| name.value);
    let given = match table.get("range") {
        None => table.get("positions"),
        range => range,
    };
    if given.is_none() {
        table.missing("positions", log);
    }
    table.close(log);
    Some((range(&table, &given?, id, log)?, name))
}

/// Positions from a list, a level from a text.
fn range(table: &Table, value: &Value, id: &Placed<String>, log: &Log) -> Option<ControlRange> {
    if let DeValue::Array(_) = value.value {
        let what = format!("the control `{}`", id.value);
        let names: Vec<Placed<String>> = table
            .items(value, &what, log)
            .iter()
            .filter_map(|name| text_of(name, "a position", log))
            .collect();
        if names.is_empty() {
            log.error(Code::MissingKey, value.span, format!("{what} needs at least one position"));
            return None;
        }
        for name in &names {
            if name.contains(char::is_whitespace) || name.is_empty() {
                let finding = Finding::new(Code::BadId, name.span, "a position is one word");
                log.push(finding.hint("join words by a hyphen: `half-open`"));
            }
        }
        return Some(ControlRange::Positions(distinct(names, "position", log)));
    }
    let text = text_of(value, &format!("the range of `{}`", id.value), log)?;
    match Amount::parse_band(&text) {
        Ok(band) if band.is_point() => {
            let finding = Finding::new(Code::OutOfRange, text.span, "a control's range has two ends");
            log.push(finding.hint("for example `0..60 deg`; the low end is at rest"));
            None
        }
        Ok(band) => Some(ControlRange::Level(band)),
        Err(BadQuantity::NoNumber(_)) => {
            let finding =
                Finding::new(Code::WrongType, text.span, "a control has a list of positions or a range");
            log.push(finding.hint("for example `[\"off\", \"on\"]` or `\"0..60 deg\"`"));
            None
        }
        Err(problem) => {
            bad_quantity(&text, &problem, Dimension::Angle, log);
            None
        }
    }
}
