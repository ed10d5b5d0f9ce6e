//! Turns a problem in the author's sources into plain data: a code, a place, a headline and hints; it renders nothing.

mod code;

pub use code::{Code, Severity};

use crate::source::Span;

/// A second place that explains the first.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    pub span: Span,
    pub text: String,
}

/// One problem: what kind, where (the smallest wrong thing), a headline that stands alone, and what helps.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    pub code: Code,
    pub span: Span,
    pub headline: String,
    pub labels: Vec<Label>,
    pub hints: Vec<String>,
}

impl Finding {
    /// A problem at a place; its severity follows from its code.
    pub fn new(code: Code, span: Span, headline: impl Into<String>) -> Finding {
        Finding { code, span, headline: headline.into(), labels: Vec::new(), hints: Vec::new() }
    }

    /// Adds a second place.
    pub fn label(mut self, span: Span, text: impl Into<String>) -> Finding {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    /// Adds a sentence that helps: a reason, what was expected, a near miss.
    pub fn hint(mut self, text: impl Into<String>) -> Finding {
        self.hints.push(text.into());
        self
    }

    /// Adds a hint when there is one.
    pub fn hint_if(self, text: Option<String>) -> Finding {
        match text {
            Some(text) => self.hint(text),
            None => self,
        }
    }
}

/// The list that every stage appends to.
#[derive(Debug, Clone, Default)]
pub struct Findings {
    list: Vec<Finding>,
}

impl Findings {
    /// Appends one.
    pub fn push(&mut self, finding: Finding) {
        self.list.push(finding);
    }

    /// All of them, in the order of their places in the book.
    pub fn sorted(mut self) -> Vec<Finding> {
        self.list.sort_by_key(|finding| (finding.span, finding.code));
        self.list.dedup();
        self.list
    }

    /// How many there are of a severity.
    pub fn count(&self, severity: Severity) -> usize {
        self.list.iter().filter(|finding| finding.code.severity() == severity).count()
    }

    /// Those so far, in the order they were found.
    pub fn iter(&self) -> impl Iterator<Item = &Finding> {
        self.list.iter()
    }

    /// Appends another list.
    pub fn extend(&mut self, more: Findings) {
        self.list.extend(more.list);
    }
}
