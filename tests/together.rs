//! Turns two publishes at once, into one folder or two beside each other, into one whole book each, while a user writes there.
//!
//! `PAIRS=200` in the environment runs as many pairs; a run of every day makes do with fewer.

use crate::shelf::{Files, Shelf, own, pages};
use std::path::{Path, PathBuf};
use std::process::Child;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// Pairs of publishes.
const PAIRS: u32 = 10;

/// Ends a run: its exit code, and what it said.
fn end(run: Child) -> (Option<i32>, String) {
    let ended = run.wait_with_output().expect("it has ended");
    (ended.status.code(), String::from_utf8_lossy(&ended.stderr).to_string())
}

/// A user who writes files into folders of the output while `work` goes on; returns what was written.
fn meanwhile(outs: &[PathBuf], work: impl FnOnce()) -> Vec<PathBuf> {
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let user = scope.spawn(|| {
            let mut written = Vec::new();
            while !done.load(Ordering::Relaxed) {
                for out in outs {
                    for under in ["", "pages", "ours"] {
                        let path = out.join(under).join(format!("during-{}.txt", written.len()));
                        std::fs::write(&path, "written during the run").expect("the folder is there");
                        written.push(path);
                    }
                }
                std::thread::sleep(Duration::from_millis(1));
            }
            written
        });
        work();
        done.store(true, Ordering::Relaxed);
        user.join().expect("the user is well")
    })
}

#[test]
fn two_publishes_at_once_end_in_one_whole_book_and_lose_nothing() {
    let pairs = std::env::var("PAIRS").map_or(PAIRS, |text| text.parse().expect("a number"));
    let shelf = Shelf::new();
    let (one, two) = (shelf.book("First"), shelf.book("Second"));
    let (first, second) = (shelf.whole(&one), shelf.whole(&two));
    let (left, right) = (shelf.path("left"), shelf.path("right"));
    for out in [&left, &right] {
        shelf.publish_to(&one, out);
        shelf.put_mine(out);
    }
    let holds = |out: &Path, books: &[&Files], pair: u32| {
        let found = pages(out);
        assert!(books.iter().any(|book| **book == found), "pair {pair}: the book is whole");
        assert_eq!(own(out), ["files", "lock"], "pair {pair}: nothing else is left");
    };
    let mut written = 0;
    for pair in 0..pairs {
        let fresh = shelf.path(&format!("fresh-{pair}"));
        match pair % 4 {
            // One folder.
            0 => {
                let files = meanwhile(std::slice::from_ref(&left), || {
                    let runs = [shelf.start(&one, &left), shelf.start(&two, &left)];
                    for (code, said) in runs.map(end) {
                        assert_eq!(code, Some(0), "pair {pair}: {said}");
                    }
                });
                holds(&left, &[&first, &second], pair);
                written += kept(files);
            }
            // Two beside each other.
            1 => {
                let files = meanwhile(&[left.clone(), right.clone()], || {
                    let runs = [shelf.start(&two, &left), shelf.start(&one, &right)];
                    for (code, said) in runs.map(end) {
                        assert_eq!(code, Some(0), "pair {pair}: {said}");
                    }
                });
                holds(&left, &[&second], pair);
                holds(&right, &[&first], pair);
                written += kept(files);
            }
            // One folder that neither has written to.
            2 => {
                let runs = [shelf.start(&one, &fresh), shelf.start(&two, &fresh)];
                for (code, said) in runs.map(end) {
                    assert_eq!(code, Some(0), "pair {pair}: {said}");
                }
                holds(&fresh, &[&first, &second], pair);
            }
            // One folder, and one of the two is killed on the way.
            _ => {
                let files = meanwhile(std::slice::from_ref(&left), || {
                    let (mut killed, run) = (shelf.start(&one, &left), shelf.start(&two, &left));
                    std::thread::sleep(Duration::from_millis(u64::from(pair * 7 % 120)));
                    killed.kill().expect("it can be killed, or has ended");
                    killed.wait().expect("it has ended");
                    let (code, said) = end(run);
                    assert_eq!(code, Some(0), "pair {pair}: {said}");
                });
                // The killed one may have been the last to write.
                shelf.publish_to(&two, &left);
                holds(&left, &[&second], pair);
                written += kept(files);
            }
        }
        shelf.has_mine(&left);
        shelf.has_mine(&right);
    }
    println!("{pairs} pairs, {written} files written meanwhile");
    assert!(written > pairs as usize, "the user wrote while they ran");
}

/// Counts what a user wrote, takes it away, and fails where anything of it is gone.
fn kept(files: Vec<PathBuf>) -> usize {
    for path in &files {
        let text = std::fs::read_to_string(path).unwrap_or_default();
        assert_eq!(text, "written during the run", "{} was lost", path.display());
        std::fs::remove_file(path).expect("it can be removed");
    }
    files.len()
}
