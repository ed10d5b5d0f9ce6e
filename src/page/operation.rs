//! Turns a sheet's live states into its operating states: for each load, how the controls stand when it works.

use super::address;
use super::escape::escape;
use super::kit::Kit;
use super::table::{Row, Table};
use crate::book::{PartId, SheetId, Strength, Subject};
use crate::proof::live::Live;
use crate::proof::{Reading, Seen};

/// One row for each load of the sheet that works in some state: what it does, and the state with fewest controls moved.
pub fn table(kit: &Kit, sheet: SheetId, root: &str) -> Table {
    let live = &kit.illustrations.live[sheet.index()];
    let columns = ["load", "does", "controls", "drawing"];
    let mut table = Table {
        name: "operation".to_string(),
        caption: kit.words.text("operation.caption"),
        columns: columns
            .iter()
            .map(|key| kit.words.text(&format!("column.{key}")))
            .collect(),
        rows: Vec::new(),
    };
    for (index, part) in kit
        .book
        .parts
        .iter()
        .enumerate()
        .filter(|(_, part)| part.sheet == sheet)
    {
        for (element, _) in part.faces() {
            let face = (PartId(index as u32), element);
            if let Some(row) = row(kit, live, face, root) {
                table.rows.push(row);
            }
        }
    }
    table
}

fn row(kit: &Kit, live: &Live, face: (PartId, usize), root: &str) -> Option<Row> {
    let works = |state: u32| live.states[state as usize].readings.get(&face).is_some_and(works);
    let found = live.builds.iter().enumerate().flat_map(|(build, states)| {
        let working = states.iter().filter(|(_, state)| works(**state));
        working.map(move |(&code, &state)| (moved(live, code), build, code, state))
    });
    let (_, build, code, state) = found.min()?;
    let reading = &live.states[state as usize].readings[&face];
    let subject = Subject::Face {
        part: face.0,
        element: face.1,
    };
    let say = kit.say();
    let settings = say.off_rest(&live.states[state as usize].evidence.settings);
    let settings = match settings.is_empty() {
        true => kit.words.text("operation.always"),
        false => settings.join(", "),
    };
    let href = format!(
        "{root}{}#build={build}&state={code}",
        address::circuit(kit.book, live.sheet)
    );
    Some(Row {
        anchor: None,
        builds: kit.build_list(&kit.book.part(face.0).fitted),
        cells: vec![
            kit.linked(&say.subject(subject), root),
            escape(&say.reading(subject, reading)),
            escape(&settings),
            format!(
                r#"<a href="{}">{}</a>"#,
                escape(&href),
                escape(&kit.words.text("operation.show"))
            ),
        ],
    })
}

/// Whether a reading is of something at work.
fn works(reading: &Reading) -> bool {
    let on = |seen: &Seen| seen.strength != Strength::Off;
    match reading {
        Reading::Steady(seen) => on(seen),
        Reading::Flashing { .. } | Reading::Then { .. } => true,
        Reading::Unsteady(_) | Reading::Number(_) | Reading::Nothing => false,
    }
}

/// How many controls are off rest in a combination.
fn moved(live: &Live, mut code: u64) -> usize {
    let digits = live.choices.iter().map(|choices| {
        let digit = code % choices.len() as u64;
        code /= choices.len() as u64;
        digit
    });
    digits.filter(|&digit| digit != 0).count()
}
