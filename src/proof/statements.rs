//! Obligations 1 and 2: every expected result and every claim, in every build, at every corner.

use super::corners::corners;
use super::fleet::Fleet;
use super::memory::Piece;
use super::progress::Tally;
use super::script::{Script, Stated, stated};
use super::steps;
use crate::bench::{Bench, Corner, Driver, Reading, Rig, Upset, Why};
use crate::book::{self, Book, BuildId, ClaimId, Place, Setup, Subject};

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

/// A checkout's expected results, in all builds.
#[derive(Debug)]
pub struct Checkout<'b> {
    pub fleet: &'b Fleet,
    pub script: Script<'b>,
}

/// A claim, in all builds that it speaks of.
#[derive(Debug)]
pub struct Claimed<'b> {
    pub fleet: &'b Fleet,
    pub claim: ClaimId,
    pub setup: &'b [Setup],
    pub expects: Vec<Stated<'b>>,
    /// See [`book::Claim::refuted`].
    pub refuted: bool,
}

impl<'b> Checkout<'b> {
    /// All of a book.
    pub fn all(book: &'b Book, fleet: &'b Fleet) -> Vec<Checkout<'b>> {
        let pages = steps::checkouts(book).into_iter();
        pages.map(|page| Checkout { fleet, script: Script::alone(book, page) }).collect()
    }
}

impl<'b> Claimed<'b> {
    /// All of a book.
    pub fn all(book: &'b Book, fleet: &'b Fleet) -> Vec<Claimed<'b>> {
        let claims = book.claims.iter().zip(0..);
        let pieces = claims.map(|(claim, number)| Claimed {
            fleet,
            claim: ClaimId(number),
            setup: &claim.setup,
            expects: stated(&claim.expects),
            refuted: claim.refuted,
        });
        pieces.collect()
    }
}

impl Piece for Checkout<'_> {
    type Gives = Vec<Statement>;
    const STAGE: &'static str = "results";

    fn work(&self) -> usize {
        1
    }

    fn prove(&self, tally: &Tally) -> Vec<Statement> {
        let steps = self.script.steps();
        let mut facts: Vec<Statement> = steps
            .iter()
            .flat_map(|(place, step)| {
                (0..step.expects.len()).map(|expect| Statement::open(Source::Step { place: *place, expect }))
            })
            .collect();
        for rig in &**self.fleet {
            for corner in corners(rig, steps.iter().flat_map(|(_, step)| step.acts)) {
                let mut at = 0;
                let mut bench = Bench::new(rig, corner.clone());
                for (_, step) in &steps {
                    let outcome = match &mut bench {
                        Err(upset) => Err(upset.clone()),
                        Ok(bench) => steps::set(bench, step.acts)
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
        tally.tick(1);
        facts
    }
}

impl Piece for Claimed<'_> {
    type Gives = Vec<Statement>;
    const STAGE: &'static str = "claims";

    fn work(&self) -> usize {
        1
    }

    fn prove(&self, tally: &Tally) -> Vec<Statement> {
        let count = if self.refuted { 1 } else { self.expects.len() };
        let mut facts: Vec<Statement> =
            (0..count).map(|expect| Statement::open(Source::Claim { claim: self.claim, expect })).collect();
        let acts = || {
            self.setup.iter().filter_map(|setup| match setup {
                Setup::Act(act) => Some(act),
                _ => None,
            })
        };
        for rig in self.fleet.iter().filter(|rig| applies(rig, self.setup)) {
            for corner in corners(rig, acts()) {
                let bench = set_up(rig, corner.clone(), self.setup);
                let (outcome, bench) = match bench {
                    Err(upset) => (Err(upset), None),
                    Ok(mut bench) => (steps::look(&mut bench, &self.expects, &[]), Some(bench)),
                };
                match self.refuted {
                    true => refute(&mut facts[0], &outcome, rig, &corner),
                    false => note(&mut facts, &self.expects, &outcome, rig, &corner, bench.as_ref()),
                }
            }
        }
        tally.tick(1);
        facts
    }
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
    expects: &[Stated],
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
            let elements = &bench.rig().vehicle.part(part).elements;
            let coil =
                elements.iter().position(|element| matches!(element.action, book::Action::Coil { .. }))?;
            bench.why(part, coil)
        }
        Subject::Instrument(_) => None,
    }
}

/// Whether a build is one that a setup speaks of: its options fit and every part it names is there.
pub fn applies(rig: &Rig, setup: &[Setup]) -> bool {
    let (vehicle, build) = (&rig.vehicle, rig.build.index());
    setup.iter().all(|setup| match setup {
        Setup::Build { group, any } => any.contains(&vehicle.builds[build].choices[*group]),
        Setup::Without(part) | Setup::Bridged(part) => vehicle.part(*part).fitted[build],
        Setup::Fault(fault) => vehicle.fault(*fault).is_in(rig.build),
        Setup::Act(_) => true,
    })
}

/// A vehicle set up as a claim or a figure says: what is missing or broken first, then the hands.
pub fn set_up<'r>(rig: &'r Rig, corner: Corner, setup: &[Setup]) -> Result<Bench<'r>, Upset> {
    prepare(Bench::new(rig, corner)?, setup)
}

/// The same from a vehicle at rest.
pub fn prepare<'r>(mut bench: Bench<'r>, setup: &[Setup]) -> Result<Bench<'r>, Upset> {
    let rig = bench.rig();
    for setup in setup {
        match setup {
            Setup::Without(part) => bench.take_out(*part)?,
            Setup::Bridged(part) => bench.bridge(*part)?,
            Setup::Fault(fault) => bench.plant(rig.vehicle.fault(*fault))?,
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
