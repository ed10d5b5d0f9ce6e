//! Turns conditions on options into the builds that have a thing.

use super::log::Log;
use crate::book::{Book, Build, BuildId, Condition, End};
use crate::finding::{Code, Finding};
use crate::source::Span;

/// Whether a condition on options holds in a build.
pub fn holds(condition: &Condition, build: &Build) -> bool {
    match condition {
        Condition::Always => true,
        Condition::Option { group, any } => any.contains(&build.choices[*group]),
        Condition::And(all) => all.iter().all(|inner| holds(inner, build)),
        Condition::Or(any) => any.iter().any(|inner| holds(inner, build)),
        Condition::Not(inner) => !holds(inner, build),
        _ => false,
    }
}

/// Works out the builds that have a wire. A wire without a condition of its own is where both its ends are; one with a
/// condition must not ask for an end that the build does not have.
pub fn fit(wire: usize, spans: [Span; 2], book: &mut Book, log: &Log) {
    let mut fitted = Vec::new();
    let mut reported = false;
    let found = &book.wires[wire];
    let stated = found.only != Condition::Always;
    for (number, build) in book.builds.iter().enumerate() {
        let wanted = holds(&found.only, build);
        let absent = found.ends.iter().position(|end| match end {
            End::Terminal { part, .. } => !book.part(*part).fitted[number],
            End::Cavity { .. } => false,
        });
        if let Some(at) = absent
            && wanted
            && stated
            && !reported
        {
            reported = true;
            let headline = format!("`{}` ends on nothing in the build {}", found.id, name(book, number));
            let finding = Finding::new(Code::NotFitted, spans[at], headline);
            log.push(finding.hint("its `only` admits a build that does not have this part"));
        }
        fitted.push(wanted && absent.is_none());
    }
    if !fitted.contains(&true) && !reported {
        let headline = format!("no build has `{}`", found.id);
        let finding = Finding::new(Code::NotFitted, found.span, headline);
        log.push(
            finding
                .hint("the parts at its two ends are never in the same vehicle, or its `only` never holds"),
        );
    }
    book.wires[wire].fitted = fitted;
}

fn name(book: &Book, build: usize) -> String {
    format!("`{}`", book.build_name(BuildId(build as u32)))
}
