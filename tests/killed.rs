//! Turns publishing that is killed at one moment after another into the book that is there afterwards: the old or the new, whole.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;
use walkdir::WalkDir;

/// Moments at which it is killed, spread over the time that it takes.
const KILLS: u32 = 24;

fn goodground(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_goodground"));
    command.args(arguments).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

fn publish(book: &Path) -> Command {
    goodground(&["publish", "--book", book.to_str().expect("a path in UTF-8")])
}

/// Every file of a folder with its bytes.
fn contents(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    WalkDir::new(folder)
        .into_iter()
        .map(|entry| entry.expect("the folder can be read"))
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| {
            let path = entry.path().strip_prefix(folder).expect("a path below it");
            (path.to_owned(), std::fs::read(entry.path()).expect("a file can be read"))
        })
        .collect()
}

/// The book's edition.
fn edition(book: &Path, name: &str) {
    let path = book.join("content/manual.toml");
    let text = std::fs::read_to_string(&path).expect("the manual's file");
    let lines = text.lines().map(|line| match line.starts_with("edition") {
        true => format!("edition = \"{name}\""),
        false => line.to_string(),
    });
    std::fs::write(path, lines.collect::<Vec<_>>().join("\n")).expect("the folder can be written");
}

#[test]
fn a_killed_run_leaves_a_whole_book_and_every_file_of_others() {
    let place = tempfile::tempdir().expect("a folder");
    let book = place.path().join("book");
    let made = goodground(&["new", book.to_str().expect("a path in UTF-8")]).status();
    assert!(made.expect("the program runs").success());
    let out = book.join("book-out");
    let whole = |name: &str| {
        edition(&book, name);
        let start = Instant::now();
        assert!(publish(&book).status().expect("the program runs").success());
        (contents(&out), start.elapsed())
    };
    whole("Second");
    // What others put there stays, in a folder of the book's and in one of their own.
    for path in ["pages/mine.txt", "ours/too.txt"] {
        let path = out.join(path);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("the folder can be written");
        std::fs::write(path, "not the tool's").expect("the folder can be written");
    }
    let (second, _) = whole("Second");
    let (first, takes) = whole("First");
    assert_eq!(first[Path::new("ours/too.txt")], b"not the tool's");
    assert_ne!(first, second);

    let (mut old, mut new) = (0, 0);
    for kill in 0..=KILLS {
        whole("First");
        edition(&book, "Second");
        let mut run = publish(&book).spawn().expect("the program runs");
        // It writes at the end; the first is killed before and the last goes on to its end.
        let share = 0.3 + 0.9 * f64::from(kill) / f64::from(KILLS);
        if kill < KILLS {
            std::thread::sleep(takes.mul_f64(share));
            run.kill().expect("it can be killed, or has ended");
        }
        run.wait().expect("it has ended");
        let found = contents(&out);
        assert!(found == first || found == second, "after {share:.2} of the time");
        if found == first {
            old += 1;
        } else {
            new += 1;
        }
    }
    assert!(old > 0 && new > 0, "{old} old and {new} new: no kill came while it worked");
    // What a killed run left beside is cleared away by the next.
    whole("Second");
    let beside = std::fs::read_dir(&book).expect("the folder can be read").count();
    assert_eq!(beside, 3, "circuits, content and book-out");
}
