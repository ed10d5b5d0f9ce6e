//! Turns a sheet's live states into its operating states: for each load, how the controls stand when it works.

use super::address::{self, Root};
use super::kit::Kit;
use super::table::{Cell, Filled, Line, Table};
use crate::book::{BuildId, PartId, SheetId, Strength, Subject};
use crate::proof::live::Live;
use crate::proof::{Reading, Seen};
use std::collections::BTreeMap;

/// One row for each load of the sheet that works in some state: what it does, and the state with fewest controls moved.
pub fn table(kit: &Kit, sheet: SheetId, root: Root) -> Table {
    let live = &kit.illustrations.live[sheet.index()];
    let parts = kit.book.parts.iter().enumerate().filter(|(_, part)| part.sheet == sheet);
    let faces =
        parts.flat_map(|(at, part)| part.faces().map(move |(element, _)| (PartId(at as u32), element)));
    let filled = Filled {
        columns: vec!["load", "does", "controls", "drawing"],
        rows: faces.flat_map(|face| rows(kit, live, face)).collect(),
    };
    filled.spell(kit, "operation", kit.words.text("operation.caption"), root)
}

/// The rows of a load: builds that need the same controls share one.
fn rows(kit: &Kit, live: &Live, face: (PartId, usize)) -> Vec<Line> {
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
    rows.map(|(code, (builds, state))| row(kit, live, face, &builds, code, state)).collect()
}

fn row(kit: &Kit, live: &Live, face: (PartId, usize), builds: &[BuildId], code: u64, state: u32) -> Line {
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
    let subject_words = Cell::Naming(say.subject(subject));
    Line {
        builds: kit.build_list(&kit.among(builds)),
        cells: vec![
            Cell::Marked(Box::new(subject_words), kit.build_names(builds)),
            Cell::Text(say.reading(subject, &state.readings[&face])),
            Cell::Text(settings),
            Cell::Link { to: state_at, words: kit.words.text("operation.show") },
        ],
    }
}

/// Whether a reading is of something at work.
fn works(reading: &Reading) -> bool {
    let on = |seen: &Seen| seen.strength != Strength::Off;
    match reading {
        Reading::Steady(seen) => on(seen),
        Reading::Flashing { .. } | Reading::Then { .. } | Reading::Pulses { .. } => true,
        Reading::Chattering | Reading::Unsteady(_) | Reading::Number(_) | Reading::Nothing => false,
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
