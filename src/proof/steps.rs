//! Turns a checkout step on the bench into its readings, and says which expected results hold.

use super::script::{Branch, Stated};
use crate::bench::{Bench, Reading, Rig, Upset, seconds_needed};
use crate::book::{Act, Book, Page, PageId, Place, Role, Step, Subject};

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

/// Does what the step says.
pub fn set(bench: &mut Bench, acts: &[Act]) -> Result<(), Upset> {
    bench.listen();
    acts.iter().try_for_each(|act| bench.act(act).map(|_| ()))
}

/// Looks at the step's results after its acts are done.
pub fn look(bench: &mut Bench, expects: &[Stated], branches: &[Branch]) -> Result<Outcome, Upset> {
    let rig = bench.rig();
    let symptoms = branches.iter().flat_map(|branch| &branch.when);
    let stated: Vec<Stated> = expects.iter().chain(symptoms).copied().collect();
    let subjects: Vec<Subject> = stated.iter().map(|stated| stated.subject).collect();
    let needs = expects.iter().map(|expect| seconds_needed(expect.look)).fold(0.0, f64::max);
    let clicks: Vec<bool> = subjects.iter().map(|subject| bench.clicked(*subject)).collect();
    let readings = bench.observe(&subjects, needs)?;
    let fits =
        |at: usize| fitted(rig, stated[at].subject).then(|| readings[at].is(stated[at].look, clicks[at]));
    let holds: Vec<Option<bool>> = (0..expects.len()).map(fits).collect();
    let mut outcome = Outcome { holds, branch: None, readings: Vec::new() };
    if !outcome.passes() {
        let mut at = expects.len();
        for (index, branch) in branches.iter().enumerate() {
            let count = branch.when.len();
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
pub fn fitted(rig: &Rig, subject: Subject) -> bool {
    subject.part().is_none_or(|part| rig.vehicle.part(part).fitted[rig.build.index()])
}
