//! Turns the proof's progress into a bar with an estimate of the time left, on a terminal only.

use super::say::is_dumb;
use crate::proof::Progress;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::sync::Mutex;

/// A bar on the error stream. It draws nothing where that is no terminal, or one that cannot draw over a line.
pub struct Bar {
    bar: ProgressBar,
    stage: Mutex<&'static str>,
}

impl Bar {
    /// A bar that has not begun.
    pub fn new() -> Bar {
        let target =
            if is_dumb() { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr_with_hz(8) };
        let bar = ProgressBar::with_draw_target(Some(0), target);
        let style = ProgressStyle::with_template("  {msg:<11} {wide_bar} {pos}/{len}  {eta} left")
            .expect("the template is well formed")
            .progress_chars("=> ");
        bar.set_style(style);
        Bar { bar, stage: Mutex::new("") }
    }

    /// Takes the bar off the screen.
    pub fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

impl Progress for Bar {
    fn at(&self, stage: &'static str, done: usize, total: usize) {
        let mut current = self.stage.lock().expect("no thread panics while it holds the name of a stage");
        if *current != stage {
            *current = stage;
            self.bar.reset();
            self.bar.set_message(stage);
        }
        self.bar.set_length(total as u64);
        self.bar.set_position(done as u64);
    }
}
