//! Turns chance into small networks for property tests; they shrink toward fewer and plainer elements.

use goodground::solve::{Element, Network, NodeId};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};

/// Which kinds of element a random network may have.
#[derive(Clone, Copy, PartialEq)]
pub enum Kinds {
    /// Resistors within seven decades of each other, so that a dense solver in double precision stays exact enough.
    Resistors,
    /// Wires of 1 mΩ up to resistors of 1 MΩ, open contacts, batteries.
    Linear,
    /// These, diodes, zener diodes and filaments.
    All,
}

/// The same networks every time; `PROPTEST_RNG_SEED` gives others.
pub fn config(cases: u32) -> Config {
    let rng_seed = match std::env::var("PROPTEST_RNG_SEED") {
        Ok(_) => Config::default().rng_seed,
        Err(_) => RngSeed::Fixed(19),
    };
    Config { cases, rng_seed, failure_persistence: None, max_shrink_iters: 300, ..Config::default() }
}

/// A network of 2 to 14 nodes and up to 24 elements: bridges, parallel supplies, loops, stubs and floating parts as chance has it.
pub fn network(kinds: Kinds) -> impl Strategy<Value = Network> {
    (2..=14_u32, proptest::collection::vec(element(kinds), 1..=24)).prop_map(|(nodes, elements)| {
        let mut network = Network::new(nodes as usize);
        for (a, b, element) in elements {
            network.add(moved(element, NodeId(a % nodes), NodeId(b % nodes)));
        }
        network
    })
}

/// Two numbers to make nodes of, and an element between any two.
pub fn element(kinds: Kinds) -> impl Strategy<Value = (u32, u32, Element)> {
    (0..14_u32, 0..14_u32, kind(kinds))
}

/// The same element between other nodes.
pub fn moved(element: Element, from: NodeId, to: NodeId) -> Element {
    match element {
        Element::Branch { conductance, emf, .. } => Element::Branch { a: from, b: to, conductance, emf },
        Element::Diode { saturation, slope, breakdown, ohms, .. } => {
            Element::Diode { anode: from, cathode: to, saturation, slope, breakdown, ohms }
        }
        Element::Filament { design_volts, design_amps, cold_ohms, .. } => {
            Element::Filament { a: from, b: to, design_volts, design_amps, cold_ohms }
        }
    }
}

/// Saturation currents stay below 1 pA: beyond three slopes in reverse the simulator's diode departs from Shockley's law by a few
/// percent of them, which mustn't show.
fn kind(kinds: Kinds) -> BoxedStrategy<Element> {
    let (a, b) = (NodeId::REFERENCE, NodeId::REFERENCE);
    let resistor = move |decades: std::ops::Range<f64>| {
        decades.prop_map(move |ohms| Element::Branch { a, b, conductance: 10_f64.powf(-ohms), emf: 0.0 })
    };
    if kinds == Kinds::Resistors {
        return resistor(-2.0..5.0).boxed();
    }
    let open = Just(Element::Branch { a, b, conductance: 0.0, emf: 0.0 });
    let battery = (1.0..28.0, 1.0..3.0_f64).prop_map(move |(emf, stiff)| Element::Branch {
        a,
        b,
        conductance: 10_f64.powf(stiff),
        emf,
    });
    let linear = prop_oneof![4 => resistor(-1.0..3.0), 2 => resistor(-3.0..6.0), 1 => open, 2 => battery];
    if kinds == Kinds::Linear {
        return linear.boxed();
    }
    let diode =
        (-15.0..-12.0_f64, 1.0..2.0, 0.0..0.1).prop_map(move |(decade, factor, ohms)| Element::Diode {
            anode: a,
            cathode: b,
            saturation: 10_f64.powf(decade),
            slope: factor * 0.02585,
            breakdown: None,
            ohms,
        });
    let zener = (4.0..20.0, 0.01..1.0).prop_map(move |(volts, ohms)| Element::Diode {
        anode: a,
        cathode: b,
        saturation: 1e-13,
        slope: 0.03,
        breakdown: Some(volts),
        ohms,
    });
    let filament = (6.0..28.0, 0.05..5.0, 5.0..15.0).prop_map(move |(volts, amps, ratio)| {
        Element::Filament { a, b, design_volts: volts, design_amps: amps, cold_ohms: volts / amps / ratio }
    });
    prop_oneof![8 => linear, 3 => diode, 1 => zener, 3 => filament].boxed()
}
