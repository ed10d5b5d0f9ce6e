//! Turns a state into the question what the loads do in it, whole or with a part taken out.

use super::desk::Desk;
use super::lot::Lot;
use super::question::{Answer, Ask, Because, Choice, Made, WRONG};
use super::scene::{Scene, Variation, neighbors, told_apart};
use crate::bench::Reading;
use crate::book::{BuildId, Kind, PartId, Strength, Subject};
use crate::proof::reasons::Way;
use crate::proof::statements::why;

/// So many things are varied for wrong choices at most: each is a vehicle on the bench.
const VARIATIONS: usize = 16;

/// A state in which something of the sheet works, drawn by what it shows first, so that the rare ones come as often.
pub fn scene(desk: &Desk, lot: &mut Lot) -> Option<Scene> {
    let build = lot.below(desk.live.builds.len());
    let table: Vec<(&u64, &u32)> = desk.live.builds[build].iter().collect();
    let shows = |state: u32| -> Vec<Strength> {
        let evidence = &desk.live.states[state as usize].evidence;
        evidence.seen.values().map(|seen| seen.strength).collect()
    };
    let mut patterns: Vec<Vec<Strength>> = table.iter().map(|(_, state)| shows(**state)).collect();
    patterns.sort();
    patterns.dedup();
    let pattern = lot.pick(&patterns)?.clone();
    let fitting: Vec<u64> =
        table.iter().filter(|(_, state)| shows(**state) == pattern).map(|(code, _)| **code).collect();
    let mut code = *lot.pick(&fitting)?;
    let mut settings = Vec::new();
    for (&control, choices) in desk.live.controls.iter().zip(&desk.live.choices) {
        let to = choices[(code % choices.len() as u64) as usize];
        code /= choices.len() as u64;
        if desk.book.control(control).rest() != to {
            settings.push((control, to));
        }
    }
    Some(Scene { build: BuildId(build as u32), settings, part: None, probe: None })
}

/// The faces of the sheet's own parts in a build.
pub fn faces(desk: &Desk, build: BuildId) -> Vec<Subject> {
    let parts = desk.book.parts.iter().enumerate();
    parts
        .filter(|(_, part)| part.sheet == desk.sheet && part.fitted[build.index()])
        .flat_map(|(index, part)| {
            part.faces().map(move |(element, _)| Subject::Face { part: PartId(index as u32), element })
        })
        .collect()
}

/// What may be otherwise about a scene: a control beside, the diodes, some other parts; in a drawn order, diodes first.
pub fn variations(desk: &Desk, scene: &Scene, lot: &mut Lot) -> Vec<Variation> {
    let mut moved = neighbors(scene, desk.live, desk.book);
    lot.shuffle(&mut moved);
    let fitted = |kind: &dyn Fn(Kind) -> bool| -> Vec<PartId> {
        let parts = desk.book.parts.iter().enumerate();
        parts
            .filter(|(_, part)| part.sheet == desk.sheet && part.fitted[scene.build.index()])
            .filter(|(_, part)| kind(part.kind))
            .map(|(index, _)| PartId(index as u32))
            .collect()
    };
    let mut list: Vec<Variation> = Vec::new();
    match scene.part {
        Some((part, way)) => {
            list.push(Variation::InPlace(part));
            if desk.book.part(part).terminals.len() == 2 {
                let other = match way {
                    Way::TakenOut => Way::Bridged,
                    Way::Bridged => Way::TakenOut,
                };
                list.push(Variation::Part(part, other));
            }
        }
        None => {
            for diode in fitted(&|kind| kind == Kind::Diode) {
                list.extend([Way::TakenOut, Way::Bridged].map(|way| Variation::Part(diode, way)));
            }
        }
    }
    list.extend(moved);
    list.truncate(VARIATIONS);
    list
}

/// What the loads do in a drawn state.
pub fn load(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let scene = scene(desk, lot)?;
    ask(desk, lot, scene, &[])
}

/// What the loads do when a part is taken out or bridged, in a state in which it matters.
pub fn removed(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let reasons: Vec<_> = desk
        .proof
        .reasons
        .iter()
        .filter(|reason| desk.book.part(reason.part).sheet == desk.sheet)
        .filter_map(|reason| Some((reason, reason.difference.as_ref()?)))
        .filter(|(_, difference)| !difference.upset && difference.blows.is_empty())
        .collect();
    let (reason, difference) = lot.pick(&reasons)?;
    let rest = |settings: &&(crate::book::ControlId, crate::book::Setting)| {
        desk.book.control(settings.0).rest() != settings.1
    };
    let scene = Scene {
        build: reason.build,
        settings: difference.settings.iter().filter(rest).copied().collect(),
        part: Some((reason.part, reason.way)),
        probe: None,
    };
    let changed: Vec<Subject> =
        difference.changes.iter().map(|&(part, element, ..)| Subject::Face { part, element }).collect();
    ask(desk, lot, scene, &changed)
}

/// The loads that differ between the scene and its variations are asked about, those that must come first.
fn ask(desk: &Desk, lot: &mut Lot, scene: Scene, must: &[Subject]) -> Option<Made> {
    let mut faces = faces(desk, scene.build);
    faces.extend(must.iter().filter(|subject| !faces.contains(subject)).copied().collect::<Vec<_>>());
    let here = desk.look(&scene, &faces)?;
    let others: Vec<(Variation, Vec<Reading>)> = variations(desk, &scene, lot)
        .into_iter()
        .filter_map(|variation| {
            let there = desk.look(&scene.varied(desk.book, variation), &faces)?;
            Some((variation, there))
        })
        .collect();
    let differs = |at: usize| others.iter().any(|(_, there)| told_apart(&here[at], &there[at]));
    let mut asked: Vec<usize> = (0..faces.len()).filter(|&at| differs(at)).collect();
    lot.shuffle(&mut asked);
    asked.sort_by_key(|&at| !must.contains(&faces[at]));
    asked.truncate(2 + lot.below(2));
    asked.sort();
    let says = |readings: &[Reading]| -> Vec<(Subject, Reading)> {
        asked.iter().map(|&at| (faces[at], readings[at])).collect()
    };
    let mut choices = vec![Choice {
        answer: Answer::Readings(says(&here)),
        because: Because::Computed(reasons(desk, &scene, asked.iter().map(|&at| faces[at]))),
    }];
    for (variation, there) in &others {
        let answer = says(there);
        if choices.len() <= WRONG && choices.iter().all(|choice| differ(&choice.answer, &answer)) {
            choices
                .push(Choice { answer: Answer::Readings(answer), because: Because::Otherwise(*variation) });
        }
    }
    Some(Made {
        facts: scene.settings.len() + asked.len() + 2 * usize::from(scene.part.is_some()),
        ask: Ask::Loads(asked.iter().map(|&at| faces[at]).collect()),
        scene: Some(scene),
        choices,
        place: None,
    })
}

/// Whether two answers of readings cannot both be right.
pub fn differ(answer: &Answer, other: &[(Subject, Reading)]) -> bool {
    let Answer::Readings(list) = answer else {
        return true;
    };
    list.iter().zip(other).any(|(a, b)| told_apart(&a.1, &b.1))
}

/// Why subjects do what they do in a scene.
pub fn reasons(
    desk: &Desk,
    scene: &Scene,
    subjects: impl Iterator<Item = Subject>,
) -> Vec<(Subject, crate::bench::Why)> {
    let Ok(bench) = desk.bench(scene) else {
        return Vec::new();
    };
    subjects.filter_map(|subject| Some((subject, why(&bench, subject)?))).collect()
}
