//! Turns a checkout and its faults into what a student finds who works on such a vehicle: every state that was computed, what is
//! seen in it and what instruments show, as plain data. What was not computed is not there, and nothing stands in for it.
//!
//! ```text
//! checkout ─> walk of the healthy vehicle ─┬─> shared nodes
//! each fault, planted ─────────────────────┴─> its own nodes from where it first matters, on through its procedure, and
//!                                              what leads and lights find in shared ones that it does not matter in yet
//! ```

mod broken;
mod explore;
mod healthy;
mod stand;
mod table;

pub use table::{Level, Levels, PATIENCE, View};

use crate::bench::{HarmKind, Reading, Rig};
use crate::book::{Act, Book, BuildId, ControlId, FaultId, PageId, Place, Point, Setting, Subject, Target};
use crate::proof::coverage::Showing;
use crate::proof::live::Live;
use crate::proof::trouble::{End, names, target};
use crate::proof::{Proof, corners::middle, rigs, steps};
use rayon::prelude::*;

/// A vehicle to find faults in.
#[derive(Debug, Clone)]
pub struct Lab {
    /// The checkout.
    pub page: PageId,
    pub build: BuildId,
    /// The controls that are worked, each with its settings, rest first.
    pub controls: Vec<(ControlId, Vec<Setting>)>,
    /// Everything that hands can do here; the controls' settings first.
    pub moves: Vec<Act>,
    pub faces: Vec<Subject>,
    /// Where leads can be put.
    pub points: Vec<Point>,
    /// Placements of instruments that procedures ask for: [`Looks::probes`] refers to them.
    pub probes: Vec<Act>,
    /// Distinct views: what is seen, and what instruments show.
    pub views: Vec<View>,
    /// The healthy vehicle's states; the first is at rest.
    pub shared: Vec<Node>,
    pub planted: Vec<Planted>,
}

/// How many of a lab's moves set a control; they come first.
pub fn sets(moves: &[Act]) -> usize {
    let sets = moves.iter();
    sets.take_while(|act| matches!(act, Act::Set { .. })).count()
}

/// One state of a vehicle, and what hands make of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    pub looks: Looks,
    pub edges: Vec<Edge>,
}

/// What is seen and read in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct Looks {
    /// The index in [`Lab::views`].
    pub view: usize,
    /// What a probe of [`Lab::probes`] reads here.
    pub probes: Vec<(usize, Reading)>,
}

/// A hand's effect.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// The index in [`Lab::moves`].
    pub by: usize,
    /// The node that it leads to; of a fault's edges, its own nodes follow the shared ones. None where the fault makes a
    /// difference that was not computed.
    pub to: Option<usize>,
    /// What the hand harms.
    pub harms: Vec<HarmKind>,
    /// A machine begins to move at the touch of a hand that is no control's.
    pub moves: bool,
}

/// A fault in the lab.
#[derive(Debug, Clone)]
pub struct Planted {
    pub fault: FaultId,
    /// The node at rest.
    pub start: usize,
    /// The step that shows it first, and the procedure that it leads to.
    pub step: Place,
    pub procedure: Place,
    /// The tests of the proven way, in order.
    pub route: Vec<Place>,
    /// Edges of shared nodes that the fault changes or adds.
    pub changed: Vec<(usize, Edge)>,
    /// Shared nodes in which instruments can tell this vehicle from a healthy one, though eyes cannot.
    pub differs: Vec<(usize, Looks)>,
    /// Its own nodes.
    pub nodes: Vec<Node>,
}

/// The lab of each sheet's checkout, in the build with the most faults to find.
pub fn labs(book: &Book, proof: &Proof, live: &[Live]) -> Vec<Lab> {
    let rigs = rigs(book);
    let pages = steps::checkouts(book);
    pages
        .par_iter()
        .filter_map(|&page| {
            let sheet = book.page(page).sheet?;
            let live = live.iter().find(|live| live.sheet == sheet)?;
            let findable = |rig: &&Rig| {
                let here = proof.faults.iter();
                here.filter(|showing| showing.page == page && showing.build == rig.build)
                    .filter_map(|showing| route(book, showing))
                    .count()
            };
            // The first of those with the most: a maximum takes the last.
            let rig = rigs.iter().rev().max_by_key(findable)?;
            explore::lab(book, proof, rig, page, live)
        })
        .collect()
}

/// The proven way of a fault of the sheet's own items: step, procedure and tests; none when it leads to no right verdict.
fn route(book: &Book, showing: &Showing) -> Option<(Place, Place, Vec<Place>)> {
    let fault = book.fault(showing.fault);
    if book.page(showing.page).sheet != Some(book.item_sheet(fault.item)) {
        return None;
    }
    let shown = showing.shown.as_ref()?;
    let walk = shown.walk.as_ref()?;
    let End::At { place, outcome } = walk.end else {
        return None;
    };
    let Target::Verdict { blames, .. } = target(book, place, outcome) else {
        return None;
    };
    names(book, blames, fault).then(|| {
        let trail = walk.trail.iter().map(|taken| taken.place).collect();
        (shown.step, shown.procedure.unwrap_or(shown.step), trail)
    })
}

/// The corner at which a lab's vehicles stand.
fn corner(book: &Book) -> crate::bench::Corner {
    middle(book)
}
