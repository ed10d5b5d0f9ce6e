//! Turns the list of findings into one that every reader can append to while it walks shared texts.

use super::near::nearest;
use crate::finding::{Code, Finding, Findings};
use crate::source::{FileId, Sources, Span};
use std::cell::{Cell, RefCell};

/// The texts being read and the findings about them. Readers hold it by shared reference: the TOML tables borrow the
/// same texts, and a finding may come from any depth.
pub struct Log<'a> {
    pub sources: &'a Sources,
    findings: RefCell<Findings>,
    count: Cell<usize>,
}

impl<'a> Log<'a> {
    /// An empty list over these texts.
    pub fn new(sources: &'a Sources) -> Log<'a> {
        Log { sources, findings: RefCell::default(), count: Cell::new(0) }
    }

    /// Appends a finding.
    pub fn push(&self, finding: Finding) {
        self.count.set(self.count.get() + 1);
        self.findings.borrow_mut().push(finding);
    }

    /// Appends a finding that needs no more than a headline.
    pub fn error(&self, code: Code, span: Span, headline: impl Into<String>) {
        self.push(Finding::new(code, span, headline));
    }

    /// Appends a finding about a name that is not among `known`, with the nearest one or, when they are few, all.
    pub fn unknown<'n>(
        &self,
        code: Code,
        span: Span,
        what: &str,
        name: &str,
        known: impl IntoIterator<Item = &'n str>,
    ) {
        let headline = format!("there is no {what} `{name}`");
        self.push(Finding::new(code, span, headline).hint_if(suggestion(name, known)));
    }

    /// How many findings there are so far: a reader that compares two counts knows whether a thing was read whole.
    pub fn count(&self) -> usize {
        self.count.get()
    }

    /// The codes of the findings from the `from`th on.
    pub fn codes_since(&self, from: usize) -> Vec<Code> {
        self.findings.borrow().iter().skip(from).map(|finding| finding.code).collect()
    }

    /// The whole text of a file.
    pub fn text(&self, file: FileId) -> &'a str {
        &self.sources.text(file).content
    }

    /// The findings, at the end.
    pub fn into_findings(self) -> Findings {
        self.findings.into_inner()
    }
}

/// As many names as a hint lists in full.
const LISTED: usize = 12;

/// Letters of a name that is near to too many others: between `K4` and `K5` no suggestion helps.
const SHORT: usize = 2;

/// `did you mean ...?`, or the list of what there is when nothing is near and the list is short; for a short name, those
/// that begin alike.
pub fn suggestion<'n>(name: &str, known: impl IntoIterator<Item = &'n str>) -> Option<String> {
    let known: Vec<&str> = known.into_iter().collect();
    let short = name.chars().count() <= SHORT;
    let near = match short {
        true => known.iter().copied().find(|other| other.eq_ignore_ascii_case(name)),
        false => nearest(name, known.iter().copied()),
    };
    if let Some(near) = near {
        return Some(format!("did you mean `{near}`?"));
    }
    let alike = |other: &&str| short && other.chars().next() == name.chars().next();
    let alike: Vec<&str> = known.iter().copied().filter(alike).collect();
    if known.len() > LISTED && (1..=LISTED).contains(&alike.len()) {
        return Some(all(&alike));
    }
    (1..=LISTED).contains(&known.len()).then(|| all(&known))
}

fn all(known: &[&str]) -> String {
    match known {
        [only] => format!("there is only `{only}`"),
        several => format!("there are {}", list(several)),
    }
}

/// Names in a sentence: `` `a`, `b` and `c` ``.
pub fn list(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        Some((last, _)) => last.clone(),
        None => "nothing".to_string(),
    }
}
