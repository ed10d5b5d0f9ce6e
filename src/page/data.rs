//! Turns a sheet's parts, connectors and wires into cards: what each is, where it is, why it is there, and who names it.

use super::Output;
use super::address::{self, Root};
use super::escape::escape;
use super::kit::{Chrome, Kit, Link};
use super::table::{self, Row, natural};
use crate::book::{ConnectorId, End, Item, PartId, SheetId, TerminalId, WireColumn, WireId};
use serde::Serialize;

/// The view of `data.html`.
#[derive(Debug, Clone, Serialize)]
pub struct Data {
    pub chrome: Chrome,
    pub parts: Vec<PartCard>,
    pub connectors: Vec<ConnectorCard>,
    pub wires: Vec<WireRow>,
    /// The titles of the wire list's columns.
    pub columns: Vec<String>,
}

/// All that is known of a part.
#[derive(Debug, Clone, Serialize)]
pub struct PartCard {
    pub anchor: String,
    pub id: String,
    pub name: String,
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

/// A row of the wire list, with the sections that name the wire.
#[derive(Debug, Clone, Serialize)]
pub struct WireRow {
    #[serde(flatten)]
    pub row: Row,
    pub named: Vec<Link>,
}

/// A sheet's page of cards.
pub fn page(kit: &Kit, sheet: SheetId) -> Output {
    let path = address::data(kit.book, sheet);
    let title = kit.words.fill("data.title", &[("sheet", &kit.book.sheets[sheet.index()].title)]);
    let chrome = kit.chrome(&path, &title, Some(sheet));
    let root = chrome.root;
    let mut parts: Vec<PartId> = (0..kit.book.parts.len() as u32)
        .map(PartId)
        .filter(|&part| kit.book.part(part).sheet == sheet)
        .collect();
    parts.sort_by_key(|part| natural(&kit.book.part(*part).id));
    let mut connectors: Vec<ConnectorId> = (0..kit.book.connectors.len() as u32)
        .map(ConnectorId)
        .filter(|&connector| kit.book.connector(connector).sheet == sheet)
        .collect();
    connectors.sort_by_key(|connector| natural(&kit.book.connector(*connector).id));
    let mut wires = table::wires_of(kit, Some(sheet));
    wires.sort_by_key(|wire| natural(&kit.book.wire(*wire).id));
    let columns = table::wire_columns(kit, &wires);
    let view = Data {
        parts: parts.into_iter().map(|part| part_card(kit, part, root)).collect(),
        connectors: connectors.into_iter().map(|connector| connector_card(kit, connector, root)).collect(),
        wires: wires.into_iter().map(|wire| wire_row(kit, wire, &columns, root)).collect(),
        columns: columns
            .iter()
            .map(|column| column.name())
            .chain(["named"])
            .map(|key| kit.words.text(&format!("column.{key}")))
            .collect(),
        chrome,
    };
    kit.templates.page("data.html", &path, &view)
}

/// The sections that name a thing.
fn named(kit: &Kit, thing: Item, root: Root) -> Vec<Link> {
    kit.mentions.get(&thing).map_or_else(Vec::new, |places| kit.places(places, root))
}

fn part_card(kit: &Kit, part: PartId, root: Root) -> PartCard {
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
        kind: kit.words.text(&format!("kind.{}", held.kind.word())),
        place: held.place.clone(),
        facts: table::facts(kit, part),
        builds: kit.build_list(&held.fitted),
        only: kit.say().only(&held.fitted),
        terminals: (0..held.terminals.len() as u16).map(terminal).collect(),
        reasons: table::part_reasons(kit, part).iter().map(|reason| kit.linked(reason, root)).collect(),
        faults: faults(kit, part, root),
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

/// A part's faults, each once, with the first step that shows it in its own system's checkout.
fn faults(kit: &Kit, part: PartId, root: Root) -> Vec<FaultLine> {
    let mut lines: Vec<FaultLine> = Vec::new();
    for (index, fault) in kit.book.faults.iter().enumerate() {
        if fault.item != Item::Part(part) {
            continue;
        }
        let id = crate::book::FaultId(index as u32);
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

fn connector_card(kit: &Kit, connector: ConnectorId, root: Root) -> ConnectorCard {
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
        place: held.place.clone(),
        joins: held.joins.map(|harness| kit.book.harnesses[harness.index()].name.clone()),
        face: crate::draw::connector_face(kit.say(), connector),
        cavities: (0..held.cavities.len()).map(cavity).collect(),
        named: named(kit, Item::Connector(connector), root),
    }
}

fn wire_row(kit: &Kit, wire: WireId, columns: &[WireColumn], root: Root) -> WireRow {
    let row = Row {
        anchor: Some(address::wire_anchor(kit.book, wire)),
        ..table::wire_row(kit, wire, columns, root)
    };
    WireRow { row, named: named(kit, Item::Wire(wire), root) }
}
