//! Turns small sheets, each with one promise of the proof in it, into what is found, seen or read there.

use crate::book::{Files, Judged, judge, sheet};
use goodground::bench::{Bench, Corner, HarmKind, Rig, opening_time};
use goodground::book::{Action, Book, BuildId, Condition, Fault, Item, Protection, Suspect, Target, Vehicle};
use goodground::finding::Code;
use goodground::proof::intent::Wrong;
use goodground::proof::trouble::{End, suspect_names, target};

/// A sheet with a battery, a ground and some lines of each section.
pub fn circuit(controls: &str, parts: &str, wires: &str, rest: &str) -> String {
    format!(
        r#"title = "Sheet"
[controls]
{controls}
[parts]
BAT = {{ kind = "battery", internal = "5 mohm" }}
G1 = {{ kind = "ground" }}
{parts}
[harness.main]
columns = ["id", "from", "to", "color", "mm2", "m", "only"]
wires = [
    ["W1", "BAT:-", "G1", "BK", 16, 0.5],
{wires}
]
{rest}
"#
    )
}

/// The book of a sheet, over this supply and with this text on a theory page.
fn book_of(circuit: &str, supply: &str, text: &str) -> Files {
    let mut files = sheet(circuit);
    let manual = files.get_mut("content/manual.toml").expect("a manual");
    *manual = manual.replace("12.8 V", supply);
    let page = format!("+++\ntitle = \"Page\"\nkind = \"theory\"\ncircuit = \"sheet\"\n+++\n\n{text}\n");
    files.insert("content/page.md".to_string(), page);
    files
}

/// Claims that must fail or hold: `claim` for the first, `holds` for the second.
fn false_claims(circuit: &str, supply: &str, claims: &[&str]) -> Vec<bool> {
    let links = claims.iter().map(|claim| format!("[it does](<claim: {claim}>)\n\n"));
    let judged = judge(&book_of(circuit, supply, &links.collect::<String>()));
    let reading: Vec<&str> = judged
        .findings
        .iter()
        .filter(|finding| {
            !matches!(finding.code, Code::FalseClaim | Code::SneakPath | Code::DeadFunction | Code::NoReason)
        })
        .map(|finding| finding.headline.as_str())
        .collect();
    assert!(reading.is_empty(), "{reading:?}");
    let lines: Vec<usize> =
        judged.of(Code::FalseClaim).into_iter().map(|finding| judged.place(finding).1).collect();
    (0..claims.len()).map(|at| lines.contains(&(7 + 2 * at))).collect()
}

fn fault<'b>(book: &'b Book, name: &str) -> &'b Fault {
    book.faults.iter().find(|fault| fault.name == name).unwrap_or_else(|| panic!("no fault {name}"))
}

fn codes(judged: &Judged) -> Vec<&str> {
    judged.findings.iter().map(|finding| finding.code.name()).collect()
}

const LAMPS: &str = r#"S1 = { kind = "switch", makes = { "1-2" = "key run" } }
H1 = { kind = "lamp", rating = "12 V 5 W" }
H2 = { kind = "lamp", rating = "12 V 5 W", only = "cab high" }"#;
const LAMP_WIRES: &str = r#"    ["W2", "S1:1", "BAT:+", "RD", 0.35, 0.5],
    ["W3", "S1:2", "H1:1", "RD", 1, 0.5],
    ["W4", "H1:2", "G1", "BN", 1, 0.5],
    ["W5", "S1:2", "H2:1", "RD", 1, 0.5],
    ["W6", "H2:2", "G1", "BN", 1, 0.5],"#;
const LAMP_REST: &str =
    "[neighbors]\npairs = [[\"W3\", \"W5\"], [\"W2\", \"W3\"]]\n[intent]\nH1 = \"key run\"\nH2 = \"key run\"";

/// Two lamps behind a switch, one of them in the high cab alone, with wires side by side.
fn lamps() -> Files {
    let mut files =
        book_of(&circuit("key = [\"off\", \"run\"]", LAMPS, LAMP_WIRES, LAMP_REST), "12.8 V", "Text.");
    let manual = files.get_mut("content/manual.toml").expect("a manual");
    *manual = manual.replace("[proof]", "[options.cab]\nchoices = [\"low\", \"high\"]\n\n[proof]");
    files
}

#[test]
fn wires_that_touch_are_both_guilty_and_both_have_to_be_there() {
    let judged = judge(&lamps());
    assert_eq!(codes(&judged), Vec::<&str>::new());
    let book = &judged.book;
    assert_eq!(book.neighbors.len(), 2);
    let touching = fault(book, "W3 shorted to W5");
    assert!(touching.shares[0].is_none() && touching.shares[1].is_some());
    for wire in ["W3", "W5"] {
        let wire = Item::Wire(book.find_wire(wire).expect("the wire"));
        assert!(suspect_names(book, &Suspect::Item(wire), touching));
    }
}

#[test]
fn a_finding_names_the_build_that_it_is_found_in() {
    let mut files = lamps();
    let page = files.get_mut("content/page.md").expect("a page");
    page.push_str("[dark](<claim: cab high, key run => H2 dark>)\n");
    let judged = judge(&files);
    let told = &judged.of(Code::FalseClaim)[0].remarks;
    assert!(told.iter().any(|remark| remark.text.contains("with cab high")), "{told:?}");
}

#[test]
fn an_intent_is_judged_at_both_ends_of_the_supply_and_counts_every_state() {
    let circuit = circuit("key = [\"off\", \"run\"]", LAMPS, LAMP_WIRES, LAMP_REST)
        .replace(", only = \"cab high\"", "");
    let circuit = circuit.replace("H2 = \"key run\"", "H2 = \"key off\"");
    let judged = judge(&book_of(&circuit, "11..14 V", "Text."));
    let states: Vec<(Wrong, usize)> =
        judged.proof.intents.iter().map(|breach| (breach.wrong, breach.states)).collect();
    // Two at rest and two with the key on, and the same again where a move leads there.
    assert_eq!(states, [(Wrong::Works, 2), (Wrong::Dead, 2)]);
}

#[test]
fn a_wire_is_overloaded_by_what_either_half_of_it_carries() {
    let circuit = circuit("key = [\"off\", \"run\"]", LAMPS, LAMP_WIRES, LAMP_REST)
        .replace(", only = \"cab high\"", "");
    let judged = judge(&book_of(&circuit, "12.8 V", "Text."));
    let book = &judged.book;
    let rig = Rig::new(&Vehicle::of(book), BuildId(0));
    let corner = Corner { supply: 12.8, high: Vec::new(), slow: false };
    let mut bench = Bench::new(&rig, corner).expect("it comes to rest");
    bench.plant(fault(book, "W2 shorted to ground")).expect("it comes to rest");
    // The feed comes to the short from the wire's second end: its first half carries nothing.
    let wire = book.find_wire("W2").expect("the wire");
    assert!(bench.examine().iter().any(|harm| harm.kind == HarmKind::Wire(wire)));
}

/// A lamp behind level switches that lie in parallel: dark where all of them operate at the high end of their bands.
fn floats(count: usize, level: &str, makes: &str) -> String {
    let switches = (0..count)
        .map(|at| format!("S{at} = {{ kind = \"switch\", makes = {{ \"1-2\" = \"{makes}\" }} }}\n"));
    let wires = (0..count).map(|at| {
        format!("[\"W{0}a\", \"BAT:+\", \"S{at}:1\", \"RD\", 1, 1],\n[\"W{0}b\", \"S{at}:2\", \"H1:1\", \"RD\", 1, 1],\n", at + 10)
    });
    let wires = wires.collect::<String>() + "[\"W3\", \"H1:2\", \"G1\", \"BN\", 1, 1],";
    let parts = switches.collect::<String>() + "H1 = { kind = \"lamp\", rating = \"12 V 5 W\" }";
    circuit(level, &parts, &wires, "[intent]\nH1 = \"water above 100 mm\"")
}

#[test]
fn of_many_bands_the_corner_at_which_all_are_high_is_tried() {
    let circuit = floats(8, "water = \"0..200 mm\"", "water above 80..100 mm");
    assert_eq!(
        false_claims(&circuit, "12.8 V", &["water 90 mm => H1 lit", "water 110 mm => H1 lit"]),
        [true, false]
    );
}

#[test]
fn a_band_alone_where_a_switch_returns_is_a_band_too() {
    let circuit = floats(1, "water = \"0..200 mm\"", "water above 100 mm until below 30..50 mm");
    let claims = ["water 120 mm, water 40 mm => H1 lit", "water 120 mm, water 60 mm => H1 lit"];
    assert_eq!(false_claims(&circuit, "12.8 V", &claims), [true, false]);
}

#[test]
fn a_level_that_rests_in_a_band_has_its_corners_though_nobody_sets_it() {
    let circuit =
        floats(1, "water = \"90..200 mm\"\nkey = [\"off\", \"run\"]", "water above 80..100 mm and key run");
    let circuit = circuit.replace("H1 = \"water above 100 mm\"", "H1 = \"key run and water above 100 mm\"");
    assert_eq!(false_claims(&circuit, "12.8 V", &["key run => H1 lit"]), [true]);
    let judged = judge(&book_of(&circuit, "12.8 V", "Text."));
    let book = &judged.book;
    let switch = book.part(book.find_part("S0").expect("the switch"));
    let Action::Contact { when: Condition::And(both), .. } = &switch.elements[0].action else {
        panic!("the switch has two conditions")
    };
    assert!(!book.holds_at_rest(&both[0], None), "nobody knows whether it is made at rest");
}

#[test]
fn a_latching_relay_is_set_by_one_winding_and_reset_by_the_other() {
    let parts = r#"S1 = { kind = "switch", makes = { "1-2" = "on pressed" } }
S2 = { kind = "switch", makes = { "1-2" = "off pressed" } }
K1 = { kind = "latching-relay", set = { pins = "S-31", resistance = "85 ohm", pulls-in = "8 V" }, reset = { pins = "R-31", resistance = "85 ohm", pulls-in = "8 V" }, makes = { "30-87" = "set" } }
H1 = { kind = "lamp", rating = "12 V 5 W" }"#;
    let wires = r#"["W2", "BAT:+", "S1:1", "RD", 1, 1], ["W3", "S1:2", "K1:S", "RD", 1, 1], ["W4", "BAT:+", "S2:1", "RD", 1, 1],
["W5", "S2:2", "K1:R", "RD", 1, 1], ["W6", "K1:31", "G1", "BN", 1, 1], ["W7", "BAT:+", "K1:30", "RD", 1, 1],
["W8", "K1:87", "H1:1", "RD", 1, 1], ["W9", "H1:2", "G1", "BN", 1, 1],"#;
    let circuit = circuit(
        "on = [\"up\", \"pressed\"]\noff = [\"up\", \"pressed\"]",
        parts,
        wires,
        "[intent]\nH1 = \"on pressed\"",
    );
    let claims = [
        "on pressed, on up => H1 lit",
        "on pressed, on up, off pressed => H1 dark",
        "on pressed, on up, off pressed, off up => H1 dark",
        "off pressed => H1 lit",
    ];
    assert_eq!(false_claims(&circuit, "12.8 V", &claims), [false, false, false, true]);
}

#[test]
fn an_alternator_gives_nothing_until_its_field_is_fed() {
    let parts = r#"S1 = { kind = "switch", makes = { "1-2" = "key run" } }
ALT = { kind = "alternator", voltage = "14.2 V", when = "engine running", field = "D+" }
H1 = { kind = "lamp", rating = "12 V 21 W" }
R1 = { kind = "resistor", resistance = "10 ohm" }"#;
    let wires = r#"["W2", "ALT:B+", "H1:1", "RD", 1, 1], ["W3", "H1:2", "G1", "BN", 1, 1], ["W4", "ALT:31", "G1", "BK", 6, 1],
["W5", "BAT:+", "S1:1", "RD", 1, 1], ["W6", "S1:2", "R1:1", "RD", 1, 1], ["W7", "R1:2", "ALT:D+", "RD", 1, 1],"#;
    let controls = "key = [\"off\", \"run\"]\nengine = [\"stopped\", \"running\"]";
    let circuit = circuit(controls, parts, wires, "[intent]\nH1 = \"engine running and key run\"");
    let claims = ["engine running => H1 dark", "key run, engine running => H1 lit"];
    assert_eq!(false_claims(&circuit, "12.8 V", &claims), [false, false]);
}

/// The energy of the last row of the fuse table holds beyond it: at twice its share a quarter of its time.
#[test]
fn a_fuse_opens_sooner_the_more_it_carries_beyond_the_last_row_of_its_table() {
    let time = |share| opening_time(Protection::Fuse, share).expect("it opens").high;
    assert!((time(12.0) / time(6.0) - 0.25).abs() < 1e-12);
}

/// A checkout of one step over a valve and a motor behind the key.
fn machines(step: &str) -> Judged {
    let parts = r#"S1 = { kind = "switch", makes = { "1-2" = "key run" } }
S2 = { kind = "switch", makes = { "1-2" = "door open" } }
Y1 = { kind = "valve", rating = "12 V 12 W" }
H1 = { kind = "lamp", rating = "12 V 5 W" }"#;
    let wires = r#"["W2", "BAT:+", "S1:1", "RD", 1, 1], ["W3", "S1:2", "Y1:1", "RD", 1, 1], ["W4", "Y1:2", "G1", "BN", 1, 1],
["W5", "BAT:+", "S2:1", "RD", 1, 1], ["W6", "S2:2", "H1:1", "RD", 1, 1], ["W7", "H1:2", "G1", "BN", 1, 1],"#;
    let controls = "key = [\"off\", \"run\"]\ndoor = [\"closed\", \"open\"]";
    let mut files = book_of(
        &circuit(controls, parts, wires, "[intent]\nY1 = \"key run\"\nH1 = \"door open\""),
        "12.8 V",
        "Text.",
    );
    let page = format!(
        "+++\ntitle = \"Checkout\"\nkind = \"checkout\"\ncircuit = \"sheet\"\n+++\n\n## Step 1: On {{#c1}}\n\n{step}\n"
    );
    files.insert("content/checkout.md".to_string(), page);
    judge(&files)
}

#[test]
fn a_valve_that_a_step_moves_unasked_is_told_once() {
    let judged = machines("- Set: key run, door open\n- Expect: H1 lit");
    let moved = judged.of(Code::UnaskedMotion);
    assert_eq!(moved.len(), 1, "{}", judged.listing());
    assert!(moved[0].remarks[0].text.contains("key run"));
    assert_eq!(
        machines("- Set: key run, door open\n- Expect: H1 lit, Y1 pulled").of(Code::UnaskedMotion).len(),
        0
    );
}

#[test]
fn a_control_that_a_sender_alone_reads_is_used() {
    let parts = r#"R1 = { kind = "sender", follows = "water", points = { "0 mm" = "500 ohm", "100 mm" = "50 ohm" } }
P1 = { kind = "gauge", resistance = "60 ohm", scale = { "20 mA" = "0 mm", "110 mA" = "100 mm" } }"#;
    let wires = r#"["W2", "BAT:+", "P1:1", "RD", 1, 1], ["W3", "P1:2", "R1:1", "RD", 1, 1], ["W4", "R1:2", "G1", "BN", 1, 1],"#;
    let judged = judge(&book_of(&circuit("water = \"0..100 mm\"", parts, wires, ""), "12.8 V", "Text."));
    assert_eq!(judged.of(Code::Unused).len(), 0, "{}", judged.listing());
}

#[test]
fn a_control_set_outside_its_range_and_an_intent_said_twice_are_found() {
    let twice = floats(1, "water = \"0..200 mm\"", "water above 100 mm");
    let judged = judge(&book_of(&twice, "12.8 V", "[far](<claim: water 300 mm => H1 lit>)"));
    assert_eq!(codes(&judged), ["out-of-range"]);
    let twice = twice + "\"H1.filament\" = \"water above 150 mm\"";
    assert_eq!(codes(&judge(&book_of(&twice, "12.8 V", "Text."))), ["duplicate-id"]);
}

#[test]
fn a_cavity_can_be_open_only_in_a_build_whose_wires_reach_it() {
    let rest = format!(
        "{LAMP_REST}\n[connectors.X1]\njoins = [\"main\", \"roof\"]\n[harness.roof]\nwires = [[\"W7\", \"X1:2\", \"H2:1\", \"RD\", 1, 1], [\"W8\", \"X1:1\", \"H1:1\", \"RD\", 1, 1]]"
    );
    let wires = LAMP_WIRES
        .replace(
            "[\"W3\", \"S1:2\", \"H1:1\", \"RD\", 1, 0.5]",
            "[\"W3\", \"S1:2\", \"X1:1\", \"RD\", 1, 0.5]",
        )
        .replace(
            "[\"W5\", \"S1:2\", \"H2:1\", \"RD\", 1, 0.5]",
            "[\"W5\", \"S1:2\", \"X1:2\", \"RD\", 1, 0.5, \"cab high\"]",
        );
    let mut files = lamps();
    files
        .insert("circuits/sheet.toml".to_string(), circuit("key = [\"off\", \"run\"]", LAMPS, &wires, &rest));
    let judged = judge(&files);
    assert_eq!(codes(&judged), Vec::<&str>::new(), "{}", judged.listing());
    let fits = |name: &str| [0, 1].map(|build| fault(&judged.book, name).shares[build].is_some());
    assert_eq!(
        [fits("X1:1 open"), fits("X1:2 open"), fits("X1 not mated")],
        [[true, true], [false, true], [true, true]]
    );
}

#[test]
fn not_binds_tighter_than_and() {
    let circuit =
        floats(1, "key = [\"off\", \"run\"]\ndoor = [\"closed\", \"open\"]", "not door open and key run");
    let circuit = circuit.replace("water above 100 mm", "key run and door closed");
    let claims = ["door closed => H1 dark", "key run => H1 lit", "key run, door open => H1 dark"];
    assert_eq!(false_claims(&circuit, "12.8 V", &claims), [false, false, false]);
}

/// Each relay feeds the coil of the next: at rest only when all have pulled in, one after the other.
#[test]
fn a_chain_of_seventy_relays_pulls_in_and_is_no_chatter() {
    let mut text = "title = \"Chain\"\n\n[controls]\nkey = [\"off\", \"run\"]\n\n[parts.BAT]\nkind = \"battery\"\n\n[parts.S1]\nkind = \"switch\"\nmakes = { \"1-2\" = \"key run\" }\n\n[parts.H1]\nkind = \"lamp\"\nrating = \"12 V 3 W\"\n".to_string();
    let mut wires = "[\"V1\", \"BAT:+\", \"S1:1\", \"RD\", 10, 0.1],\n".to_string();
    let mut feed = "S1:2".to_string();
    for at in 1..=70 {
        text += &format!(
            "\n[parts.K{at}]\nkind = \"relay\"\ncoil = {{ pins = \"86-85\", resistance = \"85 ohm\", pulls-in = \"8 V\", drops-out = \"1.5 V\" }}\nmakes = {{ \"30-87\" = \"energized\" }}\n"
        );
        wires += &format!(
            "[\"A{at}\", \"{feed}\", \"K{at}:86\", \"RD\", 10, 0.1],\n[\"B{at}\", \"K{at}:85\", \"BAT:-\", \"BK\", 10, 0.1],\n[\"C{at}\", \"BAT:+\", \"K{at}:30\", \"RD\", 10, 0.1],\n"
        );
        feed = format!("K{at}:87");
    }
    wires += &format!(
        "[\"V2\", \"{feed}\", \"H1:1\", \"RD\", 10, 0.1],\n[\"V3\", \"H1:2\", \"BAT:-\", \"BK\", 10, 0.1],\n"
    );
    text += &format!("\n[harness.all]\nwires = [\n{wires}]\n\n[intent]\nH1 = \"key run\"\n");
    let judged = crate::book::judge(&crate::book::sheet(&text));
    let wrong: Vec<&str> = judged
        .findings
        .iter()
        .filter(|finding| !matches!(finding.code, Code::UnshownFault | Code::NoReason))
        .map(|finding| finding.headline.as_str())
        .collect();
    assert_eq!(wrong, Vec::<&str>::new());
}

/// 75 A stand in a thin wire before the technician's first hand: nothing that a step does can be blamed for it.
#[test]
fn what_stands_overloaded_is_told_at_the_first_step() {
    let parts = "R1 = { kind = \"heater\", rating = \"12 V 900 W\" }";
    let wires = "[\"W10\", \"BAT:+\", \"R1:1\", \"RD\", 0.35, 0.1],\n[\"W11\", \"R1:2\", \"BAT:-\", \"BK\", 10, 0.1],";
    let mut files =
        sheet(&circuit("key = [\"off\", \"run\"]", parts, wires, "[intent]\nR1 = \"key off or key run\"\n"));
    let checkout = "+++\ntitle = \"C\"\nkind = \"checkout\"\ncircuit = \"sheet\"\n+++\n\n## Step 1 {#c1}\n\n- Set: key off\n- Expect: R1 hot\n- If not: [1](t.md#t1)\n\n## Step 2 {#c2}\n\n- Set: key run\n- Expect: R1 hot\n- If not: [1](t.md#t1)\n";
    let trouble = "+++\ntitle = \"T\"\nkind = \"troubleshooting\"\ncircuit = \"sheet\"\n+++\n\n## Procedure 1 {#t1}\n\n### 1.1 It is the heater {#t1-1}\n\n- Then: [Replace it.](blame:R1)\n";
    files.insert("content/c.md".to_string(), checkout.to_string());
    files.insert("content/t.md".to_string(), trouble.to_string());
    let judged = judge(&files);
    let told = judged.of(Code::OverloadedWire);
    assert_eq!(told.len(), 1, "{}", judged.listing());
    assert!(
        told[0].headline.contains("W10") && told[0].remarks[0].text.contains("before the first step"),
        "{told:?}"
    );
    assert_eq!(judged.place(told[0]).1, 7, "at the first step's heading");
}

#[test]
fn a_sealed_splice_and_its_wires_are_one_item() {
    let open = crate::book::folder("src/command/starter");
    let mut sealed = open.clone();
    let circuit = sealed.get_mut("circuits/reversing.toml").expect("the sheet");
    *circuit = circuit.replace("kind = \"splice\"\n", "kind = \"splice\"\nsealed = true\n");
    let trouble = sealed.get_mut("content/reversing-trouble.md").expect("the page");
    assert!(trouble.contains("blame:W7"), "{trouble}");
    let [open, sealed] = [open, sealed].map(|files| judge(&files));
    assert!(open.findings.is_empty() && sealed.findings.is_empty(), "{}", sealed.listing());
    let names = |judged: &Judged, wire: &str| {
        let splice = Suspect::Item(Item::Part(judged.book.find_part("SP1").expect("a splice")));
        suspect_names(&judged.book, &splice, fault(&judged.book, &format!("{wire} open")))
    };
    assert_eq!(["W7", "W8", "W9", "W5"].map(|wire| names(&sealed, wire)), [true, true, true, false]);
    assert_eq!(["W7", "W8", "W9", "W5"].map(|wire| names(&open, wire)), [false; 4]);
    let one = |judged: &Judged| judged.proof.metrics.fraction_isolated[0];
    assert!(one(&sealed) > one(&open) + 0.01, "{} {}", one(&sealed), one(&open));
    assert_eq!(sealed.proof.metrics.mean_tests, open.proof.metrics.mean_tests);
}

#[test]
fn a_verdict_counts_the_items_that_the_build_has() {
    let wires = r#"
["W2", "BAT:+", "F1:1", "RD", 1.5, 1, ""],
["W3", "F1:2", "H1:1", "RD", 1.5, 1, ""],
["W4", "F1:2", "H1:1", "RD", 1.5, 1, "cab high"],
["W5", "H1:2", "G1", "BK", 1.5, 1, ""],"#;
    let parts = r#"F1 = { kind = "fuse", rating = "10 A" }
H1 = { kind = "lamp", rating = "12 V 21 W" }"#;
    let mut files = book_of(&circuit("", parts, wires, ""), "12.8 V", "A lamp.");
    let manual = files.get_mut("content/manual.toml").expect("a manual");
    manual.push_str("\n[options.cab]\nchoices = [\"low\", \"high\"]\n");
    let head =
        |kind: &str| format!("+++\ntitle = \"{kind}\"\nkind = \"{kind}\"\ncircuit = \"sheet\"\n+++\n\n");
    let checkout = "## Lit {#c1}\n\n- Expect: H1 lit\n- If not: [P](trouble.md#t1)\n";
    let trouble = "## P {#t1}\n\n### One {#t1-1}\n\n- Read: H1\n  - lit: [Well.](good:)\n  - else: [Somewhere.](<blame:F1, H1, W1, W2, W3, W4, W5, BAT, G1>)\n";
    files.insert("content/checkout.md".to_string(), head("checkout") + checkout);
    files.insert("content/trouble.md".to_string(), head("troubleshooting") + trouble);
    let judged = judge(&files);
    let metrics = &judged.proof.metrics;
    let [low, high] = &metrics.builds[..] else { panic!("{}", judged.listing()) };
    assert_eq!([low.mean_group_per_fault, high.mean_group_per_fault], [8.0, 9.0]);
    // Two of one build's faults are none of the other's.
    assert!(high.faults > low.faults && metrics.faults >= high.faults, "{metrics:?}");
}

/// What is found of the intents of a sheet: the code and the sentence of each.
fn intents(controls: &str, parts: &str, wires: &str, intent: &str) -> Vec<String> {
    let judged = judge(&book_of(&circuit(controls, parts, wires, intent), "12.8 V", "Text."));
    let told = judged.findings.iter().filter(|finding| finding.code != Code::NoReason);
    told.map(|finding| format!("{}: {}", finding.code.name(), finding.headline)).collect()
}

/// A relay that a button pulls in and that then holds itself, by its own contact, past the key or behind it.
fn holding(past: &str) -> Vec<String> {
    intents(
        "key = [\"off\", \"run\"]\nstart = [\"up\", \"pressed\"]",
        r#"F1 = { kind = "fuse", rating = "20 A" }
S1 = { kind = "switch", makes = { "1-2" = "key run" } }
S2 = { kind = "switch", makes = { "1-2" = "start pressed" } }
K1 = { kind = "relay", coil = { pins = "86-85", resistance = "85 ohm", pulls-in = "8 V", drops-out = "2 V" }, makes = { "30-87" = "energized" } }
M1 = { kind = "motor", rating = "12 V 60 W" }"#,
        &format!(
            r#"["W2", "BAT:+", "F1:1", "RD", 4, 1],
["W3", "F1:2", "S1:1", "RD", 4, 1],
["W4", "S1:2", "S2:1", "RD", 1.5, 1],
["W5", "S2:2", "K1:86", "RD", 1.5, 1],
["W6", "K1:85", "G1", "BK", 1.5, 1],
["W7", "{past}", "K1:30", "RD", 4, 1],
["W8", "K1:87", "M1:1", "RD", 4, 1],
["W9", "M1:2", "G1", "BK", 4, 1],
["W10", "K1:87", "K1:86", "RD", 1.5, 1],"#
        ),
        "[intent]\nM1 = \"key run and start pressed\"",
    )
}

#[test]
fn an_intent_is_judged_whatever_came_before() {
    // The motor runs on when the button is let go; with the contact past the key, when the key is off too.
    let behind = holding("S1:2");
    assert_eq!(behind, ["sneak-path: M1 works with key run, against its intent"]);
    let past = holding("F1:2");
    assert_eq!(past, ["sneak-path: M1 works with start pressed, against its intent"]);
    // Without the wire that holds, each is clean; the way there is told.
    let judged = judge(&book_of(
        &circuit("key = [\"off\", \"run\"]", LAMPS, LAMP_WIRES, LAMP_REST),
        "12.8 V",
        "Text.",
    ));
    assert!(judged.of(Code::SneakPath).is_empty() && judged.of(Code::DeadFunction).is_empty());
}

/// One lamp behind one switch, with something in its way.
fn lamp(way: &str, wire: &str, contact: &str, intent: &str) -> Vec<String> {
    intents(
        "key = [\"off\", \"run\"]",
        &format!(
            r#"S1 = {{ kind = "switch", makes = {{ "1-2" = "{contact}" }} }}
E1 = {{ kind = "lamp", rating = "12 V 21 W" }}
{way}"#
        ),
        &format!(
            r#"["W2", "BAT:+", "S1:1", "RD", 1.5, 1],
{wire}
["W9", "E1:2", "G1", "BK", 1.5, 1],"#
        ),
        &format!("[intent]\nE1 = {intent}"),
    )
}

const STRAIGHT: &str = r#"["W3", "S1:2", "E1:1", "RD", 1.5, 1],"#;
const BY_WAY_OF: &str = r#"["W3", "S1:2", "R1:1", "RD", 1.5, 1],
["W4", "R1:2", "E1:1", "RD", 1.5, 1],"#;

#[test]
fn an_intent_asks_for_full_strength_unless_its_author_says_otherwise() {
    let ohms = r#"R1 = { kind = "resistor", resistance = "6 ohm" }"#;
    let dim = lamp(ohms, BY_WAY_OF, "key run", r#""key run""#);
    assert_eq!(dim, ["dead-function: E1 is dim with key run, and should be lit"]);
    let said = r#"{ when = "key run", shows = "dim, lit" }"#;
    assert_eq!(lamp(ohms, BY_WAY_OF, "key run", said), [""; 0]);
    assert_eq!(lamp("", STRAIGHT, "key run", r#""key run""#), [""; 0]);
    let only_dim = r#"{ when = "key run", shows = "dim" }"#;
    let lit = ["dead-function: E1 is lit with key run, and should be dim"];
    assert_eq!(lamp("", STRAIGHT, "key run", only_dim), lit);
}

#[test]
fn an_intent_tells_what_flashes_from_what_stays_lit() {
    let unit = r#"R1 = { kind = "flasher", pins = "1-2", rate = "90 per min" }"#;
    let flashing = r#"{ when = "key run", shows = "flashing 60..120 per min" }"#;
    assert_eq!(lamp(unit, BY_WAY_OF, "key run", flashing), [""; 0]);
    let stays = lamp("", STRAIGHT, "key run", flashing);
    assert_eq!(stays.len(), 1, "{stays:?}");
    assert!(
        stays[0].starts_with("dead-function: E1 is lit with key run, and should be flashing"),
        "{stays:?}"
    );
    let slow = r#"{ when = "key run", shows = "flashing 20..40 per min" }"#;
    assert!(lamp(unit, BY_WAY_OF, "key run", slow)[0].contains("E1 is flashing 90 per min"));
    let plain = lamp(unit, BY_WAY_OF, "key run", r#""key run""#);
    assert_eq!(plain, ["dead-function: E1 is flashing 90 per min with key run, and should be lit"]);
}

#[test]
fn a_time_counts_from_when_something_was_set() {
    // A lamp that goes on for five seconds when the key is taken off, and has been dark for ever where nobody touched it.
    let timed = "(key off) at most 5 s";
    assert_eq!(lamp("", STRAIGHT, timed, &format!("\"{timed}\"")), [""; 0]);
    let never = lamp("", STRAIGHT, timed, "\"key run and key off\"");
    assert_eq!(never, ["sneak-path: E1 works with everything at rest, against its intent"]);
    let claims = ["=> E1 dark", "key run, key off => E1 lit for 5 s then dark", "key off => E1 dark"];
    let circuit = circuit(
        "key = [\"off\", \"run\"]",
        &format!(
            "S1 = {{ kind = \"switch\", makes = {{ \"1-2\" = \"{timed}\" }} }}\nE1 = {{ kind = \"lamp\", rating = \"12 V 21 W\" }}"
        ),
        "[\"W2\", \"BAT:+\", \"S1:1\", \"RD\", 1.5, 1],\n[\"W3\", \"S1:2\", \"E1:1\", \"RD\", 1.5, 1],\n[\"W9\", \"E1:2\", \"G1\", \"BK\", 1.5, 1],",
        &format!("[intent]\nE1 = \"{timed}\""),
    );
    assert_eq!(false_claims(&circuit, "12.8 V", &claims), [false, false, false]);
}

#[test]
fn an_intent_remembers_where_a_level_came_from() {
    let way = "level = \"0..100 mm\"";
    let float = "level above 60 mm until below 30 mm";
    let sheet = |contact: &str, intent: &str| {
        let parts = format!(
            "S1 = {{ kind = \"switch\", makes = {{ \"1-2\" = \"{contact}\" }} }}\nE1 = {{ kind = \"lamp\", rating = \"12 V 21 W\" }}"
        );
        let wires = "[\"W2\", \"BAT:+\", \"S1:1\", \"RD\", 1.5, 1],\n[\"W3\", \"S1:2\", \"E1:1\", \"RD\", 1.5, 1],\n[\"W9\", \"E1:2\", \"G1\", \"BK\", 1.5, 1],";
        intents(way, &parts, wires, &format!("[intent]\nE1 = \"{intent}\""))
    };
    assert_eq!(sheet(float, float), [""; 0]);
    assert_eq!(sheet(float, "level above 60 mm").len(), 1);
    assert_eq!(sheet("level above 60 mm", float).len(), 1);
}

#[test]
fn a_motor_turns_the_way_that_its_intent_says() {
    let sheet = |intent: &str| {
        intents(
            "rocker = [\"off\", \"up\", \"down\"]",
            r#"S1 = { kind = "switch", makes = { "B-1" = "rocker up", "G-2" = "rocker up", "B-2" = "rocker down", "G-1" = "rocker down" } }
M1 = { kind = "motor", rating = "12 V 60 W", reversible = true }"#,
            r#"["W2", "BAT:+", "S1:B", "RD", 4, 1],
["W3", "S1:G", "G1", "BK", 4, 1],
["W4", "S1:1", "M1:1", "RD", 4, 1],
["W5", "S1:2", "M1:2", "BK", 4, 1],"#,
            &format!("[intent]\nM1 = {intent}"),
        )
    };
    let both = r#"[{ when = "rocker up" }, { when = "rocker down", shows = "backwards" }]"#;
    assert_eq!(sheet(both), [""; 0]);
    let turned = r#"[{ when = "rocker down" }, { when = "rocker up", shows = "backwards" }]"#;
    assert_eq!(sheet(turned), ["dead-function: M1 is running with rocker up, and should be backwards"]);
    assert_eq!(sheet(r#""rocker up|down""#).len(), 1);
}

#[test]
fn each_fault_counts_once_in_a_build_where_its_own_system_shows_it() {
    let judged = judge(&crate::book::folder(""));
    let (book, proof) = (&judged.book, &judged.proof);
    let verdict = |shown: &goodground::proof::coverage::Shown| match shown.walk.as_ref()?.end {
        End::At { place, outcome } => match target(book, place, outcome) {
            Target::Verdict { .. } => Some(shown.walk.as_ref()?.trail.len()),
            _ => None,
        },
        _ => None,
    };
    let (mut tests, mut count, mut elsewhere) = (0, 0, 0);
    for number in 0..book.faults.len() as u32 {
        for build in 0..book.builds.len() as u32 {
            let here = proof.faults.iter().filter(|showing| {
                (showing.fault.0, showing.build.0) == (number, build) && showing.shown.is_some()
            });
            let sheet = book.item_sheet(book.faults[number as usize].item);
            let own = here.clone().find(|showing| book.page(showing.page).sheet == Some(sheet));
            elsewhere += usize::from(here.clone().count() > 1);
            let first = own.or_else(|| here.clone().next());
            if let Some(length) = first.and_then(|showing| verdict(showing.shown.as_ref()?)) {
                tests += length;
                count += 1;
            }
        }
    }
    assert!(elsewhere > 100, "{elsewhere} are shown by several checkouts");
    let mean = tests as f64 / count as f64;
    assert!((proof.metrics.mean_tests - mean).abs() < 1e-9, "{} {mean}", proof.metrics.mean_tests);
}

/// Twenty switches of eight positions in a row can stand in more ways than any machine goes through.
#[test]
fn a_load_behind_many_switches_is_judged_in_a_sample_and_says_so() {
    let (mut controls, mut parts, mut wires, mut from) =
        (String::new(), String::new(), String::new(), "BAT:+".to_string());
    for at in 0..20 {
        controls +=
            &format!("c{at} = [{}]\n", [0, 1, 2, 3, 4, 5, 6, 7].map(|to| format!("\"p{to}\"")).join(", "));
        parts += &format!(
            "S{at} = {{ kind = \"switch\", makes = {{ \"1-2\" = \"c{at} p1 or c{at} p3 or c{at} p5\" }} }}\n"
        );
        wires += &format!("[\"A{at}\", \"{from}\", \"S{at}:1\", \"RD\", 1, 1],\n");
        from = format!("S{at}:2");
    }
    parts += "E1 = { kind = \"lamp\", rating = \"12 V 5 W\" }";
    wires +=
        &format!("[\"Z1\", \"{from}\", \"E1:1\", \"RD\", 1, 1],\n[\"Z2\", \"E1:2\", \"G1\", \"BK\", 1, 1],");
    let judged =
        judge(&book_of(&circuit(&controls, &parts, &wires, "[intent]\nE1 = \"c0 p1\""), "12.8 V", "Text."));
    let [load] = &judged.proof.judged[..] else { panic!("{:?}", judged.proof.judged) };
    assert!(!load.complete && (9_000..40_000).contains(&load.states), "{load:?}");
    assert!(!judged.of(Code::DeadFunction).is_empty());
}
