//! Turns one checkout into a lab: walks the healthy vehicle and every broken one, and keeps each state once.

use super::table::{View, lights, look, volts};
use super::{Edge, Lab, Node, Planted, corner, route};
use crate::bench::{Bench, Frame, HarmKind, Reading, Rig};
use crate::book::{
    Act, Book, ControlId, ControlRange, End, Fault, FaultId, Instrument, PageId, Place, Point, Role, Setting,
    Subject,
};
use crate::proof::live::Live;
use crate::proof::scope::Scope;
use crate::proof::{Proof, steps};
use std::collections::BTreeMap;

/// A vehicle with all that a lab's tables are made of.
struct Stand<'r> {
    bench: Bench<'r>,
    faces: Vec<Reading>,
    /// Hands other than controls that are still in place.
    hands: Vec<Act>,
}

/// Distinct views, each with its number.
#[derive(Default)]
struct Views {
    list: Vec<View>,
    numbers: BTreeMap<String, usize>,
}

impl Views {
    fn number(&mut self, view: View) -> usize {
        let next = self.list.len();
        let number = *self.numbers.entry(format!("{view:?}")).or_insert(next);
        if number == next {
            self.list.push(view);
        }
        number
    }
}

/// What all vehicles of a lab have in common.
struct Plan<'r> {
    moves: Vec<Act>,
    faces: Vec<Subject>,
    points: Vec<Point>,
    probes: Vec<(Instrument, Point, Point)>,
    /// The checkout's acts, step by step.
    acts: Vec<Vec<Act>>,
    places: Vec<Place>,
    rig: &'r Rig<'r>,
}

/// The lab of a checkout in one build; none when it has no fault to find.
pub fn lab<'r>(book: &Book, proof: &Proof, rig: &'r Rig<'r>, page: PageId, live: &Live) -> Option<Lab> {
    let found: Vec<(FaultId, Place, Place, Vec<Place>)> = proof
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
        for act in acts_of(book, *place) {
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
        .flat_map(|(control, settings)| {
            settings.iter().map(|&to| Act::Set {
                control: *control,
                to,
            })
        })
        .collect();
    for act in all {
        for act in [Some(act.clone()), undone(act)].into_iter().flatten() {
            if is_move(&act) && !moves.contains(&act) {
                moves.push(act);
            }
        }
    }
    let plan = Plan {
        faces: faces(book, rig, live),
        points: points(book, rig, live, &in_tests),
        probes: probes(&in_tests),
        moves,
        acts,
        places: walked.iter().map(|(place, _)| *place).collect(),
        rig,
    };
    let mut views = Views::default();
    let healthy = Healthy::walk(book, &plan, &mut views)?;
    let planted = found
        .into_iter()
        .filter_map(|(fault, step, procedure, route)| {
            let vehicle = Broken::walk(book, &plan, &healthy, &mut views, fault, step, &route)?;
            Some(Planted {
                fault,
                start: vehicle.start,
                step,
                procedure,
                route,
                changed: vehicle.changed,
                nodes: vehicle.nodes,
            })
        })
        .collect();
    Some(Lab {
        page,
        build: rig.build,
        controls,
        moves: plan.moves,
        faces: plan.faces,
        points: plan.points,
        probes: plan.probes,
        views: views.list,
        shared: healthy.nodes,
        planted,
    })
}

fn acts_of(book: &Book, place: Place) -> &[Act] {
    match &book.section(place).role {
        Role::Test(test) => &test.acts,
        _ => &[],
    }
}

/// Whether an act changes the vehicle, rather than only measuring in it.
fn is_move(act: &Act) -> bool {
    match act {
        Act::Connect { instrument, .. } | Act::Remove(instrument) => {
            matches!(instrument, Instrument::Jumper | Instrument::FusedJumper)
        }
        Act::Measure { .. } => false,
        _ => true,
    }
}

/// Whether two hands are on the same control.
fn of_one_control(a: &Act, b: &Act) -> bool {
    matches!((a, b), (Act::Set { control, .. }, Act::Set { control: other, .. }) if control == other)
}

/// The hand that puts back what a hand has changed.
fn undone(act: &Act) -> Option<Act> {
    match *act {
        Act::Unplug(part) => Some(Act::Plug(part)),
        Act::OpenConnector(connector) => Some(Act::CloseConnector(connector)),
        Act::Disconnect { wire, end } => Some(Act::Reconnect { wire, end }),
        Act::Connect { instrument, .. } => Some(Act::Remove(instrument)),
        _ => None,
    }
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

/// The faces that the drawing shows.
fn faces(book: &Book, rig: &Rig, live: &Live) -> Vec<Subject> {
    let scope = Scope::of(book, live.sheet);
    let sights = rig
        .sights
        .iter()
        .filter(|sight| scope.parts.contains(&sight.part));
    let mut faces: Vec<Subject> = sights
        .map(|sight| Subject::Face {
            part: sight.part,
            element: sight.element,
        })
        .collect();
    // A relay that moves is heard, and felt by a hand on it.
    let relays = rig
        .relays
        .iter()
        .filter(|relay| scope.parts.contains(&relay.part));
    faces.extend(relays.map(|relay| Subject::Relay {
        part: relay.part,
        state: relay.state,
    }));
    faces
}

/// The battery's posts, the body, every wired terminal and cavity of the drawing, and what the tests name beside.
fn points(book: &Book, rig: &Rig, live: &Live, tests: &[Act]) -> Vec<Point> {
    let scope = Scope::of(book, live.sheet);
    let mut found = vec![Point::Ground, Point::BatteryPlus, Point::BatteryMinus];
    let mut own: Vec<Point> = Vec::new();
    for wire in &scope.wires {
        let wire = book.wire(*wire);
        if !wire.fitted[rig.build.index()] {
            continue;
        }
        for end in wire.ends {
            own.push(match end {
                End::Terminal { part, terminal } => Point::Terminal {
                    part,
                    terminal,
                    on_part: false,
                },
                End::Cavity {
                    connector,
                    cavity,
                    side,
                } => Point::Cavity {
                    connector,
                    cavity,
                    side,
                },
            });
        }
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

/// The placements of instruments whose readings are neither the light's to ground or plus nor a voltmeter's.
fn probes(tests: &[Act]) -> Vec<(Instrument, Point, Point)> {
    let mut found = Vec::new();
    for act in tests {
        if let Act::Connect { instrument, from, to } = *act {
            let plain = match instrument {
                Instrument::Voltmeter => true,
                Instrument::TestLight => [from, to]
                    .iter()
                    .any(|point| matches!(point, Point::Ground | Point::BatteryPlus)),
                Instrument::Jumper | Instrument::FusedJumper => true,
                _ => false,
            };
            if !plain && !found.contains(&(instrument, from, to)) {
                found.push((instrument, from, to));
            }
        }
    }
    found
}

impl<'r> Stand<'r> {
    /// Does one thing and looks. None when the vehicle does not come to rest.
    fn after(&self, plan: &Plan, act: &Act) -> Option<Stand<'r>> {
        let mut bench = self.bench.clone();
        bench.listen();
        bench.act(act).ok()?;
        let faces = look(&mut bench, &plan.faces).ok()?;
        let mut hands = self.hands.clone();
        match act {
            Act::Set { .. } | Act::Wait(_) => {}
            other => match hands.iter().position(|hand| undone(hand).as_ref() == Some(other)) {
                Some(at) => {
                    hands.remove(at);
                }
                None => {
                    hands.push(other.clone());
                    hands.sort_by_key(|hand| format!("{hand:?}"));
                }
            },
        }
        Some(Stand { bench, faces, hands })
    }

    /// Equal for vehicles that behave the same from here on.
    fn key(&self) -> String {
        let (bench, rig) = (&self.bench, self.bench.rig());
        let bits = |count: usize, is: &dyn Fn(usize) -> bool| -> String {
            (0..count).map(|at| if is(at) { '1' } else { '0' }).collect()
        };
        format!(
            "{:?} {:?} {} {} {}",
            bench.settings(),
            self.hands,
            bits(rig.relays.len(), &|at| bench.energized(at)),
            bits(rig.contacts.len(), &|at| bench.made(at)),
            bits(rig.links.len(), &|at| bench.blown(at)),
        )
    }

    /// What is seen and read here; `tested` also tries the test light at every point.
    fn view(&self, plan: &Plan, tested: bool) -> View {
        View {
            faces: self.faces.clone(),
            volts: volts(&self.bench, &plan.points),
            lights: tested.then(|| lights(&self.bench, &plan.points)),
        }
    }

    /// The readings of the plan's probes.
    fn probes(&self, plan: &Plan) -> Vec<(usize, Reading)> {
        let read = |&(instrument, from, to): &(Instrument, Point, Point)| {
            let mut bench = self.bench.clone();
            bench.act(&Act::Connect { instrument, from, to }).ok()?;
            let reading = bench.observe(&[Subject::Instrument(instrument)], 0.0).ok()?[0];
            (reading != Reading::Nothing).then_some(reading)
        };
        let all = plan.probes.iter().enumerate();
        all.filter_map(|(index, probe)| Some((index, read(probe)?)))
            .collect()
    }

    /// What a hand harmed or moved on the way to another stand.
    fn edge(&self, plan: &Plan, by: usize, after: &Stand, to: usize) -> Edge {
        let is_hand = Bench::is_hand(&plan.moves[by]);
        let known: Vec<HarmKind> = self.bench.examine().iter().map(|harm| harm.kind).collect();
        let harms = after.bench.examine().into_iter().map(|harm| harm.kind);
        let moving = self.bench.moving();
        Edge {
            by,
            to: Some(to),
            harms: harms.filter(|harm| is_hand && !known.contains(harm)).collect(),
            moves: is_hand
                && after
                    .bench
                    .moving()
                    .iter()
                    .any(|machine| !moving.contains(machine)),
        }
    }
}

/// The healthy vehicle's states: along the checkout, and one control beside each.
struct Healthy<'r> {
    nodes: Vec<Node>,
    stands: Vec<Stand<'r>>,
    /// The states that the vehicle passes through along each edge, by node and edge.
    frames: Vec<Vec<Vec<Frame>>>,
    keys: BTreeMap<String, usize>,
}

impl<'r> Healthy<'r> {
    fn walk(book: &Book, plan: &Plan<'r>, views: &mut Views) -> Option<Healthy<'r>> {
        let mut bench = Bench::new(plan.rig, corner(book)).ok()?;
        let faces = look(&mut bench, &plan.faces).ok()?;
        let mut healthy = Healthy {
            nodes: Vec::new(),
            stands: Vec::new(),
            frames: Vec::new(),
            keys: BTreeMap::new(),
        };
        let mut at = healthy.add(
            plan,
            views,
            Stand {
                bench,
                faces,
                hands: Vec::new(),
            },
        );
        for act in plan.acts.iter().flatten() {
            if let Some(by) = plan.moves.iter().position(|other| other == act) {
                at = healthy.follow(plan, views, at, by)?;
            }
        }
        let sets = plan
            .moves
            .iter()
            .take_while(|act| matches!(act, Act::Set { .. }))
            .count();
        for node in 0..healthy.nodes.len() {
            for by in 0..sets {
                let beside = healthy.follow(plan, views, node, by);
                for back in 0..sets {
                    if let Some(beside) = beside
                        && of_one_control(&plan.moves[by], &plan.moves[back])
                    {
                        healthy.follow(plan, views, beside, back);
                    }
                }
            }
        }
        Some(healthy)
    }

    fn add(&mut self, plan: &Plan, views: &mut Views, stand: Stand<'r>) -> usize {
        let key = stand.key();
        if let Some(&known) = self.keys.get(&key) {
            return known;
        }
        let number = self.nodes.len();
        self.nodes.push(Node {
            view: views.number(stand.view(plan, true)),
            edges: Vec::new(),
            probes: Vec::new(),
        });
        self.keys.insert(key, number);
        self.stands.push(stand);
        self.frames.push(Vec::new());
        number
    }

    fn follow(&mut self, plan: &Plan, views: &mut Views, from: usize, by: usize) -> Option<usize> {
        if let Some(edge) = self.nodes[from].edges.iter().find(|edge| edge.by == by) {
            return edge.to;
        }
        let mut watched = Stand {
            bench: self.stands[from].bench.clone(),
            faces: Vec::new(),
            hands: self.stands[from].hands.clone(),
        };
        watched.bench.open_album();
        let mut after = watched.after(plan, &plan.moves[by])?;
        let frames = after.bench.close_album();
        let edge = |to| self.stands[from].edge(plan, by, &after, to);
        let edge = edge(0);
        let to = self.add(plan, views, after);
        self.nodes[from].edges.push(Edge { to: Some(to), ..edge });
        self.frames[from].push(frames);
        Some(to)
    }
}

/// A broken vehicle's own states.
struct Broken<'r, 'h> {
    healthy: &'h Healthy<'r>,
    start: usize,
    changed: Vec<(usize, Edge)>,
    nodes: Vec<Node>,
    stands: Vec<Stand<'r>>,
    keys: BTreeMap<String, usize>,
    fault: Fault,
}

impl<'r, 'h> Broken<'r, 'h> {
    fn walk(
        book: &Book,
        plan: &Plan<'r>,
        healthy: &'h Healthy<'r>,
        views: &mut Views,
        fault: FaultId,
        step: Place,
        route: &[Place],
    ) -> Option<Broken<'r, 'h>> {
        let fault = book.fault(fault).clone();
        let mut vehicle = Broken {
            healthy,
            start: 0,
            changed: Vec::new(),
            nodes: Vec::new(),
            stands: Vec::new(),
            keys: BTreeMap::new(),
            fault,
        };
        // Where the fault makes no difference on the way, the healthy vehicle's states are its own.
        for (node, frames) in healthy.frames.iter().enumerate() {
            for (edge, frames) in healthy.nodes[node].edges.iter().zip(frames) {
                if frames
                    .iter()
                    .any(|frame| frame.is_touched_by(plan.rig, &vehicle.fault))
                {
                    vehicle.changed.push((
                        node,
                        Edge {
                            to: None,
                            ..edge.clone()
                        },
                    ));
                }
            }
        }
        vehicle.start = vehicle.at_rest(plan, views)?;
        let mut at = vehicle.start;
        let mut stop = None;
        for (place, acts) in plan.places.iter().zip(&plan.acts) {
            for act in acts {
                at = vehicle.follow(plan, views, at, act)?;
            }
            if *place == step {
                stop = Some(at);
                break;
            }
        }
        let stop = vehicle.own(plan, views, stop?);
        vehicle.test(plan, views, stop);
        let sets = plan.moves.iter().take_while(|act| matches!(act, Act::Set { .. }));
        for act in sets.clone() {
            let beside = vehicle.follow(plan, views, stop, act);
            for back in sets.clone() {
                if let Some(beside) = beside
                    && of_one_control(act, back)
                {
                    vehicle.follow(plan, views, beside, back);
                }
            }
        }
        let mut at = stop;
        for place in route {
            for act in acts_of(book, *place) {
                if is_move(act) {
                    at = vehicle.follow(plan, views, at, act)?;
                    at = vehicle.own(plan, views, at);
                    vehicle.test(plan, views, at);
                }
            }
        }
        Some(vehicle)
    }

    fn shared(&self) -> usize {
        self.healthy.nodes.len()
    }

    /// The vehicle at rest with the fault: its own state where that differs from the healthy one.
    fn at_rest(&mut self, plan: &Plan, views: &mut Views) -> Option<usize> {
        let stand = self.planted(plan, 0)?;
        let rest = &self.healthy.stands[0];
        if stand.faces == rest.faces && volts(&stand.bench, &plan.points) == volts(&rest.bench, &plan.points)
        {
            return Some(0);
        }
        Some(self.add(plan, views, stand))
    }

    /// A shared state with the fault in it.
    fn planted(&self, plan: &Plan, node: usize) -> Option<Stand<'r>> {
        let healthy = &self.healthy.stands[node];
        let mut bench = healthy.bench.clone();
        bench.plant(&self.fault).ok()?;
        let faces = look(&mut bench, &plan.faces).ok()?;
        Some(Stand {
            bench,
            faces,
            hands: healthy.hands.clone(),
        })
    }

    fn add(&mut self, plan: &Plan, views: &mut Views, stand: Stand<'r>) -> usize {
        let key = stand.key();
        if let Some(&known) = self.keys.get(&key) {
            return known;
        }
        let number = self.shared() + self.nodes.len();
        self.nodes.push(Node {
            view: views.number(stand.view(plan, false)),
            edges: Vec::new(),
            probes: Vec::new(),
        });
        self.stands.push(stand);
        self.keys.insert(key, number);
        number
    }

    /// Follows a hand from a state, the vehicle's own or a shared one.
    fn follow(&mut self, plan: &Plan, views: &mut Views, from: usize, act: &Act) -> Option<usize> {
        let by = plan.moves.iter().position(|other| other == act)?;
        let shared = self.shared();
        if from >= shared {
            if let Some(edge) = self.nodes[from - shared].edges.iter().find(|edge| edge.by == by) {
                return edge.to;
            }
            let after = self.stands[from - shared].after(plan, act)?;
            let edge = self.stands[from - shared].edge(plan, by, &after, 0);
            let to = self.add(plan, views, after);
            self.nodes[from - shared]
                .edges
                .push(Edge { to: Some(to), ..edge });
            return Some(to);
        }
        let at = self
            .changed
            .iter()
            .position(|(node, edge)| (*node, edge.by) == (from, by));
        let Some(at) = at else {
            return self.healthy.nodes[from]
                .edges
                .iter()
                .find(|edge| edge.by == by)?
                .to;
        };
        if self.changed[at].1.to.is_none() {
            let before = self.planted(plan, from)?;
            let after = before.after(plan, act)?;
            let edge = before.edge(plan, by, &after, 0);
            let to = self.add(plan, views, after);
            self.changed[at].1 = Edge { to: Some(to), ..edge };
        }
        self.changed[at].1.to
    }

    /// The state as one of the vehicle's own: where a shared one is left by a hand, the fault may matter.
    fn own(&mut self, plan: &Plan, views: &mut Views, node: usize) -> usize {
        if node >= self.shared() {
            return node;
        }
        match self.planted(plan, node) {
            Some(stand) => self.add(plan, views, stand),
            None => node,
        }
    }

    /// Tries instruments at every point of one of the vehicle's own states.
    fn test(&mut self, plan: &Plan, views: &mut Views, node: usize) {
        let own = node - self.shared();
        if views.list[self.nodes[own].view].lights.is_some() {
            return;
        }
        let stand = &self.stands[own];
        self.nodes[own].view = views.number(stand.view(plan, true));
        self.nodes[own].probes = stand.probes(plan);
    }
}
