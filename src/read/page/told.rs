//! Turns pieces of an author's file into one plain text whose bytes know where they come from.

use crate::source::{FileId, Span};
use std::ops::Range;

/// A text for the reader, with the place of each of its bytes.
#[derive(Debug, Clone)]
pub struct Told {
    pub text: String,
    file: FileId,
    pieces: Vec<Piece>,
}

/// What stands from byte `at` on.
#[derive(Debug, Clone)]
struct Piece {
    at: usize,
    from: Range<usize>,
    /// Byte by byte as in the file; a field that was filled in stands for its field as a whole.
    own: bool,
}

impl Told {
    /// Nothing yet, of this file.
    pub fn new(file: FileId) -> Told {
        Told { text: String::new(), file, pieces: Vec::new() }
    }

    /// Adds what stands in the file at `from`, or what takes the place of it.
    pub fn push(&mut self, text: &str, from: Range<usize>) {
        if !text.is_empty() {
            let own = text.len() == from.len();
            self.pieces.push(Piece { at: self.text.len(), from, own });
            self.text.push_str(text);
        }
    }

    /// Adds another text.
    pub fn append(&mut self, other: Told) {
        let start = self.text.len();
        self.text.push_str(&other.text);
        self.pieces.extend(other.pieces.into_iter().map(|piece| Piece { at: start + piece.at, ..piece }));
    }

    /// The place of some bytes of the text.
    pub fn span(&self, bytes: Range<usize>) -> Span {
        let place = |byte: usize| {
            let at = self.pieces.partition_point(|piece| piece.at <= byte).saturating_sub(1);
            self.pieces.get(at).map_or(0..0, |piece| match piece.own {
                true => piece.from.start + byte - piece.at..piece.from.start + byte - piece.at + 1,
                false => piece.from.clone(),
            })
        };
        let (first, last) = (place(bytes.start), place(bytes.end.saturating_sub(1).max(bytes.start)));
        Span::new(self.file, first.start..last.end.max(first.start))
    }
}
