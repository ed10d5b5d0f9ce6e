//! Turns what an author gave as the output folder into a folder that may be written to, or into the reason why not.

use super::OWN;
use crate::command::Failure;
use std::fs::{self, Metadata};
use std::path::{Component, Path, PathBuf};

/// An output folder that was looked at: its links are resolved, and it holds nothing of others that hides behind no list.
#[derive(Debug, Clone)]
pub struct Place(PathBuf);

impl Place {
    /// The folder `out` for the book in the folder `book`. Nothing is written yet.
    pub fn of(out: &Path, book: &Path) -> Result<Place, Failure> {
        let resolved = resolve(out)?;
        let refuse = |why: &str| Err(Failure(format!("nothing is written to {}: {why}", out.display())));
        if resolved.exists() && !resolved.is_dir() {
            return refuse("it is a file; `--out` takes a folder");
        }
        let book = fs::canonicalize(book)
            .map_err(|error| Failure(format!("cannot read the book in {}: {error}", book.display())))?;
        if book.starts_with(&resolved) {
            return refuse("the book's own sources lie in it");
        }
        for under in ["circuits", "content", "templates"] {
            let sources = fs::canonicalize(book.join(under));
            if sources.is_ok_and(|sources| resolved.starts_with(sources)) {
                return refuse(&format!("it lies in {under}/, where the book's sources are read from"));
            }
        }
        let home = std::env::home_dir().and_then(|home| fs::canonicalize(home).ok());
        if home.is_some_and(|home| home.starts_with(&resolved)) {
            return refuse("it is somebody's home, or holds one");
        }
        if resolved.parent().is_none() {
            return refuse("it is the root of a disk");
        }
        if resolved.is_dir() && !resolved.join(OWN).is_dir() && !is_new(&resolved)? {
            return refuse(
                "it holds files, and no list of what this tool wrote there; give a new or an empty folder, \
                 or move what is in it elsewhere",
            );
        }
        Ok(Place(resolved))
    }

    /// The folder's path.
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// The folder, made if need be, as the place where files are looked at.
    pub fn ground(&self) -> Result<Ground, Failure> {
        let device = device(&fs::metadata(&self.0)?);
        Ok(Ground { out: self.0.clone(), device })
    }
}

/// Whether a folder holds nothing but hidden files, such as `.gitignore`.
fn is_new(folder: &Path) -> Result<bool, Failure> {
    let cannot = |error| Failure(format!("cannot read {}: {error}", folder.display()));
    for entry in fs::read_dir(folder).map_err(cannot)? {
        if !entry.map_err(cannot)?.file_name().to_string_lossy().starts_with('.') {
            return Ok(false);
        }
    }
    Ok(true)
}

/// The path with every link in it resolved, as far as it exists; what does not exist yet follows as it was given.
fn resolve(out: &Path) -> Result<PathBuf, Failure> {
    let absolute = std::path::absolute(out)?;
    let parts: Vec<Component> = absolute.components().collect();
    let (mut there, mut count) = (PathBuf::new(), 0);
    for part in &parts {
        let next = there.join(part);
        if fs::symlink_metadata(&next).is_err() {
            break;
        }
        there = next;
        count += 1;
    }
    let mut resolved = fs::canonicalize(&there)
        .map_err(|error| Failure(format!("{} leads nowhere: {error}", there.display())))?;
    for part in &parts[count..] {
        match part {
            Component::Normal(name) if there.is_dir() => resolved.push(name),
            _ => return Err(Failure(format!("{} leads through a folder that is not there", out.display()))),
        }
    }
    Ok(resolved)
}

/// A folder whose files are looked at without leaving it: through no link, and on no other file system.
#[derive(Debug, Clone)]
pub struct Ground {
    out: PathBuf,
    device: u64,
}

/// What stands at a path of the output.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    Nothing,
    Folder,
    /// A file with the hash of what it holds.
    File(String),
    /// Something that is not ours, in words that follow the path.
    Strange(String),
}

impl Ground {
    /// A path of the output on the disk. It is joined name by name: a resolved path of Windows knows no `/`.
    pub fn at(&self, path: &str) -> PathBuf {
        path.split('/').fold(self.out.clone(), |folder, name| folder.join(name))
    }

    /// The tool's own folder.
    pub fn own(&self) -> PathBuf {
        self.out.join(OWN)
    }

    /// What stands at a path.
    pub fn look(&self, path: &str) -> Result<Standing, Failure> {
        let mut seen = String::new();
        let names: Vec<&str> = path.split('/').collect();
        for (at, name) in names.iter().enumerate() {
            seen = if seen.is_empty() { name.to_string() } else { format!("{seen}/{name}") };
            let place = self.at(&seen);
            let cannot = |error: std::io::Error| Failure(format!("cannot look at {seen}: {error}"));
            let found = match fs::symlink_metadata(&place) {
                Ok(found) => found,
                Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Standing::Nothing),
                Err(error) => return Err(cannot(error)),
            };
            let last = at + 1 == names.len();
            let strange = |what: &str| {
                let of = if last { String::new() } else { format!(" ({seen} is)") };
                Ok(Standing::Strange(format!("{what}{of}")))
            };
            if found.is_symlink() {
                return strange("is a link");
            }
            if device(&found) != self.device {
                return strange("lies on another file system, mounted there");
            }
            match (last, found.is_dir(), found.is_file()) {
                (false, true, _) => {}
                (false, false, _) => return strange("stands where a folder has to be"),
                (true, true, _) => return Ok(Standing::Folder),
                (true, _, true) => {
                    return Ok(Standing::File(super::list::hash(&fs::read(&place).map_err(cannot)?)));
                }
                (true, _, false) => return strange("is no plain file"),
            }
        }
        Ok(Standing::Nothing)
    }
}

/// The file system that something lies on. Windows shows a mounted one as a link, and links are never followed.
fn device(found: &Metadata) -> u64 {
    #[cfg(unix)]
    {
        std::os::unix::fs::MetadataExt::dev(found)
    }
    #[cfg(not(unix))]
    {
        let _ = found;
        0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(out: &Path, book: &Path) -> String {
        match Place::of(out, book) {
            Ok(place) => panic!("{} may be written to", place.path().display()),
            Err(Failure(reason)) => reason,
        }
    }

    #[test]
    fn a_folder_that_is_somebodys_is_refused() {
        let place = tempfile::tempdir().unwrap();
        let book = place.path().join("shelf/book");
        for under in ["circuits", "content/images", "templates"] {
            fs::create_dir_all(book.join(under)).unwrap();
        }
        for inside in ["content", "content/images", "content/new", "circuits/new/deep", "templates"] {
            let reason = refused(&book.join(inside), &book);
            assert!(reason.contains("where the book's sources are read from"), "{inside}: {reason}");
        }
        for above in [book.clone(), place.path().join("shelf"), PathBuf::from("/")] {
            assert!(refused(&above, &book).contains("sources lie in it"), "{}", above.display());
        }
        let home = std::env::home_dir().expect("a home");
        assert!(refused(&home, &book).contains("home"));
        fs::write(place.path().join("file"), "mine").unwrap();
        assert!(refused(&place.path().join("file"), &book).contains("takes a folder"));
        assert!(refused(&place.path().join("file/deeper"), &book).contains("leads"));
        fs::create_dir(place.path().join("full")).unwrap();
        fs::write(place.path().join("full/notes.txt"), "mine").unwrap();
        assert!(refused(&place.path().join("full"), &book).contains("no list"));
        assert!(refused(&place.path().join("gone/../book-out"), &book).contains("not there"));
    }

    #[test]
    fn a_new_folder_is_taken_and_so_is_one_with_hidden_files() {
        let place = tempfile::tempdir().unwrap();
        let book = place.path().join("book");
        fs::create_dir_all(book.join("content")).unwrap();
        assert!(Place::of(&book.join("book-out"), &book).is_ok());
        fs::create_dir(book.join("book-out")).unwrap();
        fs::write(book.join("book-out/.gitignore"), "*").unwrap();
        assert!(Place::of(&book.join("book-out"), &book).is_ok());
    }

    #[test]
    #[cfg(unix)]
    fn a_link_is_resolved_first_and_one_to_nothing_is_refused() {
        let place = tempfile::tempdir().unwrap();
        let book = place.path().join("book");
        fs::create_dir_all(book.join("content")).unwrap();
        let real = place.path().join("real");
        fs::create_dir(&real).unwrap();
        let link = place.path().join("link");
        std::os::unix::fs::symlink(&real, &link).unwrap();
        assert_eq!(Place::of(&link, &book).unwrap().path(), fs::canonicalize(&real).unwrap());
        fs::remove_file(&link).unwrap();
        std::os::unix::fs::symlink(book.join("content"), &link).unwrap();
        assert!(refused(&link.join("new"), &book).contains("content/"));
        fs::remove_file(&link).unwrap();
        std::os::unix::fs::symlink(place.path().join("gone"), &link).unwrap();
        assert!(refused(&link, &book).contains("leads nowhere"));
    }

    #[test]
    #[cfg(unix)]
    fn what_lies_on_another_file_system_or_behind_a_link_is_strange() {
        let place = tempfile::tempdir().unwrap();
        fs::create_dir(place.path().join("pages")).unwrap();
        fs::write(place.path().join("pages/a.html"), "a").unwrap();
        std::os::unix::fs::symlink(place.path().join("pages"), place.path().join("link")).unwrap();
        let here = device(&fs::metadata(place.path()).unwrap());
        let ground = Ground { out: place.path().to_owned(), device: here };
        assert!(matches!(ground.look("pages/a.html").unwrap(), Standing::File(_)));
        assert!(matches!(ground.look("link/a.html").unwrap(), Standing::Strange(_)));
        assert!(matches!(ground.look("pages/a.html/b").unwrap(), Standing::Strange(_)));
        let other = Ground { out: place.path().to_owned(), device: here + 1 };
        assert!(matches!(other.look("pages/a.html").unwrap(), Standing::Strange(_)));
    }
}
