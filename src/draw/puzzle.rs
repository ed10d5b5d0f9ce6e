//! Turns columns and bars into the order problem that `order` solves: what crosses what, and what should stand together.

use super::View;
use super::collect::{Circuit, Piece};
use super::contract::{Member, Net};
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

/// The order problem of one drawing.
#[derive(Debug, Clone, Default)]
pub struct Puzzle {
    pub columns: Vec<Extent>,
    /// The columns of each bar.
    pub bars: Vec<Vec<usize>>,
    /// Pairs of bars of which the first must lie above the second.
    pub above: Vec<(usize, usize)>,
    /// Columns that should stand close together, with a weight: the contacts of a relay, the paths to a ground point.
    pub ties: Vec<(Vec<usize>, i64)>,
    /// Columns in the order that the author asks for.
    pub wished: Vec<usize>,
    /// How strongly each column is drawn to the left.
    pub left: Vec<i64>,
}

/// The bars between which a column passes others: from its first bar to its last, or beyond.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Extent {
    /// The bar below which crossings are possible; none for a column that begins at the very top.
    pub from: Option<usize>,
    /// The bar above which crossings are possible; none for a column that ends at the very bottom.
    pub to: Option<usize>,
    /// A short column without any bar: nothing ever crosses it.
    pub short: bool,
}

/// An answer: columns from left to right, bars from top to bottom.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    pub columns: Vec<usize>,
    pub bars: Vec<usize>,
}

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
        let last = paths().next_back().and_then(|path| path.members.last());
        let grounded = last.is_some_and(|&member| grounded(circuit, member));
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

/// Whether a member is a ground point at the bottom, where all of them stand.
pub(super) fn grounded(circuit: &Circuit, member: Member) -> bool {
    matches!(member, Member::Edge { edge, flipped: false } if matches!(circuit.edges[edge].piece, Piece::Ground(_)))
}

/// The pieces on a column, from top to bottom.
fn pieces<'a>(circuit: &'a Circuit, net: &'a Net, column: &'a Column) -> impl Iterator<Item = &'a Piece> {
    let members = column.paths.iter().flat_map(|&path| &net.paths[path].members);
    members.filter_map(|member| match *member {
        Member::Edge { edge, .. } => Some(&circuit.edges[edge].piece),
        Member::Joint(_) => None,
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
        for piece in pieces(circuit, net, column) {
            let group = match piece {
                Piece::Element { part, elements } => {
                    if let Action::Source { .. } = book.part(*part).elements[elements[0]].action {
                        puzzle.left[index] += SOURCE;
                    }
                    Together::Part(part.0)
                }
                Piece::Ground(part) => Together::Ground(part.0),
                Piece::Cavity { connector, .. } => Together::Connector(connector.0),
                Piece::Wire(_) | Piece::Flag { .. } | Piece::Blind { .. } => continue,
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
            pieces(circuit, net, column)
                .any(|piece| matches!(piece, Piece::Element { part, .. } if *part == wanted))
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

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// A small puzzle whose columns hang between bars as numbered.
    pub(in crate::draw) fn puzzle(columns: &[(usize, usize)], bars: usize) -> Puzzle {
        let mut puzzle = Puzzle {
            bars: vec![Vec::new(); bars],
            left: vec![0; columns.len()],
            above: columns.to_vec(),
            ..Puzzle::default()
        };
        for (column, &(from, to)) in columns.iter().enumerate() {
            puzzle.columns.push(Extent { from: Some(from), to: Some(to), short: false });
            puzzle.bars[from].push(column);
            puzzle.bars[to].push(column);
        }
        puzzle
    }
}
