//! Turns a wrong verdict into the test that would have told the fault from the one it was taken for.

use super::corners::middle;
use super::coverage::{Showing, replay};
use super::script::Script;
use super::trouble::{End, Traffic, names, target};
use crate::bench::{Bench, Reading, Rig};
use crate::book::{self, Act, Book, Face, FaultId, Instrument, Place, Point, Subject, Target, TerminalId};

/// A test that tells a fault from another at the end of a procedure.
#[derive(Debug, Clone, PartialEq)]
pub struct Apart {
    pub place: Place,
    pub outcome: usize,
    pub fault: FaultId,
    pub other: FaultId,
    pub test: Act,
    /// What the test shows with the fault, and with the other.
    pub reads: &'static str,
    pub other_reads: &'static str,
}

/// Finds a telling test for the first fault of each wrong verdict.
pub fn prove(book: &Book, rigs: &[Rig], showings: &[Showing], traffic: &[Traffic]) -> Vec<Apart> {
    let mut found: Vec<Apart> = Vec::new();
    let mut tried = Vec::new();
    for showing in showings {
        let Some(walk) = showing.shown.as_ref().and_then(|shown| shown.walk.as_ref()) else {
            continue;
        };
        let End::At { place, outcome } = walk.end else {
            continue;
        };
        let Target::Verdict { blames, .. } = target(book, place, outcome) else {
            continue;
        };
        if names(book, blames, book.fault(showing.fault)) || tried.contains(&(place, outcome)) {
            continue;
        }
        tried.push((place, outcome));
        let rivals = traffic
            .iter()
            .find(|traffic| (traffic.place, traffic.outcome) == (place, outcome))
            .into_iter()
            .flat_map(|traffic| traffic.passing.faults.iter().copied());
        let rival = rivals
            .filter(|&other| names(book, blames, book.fault(other)))
            .find(|&other| book.fault(other).is_in(showing.build));
        let Some(other) = rival else { continue };
        let rig = &rigs[showing.build.index()];
        let script = Script::whole(book, showing.page);
        let at_end = |fault| replay(rig, &script, fault, middle(rig));
        let (Some(here), Some(there)) = (at_end(showing.fault), at_end(other)) else {
            continue;
        };
        if let Some((test, reads, other_reads)) = telling(book, rig, place, &here, &there) {
            found.push(Apart { place, outcome, fault: showing.fault, other, test, reads, other_reads });
        }
    }
    found
}

/// The first test-light test, on the terminals of the page's sheet, that reads differently on the two vehicles.
fn telling(
    book: &Book,
    rig: &Rig,
    place: Place,
    here: &Bench,
    there: &Bench,
) -> Option<(Act, &'static str, &'static str)> {
    let sheet = book.page(place.page).sheet;
    let points =
        book.parts.iter().enumerate().filter(|(_, part)| sheet.is_none_or(|sheet| part.sheet == sheet));
    let points = points.filter(|(_, part)| part.fitted[rig.build.index()]).flat_map(|(index, part)| {
        (0..part.terminals.len()).map(move |terminal| {
            Point::from(book::End::Terminal {
                part: book::PartId(index as u32),
                terminal: TerminalId(terminal as u16),
            })
        })
    });
    for from in points {
        for to in [Point::Ground, Point::BatteryPlus] {
            let act = Act::Connect { instrument: Instrument::TestLight, from, to };
            let read = |bench: &Bench| {
                let mut bench = bench.clone();
                bench.act(&act).ok()?;
                let readings = bench.observe(&[Subject::Instrument(Instrument::TestLight)], 0.0).ok()?;
                match readings[0] {
                    Reading::Steady(seen) => Some(Face::Lamp.words()[seen.strength as usize]),
                    _ => None,
                }
            };
            if let (Some(reads), Some(other_reads)) = (read(here), read(there))
                && reads != other_reads
            {
                return Some((act, reads, other_reads));
            }
        }
    }
    None
}
