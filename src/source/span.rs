//! Turns a file and a byte range into one small value that a finding can point at.

/// One file of the book, in the order in which the files were handed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub u32);

/// A half-open range of bytes in one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    pub file: FileId,
    pub start: u32,
    pub end: u32,
}

impl Span {
    /// The bytes `range` of `file`.
    pub fn new(file: FileId, range: std::ops::Range<usize>) -> Span {
        Span { file, start: range.start as u32, end: range.end as u32 }
    }

    /// The range as indices into the file's text.
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// A part of this span: `range` counts bytes from the span's start and is cut off at its end.
    pub fn within(self, range: std::ops::Range<usize>) -> Span {
        let length = (self.end - self.start) as usize;
        Span {
            file: self.file,
            start: self.start + range.start.min(length) as u32,
            end: self.start + range.end.min(length) as u32,
        }
    }

    /// The smallest span that holds both; `other` must be of the same file.
    pub fn to(self, other: Span) -> Span {
        debug_assert_eq!(self.file, other.file);
        Span { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}
