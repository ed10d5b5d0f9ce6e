//! Turns faults and where they show into rows of the fault map.

use super::steps::spot;
use super::{Cell, Filled, Line};
use crate::book::{BuildId, SheetId};
use crate::page::kit::Kit;
use crate::proof::tables::{FaultRow, Spot};

pub fn fill(kit: &Kit, sheet: Option<SheetId>) -> Filled {
    let all = &kit.tables.faults;
    let about: Vec<&FaultRow> = match sheet {
        None => all.iter().collect(),
        Some(sheet) => kit.fault_rows.get(&sheet).into_iter().flatten().map(|&at| &all[at]).collect(),
    };
    let mut rows: Vec<Line> = Vec::new();
    for row in about {
        // A fault of another system that this checkout does not show is no business of this map.
        let own = kit.names.find(&row.item).map(|item| kit.book.item_sheet(item));
        if row.shown.is_none() && sheet.is_some() && own != sheet {
            continue;
        }
        let among = among(kit, row);
        let (fault, fate, builds) = (fault(kit, row, &among), fate(kit, row), kit.build_list(&among));
        // Faults of the same fate stand in one row.
        match rows.last_mut() {
            Some(last) if last.cells[1..] == fate && last.builds == builds => {
                if let Cell::Stacked(faults) = &mut last.cells[0] {
                    faults.push(fault);
                }
            }
            _ => {
                let cells = std::iter::once(Cell::Stacked(vec![fault])).chain(fate).collect();
                rows.push(Line { builds, cells });
            }
        }
    }
    Filled { columns: vec!["fault", "first-step", "procedure", "verdict", "tests"], rows }
}

/// For each build whether the row is about it.
fn among(kit: &Kit, row: &FaultRow) -> Vec<bool> {
    let builds = (0..kit.book.builds.len() as u32).map(BuildId);
    builds.map(|build| row.builds.contains(&kit.book.build_name(build))).collect()
}

fn fault(kit: &Kit, row: &FaultRow, among: &[bool]) -> Cell {
    let every = row.builds.len() == kit.book.builds.len();
    let only = kit.say().only(among).filter(|_| !every);
    let name = kit.say().fault(kit.faults[row.fault.as_str()]);
    Cell::Marked(Box::new(Cell::Naming(name)), only)
}

/// Where a fault shows and what becomes of it.
fn fate(kit: &Kit, row: &FaultRow) -> Vec<Cell> {
    let nothing = || Cell::Text(String::new());
    match &row.shown {
        Some(shown) => vec![
            spot(&shown.step),
            shown.procedure.as_ref().map_or_else(nothing, short_spot),
            shown
                .verdict
                .as_ref()
                .map_or_else(nothing, |verdict| Cell::Naming(kit.say().ending(verdict, shown.unworded))),
            Cell::Text(shown.tests.to_string()),
        ],
        None => {
            let why = match &row.accepted {
                Some(reason) => kit.words.fill("fault.accepted", &[("reason", reason)]),
                None => kit.words.text("fault.unshown"),
            };
            vec![Cell::Text(why), nothing(), nothing(), nothing()]
        }
    }
}

/// A procedure by the first words of its title: `Procedure 6`.
fn short_spot(at: &Spot) -> Cell {
    let title = at.title.split(':').next().unwrap_or_default().to_string();
    spot(&Spot { title, ..at.clone() })
}
