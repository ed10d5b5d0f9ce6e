//! Turns a sheet's live states into its operating states: for each load, how the controls stand when it works.

use super::address::{self, Root};
use super::escape::escape;
use super::kit::Kit;
use super::table::{self, Row, Table};
use crate::book::{BuildId, PartId, SheetId, Strength, Subject};
use crate::proof::live::Live;
use crate::proof::{Reading, Seen};
use std::collections::BTreeMap;

/// One row for each load of the sheet that works in some state: what it does, and the state with fewest controls moved.
pub fn table(kit: &Kit, sheet: SheetId, root: Root) -> Table {
    let live = &kit.illustrations.live[sheet.index()];
    let columns = ["load", "does", "controls", "drawing"];
    let mut table = Table {
        name: "operation".to_string(),
        caption: kit.words.text("operation.caption"),
        columns: columns.iter().map(|key| kit.words.text(&format!("column.{key}"))).collect(),
        rows: Vec::new(),
    };
    for (index, part) in kit.book.parts.iter().enumerate().filter(|(_, part)| part.sheet == sheet) {
        for (element, _) in part.faces() {
            let face = (PartId(index as u32), element);
            table.rows.extend(rows(kit, live, face, root));
        }
    }
    table
}

/// The rows of a load: builds that need the same controls share one.
fn rows(kit: &Kit, live: &Live, face: (PartId, usize), root: Root) -> Vec<Row> {
    let works = |state: u32| live.states[state as usize].readings.get(&face).is_some_and(works);
    let mut needs: BTreeMap<u64, (Vec<BuildId>, u32)> = BTreeMap::new();
    for (build, states) in live.builds.iter().enumerate() {
        let working = states.iter().filter(|(_, state)| works(**state));
        let fewest = working.min_by_key(|&(&code, _)| (moved(live, code), code));
        if let Some((&code, &state)) = fewest {
            let need = needs.entry(code).or_insert((Vec::new(), state));
            need.0.push(BuildId(build as u32));
        }
    }
    let rows = needs.into_iter();
    rows.map(|(code, (builds, state))| row(kit, live, face, root, &builds, code, state)).collect()
}

fn row(
    kit: &Kit,
    live: &Live,
    face: (PartId, usize),
    root: Root,
    builds: &[BuildId],
    code: u64,
    state: u32,
) -> Row {
    let state = &live.states[state as usize];
    let subject = Subject::Face { part: face.0, element: face.1 };
    let say = kit.say();
    let settings = say.off_rest(&state.evidence.settings);
    let settings = match settings.is_empty() {
        true => kit.words.text("operation.always"),
        false => settings.join(", "),
    };
    let state_at =
        format!("{}#build={}&state={code}", address::circuit(kit.book, live.sheet), builds[0].index());
    let only = kit.build_names(builds).map(|only| table::mark(kit, &only));
    Row {
        anchor: None,
        builds: kit.build_list(&kit.among(builds)),
        cells: vec![
            kit.linked(&say.subject(subject), root) + &only.unwrap_or_default(),
            escape(&say.reading(subject, &state.readings[&face])),
            escape(&settings),
            root.anchor(&state_at, &kit.words.text("operation.show")),
        ],
    }
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
