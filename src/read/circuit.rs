//! Turns the circuit files into sheets, controls, parts, wires, intents and wishes for drawings.

use super::condition::{self, Speaker};
use super::index::Index;
use super::key::{Key, Takes};
use super::log::{Log, suggestion};
use super::phrase::pieces;
use super::statement::{Reader, one_look};
use super::table::{Origin, Table, Value, parse, text_of};
use super::{connector, control, part, wire};
use crate::book::{
    Book, Case, DrawingHints, Intent, Look, PartId, Sheet, SheetId, Strength, Subject, WireId,
};
use crate::finding::{Code, Finding};
use crate::source::{FileId, Placed, Span};
use toml::Spanned;
use toml::de::DeTable;

/// What a circuit sheet has.
pub const SHEET: &[Key] = &[
    Key::must("title", Takes::Text, r#""Starting""#, "The sheet's title."),
    Key::may(
        "controls",
        Takes::Each(
            "a control's id",
            "lever",
            &Takes::Any(&[Takes::Texts, Takes::Text, Takes::Table(control::CONTROL)]),
        ),
        "it has none of its own",
        r#"{ lever = ["forward", "reverse"], tank = "0..60 l" }"#,
        "What a person or nature moves. Every control of a book can be named on every sheet.",
    ),
    Key::may(
        "parts",
        Takes::Each("a part's id", "K4", &Takes::Table(part::PART)),
        "it has none of its own",
        r#"{ F9 = { kind = "fuse", rating = "10 A" }, G9 = { kind = "ground" } }"#,
        "The parts, each with a kind.",
    ),
    Key::may(
        "harness",
        Takes::Each("a harness's id", "chassis", &Takes::Table(wire::HARNESS)),
        "it has no wires",
        r#"{ chassis = { wires = "chassis.csv" } }"#,
        "The wires, by the harness they lie in. One harness may have wires on several sheets.",
    ),
    Key::may(
        "connectors",
        Takes::Each("a connector's id", "X2", &Takes::Table(connector::CONNECTOR)),
        "it has none of its own",
        r#"{ X2 = { joins = ["chassis", "lift"] } }"#,
        "Plugs between two harnesses.",
    ),
    Key::may(
        "intent",
        Takes::Each(
            "a load's id",
            "H1",
            &Takes::Any(&[
                Takes::Condition,
                Takes::Table(CASE),
                Takes::List(&Takes::Any(&[Takes::Condition, Takes::Table(CASE)])),
            ]),
        ),
        "what its loads do is not held against anything",
        r#"{ H1 = "key run", M1 = { when = "key start", shows = "running" } }"#,
        "When each load is meant to work, in every position of all controls and in every build; it rests in all others.",
    ),
    Key::may(
        "neighbors",
        Takes::Table(NEIGHBORS),
        "no wire is taken to chafe through to another",
        r#"{ pairs = [["W3", "W7"]] }"#,
        "Wires that lie side by side, so that one may chafe through to the other.",
    ),
    Key::may(
        "drawing",
        Takes::Table(DRAWING),
        "the drawing finds its own order",
        r#"{ order = ["F1", "S1"], together = [["K4", "D1"]] }"#,
        "Wishes for the drawing.",
    ),
    Key::may(
        "accepted",
        Takes::Each("a fault's name, as its finding says it", "W3 open", &Takes::Text),
        "every fault that no step shows is a finding",
        r#"{ "G1 lost" = "three more wires share this ground" }"#,
        "Faults that no step needs to show, each with the reason, which the book prints.",
    ),
];

const CASE: &[Key] = &[
    Key::must("when", Takes::Condition, r#""key run""#, "When it works."),
    Key::may(
        "shows",
        Takes::Text,
        "it works in full: lit, sounds, runs forwards",
        r#""dim, lit""#,
        "What it may look like then.",
    ),
];

const NEIGHBORS: &[Key] =
    &[Key::may("pairs", Takes::Groups, "none", r#"[["W3", "W7"], ["W3", "W8"]]"#, "Two wires each.")];

const DRAWING: &[Key] = &[
    Key::may(
        "order",
        Takes::Texts,
        "as the current goes",
        r#"["F1", "S1"]"#,
        "Parts from the left to the right.",
    ),
    Key::may(
        "include",
        Takes::Texts,
        "what its wires reach",
        r#"["BAT"]"#,
        "Parts of other sheets that this drawing shows too.",
    ),
    Key::may(
        "together",
        Takes::Groups,
        "none",
        r#"[["K4", "D1"]]"#,
        "Groups of parts that are drawn side by side.",
    ),
];

/// Parsed circuit files, which the tables below borrow.
pub struct Documents<'a>(Vec<(FileId, Spanned<DeTable<'a>>)>);

/// What later stages still have to resolve.
pub struct Pending {
    pub shares: part::Shares,
    /// A fault's name, and the reason why it is accepted.
    pub accepted: Vec<(Placed<String>, String)>,
}

/// Parses every circuit file.
pub fn parse_all<'a>(log: &Log<'a>) -> Documents<'a> {
    let files = log.sources.iter().filter(|(_, text)| {
        let name = text.path.strip_prefix("circuits/");
        name.is_some_and(|name| name.ends_with(".toml"))
    });
    Documents(
        files.map(|(file, text)| (file, parse(&text.content, Origin { file, offset: 0 }, log))).collect(),
    )
}

/// Reads all sheets together: they describe one vehicle, so that each kind of thing is read from all of them before the
/// next kind that refers to it.
pub fn read(documents: &Documents, book: &mut Book, index: &mut Index, log: &Log) -> Pending {
    let tables: Vec<(SheetId, Table)> = documents
        .0
        .iter()
        .map(|(file, document)| {
            let table = Table::root(document, Origin { file: *file, offset: 0 }, "a circuit sheet", SHEET);
            (sheet(*file, &table, book, index, log), table)
        })
        .collect();
    for (sheet, table) in &tables {
        control::read(*sheet, table, book, index, log);
    }
    let mut pending = Pending { shares: Vec::new(), accepted: Vec::new() };
    for (sheet, table) in &tables {
        part::read(*sheet, table, book, index, &mut pending.shares, log);
    }
    let mut rows = Vec::new();
    for (sheet, table) in &tables {
        rows.extend(wire::harnesses(*sheet, table, book, index, log));
    }
    for (sheet, table) in &tables {
        connector::read(*sheet, table, book, index, log);
    }
    wire::resolve(rows, book, index, log);
    for (sheet, table) in &tables {
        intents(table, book, index, log);
        neighbors(table, book, index, log);
        book.sheets[sheet.index()].hints = hints(table, index, log);
        if let Some(accepted) = table.table("accepted", log) {
            for (fault, reason) in accepted.entries() {
                if let Some(reason) = text_of(&reason, "the reason", log) {
                    pending.accepted.push((fault, reason.value));
                }
            }
        }
        table.close(log);
    }
    pending
}

fn sheet(file: FileId, table: &Table, book: &mut Book, index: &mut Index, log: &Log) -> SheetId {
    let path = &log.sources.text(file).path;
    let id = path.trim_start_matches("circuits/").trim_end_matches(".toml").to_string();
    let title = table.needed_text("title", log);
    let number = SheetId(book.sheets.len() as u32);
    index.sheets.insert(id.clone(), number);
    book.sheets.push(Sheet {
        span: title.as_ref().map_or(table.place(), |title| title.span),
        title: title.map_or_else(|| id.clone(), |title| title.value),
        id,
        file,
        hints: DrawingHints::default(),
    });
    number
}

fn intents(table: &Table, book: &mut Book, index: &Index, log: &Log) {
    let Some(intents) = table.table("intent", log) else {
        return;
    };
    for (subject, value) in intents.entries() {
        let Some((part, element)) = face(&subject, subject.span, book, index, log) else {
            if value.as_table().is_none() && !value.is_array() {
                text_of(&value, &format!("the intent of `{}`", subject.value), log);
            }
            continue;
        };
        let face = Subject::Face { part, element };
        let cases = cases(&subject, &value, &intents, face, book, index, log);
        if let Some(first) =
            book.intents.iter().find(|intent| (intent.part, intent.element) == (part, element))
        {
            let headline = format!("the intent of `{}` is stated twice", subject.value);
            log.push(
                Finding::new(Code::DuplicateId, subject.span, headline)
                    .label(first.span, "first stated here"),
            );
            continue;
        }
        if let Some(cases) = cases {
            book.intents.push(Intent { part, element, cases, span: subject.span });
        }
    }
}

/// The cases of an intent: a condition, a table with `when` and `shows`, or a list of such.
fn cases(
    name: &str,
    value: &Value,
    intents: &Table,
    subject: Subject,
    book: &mut Book,
    index: &Index,
    log: &Log,
) -> Option<Vec<Case>> {
    let what = format!("the intent of `{name}`");
    let mut case = |value: &Value| {
        let mut condition = |text: &Placed<String>| condition::read(text, Speaker::Vehicle, book, index, log);
        if value.as_table().is_none() {
            return Some(Case { when: condition(&text_of(value, &what, log)?)?, shows: Vec::new() });
        }
        let table = intents.inside(value, value.span, what.clone(), log)?;
        let when = table.needed_text("when", log);
        let when = when.as_ref().and_then(&mut condition);
        let reader = Reader { book, index, log };
        let shows = table.text("shows", log).map(|text| shows(&reader, subject, &text));
        table.close(log);
        Some(Case { when: when?, shows: shows.unwrap_or_default() })
    };
    if !value.is_array() {
        return Some(vec![case(value)?]);
    }
    // Each is read, so that all that is wrong is told.
    let cases: Vec<Option<Case>> = intents.items(value, &what, log).iter().map(&mut case).collect();
    cases.into_iter().collect()
}

/// What a load may look like while a case of its intent holds.
fn shows(reader: &Reader, subject: Subject, text: &Placed<String>) -> Vec<Look> {
    let pieces = pieces(&text.value, text.span).into_iter();
    let looks = pieces.filter_map(|piece| match one_look(reader, subject, piece)? {
        Look::Then { .. } | Look::Is(Strength::Off) | Look::Reads(_) | Look::Chattering => {
            let headline = format!("`{}` is not what an intent can ask for", piece.value);
            let hint = "when it should stop is said by `when`; `shows` says what it looks like until then";
            reader.log.push(Finding::new(Code::BadStatement, piece.span, headline).hint(hint));
            None
        }
        look => Some(look),
    });
    looks.collect()
}

/// The element that a person watches: `H1`, or `H1.low` of a lamp with several filaments. Reports what is wrong.
pub fn face(name: &str, span: Span, book: &Book, index: &Index, log: &Log) -> Option<(PartId, usize)> {
    let (id, wanted) = match name.split_once('.') {
        Some((id, element)) => (id, Some(element)),
        None => (name, None),
    };
    let part = find_part(id, span.within(0..id.len()), index, log)?;
    let faces: Vec<usize> = book.part(part).faces().map(|(element, _)| element).collect();
    let elements = &book.part(part).elements;
    let named: Vec<&str> = faces.iter().map(|&element| elements[element].name.as_str()).collect();
    let found = match wanted {
        Some(wanted) => faces.iter().find(|&&element| elements[element].name == wanted),
        None => faces.first(),
    };
    if found.is_none() && !index.doubtful.contains(&part) {
        let finding = match wanted {
            Some(wanted) => {
                let at = span.within(id.len() + 1..name.len());
                let finding =
                    Finding::new(Code::UnknownTerminal, at, format!("`{id}` has no element `{wanted}`"));
                finding.hint_if(suggestion(wanted, named.iter().copied()))
            }
            None => Finding::new(
                Code::BadStatement,
                span,
                format!("a {} shows nothing", book.part(part).kind.name()),
            ),
        };
        log.push(finding);
    }
    Some((part, *found?))
}

/// A part by its id.
pub fn find_part(id: &str, span: Span, index: &Index, log: &Log) -> Option<PartId> {
    let found = index.parts.get(id).copied();
    if found.is_none() && !index.is_lost(id) {
        log.unknown(Code::UnknownPart, span, "part", id, index.parts.keys().map(String::as_str));
    }
    found
}

/// A wire by its id.
pub fn find_wire(id: &str, span: Span, index: &Index, log: &Log) -> Option<WireId> {
    let found = index.wires.get(id).copied();
    if found.is_none() && !index.is_lost(id) {
        log.unknown(Code::UnknownWire, span, "wire", id, index.wires.keys().map(String::as_str));
    }
    found
}

/// Pairs of wires that lie side by side, so that one may chafe through to the other.
fn neighbors(table: &Table, book: &mut Book, index: &Index, log: &Log) {
    let Some(neighbors) = table.table("neighbors", log) else {
        return;
    };
    for pair in neighbors.list("pairs", log) {
        let names: Vec<_> = neighbors
            .items(&pair, "a pair of neighbors", log)
            .iter()
            .filter_map(|name| text_of(name, "a wire", log))
            .collect();
        let [a, b] = names.as_slice() else {
            log.error(Code::WrongType, pair.span, "two wires make a pair of neighbors");
            continue;
        };
        let found = [a, b].map(|name| find_wire(name, name.span, index, log));
        if let [Some(a), Some(b)] = found {
            book.neighbors.push([a, b]);
        }
    }
    neighbors.close(log);
}

fn hints(table: &Table, index: &Index, log: &Log) -> DrawingHints {
    let Some(drawing) = table.table("drawing", log) else {
        return DrawingHints::default();
    };
    let parts = |names: Vec<Placed<String>>| -> Vec<PartId> {
        names.iter().filter_map(|name| find_part(name, name.span, index, log)).collect()
    };
    let order = parts(drawing.texts("order", log));
    let include = parts(drawing.texts("include", log));
    let together = drawing
        .list("together", log)
        .iter()
        .map(|group| {
            let names = drawing.items(group, "a group of `together`", log);
            parts(names.iter().filter_map(|name| text_of(name, "a part", log)).collect())
        })
        .collect();
    drawing.close(log);
    DrawingHints { order, together, include }
}
