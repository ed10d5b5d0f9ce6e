//! Turns a verdict's words into a finding when they send the reader to something else than the verdict blames.

use super::fact::{Facts, noun};
use crate::book::{Item, Kind, Suspect};
use crate::finding::{Code, Finding};
use crate::source::Placed;

/// Words after which an id says where something is, and not what is bad.
const WHERE: &[&str] = &[
    "at", "in", "on", "between", "from", "to", "behind", "near", "of", "by", "with", "beside", "above",
    "under", "ahead", "into", "through", "off",
];

/// Words of what is done, after which an id is what is bad again.
const DO: &[&str] = &["replace", "repair", "clean", "check", "find", "fit", "mate"];

/// Words that speak of a group without naming all of it.
const GROUP: &[&str] = &["one of", "any ", "each ", "every ", "whichever", "or a "];

/// Compares a verdict's words with what it blames. Words that name nothing contradict nothing.
pub fn check(words: &Placed<&str>, blames: &[Suspect], facts: &Facts) {
    let (told, _) = facts.fill(words);
    let book = facts.book;
    let mut blamed: Vec<Item> = Vec::new();
    for suspect in blames {
        match *suspect {
            Suspect::Item(item) => blamed.push(item),
            Suspect::Fault(fault) => blamed.push(book.fault(fault).item),
            // A harness is named in words of its own, and so is the stretch of it that is at fault.
            Suspect::Harness { .. } => return,
        }
    }
    let names =
        |items: &[Item]| items.iter().map(|item| book.item_name(*item)).collect::<Vec<_>>().join(", ");
    let report = |span, headline: String, hint: String| {
        facts.log.push(Finding::new(Code::ContradictedFact, span, headline).hint(hint));
    };
    let hint = format!(
        "the verdict blames {}; without words, `[](blame:…)`, its sentence is made from that",
        names(&blamed)
    );
    let lower = told.text.to_lowercase();
    let (mut named, mut at, mut place) = (Vec::new(), 0, false);
    for (piece, item) in facts.names.split(&told.text) {
        let Some(item) = item else {
            for word in piece.split_inclusive([' ', '.', ';', ':', '!', '?']) {
                let bare = word.trim_end_matches([' ', '.', ';', ':', '!', '?', ',']).to_lowercase();
                place = match bare.as_str() {
                    word if WHERE.contains(&word) => true,
                    word if DO.contains(&word) => false,
                    _ => place,
                };
                // A colon that is part of a pin has no space after it.
                if word.len() > 1 && word.ends_with(['.', ';', ':', '!', '?'])
                    || piece.trim_start().starts_with(". ")
                {
                    place = false;
                }
            }
            place &= !piece.starts_with([';', '.', '!']) && !piece.starts_with(": ");
            at += piece.len();
            continue;
        };
        let bytes = at..at + piece.len();
        at = bytes.end;
        named.push(item);
        let pin =
            told.text[at..].strip_prefix(':').is_some_and(|rest| !rest.starts_with(' ') && !rest.is_empty());
        let splice = matches!(item, Item::Part(part) if book.part(part).kind == Kind::Splice);
        let object = !place && !pin && !splice;
        if object && !blamed.contains(&item) && (facts.english || named.len() == 1) {
            let headline = format!("these words name `{piece}`, and the verdict does not blame it");
            return report(told.span(bytes), headline, hint);
        }
    }
    if !facts.english {
        return;
    }
    let nouns: Vec<&str> =
        lower.split(|c: char| !(c.is_alphanumeric() || c == '-')).filter(|word| word.len() > 2).collect();
    let by_name = |item: &Item| {
        let name = facts.name(*item);
        named.contains(item) || (name.len() > 1 && lower.contains(&name))
    };
    // A noun that belongs to an item with its id beside it tells of no other one.
    let by_noun = |item: &Item| {
        nouns.iter().any(|word| {
            let taken = named.iter().any(|named| named != item && facts.fits(word, *named));
            facts.fits(word, *item) && !taken
        })
    };
    let untold: Vec<Item> = blamed.iter().copied().filter(|item| !by_name(item) && !by_noun(item)).collect();
    if untold.len() == blamed.len() {
        // Only a noun that is said of what is to be done counts: `Replace the fuse.`
        let said = nouns.iter().find(|word| noun(word).is_some());
        if let Some(word) = said.filter(|_| DO.iter().any(|act| lower.contains(act))) {
            report(words.span, format!("these words speak of a {word}, and the verdict blames none"), hint);
        }
        return;
    }
    let by_id = blamed.iter().any(|item| named.contains(item));
    if by_id && !untold.is_empty() && !GROUP.iter().any(|group| lower.contains(group)) {
        let headline = format!("the verdict blames {} too, and these words do not say so", names(&untold));
        report(words.span, headline, "name all of them, or say `whichever` or `one of`".to_string());
    }
}
