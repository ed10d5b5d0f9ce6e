//! Obligations 1 and 2: every expected result and every claim, in every build, at every corner.

use super::corners::corners;
use super::memory::{Kept, Memory, Piece, fingerprint};
use super::steps;
use super::{Progress, evidence::Evidence};
use crate::bench::{Bench, Corner, Driver, Reading, Rig, Upset, Why};
use crate::book::{Book, BuildId, ClaimId, Expect, Place, Setup, Subject};

/// A statement: an expected result of a step, or of a claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    Step { place: Place, expect: usize },
    Claim { claim: ClaimId, expect: usize },
}

/// What the vehicle says of one statement.
#[derive(Debug, Clone)]
pub struct Statement {
    pub source: Source,
    /// The states it was judged in: builds times corners.
    pub judged: usize,
    /// In how many of them it held.
    pub held: usize,
    /// The first state in which it did not.
    pub failure: Option<Failure>,
}

/// A state in which a statement does not hold.
#[derive(Debug, Clone)]
pub struct Failure {
    pub build: BuildId,
    pub corner: Corner,
    pub reading: Result<Reading, Upset>,
    pub why: Option<Why>,
    /// The relays that the reason depends on.
    pub drivers: Vec<Driver>,
}

/// Judges every statement of the book, as far as the memory of an earlier proof doesn't hold it.
pub fn prove(
    book: &Book,
    rigs: &[Rig],
    vehicle: u64,
    memory: &mut Memory,
    progress: &dyn Progress,
) -> Vec<Statement> {
    let pages = steps::checkouts(book).into_iter().map(Piece::Checkout);
    let claims = (0..book.claims.len()).map(|claim| Piece::Claim(ClaimId(claim as u32)));
    let pieces: Vec<(Piece, u64)> =
        pages.chain(claims).map(|piece| (piece, fingerprint(book, vehicle, piece))).collect();
    let done = std::sync::atomic::AtomicUsize::new(0);
    let facts = memory.provide(&pieces, |piece| {
        let facts = match piece {
            Piece::Claim(claim) => prove_claim(book, rigs, claim),
            Piece::Checkout(page) | Piece::Faults(_, page) => prove_page(book, rigs, page),
            Piece::Loads => Vec::new(),
        };
        let done = 1 + done.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        progress.at("statements", done, pieces.len());
        Kept::Statements(facts)
    });
    facts
        .into_iter()
        .flat_map(|kept| match kept {
            Kept::Statements(facts) => facts,
            _ => Vec::new(),
        })
        .collect()
}

fn prove_page(book: &Book, rigs: &[Rig], page: crate::book::PageId) -> Vec<Statement> {
    let steps = steps::steps(book.page(page), page);
    let mut facts: Vec<Statement> = steps
        .iter()
        .flat_map(|(place, step)| {
            (0..step.expects.len()).map(|expect| Statement::open(Source::Step { place: *place, expect }))
        })
        .collect();
    for rig in rigs {
        for corner in corners(book, rig, steps::acts(book.page(page))) {
            let mut at = 0;
            let mut bench = Bench::new(rig, corner.clone());
            for (_, step) in &steps {
                let outcome = match &mut bench {
                    Err(upset) => Err(upset.clone()),
                    Ok(bench) => steps::set(bench, &step.acts)
                        .and_then(|()| steps::look(bench, &step.expects, &step.branches)),
                };
                note(&mut facts[at..], &step.expects, &outcome, rig, &corner, bench.as_ref().ok());
                if let Err(upset) = outcome {
                    bench = Err(upset);
                }
                at += step.expects.len();
            }
        }
    }
    facts
}

fn prove_claim(book: &Book, rigs: &[Rig], id: ClaimId) -> Vec<Statement> {
    let claim = &book.claims[id.0 as usize];
    let count = if claim.refuted { 1 } else { claim.expects.len() };
    let mut facts: Vec<Statement> =
        (0..count).map(|expect| Statement::open(Source::Claim { claim: id, expect })).collect();
    let acts: Vec<_> = claim
        .setup
        .iter()
        .filter_map(|setup| match setup {
            Setup::Act(act) => Some(act),
            _ => None,
        })
        .collect();
    for rig in rigs {
        if !applies(book, &claim.setup, rig.build) {
            continue;
        }
        for corner in corners(book, rig, acts.iter().copied()) {
            let bench = set_up(rig, corner.clone(), &claim.setup);
            let (outcome, bench) = match bench {
                Err(upset) => (Err(upset), None),
                Ok(mut bench) => (steps::look(&mut bench, &claim.expects, &[]), Some(bench)),
            };
            match claim.refuted {
                true => refute(&mut facts[0], &outcome, rig, &corner),
                false => note(&mut facts, &claim.expects, &outcome, rig, &corner, bench.as_ref()),
            }
        }
    }
    facts
}

impl Statement {
    fn open(source: Source) -> Statement {
        Statement { source, judged: 0, held: 0, failure: None }
    }

    /// Whether it held wherever it was judged.
    pub fn holds(&self) -> bool {
        self.failure.is_none()
    }
}

/// Enters one state's outcome into the fact of a claim that must be false: it fails where all that it says holds.
fn refute(fact: &mut Statement, outcome: &Result<steps::Outcome, Upset>, rig: &Rig, corner: &Corner) {
    let Ok(outcome) = outcome else { return };
    if outcome.holds.contains(&None) {
        return;
    }
    fact.judged += 1;
    let refuted = !outcome.passes();
    fact.held += usize::from(refuted);
    if !refuted && fact.failure.is_none() {
        fact.failure = Some(Failure {
            build: rig.build,
            corner: corner.clone(),
            reading: Ok(outcome.readings[0]),
            why: None,
            drivers: Vec::new(),
        });
    }
}

/// Enters one state's outcome into the facts of the same statements.
fn note(
    facts: &mut [Statement],
    expects: &[Expect],
    outcome: &Result<steps::Outcome, Upset>,
    rig: &Rig,
    corner: &Corner,
    bench: Option<&Bench>,
) {
    for (index, expect) in expects.iter().enumerate() {
        let fact = &mut facts[index];
        let (holds, reading) = match outcome {
            Ok(outcome) => (outcome.holds[index], Ok(outcome.readings[index])),
            Err(upset) => (Some(false), Err(upset.clone())),
        };
        let Some(holds) = holds else { continue };
        fact.judged += 1;
        fact.held += usize::from(holds);
        if !holds && fact.failure.is_none() {
            let why = bench.and_then(|bench| why(bench, expect.subject));
            let drivers = bench.zip(why.as_ref()).map(|(bench, why)| bench.drivers(why));
            fact.failure = Some(Failure {
                build: rig.build,
                corner: corner.clone(),
                reading,
                why,
                drivers: drivers.unwrap_or_default(),
            });
        }
    }
}

/// Why a subject shows what it shows: of a relay, its winding.
pub fn why(bench: &Bench, subject: Subject) -> Option<Why> {
    match subject {
        Subject::Face { part, element } => bench.why(part, element),
        Subject::Relay { part, .. } => {
            let elements = &bench.rig().book.part(part).elements;
            let coil = elements
                .iter()
                .position(|element| matches!(element.action, crate::book::Action::Coil { .. }))?;
            bench.why(part, coil)
        }
        Subject::Instrument(_) => None,
    }
}

/// Whether a build is one that a setup speaks of: its options fit and every part it names is there.
pub fn applies(book: &Book, setup: &[Setup], build: BuildId) -> bool {
    let choices = &book.builds[build.index()].choices;
    setup.iter().all(|setup| match setup {
        Setup::Build { group, any } => any.contains(&choices[*group]),
        Setup::Without(part) | Setup::Bridged(part) => book.part(*part).fitted[build.index()],
        Setup::Fault(fault) => book.fault(*fault).fits(book, build.index()),
        Setup::Act(_) => true,
    })
}

/// A vehicle set up as a claim or a figure says: what is missing or broken first, then the hands.
pub fn set_up<'r>(rig: &'r Rig<'r>, corner: Corner, setup: &[Setup]) -> Result<Bench<'r>, Upset> {
    prepare(Bench::new(rig, corner)?, setup)
}

/// The same from a vehicle at rest.
pub fn prepare<'r>(mut bench: Bench<'r>, setup: &[Setup]) -> Result<Bench<'r>, Upset> {
    let rig = bench.rig();
    for setup in setup {
        match setup {
            Setup::Without(part) => bench.take_out(*part)?,
            Setup::Bridged(part) => bench.bridge(*part)?,
            Setup::Fault(fault) => bench.plant(rig.book.fault(*fault))?,
            _ => {}
        }
    }
    bench.listen();
    for setup in setup {
        if let Setup::Act(act) = setup {
            bench.act(act)?;
        }
    }
    Ok(bench)
}

/// The vehicle's state after a claim's or a figure's setup, in the first build that it applies to, for a drawing.
pub fn evidence(book: &Book, rigs: &[Rig], setup: &[Setup]) -> Option<Evidence> {
    let rig = rigs.iter().find(|rig| applies(book, setup, rig.build))?;
    let bench = set_up(rig, super::corners::middle(book), setup).ok()?;
    Some(Evidence::of(&bench))
}
