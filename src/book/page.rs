//! The pages: prose, checkout steps and troubleshooting procedures, resolved.

use super::{Act, Book, ClaimId, Expect, Item, Look, PageId, SheetId, Subject, Suspect};
use crate::source::{FileId, Span};
use pulldown_cmark::Event;

/// Markdown as parsed, with its addresses resolved. `claim:3` and `figure:2` are indices into the book's lists;
/// `page:lift-trouble.md#t2` and `image:images/a.png` are paths relative to `content/`; `part:K4`, `wire:W41`,
/// `connector:X12`, `sheet:lift-power` and `fault:W41 open` name things of the book; anything else leads out of it.
pub type Prose = Vec<Event<'static>>;

/// One content file.
#[derive(Debug, Clone)]
pub struct Page {
    /// Relative to `content/`, with `/`.
    pub path: String,
    pub file: FileId,
    pub title: String,
    pub kind: PageKind,
    /// The circuit that it is about.
    pub sheet: Option<SheetId>,
    /// From the front matter: tools beyond the instruments that the steps use.
    pub tools: Vec<String>,
    /// From the front matter: the time it takes, as the author puts it.
    pub time: Option<String>,
    /// From the front matter of a study page: the generated questions that its sheet's pack must have or must not have.
    pub pin: Vec<(String, Span)>,
    pub drop: Vec<(String, Span)>,
    pub sections: Vec<Section>,
    /// The span of the title.
    pub span: Span,
}

/// What a page is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PageKind {
    Theory,
    Checkout,
    Troubleshooting,
    Service,
    Study,
}

/// A heading with what stands under it, up to the next heading. The first section of a page may have level 0 and no title:
/// what stands before the first heading.
#[derive(Debug, Clone)]
pub struct Section {
    pub level: u8,
    pub title: String,
    /// Unique in the page.
    pub anchor: String,
    /// The text before the step's lines, and all text of a section that is no step.
    pub prose: Prose,
    pub role: Role,
    /// The text after the step's lines.
    pub after: Prose,
    /// The span of the heading.
    pub span: Span,
}

/// What a section is to the proof.
#[derive(Debug, Clone)]
pub enum Role {
    Text,
    Step(Step),
    /// The head of a troubleshooting procedure; its tests are the sections below it.
    Procedure,
    Test(Test),
    Question(Question),
}

impl Role {
    /// What a step or a test does.
    pub fn acts(&self) -> &[Act] {
        match self {
            Role::Step(step) => &step.acts,
            Role::Test(test) => &test.acts,
            Role::Text | Role::Procedure | Role::Question(_) => &[],
        }
    }

    /// What a step's or a test's lines touch and look at, in their order.
    pub fn items(&self) -> Vec<Item> {
        let touched = self.acts().iter().flat_map(Act::items);
        let seen: Vec<Subject> = match self {
            Role::Step(step) => {
                let symptoms = step.branches.iter().flat_map(|branch| branch.when.iter().flatten());
                let results = step.expects.iter().chain(symptoms);
                results.map(|expect| expect.subject).collect()
            }
            Role::Test(test) => {
                let announced = test.expects.iter().map(|expect| expect.subject);
                announced.chain(test.reads).collect()
            }
            Role::Text | Role::Procedure | Role::Question(_) => Vec::new(),
        };
        touched.chain(seen.into_iter().filter_map(Subject::item)).collect()
    }

    /// What a test's verdicts blame, in their order.
    pub fn blamed(&self, book: &Book) -> Vec<Item> {
        let Role::Test(test) = self else {
            return Vec::new();
        };
        let verdicts = test.outcomes.iter().filter_map(|outcome| match &outcome.to {
            Target::Verdict { blames, .. } => Some(blames),
            _ => None,
        });
        let items = verdicts.flatten().filter_map(|suspect| match suspect {
            Suspect::Item(item) => Some(*item),
            Suspect::Fault(fault) => Some(book.fault(*fault).item),
            Suspect::Harness { .. } => None,
        });
        items.collect()
    }
}

/// An author's question: the section's title asks it, its list has the choices.
#[derive(Debug, Clone)]
pub struct Question {
    /// The text between the title and the choices.
    pub words: String,
    pub choices: Vec<QuestionChoice>,
}

/// A choice, proved right or proved wrong.
#[derive(Debug, Clone)]
pub struct QuestionChoice {
    pub words: String,
    /// What the author says of it.
    pub because: String,
    pub claim: ClaimId,
}

/// A checkout step: what is done, what must happen, where a failure leads.
#[derive(Debug, Clone)]
pub struct Step {
    pub acts: Vec<Act>,
    pub expects: Vec<Expect>,
    /// First fit wins; the last is usually `If not`.
    pub branches: Vec<StepBranch>,
}

/// Where a failed step leads.
#[derive(Debug, Clone)]
pub struct StepBranch {
    /// The symptom; none for `If not`.
    pub when: Option<Vec<Expect>>,
    pub to: Place,
    pub span: Span,
}

/// A section of a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct Place {
    pub page: PageId,
    /// The index of the section.
    pub section: u32,
}

/// One test of a troubleshooting procedure.
#[derive(Debug, Clone)]
pub struct Test {
    pub acts: Vec<Act>,
    /// What is read; a test without one only acts or ends in its single outcome.
    pub reads: Option<Subject>,
    /// Results that the author announces beside what is read, such as a motor that will run.
    pub expects: Vec<Expect>,
    pub outcomes: Vec<Outcome>,
    /// The span of the `Read:` line, or of the heading.
    pub span: Span,
}

/// One branch of a test.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The readings that take it; empty for `else`.
    pub looks: Vec<Look>,
    pub to: Target,
    pub span: Span,
}

/// Where a branch leads.
#[derive(Debug, Clone)]
pub enum Target {
    Go(Place),
    Verdict {
        /// The author's; empty for a sentence that the book makes of what is blamed.
        words: String,
        blames: Vec<Suspect>,
    },
    /// The procedure ends without blame: all is well.
    Good {
        words: String,
    },
}
