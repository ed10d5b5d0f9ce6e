//! Turns a proof into the tables that the book, the JSON output and the terminal share: one model, every name spelled out.

use super::Proof;
use super::coverage::Showing;
use super::metrics::Metrics;
use super::pairs::{How, Pairs};
use super::trouble::{End, Walk, names, target};
use crate::book::{Book, BuildId, PageId, Place, Role, Target};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A place in the book that a reader can be sent to.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Spot {
    /// The content file, relative to `content/`.
    pub page: String,
    pub anchor: String,
    pub title: String,
}

/// A checkout step: what it shows and where it leads.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepRow {
    pub step: Spot,
    pub expects: Vec<String>,
    /// How many faults of the vehicle show here first.
    pub faults: usize,
    pub leads: Vec<Lead>,
}

/// A branch of a step and what can come of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Lead {
    /// The symptom, as the author wrote it; none for any other failure.
    pub symptom: Option<String>,
    /// The step, and which of its branches this is.
    #[serde(skip)]
    pub branch: Option<(Place, usize)>,
    pub procedure: Spot,
    pub verdicts: Vec<VerdictRow>,
}

/// A verdict of a procedure, for the faults that come from one step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct VerdictRow {
    /// Where the verdict stands.
    pub at: Spot,
    /// The author's words; what is blamed where there are none.
    pub words: String,
    /// The verdict, where it has no words of its author's.
    #[serde(skip)]
    pub unworded: Option<(Place, usize)>,
    pub blames: Vec<String>,
    pub faults: Vec<String>,
    /// Fewest and most tests that lead to it.
    pub tests: (usize, usize),
}

/// One fault in one checkout, for all builds in which the same happens.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FaultRow {
    pub fault: String,
    pub item: String,
    /// The checkout page.
    pub checkout: String,
    pub builds: Vec<String>,
    pub shown: Option<ShownRow>,
    /// Why it is accepted, if it is.
    pub accepted: Option<String>,
}

/// Where a fault shows and what becomes of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShownRow {
    pub step: Spot,
    pub procedure: Option<Spot>,
    /// The verdict's words; none when the walk ends without one.
    pub verdict: Option<String>,
    /// The verdict, where it has no words of its author's.
    #[serde(skip)]
    pub unworded: Option<(Place, usize)>,
    /// Whether the verdict names the item at fault.
    pub right: bool,
    pub tests: usize,
}

/// All tables of a proof.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tables {
    pub steps: Vec<StepRow>,
    pub faults: Vec<FaultRow>,
    pub metrics: Metrics,
    /// Two faults at once, where that was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pairs: Option<PairTable>,
}

/// Two faults at once: how many pairs there are, and those that do not end in a working vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PairTable {
    pub all: usize,
    pub judged: usize,
    /// The share of those judged that end well.
    pub share: f64,
    pub astray: Vec<PairRow>,
}

/// A pair of faults that does not end well, for all builds in which the same happens.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PairRow {
    pub faults: [String; 2],
    pub builds: Vec<String>,
    pub checkout: String,
    pub how: How,
    pub step: Option<Spot>,
    /// The tests and what was read: `4.1 dark, 4.2 lit`.
    pub tests: String,
    /// The words of the verdict, where it ends at one.
    pub verdict: Option<String>,
}

/// Lays out the tables.
pub fn tables(book: &Book, proof: &Proof) -> Tables {
    Tables {
        steps: steps(book, proof),
        faults: faults(book, proof),
        metrics: proof.metrics.clone(),
        pairs: proof.pairs.as_ref().map(|found| pairs(book, found)),
    }
}

/// A place by its names.
pub fn spot(book: &Book, place: Place) -> Spot {
    let (page, section) = (book.page(place.page), book.section(place));
    Spot { page: page.path.clone(), anchor: section.anchor.clone(), title: section.title.clone() }
}

fn steps(book: &Book, proof: &Proof) -> Vec<StepRow> {
    let mut showing: BTreeMap<Place, Vec<&Showing>> = BTreeMap::new();
    for fault in &proof.faults {
        if let Some(shown) = &fault.shown {
            showing.entry(shown.step).or_default().push(fault);
        }
    }
    let mut rows = Vec::new();
    for (index, page) in book.pages.iter().enumerate() {
        for (place, step) in super::steps::steps(page, PageId(index as u32)) {
            let here = showing.get(&place).map(Vec::as_slice).unwrap_or_default();
            let mut names: Vec<_> = here.iter().map(|showing| showing.fault).collect();
            names.dedup();
            names.sort();
            names.dedup();
            let leads = step.branches.iter().enumerate().map(|(at, branch)| Lead {
                branch: Some((place, at)),
                symptom: branch.when.as_ref().map(|expects| {
                    expects.iter().map(|expect| expect.text.as_str()).collect::<Vec<_>>().join(", ")
                }),
                procedure: spot(book, branch.to),
                verdicts: verdicts(book, here, branch.to),
            });
            rows.push(StepRow {
                step: spot(book, place),
                expects: step.expects.iter().map(|expect| expect.text.clone()).collect(),
                faults: names.len(),
                leads: leads.collect(),
            });
        }
    }
    rows
}

/// The verdicts that a step's faults reach through one procedure, in the order of their places.
fn verdicts(book: &Book, showings: &[&Showing], procedure: Place) -> Vec<VerdictRow> {
    let mut rows: BTreeMap<(Place, usize), VerdictRow> = BTreeMap::new();
    for showing in showings {
        let Some(shown) = showing.shown.as_ref().filter(|shown| shown.procedure == Some(procedure)) else {
            continue;
        };
        let Some(walk) = &shown.walk else { continue };
        let End::At { place, outcome } = walk.end else {
            continue;
        };
        let Some((words, blames)) = verdict(book, place, outcome) else {
            continue;
        };
        let tests = walk.trail.len();
        let row = rows.entry((place, outcome)).or_insert_with(|| VerdictRow {
            at: spot(book, place),
            unworded: unworded(book, place, outcome),
            words,
            blames,
            faults: Vec::new(),
            tests: (tests, tests),
        });
        row.tests = (row.tests.0.min(tests), row.tests.1.max(tests));
        let name = &book.fault(showing.fault).name;
        if !row.faults.contains(name) {
            row.faults.push(name.clone());
        }
    }
    rows.into_values().collect()
}

/// A verdict's words and the ids that it blames; an end without blame names none.
pub fn verdict(book: &Book, place: Place, outcome: usize) -> Option<(String, Vec<String>)> {
    let Role::Test(test) = &book.section(place).role else {
        return None;
    };
    match &test.outcomes[outcome].to {
        Target::Verdict { words, blames } => {
            let blames: Vec<String> =
                blames.iter().map(|suspect| book.step_line().suspect(suspect)).collect();
            let words = if words.is_empty() { blames.join(", ") } else { words.clone() };
            Some((words, blames))
        }
        Target::Good { words } => Some((words.clone(), Vec::new())),
        Target::Go(_) => None,
    }
}

/// The verdict itself when its author gave it no words.
fn unworded(book: &Book, place: Place, outcome: usize) -> Option<(Place, usize)> {
    match target(book, place, outcome) {
        Target::Verdict { words, .. } if words.is_empty() => Some((place, outcome)),
        _ => None,
    }
}

fn faults(book: &Book, proof: &Proof) -> Vec<FaultRow> {
    let mut rows: Vec<FaultRow> = Vec::new();
    let mut order: Vec<&Showing> = proof.faults.iter().collect();
    order.sort_by_key(|showing| (showing.fault, showing.page, showing.build));
    for showing in order {
        let row = row(book, showing);
        let same = rows.last_mut().filter(|last| {
            (&last.fault, &last.checkout, &last.shown) == (&row.fault, &row.checkout, &row.shown)
        });
        match same {
            Some(last) => last.builds.extend(row.builds),
            None => rows.push(row),
        }
    }
    rows
}

fn row(book: &Book, showing: &Showing) -> FaultRow {
    let fault = book.fault(showing.fault);
    let shown = showing.shown.as_ref().map(|shown| {
        let at = shown.walk.as_ref().and_then(|walk| match walk.end {
            End::At { place, outcome } => Some((place, outcome)),
            _ => None,
        });
        let right = at.is_some_and(|(place, outcome)| match target(book, place, outcome) {
            Target::Verdict { blames, .. } => names(book, blames, fault),
            _ => false,
        });
        ShownRow {
            step: spot(book, shown.step),
            procedure: shown.procedure.map(|procedure| spot(book, procedure)),
            verdict: at.and_then(|(place, outcome)| verdict(book, place, outcome)).map(|(words, _)| words),
            unworded: at.and_then(|(place, outcome)| unworded(book, place, outcome)),
            right,
            tests: shown.walk.as_ref().map_or(0, |walk| walk.trail.len()),
        }
    });
    let accepted = book.accepted.iter().find(|accepted| accepted.fault == showing.fault);
    FaultRow {
        fault: fault.name.clone(),
        item: book.item_name(fault.item).to_string(),
        checkout: book.page(showing.page).path.clone(),
        builds: vec![book.build_name(BuildId(showing.build.0))],
        shown,
        accepted: accepted.map(|accepted| accepted.reason.clone()),
    }
}

/// Lays out two faults at once.
pub fn pairs(book: &Book, pairs: &Pairs) -> PairTable {
    let mut astray: Vec<PairRow> = Vec::new();
    for pair in &pairs.astray {
        let walk = pair.shown.as_ref().and_then(|shown| shown.walk.as_ref());
        let end = walk.and_then(|walk| match walk.end {
            End::At { place, outcome } => verdict(book, place, outcome),
            _ => None,
        });
        let row = PairRow {
            faults: pair.faults.map(|fault| book.fault(fault).name.clone()),
            builds: vec![book.build_name(pair.build)],
            checkout: book.page(pair.page).path.clone(),
            how: pair.how,
            step: pair.shown.as_ref().map(|shown| spot(book, shown.step)),
            tests: walk.map_or_else(String::new, |walk| trail(book, walk)),
            verdict: end.map(|(words, _)| words),
        };
        let same = astray.iter_mut().find(|other| {
            (&other.faults, &other.checkout, &other.tests) == (&row.faults, &row.checkout, &row.tests)
        });
        match same {
            Some(other) => other.builds.extend(row.builds),
            None => astray.push(row),
        }
    }
    PairTable { all: pairs.all, judged: pairs.judged, share: pairs.share(), astray }
}

/// The tests of a walk in one line: `4.1 dark, 4.2 lit`.
pub fn trail(book: &Book, walk: &Walk) -> String {
    let steps = walk.trail.iter().map(|taken| {
        let section = book.section(taken.place);
        let Role::Test(test) = &section.role else { unreachable!("a trail holds tests only") };
        let short = section.title.split(' ').next().unwrap_or(&section.title).trim_end_matches(':');
        match test.reads {
            Some(subject) => format!("{short} {}", taken.reading.words(book.looks(subject))),
            None => short.to_string(),
        }
    });
    steps.collect::<Vec<_>>().join(", ")
}
