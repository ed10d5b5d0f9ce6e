//! Turns a lineup into what a technician could do next: look, put a test light somewhere, unplug, open, bridge; it runs nothing.

use super::lineup::Lineup;
use super::neighborhood::Neighborhood;
use crate::book::{
    Act, Action, Book, ConnectorId, End, FaultId, Instrument, Kind, PartId, Point, Role, Subject, TerminalId,
};
use crate::proof::scope::Scope;
use std::collections::BTreeSet;

/// Something that can be done and then looked at, from the vehicle as the failed step left it.
#[derive(Debug, Clone, PartialEq)]
pub struct Hands {
    /// What is opened or unplugged first.
    pub setup: Vec<Act>,
    /// The instrument that is put in place.
    pub lead: Option<Act>,
    /// What can be read then.
    pub subjects: Vec<Subject>,
    /// How long it takes.
    pub seconds: f64,
}

// How long a pair of practiced hands takes, in seconds; only the ratios matter, and they are this project's own
// (common practice, no source): eyes are quickest, bare metal is quicker than a pin in a full connector, and opening
// something costs more than probing it.
pub const LOOK: f64 = 4.0;
/// A control is worked.
pub const MOVE: f64 = 3.0;
const PROBE_BARE: f64 = 15.0;
const PROBE_OPENED: f64 = 15.0;
const PROBE_PLUGGED: f64 = 30.0;
const PROBE_MATED: f64 = 35.0;
const PROBE_SPLICE: f64 = 90.0;
/// The light's clip on the battery's plus instead of the nearest metal.
const LONG_LEAD: f64 = 5.0;
const BRIDGE: f64 = 45.0;
const PULL_FUSE: f64 = 12.0;
const UNPLUG_RELAY: f64 = 20.0;
const UNPLUG: f64 = 45.0;
const OPEN_CONNECTOR: f64 = 60.0;

/// How far a technician goes to tell suspects apart; each is tried on those that the ones before leave together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effort {
    /// Eyes on the loads of the checkout's sheet, and a test light to the body at the ends of every wire at a suspect.
    Probe,
    /// A test light to the battery's plus, the same with one part or connector open, and a bridge around a contact.
    Open,
    /// A test light with every load in the neighborhood unplugged, so that no current takes the way through one.
    Unload,
}

impl Effort {
    /// From the least to the most.
    pub const ALL: [Effort; 3] = [Effort::Probe, Effort::Open, Effort::Unload];
}

/// Everything that might tell these faults apart with so much effort. `lineup` says what can be looked at.
pub fn candidates(
    book: &Book,
    lineup: &Lineup,
    faults: impl Iterator<Item = FaultId>,
    effort: Effort,
) -> Vec<Hands> {
    let near = Neighborhood::of(book, faults);
    let faces = faces(book, lineup);
    let mut found = Vec::new();
    match effort {
        Effort::Probe => {
            found.push(Hands { setup: Vec::new(), lead: None, subjects: faces, seconds: LOOK });
            near.ends
                .iter()
                .for_each(|&end| light(end, Point::Ground, &[], plugged_cost(book, end), &mut found));
        }
        Effort::Open => {
            near.ends
                .iter()
                .for_each(|&end| light(end, Point::BatteryPlus, &[], plugged_cost(book, end), &mut found));
            near.parts.iter().for_each(|&part| unplugged(book, &near, part, &faces, &mut found));
            near.connectors
                .iter()
                .for_each(|&connector| opened(&near, &[], connector, 0.0, &faces, &mut found));
        }
        Effort::Unload => unloaded(book, &near, &mut found),
    }
    found
}

/// A part off its wires, or a bridge around its contacts.
fn unplugged(book: &Book, near: &Neighborhood, part: PartId, faces: &[Subject], found: &mut Vec<Hands>) {
    let Some(cost) = unplug_cost(book.part(part).kind) else {
        return;
    };
    let setup = [Act::Unplug(part)];
    found.push(Hands { setup: setup.to_vec(), lead: None, subjects: faces.to_vec(), seconds: cost + LOOK });
    for &end in
        near.ends.iter().filter(|end| matches!(end, End::Terminal { part: other, .. } if *other == part))
    {
        both_ways(end, &setup, cost + PROBE_OPENED, found);
    }
    for (from, to) in contacts(book, part) {
        let (Some(&from), Some(&to)) = (near.terminal(part, from), near.terminal(part, to)) else {
            continue;
        };
        found.push(Hands {
            setup: Vec::new(),
            lead: Some(Act::Connect {
                instrument: Instrument::FusedJumper,
                from: from.into(),
                to: to.into(),
            }),
            subjects: faces.to_vec(),
            seconds: BRIDGE + LOOK,
        });
    }
}

/// A connector taken apart, after `before` was done for `cost`.
fn opened(
    near: &Neighborhood,
    before: &[Act],
    connector: ConnectorId,
    cost: f64,
    faces: &[Subject],
    found: &mut Vec<Hands>,
) {
    let setup = [before, &[Act::OpenConnector(connector)]].concat();
    let cost = cost + OPEN_CONNECTOR;
    if !faces.is_empty() {
        found.push(Hands {
            setup: setup.clone(),
            lead: None,
            subjects: faces.to_vec(),
            seconds: cost + LOOK,
        });
    }
    for &end in near
        .ends
        .iter()
        .filter(|end| matches!(end, End::Cavity { connector: other, .. } if *other == connector))
    {
        both_ways(end, &setup, cost + PROBE_OPENED, found);
    }
}

/// Every load off its wires, and beside that nothing or one connector open.
fn unloaded(book: &Book, near: &Neighborhood, found: &mut Vec<Hands>) {
    let loads: Vec<PartId> = near
        .parts
        .iter()
        .copied()
        .filter(|&part| {
            book.part(part).faces().next().is_some() && unplug_cost(book.part(part).kind).is_some()
        })
        .collect();
    if loads.is_empty() {
        return;
    }
    let setup: Vec<Act> = loads.iter().map(|&part| Act::Unplug(part)).collect();
    let cost = UNPLUG * loads.len() as f64;
    for &end in &near.ends {
        both_ways(end, &setup, cost + plugged_cost(book, end), found);
    }
    near.connectors.iter().for_each(|&connector| opened(near, &setup, connector, cost, &[], found));
}

fn both_ways(end: End, setup: &[Act], seconds: f64, found: &mut Vec<Hands>) {
    light(end, Point::Ground, setup, seconds, found);
    light(end, Point::BatteryPlus, setup, seconds, found);
}

/// A test light from a wire's end to the body or to the battery's plus.
fn light(end: End, to: Point, setup: &[Act], seconds: f64, found: &mut Vec<Hands>) {
    let more = if to == Point::BatteryPlus { LONG_LEAD } else { 0.0 };
    found.push(Hands {
        setup: setup.to_vec(),
        lead: Some(Act::Connect { instrument: Instrument::TestLight, from: end.into(), to }),
        subjects: vec![Subject::Instrument(Instrument::TestLight)],
        seconds: seconds + more,
    });
}

fn plugged_cost(book: &Book, end: End) -> f64 {
    match end {
        End::Cavity { .. } => PROBE_MATED,
        End::Terminal { part, .. } => match book.part(part).kind {
            Kind::Battery | Kind::Fuse | Kind::FusibleLink | Kind::Breaker | Kind::Ground | Kind::Starter => {
                PROBE_BARE
            }
            Kind::Splice => PROBE_SPLICE,
            _ => PROBE_PLUGGED,
        },
    }
}

/// What it costs to take a part off its wires; none where it is bolted or crimped.
fn unplug_cost(kind: Kind) -> Option<f64> {
    match kind {
        Kind::Splice
        | Kind::Ground
        | Kind::Battery
        | Kind::Alternator
        | Kind::Starter
        | Kind::FusibleLink => None,
        Kind::Fuse => Some(PULL_FUSE),
        Kind::Relay | Kind::LatchingRelay | Kind::Timer | Kind::Flasher => Some(UNPLUG_RELAY),
        _ => Some(UNPLUG),
    }
}

/// The contacts of a switch or relay, by their terminals.
fn contacts(book: &Book, part: PartId) -> Vec<(TerminalId, TerminalId)> {
    let elements = book.part(part).elements.iter();
    elements
        .filter(|element| matches!(element.action, Action::Contact { .. }))
        .map(|element| (element.a, element.b))
        .collect()
}

/// What can be seen or heard on the checkout's sheet, and whatever else the failed steps speak of.
fn faces(book: &Book, lineup: &Lineup) -> Vec<Subject> {
    let mut faces = BTreeSet::new();
    for &step in &lineup.steps {
        if let Some(sheet) = book.page(step.page).sheet {
            for part in Scope::of(book, sheet).parts {
                faces.extend(book.part(part).faces().map(|(element, _)| Subject::Face { part, element }));
            }
        }
        if let Role::Step(step) = &book.section(step).role {
            let read = step.expects.iter().map(|expect| expect.subject);
            faces.extend(read.filter(|subject| !matches!(subject, Subject::Instrument(_))));
        }
    }
    faces.into_iter().collect()
}
