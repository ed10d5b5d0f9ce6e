//! Turns the whole vehicle into a number for each terminal and cavity: 0 at the supply, 1 at the body, loads in between.
//!
//! A drawing runs from supply to ground. Nothing is solved here: the rank is the distance from the supply over the distance
//! from supply to ground by that point, where a load counts for far more than a wire.

use super::View;
use crate::book::{Action, Book, ConnectorId, Element, End, Kind, PartId, Supply, WireId};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// What joins two points of the vehicle.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Join {
    Wire(WireId),
    Element(PartId, usize),
    Cavity(ConnectorId, u16),
}

/// The vehicle as a graph of points, each with its rank.
pub(super) struct Vehicle {
    /// The number of each part's first terminal.
    terminals: Vec<usize>,
    /// The number of each connector's first cavity side.
    cavities: Vec<usize>,
    joins: Vec<(Join, [usize; 2])>,
    /// The joins at each point, as indices.
    at: Vec<Vec<usize>>,
    ranks: Vec<f64>,
    /// Points that nothing but a fuse parts from a supply.
    unswitched: Vec<bool>,
}

/// Lengths: a load is worth many wires, so that what is above a load and what is below it stay apart.
const WIRE: u32 = 2;
const CAVITY: u32 = 1;
const CONTACT: u32 = 4;
const LOAD: u32 = 60;
/// For a point that cannot be reached from one side.
const FAR: u32 = 2000;

impl Vehicle {
    pub(super) fn new(book: &Book, view: View) -> Vehicle {
        let mut count = 0;
        let mut take = |size: usize| {
            let first = count;
            count += size;
            first
        };
        let terminals = book.parts.iter().map(|part| take(part.terminals.len())).collect();
        let cavities = book.connectors.iter().map(|connector| take(connector.cavities.len() * 2)).collect();
        let mut vehicle = Vehicle {
            terminals,
            cavities,
            joins: Vec::new(),
            at: vec![Vec::new(); count],
            ranks: Vec::new(),
            unswitched: Vec::new(),
        };
        vehicle.join_all(book, view);
        let feeds = vehicle.distances(book, vehicle.feeds(book, view), Way::WithCurrent);
        let grounds = vehicle.distances(book, vehicle.grounds(book, view), Way::AgainstCurrent);
        vehicle.ranks = feeds
            .iter()
            .zip(&grounds)
            .map(|(&feed, &ground)| match feed + ground {
                0 => 0.5,
                both => f64::from(feed) / f64::from(both),
            })
            .collect();
        vehicle.unswitched = vehicle.fed(book, vehicle.feeds(book, view));
        vehicle
    }

    /// The rank of a terminal or cavity side.
    pub(super) fn rank(&self, end: End) -> f64 {
        self.ranks[self.point(end)]
    }

    /// Whether nothing but a fuse parts a point from a supply.
    pub(super) fn unswitched(&self, end: End) -> bool {
        self.unswitched[self.point(end)]
    }

    /// What is joined to a terminal or cavity side, each with the rank of its far end.
    pub(super) fn joins_at(&self, end: End) -> impl Iterator<Item = (Join, f64)> + '_ {
        let point = self.point(end);
        self.at[point].iter().map(move |&index| {
            let (join, ends) = self.joins[index];
            let far = if ends[0] == point { ends[1] } else { ends[0] };
            (join, self.ranks[far])
        })
    }

    fn point(&self, end: End) -> usize {
        match end {
            End::Terminal { part, terminal } => self.terminals[part.index()] + terminal.index(),
            End::Cavity { connector, cavity, side } => {
                self.cavities[connector.index()] + usize::from(cavity) * 2 + usize::from(side)
            }
        }
    }

    fn join_all(&mut self, book: &Book, view: View) {
        let parts = book.parts.iter().enumerate().filter(|(_, part)| view.fits(&part.fitted));
        for (index, part) in parts {
            let id = PartId(index as u32);
            for (number, element) in part.elements.iter().enumerate() {
                let ends = [element.a, element.b].map(|terminal| End::Terminal { part: id, terminal });
                self.join(Join::Element(id, number), ends);
            }
        }
        for (index, held) in book.connectors.iter().enumerate() {
            let connector = ConnectorId(index as u32);
            for cavity in 0..held.cavities.len() as u16 {
                let ends = [0, 1].map(|side| End::Cavity { connector, cavity, side });
                self.join(Join::Cavity(connector, cavity), ends);
            }
        }
        let wires = book.wires.iter().enumerate().filter(|(_, wire)| view.fits(&wire.fitted));
        for (index, wire) in wires {
            self.join(Join::Wire(WireId(index as u32)), wire.ends);
        }
    }

    fn join(&mut self, join: Join, ends: [End; 2]) {
        let points = ends.map(|end| self.point(end));
        for point in points {
            self.at[point].push(self.joins.len());
        }
        self.joins.push((join, points));
    }

    /// The plus sides of batteries. An alternator feeds through the battery's own conductors.
    fn feeds(&self, book: &Book, view: View) -> Vec<usize> {
        self.sources(book, view, |element| match &element.action {
            Action::Source { emf: Supply::Regulated { .. }, .. } => None,
            _ => Some(element.b.index()),
        })
    }

    /// The body, and the minus sides of all sources.
    fn grounds(&self, book: &Book, view: View) -> Vec<usize> {
        let mut points = self.sources(book, view, |element| Some(element.a.index()));
        let grounds = book.parts.iter().enumerate().filter(|(_, part)| part.kind == Kind::Ground);
        points.extend(grounds.map(|(index, _)| self.terminals[index]));
        points
    }

    fn sources(&self, book: &Book, view: View, terminal: impl Fn(&Element) -> Option<usize>) -> Vec<usize> {
        let mut points = Vec::new();
        for (part, &first) in book.parts.iter().zip(&self.terminals) {
            let sources =
                part.elements.iter().filter(|element| matches!(element.action, Action::Source { .. }));
            if view.fits(&part.fitted) {
                points.extend(sources.filter_map(&terminal).map(|index| first + index));
            }
        }
        points
    }

    /// The points that wires, connectors and fuses join to these.
    fn fed(&self, book: &Book, mut open: Vec<usize>) -> Vec<bool> {
        let mut fed = vec![false; self.at.len()];
        while let Some(point) = open.pop() {
            if std::mem::replace(&mut fed[point], true) {
                continue;
            }
            for &index in &self.at[point] {
                let (join, ends) = self.joins[index];
                let passes = match join {
                    Join::Wire(_) | Join::Cavity(..) => true,
                    Join::Element(part, element) => {
                        matches!(book.part(part).elements[element].action, Action::Link { .. })
                    }
                };
                if passes {
                    open.extend(ends);
                }
            }
        }
        fed
    }

    /// The shortest distance from the nearest seed to every point.
    fn distances(&self, book: &Book, seeds: Vec<usize>, way: Way) -> Vec<u32> {
        let mut distances = vec![FAR; self.at.len()];
        let mut queue = BinaryHeap::new();
        for seed in seeds {
            distances[seed] = 0;
            queue.push(Reverse((0, seed)));
        }
        while let Some(Reverse((distance, point))) = queue.pop() {
            if distance > distances[point] {
                continue;
            }
            for &index in &self.at[point] {
                let (join, ends) = self.joins[index];
                let forward = ends[0] == point;
                let Some(length) = length(book, join, forward == (way == Way::WithCurrent)) else {
                    continue;
                };
                let far = if forward { ends[1] } else { ends[0] };
                if distance + length < distances[far] {
                    distances[far] = distance + length;
                    queue.push(Reverse((distance + length, far)));
                }
            }
        }
        distances
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Way {
    WithCurrent,
    AgainstCurrent,
}

/// How long a join is; none where no current goes: through a source, or through a diode the wrong way.
fn length(book: &Book, join: Join, forward: bool) -> Option<u32> {
    match join {
        Join::Wire(_) => Some(WIRE),
        Join::Cavity(..) => Some(CAVITY),
        Join::Element(part, element) => match &book.part(part).elements[element].action {
            Action::Source { .. } => None,
            Action::Contact { .. } | Action::Link { .. } | Action::Flasher { .. } => Some(CONTACT),
            Action::Diode { breakdown: None } => forward.then_some(CONTACT),
            Action::Led { .. } => forward.then_some(LOAD),
            Action::Diode { .. }
            | Action::Resistor { .. }
            | Action::Coil { .. }
            | Action::Filament { .. }
            | Action::Load { .. }
            | Action::Capacitor { .. } => Some(LOAD),
        },
    }
}
