//! Turns a state into what stands below its drawing: the key to the lines, and where the instruments are put.

use super::print::{number, words, words_width};
use super::scene::{Scene, Shown, Spot};
use super::state::{Flow, State};
use crate::book::{Book, End, Kind, Point, Say};
use svg::node::element::{Circle, Group, Path, Text};

/// The key, ready to be added, and the room that it takes.
pub(super) struct Key {
    pub group: Group,
    pub height: f64,
}

const PITCH: f64 = 16.0;
const MARGIN: f64 = 14.0;
const SAMPLE: f64 = 34.0;

/// A pencil that goes from left to right, and on to the next line where there is no more room.
struct Pencil {
    at: Spot,
    right: f64,
}

impl Pencil {
    /// Where something of this width begins.
    fn next(&mut self, width: f64) -> Spot {
        if self.at.x > MARGIN && self.at.x + width > self.right {
            self.at = Spot { x: MARGIN, y: self.at.y + PITCH };
        }
        let begin = self.at;
        self.at.x += width;
        begin
    }
}

pub(super) fn key(say: Say, scene: &Scene, state: &State) -> Key {
    let book = say.book;
    let mut group = Group::new().set("class", "key");
    let mut pencil = Pencil { at: Spot { x: MARGIN, y: scene.height + 4.0 }, right: scene.width - MARGIN };
    // A state without conductors only marks points: there are no lines to explain.
    let flows = if state.currents.is_empty() { &[] } else { Flow::ALL };
    for flow in flows {
        let line = say.words.text(&format!("flow.{}", flow.class()));
        let at = pencil.next(SAMPLE + 22.0 + words_width(&line));
        group = group.add(sample(*flow, at)).add(words(&line, at.x + SAMPLE + 6.0, at.y + 3.4));
    }
    for &fault in &state.faults {
        let line = say.words.fill("drawing.at-fault", &[("item", book.item_name(fault))]);
        let at = pencil.next(SAMPLE + 22.0 + words_width(&line));
        let (x, y) = (at.x + SAMPLE / 2.0, at.y);
        let data = format!("M{} {}l11 11m0 -11l-11 11", number(x - 5.5), number(y - 5.5));
        let sign = Path::new().set("class", "fault-sign").set("d", data);
        let sign = Group::new().set("class", "at-fault").add(sign);
        group = group.add(sign).add(words(&line, at.x + SAMPLE + 6.0, at.y + 3.4));
    }
    for (index, (instrument, from, to)) in state.probes.iter().enumerate() {
        let names = [letter(2 * index), letter(2 * index + 1)];
        let [from_point, to_point] = [from, to].map(|point| say.point(*point));
        let values = [
            ("tool", &*say.instrument(*instrument)),
            ("a", &*names[0]),
            ("from", &*from_point),
            ("b", &*names[1]),
            ("to", &*to_point),
        ];
        let line = say.words.fill("drawing.probe", &values);
        let at = pencil.next(22.0 + words_width(&line));
        group = group.add(words(&line, at.x, at.y + 3.4));
        for (name, point) in names.iter().zip([*from, *to]) {
            if let Some(touch) = touch(book, scene, point) {
                group = group.add(probe(name, touch));
            }
        }
    }
    for (mark, point) in &state.points {
        if let Some(touch) = touch(book, scene, *point) {
            group = group.add(probe(mark, touch));
        }
    }
    Key { group, height: pencil.at.y - scene.height + PITCH }
}

/// A line as it is drawn where a conductor does so, with an arrow where it carries current.
fn sample(flow: Flow, at: Spot) -> Group {
    let data = format!("M{} {}h{SAMPLE}", number(at.x), number(at.y));
    let line = Path::new().set("class", "run").set("d", data);
    let sample = Group::new().set("class", flow.class()).add(line);
    if flow != Flow::Carrying {
        return sample;
    }
    let tip = at.x + SAMPLE / 2.0 + 4.0;
    let [back, tip] = [tip - 7.0, tip].map(number);
    let [high, middle, low] = [at.y - 5.0, at.y, at.y + 5.0].map(number);
    let arrow = format!("M{back} {high}L{tip} {middle}L{back} {low}Z");
    sample.add(Path::new().set("class", "arrow forth").set("d", arrow))
}

fn letter(index: usize) -> String {
    let letter = (b'A' + (index % 26) as u8) as char;
    letter.to_string()
}

/// A lettered sign beside the point, and a line to it.
fn probe(name: &str, touch: Touch) -> Group {
    let Touch { at, up } = touch;
    let (x, y) = (at.x - 11.0, if up { at.y - 8.0 } else { at.y + 8.0 });
    Group::new()
        .set("class", "probe")
        .set("data-probe", name)
        .add(Path::new().set("d", format!("M{} {}L{} {}", number(x), number(y), number(at.x), number(at.y))))
        .add(Circle::new().set("cx", number(x)).set("cy", number(y)).set("r", 6.5))
        .add(Text::new(name).set("x", number(x)).set("y", number(y + 3.2)).set("text-anchor", "middle"))
}

/// A point that a lead touches, and whether its sign stands above or below.
struct Touch {
    at: Spot,
    up: bool,
}

/// Where a lead is put in the drawing: on the conductor just outside the terminal.
fn touch(book: &Book, scene: &Scene, point: Point) -> Option<Touch> {
    let battery = |name: &str| {
        let index = book.parts.iter().position(|part| part.kind == Kind::Battery)?;
        let terminal = book.parts[index].terminal(name)?;
        Some(End::Terminal { part: crate::book::PartId(index as u32), terminal })
    };
    let end = match point {
        Point::Terminal { part, terminal, .. } => End::Terminal { part, terminal },
        Point::Cavity { connector, cavity, side } => End::Cavity { connector, cavity, side },
        Point::WireEnd { wire, end } => {
            let run = scene.wires.iter().find(|run| run.wire == wire)?;
            let top = (end == 0) != run.flipped;
            let at = if top { run.top } else { run.bottom };
            return Some(Touch { at, up: !top });
        }
        Point::BatteryPlus => battery("+")?,
        Point::BatteryMinus => battery("-")?,
        Point::Ground => {
            let ground = scene.symbols.iter().find(|placed| matches!(placed.shows, Shown::Ground(_)))?;
            return Some(outside(ground.at.y, ground.pins.first()?.1));
        }
    };
    for placed in &scene.symbols {
        if let Some(&(_, pin)) = placed.pins.iter().find(|(pin, _)| *pin == end) {
            return Some(outside(placed.at.y, pin));
        }
    }
    let bar = scene.bars.iter().find(|bar| bar.end == end)?;
    Some(Touch { at: bar.left, up: false })
}

/// At a symbol's pin, the sign away from the symbol.
fn outside(middle: f64, pin: Spot) -> Touch {
    Touch { at: pin, up: pin.y < middle }
}
