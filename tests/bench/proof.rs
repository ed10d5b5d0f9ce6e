//! Turns the proof of a large generated book and its output into seconds for each stage, faults per second, and the most memory.
//!
//! `cargo bench --bench proof`, or `cargo bench --bench proof -- 25` for a book of 25 sheets.

// A benchmark reads the clock and prints.
#![allow(clippy::disallowed_macros, clippy::disallowed_methods, clippy::disallowed_types)]

#[path = "../large/mod.rs"]
mod large;

use goodground::book::Book;
use goodground::page::{Request, pages};
use goodground::proof::illustrate::illustrate;
use goodground::proof::{self, Progress, Proof};
use goodground::source::Sources;
use goodground::study::{lab, quiz};
use goodground::{check, read};
use std::sync::Mutex;
use std::time::Instant;

/// Sheets of the book that the promise speaks of: in four builds, with five thousand faults, under 60 s and 1 GiB on two cores.
const SHEETS: usize = 100;

/// When each stage was last heard of.
struct Stages {
    start: Instant,
    last: Mutex<Vec<(&'static str, f64, usize)>>,
}

impl Progress for Stages {
    fn at(&self, stage: &'static str, _: usize, total: usize) {
        let seconds = self.start.elapsed().as_secs_f64();
        let mut last = self.last.lock().expect("nobody panics while holding it");
        match last.iter_mut().find(|entry| entry.0 == stage) {
            Some(entry) => entry.1 = entry.1.max(seconds),
            None => last.push((stage, seconds, total)),
        }
    }
}

/// The most memory that this process has held, in MiB, as Linux counts it.
fn peak_memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kibibytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kibibytes / 1024.0)
}

fn main() {
    let asked = std::env::args().skip(1).find_map(|argument| argument.parse().ok());
    let sheets = asked.unwrap_or(SHEETS);
    let sources = large::book(sheets);
    let start = Instant::now();
    let (book, findings) = read::read(&sources, &[]);
    assert_eq!(findings.iter().count(), 0, "the book can be read");
    let (builds, faults) = (book.builds.len(), book.faults.len());
    println!("{sheets} sheets, {builds} builds, {faults} faults");
    println!("{:<12} {:>8.2} s", "read", start.elapsed().as_secs_f64());
    let stages = Stages { start: Instant::now(), last: Mutex::default() };
    let proof = proof::prove(&book, &stages);
    let seconds = stages.start.elapsed().as_secs_f64();
    let mut from = 0.0;
    for (stage, to, total) in stages.last.into_inner().expect("nobody panicked while holding it") {
        println!("{stage:<12} {:>8.2} s for {total}", to - from);
        from = to;
    }
    let shown = proof.faults.iter().filter(|showing| showing.shown.is_some()).count();
    let found = check::check(&book, &proof).sorted().len();
    assert_eq!(found, 0, "the book proves clean");
    println!("{} walks of a fault through a checkout, {shown} show it", proof.walks);
    let memory = peak_memory().map_or("unknown".to_string(), |mebibytes| format!("{mebibytes:.0} MiB"));
    let rate = (faults * builds) as f64 / seconds;
    println!("proof: {seconds:.1} s, {rate:.0} faults in a build per second, peak memory {memory}");
    publish(&book, &sources, &proof);
}

/// From the proof to the bytes of every file, study pack included.
fn publish(book: &Book, sources: &Sources, proof: &Proof) {
    let start = Instant::now();
    let mut from = 0.0;
    let mut stage = |words: &str| {
        let seconds = start.elapsed().as_secs_f64();
        println!("{words:<20} {:>8.2} s", seconds - from);
        from = seconds;
    };
    let illustrations = illustrate(book);
    stage("states and evidence");
    let questions = quiz::ask(book, proof, &illustrations.live, quiz::seed(book), quiz::EACH);
    stage("questions");
    let labs = lab::labs(book, proof, &illustrations.live);
    stage("labs");
    let (outputs, findings) = pages(&Request {
        book,
        sources,
        proof,
        illustrations: &illustrations,
        questions: &questions,
        labs: &labs,
        stamp: "00000-00000",
        findings: &[],
        draft: false,
        watched: false,
    });
    stage("pages");
    assert_eq!(findings.iter().count(), 0, "the templates are complete");
    let bytes: usize = outputs.iter().map(|output| output.bytes.len()).sum();
    println!(
        "output: {:.2} s for {} questions, {} labs, {} files of {:.1} MB",
        start.elapsed().as_secs_f64(),
        questions.len(),
        labs.len(),
        outputs.len(),
        bytes as f64 / 1e6
    );
}
