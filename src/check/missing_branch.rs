//! Finds a reading that no branch covers, a procedure that goes round, and a test at which nothing can be read.

use super::describe;
use crate::book::{Book, Role};
use crate::finding::{About, Code, Finding, Findings};
use crate::proof::Proof;
use crate::proof::tables::trail;
use crate::proof::trouble::{End, Walk};

/// Names tests where a walk stopped.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    let broken = proof.faults.iter().filter_map(|showing| {
        let walk = showing.shown.as_ref()?.walk.as_ref()?;
        Some((walk, Some(showing.fault)))
    });
    let healthy = proof.healthy.iter().map(|healthy| (&healthy.walk, None));
    let mut seen = Vec::new();
    for (walk, fault) in broken.chain(healthy) {
        let Some(finding) = stop(book, walk) else {
            continue;
        };
        if seen.contains(&(finding.code, finding.span)) {
            continue;
        }
        seen.push((finding.code, finding.span));
        let vehicle = fault.map_or("the healthy vehicle".to_string(), |fault| book.fault(fault).name.clone());
        findings.push(finding.remark(About::Seen, format!("{vehicle}: {}", trail(book, walk))));
    }
}

fn stop(book: &Book, walk: &Walk) -> Option<Finding> {
    let (code, place, headline) = match &walk.end {
        End::At { .. } => return None,
        End::NoBranch(place) => {
            let Role::Test(test) = &book.section(*place).role else {
                return None;
            };
            let last = walk.trail.last()?;
            let subject = test.reads?;
            let reading = last.reading.words(book.looks(subject));
            let headline =
                format!("no branch covers the reading: {} is {reading}", describe::subject(book, subject));
            (Code::MissingBranch, place, headline)
        }
        End::Endless(place) => {
            (Code::EndlessLoop, place, "the procedure goes round and reaches no verdict".to_string())
        }
        End::Upset { place, .. } => (Code::Unsolved, place, "nothing can be read at this test".to_string()),
        End::NoTest(place) => (Code::NoVerdict, place, "this procedure has no test".to_string()),
    };
    let span = match &book.section(*place).role {
        Role::Test(test) => test.span,
        _ => book.section(*place).span,
    };
    let finding = Finding::new(code, span, headline);
    Some(match &walk.end {
        End::Upset { upset, .. } => super::upset(finding, book, upset),
        _ => finding,
    })
}
