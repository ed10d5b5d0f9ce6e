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
    /// Joined to the body by conductors alone, without a load between.
    pub grounded: bool,
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
        let point = bench.point();
        let grounded = bench.grounded();
        let volts = bench.told_volts();
        let flow =
            |node: u32, amps| Flow { volts: volts[node as usize], amps, grounded: grounded[node as usize] };
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
            let flow = flow(run.middle.0, point.amps(run.halves[0]));
            evidence.wires.insert(WireId(index as u32), flow);
        }
        for (index, &carrier) in rig.carriers.iter().enumerate() {
            let amps = bench.amps(index);
            let (a, b) = rig.ends[index];
            match carrier {
                Carrier::Element { part, element } => {
                    evidence.elements.insert((part, element), flow(a.0, amps));
                }
                Carrier::Pin { part, terminal } => {
                    evidence.terminals.insert((part, terminal), flow(b.0, amps));
                }
                Carrier::Cavity { connector, cavity } => {
                    evidence.cavities.insert((connector, cavity), flow(a.0, amps));
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
