//! Turns a folder on disk into books of several editions that are published for real, with a user's files among the pages.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;
use walkdir::WalkDir;

/// Files by their path, with what they hold.
pub type Files = BTreeMap<PathBuf, Vec<u8>>;

/// What a user keeps among the pages: in a folder of the book's, in a folder of the user's, and at the root.
const MINE: [&str; 3] = ["pages/mine.txt", "ours/too.txt", "mine.txt"];

/// What each of the user's files holds.
const TEXT: &str = "not the tool's";

/// A folder for books and what is published of them.
pub struct Shelf(TempDir);

impl Shelf {
    /// An empty one.
    pub fn new() -> Shelf {
        Shelf(tempfile::tempdir().expect("a folder"))
    }

    /// A path on it.
    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// The book that one starts from, as an edition of this name.
    pub fn book(&self, edition: &str) -> PathBuf {
        let book = self.path(edition);
        let made = program().arg("new").arg(&book).status();
        assert!(made.expect("the program runs").success());
        let path = book.join("content/manual.toml");
        let text = std::fs::read_to_string(&path).expect("the manual's file");
        let lines = text.lines().map(|line| match line.starts_with("edition") {
            true => format!("edition = \"{edition}\""),
            false => line.to_string(),
        });
        std::fs::write(path, lines.collect::<Vec<_>>().join("\n")).expect("the folder can be written");
        book
    }

    /// Begins to publish.
    pub fn start(&self, book: &Path, out: &Path) -> Child {
        let mut command = program();
        command.arg("publish").arg("--book").arg(book).arg("--out").arg(out).stderr(Stdio::piped());
        command.spawn().expect("the program runs")
    }

    /// Publishes.
    pub fn publish_to(&self, book: &Path, out: &Path) {
        let ended = self.start(book, out).wait_with_output().expect("it has ended");
        assert!(ended.status.success(), "{}", String::from_utf8_lossy(&ended.stderr));
    }

    /// What a book looks like that was published without trouble.
    pub fn whole(&self, book: &Path) -> Files {
        let out = book.with_extension("whole");
        self.publish_to(book, &out);
        pages(&out)
    }

    /// Puts the user's files among the pages.
    pub fn put_mine(&self, out: &Path) {
        for path in MINE.map(|path| out.join(path)) {
            std::fs::create_dir_all(path.parent().expect("a folder")).expect("the folder can be written");
            std::fs::write(path, TEXT).expect("the folder can be written");
        }
    }

    /// Fails where one of the user's files is gone.
    pub fn has_mine(&self, out: &Path) {
        for path in MINE {
            let text = std::fs::read_to_string(out.join(path)).unwrap_or_default();
            assert_eq!(text, TEXT, "{path} is as the user left it");
        }
    }
}

/// Every file that a reader of the book may open: without the tool's own, and without the user's, which are texts.
pub fn pages(out: &Path) -> Files {
    let walk = WalkDir::new(out).into_iter().filter_entry(|entry| entry.file_name() != ".goodground");
    walk.map(|entry| entry.expect("the folder can be read"))
        .filter(|entry| {
            entry.file_type().is_file() && entry.path().extension().is_none_or(|end| end != "txt")
        })
        .map(|entry| {
            let path = entry.path().strip_prefix(out).expect("a path below it");
            (path.to_owned(), std::fs::read(entry.path()).expect("a file can be read"))
        })
        .collect()
}

/// What the tool keeps for itself in the output: the list and the lock, once a run has ended.
pub fn own(out: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(out.join(".goodground")).expect("the tool's folder");
    let mut names: Vec<String> =
        entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().to_string()).collect();
    names.sort();
    names
}

/// Changes a file of a book on disk.
pub fn revise(book: &Path, file: &str, change: impl Fn(&str) -> String) {
    let path = book.join(file);
    let before = std::fs::read_to_string(&path).expect("a file of the book");
    let after = change(&before);
    assert_ne!(before, after, "{file} was changed");
    std::fs::write(path, after).expect("the folder can be written");
}

/// The program, silent.
pub fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_goodground"));
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command
}
