//! Turns random small books of relays, diodes, timers and capacitors into walks through random moves of their controls, and holds
//! every rest against ngspice, a general-purpose circuit simulator that steps through the same moves.
//!
//! `STEPPED=1000 cargo test --release --test all stepped:: -- --nocapture` walks a thousand books to the end; `SEED=112 STEPPED=1` one of them.

use crate::book::sheet;
use crate::reference::stepped::{Rest, Walk, step};
use crate::vehicle::Random;
use goodground::bench::{Bench, Seen};
use goodground::book::{Act, Book, ControlId, Face, PartId, Setting, Strength, Subject, TerminalId, WireId};
use goodground::finding::Severity;
use goodground::proof::Fleet;
use goodground::proof::corners::middle;
use goodground::proof::evidence::Evidence;
use goodground::read;
use goodground::source::Sources;
use std::fmt::Write as _;

/// Books in `tests/run`.
const BOOKS: usize = 16;

/// Seconds between two moves: longer than any timer and capacitor of these books takes, one after the other.
const SECONDS: f64 = 14.0;

/// Moves of a walk.
const MOVES: usize = 5;

/// Agreement in volts and amperes, and as a part of the value. The simulator solves each moment of a transient to a
/// ten-thousandth; what it leaves is ten times that at a diode that hardly conducts.
const VOLTS: f64 = 0.02;
const AMPS: f64 = 0.002;
const PART: f64 = 0.003;

/// Below this current, in amperes, a conductor may be held by what its diodes leak, and so many volts may then lie between the
/// answers: in reverse the simulator's diode departs from Shockley's law.
const LEAKS: f64 = 1e-5;
const LEAKING: f64 = 0.15;

/// So near to a limit of what is seen, as a part of it, two answers that agree may be seen differently.
const NEAR: f64 = 0.02;

/// A sheet by chance: feeds J, grounds L, between them loads and coils, along them contacts and diodes.
fn circuit(random: &mut Random) -> String {
    let (feeds, grounds) = (3 + random.below(3), 1 + random.below(2));
    // Dead before its main switch is made, a book begins where the simulator does: at nothing.
    let mut parts = String::from(
        "BAT = { kind = \"battery\", internal = \"5 mohm\" }\nS91 = { kind = \"switch\", makes = { \"1-2\" = \"main on\" } }\nF1 = { kind = \"fuse\", rating = \"200 A\" }\nG1 = { kind = \"ground\" }\n",
    );
    let mut wires = String::from(
        "[\"W0\", \"BAT:+\", \"S91:1\", \"RD\", 16, 0.5],\n[\"W1\", \"S91:2\", \"F1:1\", \"RD\", 16, 0.5],\n[\"W2\", \"F1:2\", \"J0\", \"RD\", 16, 0.5],\n[\"W3\", \"BAT:-\", \"G1\", \"BK\", 16, 0.5],\n[\"W4\", \"L0\", \"G1\", \"BK\", 16, 0.5],\n",
    );
    for at in 0..feeds {
        writeln!(parts, "J{at} = {{ kind = \"splice\" }}").expect("a string");
    }
    for at in 0..grounds {
        writeln!(parts, "L{at} = {{ kind = \"splice\" }}").expect("a string");
    }
    let mut count = 4;
    let mut wire = |from: String, to: String, wires: &mut String| {
        count += 1;
        writeln!(wires, "[\"W{count}\", \"{from}\", \"{to}\", \"YE\", 1.5, 0.8],").expect("a string");
    };
    let position = |random: &mut Random| {
        format!("{} {}", ["a", "b", "c"][random.below(3)], ["off", "on"][random.below(2)])
    };
    // No two clocks run out in the same moment: which is first would be chance.
    let mut clocks = 0;
    let mut time = |random: &mut Random| {
        clocks += 1;
        format!("{:.3} s", 0.31 + 0.173 * f64::from(clocks) + 0.0071 * random.below(20) as f64)
    };
    let mut timed = |random: &mut Random, inner: String| match random.below(6) {
        0 => format!("({inner}) for {}", time(random)),
        1 => format!("({inner}) lasting {}", time(random)),
        2 => format!("({inner}) at most {}", time(random)),
        _ => inner,
    };
    // Two ends of a contact or a diode: both feeds, or both grounds.
    let along = |random: &mut Random| {
        if grounds > 1 && random.chance(25) {
            return ("L0".to_string(), "L1".to_string());
        }
        let from = random.below(feeds - 1);
        (format!("J{from}"), format!("J{}", from + 1 + random.below(feeds - from - 1)))
    };
    let across =
        |random: &mut Random| (format!("J{}", random.below(feeds)), format!("L{}", random.below(grounds)));
    for at in 0..8 + random.below(8) {
        let (kind, (from, to)) = match at {
            at if at + 1 < feeds => (0, (format!("J{}", random.below(at + 1)), format!("J{}", at + 1))),
            _ => match random.below(10) {
                0 | 1 => (0, along(random)),
                2 | 3 => (1, across(random)),
                4 => (2, along(random)),
                5 => (3, across(random)),
                6 => (5, across(random)),
                _ => (4, across(random)),
            },
        };
        match kind {
            0 => {
                let one = position(random);
                let other = position(random);
                let when = match random.below(4) {
                    0 => format!("{one} and {other}"),
                    1 => format!("{one} or {other}"),
                    _ => one,
                };
                let when = timed(random, when);
                writeln!(parts, "S{at} = {{ kind = \"switch\", makes = {{ \"1-2\" = \"{when}\" }} }}")
                    .expect("a string");
                wire(from, format!("S{at}:1"), &mut wires);
                wire(format!("S{at}:2"), to, &mut wires);
            }
            1 => {
                let state = ["energized", "energized", "released"][random.below(3)].to_string();
                let when = timed(random, state);
                writeln!(parts, "K{at} = {{ kind = \"relay\", coil = {{ pins = \"86-85\", resistance = \"85 ohm\", pulls-in = \"8 V\", drops-out = \"2.5 V\" }}, makes = {{ \"30-87\" = \"{when}\" }} }}").expect("a string");
                wire(from, format!("K{at}:86"), &mut wires);
                wire(format!("K{at}:85"), to, &mut wires);
                let (from, to) = along(random);
                wire(from, format!("K{at}:30"), &mut wires);
                wire(format!("K{at}:87"), to, &mut wires);
            }
            2 => {
                writeln!(parts, "D{at} = {{ kind = \"diode\" }}").expect("a string");
                let (from, to) = if random.chance(70) { (from, to) } else { (to, from) };
                wire(from, format!("D{at}:A"), &mut wires);
                wire(format!("D{at}:K"), to, &mut wires);
            }
            3 => {
                // A capacitor behind a resistor, as a delay is made.
                let ohms = [100, 470, 1000][random.below(3)];
                writeln!(parts, "C{at} = {{ kind = \"capacitor\", capacitance = \"{} uF\" }}\nR{at} = {{ kind = \"resistor\", resistance = \"{ohms} ohm\" }}", [100, 220, 470][random.below(3)]).expect("a string");
                wire(from, format!("R{at}:1"), &mut wires);
                wire(format!("R{at}:2"), format!("C{at}:1"), &mut wires);
                // What bleeds it ends the tail of a charge through a diode, which never ends by itself.
                writeln!(parts, "R{at}b = {{ kind = \"resistor\", resistance = \"4700 ohm\" }}")
                    .expect("a string");
                wire(format!("C{at}:1"), format!("R{at}b:1"), &mut wires);
                wire(format!("R{at}b:2"), format!("C{at}:2"), &mut wires);
                wire(format!("C{at}:2"), to, &mut wires);
            }
            5 => {
                writeln!(
                    parts,
                    "R{at} = {{ kind = \"resistor\", resistance = \"{} ohm\" }}",
                    [22, 120, 680][random.below(3)]
                )
                .expect("a string");
                wire(from, format!("R{at}:1"), &mut wires);
                wire(format!("R{at}:2"), to, &mut wires);
            }
            _ => {
                writeln!(
                    parts,
                    "E{at} = {{ kind = \"lamp\", rating = \"12 V {} W\" }}",
                    [2, 5, 21][random.below(3)]
                )
                .expect("a string");
                wire(from, format!("E{at}:1"), &mut wires);
                wire(format!("E{at}:2"), to, &mut wires);
            }
        }
    }
    if grounds > 1 {
        let when = position(random);
        writeln!(parts, "S90 = {{ kind = \"switch\", makes = {{ \"1-2\" = \"{when}\" }} }}")
            .expect("a string");
        wire("L1".to_string(), "S90:1".to_string(), &mut wires);
        wire("S90:2".to_string(), "L0".to_string(), &mut wires);
    }
    let controls =
        "a = [\"off\", \"on\"]\nb = [\"off\", \"on\"]\nc = [\"off\", \"on\"]\nmain = [\"off\", \"on\"]\n";
    format!(
        "title = \"Sheet\"\n[controls]\n{controls}[parts]\n{parts}[harness.main]\ncolumns = [\"id\", \"from\", \"to\", \"color\", \"mm2\", \"m\"]\nwires = [\n{wires}]\n"
    )
}

/// A book by chance, and a walk through moves of its controls.
fn book(seed: u64) -> (Book, Walk, String) {
    let mut random = Random::new(seed);
    let text = circuit(&mut random);
    let mut sources = Sources::default();
    for (path, text) in sheet(&text) {
        sources.add(path, text);
    }
    let (book, findings) = read::read(&sources, &[]);
    let errors = findings.sorted().into_iter().filter(|finding| finding.code.severity() == Severity::Error);
    let told: Vec<String> = errors.map(|finding| finding.headline).collect();
    assert!(told.is_empty(), "{told:?}\n{text}");
    let main = book.controls.len() - 1;
    let mut positions = vec![vec![0; main + 1]; 2];
    positions[1][main] = 1;
    for _ in 0..MOVES {
        let mut next = positions[positions.len() - 1].clone();
        let control = random.below(main);
        next[control] = 1 - next[control];
        positions.push(next);
    }
    (book, Walk { positions, seconds: SECONDS }, text)
}

/// How much was compared, and the greatest difference, as a part of what is allowed.
#[derive(Debug, Default)]
struct Compared {
    rests: usize,
    volts: usize,
    amps: usize,
    seen: usize,
    farthest: f64,
    /// Books that race, chatter or run in circles from some move on: what comes before is compared.
    cut: usize,
    /// Books of which nothing is compared, because that is so from the first move on.
    restless: usize,
    /// Books of which nothing is compared, because the simulator gives no answer.
    silent: usize,
}

impl Compared {
    fn add(&mut self, other: Compared) {
        self.rests += other.rests;
        self.volts += other.volts;
        self.amps += other.amps;
        self.seen += other.seen;
        self.farthest = self.farthest.max(other.farthest);
    }
}

/// Walks a vehicle; false where it does not come to rest.
fn walk(book: &Book, walk: &Walk, rests: &[Rest], compared: &mut Compared) -> Result<bool, String> {
    let fleet = Fleet::of(book);
    let rig = fleet.iter().next().expect("a build");
    let Ok(mut bench) = Bench::new(rig, middle(rig)) else { return Ok(false) };
    for (number, rest) in rests.iter().enumerate() {
        let settings: Vec<(ControlId, Setting)> = walk.positions[number]
            .iter()
            .zip(0..)
            .map(|(&at, control)| (ControlId(control), Setting::Position(at)))
            .collect();
        if bench.set_all(&settings).is_err()
            || bench.act(&Act::Wait(walk.seconds)).is_err()
            || has_clocks_running(&bench)
        {
            return Ok(false);
        }
        compare(book, &bench, rest, compared).map_err(|told| format!("rest {number}: {told}"))?;
        compared.rests += 1;
    }
    Ok(true)
}

/// Whether something other than a charge is still to come. A circle of relays that runs for ever is never at rest, and how far it has
/// got after so many seconds hangs on the milliseconds that armatures take.
fn has_clocks_running(bench: &Bench) -> bool {
    /// Distances of events, in seconds: a capacitor's next slice alone comes in this time.
    const CHARGE: f64 = 0.02;
    bench.next_event().is_some_and(|moment| (moment - bench.now() - CHARGE).abs() > 1e-6)
}

fn compare(book: &Book, bench: &Bench, rest: &Rest, compared: &mut Compared) -> Result<(), String> {
    let evidence = Evidence::of(bench);
    for (&(part, state), &energized) in &rest.energized {
        let own = evidence.energized[&(PartId(part as u32), state)];
        if own != energized {
            return Err(format!("{} is {own} here and {energized} there", book.parts[part].id));
        }
    }
    let mut near = |own: f64, other: f64, least: f64, what: String| {
        let share = (own - other).abs() / (least + PART * other.abs());
        compared.farthest = compared.farthest.max(share);
        if share > 1.0 { Err(format!("{what} is {own} here and {other} there")) } else { Ok(()) }
    };
    for (&(part, terminal), &volts) in &rest.volts {
        let key = (PartId(part as u32), TerminalId(terminal as u16));
        let Some(flow) = evidence.terminals.get(&key) else { continue };
        let Some(own) = flow.volts else { continue };
        let least = if flow.amps.abs() < LEAKS { LEAKING } else { VOLTS };
        near(own, volts, least, format!("{} in V", book.part(key.0).terminal_name(key.1)))?;
        compared.volts += 1;
    }
    for (&wire, &amps) in &rest.amps {
        let own = evidence.wires[&WireId(wire as u32)].amps;
        near(own, amps, AMPS, format!("{} in A", book.wires[wire].id))?;
        compared.amps += 1;
    }
    for (number, part) in book.parts.iter().enumerate() {
        for (element, face) in part.faces() {
            let Face::Lamp = face else { continue };
            let id = PartId(number as u32);
            let ends = [part.elements[element].a, part.elements[element].b];
            let [a, b] = ends.map(|terminal| rest.volts[&(number, terminal.index())]);
            // Light follows the 3.4th power of the voltage; lit from 0.29 of it on, dim from 0.004 on.
            let light = ((a - b).abs() / 12.0).powf(3.4);
            if [0.29, 0.004].iter().any(|limit| (light / limit - 1.0).abs() < 5.0 * NEAR) {
                continue;
            }
            let strength = match light {
                light if light > 0.29 => Strength::Full,
                light if light > 0.004 => Strength::Weak,
                _ => Strength::Off,
            };
            let own = bench.see(Subject::Face { part: id, element });
            if own != (Seen { strength, backwards: false }) {
                return Err(format!("{} is {own:?} here and {strength:?} there", part.id));
            }
            compared.seen += 1;
        }
    }
    Ok(())
}

#[test]
fn every_rest_is_the_one_that_a_circuit_simulator_comes_to() {
    let number = |name: &str| std::env::var(name).ok().map(|text| text.parse().expect("a number"));
    let books = number("STEPPED").unwrap_or(BOOKS);
    let first = number("SEED").unwrap_or(1);
    let mut compared = Compared::default();
    let mut wrong = Vec::new();
    let mut seeds = (first as u64)..;
    let mut walked = 0;
    while walked < books {
        let seed = seeds.next().expect("numbers do not end");
        let (book, way, text) = book(seed);
        // Where one way of stepping loses its footing at a diode that hardly conducts, the next decides.
        let mut told = Vec::new();
        let agreed = step(&book, &way).find_map(|rests| {
            let mut own = Compared::default();
            walk(&book, &way, &rests, &mut own)
                .map(|rests| (rests, own))
                .map_err(|other| told.push(other))
                .ok()
        });
        match agreed {
            // The first rest is that of a dead vehicle.
            Some((whole, own)) if own.rests > 1 => {
                compared.add(own);
                compared.cut += usize::from(!whole);
                walked += 1;
            }
            Some(_) => compared.restless += 1,
            None if !told.is_empty() => {
                wrong.push(format!("seed {seed}: {}\n{:?}\n{text}", told.join("; "), way.positions));
                walked += 1;
            }
            None => compared.silent += 1,
        }
    }
    println!("{walked} books up to seed {}: {compared:?}, {} wrong", seeds.start - 1, wrong.len());
    wrong.iter().for_each(|told| println!("{}", told.lines().next().unwrap_or_default()));
    assert!(wrong.is_empty(), "{} of {books} wrong, first {}", wrong.len(), wrong[0]);
    let left = compared.restless + compared.silent;
    assert!(left <= 1 + books / 7 && compared.cut <= 1 + books / 5, "{compared:?}");
    assert!(compared.rests > 4 * books && compared.seen > 4 * books, "{compared:?}");
}
