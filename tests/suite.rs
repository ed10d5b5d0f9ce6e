//! Turns the cases of `tests/suite/*.md` into books, reads and proves them, and compares what is found with what the cases say.
//!
//! A heading names a case, fenced blocks with a path after the language are the files of its book, and a comment at the
//! end of a line is the finding expected there. What stands under the first heading of a file is shared by its cases. Exactly
//! the findings that are written must appear. With `REWRITE_SUITE=1` in the environment the comments are written anew.

use crate::book::{Files, judge_without};
use goodground::finding::Severity;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// A case without a manual of its own gets this one.
const MANUAL: (&str, &str) =
    ("content/manual.toml", "title = \"Manual\"\nvehicle = \"Vehicle\"\nedition = \"First\"\n");

/// What a comment says of one finding: `error: unknown-part `K5`, did you mean `K4`?`.
type Note = String;

/// Findings by file and line, in the order of their places.
type Notes = BTreeMap<(String, usize), Vec<Note>>;

/// The findings of a book whose files are given, some of which could not be read.
fn findings(files: &Files, unread: &BTreeSet<&str>) -> Notes {
    let judged = judge_without(files, unread);
    let mut notes = Notes::new();
    for finding in &judged.findings {
        let severity = match finding.code.severity() {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        let mut note = format!("{severity}: {}", finding.code.name());
        let underlined = judged.sources.slice(finding.span).lines().next().unwrap_or_default().trim_end();
        if !underlined.is_empty() {
            note = format!("{note} `{}`", shortened(underlined));
        }
        if let Some(hint) = finding.remarks.iter().find(|hint| hint.text.starts_with("did you mean")) {
            note = format!("{note}, {}", hint.text);
        }
        let (path, line) = judged.place(finding);
        notes.entry((path.to_string(), line)).or_default().push(note);
    }
    notes
}

/// Long texts are cut, so that a comment stays readable.
fn shortened(text: &str) -> String {
    const LETTERS: usize = 32;
    match text.char_indices().nth(LETTERS) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_string(),
    }
}

/// A fenced block that is a file.
struct Block {
    path: String,
    /// The block is marked `unread`: it holds the reason.
    unread: bool,
    /// The index of its first line in the suite file.
    first: usize,
    lines: Vec<String>,
}

struct Case {
    name: String,
    blocks: Vec<Block>,
}

/// The cases of a suite file; the first one is what the others share.
fn cases(text: &str) -> Vec<Case> {
    let mut cases = vec![Case { name: String::new(), blocks: Vec::new() }];
    let mut fence: Option<(String, bool)> = None;
    for (number, line) in text.lines().enumerate() {
        let blocks = &mut cases.last_mut().expect("there is a case from the start").blocks;
        match &fence {
            Some((mark, is_file)) => {
                if line.trim_end() == mark {
                    fence = None;
                } else if *is_file {
                    let block = blocks.last_mut().expect("a fence that is a file has a block");
                    block.lines.push(line.to_string());
                }
            }
            None if line.starts_with("```") || line.starts_with("~~~") => {
                let letter = line.chars().next().expect("the line is not empty");
                let mark: String = line.chars().take_while(|&c| c == letter).collect();
                let mut words = line[mark.len()..].split_whitespace();
                let unread = words.next() == Some("unread");
                let path = words.next().map(str::to_string);
                fence = Some((mark, path.is_some()));
                if let Some(path) = path {
                    blocks.push(Block { path, unread, first: number + 1, lines: Vec::new() });
                }
            }
            None if line.starts_with('#') => {
                cases.push(Case { name: line.trim_start_matches('#').trim().to_string(), blocks: Vec::new() })
            }
            None => {}
        }
    }
    // What stands before the first heading belongs to the first case.
    cases.remove(0);
    cases
}

/// How comments open and close in a file of this path.
fn comment(path: &str) -> (&'static str, &'static str) {
    match path.ends_with(".md") {
        true => (" <!-- ", " -->"),
        false => (" # ", ""),
    }
}

/// A line without its comments, and what they say.
fn split(line: &str, path: &str) -> (String, Vec<Note>) {
    let (open, close) = comment(path);
    let starts = [format!("{open}error: "), format!("{open}warning: ")];
    let padded = format!(" {line}");
    let begin = starts.iter().filter_map(|start| padded.find(start.as_str())).min();
    let Some(begin) = begin else {
        return (line.to_string(), Vec::new());
    };
    let notes = padded[begin..]
        .split(open)
        .map(|note| note.trim_end().trim_end_matches(close.trim_start()).trim_end().to_string())
        .filter(|note| !note.is_empty())
        .collect();
    (padded[..begin].get(1..).unwrap_or_default().to_string(), notes)
}

/// Runs a case over the shared blocks; returns what is wrong, and the lines that the suite file should have.
fn run(case: &Case, shared: &[Block]) -> (Vec<String>, Vec<(usize, String)>) {
    let mut files = Files::new();
    files.insert(MANUAL.0.to_string(), MANUAL.1.to_string());
    for block in shared {
        files.insert(block.path.clone(), block.lines.join("\n") + "\n");
    }
    let mut expected = Notes::new();
    for block in &case.blocks {
        let mut text = String::new();
        for (number, line) in block.lines.iter().enumerate() {
            let (line, notes) = split(line, &block.path);
            text.push_str(&line);
            text.push('\n');
            if !notes.is_empty() {
                expected.insert((block.path.clone(), number + 1), notes);
            }
        }
        files.insert(block.path.clone(), text);
    }
    let unread = case.blocks.iter().filter(|block| block.unread).map(|block| block.path.as_str()).collect();
    let found = findings(&files, &unread);
    let mut wrong = Vec::new();
    for (place, notes) in &found {
        if expected.get(place) != Some(notes) {
            wrong.push(format!("{}:{}: found    {}", place.0, place.1, notes.join(" and ")));
        }
    }
    for (place, notes) in &expected {
        if found.get(place) != Some(notes) {
            wrong.push(format!("{}:{}: expected {}", place.0, place.1, notes.join(" and ")));
        }
    }
    wrong.sort();
    (wrong, rewritten(case, &found))
}

/// The lines of a case's blocks with the comments that fit what was found.
fn rewritten(case: &Case, found: &Notes) -> Vec<(usize, String)> {
    let mut lines = Vec::new();
    for block in &case.blocks {
        let (open, close) = comment(&block.path);
        for (number, line) in block.lines.iter().enumerate() {
            let (mut line, _) = split(line, &block.path);
            for note in found.get(&(block.path.clone(), number + 1)).into_iter().flatten() {
                line.push_str(&format!("{open}{note}{close}"));
            }
            lines.push((block.first + number, line));
        }
    }
    lines
}

#[test]
fn every_case_gives_exactly_its_findings() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite");
    let rewrite = std::env::var_os("REWRITE_SUITE").is_some();
    let mut paths: Vec<_> = std::fs::read_dir(&folder)
        .expect("tests/suite is there")
        .map(|entry| entry.expect("a folder can be listed").path())
        .filter(|path| path.extension().is_some_and(|end| end == "md"))
        .collect();
    paths.sort();
    let mut wrong = Vec::new();
    let mut count = 0;
    for path in paths {
        let text = std::fs::read_to_string(&path).expect("a suite file can be read");
        let cases = cases(&text);
        let (shared, own) = cases.split_first().expect("a suite file has a heading");
        let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
        for case in own.iter().filter(|case| !case.blocks.is_empty()) {
            count += 1;
            let (problems, rewritten) = run(case, &shared.blocks);
            for (number, line) in rewritten {
                lines[number] = line;
            }
            let name = path.file_name().expect("a file has a name").to_string_lossy();
            wrong.extend(problems.iter().map(|problem| format!("{name}: {}\n  {problem}", case.name)));
        }
        if rewrite {
            std::fs::write(&path, lines.join("\n") + "\n").expect("a suite file can be written");
        }
    }
    assert!(count > 0, "no case was found");
    assert!(
        rewrite || wrong.is_empty(),
        "{} of {count} cases differ (REWRITE_SUITE=1 writes what is found):\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn comments_are_told_from_the_line() {
    let (line, notes) = split("rating = \"10 V\" # error: wrong-unit `10 V` # error: bad-toml", "a.toml");
    assert_eq!(line, "rating = \"10 V\"");
    assert_eq!(notes, ["error: wrong-unit `10 V`", "error: bad-toml"]);
    let (line, notes) = split("- Expect: H9 lti <!-- error: bad-statement `lti` -->", "a.md");
    assert_eq!(line, "- Expect: H9 lti");
    assert_eq!(notes, ["error: bad-statement `lti`"]);
    assert_eq!(split("a = 1 # a remark", "a.toml").0, "a = 1 # a remark");
}
