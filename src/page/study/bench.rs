//! Turns a lab into the page on which a student works on a broken vehicle, and into the instructor's list of its faults.

use super::super::Output;
use super::super::address::flat;
use super::super::escape::script;
use super::super::kit::Kit;
use super::ask::Asker;
use super::pack::{Packed, pack};
use super::seal::seal;
use super::{Head, head};
use crate::book::{Act, Instrument, Item, PageId, Place, Point, Role, Subject, WireId};
use crate::draw::Use;
use crate::quantity::number;
use crate::study::lab::{Lab, Planted};
use crate::study::quiz::{Lot, seed};
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
    /// For a clamp.
    wires: Vec<Choice>,
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
    stamp: String,
    minutes: [f64; 3],
    faces: Vec<String>,
    states: Packed,
    /// How many points there are: what follows them in the page's list are wires, for a clamp.
    points: usize,
    /// Instrument, from, to.
    probes: Vec<(usize, usize, usize)>,
    /// What the right verdict opens, of each case one for each item that is right; none in an exam.
    seals: Vec<Vec<String>>,
    texts: BTreeMap<String, String>,
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
    /// The instrument that is read.
    reads: Option<String>,
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
    "noted",
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
    Instrument::Clamp,
    Instrument::Ammeter,
    Instrument::AnalogVoltmeter,
];

/// The faults of a lab in the order of their numbers: drawn, so that a number tells nothing.
pub fn numbered<'l>(kit: &Kit, lab: &'l Lab) -> Vec<&'l Planted> {
    let mut order: Vec<&Planted> = lab.planted.iter().collect();
    Lot::new(seed(kit.book), &kit.book.page(lab.page).path).shuffle(&mut order);
    order
}

/// The name of a lab's file.
pub fn name(kit: &Kit, lab: &Lab) -> String {
    let path = &kit.book.page(lab.page).path;
    format!("{}-lab.html", flat(path))
}

/// The items that a verdict may name.
fn items(kit: &Kit, lab: &Lab) -> Vec<Item> {
    let sheet = kit.book.page(lab.page).sheet;
    let mut items: Vec<Item> =
        lab.planted.iter().flat_map(|planted| kit.book.fault(planted.fault).items()).collect();
    let faults = kit.book.faults.iter().map(|fault| fault.item);
    items.extend(faults.filter(|item| Some(kit.book.item_sheet(*item)) == sheet));
    items.sort();
    items.dedup();
    items
}

/// The page for students.
pub fn page(kit: &Kit, path: &str, lab: &Lab) -> Output {
    let say = kit.say();
    let title = format!("{}: {}", kit.book.page(lab.page).title, kit.words.text("study.lab"));
    let number = |act: &Act| lab.moves.iter().position(|other| other == act).unwrap_or_default();
    let controls = lab.controls.iter().map(|(control, settings)| Control {
        name: kit.book.control(*control).name.clone(),
        choices: settings
            .iter()
            .map(|&to| Choice {
                value: number(&Act::Set { control: *control, to }).to_string(),
                text: kit.book.control(*control).print(to),
            })
            .collect(),
    });
    let hands = lab.moves.iter().enumerate().filter(|(_, act)| !matches!(act, Act::Set { .. }));
    let mut hands: Vec<Choice> =
        hands.map(|(index, act)| Choice { value: index.to_string(), text: say.act(act) }).collect();
    hands.sort_by(|a, b| a.text.cmp(&b.text));
    let points = lab
        .points
        .iter()
        .enumerate()
        .map(|(index, point)| Choice { value: index.to_string(), text: say.point(*point) });
    // The light and the meter always; of the others those that a procedure asks for.
    let asked = |tool: &Instrument| {
        lab.probes.iter().any(|act| {
            matches!(act, Act::Connect { instrument, .. } | Act::Measure { instrument, .. } if instrument == tool)
        })
    };
    let tools = TOOLS.iter().enumerate();
    let tools = tools
        .filter(|(at, tool)| *at < 2 || asked(tool))
        .map(|(at, tool)| Choice { value: at.to_string(), text: say.instrument(*tool) });
    let clamped = wires(lab).into_iter().enumerate().map(|(at, (wire, toward))| Choice {
        value: (lab.points.len() + at).to_string(),
        text: say.around(wire, toward),
    });
    let build = kit.book.build_name(lab.build);
    let sheet = kit.book.page(lab.page).sheet;
    let view = Page {
        drawing: sheet.map_or_else(String::new, |sheet| kit.drawings.svg(kit.say(), sheet, None, Use::Live)),
        controls: controls.collect(),
        hands,
        tools: tools.collect(),
        points: points.collect(),
        wires: clamped.collect(),
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
                expects: say.expects(&step.expects),
            }),
            _ => None,
        })
        .collect()
}

/// The wires that a clamp or an ammeter can be put on, and which way round.
fn wires(lab: &Lab) -> Vec<(WireId, Option<u8>)> {
    let mut wires: Vec<(WireId, Option<u8>)> = Vec::new();
    for act in &lab.probes {
        if let Act::Measure { wire, toward, .. } = act
            && !wires.contains(&(*wire, *toward))
        {
            wires.push((*wire, *toward));
        }
    }
    wires
}

fn data(kit: &Kit, lab: &Lab) -> Data {
    let say = kit.say();
    let case = kit.book.page(lab.page).path.clone();
    let order = numbered(kit, lab);
    let seals = if kit.book.manual.study.exam { Vec::new() } else { seals(kit, &case, &order) };
    let at = |point: &Point| lab.points.iter().position(|other| other == point).unwrap_or_default();
    let tool = |tool: &Instrument| TOOLS.iter().position(|other| other == tool).unwrap_or(TOOLS.len());
    let wires = wires(lab);
    let probe = |act: &Act| match act {
        Act::Connect { instrument, from, to } => (tool(instrument), at(from), at(to)),
        Act::Measure { instrument, wire, toward } => {
            let place = wires.iter().position(|other| *other == (*wire, *toward)).unwrap_or_default();
            (tool(instrument), lab.points.len() + place, 0)
        }
        _ => (TOOLS.len(), 0, 0),
    };
    let text = |word: &&str| (word.to_string(), kit.words.text(&format!("study.lab-{word}")));
    Data {
        points: lab.points.len(),
        minutes: [MINUTES_CONTROL, MINUTES_HAND, MINUTES_READING],
        faces: lab.faces.iter().map(|face| say.subject(*face)).collect(),
        seals,
        probes: lab.probes.iter().map(probe).collect(),
        texts: TEXTS.iter().map(text).collect(),
        states: pack(kit, lab, &order),
        stamp: kit.pack_stamp(),
        case,
    }
}

/// What the right verdict of each case opens: as many for each, and of one length, so that neither tells the cases apart.
fn seals(kit: &Kit, case: &str, order: &[&Planted]) -> Vec<Vec<String>> {
    let most = order.iter().map(|planted| right(kit, planted).len()).max().unwrap_or(0);
    let endings: Vec<String> = order.iter().map(|planted| ending(kit, planted)).collect();
    let length = endings.iter().map(String::len).max().unwrap_or(0);
    let of_case = |(index, (planted, end)): (usize, (&&Planted, &String))| {
        let key = format!("{case} {}", index + 1);
        let end = format!("{end}{}", " ".repeat(length - end.len()));
        let mut seals: Vec<String> = right(kit, planted).iter().map(|item| seal(&key, item, &end)).collect();
        // No item of the list has an empty name, so that nothing opens these.
        seals.extend((seals.len()..most).map(|at| seal(&format!("{key} {at}"), "", &end)));
        seals
    };
    order.iter().zip(&endings).enumerate().map(of_case).collect()
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
        minutes: number(minutes(kit, &planted.route).ceil()),
    }
}

fn test(kit: &Kit, place: Place) -> KeyTest {
    let section = kit.book.section(place);
    let (acts, reads) = match &section.role {
        Role::Test(test) => (&test.acts[..], test.reads),
        _ => (&[][..], None),
    };
    KeyTest {
        title: section.title.clone(),
        acts: acts.iter().map(|act| kit.say().act(act)).collect(),
        reads: reads.and_then(|subject| match subject {
            Subject::Instrument(instrument) => Some(kit.say().instrument(instrument)),
            _ => None,
        }),
    }
}

/// The items that a right verdict may name, as the lab's list has them.
pub fn right(kit: &Kit, planted: &Planted) -> Vec<String> {
    kit.book.fault(planted.fault).items().into_iter().map(|item| kit.say().item(item)).collect()
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
    let title = format!("{}: {}", kit.book.page(lab.page).title, kit.words.text("study.lab-key"));
    let rows = numbered(kit, lab)
        .into_iter()
        .enumerate()
        .map(|(index, planted)| KeyRow { number: index + 1, ..row(kit, planted) });
    let view = Key { head: head(kit, &title, true), rows: rows.collect() };
    kit.templates.page("study-lab-key.html", path, &view)
}
