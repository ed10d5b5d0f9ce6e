//! Turns the manual page of each code into a proof of its example: planted in a clean book, it raises that finding there.
//!
//! A page shows an excerpt of the book `planted/blade` with the slip, and after `Repair:` the same excerpt as it stands there.
//! A line marked `here` is one that a finding points at. A file that the book doesn't have is shown whole, and what is wrong with
//! it may be its name.

use crate::book::{Files, Judged, folder, judge};
use goodground::finding::Code;
use goodground::read;
use std::collections::BTreeSet;
use std::path::Path;

/// A fenced block: a file's path and lines of it.
struct Block {
    path: String,
    text: String,
    /// Lines, counted from 0, that a finding points at.
    marked: Vec<usize>,
}

fn blocks(page: &str) -> Vec<Block> {
    let fences = page.split("```").skip(1).step_by(2);
    let block = |fence: &str| {
        let (head, body) = fence.split_once('\n').expect("a fence has lines");
        let path = head.split(' ').nth(1).expect("a fence names its file").to_string();
        let marks = [" # here", " <!-- here -->"];
        let marked = |line: &str| marks.iter().any(|mark| line.ends_with(mark));
        let lines = body.lines().enumerate();
        Block {
            path,
            marked: lines.filter(|(_, line)| marked(line)).map(|(number, _)| number).collect(),
            text: marks.iter().fold(body.to_string(), |text, mark| text.replace(&format!("{mark}\n"), "\n")),
        }
    };
    fences.map(block).collect()
}

/// A manual page, taken apart.
struct Page {
    slips: Vec<Block>,
    repaired: Vec<Block>,
}

impl Page {
    fn of(code: Code) -> Page {
        let (example, repair) = code.page().split_once("\nRepair:").expect("a page says what to do");
        assert!(example.contains("\nExample:\n"), "{}: no example", code.name());
        let page = Page { slips: blocks(example), repaired: blocks(repair) };
        assert_eq!(page.slips.len(), page.repaired.len(), "{}: each excerpt is repaired", code.name());
        for (slip, repaired) in page.slips.iter().zip(&page.repaired) {
            let named = matches!(code, Code::UnreadSource | Code::SamePath | Code::BadFileName);
            assert_eq!(slip.path != repaired.path, named, "{}: the same file, repaired", code.name());
        }
        assert!(!page.slips.is_empty(), "{}: no example", code.name());
        page
    }

    /// The clean book with the slip, and the lines that findings must point at.
    fn planted(&self, clean: &Files) -> (Files, BTreeSet<(String, usize)>) {
        let mut files = clean.clone();
        for (slip, repaired) in self.slips.iter().zip(&self.repaired) {
            let Some(text) = files.get_mut(&slip.path) else {
                files.insert(slip.path.clone(), slip.text.clone());
                continue;
            };
            let times = format!("\n{text}").matches(&format!("\n{}", repaired.text)).count();
            assert_eq!(times, 1, "this stands {times} times in {}:\n{}", slip.path, repaired.text);
            *text = text.replacen(&repaired.text, &slip.text, 1);
        }
        let mut places = BTreeSet::new();
        for slip in &self.slips {
            let text = &files[&slip.path];
            let at = text.find(&slip.text).expect("the slip was planted");
            let first = text[..at].matches('\n').count() + 1;
            places.extend(slip.marked.iter().map(|line| (slip.path.clone(), first + line)));
        }
        (files, places)
    }

    /// The clean book with what the page adds to it when all is well.
    fn sound(&self, clean: &Files) -> Files {
        let mut files = clean.clone();
        for repaired in self.repaired.iter().filter(|block| !clean.contains_key(&block.path)) {
            files.insert(repaired.path.clone(), repaired.text.clone());
        }
        files
    }
}

/// All findings of a book as `publish` gives them: those of the pages come when the others are none.
fn findings(files: &Files) -> Judged {
    let mut judged = judge(files);
    if judged.findings.is_empty() {
        judged.findings = judged.pages().1.sorted();
    }
    judged
}

#[test]
fn the_example_of_each_page_raises_its_finding_and_its_repair_none() {
    let clean = folder("tests/planted/blade");
    let only = std::env::var("MANUAL_PAGE").ok();
    let mut wrong = Vec::new();
    for &code in Code::ALL.iter().filter(|code| only.as_deref().is_none_or(|only| only == code.name())) {
        let page = Page::of(code);
        let (files, places) = page.planted(&clean);
        let judged = findings(&files);
        let shown = |path: &str| page.slips.iter().any(|slip| slip.path == path);
        let own = judged.of(code).into_iter().map(|finding| judged.place(finding));
        let found: BTreeSet<_> =
            own.filter(|(path, _)| shown(path)).map(|(path, line)| (path.to_string(), line)).collect();
        // What the reader finds, it finds alone; what a proof finds may have consequences elsewhere.
        let alone = read::read(&judged.sources, &[]).1.sorted();
        let others = alone.iter().any(|finding| finding.code == code) && alone.len() > 1;
        if places.is_empty() || found != places || others {
            wrong.push(format!("{}: expected {places:?}, but\n{}", code.name(), judged.listing()));
        }
        let sound = page.sound(&clean);
        if sound != clean {
            let listing = findings(&sound).listing();
            assert_eq!(listing, "", "{}: the repaired book", code.name());
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_repaired_book_is_clean() {
    assert_eq!(findings(&folder("tests/planted/blade")).listing(), "");
}

#[test]
fn pages_fit_a_narrow_terminal_and_there_is_one_for_each_code() {
    for code in Code::ALL {
        let long = code.page().lines().find(|line| line.chars().count() > 80);
        assert_eq!(long, None, "{}", code.name());
        assert!(code.meaning().ends_with('.') && code.page().lines().nth(1) == Some(""), "{}", code.name());
        let said = code.page().lines().skip(2).take_while(|line| *line != "Example:");
        assert!(said.collect::<String>().len() > 40, "{} says why it matters", code.name());
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/finding/manual");
    let names: BTreeSet<String> = std::fs::read_dir(folder)
        .expect("the manual is there")
        .map(|entry| entry.expect("it can be listed").file_name().to_string_lossy().to_string())
        .collect();
    let codes: BTreeSet<String> = Code::ALL.iter().map(|code| format!("{}.md", code.name())).collect();
    assert_eq!(names, codes);
}
