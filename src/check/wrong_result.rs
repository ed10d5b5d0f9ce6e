//! Finds an expected result that the circuit does not give.

use super::describe;
use crate::book::{Book, Expect, Role};
use crate::finding::{About, Code, Finding, Findings};
use crate::proof::Proof;
use crate::proof::statements::{Source, Statement};

/// Puts every failed step result into words.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    for fact in &proof.statements {
        let Source::Step { place, expect } = fact.source else {
            continue;
        };
        let section = book.section(place);
        let Role::Step(step) = &section.role else { continue };
        let stated = &step.expects[expect];
        if let Some(finding) = finding(book, Code::WrongResult, stated, fact) {
            findings.push(finding.remark(About::Step, &section.title));
        }
    }
}

/// The finding for a statement that failed somewhere.
pub fn finding(book: &Book, code: Code, stated: &Expect, fact: &Statement) -> Option<Finding> {
    let failure = fact.failure.as_ref()?;
    let name = describe::subject(book, stated.subject);
    let finding = match &failure.reading {
        Ok(reading) => {
            let gives = reading.words(book.looks(stated.subject));
            Finding::new(
                code,
                stated.span,
                format!("the circuit does not give `{}`: {name} is {gives}", stated.text),
            )
        }
        Err(upset) => {
            let finding =
                Finding::new(code, stated.span, format!("the circuit does not give `{}`", stated.text));
            super::upset(finding, book, upset)
        }
    };
    let state = describe::state(book, failure.build, &failure.corner);
    let finding = describe::reason(book, finding, failure.why.as_ref());
    let finding = describe::drivers(book, finding, &failure.drivers);
    Some(finding.remark(
        About::Seen,
        match fact.held {
            0 => format!("every state that was tried, first {state}"),
            held => format!("{state}; it holds in {held} of {} states", fact.judged),
        },
    ))
}
