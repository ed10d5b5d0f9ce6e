//! Finds a load that works when its intent says it should not, and one that doesn't when it should.

use super::describe;
use crate::book::{Book, Case, Kind, Subject};
use crate::finding::{About, Code, Finding, Findings};
use crate::proof::Proof;
use crate::proof::intent::Wrong;

/// Puts breaches of intent into words, and names loads without one.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    for breach in &proof.intents {
        let intent = &book.intents[breach.intent];
        let name = book.step_line().face(intent.part, intent.element);
        let state = describe::settings(book, &breach.settings);
        let (code, headline) = if breach.seen.is_err() {
            (Code::Unsolved, format!("whether {name} works with {state} cannot be told"))
        } else {
            match breach.wrong {
                Wrong::Works => (Code::SneakPath, format!("{name} works with {state}, against its intent")),
                Wrong::Dead => (Code::DeadFunction, format!("{name} does not work with {state}")),
                Wrong::Otherwise => {
                    let subject = Subject::Face { part: intent.part, element: intent.element };
                    let looks = book.looks(subject);
                    let seen = breach.seen.as_ref().map(|seen| seen.words(looks)).unwrap_or_default();
                    let case = breach.case.map(|case| intent.cases[case].shows.as_slice());
                    let shows = match case {
                        None | Some([]) => &[Case::PLAIN],
                        Some(shows) => shows,
                    };
                    let should: Vec<String> =
                        shows.iter().map(|look| book.step_line().look(Some(subject), look)).collect();
                    let should = should.join(" or ");
                    (Code::DeadFunction, format!("{name} is {seen} with {state}, and should be {should}"))
                }
            }
        };
        let mut finding = Finding::new(code, intent.span, headline);
        if let Err(upset) = &breach.seen {
            finding = super::upset(finding, book, upset);
        }
        if !book.options.is_empty() {
            finding = finding.remark(About::Seen, book.build_name(breach.build));
        }
        if !breach.before.is_empty() {
            let before = breach.before.iter().map(|state| describe::settings(book, state));
            let before = before.collect::<Vec<_>>().join("; then ");
            finding = finding.remark(About::Seen, format!("only after this: {before}"));
        }
        finding = describe::reason(book, finding, breach.why.as_ref());
        finding = describe::drivers(book, finding, &breach.drivers);
        findings.push(
            finding.remark(About::Seen, format!("{} states of the controls that reach it", breach.states)),
        );
    }
    for (index, part) in book.parts.iter().enumerate() {
        for (element, _) in part.faces() {
            let id = crate::book::PartId(index as u32);
            let stated = book.intents.iter().any(|intent| intent.part == id && intent.element == element);
            if !stated && part.kind != Kind::Gauge {
                let name = book.step_line().face(id, element);
                let headline = format!("`{name}` has no intent: nothing says when it should work");
                let hint = format!("add `{name} = \"...\"` under [intent] of its sheet");
                findings.push(Finding::new(Code::NoIntent, part.span, headline).hint(hint));
            }
        }
    }
}
