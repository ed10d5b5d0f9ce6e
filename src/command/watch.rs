//! Turns changes in a book's folder into runs, one after a burst of changes has ended.

use super::{Failure, Outcome};
use notify::{EventKind, RecursiveMode, Watcher};
use std::path::Path;
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
    let (sender, changes) = mpsc::channel();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
        let changed = event.is_ok_and(|event| !matches!(event.kind, EventKind::Access(_)));
        if changed {
            // The receiver is gone only when the process ends.
            let _ = sender.send(());
        }
    })?;
    for under in ["circuits", "content", "templates"] {
        let folder = book.join(under);
        if folder.is_dir() {
            watcher.watch(&folder, RecursiveMode::Recursive)?;
        }
    }
    loop {
        if let Err(Failure(reason)) = once() {
            eprintln!("goodground: {reason}");
        }
        eprintln!("  waiting for a change; end with Ctrl-C");
        changes.recv()?;
        while changes.recv_timeout(QUIET).is_ok() {}
    }
}
