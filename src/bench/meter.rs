//! Turns the current through an instrument into the light or the number that it shows.

use super::instrument::*;
use super::reading::{Reading, Seen};
use super::shine;
use super::state::Bench;
use crate::book::{Instrument, Strength};
use crate::quantity::{Amount, Dimension};
use crate::solve::NodeId;
use std::collections::BTreeMap;

/// Readings above this are an open circuit to an ohmmeter.
const OPEN_OHMS: f64 = 20e6;

/// What a meter still shows, in volts, amperes or ohms (common practice, no source: shop meters end at tenths of a millivolt);
/// below it is the rounding of the arithmetic.
const RESOLVED: f64 = 1e-6;

/// From this conductance on, in siemens, a conductor is held firmly: a voltmeter of 10 Mohm changes its voltage by a hundredth.
const FIRM: f64 = 1e-5;

/// The share of its voltage, and the volts, that a conductor may lose to a voltmeter for that voltage to be told at all.
const LOSES: (f64, f64) = (0.1, 0.1);

impl Bench<'_> {
    /// The voltage of each node against the body, as an instrument would bear it out: none where nothing holds the conductor,
    /// or so little (a blocked diode's leak) that a voltmeter pulls it down.
    pub fn told_volts(&self) -> Vec<Option<f64>> {
        let point = self.point();
        let groups = point.joined_by(FIRM);
        let body = groups[NodeId::REFERENCE.0 as usize];
        let mut tried: BTreeMap<u32, bool> = BTreeMap::new();
        let mut bears = |node: NodeId| {
            let metered = || {
                let mut solver = self.solver.clone();
                solver.attach(load(Instrument::Voltmeter, node, NodeId::REFERENCE)?);
                solver.solve().ok()?;
                let lost = (solver.point().volts(node) - point.volts(node)).abs();
                Some(lost <= (LOSES.0 * point.volts(node).abs()).max(LOSES.1))
            };
            *tried.entry(groups[node.0 as usize]).or_insert_with(|| metered().unwrap_or(false))
        };
        let nodes = (0..groups.len() as u32).map(NodeId);
        let told = nodes.map(|node| {
            let holds = groups[node.0 as usize] == body || !point.floating(node) && bears(node);
            holds.then(|| point.volts(node))
        });
        told.collect()
    }

    /// The tool of this kind, if it is in place.
    pub(super) fn tool(&self, instrument: Instrument) -> Option<&Tool> {
        self.tools.iter().find(|tool| tool.instrument == instrument)
    }

    /// Amperes through a tool.
    pub(super) fn tool_amps(&self, tool: &Tool) -> f64 {
        match (tool.attachment, tool.wire) {
            (Some(attachment), _) => self.point().amps_of(attachment),
            (None, Some((wire, toward))) => {
                let amps = self.rig.runs[wire.index()].map_or(0.0, |run| self.point().amps(run.halves[0]));
                match toward {
                    Some(0) => -amps,
                    Some(_) => amps,
                    None => amps.abs(),
                }
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
            _ => Strength::Off,
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
