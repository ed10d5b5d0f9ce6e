//! Turns a lab into the page on which a student works on a broken vehicle, and into the instructor's list of its faults.

use super::super::Output;
use super::super::escape::{script, slug};
use super::super::kit::Kit;
use super::ask::Asker;
use super::seal::seal;
use super::{Head, head};
use crate::book::{Act, FaultId, Instrument, Item, Mode, PageId, Place, Point, Role, Strength, Subject};
use crate::draw::Use;
use crate::proof::HarmKind;
use crate::proof::lab::{Edge, Lab, Planted, View};
use crate::proof::quiz::Lot;
use serde::Serialize;
use std::collections::BTreeMap;

/// Minutes that things take (assumption: a trained hand at an open vehicle). They only compare one way with another.
const MINUTES_CONTROL: f64 = 0.2;
const MINUTES_HAND: f64 = 1.5;
const MINUTES_READING: f64 = 1.0;

#[derive(Debug, Clone, Serialize)]
struct Page {
    head: Head,
    /// SVG.
    drawing: String,
    controls: Vec<Control>,
    hands: Vec<Choice>,
    tools: Vec<Choice>,
    points: Vec<Choice>,
    items: Vec<String>,
    steps: Vec<Step>,
    build: Option<String>,
    count: usize,
    /// JSON for the page's script.
    data: String,
}

#[derive(Debug, Clone, Serialize)]
struct Control {
    name: String,
    /// The number of each choice's move.
    choices: Vec<Choice>,
}

#[derive(Debug, Clone, Serialize)]
struct Choice {
    value: String,
    text: String,
}

#[derive(Debug, Clone, Serialize)]
struct Step {
    title: String,
    acts: Vec<String>,
    expects: Vec<String>,
}

/// What the script is given.
#[derive(Debug, Clone, Serialize)]
struct Data {
    case: String,
    minutes: [f64; 3],
    faces: Vec<String>,
    words: Vec<String>,
    /// Two digits of base 36 for each face; two for each point, tenths of a volt above minus 30; one for each light.
    views: Vec<String>,
    shared: Vec<Packed>,
    cases: Vec<Case>,
    probes: Vec<(usize, usize, usize)>,
    /// The words of a test light: dark, dim, lit.
    lights: Vec<String>,
    texts: BTreeMap<String, String>,
}

/// View, edges, and readings of probes as numbers of words.
type Packed = (usize, Vec<PackedEdge>, Vec<(usize, usize)>);

/// The move, the node or -1, and what it harms: words, joined.
type PackedEdge = (usize, i64, String);

#[derive(Debug, Clone, Serialize)]
struct Case {
    start: usize,
    changed: Vec<(usize, usize, i64, String)>,
    nodes: Vec<Packed>,
    seals: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
struct Key {
    head: Head,
    rows: Vec<KeyRow>,
}

#[derive(Debug, Clone, Serialize)]
struct KeyRow {
    number: usize,
    fault: String,
    step: String,
    procedure: String,
    tests: Vec<KeyTest>,
    minutes: String,
    /// The item that a verdict must name, as the lab's list has it.
    item: String,
}

/// A test of the proven way, with what is done for it.
#[derive(Debug, Clone, Serialize)]
struct KeyTest {
    title: String,
    acts: Vec<String>,
}

/// What the script says; each is `study.lab-` and its word.
const TEXTS: &[&str] = &[
    "none",
    "floating",
    "not-there",
    "not-modeled",
    "live",
    "harm",
    "moves",
    "right",
    "not-right",
    "planted",
    "done",
    "saved",
    "other-lab",
    "count",
    "begin",
    "choose",
];

/// The instruments of a lab, in the order of its list.
const TOOLS: &[Instrument] = &[
    Instrument::TestLight,
    Instrument::Voltmeter,
    Instrument::Ohmmeter,
    Instrument::ContinuityLight,
];

/// The faults of a lab in the order of their numbers: drawn, so that a number tells nothing.
pub fn numbered<'l>(kit: &Kit, lab: &'l Lab) -> Vec<&'l Planted> {
    let mut order: Vec<&Planted> = lab.planted.iter().collect();
    Lot::new(19, &kit.book.page(lab.page).path).shuffle(&mut order);
    order
}

/// The name of a lab's file.
pub fn name(kit: &Kit, lab: &Lab) -> String {
    let path = &kit.book.page(lab.page).path;
    format!("{}-lab.html", slug(path.trim_end_matches(".md")))
}

/// The items that a verdict may name.
fn items(kit: &Kit, lab: &Lab) -> Vec<Item> {
    let sheet = kit.book.page(lab.page).sheet;
    let mut items: Vec<Item> = lab
        .planted
        .iter()
        .flat_map(|planted| guilty(kit, planted.fault))
        .collect();
    let faults = kit.book.faults.iter().map(|fault| fault.item);
    items.extend(faults.filter(|item| match item {
        Item::Part(part) => Some(kit.book.part(*part).sheet) == sheet,
        Item::Wire(wire) => Some(kit.book.wire(*wire).sheet) == sheet,
        Item::Connector(connector) => Some(kit.book.connector(*connector).sheet) == sheet,
    }));
    items.sort();
    items.dedup();
    items
}

/// The items that a right verdict names: of two wires shorted to each other, either.
fn guilty(kit: &Kit, fault: FaultId) -> Vec<Item> {
    let fault = kit.book.fault(fault);
    match fault.mode {
        Mode::WireToWire(other) => vec![fault.item, Item::Wire(other)],
        _ => vec![fault.item],
    }
}

/// The page for students.
pub fn page(kit: &Kit, path: &str, lab: &Lab) -> Output {
    let say = kit.say();
    let title = format!(
        "{}: {}",
        kit.book.page(lab.page).title,
        kit.words.text("study.lab")
    );
    let number = |act: &Act| {
        lab.moves
            .iter()
            .position(|other| other == act)
            .unwrap_or_default()
    };
    let controls = lab.controls.iter().map(|(control, settings)| Control {
        name: kit.book.control(*control).name.clone(),
        choices: settings
            .iter()
            .map(|&to| Choice {
                value: number(&Act::Set {
                    control: *control,
                    to,
                })
                .to_string(),
                text: kit.book.control(*control).print(to),
            })
            .collect(),
    });
    let hands = lab
        .moves
        .iter()
        .enumerate()
        .filter(|(_, act)| !matches!(act, Act::Set { .. }));
    let mut hands: Vec<Choice> = hands
        .map(|(index, act)| Choice {
            value: index.to_string(),
            text: say.act(act),
        })
        .collect();
    hands.sort_by(|a, b| a.text.cmp(&b.text));
    let points = lab.points.iter().enumerate().map(|(index, point)| Choice {
        value: index.to_string(),
        text: say.point(*point),
    });
    let tools = TOOLS.iter().map(|tool| Choice {
        value: tool.word().to_string(),
        text: say.instrument(*tool),
    });
    let build = kit.book.build_name(lab.build);
    let sheet = kit.book.page(lab.page).sheet;
    let view = Page {
        drawing: sheet.map_or_else(String::new, |sheet| {
            kit.drawings.svg(kit.book, sheet, None, Use::Live)
        }),
        controls: controls.collect(),
        hands,
        tools: tools.collect(),
        points: points.collect(),
        items: items(kit, lab).into_iter().map(|item| say.item(item)).collect(),
        steps: steps(kit, lab.page),
        build: (!build.is_empty()).then_some(build),
        count: lab.planted.len(),
        data: script(&data(kit, lab)),
        head: head(kit, &title, false),
    };
    kit.templates.page("study-lab.html", path, &view)
}

fn steps(kit: &Kit, page: PageId) -> Vec<Step> {
    let say = kit.say();
    let sections = kit.book.page(page).sections.iter();
    sections
        .filter_map(|section| match &section.role {
            Role::Step(step) => Some(Step {
                title: section.title.clone(),
                acts: step.acts.iter().map(|act| say.act(act)).collect(),
                expects: step.expects.iter().map(|expect| say.expect(expect)).collect(),
            }),
            _ => None,
        })
        .collect()
}

/// Numbers words as they come.
#[derive(Default)]
struct Lexicon {
    words: Vec<String>,
    numbers: BTreeMap<String, usize>,
}

impl Lexicon {
    fn number(&mut self, word: String) -> usize {
        let next = self.words.len();
        let number = *self.numbers.entry(word.clone()).or_insert(next);
        if number == next {
            self.words.push(word);
        }
        number
    }
}

fn data(kit: &Kit, lab: &Lab) -> Data {
    let say = kit.say();
    let mut lexicon = Lexicon::default();
    let views = lab
        .views
        .iter()
        .map(|view| pack_view(kit, lab, view, &mut lexicon))
        .collect();
    let case = kit.book.page(lab.page).path.clone();
    let pack = |node: &crate::proof::lab::Node, lexicon: &mut Lexicon| -> Packed {
        let edges = node.edges.iter().map(|edge| {
            let (by, to, harms) = pack_edge(kit, edge);
            (by, to, harms)
        });
        let probes = node.probes.iter().map(|(probe, reading)| {
            let subject = Subject::Instrument(lab.probes[*probe].0);
            (*probe, lexicon.number(say.reading(subject, reading)))
        });
        (node.view, edges.collect(), probes.collect())
    };
    let shared: Vec<Packed> = lab.shared.iter().map(|node| pack(node, &mut lexicon)).collect();
    let cases = numbered(kit, lab)
        .into_iter()
        .enumerate()
        .map(|(index, planted)| Case {
            start: planted.start,
            changed: planted
                .changed
                .iter()
                .map(|(node, edge)| {
                    let (by, to, harms) = pack_edge(kit, edge);
                    (*node, by, to, harms)
                })
                .collect(),
            nodes: planted
                .nodes
                .iter()
                .map(|node| pack(node, &mut lexicon))
                .collect(),
            seals: guilty(kit, planted.fault)
                .into_iter()
                .map(|item| {
                    seal(
                        &format!("{case} {}", index + 1),
                        &say.item(item),
                        &ending(kit, planted),
                    )
                })
                .collect(),
        })
        .collect();
    let at = |point: &Point| {
        lab.points
            .iter()
            .position(|other| other == point)
            .unwrap_or_default()
    };
    Data {
        case,
        minutes: [MINUTES_CONTROL, MINUTES_HAND, MINUTES_READING],
        faces: lab.faces.iter().map(|face| say.subject(*face)).collect(),
        words: lexicon.words,
        views,
        shared,
        cases,
        probes: lab
            .probes
            .iter()
            .map(|(tool, from, to)| {
                let tool = TOOLS
                    .iter()
                    .position(|other| other == tool)
                    .unwrap_or(TOOLS.len());
                (tool, at(from), at(to))
            })
            .collect(),
        lights: [Strength::Off, Strength::Weak, Strength::Full]
            .map(|strength| say.strength(None, strength))
            .to_vec(),
        texts: TEXTS
            .iter()
            .map(|word| (word.to_string(), kit.words.text(&format!("study.lab-{word}"))))
            .collect(),
    }
}

fn pack_view(kit: &Kit, lab: &Lab, view: &View, lexicon: &mut Lexicon) -> String {
    let say = kit.say();
    let mut packed = String::new();
    for (face, reading) in lab.faces.iter().zip(&view.faces) {
        packed.push_str(&digits(lexicon.number(say.reading(*face, reading)) as i32));
    }
    packed.push(' ');
    for volts in &view.volts {
        packed.push_str(&volts.map_or_else(|| "--".to_string(), |tenths| digits(tenths + OFFSET)));
    }
    packed.push(' ');
    for light in view.lights.iter().flatten() {
        packed.push(match light {
            None => '-',
            Some([ground, plus]) => char::from(b'0' + level(*ground) + 3 * level(*plus)),
        });
    }
    packed
}

/// What is added to tenths of a volt, so that they are never negative in a vehicle of 12 or 24 V.
const OFFSET: i32 = 300;

fn level(strength: Strength) -> u8 {
    strength as u8
}

/// Two digits of base 36; what is beyond is at the end of the scale.
fn digits(number: i32) -> String {
    let number = number.clamp(0, 1295) as u32;
    [number / 36, number % 36]
        .into_iter()
        .filter_map(|digit| char::from_digit(digit, 36))
        .collect()
}

fn pack_edge(kit: &Kit, edge: &Edge) -> PackedEdge {
    let say = kit.say();
    let mut harms: Vec<String> = edge
        .harms
        .iter()
        .map(|harm| {
            let what = match harm {
                HarmKind::Fuse(part) => say.item(Item::Part(*part)),
                HarmKind::Wire(wire) => say.item(Item::Wire(*wire)),
                HarmKind::Tool(tool) | HarmKind::Live(tool) => say.instrument(*tool),
            };
            kit.words.fill("study.lab-harm", &[("what", &what)])
        })
        .collect();
    if edge.moves {
        harms.push(kit.words.text("study.lab-moves"));
    }
    (edge.by, edge.to.map_or(-1, |to| to as i64), harms.join(" "))
}

/// What the right verdict opens: the fault, and the best known way to it.
fn ending(kit: &Kit, planted: &Planted) -> String {
    let row = row(kit, planted);
    let tests: Vec<&str> = row.tests.iter().map(|test| test.title.as_str()).collect();
    let values = [
        ("fault", &*row.fault),
        ("step", &*row.step),
        ("procedure", &*row.procedure),
        ("tests", &*tests.join("; ")),
        ("count", &*planted.route.len().to_string()),
        ("minutes", &*row.minutes),
    ];
    kit.words.fill("study.lab-ending", &values)
}

fn row(kit: &Kit, planted: &Planted) -> KeyRow {
    let title = |place: Place| kit.book.section(place).title.clone();
    let of_page = |place: Place| format!("{}, {}", kit.book.page(place.page).title, title(place));
    KeyRow {
        number: 0,
        fault: Asker { kit }.fault(planted.fault),
        step: of_page(planted.step),
        procedure: of_page(planted.procedure),
        tests: planted.route.iter().map(|place| test(kit, *place)).collect(),
        item: kit.say().item(kit.book.fault(planted.fault).item),
        minutes: format!("{:.0}", minutes(kit, &planted.route).ceil()),
    }
}

fn test(kit: &Kit, place: Place) -> KeyTest {
    let section = kit.book.section(place);
    let acts = match &section.role {
        Role::Test(test) => test.acts.iter().map(|act| kit.say().act(act)).collect(),
        _ => Vec::new(),
    };
    KeyTest {
        title: section.title.clone(),
        acts,
    }
}

/// The minutes of the proven way's tests.
fn minutes(kit: &Kit, route: &[Place]) -> f64 {
    let of = |place: &Place| match &kit.book.section(*place).role {
        Role::Test(test) => {
            let acts = test.acts.iter().map(|act| match act {
                Act::Set { .. } | Act::Wait(_) => MINUTES_CONTROL,
                Act::Connect { .. } | Act::Measure { .. } | Act::Remove(_) => 0.0,
                _ => MINUTES_HAND,
            });
            acts.sum::<f64>() + MINUTES_READING
        }
        _ => 0.0,
    };
    route.iter().map(of).sum()
}

/// The instructor's list: which number is which fault, and the best known way to it.
pub fn key(kit: &Kit, path: &str, lab: &Lab) -> Output {
    let title = format!(
        "{}: {}",
        kit.book.page(lab.page).title,
        kit.words.text("study.lab-key")
    );
    let rows = numbered(kit, lab)
        .into_iter()
        .enumerate()
        .map(|(index, planted)| KeyRow {
            number: index + 1,
            ..row(kit, planted)
        });
    let view = Key {
        head: head(kit, &title, true),
        rows: rows.collect(),
    };
    kit.templates.page("study-lab-key.html", path, &view)
}
