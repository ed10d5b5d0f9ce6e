//! Turns what was seen during a checkout into the faults that fit, and into what to look at next.

use super::candidate::{Hands, LOOK, MOVE};
use super::lineup::{Lineup, Suspect};
use super::sequence::{Aim, Planner};
use super::tree::label;
use super::trial::{Trial, problem, sort, trials};
use crate::bench::{Bench, Reading, Rig, Upset};
use crate::book::{Book, BuildId, FaultId, Item, Look, PageId, Saw, Sighting, Subject};
use crate::proof::Fleet;
use crate::proof::coverage::{Station, first_touched, healthy_route};
use crate::proof::script::{Script, stated};
use crate::proof::steps;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// While more items than this fit, only what costs no tool is looked for, and nothing is taken apart.
const MANY: usize = 40;

/// What is asked: a checkout, the builds that the vehicle may be, and what was seen on it.
#[derive(Debug, Clone, Copy)]
pub struct Question<'b> {
    pub book: &'b Book,
    pub fleet: &'b Fleet,
    pub page: PageId,
    pub builds: &'b [BuildId],
    pub sightings: &'b [Sighting],
}

/// What follows from what was seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What fits, the likeliest first. Empty as long as nothing was seen that a healthy vehicle does not show, too.
    pub suspects: Vec<Suspected>,
    /// Whether a vehicle without a fault shows all that was seen.
    pub healthy: bool,
    /// Sightings, by their index, each of which alone keeps every fault from fitting.
    pub doubtful: Vec<usize>,
    pub next: Next,
}

/// An item with faults that fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspected {
    pub item: Item,
    /// Of all that fits, each item failing as often as any other; 1 in all.
    pub share: f64,
    pub faults: BTreeSet<FaultId>,
    /// The builds in which one of them fits.
    pub builds: BTreeSet<BuildId>,
}

/// What to do next.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// Go on with the checkout: its next step, by number.
    Step(usize),
    Test(Test),
    /// One item is left.
    Found,
    /// Several are left, and no safe test tells them apart.
    Together,
    /// No single fault shows what was seen.
    None,
}

/// A test that tells what fits apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Test {
    /// After this step, by number, all before it done in their order.
    pub step: usize,
    pub trial: Trial,
    /// What it may show, and how many items are left then; without a look, anything else.
    pub answers: Vec<(Option<Look>, usize)>,
}

/// A vehicle that was taken through the checkout.
#[derive(Debug, Clone)]
struct Walked<'r> {
    /// None for the healthy vehicle.
    fault: Option<FaultId>,
    /// The sightings that it does not show, by their index.
    misses: Vec<usize>,
    /// What each step's results read; none where it does not come to rest.
    readings: Vec<Option<Vec<Reading>>>,
    /// The vehicle as the last step leaves it of which something was seen.
    stands: Option<Bench<'r>>,
}

impl<'b> Question<'b> {
    /// Answers it. Cost: faults that touch the checkout × builds × steps, then what hands could do × what fits.
    pub fn answer(&self) -> Answer {
        let script = Script::alone(self.book, self.page);
        let mut healthy = false;
        let mut vehicles = Vec::new();
        for rig in self.fleet.iter().filter(|rig| self.builds.contains(&rig.build)) {
            let Ok(route) = healthy_route(rig, &script, &mut Vec::new()) else { continue };
            let Some(start) = route.first() else { continue };
            let sound = self.walk(&route, start.before.clone(), None, 0, None);
            healthy |= sound.misses.is_empty();
            vehicles.extend(self.faulty(rig, &route, &sound));
        }
        let mut answer = Answer { suspects: Vec::new(), healthy, doubtful: Vec::new(), next: Next::None };
        if healthy {
            let seen = |step: &usize| self.sightings.iter().any(|sighting| sighting.step == *step);
            let unseen = (1..=script.steps().len()).find(|step| !seen(step));
            answer.next = unseen.map_or(Next::None, Next::Step);
            return answer;
        }
        let (fits, others): (Vec<Walked>, Vec<Walked>) =
            vehicles.into_iter().partition(|walked| walked.misses.is_empty());
        if fits.is_empty() {
            let alone = others.iter().filter(|walked| walked.misses.len() == 1);
            let doubtful: BTreeSet<usize> = alone.map(|walked| walked.misses[0]).collect();
            answer.doubtful = doubtful.into_iter().collect();
            return answer;
        }
        answer.suspects = self.suspected(&fits);
        answer.next = match answer.suspects.len() {
            1 => Next::Found,
            items => self.test(&script, fits, items),
        };
        answer
    }

    /// The last step of which something was seen, by number.
    fn last(&self) -> usize {
        self.sightings.iter().map(|sighting| sighting.step).max().unwrap_or(0)
    }

    /// Every fault that may make a difference, taken through the checkout.
    fn faulty<'r>(&self, rig: &'r Rig, route: &[Station<'r, '_>], sound: &Walked<'r>) -> Vec<Walked<'r>> {
        // A lead may find what no step shows: then every fault is walked, and from the start.
        let by_hand = self.sightings.iter().any(|sighting| !sighting.acts.is_empty());
        let faults: Vec<FaultId> = rig.vehicle.faults_of(rig.build).map(|(id, _)| id).collect();
        let walked = faults.par_iter().filter_map(|&id| {
            let fault = rig.vehicle.fault(id);
            let first = if by_hand { 0 } else { first_touched(route, rig, fault)? };
            let mut bench = route[first].before.clone();
            bench.plant(fault).ok()?;
            Some(self.walk(route, bench, Some(id), first, Some(sound)))
        });
        walked.collect()
    }

    /// Takes a vehicle through the steps from `first` on; before that it shows what a sound one shows.
    fn walk<'r>(
        &self,
        route: &[Station<'r, '_>],
        mut bench: Bench<'r>,
        fault: Option<FaultId>,
        first: usize,
        sound: Option<&Walked<'r>>,
    ) -> Walked<'r> {
        let mut walked = Walked { fault, misses: Vec::new(), readings: Vec::new(), stands: None };
        if let Some(sound) = sound {
            let before = |&&index: &&usize| self.sightings[index].step <= first;
            walked.misses = sound.misses.iter().filter(before).copied().collect();
            walked.readings = sound.readings[..first].to_vec();
            walked.stands = sound.stands.clone().filter(|_| self.last() <= first);
        }
        for (number, station) in (first + 1..).zip(&route[first..]) {
            let set = steps::set(&mut bench, station.step.acts);
            let moment = bench.clone();
            let outcome = set.and_then(|()| steps::look(&mut bench, &station.step.expects, &[]));
            let here = self.sightings.iter().enumerate().filter(|(_, sighting)| sighting.step == number);
            let missed = here.filter(|(_, sighting)| !shows(sighting, &outcome, &moment, &bench));
            walked.misses.extend(missed.map(|(index, _)| index));
            walked.readings.push(outcome.ok().map(|outcome| outcome.readings));
            if number == self.last() {
                walked.stands = Some(bench.clone());
            }
        }
        walked
    }

    /// What fits, item by item.
    fn suspected(&self, fits: &[Walked]) -> Vec<Suspected> {
        let mut items: BTreeMap<Item, Suspected> = BTreeMap::new();
        let mut sum = 0.0;
        for (fault, build) in fits.iter().filter_map(vehicle) {
            let data = self.book.fault(fault);
            let new =
                Suspected { item: data.item, share: 0.0, faults: BTreeSet::new(), builds: BTreeSet::new() };
            let suspected = items.entry(data.item).or_insert(new);
            suspected.share += data.share(build);
            suspected.faults.insert(fault);
            suspected.builds.insert(build);
            sum += data.share(build);
        }
        let mut suspected: Vec<Suspected> = items.into_values().collect();
        // An author may have said of all that is left that it never fails.
        suspected.iter_mut().for_each(|one| one.share /= if sum > 0.0 { sum } else { 1.0 });
        suspected.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.item.cmp(&b.item)));
        suspected
    }

    /// The test that tells so many items apart and gives most for its cost.
    fn test(&self, script: &Script, fits: Vec<Walked>, items: usize) -> Next {
        let last = self.last();
        let steps = script.steps();
        let Some(&(place, _)) = steps.get(last.saturating_sub(1)) else { return Next::None };
        let readings: Vec<Vec<Option<Vec<Reading>>>> =
            fits.iter().map(|walked| walked.readings.clone()).collect();
        let suspects = fits.into_iter().filter_map(|walked| {
            let (fault, build) = vehicle(&walked)?;
            let weight = self.book.fault(fault).share(build);
            Some(Suspect { fault: Some(fault), step: place, bench: walked.stands?, weight, like: 0 })
        });
        let lineup = Lineup::at(self.book, place, suspects.collect());
        let labels: Vec<usize> = lineup.suspects.iter().map(|suspect| label(self.book, suspect)).collect();
        let mut tests: Vec<(usize, Trial)> = Vec::new();
        for (at, &(place, step)) in steps.iter().enumerate() {
            let subjects: Vec<Subject> = step.expects.iter().map(|expect| expect.subject).collect();
            let shown = readings.iter().map(|walked| match &walked[at] {
                Some(readings) => readings.iter().copied().map(Some).collect(),
                None => vec![None; step.expects.len()],
            });
            let shown: Vec<Vec<Option<Reading>>> = shown.collect();
            // Back to a step means all the way from the start, since what came between may have changed the vehicle.
            let from = if at + 1 > last { last } else { 0 };
            let moves: usize = steps[from..=at].iter().map(|(_, step)| step.acts.len()).sum();
            let moves = if at + 1 == last { 0 } else { moves };
            let seconds = LOOK + MOVE * moves as f64;
            let hands = Hands { setup: Vec::new(), lead: None, subjects, seconds };
            tests.extend(sort(self.book, &[place], &hands, &shown).into_iter().map(|trial| (at + 1, trial)));
        }
        if items <= MANY || tests.is_empty() {
            tests.extend(trials(self.book, &lineup, &labels).into_iter().map(|trial| (last, trial)));
        }
        let (steps, mut tests): (Vec<usize>, Vec<Trial>) = tests.into_iter().unzip();
        let problem = problem(&lineup, &tests, labels.clone(), |trial| trial.seconds);
        let everyone: Vec<usize> = (0..lineup.suspects.len()).collect();
        let Some(best) = Planner::new(&problem, Aim::Mean).next(&everyone) else { return Next::Together };
        let (step, trial) = (steps[best], tests.swap_remove(best));
        let mut answers: BTreeMap<u8, BTreeSet<usize>> = BTreeMap::new();
        for (suspect, outcome) in trial.outcomes.iter().enumerate() {
            let Some(outcome) = outcome else { continue };
            answers.entry(*outcome).or_default().insert(labels[suspect]);
        }
        let answers = answers.into_iter();
        let answers =
            answers.map(|(outcome, left)| (trial.looks.get(outcome as usize).cloned(), left.len())).collect();
        Next::Test(Test { step, trial, answers })
    }
}

fn vehicle(walked: &Walked) -> Option<(FaultId, BuildId)> {
    Some((walked.fault?, walked.stands.as_ref()?.rig().build))
}

/// Whether a vehicle shows what was seen after a step: `moment` when its acts are done, `after` when its results were looked at.
fn shows(
    sighting: &Sighting,
    outcome: &Result<steps::Outcome, Upset>,
    moment: &Bench,
    after: &Bench,
) -> bool {
    // What does not come to rest may show anything.
    let Ok(outcome) = outcome else { return true };
    match &sighting.saw {
        Saw::Good => outcome.passes(),
        Saw::Failed => !outcome.passes(),
        Saw::Shows(expects) => {
            let mut bench = if sighting.acts.is_empty() { moment.clone() } else { after.clone() };
            // What is heard is heard at the last hand: the step's own, where no more is done.
            let done = if sighting.acts.is_empty() { Ok(()) } else { steps::set(&mut bench, &sighting.acts) };
            let shown = done.and_then(|()| steps::look(&mut bench, &stated(expects), &[]));
            shown.is_ok_and(|shown| shown.holds.iter().all(|holds| *holds == Some(true)))
        }
    }
}
