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
    files.iter().for_each(|(path, text)| {
        sources.add(path.clone(), text.clone());
    });
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

/// Drafts both pages of a sheet into a book.
fn draft_both(files: &mut Vec<(String, String)>, sheet: &str) -> draft::Checkout {
    let (book, _) = read(files);
    let rigs = proof::rigs(&book);
    let checkout = draft::checkout(&book, &rigs, book.find_sheet(sheet).unwrap());
    files.push((format!("content/{sheet}-checkout.md"), checkout.text.clone()));
    let (book, _) = read(files);
    let rigs = proof::rigs(&book);
    let trouble = draft::troubleshooting(&book, &rigs, book.find_sheet(sheet).unwrap()).unwrap();
    files.push((format!("content/{sheet}-trouble.md"), trouble.text));
    checkout
}

#[test]
fn try_it() {
    let folder = std::env::var("BOOK").unwrap_or("tests/draft_books/pump".to_string());
    let sheet = std::env::var("SHEET").unwrap_or("pump".to_string());
    let without = [
        format!("content/{sheet}-trouble.md"),
        format!("content/{sheet}-checkout.md"),
    ];
    let mut files = files(&folder, &without.each_ref().map(String::as_str));
    if std::env::var("ALONE").is_ok() {
        files.retain(|(path, _)| !path.ends_with(".md"));
    }
    let start = std::time::Instant::now();
    let checkout = draft_both(&mut files, &sheet);
    eprintln!("{}\n{}", files[files.len() - 2].1, files[files.len() - 1].1);
    eprintln!(
        "{:?} {} steps, {} faults, {} unshown",
        start.elapsed(),
        checkout.steps,
        checkout.faults,
        checkout.unshown.len()
    );
    let (book, proof, lines) = prove(&files);
    eprintln!(
        "unshown {:?}",
        checkout
            .unshown
            .iter()
            .map(|&fault| &book.fault(fault).name)
            .collect::<Vec<_>>()
    );
    eprintln!("{}\n{:?}", lines.join("\n"), proof.metrics);
}

#[test]
fn the_starter_book_proves_clean() {
    let (book, proof, lines) = prove(&files("src/command/starter", &[]));
    assert_eq!(lines, Vec::<String>::new());
    assert!(proof.statements.len() >= 12 && book.faults.len() > 50);
    assert!(
        proof.metrics.fraction_detected > 0.95 && proof.metrics.fraction_isolated[0] > 0.9,
        "{:?}",
        proof.metrics
    );
}
