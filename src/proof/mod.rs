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
pub mod hands;
pub mod illustrate;
pub mod intent;
pub mod live;
pub mod memory;
pub mod metrics;
pub mod reasons;
pub mod scope;
pub mod statements;
pub mod steps;
pub mod tables;
pub mod trouble;

pub use crate::bench::{
    Carrier, Corner, Driver, Harm, HarmKind, Hop, Reading, Rig, Seen, Trouble, Upset, Why, strength_word,
};
pub use illustrate::{Illustrations, illustrate};

use crate::book::{Book, BuildId, Fault};
use memory::{Kept, Memory, Piece};
use rayon::prelude::*;

/// Everything that was found out about a book. The same book gives the same proof.
#[derive(Debug, Clone)]
pub struct Proof {
    /// Expected results and claims: one fact for each statement.
    pub statements: Vec<statements::Statement>,
    /// Loads that do what they should not, or not what they should.
    pub intents: Vec<intent::Breach>,
    /// How many states each intended load was judged in, and whether that was all of them.
    pub judged: Vec<intent::Judged>,
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
}

/// Takes note of how far a long proof has come; called from several threads.
pub trait Progress: Sync {
    /// `done` of `total` pieces of work of a stage are finished.
    fn at(&self, stage: &'static str, done: usize, total: usize);
}

/// No progress is reported.
pub struct Silent;

impl Progress for Silent {
    fn at(&self, _: &'static str, _: usize, _: usize) {}
}

/// The vehicle in each of its builds.
pub fn rigs(book: &Book) -> Vec<Rig<'_>> {
    (0..book.builds.len()).into_par_iter().map(|build| Rig::new(book, BuildId(build as u32))).collect()
}

/// Proves everything that a book states.
pub fn prove(book: &Book, progress: &dyn Progress) -> Proof {
    prove_again(book, &mut Memory::default(), progress)
}

/// Proves everything that a book states, as far as an earlier proof of it doesn't hold any more.
pub fn prove_again(book: &Book, memory: &mut Memory, progress: &dyn Progress) -> Proof {
    let rigs = rigs(book);
    let vehicle = memory::vehicle(book);
    memory.computed.clear();
    let statements = statements::prove(book, &rigs, vehicle, memory, progress);
    let loads = [(Piece::Loads, memory::fingerprint(book, vehicle, Piece::Loads))];
    let found = memory.provide(&loads, |_| {
        let plans: Vec<intent::Plan> = rigs.par_iter().map(|rig| intent::plan(book, rig)).collect();
        let (intents, judged) = intent::prove(book, &rigs, &plans, progress);
        Kept::Loads(intents, judged, reasons::prove(book, &rigs, &plans, progress))
    });
    let Some(Kept::Loads(intents, judged, reasons)) = found.into_iter().next() else {
        unreachable!("what is provided is of the piece that was asked for")
    };
    let walked = coverage::prove(book, &rigs, vehicle, memory, progress);
    let apart = apart::prove(book, &rigs, &walked.faults, &walked.traffic);
    let metrics = metrics::measure(book, &walked.faults);
    Proof {
        statements,
        intents,
        judged,
        reasons,
        faults: walked.faults,
        walks: walked.walks,
        harms: walked.harms,
        traffic: walked.traffic,
        healthy: walked.healthy,
        apart,
        metrics,
    }
}

/// The faults that a build can have, by their number.
fn faults_of(book: &Book, build: BuildId) -> impl Iterator<Item = (crate::book::FaultId, &Fault)> {
    book.faults
        .iter()
        .enumerate()
        .filter(move |(_, fault)| fault.fits(book, build.index()))
        .map(|(index, fault)| (crate::book::FaultId(index as u32), fault))
}
