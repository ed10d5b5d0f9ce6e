//! Turns a checkout and the faults that it shows into lineups: for each procedure, every vehicle with which it may begin.

use super::neighborhood::Neighborhood;
use crate::bench::{Bench, Rig};
use crate::book::{Book, Expect, FaultId, PageId, Place, Role, Subject};
use crate::proof::corners::middle;
use crate::proof::coverage::{Showing, Shown, stop};
use crate::proof::script::Script;
use crate::proof::steps;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// A vehicle with which a procedure may begin, as the failed step left it.
#[derive(Debug, Clone)]
pub struct Suspect<'r> {
    /// None for the healthy vehicle, whose step failed and does so no more: nothing of it may be blamed.
    pub fault: Option<FaultId>,
    /// The step that failed.
    pub step: Place,
    pub bench: Bench<'r>,
    /// The fault's share of its item's failures; zero for the healthy vehicle.
    pub weight: f64,
    /// The first suspect with the same fault after the same step in a build that has the same things in the
    /// neighborhood of the faults: what that one shows, this one shows. Its own number when it is that one.
    pub like: usize,
}

/// All vehicles with which one procedure may begin.
#[derive(Debug, Clone)]
pub struct Lineup<'r> {
    /// The procedure, or the step itself where that leads to none yet.
    pub place: Place,
    /// Whether it is the second procedure of a step without links: that for what only some builds have.
    pub optional: bool,
    /// The steps that lead to it, in order.
    pub steps: Vec<Place>,
    pub suspects: Vec<Suspect<'r>>,
}

/// The lineups of procedures from the showings that are wanted, each with the place of its procedure, or of its step where
/// that leads to none. `showings` are those of the checkouts in question. Faults under which a vehicle does
/// not come to rest are left out.
pub fn lineups<'r>(
    book: &Book,
    rigs: &'r [Rig],
    showings: &[Showing],
    wanted: &dyn Fn(&Showing, Place) -> bool,
) -> Vec<Lineup<'r>> {
    let mut by_place: BTreeMap<(Place, bool), Lineup> = BTreeMap::new();
    for ((place, optional), suspect) in stopped_suspects(book, rigs, showings, wanted) {
        let empty = Lineup { place, optional, steps: Vec::new(), suspects: Vec::new() };
        let lineup = by_place.entry((place, optional)).or_insert(empty);
        lineup.steps.push(suspect.step);
        lineup.suspects.push(suspect);
    }
    let alone: Vec<Place> = by_place
        .keys()
        .filter(|&&(place, optional)| optional && !by_place.contains_key(&(place, false)))
        .map(|(place, _)| *place)
        .collect();
    let mut lineups: Vec<Lineup> = by_place.into_values().collect();
    for lineup in &mut lineups {
        lineup.steps.sort();
        lineup.steps.dedup();
        lineup.optional &= !alone.contains(&lineup.place);
    }
    let pages: BTreeSet<PageId> =
        lineups.iter().flat_map(|lineup| &lineup.steps).map(|step| step.page).collect();
    for (rig, &page) in rigs.iter().flat_map(|rig| pages.iter().map(move |page| (rig, page))) {
        for (step, bench) in healthy(book, rig, page) {
            for lineup in lineups.iter_mut().filter(|lineup| lineup.is_led_to(step, rig)) {
                lineup.suspects.push(Suspect {
                    fault: None,
                    step,
                    bench: bench.clone(),
                    weight: 0.0,
                    like: 0,
                });
            }
        }
    }
    lineups.sort_by_key(|lineup| lineup.steps[0]);
    lineups.iter_mut().for_each(|lineup| pair(book, lineup));
    lineups
}

/// The vehicles of the showings that are wanted, each as its failed step left it.
fn stopped_suspects<'r>(
    book: &Book,
    rigs: &'r [Rig],
    showings: &[Showing],
    wanted: &dyn Fn(&Showing, Place) -> bool,
) -> Vec<((Place, bool), Suspect<'r>)> {
    let here: Vec<(&Showing, Place, bool)> = showings
        .iter()
        .filter_map(|showing| {
            let shown = showing.shown.as_ref()?;
            let place = shown.procedure.unwrap_or(shown.step);
            let optional = shown.procedure.is_none() && fails_in_options(book, shown);
            wanted(showing, place).then_some((showing, place, optional))
        })
        .collect();
    here.par_iter()
        .filter_map(|&(showing, place, optional)| {
            let rig = &rigs[showing.build.index()];
            let stopped = stop(rig, &Script::alone(book, showing.page), showing.fault, middle(rig))?;
            let weight = book.fault(showing.fault).share(showing.build);
            let fault = Some(showing.fault);
            let suspect = Suspect { fault, step: stopped.step, bench: stopped.bench, weight, like: 0 };
            Some(((place, optional), suspect))
        })
        .collect()
}

impl<'r> Lineup<'r> {
    /// Vehicles that stand where one step left them.
    pub fn at(book: &Book, place: Place, suspects: Vec<Suspect<'r>>) -> Lineup<'r> {
        let mut lineup = Lineup { place, optional: false, steps: vec![place], suspects };
        pair(book, &mut lineup);
        lineup
    }

    /// Whether a fault of this build leads here from a step.
    fn is_led_to(&self, step: Place, rig: &Rig) -> bool {
        let here = |suspect: &Suspect| suspect.step == step && suspect.bench.rig().build == rig.build;
        self.suspects.iter().any(here)
    }
}

/// Whether a step fails in nothing but what some build lacks, though it also states what every build has: the symptom
/// that a drafted checkout gives a procedure of its own, since no healthy vehicle without the option comes to it.
fn fails_in_options(book: &Book, shown: &Shown) -> bool {
    let Role::Step(step) = &book.section(shown.step).role else {
        return false;
    };
    let optional = |expect: &Expect| is_optional(book, expect.subject);
    shown.fails.iter().all(|&at| optional(&step.expects[at])) && !step.expects.iter().all(optional)
}

/// Whether some build lacks what is read.
pub fn is_optional(book: &Book, subject: Subject) -> bool {
    subject.part().is_some_and(|part| book.part(part).fitted.contains(&false))
}

/// Finds for each suspect the one that stands for it.
fn pair(book: &Book, lineup: &mut Lineup) {
    let near = Neighborhood::of(book, lineup.suspects.iter().filter_map(|suspect| suspect.fault));
    let mut known = BTreeMap::new();
    for (number, suspect) in lineup.suspects.iter_mut().enumerate() {
        let build = suspect.bench.rig().build;
        let parts = near.parts.iter().map(|&part| book.part(part).fitted[build.index()]);
        let wires = near.wires.iter().map(|&wire| book.wire(wire).fitted[build.index()]);
        let fitted: Vec<bool> = parts.chain(wires).collect();
        suspect.like = *known.entry((suspect.fault, suspect.step, fitted)).or_insert(number);
    }
}

/// The healthy vehicle after each step of a page.
fn healthy<'r>(book: &Book, rig: &'r Rig, page: PageId) -> Vec<(Place, Bench<'r>)> {
    let mut found = Vec::new();
    let Ok(mut bench) = Bench::new(rig, middle(rig)) else {
        return found;
    };
    for (place, step) in Script::alone(book, page).steps() {
        let done = steps::set(&mut bench, step.acts)
            .and_then(|()| steps::look(&mut bench, &step.expects, &step.branches));
        if done.is_err() {
            break;
        }
        found.push((place, bench.clone()));
    }
    found
}
