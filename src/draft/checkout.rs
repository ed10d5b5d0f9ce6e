//! Turns a sheet into a checkout page: states of the controls, from simple to complex, that show its faults, as source to edit.

use super::lineup::is_optional;
use super::survey::{Survey, differs, do_all, is_machine, looks};
use super::wording::{capital, warning};
use crate::bench::{Bench, Rig, Upset};
use crate::book::{Act, Book, Face, FaultId, Look, PartId, Setting, SheetId, Strength, Subject};
use crate::proof::corners::middle;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::fmt::Write;

/// A drafted checkout page.
#[derive(Debug, Clone, PartialEq)]
pub struct Checkout {
    /// The page's source.
    pub text: String,
    pub steps: usize,
    /// The faults of the sheet's own items that some build can have.
    pub faults: usize,
    /// Those that no step shows in some build that can have them.
    pub unshown: Vec<FaultId>,
}

/// Drafts the checkout of a sheet.
///
/// States are taken level by level, by how many controls are off rest; within a level, the one first that shows most
/// faults not shown yet, of those the one with fewest changes from the last. What each load does there is computed from
/// the healthy vehicle along the very path, in all builds and corners; a load is stated when it works, when it is a
/// machine that moves on the way, or when a fault shows in it. A step that shows no fault is left out.
pub fn checkout(book: &Book, rigs: &[Rig], sheet: SheetId) -> Checkout {
    let mut survey = Survey::of(book, rigs, sheet);
    let mut path = path(book, &survey);
    let walk = loop {
        survey.subjects.extend(movers(book, rigs, &survey, &path));
        let walk = Walk::of(book, rigs, &survey, &path);
        let idle = walk.steps.iter().position(|step| step.shown.is_empty());
        match idle {
            Some(at) => drop(path.remove(at)),
            None => break walk,
        }
    };
    Checkout {
        text: page(book, sheet, &survey, &walk),
        steps: walk.steps.len(),
        faults: survey.faults.len(),
        unshown: walk.unshown.iter().map(|&fault| survey.faults[fault]).collect(),
    }
}

/// The settings of each step.
fn path(book: &Book, survey: &Survey) -> Vec<Vec<Setting>> {
    let mut left: BTreeSet<usize> = (0..survey.faults.len()).collect();
    let mut path: Vec<Vec<Setting>> = Vec::new();
    let mut now: Vec<Setting> = survey.controls.iter().map(|&control| book.control(control).rest()).collect();
    let levels: BTreeSet<(usize, usize)> = survey.states.iter().map(|state| state.level).collect();
    for level in levels {
        loop {
            let best = survey
                .states
                .iter()
                .filter(|state| state.level == level)
                .map(|state| {
                    let new = state.shows.intersection(&left).count();
                    let changes = state.settings.iter().zip(&now).filter(|(a, b)| a != b).count();
                    (new, std::cmp::Reverse(changes), state)
                })
                .rev()
                .max_by_key(|&(new, changes, _)| (new, changes));
            let Some((new, _, state)) = best else { break };
            if new == 0 {
                break;
            }
            left.retain(|fault| !state.shows.contains(fault));
            now = state.settings.clone();
            path.push(state.settings.clone());
        }
    }
    path
}

/// Machines anywhere in the vehicle that move on the way and are not looked at yet.
fn movers(book: &Book, rigs: &[Rig], survey: &Survey, path: &[Vec<Setting>]) -> BTreeSet<Subject> {
    let steps = steps(book, survey, path);
    let mut found = BTreeSet::new();
    for rig in rigs {
        let Ok(mut bench) = Bench::new(rig, middle(rig)) else {
            continue;
        };
        for act in steps.iter().flatten() {
            if bench.act(act).is_err() {
                break;
            }
            found.extend(bench.moving().into_iter().map(|(part, element)| Subject::Face { part, element }));
        }
    }
    found.retain(|subject| !survey.subjects.contains(subject));
    found
}

/// The acts of each step.
fn steps(book: &Book, survey: &Survey, path: &[Vec<Setting>]) -> Vec<Vec<Act>> {
    let mut now: Vec<Setting> = survey.controls.iter().map(|&control| book.control(control).rest()).collect();
    let steps = path.iter().map(|settings| {
        let acts = survey.acts(book, &now, settings);
        now.clone_from(settings);
        acts
    });
    steps.collect()
}

/// A path walked by the healthy vehicle and under every fault.
struct Walk {
    steps: Vec<Stage>,
    /// The faults, by their index, that some build passes with.
    unshown: BTreeSet<usize>,
}

struct Stage {
    acts: Vec<Act>,
    /// For each subject, what the healthy vehicle shows.
    looks: Vec<Option<Look>>,
    /// For each fault that shows here first in some build, the subjects it shows in.
    shown: Vec<BTreeSet<usize>>,
    /// Subjects that move while the step is set.
    moving: BTreeSet<usize>,
}

impl Walk {
    fn of(book: &Book, rigs: &[Rig], survey: &Survey, path: &[Vec<Setting>]) -> Walk {
        let acts = steps(book, survey, path);
        let slices: Vec<&[Act]> = acts.iter().map(Vec::as_slice).collect();
        let looks = looks(book, rigs, &slices, &survey.subjects)
            .unwrap_or_else(|| vec![vec![None; survey.subjects.len()]; acts.len()]);
        let cases: Vec<(usize, &Rig)> = (0..survey.faults.len())
            .flat_map(|fault| rigs.iter().map(move |rig| (fault, rig)))
            .filter(|&(fault, rig)| book.fault(survey.faults[fault]).is_in(rig.build))
            .collect();
        let shown: Vec<(usize, Option<First>)> = cases
            .par_iter()
            .map(|&(fault, rig)| (fault, first_shown(book, rig, survey, fault, &acts, &looks)))
            .collect();
        let mut walk = Walk { steps: Vec::new(), unshown: BTreeSet::new() };
        let moving = acts.iter().map(|_| BTreeSet::new()).collect();
        let moving = moving_on_the_way(rigs, survey, &acts, moving);
        for ((acts, looks), moving) in acts.into_iter().zip(looks).zip(moving) {
            walk.steps.push(Stage { acts, looks, shown: Vec::new(), moving });
        }
        for (fault, first) in shown {
            match first {
                Some((step, subjects)) => walk.steps[step].shown.push(subjects),
                None => {
                    walk.unshown.insert(fault);
                }
            }
        }
        walk
    }
}

/// The first step that shows a fault, and the subjects it shows in.
type First = (usize, BTreeSet<usize>);

/// Where a fault shows first in a build.
fn first_shown(
    book: &Book,
    rig: &Rig,
    survey: &Survey,
    fault: usize,
    steps: &[Vec<Act>],
    looks: &[Vec<Option<Look>>],
) -> Option<First> {
    let mut bench = Bench::new(rig, middle(rig)).ok()?;
    bench.plant(book.fault(survey.faults[fault])).ok()?;
    for (step, acts) in steps.iter().enumerate() {
        do_all(&mut bench, acts).ok()?;
        let readings = bench.observe(&survey.subjects, 0.0).ok()?;
        let subjects: BTreeSet<usize> = differs(&looks[step], &readings).collect();
        if !subjects.is_empty() {
            return Some((step, subjects));
        }
    }
    None
}

/// The subjects that move in any build while each step is set.
fn moving_on_the_way(
    rigs: &[Rig],
    survey: &Survey,
    steps: &[Vec<Act>],
    mut moving: Vec<BTreeSet<usize>>,
) -> Vec<BTreeSet<usize>> {
    let mut follow = |rig: &Rig| -> Result<(), Upset> {
        let mut bench = Bench::new(rig, middle(rig))?;
        for (step, acts) in steps.iter().enumerate() {
            for act in acts {
                bench.act(act)?;
                let now = bench.moving().into_iter().map(|(part, element)| Subject::Face { part, element });
                moving[step].extend(
                    now.filter_map(|face| survey.subjects.iter().position(|&subject| subject == face)),
                );
            }
            bench.observe(&survey.subjects, 0.0)?;
        }
        Ok(())
    };
    // A build that does not come to rest has its finding elsewhere; what moved until then is kept.
    rigs.iter().for_each(|rig| drop(follow(rig)));
    moving
}

impl Stage {
    /// The subjects that the step states: what works, what moves, and enough of the rest for every fault to show.
    fn stated(&self, book: &Book, survey: &Survey) -> BTreeSet<usize> {
        let works = |&at: &usize| match &self.looks[at] {
            None => false,
            Some(Look::Is(Strength::Off)) => self.moving.contains(&at),
            Some(Look::Reads(_)) => at_work(book, survey.subjects[at]),
            Some(_) => true,
        };
        let mut stated: BTreeSet<usize> = (0..self.looks.len()).filter(works).collect();
        loop {
            let blind: Vec<&BTreeSet<usize>> =
                self.shown.iter().filter(|subjects| subjects.is_disjoint(&stated)).collect();
            let candidates: BTreeSet<usize> =
                blind.iter().flat_map(|subjects| subjects.iter().copied()).collect();
            let most = candidates
                .into_iter()
                .rev()
                .max_by_key(|at| blind.iter().filter(|subjects| subjects.contains(at)).count());
            match most {
                Some(most) => drop(stated.insert(most)),
                None => return stated,
            }
        }
    }
}

/// A pointer that stands anywhere but at rest says as much as a lamp that is lit; it is stated where a fault shows in it.
fn at_work(book: &Book, subject: Subject) -> bool {
    match subject {
        Subject::Face { part, element } => {
            !matches!(book.part(part).elements[element].face(), Some(Face::Gauge { .. }))
        }
        _ => true,
    }
}

fn page(book: &Book, sheet: SheetId, survey: &Survey, walk: &Walk) -> String {
    let data = &book.sheets[sheet.index()];
    let mut text = format!(
        "+++\ntitle = \"{} checkout\"\nkind = \"checkout\"\ncircuit = \"{}\"\n+++\n\n",
        data.title, data.id
    );
    let mut running: BTreeSet<PartId> = BTreeSet::new();
    for (stage, at) in walk.steps.iter().flat_map(|stage| (0..stage.looks.len()).map(move |at| (stage, at))) {
        let works =
            stage.moving.contains(&at) || !matches!(stage.looks[at], None | Some(Look::Is(Strength::Off)));
        if let Subject::Face { part, .. } = survey.subjects[at]
            && works
            && is_machine(book, survey.subjects[at])
        {
            running.insert(part);
        }
    }
    text.push_str(&warning(book, &running, "will move in these steps"));
    text.push_str("Begin with everything at rest and plugged in. Each step goes on from where the last one left the vehicle.\n");
    for (index, stage) in walk.steps.iter().enumerate() {
        let number = index + 1;
        let acts: Vec<String> = stage.acts.iter().map(|act| book.step_line().act(act)).collect();
        let title = if acts.is_empty() { "All at rest".to_string() } else { capital(&acts.join(", ")) };
        let _ = write!(text, "\n## Step {number}: {title} {{#c{number}}}\n\n");
        if !acts.is_empty() {
            let _ = writeln!(text, "- Set: {}", acts.join(", "));
        }
        let stated = stage.stated(book, survey);
        let text_of =
            |at: &usize| Some(book.step_line().expect(survey.subjects[*at], stage.looks[*at].as_ref()?));
        let all: Vec<String> = stated.iter().filter_map(text_of).collect();
        let _ = writeln!(text, "- Expect: {}", all.join(", "));
        let optional = |at: &usize| is_optional(book, survey.subjects[*at]);
        let (some, every): (Vec<&BTreeSet<usize>>, Vec<&BTreeSet<usize>>) =
            stage.shown.iter().partition(|subjects| subjects.intersection(&stated).all(optional));
        let shared: Vec<String> = stated.iter().filter(|at| !optional(at)).filter_map(text_of).collect();
        let procedures = format!("{}-trouble.md#t{number}", data.id);
        if !some.is_empty() && !every.is_empty() {
            let _ = writeln!(text, "- If {}: [Procedure {number}b]({procedures}b)", shared.join(", "));
        }
        let _ = writeln!(text, "- If not: [Procedure {number}]({procedures})");
    }
    text
}
