//! Turns an instrument on two points into the load that it is, and its current into what it shows.

use super::element::filament;
use super::shine;
use super::state::Bench;
use super::{Seen, read::Reading};
use crate::book::{Instrument, Point, WireId};
use crate::quantity::{Amount, Dimension};
use crate::solve::{Attachment, Element, NodeId};

/// Test light: a 12 V, 3 W filament, 0.25 A (common practice, from memory: 0.2 to 0.3 A; an engine maker's manual asks for
/// less than 0.3 A).
pub const TEST_LIGHT_VOLTS: f64 = 12.0;
pub const TEST_LIGHT_WATTS: f64 = 3.0;

/// Continuity light: two cells of 1.5 V and a lamp of their voltage (common practice, no source).
const CELL_VOLTS: f64 = 3.0;
const CELL_LAMP_OHMS: f64 = 12.0;

/// Input resistance of a digital and an analog voltmeter (common practice, from memory: 10 Mohm; 20 kohm/V on a 15 V range).
pub const DIGITAL_OHMS: f64 = 10e6;
pub const ANALOG_OHMS: f64 = 300e3;

/// Ohmmeter: a source of this voltage behind this resistance, so that it puts at most a milliampere through the circuit
/// and does not open a junction (common practice, no source).
const OHMMETER_VOLTS: f64 = 0.3;
const OHMMETER_OHMS: f64 = 300.0;

/// Resistance of an ammeter's shunt and leads, and of a jumper (common practice, no source).
pub const AMMETER_OHMS: f64 = 0.01;
pub const JUMPER_OHMS: f64 = 0.01;

/// The fuse of a fused jumper and of an ammeter's input, in amperes (common practice, no source).
pub const TOOL_FUSE_AMPS: f64 = 10.0;

/// Readings above this are an open circuit to an ohmmeter.
const OPEN_OHMS: f64 = 20e6;

/// An instrument in place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tool {
    pub instrument: Instrument,
    /// Where its leads are; a clamp and an ammeter in a wire have none.
    pub leads: Option<(Point, Point)>,
    pub attachment: Option<Attachment>,
    /// The wire that an ammeter or clamp is in.
    pub wire: Option<WireId>,
    /// Volts between its points before it was put there, for one with a cell of its own; else 0.
    pub live: f64,
}

/// The load that an instrument is between two nodes; none for a clamp, and an ammeter goes into a wire instead.
pub(super) fn load(instrument: Instrument, a: NodeId, b: NodeId) -> Option<Element> {
    let branch = |ohms: f64, emf: f64| Some(Element::Branch { a, b, conductance: 1.0 / ohms, emf });
    match instrument {
        Instrument::TestLight => Some(filament(a, b, TEST_LIGHT_VOLTS, TEST_LIGHT_WATTS)),
        Instrument::ContinuityLight => branch(CELL_LAMP_OHMS, CELL_VOLTS),
        Instrument::Voltmeter => branch(DIGITAL_OHMS, 0.0),
        Instrument::AnalogVoltmeter => branch(ANALOG_OHMS, 0.0),
        Instrument::Ohmmeter => branch(OHMMETER_OHMS, OHMMETER_VOLTS),
        Instrument::Jumper => branch(JUMPER_OHMS, 0.0),
        Instrument::FusedJumper | Instrument::Ammeter => branch(AMMETER_OHMS, 0.0),
        Instrument::Clamp => None,
    }
}

/// What a meter still shows, in volts, amperes or ohms (common practice, no source: shop meters end at tenths of a millivolt);
/// below it is the rounding of the arithmetic.
const RESOLVED: f64 = 1e-6;

impl Bench<'_> {
    /// The tool of this kind, if it is in place.
    pub(super) fn tool(&self, instrument: Instrument) -> Option<&Tool> {
        self.tools.iter().find(|tool| tool.instrument == instrument)
    }

    /// Amperes through a tool.
    pub(super) fn tool_amps(&self, tool: &Tool) -> f64 {
        match (tool.attachment, tool.wire) {
            (Some(attachment), _) => self.point().amps_of(attachment),
            (None, Some(wire)) => {
                self.rig.runs[wire.index()].map_or(0.0, |run| self.point().amps(run.halves[0]))
            }
            (None, None) => 0.0,
        }
    }

    /// How a light looks; off for what is no light.
    pub(super) fn tool_seen(&self, tool: &Tool) -> Seen {
        let amps = self.tool_amps(tool).abs();
        let strength = match tool.instrument {
            // A filament's current follows the 0.55th power of its voltage.
            Instrument::TestLight => {
                let rated = TEST_LIGHT_WATTS / TEST_LIGHT_VOLTS;
                shine::lamp((amps / rated).powf(1.0 / 0.55))
            }
            Instrument::ContinuityLight => shine::lamp(amps * CELL_LAMP_OHMS / CELL_VOLTS),
            _ => crate::book::Strength::Off,
        };
        Seen { strength, backwards: false }
    }

    /// The number that a meter shows.
    pub(super) fn tool_number(&self, tool: &Tool) -> Reading {
        let amps = self.tool_amps(tool);
        let (value, dimension) = match tool.instrument {
            Instrument::Voltmeter => (amps * DIGITAL_OHMS, Dimension::Potential),
            Instrument::AnalogVoltmeter => (amps * ANALOG_OHMS, Dimension::Potential),
            Instrument::Ohmmeter => {
                let ohms = OHMMETER_VOLTS / amps - OHMMETER_OHMS;
                let open = amps <= 0.0 || ohms > OPEN_OHMS;
                (if open { f64::INFINITY } else { ohms.max(0.0) }, Dimension::Resistance)
            }
            _ => (amps, Dimension::Current),
        };
        let value = if value.abs() < RESOLVED { 0.0 } else { value };
        Reading::Number(Amount::base(value, dimension))
    }
}
