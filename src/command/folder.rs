//! Turns a book's folder into texts in memory, in the same order on every system.

use super::Failure;
use crate::source::Sources;
use std::collections::BTreeMap;
use std::path::Path;
use walkdir::WalkDir;

/// Everything that a book's folder holds for this tool.
#[derive(Debug, Clone, Default)]
pub struct Folder {
    pub sources: Sources,
    /// Images by their path relative to `content/`.
    pub images: BTreeMap<String, Vec<u8>>,
}

/// Reads a book's folder. Hidden files are passed over; a file that is not UTF-8 text where text is needed is a failure.
pub fn read(book: &Path) -> Result<Folder, Failure> {
    if !book.join("circuits").is_dir() && !book.join("content").is_dir() {
        let place = book.display();
        return Err(Failure(format!("{place} is no book: it has neither circuits/ nor content/")));
    }
    let mut folder = Folder::default();
    for (path, text) in texts(book, "circuits", &["toml", "csv"])? {
        folder.sources.add(path, text);
    }
    for (path, text) in texts(book, "content", &["toml", "md"])? {
        folder.sources.add(path, text);
    }
    // The author's own templates and strings.
    for (path, text) in texts(book, "templates", &["html", "toml", "css", "js"])? {
        folder.sources.add(path, text);
    }
    for path in files(book, "content") {
        if has_extension(&path, &["png", "jpg", "jpeg", "gif", "svg", "webp"]) {
            let bytes = std::fs::read(book.join(&path)).map_err(|error| cannot_read(&path, &error))?;
            folder.images.insert(path["content/".len()..].to_string(), bytes);
        }
    }
    Ok(folder)
}

fn texts(book: &Path, under: &str, extensions: &[&str]) -> Result<Vec<(String, String)>, Failure> {
    let paths = files(book, under).into_iter().filter(|path| has_extension(path, extensions));
    paths
        .map(|path| {
            let bytes = std::fs::read(book.join(&path)).map_err(|error| cannot_read(&path, &error))?;
            let text = String::from_utf8(bytes).map_err(|_| Failure(format!("{path} is not UTF-8 text")))?;
            // A byte order mark and Windows line ends would shift every column that a finding names.
            let text = text.strip_prefix('\u{feff}').unwrap_or(&text).replace("\r\n", "\n");
            Ok((path, text))
        })
        .collect()
}

/// The files below a folder of the book, relative to the book with `/`, sorted by name.
fn files(book: &Path, under: &str) -> Vec<String> {
    let walk = WalkDir::new(book.join(under)).sort_by_file_name().into_iter();
    walk.filter_entry(|entry| entry.depth() == 0 || !entry.file_name().to_string_lossy().starts_with('.'))
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_file())
        .filter_map(|entry| {
            let path = entry.path().strip_prefix(book).ok()?;
            let names: Option<Vec<&str>> = path.components().map(|part| part.as_os_str().to_str()).collect();
            Some(names?.join("/"))
        })
        .collect()
}

fn has_extension(path: &str, extensions: &[&str]) -> bool {
    path.rsplit_once('.').is_some_and(|(_, extension)| extensions.contains(&extension))
}

fn cannot_read(path: &str, error: &std::io::Error) -> Failure {
    Failure(format!("cannot read {path}: {error}"))
}
