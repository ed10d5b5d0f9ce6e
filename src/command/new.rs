//! `goodground new`: writes a small, complete book into an empty folder, to start from.

use super::arguments::New;
use super::say::say;
use super::{Failure, Outcome};
use std::path::Path;

/// The files of the book with what they hold. They prove without a finding.
const FILES: &[(&str, &str)] = &[
    ("circuits/reversing.toml", include_str!("starter/circuits/reversing.toml")),
    ("content/manual.toml", include_str!("starter/content/manual.toml")),
    ("content/reversing.md", include_str!("starter/content/reversing.md")),
    ("content/reversing-checkout.md", include_str!("starter/content/reversing-checkout.md")),
    ("content/reversing-trouble.md", include_str!("starter/content/reversing-trouble.md")),
];

/// Runs the command. A folder that holds anything is left as it is.
pub fn run(arguments: &New) -> Result<Outcome, Failure> {
    let folder = &arguments.folder;
    if folder.exists() && !is_empty(folder)? {
        return Err(Failure(format!(
            "{} is not empty; a new book needs a folder of its own",
            folder.display()
        )));
    }
    for (path, text) in FILES {
        let path = folder.join(path);
        let parent = path.parent().expect("every file lies in a folder");
        std::fs::create_dir_all(parent).map_err(|error| cannot_write(parent, &error))?;
        std::fs::write(&path, text).map_err(|error| cannot_write(&path, &error))?;
    }
    let folder = folder.display();
    say(format_args!("{folder} holds a small book. To see what can be proved of it:\n"))?;
    say(format_args!("  goodground prove --book {folder}\n"))?;
    Ok(Outcome::Clean)
}

fn is_empty(folder: &Path) -> Result<bool, Failure> {
    let mut entries = std::fs::read_dir(folder)
        .map_err(|error| Failure(format!("cannot read {}: {error}", folder.display())))?;
    Ok(entries.next().is_none())
}

fn cannot_write(path: &Path, error: &std::io::Error) -> Failure {
    Failure(format!("cannot write {}: {error}", path.display()))
}
