//! Turns a checkout and the faults to find with it into what all vehicles of its lab have in common.

use super::graph::Found;
use crate::bench::{Carrier, Rig};
use crate::book::{
    Act, Book, ControlId, ControlRange, Instrument, PageId, Place, Point, Role, Setting, Subject,
};
use crate::proof::live::Live;
use crate::proof::scope::Scope;
use crate::proof::steps;
use std::collections::BTreeMap;

/// What hands do along a checkout, and in the tests of the faults' ways.
pub struct Work {
    pub places: Vec<Place>,
    /// The checkout's acts, step by step.
    pub acts: Vec<Vec<Act>>,
    tests: Vec<Act>,
    /// The controls that are worked, each with its settings, rest first.
    pub controls: Vec<(ControlId, Vec<Setting>)>,
}

impl Work {
    pub fn of(book: &Book, page: PageId, live: &Live, found: &[Found]) -> Work {
        let walked = steps::steps(book.page(page), page);
        let acts: Vec<Vec<Act>> = walked.iter().map(|(_, step)| step.acts.clone()).collect();
        let mut tests: Vec<Act> = Vec::new();
        for place in found.iter().flat_map(|(_, _, _, tests)| tests) {
            for act in book.section(*place).role.acts() {
                if !tests.contains(act) {
                    tests.push(act.clone());
                }
            }
        }
        let controls = controls(book, live, acts.iter().flatten().chain(&tests));
        Work { places: walked.iter().map(|(place, _)| *place).collect(), acts, tests, controls }
    }

    fn all(&self) -> impl Iterator<Item = &Act> {
        self.acts.iter().flatten().chain(&self.tests)
    }

    /// Every setting of the controls, then whatever else changes the vehicle, each with what puts it back.
    fn moves(&self) -> Vec<Act> {
        let settings = self
            .controls
            .iter()
            .flat_map(|(control, settings)| settings.iter().map(|&to| Act::Set { control: *control, to }));
        let mut moves: Vec<Act> = settings.collect();
        for act in self.all() {
            for act in [Some(act.clone()), undone(act)].into_iter().flatten() {
                if is_move(&act) && !moves.contains(&act) {
                    moves.push(act);
                }
            }
        }
        moves
    }
}

/// What all vehicles of a lab have in common.
pub struct Plan<'r> {
    pub moves: Vec<Act>,
    pub faces: Vec<Subject>,
    pub points: Vec<Point>,
    /// Placements of instruments in tests and steps.
    pub probes: Vec<Act>,
    pub work: Work,
    pub rig: &'r Rig,
    /// What can join two of the points to one conductor.
    pub joints: Vec<usize>,
}

impl<'r> Plan<'r> {
    /// The plan of a build's vehicles, of which `awake` is what they can bring to life.
    pub fn new(
        book: &Book,
        rig: &Rig,
        awake: &'r Rig,
        page: PageId,
        scope: &Scope,
        found: &[Found],
        work: Work,
    ) -> Plan<'r> {
        Plan {
            moves: work.moves(),
            faces: faces(book, rig, page, scope, found),
            points: points(book, rig, scope, &work.tests),
            probes: probes(work.all()),
            joints: joints(awake, scope),
            rig: awake,
            work,
        }
    }
}

/// Whether an act changes the vehicle, rather than only measuring in it.
pub fn is_move(act: &Act) -> bool {
    match act {
        Act::Connect { instrument, .. } | Act::Remove(instrument) => {
            matches!(instrument, Instrument::Jumper | Instrument::FusedJumper)
        }
        Act::Measure { .. } => false,
        _ => true,
    }
}

/// Whether two hands are on the same control.
pub fn of_one_control(a: &Act, b: &Act) -> bool {
    matches!((a, b), (Act::Set { control, .. }, Act::Set { control: other, .. }) if control == other)
}

/// The sheet's controls and those that any line sets, each with the settings that lines use; a position has them all.
fn controls<'a>(
    book: &Book,
    live: &Live,
    acts: impl Iterator<Item = &'a Act>,
) -> Vec<(ControlId, Vec<Setting>)> {
    let mut found: BTreeMap<ControlId, Vec<Setting>> = BTreeMap::new();
    for &control in &live.controls {
        found.insert(control, vec![book.control(control).rest()]);
    }
    for act in acts {
        if let Act::Set { control, to } = act {
            let rest = book.control(*control).rest();
            let settings = found.entry(*control).or_insert_with(|| vec![rest]);
            if !settings.contains(to) {
                settings.push(*to);
            }
        }
    }
    for (control, settings) in &mut found {
        if let ControlRange::Positions(names) = &book.control(*control).range {
            *settings = (0..names.len() as u16).map(Setting::Position).collect();
        }
    }
    found.retain(|_, settings| settings.len() > 1);
    found.into_iter().collect()
}

/// The faces that the drawing shows, and those beyond it that a step or a test looks at.
fn faces(book: &Book, rig: &Rig, page: PageId, scope: &Scope, found: &[Found]) -> Vec<Subject> {
    let sights = rig.sights.iter().filter(|sight| scope.parts.contains(&sight.part));
    let mut faces: Vec<Subject> =
        sights.map(|sight| Subject::Face { part: sight.part, element: sight.element }).collect();
    // A relay that moves is heard, and felt by a hand on it.
    let relays = rig.relays.iter().filter(|relay| scope.parts.contains(&relay.part));
    faces.extend(relays.map(|relay| Subject::Relay { part: relay.part, state: relay.state }));
    let read = found.iter().flat_map(|(_, _, _, route)| route).filter_map(|place| {
        match &book.section(*place).role {
            Role::Test(test) => test.reads,
            _ => None,
        }
    });
    let sections = book.page(page).sections.iter();
    let expected = sections.flat_map(|section| match &section.role {
        Role::Step(step) => step.expects.as_slice(),
        _ => &[],
    });
    for face in expected.map(|expect| expect.subject).chain(read) {
        if !matches!(face, Subject::Instrument(_)) && !faces.contains(&face) {
            faces.push(face);
        }
    }
    faces
}

/// The battery's posts, the body, every wired terminal and cavity of the drawing, and what the tests name beside.
fn points(book: &Book, rig: &Rig, scope: &Scope, tests: &[Act]) -> Vec<Point> {
    let mut found = vec![Point::Ground, Point::BatteryPlus, Point::BatteryMinus];
    let mut own: Vec<Point> = Vec::new();
    for wire in &scope.wires {
        let wire = book.wire(*wire);
        if !wire.fitted[rig.build.index()] {
            continue;
        }
        own.extend(wire.ends.map(Point::from));
    }
    for act in tests {
        if let Act::Connect { from, to, .. } = act {
            own.extend([*from, *to]);
        }
    }
    own.sort();
    own.dedup();
    own.retain(|point| !found.contains(point));
    found.extend(own);
    found
}

/// The placements of instruments, each once.
fn probes<'a>(acts: impl Iterator<Item = &'a Act>) -> Vec<Act> {
    let mut found = Vec::new();
    for act in acts {
        let places = matches!(act, Act::Connect { .. } | Act::Measure { .. }) && !is_move(act);
        if places && !found.contains(act) {
            found.push(act.clone());
        }
    }
    found
}

/// The wires, pins, contacts and fuses of the drawing.
fn joints(rig: &Rig, scope: &Scope) -> Vec<usize> {
    rig.joints(|carrier| match carrier {
        Carrier::Element { part, .. } | Carrier::Pin { part, .. } | Carrier::Bond(part) => {
            scope.parts.contains(&part)
        }
        Carrier::Wire { wire, .. } | Carrier::ShortToGround(wire) => scope.wires.contains(&wire),
        Carrier::Cavity { connector, .. } => scope.connectors.contains(&connector),
    })
}

/// The hand that puts back what a hand has changed.
pub fn undone(act: &Act) -> Option<Act> {
    match *act {
        Act::Unplug(part) => Some(Act::Plug(part)),
        Act::OpenConnector(connector) => Some(Act::CloseConnector(connector)),
        Act::Disconnect { wire, end } => Some(Act::Reconnect { wire, end }),
        Act::Connect { instrument, .. } => Some(Act::Remove(instrument)),
        _ => None,
    }
}
