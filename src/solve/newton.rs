//! Turns pending changes into the next operating point: Newton's method on the factored network, warm from the last one.

use super::device::Device;
use super::factor::Factor;
use super::network::{Element, ElementId, Network, NodeId};
use super::order::Order;
use super::point::Point;
use super::trouble::{LARGEST_AMPS, RESIDUAL_LIMIT, Trouble};
use std::sync::{Arc, OnceLock};

/// The solver goes on until the residual is below this part of the largest current: two decades under the promise,
/// three above what rounding leaves.
const RESIDUAL_AIM: f64 = 1e-11;

/// The last step may have moved no node by more than this, in volts.
///
/// A step is right to about 1e-15 of itself in the forces that it balances. After a last step of 0.1 mV,
/// what that means at the highest impedance, a 10 MΩ meter on a 1 mΩ battery, is nanovolts.
const LAST_STEP: f64 = 1e-4;

/// Iterations after which it is given up. Limited steps settle in a dozen; see the tests for how many are ever needed.
const MOST_ITERATIONS: u32 = 200;

/// Currents, in amperes, below this are nothing: no residual is counted in parts of less.
///
/// In a vehicle in which nothing flows any more, rounding leaves some 1e-26 A out of balance.
const NO_AMPS: f64 = 1e-12;

/// A network with its factorization and its last operating point. A clone costs a few flat copies.
#[derive(Clone, Debug)]
pub struct Solver {
    pub(super) network: Network,
    pub(super) attached: Vec<Option<Element>>,
    open: Vec<bool>,
    order: Arc<Order>,
    factor: Factor,
    /// Electromotive force by slot, from near to far, in volts; less the touching voltage, for a tangent.
    emf: Vec<f64>,
    /// Current at that voltage by slot, in amperes: 0 for a branch.
    source: Vec<f64>,
    /// Diodes and filaments with slot and near position.
    devices: Vec<(u32, u32, Device)>,
    point: Point,
    /// Currents into the nodes, then voltages, by position.
    step: Vec<f64>,
    pending: bool,
}

impl Solver {
    /// Orders and analyzes the network once, with all its elements, open ones too, so that no later change of a
    /// conductance needs either again.
    pub fn new(network: Network) -> Solver {
        let order = Arc::new(Order::new(&network));
        let (nodes, elements) = (network.nodes(), network.elements().len());
        let point = Point {
            order: order.clone(),
            volts: vec![0.0; nodes],
            rest: vec![0.0; nodes],
            amps: vec![0.0; elements],
            siemens: vec![0.0; elements],
            residual: 0.0,
            iterations: 0,
            own: elements as u32,
            islands: OnceLock::new(),
        };
        let mut solver = Solver {
            attached: Vec::new(),
            open: vec![false; elements],
            factor: Factor::new(&order),
            emf: vec![0.0; elements],
            source: vec![0.0; elements],
            devices: Vec::new(),
            point,
            step: vec![0.0; nodes],
            pending: true,
            order,
            network,
        };
        for k in 0..nodes {
            for slot in solver.order.slots(k) {
                let element = solver.network.elements()[solver.order.element[slot] as usize];
                if let Some(device) = Device::new(&element) {
                    solver.devices.push((slot as u32, k as u32, device));
                }
            }
        }
        for id in 0..elements as u32 {
            solver.apply(ElementId(id));
        }
        solver
    }

    /// The network as changed so far, without what is attached.
    pub fn network(&self) -> &Network {
        &self.network
    }

    /// Sets a branch's conductance, in siemens: a contact, a fuse, a fault.
    ///
    /// # Panics
    /// If the element isn't a branch, or the value isn't 0 or more and finite.
    pub fn set_conductance(&mut self, id: ElementId, siemens: f64) {
        assert!(
            siemens >= 0.0 && siemens.is_finite(),
            "{siemens} S is no conductance"
        );
        match self.network.element_mut(id) {
            Element::Branch { conductance, .. } => *conductance = siemens,
            other => panic!("{other:?} has no conductance to set"),
        }
        self.apply(id);
    }

    /// Sets a branch's electromotive force, in volts.
    ///
    /// # Panics
    /// If the element isn't a branch, or the value isn't finite.
    pub fn set_emf(&mut self, id: ElementId, volts: f64) {
        assert!(volts.is_finite(), "{volts} V is no electromotive force");
        match self.network.element_mut(id) {
            Element::Branch { emf, .. } => *emf = volts,
            other => panic!("{other:?} has no electromotive force to set"),
        }
        self.apply(id);
    }

    /// Takes an element of any kind out of the network, or puts it back as it was.
    pub fn set_open(&mut self, id: ElementId, open: bool) {
        self.open[id.0 as usize] = open;
        self.apply(id);
    }

    /// Whether an element was taken out with [`Solver::set_open`].
    pub fn is_open(&self, id: ElementId) -> bool {
        self.open[id.0 as usize]
    }

    /// The last operating point. After a [`Trouble`], and before the first [`Solver::solve`], nothing in it holds.
    pub fn point(&self) -> &Point {
        &self.point
    }

    /// Starts the next solution from the voltages of a snapshot of this solver, instead of the last ones.
    pub fn start_from(&mut self, point: &Point) {
        if Arc::ptr_eq(&self.order, &point.order) {
            self.point.volts.clone_from(&point.volts);
            self.point.rest.clone_from(&point.rest);
            self.pending = true;
        }
    }

    /// Finds the operating point after all changes since the last.
    pub fn solve(&mut self) -> Result<&Point, Trouble> {
        if self.pending {
            self.point.islands = OnceLock::new();
            if let Err(trouble) = self.iterate() {
                self.start_cold();
                return Err(trouble);
            }
            self.pending = false;
        }
        Ok(&self.point)
    }

    /// Newton's method: the devices' tangents, the currents that don't balance, the voltages that balance them, again.
    fn iterate(&mut self) -> Result<(), Trouble> {
        let mut moved = f64::INFINITY;
        let mut settled = false;
        let mut residual = f64::INFINITY;
        for iteration in 0..=MOST_ITERATIONS {
            settled = self.follow();
            let (worst, largest) = self.balance();
            residual = worst / largest.max(NO_AMPS);
            if settled && moved <= LAST_STEP && residual <= RESIDUAL_AIM {
                self.point.residual = residual;
                self.point.iterations = iteration;
                return self.certify(largest);
            }
            let order = &self.order;
            let overflow = |at: usize| Trouble::Singular { node: order.node[at] };
            self.factor
                .refresh(order, &self.point.siemens)
                .map_err(overflow)?;
            self.factor.solve(order, &mut self.step);
            moved = self.advance();
            if !moved.is_finite() {
                let at = self.step.iter().position(|x| !x.is_finite()).unwrap_or(0);
                return Err(Trouble::Singular {
                    node: self.order.node[at],
                });
            }
        }
        if settled && residual > RESIDUAL_LIMIT {
            return Err(Trouble::Residual { residual });
        }
        Err(Trouble::NoConvergence {
            iterations: MOST_ITERATIONS,
        })
    }

    /// Moves every device's tangent to its present voltage; whether all had settled.
    fn follow(&mut self) -> bool {
        let mut settled = true;
        for (slot, near, device) in &mut self.devices {
            let slot = *slot as usize;
            if self.open[self.order.element[slot] as usize] {
                continue;
            }
            let sign = self.order.sign[slot];
            let volts = sign
                * self
                    .point
                    .drop(*near as usize, self.order.far[slot] as usize, 0.0);
            let moved = device.follow(volts);
            settled &= moved.settled;
            self.emf[slot] = -sign * device.tangent.volts;
            self.source[slot] = sign * device.tangent.amps;
            if moved.turned {
                self.point.siemens[slot] = device.tangent.siemens;
                self.factor.mark(&self.order, *near as usize);
            }
        }
        settled
    }

    /// Computes every element's current and leaves in `step` what each node is short of. Returns the worst
    /// imbalance and the largest current, in amperes.
    fn balance(&mut self) -> (f64, f64) {
        let order = &*self.order;
        self.step.fill(0.0);
        let mut largest = 0.0_f64;
        for k in 0..=order.size() {
            let mut out = 0.0;
            for slot in order.slots(k) {
                let far = order.far[slot] as usize;
                let volts = self.point.drop(k, far, self.emf[slot]);
                let amps = self.point.siemens[slot] * volts + self.source[slot];
                self.point.amps[slot] = amps;
                largest = largest.max(amps.abs());
                out += amps;
                self.step[far] += amps;
            }
            self.step[k] -= out;
        }
        self.step[order.size()] = 0.0;
        let worst = self
            .step
            .iter()
            .fold(0.0_f64, |worst, amps| worst.max(amps.abs()));
        (worst, largest)
    }

    /// Adds the step to the voltages; returns its largest part.
    fn advance(&mut self) -> f64 {
        let mut largest = 0.0_f64;
        for ((volts, rest), &step) in self
            .point
            .volts
            .iter_mut()
            .zip(&mut self.point.rest)
            .zip(&self.step)
        {
            let sum = *volts + step;
            let shadow = sum - *volts;
            *rest += (*volts - (sum - shadow)) + (step - shadow);
            *volts = sum;
            largest = if step.abs() <= largest {
                largest
            } else {
                step.abs()
            };
        }
        largest
    }

    /// Refuses a current that no part can carry.
    fn certify(&self, largest: f64) -> Result<(), Trouble> {
        if largest <= LARGEST_AMPS {
            return Ok(());
        }
        let slot = self
            .point
            .amps
            .iter()
            .position(|amps| amps.abs() == largest)
            .unwrap_or(0);
        let id = self.order.element[slot];
        Err(Trouble::Contradictory {
            element: (id < self.point.own).then_some(ElementId(id)),
            amps: largest,
        })
    }

    /// Forgets the voltages and puts every device back to 0 V, so that a trouble leaves no trace in the next solution.
    fn start_cold(&mut self) {
        self.point.volts.fill(0.0);
        self.point.rest.fill(0.0);
        self.point.residual = f64::INFINITY;
        for (_, _, device) in &mut self.devices {
            device.reset();
        }
        for id in 0..self.network.elements().len() as u32 {
            self.apply(ElementId(id));
        }
    }

    /// Carries an element's parameters into its slot.
    fn apply(&mut self, id: ElementId) {
        let slot = self.order.slot[id.0 as usize] as usize;
        let sign = self.order.sign[slot];
        let (near, siemens, emf, source) = match self
            .devices
            .binary_search_by_key(&(slot as u32), |device| device.0)
        {
            _ if self.open[id.0 as usize] => (None, 0.0, 0.0, 0.0),
            Ok(found) => {
                let (_, near, device) = &self.devices[found];
                let line = device.tangent;
                (Some(*near as usize), line.siemens, -line.volts, line.amps)
            }
            Err(_) => match self.element(id) {
                Element::Branch { conductance, emf, .. } => (None, conductance, emf, 0.0),
                _ => unreachable!("every other element is a device"),
            },
        };
        let (a, b) = self.element(id).ends();
        let place = |node: NodeId| self.order.place[node.0 as usize] as usize;
        let near = near.unwrap_or(place(a).min(place(b)));
        self.emf[slot] = sign * emf;
        self.source[slot] = sign * source;
        self.pending = true;
        if self.point.siemens[slot] != siemens {
            self.point.siemens[slot] = siemens;
            self.factor.mark(&self.order, near);
        }
    }

    /// Analyzes again, with what is attached now.
    pub(super) fn rebuild(&mut self) {
        let whole = self.whole();
        let mut next = Solver::new(whole);
        for id in 0..self.network.nodes() {
            let (from, to) = (self.order.place[id] as usize, next.order.place[id] as usize);
            next.point.volts[to] = self.point.volts[from];
            next.point.rest[to] = self.point.rest[from];
        }
        next.point.own = self.network.elements().len() as u32;
        for id in 0..self.network.elements().len() {
            if self.open[id] {
                next.set_open(ElementId(id as u32), true);
            }
        }
        next.network = self.network.clone();
        next.attached = std::mem::take(&mut self.attached);
        *self = next;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const REF: NodeId = NodeId::REFERENCE;

    fn branch(a: u32, b: u32, conductance: f64, emf: f64) -> Element {
        Element::Branch {
            a: NodeId(a),
            b: NodeId(b),
            conductance,
            emf,
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
        let meter = solver.attach(Element::Branch {
            a: NodeId(2),
            b: REF,
            conductance: 1e-7,
            emf: 0.0,
        });
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

    #[test]
    fn nothing_and_isolated_nodes_are_solved() {
        assert_eq!(Solver::new(Network::new(1)).solve().unwrap().volts(REF), 0.0);
        let mut solver = Solver::new(Network::new(3));
        let point = solver.solve().unwrap();
        assert!(point.floating(NodeId(1)) && point.island(NodeId(2)) == NodeId(2));
        assert_eq!(point.residual(), 0.0);
    }
}
