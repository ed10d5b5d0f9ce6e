//! Turns a sheet of the book into the graph that its drawing shows: points, and what stands between them.
//!
//! A sheet shows the parts and wires defined on it, whatever of other sheets its wires reach, and, where a conductor goes
//! on beyond it, a flag that says where to.

use super::rank::{Join, Vehicle};
use super::state::Along;
use super::strip::Tap;
use super::{Excerpt, View};
use crate::book::{Action, Book, ConnectorId, Element, End, Kind, PartId, TerminalId, WireId};
use std::collections::{BTreeMap, BTreeSet};

/// The graph of one sheet.
#[derive(Default)]
pub(super) struct Circuit {
    pub points: Vec<End>,
    /// How far down each point belongs: 0 at the supply, 1 at the body.
    pub ranks: Vec<f64>,
    pub edges: Vec<Edge>,
    /// Points in the middle of the drawing from which wires go on elsewhere.
    pub asides: BTreeMap<usize, Aside>,
}

/// Where a conductor goes on to, or comes from. A terminal of another sheet's part is `anchored`: this is all that the
/// drawing shows of the part.
#[derive(Clone, PartialEq)]
pub(super) struct Aside {
    pub wires: Vec<WireId>,
    pub anchored: bool,
}

/// Something drawn along a current path.
pub(super) struct Edge {
    pub piece: Piece,
    pub tips: [Tip; 2],
    /// How far down its tip without a point belongs: above 0 or below 1 for what lies outside the circuit.
    pub free: f64,
}

/// What an edge stands for: a piece of the circuit.
#[derive(Clone, PartialEq)]
pub(super) enum Piece {
    Wire(WireId),
    /// Elements of a part between the same terminals, drawn as one symbol: the first with the others as its suppression.
    Element {
        part: PartId,
        elements: Vec<usize>,
    },
    Cavity {
        connector: ConnectorId,
        cavity: u16,
    },
    Ground(PartId),
    /// The end of a path from which the conductor goes on elsewhere, or to which it comes from above.
    Flag {
        end: End,
        aside: Aside,
        up: bool,
    },
    /// A terminal behind which the book tells of nothing.
    Blind {
        part: PartId,
        terminal: TerminalId,
    },
}

/// Where an edge ends.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Tip {
    Point(usize),
    /// At a terminal of its own part that is drawn elsewhere: a module's supply or ground.
    Inner(TerminalId),
    Free,
}

impl Circuit {
    /// The edges that end at a point.
    pub(super) fn edges_at(&self, point: usize) -> impl Iterator<Item = usize> {
        (0..self.edges.len()).filter(move |&edge| self.edges[edge].tips.contains(&Tip::Point(point)))
    }

    /// What takes current from a point into an edge.
    pub(super) fn tap(&self, book: &Book, edge: usize, point: usize) -> Tap {
        let Edge { piece, tips, .. } = &self.edges[edge];
        let forward = if tips[0] == Tip::Point(point) { 1.0 } else { -1.0 };
        match piece {
            Piece::Wire(wire) => Tap(vec![(Along::Wire(*wire), forward)]),
            Piece::Cavity { connector, cavity } => Tap(vec![(Along::Cavity(*connector, *cavity), forward)]),
            Piece::Element { .. } | Piece::Blind { .. } => self.part_tap(book, edge, point),
            // It takes what all others give.
            Piece::Ground(_) | Piece::Flag { .. } => {
                let gives = |other: &usize| {
                    !matches!(self.edges[*other].piece, Piece::Ground(_) | Piece::Flag { .. })
                };
                let others = self.edges_at(point).filter(gives);
                let given = others.flat_map(|other| self.tap(book, other, point).0);
                Tap(given.map(|(along, times)| (along, -times)).collect())
            }
        }
    }

    /// What takes current from a terminal into its part by way of an edge: its elements, and of the first edge there those
    /// too that are not drawn at the terminal.
    fn part_tap(&self, book: &Book, edge: usize, point: usize) -> Tap {
        let End::Terminal { part, terminal } = self.points[point] else {
            return Tap::default();
        };
        let drawn = |edge: usize| match &self.edges[edge].piece {
            Piece::Element { elements, .. } => Some(elements.as_slice()),
            Piece::Blind { .. } => Some(&[][..]),
            _ => None,
        };
        let inward: Vec<usize> = self.edges_at(point).filter(|&other| drawn(other).is_some()).collect();
        let is_at = |at: usize, index: usize| drawn(at).is_some_and(|elements| elements.contains(&index));
        let all = book.part(part).elements.iter().enumerate();
        let here = all.filter(|(_, element)| element.a == terminal || element.b == terminal);
        let own = here.filter(|&(index, _)| {
            is_at(edge, index)
                || inward.first() == Some(&edge) && !inward.iter().any(|&other| is_at(other, index))
        });
        let ways = own.map(|(index, element)| {
            (Along::Element(part, index), if element.a == terminal { 1.0 } else { -1.0 })
        });
        Tap(ways.collect())
    }

    /// What takes current from a point, edge by edge.
    pub(super) fn taps(&self, book: &Book, point: usize) -> Vec<Tap> {
        self.edges_at(point).map(|edge| self.tap(book, edge, point)).collect()
    }
}

/// The graph of a sheet in the builds of a view.
pub(super) fn collect(book: &Book, view: View, vehicle: &Vehicle, excerpt: Option<&Excerpt>) -> Circuit {
    let mut collector = Collector {
        book,
        view,
        excerpt,
        vehicle,
        circuit: Circuit::default(),
        numbers: BTreeMap::new(),
        drawn: BTreeSet::new(),
        reached: BTreeSet::new(),
    };
    collector.wires();
    collector.cavities();
    collector.parts();
    collector.flags();
    collector.circuit
}

struct Collector<'a> {
    book: &'a Book,
    view: View,
    excerpt: Option<&'a Excerpt>,
    vehicle: &'a Vehicle,
    circuit: Circuit,
    numbers: BTreeMap<End, usize>,
    drawn: BTreeSet<WireId>,
    /// The ends of all drawn wires.
    reached: BTreeSet<End>,
}

impl Collector<'_> {
    /// A part that this sheet defines or that its author includes.
    fn own(&self, part: PartId) -> bool {
        let sheet = &self.book.sheets[self.view.sheet.index()];
        self.book.part(part).sheet == self.view.sheet || sheet.hints.include.contains(&part)
    }

    fn point(&mut self, end: End) -> usize {
        if let Some(&point) = self.numbers.get(&end) {
            return point;
        }
        let point = self.fresh(end);
        self.numbers.insert(end, point);
        point
    }

    fn fresh(&mut self, end: End) -> usize {
        self.circuit.points.push(end);
        self.circuit.ranks.push(self.vehicle.rank(end));
        self.circuit.points.len() - 1
    }

    fn edge(&mut self, piece: Piece, tips: [Tip; 2]) {
        let near = tips.iter().find_map(|&tip| match tip {
            Tip::Point(point) => Some(self.circuit.ranks[point]),
            _ => None,
        });
        let free = match (&piece, tips[1]) {
            (Piece::Ground(_), _) => 3.0,
            (Piece::Flag { up, .. }, _) => {
                if *up {
                    -1.0
                } else {
                    2.0
                }
            }
            // A terminal that leads nowhere hangs from the supply or stands on the ground.
            (Piece::Blind { .. }, _) => {
                if near.is_some_and(|near| near < 0.5) {
                    2.0
                } else {
                    -1.0
                }
            }
            (Piece::Element { part, .. }, _) => tips
                .iter()
                .find_map(|&tip| match tip {
                    Tip::Inner(terminal) => Some(self.vehicle.rank(Self::end(*part, terminal))),
                    _ => None,
                })
                .unwrap_or(0.5),
            _ => 0.5,
        };
        self.circuit.edges.push(Edge { piece, tips, free });
    }

    fn wires(&mut self) {
        for index in 0..self.book.wires.len() {
            let id = WireId(index as u32);
            let wire = self.book.wire(id);
            let included = wire.ends.iter().all(|&end| match end {
                End::Terminal { part, .. } => self.own(part),
                End::Cavity { .. } => false,
            });
            let shown = self.excerpt.is_none_or(|excerpt| excerpt.wires.contains(&id));
            if !shown || !self.view.fits(&wire.fitted) || !(wire.sheet == self.view.sheet || included) {
                continue;
            }
            self.drawn.insert(id);
            let tips = wire.ends.map(|end| {
                self.reached.insert(end);
                Tip::Point(self.wire_end(end))
            });
            self.edge(Piece::Wire(id), tips);
        }
    }

    /// The point where a wire ends; each wire to a ground point gets a symbol of its own.
    fn wire_end(&mut self, end: End) -> usize {
        if let End::Terminal { part, .. } = end
            && self.book.part(part).kind == Kind::Ground
        {
            let point = self.fresh(end);
            self.edge(Piece::Ground(part), [Tip::Point(point), Tip::Free]);
            return point;
        }
        self.point(end)
    }

    fn cavities(&mut self) {
        let cavities: BTreeSet<(ConnectorId, u16)> = self
            .reached
            .iter()
            .filter_map(|&end| match end {
                End::Cavity { connector, cavity, .. } => Some((connector, cavity)),
                End::Terminal { .. } => None,
            })
            .collect();
        for (connector, cavity) in cavities {
            let tips = [0, 1].map(|side| Tip::Point(self.point(End::Cavity { connector, cavity, side })));
            self.edge(Piece::Cavity { connector, cavity }, tips);
        }
    }

    fn parts(&mut self) {
        for index in 0..self.book.parts.len() {
            let id = PartId(index as u32);
            let part = self.book.part(id);
            let shown = self.excerpt.is_none_or(|excerpt| excerpt.parts.contains(&id));
            if !shown || !self.view.fits(&part.fitted) {
                continue;
            }
            match part.kind {
                Kind::Ground if self.own(id) => self.lone_ground(id),
                Kind::Ground => {}
                Kind::Splice if self.own(id) => {
                    self.point(End::Terminal { part: id, terminal: TerminalId(0) });
                }
                Kind::Splice => {}
                Kind::Module => self.boxed(id),
                _ => self.open(id),
            }
        }
    }

    /// A ground point of this sheet to which only wires of other sheets go.
    fn lone_ground(&mut self, part: PartId) {
        let end = End::Terminal { part, terminal: TerminalId(0) };
        if !self.reached.contains(&end) {
            let point = self.point(end);
            self.edge(Piece::Ground(part), [Tip::Point(point), Tip::Free]);
        }
    }

    fn end(part: PartId, terminal: TerminalId) -> End {
        End::Terminal { part, terminal }
    }

    /// Whether an element of a part is drawn: all of an own part; of another sheet's part, what lies between two reached
    /// terminals, or alone behind one.
    fn shows(&self, id: PartId, element: &Element) -> bool {
        let part = self.book.part(id);
        // Of an alternator the output alone is drawn: what feeds its lamp and its field is inside it.
        if part.kind == Kind::Alternator && !matches!(part.elements.first(), Some(first) if first == element)
        {
            return false;
        }
        if self.own(id) {
            return true;
        }
        let reached = |terminal| self.reached.contains(&Self::end(id, terminal));
        let alone = |terminal: TerminalId| {
            part.elements.iter().filter(|other| other.a == terminal || other.b == terminal).count() == 1
        };
        match (reached(element.a), reached(element.b)) {
            (true, true) => true,
            (true, false) => alone(element.a) && part.kind != Kind::Battery,
            (false, true) => alone(element.b) && part.kind != Kind::Battery,
            (false, false) => false,
        }
    }

    /// A part whose elements stand on the paths by themselves.
    fn open(&mut self, id: PartId) {
        let part = self.book.part(id);
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for (index, element) in part.elements.iter().enumerate() {
            if !self.shows(id, element) {
                continue;
            }
            let ends = ordered(element);
            let coil = |group: &Vec<usize>| {
                let members = group.iter().chain([&index]);
                let mut coils =
                    members.filter(|&&at| matches!(part.elements[at].action, Action::Coil { .. }));
                coils.next().is_some() && coils.next().is_none() && ordered(&part.elements[group[0]]) == ends
            };
            match groups.iter_mut().find(|group| coil(group)) {
                // The coil comes first: its suppression is drawn beside it.
                Some(group) if matches!(element.action, Action::Coil { .. }) => group.insert(0, index),
                Some(group) => group.push(index),
                None => groups.push(vec![index]),
            }
        }
        for elements in groups {
            let main = &part.elements[elements[0]];
            let tips = [main.a, main.b].map(|terminal| Tip::Point(self.point(Self::end(id, terminal))));
            self.edge(Piece::Element { part: id, elements }, tips);
        }
        self.blind(id);
    }

    /// A part that is a box around its elements. A terminal that several of them share stands once, at the first element
    /// between two such terminals or by itself; the others only name it.
    fn boxed(&mut self, id: PartId) {
        let part = self.book.part(id);
        let uses = |terminal: TerminalId| {
            let at = |element: &&Element| element.a == terminal || element.b == terminal;
            part.elements.iter().filter(at).count()
        };
        let hub = |terminal: TerminalId| uses(terminal) >= 2;
        let carrier = part
            .elements
            .iter()
            .position(|element| hub(element.a) && hub(element.b))
            .filter(|&index| self.shows(id, &part.elements[index]));
        for (index, element) in part.elements.iter().enumerate() {
            if !self.shows(id, element) {
                continue;
            }
            let tips = [element.a, element.b].map(|terminal| {
                if hub(terminal) && carrier != Some(index) {
                    Tip::Inner(terminal)
                } else {
                    Tip::Point(self.point(Self::end(id, terminal)))
                }
            });
            // A second element between two shared terminals would float: it keeps one of them.
            let tips = match tips {
                [Tip::Inner(a), Tip::Inner(b)] => [Tip::Point(self.point(Self::end(id, a))), Tip::Inner(b)],
                tips => tips,
            };
            let elements = vec![index];
            self.edge(Piece::Element { part: id, elements }, tips);
        }
        self.blind(id);
    }

    /// The wired terminals of a part at which no element is drawn.
    fn blind(&mut self, id: PartId) {
        if !self.own(id) {
            return;
        }
        for index in 0..self.book.part(id).terminals.len() {
            let terminal = TerminalId(index as u16);
            let end = Self::end(id, terminal);
            let wired = self.vehicle.joins_at(end).any(|(join, _)| matches!(join, Join::Wire(_)));
            if wired && self.numbers.get(&end).is_none_or(|&point| self.bare(point)) {
                let point = self.point(end);
                let piece = Piece::Blind { part: id, terminal };
                self.edge(piece, [Tip::Point(point), Tip::Free]);
            }
        }
    }

    /// Whether only wires meet at a point.
    fn bare(&self, point: usize) -> bool {
        self.circuit.edges_at(point).all(|edge| matches!(self.circuit.edges[edge].piece, Piece::Wire(_)))
    }

    /// Flags where conductors go on to other sheets.
    fn flags(&mut self) {
        for point in 0..self.circuit.points.len() {
            let end = self.circuit.points[point];
            let (foreign, ground) = match end {
                End::Terminal { part, .. } => (!self.own(part), self.book.part(part).kind == Kind::Ground),
                End::Cavity { .. } => (false, false),
            };
            if ground && self.reached.contains(&end) {
                continue;
            }
            let anchored = foreign && self.bare(point);
            let (mut wires, mut beyond, mut near) = (Vec::new(), Vec::new(), Vec::new());
            for (join, rank) in self.vehicle.joins_at(end) {
                match join {
                    Join::Wire(wire) if self.drawn.contains(&wire) => near.push(rank),
                    Join::Wire(wire) => {
                        wires.push(wire);
                        beyond.push(rank);
                    }
                    Join::Element(part, element)
                        if anchored || !self.shows(part, &self.book.part(part).elements[element]) =>
                    {
                        beyond.push(rank);
                    }
                    Join::Element(..) | Join::Cavity(..) => near.push(rank),
                }
            }
            if !anchored && wires.is_empty() {
                continue;
            }
            let aside = Aside { wires, anchored };
            if self.circuit.edges_at(point).count() > 1 {
                self.circuit.asides.insert(point, aside);
                continue;
            }
            // What comes from nearer the supply comes from above.
            let up = match (mean(&beyond), mean(&near)) {
                (Some(beyond), Some(near)) => beyond <= near,
                _ => self.vehicle.rank(end) < 0.5,
            };
            let up = up || ground;
            self.edge(Piece::Flag { end, aside, up }, [Tip::Point(point), Tip::Free]);
        }
    }
}

fn ordered(element: &Element) -> [TerminalId; 2] {
    [element.a.min(element.b), element.a.max(element.b)]
}

fn mean(ranks: &[f64]) -> Option<f64> {
    (!ranks.is_empty()).then(|| ranks.iter().sum::<f64>() / ranks.len() as f64)
}
