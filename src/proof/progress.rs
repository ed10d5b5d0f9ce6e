//! Turns the work that a long proof has done into how far it has come.

use std::sync::atomic::{AtomicUsize, Ordering};

/// Takes note of how far a long proof has come; called from several threads.
pub trait Progress: Sync {
    /// `done` of `total` steps of work of a stage are finished.
    fn at(&self, stage: &'static str, done: usize, total: usize);
}

/// No progress is reported.
pub struct Silent;

impl Progress for Silent {
    fn at(&self, _: &'static str, _: usize, _: usize) {}
}

/// So many steps of work go by between two reports.
const BETWEEN: usize = 64;

/// Counts the steps of work of one stage.
pub struct Tally<'p> {
    progress: &'p dyn Progress,
    stage: &'static str,
    total: usize,
    done: AtomicUsize,
}

impl<'p> Tally<'p> {
    /// A stage of so many steps, none of them done.
    pub fn new(progress: &'p dyn Progress, stage: &'static str, total: usize) -> Tally<'p> {
        Tally { progress, stage, total, done: AtomicUsize::new(0) }
    }

    /// So many more steps are done.
    pub fn tick(&self, steps: usize) {
        let before = self.done.fetch_add(steps, Ordering::Relaxed);
        let done = before + steps;
        if self.total < BETWEEN || before / BETWEEN != done / BETWEEN || done == self.total {
            self.progress.at(self.stage, done, self.total);
        }
    }
}
