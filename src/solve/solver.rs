//! Turns a network and changes of it into operating points: what is to be solved, kept ready for the method that solves it.

use super::device::Device;
use super::factor::Factor;
use super::network::{Element, ElementId, Network, NodeId};
use super::order::Order;
use super::point::{Point, across};
use super::trouble::Trouble;
use std::sync::{Arc, OnceLock};

/// Iterations after which each step is checked to descend. Limited steps settle in a dozen as a rule; but nothing keeps a few
/// diodes and filaments against each other from going round in circles.
const UNCHECKED_ITERATIONS: u32 = 40;

/// A network with its factorization and its last operating point.
///
/// A clone costs a few flat copies, and [`Clone::clone_from`] a solver of the same network doesn't even allocate: the cheapest
/// way back to a healthy vehicle.
#[derive(Debug)]
pub struct Solver {
    pub(super) network: Arc<Network>,
    /// The order without attachments; that of the point has them.
    pub(super) bare: Arc<Order>,
    pub(super) attached: Vec<Option<Element>>,
    /// What is attached but was taken off since the network was laid out.
    pub(super) lifted: Vec<u32>,
    /// What is attached is what the point's order has.
    pub(super) laid: bool,
    /// Changes since the last solution.
    pub(super) pending: Vec<(ElementId, Change)>,
    pub(super) factor: Factor,
    /// Electromotive force by slot, from near to far, in volts; less the touching voltage, for a tangent.
    pub(super) emf: Vec<f64>,
    /// Current at that voltage by slot, in amperes: 0 for a branch.
    pub(super) source: Vec<f64>,
    pub(super) seats: Vec<Seat>,
    pub(super) point: Point,
    /// The point's currents are those of its voltages, and balance.
    pub(super) warm: bool,
    /// A change since the last solution brought a current with it.
    pub(super) upset: bool,
    /// What each position is short of, in amperes; while a solution is made, by how much its voltage moves. Between solutions it
    /// holds what the last one left, so that this doesn't add up.
    pub(super) step: Vec<f64>,
}

/// A change of one element.
#[derive(Clone, Copy, Debug)]
pub(super) enum Change {
    Conductance(f64),
    Emf(f64),
    Open(bool),
}

/// A diode or filament where it sits.
#[derive(Clone, Debug)]
pub(super) struct Seat {
    pub(super) element: u32,
    pub(super) slot: u32,
    pub(super) near: u32,
    pub(super) far: u32,
    pub(super) sign: f64,
    pub(super) device: Device,
}

impl Solver {
    /// Orders and analyzes the network once, with all its elements, open ones too, so that no later change of a
    /// conductance needs either again.
    pub fn new(network: Network) -> Solver {
        let order = Arc::new(Order::new(&network));
        let mut solver = Solver {
            bare: order.clone(),
            attached: Vec::new(),
            lifted: Vec::new(),
            laid: true,
            pending: Vec::new(),
            factor: Factor::new(&order),
            emf: Vec::new(),
            source: Vec::new(),
            seats: Vec::new(),
            point: Point {
                volts: vec![(0.0, 0.0); order.size() + 1],
                amps: Vec::new(),
                siemens: Vec::new(),
                branches: Vec::new(),
                open: vec![false; network.elements().len()],
                residual: f64::INFINITY,
                iterations: 0,
                own: network.elements().len() as u32,
                islands: OnceLock::new(),
                order,
            },
            warm: false,
            upset: false,
            step: Vec::new(),
            network: Arc::new(network),
        };
        for (id, element) in solver.network.clone().elements().iter().enumerate() {
            solver.seat(id, element);
        }
        solver.load_all();
        solver
    }

    /// The network as it was given.
    pub fn network(&self) -> &Network {
        &self.network
    }

    /// Sets a branch's conductance, in siemens: a contact, a fuse, a fault.
    ///
    /// # Panics
    /// If the element isn't a branch, or the value isn't 0 or more and finite.
    pub fn set_conductance(&mut self, id: ElementId, siemens: f64) {
        assert!(siemens >= 0.0 && siemens.is_finite(), "{siemens} S is no conductance");
        self.require_branch(id);
        self.pending.push((id, Change::Conductance(siemens)));
    }

    /// Sets a branch's electromotive force, in volts.
    ///
    /// # Panics
    /// If the element isn't a branch, or the value isn't finite.
    pub fn set_emf(&mut self, id: ElementId, volts: f64) {
        assert!(volts.is_finite(), "{volts} V is no electromotive force");
        self.require_branch(id);
        self.pending.push((id, Change::Emf(volts)));
    }

    /// Takes an element of any kind out of the network, or puts it back as it was.
    pub fn set_open(&mut self, id: ElementId, open: bool) {
        assert!(id.0 < self.point.own, "{id:?} does not exist");
        self.pending.push((id, Change::Open(open)));
    }

    /// An element of the network with the conductance and electromotive force that were last set.
    pub fn element(&self, id: ElementId) -> Element {
        let mut element = self.network.elements()[id.0 as usize];
        if let Element::Branch { conductance, emf, .. } = &mut element {
            (*conductance, *emf) = self.point.branches[id.0 as usize];
            for (_, change) in self.pending.iter().filter(|(changed, _)| *changed == id) {
                match *change {
                    Change::Conductance(siemens) => *conductance = siemens,
                    Change::Emf(volts) => *emf = volts,
                    Change::Open(_) => {}
                }
            }
        }
        element
    }

    /// Whether an element was taken out with [`Solver::set_open`].
    pub fn is_open(&self, id: ElementId) -> bool {
        let changes = self.pending.iter().filter(|(changed, _)| *changed == id);
        changes.fold(self.point.open[id.0 as usize], |open, (_, change)| match *change {
            Change::Open(open) => open,
            _ => open,
        })
    }

    fn require_branch(&self, id: ElementId) {
        let element = &self.network.elements()[id.0 as usize];
        assert!(matches!(element, Element::Branch { .. }), "{element:?} is not a branch");
    }

    /// The last operating point, whatever has been changed since. After a [`Trouble`], and before the first
    /// [`Solver::solve`], its residual is infinite and nothing in it holds.
    pub fn point(&self) -> &Point {
        &self.point
    }

    /// Starts the next solution from the voltages of a snapshot of this solver or a clone, instead of the last ones.
    ///
    /// It changes only where the search begins: conductances and attachments stay as they are.
    pub fn start_from(&mut self, point: &Point) {
        for (position, node) in self.point.order.node.iter().enumerate() {
            self.point.volts[position] = point.parts(*node);
        }
        self.warm = false;
    }

    /// Finds the operating point after all changes since the last.
    ///
    /// Newton's method: solve the network with each diode and filament replaced by a tangent, move the tangents,
    /// and again, until each device's own current is its tangent's. Linear networks need one solution and one to refine it.
    /// Cost: the columns of the factor on the changed elements' paths, and for each iteration two passes over the factor and one over
    /// the devices; one pass over all links for the residual. Nothing is allocated unless something was attached or detached.
    /// On a [`Trouble`] the voltages are forgotten; the changes stay.
    pub fn solve(&mut self) -> Result<&Point, Trouble> {
        if !self.laid {
            self.lay();
        }
        if !self.pending.is_empty() || !self.warm {
            self.point.islands = OnceLock::new();
            for at in 0..self.pending.len() {
                let (id, change) = self.pending[at];
                self.apply(id, change);
            }
            self.pending.clear();
            if let Err(trouble) = self.iterate(UNCHECKED_ITERATIONS) {
                self.start_cold();
                return Err(trouble);
            }
            self.warm = true;
            self.upset = false;
        }
        Ok(&self.point)
    }

    /// Forgets the voltages and puts every device back to 0 V, so that a trouble leaves no trace in the next solution.
    fn start_cold(&mut self) {
        self.point.volts.fill((0.0, 0.0));
        self.point.residual = f64::INFINITY;
        for seat in &mut self.seats {
            seat.device.reset();
        }
        self.load_all();
    }

    /// Carries a change into its element's link and leaves in `step` what that brought out of balance.
    fn apply(&mut self, id: ElementId, change: Change) {
        let element = id.0 as usize;
        match change {
            Change::Conductance(siemens) => self.point.branches[element].0 = siemens,
            Change::Emf(volts) => self.point.branches[element].1 = volts,
            Change::Open(open) => self.point.open[element] = open,
        }
        let (slot, _) = self.point.order.slot_of(element).expect("a network's own element has a link");
        self.load(slot);
        let (near, far) = (self.point.order.near[slot] as usize, self.point.order.far[slot] as usize);
        let amps = self.point.siemens[slot] * across(&self.point.volts, near, far, self.emf[slot])
            + self.source[slot];
        let excess = amps - self.point.amps[slot];
        self.point.amps[slot] = amps;
        self.upset |= excess != 0.0;
        self.step[near] -= excess;
        self.step[far] += excess;
    }

    /// Carries the elements of a slot's link into the slot.
    fn load(&mut self, slot: usize) {
        let order = &*self.point.order;
        let sign = order.sign[slot];
        let link = &order.chains.links[order.link[slot] as usize];
        let (mut ohms, mut emf, mut source) = (0.0, 0.0, 0.0);
        for (element, forward) in order.chains.elements(link) {
            let (conductance, volts) = self.point.branches[element];
            if self.point.open[element] {
                ohms = f64::INFINITY;
            } else if conductance.is_nan() {
                let at = self.seats.binary_search_by_key(&(element as u32), |seat| seat.element);
                let line = self.seats[at.expect("a device has a seat")].device.tangent;
                (ohms, emf, source) = (1.0 / line.siemens, -forward * line.volts, forward * line.amps);
            } else {
                ohms += 1.0 / conductance;
                emf += forward * volts;
            }
        }
        let siemens = 1.0 / ohms;
        let carries = siemens > 0.0;
        self.emf[slot] = if carries { sign * emf } else { 0.0 };
        self.source[slot] = if carries { sign * source } else { 0.0 };
        if self.point.siemens[slot] != siemens {
            self.point.siemens[slot] = siemens;
            self.factor.mark(order.near[slot] as usize);
        }
    }

    /// Makes room for every position and slot, seats the devices and loads all links. The voltages are there already.
    fn load_all(&mut self) {
        self.make_room();
        for slot in 0..self.point.order.link.len() {
            self.load(slot);
        }
    }

    /// Makes room for every position and slot, all of them empty, and seats the devices.
    fn make_room(&mut self) {
        let order = &*self.point.order;
        self.step.clear();
        self.step.resize(order.size() + 1, 0.0);
        for values in [&mut self.emf, &mut self.source, &mut self.point.amps, &mut self.point.siemens] {
            values.clear();
            values.resize(order.link.len(), 0.0);
        }
        self.factor = Factor::new(order);
        for seat in &mut self.seats {
            let (slot, sign) =
                order.slot_of(seat.element as usize).expect("a device is in the network or attached");
            (seat.slot, seat.sign) = (slot as u32, sign);
            (seat.near, seat.far) = (order.near[slot], order.far[slot]);
        }
        self.warm = false;
    }

    /// Takes an element into the tables: a branch's values, or a device's seat.
    fn seat(&mut self, id: usize, element: &Element) {
        debug_assert_eq!(id, self.point.branches.len());
        self.point.branches.push(match *element {
            Element::Branch { conductance, emf, .. } => (conductance, emf),
            _ => (f64::NAN, 0.0),
        });
        if let Some(device) = Device::new(element) {
            self.seats.push(Seat { element: id as u32, slot: 0, near: 0, far: 0, sign: 1.0, device });
        }
    }

    /// Puts an element, or nothing, into a place for attachments; the next solution lays it out.
    pub(super) fn put(&mut self, index: usize, element: Option<Element>) {
        self.attached[index] = element;
        self.laid = false;
    }

    /// Lays the network out with what is attached now, each node at its last voltage.
    fn lay(&mut self) {
        let order = if self.attached.iter().all(Option::is_none) {
            self.attached.clear();
            self.bare.clone()
        } else {
            Arc::new(self.bare.attached(&self.attached))
        };
        self.point.volts = order.node.iter().map(|&node| self.point.parts(node)).collect();
        let before = std::mem::replace(&mut self.point.order, order);
        let loaded = [&self.emf, &self.source, &self.point.siemens].map(Vec::clone);
        let own = self.point.own as usize;
        self.point.branches.truncate(own);
        self.point.open.truncate(own);
        self.seats.retain(|seat| (seat.element as usize) < own);
        for (index, element) in self.attached.clone().iter().enumerate() {
            let nothing =
                Element::Branch { a: NodeId::REFERENCE, b: NodeId::REFERENCE, conductance: 0.0, emf: 0.0 };
            self.seat(own + index, element.as_ref().unwrap_or(&nothing));
            self.point.open.push(false);
        }
        self.make_room();
        let order = self.point.order.clone();
        for (index, link) in order.chains.links.iter().enumerate() {
            let slot = order.slot[index] as usize;
            // What was not cut, now or before, is as it was: nodes that stay keep their order.
            let same = index < self.bare.chains.links.len() && before.chains.links[index] == *link;
            if same {
                let old = before.slot[index] as usize;
                let values = [&mut self.emf, &mut self.source, &mut self.point.siemens];
                for (value, loaded) in values.into_iter().zip(&loaded) {
                    value[slot] = loaded[old];
                }
            } else {
                self.load(slot);
            }
        }
        self.laid = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::RESIDUAL_LIMIT;

    const REF: NodeId = NodeId::REFERENCE;

    fn branch(a: u32, b: u32, conductance: f64, emf: f64) -> Element {
        Element::Branch { a: NodeId(a), b: NodeId(b), conductance, emf }
    }

    /// An open contact stands between a changed node and the one that is eliminated after it; the others must hear of the
    /// change all the same. Every numbering of the nodes is tried, against a solver made anew.
    #[test]
    fn a_change_reaches_past_an_open_contact() {
        for [a, b, c, d] in
            [[1, 2, 3, 4], [4, 1, 2, 3], [3, 4, 1, 2], [2, 3, 4, 1], [1, 3, 2, 4], [4, 2, 1, 3]]
        {
            let build = |leak: f64| {
                let mut network = Network::new(5);
                network.add(branch(0, d, 10.0, 12.0));
                network.add(branch(a, b, 0.0, 0.0));
                network.add(branch(a, c, 1.0, 0.0));
                network.add(branch(a, d, 0.5, 0.0));
                network.add(branch(b, c, 2.0, 0.0));
                network.add(branch(b, d, 0.7, 0.0));
                network.add(branch(b, 0, 0.3, 0.0));
                network.add(branch(c, d, 0.9, 0.0));
                network.add(branch(c, 0, 1.1, 0.0));
                let leakage = network.add(branch(a, 0, leak, 0.0));
                (Solver::new(network), leakage)
            };
            let (mut solver, leakage) = build(1.0);
            solver.solve().unwrap();
            solver.set_conductance(leakage, 5.0);
            let changed = solver.solve().unwrap();
            let (mut fresh, _) = build(5.0);
            let fresh = fresh.solve().unwrap();
            for node in 1..5 {
                let off = changed.volts(NodeId(node)) - fresh.volts(NodeId(node));
                assert!(off.abs() < 1e-12, "node {node} of {a} {b} {c} {d}: {off}");
            }
            assert!(changed.iterations() < 3, "{}", changed.iterations());
        }
    }

    /// 12 V over two 100 kΩ in series, a 10 MΩ meter on the lower: 5.970 V by hand.
    #[test]
    fn a_meter_loads_a_divider() {
        let mut network = Network::new(3);
        network.add(branch(0, 1, 1e3, 12.0));
        network.add(branch(1, 2, 1e-5, 0.0));
        network.add(branch(2, 0, 1e-5, 0.0));
        let mut solver = Solver::new(network);
        assert!((solver.solve().unwrap().volts(NodeId(2)) - 6.0).abs() < 1e-6);
        let meter = solver.attach(Element::Branch { a: NodeId(2), b: REF, conductance: 1e-7, emf: 0.0 });
        let point = solver.solve().unwrap();
        assert!((point.volts(NodeId(2)) - 5.970149).abs() < 1e-6);
        assert!((point.amps_of(meter) - 5.970149e-7).abs() < 1e-12);
        solver.detach(meter);
        assert!((solver.solve().unwrap().volts(NodeId(2)) - 6.0).abs() < 1e-6);
    }

    #[test]
    fn a_diode_and_a_lamp_settle_and_an_open_contact_floats() {
        let mut network = Network::new(5);
        network.add(branch(0, 1, 50.0, 12.6));
        let contact = network.add(branch(1, 2, 1e3, 0.0));
        let diode = network.add(Element::Diode {
            anode: NodeId(2),
            cathode: NodeId(3),
            saturation: 1e-9,
            slope: 0.05,
            breakdown: None,
            ohms: 0.02,
        });
        let lamp = network.add(Element::Filament {
            a: NodeId(3),
            b: REF,
            design_volts: 12.8,
            design_amps: 1.75,
            cold_ohms: 0.7,
        });
        network.add(branch(4, 2, 0.0, 0.0));
        let mut solver = Solver::new(network);
        let point = solver.solve().unwrap();
        let amps = point.amps(lamp);
        assert!((amps - point.amps(diode)).abs() < 1e-10 * amps);
        let volts = point.volts(NodeId(3));
        assert!((amps - 1.75 * (volts / 12.8).powf(0.55)).abs() < 1e-9);
        let junction = point.volts_between(NodeId(2), NodeId(3)) - 0.02 * amps;
        assert!((junction - 0.05 * (amps / 1e-9).ln_1p()).abs() < 1e-8);
        assert!(point.residual() < RESIDUAL_LIMIT && point.iterations() < 20);
        assert!(point.floating(NodeId(4)) && !point.floating(NodeId(2)));

        solver.set_conductance(contact, 0.0);
        let point = solver.solve().unwrap();
        assert!(point.amps(lamp).abs() < 1e-11);
        assert!(!point.floating(NodeId(3)) && point.volts(NodeId(3)).abs() < 1e-11);
    }

    /// An attached instrument has no number among the network's own elements; a trouble must not trip over it.
    #[test]
    fn a_trouble_with_something_attached_leaves_no_trace() {
        let mut network = Network::new(2);
        network.add(branch(0, 1, 1e6, 12.0));
        let rival = network.add(branch(0, 1, 0.0, 24.0));
        let mut solver = Solver::new(network);
        solver.attach(branch(1, 0, 1e-7, 0.0));
        solver.set_conductance(rival, 1e6);
        assert!(solver.solve().is_err());
        solver.set_conductance(rival, 0.0);
        assert!((solver.solve().unwrap().volts(NodeId(1)) - 12.0).abs() < 1e-6);
    }

    #[test]
    fn stiff_sources_that_fight_are_contradictory() {
        let mut network = Network::new(2);
        network.add(branch(0, 1, 1e6, 12.0));
        network.add(branch(0, 1, 1e6, 24.0));
        let mut solver = Solver::new(network);
        assert!(
            matches!(solver.solve(), Err(Trouble::Contradictory { amps, .. }) if (amps / 6e6 - 1.0).abs() < 1e-9)
        );
    }

    /// Every step checked from the first, the way is another, but not the end.
    #[test]
    fn checked_steps_lead_to_the_same_point() {
        let mut network = Network::new(5);
        network.add(branch(0, 1, 100.0, 24.0));
        let zener = |anode: u32, cathode: u32, ohms: f64| Element::Diode {
            anode: NodeId(anode),
            cathode: NodeId(cathode),
            saturation: 1e-13,
            slope: 0.03,
            breakdown: Some(6.2),
            ohms,
        };
        network.add(zener(2, 1, 0.5));
        network.add(zener(2, 3, 0.0));
        network.add(branch(3, 0, 0.2, 0.0));
        network.add(branch(2, 4, 2.0, 0.0));
        network.add(Element::Filament {
            a: NodeId(4),
            b: REF,
            design_volts: 12.0,
            design_amps: 2.0,
            cold_ohms: 0.5,
        });
        let mut solver = Solver::new(network);
        let mut checked = solver.clone();
        let point = solver.solve().unwrap();
        checked.iterate(0).unwrap();
        for node in (1..5).map(NodeId) {
            assert!((checked.point.volts(node) - point.volts(node)).abs() < 1e-9 * point.volts(node).abs());
        }
        assert!(checked.point.residual() < RESIDUAL_LIMIT);
    }

    #[test]
    fn nothing_and_isolated_nodes_are_solved() {
        assert_eq!(Solver::new(Network::new(1)).solve().unwrap().volts(REF), 0.0);
        let mut solver = Solver::new(Network::new(3));
        let point = solver.solve().unwrap();
        assert!(point.floating(NodeId(1)) && point.island(NodeId(2)) == NodeId(2));
        assert_eq!(point.residual(), 0.0);
    }
}
