//! Ordered columns with a cell for each thing on them: what all sheets of a drawing are cut from.

use super::View;
use super::cell::Cell;
use super::collect::{Circuit, Piece, Tip};
use super::contract::{Member, Net};
use super::place::RowKind;
use super::rank::Vehicle;
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

    fn end_at(&self, member: Member, top: bool) -> Option<End> {
        match member {
            Member::Joint(point) => Some(self.circuit.points[point]),
            Member::Edge { edge, flipped } => {
                match self.circuit.edges[edge].tips[usize::from(top == flipped)] {
                    Tip::Point(point) => Some(self.circuit.points[point]),
                    Tip::Inner(_) | Tip::Free => None,
                }
            }
        }
    }
}
