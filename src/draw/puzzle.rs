//! Turns columns and bars into the order problem that `order` solves: what crosses what, and what should stand together.

use super::View;
use super::collect::{Circuit, Link};
use super::contract::{Item, Net};
use super::order::{Extent, Puzzle};
use super::strand::Column;
use crate::book::{Action, Book, PartId};
use std::collections::BTreeMap;

/// How strongly things are drawn together, beside the length of a bar.
const GANG: i64 = 12;
const GROUND: i64 = 5;
const CONNECTOR: i64 = 3;
const WISHED: i64 = 60;
/// How strongly a source is drawn to the left.
const SOURCE: i64 = 40;

pub(super) fn puzzle(book: &Book, view: View, circuit: &Circuit, net: &Net, columns: &[Column]) -> Puzzle {
    let mut puzzle = Puzzle { bars: vec![Vec::new(); net.bars.len()], ..Puzzle::default() };
    for path in &net.paths {
        if let (Some(top), Some(bottom)) = (path.top, path.bottom) {
            puzzle.above.push((top, bottom));
        }
    }
    for (index, column) in columns.iter().enumerate() {
        let paths = || column.paths.iter().map(|&path| &net.paths[path]);
        let mut bars: Vec<usize> = paths().flat_map(|path| [path.top, path.bottom]).flatten().collect();
        bars.dedup();
        let last = paths().next_back().and_then(|path| path.items.last());
        let grounded = last.is_some_and(|&item| grounded(circuit, item));
        puzzle.columns.push(Extent {
            from: bars.first().copied(),
            to: if grounded { None } else { bars.last().copied() },
            short: bars.is_empty() && !grounded,
        });
        for bar in bars {
            puzzle.bars[bar].push(index);
        }
    }
    ties(book, circuit, net, columns, &mut puzzle);
    wishes(book, view, circuit, net, columns, &mut puzzle);
    puzzle
}

/// Whether an item is a ground point at the bottom, where all of them stand.
pub(super) fn grounded(circuit: &Circuit, item: Item) -> bool {
    matches!(item, Item::Edge { edge, flipped: false } if matches!(circuit.edges[edge].link, Link::Ground(_)))
}

/// The links on a column, from top to bottom.
fn links<'a>(circuit: &'a Circuit, net: &'a Net, column: &'a Column) -> impl Iterator<Item = &'a Link> {
    let items = column.paths.iter().flat_map(|&path| &net.paths[path].items);
    items.filter_map(|item| match *item {
        Item::Edge { edge, .. } => Some(&circuit.edges[edge].link),
        Item::Joint(_) => None,
    })
}

fn ties(book: &Book, circuit: &Circuit, net: &Net, columns: &[Column], puzzle: &mut Puzzle) {
    #[derive(PartialEq, Eq, PartialOrd, Ord)]
    enum Together {
        Part(u32),
        Ground(u32),
        Connector(u32),
    }
    let mut groups: BTreeMap<Together, Vec<usize>> = BTreeMap::new();
    puzzle.left = vec![0; columns.len()];
    for (index, column) in columns.iter().enumerate() {
        for link in links(circuit, net, column) {
            let group = match link {
                Link::Element { part, elements } => {
                    if let Action::Source { .. } = book.part(*part).elements[elements[0]].action {
                        puzzle.left[index] += SOURCE;
                    }
                    Together::Part(part.0)
                }
                Link::Ground(part) => Together::Ground(part.0),
                Link::Cavity { connector, .. } => Together::Connector(connector.0),
                Link::Wire(_) | Link::Flag { .. } | Link::Blind { .. } => continue,
            };
            let members = groups.entry(group).or_default();
            if members.last() != Some(&index) {
                members.push(index);
            }
        }
    }
    for (group, members) in groups {
        if members.len() < 2 {
            continue;
        }
        let weight = match group {
            Together::Part(_) => GANG,
            Together::Ground(_) => GROUND,
            Together::Connector(_) => CONNECTOR,
        };
        puzzle.ties.push((members, weight));
    }
}

/// What the author asks for.
fn wishes(book: &Book, view: View, circuit: &Circuit, net: &Net, columns: &[Column], puzzle: &mut Puzzle) {
    let hints = &book.sheets[view.sheet.index()].hints;
    let of = |wanted: PartId| {
        columns.iter().position(|column| {
            links(circuit, net, column)
                .any(|link| matches!(link, Link::Element { part, .. } if *part == wanted))
        })
    };
    for &part in &hints.order {
        if let Some(column) = of(part)
            && !puzzle.wished.contains(&column)
        {
            puzzle.wished.push(column);
        }
    }
    for group in &hints.together {
        let mut members: Vec<usize> = group.iter().filter_map(|&part| of(part)).collect();
        members.sort_unstable();
        members.dedup();
        if members.len() > 1 {
            puzzle.ties.push((members, WISHED));
        }
    }
}
