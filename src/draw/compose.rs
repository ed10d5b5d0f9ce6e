//! Turns ordered columns into scenes: cells, cuts into sheets, heights, and the lines between what stands on each path.

use super::View;
use super::cell::{Cell, PITCH};
use super::collect::{Circuit, Link, Tip};
use super::contract::{Item, Net};
use super::cut::cut;
use super::label::{Context, Mention};
use super::order::Order;
use super::place::{Lying, Row, Stack, Standing, Unit, place};
use super::puzzle::grounded;
use super::rank::Vehicle;
use super::scene::*;
use super::share::{share, tuck};
use super::sheet::Sheet;
use super::strand;
use super::text;
use crate::book::{Action, Book};

/// The sides of a drawing that prints on one page, upright or across, with its text at about 5 points.
const SHORT: f64 = 1060.0;
const LONG: f64 = 1400.0;
const MARGIN: f64 = 14.0;
const HEADER: f64 = 30.0;
/// The least space between two columns.
const GAP: f64 = 5.0;

/// A cell on its column.
pub(super) struct Held {
    pub path: usize,
    pub item: Item,
    pub cell: Cell,
}

/// What the parts of this work share.
pub(super) struct Composer<'a> {
    pub book: &'a Book,
    view: View,
    pub vehicle: &'a Vehicle,
    pub circuit: &'a Circuit,
    pub net: &'a Net,
    /// The paths of each column, left to right.
    pub columns: Vec<Vec<usize>>,
    /// The columns of each bar, ascending.
    pub joined: Vec<Vec<usize>>,
    /// The level of each bar: 0 is the highest.
    level: Vec<usize>,
    pub cells: Vec<Vec<Held>>,
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
    let mut level = vec![0; net.bars.len()];
    for (at, &bar) in order.bars.iter().enumerate() {
        level[bar] = at;
    }
    let ordered = order.columns.iter().map(|&at| columns[at].paths.clone()).collect();
    let ordered: Vec<Vec<usize>> = tuck(circuit, net, &level, share(net, &level, ordered));
    let mut numbers = vec![0; net.paths.len()];
    let mut joined = vec![Vec::new(); net.bars.len()];
    for (at, paths) in ordered.iter().enumerate() {
        for &path in paths {
            numbers[path] = at + 1;
            for bar in [net.paths[path].top, net.paths[path].bottom].into_iter().flatten() {
                if joined[bar].last() != Some(&at) {
                    joined[bar].push(at);
                }
            }
        }
    }
    let context = Context { book, view, circuit, net, numbers };
    let cells = cells(&context, &ordered);
    let composer = Composer { book, view, vehicle, circuit, net, columns: ordered, joined, level, cells };
    // A drawing that is low enough goes across the page; otherwise it stands upright.
    let across = composer.scenes(&context, LONG);
    if across.iter().all(|scene| scene.width <= SHORT || scene.height <= SHORT) {
        return across;
    }
    composer.scenes(&context, SHORT)
}

/// The cells of every column, each thing named in full where it first appears.
fn cells(context: &Context, columns: &[Vec<usize>]) -> Vec<Vec<Held>> {
    let mut seen: Vec<Owner> = Vec::new();
    let mut last_ground = None;
    let mut cells = Vec::new();
    for paths in columns {
        let mut ground = None;
        let mut column = Vec::new();
        for &path in paths {
            for &item in &context.net.paths[path].items {
                let owner = match item {
                    Item::Joint(_) => None,
                    Item::Edge { edge, .. } => match &context.circuit.edges[edge].link {
                        Link::Ground(part) => {
                            ground = Some(*part);
                            Some(Owner::Part(*part))
                        }
                        Link::Element { part, .. } | Link::Blind { part, .. } => Some(Owner::Part(*part)),
                        Link::Cavity { connector, .. } => Some(Owner::Connector(*connector)),
                        Link::Wire(_) | Link::Flag { .. } => None,
                    },
                };
                let mention = match owner {
                    Some(_) if ground.is_some() && ground == last_ground => Mention::Beside,
                    Some(owner) if seen.contains(&owner) => Mention::Again,
                    _ => Mention::First,
                };
                seen.extend(owner);
                let cell = context.cell(path, item, mention);
                column.push(Held { path, item, cell });
            }
        }
        last_ground = ground;
        cells.push(column);
    }
    cells
}

impl Composer<'_> {
    fn scenes(&self, context: &Context, limit: f64) -> Vec<Scene> {
        let widths: Vec<f64> = self
            .cells
            .iter()
            .map(|column| {
                let (left, right) = sides(column.iter().map(|held| &held.cell));
                left + right + GAP
            })
            .collect();
        let bars: Vec<(usize, usize)> =
            self.joined.iter().filter_map(|columns| Some((*columns.first()?, *columns.last()?))).collect();
        let starts = cut(&widths, &bars, limit - 2.0 * MARGIN);
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
            .filter(|&bar| self.joined[bar].iter().any(|column| (start..end).contains(column)))
            .collect();
        let bar_cells: Vec<Cell> = bars
            .iter()
            .map(|&bar| {
                let apart = |column: &&usize| !(start..end).contains(*column);
                let elsewhere: Vec<usize> =
                    self.joined[bar].iter().filter(apart).map(|&column| column + 1).collect();
                context.bar(self.net.bars[bar].point, &elsewhere)
            })
            .collect();
        let ranges: Vec<(usize, usize)> = bars
            .iter()
            .map(|&bar| {
                let here = || self.joined[bar].iter().filter(|&&column| (start..end).contains(&column));
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
            let labels = ranges.iter().zip(&bar_cells).filter(|((first, _), _)| *first == column - start);
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
            stack.bars.push(Lying { first, last, up: cell.up, down: cell.down });
        }
        let local = |bar: usize| {
            Unit::Bar(bars.iter().position(|&other| other == bar).expect("the bar is on the sheet"))
        };
        let mut index = Vec::new();
        // The outermost units of each column.
        let mut outer: Vec<Option<(Unit, Unit)>> = Vec::new();
        for column in start..end {
            let mut numbers = Vec::new();
            let mut held = self.cells[column].iter();
            let mut outermost: Option<(Unit, Unit)> = None;
            let mut last: Option<Unit> = None;
            for &path in &self.columns[column] {
                let ends = &self.net.paths[path];
                last = ends.top.map(local).or(last);
                for held in held.by_ref().take(ends.items.len()) {
                    if grounded(self.circuit, held.item) {
                        numbers.push(None);
                        continue;
                    }
                    let number = stack.cells.len();
                    stack.cells.push(Standing::new(
                        column - start,
                        &held.cell,
                        self.row(held.item),
                        self.low(held.item),
                    ));
                    numbers.push(Some(number));
                    let unit = Unit::Cell(number);
                    stack.before.extend(last.map(|last| (last, unit)));
                    last = Some(unit);
                    outermost = Some((outermost.map_or(unit, |(first, _)| first), unit));
                }
                if let Some(bottom) = ends.bottom.map(local) {
                    stack.before.extend(last.map(|last| (last, bottom)));
                    last = Some(bottom);
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
                let mut own = paths.iter().flat_map(|path| [ends(path).top, ends(path).bottom]).flatten();
                let grounded =
                    self.cells[start + column].last().is_some_and(|held| grounded(self.circuit, held.item));
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
    pub(super) fn row(&self, item: Item) -> Option<Row> {
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

    /// A flag from which a conductor of the ground side comes down.
    fn low(&self, item: Item) -> bool {
        let Item::Edge { edge, .. } = item else {
            return false;
        };
        let held = &self.circuit.edges[edge];
        match (&held.link, held.tips[0]) {
            (Link::Flag { up: true, .. }, Tip::Point(point)) => self.circuit.ranks[point] >= 0.5,
            _ => false,
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
        let mut note = "→ leads to the path of that number, or to another drawing.".to_string();
        if metric {
            note.push_str(" Wire sizes in mm².");
        }
        scene.height += 8.0;
        scene.say(title, Style::Title, Spot { x: MARGIN, y: 19.0 }, Owner::Drawing);
        let room = (scene.width - 2.0 * MARGIN).max(240.0);
        for (style, words) in
            [(Style::Rest, "Drawn with all controls at rest and all coils released."), (Style::Note, &note)]
        {
            for line in text::wrap(words, style.size(), room) {
                let at = Spot { x: MARGIN, y: scene.height + 4.0 };
                scene.say(line, style, at, Owner::Drawing);
                scene.height += PITCH;
            }
        }
        scene.height += MARGIN - PITCH / 2.0;
        let widest = scene.labels.iter().map(|label| label.frame.right).fold(0.0, f64::max);
        scene.width = scene.width.max(widest + MARGIN).round();
        scene.height = scene.height.round();
    }
}

impl Scene {
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

fn sides<'a>(cells: impl Iterator<Item = &'a Cell>) -> (f64, f64) {
    cells.fold((14.0, 14.0), |(left, right): (f64, f64), cell| (left.max(cell.left), right.max(cell.right)))
}
