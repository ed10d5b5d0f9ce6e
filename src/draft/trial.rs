//! Turns what a technician could do into tests with an outcome for every suspect, by doing it on every suspect's bench.

use super::candidate::{Effort, Hands, candidates};
use super::lineup::{Lineup, Suspect};
use super::sequence::{Problem, Test};
use crate::bench::Reading;
use crate::book::{Act, Book, Face, Look, Place, Role, Strength, Subject};
use crate::proof::hands::{What, watch};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A test that tells at least two suspects apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    pub setup: Vec<Act>,
    pub lead: Option<Act>,
    pub subject: Subject,
    pub seconds: f64,
    /// What it may show, by outcome; an outcome beyond the last is anything else.
    pub looks: Vec<Look>,
    /// For each suspect; none where a hand cannot do it, or where it would do harm or move a machine unasked.
    pub outcomes: Vec<Option<u8>>,
}

impl Trial {
    /// The outcome that a reading is.
    pub fn outcome(&self, reading: &Reading) -> u8 {
        outcome(&self.looks, reading)
    }
}

/// The tests that tell a lineup apart by what a verdict on each suspect would say: with little effort for all, with more
/// for those that little leaves together. Cost: hands × suspects, each a few solutions of the network.
pub fn trials(book: &Book, lineup: &Lineup, labels: &[usize]) -> Vec<Trial> {
    let mut found: Vec<Trial> = Vec::new();
    let mut together: Vec<usize> = (0..lineup.suspects.len()).collect();
    for effort in Effort::ALL {
        let faults = together.iter().filter_map(|&suspect| lineup.suspects[suspect].fault);
        let hands = candidates(book, lineup, faults, effort);
        let tried: Vec<Vec<Trial>> =
            hands.par_iter().map(|hands| tried(book, lineup, &together, hands)).collect();
        found.extend(tried.into_iter().flatten());
        together = left_together(&found, labels);
        if together.is_empty() {
            break;
        }
    }
    found
}

/// The suspects that no trial tells from one with another label.
fn left_together(trials: &[Trial], labels: &[usize]) -> Vec<usize> {
    let mut classes: BTreeMap<Vec<Option<u8>>, Vec<usize>> = BTreeMap::new();
    for suspect in 0..labels.len() {
        let signature = trials.iter().map(|trial| trial.outcomes[suspect]).collect();
        classes.entry(signature).or_default().push(suspect);
    }
    let mixed =
        classes.into_values().filter(|class| class.iter().any(|&one| labels[one] != labels[class[0]]));
    mixed.flatten().collect()
}

/// The sequencing problem of some trials, with a label for each suspect.
pub fn problem(
    lineup: &Lineup,
    trials: &[Trial],
    labels: Vec<usize>,
    cost: impl Fn(&Trial) -> f64,
) -> Problem {
    let tests = trials.iter().map(|trial| Test { cost: cost(trial), outcomes: trial.outcomes.clone() });
    Problem {
        weights: lineup.suspects.iter().map(|suspect| suspect.weight).collect(),
        labels,
        tests: tests.collect(),
    }
}

/// What some hands tell about the suspects in `whom`; the others do not come to the test. A suspect that another stands
/// for comes after it and shows the same, and has the same label, so that both are in `whom` or neither is.
fn tried(book: &Book, lineup: &Lineup, whom: &[usize], hands: &Hands) -> Vec<Trial> {
    let acts: Vec<Act> = hands.setup.iter().chain(&hands.lead).cloned().collect();
    let mut shown: Vec<Vec<Option<Reading>>> = vec![vec![None; hands.subjects.len()]; lineup.suspects.len()];
    for &number in whom {
        let suspect = &lineup.suspects[number];
        shown[number] = match suspect.like == number {
            true => show(lineup, suspect, &acts, &hands.subjects),
            false => shown[suspect.like].clone(),
        };
    }
    sort(book, &lineup.steps, hands, &shown)
}

/// The tests among what some hands show after one of some steps, by suspect and subject, that tell suspects apart.
pub fn sort(book: &Book, steps: &[Place], hands: &Hands, shown: &[Vec<Option<Reading>>]) -> Vec<Trial> {
    let mut found = Vec::new();
    for (at, &subject) in hands.subjects.iter().enumerate() {
        let readings: Vec<Option<Reading>> = shown.iter().map(|shown| shown[at]).collect();
        let looks = looks(book, steps, subject, &readings);
        let outcomes: Vec<Option<u8>> =
            readings.iter().map(|reading| reading.map(|reading| outcome(&looks, &reading))).collect();
        let mut known = outcomes.iter().flatten();
        let first = known.next();
        if known.any(|outcome| Some(outcome) != first) {
            found.push(Trial {
                setup: hands.setup.clone(),
                lead: hands.lead.clone(),
                subject,
                seconds: hands.seconds,
                looks,
                outcomes,
            });
        }
    }
    found
}

/// What each subject shows after some hands on a suspect's vehicle; none where that does harm.
fn show(lineup: &Lineup, suspect: &Suspect, acts: &[Act], subjects: &[Subject]) -> Vec<Option<Reading>> {
    let nothing = vec![None; subjects.len()];
    let mut bench = suspect.bench.clone();
    let mut harms = Vec::new();
    if watch(&mut bench, acts, lineup.place, suspect.fault, Vec::new(), &mut harms).is_err() {
        return nothing;
    }
    let Ok(readings) = bench.observe(subjects, 0.0) else {
        return nothing;
    };
    let excused = |subject: Subject| {
        harms.iter().all(|harmed| match harmed.what {
            What::Motion { part, element } => subject == Subject::Face { part, element },
            _ => false,
        })
    };
    readings
        .into_iter()
        .zip(subjects)
        .map(|(reading, &subject)| excused(subject).then_some(reading))
        .collect()
}

/// The looks that a subject's readings are sorted by.
fn looks(book: &Book, steps: &[Place], subject: Subject, readings: &[Option<Reading>]) -> Vec<Look> {
    let strengths = [Strength::Full, Strength::Weak, Strength::Off].map(Look::Is);
    match subject {
        Subject::Relay { .. } => vec![Look::Is(Strength::Full), Look::Is(Strength::Off), Look::Chattering],
        Subject::Instrument(_) => [&strengths[..], &[Look::Flashing(None)]].concat(),
        Subject::Face { part, element } => match book.part(part).elements[element].face() {
            Some(Face::Gauge { .. }) => match stated(book, steps, subject) {
                Some(band) => Reading::beside(&band).into_iter().collect(),
                None => ends(readings)
                    .and_then(|[low, high]| Reading::either_side(&low, &high))
                    .map_or(Vec::new(), Vec::from),
            },
            Some(Face::Motor { .. }) => [&strengths[..], &[Look::Backwards]].concat(),
            Some(Face::Starter) => strengths.to_vec(),
            _ => [&strengths[..], &[Look::Flashing(None)]].concat(),
        },
    }
}

/// The look that one of the failed steps states of a subject.
fn stated(book: &Book, steps: &[Place], subject: Subject) -> Option<Look> {
    let stated = steps.iter().filter_map(|&step| match &book.section(step).role {
        Role::Step(step) => step.expects.iter().find(|expect| expect.subject == subject),
        _ => None,
    });
    stated.map(|expect| expect.look.clone()).next()
}

/// The lowest and the highest of the readings that are numbers.
fn ends(readings: &[Option<Reading>]) -> Option<[Reading; 2]> {
    let mut numbers: Vec<(f64, Reading)> = readings
        .iter()
        .flatten()
        .filter_map(|reading| match reading {
            Reading::Number(amount) => Some((amount.value, *reading)),
            _ => None,
        })
        .collect();
    numbers.sort_by(|a, b| a.0.total_cmp(&b.0));
    Some([numbers.first()?.1, numbers.last()?.1])
}

fn outcome(looks: &[Look], reading: &Reading) -> u8 {
    looks.iter().position(|look| reading.is(look, false)).unwrap_or(looks.len()) as u8
}
