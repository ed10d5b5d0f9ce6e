//! Turns calls into the list of nodes and elements that is to be solved; it computes nothing.

/// A node: one conductor, all of it at one voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeId(pub u32);

impl NodeId {
    /// The node that voltages are measured from: the vehicle's chassis, 0 V by definition.
    pub const REFERENCE: NodeId = NodeId(0);
}

/// An element of a [`Network`], in the order of [`Network::add`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ElementId(pub u32);

/// Something attached for a while; only the solver that gave it, and its clones, know it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Attachment(pub(super) u32);

/// Something that conducts between two nodes. Its current counts positive from its first node to its second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Element {
    /// A conductance in series with an electromotive force: `amps = conductance * (volts(a) - volts(b) + emf)`.
    ///
    /// A wire, a contact, a resistor, a battery or a stalled motor is one of these. `conductance` is in siemens,
    /// 0 or more: 0 is an open contact, which carries nothing whatever its `emf`. `emf` is in volts and drives
    /// current from `a` to `b`, so that a battery has its negative post at `a` and its positive post at `b`.
    Branch { a: NodeId, b: NodeId, conductance: f64, emf: f64 },
    /// A junction diode with a series resistance, in amperes from anode to cathode:
    ///
    /// `i = saturation * (exp(v / slope) - 1) + LEAKAGE * v - 1 mA * exp(-(v + breakdown) / slope)`
    ///
    /// where `v` is the voltage across the junction, that is, across the terminals less `i * ohms`.
    /// Shockley's law ("The theory of p-n junctions in semiconductors", Bell System Technical Journal 28, 1949);
    /// the last term is there only if `breakdown` (volts, positive) is given, and puts 1 mA of reverse current
    /// at that voltage, the usual test current for a zener diode. `saturation` is in amperes, above 0;
    /// `slope` is the emission coefficient times the thermal voltage, in volts, above 0 (1 to 2 times 25.85 mV at 300 K);
    /// `ohms` is 0 or more.
    Diode { anode: NodeId, cathode: NodeId, saturation: f64, slope: f64, breakdown: Option<f64>, ohms: f64 },
    /// A tungsten filament: `amps = design_amps * (v / design_volts)^0.55`, which is the rerating law for the
    /// current of incandescent lamps (Fink and Beaty, "Standard Handbook for Electrical Engineers", 11th
    /// edition, 1978, p. 22-8), down to the voltage where its resistance has fallen to 1.225 times `cold_ohms`.
    /// Below, current follows the odd cubic through zero whose slope there is `1 / cold_ohms` and which meets
    /// the power law with the same current and slope. All three parameters are above 0. The law holds for either polarity.
    Filament { a: NodeId, b: NodeId, design_volts: f64, design_amps: f64, cold_ohms: f64 },
}

impl Element {
    /// The two nodes, the one that positive current enters first.
    pub fn ends(&self) -> (NodeId, NodeId) {
        match *self {
            Element::Branch { a, b, .. } | Element::Filament { a, b, .. } => (a, b),
            Element::Diode { anode, cathode, .. } => (anode, cathode),
        }
    }

    /// Whether every parameter lies in the range that its documentation states.
    fn is_physical(&self) -> bool {
        let positive = |value: f64| value.is_finite() && value > 0.0;
        let not_negative = |value: f64| value.is_finite() && value >= 0.0;
        match *self {
            Element::Branch { conductance, emf, .. } => not_negative(conductance) && emf.is_finite(),
            Element::Diode { saturation, slope, breakdown, ohms, .. } => {
                positive(saturation)
                    && positive(slope)
                    && breakdown.is_none_or(positive)
                    && not_negative(ohms)
            }
            Element::Filament { design_volts, design_amps, cold_ohms, .. } => {
                positive(design_volts) && positive(design_amps) && positive(cold_ohms)
            }
        }
    }
}

/// Nodes and the elements between them.
///
/// ```
/// use goodground::solve::{Element, Network, NodeId, Solver};
///
/// // A 12 V battery of 20 milliohms feeds a 4 ohm lamp.
/// let mut network = Network::new(2);
/// let post = NodeId(1);
/// network.add(Element::Branch { a: NodeId::REFERENCE, b: post, conductance: 50.0, emf: 12.0 });
/// let lamp = network.add(Element::Branch { a: post, b: NodeId::REFERENCE, conductance: 0.25, emf: 0.0 });
/// let mut solver = Solver::new(network);
/// let point = solver.solve().unwrap();
/// assert!((point.amps(lamp) - 12.0 / 4.02).abs() < 1e-12);
/// ```
#[derive(Clone, Debug)]
pub struct Network {
    nodes: u32,
    elements: Vec<Element>,
}

impl Network {
    /// A network of `node_count` nodes without elements. The reference is the first of them, so the count is at least 1.
    pub fn new(node_count: usize) -> Network {
        let nodes = u32::try_from(node_count.max(1)).expect("fewer than 2^32 nodes");
        Network { nodes, elements: Vec::new() }
    }

    /// Adds a node.
    pub fn add_node(&mut self) -> NodeId {
        self.nodes += 1;
        NodeId(self.nodes - 1)
    }

    /// Adds an element.
    ///
    /// # Panics
    /// If a parameter lies outside the range that [`Element`] states, or if a node doesn't exist.
    pub fn add(&mut self, element: Element) -> ElementId {
        self.require(&element);
        self.elements.push(element);
        ElementId(self.elements.len() as u32 - 1)
    }

    /// How many nodes there are, the reference among them.
    pub fn nodes(&self) -> usize {
        self.nodes as usize
    }

    /// All elements, in the order of their ids.
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// Stops a caller's mistake before it becomes a wrong voltage.
    pub(super) fn require(&self, element: &Element) {
        let (a, b) = element.ends();
        assert!(a.0 < self.nodes && b.0 < self.nodes, "{element:?} names a node that does not exist");
        assert!(element.is_physical(), "{element:?} has a parameter out of range");
    }
}
