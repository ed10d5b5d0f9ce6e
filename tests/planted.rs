//! Turns each authoring slip of `planted/*.toml` into an edit of the clean book of the same name, and compares everything that
//! is found then with what the list says: its own finding at its line, what follows from it, and nothing else.

use crate::book::{Files, Judged, folder, judge};
use goodground::proof::reasons::Way;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The slips of a book, by what they are about.
type Plants = BTreeMap<String, Vec<Plant>>;

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
    /// What is found beside it because of it: `code file:line` in the edited book.
    #[serde(default)]
    also: Vec<String>,
}

fn plants(book: &str) -> Plants {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/planted/{book}.toml"));
    let list = std::fs::read_to_string(path).expect("the book has a list");
    toml::from_str(&list).expect("a list of plants")
}

fn clean(book: &str) -> Files {
    folder(&format!("tests/planted/{book}"))
}

/// A finding as `also` names it.
fn told(code: &str, (file, line): (&str, usize)) -> String {
    format!("{code} {file}:{line}")
}

/// Everything that was found, one for each finding.
fn all_told(judged: &Judged) -> Vec<String> {
    let findings = judged.findings.iter();
    let mut told: Vec<String> =
        findings.map(|finding| told(finding.code.name(), judged.place(finding))).collect();
    told.sort();
    told
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
        let own = told(&self.finds, self.place(&files));
        let mut wanted: Vec<String> = self.also.iter().chain([&own]).cloned().collect();
        wanted.sort();
        let found = all_told(&judged);
        (found != wanted).then(|| {
            let mut beside = found.clone();
            let seen = beside.iter().position(|finding| *finding == own).map(|at| beside.remove(at));
            let missing = if seen.is_none() { format!("no {own}; ") } else { String::new() };
            format!("{}: {missing}also = {beside:?}\nfor the findings\n{}", self.kind, judged.listing())
        })
    }
}

/// Plants the slips of one kind in their book, one at a time.
fn hold(book: &str, about: &str) {
    let (clean, plants) = (clean(book), plants(book));
    let misses: Vec<String> = plants[about].iter().filter_map(|plant| plant.miss(&clean)).collect();
    assert!(misses.is_empty(), "{} misses\n{}", misses.len(), misses.join("\n"));
}

/// One test for the slips of each kind, so that they run side by side and one can be run alone; and one that none is forgotten.
macro_rules! slips {
    ($book:ident: $($about:ident)*) => {
        mod $book {
            $(#[test]
            fn $about() {
                super::hold(stringify!($book), stringify!($about));
            })*

            #[test]
            fn all_kinds_are_held() {
                let listed: Vec<String> = super::plants(stringify!($book)).into_keys().collect();
                let mut held = vec![$(stringify!($about)),*];
                held.sort();
                assert_eq!(listed, held);
            }
        }
    };
}

slips!(blade: troubleshooting checkout hands intent reading);
slips!(boat: builds corners sheets motor procedures questions);

#[test]
fn the_clean_blade_has_no_finding() {
    let judged = judge(&clean("blade"));
    assert_eq!(judged.listing(), "");
    assert_eq!(judged.book.parts.len(), 18);
    assert!(judged.proof.faults.iter().filter(|fault| fault.shown.is_some()).count() > 100);
}

#[test]
fn the_clean_boat_has_no_finding() {
    let judged = judge(&clean("boat"));
    assert_eq!(judged.listing(), "");
    assert_eq!(judged.book.builds.len(), 3);
    assert_eq!(judged.book.bands.len(), 2);
    assert!(judged.proof.faults.iter().filter(|fault| fault.shown.is_some()).count() > 600);
    let share = judged.proof.metrics.fraction_isolated;
    assert!(0.5 < share[0] && share[0] < share[1] && share[1] < share[2] && share[2] < 1.0, "{share:?}");
}

#[test]
fn bridging_the_pump_of_the_boat_blows_its_fuse_and_no_part_goes_unasked() {
    let judged = judge(&clean("boat"));
    let part = |id: &str| judged.book.find_part(id).expect("a part of the boat");
    let reason = |id: &str, way: Way| {
        let mut reasons = judged.proof.reasons.iter();
        reasons
            .find(|reason| (reason.part, reason.way) == (part(id), way))
            .map(|reason| reason.difference.as_ref())
    };
    let bridged = reason("M1", Way::Bridged).flatten().expect("it makes a difference");
    assert_eq!(bridged.blows, [part("F1")]);
    // Only the last build has it.
    assert!(reason("S8", Way::TakenOut).flatten().is_some());
}

#[test]
fn the_kinds_of_slips_are_many_and_all_different() {
    let plants: Vec<Plant> =
        ["blade", "boat"].into_iter().flat_map(plants).flat_map(|(_, list)| list).collect();
    let kinds: BTreeSet<&str> = plants.iter().map(|plant| plant.kind.as_str()).collect();
    assert_eq!(kinds.len(), plants.len());
    let codes: BTreeSet<&str> = plants.iter().map(|plant| plant.finds.as_str()).collect();
    assert!(plants.len() >= 140, "{} slips", plants.len());
    assert!(codes.len() >= 45, "{} codes", codes.len());
}
