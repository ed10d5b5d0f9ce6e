//! Finds a claim in the text that the circuit does not bear out.

use super::wrong_result::finding;
use crate::book::Book;
use crate::finding::{About, Code, Finding, Findings};
use crate::proof::Proof;
use crate::proof::statements::Source;

/// Puts every false claim into words, and every claim that speaks of no build at all.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    for fact in &proof.statements {
        let Source::Claim { claim, expect } = fact.source else {
            continue;
        };
        let claim = &book.claims[claim.index()];
        let stated = &claim.expects[expect];
        if claim.refuted && fact.failure.is_some() {
            let headline = format!("`{}` is not wrong: it holds in a state", claim.words);
            let finding = Finding::new(Code::FalseClaim, stated.span, headline);
            findings.push(finding.hint("a wrong choice must be false in every build and at every corner"));
        } else if let Some(finding) = finding(book, Code::FalseClaim, stated, fact) {
            findings.push(finding);
        } else if fact.judged == 0 {
            let headline = format!("no build of the vehicle can show `{}`", stated.text);
            findings.push(Finding::new(Code::FalseClaim, claim.span, headline).remark(
                About::Why,
                "the options, parts or faults that the claim names never come together in one build",
            ));
        }
    }
}
