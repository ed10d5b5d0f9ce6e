//! Turns a fault into changed conductances, and takes it out again when the item is replaced.

use super::state::{Bench, Upset};
use super::wiring::BOND_OHMS;
use crate::book::{Action, Fault, Item, Mode, PartId, WireId};
use crate::solve::{Attachment, Element, ElementId, NodeId};

/// A bridge across a shorted element, and a short between conductors, in ohms: low against every load, and not so low
/// that a shorted feed would draw more than a battery's short-circuit current.
const SHORT_OHMS: f64 = 0.005;

/// Factor by which a motor that does not turn draws more than one that runs (common practice, no source: four to eight).
const STALL: f64 = 5.0;

/// Seconds for which a fault has been there when the technician comes: any fuse at twice its rating has opened by then.
const BEFORE: f64 = 60.0;

impl Bench<'_> {
    /// Plants a fault in the vehicle as it stands and lets it come to rest. In a vehicle that nobody has touched yet it has
    /// been there for a while: a fuse that it blows at rest is blown.
    pub fn plant(&mut self, fault: &Fault) -> Result<(), Upset> {
        self.planted.push(fault.clone());
        self.apply(fault, true);
        self.settle()?;
        if self.now == self.untouched {
            self.wait(BEFORE)?;
            self.untouched = self.now;
        }
        Ok(())
    }

    /// Takes a part out: every one of its terminals is open.
    pub fn take_out(&mut self, part: PartId) -> Result<(), Upset> {
        self.unplugged.push(part);
        self.rejoin_pins(part);
        self.settle()
    }

    /// Joins all terminals of a part.
    pub fn bridge(&mut self, part: PartId) -> Result<(), Upset> {
        let pins = &self.rig.pins[part.index()];
        for pair in pins.windows(2).filter(|pair| pair[0].part != pair[1].part) {
            self.solver.attach(shorted(pair[0].part, pair[1].part));
        }
        self.dirty = true;
        self.settle()
    }

    /// The faults that are in the vehicle.
    pub fn faults(&self) -> &[Fault] {
        &self.planted
    }

    pub(super) fn heal(&mut self, fault: &Fault) {
        self.planted.retain(|other| other != fault);
        self.apply(fault, false);
    }

    /// Puts in what a fault joins.
    fn join(&mut self, fault: &Fault, element: Element) {
        let (a, b) = element.ends();
        if a != b {
            let attachment = self.solver.attach(element);
            self.shorts.push((fault.item, fault.mode, attachment));
        }
    }

    fn apply(&mut self, fault: &Fault, there: bool) {
        match fault.item {
            Item::Part(part) => self.apply_to_part(part, fault, there),
            Item::Wire(wire) => self.apply_to_wire(wire, fault, there),
            Item::Connector(connector) => self.rejoin_cavities(connector),
        }
        self.dirty = true;
    }

    fn apply_to_part(&mut self, part: PartId, fault: &Fault, there: bool) {
        let id = |element: usize| self.rig.elements[part.index()][element];
        match fault.mode {
            Mode::ElementOpen(element) => self.solver.set_open(id(element), there),
            Mode::ElementShorted(element) if there => {
                let (a, b) = self.rig.ends[id(element).0 as usize];
                self.join(fault, shorted(a, b));
            }
            Mode::ElementShorted(_) => self.lift(fault),
            Mode::ElementHigh(element, ohms) => self.scale(part, element, |healthy| healthy + ohms, there),
            Mode::Seized(element) => self.scale(part, element, |healthy| healthy / STALL, there),
            Mode::ContactStuck(element) if self.flasher(part, element).is_some() => {
                let flasher = self.flasher(part, element).expect("just found");
                self.stuck_flashers.retain(|&stuck| stuck != flasher);
                if there {
                    self.stuck_flashers.push(flasher);
                }
            }
            Mode::ContactStuck(element) => {
                let contact = self.contact(part, element);
                self.force_contact(contact, there.then_some(true));
            }
            Mode::StuckOut(state) | Mode::StuckIn(state) => {
                let stuck = matches!(fault.mode, Mode::StuckIn(_));
                let relay = self.rig.relay(part, state).expect("a relay fault names a state of its part");
                self.forced_states.retain(|forced| forced.0 != relay);
                if there {
                    self.forced_states.push((relay, stuck));
                }
            }
            Mode::Reversed(element) => self.reverse(id(element), fault, there),
            Mode::Weak(_, share) => self.weaken(part, if there { share } else { 1.0 }),
            Mode::PinOpen(_) => self.rejoin_pins(part),
            Mode::GroundLost => {
                let bond = self.rig.bonds[part.index()].expect("only ground points lose the body");
                self.solver.set_conductance(bond, if there { 0.0 } else { 1.0 / BOND_OHMS });
            }
            Mode::WireOpen | Mode::WireToGround | Mode::WireHigh(_) | Mode::WireToWire(_) => {
                unreachable!("a wire's fault is not a part's")
            }
            Mode::CavityOpen(_) | Mode::NotMated => unreachable!("a connector's fault is not a part's"),
        }
    }

    /// Turns a diode around, or back.
    fn reverse(&mut self, id: ElementId, fault: &Fault, there: bool) {
        self.solver.set_open(id, there);
        if !there {
            return self.lift(fault);
        }
        let (a, b) = self.rig.ends[id.0 as usize];
        let reversed = match self.solver.network().elements()[id.0 as usize] {
            Element::Diode { saturation, slope, breakdown, ohms, .. } => {
                Element::Diode { anode: b, cathode: a, saturation, slope, breakdown, ohms }
            }
            other => unreachable!("{other:?} has no direction to be reversed"),
        };
        self.join(fault, reversed);
    }

    /// Lets the sources of a part give no more than a share of their voltage.
    fn weaken(&mut self, part: PartId, share: f64) {
        self.weak = share;
        for (index, source) in self.rig.sources.iter().enumerate() {
            if source.part == part {
                self.giving[index] = false;
            }
        }
        for index in 0..self.rig.sources.len() {
            self.supply(index);
        }
    }

    fn apply_to_wire(&mut self, wire: WireId, fault: &Fault, there: bool) {
        let Some(run) = self.rig.runs[wire.index()] else {
            return;
        };
        match fault.mode {
            Mode::WireToGround => {
                self.solver.set_conductance(run.short, if there { 1.0 / SHORT_OHMS } else { 0.0 });
            }
            Mode::WireToWire(other) if there => {
                if let Some(neighbor) = self.rig.runs[other.index()] {
                    self.join(fault, shorted(run.middle, neighbor.middle));
                }
            }
            Mode::WireToWire(_) => self.lift(fault),
            _ => self.rejoin_wire(wire),
        }
    }

    /// Takes out what a fault has joined; another's stays.
    fn lift(&mut self, fault: &Fault) {
        let (own, others) = std::mem::take(&mut self.shorts)
            .into_iter()
            .partition(|&(item, mode, _)| (item, mode) == (fault.item, fault.mode));
        self.shorts = others;
        let own: Vec<(Item, Mode, Attachment)> = own;
        own.into_iter().for_each(|(_, _, attachment)| self.solver.detach(attachment));
    }

    /// Changes a branch's resistance; a healed one is as it was wired up.
    fn scale(&mut self, part: PartId, element: usize, change: impl Fn(f64) -> f64, there: bool) {
        let id = self.rig.elements[part.index()][element];
        if let Some(contact) = self.rig.contacts.iter().position(|c| c.part == part && c.element == element) {
            let healthy = 1.0 / self.rig.contacts[contact].closed;
            let ohms = if there { change(healthy) } else { healthy };
            self.contact_ohms.retain(|worn| worn.0 != contact);
            self.contact_ohms.push((contact, ohms));
            if self.made[contact] {
                self.solver.set_conductance(id, 1.0 / ohms);
            }
            return;
        }
        let mut followers = self.rig.followers.iter();
        if let Some(follower) = followers.position(|it| it.part == part && it.element == element) {
            // What a control moves is set from where that stands, with what has grown added.
            self.follow(follower);
            return;
        }
        let healthy = match &self.rig.vehicle.part(part).elements[element].action {
            Action::Load { ohms, .. } | Action::Coil { ohms, .. } => ohms.0,
            Action::Link { cold, .. } => cold.0,
            Action::Resistor { ohms: crate::book::Resistance::Fixed(ohms) } => ohms.0,
            _ => match self.rig.solver.network().elements()[id.0 as usize] {
                Element::Branch { conductance, .. } if conductance > 0.0 => 1.0 / conductance,
                _ => return,
            },
        };
        self.solver.set_conductance(id, 1.0 / if there { change(healthy) } else { healthy });
    }

    fn flasher(&self, part: PartId, element: usize) -> Option<usize> {
        self.rig.flashers.iter().position(|unit| unit.part == part && unit.element == element)
    }

    fn contact(&self, part: PartId, element: usize) -> usize {
        let mut contacts = self.rig.contacts.iter();
        contacts
            .position(|contact| contact.part == part && contact.element == element)
            .expect("a contact fault names a contact of its part")
    }

    fn force_contact(&mut self, contact: usize, made: Option<bool>) {
        self.forced_contacts.retain(|forced| forced.0 != contact);
        if let Some(made) = made {
            self.forced_contacts.push((contact, made));
        }
        self.judge(contact);
    }
}

/// A bridge between two nodes.
fn shorted(a: NodeId, b: NodeId) -> Element {
    Element::Branch { a, b, conductance: 1.0 / SHORT_OHMS, emf: 0.0 }
}
