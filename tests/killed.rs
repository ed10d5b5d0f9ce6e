//! Turns publishing that is killed at one moment after another into the book that is there afterwards, and after the next run.
//!
//! `KILLS=200` in the environment kills it as often; a run of every day makes do with fewer.

use crate::shelf::{Files, Shelf, own, pages};
use std::path::Path;
use std::time::{Duration, Instant};

/// Moments at which it is killed: a third of them over the whole run, a third from the moment when it begins to write, and a third
/// from the moment when it begins to let one book take the other's place.
const KILLS: u32 = 24;

/// How long the writing takes, and the last part of it, as far as kills are spread over them.
const WRITING: Duration = Duration::from_millis(40);
const SWAPPING: Duration = Duration::from_millis(6);

#[test]
fn a_killed_run_leaves_no_mixed_book_and_the_next_one_makes_it_whole() {
    let kills = std::env::var("KILLS").map_or(KILLS, |text| text.parse().expect("a number"));
    let shelf = Shelf::new();
    let (one, two) = (shelf.book("First"), shelf.book("Second"));
    let (first, second) = (shelf.whole(&one), shelf.whole(&two));
    assert_ne!(first, second);
    let out = shelf.path("out");
    let begin = Instant::now();
    shelf.publish_to(&one, &out);
    let takes = begin.elapsed();
    shelf.put_mine(&out);
    let (mut old, mut new, mut half) = (0, 0, 0);
    for kill in 0..kills {
        shelf.publish_to(&one, &out);
        let mut run = shelf.start(&two, &out);
        let share = f64::from(kill / 3) / f64::from(kills / 3);
        let mut until = |begun: fn(&Path) -> bool| {
            while !begun(&out) && run.try_wait().expect("it can be asked").is_none() {
                std::thread::yield_now();
            }
        };
        match kill % 3 {
            0 => std::thread::sleep(takes.mul_f64(share)),
            1 => {
                until(is_writing);
                std::thread::sleep(WRITING.mul_f64(share));
            }
            _ => {
                until(is_swapping);
                std::thread::sleep(SWAPPING.mul_f64(share));
            }
        }
        run.kill().expect("it can be killed, or has ended");
        run.wait().expect("it has ended");
        let found = pages(&out);
        match found.contains_key(Path::new("index.html")) {
            true if found == first => old += 1,
            true => {
                assert!(found == second, "kill {kill}: two editions side by side");
                new += 1;
            }
            false => {
                half += 1;
                let of = |book: &Files| found.iter().all(|(path, bytes)| book.get(path) == Some(bytes));
                assert!(of(&first) || of(&second), "kill {kill}: two editions side by side");
            }
        }
        shelf.has_mine(&out);
        shelf.publish_to(&two, &out);
        assert!(pages(&out) == second, "kill {kill}: the next run makes the book whole");
        shelf.has_mine(&out);
        assert_eq!(own(&out), ["files", "lock"], "kill {kill}: nothing else is left");
    }
    println!("{kills} kills: {old} left the old book, {new} the new one, {half} none that can be opened");
    assert!(old > 0 && new + half > 0, "no kill came while it wrote");
}

/// Whether a run has made the room for what comes and goes.
fn is_writing(out: &Path) -> bool {
    std::fs::read_dir(out.join(".goodground")).is_ok_and(|entries| {
        entries.filter_map(Result::ok).any(|entry| entry.file_name().to_string_lossy().starts_with("swap-"))
    })
}

/// Whether a run has begun to take the old book away.
fn is_swapping(out: &Path) -> bool {
    std::fs::read_to_string(out.join(".goodground/files")).is_ok_and(|list| list.contains("\n+ "))
}
