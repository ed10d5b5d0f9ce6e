//! Turns a state into two technicians' words about it, and says who is right.

use super::desk::Desk;
use super::loads::{faces, scene, variations};
use super::lot::Lot;
use super::question::{Answer, Ask, Because, Choice, Made, Said};
use super::scene::told_apart;
use crate::bench::Reading;

/// Two statements about a state, each of the state itself or of one beside it, each true or taken from another state.
pub fn technicians(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let scene = scene(desk, lot)?;
    let faces = faces(desk, scene.build);
    let mut looks = vec![(None, desk.look(&scene, &faces)?)];
    for variation in variations(desk, &scene, lot) {
        if let Some(readings) = desk.look(&scene.varied(desk.book, variation), &faces) {
            looks.push((Some(variation), readings));
        }
    }
    let here = looks[0].1.clone();
    let differs = |at: usize| looks.iter().any(|(_, there)| told_apart(&here[at], &there[at]));
    let asked: Vec<usize> = (0..faces.len()).filter(|&at| differs(at)).collect();
    let beside = lot.below(looks.len());
    let mut speak = |of: usize| -> Option<(Said, bool, Reading)> {
        let at = *lot.pick(&asked)?;
        let really = looks[of].1[at];
        let mut false_ones: Vec<Reading> = looks.iter().map(|(_, there)| there[at]).collect();
        false_ones.retain(|reading| told_apart(reading, &really));
        let lie = if lot.one_in(2) { lot.pick(&false_ones).copied() } else { None };
        let said = Said { of: looks[of].0, subject: faces[at], reading: lie.unwrap_or(really) };
        Some((said, lie.is_none(), really))
    };
    let first = speak(0)?;
    let second = speak(beside)?;
    if first.0 == second.0 {
        return None;
    }
    let right = [first.1, second.1];
    let really = [first.2, second.2];
    let mut choices = vec![Choice { answer: Answer::Technicians(right), because: Because::Really(really) }];
    for said in [[true, false], [false, true], [true, true], [false, false]] {
        if said != right {
            choices.push(Choice { answer: Answer::Technicians(said), because: Because::Really(really) });
        }
    }
    Some(Made {
        facts: scene.settings.len() + 4,
        scene: Some(scene),
        ask: Ask::Technicians([first.0, second.0]),
        choices,
        place: None,
    })
}
