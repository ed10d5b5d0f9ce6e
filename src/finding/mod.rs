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

/// What a remark tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum About {
    /// How to mend it: what was expected, a near miss, a column that is missing.
    Mend,
    /// Why it is so, in the circuit or in the book.
    Why,
    /// In which vehicle and state it was seen, and in how many.
    Seen,
    /// The step that it belongs to.
    Step,
    /// Where more stands.
    More,
}

impl About {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            About::Mend => "mend",
            About::Why => "why",
            About::Seen => "seen in",
            About::Step => "step",
            About::More => "more",
        }
    }
}

/// A sentence that helps, and what it tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Remark {
    pub about: About,
    pub text: String,
}

/// One problem: what kind, where (the smallest wrong thing), a headline that stands alone, and what helps.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    pub code: Code,
    pub span: Span,
    pub headline: String,
    pub labels: Vec<Label>,
    pub remarks: Vec<Remark>,
    /// All that it is about, where the headline names the first of many.
    pub names: Vec<String>,
}

impl Finding {
    /// A problem at a place; its severity follows from its code.
    pub fn new(code: Code, span: Span, headline: impl Into<String>) -> Finding {
        Finding {
            code,
            span,
            headline: headline.into(),
            labels: Vec::new(),
            remarks: Vec::new(),
            names: Vec::new(),
        }
    }

    /// Adds a second place.
    pub fn label(mut self, span: Span, text: impl Into<String>) -> Finding {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    /// Adds a sentence.
    pub fn remark(mut self, about: About, text: impl Into<String>) -> Finding {
        self.remarks.push(Remark { about, text: text.into() });
        self
    }

    /// Says all that it is about.
    pub fn naming(mut self, names: &[String]) -> Finding {
        self.names = names.to_vec();
        self
    }

    /// Adds how to mend it.
    pub fn hint(self, text: impl Into<String>) -> Finding {
        self.remark(About::Mend, text)
    }

    /// Adds how to mend it where that is known.
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
    held: usize,
}

impl Findings {
    /// Appends one.
    pub fn push(&mut self, finding: Finding) {
        self.list.push(finding);
    }

    /// All of them: first what could not be read, since that can be the cause of the others; errors before warnings; these in
    /// the order of their places in the book.
    pub fn sorted(mut self) -> Vec<Finding> {
        self.list.sort_by_key(|finding| {
            (finding.code.is_proved(), finding.code.severity(), finding.span, finding.code)
        });
        self.list.dedup();
        self.list
    }

    /// Counts one that is not told, because it may only follow from another.
    pub fn hold_back(&mut self) {
        self.held += 1;
    }

    /// How many are not told.
    pub fn held_back(&self) -> usize {
        self.held
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
        self.held += more.held;
    }
}
