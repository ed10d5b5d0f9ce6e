//! Ordered columns with a cell for each thing on them: what all sheets of a drawing are cut from.

use super::View;
use super::cell::Cell;
use super::collect::{Circuit, Piece, Tip};
use super::contract::{Member, Net, Path};
use super::place::RowKind;
use super::rank::Vehicle;
use super::strip::Tap;
use crate::book::{Action, Book, End, Say};

/// A cell on its column.
pub(super) struct Held {
    pub path: usize,
    pub member: Member,
    pub cell: Cell,
}

/// A drawing with its columns in order, before it is cut into sheets.
pub(super) struct Composition<'a> {
    pub book: &'a Book,
    pub say: Say<'a>,
    pub view: View,
    pub vehicle: &'a Vehicle,
    pub circuit: &'a Circuit,
    pub net: &'a Net,
    /// The paths of each column, left to right.
    pub columns: Vec<Vec<usize>>,
    /// The columns of each bar, ascending.
    pub joined: Vec<Vec<usize>>,
    /// The level of each bar: 0 is the highest.
    pub level: Vec<usize>,
    pub cells: Vec<Vec<Held>>,
}

impl Composition<'_> {
    /// The row in which a member likes to stand.
    pub(super) fn row(&self, member: Member) -> Option<RowKind> {
        let Member::Edge { edge, .. } = member else {
            return None;
        };
        match &self.circuit.edges[edge].piece {
            Piece::Cavity { connector, .. } => Some(RowKind::Connector(connector.0)),
            Piece::Element { part, elements } => {
                let held = self.book.part(*part);
                match held.elements[elements[0]].action {
                    Action::Link { .. } => Some(RowKind::Protection),
                    Action::Contact { .. } => Some(RowKind::Gang(part.0)),
                    Action::Source { .. }
                    | Action::Coil { .. }
                    | Action::Filament { .. }
                    | Action::Led { .. }
                    | Action::Load { .. } => Some(RowKind::Load),
                    Action::Resistor { .. }
                    | Action::Diode { .. }
                    | Action::Flasher { .. }
                    | Action::Capacitor { .. } => None,
                }
            }
            _ => None,
        }
    }

    /// What a member's upper end is joined to, and its lower.
    pub(super) fn end_above(&self, member: Member) -> Option<End> {
        self.end_at(member, true)
    }

    pub(super) fn end_below(&self, member: Member) -> Option<End> {
        self.end_at(member, false)
    }

    /// What takes current from a bar, by column.
    pub(super) fn taps(&self, bar: usize) -> Vec<(usize, Tap)> {
        let point = self.net.bars[bar].point;
        let mut taps = Vec::new();
        for (column, paths) in self.columns.iter().enumerate() {
            for &path in paths {
                let path = &self.net.paths[path];
                let ends = [(path.top, path.members.first()), (path.bottom, path.members.last())];
                for (end, member) in ends {
                    if let (true, Some(&Member::Edge { edge, .. })) = (end == Some(bar), member) {
                        taps.push((column, self.circuit.tap(self.book, edge, point)));
                    }
                }
            }
        }
        taps
    }

    /// What takes current along the line above a member of a path, or below it.
    pub(super) fn lead_tap(&self, path: &Path, place: usize, above: bool) -> Tap {
        let next = if above { place.checked_sub(1) } else { Some(place + 1) };
        let beyond = next.and_then(|next| path.members.get(next)).map(|&member| (member, !above));
        let mut sides: Vec<(Member, bool)> =
            [(path.members[place], above)].into_iter().chain(beyond).collect();
        // What tells by itself what it carries comes first.
        sides.sort_by_key(|(member, _)| match *member {
            Member::Edge { edge, .. } => matches!(self.circuit.edges[edge].piece, Piece::Flag { .. }),
            Member::Joint(_) => true,
        });
        let (member, top) = sides[0];
        match (member, self.point_at(member, top)) {
            (Member::Edge { edge, .. }, Some(point)) => self.circuit.tap(self.book, edge, point),
            _ => Tap::default(),
        }
    }

    /// What takes current from the points at which a symbol stands that is no element.
    pub(super) fn member_taps(&self, member: Member) -> Vec<Tap> {
        match member {
            Member::Joint(point) => self.circuit.taps(self.book, point),
            Member::Edge { edge, .. } => {
                let points = self.circuit.edges[edge].tips.iter().filter_map(|tip| match *tip {
                    Tip::Point(point) => Some(point),
                    _ => None,
                });
                points.map(|point| self.circuit.tap(self.book, edge, point)).collect()
            }
        }
    }

    fn end_at(&self, member: Member, top: bool) -> Option<End> {
        self.point_at(member, top).map(|point| self.circuit.points[point])
    }

    /// The point at a member's upper end, or at its lower.
    fn point_at(&self, member: Member, top: bool) -> Option<usize> {
        match member {
            Member::Joint(point) => Some(point),
            Member::Edge { edge, flipped } => {
                match self.circuit.edges[edge].tips[usize::from(top == flipped)] {
                    Tip::Point(point) => Some(point),
                    Tip::Inner(_) | Tip::Free => None,
                }
            }
        }
    }
}
