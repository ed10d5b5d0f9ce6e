//! Turns the terms that the book uses into its glossary: words of the trade, terminal markings, and wire color letters.

use super::Output;
use super::escape::escape;
use super::kit::{Chrome, Kit};
use crate::book::COLORS;
use serde::Serialize;
use std::collections::BTreeSet;

/// The view of `glossary.html`.
#[derive(Debug, Clone, Serialize)]
pub struct Glossary {
    pub chrome: Chrome,
    pub terms: Vec<Term>,
    /// Terminal markings after DIN 72552 that parts of this book have.
    pub terminals: Vec<Term>,
    /// The letters of IEC 60757.
    pub colors: Vec<Term>,
}

/// A term with its meaning; `mark` is HTML that shows it.
#[derive(Debug, Clone, Serialize)]
pub struct Term {
    pub term: String,
    pub meaning: String,
    pub mark: String,
}

/// The glossary.
pub fn page(kit: &Kit) -> Output {
    let path = "glossary.html";
    let chrome = kit.chrome(path, &kit.words.text("nav.glossary"), None);
    let term_of = |term: String, meaning: String| Term { term, meaning, mark: String::new() };
    let markings: BTreeSet<&str> = kit
        .book
        .parts
        .iter()
        .flat_map(|part| &part.terminals)
        .map(|terminal| terminal.name.as_str())
        .collect();
    let terminals =
        kit.words.section("terminal").into_iter().filter(|marking| markings.contains(marking.as_str()));
    let terminals = terminals.map(|marking| {
        let meaning = kit.words.text(&format!("terminal.{marking}"));
        term_of(marking, meaning)
    });
    let terms = kit.words.section("term").into_iter().map(|key| {
        let text = kit.words.text(&format!("term.{key}"));
        // A term and its meaning stand in one text, so that a language orders its own words.
        let (term, meaning) = text.split_once(": ").unwrap_or((&text, ""));
        term_of(term.to_string(), meaning.to_string())
    });
    let mut terms: Vec<Term> = terms.collect();
    terms.sort_by_key(|term_of| term_of.term.to_lowercase());
    let colors = COLORS.iter().map(|color| Term {
        term: color.letters.to_string(),
        meaning: kit.words.text(&format!("color.{}", color.letters)),
        mark: format!(
            r#"<span class="color" style="--base:{0};--stripe:{0}">{1}</span>"#,
            color.hex,
            escape(color.letters)
        ),
    });
    let mut terminals: Vec<Term> = terminals.collect();
    terminals.sort_by_key(|term_of| super::table::natural(&term_of.term));
    let view = Glossary { terms, terminals, colors: colors.collect(), chrome };
    kit.templates.page("glossary.html", path, &view)
}
