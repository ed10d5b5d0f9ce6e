//! Turns worked problems of published training manuals into operating points, and holds these against the printed answers.
//!
//! Each test names its source. *From memory* marks a source that was not at hand when the figures were written down.

use goodground::solve::{Element, ElementId, Network, NodeId, Point, Solver};

/// Nodes by number, the reference is 0.
fn node(number: u32) -> NodeId {
    NodeId(number)
}

/// A resistor, in ohms.
fn ohms(a: u32, b: u32, ohms: f64) -> Element {
    Element::Branch { a: node(a), b: node(b), conductance: 1.0 / ohms, emf: 0.0 }
}

/// A source of `volts` that lifts `b` over `a`, with `inner` ohms in series.
fn source(a: u32, b: u32, volts: f64, inner: f64) -> Element {
    Element::Branch { a: node(a), b: node(b), conductance: 1.0 / inner, emf: volts }
}

/// Ohms of a source that a problem takes to have none: too few to show in any printed figure.
const NONE: f64 = 1e-9;

fn solved(nodes: usize, elements: &[Element]) -> Point {
    let mut network = Network::new(nodes);
    for element in elements {
        network.add(*element);
    }
    Solver::new(network).solve().expect("a worked problem has an operating point").clone()
}

/// Holds a figure against a printed one, to the printed digits.
#[track_caller]
fn holds(what: f64, printed: f64, digits: f64) {
    assert!((what - printed).abs() <= digits, "computed {what}, printed {printed}");
}

fn amps(point: &Point, element: u32) -> f64 {
    point.amps(ElementId(element))
}

/// Army Ordnance lesson OD1633, series circuits, <http://armyordnance.tpub.com/Od16338/Od163380047.htm>: 20 V on two 5 Ω.
#[test]
fn two_in_series() {
    let point = solved(3, &[source(0, 1, 20.0, NONE), ohms(1, 2, 5.0), ohms(2, 0, 5.0)]);
    holds(amps(&point, 1), 2.0, 1e-6);
    holds(20.0 / amps(&point, 0), 10.0, 1e-6);
    holds(point.volts_between(node(1), node(2)), 10.0, 1e-6);
}

/// DOE-HDBK-1011/1, Electrical Science, ES-02 p. 27,
/// <http://nuclearpowertraining.tpub.com/h1011v1/css/Figure-21-Example-1-Series-Circuit-123.htm>: 50, 75 and 100 Ω carry 0.5 A.
#[test]
fn resistance_and_voltage_of_a_series() {
    let point =
        solved(4, &[source(0, 1, 112.5, NONE), ohms(1, 2, 50.0), ohms(2, 3, 75.0), ohms(3, 0, 100.0)]);
    holds(amps(&point, 1), 0.5, 1e-6);
    holds(point.volts(node(1)) / amps(&point, 1), 225.0, 1e-6);
}

/// The same handbook, ES-02 p. 28, <https://www.wiringdiagramfree.com/figure-22-example-2-series-circuit>: 120 V on 40, 60 and 100 Ω.
#[test]
fn drops_of_a_series() {
    let point =
        solved(4, &[source(0, 1, 120.0, NONE), ohms(1, 2, 40.0), ohms(2, 3, 60.0), ohms(3, 0, 100.0)]);
    holds(amps(&point, 2), 0.6, 1e-6);
    holds(point.volts(node(1)) / amps(&point, 1), 200.0, 1e-6);
    holds(point.volts_between(node(1), node(2)), 24.0, 1e-6);
    holds(point.volts_between(node(2), node(3)), 36.0, 1e-6);
    holds(point.volts_between(node(3), node(0)), 60.0, 1e-6);
}

/// The same handbook, figure 27, <http://nuclearpowertraining.tpub.com/h1011v1/css/Figure-27-Total-Resistance-In-A-Parallel-Circuit-129.htm>:
/// 4, 8 and 16 Ω in parallel, printed 2.29 Ω.
#[test]
fn three_in_parallel() {
    let point = solved(2, &[source(0, 1, 1.0, NONE), ohms(1, 0, 4.0), ohms(1, 0, 8.0), ohms(1, 0, 16.0)]);
    holds(point.volts(node(1)) / amps(&point, 0), 2.29, 0.005);
    holds(point.volts(node(1)) / amps(&point, 0), 16.0 / 7.0, 1e-8);
}

/// The same handbook, ES-02 p. 36, <http://nuclearpowertraining.tpub.com/h1011v1/css/Voltage-Divider-132.htm>: what in parallel with 8 Ω
/// makes 6 Ω; printed 24 Ω.
#[test]
fn the_missing_parallel_resistor() {
    let point = solved(2, &[source(0, 1, 6.0, NONE), ohms(1, 0, 8.0), ohms(1, 0, 24.0)]);
    holds(point.volts(node(1)) / amps(&point, 0), 6.0, 1e-6);
}

/// The same page: 24 V on three resistors in series carry 1 A, so they have 24 Ω together; here 12, 8 and 4 Ω.
#[test]
fn a_divider() {
    let point = solved(4, &[source(0, 1, 24.0, NONE), ohms(1, 2, 12.0), ohms(2, 3, 8.0), ohms(3, 0, 4.0)]);
    holds(amps(&point, 3), 1.0, 1e-6);
    holds(point.volts(node(2)), 12.0, 1e-6);
    holds(point.volts(node(3)), 4.0, 1e-6);
}

/// The same handbook, ES-02 p. 39, <https://nuclearpowertraining.tpub.com/h1011v1/css/Summary-135.htm>: 24 A into 6 Ω and 8 Ω in parallel,
/// printed 13.71 A and 10.29 A. The current source is a high voltage behind a high resistance.
#[test]
fn a_current_divides() {
    let point = solved(2, &[source(0, 1, 24e9, 1e9), ohms(1, 0, 6.0), ohms(1, 0, 8.0)]);
    holds(amps(&point, 1), 13.71, 0.005);
    holds(amps(&point, 2), 10.29, 0.005);
}

/// The same handbook, ES-02 pp. 51-52, <https://nuclearpowertraining.tpub.com/h1011v1/css/Loop-2-Equation-148.htm>:
/// `8 + 200 (I2 - I1) - 50 I1 - 10 = 0` and `10 - 200 (I2 - I1) + 40 - 100 I2 = 0`; printed 268.6, 345.8 (which carries
/// rounding) and 77.2 mA. The middle branch carries I2 - I1.
#[test]
fn two_loops() {
    let left = Element::Branch { a: node(1), b: node(0), conductance: 1.0 / 50.0, emf: 8.0 };
    let middle = Element::Branch { a: node(1), b: node(0), conductance: 1.0 / 200.0, emf: 10.0 };
    let right = Element::Branch { a: node(0), b: node(1), conductance: 1.0 / 100.0, emf: 40.0 };
    let point = solved(2, &[left, middle, right]);
    holds(amps(&point, 0), 0.2686, 1e-4);
    holds(amps(&point, 2), 0.3458, 1e-4);
    holds(amps(&point, 1), 0.0772, 1e-4);
    holds(amps(&point, 0), 0.268_571_428_571, 1e-9);
    holds(amps(&point, 2), 0.345_714_285_714, 1e-9);
    holds(amps(&point, 1), 0.077_142_857_143, 1e-9);
}

/// The same handbook, ES-02 p. 57, <https://nuclearpowertraining.tpub.com/h1011v1/css/Figure-45-Node-Voltage-Analysis-153.htm>:
/// `V / 6 = (60 - V) / 8 + (20 - V) / 4`. The page with the answer was not seen; by hand V = 300 / 13.
#[test]
fn a_node_between_two_sources() {
    let point = solved(
        4,
        &[
            source(0, 2, 60.0, NONE),
            source(0, 3, 20.0, NONE),
            ohms(2, 1, 8.0),
            ohms(3, 1, 4.0),
            ohms(1, 0, 6.0),
        ],
    );
    holds(point.volts(node(1)), 300.0 / 13.0, 1e-6);
    holds(amps(&point, 2), 4.615, 5e-4);
    holds(amps(&point, 4), 3.846, 5e-4);
    holds(amps(&point, 3), -0.769, 5e-4);
}

/// Army TM 9-8000, chapter 11 near figure 11-12, <http://automotiveenginemechanics.tpub.com/TM-9-8000/TM-9-80000277.htm>: a 12 V truck's
/// lighting circuit of 6 Ω; corrosion makes it 8 Ω, and 2 A fall to 1.5 A.
#[test]
fn corrosion_in_a_lighting_circuit() {
    let mut network = Network::new(3);
    network.add(source(0, 1, 12.0, NONE));
    let joint = network.add(ohms(1, 2, 1e-9));
    let lights = network.add(ohms(2, 0, 6.0));
    let mut solver = Solver::new(network);
    holds(solver.solve().expect("an operating point").amps(lights), 2.0, 1e-6);
    solver.set_conductance(joint, 0.5);
    let point = solver.solve().expect("an operating point");
    holds(point.amps(lights), 1.5, 1e-6);
    holds(point.volts_between(node(1), node(2)), 3.0, 1e-6);
}

/// NEETS Module 1 (NAVEDTRA 14173), chapter 3, power in a series circuit, from memory: 120 V on 5, 10 and 15 Ω.
#[test]
fn power_in_series() {
    let point = solved(4, &[source(0, 1, 120.0, NONE), ohms(1, 2, 5.0), ohms(2, 3, 10.0), ohms(3, 0, 15.0)]);
    let power = |element: u32, a: u32, b: u32| amps(&point, element) * point.volts_between(node(a), node(b));
    holds(amps(&point, 1), 4.0, 1e-6);
    holds(power(1, 1, 2), 80.0, 1e-4);
    holds(power(2, 2, 3), 160.0, 1e-4);
    holds(power(3, 3, 0), 240.0, 1e-4);
}

/// NEETS Module 1, chapter 3, power transfer, from memory: 100 V behind 5 Ω gives most, 500 W, to a load of 5 Ω.
#[test]
fn power_transfer() {
    let printed = [(5.0, 10.0, 500.0), (10.0, 6.667, 444.4), (1.0, 16.67, 277.8), (20.0, 4.0, 320.0)];
    for (load, current, power) in printed {
        let point = solved(2, &[source(0, 1, 100.0, 5.0), ohms(1, 0, load)]);
        holds(amps(&point, 1), current, 5e-3);
        holds(amps(&point, 1) * point.volts(node(1)), power, 0.05);
    }
}

/// A meter on the lower of two 100 kΩ across 12 V. By hand; the meters' resistances are common practice, no source:
/// 10 MΩ digital, 20 kΩ/V on a 15 V range analogue, and a 1 kΩ load.
#[test]
fn meters_load_a_divider() {
    let mut network = Network::new(3);
    for element in [source(0, 1, 12.0, 1e-3), ohms(1, 2, 1e5), ohms(2, 0, 1e5)] {
        network.add(element);
    }
    let mut solver = Solver::new(network);
    holds(solver.solve().expect("an operating point").volts(node(2)), 6.0, 1e-6);
    for (resistance, reading) in [(10e6, 5.970), (300e3, 5.143), (1e3, 0.1176)] {
        let meter = solver.attach(ohms(2, 0, resistance));
        let point = solver.solve().expect("an operating point");
        holds(point.volts(node(2)), reading, 5e-4);
        holds(point.amps_of(meter) * resistance, reading, 5e-4);
        solver.detach(meter);
    }
    holds(solver.solve().expect("an operating point").volts(node(2)), 6.0, 1e-6);
}

/// A bad joint before a test light of 48 Ω and before a meter of 10 MΩ. By hand; a filament light of 0.25 A at 12 V is
/// common practice, no source. The meter calls a joint of 1 kΩ good; the light stays dark.
#[test]
fn a_test_light_finds_what_a_meter_misses() {
    let mut network = Network::new(3);
    network.add(source(0, 1, 12.0, 1e-6));
    let joint = network.add(ohms(1, 2, 50.0));
    let mut solver = Solver::new(network);
    let mut reads = |joint_ohms: f64, instrument_ohms: f64| {
        solver.set_conductance(joint, 1.0 / joint_ohms);
        let instrument = solver.attach(ohms(2, 0, instrument_ohms));
        let volts = solver.solve().expect("an operating point").volts(node(2));
        solver.detach(instrument);
        volts
    };
    holds(reads(50.0, 48.0), 5.9, 0.05);
    holds(reads(1e3, 48.0), 0.55, 5e-3);
    holds(reads(1e3, 10e6), 11.999, 5e-4);
}

/// A relay coil of 85 Ω that pulls in at 8 V, and a bad joint before it, by hand from the catalogue figures of a plug-in power relay
/// (pins as ISO 7588-1, <https://xonelec.com/mpn/teconnectivity/219040256>): it still has its 8 V behind 42.5 Ω, and its release
/// voltage of 1.5 V behind 595 Ω.
#[test]
fn a_coil_behind_a_bad_joint() {
    for (joint, volts) in [(42.5, 8.0), (595.0, 1.5)] {
        let point = solved(3, &[source(0, 1, 12.0, 1e-6), ohms(1, 2, joint), ohms(2, 0, 85.0)]);
        holds(point.volts(node(2)), volts, 1e-5);
    }
}

/// Lamp rerating, current exponent 0.55 (Fink and Beaty, "Standard Handbook for Electrical Engineers", 11th edition, p. 22-8), for a
/// 12.8 V lamp: current, and with it power by the exponent 1.6 of the same table, to its rounding of the exponents.
#[test]
fn lamps_are_rerated() {
    let printed = [(11.5, 0.943, 0.843), (12.0, 0.965, 0.902), (13.5, 1.030, 1.089), (14.4, 1.067, 1.207)];
    for (volts, current, power) in printed {
        let lamp = Element::Filament {
            a: node(1),
            b: node(0),
            design_volts: 12.8,
            design_amps: 1.64,
            cold_ohms: 0.78,
        };
        let point = solved(2, &[source(0, 1, volts, NONE), lamp]);
        holds(amps(&point, 1) / 1.64, current, 5e-4);
        holds(amps(&point, 1) * volts / (1.64 * 12.8), power, 8e-3);
    }
}
