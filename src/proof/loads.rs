//! Turns the vehicle and what its loads are for into the breaches of that, and into the reasons of the parts.

use super::fleet::Fleet;
use super::intent::{self, Breach};
use super::memory::Piece;
use super::plan::{Judged, Plan, Purpose};
use super::progress::Tally;
use super::reasons::{self, Reason};
use crate::book::Book;
use rayon::prelude::*;

/// Every load with what it is for. Both obligations go through the same states.
#[derive(Debug)]
pub struct Loads<'b> {
    pub fleet: &'b Fleet,
    pub intents: Vec<Purpose<'b>>,
}

/// What was found of the loads.
#[derive(Debug, Clone)]
pub struct Borne {
    pub breaches: Vec<Breach>,
    pub judged: Vec<Judged>,
    pub reasons: Vec<Reason>,
}

impl<'b> Loads<'b> {
    /// Those of a book.
    pub fn of(book: &'b Book, fleet: &'b Fleet) -> Loads<'b> {
        let intents = book.intents.iter();
        let purpose = |intent: &'b crate::book::Intent| Purpose {
            part: intent.part,
            element: intent.element,
            cases: &intent.cases,
        };
        Loads { fleet, intents: intents.map(purpose).collect() }
    }
}

impl Piece for Loads<'_> {
    type Gives = Borne;
    const STAGE: &'static str = "loads";

    fn work(&self) -> usize {
        intent::work(self.fleet) + reasons::work(self.fleet)
    }

    fn prove(&self, tally: &Tally) -> Borne {
        let plans: Vec<Plan> = self.fleet.par_iter().map(|rig| Plan::of(rig, &self.intents)).collect();
        let (breaches, judged) = intent::prove(self.fleet, &plans, &self.intents, tally);
        Borne { breaches, judged, reasons: reasons::prove(self.fleet, &plans, tally) }
    }
}
