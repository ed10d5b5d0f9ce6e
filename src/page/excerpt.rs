//! Turns what a procedure touches into its wiring excerpt: the circuit's drawing with nothing else in it, and its test points.

use super::kit::Kit;
use crate::book::{Book, ConnectorId, End, Item, Point, SheetId, WireId};
use crate::draw::{self, Excerpt, State, Use, View};
use std::collections::BTreeSet;

/// What a procedure's lines touch, look at or blame, and where its leads are put, each point with its mark.
#[derive(Debug, Clone, Default)]
pub struct Touched {
    pub things: BTreeSet<Item>,
    pub points: Vec<(String, Point)>,
}

/// The excerpt as SVG; the whole drawing for a checkout, whose steps touch nothing but controls.
pub fn svg(kit: &Kit, sheet: Option<SheetId>, touched: &Touched) -> String {
    let Some(sheet) = sheet else {
        return String::new();
    };
    let state = State { points: touched.points.clone(), ..State::default() };
    if touched.things.is_empty() {
        return kit.drawings.svg(kit.say(), sheet, None, Use::Still);
    }
    let scenes = draw::excerpt(kit.say(), View { sheet, build: None }, &around(kit.book, sheet, touched));
    let marked = (!state.points.is_empty()).then_some(&state);
    scenes.iter().map(|scene| draw::svg(kit.say(), scene, marked, Use::Still)).collect()
}

/// What an excerpt shows: all that is touched, the wires at it, and the parts that these reach.
fn around(book: &Book, sheet: SheetId, touched: &Touched) -> Excerpt {
    let has = |thing: Item| touched.things.contains(&thing);
    let parts = touched.things.iter().filter_map(|thing| match thing {
        Item::Part(part) => Some(*part),
        _ => None,
    });
    let mut shown = Excerpt { wires: BTreeSet::new(), parts: parts.collect() };
    for (index, wire) in book.wires.iter().enumerate() {
        let id = WireId(index as u32);
        let at_touched = wire.ends.iter().any(|end| match *end {
            End::Terminal { part, .. } => has(Item::Part(part)),
            End::Cavity { connector, cavity, .. } => probed(touched, connector, cavity),
        });
        if has(Item::Wire(id)) || (wire.sheet == sheet && at_touched) {
            shown.wires.insert(id);
            shown.parts.extend(wire.ends.iter().filter_map(|end| match *end {
                End::Terminal { part, .. } => Some(part),
                End::Cavity { .. } => None,
            }));
        }
    }
    shown
}

/// Whether an instrument is put on this cavity.
fn probed(touched: &Touched, connector: ConnectorId, cavity: u16) -> bool {
    let here = |point: Point| matches!(point, Point::Cavity { connector: of, cavity: at, .. } if (of, at) == (connector, cavity));
    touched.points.iter().any(|(_, point)| here(*point))
}
