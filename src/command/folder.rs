//! Turns a book's folder into texts in memory, in the same order on every system, and says what in it was not read.

use super::Failure;
use crate::source::Sources;
use std::collections::BTreeMap;
use std::path::Path;
use walkdir::{DirEntry, WalkDir};

/// What a file's name ends in, by what it holds.
const TEXTS: &[(&str, &[&str])] = &[
    ("circuits", &["toml", "csv"]),
    ("content", &["toml", "md"]),
    // The author's own templates and strings.
    ("templates", &["html", "toml", "css", "js"]),
];
const IMAGES: &[&str] = &["png", "jpg", "jpeg", "gif", "svg", "webp"];

/// Everything that a book's folder holds for this tool.
#[derive(Debug, Clone, Default)]
pub struct Folder {
    pub sources: Sources,
    /// Images by their path relative to `content/`.
    pub images: BTreeMap<String, Vec<u8>>,
}

/// A file that this tool would read, or the reason why it does not.
type Found = (String, Result<(), String>);

/// Reads a book's folder. Hidden files are passed over, and so are files of which the tool knows no use; whatever else cannot be read is
/// among the sources with the reason.
pub fn read(book: &Path) -> Result<Folder, Failure> {
    let place = book.display();
    if !book.join("circuits").is_dir() && !book.join("content").is_dir() {
        return Err(Failure(format!("{place} is no book: it has neither circuits/ nor content/")));
    }
    let mut folder = Folder::default();
    let mut unread = Vec::new();
    for (under, endings) in TEXTS {
        let wanted =
            |ending: &str| endings.contains(&ending) || *under == "content" && IMAGES.contains(&ending);
        for (path, readable) in files(book, under, wanted) {
            let bytes = readable.and_then(|()| {
                std::fs::read(book.join(&path)).map_err(|error| format!("the system says: {error}"))
            });
            let is_image = path.rsplit_once('.').is_some_and(|(_, ending)| IMAGES.contains(&ending));
            match bytes {
                Err(why) => unread.push((path, why)),
                Ok(bytes) if is_image => {
                    drop(folder.images.insert(path["content/".len()..].to_string(), bytes))
                }
                Ok(bytes) => match String::from_utf8(bytes) {
                    // A byte order mark and Windows line ends would shift every column that a finding names.
                    Ok(text) => {
                        let text = text.strip_prefix('\u{feff}').unwrap_or(&text).replace("\r\n", "\n");
                        folder.sources.add(path, text);
                    }
                    Err(_) => unread.push((path, "it is not UTF-8 text".to_string())),
                },
            }
        }
    }
    for (under, ending, what) in [("circuits/", ".toml", "circuit"), ("content/", ".md", "page")] {
        let is_wanted = |path: &str| path.starts_with(under) && path.ends_with(ending);
        if !folder.sources.iter().any(|(_, text)| is_wanted(&text.path)) {
            unread.push((
                under.to_string(),
                format!("there is no {what} in it, no file that ends in {ending}"),
            ));
        }
    }
    for (path, why) in unread {
        folder.sources.add_unread(path, why);
    }
    Ok(folder)
}

/// The files below a folder of the book with a wanted ending, relative to the book with `/`, sorted by name.
fn files(book: &Path, under: &str, wanted: impl Fn(&str) -> bool) -> Vec<Found> {
    let root = book.join(under);
    if !root.exists() {
        return Vec::new();
    }
    let name = |path: &Path| {
        let names = path.strip_prefix(book).unwrap_or(path).components();
        names.map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
    };
    let walk = WalkDir::new(root).sort_by_file_name().into_iter();
    walk.filter_entry(|entry| entry.depth() == 0 || !entry.file_name().to_string_lossy().starts_with('.'))
        .filter_map(|entry| match entry {
            Ok(entry) => Some((name(entry.path()), judge(&entry, &wanted)?)),
            Err(error) => {
                let why = error.io_error().map_or_else(|| error.to_string(), ToString::to_string);
                Some((name(error.path().unwrap_or(book)), Err(format!("the system says: {why}"))))
            }
        })
        .collect()
}

/// Whether a file can be read; none for what this tool has no use for.
fn judge(entry: &DirEntry, wanted: impl Fn(&str) -> bool) -> Option<Result<(), String>> {
    let kind = entry.file_type();
    let ending = entry.path().extension().unwrap_or_default().to_string_lossy().to_string();
    let is_wanted = wanted(&ending.to_lowercase());
    let why = if entry.depth() == 0 || kind.is_dir() {
        return None;
    } else if kind.is_symlink() && (is_wanted || entry.path().is_dir()) {
        "it is a link; put the file itself there"
    } else if !is_wanted {
        return None;
    } else if !kind.is_file() {
        "it is no plain file"
    } else if entry.path().to_str().is_none() {
        "its name is not UTF-8"
    } else if !wanted(&ending) {
        "its name ends in capital letters; write the ending in small ones"
    } else {
        return Some(Ok(()));
    };
    Some(Err(why.to_string()))
}
