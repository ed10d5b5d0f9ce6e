//! Turns random networks into operating points, and holds these against independent programs.
//!
//! More than a thousand networks go to ngspice, a general-purpose circuit simulator, and as many of resistors alone to networkx, a
//! general-purpose graph library. `tests/run` installs both; without them these tests fail.

use crate::reference::law::law;
use crate::reference::ngspice::{self, Answer};
use crate::reference::random::{Kinds, config, network};
use goodground::solve::{Element, ElementId, Network, NodeId, Point, Solver};
use proptest::prelude::*;
use proptest::test_runner::TestCaseError;
use std::fmt::Write as _;

/// The promised agreement, as a part of the value.
const AGREEMENT: f64 = 1e-6;

/// Beside it, as a part of the largest value in the network: where all hangs on 1 MΩ, double precision leaves no less to a
/// solver that subtracts.
const FLOOR: f64 = 1e-7;

/// What is nothing to the simulator: the current (A) that the rounding of some 20 V makes through the stoutest branch, and
/// the voltage (V) that this makes across a kilohm.
const NOTHING: (f64, f64) = (1e-7, 1e-10);

/// Networks in one run of a reference program.
const TOGETHER: usize = 60;

/// Runs: 20 times 60 networks.
const RUNS: u32 = 20;

proptest! {
    #![proptest_config(config(RUNS))]

    #[test]
    fn agrees_with_a_circuit_simulator(networks in proptest::collection::vec(network(Kinds::All), TOGETHER)) {
        let pinned: Vec<Network> = networks.iter().map(pinned).collect::<Result<_, _>>()?;
        let answers = ngspice::operating_points(&pinned);
        prop_assert_eq!(answers.len(), pinned.len());
        for ((network, pinned), answer) in networks.iter().zip(&pinned).zip(&answers) {
            compare(network, pinned, answer)?;
        }
    }
}

proptest! {
    #![proptest_config(config(1))]

    #[test]
    fn agrees_with_a_graph_library(networks in proptest::collection::vec(network(Kinds::Resistors), RUNS as usize * TOGETHER)) {
        let mut ours = Vec::new();
        let mut asked = String::new();
        for network in &networks {
            let mut solver = Solver::new(network.clone());
            solver.solve().expect("resistors have an operating point");
            let mut pairs = Vec::new();
            for b in 1..network.nodes() as u32 {
                let (a, b) = (NodeId(b / 2), NodeId(b));
                if solver.point().island(a) == solver.point().island(b) {
                    let source = solver.attach(Element::Branch { a: b, b: a, conductance: 1.0, emf: 1.0 });
                    let point = solver.solve().expect("one source has an operating point");
                    ours.push(point.volts_between(a, b) / point.amps_of(source));
                    solver.detach(source);
                    solver.solve().expect("resistors have an operating point");
                    pairs.push((a.0, b.0));
                }
            }
            let edges: Vec<_> = network.elements().iter().filter_map(|element| match *element {
                Element::Branch { a, b, conductance, .. } if a != b => Some((a.0, b.0, conductance)),
                _ => None,
            }).collect();
            writeln!(asked, "{}", serde_json::json!({ "edges": edges, "pairs": pairs })).expect("a line");
        }
        let theirs = resistances(&asked);
        prop_assert_eq!(theirs.len(), ours.len());
        for (ours, theirs) in ours.iter().zip(&theirs) {
            prop_assert!((ours - theirs).abs() <= AGREEMENT * theirs, "{ours} ohms, by the graph library {theirs}");
        }
    }
}

/// Siemens from each weakly held island to the reference.
const PIN: f64 = 1e-3;

/// An element below this, in siemens, holds too weakly for the simulator: its tolerance for currents and its rounding of some
/// thousand amperes (a battery's conductance times its electromotive force) make it miss by microvolts there.
const FIRM: f64 = 1e-5;

/// The operating point of a network.
fn solved(network: &Network) -> Result<Point, TestCaseError> {
    let mut solver = Solver::new(network.clone());
    solver.solve().cloned().map_err(|trouble| TestCaseError::fail(format!("{trouble:?} in {network:?}")))
}

/// The network with 1 kΩ from one node of each weakly held or floating island to the reference, and again until there is none
/// left: the simulator solves for no voltage that nothing defines.
fn pinned(network: &Network) -> Result<Network, TestCaseError> {
    let mut pinned = network.clone();
    loop {
        let point = solved(&pinned)?;
        let mut islands = petgraph::unionfind::UnionFind::<u32>::new(network.nodes());
        for element in pinned.elements() {
            let (a, b) = element.ends();
            let volts = point.volts_between(a, b);
            if (law(element, volts + 1e-6) - law(element, volts)) / 1e-6 >= FIRM {
                islands.union(a.0, b.0);
            }
        }
        let Some(node) = (1..network.nodes() as u32).find(|&node| !islands.equiv(node, 0)) else {
            return Ok(pinned);
        };
        pinned.add(Element::Branch { a: NodeId(node), b: NodeId::REFERENCE, conductance: PIN, emf: 0.0 });
    }
}

/// The parts of a network that nothing joins, by a graph library.
fn parts(network: &Network) -> petgraph::unionfind::UnionFind<u32> {
    let mut parts = petgraph::unionfind::UnionFind::new(network.nodes());
    for element in network.elements() {
        let (a, b) = element.ends();
        if !matches!(element, Element::Branch { conductance: 0.0, .. }) {
            parts.union(a.0, b.0);
        }
    }
    parts
}

/// Holds each voltage and current of the pinned network against the simulator's, and those of the network as it was
/// too where the pin can't matter: in parts that nothing else joins to the reference and that have no other pin.
fn compare(network: &Network, pinned: &Network, answer: &Answer) -> Result<(), TestCaseError> {
    let (bare, point) = (solved(network)?, solved(pinned)?);
    let largest = |values: &[f64]| values.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
    let (most_volts, most_amps) = (largest(&answer.volts), largest(&answer.amps));
    let near = |ours: f64, theirs: f64, most: f64, nothing: f64| {
        (ours - theirs).abs() <= AGREEMENT * theirs.abs() + FLOOR * most + nothing
    };
    let parts = parts(network);
    for node in (0..network.nodes() as u32).map(NodeId) {
        let (ours, theirs) = (point.volts(node), answer.volts[node.0 as usize]);
        prop_assert!(
            near(ours, theirs, most_volts, NOTHING.0),
            "{node:?}: {ours} V, by the simulator {theirs} V, in {pinned:?}"
        );
        let pins = pinned.elements()[network.elements().len()..].iter().map(|pin| pin.ends().0);
        let here: Vec<NodeId> = pins.filter(|pin| parts.equiv(pin.0, node.0)).collect();
        if let ([base], false) = (&here[..], parts.equiv(node.0, 0)) {
            let base = *base;
            let (ours, theirs) = (bare.volts_between(node, base), theirs - answer.volts[base.0 as usize]);
            prop_assert!(
                near(ours, theirs, most_volts, NOTHING.0),
                "{node:?}: {ours} V to {base:?}, by the simulator {theirs} V, in {network:?}"
            );
        }
    }
    for (id, &theirs) in answer.amps.iter().enumerate() {
        let ours = point.amps(ElementId(id as u32));
        prop_assert!(
            near(ours, theirs, most_amps, NOTHING.1),
            "element {id}: {ours} A, by the simulator {theirs} A, in {pinned:?}"
        );
    }
    Ok(())
}

/// Asks the graph library.
fn resistances(asked: &str) -> Vec<f64> {
    let printed =
        crate::reference::python::ask("resistance.py", asked.to_string(), "networkx, numpy and scipy");
    printed.lines().map(|line| line.parse().expect("a number")).collect()
}
