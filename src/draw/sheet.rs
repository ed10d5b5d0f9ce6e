//! Turns heights and columns into the lines, symbols and labels of one sheet.

use super::cell::{Cell, Figure};
use super::collect::{Link, Tip};
use super::compose::Composer;
use super::contract::Item;
use super::place::{Heights, Row};
use super::puzzle::grounded;
use super::scene::*;
use super::{symbol, text};
use crate::book::{ConnectorId, End};
use std::collections::BTreeMap;

/// A sheet on which lines are being drawn.
pub(super) struct Sheet<'a> {
    pub composer: &'a Composer<'a>,
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

/// Something on a path between which lines run.
struct Station {
    top: f64,
    bottom: f64,
}

impl Sheet<'_> {
    pub(super) fn draw(&mut self, bar_cells: &[Cell]) {
        let grounds = self.composer.cells[self.start..self.start + self.across.len()]
            .iter()
            .filter_map(|column| column.last())
            .filter(|held| grounded(self.composer.circuit, held.item))
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
        let composer = self.composer;
        for (number, bar) in self.bars.clone().into_iter().enumerate() {
            let (first, last) = self.ranges[number];
            let y = self.heights.bars[number];
            let here = |column: &&usize| (self.start..self.start + self.across.len()).contains(*column);
            let dots: Vec<Spot> = composer.joined[bar]
                .iter()
                .filter(here)
                .map(|&column| Spot { x: self.across[column - self.start], y })
                .collect();
            let end = composer.circuit.points[composer.net.bars[bar].point];
            let edge = |at: Option<&usize>, past: bool| at.is_some_and(|&column| !here(&&column) && past);
            let joined = &composer.joined[bar];
            let aside = composer.circuit.asides.contains_key(&composer.net.bars[bar].point);
            self.scene.bars.push(Bar {
                end,
                left: Spot { x: self.across[first], y },
                right: Spot { x: self.across[last], y },
                main: composer.vehicle.unswitched(end) && joined.len() > 2,
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
        let composer = self.composer;
        let x = self.across[column];
        let number = self.start + column + 1;
        let mut stack = Vec::new();
        let mut at = 0;
        for &path in &composer.columns[self.start + column] {
            let held = &composer.net.paths[path];
            let bar = |bar: usize| self.bars.iter().position(|&other| other == bar);
            let (top, bottom) = (held.top.and_then(bar), held.bottom.and_then(bar));
            if let Some(top) = top
                && stack.last() != Some(&Stacked::Bar(top))
            {
                stack.push(Stacked::Bar(top));
            }
            let mut above =
                top.map(|top| Station { top: self.heights.bars[top], bottom: self.heights.bars[top] });
            let mut wire: Option<(usize, bool, f64)> = None;
            let last = held.items.len();
            for (place, &item) in held.items.iter().enumerate() {
                let y = match self.index[column][at] {
                    Some(cell) => self.heights.cells[cell],
                    None => ground,
                };
                let cell = &composer.cells[self.start + column][at].cell;
                debug_assert_eq!(composer.cells[self.start + column][at].path, path);
                at += 1;
                self.words(cell, Spot { x, y });
                let Some(figure) = cell.figure else {
                    if let Item::Edge { edge, flipped } = item {
                        wire = Some((edge, flipped, y));
                        stack.push(Stacked::Wire(self.scene.wires.len()));
                    }
                    if place + 1 == last
                        && let (Some(bottom), Some((edge, flipped, swatch)), Some(above)) =
                            (bottom, wire.take(), &above)
                    {
                        let y = self.heights.bars[bottom];
                        self.run(edge, flipped, swatch, x, above.bottom, y);
                    }
                    continue;
                };
                let (up, down) = match figure.flipped {
                    true => (figure.symbol.down, figure.symbol.up),
                    false => (figure.symbol.up, figure.symbol.down),
                };
                let dot = matches!(item, Item::Joint(_)) && figure.symbol != &symbol::OPEN_END;
                let station = if dot {
                    Station { top: y, bottom: y }
                } else {
                    Station { top: y - up, bottom: y + down }
                };
                if let Some(above) = &above {
                    match wire.take() {
                        Some((edge, flipped, swatch)) => {
                            self.run(edge, flipped, swatch, x, above.bottom, station.top);
                        }
                        None => self.lead(composer.end_above(item), x, above.bottom, station.top),
                    }
                }
                stack.push(Stacked::Symbol(self.scene.symbols.len()));
                self.symbol(item, figure, Spot { x, y }, &station, place == 0 && held.top.is_none());
                if let (true, Some(bottom)) = (place + 1 == last, bottom) {
                    let y = self.heights.bars[bottom];
                    self.lead(composer.end_below(item), x, station.bottom, y);
                }
                above = Some(station);
            }
            stack.extend(bottom.map(Stacked::Bar));
        }
        self.scene.columns.push(Column { number, x, y: 0.0, stack });
    }

    fn run(&mut self, edge: usize, flipped: bool, swatch: f64, x: f64, top: f64, bottom: f64) {
        let Link::Wire(wire) = self.composer.circuit.edges[edge].link else {
            unreachable!("only wires have cells without a symbol");
        };
        let mut ends = self.composer.book.wire(wire).ends;
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

    fn lead(&mut self, end: Option<End>, x: f64, top: f64, bottom: f64) {
        if let (Some(end), true) = (end, bottom > top) {
            self.scene.leads.push(Lead { end, top: Spot { x, y: top }, bottom: Spot { x, y: bottom } });
        }
    }

    fn symbol(&mut self, item: Item, figure: Figure, at: Spot, station: &Station, first: bool) {
        let composer = self.composer;
        let (top, bottom) = (Spot { x: at.x, y: station.top }, Spot { x: at.x, y: station.bottom });
        let mut inner = Vec::new();
        let (shows, pins) = match item {
            Item::Joint(point) => {
                let end = composer.circuit.points[point];
                if figure.symbol == &symbol::OPEN_END {
                    let pin = if first { bottom } else { top };
                    (Shown::OpenEnd(end), vec![(end, pin)])
                } else {
                    (Shown::Joint(end), vec![(end, at)])
                }
            }
            Item::Edge { edge, flipped } => {
                let held = &composer.circuit.edges[edge];
                let spots = if flipped { [bottom, top] } else { [top, bottom] };
                let mut pins = Vec::new();
                for (tip, spot) in held.tips.iter().zip(spots) {
                    match *tip {
                        Tip::Point(point) => pins.push((composer.circuit.points[point], spot)),
                        Tip::Inner(terminal) => inner.push((terminal, spot)),
                        Tip::Free => {}
                    }
                }
                (shown(&held.link), pins)
            }
        };
        self.scene.symbols.push(Placed {
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
        let composer = self.composer;
        // The cell of each column in each row, by what the row is of.
        let mut rows: BTreeMap<(Row, usize), Vec<usize>> = BTreeMap::new();
        for column in 0..self.across.len() {
            for (at, number) in self.index[column].iter().enumerate() {
                let held = &composer.cells[self.start + column][at];
                if let (Some(number), Some(row)) = (*number, composer.row(held.item)) {
                    rows.entry((row, self.heights.rows[number])).or_default().push(column);
                }
            }
        }
        for (&(row, unit), columns) in &rows {
            let y = self.heights.cells[unit];
            match row {
                Row::Connector(id) => {
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
                Row::Gang(_) => {
                    for pair in columns.windows(2).filter(|pair| pair[0] + 1 == pair[1]) {
                        self.scene.links.push(line(
                            self.across[pair[0]] - 4.0,
                            self.across[pair[1]] - 5.0,
                            y,
                        ));
                    }
                }
                Row::Protection | Row::Load => {}
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

impl Composer<'_> {
    fn end_above(&self, item: Item) -> Option<End> {
        self.end_at(item, true)
    }

    fn end_below(&self, item: Item) -> Option<End> {
        self.end_at(item, false)
    }

    fn end_at(&self, item: Item, top: bool) -> Option<End> {
        match item {
            Item::Joint(point) => Some(self.circuit.points[point]),
            Item::Edge { edge, flipped } => {
                match self.circuit.edges[edge].tips[usize::from(top == flipped)] {
                    Tip::Point(point) => Some(self.circuit.points[point]),
                    Tip::Inner(_) | Tip::Free => None,
                }
            }
        }
    }
}

fn shown(link: &Link) -> Shown {
    match link {
        Link::Element { part, elements } => Shown::Element { part: *part, elements: elements.clone() },
        Link::Cavity { connector, cavity } => Shown::Cavity { connector: *connector, cavity: *cavity },
        Link::Ground(part) => Shown::Ground(*part),
        Link::Flag { end, aside, .. } => {
            Shown::Flag { end: *end, wires: aside.wires.clone(), anchored: aside.anchored }
        }
        Link::Blind { part, terminal } => Shown::Blind { part: *part, terminal: *terminal },
        Link::Wire(_) => unreachable!("a wire has no symbol"),
    }
}

fn line(from: f64, to: f64, y: f64) -> Line {
    Line { from: Spot { x: from, y }, to: Spot { x: to, y } }
}
