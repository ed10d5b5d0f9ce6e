//! What of a build hands, coils, heat or time move, and what a person sees of it, each with its element of the network.

use super::gate::Gate;
use crate::book::{BulbOut, Effect, Face, PartId, Protection};
use crate::solve::{ElementId, NodeId};

/// A contact and what closes it.
#[derive(Debug, Clone)]
pub struct Contact {
    pub part: PartId,
    pub element: usize,
    pub id: ElementId,
    pub closed: f64,
    pub gate: Gate,
}

/// A relay state with its windings.
#[derive(Debug, Clone)]
pub struct Relay {
    pub part: PartId,
    pub state: usize,
    pub latching: bool,
    pub drop_out: f64,
    pub coils: Vec<(ElementId, Effect, f64)>,
}

/// A fuse, fusible link or breaker.
#[derive(Debug, Clone, Copy)]
pub struct ProtectiveLink {
    pub part: PartId,
    pub element: usize,
    pub id: ElementId,
    pub rating: f64,
    pub conductance: f64,
    pub protection: Protection,
}

/// A flasher unit's own contact.
#[derive(Debug, Clone, Copy)]
pub struct Flasher {
    pub part: PartId,
    pub element: usize,
    pub id: ElementId,
    pub conductance: f64,
    pub per_minute: f64,
    pub share: f64,
    pub bulb_out: Option<BulbOut>,
}

/// A source whose electromotive force depends on the corner or on a condition.
#[derive(Debug, Clone)]
pub struct Source {
    pub id: ElementId,
    pub part: PartId,
    pub element: usize,
    /// Volts; of the vehicle's own supply, the share of the corner's voltage that it gives.
    pub emf: f64,
    pub conductance: f64,
    /// A regulated source's condition; the vehicle's own supply has none and takes the corner's voltage.
    pub gate: Option<Gate>,
    /// The node that must be live for a regulated source to give anything.
    pub field: Option<NodeId>,
}

/// A resistor that follows a control.
#[derive(Debug, Clone)]
pub struct Follower {
    pub id: ElementId,
    pub part: PartId,
    pub element: usize,
    pub control: usize,
    pub points: Vec<(f64, f64)>,
}

/// A capacitor, charged and discharged through a small resistance.
#[derive(Debug, Clone, Copy)]
pub struct Store {
    pub id: ElementId,
    pub farads: f64,
}

/// Something a person can see or hear.
#[derive(Debug, Clone)]
pub struct Sight {
    pub part: PartId,
    pub element: usize,
    pub id: ElementId,
    pub a: NodeId,
    pub b: NodeId,
    pub face: Face,
    /// What its share of full is measured against: rated volts, or rated amperes for an LED.
    pub rated: f64,
    pub by_current: bool,
}
