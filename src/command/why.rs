//! `goodground why`: explains one state of the vehicle, with faults and instruments.

use super::arguments::{Format, Why};
use super::say::{say, tell, width};
use super::{Failure, Outcome, folder};
use crate::book::{Book, BuildId, PartId, Subject};
use crate::check::describe;
use crate::proof::corners::middle;
use crate::proof::evidence::Evidence;
use crate::proof::statements::{applies, set_up};
use crate::proof::{Fleet, Reading, Rig};
use crate::quantity::{Dimension, Unit, print};
use crate::report::{self, Look};
use serde_json::{Map, Value, json};

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
    let mut bench = match set_up(rig, middle(rig), &setup) {
        Ok(bench) => bench,
        Err(upset) => return Err(Failure(describe::upset(&book, &upset))),
    };
    let subjects = asked(&book, rig, arguments.part.as_deref())?;
    let instruments = bench.instruments().into_iter().map(Subject::Instrument);
    let shown: Vec<Subject> = subjects.iter().copied().chain(instruments).collect();
    // What flashes is told of the moment at which one begins to look; where a fuse opens meanwhile, all is told of what is left.
    let begun = bench.clone();
    let Ok(readings) = bench.observe(&shown, 0.0) else {
        return Err(Failure("the vehicle does not come to rest".to_string()));
    };
    let bench = if begun.blown_links() == bench.blown_links() { begun } else { bench };
    let told = |(&subject, reading): (&Subject, &Reading)| {
        let words = reading.words(book.looks(subject));
        let why = crate::proof::statements::why(&bench, subject);
        let drivers = why.as_ref().map_or_else(Vec::new, |why| bench.drivers(why));
        let drivers = drivers.iter().map(|driver| describe::driver(&book, driver));
        let why = why.iter().map(|why| describe::why(&book, why)).chain(drivers).collect();
        Told { subject, words, why }
    };
    let told: Vec<Told> = shown.iter().zip(&readings).map(told).collect();
    let evidence = Evidence::of(&bench);
    let blown: Vec<&str> = bench.blown_links().iter().map(|part| book.part(*part).id.as_str()).collect();
    match arguments.common.format {
        Format::Json => say(format_args!("{:#}\n", object(&book, rig.build, &evidence, &told, &blown)))?,
        Format::Text => {
            say(format_args!("{}\n", heading(&book, rig.build, &evidence)))?;
            if !blown.is_empty() {
                say(format_args!("Blown: {}\n", blown.join(", ")))?;
            }
            for Told { subject, words, why } in &told {
                say(format_args!("  {:<14} {words}\n", describe::subject(&book, *subject)))?;
                for why in why.iter().filter(|_| arguments.part.is_some()) {
                    say(format_args!("    {why}\n"))?;
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

/// What is told of a load, a relay or an instrument: what it shows and why, with what that depends on.
struct Told {
    subject: Subject,
    words: String,
    why: Vec<String>,
}

/// The faces that are asked about: of one part, or of every part in this build.
fn asked(book: &Book, rig: &Rig, part: Option<&str>) -> Result<Vec<Subject>, Failure> {
    let faces = |id: PartId| {
        let elements = book.part(id).faces().map(move |(element, _)| Subject::Face { part: id, element });
        elements.collect::<Vec<_>>()
    };
    let Some(name) = part else {
        let fitted = (0..book.parts.len()).map(|index| PartId(index as u32));
        return Ok(fitted.filter(|id| book.part(*id).fitted[rig.build.index()]).flat_map(faces).collect());
    };
    let id = book.find_part(name).ok_or_else(|| Failure(format!("there is no part `{name}`")))?;
    let mut subjects = faces(id);
    subjects.extend((0..book.part(id).states.len()).map(|state| Subject::Relay { part: id, state }));
    if subjects.is_empty() {
        return Err(Failure(format!("{name} shows nothing by itself; ask about a load or a relay")));
    }
    Ok(subjects)
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
    for Told { subject, words, why } in told {
        shows.insert(describe::subject(book, *subject), json!({ "reads": words, "why": why }));
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
