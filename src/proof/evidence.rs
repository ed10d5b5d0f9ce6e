//! Turns a vehicle on the bench into plain data that a drawing or a page can show.

use crate::bench::{Bench, Carrier, Seen};
use crate::book::{BuildId, ConnectorId, Instrument, Item, PartId, Point, Setting, TerminalId, WireId};
use std::collections::BTreeMap;

/// What a conductor does in a state.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Flow {
    /// Against the body, as a voltmeter bears it out; none where the conductor floats.
    pub volts: Option<f64>,
    /// From the wire's first end to its second, or from an element's first terminal to its second.
    pub amps: f64,
    /// Whether a load works by that current, or could: see [`Bench::carrying`].
    pub carries: bool,
    /// Joined to the body by conductors alone, without a load between.
    pub grounded: bool,
}

impl Flow {
    /// What a reader of a drawing can tell apart: volts to a tenth and amperes to two digits.
    pub fn told(self) -> Flow {
        let volts = self.volts.map(|volts| (volts * 10.0).round() / 10.0);
        Flow { volts, amps: two_digits(self.amps), ..self }
    }
}

/// Currents below a tenth of a milliampere are none.
fn two_digits(amps: f64) -> f64 {
    if amps.abs() < 1e-4 {
        return 0.0;
    }
    let scale = 10f64.powf(1.0 - amps.abs().log10().floor());
    (amps * scale).round() / scale
}

/// One state of a vehicle, wire by wire and element by element.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    pub build: BuildId,
    pub settings: Vec<Setting>,
    /// The supply's voltage, to tell live from dead.
    pub supply: f64,
    pub wires: BTreeMap<WireId, Flow>,
    pub elements: BTreeMap<(PartId, usize), Flow>,
    /// Terminals on the part's side.
    pub terminals: BTreeMap<(PartId, TerminalId), Flow>,
    pub cavities: BTreeMap<(ConnectorId, u16), Flow>,
    /// Contacts that are made and links that are whole.
    pub made: BTreeMap<(PartId, usize), bool>,
    pub seen: BTreeMap<(PartId, usize), Seen>,
    /// Relay states that are in.
    pub energized: BTreeMap<(PartId, usize), bool>,
    pub faults: Vec<Item>,
    pub probes: Vec<(Instrument, Point, Point)>,
}

impl Evidence {
    /// The state that a bench rests in.
    pub fn of(bench: &Bench) -> Evidence {
        let rig = bench.rig();
        let grounded = bench.grounded();
        let volts = bench.told_volts();
        let carrying = bench.carrying();
        let flow = |node: u32, element: usize| Flow {
            volts: volts[node as usize],
            amps: bench.amps(element),
            carries: carrying[element],
            grounded: grounded[node as usize],
        };
        let mut evidence = Evidence {
            build: rig.build,
            settings: bench.settings().to_vec(),
            supply: bench.corner().supply,
            wires: BTreeMap::new(),
            elements: BTreeMap::new(),
            terminals: BTreeMap::new(),
            cavities: BTreeMap::new(),
            made: BTreeMap::new(),
            seen: BTreeMap::new(),
            energized: BTreeMap::new(),
            faults: bench.faults().iter().map(|fault| fault.item).collect(),
            probes: bench.probes(),
        };
        for (index, run) in rig.runs.iter().enumerate() {
            let Some(run) = run else { continue };
            // A short on a wire takes the current of one half.
            let halves = run.halves.map(|half| half.0 as usize);
            let half =
                halves.into_iter().max_by(|a, b| bench.amps(*a).abs().total_cmp(&bench.amps(*b).abs()));
            evidence.wires.extend(half.map(|half| (WireId(index as u32), flow(run.middle.0, half))));
        }
        for (index, &carrier) in rig.carriers.iter().enumerate() {
            let (a, b) = rig.ends[index];
            match carrier {
                Carrier::Element { part, element } => {
                    evidence.elements.insert((part, element), flow(a.0, index));
                }
                Carrier::Pin { part, terminal } => {
                    evidence.terminals.insert((part, terminal), flow(b.0, index));
                }
                Carrier::Cavity { connector, cavity } => {
                    evidence.cavities.insert((connector, cavity), flow(a.0, index));
                }
                Carrier::Wire { .. } | Carrier::Bond(_) | Carrier::ShortToGround(_) => {}
            }
        }
        for (index, contact) in rig.contacts.iter().enumerate() {
            evidence.made.insert((contact.part, contact.element), bench.made(index));
        }
        for (index, link) in rig.links.iter().enumerate() {
            evidence.made.insert((link.part, link.element), !bench.blown(index));
        }
        for (index, sight) in rig.sights.iter().enumerate() {
            evidence.seen.insert((sight.part, sight.element), bench.see_sight(index));
        }
        for (index, relay) in rig.relays.iter().enumerate() {
            evidence.energized.insert((relay.part, relay.state), bench.energized(index));
        }
        evidence
    }
}

#[cfg(test)]
mod tests {
    use super::two_digits;

    #[test]
    fn currents_keep_two_digits() {
        assert_eq!(two_digits(0.014118), 0.014);
        assert_eq!(two_digits(-123.4), -120.0);
        assert_eq!(two_digits(5e-5), 0.0);
    }
}
