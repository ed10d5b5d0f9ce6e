//! Turns a state into what stands below its drawing: the key to the lines, and where the instruments are put.

use super::scene::{Scene, Shown, Spot};
use super::state::{Flow, State};
use super::svg::{number, words, words_width};
use crate::book::{Book, End, Kind, Point};
use svg::node::element::{Circle, Group, Path, Text};

/// The key, ready to be added, and the room that it takes.
pub(super) struct Key {
    pub group: Group,
    pub height: f64,
}

const PITCH: f64 = 16.0;
const MARGIN: f64 = 14.0;
const SAMPLE: f64 = 34.0;

pub(super) fn key(book: &Book, scene: &Scene, state: &State) -> Key {
    let mut group = Group::new().set("class", "key");
    let (mut x, mut y) = (MARGIN, scene.height + 4.0);
    let mut next = |width: f64| {
        if x > MARGIN && x + width > scene.width - MARGIN {
            x = MARGIN;
            y += PITCH;
        }
        let at = Spot { x, y };
        x += width;
        at
    };
    // A state without conductors only marks points: there are no lines to explain.
    let flows = if state.wires.is_empty() { &[] } else { Flow::ALL };
    for flow in flows {
        let at = next(SAMPLE + 22.0 + words_width(flow.words()));
        let data = format!("M{} {}h{SAMPLE}", number(at.x), number(at.y));
        let mut sample =
            Group::new().set("class", flow.class()).add(Path::new().set("class", "run").set("d", data));
        if *flow == Flow::Carrying {
            let (tip, y) = (at.x + SAMPLE / 2.0 + 4.0, at.y);
            let data = format!(
                "M{} {}L{} {}L{} {}Z",
                number(tip - 7.0),
                number(y - 5.0),
                number(tip),
                number(y),
                number(tip - 7.0),
                number(y + 5.0)
            );
            sample = sample.add(Path::new().set("class", "arrow forth").set("d", data));
        }
        group = group.add(sample).add(words(flow.words(), at.x + SAMPLE + 6.0, at.y + 3.4));
    }
    for &fault in &state.faults {
        let line = format!("{} at fault", book.item_name(fault));
        let at = next(SAMPLE + 22.0 + words_width(&line));
        let (x, y) = (at.x + SAMPLE / 2.0, at.y);
        let data = format!("M{} {}l11 11m0 -11l-11 11", number(x - 5.5), number(y - 5.5));
        let sign = Path::new().set("class", "fault-sign").set("d", data);
        group = group.add(Group::new().set("class", "at-fault").add(sign)).add(words(
            &line,
            at.x + SAMPLE + 6.0,
            at.y + 3.4,
        ));
    }
    for (index, (instrument, from, to)) in state.probes.iter().enumerate() {
        let names = [letter(2 * index), letter(2 * index + 1)];
        let line = format!(
            "{}: {} at {}, {} at {}",
            instrument.word(),
            names[0],
            book.point_text(*from),
            names[1],
            book.point_text(*to)
        );
        let at = next(22.0 + words_width(&line));
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
    let height = y - scene.height + PITCH;
    Key { group, height }
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
