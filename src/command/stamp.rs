//! Turns the sources and what was proved of them into the short stamp that stands on every sheet.

use crate::finding::Finding;
use crate::proof::Proof;
use crate::source::Sources;
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// Letters and digits of the stamp: enough that two editions of a book never share one by chance.
const LENGTH: usize = 10;

/// The stamp of a proof: the same sources, proved by the same version with the same result, give the same stamp.
pub fn stamp(sources: &Sources, proof: &Proof, findings: &[Finding]) -> String {
    let mut hasher = Hasher(Sha256::new());
    hasher.feed(env!("CARGO_PKG_VERSION"));
    for (_, text) in sources.iter() {
        hasher.feed(&text.path);
        hasher.feed(&text.content);
    }
    // Writing into a hash cannot fail.
    let _ = write!(hasher, "{:?}{:?}", proof.faults, proof.metrics);
    for statement in &proof.statements {
        let _ = write!(hasher, "{:?} {}/{}", statement.source, statement.held, statement.judged);
    }
    for finding in findings {
        hasher.feed(&finding.headline);
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
    /// Takes a text in with its length, so that two texts cannot run together into two others.
    fn feed(&mut self, text: &str) {
        self.0.update((text.len() as u64).to_le_bytes());
        self.0.update(text.as_bytes());
    }
}

impl Write for Hasher {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.0.update(text.as_bytes());
        Ok(())
    }
}
