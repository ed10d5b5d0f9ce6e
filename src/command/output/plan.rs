//! Turns what stands in an output folder and what a book is made of into what stays, goes and comes; or names what is in the way.

use super::list::{Kept, List, Made, hash, is_inside};
use super::place::{Ground, Standing};
use crate::command::Failure;
use crate::page::Output;
use std::collections::{BTreeMap, BTreeSet};

/// The page that a reader opens first: it goes first and comes last, so that a book that can be opened is whole.
pub const DOOR: &str = "index.html";

/// The script by which an open page hears that the book was written again: it comes after all that it speaks of.
pub const CALL: &str = "written.js";

/// A file that has to be written.
pub struct Coming<'a> {
    pub path: &'a str,
    pub hash: String,
    pub bytes: &'a [u8],
}

/// What a swap has to do.
pub struct Plan<'a> {
    pub stays: Made,
    pub goes: Made,
    coming: Vec<Coming<'a>>,
    folders: BTreeSet<String>,
}

impl<'a> Plan<'a> {
    /// Compares the folder with the book. Files that are not as this tool wrote them, and things that stand where it has to
    /// write, are named, every one of them, and nothing is done.
    pub fn of(ground: &Ground, list: &List, outputs: &'a [Output]) -> Result<Plan<'a>, Failure> {
        let mut wanted: BTreeMap<&str, Coming> = BTreeMap::new();
        for output in outputs {
            if !is_inside(&output.path) {
                return Err(Failure(format!("`{}` is no path that a page can have", output.path)));
            }
            let coming = Coming { path: &output.path, hash: hash(&output.bytes), bytes: &output.bytes };
            if wanted.insert(&output.path, coming).is_some() {
                return Err(Failure(format!("two pages of the book land on {}", output.path)));
            }
        }
        let (mut stays, mut goes) = (Made::new(), Made::new());
        let mut wrong = Vec::new();
        for (path, kept) in &list.stands {
            let Kept::File(written) = kept else { continue };
            match ground.look(path)? {
                Standing::Nothing => {}
                Standing::File(found) if found == *written => {
                    let same = wanted.get(path.as_str()).is_some_and(|coming| coming.hash == found);
                    if same { &mut stays } else { &mut goes }.insert(path.clone(), kept.clone());
                }
                Standing::File(_) => wrong.push(format!("{path} was changed since it was written")),
                Standing::Folder => wrong.push(format!("{path} is a folder now")),
                Standing::Strange(what) => wrong.push(format!("{path} {what}")),
            }
        }
        let mut coming: Vec<Coming> =
            wanted.into_values().filter(|coming| !stays.contains_key(coming.path)).collect();
        // The door is moved even where it is the same, as long as anything behind it is.
        if (!coming.is_empty() || !goes.is_empty())
            && let Some(door) = stays.remove(DOOR)
        {
            goes.insert(DOOR.to_string(), door);
            let output = outputs.iter().find(|output| output.path == DOOR).expect("what stays is wanted");
            coming.push(Coming { path: DOOR, hash: hash(&output.bytes), bytes: &output.bytes });
        }
        coming.sort_by_key(|coming| (coming.path == CALL, coming.path == DOOR, coming.path));
        for coming in coming.iter().filter(|coming| !list.stands.contains_key(coming.path)) {
            match ground.look(coming.path)? {
                Standing::Nothing => {}
                // A file system that does not tell capitals from small letters shows the old file under the new name.
                Standing::File(found) if is_renamed(coming.path, &found, &goes) => {}
                Standing::File(_) => wrong
                    .push(format!("{} stands where a page has to be, and is not this tool's", coming.path)),
                Standing::Folder => {
                    wrong.push(format!("{} is a folder; a page has to be there", coming.path))
                }
                Standing::Strange(what) => wrong.push(format!("{} {what}", coming.path)),
            }
        }
        if !wrong.is_empty() {
            wrong.sort();
            wrong.dedup();
            return Err(Failure(format!(
                "nothing is written, because of what is in {}:\n  {}\nMove away or delete what is named here, then publish again.",
                ground.at("").display(),
                wrong.join("\n  ")
            )));
        }
        let mut folders = BTreeSet::new();
        for path in outputs.iter().map(|output| &output.path) {
            for (at, _) in path.match_indices('/') {
                let folder = &path[..at];
                let own = list.stands.get(folder) == Some(&Kept::Folder);
                match ground.look(folder)? {
                    Standing::Folder if own => drop(stays.insert(folder.to_string(), Kept::Folder)),
                    Standing::Folder => {}
                    _ => drop(folders.insert(folder.to_string())),
                }
            }
        }
        for (path, kept) in list.stands.iter().filter(|(_, kept)| **kept == Kept::Folder) {
            if !stays.contains_key(path) && !folders.contains(path) {
                goes.insert(path.clone(), kept.clone());
            }
        }
        Ok(Plan { stays, goes, coming, folders })
    }

    /// The files to write, the door last but for the call; a file's place here is its number in the room of the swap.
    pub fn coming(&self) -> &[Coming<'a>] {
        &self.coming
    }

    /// All that is made: the folders that are not there yet, and the files.
    pub fn comes(&self) -> Made {
        let folders = self.folders.iter().map(|path| (path.clone(), Kept::Folder));
        let files =
            self.coming.iter().map(|coming| (coming.path.to_string(), Kept::File(coming.hash.clone())));
        folders.chain(files).collect()
    }

    /// Whether the book that stands there is the one to write.
    pub fn changes_nothing(&self) -> bool {
        self.goes.is_empty() && self.coming.is_empty()
    }
}

/// Whether a file that stands at a new path is one that goes, seen under another spelling of its name.
fn is_renamed(path: &str, found: &str, goes: &Made) -> bool {
    goes.iter().any(|(old, kept)| {
        old != path
            && old.to_lowercase() == path.to_lowercase()
            && matches!(kept, Kept::File(hash) if hash == found)
    })
}
