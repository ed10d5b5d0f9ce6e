//! Turns each authoring slip of `planted/plants.toml` into an edit of the clean book `planted/blade`, and looks for its
//! finding at its line.

use crate::book::{Files, folder, judge};
use serde::Deserialize;
use std::collections::BTreeSet;

/// The list of slips.
#[derive(Deserialize)]
struct Plants {
    plant: Vec<Plant>,
}

/// One slip and what must be found.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Plant {
    kind: String,
    /// File, what stands there exactly once, and what the author wrote instead.
    edits: Vec<(String, String, String)>,
    finds: String,
    /// The file with the finding; the first edited one unless given.
    #[serde(rename = "in")]
    file: Option<String>,
    /// Texts, each searched for after the one before; the line of the last is the finding's.
    at: Vec<String>,
}

fn plants() -> Vec<Plant> {
    let list: Plants = toml::from_str(include_str!("planted/plants.toml")).expect("a list of plants");
    list.plant
}

impl Plant {
    fn apply(&self, clean: &Files) -> Files {
        let mut files = clean.clone();
        for (file, from, to) in &self.edits {
            let text = files.get_mut(file).expect("a file of the book");
            let times = text.matches(from.as_str()).count();
            assert_eq!(times, 1, "{}: {from:?} stands {times} times in {file}", self.kind);
            *text = text.replacen(from.as_str(), to, 1);
        }
        files
    }

    /// The file and line that the finding must point at, in the edited book.
    fn place<'a>(&'a self, files: &Files) -> (&'a str, usize) {
        let file = self.file.as_ref().unwrap_or(&self.edits[0].0);
        let text = &files[file];
        let at = self.at.iter().fold(0, |from, needle| {
            from + text[from..]
                .find(needle.as_str())
                .unwrap_or_else(|| panic!("{}: no {needle:?} in {file}", self.kind))
        });
        (file, text[..at].matches('\n').count() + 1)
    }

    /// What is wrong with the findings for this slip, if anything.
    fn miss(&self, clean: &Files) -> Option<String> {
        let files = self.apply(clean);
        let judged = judge(&files);
        let place = self.place(&files);
        let found = judged
            .findings
            .iter()
            .any(|finding| finding.code.name() == self.finds && judged.place(finding) == place);
        (!found).then(|| {
            let (kind, code, (file, line)) = (&self.kind, &self.finds, place);
            format!("{kind}: no {code} at {file}:{line}, but\n{}", judged.listing())
        })
    }
}

#[test]
fn the_clean_book_has_no_finding() {
    let judged = judge(&folder("tests/planted/blade"));
    assert_eq!(judged.listing(), "");
    assert_eq!(judged.book.parts.len(), 18);
    assert!(judged.proof.faults.iter().filter(|fault| fault.shown.is_some()).count() > 100);
}

#[test]
fn every_slip_is_found_at_its_line() {
    let clean = folder("tests/planted/blade");
    let plants = plants();
    let misses: Vec<String> = plants.iter().filter_map(|plant| plant.miss(&clean)).collect();
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}

#[test]
fn the_kinds_of_slips_are_many_and_all_different() {
    let plants = plants();
    let kinds: BTreeSet<&str> = plants.iter().map(|plant| plant.kind.as_str()).collect();
    assert_eq!(kinds.len(), plants.len());
    let codes: BTreeSet<&str> = plants.iter().map(|plant| plant.finds.as_str()).collect();
    assert!(codes.len() >= 40, "{} codes", codes.len());
}
