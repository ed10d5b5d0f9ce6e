//! Obligation 5: a vehicle walked through a troubleshooting procedure, test by test, to its verdict.

use super::hands::{self, Harmed};
use super::script::{Script, Step};
use super::steps;
use crate::bench::{Bench, Reading, Upset};
use crate::book::{Book, Fault, FaultId, HarnessWay, Item, Mode, Place, Role, Suspect, Target};
use std::collections::BTreeMap;

/// One test of a walk: what was read and which outcome it took.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    pub place: Place,
    /// Rounded: what it was judged by is finer, and its last digits are of no meaning.
    pub reading: Reading,
    pub outcome: Option<usize>,
}

/// How a walk ended.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// At the verdict or the good end of this outcome of this test.
    At { place: Place, outcome: usize },
    /// No branch fits the reading at this test.
    NoBranch(Place),
    /// It went round.
    Endless(Place),
    /// The vehicle did not come to rest at this test, or has no operating point there.
    Upset { place: Place, upset: Upset },
    /// The place that was led to has no test.
    NoTest(Place),
}

/// A walk through a procedure.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    pub trail: Vec<Taken>,
    pub end: End,
}

/// Tests after which a walk is said to go round: far more than any procedure needs on one way through.
const ENDLESS: usize = 40;

/// How often each outcome of a test was taken, and by which items' faults.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Passing {
    pub walks: usize,
    pub healthy: usize,
    /// The faults that took it, each once, in order.
    pub faults: Vec<FaultId>,
}

/// The passings of one outcome.
#[derive(Debug, Clone, PartialEq)]
pub struct Traffic {
    pub place: Place,
    pub outcome: usize,
    pub passing: Passing,
}

/// What the healthy vehicle's walk ended in.
#[derive(Debug, Clone, PartialEq)]
pub struct HealthyWalk {
    pub build: crate::book::BuildId,
    /// The checkout step that leads here.
    pub from: Place,
    pub procedure: Place,
    pub walk: Walk,
}

/// Walks a vehicle through the procedure at `start`, from the state in which the failed step left it.
pub fn walk(
    bench: &mut Bench,
    script: &Script,
    start: Place,
    fault: Option<FaultId>,
    harms: &mut Vec<Harmed>,
) -> Walk {
    let mut trail: Vec<Taken> = Vec::new();
    let mut place = start;
    loop {
        let Some((at, test)) = script.test_at(place) else {
            return Walk { trail, end: End::NoTest(place) };
        };
        if trail.len() >= ENDLESS {
            return Walk { trail, end: End::Endless(at) };
        }
        let announced = test.announced.iter().copied().chain(test.reads);
        if let Err(upset) = hands::watch(bench, test.acts, at, fault, announced.collect(), harms) {
            return Walk { trail, end: End::Upset { place: at, upset } };
        }
        let reading = match test.reads {
            None => Reading::Nothing,
            Some(subject) => match bench.observe(&[subject], 0.0) {
                Ok(readings) => readings[0],
                Err(upset) => {
                    return Walk { trail, end: End::Upset { place: at, upset } };
                }
            },
        };
        let clicked = test.reads.is_some_and(|subject| bench.clicked(subject));
        let outcome = test.outcomes.iter().position(|outcome| {
            outcome.looks.is_empty() || outcome.looks.iter().any(|look| reading.is(look, clicked))
        });
        trail.push(Taken { place: at, reading: reading.rounded(), outcome });
        let Some(outcome) = outcome else {
            return Walk { trail, end: End::NoBranch(at) };
        };
        match test.outcomes[outcome].to {
            Some(next) => place = next,
            None => return Walk { trail, end: End::At { place: at, outcome } },
        }
    }
}

/// What an outcome of a test leads to.
pub fn target(book: &Book, place: Place, outcome: usize) -> &Target {
    match &book.section(place).role {
        Role::Test(test) => &test.outcomes[outcome].to,
        _ => unreachable!("a trail holds tests only"),
    }
}

/// Whether a verdict names the item at fault.
pub fn names(book: &Book, blames: &[Suspect], fault: &Fault) -> bool {
    blames.iter().any(|suspect| suspect_names(book, suspect, fault))
}

/// Whether one suspect is the item at fault; of two wires shorted to each other, either is.
pub fn suspect_names(book: &Book, suspect: &Suspect, fault: &Fault) -> bool {
    match suspect {
        Suspect::Item(item) => fault.items().iter().any(|own| own == item || book.seals(suspect, *own)),
        Suspect::Fault(id) => book.fault(*id).name == fault.name,
        Suspect::Harness { harness, way } => {
            let Item::Wire(wire) = fault.item else {
                return false;
            };
            let short = matches!(fault.mode, Mode::WireToGround | Mode::WireToWire(_));
            book.wire(wire).harness == *harness
                && match way {
                    HarnessWay::Any => true,
                    HarnessWay::Short => short,
                    HarnessWay::Open => !short,
                }
        }
    }
}

/// Adds up walks by test and outcome.
#[derive(Debug, Clone, Default)]
pub struct Counter {
    passings: BTreeMap<(Place, usize), Passing>,
}

impl Counter {
    /// Takes a walk in; `fault` is none for the healthy vehicle.
    pub fn count(&mut self, walk: &Walk, fault: Option<FaultId>) {
        for taken in &walk.trail {
            let Some(outcome) = taken.outcome else { continue };
            let passing = self.passings.entry((taken.place, outcome)).or_default();
            match fault {
                Some(fault) => {
                    passing.walks += 1;
                    if let Err(at) = passing.faults.binary_search(&fault) {
                        passing.faults.insert(at, fault);
                    }
                }
                None => passing.healthy += 1,
            }
        }
    }

    /// Adds another counter's walks.
    pub fn merge(&mut self, other: Counter) {
        for (key, passing) in other.passings {
            let sum = self.passings.entry(key).or_default();
            sum.walks += passing.walks;
            sum.healthy += passing.healthy;
            sum.faults.extend(passing.faults);
            sum.faults.sort();
            sum.faults.dedup();
        }
    }

    /// All passings in the order of their places.
    pub fn finish(self) -> Vec<Traffic> {
        let passings = self.passings.into_iter();
        passings.map(|((place, outcome), passing)| Traffic { place, outcome, passing }).collect()
    }
}

/// The procedure that a failed step leads to by one of its branches.
pub fn leads_to(step: &Step, outcome: &steps::Outcome) -> Option<Place> {
    outcome.branch.map(|branch| step.branches[branch].to)
}
