//! Turns a state into the questions which way a current takes, and which open place stops it.

use super::desk::Desk;
use super::loads::{faces, scene, variations};
use super::lot::Lot;
use super::question::{Answer, Ask, Because, Choice, Made, WRONG};
use super::scene::{Scene, Variation};
use crate::bench::{Bench, Carrier, Stop, Why};
use crate::book::{Action, Strength, Subject};

/// Below this current a conductor is said to carry none, in amperes: less than the least lamp takes.
const IDLE: f64 = 1e-3;

/// The way of the current through a load that works; wrong ways go through something that carries nothing.
pub fn path(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let scene = scene(desk, lot)?;
    let bench = desk.still(&scene)?;
    let mut loads = faces(desk, scene.build);
    lot.shuffle(&mut loads);
    let (subject, hops) = loads.iter().find_map(|&subject| Some((subject, way(&bench, subject)?)))?;
    let (part, element) = part_of(subject)?;
    let mut choices = vec![Choice {
        answer: Answer::Path(hops.clone()),
        because: Because::Computed(vec![(subject, bench.why(part, element)?)]),
    }];
    let mut offer = |wrong: Vec<Carrier>, because: Option<Because>| {
        let known = choices.iter().any(|choice| choice.answer == Answer::Path(wrong.clone()));
        let idle = wrong.iter().find(|carrier| is_idle(&bench, **carrier));
        if let (false, Some(idle)) = (known || choices.len() > WRONG, idle) {
            choices.push(Choice {
                answer: Answer::Path(wrong.clone()),
                because: because.unwrap_or(Because::Idle(*idle)),
            });
        }
    };
    for variation in variations(desk, &scene, lot) {
        let there = desk.still(&scene.varied(desk.book, variation));
        if let Some(wrong) = there.and_then(|there| way(&there, subject)) {
            offer(wrong, Some(Because::Otherwise(variation)));
        }
    }
    // The same way through the other contact of one of its parts.
    for (at, carrier) in hops.iter().enumerate() {
        for other in siblings(desk, *carrier) {
            let mut wrong = hops.clone();
            wrong[at] = other;
            offer(wrong, None);
        }
    }
    // And the way that leaves the load by another load's ground side or comes by its feed.
    for &other in &loads {
        let own = hops.iter().position(|hop| is_element(*hop, subject));
        let around = scenes_with(desk, &scene, other, lot);
        if let (Some(own), Some(theirs)) = (own, around) {
            let meets = theirs.iter().position(|hop| is_element(*hop, other));
            if let Some(meets) = meets {
                let crossed = theirs[..meets].iter().chain(&hops[own..]);
                offer(crossed.copied().collect(), None);
            }
        }
    }
    Some(Made {
        facts: scene.settings.len() + hops.len() / 3,
        scene: Some(scene),
        ask: Ask::Path { part, element },
        choices,
        place: None,
    })
}

/// The way to another load, here or in a state beside.
fn scenes_with(desk: &Desk, scene: &Scene, other: Subject, lot: &mut Lot) -> Option<Vec<Carrier>> {
    let here = desk.bench(scene).ok()?;
    if let Some(hops) = way(&here, other) {
        return Some(hops);
    }
    let near = variations(desk, scene, lot);
    near.into_iter().filter(|near| matches!(near, Variation::Moved(..))).find_map(|variation| {
        let bench = desk.still(&scene.varied(desk.book, variation))?;
        way(&bench, other)
    })
}

/// The parts and connectors on the way of the current through a subject that works by it.
fn way(bench: &Bench, subject: Subject) -> Option<Vec<Carrier>> {
    let (part, element) = part_of(subject)?;
    let Some(Why::Path(hops)) = bench.why(part, element) else {
        return None;
    };
    if bench.see(subject).strength == Strength::Off || hops.iter().any(|hop| hop.amps < 2.0 * IDLE) {
        return None;
    }
    let mut found: Vec<Carrier> = Vec::new();
    for hop in hops {
        let shown =
            matches!(hop.carrier, Carrier::Element { .. } | Carrier::Cavity { .. } | Carrier::Bond(_));
        if shown && found.last() != Some(&hop.carrier) {
            found.push(hop.carrier);
        }
    }
    Some(found)
}

fn part_of(subject: Subject) -> Option<(crate::book::PartId, usize)> {
    match subject {
        Subject::Face { part, element } => Some((part, element)),
        _ => None,
    }
}

fn is_element(carrier: Carrier, subject: Subject) -> bool {
    part_of(subject).is_some_and(|(part, element)| carrier == Carrier::Element { part, element })
}

/// Whether a conductor carries nothing.
fn is_idle(bench: &Bench, carrier: Carrier) -> bool {
    let elements = bench.rig().carriers.iter().enumerate();
    elements.filter(|(_, other)| **other == carrier).all(|(index, _)| bench.amps(index).abs() < IDLE)
}

/// The other contacts of a contact's part.
fn siblings(desk: &Desk, carrier: Carrier) -> Vec<Carrier> {
    let Carrier::Element { part, element } = carrier else {
        return Vec::new();
    };
    let elements = &desk.book.part(part).elements;
    let is_contact = |at: usize| matches!(elements[at].action, Action::Contact { .. });
    (0..elements.len())
        .filter(|&at| at != element && is_contact(at) && is_contact(element))
        .map(|element| Carrier::Element { part, element })
        .collect()
}

/// The one open place that keeps a load from working; the wrong ones are closed, on its way when it works.
pub fn contact(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let scene = scene(desk, lot)?;
    let bench = desk.still(&scene)?;
    let mut loads = faces(desk, scene.build);
    lot.shuffle(&mut loads);
    let (subject, open) = loads.iter().find_map(|&subject| {
        let (part, element) = part_of(subject)?;
        let Some(Why::Gap { feed, within: None, ground }) = bench.why(part, element) else {
            return None;
        };
        let mut stops: Vec<Stop> = feed.into_iter().chain(ground).collect();
        stops.dedup();
        match stops[..] {
            [Stop::Open(only @ Carrier::Element { .. })] => Some((subject, only)),
            _ => None,
        }
    })?;
    let (part, element) = part_of(subject)?;
    let why = bench.why(part, element)?;
    // The way that it would work by, from the state beside in which it does.
    let mut near = variations(desk, &scene, lot);
    near.retain(|variation| matches!(variation, Variation::Moved(..)));
    let working = near.into_iter().find_map(|variation| {
        let there = desk.still(&scene.varied(desk.book, variation))?;
        let hops = way(&there, subject)?;
        hops.contains(&open).then_some(hops)
    })?;
    let mut closed: Vec<Carrier> = working.into_iter().filter(|hop| is_closed(&bench, *hop)).collect();
    for (index, contact) in bench.rig().contacts.iter().enumerate() {
        let carrier = Carrier::Element { part: contact.part, element: contact.element };
        if bench.made(index) && desk.book.part(contact.part).sheet == desk.sheet && !closed.contains(&carrier)
        {
            closed.push(carrier);
        }
    }
    let mut choices =
        vec![Choice { answer: Answer::Contact(open), because: Because::Computed(vec![(subject, why)]) }];
    lot.shuffle(&mut closed);
    choices.extend(
        closed
            .into_iter()
            .take(WRONG)
            .map(|carrier| Choice { answer: Answer::Contact(carrier), because: Because::Closed(carrier) }),
    );
    Some(Made {
        facts: scene.settings.len() + 2,
        scene: Some(scene),
        ask: Ask::Contact { part, element },
        choices,
        place: None,
    })
}

/// Whether a carrier is a contact or a fuse that is closed.
fn is_closed(bench: &Bench, carrier: Carrier) -> bool {
    let Carrier::Element { part, element } = carrier else {
        return false;
    };
    let is = |of: crate::book::PartId, at: usize| (of, at) == (part, element);
    let rig = bench.rig();
    let contacts = rig.contacts.iter().enumerate();
    let links = rig.links.iter().enumerate();
    contacts.clone().any(|(index, contact)| is(contact.part, contact.element) && bench.made(index))
        || links.clone().any(|(index, link)| is(link.part, link.element) && !bench.blown(index))
}
