//! Turns a list whose items begin with `Set:`, `Do:`, `Expect:` and the like into step lines.

use super::event::placed;
use crate::finding::{Code, Finding};
use crate::read::form::Form;
use crate::read::log::{Log, list};
use crate::read::near::nearest;
use crate::source::{FileId, Placed};
use pulldown_cmark::{Event, Tag};
use std::ops::Range;

/// One step line: its keyword, what follows the colon, and the items of a list below it.
pub struct Line<'a> {
    pub keyword: Keyword,
    /// The whole line without its bullet.
    pub text: Placed<&'a str>,
    /// What stands after the colon; for `If` what stands between the keyword and the colon comes first, in `symptom`.
    pub rest: Placed<&'a str>,
    pub symptom: Option<Placed<&'a str>>,
    pub items: Vec<Placed<&'a str>>,
}

/// What a step line says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Keyword {
    Set,
    Do,
    Expect,
    If,
    IfNot,
    Read,
    Then,
}

const KEYWORDS: &[(&str, Keyword)] = &[
    ("Set", Keyword::Set),
    ("Do", Keyword::Do),
    ("Expect", Keyword::Expect),
    ("If not", Keyword::IfNot),
    ("Read", Keyword::Read),
    ("Then", Keyword::Then),
];

/// The lines of a step.
pub const LINES: &[Form] = &[
    Form::new("Set: SETTINGS", "Set: key run, door open", "Controls are moved, divided by commas."),
    Form::new(
        "Do: HANDS",
        "Do: unplug K4, test light K4:30 to ground",
        "What the hands do, one after the other.",
    ),
    Form::new(
        "Expect: RESULTS",
        "Expect: H1 lit, M1 stopped",
        "What must be seen, in every build of the vehicle.",
    ),
    Form::new(
        "If RESULTS: LINK",
        "If H1 dark: [Procedure 1](trouble.md#t1)",
        "Where to go on when it is seen instead. Under the last of these lines nothing else is read.",
    ),
    Form::new(
        "If not: LINK",
        "If not: [Procedure 1](trouble.md#t1)",
        "Where to go on when it is anything else.",
    ),
    Form::new(
        "Read: SUBJECT",
        "Read: test light",
        "What is looked at. Below it a list: each result, and where it leads (`about verdicts`).",
    ),
    Form::new("Then: LINK", "Then: go to [1.2](#t1-2)", "Where to go on without a reading."),
];

/// Whether a text is a step line of statements; these are read word by word, and held against the book as they are read.
pub fn is_statement(text: &str) -> bool {
    let word = text.split(':').next().unwrap_or_default().trim();
    let keyword = KEYWORDS.iter().find(|(known, _)| *known == word);
    keyword.is_some_and(|(_, keyword)| *keyword != Keyword::Then)
}

/// The step lines of a list, or nothing when it is a list like any other.
pub fn lines<'a>(
    file: FileId,
    text: &'a str,
    events: &[(Event<'static>, Range<usize>)],
    log: &Log,
) -> Option<Vec<Line<'a>>> {
    let items = items(file, text, events);
    let heads: Vec<Option<Head>> = items.iter().map(|(item, _)| head(item)).collect();
    // `If` begins many a sentence: alone it does not make a list one of step lines.
    let known = heads.iter().flatten().any(|head| head.keyword.is_some_and(|keyword| keyword != Keyword::If));
    let near = heads.iter().flatten().any(|head| head.near.is_some());
    if !known && !near {
        return None;
    }
    let mut lines = Vec::new();
    for ((item, inner), head) in items.into_iter().zip(heads) {
        match head {
            Some(Head { keyword: Some(keyword), symptom, rest, .. }) => {
                lines.push(Line { keyword, text: item, rest, symptom, items: inner })
            }
            Some(head) => {
                let words: Vec<&str> = KEYWORDS.iter().map(|(word, _)| *word).chain(["If"]).collect();
                let headline = format!("`{}` does not begin a step line", head.word.value.trim());
                let hint = match head.near {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("step lines begin with {}", list(&words)),
                };
                log.push(Finding::new(Code::BadPage, head.word.span, headline).hint(hint));
            }
            None => {
                let finding = Finding::new(Code::BadPage, item.span, "this line of a step has no keyword");
                log.push(finding.hint("text about a step stands before or after its list"));
            }
        }
    }
    (!lines.is_empty()).then_some(lines)
}

/// What stands before the first colon of a line.
struct Head<'a> {
    word: Placed<&'a str>,
    keyword: Option<Keyword>,
    /// A keyword that is nearly the word.
    near: Option<&'static str>,
    symptom: Option<Placed<&'a str>>,
    rest: Placed<&'a str>,
}

fn head<'a>(item: &Placed<&'a str>) -> Option<Head<'a>> {
    let colon = item.value.find(':')?;
    let piece = |range: Range<usize>| Placed::new(&item.value[range.clone()], item.span.within(range));
    let word = piece(0..colon);
    let written: Vec<&str> = word.value.split_whitespace().collect();
    let written = written.join(" ");
    let symptom = word.value.strip_prefix("If").filter(|rest| rest.starts_with(char::is_whitespace));
    let keyword = KEYWORDS.iter().find(|(known, _)| *known == written).map(|(_, keyword)| *keyword);
    let (keyword, symptom) = match (keyword, symptom) {
        (Some(keyword), _) => (Some(keyword), None),
        (None, Some(_)) => (Some(Keyword::If), Some(trim(piece(2..colon)))),
        (None, None) => (None, None),
    };
    Some(Head {
        near: match keyword {
            Some(_) => None,
            None => near(&written),
        },
        word,
        keyword,
        symptom,
        rest: trim(piece(colon + 1..item.value.len())),
    })
}

/// The keyword that a word is nearly, or is but for its emphasis.
fn near(written: &str) -> Option<&'static str> {
    let bare = written.trim_matches(['*', '_', '`']);
    let mut words = KEYWORDS.iter().map(|(word, _)| *word);
    words.clone().find(|word| *word == bare).or_else(|| nearest(bare, words.by_ref()))
}

/// Reports a paragraph that begins like a step line: only a list is proved.
pub fn outside_list(file: FileId, text: &str, range: Range<usize>, log: &Log) {
    let paragraph = trim(placed(file, text, range));
    if let Some(Head { keyword: Some(keyword), word, .. }) = head(&paragraph)
        && keyword != Keyword::If
    {
        let headline = format!("`{}` begins a step line only in a list", word.value);
        log.push(Finding::new(Code::BadPage, word.span, headline).hint("write `- ` before it"));
    }
}

/// A placed text without white space around it; an empty one stays where it is.
pub fn trim(text: Placed<&str>) -> Placed<&str> {
    let trimmed = text.value.trim();
    if trimmed.is_empty() {
        return Placed::new("", text.span.within(0..0));
    }
    let from = text.value.len() - text.value.trim_start().len();
    Placed::new(trimmed, text.span.within(from..from + trimmed.len()))
}

/// The items of a list, each as its own text and the items of a list inside it.
fn items<'a>(
    file: FileId,
    text: &'a str,
    events: &[(Event<'static>, Range<usize>)],
) -> Vec<(Placed<&'a str>, Vec<Placed<&'a str>>)> {
    let mut found: Vec<(Range<usize>, Vec<Range<usize>>)> = Vec::new();
    let mut depth = 0;
    for (at, (event, range)) in events.iter().enumerate() {
        match event {
            Event::Start(Tag::List(_)) => {
                depth += 1;
                // The text of the item that holds the inner list ends where the list begins.
                if depth == 2
                    && let Some((own, _)) = found.last_mut()
                {
                    own.end = own.end.min(range.start);
                }
            }
            Event::End(pulldown_cmark::TagEnd::List(_)) => depth -= 1,
            Event::Start(Tag::Item) => {
                let start = events.get(at + 1).map_or(range.start, |(_, inner)| inner.start);
                let own = start.min(range.end)..range.end;
                match (depth, found.last_mut()) {
                    (1, _) => found.push((own, Vec::new())),
                    (2, Some((_, inner))) => inner.push(own),
                    _ => {}
                }
            }
            _ => {}
        }
    }
    let piece = |range: Range<usize>| {
        let length = text[range.clone()].trim_end().len();
        placed(file, text, range.start..range.start + length)
    };
    found.into_iter().map(|(own, inner)| (piece(own), inner.into_iter().map(piece).collect())).collect()
}
