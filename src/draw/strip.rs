//! Turns the lines of a scene that are neither wire nor element into strips: leads, the pieces of a bar between two paths, its
//! dots, and the symbols that a conductor runs through. What a strip carries follows from what the things at its ends carry.

use super::scene::{Bar, Scene, Shown};
use super::state::{Along, Flow, State};
use crate::book::{Book, End, WireId};

/// What takes current from a point: the sum along these, each counted so many times.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tap(pub Vec<(Along, f64)>);

/// A line of a drawing, by the name that its shape has for a script.
pub struct Strip {
    pub name: String,
    rule: Rule,
    /// Where it is told from what the conductor does that carries no current: the first that a state knows.
    rest: Vec<Along>,
}

/// How it is told whether a strip carries current.
enum Rule {
    /// It does when one of these does.
    Any(Vec<Tap>),
    /// It parts what stands at one side from what stands at the other; the second side may go on where nothing is told of it.
    Cut { left: Vec<Tap>, right: Vec<Tap>, goes_on: bool },
}

/// How many times smaller than the least current at either side a current over a cut may be.
const BESIDE: f64 = 0.5;

impl Tap {
    /// Amperes, and whether they count; what a state does not know carries nothing.
    fn current(&self, state: &State) -> (f64, bool) {
        let known = self.0.iter().filter_map(|(along, times)| Some((state.currents.get(along)?, times)));
        known.fold((0.0, false), |(amps, carries), (current, times)| {
            (amps + current.amps * times, carries || current.carries)
        })
    }
}

impl Strip {
    /// What the strip does in a state; none where the state's build has nothing there.
    pub fn flow(&self, state: &State) -> Option<Flow> {
        let rest = self.rest.iter().find_map(|along| state.currents.get(along)).map(|current| current.rest);
        let carries = match &self.rule {
            Rule::Any(taps) => taps.iter().any(|tap| tap.current(state).1),
            Rule::Cut { left, right, goes_on } => crosses(state, left, right, *goes_on),
        };
        if carries { Some(Flow::Carrying) } else { rest }
    }
}

/// Whether a current crosses from what stands left to what stands right.
fn crosses(state: &State, left: &[Tap], right: &[Tap], goes_on: bool) -> bool {
    let counted = |taps: &[Tap]| {
        let currents = taps.iter().map(|tap| tap.current(state));
        currents.filter(|(_, carries)| *carries).map(|(amps, _)| amps.abs()).collect::<Vec<f64>>()
    };
    let (at_left, at_right) = (counted(left), counted(right));
    if at_left.is_empty() || at_right.is_empty() && !goes_on {
        return false;
    }
    let least = at_left.into_iter().chain(at_right).fold(f64::INFINITY, f64::min);
    let over: f64 = left.iter().map(|tap| tap.current(state).0).sum();
    over.abs() >= BESIDE * least
}

impl Bar {
    /// Its pieces from left to right, each as where it begins and ends. One that goes on elsewhere has a piece for that.
    pub(super) fn pieces(&self) -> Vec<[f64; 2]> {
        let mut stops: Vec<f64> = self.dots.iter().map(|dot| dot.x).collect();
        let (left, right) = (self.left.x, self.right.x);
        stops.extend([left, right]);
        stops.sort_by(f64::total_cmp);
        stops.dedup();
        let mut pieces: Vec<[f64; 2]> = stops.windows(2).map(|pair| [pair[0], pair[1]]).collect();
        if self.continued[0] {
            pieces.insert(0, [left - Bar::STUB, left]);
        }
        if self.continued[1] {
            pieces.push([right, right + Bar::STUB]);
        }
        pieces
    }

    fn taps(&self, within: impl Fn(f64) -> bool) -> Vec<Tap> {
        self.taps.iter().filter(|(x, _)| within(*x)).map(|(_, tap)| tap.clone()).collect()
    }
}

impl Scene {
    /// All strips of the scene.
    pub fn strips(&self, book: &Book) -> Vec<Strip> {
        let mut strips = Vec::new();
        let mut put = |name, end, rule| strips.push(Strip { name, rule, rest: rest(book, end) });
        for (number, bar) in self.bars.iter().enumerate() {
            for (piece, &[from, to]) in bar.pieces().iter().enumerate() {
                let middle = (from + to) / 2.0;
                let (left, right) = (bar.taps(|x| x < middle), bar.taps(|x| x > middle));
                let rule = Rule::Cut { left, right, goes_on: bar.goes_on };
                put(self.piece_name(number, piece), bar.end, rule);
            }
            for (dot, at) in bar.dots.iter().enumerate() {
                put(self.dot_name(number, dot), bar.end, Rule::Any(bar.taps(|x| x == at.x)));
            }
        }
        for (number, lead) in self.leads.iter().enumerate() {
            put(self.lead_name(number), lead.end, Rule::Any(vec![lead.tap.clone()]));
        }
        for (number, placed) in self.symbols.iter().enumerate() {
            if !matches!(placed.shows, Shown::Element { .. })
                && let Some(&(end, _)) = placed.pins.first()
            {
                put(self.symbol_name(number), end, Rule::Any(placed.taps.clone()));
            }
        }
        strips
    }

    pub(super) fn piece_name(&self, bar: usize, piece: usize) -> String {
        format!("{}.bar.{bar}.{piece}", self.number)
    }

    pub(super) fn dot_name(&self, bar: usize, dot: usize) -> String {
        format!("{}.dot.{bar}.{dot}", self.number)
    }

    pub(super) fn lead_name(&self, lead: usize) -> String {
        format!("{}.lead.{lead}", self.number)
    }

    pub(super) fn symbol_name(&self, symbol: usize) -> String {
        format!("{}.symbol.{symbol}", self.number)
    }
}

/// A terminal's own conductor, and the wires at an end.
fn rest(book: &Book, end: End) -> Vec<Along> {
    let own = match end {
        End::Terminal { part, terminal } => Some(Along::Terminal(part, terminal)),
        End::Cavity { .. } => None,
    };
    let wires = book.wires.iter().enumerate().filter(|(_, wire)| wire.ends.contains(&end));
    own.into_iter().chain(wires.map(|(index, _)| Along::Wire(WireId(index as u32)))).collect()
}
