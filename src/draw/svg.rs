//! Turns a scene, and a state of it, into a standalone SVG fragment; numbers go through one rounding printer.
//!
//! In a live drawing everything that a state can change is there at rest too, hidden, so that a page's script changes states by
//! classes alone: on `[data-wire]` groups a [`Flow`](super::Flow) and `reversed`, on `[data-terminal]` lines a flow, on
//! `[data-part][data-element]` groups a [`Mark`](super::Mark) and a face (`full`, `weak`, `off`). A still one has neither those
//! names nor what its own state doesn't show.

use super::describe::describe;
use super::key;
use super::print::{number, path, swatch};
use super::scene::*;
use super::state::{Flow, State};
use super::symbol::Stroke;
use crate::book::{Book, End, Item, Say, Strength};
use std::collections::BTreeMap;
use svg::Node;
use svg::node::element::{Circle, Description, Group, Line as LineNode, Path, SVG, Text, Title};
use svg::node::{Blob, Text as TextNode};

/// What becomes of a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// A script shows other states of it.
    Live,
    /// It stays as it is: on paper, and as a figure of a page.
    Still,
}

/// What all of a drawing is drawn with.
#[derive(Clone, Copy)]
struct Pen<'a> {
    book: &'a Book,
    state: Option<&'a State>,
    /// What each strip does in that state, by its name.
    strips: &'a BTreeMap<String, Flow>,
    shall: Use,
}

impl Pen<'_> {
    /// An element with a name by which a script finds it.
    fn named<N: Node>(self, mut node: N, name: &str, value: &str) -> N {
        if self.shall == Use::Live {
            node.assign(name, value);
        }
        node
    }

    /// A path that shows in some states only; `shown` in this one.
    fn sometimes(self, shown: bool, class: &str, data: &str) -> String {
        match (self.shall, shown) {
            (Use::Live, _) => format!(r#"<path class="{class}" visibility="hidden" d="{data}"/>"#),
            (Use::Still, true) => path(class, data),
            (Use::Still, false) => String::new(),
        }
    }

    fn wire_flow(self, run: &Run) -> Option<Flow> {
        self.state.and_then(|state| state.wire(run.wire))
    }

    /// Whether current runs from a wire's second end to its first.
    fn is_reversed(self, run: &Run) -> bool {
        self.state.is_some_and(|state| state.is_reversed(run.wire))
    }

    /// A shape that is a strip, by its name and with the class of what it does.
    fn strip<N: Node>(self, mut node: N, name: &str, class: &str) -> N {
        let flow = self.strips.get(name).map_or(String::new(), |flow| format!(" {}", flow.class()));
        node.assign("class", format!("{class}{flow}"));
        self.named(node, "data-strip", name)
    }

    fn is_at_fault(self, item: Item) -> bool {
        self.state.is_some_and(|state| state.faults.contains(&item))
    }
}

/// The scene as SVG, in a state when there is one, with the state's key below it.
pub fn svg(say: Say, scene: &Scene, state: Option<&State>, shall: Use) -> String {
    let book = say.book;
    let flows = state.into_iter().flat_map(|state| {
        let strips = scene.strips(book).into_iter();
        strips.filter_map(|strip| Some((strip.flow(state)?, strip.name))).map(|(flow, name)| (name, flow))
    });
    let pen = Pen { book, state, strips: &flows.collect(), shall };
    let key = state.map(|state| key::key(say, scene, state));
    let height = scene.height + key.as_ref().map_or(0.0, |key| key.height);
    let title = match scene.build.filter(|_| !book.options.is_empty()) {
        Some(build) => format!("{} ({})", scene.title, book.build_name(build)),
        None => scene.title.clone(),
    };
    let mut drawing = SVG::new()
        .set("class", "drawing")
        .set("role", "img")
        .set("viewBox", format!("0 0 {} {}", number(scene.width), number(height)))
        .set("width", number(scene.width))
        .set("height", number(height))
        .set("fill", "none")
        .set("stroke", "currentColor")
        .add(Title::new(title))
        .add(Description::new().add(TextNode::new(describe(say, scene, state))));
    drawing = pen.named(drawing, "data-sheet", &book.sheets[scene.sheet.index()].id);
    let mut boundaries = Group::new().set("class", "boundaries");
    for boundary in &scene.boundaries {
        let group = Group::new().set("class", "boundary").add(Path::new().set("d", lines(&boundary.pieces)));
        let id = &book.connector(boundary.connector).id;
        boundaries = boundaries.add(pen.named(group, "data-connector", id));
    }
    drawing = drawing.add(boundaries);
    if !scene.links.is_empty() {
        drawing = drawing.add(Path::new().set("class", "link").set("d", lines(&scene.links)));
    }
    for number in 0..scene.bars.len() {
        drawing = drawing.add(bar_group(pen, scene, number));
    }
    for (number, lead) in scene.leads.iter().enumerate() {
        let line = Path::new().set("d", vertical(lead.top, lead.bottom));
        let line = pen.strip(line, &scene.lead_name(number), "lead");
        drawing = drawing.add(pen.named(line, "data-terminal", &end_name(book, lead.end)));
    }
    for run in &scene.wires {
        let inner = wire_shapes(pen, run);
        drawing = match (shall, state) {
            // Nothing tells it from the others.
            (Use::Still, None) => drawing.add(Blob::new(inner)),
            _ => drawing.add(wire_group(pen, run).add(Blob::new(inner))),
        };
    }
    for number in 0..scene.symbols.len() {
        drawing = drawing.add(symbol_group(pen, scene, number));
    }
    drawing = drawing.add(labels(pen, scene));
    if let Some(key) = key {
        drawing = drawing.add(key.group);
    }
    drawing.to_string()
}

/// A terminal as `K4:86`, a cavity with its side as `X12:3/0`: the names of the drawing's netlist.
pub(super) fn end_name(book: &Book, end: End) -> String {
    match end {
        End::Terminal { .. } => book.end_name(end),
        End::Cavity { side, .. } => format!("{}/{side}", book.end_name(end)),
    }
}

fn vertical(top: Spot, bottom: Spot) -> String {
    format!("M{} {}V{}", number(top.x), number(top.y), number(bottom.y))
}

fn lines(lines: &[Line]) -> String {
    let data = lines.iter().map(|line| {
        let (from, to) = (line.from, line.to);
        format!("M{} {}L{} {}", number(from.x), number(from.y), number(to.x), number(to.y))
    });
    data.collect()
}

fn bar_group(pen: Pen, scene: &Scene, at: usize) -> Group {
    let bar = &scene.bars[at];
    let class = if bar.main { "bar main" } else { "bar" };
    let mut group = Group::new().set("class", "node");
    for (piece, &[from, to]) in bar.pieces().iter().enumerate() {
        let y = number(bar.left.y);
        let mut data = format!("M{} {y}H{}", number(from), number(to));
        // A bar that goes on elsewhere runs out a little, with an arrowhead.
        if from < bar.left.x {
            data.push_str(&arrowhead(from, 4.0, bar.left.y));
        } else if to > bar.right.x {
            data.push_str(&arrowhead(to, -4.0, bar.left.y));
        }
        group = group.add(pen.strip(Path::new().set("d", data), &scene.piece_name(at, piece), class));
    }
    for (dot, spot) in bar.dots.iter().enumerate() {
        let circle = Circle::new().set("cx", number(spot.x)).set("cy", number(spot.y)).set("r", 2.6);
        group = group.add(pen.strip(circle, &scene.dot_name(at, dot), "dot"));
    }
    pen.named(group, "data-terminal", &end_name(pen.book, bar.end))
}

/// An arrowhead whose tip is at `x`, its back `long` from there.
fn arrowhead(x: f64, long: f64, y: f64) -> String {
    let [back, tip, high, middle, low] = [x + long, x, y - 3.0, y, y + 3.0].map(number);
    format!("M{back} {high}L{tip} {middle}L{back} {low}")
}

/// The group of a wire's shapes, by whose classes they show what the wire does.
fn wire_group(pen: Pen, run: &Run) -> Group {
    let wire = pen.book.wire(run.wire);
    let mut class = String::from("wire");
    if let Some(flow) = pen.wire_flow(run) {
        class.push(' ');
        class.push_str(flow.class());
    }
    if pen.is_reversed(run) {
        class.push_str(" reversed");
    }
    if pen.is_at_fault(Item::Wire(run.wire)) {
        class.push_str(" at-fault");
    }
    let group = Group::new().set("class", class);
    let group = pen.named(group, "data-wire", &wire.id);
    let group = pen.named(group, "data-from", &end_name(pen.book, run.ends[0]));
    pen.named(group, "data-to", &end_name(pen.book, run.ends[1]))
}

/// A wire's line with its color, arrows and sign of a fault.
fn wire_shapes(pen: Pen, run: &Run) -> String {
    let (x, y) = (run.swatch.x, run.swatch.y);
    let mut inner = path("run", &vertical(run.top, run.bottom));
    inner.push_str(&swatch(x, y, &pen.book.wire(run.wire).color));
    let [near, far, left, right] = [y + 5.5, y + 13.5, x - 5.5, x + 5.5].map(number);
    let (down, up) = (
        format!("M{left} {near}H{right}L{} {far}Z", number(x)),
        format!("M{left} {far}H{right}L{} {near}Z", number(x)),
    );
    let (forth, back) = if run.flipped { (up, down) } else { (down, up) };
    let carries = pen.wire_flow(run) == Some(Flow::Carrying);
    let reversed = pen.is_reversed(run);
    let at_fault = pen.is_at_fault(Item::Wire(run.wire));
    inner.push_str(&pen.sometimes(carries && !reversed, "arrow forth", &forth));
    inner.push_str(&pen.sometimes(carries && reversed, "arrow back", &back));
    inner.push_str(&pen.sometimes(at_fault, "fault-sign", &cross(run.swatch)));
    inner
}

/// The sign of a fault on a conductor.
fn cross(at: Spot) -> String {
    let [left, top, right, bottom] = [at.x - 5.5, at.y - 5.5, at.x + 5.5, at.y + 5.5].map(number);
    format!("M{left} {top}L{right} {bottom}M{right} {top}L{left} {bottom}")
}

fn symbol_group(pen: Pen, scene: &Scene, index: usize) -> Group {
    let placed = &scene.symbols[index];
    let (group, mut class, fault) = shown(pen, placed);
    let at_fault = fault.is_some_and(|item| pen.is_at_fault(item));
    if at_fault {
        class.push_str(" at-fault");
    }
    let pins: Vec<String> = placed
        .pins
        .iter()
        .map(|&(end, spot)| format!("{} {} {}", end_name(pen.book, end), number(spot.x), number(spot.y)))
        .collect();
    let group = match placed.shows {
        Shown::Element { .. } => group.set("class", class),
        _ => pen.strip(group, &scene.symbol_name(index), &class),
    };
    let group = pen.named(group, "data-symbol", placed.symbol.name);
    let group = pen.named(group, "data-pins", &pins.join("; "));
    let at = format!("translate({} {})", number(placed.at.x), number(placed.at.y));
    let turned = if placed.flipped { format!("{at} scale(1 -1)") } else { at.clone() };
    let group = group.add(Group::new().set("transform", turned).add(Blob::new(shape(pen, placed))));
    let mut group = placed.symbol.strokes.iter().fold(group, |group, stroke| match *stroke {
        Stroke::Letter(x, y, size, letter) => {
            // A letter stays upright in a symbol that is turned over.
            let y = if placed.flipped { 2.0 * (size * 0.36) - y } else { y };
            let text = Text::new(letter)
                .set("class", "letter")
                .set("transform", at.as_str())
                .set("x", number(x))
                .set("y", number(y))
                .set("text-anchor", "middle")
                .set("style", format!("font-size:{}px", number(size)));
            group.add(text)
        }
        _ => group,
    });
    if fault.is_some() {
        let frame = placed.frame();
        // It goes around the terminals' markings too.
        let [left, right] = [frame.left.min(placed.at.x - 18.0) - 1.0, frame.right + 2.0].map(number);
        let [top, bottom] = [frame.top - 1.0, frame.bottom + 1.0].map(number);
        let data = format!("M{left} {top}H{right}V{bottom}H{left}Z");
        group = group.add(Blob::new(pen.sometimes(at_fault, "fault-sign", &data)));
    }
    group
}

/// A group named by what a symbol shows, the classes of that, and what may be at fault there.
fn shown(pen: Pen, placed: &Placed) -> (Group, String, Option<Item>) {
    let (book, mut group, mut class) = (pen.book, Group::new(), String::from("symbol"));
    let mut fault = None;
    match &placed.shows {
        Shown::Element { part, elements } => {
            let held = book.part(*part);
            group = pen.named(group, "data-part", &held.id);
            group = pen.named(group, "data-element", &held.elements[elements[0]].name);
            fault = Some(Item::Part(*part));
            if let Some(state) = pen.state {
                let key = (*part, elements[0]);
                if let Some(mark) = state.elements.get(&key) {
                    class.push(' ');
                    class.push_str(mark.class());
                }
                match state.faces.get(&key) {
                    Some(Strength::Full) => class.push_str(" full"),
                    Some(Strength::Weak) => class.push_str(" weak"),
                    Some(Strength::Off) => class.push_str(" off"),
                    None => {}
                }
            }
        }
        Shown::Cavity { connector, cavity } => {
            let held = book.connector(*connector);
            group = pen.named(group, "data-connector", &held.id);
            group = pen.named(group, "data-cavity", &held.cavities[usize::from(*cavity)]);
            fault = Some(Item::Connector(*connector));
        }
        Shown::Ground(part) | Shown::Joint(End::Terminal { part, .. }) | Shown::Blind { part, .. } => {
            group = pen.named(group, "data-part", &book.part(*part).id);
            fault = Some(Item::Part(*part));
        }
        Shown::Flag { .. } | Shown::OpenEnd(_) | Shown::Joint(End::Cavity { .. }) => class.push_str(" plain"),
    }
    (group, class, fault)
}

/// The strokes of a symbol but its letters.
fn shape(pen: Pen, placed: &Placed) -> String {
    let key = match &placed.shows {
        Shown::Element { part, elements } => Some((*part, elements[0])),
        _ => None,
    };
    let state = pen.state.zip(key);
    let marked = state.is_some_and(|(state, key)| state.elements.contains_key(&key));
    let works = state
        .is_some_and(|(state, key)| matches!(state.faces.get(&key), Some(Strength::Full | Strength::Weak)));
    let strokes = placed.symbol.strokes.iter().map(|stroke| match *stroke {
        Stroke::Line(data) => path("stroke", data),
        Stroke::Solid(data) => path("solid", data),
        Stroke::Hollow(data) => path("hollow", data),
        Stroke::Open(data) if !placed.made => path("blade-open", data),
        Stroke::Made(data) if placed.made => path("blade-made", data),
        // Of a contact whose state is known, its class says which blade is seen.
        Stroke::Open(data) => pen.sometimes(marked, "blade-open", data),
        Stroke::Made(data) => pen.sometimes(marked, "blade-made", data),
        Stroke::Active(data) => pen.sometimes(works, "active", data),
        Stroke::Letter(..) => String::new(),
    });
    strokes.collect()
}

fn labels(pen: Pen, scene: &Scene) -> Group {
    let (book, in_state) = (pen.book, pen.state.is_some());
    let mut group = Group::new().set("class", "labels");
    let shown = |label: &&Label| !(in_state && label.style == Style::Rest);
    for label in scene.labels.iter().filter(shown) {
        if label.style != Style::Id {
            group = group.add(Blob::new(plain(label)));
            continue;
        }
        let text = Text::new(label.words.as_str())
            .set("class", label.style.class())
            .set("x", number(label.at.x))
            .set("y", number(label.at.y));
        group = group.add(match label.of {
            Owner::Part(part) => pen.named(text, "data-label-part", &book.part(part).id),
            Owner::Wire(wire) => pen.named(text, "data-label-wire", &book.wire(wire).id),
            Owner::Connector(connector) => {
                pen.named(text, "data-label-connector", &book.connector(connector).id)
            }
            Owner::Drawing => text,
        });
    }
    let first = scene.columns.first().map_or(0.0, |column| column.x - 14.0);
    if let Some(last) = scene.columns.last() {
        let y = last.y - 9.0;
        group = group.add(
            LineNode::new()
                .set("class", "rule")
                .set("x1", number(first))
                .set("y1", number(y))
                .set("x2", number(last.x + 14.0))
                .set("y2", number(y)),
        );
    }
    group
}

/// A label that leads nowhere.
fn plain(label: &Label) -> String {
    let [x, y] = [label.at.x, label.at.y].map(number);
    let class = match label.style.class() {
        "" => String::new(),
        class => format!(r#" class="{class}""#),
    };
    let anchor = if label.ends { r#" text-anchor="end""# } else { "" };
    let words = TextNode::new(label.words.as_str());
    format!(r#"<text{class} x="{x}" y="{y}"{anchor}>{words}</text>"#)
}
