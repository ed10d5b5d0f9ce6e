//! Turns a circuit and a state into placed symbols and paths, and those into SVG; it solves nothing and writes no page.
//! Whatever is in words is said by the [`Say`] that it is given, in the language of that.
//!
//! ```text
//! collect ─> contract ─> strand ─> puzzle ─> order ─> compose (label, symbol, cut, stack, place) ─> Scene ─> strip ─> svg, describe
//!    └ rank                                                                                           State ┘
//! ```
//!
//! The trade form: supply at the top, ground points at the bottom, one vertical *current path* per branch with a number
//! below it, relays with coil and contacts apart (IEC 61082), symbols after IEC 60617. What is left when chains of parts have
//! become paths is a graph of bars and paths, drawn as a bar-visibility representation: all conductors are straight.

mod cell;
mod chart;
mod collect;
mod compose;
mod composition;
mod contract;
mod cut;
mod describe;
mod face;
mod key;
mod label;
mod order;
mod overview;
mod place;
mod print;
mod puzzle;
mod rank;
mod scene;
mod share;
mod sheet;
mod sift;
mod stack;
mod state;
mod strand;
mod strip;
mod style;
mod svg;
mod symbol;
mod text;

pub use chart::{ground_chart, splice_chart};
pub use describe::describe;
pub use face::connector_face;
pub use overview::harness_overview;
pub use puzzle::{Extent, Order, Puzzle};
pub use scene::{
    Bar, Boundary, Column, Frame, Label, Lead, Line, Owner, Placed, Run, Scene, Shown, Spot, Stacked, Style,
};
pub use state::{Along, Current, Flow, Mark, State};
pub use strip::{Strip, Tap};
pub use style::STYLE;
pub use svg::{Use, svg};
pub use symbol::{Stroke, Symbol, all as symbols};

use crate::book::{Book, BuildId, PartId, Say, SheetId, WireId};
use std::collections::BTreeSet;

/// Which drawing is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct View {
    pub sheet: SheetId,
    /// One build, or all of them in one drawing with option marks.
    pub build: Option<BuildId>,
}

impl View {
    /// Whether something with this list of builds belongs into the drawing.
    fn fits(&self, fitted: &[bool]) -> bool {
        match self.build {
            Some(build) => fitted[build.index()],
            None => fitted.contains(&true),
        }
    }
}

/// What a drawing shows of a circuit where that is not all.
#[derive(Debug, Clone, Default)]
pub struct Excerpt {
    pub wires: BTreeSet<WireId>,
    pub parts: BTreeSet<PartId>,
}

/// The drawing of a circuit: as many scenes as it takes sheets.
pub fn scenes(say: Say, view: View) -> Vec<Scene> {
    scenes_of(say, view, None)
}

/// The drawing of an excerpt from a circuit, with everything as high up as it stands in the whole.
pub fn excerpt(say: Say, view: View, excerpt: &Excerpt) -> Vec<Scene> {
    scenes_of(say, view, Some(excerpt))
}

fn scenes_of(say: Say, view: View, excerpt: Option<&Excerpt>) -> Vec<Scene> {
    let book = say.book;
    let vehicle = rank::Vehicle::new(book, view);
    let circuit = collect::collect(book, view, &vehicle, excerpt);
    let net = contract::contract(&circuit);
    let columns = strand::columns(&net);
    let order = puzzle::puzzle(book, view, &circuit, &net, &columns).solve();
    compose::compose(say, view, &vehicle, &circuit, &net, &columns, &order)
}

/// The order problem behind a drawing, for a check of how well it was solved.
pub fn puzzle(book: &Book, view: View) -> Puzzle {
    let vehicle = rank::Vehicle::new(book, view);
    let circuit = collect::collect(book, view, &vehicle, None);
    let net = contract::contract(&circuit);
    puzzle::puzzle(book, view, &circuit, &net, &strand::columns(&net))
}
