//! Turns a small circuit with one fault into what the technician finds, and compares it with what such a fault does.

use goodground::bench::{Bench, Corner, Rig};
use goodground::book::{Act, Book, BuildId, Setting, Subject, Vehicle};
use goodground::finding::Severity;
use goodground::read;
use goodground::source::Sources;

const CIRCUIT: &str = r#"
title = "Sender and lamp"
[controls]
coolant = "20..120 degC"
[parts.BAT]
kind = "battery"
[parts.F1]
kind = "fuse"
rating = "10 A"
[parts.H1]
kind = "lamp"
rating = "12 V 3 W"
[parts.P1]
kind = "gauge"
resistance = "100 ohm"
scale = { "0 mA" = "0 degC", "100 mA" = "100 degC" }
[parts.B1]
kind = "sender"
follows = "coolant"
points = { "20 degC" = "300 ohm", "120 degC" = "100 ohm" }
[parts.G1]
kind = "ground"
[harness.cab]
wires = [
    ["W1", "BAT:+", "F1:1", "RD", 2.5, 1],
    ["W2", "F1:2", "H1:1", "RD", 1, 1],
    ["W3", "H1:2", "G1", "BN", 1, 1],
    ["W4", "BAT:-", "G1", "BK", 6, 1],
    ["W5", "F1:2", "P1:1", "RD", 1, 1],
    ["W6", "P1:2", "B1:1", "BU", 1, 1],
    ["W7", "B1:2", "G1", "BN", 1, 1],
]
"#;

fn book() -> Book {
    let mut sources = Sources::default();
    let manual = "title = \"M\"\nvehicle = \"V\"\nedition = \"1\"\n[proof]\nsupply = \"12 V\"\n";
    sources.add("content/manual.toml", manual);
    sources.add("circuits/lamp.toml", CIRCUIT);
    let (book, found) = read::read(&sources, &[]);
    assert_eq!(found.count(Severity::Error), 0);
    book
}

fn vehicle<'r>(rig: &'r Rig, fault: Option<&str>) -> Bench<'r> {
    let corner = Corner { supply: 12.0, high: Vec::new(), slow: false };
    let mut bench = Bench::new(rig, corner).unwrap();
    if let Some(name) = fault {
        let fault = rig.vehicle.faults.iter().find(|fault| fault.name == name).unwrap();
        bench.plant(fault).unwrap();
    }
    bench
}

/// ISO 8820-3: a blade fuse at six times its rating opens within a tenth of a second, so nobody finds it whole.
#[test]
fn a_fuse_that_a_short_blows_at_rest_is_blown_when_the_technician_comes() {
    let book = book();
    let rig = Rig::new(&Vehicle::of(&book), BuildId(0));
    assert_eq!(vehicle(&rig, None).blown_links(), []);
    let blown = vehicle(&rig, Some("W2 shorted to ground")).blown_links();
    assert_eq!(blown, [book.find_part("F1").unwrap()]);
}

/// A bad joint of 100 ohm in a sender stays when the sender follows its control.
#[test]
fn a_sender_that_follows_its_control_keeps_its_bad_joint() {
    let book = book();
    let rig = Rig::new(&Vehicle::of(&book), BuildId(0));
    let mut bench = vehicle(&rig, Some("B1 high resistance"));
    let warm = Act::Set { control: goodground::book::ControlId(0), to: Setting::Level(70.0) };
    bench.act(&warm).unwrap();
    let gauge = Subject::Face { part: book.find_part("P1").unwrap(), element: 0 };
    let reading = bench.observe(&[gauge], 0.0).unwrap()[0];
    let goodground::bench::Reading::Number(amount) = reading else { panic!("{reading:?}") };
    // At 70 degC the sender has 200 ohm: 12 V over 400 ohm is 30 mA.
    assert!((amount.value - 30.0).abs() < 0.2, "{amount}");
}

/// A charge link changes no lamp while the battery is good, and yet it belongs there; a resistor that does nothing does not.
#[test]
fn a_link_needs_no_reason_but_a_fault() {
    let mut sources = Sources::default();
    sources.add("content/manual.toml", "title = \"M\"\nvehicle = \"V\"\nedition = \"1\"\n");
    let circuit = r#"
title = "Charging"
[controls]
engine = ["stopped", "running"]
key = ["off", "run"]
[parts]
BAT = { kind = "battery" }
ALT = { kind = "alternator", voltage = "14.2 V", when = "engine running" }
F1 = { kind = "fusible-link", rating = "100 A" }
S1 = { kind = "switch", makes = { "1-2" = "key run" } }
H1 = { kind = "lamp", rating = "12 V 21 W" }
R1 = { kind = "resistor", resistance = "1 kohm" }
G1 = { kind = "ground" }
[harness.cab]
wires = [
    ["W1", "BAT:+", "S1:1", "RD", 2.5, 1],
    ["W2", "S1:2", "H1:1", "RD", 2.5, 1],
    ["W3", "H1:2", "G1", "BN", 2.5, 1],
    ["W4", "BAT:-", "G1", "BK", 6, 1],
    ["W5", "ALT:B+", "F1:1", "RD", 16, 1],
    ["W6", "F1:2", "BAT:+", "RD", 16, 1],
    ["W7", "ALT:31", "G1", "BK", 16, 1],
    ["W8", "S1:2", "R1:1", "RD", 1, 1],
    ["W9", "R1:2", "H1:1", "RD", 1, 1],
]
[intent]
H1 = "key run"
"#;
    sources.add("circuits/charging.toml", circuit);
    let (book, found) = read::read(&sources, &[]);
    assert_eq!(found.count(Severity::Error), 0);
    let proof = goodground::proof::prove(&book, &goodground::proof::Silent);
    let findings = goodground::check::check(&book, &proof).sorted();
    let idle: Vec<&str> = findings
        .iter()
        .filter(|finding| finding.code == goodground::finding::Code::NoReason)
        .map(|finding| sources.slice(finding.span))
        .collect();
    assert!(idle.contains(&"R1") && !idle.contains(&"F1"), "{idle:?}");
}
