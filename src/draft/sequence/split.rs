//! Turns a problem into classes of suspects that no test tells apart, and its tests into the ways in which they split them.

use super::Problem;
use indexmap::{IndexMap, IndexSet};

/// A set of classes: a sorted list of their numbers.
pub type Set = Vec<u16>;

/// What each outcome of a test leaves.
pub type Parts = Vec<(u8, Set)>;

/// Suspects that no test tells apart.
#[derive(Debug, Clone, Default)]
pub struct Class {
    pub weight: f64,
    /// Sorted, each once.
    pub labels: Vec<usize>,
    /// Numbers the different lists of labels.
    pub verdict: usize,
    pub suspects: Vec<usize>,
}

/// A test that splits the classes in a way of its own, at the least cost at which that can be had.
#[derive(Debug, Clone)]
pub struct Split {
    pub test: usize,
    pub cost: f64,
    /// The outcome of each class.
    pub outcomes: Vec<Option<u8>>,
}

/// The classes of a problem, and the class of each suspect.
pub fn classes(problem: &Problem) -> (Vec<Class>, Vec<usize>) {
    let mut classes: IndexMap<Vec<Option<u8>>, Class> = IndexMap::new();
    let mut class_of = Vec::new();
    for suspect in 0..problem.weights.len() {
        let entry = classes.entry(problem.tests.iter().map(|test| test.outcomes[suspect]).collect());
        class_of.push(entry.index());
        let class = entry.or_default();
        class.weight += problem.weights[suspect];
        class.suspects.push(suspect);
        let label = problem.labels[suspect];
        if let Err(at) = class.labels.binary_search(&label) {
            class.labels.insert(at, label);
        }
    }
    let mut verdicts: IndexSet<Vec<usize>> = IndexSet::new();
    for class in classes.values_mut() {
        class.verdict = verdicts.insert_full(class.labels.clone()).0;
    }
    (classes.into_values().collect(), class_of)
}

/// The tests that split the classes, the cheapest of each way to split them; outcomes are counted in order of appearance.
pub fn splits(problem: &Problem, classes: &[Class]) -> Vec<Split> {
    let mut splits: IndexMap<Vec<Option<u8>>, Split> = IndexMap::new();
    for (test, data) in problem.tests.iter().enumerate() {
        let mut names: Vec<u8> = Vec::new();
        let outcomes = classes.iter().map(|class| {
            let outcome = data.outcomes[class.suspects[0]]?;
            let at = names.iter().position(|&name| name == outcome).unwrap_or_else(|| {
                names.push(outcome);
                names.len() - 1
            });
            Some(at as u8)
        });
        let outcomes: Vec<Option<u8>> = outcomes.collect();
        if outcomes.iter().all(|outcome| outcome.is_none_or(|outcome| outcome == 0)) {
            continue;
        }
        let split = Split { test, cost: data.cost, outcomes: outcomes.clone() };
        let best = splits.entry(outcomes).or_insert_with(|| split.clone());
        if best.cost > split.cost {
            *best = split;
        }
    }
    splits.into_values().collect()
}

/// What each outcome leaves of a set; none where a class of it forbids the test.
pub fn parts(set: &Set, outcomes: &[Option<u8>]) -> Option<Parts> {
    let mut parts: Parts = Vec::new();
    for &class in set {
        let outcome = outcomes[class as usize]?;
        match parts.iter_mut().find(|(other, _)| *other == outcome) {
            Some((_, part)) => part.push(class),
            None => parts.push((outcome, vec![class])),
        }
    }
    Some(parts)
}

/// Which classes of a set a test leaves together, whatever its outcomes are called.
pub fn pattern(set: &Set, outcomes: &[Option<u8>]) -> Vec<u8> {
    let mut names: Vec<Option<u8>> = Vec::new();
    set.iter()
        .map(|&class| {
            let outcome = outcomes[class as usize];
            let at = names.iter().position(|&name| name == outcome).unwrap_or_else(|| {
                names.push(outcome);
                names.len() - 1
            });
            at as u8
        })
        .collect()
}
