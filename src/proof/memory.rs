//! Turns pieces of a proof into what they give, and for a piece that was proved before, gives it again.
//!
//! A piece holds all that it is proved from: [`Piece::prove`] sees the piece and nothing else of the book. Its derived `Debug`
//! text tells all that it holds, since a derive leaves out no field. So pieces with the same text give the same, and whatever a
//! prover comes to need has to stand in its piece, where it cannot be forgotten.

use super::progress::{Progress, Tally};
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt::{Debug, Write};

/// A part of a proof that is computed in one go. Its `Debug` has to be derived.
pub trait Piece: Debug + Sync {
    /// What proving it gives.
    type Gives: Clone + Send;

    /// What is reported while pieces of this sort are proved.
    const STAGE: &'static str;

    /// How many steps of work it ticks off.
    fn work(&self) -> usize;

    /// Proves it.
    fn prove(&self, tally: &Tally) -> Self::Gives;
}

/// What the pieces of one sort gave in the last proof.
#[derive(Debug)]
pub struct Store<G> {
    kept: BTreeMap<Print, G>,
    /// Which of the last proof's pieces had to be computed, by their place in the list.
    pub computed: Vec<usize>,
}

impl<G> Default for Store<G> {
    fn default() -> Store<G> {
        Store { kept: BTreeMap::new(), computed: Vec::new() }
    }
}

impl<G: Clone + Send> Store<G> {
    /// What each piece gives, in order: from memory, or computed, in parallel. What no piece asks for is forgotten.
    pub fn provide<P: Piece<Gives = G>>(&mut self, pieces: &[P], progress: &dyn Progress) -> Vec<G> {
        let prints: Vec<Print> = pieces.par_iter().map(Print::of).collect();
        let mut before = std::mem::take(&mut self.kept);
        self.kept = prints.iter().filter_map(|print| before.remove_entry(print)).collect();
        self.computed = (0..pieces.len()).filter(|&at| !self.kept.contains_key(&prints[at])).collect();
        let work = self.computed.iter().map(|&at| pieces[at].work()).sum();
        let tally = Tally::new(progress, P::STAGE, work);
        let given: Vec<G> = self.computed.par_iter().map(|&at| pieces[at].prove(&tally)).collect();
        let new = self.computed.iter().map(|&at| prints[at]).zip(given);
        self.kept.extend(new);
        prints.iter().map(|print| self.kept[print].clone()).collect()
    }
}

/// A fingerprint: the SHA-256 of the text that tells all of a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Print([u8; 32]);

impl Print {
    /// The fingerprint of a thing whose `Debug` tells all of it.
    pub fn of(thing: &impl Debug) -> Print {
        let mut ink = Ink(Sha256::new());
        write!(ink, "{thing:?}").expect("writing into a hash cannot fail");
        Print(ink.0.finalize().into())
    }
}

/// A hash that takes text.
struct Ink(Sha256);

impl Write for Ink {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.0.update(text.as_bytes());
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::progress::Silent;
    use super::*;

    /// Gives what it holds.
    #[derive(Debug)]
    struct Sum(Vec<f64>, &'static str);

    impl Piece for Sum {
        type Gives = (f64, &'static str);
        const STAGE: &'static str = "sums";

        fn work(&self) -> usize {
            1
        }

        fn prove(&self, tally: &Tally) -> (f64, &'static str) {
            tally.tick(1);
            (self.0.iter().sum(), self.1)
        }
    }

    fn sums(list: &[(&[f64], &'static str)]) -> Vec<Sum> {
        list.iter().map(|(numbers, name)| Sum(numbers.to_vec(), name)).collect()
    }

    #[test]
    fn what_is_given_follows_the_pieces_and_not_their_places() {
        let mut store = Store::default();
        let one = sums(&[(&[1.0, 2.0], "a"), (&[5.0], "b"), (&[5.0], "c")]);
        assert_eq!(store.provide(&one, &Silent), [(3.0, "a"), (5.0, "b"), (5.0, "c")]);
        assert_eq!(store.computed, [0, 1, 2]);
        let moved = sums(&[(&[5.0], "c"), (&[1.0, 2.5], "a"), (&[5.0], "b")]);
        assert_eq!(store.provide(&moved, &Silent), [(5.0, "c"), (3.5, "a"), (5.0, "b")]);
        assert_eq!(store.computed, [1]);
    }

    #[test]
    fn what_nobody_asks_for_is_forgotten() {
        let mut store = Store::default();
        store.provide(&sums(&[(&[1.0], "a"), (&[2.0], "b")]), &Silent);
        store.provide(&sums(&[(&[2.0], "b")]), &Silent);
        assert_eq!(store.kept.len(), 1);
    }

    #[test]
    fn things_that_differ_in_anything_have_different_prints() {
        let different = [-0.0, 0.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.1, 0.1 + f64::EPSILON];
        let prints: std::collections::BTreeSet<Print> = different.iter().map(Print::of).collect();
        assert_eq!(prints.len(), different.len());
        assert_ne!(Print::of(&["a", "b"]), Print::of(&["a\", \"b"]));
        assert_eq!(Print::of(&Sum(vec![1.0], "a")), Print::of(&Sum(vec![1.0], "a")));
    }
}
