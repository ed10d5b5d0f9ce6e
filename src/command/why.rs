//! `goodground why`: explains one state of the vehicle, with faults and instruments.

use super::arguments::{Format, Why};
use super::say::{say, tell, width};
use super::{Failure, Outcome, folder};
use crate::bench::{Bench, Corner, Why as Reason};
use crate::book::{Action, Book, BuildId, ConnectorId, PartId, Setup, Subject, TerminalId, WireId};
use crate::check::describe;
use crate::proof::corners::middle;
use crate::proof::evidence::{Evidence, Flow};
use crate::proof::loads::Loads;
use crate::proof::statements::{applies, set_up};
use crate::proof::{Fleet, Reading, Rig, intent};
use crate::quantity::{Amount, Dimension, Unit, print};
use crate::report::{self, Look, wrap};
use serde_json::{Map, Value, json};

/// More volts than any vehicle's lighting and starting circuits have; beyond it, a slip of the hand.
const SUPPLY: f64 = 60.0;

/// Runs the command for the first build that the state speaks of.
pub fn run(arguments: &Why) -> Result<Outcome, Failure> {
    let mut folder = folder::read(&arguments.common.book)?;
    let images: Vec<String> = folder.images.keys().cloned().collect();
    let state = folder.sources.add("state", arguments.state.as_str());
    let (book, setup, findings) = crate::read::state(&folder.sources, &images, state);
    let findings = findings.sorted();
    if !findings.is_empty() {
        tell(report::findings(&findings, &folder.sources, Look { color: false, width: width() }));
        return Ok(Outcome::Failed);
    }
    let fleet = Fleet::of(&book);
    let Some(rig) = fleet.iter().find(|rig| applies(rig, &setup)) else {
        return Err(Failure("no build of the vehicle has all that this state names".to_string()));
    };
    let corner = match &arguments.supply {
        Some(supply) => Corner { supply: volts_of(supply)?, ..middle(rig) },
        None => middle(rig),
    };
    let mut bench = match set_up(rig, corner.clone(), &setup) {
        Ok(bench) => bench,
        Err(upset) => return Err(Failure(describe::upset(&book, &upset))),
    };
    let asked = asked(&book, rig, arguments.part.as_deref())?;
    let subjects = asked.subjects(&book, rig.build);
    let instruments = bench.instruments().into_iter().map(Subject::Instrument);
    let shown: Vec<Subject> = subjects.iter().copied().chain(instruments).collect();
    // What flashes is told of the moment at which one begins to look; where a fuse opens meanwhile, all is told of what is left.
    let begun = bench.clone();
    let Ok(readings) = bench.observe(&shown, 0.0) else {
        return Err(Failure("the vehicle does not come to rest".to_string()));
    };
    let bench = if begun.blown_links() == bench.blown_links() { begun } else { bench };
    let evidence = Evidence::of(&bench);
    let missed = missed(&book, &fleet, rig, corner, &setup);
    let stand = Stand { book: &book, bench: &bench, evidence: &evidence, missed: &missed };
    let shown = shown.iter().zip(&readings).map(|(&subject, reading)| stand.shown(subject, reading));
    let told: Vec<Told> = shown.chain(stand.conductors(&asked)).collect();
    let blown: Vec<&str> = bench.blown_links().iter().map(|part| book.part(*part).id.as_str()).collect();
    match arguments.common.format {
        Format::Json => say(format_args!("{:#}\n", object(&book, rig.build, &evidence, &told, &blown)))?,
        Format::Text => {
            say(format_args!("{}\n", heading(&book, rig.build, &evidence)))?;
            if !blown.is_empty() {
                say(format_args!("Blown: {}\n", blown.join(", ")))?;
            }
            for Told { name, words, why, meant } in &told {
                let meant_to = match meant {
                    Some(true) => "; it is meant to work now",
                    Some(false) => "; it is not meant to work now",
                    None => "",
                };
                say(format_args!("  {name:<14} {words}{meant_to}\n"))?;
                for why in why.iter().filter(|_| arguments.part.is_some() || meant.is_some()) {
                    let lines = wrap(why, width() - 6);
                    say(format_args!("    {}\n", lines.join("\n      ")))?;
                }
            }
        }
    }
    if book.unread.is_empty() {
        return Ok(Outcome::Clean);
    }
    let files: Vec<&str> = book.unread.iter().map(|file| folder.sources.text(*file).path.as_str()).collect();
    tell(format_args!(
        "goodground: not all of {} could be read, and this answers for the rest; `goodground prove` says what is wrong there",
        files.join(", ")
    ));
    Ok(Outcome::Findings)
}

/// What is told of one thing: what it shows or carries, and why, with what that depends on.
struct Told {
    name: String,
    words: String,
    why: Vec<String>,
    /// Of a load that does not do what it is for: whether it should do anything in this state.
    meant: Option<bool>,
}

/// What is asked about.
enum Asked {
    /// What can be seen of all that this build has.
    Everything,
    /// What can be seen of a part, with its contacts and its terminals.
    Part(PartId),
    Wire(WireId),
    Connector(ConnectorId),
    Terminal(PartId, TerminalId),
}

/// What a name means.
fn asked(book: &Book, rig: &Rig, name: Option<&str>) -> Result<Asked, Failure> {
    let build = rig.build.index();
    let Some(name) = name else { return Ok(Asked::Everything) };
    let lacking = || Err(Failure(format!("this build of the vehicle has no `{name}`")));
    if let Some(id) = book.find_part(name) {
        if !book.part(id).fitted[build] {
            return lacking();
        }
        return Ok(Asked::Part(id));
    }
    if let Some(wire) = book.find_wire(name) {
        return if book.wire(wire).fitted[build] { Ok(Asked::Wire(wire)) } else { lacking() };
    }
    let connectors = (0..book.connectors.len()).map(|index| ConnectorId(index as u32));
    if let Some(connector) = connectors.into_iter().find(|&id| book.connector(id).id == name) {
        return Ok(Asked::Connector(connector));
    }
    let terminal = name.split_once(':').and_then(|(part, terminal)| {
        let part = book.find_part(part)?;
        let at = book.part(part).terminals.iter().position(|other| other.name == terminal)?;
        Some((part, TerminalId(at as u16)))
    });
    match terminal {
        Some((part, _)) if !book.part(part).fitted[build] => lacking(),
        Some((part, terminal)) => Ok(Asked::Terminal(part, terminal)),
        None => Err(Failure(format!("there is no part, wire, connector or terminal `{name}`"))),
    }
}

impl Asked {
    /// What can be seen of it.
    fn subjects(&self, book: &Book, build: BuildId) -> Vec<Subject> {
        let faces =
            |part: PartId| book.part(part).faces().map(move |(element, _)| Subject::Face { part, element });
        match *self {
            Asked::Everything => {
                let parts = (0..book.parts.len() as u32).map(PartId);
                parts.filter(|id| book.part(*id).fitted[build.index()]).flat_map(faces).collect()
            }
            Asked::Part(part) => {
                let states = (0..book.part(part).states.len()).map(|state| Subject::Relay { part, state });
                faces(part).chain(states).collect()
            }
            Asked::Wire(_) | Asked::Connector(_) | Asked::Terminal(..) => Vec::new(),
        }
    }
}

/// The state on the bench, for words.
struct Stand<'a> {
    book: &'a Book,
    bench: &'a Bench<'a>,
    evidence: &'a Evidence,
    /// Loads that do not do what they are for, each with whether it should do anything.
    missed: &'a [(Subject, bool)],
}

impl Stand<'_> {
    fn because(&self, why: Option<Reason>) -> Vec<String> {
        let drivers = why.as_ref().map_or_else(Vec::new, |why| self.bench.drivers(why));
        let drivers = drivers.iter().map(|driver| describe::driver(self.book, driver));
        why.iter().map(|why| describe::why(self.book, why)).chain(drivers).collect()
    }

    fn shown(&self, subject: Subject, reading: &Reading) -> Told {
        let why = self.because(crate::proof::statements::why(self.bench, subject));
        let words = reading.words(self.book.looks(subject));
        let meant = self.missed.iter().find(|(missed, _)| *missed == subject).map(|(_, meant)| *meant);
        Told { name: describe::subject(self.book, subject), words, why, meant }
    }

    /// Conductors of what shows nothing by itself.
    fn conductors(&self, asked: &Asked) -> Vec<Told> {
        match *asked {
            Asked::Everything => Vec::new(),
            Asked::Part(part) => {
                let elements =
                    (0..self.book.part(part).elements.len()).filter_map(|at| self.element(part, at));
                let terminals = 0..self.book.part(part).terminals.len() as u16;
                elements.chain(terminals.filter_map(|at| self.terminal(part, TerminalId(at)))).collect()
            }
            Asked::Wire(id) => self.wire(id).into_iter().collect(),
            Asked::Connector(connector) => {
                let cavities = self.evidence.cavities.range((connector, 0)..=(connector, u16::MAX));
                let told = cavities.map(|(&(connector, cavity), flow)| {
                    let data = self.book.connector(connector);
                    let name = format!("{}:{}", data.id, data.cavities[cavity as usize]);
                    Told {
                        name,
                        words: format!("{}, {}", volts(flow), carried(flow)),
                        why: Vec::new(),
                        meant: None,
                    }
                });
                told.collect()
            }
            Asked::Terminal(part, terminal) => self.terminal(part, terminal).into_iter().collect(),
        }
    }

    /// A contact, a fuse, a diode: what is between two terminals and is not seen.
    fn element(&self, part: PartId, element: usize) -> Option<Told> {
        let flow = self.evidence.elements.get(&(part, element))?;
        let made = self.evidence.made.get(&(part, element));
        let state = match (&self.book.part(part).elements[element].action, made) {
            (Action::Link { .. }, Some(true)) => "whole, ",
            (Action::Link { .. }, Some(false)) => "open, ",
            (Action::Contact { .. }, Some(true)) => "closed, ",
            (Action::Contact { .. }, Some(false)) => "open, ",
            (Action::Diode { .. } | Action::Resistor { .. }, _) => "",
            _ => return None,
        };
        let name = describe::element_name(self.book, part, element);
        let words = format!("{state}{}", carried(flow));
        Some(Told { name, words, why: self.because(self.bench.why(part, element)), meant: None })
    }

    fn terminal(&self, part: PartId, terminal: TerminalId) -> Option<Told> {
        let flow = self.evidence.terminals.get(&(part, terminal))?;
        let name = self.book.part(part).terminal_name(terminal);
        Some(Told {
            name,
            words: format!("{}, {}", volts(flow), carried(flow)),
            why: Vec::new(),
            meant: None,
        })
    }

    fn wire(&self, id: WireId) -> Option<Told> {
        let flow = self.evidence.wires.get(&id)?;
        let wire = self.book.wire(id);
        let [from, to] = wire.ends.map(|end| self.book.end_name(end));
        let (from, to) = if flow.amps < 0.0 { (to, from) } else { (from, to) };
        let words = match is_carrying(flow) {
            true => format!("{}, {} from {from} to {to}", volts(flow), describe::amps(flow.amps.abs())),
            false => format!("{}, no current; {from} to {to}", volts(flow)),
        };
        Some(Told { name: wire.id.clone(), words, why: self.because(self.bench.why_wire(id)), meant: None })
    }
}

fn is_carrying(flow: &Flow) -> bool {
    flow.amps.abs() >= crate::bench::CARRIES
}

fn volts(flow: &Flow) -> String {
    match flow.volts {
        Some(volts) => print(volts, Unit::base(Dimension::Potential)),
        None => "on nothing".to_string(),
    }
}

fn carried(flow: &Flow) -> String {
    match is_carrying(flow) {
        true => describe::amps(flow.amps.abs()),
        false => "no current".to_string(),
    }
}

/// The loads that do not do what their intent says, each with whether it should do anything.
fn missed(book: &Book, fleet: &Fleet, rig: &Rig, corner: Corner, setup: &[Setup]) -> Vec<(Subject, bool)> {
    let (acts, changes): (Vec<&Setup>, Vec<&Setup>) =
        setup.iter().partition(|setup| matches!(setup, Setup::Act(_)));
    let changes: Vec<Setup> = changes.into_iter().cloned().collect();
    let acts =
        acts.into_iter().filter_map(|setup| if let Setup::Act(act) = setup { Some(act) } else { None });
    let intents = Loads::of(book, fleet).intents;
    let bench = set_up(rig, corner, &changes);
    let missed = bench.and_then(|bench| intent::missed(bench, &acts.collect::<Vec<_>>(), &intents));
    // What does not come to rest was said before this.
    let missed = missed.unwrap_or_default().into_iter().map(|(intent, meant, _)| (&intents[intent], meant));
    missed.map(|(of, meant)| (Subject::Face { part: of.part, element: of.element }, meant)).collect()
}

/// A voltage with its unit or without.
fn volts_of(text: &str) -> Result<f64, Failure> {
    let amount = Amount::parse(text).or_else(|_| Amount::parse(&format!("{text} V"))).ok();
    let volts =
        amount.filter(|amount| amount.unit.dimension == Dimension::Potential).map(|amount| amount.value);
    let hint = || Failure(format!("`{text}` is no supply: such as `--supply \"11.8 V\"`, up to {SUPPLY} V"));
    volts.filter(|volts| *volts > 0.0 && *volts <= SUPPLY).ok_or_else(hint)
}

fn heading(book: &Book, build: BuildId, evidence: &Evidence) -> String {
    let name = book.build_name(build);
    let mut text = if name.is_empty() { String::new() } else { format!("Build: {name}\n") };
    text += &format!("Supply: {}", print(evidence.supply, Unit::base(Dimension::Potential)));
    text
}

/// The state as one JSON object: readings in words, conductors in volts and amperes, relays and what has blown.
fn object(book: &Book, build: BuildId, evidence: &Evidence, told: &[Told], blown: &[&str]) -> Value {
    let mut shows = Map::new();
    for Told { name, words, why, meant } in told {
        shows.insert(name.clone(), json!({ "reads": words, "why": why, "meant": meant }));
    }
    let mut relays = Map::new();
    for ((part, state), energized) in &evidence.energized {
        let subject = Subject::Relay { part: *part, state: *state };
        relays.insert(book.step_line().subject(subject), json!(energized));
    }
    let mut wires = Map::new();
    for (id, flow) in &evidence.wires {
        wires.insert(book.wire(*id).id.clone(), json!({ "volts": flow.volts, "amps": flow.amps }));
    }
    let mut terminals = Map::new();
    for ((part, terminal), flow) in &evidence.terminals {
        let name = book.part(*part).terminal_name(*terminal);
        terminals.insert(name, json!({ "volts": flow.volts, "amps": flow.amps }));
    }
    let mut faces = Map::new();
    for ((part, element), seen) in &evidence.seen {
        let words = book.looks(Subject::Face { part: *part, element: *element });
        let word = if seen.backwards { "backwards" } else { words[seen.strength as usize] };
        faces.insert(book.step_line().face(*part, *element), json!(word));
    }
    let mut settings = Map::new();
    for (control, setting) in book.controls.iter().zip(&evidence.settings) {
        settings.insert(control.id.clone(), json!(control.print(*setting)));
    }
    json!({
        "build": book.build_name(build),
        "supply": evidence.supply,
        "settings": settings,
        "shows": shows,
        "relays": relays,
        "blown": blown,
        "faces": faces,
        "wires": wires,
        "terminals": terminals,
    })
}
