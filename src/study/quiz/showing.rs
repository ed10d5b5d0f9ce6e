//! Turns the coverage of a checkout into the questions which fault fits a symptom, and which step shows a fault first.

use super::desk::Desk;
use super::lot::Lot;
use super::question::{Answer, Ask, Because, Choice, Made, WRONG};
use super::scene::Scene;
use crate::proof::coverage::Showing;
use crate::proof::steps::steps;

/// The faults of a drawn build through a drawn checkout of the sheet.
pub fn showings<'a>(desk: &'a Desk, lot: &mut Lot) -> Option<Vec<&'a Showing>> {
    Some(lot.pick(&desk.routes)?.iter().collect())
}

/// The scene of a question that is about a build only.
pub fn of_build(showing: &Showing) -> Scene {
    Scene { build: showing.build, settings: Vec::new(), part: None, probe: None }
}

/// Which fault fits a failed step: the wrong ones fail another step first, or other results of it, or none.
pub fn symptom(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let mut all = showings(desk, lot)?;
    lot.shuffle(&mut all);
    let right = *all.iter().find(|showing| showing.shown.is_some())?;
    let shown = right.shown.as_ref()?;
    let symptom = |showing: &Showing| {
        let shown = showing.shown.as_ref()?;
        Some((shown.step, shown.fails.clone()))
    };
    let mut choices =
        vec![Choice { answer: Answer::Fault(right.fault), because: Because::Shows(symptom(right)) }];
    // The nearest in the checkout are the most plausible.
    let distance = |showing: &Showing| match &showing.shown {
        Some(other) => other.step.section.abs_diff(shown.step.section),
        None => u32::MAX,
    };
    let mut wrong: Vec<&Showing> =
        all.iter().copied().filter(|other| symptom(other) != symptom(right)).collect();
    wrong.sort_by_key(|showing| distance(showing));
    let mut items = vec![desk.book.fault(right.fault).item];
    for showing in wrong {
        let item = desk.book.fault(showing.fault).item;
        if choices.len() <= WRONG && !items.contains(&item) {
            items.push(item);
            choices.push(Choice {
                answer: Answer::Fault(showing.fault),
                because: Because::Shows(symptom(showing)),
            });
        }
    }
    Some(Made {
        scene: Some(of_build(right)),
        ask: Ask::Symptom { step: shown.step, fails: shown.fails.clone() },
        choices,
        facts: 3 + shown.fails.len(),
        place: Some(shown.step),
    })
}

/// Which step shows a fault first: the wrong ones pass with it or come later.
pub fn step(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let mut all = showings(desk, lot)?;
    lot.shuffle(&mut all);
    let right = *all.iter().find(|showing| showing.shown.is_some())?;
    let shown = right.shown.as_ref()?;
    let mut choices = vec![Choice {
        answer: Answer::Step(shown.step),
        because: Because::Shows(Some((shown.step, shown.fails.clone()))),
    }];
    let places = steps(desk.book.page(right.page), right.page);
    let mut wrong: Vec<_> = places
        .into_iter()
        .filter(|(place, step)| *place != shown.step && !step.expects.is_empty())
        .map(|(place, _)| place)
        .collect();
    lot.shuffle(&mut wrong);
    wrong.sort_by_key(|place| place.section.abs_diff(shown.step.section));
    wrong.truncate(WRONG);
    choices.extend(wrong.into_iter().map(|place| Choice {
        answer: Answer::Step(place),
        because: if place.section < shown.step.section { Because::Passes } else { Because::Later },
    }));
    Some(Made {
        scene: Some(of_build(right)),
        ask: Ask::Step { fault: right.fault, page: right.page },
        choices,
        facts: 3 + (shown.step.section / 3) as usize,
        place: Some(shown.step),
    })
}
