//! Turns ground points and splices into charts: what comes together where, as trees that read from left to right.

use super::print::{number, swatch};
use super::symbol::{GROUND, Stroke};
use super::text;
use crate::book::{Book, End, Kind, PartId, Say, TerminalId, WireId};
use svg::node::element::{Circle, Description, Group, Path, SVG, Text, Title};
use svg::node::{Blob, Text as TextNode};

const LINE: f64 = 17.0;
const STEP: f64 = 250.0;
const MARGIN: f64 = 14.0;
const GAP: f64 = 26.0;

/// Every ground point with what is grounded there, splices opened up, as a standalone SVG fragment.
pub fn ground_chart(say: Say) -> String {
    chart(say, Kind::Ground, "drawing.grounds")
}

/// Every splice with the wires that it joins.
pub fn splice_chart(say: Say) -> String {
    chart(say, Kind::Splice, "drawing.splices")
}

fn chart(say: Say, kind: Kind, title: &str) -> String {
    let book = say.book;
    let mut chart = Chart {
        book,
        group: Group::new(),
        y: MARGIN + 12.0,
        right: 0.0,
        sentences: Vec::new(),
        open: kind == Kind::Ground,
    };
    for (index, part) in book.parts.iter().enumerate() {
        if part.kind == kind {
            chart.root(PartId(index as u32));
        }
    }
    let (width, height) = (chart.right + MARGIN, chart.y);
    SVG::new()
        .set("class", "drawing chart")
        .set("role", "img")
        .set("viewBox", format!("0 0 {} {}", number(width), number(height)))
        .set("width", number(width))
        .set("height", number(height))
        .set("fill", "none")
        .set("stroke", "currentColor")
        .add(Title::new(say.words.text(title)))
        .add(Description::new().add(TextNode::new(chart.sentences.join(" "))))
        .add(chart.group)
        .to_string()
}

struct Chart<'a> {
    book: &'a Book,
    group: Group,
    y: f64,
    right: f64,
    sentences: Vec<String>,
    /// Splices are opened into their own wires.
    open: bool,
}

impl Chart<'_> {
    fn add(&mut self, node: impl Into<Box<dyn svg::node::Node>>) {
        self.group = std::mem::replace(&mut self.group, Group::new()).add(node);
    }

    fn say(&mut self, class: &str, line: &str, x: f64, y: f64) {
        let bold = class == "id";
        let size = if bold { 10.5 } else { 9.5 };
        self.right = self.right.max(x + text::width(line, size, bold));
        self.add(Text::new(line).set("class", class).set("x", number(x)).set("y", number(y)));
    }

    /// One ground point or splice with all its wires.
    fn root(&mut self, id: PartId) {
        let part = self.book.part(id);
        let top = self.y;
        let mut next = top + 5.0;
        let name = format!("{} {}", part.id, part.name);
        self.say("id", &name, MARGIN + 24.0, top);
        if let Some(place) = &part.place {
            next += 11.5;
            self.say("name", place, MARGIN + 24.0, top + 11.5);
        }
        if part.kind == Kind::Ground {
            let mut shape = Group::new()
                .set("class", "symbol")
                .set("transform", format!("translate({} {})", MARGIN + 8.0, number(top - 4.0)));
            for stroke in GROUND.strokes {
                if let Stroke::Line(data) = stroke {
                    shape = shape.add(Path::new().set("d", *data));
                }
            }
            self.add(shape);
        } else {
            self.dot(MARGIN + 8.0, top - 4.0);
        }
        self.y = next;
        let wires = self.wires(id, None);
        let ids: Vec<&str> = wires.iter().map(|&wire| self.book.wire(wire).id.as_str()).collect();
        self.sentences.push(format!("{name}: {}.", ids.join(", ")));
        self.branch(id, &wires, MARGIN + 8.0, next, &mut vec![id]);
        self.y += GAP;
    }

    /// The wires at a single-terminal part, but one.
    fn wires(&self, part: PartId, but: Option<WireId>) -> Vec<WireId> {
        let end = End::Terminal { part, terminal: TerminalId(0) };
        let wires = (0..self.book.wires.len()).map(|index| WireId(index as u32));
        wires.filter(|&wire| Some(wire) != but && self.book.wire(wire).ends.contains(&end)).collect()
    }

    /// The wires of a point below one another on a trunk, each to what is at its other end.
    fn branch(&mut self, from: PartId, wires: &[WireId], x: f64, top: f64, seen: &mut Vec<PartId>) {
        let mut bottom = top;
        for &id in wires {
            let wire = self.book.wire(id);
            let y = self.y + LINE * 0.6;
            self.y += LINE;
            bottom = y;
            let near = End::Terminal { part: from, terminal: TerminalId(0) };
            let far = if wire.ends[0] == near { wire.ends[1] } else { wire.ends[0] };
            self.add(
                Group::new().set("class", "wire").set("data-wire", wire.id.as_str()).add(
                    Path::new().set("class", "run").set("d", format!("M{} {}h26", number(x), number(y))),
                ),
            );
            self.add(Blob::new(swatch(x + 13.0, y, &wire.color)));
            let after = x + 34.0 + text::width(&wire.id, 10.5, true);
            self.say("id", &wire.id, x + 30.0, y + 3.5);
            let value = format!("{} {}", wire.color, wire.size);
            self.say("value", &value.replace("mm2", "mm²"), after, y + 3.5);
            let name = self.far_name(far);
            self.say("name", &name, x + 150.0, y + 3.5);
            if let End::Terminal { part, .. } = far
                && self.open
                && self.book.part(part).kind == Kind::Splice
                && !seen.contains(&part)
            {
                seen.push(part);
                let further = self.wires(part, Some(id));
                let start = x + STEP;
                let right = x + 150.0 + text::width(&name, 9.5, false) + 4.0;
                let start = start.max(right + 10.0);
                self.add(Path::new().set("d", format!("M{} {}H{}", number(right), number(y), number(start))));
                self.dot(start, y);
                self.y -= LINE;
                self.branch(part, &further, start, y, seen);
            }
        }
        self.add(Path::new().set("d", format!("M{} {}V{}", number(x), number(top), number(bottom))));
    }

    fn dot(&mut self, x: f64, y: f64) {
        self.add(Circle::new().set("class", "dot").set("cx", number(x)).set("cy", number(y)).set("r", 2.6));
    }

    fn far_name(&self, end: End) -> String {
        match end {
            End::Terminal { part, .. } => {
                format!("{} {}", self.book.end_name(end), self.book.part(part).name)
            }
            End::Cavity { connector, .. } => {
                format!("{} {}", self.book.end_name(end), self.book.connector(connector).name)
            }
        }
    }
}
