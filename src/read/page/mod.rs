//! Turns the Markdown files of a book into resolved pages: first all files into sections, so that every place is known,
//! then links, steps, tests, claims and figures.

mod address;
mod event;
mod fact;
mod field;
mod front;
mod line;
mod link;
mod mask;
mod place;
mod prose;
mod question;
mod section;
mod step;
mod stray;
mod told;
mod verdict;

pub use address::LINKS;
pub use front::{FRONT, STUDY};
pub use line::LINES;

use super::index::Index;
use super::log::Log;
use super::statement::Reader;
use crate::book::{Book, Claim, Figure, Page, PageId, PageKind, Role, Section};
use crate::finding::Code;
use crate::source::{FileId, Placed};
use fact::Facts;
use front::Front;
use place::Places;
use section::Raw;

/// A page cut into sections, nothing of it resolved.
pub struct Draft<'a> {
    file: FileId,
    path: String,
    front: Front,
    sections: Vec<Raw<'a>>,
}

/// Reads every page of the book, in the manual's order.
pub fn read(order: &[Placed<String>], book: &mut Book, index: &Index, log: &Log) {
    let facts = Facts::of(book, index, log);
    let drafts: Vec<Draft> = files(order, log)
        .into_iter()
        .map(|(file, path)| {
            let text = log.text(file);
            let (front, start) = front::read(file, &path, text, index, log);
            let steps = matches!(front.kind, PageKind::Checkout | PageKind::Troubleshooting);
            let sections = section::cut(file, start, steps, &facts);
            Draft { file, path, front, sections }
        })
        .collect();
    let places = Places::of(&drafts);
    let mut resolved = Resolved::default();
    let mut pages = Vec::new();
    for (number, draft) in drafts.into_iter().enumerate() {
        let reader = Reader { book, index, log };
        let page_id = PageId(number as u32);
        pages.push(page(page_id, draft, &places, &facts, &reader, &mut resolved));
    }
    book.pages = pages;
    book.claims = resolved.claims;
    book.figures = resolved.figures;
}

/// What pages add to the book's own lists.
#[derive(Default)]
pub struct Resolved {
    pub claims: Vec<Claim>,
    pub figures: Vec<Figure>,
}

/// The Markdown files with their paths under `content/`: those that the manual names, in its order, then the others.
fn files(order: &[Placed<String>], log: &Log) -> Vec<(FileId, String)> {
    let mut left: Vec<(FileId, String)> = log
        .sources
        .iter()
        .filter_map(|(file, text)| {
            let path = text.path.strip_prefix("content/")?;
            path.ends_with(".md").then(|| (file, path.to_string()))
        })
        .collect();
    left.sort_by(|a, b| a.1.cmp(&b.1));
    let known: Vec<String> = left.iter().map(|(_, path)| path.clone()).collect();
    let mut found = Vec::new();
    for name in order {
        match left.iter().position(|(_, path)| *path == name.value) {
            Some(at) => found.push(left.remove(at)),
            None if known.contains(&name.value) => {
                log.error(Code::DuplicateId, name.span, format!("the page `{}` stands twice", name.value));
            }
            None => log.unknown(Code::UnknownPage, name.span, "page", name, known.iter().map(String::as_str)),
        }
    }
    found.extend(left);
    found
}

fn page(
    id: PageId,
    draft: Draft,
    places: &Places,
    facts: &Facts,
    reader: &Reader,
    resolved: &mut Resolved,
) -> Page {
    let kind = draft.front.kind;
    let procedures = step::procedures(kind, &draft.sections);
    let mut sections = Vec::new();
    for (number, raw) in draft.sections.into_iter().enumerate() {
        let context = prose::Context { page: id, path: &draft.path, file: draft.file, places, facts, reader };
        let role = match &raw.lines {
            Some(lines) if kind == PageKind::Checkout => Role::Step(step::step(lines, &raw, &context)),
            Some(lines) => Role::Test(step::test(lines, &raw, &context)),
            None if procedures.contains(&number) => Role::Procedure,
            None => Role::Text,
        };
        let prose = prose::resolve(raw.prose, &context, resolved);
        let role = match role {
            Role::Text if kind == PageKind::Study => {
                question::role(&prose, &resolved.claims, raw.span, reader.log)
            }
            role => role,
        };
        sections.push(Section {
            level: raw.level,
            title: raw.title,
            anchor: raw.anchor,
            prose,
            role,
            after: prose::resolve(raw.after, &context, resolved),
            span: raw.span,
        });
    }
    Page {
        path: draft.path,
        file: draft.file,
        title: draft.front.title,
        kind,
        sheet: draft.front.sheet,
        tools: draft.front.tools,
        time: draft.front.time,
        pin: draft.front.pin,
        drop: draft.front.drop,
        sections,
        span: draft.front.span,
    }
}
