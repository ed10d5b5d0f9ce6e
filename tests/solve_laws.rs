//! Turns random networks and changes of them into operating points, and holds these against the laws of circuits.

use crate::reference::law::law;
use crate::reference::random::{Kinds, config, element, moved, network};
use goodground::solve::{
    Element, ElementId, FLOATING_BELOW, Network, NodeId, Point, RESIDUAL_LIMIT, Solver, Trouble,
};
use proptest::prelude::*;

/// What is done to a solver.
#[derive(Clone, Debug)]
enum Deed {
    Conductance(usize, f64),
    Emf(usize, f64),
    Open(usize, bool),
    Attach(u32, u32, Element),
    Detach(usize),
    /// Go on with a clone.
    Clone,
    /// Start again from the voltages of the first operating point.
    Rewind,
    Solve,
}

fn deed() -> impl Strategy<Value = Deed> {
    let which = 0..64_usize;
    prop_oneof![
        4 => (which.clone(), prop_oneof![Just(0.0), (-6.0..3.0_f64).prop_map(|decade| 10_f64.powf(decade))])
            .prop_map(|(which, siemens)| Deed::Conductance(which, siemens)),
        1 => (which.clone(), -28.0..28.0).prop_map(|(which, volts)| Deed::Emf(which, volts)),
        2 => (which.clone(), any::<bool>()).prop_map(|(which, open)| Deed::Open(which, open)),
        2 => element(Kinds::All).prop_map(|(a, b, element)| Deed::Attach(a, b, element)),
        2 => which.prop_map(Deed::Detach),
        1 => Just(Deed::Clone),
        1 => Just(Deed::Rewind),
        4 => Just(Deed::Solve),
    ]
}

/// A network with single elements left out or added: what the deeds so far amount to.
fn amounts_to(
    network: &Network,
    elements: &[Element],
    open: &[bool],
    attached: &[Option<Element>],
) -> Network {
    let mut plain = Network::new(network.nodes());
    for (element, &open) in elements.iter().zip(open) {
        let (a, b) = element.ends();
        plain.add(if open { Element::Branch { a, b, conductance: 0.0, emf: 0.0 } } else { *element });
    }
    for element in attached.iter().flatten() {
        plain.add(*element);
    }
    plain
}

/// The largest current in any element, in amperes.
fn most_amps(network: &Network, point: &Point) -> f64 {
    (0..network.elements().len()).map(|id| point.amps(ElementId(id as u32)).abs()).fold(0.0, f64::max)
}

proptest! {
    #![proptest_config(config(4000))]

    /// Kirchhoff's current law at every node, each current being what the element's law gives for the voltage
    /// across it: within the promised part of the largest current, and far closer than that at nodes where little flows.
    #[test]
    fn currents_balance_by_the_laws_of_the_elements(network in network(Kinds::All)) {
        let mut solver = Solver::new(network.clone());
        let solved = solver.solve();
        prop_assert!(solved.is_ok(), "{solved:?}");
        let point = solver.point();
        prop_assert!(point.residual() < RESIDUAL_LIMIT && point.iterations() < 80, "{} iterations", point.iterations());
        let mut sums = vec![(0.0, 0.0_f64, 0.0); network.nodes()];
        let mut most = 0.0_f64;
        for (id, element) in network.elements().iter().enumerate() {
            let (a, b) = element.ends();
            let (amps, by_law) = (point.amps(ElementId(id as u32)), law(element, point.volts_between(a, b)));
            // A voltage is one number here, so that of a source loses its own rounding.
            let rounding = match *element {
                Element::Branch { conductance, emf, .. } => 1e-14 * conductance * (1.0 + emf.abs()) + 1e-15,
                _ => 1e-15,
            };
            prop_assert!(
                (amps - by_law).abs() <= 1e-9 * amps.abs() + rounding,
                "{id}: {amps} A, by law {by_law} A"
            );
            most = most.max(amps.abs());
            for (node, out) in [(a, amps), (b, -amps)] {
                let (sum, most_here, stiffness) = &mut sums[node.0 as usize];
                if a != b {
                    *sum += out;
                    *most_here = most_here.max(amps.abs());
                    *stiffness += match element {
                        Element::Branch { conductance, .. } => *conductance,
                        Element::Filament { cold_ohms, .. } => 1.0 / cold_ohms,
                        Element::Diode { .. } => 0.0,
                    };
                }
            }
        }
        for (node, (sum, most_here, stiffness)) in sums.into_iter().enumerate() {
            prop_assert!(sum.abs() <= RESIDUAL_LIMIT * most + 1e-16, "node {node}: {sum} A out of {most} A");
            // Rounding of some 30 V through all that holds the node and of the largest current, and what devices settle to.
            let rounding = 1e-14 * stiffness + 1e-15 * most + 3e-14;
            prop_assert!(sum.abs() <= 1e-8 * most_here + rounding, "node {node}: {sum} A out of {most_here} A here");
        }
    }
}

proptest! {
    #![proptest_config(config(600))]

    /// However a network came about, by changes of what was solved before or built at once, its operating point is the same.
    #[test]
    fn a_changed_network_is_solved_as_a_new_one(network in network(Kinds::All), deeds in proptest::collection::vec(deed(), 1..40)) {
        let mut elements = network.elements().to_vec();
        let mut open = vec![false; elements.len()];
        let mut attached: Vec<Option<Element>> = Vec::new();
        let mut handles = Vec::new();
        let mut solver = Solver::new(network.clone());
        let first = solver.solve().expect("an operating point").clone();
        for deed in deeds.into_iter().chain([Deed::Solve]) {
            match deed {
                Deed::Conductance(which, siemens) => {
                    let which = which % elements.len();
                    if let Element::Branch { conductance, .. } = &mut elements[which] {
                        *conductance = siemens;
                        solver.set_conductance(ElementId(which as u32), siemens);
                    }
                }
                Deed::Emf(which, volts) => {
                    let which = which % elements.len();
                    if let Element::Branch { emf, .. } = &mut elements[which] {
                        *emf = volts;
                        solver.set_emf(ElementId(which as u32), volts);
                    }
                }
                Deed::Open(which, taken_out) => {
                    let which = which % elements.len();
                    open[which] = taken_out;
                    solver.set_open(ElementId(which as u32), taken_out);
                }
                Deed::Attach(a, b, element) => {
                    let nodes = network.nodes() as u32;
                    let element = moved(element, NodeId(a % nodes), NodeId(b % nodes));
                    handles.push(solver.attach(element));
                    attached.push(Some(element));
                }
                Deed::Detach(which) => {
                    let held: Vec<usize> = (0..attached.len()).filter(|&at| attached[at].is_some()).collect();
                    if !held.is_empty() {
                        let at = held[which % held.len()];
                        attached[at] = None;
                        solver.detach(handles[at]);
                    }
                }
                Deed::Clone => solver = solver.clone(),
                Deed::Rewind => solver.start_from(&first),
                Deed::Solve => {
                    let plain = amounts_to(&network, &elements, &open, &attached);
                    let mut fresh = Solver::new(plain);
                    let (warm, cold) = (solver.solve(), fresh.solve());
                    if let (Err(Trouble::Contradictory { .. }), Err(Trouble::Contradictory { .. })) = (&warm, &cold) {
                        continue;
                    }
                    prop_assert!(warm.is_ok() && cold.is_ok(), "{:?} {:?}", warm.err(), cold.err());
                    let (warm, cold) = (solver.point(), fresh.point());
                    let most = most_amps(fresh.network(), cold).max(1e-4);
                    for id in 0..elements.len() as u32 {
                        let (ours, theirs) = (warm.amps(ElementId(id)), cold.amps(ElementId(id)));
                        prop_assert!((ours - theirs).abs() <= 1e-9 * most, "element {id}: {ours} A, afresh {theirs} A");
                    }
                    let held = (0..attached.len()).filter(|&at| attached[at].is_some());
                    for (at, id) in held.zip(elements.len() as u32..) {
                        let (ours, theirs) = (warm.amps_of(handles[at]), cold.amps(ElementId(id)));
                        prop_assert!((ours - theirs).abs() <= 1e-9 * most, "attached {at}: {ours} A, afresh {theirs} A");
                    }
                    for node in (0..network.nodes() as u32).map(NodeId) {
                        // Islands may be told apart by a junction whose slope lies at the limit, so only those that both know are compared.
                        let base = cold.island(node);
                        if base == warm.island(node) {
                            let (ours, theirs) = (warm.volts_between(node, base), cold.volts_between(node, base));
                            prop_assert!((ours - theirs).abs() <= 1e-6, "{node:?}: {ours} V, afresh {theirs} V");
                        }
                    }
                }
            }
        }
    }

    /// In a linear network the currents of all sources together are the sum of those of each alone.
    #[test]
    fn sources_superpose(network in network(Kinds::Linear)) {
        let sources: Vec<usize> = (0..network.elements().len())
            .filter(|&id| matches!(network.elements()[id], Element::Branch { emf, .. } if emf != 0.0))
            .collect();
        let mut solver = Solver::new(network.clone());
        let together = solver.solve().expect("a linear network has an operating point").clone();
        let mut sums = vec![0.0; network.elements().len()];
        let mut most = 0.0_f64;
        for &alone in &sources {
            for &id in &sources {
                let Element::Branch { emf, .. } = network.elements()[id] else { continue };
                solver.set_emf(ElementId(id as u32), if id == alone { emf } else { 0.0 });
            }
            let point = solver.solve().expect("a linear network has an operating point");
            most = most.max(most_amps(&network, point));
            for (id, sum) in sums.iter_mut().enumerate() {
                *sum += point.amps(ElementId(id as u32));
            }
        }
        for (id, sum) in sums.into_iter().enumerate() {
            let amps = together.amps(ElementId(id as u32));
            prop_assert!((amps - sum).abs() <= 1e-12 * most + 1e-11, "element {id}: {amps} A together, {sum} A summed");
        }
    }

    /// In a network of resistors a source at one place drives at another what it would drive at the first from the other.
    #[test]
    fn sources_and_readings_change_places(network in network(Kinds::Resistors), one in 0..24_usize, other in 0..24_usize) {
        let (one, other) = (one % network.elements().len(), other % network.elements().len());
        let (one, other) = (ElementId(one as u32), ElementId(other as u32));
        let mut solver = Solver::new(network);
        let mut driven = |source: ElementId, reading: ElementId| {
            solver.set_emf(source, 1.0);
            let amps = solver.solve().expect("an operating point").amps(reading);
            solver.set_emf(source, 0.0);
            amps
        };
        let (there, back) = (driven(one, other), driven(other, one));
        prop_assert!((there - back).abs() <= 1e-12 * there.abs() + 1e-13, "{there} A there, {back} A back");
    }

    /// Islands are the connected components of a graph library, and floating are those without the reference.
    #[test]
    fn islands_are_connected_components(network in network(Kinds::Linear)) {
        let mut graph = petgraph::graph::UnGraph::<(), ()>::new_undirected();
        let nodes: Vec<_> = (0..network.nodes()).map(|_| graph.add_node(())).collect();
        for element in network.elements() {
            let (a, b) = element.ends();
            if matches!(element, Element::Branch { conductance, .. } if *conductance >= FLOATING_BELOW) {
                graph.add_edge(nodes[a.0 as usize], nodes[b.0 as usize], ());
            }
        }
        let mut solver = Solver::new(network.clone());
        let point = solver.solve().expect("a linear network has an operating point");
        for component in petgraph::algo::tarjan_scc(&graph) {
            let least = component.iter().map(|node| node.index() as u32).min().expect("no component is empty");
            for node in component.iter().map(|node| NodeId(node.index() as u32)) {
                prop_assert_eq!(point.island(node), NodeId(least));
                prop_assert_eq!(point.floating(node), least != 0);
            }
        }
    }
}

fn branch(a: u32, b: u32, conductance: f64, emf: f64) -> Element {
    Element::Branch { a: NodeId(a), b: NodeId(b), conductance, emf }
}

#[test]
fn two_stiff_sources_against_each_other_are_contradictory_and_leave_no_trace() {
    let mut network = Network::new(2);
    let strong = network.add(branch(0, 1, 1e6, 12.0));
    let other = network.add(branch(0, 1, 1e6, 24.0));
    let mut solver = Solver::new(network);
    match solver.solve() {
        Err(Trouble::Contradictory { element: Some(element), amps }) => {
            assert!(element == strong || element == other);
            assert!((amps / 6e6 - 1.0).abs() < 1e-9, "12 V over two microohms: {amps} A");
        }
        outcome => panic!("{outcome:?}"),
    }
    assert!(solver.point().residual().is_infinite(), "nothing in the point holds");
    solver.set_conductance(strong, 0.0);
    assert_eq!(solver.solve().expect("one source is left").volts(NodeId(1)), 24.0);
}

#[test]
fn conductances_beyond_arithmetic_are_singular() {
    let mut network = Network::new(2);
    for _ in 0..3 {
        network.add(branch(0, 1, f64::MAX, 0.0));
    }
    network.add(branch(0, 1, 1.0, 1.0));
    assert_eq!(Solver::new(network).solve().err(), Some(Trouble::Singular { node: NodeId(1) }));
}

#[test]
fn a_floating_island_is_solved_within_itself_and_named() {
    let mut network = Network::new(4);
    network.add(branch(1, 2, 10.0, 9.0));
    network.add(branch(2, 3, 0.5, 0.0));
    network.add(branch(3, 1, 0.5, 0.0));
    let contact = network.add(branch(1, 0, 0.0, 0.0));
    let mut solver = Solver::new(network);
    let point = solver.solve().expect("an island has an operating point");
    assert!((1..4).all(|node| point.floating(NodeId(node)) && point.island(NodeId(node)) == NodeId(1)));
    let amps = 9.0 / (0.1 + 2.0 + 2.0);
    assert!((point.volts_between(NodeId(2), NodeId(1)) - 4.0 * amps).abs() < 1e-12);
    assert_eq!(point.amps(contact), 0.0);

    solver.set_conductance(contact, 100.0);
    let point = solver.solve().expect("a grounded island has an operating point");
    assert!((0..4).all(|node| !point.floating(NodeId(node))));
    assert!((point.volts(NodeId(2)) - 4.0 * amps).abs() < 1e-12 && point.volts(NodeId(1)).abs() < 1e-12);
}
