//! Turns findings into the records that a program reads.

use crate::finding::{Finding, Severity};
use crate::proof::edition::Difference;
use crate::proof::tables::Tables;
use crate::source::Sources;
use serde::Serialize;

/// All that `prove` found, as one object.
#[derive(Debug, Clone, Serialize)]
pub struct Report<'a> {
    pub findings: Vec<Record>,
    pub counts: Counts,
    pub metrics: &'a crate::proof::metrics::Metrics,
    pub stamp: &'a str,
    /// The steps table and the fault map.
    pub tables: &'a Tables,
    /// What changed since an earlier proof, when one is given to compare with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since: Option<&'a [Difference]>,
    /// The fewest tests of each procedure, when they are asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fewest: Option<&'a [Fewest]>,
}

/// A procedure's tests beside the fewest found that come to the same verdicts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fewest {
    /// The page and anchor: `lift-trouble.md#t7`.
    pub procedure: String,
    /// Vehicles that go through it: faults times builds.
    pub vehicles: usize,
    /// Mean number of tests to the verdict.
    pub tests: f64,
    /// The same of the best strategy found.
    pub fewest: f64,
    /// Whether no strategy of the tests that were tried is better.
    pub exact: bool,
}

/// One finding as JSON has it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Record {
    pub code: &'static str,
    /// `error` or `warning`.
    pub severity: &'static str,
    pub file: String,
    /// From 1.
    pub line: usize,
    /// From 1, in characters.
    pub column: usize,
    pub headline: String,
    pub remarks: Vec<Told>,
    /// All that it is about, where the headline names the first of many.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub names: Vec<String>,
}

/// A remark as JSON has it: `{"about": "why", "text": "no current flows: …"}`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told {
    /// The word that stands before it on a terminal: `mend`, `why`, `seen in`, `step`, `more`; `also` before a second place.
    pub about: &'static str,
    pub text: String,
}

/// How many findings there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Counts {
    pub errors: usize,
    pub warnings: usize,
    /// Those that are not told, since they may only follow from the others.
    pub held_back: usize,
}

impl Counts {
    /// Counts a list, beside which some were held back.
    pub fn of(findings: &[Finding], held_back: usize) -> Counts {
        let errors = findings.iter().filter(|finding| finding.code.severity() == Severity::Error).count();
        Counts { errors, warnings: findings.len() - errors, held_back }
    }
}

/// The word before a second place.
pub const ALSO: &str = "also";

/// The findings as records, in their order. A second place becomes a remark, so that nothing is lost.
pub fn records(findings: &[Finding], sources: &Sources) -> Vec<Record> {
    findings
        .iter()
        .map(|finding| {
            let text = sources.text(finding.span.file);
            let position = text.position(finding.span.start as usize);
            let labels = finding.labels.iter().map(|label| {
                let text = sources.text(label.span.file);
                let position = text.position(label.span.start as usize);
                let text = format!("{}:{}:{}: {}", text.path, position.line, position.column, label.text);
                Told { about: ALSO, text }
            });
            let remarks = finding.remarks.iter();
            let remarks = remarks.map(|told| Told { about: told.about.word(), text: told.text.clone() });
            Record {
                code: finding.code.name(),
                severity: finding.code.severity().word(),
                file: text.path.clone(),
                line: position.line,
                column: position.column,
                headline: finding.headline.clone(),
                remarks: remarks.chain(labels).collect(),
                names: finding.names.clone(),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Code;
    use crate::source::Span;

    #[test]
    fn errors_and_warnings_are_counted_apart_and_a_second_place_is_told() {
        let mut sources = Sources::default();
        let file = sources.add("circuits/a.toml", "one\ntwo\n");
        let [first, second] = [0..3, 4..7].map(|range| Span::new(file, range));
        let error = Finding::new(Code::DuplicateId, second, "it stands twice").label(first, "first here");
        let warnings =
            [Code::Unused, Code::NoIntent].map(|code| Finding::new(code, first, "nothing uses it"));
        assert_eq!(
            records(std::slice::from_ref(&error), &sources)[0].remarks,
            [Told { about: "also", text: "circuits/a.toml:1:1: first here".to_string() }]
        );
        let [one, other] = warnings;
        assert_eq!(Counts::of(&[error, one, other], 7), Counts { errors: 1, warnings: 2, held_back: 7 });
    }

    #[test]
    fn a_record_has_the_keys_of_the_format() {
        let mut sources = Sources::default();
        let file = sources.add("circuits/a.toml", "one\nkind = \"rellay\"\n");
        let span = Span::new(file, 12..18);
        let finding = Finding::new(Code::UnknownKind, span, "there is no kind").hint("did you mean `relay`?");
        let json = serde_json::to_value(records(&[finding], &sources)).unwrap();
        assert_eq!(
            json,
            serde_json::json!([{
                "code": "unknown-kind",
                "severity": "error",
                "file": "circuits/a.toml",
                "line": 2,
                "column": 9,
                "headline": "there is no kind",
                "remarks": [{ "about": "mend", "text": "did you mean `relay`?" }],
            }])
        );
    }
}
