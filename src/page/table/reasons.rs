//! Turns what a vehicle lacks without a part, or with the part bridged, into the sentences that say why the part is there.

use super::parts::{name, parts_of};
use super::{Cell, Filled};
use crate::book::{ControlId, PartId, Setting, SheetId, Strength, Subject};
use crate::page::kit::Kit;
use crate::proof::Seen;
use crate::proof::reasons::{Difference, Reason, Way};

pub fn fill(kit: &Kit, sheet: Option<SheetId>) -> Filled {
    let mut parts = parts_of(kit, sheet);
    parts.retain(|&part| !part_reasons(kit, part).is_empty());
    Filled::with(
        kit,
        parts,
        &[
            ("part", |_, part| Cell::thing(part)),
            ("name", name),
            ("reason", |kit, part| Cell::Naming(part_reasons(kit, part).join(" "))),
        ],
    )
}

/// Why a part is there, as sentences: what changes without it, and what when it is bridged.
pub fn part_reasons(kit: &Kit, part: PartId) -> Vec<String> {
    let reasons = kit.proof.reasons.iter().filter(|reason| reason.part == part);
    reasons.filter_map(|reason| reason_words(kit, reason)).collect()
}

fn reason_words(kit: &Kit, reason: &Reason) -> Option<String> {
    let difference = reason.difference.as_ref()?;
    let key = match reason.way {
        Way::TakenOut => "reason.without",
        Way::Bridged => "reason.bridged",
    };
    let say = kit.say();
    let rest = |setting: &&(ControlId, Setting)| kit.book.control(setting.0).rest() != setting.1;
    let state: Vec<String> =
        difference.settings.iter().filter(rest).map(|(control, to)| say.setting(*control, *to)).collect();
    let state = match state.is_empty() {
        true => kit.words.text("reason.at-rest"),
        false => state.join(", "),
    };
    Some(kit.words.fill(key, &[("state", &state), ("change", &change_words(kit, difference))]))
}

/// What is different: at most three changes, for a reader wants a reason, not a list.
fn change_words(kit: &Kit, difference: &Difference) -> String {
    let say = kit.say();
    if difference.upset {
        return kit.words.text("reason.upset");
    }
    let blows =
        difference.blows.iter().map(|part| kit.words.fill("reason.blows", &[("part", &say.part(*part))]));
    let changes = difference.changes.iter().map(|(part, element, was, is)| {
        let subject = Subject::Face { part: *part, element: *element };
        let word = |seen: &Seen| match seen.backwards && seen.strength != Strength::Off {
            true => kit.words.text("look.backwards"),
            false => say.strength(Some(subject), seen.strength),
        };
        let values = [("part", &*say.subject(subject)), ("is", &*word(is)), ("was", &*word(was))];
        kit.words.fill("reason.change", &values)
    });
    let all: Vec<String> = blows.chain(changes).collect();
    let mut shown = all[..all.len().min(3)].join(", ");
    if all.len() > 3 {
        let more = kit.words.fill("reason.more", &[("n", &(all.len() - 3).to_string())]);
        shown.push_str(&format!(", {more}"));
    }
    shown
}
