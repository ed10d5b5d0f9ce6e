//! Turns a proof and its live states into the questions of each sheet, of all kinds in turn.

use super::desk::Desk;
use super::lot::{Lot, hash, keyed};
use super::question::{Answer, Ask, LEAST_WRONG, Made, Question, Sort};
use super::{apart, loads, meter, path, showing, technicians, wiring};
use crate::bench::{Bench, Rig};
use crate::book::{Book, Instrument, Item, PageId, PartId, Place, SheetId};
use crate::proof::corners::middle;
use crate::proof::coverage::Showing;
use crate::proof::field::Field;
use crate::proof::live::Live;
use crate::proof::scope::Scope;
use crate::proof::script::Script;
use crate::proof::{Fleet, Proof};
use rayon::prelude::*;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// After so many draws without a new question a kind has no more to give.
const PATIENCE: usize = 24;

/// What a book's questions and the numbers of its labs are drawn with when its author gives no seed.
const SEED: u64 = 19;

/// What a book's questions and the numbers of its labs are drawn with: the same book gives the same ones, and one of another
/// class others.
pub fn seed(book: &Book) -> u64 {
    book.manual.study.seed.as_deref().map_or(SEED, keyed)
}

/// How many questions of a sheet a study pack draws from: two of each kind for the worksheet, one of each for either test form.
pub const EACH: usize = 48;

/// Draws `count` questions of each sheet, of all kinds in turn; `seed` is as a rule the book's [`seed`], `live` is
/// [`crate::proof::Illustrations::live`].
pub fn ask(book: &Book, proof: &Proof, live: &[Live], seed: u64, count: usize) -> Vec<Question> {
    let fleet = Fleet::of(book);
    let mut routes: BTreeMap<SheetId, Vec<&[Showing]>> = BTreeMap::new();
    for route in proof.faults.chunk_by(|one, next| (one.page, one.build) == (next.page, next.build)) {
        if let Some(sheet) = book.page(route[0].page).sheet {
            routes.entry(sheet).or_default().push(route);
        }
    }
    live.par_iter()
        .flat_map_iter(|live| {
            let routes = routes.get(&live.sheet).cloned().unwrap_or_default();
            let field = field(book, proof, live, &routes);
            let rigs: Vec<Rig> = fleet.iter().map(|rig| field.awake(rig)).collect();
            let rests = rigs.iter().map(|rig| Bench::new(rig, middle(rig)));
            let Ok(rests) = rests.collect::<Result<Vec<Bench>, _>>() else {
                return Vec::new();
            };
            let desk = Desk {
                book,
                rests: &rests,
                routes,
                live,
                proof,
                sheet: live.sheet,
                set_up: RefCell::default(),
            };
            of_sheet(&desk, seed, count)
        })
        .collect()
}

/// What a sheet's questions bring to life: its drawing, what its parts are there for, its checkouts and their faults.
fn field(book: &Book, proof: &Proof, live: &Live, routes: &[&[Showing]]) -> Field {
    let shown = routes.iter().copied().flatten().filter(|showing| showing.shown.is_some());
    let pages: BTreeSet<PageId> = shown.clone().map(|showing| showing.page).collect();
    let reasons = proof.reasons.iter();
    let reasons = reasons.filter(|reason| book.part(reason.part).sheet == live.sheet);
    let differences = reasons.filter_map(|reason| reason.difference.as_ref());
    let moved = differences.clone().flat_map(|difference| &difference.settings);
    let changed = differences.flat_map(|difference| &difference.changes);
    let drawing = Field::of_scope(&Scope::of(book, live.sheet)).worked(live.controls.iter().copied());
    let pages = pages.into_iter().map(|page| Script::whole(book, page).field);
    let mut all = pages
        .fold(drawing, Field::and)
        .worked(moved.map(|(control, _)| *control))
        .faults(shown.map(|showing| book.fault(showing.fault)));
    all.touched.extend(changed.map(|(part, ..)| Item::Part(*part)));
    all
}

fn of_sheet(desk: &Desk, seed: u64, count: usize) -> Vec<Question> {
    let mut lot = Lot::new(seed, &desk.book.sheets[desk.sheet.index()].id);
    let mut left: Vec<Sort> = Sort::ALL.to_vec();
    let mut known = BTreeSet::new();
    let mut questions = Vec::new();
    while !left.is_empty() && questions.len() < count {
        for sort in left.clone() {
            if questions.len() == count {
                break;
            }
            let drawn = (0..PATIENCE).find_map(|_| {
                let question = question(desk, sort, make(desk, sort, &mut lot)?);
                known.insert(question.id.clone()).then_some(question)
            });
            match drawn {
                Some(question) => questions.push(question),
                None => left.retain(|other| *other != sort),
            }
        }
    }
    questions
}

fn make(desk: &Desk, sort: Sort, lot: &mut Lot) -> Option<Made> {
    let made = match sort {
        Sort::Load => loads::load(desk, lot),
        Sort::Removed => loads::removed(desk, lot),
        Sort::Path => path::path(desk, lot),
        Sort::Contact => path::contact(desk, lot),
        Sort::Meter => meter::meter(desk, lot, Instrument::Voltmeter),
        Sort::TestLight => meter::meter(desk, lot, Instrument::TestLight),
        Sort::Symptom => showing::symptom(desk, lot),
        Sort::Step => showing::step(desk, lot),
        Sort::Apart => apart::apart(desk, lot),
        Sort::Wire => wiring::wire(desk, lot),
        Sort::Cavity => wiring::cavity(desk, lot),
        Sort::Technicians => technicians::technicians(desk, lot),
    }?;
    (made.choices.len() > LEAST_WRONG).then_some(made)
}

fn question(desk: &Desk, sort: Sort, made: Made) -> Question {
    let text =
        format!("{} {sort:?} {}", desk.book.sheets[desk.sheet.index()].id, canonical(desk.book, &made));
    Question {
        id: format!("Q-{:06x}", hash(&text) & 0xff_ffff),
        sheet: desk.sheet,
        sort,
        scene: made.scene,
        ask: made.ask,
        choices: made.choices,
        facts: made.facts,
        place: made.place,
    }
}

/// What is asked, in the ids of the author: numbers would change with every new part.
fn canonical(book: &Book, made: &Made) -> String {
    let scene = made.scene.as_ref().map_or_else(String::new, |scene| {
        format!("{}; {}", book.build_name(scene.build), book.step_line().setup(&scene.setup()).join(", "))
    });
    let section = |place: Place| format!("{}#{}", book.page(place.page).path, book.section(place).anchor);
    let face = |part: PartId, element: usize| book.step_line().face(part, element);
    let asked = match &made.ask {
        Ask::Loads(subjects) => {
            subjects.iter().map(|subject| book.step_line().subject(*subject)).collect::<Vec<_>>().join(" ")
        }
        Ask::Path { part, element } | Ask::Contact { part, element } => face(*part, *element),
        Ask::Meter(instrument) => instrument.word().to_string(),
        Ask::Symptom { step, fails } => {
            let Answer::Fault(fault) = made.choices[0].answer else {
                unreachable!("a symptom is asked for its fault")
            };
            format!("{} {fails:?} {}", section(*step), book.fault(fault).name)
        }
        Ask::Step { fault, page } => format!("{} {}", book.fault(*fault).name, book.page(*page).path),
        Ask::Apart { faults, step } => {
            let names = faults.map(|fault| book.fault(fault).name.clone());
            format!("{} {}", section(*step), names.join(" "))
        }
        Ask::Wire { part, terminal } => book.part(*part).terminal_name(*terminal),
        Ask::Cavity { wire, connector } => {
            format!("{} {}", book.wire(*wire).id, book.connector(*connector).id)
        }
        Ask::Technicians(said) => said
            .iter()
            .map(|said| {
                format!("{:?} {} {:?}", said.of, book.step_line().subject(said.subject), said.reading)
            })
            .collect::<Vec<_>>()
            .join(" "),
    };
    format!("{scene}; {asked}")
}
