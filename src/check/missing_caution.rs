//! Finds a page that has hands work near moving machines or live feeds and shows no caution before it.

use crate::book::{Book, Expect, Face, Look, Page, Prose, Role, Signal, Strength, Subject, signal};
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;

/// Names pages whose steps move machines without a warning before.
pub fn check(book: &Book, _: &Proof, findings: &mut Findings) {
    for page in &book.pages {
        let Some(at) = page.sections.iter().position(|section| moves(book, &section.role)) else {
            continue;
        };
        if !warned(page, at) {
            let section = &page.sections[at];
            findings.push(
                Finding::new(
                    Code::MissingCaution,
                    section.span,
                    "this step moves a machine, and no warning stands before it",
                )
                .hint("put `> **WARNING**` with the hazard and how to avoid it before the first such step"),
            );
        }
    }
}

fn moves(book: &Book, role: &Role) -> bool {
    let expects: &[Expect] = match role {
        Role::Step(step) => &step.expects,
        Role::Test(test) => &test.expects,
        _ => return false,
    };
    expects.iter().any(|expect| {
        let Subject::Face { part, element } = expect.subject else {
            return false;
        };
        let face = book.part(part).elements[element].face();
        let machine = matches!(face, Some(Face::Motor { .. } | Face::Starter | Face::Valve));
        machine && !matches!(expect.look, Look::Is(Strength::Off))
    })
}

fn warned(page: &Page, at: usize) -> bool {
    page.sections[..=at].iter().any(|section| holds_warning(&section.prose))
}

fn holds_warning(prose: &Prose) -> bool {
    (0..prose.len()).any(|at| signal(prose, at).is_some_and(Signal::injures))
}
