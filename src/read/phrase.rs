//! Turns a line of an author's text into words with their places, and hands them out one by one.

use super::log::{Log, suggestion};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, BadQuantity, Band, Dimension, Unit};
use crate::source::{Placed, Span};

/// A word, or one of `( ) |`.
#[derive(Debug, Clone, Copy)]
pub struct Word<'a> {
    pub text: &'a str,
    pub span: Span,
}

/// The words of a text from left to right.
#[derive(Debug, Clone)]
pub struct Phrase<'a> {
    words: Vec<Word<'a>>,
    at: usize,
    /// The whole text.
    pub span: Span,
}

impl<'a> Phrase<'a> {
    /// Splits a text that stands at `span` at white space and commas; `( ) |` are words of their own.
    pub fn new(text: &'a str, span: Span) -> Phrase<'a> {
        let mut words = Vec::new();
        let mut start = None;
        for (at, c) in text.char_indices().chain([(text.len(), ' ')]) {
            let single = matches!(c, '(' | ')' | '|');
            if c.is_whitespace() || c == ',' || single {
                if let Some(from) = start.take() {
                    words.push(from..at);
                }
                if single {
                    words.push(at..at + 1);
                }
            } else if start.is_none() {
                start = Some(at);
            }
        }
        let words =
            words.into_iter().map(|range| Word { text: &text[range.clone()], span: span.within(range) });
        Phrase { words: words.collect(), at: 0, span }
    }

    /// The next word, left where it is.
    pub fn peek(&self) -> Option<&'a str> {
        self.words.get(self.at).map(|word| word.text)
    }

    /// Takes the next word.
    pub fn next(&mut self) -> Option<Word<'a>> {
        let word = self.words.get(self.at).copied();
        self.at += word.is_some() as usize;
        word
    }

    /// Takes these words if they come next.
    pub fn accept(&mut self, words: &str) -> bool {
        let wanted: Vec<&str> = words.split(' ').collect();
        let fits = wanted
            .iter()
            .enumerate()
            .all(|(ahead, wanted)| self.words.get(self.at + ahead).is_some_and(|word| word.text == *wanted));
        if fits {
            self.at += wanted.len();
        }
        fits
    }

    /// Whether no word is left.
    pub fn is_done(&self) -> bool {
        self.at == self.words.len()
    }

    /// The place of the next word, or the last letter of the text when none is left.
    pub fn here(&self) -> Span {
        match self.words.get(self.at) {
            Some(word) => word.span,
            None => match self.words.last() {
                Some(last) => last.span,
                None => self.span,
            },
        }
    }

    /// The words that are left, joined by single spaces, with their place; they are taken.
    pub fn rest(&mut self) -> Placed<String> {
        let left = &self.words[self.at..];
        let span = match (left.first(), left.last()) {
            (Some(first), Some(last)) => first.span.to(last.span),
            _ => self.here(),
        };
        let words: Vec<&str> = left.iter().map(|word| word.text).collect();
        self.at = self.words.len();
        Placed::new(words.join(" "), span)
    }

    /// The words up to `stop` as a phrase of their own; `stop` is taken too. None when it does not come.
    pub fn until(&mut self, stop: &str) -> Option<Phrase<'a>> {
        let length = self.words[self.at..].iter().position(|word| word.text == stop)?;
        let words = self.words[self.at..self.at + length].to_vec();
        let span = match (words.first(), words.last()) {
            (Some(first), Some(last)) => first.span.to(last.span),
            _ => self.here(),
        };
        self.at += length + 1;
        Some(Phrase { words, at: 0, span })
    }

    /// Whether the next word begins like a number.
    pub fn at_number(&self) -> bool {
        self.peek().is_some_and(|word| {
            let word = word.trim_start_matches(['-', '+', '−']);
            word.starts_with(|c: char| c.is_ascii_digit() || c == '.')
        })
    }

    /// Takes a quantity or a band of them: a number and its unit, which may be the two words `per min`.
    pub fn band(&mut self, dimension: Dimension, log: &Log) -> Option<Placed<Band<Amount>>> {
        if !self.at_number() {
            let expected = format!("{} is expected here", dimension.name());
            let finding = Finding::new(Code::WrongUnit, self.here(), expected);
            log.push(finding.hint(format!("for example `{}`", dimension.example())));
            return None;
        }
        let number = self.next()?;
        let bare = number.text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '−'));
        let mut text = number.text.to_string();
        let mut span = number.span;
        let mut unit_span = None;
        if bare {
            let words = if self.peek() == Some("per") { 2 } else { 1 };
            for _ in 0..words {
                if let Some(unit) = self.peek().filter(|word| !RESERVED.contains(word)) {
                    text = format!("{text} {unit}");
                    span = span.to(self.here());
                    unit_span = Some(unit_span.map_or(self.here(), |before: Span| before.to(self.here())));
                    self.at += 1;
                }
            }
        }
        let read = Amount::parse_band(&text).and_then(|band| band.low.measure(dimension).map(|_| band));
        match read {
            Ok(band) => Some(Placed::new(band, span)),
            Err(problem) => {
                let hint = match &problem {
                    BadQuantity::UnknownUnit(unit) => suggestion(unit, Unit::symbols()),
                    _ => None,
                };
                let hint = hint.unwrap_or_else(|| {
                    format!("{} is expected, for example `{}`", dimension.name(), dimension.example())
                });
                let place = match problem {
                    BadQuantity::UnknownUnit(_) => unit_span.unwrap_or(span),
                    _ => span,
                };
                log.push(Finding::new(Code::WrongUnit, place, problem.to_string()).hint(hint));
                None
            }
        }
    }
}

/// Words that follow a quantity and are no unit.
const RESERVED: &[&str] =
    &["and", "or", "not", "until", "for", "lasting", "at", "blinking", "on", "then", "to", "(", ")", "|"];

/// A text cut at commas and semicolons, each piece trimmed, with its place; empty pieces are left out.
pub fn pieces(text: &str, span: Span) -> Vec<Placed<&str>> {
    let mut found = Vec::new();
    let mut start = 0;
    for (at, _) in text.match_indices([',', ';']).chain([(text.len(), "")]) {
        // `dark for 5 s, then lit` is one result, as it is told.
        if text[at..].trim_start_matches(',').trim_start().starts_with("then ") {
            continue;
        }
        let piece = &text[start..at];
        let trimmed = piece.trim();
        if !trimmed.is_empty() {
            let from = start + (piece.len() - piece.trim_start().len());
            found.push(Placed::new(trimmed, span.within(from..from + trimmed.len())));
        }
        start = at + 1;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{FileId, Sources};

    #[test]
    fn words_know_their_places() {
        let span = Span::new(FileId(0), 10..40);
        let mut phrase = Phrase::new("key run|start and (not door)", span);
        let mut words = Vec::new();
        while let Some(word) = phrase.next() {
            words.push((word.text, word.span.start - 10));
        }
        assert_eq!(
            words,
            [
                ("key", 0),
                ("run", 4),
                ("|", 7),
                ("start", 8),
                ("and", 14),
                ("(", 18),
                ("not", 19),
                ("door", 23),
                (")", 27)
            ]
        );
    }

    #[test]
    fn quantities_take_their_units() {
        let sources = Sources::default();
        let log = Log::new(&sources);
        let mut phrase = Phrase::new("20..35 deg and 90 per min", Span::new(FileId(0), 0..25));
        assert_eq!(phrase.band(Dimension::Angle, &log).unwrap().to_string(), "20..35 deg");
        assert!(phrase.accept("and"));
        assert_eq!(phrase.band(Dimension::Rate, &log).unwrap().to_string(), "90 per min");
        assert!(phrase.is_done());
        assert_eq!(log.count(), 0);
        let mut phrase = Phrase::new("20 and", Span::new(FileId(0), 0..6));
        assert!(phrase.band(Dimension::Angle, &log).is_none());
        assert_eq!(log.count(), 1);
        assert_eq!(phrase.peek(), Some("and"));
    }

    #[test]
    fn pieces_are_trimmed() {
        let found = pieces("key run , door open;", Span::new(FileId(0), 0..20));
        let found: Vec<_> = found.iter().map(|piece| (piece.value, piece.span.start)).collect();
        assert_eq!(found, [("key run", 0), ("door open", 10)]);
    }
}
