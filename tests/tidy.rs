//! Holds the laws of the house: rooms import only rooms above them, files open with their sentence, documents name what exists.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;
use walkdir::WalkDir;

/// The rooms in reading order with what each may import; the table of DEVELOPERS.md.
const ROOMS: &[(&str, &[&str])] = &[
    ("source", &[]),
    ("quantity", &[]),
    ("finding", &["source"]),
    ("book", &["source", "quantity"]),
    ("read", &["source", "quantity", "finding", "book"]),
    ("solve", &[]),
    ("bench", &["book", "quantity", "solve"]),
    ("proof", &["book", "bench", "quantity"]),
    ("study", &["book", "bench", "proof", "quantity"]),
    ("check", &["source", "quantity", "finding", "book", "read", "proof", "study"]),
    ("draft", &["book", "bench", "proof"]),
    ("draw", &["book", "quantity"]),
    ("page", &["source", "quantity", "finding", "book", "proof", "study", "check", "draft", "draw"]),
    ("report", &["source", "finding", "proof"]),
    (
        "command",
        &[
            "source", "quantity", "finding", "book", "read", "solve", "bench", "proof", "study", "check",
            "draft", "draw", "page", "report",
        ],
    ),
];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn rust_files(under: &str) -> Vec<(PathBuf, String)> {
    WalkDir::new(root().join(under))
        .sort_by_file_name()
        .into_iter()
        .filter_map(Result::ok)
        .filter(|entry| entry.path().extension().is_some_and(|extension| extension == "rs"))
        .map(|entry| (entry.path().to_path_buf(), fs::read_to_string(entry.path()).unwrap()))
        .collect()
}

/// The rooms that a file's code names, by `crate::room`, outside comments and outside its tests.
fn imports(text: &str) -> Vec<String> {
    let code = text.split("#[cfg(test)]").next().unwrap();
    let mut found = Vec::new();
    for line in code.lines().filter(|line| !line.trim_start().starts_with("//")) {
        for (at, _) in line.match_indices("crate::") {
            let rest = &line[at + "crate::".len()..];
            found.push(rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect());
        }
    }
    found
}

#[test]
fn rooms_stand_in_the_order_of_the_law() {
    let lib = fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let order: Vec<&str> =
        lib.lines().filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';')).collect();
    let law: Vec<&str> = ROOMS.iter().map(|(room, _)| *room).collect();
    assert_eq!(order, law);
}

#[test]
fn rooms_import_only_what_the_law_allows() {
    let mut broken = Vec::new();
    let mut seen = 0;
    for (room, allowed) in ROOMS {
        for (path, text) in rust_files(&format!("src/{room}")) {
            for import in imports(&text) {
                seen += 1;
                let known = ROOMS.iter().any(|(other, _)| *other == import);
                if known && import != *room && !allowed.contains(&import.as_str()) {
                    broken.push(format!("{}: {room} imports {import}", path.display()));
                }
            }
        }
    }
    assert!(seen > 100, "the law is held over real imports");
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn every_file_opens_with_its_sentence() {
    let files: Vec<(PathBuf, String)> = ["src", "tests"].iter().flat_map(|under| rust_files(under)).collect();
    assert!(files.len() > 50);
    let bare: Vec<String> = files
        .iter()
        .filter(|(_, text)| {
            let first = text.lines().next().unwrap_or("");
            !first.starts_with("//! ") || first.len() < 20
        })
        .map(|(path, _)| path.display().to_string())
        .collect();
    assert!(bare.is_empty(), "files without an opening sentence:\n{}", bare.join("\n"));
}

#[test]
fn no_file_is_a_drawer_for_everything() {
    let drawers = ["util", "utils", "common", "helpers", "helper", "types", "misc"];
    for (path, text) in rust_files("src") {
        let stem = path.file_stem().unwrap().to_string_lossy().to_string();
        assert!(!drawers.contains(&stem.as_str()), "{} says nothing about what it holds", path.display());
        assert!(text.lines().count() <= 800, "{} has grown past 800 lines", path.display());
    }
}

/// What stands in back quotes in a document: paths such as `src/book/part.rs`, commands such as `goodground prove`.
fn named(document: &str) -> Vec<String> {
    let prose = document.split("```").step_by(2).collect::<String>();
    prose.split('`').skip(1).step_by(2).map(str::to_string).collect()
}

#[test]
fn documents_name_only_what_exists() {
    let program = fs::read_to_string(root().join("src/command/arguments.rs")).unwrap();
    let tops = ["src/", "tests/", "templates/", "circuits/", "content/"];
    for document in ["README.md", "DEVELOPERS.md"] {
        let text = fs::read_to_string(root().join(document)).unwrap();
        let mut paths = 0;
        for name in named(&text) {
            if tops.iter().any(|top| name.starts_with(top)) && !name.contains([' ', '*', '<', '{']) {
                assert!(root().join(&name).exists(), "{document} names `{name}`, which does not exist");
                paths += 1;
            }
            if let Some(rest) = name.strip_prefix("goodground ") {
                let command = rest.split([' ', '\n']).next().unwrap();
                let variant = command[..1].to_uppercase() + &command[1..];
                assert!(
                    command.starts_with('-') || program.contains(&format!("    {variant}(")),
                    "{document} names the command `{command}`, which does not exist"
                );
            }
        }
        assert!(paths > 2, "{document} names {paths} paths");
    }
}

#[test]
fn the_top_level_holds_nothing_else() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "src",
        "content",
        "templates",
        "circuits",
        "tests",
        "book-out",
        "target",
    ];
    for entry in fs::read_dir(root()).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().to_string();
        assert!(
            name.starts_with('.') || allowed.contains(&name.as_str()),
            "{name} does not belong at the top level"
        );
    }
}

#[test]
fn planted_bugs_stand_in_the_code_as_it_is() {
    let mut names = BTreeSet::new();
    for entry in fs::read_dir(root().join("tests/mutants")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let list: toml::Table = fs::read_to_string(&path).unwrap().parse().expect("a list of bugs");
        for mutant in list["mutant"].as_array().expect("tables") {
            let (name, file, from) = (&mutant["name"], &mutant["file"], mutant["from"].as_str().unwrap());
            let text = fs::read_to_string(root().join(file.as_str().unwrap())).expect("the file is there");
            assert_eq!(text.matches(from).count(), 1, "{name}: {from:?} in {file}");
            assert_ne!(mutant["to"].as_str(), Some(from), "{name} changes nothing");
            assert!(!mutant["caught-by"].as_array().unwrap().is_empty(), "{name} is caught by nothing");
            assert!(names.insert(name.to_string()), "{name} stands there twice");
        }
    }
    assert!(!names.is_empty());
}
