//! Turns what a technician does back into the words of a step line.

use super::{Act, Book, HarnessWay, Item, Kind, Point, Setup, Suspect};
use crate::quantity::{Dimension, Unit, print};

impl Book {
    /// An act as a step line states it: `unplug K4`, `test light K4:86 to ground`, `door open`.
    pub fn act_text(&self, act: &Act) -> String {
        match *act {
            Act::Set { control, to } => {
                let control = self.control(control);
                format!("{} {}", control.id, control.print(to))
            }
            Act::Unplug(part) => {
                let part = self.part(part);
                format!("{} {}", if part.kind == Kind::Fuse { "pull" } else { "unplug" }, part.id)
            }
            Act::Plug(part) => {
                let part = self.part(part);
                format!("{} {}", if part.kind == Kind::Fuse { "fit" } else { "plug" }, part.id)
            }
            Act::OpenConnector(connector) => format!("open {}", self.connector(connector).id),
            Act::CloseConnector(connector) => format!("close {}", self.connector(connector).id),
            Act::Disconnect { wire, end } => format!("disconnect {}", self.wire_end_text(wire, end)),
            Act::Reconnect { wire, end } => format!("reconnect {}", self.wire_end_text(wire, end)),
            Act::Connect { instrument, from, to } => {
                format!("{} {} to {}", instrument.word(), self.point_text(from), self.point_text(to))
            }
            Act::Measure { instrument, wire } => format!("{} in {}", instrument.word(), self.wire(wire).id),
            Act::Remove(instrument) => format!("remove {}", instrument.word()),
            Act::Substitute(item) => format!("substitute {}", self.item_name(item)),
            Act::ResetBreaker(part) => format!("reset {}", self.part(part).id),
            Act::Wait(seconds) => format!("wait {}", print(seconds, Unit::base(Dimension::Time))),
        }
    }

    /// A place for a lead: `K4:86`, `X12:3 chassis`, `battery +`, `ground`.
    pub fn point_text(&self, point: Point) -> String {
        match point {
            Point::Terminal { part, terminal, on_part } => {
                let name = self.part(part).terminal_name(terminal);
                if on_part { format!("{name} part") } else { name }
            }
            Point::Cavity { connector, cavity, side } => {
                let connector = self.connector(connector);
                let harness = &self.harnesses[connector.joins[side as usize].index()];
                format!("{}:{} {}", connector.id, connector.cavities[cavity as usize], harness.id)
            }
            Point::WireEnd { wire, end } => self.wire_end_text(wire, end),
            Point::BatteryPlus => "battery +".to_string(),
            Point::BatteryMinus => "battery -".to_string(),
            Point::Ground => "ground".to_string(),
        }
    }

    fn wire_end_text(&self, wire: super::WireId, end: u8) -> String {
        let wire = self.wire(wire);
        format!("{} at {}", wire.id, self.end_name(wire.ends[end as usize]))
    }

    /// A setup in the words of a claim: `without D1, key run`.
    pub fn setup_text(&self, setup: &[Setup]) -> String {
        let words = setup.iter().map(|setup| match setup {
            Setup::Act(act) => self.act_text(act),
            Setup::Without(part) => format!("without {}", self.part(*part).id),
            Setup::Bridged(part) => format!("bridged {}", self.part(*part).id),
            Setup::Fault(fault) => format!("with {}", self.fault(*fault).name),
            Setup::Build { group, any } => {
                let group = &self.options[*group];
                let choices: Vec<&str> = any.iter().map(|&at| group.choices[at as usize].as_str()).collect();
                format!("{} {}", group.id, choices.join("|"))
            }
        });
        words.collect::<Vec<_>>().join(", ")
    }

    /// A suspect as a verdict names it.
    pub fn suspect_text(&self, suspect: &Suspect) -> String {
        match suspect {
            Suspect::Item(item) => self.item_name(*item).to_string(),
            Suspect::Harness { harness, way } => {
                let id = &self.harnesses[harness.index()].id;
                match way {
                    HarnessWay::Open => format!("{id} open"),
                    HarnessWay::Short => format!("{id} short"),
                    HarnessWay::Any => id.clone(),
                }
            }
        }
    }

    /// An item with what it is called: `K4, lift enable relay`.
    pub fn item_text(&self, item: Item) -> String {
        match item {
            Item::Part(part) => format!("{}, {}", self.part(part).id, self.part(part).name),
            Item::Wire(wire) => format!("{} {}", self.wire(wire).id, self.wire(wire).color),
            Item::Connector(connector) => {
                format!("{}, {}", self.connector(connector).id, self.connector(connector).name)
            }
        }
    }
}
