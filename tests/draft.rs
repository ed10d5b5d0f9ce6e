//! Turns books into drafted pages, reads those back with the book, and proves that nothing of them is wrong.

use goodground::book::Book;
use goodground::draft;
use goodground::finding::Finding;
use goodground::proof::{self, Proof, Silent};
use goodground::source::Sources;
use std::path::Path;

/// A folder's files in memory, without the pages that a test drafts itself.
fn files(folder: &str, without: &[&str]) -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut found = Vec::new();
    for under in ["circuits", "content"] {
        for entry in walkdir::WalkDir::new(root.join(under)).sort_by_file_name() {
            let entry = entry.unwrap();
            let path = entry
                .path()
                .strip_prefix(&root)
                .unwrap()
                .to_str()
                .unwrap()
                .to_string();
            let text = [".toml", ".md", ".csv"]
                .iter()
                .any(|ending| path.ends_with(ending));
            if text && !without.contains(&path.as_str()) {
                found.push((path, std::fs::read_to_string(entry.path()).unwrap()));
            }
        }
    }
    found
}

fn read(files: &[(String, String)]) -> (Book, Vec<Finding>) {
    let mut sources = Sources::default();
    files
        .iter()
        .for_each(|(path, text)| drop(sources.add(path.clone(), text.clone())));
    let (book, findings) = goodground::read::read(&sources, &[]);
    (book, findings.sorted())
}

fn prove(files: &[(String, String)]) -> (Book, Proof, Vec<String>) {
    let (book, mut findings) = read(files);
    let proof = proof::prove(&book, &Silent);
    findings.extend(goodground::check::check(&book, &proof).sorted());
    let lines = findings.iter().map(|finding| {
        format!(
            "{}: {} {:?}",
            finding.code.name(),
            finding.headline,
            finding.hints
        )
    });
    let lines = lines.collect();
    (book, proof, lines)
}

#[test]
fn try_it() {
    let folder = std::env::var("BOOK").unwrap_or("src/command/starter".to_string());
    let sheet = std::env::var("SHEET").unwrap_or("reversing".to_string());
    let mut files = files(&folder, &[]);
    let (book, findings) = read(&files);
    for finding in &findings {
        eprintln!("{} {}", finding.code.name(), finding.headline);
    }
    let rigs = proof::rigs(&book);
    let start = std::time::Instant::now();
    let drafted = draft::troubleshooting(&book, &rigs, book.find_sheet(&sheet).unwrap()).unwrap();
    eprintln!("{:?}\n{}", start.elapsed(), drafted.text);
    let page = format!("content/{}-trouble.md", std::env::var("STEM").unwrap_or(sheet));
    files.retain(|(path, _)| *path != page);
    files.push((page, drafted.text));
    let (_, proof, lines) = prove(&files);
    eprintln!("{}\n{:?}", lines.join("\n"), proof.metrics);
}
