//! Turns what a technician does into changes of the network, and lets the vehicle come to rest after each.

use super::instrument::{AMMETER_OHMS, Tool, load};
use super::state::{Bench, LinkState, Upset};
use super::wiring::PIN_OHMS;
use crate::book::{
    Act, ControlId, Fault, Instrument, Item, Mode, PartId, Point, Setting, TerminalId, WireId,
};
use crate::solve::NodeId;

/// What came of a hand's attempt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Done {
    Yes,
    /// It cannot be done as the vehicle stands, for this reason.
    Impossible(&'static str),
}

impl Bench<'_> {
    /// Does one thing and lets the vehicle come to rest. A hand on something that this build lacks does nothing.
    pub fn act(&mut self, act: &Act) -> Result<Done, Upset> {
        let done = self.do_act(act)?;
        self.settle()?;
        Ok(done)
    }

    fn do_act(&mut self, act: &Act) -> Result<Done, Upset> {
        match *act {
            Act::Set { control, to } => self.set(control, to),
            Act::Unplug(part) => {
                if !change(&mut self.unplugged, part, true) {
                    return Ok(Done::Impossible("it is unplugged already"));
                }
                self.rejoin_pins(part);
            }
            Act::Plug(part) => {
                if !change(&mut self.unplugged, part, false) {
                    return Ok(Done::Impossible("it is plugged in already"));
                }
                self.rejoin_pins(part);
            }
            Act::OpenConnector(connector) => {
                if !change(&mut self.open_connectors, connector, true) {
                    return Ok(Done::Impossible("it is open already"));
                }
                self.rejoin_cavities(connector);
            }
            Act::CloseConnector(connector) => {
                if !change(&mut self.open_connectors, connector, false) {
                    return Ok(Done::Impossible("it is closed already"));
                }
                // Whoever closes a connector mates it.
                self.planted
                    .retain(|fault| (fault.item, fault.mode) != (Item::Connector(connector), Mode::NotMated));
                self.rejoin_cavities(connector);
            }
            Act::Disconnect { wire, end } => {
                if !change(&mut self.loose_ends, (wire, end), true) {
                    return Ok(Done::Impossible("it is off already"));
                }
                self.rejoin_wire(wire);
            }
            Act::Reconnect { wire, end } => {
                if !change(&mut self.loose_ends, (wire, end), false) {
                    return Ok(Done::Impossible("it is on already"));
                }
                self.rejoin_wire(wire);
            }
            Act::Connect { instrument, from, to } => return self.connect(instrument, from, to),
            Act::Measure { instrument, wire, toward } => self.measure(instrument, wire, toward),
            Act::Remove(instrument) => {
                if !self.take_off(instrument) {
                    return Ok(Done::Impossible("it is not in place"));
                }
            }
            Act::Substitute(item) => self.replace(item)?,
            Act::ResetBreaker(part) => self.renew_links(part, |_| true),
            Act::Wait(seconds) => self.wait(seconds)?,
        }
        Ok(Done::Yes)
    }

    /// Sets several controls at once and lets the vehicle come to rest.
    pub fn set_all(&mut self, settings: &[(ControlId, Setting)]) -> Result<(), Upset> {
        for &(control, to) in settings {
            if self.settings[control.index()] != to {
                self.set(control, to);
            }
        }
        self.settle()
    }

    fn set(&mut self, control: ControlId, to: Setting) {
        self.settings[control.index()] = to;
        for at in 0..self.rig.by_control[control.index()].len() {
            self.judge(self.rig.by_control[control.index()][at]);
        }
        for follower in 0..self.rig.followers.len() {
            if self.rig.followers[follower].control == control.index() {
                self.follow(follower);
            }
        }
    }

    /// A clean slate for what is heard from now on.
    pub fn listen(&mut self) {
        self.clicked.clear();
    }

    /// The node at which a lead touches; none where the build has nothing there.
    pub fn node(&self, point: Point) -> Option<NodeId> {
        match point {
            Point::Terminal { part, terminal, on_part } => {
                let pin = self.rig.pins[part.index()].get(terminal.index())?;
                Some(if on_part { pin.part } else { pin.harness })
            }
            Point::Cavity { connector, cavity, side } => {
                Some(self.rig.mates[connector.index()][cavity as usize]?.sides[side as usize])
            }
            Point::WireEnd { wire, end } => {
                let run = self.rig.runs[wire.index()]?;
                if self.loose_ends.contains(&(wire, end)) {
                    return Some(run.middle);
                }
                self.node(self.rig.vehicle.wire(wire).ends[end as usize].into())
            }
            Point::BatteryPlus => self.rig.battery.map(|posts| posts.0),
            Point::BatteryMinus => self.rig.battery.map(|posts| posts.1),
            Point::Ground => Some(NodeId::REFERENCE),
        }
    }

    fn connect(&mut self, instrument: Instrument, from: Point, to: Point) -> Result<Done, Upset> {
        if self.take_off(instrument) {
            self.settle()?;
        }
        let (Some(a), Some(b)) = (self.node(from), self.node(to)) else {
            return Ok(Done::Impossible("this build has nothing there"));
        };
        if a == b {
            return Ok(Done::Impossible("both leads are on the same conductor"));
        }
        let live = if instrument.has_cell() && self.point().island(a) == self.point().island(b) {
            self.point().volts_between(a, b)
        } else {
            0.0
        };
        let attachment = load(instrument, a, b).map(|element| self.solver.attach(element));
        self.tools.push(Tool { instrument, leads: Some((from, to)), attachment, wire: None, live });
        self.dirty = true;
        Ok(Done::Yes)
    }

    fn take_off(&mut self, instrument: Instrument) -> bool {
        let Some(at) = self.tools.iter().position(|tool| tool.instrument == instrument) else {
            return false;
        };
        let tool = self.tools.remove(at);
        if let Some(attachment) = tool.attachment {
            self.solver.detach(attachment);
        }
        if let Some((wire, _)) = tool.wire {
            self.rejoin_wire(wire);
        }
        self.dirty = true;
        true
    }

    /// Sets the joints of a part's terminals from all that bears on them: unplugged, and faults.
    pub(super) fn rejoin_pins(&mut self, part: PartId) {
        for index in 0..self.rig.pins[part.index()].len() {
            let pin = self.rig.pins[part.index()][index];
            if pin.harness == pin.part {
                continue;
            }
            let open = Mode::PinOpen(TerminalId(index as u16));
            let parted = self.unplugged.contains(&part) || self.has(Item::Part(part), |mode| mode == open);
            self.solver.set_conductance(pin.joint, if parted { 0.0 } else { 1.0 / PIN_OHMS });
        }
        self.dirty = true;
    }

    pub(super) fn rejoin_cavities(&mut self, connector: crate::book::ConnectorId) {
        for (index, mate) in self.rig.mates[connector.index()].iter().enumerate() {
            let Some(mate) = mate else { continue };
            let open = Mode::CavityOpen(index as u16);
            let parted = self.open_connectors.contains(&connector)
                || self.has(Item::Connector(connector), |mode| mode == open || mode == Mode::NotMated);
            self.solver.set_conductance(mate.joint, if parted { 0.0 } else { 1.0 / PIN_OHMS });
        }
        self.dirty = true;
    }

    /// Sets both halves of a wire from all that bears on it: loose ends, faults, an ammeter in it.
    pub(super) fn rejoin_wire(&mut self, wire: WireId) {
        let Some(run) = self.rig.runs[wire.index()] else {
            return;
        };
        let broken = self.has(Item::Wire(wire), |mode| mode == Mode::WireOpen);
        let grown = self.planted.iter().find_map(|fault| match fault.mode {
            Mode::WireHigh(ohms) if fault.item == Item::Wire(wire) => Some(ohms),
            _ => None,
        });
        let metered = self.tools.iter().any(|tool| {
            tool.wire.is_some_and(|(at, _)| at == wire) && tool.instrument == Instrument::Ammeter
        });
        let ohms = run.ohms + grown.unwrap_or(0.0) + if metered { AMMETER_OHMS } else { 0.0 };
        for end in 0..2u8 {
            let parted = broken || self.loose_ends.contains(&(wire, end));
            self.solver.set_conductance(run.halves[end as usize], if parted { 0.0 } else { 2.0 / ohms });
        }
        self.dirty = true;
    }

    pub(super) fn has(&self, item: Item, mode: impl Fn(Mode) -> bool) -> bool {
        self.planted.iter().any(|fault| fault.item == item && mode(fault.mode))
    }

    /// Makes those of a part's protective links whole again.
    fn renew_links(&mut self, part: PartId, which: impl Fn(&LinkState) -> bool) {
        for (state, link) in self.links.iter_mut().zip(&self.rig.links) {
            if link.part == part && which(state) {
                *state = LinkState::fresh(self.now);
                self.solver.set_conductance(link.id, link.conductance);
                self.blows.retain(|(part, _)| *part != link.part);
                self.dirty = true;
            }
        }
    }

    /// Puts an instrument into a wire, or around it.
    fn measure(&mut self, instrument: Instrument, wire: WireId, toward: Option<u8>) {
        self.take_off(instrument);
        let wired = Some((wire, toward));
        self.tools.push(Tool { instrument, leads: None, attachment: None, wire: wired, live: 0.0 });
        self.rejoin_wire(wire);
    }

    /// Puts a known good item in the place of one: its faults are gone, a blown fuse is whole.
    fn replace(&mut self, item: Item) -> Result<(), Upset> {
        let gone: Vec<Fault> = self.planted.iter().filter(|fault| fault.item == item).cloned().collect();
        for fault in gone {
            self.heal(&fault);
        }
        if let Item::Part(part) = item {
            self.renew_links(part, |link| link.open);
        }
        Ok(())
    }
}

/// Puts something into a list or takes it out; false where it was so already.
fn change<T: PartialEq>(list: &mut Vec<T>, item: T, there: bool) -> bool {
    if list.contains(&item) == there {
        return false;
    }
    match there {
        true => list.push(item),
        false => list.retain(|other| *other != item),
    }
    true
}
