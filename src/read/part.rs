//! Turns the `[parts]` of a sheet into parts of the book: the keys that every part has, then those of its kind.

use super::condition::{self, Speaker};
use super::index::Index;
use super::key::{Key, Takes};
use super::kind::{self, Maker};
use super::log::Log;
use super::table::Table;
use crate::book::{Book, Condition, Kind, Part, PartId, SheetId};
use crate::finding::{Code, Finding};
use crate::source::Placed;

/// Failure shares that an author gives for a part, with their places; they are checked when the catalogue is known.
pub type Shares = Vec<(PartId, Placed<String>)>;

/// What every part has.
pub const PART: &[Key] = &[
    Key::must(
        "kind",
        Takes::Word(|| Kind::ALL.iter().map(|kind| kind.word()).collect()),
        r#""relay""#,
        "What it is: its other keys, its terminals, how it behaves, how it is drawn and how it fails follow from it.",
    ),
    Key::may("name", Takes::Text, "its id", r#""Lift relay""#, "What a person calls it."),
    Key::may(
        "place",
        Takes::Text,
        "the book does not say",
        r#""behind the dash, left""#,
        "Where it is found.",
    ),
    Key::may(
        "only",
        Takes::Condition,
        "every vehicle has it",
        r#""gearbox automatic""#,
        "The builds that have it, by the options of `manual.toml`.",
    ),
    Key::may(
        "fails",
        Takes::Each("a way to fail, as the page of its kind tells them", "open", &Takes::Number),
        "the shares that the page of its kind tells",
        r#"{ "open" = 0.7 }"#,
        "The share of its failures that each way has, from 0 to 1: drafts ask for the likely ones first.",
    ),
];

/// Reads all parts of a sheet.
pub fn read(
    sheet: SheetId,
    table: &Table,
    book: &mut Book,
    index: &mut Index,
    shares: &mut Shares,
    log: &Log,
) {
    let Some(parts) = table.table("parts", log) else {
        return;
    };
    for (id, value) in parts.entries() {
        if !index.claim_item(&id, log) {
            continue;
        }
        let before = log.count();
        let part = parts
            .inside(&value, id.span, format!("the part `{}`", id.value), log)
            .and_then(|table| part(&id, sheet, table, book, index, shares, log));
        match part {
            Some(part) => {
                let number = PartId(book.parts.len() as u32);
                index.parts.insert(id.value, number);
                let codes = log.codes_since(before);
                if !codes.is_empty() {
                    index.doubtful.insert(number);
                }
                if codes.iter().any(|code| names_terminals(*code)) {
                    index.unsure_terminals.insert(number);
                }
                book.parts.push(part);
            }
            None => {
                index.lost.insert(id.value);
            }
        }
    }
}

/// Whether a finding of this code may stand where an author meant to name a terminal.
fn names_terminals(code: Code) -> bool {
    matches!(
        code,
        Code::UnknownContact | Code::UnknownTerminal | Code::MissingKey | Code::UnknownKey | Code::WrongType
    )
}

fn part(
    id: &Placed<String>,
    sheet: SheetId,
    mut table: Table,
    book: &mut Book,
    index: &Index,
    shares: &mut Shares,
    log: &Log,
) -> Option<Part> {
    if id.contains('.') {
        let finding = Finding::new(Code::BadId, id.span, format!("`{}` cannot be a part's id", id.value));
        log.push(finding.hint("after a point stands one of several filaments: `H1.low`"));
        return None;
    }
    let word = table.needed_text("kind", log)?;
    let Some(&kind) = Kind::ALL.iter().find(|kind| kind.word() == word.value) else {
        let known = Kind::ALL.iter().map(|kind| kind.word());
        log.unknown(Code::UnknownKind, word.span, "kind of part", &word, known);
        return None;
    };
    let number = PartId(book.parts.len() as u32);
    let mut part = Part {
        id: id.value.clone(),
        name: id.value.clone(),
        kind,
        place: table.text("place", log).map(|place| place.value),
        sheet,
        only: Condition::Always,
        fitted: Vec::new(),
        terminals: Vec::new(),
        elements: Vec::new(),
        states: Vec::new(),
        facts: Vec::new(),
        sealed: false,
        fails: Vec::new(),
        span: id.span,
    };
    if let Some(name) = table.text("name", log) {
        part.name = name.value;
    }
    if let Some(only) = table.text("only", log) {
        part.only = condition::read(&only, Speaker::Fitting, book, index, log).unwrap_or(Condition::Always);
    }
    part.fitted = book.builds.iter().map(|build| super::fitted::holds(&part.only, build)).collect();
    fails(&mut part, number, &table, shares, log);
    table.also(kind::entry(kind).keys);
    let mut maker = Maker { table: &table, log, book, index, number, part };
    kind::read(&mut maker);
    let part = maker.part;
    table.close(log);
    Some(part)
}

/// The shares of failures that the author gives for the part's modes.
fn fails(part: &mut Part, number: PartId, table: &Table, shares: &mut Shares, log: &Log) {
    let Some(fails) = table.table("fails", log) else { return };
    for (mode, value) in fails.entries() {
        let share = value.as_float().and_then(|number| number.as_str().replace('_', "").parse::<f64>().ok());
        let share = share.or_else(|| value.as_integer().and_then(|number| number.as_str().parse().ok()));
        match share {
            Some(share) if (0.0..=1.0).contains(&share) => {
                part.fails.push((mode.value.clone(), share));
                shares.push((number, mode));
            }
            _ => log.error(Code::OutOfRange, value.span, "a share of failures is a number from 0 to 1"),
        }
    }
}
