//! Turns a book's files in memory into its findings, as `goodground prove` does.

use goodground::book::Book;
use goodground::check;
use goodground::finding::{Code, Finding, Findings};
use goodground::page::{Output, Request, pages};
use goodground::proof::illustrate::illustrate;
use goodground::proof::{self, Proof, Silent};
use goodground::read;
use goodground::source::Sources;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The files of a book by their path; of a picture only the path counts.
pub type Files = BTreeMap<String, String>;

/// The book's files in a folder of the project.
pub fn folder(path: &str) -> Files {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let mut files = Files::new();
    for room in ["circuits", "content"] {
        for entry in walkdir::WalkDir::new(root.join(room)) {
            let entry = entry.expect("the folder can be read");
            let ending = entry.path().extension().and_then(|ending| ending.to_str());
            if !matches!(ending, Some("toml" | "csv" | "md")) {
                continue;
            }
            let path = entry.path().strip_prefix(&root).expect("it was found there");
            let path = path.to_str().expect("the project's names are plain").to_string();
            let text = std::fs::read_to_string(entry.path()).expect("a text");
            files.insert(path, text);
        }
    }
    files
}

/// A book of one sheet, `circuits/sheet.toml`, with a supply of 12.8 V.
pub fn sheet(text: &str) -> Files {
    let manual =
        "title = \"Sheet\"\nvehicle = \"Vehicle\"\nedition = \"First\"\n\n[proof]\nsupply = \"12.8 V\"\n";
    Files::from([
        ("content/manual.toml".to_string(), manual.to_string()),
        ("circuits/sheet.toml".to_string(), text.to_string()),
    ])
}

/// A book with everything that was found in it.
pub struct Judged {
    pub sources: Sources,
    pub book: Book,
    pub proof: Proof,
    pub findings: Vec<Finding>,
}

/// Reads and proves a book.
pub fn judge(files: &Files) -> Judged {
    judge_without(files, &BTreeSet::new())
}

/// Reads and proves a book some of whose files could not be read; these hold the reason.
pub fn judge_without(files: &Files, unread: &BTreeSet<&str>) -> Judged {
    let mut sources = Sources::default();
    let mut images = Vec::new();
    for (path, text) in files {
        match path.strip_prefix("content/") {
            _ if unread.contains(path.as_str()) => sources.add_unread(path.as_str(), text.trim_end()),
            _ if path.ends_with(".MD") => {
                sources.add_unread(path.as_str(), "its name ends in capital letters")
            }
            Some(image) if ![".md", ".toml"].iter().any(|end| path.ends_with(end)) => {
                images.push(image.to_string())
            }
            _ => drop(sources.add(path.as_str(), text.as_str())),
        }
    }
    let (book, mut findings) = read::read(&sources, &images);
    let proof = proof::prove(&book, &Silent);
    findings.extend(check::check(&book, &proof));
    let findings = findings.sorted();
    Judged { sources, book, proof, findings }
}

impl Judged {
    /// Its pages, and what is found in writing them; without a study pack.
    pub fn pages(&self) -> (Vec<Output>, Findings) {
        pages(&Request {
            book: &self.book,
            proof: &self.proof,
            illustrations: &illustrate(&self.book),
            sources: &self.sources,
            questions: &[],
            labs: &[],
            findings: &[],
            stamp: "",
            draft: false,
            watched: false,
        })
    }

    /// The file and line that a finding points at.
    pub fn place(&self, finding: &Finding) -> (&str, usize) {
        let text = self.sources.text(finding.span.file);
        (&text.path, text.position(finding.span.start as usize).line)
    }

    /// All findings, one on a line, with the hints below.
    pub fn listing(&self) -> String {
        let mut listing = String::new();
        for finding in &self.findings {
            let (file, line) = self.place(finding);
            let name = finding.code.name();
            listing += &format!("{file}:{line}: {name}: {}\n", finding.headline);
            for remark in &finding.remarks {
                listing += &format!("    {}: {}\n", remark.about.word(), remark.text);
            }
        }
        listing
    }

    /// The findings of a code.
    pub fn of(&self, code: Code) -> Vec<&Finding> {
        self.findings.iter().filter(|finding| finding.code == code).collect()
    }
}
