//! Turns a size into a network shaped like a vehicle's: battery, fuse blocks, switched loads, shared grounds, all invented.

use goodground::solve::{Element, ElementId, Network, NodeId};

/// A network with its single faults.
pub struct Vehicle {
    pub network: Network,
    /// A closed contact in series with a load.
    pub contact: ElementId,
    pub faults: Vec<Fault>,
}

/// What is wrong with a vehicle.
#[derive(Clone, Copy, Debug)]
pub enum Fault {
    /// A branch's conductance, in siemens, isn't what it should be but this.
    Conductance(ElementId, f64),
    /// A node is joined to the chassis by [`SHORT`].
    Shorted(NodeId),
}

/// Conductance of a short circuit to the chassis, in siemens.
pub const SHORT: f64 = 100.0;

impl Vehicle {
    /// About `nodes` nodes: one load branch for five of them; of twenty branches four are lamps and one has a steering diode.
    /// Half of all switches are on. Faults: each conductor, contact and load open, or with 1 Ω more than it should have,
    /// and each load's feed shorted to the chassis.
    pub fn new(nodes: usize) -> Vehicle {
        let mut build = Build { network: Network::new(1), faults: Vec::new() };
        let scale = nodes as f64 / 500.0;
        let post = build.network.add_node();
        build.network.add(Element::Branch {
            a: NodeId::REFERENCE,
            b: post,
            conductance: 80.0 * scale,
            emf: 12.6,
        });
        let main = build.conductor(post, 1000.0 * scale.max(1.0));
        let (mut bus, mut fused, mut ground, mut last) = (main, main, NodeId::REFERENCE, main);
        let mut contact = None;
        let mut branch = 0;
        while build.network.nodes() < nodes {
            if branch % 24 == 0 {
                let link = build.conductor(main, 500.0);
                bus = build.conductor(link, 400.0);
            }
            if branch % 4 == 0 {
                fused = build.conductor(bus, 130.0);
            }
            if branch % 10 == 0 {
                ground = build.network.add_node();
                build.join(ground, NodeId::REFERENCE, 1000.0);
            }
            let on = branch % 2 == 0;
            let feed = build.conductor(fused, 60.0);
            let made = build.network.add_node();
            let switch = build.join(feed, made, if on { 100.0 } else { 0.0 });
            contact = contact.or(Some(switch));
            let mut load = build.conductor(made, 50.0);
            if branch % 20 == 3 || branch % 20 == 6 {
                load = build.diode(load);
            }
            let back = build.network.add_node();
            match branch % 5 {
                0 => {
                    build.lamp(load, back, if branch % 3 == 0 { 1.75 } else { 0.4 });
                }
                1 => {
                    build.join(load, back, 1.0 / 85.0);
                    build.network.add(diode(back, load));
                }
                _ => {
                    build.join(load, back, 0.1 + 0.05 * (branch % 7) as f64);
                }
            }
            build.join(back, ground, 50.0);
            if branch % 15 == 14 {
                build.join(load, last, 0.01);
            }
            build.faults.push(Fault::Shorted(load));
            last = load;
            branch += 1;
        }
        Vehicle { network: build.network, contact: contact.expect("a branch"), faults: build.faults }
    }
}

struct Build {
    network: Network,
    faults: Vec<Fault>,
}

impl Build {
    fn join(&mut self, a: NodeId, b: NodeId, conductance: f64) -> ElementId {
        let id = self.network.add(Element::Branch { a, b, conductance, emf: 0.0 });
        if conductance > 0.0 {
            self.faults.push(Fault::Conductance(id, 0.0));
            self.faults.push(Fault::Conductance(id, conductance / (1.0 + conductance)));
        }
        id
    }

    fn conductor(&mut self, from: NodeId, conductance: f64) -> NodeId {
        let to = self.network.add_node();
        self.join(from, to, conductance);
        to
    }

    fn diode(&mut self, from: NodeId) -> NodeId {
        let to = self.network.add_node();
        self.network.add(diode(from, to));
        to
    }

    fn lamp(&mut self, a: NodeId, b: NodeId, design_amps: f64) {
        self.network.add(Element::Filament {
            a,
            b,
            design_volts: 12.8,
            design_amps,
            cold_ohms: 1.28 / design_amps,
        });
    }
}

fn diode(anode: NodeId, cathode: NodeId) -> Element {
    Element::Diode { anode, cathode, saturation: 1e-9, slope: 0.045, breakdown: None, ohms: 0.02 }
}
