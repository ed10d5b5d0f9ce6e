//! Turns the book into its first page: what to do when something fails, and each system with its pages at one glance.

use super::Output;
use super::address;
use super::kit::{Chrome, Kit, Link};
use crate::book::{PageKind, Role, SheetId};
use serde::Serialize;

/// The view of `contents.html`.
#[derive(Debug, Clone, Serialize)]
pub struct Contents {
    pub chrome: Chrome,
    /// Pages that belong to no system, in reading order.
    pub general: Vec<Link>,
    pub systems: Vec<System>,
    /// Each checkout step's symptom is a way in.
    pub counts: Counts,
}

/// A system with its pages.
#[derive(Debug, Clone, Serialize)]
pub struct System {
    pub title: String,
    pub href: String,
    pub pages: Vec<Link>,
    pub parts: usize,
    pub wires: usize,
    pub steps: usize,
    pub procedures: usize,
}

/// How much the book holds.
#[derive(Debug, Clone, Serialize)]
pub struct Counts {
    pub parts: usize,
    pub wires: usize,
    pub statements: usize,
    pub faults: usize,
}

/// The first page.
pub fn page(kit: &Kit) -> Output {
    let path = "index.html";
    let chrome = kit.chrome(path, &kit.book.manual.title, None);
    let general = kit.book_pages().filter(|page| kit.book.page(*page).sheet.is_none());
    let view = Contents {
        general: general
            .map(|page| Link {
                text: kit.book.page(page).title.clone(),
                href: address::page(kit.book, page),
                here: false,
            })
            .collect(),
        systems: kit.sheets().into_iter().map(|sheet| system(kit, sheet)).collect(),
        counts: Counts {
            parts: kit.book.parts.len(),
            wires: kit.book.wires.len(),
            statements: kit.proof.statements.len(),
            faults: kit.proof.metrics.faults,
        },
        chrome,
    };
    kit.templates.page("contents.html", path, &view)
}

fn system(kit: &Kit, sheet: SheetId) -> System {
    let pages = kit.chrome("index.html", "", Some(sheet)).tabs;
    let roles = |wanted: &dyn Fn(&Role) -> bool, kind: Option<PageKind>| {
        let own = kit.pages_of(sheet).into_iter().map(|page| kit.book.page(page));
        let own = own.filter(|page| kind.is_none_or(|kind| page.kind == kind));
        own.flat_map(|page| &page.sections).filter(|section| wanted(&section.role)).count()
    };
    System {
        title: kit.book.sheets[sheet.index()].title.clone(),
        href: kit.system_page(sheet),
        pages,
        parts: kit.book.parts.iter().filter(|part| part.sheet == sheet).count(),
        wires: kit.book.wires.iter().filter(|wire| wire.sheet == sheet).count(),
        steps: roles(&|role| matches!(role, Role::Step(_)), None),
        procedures: roles(&|role| matches!(role, Role::Procedure), None),
    }
}
