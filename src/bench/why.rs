//! Turns an operating point into reasons: the path that carries a current, or the open places that stop it.

use super::gate::Gate;
use super::rig::Carrier;
use super::state::Bench;
use crate::book::{Action, ControlId, PartId, TerminalId, WireId};
use crate::solve::{ElementId, NodeId};
use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

/// One conductor on a path, from the feed towards the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hop {
    pub carrier: Carrier,
    /// Amperes through it.
    pub amps: f64,
    /// Volts against the body where the path leaves it.
    pub volts: f64,
}

/// Why an element does what it does.
#[derive(Debug, Clone, PartialEq)]
pub enum Why {
    /// Current flows: the path with the most current, from the supply through the element to the return.
    Path(Vec<Hop>),
    /// No current flows: what stops it on the way that has least to stop it, on the feed side, in the element itself, on
    /// the ground side.
    Gap { feed: Vec<Stop>, within: Option<Stop>, ground: Vec<Stop> },
}

/// What stops a current.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// A conductor that is open.
    Open(Carrier),
    /// A diode that lets no current through this way.
    Blocks(Carrier),
    /// A terminal of the element's that no conductor, open or not, joins to the supply on this side.
    NoWay { part: PartId, terminal: TerminalId },
}

/// What a reason depends on in turn, and why that stands as it does.
#[derive(Debug, Clone, PartialEq)]
pub struct Driver {
    pub part: PartId,
    pub stands: Stands,
    pub why: Why,
}

/// How a part stands that a reason depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// A relay whose contact is on the way, and why its winding carries current.
    Energized,
    /// The same, and why it carries none.
    AtRest,
    /// A protective link that has opened, and the way of the current that opened it.
    Blown,
}

/// How much no way at all stands in the way of a current: see [`Bench::hindrance`].
const NO_WAY: u32 = 1_000_000;

/// Below this current an element is said to carry none, in amperes.
pub const CARRIES: f64 = 1e-3;

impl Why {
    /// What is on the path, or open on the way.
    fn carriers(&self) -> Vec<Carrier> {
        let open = |stop: &Stop| match *stop {
            Stop::Open(carrier) => Some(carrier),
            _ => None,
        };
        match self {
            Why::Path(hops) => hops.iter().map(|hop| hop.carrier).collect(),
            Why::Gap { feed, within, ground } => {
                feed.iter().chain(within).chain(ground).filter_map(open).collect()
            }
        }
    }

    /// Whether it says that nothing flows because this is open.
    fn stops_at(&self, carrier: Carrier) -> bool {
        matches!(self, Why::Gap { .. }) && self.carriers().contains(&carrier)
    }
}

impl Bench<'_> {
    /// Why a part's element carries current or doesn't. None when the build lacks it.
    pub fn why(&self, part: PartId, element: usize) -> Option<Why> {
        let id = self.rig.element(part, element)?;
        let amps = self.point().amps(id);
        let (a, b) = self.rig.ends[id.0 as usize];
        if amps.abs() < CARRIES {
            let data = &self.rig.vehicle.part(part).elements[element];
            let usual = self.usual();
            let gap = |from: NodeId, to: NodeId, terminal| {
                let no_way = (NO_WAY, vec![Stop::NoWay { part, terminal }]);
                self.gap(from, to, id.0, usual.as_deref()).unwrap_or(no_way)
            };
            // Current comes back to the source that it came from: the one that least keeps it from doing so.
            let sources = self.rig.sources.iter().zip(&self.giving).filter(|(_, giving)| **giving);
            let ways = sources.map(|(source, _)| {
                let (minus, plus) = self.rig.ends[source.id.0 as usize];
                (gap(plus, a, data.a), gap(b, minus, data.b))
            });
            let ((_, feed), (_, ground)) = ways.min_by_key(|(feed, ground)| feed.0 + ground.0)?;
            let own = Carrier::Element { part, element };
            let backwards = self.point().island(a) == self.point().island(b)
                && self.point().volts_between(a, b) < -CARRIES;
            let within = match data.action {
                _ if !self.conducts(id.0 as usize) => Some(Stop::Open(own)),
                Action::Led { .. } | Action::Diode { .. } if backwards => Some(Stop::Blocks(own)),
                _ => None,
            };
            return Some(Why::Gap { feed, within, ground });
        }
        Some(Why::Path(self.path(id.0 as usize)))
    }

    /// The way of the current through a wire; none where the build lacks the wire or it carries no current.
    pub fn why_wire(&self, wire: WireId) -> Option<Why> {
        let half = self.rig.runs[wire.index()]?.halves[0];
        let carries = self.point().amps(half).abs() >= CARRIES;
        carries.then(|| Why::Path(self.path(half.0 as usize)))
    }

    /// The path with the most current through an element that carries some, from the supply to the return.
    pub(super) fn path(&self, element: usize) -> Vec<Hop> {
        let (a, b) = self.rig.ends[element];
        let (enter, leave) = if self.amps(element) > 0.0 { (a, b) } else { (b, a) };
        let mut hops: Vec<Hop> = self.trace(enter, true);
        hops.reverse();
        hops.push(self.hop(element, leave));
        hops.extend(self.trace(leave, false));
        hops
    }

    /// What a reason depends on: the relays whose contacts make or break its way, the protective links on it that have
    /// opened, and what theirs depend on in turn: each once. A latched relay that needs no current to stay in says nothing of how it
    /// came to be so, and is left out.
    pub fn drivers(&self, why: &Why) -> Vec<Driver> {
        let mut drivers: Vec<Driver> = Vec::new();
        let mut reasons = VecDeque::from([why.clone()]);
        while let Some(reason) = reasons.pop_front() {
            for relay in self.relays_on(&reason) {
                let part = self.rig.relays[relay].part;
                if drivers.iter().any(|driver| driver.part == part) {
                    continue;
                }
                let Some(why) = self.winding(relay) else { continue };
                let energized = self.states[relay];
                if energized && matches!(why, Why::Gap { .. }) {
                    continue;
                }
                reasons.push_back(why.clone());
                let stands = if energized { Stands::Energized } else { Stands::AtRest };
                drivers.push(Driver { part, stands, why });
            }
            for (part, hops) in &self.blows {
                let open = |element: usize| reason.stops_at(Carrier::Element { part: *part, element });
                let mut links = self.rig.links.iter().filter(|link| link.part == *part);
                if links.any(|link| open(link.element)) && drivers.iter().all(|driver| driver.part != *part) {
                    let why = Why::Path(hops.clone());
                    drivers.push(Driver { part: *part, stands: Stands::Blown, why });
                }
            }
        }
        drivers
    }

    /// The contacts that the same vehicle has made where nothing is broken or taken apart; none where nothing is.
    fn usual(&self) -> Option<Vec<bool>> {
        let whole = self.planted.is_empty()
            && self.unplugged.is_empty()
            && self.open_connectors.is_empty()
            && self.loose_ends.is_empty()
            && self.blows.is_empty();
        if whole {
            return None;
        }
        let mut twin = Bench::new(self.rig, self.corner.clone()).ok()?;
        let settings = self.settings.iter().zip(0..).map(|(to, control)| (ControlId(control), *to));
        twin.set_all(&settings.collect::<Vec<_>>()).ok()?;
        Some(twin.made)
    }

    fn relays_on(&self, why: &Why) -> Vec<usize> {
        let mut relays = Vec::new();
        for carrier in why.carriers() {
            let Carrier::Element { part, element } = carrier else {
                continue;
            };
            let id = self.rig.elements[part.index()][element];
            if let Some(contact) = self.rig.contact_of[id.0 as usize] {
                self.rig.contacts[contact].gate.walk(&mut |gate| {
                    if let Gate::State(state) = gate {
                        relays.push(*state);
                    }
                });
            }
        }
        relays
    }

    /// Why the winding of a relay that carries most carries it; of a relay without current, its first.
    fn winding(&self, relay: usize) -> Option<Why> {
        let coils = self.rig.relays[relay].coils.iter();
        let amps = |id: ElementId| self.point().amps(id).abs();
        let (coil, ..) = coils.rev().max_by(|a, b| amps(a.0).total_cmp(&amps(b.0)))?;
        match self.rig.carriers[coil.0 as usize] {
            Carrier::Element { part, element } => self.why(part, element),
            _ => None,
        }
    }

    /// Follows the greatest current from a node, upstream or downstream, until a source, or the body, or a loop ends it.
    fn trace(&self, from: NodeId, upstream: bool) -> Vec<Hop> {
        let around = &self.rig.around;
        let mut hops = Vec::new();
        let mut seen = vec![from];
        let mut node = from;
        while node != NodeId::REFERENCE {
            let best = around[node.0 as usize]
                .iter()
                .map(|&element| {
                    let (a, b) = self.rig.ends[element];
                    let amps = self.point().amps(ElementId(element as u32));
                    let out = if a == node { amps } else { -amps };
                    (if upstream { -out } else { out }, element, if a == node { b } else { a })
                })
                .filter(|(amps, _, next)| *amps > CARRIES / 10.0 && !seen.contains(next))
                .max_by(|x, y| x.0.total_cmp(&y.0).then(y.1.cmp(&x.1)));
            let Some((_, element, next)) = best else { break };
            hops.push(self.hop(element, if upstream { node } else { next }));
            if self.rig.sources.iter().any(|source| source.id.0 as usize == element) {
                break;
            }
            seen.push(next);
            node = next;
        }
        hops
    }

    fn hop(&self, element: usize, leave: NodeId) -> Hop {
        let amps = self.point().amps(ElementId(element as u32)).abs();
        Hop { carrier: self.rig.carriers[element], amps, volts: self.point().volts(leave) }
    }

    /// What stops a current between two nodes on the way that has least to stop it, and how much that is; none where there is
    /// no way at all. Loads are no way to feed another load, so they do not count as conductors.
    fn gap(
        &self,
        from: NodeId,
        to: NodeId,
        without: u32,
        usual: Option<&[bool]>,
    ) -> Option<(u32, Vec<Stop>)> {
        let around = &self.rig.around;
        let mut cost = vec![u32::MAX; around.len()];
        let mut came: Vec<Option<(usize, NodeId)>> = vec![None; around.len()];
        let mut queue = BinaryHeap::from([Reverse((0, from))]);
        cost[from.0 as usize] = 0;
        loop {
            let Reverse((here, node)) = queue.pop()?;
            if node == to {
                break;
            }
            if here > cost[node.0 as usize] {
                continue;
            }
            for &element in &around[node.0 as usize] {
                if element as u32 == without || !self.is_way(element) {
                    continue;
                }
                let (a, b) = self.rig.ends[element];
                let next = if a == node { b } else { a };
                let sum = here + self.hindrance(element, node, usual);
                if sum < cost[next.0 as usize] {
                    cost[next.0 as usize] = sum;
                    came[next.0 as usize] = Some((element, node));
                    queue.push(Reverse((sum, next)));
                }
            }
        }
        let mut stops = Vec::new();
        let mut node = to;
        while let Some((element, before)) = came[node.0 as usize] {
            let carrier = self.rig.carriers[element];
            if !self.conducts(element) {
                stops.push(Stop::Open(carrier));
            } else if self.blocks(element, before) {
                stops.push(Stop::Blocks(carrier));
            }
            node = before;
        }
        stops.reverse();
        Some((cost[to.0 as usize], stops))
    }

    /// How much an element stands in the way of a current from a node of its, none where it conducts: least where it is open and would not be in
    /// a vehicle that is whole, more where a control would close it, most where no hand can do anything about it.
    fn hindrance(&self, element: usize, from: NodeId, usual: Option<&[bool]>) -> u32 {
        const BROKEN: u32 = 1;
        const OPEN: u32 = 100;
        const BLOCKED: u32 = 10_000;
        if self.conducts(element) {
            return if self.blocks(element, from) { BLOCKED } else { 0 };
        }
        match self.rig.contact_of[element] {
            Some(contact) if !usual.is_some_and(|usual| usual[contact]) => OPEN,
            _ => BROKEN,
        }
    }

    /// Whether an element lets no current through that comes from this node of its.
    fn blocks(&self, element: usize, from: NodeId) -> bool {
        let elements = self.solver.network().elements();
        let is_diode = matches!(elements[element], crate::solve::Element::Diode { breakdown: None, .. });
        is_diode && from == self.rig.ends[element].1
    }

    /// Whether an element is a way for current rather than a load or a fault's place.
    fn is_way(&self, element: usize) -> bool {
        match self.rig.carriers[element] {
            Carrier::ShortToGround(_) => false,
            Carrier::Element { part, element } => !matches!(
                self.rig.vehicle.part(part).elements[element].action,
                Action::Coil { .. }
                    | Action::Filament { .. }
                    | Action::Led { .. }
                    | Action::Load { .. }
                    | Action::Source { .. }
                    | Action::Capacitor { .. }
            ),
            _ => true,
        }
    }

    /// For each node whether it is joined to the body or the battery's minus by what conducts and is no load.
    pub fn grounded(&self) -> Vec<bool> {
        let mut found = vec![false; self.rig.around.len()];
        let mut queue = vec![NodeId::REFERENCE];
        queue.extend(self.rig.battery.map(|(_, minus)| minus));
        while let Some(node) = queue.pop() {
            if std::mem::replace(&mut found[node.0 as usize], true) {
                continue;
            }
            for &element in &self.rig.around[node.0 as usize] {
                if self.is_way(element) && !self.resists(element) && self.conducts(element) {
                    let (a, b) = self.rig.ends[element];
                    queue.push(if a == node { b } else { a });
                }
            }
        }
        found
    }

    /// Whether an element is a way for current that drops volts by its nature.
    fn resists(&self, element: usize) -> bool {
        let Carrier::Element { part, element } = self.rig.carriers[element] else {
            return false;
        };
        matches!(
            self.rig.vehicle.part(part).elements[element].action,
            Action::Resistor { .. } | Action::Diode { .. }
        )
    }

    /// Whether an element lets current through as it stands.
    pub(super) fn conducts(&self, element: usize) -> bool {
        use crate::solve::Element;
        let id = ElementId(element as u32);
        !self.solver.is_open(id)
            && match self.solver.element(id) {
                Element::Branch { conductance, .. } => conductance > 0.0,
                _ => true,
            }
    }
}
