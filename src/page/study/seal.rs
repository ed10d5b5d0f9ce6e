//! Turns the end of a lab's case into letters that only the right verdict opens: no search of the page finds the answer in it.

use sha2::{Digest, Sha256};

/// A text under a key made of a case and an item. The first bytes tell whether a key fits.
///
/// The stream is SHA-256 of the key and a counter, block after block; this keeps an answer from a reader's eyes and from a
/// search, not from somebody who tries every item of the list.
pub fn seal(case: &str, item: &str, text: &str) -> String {
    let key = Sha256::digest(format!("{case}|{item}").as_bytes());
    let plain = format!("{MARK}{text}");
    let mut sealed = String::with_capacity(2 * plain.len());
    for (number, block) in plain.as_bytes().chunks(32).enumerate() {
        let mut stream = Sha256::new();
        stream.update(key);
        stream.update((number as u32).to_be_bytes());
        for (byte, mask) in block.iter().zip(stream.finalize()) {
            sealed.push_str(&format!("{:02x}", byte ^ mask));
        }
    }
    sealed
}

/// What every sealed text begins with.
const MARK: &str = "ok ";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sealed_text_shows_nothing_of_itself_and_differs_by_its_key() {
        let sealed = seal("lift 7", "K3", "Replace the relay K3");
        assert_eq!(sealed.len(), 2 * "ok Replace the relay K3".len());
        assert_ne!(sealed, seal("lift 7", "K4", "Replace the relay K3"));
        assert_ne!(sealed, seal("lift 8", "K3", "Replace the relay K3"));
    }
}
