//! Turns pages into what hands do and eyes read there, and where that leads: without a word, a span, or what a verdict blames.
//!
//! A walk through a page is proved from its script, so that prose, titles and colors of a page can change and its proof stays.

use super::field::Field;
use crate::book::{self, Act, Book, Expect, Look, PageId, Place, Subject, Target};
use std::collections::BTreeMap;

/// What a subject is said to show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stated<'b> {
    pub subject: Subject,
    pub look: &'b Look,
}

/// What is stated, without the author's words.
pub fn stated(expects: &[Expect]) -> Vec<Stated<'_>> {
    expects.iter().map(|expect| Stated { subject: expect.subject, look: &expect.look }).collect()
}

/// A checkout step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step<'b> {
    pub acts: &'b [Act],
    pub expects: Vec<Stated<'b>>,
    pub branches: Vec<Branch<'b>>,
}

/// Where a failed step leads; no symptoms for `If not`.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch<'b> {
    pub when: Vec<Stated<'b>>,
    pub to: Place,
}

/// A test of a troubleshooting procedure.
#[derive(Debug, Clone, PartialEq)]
pub struct Test<'b> {
    pub acts: &'b [Act],
    pub reads: Option<Subject>,
    /// What else is said to happen.
    pub announced: Vec<Subject>,
    pub outcomes: Vec<Outcome<'b>>,
}

/// A branch of a test.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome<'b> {
    pub looks: &'b [Look],
    /// None where the procedure ends.
    pub to: Option<Place>,
}

/// What a section is to a walk.
#[derive(Debug, Clone, PartialEq)]
pub enum Role<'b> {
    Step(Step<'b>),
    Procedure,
    Test(Test<'b>),
    /// Nothing.
    Text,
}

/// A page's sections, with those of pages that it leads to.
#[derive(Debug, Clone, PartialEq)]
pub struct Script<'b> {
    pub page: PageId,
    /// What all of them name.
    pub field: Field,
    pages: BTreeMap<PageId, Vec<Role<'b>>>,
}

impl<'b> Script<'b> {
    /// A page alone.
    pub fn alone(book: &'b Book, page: PageId) -> Script<'b> {
        let roles: Vec<&book::Role> = book.page(page).sections.iter().map(|section| &section.role).collect();
        let field = Field::of_roles(&roles);
        let roles = roles.into_iter().map(Role::of).collect();
        Script { page, field, pages: BTreeMap::from([(page, roles)]) }
    }

    /// A page and all pages that its steps and tests lead to.
    pub fn whole(book: &'b Book, page: PageId) -> Script<'b> {
        let mut whole = Script { page, field: Field::default(), pages: BTreeMap::new() };
        let mut queue = vec![page];
        while let Some(page) = queue.pop() {
            if whole.pages.contains_key(&page) {
                continue;
            }
            let alone = Script::alone(book, page);
            let roles = alone.pages.values().flatten();
            queue.extend(roles.flat_map(Role::leads).map(|place| place.page));
            whole.pages.extend(alone.pages);
            whole.field = whole.field.and(alone.field);
        }
        whole
    }

    /// The pages, in the book's order.
    pub fn pages(&self) -> impl Iterator<Item = PageId> {
        self.pages.keys().copied()
    }

    /// The page's own steps with their places.
    pub fn steps(&self) -> Vec<(Place, &Step<'b>)> {
        let sections = self.pages[&self.page].iter().zip(0..);
        let steps = sections.filter_map(|(role, section)| match role {
            Role::Step(step) => Some((Place { page: self.page, section }, step)),
            _ => None,
        });
        steps.collect()
    }

    /// The test at a place: the section itself, or the first test below a procedure's heading.
    pub fn test_at(&self, place: Place) -> Option<(Place, &Test<'b>)> {
        let sections = self.pages[&place.page].iter().zip(0..).skip(place.section as usize);
        for (role, section) in sections {
            match role {
                Role::Test(test) => return Some((Place { section, ..place }, test)),
                Role::Step(_) => return None,
                Role::Procedure if section != place.section => return None,
                _ => {}
            }
        }
        None
    }
}

impl<'b> Step<'b> {
    /// A step of the book.
    pub fn of(step: &'b book::Step) -> Step<'b> {
        let branches = step.branches.iter().map(|branch| Branch {
            when: branch.when.as_deref().map(stated).unwrap_or_default(),
            to: branch.to,
        });
        Step { acts: &step.acts, expects: stated(&step.expects), branches: branches.collect() }
    }
}

impl<'b> Test<'b> {
    fn of(test: &'b book::Test) -> Test<'b> {
        let outcomes = test.outcomes.iter().map(|outcome| Outcome {
            looks: &outcome.looks,
            to: match outcome.to {
                Target::Go(place) => Some(place),
                Target::Verdict { .. } | Target::Good { .. } => None,
            },
        });
        Test {
            acts: &test.acts,
            reads: test.reads,
            announced: test.expects.iter().map(|expect| expect.subject).collect(),
            outcomes: outcomes.collect(),
        }
    }
}

impl<'b> Role<'b> {
    fn of(role: &'b book::Role) -> Role<'b> {
        match role {
            book::Role::Step(step) => Role::Step(Step::of(step)),
            book::Role::Procedure => Role::Procedure,
            book::Role::Test(test) => Role::Test(Test::of(test)),
            book::Role::Text | book::Role::Question(_) => Role::Text,
        }
    }

    fn leads(&self) -> Vec<Place> {
        match self {
            Role::Step(step) => step.branches.iter().map(|branch| branch.to).collect(),
            Role::Test(test) => test.outcomes.iter().filter_map(|outcome| outcome.to).collect(),
            Role::Procedure | Role::Text => Vec::new(),
        }
    }
}
