//! Turns the record of what this tool wrote into an output folder into text and back.
//!
//! A line is a mark, a hash or the word `folder`, and a path: `=` stands there; while a swap is under way, `-` goes and `+`
//! comes. The line `room` names the folder in which a swap keeps its files: nothing else is ever cleared away.

use super::place::Ground;
use super::{OWN, write_durably};
use crate::command::Failure;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::fs;
use std::io::ErrorKind;
use std::path::PathBuf;
use std::time::SystemTime;

/// The first line: what the file is, and in which form.
const HEAD: &str = "goodground files 1";

/// The beginning of a room's name.
const ROOM: &str = "swap-";

/// What a line speaks of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kept {
    Folder,
    /// A file with its hash.
    File(String),
}

/// Paths from the output's root, with `/`, each with what this tool made there.
pub type Made = BTreeMap<String, Kept>;

/// What this tool wrote into a folder.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct List {
    /// What stands there now and stays.
    pub stands: Made,
    /// What a swap that has begun takes away, and what it puts in its place.
    pub goes: Made,
    pub comes: Made,
    /// The room of the last swap that was begun and not cleared.
    pub room: Option<String>,
}

/// SHA-256 in hexadecimal digits.
pub fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        // Writing into a text cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

impl List {
    /// The list of a folder; one that has none gets an empty one, which marks the folder as this tool's.
    pub fn load(ground: &Ground) -> Result<List, Failure> {
        let path = ground.own().join("files");
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == ErrorKind::NotFound => {
                let list = List::default();
                list.save(ground)?;
                return Ok(list);
            }
            Err(error) => return Err(Failure(format!("cannot read {}: {error}", path.display()))),
        };
        parse(&text).ok_or_else(|| {
            Failure(format!(
                "{} is damaged, so it cannot be told which files are this tool's; move yours elsewhere, then delete the folder",
                path.display()
            ))
        })
    }

    /// Writes the list to the folder, in one step.
    pub fn save(&self, ground: &Ground) -> Result<(), Failure> {
        let (path, beside) = (ground.own().join("files"), ground.own().join("files-next"));
        let cannot = |error| Failure(format!("cannot write {}: {error}", path.display()));
        match fs::remove_file(&beside) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(cannot(error)),
            _ => {}
        }
        write_durably(&beside, self.text().as_bytes()).map_err(cannot)?;
        fs::rename(&beside, &path).map_err(cannot)?;
        #[cfg(unix)]
        fs::File::open(ground.own()).and_then(|own| own.sync_all()).map_err(cannot)?;
        Ok(())
    }

    /// Whether a swap was begun and did not end.
    pub fn is_swapping(&self) -> bool {
        !self.goes.is_empty() || !self.comes.is_empty()
    }

    /// Gives the next swap a room with a name that no other run has had.
    pub fn name_room(&mut self, ground: &Ground) -> Result<(), Failure> {
        let now = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
        self.room = Some(format!("{ROOM}{}-{}", std::process::id(), now.as_nanos()));
        self.save(ground)
    }

    fn text(&self) -> String {
        let mut text = format!("{HEAD}\n");
        if let Some(room) = &self.room {
            text += &format!("room {room}\n");
        }
        for (mark, made) in [('=', &self.stands), ('-', &self.goes), ('+', &self.comes)] {
            for (path, kept) in made {
                let what = match kept {
                    Kept::Folder => "folder",
                    Kept::File(hash) => hash,
                };
                text += &format!("{mark} {what} {path}\n");
            }
        }
        text
    }
}

impl Ground {
    /// The folder in which a swap keeps what comes and what goes.
    pub fn room(&self, list: &List) -> PathBuf {
        self.own().join(list.room.as_deref().expect("a swap has a room"))
    }
}

/// None for a text that is no list, or that names a place which this tool cannot have written to.
fn parse(text: &str) -> Option<List> {
    // A list ends with a line end: half of one has lost it, or lost its last lines.
    let rest = text.strip_prefix(HEAD)?.strip_prefix('\n')?;
    let mut list = List::default();
    for line in rest.split_terminator('\n') {
        let (mark, rest) = line.split_once(' ')?;
        if mark == "room" {
            let name = rest.strip_prefix(ROOM)?;
            let plain = name.chars().all(|c| c.is_ascii_digit() || c == '-');
            list.room = plain.then(|| Some(rest.to_string()))?;
            continue;
        }
        let (what, path) = rest.split_once(' ')?;
        let kept = match what {
            "folder" => Kept::Folder,
            hash if hash.len() == 64 && hash.chars().all(|c| c.is_ascii_hexdigit()) => {
                Kept::File(hash.to_string())
            }
            _ => return None,
        };
        let made = match mark {
            "=" => &mut list.stands,
            "-" => &mut list.goes,
            "+" => &mut list.comes,
            _ => return None,
        };
        made.insert(is_inside(path).then(|| path.to_string())?, kept);
    }
    (list.room.is_some() || !list.is_swapping()).then_some(list)
}

/// Whether a path stays in the output folder and out of the tool's own.
pub fn is_inside(path: &str) -> bool {
    let plain = |name: &str| !name.is_empty() && name != "." && name != ".." && !name.contains(['\\', ':']);
    path.split('/').all(plain)
        && !path.contains(char::is_control)
        && !path.split('/').next().is_some_and(|first| first.eq_ignore_ascii_case(OWN))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_read_as_it_was_written() {
        let file = |text: &str| Kept::File(hash(text.as_bytes()));
        let list = List {
            stands: Made::from([("pages".into(), Kept::Folder), ("pages/a b.html".into(), file("a"))]),
            goes: Made::from([("index.html".into(), file("old"))]),
            comes: Made::from([("index.html".into(), file("new")), ("more".into(), Kept::Folder)]),
            room: Some("swap-12-34".into()),
        };
        assert_eq!(parse(&list.text()), Some(list));
        assert_eq!(parse(&List::default().text()), Some(List::default()));
    }

    #[test]
    fn a_forged_list_names_nothing_outside() {
        let hash = hash(b"x");
        for path in ["/etc/passwd", "../x", "a/../x", "a//b", "./a", "", "C:x", "a\\b", ".goodground/lock"] {
            assert_eq!(parse(&format!("{HEAD}\n= {hash} {path}\n")), None, "{path}");
        }
        assert!(parse(&format!("{HEAD}\n= {hash} a/b.html\n")).is_some());
        for room in ["../../x", "swap-../x", "mine", "swap-a"] {
            assert_eq!(parse(&format!("{HEAD}\nroom {room}\n")), None, "{room}");
        }
        assert_eq!(parse(&format!("{HEAD}\n- {hash} a.html\n")), None, "a swap without a room");
        assert_eq!(parse("index.html\n"), None);
    }
}
