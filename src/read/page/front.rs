//! Turns the front matter of a page, TOML between `+++` lines, into its title, kind and circuit.

use crate::book::{PageKind, SheetId};
use crate::finding::{Code, Finding};
use crate::read::index::Index;
use crate::read::key::{Key, Takes};
use crate::read::log::Log;
use crate::read::table::{Origin, Table, parse};
use crate::source::{FileId, Span};

/// What stands before a page's text.
pub struct Front {
    pub title: String,
    pub kind: PageKind,
    pub sheet: Option<SheetId>,
    pub tools: Vec<String>,
    pub time: Option<String>,
    pub pin: Vec<(String, Span)>,
    pub drop: Vec<(String, Span)>,
    pub span: Span,
}

const KINDS: &[(&str, PageKind)] = &[
    ("theory", PageKind::Theory),
    ("checkout", PageKind::Checkout),
    ("troubleshooting", PageKind::Troubleshooting),
    ("service", PageKind::Service),
    ("study", PageKind::Study),
];

/// What stands before every page's text.
pub const FRONT: &[Key] = &[
    Key::must("title", Takes::Text, r#""Lift power checkout""#, "The page's title."),
    Key::must(
        "kind",
        Takes::Word(|| KINDS.iter().map(|(word, _)| *word).collect()),
        r#""checkout""#,
        "What kind of page it is, and so what its lists are.",
    ),
    Key::may("circuit", Takes::Text, "it is about none", r#""lift""#, "The circuit sheet it is about."),
    Key::may(
        "tools",
        Takes::Texts,
        "none are named",
        r#"["test light", "jumper"]"#,
        "What the reader needs.",
    ),
    Key::may("time", Takes::Text, "none is named", r#""10 min""#, "How long it takes."),
];

/// What stands before the text of a page of kind `study`.
pub const STUDY: &[Key] = &[
    Key::may("pin", Takes::Texts, "none", r#"["lift-3"]"#, "Questions that every paper has."),
    Key::may("drop", Takes::Texts, "none", r#"["lift-7"]"#, "Questions that no paper has."),
];

/// The line that opens and closes front matter.
const FENCE: &str = "+++";

/// Reads the front matter and says at which byte the page's text begins.
pub fn read(file: FileId, path: &str, text: &str, index: &Index, log: &Log) -> (Front, usize) {
    let mut front = Front {
        title: path.trim_end_matches(".md").to_string(),
        kind: PageKind::Theory,
        sheet: None,
        tools: Vec::new(),
        time: None,
        pin: Vec::new(),
        drop: Vec::new(),
        span: Span::new(file, 0..text.lines().next().unwrap_or_default().len()),
    };
    let Some((inner, end)) = fenced(text) else {
        let finding = Finding::new(Code::BadPage, front.span, "a page begins with its front matter");
        log.push(finding.hint("TOML between two lines `+++`, with `title` and `kind`"));
        return (front, 0);
    };
    let origin = Origin { file, offset: inner.start };
    let before = log.count();
    let document = parse(&text[inner], origin, log);
    if log.count() > before {
        return (front, end);
    }
    let mut table = Table::root(&document, origin, "a page", FRONT);
    if let Some(title) = table.needed_text("title", log) {
        front.title = title.value;
        front.span = title.span;
    }
    if let Some(kind) = table.needed_text("kind", log) {
        match KINDS.iter().find(|(word, _)| *word == kind.value) {
            Some((_, found)) => front.kind = *found,
            None => log.unknown(
                Code::BadPage,
                kind.span,
                "kind of page",
                &kind,
                KINDS.iter().map(|(word, _)| *word),
            ),
        }
    }
    if let Some(circuit) = table.text("circuit", log) {
        front.sheet = index.sheets.get(&circuit.value).copied();
        if front.sheet.is_none() {
            let known = index.sheets.keys().map(String::as_str);
            log.unknown(Code::UnknownSheet, circuit.span, "circuit sheet", &circuit, known);
        }
    }
    front.tools = table.texts("tools", log).into_iter().map(|tool| tool.value).collect();
    if front.kind == PageKind::Study {
        table.also(STUDY);
        let ids = |key| {
            let ids = table.texts(key, log).into_iter();
            ids.map(|id| (id.value, id.span)).collect()
        };
        front.pin = ids("pin");
        front.drop = ids("drop");
    }
    front.time = table.text("time", log).map(|time| time.value);
    table.close(log);
    (front, end)
}

/// The range between the fences, and the end of the closing one.
fn fenced(text: &str) -> Option<(std::ops::Range<usize>, usize)> {
    let first = text.lines().next()?;
    if first.trim_end() != FENCE {
        return None;
    }
    let start = text.find('\n')? + 1;
    let mut at = start;
    for line in text[start..].split_inclusive('\n') {
        if line.trim_end() == FENCE {
            return Some((start..at, at + line.len()));
        }
        at += line.len();
    }
    None
}
