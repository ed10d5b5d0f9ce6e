//! Turns what was proved, and what changed between two proofs, into a few lines of text.

use super::json::Fewest;
use super::text::wrap;
use crate::proof::Proof;
use crate::proof::edition::{Change, Difference};
use crate::proof::pairs::How;
use crate::proof::tables::{PairRow, PairTable, Spot};
use crate::quantity::{percent, tenths};
use indexmap::IndexMap;

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

/// The step that fails, the tests and the verdict.
type Way<'t> = (Option<&'t Spot>, &'t str, &'t Option<String>);

/// So many walks of pairs are told in text; a program reads them all.
const TOLD: usize = 12;

/// Two faults at once: how many pairs end well, and how the others go wrong, each with its walk.
pub fn pairs(table: &PairTable, width: usize) -> String {
    let wrong = |how: How| {
        table.astray.iter().filter(|row| row.how == how).map(|row| row.builds.len()).sum::<usize>()
    };
    let sample = match table.judged == table.all {
        true => String::new(),
        false => format!(" of {}", table.all),
    };
    let mut text = format!("{} pairs of faults{sample}, {} end well\n", table.judged, percent(table.share));
    for &(how, words) in How::ALL.iter().filter(|(how, _)| wrong(*how) > 0) {
        text += &format!("  {:>6} {words}\n", wrong(how));
    }
    // Pairs that read the same are told once.
    let mut walks: IndexMap<Way, Vec<&PairRow>> = IndexMap::new();
    for row in &table.astray {
        walks.entry((row.step.as_ref(), &row.tests, &row.verdict)).or_default().push(row);
    }
    for ((step, tests, verdict), rows) in walks.iter().take(TOLD) {
        let [one, other] = &rows[0].faults;
        let mut line = format!("{one} and {other}");
        if rows.len() > 1 {
            line += &format!(", and {} pairs more", rows.len() - 1);
        }
        line += &format!(": {}", step.map_or("the checkout passes", |step| &step.title));
        for more in [Some(*tests).filter(|tests| !tests.is_empty()), verdict.as_deref()].into_iter().flatten()
        {
            line += &format!("; {more}");
        }
        for (at, line) in wrap(&line, width - 4).iter().enumerate() {
            text += &format!("{}{line}\n", if at == 0 { "  " } else { "    " });
        }
    }
    if walks.len() > TOLD {
        text += &format!("and {} walks more: --format json lists them all\n", walks.len() - TOLD);
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
