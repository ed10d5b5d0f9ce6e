//! Plays through a checkout with every fault of whole books: what was seen must never rule out the fault that is there, and what is said
//! to fit must be exactly what a walk of every fault from the first step on gives. `SUSPECTS=all` plays with every fault.

use crate::book::{folder, judge};
use goodground::bench::{Bench, Reading};
use goodground::book::{Act, Book, BuildId, Expect, FaultId, PageId, Saw, Sighting, Subject};
use goodground::draft::suspects::{Answer, Next, Question};
use goodground::proof::corners::middle;
use goodground::proof::script::{Script, Step, stated};
use goodground::proof::{Fleet, Rig, steps};
use std::collections::BTreeSet;

/// A vehicle on which somebody looks, with the answer to each question.
struct Played<'b> {
    book: &'b Book,
    rig: &'b Rig,
    page: PageId,
    fault: FaultId,
}

impl Played<'_> {
    /// The vehicle as a step left it, with more hands; none where it does not come to rest.
    fn at(&self, step: usize, acts: &[Act], subject: Subject) -> Option<Reading> {
        let script = Script::alone(self.book, self.page);
        let steps: Vec<&Step> = script.steps().into_iter().map(|(_, step)| step).collect();
        let mut bench = Bench::new(self.rig, middle(self.rig)).ok()?;
        bench.plant(self.rig.vehicle.fault(self.fault)).ok()?;
        for (number, walked) in (1..=step).zip(&steps) {
            steps::set(&mut bench, walked.acts).ok()?;
            if number < step || !acts.is_empty() {
                steps::look(&mut bench, &walked.expects, &[]).ok()?;
            }
        }
        acts.iter().try_for_each(|act| bench.act(act).map(|_| ())).ok()?;
        Some(bench.observe(&[subject], 0.0).ok()?[0])
    }

    fn is_good(&self, step: usize) -> Option<bool> {
        let script = Script::alone(self.book, self.page);
        let mut bench = Bench::new(self.rig, middle(self.rig)).ok()?;
        bench.plant(self.rig.vehicle.fault(self.fault)).ok()?;
        let mut good = None;
        for (_, walked) in script.steps().into_iter().take(step) {
            steps::set(&mut bench, walked.acts).ok()?;
            good = Some(steps::look(&mut bench, &walked.expects, &[]).ok()?.passes());
        }
        good
    }

    /// What is seen of what is asked; none where the game ends.
    fn sighting(&self, next: &Next) -> Option<Sighting> {
        match next {
            Next::Step(step) => {
                let saw = if self.is_good(*step)? { Saw::Good } else { Saw::Failed };
                Some(Sighting { step: *step, acts: Vec::new(), saw })
            }
            Next::Test(test) => {
                let acts: Vec<Act> = test.trial.setup.iter().chain(&test.trial.lead).cloned().collect();
                let reading = self.at(test.step, &acts, test.trial.subject)?;
                let look = test.trial.looks.get(test.trial.outcome(&reading) as usize)?.clone();
                let span = self.book.parts[0].span;
                let expect = Expect { subject: test.trial.subject, look, span, text: String::new() };
                Some(Sighting { step: test.step, acts, saw: Saw::Shows(vec![expect]) })
            }
            _ => None,
        }
    }

    /// Whether this vehicle shows what was seen, walked from the first step on.
    fn shows(&self, sighting: &Sighting) -> bool {
        match &sighting.saw {
            Saw::Good => self.is_good(sighting.step) != Some(false),
            Saw::Failed => self.is_good(sighting.step) != Some(true),
            Saw::Shows(expects) => stated(expects).iter().all(|stated| {
                let reading = self.at(sighting.step, &sighting.acts, stated.subject);
                reading.is_none_or(|reading| reading.is(stated.look, false))
            }),
        }
    }
}

/// Plays a book's checkouts with every `each`th fault that they show; how many games there were, how many ended with one item, and what went wrong.
fn play(path: &str, each: usize) -> (usize, usize, Vec<String>) {
    let judged = judge(&folder(path));
    let book = &judged.book;
    let fleet = Fleet::of(book);
    let (mut games, mut found, mut wrong) = (0, 0, Vec::new());
    let shown = judged.proof.faults.iter().filter(|showing| showing.shown.is_some());
    let mut begun = BTreeSet::new();
    for showing in shown.filter(|showing| begun.insert((showing.fault, showing.page))).step_by(each) {
        let builds = [showing.build];
        let vehicle = |fault| Played { book, rig: &fleet[showing.build.index()], page: showing.page, fault };
        let played = vehicle(showing.fault);
        let mut sightings = Vec::new();
        let name = &book.fault(showing.fault).name;
        let answer = loop {
            let question =
                Question { book, fleet: &fleet, page: showing.page, builds: &builds, sightings: &sightings };
            let answer = question.answer();
            assert!(sightings.len() < 60, "{name}: no end");
            match played.sighting(&answer.next) {
                Some(sighting) => sightings.push(sighting),
                None => break answer,
            }
        };
        games += 1;
        found += usize::from(answer.next == Next::Found);
        let all = all_that_show(book, &fleet, showing.build, showing.page, &sightings);
        if let Some(told) = wrong_with(book, &answer, showing.fault, &all) {
            wrong.push(format!("{name} after {} sightings: {told}", sightings.len()));
        }
    }
    (games, found, wrong)
}

/// Every fault of a build that shows all of some sightings: nothing is left out, and every walk begins at the first step.
fn all_that_show(
    book: &Book,
    fleet: &Fleet,
    build: BuildId,
    page: PageId,
    sightings: &[Sighting],
) -> BTreeSet<FaultId> {
    let rig = &fleet[build.index()];
    let faults = rig.vehicle.faults_of(build).map(|(fault, _)| fault);
    let vehicles = faults.map(|fault| Played { book, rig, page, fault });
    let fits = vehicles.filter(|played| sightings.iter().all(|sighting| played.shows(sighting)));
    fits.map(|played| played.fault).collect()
}

fn wrong_with(book: &Book, answer: &Answer, fault: FaultId, all: &BTreeSet<FaultId>) -> Option<String> {
    let told: BTreeSet<FaultId> = answer.suspects.iter().flat_map(|one| one.faults.iter().copied()).collect();
    let names = |faults: &BTreeSet<FaultId>| {
        faults.iter().map(|&fault| book.fault(fault).name.clone()).collect::<Vec<_>>().join(", ")
    };
    if !told.contains(&fault) {
        return Some(format!("it is ruled out, left are {}", names(&told)));
    }
    if told != *all {
        return Some(format!("{} fit, {} do", names(&told), names(all)));
    }
    let sum: f64 = answer.suspects.iter().map(|one| one.share).sum();
    ((sum - 1.0).abs() > 1e-9).then(|| format!("shares add up to {sum}"))
}

#[test]
fn the_fault_that_is_there_is_never_ruled_out_and_all_that_fits_is_told() {
    let all = std::env::var("SUSPECTS").is_ok();
    for (path, each) in [("tests/planted/blade", 2), ("tests/planted/boat", 9)] {
        let (games, found, wrong) = play(path, if all { 1 } else { each });
        println!("{path}: {games} games, {found} end with one item, {} wrong", wrong.len());
        assert!(games > 20, "{path}: {games}");
        assert!(found * 4 > games * 3, "{path}: {found} of {games}");
        assert_eq!(wrong, Vec::<String>::new(), "{path}");
    }
}
