//! Turns the states that a healthy vehicle passes through into frames, and says which faults would have changed one.

use super::rig::Rig;
use super::state::Bench;
use crate::book::{Fault, Item, Mode, PartId, TerminalId};
use crate::solve::{ElementId, NodeId, Point};

/// One state at rest of a walk.
#[derive(Debug, Clone)]
pub struct Frame {
    point: Point,
    states: Vec<bool>,
}

/// Below this current an element can be opened, and below this voltage two points can be joined, and nothing that can be
/// seen, heard or measured changes: in amperes and volts.
const UNTOUCHED: f64 = 1e-6;

impl Bench<'_> {
    /// Keeps every state at rest from now on.
    pub fn open_album(&mut self) {
        self.album = Some(vec![self.frame()]);
    }

    /// The states since the album was opened.
    pub fn close_album(&mut self) -> Vec<Frame> {
        self.album.take().unwrap_or_default()
    }

    /// The state that the vehicle rests in.
    pub fn frame(&self) -> Frame {
        Frame { point: self.point().clone(), states: self.states.clone() }
    }
}

impl Frame {
    /// Whether any terminal of a part carries current.
    pub fn flows_through(&self, rig: &Rig, part: PartId) -> bool {
        rig.pins[part.index()].iter().any(|pin| self.point.amps(pin.joint).abs() > UNTOUCHED)
    }

    /// Whether there is a voltage between terminals of a part.
    pub fn stands_across(&self, rig: &Rig, part: PartId) -> bool {
        rig.pins[part.index()].windows(2).any(|pair| {
            self.point.island(pair[0].part) == self.point.island(pair[1].part)
                && self.point.volts_between(pair[0].part, pair[1].part).abs() > UNTOUCHED
        })
    }

    /// Whether a fault would change this state of a healthy vehicle. No current through what opens, or no voltage across
    /// what is joined, means that the state solves the faulty network as well; the answer errs on the side of yes.
    pub fn is_touched_by(&self, rig: &Rig, fault: &Fault) -> bool {
        let carries = |id: ElementId| self.point.amps(id).abs() > UNTOUCHED;
        let differs = |a: NodeId, b: NodeId| {
            self.point.island(a) == self.point.island(b) && self.point.volts_between(a, b).abs() > UNTOUCHED
        };
        let across = |id: ElementId| {
            let (a, b) = rig.ends[id.0 as usize];
            differs(a, b)
        };
        match fault.item {
            Item::Wire(wire) => {
                let Some(run) = rig.runs[wire.index()] else {
                    return false;
                };
                match fault.mode {
                    Mode::WireToGround => differs(run.middle, NodeId::REFERENCE),
                    Mode::WireToWire(other) => {
                        rig.runs[other.index()].is_some_and(|other| differs(run.middle, other.middle))
                    }
                    _ => run.halves.into_iter().any(carries),
                }
            }
            Item::Connector(connector) => {
                let mates = rig.mates[connector.index()].iter().enumerate();
                let open = |cavity: usize| match fault.mode {
                    Mode::CavityOpen(only) => only as usize == cavity,
                    _ => true,
                };
                mates
                    .filter(|(cavity, _)| open(*cavity))
                    .any(|(_, mate)| mate.is_some_and(|mate| carries(mate.joint)))
            }
            Item::Part(part) => {
                let id = |element: usize| rig.elements[part.index()].get(element).copied();
                match fault.mode {
                    Mode::ElementOpen(element) | Mode::ElementHigh(element, _) | Mode::Seized(element) => {
                        id(element).is_some_and(carries)
                    }
                    Mode::ElementShorted(element) | Mode::ContactStuck(element) => {
                        id(element).is_some_and(across)
                    }
                    Mode::Reversed(element) => id(element).is_some_and(|id| carries(id) || across(id)),
                    Mode::StuckOut(state) => rig.relay(part, state).is_some_and(|relay| self.states[relay]),
                    Mode::StuckIn(state) => rig.relay(part, state).is_some_and(|relay| !self.states[relay]),
                    Mode::PinOpen(TerminalId(terminal)) => {
                        rig.pins[part.index()].get(terminal as usize).is_some_and(|pin| carries(pin.joint))
                    }
                    Mode::GroundLost => rig.bonds[part.index()].is_some_and(carries),
                    _ => true,
                }
            }
        }
    }
}
