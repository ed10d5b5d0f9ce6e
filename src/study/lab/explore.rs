//! Turns one checkout into a lab: walks the healthy vehicle and every broken one, and keeps each state once.

use super::broken::Broken;
use super::graph::{Found, Lab, Looks, Node, Planted};
use super::healthy::Healthy;
use super::plan::{Plan, Work};
use super::table::{Case, Tried, View, lights, volts};
use crate::bench::{Reading, Rig};
use crate::book::{Book, PageId, Place, Target};
use crate::proof::coverage::Showing;
use crate::proof::field::Field;
use crate::proof::live::Live;
use crate::proof::scope::Scope;
use crate::proof::script::Script;
use crate::proof::trouble::{End, names, target};
use crate::proof::{Fleet, Proof, steps};
use indexmap::IndexMap;
use rayon::prelude::*;

/// The lab of each sheet's checkout, in the build with the most faults to find.
pub fn labs(book: &Book, proof: &Proof, live: &[Live]) -> Vec<Lab> {
    let fleet = Fleet::of(book);
    let pages = steps::checkouts(book);
    pages
        .par_iter()
        .filter_map(|&page| {
            let sheet = book.page(page).sheet?;
            let live = live.iter().find(|live| live.sheet == sheet)?;
            let findable = |rig: &&Rig| {
                let here = proof.faults.iter();
                here.filter(|showing| showing.page == page && showing.build == rig.build)
                    .filter_map(|showing| route(book, showing))
                    .count()
            };
            // The first of those with the most: a maximum takes the last.
            let rig = fleet.iter().rev().max_by_key(findable)?;
            lab(book, proof, rig, page, live)
        })
        .collect()
}

/// The proven way of a fault of the sheet's own items: step, procedure and tests; none when it leads to no right verdict.
fn route(book: &Book, showing: &Showing) -> Option<(Place, Place, Vec<Place>)> {
    let fault = book.fault(showing.fault);
    if book.page(showing.page).sheet != Some(book.item_sheet(fault.item)) {
        return None;
    }
    let shown = showing.shown.as_ref()?;
    let walk = shown.walk.as_ref()?;
    let End::At { place, outcome } = walk.end else {
        return None;
    };
    let Target::Verdict { blames, .. } = target(book, place, outcome) else {
        return None;
    };
    names(book, blames, fault).then(|| {
        let trail = walk.trail.iter().map(|taken| taken.place).collect();
        (shown.step, shown.procedure.unwrap_or(shown.step), trail)
    })
}

/// The lab of a checkout in one build; none when it has no fault to find.
fn lab(book: &Book, proof: &Proof, rig: &Rig, page: PageId, live: &Live) -> Option<Lab> {
    let here = proof.faults.iter().filter(|showing| showing.page == page && showing.build == rig.build);
    let found: Vec<Found> = here
        .filter_map(|showing| {
            let (step, procedure, tests) = route(book, showing)?;
            Some((showing.fault, step, procedure, tests))
        })
        .collect();
    if found.is_empty() {
        return None;
    }
    let work = Work::of(book, page, live, &found);
    let scope = Scope::of(book, live.sheet);
    let field = Script::whole(book, page)
        .field
        .and(Field::of_scope(&scope))
        .worked(work.controls.iter().map(|(control, _)| *control))
        .faults(found.iter().map(|(fault, ..)| book.fault(*fault)));
    let awake = field.awake(rig);
    let plan = Plan::new(book, rig, &awake, page, &scope, &found, work);
    let healthy = Healthy::walk(&plan)?;
    let broken: Vec<Option<Broken>> = found
        .par_iter()
        .map(|(fault, step, _, route)| Broken::walk(book, &plan, &healthy, book.fault(*fault), *step, route))
        .collect();
    let both: Vec<(Found, Broken)> =
        found.into_iter().zip(broken).filter_map(|(found, broken)| Some((found, broken?))).collect();
    Some(gather(page, plan, &healthy, both))
}

/// The lab that the walks make, each view kept once.
fn gather(page: PageId, plan: Plan, healthy: &Healthy, both: Vec<(Found, Broken)>) -> Lab {
    let vehicles: Vec<&Broken> = both.iter().map(|(_, broken)| broken).collect();
    let (healthy_views, differs) = shared(&plan, healthy, &vehicles);
    let own: Vec<Vec<Seen>> = vehicles.par_iter().map(|broken| own(&plan, healthy, broken)).collect();
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
    Lab {
        page,
        build: plan.rig.build,
        controls: plan.work.controls,
        moves: plan.moves,
        faces: plan.faces,
        points: plan.points,
        probes: plan.probes,
        views: views.0.into_values().collect(),
        shared,
        planted,
    }
}

/// What is seen in a state, and what the plan's probes read there.
type Seen = (View, Vec<(usize, Reading)>);

/// Distinct views, each with its number.
#[derive(Default)]
struct Views(IndexMap<Vec<u64>, View>);

impl Views {
    fn looks(&mut self, (view, probes): Seen) -> Looks {
        let entry = self.0.entry(view.bits());
        let number = entry.index();
        entry.or_insert(view);
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
