//! Turns a plan into the new book on disk: what goes is moved into the room of the swap, then what comes is moved out of it; and a
//! swap that did not end into the old book.
//!
//! Moving a file away before looking at it closes the gap between the look and the deed: what turns out to be somebody's is
//! moved back. What comes is linked to its place, which fails where something stands.

use super::list::{Kept, List, Made, hash};
use super::place::{Ground, Standing};
use super::plan::{DOOR, Plan};
use crate::command::Failure;
use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Lets the new book take the old one's place. After a failure the swap stands in the list, to be taken back.
pub fn run(ground: &Ground, list: &mut List, plan: &Plan) -> Result<(), Failure> {
    list.stands = plan.stays.clone();
    list.goes = plan.goes.clone();
    list.comes = plan.comes();
    list.save(ground)?;
    let room = ground.room(list);
    take_away(ground, &room, &list.goes)?;
    put(ground, &room, plan)?;
    list.stands.append(&mut list.comes);
    list.goes.clear();
    list.save(ground)
}

/// Moves away what goes, the door first, and removes the folders that this leaves empty.
fn take_away(ground: &Ground, room: &Path, goes: &Made) -> Result<(), Failure> {
    let mut files: Vec<(PathBuf, &String, &String)> =
        files(goes).map(|(number, path, written)| (room.join(format!("-{number}")), path, written)).collect();
    files.sort_by_key(|(_, path, _)| *path != DOOR);
    for (gone, path, written) in files {
        if matches!(ground.look(path)?, Standing::Strange(_)) {
            return Err(changed(path));
        }
        match fs::rename(ground.at(path), &gone) {
            Ok(()) => {}
            Err(error) if error.kind() == ErrorKind::NotFound => continue,
            Err(error) => return Err(Failure(format!("cannot move {path}: {error}"))),
        }
        if !holds(&gone, written) {
            return Err(changed(path));
        }
    }
    for path in folders(goes).rev() {
        remove_if_empty(&ground.at(path));
    }
    Ok(())
}

/// Moves what comes to its place, the door last.
fn put(ground: &Ground, room: &Path, plan: &Plan) -> Result<(), Failure> {
    for path in folders(&plan.comes()) {
        match fs::create_dir(ground.at(path)) {
            Err(error) if error.kind() != ErrorKind::AlreadyExists => {
                return Err(Failure(format!("cannot make the folder {path}: {error}")));
            }
            _ => {}
        }
    }
    for (number, coming) in plan.coming().iter().enumerate() {
        let path = coming.path;
        if ground.look(path)? != Standing::Nothing {
            return Err(changed(path));
        }
        place(&room.join(format!("+{number}")), &ground.at(path)).map_err(|error| match error.kind() {
            ErrorKind::AlreadyExists => changed(path),
            _ => Failure(format!("cannot write {path}: {error}")),
        })?;
    }
    Ok(())
}

/// Puts the old book back, whole, as far as others have left it. What others changed or put in the way meanwhile stays as it is.
pub fn take_back(ground: &Ground, list: &mut List) -> Result<(), Failure> {
    if list.is_swapping() {
        let room = ground.room(list);
        for (number, path, written) in files(&list.comes) {
            if ground.look(path)? == Standing::File(written.clone()) {
                fs::rename(ground.at(path), room.join(format!("~{number}")))
                    .map_err(|error| Failure(format!("cannot take {path} back: {error}")))?;
            }
        }
        for path in folders(&list.comes).rev() {
            remove_if_empty(&ground.at(path));
        }
        for path in folders(&list.goes) {
            // One that is there already is as good; for one that cannot be made, its files say so.
            let _ = fs::create_dir(ground.at(path));
        }
        let mut files: Vec<(usize, &String, &String)> = files(&list.goes).collect();
        files.sort_by_key(|(_, path, _)| *path == DOOR);
        for (number, path, written) in files {
            let gone = room.join(format!("-{number}"));
            if fs::symlink_metadata(&gone).is_err() {
                continue;
            }
            let back = match ground.look(path)? {
                Standing::Nothing => {
                    let target = ground.at(path);
                    fs::create_dir_all(target.parent().expect("a path below the output"))
                        .and_then(|()| place(&gone, &target))
                }
                _ => Err(io::Error::from(ErrorKind::AlreadyExists)),
            };
            // What this tool wrote may be given up; what somebody made of it may not.
            if let Err(error) = back
                && !holds(&gone, written)
            {
                let gone = gone.display();
                return Err(Failure(format!(
                    "cannot move {gone} back to {path}: {error}; move one of them away"
                )));
            }
        }
    }
    list.stands.append(&mut list.goes);
    list.comes.clear();
    list.save(ground)
}

/// Removes the room of the last swap with the files that this tool numbered in it. A swap that did not end keeps its room.
pub fn clear(ground: &Ground, list: &mut List) -> Result<(), Failure> {
    if list.room.is_none() || list.is_swapping() {
        return Ok(());
    }
    let room = ground.room(list);
    let is_folder = fs::symlink_metadata(&room).is_ok_and(|found| found.is_dir());
    let entries = if is_folder { fs::read_dir(&room)?.collect::<Result<Vec<_>, _>>()? } else { Vec::new() };
    for entry in entries {
        let name = entry.file_name().to_string_lossy().to_string();
        let number = name.strip_prefix(['+', '-', '~']);
        let numbered = number.is_some_and(|number| number.chars().all(|c| c.is_ascii_digit()));
        if numbered && entry.file_type()?.is_file() {
            fs::remove_file(entry.path())?;
        }
    }
    remove_if_empty(&room);
    list.room = None;
    list.save(ground)
}

/// Moves a file to a place where nothing stands; what appears there meanwhile stays.
fn place(from: &Path, to: &Path) -> io::Result<()> {
    if fs::symlink_metadata(from)?.is_file() {
        match fs::hard_link(from, to) {
            Ok(()) => return fs::remove_file(from),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => return Err(error),
            // Some file systems, such as those of memory sticks, have no second names.
            Err(_) => {}
        }
    }
    match fs::symlink_metadata(to) {
        Ok(_) => Err(io::Error::from(ErrorKind::AlreadyExists)),
        Err(_) => fs::rename(from, to),
    }
}

/// The files with their numbers and hashes.
fn files(made: &Made) -> impl Iterator<Item = (usize, &String, &String)> {
    made.iter().enumerate().filter_map(|(number, (path, kept))| match kept {
        Kept::File(hash) => Some((number, path, hash)),
        Kept::Folder => None,
    })
}

/// The folders, each before those inside it.
fn folders(made: &Made) -> impl DoubleEndedIterator<Item = &String> {
    made.iter().filter_map(|(path, kept)| (*kept == Kept::Folder).then_some(path))
}

fn holds(file: &Path, written: &str) -> bool {
    let plain = fs::symlink_metadata(file).is_ok_and(|found| found.is_file());
    plain && fs::read(file).is_ok_and(|bytes| hash(&bytes) == written)
}

/// The system refuses to remove a folder that holds anything, in one step with the look.
fn remove_if_empty(folder: &Path) {
    let _ = fs::remove_dir(folder);
}

fn changed(path: &str) -> Failure {
    Failure(format!(
        "nothing is written: {path} was changed or made while this run was writing; publish again"
    ))
}
