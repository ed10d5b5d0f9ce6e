//! Turns what was proved, and what changed between two proofs, into a few lines of text.

use super::json::Fewest;
use crate::proof::Proof;
use crate::proof::edition::{Change, Difference};
use crate::quantity::{percent, tenths};

/// What was gone through and what came of it, in three lines.
pub fn proved(proof: &Proof) -> String {
    let states: usize = proof.statements.iter().map(|statement| statement.judged).sum();
    let judged: usize = proof.judged.iter().map(|judged| judged.states).sum();
    let metrics = &proof.metrics;
    let mut text = format!(
        "{} statements in {states} states, {} loads in {judged} states",
        proof.statements.len(),
        proof.judged.iter().map(|judged| judged.intent).collect::<std::collections::BTreeSet<_>>().len(),
    );
    if metrics.faults > 0 {
        text += &format!(
            "\n{} of {} faults shown, {} accepted\nisolated to 1, 2, 3 items: {}, {}, {}; {} tests to a verdict",
            metrics.detected,
            metrics.faults,
            metrics.accepted,
            percent(metrics.fraction_isolated[0]),
            percent(metrics.fraction_isolated[1]),
            percent(metrics.fraction_isolated[2]),
            tenths(metrics.mean_tests),
        );
    }
    text
}

/// The differences between two editions, one a line.
pub fn differences(list: &[Difference]) -> String {
    if list.is_empty() {
        return "no step, fault or verdict changed\n".to_string();
    }
    let line = |difference: &Difference| {
        let change = match &difference.change {
            Change::Added => "new".to_string(),
            Change::Removed => "gone".to_string(),
            Change::Changed { before, after } => format!("was: {before}; is: {after}"),
        };
        format!("{} {}: {change}\n", difference.what, difference.name)
    };
    list.iter().map(line).collect()
}
/// Each procedure's mean number of tests beside the fewest found, those first in which the writer can save most.
pub fn fewest(rows: &[Fewest]) -> String {
    let mut rows: Vec<&Fewest> = rows.iter().collect();
    let saved = |row: &Fewest| (row.tests - row.fewest) * row.vehicles as f64;
    rows.sort_by(|a, b| saved(b).total_cmp(&saved(a)));
    let mut text = format!("\n{:<44} {:>8} {:>7} {:>7}\n", "procedure", "vehicles", "tests", "fewest");
    for row in &rows {
        text.push_str(&format!(
            "{:<44} {:>8} {:>7} {:>7}{}\n",
            row.procedure,
            row.vehicles,
            tenths(row.tests),
            tenths(row.fewest),
            if row.exact { "" } else { " found" }
        ));
    }
    text.push_str("tests: mean number to the verdict; found: a better way may be left\n");
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_procedure_in_which_most_can_be_saved_comes_first() {
        let row = |procedure: &str, vehicles, tests, fewest, exact| Fewest {
            procedure: procedure.to_string(),
            vehicles,
            tests,
            fewest,
            exact,
        };
        let text = fewest(&[row("a.md#t1", 4, 5.0, 4.0, true), row("a.md#t2", 10, 5.0, 4.5, false)]);
        let lines: Vec<&str> = text.lines().skip(2).collect();
        assert!(lines[0].starts_with("a.md#t2") && lines[0].ends_with("5.0     4.5 found"));
        assert!(lines[1].starts_with("a.md#t1") && lines[1].ends_with("5.0     4.0"));
        assert!(text.lines().all(|line| line.len() <= 80));
    }

    #[test]
    fn what_is_new_gone_and_changed_is_told_apart() {
        let difference = |change| Difference { what: "step", name: "a.md#c1".to_string(), change };
        let changed = Change::Changed { before: "H1 lit".to_string(), after: "H1 dark".to_string() };
        let text = differences(&[Change::Added, Change::Removed, changed].map(difference));
        assert_eq!(text, "step a.md#c1: new\nstep a.md#c1: gone\nstep a.md#c1: was: H1 lit; is: H1 dark\n");
    }
}
