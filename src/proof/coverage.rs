//! Obligations 4 to 6 for broken vehicles: every fault, one at a time, through every checkout to the first step that shows
//! it, and on through the procedure that the step leads to.

use super::corners::middle;
use super::fleet::Fleet;
use super::hands::{self, Harmed};
use super::memory::Piece;
use super::progress::{Silent, Tally};
use super::script::{Script, Step};
use super::steps;
use super::trouble::{Counter, HealthyWalk, Traffic, Walk, leads_to, walk};
use crate::bench::{Bench, Corner, Frame, Rig, Upset};
use crate::book::{Book, BuildId, Fault, FaultId, PageId, Place, SheetId};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

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

/// Every fault of a build, one at a time, through a checkout.
#[derive(Debug)]
pub struct Round<'b> {
    pub fleet: &'b Fleet,
    pub build: BuildId,
    pub script: Script<'b>,
    /// The system that the checkout is about.
    pub about: Option<SheetId>,
    /// The systems that have a checkout.
    pub covered: BTreeSet<SheetId>,
}

impl<'b> Round<'b> {
    /// All of a book: build by build, page by page.
    pub fn all(book: &'b Book, fleet: &'b Fleet) -> Vec<Round<'b>> {
        let pages = steps::checkouts(book);
        let covered: BTreeSet<SheetId> = pages.iter().filter_map(|&page| book.page(page).sheet).collect();
        let round = |build, page| Round {
            fleet,
            build,
            script: Script::whole(book, page),
            about: book.page(page).sheet,
            covered: covered.clone(),
        };
        let builds = fleet.iter().map(|rig| rig.build);
        builds
            .flat_map(|build| pages.iter().map(move |&page| (build, page)))
            .map(|(build, page)| round(build, page))
            .collect()
    }

    /// All of one page, as if it were the only one.
    pub fn of_page(book: &'b Book, fleet: &'b Fleet, page: PageId) -> Vec<Round<'b>> {
        let about = book.page(page).sheet;
        let round = |rig: &Rig| Round {
            fleet,
            build: rig.build,
            script: Script::whole(book, page),
            about,
            covered: about.into_iter().collect(),
        };
        fleet.iter().map(round).collect()
    }

    fn rig(&self) -> &'b Rig {
        &self.fleet[self.build.index()]
    }
}

impl Piece for Round<'_> {
    type Gives = (Walked, Counter);
    const STAGE: &'static str = "faults";

    fn work(&self) -> usize {
        self.fleet.vehicle.faults_of(self.build).count()
    }

    fn prove(&self, tally: &Tally) -> (Walked, Counter) {
        let (rig, script) = (self.rig(), &self.script);
        let vehicle = &rig.vehicle;
        let mut walked = Walked::default();
        let mut counter = Counter::default();
        let route = healthy_route(rig, script, &mut walked.harms).unwrap_or_default();
        let faults: Vec<(FaultId, &Fault)> = vehicle.faults_of(rig.build).collect();
        walked.walks = faults.len();
        let mut touching: Vec<(FaultId, &Fault, usize)> = Vec::new();
        for &(id, fault) in &faults {
            match first_touched(&route, rig, fault) {
                Some(first) => touching.push((id, fault, first)),
                None => tally.tick(1),
            }
        }
        // Neighbors go together: what wakes for one of them is awake for the next.
        touching.sort_by_key(|(_, fault, _)| vehicle.item_sheet(fault.item));
        let mut shown: BTreeMap<FaultId, Shown> = BTreeMap::new();
        for group in touching.chunks(TOGETHER) {
            let field = script.field.clone().faults(group.iter().map(|(_, fault, _)| *fault));
            let rig = field.awake(rig);
            let route = healthy_route(&rig, script, &mut Vec::new()).unwrap_or_default();
            for &(id, fault, first) in group {
                tally.tick(1);
                let (found, _) = show(&route[first..], script, &[fault], Some(id), &mut walked.harms, false);
                let walk = found.as_ref().and_then(|found| found.walk.as_ref());
                walk.into_iter().for_each(|walk| counter.count(walk, Some(id)));
                shown.extend(found.map(|found| (id, found)));
            }
        }
        for (id, fault) in faults {
            let shown = shown.remove(&id);
            let sheet = vehicle.item_sheet(fault.item);
            let own = self.about.is_none_or(|about| about == sheet);
            if shown.is_some() || own || !self.covered.contains(&sheet) {
                walked.faults.push(Showing { fault: id, build: rig.build, page: script.page, shown });
            }
        }
        acquit(&route, script, rig.build, &mut walked, &mut counter);
        (walked, counter)
    }
}

impl Walked {
    /// All rounds together.
    pub fn sum(rounds: Vec<(Walked, Counter)>) -> Walked {
        let mut all = Walked::default();
        let mut counter = Counter::default();
        for (walked, counted) in rounds {
            all.walks += walked.walks;
            all.faults.extend(walked.faults);
            all.harms.extend(walked.harms);
            all.healthy.extend(walked.healthy);
            counter.merge(counted);
        }
        all.traffic = counter.finish();
        all
    }
}

/// Walks every fault of every build through one checkout.
pub fn prove_page(book: &Book, fleet: &Fleet, page: PageId) -> Vec<Showing> {
    let tally = Tally::new(&Silent, Round::STAGE, 0);
    let rounds = Round::of_page(book, fleet, page);
    let walks = rounds.par_iter().map(|round| round.prove(&tally).0.faults);
    walks.flatten_iter().collect()
}

/// A healthy vehicle before and after a step, and the states it passes through during it.
pub struct Station<'r, 's> {
    pub place: Place,
    pub step: &'s Step<'s>,
    pub before: Bench<'r>,
    pub after: Bench<'r>,
    pub frames: Vec<Frame>,
}

/// The first step of a healthy vehicle's way that a fault makes a difference to.
pub fn first_touched(route: &[Station], rig: &Rig, fault: &Fault) -> Option<usize> {
    let touched = |station: &Station| station.frames.iter().any(|frame| frame.is_touched_by(rig, fault));
    route.iter().position(touched)
}

/// So many faults are walked with what any of them wakes: more, and each walk takes longer; fewer, and more often it is to
/// be found out what wakes.
const TOGETHER: usize = 64;

/// The faults that at least one build has and no checkout shows there, with those builds.
pub fn unshown(book: &Book, showings: &[Showing]) -> BTreeMap<FaultId, BTreeSet<BuildId>> {
    let shown = showings.iter().filter(|showing| showing.shown.is_some());
    let shown: BTreeSet<(FaultId, BuildId)> = shown.map(|showing| (showing.fault, showing.build)).collect();
    let mut unshown: BTreeMap<FaultId, BTreeSet<BuildId>> = BTreeMap::new();
    for (data, fault) in book.faults.iter().zip((0..).map(FaultId)) {
        let builds: BTreeSet<BuildId> =
            data.builds().filter(|&build| !shown.contains(&(fault, build))).collect();
        if !builds.is_empty() {
            unshown.insert(fault, builds);
        }
    }
    unshown
}

/// Walks the healthy vehicle from each step through the procedures that a fault of this build leads to from there: a
/// technician may come to those with a vehicle that has nothing, and to no others.
fn acquit(route: &[Station], script: &Script, build: BuildId, walked: &mut Walked, counter: &mut Counter) {
    let shown = walked.faults.iter().filter_map(|showing| showing.shown.as_ref());
    let led: BTreeSet<(Place, Place)> =
        shown.filter_map(|shown| Some((shown.step, shown.procedure?))).collect();
    for (from, procedure) in led {
        let Some(station) = route.iter().find(|station| station.place == from) else {
            continue;
        };
        let walk = walk(&mut station.after.clone(), script, procedure, None, &mut walked.harms);
        counter.count(&walk, None);
        walked.healthy.push(HealthyWalk { build, from, procedure, walk });
    }
}

/// The healthy vehicle's way through a checkout.
pub fn healthy_route<'r, 's>(
    rig: &'r Rig,
    script: &'s Script<'s>,
    harms: &mut Vec<Harmed>,
) -> Result<Vec<Station<'r, 's>>, Upset> {
    let mut bench = Bench::new(rig, middle(rig))?;
    let mut route = Vec::new();
    let steps = script.steps();
    if let Some((place, _)) = steps.first() {
        hands::at_rest(&bench, *place, harms);
    }
    for (place, step) in steps {
        let before = bench.clone();
        bench.open_album();
        let announced = step.expects.iter().map(|expect| expect.subject).collect();
        hands::watch(&mut bench, step.acts, place, None, announced, harms)?;
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
pub fn stop<'r>(rig: &'r Rig, script: &Script, fault: FaultId, corner: Corner) -> Option<Stopped<'r>> {
    let mut bench = Bench::new(rig, corner).ok()?;
    bench.plant(rig.vehicle.fault(fault)).ok()?;
    for (place, step) in script.steps() {
        steps::set(&mut bench, step.acts).ok()?;
        let outcome = steps::look(&mut bench, &step.expects, &step.branches).ok()?;
        if !outcome.passes() {
            let procedure = leads_to(step, &outcome);
            return Some(Stopped { bench, step: place, procedure });
        }
    }
    None
}

/// A vehicle with a fault at the end of the procedure that its first failed step leads to.
pub fn replay<'r>(rig: &'r Rig, script: &Script, fault: FaultId, corner: Corner) -> Option<Bench<'r>> {
    let Stopped { mut bench, procedure, .. } = stop(rig, script, fault, corner)?;
    walk(&mut bench, script, procedure?, Some(fault), &mut Vec::new());
    Some(bench)
}

/// The first step from here on that shows faults, and the walk from there, with the states that the vehicle passes through
/// where these are kept. `named` is whose harms they are.
pub(super) fn show(
    route: &[Station],
    script: &Script,
    faults: &[&Fault],
    named: Option<FaultId>,
    harms: &mut Vec<Harmed>,
    kept: bool,
) -> (Option<Shown>, Vec<Frame>) {
    let mut bench = route[0].before.clone();
    if kept {
        bench.open_album();
    }
    let shown = first_failed(&mut bench, route, script, faults, named, harms);
    (shown, bench.close_album())
}

fn first_failed(
    bench: &mut Bench,
    route: &[Station],
    script: &Script,
    faults: &[&Fault],
    named: Option<FaultId>,
    harms: &mut Vec<Harmed>,
) -> Option<Shown> {
    let upset = |step: &Step, place| Shown {
        step: place,
        fails: (0..step.expects.len()).collect(),
        procedure: None,
        walk: None,
    };
    if faults.iter().any(|fault| bench.plant(fault).is_err()) {
        return Some(upset(route[0].step, route[0].place));
    }
    for Station { place, step, .. } in route {
        let outcome =
            steps::set(bench, step.acts).and_then(|()| steps::look(bench, &step.expects, &step.branches));
        let Ok(outcome) = outcome else {
            return Some(upset(step, *place));
        };
        if outcome.passes() {
            continue;
        }
        let procedure = leads_to(step, &outcome);
        let walk = procedure.map(|procedure| walk(bench, script, procedure, named, harms));
        return Some(Shown { step: *place, fails: failed(step, &outcome), procedure, walk });
    }
    None
}

fn failed(step: &Step, outcome: &steps::Outcome) -> Vec<usize> {
    (0..step.expects.len()).filter(|&index| outcome.holds[index] == Some(false)).collect()
}
