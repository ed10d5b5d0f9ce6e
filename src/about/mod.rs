//! Turns what is declared of the things that an author may write into the pages of a reference: one page for each topic, each
//! kind of part and each finding.

mod kind;
mod keys;
mod schema;
mod topic;

pub use kind::{Example, example};
pub use schema::schemas;
pub use topic::TOPICS;

use crate::book::Kind;
use crate::finding::Code;

/// What a page of the reference is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    Topic,
    Kind,
    Finding,
}

/// A page of the reference.
pub struct Page {
    /// The word that it is asked for by.
    pub name: &'static str,
    pub group: Group,
    /// What it is about, in one sentence.
    pub tells: String,
    /// In Markdown. A fence names the file that its excerpt stands in.
    pub text: String,
}

impl Group {
    /// Every group, in the order in which they are listed.
    pub const ALL: &[Group] = &[Group::Topic, Group::Kind, Group::Finding];

    /// Its heading.
    pub fn title(self) -> &'static str {
        match self {
            Group::Topic => "Topics",
            Group::Kind => "Kinds of part",
            Group::Finding => "Findings",
        }
    }
}

/// Every page, group by group.
pub fn pages() -> Vec<Page> {
    let topics = TOPICS.iter().map(topic::page);
    let kinds = Kind::ALL.iter().map(|&kind| kind::page(kind));
    let findings = Code::ALL.iter().map(|code| Page {
        name: code.name(),
        group: Group::Finding,
        tells: format!("{}: {}", code.severity().word(), code.meaning()),
        text: code.page().to_string(),
    });
    topics.chain(kinds).chain(findings).collect()
}
