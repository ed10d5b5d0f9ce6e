//! Turns what looks like a link but was not read as one into findings: a claim that nobody proves must not stand in a book.

use super::event::Events;
use crate::book::{Signal, first_bold, signal};
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

/// Words that other manuals begin a caution with.
const ALIKE: [&str; 5] = ["IMPORTANT", "ATTENTION", "HAZARD", "SAFETY", "TIP"];

/// Reports a block quote that means to begin with a signal word and doesn't: a warning must not lose its sign.
pub fn signals(file: FileId, text: &str, events: &Events, log: &Log) {
    for (at, (event, _)) in events.iter().enumerate() {
        if !matches!(event, Event::Start(Tag::BlockQuote(_))) {
            continue;
        }
        // The quote, its paragraph, and a bold word with what begins and ends it.
        let head: Vec<Event<'static>> = events[at..].iter().take(5).map(|(event, _)| event.clone()).collect();
        if signal(&head, 0).is_some() {
            continue;
        }
        let Some((_, words)) = events.get(at + 2) else { continue };
        let bracketed = text[words.start..].starts_with("[!");
        let word = match first_bold(&head, 0) {
            Some(bold) => bold.trim_end_matches(['.', ':', '!']),
            None if bracketed => text[words.start + 2..].split(']').next().unwrap_or_default(),
            None => continue,
        };
        let known = Signal::ALL.map(|signal| signal.word().to_uppercase());
        let near = || ALIKE.contains(&word) || nearest(word, known.iter().map(String::as_str)).is_some();
        if !bracketed && !near() {
            continue;
        }
        let start = words.start + 2;
        let span = Span::new(file, start..start + word.len());
        let headline = format!("`{word}` is not read as a signal word here");
        let hint = format!("write `> **WARNING** Chock the wheels.`; the words are {}", known.join(", "));
        log.push(Finding::new(Code::BadPage, span, headline).hint(hint));
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
