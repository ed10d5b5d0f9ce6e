//! Turns an output folder into one that this run alone writes to, as long as it holds the lock.

use super::OWN;
use super::place::{Place, Standing};
use crate::command::Failure;
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

/// Whether the file that was opened still stands under its name.
fn is_still(file: &File, path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let (Ok(opened), Ok(standing)) = (file.metadata(), fs::metadata(path)) else {
            return false;
        };
        (opened.dev(), opened.ino()) == (standing.dev(), standing.ino())
    }
    // A file that is open cannot be replaced there.
    #[cfg(not(unix))]
    {
        let _ = file;
        path.exists()
    }
}
