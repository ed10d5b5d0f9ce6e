//! Turns the book's parts, wires and connectors into the list of single faults that each can have, with their shares.
//!
//! The shares follow the failure-mode distributions of MIL-HDBK-338B, table 7.8-1 (from memory), as far as a mode changes
//! a circuit with one fault at a time: a fuse that fails to open or opens slowly (0.92 of its failures there) does nothing
//! without a second fault, and is left out. The rest is scaled to 1 for each item. Where the handbook has no row, the
//! split is this project's assumption and is said to be one.

use super::{
    Action, Book, Condition, ConnectorId, End, Face, Fault, Item, Kind, Mode, Part, PartId, TerminalId,
    WireId,
};
use std::collections::BTreeSet;

/// Ohms that a bad joint or a burnt contact adds. The handbook's *drift* has no size: it is whatever made the circuit
/// misbehave. A hundred ohms starve any lamp, coil or motor of a 12 V vehicle and still show full voltage on a meter.
const HIGH: f64 = 100.0;

/// What a weak battery still gives of its voltage (assumption: 12 V sag to 9 V).
const WEAK: f64 = 0.75;

/// The part of an item's failures that lies in its terminals rather than in it (assumption).
const PINS: f64 = 0.15;

/// The part of a connector's failures in which it has come apart altogether (assumption).
const NOT_MATED: f64 = 0.2;

/// Every fault of every item: parts, then wires, then connectors, each in the book's order.
pub fn catalogue(book: &Book) -> Vec<Fault> {
    let builds: Vec<Wiring> = (0..book.builds.len()).map(|build| Wiring::of(book, build)).collect();
    let any = Wiring::of_any(book, &builds);
    let parts = (0..book.parts.len() as u32).map(|part| Item::Part(PartId(part)));
    let wires = (0..book.wires.len() as u32).map(|wire| Item::Wire(WireId(wire)));
    let connectors =
        (0..book.connectors.len() as u32).map(|connector| Item::Connector(ConnectorId(connector)));
    parts.chain(wires).chain(connectors).flat_map(|item| faults(book, item, &any, &builds)).collect()
}

/// The faults of an item, with their shares in each build.
fn faults(book: &Book, item: Item, any: &Wiring, builds: &[Wiring]) -> Vec<Fault> {
    let spread: Vec<Vec<(Mode, f64)>> = builds
        .iter()
        .map(|wiring| if wiring.has(item) { spread(book, item, wiring) } else { Vec::new() })
        .collect();
    let modes = modes(book, item, any).into_iter();
    let faults = modes.map(|(what, mode, _)| {
        let share =
            |build: &Vec<(Mode, f64)>| build.iter().find(|(own, _)| *own == mode).map(|(_, share)| *share);
        let name = book.step_line().mode(&what, &mode);
        Fault { item, mode, shares: spread.iter().map(share).collect(), what, name }
    });
    faults.collect()
}

/// The modes of an item with shares that add up to 1: those that the author gave as they are, the others in proportion to
/// their weights in what is left.
fn spread(book: &Book, item: Item, wiring: &Wiring) -> Vec<(Mode, f64)> {
    let given: &[(String, f64)] = match item {
        Item::Part(part) => &book.part(part).fails,
        Item::Wire(_) | Item::Connector(_) => &[],
    };
    let own: Vec<(Mode, f64, Option<f64>)> = modes(book, item, wiring)
        .into_iter()
        .map(|(what, mode, weight)| {
            let name = book.step_line().mode(&what, &mode);
            let word = mode_word(book, item, &name);
            let stated = given.iter().find(|(mode, _)| mode == word).map(|(_, share)| *share);
            (mode, weight, stated)
        })
        .collect();
    let taken: f64 = own.iter().filter_map(|(_, _, stated)| *stated).sum();
    let free: f64 = own.iter().filter(|(_, _, stated)| stated.is_none()).map(|(_, weight, _)| weight).sum();
    let left = if free > 0.0 { (1.0 - taken).max(0.0) } else { 0.0 };
    let total = (taken + left).max(f64::MIN_POSITIVE);
    own.into_iter()
        .map(|(mode, weight, stated)| (mode, stated.unwrap_or_else(|| left * weight / free) / total))
        .collect()
}

/// What a build has, as far as it decides what can fail there.
struct Wiring {
    items: BTreeSet<Item>,
    /// The terminals at which a wire ends: a pin without a wire cannot fail to connect anything.
    pins: BTreeSet<(PartId, TerminalId)>,
    /// The cavities that a wire reaches: another cannot lose anything.
    cavities: BTreeSet<(ConnectorId, u16)>,
    /// The wires that lose something by touching the body: those that wires alone tie to a ground point do not.
    groundable: BTreeSet<WireId>,
}

impl Wiring {
    fn of(book: &Book, build: usize) -> Wiring {
        let grounded = grounded(book, build);
        let wires = || (0..).map(WireId).zip(&book.wires).filter(|(_, wire)| wire.fitted[build]);
        let parts = (0..).map(PartId).zip(&book.parts).filter(|(_, part)| part.fitted[build]);
        let mut wiring = Wiring {
            items: parts.map(|(part, _)| Item::Part(part)).collect(),
            pins: BTreeSet::new(),
            cavities: BTreeSet::new(),
            groundable: BTreeSet::new(),
        };
        for (id, wire) in wires() {
            wiring.items.insert(Item::Wire(id));
            if !wire.ends.iter().any(|end| grounded.contains(&joint(*end))) {
                wiring.groundable.insert(id);
            }
            for end in wire.ends {
                match end {
                    End::Terminal { part, terminal } => {
                        wiring.pins.insert((part, terminal));
                    }
                    End::Cavity { connector, cavity, .. } => {
                        wiring.items.insert(Item::Connector(connector));
                        wiring.cavities.insert((connector, cavity));
                    }
                }
            }
        }
        wiring
    }

    /// All that at least one build has, and each item that none has.
    fn of_any(book: &Book, builds: &[Wiring]) -> Wiring {
        let cavities = (0..).map(ConnectorId).zip(&book.connectors);
        let cavities = cavities
            .flat_map(|(id, connector)| (0..connector.cavities.len() as u16).map(move |cavity| (id, cavity)));
        Wiring {
            items: (0..book.wires.len() as u32).map(|wire| Item::Wire(WireId(wire))).collect(),
            pins: builds.iter().flat_map(|build| build.pins.iter().copied()).collect(),
            cavities: cavities.collect(),
            groundable: builds.iter().flat_map(|build| build.groundable.iter().copied()).collect(),
        }
    }

    fn has(&self, item: Item) -> bool {
        self.items.contains(&item)
    }
}

/// Where wires meet: a part's terminal, or a cavity whose two sides are joined.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Joint {
    Terminal(PartId, TerminalId),
    Cavity(ConnectorId, u16),
}

fn joint(end: End) -> Joint {
    match end {
        End::Terminal { part, terminal } => Joint::Terminal(part, terminal),
        End::Cavity { connector, cavity, .. } => Joint::Cavity(connector, cavity),
    }
}

/// Everything that a build's wires alone tie to a ground point of it.
fn grounded(book: &Book, build: usize) -> BTreeSet<Joint> {
    let is_ground = |end: &End| match end {
        End::Terminal { part, .. } => {
            let part = book.part(*part);
            part.kind == Kind::Ground && part.fitted[build]
        }
        End::Cavity { .. } => false,
    };
    let wires = || book.wires.iter().filter(|wire| wire.fitted[build]);
    let ends = wires().flat_map(|wire| wire.ends);
    let mut tied: BTreeSet<Joint> = ends.filter(is_ground).map(joint).collect();
    loop {
        let before = tied.len();
        for wire in wires() {
            let [a, b] = wire.ends.map(joint);
            if tied.contains(&a) {
                tied.insert(b);
            } else if tied.contains(&b) {
                tied.insert(a);
            }
        }
        if tied.len() == before {
            return tied;
        }
    }
}

/// What of an item fails, how, and the weight among the item's modes.
type Weighted = (String, Mode, f64);

/// All modes of an item, with their weights among each other.
fn modes(book: &Book, item: Item, wiring: &Wiring) -> Vec<Weighted> {
    match item {
        Item::Part(part) => part_modes(book, part, wiring),
        Item::Wire(wire) => wire_modes(book, wire, wiring),
        Item::Connector(connector) => connector_modes(book, connector, wiring),
    }
}

fn part_modes(book: &Book, id: PartId, wiring: &Wiring) -> Vec<Weighted> {
    let part = book.part(id);
    if part.kind == Kind::Splice {
        // A splice fails by losing one of its wires, which is that wire open.
        return Vec::new();
    }
    if part.kind == Kind::Ground {
        return vec![(part.id.clone(), Mode::GroundLost, 1.0)];
    }
    let mut modes: Vec<Weighted> = Vec::new();
    for (element, found) in part.elements.iter().enumerate() {
        let named = matches!(found.action, Action::Coil { .. } | Action::Contact { .. })
            || part.elements.len() > 1 && !alone(part, element);
        let what = if named { format!("{} {}", part.id, found.name) } else { part.id.clone() };
        for (mode, weight) in element_modes(part, element) {
            modes.push((what.clone(), mode, weight));
        }
    }
    for state in 0..part.states.len() {
        // A coil that could not be read moves nothing that could be stuck.
        let moves = |element: &super::Element| matches!(element.action, Action::Coil { state: of, .. } if of == state);
        if !part.elements.iter().any(moves) {
            continue;
        }
        // Relay: fails to trip .55, spurious trip .26, short .19. Failing to trip is shared with coils and contacts.
        modes.push((part.id.clone(), Mode::StuckOut(state), 0.20));
        modes.push((part.id.clone(), Mode::StuckIn(state), 0.26));
    }
    let own: f64 = modes.iter().map(|(_, _, weight)| weight).sum();
    let share = if own > 0.0 { own * PINS / (1.0 - PINS) } else { 1.0 };
    let pins = (0..part.terminals.len() as u16).map(TerminalId);
    let pins: Vec<TerminalId> = pins.filter(|pin| wiring.pins.contains(&(id, *pin))).collect();
    for &pin in &pins {
        let what = format!("{}:{}", part.id, part.terminals[pin.index()].name);
        modes.push((what, Mode::PinOpen(pin), share / pins.len() as f64));
    }
    modes
}

/// Whether no other element of the part is of the same sort, so that its faults need not name it.
fn alone(part: &Part, element: usize) -> bool {
    let sort = std::mem::discriminant(&part.elements[element].action);
    let same = part.elements.iter().filter(|other| std::mem::discriminant(&other.action) == sort);
    same.count() == 1 && !matches!(part.kind, Kind::Relay | Kind::Contactor | Kind::Timer | Kind::Module)
}

/// How one element fails: the handbook's row for its sort, mapped to what the circuit sees.
fn element_modes(part: &Part, element: usize) -> Vec<(Mode, f64)> {
    let open = |weight| (Mode::ElementOpen(element), weight);
    let shorted = |weight| (Mode::ElementShorted(element), weight);
    let high = |weight| (Mode::ElementHigh(element, HIGH), weight);
    let stuck = |weight| (Mode::ContactStuck(element), weight);
    let reversed = |weight| (Mode::Reversed(element), weight);
    let contacts = part.elements.iter().filter(|element| matches!(element.action, Action::Contact { .. }));
    let contacts = contacts.count().max(1) as f64;
    match &part.elements[element].action {
        // Battery, lead acid: degraded .70, short .20, intermittent .10; a shorted or intermittent one gives nothing.
        Action::Source { .. } if part.kind == Kind::Battery => {
            vec![(Mode::Weak(element, WEAK), 0.70), open(0.30)]
        }
        // Assumption: an alternator stops giving current.
        Action::Source { .. } => vec![open(1.0)],
        // Relay, short .19: a welded contact; part of failing to trip (.55) is a contact that does not conduct.
        Action::Contact { when, .. } if moved(when) => {
            vec![open(0.10 / contacts), high(0.05 / contacts), stuck(0.19 / contacts)]
        }
        // Switch, toggle: open .65 (of it, some by dirt), sticking .19, short .16.
        Action::Contact { .. } => vec![open(0.50), high(0.15), stuck(0.35)],
        // Fuse: premature open .08 is the only mode that shows without a second fault.
        Action::Link { .. } => vec![open(1.0)],
        // Coil: short .42, open .42. A relay's are part of its failing to trip.
        Action::Coil { .. } => vec![open(0.10), shorted(0.10)],
        // Resistor, fixed: open .84, parameter change .11, short .05; in a relay or module it is a small part of it.
        Action::Resistor { .. } if part.elements.len() > 1 && part.kind != Kind::SteppedResistor => {
            vec![open(0.042), shorted(0.003)]
        }
        Action::Resistor { .. } => vec![open(0.84), high(0.11), shorted(0.05)],
        // Lamp: no illumination .67, loss of illumination .33: both an open filament.
        Action::Filament { .. } => vec![open(1.0)],
        // Diode, general: short .49, open .36; fitted the wrong way round: assumption.
        Action::Led { .. } => vec![open(0.51), shorted(0.34), reversed(0.15)],
        Action::Diode { .. } if part.elements.len() > 1 => vec![open(0.03), shorted(0.04)],
        Action::Diode { .. } => vec![shorted(0.49), open(0.36), reversed(0.15)],
        Action::Load { face, .. } => match face {
            // Motor: winding .31 (half open, half shorted), bearing .28 and failing after start .23 (seized), failing to
            // start .18 (open).
            Face::Motor { .. } | Face::Starter => {
                vec![open(0.335), shorted(0.155), (Mode::Seized(element), 0.51)]
            }
            // Coil: short .42, open .42, change .16.
            Face::Valve => vec![open(0.50), shorted(0.50)],
            // Resistor, fixed: open .84, short .05.
            Face::Heater => vec![open(0.94), shorted(0.06)],
            // Meter: open .14, no indication .12 and faulty indication .51 are all a pointer at rest here.
            Face::Gauge { .. } => vec![open(1.0)],
            // Assumption.
            Face::Sounder | Face::Lamp => vec![open(0.70), shorted(0.30)],
        },
        // Relay, as above: a flasher that does not conduct, and one that conducts for good.
        Action::Flasher { .. } => vec![open(0.74), stuck(0.26)],
        // Capacitor, aluminum electrolytic: short .53, open .35.
        Action::Capacitor { .. } => vec![shorted(0.60), open(0.40)],
    }
}

/// Whether a relay state moves the contact.
fn moved(when: &Condition) -> bool {
    let mut found = false;
    when.walk(&mut |condition| found |= matches!(condition, Condition::Energized(_)));
    found
}

/// Cable: short .45, excessive wear .36, open .19.
fn wire_modes(book: &Book, id: WireId, wiring: &Wiring) -> Vec<Weighted> {
    let wire = book.wire(id);
    let neighbors = book.neighbors.iter().filter_map(|&[a, b]| match id {
        _ if id == a => Some(b),
        _ if id == b => Some(a),
        _ => None,
    });
    let neighbors = neighbors.filter(|other| wiring.has(Item::Wire(*other))).map(Mode::WireToWire);
    let ground = wiring.groundable.contains(&id).then_some(Mode::WireToGround);
    let shorts: Vec<Mode> = ground.into_iter().chain(neighbors).collect();
    let share = 0.45 / shorts.len().max(1) as f64;
    let modes = [(Mode::WireOpen, 0.19), (Mode::WireHigh(HIGH), 0.36)].into_iter();
    let modes = modes.chain(shorts.into_iter().map(|mode| (mode, share)));
    modes.map(|(mode, weight)| (wire.id.clone(), mode, weight)).collect()
}

/// Connector: open .61, poor contact .23, short .16; here each cavity open, and the whole not mated.
fn connector_modes(book: &Book, id: ConnectorId, wiring: &Wiring) -> Vec<Weighted> {
    let connector = book.connector(id);
    let cavities = connector.cavities.iter().zip(0..);
    let reached: Vec<_> = cavities.filter(|(_, cavity)| wiring.cavities.contains(&(id, *cavity))).collect();
    let each = (1.0 - NOT_MATED) / reached.len().max(1) as f64;
    let open = reached
        .into_iter()
        .map(|(name, cavity)| (format!("{}:{name}", connector.id), Mode::CavityOpen(cavity), each));
    open.chain([(connector.id.clone(), Mode::NotMated, NOT_MATED)]).collect()
}

/// A fault's name within its item: what `fails` uses. A pin's or a cavity's begins with the item's own id.
pub fn mode_word<'a>(book: &Book, item: Item, name: &'a str) -> &'a str {
    let id = book.item_name(item);
    let rest = name.strip_prefix(id).and_then(|rest| rest.strip_prefix(' '));
    rest.unwrap_or(name)
}
