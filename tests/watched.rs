//! Turns changes in a watched book's folder into the book that is published after each.

use crate::shelf::{Shelf, program};
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
