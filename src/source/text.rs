//! Turns the book's files into numbered texts with a line table, and a byte offset into a line and a column.

use super::{FileId, Span};

/// A line and a column as a person counts them: both from 1, the column in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    pub line: usize,
    pub column: usize,
}

/// One file: its path relative to the book's folder (with `/` on every system) and what it holds.
#[derive(Debug, Clone)]
pub struct Text {
    pub path: String,
    pub content: String,
    /// Why the file was not read, for one that was not; it holds nothing then.
    pub unread: Option<String>,
    lines: Vec<u32>,
}

impl Text {
    fn new(path: String, content: String, unread: Option<String>) -> Text {
        let starts = content.match_indices('\n').map(|(at, _)| at as u32 + 1);
        let lines = std::iter::once(0).chain(starts).collect();
        Text { path, content, unread, lines }
    }

    /// The line and column of a byte offset; an offset past the end counts as the end.
    pub fn position(&self, offset: usize) -> Position {
        let offset = offset.min(self.content.len());
        let line = self.lines.partition_point(|&start| start as usize <= offset) - 1;
        let start = self.lines[line] as usize;
        Position { line: line + 1, column: self.content[start..offset].chars().count() + 1 }
    }
}

/// All files of a run, in the order in which they were handed in.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    texts: Vec<Text>,
}

impl Sources {
    /// Takes one file in and gives it its number.
    pub fn add(&mut self, path: impl Into<String>, content: impl Into<String>) -> FileId {
        self.texts.push(Text::new(path.into(), content.into(), None));
        FileId(self.texts.len() as u32 - 1)
    }

    /// Takes note of a file or folder that could not be read, so that a finding can point at it.
    pub fn add_unread(&mut self, path: impl Into<String>, why: impl Into<String>) {
        self.texts.push(Text::new(path.into(), String::new(), Some(why.into())));
    }

    /// The file with this number; the number must come from this collection.
    pub fn text(&self, file: FileId) -> &Text {
        &self.texts[file.0 as usize]
    }

    /// Every file that was read with its number, in order.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &Text)> {
        self.all().filter(|(_, text)| text.unread.is_none())
    }

    /// Every file that was not read with its number, in order.
    pub fn unread(&self) -> impl Iterator<Item = (FileId, &Text)> {
        self.all().filter(|(_, text)| text.unread.is_some())
    }

    fn all(&self) -> impl Iterator<Item = (FileId, &Text)> {
        self.texts.iter().enumerate().map(|(index, text)| (FileId(index as u32), text))
    }

    /// The file with this path, if it was read.
    pub fn find(&self, path: &str) -> Option<FileId> {
        self.iter().find(|(_, text)| text.path == path).map(|(file, _)| file)
    }

    /// What stands at a span.
    pub fn slice(&self, span: Span) -> &str {
        &self.text(span.file).content[span.range()]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_and_lines_count_from_one() {
        let mut sources = Sources::default();
        let file = sources.add("a.toml", "one\nzwölf = 1\n");
        let text = sources.text(file);
        assert_eq!(text.position(0), Position { line: 1, column: 1 });
        assert_eq!(text.position(4), Position { line: 2, column: 1 });
        let equals = text.content.find('=').unwrap();
        assert_eq!(text.position(equals), Position { line: 2, column: 7 });
        assert_eq!(text.position(999), Position { line: 3, column: 1 });
    }
}
