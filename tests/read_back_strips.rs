//! Holds every short line of a drawing, by where it lies on the page, against the currents of a vehicle on the bench: what
//! comes to it at one side must be what it is drawn to carry (Kirchhoff's current law).

use crate::printed::html::Element;
use crate::printed::words;
use crate::read_back_drawings::numbers;
use goodground::book::*;
use goodground::proof::evidence::Evidence;
use std::collections::{BTreeMap, BTreeSet};

/// A place on the paper, in tenths of its unit.
type Spot = (i64, i64);

/// The lines of one drawing sheet.
struct Paper<'e> {
    strips: Vec<(&'e str, [Spot; 2])>,
    /// What takes current at which spot: amperes out of the drawing there, and whether they count.
    taps: Vec<(Spot, f64, bool)>,
    /// Spots at which more may go on than is drawn.
    open: BTreeSet<Spot>,
}

fn spot(x: f64, y: f64) -> Spot {
    ((x * 10.0).round() as i64, (y * 10.0).round() as i64)
}

/// The pins of a symbol with their places.
fn pins(symbol: &Element) -> Vec<(&str, Spot)> {
    let pins = symbol.get("data-pins").unwrap().split("; ").filter(|pin| !pin.is_empty());
    let place = |pin: &'_ str| -> Spot {
        let mut words = pin.rsplitn(3, ' ');
        let y: f64 = words.next().unwrap().parse().unwrap();
        spot(words.next().unwrap().parse().unwrap(), y)
    };
    pins.map(|pin| (pin.rsplitn(3, ' ').nth(2).unwrap(), place(pin))).collect()
}

impl<'e> Paper<'e> {
    fn of(book: &Book, svg: &'e Element, evidence: &Evidence, drawn: &BTreeMap<&str, usize>) -> Paper<'e> {
        let mut paper = Paper { strips: Vec::new(), taps: Vec::new(), open: BTreeSet::new() };
        let place = |dot: &Element| {
            let [x, y] = ["cx", "cy"].map(|name| dot.get(name).unwrap().parse().unwrap());
            spot(x, y)
        };
        let dots: BTreeSet<Spot> = svg.all("circle.dot").into_iter().map(place).collect();
        for piece in svg.all("path.bar") {
            let [from, y, to] = numbers(piece)[..3] else { panic!("{:?}", piece.get("d")) };
            let ends = [spot(from, y), spot(to, y)];
            paper.strips.push((piece.get("data-strip").unwrap(), ends));
            // A piece with an arrowhead leads off the sheet.
            if piece.get("d").unwrap().matches('M').count() > 1 {
                paper.open.insert(ends[usize::from(dots.contains(&ends[0]))]);
            }
        }
        for lead in svg.all("path.lead") {
            let [x, from, to] = numbers(lead)[..3] else { panic!("{:?}", lead.get("d")) };
            paper.strips.push((lead.get("data-strip").unwrap(), [spot(x, from), spot(x, to)]));
        }
        for group in svg.all("g.wire") {
            let wire = book.find_wire(group.get("data-wire").unwrap()).unwrap();
            let Some(flow) = evidence.wires.get(&wire) else { continue };
            let [x, top, bottom] = numbers(group.one("path.run"))[..3] else { panic!() };
            let first = words::end(book, book.wire(wire).ends[0]);
            let down = group.get("data-from").unwrap().split('/').next() == Some(&first)
                && (group.get("data-from") != group.get("data-to"));
            let amps = if down { flow.amps } else { -flow.amps };
            paper.taps.push((spot(x, top), amps, flow.carries));
            paper.taps.push((spot(x, bottom), -amps, flow.carries));
        }
        for symbol in svg.all("g.symbol") {
            paper.symbol(book, symbol, evidence, drawn);
        }
        paper
    }

    fn symbol(&mut self, book: &Book, symbol: &Element, evidence: &Evidence, drawn: &BTreeMap<&str, usize>) {
        let of = |name| symbol.get(name);
        if let (Some(part), Some(element)) = (of("data-part"), of("data-element")) {
            let id = book.find_part(part).unwrap();
            let held = book.part(id);
            let main = held.elements.iter().find(|other| other.name == element).unwrap();
            // What is drawn beside a coil lies between the same terminals.
            let beside = |other: &&Element_| {
                let pair = |of: &Element_| [of.a.min(of.b), of.a.max(of.b)];
                pair(other) == pair(main) && (other.name == main.name || is_coil(main) && !is_coil(other))
            };
            for (name, at) in pins(symbol) {
                let terminal = |terminal| words::end(book, End::Terminal { part: id, terminal });
                let (mut amps, mut carries) = (0.0, false);
                for other in held.elements.iter().filter(beside) {
                    let index = held.elements.iter().position(|held| held.name == other.name).unwrap();
                    let Some(flow) = evidence.elements.get(&(id, index)) else { continue };
                    amps += if terminal(other.a) == name { flow.amps } else { -flow.amps };
                    carries |= flow.carries;
                }
                self.taps.push((at, amps, carries));
                let all = held
                    .elements
                    .iter()
                    .filter(|other| [terminal(other.a), terminal(other.b)].contains(&name.to_string()));
                let beside_here = held.elements.iter().filter(beside).count();
                if all.count() > drawn[name].max(beside_here) {
                    self.open.insert(at);
                }
            }
        } else if let (Some(connector), Some(cavity)) = (of("data-connector"), of("data-cavity")) {
            let id =
                ConnectorId(book.connectors.iter().position(|other| other.id == connector).unwrap() as u32);
            let index = book.connector(id).cavities.iter().position(|other| **other == *cavity).unwrap();
            for (name, at) in pins(symbol) {
                let Some(flow) = evidence.cavities.get(&(id, index as u16)) else { continue };
                let amps = if name.ends_with("/0") { flow.amps } else { -flow.amps };
                self.taps.push((at, amps, flow.carries));
            }
        } else if symbol.get("data-symbol") != Some("joint") {
            self.open.extend(pins(symbol).into_iter().map(|(_, at)| at));
        }
    }

    /// What lies at one side of a strip: the sum of what goes out there, what counts of it, and whether more may.
    fn side(&self, cut: usize, from: Spot) -> (f64, Vec<f64>, bool) {
        let (mut reached, mut waiting) = (BTreeSet::from([from]), vec![from]);
        while let Some(at) = waiting.pop() {
            for (strip, (_, ends)) in self.strips.iter().enumerate() {
                if strip != cut && ends.contains(&at) {
                    let far = if ends[0] == at { ends[1] } else { ends[0] };
                    if reached.insert(far) {
                        waiting.push(far);
                    }
                }
            }
        }
        let here = || self.taps.iter().filter(|(at, ..)| reached.contains(at));
        let counted = here().filter(|(_, _, carries)| *carries).map(|(_, amps, _)| amps.abs()).collect();
        (here().map(|(_, amps, _)| amps).sum(), counted, reached.iter().any(|at| self.open.contains(at)))
    }
}

type Element_ = goodground::book::Element;

fn is_coil(element: &Element_) -> bool {
    matches!(element.action, Action::Coil { .. })
}

/// Holds the strips of a drawing as a state shows them; how many were told from both sides, and how many of these carry.
pub fn hold_strips(
    book: &Book,
    drawing: &Element,
    strips: &BTreeMap<String, Option<String>>,
    evidence: &Evidence,
    about: &str,
) -> (usize, usize) {
    let mut drawn: BTreeMap<&str, usize> = BTreeMap::new();
    let svgs = drawing.all("svg.drawing");
    for symbol in
        svgs.iter().flat_map(|svg| svg.all("g.symbol")).filter(|symbol| symbol.get("data-element").is_some())
    {
        for (name, _) in pins(symbol) {
            *drawn.entry(name).or_default() += 1;
        }
    }
    let (mut held, mut carrying) = (0, 0);
    for svg in svgs {
        let paper = Paper::of(book, svg, evidence, &drawn);
        for (number, &(name, ends)) in paper.strips.iter().enumerate() {
            let sides = ends.map(|end| paper.side(number, end));
            // Told from the side at which everything is drawn.
            let [known, other] = match &sides {
                [known, other] if !known.2 => [known, other],
                [other, known] if !known.2 => [known, other],
                _ => continue,
            };
            let least = known.1.iter().chain(&other.1).copied().fold(f64::INFINITY, f64::min);
            let share = known.0.abs() / least;
            if (0.4..0.6).contains(&share) {
                continue;
            }
            let crosses = !known.1.is_empty() && (!other.1.is_empty() || other.2) && share >= 0.5;
            let class = strips.get(name).unwrap_or_else(|| panic!("{about}: {name} is in the table"));
            assert_eq!(
                class.as_deref() == Some("carrying"),
                crosses,
                "{about}: {name} is {class:?} between {known:?} and {other:?}"
            );
            held += 1;
            carrying += usize::from(crosses);
        }
    }
    (held, carrying)
}
