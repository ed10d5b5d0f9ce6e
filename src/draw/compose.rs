//! Turns ordered columns into scenes: cells, cuts into sheets, heights, and the lines between what stands on each path.

use super::View;
use super::collect::{Circuit, Link, Tip};
use super::contract::{Item, Net};
use super::cut::cut;
use super::label::{Cell, Context, PITCH};
use super::order::Order;
use super::place::{Heights, Lying, Row, Stack, Standing, Unit, place};
use super::puzzle::grounded;
use super::rank::Vehicle;
use super::scene::*;
use super::strand;
use super::text;
use crate::book::{Action, Book, ConnectorId, End, PartId};
use std::collections::BTreeMap;

/// The widest drawing that one sheet holds: at this width a landscape page prints its text at about 6.5 points.
const LIMIT: f64 = 1340.0;
const MARGIN: f64 = 14.0;
const HEADER: f64 = 30.0;
/// The least space between two columns.
const GAP: f64 = 5.0;

/// A cell on its column.
struct Held {
    path: usize,
    item: Item,
    cell: Cell,
}

/// What the parts of this work share.
struct Composer<'a> {
    book: &'a Book,
    view: View,
    vehicle: &'a Vehicle,
    circuit: &'a Circuit,
    net: &'a Net,
    /// The paths of each column, left to right.
    columns: Vec<Vec<usize>>,
    /// The columns of each bar, ascending.
    joined: Vec<Vec<usize>>,
    /// The level of each bar: 0 is the highest.
    level: Vec<usize>,
    cells: Vec<Vec<Held>>,
}

pub(super) fn compose(
    book: &Book,
    view: View,
    vehicle: &Vehicle,
    circuit: &Circuit,
    net: &Net,
    columns: &[strand::Column],
    order: &Order,
) -> Vec<Scene> {
    let ordered: Vec<Vec<usize>> = order
        .columns
        .iter()
        .map(|&at| columns[at].paths.clone())
        .collect();
    let mut numbers = vec![0; net.paths.len()];
    let mut joined = vec![Vec::new(); net.bars.len()];
    for (at, paths) in ordered.iter().enumerate() {
        for &path in paths {
            numbers[path] = at + 1;
            for bar in [net.paths[path].top, net.paths[path].bottom]
                .into_iter()
                .flatten()
            {
                if joined[bar].last() != Some(&at) {
                    joined[bar].push(at);
                }
            }
        }
    }
    let mut level = vec![0; net.bars.len()];
    for (at, &bar) in order.bars.iter().enumerate() {
        level[bar] = at;
    }
    let context = Context {
        book,
        view,
        circuit,
        net,
        numbers,
    };
    let cells = cells(&context, &ordered);
    let composer = Composer {
        book,
        view,
        vehicle,
        circuit,
        net,
        columns: ordered,
        joined,
        level,
        cells,
    };
    composer.scenes(&context)
}

/// The cells of every column, each thing named in full where it first appears.
fn cells(context: &Context, columns: &[Vec<usize>]) -> Vec<Vec<Held>> {
    let mut seen: Vec<Link> = Vec::new();
    let mut grounds: [Option<PartId>; 2] = [None, None];
    let mut cells = Vec::new();
    for paths in columns {
        grounds = [None, grounds[0]];
        let mut column = Vec::new();
        for &path in paths {
            for &item in &context.net.paths[path].items {
                let first = match item {
                    Item::Joint(_) => true,
                    Item::Edge { edge, .. } => match &context.circuit.edges[edge].link {
                        Link::Ground(part) => {
                            grounds[0] = Some(*part);
                            grounds[1] != Some(*part)
                        }
                        Link::Element { part, .. } | Link::Blind { part, .. } => {
                            let key = Link::Ground(*part);
                            let new = !seen.contains(&key);
                            seen.push(key);
                            new
                        }
                        Link::Cavity { connector, .. } => {
                            let key = Link::Cavity {
                                connector: *connector,
                                cavity: 0,
                            };
                            let new = !seen.contains(&key);
                            seen.push(key);
                            new
                        }
                        Link::Wire(_) | Link::Flag { .. } => true,
                    },
                };
                let cell = context.cell(path, item, first);
                column.push(Held { path, item, cell });
            }
        }
        cells.push(column);
    }
    cells
}

impl Composer<'_> {
    fn scenes(&self, context: &Context) -> Vec<Scene> {
        let widths: Vec<f64> = self
            .cells
            .iter()
            .map(|column| {
                let (left, right) = sides(column.iter().map(|held| &held.cell));
                left + right + GAP
            })
            .collect();
        let bars: Vec<(usize, usize)> = self
            .joined
            .iter()
            .filter_map(|columns| Some((*columns.first()?, *columns.last()?)))
            .collect();
        let starts = cut(&widths, &bars, LIMIT - 2.0 * MARGIN);
        (0..starts.len())
            .map(|at| {
                let end = starts.get(at + 1).copied().unwrap_or(self.columns.len());
                let mut scene = self.scene(context, starts[at], end);
                scene.number = at + 1;
                scene.count = starts.len();
                self.caption(&mut scene);
                scene
            })
            .collect()
    }

    /// The sheet with the columns from `start` to before `end`.
    fn scene(&self, context: &Context, start: usize, end: usize) -> Scene {
        let bars: Vec<usize> = (0..self.net.bars.len())
            .filter(|&bar| {
                self.joined[bar]
                    .iter()
                    .any(|column| (start..end).contains(column))
            })
            .collect();
        let bar_cells: Vec<Cell> = bars
            .iter()
            .map(|&bar| {
                let apart = |column: &&usize| !(start..end).contains(*column);
                let elsewhere: Vec<usize> = self.joined[bar]
                    .iter()
                    .filter(apart)
                    .map(|&column| column + 1)
                    .collect();
                context.bar(self.circuit.points[self.net.bars[bar].point], &elsewhere)
            })
            .collect();
        let ranges: Vec<(usize, usize)> = bars
            .iter()
            .map(|&bar| {
                let here = || {
                    self.joined[bar]
                        .iter()
                        .filter(|&&column| (start..end).contains(&column))
                };
                (
                    here().next().map_or(0, |&column| column - start),
                    here().next_back().map_or(0, |&column| column - start),
                )
            })
            .collect();
        let (stack, index) = self.stack(start, end, &bars, &bar_cells, &ranges);
        let heights = place(&stack);
        let mut x = MARGIN;
        let mut across = Vec::new();
        for column in start..end {
            let labels = ranges
                .iter()
                .zip(&bar_cells)
                .filter(|((first, _), _)| *first == column - start);
            let cells = self.cells[column].iter().map(|held| &held.cell);
            let (left, right) = sides(cells.chain(labels.map(|(_, cell)| cell)));
            across.push((x + left).round());
            x = (x + left).round() + right + GAP;
        }
        let floor = heights.used.iter().copied().fold(HEADER, f64::max);
        let mut sheet = Sheet {
            composer: self,
            start,
            across,
            heights,
            index,
            floor,
            bars,
            ranges,
            scene: Scene {
                sheet: self.view.sheet,
                build: self.view.build,
                title: self.book.sheets[self.view.sheet.index()].title.clone(),
                number: 1,
                count: 1,
                width: x + MARGIN,
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
            },
        };
        sheet.draw(&bar_cells);
        sheet.scene
    }

    /// What is to be placed on a sheet, and the number of each cell in it, by column and place in the column. Ground
    /// symbols have none: they stand in a row of their own below everything.
    fn stack(
        &self,
        start: usize,
        end: usize,
        bars: &[usize],
        bar_cells: &[Cell],
        ranges: &[(usize, usize)],
    ) -> (Stack, Vec<Vec<Option<usize>>>) {
        let mut stack = Stack {
            cells: Vec::new(),
            bars: Vec::new(),
            before: Vec::new(),
            columns: end - start,
            top: HEADER,
        };
        for (cell, &(first, last)) in bar_cells.iter().zip(ranges) {
            stack.bars.push(Lying {
                first,
                last,
                up: cell.up,
                down: cell.down,
            });
        }
        let local = |bar: usize| {
            Unit::Bar(
                bars.iter()
                    .position(|&other| other == bar)
                    .expect("the bar is on the sheet"),
            )
        };
        let mut index = Vec::new();
        // The outermost units of each column.
        let mut outer: Vec<Option<(Unit, Unit)>> = Vec::new();
        for column in start..end {
            let mut numbers = Vec::new();
            let mut held = self.cells[column].iter();
            let mut outermost: Option<(Unit, Unit)> = None;
            for &path in &self.columns[column] {
                let ends = &self.net.paths[path];
                let mut last = ends.top.map(local);
                for held in held.by_ref().take(ends.items.len()) {
                    if grounded(self.circuit, held.item) {
                        numbers.push(None);
                        continue;
                    }
                    let number = stack.cells.len();
                    stack
                        .cells
                        .push(Standing::new(column - start, &held.cell, self.row(held.item)));
                    numbers.push(Some(number));
                    let unit = Unit::Cell(number);
                    stack.before.extend(last.map(|last| (last, unit)));
                    last = Some(unit);
                    outermost = Some((outermost.map_or(unit, |(first, _)| first), unit));
                }
                if let (Some(last), Some(bottom)) = (last, ends.bottom) {
                    stack.before.push((last, local(bottom)));
                }
            }
            index.push(numbers);
            outer.push(outermost);
        }
        self.bars_in_order(start, bars, ranges, &outer, &mut stack);
        (stack, index)
    }

    /// Bars over the same columns keep their order, and what hangs from one bar alone stays clear of the others.
    fn bars_in_order(
        &self,
        start: usize,
        bars: &[usize],
        ranges: &[(usize, usize)],
        outer: &[Option<(Unit, Unit)>],
        stack: &mut Stack,
    ) {
        for (one, &(first, last)) in ranges.iter().enumerate() {
            for (two, &(other_first, other_last)) in ranges.iter().enumerate() {
                if self.level[bars[one]] < self.level[bars[two]] && first <= other_last && other_first <= last
                {
                    stack.before.push((Unit::Bar(one), Unit::Bar(two)));
                }
            }
            for (column, outermost) in outer.iter().enumerate().take(last).skip(first + 1) {
                let paths = &self.columns[start + column];
                let ends = |path: &usize| &self.net.paths[*path];
                if self.joined[bars[one]].contains(&(start + column)) {
                    continue;
                }
                let Some((highest, lowest)) = *outermost else {
                    continue;
                };
                let level = self.level[bars[one]];
                let mut own = paths
                    .iter()
                    .flat_map(|path| [ends(path).top, ends(path).bottom])
                    .flatten();
                let grounded = self.cells[start + column]
                    .last()
                    .is_some_and(|held| grounded(self.circuit, held.item));
                match own.next() {
                    None if grounded => {}
                    None => stack.before.push((lowest, Unit::Bar(one))),
                    Some(bar) if level < self.level[bar] => stack.before.push((Unit::Bar(one), highest)),
                    Some(bar) => {
                        let bottom = own.next_back().unwrap_or(bar);
                        if !grounded && level > self.level[bottom] {
                            stack.before.push((lowest, Unit::Bar(one)));
                        }
                    }
                }
            }
        }
    }

    /// The row in which an item likes to stand.
    fn row(&self, item: Item) -> Option<Row> {
        let Item::Edge { edge, .. } = item else {
            return None;
        };
        match &self.circuit.edges[edge].link {
            Link::Cavity { connector, .. } => Some(Row::Connector(connector.0)),
            Link::Element { part, elements } => {
                let held = self.book.part(*part);
                match held.elements[elements[0]].action {
                    Action::Link { .. } => Some(Row::Protection),
                    Action::Contact { .. } => Some(Row::Gang(part.0)),
                    Action::Source { .. }
                    | Action::Coil { .. }
                    | Action::Filament { .. }
                    | Action::Led { .. }
                    | Action::Load { .. } => Some(Row::Load),
                    Action::Resistor { .. }
                    | Action::Diode { .. }
                    | Action::Flasher { .. }
                    | Action::Capacitor { .. } => None,
                }
            }
            _ => None,
        }
    }

    /// Title, notes, and the final size.
    fn caption(&self, scene: &mut Scene) {
        if scene.count > 1 {
            scene.title = format!("{}, sheet {} of {}", scene.title, scene.number, scene.count);
        }
        let mut title = scene.title.clone();
        if let Some(build) = scene.build.filter(|_| !self.book.options.is_empty()) {
            title = format!("{title} · {}", self.book.build_name(build));
        }
        let metric = self.book.wires.iter().any(|wire| wire.size.as_gauge().is_none());
        let mut note = "Controls at rest, coils released.".to_string();
        if metric {
            note.push_str(" Wire sizes in mm².");
        }
        note.push_str(" → leads to the path of that number, or to another drawing.");
        scene.height += 8.0;
        let bottom = scene.height;
        scene.say(title, Style::Title, Spot { x: MARGIN, y: 19.0 }, Owner::Drawing);
        for line in text::wrap(&note, Style::Note.size(), (scene.width - 2.0 * MARGIN).max(240.0)) {
            let at = Spot {
                x: MARGIN,
                y: scene.height + 4.0,
            };
            scene.say(line, Style::Note, at, Owner::Drawing);
            scene.height += PITCH;
        }
        scene.height = scene.height.max(bottom) + MARGIN;
        let widest = scene
            .labels
            .iter()
            .map(|label| label.frame.right)
            .fold(0.0, f64::max);
        scene.width = scene.width.max(widest + MARGIN).round();
        scene.height = scene.height.round();
    }
}

impl Scene {
    fn say(&mut self, words: String, style: Style, at: Spot, of: Owner) {
        let width = text::width(&words, style.size(), style.bold());
        let frame = Frame {
            left: at.x,
            top: at.y - style.size() * text::ASCENT,
            right: at.x + width,
            bottom: at.y + style.size() * text::DESCENT,
        };
        self.labels.push(Label {
            words,
            style,
            at,
            ends: false,
            of,
            frame,
        });
    }
}

fn sides<'a>(cells: impl Iterator<Item = &'a Cell>) -> (f64, f64) {
    cells.fold((14.0, 14.0), |(left, right): (f64, f64), cell| {
        (left.max(cell.left), right.max(cell.right))
    })
}

/// A sheet on which lines are being drawn.
struct Sheet<'a> {
    composer: &'a Composer<'a>,
    start: usize,
    /// Where each column's line is.
    across: Vec<f64>,
    heights: Heights,
    /// The number of each cell in the stack.
    index: Vec<Vec<Option<usize>>>,
    /// Below everything but the ground symbols.
    floor: f64,
    bars: Vec<usize>,
    ranges: Vec<(usize, usize)>,
    scene: Scene,
}

/// Something on a path between which lines run.
struct Station {
    top: f64,
    bottom: f64,
}

impl Sheet<'_> {
    fn draw(&mut self, bar_cells: &[Cell]) {
        let grounds = self.composer.cells[self.start..self.start + self.across.len()]
            .iter()
            .filter_map(|column| column.last())
            .filter(|held| grounded(self.composer.circuit, held.item))
            .fold((0.0f64, 0.0f64), |(up, down), held| {
                (up.max(held.cell.up), down.max(held.cell.down))
            });
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
            let at = Spot {
                x: x - width / 2.0,
                y: foot + 16.0,
            };
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
                .map(|&column| Spot {
                    x: self.across[column - self.start],
                    y,
                })
                .collect();
            let end = composer.circuit.points[composer.net.bars[bar].point];
            let edge = |at: Option<&usize>, past: bool| at.is_some_and(|&column| !here(&&column) && past);
            let joined = &composer.joined[bar];
            self.scene.bars.push(Bar {
                end,
                left: Spot {
                    x: self.across[first],
                    y,
                },
                right: Spot {
                    x: self.across[last],
                    y,
                },
                main: composer.vehicle.unswitched(end) && joined.len() > 2,
                dots,
                continued: [edge(joined.first(), true), edge(joined.last(), true)],
            });
            let at = Spot {
                x: self.across[first],
                y,
            };
            self.words(&cells[number], at);
        }
    }

    fn words(&mut self, cell: &Cell, at: Spot) {
        for words in &cell.words {
            let width = text::width(&words.words, words.style.size(), words.style.bold());
            let x = at.x + words.x;
            let y = at.y + words.y;
            let left = if words.ends { x - width } else { x };
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
            let mut above = top.map(|top| Station {
                top: self.heights.bars[top],
                bottom: self.heights.bars[top],
            });
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
                let dot = matches!(item, Item::Joint(point) if composer.splice(point));
                let station = if dot {
                    Station { top: y, bottom: y }
                } else {
                    Station {
                        top: y - up,
                        bottom: y + down,
                    }
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
                self.symbol(
                    item,
                    figure,
                    Spot { x, y },
                    &station,
                    place == 0 && held.top.is_none(),
                );
                if let (true, Some(bottom)) = (place + 1 == last, bottom) {
                    let y = self.heights.bars[bottom];
                    self.lead(composer.end_below(item), x, station.bottom, y);
                }
                above = Some(station);
            }
            stack.extend(bottom.map(Stacked::Bar));
        }
        self.scene.columns.push(Column {
            number,
            x,
            y: 0.0,
            stack,
        });
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
            self.scene.leads.push(Lead {
                end,
                top: Spot { x, y: top },
                bottom: Spot { x, y: bottom },
            });
        }
    }

    fn symbol(&mut self, item: Item, figure: super::label::Figure, at: Spot, station: &Station, first: bool) {
        let composer = self.composer;
        let (top, bottom) = (
            Spot {
                x: at.x,
                y: station.top,
            },
            Spot {
                x: at.x,
                y: station.bottom,
            },
        );
        let mut inner = Vec::new();
        let (shows, pins) = match item {
            Item::Joint(point) => {
                let end = composer.circuit.points[point];
                let pin = if first { bottom } else { top };
                match (end, composer.splice(point)) {
                    (End::Terminal { part, .. }, true) => (Shown::Splice(part), vec![(end, at)]),
                    _ => (Shown::OpenEnd(end), vec![(end, pin)]),
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
                    rows.entry((row, self.heights.rows[number]))
                        .or_default()
                        .push(column);
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
                        let left = if joined {
                            self.across[column - 1] + 8.0
                        } else {
                            x - 16.0
                        };
                        pieces.push(line(left, x - 8.0, y));
                        if columns.get(at + 1) != Some(&(column + 1)) {
                            pieces.push(line(x + 8.0, x + 24.0, y));
                        }
                    }
                    self.scene.boundaries.push(Boundary {
                        connector: ConnectorId(id),
                        pieces,
                    });
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
    fn splice(&self, point: usize) -> bool {
        matches!(self.circuit.points[point], End::Terminal { part, .. }
            if self.book.part(part).kind == crate::book::Kind::Splice)
    }

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
        Link::Element { part, elements } => Shown::Element {
            part: *part,
            elements: elements.clone(),
        },
        Link::Cavity { connector, cavity } => Shown::Cavity {
            connector: *connector,
            cavity: *cavity,
        },
        Link::Ground(part) => Shown::Ground(*part),
        Link::Flag {
            end, wires, anchored, ..
        } => Shown::Flag {
            end: *end,
            wires: wires.clone(),
            anchored: *anchored,
        },
        Link::Blind { part, terminal } => Shown::Blind {
            part: *part,
            terminal: *terminal,
        },
        Link::Wire(_) => unreachable!("a wire has no symbol"),
    }
}

fn line(from: f64, to: f64, y: f64) -> Line {
    Line {
        from: Spot { x: from, y },
        to: Spot { x: to, y },
    }
}
