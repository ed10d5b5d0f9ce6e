//! Turns the project's folder into texts by their path, with each Rust file parsed once, so that a test may spoil a copy.

use super::code::Code;
use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::path::Path;
use std::rc::Rc;
use walkdir::WalkDir;

/// The project's files.
#[derive(Clone, Default)]
pub struct House {
    files: BTreeMap<String, Rc<File>>,
}

/// One file: its text, and what a parser sees in it once somebody asks.
struct File {
    text: String,
    code: OnceCell<Code>,
}

impl House {
    /// The project as it stands on the disk: without what is built, and what was installed for the tests.
    pub fn on_disk() -> House {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut house = House::default();
        let skipped = ["target", ".git", "node_modules", "book-out"];
        let walk = WalkDir::new(root)
            .into_iter()
            .filter_entry(|entry| !skipped.iter().any(|name| entry.file_name().to_str() == Some(name)));
        for entry in walk.map(|entry| entry.expect("the project can be read")) {
            if entry.file_type().is_file() {
                let path = entry.path().strip_prefix(root).expect("it was found there");
                let bytes = std::fs::read(entry.path()).expect("a file can be read");
                let path = path.to_str().expect("the project's names are plain").replace('\\', "/");
                house.put(&path, String::from_utf8_lossy(&bytes).into_owned());
            }
        }
        house
    }

    /// Puts a file in, over the one that is there.
    pub fn put(&mut self, path: &str, text: String) {
        self.files.insert(path.to_string(), Rc::new(File { text, code: OnceCell::new() }));
    }

    /// Takes a file out.
    pub fn remove(&mut self, path: &str) {
        self.files.remove(path).expect("the file is there");
    }

    /// The text of a file; nothing for one that is not there.
    pub fn find(&self, path: &str) -> Option<&str> {
        self.files.get(path).map(|file| file.text.as_str())
    }

    /// The text of a file that has to be there.
    pub fn text(&self, path: &str) -> &str {
        self.find(path).unwrap_or_else(|| panic!("{path} is there"))
    }

    /// What a parser sees in a Rust file.
    pub fn code(&self, path: &str) -> &Code {
        let file = &self.files[path];
        file.code.get_or_init(|| Code::of(&file.text))
    }

    /// Every path, in order.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.files.keys().map(String::as_str)
    }

    /// The Rust files below a folder, such as `src/`, in order.
    pub fn rust(&self, below: &str) -> impl Iterator<Item = &str> {
        self.paths().filter(move |path| path.starts_with(below) && path.ends_with(".rs"))
    }

    /// Whether a file or a folder is there.
    pub fn has(&self, path: &str) -> bool {
        let folder = format!("{}/", path.trim_end_matches('/'));
        self.files.contains_key(path) || self.paths().any(|other| other.starts_with(&folder))
    }
}
