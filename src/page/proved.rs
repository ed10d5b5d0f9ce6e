//! Turns the proof into the page that says how the book was proved: what was judged, over what, and what is accepted.

use super::Output;
use super::kit::{Chrome, Kit};
use crate::finding::{Finding, Severity};
use crate::proof::metrics::Metrics;
use crate::source::Sources;
use serde::Serialize;

/// The view of `proved.html`.
#[derive(Debug, Clone, Serialize)]
pub struct Proved {
    pub chrome: Chrome,
    pub version: &'static str,
    pub supply: String,
    pub temperature: String,
    pub builds: Vec<String>,
    pub statements: usize,
    /// How many states all statements were judged in, and in how many they held.
    pub judged: usize,
    pub held: usize,
    pub intents: usize,
    pub intent_states: usize,
    /// Whether every intent was judged in all states of its controls.
    pub complete: bool,
    pub reasons: usize,
    pub walks: usize,
    pub metrics: Metrics,
    /// Percentages for a reader.
    pub detected: String,
    pub isolated: [String; 3],
    pub mean_group: String,
    pub mean_tests: String,
    /// Two faults at once, where that was judged.
    pub pairs: Option<Pairs>,
    pub accepted: Vec<Accepted>,
    /// The findings of an unproven book.
    pub findings: Vec<Problem>,
}

/// How many pairs of faults there are, how many were judged, and the share that ends well.
#[derive(Debug, Clone, Serialize)]
pub struct Pairs {
    pub all: usize,
    pub judged: usize,
    pub share: String,
}

/// An accepted fault: HTML and the author's reason.
#[derive(Debug, Clone, Serialize)]
pub struct Accepted {
    pub fault: String,
    pub reason: String,
}

/// A finding, for a draft.
#[derive(Debug, Clone, Serialize)]
pub struct Problem {
    pub code: &'static str,
    pub error: bool,
    pub place: String,
    pub headline: String,
    /// Sentences that help, each after the word for what it tells.
    pub remarks: Vec<String>,
}

/// The page.
pub fn page(kit: &Kit, sources: &Sources, findings: &[Finding]) -> Output {
    let path = "proved.html";
    let chrome = kit.chrome(path, &kit.words.text("nav.proved"), None);
    let (book, proof) = (kit.book, kit.proof);
    let metrics = proof.metrics.clone();
    let supply = book.manual.supply.map(|supply| supply.0);
    let unit = crate::quantity::Unit::base(crate::quantity::Dimension::Potential);
    let view = Proved {
        version: env!("CARGO_PKG_VERSION"),
        supply: supply.map(|value| crate::quantity::Amount { value, unit }).to_string(),
        temperature: format!("{} °C", crate::quantity::number(book.manual.temperature)),
        builds: (0..book.builds.len() as u32)
            .map(|build| book.build_name(crate::book::BuildId(build)))
            .filter(|name| !name.is_empty())
            .collect(),
        statements: proof.statements.len(),
        judged: proof.statements.iter().map(|statement| statement.judged).sum(),
        held: proof.statements.iter().map(|statement| statement.held).sum(),
        intents: book.intents.len(),
        intent_states: proof.judged.iter().map(|judged| judged.states).sum(),
        complete: proof.judged.iter().all(|judged| judged.complete),
        reasons: proof.reasons.iter().filter(|reason| reason.difference.is_some()).count(),
        walks: proof.walks,
        detected: crate::quantity::percent(metrics.fraction_detected),
        isolated: metrics.fraction_isolated.map(crate::quantity::percent),
        mean_group: crate::quantity::number(metrics.mean_group_per_fault),
        mean_tests: crate::quantity::number(metrics.mean_tests),
        pairs: proof.pairs.as_ref().map(|pairs| Pairs {
            all: pairs.all,
            judged: pairs.judged,
            share: crate::quantity::percent(pairs.share()),
        }),
        accepted: book
            .accepted
            .iter()
            .map(|accepted| Accepted {
                fault: kit.linked(&kit.say().fault(accepted.fault), chrome.root),
                reason: accepted.reason.clone(),
            })
            .collect(),
        findings: match kit.draft {
            Some(_) => findings.iter().map(|finding| problem(sources, finding)).collect(),
            None => Vec::new(),
        },
        metrics,
        chrome,
    };
    kit.templates.page("proved.html", path, &view)
}

fn problem(sources: &Sources, finding: &Finding) -> Problem {
    let text = sources.text(finding.span.file);
    let position = text.position(finding.span.start as usize);
    Problem {
        code: finding.code.name(),
        error: finding.code.severity() == Severity::Error,
        place: format!("{}:{}:{}", text.path, position.line, position.column),
        headline: finding.headline.clone(),
        remarks: finding.remarks.iter().map(|told| format!("{}: {}", told.about.word(), told.text)).collect(),
    }
}
