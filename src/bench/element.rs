//! Turns what an element of a part does into the element of the network that it is, and into what the rig keeps of it to move or
//! to watch.

use super::gate::{Gate, Numbering};
use super::gear::{Contact, Flasher, Follower, ProtectiveLink, Sight, Source, Store};
use super::rig::Rig;
use super::shine::HOT_TO_COLD;
use crate::book::{Action, Condition, PartId, Resistance, Supply, TerminalId};
use crate::quantity::Ohm;
use crate::solve::{Element, ElementId, NodeId};
use std::sync::Arc;

/// A rectifier diode: volts at one ampere and per e-fold of current (n·Vt with n = 1.9 at 27 °C). Datasheets of 1 A
/// silicon rectifiers give 0.7 to 1.0 V at rated current (common practice, no source).
const JUNCTION_VOLTS: f64 = 0.75;
const JUNCTION_SLOPE: f64 = 0.049;

/// The element between `a` and `b`. What a gate, a corner or a slice of time sets begins with a conductance of 0.
pub(super) fn electrical(action: &Action, a: NodeId, b: NodeId) -> Element {
    let branch = |conductance: f64| Element::Branch { a, b, conductance, emf: 0.0 };
    match action {
        Action::Source { .. } | Action::Contact { .. } | Action::Capacitor { .. } => branch(0.0),
        Action::Link { cold: ohms, .. }
        | Action::Resistor { ohms: Resistance::Fixed(ohms) }
        | Action::Coil { ohms, .. }
        | Action::Load { ohms, .. }
        | Action::Flasher { closed: ohms, .. } => branch(1.0 / ohms.0),
        Action::Resistor { ohms: Resistance::Follows { points, .. } } => branch(1.0 / points[0].1),
        Action::Filament { volts, watts } => filament(a, b, volts.0, watts.0),
        Action::Led { drop, amps, resistor } => diode(a, b, (drop.0, amps.0), None, resistor.0),
        Action::Diode { breakdown } => {
            diode(a, b, (JUNCTION_VOLTS, 1.0), breakdown.map(|volts| volts.0), 0.0)
        }
    }
}

/// A tungsten filament of `watts` at `volts`, cold at a tenth of its hot resistance.
pub(super) fn filament(a: NodeId, b: NodeId, volts: f64, watts: f64) -> Element {
    let design_amps = watts / volts;
    let cold_ohms = volts / design_amps / HOT_TO_COLD;
    Element::Filament { a, b, design_volts: volts, design_amps, cold_ohms }
}

/// A junction that drops so many volts at so many amperes, with a resistor of `ohms` in series.
fn diode(
    anode: NodeId,
    cathode: NodeId,
    (volts, amps): (f64, f64),
    breakdown: Option<f64>,
    ohms: f64,
) -> Element {
    let saturation = amps / (volts / JUNCTION_SLOPE).exp_m1();
    Element::Diode { anode, cathode, saturation, slope: JUNCTION_SLOPE, breakdown, ohms }
}

/// Where a part is in the rig: what its own numbers of terminals and relay states are there.
pub(super) struct Seat {
    pub part: PartId,
    /// The part's side of each of its terminals.
    pub pins: Vec<NodeId>,
    /// The rig's number of its first relay state.
    pub first_state: usize,
}

impl Seat {
    /// A condition of the part, compiled for a build with these choices.
    fn gate(&self, choices: &[u16], when: &Condition, numbering: &mut Numbering) -> Gate {
        let node = |terminal: Option<TerminalId>| {
            terminal.map_or(NodeId::REFERENCE, |terminal| self.pins[terminal.index()])
        };
        Gate::compile(choices, when, numbering, &|state| self.first_state + state, &node)
    }
}

impl Rig {
    /// Takes in an element of a part that is `id` in the network.
    pub(super) fn keep(&mut self, seat: &Seat, element: usize, id: ElementId) {
        let part = seat.part;
        let vehicle = Arc::clone(&self.vehicle);
        let choices = &vehicle.builds[self.build.index()].choices;
        let siemens = |ohms: Ohm| 1.0 / ohms.0;
        match &vehicle.part(part).elements[element].action {
            Action::Source { emf, internal } => {
                let conductance = siemens(*internal);
                let (emf, gate, field) = match emf {
                    Supply::Vehicle { share } => (*share, None, None),
                    Supply::Fixed(volts) => (volts.0, Some(Gate::Fixed(true)), None),
                    Supply::Regulated { volts, when, field } => {
                        (volts.0, Some(seat.gate(choices, when, &mut self.numbering)), *field)
                    }
                };
                let (minus, plus) = self.ends[id.0 as usize];
                if gate.is_none() && self.battery.is_none() {
                    self.battery = Some((plus, minus));
                }
                let field = field.map(|terminal| seat.pins[terminal.index()]);
                self.sources.push(Source { id, part, element, emf, conductance, gate, field });
            }
            Action::Contact { when, closed } => {
                let gate = seat.gate(choices, when, &mut self.numbering);
                self.contacts.push(Contact { part, element, id, closed: siemens(*closed), gate });
            }
            Action::Link { rating, cold, protection } => {
                let (rating, conductance, protection) = (rating.0, siemens(*cold), *protection);
                self.links.push(ProtectiveLink { part, element, id, rating, conductance, protection });
            }
            Action::Resistor { ohms: Resistance::Follows { control, points } } => {
                let (control, points) = (control.index(), points.clone());
                self.followers.push(Follower { id, part, element, control, points });
            }
            Action::Coil { state, effect, per_ampere, .. } => {
                self.relays[seat.first_state + state].coils.push((id, *effect, *per_ampere));
            }
            &Action::Flasher { closed, per_minute, share, bulb_out } => {
                let conductance = siemens(closed);
                self.flashers.push(Flasher { part, element, id, conductance, per_minute, share, bulb_out });
            }
            Action::Capacitor { farads } => self.stores.push(Store { id, farads: *farads }),
            Action::Filament { volts: rated, .. } | Action::Load { rated, .. } => {
                self.watch(part, element, id, rated.0, false);
            }
            Action::Led { amps, .. } => self.watch(part, element, id, amps.0, true),
            Action::Resistor { ohms: Resistance::Fixed(_) } | Action::Diode { .. } => {}
        }
    }

    fn watch(&mut self, part: PartId, element: usize, id: ElementId, rated: f64, by_current: bool) {
        let (a, b) = self.ends[id.0 as usize];
        let face =
            self.vehicle.part(part).elements[element].face().expect("only elements with a face are seen");
        self.sights.push(Sight { part, element, id, a, b, face, rated, by_current });
    }
}
