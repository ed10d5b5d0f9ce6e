//! Turns two editions' tables into what changed between them: steps, faults and verdicts.

use super::tables::Tables;
use serde::Serialize;
use std::collections::BTreeMap;

/// What a row did between two editions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    Added,
    Removed,
    /// It says something else: before and after, in words.
    Changed {
        before: String,
        after: String,
    },
}

/// One difference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// `step`, `fault` or `verdict`.
    pub what: &'static str,
    pub name: String,
    pub change: Change,
}

/// The differences from one edition to another, steps first, each list in the order of names.
pub fn differences(before: &Tables, after: &Tables) -> Vec<Difference> {
    let mut found = Vec::new();
    compare("step", &steps(before), &steps(after), &mut found);
    compare("fault", &faults(before), &faults(after), &mut found);
    compare("verdict", &verdicts(before), &verdicts(after), &mut found);
    found
}

fn compare(
    what: &'static str,
    before: &BTreeMap<String, String>,
    after: &BTreeMap<String, String>,
    found: &mut Vec<Difference>,
) {
    let names = before.keys().chain(after.keys().filter(|name| !before.contains_key(*name)));
    let mut names: Vec<&String> = names.collect();
    names.sort();
    for name in names {
        let change = match (before.get(name), after.get(name)) {
            (None, _) => Change::Added,
            (_, None) => Change::Removed,
            (Some(before), Some(after)) if before != after => {
                Change::Changed { before: before.clone(), after: after.clone() }
            }
            _ => continue,
        };
        found.push(Difference { what, name: name.clone(), change });
    }
}

fn steps(tables: &Tables) -> BTreeMap<String, String> {
    let rows = tables.steps.iter();
    rows.map(|row| (format!("{}#{}", row.step.page, row.step.anchor), row.expects.join(", "))).collect()
}

/// Where each fault shows first, by checkout.
fn faults(tables: &Tables) -> BTreeMap<String, String> {
    by_fault(tables, |shown| {
        shown.map_or("not shown".to_string(), |shown| format!("shown by {}", shown.step.title))
    })
}

/// Which verdict each shown fault gets, by checkout.
fn verdicts(tables: &Tables) -> BTreeMap<String, String> {
    by_fault(tables, |shown| {
        let verdict = shown.and_then(|shown| Some((shown.verdict.clone()?, shown.tests)));
        verdict.map_or("no verdict".to_string(), |(words, tests)| format!("{words} ({tests} tests)"))
    })
}

/// One entry for each fault, checkout and set of builds.
fn by_fault(
    tables: &Tables,
    says: impl Fn(Option<&super::tables::ShownRow>) -> String,
) -> BTreeMap<String, String> {
    let mut entries = BTreeMap::new();
    for row in &tables.faults {
        for build in &row.builds {
            let build = if build.is_empty() { String::new() } else { format!(" with {build}") };
            entries.insert(format!("{} in {}{build}", row.fault, row.checkout), says(row.shown.as_ref()));
        }
    }
    entries
}

#[cfg(test)]
mod tests {
    use super::super::metrics::Metrics;
    use super::super::tables::{FaultRow, ShownRow, Spot, StepRow, Tables};
    use super::*;

    fn tables(verdict: &str, expects: &str) -> Tables {
        let step = Spot { page: "c.md".into(), anchor: "c1".into(), title: "Step 1".into() };
        let shown = ShownRow {
            step: step.clone(),
            procedure: Some(step.clone()),
            verdict: Some(verdict.into()),
            unworded: None,
            right: true,
            tests: 2,
        };
        Tables {
            steps: vec![StepRow { step, expects: vec![expects.into()], faults: 1, leads: Vec::new() }],
            faults: vec![FaultRow {
                fault: "W1 open".into(),
                item: "W1".into(),
                checkout: "c.md".into(),
                builds: vec![String::new()],
                shown: Some(shown),
                accepted: None,
            }],
            pairs: None,
            metrics: Metrics::default(),
        }
    }

    #[test]
    fn the_same_edition_differs_in_nothing() {
        assert!(differences(&tables("Mend W1.", "H1 lit"), &tables("Mend W1.", "H1 lit")).is_empty());
    }

    #[test]
    fn a_changed_verdict_and_a_changed_step_are_named() {
        let found = differences(&tables("Mend W1.", "H1 lit"), &tables("Replace K4.", "H1 dark"));
        let kinds: Vec<&str> = found.iter().map(|difference| difference.what).collect();
        assert_eq!(kinds, ["step", "verdict"]);
        assert_eq!(found[0].change, Change::Changed { before: "H1 lit".into(), after: "H1 dark".into() });
    }

    #[test]
    fn what_is_new_and_what_is_gone_is_told() {
        let (mut before, mut after) = (tables("Mend W1.", "H1 lit"), tables("Mend W1.", "H1 lit"));
        after.steps[0].step.anchor = "c2".into();
        before.faults[0].fault = "W2 open".into();
        let found = differences(&before, &after);
        let told: Vec<(&str, &str, &Change)> =
            found.iter().map(|one| (one.what, one.name.as_str(), &one.change)).collect();
        assert_eq!(
            told,
            [
                ("step", "c.md#c1", &Change::Removed),
                ("step", "c.md#c2", &Change::Added),
                ("fault", "W1 open in c.md", &Change::Added),
                ("fault", "W2 open in c.md", &Change::Removed),
                ("verdict", "W1 open in c.md", &Change::Added),
                ("verdict", "W2 open in c.md", &Change::Removed),
            ]
        );
    }
}
