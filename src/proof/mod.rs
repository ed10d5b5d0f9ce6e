//! Turns a book into what its vehicle says of it: facts and tables for every obligation, without wording.
//!
//! One file for each obligation, in the order in which they are proved:
//! [`statements`] (expected results and claims), [`intent`] (sneak paths, dead functions, why a part is there),
//! [`coverage`] (which step shows a fault), [`trouble`] (which verdict it gets, and what the hands harm on the way).

pub mod apart;
pub mod corners;
pub mod coverage;
pub mod edition;
pub mod evidence;
pub mod explore;
pub mod field;
pub mod fleet;
pub mod hands;
pub mod illustrate;
pub mod intent;
pub mod live;
pub mod loads;
pub mod memory;
pub mod metrics;
pub mod pairs;
pub mod plan;
pub mod progress;
pub mod reasons;
pub mod scope;
pub mod script;
pub mod statements;
pub mod steps;
pub mod tables;
pub mod trouble;

pub use crate::bench::{
    Carrier, Corner, Driver, Harm, HarmKind, Hop, Reading, Rig, Seen, Stands, Stop, Trouble, Upset, Why,
};
pub use fleet::Fleet;
pub use illustrate::{Illustrations, illustrate};
pub use progress::{Progress, Silent};

use crate::book::Book;
use coverage::{Round, Walked};
use loads::{Borne, Loads};
use memory::Store;
use statements::{Checkout, Claimed};
use trouble::Counter;

/// Everything that was found out about a book. The same book gives the same proof.
#[derive(Debug, Clone)]
pub struct Proof {
    /// Expected results and claims: one fact for each statement.
    pub statements: Vec<statements::Statement>,
    /// Loads that do what they should not, or not what they should.
    pub intents: Vec<intent::Breach>,
    /// How many states each intended load was judged in, and whether that was all of them.
    pub judged: Vec<plan::Judged>,
    /// What each part is for: what changes without it, and when it is bridged.
    pub reasons: Vec<reasons::Reason>,
    /// See [`coverage::Walked::faults`].
    pub faults: Vec<coverage::Showing>,
    /// See [`coverage::Walked::walks`].
    pub walks: usize,
    /// What a technician's hands harm or move.
    pub harms: Vec<hands::Harmed>,
    /// Which outcome of which test was reached, and by how many faults.
    pub traffic: Vec<trouble::Traffic>,
    /// What the healthy vehicle's walk through each procedure ended in.
    pub healthy: Vec<trouble::HealthyWalk>,
    /// For wrong verdicts, the test that would tell.
    pub apart: Vec<apart::Apart>,
    pub metrics: metrics::Metrics,
    /// Two faults at once, where that was asked for: see [`pairs::prove`].
    pub pairs: Option<pairs::Pairs>,
}

/// What the pieces of the last proof gave, so that the next one proves only what has changed.
#[derive(Debug, Default)]
pub struct Memory {
    pub checkouts: Store<Vec<statements::Statement>>,
    pub claims: Store<Vec<statements::Statement>>,
    pub loads: Store<Borne>,
    pub rounds: Store<(Walked, Counter)>,
    pub pairs: Store<pairs::Doubles>,
}

/// Proves everything that a book states.
pub fn prove(book: &Book, progress: &dyn Progress) -> Proof {
    prove_again(book, &mut Memory::default(), progress)
}

/// Proves everything that a book states, as far as an earlier proof of it doesn't hold any more.
pub fn prove_again(book: &Book, memory: &mut Memory, progress: &dyn Progress) -> Proof {
    let fleet = Fleet::of(book);
    let results = memory.checkouts.provide(&Checkout::all(book, &fleet), progress);
    let claims = memory.claims.provide(&Claimed::all(book, &fleet), progress);
    let loads = memory.loads.provide(&[Loads::of(book, &fleet)], progress);
    let Borne { breaches, judged, reasons } = loads.into_iter().next().expect("one piece gives one thing");
    let walked = Walked::sum(memory.rounds.provide(&Round::all(book, &fleet), progress));
    let apart = apart::prove(book, &fleet, &walked.faults, &walked.traffic);
    let metrics = metrics::measure(book, &walked.faults);
    Proof {
        statements: results.into_iter().chain(claims).flatten().collect(),
        intents: breaches,
        judged,
        reasons,
        faults: walked.faults,
        walks: walked.walks,
        harms: walked.harms,
        traffic: walked.traffic,
        healthy: walked.healthy,
        apart,
        metrics,
        pairs: None,
    }
}
