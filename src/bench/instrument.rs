//! Turns an instrument on two points into the load that it is.

use super::element::filament;
use crate::book::{Instrument, Point, WireId};
use crate::solve::{Attachment, Element, NodeId};

/// Test light: a 12 V, 3 W filament, 0.25 A (common practice, from memory: 0.2 to 0.3 A; an engine maker's manual asks for
/// less than 0.3 A).
pub const TEST_LIGHT_VOLTS: f64 = 12.0;
pub const TEST_LIGHT_WATTS: f64 = 3.0;

/// Continuity light: two cells of 1.5 V and a lamp of their voltage (common practice, no source).
pub const CELL_VOLTS: f64 = 3.0;
pub const CELL_LAMP_OHMS: f64 = 12.0;

/// Input resistance of a digital and an analog voltmeter (common practice, from memory: 10 Mohm; 20 kohm/V on a 15 V range).
pub const DIGITAL_OHMS: f64 = 10e6;
pub const ANALOG_OHMS: f64 = 300e3;

/// Ohmmeter: a source of this voltage behind this resistance, so that it puts at most a milliampere through the circuit
/// and does not open a junction (common practice, no source).
pub const OHMMETER_VOLTS: f64 = 0.3;
pub const OHMMETER_OHMS: f64 = 300.0;

/// Resistance of an ammeter's shunt and leads, and of a jumper (common practice, no source).
pub const AMMETER_OHMS: f64 = 0.01;
pub const JUMPER_OHMS: f64 = 0.01;

/// The fuse of a fused jumper and of an ammeter's input, in amperes (common practice, no source).
pub const TOOL_FUSE_AMPS: f64 = 10.0;

/// An instrument in place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tool {
    pub instrument: Instrument,
    /// Where its leads are; a clamp and an ammeter in a wire have none.
    pub leads: Option<(Point, Point)>,
    pub attachment: Option<Attachment>,
    /// The wire that an ammeter or clamp is in, and the end toward which it counts current as positive; without one it is read
    /// whichever way it flows.
    pub wire: Option<(WireId, Option<u8>)>,
    /// Volts between its points before it was put there, for one with a cell of its own; else 0.
    pub live: f64,
}

/// The load that an instrument is between two nodes; none for a clamp, and an ammeter goes into a wire instead.
pub(super) fn load(instrument: Instrument, a: NodeId, b: NodeId) -> Option<Element> {
    let branch = |ohms: f64| Some(Element::Branch { a, b, conductance: 1.0 / ohms, emf: 0.0 });
    // A source's plus is at its second node: the first lead is the positive one, as a voltmeter's is.
    let cell = |ohms: f64, emf: f64| Some(Element::Branch { a: b, b: a, conductance: 1.0 / ohms, emf });
    match instrument {
        Instrument::TestLight => Some(filament(a, b, TEST_LIGHT_VOLTS, TEST_LIGHT_WATTS)),
        Instrument::ContinuityLight => cell(CELL_LAMP_OHMS, CELL_VOLTS),
        Instrument::Voltmeter => branch(DIGITAL_OHMS),
        Instrument::AnalogVoltmeter => branch(ANALOG_OHMS),
        Instrument::Ohmmeter => cell(OHMMETER_OHMS, OHMMETER_VOLTS),
        Instrument::Jumper => branch(JUMPER_OHMS),
        Instrument::FusedJumper | Instrument::Ammeter => branch(AMMETER_OHMS),
        Instrument::Clamp => None,
    }
}
