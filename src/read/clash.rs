//! Turns the names of pages, circuits and pictures into findings where two would land in one file, or where a system cannot store one.
//!
//! Names count as alike here when they have the same letters and digits in the same order, large or small, whatever marks stand
//! between them: some file systems tell no capitals, and a printed sheet's name has no folders in it. That is more than what any one
//! page asks for, so that this file need not know where the pages lie.

use super::log::Log;
use super::manual;
use crate::book::{Book, Role};
use crate::finding::{Code, Finding};
use crate::source::{FileId, Span};
use std::collections::BTreeMap;

/// Names that Windows keeps for devices, whatever ending follows (from memory, as its naming conventions list them).
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
const NUMBERED_DEVICES: [&str; 2] = ["com", "lpt"];

/// Characters that a file name of Windows cannot have (from memory, as its naming conventions list them).
const FORBIDDEN: [char; 8] = ['<', '>', ':', '"', '|', '?', '*', '\\'];

/// Says which names of the book stand in each other's way, and which cannot be stored everywhere.
pub fn check(book: &Book, log: &Log) {
    let mut circuits = Names::default();
    for sheet in &book.sheets {
        circuits.take(fold(&sheet.id), format!("the circuit `{}`", sheet.id), sheet.span, log);
    }
    let mut pages = Names::default();
    let mut sheets = Names::default();
    for page in &book.pages {
        let stem = page.path.trim_end_matches(".md");
        if !pages.take(fold(stem), format!("the page `{}`", page.path), page.span, log) {
            continue;
        }
        let steps = page.sections.iter().any(|section| matches!(section.role, Role::Step(_)));
        if steps && fold(stem) == "index" {
            let headline = format!("the sheet of `{}` would land where the list of sheets is", page.path);
            log.push(Finding::new(Code::SamePath, page.span, headline).hint("give the page another name"));
        } else if steps {
            sheets.take(fold(stem), format!("the sheet of `{}`", page.path), page.span, log);
        }
        for section in page.sections.iter().filter(|section| matches!(section.role, Role::Procedure)) {
            let name = format!("the sheet of `{}` in `{}`", section.title, page.path);
            sheets.take(fold(&format!("{stem}-{}", section.anchor)), name, section.span, log);
        }
    }
    // A picture has no text of its own to point at.
    let settings = Span::new(log.sources.find(manual::PATH).unwrap_or(FileId(0)), 0..0);
    let mut images = Names::default();
    for image in &book.images {
        images.take(image.to_lowercase(), format!("the picture `{image}`"), settings, log);
        storable(&format!("content/{image}"), settings, log);
    }
    for (file, text) in log.sources.iter() {
        if ["circuits/", "content/"].iter().any(|room| text.path.starts_with(room)) {
            storable(&text.path, Span::new(file, 0..0), log);
        }
    }
}

/// Names that are taken, by what they fold to.
#[derive(Default)]
struct Names(BTreeMap<String, (String, Span)>);

impl Names {
    /// Takes a name, or says who has it already.
    fn take(&mut self, folded: String, name: String, span: Span, log: &Log) -> bool {
        if let Some((first, at)) = self.0.get(&folded) {
            let headline = format!("{name} and {first} would land in one file");
            log.push(
                Finding::new(Code::SamePath, span, headline)
                    .label(*at, "the other one")
                    .hint("names have to differ in more than capitals, folders, and marks between letters"),
            );
            return false;
        }
        self.0.insert(folded, (name, span));
        true
    }
}

fn fold(name: &str) -> String {
    name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect()
}

/// A finding for a path with a name in it that some system cannot store.
fn storable(path: &str, span: Span, log: &Log) {
    for name in path.split('/') {
        let stem = name.split('.').next().unwrap_or(name).to_lowercase();
        let numbered = NUMBERED_DEVICES.iter().any(|device| {
            let number = stem.strip_prefix(device).and_then(|rest| rest.parse::<u8>().ok());
            number.is_some_and(|number| (1..=9).contains(&number))
        });
        let why = if numbered || DEVICES.contains(&stem.as_str()) {
            "Windows keeps this name for a device"
        } else if name.contains(|c: char| FORBIDDEN.contains(&c) || c.is_control()) {
            "it has a character that no file name of Windows may have"
        } else if name.ends_with(['.', ' ']) {
            "it ends in a dot or a space, which Windows takes off"
        } else {
            continue;
        };
        let finding = Finding::new(Code::BadFileName, span, format!("`{path}` cannot be stored everywhere"));
        log.push(finding.hint(format!("`{name}`: {why}")));
    }
}
