//! Turns a part, a connector or a wire into its card: what it is, where it is, why it is there, what can fail, and who names it.

use super::address::{self, Root};
use super::escape::escape;
use super::kit::{Kit, Link};
use super::table;
use crate::book::{ConnectorId, End, Item, PartId, TerminalId, WireId};
use serde::Serialize;

/// All that is known of a part.
#[derive(Debug, Clone, Serialize)]
pub struct PartCard {
    pub anchor: String,
    pub id: String,
    pub name: String,
    /// The circuit page that shows it.
    pub drawing: Option<String>,
    pub kind: String,
    pub place: Option<String>,
    pub facts: String,
    pub builds: Option<String>,
    pub only: Option<String>,
    pub terminals: Vec<Terminal>,
    /// HTML sentences.
    pub reasons: Vec<String>,
    pub faults: Vec<FaultLine>,
    pub named: Vec<Link>,
}

/// A terminal and what is wired to it.
#[derive(Debug, Clone, Serialize)]
pub struct Terminal {
    pub name: String,
    /// HTML, one for each wire: id, color, size, and where it goes.
    pub wires: Vec<String>,
}

/// A fault, with the step that shows it first and where that leads.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaultLine {
    pub fault: String,
    /// HTML.
    pub shown: String,
}

/// All that is known of a connector.
#[derive(Debug, Clone, Serialize)]
pub struct ConnectorCard {
    pub anchor: String,
    pub id: String,
    pub name: String,
    /// The circuit page that shows it.
    pub drawing: Option<String>,
    pub place: Option<String>,
    pub joins: [String; 2],
    /// SVG of its face.
    pub face: String,
    pub cavities: Vec<Cavity>,
    pub named: Vec<Link>,
}

/// A cavity and the wires at its two sides, as HTML.
#[derive(Debug, Clone, Serialize)]
pub struct Cavity {
    pub name: String,
    pub sides: [String; 2],
}

/// All that is known of a wire.
#[derive(Debug, Clone, Serialize)]
pub struct WireCard {
    pub id: String,
    /// Its line on its sheet's page.
    pub href: String,
    /// HTML: its color, with a swatch.
    pub color: String,
    pub size: String,
    pub length: String,
    pub harness: String,
    /// HTML: its ends.
    pub ends: [String; 2],
    pub only: Option<String>,
    pub faults: Vec<FaultLine>,
    pub named: Vec<Link>,
}

/// The sections that name a thing.
pub fn named(kit: &Kit, thing: Item, root: Root) -> Vec<Link> {
    kit.mentions.get(&thing).map_or_else(Vec::new, |places| kit.places(places, root))
}

/// A part's card.
pub fn part(kit: &Kit, part: PartId, root: Root) -> PartCard {
    let held = kit.book.part(part);
    let terminal = |at: u16| {
        let terminal = TerminalId(at);
        let wires = table::wires_at(kit, part, terminal);
        Terminal {
            name: held.terminals[terminal.index()].name.clone(),
            wires: wires
                .into_iter()
                .map(|wire| wire_from(kit, wire, End::Terminal { part, terminal }, root))
                .collect(),
        }
    };
    PartCard {
        anchor: address::part_anchor(kit.book, part),
        id: held.id.clone(),
        name: held.name.clone(),
        drawing: kit.in_drawing(Item::Part(part), root),
        kind: kit.words.text(&format!("kind.{}", held.kind.word())),
        place: held.place.clone(),
        facts: table::facts(kit, part),
        builds: kit.build_list(&held.fitted),
        only: kit.say().only(&held.fitted),
        terminals: (0..held.terminals.len() as u16).map(terminal).collect(),
        reasons: table::part_reasons(kit, part).iter().map(|reason| kit.linked(reason, root)).collect(),
        faults: faults(kit, Item::Part(part), root),
        named: named(kit, Item::Part(part), root),
    }
}

/// A wire as it leaves one of its ends: id, color, size, and the other end.
fn wire_from(kit: &Kit, wire: WireId, from: End, root: Root) -> String {
    let held = kit.book.wire(wire);
    let other = if held.ends[0] == from { held.ends[1] } else { held.ends[0] };
    let mut html = format!(
        "{} {} {} → {}",
        kit.names.anchor(Item::Wire(wire), &held.id, root),
        kit.color(wire),
        escape(&held.size.to_string()),
        kit.linked(&kit.book.end_name(other), root)
    );
    if let Some(only) = kit.say().only(&held.fitted) {
        html.push_str(&table::mark(kit, &only));
    }
    html
}

/// An item's faults, each once, with the first step that shows it in its own system's checkout.
fn faults(kit: &Kit, item: Item, root: Root) -> Vec<FaultLine> {
    let mut lines: Vec<FaultLine> = Vec::new();
    for &id in kit.faults_of.get(&item).into_iter().flatten() {
        let accepted = kit.book.accepted.iter().find(|accepted| accepted.fault == id);
        let shown = match (kit.shown_at_home.get(&id), accepted) {
            (Some(shown), _) => {
                root.anchor(&address::place(kit.book, shown.step), &kit.place_title(shown.step))
            }
            (None, Some(accepted)) => {
                escape(&kit.words.fill("fault.accepted", &[("reason", &accepted.reason)]))
            }
            (None, None) => escape(&kit.words.text("fault.elsewhere")),
        };
        lines.push(FaultLine { fault: kit.say().fault(id), shown });
    }
    lines
}

/// A connector's card.
pub fn connector(kit: &Kit, connector: ConnectorId, root: Root) -> ConnectorCard {
    let held = kit.book.connector(connector);
    let cavity = |at: usize| {
        let side = |side: u8| {
            let end = End::Cavity { connector, cavity: at as u16, side };
            let wires = (0..kit.book.wires.len() as u32).map(WireId);
            let here = wires.filter(|wire| kit.book.wire(*wire).ends.contains(&end));
            here.map(|wire| wire_from(kit, wire, end, root)).collect::<Vec<_>>().join("<br>")
        };
        Cavity { name: held.cavities[at].clone(), sides: [side(0), side(1)] }
    };
    ConnectorCard {
        anchor: address::connector_anchor(kit.book, connector),
        id: held.id.clone(),
        name: held.name.clone(),
        drawing: kit.in_drawing(Item::Connector(connector), root),
        place: held.place.clone(),
        joins: held.joins.map(|harness| kit.book.harnesses[harness.index()].name.clone()),
        face: crate::draw::connector_face(kit.say(), connector),
        cavities: (0..held.cavities.len()).map(cavity).collect(),
        named: named(kit, Item::Connector(connector), root),
    }
}

/// A wire's card.
pub fn wire(kit: &Kit, wire: WireId, root: Root) -> WireCard {
    let held = kit.book.wire(wire);
    WireCard {
        id: held.id.clone(),
        href: root.to(&address::thing(kit.book, Item::Wire(wire))),
        color: kit.color(wire),
        size: held.size.to_string(),
        length: held.length_text(),
        harness: kit.book.harnesses[held.harness.index()].name.clone(),
        ends: held.ends.map(|end| kit.linked(&kit.book.end_name(end), root)),
        only: kit.say().only(&held.fitted),
        faults: faults(kit, Item::Wire(wire), root),
        named: named(kit, Item::Wire(wire), root),
    }
}
