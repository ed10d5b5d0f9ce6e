//! Obligations 4 to 6 for broken vehicles: every fault, one at a time, through every checkout to the first step that shows
//! it, and on through the procedure that the step leads to.

use super::corners::middle;
use super::field::Field;
use super::hands::{self, Harmed};
use super::memory::{Kept, Memory, Piece, fingerprint};
use super::trouble::{Counter, HealthyWalk, Traffic, Walk, leads_to, walk};
use super::{Progress, faults_of, steps};
use crate::bench::{Bench, Corner, Frame, Rig, Upset};
use crate::book::{Book, BuildId, Expect, Fault, FaultId, PageId, Place, SheetId, Step};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicUsize, Ordering};

/// A fault in a build and a checkout.
#[derive(Debug, Clone, PartialEq)]
pub struct Showing {
    pub fault: FaultId,
    pub build: BuildId,
    pub page: PageId,
    /// The first step that shows it; none when the checkout passes in spite of it.
    pub shown: Option<Shown>,
}

/// Where and how a fault shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    pub step: Place,
    /// The results that fail, by their index.
    pub fails: Vec<usize>,
    pub procedure: Option<Place>,
    /// The walk through the procedure, when there is one to lead to.
    pub walk: Option<Walk>,
}

/// All that walking the faults gave.
#[derive(Debug, Clone, Default)]
pub struct Walked {
    /// The faults that a checkout shows, and those that it passes though they are its own system's, or of a system without a
    /// checkout. That a checkout passes with another system's fault goes without saying, and a large book has millions of these.
    pub faults: Vec<Showing>,
    /// How many faults were walked through how many checkouts, shown or not.
    pub walks: usize,
    pub harms: Vec<Harmed>,
    pub traffic: Vec<Traffic>,
    pub healthy: Vec<HealthyWalk>,
}

/// A healthy vehicle before and after a step, and the states it passes through during it.
struct Station<'r, 's> {
    place: Place,
    step: &'s Step,
    before: Bench<'r>,
    after: Bench<'r>,
    frames: Vec<Frame>,
}

/// Walks every fault of every build through every checkout, as far as the memory of an earlier proof doesn't hold it.
pub fn prove(
    book: &Book,
    rigs: &[Rig],
    vehicle: u64,
    memory: &mut Memory,
    progress: &dyn Progress,
) -> Walked {
    let pages = steps::checkouts(book);
    let routes = rigs.iter().flat_map(|rig| pages.iter().map(move |&page| Piece::Faults(rig.build, page)));
    let pieces: Vec<(Piece, u64)> = routes.map(|piece| (piece, fingerprint(book, vehicle, piece))).collect();
    let total: usize = rigs.iter().map(|rig| faults_of(book, rig.build).count() * pages.len()).sum();
    let done = AtomicUsize::new(0);
    let tick = || {
        let done = 1 + done.fetch_add(1, Ordering::Relaxed);
        if done.is_multiple_of(64) || done == total {
            progress.at("faults", done, total);
        }
    };
    let covered: BTreeSet<SheetId> = pages.iter().filter_map(|&page| book.page(page).sheet).collect();
    let parts = memory.provide(&pieces, |piece| match piece {
        Piece::Faults(build, page) => {
            let (walked, counter) = walk_page(book, &rigs[build.index()], page, &covered, &tick);
            Kept::Faults(walked, counter)
        }
        _ => unreachable!("only fault pieces are asked for"),
    });
    let mut all = Walked { walks: total, ..Walked::default() };
    let mut counter = Counter::default();
    for part in parts {
        let Kept::Faults(walked, counted) = part else {
            continue;
        };
        all.faults.extend(walked.faults);
        all.harms.extend(walked.harms);
        all.healthy.extend(walked.healthy);
        counter.merge(counted);
    }
    all.traffic = counter.finish();
    all
}

/// Walks every fault of every build through one checkout.
pub fn prove_page(book: &Book, rigs: &[Rig], page: PageId) -> Vec<Showing> {
    let covered = book.page(page).sheet.into_iter().collect();
    let walks = rigs.par_iter().map(|rig| walk_page(book, rig, page, &covered, &|| ()).0.faults);
    walks.flatten_iter().collect()
}

/// `covered` are the systems that have a checkout.
fn walk_page(
    book: &Book,
    rig: &Rig,
    page: PageId,
    covered: &BTreeSet<SheetId>,
    tick: &(dyn Fn() + Sync),
) -> (Walked, Counter) {
    let about = book.page(page).sheet;
    let mut walked = Walked::default();
    let mut counter = Counter::default();
    let route = healthy_route(book, rig, page, &mut walked.harms).unwrap_or_default();
    let first_touched = |fault: &Fault| {
        route.iter().position(|station| station.frames.iter().any(|frame| frame.is_touched_by(rig, fault)))
    };
    let faults: Vec<(FaultId, &Fault)> = faults_of(book, rig.build).collect();
    let mut touching: Vec<(FaultId, &Fault, usize)> = Vec::new();
    for &(id, fault) in &faults {
        match first_touched(fault) {
            Some(first) => touching.push((id, fault, first)),
            None => tick(),
        }
    }
    // Neighbors go together: what wakes for one of them is awake for the next.
    touching.sort_by_key(|(_, fault, _)| book.item_sheet(fault.item));
    let field = Field::of_page(book, page);
    let mut shown: BTreeMap<FaultId, Shown> = BTreeMap::new();
    for group in touching.chunks(TOGETHER) {
        let field = field.clone().faults(group.iter().map(|(_, fault, _)| *fault));
        let rig = field.awake(rig);
        let route = healthy_route(book, &rig, page, &mut Vec::new()).unwrap_or_default();
        for &(id, _, first) in group {
            tick();
            let found = show(&route[first..], id, book, &mut walked.harms, &mut counter);
            shown.extend(found.map(|found| (id, found)));
        }
    }
    for (id, fault) in faults {
        let shown = shown.remove(&id);
        let sheet = book.item_sheet(fault.item);
        if shown.is_some() || about == Some(sheet) || about.is_none() || !covered.contains(&sheet) {
            walked.faults.push(Showing { fault: id, build: rig.build, page, shown });
        }
    }
    acquit(&route, rig.build, &mut walked, &mut counter);
    (walked, counter)
}

/// So many faults are walked with what any of them wakes: more, and each walk takes longer; fewer, and more often it is to
/// be found out what wakes.
const TOGETHER: usize = 64;

/// The faults that at least one build has and no checkout shows there, with those builds.
pub fn unshown(book: &Book, showings: &[Showing]) -> BTreeMap<FaultId, BTreeSet<u32>> {
    let shown = showings.iter().filter(|showing| showing.shown.is_some());
    let shown: BTreeSet<(FaultId, BuildId)> = shown.map(|showing| (showing.fault, showing.build)).collect();
    let mut unshown: BTreeMap<FaultId, BTreeSet<u32>> = BTreeMap::new();
    for build in (0..book.builds.len() as u32).map(BuildId) {
        for (fault, _) in faults_of(book, build) {
            if !shown.contains(&(fault, build)) {
                unshown.entry(fault).or_default().insert(build.0);
            }
        }
    }
    unshown
}

/// Walks the healthy vehicle from each step through the procedures that a fault of this build leads to from there: a
/// technician may come to those with a vehicle that has nothing, and to no others.
fn acquit(route: &[Station], build: BuildId, walked: &mut Walked, counter: &mut Counter) {
    let shown = walked.faults.iter().filter_map(|showing| showing.shown.as_ref());
    let led: BTreeSet<(Place, Place)> =
        shown.filter_map(|shown| Some((shown.step, shown.procedure?))).collect();
    for (from, procedure) in led {
        let Some(station) = route.iter().find(|station| station.place == from) else {
            continue;
        };
        let walk = walk(&mut station.after.clone(), procedure, None, &mut walked.harms);
        counter.count(&walk, None);
        walked.healthy.push(HealthyWalk { build, from, procedure, walk });
    }
}

/// The healthy vehicle's way through a checkout.
fn healthy_route<'r, 's>(
    book: &'s Book,
    rig: &'r Rig<'r>,
    page: PageId,
    harms: &mut Vec<Harmed>,
) -> Result<Vec<Station<'r, 's>>, Upset> {
    let mut bench = Bench::new(rig, middle(book))?;
    let mut route = Vec::new();
    for (place, step) in steps::steps(book.page(page), page) {
        let before = bench.clone();
        bench.open_album();
        let announced = step.expects.iter().map(|expect| expect.subject).collect();
        hands::watch(&mut bench, &step.acts, place, None, announced, harms)?;
        steps::look(&mut bench, &step.expects, &step.branches)?;
        let frames = bench.close_album();
        route.push(Station { place, step, before, after: bench.clone(), frames });
    }
    Ok(route)
}

/// A vehicle at the step of a checkout that its fault fails.
#[derive(Debug, Clone)]
pub struct Stopped<'r> {
    pub bench: Bench<'r>,
    pub step: Place,
    pub procedure: Option<Place>,
}

/// A vehicle with a fault as the first step that shows the fault leaves it; none when no step does, or when the vehicle
/// does not come to rest on the way.
pub fn stop<'r>(
    book: &Book,
    rig: &'r Rig<'r>,
    page: PageId,
    fault: FaultId,
    corner: Corner,
) -> Option<Stopped<'r>> {
    let mut bench = Bench::new(rig, corner).ok()?;
    bench.plant(book.fault(fault)).ok()?;
    for (place, step) in steps::steps(book.page(page), page) {
        steps::set(&mut bench, &step.acts).ok()?;
        let outcome = steps::look(&mut bench, &step.expects, &step.branches).ok()?;
        if !outcome.passes() {
            let procedure = leads_to(step, &outcome);
            return Some(Stopped { bench, step: place, procedure });
        }
    }
    None
}

/// A vehicle with a fault at the end of the procedure that its first failed step leads to.
pub fn replay<'r>(
    book: &Book,
    rig: &'r Rig<'r>,
    page: PageId,
    fault: FaultId,
    corner: Corner,
) -> Option<Bench<'r>> {
    let Stopped { mut bench, procedure, .. } = stop(book, rig, page, fault, corner)?;
    walk(&mut bench, procedure?, Some(fault), &mut Vec::new());
    Some(bench)
}

/// The first step from here on that shows a fault, and the walk from there.
fn show(
    route: &[Station],
    id: FaultId,
    book: &Book,
    harms: &mut Vec<Harmed>,
    counter: &mut Counter,
) -> Option<Shown> {
    let mut bench = route[0].before.clone();
    let fault = book.fault(id);
    let upset = |step: &Step, place| Shown {
        step: place,
        fails: (0..step.expects.len()).collect(),
        procedure: None,
        walk: None,
    };
    if bench.plant(fault).is_err() {
        return Some(upset(route[0].step, route[0].place));
    }
    for Station { place, step, .. } in route {
        let outcome = steps::set(&mut bench, &step.acts)
            .and_then(|()| steps::look(&mut bench, &step.expects, &step.branches));
        let Ok(outcome) = outcome else {
            return Some(upset(step, *place));
        };
        if outcome.passes() {
            continue;
        }
        let procedure = leads_to(step, &outcome);
        let walk = procedure.map(|procedure| walk(&mut bench, procedure, Some(id), harms));
        if let Some(walk) = &walk {
            counter.count(walk, Some(id));
        }
        return Some(Shown { step: *place, fails: failed(&step.expects, &outcome), procedure, walk });
    }
    None
}

fn failed(expects: &[Expect], outcome: &steps::Outcome) -> Vec<usize> {
    (0..expects.len()).filter(|&index| outcome.holds[index] == Some(false)).collect()
}
