//! Turns changes in a watched book's folder into the book that is published after each.

use crate::shelf::{Shelf, program};
use crate::vehicle::Random;
use std::path::Path;
use std::process::Child;
use std::time::{Duration, Instant};

/// How long a change may take to reach the published book, on a machine that has much else to do.
const PATIENCE: Duration = Duration::from_secs(60);

/// Ends the process when the test ends, however it ends.
struct Ended(Child);

impl Drop for Ended {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Waits until the first page of the book says something.
fn says(out: &Path, text: &str) {
    let began = Instant::now();
    let said = || std::fs::read_to_string(out.join("index.html")).is_ok_and(|page| page.contains(text));
    while !said() {
        assert!(began.elapsed() < PATIENCE, "nothing published says {text}");
        std::thread::sleep(Duration::from_millis(50));
    }
}

fn write(book: &Path, from: &str, to: &str) {
    let path = book.join("content/manual.toml");
    let text = std::fs::read_to_string(&path).expect("the manual's file");
    assert!(text.contains(from));
    std::fs::write(&path, text.replace(from, to)).expect("the folder can be written");
}

#[test]
fn a_folder_that_was_made_anew_is_watched_on() {
    let shelf = Shelf::new();
    let book = shelf.book("First-of-all");
    let out = shelf.path("out");
    let mut command = program();
    command.args(["publish", "--watch", "--book"]).arg(&book).arg("--out").arg(&out);
    let _run = Ended(command.spawn().expect("the program runs"));
    says(&out, "First-of-all");
    write(&book, "First-of-all", "Second-of-all");
    says(&out, "Second-of-all");
    // Another book's `content` takes its place, as when another state of a repository is checked out.
    std::fs::rename(book.join("content"), shelf.path("aside")).expect("it can be moved");
    std::thread::sleep(Duration::from_millis(400));
    let other = shelf.book("Third-of-all");
    std::fs::rename(other.join("content"), book.join("content")).expect("it can be moved");
    says(&out, "Third-of-all");
    write(&book, "Third-of-all", "Fourth-of-all");
    says(&out, "Fourth-of-all");
}

/// What a process holds in memory, in KiB, where the system tells.
fn held(child: &Child) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// The stamp that a run of `prove` says last.
fn stamp(said: &str) -> Option<&str> {
    said.lines().rev().find_map(|line| line.split_once("proof stamp ")).map(|(_, stamp)| stamp.trim())
}

/// Edits as an author makes them, saved whole, half and not at all, one after the other; `WATCHED=3600` for an hour of them.
#[test]
fn a_book_that_is_edited_all_day_is_proved_as_it_stands() {
    let seconds = std::env::var("WATCHED").map_or(6, |count| count.parse().expect("WATCHED is a number"));
    let shelf = Shelf::new();
    let book = shelf.book("Edited");
    let said = shelf.path("said.txt");
    let mut command = program();
    command.args(["prove", "--watch", "--book"]).arg(&book);
    command.stdout(std::fs::File::create(&said).expect("a file"));
    let mut run = Ended(command.spawn().expect("the program runs"));
    let files: Vec<std::path::PathBuf> = ["circuits", "content"]
        .into_iter()
        .flat_map(|folder| std::fs::read_dir(book.join(folder)).expect("a folder"))
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.is_file())
        .collect();
    let whole: Vec<String> =
        files.iter().map(|path| std::fs::read_to_string(path).expect("a text")).collect();
    let mut random = Random::new(7);
    let (began, mut edits, mut first) = (Instant::now(), 0, None);
    while began.elapsed() < Duration::from_secs(seconds) {
        let at = random.below(files.len());
        let mut lines: Vec<&str> = whole[at].lines().collect();
        let line = random.below(lines.len());
        match random.below(4) {
            0 => drop(lines.remove(line)),
            1 => lines.insert(line, lines[random.below(lines.len())]),
            // An editor that is half way through.
            2 => lines.truncate(line),
            _ => {}
        }
        std::fs::write(&files[at], lines.join("\n") + "\n").expect("the folder can be written");
        edits += 1;
        std::thread::sleep(Duration::from_millis(20 + random.below(500) as u64));
        assert!(run.0.try_wait().expect("a process").is_none(), "it ended at edit {edits}");
        if began.elapsed() > Duration::from_secs(seconds / 5) {
            first = first.or_else(|| held(&run.0));
        }
    }
    let mut command = program();
    command.args(["prove", "--book"]).arg(&book).stdout(std::process::Stdio::piped());
    let fresh = command.output().expect("the program runs").stdout;
    let fresh = String::from_utf8(fresh).expect("a text");
    let wanted = stamp(&fresh).expect("a stamp");
    let began = Instant::now();
    while stamp(&std::fs::read_to_string(&said).expect("a text")) != Some(wanted) {
        assert!(began.elapsed() < PATIENCE, "the last book is never proved: {wanted}");
        std::thread::sleep(Duration::from_millis(50));
    }
    let last = held(&run.0);
    println!("{edits} edits, {first:?} KiB, then {last:?} KiB");
    if let (Some(first), Some(last)) = (first, last) {
        assert!(last < 2 * first + 50_000, "it holds {first} KiB, then {last} KiB");
    }
}
