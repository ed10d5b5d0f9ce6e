//! Turns two faults with the same symptom into the question which test tells them apart.

use super::desk::Desk;
use super::lot::Lot;
use super::question::{Answer, Ask, Because, Choice, Made, WRONG};
use super::scene::{points, told_apart};
use super::showing::{of_build, showings};
use crate::bench::{Bench, Reading};
use crate::book::{Act, Instrument, Point, Subject};
use crate::proof::corners::middle;
use crate::proof::coverage::{Showing, Stopped, stop};
use crate::proof::script::Script;

/// So many tests are tried on a pair: each is two vehicles on the bench.
const TRIED: usize = 40;

/// Which test tells two faults apart: the wrong ones read the same with either.
pub fn apart(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let mut all = showings(desk, lot)?;
    all.retain(|showing| showing.shown.is_some());
    lot.shuffle(&mut all);
    let symptom = |showing: &Showing| showing.shown.as_ref().map(|shown| (shown.step, shown.fails.clone()));
    let item = |showing: &Showing| desk.book.fault(showing.fault).item;
    let (one, other) = all.iter().enumerate().find_map(|(at, one)| {
        let alike = |other: &&&Showing| symptom(other) == symptom(one) && item(other) != item(one);
        Some((*one, *all[at + 1..].iter().find(alike)?))
    })?;
    let rig = desk.rests[one.build.index()].rig();
    let stopped =
        |showing: &Showing| stop(rig, &Script::alone(desk.book, showing.page), showing.fault, middle(rig));
    let vehicles = [stopped(one)?, stopped(other)?];
    let mut points = points(desk.book, desk.sheet, one.build);
    lot.shuffle(&mut points);
    let (mut telling, mut silent) = (Vec::new(), Vec::new());
    for from in points.into_iter().take(TRIED) {
        let instrument = Instrument::TestLight;
        let to = if lot.one_in(4) { Point::BatteryPlus } else { Point::Ground };
        let test = Act::Connect { instrument, from, to };
        let [Some(a), Some(b)] = [read(&vehicles[0], &test), read(&vehicles[1], &test)] else {
            continue;
        };
        let list = if told_apart(&a, &b) { &mut telling } else { &mut silent };
        list.push(Choice { answer: Answer::Test(test), because: Because::Reads([a, b]) });
        if !telling.is_empty() && silent.len() >= WRONG {
            break;
        }
    }
    let right = telling.into_iter().next()?;
    let step = one.shown.as_ref()?.step;
    Some(Made {
        scene: Some(of_build(one)),
        ask: Ask::Apart { faults: [one.fault, other.fault], step },
        choices: std::iter::once(right).chain(silent.into_iter().take(WRONG)).collect(),
        facts: 7,
        place: Some(step),
    })
}

/// What a test light shows on a vehicle that was left where its fault showed; none where it cannot be put.
fn read(stopped: &Stopped, test: &Act) -> Option<Reading> {
    let mut bench: Bench = stopped.bench.clone();
    bench.act(test).ok()?;
    let reading = bench.observe(&[Subject::Instrument(Instrument::TestLight)], 0.0).ok()?[0];
    (!matches!(reading, Reading::Nothing | Reading::Chattering | Reading::Unsteady(_))).then_some(reading)
}
