//! Turns what stands on a path into a cell: its symbol, the words around it, and the room that both need.

use super::View;
use super::cell::{Block, CLEAR, Cell, Figure, PITCH, baseline};
use super::collect::{Aside, Circuit, Piece, Tip};
use super::contract::{Member, Net};
use super::scene::{Owner, Style};
use super::symbol;
use super::text;
use crate::book::{Action, Book, Condition, ConnectorId, End, Kind, Part, PartId, Say, TerminalId, WireId};

/// What labels need to know of the whole drawing: on which numbered path each thing stands.
pub(super) struct Context<'a> {
    pub book: &'a Book,
    pub say: Say<'a>,
    pub view: View,
    pub circuit: &'a Circuit,
    pub net: &'a Net,
    /// The number of each path's column.
    pub numbers: Vec<usize>,
}

/// How a thing comes up in a drawing.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Mention {
    /// Nothing to its left or above has shown it.
    First,
    Again,
    /// A ground point whose neighbor to the left is the same.
    Beside,
}

impl Context<'_> {
    /// The cell of a member, named in full or not as its mention demands.
    pub(super) fn cell(&self, path: usize, member: Member, mention: Mention) -> Cell {
        let first = mention == Mention::First;
        match member {
            Member::Joint(point) => self.joint(point),
            Member::Edge { edge, flipped } => {
                let held = &self.circuit.edges[edge];
                match &held.piece {
                    Piece::Wire(wire) => self.wire(*wire),
                    Piece::Element { part, elements } => {
                        self.element(path, *part, elements, held.tips, flipped, first)
                    }
                    Piece::Cavity { connector, cavity } => self.cavity(*connector, *cavity, flipped, first),
                    Piece::Ground(part) => self.ground(*part, flipped, mention),
                    Piece::Flag { end, aside, .. } => self.flag(*end, aside, flipped),
                    Piece::Blind { part, terminal } => self.blind(*part, *terminal, flipped, first),
                }
            }
        }
    }

    /// The room of a bar, with its label above its first column.
    pub(super) fn bar(&self, point: usize, elsewhere: &[usize]) -> Cell {
        let mut cell = Cell::new(None, 7.0);
        let mut block = Block::new();
        let end = self.circuit.points[point];
        let mut id = self.book.end_name(end);
        if !elsewhere.is_empty() {
            id.push_str(&format!(" → {}", listed(elsewhere)));
        }
        block.add(Style::Id, id);
        let anchored = self.circuit.asides.get(&point).is_some_and(|aside| aside.anchored);
        if let Some(part) = self.named(end, anchored) {
            block.wrapped(Style::Name, &self.book.part(part).name);
        }
        self.onward(point, &mut block);
        let top = -block.height() - 3.0;
        cell.put(block, 6.0, top, owner(end));
        cell
    }

    /// The part that a label names in full besides its id: a splice, or one of which nothing else is drawn.
    fn named(&self, end: End, anchored: bool) -> Option<PartId> {
        match end {
            End::Terminal { part, .. } if anchored || self.book.part(part).kind == Kind::Splice => Some(part),
            _ => None,
        }
    }

    /// Where the wires of a point go on elsewhere.
    fn onward(&self, point: usize, block: &mut Block) {
        if let Some(aside) = self.circuit.asides.get(&point) {
            self.sheets(self.circuit.points[point], aside, block);
        }
    }

    /// The other drawings that a conductor leads to: the one with the part, or those with the wires.
    fn sheets(&self, end: End, aside: &Aside, block: &mut Block) {
        let mut sheets: Vec<_> = match end {
            End::Terminal { part, .. } if aside.anchored => vec![self.book.part(part).sheet],
            _ => aside.wires.iter().map(|&wire| self.book.wire(wire).sheet).collect(),
        };
        sheets.sort();
        sheets.dedup();
        if let (false, [wire]) = (aside.anchored, aside.wires.as_slice()) {
            block.add(Style::Reference, &self.book.wire(*wire).id);
        }
        for sheet in sheets {
            block.reference(&self.book.sheets[sheet.index()].title);
        }
    }

    /// A splice, a terminal from which wires go on elsewhere, or one to which nothing is wired.
    fn joint(&self, point: usize) -> Cell {
        let end = self.circuit.points[point];
        let aside = self.circuit.asides.get(&point);
        let anchored = aside.is_some_and(|aside| aside.anchored);
        let named = self.named(end, anchored);
        let figure = Figure {
            symbol: match (aside, named) {
                (Some(_), _) => &symbol::DOT_ASIDE,
                (None, Some(_)) => &symbol::DOT,
                (None, None) => &symbol::OPEN_END,
            },
            flipped: false,
            made: false,
        };
        let mut cell = Cell::new(Some(figure), CLEAR);
        let mut block = Block::new();
        if let Some(part) = named {
            block.add(Style::Id, self.book.end_name(end));
            block.wrapped(Style::Name, &self.book.part(part).name);
        }
        self.onward(point, &mut block);
        let top = -block.height() / 2.0;
        cell.put(block, figure.symbol.right + 4.0, top, owner(end));
        cell
    }

    fn wire(&self, id: WireId) -> Cell {
        let wire = self.book.wire(id);
        let mut cell = Cell::new(None, 9.5);
        // Below the swatch there is room for the arrow of a current.
        cell.down = 14.5;
        let mut block = Block::new();
        block.add(Style::Id, &wire.id);
        self.option(&wire.only, &mut block);
        // Color and size follow the id on its line.
        let style = Style::Id;
        let after = 7.0 + text::width(&wire.id, style.size(), style.bold()) + 3.0;
        let top = -block.height() / 2.0;
        let value = format!("{} {}", wire.color, size(&wire.size.to_string()));
        cell.left = 5.0;
        cell.say(Style::Value, value, after, top + baseline(style), false, Owner::Wire(id));
        cell.put(block, 7.0, top, Owner::Wire(id));
        cell
    }

    fn element(
        &self,
        path: usize,
        id: PartId,
        elements: &[usize],
        tips: [Tip; 2],
        flipped: bool,
        first: bool,
    ) -> Cell {
        let part = self.book.part(id);
        let main = &part.elements[elements[0]];
        let made = match &main.action {
            Action::Contact { when, .. } => self.book.holds_at_rest(when, self.view.build),
            _ => false,
        };
        let symbol = symbol::symbol(part, elements[0], elements.get(1).copied(), made);
        // A symbol without a direction is not turned over: its terminals are written at its pins.
        let turned = flipped && directed(&main.action);
        let figure = Figure { symbol, flipped: turned, made };
        let mut cell = Cell::new(Some(figure), CLEAR);
        let owner = Owner::Part(id);
        let (top, bottom) = if flipped { (main.b, main.a) } else { (main.a, main.b) };
        let (top_tip, bottom_tip) = if flipped { (tips[1], tips[0]) } else { (tips[0], tips[1]) };
        let (up, down) = if turned { (symbol.down, symbol.up) } else { (symbol.up, symbol.down) };
        for (terminal, tip, y) in [(top, top_tip, -up + 7.5), (bottom, bottom_tip, down - 1.5)] {
            let mark = part.terminals[terminal.index()].name.clone();
            let x = if matches!(tip, Tip::Inner(_)) { -symbol.left - 2.0 } else { -3.0 };
            cell.say(Style::Mark, mark, x, y, true, owner);
        }
        let mut block = Block::new();
        block.add(Style::Id, self.element_id(id, elements[0]));
        if first {
            block.wrapped(Style::Name, &part.name);
        }
        self.sheet_of(id, &mut block);
        let x = symbol.right + 4.0;
        if let Action::Contact { when, .. } = &main.action {
            // The condition stands below the line on which ganged contacts are linked.
            let mut below = Block::new();
            below.wrapped(Style::Condition, &self.say.condition(when, Some(id)));
            self.references(path, id, elements[0], &mut below);
            self.option(&part.only, &mut below);
            let top = -block.height() - 3.0;
            cell.put(block, x, top, owner);
            cell.put(below, x, 3.0, owner);
            return cell;
        }
        if let Some(value) = value(part) {
            block.wrapped(Style::Value, value);
        }
        self.references(path, id, elements[0], &mut block);
        self.option(&part.only, &mut block);
        let top = -block.height() / 2.0;
        cell.put(block, x, top, owner);
        cell
    }

    /// The part's id, with the element's name where it has several of the sort.
    fn element_id(&self, id: PartId, element: usize) -> String {
        let part = self.book.part(id);
        let sort = std::mem::discriminant(&part.elements[element].action);
        let contact = matches!(part.elements[element].action, Action::Contact { .. });
        let alike =
            part.elements.iter().filter(|other| std::mem::discriminant(&other.action) == sort).count();
        if alike > 1 && !contact && part.kind != Kind::Alternator {
            format!("{} {}", part.id, self.say.element(&part.elements[element].name))
        } else {
            part.id.clone()
        }
    }

    /// Where the rest of a relay or of a ganged switch is.
    fn references(&self, path: usize, id: PartId, element: usize, block: &mut Block) {
        let part = self.book.part(id);
        let coil = |at: usize| matches!(part.elements[at].action, Action::Coil { .. });
        let contact = |at: usize| matches!(part.elements[at].action, Action::Contact { .. });
        let own = self.numbers[path];
        let mut coils = Vec::new();
        let mut contacts = Vec::new();
        for (other, held) in self.net.paths.iter().enumerate() {
            for member in &held.members {
                let Member::Edge { edge, .. } = *member else { continue };
                if let Piece::Element { part, elements } = &self.circuit.edges[edge].piece
                    && *part == id
                {
                    let main = elements[0];
                    if coil(main) {
                        coils.push(self.numbers[other]);
                    } else if contact(main) {
                        contacts.push(self.numbers[other]);
                    }
                }
            }
        }
        let tidy = |mut numbers: Vec<usize>| {
            numbers.sort_unstable();
            numbers.dedup();
            numbers.retain(|&number| number != own);
            numbers
        };
        let (coils, contacts) = (tidy(coils), tidy(contacts));
        if coil(element) && !contacts.is_empty() {
            block.add(Style::Reference, self.path_of("contact", &contacts));
        }
        if contact(element) && !coils.is_empty() {
            block.add(Style::Reference, self.path_of("coil", &coils));
        } else if contact(element)
            && !part.elements.iter().any(|held| matches!(held.action, Action::Coil { .. }))
        {
            let apart = beyond_links(own, contacts);
            if !apart.is_empty() && part.kind != Kind::Module {
                block.add(Style::Reference, self.path_of("with", &apart));
            }
        }
    }

    /// On which paths another piece of the same part stands.
    fn path_of(&self, piece: &str, numbers: &[usize]) -> String {
        self.say.words.fill(&format!("drawing.{piece}"), &[("paths", &listed(numbers))])
    }

    fn cavity(&self, id: ConnectorId, cavity: u16, flipped: bool, first: bool) -> Cell {
        let connector = self.book.connector(id);
        let figure = Figure { symbol: &symbol::CAVITY, flipped: false, made: false };
        let mut cell = Cell::new(Some(figure), CLEAR);
        let owner = Owner::Connector(id);
        let number = &connector.cavities[usize::from(cavity)];
        for y in [-6.0, 15.0] {
            cell.say(Style::Mark, number.clone(), -5.0, y, true, owner);
        }
        // The boundary between the harnesses runs through the middle: words stand above and below it.
        let mut above = Block::new();
        above.add(Style::Id, &connector.id);
        let mut below = Block::new();
        let mut sides = connector.joins.map(|harness| &self.book.harnesses[harness.index()].id);
        if flipped {
            sides.reverse();
        }
        let after = 10.0 + text::width(&connector.id, Style::Id.size(), true) + 4.0;
        cell.say(Style::Reference, sides[0].clone(), after, baseline(Style::Id) - PITCH - 3.0, false, owner);
        below.add(Style::Reference, sides[1]);
        if first {
            below.wrapped(Style::Name, &connector.name);
        }
        let top = -above.height() - 3.0;
        cell.put(above, 10.0, top, owner);
        cell.put(below, 10.0, 3.0, owner);
        cell
    }

    fn ground(&self, id: PartId, flipped: bool, mention: Mention) -> Cell {
        let part = self.book.part(id);
        let figure = Figure { symbol: &symbol::GROUND, flipped, made: false };
        let mut cell = Cell::new(Some(figure), CLEAR);
        let owner = Owner::Part(id);
        cell.say(Style::Id, part.id.clone(), 14.0, if flipped { 0.0 } else { 8.0 }, false, owner);
        if mention != Mention::Beside && !flipped {
            let mut block = Block::new();
            block.wrapped(Style::Name, part.place.as_deref().unwrap_or(&part.name));
            if mention == Mention::First {
                self.sheet_of(id, &mut block);
            }
            cell.put(block, -10.0, 13.0, owner);
        }
        cell
    }

    fn flag(&self, end: End, aside: &Aside, flipped: bool) -> Cell {
        let figure = Figure {
            symbol: if flipped { &symbol::FLAG_UP } else { &symbol::FLAG_DOWN },
            flipped: false,
            made: false,
        };
        let mut cell = Cell::new(Some(figure), CLEAR);
        let mut block = Block::new();
        if let Some(part) = self.named(end, aside.anchored) {
            block.add(Style::Id, self.book.end_name(end));
            block.wrapped(Style::Name, &self.book.part(part).name);
        }
        self.sheets(end, aside, &mut block);
        let top = -block.height() / 2.0;
        cell.put(block, 10.0, top, owner(end));
        cell
    }

    fn blind(&self, id: PartId, terminal: TerminalId, flipped: bool, first: bool) -> Cell {
        let figure = Figure { symbol: &symbol::BLIND, flipped, made: false };
        let mut cell = Cell::new(Some(figure), CLEAR);
        let part = self.book.part(id);
        let owner = Owner::Part(id);
        let y = if flipped { 11.0 } else { -5.0 };
        cell.say(Style::Mark, part.terminals[terminal.index()].name.clone(), -3.0, y, true, owner);
        let mut block = Block::new();
        block.add(Style::Id, &part.id);
        if first {
            block.wrapped(Style::Name, &part.name);
        }
        self.sheet_of(id, &mut block);
        let top = -block.height() / 2.0;
        cell.put(block, 14.0, top, owner);
        cell
    }

    /// Says which sheet a part is from when it is another one.
    fn sheet_of(&self, id: PartId, block: &mut Block) {
        let sheet = self.book.part(id).sheet;
        if sheet != self.view.sheet {
            block.reference(&self.book.sheets[sheet.index()].title);
        }
    }

    /// The builds that have it, in a drawing of all builds.
    fn option(&self, only: &Condition, block: &mut Block) {
        if self.view.build.is_none() && *only != Condition::Always {
            block.wrapped(Style::Option, &format!("[{}]", self.say.condition(only, None)));
        }
    }
}

/// Whether it matters which way round an element is drawn.
fn directed(action: &Action) -> bool {
    matches!(action, Action::Source { .. } | Action::Diode { .. } | Action::Led { .. } | Action::Coil { .. })
}

/// The fact that a drawing gives of a part.
fn value(part: &Part) -> Option<&str> {
    ["rating", "resistance", "voltage", "breakdown", "capacitance"]
        .iter()
        .find_map(|wanted| part.facts.iter().find(|(label, _)| label == wanted))
        .map(|(_, text)| text.as_str())
}

/// A conductor size without the unit that a note on the drawing gives for all.
fn size(text: &str) -> &str {
    text.strip_suffix(" mm2").unwrap_or(text)
}

/// The columns that no row of links between neighbors joins to `own`.
fn beyond_links(own: usize, mut columns: Vec<usize>) -> Vec<usize> {
    let (mut low, mut high) = (own, own);
    while let Some(at) = columns.iter().position(|&column| column + 1 == low || column == high + 1) {
        let column = columns.remove(at);
        low = low.min(column);
        high = high.max(column);
    }
    columns
}

fn owner(end: End) -> Owner {
    match end {
        End::Terminal { part, .. } => Owner::Part(part),
        End::Cavity { connector, .. } => Owner::Connector(connector),
    }
}

/// Numbers in a row: `3, 5`.
fn listed(numbers: &[usize]) -> String {
    let words: Vec<String> = numbers.iter().map(usize::to_string).collect();
    words.join(", ")
}
