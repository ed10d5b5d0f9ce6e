//! Turns a student's folder into what a script gets out of it that sees what a browser sees, held against what the instructor's
//! folder says that it can get.

use crate::printed::words::text;
use crate::printed::{Printed, folder};
use crate::read_back_study::unseal;
use goodground::source::Sources;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

/// The blade's book as a class has it.
fn class(study: &str) -> Printed {
    let mut sources = Sources::default();
    for (path, text) in crate::book::folder("tests/planted/blade") {
        let study = if path == "content/manual.toml" { study } else { "" };
        sources.add(path, format!("{text}{study}"));
    }
    Printed::of(sources).with_pack()
}

static PRACTICE: LazyLock<Printed> = LazyLock::new(|| Printed::of(folder("tests/planted/blade")).with_pack());
static SPRING: LazyLock<Printed> = LazyLock::new(|| class("\n[study]\nseed = \"spring of the yard\"\n"));
static EXAM: LazyLock<Printed> =
    LazyLock::new(|| class("\n[study]\nseed = \"autumn of the yard\"\nexam = true\n"));

static BOAT: LazyLock<Printed> = LazyLock::new(|| Printed::of(folder("tests/planted/boat")).with_pack());

const STUDENT: &str = "study/student/";
const INSTRUCTOR: &str = "study/instructor/";

/// The labs' pages, with what their script is given.
fn labs(printed: &'static Printed) -> Vec<(&'static str, Value)> {
    let pages = printed.html().filter(|(path, _)| path.starts_with(STUDENT) && path.ends_with("-lab.html"));
    let labs = pages.map(|(path, page)| {
        let data = page.place("lab-data").expect("a lab's data").raw();
        (path, serde_json::from_str(&data).expect("it is JSON"))
    });
    let labs: Vec<(&str, Value)> = labs.collect();
    assert!(!labs.is_empty());
    labs
}

/// The fault of each number, by the instructor's list.
fn key(printed: &'static Printed, lab: &str) -> Vec<String> {
    let page = printed.page(&lab.replace(STUDENT, INSTRUCTOR));
    page.all("tbody tr").iter().map(|row| row.below().nth(1).expect("a fault").text()).collect()
}

fn list(value: &Value) -> &Vec<Value> {
    value.as_array().expect("a list")
}

/// Tries every item of a lab's list on every seal of every number, as a script would. Returns what it opens.
fn attack(printed: &'static Printed, path: &str, data: &Value) -> Vec<(usize, String)> {
    let page = printed.page(path);
    let items = page.place("item").expect("the list of items").texts("option").split_off(1);
    let case = data["case"].as_str().expect("a text");
    let mut opened = Vec::new();
    for (number, seals) in list(&data["seals"]).iter().enumerate() {
        for (item, seal) in items.iter().flat_map(|item| list(seals).iter().map(move |seal| (item, seal))) {
            let found = unseal(&format!("{case} {}", number + 1), item, seal.as_str().expect("a text"));
            opened.extend(found.map(|_| (number, item.clone())));
        }
    }
    opened
}

/// What the instructor's first page says of the student's folder.
fn says(printed: &'static Printed, words: &str) -> bool {
    printed.page("study/instructor/index.html").text().contains(text(words))
}

#[test]
fn practice_labs_open_to_a_script_and_the_instructor_is_told() {
    for (path, data) in labs(&PRACTICE) {
        let cases: BTreeSet<usize> =
            attack(&PRACTICE, path, &data).into_iter().map(|(number, _)| number).collect();
        assert_eq!(cases.len(), key(&PRACTICE, path).len(), "{path}: all of them");
    }
    assert!(says(&PRACTICE, "study.reach-practice") && says(&PRACTICE, "study.reach-no-seed"));
    assert!(!says(&PRACTICE, "study.reach-exam") && !says(&PRACTICE, "study.reach-seed"));
    assert!(says(&SPRING, "study.reach-practice") && says(&SPRING, "study.reach-seed"));
}

#[test]
fn an_exams_labs_hold_nothing_to_open_and_the_reader_has_the_key() {
    let reader =
        EXAM.page("study/instructor/reader.html").place("reader-data").expect("the reader's data").raw();
    let reader: Value = serde_json::from_str(&reader).expect("it is JSON");
    for (path, data) in labs(&EXAM) {
        assert_eq!(attack(&EXAM, path, &data), Vec::new());
        let right =
            list(&reader["labs"]).iter().find(|lab| lab["lab"] == data["case"]).expect("the lab's key");
        let rows = EXAM.page(&path.replace(STUDENT, INSTRUCTOR)).all("tbody tr");
        assert_eq!(rows.len(), list(&right["right"]).len());
        for (row, right) in rows.iter().zip(list(&right["right"])) {
            let item = row.get("data-item").expect("an item");
            assert!(list(right).iter().any(|right| right == item), "{item} is right: {right}");
        }
    }
    assert!(says(&EXAM, "study.reach-exam") && says(&EXAM, "study.reach-seed"));
    assert!(EXAM.pages.keys().all(|path| !path.starts_with(STUDENT) || !path.contains("reader")));
}

/// Nothing about a case but its readings differs from another's by more than its fault does: not how many seals it has, how long
/// they are, or the numbers of its states. In the order of the catalogue these would name the fault.
#[test]
fn a_cases_form_tells_nothing_of_its_place_in_the_catalogue() {
    // The boat has two wires that may touch each other, which is a fault of either.
    for printed in [&*PRACTICE, &*SPRING, &*EXAM, &*BOAT] {
        for (path, data) in labs(printed) {
            let counts: BTreeSet<usize> =
                list(&data["seals"]).iter().map(|seals| list(seals).len()).collect();
            let seals = list(&data["seals"]).iter().flat_map(list);
            let lengths: BTreeSet<usize> = seals.map(|seal| seal.as_str().expect("a text").len()).collect();
            assert!(counts.len() <= 1 && lengths.len() <= 1, "{path}: {counts:?} {lengths:?}");
            // The highest state met so far only grows, by one at a time, as the numbers go up.
            let number = |text: &str| usize::from_str_radix(text, 36).expect("a number in base 36");
            let first =
                |text: &Value| number(text.as_str().expect("a text").split(' ').next().expect("a view"));
            let mut highest = list(&data["states"]["shared"]).iter().map(first).max().expect("states");
            for case in list(&data["states"]["cases"]) {
                let differs = case["differs"].as_str().expect("a text");
                let differs = differs.split(',').filter(|text| !text.is_empty());
                let differs = differs.map(|text| number(text.split(' ').nth(1).expect("a view")));
                for view in differs.chain(list(&case["nodes"]).iter().map(first)) {
                    assert!(view <= highest + 1, "{path}: {view} after {highest}");
                    highest = highest.max(view);
                }
            }
        }
    }
}

#[test]
fn each_class_has_its_own_numbers_letters_and_questions() {
    let all = [&PRACTICE, &SPRING, &EXAM].map(|printed| {
        let keys: BTreeMap<String, Vec<String>> =
            labs(printed).into_iter().map(|(path, _)| (path.to_string(), key(printed, path))).collect();
        let papers =
            printed.pages.iter().filter(|(path, _)| path.starts_with(STUDENT) && path.contains("-test-"));
        let papers: Vec<&String> = papers.map(|(_, text)| text).collect();
        assert!(papers.len() >= 2);
        (keys, papers)
    });
    for (at, (keys, papers)) in all.iter().enumerate() {
        for (other, theirs) in &all[at + 1..] {
            for (path, key) in keys {
                let same = key.iter().zip(&other[path]).filter(|(own, other)| own == other).count();
                assert!(4 * same < key.len(), "{path}: {same} of {} have the same number", key.len());
            }
            assert_ne!(papers, theirs);
        }
    }
    let again = class("\n[study]\nseed = \"spring of the yard\"\n");
    assert!(again.pages == SPRING.pages, "the same seed gives the same pack");
}

/// A fault whose procedure ends at something else is nothing to learn from.
#[test]
fn a_lab_has_no_fault_that_its_procedure_blames_on_something_else() {
    let planted = |printed: &Printed, name: &str| {
        let all = printed.labs.iter().flat_map(|lab| &lab.planted);
        all.filter(|planted| printed.book.fault(planted.fault).name == name).count()
    };
    let mut sources = Sources::default();
    let mut changed = 0;
    for (path, text) in crate::book::folder("tests/planted/blade") {
        let wrong = text.replace("[Replace the ready lamp H1.](blame:H1)", "[](blame:M1)");
        changed += usize::from(wrong != text);
        sources.add(path, wrong);
    }
    assert!(changed > 0);
    assert_eq!(planted(&PRACTICE, "H1 open"), 1);
    assert_eq!(planted(&Printed::of(sources).with_pack(), "H1 open"), 0);
}
