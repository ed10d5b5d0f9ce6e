//! Reads drawings, live tables and evidence back from the pages, and holds colors, arrows, contacts, cross references and
//! readings against the book, the placed scene and vehicles on the bench.

use crate::printed::html::Element;
use crate::printed::words::{self, base, text};
use crate::printed::{Printed, books, rigs, target};
use crate::read_back_strips::hold_strips;
use goodground::bench::{Bench, Rig};
use goodground::book::*;
use goodground::draw::{
    self, Flow, Owner, Scene, Shown, Stacked, State, Style, Use, View, describe, scenes, svg,
};
use goodground::proof::corners::middle;
use goodground::proof::evidence::{self, Evidence};
use goodground::proof::illustrate::claim_sheet;
use goodground::proof::script::stated;
use goodground::proof::{statements, steps};
use goodground::quantity::Dimension;
use std::collections::{BTreeMap, BTreeSet};

/// The least current that a drawing shows, in amperes.
const LEAST: f64 = 5e-4;

/// Volts that a drawing calls live, with the same room.
const LIVE: [f64; 2] = [0.94, 1.06];

fn circuit(printed: &Printed, sheet: SheetId) -> String {
    format!("circuits/{}.html", printed.book.sheets[sheet.index()].id)
}

fn scenes_of(book: &Book, sheet: SheetId) -> Vec<Scene> {
    scenes(crate::vehicle::english(book), View { sheet, build: None })
}

/// An end as the drawing's netlist names it.
fn end_name(book: &Book, end: End) -> String {
    match end {
        End::Terminal { .. } => words::end(book, end),
        End::Cavity { side, .. } => format!("{}/{side}", words::end(book, end)),
    }
}

/// All numbers of a path.
pub fn numbers(path: &Element) -> Vec<f64> {
    let data = path.get("d").unwrap();
    let numbers = data.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    numbers.filter(|piece| !piece.is_empty()).map(|piece| piece.parse().unwrap()).collect()
}

/// Whether an arrow points down: `M left base H right L tip-x tip-y`.
fn points_down(arrow: &Element) -> bool {
    let numbers = numbers(arrow);
    assert_eq!(numbers.len(), 5, "{:?}", arrow.get("d"));
    assert!(numbers[3] > numbers[0] && numbers[3] < numbers[2], "the tip is between the corners");
    numbers[4] > numbers[1]
}

fn fill(marks: &[&Element]) -> Vec<String> {
    marks.iter().map(|mark| mark.get("style").unwrap().to_string()).collect()
}

/// Holds the swatch of a wire.
fn hold_swatch(group: &Element, color: &Color, about: &str) {
    assert_eq!(fill(&group.all("rect.swatch")), [format!("fill:{}", color.base.hex)], "{about}");
    let stripe: Vec<String> = color.stripe.iter().map(|stripe| format!("fill:{}", stripe.hex)).collect();
    assert_eq!(fill(&group.all("rect.swatch-stripe")), stripe, "{about}");
}

#[test]
fn a_live_wire_has_its_ends_its_colors_and_an_arrow_for_either_direction() {
    let mut seen = 0;
    for printed in books() {
        let book = printed.book;
        for sheet in printed.sheets() {
            let path = circuit(printed, sheet);
            let doc = printed.page(&path);
            let drawing = doc.place("drawing").unwrap();
            let mut drawn = BTreeSet::new();
            for group in drawing.all("g.wire") {
                let id = group.get("data-wire").unwrap();
                let about = format!("{path}: {id}");
                let wire = book.wire(book.find_wire(id).unwrap());
                assert!(drawn.insert(id), "{about} once");
                let [top, bottom] = ["data-from", "data-to"].map(|name| group.get(name).unwrap().to_string());
                let ends = wire.ends.map(|end| end_name(book, end));
                let run = numbers(group.one("path.run"));
                assert!(run[1] < run[2], "{about} runs down");
                let first_is_up = [top.clone(), bottom.clone()] == ends;
                assert!(first_is_up || [bottom, top] == ends, "{about} has its ends");
                hold_swatch(group, &wire.color, &about);
                assert_eq!(
                    points_down(group.one("path.arrow.forth")),
                    first_is_up,
                    "{about}: from its first end"
                );
                assert_eq!(
                    points_down(group.one("path.arrow.back")),
                    !first_is_up,
                    "{about}: to its first end"
                );
                assert_eq!(group.one("path.fault-sign").get("visibility"), Some("hidden"), "{about}");
                seen += 1;
            }
            let own = book.wires.iter().filter(|wire| wire.sheet == sheet);
            for wire in own {
                assert!(drawn.contains(&*wire.id), "{path} shows {}", wire.id);
            }
            // The words beside it: color and size.
            let group: Vec<&Element> = drawing.all("g.labels").into_iter().flat_map(Element::below).collect();
            for pair in group.windows(2) {
                if let Some(id) = pair[1].get("data-label-wire") {
                    let wire = book.wire(book.find_wire(id).unwrap());
                    let size = wire.size.to_string();
                    let size = size.strip_suffix(" mm2").unwrap_or(&size);
                    assert_eq!(pair[1].text(), id, "{path}");
                    assert_eq!(pair[0].text(), format!("{} {size}", wire.color), "{path}: {id}");
                }
            }
        }
    }
    assert!(seen > 150, "{seen} wires");
}

/// What the flow class of a conductor may be.
fn classes(flow: &evidence::Flow) -> Vec<&'static str> {
    if flow.carries {
        assert!(flow.amps.abs() > LEAST, "{flow:?}");
        return vec!["carrying"];
    }
    rests(flow)
}

/// The same of one that is not shown to carry current.
fn rests(flow: &evidence::Flow) -> Vec<&'static str> {
    match flow.volts {
        None => vec!["floating"],
        Some(_) if flow.grounded => vec!["ground-side"],
        Some(volts) => {
            let mut classes = Vec::new();
            if volts.abs() > LIVE[0] {
                classes.push("live");
            }
            if volts.abs() < LIVE[1] {
                classes.push("dead");
            }
            classes
        }
    }
}

/// Whether the current of a wire runs to its first end: it goes where the voltage is lower. None where it is too small to tell.
fn runs_back(bench: &Bench, wire: &Wire, flow: &evidence::Flow) -> Option<bool> {
    if flow.amps.abs() < 5e-3 {
        return None;
    }
    let [a, b] = wire.ends.map(|end| bench.node(Point::from(end)));
    let drop = bench.point().volts_between(a?, b?);
    (drop.abs() > 1e-9).then_some(drop < 0.0)
}

/// The table from which a page's script shows states, read as that script does.
struct Table {
    data: serde_json::Value,
}

/// A wire as it is shown: class, back, volts, amperes.
type Live = (String, bool, Option<f64>, f64);

/// One state as it is shown.
struct Shows {
    /// None where the build has no such wire.
    wires: BTreeMap<String, Option<Live>>,
    strips: BTreeMap<String, Option<String>>,
    elements: BTreeMap<(String, String), Option<String>>,
    faces: BTreeMap<String, Option<String>>,
}

fn width(count: usize) -> usize {
    let (mut digits, mut left) = (1, count.saturating_sub(1) / 36);
    while left > 0 {
        digits += 1;
        left /= 36;
    }
    digits
}

impl Table {
    fn of(doc: &Element) -> Table {
        let script = doc.place("circuit-data").unwrap();
        let table = Table { data: serde_json::from_str(&script.raw()).unwrap() };
        let drawn = doc.place("drawing").unwrap().with("data-strip").into_iter();
        let drawn: BTreeSet<&str> = drawn.map(|one| one.get("data-strip").unwrap()).collect();
        let told = table.list("strips").iter().map(|name| name.as_str().unwrap());
        assert_eq!(told.collect::<BTreeSet<_>>(), drawn, "every line of the drawing has its state");
        table
    }

    fn list(&self, name: &str) -> &Vec<serde_json::Value> {
        self.data[name].as_array().unwrap()
    }

    /// The number of a combination's state in a build.
    fn number(&self, build: usize, code: u64) -> Option<usize> {
        let table = &self.data["table"][build];
        let entry = match table {
            serde_json::Value::Array(list) => list.get(code as usize)?,
            other => other.get(code.to_string())?,
        };
        entry.as_u64().map(|number| number as usize)
    }

    fn state(&self, number: usize) -> Shows {
        let packed = self.data["states"][number].as_str().unwrap();
        let (mut at, mut whole) = (0, String::new());
        for pieces in self.list("pieces") {
            let pieces = pieces.as_array().unwrap();
            let wide = width(pieces.len());
            let index = usize::from_str_radix(&packed[at..at + wide], 36).unwrap();
            whole.push_str(pieces[index].as_str().unwrap());
            at += wide;
        }
        assert_eq!(at, packed.len(), "a state is read to its end");
        let mut rest = &whole[..];
        let mut take = |count: usize| {
            let (piece, after) = rest.split_at(count);
            rest = after;
            (!piece.starts_with('-')).then_some(piece)
        };
        let text = |value: &serde_json::Value| value.as_str().unwrap().to_string();
        let flow = |piece: &str| {
            let flow = &self.data["flows"][usize::from_str_radix(piece, 36).unwrap()];
            let class = text(&self.data["flow_classes"][flow[0].as_u64().unwrap() as usize]);
            (class, flow[1].as_bool().unwrap(), flow[2].as_f64(), flow[3].as_f64().unwrap())
        };
        let letter =
            |piece: &str, list: &str| text(&self.data[list][usize::from(piece.as_bytes()[0] - b'a')]);
        let wide = width(self.list("flows").len());
        let wires = self.list("wires").iter().map(|wire| (text(wire), take(wide).map(flow))).collect();
        let strips = self.list("strips").iter();
        let strips =
            strips.map(|name| (text(name), take(1).map(|piece| letter(piece, "flow_classes")))).collect();
        let elements = self.list("elements").iter().map(|name| {
            let key = (text(&name[0]), text(&name[1]));
            (key, take(1).map(|piece| letter(piece, "element_classes")))
        });
        let elements = elements.collect();
        let wide = width(self.list("words").len());
        let faces = self.list("faces").iter().map(|face| {
            let word =
                take(wide).map(|piece| text(&self.data["words"][usize::from_str_radix(piece, 36).unwrap()]));
            (text(&face[0]), word)
        });
        let faces = faces.collect();
        assert_eq!(rest, "", "a state is read to its end");
        Shows { wires, strips, elements, faces }
    }
}

/// How much of a state was held: currents with a direction, short lines, and those of them that carry.
#[derive(Default)]
struct Held {
    directions: usize,
    strips: usize,
    carrying: usize,
}

impl std::ops::AddAssign for Held {
    fn add_assign(&mut self, other: Held) {
        self.directions += other.directions;
        self.strips += other.strips;
        self.carrying += other.carrying;
    }
}

/// Holds a state that is shown against a vehicle.
fn hold_state(book: &Book, drawing: &Element, shows: &Shows, bench: &Bench, about: &str) -> Held {
    let evidence = Evidence::of(bench);
    let mut directions = 0;
    for (id, flow) in &shows.wires {
        let wire = book.find_wire(id).unwrap();
        let fitted = book.wire(wire).fitted[evidence.build.index()];
        assert!(fitted || flow.is_none(), "{about}: {id} is in the build");
        let Some((class, back, volts, amps)) = flow else { continue };
        let is = evidence.wires[&wire];
        let about = format!("{about}: {id} is {is:?} and not {flow:?}");
        assert!(classes(&is).contains(&&**class), "{about}");
        assert_eq!(volts.is_none(), is.volts.is_none(), "{about}");
        if let (Some(told), Some(is)) = (volts, is.volts) {
            assert!((told - is).abs() < 0.106, "{about}");
        }
        assert!((amps - is.amps.abs()).abs() < 0.051 * is.amps.abs() + 6e-4, "{about}");
        if let Some(runs_back) = runs_back(bench, book.wire(wire), &is) {
            assert_eq!(*back, runs_back, "{about}");
            directions += 1;
        } else {
            assert!(!back || class == "carrying", "{about}");
        }
    }
    let (strips, carrying) = hold_strips(book, drawing, &shows.strips, &evidence, about);
    hold_rests(book, drawing, shows, &evidence, about);
    for ((part, element), class) in &shows.elements {
        let part = book.find_part(part).unwrap();
        let held = book.part(part);
        let element = held.elements.iter().position(|other| other.name == *element).unwrap();
        let Some(class) = class else {
            assert!(!held.fitted[evidence.build.index()], "{about}: {} is there", held.id);
            continue;
        };
        let has = |word: &str| class.split(' ').any(|other| other == word);
        let about = format!("{about}: {} {} is `{class}`", held.id, held.elements[element].name);
        let key = (part, element);
        let at_fault = evidence.faults.contains(&Item::Part(part));
        assert_eq!(has("at-fault"), at_fault, "{about}");
        if let Some(made) = evidence.made.get(&key).filter(|_| !at_fault) {
            assert_eq!((has("made"), has("open")), (*made, !made), "{about}");
        }
        if let Some(flow) = evidence.elements.get(&key).filter(|_| !at_fault) {
            assert_eq!(has("carrying"), flow.carries && evidence.made.get(&key) != Some(&false), "{about}");
        }
        let strength = evidence.seen.get(&key).map(|seen| match seen.strength {
            Strength::Full => "full",
            Strength::Weak => "weak",
            Strength::Off => "off",
        });
        for word in ["full", "weak", "off"] {
            assert_eq!(has(word), strength == Some(word), "{about}");
        }
    }
    Held { directions, strips, carrying }
}

/// Holds what short lines of terminals are shown as that carry nothing.
fn hold_rests(book: &Book, drawing: &Element, shows: &Shows, evidence: &Evidence, about: &str) {
    let leads = drawing.all("path.lead").into_iter().map(|lead| (lead.get("data-terminal").unwrap(), lead));
    let nodes = drawing.all("g.node").into_iter();
    let pieces =
        nodes.flat_map(|node| node.below().map(move |piece| (node.get("data-terminal").unwrap(), piece)));
    for (name, strip) in leads.chain(pieces) {
        let known = evidence.terminals.iter().find(|((part, terminal), _)| {
            words::end(book, End::Terminal { part: *part, terminal: *terminal }) == *name
        });
        let class = &shows.strips[strip.get("data-strip").unwrap()];
        // At a cavity the wires tell.
        if book.connectors.iter().any(|connector| name.split(':').next() == Some(&connector.id)) {
            continue;
        }
        match (known, class) {
            (Some(_), Some(class)) if class == "carrying" => {}
            (Some((_, is)), Some(class)) => {
                // A drawing does not solve what sleeps in other systems: a conductor that goes on there without current
                // is floating for it.
                let goes_on = book.wires.iter().any(|wire| {
                    !shows.wires.contains_key(&wire.id)
                        && wire.ends.iter().any(|end| words::end(book, *end) == *name)
                });
                if class == "floating"
                    && goes_on
                    && is.amps == 0.0
                    && is.volts.is_some_and(|volts| volts.abs() < LIVE[0])
                {
                    continue;
                }
                assert!(rests(is).contains(&&**class), "{about}: {name} is {is:?} and not {class}");
            }
            (_, class) => assert_eq!(*class, None, "{about}: {name}"),
        }
    }
}

/// How many states of a sheet are held in a build: the first ones, and others spread over all.
const TRIED: u64 = 120;

#[test]
fn the_live_table_shows_what_the_bench_does() {
    let (mut states, mut held, mut faces) = (0, Held::default(), 0);
    for printed in books() {
        let book = printed.book;
        let rigs = rigs(book);
        for sheet in printed.sheets() {
            let path = circuit(printed, sheet);
            let doc = printed.page(&path);
            let table = Table::of(doc);
            let drawing = doc.place("drawing").unwrap();
            // The controls and their settings are those that the reader is offered.
            let live = &printed.illustrations.live[sheet.index()];
            let offered = doc.all("form.controls fieldset");
            assert_eq!(offered.len(), live.controls.len(), "{path}");
            assert_eq!(table.list("controls").len(), live.controls.len(), "{path}");
            let mut all = 1u64;
            for (at, (form, (control, choices))) in
                offered.iter().zip(live.controls.iter().zip(&live.choices)).enumerate()
            {
                let control = book.control(*control);
                assert_eq!(form.get("data-control"), Some(&*control.id), "{path}");
                assert_eq!(form.one("legend").text(), control.name, "{path}");
                let told: Vec<String> = choices.iter().map(|choice| control.print(*choice)).collect();
                assert_eq!(form.texts("label span"), told, "{path}: {}", control.id);
                assert_eq!(table.data["controls"][at]["id"], control.id.as_str(), "{path}");
                assert_eq!(table.data["controls"][at]["choices"], choices.len(), "{path}");
                all *= choices.len() as u64;
            }
            for (build, rig) in rigs.iter().enumerate() {
                let step = (all / TRIED).max(1);
                for code in (0..TRIED / 2).chain((0..all).step_by(step as usize)).filter(|code| *code < all) {
                    let Some(number) = table.number(build, code) else { continue };
                    let mut rest = code;
                    let mut set = Vec::new();
                    for (control, choices) in live.controls.iter().zip(&live.choices) {
                        set.push((*control, choices[(rest % choices.len() as u64) as usize]));
                        rest /= choices.len() as u64;
                    }
                    let mut bench = Bench::new(rig, middle(rig)).unwrap();
                    bench.set_all(&set).unwrap();
                    let about = format!("{path}, build {build}, state {code}");
                    let shows = table.state(number);
                    held += hold_state(book, drawing, &shows, &bench, &about);
                    faces += hold_faces(book, &shows, &mut bench, &about);
                    states += 1;
                }
            }
        }
    }
    let Held { directions, strips, carrying } = held;
    assert!(states > 1_000 && directions > 10_000 && faces > 5_000, "{states}, {directions}, {faces}");
    assert!(strips > 40_000 && carrying > 6_000, "{strips} short lines, {carrying} of them carry");
}

/// Holds what the page says that a person sees.
fn hold_faces(book: &Book, shows: &Shows, bench: &mut Bench, about: &str) -> usize {
    let build = bench.rig().build.index();
    let mut held = 0;
    let all = book.parts.iter().enumerate().flat_map(|(at, part)| {
        part.faces().map(move |(element, _)| Subject::Face { part: PartId(at as u32), element })
    });
    let here: Vec<Subject> =
        all.filter(|subject| shows.faces.contains_key(&words::subject(book, *subject))).collect();
    assert_eq!(here.len(), shows.faces.len(), "{about}: each face is one of the vehicle's");
    let readings = bench.observe(&here, 0.0).unwrap();
    for (subject, reading) in here.into_iter().zip(readings) {
        let name = words::subject(book, subject);
        let Some(Item::Part(part)) = subject.item() else { unreachable!() };
        match &shows.faces[&name] {
            None => assert!(!book.part(part).fitted[build], "{about}: {name}"),
            // A pointer swings while lamps flash, and a number is rounded on its way.
            Some(word) if word.chars().any(|c| c.is_ascii_digit()) => {}
            Some(word) => {
                assert_eq!(*word, words::reading(book, subject, &reading), "{about}: {name}");
                held += 1;
            }
        }
    }
    held
}

/// The vehicle of a build after each step of a checkout.
fn after_steps<'r>(book: &Book, rig: &'r Rig, page: PageId) -> Vec<(Place, Bench<'r>)> {
    let mut bench = Bench::new(rig, middle(rig)).unwrap();
    let mut found = Vec::new();
    for (place, step) in steps::steps(book.page(page), page) {
        steps::set(&mut bench, &step.acts).unwrap();
        found.push((place, bench.clone()));
        steps::look(&mut bench, &stated(&step.expects), &[]).unwrap();
    }
    found
}

#[test]
fn a_statements_evidence_is_the_state_of_its_vehicle() {
    let (mut states, mut held) = (0, Held::default());
    for printed in books() {
        let book = printed.book;
        let rigs = rigs(book);
        let drawing = |sheet: SheetId| printed.page(&circuit(printed, sheet)).place("drawing").unwrap();
        let tables: BTreeMap<SheetId, Table> = printed
            .sheets()
            .map(|sheet| (sheet, Table::of(printed.page(&circuit(printed, sheet)))))
            .collect();
        let shown = |sheet: SheetId, anchor: &str, build: usize| {
            let table = &tables[&sheet];
            let number = table.data["evidence"][anchor].get(build.to_string())?.as_u64()?;
            Some(table.state(number as usize))
        };
        for page in steps::checkouts(book) {
            let sheet = book.page(page).sheet.unwrap();
            for rig in &rigs {
                for (place, bench) in after_steps(book, rig, page) {
                    let path = &*printed.path(place.page);
                    let doc = printed.page(path);
                    let link = doc.place(&book.section(place).anchor).unwrap().one("p.evidence a");
                    let to = target(path, link);
                    let anchor = to.split_once('#').unwrap().1;
                    let shows = shown(sheet, anchor, rig.build.index()).unwrap_or_else(|| panic!("no {to}"));
                    held += hold_state(book, drawing(sheet), &shows, &bench, &to);
                    states += 1;
                }
            }
        }
        for (at, claim) in book.claims.iter().enumerate() {
            let Some(sheet) = claim_sheet(book, claim) else { continue };
            if book.page(claim.page).kind == PageKind::Study {
                continue;
            }
            for rig in rigs.iter().filter(|rig| statements::applies(rig, &claim.setup)) {
                let Some(shows) = shown(sheet, &format!("claim-{}", at + 1), rig.build.index()) else {
                    assert!(!claim.expects.iter().all(|expect| steps::fitted(rig, expect.subject)));
                    continue;
                };
                let bench = statements::set_up(rig, middle(rig), &claim.setup).unwrap();
                held += hold_state(book, drawing(sheet), &shows, &bench, &claim.words);
                states += 1;
            }
        }
    }
    assert!(states > 100 && held.directions > 500, "{states} states, {} directions", held.directions);
}

#[test]
fn a_statements_readings_are_those_of_its_vehicle() {
    let mut seen = 0;
    for printed in books() {
        let book = printed.book;
        let builds: Vec<u32> = (0..book.builds.len() as u32).collect();
        let docs: BTreeMap<SheetId, &Element> =
            printed.sheets().map(|sheet| (sheet, printed.page(&circuit(printed, sheet)))).collect();
        let mut statements = Vec::new();
        for (place, exhibits) in &printed.illustrations.steps {
            let Role::Step(step) = &book.section(*place).role else { panic!() };
            let sheet = book.page(place.page).sheet.unwrap();
            let title = &book.section(*place).title;
            let setup = words::settings(book, &exhibits[0].evidence.settings);
            let at = docs[&sheet].all("article.statement").into_iter().find(|statement| {
                target(&circuit(printed, sheet), statement.one("p.quiet a")) == printed.address(*place)
            });
            statements.push((
                at.unwrap_or_else(|| panic!("no {title}")),
                title,
                &step.expects,
                exhibits,
                setup,
            ));
        }
        for (at, claim) in book.claims.iter().enumerate() {
            if book.page(claim.page).kind == PageKind::Study {
                continue;
            }
            let Some(sheet) = claim_sheet(book, claim) else { continue };
            let statement = docs[&sheet].place(&format!("claim-{}", at + 1)).unwrap();
            let home = &*printed.path(claim.page);
            assert_eq!(target(&circuit(printed, sheet), statement.one("p.quiet a")), home);
            let exhibits = &printed.illustrations.claims[at];
            statements.push((
                statement,
                &claim.words,
                &claim.expects,
                exhibits,
                words::setup(book, &claim.setup),
            ));
        }
        let shown: usize = docs.values().map(|doc| doc.all("article.statement").len()).sum();
        assert_eq!(shown, statements.len());
        for (statement, says, expects, exhibits, setup) in statements {
            assert_eq!(&statement.one("h3").text(), says);
            let setup = if setup.is_empty() { text("circuit.at-rest").to_string() } else { setup.join(", ") };
            assert_eq!(statement.one(".state-words").text(), setup, "{says}");
            let mut told: BTreeSet<u32> = BTreeSet::new();
            for group in statement.all("div.scroll") {
                let here: Vec<u32> = match group.get("data-fit") {
                    None => builds.clone(),
                    Some(list) => list.split(' ').map(|build| build.parse().unwrap()).collect(),
                };
                let fitted: Vec<bool> = builds.iter().map(|build| here.contains(build)).collect();
                assert_eq!(
                    group.maybe("caption").map(Element::text),
                    words::only_mark(book, &fitted),
                    "{says}"
                );
                for build in here {
                    let Some(exhibit) = exhibits.iter().find(|exhibit| exhibit.evidence.build.0 == build)
                    else {
                        panic!("{says}: no build {build}");
                    };
                    assert!(told.insert(build), "{says}: build {build} once");
                    let wanted: Vec<Vec<String>> = expects
                        .iter()
                        .zip(&exhibit.witnesses)
                        .filter(|(_, witness)| witness.reading != goodground::bench::Reading::Nothing)
                        .map(|(expect, witness)| {
                            let unit = |value: Option<f64>, dimension| {
                                let near = |value: f64| if value.abs() < 1e-4 { 0.0 } else { value };
                                value.map_or("–".to_string(), |value| base(near(value), dimension))
                            };
                            vec![
                                words::subject(book, expect.subject),
                                words::look(book, Some(expect.subject), &expect.look),
                                words::reading(book, expect.subject, &witness.reading),
                                unit(witness.volts, Dimension::Potential),
                                unit(witness.amps.map(f64::abs), Dimension::Current),
                                witness.why.as_ref().map_or(String::new(), |why| words::why(book, why)),
                            ]
                        })
                        .collect();
                    let rows: Vec<Vec<String>> = group
                        .all("tbody tr")
                        .into_iter()
                        .map(|row| row.below().map(Element::text).collect())
                        .collect();
                    assert_eq!(rows, wanted, "{says}");
                    seen += rows.len();
                }
            }
            assert_eq!(told.len(), exhibits.len(), "{says}: every build");
        }
    }
    assert!(seen > 150, "{seen} readings");
}

/// The shapes of the same drawing as it is live and still, in their order.
fn groups<'e>(drawing: &'e Element, kind: &str) -> Vec<&'e Element> {
    drawing.all(&format!("svg.drawing g.{kind}"))
}

#[test]
fn a_figure_shows_its_state_with_arrows_as_the_current_runs() {
    let (mut figures, mut arrows, mut contacts, mut lines) = (0, 0, 0, 0);
    for printed in books() {
        let book = printed.book;
        let rigs = rigs(book);
        for page in printed.chapters() {
            let path = &*printed.path(page);
            let doc = printed.page(path);
            let drawn = book.figures.iter().filter(|figure| figure.page == page);
            let drawn = drawn.filter_map(|figure| match &figure.shows {
                goodground::book::Shows::Drawing { sheet, setup } => Some((figure, *sheet, setup)),
                goodground::book::Shows::List { .. } => None,
            });
            let drawn: Vec<_> = drawn.collect();
            let shown = doc.all("figure.drawing-figure");
            assert_eq!(shown.len(), drawn.len(), "{path}");
            for (shown, (figure, sheet, setup)) in shown.into_iter().zip(drawn) {
                let caption = shown.one("figcaption");
                let state = words::setup(book, setup).join(", ");
                let state = if state.is_empty() { String::new() } else { format!(" ({state})") };
                let told = format!("{}{state} {}", figure.caption, text("figure.live"));
                assert_eq!(caption.text(), told, "{path}");
                assert_eq!(target(path, caption.one("a")), circuit(printed, sheet), "{path}");
                let live = printed.page(&circuit(printed, sheet));
                let live = live.place("drawing").unwrap();
                figures += 1;
                if setup.is_empty() {
                    assert_eq!(fill(&shown.all("rect.swatch")), fill(&live.all("rect.swatch")), "{path}");
                    continue;
                }
                let rig = rigs.iter().find(|rig| statements::applies(rig, setup)).unwrap();
                let bench = statements::set_up(rig, middle(rig), setup).unwrap();
                let evidence = Evidence::of(&bench);
                let (still, live_wires) = (groups(shown, "wire"), groups(live, "wire"));
                assert_eq!(still.len(), live_wires.len(), "{path}: {told}");
                for (group, named) in still.iter().zip(live_wires) {
                    let id = book.find_wire(named.get("data-wire").unwrap()).unwrap();
                    let about = format!("{path}: {told}: {}", book.wire(id).id);
                    hold_swatch(group, &book.wire(id).color, &about);
                    let at_fault = evidence.faults.contains(&Item::Wire(id));
                    assert_eq!(
                        (group.has("at-fault"), group.maybe("path.fault-sign").is_some()),
                        (at_fault, at_fault),
                        "{about}"
                    );
                    let Some(flow) = evidence.wires.get(&id) else { continue };
                    let allowed = classes(flow);
                    assert!(allowed.iter().any(|class| group.has(class)), "{about}: {flow:?}");
                    let arrow = group.maybe("path.arrow");
                    assert_eq!(arrow.is_some(), group.has("carrying"), "{about}");
                    if let (Some(arrow), Some(back)) = (arrow, runs_back(&bench, book.wire(id), flow)) {
                        let first_is_up =
                            named.get("data-from") == Some(&end_name(book, book.wire(id).ends[0]));
                        assert_eq!(points_down(arrow), first_is_up != back, "{about}: {flow:?}");
                        arrows += 1;
                    }
                }
                let mut strips = BTreeMap::new();
                for kind in ["path.lead", "path.bar", "circle.dot"] {
                    let (still, named) = (shown.all(kind), live.all(kind));
                    // Those of the key come after those of the drawing.
                    assert!(still.len() >= named.len(), "{path}: {told}");
                    for (strip, named) in still.into_iter().zip(named) {
                        let class = Flow::ALL.iter().map(|flow| flow.class()).find(|class| strip.has(class));
                        let name = named.get("data-strip").unwrap().to_string();
                        strips.insert(name, class.map(str::to_string));
                    }
                }
                lines += hold_strips(book, live, &strips, &evidence, &told).0;
                let (still, named) = (groups(shown, "symbol"), groups(live, "symbol"));
                assert_eq!(still.len(), named.len(), "{path}: {told}");
                for (group, named) in still.into_iter().zip(named) {
                    let (Some(part), Some(element)) = (named.get("data-part"), named.get("data-element"))
                    else {
                        continue;
                    };
                    let part = book.find_part(part).unwrap();
                    let element =
                        book.part(part).elements.iter().position(|other| other.name == element).unwrap();
                    let about = format!("{path}: {told}: {} {element}", book.part(part).id);
                    let at_fault = evidence.faults.contains(&Item::Part(part));
                    assert_eq!(group.has("at-fault"), at_fault, "{about}");
                    if let Some(made) = evidence.made.get(&(part, element)).filter(|_| !at_fault) {
                        assert_eq!((group.has("made"), group.has("open")), (*made, !made), "{about}");
                        contacts += 1;
                    }
                    if let Some(seen) = evidence.seen.get(&(part, element)) {
                        let strengths = (group.has("full"), group.has("weak"));
                        let are = (seen.strength == Strength::Full, seen.strength == Strength::Weak);
                        assert_eq!(strengths, are, "{about}");
                    }
                }
            }
        }
    }
    assert!(figures > 8 && arrows > 40 && contacts > 40, "{figures}, {arrows}, {contacts}");
    assert!(lines > 150, "{lines} short lines");
}

#[test]
fn the_style_shows_the_arrow_of_the_direction_and_the_blade_of_the_contact() {
    let style: String = draw::STYLE.split_whitespace().collect::<Vec<_>>().join(" ");
    for rule in [
        ".carrying:not(.reversed) > .arrow.forth, .drawing .carrying.reversed > .arrow.back { visibility: visible; }",
        ".symbol.made .blade-made, .drawing .symbol.open .blade-open { visibility: visible; }",
        ".symbol.made .blade-open, .drawing .symbol.open .blade-made { visibility: hidden; }",
    ] {
        assert!(style.contains(rule), "{rule}");
    }
}

/// Books whose drawings are held: the printed ones, and generated circuits with relays and ganged switches.
fn drawn_books() -> Vec<Book> {
    let generated = (1..=40u64).map(|seed| crate::vehicle::vehicle(seed, 20 + seed as usize * 3));
    books().map(|printed| printed.book.clone()).into_iter().chain(generated).collect()
}

/// The columns on which each element of each part stands, over all sheets of a drawing.
fn columns(scenes: &[Scene]) -> BTreeMap<(PartId, usize), BTreeSet<usize>> {
    let mut found: BTreeMap<(PartId, usize), BTreeSet<usize>> = BTreeMap::new();
    for scene in scenes {
        for column in &scene.columns {
            for stacked in &column.stack {
                if let Stacked::Symbol(at) = *stacked
                    && let Shown::Element { part, elements } = &scene.symbols[at].shows
                {
                    found.entry((*part, elements[0])).or_default().insert(column.number);
                }
            }
        }
    }
    found
}

fn listed<'n>(numbers: impl Iterator<Item = &'n usize>) -> String {
    numbers.map(usize::to_string).collect::<Vec<_>>().join(", ")
}

#[test]
fn a_coil_names_the_paths_of_its_contacts_and_a_contact_the_path_of_its_coil() {
    let (mut coils_seen, mut contacts_seen) = (0, 0);
    for book in drawn_books() {
        for sheet in (0..book.sheets.len() as u32).map(SheetId) {
            let scenes = scenes_of(&book, sheet);
            let columns = columns(&scenes);
            let is = |key: &(PartId, usize), coil: bool| match book.part(key.0).elements[key.1].action {
                Action::Coil { .. } => coil,
                Action::Contact { .. } => !coil,
                _ => false,
            };
            let of = |part: PartId, coil: bool| -> BTreeSet<usize> {
                let keys = columns.iter().filter(|(key, _)| key.0 == part && is(key, coil));
                keys.flat_map(|(_, numbers)| numbers.iter().copied()).collect()
            };
            let mut wanted: Vec<(PartId, String)> = Vec::new();
            for (key, numbers) in &columns {
                for own in numbers {
                    for (coil, word) in [(true, "contact"), (false, "coil")] {
                        if !is(key, coil) {
                            continue;
                        }
                        let others = of(key.0, !coil);
                        let others: Vec<&usize> = others.iter().filter(|number| *number != own).collect();
                        if !others.is_empty() {
                            wanted.push((key.0, format!("{word} → {}", listed(others.into_iter()))));
                            if coil { coils_seen += 1 } else { contacts_seen += 1 }
                        }
                    }
                }
            }
            let labels = scenes.iter().flat_map(|scene| &scene.labels);
            let mut told: Vec<(PartId, String)> = labels
                .filter(|label| label.words.starts_with("contact → ") || label.words.starts_with("coil → "))
                .map(|label| match label.of {
                    Owner::Part(part) => (part, label.words.clone()),
                    other => panic!("{} belongs to {other:?}", label.words),
                })
                .collect();
            told.sort();
            wanted.sort();
            assert_eq!(told, wanted, "{}", book.sheets[sheet.index()].title);
        }
    }
    assert!(coils_seen > 100 && contacts_seen > 100, "{coils_seen} and {contacts_seen} references");
}

#[test]
fn a_paths_number_stands_below_it_and_the_words_tell_the_same() {
    for book in drawn_books() {
        for sheet in (0..book.sheets.len() as u32).map(SheetId) {
            let scenes = scenes_of(&book, sheet);
            let mut next = 1;
            for scene in &scenes {
                let numbers: Vec<_> =
                    scene.labels.iter().filter(|label| label.style == Style::Path).collect();
                assert_eq!(numbers.len(), scene.columns.len());
                let told = describe(crate::vehicle::english(&book), scene, None);
                for (column, label) in scene.columns.iter().zip(numbers) {
                    assert_eq!(column.number, next, "paths are numbered through");
                    assert_eq!(label.words, next.to_string());
                    let middle = (label.frame.left + label.frame.right) / 2.0;
                    assert!((middle - column.x).abs() < 1.0, "{next} stands below its path");
                    let path = told.split(&format!("Path {next}: ")).nth(1).unwrap_or_default();
                    let path = path.split("Path ").next().unwrap();
                    for stacked in &column.stack {
                        let name = match *stacked {
                            Stacked::Wire(run) => {
                                let wire = book.wire(scene.wires[run].wire);
                                format!("wire {} {}", wire.id, wire.color)
                            }
                            Stacked::Symbol(at) => match &scene.symbols[at].shows {
                                Shown::Element { part, .. } => book.part(*part).id.clone(),
                                Shown::Cavity { connector, cavity } => {
                                    let held = book.connector(*connector);
                                    format!(
                                        "connector {} cavity {}",
                                        held.id,
                                        held.cavities[usize::from(*cavity)]
                                    )
                                }
                                Shown::Ground(part) => format!("ground point {}", book.part(*part).id),
                                _ => continue,
                            },
                            Stacked::Bar(bar) => {
                                let joined =
                                    scene.columns.iter().filter(|other| other.stack.contains(stacked));
                                let joined: Vec<usize> = joined.map(|other| other.number).collect();
                                let name = words::end(&book, scene.bars[bar].end);
                                format!("{name} (joins paths {})", listed(joined.iter()))
                            }
                        };
                        assert!(path.contains(&name), "path {next} has {name}: {path}");
                    }
                    next += 1;
                }
            }
        }
    }
}

#[test]
fn a_cavity_and_a_terminal_are_marked_with_their_own_names() {
    for book in drawn_books() {
        for sheet in (0..book.sheets.len() as u32).map(SheetId) {
            for scene in scenes_of(&book, sheet) {
                let near = |label: &&draw::Label, x: f64, y: f64| {
                    (label.at.x - x).abs() < 45.0 && (label.at.y - y).abs() < 16.0
                };
                for placed in &scene.symbols {
                    let marks = || scene.labels.iter().filter(|label| label.style == Style::Mark);
                    match &placed.shows {
                        Shown::Cavity { connector, cavity } => {
                            let name = &book.connector(*connector).cavities[usize::from(*cavity)];
                            let own = marks().filter(|label| {
                                label.of == Owner::Connector(*connector)
                                    && near(label, placed.at.x, placed.at.y)
                            });
                            let own: Vec<&str> = own
                                .filter(|label| (label.at.x - placed.at.x).abs() < 8.0)
                                .map(|label| &*label.words)
                                .collect();
                            assert_eq!(own, [name, name], "{}", book.connector(*connector).id);
                        }
                        Shown::Element { part, .. } => {
                            // At each pin the marking of its terminal.
                            for (end, spot) in &placed.pins {
                                let End::Terminal { part: of, terminal } = *end else { continue };
                                assert_eq!(of, *part);
                                let name = &book.part(of).terminals[terminal.index()].name;
                                let own = marks().filter(|label| label.of == Owner::Part(of));
                                let nearest =
                                    own.filter(|label| near(label, placed.at.x, spot.y)).min_by(|a, b| {
                                        let far = |label: &draw::Label| {
                                            (label.at.y - 3.0 - spot.y).abs()
                                                + (label.at.x - placed.at.x).abs()
                                        };
                                        far(a).total_cmp(&far(b))
                                    });
                                let nearest = nearest.map(|label| &label.words);
                                assert_eq!(nearest, Some(name), "{} at {spot:?}", book.part(of).id);
                            }
                        }
                        _ => {}
                    }
                }
            }
        }
    }
}

#[test]
fn a_conductor_that_goes_on_elsewhere_names_the_drawing() {
    let mut seen = 0;
    for book in drawn_books() {
        for sheet in (0..book.sheets.len() as u32).map(SheetId) {
            for scene in scenes_of(&book, sheet) {
                let title = |other: SheetId| book.sheets[other.index()].title.clone();
                for placed in &scene.symbols {
                    let Shown::Flag { end, wires, anchored } = &placed.shows else { continue };
                    let sheets: BTreeSet<SheetId> = match (*anchored, *end) {
                        (true, End::Terminal { part, .. }) => BTreeSet::from([book.part(part).sheet]),
                        _ => wires.iter().map(|wire| book.wire(*wire).sheet).collect(),
                    };
                    let near = scene.labels.iter().filter(|label| {
                        label.style == Style::Reference
                            && (label.at.x - placed.at.x).abs() < 24.0
                            && (label.at.y - placed.at.y).abs() < 80.0
                    });
                    let told: String = near.map(|label| format!("{} ", label.words)).collect();
                    for other in sheets {
                        assert_ne!(other, sheet, "it leads out of {}", title(sheet));
                        let words = format!("→ {} ", title(other));
                        assert!(told.contains(&words), "{}: {words} in {told}", title(sheet));
                        seen += 1;
                    }
                    if let (false, [wire]) = (*anchored, &wires[..]) {
                        assert!(told.contains(&book.wire(*wire).id), "{told}");
                    }
                }
            }
        }
    }
    assert!(seen > 10, "{seen} flags");
}

#[test]
fn a_lead_is_marked_at_the_pin_that_it_is_put_on() {
    let mut seen = 0;
    for printed in books() {
        let book = printed.book;
        for sheet in printed.sheets() {
            for scene in scenes_of(book, sheet) {
                let pins = scene.symbols.iter().flat_map(|placed| &placed.pins);
                let mut ends: Vec<End> = pins.map(|(end, _)| *end).collect();
                ends.extend(scene.bars.iter().map(|bar| bar.end));
                ends.sort();
                ends.dedup();
                let points = ends.iter().enumerate();
                let points = points.map(|(at, end)| (format!("t{at}"), Point::from(*end)));
                let state = State { points: points.collect(), ..State::default() };
                let drawing = crate::printed::html::parse(&svg(
                    crate::vehicle::english(book),
                    &scene,
                    Some(&state),
                    Use::Live,
                ));
                for (mark, end) in ends.iter().enumerate().map(|(at, end)| (format!("t{at}"), end)) {
                    let probes = drawing.all("g.probe");
                    let probe = probes.iter().find(|probe| probe.get("data-probe") == Some(&mark)).unwrap();
                    assert_eq!(probe.one("text").text(), mark);
                    let [x, y] = numbers(probe.one("path"))[2..] else { panic!() };
                    let near = |spot: &draw::Spot| (spot.x - x).abs() < 0.2 && (spot.y - y).abs() < 0.2;
                    let pins = scene.symbols.iter().flat_map(|placed| &placed.pins);
                    let at_pin = pins.filter(|(pin, _)| pin == end).any(|(_, spot)| near(spot));
                    let at_bar = scene.bars.iter().any(|bar| bar.end == *end && near(&bar.left));
                    assert!(at_pin || at_bar, "{} is marked at {x} {y}", words::end(book, *end));
                    seen += 1;
                }
                // A wire's end taken off: at the end of its line that is this end's.
                for run in &scene.wires {
                    for end in [0u8, 1] {
                        let point = Point::WireEnd { wire: run.wire, end };
                        let state = State { points: vec![("x".to_string(), point)], ..State::default() };
                        let drawing = crate::printed::html::parse(&svg(
                            crate::vehicle::english(book),
                            &scene,
                            Some(&state),
                            Use::Still,
                        ));
                        let [x, y] = numbers(drawing.one("g.probe path"))[2..] else { panic!() };
                        let is_top = run.ends[0] == book.wire(run.wire).ends[usize::from(end)];
                        let spot = if is_top { run.top } else { run.bottom };
                        assert!(
                            (spot.x - x).abs() < 0.2 && (spot.y - y).abs() < 0.2,
                            "{}",
                            book.wire(run.wire).id
                        );
                        if seen > 4_000 {
                            break;
                        }
                        seen += 1;
                    }
                }
            }
        }
    }
    assert!(seen > 200, "{seen} marks");
}

#[test]
fn a_states_key_says_what_its_lines_mean_and_the_words_say_the_state() {
    let printed = books()[0];
    let book = printed.book;
    let rigs = rigs(book);
    let named: Vec<(&str, String)> = Flow::ALL
        .iter()
        .map(|flow| (flow.class(), text(&format!("flow.{}", flow.class())).to_string()))
        .collect();
    for sheet in printed.sheets() {
        let doc = printed.page(&circuit(printed, sheet));
        let key = doc.one("ul.line-key");
        for (line, (class, words)) in key.all("li").into_iter().zip(&named) {
            assert!(line.one("svg g").has(class), "{class}");
            assert_eq!(&line.text(), words);
        }
        assert_eq!(key.all("li").len(), named.len());
    }
    let drawn = book.figures.iter().filter_map(|figure| match &figure.shows {
        goodground::book::Shows::Drawing { sheet, setup } if !setup.is_empty() => {
            Some((figure, *sheet, setup))
        }
        _ => None,
    });
    for (figure, sheet, setup) in drawn {
        let path = printed.path(figure.page);
        let doc = printed.page(&path);
        let state = words::setup(book, setup).join(", ");
        let shown = doc.all("figure.drawing-figure").into_iter();
        let shown = shown.filter(|shown| shown.one("figcaption").text().contains(&format!("({state})")));
        let rig = rigs.iter().find(|rig| statements::applies(rig, setup)).unwrap();
        let evidence = Evidence::of(&statements::set_up(rig, middle(rig), setup).unwrap());
        for figure in shown {
            let told = figure.texts("desc").join(" ");
            assert!(!figure.all("g.key").is_empty(), "{state}");
            for (id, flow) in evidence.wires.iter().filter(|(id, _)| book.wire(**id).sheet == sheet) {
                let words = ["carrying current", "live", "ground side", "floating", "dead"];
                let classes = classes(flow);
                let wire = book.wire(*id);
                let any = words.iter().zip(["carrying", "live", "ground-side", "floating", "dead"]).any(
                    |(word, class)| {
                        classes.contains(&class)
                            && told.contains(&format!("wire {} {} ({word})", wire.id, wire.color))
                    },
                );
                assert!(any, "{state}: {} is {classes:?}", wire.id);
            }
        }
    }
}

/// The drawing of every sheet at rest, live, as it is read.
fn live_drawings(book: &Book) -> Vec<(SheetId, Scene, Element)> {
    let sheets = (0..book.sheets.len() as u32).map(SheetId);
    let scenes = sheets.flat_map(|sheet| scenes_of(book, sheet).into_iter().map(move |scene| (sheet, scene)));
    let drawn = scenes.map(|(sheet, scene)| {
        let drawing =
            crate::printed::html::parse(&svg(crate::vehicle::english(book), &scene, None, Use::Live));
        (sheet, scene, drawing)
    });
    drawn.collect()
}

#[test]
fn a_contact_at_rest_shows_one_blade_as_it_is_made_at_rest() {
    let mut seen = 0;
    for book in drawn_books() {
        for (_, _, drawing) in live_drawings(&book) {
            for symbol in drawing.all("g.symbol") {
                let (Some(part), Some(element)) = (symbol.get("data-part"), symbol.get("data-element"))
                else {
                    continue;
                };
                let part = book.part(book.find_part(part).unwrap());
                let element = part.elements.iter().find(|other| other.name == element).unwrap();
                let Action::Contact { when, .. } = &element.action else { continue };
                let made = book.holds_at_rest(when, None);
                let shown = |class: &str| {
                    let blades = symbol.all(&format!("path.{class}"));
                    blades.iter().filter(|blade| blade.get("visibility").is_none()).count()
                };
                let blades = (shown("blade-made") > 0, shown("blade-open") > 0);
                assert_eq!(blades, (made, !made), "{} {}", part.id, element.name);
                seen += 1;
            }
        }
    }
    assert!(seen > 300, "{seen} contacts");
}

#[test]
fn a_state_shows_how_strongly_each_load_works_and_what_is_at_fault() {
    let mut seen = 0;
    for printed in books() {
        let book = printed.book;
        for sheet in printed.sheets() {
            for scene in scenes_of(book, sheet) {
                for strength in [Strength::Off, Strength::Weak, Strength::Full] {
                    let faces = book.parts.iter().enumerate().flat_map(|(at, part)| {
                        part.faces().map(move |(element, _)| (PartId(at as u32), element))
                    });
                    let faults = [Item::Part(PartId(3)), Item::Wire(WireId(4))];
                    let state = State {
                        faces: faces.map(|face| (face, strength)).collect(),
                        faults: faults.to_vec(),
                        ..State::default()
                    };
                    let drawing = crate::printed::html::parse(&svg(
                        crate::vehicle::english(book),
                        &scene,
                        Some(&state),
                        Use::Live,
                    ));
                    for symbol in drawing.all("g.symbol") {
                        let Some(part) = symbol.get("data-part").and_then(|part| book.find_part(part)) else {
                            continue;
                        };
                        assert_eq!(symbol.has("at-fault"), part == PartId(3), "{}", book.part(part).id);
                        let Some(element) = symbol.get("data-element") else { continue };
                        let element =
                            book.part(part).elements.iter().find(|other| other.name == element).unwrap();
                        if element.face().is_some() {
                            let classes = (symbol.has("off"), symbol.has("weak"), symbol.has("full"));
                            let are = (Strength::Off, Strength::Weak, Strength::Full);
                            assert_eq!(classes, (strength == are.0, strength == are.1, strength == are.2));
                            seen += 1;
                        }
                    }
                    for wire in drawing.all("g.wire") {
                        let id = book.find_wire(wire.get("data-wire").unwrap()).unwrap();
                        assert_eq!(wire.has("at-fault"), id == WireId(4), "{}", book.wire(id).id);
                    }
                }
            }
        }
    }
    assert!(seen > 60, "{seen} loads");
}

#[test]
fn ganged_contacts_that_stand_apart_refer_to_each_other() {
    let mut seen = 0;
    for book in drawn_books() {
        for sheet in (0..book.sheets.len() as u32).map(SheetId) {
            let scenes = scenes_of(&book, sheet);
            let columns = columns(&scenes);
            let mut wanted: Vec<(PartId, String)> = Vec::new();
            let parts: BTreeSet<PartId> = columns.keys().map(|(part, _)| *part).collect();
            for part in parts {
                let elements = &book.part(part).elements;
                let has_coil = elements.iter().any(|element| matches!(element.action, Action::Coil { .. }));
                if has_coil || book.part(part).kind == Kind::Module {
                    continue;
                }
                let contact = |key: &(PartId, usize)| {
                    key.0 == part && matches!(elements[key.1].action, Action::Contact { .. })
                };
                let places: Vec<usize> = columns
                    .iter()
                    .filter(|(key, _)| contact(key))
                    .flat_map(|(_, at)| at.iter().copied())
                    .collect();
                for own in &places {
                    let mut others: BTreeSet<usize> = places.iter().copied().filter(|at| at != own).collect();
                    // Neighbors are linked by a line: no words are needed as far as it runs.
                    let mut near = BTreeSet::from([*own]);
                    while let Some(next) = others
                        .iter()
                        .copied()
                        .find(|at| near.contains(&(at + 1)) || near.contains(&(at.wrapping_sub(1))))
                    {
                        others.remove(&next);
                        near.insert(next);
                    }
                    if !others.is_empty() {
                        wanted.push((part, format!("with → {}", listed(others.iter()))));
                    }
                }
            }
            let labels = scenes.iter().flat_map(|scene| &scene.labels);
            let mut told: Vec<(PartId, String)> = labels
                .filter(|label| label.words.starts_with("with → "))
                .map(|label| match label.of {
                    Owner::Part(part) => (part, label.words.clone()),
                    other => panic!("{} belongs to {other:?}", label.words),
                })
                .collect();
            told.sort();
            wanted.sort();
            assert_eq!(told, wanted, "{}", book.sheets[sheet.index()].title);
            seen += told.len();
        }
    }
    assert!(seen > 4, "{seen} references");
}

#[test]
fn a_connectors_sides_name_the_harness_of_the_wire_there() {
    let mut seen = 0;
    for book in drawn_books() {
        for sheet in (0..book.sheets.len() as u32).map(SheetId) {
            for scene in scenes_of(&book, sheet) {
                for placed in &scene.symbols {
                    let Shown::Cavity { connector, .. } = &placed.shows else { continue };
                    for (end, spot) in &placed.pins {
                        let End::Cavity { side, .. } = *end else { panic!("a cavity's pins are its own") };
                        let harness = book.connector(*connector).joins[usize::from(side)];
                        let harness = &book.harnesses[harness.index()].id;
                        let upper = spot.y < placed.at.y;
                        let near = scene.labels.iter().filter(|label| {
                            label.style == Style::Reference
                                && label.of == Owner::Connector(*connector)
                                && (0.0..70.0).contains(&(label.at.x - placed.at.x))
                                && (label.at.y - placed.at.y).abs() < 16.0
                                && (label.at.y < placed.at.y) == upper
                        });
                        let told = near.min_by(|a, b| a.at.x.total_cmp(&b.at.x)).map(|label| &label.words);
                        assert_eq!(told, Some(harness), "{} side {side}", book.connector(*connector).id);
                        seen += 1;
                    }
                }
            }
        }
    }
    assert!(seen > 100, "{seen} sides");
}

#[test]
fn what_not_every_build_has_is_marked_in_the_drawing_of_all() {
    let mut seen = 0;
    for book in drawn_books() {
        for (sheet, scene, _) in live_drawings(&book) {
            let drawn: BTreeSet<WireId> = scene.wires.iter().map(|run| run.wire).collect();
            for (at, wire) in book.wires.iter().enumerate() {
                let id = WireId(at as u32);
                if wire.sheet != sheet || wire.only == Condition::Always || !drawn.contains(&id) {
                    continue;
                }
                let marks = scene
                    .labels
                    .iter()
                    .filter(|label| label.of == Owner::Wire(id) && label.style == Style::Option);
                let told: Vec<&str> = marks.map(|label| &*label.words).collect();
                assert_eq!(
                    told.join(" "),
                    format!("[{}]", book.step_line().condition(&wire.only, None)),
                    "{}",
                    wire.id
                );
                seen += 1;
            }
        }
    }
    assert!(seen > 3, "{seen} marks");
}

#[test]
fn no_label_is_wider_than_its_box() {
    // A fifth of the type size for a thin letter and two fifths for another are less than any common sans takes.
    let thin = |c: char| "fijlrtI ,.:;'|!()[]-".contains(c);
    for book in drawn_books() {
        for sheet in (0..book.sheets.len() as u32).map(SheetId) {
            for scene in scenes_of(&book, sheet) {
                for label in &scene.labels {
                    let letters = label.words.chars().map(|c| if thin(c) { 0.2 } else { 0.42 });
                    let least = label.style.size() * letters.sum::<f64>();
                    let wide = label.frame.right - label.frame.left;
                    assert!(wide > least, "{}: {wide} for {least}", label.words);
                }
            }
        }
    }
}

#[test]
fn every_part_of_a_sheet_is_in_its_drawing() {
    for printed in books() {
        let book = printed.book;
        for sheet in printed.sheets() {
            let doc = printed.page(&circuit(printed, sheet));
            let told = doc.place("drawing").unwrap().text();
            for part in book.parts.iter().filter(|part| part.sheet == sheet) {
                assert!(told.contains(&part.id), "{} is drawn", part.id);
            }
        }
    }
    // A ground point to which only other sheets' wires go has its symbol where it is defined.
    for book in drawn_books() {
        for (at, part) in book.parts.iter().enumerate().filter(|(_, part)| part.kind == Kind::Ground) {
            let scenes = scenes_of(&book, part.sheet);
            let symbols = scenes.iter().flat_map(|scene| &scene.symbols);
            let shown = symbols.filter(|placed| placed.shows == Shown::Ground(PartId(at as u32))).count();
            let end = End::Terminal { part: PartId(at as u32), terminal: TerminalId(0) };
            let wired = book.wires.iter().any(|wire| wire.ends.contains(&end) && wire.fitted.contains(&true));
            assert!(shown > 0 || !wired, "{} is drawn", part.id);
        }
    }
}
