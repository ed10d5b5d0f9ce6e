//! Turns files and documents into what is wrong with them as files: no opening sentence, a drawer's name, a name of nothing.

use super::house::House;
use std::collections::BTreeSet;

/// Every Rust file opens with a sentence that says what it turns into what.
pub fn openings(house: &House) -> Vec<String> {
    let opens = |text: &str| {
        let lines = text
            .lines()
            .map_while(|line| line.strip_prefix("//!"))
            .take_while(|line| !line.trim().is_empty());
        let sentence = lines.collect::<String>();
        let sentence = sentence.trim();
        let long = sentence.split_whitespace().count() >= 4;
        long && sentence.starts_with(|first: char| first.is_uppercase() || first == '`')
            && sentence.contains(['.', ':'])
    };
    let files = house.rust("src/").chain(house.rust("tests/"));
    files.filter(|path| !opens(house.text(path))).map(|path| format!("{path}: no opening sentence")).collect()
}

/// The most lines of a file.
const LINES: usize = 800;

/// No file or folder is a drawer for everything, by its name or by its length.
pub fn drawers(house: &House) -> Vec<String> {
    let drawers =
        ["util", "utils", "common", "helpers", "helper", "types", "misc", "shared", "lib2", "stuff"];
    let mut wrong = Vec::new();
    for path in house.rust("src/") {
        let names = path.trim_end_matches(".rs").split('/');
        if names.into_iter().any(|name| drawers.contains(&name)) {
            wrong.push(format!("{path} says nothing about what it holds"));
        }
        if house.text(path).lines().count() > LINES {
            wrong.push(format!("{path} has grown past {LINES} lines"));
        }
    }
    wrong
}

/// What stands in back quotes in a document: paths such as `src/book/part.rs`, commands such as `goodground prove`.
fn named(document: &str) -> Vec<String> {
    let prose = document.split("```").step_by(2).collect::<String>();
    prose.split('`').skip(1).step_by(2).map(|name| name.replace('\n', " ")).collect()
}

/// A path with a star for any part of one name.
fn matches(pattern: &str, path: &str) -> bool {
    match pattern.split_once('*') {
        Some((start, end)) => {
            let middle = path.strip_prefix(start).and_then(|rest| rest.strip_suffix(end));
            middle.is_some_and(|middle| !middle.contains('/'))
        }
        None => pattern == path,
    }
}

/// Paths, commands, types and switches that a document names in back quotes are there.
pub fn documents(house: &House) -> Vec<String> {
    let program = house.text("src/command/arguments.rs");
    let words: BTreeSet<&str> = (house.rust("src/").chain(house.rust("tests/")))
        .flat_map(|path| house.text(path).split(|letter: char| !letter.is_alphanumeric() && letter != '_'))
        .collect();
    let mut wrong = Vec::new();
    for document in ["README.md", "DEVELOPERS.md", "templates/README.md"] {
        // The templates' own document speaks of what is published, too.
        let tops = ["src/", "tests/", "templates/", "circuits/", "content/"];
        let tops = if document.starts_with("templates/") { &tops[..3] } else { &tops[..] };
        for name in named(house.text(document)) {
            let mut miss = |why: &str| wrong.push(format!("{document} names `{name}`, {why}"));
            let path = name.trim_end_matches('/');
            if tops.iter().any(|top| name.starts_with(top)) && !name.contains([' ', '<', '{']) {
                let there = house.has(path) || house.paths().any(|other| matches(path, other));
                // A book of its own has folders of these names; what an author may write there is no file of the project.
                if !there && !path.contains("LANGUAGE") {
                    miss("which does not exist");
                }
            } else if let Some(rest) = name.strip_prefix("goodground ") {
                let command = rest.split(' ').next().expect("a split has a part");
                let (first, others) = command.split_at(1);
                let variant = format!("    {}{others}(", first.to_uppercase());
                if !command.starts_with('-') && !program.contains(&variant) {
                    miss("which is no command");
                }
            } else if let Some(switch) = name.strip_prefix("--") {
                let switch = switch.split([' ', '=']).next().expect("a split has a part");
                if !words.contains(switch.replace('-', "_").as_str()) {
                    miss("which is no switch");
                }
            } else if document == "DEVELOPERS.md" && is_code(&name) {
                let unknown = name.split("::").find(|part| !words.contains(part));
                if unknown.is_some() {
                    miss("which the code doesn't have");
                }
            }
        }
    }
    wrong
}

/// Does a name in back quotes speak of a type, a constant or something inside one? `Placed`, `Table::ALL`.
fn is_code(name: &str) -> bool {
    let letters = name.chars().all(|letter| letter.is_alphanumeric() || letter == '_' || letter == ':');
    letters && name.len() > 2 && name.starts_with(char::is_uppercase) && !name.contains(":/")
}

/// Names at the top level; those that begin with a dot belong to other tools.
const TOP: &[&str] = &[
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "book-out",
    "circuits",
    "clippy.toml",
    "content",
    "src",
    "target",
    "templates",
    "tests",
];

/// The top level holds nothing else.
pub fn top_level(house: &House) -> Vec<String> {
    let tops: BTreeSet<&str> = house.paths().filter_map(|path| path.split('/').next()).collect();
    let stray = tops.into_iter().filter(|name| !name.starts_with('.') && !TOP.contains(name));
    stray.map(|name| format!("{name} does not belong at the top level")).collect()
}

/// Every planted bug stands in the code as it is, once, changes it, and is caught by something.
pub fn planted_bugs(house: &House) -> Vec<String> {
    let (mut wrong, mut names) = (Vec::new(), BTreeSet::new());
    for path in house.paths().filter(|path| path.starts_with("tests/mutants/") && path.ends_with(".toml")) {
        let list: toml::Table = match house.text(path).parse() {
            Ok(list) => list,
            Err(error) => {
                wrong.push(format!("{path}: {error}"));
                continue;
            }
        };
        for mutant in list.get("mutant").and_then(toml::Value::as_array).into_iter().flatten() {
            let text = |key: &str| mutant.get(key).and_then(toml::Value::as_str).unwrap_or_default();
            let place = format!("{path}: {:?}", text("name"));
            let times = house.find(text("file")).map_or(0, |held| held.matches(text("from")).count());
            if times != 1 {
                wrong.push(format!("{place}: `from` stands {times} times in {:?}", text("file")));
            }
            if text("from") == text("to") {
                wrong.push(format!("{place} changes nothing"));
            }
            if mutant.get("caught-by").and_then(toml::Value::as_array).is_none_or(Vec::is_empty) {
                wrong.push(format!("{place} is caught by nothing"));
            }
            if text("name").is_empty() || !names.insert(text("name").to_string()) {
                wrong.push(format!("{place} has no name of its own"));
            }
        }
    }
    wrong
}
