//! Turns changes in a book's folder into runs, one after a burst of changes has ended.

use super::say::tell;
use super::{Failure, Outcome};
use notify::{EventKind, RecursiveMode, Watcher};
use std::path::{Path, PathBuf};
use std::sync::mpsc;
use std::time::Duration;

/// An editor writes a file in several moves; a run begins when nothing has changed for this long.
const QUIET: Duration = Duration::from_millis(150);

/// Runs once, or, when watching, at once and after every change until the process is ended. A failed run is then reported and
/// waited out: the author is in the middle of something.
pub fn run(
    watching: bool,
    book: &Path,
    mut once: impl FnMut() -> Result<Outcome, Failure>,
) -> Result<Outcome, Failure> {
    if !watching {
        return once();
    }
    let book = std::fs::canonicalize(book)?;
    let folders: Vec<PathBuf> = ["circuits", "content", "templates"].map(|under| book.join(under)).into();
    let (sender, changes) = mpsc::channel();
    let sources = folders.clone();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
        let changed = event.is_ok_and(|event| {
            let ours = |path: &PathBuf| sources.iter().any(|folder| path.starts_with(folder));
            !matches!(event.kind, EventKind::Access(_)) && event.paths.iter().any(ours)
        });
        if changed {
            // The receiver is gone only when the process ends.
            let _ = sender.send(());
        }
    })?;
    // The book's own folder tells when one of the three is made, or made anew.
    watcher.watch(&book, RecursiveMode::NonRecursive)?;
    loop {
        for folder in &folders {
            // A folder that went and came again is watched no more: the watch was on what went.
            let _ = watcher.unwatch(folder);
            if folder.is_dir() {
                watcher.watch(folder, RecursiveMode::Recursive)?;
            }
        }
        while changes.try_recv().is_ok() {}
        if let Err(Failure(reason)) = once() {
            tell(format_args!("goodground: {reason}"));
        }
        tell("  waiting for a change; end with Ctrl-C");
        changes.recv()?;
        while changes.recv_timeout(QUIET).is_ok() {}
    }
}
