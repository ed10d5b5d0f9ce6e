//! Turns a book and a sequence of control moves into a deck for ngspice that steps through it in one transient, and the
//! simulator's answers at each rest into volts and amperes.
//!
//! Contacts are voltage-controlled switches, and what controls them is built of the simulator's own elements: a relay's state
//! is a switch with hysteresis on its coil's current, a delay is a capacitor of 1 F that 1 A charges. So when a relay pulls in, when
//! a timer has run out and how far a capacitor is charged is found by the simulator alone.

use super::ngspice::THERMAL_VOLTS;
use goodground::bench::{cable_ohms_per_km, temperature_factor};
use goodground::book::{Action, Book, Condition, Effect, End, Kind, PartId, Resistance, Supply, Timing};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::process::Command;

/// Ohms of a terminal in its plug, and of a ground point's joint, as `DESIGN` states the model.
const PIN_OHMS: f64 = 0.002;
const BOND_OHMS: f64 = 0.0005;

/// Ohms of a splice. Of one much smaller the rounding of its node's volts would be microamperes, which a diode answers.
const SPLICE_OHMS: f64 = 1e-6;

/// A rectifier's volts at one ampere and per e-fold.
const JUNCTION: (f64, f64) = (0.75, 0.049);

/// Ohms of an open contact: no part of a vehicle notices.
const OPEN: f64 = 1e12;

/// Volts that no node of these books can have: twice the supply, with what it rings. The simulator's own tolerance of a nanoampere,
/// into a node that nothing holds, is thousands.
const IMPOSSIBLE: f64 = 40.0;

/// Seconds of the processor that the simulator may take for a book: a hundred times what most take. What chatters takes for ever.
const PATIENCE: &str = "4";

/// The positions of the book's controls after each move, and the seconds between two moves.
pub struct Walk {
    pub positions: Vec<Vec<u16>>,
    pub seconds: f64,
}

/// What the simulator found at a rest: volts by part and terminal, amperes by wire, and which relay states are in.
#[derive(Debug, Default)]
pub struct Rest {
    pub volts: BTreeMap<(usize, usize), f64>,
    pub amps: BTreeMap<usize, f64>,
    pub energized: BTreeMap<(usize, usize), bool>,
}

/// A deck while it is written.
struct Deck<'b> {
    book: &'b Book,
    walk: &'b Walk,
    text: String,
    /// Conditions written so far: each has a node of its own that is at 1 V or 0 V.
    conditions: usize,
}

impl Deck<'_> {
    fn line(&mut self, line: std::fmt::Arguments) {
        writeln!(self.text, "{line}").expect("writing to a string");
    }

    fn pin(&self, part: usize, terminal: usize) -> String {
        format!("p{part}_{terminal}")
    }

    fn joint(&self, end: End) -> String {
        match end {
            End::Terminal { part, terminal } => format!("h{}_{}", part.index(), terminal.index()),
            End::Cavity { .. } => unreachable!("these books have no connectors"),
        }
    }

    /// A voltage over time: what `of` gives after each move.
    fn steps(&mut self, node: &str, of: impl Fn(&[u16]) -> f64) {
        let mut points = format!("0 {}", of(&self.walk.positions[0]));
        for (number, pair) in self.walk.positions.windows(2).enumerate() {
            let at = self.walk.seconds * (number + 1) as f64;
            write!(points, " {:.6} {} {:.6} {}", at, of(&pair[0]), at + 1e-4, of(&pair[1]))
                .expect("a string");
        }
        self.line(format_args!("v{node} {node} 0 PWL({points})"));
    }

    /// Writes a condition of a part; its node.
    fn condition(&mut self, part: PartId, when: &Condition) -> String {
        self.conditions += 1;
        let node = format!("c{}", self.conditions);
        match when {
            Condition::Always => self.line(format_args!("v{node} {node} 0 1")),
            Condition::Never => self.line(format_args!("v{node} {node} 0 0")),
            Condition::Position { control, any } => {
                let (control, any) = (control.index(), any.clone());
                self.steps(&node, |positions| f64::from(u8::from(any.contains(&positions[control]))));
            }
            Condition::Energized(state) => {
                self.line(format_args!("e{node} {node} 0 s{}_{state} 0 1", part.index()))
            }
            Condition::Not(inner) => {
                let inner = self.condition(part, inner);
                self.line(format_args!("b{node} {node} 0 V = 1 - v({inner})"));
            }
            Condition::And(list) | Condition::Or(list) => {
                let inner: Vec<String> = list.iter().map(|inner| self.condition(part, inner)).collect();
                let all = matches!(when, Condition::And(_));
                let sum: Vec<String> = inner.iter().map(|node| format!("v({node})")).collect();
                let least = if all { inner.len() as f64 - 0.5 } else { 0.5 };
                self.line(format_args!("b{node} {node} 0 V = {}", above(&sum.join("+"), least, 50.0)));
            }
            Condition::Timed { inner, timing } => {
                let inner = self.condition(part, inner);
                // The clock: q volts after q seconds, as long as the condition holds or, of one that lasts, no longer does.
                let (on, clock) = (above(&format!("v({inner})"), 0.5, 50.0), format!("v(q{node})"));
                let (charge, out) = match timing {
                    Timing::For(band) | Timing::AtMost(band) => {
                        let time = band.low;
                        let charge =
                            format!("{on}*min(1, 1000*({}-{clock})) - (1-{on})*1000*{clock}", time + 1.0);
                        let over = above(&clock, time, 2000.0);
                        let is_for = matches!(timing, Timing::For(_));
                        (charge, if is_for { over } else { format!("{on}*(1-{over})") })
                    }
                    Timing::Lasting(band) => {
                        let time = band.low;
                        let charge = format!("{on}*1000*({time}-{clock}) - (1-{on})*min(1, 1000*{clock})");
                        (charge, format!("max({on}, {})", above(&clock, 0.002, 2000.0)))
                    }
                    Timing::Blinking { .. } => unreachable!("nothing blinks in these books"),
                };
                self.line(format_args!(
                    "cq{node} q{node} 0 1\nbq{node} 0 q{node} I = {charge}\nb{node} {node} 0 V = {out}"
                ));
            }
            Condition::Level(_) | Condition::Option { .. } | Condition::TerminalAbove { .. } => {
                unreachable!("these books have no such conditions: {when:?}")
            }
        }
        node
    }

    fn part(&mut self, at: usize) {
        let part = &self.book.parts[at];
        let id = PartId(at as u32);
        for terminal in 0..part.terminals.len() {
            let ohms = if part.kind == Kind::Splice { SPLICE_OHMS } else { PIN_OHMS };
            let pin = self.pin(at, terminal);
            self.line(format_args!(
                "rj{at}_{terminal} h{at}_{terminal} {pin} {ohms:e}\nrk{at}_{terminal} {pin} 0 {OPEN:e}"
            ));
            if part.kind == Kind::Splice && terminal > 0 {
                self.line(format_args!("rs{at}_{terminal} {pin} {} {SPLICE_OHMS:e}", self.pin(at, 0)));
            }
        }
        if part.kind == Kind::Ground {
            self.line(format_args!("rb{at} {} 0 {BOND_OHMS:e}", self.pin(at, 0)));
        }
        for (number, element) in part.elements.iter().enumerate() {
            let name = format!("{at}_{number}");
            let (a, b) = (self.pin(at, element.a.index()), self.pin(at, element.b.index()));
            match &element.action {
                Action::Source { emf: Supply::Vehicle { share }, internal } => {
                    let volts = self.book.manual.supply.low.0 * share;
                    self.line(format_args!(
                        "v{name} x{name} {a} PWL(0 0 0.01 {volts})\nr{name} x{name} {b} {}",
                        internal.0
                    ));
                }
                Action::Contact { when, closed } => {
                    let when = self.condition(id, when);
                    // A millisecond of lag on whatever moves a contact, as armatures have: nothing then hangs on itself within a step.
                    self.line(format_args!(
                        "rl{name} {when} l{name} 1k\ncl{name} l{name} 0 1u\n\
                         s{name} {a} {b} l{name} 0 m{name}\n\
                         .model m{name} SW(vt=0.5 vh=0.1 ron={:e} roff={OPEN:e})",
                        closed.0
                    ));
                }
                Action::Link { cold: ohms, .. }
                | Action::Resistor { ohms: Resistance::Fixed(ohms) }
                | Action::Load { ohms, .. } => self.line(format_args!("r{name} {a} {b} {:e}", ohms.0)),
                Action::Coil { ohms, state, effect: Effect::Hold, per_ampere } => {
                    let drop_out = part.states[*state].drop_out;
                    let (middle, half) = ((1.0 + drop_out) / 2.0, (1.0 - drop_out) / 2.0);
                    self.line(format_args!(
                        "r{name} {a} {b} {:e}\nbd{name} i{name} 0 V = abs(v({a},{b}))*{:e}\n\
                         rl{name} i{name} d{name} 1k\ncl{name} d{name} 0 1u\n\
                         ss{name} s{at}_{state} one d{name} 0 ms{name}\nrs{name} s{at}_{state} 0 1k\n\
                         .model ms{name} SW(vt={middle} vh={half} ron=1m roff={OPEN:e})",
                        ohms.0,
                        per_ampere / ohms.0
                    ));
                }
                Action::Filament { volts, watts } => {
                    let (volts, amps) = (volts.0, watts.0 / volts.0);
                    let cold_ohms = volts / amps / 10.0;
                    let knee = volts * (1.225 * cold_ohms * amps / volts).powf(1.0 / 0.45);
                    let bend = 0.225 / 1.225 / cold_ohms / (knee * knee);
                    let (v, cold) = (format!("v({a},{b})"), 1.0 / cold_ohms);
                    self.line(format_args!(
                        "b{name} {a} {b} I = abs({v}) <= {knee:e} ? {v}*({cold:e} - {bend:e}*{v}*{v}) : \
                         sgn({v})*{amps:e}*pow(max(abs({v}),{knee:e})/{volts:e},0.55)"
                    ));
                }
                Action::Diode { breakdown: None } => {
                    let saturation = 1.0 / (JUNCTION.0 / JUNCTION.1).exp_m1();
                    let factor = JUNCTION.1 / THERMAL_VOLTS;
                    self.line(format_args!(
                        "d{name} {a} {b} m{name}\n.model m{name} D(IS={saturation:e} N={factor:e})"
                    ));
                }
                Action::Capacitor { farads } => self.line(format_args!("c{name} {a} {b} {farads:e}")),
                other => unreachable!("these books have no {other:?}"),
            }
        }
    }

    fn wire(&mut self, at: usize) {
        let wire = &self.book.wires[at];
        let ohms = ohms(self.book, at);
        let [from, to] = wire.ends.map(|end| self.joint(end));
        self.line(format_args!("vw{at} {from} y{at} 0\nrw{at} y{at} {to} {ohms:e}"));
    }
}

/// An expression that goes from 0 to 1 where another passes a value, as steeply as its change for each unit says: the simulator steps
/// over no edge that has no slope.
fn above(of: &str, value: f64, steep: f64) -> String {
    format!("(0.5+0.5*tanh({steep}*({of}-({value}))))")
}

/// Ohms of a wire.
fn ohms(book: &Book, at: usize) -> f64 {
    let wire = &book.wires[at];
    cable_ohms_per_km(wire.size.value) * wire.length.0 / 1000.0 * temperature_factor(book.manual.temperature)
}

/// How a book is stepped, and the next where the simulator gives up: options, and the longest step in seconds.
const WAYS: [(&str, &str); 4] = [
    ("reltol=1e-4 abstol=1e-9 vntol=1e-6 method=gear", "10m"),
    ("reltol=1e-4 abstol=1e-9 vntol=1e-6 method=trap", "4m"),
    ("reltol=1e-3 abstol=1e-8 vntol=1e-5 method=gear itl4=200", "2m"),
    ("reltol=1e-3 abstol=1e-7 vntol=1e-4 method=trap itl4=500", "7m"),
];

/// Steps a book in one way after the other, as they are asked for; without those in which the simulator gives up, is at it for
/// longer than [`PATIENCE`], or finds what cannot be.
pub fn step(book: &Book, walk: &Walk) -> impl Iterator<Item = Vec<Rest>> {
    let mut deck = Deck { book, walk, text: String::new(), conditions: 0 };
    (0..book.parts.len()).for_each(|part| deck.part(part));
    (0..book.wires.len()).for_each(|wire| deck.wire(wire));
    let network = deck.text;
    WAYS.iter().filter_map(move |(options, longest)| {
        let text = whole(book, walk, &network, options, longest);
        let folder = tempfile::tempdir().expect("a temporary folder");
        std::fs::write(folder.path().join("book.cir"), text).expect("a deck written");
        // What else the machine does takes nothing away from it.
        let output = Command::new("sh")
            .current_dir(folder.path())
            .args(["-c", &format!("ulimit -t {PATIENCE}; exec ngspice -b book.cir")])
            .output()
            .expect("this needs the program `ngspice` (Debian package ngspice); tests/run installs it");
        rests(book, walk, &String::from_utf8_lossy(&output.stdout))
    })
}

/// A deck with what is done with it.
fn whole(book: &Book, walk: &Walk, network: &str, options: &str, longest: &str) -> String {
    let end = walk.seconds * walk.positions.len() as f64;
    let mut text = format!(
        "* book\n.options {options}\nvone one 0 1\n{network}.control\nset numdgt=12\nset nomoremode\nset width=400\n\
         tran 10m {end} 0 {longest} uic\n"
    );
    for rest in 0..walk.positions.len() {
        let at = walk.seconds * (rest + 1) as f64 - 0.05;
        for (name, vector) in vectors(book) {
            writeln!(text, "meas tran r{rest}_{name} find {vector} at={at}").expect("a line");
        }
    }
    text + "quit\n.endc\n.end\n"
}

/// What is asked for: a name, and the simulator's vector.
fn vectors(book: &Book) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for (at, part) in book.parts.iter().enumerate() {
        all.extend(
            (0..part.terminals.len())
                .map(|terminal| (format!("v{at}_{terminal}"), format!("v(p{at}_{terminal})"))),
        );
        all.extend(
            (0..part.states.len()).map(|state| (format!("s{at}_{state}"), format!("v(s{at}_{state})"))),
        );
    }
    all.extend((0..book.wires.len()).map(|wire| (format!("w{wire}"), format!("i(vw{wire})"))));
    all
}

fn rests(book: &Book, walk: &Walk, text: &str) -> Option<Vec<Rest>> {
    let values: BTreeMap<&str, f64> = text
        .lines()
        .filter_map(|line| line.split_once('='))
        .filter_map(|(name, value)| Some((name.trim(), value.split_whitespace().next()?.parse().ok()?)))
        .collect();
    let mut rests = Vec::new();
    for number in 0..walk.positions.len() {
        let value = |name: &str| values.get(format!("r{number}_{name}").as_str()).copied();
        let mut rest = Rest::default();
        for (at, part) in book.parts.iter().enumerate() {
            for terminal in 0..part.terminals.len() {
                let volts = value(&format!("v{at}_{terminal}")).filter(|volts| volts.abs() < IMPOSSIBLE)?;
                rest.volts.insert((at, terminal), volts);
            }
            for state in 0..part.states.len() {
                rest.energized.insert((at, state), value(&format!("s{at}_{state}"))? > 0.5);
            }
        }
        for at in 0..book.wires.len() {
            rest.amps.insert(at, value(&format!("w{at}"))?);
        }
        rests.push(rest);
    }
    Some(rests)
}
