//! Turns the fault walks into the figures of a testability assessment.

use super::coverage::{Showing, Shown};
use super::trouble::{End, target};
use crate::book::{Book, BuildId, FaultId, Item, Suspect, Target};
use indexmap::IndexSet;
use std::collections::{BTreeMap, BTreeSet};

/// Figures after the definitions of MIL-STD-2165, appendix A (formulas from memory): the denominator of isolation is the
/// detected faults. A fault counts once in each build, in the checkout of its own system. Its weight is its share of its item's
/// failures there; every item and every build count the same, since a book gives no failure rates.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Metrics {
    /// Faults in the catalogue that at least one build can have.
    pub faults: usize,
    /// Those that a checkout shows in every build that can have them.
    pub detected: usize,
    pub accepted: usize,
    /// Weighted and unweighted share of the faults that are detected; of the weighted, in each build for itself.
    pub fraction_detected: f64,
    pub fraction_detected_unweighted: f64,
    /// Weighted share of the detected faults whose verdict names at most 1, 2 and 3 replaceable items.
    pub fraction_isolated: [f64; 3],
    /// Mean number of items that a verdict names, over verdicts, over faults, and weighted.
    pub mean_group_per_group: f64,
    pub mean_group_per_fault: f64,
    pub mean_group_weighted: f64,
    /// Mean number of tests from the failed step to the verdict, over detected faults with a verdict.
    pub mean_tests: f64,
    /// The same of each build alone, in the book's order; none where there is only one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub builds: Vec<Metrics>,
}

/// A detected fault's group: which verdict it gets, how many items that names, and after how many tests.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grouped {
    pub weight: f64,
    /// Faults with the same group number get the same verdict.
    pub group: usize,
    pub items: usize,
    pub tests: usize,
}

/// Measures a book's fault walks.
pub fn measure(book: &Book, showings: &[Showing]) -> Metrics {
    let builds: Vec<BuildId> = (0..book.builds.len() as u32).map(BuildId).collect();
    let all = of_builds(book, &showings.iter().collect::<Vec<_>>(), &builds);
    if builds.len() == 1 {
        return all;
    }
    let mut each: Vec<Vec<&Showing>> = vec![Vec::new(); builds.len()];
    for showing in showings {
        each[showing.build.index()].push(showing);
    }
    let each = builds.iter().map(|build| of_builds(book, &each[build.index()], &[*build]));
    Metrics { builds: each.collect(), ..all }
}

/// Measures the fault walks of some builds.
fn of_builds(book: &Book, showings: &[&Showing], builds: &[BuildId]) -> Metrics {
    let mut weights: BTreeMap<(FaultId, BuildId), f64> = BTreeMap::new();
    if !super::steps::checkouts(book).is_empty() {
        for (fault, number) in book.faults.iter().zip((0..).map(FaultId)) {
            let here = builds.iter().filter(|build| fault.is_in(**build));
            weights.extend(here.map(|&build| ((number, build), fault.share(build))));
        }
    }
    let told = told(book, showings);
    let faults: BTreeSet<FaultId> = weights.keys().map(|(fault, _)| *fault).collect();
    let missed = weights.keys().filter(|key| !told.contains_key(key));
    let missed: BTreeSet<FaultId> = missed.map(|(fault, _)| *fault).collect();
    let detected = faults.len() - missed.len();
    let weight = |key: &(FaultId, BuildId)| weights.get(key).copied().unwrap_or_default();
    let mut metrics = Metrics {
        faults: faults.len(),
        detected,
        accepted: book.accepted.iter().filter(|accepted| faults.contains(&accepted.fault)).count(),
        fraction_detected: share(told.keys().map(weight).sum(), weights.values().sum()),
        fraction_detected_unweighted: share(detected as f64, faults.len() as f64),
        ..Metrics::default()
    };
    let mut verdicts = IndexSet::new();
    let mut grouped = Vec::new();
    for (key, shown) in &told {
        if let Some((place, outcome, items, tests)) = verdict(book, shown, key.1) {
            let (group, _) = verdicts.insert_full((place, outcome));
            grouped.push(Grouped { weight: weight(key), group, items, tests });
        }
    }
    isolation(&grouped, &mut metrics);
    metrics
}

/// Where each shown fault of each build counts: in the first checkout of its own system that shows it, else in the first that
/// does.
fn told<'p>(book: &Book, showings: &[&'p Showing]) -> BTreeMap<(FaultId, BuildId), &'p Shown> {
    let mut told: BTreeMap<(FaultId, BuildId), (bool, &Shown)> = BTreeMap::new();
    for showing in showings {
        let Some(shown) = &showing.shown else { continue };
        let sheet = book.item_sheet(book.fault(showing.fault).item);
        let own = book.page(showing.page).sheet.is_none_or(|about| about == sheet);
        let first = told.entry((showing.fault, showing.build)).or_insert((own, shown));
        if own && !first.0 {
            *first = (own, shown);
        }
    }
    told.into_iter().map(|(key, (_, shown))| (key, shown)).collect()
}

/// Fills in the isolation figures from detected faults.
pub fn isolation(grouped: &[Grouped], metrics: &mut Metrics) {
    let total: f64 = grouped.iter().map(|fault| fault.weight).sum();
    let count = grouped.len() as f64;
    for (index, fraction) in metrics.fraction_isolated.iter_mut().enumerate() {
        *fraction = share(
            grouped.iter().filter(|fault| fault.items <= index + 1).map(|fault| fault.weight).sum(),
            total,
        );
    }
    let groups: BTreeMap<usize, usize> = grouped.iter().map(|fault| (fault.group, fault.items)).collect();
    metrics.mean_group_per_group = share(groups.values().sum::<usize>() as f64, groups.len() as f64);
    metrics.mean_group_per_fault = share(grouped.iter().map(|fault| fault.items as f64).sum(), count);
    metrics.mean_group_weighted =
        share(grouped.iter().map(|fault| fault.items as f64 * fault.weight).sum(), total);
    metrics.mean_tests = share(grouped.iter().map(|fault| fault.tests as f64).sum(), count);
}

fn share(part: f64, whole: f64) -> f64 {
    if whole == 0.0 { 0.0 } else { part / whole }
}

/// The verdict that a shown fault gets: where, how many items it names, and after how many tests.
fn verdict(book: &Book, shown: &Shown, build: BuildId) -> Option<(crate::book::Place, usize, usize, usize)> {
    let walk = shown.walk.as_ref()?;
    let End::At { place, outcome } = walk.end else {
        return None;
    };
    let Target::Verdict { blames, .. } = target(book, place, outcome) else {
        return None;
    };
    Some((place, outcome, items(book, blames, build).max(1), walk.trail.len()))
}

/// How many replaceable items of a build a verdict names; a harness counts as one, and so does a sealed splice with its wires.
fn items(book: &Book, blames: &[Suspect], build: BuildId) -> usize {
    let mut items: Vec<Item> = Vec::new();
    let mut harnesses = 0;
    for suspect in blames {
        let item = match suspect {
            Suspect::Item(item) => *item,
            Suspect::Fault(fault) => book.fault(*fault).item,
            Suspect::Harness { .. } => {
                harnesses += 1;
                continue;
            }
        };
        if book.item_fitted(item).is_none_or(|fitted| fitted[build.index()]) {
            items.push(book.replaced_as(item));
        }
    }
    items.sort();
    items.dedup();
    items.len() + harnesses
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A worked example with made-up rates: F1 40 and F2 25 share a verdict, F3 15 has its own, F4 10 and F5 6 share one.
    /// The definitions are those of MIL-STD-2165, appendix A (from memory); the figures follow from them by hand.
    #[test]
    fn isolation_figures_follow_the_definitions() {
        let fault = |weight, group, items| Grouped { weight, group, items, tests: 2 };
        let grouped =
            [fault(40.0, 0, 2), fault(25.0, 0, 2), fault(15.0, 1, 1), fault(10.0, 2, 2), fault(6.0, 2, 2)];
        let mut metrics = Metrics::default();
        isolation(&grouped, &mut metrics);
        assert!((metrics.fraction_isolated[0] - 0.15625).abs() < 1e-12);
        assert_eq!(metrics.fraction_isolated[1], 1.0);
        assert!((metrics.mean_group_per_group - 5.0 / 3.0).abs() < 1e-12);
        assert!((metrics.mean_group_per_fault - 1.8).abs() < 1e-12);
        assert!((metrics.mean_group_weighted - 1.84375).abs() < 1e-12);
    }
}
