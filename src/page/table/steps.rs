//! Turns checkout steps and what they lead to into rows of the steps table.

use super::{Cell, Filled, Line};
use crate::book::{Place, Role, SheetId};
use crate::page::kit::Kit;
use crate::proof::tables::{Lead, Spot, VerdictRow};

pub fn fill(kit: &Kit, sheet: Option<SheetId>) -> Filled {
    let steps = kit.tables.steps.iter().filter(|row| about(kit, &row.step.page, sheet));
    let rows = steps.flat_map(|row| row.leads.iter().map(|lead| line(kit, &row.step, lead)));
    Filled { columns: vec!["step", "symptom", "procedure", "tests", "verdicts"], rows: rows.collect() }
}

fn line(kit: &Kit, step: &Spot, lead: &Lead) -> Line {
    let symptom = match lead.branch.and_then(|branch| symptom(kit, branch)) {
        Some(symptom) => Cell::Naming(symptom),
        None => Cell::Text(kit.words.text("step.otherwise")),
    };
    let fewest = lead.verdicts.iter().map(|verdict| verdict.tests.0).min();
    let most = lead.verdicts.iter().map(|verdict| verdict.tests.1).max();
    let tests = match fewest.zip(most) {
        Some((fewest, most)) if fewest == most => fewest.to_string(),
        Some((fewest, most)) => format!("{fewest}–{most}"),
        None => "–".to_string(),
    };
    let verdict = |verdict: &VerdictRow| {
        let faults = kit.words.fill("step.faults", &[("n", &verdict.faults.len().to_string())]);
        (kit.say().ending(&verdict.words, verdict.unworded), faults)
    };
    let verdicts = Cell::Remarked(lead.verdicts.iter().map(verdict).collect());
    Line {
        builds: None,
        cells: vec![spot(step), symptom, spot(&lead.procedure), Cell::Text(tests), verdicts],
    }
}

/// What is seen where a step fails and this branch is taken; none for any other failure.
fn symptom(kit: &Kit, (place, branch): (Place, usize)) -> Option<String> {
    let Role::Step(step) = &kit.book.section(place).role else { return None };
    let when = step.branches[branch].when.as_ref()?;
    Some(kit.say().expects(when).join(", "))
}

/// Whether a page of the proof's tables is about a sheet.
fn about(kit: &Kit, path: &str, sheet: Option<SheetId>) -> bool {
    let page = kit.book.pages.iter().find(|page| page.path == path);
    sheet.is_none() || page.is_some_and(|page| page.sheet == sheet)
}

/// The place that a row of the proof's tables names, as a link.
pub fn spot(spot: &Spot) -> Cell {
    let stem = spot.page.strip_suffix(".md").unwrap_or(&spot.page);
    Cell::Link { to: format!("pages/{stem}.html#{}", spot.anchor), words: spot.title.clone() }
}
