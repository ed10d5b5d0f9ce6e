//! Turns an output folder into one that this run alone writes to, as long as it holds the lock.

use super::OWN;
use super::place::{Place, Standing};
use crate::command::Failure;
use same_file::Handle;
use std::fs::{self, File, TryLockError};
use std::path::Path;
use std::time::{Duration, Instant};

/// How long a run waits for another one that writes to the same folder: that takes less than a second, unless it was stopped.
const PATIENCE: Duration = Duration::from_secs(20);

/// How often a waiting run looks again.
const PAUSE: Duration = Duration::from_millis(20);

/// Makes the folder if it is not there, and waits until no other run writes to it. The system takes the lock away from a run that
/// ends in whatever way; the file itself stays, because one that is removed could be locked twice.
pub fn take(place: &Place) -> Result<File, Failure> {
    let cannot =
        |error: std::io::Error| Failure(format!("cannot write to {}: {error}", place.path().display()));
    let path = place.path().join(OWN).join("lock");
    let began = Instant::now();
    loop {
        fs::create_dir_all(place.path().join(OWN)).map_err(cannot)?;
        if let Standing::Strange(what) = place.ground()?.look(OWN)? {
            return Err(Failure(format!("nothing is written: {OWN} in {} {what}", place.path().display())));
        }
        let file = File::options().create(true).truncate(false).write(true).open(&path).map_err(cannot)?;
        match file.try_lock() {
            Ok(()) if is_still(&file, &path) => return Ok(file),
            // Somebody removed the folder meanwhile, and perhaps made it anew.
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {}
            Err(TryLockError::Error(error)) => return Err(cannot(error)),
        }
        if began.elapsed() > PATIENCE {
            let out = place.path().display();
            return Err(Failure(format!("nothing is written: another run is writing to {out}")));
        }
        std::thread::sleep(PAUSE);
    }
}

/// Whether the file that was opened still stands under its name: every system lets others move or remove one that is open.
fn is_still(file: &File, path: &Path) -> bool {
    let opened = file.try_clone().and_then(Handle::from_file);
    matches!((opened, Handle::from_path(path)), (Ok(opened), Ok(standing)) if opened == standing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_was_made_anew_is_another() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let (path, other) = (folder.path().join("lock"), folder.path().join("other"));
        let file = File::create(&path).expect("a file");
        assert!(is_still(&file, &path));
        fs::rename(&path, other).expect("it can be moved");
        assert!(!is_still(&file, &path), "nothing stands there");
        File::create(&path).expect("a file");
        assert!(!is_still(&file, &path), "another one stands there");
    }
}
