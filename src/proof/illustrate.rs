//! Turns a book's steps, claims and figures into the states of the vehicle that a page shows beside them.
//!
//! Nothing is judged here: each state is taken at the middle of every band, in every build that the statement speaks of.

use super::corners::middle;
use super::evidence::Evidence;
use super::field::Field;
use super::fleet::Fleet;
use super::live::{self, Live};
use super::scope::Scope;
use super::script::{Script, Stated, stated};
use super::{statements, steps};
use crate::bench::{Bench, Reading, Rig, Upset, Why};
use crate::book::{Action, Book, Claim, PartId, Place, SheetId, Shows, Subject, TerminalId, Vehicle};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// What the reader of an expected result would see and measure.
#[derive(Debug, Clone, PartialEq)]
pub struct Witness {
    pub reading: Reading,
    /// Volts across what is looked at: a load's terminals, or a relay's winding. None where a side floats.
    pub volts: Option<f64>,
    /// Amperes through it.
    pub amps: Option<f64>,
    pub why: Option<Why>,
}

/// One state with what is read in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Exhibit {
    pub evidence: Evidence,
    /// One for each expected result.
    pub witnesses: Vec<Witness>,
}

/// The states of a book's statements and figures, and those that its live drawings go through.
#[derive(Debug, Clone)]
pub struct Illustrations {
    /// After each checkout step, one for each build.
    pub steps: BTreeMap<Place, Vec<Exhibit>>,
    /// For each claim, one for each build that it speaks of.
    pub claims: Vec<Vec<Exhibit>>,
    /// The same for each figure that has a state.
    pub figures: Vec<Vec<Evidence>>,
    /// For each sheet.
    pub live: Vec<Live>,
}

/// Takes the states of everything that a book shows.
pub fn illustrate(book: &Book) -> Illustrations {
    let fleet = Fleet::of(book);
    let scopes: Vec<Scope> =
        (0..book.sheets.len()).into_par_iter().map(|sheet| Scope::of(book, SheetId(sheet as u32))).collect();
    let steps: Vec<(Place, Exhibit)> = steps::checkouts(book)
        .into_par_iter()
        .flat_map_iter(|page| {
            let scope = book.page(page).sheet.map(|sheet| &scopes[sheet.index()]);
            let own = Script::alone(book, page);
            let field = Script::whole(book, page).field.and(scope.map(Field::of_scope).unwrap_or_default());
            fleet
                .iter()
                .flat_map(|rig| route(&field.awake(rig), &own, scope).unwrap_or_default())
                .collect::<Vec<_>>()
        })
        .collect();
    let mut by_place: BTreeMap<Place, Vec<Exhibit>> = BTreeMap::new();
    for (place, exhibit) in steps {
        by_place.entry(place).or_default().push(exhibit);
    }
    let claims = book
        .claims
        .par_iter()
        .map(|claim| {
            let scope = claim_sheet(book, claim).map(|sheet| &scopes[sheet.index()]);
            let exhibits = fleet.iter().filter_map(|rig| claim_exhibit(rig, claim, scope));
            exhibits.collect()
        })
        .collect();
    let figures = book
        .figures
        .par_iter()
        .map(|figure| match &figure.shows {
            Shows::Drawing { sheet, setup } if !setup.is_empty() => fleet
                .iter()
                .filter(|rig| statements::applies(rig, setup))
                .filter_map(|rig| {
                    let bench = statements::set_up(rig, middle(rig), setup).ok()?;
                    Some(scopes[sheet.index()].cut(Evidence::of(&bench)))
                })
                .collect(),
            _ => Vec::new(),
        })
        .collect();
    Illustrations { steps: by_place, claims, figures, live: live::tables(book, &fleet, &scopes) }
}

/// The sheet on which a claim's state is shown: its page's, or else that of the first part it speaks of.
pub fn claim_sheet(book: &Book, claim: &Claim) -> Option<SheetId> {
    let page = book.page(claim.page).sheet;
    page.or_else(|| {
        let part = claim.expects.iter().find_map(|expect| expect.subject.part())?;
        Some(book.part(part).sheet)
    })
}

fn claim_exhibit(rig: &Rig, claim: &Claim, scope: Option<&Scope>) -> Option<Exhibit> {
    if !statements::applies(rig, &claim.setup)
        || !claim.expects.iter().all(|expect| steps::fitted(rig, expect.subject))
    {
        return None;
    }
    let mut bench = statements::set_up(rig, middle(rig), &claim.setup).ok()?;
    exhibit(&mut bench, &stated(&claim.expects), scope).ok()
}

/// The healthy vehicle after each step of a checkout.
fn route(rig: &Rig, script: &Script, scope: Option<&Scope>) -> Result<Vec<(Place, Exhibit)>, Upset> {
    let mut bench = Bench::new(rig, middle(rig))?;
    let mut found = Vec::new();
    for (place, step) in script.steps() {
        steps::set(&mut bench, step.acts)?;
        found.push((place, exhibit(&mut bench, &step.expects, scope)?));
    }
    Ok(found)
}

/// The state that a bench rests in, and what is read in it.
fn exhibit(bench: &mut Bench, expects: &[Stated], scope: Option<&Scope>) -> Result<Exhibit, Upset> {
    let evidence = Evidence::of(bench);
    let measures: Vec<(Option<f64>, Option<f64>, Option<Why>)> = expects
        .iter()
        .map(|expect| {
            let (volts, amps) = measured(&bench.rig().vehicle, &evidence, expect.subject);
            (volts, amps, statements::why(bench, expect.subject))
        })
        .collect();
    let outcome = steps::look(bench, expects, &[])?;
    let witnesses = outcome.readings.into_iter().zip(measures);
    let witnesses =
        witnesses.map(|(reading, (volts, amps, why))| Witness { reading, volts, amps, why }).collect();
    let evidence = match scope {
        Some(scope) => scope.cut(evidence),
        None => evidence,
    };
    Ok(Exhibit { evidence, witnesses })
}

/// The volts across and the amperes through what is looked at.
fn measured(vehicle: &Vehicle, evidence: &Evidence, subject: Subject) -> (Option<f64>, Option<f64>) {
    let (part, element) = match subject {
        Subject::Face { part, element } => (part, element),
        Subject::Relay { part, state } => {
            let winding = vehicle.part(part).elements.iter().position(
                |element| matches!(element.action, Action::Coil { state: moves, .. } if moves == state),
            );
            match winding {
                Some(winding) => (part, winding),
                None => return (None, None),
            }
        }
        Subject::Instrument(_) => return (None, None),
    };
    let ends = &vehicle.part(part).elements[element];
    let at = |terminal: TerminalId| volts_at(evidence, part, terminal);
    let volts = at(ends.a).zip(at(ends.b)).map(|(a, b)| a - b);
    (volts, evidence.elements.get(&(part, element)).map(|flow| flow.amps))
}

/// Volts against the body at a part's terminal, on the part's side.
pub fn volts_at(evidence: &Evidence, part: PartId, terminal: TerminalId) -> Option<f64> {
    evidence.terminals.get(&(part, terminal)).and_then(|flow| flow.volts)
}
