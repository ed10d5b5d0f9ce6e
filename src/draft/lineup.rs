//! Turns a checkout and the faults that it shows into lineups: for each procedure, every vehicle with which it may begin.

use super::candidate::Neighborhood;
use crate::bench::{Bench, Rig};
use crate::book::{Book, FaultId, PageId, Place};
use crate::proof::corners::middle;
use crate::proof::coverage::{Showing, stop};
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
    /// The steps that lead to it, in order.
    pub steps: Vec<Place>,
    pub suspects: Vec<Suspect<'r>>,
}

/// The lineups of the procedures that `wanted` names, by the steps that lead to each; where a step leads to no procedure,
/// `wanted` is asked for the step. `showings` are those of the checkouts in question. Faults under which a vehicle does
/// not come to rest are left out.
pub fn lineups<'r>(
    book: &Book,
    rigs: &'r [Rig<'r>],
    showings: &[Showing],
    wanted: &(dyn Fn(Place) -> bool + Sync),
) -> Vec<Lineup<'r>> {
    let here: Vec<(&Showing, Place)> = showings
        .iter()
        .filter_map(|showing| {
            let shown = showing.shown.as_ref()?;
            let place = shown.procedure.unwrap_or(shown.step);
            wanted(place).then_some((showing, place))
        })
        .collect();
    let stopped: Vec<(Place, Suspect)> = here
        .par_iter()
        .filter_map(|&(showing, place)| {
            let rig = &rigs[showing.build.index()];
            let stopped = stop(book, rig, showing.page, showing.fault, middle(book))?;
            let weight = book.fault(showing.fault).share;
            let fault = Some(showing.fault);
            Some((
                place,
                Suspect {
                    fault,
                    step: stopped.step,
                    bench: stopped.bench,
                    weight,
                    like: 0,
                },
            ))
        })
        .collect();
    let mut by_place: BTreeMap<Place, Lineup> = BTreeMap::new();
    for (place, suspect) in stopped {
        let lineup = by_place.entry(place).or_insert(Lineup {
            place,
            steps: Vec::new(),
            suspects: Vec::new(),
        });
        lineup.steps.push(suspect.step);
        lineup.suspects.push(suspect);
    }
    let mut lineups: Vec<Lineup> = by_place.into_values().collect();
    for lineup in &mut lineups {
        lineup.steps.sort();
        lineup.steps.dedup();
    }
    let pages: BTreeSet<PageId> = lineups
        .iter()
        .flat_map(|lineup| &lineup.steps)
        .map(|step| step.page)
        .collect();
    for (rig, &page) in rigs
        .iter()
        .flat_map(|rig| pages.iter().map(move |page| (rig, page)))
    {
        for (step, bench) in healthy(book, rig, page) {
            for lineup in lineups.iter_mut().filter(|lineup| lineup.steps.contains(&step)) {
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

/// Finds for each suspect the one that stands for it.
fn pair(book: &Book, lineup: &mut Lineup) {
    let near = Neighborhood::of(book, lineup.suspects.iter().filter_map(|suspect| suspect.fault));
    let mut known = BTreeMap::new();
    for (number, suspect) in lineup.suspects.iter_mut().enumerate() {
        let build = suspect.bench.rig().build;
        let parts = near
            .parts
            .iter()
            .map(|&part| book.part(part).fitted[build.index()]);
        let wires = near
            .wires
            .iter()
            .map(|&wire| book.wire(wire).fitted[build.index()]);
        let fitted: Vec<bool> = parts.chain(wires).collect();
        suspect.like = *known
            .entry((suspect.fault, suspect.step, fitted))
            .or_insert(number);
    }
}

/// The healthy vehicle after each step of a page.
fn healthy<'r>(book: &Book, rig: &'r Rig<'r>, page: PageId) -> Vec<(Place, Bench<'r>)> {
    let mut found = Vec::new();
    let Ok(mut bench) = Bench::new(rig, middle(book)) else {
        return found;
    };
    for (place, step) in steps::steps(book.page(page), page) {
        let done = steps::set(&mut bench, &step.acts)
            .and_then(|()| steps::look(&mut bench, &step.expects, &step.branches));
        if done.is_err() {
            break;
        }
        found.push((place, bench.clone()));
    }
    found
}
