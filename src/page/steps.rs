//! Turns checkout steps and troubleshooting tests into what a page or a printed sheet shows of them.

use super::address::{self, Root};
use super::escape::escape;
use super::kit::{Kit, Link};
use crate::book::{Act, Expect, Place, Role, Step, Subject, Target, Test};
use serde::Serialize;

/// A checkout step.
#[derive(Debug, Clone, Serialize)]
pub struct StepView {
    /// HTML, in order.
    pub acts: Vec<Line>,
    pub expects: Vec<ExpectView>,
    pub branches: Vec<Branch>,
    /// Where the step's evidence is.
    pub evidence: Option<String>,
}

/// What is done, as HTML; `sets` tells the vehicle's own controls from a technician's hands.
#[derive(Debug, Clone, Serialize)]
pub struct Line {
    pub sets: bool,
    pub html: String,
}

/// An expected result.
#[derive(Debug, Clone, Serialize)]
pub struct ExpectView {
    /// HTML: what is looked at, linked.
    pub subject: String,
    pub look: String,
    /// The builds that have it; nothing when all do.
    pub builds: Option<String>,
    pub only: Option<String>,
    /// Instruments give a number that belongs on paper.
    pub number: bool,
}

/// Where a failed step or a reading leads.
#[derive(Debug, Clone, Serialize)]
pub struct Branch {
    /// HTML: the symptom or the readings.
    pub when: String,
    /// `go`, `verdict` or `good`.
    pub kind: String,
    /// The words of the way on: a procedure's or a test's title, or the verdict, as HTML.
    pub then: String,
    pub href: Option<String>,
    /// The number of the test or sheet to go on with, for paper.
    pub number: Option<String>,
    /// What a verdict blames, as HTML.
    pub blames: String,
}

/// A test of a procedure.
#[derive(Debug, Clone, Serialize)]
pub struct TestView {
    pub acts: Vec<Line>,
    /// HTML: what is read; none for a test that only leads on.
    pub reads: Option<String>,
    pub number: bool,
    /// The way to what is read, or handled last, in the live drawing.
    pub drawing: Option<String>,
    pub expects: Vec<ExpectView>,
    pub branches: Vec<Branch>,
}

/// A step for a page at `root`.
pub fn step(kit: &Kit, place: Place, step: &Step, root: Root) -> StepView {
    let sheet = kit.book.page(place.page).sheet;
    let branches = step.branches.iter().map(|branch| {
        let when = match &branch.when {
            Some(symptoms) => {
                let symptoms = kit.say().expects(symptoms);
                kit.linked(&kit.words.fill("step.if", &[("symptom", &symptoms.join(", "))]), root)
            }
            None => escape(&kit.words.text("step.if-not")),
        };
        go(kit, when, branch.to, place, root)
    });
    StepView {
        acts: lines(kit, &step.acts, root),
        expects: expects(kit, &step.expects, root),
        branches: branches.collect(),
        evidence: sheet.filter(|_| kit.illustrations.steps.contains_key(&place)).map(|sheet| {
            let anchor = address::step_anchor(kit.book, place);
            root.to(&format!("{}#{anchor}", address::circuit(kit.book, sheet)))
        }),
    }
}

/// A test for a page at `root`.
pub fn test(kit: &Kit, place: Place, test: &Test, root: Root) -> TestView {
    let branches = test.outcomes.iter().map(|outcome| {
        let looks: Vec<String> = outcome.looks.iter().map(|look| kit.say().look(test.reads, look)).collect();
        let when = match (test.reads, looks.is_empty()) {
            (None, _) => String::new(),
            (Some(_), true) => escape(&kit.words.text("test.else")),
            (Some(_), false) => escape(&looks.join(&kit.words.text("test.or"))),
        };
        match &outcome.to {
            Target::Go(to) => go(kit, when, *to, place, root),
            Target::Verdict { words, blames } => {
                let blamed: Vec<String> = blames.iter().map(|suspect| kit.say().suspect(suspect)).collect();
                Branch {
                    when,
                    kind: "verdict".to_string(),
                    then: kit.linked(&kit.say().verdict(words, blames), root),
                    href: None,
                    number: None,
                    blames: kit.linked(&blamed.join(", "), root),
                }
            }
            Target::Good { words } => Branch {
                when,
                kind: "good".to_string(),
                then: kit.linked(words, root),
                href: None,
                number: None,
                blames: String::new(),
            },
        }
    });
    TestView {
        acts: lines(kit, &test.acts, root),
        reads: test.reads.map(|subject| kit.linked(&kit.say().subject(subject), root)),
        number: test.reads.is_some_and(gives_number),
        drawing: kit.book.section(place).role.items().pop().and_then(|thing| kit.in_drawing(thing, root)),
        expects: expects(kit, &test.expects, root),
        branches: branches.collect(),
    }
}

fn go(kit: &Kit, when: String, to: Place, from: Place, root: Root) -> Branch {
    let section = kit.book.section(to);
    let title = if to.page == from.page || section.title.is_empty() {
        section.title.clone()
    } else {
        kit.place_title(to)
    };
    Branch {
        when,
        kind: "go".to_string(),
        then: escape(&title),
        href: Some(root.to(&address::place(kit.book, to))),
        number: None,
        blames: String::new(),
    }
}

/// What is done, line by line.
pub fn lines(kit: &Kit, acts: &[Act], root: Root) -> Vec<Line> {
    let line = |act: &Act| Line {
        sets: matches!(act, Act::Set { .. }),
        html: kit.linked(&kit.say().act(act), root),
    };
    acts.iter().map(line).collect()
}

fn expects(kit: &Kit, expects: &[Expect], root: Root) -> Vec<ExpectView> {
    let view = |expect: &Expect| {
        let fitted = match expect.subject {
            Subject::Face { part, .. } | Subject::Relay { part, .. } => Some(&kit.book.part(part).fitted),
            Subject::Instrument(_) => None,
        };
        ExpectView {
            subject: kit.linked(&kit.say().subject(expect.subject), root),
            look: kit.say().look(Some(expect.subject), &expect.look),
            builds: fitted.and_then(|fitted| kit.build_list(fitted)),
            only: fitted.and_then(|fitted| kit.say().only(fitted)),
            number: gives_number(expect.subject) || matches!(expect.look, crate::book::Look::Reads(_)),
        }
    };
    expects.iter().map(view).collect()
}

/// Whether an instrument shows a number rather than a light.
fn gives_number(subject: Subject) -> bool {
    use crate::book::Instrument::{ContinuityLight, FusedJumper, Jumper, TestLight};
    match subject {
        Subject::Instrument(tool) => !matches!(tool, TestLight | ContinuityLight | Jumper | FusedJumper),
        _ => false,
    }
}

/// The sections that lead to each section: branches of steps and tests, and links in prose.
pub fn leads(book: &crate::book::Book) -> std::collections::BTreeMap<Place, Vec<Place>> {
    use pulldown_cmark::{Event, Tag};
    let mut found: std::collections::BTreeMap<Place, Vec<Place>> = Default::default();
    let mut note = |to: Place, from: Place| {
        let places = found.entry(to).or_default();
        if to != from && !places.contains(&from) {
            places.push(from);
        }
    };
    for (index, page) in book.pages.iter().enumerate() {
        for (section, content) in page.sections.iter().enumerate() {
            let from = Place { page: crate::book::PageId(index as u32), section: section as u32 };
            match &content.role {
                Role::Step(step) => step.branches.iter().for_each(|branch| note(branch.to, from)),
                Role::Test(test) => {
                    for outcome in &test.outcomes {
                        if let Target::Go(to) = outcome.to {
                            note(to, from);
                        }
                    }
                }
                Role::Text | Role::Procedure | Role::Question(_) => {}
            }
            for event in content.prose.iter().chain(&content.after) {
                if let Event::Start(Tag::Link { dest_url, .. }) = event
                    && let Some(to) = dest_url.strip_prefix("page:").and_then(|address| find(book, address))
                {
                    note(to, from);
                }
            }
        }
    }
    found
}

/// The section that a resolved link leads to.
fn find(book: &crate::book::Book, address: &str) -> Option<Place> {
    let (path, anchor) = address.split_once('#')?;
    let page = book.pages.iter().position(|page| page.path == path)?;
    let section = book.pages[page].sections.iter().position(|section| section.anchor == anchor)?;
    Some(Place { page: crate::book::PageId(page as u32), section: section as u32 })
}

/// Links to what leads to a section, for a page at `root`.
pub fn led_from(kit: &Kit, place: Place, root: Root) -> Vec<Link> {
    kit.leads.get(&place).map_or_else(Vec::new, |places| kit.places(places, root))
}
