//! Turns TOML, CSV and Markdown in memory into a resolved book, with a finding for everything that does not fit.
//!
//! Each stage reads one sort of thing from all files, and a later stage refers to what the earlier ones entered in the
//! book. What is wrong is left out of the book and has its finding, so that one run shows all problems.

mod circuit;
mod clash;
mod condition;
mod connector;
mod control;
mod end;
mod fitted;
pub mod form;
mod index;
pub mod key;
pub mod kind;
mod limit;
mod log;
mod manual;
mod near;
mod page;
mod part;
mod phrase;
mod row;
mod settle;
mod statement;
mod table;
mod wire;

use crate::book::{Book, Setup, Sighting};
use crate::finding::{Code, Finding, Findings, Severity};
use crate::source::{FileId, Placed, Sources, Span};
pub use circuit::SHEET;
pub use condition::FORMS as CONDITIONS;
use index::Index;
use log::Log;
pub use log::suggestion;
pub use manual::MANUAL;
pub use page::{FRONT, LINES, LINKS, STUDY};
pub use part::PART;
use statement::Reader;
pub use statement::{HANDS, INSTRUMENTS, LOOKS, POINTS, SETUPS, SIGHTINGS};
use std::collections::BTreeSet;

/// Reads a book: `sources` holds every text file under its path in the book's folder (`circuits/*.toml`,
/// `circuits/*.csv`, `content/manual.toml`, `content/**/*.md`), `images` the paths of the author's images relative to
/// `content/`. The book is complete as far as the files are right.
pub fn read(sources: &Sources, images: &[String]) -> (Book, Findings) {
    let log = Log::new(sources);
    for (file, text) in sources.unread() {
        let why = text.unread.as_deref().unwrap_or_default();
        log.error(Code::UnreadSource, Span::new(file, 0..0), format!("`{}` was not read: {why}", text.path));
    }
    for (file, text) in sources.iter().filter(|(_, text)| text.content.len() > limit::FILE) {
        limit::exceed(
            &log,
            Span::new(file, 0..0),
            &format!("`{}` is too long", text.path),
            format!("{} bytes", limit::FILE),
        );
    }
    let (mut book, _) = resolve(&log, images);
    clash::check(&book, &log);
    let findings = log.into_findings();
    book.unread = lacking(&findings);
    (book, believable(findings, sources))
}

/// The files of which something is not in the book.
fn lacking(findings: &Findings) -> BTreeSet<FileId> {
    findings.iter().filter(|finding| leaves_out(finding.code)).map(|finding| finding.span.file).collect()
}

/// Reads a book, and the file `state` as a state of its vehicle, in the words of a claim: `key run, without D1`. The findings
/// are those of the state alone.
pub fn state(sources: &Sources, images: &[String], state: FileId) -> (Book, Vec<Setup>, Findings) {
    let read = |reader: &Reader, text: Placed<&str>| match text.value.trim().is_empty() {
        true => Vec::new(),
        false => reader.setups(text),
    };
    let (book, mut setups, findings) = asked(sources, images, &[state], read);
    (book, setups.pop().unwrap_or_default(), findings)
}

/// Reads a book, and files of which each is one thing that was seen: `step 3: H9 dark`. The findings are those of these files alone.
pub fn sightings(sources: &Sources, images: &[String], saw: &[FileId]) -> (Book, Vec<Sighting>, Findings) {
    let (book, sightings, findings) = asked(sources, images, saw, |reader, text| reader.sighting(text));
    (book, sightings.into_iter().flatten().collect(), findings)
}

/// Reads a book, and what is asked about it in files that are none of the book's.
fn asked<T>(
    sources: &Sources,
    images: &[String],
    files: &[FileId],
    read: impl Fn(&Reader, Placed<&str>) -> T,
) -> (Book, Vec<T>, Findings) {
    let log = Log::new(sources);
    let (mut book, index) = resolve(&log, images);
    book.unread = lacking(&log.into_findings());
    let log = Log::new(sources);
    let reader = Reader { book: &book, index: &index, log: &log };
    let text = |&file: &FileId| {
        let content = &sources.text(file).content;
        read(&reader, Placed::new(content.as_str(), Span::new(file, 0..content.len())))
    };
    let answers = files.iter().map(text).collect();
    (book, answers, log.into_findings())
}

fn resolve(log: &Log, images: &[String]) -> (Book, Index) {
    let mut index = Index::default();
    let mut book = empty(images);
    let pages = manual::read(&mut book, &mut index, log);
    let documents = circuit::parse_all(log);
    let pending = circuit::read(&documents, &mut book, &mut index, log);
    settle::faults(pending, &mut book, &mut index, log);
    if log.count() == 0 {
        settle::unused(&book, log);
    }
    page::read(&pages, &mut book, &index, log);
    (book, index)
}

/// Findings without those that may come from a file that could not be parsed: what it defines is unknown, and every use of
/// it would be reported again.
fn believable(findings: Findings, sources: &Sources) -> Findings {
    let broken = |finding: &Finding| {
        finding.code == Code::BadToml && sources.text(finding.span.file).path.ends_with(".toml")
    };
    if !findings.iter().any(broken) {
        return findings;
    }
    let mut kept = Findings::default();
    for finding in findings.iter().filter(|finding| !refers(finding.code)) {
        kept.push(finding.clone());
    }
    kept
}

/// Whether something is left out of the book because of a finding of this code.
fn leaves_out(code: Code) -> bool {
    let in_the_book = matches!(
        code,
        Code::UnknownImage
            | Code::BadColor
            | Code::UnlinkedStep
            | Code::NotFitted
            | Code::UnknownField
            | Code::ContradictedFact
            | Code::SamePath
            | Code::BadFileName
    );
    code.severity() == Severity::Error && !in_the_book
}

/// Whether a finding of this code says that something is not there.
fn refers(code: Code) -> bool {
    matches!(
        code,
        Code::UnknownKey
            | Code::MissingKey
            | Code::UnknownPart
            | Code::UnknownTerminal
            | Code::UnknownCavity
            | Code::UnknownConnector
            | Code::UnknownWire
            | Code::UnknownControl
            | Code::UnknownPosition
            | Code::UnknownOption
            | Code::UnknownHarness
            | Code::UnknownSheet
            | Code::UnknownFault
            | Code::UnknownField
            | Code::ContradictedFact
            | Code::DanglingWire
            | Code::NotFitted
            | Code::Unused
    )
}

fn empty(images: &[String]) -> Book {
    Book {
        manual: manual::unnamed(),
        options: Vec::new(),
        builds: Vec::new(),
        sheets: Vec::new(),
        controls: Vec::new(),
        bands: Vec::new(),
        memories: 0,
        parts: Vec::new(),
        wires: Vec::new(),
        neighbors: Vec::new(),
        connectors: Vec::new(),
        harnesses: Vec::new(),
        intents: Vec::new(),
        faults: Vec::new(),
        accepted: Vec::new(),
        pages: Vec::new(),
        claims: Vec::new(),
        figures: Vec::new(),
        images: images.to_vec(),
        unread: BTreeSet::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_book_without_a_manual_says_so() {
        let mut sources = Sources::default();
        sources.add("circuits/a.toml", "title = \"A\"\n");
        let (book, findings) = read(&sources, &[]);
        let found = findings.sorted();
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].code, Code::MissingKey);
        assert_eq!(book.builds.len(), 1);
    }
}
