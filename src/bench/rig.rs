//! Turns a book and one of its builds into a network, and remembers which conductor of the vehicle each element is.

use super::conductor::{ampacity, wire_ohms};
use super::gate::{Gate, Numbering};
use super::shine::HOT_TO_COLD;
use crate::book::{
    Action, Book, BuildId, BulbOut, ConnectorId, Effect, Face, Kind, PartId, Protection, Resistance, Supply,
    TerminalId, Timing, WireId,
};
use crate::quantity::Ohm;
use crate::solve::{Element, ElementId, Network, NodeId, Solver};

/// Resistance in ohms of a terminal in its plug, and of a pair of mated cavities: new contacts measure a few milliohms
/// (common practice, no source).
pub const PIN_OHMS: f64 = 0.002;

/// Resistance in ohms of a ground point's joint with the body (common practice, no source).
pub const BOND_OHMS: f64 = 0.0005;

/// A bridge across a shorted element, and a short between conductors, in ohms: low against every load, and not so low
/// that a shorted feed would draw more than a battery's short-circuit current.
pub const SHORT_OHMS: f64 = 0.005;

/// A rectifier diode: volts at one ampere and per e-fold of current (n·Vt with n = 1.9 at 27 °C). Datasheets of 1 A
/// silicon rectifiers give 0.7 to 1.0 V at rated current (common practice, no source).
const JUNCTION_VOLTS: f64 = 0.75;
const JUNCTION_SLOPE: f64 = 0.049;

/// What an element of the network is in the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Carrier {
    Element {
        part: PartId,
        element: usize,
    },
    Pin {
        part: PartId,
        terminal: TerminalId,
    },
    /// Half of a wire, from an end to its middle.
    Wire {
        wire: WireId,
        end: u8,
    },
    Cavity {
        connector: ConnectorId,
        cavity: u16,
    },
    /// A ground point's joint with the body.
    Bond(PartId),
    /// Held open in a healthy vehicle; a fault closes it.
    ShortToGround(WireId),
}

/// The two sides of a part's terminal: what stays with the harness when the part is unplugged, and the part itself.
#[derive(Debug, Clone, Copy)]
pub struct Pin {
    pub harness: NodeId,
    pub part: NodeId,
    pub joint: ElementId,
}

/// A wire as two halves, so that a short lies on the wire and not on a terminal.
#[derive(Debug, Clone, Copy)]
pub struct Run {
    pub middle: NodeId,
    pub halves: [ElementId; 2],
    pub short: ElementId,
    /// Ohms of the whole wire.
    pub ohms: f64,
    /// Amperes that it bears for minutes.
    pub bears: f64,
}

/// A connector cavity that at least one wire of the build reaches.
#[derive(Debug, Clone, Copy)]
pub struct Mate {
    pub sides: [NodeId; 2],
    pub joint: ElementId,
}

/// A contact and what closes it.
#[derive(Debug, Clone)]
pub struct Contact {
    pub part: PartId,
    pub element: usize,
    pub id: ElementId,
    pub closed: f64,
    pub gate: Gate,
}

/// A relay state with its windings.
#[derive(Debug, Clone)]
pub struct Relay {
    pub part: PartId,
    pub state: usize,
    pub latching: bool,
    pub drop_out: f64,
    pub coils: Vec<(ElementId, Effect, f64)>,
}

/// A fuse, fusible link or breaker.
#[derive(Debug, Clone, Copy)]
pub struct Link {
    pub part: PartId,
    pub element: usize,
    pub id: ElementId,
    pub rating: f64,
    pub conductance: f64,
    pub protection: Protection,
}

/// A flasher unit's own contact.
#[derive(Debug, Clone, Copy)]
pub struct Flasher {
    pub part: PartId,
    pub element: usize,
    pub id: ElementId,
    pub conductance: f64,
    pub per_minute: f64,
    pub share: f64,
    pub bulb_out: Option<BulbOut>,
}

/// A source whose electromotive force depends on the corner or on a condition.
#[derive(Debug, Clone)]
pub struct Source {
    pub id: ElementId,
    pub part: PartId,
    pub element: usize,
    /// Volts; of the vehicle's own supply, the share of the corner's voltage that it gives.
    pub emf: f64,
    pub conductance: f64,
    /// A regulated source's condition; the vehicle's own supply has none and takes the corner's voltage.
    pub gate: Option<Gate>,
    /// The node that must be live for a regulated source to give anything.
    pub field: Option<NodeId>,
}

/// A resistor that follows a control.
#[derive(Debug, Clone)]
pub struct Follower {
    pub id: ElementId,
    pub part: PartId,
    pub element: usize,
    pub control: usize,
    pub points: Vec<(f64, f64)>,
}

/// A capacitor, charged and discharged through a small resistance.
#[derive(Debug, Clone, Copy)]
pub struct Store {
    pub id: ElementId,
    pub farads: f64,
}

/// Something a person can see or hear.
#[derive(Debug, Clone)]
pub struct Sight {
    pub part: PartId,
    pub element: usize,
    pub id: ElementId,
    pub a: NodeId,
    pub b: NodeId,
    pub face: Face,
    /// What its share of full is measured against: rated volts, or rated amperes for an LED.
    pub rated: f64,
    pub by_current: bool,
}

/// One build of the vehicle, wired up. It is made once; benches are cloned from it.
#[derive(Debug, Clone)]
pub struct Rig<'b> {
    pub book: &'b Book,
    pub build: BuildId,
    pub solver: Solver,
    /// By element of the network.
    pub carriers: Vec<Carrier>,
    pub ends: Vec<(NodeId, NodeId)>,
    /// The elements at each node.
    pub around: Vec<Vec<usize>>,
    /// By part and terminal; empty for a part that the build lacks.
    pub pins: Vec<Vec<Pin>>,
    /// By part and element: the network's element that carries its current.
    pub elements: Vec<Vec<ElementId>>,
    pub bonds: Vec<Option<ElementId>>,
    pub runs: Vec<Option<Run>>,
    pub mates: Vec<Vec<Option<Mate>>>,
    pub contacts: Vec<Contact>,
    /// By element of the network: the contact that it is.
    pub contact_of: Vec<Option<usize>>,
    pub relays: Vec<Relay>,
    pub links: Vec<Link>,
    pub flashers: Vec<Flasher>,
    pub sources: Vec<Source>,
    pub followers: Vec<Follower>,
    pub stores: Vec<Store>,
    pub sights: Vec<Sight>,
    pub numbering: Numbering,
    /// The contacts whose gates read a control, by control, and those that read a relay state, by state.
    pub by_control: Vec<Vec<usize>>,
    pub by_state: Vec<Vec<usize>>,
    /// Contacts that read voltages or time: judged at every settling.
    pub lively: Vec<usize>,
    /// The vehicle's supply.
    pub battery: Option<(NodeId, NodeId)>,
}

impl<'b> Rig<'b> {
    /// Wires up a build.
    pub fn new(book: &'b Book, build: BuildId) -> Rig<'b> {
        let kept = Kept {
            parts: book.parts.iter().map(|part| part.fitted[build.index()]).collect(),
            wires: book.wires.iter().map(|wire| wire.fitted[build.index()]).collect(),
        };
        Rig::of(book, build, kept)
    }

    /// Wires up what is kept of a build.
    pub(super) fn of(book: &'b Book, build: BuildId, kept: Kept) -> Rig<'b> {
        Wiring::new(book, build, kept).finish()
    }

    /// Whether a timer of the build has a band of times.
    pub fn has_time_bands(&self) -> bool {
        let mut found = false;
        for contact in &self.contacts {
            contact.gate.walk(&mut |gate| {
                if let Gate::Timed {
                    timing: Timing::For(band) | Timing::Lasting(band) | Timing::AtMost(band),
                    ..
                } = gate
                {
                    found |= !band.is_point();
                }
            });
        }
        found
    }

    /// The bands at which the build's switches operate and return on a control, in its base unit.
    pub fn thresholds(&self, control: usize) -> Vec<(f64, f64)> {
        let mut found = Vec::new();
        for contact in &self.contacts {
            contact.gate.walk(&mut |gate| {
                if let Gate::Level { control: of, threshold, until, .. } = gate
                    && of.index() == control
                {
                    found.extend(
                        [Some(*threshold), *until].into_iter().flatten().map(|band| (band.low, band.high)),
                    );
                }
            });
        }
        found
    }

    /// The network's element of a part's element, when the build has the part.
    pub fn element(&self, part: PartId, element: usize) -> Option<ElementId> {
        self.elements[part.index()].get(element).copied()
    }

    /// The sight of a part's element.
    pub fn sight(&self, part: PartId, element: usize) -> Option<usize> {
        self.sights.iter().position(|sight| sight.part == part && sight.element == element)
    }

    /// The rig's number of a part's relay state.
    pub fn relay(&self, part: PartId, state: usize) -> Option<usize> {
        self.relays.iter().position(|relay| relay.part == part && relay.state == state)
    }
}

/// What of a build is wired up: parts and wires, by their numbers.
#[derive(Debug, Clone)]
pub(super) struct Kept {
    pub parts: Vec<bool>,
    pub wires: Vec<bool>,
}

/// The network while it grows.
struct Wiring<'b> {
    book: &'b Book,
    build: BuildId,
    kept: Kept,
    network: Network,
    carriers: Vec<Carrier>,
    ends: Vec<(NodeId, NodeId)>,
    pins: Vec<Vec<Pin>>,
    elements: Vec<Vec<ElementId>>,
    bonds: Vec<Option<ElementId>>,
    mates: Vec<Vec<Option<Mate>>>,
}

impl<'b> Wiring<'b> {
    fn new(book: &'b Book, build: BuildId, kept: Kept) -> Wiring<'b> {
        Wiring {
            book,
            build,
            kept,
            network: Network::new(1),
            carriers: Vec::new(),
            ends: Vec::new(),
            pins: Vec::new(),
            elements: Vec::new(),
            bonds: Vec::new(),
            mates: Vec::new(),
        }
    }

    fn add(&mut self, carrier: Carrier, a: NodeId, b: NodeId, element: Element) -> ElementId {
        self.carriers.push(carrier);
        self.ends.push((a, b));
        self.network.add(element)
    }

    fn branch(&mut self, carrier: Carrier, a: NodeId, b: NodeId, conductance: f64) -> ElementId {
        self.add(carrier, a, b, Element::Branch { a, b, conductance, emf: 0.0 })
    }

    fn finish(mut self) -> Rig<'b> {
        let (book, build) = (self.book, self.build);
        for index in 0..book.parts.len() {
            self.part_pins(PartId(index as u32));
        }
        let runs = self.wires();
        let mut rig = Rig {
            book,
            build,
            solver: Solver::new(Network::new(1)),
            carriers: Vec::new(),
            ends: Vec::new(),
            around: vec![Vec::new(); self.network.nodes()],
            pins: Vec::new(),
            elements: Vec::new(),
            bonds: Vec::new(),
            runs,
            mates: Vec::new(),
            contacts: Vec::new(),
            contact_of: Vec::new(),
            relays: Vec::new(),
            links: Vec::new(),
            flashers: Vec::new(),
            sources: Vec::new(),
            followers: Vec::new(),
            stores: Vec::new(),
            sights: Vec::new(),
            numbering: Numbering::default(),
            by_control: vec![Vec::new(); book.controls.len()],
            by_state: Vec::new(),
            lively: Vec::new(),
            battery: None,
        };
        for index in 0..book.parts.len() {
            self.elements.push(Vec::new());
            if self.kept.parts[index] {
                self.part_elements(PartId(index as u32), &mut rig);
            }
        }
        for (element, &(a, b)) in self.ends.iter().enumerate() {
            rig.around[a.0 as usize].push(element);
            rig.around[b.0 as usize].push(element);
        }
        rig.solver = Solver::new(self.network);
        rig.carriers = self.carriers;
        rig.ends = self.ends;
        rig.pins = self.pins;
        rig.elements = self.elements;
        rig.bonds = self.bonds;
        rig.mates = self.mates;
        rig.index_contacts();
        rig
    }

    fn part_pins(&mut self, id: PartId) {
        let part = self.book.part(id);
        self.pins.push(Vec::new());
        self.bonds.push(None);
        if !self.kept.parts[id.index()] {
            return;
        }
        for index in 0..part.terminals.len() {
            let terminal = TerminalId(index as u16);
            let harness = self.network.add_node();
            // A splice is crimped, not plugged: it has one node.
            let body = if part.kind == Kind::Splice { harness } else { self.network.add_node() };
            let conductance = if body == harness { 0.0 } else { 1.0 / PIN_OHMS };
            let joint = self.branch(Carrier::Pin { part: id, terminal }, harness, body, conductance);
            self.pins[id.index()].push(Pin { harness, part: body, joint });
        }
        if part.kind == Kind::Ground {
            let node = self.pins[id.index()][0].part;
            let bond = self.branch(Carrier::Bond(id), node, NodeId::REFERENCE, 1.0 / BOND_OHMS);
            self.bonds[id.index()] = Some(bond);
        }
    }

    fn wires(&mut self) -> Vec<Option<Run>> {
        use crate::book::End;
        let book = self.book;
        self.mates = book.connectors.iter().map(|connector| vec![None; connector.cavities.len()]).collect();
        let mut runs = Vec::with_capacity(book.wires.len());
        for (index, wire) in book.wires.iter().enumerate() {
            if !self.kept.wires[index] {
                runs.push(None);
                continue;
            }
            let id = WireId(index as u32);
            let ends = wire.ends.map(|end| match end {
                End::Terminal { part, terminal } => self.pins[part.index()][terminal.index()].harness,
                End::Cavity { connector, cavity, side } => self.mate(connector, cavity).sides[side as usize],
            });
            let middle = self.network.add_node();
            let ohms = wire_ohms(&wire.size, wire.length.0, book.manual.temperature);
            let halves = [0u8, 1].map(|end| {
                let carrier = Carrier::Wire { wire: id, end };
                let (a, b) = if end == 0 { (ends[0], middle) } else { (middle, ends[1]) };
                self.branch(carrier, a, b, 2.0 / ohms)
            });
            let short = self.branch(Carrier::ShortToGround(id), middle, NodeId::REFERENCE, 0.0);
            runs.push(Some(Run { middle, halves, short, ohms, bears: ampacity(wire.size.value) }));
        }
        runs
    }

    fn mate(&mut self, connector: ConnectorId, cavity: u16) -> Mate {
        if let Some(mate) = self.mates[connector.index()][cavity as usize] {
            return mate;
        }
        let sides = [self.network.add_node(), self.network.add_node()];
        let joint = self.branch(Carrier::Cavity { connector, cavity }, sides[0], sides[1], 1.0 / PIN_OHMS);
        let mate = Mate { sides, joint };
        self.mates[connector.index()][cavity as usize] = Some(mate);
        mate
    }

    fn part_elements(&mut self, id: PartId, rig: &mut Rig<'b>) {
        let part = self.book.part(id);
        let choices = &self.book.builds[self.build.index()].choices;
        let first_state = rig.relays.len();
        for (state, relay) in part.states.iter().enumerate() {
            rig.relays.push(Relay {
                part: id,
                state,
                latching: relay.latching,
                drop_out: relay.drop_out,
                coils: Vec::new(),
            });
        }
        let pins: Vec<NodeId> = self.pins[id.index()].iter().map(|pin| pin.part).collect();
        for (element, data) in part.elements.iter().enumerate() {
            let (a, b) = (pins[data.a.index()], pins[data.b.index()]);
            let carrier = Carrier::Element { part: id, element };
            let node = |terminal: Option<TerminalId>| {
                terminal.map_or(NodeId::REFERENCE, |terminal| pins[terminal.index()])
            };
            let gate = |when, numbering: &mut Numbering| {
                Gate::compile(choices, when, numbering, &|state| first_state + state, &node)
            };
            let conductance = |ohms: Ohm| 1.0 / ohms.0;
            let branch = match &data.action {
                Action::Source { emf, internal } => {
                    let (emf, when, field) = match emf {
                        Supply::Vehicle { share } => (*share, None, None),
                        Supply::Fixed(volts) => (volts.0, Some(Gate::Fixed(true)), None),
                        Supply::Regulated { volts, when, field } => {
                            (volts.0, Some(gate(when, &mut rig.numbering)), *field)
                        }
                    };
                    let closed = conductance(*internal);
                    let branch = self.branch(carrier, a, b, 0.0);
                    if when.is_none() && rig.battery.is_none() {
                        rig.battery = Some((b, a));
                    }
                    let field = field.map(|terminal| pins[terminal.index()]);
                    rig.sources.push(Source {
                        id: branch,
                        part: id,
                        element,
                        emf,
                        conductance: closed,
                        gate: when,
                        field,
                    });
                    branch
                }
                Action::Contact { when, closed } => {
                    let gate = gate(when, &mut rig.numbering);
                    let branch = self.branch(carrier, a, b, 0.0);
                    rig.contacts.push(Contact {
                        part: id,
                        element,
                        id: branch,
                        closed: conductance(*closed),
                        gate,
                    });
                    branch
                }
                Action::Link { rating, cold, protection } => {
                    let conductance = conductance(*cold);
                    let branch = self.branch(carrier, a, b, conductance);
                    let rating = rating.0;
                    rig.links.push(Link {
                        part: id,
                        element,
                        id: branch,
                        rating,
                        conductance,
                        protection: *protection,
                    });
                    branch
                }
                Action::Resistor { ohms: Resistance::Fixed(ohms) } => {
                    self.branch(carrier, a, b, conductance(*ohms))
                }
                Action::Resistor { ohms: Resistance::Follows { control, points } } => {
                    let branch = self.branch(carrier, a, b, 1.0 / points[0].1);
                    let (control, points) = (control.index(), points.clone());
                    rig.followers.push(Follower { id: branch, part: id, element, control, points });
                    branch
                }
                Action::Coil { ohms, state, effect, per_ampere } => {
                    let branch = self.branch(carrier, a, b, conductance(*ohms));
                    rig.relays[first_state + state].coils.push((branch, *effect, *per_ampere));
                    branch
                }
                Action::Filament { volts, watts } => {
                    let (volts, watts) = (volts.0, watts.0);
                    let filament = filament(a, b, volts, watts);
                    let branch = self.add(carrier, a, b, filament);
                    self.sight(rig, id, element, branch, (a, b), volts, false);
                    branch
                }
                Action::Led { drop, amps, resistor } => {
                    let ohms = resistor.0;
                    let junction = diode(a, b, drop.0, amps.0, None, ohms);
                    let branch = self.add(carrier, a, b, junction);
                    self.sight(rig, id, element, branch, (a, b), amps.0, true);
                    branch
                }
                Action::Diode { breakdown } => {
                    let junction = diode(a, b, JUNCTION_VOLTS, 1.0, breakdown.map(|volts| volts.0), 0.0);
                    self.add(carrier, a, b, junction)
                }
                Action::Load { ohms, rated, .. } => {
                    let branch = self.branch(carrier, a, b, conductance(*ohms));
                    self.sight(rig, id, element, branch, (a, b), rated.0, false);
                    branch
                }
                Action::Flasher { closed, per_minute, share, bulb_out } => {
                    let conductance = conductance(*closed);
                    let branch = self.branch(carrier, a, b, conductance);
                    rig.flashers.push(Flasher {
                        part: id,
                        element,
                        id: branch,
                        conductance,
                        per_minute: *per_minute,
                        share: *share,
                        bulb_out: *bulb_out,
                    });
                    branch
                }
                Action::Capacitor { farads } => {
                    let branch = self.branch(carrier, a, b, 0.0);
                    rig.stores.push(Store { id: branch, farads: *farads });
                    branch
                }
            };
            self.elements[id.index()].push(branch);
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn sight(
        &self,
        rig: &mut Rig<'b>,
        part: PartId,
        element: usize,
        id: ElementId,
        (a, b): (NodeId, NodeId),
        rated: f64,
        by_current: bool,
    ) {
        let face = self.book.part(part).elements[element].face().expect("only elements with a face are seen");
        rig.sights.push(Sight { part, element, id, a, b, face, rated, by_current });
    }
}

/// A tungsten filament of `watts` at `volts`, cold at a tenth of its hot resistance.
pub fn filament(a: NodeId, b: NodeId, volts: f64, watts: f64) -> Element {
    let design_amps = watts / volts;
    let cold_ohms = volts / design_amps / HOT_TO_COLD;
    Element::Filament { a, b, design_volts: volts, design_amps, cold_ohms }
}

/// A junction that drops `volts` at `amps`, with a resistor of `ohms` in series.
fn diode(
    anode: NodeId,
    cathode: NodeId,
    volts: f64,
    amps: f64,
    breakdown: Option<f64>,
    ohms: f64,
) -> Element {
    let saturation = amps / (volts / JUNCTION_SLOPE).exp_m1();
    Element::Diode { anode, cathode, saturation, slope: JUNCTION_SLOPE, breakdown, ohms }
}

impl Rig<'_> {
    fn index_contacts(&mut self) {
        self.by_state = vec![Vec::new(); self.relays.len()];
        self.contact_of = vec![None; self.ends.len()];
        for (index, contact) in self.contacts.iter().enumerate() {
            self.contact_of[contact.id.0 as usize] = Some(index);
        }
        for (index, contact) in self.contacts.iter().enumerate() {
            let mut lively = false;
            contact.gate.walk(&mut |gate| match gate {
                Gate::Position { control, .. } | Gate::Level { control, .. } => {
                    self.by_control[control.index()].push(index)
                }
                Gate::State(state) => self.by_state[*state].push(index),
                Gate::Volts { .. } | Gate::Timed { .. } => lively = true,
                _ => {}
            });
            if lively {
                self.lively.push(index);
            }
        }
        for list in self.by_control.iter_mut().chain(&mut self.by_state) {
            list.dedup();
        }
    }
}
