//! Turns a book's procedures into how few tests they could do with, so that the tests they do can be held against it.

use super::lineup::{Lineup, lineups};
use super::sequence::{Aim, Planner};
use super::trial::{problem, trials};
use crate::bench::Rig;
use crate::book::{Book, BuildId, FaultId, Place, Target};
use crate::proof::coverage::Showing;
use crate::proof::trouble::{End, target};
use indexmap::IndexSet;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A procedure's tests beside the fewest that come to the same verdicts.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    pub procedure: Place,
    /// Vehicles that go through it: faults times builds, each with a verdict.
    pub vehicles: usize,
    /// Mean number of tests to the verdict as the procedure stands.
    pub tests: f64,
    /// Mean number of tests of the best strategy found, never more than `tests`: an author may know a better test than
    /// those that are tried here.
    pub best: f64,
    /// Whether no strategy of the tests that were tried is better.
    pub exact: bool,
}

/// For each procedure, its mean number of tests and the least that sorts the same vehicles into the same verdicts and
/// blames no healthy one, every vehicle counting the same. Those that no test tried here tells from one with another
/// verdict count with the tests that the procedure itself takes; those without a verdict do not count. The tests tried are
/// those of [`super::troubleshooting`]; the strategy is that of [`Planner`] with a cost of one for each test. Cost: that of
/// drafting every procedure.
pub fn best_possible(book: &Book, rigs: &[Rig], showings: &[Showing]) -> Vec<Best> {
    let ends = ends(book, showings);
    let has_verdict = |showing: &Showing, procedure: Place| {
        let step = showing.shown.as_ref().map(|shown| shown.step);
        step.is_some_and(|step| ends.contains_key(&(procedure, step, showing.build, showing.fault)))
    };
    let lineups = lineups(book, rigs, showings, &has_verdict);
    lineups.into_par_iter().filter_map(|lineup| best(book, lineup, &ends)).collect()
}

/// How each vehicle's walk ends: the verdict's blame in words, and after how many tests.
type Ends = BTreeMap<(Place, Place, BuildId, FaultId), (String, usize)>;

fn ends(book: &Book, showings: &[Showing]) -> Ends {
    let mut ends = Ends::new();
    for showing in showings {
        let Some(shown) = &showing.shown else { continue };
        let (Some(procedure), Some(walk)) = (shown.procedure, &shown.walk) else {
            continue;
        };
        let End::At { place, outcome } = walk.end else {
            continue;
        };
        let Target::Verdict { blames, .. } = target(book, place, outcome) else {
            continue;
        };
        let mut names: Vec<String> = blames.iter().map(|suspect| book.step_line().suspect(suspect)).collect();
        names.sort();
        let key = (procedure, shown.step, showing.build, showing.fault);
        ends.insert(key, (names.join(", "), walk.trail.len()));
    }
    ends
}

fn best(book: &Book, mut lineup: Lineup, ends: &Ends) -> Option<Best> {
    let procedure = lineup.place;
    let mut names: IndexSet<&str> = IndexSet::new();
    let mut labels = Vec::new();
    let mut counted = Vec::new();
    for suspect in &mut lineup.suspects {
        let build = suspect.bench.rig().build;
        let end = suspect.fault.and_then(|fault| ends.get(&(procedure, suspect.step, build, fault)));
        labels.push(end.map_or(0, |(blame, _)| 1 + names.insert_full(blame).0));
        counted.push(end.map(|(_, tests)| *tests));
        suspect.weight = if end.is_some() { 1.0 } else { 0.0 };
    }
    let vehicles = counted.iter().flatten().count();
    if vehicles == 0 {
        return None;
    }
    let tests = counted.iter().flatten().sum::<usize>() as f64 / vehicles as f64;
    let trials = trials(book, &lineup, &labels);
    let mut planner = Planner::new(&problem(&lineup, &trials, labels.clone(), |_| 1.0), Aim::Mean);
    let tree = planner.tree();
    let fewest = |suspect: usize, tests: usize| match tree.verdict(suspect) {
        Some((fewest, left)) if left.iter().all(|&other| labels[other] == labels[suspect]) => fewest,
        _ => tests,
    };
    let counted = counted.iter().enumerate();
    let depths: usize = counted.filter_map(|(suspect, tests)| Some(fewest(suspect, (*tests)?))).sum();
    let best = (depths as f64 / vehicles as f64).min(tests);
    Some(Best { procedure, vehicles, tests, best, exact: planner.is_exact() })
}
