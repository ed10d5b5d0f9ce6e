//! Turns what a procedure touches into its wiring excerpt: the circuit's drawing with nothing else in it, and its test points.

use super::address::Thing;
use super::kit::Kit;
use crate::book::{Book, End, Point, SheetId};
use crate::draw::{self, State, Use, View};
use std::collections::BTreeSet;

/// What a procedure's lines touch, look at or blame, and where its leads are put, each point with its mark.
#[derive(Debug, Clone, Default)]
pub struct Touched {
    pub things: BTreeSet<Thing>,
    pub points: Vec<(String, Point)>,
}

/// The excerpt as SVG; the whole drawing for a checkout, whose steps touch nothing but controls.
pub fn svg(kit: &Kit, sheet: Option<SheetId>, touched: &Touched) -> String {
    let Some(sheet) = sheet else {
        return String::new();
    };
    let state = State {
        points: touched.points.clone(),
        ..State::default()
    };
    if touched.things.is_empty() {
        return kit.drawings.svg(kit.book, sheet, None, Use::Still);
    }
    let book = reduced(kit.book, sheet, touched);
    let scenes = draw::excerpt(kit.book, &book, View { sheet, build: None });
    let marked = (!state.points.is_empty()).then_some(&state);
    scenes
        .iter()
        .map(|scene| draw::svg(&book, scene, marked, Use::Still))
        .collect()
}

/// The book with only those wires and parts fitted that an excerpt shows: all that is touched, the wires at it, and the
/// parts that these reach.
fn reduced(book: &Book, sheet: SheetId, touched: &Touched) -> Book {
    let mut book = book.clone();
    let has = |thing: Thing| touched.things.contains(&thing);
    let mut reached: BTreeSet<Thing> = touched.things.clone();
    for (index, wire) in book.wires.iter_mut().enumerate() {
        let id = crate::book::WireId(index as u32);
        let at_touched = wire.ends.iter().any(|end| match *end {
            End::Terminal { part, .. } => has(Thing::Part(part)),
            End::Cavity {
                connector, cavity, ..
            } => probed(touched, connector, cavity),
        });
        if has(Thing::Wire(id)) || (wire.sheet == sheet && at_touched) {
            for end in wire.ends {
                reached.insert(match end {
                    End::Terminal { part, .. } => Thing::Part(part),
                    End::Cavity { connector, .. } => Thing::Connector(connector),
                });
            }
        } else {
            wire.fitted.iter_mut().for_each(|fitted| *fitted = false);
        }
    }
    for (index, part) in book.parts.iter_mut().enumerate() {
        if !reached.contains(&Thing::Part(crate::book::PartId(index as u32))) {
            part.fitted.iter_mut().for_each(|fitted| *fitted = false);
        }
    }
    book
}

/// Whether an instrument is put on this cavity.
fn probed(touched: &Touched, connector: crate::book::ConnectorId, cavity: u16) -> bool {
    let here = |point: Point| matches!(point, Point::Cavity { connector: of, cavity: at, .. } if (of, at) == (connector, cavity));
    touched.points.iter().any(|(_, point)| here(*point))
}
