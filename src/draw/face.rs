//! Turns a connector into its two faces: the cavities as a technician sees them, with number, wire and color.

use super::print::{number, swatch, words};
use super::text;
use crate::book::{Book, ConnectorId, End, Say, Wire};
use svg::node::element::{Description, Group, Path, Rectangle, SVG, Text, Title};
use svg::node::{Blob, Text as TextNode};

const CELL: f64 = 76.0;
/// The height of a cavity, and what each further wire in it adds.
const TALL: f64 = 44.0;
const FURTHER: f64 = 24.0;
const EDGE: f64 = 10.0;
const HEAD: f64 = 20.0;
const GAP: f64 = 34.0;
/// Up to so many cavities stand in one row.
const ONE_ROW: usize = 4;

/// Both faces of a connector, each seen from its mating side, as a standalone SVG fragment.
pub fn connector_face(say: Say, id: ConnectorId) -> String {
    let book = say.book;
    let connector = book.connector(id);
    let cavities = cavities(&connector.cavities);
    let rows = if cavities.len() > ONE_ROW { 2 } else { 1 };
    let per_row = cavities.len().div_ceil(rows);
    let most = (0..connector.cavities.len() * 2)
        .map(|at| {
            let (cavity, side) = ((at / 2) as u16, (at % 2) as u8);
            wires_at(book, End::Cavity { connector: id, cavity, side }).len()
        })
        .max()
        .unwrap_or(0);
    let row_height = TALL + FURTHER * most.saturating_sub(1) as f64;
    let (wide, tall) = (per_row as f64 * CELL + 2.0 * EDGE, rows as f64 * row_height + 2.0 * EDGE);
    let names = connector.joins.map(|harness| &book.harnesses[harness.index()].name);
    let widest = names.map(|name| text::width(name, 10.5, true)).into_iter().fold(wide, f64::max);
    let across = widest + GAP;
    let (width, height) = (2.0 * across - GAP + 4.0, HEAD + tall + 10.0);
    let title = format!("{} {}", connector.id, connector.name);
    let mut drawing = SVG::new()
        .set("class", "drawing face")
        .set("role", "img")
        .set("viewBox", format!("0 0 {} {}", number(width), number(height)))
        .set("width", number(width))
        .set("height", number(height))
        .set("fill", "none")
        .set("stroke", "currentColor")
        .set("data-connector", connector.id.as_str())
        .add(Title::new(title))
        .add(Description::new().add(TextNode::new(in_words(say, id))));
    for side in [0u8, 1] {
        let left = 2.0 + f64::from(side) * across;
        drawing = drawing.add(
            Text::new(names[usize::from(side)].as_str())
                .set("class", "id")
                .set("x", number(left))
                .set("y", 13),
        );
        let mut face = Group::new().set("class", "symbol").add(outline(left, HEAD, wide, tall, side == 0));
        for (at, (name, cavity)) in cavities.iter().enumerate() {
            let (row, column) = (at / per_row, at % per_row);
            // What stands at the left on one face stands at the right on the one that mates with it.
            let column = if side == 0 { column } else { per_row - 1 - column };
            let x = left + EDGE + column as f64 * CELL;
            let y = HEAD + EDGE + row as f64 * row_height;
            let wires = cavity
                .map(|cavity| wires_at(book, End::Cavity { connector: id, cavity, side }))
                .unwrap_or_default();
            face = face.add(cell(name, &wires, x, y));
        }
        drawing = drawing.add(face);
    }
    drawing.to_string()
}

/// The cavities in order, those without a wire among numbered ones too.
fn cavities(used: &[String]) -> Vec<(String, Option<u16>)> {
    let numbers: Option<Vec<usize>> = used.iter().map(|name| name.parse().ok()).collect();
    match numbers {
        Some(numbers) if numbers.iter().all(|&number| (1..=60).contains(&number)) => {
            let last = numbers.iter().copied().max().unwrap_or(0);
            (1..=last)
                .map(|number| {
                    let at = numbers.iter().position(|&other| other == number);
                    (number.to_string(), at.map(|at| at as u16))
                })
                .collect()
        }
        _ => used.iter().enumerate().map(|(at, name)| (name.clone(), Some(at as u16))).collect(),
    }
}

fn wires_at(book: &Book, end: End) -> Vec<&Wire> {
    book.wires.iter().filter(|wire| wire.ends.contains(&end)).collect()
}

/// The housing, with a key on one long side; the socket has a second line around it.
fn outline(x: f64, y: f64, wide: f64, tall: f64, socket: bool) -> Path {
    let middle = x + wide / 2.0;
    let mut data = format!(
        "M{} {}H{}v4h16v-4H{}V{}H{}Z",
        number(x),
        number(y),
        number(middle - 8.0),
        number(x + wide),
        number(y + tall),
        number(x)
    );
    if socket {
        let (left, top, right, bottom) = (x + 3.0, y + 6.5, x + wide - 3.0, y + tall - 3.0);
        data.push_str(&format!(
            "M{} {}H{}V{}H{}Z",
            number(left),
            number(top),
            number(right),
            number(bottom),
            number(left)
        ));
    }
    Path::new().set("d", data)
}

fn cell(name: &str, wires: &[&Wire], x: f64, y: f64) -> Group {
    let mut group = Group::new()
        .set("data-cavity", name)
        .add(
            Rectangle::new()
                .set("x", number(x + 3.0))
                .set("y", number(y + 14.0))
                .set("width", 14)
                .set("height", 18),
        )
        .add(Text::new(name).set("class", "mark").set("x", number(x + 4.0)).set("y", number(y + 10.0)));
    if let Some(wire) = wires.first() {
        group = group.add(Blob::new(swatch(x + 10.0, y + 23.0, &wire.color)));
    }
    for (at, wire) in wires.iter().enumerate() {
        let y = y + 20.0 + at as f64 * FURTHER;
        group = group
            .add(
                Text::new(wire.id.as_str()).set("class", "id").set("x", number(x + 22.0)).set("y", number(y)),
            )
            .add(words(&wire.color.to_string(), x + 22.0, y + 10.5));
    }
    group
}

/// Cavity by cavity, for those who cannot see it.
fn in_words(say: Say, id: ConnectorId) -> String {
    let connector = say.book.connector(id);
    let cavity = |(at, name): (usize, &String)| {
        let [a, b] = [0, 1].map(|side| {
            let end = End::Cavity { connector: id, cavity: at as u16, side };
            let wires = wires_at(say.book, end);
            let wires = wires.iter().map(|wire| format!("{} {}", wire.id, say.color(&wire.color)));
            let both = |one: String, other: String| {
                say.words.fill("condition.and", &[("one", &one), ("other", &other)])
            };
            wires.reduce(both).unwrap_or_default()
        });
        say.words.fill("described.face", &[("cavity", name), ("a", &a), ("b", &b)])
    };
    connector.cavities.iter().enumerate().map(cavity).collect::<Vec<_>>().join(" ")
}
