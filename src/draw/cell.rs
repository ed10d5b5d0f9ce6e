//! Turns a symbol and lines of text into a cell: what stands at one point of a path, with the room that it needs.

use super::scene::{Owner, Style};
use super::symbol::Symbol;
use super::text;

/// One thing with its words, around the point where it stands on its path's line.
pub(super) struct Cell {
    pub figure: Option<Figure>,
    pub words: Vec<Words>,
    /// Room above, below, left and right of the point.
    pub up: f64,
    pub down: f64,
    pub left: f64,
    pub right: f64,
}

/// A symbol as it stands.
#[derive(Clone, Copy)]
pub(super) struct Figure {
    pub symbol: &'static Symbol,
    pub flipped: bool,
    pub made: bool,
}

/// A line of text, relative to the point.
pub(super) struct Words {
    pub x: f64,
    pub y: f64,
    pub ends: bool,
    pub style: Style,
    pub words: String,
    pub owner: Owner,
}

/// The space kept free around everything.
pub(super) const CLEAR: f64 = 3.0;
/// From one baseline to the next.
pub(super) const PITCH: f64 = 11.5;
/// Names and conditions break at about this width.
const WRAP: f64 = 76.0;

/// A block of lines being gathered for one cell.
pub(super) struct Block {
    lines: Vec<(Style, String)>,
}

impl Block {
    pub(super) fn new() -> Block {
        Block { lines: Vec::new() }
    }

    pub(super) fn add(&mut self, style: Style, words: impl Into<String>) {
        self.lines.push((style, words.into()));
    }

    pub(super) fn wrapped(&mut self, style: Style, words: &str) {
        let lines = text::wrap(words, style.size(), WRAP);
        self.lines.extend(lines.into_iter().map(|line| (style, line)));
    }

    /// A reference to another drawing, its arrow kept at its first word.
    pub(super) fn reference(&mut self, title: &str) {
        for (at, line) in text::wrap(title, Style::Reference.size(), WRAP).into_iter().enumerate() {
            let words = if at == 0 { format!("→ {line}") } else { line };
            self.add(Style::Reference, words);
        }
    }

    pub(super) fn height(&self) -> f64 {
        self.lines.len() as f64 * PITCH
    }
}

impl Cell {
    pub(super) fn new(figure: Option<Figure>, clear: f64) -> Cell {
        let mut cell = Cell { figure, words: Vec::new(), up: clear, down: clear, left: 2.0, right: 2.0 };
        if let Some(Figure { symbol, flipped, .. }) = figure {
            let (up, down) = if flipped { (symbol.down, symbol.up) } else { (symbol.up, symbol.down) };
            cell.up = up + clear;
            cell.down = down + clear;
            cell.left = symbol.left;
            cell.right = symbol.right;
        }
        cell
    }

    /// Puts lines of text with their top at `top`, starting at `x`.
    pub(super) fn put(&mut self, block: Block, x: f64, top: f64, owner: Owner) {
        for (index, (style, words)) in block.lines.into_iter().enumerate() {
            let y = top + index as f64 * PITCH + baseline(style);
            self.say(style, words, x, y, false, owner);
        }
    }

    /// One line at a baseline.
    pub(super) fn say(&mut self, style: Style, words: String, x: f64, y: f64, ends: bool, owner: Owner) {
        let width = style.width(&words);
        let x = x + style.lean();
        if ends {
            self.left = self.left.max(width - x);
        } else {
            self.right = self.right.max(x - style.lean() + width);
        }
        self.up = self.up.max(CLEAR - y + style.size() * text::ASCENT);
        self.down = self.down.max(CLEAR + y + style.size() * text::DESCENT);
        self.words.push(Words { x, y, ends, style, words, owner });
    }
}

/// How far a line's baseline lies below its top.
pub(super) fn baseline(style: Style) -> f64 {
    PITCH * 0.5 + style.size() * (text::ASCENT - text::DESCENT) * 0.5
}
