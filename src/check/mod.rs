//! Turns facts into findings: one problem, one file, with its manual page in front and its tests beside it.

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
mod unused;
mod wrong_result;
mod wrong_verdict;

use crate::book::Book;
use crate::finding::{Code, Finding, Findings};
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
    unused::check,
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

/// Puts everything that a proof found wrong into words, but not what only follows from something else that is wrong.
pub fn check(book: &Book, proof: &Proof) -> Findings {
    let doubtful = doubtful(book, proof);
    let mut kept = Findings::default();
    if doubtful.vehicle {
        return kept;
    }
    for (checks, files) in [(OF_THE_VEHICLE, &book.unread), (OF_ITS_FAULTS, &doubtful.files)] {
        let mut found = Findings::default();
        checks.iter().for_each(|check| check(book, proof, &mut found));
        found.iter().filter(|finding| !files.contains(&finding.span.file)).for_each(|finding| {
            kept.push(finding.clone());
        });
    }
    kept
}

/// The manual page of a code that has one: what it finds, why it matters at the bench, an example, the repair.
pub fn manual(code: Code) -> Option<String> {
    let source = match code {
        Code::WrongResult => include_str!("wrong_result.rs"),
        Code::FalseClaim => include_str!("false_claim.rs"),
        Code::SneakPath | Code::DeadFunction | Code::NoIntent => include_str!("sneak_path.rs"),
        Code::NoReason => include_str!("no_reason.rs"),
        Code::UnshownFault => include_str!("unshown_fault.rs"),
        Code::NeedlessAcceptance => include_str!("needless_acceptance.rs"),
        Code::UnhandledFault => include_str!("unhandled_fault.rs"),
        Code::WrongVerdict | Code::NoVerdict => include_str!("wrong_verdict.rs"),
        Code::NeedlessSuspect => include_str!("needless_suspect.rs"),
        Code::MissingBranch | Code::EndlessLoop => include_str!("missing_branch.rs"),
        Code::DeadBranch | Code::DeadPoint | Code::UnusedProcedure => include_str!("dead_branch.rs"),
        Code::BlownFuse
        | Code::OverloadedWire
        | Code::OverloadedTool
        | Code::LiveOhmmeter
        | Code::UnaskedMotion
        | Code::ImpossibleAct => include_str!("harmful_hand.rs"),
        Code::MissingCaution => include_str!("missing_caution.rs"),
        Code::Unused => include_str!("unused.rs"),
        Code::UnknownQuestion => include_str!("unknown_question.rs"),
        _ => return None,
    };
    let lines = source.lines().take_while(|line| line.starts_with("//!"));
    let text = lines.map(|line| line.trim_start_matches("//!").trim_start_matches(' ')).collect::<Vec<_>>();
    Some(text.join("\n"))
}

/// A finding for a vehicle that does not come to rest or cannot be solved: that is what is wrong then, whatever was stated.
fn upset(finding: Finding, book: &Book, upset: &Upset) -> Finding {
    let code = match upset {
        Upset::Chatter(_) => Code::Chatter,
        Upset::Trouble(Trouble::Contradictory { .. }) => Code::FightingSources,
        Upset::Trouble(_) => Code::Unsolved,
    };
    Finding { code, ..finding }.hint(describe::upset(book, upset))
}
