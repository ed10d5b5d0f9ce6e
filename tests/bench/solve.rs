//! Turns runs of the solver into times, beside those of an independent circuit simulator on the same network.
//!
//! `cargo bench --bench solve`. Times are the best of several passes, because the machine may be shared.
//! The closing line compares what all cores do, as a proof uses them, with the reference, which uses one; the line before it, core with core.

// A benchmark reads the clock and prints.
#![allow(clippy::disallowed_macros, clippy::disallowed_methods, clippy::disallowed_types)]

#[path = "../reference/mod.rs"]
mod reference;

use goodground::solve::{Element, ElementId, NodeId, Solver};
use rayon::prelude::*;
use reference::ngspice::{self, OPEN_OHMS, Opened};
use reference::vehicle::{Fault, SHORT, Vehicle};
use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Instant;

/// What the reference is asked for: the accuracy to which results are promised, 1e-6, instead of its usual 1e-3.
const ACCURACY: &str = "reltol=1e-6 itl1=2000";

/// Nodes of the vehicle that the promise speaks of.
const VEHICLE_NODES: usize = 500;

/// Times that all faults are gone through by all cores together, for one time.
const SWEEPS: usize = 20;

/// Seconds per call: the best of `passes` passes of `calls` calls.
fn best(passes: usize, calls: usize, mut call: impl FnMut()) -> f64 {
    let mut least = f64::INFINITY;
    for _ in 0..passes {
        let start = Instant::now();
        for _ in 0..calls {
            call();
        }
        least = least.min(start.elapsed().as_secs_f64() / calls as f64);
    }
    least
}

fn main() {
    let vehicle = Vehicle::new(VEHICLE_NODES);
    let (nodes, elements) = (vehicle.network.nodes(), vehicle.network.elements().len());
    println!("vehicle: {nodes} nodes, {elements} elements, {} single faults", vehicle.faults.len());
    one_by_one(&vehicle);
    let (single, alone) = all_faults(&vehicle);
    growth();
    let reference = all_faults_by_reference(&vehicle);
    println!(
        "on one of {} cores: {:.0}/s, ratio {:.0}",
        rayon::current_num_threads(),
        1.0 / alone,
        reference / alone
    );
    println!(
        "single-fault operating points: {:.0}/s, reference {:.1}/s, ratio {:.0}",
        1.0 / single,
        1.0 / reference,
        reference / single
    );
}

fn report(what: &str, seconds: f64) {
    println!("{what:<48} {:>12.2} us", seconds * 1e6);
}

/// The single steps of a session at the bench.
fn one_by_one(vehicle: &Vehicle) {
    report(
        "analysis and operating point from nothing",
        best(20, 10, || {
            black_box(Solver::new(vehicle.network.clone()).solve().expect("a vehicle works"));
        }),
    );
    let analyzed = Solver::new(vehicle.network.clone());
    report(
        "operating point from nothing, analyzed before",
        best(20, 50, || {
            black_box(analyzed.clone().solve().expect("a vehicle works"));
        }),
    );
    let mut solver = analyzed.clone();
    solver.solve().expect("a vehicle works");
    let mut on = true;
    report(
        "operating point after a switch change",
        best(20, 500, || {
            on = !on;
            solver.set_conductance(vehicle.contact, if on { 100.0 } else { 0.0 });
            black_box(solver.solve().expect("a vehicle works"));
        }),
    );
    let corroded = ElementId(vehicle.contact.0 + 1);
    report(
        "operating point after a fault comes or goes",
        best(20, 500, || {
            on = !on;
            solver.set_conductance(corroded, if on { sound(vehicle, corroded) } else { 0.5 });
            black_box(solver.solve().expect("a vehicle works"));
        }),
    );
    let (a, b) = (NodeId(nodes_of(vehicle) / 3), NodeId(nodes_of(vehicle) / 2));
    report(
        "voltmeter attached, operating point, detached",
        best(20, 200, || {
            let meter = solver.attach(Element::Branch { a, b, conductance: 1e-7, emf: 0.0 });
            black_box(solver.solve().expect("a vehicle works"));
            solver.detach(meter);
        }),
    );
    report(
        "a clone",
        best(20, 500, || {
            black_box(solver.clone());
        }),
    );
}

fn nodes_of(vehicle: &Vehicle) -> u32 {
    vehicle.network.nodes() as u32
}

/// The conductance that a branch has in the healthy vehicle.
fn sound(vehicle: &Vehicle, branch: ElementId) -> f64 {
    match vehicle.network.elements()[branch.0 as usize] {
        Element::Branch { conductance, .. } => conductance,
        other => panic!("{other:?} has no conductance"),
    }
}

/// Seconds per single-fault operating point on all cores and on one: a healthy vehicle copied, the fault made, solved.
fn all_faults(vehicle: &Vehicle) -> (f64, f64) {
    let mut healthy = Solver::new(vehicle.network.clone());
    healthy.solve().expect("a vehicle works");
    let one = |solver: &mut Solver, fault: &Fault| {
        solver.clone_from(&healthy);
        match *fault {
            Fault::Conductance(branch, siemens) => solver.set_conductance(branch, siemens),
            Fault::Shorted(a) => {
                solver.attach(Element::Branch { a, b: NodeId::REFERENCE, conductance: SHORT, emf: 0.0 });
            }
        }
        black_box(solver.solve().expect("a faulty vehicle has an operating point")).iterations()
    };
    let count = vehicle.faults.len();
    let (mut iterations, mut solver) = (0, healthy.clone());
    let alone = best(15, 1, || {
        iterations = vehicle.faults.iter().map(|fault| one(&mut solver, fault)).sum();
    }) / count as f64;
    let share = count.div_ceil(rayon::current_num_threads());
    // Passes enough that no thread's start counts.
    let together = best(15, 1, || {
        vehicle.faults.par_chunks(share).for_each(|faults| {
            let mut solver = healthy.clone();
            for fault in faults.iter().cycle().take(SWEEPS * faults.len()) {
                one(&mut solver, fault);
            }
        });
    }) / (SWEEPS * count) as f64;
    report("each of all single faults, on one core", alone);
    report("each of all single faults, on all cores", together);
    println!("mean iterations {:.2}", f64::from(iterations) / count as f64);
    (together, alone)
}

/// Time of an operating point from nothing against size, with the exponent of the best line through the logarithms.
fn growth() {
    let mut points = Vec::new();
    for nodes in [50, 150, 500, 1500, 5000, 15000, 50000] {
        let vehicle = Vehicle::new(nodes);
        let analyzed = Solver::new(vehicle.network.clone());
        let whole = best(3, 1, || {
            black_box(Solver::new(vehicle.network.clone()).solve().expect("a vehicle works"));
        });
        let seconds = best(5, 1 + 5000 / nodes, || {
            black_box(analyzed.clone().solve().expect("a vehicle works"));
        });
        println!(
            "{nodes:>6} nodes: {:>10.1} us from nothing, {:>10.1} us with analysis",
            seconds * 1e6,
            whole * 1e6
        );
        points.push(((nodes as f64).ln(), seconds.ln(), whole.ln()));
    }
    let count = points.len() as f64;
    let exponent = |value: fn(&(f64, f64, f64)) -> f64| {
        let (x, y) =
            (points.iter().map(|p| p.0).sum::<f64>() / count, points.iter().map(value).sum::<f64>() / count);
        points.iter().map(|p| (p.0 - x) * (value(p) - y)).sum::<f64>()
            / points.iter().map(|p| (p.0 - x).powi(2)).sum::<f64>()
    };
    println!("growth: n^{:.2} solving, n^{:.2} with analysis", exponent(|p| p.1), exponent(|p| p.2));
}

/// Seconds per single-fault operating point of the reference: one process, a control script that alters a resistor,
/// solves and alters it back. What the process takes to start, to read the network and to solve it once is taken off.
fn all_faults_by_reference(vehicle: &Vehicle) -> f64 {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut shorts = String::new();
    for fault in &vehicle.faults {
        if let Fault::Shorted(NodeId(node)) = fault {
            writeln!(shorts, "rshort{node} n{node} 0 {OPEN_OHMS:e}").expect("a line");
        }
    }
    let deck = ngspice::deck(&vehicle.network, Opened::Resistor, ACCURACY, &shorts);
    std::fs::write(folder.path().join("vehicle.cir"), deck).expect("a deck written");
    let ohms = |siemens: f64| if siemens > 0.0 { 1.0 / siemens } else { OPEN_OHMS };
    let script = |faults: &[Fault]| {
        let mut control = String::from("* control\n.control\nset nomoremode\nsource vehicle.cir\nop\n");
        for &fault in faults {
            let (name, bad, good) = match fault {
                Fault::Conductance(branch, siemens) => {
                    (format!("r{}", branch.0), ohms(siemens), ohms(sound(vehicle, branch)))
                }
                Fault::Shorted(NodeId(node)) => (format!("rshort{node}"), ohms(SHORT), OPEN_OHMS),
            };
            writeln!(control, "alter {name} = {bad:e}\nop\nalter {name} = {good:e}\ndestroy all")
                .expect("a line");
        }
        control.push_str("print v(n1)\nquit\n.endc\n.end\n");
        control
    };
    let (none, all) = (script(&[]), script(&vehicle.faults));
    let idle = best(3, 1, || {
        black_box(ngspice::run(folder.path(), &none));
    });
    let busy = best(2, 1, || {
        let (printed, _) = ngspice::run(folder.path(), &all);
        assert_eq!(printed.matches("No. of Data Rows").count(), vehicle.faults.len() + 1, "{printed}");
    });
    (busy - idle) / vehicle.faults.len() as f64
}
