//! Turns the book's lists into tables: one view for every table, filled in here and laid out by one template.

use super::address::Root;
use super::escape::escape;
use super::kit::Kit;
use crate::book::{Action, Item, Table as Sort};
use crate::book::{
    BuildId, COLORS, ConnectorId, End, Kind, PartId, Protection, SheetId, Strength, Subject, TerminalId,
    WireId,
};
use crate::proof::reasons::{Difference, Reason, Way};
use crate::proof::tables::{FaultRow, Spot};
use serde::Serialize;

/// A table: its name for the style sheet, its columns' titles, its rows.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Table {
    pub name: String,
    pub caption: String,
    pub columns: Vec<String>,
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Row {
    /// Where links to the row's thing lead; only on the page that describes it.
    pub anchor: Option<String>,
    /// The numbers of the builds it belongs to; nothing when it belongs to all.
    pub builds: Option<String>,
    /// HTML; the first cell is the row's head.
    pub cells: Vec<String>,
}

impl Table {
    fn new(kit: &Kit, name: &str, caption: String, columns: &[&str]) -> Table {
        Table {
            name: name.to_string(),
            caption,
            columns: columns.iter().map(|key| kit.words.text(&format!("column.{key}"))).collect(),
            rows: Vec::new(),
        }
    }

    fn row(&mut self, builds: Option<String>, cells: Vec<String>) {
        self.rows.push(Row { anchor: None, builds, cells });
    }

    /// The table as HTML.
    pub fn html(&self, kit: &Kit) -> String {
        kit.templates.render("table.html", &serde_json::json!({ "table": self }))
    }
}

/// One of the tables that an author may place, for one sheet.
pub fn of(kit: &Kit, sort: Sort, sheet: SheetId, root: Root) -> Table {
    let some = Some(sheet);
    match sort {
        Sort::Steps => steps(kit, some, root),
        Sort::Faults => faults(kit, some, root),
        Sort::Wires => wires(kit, some, root),
        Sort::Parts => parts(kit, some, root),
        Sort::Connectors => connectors(kit, some, root),
        Sort::Grounds => grounds(kit, some, root),
        Sort::Fuses => fuses(kit, some, root),
        Sort::Reasons => reasons(kit, some, root),
    }
}

/// The parts of a sheet, or of the book.
fn parts_of(kit: &Kit, sheet: Option<SheetId>) -> Vec<PartId> {
    let parts = (0..kit.book.parts.len() as u32).map(PartId);
    parts.filter(|&part| sheet.is_none_or(|sheet| kit.book.part(part).sheet == sheet)).collect()
}

/// The wires of a sheet, or of the book.
pub fn wires_of(kit: &Kit, sheet: Option<SheetId>) -> Vec<WireId> {
    let wires = (0..kit.book.wires.len() as u32).map(WireId);
    wires.filter(|&wire| sheet.is_none_or(|sheet| kit.book.wire(wire).sheet == sheet)).collect()
}

/// The connectors of a sheet: its own and those that its wires go through.
pub fn connectors_of(kit: &Kit, sheet: Option<SheetId>) -> Vec<ConnectorId> {
    let reached = |connector: ConnectorId, sheet: SheetId| {
        kit.book.connector(connector).sheet == sheet
            || kit.book.wires.iter().any(|wire| {
                wire.sheet == sheet
                    && wire
                        .ends
                        .iter()
                        .any(|end| matches!(end, End::Cavity { connector: of, .. } if *of == connector))
            })
    };
    let connectors = (0..kit.book.connectors.len() as u32).map(ConnectorId);
    connectors.filter(|&connector| sheet.is_none_or(|sheet| reached(connector, sheet))).collect()
}

fn place(place: &Option<String>) -> String {
    place.as_deref().map_or_else(String::new, escape)
}

/// A thing's id as a link, with the mark of the builds that have it.
fn head(kit: &Kit, thing: Item, root: Root) -> String {
    let (id, fitted): (&str, Option<&[bool]>) = match thing {
        Item::Part(part) => (&kit.book.part(part).id, Some(&kit.book.part(part).fitted)),
        Item::Wire(wire) => (&kit.book.wire(wire).id, Some(&kit.book.wire(wire).fitted)),
        Item::Connector(connector) => (&kit.book.connector(connector).id, None),
    };
    let link = kit.names.anchor(thing, id, root);
    match fitted.and_then(|fitted| kit.say().only(fitted)) {
        Some(only) => format!("{link}{}", mark(kit, &only)),
        None => link,
    }
}

/// The mark of something that not every build has.
pub fn mark(kit: &Kit, only: &str) -> String {
    format!(r#" <span class="only">{}</span>"#, escape(&kit.words.fill("build.only", &[("builds", only)])))
}

fn parts(kit: &Kit, sheet: Option<SheetId>, root: Root) -> Table {
    let mut table =
        Table::new(kit, "parts", caption(kit, "parts", sheet), &["part", "name", "kind", "place", "data"]);
    for part in sorted(kit, parts_of(kit, sheet)) {
        let held = kit.book.part(part);
        table.row(
            kit.build_list(&held.fitted),
            vec![
                head(kit, Item::Part(part), root),
                escape(&held.name),
                escape(&kit.words.text(&format!("kind.{}", held.kind.word()))),
                place(&held.place),
                escape(&facts(kit, part)),
            ],
        );
    }
    table
}

/// Parts by their ids, letters first, then numbers by their value.
fn sorted(kit: &Kit, mut parts: Vec<PartId>) -> Vec<PartId> {
    parts.sort_by_key(|part| natural(&kit.book.part(*part).id));
    parts
}

/// A key that puts `K4` before `K12`.
pub fn natural(id: &str) -> (String, u64, String) {
    let digits = id.find(|c: char| c.is_ascii_digit()).unwrap_or(id.len());
    let rest = &id[digits..];
    let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let number = rest[..end].parse().unwrap_or(0);
    (id[..digits].to_string(), number, rest[end..].to_string())
}

/// What the author gave of a part, as one line.
pub fn facts(kit: &Kit, part: PartId) -> String {
    let facts = kit.book.part(part).facts.iter();
    let words = facts.map(|(label, text)| {
        let key = format!("fact.{label}");
        let label = if kit.words.knows(&key) { kit.words.text(&key) } else { label.clone() };
        format!("{label} {text}")
    });
    words.collect::<Vec<_>>().join(", ")
}

fn wires(kit: &Kit, sheet: Option<SheetId>, root: Root) -> Table {
    let columns = ["wire", "from", "to", "color", "size", "length", "harness"];
    let mut table = Table::new(kit, "wires", caption(kit, "wires", sheet), &columns);
    let mut wires = wires_of(kit, sheet);
    wires.sort_by_key(|wire| natural(&kit.book.wire(*wire).id));
    for wire in wires {
        let row = wire_row(kit, wire, root);
        table.row(row.builds, row.cells);
    }
    table
}

/// A wire as a row of a wire list.
pub fn wire_row(kit: &Kit, wire: WireId, root: Root) -> Row {
    let held = kit.book.wire(wire);
    let end = |at: usize| kit.linked(&kit.book.end_name(held.ends[at]), root);
    let length = crate::quantity::print(
        held.length.0,
        crate::quantity::Unit::base(crate::quantity::Dimension::Length),
    );
    Row {
        anchor: None,
        builds: kit.build_list(&held.fitted),
        cells: vec![
            head(kit, Item::Wire(wire), root),
            end(0),
            end(1),
            kit.color(wire),
            escape(&held.size.to_string()),
            escape(&length),
            escape(&kit.book.harnesses[held.harness.index()].name),
        ],
    }
}

fn connectors(kit: &Kit, sheet: Option<SheetId>, root: Root) -> Table {
    let columns = ["connector", "name", "place", "joins", "cavities"];
    let mut table = Table::new(kit, "connectors", caption(kit, "connectors", sheet), &columns);
    let mut connectors = connectors_of(kit, sheet);
    connectors.sort_by_key(|connector| natural(&kit.book.connector(*connector).id));
    for connector in connectors {
        let held = kit.book.connector(connector);
        let joins: Vec<&str> =
            held.joins.iter().map(|harness| kit.book.harnesses[harness.index()].name.as_str()).collect();
        table.row(
            None,
            vec![
                head(kit, Item::Connector(connector), root),
                escape(&held.name),
                place(&held.place),
                escape(&joins.join(" – ")),
                held.cavities.len().to_string(),
            ],
        );
    }
    table
}

fn grounds(kit: &Kit, sheet: Option<SheetId>, root: Root) -> Table {
    let columns = ["ground", "name", "place", "wires", "serves"];
    let mut table = Table::new(kit, "grounds", caption(kit, "grounds", sheet), &columns);
    for part in sorted(kit, parts_of(kit, sheet)) {
        if kit.book.part(part).kind != Kind::Ground {
            continue;
        }
        let held = kit.book.part(part);
        let at = wires_at(kit, part, TerminalId(0));
        let served = served(kit, part);
        table.row(
            kit.build_list(&held.fitted),
            vec![
                head(kit, Item::Part(part), root),
                escape(&held.name),
                place(&held.place),
                wire_links(kit, &at, root),
                kit.linked(&served.join(", "), root),
            ],
        );
    }
    table
}

/// The parts whose way to the body ends at a ground point: over wires, cavities and splices, up to other parts.
fn served(kit: &Kit, ground: PartId) -> Vec<String> {
    let (mut seen, mut queue, mut found) = (vec![ground], vec![ground], Vec::new());
    let mut cavities: Vec<(ConnectorId, u16)> = Vec::new();
    let mut next: Vec<End> = Vec::new();
    while let Some(part) = queue.pop() {
        next.push(End::Terminal { part, terminal: TerminalId(0) });
        while let Some(end) = next.pop() {
            for wire in kit.book.wires.iter().filter(|wire| touches(&wire.ends, end)) {
                for &other in &wire.ends {
                    match other {
                        End::Terminal { part, .. } if !seen.contains(&part) => {
                            seen.push(part);
                            match kit.book.part(part).kind {
                                Kind::Splice => queue.push(part),
                                _ => found.push(kit.book.part(part).id.clone()),
                            }
                        }
                        End::Cavity { connector, cavity, .. } if !cavities.contains(&(connector, cavity)) => {
                            cavities.push((connector, cavity));
                            next.push(other);
                        }
                        _ => {}
                    }
                }
            }
        }
    }
    found.sort_by_key(|id| natural(id));
    found
}

/// Whether a wire ends at an end; both sides of a cavity count as one.
fn touches(ends: &[End; 2], at: End) -> bool {
    ends.iter().any(|&end| match (end, at) {
        (End::Cavity { connector, cavity, .. }, End::Cavity { connector: of, cavity: number, .. }) => {
            (connector, cavity) == (of, number)
        }
        _ => end == at,
    })
}

/// The wires at a terminal.
pub fn wires_at(kit: &Kit, part: PartId, terminal: TerminalId) -> Vec<WireId> {
    let end = End::Terminal { part, terminal };
    wires_of(kit, None).into_iter().filter(|wire| kit.book.wire(*wire).ends.contains(&end)).collect()
}

/// Wires as links with their colors.
pub fn wire_links(kit: &Kit, wires: &[WireId], root: Root) -> String {
    let link = |wire: &WireId| {
        let id = kit.names.anchor(Item::Wire(*wire), &kit.book.wire(*wire).id, root);
        format!("{id} {}", kit.color(*wire))
    };
    wires.iter().map(link).collect::<Vec<_>>().join(", ")
}

fn fuses(kit: &Kit, sheet: Option<SheetId>, root: Root) -> Table {
    let columns = ["fuse", "name", "rating", "place", "feeds"];
    let mut table = Table::new(kit, "fuses", caption(kit, "fuses", sheet), &columns);
    for part in sorted(kit, parts_of(kit, sheet)) {
        let held = kit.book.part(part);
        let link = held.elements.iter().find_map(|element| match &element.action {
            Action::Link { rating, protection, .. } => Some((rating.0, *protection)),
            _ => None,
        });
        let Some((rating, protection)) = link else {
            continue;
        };
        let rating =
            crate::quantity::print(rating, crate::quantity::Unit::base(crate::quantity::Dimension::Current));
        let kind = match protection {
            Protection::Fuse => rating,
            Protection::FusibleLink => format!("{rating}, {}", kit.words.text("kind.fusible-link")),
            _ => format!("{rating}, {}", kit.words.text("kind.breaker")),
        };
        let feeds: Vec<WireId> =
            (0..held.terminals.len() as u16).flat_map(|at| wires_at(kit, part, TerminalId(at))).collect();
        table.row(
            kit.build_list(&held.fitted),
            vec![
                head(kit, Item::Part(part), root),
                escape(&held.name),
                escape(&kind),
                place(&held.place),
                wire_links(kit, &feeds, root),
            ],
        );
    }
    table
}

/// The colors that wires of the book have, with the wires of each.
pub fn colors(kit: &Kit, root: Root) -> Table {
    let mut table = Table::new(kit, "colors", caption(kit, "colors", None), &["color", "name", "wires"]);
    let mut wires = wires_of(kit, None);
    wires.sort_by_key(|wire| {
        let color = &kit.book.wire(*wire).color;
        let rank = |letters: &str| COLORS.iter().position(|color| color.letters == letters);
        let stripe = color.stripe.and_then(|stripe| rank(stripe.letters));
        (rank(color.base.letters), stripe, natural(&kit.book.wire(*wire).id))
    });
    for group in wires.chunk_by(|a, b| kit.book.wire(*a).color == kit.book.wire(*b).color) {
        let links: Vec<String> = group.iter().map(|wire| head(kit, Item::Wire(*wire), root)).collect();
        let name = kit.color_name(&kit.book.wire(group[0]).color);
        table.row(None, vec![kit.color(group[0]), escape(&name), links.join(", ")]);
    }
    table
}

/// The lists of the whole book by their names.
pub fn list(kit: &Kit, name: &str, root: Root) -> Table {
    match name {
        "parts" => parts(kit, None, root),
        "wires" => wires(kit, None, root),
        "connectors" => connectors(kit, None, root),
        "grounds" => grounds(kit, None, root),
        "fuses" => fuses(kit, None, root),
        _ => colors(kit, root),
    }
}

/// The step that a row of the proof's tables names, as a link.
fn spot(spot: &Spot, root: Root) -> String {
    let stem = spot.page.strip_suffix(".md").unwrap_or(&spot.page);
    root.anchor(&format!("pages/{stem}.html#{}", spot.anchor), &spot.title)
}

/// The same by the first words of its title: `Procedure 6`.
fn short_spot(spot: &Spot, root: Root) -> String {
    let title = spot.title.split(':').next().unwrap_or_default().to_string();
    self::spot(&Spot { title, ..spot.clone() }, root)
}

/// Whether a page of the proof's tables is about a sheet.
fn about(kit: &Kit, path: &str, sheet: Option<SheetId>) -> bool {
    let page = kit.book.pages.iter().find(|page| page.path == path);
    sheet.is_none() || page.is_some_and(|page| page.sheet == sheet)
}

fn steps(kit: &Kit, sheet: Option<SheetId>, root: Root) -> Table {
    let columns = ["step", "symptom", "procedure", "tests", "verdicts"];
    let mut table = Table::new(kit, "steps", caption(kit, "steps", sheet), &columns);
    for row in kit.tables.steps.iter().filter(|row| about(kit, &row.step.page, sheet)) {
        let step = spot(&row.step, root);
        for lead in &row.leads {
            let symptom = match &lead.symptom {
                Some(symptom) => kit.linked(symptom, root),
                None => escape(&kit.words.text("step.otherwise")),
            };
            let fewest = lead.verdicts.iter().map(|verdict| verdict.tests.0).min();
            let most = lead.verdicts.iter().map(|verdict| verdict.tests.1).max();
            let tests = match fewest.zip(most) {
                Some((fewest, most)) if fewest == most => fewest.to_string(),
                Some((fewest, most)) => format!("{fewest}–{most}"),
                None => "–".to_string(),
            };
            let verdict = |verdict: &crate::proof::tables::VerdictRow| {
                let faults = kit.words.fill("step.faults", &[("n", &verdict.faults.len().to_string())]);
                format!("<li>{} <small>{}</small></li>", kit.linked(&verdict.words, root), escape(&faults))
            };
            let verdicts: String = lead.verdicts.iter().map(verdict).collect();
            let verdicts = if verdicts.is_empty() { String::new() } else { format!("<ul>{verdicts}</ul>") };
            table.row(None, vec![step.clone(), symptom, spot(&lead.procedure, root), tests, verdicts]);
        }
    }
    table
}

fn faults(kit: &Kit, sheet: Option<SheetId>, root: Root) -> Table {
    let columns = ["fault", "first-step", "procedure", "verdict", "tests"];
    let mut table = Table::new(kit, "faults", caption(kit, "faults", sheet), &columns);
    let all = &kit.tables.faults;
    let rows: Vec<&FaultRow> = match sheet {
        None => all.iter().collect(),
        Some(sheet) => {
            let rows = kit.fault_rows.get(&sheet).into_iter().flatten();
            rows.map(|&at| &all[at]).collect()
        }
    };
    for row in rows {
        // A fault of another system that this checkout does not show is no business of this map.
        let own = kit.names.find(&row.item).map(|item| kit.book.item_sheet(item));
        let here = own == sheet || sheet.is_none();
        if row.shown.is_none() && !here {
            continue;
        }
        let every = row.builds.len() == kit.book.builds.len();
        let builds: Vec<BuildId> = (0..kit.book.builds.len() as u32)
            .map(BuildId)
            .filter(|&build| row.builds.contains(&kit.book.build_name(build)))
            .collect();
        let mut fault = kit.linked(&row.fault, root);
        if let Some(only) = kit.build_names(&builds).filter(|_| !every) {
            fault.push_str(&mark(kit, &only));
        }
        let mut cells = vec![fault];
        match &row.shown {
            Some(shown) => cells.extend([
                spot(&shown.step, root),
                shown.procedure.as_ref().map_or_else(String::new, |procedure| short_spot(procedure, root)),
                shown.verdict.as_ref().map_or_else(String::new, |verdict| kit.linked(verdict, root)),
                shown.tests.to_string(),
            ]),
            None => {
                let why = match &row.accepted {
                    Some(reason) => kit.words.fill("fault.accepted", &[("reason", reason)]),
                    None => kit.words.text("fault.unshown"),
                };
                cells.extend([escape(&why), String::new(), String::new(), String::new()]);
            }
        }
        let builds = kit.build_list(&kit.among(&builds));
        // Faults of the same fate stand in one row.
        match table.rows.last_mut() {
            Some(last) if last.cells[1..] == cells[1..] && last.builds == builds => {
                let first = &mut last.cells[0];
                first.push_str("<br>");
                first.push_str(&cells[0]);
            }
            _ => table.row(builds, cells),
        }
    }
    table
}

fn reasons(kit: &Kit, sheet: Option<SheetId>, root: Root) -> Table {
    let mut table = Table::new(kit, "reasons", caption(kit, "reasons", sheet), &["part", "name", "reason"]);
    for part in sorted(kit, parts_of(kit, sheet)) {
        let said = part_reasons(kit, part, root);
        if said.is_empty() {
            continue;
        }
        let held = kit.book.part(part);
        table.row(
            kit.build_list(&held.fitted),
            vec![head(kit, Item::Part(part), root), escape(&held.name), said.join(" ")],
        );
    }
    table
}

/// Why a part is there, as sentences of HTML: what changes without it, and what when it is bridged.
pub fn part_reasons(kit: &Kit, part: PartId, root: Root) -> Vec<String> {
    let reasons = kit.proof.reasons.iter().filter(|reason| reason.part == part);
    reasons.filter_map(|reason| Some(kit.linked(&reason_words(kit, reason)?, root))).collect()
}

fn reason_words(kit: &Kit, reason: &Reason) -> Option<String> {
    let difference = reason.difference.as_ref()?;
    let key = match reason.way {
        Way::TakenOut => "reason.without",
        Way::Bridged => "reason.bridged",
    };
    let say = kit.say();
    let rest = |setting: &&(crate::book::ControlId, crate::book::Setting)| {
        kit.book.control(setting.0).rest() != setting.1
    };
    let state: Vec<String> =
        difference.settings.iter().filter(rest).map(|(control, to)| say.setting(*control, *to)).collect();
    let state = match state.is_empty() {
        true => kit.words.text("reason.at-rest"),
        false => state.join(", "),
    };
    Some(kit.words.fill(key, &[("state", &state), ("change", &change_words(kit, difference))]))
}

/// What is different: at most three changes, for a reader wants a reason, not a list.
fn change_words(kit: &Kit, difference: &Difference) -> String {
    let say = kit.say();
    if difference.upset {
        return kit.words.text("reason.upset");
    }
    let blows =
        difference.blows.iter().map(|part| kit.words.fill("reason.blows", &[("part", &say.part(*part))]));
    let changes = difference.changes.iter().map(|(part, element, was, is)| {
        let subject = Subject::Face { part: *part, element: *element };
        let word = |seen: &crate::proof::Seen| match seen.backwards && seen.strength != Strength::Off {
            true => kit.words.text("look.backwards"),
            false => say.strength(Some(subject), seen.strength),
        };
        let values = [("part", &*say.subject(subject)), ("is", &*word(is)), ("was", &*word(was))];
        kit.words.fill("reason.change", &values)
    });
    let all: Vec<String> = blows.chain(changes).collect();
    let mut shown = all[..all.len().min(3)].join(", ");
    if all.len() > 3 {
        let more = kit.words.fill("reason.more", &[("n", &(all.len() - 3).to_string())]);
        shown.push_str(&format!(", {more}"));
    }
    shown
}

/// A table's caption: its list and its sheet.
fn caption(kit: &Kit, list: &str, sheet: Option<SheetId>) -> String {
    let words = kit.words.text(&format!("list.{list}"));
    match sheet {
        Some(sheet) => format!("{words}: {}", kit.book.sheets[sheet.index()].title),
        None => words,
    }
}
