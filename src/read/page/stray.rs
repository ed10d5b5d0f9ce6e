//! Turns what looks like a link but was not read as one into findings: a claim that nobody proves must not stand in a book.

use super::event::Events;
use crate::finding::{Code, Finding};
use crate::read::log::Log;
use crate::read::near::nearest;
use crate::source::{FileId, Span};
use pulldown_cmark::{Event, Tag};
use std::ops::Range;

/// Every scheme of this book's own addresses.
pub const SCHEMES: &[&str] =
    &["claim", "wrong", "draw", "table", "blame", "good", "fault", "part", "wire", "connector", "sheet"];

/// Reports each `](` of a page that stands neither in a link or image nor in code or HTML.
pub fn links(file: FileId, text: &str, masked: &str, start: usize, events: &Events, log: &Log) {
    let covered: Vec<&Range<usize>> =
        events.iter().filter(|(event, _)| covers(event)).map(|(_, range)| range).collect();
    for (at, opening) in masked[start..].match_indices("](") {
        let at = start + at;
        let escaped = text[..at].ends_with('\\');
        if escaped || covered.iter().any(|range| range.contains(&at)) {
            continue;
        }
        let from = at + opening.len();
        let line = text[from..].lines().next().unwrap_or_default();
        let length = line.find(')').unwrap_or(line.len());
        let span = Span::new(file, from..from + length);
        let finding = Finding::new(Code::BadStatement, span, "this is not read as a link");
        let hint = match scheme_hint(&line[..length]) {
            Some(hint) => hint,
            None => "an address with spaces stands in angle brackets: `[words](<address>)`".to_string(),
        };
        log.push(finding.hint(hint));
    }
}

fn covers(event: &Event) -> bool {
    matches!(
        event,
        Event::Start(Tag::Link { .. } | Tag::Image { .. } | Tag::CodeBlock(_) | Tag::HtmlBlock)
            | Event::Code(_)
            | Event::InlineHtml(_)
    )
}

/// The scheme that an address nearly has.
pub fn scheme_hint(address: &str) -> Option<String> {
    let (scheme, _) = address.trim_start_matches('<').trim_start().split_once(':')?;
    let near = nearest(scheme, SCHEMES.iter().copied())?;
    Some(format!("did you mean `{near}:`?"))
}
