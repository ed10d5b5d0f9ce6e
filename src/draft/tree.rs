//! Turns a sheet's checkout into a troubleshooting page: for each step that shows a fault a procedure, as source to edit.

use super::lineup::{Lineup, Suspect, lineups};
use super::sequence::{Aim, Planner};
use super::trial::{Trial, problem, trials};
use super::verdict;
use super::wording::{announcement, question, title, warning};
use crate::bench::Bench;
use crate::book::{
    Act, Book, Instrument, Item, Look, PageId, PartId, Place, Role, SheetId, Strength, Subject,
};
use crate::proof::Fleet;
use crate::proof::coverage::{Showing, prove_page};
use crate::proof::hands::{What, watch};
use crate::proof::steps;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

/// A drafted troubleshooting page.
#[derive(Debug, Clone, PartialEq)]
pub struct Troubleshooting {
    /// The page's source.
    pub text: String,
    pub procedures: usize,
    pub tests: usize,
}

/// Drafts the troubleshooting page of a sheet from the book's checkouts; none when no checkout is about the sheet.
///
/// A procedure stands where a checkout's links say, as far as they lead to pages about this sheet, or under `#t3` for the
/// third step of the sheet's own checkout where that leads to no page yet. Every fault that a step shows is walked through
/// the tree as it grows, hand by hand, so that a branch is what the vehicle does then and there; at each point the
/// sequence says which test is best for the faults that are left, as if nothing had been tested before.
pub fn troubleshooting(book: &Book, fleet: &Fleet, sheet: SheetId) -> Option<Troubleshooting> {
    let about = |page: PageId| book.page(page).sheet == Some(sheet);
    let leads_here = |page: PageId| {
        let branches = steps::steps(book.page(page), page).into_iter().flat_map(|(_, step)| &step.branches);
        about(page) || branches.into_iter().any(|branch| about(branch.to.page))
    };
    let pages: Vec<PageId> = steps::checkouts(book).into_iter().filter(|&page| leads_here(page)).collect();
    let first = *pages.iter().find(|&&page| about(page))?;
    let showings: Vec<Showing> = pages.iter().flat_map(|&page| prove_page(book, fleet, page)).collect();
    let lineups = lineups(book, fleet, &showings, &|_, place| about(place.page));
    let mut moving = BTreeSet::new();
    let mut procedures = Vec::new();
    for lineup in &lineups {
        procedures.push(procedure(book, lineup, &mut moving));
    }
    let mut text = format!(
        "+++\ntitle = \"{} troubleshooting\"\nkind = \"troubleshooting\"\ncircuit = \"{}\"\n+++\n\n",
        book.sheets[sheet.index()].title,
        book.sheets[sheet.index()].id
    );
    text.push_str(&warning(book, &moving, "may move during these tests"));
    let checkout = file_name(&book.page(first).path);
    let _ = writeln!(
        text,
        "Each procedure begins with the vehicle as the failed step of the [checkout]({checkout}) left it."
    );
    let tests = procedures.iter().map(|(_, tests)| tests).sum();
    for (procedure, _) in &procedures {
        text.push_str(procedure);
    }
    Some(Troubleshooting { text, procedures: procedures.len(), tests })
}

/// The last part of a path: pages that belong together lie in one folder.
fn file_name(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

/// One procedure with its tests, and how many those are.
fn procedure(book: &Book, lineup: &Lineup, moving: &mut BTreeSet<PartId>) -> (String, usize) {
    let number = number(book, lineup);
    let machines = lineup.suspects.iter().flat_map(|suspect| suspect.bench.moving());
    moving.extend(machines.map(|(part, _)| part));
    let labels: Vec<usize> = lineup.suspects.iter().map(|suspect| label(book, suspect)).collect();
    let trials = trials(book, lineup, &labels);
    let mut tree = Tree {
        book,
        lineup,
        anchor: anchor(book, lineup),
        number: number.clone(),
        planner: Planner::new(&problem(lineup, &trials, labels, |trial| trial.seconds), Aim::Mean),
        trials: &trials,
        tests: Vec::new(),
        moving,
    };
    let everyone =
        lineup.suspects.iter().enumerate().map(|(at, suspect)| (at, suspect.bench.clone())).collect();
    let start = tree.grow(everyone, Standing::default());
    if tree.tests.is_empty() {
        tree.tests
            .push(format!("### {number}.1 Only this is left {{#{}-1}}\n\n- Then: {start}\n", tree.anchor));
    }
    let from = lineup.steps.iter().map(|&step| {
        let (page, section) = (book.page(step.page), book.section(step));
        format!("[{}]({}#{})", section.title, file_name(&page.path), section.anchor)
    });
    let mut text = format!(
        "\n## Procedure {number}: {} {{#{}}}\n\nFrom {}.\n",
        title(&book.section(lineup.place).title),
        tree.anchor,
        from.collect::<Vec<_>>().join(" and ")
    );
    for test in &tree.tests {
        text.push('\n');
        text.push_str(test);
    }
    (text, tree.tests.len())
}

/// Suspects of one item have one label; the healthy vehicle has its own.
pub fn label(book: &Book, suspect: &Suspect) -> usize {
    let Some(fault) = suspect.fault else { return 0 };
    match book.fault(fault).item {
        Item::Part(part) => 1 + part.index(),
        Item::Wire(wire) => 1 + book.parts.len() + wire.index(),
        Item::Connector(connector) => 1 + book.parts.len() + book.wires.len() + connector.index(),
    }
}

/// The procedure's own anchor, or `t3` for the third step of its page and `t3b` for its second procedure.
fn anchor(book: &Book, lineup: &Lineup) -> String {
    let Place { page, section } = lineup.place;
    let sections = &book.page(page).sections;
    if !matches!(sections[section as usize].role, Role::Step(_)) {
        return sections[section as usize].anchor.clone();
    }
    let steps = sections[..=section as usize].iter().filter(|section| matches!(section.role, Role::Step(_)));
    format!("t{}{}", steps.count(), if lineup.optional { "b" } else { "" })
}

/// The number in the procedure's own heading, or that of its anchor.
fn number(book: &Book, lineup: &Lineup) -> String {
    let anchor = anchor(book, lineup);
    let given = match book.section(lineup.place).role {
        Role::Step(_) => None,
        _ => book.section(lineup.place).title.strip_prefix("Procedure "),
    };
    let given = given.and_then(|rest| rest.split_once(':')).map(|(number, _)| number.to_string());
    given.unwrap_or_else(|| anchor.strip_prefix('t').unwrap_or(&anchor).to_string())
}

/// What the last test left in place.
#[derive(Debug, Clone, Default)]
struct Standing {
    setup: Vec<Act>,
    lead: Option<Instrument>,
}

/// A procedure while it grows.
struct Tree<'a, 'r> {
    book: &'a Book,
    lineup: &'a Lineup<'r>,
    anchor: String,
    /// What stands before the point in the number of a test.
    number: String,
    planner: Planner,
    trials: &'a [Trial],
    /// The sections, in the order of their numbers.
    tests: Vec<String>,
    moving: &'a mut BTreeSet<PartId>,
}

impl<'r> Tree<'_, 'r> {
    /// Writes the tests for the suspects that are left, and says what leads to them, or the verdict on them.
    fn grow(&mut self, mut left: Vec<(usize, Bench<'r>)>, standing: Standing) -> String {
        let numbers: Vec<usize> = left.iter().map(|(suspect, _)| *suspect).collect();
        let Some(best) = self.planner.next(&numbers) else {
            return self.verdict(&numbers);
        };
        let trial = &self.trials[best];
        let acts = acts(&standing, trial);
        let mut parts: BTreeMap<u8, Vec<(usize, Bench)>> = BTreeMap::new();
        let mut moved = BTreeSet::new();
        for (suspect, bench) in &mut left {
            let outcome = self.carry_out(trial, &acts, *suspect, bench, &mut moved);
            parts.entry(outcome).or_default().push((*suspect, bench.clone()));
        }
        if parts.len() < 2 {
            return self.verdict(&numbers);
        }
        let number = self.tests.len() + 1;
        self.tests.push(String::new());
        let standing = Standing {
            setup: trial.setup.clone(),
            lead: match trial.lead {
                Some(Act::Connect { instrument, .. }) => Some(instrument),
                _ => None,
            },
        };
        let mut branches = Vec::new();
        let shown: Vec<u8> = parts.keys().copied().collect();
        for (outcome, part) in parts {
            let to = self.grow(part, standing.clone());
            branches.push((self.words(trial, outcome, &shown), to));
        }
        self.tests[number - 1] = self.section(number, trial, &acts, &moved, &branches);
        format!("go to [{}.{number}](#{}-{number})", self.number, self.anchor)
    }

    /// Does a test on one vehicle, and takes down what begins to move unasked.
    fn carry_out(
        &self,
        trial: &Trial,
        acts: &[Act],
        suspect: usize,
        bench: &mut Bench,
        moved: &mut BTreeSet<(PartId, usize)>,
    ) -> u8 {
        let fault = self.lineup.suspects[suspect].fault;
        let mut harms = Vec::new();
        let done = watch(bench, acts, self.lineup.place, fault, vec![trial.subject], &mut harms);
        moved.extend(harms.iter().filter_map(|harmed| match harmed.what {
            What::Motion { part, element } => Some((part, element)),
            _ => None,
        }));
        match done.and_then(|()| bench.observe(&[trial.subject], 0.0)) {
            Ok(readings) => trial.outcome(&readings[0]),
            Err(_) => u8::MAX,
        }
    }

    /// The words of an outcome; of three strengths that a person can tell, one that no suspect shows goes with its
    /// neighbor, since a real fault is never quite the planned one.
    fn words(&self, trial: &Trial, outcome: u8, shown: &[u8]) -> String {
        let Some(look) = trial.looks.get(outcome as usize) else {
            return "else".to_string();
        };
        let text = |look: &Look| self.book.step_line().look(Some(trial.subject), look);
        let shows = |strength| trial.looks.iter().position(|look| *look == Look::Is(strength));
        let at = [Strength::Full, Strength::Weak, Strength::Off].map(shows);
        let [Some(full), Some(weak), Some(off)] = at.map(|at| at.map(|at| at as u8)) else {
            return text(look);
        };
        let absent = |at: u8| !shown.contains(&at);
        let with = |strength: u8| match strength {
            _ if strength == outcome => true,
            _ if !absent(strength) => false,
            _ if strength == weak => outcome == off || outcome == full && absent(off),
            _ => outcome == weak,
        };
        let words: Vec<String> = [(full, Strength::Full), (weak, Strength::Weak), (off, Strength::Off)]
            .into_iter()
            .filter(|&(at, _)| with(at))
            .map(|(_, strength)| text(&Look::Is(strength)))
            .collect();
        if words.is_empty() {
            return text(look);
        }
        words.join(", ")
    }

    fn section(
        &mut self,
        number: usize,
        trial: &Trial,
        acts: &[Act],
        moved: &BTreeSet<(PartId, usize)>,
        branches: &[(String, String)],
    ) -> String {
        let book = self.book;
        let mut text = format!(
            "### {}.{number} {} {{#{}-{number}}}\n\n",
            self.number,
            question(book, trial),
            self.anchor
        );
        let running = match trial.subject {
            Subject::Face { part, element } => {
                moved.iter().filter(|&&found| found != (part, element)).copied().collect()
            }
            _ => moved.clone(),
        };
        text.push_str(&announcement(book, &running));
        for act in acts {
            let _ = writeln!(text, "- Do: {}", book.step_line().act(act));
        }
        for &(part, element) in &running {
            let expect = book.step_line().expect(Subject::Face { part, element }, &Look::Is(Strength::Full));
            let _ = writeln!(text, "- Expect: {expect}");
            self.moving.insert(part);
        }
        let _ = writeln!(text, "- Read: {}", book.step_line().subject(trial.subject));
        for (words, to) in branches {
            let _ = writeln!(text, "  - {words}: {to}");
        }
        text
    }

    fn verdict(&self, suspects: &[usize]) -> String {
        let faults = suspects.iter().filter_map(|&suspect| self.lineup.suspects[suspect].fault);
        verdict::text(self.book, faults)
    }
}

/// The hands that lead from what stands to a trial.
fn acts(standing: &Standing, trial: &Trial) -> Vec<Act> {
    let same = standing.setup == trial.setup;
    let next = match trial.lead {
        Some(Act::Connect { instrument, .. }) => Some(instrument),
        _ => None,
    };
    let mut acts = Vec::new();
    if let Some(instrument) = standing.lead
        && (!same || next != standing.lead)
    {
        acts.push(Act::Remove(instrument));
    }
    let undone = standing.setup.iter().rev().filter(|act| !trial.setup.contains(act));
    acts.extend(undone.filter_map(undo));
    acts.extend(trial.setup.iter().filter(|act| !standing.setup.contains(act)).cloned());
    acts.extend(trial.lead.clone());
    acts
}

/// The hand that puts back what another took apart.
fn undo(act: &Act) -> Option<Act> {
    match *act {
        Act::Unplug(part) => Some(Act::Plug(part)),
        Act::OpenConnector(connector) => Some(Act::CloseConnector(connector)),
        Act::Disconnect { wire, end } => Some(Act::Reconnect { wire, end }),
        _ => None,
    }
}
