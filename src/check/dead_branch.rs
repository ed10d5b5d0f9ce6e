//! Finds a branch that no fault reaches, a test that tells nothing, and a procedure that no step leads to.

use crate::book::{Book, PageId, Place, Role, Target};
use crate::finding::{Code, Finding, Findings};
use crate::proof::Proof;

/// Names branches, tests and procedures that no walk used.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    if proof.walks == 0 {
        return;
    }
    for (page_index, page) in book.pages.iter().enumerate() {
        for (section_index, section) in page.sections.iter().enumerate() {
            let Role::Test(test) = &section.role else { continue };
            let place = Place { page: PageId(page_index as u32), section: section_index as u32 };
            let passing = |outcome: usize| {
                let traffic = proof.traffic.iter().find(|t| (t.place, t.outcome) == (place, outcome));
                traffic.map_or((0, 0), |traffic| (traffic.passing.faults.len(), traffic.passing.healthy))
            };
            let passings: Vec<(usize, usize)> = (0..test.outcomes.len()).map(passing).collect();
            if passings.iter().all(|(faults, healthy)| faults + healthy == 0) {
                let headline = "no step leads any vehicle to this test";
                findings.push(Finding::new(Code::UnusedProcedure, section.span, headline));
                continue;
            }
            let faults: usize = passings.iter().map(|(faults, _)| faults).sum();
            let used = passings.iter().filter(|(faults, healthy)| faults + healthy > 0).count();
            for (outcome, (faults, healthy)) in test.outcomes.iter().zip(&passings) {
                let excused = outcome.looks.is_empty() || matches!(outcome.to, Target::Good { .. });
                if faults + healthy == 0 && !excused {
                    let headline = "no fault that comes to this test takes this branch";
                    findings.push(Finding::new(Code::DeadBranch, outcome.span, headline));
                }
            }
            if used == 1 && faults > 1 && test.outcomes.len() > 1 {
                let headline = format!("this test reads the same for all {faults} faults that come to it");
                findings.push(Finding::new(Code::DeadPoint, test.span, headline));
            }
        }
    }
}
