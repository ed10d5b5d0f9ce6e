//! Turns facts into findings: one problem, one file. What each means is told in `src/finding/manual`.

mod dead_branch;
pub mod describe;
mod doubtful;
mod false_claim;
mod harmful_hand;
mod missing_branch;
mod missing_caution;
mod needless_acceptance;
mod needless_suspect;
mod no_reason;
mod sneak_path;
mod unhandled_fault;
mod unknown_question;
mod unshown_fault;
mod wrong_result;
mod wrong_verdict;

use crate::book::Book;
use crate::finding::{About, Code, Finding, Findings};
use crate::proof::{Proof, Trouble, Upset};
use doubtful::doubtful;

/// What puts one sort of problem into words.
type Check = fn(&Book, &Proof, &mut Findings);

/// Checks of what stands on a page or a sheet for itself.
const OF_THE_VEHICLE: &[Check] = &[
    wrong_result::check,
    false_claim::check,
    sneak_path::check,
    no_reason::check,
    harmful_hand::check,
    missing_caution::check,
    unknown_question::check,
];

/// Checks of where faults show and what they lead to: they need checkouts that the healthy vehicle passes.
const OF_ITS_FAULTS: &[Check] = &[
    unshown_fault::check,
    needless_acceptance::check,
    unhandled_fault::check,
    wrong_verdict::check,
    needless_suspect::check,
    missing_branch::check,
    dead_branch::check,
];

/// Puts everything that a proof found wrong into words; what may only follow from something else that is wrong is counted
/// alone.
pub fn check(book: &Book, proof: &Proof) -> Findings {
    let doubtful = doubtful(book, proof);
    let mut kept = Findings::default();
    for (checks, files) in [(OF_THE_VEHICLE, &book.unread), (OF_ITS_FAULTS, &doubtful.files)] {
        let mut found = Findings::default();
        checks.iter().for_each(|check| check(book, proof, &mut found));
        (0..found.held_back()).for_each(|_| kept.hold_back());
        for finding in found.sorted() {
            match doubtful.vehicle || files.contains(&finding.span.file) {
                true => kept.hold_back(),
                false => kept.push(finding),
            }
        }
    }
    kept
}

/// A finding for a vehicle that does not come to rest or cannot be solved: that is what is wrong then, whatever was stated.
fn upset(finding: Finding, book: &Book, upset: &Upset) -> Finding {
    let code = match upset {
        Upset::Chatter(_) | Upset::Race(_) => Code::Chatter,
        Upset::Trouble(Trouble::Contradictory { .. }) => Code::FightingSources,
        Upset::Trouble(_) => Code::Unsolved,
    };
    Finding { code, ..finding }.remark(About::Why, describe::upset(book, upset))
}
