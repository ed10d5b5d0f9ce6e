//! Turns ordered columns into scenes: cells, cuts into sheets, heights, and the lines between what stands on each path.

use super::View;
use super::cell::{Cell, PITCH};
use super::collect::{Circuit, Piece};
use super::composition::{Composition, Held};
use super::contract::{Member, Net};
use super::cut::cut;
use super::label::{Context, Mention};
use super::place::place;
use super::puzzle::Order;
use super::rank::Vehicle;
use super::scene::*;
use super::share::{share, tuck};
use super::sheet::Sheet;
use super::stack::HEADER;
use super::strand;
use super::text;
use crate::book::Say;

/// The sides of a drawing that prints on one page, upright or across, with its text at about 5 points.
const SHORT: f64 = 1060.0;
const LONG: f64 = 1400.0;
const MARGIN: f64 = 14.0;
/// The least space between two columns.
const GAP: f64 = 5.0;

pub(super) fn compose(
    say: Say,
    view: View,
    vehicle: &Vehicle,
    circuit: &Circuit,
    net: &Net,
    columns: &[strand::Column],
    order: &Order,
) -> Vec<Scene> {
    let book = say.book;
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
    let context = Context { book, say, view, circuit, net, numbers };
    let cells = cells(&context, &ordered);
    let composition =
        Composition { book, say, view, vehicle, circuit, net, columns: ordered, joined, level, cells };
    // A drawing that is low enough goes across the page; otherwise it stands upright.
    let across = composition.scenes(&context, LONG);
    if across.iter().all(|scene| scene.width <= SHORT || scene.height <= SHORT) {
        return across;
    }
    composition.scenes(&context, SHORT)
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
            for &member in &context.net.paths[path].members {
                let owner = match member {
                    Member::Joint(_) => None,
                    Member::Edge { edge, .. } => match &context.circuit.edges[edge].piece {
                        Piece::Ground(part) => {
                            ground = Some(*part);
                            Some(Owner::Part(*part))
                        }
                        Piece::Element { part, .. } | Piece::Blind { part, .. } => Some(Owner::Part(*part)),
                        Piece::Cavity { connector, .. } => Some(Owner::Connector(*connector)),
                        Piece::Wire(_) | Piece::Flag { .. } => None,
                    },
                };
                let mention = match owner {
                    Some(_) if ground.is_some() && ground == last_ground => Mention::Beside,
                    Some(owner) if seen.contains(&owner) => Mention::Again,
                    _ => Mention::First,
                };
                seen.extend(owner);
                let cell = context.cell(path, member, mention);
                column.push(Held { path, member, cell });
            }
        }
        last_ground = ground;
        cells.push(column);
    }
    cells
}

impl Composition<'_> {
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
            composition: self,
            start,
            across,
            heights,
            index,
            floor,
            bars,
            ranges,
            scene: Scene::empty(
                self.view.sheet,
                self.view.build,
                &self.book.sheets[self.view.sheet.index()].title,
                x + MARGIN,
            ),
        };
        sheet.draw(&bar_cells);
        sheet.scene
    }

    /// Title, notes, and the final size.
    fn caption(&self, scene: &mut Scene) {
        if scene.count > 1 {
            let values = [
                ("title", &*scene.title),
                ("number", &*scene.number.to_string()),
                ("count", &*scene.count.to_string()),
            ];
            scene.title = self.say.words.fill("drawing.sheet", &values);
        }
        let mut title = scene.title.clone();
        if let Some(build) = scene.build.filter(|_| !self.book.options.is_empty()) {
            title = format!("{title} · {}", self.book.build_name(build));
        }
        let metric = self.book.wires.iter().any(|wire| wire.size.as_gauge().is_none());
        let mut note = self.say.words.text("drawing.arrow");
        if metric {
            note = format!("{note} {}", self.say.words.text("drawing.sizes"));
        }
        let rest = self.say.words.text("drawing.rest");
        scene.height += 8.0;
        scene.say(title, Style::Title, Spot { x: MARGIN, y: 19.0 }, Owner::Drawing);
        let room = (scene.width - 2.0 * MARGIN).max(240.0);
        for (style, words) in [(Style::Rest, &rest), (Style::Note, &note)] {
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

fn sides<'a>(cells: impl Iterator<Item = &'a Cell>) -> (f64, f64) {
    cells.fold((14.0, 14.0), |(left, right): (f64, f64), cell| (left.max(cell.left), right.max(cell.right)))
}
