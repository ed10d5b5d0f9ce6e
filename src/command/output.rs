//! Turns finished files into a folder on disk, whole or not at all, and never touches a file that it did not write.
//!
//! The new folder is written beside the old one, takes over what others put into the old one as hard links, and then the two
//! change places in one system call. A run that is killed before leaves the old book as it was; one that is killed after
//! leaves the new one, and the old one's remains beside it, which the next run clears away.

use super::Failure;
use crate::page::Output;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use walkdir::WalkDir;

/// The file in the folder that lists what this tool wrote there.
const LIST: &str = ".goodground-files";

/// The beginning of the name of a folder that is being written.
const BESIDE: &str = ".goodground-writing-";

/// Writes a book's files into `out`.
pub fn write(out: &Path, outputs: &[Output]) -> Result<(), Failure> {
    let out = absolute(out)?;
    let parent = out.parent().ok_or_else(|| Failure(format!("{} has no parent folder", out.display())))?;
    fs::create_dir_all(parent)?;
    clear_remains(parent)?;
    let beside = tempfile::Builder::new().prefix(BESIDE).tempdir_in(parent)?;
    for output in outputs {
        let path = beside.path().join(&output.path);
        fs::create_dir_all(path.parent().expect("an output lies in the folder"))?;
        fs::write(&path, &output.bytes)
            .map_err(|error| Failure(format!("cannot write {}: {error}", output.path)))?;
    }
    let mut list: Vec<&str> = outputs.iter().map(|output| output.path.as_str()).collect();
    list.sort_unstable();
    fs::write(beside.path().join(LIST), list.join("\n") + "\n")?;
    open_to_readers(beside.path())?;
    if out.exists() {
        keep_foreign(&out, beside.path(), &list)?;
        exchange(beside.path(), &out)?;
        // What is left beside is the old book, whose foreign files are linked into the new one.
    } else {
        let made = beside.keep();
        fs::rename(&made, &out)?;
    }
    Ok(())
}

fn absolute(path: &Path) -> Result<PathBuf, Failure> {
    Ok(std::path::absolute(path)?)
}

/// Removes folders that a killed run left beside the book.
fn clear_remains(parent: &Path) -> Result<(), Failure> {
    for entry in fs::read_dir(parent)? {
        let entry = entry?;
        if entry.file_name().to_string_lossy().starts_with(BESIDE) {
            fs::remove_dir_all(entry.path())?;
        }
    }
    Ok(())
}

/// A temporary folder is closed to others; a book is for everyone.
fn open_to_readers(folder: &Path) -> Result<(), Failure> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(folder, fs::Permissions::from_mode(0o755))?;
    }
    Ok(())
}

/// Links every file that others put into the old folder into the new one. A file of the same name as a page of the book
/// that this tool did not write is in the way, and is not overwritten.
fn keep_foreign(old: &Path, new: &Path, written: &[&str]) -> Result<(), Failure> {
    let known: BTreeSet<String> =
        fs::read_to_string(old.join(LIST)).unwrap_or_default().lines().map(str::to_string).collect();
    for entry in WalkDir::new(old).min_depth(1).sort_by_file_name() {
        let entry = entry?;
        let relative = entry.path().strip_prefix(old)?;
        let name = relative
            .components()
            .map(|part| part.as_os_str().to_string_lossy())
            .collect::<Vec<_>>()
            .join("/");
        if name == LIST || known.contains(&name) {
            continue;
        }
        let target = new.join(relative);
        if entry.file_type().is_dir() {
            if !holds_only_known(entry.path(), old, &known) {
                fs::create_dir_all(&target)?;
            }
            continue;
        }
        if written.contains(&name.as_str()) {
            return Err(Failure(format!("{name} stands in the way: this tool did not write it")));
        }
        fs::create_dir_all(target.parent().expect("it lies in the folder"))?;
        if fs::hard_link(entry.path(), &target).is_err() {
            fs::copy(entry.path(), &target)?;
        }
    }
    Ok(())
}

/// Whether a folder of the old book has nothing in it but what this tool wrote.
fn holds_only_known(folder: &Path, old: &Path, known: &BTreeSet<String>) -> bool {
    let mut files =
        WalkDir::new(folder).into_iter().filter_map(Result::ok).filter(|entry| !entry.file_type().is_dir());
    let mut any = false;
    let all = files.all(|entry| {
        any = true;
        let relative = entry.path().strip_prefix(old).unwrap_or(entry.path());
        let name = relative
            .components()
            .map(|part| part.as_os_str().to_string_lossy())
            .collect::<Vec<_>>()
            .join("/");
        known.contains(&name)
    });
    any && all
}

/// Lets two folders change places: in one system call where there is one.
fn exchange(new: &Path, out: &Path) -> Result<(), Failure> {
    #[cfg(any(target_os = "linux", target_os = "macos"))]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        if renameat_with(CWD, new, CWD, out, RenameFlags::EXCHANGE).is_ok() {
            return Ok(());
        }
    }
    // No such call here: two moves, with the old book kept beside under a name that says what it is until the new one stands.
    let aside = out.with_extension("goodground-previous");
    fs::rename(out, &aside)?;
    fs::rename(new, out)?;
    fs::rename(&aside, new)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(path: &str, text: &str) -> Output {
        Output { path: path.to_string(), bytes: text.as_bytes().to_vec() }
    }

    fn files(folder: &Path) -> Vec<String> {
        let mut found: Vec<String> = WalkDir::new(folder)
            .into_iter()
            .filter_map(Result::ok)
            .filter(|entry| entry.file_type().is_file())
            .map(|entry| entry.path().strip_prefix(folder).unwrap().to_string_lossy().to_string())
            .collect();
        found.sort();
        found
    }

    #[test]
    fn a_second_book_replaces_the_first_and_leaves_what_others_wrote() {
        let place = tempfile::tempdir().unwrap();
        let out = place.path().join("book-out");
        write(&out, &[page("index.html", "one"), page("old/gone.html", "x")]).unwrap();
        fs::write(out.join("notes.txt"), "mine").unwrap();
        fs::create_dir(out.join("old/mine")).unwrap();
        fs::write(out.join("old/mine/kept.txt"), "mine too").unwrap();
        write(&out, &[page("index.html", "two")]).unwrap();
        assert_eq!(files(&out), [LIST, "index.html", "notes.txt", "old/mine/kept.txt"]);
        assert_eq!(fs::read_to_string(out.join("index.html")).unwrap(), "two");
        assert_eq!(fs::read_to_string(out.join("old/mine/kept.txt")).unwrap(), "mine too");
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1, "nothing is left beside the book");
    }

    #[test]
    fn a_file_that_others_wrote_is_not_overwritten() {
        let place = tempfile::tempdir().unwrap();
        let out = place.path().join("book-out");
        fs::create_dir(&out).unwrap();
        fs::write(out.join("index.html"), "mine").unwrap();
        let Err(Failure(reason)) = write(&out, &[page("index.html", "new")]) else {
            panic!("it was overwritten")
        };
        assert!(reason.contains("index.html stands in the way"), "{reason}");
        assert_eq!(fs::read_to_string(out.join("index.html")).unwrap(), "mine");
    }

    #[test]
    fn a_killed_run_leaves_remains_that_the_next_one_clears() {
        let place = tempfile::tempdir().unwrap();
        let remains = place.path().join(format!("{BESIDE}abc"));
        fs::create_dir(&remains).unwrap();
        fs::write(remains.join("half.html"), "half").unwrap();
        write(&place.path().join("book-out"), &[page("index.html", "whole")]).unwrap();
        assert!(!remains.exists());
    }
}
