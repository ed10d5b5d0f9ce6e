//! Turns a lab's states into the short strings that its page follows: everything is a number into a list, in base 36.
//!
//! ```text
//! view   `=` and its cells, or the number of an earlier view, `:`, and the cells that differ, each after its place
//! cells  faces (words), then volts, then lights of all points
//! node   view, where each setting of a control leads (`-` nowhere), other moves and where they lead, harms, probes
//! ```

use super::super::kit::Kit;
use crate::book::{Act, Item, Subject};
use crate::proof::{HarmKind, Reading};
use crate::study::lab::{Edge, Lab, Levels, Looks, Node, Planted, View, sets};
use indexmap::IndexSet;
use serde::Serialize;
use std::collections::BTreeMap;

/// A lab's states, and the lists that they refer to.
#[derive(Debug, Clone, Serialize)]
pub struct Packed {
    /// Digits of each number.
    width: usize,
    /// How many of the moves set a control.
    sets: usize,
    words: Vec<String>,
    /// A point's level, once for each phase; none where it is not there.
    volts: Vec<Vec<Option<Level>>>,
    /// Words of a light to ground and to battery plus; none where the point is not there.
    lights: Vec<Option<[usize; 2]>>,
    views: Vec<String>,
    shared: Vec<String>,
    /// One for each of the faults, as they are numbered.
    cases: Vec<Case>,
}

#[derive(Debug, Clone, Serialize)]
struct Case {
    start: usize,
    /// Node, move, where it leads; the harms of these after a blank as node, move, word.
    changed: String,
    /// Shared nodes, views of their own and the number of probes, each followed by that many of these.
    differs: String,
    nodes: Vec<String>,
}

/// Tenths of a volt, and the two numbers of [`crate::study::lab::Level`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
struct Level(i32, u16, u16);

/// Distinct things, each with its number.
struct List<T> {
    all: Vec<T>,
    numbers: BTreeMap<T, usize>,
}

impl<T: Clone + Ord> List<T> {
    fn new() -> List<T> {
        List { all: Vec::new(), numbers: BTreeMap::new() }
    }

    fn number(&mut self, thing: T) -> usize {
        let next = self.all.len();
        let number = *self.numbers.entry(thing.clone()).or_insert(next);
        if number == next {
            self.all.push(thing);
        }
        number
    }
}

/// Views before one of the same vehicle that it may be told from, beside the healthy one's.
const NEAR: usize = 4;

/// What stands for a node that is not there.
const NOWHERE: &str = "-";

/// Packs a lab with its faults in the given order.
pub fn pack(kit: &Kit, lab: &Lab, order: &[&Planted]) -> Packed {
    let mut lists = Lists { kit, lab, words: List::new(), volts: List::new(), lights: List::new() };
    let met = met(lab, order);
    let views: Vec<Vec<usize>> = met.iter().map(|&view| lists.cells(&lab.views[view])).collect();
    let all: Vec<&Node> = lab.shared.iter().chain(order.iter().flat_map(|planted| &planted.nodes)).collect();
    // Every word is known before the first number is written, since their count decides how wide a number is.
    for node in &all {
        for edge in &node.edges {
            lists.harm(edge);
        }
        lists.probes(&node.looks);
    }
    for planted in order {
        for (_, edge) in &planted.changed {
            lists.harm(edge);
        }
        for (_, looks) in &planted.differs {
            lists.probes(looks);
        }
    }
    let nodes = lab.shared.len() + order.iter().map(|planted| planted.nodes.len()).max().unwrap_or(0);
    let cells = lab.faces.len() + 2 * lab.points.len();
    let counts = [
        lab.moves.len(),
        lab.probes.len(),
        views.len(),
        lists.words.all.len(),
        lists.volts.all.len(),
        lists.lights.all.len(),
        nodes,
        cells,
    ];
    // Views are told from a node's other numbers by a blank, so that they need no width of their own.
    let most = counts.iter().enumerate().filter(|(at, _)| *at != 2).map(|(_, count)| *count).max();
    let mut writer = Writer { width: digits(most.unwrap_or(0), 1).len(), sets: sets(&lab.moves), lists, met };
    let cases = order.iter().map(|planted| writer.case(planted)).collect();
    let shared: Vec<String> = lab.shared.iter().map(|node| writer.node(node)).collect();
    let healthy: Vec<usize> = lab.shared.iter().map(|node| writer.met(node.looks.view)).collect();
    Packed {
        width: writer.width,
        sets: writer.sets,
        views: (0..views.len()).map(|at| writer.view(&views, &healthy, at)).collect(),
        words: writer.lists.words.all,
        volts: writer.lists.volts.all,
        lights: writer.lists.lights.all,
        shared,
        cases,
    }
}

/// The views in the order in which the faults, as they are numbered, come to them. In the order in which they were computed,
/// that of the catalogue, a view's number would tell which fault it belongs to.
fn met(lab: &Lab, order: &[&Planted]) -> IndexSet<usize> {
    let shared = lab.shared.iter().map(|node| node.looks.view);
    let own = order.iter().flat_map(|planted| {
        let differs = planted.differs.iter().map(|(_, looks)| looks.view);
        differs.chain(planted.nodes.iter().map(|node| node.looks.view))
    });
    shared.chain(own).collect()
}

/// The lists of a lab while they grow.
struct Lists<'k> {
    kit: &'k Kit<'k>,
    lab: &'k Lab,
    words: List<String>,
    volts: List<Vec<Option<Level>>>,
    lights: List<Option<[usize; 2]>>,
}

impl Lists<'_> {
    /// The numbers of all that is seen and read in a view.
    fn cells(&mut self, view: &View) -> Vec<usize> {
        let mut cells = Vec::new();
        for (face, reading) in self.lab.faces.iter().zip(&view.faces) {
            let word = self.kit.say().reading(*face, reading);
            cells.push(self.words.number(word));
        }
        for at in 0..self.lab.points.len() {
            let level = |levels: &Levels| levels[at].map(|it| Level(it.tenths, it.near, it.far));
            let mut phases: Vec<Option<Level>> = view.volts.iter().map(level).collect();
            if phases.windows(2).all(|pair| pair[0] == pair[1]) {
                phases.truncate(1);
            }
            cells.push(self.volts.number(phases));
        }
        for pair in &view.lights {
            let pair = pair.as_ref().map(|pair| {
                pair.each_ref().map(|reading| {
                    let word = self.light(reading);
                    self.words.number(word)
                })
            });
            cells.push(self.lights.number(pair));
        }
        cells
    }

    /// The word of a test light; none where it was not computed.
    fn light(&self, reading: &Reading) -> String {
        let subject = Subject::Instrument(crate::book::Instrument::TestLight);
        match reading {
            Reading::Nothing => String::new(),
            reading => self.kit.say().reading(subject, reading),
        }
    }

    /// What a hand harms, in words.
    fn harm(&mut self, edge: &Edge) -> Option<usize> {
        let (kit, say) = (self.kit, self.kit.say());
        let mut harms: Vec<String> = edge
            .harms
            .iter()
            .map(|harm| {
                let what = match harm {
                    HarmKind::Fuse(part) => say.item(Item::Part(*part)),
                    HarmKind::Wire(wire) => say.item(Item::Wire(*wire)),
                    HarmKind::Tool(tool) | HarmKind::Live(tool) => say.instrument(*tool),
                };
                kit.words.fill("study.lab-harm", &[("what", &what)])
            })
            .collect();
        if edge.moves {
            harms.push(kit.words.text("study.lab-moves"));
        }
        (!harms.is_empty()).then(|| self.words.number(harms.join(" ")))
    }

    fn probes(&mut self, looks: &Looks) -> Vec<(usize, usize)> {
        let say = self.kit.say();
        let mut found = Vec::new();
        for (probe, reading) in &looks.probes {
            if let Act::Connect { instrument, .. } | Act::Measure { instrument, .. } = self.lab.probes[*probe]
            {
                let word = say.reading(Subject::Instrument(instrument), reading);
                found.push((*probe, self.words.number(word)));
            }
        }
        found
    }
}

struct Writer<'k> {
    width: usize,
    sets: usize,
    lists: Lists<'k>,
    met: IndexSet<usize>,
}

impl Writer<'_> {
    fn number(&self, number: usize) -> String {
        digits(number, self.width)
    }

    /// The number that the page has for a view.
    fn met(&self, view: usize) -> usize {
        self.met.get_index_of(&view).expect("each view of a node was met")
    }

    fn to(&self, edge: Option<&Edge>) -> String {
        let to = edge.and_then(|edge| edge.to);
        to.map_or_else(|| NOWHERE.repeat(self.width), |to| self.number(to))
    }

    fn node(&mut self, node: &Node) -> String {
        let find = |by: usize| node.edges.iter().find(|edge| edge.by == by);
        let sets: String = (0..self.sets).map(|by| self.to(find(by))).collect();
        let others = node.edges.iter().filter(|edge| edge.by >= self.sets);
        let others: String = others.map(|edge| self.number(edge.by) + &self.to(Some(edge))).collect();
        let mut harms = String::new();
        for edge in &node.edges {
            if let Some(word) = self.lists.harm(edge) {
                harms = harms + &self.number(edge.by) + &self.number(word);
            }
        }
        let probes: String = self.lists.probes(&node.looks).into_iter().map(|pair| self.pair(pair)).collect();
        let view = digits(self.met(node.looks.view), 1);
        format!("{view} {sets} {others} {harms} {probes}").trim_end().to_string()
    }

    fn pair(&self, (a, b): (usize, usize)) -> String {
        self.number(a) + &self.number(b)
    }

    fn case(&mut self, planted: &Planted) -> Case {
        let (mut changed, mut harms) = (String::new(), String::new());
        for (node, edge) in &planted.changed {
            changed = changed + &self.pair((*node, edge.by)) + &self.to(Some(edge));
            if let Some(word) = self.lists.harm(edge) {
                harms = harms + &self.pair((*node, edge.by)) + &self.number(word);
            }
        }
        let differs = planted.differs.iter().map(|(node, looks)| {
            let probes = self.lists.probes(looks).into_iter().map(|pair| self.pair(pair));
            let probes: String = probes.collect();
            format!("{} {} {probes}", digits(*node, 1), digits(self.met(looks.view), 1))
                .trim_end()
                .to_string()
        });
        Case {
            start: planted.start,
            differs: differs.collect::<Vec<_>>().join(","),
            changed: format!("{changed} {harms}").trim_end().to_string(),
            nodes: planted.nodes.iter().map(|node| self.node(node)).collect(),
        }
    }

    /// A view by its difference from the nearest one before it, or by itself.
    fn view(&self, views: &[Vec<usize>], healthy: &[usize], at: usize) -> String {
        let before = at.saturating_sub(NEAR)..at;
        let bases = healthy.iter().copied().filter(|base| *base < at).chain(before);
        let differing = |base: usize| -> Vec<usize> {
            let both = views[at].iter().zip(&views[base]).enumerate();
            both.filter(|(_, (own, other))| own != other).map(|(cell, _)| cell).collect()
        };
        let nearest = bases.map(|base| (differing(base), base)).min_by_key(|(cells, _)| cells.len());
        match nearest {
            Some((cells, base)) if 2 * cells.len() < views[at].len() => {
                let changes = cells.into_iter().map(|cell| self.pair((cell, views[at][cell])));
                format!("{}:{}", digits(base, 1), changes.collect::<String>())
            }
            _ => {
                let cells = views[at].iter().map(|cell| self.number(*cell));
                format!("={}", cells.collect::<String>())
            }
        }
    }
}

/// A number in base 36, at least so many digits wide.
fn digits(mut number: usize, width: usize) -> String {
    let mut digits = Vec::new();
    while number > 0 || digits.len() < width {
        digits.extend(char::from_digit((number % 36) as u32, 36));
        number /= 36;
    }
    digits.iter().rev().collect()
}
