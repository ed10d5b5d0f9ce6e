//! Turns a page's text into Markdown events with their bytes in the file, and pieces of them into words.

use crate::source::{FileId, Placed, Span};
use pulldown_cmark::{Event, Options, Parser, TagEnd};
use std::ops::Range;

/// Markdown events with their bytes in the file.
pub type Events = Vec<(Event<'static>, Range<usize>)>;

/// The Markdown events of the masked text, with the words of the author's own.
pub fn events(masked: &str, text: &str, start: usize) -> Events {
    let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH | Options::ENABLE_HEADING_ATTRIBUTES;
    Parser::new_ext(&masked[start..], options)
        .into_offset_iter()
        .map(|(event, range)| {
            let range = range.start + start..range.end + start;
            let event = event.into_static();
            // Text that stands as it was written is taken from the author's file: code may show an address.
            let own =
                |shown: &str| (masked[range.clone()] == *shown).then(|| text[range.clone()].to_string());
            let event = match event {
                Event::Text(shown) => Event::Text(own(&shown).map_or(shown, Into::into)),
                Event::Code(shown) => {
                    let inner = masked[range.clone()].find(&*shown).map(|at| range.start + at);
                    let own = inner.map(|from| text[from..from + shown.len()].to_string());
                    Event::Code(own.map_or(shown, Into::into))
                }
                other => other,
            };
            (event, range)
        })
        .collect()
}

/// The index after the block that begins at `at`.
pub fn block_end(events: &[(Event<'static>, Range<usize>)], at: usize) -> usize {
    let mut depth = 0;
    for (ahead, (event, _)) in events[at..].iter().enumerate() {
        match event {
            Event::Start(_) => depth += 1,
            Event::End(_) => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return at + ahead + 1;
        }
    }
    events.len()
}

/// The words of some events without their markup.
pub fn plain(events: &[(Event<'static>, Range<usize>)]) -> String {
    let mut words = String::new();
    for (event, _) in events {
        match event {
            Event::Text(text) | Event::Code(text) => words.push_str(text),
            Event::SoftBreak | Event::HardBreak => words.push(' '),
            Event::End(TagEnd::Heading(_)) => break,
            _ => {}
        }
    }
    words.trim().to_string()
}

/// A placed piece of the file.
pub fn placed(file: FileId, text: &str, range: Range<usize>) -> Placed<&str> {
    Placed::new(&text[range.clone()], Span::new(file, range))
}
