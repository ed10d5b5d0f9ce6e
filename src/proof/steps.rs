//! Turns a checkout step on the bench into its readings, and says which expected results hold.

use crate::bench::{Bench, Reading, Upset, seconds_needed};
use crate::book::{Act, Book, Expect, Page, PageId, Place, Role, Step, StepBranch, Subject, Target};
use std::collections::BTreeSet;

/// What a step gave.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// One for each expected result, then one for each that a branch names.
    pub readings: Vec<Reading>,
    /// For each expected result whether it holds; none where the build lacks the subject.
    pub holds: Vec<Option<bool>>,
    /// The first branch whose symptoms fit, when a result failed.
    pub branch: Option<usize>,
}

impl Outcome {
    /// Whether every result holds.
    pub fn passes(&self) -> bool {
        self.holds.iter().all(|holds| *holds != Some(false))
    }
}

/// The steps of a page with their places.
pub fn steps(page: &Page, id: PageId) -> Vec<(Place, &Step)> {
    let sections = page.sections.iter().enumerate();
    sections
        .filter_map(|(index, section)| match &section.role {
            Role::Step(step) => Some((Place { page: id, section: index as u32 }, step)),
            _ => None,
        })
        .collect()
}

/// The pages of a book that have steps.
pub fn checkouts(book: &Book) -> Vec<PageId> {
    let pages = book.pages.iter().enumerate().map(|(index, page)| (PageId(index as u32), page));
    pages.filter(|(id, page)| !steps(page, *id).is_empty()).map(|(id, _)| id).collect()
}

/// A page and all pages that its steps and tests lead to.
pub fn led_to(book: &Book, page: PageId) -> BTreeSet<PageId> {
    let mut found = BTreeSet::new();
    let mut queue = vec![page];
    while let Some(page) = queue.pop() {
        if !found.insert(page) {
            continue;
        }
        for section in &book.page(page).sections {
            match &section.role {
                Role::Step(step) => queue.extend(step.branches.iter().map(|branch| branch.to.page)),
                Role::Test(test) => {
                    queue.extend(test.outcomes.iter().filter_map(|outcome| match &outcome.to {
                        Target::Go(place) => Some(place.page),
                        _ => None,
                    }))
                }
                _ => {}
            }
        }
    }
    found
}

/// All acts of a page's steps, in order.
pub fn acts(page: &Page) -> impl Iterator<Item = &Act> {
    page.sections.iter().flat_map(|section| match &section.role {
        Role::Step(step) => step.acts.as_slice(),
        _ => &[],
    })
}

/// Does what the step says.
pub fn set(bench: &mut Bench, acts: &[Act]) -> Result<(), Upset> {
    bench.listen();
    acts.iter().try_for_each(|act| bench.act(act).map(|_| ()))
}

/// Looks at the step's results after its acts are done.
pub fn look(bench: &mut Bench, expects: &[Expect], branches: &[StepBranch]) -> Result<Outcome, Upset> {
    let build = bench.rig().build;
    let book = bench.rig().book;
    let stated: Vec<&Expect> =
        expects.iter().chain(branches.iter().flat_map(|branch| branch.when.iter().flatten())).collect();
    let subjects: Vec<Subject> = stated.iter().map(|expect| expect.subject).collect();
    let needs = expects.iter().map(|expect| seconds_needed(&expect.look)).fold(0.0, f64::max);
    let clicks: Vec<bool> = subjects.iter().map(|subject| bench.clicked(*subject)).collect();
    let readings = bench.observe(&subjects, needs)?;
    let fits = |at: usize| {
        fitted(book, stated[at].subject, build.index()).then(|| readings[at].is(&stated[at].look, clicks[at]))
    };
    let holds: Vec<Option<bool>> = (0..expects.len()).map(fits).collect();
    let mut outcome = Outcome { holds, branch: None, readings: Vec::new() };
    if !outcome.passes() {
        let mut at = expects.len();
        for (index, branch) in branches.iter().enumerate() {
            let count = branch.when.as_ref().map_or(0, Vec::len);
            if (at..at + count).all(|at| fits(at) == Some(true)) {
                outcome.branch = Some(index);
                break;
            }
            at += count;
        }
    }
    outcome.readings = readings;
    Ok(outcome)
}

/// Whether a build has what is read.
pub fn fitted(book: &Book, subject: Subject, build: usize) -> bool {
    match subject {
        Subject::Face { part, .. } | Subject::Relay { part, .. } => book.part(part).fitted[build],
        Subject::Instrument(_) => true,
    }
}
