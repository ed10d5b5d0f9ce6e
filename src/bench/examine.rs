//! Turns a state of the vehicle into what is being harmed: fuses, wires, instruments; and what moves.

use super::blow::NEVER;
use super::instrument::TOOL_FUSE_AMPS;
use super::state::Bench;
use crate::book::{Act, Face, Instrument, PartId, Strength, WireId};

/// One thing that takes harm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Harm {
    pub kind: HarmKind,
    /// Amperes, or volts for an ohmmeter on a live circuit.
    pub measure: f64,
    /// What it can bear, in the same unit.
    pub limit: f64,
}

/// What takes harm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HarmKind {
    Fuse(PartId),
    Wire(WireId),
    Tool(Instrument),
    /// An ohmmeter or continuity light on a circuit with voltage of its own.
    Live(Instrument),
}

/// Volts between two points above which an instrument with its own cell must not be put there: more than a meter's
/// own test voltage, less than any working circuit (common practice, no source).
const LIVE_VOLTS: f64 = 0.5;

impl Bench<'_> {
    /// All that takes harm as the vehicle stands. A starter draws more than its cable bears for minutes, and may: cables
    /// count as overloaded above [`CRANKING`] times their continuous load.
    pub fn examine(&self) -> Vec<Harm> {
        let mut harms = Vec::new();
        let point = self.point();
        for (state, link) in self.links.iter().zip(&self.rig.links) {
            if state.open || state.share > NEVER {
                let amps = if state.open { f64::INFINITY } else { state.share * link.rating };
                harms.push(Harm { kind: HarmKind::Fuse(link.part), measure: amps, limit: link.rating });
            }
        }
        for (index, run) in self.rig.runs.iter().enumerate() {
            let Some(run) = run else { continue };
            let wire = WireId(index as u32);
            let amps = point.amps(run.halves[0]).abs().max(point.amps(run.halves[1]).abs());
            let limit = CRANKING * run.bears;
            if amps > limit {
                harms.push(Harm { kind: HarmKind::Wire(wire), measure: amps, limit });
            }
        }
        for tool in &self.tools {
            let amps = self.tool_amps(tool).abs();
            if tool.instrument.has_cell() && tool.live.abs() > LIVE_VOLTS {
                let kind = HarmKind::Live(tool.instrument);
                harms.push(Harm { kind, measure: tool.live.abs(), limit: LIVE_VOLTS });
            }
            let limit = match tool.instrument {
                Instrument::Jumper | Instrument::FusedJumper | Instrument::Ammeter => TOOL_FUSE_AMPS,
                Instrument::TestLight => 0.35,
                _ => continue,
            };
            if amps > limit {
                harms.push(Harm { kind: HarmKind::Tool(tool.instrument), measure: amps, limit });
            }
        }
        harms
    }

    /// The machines that move: motors, starters and valves of the rig's sights that are not at rest.
    pub fn moving(&self) -> Vec<(PartId, usize)> {
        self.rig
            .sights
            .iter()
            .enumerate()
            .filter(|(_, sight)| matches!(sight.face, Face::Motor { .. } | Face::Starter | Face::Valve))
            .filter(|(index, _)| self.see_sight(*index).strength != Strength::Off)
            .map(|(_, sight)| (sight.part, sight.element))
            .collect()
    }

    /// Whether an act takes a lead, a plug or a connector in hand, rather than a control.
    pub fn is_hand(act: &Act) -> bool {
        !matches!(act, Act::Set { .. } | Act::Wait(_))
    }
}

/// See [`Bench::examine`]; short times allow it (common practice, no source).
const CRANKING: f64 = 1.5;
