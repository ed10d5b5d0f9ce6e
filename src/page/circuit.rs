//! Turns a sheet into the page of its live drawing, its operating states, and the evidence of every statement about it.

use super::Output;
use super::address::{self, Root};
use super::card::{self, ConnectorCard, PartCard, WireCard};
use super::escape;
use super::kit::{Chrome, Kit, Link};
use super::operation;
use super::packed::{self, Shown};
use super::table::natural;
use crate::book::{Claim, ClaimId, ControlId, Expect, Item, PageKind, PartId, Place, Role, SheetId, Subject};
use crate::draw::{Flow, Use};
use crate::proof::Reading;
use crate::proof::illustrate::{Exhibit, Witness, claim_sheet};
use serde::Serialize;
use std::collections::BTreeMap;

/// The view of `circuit.html`.
#[derive(Debug, Clone, Serialize)]
pub struct Circuit {
    pub chrome: Chrome,
    /// SVG.
    pub drawing: String,
    /// What the lines of the drawing mean: class and words.
    pub key: Vec<(&'static str, String)>,
    pub controls: Vec<Control>,
    /// The builds by their names, for a vehicle with options.
    pub builds: Vec<String>,
    /// Whether every combination of the controls was computed, and how many states there are.
    pub complete: bool,
    pub states: usize,
    /// The cards of what the drawing shows, each with what it is chosen by.
    pub parts: Vec<(String, PartCard)>,
    pub connectors: Vec<(String, ConnectorCard)>,
    pub wires: Vec<(String, WireCard)>,
    /// HTML of the table of operating states.
    pub operation: String,
    pub statements: Vec<Statement>,
    /// JSON for the page's script.
    pub data: String,
}

/// A control of the live drawing.
#[derive(Debug, Clone, Serialize)]
pub struct Control {
    pub id: String,
    pub name: String,
    pub choices: Vec<String>,
}

/// A statement with its evidence.
#[derive(Debug, Clone, Serialize)]
pub struct Statement {
    pub anchor: String,
    /// The author's words, or the step's title.
    pub words: String,
    /// Where it is stated.
    pub from: Link,
    /// How the vehicle is set up.
    pub state: Vec<String>,
    /// What is read: once, or once for each set of builds that differ.
    pub readings: Vec<Readings>,
}

/// What is read in some builds.
#[derive(Debug, Clone, Serialize)]
pub struct Readings {
    pub only: Option<String>,
    pub builds: Option<String>,
    pub rows: Vec<ReadingRow>,
}

/// What is read of one expected result.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingRow {
    /// HTML.
    pub subject: String,
    pub said: String,
    pub shows: String,
    pub volts: String,
    pub amps: String,
    /// HTML: the current's path, or the open places that stop it.
    pub why: String,
}

/// A sheet's page.
pub fn page(kit: &Kit, sheet: SheetId) -> Output {
    let path = address::circuit(kit.book, sheet);
    let title = kit.words.fill("circuit.title", &[("sheet", &kit.book.sheets[sheet.index()].title)]);
    let chrome = kit.chrome(&path, &title, Some(sheet));
    let root = chrome.root;
    let live = &kit.illustrations.live[sheet.index()];
    let (statements, shown): (Vec<Statement>, Vec<Shown>) = step_places(kit, sheet)
        .into_iter()
        .filter_map(|place| of_step(kit, place, root))
        .chain(claims(kit, sheet, root))
        .unzip();
    let controls = live.controls.iter().zip(&live.choices).map(|(id, choices): (&ControlId, _)| {
        let control = kit.book.control(*id);
        Control {
            id: control.id.clone(),
            name: control.name.clone(),
            choices: choices.iter().map(|choice| control.print(*choice)).collect(),
        }
    });
    let builds =
        (0..kit.book.builds.len() as u32).map(|build| kit.book.build_name(crate::book::BuildId(build)));
    let (mut parts, mut connectors, mut wires) = (Vec::new(), Vec::new(), Vec::new());
    for &thing in kit.drawings.shown(sheet) {
        let anchor = address::shown_anchor(kit.book, thing);
        match thing {
            Item::Part(part) => parts.push((anchor, card::part(kit, part, root))),
            Item::Connector(connector) => connectors.push((anchor, card::connector(kit, connector, root))),
            Item::Wire(wire) => wires.push((anchor, card::wire(kit, wire, root))),
        }
    }
    parts.sort_by_key(|(_, card)| natural(&card.id));
    connectors.sort_by_key(|(_, card)| natural(&card.id));
    wires.sort_by_key(|(_, card)| natural(&card.id));
    let view = Circuit {
        parts,
        connectors,
        wires,
        drawing: kit.drawings.svg(kit.say(), sheet, None, Use::Live),
        key: Flow::ALL
            .iter()
            .map(|flow| (flow.class(), kit.words.text(&format!("flow.{}", flow.class()))))
            .collect(),
        controls: controls.collect(),
        builds: if kit.book.options.is_empty() { Vec::new() } else { builds.collect() },
        complete: live.complete,
        states: live.builds.iter().map(BTreeMap::len).sum(),
        operation: operation::table(kit, sheet, root).html(kit),
        statements,
        data: escape::script(&packed::pack(kit, sheet, &shown)),
        chrome,
    };
    kit.templates.page("circuit.html", &path, &view)
}

/// A step's statement with the states that show it.
fn of_step<'k>(kit: &Kit<'k>, place: Place, root: Root) -> Option<(Statement, Shown<'k>)> {
    let exhibits = kit.illustrations.steps.get(&place)?;
    let section = kit.book.section(place);
    let Role::Step(step) = &section.role else {
        return None;
    };
    let anchor = address::step_anchor(kit.book, place);
    let shown = shown(&anchor, exhibits, &step.expects);
    let first = exhibits.first();
    let statement = Statement {
        anchor,
        words: section.title.clone(),
        from: kit.places(&[place], root).remove(0),
        state: first.map_or_else(Vec::new, |exhibit| kit.say().off_rest(&exhibit.evidence.settings)),
        readings: readings(kit, exhibits, &step.expects, root),
    };
    Some((statement, shown))
}

/// The claims about a sheet, each with the states that show it.
fn claims<'k>(kit: &Kit<'k>, sheet: SheetId, root: Root) -> Vec<(Statement, Shown<'k>)> {
    let about = |claim: &Claim| {
        claim_sheet(kit.book, claim) == Some(sheet) && kit.book.page(claim.page).kind != PageKind::Study
    };
    let of_claim = |(index, claim): (usize, &Claim)| {
        let exhibits = &kit.illustrations.claims[index];
        let anchor = address::claim_anchor(ClaimId(index as u32));
        let shown = shown(&anchor, exhibits, &claim.expects);
        let page = Link {
            text: kit.book.page(claim.page).title.clone(),
            href: root.to(&address::page(kit.book, claim.page)),
            here: false,
        };
        let statement = Statement {
            anchor,
            words: claim.words.clone(),
            from: page,
            state: kit.say().setup(&claim.setup),
            readings: readings(kit, exhibits, &claim.expects, root),
        };
        (statement, shown)
    };
    kit.book.claims.iter().enumerate().filter(|(_, claim)| about(claim)).map(of_claim).collect()
}

/// The checkout steps about a sheet.
fn step_places(kit: &Kit, sheet: SheetId) -> Vec<Place> {
    let pages = kit.book_pages().filter(|page| kit.book.page(*page).sheet == Some(sheet));
    pages
        .flat_map(|page| {
            let sections = 0..kit.book.page(page).sections.len() as u32;
            sections.map(move |section| Place { page, section })
        })
        .filter(|place| matches!(kit.book.section(*place).role, Role::Step(_)))
        .collect()
}

/// A statement's states, with what a person sees of the faces that it speaks of.
fn shown<'e>(anchor: &str, exhibits: &'e [Exhibit], expects: &[Expect]) -> Shown<'e> {
    let states = exhibits.iter().map(|exhibit| {
        let mut readings: BTreeMap<(PartId, usize), Reading> =
            exhibit.evidence.seen.iter().map(|(&face, &seen)| (face, Reading::Steady(seen))).collect();
        for (expect, witness) in expects.iter().zip(&exhibit.witnesses) {
            if let Subject::Face { part, element } = expect.subject
                && readings.contains_key(&(part, element))
            {
                readings.insert((part, element), witness.reading);
            }
        }
        (&exhibit.evidence, readings)
    });
    Shown { anchor: anchor.to_string(), states: states.collect() }
}

/// What is read in each build, builds with the same readings together.
fn readings(kit: &Kit, exhibits: &[Exhibit], expects: &[Expect], root: Root) -> Vec<Readings> {
    let mut groups: Vec<(Vec<crate::book::BuildId>, Vec<ReadingRow>)> = Vec::new();
    for exhibit in exhibits {
        let rows: Vec<ReadingRow> = expects
            .iter()
            .zip(&exhibit.witnesses)
            .filter(|(_, witness)| witness.reading != Reading::Nothing)
            .map(|(expect, witness)| reading_row(kit, expect, witness, root))
            .collect();
        match groups.iter_mut().find(|(_, known)| *known == rows) {
            Some((builds, _)) => builds.push(exhibit.evidence.build),
            None => groups.push((vec![exhibit.evidence.build], rows)),
        }
    }
    let group = |(builds, rows): (Vec<crate::book::BuildId>, Vec<ReadingRow>)| {
        let fitted: Vec<bool> = (0..kit.book.builds.len() as u32)
            .map(|build| builds.contains(&crate::book::BuildId(build)))
            .collect();
        Readings { only: kit.say().only(&fitted), builds: kit.build_list(&fitted), rows }
    };
    groups.into_iter().map(group).collect()
}

fn reading_row(kit: &Kit, expect: &Expect, witness: &Witness, root: Root) -> ReadingRow {
    let say = kit.say();
    ReadingRow {
        subject: kit.linked(&say.subject(expect.subject), root),
        said: say.look(Some(expect.subject), &expect.look),
        shows: say.reading(expect.subject, &witness.reading),
        volts: say.volts(witness.volts),
        amps: say.amps(witness.amps),
        why: witness.why.as_ref().map_or_else(String::new, |why| kit.linked(&say.why(why), root)),
    }
}
