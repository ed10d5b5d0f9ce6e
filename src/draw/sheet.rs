//! Turns heights and columns into the lines, symbols and labels of one sheet.

use super::cell::{Cell, Figure};
use super::collect::{Piece, Tip};
use super::composition::Composition;
use super::contract::Member;
use super::place::{Heights, RowKind};
use super::puzzle::grounded;
use super::scene::*;
use super::strip::Tap;
use super::{symbol, text};
use crate::book::{ConnectorId, End};
use std::collections::BTreeMap;

/// A sheet on which lines are being drawn.
pub(super) struct Sheet<'a> {
    pub composition: &'a Composition<'a>,
    pub start: usize,
    /// Where each column's line is.
    pub across: Vec<f64>,
    pub heights: Heights,
    /// The number of each cell in the stack.
    pub index: Vec<Vec<Option<usize>>>,
    /// Below everything but the ground symbols.
    pub floor: f64,
    pub bars: Vec<usize>,
    pub ranges: Vec<(usize, usize)>,
    pub scene: Scene,
}

impl Sheet<'_> {
    pub(super) fn draw(&mut self, bar_cells: &[Cell]) {
        let grounds = self.composition.cells[self.start..self.start + self.across.len()]
            .iter()
            .filter_map(|column| column.last())
            .filter(|held| grounded(self.composition.circuit, held.member))
            .fold((0.0f64, 0.0f64), |(up, down), held| (up.max(held.cell.up), down.max(held.cell.down)));
        let ground = (self.floor + grounds.0).round();
        let foot = ground + grounds.1;
        self.bars(bar_cells);
        for column in 0..self.across.len() {
            self.column(column, ground);
        }
        self.rows();
        for column in 0..self.across.len() {
            let number = self.start + column + 1;
            let words = number.to_string();
            let width = text::width(&words, Style::Path.size(), true);
            let x = self.across[column];
            let at = Spot { x: x - width / 2.0, y: foot + 16.0 };
            self.scene.say(words, Style::Path, at, Owner::Drawing);
            self.scene.columns[column].y = foot + 12.0;
        }
        self.scene.height = foot + 22.0;
        self.scene.crossings = self.crossings();
    }

    fn bars(&mut self, cells: &[Cell]) {
        let composition = self.composition;
        for (number, bar) in self.bars.clone().into_iter().enumerate() {
            let (first, last) = self.ranges[number];
            let y = self.heights.bars[number];
            let here = |column: &&usize| (self.start..self.start + self.across.len()).contains(*column);
            let dots: Vec<Spot> = composition.joined[bar]
                .iter()
                .filter(here)
                .map(|&column| Spot { x: self.across[column - self.start], y })
                .collect();
            let end = composition.circuit.points[composition.net.bars[bar].point];
            let edge = |at: Option<&usize>, past: bool| at.is_some_and(|&column| !here(&&column) && past);
            let joined = &composition.joined[bar];
            let aside = composition.circuit.asides.contains_key(&composition.net.bars[bar].point);
            let taps = composition.taps(bar).into_iter().map(|(column, tap)| {
                let x = match column.checked_sub(self.start) {
                    None => f64::NEG_INFINITY,
                    Some(column) => self.across.get(column).copied().unwrap_or(f64::INFINITY),
                };
                (x, tap)
            });
            self.scene.bars.push(Bar {
                end,
                taps: taps.collect(),
                goes_on: aside,
                left: Spot { x: self.across[first], y },
                right: Spot { x: self.across[last], y },
                main: composition.vehicle.unswitched(end) && joined.len() > 2,
                dots,
                continued: [edge(joined.first(), true), edge(joined.last(), true) || aside],
            });
            let at = Spot { x: self.across[first], y };
            self.words(&cells[number], at);
        }
    }

    fn words(&mut self, cell: &Cell, at: Spot) {
        for words in &cell.words {
            let width = words.style.width(&words.words);
            let x = at.x + words.x;
            let y = at.y + words.y;
            let left = if words.ends { x - width } else { x - words.style.lean() };
            self.scene.labels.push(Label {
                words: words.words.clone(),
                style: words.style,
                at: Spot { x, y },
                ends: words.ends,
                of: words.owner,
                frame: Frame {
                    left,
                    top: y - words.style.size() * text::ASCENT,
                    right: left + width,
                    bottom: y + words.style.size() * text::DESCENT,
                },
            });
        }
    }

    /// Everything that stands on a column, and the lines between.
    fn column(&mut self, column: usize, ground: f64) {
        let composition = self.composition;
        let x = self.across[column];
        let number = self.start + column + 1;
        let mut stack = Vec::new();
        let mut at = 0;
        for &path in &composition.columns[self.start + column] {
            let held = &composition.net.paths[path];
            let bar = |bar: usize| self.bars.iter().position(|&other| other == bar);
            let (top, bottom) = (held.top.and_then(bar), held.bottom.and_then(bar));
            if let Some(top) = top
                && stack.last() != Some(&Stacked::Bar(top))
            {
                stack.push(Stacked::Bar(top));
            }
            // Where the next line begins.
            let mut above = top.map(|top| self.heights.bars[top]);
            let mut wire: Option<(usize, bool, f64)> = None;
            let last = held.members.len();
            for (place, &member) in held.members.iter().enumerate() {
                let y = match self.index[column][at] {
                    Some(cell) => self.heights.cells[cell],
                    None => ground,
                };
                let cell = &composition.cells[self.start + column][at].cell;
                debug_assert_eq!(composition.cells[self.start + column][at].path, path);
                at += 1;
                self.words(cell, Spot { x, y });
                let Some(figure) = cell.figure else {
                    if let Member::Edge { edge, flipped } = member {
                        wire = Some((edge, flipped, y));
                        stack.push(Stacked::Wire(self.scene.wires.len()));
                    }
                    if place + 1 == last
                        && let (Some(bottom), Some((edge, flipped, swatch)), Some(above)) =
                            (bottom, wire.take(), above)
                    {
                        let y = self.heights.bars[bottom];
                        self.run(edge, flipped, swatch, x, above, y);
                    }
                    continue;
                };
                let (up, down) = reach(member, figure);
                let (high, low) = (y - up, y + down);
                match (above, wire) {
                    (None, _) => {}
                    (Some(above), Some((edge, flipped, swatch))) => {
                        self.run(edge, flipped, swatch, x, above, high);
                        wire = None;
                    }
                    (Some(above), None) => {
                        let tap = composition.lead_tap(held, place, true);
                        self.lead(composition.end_above(member), tap, x, above, high);
                    }
                }
                stack.push(Stacked::Symbol(self.scene.symbols.len()));
                self.symbol(member, figure, Spot { x, y }, (high, low), place == 0 && held.top.is_none());
                if let (true, Some(bottom)) = (place + 1 == last, bottom) {
                    let y = self.heights.bars[bottom];
                    let tap = composition.lead_tap(held, place, false);
                    self.lead(composition.end_below(member), tap, x, low, y);
                }
                above = Some(low);
            }
            stack.extend(bottom.map(Stacked::Bar));
        }
        self.scene.columns.push(Column { number, x, y: 0.0, stack });
    }

    fn run(&mut self, edge: usize, flipped: bool, swatch: f64, x: f64, top: f64, bottom: f64) {
        let Piece::Wire(wire) = self.composition.circuit.edges[edge].piece else {
            unreachable!("only wires have cells without a symbol");
        };
        let mut ends = self.composition.book.wire(wire).ends;
        if flipped {
            ends.reverse();
        }
        self.scene.wires.push(Run {
            wire,
            top: Spot { x, y: top },
            bottom: Spot { x, y: bottom },
            ends,
            flipped,
            swatch: Spot { x, y: swatch },
        });
    }

    fn lead(&mut self, end: Option<End>, tap: Tap, x: f64, top: f64, bottom: f64) {
        if let (Some(end), true) = (end, bottom > top) {
            self.scene.leads.push(Lead { end, tap, top: Spot { x, y: top }, bottom: Spot { x, y: bottom } });
        }
    }

    fn symbol(&mut self, member: Member, figure: Figure, at: Spot, (high, low): (f64, f64), first: bool) {
        let composition = self.composition;
        let [top, bottom] = [high, low].map(|y| Spot { x: at.x, y });
        let mut inner = Vec::new();
        let (shows, pins) = match member {
            Member::Joint(point) => {
                let end = composition.circuit.points[point];
                if figure.symbol == &symbol::OPEN_END {
                    let pin = if first { bottom } else { top };
                    (Shown::OpenEnd(end), vec![(end, pin)])
                } else {
                    (Shown::Joint(end), vec![(end, at)])
                }
            }
            Member::Edge { edge, flipped } => {
                let held = &composition.circuit.edges[edge];
                let spots = if flipped { [bottom, top] } else { [top, bottom] };
                let mut pins = Vec::new();
                for (tip, spot) in held.tips.iter().zip(spots) {
                    match *tip {
                        Tip::Point(point) => pins.push((composition.circuit.points[point], spot)),
                        Tip::Inner(terminal) => inner.push((terminal, spot)),
                        Tip::Free => {}
                    }
                }
                (shown(&held.piece), pins)
            }
        };
        self.scene.symbols.push(Placed {
            taps: composition.member_taps(member),
            shows,
            symbol: figure.symbol,
            at,
            flipped: figure.flipped,
            made: figure.made,
            pins,
            inner,
        });
    }

    /// What runs along rows: the boundary that a connector makes, and the links of ganged contacts.
    fn rows(&mut self) {
        let composition = self.composition;
        // The cell of each column in each row, by what the row is of.
        let mut rows: BTreeMap<(RowKind, usize), Vec<usize>> = BTreeMap::new();
        for column in 0..self.across.len() {
            for (at, number) in self.index[column].iter().enumerate() {
                let held = &composition.cells[self.start + column][at];
                if let (Some(number), Some(row)) = (*number, composition.row(held.member)) {
                    rows.entry((row, self.heights.rows[number])).or_default().push(column);
                }
            }
        }
        for (&(row, unit), columns) in &rows {
            let y = self.heights.cells[unit];
            match row {
                RowKind::Connector(id) => {
                    let mut pieces = Vec::new();
                    for (at, &column) in columns.iter().enumerate() {
                        let x = self.across[column];
                        let joined = at > 0 && columns[at - 1] + 1 == column;
                        let left = if joined { self.across[column - 1] + 8.0 } else { x - 16.0 };
                        pieces.push(line(left, x - 8.0, y));
                        if columns.get(at + 1) != Some(&(column + 1)) {
                            pieces.push(line(x + 8.0, x + 24.0, y));
                        }
                    }
                    self.scene.boundaries.push(Boundary { connector: ConnectorId(id), pieces });
                }
                RowKind::Gang(_) => {
                    for pair in columns.windows(2).filter(|pair| pair[0] + 1 == pair[1]) {
                        self.scene.links.push(line(
                            self.across[pair[0]] - 4.0,
                            self.across[pair[1]] - 5.0,
                            y,
                        ));
                    }
                }
                RowKind::Protection | RowKind::Load => {}
            }
        }
    }

    fn crossings(&self) -> usize {
        let vertical = self
            .scene
            .wires
            .iter()
            .map(|run| (run.top, run.bottom))
            .chain(self.scene.leads.iter().map(|lead| (lead.top, lead.bottom)));
        vertical
            .map(|(top, bottom)| {
                let crossed = |bar: &&Bar| {
                    bar.left.x < top.x && top.x < bar.right.x && top.y < bar.left.y && bar.left.y < bottom.y
                };
                self.scene.bars.iter().filter(crossed).count()
            })
            .sum()
    }
}

/// How far a symbol's pins are above and below its middle; a dot has none.
fn reach(member: Member, figure: Figure) -> (f64, f64) {
    let symbol = figure.symbol;
    match member {
        Member::Joint(_) if symbol != &symbol::OPEN_END => (0.0, 0.0),
        _ if figure.flipped => (symbol.down, symbol.up),
        _ => (symbol.up, symbol.down),
    }
}

fn shown(piece: &Piece) -> Shown {
    match piece {
        Piece::Element { part, elements } => Shown::Element { part: *part, elements: elements.clone() },
        Piece::Cavity { connector, cavity } => Shown::Cavity { connector: *connector, cavity: *cavity },
        Piece::Ground(part) => Shown::Ground(*part),
        Piece::Flag { end, aside, .. } => {
            Shown::Flag { end: *end, wires: aside.wires.clone(), anchored: aside.anchored }
        }
        Piece::Blind { part, terminal } => Shown::Blind { part: *part, terminal: *terminal },
        Piece::Wire(_) => unreachable!("a wire has no symbol"),
    }
}

fn line(from: f64, to: f64, y: f64) -> Line {
    Line { from: Spot { x: from, y }, to: Spot { x: to, y } }
}
