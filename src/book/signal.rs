//! Turns a block quote that begins with a signal word in bold into the signal: `> **WARNING** Chock the wheels.`
//!
//! The words are those of ANSI Z535.6, and `NOTE` for a remark set apart. They are part of the format, whatever language the
//! book is in; the page says them in the book's language.

use pulldown_cmark::{Event, Tag, TagEnd};

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Signal {
    Danger,
    Warning,
    Caution,
    Notice,
    /// No hazard: a remark set apart.
    Note,
}

impl Signal {
    /// All of them, the worst first.
    pub const ALL: [Signal; 5] =
        [Signal::Danger, Signal::Warning, Signal::Caution, Signal::Notice, Signal::Note];

    /// The word that an author writes, in small letters.
    pub fn word(self) -> &'static str {
        match self {
            Signal::Danger => "danger",
            Signal::Warning => "warning",
            Signal::Caution => "caution",
            Signal::Notice => "notice",
            Signal::Note => "note",
        }
    }

    /// Whether people can be hurt.
    pub fn injures(self) -> bool {
        self < Signal::Notice
    }
}

/// The words in bold that a block quote at `at` begins with.
pub fn first_bold<'e>(prose: &'e [Event<'static>], at: usize) -> Option<&'e str> {
    use Event::{End, Start, Text};
    match prose.get(at..at + 5)? {
        [
            Start(Tag::BlockQuote(_)),
            Start(Tag::Paragraph),
            Start(Tag::Strong),
            Text(bold),
            End(TagEnd::Strong),
        ] => Some(bold),
        _ => None,
    }
}

/// The signal of a block quote that begins at `at`.
pub fn signal(prose: &[Event<'static>], at: usize) -> Option<Signal> {
    let word = first_bold(prose, at)?.trim_end_matches(['.', ':', '!']).to_lowercase();
    Signal::ALL.into_iter().find(|signal| signal.word() == word)
}

/// How many events of a block quote with a signal come before the words of its message: its paragraph is still to be opened.
pub fn before_message(prose: &[Event<'static>], at: usize) -> usize {
    let breaks =
        prose[at + 5..].iter().take_while(|event| matches!(event, Event::SoftBreak | Event::HardBreak));
    5 + breaks.count()
}
