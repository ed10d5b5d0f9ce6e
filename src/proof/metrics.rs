//! Turns the fault walks into the figures of a testability assessment.

use super::coverage::{Showing, Shown, unshown};
use super::trouble::{End, target};
use crate::book::{Book, FaultId, Item, Suspect, Target};
use indexmap::IndexSet;
use std::collections::{BTreeMap, BTreeSet};

/// Figures after the definitions of MIL-STD-2165, appendix A (formulas from memory): the denominator of isolation is the
/// detected faults. A fault's weight is its share of its item's failures; every item counts the same, since a book gives no
/// failure rates.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Metrics {
    /// Faults in the catalogue that at least one build can have.
    pub faults: usize,
    /// Those that a checkout shows in every build that can have them.
    pub detected: usize,
    pub accepted: usize,
    /// Weighted and unweighted share of the faults that are detected.
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
    let mut faults: BTreeSet<FaultId> = BTreeSet::new();
    if !super::steps::checkouts(book).is_empty() {
        let fitted =
            book.faults.iter().zip((0..).map(FaultId)).filter(|(fault, _)| fault.fitted.contains(&true));
        faults.extend(fitted.map(|(_, number)| number));
    }
    let unshown = unshown(book, showings);
    let mut verdicts = IndexSet::new();
    let mut grouped = Vec::new();
    for showing in showings {
        let Some((place, outcome, items, tests)) =
            showing.shown.as_ref().and_then(|shown| verdict(book, shown))
        else {
            continue;
        };
        let (group, _) = verdicts.insert_full((place, outcome));
        grouped.push(Grouped { weight: book.fault(showing.fault).share, group, items, tests });
    }
    let weight = |fault: &FaultId| book.fault(*fault).share;
    let in_all_builds = |fault: &&FaultId| !unshown.contains_key(fault);
    let detected: Vec<&FaultId> = faults.iter().filter(in_all_builds).collect();
    let all: f64 = faults.iter().map(weight).sum();
    let mut metrics = Metrics {
        faults: faults.len(),
        detected: detected.len(),
        accepted: book.accepted.len(),
        fraction_detected: share(detected.iter().copied().map(weight).sum(), all),
        fraction_detected_unweighted: share(detected.len() as f64, faults.len() as f64),
        ..Metrics::default()
    };
    isolation(&grouped, &mut metrics);
    metrics
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
fn verdict(book: &Book, shown: &Shown) -> Option<(crate::book::Place, usize, usize, usize)> {
    let walk = shown.walk.as_ref()?;
    let End::At { place, outcome } = walk.end else {
        return None;
    };
    let Target::Verdict { blames, .. } = target(book, place, outcome) else {
        return None;
    };
    Some((place, outcome, items(book, blames).max(1), walk.trail.len()))
}

/// How many replaceable items a verdict names; a harness counts as one.
fn items(book: &Book, blames: &[Suspect]) -> usize {
    let mut items: Vec<Item> = Vec::new();
    let mut harnesses = 0;
    for suspect in blames {
        match suspect {
            Suspect::Item(item) => items.push(*item),
            Suspect::Fault(fault) => items.push(book.fault(*fault).item),
            Suspect::Harness { .. } => harnesses += 1,
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
