//! Turns a book and its near twins into their proof stamps: one for the same book, another for anything of it that is not the same.

use crate::shelf::{Shelf, program};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Stdio;

/// The stamp that `prove` prints, which every sheet carries.
fn stamp(book: &Path) -> String {
    let mut command = program();
    command.args(["prove", "--format", "json", "--book"]).arg(book).stdout(Stdio::piped());
    let ended = command.output().expect("the program runs");
    let report: Value = serde_json::from_slice(&ended.stdout).expect("one JSON object");
    report["stamp"].as_str().expect("a stamp").to_string()
}

/// A book with a file of every sort, with a change in one of them if there is one.
fn book(shelf: &Shelf, name: &str, changed: Option<(&str, &[u8])>) -> PathBuf {
    let book = shelf.book("first");
    for (path, content) in [
        ("content/pictures/lamp.png", &b"\x89PNG\r\n\x1a\n"[..]),
        ("templates/book.css", b"body { margin: 0 }"),
        ("templates/strings/en.toml", b"[nav]\nglossary = \"Words\"\n"),
    ]
    .into_iter()
    .chain(changed)
    {
        let path = book.join(path);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("the folder can be made");
        let mut before = std::fs::read(&path).unwrap_or_default();
        before.extend(content);
        std::fs::write(&path, before).expect("the folder can be written");
    }
    let place = shelf.path(name);
    std::fs::rename(&book, &place).expect("the folder can be moved");
    place
}

#[test]
fn every_file_of_a_book_is_in_its_stamp_and_where_it_stands_is_not() {
    let shelf = Shelf::new();
    let first = stamp(&book(&shelf, "one", None));
    assert_eq!(stamp(&book(&shelf, "another place", None)), first, "the same files, proved elsewhere");
    let mut stamps = BTreeSet::from([first]);
    let comment = b"\n# changed\n";
    for (path, more) in [
        ("circuits/reversing.toml", &comment[..]),
        ("content/manual.toml", comment),
        ("content/reversing.md", b"\nA word more.\n"),
        ("content/reversing-checkout.md", b"\nA word more.\n"),
        ("content/pictures/lamp.png", b"\0"),
        ("content/pictures/other.png", b"\x89PNG\r\n\x1a\n"),
        ("templates/book.css", b" "),
        ("templates/strings/en.toml", comment),
    ] {
        let name = path.replace('/', " ");
        assert!(stamps.insert(stamp(&book(&shelf, &name, Some((path, more))))), "{path} is in the stamp");
    }
}

#[test]
fn a_draft_of_a_clean_book_leads_to_no_findings() {
    let shelf = Shelf::new();
    let clean = shelf.book("clean");
    let mut command = program();
    command.args(["publish", "--draft", "--book"]).arg(&clean);
    assert!(command.status().expect("the program runs").success());
    let page = |name: &str| {
        let text = std::fs::read_to_string(clean.join("book-out").join(name)).expect("a page");
        crate::printed::html::parse(&text)
    };
    for name in ["index.html", "proved.html", "pages/reversing.html"] {
        let banner = page(name).one("p.draft-banner").clone();
        assert_eq!(banner.all("a").len(), 0, "{name}: there is nothing to lead to");
    }
    assert!(page("proved.html").place("findings").is_none());
}
