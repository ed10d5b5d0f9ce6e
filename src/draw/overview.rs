//! Turns the harnesses into an overview: each with the wires that run in it and where to, and the connectors that join them.

use super::print::{number, swatch};
use super::text;
use crate::book::{Book, ConnectorId, HarnessId, Item, Say, WireId};
use svg::node::element::{Description, Group, Path, Rectangle, SVG, Text, Title};
use svg::node::{Blob, Text as TextNode};

const MARGIN: f64 = 14.0;
const LINE: f64 = 15.0;
const HEAD: f64 = 24.0;
const GAP: f64 = 22.0;
/// The wires of a harness stand in so many columns.
const COLUMNS: usize = 3;
/// Between the tracks of two connectors.
const TRACK: f64 = 58.0;
const STUB: f64 = 16.0;

/// Every harness with its wires, and the connectors between them as lines at the right, as a standalone SVG fragment.
pub fn harness_overview(say: Say) -> String {
    let book = say.book;
    let wires: Vec<Vec<WireId>> = (0..book.harnesses.len())
        .map(|harness| {
            let all = (0..book.wires.len()).map(|index| WireId(index as u32));
            all.filter(|&wire| book.wire(wire).harness == HarnessId(harness as u32)).collect()
        })
        .collect();
    let column = wires.iter().flatten().map(|&wire| line_width(book, wire)).fold(0.0, f64::max) + 18.0;
    let right = MARGIN + 16.0 + column * COLUMNS as f64;
    let tracks = tracks(book);
    let stubs: Vec<Vec<usize>> =
        (0..book.harnesses.len()).map(|harness| stubs(book, &tracks, harness)).collect();
    let mut group = Group::new();
    let mut tops = Vec::new();
    let mut y = MARGIN;
    for (index, harness) in book.harnesses.iter().enumerate() {
        tops.push(y);
        let lines = wires[index].len().div_ceil(COLUMNS);
        let height = (HEAD + lines as f64 * LINE + 8.0).max(stubs[index].len() as f64 * STUB + 12.0);
        group = group.add(block(book, &harness.name, &wires[index], column, y, right, height));
        y += height + GAP;
    }
    for (track, &connector) in tracks.iter().enumerate() {
        group = group.add(connection(book, connector, track, &stubs, &tops, right));
    }
    let width = right + TRACK * tracks.len() as f64 + MARGIN;
    let height = y - GAP + MARGIN;
    SVG::new()
        .set("class", "drawing overview")
        .set("role", "img")
        .set("viewBox", format!("0 0 {} {}", number(width), number(height)))
        .set("width", number(width))
        .set("height", number(height))
        .set("fill", "none")
        .set("stroke", "currentColor")
        .add(Title::new(say.words.text("drawing.harnesses")))
        .add(Description::new().add(TextNode::new(in_words(say))))
        .add(group)
        .to_string()
}

fn ends(book: &Book, wire: WireId) -> String {
    let wire = book.wire(wire);
    format!("{} – {}", book.end_name(wire.ends[0]), book.end_name(wire.ends[1]))
}

fn line_width(book: &Book, wire: WireId) -> f64 {
    let id = text::width(&book.wire(wire).id, 10.5, true);
    16.0 + id + 5.0 + text::width(&ends(book, wire), 9.5, false)
}

/// The box of one harness.
fn block(book: &Book, name: &str, wires: &[WireId], column: f64, y: f64, right: f64, height: f64) -> Group {
    let mut group = Group::new()
        .set("class", "harness")
        .add(
            Rectangle::new()
                .set("x", number(MARGIN))
                .set("y", number(y))
                .set("width", number(right - MARGIN))
                .set("height", number(height)),
        )
        .add(Text::new(name).set("class", "title").set("x", number(MARGIN + 8.0)).set("y", number(y + 17.0)));
    let per_column = wires.len().div_ceil(COLUMNS);
    for (at, &id) in wires.iter().enumerate() {
        let wire = book.wire(id);
        let x = MARGIN + 14.0 + (at / per_column) as f64 * column;
        let base = y + HEAD + (at % per_column) as f64 * LINE + 11.0;
        group = group.add(Blob::new(swatch(x, base - 3.5, &wire.color)));
        let after = x + 13.0 + text::width(&wire.id, 10.5, true);
        group = group
            .add(
                Text::new(wire.id.as_str())
                    .set("class", "id")
                    .set("data-label-wire", wire.id.as_str())
                    .set("x", number(x + 8.0))
                    .set("y", number(base)),
            )
            .add(
                Text::new(ends(book, id))
                    .set("class", "value")
                    .set("x", number(after))
                    .set("y", number(base)),
            );
    }
    group
}

/// The connectors from the innermost track outwards: the ones between near neighbors first.
fn tracks(book: &Book) -> Vec<usize> {
    let mut all: Vec<usize> = (0..book.connectors.len()).collect();
    all.sort_by_key(|&at| {
        let [a, b] = book.connectors[at].joins;
        (a.index().abs_diff(b.index()), at)
    });
    all
}

/// The connectors of a harness from top to bottom, so that their lines do not cross: what leads up, the innermost first,
/// then what leads down, the outermost first.
fn stubs(book: &Book, tracks: &[usize], harness: usize) -> Vec<usize> {
    let other = |at: usize| {
        let [a, b] = book.connectors[at].joins.map(HarnessId::index);
        if a == harness { b } else { a }
    };
    let own = || {
        let joins = |at: &usize| book.connectors[*at].joins.contains(&HarnessId(harness as u32));
        tracks.iter().copied().filter(joins)
    };
    let up = own().filter(|&at| other(at) < harness);
    let down = own().rev().filter(|&at| other(at) >= harness);
    up.chain(down).collect()
}

/// A connector's line between the boxes of its two harnesses.
fn connection(
    book: &Book,
    connector: usize,
    track: usize,
    stubs: &[Vec<usize>],
    tops: &[f64],
    right: f64,
) -> Group {
    let held = &book.connectors[connector];
    let x = right + TRACK * (track + 1) as f64 - 12.0;
    let height = |harness: HarnessId| {
        let at = stubs[harness.index()].iter().position(|&stub| stub == connector).unwrap_or(0);
        tops[harness.index()] + 18.0 + at as f64 * STUB
    };
    let mut heights = held.joins.map(height);
    heights.sort_by(f64::total_cmp);
    let data = format!(
        "M{} {}H{}V{}H{}",
        number(right),
        number(heights[0]),
        number(x),
        number(heights[1]),
        number(right)
    );
    let mut group = Group::new()
        .set("class", "connector")
        .set("data-connector", held.id.as_str())
        .add(Path::new().set("d", data));
    for y in heights {
        let label = Text::new(held.id.as_str())
            .set("class", "id")
            .set("data-label-connector", held.id.as_str())
            .set("x", number(x - 4.0))
            .set("y", number(y - 3.0))
            .set("text-anchor", "end");
        group = group.add(label);
    }
    group
}

fn in_words(say: Say) -> String {
    let book = say.book;
    let connectors = book.connectors.iter().enumerate().map(|(at, connector)| {
        let [a, b] = connector.joins.map(|harness| &*book.harnesses[harness.index()].name);
        let name = say.item(Item::Connector(ConnectorId(at as u32)));
        let wires = connector.cavities.len().to_string();
        say.words.fill("described.joins", &[("connector", &name), ("a", a), ("b", b), ("wires", &wires)])
    });
    connectors.collect::<Vec<_>>().join(" ")
}
