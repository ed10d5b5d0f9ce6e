//! A lab as plain data: the states that were computed, what is seen in each, and what hands make of it.

use super::table::View;
use crate::bench::{HarmKind, Reading};
use crate::book::{Act, BuildId, ControlId, FaultId, PageId, Place, Point, Setting, Subject};

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

/// A fault, the step that shows it, the procedure that it leads to, and the tests of the proven way.
pub type Found = (FaultId, Place, Place, Vec<Place>);
