//! Turns one checkout into a lab: walks the healthy vehicle and every broken one, and keeps each state once.

use super::broken::Broken;
use super::healthy::Healthy;
use super::stand::undone;
use super::table::{Case, Tried, View, lights, volts};
use super::{Lab, Looks, Node, Planted, route};
use crate::bench::{Carrier, Reading, Rig};
use crate::book::{
    Act, Book, ControlId, ControlRange, FaultId, Instrument, PageId, Place, Point, Role, Setting, Subject,
};
use crate::proof::field::Field;
use crate::proof::live::Live;
use crate::proof::scope::Scope;
use crate::proof::{Proof, steps};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// What all vehicles of a lab have in common.
pub struct Plan<'r> {
    pub moves: Vec<Act>,
    pub faces: Vec<Subject>,
    pub points: Vec<Point>,
    /// Placements of instruments in tests and steps.
    pub probes: Vec<Act>,
    /// The checkout's acts, step by step.
    pub acts: Vec<Vec<Act>>,
    pub places: Vec<Place>,
    pub rig: &'r Rig<'r>,
    /// What can join two of the points to one conductor.
    pub joints: Vec<usize>,
}

/// The lab of a checkout in one build; none when it has no fault to find.
pub fn lab(book: &Book, proof: &Proof, rig: &Rig, page: PageId, live: &Live) -> Option<Lab> {
    let found: Vec<Found> = proof
        .faults
        .iter()
        .filter(|showing| showing.page == page && showing.build == rig.build)
        .filter_map(|showing| {
            let (step, procedure, tests) = route(book, showing)?;
            Some((showing.fault, step, procedure, tests))
        })
        .collect();
    if found.is_empty() {
        return None;
    }
    let tests = found.iter().flat_map(|(_, _, _, tests)| tests.iter());
    let mut in_tests: Vec<Act> = Vec::new();
    for place in tests {
        for act in book.section(*place).role.acts() {
            if !in_tests.contains(act) {
                in_tests.push(act.clone());
            }
        }
    }
    let walked = steps::steps(book.page(page), page);
    let acts: Vec<Vec<Act>> = walked.iter().map(|(_, step)| step.acts.clone()).collect();
    let all: Vec<&Act> = acts.iter().flatten().chain(&in_tests).collect();
    let controls = controls(book, live, &all);
    let mut moves: Vec<Act> = controls
        .iter()
        .flat_map(|(control, settings)| settings.iter().map(|&to| Act::Set { control: *control, to }))
        .collect();
    for act in all {
        for act in [Some(act.clone()), undone(act)].into_iter().flatten() {
            if is_move(&act) && !moves.contains(&act) {
                moves.push(act);
            }
        }
    }
    let scope = Scope::of(book, live.sheet);
    let faces = faces(book, rig, page, &scope, &found);
    let points = points(book, rig, &scope, &in_tests);
    let field = Field::of_page(book, page)
        .and(Field::of_scope(&scope))
        .worked(controls.iter().map(|(control, _)| *control))
        .faults(found.iter().map(|(fault, ..)| book.fault(*fault)));
    let rig = field.awake(rig);
    let plan = Plan {
        joints: joints(&rig, &scope),
        probes: probes(acts.iter().flatten().chain(&in_tests)),
        faces,
        points,
        moves,
        acts,
        places: walked.iter().map(|(place, _)| *place).collect(),
        rig: &rig,
    };
    let healthy = Healthy::walk(book, &plan)?;
    let broken: Vec<Option<Broken>> = found
        .par_iter()
        .map(|(fault, step, _, route)| Broken::walk(book, &plan, &healthy, book.fault(*fault), *step, route))
        .collect();
    let both: Vec<(Found, Broken)> =
        found.into_iter().zip(broken).filter_map(|(found, broken)| Some((found, broken?))).collect();
    let vehicles: Vec<&Broken> = both.iter().map(|(_, broken)| broken).collect();
    let (healthy_views, differs) = shared(&plan, &healthy, &vehicles);
    let own: Vec<Vec<Seen>> = vehicles.par_iter().map(|broken| own(&plan, &healthy, broken)).collect();
    let mut views = Views::default();
    let shared = healthy_views
        .into_iter()
        .zip(&healthy.edges)
        .map(|(view, edges)| Node { looks: views.looks((view, Vec::new())), edges: edges.clone() })
        .collect();
    let mut planted = Vec::new();
    for (((found, broken), own), differs) in both.into_iter().zip(own).zip(differs) {
        let (fault, step, procedure, route) = found;
        let nodes =
            own.into_iter().zip(broken.edges).map(|(seen, edges)| Node { looks: views.looks(seen), edges });
        let nodes = nodes.collect();
        let differs = differs.into_iter().map(|(node, seen)| (node, views.looks(seen)));
        planted.push(Planted {
            fault,
            start: broken.start,
            step,
            procedure,
            route,
            differs: differs.collect(),
            changed: broken.changed.into_iter().filter(|(node, _)| broken.reached.contains(node)).collect(),
            nodes,
        });
    }
    Some(Lab {
        page,
        build: rig.build,
        controls,
        moves: plan.moves,
        faces: plan.faces,
        points: plan.points,
        probes: plan.probes,
        views: views.list,
        shared,
        planted,
    })
}

/// A fault, the step that shows it, the procedure that it leads to, and the tests of the proven way.
type Found = (FaultId, Place, Place, Vec<Place>);

/// What is seen in a state, and what the plan's probes read there.
type Seen = (View, Vec<(usize, Reading)>);

/// Distinct views, each with its number.
#[derive(Default)]
struct Views {
    list: Vec<View>,
    numbers: BTreeMap<Vec<u64>, usize>,
}

impl Views {
    fn looks(&mut self, (view, probes): Seen) -> Looks {
        let next = self.list.len();
        let number = *self.numbers.entry(view.bits()).or_insert(next);
        if number == next {
            self.list.push(view);
        }
        Looks { view: number, probes }
    }
}

/// The views of a vehicle's own states.
fn own(plan: &Plan, healthy: &Healthy, broken: &Broken) -> Vec<Seen> {
    let first = healthy.stands.len();
    (0..broken.edges.len()).map(|own| (broken.view(plan, own), broken.probes(plan, first + own))).collect()
}

/// The healthy vehicle's views, and for each broken one what its instruments find in the states that it shares. A light
/// is tried in the healthy vehicle first; only where the fault would make a difference to it is it tried again.
fn shared(plan: &Plan, healthy: &Healthy, vehicles: &[&Broken]) -> (Vec<View>, Vec<Vec<(usize, Seen)>>) {
    let of_node = |node: usize| {
        let view = healthy.view(plan, node);
        let tried = Tried::new(&healthy.phases[node], &plan.points, &view.volts);
        let of_vehicle = |broken: &&Broken| {
            if !broken.reached.contains(&node) {
                return None;
            }
            let stand = healthy.with(node, &broken.fault)?;
            let phases = stand.bench.phases().ok()?;
            let volts = volts(&phases, &plan.points);
            let case = Case { rig: plan.rig, fault: &broken.fault, volts: &volts };
            let lights = lights(&phases, &plan.points, &plan.joints, Some((&tried, case)));
            let seen = View { faces: view.faces.clone(), volts, lights };
            let probes = broken.probes(plan, node);
            (seen != view || !probes.is_empty()).then_some((seen, probes))
        };
        let found: Vec<Option<Seen>> = vehicles.iter().map(of_vehicle).collect();
        (view, found)
    };
    let nodes: Vec<(View, Vec<Option<Seen>>)> =
        (0..healthy.stands.len()).into_par_iter().map(of_node).collect();
    let mut views = Vec::new();
    let mut differs: Vec<Vec<(usize, Seen)>> = vehicles.iter().map(|_| Vec::new()).collect();
    for (node, (view, found)) in nodes.into_iter().enumerate() {
        views.push(view);
        for (differs, seen) in differs.iter_mut().zip(found) {
            differs.extend(seen.map(|seen| (node, seen)));
        }
    }
    (views, differs)
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
fn controls(book: &Book, live: &Live, acts: &[&Act]) -> Vec<(ControlId, Vec<Setting>)> {
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
