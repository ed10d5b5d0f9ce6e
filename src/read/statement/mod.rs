//! Turns an author's statements (settings, hands, expected results, claims) into resolved ones.

mod act;
mod claim;
mod expect;
mod point;
mod setup;
mod sighting;
mod suspect;

pub use act::{HANDS, INSTRUMENTS};
pub use expect::{LOOKS, one_look, subject};
pub use point::POINTS;
pub use setup::SETUPS;
pub use sighting::SIGHTINGS;

use super::index::Index;
use super::log::{Log, suggestion};
use crate::book::{Act, Book, Expect, Setup, Sighting, Suspect};
use crate::finding::{Code, Finding};
use crate::source::{Placed, Span};

/// What statements are read against. Each reader reports what is wrong and returns the rest.
#[derive(Clone, Copy)]
pub struct Reader<'a> {
    pub book: &'a Book,
    pub index: &'a Index,
    pub log: &'a Log<'a>,
}

/// A text of an author with its place.
pub type Text<'a> = Placed<&'a str>;

impl Reader<'_> {
    /// `key run, door closed`.
    pub fn settings(&self, text: Text) -> Vec<Act> {
        setup::settings(self, text)
    }

    /// `unplug K4, test light K4:30 to ground`.
    pub fn acts(&self, text: Text) -> Vec<Act> {
        act::acts(self, text)
    }

    /// `H9 lit, M4 stopped`.
    pub fn expects(&self, text: Text) -> Vec<Expect> {
        expect::expects(self, text)
    }

    /// What stands before `=>` in a claim, or after the sheet of a drawing.
    pub fn setups(&self, text: Text) -> Vec<Setup> {
        setup::setups(self, text)
    }

    /// What somebody saw on a broken vehicle.
    pub fn sighting(&self, text: Text) -> Option<Sighting> {
        sighting::sighting(self, text)
    }

    /// `K4, W41, lift short`.
    pub fn suspects(&self, text: Text) -> Vec<Suspect> {
        suspect::suspects(self, text)
    }

    /// A whole claim: what is set up, and what is expected.
    pub fn claim(&self, text: Text) -> Option<(Vec<Setup>, Vec<Expect>)> {
        claim::claim(self, text)
    }

    /// A name that is none of the things it might be.
    fn unknown<'n>(
        &self,
        code: Code,
        span: Span,
        what: &str,
        name: &str,
        known: impl IntoIterator<Item = &'n str>,
    ) {
        if !self.index.is_lost(name) {
            self.log.unknown(code, span, what, name, known);
        }
    }

    /// Reports that a text is empty, at the letter before it.
    fn empty(&self, text: Text, headline: &str, hint: &str) {
        let before = Span { start: text.span.start.saturating_sub(1), end: text.span.start, ..text.span };
        self.bad(before, headline, hint);
    }

    fn bad(&self, span: Span, headline: impl Into<String>, hint: impl Into<String>) {
        self.log.push(Finding::new(Code::BadStatement, span, headline).hint(hint));
    }

    /// A fault by its name in the catalogue, however its words are spaced.
    pub fn fault(&self, name: &Placed<String>) -> Option<crate::book::FaultId> {
        let found = self.index.faults.get(&name.value).copied();
        if found.is_none() {
            let first = name.split([' ', ':']).next().unwrap_or_default();
            let doubtful = self.index.parts.get(first).is_some_and(|part| self.index.doubtful.contains(part));
            if doubtful || self.index.is_lost(first) {
                return None;
            }
            let of_item = self.index.faults.keys().map(String::as_str);
            let of_item: Vec<&str> =
                of_item.filter(|known| known.split([' ', ':']).next() == Some(first)).collect();
            let finding =
                Finding::new(Code::UnknownFault, name.span, format!("there is no fault `{}`", name.value));
            let hint = match of_item.is_empty() {
                true => suggestion(&name.value, self.index.faults.keys().map(String::as_str)),
                false => suggestion(&name.value, of_item.iter().copied()),
            };
            self.log.push(finding.hint_if(hint));
        }
        found
    }
}
