//! Turns a seed into draws: the same seed gives the same questions on every machine.

use sha2::{Digest, Sha256};

/// A drawing of lots. The step is SplitMix64 (Steele, Lea and Flood 2014): it only has to be even and the same every time.
#[derive(Debug, Clone)]
pub struct Lot(u64);

impl Lot {
    /// Lots from a seed and a word, so that each list is drawn by itself.
    pub fn new(seed: u64, word: &str) -> Lot {
        Lot(seed ^ hash(word))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^ (bits >> 31)
    }

    /// A number below `count`, which is at least 1.
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() >> 11) as usize % count
    }

    /// Whether a chance of one in `count` came up.
    pub fn one_in(&mut self, count: usize) -> bool {
        self.below(count) == 0
    }

    /// One of a list, if it has any.
    pub fn pick<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        (!list.is_empty()).then(|| &list[self.below(list.len())])
    }

    /// Brings a list into a drawn order.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for at in (1..list.len()).rev() {
            list.swap(at, self.below(at + 1));
        }
    }
}

/// A secret text as a number that tells nothing of the text: the first 64 bits of its SHA-256.
pub fn keyed(text: &str) -> u64 {
    let digest = Sha256::digest(text.as_bytes());
    digest.iter().take(8).fold(0, |number, byte| number << 8 | u64::from(*byte))
}

/// A text as a number: FNV-1a, 64 bits.
pub fn hash(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of the FNV reference: the empty text and `a`.
    #[test]
    fn the_hash_is_fnv_1a() {
        assert_eq!(hash(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(hash("a"), 0xaf63_dc4c_8601_ec8c);
    }

    /// FIPS 180-4's example: SHA-256 of `abc` begins with these bytes.
    #[test]
    fn a_secret_is_told_by_sha_256() {
        assert_eq!(keyed("abc"), 0xba78_16bf_8f01_cfea);
    }

    #[test]
    fn a_shuffle_loses_nothing_and_repeats_itself() {
        let draw = || {
            let mut list: Vec<usize> = (0..50).collect();
            Lot::new(7, "x").shuffle(&mut list);
            list
        };
        let mut sorted = draw();
        assert_eq!(draw(), sorted);
        assert_ne!(sorted, (0..50).collect::<Vec<_>>());
        sorted.sort();
        assert_eq!(sorted, (0..50).collect::<Vec<_>>());
    }
}
