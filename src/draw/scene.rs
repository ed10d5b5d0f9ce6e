//! What a drawing is once everything has its place: symbols, wires, bars and labels in drawing units, before any SVG.

use super::strip::Tap;
use super::symbol::Symbol;
use super::text;
use crate::book::{BuildId, ConnectorId, End, PartId, SheetId, TerminalId, WireId};

/// One sheet of a drawing, placed. All lengths are in drawing units; a unit is 1/96 inch on paper at full size. The
/// origin is the upper left corner.
#[derive(Debug, Clone)]
pub struct Scene {
    pub sheet: SheetId,
    pub build: Option<BuildId>,
    pub title: String,
    /// Which of the circuit's drawing sheets this is, from 1, and how many there are.
    pub number: usize,
    pub count: usize,
    pub width: f64,
    pub height: f64,
    pub columns: Vec<Column>,
    pub symbols: Vec<Placed>,
    pub wires: Vec<Run>,
    pub bars: Vec<Bar>,
    pub leads: Vec<Lead>,
    pub links: Vec<Line>,
    pub boundaries: Vec<Boundary>,
    pub labels: Vec<Label>,
    /// How many times a wire and a bar cross without being joined.
    pub crossings: usize,
}

impl Scene {
    /// A sheet on which nothing stands yet.
    pub(super) fn empty(sheet: SheetId, build: Option<BuildId>, title: &str, width: f64) -> Scene {
        Scene {
            sheet,
            build,
            title: title.to_string(),
            number: 1,
            count: 1,
            width,
            height: 0.0,
            columns: Vec::new(),
            symbols: Vec::new(),
            wires: Vec::new(),
            bars: Vec::new(),
            leads: Vec::new(),
            links: Vec::new(),
            boundaries: Vec::new(),
            labels: Vec::new(),
            crossings: 0,
        }
    }

    /// Puts a text that begins at a point.
    pub(super) fn say(&mut self, words: String, style: Style, at: Spot, of: Owner) {
        let width = style.width(&words);
        let frame = Frame {
            left: at.x,
            top: at.y - style.size() * text::ASCENT,
            right: at.x + width,
            bottom: at.y + style.size() * text::DESCENT,
        };
        self.labels.push(Label { words, style, at, ends: false, of, frame });
    }
}

/// A numbered current path.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    pub number: usize,
    pub x: f64,
    /// The middle of its number, at the bottom.
    pub y: f64,
    /// What stands on it, from top to bottom, as indices into the scene's lists.
    pub stack: Vec<Stacked>,
}

/// One thing on a current path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stacked {
    Symbol(usize),
    Wire(usize),
    Bar(usize),
}

/// A point of the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    pub x: f64,
    pub y: f64,
}

/// A box of the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Frame {
    /// Whether two boxes have more than a border in common.
    pub fn meets(&self, other: &Frame) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }
}

/// A symbol in its place.
#[derive(Debug, Clone)]
pub struct Placed {
    pub shows: Shown,
    pub symbol: &'static Symbol,
    pub at: Spot,
    /// Turned over: the element's first terminal is at the bottom.
    pub flipped: bool,
    /// A contact that is made at rest.
    pub made: bool,
    /// The terminals at its pins, with what they are called in the drawing's netlist.
    pub pins: Vec<(End, Spot)>,
    /// Ends inside the box of its part: a terminal that the drawing shows elsewhere.
    pub inner: Vec<(TerminalId, Spot)>,
    /// What takes current from its pin: of a symbol that is no element, whether it carries any.
    pub taps: Vec<Tap>,
}

impl Placed {
    /// The box that the symbol fills.
    pub fn frame(&self) -> Frame {
        let (up, down) = match self.flipped {
            true => (self.symbol.down, self.symbol.up),
            false => (self.symbol.up, self.symbol.down),
        };
        Frame {
            left: self.at.x - self.symbol.left,
            top: self.at.y - up,
            right: self.at.x + self.symbol.right,
            bottom: self.at.y + down,
        }
    }
}

/// What a symbol stands for.
#[derive(Debug, Clone, PartialEq)]
pub enum Shown {
    /// Elements of a part; the first is the one that acts, the others suppress it.
    Element {
        part: PartId,
        elements: Vec<usize>,
    },
    Cavity {
        connector: ConnectorId,
        cavity: u16,
    },
    Ground(PartId),
    /// A conductor that goes on elsewhere, or a part of another sheet by its terminal alone.
    Flag {
        end: End,
        wires: Vec<WireId>,
        anchored: bool,
    },
    Blind {
        part: PartId,
        terminal: TerminalId,
    },
    /// A splice, or a terminal from which wires go on elsewhere.
    Joint(End),
    /// A terminal to which nothing is wired.
    OpenEnd(End),
}

/// A wire: a vertical line.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    pub wire: WireId,
    pub top: Spot,
    pub bottom: Spot,
    /// Its ends, top first.
    pub ends: [End; 2],
    /// The wire's first end is at the bottom.
    pub flipped: bool,
    /// The middle of its color swatch.
    pub swatch: Spot,
}

/// A terminal or splice at which three or more things meet: a horizontal line.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    pub end: End,
    pub left: Spot,
    pub right: Spot,
    /// Where paths join it: each gets a dot.
    pub dots: Vec<Spot>,
    /// What takes current from it, and where: left of everything or right of it where that is on another drawing sheet.
    pub taps: Vec<(f64, Tap)>,
    /// Wires go on from it at its right that no drawing sheet of the circuit shows.
    pub goes_on: bool,
    /// An unswitched feed: drawn thick.
    pub main: bool,
    /// It goes on at its left or right on another drawing sheet.
    pub continued: [bool; 2],
}

impl Bar {
    /// How far it runs out where it goes on elsewhere.
    pub(super) const STUB: f64 = 11.0;
}

/// A vertical line between a pin and what its terminal is joined to without a wire.
#[derive(Debug, Clone, PartialEq)]
pub struct Lead {
    pub end: End,
    pub tap: Tap,
    pub top: Spot,
    pub bottom: Spot,
}

/// A straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    pub from: Spot,
    pub to: Spot,
}

/// The place where a connector parts two harnesses.
#[derive(Debug, Clone, PartialEq)]
pub struct Boundary {
    pub connector: ConnectorId,
    /// Its pieces, between which the pins stand.
    pub pieces: Vec<Line>,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    pub words: String,
    pub style: Style,
    /// The start of its baseline, or its end when `ends` is set.
    pub at: Spot,
    pub ends: bool,
    /// What it belongs to.
    pub of: Owner,
    /// The box that it may fill in any common sans typeface.
    pub frame: Frame,
}

/// What a label or a state belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    Part(PartId),
    Wire(WireId),
    Connector(ConnectorId),
    Drawing,
}

/// How a label is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    Title,
    /// A part's, wire's or connector's id.
    Id,
    Name,
    Value,
    /// The condition of a contact.
    Condition,
    /// A terminal's marking or a cavity's number.
    Mark,
    /// A reference to a path or to a sheet.
    Reference,
    /// The builds that have it.
    Option,
    Path,
    Note,
    /// Says that the drawing shows rest: it goes when a state is shown.
    Rest,
}

impl Style {
    /// The type size, in drawing units.
    pub fn size(self) -> f64 {
        match self {
            Style::Title => 14.0,
            Style::Id => 10.5,
            Style::Path => 11.0,
            Style::Mark => 8.5,
            _ => 9.5,
        }
    }

    /// Whether it is set in bold.
    pub fn bold(self) -> bool {
        matches!(self, Style::Title | Style::Id | Style::Path)
    }

    /// How far its letters lean out of their own width at either side.
    pub(super) fn lean(self) -> f64 {
        if self == Style::Condition { 1.5 } else { 0.0 }
    }

    /// The width of the box that a text may fill.
    pub(super) fn width(self, words: &str) -> f64 {
        text::width(words, self.size(), self.bold()) + 2.0 * self.lean()
    }

    /// The class of its text in the SVG; none for what is written like most.
    pub fn class(self) -> &'static str {
        match self {
            Style::Title => "title",
            Style::Id => "id",
            Style::Name | Style::Value | Style::Option => "",
            Style::Condition => "condition",
            Style::Mark => "mark",
            Style::Reference => "reference",
            Style::Path => "path-number",
            Style::Note => "note",
            Style::Rest => "note rest",
        }
    }
}
