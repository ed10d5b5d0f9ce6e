//! Turns a book's files and what was proved of them into the short stamp that stands on every sheet.

use super::folder::Folder;
use crate::finding::Finding;
use crate::proof::Proof;
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// Letters and digits of the stamp: enough that two editions of a book never share one by chance.
const LENGTH: usize = 10;

/// The stamp of a proof: the same files, proved by the same version with the same result, give the same stamp.
pub fn stamp(folder: &Folder, proof: &Proof, findings: &[Finding]) -> String {
    let mut hasher = Hasher(Sha256::new());
    hasher.feed(env!("CARGO_PKG_VERSION").as_bytes());
    for (_, text) in folder.sources.iter() {
        hasher.feed(text.path.as_bytes());
        hasher.feed(text.content.as_bytes());
    }
    for (path, bytes) in &folder.images {
        hasher.feed(path.as_bytes());
        hasher.feed(bytes);
    }
    // Writing into a hash cannot fail.
    let _ = write!(hasher, "{:?}{:?}", proof.faults, proof.metrics);
    for statement in &proof.statements {
        let _ = write!(hasher, "{:?} {}/{}", statement.source, statement.held, statement.judged);
    }
    for finding in findings {
        hasher.feed(finding.headline.as_bytes());
    }
    let digest = hasher.0.finalize();
    let hex = digest.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    });
    format!("{}-{}", &hex[..LENGTH / 2], &hex[LENGTH / 2..LENGTH])
}

struct Hasher(Sha256);

impl Hasher {
    /// Takes bytes in with their length, so that two texts cannot run together into two others.
    fn feed(&mut self, bytes: &[u8]) {
        self.0.update((bytes.len() as u64).to_le_bytes());
        self.0.update(bytes);
    }
}

impl Write for Hasher {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.0.update(text.as_bytes());
        Ok(())
    }
}
