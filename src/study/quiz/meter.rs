//! Turns a state and two points into the question what a meter or a test light shows between them.

use super::desk::Desk;
use super::loads::{differ, scene, variations};
use super::lot::Lot;
use super::question::{Answer, Ask, Because, Choice, Made, WRONG};
use super::scene::{Scene, Variation, plain, points, told_apart};
use crate::bench::{Reading, Seen};
use crate::book::{Instrument, Point, Strength, Subject};

/// What an instrument shows; wrong choices are what it shows in a state beside or at a terminal beside.
pub fn meter(desk: &Desk, lot: &mut Lot, instrument: Instrument) -> Option<Made> {
    let bare = scene(desk, lot)?;
    let points = points(desk.book, desk.sheet, bare.build);
    let from = *lot.pick(&points)?;
    let beside: Vec<Point> = points.iter().copied().filter(|point| shares_part(*point, from)).collect();
    let to = match (lot.below(4), lot.pick(&beside)) {
        (0, Some(other)) if instrument == Instrument::Voltmeter => *other,
        (0, _) if instrument == Instrument::TestLight => Point::BatteryPlus,
        _ => Point::Ground,
    };
    let scene = Scene { probe: Some((instrument, from, to)), ..bare };
    let subject = Subject::Instrument(instrument);
    let look = |scene: &Scene| Some(plain(desk.still(scene)?, &[subject])?[0]);
    let here = look(&scene)?;
    let mut choices = vec![Choice {
        answer: Answer::Readings(vec![(subject, here)]),
        because: Because::Computed(Vec::new()),
    }];
    let mut ways = variations(desk, &scene, lot);
    let leads = beside.into_iter().filter(|point| *point != to).map(Variation::Lead);
    ways.extend(leads);
    let mut offer = |reading: Reading, because: Because| {
        let answer = vec![(subject, reading)];
        if choices.len() <= WRONG && choices.iter().all(|choice| differ(&choice.answer, &answer)) {
            choices.push(Choice { answer: Answer::Readings(answer), because });
        }
    };
    let mut varied = false;
    for variation in ways {
        if let Some(there) = look(&scene.varied(desk.book, variation)) {
            varied |= told_apart(&there, &here);
            offer(there, Because::Otherwise(variation));
        }
    }
    // What nothing near gives is no plausible answer, but it fills up a light's three words.
    if varied && instrument == Instrument::TestLight {
        for strength in [Strength::Off, Strength::Weak, Strength::Full] {
            let seen = Seen { strength, backwards: false };
            offer(Reading::Steady(seen), Because::Nowhere);
        }
    }
    Some(Made {
        facts: scene.settings.len() + 2,
        scene: Some(scene),
        ask: Ask::Meter(instrument),
        choices,
        place: None,
    })
}

/// Whether two points are different terminals of one part.
fn shares_part(a: Point, b: Point) -> bool {
    match (a, b) {
        (Point::Terminal { part, .. }, Point::Terminal { part: other, .. }) => part == other && a != b,
        _ => false,
    }
}
