//! Turns small books into resolved ones and compares what is in them with published figures and with what was written.

use goodground::book::{
    Act, Action, Book, Condition, ControlRange, Effect, End, Face, HarnessWay, Instrument, Item, Kind, Level,
    List, Look, Mode, Part, Resistance, Role, Setting, Setup, Shows, Strength, Subject, Supply, Suspect,
    Target, Timing, mode_word,
};
use goodground::finding::{Finding, Findings, Severity};
use goodground::quantity::Band;
use goodground::read;
use goodground::source::Sources;
use pulldown_cmark::{Event, Tag};

const MANUAL: &str = r#"
title = "Manual"
vehicle = "Vehicle"
edition = "First"
language = "es"
paper = "Letter"
pages = ["zebra.md"]
exclude = ["gearbox automatic and cab low"]

[options.gearbox]
name = "Gearbox"
choices = ["manual", "automatic"]

[options.cab]
choices = ["low", "high"]

[proof]
supply = "11..14 V"
temperature = "40 degC"
"#;

const CIRCUIT: &str = r#"
title = "Lift"

[controls]
key = { positions = ["off", "run", "start"], name = "Ignition key" }
door = ["closed", "open"]
ramp = "0..60 deg"
coolant = "20..120 degC"

[parts.BAT]
kind = "battery"

[parts.F1]
kind = "fuse"
rating = "10 A"

[parts.S1]
kind = "switch"
[parts.S1.makes]
"1-2" = "key run|start and not (door open or ramp above 20..35 deg)"
"1-3" = "coolant above 92..98 degC until below 85..90 degC"
"1-4" = "(door open) lasting 8 s"
"1-5" = "key run blinking 90 per min on 40 %"
"1-6" = "gearbox manual"

[parts.K1]
kind = "relay"
coil = { pins = "86-85", resistance = "85 ohm", pulls-in = "8 V", drops-out = "1.5 V", diode = "86", suppressor = "680 ohm" }
makes = { "30-87" = "energized", "30-87a" = "released" }

[parts.K2]
kind = "latching-relay"
set = { pins = "1-2", resistance = "80 ohm", pulls-in = "8 V" }
reset = { pins = "3-2", resistance = "40 ohm", pulls-in = "8 V" }
makes = { "30-87" = "set", "30-87a" = "reset" }

[parts.SOL]
kind = "solenoid"
pull-in = { pins = "50-M", resistance = "0.4 ohm" }
hold = { pins = "50-31", resistance = "1.2 ohm" }
pulls-in = "8 V"
drops-out = "3 V"
makes = { "30-M" = "energized" }

[parts.H1]
kind = "lamp"
name = "Ready lamp"
rating = "12 V 3 W"
only = "cab high"
fails = { "open" = 0.4 }

[parts.E1]
kind = "lamp"
filaments = { low = { pins = "56b-31", rating = "12 V 55 W" }, high = { pins = "56a-31", rating = "12 V 60 W" } }

[parts.P1]
kind = "led"
drop = "2 V"
rating = "12 V 20 mA"

[parts.P2]
kind = "gauge"
resistance = "60 ohm"
scale = { "90 mA" = "120 degC", "20 mA" = "40 degC" }

[parts.M1]
kind = "motor"
rating = "12 V 120 W"

[parts.D1]
kind = "diode"

[parts.CB1]
kind = "breaker"
rating = "20 A"
resets = "by hand"

[parts.B1]
kind = "sender"
follows = "coolant"
points = { "90 degC" = "240 ohm", "20 degC" = "2.5 kohm" }

[parts.A1]
kind = "module"
terminals = ["15", "31", "IN1", "OUT1"]
ground = "31"
supply = "15"
inputs = { IN1 = "10 kohm" }
outputs = { OUT1 = { from = "15", when = "IN1 below 5..6 V" } }

[parts.G1]
kind = "ground"

[parts.SP1]
kind = "splice"

[connectors.X12]
name = "Step-well connector"
joins = ["chassis", "lift"]

[harness.chassis]
columns = ["id", "from", "to", "color", "mm2", "m", "only"]
wires = [
    ["W1", "BAT:+", "F1:1", "RD", 2.5, 0.5],
    ["W2", "F1:2", "X12:10", "RD/YE", 1.0, 0.6],
    ["W3", "BAT:-", "G1", "BK", 16, 0.6, "gearbox manual"],
    ["W4", "K1:30", "X12:2", "RD", 1.0, 0.6],
]

[harness.lift]
columns = ["id", "from", "to", "color", "AWG", "ft"]
wires = [
    ["W5", "X12:10", "H1:1", "GN/WH", 18, 2],
    ["W6", "X12:2", "SP1:a", "RD", 18, 2],
    ["W7", "SP1:b", "M1:1", "RD", 18, 2],
]

[neighbors]
pairs = [["W5", "W6"]]

[intent]
H1 = "key run"
"E1.high" = "key start"

[accepted]
"D1 reversed" = "found at the annual inspection"

[drawing]
order = ["K1", "M1"]
"#;

const TROUBLE: &str = "+++
title = \"Trouble\"
kind = \"troubleshooting\"
+++

# All procedures

## Procedure 1 {#t1}

Read this first.

### Test one {#t1-1}

- Do: unplug K1
- Do: test light K1:86 to ground
- Read: test light
  - lit: [Replace it.](blame:K1, W2)
  - dim, dark: go to [next](#t1-2)

### Test two {#t1-2}

- Read: M1
  - running: [All is well.](good:)
  - else: [The harness.](<blame: lift short>)
";

const CHECKOUT: &str = "+++
title = \"Checkout\"
kind = \"checkout\"
circuit = \"lift\"
tools = [\"torque wrench\"]
time = \"10 minutes\"
+++

> **WARNING**
> Chock the wheels.

## Step 1: Lamp {#c1}

With the key on, [the lamp lights](<claim: key run, with W2 open; cab high
=> H1 lit>). See [one](trouble.md#t1), [K1](part:K1).

- Set: key run, ramp 30 deg
- Do: wait 8 s, voltmeter X12:2 lift to battery -
- Expect: H1 lit, M1 running for 4..8 s then stopped, voltmeter above 11 V
- Expect: E1.high flashing 60..120 per min, P2 reads 80..100 degC, K1 clicks
- If M1 stopped: [next](trouble.md#t1-1)
- If not: [Procedure 1](trouble.md#t1)

After.

![Lift](<draw: lift; key run>) ![Steps](table:lift/steps)
";

fn files() -> Vec<(&'static str, String)> {
    vec![
        ("circuits/lift.toml", CIRCUIT.to_string()),
        ("content/manual.toml", MANUAL.to_string()),
        ("content/alpha.md", CHECKOUT.to_string()),
        ("content/trouble.md", TROUBLE.to_string()),
        ("content/zebra.md", "+++\ntitle = \"Zebra\"\nkind = \"service\"\n+++\n".to_string()),
    ]
}

fn read_files(files: &[(&str, String)]) -> (Sources, Book, Findings) {
    let mut sources = Sources::default();
    for (path, text) in files {
        sources.add(*path, text.as_str());
    }
    let (book, findings) = read::read(&sources, &[]);
    (sources, book, findings)
}

fn book() -> Book {
    let (_, book, findings) = read_files(&files());
    let wrong = errors(findings);
    assert!(wrong.is_empty(), "{wrong:#?}");
    book
}

/// Most parts of the book above have no wires, which is a warning for each.
fn errors(findings: Findings) -> Vec<Finding> {
    let all = findings.sorted();
    all.into_iter().filter(|finding| finding.code.severity() == Severity::Error).collect()
}

fn part<'a>(book: &'a Book, id: &str) -> &'a Part {
    book.part(book.find_part(id).expect("the part is there"))
}

fn action<'a>(book: &'a Book, id: &str, element: &str) -> &'a Action {
    let part = part(book, id);
    let found = part.elements.iter().find(|found| found.name == element);
    &found.unwrap_or_else(|| panic!("{id} has no element {element}")).action
}

fn when<'a>(book: &'a Book, id: &str, contact: &str) -> &'a Condition {
    match action(book, id, contact) {
        Action::Contact { when, .. } => when,
        other => panic!("{contact} is no contact but {other:?}"),
    }
}

#[test]
fn the_manual_is_read() {
    let book = book();
    assert_eq!(book.manual.language, "es");
    assert_eq!(book.manual.supply.low.0, 11.0);
    assert_eq!(book.manual.temperature, 40.0);
    let builds: Vec<&[u16]> = book.builds.iter().map(|build| &build.choices[..]).collect();
    assert_eq!(builds, [&[0, 0][..], &[0, 1], &[1, 1]]);
    assert_eq!(book.build_name(goodground::book::BuildId(2)), "Gearbox automatic, cab high");
    let paths: Vec<&str> = book.pages.iter().map(|page| page.path.as_str()).collect();
    assert_eq!(paths, ["zebra.md", "alpha.md", "trouble.md"]);
}

#[test]
fn conditions_are_resolved() {
    let book = book();
    let key = goodground::book::ControlId(0);
    let Condition::And(all) = when(&book, "S1", "1-2") else { panic!() };
    assert_eq!(all[0], Condition::Position { control: key, any: vec![1, 2] });
    let Condition::Not(inner) = &all[1] else { panic!() };
    let Condition::Or(any) = &**inner else { panic!() };
    let Condition::Level(ramp) = &any[1] else { panic!() };
    assert!(ramp.above && ramp.until.is_none() && ramp.memory.is_none());
    assert_eq!(ramp.threshold, Band { low: 20.0, high: 35.0 });
    let band = &book.bands[ramp.band.expect("the band is wide").index()];
    assert_eq!(part(&book, "S1").id, book.part(band.part).id);
    assert!(matches!(
        when(&book, "S1", "1-3"),
        Condition::Level(Level { until: Some(Band { low: 85.0, high: 90.0 }), memory: Some(0), .. })
    ));
    assert_eq!(book.memories, 1);
    assert!(matches!(
        when(&book, "S1", "1-4"),
        Condition::Timed { timing: Timing::Lasting(Band { low: 8.0, high: 8.0 }), .. }
    ));
    let Condition::Timed { timing, .. } = when(&book, "S1", "1-5") else { panic!() };
    assert_eq!(*timing, Timing::Blinking { per_minute: 90.0, share: 0.4 });
    assert_eq!(*when(&book, "S1", "1-6"), Condition::Option { group: 0, any: vec![0] });
    assert_eq!(*when(&book, "K2", "30-87a"), Condition::Not(Box::new(Condition::Energized(0))));
    // A module works only while it is fed: the first condition is about its supply.
    let Condition::And(all) = when(&book, "A1", "OUT1") else { panic!() };
    let Condition::Not(inner) = &all[1] else { panic!() };
    assert!(matches!(
        **inner,
        Condition::TerminalAbove { against: Some(_), volts: Band { low: 5.0, high: 6.0 }, .. }
    ));
}

/// A mini power relay (maker's datasheet: 85 ohm, operates at 8 V, releases at 1.5 V) pulls in at 94 mA; its built-in diode
/// has the cathode at the pin that is fed.
#[test]
fn relays_pull_in_by_their_coils_current() {
    let book = book();
    let Action::Coil { ohms, per_ampere, effect, .. } = action(&book, "K1", "coil") else { panic!() };
    assert_eq!(ohms.0, 85.0);
    assert!((per_ampere * 8.0 / 85.0 - 1.0).abs() < 1e-12);
    assert_eq!(*effect, Effect::Hold);
    let relay = part(&book, "K1");
    assert!((relay.states[0].drop_out - 1.5 / 8.0).abs() < 1e-12);
    let diode = relay.elements.iter().find(|element| element.name == "diode").unwrap();
    assert_eq!(relay.terminals[diode.b.index()].name, "86");
    assert!(part(&book, "K2").states[0].latching);
    let Action::Coil { effect, per_ampere, .. } = action(&book, "K2", "reset coil") else { panic!() };
    assert_eq!((*effect, *per_ampere), (Effect::Reset, 5.0));
}

/// Both windings of a solenoid switch count alike, so that opposed currents cancel; together they reach 1 at `pulls-in`, and
/// the hold winding alone falls to the drop-out at `drops-out`.
#[test]
fn solenoid_windings_add_up_and_cancel() {
    let book = book();
    let weight = |name| match action(&book, "SOL", name) {
        Action::Coil { per_ampere, ohms, .. } => (*per_ampere, ohms.0),
        _ => panic!(),
    };
    let ((pull, pull_ohms), (hold, hold_ohms)) = (weight("pull-in"), weight("hold"));
    assert_eq!(pull, hold);
    assert!((8.0 / pull_ohms * pull + 8.0 / hold_ohms * hold - 1.0).abs() < 1e-12);
    assert!((3.0 / hold_ohms * hold - part(&book, "SOL").states[0].drop_out).abs() < 1e-12);
}

#[test]
fn loads_have_their_ratings() {
    let book = book();
    let Action::Filament { volts, watts } = action(&book, "E1", "high") else { panic!() };
    assert_eq!((volts.0, watts.0), (12.0, 60.0));
    let Action::Led { drop, amps, resistor } = action(&book, "P1", "diode") else { panic!() };
    assert_eq!((drop.0, amps.0), (2.0, 0.02));
    assert!((resistor.0 - 500.0).abs() < 1e-9);
    let Action::Load { ohms, face, .. } = action(&book, "M1", "winding") else { panic!() };
    assert!((ohms.0 - 1.2).abs() < 1e-12);
    assert_eq!(*face, Face::Motor { reversible: false });
    let Action::Load { face: Face::Gauge { scale }, .. } = action(&book, "P2", "movement") else { panic!() };
    assert_eq!(scale[0].0, 0.02);
    assert_eq!(scale[1].1.to_string(), "120 degC");
    let Action::Resistor { ohms: Resistance::Follows { points, .. } } = action(&book, "B1", "resistor")
    else {
        panic!()
    };
    assert_eq!(points[..], [(20.0, 2500.0), (90.0, 240.0)]);
    // Cold resistance of a 10 A blade fuse of the ATO size: maker's datasheet.
    let Action::Link { cold, .. } = action(&book, "F1", "link") else { panic!() };
    assert!((cold.0 - 7.70e-3).abs() < 1e-9);
    assert!(matches!(
        action(&book, "BAT", "cells"),
        Action::Source { emf: Supply::Vehicle { share: 1.0 }, .. }
    ));
}

#[test]
fn wires_end_where_they_say() {
    let book = book();
    let x12 = &book.connectors[0];
    assert_eq!(x12.cavities, ["2", "10"]);
    let wire = |id: &str| book.wire(book.find_wire(id).unwrap());
    let End::Cavity { cavity, side, .. } = wire("W5").ends[0] else { panic!() };
    assert_eq!((cavity, side), (1, 1));
    assert_eq!(book.end_name(wire("W6").ends[1]), "SP1");
    assert_eq!(wire("W6").ends[1], wire("W7").ends[0]);
    assert_eq!(wire("W5").color.to_string(), "GN/WH");
    assert_eq!(wire("W5").size.to_string(), "18 AWG");
    assert!((wire("W5").length.0 - 0.6096).abs() < 1e-12);
    assert!((wire("W5").size.value / 0.823 - 1.0).abs() < 2e-3);
    // The ready lamp and its wire are there with the high cab only; W3 with the manual gearbox only.
    assert_eq!(wire("W5").fitted, [false, true, true]);
    assert_eq!(wire("W3").fitted, [true, true, false]);
    assert_eq!(wire("W1").fitted, [true, true, true]);
    let intent = &book.intents[1];
    assert_eq!(book.part(intent.part).elements[intent.element].name, "high");
    assert!(matches!(&book.controls[2].range, ControlRange::Level(band) if band.high.value == 60.0));
}

#[test]
fn steps_are_resolved() {
    let book = book();
    let page = &book.pages[1];
    assert_eq!((page.title.as_str(), page.time.as_deref()), ("Checkout", Some("10 minutes")));
    assert_eq!(page.sections[0].anchor, "top");
    let section = &page.sections[1];
    assert_eq!((section.title.as_str(), section.anchor.as_str()), ("Step 1: Lamp", "c1"));
    assert!(!section.after.is_empty());
    let Role::Step(step) = &section.role else { panic!() };
    assert_eq!(step.acts.len(), 4);
    assert!(matches!(step.acts[1], Act::Set { to: Setting::Level(30.0), .. }));
    assert_eq!(step.acts[2], Act::Wait(8.0));
    let looks: Vec<&Look> = step.expects.iter().map(|expect| &expect.look).collect();
    assert_eq!(*looks[0], Look::Is(Strength::Full));
    assert_eq!(
        *looks[1],
        Look::Then {
            first: Strength::Full,
            backwards: false,
            seconds: Band { low: 4.0, high: 8.0 },
            last: Strength::Off
        }
    );
    assert!(matches!(looks[2], Look::Reads(band) if band.low.value == 11.0 && band.high.value.is_infinite()));
    assert_eq!(*looks[3], Look::Flashing(Some(Band { low: 60.0, high: 120.0 })));
    assert!(matches!(looks[4], Look::Reads(band) if band.to_string() == "80..100 degC"));
    assert_eq!(*looks[5], Look::Clicks);
    assert!(matches!(step.expects[3].subject, Subject::Face { element: 1, .. }));
    let led: Vec<&str> = step.branches.iter().map(|branch| book.section(branch.to).anchor.as_str()).collect();
    assert_eq!(led, ["t1-1", "t1"]);
    assert!(step.branches[0].when.is_some() && step.branches[1].when.is_none());
}

#[test]
fn tests_are_resolved() {
    let book = book();
    let page = &book.pages[2];
    let roles: Vec<u8> = page
        .sections
        .iter()
        .map(|section| match section.role {
            Role::Text => 0,
            Role::Procedure => 1,
            Role::Test(_) => 2,
            Role::Step(_) => 3,
            Role::Question(_) => 4,
        })
        .collect();
    assert_eq!(roles, [0, 1, 2, 2]);
    let Role::Test(test) = &page.sections[2].role else { panic!() };
    assert_eq!(test.reads, Some(Subject::Instrument(Instrument::TestLight)));
    assert_eq!(test.outcomes[1].looks, [Look::Is(Strength::Weak), Look::Is(Strength::Off)]);
    let Target::Verdict { words, blames } = &test.outcomes[0].to else { panic!() };
    assert_eq!((words.as_str(), blames.len()), ("Replace it.", 2));
    let Role::Test(test) = &page.sections[3].role else { panic!() };
    assert!(test.outcomes[1].looks.is_empty());
    let Target::Verdict { blames, .. } = &test.outcomes[1].to else { panic!() };
    assert!(matches!(blames[0], Suspect::Harness { way: HarnessWay::Short, .. }));
}

#[test]
fn prose_has_its_links_resolved() {
    let book = book();
    let section = &book.pages[1].sections[1];
    let addresses = |prose: &[Event<'static>]| -> Vec<String> {
        prose
            .iter()
            .filter_map(|event| match event {
                Event::Start(Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. }) => {
                    Some(dest_url.to_string())
                }
                _ => None,
            })
            .collect()
    };
    assert_eq!(addresses(&section.prose), ["claim:0", "page:trouble.md#t1", "part:K1"]);
    assert_eq!(addresses(&section.after), ["figure:0", "figure:1"]);
    let claim = &book.claims[0];
    assert_eq!(claim.words, "the lamp lights");
    assert!(matches!(claim.setup[..], [Setup::Act(_), Setup::Fault(_), Setup::Build { group: 1, .. }]));
    assert_eq!(claim.expects[0].text, "H1 lit");
    assert!(matches!(&book.figures[0].shows, Shows::Drawing { setup, .. } if setup.len() == 1));
    assert!(matches!(book.figures[1].shows, Shows::List { list: List::Steps, .. }));
}

/// Failure-mode distributions after MIL-HDBK-338B, table 7.8-1 (from memory).
/// A ground splice, a plug that only one build wires through, and a cable behind the battery's minus.
#[test]
fn faults_that_change_nothing_are_not_in_the_catalogue() {
    let mut sources = Sources::default();
    sources.add(
        "content/manual.toml",
        "title = \"M\"\nvehicle = \"V\"\nedition = \"1\"\n[options.cab]\nchoices = [\"low\", \"high\"]\n",
    );
    let circuit = r#"
title = "Grounds"
[parts]
BAT = { kind = "battery" }
H1 = { kind = "lamp", rating = "12 V 3 W" }
H2 = { kind = "lamp", rating = "12 V 3 W", only = "cab high" }
SG = { kind = "splice" }
G1 = { kind = "ground" }
[connectors]
X1 = { joins = ["cab", "roof"] }
[harness.cab]
columns = ["id", "from", "to", "color", "mm2", "m", "only"]
wires = [
    ["W1", "BAT:+", "H1:1", "RD", 1, 1],
    ["W2", "H1:2", "SG", "BN", 1, 1],
    ["W3", "SG", "G1", "BN", 1, 1],
    ["W4", "BAT:-", "SG", "BK", 6, 1],
    ["W5", "BAT:+", "X1:1", "RD", 1, 1, "cab high"],
    ["W6", "X1:2", "SG", "BN", 1, 1, "cab high"],
]
[harness.roof]
wires = [["W7", "X1:1", "H2:1", "RD", 1, 1], ["W8", "H2:2", "X1:2", "BN", 1, 1]]
"#;
    sources.add("circuits/grounds.toml", circuit);
    let (book, found) = read::read(&sources, &[]);
    assert_eq!(found.count(Severity::Error), 0);
    let shorted = |wire: &str| {
        let name = format!("{wire} shorted to ground");
        book.faults.iter().any(|fault| fault.name == name)
    };
    assert!(["W1", "W5", "W7"].into_iter().all(shorted));
    assert!(!["W2", "W3", "W4", "W6", "W8"].into_iter().any(shorted));
    let fits = |name: &str, build: usize| {
        let fault = book.faults.iter().find(|fault| fault.name == name).unwrap();
        fault.shares[build].is_some()
    };
    assert!(!fits("X1:1 open", 0) && fits("X1:1 open", 1));
    assert!(!fits("X1 not mated", 0) && fits("X1 not mated", 1));
}

#[test]
fn every_item_fails_in_shares_that_add_up() {
    let book = book();
    let demo = crate::book::judge(&crate::book::folder("")).book;
    for (book, build) in [(&book, 0), (&demo, 0), (&demo, 1), (&demo, 2), (&demo, 3)] {
        let mut sums: std::collections::BTreeMap<Item, f64> = Default::default();
        for fault in &book.faults {
            let Some(share) = fault.shares[build] else { continue };
            assert!(share > 0.0 && share <= 1.0, "{}: {share}", fault.name);
            *sums.entry(fault.item).or_default() += share;
        }
        for (item, sum) in &sums {
            assert!((sum - 1.0).abs() < 1e-9, "{}: {sum}", book.item_name(*item));
        }
        assert!(sums.len() > 20);
    }
    let mut names: Vec<&str> = book.faults.iter().map(|fault| fault.name.as_str()).collect();
    names.sort_unstable();
    let count = names.len();
    names.dedup();
    assert_eq!(names.len(), count, "two faults have one name");
    for name in [
        "D1 shorted",
        "D1 open",
        "D1 reversed",
        "H1 open",
        "F1 open",
        "K1 coil open",
        "K1 coil shorted",
        "K1 stuck released",
        "K1 stuck energized",
        "K1 30-87 high resistance",
        "K1 30-87a stuck closed",
        "K1:30 pin open",
        "S1 1-2 stuck closed",
        "S1 1-2 open",
        "M1 seized",
        "G1 lost",
        "W1 open",
        "W1 shorted to ground",
        "W5 shorted to W6",
        "W6 shorted to W5",
        "W1 high resistance",
        "X12:10 open",
        "X12 not mated",
        "BAT weak",
        "E1 low open",
    ] {
        assert!(names.binary_search(&name).is_ok(), "no fault {name} among {names:?}");
    }
    assert!(names.binary_search(&"W3 shorted to ground").is_err(), "a ground wire loses nothing on the body");
    let share = |name: &str| {
        book.faults
            .iter()
            .find(|fault| fault.name == name)
            .unwrap()
            .shares
            .iter()
            .flatten()
            .copied()
            .next()
            .unwrap()
    };
    // Diode, general: short .49, open .36. An author's own share stands as it is written.
    assert!((share("D1 shorted") / share("D1 open") - 0.49 / 0.36).abs() < 1e-9);
    assert!((share("H1 open") - 0.4).abs() < 1e-12);
    // Cable: open .19, wear .36; shorts .45 are shared between the body and the neighbor.
    assert!((share("W1 open") - 0.19).abs() < 1e-9);
    assert!((share("W5 shorted to W6") - 0.225).abs() < 1e-9);
    // Relay: spurious trip .26 of all, of which the pins take their part.
    let own: f64 = book
        .faults
        .iter()
        .filter(|fault| fault.part() == book.find_part("K1"))
        .map(|fault| {
            matches!(fault.mode, Mode::PinOpen(_)) as u8 as f64
                * fault.shares.iter().flatten().next().unwrap()
        })
        .sum();
    assert!((own - 0.15).abs() < 1e-9);
    let reversed = book.faults.iter().find(|fault| fault.name == "D1 reversed").unwrap();
    assert_eq!(mode_word(&book, reversed.item, &reversed.name), "reversed");
    assert_eq!(book.fault(book.accepted[0].fault).name, "D1 reversed");
}

#[test]
fn every_kind_has_a_reader() {
    // A part of each kind with no keys: its findings must be about keys, never that the kind is unknown, and its terminals
    // must be there for its wires.
    for kind in Kind::ALL {
        let circuit = format!("title = \"A\"\n[parts.P]\nkind = \"{}\"\n", kind.word());
        let (_, book, findings) =
            read_files(&[("circuits/a.toml", circuit), ("content/manual.toml", MANUAL.to_string())]);
        assert!(findings.iter().all(|finding| finding.code.name() != "unknown-kind"), "{kind:?}");
        assert_eq!(book.parts.len(), 1, "{kind:?}");
        assert_eq!(book.parts[0].kind, *kind);
    }
}

/// What a technician does, written by the book and read again, is the same.
#[test]
fn hands_read_back_as_they_are_written() {
    let lines = "key start, ramp 30 deg, unplug K1, plug K1, pull F1, fit F1, open X12, close X12, disconnect W5 at H1:1,
        reconnect W5 at H1:1, test light K1:86 to ground, jumper K1:30 part to K1:87, fused jumper battery + to SP1,
        continuity light X12:2 chassis to X12:2 lift, voltmeter battery + to battery -, analog voltmeter G1 to M1:1,
        ohmmeter W5 at H1:1 to H1:2, ammeter in W1, clamp in W2, remove test light, substitute K1, substitute W5,
        substitute X12, reset CB1, wait 8 s, without D1, bridged D1, with W5 open, cab low|high, gearbox manual";
    let page = |setup: &str| {
        format!("+++\ntitle = \"P\"\nkind = \"theory\"\n+++\n\n[x](<claim: {setup} => H1 lit>)\n")
    };
    let read_setup = |setup: &str| {
        let mut files = files();
        files.push(("content/claim.md", page(setup)));
        let (_, book, findings) = read_files(&files);
        let wrong = errors(findings);
        assert!(wrong.is_empty(), "{setup}: {wrong:#?}");
        let claim = book.claims.iter().find(|claim| claim.words == "x").unwrap().setup.clone();
        (book, claim)
    };
    let (book, setup) = read_setup(lines);
    assert_eq!(setup.len(), lines.split(',').count());
    let (_, again) = read_setup(&book.step_line().setup(&setup).join(", "));
    assert_eq!(setup, again);
}
